//! Readings against each other: sides that are apart, readings that disagree,
//! values that follow from several. What breaks a rule keeps later holds shut.

use super::entry::Measured;
use super::frozen::{Choice, Derived, Frozen, Name, Operation, Reading};
use super::rules::refuse;
use super::state::{Mark, State};
use super::words::nothing_read;
use crate::diagnostic::{Diagnostic, nearest};
use crate::quantity::{Kind, Quantity, Style, math};
use crate::term::{Does, Judged, Method, Side, Take, Verdict};

/// A rule between readings that is broken and not decided.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stop {
    /// Reading of the operation a found condition names to have it decided.
    pub reading: String,
    /// Every reading it looks at.
    pub of: Vec<Name>,
    /// What is wrong, with its values.
    pub words: String,
}

/// The word a reading is answered with, and what it does; none for a reading
/// without words to choose from.
///
/// # Errors
/// If `text` is none of the words, or names no paper where its word rests on one.
pub fn choose(reading: &Reading, text: &str) -> Result<Option<(String, Does)>, Diagnostic> {
    if reading.choices.is_empty() {
        return Ok(None);
    }
    match picked(reading, text) {
        Some((choice, paper)) if choice.paper && !names_paper(paper) => {
            let said = match paper {
                "" => format!("\"{}\" names no paper", choice.word),
                paper => format!("\"{paper}\" is no number and no date of a paper"),
            };
            return Err(refuse(
                "L264",
                "a word that rests on a paper names it",
                format!("{}: {said}", reading.label),
                format!("write its number or date behind the word: \"{}: NUMBER, DATE\"", choice.word),
            )
            .expected("the number or the date of the report or certificate, so that it is found again"));
        }
        Some((choice, "")) => return Ok(Some((choice.word.clone(), choice.does))),
        Some((choice, paper)) => return Ok(Some((format!("{}: {paper}", choice.word), choice.does))),
        None => {}
    }
    let words: Vec<&str> = reading.choices.iter().map(|c| c.word.as_str()).collect();
    let mut problem = refuse(
        "L173",
        "a box with words is answered with one of them",
        format!("\"{text}\" is none of the words of {}", reading.label),
        format!("the word or its number, 1 to {}; anything else is a found condition", words.len()),
    )
    .expected(words.join(" / "));
    if let Some(near) = nearest(text, words) {
        problem = problem.help(format!("did you mean \"{near}\"?"));
    }
    Err(problem)
}

/// Methods of testing that whoever answers a reading with `text` is certified for.
#[must_use]
pub fn tests<'a>(reading: &'a Reading, text: &str) -> &'a [Method] {
    picked(reading, text).map_or(&[], |(choice, _)| &choice.tests)
}

/// The word a text answers with, and the paper named behind it.
fn picked<'a, 't>(reading: &'a Reading, text: &'t str) -> Option<(&'a Choice, &'t str)> {
    let text = text.trim();
    let whole = reading.choices.iter().find(|c| c.word.eq_ignore_ascii_case(text));
    whole.map(|choice| (choice, "")).or_else(|| {
        reading.choices.iter().filter(|c| c.paper).find_map(|choice| {
            let (word, rest) = text.split_at_checked(choice.word.len())?;
            let paper = rest.trim_start_matches([':', ',', ' ']);
            (word.eq_ignore_ascii_case(&choice.word) && (rest.is_empty() || paper.len() < rest.len()))
                .then(|| (choice, paper.trim()))
        })
    })
}

/// Whether words name a paper: its number or its date has a digit in it.
fn names_paper(text: &str) -> bool {
    nothing_read(text).is_none() && text.chars().any(|c| c.is_ascii_digit())
}

/// What a word means for the reading.
#[must_use]
pub const fn verdict(does: Does) -> Judged {
    Judged::Decided(match does {
        Does::Conforms => Verdict::Conform,
        Does::Found | Does::Stops => Verdict::NotConform,
    })
}

/// The reading of the other side: `lift.left` has `lift.right`, `height-l` has `height-r`.
#[must_use]
pub fn other_side(id: &str) -> Option<String> {
    let at = id.rfind(['.', '-'])?;
    let (stem, side) = (&id[..=at], &id[at + 1..]);
    let other = match side {
        "l" => "r",
        "r" => "l",
        word => match Side::of(word)? {
            Side::Left => Side::Right.word(),
            Side::Right => Side::Left.word(),
        },
    };
    Some(format!("{stem}{other}"))
}

/// Readings a value is held beside before it counts: the one before, the other side,
/// what it has to agree with, others of the same thing. Each with the words that say which.
#[must_use]
pub fn beside(plan: &Frozen, operation: &Operation, reading: &Reading) -> Vec<(Name, &'static str)> {
    let here = |id: &str| Name { operation: operation.key.clone(), reading: id.to_owned() };
    let own = here(&reading.id);
    let mut found = vec![(own.clone(), "the one before")];
    found.extend(other_side(&reading.id).map(|id| (here(&id), "the other side")));
    found.extend(reading.near.as_ref().map(|near| (near.to.clone(), "what it has to agree with")));
    let same = |r: &&Reading| r.replaces.is_some() && r.replaces == reading.replaces;
    found.extend(operation.readings().filter(same).map(|r| (here(&r.id), "another of the same")));
    for derived in plan.operations.iter().flat_map(|o| &o.steps).flat_map(|s| &s.derived) {
        let words = match derived.take {
            Take::LeftMinusRight | Take::Mean | Take::Least | Take::Largest => "another of the same",
            // Before and after; how an angle changes says nothing of either.
            Take::Difference
                if derived.of.len() == 2 && reading.limits.is_some_and(|l| l.kind == Kind::Length) =>
            {
                "what it is compared with"
            }
            Take::Difference | Take::ArcEnergy => continue,
        };
        if derived.of.contains(&own) {
            found.extend(derived.of.iter().map(|other| (other.clone(), words)));
        }
    }
    let mut seen = Vec::new();
    found.retain(|(name, words)| {
        let new = !seen.contains(name) && (*name != own || *words == "the one before");
        seen.push(name.clone());
        new
    });
    found
}

/// Whether a value may be below nothing where it is.
///
/// # Errors
/// If the reading is of something that can't be: `value` in SI units.
pub fn not_negative(reading: &Reading, value: f64) -> Result<(), Diagnostic> {
    if !reading.never_negative || value >= 0.0 {
        return Ok(());
    }
    let kind = reading.limits.map_or(Kind::Number, |l| l.kind);
    // Rounded, three thousandths below nothing would read as nothing.
    let value = Quantity::from_si(kind, value);
    let shown = Style::of(kind).fine_enough(value).both(value);
    Err(refuse(
        "L135",
        "what can't be negative is not read as less than nothing",
        format!("{}: {shown} is below nothing, and this can't be", reading.label),
        "read it again; write how much it is, without a sign. Which way it is off is a found condition, if the box does not ask for it",
    )
    .expected(format!("{} of 0 or more", kind.with_article())))
}

/// Takes the readings a rule looks at, and what says whether it is broken after an entry.
type Asker<'a> = dyn FnMut(&[Name], &dyn Fn(u64) -> Option<Stop>) + 'a;

impl State {
    /// What a reading was after the entry `until`.
    fn value(&self, name: &Name, until: u64) -> Option<(f64, &Mark)> {
        let (measured, mark) = self.reading_then(&name.operation, &name.reading, until)?;
        Some((measured.value.as_ref()?.parse().ok()?, mark))
    }

    /// Standard uncertainty of what a reading was after the entry `until`, in SI units;
    /// 0 where none is known.
    fn spread(&self, name: &Name, until: u64) -> f64 {
        let last = self.reading_then(&name.operation, &name.reading, until);
        last.and_then(|(m, _)| m.uncertainty.as_ref()?.parse().ok()).unwrap_or(0.0)
    }

    /// A value that follows from readings, in SI units; none until all are taken.
    #[must_use]
    pub fn derived(&self, derived: &Derived) -> Option<f64> {
        self.derived_then(derived, u64::MAX)
    }

    fn derived_then(&self, derived: &Derived, until: u64) -> Option<f64> {
        let values = derived.of.iter().map(|n| self.value(n, until).map(|(v, _)| v));
        let value = derived.take.of_all(&values.collect::<Option<Vec<f64>>>()?)?;
        Some(derived.factor.map_or(value, |factor| value * factor.si()))
    }

    /// Rules between readings of an operation that are broken, and that no lead
    /// has decided since. One that was broken and is not by what was read again since
    /// stands as well: whoever reads decides nothing.
    #[must_use]
    pub fn stops(&self, plan: &Frozen, operation: &Operation) -> Vec<Stop> {
        let mut found: Vec<Stop> = Vec::new();
        self.ask_rules(plan, operation, &mut |of, at| found.extend(self.stands(plan, operation, of, at)));
        found
    }

    /// Rules between readings of an operation that are broken by the readings as they are,
    /// whatever was decided.
    #[must_use]
    pub fn broken(&self, plan: &Frozen, operation: &Operation) -> Vec<Stop> {
        let mut found: Vec<Stop> = Vec::new();
        self.ask_rules(plan, operation, &mut |_, at| found.extend(at(u64::MAX)));
        found
    }

    /// Hands over every rule between readings of an operation: the readings it looks at,
    /// and what says whether it is broken after an entry.
    fn ask_rules(&self, plan: &Frozen, operation: &Operation, take: &mut Asker<'_>) {
        let name = |id: &str| Name { operation: operation.key.clone(), reading: id.to_owned() };
        for reading in operation.readings() {
            let kind = reading.limits.map(|l| l.kind);
            let left = || reading.id.ends_with(Side::Left.word());
            let other = reading.apart.filter(|_| left()).and_then(|_| other_side(&reading.id));
            if let (Some(apart), Some(other)) = (reading.apart, other) {
                let of = [name(&reading.id), name(&other)];
                take(&of, &|until| self.far(kind, &reading.label, "left and right are", &of, apart, until));
            }
            if let Some(near) = &reading.near {
                let to = plan.operations.iter().find(|o| o.key == near.to.operation);
                let place = to.map_or(0, |o| o.number);
                let of = [name(&reading.id), near.to.clone()];
                let words = format!("it and {place}.{} are", near.to.reading);
                take(&of, &|until| self.far(kind, &reading.label, &words, &of, near.within, until));
            }
            for other in &reading.not_below {
                let of = [name(&reading.id), other.clone()];
                take(&of, &|until| self.below(plan, reading, &of, until));
            }
        }
        for derived in operation.steps.iter().flat_map(|s| &s.derived) {
            take(&derived.of, &|until| self.outside(operation, derived, until));
        }
    }

    /// A rule that is broken by the readings as they are, or was by what they were
    /// before one was taken again, and that no lead decided. `at` says whether it is
    /// broken after an entry.
    fn stands(
        &self,
        plan: &Frozen,
        operation: &Operation,
        of: &[Name],
        at: impl Fn(u64) -> Option<Stop>,
    ) -> Option<Stop> {
        // Mostly each was read once: then nothing was broken before that is not now.
        let once = |n: &Name| !self.repeated(&n.operation, &n.reading);
        if of.iter().all(once) {
            let last = of.iter().filter_map(|n| Some(self.reading(&n.operation, &n.reading)?.1.n)).max()?;
            return at(last).filter(|_| !self.decided(operation, of, last));
        }
        let mut taken: Vec<u64> = of
            .iter()
            .flat_map(|n| self.all_readings(&n.operation, &n.reading))
            .map(|(_, mark)| mark.n)
            .collect();
        taken.sort_unstable();
        let last = taken.last().copied()?;
        let now = at(last);
        if now.is_some() && !self.decided(operation, of, last) {
            return now;
        }
        if plan.rules == 0 {
            return None;
        }
        // From the entry that broke it to the one after which it held again.
        let (mut since, mut passed) = (None, None);
        for n in taken {
            match at(n) {
                Some(stop) => {
                    since.get_or_insert((n, stop));
                }
                None => passed = since.take().filter(|(n, _)| !self.decided(operation, of, *n)).or(passed),
            }
        }
        passed.map(|(n, stop)| Stop {
            words: format!("{} (told with entry {n}; read again since, and no lead decided)", stop.words),
            ..stop
        })
    }

    fn far(
        &self,
        kind: Option<Kind>,
        label: &str,
        words: &str,
        of: &[Name; 2],
        most: Quantity,
        until: u64,
    ) -> Option<Stop> {
        let [first, second] = of;
        let ((one, _), (other, _)) = (self.value(first, until)?, self.value(second, until)?);
        let apart = (one - other).abs();
        if apart <= most.si() * (1.0 + 1e-9) + 1e-12 {
            return None;
        }
        let show = told_apart(kind.unwrap_or(most.kind()), apart, most.si());
        Some(Stop {
            reading: first.reading.clone(),
            words: format!("{label}: {words} {} apart, {} at most", show(apart), show(most.si())),
            of: of.to_vec(),
        })
    }

    /// A reading that is below one it can't be below.
    fn below(&self, plan: &Frozen, reading: &Reading, of: &[Name; 2], until: u64) -> Option<Stop> {
        let [own, other] = of;
        let ((value, _), (least, _)) = (self.value(own, until)?, self.value(other, until)?);
        let kind = reading.limits.map_or(Kind::Number, |l| l.kind);
        let show = |v: f64| Style::of(kind).both(Quantity::from_si(kind, v));
        // What reads the same, or is within what the instruments tell apart, is no
        // contradiction.
        let apart = 2.0 * math::hypot(self.spread(own, until), self.spread(other, until));
        if value >= least - apart || show(value) == show(least) {
            return None;
        }
        let owner = plan.operations.iter().find(|o| o.key == other.operation);
        let label =
            owner.and_then(|o| o.readings().find(|r| r.id == other.reading)).map(|r| r.label.as_str());
        Some(Stop {
            reading: own.reading.clone(),
            words: format!(
                "{}: {} is below {}.{} ({}), {}, which it can't be",
                reading.label,
                show(value),
                owner.map_or(0, |o| o.number),
                other.reading,
                label.unwrap_or_default(),
                show(least)
            ),
            of: of.to_vec(),
        })
    }

    fn outside(&self, operation: &Operation, derived: &Derived, until: u64) -> Option<Stop> {
        let value = self.derived_then(derived, until)?;
        let room = 1e-9 * value.abs() + 1e-12;
        let low = derived.least.filter(|l| value < l.si() - room);
        let high = derived.most.filter(|m| value > m.si() + room);
        let (limit, word) = low.map(|l| (l, "at least")).or_else(|| high.map(|h| (h, "at most")))?;
        let show = told_apart(limit.kind(), value, limit.si());
        let own = derived.of.iter().find(|n| n.operation == operation.key).or(derived.of.first())?;
        Some(Stop {
            reading: own.reading.clone(),
            words: format!("{}: {}, {word} {}", derived.label, show(value), show(limit.si())),
            of: derived.of.clone(),
        })
    }

    /// Whether a lead decided about one of the readings `of` a rule, found after the
    /// entry `last`.
    fn decided(&self, operation: &Operation, of: &[Name], last: u64) -> bool {
        self.founds.iter().any(|f| {
            f.disposition.is_some()
                && f.mark.n > last
                && of.iter().any(|n| {
                    Some(&n.reading) == f.reading.as_ref() && (n.operation == f.key || f.key == operation.key)
                })
        })
    }
}

/// Shows values of a kind, finer where two that differ would read the same.
fn told_apart(kind: Kind, one: f64, other: f64) -> impl Fn(f64) -> String {
    let plain = move |v: f64| Style::of(kind).both(Quantity::from_si(kind, v));
    let same = plain(one) == plain(other);
    move |v: f64| {
        let value = Quantity::from_si(kind, v);
        if same { Style::of(kind).fine_enough(value).both(value) } else { plain(v) }
    }
}

/// Values that follow from readings and are known, in words.
#[must_use]
pub fn derived(plan: &Frozen, state: &State) -> Vec<String> {
    let mut found = Vec::new();
    for operation in &plan.operations {
        for derived in operation.steps.iter().flat_map(|s| &s.derived) {
            let first = derived.of.first().and_then(|n| state.reading(&n.operation, &n.reading));
            let kind = first.and_then(|(m, _): &(Measured, Mark)| m.kind.as_deref());
            let kind = match derived.take {
                Take::ArcEnergy => Some(Kind::HeatInput),
                _ => Kind::ALL.iter().copied().find(|k| Some(k.word()) == kind),
            };
            if let (Some(kind), Some(value)) = (kind, state.derived(derived)) {
                let value = Quantity::from_si(kind, value);
                let style = Style::of(kind);
                // As fine as it was read: a wall in 1/64 in would be told thicker than it is.
                let computed = derived.take == Take::ArcEnergy;
                let shown = if computed { style.both(value) } else { style.fine_enough(value).both(value) };
                found.push(format!("{} {}: {shown}", operation.number, derived.label));
            }
        }
    }
    found
}

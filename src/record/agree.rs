//! Readings against each other: sides that are apart, readings that disagree,
//! values that follow from several. What breaks a rule keeps later holds shut.

use super::entry::Measured;
use super::followed::{Followed, Sense, Stands, nearest_limit};
use super::frozen::{Choice, Derived, Frozen, GATED_SINCE, Name, Operation, Reading};
use super::paper_name::{EXPECTED, has_a_digit, names_paper, says_what_it_found};
use super::rules::{refuse, short};
use super::state::{Found, Mark, State};
use crate::diagnostic::{Diagnostic, nearest};
use crate::quantity::{Kind, Quantity, Style, show};
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
    /// Whether it is broken, or not proven to hold: of the two [`Verdict::NotConform`] or
    /// [`Verdict::NotProven`].
    pub verdict: Verdict,
    /// Whether it holds by what was read again since: only a lead decides then.
    pub passed: bool,
    /// The reading of a pair that is of before the other one was read again: only with it the
    /// rule says something. None where it says so already.
    pub waits: Option<Name>,
}

/// The word a reading is answered with, and what it does; none for a reading
/// without words to choose from. `edition` is that of the rules of the plan.
///
/// # Errors
/// If `text` is none of the words, or names no paper where its word rests on one.
pub fn choose(reading: &Reading, text: &str, edition: u32) -> Result<Option<(String, Does)>, Diagnostic> {
    if reading.choices.is_empty() {
        return Ok(None);
    }
    let names = if edition >= GATED_SINCE { names_paper } else { has_a_digit };
    match picked(reading, text) {
        Some((choice, paper)) if choice.paper && !names(paper) => {
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
            .expected(EXPECTED)
            .example(format!("{}: PT-114, 2026-03-01", choice.word)));
        }
        Some((choice, paper))
            if edition >= GATED_SINCE && choice.does == Does::Conforms && says_what_it_found(paper) =>
        {
            let other = reading.choices.iter().find(|c| c.does == Does::Found);
            let other =
                other.map_or(String::new(), |c| format!("; where it found something: \"{}\"", c.word));
            return Err(refuse(
                "L316",
                "behind a word stands its paper, and not what it found",
                format!("{}: \"{paper}\" says what the paper found", reading.label),
                format!("write its number or date alone{other}"),
            )
            .example(format!("{}: PT-114, 2026-03-01", choice.word)));
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
                if before_and_after(&derived.of)
                    && reading.limits.is_some_and(|l| l.kind == Kind::Length) =>
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

/// Whether two readings are of one thing before and after, or of both ends of one place: what is
/// only taken off another length may be any part of it.
fn before_and_after(of: &[Name]) -> bool {
    let [one, other] = of else { return false };
    one.reading == other.reading || one.operation == other.operation
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

/// A rule between readings of an operation.
#[derive(Debug)]
pub(super) struct Rule {
    /// The readings it looks at.
    pub(super) of: Vec<Name>,
    /// When it is broken.
    pub(super) sense: Sense,
    /// Whether it looks at both of a pair that are read one after the other.
    pub(super) pair: bool,
    words: Words,
}

/// What a broken rule is told by.
#[derive(Debug)]
enum Words {
    /// The label of the reading, and who is apart.
    Apart(Kind, String, String),
    /// The label of the reading that is below another.
    Below(String),
    /// The value that follows.
    Outside(Box<Derived>),
}

/// Every rule between readings of an operation. [`Frozen::rules_of`] keeps them.
pub(super) fn rules(plan: &Frozen, operation: &Operation) -> Vec<Rule> {
    let name = |id: &str| Name { operation: operation.key.clone(), reading: id.to_owned() };
    // Two sides, or the hottest and the coldest, of one operation.
    let both = |of: &[Name], sides: bool| {
        let [one, other] = of else { return false };
        plan.rules >= GATED_SINCE
            && one.operation == other.operation
            && (!sides || other_side(&one.reading).is_some_and(|side| side == other.reading))
    };
    let guarded = plan.rules >= GATED_SINCE;
    let mut all = Vec::new();
    for reading in operation.readings() {
        let apart = |of: [Name; 2], words: String, most: Quantity| {
            let kind = reading.limits.map_or_else(|| most.kind(), |l| l.kind);
            let (of, sense) = (of.to_vec(), Sense::Apart { most: most.si(), guarded });
            Rule { pair: both(&of, true), of, sense, words: Words::Apart(kind, reading.label.clone(), words) }
        };
        let left = || reading.id.ends_with(Side::Left.word());
        let other = reading.apart.filter(|_| left()).and_then(|_| other_side(&reading.id));
        if let (Some(most), Some(other)) = (reading.apart, other) {
            all.push(apart([name(&reading.id), name(&other)], "left and right are".to_owned(), most));
        }
        if let Some(near) = &reading.near {
            let to = plan.keyed(&near.to.operation);
            let words = format!("it and {}.{} are", to.map_or(0, |o| o.number), near.to.reading);
            all.push(apart([name(&reading.id), near.to.clone()], words, near.within));
        }
        for other in &reading.not_below {
            let of = vec![name(&reading.id), other.clone()];
            let kind = reading.limits.map_or(Kind::Number, |l| l.kind);
            let pair = both(&of, false);
            all.push(Rule {
                of,
                sense: Sense::Below(kind),
                pair,
                words: Words::Below(reading.label.clone()),
            });
        }
    }
    for derived in operation.steps.iter().flat_map(|s| &s.derived) {
        let si = |q: Option<Quantity>| q.map(Quantity::si);
        let sense = Sense::Outside {
            take: derived.take,
            factor: si(derived.factor),
            least: si(derived.least),
            most: si(derived.most),
            // What is figured with the planned reading carries its uncertainty on: a reading
            // that is equal to it changes nothing.
            guarded: guarded && !derived.as_planned,
        };
        let lessens = matches!(derived.take, Take::LeftMinusRight | Take::Difference);
        let pair = lessens && both(&derived.of, false);
        all.push(Rule {
            of: derived.of.clone(),
            sense,
            pair,
            words: Words::Outside(Box::new(derived.clone())),
        });
    }
    all
}

impl State {
    /// A value that follows from readings, in SI units; none until all are taken.
    #[must_use]
    pub fn derived(&self, derived: &Derived) -> Option<f64> {
        self.follows(&derived.of, derived.take, derived.factor.map(Quantity::si), u64::MAX)
    }

    /// Rules between readings of an operation that are broken, and that no lead
    /// has decided since. One that was broken and is not by what was read again since
    /// stands as well: whoever reads decides nothing.
    #[must_use]
    pub fn stops(&self, plan: &Frozen, operation: &Operation) -> Vec<Stop> {
        plan.rules_of(operation).iter().filter_map(|rule| self.stands(plan, operation, rule)).collect()
    }

    /// Rules between readings of an operation that are broken by the readings as they are,
    /// whatever was decided.
    #[must_use]
    pub fn broken(&self, plan: &Frozen, operation: &Operation) -> Vec<Stop> {
        plan.rules_of(operation)
            .iter()
            .filter_map(|rule| self.told(plan, operation, rule, u64::MAX))
            .collect()
    }

    /// Whether a rule is broken by the readings as they are.
    pub(super) fn breaks_now(&self, plan: &Frozen, operation: &Operation, rule: &Rule) -> bool {
        self.told(plan, operation, rule, u64::MAX).is_some()
    }

    /// Rules between readings that were broken when a condition was found at one of them, with
    /// what was read, in words.
    #[must_use]
    pub fn broken_at(&self, plan: &Frozen, found: &Found) -> Vec<String> {
        let own = |n: &Name| n.operation == found.key && Some(&n.reading) == found.reading.as_ref();
        let mut all = Vec::new();
        for operation in plan.operations.iter().filter(|_| found.reading.is_some()) {
            for rule in plan.rules_of(operation).iter().filter(|rule| rule.of.iter().any(own)) {
                all.extend(self.told(plan, operation, rule, found.mark.n).map(|stop| stop.words));
            }
        }
        all
    }

    /// Whether a rule was broken, and is not any more by what was read again.
    pub(super) fn was_broken(&self, rule: &Rule) -> bool {
        let walked = || Followed::of(self, rule).stands(rule);
        let stands = self.followed.stands(rule).or_else(walked);
        stands.is_some_and(|stands| stands.passed.is_some())
    }

    /// A rule that is broken by the readings as they are, or was by what they were
    /// before one was taken again, and that no lead decided.
    fn stands(&self, plan: &Frozen, operation: &Operation, rule: &Rule) -> Option<Stop> {
        let of = &rule.of;
        // Mostly each was read once: then nothing was broken before that is not now.
        let once = |n: &Name| !self.repeated(&n.operation, &n.reading);
        if of.iter().all(once) {
            let last = of.iter().filter_map(|n| Some(self.reading(&n.operation, &n.reading)?.1.n)).max()?;
            let undecided = self.breaks(of, rule.sense, last) && !self.decided(operation, of, last);
            return undecided.then(|| self.told(plan, operation, rule, last)).flatten();
        }
        let walked = || Followed::of(self, rule).stands(rule);
        let Stands { last, passed, waits } = self.followed.stands(rule).or_else(walked)?;
        let last = last?;
        if self.breaks(of, rule.sense, last) && !self.decided(operation, of, last) {
            let stop = self.told(plan, operation, rule, last)?;
            return Some(match waits.and_then(|at| of.get(at)) {
                None => stop,
                Some(other) => Stop {
                    words: format!(
                        "{}; {} is of before: read it again, then both count",
                        stop.words, other.reading
                    ),
                    waits: Some(other.clone()),
                    ..stop
                },
            });
        }
        // What was decided after one entry was decided after every one before it.
        let n = passed.filter(|n| plan.rules > 0 && !self.decided(operation, of, *n))?;
        let stop = self.told(plan, operation, rule, n)?;
        Some(Stop {
            words: format!("{} (told with entry {n}; read again since, and no lead decided)", stop.words),
            passed: true,
            ..stop
        })
    }

    /// A rule that is broken after the entry `until`, with its values.
    fn told(&self, plan: &Frozen, operation: &Operation, rule: &Rule, until: u64) -> Option<Stop> {
        let Rule { of, sense, words, .. } = rule;
        let verdict = self.rule_verdict(of, *sense, until).filter(|v| *v != Verdict::Conform)?;
        let guard = self.guard(of, *sense, until)?;
        let mut own = of.first()?;
        let words = match (words, of.as_slice(), *sense) {
            (Words::Apart(kind, label, words), [first, second], Sense::Apart { most, .. }) => {
                let apart = self.apart(first, second, until)?;
                let (style, of) = (plan.style(*kind), |si| Quantity::from_si(*kind, si));
                let open = not_proven(verdict, style, of(guard));
                format!(
                    "{label}: {words} {} apart, {} at most{open}",
                    told_value(style, of(apart)),
                    told_limit(style, of(most), false)
                )
            }
            (Words::Below(label), [own, other], Sense::Below(kind)) => {
                let (value, least) = (self.value(own, until)?, self.value(other, until)?);
                let show = |v: f64| plan.style(kind).both(Quantity::from_si(kind, v));
                let owner = plan.keyed(&other.operation);
                let beside = owner.and_then(|o| o.readings().find(|r| r.id == other.reading));
                format!(
                    "{label}: {} is below {}.{} ({}), {}, which it can't be",
                    show(value),
                    owner.map_or(0, |o| o.number),
                    other.reading,
                    beside.map(|r| r.label.as_str()).unwrap_or_default(),
                    show(least)
                )
            }
            (Words::Outside(derived), of, Sense::Outside { take, factor, least, most, .. }) => {
                let value = self.follows(of, take, factor, until)?;
                let (limit, low) = nearest_limit(value, least, most)?;
                let limits = if low { derived.least } else { derived.most };
                let word = if low { "at least" } else { "at most" };
                let kind = limits?.kind();
                let (style, si) = (plan.style(kind), |si| Quantity::from_si(kind, si));
                let open = not_proven(verdict, style, si(guard));
                own = of.iter().find(|n| n.operation == operation.key).unwrap_or(own);
                format!(
                    "{}: {}, {word} {}{open}",
                    derived.label,
                    told_value(style, si(value)),
                    told_limit(style, si(limit), low)
                )
            }
            _ => return None,
        };
        Some(Stop {
            reading: own.reading.clone(),
            of: of.clone(),
            words,
            verdict,
            passed: false,
            waits: None,
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

/// That a rule is not proven to hold, and what leaves it open; nothing where it is broken.
fn not_proven(verdict: Verdict, style: Style, guard: Quantity) -> String {
    if verdict != Verdict::NotProven {
        return String::new();
    }
    format!(" ({verdict}: guard band {})", show::uncertainty(guard, Some(style)))
}

/// A limit of a rule as it is told: as fine as it was written, and never looser than it is.
fn told_limit(style: Style, limit: Quantity, lower: bool) -> String {
    let fine = style.fine_enough(limit);
    if lower { fine.up() } else { fine.down() }.both(limit)
}

/// A value beside its limit: finer than usual, so that the two never read the same.
fn told_value(style: Style, value: Quantity) -> String {
    style.fine_enough(value).both(value)
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
                let style = plan.style(kind);
                // As fine as it was read: a wall in 1/64 in would be told thicker than it is.
                let computed = derived.take == Take::ArcEnergy;
                let shown = if computed { style.both(value) } else { style.fine_enough(value).both(value) };
                // Two of one label are told apart by what they follow from.
                let name = |n: &Name| {
                    let own = n.operation == operation.key;
                    let other = plan.operations.iter().find(|o| !own && o.key == n.operation);
                    other.map_or_else(|| n.reading.clone(), |o| format!("{}.{}", o.number, n.reading))
                };
                let of: Vec<String> = derived.of.iter().map(name).collect();
                found.push(format!("{} {} ({}): {shown}", operation.number, derived.label, short(&of)));
            }
        }
    }
    found
}

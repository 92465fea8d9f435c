//! Readings against each other: sides that are apart, readings that disagree,
//! values that follow from several. What breaks a rule keeps later holds shut.

use super::entry::Measured;
use super::frozen::{Derived, Frozen, Name, Operation, Reading};
use super::rules::refuse;
use super::state::{Mark, State};
use crate::diagnostic::{Diagnostic, nearest};
use crate::quantity::{Kind, Quantity, Style};
use crate::term::{Does, Judged, Side, Verdict};

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
/// If `text` is none of the words.
pub fn choose<'a>(reading: &'a Reading, text: &str) -> Result<Option<(&'a str, Does)>, Diagnostic> {
    if reading.choices.is_empty() {
        return Ok(None);
    }
    let found = reading.choices.iter().find(|c| c.word.eq_ignore_ascii_case(text.trim()));
    if let Some(choice) = found {
        return Ok(Some((&choice.word, choice.does)));
    }
    let words: Vec<&str> = reading.choices.iter().map(|c| c.word.as_str()).collect();
    let mut problem = refuse(
        "L173",
        "a box with words is answered with one of them",
        format!("\"{text}\" is none of the words of {}", reading.label),
        format!("write one of: {}, or its number; anything else is a found condition", words.join(" / ")),
    )
    .expected(words.join(" / "));
    if let Some(near) = nearest(text, words) {
        problem = problem.help(format!("did you mean \"{near}\"?"));
    }
    Err(problem)
}

/// What a word means for the reading.
#[must_use]
pub const fn verdict(does: Does) -> Judged {
    Judged::Decided(match does {
        Does::Conforms => Verdict::Conform,
        Does::Found | Does::Stops => Verdict::NotConform,
    })
}

/// The reading of the other side.
#[must_use]
pub fn other_side(id: &str) -> Option<String> {
    let (stem, side) = id.rsplit_once('.')?;
    match Side::of(side)? {
        Side::Left => Some(format!("{stem}.{}", Side::Right)),
        Side::Right => Some(format!("{stem}.{}", Side::Left)),
    }
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
    let shown = Style::of(kind).both(Quantity::from_si(kind, value));
    Err(refuse(
        "L135",
        "what can't be negative is not read as less than nothing",
        format!("{}: {shown} is below nothing, and this can't be", reading.label),
        "read it again; write how much it is, without a sign. Which way it is off is a found condition, if the box does not ask for it",
    )
    .expected(format!("{} of 0 or more", kind.with_article())))
}

/// Values so unlike that one of them has another unit: lengths, torques, masses
/// and pressures more than ten times apart. Small lengths (play, runout) may be.
#[must_use]
pub fn unlike(kind: Kind, one: f64, other: f64) -> bool {
    let least = match kind {
        // 5 mm.
        Kind::Length => 0.005,
        Kind::Torque | Kind::Mass | Kind::Stress => 0.0,
        _ => return false,
    };
    let (small, large) =
        if one.abs() < other.abs() { (one.abs(), other.abs()) } else { (other.abs(), one.abs()) };
    small > 0.0 && large >= least && large > 10.0 * small
}

impl State {
    fn value(&self, name: &Name) -> Option<(f64, &Mark)> {
        let (measured, mark) = self.reading(&name.operation, &name.reading)?;
        Some((measured.value.as_ref()?.parse().ok()?, mark))
    }

    /// A value that follows from readings, in SI units; none until all are taken.
    #[must_use]
    pub fn derived(&self, derived: &Derived) -> Option<f64> {
        let values: Option<Vec<f64>> = derived.of.iter().map(|n| self.value(n).map(|(v, _)| v)).collect();
        derived.take.of_all(&values?)
    }

    /// Rules between readings of an operation that are broken, and that no lead
    /// has decided since.
    #[must_use]
    pub fn stops(&self, plan: &Frozen, operation: &Operation) -> Vec<Stop> {
        let mut found: Vec<Stop> = Vec::new();
        let name = |id: &str| Name { operation: operation.key.clone(), reading: id.to_owned() };
        for reading in operation.readings() {
            let kind = reading.limits.map(|l| l.kind);
            let other = other_side(&reading.id).filter(|_| reading.id.ends_with(Side::Left.word()));
            if let (Some(apart), Some(other)) = (reading.apart, other) {
                let of = vec![name(&reading.id), name(&other)];
                found.extend(self.far(kind, &reading.label, "left and right are", of, apart));
            }
            if let Some(near) = &reading.near {
                let to = plan.operations.iter().find(|o| o.key == near.to.operation);
                let place = to.map_or(0, |o| o.number);
                let of = vec![name(&reading.id), near.to.clone()];
                let words = format!("it and {place}.{} are", near.to.reading);
                found.extend(self.far(kind, &reading.label, &words, of, near.within));
            }
            for other in &reading.not_below {
                found.extend(self.below(plan, reading, &name(&reading.id), other));
            }
        }
        for derived in operation.steps.iter().flat_map(|s| &s.derived) {
            found.extend(self.outside(operation, derived));
        }
        found.retain(|stop| !self.decided(operation, stop));
        found
    }

    fn far(
        &self,
        kind: Option<Kind>,
        label: &str,
        words: &str,
        of: Vec<Name>,
        most: Quantity,
    ) -> Option<Stop> {
        let ((one, _), (other, _)) = (self.value(of.first()?)?, self.value(of.get(1)?)?);
        let apart = (one - other).abs();
        if apart <= most.si() * (1.0 + 1e-9) + 1e-12 {
            return None;
        }
        let show = |v: f64| Style::of(most.kind()).both(Quantity::from_si(kind.unwrap_or(most.kind()), v));
        Some(Stop {
            reading: of.first()?.reading.clone(),
            words: format!("{label}: {words} {} apart, {} at most", show(apart), show(most.si())),
            of,
        })
    }

    /// A reading that is below one it can't be below.
    fn below(&self, plan: &Frozen, reading: &Reading, own: &Name, other: &Name) -> Option<Stop> {
        let ((value, _), (least, _)) = (self.value(own)?, self.value(other)?);
        if value >= least - (1e-9 * least.abs() + 1e-12) {
            return None;
        }
        let kind = reading.limits.map_or(Kind::Number, |l| l.kind);
        let show = |v: f64| Style::of(kind).both(Quantity::from_si(kind, v));
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
            of: vec![own.clone(), other.clone()],
        })
    }

    fn outside(&self, operation: &Operation, derived: &Derived) -> Option<Stop> {
        let value = self.derived(derived)?;
        let room = 1e-9 * value.abs() + 1e-12;
        let low = derived.least.filter(|l| value < l.si() - room);
        let high = derived.most.filter(|m| value > m.si() + room);
        let (limit, word) = low.map(|l| (l, "at least")).or_else(|| high.map(|h| (h, "at most")))?;
        let show = |v: f64| Style::of(limit.kind()).both(Quantity::from_si(limit.kind(), v));
        let own = derived.of.iter().find(|n| n.operation == operation.key).or(derived.of.first())?;
        Some(Stop {
            reading: own.reading.clone(),
            words: format!("{}: {}, {word} {}", derived.label, show(value), show(limit.si())),
            of: derived.of.clone(),
        })
    }

    /// Whether a lead decided about one of its readings after the last was taken.
    fn decided(&self, operation: &Operation, stop: &Stop) -> bool {
        let last = stop.of.iter().filter_map(|n| self.value(n)).map(|(_, mark)| mark.n).max().unwrap_or(0);
        self.founds.iter().any(|f| {
            f.disposition.is_some()
                && f.mark.n > last
                && stop.of.iter().any(|n| {
                    Some(&n.reading) == f.reading.as_ref() && (n.operation == f.key || f.key == operation.key)
                })
        })
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
            let kind = Kind::ALL.iter().copied().find(|k| Some(k.word()) == kind);
            if let (Some(kind), Some(value)) = (kind, state.derived(derived)) {
                let shown = Style::of(kind).both(Quantity::from_si(kind, value));
                found.push(format!("{} {}: {shown}", operation.number, derived.label));
            }
        }
    }
    found
}

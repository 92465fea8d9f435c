//! The customer's pages: what a record says, in the order a customer asks for it.
//!
//! Every line comes from the log, the frozen plan and the figures computed again
//! with what was measured; nothing is typed here but the words around them.

mod approval;
mod bars;
mod corrected;
mod doubts;
mod earlier;
mod exceptions;
mod judged;
mod later;
mod lines;
mod made_again;
mod outcome;
mod parts;
mod prints;
mod proof;
mod rested;
mod rows;
mod summary;
mod torques;
mod unqualified;
mod welds;

use super::super::super::document::{CustomerPages, Document, FoundPhoto};
use super::{Facts, day};
use crate::figure::Figure;
use crate::procedure::figures::Owner;
use crate::quantity::{Kind, Quantity, show};
use crate::record::entry::{Measured, Photo};
use crate::record::frozen::{Limits, Name, Operation, Reading};
use crate::record::state::{Found, Mark};
use crate::term::{Side, Verdict};

/// All sections. `document` is the paper with its boxes filled.
pub(super) fn pages(document: &Document, facts: &Facts<'_>) -> CustomerPages {
    let outcome = outcome::section(facts);
    let exceptions = exceptions::section(document, facts);
    let welds = welds::section(document, facts);
    let torques = torques::section(document, facts);
    CustomerPages {
        summary: summary::summary(document, facts, &exceptions),
        bars: bars::section(facts),
        outcome,
        judged: judged::section(facts),
        welds,
        parts: parts::section(document, facts),
        torques,
        approval: approval::approval(document, facts),
        proof: proof::proof(document, facts),
        exceptions,
    }
}

/// A reading of the plan with what was entered for it last.
#[derive(Debug, Clone, Copy)]
struct Taken<'a> {
    operation: &'a Operation,
    reading: &'a Reading,
    measured: &'a Measured,
    mark: &'a Mark,
}

impl Taken<'_> {
    /// The id without its side or joint.
    fn stem(&self) -> &str {
        stem(&self.reading.id)
    }

    /// What was written, with its unit as the rest of the page writes it.
    fn entered(&self) -> String {
        entered(&self.measured.text)
    }

    /// Who, with what, when.
    fn by(&self) -> String {
        let tool = self.measured.tool.as_ref().map_or(String::new(), |t| format!("{t}, "));
        format!("{tool}{}, {}", self.mark.by.id, day(&self.mark.at))
    }
}

/// A value as it was typed (`6.0 deg`), in the dress of the computed ones beside it
/// (`6.0°`).
fn entered(text: &str) -> String {
    const WRITTEN: &[(&str, &str)] = &[(" degF", " °F"), (" degC", " °C"), (" deg", "°"), (" ohm", " Ω")];
    let text = match text.strip_prefix('-') {
        Some(rest) if rest.starts_with(|c: char| c.is_ascii_digit() || c == '.') => format!("−{rest}"),
        _ => text.to_owned(),
    };
    WRITTEN
        .iter()
        .find_map(|(typed, shown)| text.strip_suffix(typed).map(|value| format!("{value}{shown}")))
        .unwrap_or(text)
}

fn stem(id: &str) -> &str {
    id.split('.').next().unwrap_or(id)
}

fn side(id: &str) -> Option<Side> {
    id.rsplit_once('.').and_then(|(_, side)| Side::of(side))
}

/// Everything that was read, in the order of the plan.
fn taken<'a>(facts: &Facts<'a>) -> impl Iterator<Item = Taken<'a>> {
    let state = facts.state;
    facts.plan.operations.iter().flat_map(move |operation| {
        operation.readings().filter_map(move |reading| {
            let (measured, mark) = state.reading(&operation.key, &reading.id)?;
            Some(Taken { operation, reading, measured, mark })
        })
    })
}

/// The found condition by which a lead decided about a reading after it was taken.
fn decision<'a>(facts: &Facts<'a>, key: &str, id: &str, after: u64) -> Option<&'a Found> {
    let names = |f: &&Found| f.key == key && f.reading.as_deref() == Some(id);
    facts.state.founds.iter().filter(names).find(|f| f.disposition.is_some() && f.mark.n > after)
}

/// A verdict in words, and whether it speaks against the reading.
fn verdict(facts: &Facts<'_>, taken: &Taken<'_>) -> (String, bool) {
    let word = match taken.measured.verdict {
        v if v.is(Verdict::Conform) => {
            return (
                failed_before(facts, taken)
                    .map_or_else(|| "conforms".to_owned(), |before| format!("conforms; {before}")),
                false,
            );
        }
        v if !v.decided() => return ("recorded".to_owned(), false),
        v if v.is(Verdict::NotProven) => against(Verdict::NotProven),
        _ => against(Verdict::NotConform),
    };
    // What leaves it open stands with it.
    let guard = || {
        let (limits, guard) = (taken.reading.limits?, taken.measured.guard.as_ref()?.parse().ok()?);
        let style = facts.plan.style(limits.kind);
        Some(show::uncertainty(Quantity::from_si(limits.kind, guard), Some(style)))
    };
    let open = guard().filter(|_| taken.measured.verdict.is(Verdict::NotProven));
    let word = open.map_or_else(|| word.to_owned(), |guard| format!("{word}, ± {guard}"));
    (outside(facts, taken, &word), true)
}

/// The word for a verdict that speaks against a value.
const fn against(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::NotProven => "not proven",
        Verdict::NotConform | Verdict::Conform => "OUTSIDE",
    }
}

/// The last reading of a place that failed before the one in force, and what a lead decided
/// about it: what was let be and read again since does not simply conform.
fn failed_before(facts: &Facts<'_>, taken: &Taken<'_>) -> Option<String> {
    let (key, id) = (&taken.operation.key, &taken.reading.id);
    let fails = |m: &Measured| m.verdict.is(Verdict::NotConform) || m.verdict.is(Verdict::NotProven);
    let all = facts.state.all_readings(key, id).filter(|(m, mark)| fails(m) && mark.n != taken.mark.n);
    let (measured, mark) = all.last()?;
    let word = if measured.verdict.is(Verdict::NotProven) { "not proven" } else { "OUTSIDE" };
    let decided = decision(facts, key, id, mark.n);
    let by = decided.and_then(|f| f.disposition.as_ref().map(|(what, ..)| format!("{what} ({})", f.number)));
    Some(format!("{word} before: {}", by.unwrap_or_else(|| "NOT DECIDED".to_owned())))
}

/// A word that speaks against a reading, with what a lead decided about it.
fn outside(facts: &Facts<'_>, taken: &Taken<'_>, word: &str) -> String {
    let decided = decision(facts, &taken.operation.key, &taken.reading.id, taken.mark.n);
    let by = decided.and_then(|f| f.disposition.as_ref().map(|(what, ..)| format!("{what} ({})", f.number)));
    format!("{word}; {}", by.unwrap_or_else(|| "NOT DECIDED".to_owned()))
}

/// A word that speaks against what follows from several readings, with what a lead decided
/// about one of them.
fn decided_of(facts: &Facts<'_>, of: &[Name], word: &str) -> String {
    let last = of.iter().filter_map(|n| Some(facts.state.reading(&n.operation, &n.reading)?.1.n)).max();
    let decided = |n: &Name| decision(facts, &n.operation, &n.reading, last.unwrap_or_default());
    let by = of.iter().find_map(decided);
    let by = by.and_then(|f| f.disposition.as_ref().map(|(what, ..)| format!("{what} ({})", f.number)));
    format!("{word}; {}", by.unwrap_or_else(|| "NOT DECIDED".to_owned()))
}

/// The maker's figure somebody read at the work, by which a torque was set: a torque
/// without limits of its own that the other has to agree with.
fn figure_read<'a>(facts: &Facts<'a>, set: &Taken<'a>) -> Option<Taken<'a>> {
    let free = |t: &Taken<'_>| {
        let torque = |l: &Limits| l.kind == Kind::Torque && l.lower.is_none() && l.upper.is_none();
        t.reading.near.is_none() && t.reading.limits.as_ref().is_some_and(torque)
    };
    let to = &set.reading.near.as_ref()?.to;
    taken(facts).find(|t| t.operation.key == to.operation && t.reading.id == to.reading).filter(free)
}

/// A figure of the job by its name, with what was measured in place of the plan: of this
/// component, where one is named, and of this side, where the figure has sides.
fn figure<'a>(facts: &Facts<'a>, name: &str, of: Option<&str>, hand: Option<Side>) -> Option<&'a Figure> {
    let rows = facts.figures.map(|f| f.rows.as_slice()).unwrap_or_default();
    let own = |id: &String| of.is_none_or(|of| of == id);
    let sided = |owner: &Owner| matches!(owner, Owner::Side(id, side) if own(id) && Some(*side) == hand);
    let whole = |owner: &Owner| matches!(owner, Owner::Component(id) if own(id));
    let find = |fits: &dyn Fn(&Owner) -> bool| rows.iter().find(|row| row.name == name && fits(&row.owner));
    find(&sided).or_else(|| find(&whole)).map(|row| &row.figure)
}

/// Components that have a figure of this name.
fn owners<'a>(facts: &Facts<'a>, name: &str) -> Vec<&'a str> {
    let rows = facts.figures.map(|f| f.rows.as_slice()).unwrap_or_default();
    let own = rows.iter().filter(|row| row.name == name).filter_map(|row| match &row.owner {
        Owner::Component(id) => Some(id.as_str()),
        _ => None,
    });
    own.collect()
}

/// The kind of what was measured; none for words.
fn of_kind(measured: &Measured) -> Option<Kind> {
    Kind::ALL.iter().copied().find(|k| Some(k.word()) == measured.kind.as_deref())
}

/// A photo with what is said about it.
fn photo(photo: &Photo, caption: String) -> FoundPhoto {
    FoundPhoto { file: photo.file.clone(), caption }
}

/// The first letter large.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

#[cfg(test)]
mod tests {
    use super::entered;

    #[test]
    fn a_typed_value_has_the_minus_and_the_unit_of_the_computed_ones() {
        for (typed, shown) in [
            ("-5.4 deg", "−5.4°"),
            ("-.5 deg", "−.5°"),
            ("96 degF", "96 °F"),
            ("0.266 in", "0.266 in"),
            ("- none -", "- none -"),
            ("-", "-"),
        ] {
            assert_eq!(entered(typed), shown);
        }
    }
}

//! The lines of the customer's table: each value as found and as left, for each part and side.

use super::super::Facts;
use super::rows::{came, row_of};
use super::{Taken, against, decided_of, figure, of_kind, outside, verdict};
use crate::job::model::Station;
use crate::quantity::{Kind, Quantity, Style};
use crate::record::entry::Measured;
use crate::record::frozen::{Derived, Operation, Reading};
use crate::term::customer::{Row, Section};

/// Behind a value that was read in the work.
pub(super) const STANDS: &str = ", on stands";

/// What a line is filled from.
#[derive(Clone, Copy)]
enum Source<'a> {
    Reading(&'a Reading),
    Derived(&'a Derived),
}

/// One place where a value of a line is read or follows.
struct Place<'a> {
    operation: &'a Operation,
    source: Source<'a>,
    row: Row,
    came: bool,
}

/// A value as it was left, for the table and for its bar.
pub(super) struct Left {
    /// As it is written.
    pub(super) text: String,
    /// None for a word.
    pub(super) kind: Option<Kind>,
    /// In SI units; none for a word.
    pub(super) value: Option<f64>,
    /// Limits it was judged by, in SI units.
    pub(super) limits: (Option<f64>, Option<f64>),
    /// Limits as they were printed.
    pub(super) target: Option<String>,
    /// Number of the entry; none of what follows from several.
    pub(super) entry: Option<u64>,
}

/// A line of the table.
pub(super) struct Line<'a> {
    /// What it is, of what and on which side.
    pub(super) row: Row,
    /// As found, as written.
    pub(super) found: Option<String>,
    /// The same in SI units.
    pub(super) found_value: Option<f64>,
    pub(super) planned: Option<String>,
    pub(super) limit: Option<String>,
    pub(super) left: Option<Left>,
    pub(super) verdict: String,
    pub(super) bad: bool,
    /// Where it was read as left, or has to be.
    pub(super) operation: Option<&'a Operation>,
    /// Id of the reading; none of what follows from several.
    pub(super) reading: Option<&'a str>,
}

impl Line<'_> {
    /// What it is, with the part where the work is on several of its kind.
    pub(super) fn what(&self) -> String {
        let row = &self.row.row;
        self.row.name.as_ref().map_or_else(|| row.clone(), |name| format!("{row} ({name})"))
    }
}

/// Every line the plan has, in the order of the work.
pub(super) fn lines<'a>(facts: &Facts<'a>) -> Vec<Line<'a>> {
    let places = places(facts);
    let mut heads: Vec<&Row> = Vec::new();
    for place in &places {
        if !heads.iter().any(|head| same(head, &place.row)) {
            heads.push(&place.row);
        }
    }
    // What is read once for several parts as it came stands with each of them.
    let split = |head: &Row| {
        let like = |p: &&Place<'_>| p.row.row == head.row && p.row.side == head.side;
        let only_came = places.iter().filter(|p| same(&p.row, head)).all(|p| p.came);
        head.name.is_none() && only_came && places.iter().filter(like).any(|p| p.row.name.is_some())
    };
    // Read on both sides in one place and once in another: the sides count.
    let sided = |head: &Row| {
        let like = |p: &&Place<'_>| p.row.row == head.row && p.row.name == head.name;
        head.side.is_none() && places.iter().filter(like).any(|p| p.row.side.is_some())
    };
    heads
        .into_iter()
        .filter(|head| !split(head) && !sided(head))
        .map(|head| line(facts, head, &places))
        .collect()
}

/// Whether two values stand in one line.
fn same(one: &Row, other: &Row) -> bool {
    (&one.row, &one.name, one.side) == (&other.row, &other.name, other.side)
}

/// Every place a value of the table is read at, or follows, before hand-over.
fn places<'a>(facts: &Facts<'a>) -> Vec<Place<'a>> {
    let mut all = Vec::new();
    for operation in facts.plan.operations.iter().filter(|o| !o.deferred) {
        let mut add = |source: Source<'a>, row: Row| {
            let came = came(operation, &row);
            all.push(Place { operation, source, row, came });
        };
        for step in &operation.steps {
            for reading in &step.readings {
                // What nobody has to read, and nobody did, is no line of the table.
                let wanted = reading.asked() || facts.state.reading(&operation.key, &reading.id).is_some();
                let row = row_of(facts, operation, reading).filter(|r| r.section == Section::Values);
                if let (true, Some(row)) = (wanted, row) {
                    add(Source::Reading(reading), row.into_owned());
                }
            }
            for derived in &step.derived {
                let limited = derived.least.is_some() || derived.most.is_some();
                if let Some(row) = derived.shows.as_ref().filter(|_| limited) {
                    add(Source::Derived(derived), row.clone());
                }
            }
        }
    }
    all
}

fn line<'a>(facts: &Facts<'a>, head: &Row, places: &[Place<'a>]) -> Line<'a> {
    let own = || places.iter().filter(|p| same(&p.row, head));
    // What came is told of the part, or of all parts at once.
    let whole = Row { name: None, ..head.clone() };
    let as_found = |place: &&Place<'_>| place.came;
    let found =
        own().rfind(as_found).or_else(|| places.iter().filter(|p| same(&p.row, &whole)).rfind(as_found));
    let after = own().rfind(|p| !p.came);
    let mut line = match after {
        Some(place) => match place.source {
            Source::Reading(reading) => read(facts, place, reading),
            Source::Derived(derived) => followed(facts, place, derived),
        },
        None => Line {
            verdict: "not read again".to_owned(),
            ..empty(found.map_or_else(|| head.clone(), |place| place.row.clone()))
        },
    };
    // A figure may be named where the value was read as found, or as left.
    line.row.before = own().find_map(|p| p.row.before.clone());
    line.row.planned = own().filter(|p| !p.came).find_map(|p| p.row.planned.clone());
    line.row.height = own().find_map(|p| p.row.height);
    let shown = |name: &Option<String>| {
        let figure = figure(facts, name.as_deref()?, line.row.component.as_deref(), line.row.side)?;
        Some(figure.show())
    };
    let was = found.and_then(|place| value(facts, place));
    line.found = was.as_ref().map(|was| was.text.clone());
    line.found = line.found.or_else(|| shown(&line.row.before).map(|text| format!("{text}, computed")));
    line.found_value = was.and_then(|was| was.value);
    // One limit alone may stand because the plan was mended: then what was computed
    // first is no plan any more.
    let range = line.limit.as_ref().is_some_and(|l| l.contains(" to "));
    line.planned = line.planned.take().or_else(|| shown(&line.row.planned).filter(|_| range));
    line
}

fn empty<'a>(row: Row) -> Line<'a> {
    Line {
        row,
        found: None,
        found_value: None,
        planned: None,
        limit: None,
        left: None,
        verdict: String::new(),
        bad: false,
        operation: None,
        reading: None,
    }
}

/// What stands at a place, if it was read.
fn value(facts: &Facts<'_>, place: &Place<'_>) -> Option<Left> {
    match place.source {
        Source::Reading(reading) => {
            let (measured, mark) = facts.state.reading(&place.operation.key, &reading.id)?;
            let taken = Taken { operation: place.operation, reading, measured, mark };
            Some(as_left(&taken))
        }
        Source::Derived(derived) => follows(facts, derived),
    }
}

fn as_left(taken: &Taken<'_>) -> Left {
    let number = |text: Option<&String>| text.and_then(|t| t.parse().ok());
    let Measured { lower, upper, value, target, .. } = taken.measured;
    Left {
        text: taken.entered(),
        kind: of_kind(taken.measured),
        value: number(value.as_ref()),
        limits: (number(lower.as_ref()), number(upper.as_ref())),
        target: target.clone(),
        entry: Some(taken.mark.n),
    }
}

/// A value that was read, or has to be, as it was left.
fn read<'a>(facts: &Facts<'a>, place: &Place<'a>, reading: &'a Reading) -> Line<'a> {
    let here =
        || Line { operation: Some(place.operation), reading: Some(&reading.id), ..empty(place.row.clone()) };
    let Some((measured, mark)) = facts.state.reading(&place.operation.key, &reading.id) else {
        let (planned, limit) = parted(reading.target.as_deref());
        return Line { planned, limit, verdict: "NOT READ".to_owned(), bad: true, ..here() };
    };
    let taken = Taken { operation: place.operation, reading, measured, mark };
    let agreed = agreed(facts, &taken);
    let (words, bad) = agreed.clone().map_or_else(|| verdict(facts, &taken), |(_, said)| said);
    let target = measured.target.as_deref().or(reading.target.as_deref());
    let (planned, limit) = if reading.choices.is_empty() { parted(target) } else { (None, None) };
    let mut left = as_left(&taken);
    if place.row.on_stands && place.operation.station != Station::AlignmentRack.word() {
        left.text.push_str(STANDS);
    }
    Line {
        planned,
        limit: limit.or(agreed.map(|(limit, _)| limit)),
        left: Some(left),
        verdict: words,
        bad,
        ..here()
    }
}

/// A value that follows from several readings, as they were left.
fn followed<'a>(facts: &Facts<'a>, place: &Place<'a>, derived: &'a Derived) -> Line<'a> {
    let here = || Line { operation: Some(place.operation), ..empty(place.row.clone()) };
    let Some(left) = follows(facts, derived) else {
        return Line { verdict: "NOT READ".to_owned(), bad: true, ..here() };
    };
    let limit = left.target.clone();
    let head = format!("{}:", derived.label);
    let own = facts.state.broken(facts.plan, place.operation).into_iter();
    let off = own.filter(|stop| stop.of == derived.of).find(|stop| stop.words.starts_with(&head));
    let (verdict, bad) = match off {
        Some(stop) => (decided_of(facts, &derived.of, against(stop.verdict)), true),
        None if limit.is_some() => ("conforms".to_owned(), false),
        None => ("recorded".to_owned(), false),
    };
    Line { limit, left: Some(left), verdict, bad, ..here() }
}

/// What follows from several readings; none until all are taken.
fn follows(facts: &Facts<'_>, derived: &Derived) -> Option<Left> {
    let value = facts.state.derived(derived)?;
    let first = derived.of.first().and_then(|n| facts.state.reading(&n.operation, &n.reading));
    let limits = (derived.least, derived.most);
    let kind = limits.0.or(limits.1).map(Quantity::kind).or_else(|| of_kind(&first?.0))?;
    let quantity = Quantity::from_si(kind, value);
    let style = facts.plan.style(kind);
    // No limit is told looser than it is.
    let low = limits.0.map(|q| style.fine_enough(q).up().shop(q));
    let high = limits.1.map(|q| style.fine_enough(q).down().shop(q));
    Some(Left {
        text: style.fine_enough(quantity).shop(quantity),
        kind: Some(kind),
        value: Some(value),
        limits: (limits.0.map(Quantity::si), limits.1.map(Quantity::si)),
        target: match (low, high) {
            (Some(low), Some(high)) => Some(format!("{low} to {high}")),
            (Some(low), None) => Some(format!("≥ {low}")),
            (None, Some(high)) => Some(format!("≤ {high}")),
            (None, None) => None,
        },
        entry: None,
    })
}

/// A printed target as what was wanted and how far off it may be: `21.8° ± 0.5°`.
fn parted(target: Option<&str>) -> (Option<String>, Option<String>) {
    match target {
        Some(text) => match text.split_once(" ± ") {
            Some((wanted, room)) => (Some(wanted.to_owned()), Some(format!("± {room}"))),
            None if text == "record" => (None, None),
            None => (None, Some(text.to_owned())),
        },
        None => (None, None),
    }
}

/// The limit and the verdict of a reading that has none of its own but has to agree with
/// another: `as found ± 0.020 in`.
fn agreed(facts: &Facts<'_>, taken: &Taken<'_>) -> Option<(String, (String, bool))> {
    let near = taken.reading.near.as_ref().filter(|_| !taken.measured.verdict.decided())?;
    let other = facts.plan.operations.iter().find(|o| o.key == near.to.operation)?;
    let first = other.readings().find(|r| r.id == near.to.reading)?;
    let was = row_of(facts, other, first).is_some_and(|row| came(other, &row));
    let what = if was { "as found" } else { "as read before" };
    let within = Style::of(near.within.kind()).fine_enough(near.within).both(near.within);
    // The rule is judged where every rule is.
    let off = facts.state.broken(facts.plan, taken.operation);
    let off = off.iter().find(|stop| stop.reading == taken.reading.id);
    let words = off.map_or_else(|| "agrees".to_owned(), |stop| outside(facts, taken, against(stop.verdict)));
    Some((format!("{what} ± {within}"), (words, off.is_some())))
}

/// The line of a value whose figure as found, or as planned, has this name; one for each part.
pub(super) fn of_figure<'l, 'a>(
    lines: &'l [Line<'a>],
    name: &'static str,
) -> impl Iterator<Item = &'l Line<'a>> {
    lines.iter().filter(move |line| {
        line.row.before.as_deref() == Some(name) || line.row.planned.as_deref() == Some(name)
    })
}

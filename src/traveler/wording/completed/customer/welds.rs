//! Welds, joint by joint: who, by which procedure, asked and read, accepted.

use std::collections::BTreeSet;

use super::super::super::super::document::{Document, Fact, Section, WeldCard, WeldDone};
use super::super::{Facts, day, welded_on};
use super::rows::row_of;
use super::{Taken, against, sentence, taken, verdict};
use crate::plan::Words;
use crate::quantity::{Kind, Quantity};
use crate::record::frozen::{Derived, Operation};
use crate::record::state::Mark;
use crate::term::Take;
use crate::term::customer::Section as Stands;

/// Readings at a joint that stand in a fact of their own: id, what it is called,
/// label of the fact on the joint's card that says what was asked.
const ASKED: &[(&str, &str, &str)] = &[
    ("preheat", "coldest before a run", "preheat, at least"),
    ("interpass", "hottest before a run", "interpass, at most"),
    ("amps", "current", "amps"),
    ("volts", "voltage", "volts"),
    ("travel", "travel", "travel"),
    ("feed", "wire feed", "wire feed"),
    ("size", "smallest size", ""),
    ("cap", "cap over the surface", ""),
];

/// Every joint.
pub(super) fn section(document: &Document, facts: &Facts<'_>) -> Section<WeldDone> {
    let rows: Vec<WeldDone> = document.welds.iter().map(|card| done(card, facts)).collect();
    let note = if rows.is_empty() {
        "No joint was welded on this job.".to_owned()
    } else {
        let bad = rows.iter().filter(|r| r.bad).map(|r| r.id.as_str()).collect::<Vec<_>>();
        let all = "What the welding procedure asked, and what was read at the joint. Where each joint is, the weld map behind the station pages shows.";
        if bad.is_empty() {
            all.to_owned()
        } else {
            format!("Not accepted, or something at it outside or not read: {}. {all}", bad.join(", "))
        }
    };
    let mut notes = vec![Words::plain(note)];
    // What the people who welded were tested on, as the paper said it.
    let welders: BTreeSet<&str> = facts
        .plan
        .operations
        .iter()
        .filter(|o| !o.joints.is_empty() && o.acts.iter().any(|a| a == "arc"))
        .flat_map(|o| {
            o.steps.iter().filter_map(move |s| facts.state.done(o, s)).chain(facts.state.initials(o))
        })
        .map(|mark| mark.by.id.as_str())
        .collect();
    for person in &document.head.people {
        let id = person.id.as_deref().and_then(|id| id.split(" / ").next()).unwrap_or_default();
        if welders.contains(id) && !person.qualification.is_empty() {
            let name = person.name.as_deref().unwrap_or(id);
            notes.push(
                Words::default()
                    .strong(format!("{name} ({id}): "))
                    .then(format!("{}.", person.qualification)),
            );
        }
    }
    Section { notes, rows }
}

/// Whether a reading that names no joint is of all those its operation works on.
fn of_all(facts: &Facts<'_>, taken: &Taken<'_>) -> bool {
    let row = row_of(facts, taken.operation, taken.reading);
    row.is_some_and(|row| matches!(row.section, Stands::Welds | Stands::Parts))
}

fn said<'a>(card: &'a WeldCard, label: &str) -> Option<&'a str> {
    card.facts.iter().find(|f| f.label == label).and_then(|f| f.value.as_deref())
}

fn done(card: &WeldCard, facts: &Facts<'_>) -> WeldDone {
    let on: Vec<&Operation> = facts.plan.operations.iter().filter(|o| o.joints.contains(&card.id)).collect();
    let read: Vec<Taken<'_>> = taken(facts)
        .filter(|t| t.operation.joints.contains(&card.id))
        .filter(|t| {
            let end = t.reading.id.rsplit_once('.').map(|(_, end)| end);
            end == Some(card.id.as_str()) || end.is_none() && of_all(facts, t)
        })
        .collect();
    let last = |id: &str| read.iter().rfind(|t| t.stem() == id);
    let planned = |id: &str| on.iter().any(|o| o.readings().any(|r| super::stem(&r.id) == id));
    let mut bad = false;
    let mut rows = vec![welder(&on, facts, &mut bad)];
    let procedure = said(card, "procedure");
    rows.push(Fact::new(
        "procedure, filler",
        [procedure, said(card, "filler"), said(card, "gas")]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join("; "),
    ));
    for (id, what, label) in ASKED {
        let Some(one) = last(id) else {
            if planned(id) {
                bad = true;
                rows.push(Fact::new(*what, "NOT READ"));
            }
            continue;
        };
        let (words, outside) = verdict(facts, one);
        bad |= outside;
        let asked = one.measured.target.as_deref().or_else(|| said(card, label));
        let asked = asked.map_or(String::new(), |a| format!("; asked {a}"));
        let words = if outside { format!("; {words}") } else { String::new() };
        rows.push(Fact::new(*what, format!("{}{asked}{words}", one.entered())));
    }
    rows.push(heat_input(card, &on, facts, &mut bad));
    // Whatever else was read at the joint: lots, visual, penetrant, crack test.
    let mut others: Vec<&Taken<'_>> = Vec::new();
    for one in &read {
        let named = ASKED.iter().any(|(id, ..)| *id == one.stem());
        let again = read.iter().rfind(|t| t.stem() == one.stem()).map(|t| t.mark.n);
        if !named && again == Some(one.mark.n) {
            others.push(one);
        }
    }
    if !planned("lot") {
        rows.push(Fact::new("filler lot", "not asked: the job does not call the joint traceable"));
    }
    for one in others {
        let (words, outside) = verdict(facts, one);
        bad |= outside;
        let words = if outside { format!("; {words}") } else { String::new() };
        let label = one
            .reading
            .label
            .trim_end_matches(&format!(", {}", card.id))
            .trim_start_matches(&format!("{}: ", card.id));
        rows.push(Fact::new(label, format!("{}{words} ({})", one.entered(), one.by())));
    }
    let accepted = accepted(card, &on, facts);
    bad |= accepted.is_none();
    WeldDone {
        id: card.id.clone(),
        title: card.title.clone(),
        symbol: card.symbol.clone(),
        drawing: card.drawing.clone(),
        facts: rows,
        accepted: accepted
            .unwrap_or_else(|| "NOT ACCEPTED: no signature of an inspector is on record.".to_owned()),
        bad,
    }
}

/// Its heat input, from what was read; where nobody limits it, what was planned.
fn heat_input(card: &WeldCard, on: &[&Operation], facts: &Facts<'_>, bad: &mut bool) -> Fact {
    const WHAT: &str = "heat input";
    let own = |d: &&Derived| {
        d.take == Take::ArcEnergy && d.id.rsplit_once('.').is_some_and(|(_, end)| end == card.id)
    };
    let derived = on.iter().find_map(|o| Some((o, o.steps.iter().flat_map(|s| &s.derived).find(own)?)));
    let Some((operation, derived)) = derived else {
        let by = said(card, "procedure").unwrap_or("the job");
        let planned = ["heat input window", "heat input"].iter().find_map(|label| said(card, label));
        let planned = planned.map_or(String::new(), |p| format!("; planned {p}"));
        return Fact::new(WHAT, format!("not asked: {by} sets no limit{planned}"));
    };
    let Some(value) = facts.state.derived(derived) else {
        *bad = true;
        return Fact::new(WHAT, "NOT READ: it follows from volts, amps, and runs and wire feed or travel");
    };
    let style = facts.plan.style(Kind::HeatInput);
    let off = facts.state.broken(facts.plan, operation).into_iter().find(|stop| stop.of == derived.of);
    *bad |= off.is_some();
    // No limit is told looser than it is.
    let limits: Vec<String> =
        [("at least", derived.least, style.up()), ("at most", derived.most, style.down())]
            .into_iter()
            .filter_map(|(word, limit, style)| limit.map(|l| format!("{word} {}", style.both(l))))
            .collect();
    let words = off.map_or_else(String::new, |stop| format!("; {}", against(stop.verdict)));
    Fact::new(
        WHAT,
        format!(
            "{}, from what was read; asked {}{words}",
            style.both(Quantity::from_si(Kind::HeatInput, value)),
            limits.join(", ")
        ),
    )
}

/// Who welded it, and what the right to do so rested on.
fn welder(on: &[&Operation], facts: &Facts<'_>, bad: &mut bool) -> Fact {
    let arcs = on.iter().filter(|o| o.acts.iter().any(|a| a == "arc"));
    let mut marks: Vec<&Mark> = Vec::new();
    for operation in arcs {
        let of_steps = operation.steps.iter().filter_map(|s| facts.state.done(operation, s));
        for mark in of_steps.chain(facts.state.initials(operation)) {
            if !marks.iter().any(|m| m.by.id == mark.by.id && m.rests_on == mark.rests_on) {
                marks.push(mark);
            }
        }
    }
    if marks.is_empty() {
        *bad = true;
        return Fact::new("welded by", "NOT ON RECORD");
    }
    let mut names: Vec<String> = Vec::new();
    for mark in &marks {
        let rests_on =
            if mark.rests_on.is_empty() { "no test stated".to_owned() } else { mark.rests_on.join(", ") };
        let arcs = on.iter().copied().filter(|o| o.acts.iter().any(|a| a == "arc"));
        let days = welded_on(facts, arcs, &mark.by.id).unwrap_or_else(|| day(&mark.at));
        let text = format!("{} ({}), {days}: {rests_on}", mark.by.name, mark.by.id);
        // Somebody without a test who also did it with one is named once.
        let known = marks.iter().any(|m| m.by.id == mark.by.id && !m.rests_on.is_empty());
        if !(mark.rests_on.is_empty() && known) {
            names.push(text);
        }
    }
    Fact::new("welded by", names.join("; "))
}

/// Who accepted it, to what; none if nobody has.
fn accepted(card: &WeldCard, on: &[&Operation], facts: &Facts<'_>) -> Option<String> {
    let accepts = on.iter().filter(|o| o.acts.iter().any(|a| a == "accept"));
    let signed = accepts
        .flat_map(|o| o.after.iter().map(move |p| (o, p)))
        .filter_map(|(o, p)| {
            facts.state.signatures(&o.key, &p.slot).iter().rfind(|s| !s.waived).map(|s| (p, s))
        })
        .next_back()?;
    let (point, signed) = signed;
    let rests_on = if signed.mark.rests_on.is_empty() {
        "no certificate stated".to_owned()
    } else {
        signed.mark.rests_on.join(", ")
    };
    let to = said(card, "accepted to").map_or(String::new(), |to| format!(" to {to}"));
    Some(sentence(&format!(
        "accepted{to}: {} ({}), {}, {}; {rests_on}",
        signed.mark.by.name,
        signed.mark.by.id,
        point.number,
        day(&signed.mark.at)
    )))
}

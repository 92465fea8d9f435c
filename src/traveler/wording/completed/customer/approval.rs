//! Approval: rules cited, what licensed people were asked, who signed as what.

use std::borrow::Cow;
use std::collections::BTreeMap;

use super::super::super::super::document::{Approval, Approved, Document, Signatory};
use super::super::{Facts, day};
use super::doubts::listed;
use super::rows::{asked, written};
use super::{Taken, sentence};
use crate::form::{BoxName, Part, Written};
use crate::plan::Words;
use crate::record::entry::Action;
use crate::record::identified::by_pin;
use crate::record::received::{Received, received};
use crate::record::state::Signed;
use crate::term::counted;
use crate::term::customer::{Row, Section as Stands};

pub(super) fn approval(document: &Document, facts: &Facts<'_>) -> Approval {
    let rows = rows(facts);
    let open: Vec<&str> = rows.iter().filter(|r| r.bad).map(|r| r.number.as_str()).collect();
    let mut notes = rules(document, facts);
    if !open.is_empty() {
        notes.push(Words::default().strong(format!(
            "Not signed, no longer holding, or passed with nobody there: {}.",
            open.join(", ")
        )));
    }
    let later: Vec<&str> = facts
        .plan
        .operations
        .iter()
        .filter(|o| o.deferred)
        .flat_map(|o| o.points())
        .map(|p| p.number.as_str())
        .collect();
    if !later.is_empty() {
        notes.push(Words::plain(format!(
            "{} signed after hand-over, when the work named on the first page is done.",
            match later.as_slice() {
                [one] => format!("{one} is"),
                many => format!("{} are", many.join(", ")),
            }
        )));
    }
    let received = received(facts.plan, facts.state, facts.entries);
    notes.extend(received.iter().map(|one| {
        Words::default()
            .strong(format!("{}. ", one.words()))
            .then("Whoever signed it did not know of it then: ask the shop what it means for you.")
    }));
    notes.extend(unproved(facts));
    if rows.is_empty() {
        notes.push(Words::plain("The plan of this job asks for no signature."));
    }
    Approval { notes, people: people(facts), rows }
}

/// Rules the work was judged by, law, and who was asked.
fn rules(document: &Document, facts: &Facts<'_>) -> Vec<Words> {
    let mut notes = Vec::new();
    let mut codes: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for card in &document.welds {
        let code = card.facts.iter().find(|f| f.label == "accepted to").and_then(|f| f.value.as_deref());
        if let Some(code) = code {
            codes.entry(code).or_default().push(&card.id);
        }
    }
    let codes: Vec<String> =
        codes.iter().map(|(code, ids)| format!("{code} for {}", ids.join(", "))).collect();
    if !document.welds.is_empty() || !codes.is_empty() {
        let told = if codes.is_empty() {
            "The job names no standard its welds are accepted to.".to_owned()
        } else {
            format!("Welds are accepted to {}.", codes.join("; "))
        };
        notes.push(Words::default().strong("Rules. ").then(told));
    }
    let said = |section| -> Option<String> {
        let told = |(t, row): &(Taken<'_>, Cow<'_, Row>)| {
            format!("{}: {} (operation {}, {})", row.row, t.measured.text, t.operation.number, t.by())
        };
        let all: Vec<String> = written(facts, section).iter().map(told).collect();
        (!all.is_empty()).then(|| format!("{}.", sentence(&all.join("; "))))
    };
    // What never goes on a road needs no entry in the papers of a vehicle.
    let law = said(Stands::Law).or_else(|| {
        asked(facts, Stands::Law).then(|| {
            "No entry says which inspection, entry in the papers or permit the change needs. Ask before it goes on a public road.".to_owned()
        })
    });
    notes.extend(law.map(|law| Words::default().strong("Law. ").then(law)));
    notes.push(Words::default().strong("Licensed people. ").then(said(Stands::Papers).unwrap_or_else(
        || "No answer of a licensed engineer or an authority is in this record.".to_owned(),
    )));
    notes.push(Words::plain("Local law, the maker's data and licensed people come before everything here."));
    notes
}

/// What was written by whoever knew an id: ticks, readings and whatever else no PIN is asked
/// for, and by whom; none where there is nothing of the kind.
fn unproved(facts: &Facts<'_>) -> Option<Words> {
    let mut by: BTreeMap<(&str, &str), usize> = BTreeMap::new();
    let (mut readings, mut ticks, mut others) = (0, 0, 0);
    for entry in facts.entries.iter().filter(|e| !e.identified().is_some_and(by_pin)) {
        match &entry.what {
            Action::Measure { .. } => readings += 1,
            Action::Tick { .. } => ticks += 1,
            Action::TornLine { .. } => continue,
            _ => others += 1,
        }
        *by.entry((&entry.by.name, &entry.by.id)).or_default() += 1;
    }
    let some = |n: usize, one: &str, more: &str| (n > 0).then(|| counted(n, one, more));
    let parts = [
        some(readings, "reading", "readings"),
        some(ticks, "tick", "ticks"),
        some(others, "other entry", "other entries"),
    ];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    let people: Vec<String> = by.iter().map(|((name, id), n)| format!("{name} ({id}) {n}")).collect();
    (!parts.is_empty()).then(|| {
        Words::default().strong("Without a PIN. ").then(format!(
            "By an id alone, as it is written down at the bench: {} ({}).",
            listed(&parts),
            people.join(", ")
        ))
    })
}

fn rows(facts: &Facts<'_>) -> Vec<Approved> {
    let received = received(facts.plan, facts.state, facts.entries);
    let mut rows = Vec::new();
    for operation in facts.plan.operations.iter().filter(|o| !o.deferred) {
        let sides = [("before", &operation.before), ("after", &operation.after)];
        for (moment, point) in sides.into_iter().flat_map(|(m, points)| points.iter().map(move |p| (m, p))) {
            let signed = facts.state.standing(operation, point);
            let open = facts.state.unsigned(operation, point);
            let mut who: Vec<String> = signed
                .iter()
                .map(|s| if s.waived { "nobody came".to_owned() } else { s.mark.by.id.clone() })
                .collect();
            who.extend(open.iter().map(|role| format!("{role}: NOT SIGNED")));
            let fallen = facts.fallen.iter().any(|f| f.key == operation.key && f.slot == point.slot);
            if fallen {
                who.push("NO LONGER HOLDS".to_owned());
            }
            let own =
                |one: &&Received<'_>| one.operation.key == operation.key && one.point.slot == point.slot;
            who.extend(received.iter().find(own).map(|_| "before what is told above".to_owned()));
            rows.push(Approved {
                number: point.number.clone(),
                what: format!("{moment} {}: {}", operation.number, operation.title),
                who: who.join(", "),
                at: signed.last().map_or_else(String::new, |s| day(&s.mark.at)),
                bad: fallen || !open.is_empty() || signed.iter().any(|s| s.waived),
                operation: operation.number,
                place: Some(BoxName {
                    operation: operation.key.clone(),
                    part: Part::Point(point.slot.clone(), 1, Written::Mark),
                }),
            });
        }
    }
    rows
}

fn people(facts: &Facts<'_>) -> Vec<Signatory> {
    let mut by: BTreeMap<(String, String), Vec<&Signed>> = BTreeMap::new();
    for signed in facts.state.points.values().flatten().filter(|s| !s.waived) {
        by.entry((signed.mark.by.id.clone(), signed.mark.by.role.clone())).or_default().push(signed);
    }
    by.into_values()
        .filter_map(|all| {
            let first = all.first()?;
            let mut certificates: Vec<&str> = Vec::new();
            let mut how: Vec<&str> = Vec::new();
            for signed in &all {
                let said = signed.mark.rests_on.iter().map(String::as_str);
                certificates.extend(said.filter(|c| !certificates.contains(c)).collect::<Vec<_>>());
                if !how.contains(&signed.how.as_str()) {
                    how.push(&signed.how);
                }
            }
            Some(Signatory {
                name: format!("{} ({})", first.mark.by.name, first.mark.by.id),
                role: first.mark.by.role.clone(),
                certificate: if certificates.is_empty() {
                    "none stated".to_owned()
                } else {
                    certificates.join("; ")
                },
                identified: match how.as_slice() {
                    ["pin"] => "by PIN".to_owned(),
                    _ => how.join("; "),
                },
                by_id: how.iter().any(|h| !by_pin(h)),
                count: counted(all.len(), "signature", "signatures"),
            })
        })
        .collect()
}

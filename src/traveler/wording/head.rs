//! The head page.

use std::collections::{BTreeMap, BTreeSet};

use super::super::document::{Caution, Fact, Head, PointEntry, Signal, Waiver};
use super::completed::signing::grouped;
use super::{Subject, operations, signers};
use crate::file::Text;
use crate::job::model::{JobFile, Station, Units};
use crate::plan;
use crate::plan::Words;
use crate::plan::tally::{Tally, hours};
use crate::procedure::figures::Owner;
use crate::term::counted;

/// What the customer calls the job, and whom to call.
pub(super) const ORDER: &str = "customer's order";
pub(super) const ORDER_CONTACT: &str = "customer's order, contact";

pub(super) fn head(planned: &Subject<'_>) -> Head {
    let job = planned.job;
    let shop = job.shop.as_ref();
    Head {
        shop: shop.map_or_else(String::new, |s| s.name.value.0.clone()),
        shop_lines: shop
            .map(|s| s.address.iter().chain(&s.contact).map(|t| t.0.clone()).collect())
            .unwrap_or_default(),
        facts: facts(planned),
        scope: scope(planned),
        done: planned.plan.done.clone(),
        people: signers::people(planned),
        tools: signers::tools(planned),
        points: points(planned),
        waivers: job
            .waiver
            .iter()
            .map(|w| Waiver {
                rule: match &w.operation {
                    Some(operation) => format!("{} for {}", w.rule.value, operation.value),
                    None => w.rule.value.to_string(),
                },
                reason: w.reason.0.clone(),
                who: w.by.0.clone(),
                date: w.date.value.to_string(),
            })
            .collect(),
        own_procedures: own_procedures(planned),
        cautions: cautions(planned),
        blanks: blanks(planned),
        disclaimer: disclaimer(planned),
    }
}

fn facts(planned: &Subject<'_>) -> Vec<Fact> {
    let job = planned.job;
    let mut facts = Vec::new();
    let mut fact = |label: &str, value: Option<String>| {
        facts.push(match value {
            Some(value) => Fact::new(label, value),
            None => Fact::blank(label),
        });
    };
    fact("unit", Some(job.unit.name.0.clone()));
    fact("customer", job.customer.as_ref().map(|c| c.name.0.clone()));
    fact("identification", job.unit.identification.as_ref().map(|t| t.0.clone()));
    let text = |text: Option<&Text>| text.map(|t| t.0.clone());
    let order = text(job.customer.as_ref().and_then(|c| c.order.as_ref()));
    // A line to write the order on stays where only somebody to call is known.
    match (order, text(job.customer.as_ref().and_then(|c| c.contact.as_ref()))) {
        (Some(order), Some(contact)) => fact(ORDER_CONTACT, Some(format!("{order}, {contact}"))),
        (order, None) => fact(ORDER, order),
        (None, Some(contact)) => {
            fact(ORDER, None);
            fact("customer's contact", Some(contact));
        }
    }
    // A trailer or a weldment has no meter to write in.
    let meter = job.unit.meter.as_ref().map(|t| t.0.clone());
    if meter.is_some() || job.axle.iter().any(|a| !a.trailer) {
        fact("meter as received", meter);
    }
    fact("issued", Some(job.job.date.value.to_string()));
    let tally = Tally::of(&planned.plan.operations);
    fact("estimated labour", Some(format!("{}, {} operations", hours(tally.minutes), tally.operations)));
    if tally.late_operations > 0 {
        let late = format!("{}, {} operations", hours(tally.late_minutes), tally.late_operations);
        fact("after hand-over", Some(late));
    }
    // Whoever gets the completed record compares the root of its signature with this.
    let seal = planned.plan.shop.seal.as_ref();
    if let Some(seal) = seal {
        fact("root of the shop's signature (SHA-256)", Some(grouped(&seal.0)));
    }
    fact("due", job.job.due.as_ref().map(|d| d.value.to_string()));
    facts
}

/// The work in full, what was asked for, and one sentence per procedure.
fn scope(planned: &Subject<'_>) -> Vec<Words> {
    let mut found = vec![Words::default().strong(planned.job.job.title.0.clone())];
    found.extend(planned.job.job.asked.iter().map(|t| Words::plain(t.0.clone())));
    found.extend(planned.plan.scope.iter().cloned());
    found
}

/// The index of points: those of the work, then those after hand-over.
fn points(planned: &Subject<'_>) -> Vec<PointEntry> {
    let all = &planned.plan.operations;
    let later = all.iter().filter(|o| o.deferred);
    all.iter()
        .filter(|o| !o.deferred)
        .chain(later)
        .flat_map(|operation| operation.points().map(move |point| entry(operation, point)))
        .collect()
}

fn entry(operation: &plan::Operation, point: &plan::Point) -> PointEntry {
    PointEntry {
        number: point.number.clone(),
        kind: point.kind,
        place: format!("{} {}", point.moment, operation.number),
        what: format!("{} {}", operation.verb.word().to_uppercase(), operation.title),
        who: operations::all_who_sign(point),
        signed: None,
    }
}

/// What the work is done on: nobody reads of parts it has not.
enum Worked {
    Vehicle,
    Trailer,
    /// Neither: a frame, a fixture, a bracket.
    Part,
}

impl Worked {
    fn of(job: &JobFile) -> Self {
        match job.axle.as_slice() {
            [] if job.driveshaft.is_empty() => Self::Part,
            [_, ..] if job.axle.iter().all(|a| a.trailer) => Self::Trailer,
            _ => Self::Vehicle,
        }
    }

    fn approval(&self) -> &'static str {
        match self {
            Self::Vehicle => {
                "Changing axles, springs, steering or brakes may need approval and inspection before the unit goes on a public road."
            }
            Self::Trailer => {
                "Changing axles, springs, coupling or brakes may need approval and inspection before the trailer goes on a public road."
            }
            Self::Part => {
                "A part that lifts, carries or holds people or loads may need approval and inspection before it is used."
            }
        }
    }
}

/// Cautions for the whole job, for what its operations do. Sources: 29 CFR
/// 1910 subpart Q and ANSI Z49.1 for hot work; the rest common practice.
fn cautions(planned: &Subject<'_>) -> Vec<Caution> {
    let job = planned.job;
    let mut acts: BTreeSet<&str> = BTreeSet::new();
    let mut stations: BTreeSet<Station> = BTreeSet::new();
    for operation in &planned.plan.operations {
        acts.extend(operation.acts.iter().map(String::as_str));
        stations.insert(operation.station);
    }
    let caution = |signal, hazard: &str, consequence: &str, avoid: &str| Caution {
        signal,
        hazard: hazard.to_owned(),
        consequence: consequence.to_owned(),
        avoid: avoid.to_owned(),
    };
    // 35 ft of 29 CFR 1910.252(a)(2)(iii), in the units of the job.
    let around = match planned.job.job.units {
        Units::Inch => "35 ft",
        Units::Metric => "11 m",
    };
    let mut found = Vec::new();
    let vehicle = stations.contains(&Station::Lift) || stations.contains(&Station::AlignmentRack);
    if vehicle {
        found.push(caution(
            Signal::Danger,
            "A unit that comes off its supports.",
            "It will crush whoever is under it.",
            "Rated stands on a level floor, wheels chocked, shaken before anyone goes under. A jack is no support.",
        ));
    }
    if acts.contains("arc") || acts.contains("heat") {
        found.push(caution(
            Signal::Warning,
            "Arc, sparks, hot metal and fume.",
            "They can burn, blind, poison and start fires out of sight.",
            &format!("Combustibles clear for {around} or a fire watch, kept at least 30 min after the last arc (29 CFR 1910.252; some local rules ask for 60). Extraction on. No coating and no chlorinated cleaner near the arc."),
        ));
        if vehicle {
            found.push(caution(
                Signal::Notice,
                "Weld current takes every path it finds.",
                "Modules, bearings and seals are destroyed without a trace.",
                match Worked::of(job) {
                    Worked::Trailer => "Plug and breakaway battery off. Ground clamp on the part that is welded, next to the weld.",
                    Worked::Vehicle | Worked::Part => "Both battery cables off, negative first. Ground clamp on the part that is welded, next to the weld.",
                },
            ));
        }
    }
    if acts.contains("grind") || acts.contains("cut-permanent") {
        found.push(caution(
            Signal::Warning,
            "A disc can catch, kick or burst.",
            "Deep cuts, lost eyes.",
            "Guard on, face shield over glasses, disc rated for the speed, nobody in line with it.",
        ));
    }
    found
}

/// What the document could not compute, and what it still needs.
fn blanks(planned: &Subject<'_>) -> Vec<Words> {
    let mut found: Vec<Words> = Vec::new();
    for missing in &planned.figures.missing {
        if missing.needs.is_empty() {
            found.push(Words::plain(format!("{}: {}.", missing.owner.words(), missing.why)));
        }
    }
    let mut by_key: BTreeMap<String, Vec<String>> = BTreeMap::new();
    for missing in &planned.figures.missing {
        for need in &missing.needs {
            by_key
                .entry(need.clone())
                .or_default()
                .push(title(&missing.owner, missing.names.first().copied()));
        }
    }
    for (key, mut figures) in by_key {
        figures.sort();
        figures.dedup();
        found.push(Words::plain(format!("{} wait for ", figures.join(", "))).strong(key).then("."));
    }
    found
}

fn title(owner: &Owner, name: Option<&str>) -> String {
    let words = name
        .and_then(|n| crate::procedure::catalogue::find(owner.scope(), n))
        .map_or("further figures", |n| n.title);
    format!("{} ({})", words, owner.words())
}

/// Procedures that do not ship with the program: `knuckle-reindex.toml (25 operations)`.
fn own_procedures(planned: &Subject<'_>) -> Vec<String> {
    let said = |(file, n): (&String, &usize)| format!("{file} ({})", counted(*n, "operation", "operations"));
    planned.plan.own_procedures.iter().map(said).collect()
}

/// What comes before this paper, and whose procedures it follows if not the program's.
fn disclaimer(planned: &Subject<'_>) -> Vec<Words> {
    let mut lines = precedence(planned);
    let own = own_procedures(planned);
    if !own.is_empty() {
        lines.push(Words::default().strong(format!(
            "Followed here are procedures of the shop's own, not those that ship with the program: {}. Their holds, limits and cautions are the shop's.",
            own.join(", ")
        )));
    }
    lines
}

fn precedence(planned: &Subject<'_>) -> Vec<Words> {
    if let Some(text) = planned.job.shop.as_ref().and_then(|s| s.disclaimer.as_ref()) {
        return vec![Words::plain(text.0.clone())];
    }
    let preference = planned.plan.shop.preference.as_ref();
    if let Some(text) = preference.and_then(|p| p.disclaimer.as_ref()) {
        return vec![Words::plain(text.0.clone())];
    }
    let mut lines = vec![
        Words::plain(
            "Local law, the vehicle and component manufacturers' data, the governing welding and bolting code, and the judgement of licensed people come before this sheet. A manufacturer's value wins over a computed one.",
        ),
        Words::plain(format!(
            "{} Figures rest on the measurements entered; where one is missing the sheet says so and leaves a line. Stop and ask the shop lead when the part in front of you is not the part described here.",
            Worked::of(planned.job).approval()
        )),
    ];
    if planned.job.job.invented {
        lines.push(
            Words::default()
                .strong("This job is an invented demonstration: unit, people and values are made up."),
        );
    }
    lines
}

//! A unit that is in every reading as the job states it is told to be: nothing stops.

use chrono::NaiveDate;
use tackwright::app::System;
use tackwright::app::record::freeze::frozen;
use tackwright::app::record::register::assemble;
use tackwright::app::shop::book::book;
use tackwright::quantity::Quantity;
use tackwright::record::entry::{Action, Entry, Measured};
use tackwright::record::frozen::{Frozen, Operation, Reading};
use tackwright::record::people::Register;
use tackwright::record::rules::Scene;
use tackwright::record::state::{State, fold};
use tackwright::term::{Judged, Verdict};

use super::record_gates::{entry, read};
use super::routing_jobs::{messages, planned};

const JOBS: [&str; 5] = ["brush-truck", "crew-cab", "forest-carrier", "hoist-frame", "pump-trailer"];

/// What the job states of a reading, or what the plan makes of it.
fn nominal(reading: &Reading) -> Option<Quantity> {
    reading.expected.or_else(|| reading.limits?.target)
}

fn plan(job: &str) -> Frozen {
    let text = std::fs::read_to_string(format!("jobs/{job}.toml")).unwrap();
    planned(&text, &[], |plan, _| frozen(&plan.resolved, "digest"))
        .unwrap_or_else(|f| panic!("{job}: {:#?}", messages(&f)))
}

/// A reading as stated, with the uncertainty of the first instrument that is proposed for it.
fn taken(
    plan: &Frozen,
    register: &Register,
    n: u64,
    (operation, reading): (&Operation, &Reading),
) -> Option<Entry> {
    let value = nominal(reading)?;
    let (state, entries) = (State::default(), Vec::new());
    let day = NaiveDate::from_ymd_opt(2026, 3, 2).unwrap();
    let scene = Scene { plan, state: &state, entries: &entries, register, day, at: None };
    let (named, others) = scene.takes(reading.instrument.as_deref(), reading.limits?, Some(value));
    let spread = named.first().or(others.first()).and_then(|i| i.spread);
    let Action::Measure { reading: plain } = read(&operation.key, &reading.id, 0.0) else { return None };
    let reading = Measured {
        kind: Some(value.kind().word().to_owned()),
        value: Some(value.si().to_string()),
        uncertainty: spread.map(|s| s.at(value.si()).to_string()),
        verdict: Judged::Decided(Verdict::Conform),
        ..*plain
    };
    Some(entry(n, "08:00", "F1", Action::Measure { reading: Box::new(reading) }))
}

#[test]
fn a_job_on_which_everything_agrees_stops_nowhere() {
    let shop = book(&System, Some("jobs/shop.toml".as_ref())).unwrap();
    let register = assemble(None, Some(&shop), NaiveDate::from_ymd_opt(2026, 3, 2).unwrap());
    let mut asked = 0;
    for job in JOBS {
        let plan = plan(job);
        let all = plan.operations.iter().flat_map(|o| o.readings().map(move |r| (o, r)));
        let log: Vec<Entry> =
            all.zip(1..).filter_map(|(place, n)| taken(&plan, &register, n, place)).collect();
        let state = fold(&log);
        for operation in &plan.operations {
            let stops: Vec<String> = state.stops(&plan, operation).into_iter().map(|s| s.words).collect();
            assert!(stops.is_empty(), "{job} {}: {stops:?}", operation.number);
            let derived = operation.steps.iter().flat_map(|s| &s.derived);
            asked += derived.filter(|d| state.derived(d).is_some()).count();
        }
    }
    assert!(asked > 4, "{asked} rules were asked");
}

#[test]
fn a_wall_as_planned_holds_and_a_thinner_one_does_not() {
    let plan = plan("brush-truck");
    let walls = plan.operations.iter().find(|o| o.id == "read-walls").unwrap();
    let least = walls.steps.iter().flat_map(|s| &s.derived).find(|d| d.as_planned).unwrap();
    let limit = least.least.unwrap().si();
    let read_as = |si: f64| {
        let log: Vec<Entry> = (1..)
            .zip(&least.of)
            .map(|(n, name)| {
                let Action::Measure { reading } = read(&walls.key, &name.reading, 0.0) else {
                    unreachable!()
                };
                let reading = Measured {
                    kind: Some("length".to_owned()),
                    value: Some(si.to_string()),
                    uncertainty: Some("0.0000254".to_owned()),
                    ..*reading
                };
                entry(n, "08:00", "F1", Action::Measure { reading: Box::new(reading) })
            })
            .collect();
        fold(&log).stops(&plan, walls)
    };
    assert_eq!(read_as(limit), Vec::new());
    let stops = read_as(limit - 0.000_005);
    assert!(stops.iter().any(|s| s.words.contains("least wall")), "{stops:?}");
}

//! Less to write, more that counts: whose signature stands for initials, and heat
//! input without a stopwatch.

use tackwright::app::compose::compose;
use tackwright::app::record::freeze::frozen;
use tackwright::form::Part;
use tackwright::record::Frozen;
use tackwright::record::frozen::Point;
use tackwright::record::state::State;
use tackwright::term::{PointKind, Take};
use tackwright::traveler::document::Block;

use super::routing_jobs::{messages, planned};

const TRUCK: &str = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/jobs/brush-truck.toml"));

/// A job's plan as it is frozen, and the numbers each box of initials on paper is for.
fn plan(text: &str) -> (Frozen, Vec<u32>) {
    planned(text, &[], |plan, _| {
        let document = compose(plan);
        let stations = document.stations.iter().chain(&document.later_stations);
        let blocks = stations.flat_map(|s| &s.blocks);
        let lists = blocks.filter_map(|b| if let Block::Initials(list) = b { Some(list) } else { None });
        let numbers = lists.flatten().flat_map(|one| one.operations.clone()).collect();
        (frozen(&plan.resolved, "digest"), numbers)
    })
    .unwrap_or_else(|f| panic!("{:#?}", messages(&f)))
}

#[test]
fn a_signature_of_the_same_role_stands_for_initials_and_never_for_an_arc() {
    for name in ["brush-truck", "crew-cab", "forest-carrier", "hoist-frame", "pump-trailer"] {
        let (plan, printed) = plan(&std::fs::read_to_string(format!("jobs/{name}.toml")).unwrap());
        let mut stands = 0;
        for (place, operation) in plan.operations.iter().enumerate() {
            let asked = operation.boxes().iter().any(|b| matches!(b.name.part, Part::Initials(_)));
            let id = &operation.id;
            assert_eq!(asked, operation.initialled(), "{name} {id}");
            assert_eq!(asked, printed.contains(&operation.number), "{name} {id}: paper and plan");
            if !operation.by_signature {
                continue;
            }
            stands += 1;
            let arcs = ["arc", "tack", "heat", "cut-permanent"];
            assert!(!operation.acts.iter().any(|a| arcs.contains(&a.as_str())), "{name} {id}: own hand");
            // Looked up a second way: a hold where the next holds stand at the same place is signed
            // by the role. Where an outside tester is named the lead signs one more there.
            let here = plan.operations[place..].iter().take_while(|o| o.station == operation.station);
            let later = here.skip(1).flat_map(|o| [&o.before, &o.after]);
            let holds = |points: &[Point]| points.iter().any(|p| p.kind == PointKind::Hold);
            let next = std::iter::once(&operation.after).chain(later).find(|points| holds(points));
            let roles =
                next.into_iter().flatten().filter(|p| p.kind == PointKind::Hold).flat_map(|p| &p.roles);
            assert!(roles.into_iter().any(|r| *r == operation.role), "{name} {id} is signed by its role");
        }
        assert!(stands > 0, "{name}: the rule was not met once");
    }
}

#[test]
fn a_plan_from_before_keeps_its_boxes() {
    let (plan, _) = plan(TRUCK);
    let accept = plan.operations.iter().find(|o| o.id == "accept-knuckles").unwrap();
    assert!(accept.by_signature);
    let state = State::default();
    let initials = format!("initials {}", accept.number);
    assert!(!state.lacking_work(accept).contains(&initials));
    // Without the flag, as it was frozen before, initials are asked for.
    let mut before = serde_json::to_value(accept).unwrap();
    before.as_object_mut().unwrap().remove("by_signature");
    let before: tackwright::record::frozen::Operation = serde_json::from_value(before).unwrap();
    assert!(before.initialled() && state.lacking_work(&before).contains(&initials));
    assert!(before.boxes().iter().any(|b| matches!(b.name.part, Part::Initials(_))));
    assert!(before.asks_as(accept), "and what is asked otherwise is the same");
}

#[test]
fn heat_input_is_asked_where_somebody_limits_it_and_follows_from_runs_and_wire_feed() {
    let (plain, _) = plan(TRUCK);
    let takes = |plan: &Frozen| {
        let steps = plan.operations.iter().flat_map(|o| &o.steps);
        steps.flat_map(|s| &s.derived).filter(|d| d.take == Take::ArcEnergy).cloned().collect::<Vec<_>>()
    };
    assert!(takes(&plain).is_empty(), "no procedure of the demonstration limits it");
    // The joint states how fast it may cool, as quenched and tempered steel does.
    let limited = TRUCK.replacen(
        "around = \"3.25 in\"",
        "around = \"3.25 in\"\ncooling_least = \"2 s\"\ncooling_most = \"40 s\"",
        1,
    );
    let (plan, _) = plan(&limited);
    let all = takes(&plan);
    assert_eq!(all.len(), 1);
    let derived = &all[0];
    let named: Vec<&str> = derived.of.iter().map(|n| n.reading.as_str()).collect();
    assert_eq!(named, ["volts.J2", "amps.J2", "runs.J2", "feed.J2"]);
    assert!(derived.least.is_some() && derived.most.is_some());
    let weld = plan.operations.iter().find(|o| o.id == "weld-knuckles").unwrap();
    assert!(
        weld.readings().filter(|r| r.id.starts_with("runs") || r.id.starts_with("feed")).all(|r| r.asked())
    );

    // Checked from outside (EN 1011-1, 19.1: Q = k U I / v, k = 0.8 for GMAW): 20 V, 185 A, and
    // a wire of 0.035 in at 310 in/min that fills a single bevel of 30 deg, 0.265 in
    // deep with a gap of 1/16 in round 3.25 in; the pool keeps most of the wire.
    let (volts, amps, feed) = (20.0, 185.0, 310.0 * 0.0254 / 60.0);
    let heat = |runs: f64, feed: f64| {
        derived.take.of_all(&[volts, amps, runs, feed]).unwrap() * derived.factor.unwrap().si()
    };
    let inch = 0.0254;
    let area = (0.0625 * 0.265 + 0.5 * 0.265 * 0.265 * 30.0_f64.to_radians().tan()) * inch * inch;
    let wire = std::f64::consts::PI / 4.0 * (0.035 * inch) * (0.035 * inch);
    let ideal = 0.8 * volts * amps * area / (wire * feed) / 2.0;
    let two = heat(2.0, feed);
    assert!(two > 0.95 * ideal && two < 1.6 * ideal, "{two} J/m, {ideal} without cap, root and losses");
    // More runs in the same joint are smaller; a faster wire burns shorter.
    assert!((heat(4.0, feed) - two / 2.0).abs() < 1e-6 * two);
    assert!((heat(2.0, 2.0 * feed) - two / 2.0).abs() < 1e-6 * two);
    assert!(derived.take.of_all(&[volts, amps, 0.0, feed]).is_none(), "no run, no heat input");
}

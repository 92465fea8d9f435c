//! Routing of large jobs: how time grows, and what is proved.
//!
//! Axle jobs of the usual make are strung together. Bounds are loose, because
//! machines differ; the times are printed with `--nocapture`.

#![allow(clippy::print_stdout, reason = "times are for a person to read")]

use std::time::Instant;

use tackwright::routing::order::{Outcome, find};
use tackwright::routing::problem::{Moment, Operation, Point, Problem, ReadingNeed, WHOLE_UNIT};
use tackwright::routing::replay::faults;
use tackwright::routing::{rules, why};

use super::routing_why::graph_picture;

/// Operations of one axle: id, station, hold, states in the notation of the
/// routing tests, with `u.` for states of the whole unit.
const AXLE: &[(&str, &str, bool, &str)] = &[
    ("as-found", "lift", false, "wheels.on +found.recorded"),
    ("wheels-off", "lift", false, "found.recorded wheels.on -wheels.on"),
    ("brake-lines-off", "lift", false, "!wheels.on -brake-line.in"),
    ("axle-out", "lift", false, "!brake-line.in +axle.out"),
    ("strip", "bench", false, "axle.out -bearings.in -seals.in +housing.bare"),
    ("clean", "bench", false, "housing.bare +housing.clean"),
    ("measure-housing", "bench", false, "housing.clean +caster.known"),
    ("cut-knuckles", "weld bay", true, "caster.known !bearings.in !seals.in +knuckles.free"),
    ("set-pinion", "weld bay", false, "knuckles.free +pinion.set"),
    ("tack-pads", "weld bay", false, "pinion.set +pads.tacked"),
    ("weld-pads", "weld bay", true, "pads.tacked !seals.in +pads.welded"),
    ("turn-knuckles", "weld bay", false, "pads.welded +caster.set"),
    ("tack-knuckles", "weld bay", false, "caster.set +knuckles.tacked"),
    ("weld-knuckles", "weld bay", true, "knuckles.tacked !bearings.in +knuckles.welded"),
    ("accept-welds", "bench", true, "knuckles.welded pads.welded +welds.accepted"),
    ("check-run-out", "bench", false, "welds.accepted +straight"),
    ("paint", "bench", false, "welds.accepted +painted"),
    ("bearings-in", "bench", false, "straight +bearings.in"),
    ("seals-in", "bench", false, "bearings.in painted +seals.in"),
    ("axle-in", "lift", false, "seals.in -axle.out +axle.in"),
    ("u-bolts", "lift", true, "axle.in +clamped"),
    ("brake-lines-on", "lift", false, "clamped +brake-line.in"),
    ("bleed", "lift", false, "brake-line.in +bled"),
    ("wheels-on", "lift", false, "bled +wheels.on"),
    ("align", "alignment rack", true, "wheels.on clamped +aligned"),
];

/// What an operation does, for the rules.
fn acts(id: &str) -> &'static [&'static str] {
    match id {
        "as-found" => &["as-found"],
        "wheels-off" => &["loosen"],
        "cut-knuckles" => &["cut-permanent"],
        "tack-pads" | "tack-knuckles" => &["arc", "tack"],
        "weld-pads" | "weld-knuckles" => &["arc"],
        "u-bolts" => &["torque"],
        _ => &[],
    }
}

/// A job with `axles` axles, plus reception and hand-over.
fn job(axles: usize) -> Problem {
    let mut p = Problem::new();
    let mut add = |component: &str, id: &str, station: &str, rank: usize, hold: bool, states: &[String]| {
        let mut op = Operation::new(&format!("{component}/{id}"), id);
        op.component = component.to_owned();
        op.station = station.to_owned();
        op.rank = u32::try_from(rank).unwrap();
        for word in states {
            let (list, name) = match word.as_bytes()[0] {
                b'+' => (&mut op.provides, &word[1..]),
                b'-' => (&mut op.clears, &word[1..]),
                b'!' => (&mut op.forbids, &word[1..]),
                _ => (&mut op.requires, word.as_str()),
            };
            let state =
                p.state(name, name.split_once('.').map_or(name, |(_, own)| own), Some(component), name);
            list.push(state);
            if ["wheels.on", "bearings.in", "seals.in", "brake-line.in"].iter().any(|s| name.ends_with(s)) {
                p.start_with(state);
            }
        }
        op.acts = acts(id).iter().map(|&a| a.to_owned()).collect();
        op.at = vec!["housing".to_owned()];
        op.role = "fitter".to_owned();
        if id.starts_with("weld") {
            op.joints = Some("pad".to_owned());
            op.points.push(Point::hold(Moment::Before, "inspector", "gap and angle").rule("fit-up"));
        }
        if id == "accept-welds" {
            op.points.push(Point::hold(Moment::After, "inspector", "sound").rule("acceptance"));
        }
        if id == "u-bolts" {
            op.readings.push(ReadingNeed { kind: "torque".to_owned(), instrument: "wrench".to_owned() });
        }
        if hold {
            op.points.push(Point::hold(Moment::Before, "lead", "ready"));
        }
        p.add(op).unwrap();
    };
    let own = |axle: usize, word: &str| {
        let split = usize::from(!word.as_bytes()[0].is_ascii_alphabetic());
        format!("{}a{axle}.{}", &word[..split], &word[split..])
    };
    add(WHOLE_UNIT, "receive", "lift", 0, true, &["+received".to_owned()]);
    add(WHOLE_UNIT, "protect", "lift", 1, false, &["received".to_owned(), "+protected".to_owned()]);
    let mut done = Vec::new();
    for axle in 0..axles {
        for (i, (id, station, hold, states)) in AXLE.iter().enumerate() {
            let mut words: Vec<String> = states.split_whitespace().map(|w| own(axle, w)).collect();
            if i == 0 {
                words.push("protected".to_owned());
            }
            add(&format!("axle {axle:03}"), id, station, 10 + i, *hold, &words);
        }
        done.push(format!("a{axle}.aligned"));
    }
    add(WHOLE_UNIT, "road test", "road", 90, false, &[done, vec!["+driven".to_owned()]].concat());
    add(WHOLE_UNIT, "hand over", "bench", 91, true, &["driven".to_owned()]);
    p
}

#[test]
fn a_two_axle_job_is_proved_best() {
    for axles in [1, 2] {
        let p = job(axles);
        let start = Instant::now();
        let Outcome::Found(route) = find(&p) else { panic!("no route") };
        println!("{} operations: {:?}, {:?}", p.operations().len(), start.elapsed(), route.cost);
        assert!(route.proved_best && route.proved_first, "{axles} axles");
        assert!(route.crossings.is_empty());
        // lift, bench, weld bay, bench, lift, rack, road, bench: one walk for all axles.
        assert_eq!(route.cost.station_changes, 7);
    }
}

#[test]
fn time_grows_gently() {
    for (axles, seconds) in [(4, 5), (40, 5), (80, 5), (400, 90)] {
        let p = job(axles);
        let n = p.operations().len();
        let start = Instant::now();
        let Outcome::Found(route) = find(&p) else { panic!("no route for {n}") };
        let took = start.elapsed();
        println!("{n} operations: {took:?}, {:?}, proved {}", route.cost, route.proved_best);
        assert!(took.as_secs() < seconds, "{n} operations took {took:?}");
        assert_eq!(faults(&p, &route.order), vec![]);
        assert_eq!(route.cost.station_changes, 7);
        let start = Instant::now();
        let middle = route.order[n / 2];
        assert!(why::why(&p, &route.order, middle).is_some());
        println!("   one explanation {:?}", start.elapsed());
        let start = Instant::now();
        let audit = rules::check(&p, &route.order, &[], &[]);
        let looked_at: usize = audit.tallies.iter().map(|t| t.looked_at).sum();
        println!("   {looked_at} looks of the rules {:?}", start.elapsed());
        assert!(looked_at > axles && audit.broken.is_empty(), "{:?}", audit.broken.first());
        assert!(start.elapsed().as_secs() < seconds, "rules took {:?}", start.elapsed());
        let start = Instant::now();
        let picture = graph_picture(&p, &route.order, "T");
        println!("   picture of {} bytes {:?}", picture.len(), start.elapsed());
        assert!(start.elapsed().as_secs() < seconds, "the picture took {:?}", start.elapsed());
    }
}

#[test]
fn a_large_impossible_job_names_few() {
    let mut p = job(80);
    // Reception waits for the last alignment: everything waits in a circle.
    let mut late = Operation::new("late", "late");
    late.requires.push(p.state("a7.aligned", "", None, ""));
    late.provides.push(p.state("key found", "", None, ""));
    p.add(late).unwrap();
    let mut early = Operation::new("early", "early");
    early.requires.push(p.state("key found", "", None, ""));
    early.provides.push(p.state("a7.ready", "", None, ""));
    p.add(early).unwrap();
    let mut again = Problem::new();
    for s in p.states() {
        let id = again.state(&s.key, &s.name, None, "");
        if p.find_state(&s.key).is_some_and(|s| p.starts_with(s)) {
            again.start_with(id);
        }
    }
    let ready = again.find_state("a7.ready").unwrap();
    for op in p.operations() {
        let mut op = op.clone();
        if op.key == "axle 007/u-bolts" {
            op.requires.push(ready);
        }
        again.add(op).unwrap();
    }
    let start = Instant::now();
    let Outcome::Impossible(conflict) = find(&again) else { panic!("there is no order") };
    println!("{} operations impossible: {:?}", again.operations().len(), start.elapsed());
    assert!(conflict.minimal);
    let names: Vec<&str> = conflict.operations.iter().map(|&i| again.operations()[i].key.as_str()).collect();
    assert_eq!(names, ["early", "late", "axle 007/u-bolts", "axle 007/align"]);
}

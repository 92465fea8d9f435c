//! Real jobs: every procedure alone and combined has an order, whatever the
//! ranks, and breaks no safety rule.

use std::path::Path;

use proptest::prelude::*;
use tackwright::app::issue::compose;
use tackwright::app::plan::{Failure, Plan, Shelf, load, plan, shelf};
use tackwright::app::route;
use tackwright::routing::cost::cost;
use tackwright::routing::order::{Effort, Outcome, find_within};
use tackwright::routing::problem::{Operation, PointKind, Problem};
use tackwright::routing::replay::faults;
use tackwright::routing::rules::RULES;

use super::routing_why::readable;
use super::support::desk::Desk;

/// A job without any measure: only who and what.
const HEAD: &str = r#"
[job]
number = "T-1"
title = "Test of the route (invented)"
date = 2026-03-02
invented = true

[unit]
name = "Unit 1"

[[axle]]
id = "front"
end = "front"
name = "front axle"
driven = true
steered = true

[[axle]]
id = "rear"
end = "rear"
name = "rear axle"
driven = true

[[axle]]
id = "trailer"
name = "trailer axle"
trailer = true

[[driveshaft]]
id = "shaft"
name = "rear driveshaft"
axle = "rear"

[[weldment]]
id = "bracket"
name = "hoist bracket"
"#;

/// Every procedure with every component it is done on.
const ALONE: &[(&str, &str)] = &[
    ("axle-position", "front"),
    ("axle-position", "trailer"),
    ("bolt-on", "unit"),
    ("bolt-on", "front"),
    ("driveshaft", "shaft"),
    ("final", "front"),
    ("final", "trailer"),
    ("housing-rotation", "rear"),
    ("knuckle-reindex", "front"),
    ("linkage", "front"),
    ("shackle-move", "front"),
    ("shackle-move", "trailer"),
    ("spring-clamp", "rear"),
    ("spring-clamp", "trailer"),
    ("spring-over", "front"),
    ("spring-over", "rear"),
    ("spring-pack", "front"),
    ("spring-pack", "trailer"),
    ("trailer-springs", "trailer"),
    ("weldment", "bracket"),
];

/// Work that goes together.
const TOGETHER: &[&[(&str, &str)]] = &[
    &[("spring-over", "front"), ("spring-over", "rear")],
    &[("spring-over", "front"), ("knuckle-reindex", "front"), ("linkage", "front")],
    &[("spring-over", "front"), ("spring-over", "rear"), ("driveshaft", "shaft")],
    &[("housing-rotation", "rear"), ("driveshaft", "shaft")],
    &[("shackle-move", "front"), ("spring-pack", "front")],
    &[("shackle-move", "front"), ("shackle-move", "rear")],
    &[("spring-pack", "front"), ("spring-pack", "rear")],
    &[("spring-over", "front"), ("spring-pack", "rear")],
    &[("spring-over", "front"), ("shackle-move", "rear")],
    &[("linkage", "front"), ("spring-pack", "front")],
    &[("trailer-springs", "trailer"), ("shackle-move", "trailer")],
    &[("trailer-springs", "trailer"), ("bolt-on", "trailer")],
    &[("weldment", "bracket"), ("bolt-on", "unit")],
    &[("bolt-on", "unit"), ("spring-over", "front")],
    &[("knuckle-reindex", "front"), ("housing-rotation", "front"), ("shackle-move", "front")],
    &[
        ("spring-over", "front"),
        ("knuckle-reindex", "front"),
        ("linkage", "front"),
        ("shackle-move", "front"),
        ("spring-over", "rear"),
        ("driveshaft", "shaft"),
        ("weldment", "bracket"),
        ("bolt-on", "unit"),
    ],
];

pub(crate) fn job(work: &[(&str, &str)]) -> String {
    let mut text = HEAD.to_owned();
    for (procedure, on) in work {
        text.push_str(&format!("\n[[work]]\nprocedure = \"{procedure}\"\non = [\"{on}\"]\n"));
    }
    text
}

/// Plans a job text and looks at the plan.
pub(crate) fn planned<T>(
    text: &str,
    folder: &[(&str, &str)],
    look: impl FnOnce(&Plan<'_>, &Shelf) -> T,
) -> Result<T, Failure> {
    let desk = Desk::default();
    for (name, file) in folder {
        desk.put(name, file);
    }
    tackwright::app::Host::write(&desk, Path::new("job.toml"), text.as_bytes()).unwrap();
    let own = (!folder.is_empty()).then_some(Path::new("own"));
    let shelf = shelf(&desk, own)?;
    let loaded = load(&desk, Path::new("job.toml"), &shelf)?;
    let plan = plan(&loaded, &shelf)?;
    Ok(look(&plan, &shelf))
}

pub(crate) fn messages(failure: &Failure) -> Vec<String> {
    match failure {
        Failure::Refused(report, _) => report
            .problems
            .iter()
            .filter(|p| p.severity == tackwright::diagnostic::Severity::Error)
            .map(|p| format!("{} {} [{}] {}", p.code, p.message, p.key, p.help.join(" ")))
            .collect(),
        Failure::System(text) => vec![text.clone()],
    }
}

#[test]
fn every_procedure_and_the_usual_combinations_have_a_route_that_keeps_the_rules() {
    let shelf = shelf(&Desk::default(), None).expect("the library loads");
    for id in shelf.library.procedures.keys() {
        assert!(ALONE.iter().any(|(p, _)| p == id), "{id} is not tried");
    }
    let alone = ALONE.iter().map(std::slice::from_ref);
    for work in alone.chain(TOGETHER.iter().copied()) {
        let looked = planned(&job(work), &[], |plan, _| {
            assert_eq!(faults(&plan.problem, &plan.route.order), vec![], "{work:?}");
            assert!(plan.audit.broken.is_empty() && plan.audit.waived.is_empty(), "{work:?}");
            assert!(!plan.route.order.is_empty(), "{work:?}");
            let picture = route::graph_sheet(plan);
            readable(&picture);
            // In the words of the paper, not in the templates of the procedures.
            assert!(!picture.alt.contains(['{', '}']), "{}", picture.alt);
            // Shared operations are merged, not repeated.
            for shared in ["receive", "record-as-found", "hand-over"] {
                let times = plan.problem.operations().iter().filter(|o| o.id == shared).count();
                assert!(times <= 1, "{shared} {times} times in {work:?}");
            }
        });
        assert!(looked.is_ok(), "{work:?}: {:#?}", looked.err().map(|f| messages(&f)));
    }
}

fn truck() -> String {
    std::fs::read_to_string("jobs/brush-truck.toml").unwrap()
}

/// The same operations and states, each operation changed by `change`.
fn changed(problem: &Problem, change: impl Fn(usize, &mut Operation)) -> Problem {
    let mut p = Problem::new();
    for s in problem.states() {
        let id = p.state(&s.key, &s.name, s.component.as_deref(), &s.means);
        if problem.find_state(&s.key).is_some_and(|s| problem.starts_with(s)) {
            p.start_with(id);
        }
    }
    for (i, op) in problem.operations().iter().enumerate() {
        let mut op = op.clone();
        change(i, &mut op);
        p.add(op).unwrap();
    }
    p
}

/// A fixed generator, so that a failure can be looked at again.
struct Dice(u64);

impl Dice {
    fn roll(&mut self, below: usize) -> usize {
        self.0 ^= self.0 << 13;
        self.0 ^= self.0 >> 7;
        self.0 ^= self.0 << 17;
        usize::try_from(self.0 % u64::try_from(below).unwrap()).unwrap()
    }

    fn permutation(&mut self, n: usize) -> Vec<u32> {
        let mut ranks: Vec<u32> = (0..u32::try_from(n).unwrap()).collect();
        for i in (1..n).rev() {
            ranks.swap(i, self.roll(i + 1));
        }
        ranks
    }
}

#[test]
fn an_order_is_found_whatever_the_ranks_and_the_budget() {
    let big = job(TOGETHER[TOGETHER.len() - 1]);
    for (text, rounds) in [(truck(), 200), (job(TOGETHER[0]), 200), (job(TOGETHER[11]), 200), (big, 60)] {
        let problem = planned(&text, &[], |plan, _| plan.problem.clone()).unwrap();
        let n = problem.operations().len();
        let mut dice = Dice(0x5eed);
        let mut least = None;
        for round in 0..rounds {
            // List order and its reverse first: both once misled the router.
            let ranks: Vec<u32> = match round {
                0 => (0..u32::try_from(n).unwrap()).collect(),
                1 => (0..u32::try_from(n).unwrap()).rev().collect(),
                _ => dice.permutation(n),
            };
            let effort = Effort { looks: [0, 300, 3_000][round % 3], steps: [0, 40_000][round % 2] };
            let p = changed(&problem, |i, op| op.rank = ranks[i]);
            let Outcome::Found(route) = find_within(&p, effort) else {
                panic!("no route in round {round} of {n} operations")
            };
            assert_eq!(faults(&p, &route.order), vec![]);
            assert_eq!(route.cost, cost(&p, &route.order));
            // Without holds nothing in the cost depends on ranks.
            let p = changed(&problem, |i, op| {
                op.rank = ranks[i];
                op.points.clear();
            });
            let Outcome::Found(route) = find_within(&p, Effort { looks: 3_000, steps: 40_000 }) else {
                panic!("no route without holds in round {round} of {n} operations")
            };
            assert_eq!(faults(&p, &route.order), vec![]);
            if route.proved_best {
                assert_eq!(*least.get_or_insert(route.cost), route.cost, "round {round} of {n} operations");
            }
        }
        // The proof holds up to 128 operations.
        assert!(least.is_some() || n > 128, "nothing proved for {n} operations");
    }
}

/// An operation of a planted job: states it flips, states it looks at.
type Seedling = (Vec<usize>, Vec<usize>, u32);

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    /// A job written along an order that works has an order, whatever its ranks:
    /// it is found, or not known, but never called impossible.
    #[test]
    fn a_planted_order_is_never_denied(
        seedlings in prop::collection::vec(
            (prop::collection::vec(0..14_usize, 1..=2), prop::collection::vec(0..14_usize, 0..=2), 0..50_u32),
            10..=60,
        ),
        start in prop::collection::vec(any::<bool>(), 14),
        holds in 0..7_usize,
        looks in prop::sample::select(vec![0_usize, 50, 2_000]),
        steps in prop::sample::select(vec![0_usize, 500, 50_000]),
    ) {
        let (problem, order) = planted(&seedlings, &start, holds);
        prop_assert_eq!(faults(&problem, &order), vec![]);
        match find_within(&problem, Effort { looks, steps }) {
            Outcome::Found(route) => prop_assert_eq!(faults(&problem, &route.order), vec![]),
            Outcome::Undecided => {}
            Outcome::Impossible(c) => prop_assert!(false, "denied: {}", c.explanation),
        }
    }
}

fn planted(seedlings: &[Seedling], start: &[bool], holds: usize) -> (Problem, Vec<usize>) {
    let mut p = Problem::new();
    let ids: Vec<_> =
        (0..start.len()).map(|i| p.state(&format!("s{i}"), &format!("s{i}"), None, "")).collect();
    for (id, on) in ids.iter().zip(start) {
        if *on {
            p.start_with(*id);
        }
    }
    let mut now = start.to_vec();
    for (i, (flips, looks, rank)) in seedlings.iter().enumerate() {
        let mut op = Operation::new(&format!("o{i}"), &format!("op {i}"));
        op.rank = *rank;
        op.station = format!("station {}", i % 3);
        op.component = ["front", "rear"][i % 2].to_owned();
        for &s in looks {
            if now[s] { op.requires.push(ids[s]) } else { op.forbids.push(ids[s]) }
        }
        for &s in flips {
            if now[s] { op.clears.push(ids[s]) } else { op.provides.push(ids[s]) }
        }
        if holds > 0 && i % holds == 0 {
            op.points.push(tackwright::routing::problem::Point::hold(
                tackwright::routing::problem::Moment::After,
                "lead",
                "ready",
            ));
        }
        op.clears.sort_unstable();
        op.clears.dedup();
        op.provides.sort_unstable();
        op.provides.dedup();
        op.clears.iter().for_each(|s| now[s.index()] = false);
        op.provides.iter().for_each(|s| now[s.index()] = true);
        p.add(op).unwrap();
    }
    (p, (0..seedlings.len()).collect())
}

#[test]
fn hold_numbers_are_those_of_the_traveler() {
    planned(&truck(), &[], |plan, _| {
        let document = compose(plan);
        let value = serde_json::to_value(&document).unwrap();
        let mut printed = Vec::new();
        let parts = ["operations", "after_hand_over"].map(|part| value[part].as_array().unwrap());
        for operation in parts.into_iter().flatten() {
            for side in ["before", "after"] {
                for point in operation[side].as_array().unwrap() {
                    printed.push(point["number"].as_str().or(point["id"].as_str()).unwrap().to_owned());
                }
            }
        }
        let lines = route::lines(plan);
        let called: Vec<String> =
            lines.iter().flat_map(|l| l.before.iter().chain(&l.after)).map(|p| p.number.clone()).collect();
        assert_eq!(called, printed);
        let holds = plan.problem.operations().iter().flat_map(|o| &o.points);
        let holds = holds.filter(|p| p.kind == PointKind::Hold).count();
        assert!(called.contains(&format!("H{holds}")));
        let minutes: u32 = route::loads(&lines).iter().map(|l| l.minutes + l.deferred).sum();
        assert_eq!(minutes, plan.problem.operations().iter().map(|o| o.minutes).sum::<u32>());
    })
    .unwrap();
}

#[test]
fn a_reason_fits_on_a_screen_and_names_operations_by_number() {
    planned(&truck(), &[], |plan, _| {
        for index in 0..plan.problem.operations().len() {
            let said = route::explain(plan, index);
            assert!((2..=14).contains(&said.len()), "{said:#?}");
            let vocabulary = plan.problem.states().iter().map(|s| s.key.as_str());
            for key in vocabulary.filter(|k| !k.starts_with("done/")) {
                assert!(said.iter().all(|s| !s.contains(key)), "{key} in {said:#?}");
            }
        }
        let weld = route::find(plan, "weld-pads").unwrap();
        let said = route::explain(plan, weld);
        assert!(
            said[0].starts_with("It waits for ") && said[0].contains("Verify pinion and pads cold"),
            "{said:#?}"
        );
        assert!(said.iter().any(|s| s.starts_with("The chain that leads to it: 10 ")), "{said:#?}");
    })
    .unwrap();
}

#[test]
fn suspension_welds_at_the_frame_are_looked_at() {
    planned(&job(&[("shackle-move", "front")]), &[], |plan, _| {
        let tally = plan.audit.tallies.iter().find(|t| t.rule == "weld-holds").unwrap();
        assert_eq!((tally.looked_at, tally.broken), (1, 0), "the hanger weld");
        let weld = plan.problem.operations().iter().find(|o| o.id == "weld-hangers").unwrap();
        assert!(weld.at.iter().any(|a| a == "hanger"));
    })
    .unwrap();
}

#[test]
fn every_state_a_rule_looks_for_is_in_the_vocabulary() {
    let shelf = shelf(&Desk::default(), None).unwrap();
    let mut looked_for = 0;
    for rule in RULES {
        let tackwright::routing::rules::Check::Data(data) = rule.check else { continue };
        for state in data().forbid_states {
            let known = shelf
                .library
                .states
                .get(&state)
                .or_else(|| shelf.library.states.get(&format!("unit.{state}")));
            assert!(
                known.is_some_and(|s| s.initial),
                "{} looks for {state}, which nothing speaks of",
                rule.id
            );
            let users = shelf
                .library
                .operations
                .values()
                .filter(|o| o.row.clears.iter().any(|s| s.0.trim_start_matches("unit.") == state));
            assert!(users.count() > 0, "nothing ends {state}");
            looked_for += 1;
        }
    }
    assert_eq!(looked_for, 6, "fuel, brake line, wiring, bearings, seals, tyre");
}

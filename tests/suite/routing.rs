//! Routing against brute force: existence, the best order, conflicts, reasons.
//!
//! The oracle here tries every permutation and counts costs from their
//! definition; it shares no code with the finder.

use proptest::prelude::*;
use tackwright::routing::cost::{Cost, cost, crossings};
use tackwright::routing::order::{Effort, Outcome, find, find_within};
use tackwright::routing::problem::{Moment, Operation, Point, Problem, ProblemError};
use tackwright::routing::replay::{Fault, faults};
use tackwright::routing::{numbers, order};

/// A compact operation for tests: lists are words, `!` before a state forbids
/// it, `-` clears it, `+` provides it, bare requires it.
pub(crate) fn op(problem: &mut Problem, key: &str, place: &str, rank: u32, states: &str) -> Operation {
    let mut op = Operation::new(key, key);
    let (component, station) = place.split_once('@').unwrap_or(("unit", place));
    op.component = component.to_owned();
    op.station = station.to_owned();
    op.rank = rank;
    for word in states.split_whitespace() {
        let (list, name) = match word.as_bytes()[0] {
            b'+' => (&mut op.provides, &word[1..]),
            b'-' => (&mut op.clears, &word[1..]),
            b'!' => (&mut op.forbids, &word[1..]),
            _ => (&mut op.requires, word),
        };
        list.push(problem.state(name, name, None, name));
    }
    op
}

pub(crate) fn add(problem: &mut Problem, key: &str, place: &str, rank: u32, states: &str) {
    let op = op(problem, key, place, rank, states);
    problem.add(op).expect("fresh key");
}

pub(crate) fn keys(problem: &Problem, order: &[usize]) -> Vec<String> {
    order.iter().map(|&i| problem.operations()[i].key.clone()).collect()
}

fn found(problem: &Problem) -> order::Route {
    match find(problem) {
        Outcome::Found(route) => route,
        other => panic!("no route: {other:?}"),
    }
}

/// Cost counted by the definition, without the library.
fn counted(problem: &Problem, order: &[usize]) -> Cost {
    let ops = problem.operations();
    let mut c = Cost::default();
    for i in 0..order.len() {
        for j in i + 1..order.len() {
            let (a, b) = (&ops[order[i]], &ops[order[j]]);
            let covers = |h: &Operation, o: &Operation| {
                h.has_hold() && (h.component == "unit" || h.component == o.component)
            };
            if a.rank > b.rank && (covers(a, b) || covers(b, a)) {
                c.hold_crossings += 1;
            }
        }
        if i > 0 {
            c.station_changes += usize::from(ops[order[i]].station != ops[order[i - 1]].station);
            c.component_changes += usize::from(ops[order[i]].component != ops[order[i - 1]].component);
        }
    }
    c
}

/// Cost, ranks with keys, order.
type Entry = (Cost, Vec<(u32, String)>, Vec<usize>);

/// Every workable permutation, best first: cost, then ranks with keys.
fn brute_force(problem: &Problem) -> Option<(Cost, Vec<usize>)> {
    fn go(p: &Problem, order: &mut Vec<usize>, now: &[bool], best: &mut Option<Entry>) {
        let ops = p.operations();
        if order.len() == ops.len() {
            let names = order.iter().map(|&i| (ops[i].rank, ops[i].key.clone())).collect();
            let entry = (counted(p, order), names, order.clone());
            if best.as_ref().is_none_or(|b| entry < *b) {
                *best = Some(entry);
            }
            return;
        }
        let proper_left = (0..ops.len()).any(|i| !order.contains(&i) && !ops[i].deferred);
        for (i, o) in ops.iter().enumerate() {
            if order.contains(&i)
                || o.deferred && proper_left
                || o.requires.iter().any(|s| !now[s.index()])
                || o.forbids.iter().any(|s| now[s.index()])
            {
                continue;
            }
            let mut then = now.to_vec();
            o.clears.iter().for_each(|s| then[s.index()] = false);
            o.provides.iter().for_each(|s| then[s.index()] = true);
            order.push(i);
            go(p, order, &then, best);
            order.pop();
        }
    }
    let mut best = None;
    go(problem, &mut Vec::new(), &problem.start(), &mut best);
    best.map(|(c, _, o)| (c, o))
}

/// Recipe of a random operation: station, component, rank, state lists, hold, deferred.
type Recipe = (u8, u8, u32, Vec<u8>, Vec<u8>, Vec<u8>, Vec<u8>, u8, u8);

fn recipe(states: u8) -> impl Strategy<Value = Recipe> {
    let list = |most| prop::collection::vec(0..states, 0..=most);
    (0..3_u8, 0..3_u8, 0..8_u32, list(2), list(2), list(1), list(1), 0..5_u8, 0..10_u8)
}

pub(crate) fn build(recipes: &[Recipe], initial: &[u8], states: u8) -> Problem {
    let mut problem = Problem::new();
    let ids: Vec<_> =
        (0..states).map(|i| problem.state(&format!("s{i}"), &format!("s{i}"), None, "")).collect();
    for &i in initial {
        problem.start_with(ids[usize::from(i)]);
    }
    for (i, (station, component, rank, requires, provides, clears, forbids, hold, deferred)) in
        recipes.iter().enumerate()
    {
        let mut op = Operation::new(&format!("o{i}"), &format!("op {i}"));
        op.station = format!("station {station}");
        op.component = ["unit", "front", "rear"][usize::from(*component)].to_owned();
        op.rank = *rank;
        let pick = |list: &Vec<u8>| list.iter().map(|&s| ids[usize::from(s)]).collect::<Vec<_>>();
        (op.requires, op.provides, op.clears, op.forbids) =
            (pick(requires), pick(provides), pick(clears), pick(forbids));
        if *hold == 0 {
            op.points.push(Point::hold(Moment::Before, "lead", "ready"));
        }
        op.deferred = *deferred == 0;
        problem.add(op).expect("fresh key");
    }
    problem
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(800))]

    /// Up to 7 operations: the finder agrees with brute force on existence, on
    /// the least cost and on the order itself, and says that it is proved.
    #[test]
    fn small_jobs_match_brute_force(
        recipes in prop::collection::vec(recipe(5), 0..=7),
        initial in prop::collection::vec(0..5_u8, 0..=3),
    ) {
        let problem = build(&recipes, &initial, 5);
        match (find(&problem), brute_force(&problem)) {
            (Outcome::Found(route), Some((least, order))) => {
                prop_assert_eq!(route.cost, least);
                prop_assert_eq!(&route.order, &order);
                prop_assert!(route.proved_best && route.proved_first);
                prop_assert_eq!(crossings(&problem, &route.order).len(), least.hold_crossings);
                prop_assert_eq!(cost(&problem, &order), least);
            }
            (Outcome::Impossible(conflict), None) => {
                prop_assert!(conflict.minimal);
                prop_assert!(!conflict.operations.is_empty());
            }
            (got, want) => prop_assert!(false, "{:?} but brute force says {:?}", got, want),
        }
    }

    /// With next to no effort the answers are still true: a route works, a proof
    /// is a proof, and what is called impossible is.
    #[test]
    fn little_effort_never_lies(
        recipes in prop::collection::vec(recipe(5), 1..=6),
        initial in prop::collection::vec(0..5_u8, 0..=3),
        looks in 0..20_usize,
        steps in 0..6_usize,
    ) {
        let problem = build(&recipes, &initial, 5);
        let best = brute_force(&problem);
        match find_within(&problem, Effort { looks, steps }) {
            Outcome::Found(route) => {
                let (least, order) = best.expect("brute force finds one too");
                prop_assert_eq!(faults(&problem, &route.order), vec![]);
                prop_assert!(route.cost >= least);
                prop_assert!(!route.proved_best || route.cost == least);
                prop_assert!(!route.proved_first || route.order == order);
            }
            Outcome::Impossible(_) => prop_assert_eq!(best, None),
            Outcome::Undecided => {}
        }
    }

    /// A conflict is a conflict, and no smaller: checked by brute force over
    /// every order of every choice of the free operations.
    #[test]
    fn conflicts_are_irreducible(
        recipes in prop::collection::vec(recipe(4), 1..=5),
        initial in prop::collection::vec(0..4_u8, 0..=2),
    ) {
        let problem = build(&recipes, &initial, 4);
        if let Outcome::Impossible(conflict) = find(&problem) {
            let core = &conflict.operations;
            prop_assert!(!orderable(&problem, core), "the core {:?} can be ordered", core);
            for &left_out in core {
                let smaller: Vec<usize> = core.iter().copied().filter(|&o| o != left_out).collect();
                prop_assert!(orderable(&problem, &smaller), "{:?} is blocked without {}", core, left_out);
            }
            for demand in &conflict.demands {
                prop_assert!(core.contains(&demand.operation));
            }
            let words = &conflict.explanation;
            prop_assert!(words.matches(". ").count() < 8, "{}", words);
            for demand in &conflict.demands {
                prop_assert!(words.contains(&format!("'{}'", problem.operations()[demand.operation].title)), "{}", words);
            }
        }
    }

    /// Middling jobs: whatever comes out replays, twice the same, whichever way
    /// the operations were added.
    #[test]
    fn routes_replay_and_repeat(
        recipes in prop::collection::vec(recipe(12), 8..=40),
        initial in prop::collection::vec(0..12_u8, 0..=6),
    ) {
        let problem = build(&recipes, &initial, 12);
        let effort = Effort { looks: 400, steps: 4_000 };
        let outcome = find_within(&problem, effort);
        prop_assert_eq!(&outcome, &find_within(&problem, effort));
        if let Outcome::Found(route) = outcome {
            prop_assert_eq!(faults(&problem, &route.order), vec![]);
            let mut turned = Problem::new();
            for s in problem.states() {
                let id = turned.state(&s.key, &s.name, None, "");
                if problem.find_state(&s.key).is_some_and(|s| problem.starts_with(s)) {
                    turned.start_with(id);
                }
            }
            for op in problem.operations().iter().rev() {
                turned.add(op.clone()).expect("fresh key");
            }
            let again = find_within(&turned, effort);
            let again = again.route().expect("the same job");
            prop_assert_eq!(keys(&problem, &route.order), keys(&turned, &again.order));
        }
    }
}

/// Whether the operations in `core` can be ordered when every other operation
/// is free: no demands, and done at most once or not at all.
fn orderable(problem: &Problem, core: &[usize]) -> bool {
    fn go(p: &Problem, core: &[usize], done: &mut Vec<usize>, now: &[bool]) -> bool {
        let ops = p.operations();
        if core.iter().all(|i| done.contains(i)) {
            return true;
        }
        let proper_left = core.iter().any(|i| !done.contains(i) && !ops[*i].deferred);
        for (i, o) in ops.iter().enumerate() {
            let asked = core.contains(&i)
                && (o.deferred && proper_left
                    || o.requires.iter().any(|s| !now[s.index()])
                    || o.forbids.iter().any(|s| now[s.index()]));
            if done.contains(&i) || asked {
                continue;
            }
            let mut then = now.to_vec();
            o.clears.iter().for_each(|s| then[s.index()] = false);
            o.provides.iter().for_each(|s| then[s.index()] = true);
            done.push(i);
            if go(p, core, done, &then) {
                return true;
            }
            done.pop();
        }
        false
    }
    go(problem, core, &mut Vec::new(), &problem.start())
}

#[test]
fn fewest_station_changes_then_the_procedures_order() {
    let mut p = Problem::new();
    add(&mut p, "a", "front@bench", 1, "+marked");
    add(&mut p, "b", "front@lift", 2, "marked +lifted");
    add(&mut p, "c", "front@bench", 3, "");
    add(&mut p, "d", "front@bench", 4, "lifted");
    // a b c d and a c b d both change stations twice; the procedure says a b c d.
    assert_eq!(keys(&p, &found(&p).order), ["a", "b", "c", "d"]);
    add(&mut p, "e", "front@lift", 5, "");
    // e joins b at the lift, so that nobody walks there twice.
    assert_eq!(keys(&p, &found(&p).order), ["a", "b", "e", "c", "d"]);
    assert_eq!(found(&p).cost.station_changes, 2);
}

#[test]
fn operations_of_one_component_stay_together() {
    let mut p = Problem::new();
    for (i, component) in ["front", "rear", "front", "rear"].into_iter().enumerate() {
        add(
            &mut p,
            &format!("{component}/{i}"),
            &format!("{component}@bench"),
            1 + u32::try_from(i).unwrap(),
            "",
        );
    }
    let route = found(&p);
    assert_eq!(keys(&p, &route.order), ["front/0", "front/2", "rear/1", "rear/3"]);
    assert_eq!(route.cost, Cost { hold_crossings: 0, station_changes: 0, component_changes: 1 });
}

#[test]
fn a_hold_is_not_passed_to_save_a_walk() {
    let plan = |hold: bool| {
        let mut p = Problem::new();
        add(&mut p, "grind", "front@bench", 1, "");
        let mut cut = op(&mut p, "cut", "front@weld bay", 2, "");
        if hold {
            cut.points.push(Point::hold(Moment::Before, "lead", "marks checked"));
        }
        p.add(cut).unwrap();
        add(&mut p, "dress", "front@bench", 3, "");
        (keys(&p, &found(&p).order).join(" "), found(&p).cost)
    };
    assert_eq!(plan(false).0, "grind dress cut");
    let (order, cost) = plan(true);
    assert_eq!(order, "grind cut dress");
    assert_eq!((cost.hold_crossings, cost.station_changes), (0, 2));
}

#[test]
fn a_hold_yields_to_the_states_and_is_reported() {
    let mut p = Problem::new();
    add(&mut p, "paint", "front@bench", 1, "welded");
    let mut weld = op(&mut p, "weld", "front@weld bay", 2, "+welded");
    weld.points.push(Point::hold(Moment::After, "inspector", "accepted"));
    p.add(weld).unwrap();
    let route = found(&p);
    assert_eq!(keys(&p, &route.order), ["weld", "paint"]);
    assert_eq!(route.crossings.len(), 1);
    assert_eq!((route.crossings[0].first, route.crossings[0].later), (1, 0));
}

#[test]
fn a_hold_binds_its_component_and_a_unit_hold_binds_all() {
    for (component, crossed) in [("front", 0), ("unit", 1)] {
        let mut p = Problem::new();
        let mut gate = op(&mut p, "gate", &format!("{component}@office"), 2, "late");
        gate.points.push(Point::hold(Moment::Before, "customer", "scope signed"));
        p.add(gate).unwrap();
        add(&mut p, "work", "rear@bench", 3, "+late");
        assert_eq!(found(&p).cost.hold_crossings, crossed, "{component}");
    }
}

#[test]
fn a_state_can_be_undone_and_provided_again() {
    let mut p = Problem::new();
    let on = p.state("wheels.on", "wheels.on", None, "");
    p.start_with(on);
    add(&mut p, "road test", "road", 9, "wheels.on welded");
    add(&mut p, "wheels off", "lift", 2, "wheels.on -wheels.on");
    add(&mut p, "read", "lift", 1, "wheels.on");
    add(&mut p, "weld", "weld bay", 3, "!wheels.on +welded");
    add(&mut p, "wheels on", "lift", 4, "!wheels.on welded +wheels.on");
    assert_eq!(keys(&p, &found(&p).order), ["read", "wheels off", "weld", "wheels on", "road test"]);
}

#[test]
fn the_conflict_is_told_as_a_chain() {
    let mut p = Problem::new();
    let on = p.state("wheels.on", "wheels.on", None, "");
    p.start_with(on);
    add(&mut p, "strip", "lift", 1, "-wheels.on +bare");
    add(&mut p, "measure", "lift", 1, "");
    add(&mut p, "weld pads", "weld bay", 3, "housing.centred +pads.welded");
    add(&mut p, "centre axle", "weld bay", 2, "wheels.on bare +housing.centred");
    add(&mut p, "final assembly", "lift", 4, "pads.welded +wheels.on");
    let Outcome::Impossible(conflict) = find(&p) else { panic!("there is no order") };
    assert!(conflict.minimal);
    assert_eq!(keys(&p, &conflict.operations), ["centre axle", "weld pads", "final assembly"]);
    assert_eq!(keys(&p, &conflict.involved), ["strip"]);
    let diagnostic = Outcome::Impossible(conflict.clone()).diagnostic(&p).expect("a problem");
    assert_eq!((diagnostic.code, diagnostic.key.as_str()), ("R001", "centre axle"));
    assert_eq!(diagnostic.expected, "an order for 'centre axle', 'weld pads', 'final assembly'");
    assert_eq!(diagnostic.help, std::slice::from_ref(&conflict.explanation));
    assert_eq!(Outcome::Undecided.diagnostic(&p).map(|d| d.code), Some("R002"));
    assert_eq!(
        conflict.explanation,
        "'centre axle' needs wheels.on, which 'strip' clears and only 'final assembly' provides again. \
         It also needs bare, which only 'strip' provides. \
         'final assembly' needs pads.welded, which only 'weld pads' provides, after 'centre axle'."
    );
}

#[test]
fn one_operation_alone_can_be_impossible() {
    let rows = [
        ("needs", "never", "'x' needs never, which nothing provides."),
        ("self", "own +own", "'x' needs own, which nothing else provides."),
        (
            "bars",
            "!there",
            "'x' must not run while there is true; it is true at the start and nothing clears it.",
        ),
    ];
    for (case, states, words) in rows {
        let mut p = Problem::new();
        let there = p.state("there", "there", None, "");
        p.start_with(there);
        add(&mut p, "x", "bench", 1, states);
        add(&mut p, "y", "bench", 2, "");
        let Outcome::Impossible(conflict) = find(&p) else { panic!("{case} has an order") };
        assert_eq!(conflict.operations, [0], "{case}");
        assert_eq!(conflict.explanation, words, "{case}");
    }
}

#[test]
fn hand_over_comes_before_what_is_deferred() {
    let mut p = Problem::new();
    let mut retorque = op(&mut p, "re-torque", "bench", 1, "");
    retorque.deferred = true;
    p.add(retorque).unwrap();
    add(&mut p, "hand over", "bench", 2, "");
    assert_eq!(keys(&p, &found(&p).order), ["hand over", "re-torque"]);
    assert!(matches!(faults(&p, &[0, 1])[0], Fault::TooSoon { position: 0, operation: 0, waits_for: 1 }));
    add(&mut p, "close", "bench", 3, "driven");
    let mut drive = op(&mut p, "first miles", "road", 4, "+driven");
    drive.deferred = true;
    p.add(drive).unwrap();
    let Outcome::Impossible(conflict) = find(&p) else { panic!("there is no order") };
    assert!(
        conflict.explanation.contains("only 'first miles' provides after hand-over"),
        "{}",
        conflict.explanation
    );
}

#[test]
fn hostile_jobs_are_survived() {
    assert_eq!(found(&Problem::new()).order, Vec::<usize>::new());

    let mut p = Problem::new();
    add(&mut p, "twice", "bench", 1, "+s +s -s -s s2 s2");
    add(&mut p, "again", "bench", 2, "s s +s2");
    let Outcome::Impossible(_) = find(&p) else { panic!("s2 and s wait for each other") };

    // A self-clearing operation: what it clears it needs; what it also provides stays.
    let mut p = Problem::new();
    let s = p.state("s", "s", None, "");
    p.start_with(s);
    add(&mut p, "a", "bench", 1, "s -s");
    add(&mut p, "b", "bench", 2, "s -s +s");
    assert_eq!(keys(&p, &found(&p).order), ["b", "a"]);

    assert_eq!(p.add(Operation::new("a", "")), Err(ProblemError::KeyTaken("a".to_owned())));
    let mut strange = Operation::new("z", "");
    strange.requires.push(Problem::new().state("elsewhere", "", None, ""));
    assert_eq!(p.add(strange.clone()), Ok(()), "index 0 exists here too");
    let mut other = Problem::new();
    assert_eq!(other.add(strange), Err(ProblemError::StrangeState("z".to_owned())));
}

#[test]
fn the_replay_names_every_fault() {
    let mut p = Problem::new();
    let t = p.state("t", "t", None, "");
    p.start_with(t);
    add(&mut p, "a", "bench", 1, "s !t");
    add(&mut p, "b", "bench", 2, "+s -t");
    let found = faults(&p, &[0, 7, 0]);
    assert!(matches!(found[0], Fault::Lacks { position: 0, operation: 0, .. }));
    assert!(matches!(found[1], Fault::Meets { position: 0, operation: 0, .. }));
    assert_eq!(found[2], Fault::Unknown { position: 1 });
    assert_eq!(found[3], Fault::Twice { position: 2, operation: 0 });
    assert_eq!(found[4], Fault::Missing { operation: 1 });
    assert_eq!(faults(&p, &[1, 0]), vec![]);
}

#[test]
fn numbers_go_in_tens() {
    assert_eq!(numbers::numbers(4, &[2, 0, 3]), [Some(20), None, Some(10), Some(30)]);
    assert_eq!(numbers::number(11), 120);
}

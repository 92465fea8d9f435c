//! The order a master would give: what stands before what, on real jobs, and
//! which checks no job that touches the thing can do without.
//!
//! Every pair here is common practice of axle, spring and steering work; where
//! a rule or standard asks for it, it is named beside the pair.

use tackwright::app::issue::compose;
use tackwright::app::plan::Plan;
use tackwright::procedure::Library;
use tackwright::procedure::embedded::FILES;
use tackwright::procedure::file::{Does, Moment, PointKind};

use super::routing_jobs::{job, messages, planned};

const KNUCKLES: &[(&str, &str)] =
    &[("spring-over", "front"), ("knuckle-reindex", "front"), ("linkage", "front")];
const SHACKLES: &[(&str, &str)] = &[("shackle-move", "front")];
const HANGERS: &[(&str, &str)] = &[("spring-over", "front"), ("shackle-move", "front")];
const PACKS: &[(&str, &str)] = &[("spring-pack", "rear")];
const TRAILER: &[(&str, &str)] = &[("trailer-springs", "trailer")];
const SHAFT: &[(&str, &str)] = &[("housing-rotation", "rear"), ("driveshaft", "shaft")];
const WELDMENT: &[(&str, &str)] = &[("weldment", "bracket")];

/// Places of an operation in the order; it must be there.
fn place(plan: &Plan<'_>, id: &str) -> usize {
    let found = plan.route.order.iter().position(|i| plan.problem.operations()[*i].id == id);
    found.unwrap_or_else(|| panic!("no operation {id}"))
}

/// Each operation stands before the next one.
fn in_order(work: &[(&str, &str)], ids: &[&str]) {
    planned(&job(work), &[], |plan, _| {
        for pair in ids.windows(2) {
            assert!(
                place(plan, pair[0]) < place(plan, pair[1]),
                "{} before {} in {work:?}",
                pair[0],
                pair[1]
            );
        }
    })
    .unwrap_or_else(|f| panic!("{work:?}: {:#?}", messages(&f)));
}

fn library() -> Library {
    Library::load(FILES.iter().copied()).0
}

#[test]
fn supported_before_anybody_is_under_it() {
    for work in [KNUCKLES, SHACKLES, TRAILER] {
        // 29 CFR 1910.252 and every maker's manual: stands, then the underside.
        in_order(work, &["support", "protect", "hot-work"]);
    }
}

#[test]
fn settled_and_level_before_any_angle_or_height() {
    let library = library();
    let mut found = 0;
    for operation in library.operations.values().filter(|o| o.row.acts.iter().any(|a| a.0 == "as-found")) {
        let needs = |state: &str| operation.row.requires.iter().any(|s| s.0 == state);
        assert!(needs("unit.level"), "{} reads before the unit has settled", operation.row.id.value);
        found += 1;
    }
    assert!(found >= 9, "{found}");
    in_order(KNUCKLES, &["set-level", "record-as-found", "pinion-as-found", "caster-as-found", "support"]);
    in_order(TRAILER, &["set-level", "record-as-found", "trailer-as-found", "support"]);
}

#[test]
fn casting_and_construction_are_proved_at_intake_and_iron_stops_the_job() {
    in_order(KNUCKLES, &["prove-knuckle", "support", "wheels-off", "read-caster", "cut-knuckles"]);
    in_order(&[("knuckle-reindex", "front")], &["prove-knuckle", "support", "cut-knuckles", "weld-knuckles"]);
    let library = library();
    let row = &library.operations["prove-knuckle"].row;
    assert!(row.point.iter().any(|p| p.kind == PointKind::Hold && p.moment == Moment::After));
    let stops = |reading: &str, word: &str| {
        let written = row.step.iter().flat_map(|s| s.written()).find(|r| r.id.0 == reading).unwrap();
        written.choices.iter().any(|c| c.word.value.contains(word) && c.does == Does::Stops)
    };
    assert!(stops("casting", "iron") && stops("casting", "not proved"));
    assert!(stops("construction", "cast in one") && stops("construction", "not found out"));
}

#[test]
fn the_bare_metal_is_a_hold_that_nobody_can_waive() {
    let library = library();
    let points = &library.operations["inspect-bare"].row.point;
    assert!(points.iter().any(|p| p.kind == PointKind::Hold && p.role.word() == "inspector"));
    assert!(points.iter().all(|p| p.kind != PointKind::Witness));
    in_order(KNUCKLES, &["bare-metal", "inspect-bare", "old-pads-off", "read-caster", "cut-knuckles"]);
}

#[test]
fn knuckles_are_cut_and_welded_on_saddles_and_read_under_weight() {
    for work in [KNUCKLES, &[("knuckle-reindex", "front")]] {
        planned(&job(work), &[], |plan, _| {
            // Replay the states: what is true at each turn.
            let problem = &plan.problem;
            let mut now = problem.start();
            let settled = problem.find_state("unit.settled").unwrap().index();
            let (mut read, mut worked) = (0, 0);
            for index in &plan.route.order {
                let op = &problem.operations()[*index];
                match op.id.as_str() {
                    "read-caster" => {
                        assert!(now[settled], "the constant of the housing is read under weight");
                        read += 1;
                    }
                    id if id.ends_with("-knuckles") || id == "read-walls" => {
                        assert!(!now[settled], "{id} under the weight of the front");
                        worked += 1;
                    }
                    _ => {}
                }
                op.clears.iter().for_each(|s| now[s.index()] = false);
                op.provides.iter().for_each(|s| now[s.index()] = true);
            }
            assert_eq!((read, worked), (1, 8), "{work:?}");
        })
        .unwrap_or_else(|f| panic!("{work:?}: {:#?}", messages(&f)));
    }
    let saddles = &library().operations["saddle-housing"].row;
    let method = saddles.step.iter().flat_map(|s| s.written()).find(|r| r.id.0 == "method").unwrap();
    let words: Vec<&str> = method.choices.iter().map(|c| &*c.word.0).collect();
    assert!(words.contains(&"bench saddles") && words.iter().any(|w| w.starts_with("in place")), "{words:?}");
}

#[test]
fn a_second_person_reads_before_the_cut_and_before_the_steering_weld() {
    let library = library();
    for (operation, second, first, hold) in [
        ("read-caster", "second", "first", ("cut-knuckles", Moment::Before)),
        ("verify-knuckles", "caster-again", "caster", ("verify-knuckles", Moment::After)),
    ] {
        let row = &library.operations[operation].row;
        let step = row.step.iter().find(|s| s.written().any(|r| r.id.0 == second)).unwrap();
        assert!(step.by.is_some_and(|by| by != row.role), "{operation}: another person");
        let near = step.written().next().unwrap().near.as_ref().unwrap();
        assert_eq!(near.reading.as_ref().unwrap().0, first);
        assert_eq!(near.within.0, "0.3 deg");
        let taken = row.step.iter().find(|s| s.written().any(|r| r.id.0 == first)).unwrap();
        assert!(taken.written().any(|r| r.apart.is_some()), "{operation}: left against right");
        assert!(
            taken.derived.iter().any(|d| d.least.is_some() && d.most.is_some()),
            "{operation}: difference with a limit"
        );
        let point = library.operations[hold.0].row.point.iter().find(|p| p.moment == hold.1).unwrap();
        assert!(point.kind == PointKind::Hold && point.second.is_some(), "{operation}: two sign");
    }
    // Far from the plan stops.
    let row = &library.operations["read-caster"].row;
    let first = row.step.iter().flat_map(|s| s.written()).find(|r| r.id.0 == "first").unwrap();
    assert_eq!(first.near.as_ref().unwrap().figure.as_ref().unwrap().0, "caster_after_turn");
}

#[test]
fn the_steering_weld_is_one_temperature_statement_slow_cooling_and_a_late_crack_test() {
    let library = library();
    let text = |id: &str| -> String {
        let row = &library.operations[id].row;
        let points = row.point.iter().map(|p| &p.what);
        row.step.iter().map(|s| &s.text).chain(points).map(|t| t.0.to_lowercase()).collect()
    };
    let weld = text("weld-knuckles");
    assert!(weld.contains("stays between {{ j.f.preheat }} and {{ j.f.interpass_max }}"), "{weld}");
    for part in ["blanket", "shop's temperature"] {
        assert!(weld.contains(part), "{part}");
    }
    let mark = text("prove-arc");
    for part in ["mock-up", "short-circuiting", "before this one is cut"] {
        assert!(mark.contains(part), "{part}");
    }
    let accept = text("accept-knuckles");
    assert!(accept.contains("24 h after the last arc") && accept.contains("magnetic particle"), "{accept}");
    assert!(text("rotate-knuckles").contains("dried"));
    for operation in library.operations.values() {
        assert!(!text(&operation.row.id.0).contains("hand-warm"), "{}", operation.row.id.value);
    }
}

#[test]
fn hangers_are_tacked_loaded_read_and_then_welded() {
    for work in [SHACKLES, HANGERS] {
        in_order(
            work,
            &[
                "tack-hangers",
                "load-hangers",
                "verify-hangers",
                "weld-hangers",
                "accept-hangers",
                "hang-springs",
                "torque-pivots",
            ],
        );
    }
    let library = library();
    for operation in ["load-hangers", "torque-pivots"] {
        let row = &library.operations[operation].row;
        let angle = row.step.iter().flat_map(|s| s.written()).find(|r| r.id.0 == "angle").unwrap();
        assert_eq!(angle.target.as_ref().unwrap().0, "shackle_target", "from the job, in {operation}");
        assert!(angle.plus.is_some() && angle.minus.is_some(), "{operation}");
    }
}

#[test]
fn nothing_rolls_on_loose_fasteners() {
    in_order(KNUCKLES, &["fit-u-bolts", "lower", "torque-u-bolts", "roll", "read-alignment", "road-test"]);
    in_order(HANGERS, &["lower", "torque-pivots", "roll", "road-test"]);
    in_order(PACKS, &["lower", "torque-pack-pins", "roll", "check-tracking"]);
    in_order(TRAILER, &["lower", "torque-u-bolts", "roll", "trailer-coupling"]);
    // What is done on a rack after the work is done after the roll, and the
    // torques are not done on another station.
    let library = library();
    for operation in library.operations.values() {
        let row = &operation.row;
        let forbids = |state: &str| row.forbids.iter().any(|s| s.0 == state);
        if forbids("unit.rolled") && row.acts.iter().any(|a| a.0 == "torque") {
            assert_eq!(row.station.word(), "weld bay", "{}", row.id.value);
        }
    }
}

#[test]
fn clearances_and_bump_steer_are_proved_as_the_unit_will_run() {
    in_order(
        KNUCKLES,
        &[
            "bearings-in",
            "make-hoses",
            "brake-lines-on",
            "check-travel",
            "wheels-on",
            "prove-tyres",
            "road-test",
        ],
    );
    in_order(KNUCKLES, &["roll", "centre-steering", "set-toe", "bump-steer", "road-test"]);
    in_order(KNUCKLES, &["set-toe", "prove-tyres"]);
    let library = library();
    for (operation, reading) in [("bump-steer", "bump"), ("centre-steering", "slope")] {
        let row = &library.operations[operation].row;
        let found = row.step.iter().flat_map(|s| s.written()).find(|r| r.id.0 == reading).unwrap();
        assert!(found.most.is_some() && found.target.is_none(), "{operation}: a limit to stay under, no aim");
    }
    for (operation, way) in [
        ("trial-travel", "main leaf only"),
        ("check-travel", "chained"),
        ("prove-tyres", "ramp"),
        ("trailer-verify", "chained"),
    ] {
        let said: String =
            library.operations[operation].row.step.iter().map(|s| s.text.0.to_lowercase()).collect();
        assert!(said.contains(way), "{operation} reaches full bump by {way}");
    }
}

#[test]
fn the_remedy_is_named_and_held_before_anything_is_loosened() {
    in_order(KNUCKLES, &["review-lift", "wheels-off", "old-pads-off", "cut-knuckles"]);
    let row = &library().operations["review-lift"].row.clone();
    assert!(row.point.iter().any(|p| p.kind == PointKind::Hold));
    let remedy = row.step.iter().flat_map(|s| s.written()).find(|r| r.id.0 == "remedy").unwrap();
    assert!(remedy.choices.iter().any(|c| c.does == Does::Stops) && remedy.choices.len() >= 3);
}

#[test]
fn brakes_are_proved_with_the_power_back_and_again_after_the_road() {
    for work in [KNUCKLES, SHACKLES, TRAILER] {
        in_order(work, &["brake-lines-on", "reconnect", "prove-brakes", "roll", "road-test"]);
    }
    let library = library();
    let said = |id: &str| -> String {
        library.operations[id].row.step.iter().map(|s| s.text.0.to_lowercase()).collect()
    };
    for part in ["booster", "anti-lock", "parking brake"] {
        assert!(said("prove-brakes").contains(part), "{part}");
    }
    for part in ["pedal again", "four-wheel drive", "parking brake", "wheel nuts"] {
        assert!(said("road-test").contains(part), "{part}");
    }
}

#[test]
fn what_the_work_touches_is_set_and_proved_again() {
    in_order(
        KNUCKLES,
        &[
            "set-toe",
            "set-aids",
            "road-test",
            "prove-u-bolts",
            "final-release",
            "hand-over",
            "recheck-wheels",
        ],
    );
    let library = library();
    let said = |id: &str| -> String {
        library.operations[id].row.step.iter().map(|s| s.text.0.to_lowercase()).collect()
    };
    for part in ["lamps", "steering-angle sensor", "driver-assistance", "load valve", "speedometer"] {
        assert!(said("set-aids").contains(part), "{part}");
    }
    assert!(said("trailer-coupling").contains("tongue weight"));
    assert!(said("recheck-wheels").contains("50 mi"));
    assert!(said("hand-over").contains("papers or permit"));
}

#[test]
fn a_retorque_judges_the_breakaway_and_is_held() {
    let library = library();
    for id in ["retorque-u-bolts", "retorque-pivots", "retorque-part"] {
        let row = &library.operations[id].row;
        let find = |name: &str| row.step.iter().flat_map(|s| s.written()).find(|r| r.id.0 == name).unwrap();
        assert!(find("breakaway").least.is_some(), "{id}");
        assert!(row.point.iter().any(|p| p.kind == PointKind::Hold), "{id}");
    }
}

#[test]
fn hot_work_has_its_card_before_every_arc() {
    let library = library();
    let mut arcs = 0;
    for operation in library.operations.values() {
        let row = &operation.row;
        if row.acts.iter().any(|a| matches!(&*a.0, "arc" | "tack")) {
            assert!(row.requires.iter().any(|s| s.0 == "unit.hot-work"), "{}", row.id.value);
            arcs += 1;
        }
    }
    assert!(arcs >= 12, "{arcs}");
    let card = &library.operations["hot-work"].row;
    assert!(card.each_shift);
    let cautions: String = card.caution.iter().map(|c| c.hazard.0.to_lowercase()).collect();
    for hazard in ["zinc", "wax", "paint", "chlorinated", "sparks"] {
        assert!(cautions.contains(hazard), "{hazard}");
    }
    // 29 CFR 1910.252(a)(2)(iii)(B): at least half an hour after the work. It is a
    // card of its own: no weld's hold rests on a watch that ended before the arc.
    assert!(card.step.iter().flat_map(|s| s.written()).all(|r| r.id.0 != "watch-end"));
    let closing = &library.operations["hot-work-end"].row;
    let end = closing.step.iter().flat_map(|s| s.written()).find(|r| r.id.0 == "watch-end").unwrap();
    assert_eq!(end.least.as_ref().unwrap().0, "30 min");
    in_order(WELDMENT, &["hot-work", "tack-parts", "weld-parts", "hot-work-end", "release-weldment"]);
    in_order(KNUCKLES, &["hot-work", "weld-knuckles", "hot-work-end", "release-to-assemble"]);
}

#[test]
fn a_weldment_is_tested_before_it_is_painted() {
    in_order(WELDMENT, &["accept-weldment", "test-weldment", "finish-weldment", "release-weldment"]);
    let library = library();
    let vents = library.operations["cut-parts"]
        .row
        .step
        .iter()
        .flat_map(|s| s.written())
        .find(|r| r.id.0 == "vents")
        .unwrap();
    assert!(vents.choices.iter().any(|c| c.does == Does::Stops));
}

#[test]
fn a_driveshaft_follows_the_measured_length() {
    in_order(
        SHAFT,
        &["shaft-out", "measure-shaft", "mark-shaft", "cut-shaft", "verify-shaft", "weld-shaft", "shaft-in"],
    );
    let library = library();
    for (operation, reading) in
        [("verify-shaft", "length"), ("accept-shaft", "length"), ("prove-shaft", "length")]
    {
        let row = &library.operations[operation].row;
        let found = row.step.iter().flat_map(|s| s.written()).find(|r| r.id.0 == reading).unwrap();
        assert_eq!(
            found.near.as_ref().unwrap().reading.as_ref().unwrap().0,
            "measure-shaft.ride",
            "{operation}"
        );
    }
    let cut = &library.operations["mark-shaft"].row;
    assert!(cut.step.iter().flat_map(|s| &s.derived).any(|d| d.id.0 == "cut-length"));
    for id in ["shaft-aside", "shaft-out", "shaft-in", "shaft-back"] {
        let said: String = library.operations[id].row.step.iter().map(|s| s.text.0.to_lowercase()).collect();
        assert!(said.contains("strap"), "{id}: the shaft never hangs from one joint");
    }
}

#[test]
fn a_cast_in_pad_stops_before_a_grinder_is_lifted() {
    let library = library();
    for (operation, reading) in [("pinion-as-found", "seat"), ("trailer-as-found", "seat-kind")] {
        let row = &library.operations[operation].row;
        let seat = row.step.iter().flat_map(|s| s.written()).find(|r| r.id.0 == reading).unwrap();
        assert!(seat.choices.iter().any(|c| c.word.value.contains("cast in one") && c.does == Does::Stops));
    }
    in_order(KNUCKLES, &["pinion-as-found", "old-pads-off"]);
    in_order(TRAILER, &["trailer-as-found", "trailer-seats-off"]);
}

#[test]
fn trailer_pages_ask_nothing_a_trailer_has_not() {
    for work in [TRAILER, &[("spring-pack", "trailer")], &[("shackle-move", "trailer")]] {
        planned(&job(work), &[], |plan, _| {
            let document = serde_json::to_value(compose(plan)).unwrap();
            for part in ["operations", "after_hand_over"] {
                for operation in document[part].as_array().unwrap() {
                    for key in ["steps", "cautions", "before", "after"] {
                        let words = operation[key].to_string().to_lowercase();
                        for alien in [
                            "ignition",
                            "odometer",
                            "pinion",
                            "pedal",
                            "steering wheel",
                            "drag link",
                            "engine running",
                        ] {
                            assert!(
                                !words.contains(alien),
                                "{alien} in {} of {work:?}: {words}",
                                operation["id"]
                            );
                        }
                    }
                }
            }
        })
        .unwrap_or_else(|f| panic!("{work:?}: {:#?}", messages(&f)));
    }
}

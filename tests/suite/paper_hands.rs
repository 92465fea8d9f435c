//! Whose hand a box waits for, and that a paper can be filled from top to bottom.
//!
//! The rules are common practice for a traveler: nobody signs for what stands below, and
//! whoever holds the paper sees which boxes are another's.

use std::collections::BTreeSet;

use serde_json::Value;
use tackwright::app::issue::compose;
use tackwright::app::record::freeze::frozen;
use tackwright::procedure::file::{ReadingKind, StepRow};
use tackwright::quantity::unit;
use tackwright::record::Frozen;
use tackwright::record::boxes::What;
use tackwright::record::frozen::Point;
use tackwright::term::PointKind;

use super::order_of_the_work::{UNITS, demo, each, library, words};
use super::routing_jobs::{messages, planned};

const ALL: &[&str] = &["brush-truck", "crew-cab", "forest-carrier", "hoist-frame", "pump-trailer"];

/// The document of a demonstration with its frozen plan.
fn paper(name: &str) -> (Value, Frozen) {
    let text = std::fs::read_to_string(format!("jobs/{name}.toml")).unwrap();
    planned(&text, &[], |plan, _| {
        (serde_json::to_value(compose(plan)).unwrap(), frozen(&plan.resolved, "digest"))
    })
    .unwrap_or_else(|f| panic!("{name}: {:#?}", messages(&f)))
}

fn list<'a>(of: &'a Value, key: &str) -> &'a [Value] {
    of[key].as_array().map_or(&[], Vec::as_slice)
}

fn stations(paper: &Value) -> impl Iterator<Item = &Value> {
    ["stations", "later_stations"].into_iter().flat_map(|key| list(paper, key))
}

/// Every value under `key`, in the order it is printed.
fn all<'a>(of: &'a Value, key: &str, found: &mut Vec<&'a Value>) {
    match of {
        Value::Array(list) => list.iter().for_each(|one| all(one, key, found)),
        Value::Object(map) => {
            for (name, one) in map {
                if name == key && !one.is_array() {
                    found.push(one);
                } else {
                    all(one, key, found);
                }
            }
        }
        _ => {}
    }
}

#[test]
fn what_a_signature_asks_for_stands_above_it() {
    let mut seen = 0;
    for name in ALL {
        let (paper, plan) = paper(name);
        let mut printed: Vec<&Value> = Vec::new();
        let mut initialled: BTreeSet<u64> = BTreeSet::new();
        for block in stations(&paper).flat_map(|s| list(s, "blocks")) {
            for one in list(block, "initials") {
                initialled.extend(list(one, "operations").iter().filter_map(Value::as_u64));
            }
            let point = &block["point"];
            if point.is_null() {
                all(block, "box", &mut printed);
                continue;
            }
            let number = point["number"].as_str().unwrap();
            let (operation, point) = plan
                .operations
                .iter()
                .find_map(|o| Some((o, o.points().find(|p| p.number == number)?)))
                .unwrap_or_else(|| panic!("{name}: {number}"));
            for other in plan.operations.iter().filter(|o| point.rests_on.contains(&o.key)) {
                let deferred = other.deferred != operation.deferred;
                for asked in other.boxes().into_iter().filter(|_| !deferred) {
                    let box_name = serde_json::to_value(&asked.name).unwrap();
                    let there = match asked.what {
                        What::Reading(..) | What::Tick(_) => printed.contains(&&box_name),
                        // A review or a witness comes before the end of the station.
                        What::Initials if point.kind == PointKind::Hold || operation.lets_go => {
                            initialled.contains(&u64::from(other.number))
                        }
                        _ => continue,
                    };
                    assert!(there, "{name}: {number} asks for {box_name}, which stands below it");
                    seen += 1;
                }
            }
        }
    }
    assert!(seen > 500, "{seen}");
}

#[test]
fn what_is_released_for_a_weld_is_written_above_the_hold_that_signs_it() {
    let mut holds = 0;
    for name in ALL {
        let (paper, plan) = paper(name);
        let mut printed: Vec<&Value> = Vec::new();
        let mut released: Vec<(&Value, Vec<&Value>)> = Vec::new();
        for block in stations(&paper).flat_map(|s| list(s, "blocks")) {
            if block["point"].is_null() {
                all(block, "box", &mut printed);
            } else {
                released.push((&block["point"]["number"], printed.clone()));
            }
        }
        for operation in &plan.operations {
            let releases = |p: &&Point| p.meaning == "procedure, welder and machine released";
            assert_eq!(operation.after.iter().find(releases), None, "{name}: stands before its weld");
            for point in operation.before.iter().filter(releases) {
                let above = &released.iter().find(|(n, _)| **n == *point.number).unwrap().1;
                // Those it names: it stands before what is there comes off, which is no weld.
                let (_, named) = point.what.split_once(" for ").unwrap();
                let joints: Vec<&str> = named.split('.').next().unwrap().split(", ").collect();
                for part in ["released-by", "released-welder", "released-machine"] {
                    let id = format!("{part}.{}", joints.join("-"));
                    let at: Vec<_> =
                        plan.operations.iter().filter(|o| o.readings().any(|r| r.id == id)).collect();
                    let [at] = at[..] else { panic!("{name}: {id} stands {} times", at.len()) };
                    let asked =
                        at.boxes().into_iter().find(|b| matches!(b.what, What::Reading(_, r) if r.id == id));
                    let box_name = serde_json::to_value(&asked.unwrap().name).unwrap();
                    assert!(above.contains(&&box_name), "{name}: {} signs {id} below it", point.number);
                    // And can't be signed without it.
                    assert!(point.rests_on.contains(&at.key), "{name}: {} without {id}", point.number);
                    assert!(at.acts.iter().all(|a| a != "tack") && at.key != operation.key, "{name}: {id}");
                }
                holds += 1;
            }
        }
    }
    assert_eq!(holds, 4);
}

#[test]
fn an_operation_of_another_hand_says_whose_it_is() {
    let role = |o: &Value| o["role"].as_str().unwrap_or("").split(':').next().unwrap().to_owned();
    let mut told = 0;
    for name in ALL {
        let (paper, _) = paper(name);
        let operations: Vec<&Value> =
            ["operations", "after_hand_over"].into_iter().flat_map(|k| list(&paper, k)).collect();
        for station in stations(&paper) {
            let mut heads = Vec::new();
            all(station, "title", &mut heads);
            let here: Vec<&&Value> =
                operations.iter().filter(|o| list(station, "operations").contains(&o["number"])).collect();
            let alike = |a: &Value, b: &Value| {
                role(a) == role(b) || a["person"].is_string() && a["person"] == b["person"]
            };
            let most = here.iter().map(|o| here.iter().filter(|p| alike(o, p)).count()).max().unwrap();
            let usual = here.iter().find(|o| here.iter().filter(|p| alike(o, p)).count() == most).unwrap();
            for operation in &here {
                let number = &operation["number"];
                let head = heads_of(station, number);
                let wanted = (!alike(operation, usual)).then(|| role(operation));
                assert_eq!(head, wanted, "{name}: {number} {}", operation["title"]);
                told += usize::from(wanted.is_some());
            }
        }
        // On the card of a weld: what the welder does not enter.
        let mut cards = Vec::new();
        for station in stations(&paper) {
            cards.extend(list(station, "blocks").iter().filter(|b| !b["card"].is_null()));
        }
        for row in cards.iter().flat_map(|c| list(&c["card"], "rows")) {
            let what = row["what"].as_str().unwrap();
            for own in ["coldest", "hottest", "current", "voltage"] {
                assert!(!what.ends_with(own) || !what.contains(": "), "{name}: {what}");
            }
            for other in ["smallest size", "visual", "penetrant", "crack test"] {
                assert!(!what.ends_with(other) || what == format!("inspector: {other}"), "{name}: {what}");
            }
        }
    }
    assert!(told > 20, "{told}");
}

/// Who the head of an operation says it is by.
fn heads_of(station: &Value, number: &Value) -> Option<String> {
    fn find(of: &Value, number: &Value) -> Option<String> {
        match of {
            Value::Array(list) => list.iter().find_map(|one| find(one, number)),
            Value::Object(map) => {
                let own = map.get("number") == Some(number) && map.get("title").is_some_and(Value::is_string);
                let who = map.get("who").and_then(Value::as_str).filter(|_| own);
                who.map(str::to_owned).or_else(|| map.values().find_map(|one| find(one, number)))
            }
            _ => None,
        }
    }
    find(&Value::Array(list(station, "blocks").to_vec()), number)
}

/// What a hold says it signs for, and the words of an operation before it that prove it.
const SIGNED: &[(&str, &[&str])] = &[
    ("rakes proved", &["arking brake holds", "locks and frees by hand"]),
    ("edal and parking brake proved", &["arking brake holds"]),
    ("pedal firm", &["pedal firm"]),
    ("not twisted", &["no hose twisted"]),
    ("tyres clear", &["tyre clearance"]),
    ("tyre clear in bump", &["tyre clearance in bump"]),
    ("oupling, chains", &["Safety chains crossed"]),
    ("steering stops locked", &["Steering stops set, locked"]),
    ("split pins in", &["split pins"]),
    ("easured twice", &["easured twice"]),
    ("rail steel known", &["frame rail"]),
    ("behind the rail clear", &["Behind the rail"]),
    ("through-bar free", &["hrough-bar"]),
    ("hangers on their marks", &["on their marks", "punch mark"]),
    ("tacks sound", &["tack cracked", "Cracked tacks", "cracked tack"]),
    ("mock-up", &["mock-up"]),
    ("tube dry inside", &["dried with warm air"]),
    ("material marks readable", &["material marks readable"]),
    ("vented", &["vented"]),
    ("remedy for the drag link", &["Name the remedy"]),
    ("driveshaft inside its rating", &["inside its rating"]),
    ("slack at full droop", &["full droop"]),
    ("joints and seals out", &["Press the joints out"]),
    ("no play, crack or rub", &["play, crack or rub"]),
];

#[test]
fn a_hold_signs_only_what_stands_above_it() {
    each(ALL, |w| {
        let mut seen = 0;
        for (place, operation) in w.plan.operations.iter().enumerate() {
            let points = operation.before.iter().map(|p| (p, place));
            let points = points.chain(operation.after.iter().map(|p| (p, place + 1)));
            for (point, until) in points.filter(|(p, _)| p.kind == PointKind::Hold) {
                for (signed, proofs) in SIGNED.iter().filter(|(signed, _)| point.what.contains(signed)) {
                    let before = w.plan.operations[..until].iter().map(|o| {
                        // What the hold says itself proves nothing.
                        words(o).replace(&point.what, "")
                    });
                    let proved = before.into_iter().any(|text| proofs.iter().any(|p| text.contains(p)));
                    assert!(proved, "{}: {} signs \"{signed}\": {}", w.name, point.number, point.what);
                    seen += 1;
                }
            }
        }
        seen
    });
    // Brakes nobody opened have no proof of their own, and nobody signs for one.
    demo("forest-carrier", |w| {
        for id in ["roll", "road-test"] {
            assert!(!w.get(id).before[0].what.to_lowercase().contains("brake"), "{id}");
        }
    });
    // Nor does a hold ask again for what two above it settled.
    demo("brush-truck", |w| {
        let what =
            &w.get("review-lift").after.iter().find(|p| p.meaning.starts_with("plan fits")).unwrap().what;
        assert!(!what.contains("remedy") && !what.contains("driveshaft"), "{what}");
    });
}

#[test]
fn the_unit_is_safe_before_the_card_of_the_first_heat_is_opened() {
    each(UNITS, |w| w.before(&["protect"], &["hot-work"]));
}

#[test]
fn nobody_is_asked_twice_or_for_what_the_job_has_not() {
    demo("crew-cab", |w| {
        let marked = w.plan.operations.iter().filter(|o| words(o).contains("aint the slip spline"));
        assert_eq!(marked.count(), 1, "the spline is painted once");
    });
    demo("forest-carrier", |w| {
        for operation in &w.plan.operations {
            let text = words(operation);
            for word in ["last heat", "no heat after", "rag drawn", "miles", "3.1 mm"] {
                assert!(!text.contains(word), "{}: {word} in {text}", operation.id);
            }
        }
    });
    demo("pump-trailer", |w| {
        assert!(!w.get("prove-tyres").title.contains("lock"));
        assert_eq!(w.get("trailer-coupling").station, w.get("roll").station, "on the ground");
    });
}

/// The finder has two ends and every angle two directions (common practice: nose up, top
/// rearward, toe-in, top outward and the axle's end higher are plus).
#[test]
fn every_angle_says_its_sign_and_where_it_is_read() {
    let mut seen = 0;
    for operation in library().operations.values() {
        for step in &operation.row.step {
            // Another person reads what the step above told.
            for reading in step.written().filter(|r| r.kind == ReadingKind::Angle && step.by.is_none()) {
                let text = step.text.value.to_lowercase();
                let name = format!("{}.{}: {text}", operation.row.id.value, reading.id.value);
                assert!(!reading.signed() || text.contains("plus") || text.contains("signs alike"), "{name}");
                if reading.instrument.as_ref().is_some_and(|i| i.value.contains("finder")) {
                    let place = ["finder on", "finder along", "finder, same face", "flange: "];
                    let place =
                        place.iter().any(|p| text.contains(p)) || step_before(&operation.row.step, step);
                    assert!(place, "{name}");
                }
                seen += 1;
            }
        }
    }
    assert!(seen > 35, "{seen}");
}

/// Whether an earlier step of the operation says where the finder sits.
fn step_before(steps: &[StepRow], step: &StepRow) -> bool {
    let earlier = steps.iter().take_while(|s| !std::ptr::eq(*s, step));
    earlier.map(|s| s.text.value.to_lowercase()).any(|t| t.contains("finder on"))
}

#[test]
fn a_pads_leg_is_held_to_the_part_it_lies_on() {
    for (name, id, wall) in [("brush-truck", "accept-pads", 0.281), ("crew-cab", "accept-pads", 0.375)] {
        demo(name, |w| {
            let size = w.get(id).readings().find(|r| r.id.starts_with("size")).unwrap();
            let most = size.aim.and_then(|a| a.upper()).unwrap().to(unit::IN);
            assert!((most - wall).abs() < 0.0005, "{name}: {most} in, the thinner part has {wall} in");
        });
    }
    // A leg as large as the part is thick can still be made: a step of the gauge over it.
    demo("pump-trailer", |w| {
        let size = w.get("trailer-accept").readings().find(|r| r.id.starts_with("size")).unwrap();
        let aim = size.aim.unwrap();
        let (low, high) = (aim.lower().unwrap().to(unit::IN), aim.upper().unwrap().to(unit::IN));
        assert!((high - low - 1.0 / 32.0).abs() < 1e-6, "{low} to {high}");
    });
}

#[test]
fn a_limit_reads_in_each_unit_as_a_shop_of_that_unit_reads_it() {
    // Checked by hand: 1/8 in is 3.175 mm and 1/2 in 12.7 mm; 70 degF is 21.1 degC.
    let (carrier, _) = paper("forest-carrier");
    let text = carrier["stations"].to_string();
    for whole in ["within 3 mm", "≥ 13 mm (1/2 in)", "± 3 mm (1/8 in)"] {
        assert!(text.contains(whole), "{whole}");
    }
    let (truck, _) = paper("brush-truck");
    let text = truck["stations"].to_string();
    assert!(text.contains("70 °F (22 °C)") && !text.contains("70 °F (25 °C)"));
}

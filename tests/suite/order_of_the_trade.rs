//! The order of the work as a second master read it: what is proved before what it
//! rests on, who lets a unit roll, what nobody loosens without tightening it.
//!
//! The rules are of the trade (common practice) where no standard is named.

use tackwright::job::model::Role;
use tackwright::plan::{Operation, Point, Reading};
use tackwright::procedure::file::{Does, ReadingKind, StepRow};
use tackwright::term::{Method, PointKind};

use super::order_of_the_work::{UNITS, acts, demo, each, forbids, library, of, reads, requires, row, stops};
use super::routing_jobs::job;

#[test]
fn another_person_lets_the_unit_roll_and_another_signature_lets_it_be_driven() {
    each(UNITS, |w| {
        let tightens: Vec<_> = w
            .plan
            .operations
            .iter()
            .filter(|o| !o.deferred && o.acts.iter().any(|a| a == "torque"))
            .map(|o| (o.id.clone(), o.role))
            .collect();
        let mut seen = 0;
        for id in ["roll", "road-test"] {
            let held = w.get(id).before.iter().find(|p| p.kind == PointKind::Hold);
            let held = held.unwrap_or_else(|| panic!("{}: {id} is not held", w.name));
            // Rests on the torques before it, and its signer tightens nothing.
            for (torque, role) in &tightens {
                let place = w.place(torque).unwrap();
                if place < w.place(id).unwrap() {
                    assert!(!held.roles.contains(&role.unwrap()), "{}: {torque} before {id}", w.name);
                    let key = &w.plan.operations[place].key;
                    assert!(held.rests_on.operations.contains(key), "{}: {id} rests on {torque}", w.name);
                    seen += 1;
                }
            }
        }
        seen
    });
    // A job of links alone is held as well.
    of("linkage alone", &job(&[("linkage", "front")]), |w| {
        assert!(w.get("roll").before.iter().any(|p| p.what.contains("split pins")));
        assert!(w.before(&["linkage-on"], &["roll"]) == 1);
    });
}

#[test]
fn a_shaft_goes_in_once_after_the_u_bolts_and_is_proved_with_the_axle_clamped() {
    let library = library();
    forbids(&library, "fit-u-bolts", "unit.shaft-coupled");
    demo("crew-cab", |w| {
        assert!(!w.has("shaft-back"), "the driveshaft has work of its own");
        assert_eq!(w.before(&["fit-u-bolts"], &["shaft-in"]), 1);
        assert_eq!(w.before(&["shaft-in"], &["roll", "prove-pinion"]), 2);
        w.says("shaft-in", &["Axle clamped", "one turn by hand"]);
    });
    for work in [&[("housing-rotation", "rear")][..], &[("spring-over", "front")]] {
        of("no shaft in work", &job(work), |w| assert_eq!(w.before(&["fit-u-bolts"], &["shaft-back"]), 1));
    }
}

#[test]
fn the_procedure_of_a_steering_weld_is_proved_before_anything_is_cut_or_tacked() {
    demo("brush-truck", |w| {
        assert!(stops(w.get("prove-arc"), "mock-up", "not fused"));
        assert_eq!(w.before(&["prove-arc"], &["cut-knuckles", "tack-knuckles", "weld-knuckles"]), 3);
        let hold = &w.get("cut-knuckles").before[0];
        assert!(hold.what.contains("mock-up"));
        let key = &w.get("prove-arc").key;
        assert!(hold.rests_on.readings.iter().any(|(of, id)| of == key && id == "mock-up"));
    });
}

#[test]
fn the_pinion_in_the_saddles_agrees_with_what_was_read_under_weight() {
    let compared = |reading: &Reading| {
        let near = reading.near.as_ref().expect("compared with a reading");
        assert!(near.within.to(tackwright::quantity::unit::DEG) < 0.31, "{:?}", near.within);
        near.reading.clone().expect("a reading")
    };
    demo("brush-truck", |w| {
        let saddle = w.get("saddle-housing");
        let reading = saddle.readings().find(|r| r.id == "pinion").unwrap();
        assert_eq!(compared(reading), (w.get("return-axle").key.clone(), "pinion".to_owned()));
    });
    of("knuckles alone", &job(&[("knuckle-reindex", "front")]), |w| {
        let saddle = w.get("saddle-housing");
        let reading = saddle.readings().find(|r| r.id.starts_with("pinion")).unwrap();
        assert_eq!(compared(reading), (w.get("read-caster").key.clone(), "pinion".to_owned()));
        // Nobody frees the axle in this job: it can't lie on a bench.
        assert!(!w.text("saddle-housing").contains("housing out"));
    });
}

#[test]
fn only_data_or_an_analysis_proves_steel() {
    demo("brush-truck", |w| {
        w.says("prove-knuckle", &["analysis", "proves iron only, never steel"]);
    });
}

#[test]
fn no_torque_box_without_a_figure() {
    let library = library();
    let mut named = std::collections::BTreeSet::new();
    let full = |op: &str, id: &str| if id.contains('.') { id.to_owned() } else { format!("{op}.{id}") };
    for operation in library.operations.values() {
        let op = operation.row.id.value.to_string();
        for reading in operation.row.step.iter().flat_map(StepRow::written) {
            if let Some(first) = reading.near.as_ref().and_then(|n| n.reading.as_ref()) {
                named.insert(full(&op, &first.value));
            }
        }
    }
    let mut judged = 0;
    for operation in library.operations.values() {
        let op = operation.row.id.value.to_string();
        for reading in operation.row.step.iter().flat_map(StepRow::written) {
            if reading.kind != ReadingKind::Torque {
                // Words about a torque say what no figure does.
                if reading.instrument.as_ref().is_some_and(|i| i.value.contains("torque wrench")) {
                    assert!(
                        reading.choices.iter().any(|c| c.does != Does::Conforms),
                        "{op}.{}",
                        reading.id.value
                    );
                }
                continue;
            }
            judged += 1;
            let id = full(&op, &reading.id.value);
            assert!(reading.limited() || named.contains(&id), "{id} is compared with nothing");
        }
    }
    assert!(judged > 15, "{judged}");
}

#[test]
fn what_is_shifted_on_its_clamps_is_tightened_and_tracks() {
    for (procedure, on) in [("axle-position", "front"), ("spring-clamp", "rear"), ("spring-clamp", "trailer")]
    {
        of(procedure, &job(&[(procedure, on)]), |w| {
            assert_eq!(w.before(&["free-axle"], &["centre-axle"]), 1, "{procedure} {on}");
            assert_eq!(w.before(&["centre-axle"], &["fit-u-bolts", "torque-u-bolts", "check-tracking"]), 3);
        });
    }
    // Where no U-bolt is loosened nobody shifts the axle on it.
    of("hangers alone", &job(&[("shackle-move", "front")]), |w| {
        assert!(!w.has("centre-axle"));
        assert!(w.before(&["verify-hangers"], &["check-tracking"]) == 1);
    });
}

#[test]
fn a_new_seat_height_has_its_travel_tried_and_its_stops_set() {
    let library = library();
    requires(&library, "verify-pads", "travel.tried");
    for (procedure, on) in [("housing-rotation", "rear"), ("spring-over", "front")] {
        of(procedure, &job(&[(procedure, on)]), |w| {
            assert_eq!(w.before(&["tack-pads"], &["trial-travel"]), 1);
            assert_eq!(w.before(&["trial-travel"], &["weld-pads", "fit-stops"]), 2);
            w.says("fit-stops", &["Parking brake cable"]);
        });
    }
}

#[test]
fn a_weld_nobody_may_make_yet_is_a_hold_with_boxes() {
    demo("crew-cab", |w| {
        let held = w.plan.operations.iter().find(|o| {
            o.before.iter().any(|p| p.kind == PointKind::Hold && p.what.contains("to be qualified"))
        });
        let held = held.expect("a hold before the arc, and before what is there comes off");
        assert!(acts(row(&library(), &held.id), &["arc", "tack", "cut-permanent", "grind"]));
        // Written by whoever releases it, in the work before: nothing of it in the weld.
        let before = &w.plan.operations[w.place(&held.id).unwrap() - 1];
        let step = before.steps.last().unwrap();
        assert_eq!(step.by, Some(Role::Lead));
        for part in ["released-by", "released-welder", "released-machine"] {
            assert!(step.readings.iter().any(|r| r.id.starts_with(part)), "{part}");
            assert!(!held.readings().any(|r| r.id.starts_with(part)), "{part}");
        }
    });
    // What the figures want settled has its box above the hold it is signed at, and is
    // asked nowhere else.
    demo("brush-truck", |w| {
        let mut seen = 0;
        for operation in &w.plan.operations {
            let signed =
                |points: &[Point]| points.iter().filter(|p| p.meaning.starts_with("settled")).count();
            let boxes = operation.readings().filter(|r| r.id.starts_with("settled-")).count();
            // One signature for all of them.
            let holds = (signed(&operation.before), signed(&operation.after));
            assert_eq!(holds, (0, boxes.min(1)), "{}", operation.id);
            for what in operation.after.iter().filter(|p| p.meaning.starts_with("settled")).map(|p| &p.what) {
                assert!(what.starts_with("Steering link, Driveshaft settled."), "{what}");
            }
            let last = operation.steps.iter().rev().take(boxes);
            assert!(last.flat_map(|s| &s.readings).all(|r| r.id.starts_with("settled-")), "{}", operation.id);
            seen += boxes;
        }
        assert_eq!(seen, 2);
        assert!(!w.get("review-lift").readings().any(|r| r.id == "remedy" || r.id == "shaft"));
    });
}

#[test]
fn a_test_nobody_of_the_book_may_make_is_a_hold_with_boxes() {
    // The book has an inspector for penetrant testing alone (jobs/shop.toml).
    let outside = |w: &super::order_of_the_work::Work| -> Vec<(String, String)> {
        let all = w.plan.operations.iter().flat_map(|o| o.after.iter().map(move |p| (o, p)));
        let held = all.filter(|(_, p)| p.kind == PointKind::Hold && p.what.starts_with("Outside tester"));
        held.map(|(o, p)| (o.id.clone(), p.what.clone())).collect()
    };
    demo("hoist-frame", |w| {
        let held = outside(w);
        let [(id, what)] = held.as_slice() else { panic!("{held:?}") };
        assert!(what.contains("for J4") && what.contains("magnetic particle testing"), "{what}");
        assert!(acts(row(&library(), id), &["accept"]), "{id}");
        // Written in front of the tests of that very operation, named for the test, by a lead.
        let own = w.get(id);
        let boxes: Vec<&str> = own.steps[0].readings.iter().map(|r| r.id.as_str()).collect();
        assert_eq!(boxes, ["outside-tester.MT.J4", "outside-certificate.MT.J4"]);
        assert_eq!(own.steps[0].by, Some(Role::Lead));
        assert!(what.contains("written above"), "{what}");
        // The acceptance itself is signed last.
        assert!(own.after.last().is_some_and(|p| p.rule.as_deref() == Some("acceptance")));
    });
    demo("brush-truck", |w| assert!(outside(w).is_empty()));
}

#[test]
fn a_turn_says_its_direction_in_words() {
    demo("crew-cab", |w| {
        w.says("set-pinion", &["4.0° nose down", "3.10 mm) of arc"]);
        let said = w.get("set-pinion").steps.iter().any(|s| s.text.text().contains('−'));
        assert!(!said, "a minus nobody turns by");
    });
    demo("brush-truck", |w| w.says("set-pinion", &["9.3° nose up", "6.69 mm) of arc"]));
}

#[test]
fn a_shaft_that_stays_coupled_is_settled_when_it_is_measured_and_before_the_axle_is_freed() {
    demo("forest-carrier", |w| {
        let of = |o: &Operation| o.after.iter().any(|p| p.what.starts_with("Driveshaft"));
        let held = |id: &str| of(w.get(id));
        let place = w.plan.operations.iter().position(of).expect("held");
        assert!(place > w.place("record-as-found").unwrap() && place < w.place("free-axle").unwrap());
        assert!(!held("receive"));
        // No heat in this job, and nobody signs for any.
        for operation in &w.plan.operations {
            let text = w.text(&operation.id);
            for word in ["welds accepted", "arc, flame", "welders' papers", "new weld", "heated tyre"] {
                assert!(!text.contains(word), "{}: {word}", operation.id);
            }
        }
    });
}

#[test]
fn a_turned_housing_says_what_becomes_of_its_caster() {
    let truck = std::fs::read_to_string("jobs/brush-truck.toml").unwrap();
    let held = |text: &str| {
        let mut held = false;
        of("turned", text, |w| {
            held = w
                .plan
                .operations
                .iter()
                .any(|o| o.after.iter().any(|p| p.what.starts_with("Caster after the turn")));
        });
        held
    };
    assert!(!held(&truck), "the knuckles give it back");
    let joints = |text: &str| {
        // Without the work on the knuckles, their joints go as well.
        let (head, rest) = text.split_once("[[joint]]\nid = \"J2\"").unwrap();
        let (_, tail) = rest.split_once("[[joint]]\nid = \"J4\"").unwrap();
        format!("{head}[[joint]]\nid = \"J4\"{tail}")
    };
    let alone = joints(&truck.replace("[[work]]\nprocedure = \"knuckle-reindex\"\non = [\"front\"]\n", ""));
    assert!(held(&alone), "nothing gives it back");
}

#[test]
fn every_box_that_is_printed_is_asked_for() {
    use tackwright::term::Level;
    each(UNITS, |w| {
        let mut seen = 0;
        for operation in &w.plan.operations {
            for reading in operation.readings() {
                // Shifts there may not be are not asked for.
                let optional = reading.level == Level::Practice && !reading.id.contains("shift-");
                assert!(
                    !optional,
                    "{}: {}.{} is printed and not asked for",
                    w.name, operation.id, reading.id
                );
                seen += 1;
            }
        }
        seen
    });
    let library = library();
    let row = row(&library, "record-as-found");
    assert!(reads(row, "height-lf").written().count() == 4);
}

#[test]
fn a_trailer_with_one_axle_is_asked_for_two_heights_and_nothing_of_a_centre() {
    demo("pump-trailer", |w| {
        for id in ["record-as-found", "roll"] {
            let heights = w.get(id).readings().filter(|r| r.id.starts_with("height")).count();
            assert_eq!(heights, 2, "{id}");
        }
        for operation in &w.plan.operations {
            let text = w.text(&operation.id);
            for word in ["shimmy, wander", "steering", "fuel,", "Shafts", "centre welds", "through the bores"]
            {
                assert!(!text.contains(word), "{} asks a trailer for {word}:\n{text}", operation.id);
            }
        }
        assert_eq!(w.before(&["torque-coupling"], &["roll"]), 1);
    });
}

#[test]
fn the_tube_is_cut_at_a_mark_two_people_measured_against_the_ride_length() {
    let library = library();
    let mark = reads(row(&library, "mark-shaft"), "tube-length");
    let off =
        mark.derived.iter().find(|d| &*d.id.value == "cut-off").expect("the mark against the cut length");
    assert!(off.least.is_some() && off.most.is_some());
    assert!(reads(row(&library, "mark-shaft"), "tube-again").by.is_some(), "another person");
    // What is worked out is no reading: a rule that names it would compare nothing.
    for operation in library.operations.values() {
        let derived: Vec<&str> =
            operation.row.step.iter().flat_map(|s| &s.derived).map(|d| &*d.id.value.0).collect();
        for reading in operation.row.step.iter().flat_map(StepRow::written) {
            let near = reading.near.as_ref().and_then(|n| n.reading.as_ref());
            assert!(near.is_none_or(|n| !derived.contains(&&*n.value)), "{}", reading.id.value);
        }
    }
}

#[test]
fn a_tube_is_read_free_before_the_heat_and_after_it_each_axle_by_itself() {
    // A beam bends under load (any handbook of strength): free both times, or not compared.
    let library = library();
    forbids(&library, "inspect-bare", "unit.settled");
    forbids(&library, "check-tube", "housing.loaded");
    demo("crew-cab", |w| {
        assert_eq!(w.before(&["inspect-bare"], &["settle", "check-tube"]), 2);
        assert_eq!(w.before(&["check-tube"], &["return-axle"]), 1);
        w.says("inspect-bare", &["none of the unit's weight on them"]);
        w.says("check-tube", &["none of the unit's weight on it"]);
    });
    demo("brush-truck", |w| assert_eq!(w.before(&["saddle-housing"], &["check-tube"]), 1));
    // Two axles and a shaft that waits for one of them: two readings, in an order.
    let work = [("spring-over", "front"), ("knuckle-reindex", "front"), ("housing-rotation", "rear")];
    for shaft in [&[][..], &[("driveshaft", "shaft")]] {
        of("two axles", &job(&[&work[..], shaft].concat()), |w| {
            for id in ["inspect-bare", "check-tube"] {
                let on: Vec<_> = w.plan.operations.iter().filter(|o| o.id == id).map(|o| &o.key).collect();
                assert_eq!(on.len(), 2, "{id}: {on:?}");
            }
            for (key, then) in
                [("rear/check-tube", "rear/return-axle"), ("front/saddle-housing", "front/check-tube")]
            {
                let place = |key: &str| w.plan.operations.iter().position(|o| o.key == key).unwrap();
                assert!(place(key) < place(then), "{key} before {then}");
            }
        });
    }
}

#[test]
fn the_lift_is_proved_with_the_weight_on_before_the_pads_are_tacked() {
    each(&["brush-truck", "crew-cab"], |w| {
        let reads =
            |o: &&Operation| o.readings().any(|r| r.id == "lift.left") && o.acts.iter().all(|a| a != "tack");
        let lift = w.plan.operations.iter().find(reads).unwrap_or_else(|| panic!("{}: no lift", w.name));
        for reading in lift.readings().filter(|r| r.id.starts_with("lift.")) {
            assert!(reading.aim.is_some() && reading.apart.is_some(), "{}: {}", w.name, reading.id);
        }
        w.before(&["settle"], &[&lift.id]) + w.before(&[&lift.id], &["tack-pads"])
    });
    each(&["pump-trailer"], |w| w.before(&["trailer-verify"], &["trailer-weld"]));
}

#[test]
fn what_an_ultrasonic_gauge_reads_is_a_number() {
    let library = library();
    let mut seen = 0;
    for operation in library.operations.values() {
        for reading in operation.row.step.iter().flat_map(StepRow::written) {
            if reading.instrument.as_ref().is_some_and(|i| i.0.contains("ultrasonic")) {
                assert!(reading.kind != ReadingKind::Text, "{}.{}", operation.row.id.value, reading.id.value);
                seen += 1;
            }
        }
    }
    assert!(seen > 4, "{seen}");
    // ASTM A53 (from memory): a new wall is no more than 12.5 % under its nominal; 3/8 in and
    // 0.188 in by hand. A box rounds a least up.
    for (name, id, least) in
        [("crew-cab", "old-pads-off", 0.328_125), ("pump-trailer", "trailer-seats-off", 0.164_5)]
    {
        demo(name, |w| {
            let wall = w.get(id).readings().find(|r| r.id == "wall").unwrap();
            let lower = wall.aim.as_ref().and_then(|a| a.lower()).unwrap();
            assert!((lower.to(tackwright::quantity::unit::IN) - least).abs() < 1e-9, "{name}: {lower:?}");
        });
    }
}

#[test]
fn one_number_for_several_places_says_that_all_were_measured_and_where_it_was() {
    const ONE_OF: &[&str] =
        &["smallest", "smaller", "largest", "larger", "lowest", "deepest", "least", "worst"];
    let library = library();
    let mut seen = 0;
    for operation in library.operations.values() {
        for step in &operation.row.step {
            let safety = |r: &tackwright::procedure::file::ReadingRow| {
                let level = r.level.as_ref().or(step.level.as_ref());
                level.is_some_and(|l| l.value == tackwright::term::Level::Safety)
            };
            for reading in step.written().filter(|r| r.kind != ReadingKind::Text && safety(r)) {
                let label = &reading.label.0;
                if !ONE_OF.iter().any(|word| label.split([' ', ',']).any(|w| w == *word)) {
                    continue;
                }
                let text = &step.text.0;
                let what = format!("{}.{}: {text}", operation.row.id.value, reading.id.value);
                // The cap is gauged all round one seam, which its card names.
                let card = step.each.is_some() && *reading.id.value.0 == *"cap";
                let all = ["every ", "both ", "all ", "of all,", "Every "];
                assert!(all.iter().any(|all| text.contains(all)), "{what}");
                let written = text.to_lowercase();
                let (_, after) = written.split_once("writ").unwrap_or_default();
                assert!(card || ["where", "which"].iter().any(|at| after.contains(at)), "{what}");
                seen += 1;
            }
        }
    }
    assert!(seen > 12, "{seen}");
}

#[test]
fn a_procedure_to_be_qualified_is_proved_before_what_is_there_comes_off() {
    let held = |w: &super::order_of_the_work::Work<'_>| -> Vec<String> {
        let released = |p: &&Point| p.what.starts_with("Procedure to be qualified");
        let all = w.plan.operations.iter().filter(|o| o.before.iter().any(|p| released(&p)));
        all.map(|o| o.id.clone()).collect()
    };
    demo("crew-cab", |w| assert_eq!(held(w), ["old-pads-off", "cut-shaft"]));
    demo("pump-trailer", |w| assert_eq!(held(w), ["trailer-seats-off"]));
    // Nothing there that could not be put back: new steel.
    demo("hoist-frame", |w| assert_eq!(held(w), ["tack-parts"]));
}

#[test]
fn a_coupling_that_is_planned_moved_is_moved_by_a_step() {
    demo("pump-trailer", |w| w.says("torque-coupling", &["to its planned height"]));
}

#[test]
fn a_crack_test_is_clear_by_the_test_the_joint_asks() {
    // A certificate is for a method (ISO 9712): another method is not what was asked.
    demo("brush-truck", |w| {
        let steps = &w.get("accept-knuckles").steps;
        let tests: Vec<_> =
            steps.iter().flat_map(|s| &s.readings).filter(|r| r.id.starts_with("cracks")).collect();
        assert_eq!(tests.len(), 2, "J2 and J3 ask dye penetrant");
        for test in tests {
            assert!(test.choices.iter().any(|c| c.word == "clear, penetrant"), "{test:?}");
            assert!(!test.choices.iter().any(|c| c.word.contains("magnetic")), "{test:?}");
        }
    });
}

/// The tool, the word and the certificate follow what the joint asks.
#[test]
fn a_pad_is_tested_as_its_joint_asks() {
    let asks = |inspection: &str, tool: &str, methods: &[Method]| {
        let from = "inspection = \"visual, dye penetrant at the ends\"";
        let job = include_str!("../../jobs/brush-truck.toml").replacen(from, inspection, 1);
        of(inspection, &job, |w| {
            let steps = &w.get("accept-pads").steps;
            let all: Vec<_> = steps.iter().flat_map(|s| &s.readings).collect();
            let test = all.iter().find(|r| r.id.starts_with("cracks")).unwrap();
            assert_eq!(test.instrument.as_deref(), Some(tool), "{inspection}");
            let clear = test.choices.iter().find(|c| c.word == "clear").unwrap();
            assert_eq!(clear.tests, methods, "{inspection}");
        });
    };
    let penetrant = &[Method::Penetrant][..];
    asks("inspection = \"visual, dye penetrant at the ends\"", "penetrant set", penetrant);
    asks("inspection = \"VT, MT\"", "magnetic particle yoke", &[Method::Magnetic]);
    asks("inspection = \"visual\"", "penetrant set", penetrant);
    let both = &[Method::Penetrant, Method::Ultrasonic];
    asks("inspection = \"visual, UT\"", "penetrant set and ultrasonic flaw detector", both);
}

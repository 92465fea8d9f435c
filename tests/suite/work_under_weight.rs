//! Work with the unit's weight on and off: two axles in one job, what is put back under
//! load, full bump, and what is proved with the power back.
//!
//! The rules are of the trade (common practice) where no standard is named.

use tackwright::plan::Operation;
use tackwright::procedure::file::{Does, StepRow};
use tackwright::term::{Level, Signal};

use super::order_of_the_work::{UNITS, Work, demo, each, library, of, reads, requires, row, stops, words};
use super::routing_jobs::{job, planned};

/// Front axle that steers and rear axle that does not, springs over on both.
const BOTH: &[(&str, &str)] =
    &[("spring-over", "front"), ("knuckle-reindex", "front"), ("linkage", "front"), ("spring-over", "rear")];

/// A trailer with two axles, both turned over.
fn tandem() -> String {
    let second = "\n[[axle]]\nid = \"second\"\nname = \"second axle\"\ntrailer = true\n";
    format!("{}{second}", job(&[("trailer-springs", "trailer"), ("trailer-springs", "second")]))
}

/// The operation whose reading another one has to agree with.
fn near_of(operation: &Operation, reading: &str) -> Option<String> {
    let near = operation.readings().find(|r| r.id == reading)?.near.as_ref()?;
    let (key, _) = near.reading.as_ref()?;
    key.rsplit('/').next().map(str::to_owned)
}

/// Walks an order and keeps whether the weight is on, as the library's own rows say it.
fn weight_is_on_wherever_it_is_wanted(work: &Work<'_>) -> usize {
    let library = library();
    let names = |list: &[tackwright::file::Located<tackwright::file::Id>]| {
        list.iter().any(|s| &*s.value == "unit.settled")
    };
    let (mut on, mut seen) = (false, 0);
    for operation in &work.plan.operations {
        let row = row(&library, &operation.id);
        assert!(!names(&row.requires) || on, "{}: {} wants the weight on", work.name, operation.id);
        assert!(!names(&row.forbids) || !on, "{}: {} wants it off", work.name, operation.id);
        seen += usize::from(names(&row.requires));
        on = names(&row.provides) || on && !names(&row.clears);
    }
    seen
}

#[test]
fn the_weight_is_put_back_before_the_next_axle_is_set_by_it() {
    let library = library();
    for id in ["tack-pads", "verify-pads", "trailer-tack", "trailer-verify", "read-caster", "verify-lift"] {
        requires(&library, id, "unit.settled");
    }
    // Whoever takes it off in words takes it off in the order as well.
    for id in ["weld-pads", "trailer-weld", "saddle-housing"] {
        let row = row(&library, id);
        assert!(row.clears.iter().any(|s| &*s.value == "unit.settled"), "{id}");
    }
    of("both axles", &job(BOTH), |w| {
        assert!(weight_is_on_wherever_it_is_wanted(w) > 8);
        let place = |key: &str| w.plan.operations.iter().position(|o| o.key == key).unwrap();
        let welds = [place("front/weld-pads"), place("rear/weld-pads")];
        let (first, last) = (welds[0].min(welds[1]), welds[0].max(welds[1]));
        let again = [place("front/return-axle"), place("rear/return-axle")];
        let set = ["front/verify-lift", "rear/verify-lift", "front/verify-pads", "rear/verify-pads"];
        for key in set.map(place).into_iter().filter(|p| (first..last).contains(p)) {
            assert!(again.iter().any(|a| (first..key).contains(a)), "{key} without weight");
        }
    });
    of("tandem", &tandem(), |w| assert!(weight_is_on_wherever_it_is_wanted(w) > 4));
}

#[test]
fn an_axle_that_does_not_steer_is_asked_for_no_steering() {
    let groups = "\n[[fastener]]\nid = \"B1\"\ntitle = \"steering joints\"\non = \"front\"\nuse = \"steering-joint\"\ncount = 4\npattern = \"single\"\ntorque = \"60 lbf-ft\"\ntorque_from = \"sheet S-1 (invented)\"\nincrement = \"2 lbf-ft\"\n";
    let text = format!("{}{groups}", job(BOTH));
    let told = match planned(&text, &[], |plan, _| {
        let joints = |o: &&Operation| o.id == "linkage-on";
        let on = plan.resolved.operations.iter().find(joints).unwrap();
        assert!(words(on).contains("B1") && !words(on).contains("rear"), "{}", words(on));
        String::new()
    }) {
        Ok(nothing) => nothing,
        Err(failure) => super::routing_jobs::messages(&failure).join("\n"),
    };
    assert!(!told.contains("of \"rear\", but the job lists none"), "{told}");
    let (_, report) =
        tackwright::job::load("job.toml", &text.replace("on = \"front\"\nuse", "on = \"rear\"\nuse"));
    let found = report.problems.iter().find(|p| p.code == "J184").expect("told");
    assert!(found.message.contains("B1 tightens its steering"), "{}", found.message);
}

#[test]
fn where_no_wheel_stays_down_nothing_is_chocked_and_no_gear_holds() {
    of("both axles", &job(BOTH), |w| {
        let text = w.text("support");
        assert!(text.contains("No wheel stays down") && !text.contains("In park or in gear"), "{text}");
        assert!(!w.text("shaft-aside").contains("Wheels chocked"));
    });
    demo("brush-truck", |w| w.says("support", &["wheels that stay down", "In park or in gear"]));
    demo("pump-trailer", |w| w.says("support", &["No wheel stays down", "Coupler on a stand"]));
}

#[test]
fn an_axle_that_is_loaded_in_its_fixture_clamps_has_stands_and_the_rail_read_anew() {
    let library = library();
    for id in ["settle", "return-axle"] {
        let row = row(&library, id);
        let warned =
            row.caution.iter().any(|c| c.signal == Signal::Warning && c.hazard.value.contains("under load"));
        assert!(warned, "{id} has no caution");
        let rail = reads(row, "rail-angle");
        assert!(
            rail.derived.iter().any(|d| d.of.iter().any(|o| o.value.contains("record-as-found"))),
            "{id}"
        );
        let stands = |s: &&StepRow| s.text.value.contains("safety stands") && s.level() == Level::Safety;
        assert!(row.step.iter().any(|s| stands(&s)), "{id}: stands are no safety line");
    }
    demo("brush-truck", |w| {
        let tools = w.get("return-axle").tools.join(", ");
        assert!(tools.contains("stands") && tools.contains("jack"), "{tools}");
    });
}

#[test]
fn full_bump_has_its_way_and_its_caution_wherever_an_axle_goes_to_its_stop() {
    let asked = |text: &str| {
        let text = text.to_lowercase();
        text.contains("up to the stop") || text.contains("full bump:") || text.contains("jacked to its stop")
    };
    each(UNITS, |w| {
        let mut seen = 0;
        for operation in &w.plan.operations {
            for step in operation.steps.iter().filter(|s| asked(&s.text.text())) {
                let text = step.text.text();
                let way = ["chained", "ramp", "main leaf", "worked out"].iter().any(|way| text.contains(way));
                assert!(way, "{}: {} does not say how: {text}", w.name, operation.id);
                let warned =
                    operation.cautions.iter().chain(&step.cautions).any(|c| c.signal == Signal::Warning);
                assert!(warned, "{}: {} is not warned of", w.name, operation.id);
                seen += 1;
            }
        }
        seen
    });
}

#[test]
fn brake_joints_are_proved_with_the_power_that_gives_the_pressure() {
    demo("brush-truck", |w| {
        w.says("prove-brakes", &["engine running", "every opened joint", "firm, dry, holds"]);
        assert!(stops(w.get("prove-brakes"), "proved", "leaks"));
        assert_eq!(w.before(&["reconnect"], &["prove-brakes"]), 1);
        w.says("brake-lines-on", &["power still off"]);
    });
}

#[test]
fn the_nuts_after_the_first_miles_release_the_drive_to_the_recheck() {
    each(UNITS, |w| {
        w.says("recheck-wheels", &["on to the recheck", "it stays, the lead decides"]);
        w.says("recheck-all", &["After this recheck"]);
        1
    });
}

#[test]
fn every_bolt_that_was_out_is_at_its_makers_torque_in_a_box() {
    each(UNITS, |w| {
        let mut seen = 0;
        for (off, on, part) in [
            ("strip-axle", "bearings-in", "bolts"),
            (
                "free-axle",
                if w.has("torque-pivots") { "torque-pivots" } else { "torque-u-bolts" },
                "shock, stop",
            ),
            ("linkage-off", "make-links", "arm bolts"),
        ] {
            if w.has(off) && w.has(on) {
                let named = |r: &&tackwright::plan::Reading| r.label.contains(part);
                let reading = w.get(on).readings().find(named);
                let reading = reading.unwrap_or_else(|| panic!("{}: {on} has no box for {part}", w.name));
                assert!(reading.choices.iter().any(|c| c.does == Does::Stops), "{on}");
                seen += 1;
            }
        }
        seen
    });
}

#[test]
fn a_trailers_bow_and_toe_are_read_free_both_times() {
    demo("pump-trailer", |w| {
        for reading in ["bow", "toe"] {
            assert_eq!(
                near_of(w.get("trailer-accept"), reading).as_deref(),
                Some("inspect-bare"),
                "{reading}"
            );
        }
        assert!(!w.get("trailer-as-found").readings().any(|r| r.id == "bow"), "a load bends the tube");
        w.says("inspect-bare", &["Axle free and bare"]);
    });
}

#[test]
fn a_trailer_is_asked_for_the_brakes_it_has() {
    let text = std::fs::read_to_string("jobs/pump-trailer.toml").unwrap();
    let with = |brakes: &str| {
        text.replacen("trailer = true\n", &format!("trailer = true\nbrakes = \"{brakes}\"\n"), 1)
    };
    of("no brakes", &with("none"), |w| {
        let said: String = ["brake-lines-on", "prove-brakes", "trailer-coupling", "road-test", "roll"]
            .map(|id| w.text(id))
            .concat();
        for word in ["firm, holds", "Breakaway", "breakaway", "leaks,", "brakes proved"] {
            assert!(!said.contains(word), "{word}: {said}");
        }
        assert!(stops(w.get("brake-lines-off"), "no-brakes", "brakes found"));
        assert!(stops(w.get("prove-brakes"), "proved", "needs brakes"));
    });
    of("electric", &with("electric"), |w| {
        assert!(!w.get("brake-lines-on").readings().any(|r| r.id == "leaks"), "no line is under pressure");
        w.says("brake-lines-on", &["magnet's current"]);
    });
    of("air", &with("air"), |w| w.says("brake-lines-on", &["Air at full pressure", "soap"]));
    let idle = std::fs::read_to_string("jobs/brush-truck.toml").unwrap().replacen(
        "steered = true\n",
        "steered = true\nbrakes = \"air\"\n",
        1,
    );
    let (_, report) = tackwright::job::load("job.toml", &idle);
    assert!(report.problems.iter().any(|p| p.code == "J239" && p.key.ends_with(".brakes")), "{report:#?}");
}

#[test]
fn what_carries_fuel_or_gas_by_the_heat_is_a_safety_line() {
    for (name, reading) in [("brush-truck", "fuel"), ("pump-trailer", "fuel-carried")] {
        demo(name, |w| {
            assert!(stops(w.get("protect"), reading, "still near"), "{name}");
            w.says("protect", &["as cylinder"]);
        });
    }
}

#[test]
fn bench_saddles_are_offered_where_the_axle_comes_out() {
    let offered = |w: &Work<'_>| words(w.get("saddle-housing")).contains("bench saddles");
    of("knuckles alone", &job(&[("knuckle-reindex", "front")]), |w| assert!(!offered(w)));
    demo("brush-truck", |w| assert!(offered(w)));
    // An axle that nothing drives has a face in the place of its pinion, read both times.
    let beam = job(&[("knuckle-reindex", "front")]).replacen("driven = true\n", "", 1);
    of("beam axle", &beam, |w| {
        assert!(w.get("read-caster").readings().any(|r| r.id == "face"));
        assert_eq!(near_of(w.get("saddle-housing"), "face").as_deref(), Some("read-caster"));
    });
}

#[test]
fn pack_and_seat_are_read_left_and_right_and_held_apart() {
    let library = library();
    for id in ["pack", "seat"] {
        let step = reads(row(&library, "springs-as-found"), id);
        let reading = step.written().find(|r| &*r.id.value == id).unwrap();
        assert!(reading.each.is_some() && reading.apart.is_some(), "{id}");
    }
}

#[test]
fn a_lift_whose_steering_no_work_brings_back_is_told_before_the_work() {
    let truck = std::fs::read_to_string("jobs/brush-truck.toml").unwrap();
    let without = truck.replacen("[[work]]\nprocedure = \"linkage\"\non = [\"front\"]\n", "", 1);
    assert_ne!(truck, without);
    let told = |text: &str| {
        planned(text, &[], |plan, _| plan.report.problems.iter().any(|p| p.code == "J309")).unwrap()
    };
    assert!(told(&without) && !told(&truck));
}

//! Rules between readings take the uncertainty of both with them, as limits do: what is inside
//! the guard band is not proven, and shuts what a broken rule shuts.

use tackwright::quantity::{Angle, Dimensioned, Quantity, unit};
use tackwright::record::entry::{Action, Entry};
use tackwright::record::frozen::{Derived, Frozen, Name, RULES};
use tackwright::record::state::fold;
use tackwright::term::{Take, Units, Verdict};

use super::record_gates::{entry, read};
use super::record_held::{decided, found, plan, work};

fn degrees(value: f64) -> Quantity {
    Quantity::from(Angle::of(value, unit::DEG))
}

/// A reading with an instrument of this standard uncertainty, in degrees.
fn taken(n: u64, side: &str, value: f64, spread: f64) -> Entry {
    let mut one = entry(n, &format!("08:{n:02}"), "F1", read("fit", &format!("caster.{side}"), value));
    if let Action::Measure { reading } = &mut one.what {
        reading.uncertainty = Some(degrees(spread).si().to_string());
    }
    one
}

fn sides(left: f64, right: f64, spread: f64) -> Vec<Entry> {
    vec![taken(1, "left", left, spread), taken(2, "right", right, spread)]
}

/// Left and right at most 0.5 deg apart.
fn half_a_degree(rules: u32) -> Frozen {
    let mut plan = Frozen { rules, ..plan() };
    for reading in plan.operations[0].steps.iter_mut().flat_map(|s| &mut s.readings) {
        reading.apart = Some(degrees(0.5));
        reading.label = "caster".to_owned();
    }
    plan
}

fn verdict(plan: &Frozen, log: &[Entry]) -> Option<Verdict> {
    let stops = fold(log).stops(plan, &plan.operations[0]);
    // What a rule shuts, it shuts broken or not proven.
    assert_eq!(work(plan, log, "22:00", "weld").is_err(), !stops.is_empty());
    stops.first().map(|stop| stop.verdict)
}

#[test]
fn a_difference_is_good_where_both_instruments_prove_it() {
    let plan = half_a_degree(RULES);
    // Each 0.05 deg: together 0.0707, twice that is 0.1414.
    let told = |right: f64| verdict(&plan, &sides(5.0, right, 0.05));
    assert_eq!(told(5.35), None);
    assert_eq!(told(5.37), Some(Verdict::NotProven));
    assert_eq!(told(5.49), Some(Verdict::NotProven));
    assert_eq!(told(5.63), Some(Verdict::NotProven));
    assert_eq!(told(5.65), Some(Verdict::NotConform));
    assert_eq!(told(4.65), None);
    assert_eq!(told(4.51), Some(Verdict::NotProven));
    // Known exactly, it is good up to its limit.
    assert_eq!(verdict(&plan, &sides(5.0, 5.5, 0.0)), None);
    // What was entered before is kept by the rules of its day.
    assert_eq!(verdict(&half_a_degree(9), &sides(5.0, 5.49, 0.05)), None);
}

#[test]
fn what_is_not_proven_says_so_and_a_lead_decides() {
    let plan = half_a_degree(RULES);
    let log = sides(5.0, 5.49, 0.05);
    let refused = work(&plan, &log, "22:00", "weld").unwrap_err();
    assert_eq!(refused.code, "L116", "{refused:?}");
    let words = "caster: left and right are 0.49° apart, 0.5° at most (not proven: guard band 0.15°)";
    assert!(refused.message.contains(words), "{refused:?}");
    let help = refused.help.join(" ");
    assert!(help.contains("measure better, with --again"), "{help}");
    // A better instrument reads the same: both stand, and only a lead opens it.
    let mut better = log.clone();
    better.extend([taken(3, "left", 5.0, 0.001), taken(4, "right", 5.49, 0.001)]);
    assert!(work(&plan, &better, "22:00", "weld").is_err());
    better.extend([found(5, "12:00", "fit", Some("caster.left")), decided(6, "12:10", "use as is")]);
    work(&plan, &better, "22:00", "weld").unwrap();
}

#[test]
fn a_value_that_follows_from_readings_takes_their_uncertainty_with_it() {
    let name = |side: &str| Name { operation: "fit".to_owned(), reading: format!("caster.{side}") };
    let with = |take: Take, least: Option<f64>, most: Option<f64>| {
        let mut plan = half_a_degree(RULES);
        let step = &mut plan.operations[0].steps[0];
        step.readings.iter_mut().for_each(|r| r.apart = None);
        step.derived = vec![Derived {
            id: "one".to_owned(),
            label: "caster".to_owned(),
            of: vec![name("left"), name("right")],
            take,
            least: least.map(degrees),
            most: most.map(degrees),
            ..Derived::default()
        }];
        plan
    };
    let difference = with(Take::LeftMinusRight, Some(-0.5), Some(0.5));
    assert_eq!(verdict(&difference, &sides(5.0, 5.35, 0.05)), None);
    assert_eq!(verdict(&difference, &sides(5.0, 5.49, 0.05)), Some(Verdict::NotProven));
    assert_eq!(verdict(&difference, &sides(5.0, 5.65, 0.05)), Some(Verdict::NotConform));
    // The least is as good as its own instrument; a mean shares what that is off by.
    for take in [Take::Least, Take::Mean] {
        let least = with(take, Some(4.0), None);
        assert_eq!(verdict(&least, &sides(4.11, 4.11, 0.05)), None);
        assert_eq!(verdict(&least, &sides(4.09, 4.09, 0.05)), Some(Verdict::NotProven));
        assert_eq!(verdict(&least, &sides(3.89, 3.89, 0.05)), Some(Verdict::NotConform));
    }
}

#[test]
fn arc_energy_is_as_uncertain_as_what_it_is_made_of() {
    // 20 V ± 0.2, 180 A ± 3.6 over 6: 1 % and 2 % together 2.236 %.
    let of = [(20.0, 0.2), (180.0, 3.6), (6.0, 0.0)];
    let spread = Take::ArcEnergy.spread_of(&of).unwrap();
    assert!((spread - 600.0 * 0.05_f64.sqrt() / 10.0).abs() < 1e-9, "{spread}");
    assert_eq!(Take::Largest.spread_of(&[(1.0, 0.3), (2.0, 0.1)]), Some(0.3));
}

#[test]
fn a_metric_job_is_told_its_rules_metric_first() {
    let mut plan = half_a_degree(RULES);
    plan.units = Units::Metric;
    let length = |si: f64| Quantity::from_si(tackwright::quantity::Kind::Length, si);
    for reading in plan.operations[0].steps.iter_mut().flat_map(|s| &mut s.readings) {
        reading.apart = Some(length(0.000_508));
        reading.limits.as_mut().unwrap().kind = tackwright::quantity::Kind::Length;
    }
    let mut log = sides(5.0, 5.0, 0.0);
    for (one, value) in log.iter_mut().zip(["0.1", "0.1016"]) {
        let Action::Measure { reading } = &mut one.what else { unreachable!() };
        reading.value = Some(value.to_owned());
    }
    let words = |plan: &Frozen| fold(&log).stops(plan, &plan.operations[0])[0].words.clone();
    // 0.020 in is 0.508 mm: no limit is told looser than it is, and none in sixty-fourths it is not.
    assert!(
        words(&plan).ends_with("1.6 mm (1/16 in) apart, 0.508 mm (0.020 in) at most"),
        "{}",
        words(&plan)
    );
    plan.units = Units::Inch;
    assert!(words(&plan).ends_with("0.020 in (0.508 mm) at most"), "{}", words(&plan));
}

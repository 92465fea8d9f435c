//! Both of a pair read again, one after the other: the new left one beside the old right one
//! is no verdict, and opens nothing either.

use tackwright::record::entry::Entry;
use tackwright::record::frozen::{Frozen, Name, RULES};
use tackwright::record::moved::AsPrinted;
use tackwright::record::replay::replay;
use tackwright::record::state::{State, fold};

use super::record_gates::{entry, issued, read};
use super::record_held::{ask, decided, found, plan, work};

/// Left and right at most 0.6 deg apart, read in this order.
fn log(values: &[(&str, f64)]) -> Vec<Entry> {
    let one = |(n, (side, value)): (u64, &(&str, f64))| {
        let time = format!("{:02}:{:02}", 8 + n / 12, 5 * (n % 12));
        entry(n, &time, "F1", read("fit", &format!("caster.{side}"), *value))
    };
    (1..).zip(values).map(one).collect()
}

fn sides(rules: u32) -> Frozen {
    Frozen { rules, ..plan() }
}

/// What is told of the pair: nothing, to wait for the other one, or a stop.
fn told(rules: u32, values: &[(&str, f64)]) -> &'static str {
    let (plan, log) = (sides(rules), log(values));
    let stops = fold(&log).stops(&plan, &plan.operations[0]);
    // Entry by entry it comes out the same.
    let followed = {
        let mut state = State::default();
        for one in &log {
            state.go_on(one, None);
        }
        state.stops(&plan, &plan.operations[0])
    };
    assert_eq!(stops, followed, "{values:?}");
    let shut = work(&plan, &log, "22:00", "weld").is_err();
    assert_eq!(shut, !stops.is_empty(), "{values:?}");
    match stops.first() {
        None => "",
        Some(stop) if stop.waits.is_some() => "wait",
        Some(_) => "stop",
    }
}

#[test]
fn a_pair_read_again_one_after_the_other_is_no_stop() {
    let first = [("left", 5.0), ("right", 5.2)];
    let then = |more: &[(&'static str, f64)]| told(RULES, &[&first[..], more].concat());
    assert_eq!(then(&[]), "");
    assert_eq!(then(&[("left", 7.0)]), "wait");
    assert_eq!(then(&[("left", 7.0), ("right", 7.1)]), "");
    assert_eq!(then(&[("right", 7.0), ("left", 7.1)]), "");
    assert_eq!(then(&[("left", 7.0), ("right", 7.1), ("left", 9.0), ("right", 9.1)]), "");
    // One that agrees with the old other one is no reason to read that again.
    assert_eq!(then(&[("left", 5.1)]), "");
    // What was so before is kept by the rules of its day.
    assert_eq!(told(9, &[("left", 5.0), ("right", 5.2), ("left", 7.0), ("right", 7.1)]), "stop");
}

#[test]
fn no_true_stop_is_hidden_by_reading_again() {
    let first = [("left", 5.0), ("right", 5.2)];
    let then = |more: &[(&'static str, f64)]| told(RULES, &[&first[..], more].concat());
    // Both read, and apart.
    assert_eq!(told(RULES, &[("left", 5.0), ("right", 8.0)]), "stop");
    assert_eq!(told(RULES, &[("left", 5.0), ("right", 8.0), ("left", 8.1)]), "stop");
    assert_eq!(told(RULES, &[("left", 5.0), ("right", 8.0), ("left", 8.1), ("right", 8.0)]), "stop");
    assert_eq!(then(&[("left", 7.0), ("right", 5.2)]), "stop");
    assert_eq!(then(&[("left", 7.0), ("right", 5.2), ("left", 5.2)]), "stop");
    // The same side until it fits: the one that did not fit stands.
    assert_eq!(then(&[("left", 7.0), ("left", 5.1)]), "stop");
    assert_eq!(then(&[("left", 7.0), ("left", 5.1), ("right", 5.2)]), "stop");
    // It waits as long as nobody reads the other one.
    assert_eq!(then(&[("left", 7.0), ("left", 7.0)]), "wait");
}

#[test]
fn a_pair_that_waits_is_shut_and_says_what_to_read() {
    let plan = sides(RULES);
    let all = log(&[("left", 5.0), ("right", 5.2), ("left", 7.0)]);
    let said = work(&plan, &all, "22:00", "weld").unwrap_err();
    assert_eq!(said.code, "L116", "{said:?}");
    assert!(said.message.contains("caster.right is of before: read it again"), "{said:?}");
    let way = said.help.join(" ");
    assert!(way.contains("measure T-1 10.caster.right") && way.contains("--again"), "{way}");
    assert!(way.contains("let a lead decide: tackwright found T-1 10.caster.left"), "{way}");
    let stops = fold(&all).stops(&plan, &plan.operations[0]);
    let other = Name { operation: "fit".to_owned(), reading: "caster.right".to_owned() };
    assert_eq!(stops[0].waits.as_ref(), Some(&other));
    // It is open when the traveler is closed, and what was signed over it by then is told.
    assert!(ask(&plan, &all, "02T22:00", |s| s.open()).iter().any(|o| o.contains("is of before")));
    // A lead may decide it as any stop.
    let mut filed = all.clone();
    filed.extend([found(4, "12:00", "fit", Some("caster.left")), decided(5, "12:10", "use as is")]);
    work(&plan, &filed, "22:00", "weld").unwrap();
    // A replay says the same.
    let mut forged = vec![issued("LO")];
    forged.extend(all);
    forged.push(entry(9, "22:00", "F1", read("weld", "interpass", 5.0)));
    for (one, n) in forged.iter_mut().zip(1..) {
        one.n = n;
    }
    let against = replay(&[&plan], &forged, &AsPrinted).against;
    assert!(against.iter().any(|(_, why)| why.contains("is of before")), "{against:?}");
}

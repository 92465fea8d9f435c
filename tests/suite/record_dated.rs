//! A day something is due on is a day, and what is promised at the close is that day.

use tackwright::record::entry::{Action, Entry};
use tackwright::record::frozen::{Frozen, RULES, Reading};
use tackwright::record::identified::BY_ID;
use tackwright::record::moved::AsPrinted;
use tackwright::record::replay::replay;
use tackwright::record::state::fold;
use tackwright::record::{dated, entry::FollowUp};
use tackwright::term::Judged;

use super::record_gates::{at, entry, issued, read};
use super::record_held::{ask, plan};

/// The length beside everything is a day something is due on.
fn due() -> Frozen {
    let mut plan = Frozen { rules: RULES, ..plan() };
    let own = plan.operations.iter_mut().find(|o| o.key == "beside").unwrap();
    let reading = &mut own.steps[0].readings[0];
    (reading.limits, reading.dated) = (None, true);
    reading.label = "re-torque due".to_owned();
    plan
}

fn written(n: u64, text: &str) -> Entry {
    let mut one = entry(n, "12:00", "F1", read("beside", "length", 0.0));
    if let Action::Measure { reading } = &mut one.what {
        (reading.text, reading.value, reading.kind) = (text.to_owned(), None, None);
        reading.verdict = Judged::Recorded;
    }
    one
}

#[test]
fn what_is_due_has_a_day_that_is_to_come() {
    let plan = due();
    let reading: &Reading = plan.operations.iter().find_map(|o| o.readings().find(|r| r.dated)).unwrap();
    let said = |text: &str| ask(&plan, &[], "02T12:00", |s| s.dated(reading, text));
    for text in ["2026-03-02", "2026-05-04", "2026-05-04, 50 mi"] {
        said(text).unwrap_or_else(|p| panic!("{text}: {p:?}"));
    }
    for text in ["later", "when it settles", "5/4/2026", "50 mi"] {
        let problem = said(text).unwrap_err();
        assert_eq!(problem.code, "L340");
        assert!(problem.message.contains("begins with no day"), "{problem:?}");
        assert_eq!(problem.example, "2026-03-30, 50 mi");
    }
    assert!(said("2026-03-01").unwrap_err().message.contains("was over when it was written"));
    // Any other reading in words says what it says.
    let other = Reading { dated: false, ..reading.clone() };
    ask(&plan, &[], "02T12:00", |s| s.dated(&other, "later")).unwrap();
}

#[test]
fn what_is_promised_at_the_close_is_the_day_that_was_read() {
    let plan = due();
    let log = [written(1, "2026-05-04, 50 mi")];
    let state = fold(&log);
    let day = |text| dated::day(text);
    assert_eq!(dated::due(&plan, &state).map(|(read, ..)| read), day("2026-05-04"));
    dated::promised(&plan, &state, day("2026-05-04")).unwrap();
    dated::promised(&plan, &state, None).unwrap();
    let problem = dated::promised(&plan, &state, day("2026-06-04")).unwrap_err();
    assert_eq!((problem.code, problem.expected.as_str()), ("L341", "2026-05-04"));
    assert!(problem.help.join(" ").contains("leave --follow-up away"), "{problem:?}");
    // Where nothing was read there is nothing to agree with.
    dated::promised(&plan, &fold(&[]), day("2026-06-04")).unwrap();
}

#[test]
fn each_follow_up_has_its_day_in_the_order_of_the_work() {
    let mut plan = due();
    // The acceptance comes after the weld, and that after the fit.
    for operation in &mut plan.operations {
        operation.deferred = ["fit", "weld", "accept"].contains(&operation.key.as_str());
    }
    let state = fold(&[written(1, "2026-05-04, 50 mi")]);
    let days = |all: &[(&str, &str)]| {
        let all: Vec<FollowUp> =
            all.iter().map(|(key, due)| FollowUp { due: (*due).to_owned(), operation: at(key) }).collect();
        dated::scheduled(&plan, &state, &all)
    };
    days(&[("fit", "2026-05-04"), ("weld", "2026-05-20"), ("accept", "2026-06-10")]).unwrap();
    days(&[("accept", "2026-05-04"), ("weld", "2026-05-04"), ("fit", "2026-05-04")]).unwrap();
    let problem = days(&[("fit", "2026-05-20"), ("weld", "2026-05-20"), ("accept", "2026-05-04")]);
    let problem = problem.unwrap_err();
    assert_eq!((problem.code, problem.expected.as_str()), ("L331", "2026-05-20 or later"));
    assert!(problem.help.join(" ").contains("--follow-up 30=2026-05-20"), "{problem:?}");
    // The first of them is the one the customer was told.
    assert_eq!(days(&[("fit", "2026-05-05"), ("accept", "2026-06-10")]).unwrap_err().code, "L341");
}

#[test]
fn a_replay_asks_the_same() {
    let plan = due();
    let close = |due: &str| {
        let follow = FollowUp { due: due.to_owned(), operation: at("beside") };
        let what = Action::Closed { follow_ups: vec![follow], identified: BY_ID.to_owned() };
        let mut one = entry(3, "13:00", "LO", what);
        one.by.role = "lead".to_owned();
        one
    };
    let against = |text: &str, due: &str| {
        let mut log = vec![issued("LO"), written(2, text), close(due)];
        for (one, n) in log.iter_mut().zip(1..) {
            one.n = n;
        }
        let all = replay(&[&plan], &log, &AsPrinted).against;
        all.into_iter().map(|(_, why)| why).collect::<Vec<_>>().join("; ")
    };
    for (text, due, part) in [
        ("2026-05-04", "2026-06-04", "2026-06-04 is another day than the 2026-05-04"),
        ("later", "2026-05-04", "begins with no day"),
    ] {
        let said = against(text, due);
        assert!(said.contains(part), "{text}, {due}: {said}");
    }
    assert_eq!(against("2026-05-04", "2026-05-04"), "");
}

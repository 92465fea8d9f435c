//! Work that is made again starts what comes after it again; a hold is not taken back from
//! under the work it let begin; a second reading comes to the log by another hand.

use tackwright::record::change::compare;
use tackwright::record::entry::{Action, Correction, Entry, Issue, TakenIn};
use tackwright::record::frozen::{Frozen, RULES, Step};
use tackwright::record::left_out::left_out;
use tackwright::record::moved::AsPrinted;
use tackwright::record::replay::replay;
use tackwright::record::state::fold;
use tackwright::term::Level;

use super::record_gates::{code, entry, operation, read, tick};
use super::record_released::{again, as_role, ask, degrees, hold, issue, plan, safety, sign, signed, work};
use crate::support::bench::Bench;
use crate::support::pdf::{self, squeeze};

/// The edition of the rules before.
const BEFORE: u32 = 9;

fn reads(ids: &[&str]) -> Vec<Step> {
    let readings = ids.iter().map(|id| degrees(id)).collect();
    vec![Step { number: 1, level: Some(Level::Control), readings, ..Step::default() }]
}

/// Released, welded, accepted, assembled, driven.
fn whole(rules: u32) -> Frozen {
    let mut weld = operation("weld", 10, &[]);
    (weld.role, weld.steps) = ("welder".to_owned(), reads(&["heat"]));
    (weld.acts, weld.joints) = (vec!["arc".to_owned()], vec!["J1".to_owned()]);
    weld.before.push(hold("before.1", "H0", &["lead"], None));
    let mut accept = operation("accept", 20, &["weld"]);
    (accept.role, accept.steps) = ("inspector".to_owned(), reads(&["look"]));
    accept.joints = vec!["J1".to_owned()];
    let mut acceptance = hold("after.1", "H1", &["inspector"], Some("acceptance"));
    acceptance.worked_by = vec!["weld".to_owned()];
    acceptance.concerns = vec!["weld".to_owned()];
    accept.after.push(acceptance);
    let mut fit = operation("fit", 30, &["accept"]);
    fit.steps = safety();
    let mut road = operation("road", 40, &["fit"]);
    road.steps = reads(&["caster"]);
    road.after.push(hold("after.1", "H2", &["lead"], None));
    let mut beside = operation("beside", 5, &[]);
    beside.steps = reads(&["length"]);
    plan(vec![beside, weld, accept, fit, road], rules)
}

fn done() -> Vec<Entry> {
    vec![
        issue(),
        as_role(entry(2, "07:30", "LO", signed("weld", "before.1", "H0")), "lead"),
        as_role(entry(3, "08:00", "WO", read("weld", "heat", 1.0)), "welder"),
        as_role(entry(4, "08:10", "WO", tick("weld", None)), "welder"),
        entry(5, "08:20", "F1", read("beside", "length", 1.0)),
        as_role(entry(6, "10:00", "IO", read("accept", "look", 1.0)), "inspector"),
        as_role(entry(7, "10:10", "IO", tick("accept", None)), "inspector"),
        as_role(entry(8, "10:20", "IO", signed("accept", "after.1", "H1")), "inspector"),
        entry(9, "11:00", "F1", tick("fit", Some(1))),
        entry(10, "11:10", "F1", tick("fit", None)),
        entry(11, "12:00", "F1", read("road", "caster", 5.0)),
        entry(12, "12:10", "F1", tick("road", None)),
        as_role(entry(13, "12:20", "LT", signed("road", "after.1", "H2")), "lead"),
    ]
}

/// The entry with what starts again with it, as the desk enters it.
pub(super) fn with_what_it_undoes(plan: &Frozen, log: &[Entry], one: Entry) -> Entry {
    let time = one.at.get(11..16).unwrap().to_owned();
    let undone = ask(plan, log, &time, |s| s.undoes(&one.what, one.corrects.is_some()));
    Entry { undoes: undone.map(Box::new), ..one }
}

fn names(one: &Entry) -> (Vec<u32>, Vec<&str>) {
    let Some(undone) = &one.undoes else { return Default::default() };
    let operations = undone.operations.iter().map(|o| o.number).collect();
    (operations, undone.points.iter().map(|p| p.point.as_str()).collect())
}

#[test]
fn a_weld_made_again_starts_what_comes_after_it_again() {
    let plan = whole(RULES);
    let mut log = done();
    assert_eq!(again(&plan, &log).against, Vec::new());
    // Nobody initialled what is beside it; nothing else is open.
    let beside = ["operation 5 : initials 5"];
    assert_eq!(ask(&plan, &log, "13:00", |s| s.open()), beside);
    // Asked back, with what it costs.
    let asks = |log: &[Entry], key: &str, id: &str| {
        ask(&plan, log, "14:00", |s| s.over_later_work(s.operation(key)?, id))
    };
    code(asks(&log, "weld", "heat"), "L351", "operations 20, 30, 40 started again; H1, H2 to be signed anew");
    asks(&log, "beside", "length").unwrap();
    asks(&log[..5], "weld", "heat").unwrap();
    let weld = as_role(entry(14, "14:00", "WO", read("weld", "heat", 1.2)), "welder");
    // A log that says nothing of it is against the rules.
    let silent = [&log[..], std::slice::from_ref(&weld)].concat();
    let told = again(&plan, &silent).against;
    assert!(told.len() == 1 && told[0].1.contains("does not say what starts again"), "{told:?}");
    let weld = with_what_it_undoes(&plan, &log, weld);
    assert_eq!(names(&weld), (vec![20, 30, 40], vec!["H1", "H2"]));
    log.push(weld);
    let open = ask(&plan, &log, "15:00", |s| s.open()).join("; ");
    for part in ["reading 20.look", "H1", "step 30.1", "reading 40.caster", "H2"] {
        assert!(open.contains(part), "{part}: {open}");
    }
    assert!(!open.contains("H0") && !open.contains("5.length"), "{open}");
    code(work(&plan, &log, "15:00", "F1", "fit"), "L110", "H1 of operation 20 is not signed anew");
    code(sign(&plan, &log, "LT", "lead", "H2"), "L110", "H1");
    // Taking the reading back brings nothing back.
    let mut back = as_role(entry(15, "14:10", "LT", Action::Withdrawn {}), "lead");
    back.corrects = Some(Correction { entry: 14, reason: "wrong box".to_owned() });
    let taken_back = [&log[..], &[back]].concat();
    assert!(ask(&plan, &taken_back, "15:00", |s| s.open()).join("; ").contains("reading 40.caster"));
    // All of it anew, after the weld by the time that is stated as well.
    let look = |time| as_role(entry(15, time, "IO", read("accept", "look", 1.0)), "inspector");
    let early = [&log[..], &[look("13:00")]].concat();
    let told = again(&plan, &early).against;
    assert!(told.iter().any(|(n, why)| *n == 15 && why.contains("can't rest on")), "{told:?}");
    log.extend([
        look("16:00"),
        as_role(entry(16, "16:10", "IO", tick("accept", None)), "inspector"),
        as_role(entry(17, "16:20", "IO", signed("accept", "after.1", "H1")), "inspector"),
        entry(18, "17:00", "F1", tick("fit", Some(1))),
        entry(19, "17:10", "F1", tick("fit", None)),
        entry(20, "17:20", "F1", read("road", "caster", 5.0)),
        entry(21, "17:30", "F1", tick("road", None)),
        as_role(entry(22, "17:40", "LT", signed("road", "after.1", "H2")), "lead"),
    ]);
    let replayed = again(&plan, &log);
    assert_eq!(replayed.against, Vec::new());
    assert!(
        replayed.told.iter().any(|(n, w)| *n == 14 && w.contains("work was made again")),
        "{:?}",
        replayed.told
    );
    assert_eq!(ask(&plan, &log, "18:00", |s| s.open()), beside);
    // A paper of before is kept by the rules of its day.
    let before = whole(BEFORE);
    assert_eq!(ask(&before, &done(), "14:00", |s| s.undoes(&read("weld", "heat", 1.2), false)), None);
}

/// What is entered late starts nothing again that was done after it; what was signed before
/// anybody knew of it is signed anew. A slip of the pen is no work.
#[test]
fn late_entry_of_true_work_stays_possible() {
    let plan = whole(RULES);
    let late = as_role(entry(14, "08:05", "WO", read("weld", "heat", 1.1)), "welder");
    let late = with_what_it_undoes(&plan, &done(), late);
    assert_eq!(names(&late), (vec![], vec!["H2"]));
    let log = [&done()[..], &[late]].concat();
    assert_eq!(again(&plan, &log).against, Vec::new());
    assert!(fold(&log).reading("road", "caster").is_some());
    let mut slip = as_role(entry(14, "08:05", "WO", read("weld", "heat", 1.1)), "welder");
    slip.corrects = Some(Correction { entry: 3, reason: "wrong line".to_owned() });
    assert_eq!(with_what_it_undoes(&plan, &done(), slip).undoes, None);
    // An arc on a mock-up leaves the unit as it is.
    let mut mock_up = whole(RULES);
    (mock_up.operations[1].verb, mock_up.operations[1].joints) = ("test".to_owned(), Vec::new());
    let arc = as_role(entry(14, "14:00", "WO", read("weld", "heat", 1.1)), "welder");
    assert_eq!(with_what_it_undoes(&mock_up, &done(), arc).undoes, None);
    // A first entry, another part of the unit: nothing.
    let first = with_what_it_undoes(&plan, &done()[..2], done()[2].clone());
    assert_eq!(first.undoes, None);
    let other = with_what_it_undoes(&plan, &done(), entry(14, "14:00", "F1", read("beside", "length", 2.0)));
    assert_eq!(other.undoes, None);
}

/// What was taken back under a signature and is entered again does not bring it back.
#[test]
fn a_signature_over_what_was_taken_back_is_given_anew() {
    let plan = whole(RULES);
    let mut back = as_role(entry(14, "13:00", "LO", Action::Withdrawn {}), "lead");
    back.corrects = Some(Correction { entry: 9, reason: "not done after all".to_owned() });
    let mut log = done();
    log.push(back);
    let anew = with_what_it_undoes(&plan, &log, entry(15, "13:10", "F1", tick("fit", Some(1))));
    assert_eq!(names(&anew), (vec![], vec!["H2"]));
    log.push(anew);
    assert!(ask(&plan, &log, "14:00", |s| s.open()).join("; ").contains("H2"));
    // Not by a time before it.
    let mut sooner = as_role(entry(16, "12:30", "LT", signed("road", "after.1", "H2")), "lead");
    let told = again(&plan, &[&log[..], &[sooner.clone()]].concat()).against;
    assert!(told.iter().any(|(n, why)| *n == 16 && why.contains("made again before it")), "{told:?}");
    sooner.at = "2026-03-02T14:00:00-06:00".to_owned();
    sooner.clock = Some(sooner.at.clone());
    log.push(sooner);
    assert!(!ask(&plan, &log, "15:00", |s| s.open()).join("; ").contains("H2"));
}

/// A hold stays where it stands under the work it let begin: what was wrong with it is found,
/// and a lead decides.
#[test]
fn a_hold_is_not_taken_back_from_under_its_work() {
    let takes_back = |plan: &Frozen, log: &[Entry], n: u64| {
        let correction = Correction { entry: n, reason: "signed unread".to_owned() };
        ask(plan, log, "15:00", |s| s.correction(&correction, &Action::Withdrawn {}))
    };
    let plan = whole(RULES);
    let log = done();
    takes_back(&plan, &log[..2], 2).unwrap();
    code(takes_back(&plan, &log[..3], 2), "L350", "operation 10 was begun on H0 (entry 3)");
    code(takes_back(&plan, &log[..3], 2), "L350", "tackwright found T-1 10");
    // Work beside it is no work it let begin; the last hold let nothing begin.
    takes_back(&plan, &[&log[..2], &log[4..5]].concat(), 2).unwrap();
    takes_back(&plan, &log, 13).unwrap();
    takes_back(&whole(BEFORE), &log[..3], 2).unwrap();
    // A log in which it was taken back, and signed again, does not hold.
    let mut back = as_role(entry(4, "09:00", "LO", Action::Withdrawn {}), "lead");
    back.corrects = Some(Correction { entry: 2, reason: "signed unread".to_owned() });
    let anew = as_role(entry(5, "09:10", "LO", signed("weld", "before.1", "H0")), "lead");
    let forged = [&log[..3], &[back, anew]].concat();
    let replayed = again(&plan, &forged);
    assert!(
        replayed.against.iter().any(|(n, why)| *n == 4 && why.contains("was begun on H0")),
        "{replayed:?}"
    );
    let words = "H0 is signed after the work it releases: operation 10";
    assert!(replayed.told.iter().any(|(n, told)| *n == 5 && told == words), "{:?}", replayed.told);
    let state = fold(&forged);
    let after = state.signed_after(&plan, &plan.operations[1], &plan.operations[1].before[0]);
    assert_eq!(after.map(|(signed, work, mark)| (signed.mark.n, work.number, mark.n)), Some((5, 10, 3)));
    let state = fold(&log);
    let after = state.signed_after(&plan, &plan.operations[1], &plan.operations[1].before[0]);
    assert!(after.is_none());
}

/// A weld that was made is there, whatever the next paper says.
#[test]
fn what_was_welded_leaves_no_plan() {
    let old = whole(RULES);
    let state = fold(&done()[..3]);
    assert_eq!(left_out(&state, &old, &old), None);
    let without = |change: &dyn Fn(&mut Frozen)| {
        let mut new = old.clone();
        new.revision = "B".to_owned();
        change(&mut new);
        new
    };
    let gone = without(&|plan| plan.operations.retain(|o| o.key != "weld"));
    let joint = without(&|plan| plan.operations[1].joints.clear());
    let looked = without(&|plan| plan.operations[2].after.clear());
    for (new, part) in [
        (&gone, "is no longer in the plan"),
        (&joint, "no longer has the joint J1"),
        (&looked, "no longer accepted by anybody"),
    ] {
        let words = left_out(&state, &old, new).unwrap();
        assert!(words.contains(part), "{words}");
        assert_eq!(left_out(&fold(&done()[..2]), &old, new), None);
        assert_eq!(left_out(&state, &whole(BEFORE), new), None);
    }
    // Started again by a revision, or taken back, it was made all the same.
    let mut back = as_role(entry(4, "08:30", "LO", Action::Withdrawn {}), "lead");
    back.corrects = Some(Correction { entry: 3, reason: "wrong line".to_owned() });
    assert!(left_out(&fold(&[&done()[..3], &[back]].concat()), &old, &gone).is_some());
    // The log says no.
    let change = compare(&old, &gone);
    let issue = Issue { number: "T-1".to_owned(), revision: "B".to_owned(), ..Issue::default() };
    let revised = Action::Revised {
        from: "A".to_owned(),
        issue,
        kept: change.kept,
        reason: "the customer wants it left".to_owned(),
        removed: change.removed,
        reopened: change.reopened,
    };
    let mut revised = as_role(entry(4, "09:00", "LO", revised), "lead");
    revised.identified = Some("not by PIN: the book has none".to_owned());
    let log = [&done()[..3], &[revised]].concat();
    let told = replay(&[&old, &gone], &log, &AsPrinted).against;
    assert!(told.iter().any(|(n, why)| *n == 4 && why.contains("no longer in the plan")), "{told:?}");
}

#[test]
fn a_second_reading_is_taken_in_by_no_one_who_took_the_first() {
    let two = |rules| {
        let mut measure = operation("measure", 10, &[]);
        let second = Step { number: 2, by: Some("inspector".to_owned()), ..reads(&["second"]).remove(0) };
        measure.steps = [reads(&["first"]), vec![second]].concat();
        plan(vec![measure], rules)
    };
    let takes = |rules: u32, log: &[Entry], who: &str, step: usize| {
        let plan = two(rules);
        ask(&plan, log, "10:00", |s| {
            let operation = s.operation("measure")?;
            s.takes_in(who, operation, &operation.steps[step])
        })
    };
    let log = [issue(), entry(2, "08:00", "F1", read("measure", "first", 1.0))];
    code(takes(RULES, &log, "F1", 1), "L352", "F1 read 10.first and can't take in");
    takes(RULES, &log, "LO", 1).unwrap();
    takes(RULES, &log, "F1", 0).unwrap();
    takes(BEFORE, &log, "F1", 1).unwrap();
    // Nor the first beside the own second one.
    let other = [issue(), as_role(entry(2, "08:00", "IO", read("measure", "second", 1.0)), "inspector")];
    code(takes(RULES, &other, "IO", 0), "L352", "IO read 10.second");
    // The log says no, whoever is in the book by then.
    let mut second = as_role(entry(3, "08:10", "IO", read("measure", "second", 1.0)), "inspector");
    second.taken_in = Some(Box::new(TakenIn {
        by: "F1".to_owned(),
        picture: None,
        place: "line 3".to_owned(),
        sha256: String::new(),
        way: tackwright::form::Way::Sheet,
    }));
    let told = again(&two(RULES), &[&log[..], &[second]].concat()).against;
    assert!(told.iter().any(|(n, why)| *n == 3 && why.contains("can't take in")), "{told:?}");
}

/// A job file is written without a PIN and holds nothing: what is found after the issue is in
/// the record, and what was found before has numbers of its own.
#[test]
fn what_is_found_after_the_issue_stands_in_no_job_file() {
    let found = |what: &str| {
        format!(
            "\n[[found]]\nwhat = \"{what}\"\ndate = 2026-02-27\ndisposition = \"use as is\"\ndecided = \"Lead One: letter 44-1 of the maker\"\n"
        )
    };
    let bench = Bench::small();
    let job = format!("{}{}", bench.text("job.toml"), found("Old gusset, sound"));
    bench.write("job.toml", &job);
    bench.yes(&["issue", "job.toml"]);
    let paper = bench.text("travelers/TW-2041/A/document.json");
    assert!(paper.contains("\"P1\"") && !paper.contains("\"number\":\"F1\""), "{paper}");
    bench.run(&["complete", "TW-2041", "--by", "LO"]);
    let pages = pdf::pages(&bench.read("travelers/TW-2041/TW-2041-completed.pdf"));
    let text: String = pages.iter().map(pdf::Page::text).collect();
    for part in ["Found before the issue P1", "Old gusset, sound", "letter 44-1 of the maker"] {
        assert!(text.contains(&squeeze(part)), "{part}");
    }
    let revise = ["revise", "job.toml", "--by", "LO", "--reason", "old weld found"];
    for other in [
        format!("{job}{}", found("Frame rail cracked")),
        job.replace("Old gusset, sound", "Old gusset, cracked"),
        job.replace("use as is", "rework"),
    ] {
        bench.write("job.toml", other);
        let said = bench.no(&revise, "L353");
        assert!(said.err.contains("tackwright found TW-2041"), "{}", said.err);
    }
}

#[test]
fn a_review_is_not_taken_back_from_under_the_work_it_let_begin() {
    let bench = Bench::issued();
    assert_eq!(bench.fill_before("running-gear"), "20.running-gear");
    let log = bench.text("travelers/TW-2041/log.jsonl");
    let all: Vec<serde_json::Value> = log.lines().map(|line| serde_json::from_str(line).unwrap()).collect();
    let signed = all.iter().rfind(|line| line["entry"]["what"]["act"] == "sign").unwrap();
    assert_eq!(signed["entry"]["what"]["point"], "R1");
    let n = signed["entry"]["n"].to_string();
    let takes_back = ["correct", "TW-2041", &n, "--by", "LO", "--reason", "signed a day too early"];
    let begun = bench.run(&["measure", "TW-2041", "20.running-gear", "sound", "--by", "LO"]);
    assert_eq!(begun.code, 0, "{}", begun.err);
    let said = bench.no(&takes_back, "L350");
    assert!(said.err.contains("operation 20 was begun on R1"), "{}", said.err);
}

//! A decision to put something right opens nothing by itself: what rests on it waits until it
//! is shown; and nothing shows it that could not.

use tackwright::diagnostic::Diagnostic;
use tackwright::quantity::{Kind, Quantity};
use tackwright::record::Entry;
use tackwright::record::entry::{Action, Bars, Correction, Issue, Reopened};
use tackwright::record::frozen::{Frozen, Limits, RULES, Sheet};
use tackwright::term::{Disposition, Judged, Level, Verdict};

use super::record_fallen::holds;
use super::record_gates::{code, entry, read, tick};
use super::record_held::{ask, bad, decided, found, plan, welded, work};

/// Rules of the edition before.
const BEFORE: u32 = 9;

fn of_today(plan: Frozen) -> Frozen {
    Frozen { rules: RULES, ..plan }
}

/// Fit up, one side of it read badly, filed, and decided.
fn left_bad(disposition: &str) -> Vec<Entry> {
    vec![
        entry(1, "08:00", "F1", read("fit", "caster.right", 5.0)),
        bad(2, "08:05", "fit", "caster.left"),
        found(3, "08:10", "fit", Some("caster.left")),
        decided(4, "08:20", disposition),
        entry(5, "08:25", "F1", tick("fit", None)),
    ]
}

fn then(mut log: Vec<Entry>, more: impl IntoIterator<Item = Entry>) -> Vec<Entry> {
    log.extend(more);
    log
}

/// Whether the hold after the fit-up may be signed.
fn release(plan: &Frozen, log: &[Entry]) -> Result<(), Diagnostic> {
    ask(plan, log, "02T12:00", |s| {
        let fit = s.operation("fit")?;
        s.sign(s.person("IO")?, "inspector", fit, &fit.after[0]).map(drop)
    })
}

#[test]
fn rework_opens_no_hold_and_no_work_until_it_is_shown() {
    let (plan, log) = (of_today(holds()), left_bad("rework"));
    code(release(&plan, &log), "L221", "H0 stays shut");
    code(release(&plan, &log), "L221", "10.caster.left was not read right since");
    code(release(&plan, &log), "L221", "tackwright revise JOB");
    let free = of_today(super::record_held::plan());
    code(work(&free, &log, "12:00", "weld"), "L221", "work at 20, which rests on it, must wait");
    // Where it was read, beside it, and what was done before it was found.
    for (name, time) in [("fit", "12:00"), ("beside", "12:00"), ("weld", "08:06")] {
        work(&free, &log, time, name).unwrap_or_else(|p| panic!("{name} at {time}: {p:?}"));
    }
    let old = Frozen { rules: BEFORE, ..plan.clone() };
    release(&old, &log).unwrap();
    work(&Frozen { rules: BEFORE, ..free.clone() }, &log, "12:00", "weld").unwrap();
    // Read again and right, or let be as it is: it opens.
    let right = then(log, [entry(6, "09:00", "F1", read("fit", "caster.left", 5.0))]);
    release(&plan, &right).unwrap();
    work(&free, &right, "12:00", "weld").unwrap();
    release(&plan, &left_bad("use as is")).unwrap();
}

#[test]
fn a_look_at_one_thing_shows_nothing_of_another() {
    let mut plan = of_today(holds());
    for reading in &mut plan.operations[0].steps[0].readings {
        let lower = Some(Quantity::from_si(Kind::Angle, -1.0));
        reading.limits = Some(Limits { kind: Kind::Angle, target: None, lower, upper: None });
    }
    let mut log = welded();
    log.truncate(2);
    let log = then(
        log,
        [
            entry(3, "08:10", "F1", tick("fit", None)),
            found(4, "08:20", "fit", None),
            decided(5, "08:30", "repair"),
            entry(6, "09:00", "F1", read("fit", "caster.left", 5.0)),
        ],
    );
    code(release(&plan, &log), "L221", "nothing entered since shows that it was put right");
    release(&Frozen { rules: BEFORE, ..plan.clone() }, &log).unwrap();
    // All of it looked at again.
    release(&plan, &then(log, [entry(7, "09:05", "F1", read("fit", "caster.right", 5.0))])).unwrap();
}

#[test]
fn either_side_of_a_pair_shows_that_it_agrees_again() {
    let plan = of_today(holds());
    let log = vec![
        entry(1, "08:00", "F1", read("fit", "caster.left", 5.0)),
        entry(2, "08:05", "F1", read("fit", "caster.right", 7.0)),
        found(3, "08:10", "fit", Some("caster.left")),
        decided(4, "08:20", "rework"),
        entry(5, "08:25", "F1", tick("fit", None)),
    ];
    code(release(&plan, &log), "L221", "was not read right since");
    // The left one was right all the time.
    release(&plan, &then(log, [entry(6, "09:00", "F1", read("fit", "caster.right", 5.0))])).unwrap();
}

#[test]
fn a_reading_that_conformed_shows_nothing_by_itself() {
    let plan = of_today(holds());
    let mut log = welded();
    log.truncate(2);
    let log = then(
        log,
        [
            found(3, "08:10", "fit", Some("caster.left")),
            decided(4, "08:20", "rework"),
            entry(5, "08:25", "F1", tick("fit", None)),
        ],
    );
    code(release(&plan, &log), "L221", "was not read right since");
    release(&plan, &then(log, [entry(6, "09:00", "F1", read("fit", "caster.left", 5.0))])).unwrap();
}

#[test]
fn what_proves_a_rework_was_not_done_before_it_was_found() {
    let (plan, log) = (of_today(holds()), left_bad("rework"));
    // Entered last, and by its stated time read before the fault was found.
    let early = then(log.clone(), [entry(6, "08:06", "F1", read("fit", "caster.left", 5.0))]);
    code(release(&plan, &early), "L221", "was not read right since");
    release(&Frozen { rules: BEFORE, ..plan.clone() }, &early).unwrap();
    release(&plan, &then(log, [entry(6, "08:30", "F1", read("fit", "caster.left", 5.0))])).unwrap();
}

#[test]
fn what_the_weld_covers_is_not_read_again() {
    let plan = of_today(plan());
    let again = |plan: &Frozen, log: &[Entry], time: &str, key: &str, corrects: bool| {
        ask(plan, log, &format!("02T{time}"), |s| {
            let operation = s.operation(key)?;
            s.still_there(operation, operation.readings().next().unwrap(), corrects)
        })
    };
    let log = welded();
    code(again(&plan, &log, "10:00", "fit", false), "L321", "operation 20");
    code(again(&plan, &log, "10:00", "fit", false), "L321", "tackwright found T-1 10.caster.left");
    // Before the weld, a slip of the pen, another paper's rules; what the weld leaves as it is.
    again(&plan, &log, "08:30", "fit", false).unwrap();
    again(&plan, &log, "10:00", "fit", true).unwrap();
    again(&Frozen { rules: BEFORE, ..plan.clone() }, &log, "10:00", "fit", false).unwrap();
    again(&plan, &log, "10:00", "weld", false).unwrap();
    // Not begun, it covers nothing; and what was never read is no repeat.
    again(&plan, &log[..2], "10:00", "fit", false).unwrap();
    again(&plan, &log[2..], "10:00", "fit", false).unwrap();
    // As found, and then taken apart: nothing is as it was found.
    let mut taken = plan.clone();
    taken.operations[0].acts = vec!["as-found".to_owned()];
    taken.operations[1].acts = vec!["loosen".to_owned()];
    code(again(&taken, &log, "10:00", "fit", false), "L321", "can't be read again");
}

#[test]
fn what_is_found_at_a_reading_was_read() {
    let plan = of_today(plan());
    let first = |plan: &Frozen, id: Option<&str>| {
        ask(plan, &welded()[..1], "02T10:00", |s| s.was_read(s.operation("fit")?, id))
    };
    first(&plan, Some("caster.left")).unwrap();
    first(&plan, None).unwrap();
    code(first(&plan, Some("caster.right")), "L322", "10.caster.right is not entered");
    first(&Frozen { rules: BEFORE, ..plan.clone() }, Some("caster.right")).unwrap();
}

#[test]
fn what_others_were_held_against_takes_two_to_correct() {
    let plan = of_today(plan());
    let mut log = welded();
    log.truncate(2);
    for one in &mut log {
        let Action::Measure { reading } = &mut one.what else { unreachable!() };
        reading.verdict = Judged::Recorded;
    }
    let slip = |plan: &Frozen, log: &[Entry]| {
        let correction = Correction { entry: 1, reason: "read the wrong end".to_owned() };
        let by = log[0].by.clone();
        ask(plan, log, "02T10:00", |s| s.second_person(&correction, &by))
    };
    // The right side was held against the left one.
    code(slip(&plan, &log), "L142", "others were held against");
    slip(&plan, &log[..1]).unwrap();
    slip(&Frozen { rules: BEFORE, ..plan.clone() }, &log).unwrap();
}

/// AWS D1.1, 8.1.4, from memory: who accepts a weld did not make it.
#[test]
fn a_welder_takes_in_nothing_the_own_weld_is_accepted_by() {
    let plan = of_today(plan());
    let log = then(welded(), [entry(4, "09:00", "F1", tick("weld", None))]);
    let takes = |plan: &Frozen, who: &str, key: &str| {
        ask(plan, &log, "02T10:00", |s| s.operation(key).and_then(|o| s.takes_in(who, o, &o.steps[0])))
    };
    code(takes(&plan, "F1", "accept"), "L158", "F1 welded at operation 20");
    takes(&plan, "LO", "accept").unwrap();
    takes(&plan, "F1", "beside").unwrap();
    takes(&Frozen { rules: BEFORE, ..plan.clone() }, "F1", "accept").unwrap();
}

#[test]
fn what_injures_if_it_fails_is_let_be_by_a_paper() {
    let mut plan = of_today(plan());
    let lets = |plan: &Frozen, disposition: &str, reason: &str| {
        let log = left_bad("rework");
        ask(plan, &log[..3], "02T10:00", |s| {
            s.answers_for(&s.state.founds[0], Disposition::of(disposition).unwrap(), reason)
        })
    };
    // A control reading is for a lead alone.
    lets(&plan, "use as is", "only a little").unwrap();
    plan.operations[0].steps[0].readings[0].level = Some(Level::Safety);
    code(lets(&plan, "use as is", "only a little"), "L324", "10.caster.left is a safety reading and fails");
    code(lets(&plan, "use as is", "2 mm"), "L324", "dispose T-1 F1 rework");
    lets(&plan, "use as is", "letter AX-2041 of the maker, 2026-03-02").unwrap();
    lets(&plan, "rework", "only a little").unwrap();
    lets(&Frozen { rules: BEFORE, ..plan.clone() }, "use as is", "only a little").unwrap();
}

#[test]
fn a_revision_for_a_condition_does_work_on_it() {
    let plan = of_today(holds());
    let revised = |again: &str| {
        let mut one = entry(
            6,
            "09:00",
            "LO",
            Action::Revised {
                from: "A".to_owned(),
                issue: Issue { number: "T-1".to_owned(), revision: "B".to_owned(), ..Issue::default() },
                kept: ["fit", "weld", "beside", "accept", "watch"]
                    .into_iter()
                    .filter(|key| *key != again)
                    .map(str::to_owned)
                    .collect(),
                reason: "F1: and something else".to_owned(),
                removed: Vec::new(),
                reopened: vec![Reopened { key: again.to_owned(), why: "its points changed".to_owned() }],
            },
        );
        one.by.role = "lead".to_owned();
        one
    };
    let mut first = left_bad("repair");
    first.insert(0, super::record_gates::issued("LO"));
    for (one, n) in first.iter_mut().zip(1..) {
        one.n = n;
    }
    // What starts again elsewhere is no work on it, and opens nothing.
    let work = |again: &str| {
        let mut log = first.clone();
        log.push(Entry { n: 7, ..revised(again) });
        let state = tackwright::record::state::fold(&log);
        let found = state.founds[0].clone();
        state.work_for(&plan, &found).iter().map(|o| o.key.clone()).collect::<Vec<_>>()
    };
    assert_eq!(work("beside"), Vec::<String>::new());
    assert_eq!(work("fit"), ["fit"]);
}

/// A number in a reason is only words: what a revision brings in under it mends what was found
/// where it is done there, and changes it.
#[test]
fn what_a_revision_brings_in_mends_where_and_what_it_is() {
    let bring = |found_key: &str, key: &str, verb: &str, acts: &[&str], joints: &[&str]| {
        let mut plan = of_today(holds());
        let mut at = plan.operations[1].clone();
        at.key = found_key.to_owned();
        let mut new = plan.operations[3].clone();
        (new.key, new.verb) = (key.to_owned(), verb.to_owned());
        new.acts = acts.iter().map(|a| (*a).to_owned()).collect();
        new.joints = joints.iter().map(|j| (*j).to_owned()).collect();
        plan.operations.extend([at, new]);
        let mut log = vec![super::record_gates::issued("LO")];
        let mut filed = found(2, "08:30", "fit", None);
        if let Action::Found { operation, .. } = &mut filed.what {
            operation.key = found_key.to_owned();
        }
        log.extend([filed, decided(3, "08:40", "repair")]);
        let what = Action::Revised {
            from: "A".to_owned(),
            issue: Issue { number: "T-1".to_owned(), revision: "B".to_owned(), ..Issue::default() },
            kept: plan.operations.iter().map(|o| o.key.clone()).filter(|k| k != key).collect(),
            reason: "F1: weld it out".to_owned(),
            removed: Vec::new(),
            reopened: Vec::new(),
        };
        log.push(entry(4, "09:00", "LO", what));
        let state = tackwright::record::state::fold(&log);
        let work = state.work_for(&plan, &state.founds[0]).len();
        let old = Frozen { rules: BEFORE, ..plan.clone() };
        assert_eq!(state.work_for(&old, &state.founds[0]).len(), 1, "{key}: older logs go on as they were");
        assert_eq!(state.named_in_vain(&plan).len(), 1 - work, "{key}");
        work
    };
    // Found at a weld of the front axle.
    for (key, verb, acts, joints, mends) in [
        ("front/weld-out", "weld", &["arc"][..], &[][..], 1),
        ("front/other", "weld", &["arc"], &["J1"], 1),
        ("weld-out", "cut", &["grind", "cut-permanent"], &[], 1),
        // Another component, and what leaves the weld as it is.
        ("rear/weld-out", "weld", &["arc"], &[], 0),
        ("front/nuts", "torque", &["torque"], &[], 0),
        ("front/look", "inspect", &[], &[], 0),
        ("wash", "protect", &[], &[], 0),
    ] {
        assert_eq!(bring("front/pads", key, verb, acts, joints), mends, "{key} {verb}");
    }
    // The same joint is the same place, whatever its operation is called.
    assert_eq!(bring("front/pads", "rear/pads", "weld", &["arc"], &["J1"]), 1);
}

#[test]
fn a_void_print_shuts_the_hold_behind_what_it_marks() {
    let mut plan = of_today(holds());
    plan.sheets = vec![Sheet {
        name: "strip".to_owned(),
        title: "Wrap strip".to_owned(),
        digest: "0ea2964b6".repeat(4),
        operations: vec!["fit".to_owned()],
    }];
    let measured = |n: u64, time: &str, across: &str, verdict: Verdict| {
        let bars = Bars {
            across: across.to_owned(),
            along: "0.1".to_owned(),
            sheet: "0ea2964b6".repeat(4),
            name: "strip".to_owned(),
            text: format!("{across} m, 0.1 m"),
            verdict: Judged::Decided(verdict),
        };
        entry(n, time, "LO", Action::Bars { bars })
    };
    let mut log = welded();
    log.truncate(2);
    log.push(entry(3, "08:10", "F1", tick("fit", None)));
    release(&plan, &log).unwrap();
    let void = then(log.clone(), [measured(4, "08:20", "0.097", Verdict::NotConform)]);
    code(release(&plan, &void), "L325", "H0 stays shut");
    code(release(&plan, &void), "L325", "tackwright bars T-1 0ea2964b6");
    release(&Frozen { rules: BEFORE, ..plan.clone() }, &void).unwrap();
    // Another print, measured true; or a lead decided about what was marked.
    release(&plan, &then(void.clone(), [measured(5, "08:30", "0.1", Verdict::Conform)])).unwrap();
    let found = then(void, [found(5, "08:30", "fit", None), decided(6, "08:40", "use as is")]);
    release(&plan, &found).unwrap();
    // What no operation under the hold marks by is nothing to it.
    plan.sheets[0].operations = vec!["beside".to_owned()];
    release(&plan, &then(log, [measured(4, "08:20", "0.097", Verdict::NotConform)])).unwrap();
}

/// What is only read or signed anew starts nothing again that rests on no value of it.
#[test]
fn a_review_that_changes_starts_no_weld_again() {
    use tackwright::record::change::compare;
    use tackwright::record::frozen::{Name, Near};
    let base = || {
        let mut plan = of_today(holds());
        let mut review = plan.operations[3].clone();
        (review.key, review.title, review.number) = ("review".to_owned(), "Review the preheat".to_owned(), 5);
        review.steps[0].readings[0].limits = None;
        plan.operations.insert(0, review);
        for (key, on) in [("fit", "review"), ("weld", "fit"), ("weld", "review"), ("accept", "weld")] {
            let one = plan.operations.iter_mut().find(|o| o.key == key).unwrap();
            one.builds_on.push(on.to_owned());
        }
        plan
    };
    let again = |new: &Frozen| {
        let change = compare(&base(), new);
        change.reopened.into_iter().map(|r| (r.key, r.why)).collect::<Vec<_>>()
    };
    let keys = |new: &Frozen| again(new).into_iter().map(|(key, _)| key).collect::<Vec<_>>();
    let mut new = base();
    new.operations[0].steps[0].text = "preheat 250 degF by the sheet".to_owned();
    assert_eq!(keys(&new), ["review"]);
    assert_eq!(keys(&Frozen { rules: BEFORE, ..new.clone() }), ["review", "fit", "weld", "accept"]);
    // What is held against a value of it does, and what was made on that in its turn.
    let to = Name { operation: "review".to_owned(), reading: "length".to_owned() };
    let within = tackwright::quantity::Quantity::from_si(tackwright::quantity::Kind::Angle, 0.01);
    let weld = new.operations.iter().position(|o| o.key == "weld").unwrap();
    let mut near = base();
    near.operations[0].steps[0].text = "preheat 250 degF by the sheet".to_owned();
    near.operations[weld].steps[0].readings[0].near = Some(Near { to, within });
    let mut was = base();
    was.operations[weld] = near.operations[weld].clone();
    let change = compare(&was, &near);
    let why: Vec<(&str, &str)> = change.reopened.iter().map(|r| (&*r.key, &*r.why)).collect();
    assert_eq!(why.iter().map(|(key, _)| *key).collect::<Vec<_>>(), ["review", "weld", "accept"]);
    assert!(why[1].1.starts_with("it is held against what is read at \"Review the preheat\""), "{why:?}");
    assert!(why[2].1.starts_with("it builds on"), "{why:?}");
    // What is gauged anew can't be under a weld that is there.
    let mut gauged = base();
    let fit = gauged.operations.iter().position(|o| o.key == "fit").unwrap();
    gauged.operations[fit].steps[0].text = "gap no wider than 1/16 in".to_owned();
    gauged.operations[fit].steps[0].readings[0].instrument = Some("taper gauge".to_owned());
    let found = again(&gauged);
    assert!(found[1].0 == "weld" && found[1].1.starts_with("it covers what is gauged at"), "{found:?}");
    // A weld that changes is made again, with all that was made on it.
    let mut other = base();
    other.operations[weld].steps[0].text = "weld it otherwise".to_owned();
    assert_eq!(keys(&other), ["weld", "accept"]);
}

//! The own work: what was settled may be signed by who wrote it down, and a weld stays the
//! own weld when a revision started it again.

use chrono::NaiveDate;
use tackwright::record::entry::{Action, Issue, Reopened};
use tackwright::record::frozen::{RULES, Reading, Step};
use tackwright::record::people::Register;
use tackwright::record::rules::Scene;
use tackwright::record::state::fold;
use tackwright::term::{Judged, Level};

use super::record_gates::{code, entry, operation, read, tick};
use super::record_released::{as_role, degrees, hold, issue, person, plan, safety, sign};

/// What was settled is decided, not made: a lead who writes it down signs it. What the lead
/// did besides is still another's to release. Common practice.
#[test]
fn a_lead_signs_what_a_lead_wrote_down_as_settled() {
    let of = |id: &str, rules| {
        let mut measure = operation("measure", 10, &[]);
        measure.role = "fitter".to_owned();
        let box_of = Reading { limits: None, level: Some(Level::Safety), ..degrees(id) };
        measure.steps =
            vec![Step { number: 1, level: Some(Level::Safety), readings: vec![box_of], ..Step::default() }];
        measure.after.push(hold("after.1", "H1", &["lead"], None));
        plan(vec![measure], rules)
    };
    let log = |id: &str| {
        let Action::Measure { mut reading } = read("measure", id, 0.0) else { unreachable!() };
        (reading.kind, reading.value) = (None, None);
        (reading.text, reading.verdict) = ("shaft by drawing 7, 36.4 in".to_owned(), Judged::Recorded);
        let written = as_role(entry(2, "08:00", "LO", Action::Measure { reading }), "lead");
        vec![issue(), written, entry(3, "08:10", "F1", tick("measure", None))]
    };
    sign(&of("settled-1", RULES), &log("settled-1"), "LO", "lead", "H1").unwrap();
    let own = sign(&of("shaft", RULES), &log("shaft"), "LO", "lead", "H1");
    code(own, "L125", "it takes a second person");
    // A paper of before is kept by the rules of its day.
    code(sign(&of("settled-1", 7), &log("settled-1"), "LO", "lead", "H1"), "L125", "second person");
}

/// AWS D1.1, 8.1.4: who accepts a weld did not make it; the metal of a weld that a revision
/// started again is still there (section number from memory).
#[test]
fn a_weld_started_again_stays_the_own_weld_at_a_new_hold() {
    let mut weld = operation("weld", 10, &[]);
    (weld.role, weld.steps) = ("welder".to_owned(), safety());
    (weld.acts, weld.joints) = (vec!["arc".to_owned()], vec!["J1".to_owned()]);
    let mut accept = operation("accept", 20, &["weld"]);
    (accept.role, accept.joints) = ("inspector".to_owned(), vec!["J1".to_owned()]);
    accept.after.push(hold("after.1", "H1", &["inspector"], Some("acceptance")));
    let plan = plan(vec![weld, accept], RULES);
    let revised = Action::Revised {
        from: "A".to_owned(),
        issue: Issue { number: "T-1".to_owned(), revision: "B".to_owned(), ..Issue::default() },
        kept: Vec::new(),
        reason: "a hold was added".to_owned(),
        removed: Vec::new(),
        reopened: ["weld", "accept"]
            .map(|key| Reopened { key: key.to_owned(), why: "its points changed".to_owned() })
            .to_vec(),
    };
    let log = vec![
        issue(),
        as_role(entry(2, "08:00", "WO", tick("weld", Some(1))), "welder"),
        as_role(entry(3, "08:10", "LO", revised), "lead"),
        as_role(entry(4, "09:00", "WT", tick("weld", Some(1))), "welder"),
        as_role(entry(5, "09:00", "WT", tick("weld", None)), "welder"),
        as_role(entry(6, "12:00", "IO", tick("accept", None)), "inspector"),
    ];
    let signs = |who: &str| {
        let register = Register { people: vec![person(who, &["inspector"])], ..Register::default() };
        let state = fold(&log);
        let scene = Scene {
            plan: &plan,
            state: &state,
            entries: &log,
            register: &register,
            day: NaiveDate::default(),
            at: None,
        };
        let at = &plan.operations[1];
        scene.sign(scene.person(who)?, "inspector", at, &at.after[0]).map(drop)
    };
    code(signs("WO"), "L125", "it takes a second person");
    code(signs("WT"), "L125", "it takes a second person");
    signs("IO").unwrap();
}

//! Safety rules: each one satisfied, each one broken, waived, and as shop data.

use tackwright::diagnostic::Severity;
use tackwright::routing::problem::{Moment, Operation, Point, PointKind, Problem, ReadingNeed};
use tackwright::routing::rules::data::{DataRule, Wanted};
use tackwright::routing::rules::waiver::Waiver;
use tackwright::routing::rules::{Audit, Check, RULES, check, parts};

fn words(text: &str) -> Vec<String> {
    text.split_whitespace().map(str::to_owned).collect()
}

/// An operation on the front axle: key, acts, parts.
fn op(key: &str, acts: &str, at: &str) -> Operation {
    let mut op = Operation::new(key, key);
    op.component = "front".to_owned();
    op.acts = words(acts);
    op.at = words(at);
    op.role = "welder".to_owned();
    op
}

fn hold(moment: Moment, role: &str, rule: &str) -> Point {
    Point::hold(moment, role, "as drawn").rule(rule)
}

/// A weld on the pads with both holds.
fn weld() -> Operation {
    let mut weld = op("weld pads", "arc", "pad");
    weld.joints = Some("pad".to_owned());
    weld.points =
        vec![hold(Moment::Before, "lead", "fit-up"), hold(Moment::After, "inspector", "acceptance")];
    weld
}

fn torque() -> Operation {
    let mut torque = op("torque u-bolts", "torque", "u-bolt");
    torque.readings.push(ReadingNeed { kind: "torque".to_owned(), instrument: "torque wrench".to_owned() });
    torque
}

/// Audit of the operations in the order given. States in `states` exist on the
/// front axle and are true from the start.
fn audit_with(states: &[&str], operations: &[Operation], shop: &[DataRule], waivers: &[Waiver]) -> Audit {
    let mut problem = Problem::new();
    for name in states {
        let component = (!name.starts_with("unit.")).then_some("front");
        let id = problem.state(name, name, component, name);
        problem.start_with(id);
    }
    for op in operations {
        problem.add(op.clone()).expect("fresh key");
    }
    let order: Vec<usize> = (0..operations.len()).collect();
    check(&problem, &order, shop, waivers)
}

fn broken(states: &[&str], operations: &[Operation]) -> Vec<String> {
    audit_with(states, operations, &[], &[]).broken.into_iter().map(|f| f.rule).collect()
}

fn looked_at(rule: &str, operations: &[Operation]) -> usize {
    let audit = audit_with(&[], operations, &[], &[]);
    audit.tallies.iter().find(|t| t.rule == rule).map_or(0, |t| t.looked_at)
}

const NONE: [&str; 0] = [];

#[test]
fn every_rule_says_what_why_and_how() {
    let mut ids: Vec<&str> = RULES.iter().map(|r| r.id).collect();
    let mut codes: Vec<&str> = RULES.iter().map(|r| r.code).collect();
    for list in [&mut ids, &mut codes] {
        list.sort_unstable();
        let before = list.len();
        list.dedup();
        assert_eq!(list.len(), before, "ids and codes are unique");
    }
    for rule in RULES {
        for text in [rule.title, rule.reason, rule.satisfy] {
            assert!(text.len() > 20, "{}: {text}", rule.id);
        }
        assert!(!rule.source.to_string().is_empty(), "{}", rule.id);
        if let Check::Data(data) = rule.check {
            let full = DataRule {
                id: rule.id.to_owned(),
                title: rule.title.to_owned(),
                reason: rule.reason.to_owned(),
                satisfy: rule.satisfy.to_owned(),
                ..data()
            };
            assert_eq!(full.flaw(), None, "{}", rule.id);
        }
    }
}

#[test]
fn welds_on_safety_parts_have_both_holds() {
    assert_eq!(broken(&[], &[weld()]), NONE);
    assert_eq!(looked_at("weld-holds", &[weld()]), 1);
    for left in 0..2 {
        let mut w = weld();
        w.points.remove(left);
        assert_eq!(broken(&[], &[w]), ["weld-holds"]);
    }
    // A witness point is no hold, and the moments can't be exchanged.
    let mut w = weld();
    w.points[0].kind = PointKind::Witness;
    assert_eq!(broken(&[], &[w]), ["weld-holds"]);
    let mut w = weld();
    w.points[0].moment = Moment::After;
    w.points[1].moment = Moment::Before;
    assert_eq!(broken(&[], &[w]), ["weld-holds", "weld-holds"]);
    // A bracket that is no safety part is left alone; one that names no place is not.
    let mut bare = weld();
    bare.points.clear();
    bare.at = words("fuel-shield");
    assert_eq!(broken(&[], &[bare.clone()]), NONE);
    bare.at.clear();
    assert_eq!(broken(&[], &[bare.clone()]), ["weld-holds", "weld-holds"]);
    // A tack is an arc but no weld; the verb alone makes a weld.
    bare.acts = words("arc tack");
    assert_eq!(broken(&[], &[bare.clone()]), NONE);
    bare.acts.clear();
    bare.verb = "weld".to_owned();
    assert_eq!(broken(&[], &[bare]), ["weld-holds", "weld-holds"]);
}

#[test]
fn holds_of_neighbours_count_when_they_concern_the_joint() {
    let mut w = weld();
    w.points.clear();
    let mut tack = op("tack pads", "tack", "pad");
    tack.joints = Some("pad".to_owned());
    tack.points = vec![hold(Moment::After, "lead", "fit-up")];
    let mut accept = op("accept", "accept", "housing");
    accept.points = vec![hold(Moment::After, "inspector", "acceptance")];
    assert_eq!(broken(&[], &[tack.clone(), w.clone(), accept.clone()]), NONE);
    assert_eq!(
        broken(&[], &[w.clone(), tack.clone(), accept.clone()]),
        ["weld-holds"],
        "fit-up after the weld"
    );
    let mut other = accept.clone();
    other.points[0].joints = Some("knuckle".to_owned());
    assert_eq!(broken(&[], &[tack.clone(), w.clone(), other]), ["weld-holds"], "other joints");
    let mut rear = accept.clone();
    rear.component = "rear".to_owned();
    assert_eq!(broken(&[], &[tack.clone(), w.clone(), rear]), ["weld-holds"], "other axle");
    let mut late = accept;
    late.deferred = true;
    assert_eq!(broken(&[], &[tack, w, late]), ["weld-holds"], "after hand-over");
}

#[test]
fn nobody_inspects_his_own_weld() {
    for point in 0..2 {
        let mut w = weld();
        w.points[point].role = "Welder".to_owned();
        assert_eq!(broken(&[], &[w]), ["weld-inspector"]);
    }
    assert_eq!(looked_at("weld-inspector", &[weld()]), 2);
}

#[test]
fn a_permanent_cut_has_a_hold_before_it() {
    let mut cut = op("cut knuckles", "cut-permanent", "knuckle");
    assert_eq!(broken(&[], &[cut.clone()]), ["cut-hold"]);
    cut.points = vec![Point::hold(Moment::After, "lead", "clean")];
    assert_eq!(broken(&[], &[cut.clone()]), ["cut-hold"]);
    cut.points = vec![Point::hold(Moment::Before, "lead", "marks checked")];
    assert_eq!(broken(&[], &[cut.clone()]), NONE);
    cut.points.clear();
    let mut measure = op("measure", "", "knuckle");
    measure.points = vec![hold(Moment::After, "lead", "cut-hold")];
    assert_eq!(broken(&[], &[measure.clone(), cut.clone()]), NONE);
    assert_eq!(broken(&[], &[cut, measure]), ["cut-hold"]);
}

#[test]
fn as_found_comes_before_the_first_loosening() {
    let read = op("record as found", "as-found", "spring");
    let loose = op("loosen u-bolts", "loosen", "u-bolt");
    assert_eq!(broken(&[], &[read.clone(), loose.clone()]), NONE);
    assert_eq!(broken(&[], std::slice::from_ref(&loose)), ["as-found-first"]);
    assert_eq!(broken(&[], &[loose.clone(), read.clone()]), ["as-found-first"; 2]);
    let mut rear = read.clone();
    rear.component = "rear".to_owned();
    assert_eq!(broken(&[], &[rear, loose.clone()]), ["as-found-first"]);
    let mut unit = read;
    unit.component = "unit".to_owned();
    assert_eq!(broken(&[], &[unit, loose]), NONE);
}

#[test]
fn no_hot_work_near_what_it_ruins() {
    let rows = [
        ("fuel.present", "grind", "anything", true),
        ("unit.fuel.present", "arc", "frame", true),
        ("unit.fuel.present", "measure", "frame", false),
        ("brake-line.in", "heat", "housing", true),
        ("brake-line.in", "heat", "driveshaft", false),
        ("brake-line.in", "grind", "housing", false),
        ("unit.wiring.live", "arc", "driveshaft", true),
        ("unit.wiring.live", "heat", "driveshaft", false),
        ("bearings.in", "tack", "pads", true),
        ("bearings.in", "arc", "frame", false),
        ("seals.in", "heat", "", true),
        ("tyre.on", "heat", "hub", true),
        ("tyre.on", "heat", "frame", false),
    ];
    for (state, acts, at, caught) in rows {
        let found = broken(&[state], &[op("work", acts, at)]);
        assert_eq!(found.len(), usize::from(caught), "{state} {acts} {at}: {found:?}");
        assert!(found.iter().all(|r| r.starts_with("hot-work")), "{found:?}");
        // Another state of the rear axle is not on the front axle.
        let mut rear = op("work", acts, at);
        rear.component = "rear".to_owned();
        let still = caught && state.starts_with("unit.");
        assert_eq!(broken(&[state], &[rear]).len(), usize::from(still), "{state} seen from the rear");
    }
    // Cleared before its turn, it is no danger; provided again, it is.
    let mut p = Problem::new();
    let seals = p.state("front/seals.in", "seals.in", Some("front"), "");
    p.start_with(seals);
    let mut out = op("seals out", "", "housing");
    out.clears.push(seals);
    let mut back = op("seals in", "", "housing");
    back.provides.push(seals);
    for o in [out, op("heat", "heat", "housing"), back] {
        p.add(o).unwrap();
    }
    let rules =
        |order: &[usize]| check(&p, order, &[], &[]).broken.into_iter().map(|f| f.rule).collect::<Vec<_>>();
    assert_eq!(rules(&[0, 1, 2]), NONE);
    assert_eq!(rules(&[0, 2, 1]), ["hot-work-seals"]);
    assert_eq!(rules(&[1, 0, 2]), ["hot-work-seals"]);
}

#[test]
fn torques_are_recorded_with_their_tool() {
    assert_eq!(broken(&[], &[torque()]), NONE);
    let mut t = torque();
    t.readings[0].instrument = " ".to_owned();
    assert_eq!(broken(&[], &[t.clone()]), ["torque-recorded"]);
    t.readings[0].kind = "length".to_owned();
    assert_eq!(broken(&[], &[t]), ["torque-recorded"]);
}

#[test]
fn torque_comes_after_the_last_heat_nearby() {
    assert_eq!(broken(&[], &[weld(), torque()]), NONE);
    assert_eq!(broken(&[], &[torque(), weld()]), ["torque-last"]);
    let mut far = torque();
    far.at = words("driveshaft");
    assert_eq!(broken(&[], &[far, weld()]), NONE);
    let mut rear = torque();
    rear.component = "rear".to_owned();
    assert_eq!(broken(&[], &[rear, weld()]), NONE);
}

#[test]
fn what_comes_off_goes_back_on() {
    let mut off = op("lines off", "", "brake");
    off.removes = words("brake-line");
    let mut on = op("lines on", "", "brake");
    on.refits = words("brake_lines");
    assert_eq!(broken(&[], &[off.clone(), on.clone()]), NONE);
    assert_eq!(broken(&[], &[on.clone(), off.clone()]), ["refit"]);
    let mut late = on;
    late.deferred = true;
    assert_eq!(broken(&[], &[off, late]), ["refit"]);
}

#[test]
fn a_crossed_hold_is_a_warning() {
    let mut first = op("weld on", "", "");
    first.rank = 1;
    first.points = vec![Point::hold(Moment::Before, "lead", "ready")];
    let mut second = op("paint", "", "");
    second.rank = 2;
    let audit = audit_with(&[], &[second.clone(), first.clone()], &[], &[]);
    assert_eq!((audit.broken[0].rule.as_str(), audit.broken[0].severity), ("hold-order", Severity::Warning));
    assert!(!audit.report().has_errors());
    assert_eq!(broken(&[], &[first, second]), NONE);
}

fn waiver(rule: &str, operation: Option<&str>) -> Waiver {
    Waiver {
        rule: rule.to_owned(),
        operation: operation.map(str::to_owned),
        by: "shop lead".to_owned(),
        reason: "heat only at the far end".to_owned(),
        date: "2026-03-31".to_owned(),
    }
}

#[test]
fn a_waiver_moves_an_error_to_a_list() {
    let work = [op("work", "heat", "housing")];
    let run = |waivers: &[Waiver]| audit_with(&["seals.in"], &work, &[], waivers);
    let audit = run(&[]);
    assert!(audit.report().has_errors());
    let d = audit.broken[0].diagnostic();
    assert_eq!((d.code, d.key.as_str()), ("R115", "work"));
    assert!(d.message.contains("'work' (front) runs while seals.in is true"), "{}", d.message);
    assert!(d.expected.contains("seals out") && d.help[0].contains("leaks"), "{d:?}");

    for operation in [None, Some("work")] {
        let audit = run(&[waiver("hot-work-seals", operation)]);
        assert!(audit.broken.is_empty() && audit.problems.is_empty());
        assert_eq!(audit.waived[0].waiver.by, "shop lead");
        assert_eq!(audit.waived[0].finding.code, "R115");
        assert!(!audit.report().has_errors());
    }
    let other = run(&[waiver("hot-work-seals", Some("elsewhere"))]);
    assert_eq!((other.broken.len(), other.problems[0].code), (1, "R190"));
    let unknown = run(&[waiver("hot-work-seal", None)]);
    assert!(unknown.problems[0].help[0].contains("hot-work-seals"), "{:?}", unknown.problems);
    let blank: [fn(&mut Waiver); 3] =
        [|w| w.by.clear(), |w| w.reason = " ".into(), |w| w.date = "31.3.".into()];
    for spoil in blank {
        let mut w = waiver("hot-work-seals", None);
        spoil(&mut w);
        let audit = run(&[w]);
        assert_eq!((audit.broken.len(), audit.problems[0].code), (1, "R191"));
    }
}

fn shop_rule() -> DataRule {
    DataRule {
        id: "paint-after-acceptance".to_owned(),
        title: "Paint only over accepted welds".to_owned(),
        reason: "Paint hides cracks.".to_owned(),
        satisfy: "Accept the weld first.".to_owned(),
        when_acts: words("paint"),
        require_before: vec![Wanted::act("accept")],
        ..DataRule::default()
    }
}

#[test]
fn a_shop_adds_rules_as_data() {
    let paint = op("paint", "paint", "housing");
    let accept = op("accept", "accept", "pad");
    let run = |ops: &[Operation], rule: DataRule| audit_with(&[], ops, &[rule], &[]);
    assert!(run(&[accept.clone(), paint.clone()], shop_rule()).broken.is_empty());
    let audit = run(&[paint.clone(), accept.clone()], shop_rule());
    assert_eq!((audit.broken[0].code, audit.broken[0].rule.as_str()), ("R150", "paint-after-acceptance"));
    assert_eq!(audit.tallies.last().map(|t| (t.looked_at, t.broken)), Some((1, 1)));

    let after =
        DataRule { require_before: vec![], require_after: vec![Wanted::act("accept")], ..shop_rule() };
    assert!(run(&[paint.clone(), accept.clone()], after.clone()).broken.is_empty());
    assert_eq!(run(&[accept.clone(), paint.clone()], after).broken.len(), 1);
    let never_before = DataRule { require_before: vec![], forbid_before: words("accept"), ..shop_rule() };
    assert_eq!(run(&[accept, paint.clone()], never_before).broken.len(), 1);

    let flawed = [
        DataRule { id: String::new(), ..shop_rule() },
        DataRule { id: "weld-holds".to_owned(), ..shop_rule() },
        DataRule { when_acts: vec![], ..shop_rule() },
        DataRule { require_before: vec![], ..shop_rule() },
        DataRule { require_before: vec![Wanted::default()], ..shop_rule() },
    ];
    for rule in flawed {
        let audit = run(std::slice::from_ref(&paint), rule);
        assert_eq!(audit.problems.first().map(|p| p.code), Some("R192"));
        assert!(audit.broken.is_empty());
    }
    let twice = audit_with(&[], &[paint], &[shop_rule(), shop_rule()], &[]);
    assert_eq!(twice.problems[0].code, "R192");
}

#[test]
fn shop_rules_and_waivers_read_from_text() {
    let rule: DataRule = serde_json::from_str(
        r#"{ "id": "x", "title": "t", "reason": "r", "satisfy": "s", "when_acts": ["heat"],
             "forbid_states": ["paint.wet"], "require_before": [{ "hold": "fire-watch" }] }"#,
    )
    .unwrap();
    assert_eq!(rule.require_before, [Wanted::hold("fire-watch")]);
    let slip: Result<DataRule, _> = serde_json::from_str(r#"{ "id": "x", "when_act": ["heat"] }"#);
    assert!(slip.unwrap_err().to_string().contains("when_act"));
    let waiver: Waiver = serde_json::from_str(
        r#"{ "rule": "refit", "by": "lead", "reason": "part sold", "date": "2026-01-02" }"#,
    )
    .unwrap();
    assert_eq!(waiver.flaw(), None);
}

#[test]
fn part_words_are_read_as_people_write_them() {
    assert!(
        parts::is("Knuckles", "steering") && parts::is("u_bolt", "u-bolts") && !parts::is("frame", "brake")
    );
    assert_eq!(parts::spelled("chassis"), "chassis");
    let near = |a: &str, b: &str| parts::near(&words(a), &words(b));
    assert!(
        near("pad", "u-bolt") && near("frame", "hanger") && near("", "frame") && near("suspension", "pad")
    );
    assert!(!near("driveshaft", "pad") && !near("odd", "strange") && near("odd", "odds"));
    for part in parts::PARTS {
        assert_eq!(parts::spelled(part.word), part.word);
    }
}

//! Procedures of the shop's own: added, overridden, and wrong ones refused.

#![allow(clippy::print_stdout, reason = "the words are for a person to read")]

use tackwright::app::issue::compose;
use tackwright::app::plan::Failure;
use tackwright::diagnostic::Diagnostic;

use super::routing_jobs::{job, messages, planned};

/// A procedure with states of its own.
const ADDED: &str = r#"
id = "lamp-bar"
title = "Lamp bar bolted on"
applies_to = ["unit"]
scope = "Fit the lamp bar to {{ c.name }}."
uses = ["receive"]

[[state]]
name = "lamp-bar.offered"
means = "lamp bar offered up"

[[state]]
name = "lamp-bar.on"
means = "lamp bar on"

[[operation]]
id = "offer-lamp-bar"
verb = "fit"
title = "Offer up the lamp bar"
station = "lift"
minutes = 10
requires = ["unit.received"]
provides = ["lamp-bar.offered"]

[[operation]]
id = "bolt-lamp-bar"
verb = "torque"
title = "Bolt the lamp bar on"
station = "lift"
minutes = 20
requires = ["lamp-bar.offered"]
provides = ["lamp-bar.on"]

[[operation.step]]
text = "Bolt it to {{ unit.name }}."
"#;

/// One shared operation over the one that ships.
const OVER: &str = r#"
[[operation]]
id = "receive"
verb = "receive"
title = "Take in the unit at the gate"
station = "road"
minutes = 5
provides = ["unit.received"]
"#;

fn refused(work: &[(&str, &str)], folder: &[(&str, &str)]) -> (Vec<Diagnostic>, Failure) {
    match planned(&job(work), folder, |_, _| ()) {
        Err(Failure::Refused(report, sources)) => {
            (report.problems.clone(), Failure::Refused(report, sources))
        }
        Err(other) => panic!("{other:?}"),
        Ok(()) => panic!("nothing wrong in {folder:?}"),
    }
}

/// The text a problem points at.
fn pointed(problem: &Diagnostic, failure: &Failure) -> (String, String) {
    let span = problem.span.clone().unwrap_or_else(|| panic!("no place: {problem:?}"));
    let Failure::Refused(_, sources) = failure else { panic!("a refusal") };
    let source = sources.iter().find(|s| s.name == span.file).expect("its file");
    (span.file, source.text[span.range].to_owned())
}

#[test]
fn a_folder_adds_and_overrides() {
    let folder = [("own/lamp-bar.toml", ADDED), ("own/reception.toml", OVER)];
    planned(&job(&[("lamp-bar", "unit")]), &folder, |plan, _| {
        let ops = plan.problem.operations();
        let titles: Vec<&str> = plan.route.order.iter().map(|&i| ops[i].title.as_str()).collect();
        assert_eq!(titles, ["Take in the unit at the gate", "Offer up the lamp bar", "Bolt the lamp bar on"]);
        let document = compose(plan);
        let text = serde_json::to_string(&document).unwrap();
        assert!(text.contains("Bolt it to Unit 1.") && text.contains("Fit the lamp bar to Unit 1."));
    })
    .unwrap_or_else(|f| panic!("{:#?}", messages(&f)));
}

#[test]
fn wrong_files_are_refused_at_their_place() {
    let rows: &[(&str, &str, &str, &str, &str)] = &[
        (
            "provides = [\"lamp-bar.on\"]",
            "provides = [\"lamp-bar.up\"]",
            "P002",
            "lamp-bar.up",
            "there is no state",
        ),
        (
            "requires = [\"unit.received\"]",
            "requires = [\"lamp-bar.on\"]",
            "P008",
            "offer-lamp-bar",
            "never have its turn",
        ),
        (
            "requires = [\"lamp-bar.offered\"]",
            "requires = [\"unit.settled\"]",
            "P003",
            "unit.settled",
            "nothing in",
        ),
        ("{{ unit.name }}", "{{ f.liftt }}", "P007", "f.liftt", "there is no figure"),
        ("uses = [\"receive\"]", "uses = [\"recieve\"]", "P004", "recieve", "there is no shared operation"),
        ("minutes = 20", "minuets = 20", "", "minuets", ""),
    ];
    for (right, wrong, code, at, words) in rows {
        let text = ADDED.replace(right, wrong);
        assert_ne!(&text, ADDED);
        let (problems, failure) = refused(&[("lamp-bar", "unit")], &[("own/lamp-bar.toml", &text)]);
        let found = problems
            .iter()
            .find(|p| (code.is_empty() || p.code == *code) && p.message.contains(words))
            .unwrap_or_else(|| panic!("{wrong}: {problems:#?}"));
        let (file, marked) = pointed(found, &failure);
        assert_eq!(file, "own/lamp-bar.toml", "{wrong}");
        assert!(marked.contains(at), "{wrong} points at {marked}");
    }
}

/// An operation of the shipped library, changed in one line, as an override
/// without a procedure of its own.
fn overridden(file: &str, id: &str, from: &str, to: &str) -> String {
    let whole = std::fs::read_to_string(format!("templates/procedures/{file}")).unwrap();
    let row = whole
        .split("[[operation]]")
        .find(|row| row.contains(&format!("id = \"{id}\"")))
        .unwrap_or_else(|| panic!("no {id} in {file}"));
    let changed = row.replacen(from, to, 1);
    assert_ne!(changed, row);
    format!("[[operation]]{changed}")
}

#[test]
fn a_procedure_that_contradicts_itself_is_told_in_a_few_words() {
    // Pads are welded on stripped axles; asking for tyres on can't be met.
    let bad = overridden(
        "housing-rotation.toml",
        "weld-pads",
        "requires = [\"pads.verified\", \"unit.protected\", \"unit.hot-work\"]",
        "requires = [\"pads.verified\", \"unit.protected\", \"unit.hot-work\", \"tyre.on\"]",
    )
    .replacen("\"tyre.on\", \"brake-line.in\"", "\"brake-line.in\"", 1);
    for work in
        [vec![("housing-rotation", "rear")], vec![("spring-over", "front"), ("knuckle-reindex", "front")]]
    {
        let (problems, failure) = refused(&work, &[("own/bad.toml", &bad)]);
        let found =
            problems.iter().find(|p| p.code == "R001").unwrap_or_else(|| panic!("{:#?}", messages(&failure)));
        let said = &found.help[0];
        println!("{said}");
        assert!(said.contains("tyre.on") && said.contains("Weld the spring pads"), "{said}");
        assert!(said.matches(". ").count() < 8 && said.len() < 1_200, "{said}");
        assert_eq!(found.help.len(), 1, "the core is proved minimal");
        let (_, marked) = pointed(found, &failure);
        assert!(said.contains(marked.trim_matches('"')), "{marked} in {said}");
    }
}

#[test]
fn a_waiver_lets_a_broken_rule_pass_and_is_printed() {
    // Weld the pads without the fit-up hold before it.
    let bad = overridden("housing-rotation.toml", "verify-pads", "rule = \"fit-up\"", "");
    let folder = [("own/bad.toml", bad.as_str())];
    let work = [("housing-rotation", "rear")];
    let (problems, failure) = refused(&work, &folder);
    let found = problems.iter().find(|p| p.code == "R101").unwrap_or_else(|| panic!("{problems:#?}"));
    assert!(found.message.contains("rule `weld-holds`") && !found.expected.is_empty());
    assert!(pointed(found, &failure).1.contains("weld-pads"));
    let waived = format!(
        "{}\n[[person]]\nid = \"LO\"\nname = \"Lead One\"\nrole = [\"lead\"]\n\n[[waiver]]\nrule = \"weld-holds\"\noperation = \"weld-pads\"\nby = \"Lead One\"\nreason = \"Fit-up seen by the customer's inspector.\"\ndate = 2026-03-02\n",
        job(&work)
    );
    planned(&waived, &folder, |plan, _| {
        assert_eq!(plan.audit.waived.len(), 1);
        let head = serde_json::to_string(&compose(plan).head).unwrap();
        for printed in
            ["weld-holds for weld-pads", "Lead One", "Fit-up seen by the customer's inspector.", "2026-03-02"]
        {
            assert!(head.contains(printed), "{printed} is not on the head page");
        }
    })
    .unwrap_or_else(|f| panic!("{:#?}", messages(&f)));
    // A waiver that waives nothing is reported, one without a rule behind it too.
    let idle = waived.replace("rule = \"weld-holds\"", "rule = \"weld-hold\"");
    let (problems, _) = match planned(&idle, &folder, |_, _| ()) {
        Err(Failure::Refused(report, sources)) => (report.problems.clone(), sources),
        other => panic!("{other:?}"),
    };
    assert!(problems.iter().any(|p| p.code == "J211" && p.help.iter().any(|h| h.contains("weld-holds"))));
}

#[test]
fn a_part_word_no_rule_knows_is_refused_with_the_nearest() {
    let own = |words: &str| {
        format!(
            "{}\n[[operation]]\nid = \"cut-gusset\"\nverb = \"cut\"\ntitle = \"Cut out the gusset\"\non = \"rear\"\n{words}\nstep = [\"Cut it out.\"]\n",
            job(&[("housing-rotation", "rear")])
        )
    };
    let codes = |words: &str| match planned(&own(words), &[], |_, _| ()) {
        Ok(()) => Vec::new(),
        Err(Failure::Refused(report, _)) => {
            report.problems.iter().map(|p| (p.code, p.key.clone(), p.help.join(" "))).collect()
        }
        Err(other) => panic!("{other:?}"),
    };
    let wrong = codes("at = [\"housing\", \"houssing\"]");
    let unknown: Vec<_> = wrong.iter().filter(|(code, ..)| *code == "J213").collect();
    assert_eq!(unknown.len(), 1, "{wrong:?}");
    assert!(unknown[0].1.contains("at") && unknown[0].2.contains("housing"), "{unknown:?}");
    let none = |words: &str| codes(words).iter().all(|(code, ..)| *code != "J213");
    // Spelled as people spell it.
    assert!(none("at = [\"Housing\", \"brake_lines\"]"));
    // A part of the shop's own goes off and comes back under one word.
    assert!(none("removes = [\"winch\"]\nrefits = [\"winch\"]"));
    assert!(!none("removes = [\"winch\"]\nrefits = [\"which\"]"));
}

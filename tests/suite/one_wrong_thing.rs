//! The demonstration jobs with one wrong thing each: refused or stopped as soon as the
//! file is read, and the message says where. Rows and their source: the file beside.

use tackwright::diagnostic::Severity;
use tackwright::job;

use crate::support::bench::Bench;

fn read(path: &str) -> String {
    let path = format!("{}/{path}", env!("CARGO_MANIFEST_DIR"));
    std::fs::read_to_string(&path).unwrap_or_else(|e| panic!("{path}: {e}"))
}

#[test]
fn one_wrong_thing_is_found_in_its_place() {
    let rows: toml::Table = read("tests/cases/one_wrong_thing.toml").parse().unwrap();
    let rows = rows["row"].as_array().unwrap();
    assert!(rows.len() >= 100, "{} rows", rows.len());
    let mut wrong = Vec::new();
    for row in rows {
        let [job, from, to, code] = ["job", "from", "to", "code"].map(|k| row[k].as_str().unwrap());
        let text = read(&format!("jobs/{job}.toml"));
        assert!(text.contains(from), "{job} has no {from}");
        let (_, report) = job::load("job.toml", &text.replacen(from, to, 1));
        let stops = report.problems.iter().filter(|p| matches!(p.severity, Severity::Error | Severity::Stop));
        let found: Vec<_> = stops.collect();
        let placed = found.iter().all(|p| p.span.is_some() && (!p.key.is_empty() || p.code == "J002"));
        if !placed || !found.iter().any(|p| p.code == code) {
            let codes: Vec<_> = found.iter().map(|p| (p.code, &p.key)).collect();
            wrong.push(format!("{job}: {from:?} -> {to:?}: wanted {code}, found {codes:?}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn the_demonstration_jobs_have_nothing_against_them() {
    for job in ["brush-truck", "crew-cab", "forest-carrier", "hoist-frame", "pump-trailer"] {
        let (_, report) = job::load("job.toml", &read(&format!("jobs/{job}.toml")));
        let stops: Vec<_> = report
            .problems
            .iter()
            .filter(|p| matches!(p.severity, Severity::Error | Severity::Stop))
            .collect();
        assert!(stops.is_empty(), "{job}: {stops:#?}");
    }
}

/// What `check` says of the brush truck beside its shop, with one text replaced.
fn said(from: &str, to: &str) -> (i32, String) {
    let bench = Bench::new();
    bench.edit("job.toml", from, to);
    let said = bench.run(&["check", "job.toml"]);
    (said.code, said.out)
}

#[test]
fn what_bars_the_work_is_listed_with_its_place() {
    for (from, to, what) in [
        ("role = [\"inspector\"]", "role = [\"welder\"]", "can accept a weld somebody else made"),
        ("role = [\"inspector\"]", "role = [\"welder\"]", "nobody on the job is inspector"),
        ("role = [\"welder\", \"fitter\"]", "role = [\"fitter\"]", "nobody on the job is welder"),
        ("wps = \"WPS-03\"\n", "", "procedure to be qualified"),
    ] {
        let (code, out) = said(from, to);
        assert_eq!(code, 0, "{out}");
        let list =
            out.split("TO SETTLE BEFORE THE WORK STARTS").nth(1).unwrap_or_else(|| panic!("{to}: {out}"));
        let line = list.lines().find(|l| l.contains(what)).unwrap_or_else(|| panic!("{what}: {list}"));
        assert!(line.trim_start().starts_with("job.toml:"), "{line}");
        let last = out.lines().last().unwrap_or_default();
        assert!(last.starts_with("ready to issue") && last.contains("may not start"), "{last}");
    }
}

#[test]
fn what_stops_the_issue_is_listed_with_its_place_and_stops_it() {
    for (from, to, code, line) in [
        ("torque = \"85 lbf-ft\"", "torque = \"850 lbf-ft\"", "fastener B3", "fastener[2].torque"),
        ("tack_spacing = \"5 in\"", "tack_spacing = \"0.8 in\"", "tacks", "joint[0].tack_spacing"),
        ("revision = \"A\"", "revision = \"B\"", "revision B", "job.revision"),
    ] {
        let bench = Bench::new();
        bench.edit("job.toml", from, to);
        let out = bench.run(&["check", "job.toml"]).out;
        let list = out.split("WHAT STOPS THE ISSUE").nth(1).unwrap_or_else(|| panic!("{to}: {out}"));
        let found = list.lines().find(|l| l.contains(code) && l.contains(line));
        let found = found.unwrap_or_else(|| panic!("{code} at {line}: {list}"));
        assert!(found.trim_start().starts_with("job.toml:"), "{found}");
        assert_eq!(bench.run(&["issue", "job.toml"]).code, 4, "{to}");
    }
}

#[test]
fn a_revised_job_says_what_changed_and_who_asked() {
    let bench = Bench::new();
    bench.edit("job.toml", "revision = \"A\"", "revision = \"B\"");
    let change = "\n[[change]]\nrevision = \"B\"\ndate = 2026-03-02\nwhat = \"Longer shackles\"\n";
    bench.write("job.toml", format!("{}{change}", bench.text("job.toml")));
    let said = bench.run(&["check", "job.toml"]);
    assert!(said.out.contains("who asked"), "{}", said.out);
    bench.write("job.toml", format!("{}asked = \"station officer, by letter\"\n", bench.text("job.toml")));
    let said = bench.run(&["check", "job.toml"]);
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
}

#[test]
fn a_waiver_names_a_rule_an_operation_and_a_reason() {
    let waiver = |rule: &str, operation: &str, reason: &str| {
        let bench = Bench::new();
        let text = format!(
            "{}\n[[waiver]]\nrule = \"{rule}\"\n{operation}by = \"Lead One\"\nreason = \"{reason}\"\ndate = 2026-03-02\n",
            bench.text("job.toml")
        );
        bench.write("job.toml", text);
        bench.run(&["check", "job.toml"])
    };
    let right = "bench work on a stand, nobody under the unit";
    for (rule, operation, reason, code) in [
        ("no-such-rule", "", right, "J211"),
        ("weld-holds", "operation = \"weld-nothing\"\n", right, "J211"),
        ("weld-holds", "", "asdf", "J017"),
        ("weld-holds", "", "will be done as usual by the shop", "J017"),
    ] {
        let said = waiver(rule, operation, reason);
        assert_eq!(said.code, 1, "{rule} {reason}: {}{}", said.out, said.err);
        assert!(said.err.contains(code), "{rule} {reason}: {}", said.err);
    }
    assert_eq!(waiver("weld-holds", "operation = \"weld-pads\"\n", right).code, 0);
}

//! The demonstration jobs with one wrong thing each: refused or stopped as soon as the
//! file is read, and the message says where. Rows and their source: the file beside.

use tackwright::diagnostic::Severity;
use tackwright::job;

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

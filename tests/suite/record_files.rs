//! Every file of a record, gone, empty, a folder or junk: each command names it, says what
//! it is for and what to do, in no words of the system's.

use std::path::PathBuf;

use crate::support::bench::Bench;

/// What happens to a file.
const HARM: &[&str] = &["gone", "a folder", "empty", "junk"];

fn harm(bench: &Bench, name: &str, how: &str) {
    let path = bench.path(name);
    match how {
        "gone" => std::fs::remove_file(path).unwrap(),
        "empty" => std::fs::write(path, b"").unwrap(),
        "a folder" => {
            std::fs::remove_file(&path).unwrap();
            std::fs::create_dir(&path).unwrap();
        }
        _ => std::fs::write(path, b"\x00\xff{]junk").unwrap(),
    }
}

fn commands() -> Vec<Vec<&'static str>> {
    vec![
        vec!["status", "TW-2041", "--boxes"],
        vec!["status"],
        vec!["tick", "TW-2041", "10", "--by", "LO"],
        vec!["measure", "TW-2041", "10.identity", "UV-7-114, 84 210 mi", "--by", "LO"],
        vec!["sheet", "TW-2041", "--out", "sheet.csv"],
        vec!["copy", "TW-2041", "--out", "copies/"],
        vec!["issue", "job.toml"],
        vec!["revise", "job.toml", "--by", "LO", "--reason", "longer pads"],
        vec!["close", "TW-2041", "--by", "LO"],
    ]
}

#[test]
fn no_file_that_is_gone_or_spoilt_is_told_in_the_systems_words() {
    let mut files: Vec<String> = ["log.jsonl", "shop-book"].map(|f| format!("travelers/TW-2041/{f}")).into();
    files.push("travelers/journal.jsonl".to_owned());
    files.push("shop.toml".to_owned());
    let frozen = [
        "plan.json",
        "manifest.json",
        "job.toml",
        "figures.json",
        "document.json",
        "form.json",
        "procedures.json",
        "traveler.pdf",
        "work-papers.pdf",
    ];
    files.extend(frozen.map(|f| format!("travelers/TW-2041/A/{f}")));
    let mut wrong = Vec::new();
    for file in &files {
        // What is frozen is bound by its digest: junk and nothing are one thing.
        let all = if file.contains("/A/") { &HARM[..2] } else { HARM };
        for how in all {
            let bench = Bench::issued();
            harm(&bench, file, how);
            for command in commands() {
                let said = bench.run(&command);
                let all = format!("{}{}", said.out, said.err);
                let bad =
                    all.contains("os error") || all.contains("panicked") || all.contains("No such file");
                if bad || ![0, 1, 3, 4].contains(&said.code) {
                    wrong.push(format!("{file} {how}: {command:?} ({}) {all}", said.code));
                }
                // What fails for want of a file names it.
                let name = PathBuf::from(file).file_name().unwrap().to_string_lossy().into_owned();
                let mends = |path: &str| all.contains(path);
                if said.code == 3 && !mends(&name) && !all.contains("completed.pdf") {
                    wrong.push(format!("{file} {how}: {command:?} does not name it: {all}"));
                }
            }
        }
    }
    assert!(wrong.is_empty(), "{}\n{}", wrong.len(), wrong.join("\n---\n"));
}

#[test]
fn a_plan_that_is_gone_says_what_it_is_and_what_to_do() {
    let bench = Bench::issued();
    harm(&bench, "travelers/TW-2041/A/plan.json", "gone");
    let said = bench.run(&["tick", "TW-2041", "10", "--by", "LO"]);
    assert_eq!(said.code, 3, "{}", said.err);
    for part in ["A/plan.json is not there", "the frozen plan, which every rule goes by", "from the backup"] {
        assert!(said.err.contains(part), "{part}: {}", said.err);
    }
}

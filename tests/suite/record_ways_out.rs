//! What a refusal proposes is taken: following nothing but its commands, the work gets done.

use serde_json::Value as Json;

use crate::support::bench::{Bench, good};

/// Words of a command line; quotes hold words together.
fn words(line: &str) -> Vec<String> {
    let (mut all, mut word, mut quoted, mut any) = (Vec::new(), String::new(), false, false);
    for c in line.chars() {
        match c {
            '"' => (quoted, any) = (!quoted, true),
            ' ' if !quoted => {
                if any || !word.is_empty() {
                    all.push(std::mem::take(&mut word));
                }
                any = false;
            }
            c => word.push(c),
        }
    }
    if any || !word.is_empty() {
        all.push(word);
    }
    all
}

/// The commands a refusal proposes, without the name of the program.
fn proposed(said: &str) -> Vec<Vec<String>> {
    let said = said.split("\n\n").next().unwrap_or_default();
    let line = said.split_whitespace().collect::<Vec<_>>().join(" ");
    let line = line.replace(" = help:", "\n");
    let mut all = Vec::new();
    for part in line.split("tackwright ").skip(1) {
        let end = ["; ", " (and ", ", then ", "\n", " = "].iter().filter_map(|e| part.find(e)).min();
        all.push(words(part.get(..end.unwrap_or(part.len())).unwrap_or(part)));
    }
    all
}

/// What only a person knows, filled in as one would.
fn filled(bench: &Bench, command: &[String]) -> Vec<String> {
    let plan: Json = serde_json::from_slice(&bench.read("travelers/TW-2041/A/plan.json")).unwrap();
    let value = || {
        let (number, id) = command.get(2)?.split_once('.')?;
        let operations = plan["operations"].as_array()?;
        let operation =
            operations.iter().find(|o| o["number"].as_u64().is_some_and(|n| number.parse() == Ok(n)))?;
        let mut readings =
            operation["steps"].as_array()?.iter().flat_map(|s| s["readings"].as_array().unwrap());
        Some(good(readings.find(|r| r["id"] == id)?).0)
    };
    let time = chrono::DateTime::from_timestamp(bench.now, 0).unwrap().to_rfc3339();
    // The words a box is answered with stand in the place of its value.
    let chosen = |n: usize, word: &str| n == 3 && command[0] == "measure" && word.contains('|');
    command
        .iter()
        .enumerate()
        .map(|(n, word)| match word.as_str() {
            word if chosen(n, word) => value().unwrap_or_else(|| panic!("no value for {command:?}")),
            "VALUE" => value().unwrap_or_else(|| panic!("no value for {command:?}")),
            "TIME" => time.clone(),
            "…" => "seen and measured".to_owned(),
            "ID" | "LEAD" => "LO".to_owned(),
            word => word.to_owned(),
        })
        .collect()
}

fn follow(bench: &Bench, aim: &[&str]) -> usize {
    let mut taken = 0;
    loop {
        let said = bench.run(aim);
        if said.code == 0 {
            return taken;
        }
        let all = proposed(&said.err);
        assert!(!all.is_empty(), "{aim:?} proposes nothing:\n{}", said.err);
        for command in all {
            let command = filled(bench, &command);
            let args: Vec<&str> = command.iter().map(String::as_str).collect();
            let done = bench.run(&args);
            assert_eq!(done.code, 0, "{aim:?} said\n{}\nand {args:?} is not taken:\n{}", said.err, done.err);
            taken += 1;
        }
        assert!(taken < 200, "{aim:?} gets nowhere:\n{}", said.err);
    }
}

#[test]
fn following_nothing_but_the_refusals_the_work_gets_done() {
    let bench = Bench::issued();
    let plan: Json = serde_json::from_slice(&bench.read("travelers/TW-2041/A/plan.json")).unwrap();
    let review = plan["operations"].as_array().unwrap().iter().find(|o| o["id"] == "review-lift").unwrap();
    let hold = review["after"][0]["number"].as_str().unwrap();
    let taken = follow(&bench, &["sign", "TW-2041", hold, "--as", "lead", "--by", "LO"]);
    assert!(taken > 20, "{taken}");
}

#[test]
fn who_is_named_may_do_it() {
    let bench = Bench::issued();
    // The lead of another role is named; who left or whose certificate ran out is not.
    let said = bench.no(&["sign", "TW-2041", "R1", "--as", "lead", "--by", "WO"], "L104");
    assert!(said.err.contains("have LO do it"), "{}", said.err);
    let said = bench.no(&["sign", "TW-2041", "R1", "--as", "inspector", "--by", "IO"], "L148");
    assert!(said.err.contains("tackwright sign TW-2041 R1 --as lead --by LO"), "{}", said.err);
    bench.edit("shop.toml", "certificate_until = 2027-05-31", "certificate_until = 2026-02-01");
    let said = bench.no(&["sign", "TW-2041", "R1", "--as", "inspector", "--by", "WO"], "L104");
    assert!(said.err.contains("may do it as inspector that day"), "{}", said.err);
    bench.no(&["sign", "TW-2041", "R1", "--as", "inspector", "--by", "IO"], "L105");
}

#[test]
fn a_job_whose_one_inspector_is_not_certified_is_not_ready() {
    let bench = Bench::new();
    bench.edit("shop.toml", "certificate_until = 2027-05-31", "certificate_until = 2026-01-31");
    let said = bench.run(&["check", "job.toml"]);
    assert!(said.code == 4 && said.out.contains("not ready"), "{}{}", said.out, said.err);
    let all = format!("{}{}", said.out, said.err);
    assert!(
        all.contains("may act as inspector on 2026-03-02")
            && all.contains("IO Inspector One until 2026-01-31"),
        "{all}"
    );
    let said = bench.run(&["issue", "job.toml"]);
    assert!(said.code == 4 && said.err.contains("S216"), "{}{}", said.out, said.err);
}

#[test]
fn a_number_that_reads_the_same_is_no_second_one() {
    let bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    bench.edit("job.toml", "\"TW-2041\"", "\"tw-2O4l\"");
    let said = bench.run(&["issue", "job.toml"]);
    assert!(said.code == 1 && said.err.contains("L009"), "{}{}", said.out, said.err);
    assert!(said.err.contains("reads the same as TW-2041"), "{}", said.err);
    // The same number once more, from another folder.
    bench.edit("job.toml", "\"tw-2O4l\"", "\"TW-2041\"");
    let said = bench.run(&["issue", "job.toml", "--out", "elsewhere/"]);
    assert!(said.code == 1 && said.err.contains("L011"), "{}{}", said.out, said.err);
    for command in proposed(&said.err) {
        let args: Vec<String> =
            command.iter().map(|w| if w == "FOLDER" { "elsewhere/".to_owned() } else { w.clone() }).collect();
        let args: Vec<&str> = args.iter().map(String::as_str).collect();
        let said = bench.yes(&args);
        assert!(said.out.contains("the same paper again"), "{}", said.out);
    }
    // A folder that never had a journal can't know.
    let bench = Bench::small();
    let said = bench.yes(&["issue", "job.toml"]);
    assert!(said.out.lines().next().unwrap().contains("issued elsewhere is not known"), "{}", said.out);
}

#[test]
fn a_pin_known_at_issue_is_missed_and_another_one_is_told() {
    let bench = Bench::new();
    assert_eq!(bench.typed(&["key", "pin", "LO", "--pin-stdin"], "4711\n").code, 0);
    assert_eq!(bench.typed(&["key", "pin", "WO", "--by", "LO", "--pin-stdin"], "4711\n1111\n").code, 0);
    let said = bench.typed(&["issue", "job.toml", "--pin-stdin", "--by", "LO"], "4711\n");
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    let log = bench.text("travelers/TW-2041/log.jsonl");
    assert!(log.contains("\"pins\":{\"LO\":") && log.contains("\"WO\":"), "{log}");
    bench.write("seat.png", crate::support::picture::truck(0.0));
    bench.yes(&["photo", "TW-2041", "10", "seat.png", "--shows", "as-found", "--by", "WO"]);
    // The PIN nobody typed so far is taken out of the book, and out of the journal's sight.
    let with = bench.text("shop.toml");
    let line = with.lines().filter(|l| l.starts_with("pin = ")).nth(1).unwrap().to_owned();
    bench.write("shop.toml", with.replace(&format!("{line}\n"), ""));
    std::fs::remove_file(bench.path("travelers/journal.jsonl")).unwrap();
    let correct = ["correct", "TW-2041", "2", "--by", "WO", "--reason", "another seat"];
    bench.no(&correct, "L157");
    // Another PIN in its place is taken, and told.
    let other = Bench::new();
    assert_eq!(other.typed(&["key", "pin", "LO", "--pin-stdin"], "4711\n").code, 0);
    assert_eq!(other.typed(&["key", "pin", "WO", "--by", "LO", "--pin-stdin"], "4711\n2222\n").code, 0);
    let book = other.text("shop.toml");
    std::fs::remove_file(bench.path("pin-tries.jsonl")).unwrap();
    bench.write("shop.toml", book);
    let args = [&correct[..], &["--pin-stdin"]].concat();
    let said = bench.typed(&args, "2222\n");
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    let log = bench.text("travelers/TW-2041/log.jsonl");
    assert!(log.lines().last().unwrap().contains("not a PIN the record knew"), "{log}");
}

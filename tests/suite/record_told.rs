//! What outside eyes tried at the desk: a gap below nothing, words that say nothing, a
//! void print measured again, a sheet whose limits were changed, a journal that was
//! deleted, evidence that is gone.

use crate::support::bench::Bench;

#[test]
fn a_gap_below_nothing_is_refused_at_the_desk() {
    let bench = Bench::issued();
    let place = bench.fill_before("height-lf");
    bench.no(&["measure", "TW-2041", &place, "-3 in", "--by", "WO", "--with", "TP-2"], "below nothing");
    bench.yes(&["measure", "TW-2041", &place, "33 in", "--by", "WO", "--with", "TP-2"]);
}

#[test]
fn words_that_say_nothing_are_refused_wherever_somebody_answers_for_them() {
    let bench = Bench::issued();
    let no = |args: &[&str]| {
        let said = bench.no(args, "says nothing");
        assert!(said.err.contains("L155") && said.err.contains("somebody who was not there"), "{}", said.err);
    };
    for word in [".", "-", "n/a", "x", "ok"] {
        no(&["found", "TW-2041", "10", word, "--by", "LO"]);
    }
    bench.yes(&["found", "TW-2041", "10", "dent in the door", "--by", "LO"]);
    for word in [".", "ok", "same as above"] {
        no(&["dispose", "TW-2041", "F1", "use as is", "--by", "LO", "--reason", word]);
    }
    bench.yes(&["measure", "TW-2041", "10.identity", "UV-7-114 84 210 mi", "--by", "LO"]);
    no(&["correct", "TW-2041", "3", "--by", "LO", "--reason", "."]);
    no(&[
        "measure",
        "TW-2041",
        "10.identity",
        "UV-7-114 84 210 mi again",
        "--by",
        "LO",
        "--corrects",
        "3",
        "--reason",
        "x",
    ]);
    bench.edit("job.toml", "\n[unit]", "\n# another line\n[unit]");
    no(&["revise", "job.toml", "--by", "LO", "--reason", "..."]);
}

#[test]
fn a_box_in_words_says_something_that_is_seen() {
    let bench = Bench::issued();
    for text in ["-", "?", ".", "x", "tbd", "\u{200B}", "UV\u{200B}-7", "UV-7\u{202E}"] {
        let said = bench.run(&["measure", "TW-2041", "10.identity", text, "--by", "LO"]);
        assert_eq!(said.code, 1, "{text:?}: {}", said.out);
    }
    bench.yes(&["measure", "TW-2041", "10.identity", "none", "--by", "LO", "--sure"]);
}

#[test]
fn a_sheet_on_standard_output_can_be_taken_in() {
    let bench = Bench::issued();
    let printed = bench.yes(&["sheet", "TW-2041"]).out;
    bench.yes(&["sheet", "TW-2041", "--out", "out.csv"]);
    assert_eq!(printed, bench.text("out.csv"));
    bench.write("in.csv", printed);
    assert_eq!(bench.run(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO"]).code, 0);
}

#[test]
fn a_void_print_is_measured_again_by_somebody_else() {
    let bench = Bench::issued();
    let status = bench.json(&["status", "TW-2041", "--json"]);
    let sheet = status["travelers"][0]["sheets"][0].as_str().unwrap().to_owned();
    let digits = sheet.rsplit(' ').next().unwrap().to_owned();
    let bars = |by: &'static str, across: &'static str| {
        ["bars", "TW-2041", &digits, "--across", across, "--along", "100 mm", "--by", by].map(str::to_owned)
    };
    let run = |args: &[String]| bench.run(&args.iter().map(String::as_str).collect::<Vec<_>>());
    assert_eq!(run(&bars("WO", "99 mm")).code, 1);
    let again = bars("WO", "100 mm");
    let again: Vec<&str> = again.iter().map(String::as_str).collect();
    bench.no(&again, "measured again by another person");
    // Corrected, or taken back first: the same person all the same.
    bench.no(&[&again[..], &["--corrects", "2", "--reason", "misread the scale"]].concat(), "another person");
    bench.yes(&["correct", "TW-2041", "2", "--by", "WO", "--reason", "misread the scale"]);
    bench.no(&again, "another person");
    assert_eq!(run(&bars("LO", "100 mm")).code, 0);
    assert_eq!(run(&bars("WO", "100 mm")).code, 0, "a good print is anybody's to measure");
}

#[test]
fn a_sheet_whose_limits_were_changed_is_told_line_by_line() {
    let bench = Bench::issued();
    bench.yes(&["sheet", "TW-2041", "--out", "out.csv"]);
    let sheet = bench.text("out.csv");
    let line = sheet.lines().find(|l| l.contains("receive:faults-in")).unwrap();
    let filled = |line: &str| {
        // The value stands before the remark and the traveler.
        let mut cells: Vec<String> = csv::ReaderBuilder::new()
            .has_headers(false)
            .from_reader(line.as_bytes())
            .records()
            .next()
            .unwrap()
            .unwrap()
            .iter()
            .map(str::to_owned)
            .collect();
        let place = cells.len() - 3;
        "1".clone_into(&mut cells[place]);
        cells
    };
    let written = |cells: &[String]| {
        let mut csv = csv::Writer::from_writer(Vec::new());
        csv.write_record(sheet.lines().next().unwrap().trim_start_matches('\u{FEFF}').split(',')).unwrap();
        csv.write_record(cells).unwrap();
        csv.into_inner().unwrap()
    };
    let take = |cells: &[String]| {
        bench.write("in.csv", written(cells));
        bench.json(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--json"])
    };
    let own = filled(line);
    assert_eq!(take(&own)["lines"][0]["outcome"], "good", "{}", take(&own));
    for (column, text) in
        [(2, "bolts, torque set"), (3, "1 told or seen, written up / 2 none known, none seen")]
    {
        let mut cells = own.clone();
        text.clone_into(&mut cells[column]);
        let said = take(&cells);
        assert!(said["lines"].as_array().is_none_or(Vec::is_empty), "{said:#}");
        assert!(said.to_string().contains("and the plan says"), "{said:#}");
    }
    // A column that was emptied says nothing else.
    let mut cells = own;
    cells[2].clear();
    cells[3].clear();
    assert_eq!(take(&cells)["lines"][0]["outcome"], "good");
}

#[test]
fn a_journal_that_is_gone_is_told_by_everybody() {
    let bench = Bench::issued();
    bench.yes(&["measure", "TW-2041", "10.identity", "UV-7-114 84 210 mi", "--by", "LO"]);
    bench.yes(&["found", "TW-2041", "10", "dent in the door", "--by", "LO"]);
    let kept = bench.text("travelers/journal.jsonl");
    assert!(!bench.yes(&["status", "TW-2041"]).out.contains("journal"));
    std::fs::remove_file(bench.path("travelers/journal.jsonl")).unwrap();
    let said = bench.run(&["status", "TW-2041"]);
    assert!(said.out.contains("is gone") && said.out.contains("Put it back"), "{}", said.out);
    let act = ["found", "TW-2041", "10", "scratch in the door", "--by", "LO"];
    let said = bench.yes(&act);
    assert!((said.out + &said.err).contains("JOURNAL: the shop's journal"), "told with the entry");
    // Begun anew by that entry, it is told all the same, and by `verify`.
    let said = bench.yes(&act);
    assert!((said.out + &said.err).contains("from entry 4 on only"), "told with the entry");
    assert!(bench.run(&["status", "TW-2041"]).out.contains("from entry 4 on only"));
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let verdict = bench.json(&[
        "verify",
        "travelers/TW-2041/TW-2041-completed.pdf",
        "--journal",
        "travelers/journal.jsonl",
        "--json",
    ]);
    assert!(verdict.to_string().contains("from entry 4 on only"), "{verdict:#}");
    // Put back, it is as it was.
    bench.write("travelers/journal.jsonl", kept);
    assert!(!bench.run(&["status", "TW-2041"]).out.contains("deleted"));
}

#[test]
fn what_entries_were_taken_in_from_is_looked_for() {
    let bench = Bench::issued();
    let status = bench.json(&["status", "TW-2041", "--json"]);
    let paper = status["travelers"][0]["paper"].as_str().unwrap().to_owned();
    bench.write("in.csv", format!("box,value,traveler\nreceive:identity,UV-7-114 84 210 mi,{paper}\n"));
    bench.yes(&["sheet", "TW-2041", "--take", "in.csv", "--by", "LO", "--enter"]);
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let file = "travelers/TW-2041/TW-2041-completed.pdf";
    let verdict = |args: &[&str]| bench.json(&[&["verify", file, "--json"], args].concat()).to_string();
    assert!(verdict(&[]).contains("1 file is kept that entries were taken in from"));
    bench.yes(&["status", "TW-2041"]);
    // The customer has the record alone: what it can't show is said.
    std::fs::copy(bench.path(file), bench.path("record.pdf")).unwrap();
    let alone = bench.json(&["verify", "record.pdf", "--json"]).to_string();
    assert!(alone.contains("--kept FOLDER"), "{alone}");
    let kept =
        std::fs::read_dir(bench.path("travelers/TW-2041/taken-in")).unwrap().next().unwrap().unwrap().path();
    let bytes = std::fs::read(&kept).unwrap();
    for change in [Some([&bytes[..], b"\n"].concat()), None] {
        match change {
            Some(other) => std::fs::write(&kept, other).unwrap(),
            None => std::fs::remove_file(&kept).unwrap(),
        }
        let said = bench.run(&["verify", "record.pdf", "--kept", "travelers/TW-2041"]);
        assert!(
            said.out.contains("an entry sheet (line 2") && said.out.contains("entries 2"),
            "{}",
            said.out
        );
        assert!(said.code == 1 && said.out.starts_with("EVIDENCE MISSING"), "{}", said.out);
        assert_eq!(bench.json(&["verify", file, "--json"])["holds"], "evidence-missing");
        assert!(bench.run(&["status", "TW-2041"]).out.contains("missing or was changed"));
    }
}

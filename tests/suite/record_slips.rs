//! Slips of the pen at the command line and what is held against a record by mistake: asked
//! back, with a way out, and never taken for a forgery.

use tackwright::quantity::{Angle, Dimensioned, Length, Quantity, unit};
use tackwright::record::expected::unlike;

use crate::signature_records::imports;
use crate::support::bench::Bench;

#[test]
fn unlike_units_are_asked_back() {
    let inches = |one: f64, other: f64| {
        let inch = |v: f64| Quantity::from(Length::of(v, unit::IN));
        unlike(inch(one), inch(other)).unwrap_or_default()
    };
    // 1.76 mm beside 1.82 in; 36.4 in beside 21 in; play of 0.02 and 0.3 mm.
    assert!(inches(1.76 / 25.4, 1.82).contains("is 1/26"), "{}", inches(1.76 / 25.4, 1.82));
    assert_eq!(inches(36.4, 21.0), "");
    assert_eq!(inches(0.02 / 25.4, 0.3 / 25.4), "");
    // Exactly ten times, exactly another unit, nothing beside much.
    for (one, other, why) in [
        (34.0, 3.4, "is 10 times (the decimal point?)"),
        (3.4, 34.0, "is 1/10 of (the decimal point?)"),
        (25.4, 1.0, "is 25.4 times (millimetres or inches?)"),
        (1.0 / 25.4, 1.0, "is 1/25.4 of (millimetres or inches?)"),
        (0.0, 34.0, "is nothing beside"),
    ] {
        assert_eq!(inches(one, other), why, "{one} beside {other}");
    }
    // Lengths lie on either side of a mark; nothing beside little is possible.
    assert_eq!(inches(0.5, -0.5), "");
    assert_eq!(inches(0.0, 0.5), "");
    let angle = |v: f64| Quantity::from(Angle::of(v, unit::DEG));
    let degrees = |one: f64, other: f64| unlike(angle(one), angle(other)).unwrap_or_default();
    assert_eq!(degrees(-5.3, 5.3), "has the other sign than");
    assert_eq!(degrees(0.53, 5.3), "is 1/10 of (the decimal point?)");
    for (one, other) in [(-0.4, 0.5), (0.05, 1.5), (4.0, 3.8)] {
        assert_eq!(degrees(one, other), "", "{one} beside {other}");
    }
}

#[test]
fn two_sides_that_are_ten_times_apart_are_asked_back_whatever_they_are_called() {
    let bench = Bench::issued();
    let place = bench.fill_before("height-lf");
    let right = place.replace("-lf", "-rf");
    let measure = |place: &str, text: &str, more: &[&str]| {
        let mut args = vec!["measure", "TW-2041", place, text, "--by", "WO", "--with", "TP-2"];
        args.extend(more);
        bench.run(&args)
    };
    assert_eq!(measure(&place, "34 in", &[]).code, 0);
    // Exactly ten times, exactly a unit, and nothing at all.
    for (text, why) in [
        ("3.4 in", "is 1/10 of (the decimal point?)"),
        ("272 in", "is 8 times"),
        ("34 mm", "is 1/25.4 of (millimetres or inches?)"),
        ("0 in", "is nothing beside"),
    ] {
        let said = measure(&right, text, &[]);
        assert!(
            said.code == 1 && said.err.contains("L174") && said.err.contains(why),
            "{text}: {}",
            said.err
        );
        assert!(said.err.contains(&format!("{place} with 34 in")), "{text}: {}", said.err);
        assert!(said.err.contains("--sure"), "{text}: {}", said.err);
    }
    // Sure of it, it is entered, and told to whoever reads the record.
    assert_eq!(measure(&right, "3.4 in", &["--sure"]).code, 0);
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let verdict = bench.json(&["verify", "travelers/TW-2041/TW-2041-completed.pdf", "--json"]);
    assert!(verdict.to_string().contains("and was entered all the same"), "{verdict:#}");
}

#[test]
fn a_traveler_without_its_log_is_told_to_whoever_wants_its_sheets() {
    let bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    std::fs::remove_file(bench.path("travelers/TW-2041/log.jsonl")).unwrap();
    for part in ["the journal", "no log"] {
        let part = if part == "the journal" { "journal.jsonl knows 1 entry of it" } else { part };
        bench.no(&["template", "TW-2041"], part);
        bench.no(&["status", "TW-2041"], part);
        let _ = std::fs::remove_file(bench.path("travelers/journal.jsonl"));
    }
    let said = bench.run(&["template", "TW-9999"]);
    assert!(said.code == 2 && said.err.contains("the number of a traveler"), "{}", said.err);
}

#[test]
fn what_is_held_against_a_record_by_mistake_accuses_nobody() {
    let bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let file = "travelers/TW-2041/TW-2041-completed.pdf";
    let status = bench.json(&["status", "TW-2041", "--json"]);
    let head = status["travelers"][0]["head"].as_str().unwrap().to_owned();
    let holds = |more: &[&str]| {
        let mut args = vec!["verify", file, "--json"];
        args.extend(more);
        bench.json(&args)["holds"].as_str().unwrap().to_owned()
    };
    assert_eq!(holds(&["--head", &head]), "not-closed");
    assert_eq!(holds(&["--head", &format!("{} (entry 1)", &head[..16])]), "not-closed");
    // Mistyped digits and a file that is no journal are refused before anything is said.
    for slip in ["zz", "", &head[..8], "0123456789aO"] {
        bench.no(&["verify", file, "--head", slip], "is no head of a log");
    }
    bench.no(&["verify", file, "--journal", "job.toml"], "is no journal of a shop");
    let said = bench.run(&["verify", file, "--kept", "nowhere"]);
    assert!(said.code == 3 && said.err.contains("no such folder"), "{}", said.err);
    // A head nobody knows, a journal that knows nothing of it, and one cut short by a line.
    assert_eq!(holds(&["--head", "0123456789abcdef"]), "contradicted");
    let journal = bench.text("travelers/journal.jsonl");
    bench.write("other.jsonl", "");
    assert_eq!(holds(&["--journal", "other.jsonl"]), "contradicted");
    // Work after the file was made is no forgery, and no yes.
    bench.yes(&["found", "TW-2041", "10", "dent in the door", "--by", "LO"]);
    let later =
        bench.json(&["status", "TW-2041", "--json"])["travelers"][0]["head"].as_str().unwrap().to_owned();
    let kept = ["--journal", "travelers/journal.jsonl"];
    assert_eq!(holds(&kept), "older");
    assert_eq!(holds(&[&kept[..], &["--head", &later]].concat()), "older");
    assert_eq!(holds(&["--head", &later]), "contradicted");
    // What is damaged behind the record's own lines hides what came after them.
    let grown = bench.text("travelers/journal.jsonl");
    let damaged = format!("{journal}{}", grown[journal.len()..].replacen("TW-2041", "TW-2042", 1));
    bench.write("damaged.jsonl", damaged);
    assert_eq!(holds(&["--journal", "damaged.jsonl"]), "contradicted");
    // A token over more lines than the journal has: lines are lost.
    bench.write("old.jsonl", &journal);
    assert_eq!(holds(&["--journal", "old.jsonl"]), "not-closed");
    for name in ["tsr", "tsq"] {
        let stamp = std::fs::read(imports(&format!("stamp.{name}"))).unwrap();
        bench.write(&format!("old-9.{name}"), stamp);
    }
    let verdict = bench.json(&["verify", file, "--json", "--journal", "old.jsonl"]);
    assert_eq!(verdict["holds"], "contradicted");
    assert!(verdict.to_string().contains("and this journal has 1: it was cut short"), "{verdict:#}");
}

#[test]
fn nothing_is_promised_while_the_shop_book_is_gone() {
    let bench = Bench::issued();
    let place = bench.fill_before("faults-in");
    assert_eq!(place, "10.faults-in");
    bench.yes(&["measure", "TW-2041", "10.faults-in", "1", "--by", "LO"]);
    bench.yes(&["measure", "TW-2041", "10.identity", "UV-7-114, 84 210 mi", "--by", "LO"]);
    bench.yes(&["tick", "TW-2041", "10", "--by", "LO"]);
    assert!(bench.yes(&["status", "TW-2041"]).out.contains("nothing else is missing, a lead signs it"));
    std::fs::rename(bench.path("shop.toml"), bench.path("away.toml")).unwrap();
    let said = bench.run(&["status", "TW-2041"]);
    let said = said.out + &said.err;
    assert!(!said.contains("nothing else is missing"), "{said}");
    assert!(said.contains("nothing can be entered: the shop book of TW-2041 is not there"), "{said}");
}

#[test]
fn who_became_a_lead_while_the_work_went_on_is_told() {
    let bench = Bench::issued();
    bench.edit("shop.toml", "role = [\"welder\", \"fitter\"]", "role = [\"welder\", \"fitter\", \"lead\"]");
    bench.yes(&["found", "TW-2041", "10", "dent in the door", "--by", "LO"]);
    bench.yes(&[
        "dispose",
        "TW-2041",
        "F1",
        "use as is",
        "--reason",
        "dent of an earlier knock, metal whole",
        "--by",
        "WO",
    ]);
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let verdict = bench.json(&["verify", "travelers/TW-2041/TW-2041-completed.pdf", "--json"]);
    let told = "acted as lead in 1 entry, and was none when the paper was issued";
    assert!(verdict["remarks"].to_string().contains(told), "{verdict:#}");
    assert_eq!(verdict["remarks"].to_string().matches("was none when the paper").count(), 1, "{verdict:#}");
}

#[test]
fn the_bars_of_a_print_are_entered_by_its_name_too() {
    let bench = Bench::issued();
    let all = bench.json(&["status", "TW-2041", "--json", "--boxes"]);
    let typed = all["travelers"][0]["boxes"].as_array().unwrap().iter().find_map(|b| {
        b["box"]
            .as_str()
            .unwrap()
            .strip_prefix("/bars:")
            .map(|name| (name.to_owned(), b["typed"].as_str().unwrap().to_owned()))
    });
    let (name, typed) = typed.unwrap();
    let bars = |what: &str, more: &[&str]| {
        let mut args =
            vec!["bars", "TW-2041", what, "--across", "100 mm", "--along", "100.1 mm", "--by", "WO"];
        args.extend(more);
        bench.yes(&args)
    };
    assert!(bars(&name, &[]).out.contains("may be used"));
    let entry = ["--corrects", &format!("/bars:{name}"), "--reason", "measured with another rule"];
    assert!(bars(&typed, &entry).out.contains("may be used"));
}

/// `1 entries` is no sentence: a count stands with its word through `term::counted`.
#[test]
fn a_count_stands_with_its_word() {
    let plural =
        ["entries", "signatures", "readings", "files", "photos", "lines", "places", "boxes", "figures"];
    let mut wrong = Vec::new();
    let mut open = vec![std::path::PathBuf::from("src/app/record"), "src/record".into()];
    while let Some(path) = open.pop() {
        if path.is_dir() {
            open.extend(std::fs::read_dir(&path).unwrap().map(|e| e.unwrap().path()));
            continue;
        }
        for (line, n) in std::fs::read_to_string(&path).unwrap().lines().zip(1..) {
            let counts = |word: &&str| line.contains(&format!("}} {word}"));
            if plural.iter().any(counts) && line.contains('"') {
                wrong.push(format!("{}:{n}: {}", path.display(), line.trim()));
            }
        }
    }
    // More than one, by what stands before it.
    wrong.retain(|w| !w.contains("read.len() > 1"));
    assert!(wrong.is_empty(), "{wrong:#?}");
}

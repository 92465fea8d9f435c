//! Who, when, with what: PINs and their tries, both times, the book a record
//! rests on, a second reading and a slip of the pen, what was rejected.

use serde_json::Value as Json;

use crate::support::bench::{Bench, Said};

fn last(bench: &Bench) -> Json {
    let log = bench.text("travelers/TW-2041/log.jsonl");
    serde_json::from_str::<Json>(log.lines().last().unwrap()).unwrap()["entry"].clone()
}

fn no(said: &Said, part: &str) {
    assert_eq!(said.code, 1, "{}{}", said.out, said.err);
    assert!(said.err.contains(part), "{}", said.err);
}

#[test]
fn what_a_lead_decides_takes_the_pin() {
    let bench = Bench::new();
    assert_eq!(bench.typed(&["key", "pin", "LO", "--pin-stdin"], "4711\n").code, 0);
    fn with<'a>(args: &[&'a str]) -> Vec<&'a str> {
        [args, &["--by", "LO", "--pin-stdin"]].concat()
    }
    let both = |args: &[&str]| {
        no(&bench.run(&[args, &["--by", "LO"]].concat()), "signs with a PIN");
        no(&bench.typed(&with(args), "0000\n"), "that is not the PIN");
        let said = bench.typed(&with(args), "4711\n");
        assert_eq!(said.code, 0, "{args:?}: {}{}", said.out, said.err);
    };
    both(&["issue", "job.toml"]);
    assert!(last(&bench)["identified"].as_str().unwrap().starts_with("pin, after 1 wrong try"));
    bench.yes(&["measure", "TW-2041", "10.identity", "UV-7-114, 84 210 mi", "--by", "LO"]);
    both(&["correct", "TW-2041", "2", "--reason", "wrong unit"]);
    bench.yes(&["found", "TW-2041", "10", "crack", "--by", "WO"]);
    both(&["dispose", "TW-2041", "F1", "use as is", "--reason", "old"]);
    assert!(last(&bench)["identified"].as_str().unwrap().starts_with("pin"));
    let job = bench.text("job.toml");
    bench.write("job.toml", job.replacen("shackle_new = \"4-1/4 in\"", "shackle_new = \"4-1/2 in\"", 1));
    both(&["revise", "job.toml", "--reason", "F1: crack"]);
    both(&["complete", "TW-2041"]);
    // A PIN the record knows is not left out: not in the book, not by another book, not
    // without one.
    let worse = ["dispose", "TW-2041", "F1", "repair", "--reason", "worse", "--corrects", "5", "--by", "LO"];
    let own = bench.text("shop.toml");
    bench.write("other.toml", own.replace("\npin = ", "\n#pin = "));
    bench.no(&[&worse[..], &["--shop", "other.toml"]].concat(), "had a PIN");
    bench.write("shop.toml", own.replace("\npin = ", "\n#pin = "));
    bench.no(&worse, "had a PIN");
    std::fs::remove_file(bench.path("shop.toml")).unwrap();
    bench.no(&[&worse[..], &["--without-book"]].concat(), "had a PIN");
    bench.write("shop.toml", own);
    assert_eq!(bench.typed(&[&worse[..], &["--pin-stdin"]].concat(), "4711\n").code, 0);
}

#[test]
fn one_name_has_one_id_in_the_book() {
    let bench = Bench::new();
    bench.edit(
        "shop.toml",
        "[[person]]",
        "[[person]]\nid = \"Z1\"\nname = \"W\u{0435}lder  one\"\nrole = [\"inspector\"]\n\n[[person]]",
    );
    bench.edit(
        "shop.toml",
        "[[person]]",
        "[[person]]\nid = \"Z2\"\nname = \"Welder One\"\nrole = [\"inspector\"]\n\n[[person]]",
    );
    bench.no(&["issue", "job.toml"], "one person has one id");
}

#[test]
fn tries_are_limited_and_written_down() {
    let mut bench = Bench::new();
    bench.typed(&["key", "pin", "LO", "--pin-stdin"], "4711\n");
    let issue = ["issue", "job.toml", "--by", "LO", "--pin-stdin"];
    for _ in 0..5 {
        no(&bench.typed(&issue, "0000\n"), "that is not the PIN");
    }
    // Also the right one has to wait now.
    no(&bench.typed(&issue, "4711\n"), "was wrong 5 times");
    // Beside the line that says when it was set.
    assert_eq!(bench.text("pin-tries.jsonl").lines().filter(|l| l.contains("\"right\":false")).count(), 5);
    bench.now += 16 * 60;
    assert_eq!(bench.typed(&issue, "4711\n").code, 0);
    assert_eq!(last(&bench)["identified"], "pin, after 5 wrong tries");
}

#[test]
fn a_pin_is_changed_with_the_old_one_or_by_a_lead() {
    let bench = Bench::new();
    let pin =
        |args: &[&str], input: &str| bench.typed(&[&["key", "pin"], args, &["--pin-stdin"]].concat(), input);
    // The first one is a lead's, set by whoever holds the book; all others rest on it.
    let bare = bench.text("shop.toml");
    no(&pin(&["WO"], "1111\n"), "no lead has a PIN yet");
    assert_eq!(bench.text("shop.toml"), bare);
    let said = pin(&["LO"], "4711\n");
    assert!(said.code == 0 && said.err.contains("the first PIN of a lead"), "{}", said.err);
    no(&pin(&["WO"], "1111\n"), "a lead has");
    assert_eq!(pin(&["WO", "--by", "LO"], "4711\n1111\n").code, 0);
    let book = bench.text("shop.toml");
    no(&pin(&["WO"], "9999\n2222\n"), "that is not the PIN");
    no(&pin(&["WO", "--by", "WT"], "1111\n2222\n"), "may not set the PIN");
    no(&pin(&["IO"], "3333\n"), "a lead has");
    assert_eq!(bench.text("shop.toml"), book);
    assert_eq!(pin(&["WO"], "1111\n2222\n").code, 0);
    assert_eq!(pin(&["WO", "--by", "LO"], "4711\n3333\n").code, 0);
    assert_eq!(pin(&["IO", "--by", "LO"], "4711\n5555\n").code, 0);
    no(&pin(&["IO", "--by", "LO"], "4711\n12\n"), "too short");
}

#[test]
fn both_times_stand_in_an_entry() {
    let mut bench = Bench::issued();
    bench.now += 3 * 86_400;
    bench.yes(&["found", "TW-2041", "10", "crack", "--by", "LO", "--at", "2026-03-03T09:00:00-06:00"]);
    let entry = last(&bench);
    assert_eq!(entry["at"], "2026-03-03T09:00:00-06:00");
    assert_eq!(entry["clock"], "2026-03-05T14:00:00+00:00");
    let said = bench.yes(&["status", "TW-2041", "--entries"]);
    assert!(said.out.contains("entered 2026-03-05 14:00"), "{}", said.out);
    // The calibration counts on the stated day: UT-1 runs out on 2026-04-01.
    bench.no(
        &["found", "TW-2041", "10", "dent", "--by", "LO", "--at", "2026-03-01T09:00:00-06:00"],
        "earlier than the issue",
    );
}

#[test]
fn a_record_accepts_its_own_book_only() {
    let bench = Bench::issued();
    let act = ["found", "TW-2041", "10", "crack", "--by"];
    bench.yes(&[&act[..], &["LO"]].concat());
    let rows = last(&bench)["book"].as_str().unwrap().to_owned();
    assert_eq!(rows.len(), 64);
    bench.edit("shop.toml", "title = \"Quarry Lane", "title = \"Another Lane");
    bench.no(&[&act[..], &["LO"]].concat(), "is not the book TW-2041 was issued with");
    bench.edit("shop.toml", "title = \"Another Lane", "title = \"Quarry Lane");
    // The digest is that of the rows: another person's do not change it.
    bench.edit("shop.toml", "name = \"Welder Two\"", "name = \"Welder Too\"");
    bench.yes(&[&act[..], &["LO"]].concat());
    assert_eq!(last(&bench)["book"], rows.as_str());
    bench.edit("shop.toml", "name = \"Lead One\"", "name = \"Lead Uno\"");
    bench.yes(&[&act[..], &["LO"]].concat());
    assert_ne!(last(&bench)["book"], rows.as_str());
    // Gone: nobody, or a lead who says so.
    bench.no(&[&act[..], &["LO", "--without-book"]].concat(), "the shop book is there");
    std::fs::remove_file(bench.path("shop.toml")).unwrap();
    bench.no(&[&act[..], &["LO"]].concat(), "the shop book of TW-2041 is not there");
    bench.no(&[&act[..], &["WO", "--without-book"]].concat(), "may not go on without");
    bench.yes(&[&act[..], &["LO", "--without-book"]].concat());
    assert_eq!(last(&bench)["book"], "without-book");
    let said = bench.yes(&["status", "TW-2041", "--entries"]);
    assert!(said.out.contains("without the shop book"), "{}", said.out);
}

#[test]
fn a_second_reading_stands_beside_the_first_and_a_slip_takes_two_persons() {
    // The pinion of the demonstration is planned at 12.5 deg, 0.5 either way.
    let bench = Bench::issued();
    let place = bench.fill_before("pinion");
    let n = (last(&bench)["n"].as_u64().unwrap() + 1).to_string();
    let measure = |value: &str, by: &str, extra: &[&str]| {
        let args = [&["measure", "TW-2041", &place, value, "--with", "AF-1", "--by", by], extra].concat();
        bench.run(&args)
    };
    let failing = || {
        let status = bench.json(&["status", "TW-2041", "--json"]);
        status["travelers"][0]["failing_readings"].as_array().unwrap().len()
    };
    let said = measure("22.5 deg", "WO", &[]);
    assert!(said.code == 0 && said.out.contains("not conform"), "{}{}", said.out, said.err);
    no(&measure("12.5 deg", "WO", &[]), "--again");
    no(&measure("12.5 deg", "WO", &["--corrects", &n, "--reason", "slip"]), "second person");
    no(&bench.run(&["correct", "TW-2041", &n, "--by", "WO", "--reason", "slip"]), "second person");
    let said = measure("12.5 deg", "WO", &["--again"]);
    assert_eq!(said.code, 0, "{}", said.err);
    assert!(said.out.contains("conform") && said.err.contains("Both readings stand"), "{}", said.err);
    assert_eq!(failing(), 1, "the first one stands");
    // A lead decides, and the reading is named.
    bench.yes(&["found", "TW-2041", &place, "gauge sat on paint", "--by", "WO"]);
    bench.yes(&["dispose", "TW-2041", "F1", "use as is", "--by", "LO", "--reason", "second reading counts"]);
    assert_eq!(failing(), 0);
}

#[test]
fn a_reading_is_never_its_own_target() {
    let bench = Bench::issued();
    let place = bench.fill_before("pinion");
    let first_n = last(&bench)["n"].as_u64().unwrap() + 1;
    let measure = |value: &str, by: &str, extra: &[&str]| {
        let args =
            [&["measure", "TW-2041", &place, value, "--with", "AF-1", "--json", "--by", by], extra].concat();
        bench.json(&args)
    };
    assert_eq!(measure("22.5 deg", "WO", &[])["verdict"], "not conform");
    // Judged by what was planned, not by the wrong value that took its place.
    let second = measure("22.4 deg", "WO", &["--again"]);
    assert_eq!(second["verdict"], "not conform", "{second:#}");
    let corrected =
        measure("22.4 deg", "LO", &["--corrects", &(first_n + 1).to_string(), "--reason", "digit"]);
    assert_eq!(corrected["verdict"], "not conform", "{corrected:#}");
    assert_eq!(measure("12.6 deg", "LO", &["--again"])["verdict"], "conform");
}

#[test]
fn a_slip_of_the_pen_may_be_confirmed_by_somebody_else() {
    let bench = Bench::issued();
    let place = bench.fill_before("pinion");
    let n = (last(&bench)["n"].as_u64().unwrap() + 1).to_string();
    let first = ["measure", "TW-2041", &place, "21.5 deg", "--with", "AF-1", "--by", "WO"];
    bench.yes(&first);
    let right = ["measure", "TW-2041", &place, "12.5 deg", "--with", "AF-1", "--by", "WT"];
    bench.yes(&[&right[..], &["--corrects", &n, "--reason", "digits swapped, seen by WT"]].concat());
    let status = bench.json(&["status", "TW-2041", "--json"]);
    assert!(status["travelers"][0]["failing_readings"].as_array().unwrap().is_empty(), "{status:#}");
}

#[test]
fn tools_that_are_suggested_are_taken() {
    let bench = Bench::issued();
    let place = bench.fill_before("pinion");
    let said = bench.no(&["measure", "TW-2041", &place, "12.5 deg", "--by", "WO"], "names its instrument");
    let offered = said.err.split("column tool: ").nth(1).unwrap().lines().next().unwrap().to_owned();
    let offered: Vec<&str> = offered.split(" or ").map(str::trim).collect();
    assert!(!offered.is_empty());
    for tool in offered {
        let bench = Bench::issued();
        bench.fill_before("pinion");
        bench.yes(&["measure", "TW-2041", &place, "12.5 deg", "--by", "WO", "--with", tool]);
    }
}

/// Whoever tries may own the clock: it opens no more than a few rounds.
#[test]
fn a_clock_that_runs_ahead_opens_no_pin() {
    let mut bench = Bench::new();
    bench.typed(&["key", "pin", "LO", "--pin-stdin"], "4711\n");
    bench.typed(&["key", "pin", "WO", "--by", "LO", "--pin-stdin"], "4711\n1111\n");
    let change = ["key", "pin", "WO", "--pin-stdin"];
    for _ in 0..4 {
        for _ in 0..5 {
            no(&bench.typed(&change, "0000\n2222\n"), "that is not the PIN");
        }
        bench.now += 16 * 60;
    }
    no(&bench.typed(&change, "1111\n2222\n"), "was wrong 20 times");
    bench.now += 24 * 3600;
    no(&bench.typed(&change, "1111\n2222\n"), "L169");
    let lead = ["key", "pin", "WO", "--by", "LO", "--pin-stdin"];
    assert_eq!(bench.typed(&lead, "4711\n3333\n").code, 0);
    assert_eq!(bench.typed(&change, "3333\n2222\n").code, 0);
}

/// A job file is anybody's to write: it makes nobody a lead of a traveler that has
/// a shop book.
#[test]
fn a_job_that_names_its_own_lead_is_not_revised_by_them() {
    let bench = Bench::issued();
    let job = bench.text("job.toml");
    let own = "\n[[person]]\nid = \"X9\"\nname = \"Stranger Nine\"\nrole = [\"lead\"]\n";
    bench.write("job.toml", format!("{job}{own}"));
    bench.no(&["revise", "job.toml", "--by", "X9", "--reason", "mine"], "nobody has the id \"X9\"");
    // Nor by who is one: whoever may release stands in the book.
    let revise = ["revise", "job.toml", "--by", "LO", "--reason", "a new lead, whom LO knows"];
    bench.no(&revise, "Stranger Nine (X9) is lead in the job, and shop.toml has nobody of that id");
    bench.no(&revise, "L326");
    // A role beside those the book gives is no less.
    let more = job.replace("role = [\"welder\", \"fitter\"]", "role = [\"welder\", \"inspector\"]");
    bench.write("job.toml", more);
    bench.no(&revise, "Welder One (WO) is inspector in the job, and is not by shop.toml");
    bench.write("job.toml", format!("{job}{own}"));
    let book = bench.text("shop.toml");
    bench.write("shop.toml", format!("{book}{own}"));
    bench.yes(&revise);
    // What the books say otherwise is told of those who acted.
    bench.yes(&["found", "TW-2041", "10", "crack at the left pad", "--by", "X9"]);
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let verdict = bench.json(&["verify", "travelers/TW-2041/TW-2041-completed.pdf", "--json"]);
    let told = "Stranger Nine (X9) stands in the shop book of rev B, and not in that of rev A";
    assert!(verdict["remarks"].to_string().contains(told), "{verdict:#}");
}

/// With a book of the shop's own a job names no more than customers: others do nothing.
#[test]
fn a_job_beside_a_book_makes_nobody_an_inspector() {
    let bench = Bench::new();
    let job = bench.text("job.toml");
    let person = |id: &str, role: &str| {
        format!("\n[[person]]\nid = \"{id}\"\nname = \"Stranger {id}\"\nrole = [\"{role}\"]\n")
    };
    bench.write("job.toml", format!("{job}{}{}", person("X9", "inspector"), person("X8", "customer")));
    bench.yes(&["issue", "job.toml", "--by", "LO"]);
    let found = |by: &'static str| ["found", "TW-2041", "10", "crack at the left pad", "--by", by];
    bench.no(&found("X9"), "nobody has the id \"X9\"");
    bench.yes(&found("X8"));
}

/// A certificate that ends later than the issue knew, under the same words, is told.
#[test]
fn a_certificate_that_ends_later_than_it_did_is_told() {
    let bench = Bench::issued();
    let book = bench.text("shop.toml");
    let line = book.lines().find(|l| l.starts_with("certificate_until")).unwrap().to_owned();
    bench.edit("shop.toml", &line, "certificate_until = 2031-01-31");
    bench.edit("job.toml", "shackle_new = \"4-1/4 in\"", "shackle_new = \"4-1/2 in\"");
    bench.yes(&["revise", "job.toml", "--by", "LO", "--reason", "longer shackle, asked for by phone"]);
    bench.yes(&["found", "TW-2041", "10", "crack at the left pad", "--by", "IO"]);
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let verdict = bench.json(&["verify", "travelers/TW-2041/TW-2041-completed.pdf", "--json"]);
    let remarks = verdict["remarks"].to_string();
    for part in ["Inspector One (IO): ", "is good until 2031-01-31 by the shop book of rev B, and was until"]
    {
        assert!(remarks.contains(part), "{part}: {verdict:#}");
    }
    let pages = crate::support::pdf::pages(&bench.read("travelers/TW-2041/TW-2041-completed.pdf"));
    assert!(pages.iter().any(|page| page.text().contains("Shopbookchanged")));
}

/// A PIN that was set when the work went on, or written into the book by hand, is told
/// in every entry that rests on it; the journal saw it being set.
#[test]
fn a_pin_set_after_the_issue_is_told() {
    let mut bench = Bench::issued();
    bench.now += 86_400;
    assert_eq!(bench.typed(&["key", "pin", "LO", "--pin-stdin"], "4711\n").code, 0);
    let journal = bench.text("travelers/journal.jsonl");
    assert!(journal.lines().last().unwrap().contains("\"traveler\":\"pin/LO\""), "{journal}");
    // It is no traveler, and the journal still holds for the one there is.
    let said = bench.yes(&["status"]);
    assert!(!said.out.contains("pin/LO") && said.out.contains("TW-2041"), "{}", said.out);
    bench.yes(&["found", "TW-2041", "10", "crack", "--by", "WO"]);
    let decide = |reason: &str, more: &[&str], pin: &str| {
        let args = ["dispose", "TW-2041", "F1", "use as is", "--reason", reason, "--by", "LO", "--pin-stdin"];
        bench.typed(&[&args, more].concat(), pin)
    };
    assert_eq!(decide("old", &[], "4711\n").code, 0);
    assert_eq!(last(&bench)["identified"], "pin, set after the issue, on 2026-03-03");
    // The hash of another PIN, made elsewhere and written in by hand.
    let other = Bench::new();
    assert_eq!(other.typed(&["key", "pin", "LO", "--pin-stdin"], "9999\n").code, 0);
    let hash = |bench: &Bench| {
        let book = bench.text("shop.toml");
        book.lines().find(|l| l.starts_with("pin = ")).unwrap().to_owned()
    };
    bench.edit("shop.toml", &hash(&bench), &hash(&other));
    assert_eq!(decide("mine", &["--corrects", "3"], "9999\n").code, 0);
    assert_eq!(last(&bench)["identified"], "pin, written into the book by hand");
}

/// With the book gone, a lead is who was one when the paper was issued: a job file
/// names nobody.
#[test]
fn without_the_book_nobody_becomes_a_lead_by_the_job() {
    let bench = Bench::new();
    let job = bench.text("job.toml");
    let own = "\n[[person]]\nid = \"X9\"\nname = \"Stranger Nine\"\nrole = [\"lead\"]\n";
    bench.write("job.toml", format!("{job}{own}"));
    bench.yes(&["issue", "job.toml", "--by", "LO"]);
    std::fs::remove_file(bench.path("shop.toml")).unwrap();
    let found = ["found", "TW-2041", "10", "crack", "--without-book", "--by"];
    bench.no(&[&found[..], &["X9"]].concat(), "nobody has the id \"X9\"");
    bench.no(&[&found[..], &["WO"]].concat(), "may not go on without");
}

/// Every late entry is named, and what waits for a lead is said in plain words to
/// whoever has the work in hand.
#[test]
fn status_names_late_entries_and_what_waits_for_a_lead() {
    let mut bench = Bench::issued();
    bench.now += 86_400;
    let found = |what: &str, at: &str| {
        bench.yes(&["found", "TW-2041", "10", &format!("scratch {what}"), "--by", "WO", "--at", at]);
    };
    // Entries 3, 5, 6, 7, 9 and 11 are each from before the one before them.
    for (what, at) in [
        ("a", "2026-03-03T08:00:00+00:00"),
        ("b", "2026-03-03T07:00:00+00:00"),
        ("c", "2026-03-03T08:00:00+00:00"),
        ("d", "2026-03-03T07:30:00+00:00"),
        ("e", "2026-03-03T07:20:00+00:00"),
        ("f", "2026-03-03T07:10:00+00:00"),
        ("g", "2026-03-03T09:00:00+00:00"),
        ("h", "2026-03-03T07:00:00+00:00"),
        ("i", "2026-03-03T09:00:00+00:00"),
        ("j", "2026-03-03T07:00:00+00:00"),
    ] {
        found(what, at);
    }
    let said = bench.yes(&["status", "TW-2041"]).out;
    assert!(said.contains("a clock set back: entries 3, 5 to 7, 9, 11"), "{said}");
    assert!(
        said.contains("waits for a lead: F1 at operation 10, \"scratch a\": a lead decides how it goes on"),
        "{said}"
    );
    let waits = bench.json(&["status", "TW-2041", "--json"])["travelers"][0]["for_lead"].clone();
    assert_eq!(waits.as_array().unwrap().len(), 10, "{waits:#}");
    // A point for which nothing else is missing.
    let bench = Bench::issued();
    bench.fill_before("identity");
    let waits = bench.json(&["status", "TW-2041", "--json"])["travelers"][0]["for_lead"].clone();
    assert_eq!(waits.as_array().map(Vec::len), Some(0), "{waits:#}");
    bench.yes(&["measure", "TW-2041", "10.identity", "UV-7-114, 84 210 mi", "--by", "LO"]);
    bench.yes(&["measure", "TW-2041", "10.faults-in", "none known, none seen", "--by", "LO"]);
    bench.yes(&["tick", "TW-2041", "10", "--by", "LO"]);
    let said = bench.yes(&["status", "TW-2041"]).out;
    assert!(said.contains("nothing else is missing, a lead signs it"), "{said}");
}

#[test]
fn a_pin_taken_out_of_a_copy_of_the_book_is_not_set_as_the_first_one() {
    let bench = Bench::new();
    assert_eq!(bench.typed(&["key", "pin", "LO", "--pin-stdin"], "4711\n").code, 0);
    assert_eq!(bench.typed(&["issue", "job.toml", "--pin-stdin"], "4711\n").code, 0);
    let bare: Vec<String> =
        bench.text("shop.toml").lines().filter(|l| !l.starts_with("pin")).map(str::to_owned).collect();
    bench.write("copy.toml", bare.join("\n"));
    let first = ["key", "pin", "LO", "--shop", "copy.toml", "--pin-stdin"];
    no(&bench.typed(&first, "0000\n"), "LO had a PIN of this shop");
    assert!(!bench.text("copy.toml").contains("pin ="));
    // With the file of tries gone the journal of the travelers may still know it; a shop that
    // begins anew elsewhere is not asked.
    std::fs::create_dir(bench.path("anew")).unwrap();
    bench.write("anew/shop.toml", bare.join("\n"));
    let anew = ["key", "pin", "LO", "--shop", "anew/shop.toml", "--pin-stdin"];
    let said = bench.typed(&anew, "0000\n");
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
}

#[test]
fn a_revision_makes_no_other_unit_of_what_was_worked_on() {
    let bench = Bench::issued();
    bench.yes(&["measure", "TW-2041", "10.identity", "UV-7-114, 84 210 mi", "--by", "LO"]);
    let revise = ["revise", "job.toml", "--by", "LO", "--reason", "as it is called now"];
    let job = bench.text("job.toml");
    for (from, to, part) in [
        ("asset UV-7-114", "asset UV-9-999", "the unit is \"asset UV-9-999\""),
        ("invented = true", "invented = false", "the job was invented"),
    ] {
        bench.write("job.toml", job.replace(from, to));
        let before = bench.everything();
        no(&bench.run(&revise), part);
        no(&bench.run(&revise), "L323");
        assert_eq!(bench.everything(), before, "{part}: something was written");
        bench.write("job.toml", &job);
    }
}

#[test]
fn what_was_found_is_printed_whole() {
    let bench = Bench::issued();
    let long = "old weld at the left rail, ".repeat(60);
    no(&bench.run(&["found", "TW-2041", "20", &long, "--by", "WO"]), "the pages print 1200");
    bench.yes(&["found", "TW-2041", "20", &long[..1100], "--by", "WO"]);
}

#[test]
fn centimetres_beside_inches_are_asked_back() {
    let bench = Bench::issued();
    let place = bench.fill_before("wheelbase-right");
    let left = place.replace("right", "left");
    bench.yes(&["measure", "TW-2041", &left, "117-1/2 in", "--by", "WO", "--with", "TP-2", "--again"]);
    let read = |text: &'static str| ["measure", "TW-2041", &*place, text, "--by", "WO", "--with", "TP-2"];
    no(&bench.run(&read("117.5 cm")), "is in another unit than the other side");
    // The same length in another unit is no slip; and who is sure says so.
    bench.yes(&read("298.5 cm"));
    let sure = [&read("117.5 cm")[..], &["--again", "--sure"]].concat();
    bench.yes(&sure);
}

/// Twenty wrong tries of the only lead do not end the shop: whoever holds the passphrase of
/// the root's key sets another PIN, and everything signed by it says so.
#[test]
fn the_root_key_lets_the_only_lead_in_again() {
    let mut bench = Bench::new();
    assert_eq!(bench.typed(&["key", "new", "--passphrase-fd", "0"], "old iron gate\n").code, 0);
    assert_eq!(bench.typed(&["key", "pin", "LO", "--pin-stdin"], "4711\n").code, 0);
    assert_eq!(bench.typed(&["issue", "job.toml", "--by", "LO", "--pin-stdin"], "4711\n").code, 0);
    let reset = ["key", "reset", "LO", "--pin-stdin", "--passphrase-fd", "0"];
    no(&bench.typed(&reset, "2222\nold iron gate\n"), "is not locked");
    bench.yes(&["found", "TW-2041", "10", "crack at the left pad", "--by", "WO"]);
    let decide = ["dispose", "TW-2041", "F1", "use as is", "--reason", "old", "--by", "LO", "--pin-stdin"];
    // As the tries of a clock that was moved on stand there: deriving a key takes long.
    let wrong = |bench: &Bench, id: &str, times: usize| {
        let line = format!("{{\"at\":\"2026-03-02T13:00:00+00:00\",\"id\":\"{id}\",\"right\":false}}\n");
        bench.write("pin-tries.jsonl", bench.text("pin-tries.jsonl") + &line.repeat(times));
    };
    wrong(&bench, "LO", 20);
    no(&bench.typed(&decide, "4711\n"), "tackwright key reset LO");
    no(&bench.typed(&["key", "reset", "WO", "--pin-stdin", "--passphrase-fd", "0"], "1\n"), "L327");
    // A passphrase is no more to be guessed than a PIN; to give none is no try, and takes none
    // of them back.
    let book = bench.text("shop.toml");
    wrong(&bench, "/root-key", 19);
    no(&bench.typed(&reset, "2222\n"), "L186");
    no(&bench.typed(&reset, "2222\nguessed wrongly\n"), "L187");
    no(&bench.typed(&reset, "2222\nold iron gate\n"), "was wrong 20 times");
    bench.now += 23 * 3600;
    no(&bench.typed(&reset, "2222\nold iron gate\n"), "L328");
    assert_eq!(bench.text("shop.toml"), book);
    bench.now += 2 * 3600;
    let said = bench.typed(&reset, "2222\nold iron gate\n");
    assert_eq!(said.code, 0, "{}{}", said.out, said.err);
    assert!(bench.text("travelers/journal.jsonl").contains("pin/LO/reset"));
    assert!(bench.text("pin-tries.jsonl").lines().last().unwrap().contains("\"by\":\"/root-key/"));
    no(&bench.typed(&decide, "4711\n"), "that is not the PIN");
    assert_eq!(bench.typed(&decide, "2222\n").code, 0);
    let how = last(&bench)["identified"].as_str().unwrap().to_owned();
    assert!(how.contains("set after the issue"), "{how}");
    assert!(how.contains("by the holder of the shop's root key"), "{how}");
    // The note is no traveler and no person's PIN.
    let said = bench.yes(&["status"]);
    assert!(!said.out.contains("LO/reset"), "{}", said.out);
    // Where another lead can let them in, the key does not.
    let other = "\n[[person]]\nid = \"L2\"\nname = \"Lead Two\"\nrole = [\"lead\"]\n";
    bench.write("shop.toml", format!("{}{other}", bench.text("shop.toml")));
    assert_eq!(bench.typed(&["key", "pin", "L2", "--by", "LO", "--pin-stdin"], "2222\n3333\n").code, 0);
    wrong(&bench, "LO", 20);
    no(&bench.typed(&reset, "4444\nold iron gate\n"), "tackwright key pin LO --by L2");
}

//! A word that says all is well, and something found later where it was chosen: the word is
//! read again, or a lead says that it stands. A plan is read by a second person.

use tackwright::app::record::verify::{Holds, verify};
use tackwright::record::entry::{Action, Correction, Entry};
use tackwright::record::fallen::fallen;
use tackwright::record::frozen::{Choice, Frozen, RULES, Reading};
use tackwright::record::state::fold;
use tackwright::term::{Does, Judged, Level, Verdict};

use super::record_attacks::{forged, parts, says, shop_key, trusting};
use super::record_gates::{code, entry, read, tick};
use super::record_held::{ask, decided, found, plan, welded, work};
use crate::support::bench::Bench;

/// Fit up with two words, and whatever is behind it; the last of it lets the unit go.
fn words(rules: u32) -> Frozen {
    let word = |word: &str, does: Does| Choice { word: word.to_owned(), does, ..Choice::default() };
    let reading = |id: &str| Reading {
        id: id.to_owned(),
        level: Some(Level::Safety),
        choices: vec![word("sound", Does::Conforms), word("cracked", Does::Found)],
        ..Reading::default()
    };
    let mut plan = Frozen { rules, ..plan() };
    plan.operations[0].steps[0].readings.extend([reading("frame"), reading("gear")]);
    plan.operations[3].steps[0].readings.push(reading("seat"));
    plan.operations[3].follows = vec!["fit".to_owned()];
    plan.operations[3].lets_go = true;
    let goes = plan.operations.remove(3);
    plan.operations.insert(1, goes);
    plan
}

fn said(n: u64, time: &str, key: &str, id: &str, word: &str) -> Entry {
    let mut what = read(key, id, 1.0);
    if let Action::Measure { reading } = &mut what {
        (reading.kind, reading.value) = (None, None);
        word.clone_into(&mut reading.text);
        let fine = if word == "sound" { Verdict::Conform } else { Verdict::NotConform };
        reading.verdict = Judged::Decided(fine);
    }
    entry(n, time, "F1", what)
}

/// Fitted and welded, both words said, then something found there and decided.
fn log(reading: Option<&str>, disposition: &str) -> Vec<Entry> {
    let mut log = welded();
    log.truncate(2);
    log.extend([
        said(3, "08:10", "fit", "frame", "sound"),
        said(4, "08:10", "fit", "gear", "sound"),
        entry(5, "08:15", "F1", tick("fit", None)),
        found(6, "09:00", "fit", reading),
        decided(7, "09:10", disposition),
    ]);
    log
}

fn open(plan: &Frozen, log: &[Entry]) -> Vec<String> {
    ask(plan, log, "02T12:00", |s| s.not_put_right().map(|one| one.words).collect())
}

fn with(mut log: Vec<Entry>, more: impl IntoIterator<Item = Entry>) -> Vec<Entry> {
    log.extend(more);
    log
}

#[test]
fn a_word_beside_what_was_found_later_is_in_question() {
    let plan = words(RULES);
    let all = log(None, "use as is");
    let said_of = open(&plan, &all);
    assert_eq!(said_of.len(), 2, "{said_of:?}");
    assert!(
        said_of[0].starts_with("F1 was found where 10.frame, \"sound\" was chosen before"),
        "{said_of:?}"
    );
    assert_eq!(open(&words(9), &all), Vec::<String>::new(), "an old plan is kept by the rules of its day");
    // The unit goes only then, and the way out is both: read again, or a lead's word.
    let go = |log: &[Entry]| work(&plan, log, "12:00", "beside");
    code(go(&all), "L308", "operation 40 must wait");
    code(go(&all), "L308", "tackwright measure T-1 10.frame");
    code(go(&all), "L308", "--words-stand --corrects 7 --by LO");
    // Read again after it, one by one.
    let again = with(all.clone(), [said(8, "09:20", "fit", "frame", "sound")]);
    assert_eq!(open(&plan, &again).len(), 1);
    let both = with(again, [said(9, "09:20", "fit", "gear", "sound")]);
    assert_eq!(open(&plan, &both), Vec::<String>::new());
    go(&both).unwrap();
    // Entered later, and stated to be of before it was found: nobody looked again.
    let late = with(
        all.clone(),
        [said(8, "08:20", "fit", "frame", "sound"), said(9, "09:20", "fit", "gear", "sound")],
    );
    assert_eq!(open(&plan, &late).len(), 1);
    // A slip of the pen, or one after the other, says again what was seen then.
    let slip = |n: u64, of: u64| Entry {
        corrects: Some(Correction { entry: of, reason: "wrong box".to_owned() }),
        ..said(n, "09:20", "fit", "frame", "sound")
    };
    assert_eq!(open(&plan, &with(all.clone(), [slip(8, 3)])).len(), 2);
    assert_eq!(open(&plan, &with(all.clone(), [slip(8, 3), slip(9, 8)])).len(), 2);
    let looked = with(all.clone(), [said(8, "09:20", "fit", "frame", "sound"), slip(9, 8)]);
    assert_eq!(open(&plan, &looked).len(), 1);
    // A lead says that they stand.
    let mut stand = decided(8, "09:30", "use as is");
    if let Action::Disposition { words_stand, .. } = &mut stand.what {
        *words_stand = true;
    }
    let stands = with(all.clone(), [stand]);
    assert_eq!(open(&plan, &stands), Vec::<String>::new());
    go(&stands).unwrap();
}

#[test]
fn what_was_found_puts_no_other_place_in_question() {
    let plan = words(RULES);
    // One that names a reading speaks of that alone; a number has its limits.
    assert_eq!(open(&plan, &log(Some("frame"), "use as is")).len(), 1);
    assert_eq!(open(&plan, &log(Some("caster.left"), "use as is")), Vec::<String>::new());
    // At another operation nothing is asked.
    let elsewhere = with(
        welded(),
        [
            said(4, "09:10", "fit", "frame", "sound"),
            found(5, "09:20", "weld", None),
            decided(6, "09:30", "use as is"),
        ],
    );
    assert_eq!(open(&plan, &elsewhere), Vec::<String>::new());
    // Found first and looked at then: that is what the word says.
    let before = with(
        welded(),
        [
            found(4, "09:05", "fit", None),
            decided(5, "09:10", "use as is"),
            said(6, "09:20", "fit", "frame", "sound"),
        ],
    );
    assert_eq!(open(&plan, &before), Vec::<String>::new());
    // As long as nobody decided, it is shut by what was found itself, once.
    let mut undecided = log(None, "use as is");
    undecided.pop();
    assert_eq!(open(&plan, &undecided), Vec::<String>::new());
    code(work(&plan, &undecided, "12:00", "beside"), "L122", "F1");
    assert_eq!(fold(&undecided).questioned(&plan).len(), 2, "the pages say it all the same");
}

#[test]
fn a_point_signed_over_a_word_in_question_no_longer_holds() {
    let plan = words(RULES);
    let mut all = with(log(None, "use as is"), [entry(7, "09:20", "F1", tick("weld", None))]);
    let sign = Action::Sign {
        identified: "pin".to_owned(),
        meaning: String::new(),
        operation: super::record_gates::at("accept"),
        point: "H1".to_owned(),
        rests_on: Vec::new(),
        slot: "after.1".to_owned(),
    };
    // Signed before it was found.
    let signed = Entry { n: 4, ..entry(4, "08:30", "IO", sign) };
    all.insert(4, signed);
    for (one, n) in all.iter_mut().zip(1..) {
        one.n = n;
    }
    all[4].by.role = "inspector".to_owned();
    let said = fallen(&plan, &fold(&all), &[]);
    assert!(said.len() == 1 && said[0].words().contains("is in question"), "{said:?}");
}

#[test]
fn a_word_in_question_is_told_by_every_command_and_on_the_pages() {
    let bench = Bench::issued();
    bench.yes(&["measure", "TW-2041", "10.faults-in", "none known, none seen", "--by", "LO"]);
    bench.yes(&["found", "TW-2041", "10", "crack in the left rail, hidden by mud", "--by", "LO"]);
    let dispose = |more: &[&'static str]| {
        let own =
            ["dispose", "TW-2041", "F1", "use as is", "--by", "LO", "--reason", "shallow, outside the work"];
        own.iter().copied().chain(more.iter().copied()).collect::<Vec<_>>()
    };
    let said = bench.yes(&dispose(&[]));
    assert!(
        said.err.contains("IN QUESTION") && said.err.contains("10.faults-in"),
        "{}{}",
        said.out,
        said.err
    );
    let status = bench.json(&["status", "TW-2041", "--json"]);
    let told = "F1 was found where 10.faults-in, \"none known, none seen\" was chosen before";
    for key in ["open", "for_lead"] {
        assert!(
            status["travelers"][0][key].to_string().contains(&told.replace('"', "\\\"")),
            "{key}: {status:#}"
        );
    }
    let boxes = bench.json(&["status", "TW-2041", "--boxes", "--json"]);
    let boxes = boxes["travelers"][0]["boxes"].as_array().unwrap();
    let own = boxes.iter().find(|b| b["typed"] == "10.faults-in").unwrap();
    assert!(own["done"]["no_longer_holds"].as_str().unwrap().contains("in question"), "{own:#}");
    let record = || forged(&parts(&bench), Some(&shop_key()));
    let text = |bytes: &[u8]| -> String {
        crate::support::pdf::pages(bytes).iter().map(crate::support::pdf::Page::text).collect()
    };
    let asked = record();
    let verdict = verify(&asked, &trusting(&shop_key()));
    assert_eq!(verdict.holds(), Holds::NotClosed, "{verdict:#?}");
    assert!(verdict.open.iter().any(|o| o.starts_with("Word in question")), "{verdict:#?}");
    for part in ["Wordinquestion", "INQUESTION:chosenbeforeF1wasfoundhere"] {
        assert!(text(&asked).contains(part), "{part}");
    }
    // A lead says that it stands: that is printed too.
    bench.yes(&dispose(&["--words-stand", "--corrects", "4"]));
    let status = bench.json(&["status", "TW-2041", "--json"]);
    assert!(!status.to_string().contains("was chosen before"), "{status:#}");
    let stands = text(&record());
    assert!(stands.contains("standsbesideF1bythelead") && !stands.contains("INQUESTION"), "not told");
    assert!(stands.contains("Thewordschosentherebeforestand"), "not among the exceptions");
    // Nothing stands where nothing was chosen.
    bench.yes(&["found", "TW-2041", "20", "tyre of another size", "--by", "LO"]);
    let other = [
        "dispose",
        "TW-2041",
        "F2",
        "use as is",
        "--by",
        "LO",
        "--reason",
        "same rolling radius",
        "--words-stand",
    ];
    bench.no(&other, "L307");
}

#[test]
fn a_plan_is_read_by_somebody_else_than_issued_it_where_there_is_one() {
    let sign = |by: &'static str| ["sign", "TW-2041", "R1", "--as", "lead", "--by", by];
    let read = |bench: &Bench| {
        bench.yes(&["measure", "TW-2041", "10.identity", "UV-7-114, 84 210 mi", "--by", "LO"]);
        bench.yes(&["measure", "TW-2041", "10.faults-in", "none known, none seen", "--by", "LO"]);
        bench.yes(&["tick", "TW-2041", "10", "--by", "LO"]);
    };
    let text = |bytes: &[u8]| -> String {
        crate::support::pdf::pages(bytes).iter().map(crate::support::pdf::Page::text).collect()
    };
    // The one lead of the shop: taken, and told wherever a reader looks.
    let bench = Bench::issued();
    read(&bench);
    let said = bench.yes(&sign("LO"));
    let told = "R1 is signed by Lead One, who issued it: no second person read it";
    assert!(said.err.contains(told), "{}{}", said.out, said.err);
    let record = forged(&parts(&bench), Some(&shop_key()));
    assert!(text(&record).contains("Nosecondpersonreadtheplan"), "not among the exceptions");
    assert!(says(&verify(&record, &trusting(&shop_key())), told));
    // With another lead in the book: that one reads it.
    let bench = Bench::new();
    let row = "\n[[person]]\nid = \"LT\"\nname = \"Lead Two\"\nrole = [\"lead\"]\nstamp = \"02\"\ninitials = \"LT\"\n\n[[person]]\nid = \"WO\"";
    bench.edit("shop.toml", "\n[[person]]\nid = \"WO\"", row);
    bench.yes(&["issue", "job.toml", "--by", "LO"]);
    read(&bench);
    let said = bench.no(&sign("LO"), "L306");
    assert!(said.err.contains("--by LT"), "{}", said.err);
    let said = bench.yes(&sign("LT"));
    assert!(!said.err.contains("no second person"), "{}", said.err);
    let record = forged(&parts(&bench), Some(&shop_key()));
    assert!(!text(&record).contains("Nosecondpersonreadtheplan"));
}

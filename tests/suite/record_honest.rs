//! What would make a yes of a no: a value walked into its limits, a decision dated before
//! what it decides, one photo of two things, a copy under another number, a report nobody
//! can find again, a test by who is not certified.

use serde_json::Value as Json;
use tackwright::record::agree;
use tackwright::record::frozen::{Choice, RULES, Reading};
use tackwright::term::{Does, Method};

use crate::support::bench::Bench;

fn entries(bench: &Bench) -> Vec<Json> {
    let log = bench.text("travelers/TW-2041/log.jsonl");
    log.lines().map(|l| serde_json::from_str::<Json>(l).unwrap()["entry"].clone()).collect()
}

fn last(bench: &Bench) -> u64 {
    entries(bench).last().unwrap()["n"].as_u64().unwrap()
}

/// What `verify` says beside the checks of the record as it stands.
fn remarks(bench: &Bench) -> String {
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let verdict = bench.json(&["verify", "travelers/TW-2041/TW-2041-completed.pdf", "--json"]);
    assert_eq!(verdict["holds"], "not-closed", "{verdict:#}");
    verdict["remarks"].to_string()
}

#[test]
fn a_value_is_not_walked_into_its_limits() {
    let bench = Bench::issued();
    let place = bench.fill_before("pinion");
    let measure = |value: &str, by: &str, corrects: u64| {
        let n = corrects.to_string();
        let mut args = vec!["measure", "TW-2041", &place, value, "--with", "AF-1", "--by", by];
        if corrects > 0 {
            args.extend(["--corrects", &n, "--reason", "misread the finder"]);
        }
        args.into_iter().map(str::to_owned).collect::<Vec<_>>()
    };
    let yes = |args: &[String]| bench.yes(&args.iter().map(String::as_str).collect::<Vec<_>>());
    // Planned 12.5 deg, 0.5 either way.
    yes(&measure("15.5 deg", "WO", 0));
    let first = last(&bench);
    yes(&measure("14.5 deg", "WT", first));
    let again = measure("12.5 deg", "WO", first + 1);
    let again: Vec<&str> = again.iter().map(String::as_str).collect();
    let said = bench.no(&again, "L260");
    assert!(said.err.contains("--again"), "{}", said.err);
    // Read again, and both stand.
    bench.yes(&[&again[..8], &["--again"]].concat());
    let status = bench.json(&["status", "TW-2041", "--json"]);
    assert_eq!(status["travelers"][0]["failing_readings"].as_array().unwrap().len(), 1, "{status:#}");
}

#[test]
fn a_verdict_that_was_corrected_is_told() {
    let bench = Bench::issued();
    let place = bench.fill_before("pinion");
    let first = ["measure", "TW-2041", &place, "21.5 deg", "--with", "AF-1", "--by", "WO"];
    bench.yes(&first);
    let n = last(&bench).to_string();
    let right = ["measure", "TW-2041", &place, "12.5 deg", "--with", "AF-1", "--by", "WT"];
    bench.yes(&[&right[..], &["--corrects", &n, "--reason", "digits swapped, seen by WT"]].concat());
    let told = remarks(&bench);
    let said = format!(
        "{place} was read as 21.5 deg, not conform (entry {n}), and put right as a slip of the pen to 12.5 deg, conform"
    );
    assert!(told.contains(&said), "{told}");
    // The first page of the record says so as well.
    assert!(told.contains("1 reading was outside a limit as first written"), "{told}");
}

#[test]
fn what_is_decided_was_found_before() {
    let mut bench = Bench::issued();
    bench.now += 3 * 3600;
    bench.yes(&["found", "TW-2041", "10", "crack at the old bracket", "--by", "WO"]);
    let decide = ["dispose", "TW-2041", "F1", "use as is", "--by", "LO", "--reason", "ground out, 1 mm deep"];
    // Two hours before it was found, and after the issue.
    bench.no(&[&decide[..], &["--at", "2026-03-02T15:00:00Z"]].concat(), "L262");
    bench.yes(&decide);
}

fn picture(bench: &Bench, name: &str, shade: u8) {
    let picture =
        image::RgbImage::from_fn(320, 240, |x, y| image::Rgb([(x % 251) as u8, (y % 241) as u8, shade]));
    picture.save(bench.path(name)).unwrap();
}

#[test]
fn one_photo_is_not_found_and_left() {
    let bench = Bench::issued();
    picture(&bench, "a.png", 10);
    picture(&bench, "b.png", 90);
    let photo = |file: &'static str, shows: &'static str| {
        ["photo", "TW-2041", "10", file, "--shows", shows, "--by", "LO"]
    };
    bench.yes(&photo("a.png", "as-found"));
    // What is as left was worked on.
    bench.no(&photo("b.png", "as-left"), "L357");
    bench.fill_before("running-gear");
    bench.no(&photo("a.png", "as-left"), "L261");
    bench.yes(&photo("b.png", "as-left"));
    // One picture of two conditions may be true; it is told.
    bench.yes(&["found", "TW-2041", "10", "old gusset bent", "--photo", "a.png", "--by", "LO"]);
    bench.yes(&["found", "TW-2041", "10", "old bracket cracked", "--photo", "a.png", "--by", "LO"]);
    let told = remarks(&bench);
    assert!(told.contains("was filed for 10 as found before: one picture shows both"), "{told}");
}

#[test]
fn a_copy_under_another_number_takes_no_entry() {
    let bench = Bench::issued();
    std::fs::create_dir(bench.path("travelers/TW-2099")).unwrap();
    std::fs::create_dir(bench.path("travelers/TW-2099/A")).unwrap();
    for file in ["log.jsonl", "shop-book"] {
        bench.write(&format!("travelers/TW-2099/{file}"), bench.read(&format!("travelers/TW-2041/{file}")));
    }
    for entry in std::fs::read_dir(bench.path("travelers/TW-2041/A")).unwrap() {
        let entry = entry.unwrap();
        std::fs::copy(entry.path(), bench.path("travelers/TW-2099/A").join(entry.file_name())).unwrap();
    }
    let measure = |number| ["measure", number, "10.identity", "UV-7-114, 84 210 mi", "--by", "LO"];
    bench.no(&measure("TW-2099"), "L263");
    let status = bench.run(&["status"]);
    assert!(status.code == 1 && status.out.contains("not its name"), "{}", status.out);
    bench.yes(&measure("TW-2041"));
}

#[test]
fn a_word_that_rests_on_a_paper_names_it() {
    let word = |word: &str, paper| Choice { word: word.to_owned(), paper, ..Choice::default() };
    let choices = vec![
        Choice { tests: vec![Method::Penetrant], ..word("clear", false) },
        word("by report", true),
        Choice { does: Does::Found, ..word("indication", false) },
    ];
    let reading =
        Reading { id: "cracks".to_owned(), label: "crack test".to_owned(), choices, ..Reading::default() };
    for bare in ["by report", "By Report: ", "by report: n/a", "by report: seen", "by report, -"] {
        let said = agree::choose(&reading, bare, RULES).unwrap_err();
        assert_eq!(said.code, "L264", "{bare}: {}", said.message);
        assert!(said.help.iter().any(|h| h.contains("by report: NUMBER, DATE")), "{:?}", said.help);
    }
    let named = agree::choose(&reading, "BY REPORT  PT-114 of 2026-03-01", RULES).unwrap();
    assert_eq!(named, Some(("by report: PT-114 of 2026-03-01".to_owned(), Does::Conforms)));
    // As it is kept, it is the same when it is read again.
    assert_eq!(agree::choose(&reading, "by report: PT-114 of 2026-03-01", RULES).unwrap(), named);
    assert!(agree::tests(&reading, "by report: PT-114").is_empty());
    // Other words carry nothing behind them.
    for other in ["clear: PT-114", "by reports 7", "clear 7"] {
        assert_eq!(agree::choose(&reading, other, RULES).unwrap_err().code, "L173", "{other}");
    }
}

/// Every word of the library that rests on a report or on somebody's word elsewhere names it.
#[test]
fn words_of_the_library_that_rest_on_papers_name_them() {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("templates/procedures");
    let mut named = 0;
    for file in std::fs::read_dir(folder).unwrap() {
        let text = std::fs::read_to_string(file.unwrap().path()).unwrap();
        for row in text.split("word = \"").skip(1) {
            let (word, rest) = row.split_once('"').unwrap();
            let rests = ["report", "maker's word", "rules read"].iter().any(|part| word.contains(part));
            let paper = rest.split('}').next().unwrap().contains("paper = true");
            assert_eq!(rests, paper, "\"{word}\"");
            named += usize::from(paper);
        }
    }
    assert!(named > 9, "{named}");
}

#[test]
fn a_waived_tester_has_an_entry_of_its_own() {
    let bench = Bench::issued();
    let second = "[[person]]\nid = \"I2\"\nname = \"Inspector Two\"\nrole = [\"inspector\"]\n\n[[person]]";
    bench.edit("shop.toml", "[[person]]", second);
    let plan: Json = serde_json::from_slice(&bench.read("travelers/TW-2041/A/plan.json")).unwrap();
    let tested = |operation: &&Json| operation.to_string().contains("\"tests\":[");
    let operation = plan["operations"].as_array().unwrap().iter().find(tested).unwrap();
    let readings =
        operation["steps"].as_array().unwrap().iter().flat_map(|s| s["readings"].as_array().unwrap());
    let id =
        readings.filter(|r| r.to_string().contains("\"tests\":[")).map(|r| r["id"].as_str().unwrap()).next();
    let place = format!("{}.{}", operation["number"], id.unwrap());
    let waive = |what: &str, tester: &str, by: &str, reason: &str| {
        ["waive", "TW-2041", what, "--tester", tester, "--by", by, "--reason", reason].map(str::to_owned)
    };
    let no = |args: [String; 9], part: &str| bench.no(&args.each_ref().map(String::as_str), part);
    no(waive(&place, "WT", "WO", "card on its way"), "L104");
    // Whom nothing would help: a welder does not read there at all.
    no(waive(&place, "WT", "LO", "card on its way"), "L104");
    no(waive(&place, "LO", "LO", "card on its way"), "L266");
    no(waive(&place, "I2", "LO", "-"), "L155");
    no(waive("10.identity", "WT", "LO", "card on its way"), "L265");
    bench.yes(&waive(&place, "I2", "LO", "card on its way").each_ref().map(String::as_str));
    let entry = entries(&bench).pop().unwrap();
    assert_eq!((&entry["what"]["act"], &entry["by"]["id"]), (&"tester-waived".into(), &"LO".into()));
    assert_eq!(entry["what"]["tester"]["id"], "I2");
    let told = remarks(&bench);
    assert!(
        told.contains(&format!("lets Inspector Two test {place} without a certificate: card on its way")),
        "{told}"
    );
    assert!(told.contains("1 test was made without a certificate"), "{told}");
    // Taken back like any entry.
    let n = last(&bench).to_string();
    bench.yes(&["correct", "TW-2041", &n, "--by", "LO", "--reason", "I2 does not test"]);
}

/// A file attached to a record beside what belongs to it, as a reader lists it.
fn attached(record: &[u8], spec: impl Fn(lopdf::ObjectId) -> lopdf::Dictionary) -> String {
    let mut file = lopdf::Document::load_mem(record).unwrap();
    let stream = lopdf::Stream::new(lopdf::Dictionary::new(), b"{}".to_vec());
    let stream = file.add_object(stream);
    let listed = lopdf::Object::Array(vec![lopdf::Object::Dictionary(spec(stream))]);
    file.catalog_mut().unwrap().set("AF", listed);
    let mut out = Vec::new();
    file.save_to(&mut out).unwrap();
    match tackwright::app::record::pdf::attachments(&out) {
        Ok(files) => files.into_keys().collect::<Vec<_>>().join(" "),
        Err(why) => why,
    }
}

#[test]
fn a_second_log_is_found_however_it_is_attached() {
    let record = &crate::signature_records::signed().1;
    let named = |keys: &'static [(&'static str, &'static str)]| {
        move |stream: lopdf::ObjectId| {
            let mut files = lopdf::Dictionary::new();
            files.set("F", lopdf::Object::Reference(stream));
            let mut spec = lopdf::Dictionary::new();
            spec.set("EF", files);
            for (key, name) in keys {
                spec.set(*key, lopdf::Object::string_literal(*name));
            }
            spec
        }
    };
    // Inside another object, and without saying what it is (ISO 32000-1, 7.11.3: Type is optional).
    assert!(attached(record, named(&[("UF", "log.jsonl")])).contains("two attachments are called"));
    assert!(attached(record, named(&[("F", "log.jsonl")])).contains("two attachments are called"));
    let two = attached(record, named(&[("F", "log.jsonl"), ("UF", "note.txt")]));
    assert!(two.contains("is called \"note.txt\" and \"log.jsonl\""), "{two}");
    // Other letters are another file, which no log names.
    assert!(attached(record, named(&[("UF", "Log.jsonl")])).contains("Log.jsonl"));
}

//! What somebody might try on a record, and what shows it. The table in
//! `DEVELOPERS.md` lists the same attacks.

use std::collections::BTreeMap;
use std::path::Path;
use std::process::{Command, Stdio};
use std::sync::{Arc, OnceLock};

use serde_json::{Value as Json, json};
use tackwright::app::record::completed::{self, Parts};
use tackwright::app::record::verify::{Holds, Looked, Outcome, Trust, Verdict, verify};
use tackwright::app::record::{pdf, whole};
use tackwright::record::line::{NO_ENTRY, canonical};
use tackwright::record::sha256;
use tackwright::seal::identity::Identity;

use crate::support::bench::Bench;
use crate::support::keys::identity;
use crate::support::program::Left;

pub(crate) fn shop_key() -> Identity {
    identity("Shop", 1, false)
}

pub(crate) fn strangers_key() -> Identity {
    identity("Stranger", 2, false)
}

pub(crate) fn trusting(key: &Identity) -> Trust {
    Trust { named: key.root().into_iter().collect(), ..Trust::default() }
}

/// A traveler that was issued, with a few entries.
pub(crate) fn issued() -> Bench {
    static LEFT: OnceLock<Left> = OnceLock::new();
    Bench::like(&LEFT, |bench| {
        bench.yes(&["issue", "job.toml"]);
        bench.yes(&["measure", "TW-2041", "10.identity", "UV-7-114, 84 210 mi", "--by", "LO"]);
        bench.yes(&["tick", "TW-2041", "10", "--by", "LO"]);
    })
}

/// What a completed record of the bench's traveler is made from.
pub(crate) fn parts(bench: &Bench) -> Parts {
    let place = "travelers/TW-2041";
    let file = |name: &str| (name.to_owned(), bench.read(&format!("{place}/A/{name}")));
    Parts {
        files: completed::ATTACHED.iter().map(|name| file(name)).collect(),
        manifest: bench.read(&format!("{place}/A/manifest.json")),
        log: bench.read(&format!("{place}/log.jsonl")).into(),
        photos: BTreeMap::new(),
        earlier: BTreeMap::new(),
    }
}

/// A log with every hash right, whatever its entries say.
pub(crate) fn log_of(entries: &[Json]) -> Arc<[u8]> {
    let mut prev = NO_ENTRY.to_owned();
    let mut text = String::new();
    for (entry, n) in entries.iter().zip(1_u64..) {
        let mut entry = entry.clone();
        entry["prev"] = prev.into();
        entry["n"] = n.into();
        // Whoever writes one anew knows that an entry has both.
        if n > 1 {
            for (key, own) in [("clock", entry["at"].clone()), ("book", "0".repeat(64).into())] {
                if entry[key].is_null() {
                    entry[key] = own;
                }
            }
        }
        let body = canonical(&entry);
        prev = sha256(body.as_bytes());
        text.push_str(&format!("{{\"entry\":{body},\"hash\":\"{prev}\"}}\n"));
    }
    text.into_bytes().into()
}

pub(crate) fn entries(log: &[u8]) -> Vec<Json> {
    let text = std::str::from_utf8(log).unwrap();
    text.lines().map(|l| serde_json::from_str::<Json>(l).unwrap()["entry"].clone()).collect()
}

/// A record somebody makes with this program and a key of his own.
pub(crate) fn forged(parts: &Parts, key: Option<&Identity>) -> Vec<u8> {
    completed::render(parts, key).unwrap_or_else(|e| panic!("{}", e.words())).bytes
}

fn closing() -> Json {
    json!({
        "at": "2026-03-02T15:00:00+00:00", "clock": "2026-03-02T15:00:00+00:00",
        "by": { "id": "LO", "name": "Lead One", "role": "lead" },
        "what": { "act": "closed", "follow_ups": [], "identified": "not by PIN: the book has none" },
    })
}

pub(crate) fn says(verdict: &Verdict, part: &str) -> bool {
    verdict.remarks.iter().chain(verdict.looked.iter().map(|l| &l.words)).any(|w| w.contains(part))
}

#[test]
fn a_log_with_nothing_done_is_not_complete() {
    let bench = issued();
    let mut parts = parts(&bench);
    let mut all = entries(&parts.log);
    all.truncate(1);
    all.push(closing());
    parts.log = log_of(&all);
    for key in [None, Some(strangers_key()), Some(shop_key())] {
        let verdict = verify(&forged(&parts, key.as_ref()), &trusting(&shop_key()));
        assert_eq!(verdict.holds(), Holds::OpenPoints, "{verdict:#?}");
        assert!(verdict.open.len() > 60 && !verdict.accepted(), "{}", verdict.open.len());
    }
    bench.no(&["close", "TW-2041", "--by", "LO", "--follow-up", "2026-04-02"], "can't be closed");
}

#[test]
fn an_entry_no_rule_would_take_is_told() {
    let bench = issued();
    let plan: Json = serde_json::from_slice(&bench.read("travelers/TW-2041/A/plan.json")).unwrap();
    let operations = plan["operations"].as_array().unwrap();
    let limited = |o: &Json| {
        o["steps"]
            .as_array()
            .unwrap()
            .iter()
            .flat_map(|s| s["readings"].as_array().unwrap().clone())
            .find(|r| r["limits"]["upper"]["si"].is_number() && r["limits"]["kind"] == "length")
    };
    // Behind the first hold, which nobody signed.
    let hold = |o: &Json| {
        let points = ["before", "after"].map(|at| o[at].as_array().unwrap().clone()).concat();
        points.iter().any(|p| p["kind"] == "hold")
    };
    let held = operations.iter().position(hold).unwrap() + 1;
    let early = operations[held..].iter().find(|o| limited(o).is_some()).unwrap();
    let reading = limited(early).unwrap();
    let by = json!({ "id": "WO", "name": "Welder One", "role": early["role"] });
    let at = json!({ "key": early["key"], "number": early["number"] });
    let measured = json!({
        "act": "measure",
        "reading": {
            "kind": "length", "lower": "-10", "upper": "10", "guard": "0", "operation": at, "reading": reading["id"],
            "text": "9 m", "tool": "CA-1", "value": "9", "verdict": "conform",
        },
    });
    let last = operations
        .iter()
        .rev()
        .find(|o| o["deferred"] == false && !o["after"].as_array().unwrap().is_empty())
        .unwrap();
    let point = &last["after"][0];
    let signed = json!({
        "act": "sign", "identified": "not by PIN: the book has none", "meaning": point["meaning"], "point": point["number"],
        "slot": point["slot"], "operation": { "key": last["key"], "number": last["number"] },
    });
    let nowhere = json!({ "act": "tick", "operation": { "key": "front/none", "number": 5 }, "step": 1 });
    let before =
        json!({ "act": "tick", "operation": { "key": operations[0]["key"], "number": 10 }, "step": 1 });
    for (what, role, time, part) in [
        (
            measured,
            by["role"].clone(),
            "2026-03-02T15:00:00+00:00",
            "was judged by other limits than the plan has",
        ),
        (signed, point["roles"][0].clone(), "2026-03-02T15:00:00+00:00", "is not signed"),
        (nowhere, "lead".into(), "2026-03-02T15:00:00+00:00", "the plan has no operation"),
        (before, "lead".into(), "2026-02-01T15:00:00+00:00", "earlier than the issue"),
    ] {
        let mut parts = parts(&bench);
        let mut all = entries(&parts.log);
        all.truncate(1);
        all.push(
            json!({ "at": time, "by": { "id": "WO", "name": "Welder One", "role": role }, "what": what }),
        );
        parts.log = log_of(&all);
        let verdict = verify(&forged(&parts, Some(&shop_key())), &trusting(&shop_key()));
        assert!(says(&verdict, part), "{part}: {verdict:#?}");
        assert!(verdict.holds() <= Holds::AgainstRules, "{part}: {verdict:#?}");
    }
}

#[test]
fn the_first_line_names_whose_key_it_is() {
    let bench = issued();
    let parts = parts(&bench);
    // Not closed: nothing better is said, whoever sealed it.
    let show = identity("Shop", 3, true);
    for (key, sealed, named, demonstration) in [
        (None, false, false, false),
        (Some(shop_key()), true, true, false),
        (Some(strangers_key()), true, false, false),
        (Some(show), false, false, true),
    ] {
        let verdict = verify(&forged(&parts, key.as_ref()), &trusting(&shop_key()));
        assert_eq!(verdict.holds(), Holds::NotClosed, "{verdict:#?}");
        let found = (verdict.sealed, verdict.by_named, verdict.demonstration);
        assert_eq!(found, (sealed, named, demonstration), "{verdict:#?}");
    }
    // The order is that of trust.
    assert!(Holds::Altered < Holds::AgainstRules && Holds::NotSealed < Holds::Demonstration);
    assert!(Holds::Demonstration < Holds::SealedByOther && Holds::SealedByOther < Holds::SealedByNamed);
    // Closed and complete, that order is what is said, and 0 is for the last alone.
    for (sealed, demonstration, by_named, holds, accepted, unsealed) in [
        (false, false, false, Holds::NotSealed, false, true),
        (false, true, false, Holds::Demonstration, false, true),
        (true, false, false, Holds::SealedByOther, false, false),
        (true, false, true, Holds::SealedByNamed, true, true),
    ] {
        let looked = vec![Looked { outcome: Outcome::Good, words: String::new() }];
        let closed = Verdict { record: true, by_rules: true, closed: true, looked, ..Verdict::default() };
        let verdict = Verdict { sealed, demonstration, by_named, ..closed };
        assert_eq!((verdict.holds(), verdict.accepted()), (holds, accepted));
        assert_eq!(verdict.sentence(), holds.sentence());
        // What was let be stands in the same line, and changes nothing else.
        let let_be = vec!["F1 at operation 10: left as it is".to_owned(); 2];
        let with = Verdict { let_be, ..verdict.clone() };
        assert!(with.sentence().starts_with("COMPLETE WITH 2 MATTERS LET BE, "), "{}", with.sentence());
        assert_eq!((with.holds(), with.accepted()), (holds, accepted));
        assert_eq!(Verdict { unsealed: true, ..verdict }.accepted(), unsealed, "{holds:?}");
    }
}

/// The completed record of the demonstration as an earlier version made it.
fn earlier() -> Vec<u8> {
    std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/records/whole-book.pdf")).unwrap()
}

/// The key of that record, as its text names it: published (RFC 8032, 7.1, test 1).
const OLD: &str = "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a";

#[test]
fn a_published_key_vouches_for_nothing_whoever_names_it() {
    let record = earlier();
    let named = Trust { named: [OLD.to_owned()].into(), ..Trust::default() };
    for trust in [named, Trust::default(), Trust { unsealed: true, ..Trust::default() }] {
        let verdict = verify(&record, &trust);
        assert!(verdict.demonstration && !verdict.sealed, "{verdict:#?}");
        assert_eq!(verdict.holds(), Holds::PagesNotShown, "{verdict:#?}");
        assert!(!verdict.accepted());
    }
}

#[test]
fn a_record_of_another_version_is_taken_by_the_named_key_only() {
    // Sealed with a random Ed25519 key before the shop's signature was one any
    // reader knows; the work was going on.
    let record =
        std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/record-sealed-ed25519.pdf"))
            .unwrap();
    let seal = pdf::attachments(&record).unwrap()[completed::SEAL].clone();
    let seal: Json = serde_json::from_slice(&seal).unwrap();
    let named = Trust { named: [seal["key"].as_str().unwrap().to_owned()].into(), ..Trust::default() };
    let verdict = verify(&record, &named);
    assert!(verdict.sealed && verdict.by_named, "{verdict:#?}");
    assert_eq!(verdict.holds(), Holds::NotClosed, "{verdict:#?}");
    for trust in [Trust::default(), trusting(&strangers_key()), Trust { unsealed: true, ..Trust::default() }]
    {
        let verdict = verify(&record, &trust);
        assert_eq!(verdict.holds(), Holds::PagesNotShown, "{verdict:#?}");
        assert!(!verdict.accepted());
    }
}

/// Whoever writes the log anew goes on without the book under a name of his own.
#[test]
fn nobody_goes_on_without_the_book_who_was_no_lead() {
    let bench = issued();
    let founds = |by: Json| {
        let mut parts = parts(&bench);
        let mut all = entries(&parts.log);
        let at = all[0]["what"]["issue"].clone();
        assert_eq!(at["number"], "TW-2041");
        let operation = all[1]["what"]["reading"]["operation"].clone();
        all.push(json!({
            "at": "2026-03-02T15:00:00+00:00", "by": by, "book": "without-book",
            "what": { "act": "found", "found": "F1", "operation": operation, "photos": [], "text": "crack" },
        }));
        parts.log = log_of(&all);
        verify(&forged(&parts, Some(&shop_key())), &trusting(&shop_key()))
    };
    let lead = json!({ "id": "LO", "name": "Lead One", "role": "lead" });
    assert_eq!(founds(lead).holds(), Holds::NotClosed);
    for by in [
        json!({ "id": "X9", "name": "Stranger Nine", "role": "lead" }),
        json!({ "id": "WO", "name": "Welder One", "role": "lead" }),
        json!({ "id": "LO", "name": "Lead Uno", "role": "lead" }),
    ] {
        let known = by["name"] == "Welder One";
        let verdict = founds(by);
        assert_eq!(verdict.holds(), Holds::AgainstRules, "{verdict:#?}");
        assert_eq!(says(&verdict, "frozen with the paper do not have"), !known, "{verdict:#?}");
        assert!(says(&verdict, "was no lead by the rows of it that were frozen"), "{verdict:#?}");
    }
}

#[test]
fn a_covered_page_is_not_vouched_for() {
    // A white box over every page, and the digest made anew.
    let record = earlier();
    let (parts, _, _) = Parts::of(pdf::attachments(&record).unwrap());
    let mut file = lopdf::Document::load_mem(&record).unwrap();
    let pages: Vec<lopdf::ObjectId> = file.get_pages().into_values().collect();
    for page in pages {
        let mut content = file.get_page_content(page);
        content.extend_from_slice(b"\nq 1 1 1 rg 0 0 2000 2000 re f Q\n");
        file.change_page_content(page, content).unwrap();
    }
    let mut covered = Vec::new();
    file.save_to(&mut covered).unwrap();
    let plain = whole::read(&covered, &parts.salt()).bytes;
    {
        let again = whole::finish(plain, "");
        for trust in [Trust::default(), trusting(&shop_key()), Trust { unsealed: true, ..Trust::default() }] {
            let verdict = verify(&again, &trust);
            assert!(!verdict.accepted() && verdict.holds() <= Holds::PagesNotShown, "{verdict:#?}");
        }
    }
}

#[test]
fn a_swapped_part_shows() {
    let bench = issued();
    let good = parts(&bench);
    for name in completed::ATTACHED {
        let mut swapped = good.clone();
        let bytes = swapped.files.get_mut(*name).unwrap();
        let text = String::from_utf8(bytes.clone()).unwrap();
        *bytes = text.replacen("2041", "2042", 1).into_bytes();
        if *bytes == text.as_bytes() {
            bytes.push(b'\n');
        }
        // Some changes can't even be laid out.
        let Ok(rendered) = completed::render(&swapped, Some(&shop_key())) else { continue };
        let verdict = verify(&rendered.bytes, &trusting(&shop_key()));
        assert_eq!(verdict.holds(), Holds::Altered, "{name}: {verdict:#?}");
        assert!(says(&verdict, "Changed after issue"), "{name}: {verdict:#?}");
    }
}

#[test]
fn a_small_file_that_unpacks_to_gigabytes_is_refused_within_limits() {
    use lopdf::{Dictionary, Document, Object, Stream, dictionary};
    let mut zeros = Stream::new(Dictionary::new(), vec![0; 300 << 20]);
    zeros.compress().unwrap();
    // Packed twice: a few thousand bytes for 300 MiB.
    let mut twice = Stream::new(Dictionary::new(), zeros.content);
    twice.compress().unwrap();
    twice
        .dict
        .set("Filter", vec![Object::Name(b"FlateDecode".to_vec()), Object::Name(b"FlateDecode".to_vec())]);
    assert!(twice.content.len() < 10_000, "{}", twice.content.len());
    let mut file = Document::with_version("1.7");
    for n in 0..12 {
        let stream = file.add_object(twice.clone());
        file.add_object(dictionary! {
            "Type" => "Filespec",
            "UF" => Object::string_literal(format!("bomb-{n}")),
            "EF" => dictionary! { "F" => stream },
        });
    }
    let pages =
        file.add_object(dictionary! { "Type" => "Pages", "Kids" => Vec::<Object>::new(), "Count" => 0 });
    let catalog = file.add_object(dictionary! { "Type" => "Catalog", "Pages" => pages });
    file.trailer.set("Root", catalog);
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).unwrap();
    assert!(bytes.len() < 200_000);
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("bomb.pdf");
    std::fs::write(&path, bytes).unwrap();
    // With little more memory than the program itself takes.
    let done = Command::new("sh")
        .args(["-c", "ulimit -v 1200000; exec \"$0\" verify \"$1\""])
        .arg(env!("CARGO_BIN_EXE_tackwright"))
        .arg(&path)
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .output()
        .unwrap();
    let out = String::from_utf8_lossy(&done.stdout);
    assert_eq!(done.status.code(), Some(1), "{out}{}", String::from_utf8_lossy(&done.stderr));
    assert!(out.starts_with("NO RECORD") && out.contains("can't be unpacked"), "{out}");
}

#[test]
fn a_photo_can_hold_no_place_that_is_written_over() {
    let bench = issued();
    let mut photo = crate::support::picture::small();
    for word in ["file-sha256:", "file-seal:"] {
        photo.extend_from_slice(word.as_bytes());
        photo.extend([b'0'; 128]);
    }
    bench.write("p.png", &photo);
    bench.write("short.jpg", [&[0xFF, 0xD8, 0xFF, 0xE0][..], &[0; 8]].concat());
    bench.no(
        &["found", "TW-2041", "10", "crack", "--photo", "short.jpg", "--by", "LO"],
        "can't be kept as a photo",
    );
    bench.yes(&["found", "TW-2041", "10", "crack", "--photo", "p.png", "--by", "LO"]);
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let record = bench.read("travelers/TW-2041/TW-2041-completed.pdf");
    let verdict = verify(&record, &Trust::default());
    assert_eq!(verdict.holds(), Holds::NotClosed, "{verdict:#?}");
    let files = pdf::attachments(&record).unwrap();
    assert!(files.values().any(|f| *f == photo), "the photo is the one that was filed");
}

#[test]
fn lost_lines_older_copies_forks_and_logs_begun_again_show() {
    let log = "travelers/TW-2041/log.jsonl";
    let act = ["tick", "TW-2041", "10", "--by", "LO"];
    let found = |bench: &Bench, part: &str| {
        let said = bench.run(&["status", "TW-2041"]);
        assert_eq!(said.code, 1, "{}{}", said.out, said.err);
        assert!(said.out.contains(part), "{}", said.out);
        bench.no(&["found", "TW-2041", "10", "crack", "--by", "LO"], part);
    };
    // The last line gone.
    let bench = issued();
    let whole = bench.text(log);
    let shorter: String = whole.lines().take(2).map(|l| format!("{l}\n")).collect();
    bench.write(log, &shorter);
    found(&bench, "the journal saw 3 entries");
    // Bytes cut inside the last confirmed entry are damage, not a torn line.
    bench.write(log, &whole.as_bytes()[..whole.len() - 10]);
    found(&bench, "the journal saw 3 entries");
    bench.write(log, &whole);
    bench.yes(&["status", "TW-2041"]);
    // An older copy put back, and another history made from it.
    let bench = issued();
    let older = bench.text(log);
    bench.yes(&["found", "TW-2041", "10", "crack", "--by", "LO"]);
    let journal = bench.text("travelers/journal.jsonl");
    bench.write(log, &older);
    found(&bench, "the journal saw 4 entries");
    std::fs::remove_file(bench.path("travelers/journal.jsonl")).unwrap();
    bench.yes(&["found", "TW-2041", "10", "dent", "--by", "LO"]);
    bench.write("travelers/journal.jsonl", &journal);
    found(&bench, "entry 4 is not the one the journal saw");
    // A record of that other history, against the journal.
    std::fs::rename(bench.path("travelers/journal.jsonl"), bench.path("kept.jsonl")).unwrap();
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let file = "travelers/TW-2041/TW-2041-completed.pdf";
    let verdict = bench.json(&["verify", file, "--journal", "kept.jsonl", "--json"]);
    assert_eq!(verdict["holds"], "contradicted", "{verdict:#}");
    let verdict = bench.json(&["verify", file, "--json"]);
    assert_eq!(verdict["holds"], "not-closed", "{verdict:#}");
    // The folder gone, and the number begun again.
    let bench = issued();
    std::fs::remove_dir_all(bench.path("travelers/TW-2041")).unwrap();
    std::fs::remove_file(bench.path("TW-2041-A.pdf")).unwrap();
    let said = bench.run(&["status"]);
    assert!(said.code == 1 && said.out.contains("its folder is gone"), "{}", said.out);
    bench.no(&["issue", "job.toml"], "the journal saw 3 entries");
    assert!(bench.run(&act).code == 1);
    // A journal that was changed.
    let bench = issued();
    let journal = bench.text("travelers/journal.jsonl");
    bench.write("travelers/journal.jsonl", journal.replacen("TW-2041", "TW-2042", 1));
    let said = bench.run(&["status"]);
    assert!(said.code == 1 && said.out.contains("line 1 of the journal is damaged"), "{}", said.out);
}

#[cfg(unix)]
#[test]
fn links_and_pipes_in_the_folder_are_not_followed() {
    use std::os::unix::fs::symlink;
    for name in ["log.jsonl", "A/plan.json", "A/manifest.json", "A/procedures.json"] {
        let bench = issued();
        let path = bench.path(&format!("travelers/TW-2041/{name}"));
        let elsewhere = bench.path("elsewhere");
        std::fs::rename(&path, &elsewhere).unwrap();
        symlink(&elsewhere, &path).unwrap();
        let said = bench.run(&["found", "TW-2041", "10", "crack", "--by", "LO"]);
        assert_eq!(said.code, 3, "{name}: {}{}", said.out, said.err);
        assert!(said.err.contains("link"), "{name}: {}", said.err);
        std::fs::remove_file(&path).unwrap();
        // A pipe would make the program wait for ever.
        assert!(Command::new("mkfifo").arg(&path).status().unwrap().success());
        let said = bench.run(&["found", "TW-2041", "10", "crack", "--by", "LO"]);
        assert_eq!(said.code, 3, "{name}: {}{}", said.out, said.err);
        // What `status` reads of it, it refuses too.
        assert!(name == "A/procedures.json" || bench.run(&["status"]).code == 1, "{name}");
    }
    // Nor is a folder of it that leads out.
    let bench = issued();
    let (path, elsewhere) = (bench.path("travelers/TW-2041/A"), bench.path("elsewhere"));
    std::fs::rename(&path, &elsewhere).unwrap();
    symlink(&elsewhere, &path).unwrap();
    let said = bench.run(&["found", "TW-2041", "10", "crack", "--by", "LO"]);
    assert!(said.code == 3 && said.err.contains("its folder is a link"), "{}", said.err);
    // The traveler's own folder may stand elsewhere.
    std::fs::remove_file(&path).unwrap();
    std::fs::rename(&elsewhere, &path).unwrap();
    let (path, elsewhere) = (bench.path("travelers/TW-2041"), bench.path("elsewhere"));
    std::fs::rename(&path, &elsewhere).unwrap();
    symlink(&elsewhere, &path).unwrap();
    bench.yes(&["found", "TW-2041", "10", "crack", "--by", "LO"]);
    // A device gives bytes for ever.
    let said = bench.run(&["verify", "/dev/zero"]);
    assert!(said.code == 3 && said.err.contains("device"), "{}", said.err);
}

#[test]
fn limits_that_moved_are_computed_and_not_believed() {
    let bench = Bench::issued();
    let place = bench.fill_before("pinion");
    // From here on the plan is computed with what was read.
    bench.yes(&["measure", "TW-2041", &place, "12.8 deg", "--with", "AF-1", "--by", "WO"]);
    let mut parts = parts(&bench);
    let honest = verify(&forged(&parts, Some(&shop_key())), &trusting(&shop_key()));
    assert!(honest.by_rules && honest.holds() == Holds::NotClosed, "{honest:#?}");
    let plan: Json = serde_json::from_slice(&parts.files["plan.json"]).unwrap();
    let (number, _) = place.split_once('.').unwrap();
    let number: u64 = number.parse().unwrap();
    let operation = plan["operations"].as_array().unwrap().iter().find(|o| o["number"] == number);
    let operation = operation.unwrap();
    let steps = operation["steps"].as_array().unwrap();
    let other = steps
        .iter()
        .flat_map(|s| s["readings"].as_array().unwrap())
        .find(|r| r["limits"]["kind"] == "angle" && r["id"] != "pinion")
        .unwrap();
    let all = entries(&parts.log);
    let mut wide = all.clone();
    wide.push(json!({
        "at": "2026-03-02T15:00:00+00:00", "by": { "id": "WO", "name": "Welder One", "role": operation["role"] },
        "what": { "act": "measure", "reading": {
            "kind": "angle", "lower": "-3", "upper": "3", "guard": "0", "reading": other["id"],
            "operation": { "key": operation["key"], "number": operation["number"] },
            "text": "1 rad", "tool": "AF-1", "value": "1", "verdict": "conform", "target": "whatever",
        } },
    }));
    parts.log = log_of(&wide);
    let verdict = verify(&forged(&parts, Some(&shop_key())), &trusting(&shop_key()));
    assert!(says(&verdict, "was judged by \"whatever\""), "{verdict:#?}");
    assert!(!verdict.by_rules && verdict.holds() <= Holds::AgainstRules, "{verdict:#?}");
    // A person who changes the own verdict, and a clock that speaks against the time.
    let last = all.len() as u64;
    let mut slip = all.clone();
    let mut again = all.last().unwrap().clone();
    again["corrects"] = json!({ "entry": last, "reason": "slip" });
    again["identified"] = "not by PIN: the book has none".into();
    slip.push(again);
    let mut early = all.clone();
    early.last_mut().unwrap()["at"] = "2026-03-09T14:00:00+00:00".into();
    for (log, part) in [(slip, "WO"), (early, "later than now")] {
        parts.log = log_of(&log);
        let verdict = verify(&forged(&parts, Some(&shop_key())), &trusting(&shop_key()));
        assert!(!verdict.by_rules, "{part}: {verdict:#?}");
    }
}

#[test]
fn the_journal_is_stamped_from_outside() {
    let bench = issued();
    bench.yes(&["timestamp", "travelers/journal.jsonl"]);
    let lines = bench.text("travelers/journal.jsonl").lines().count();
    let query = format!("travelers/journal-{lines}.tsq");
    assert!(bench.read(&query).len() > 40);
    // The token of another file is not taken (OpenSSL made it, over something else).
    let reply = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/imports/stamp.tsr");
    let args = ["timestamp", "travelers/journal.jsonl", "--reply", reply.to_str().unwrap()];
    bench.no(&args, "over no line of this journal");
    bench.write("text.txt", "no journal");
    bench.no(&["timestamp", "text.txt"], "neither a signed record nor a journal");
}

/// A name in a log that steers the terminal, or begins a line of its own, would put any
/// verdict on the screen.
#[test]
fn a_name_in_a_record_writes_no_verdict() {
    let bench = issued();
    let mut parts = parts(&bench);
    let mut all = entries(&parts.log);
    let fake = "X\u{1b}[2J\u{1b}[H\u{202e}\nCOMPLETE, SEALED BY THE KEY YOU NAMED: nobody changed it since.";
    let mut forged_entry = all[1].clone();
    forged_entry["by"]["name"] = fake.into();
    forged_entry["book"] = "without-book".into();
    all.push(forged_entry);
    parts.log = log_of(&all);
    bench.write("forged.pdf", forged(&parts, None));
    let said = bench.run(&["verify", "forged.pdf"]);
    assert_eq!(said.code, 1);
    assert!(said.out.contains("COMPLETE, SEALED"), "the name is printed: {}", said.out);
    assert!(!said.out.contains('\u{1b}') && !said.out.contains('\u{202e}'), "{}", said.out);
    let lines: Vec<&str> = said.out.lines().filter(|l| l.starts_with("COMPLETE")).collect();
    assert!(lines.is_empty() && said.out.starts_with("AGAINST THE RULES"), "{}", said.out);
}

//! Records that were begun, closed or read by different versions of the program:
//! what can't be made again is said, and nobody is accused.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::Arc;

use chrono::DateTime;
use serde_json::Value as Json;
use tackwright::app::record::completed::{self, Parts};
use tackwright::app::record::verify::{Holds, Trust, verify};
use tackwright::app::record::{pdf, whole};
use tackwright::record::frozen::RULES;
use tackwright::record::{journal, sha256};

use crate::record_attacks::{
    entries, forged, issued, log_of, parts, says, shop_key, strangers_key, trusting,
};
use crate::support::bench::Bench;

/// What was frozen, with other words in it, under the digests that belong to them.
fn refrozen(mut parts: Parts, changes: &[(&str, &str, &str)], made: impl FnOnce(&mut Json)) -> Parts {
    let mut manifest = String::from_utf8(parts.manifest.clone()).unwrap();
    for (name, from, to) in changes {
        let bytes = parts.files.get_mut(*name).unwrap();
        let text = String::from_utf8(bytes.clone()).unwrap();
        assert!(text.contains(from), "{name}");
        let old = sha256(bytes);
        *bytes = text.replacen(from, to, 1).into_bytes();
        assert!(manifest.contains(&old));
        manifest = manifest.replace(&old, &sha256(bytes));
    }
    parts.manifest = manifest.into_bytes();
    let mut all = entries(&parts.log);
    let issue = &mut all[0]["what"]["issue"];
    issue["content"] = sha256(&parts.manifest).into();
    made(issue);
    parts.log = log_of(&all);
    parts
}

/// The log of a traveler that names another maker of the plan, or none, and what was
/// frozen with another word in it.
fn begun_elsewhere(bench: &Bench, maker: Option<&str>) -> Parts {
    let changes = [
        ("plan.json", "\"title\": \"", "\"title\": \"Older words, "),
        ("figures.json", "\"title\"", "\"title\" "),
    ];
    refrozen(parts(bench), &changes, |issue| match maker {
        Some(maker) => issue["made_by"] = maker.into(),
        None => _ = issue.as_object_mut().unwrap().remove("made_by"),
    })
}

/// A shop that goes over to the next version with travelers in the work does nothing
/// wrong; what this version can't make again is said, and only the named key vouches
/// for it. Whoever froze with this version is held to it.
#[test]
fn a_record_begun_by_another_version_is_not_called_altered() {
    let bench = issued();
    for maker in [None, Some("0.0.9+older")] {
        let parts = begun_elsewhere(&bench, maker);
        let record = forged(&parts, Some(&shop_key()));
        let verdict = verify(&record, &trusting(&shop_key()));
        assert_eq!(verdict.holds(), Holds::NotClosed, "{verdict:#?}");
        assert!(says(&verdict, "The plan comes out differently when made again"), "{verdict:#?}");
        assert!(says(&verdict, "The plan was frozen by"), "{verdict:#?}");
        // The pages are this version's: they are made again to the last byte.
        assert!(says(&verdict, "the file is the same to the last byte"), "{verdict:#?}");
        for (key, trust) in [
            (Some(shop_key()), Trust::default()),
            (Some(strangers_key()), trusting(&shop_key())),
            (None, Trust { unsealed: true, ..Trust::default() }),
        ] {
            let verdict = verify(&forged(&parts, key.as_ref()), &trust);
            assert_eq!(verdict.holds(), Holds::PagesNotShown, "{verdict:#?}");
            assert!(!verdict.accepted());
        }
    }
    let own = begun_elsewhere(&bench, Some(&whole::maker()));
    let verdict = verify(&forged(&own, Some(&shop_key())), &trusting(&shop_key()));
    assert_eq!(verdict.holds(), Holds::Altered, "{verdict:#?}");
}

/// The first revision of a file that says it is another version's, its digest right.
fn of_another_version(record: &[u8]) -> Vec<u8> {
    let (parts, _, _) = Parts::of(pdf::attachments(record).unwrap());
    let salt = parts.salt();
    let first = &record[..tackwright::seal::pdf::first(record)];
    let mut plain = whole::read(first, &salt).bytes;
    let mark = b"made-by:0.1.0";
    let at = plain.windows(mark.len()).position(|w| w == mark).unwrap();
    plain[at..at + mark.len()].copy_from_slice(b"made-by:0.0.9");
    whole::finish(plain, &salt)
}

/// A record is read by the next version as it is drawn: what stands in a list of
/// entries there, what stands in its box there, and a covered letter is none.
#[test]
fn a_record_is_read_by_the_next_version_as_it_is_drawn() {
    let bench = issued();
    bench.yes(&["found", "TW-2041", "10", "crack", "--by", "LO"]);
    let record = forged(&parts(&bench), None);
    let other = of_another_version(&record);
    let verdict = verify(&other, &Trust::default());
    assert_eq!(verdict.holds(), Holds::NotClosed, "{verdict:#?}");
    assert!(says(&verdict, "in the list or the boxes"), "{verdict:#?}");
    // What is read here is not what the log says there.
    let mut swapped = parts(&bench);
    let mut all = entries(&swapped.log);
    let reading = all.iter_mut().find(|e| e["what"]["act"] == "measure").unwrap();
    reading["what"]["reading"]["text"] = "UV-7-999".into();
    swapped.log = log_of(&all);
    let theirs = completed::render(&swapped, None).unwrap().bytes;
    let mut file = lopdf::Document::load_mem(&theirs).unwrap();
    let (drawn, said) = (lopdf::Document::load_mem(&record).unwrap(), file.get_pages());
    // Its pages, drawn from the other record.
    let pages: Vec<_> = drawn.get_pages().into_values().zip(said.into_values()).collect();
    assert!(pages.len() > 10);
    for (from, to) in pages {
        let content = drawn.get_page_content(from);
        file.change_page_content(to, content).unwrap();
    }
    let mut mixed = Vec::new();
    file.save_to(&mut mixed).unwrap();
    let salt = swapped.salt();
    let plain = whole::read(&mixed, &salt).bytes;
    let verdict = verify(&of_another_version(&whole::finish(plain, &salt)), &trusting(&shop_key()));
    assert!(verdict.holds() <= Holds::PagesNotShown, "{verdict:#?}");
    assert!(!verdict.accepted());
}

/// A job frozen before the end of an axle was asked for is read as in its day: the
/// axle that steers is the front one.
#[test]
fn a_job_of_an_earlier_day_is_read_by_the_rules_of_its_day() {
    let bench = issued();
    let good = parts(&bench);
    let text = String::from_utf8(good.files["job.toml"].clone()).unwrap();
    let mut older = good.clone();
    let lines: Vec<&str> = text.lines().filter(|l| l.trim() != "end = \"front\"").collect();
    assert!(lines.len() < text.lines().count());
    older.files.insert("job.toml".to_owned(), (lines.join("\n") + "\n").into_bytes());
    let manifest = String::from_utf8(good.manifest.clone()).unwrap();
    let (was, is) = (sha256(&good.files["job.toml"]), sha256(&older.files["job.toml"]));
    assert!(manifest.contains(&was));
    older.manifest = manifest.replace(&was, &is).into_bytes();
    let mut all = entries(&good.log);
    all[0]["what"]["issue"]["content"] = sha256(&older.manifest).into();
    all[0]["what"]["issue"].as_object_mut().unwrap().remove("made_by");
    older.log = log_of(&all);
    let verdict = verify(&forged(&older, Some(&shop_key())), &trusting(&shop_key()));
    assert!(says(&verdict, "figures come out the same when computed again"), "{verdict:#?}");
    assert_eq!(verdict.holds(), Holds::NotClosed, "{verdict:#?}");
}

/// The record of `parts` with a file in the place of another attached to it, its digest right.
fn attached(parts: &Parts, swaps: &[(&[u8], &[u8])]) -> Vec<u8> {
    let mut file = lopdf::Document::load_mem(&forged(parts, None)).unwrap();
    for (from, to) in swaps {
        let held = |object: &lopdf::Object| {
            object.as_stream().is_ok_and(|s| s.get_plain_content().is_ok_and(|bytes| bytes == *from))
        };
        let id = *file.objects.iter().find(|(_, object)| held(object)).expect("it is attached").0;
        let stream = file.get_object_mut(id).unwrap().as_stream_mut().unwrap();
        stream.set_plain_content(to.to_vec());
    }
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).unwrap();
    let (swapped, _, _) = Parts::of(pdf::attachments(&bytes).unwrap());
    // The place of the digest is told by what is attached.
    let (old, salt) = (parts.salt(), swapped.salt());
    let mut at = 0;
    while let Some(next) = bytes[at..].windows(old.len()).position(|w| w == old.as_bytes()) {
        at += next + old.len();
        bytes[at - old.len()..at].copy_from_slice(salt.as_bytes());
    }
    whole::finish(whole::read(&bytes, &salt).bytes, &salt)
}

/// The rules of the next edition, as a plan states them.
fn next_edition() -> (String, String) {
    (format!("\"rules\": {RULES}"), format!("\"rules\": {}", RULES + 1))
}

/// An entry with a key of its own, as a later version writes it.
fn with_a_new_key(log: &[u8], at: usize) -> Arc<[u8]> {
    let mut all = entries(log);
    all[at]["what"]["weather"] = "rain".into();
    log_of(&all)
}

/// What a later version wrote is neither altered nor good: it is said that it can't be
/// read, and which version can.
#[test]
fn a_record_of_a_later_version_is_neither_accused_nor_vouched_for() {
    let bench = issued();
    let good = parts(&bench);
    let middle = with_a_new_key(&good.log, 1);
    let last = with_a_new_key(&good.log, 2);
    let (from, to) = next_edition();
    let later = refrozen(good.clone(), &[("plan.json", &from, &to)], |_| ());
    let plan = |parts: &Parts| parts.files["plan.json"].clone();
    let records = [
        attached(&good, &[(&good.log, &middle)]),
        attached(&good, &[(&good.log, &last)]),
        attached(
            &good,
            &[(&plan(&good), &plan(&later)), (&good.manifest, &later.manifest), (&good.log, &later.log)],
        ),
    ];
    for (i, record) in records.iter().enumerate() {
        for trust in [Trust { unsealed: true, ..Trust::default() }, trusting(&shop_key())] {
            let verdict = verify(record, &trust);
            assert_eq!(verdict.holds(), Holds::Later, "{i}: {verdict:#?}");
            assert!(!verdict.accepted() && says(&verdict, "Made by version"), "{i}: {verdict:#?}");
        }
    }
    // Nothing hides behind it: a byte that was changed, a line that fits nowhere, an entry
    // that says less than any version writes.
    let mut broken = records[0].clone();
    let at = broken.windows(8).position(|w| w == b"made-by:").unwrap();
    broken[at + 8] ^= 1;
    let mut fewer = entries(&good.log);
    fewer[1]["what"].as_object_mut().unwrap().remove("operation");
    let text = String::from_utf8(with_a_new_key(&good.log, 1).to_vec()).unwrap();
    let mut lines: Vec<&str> = text.lines().collect();
    lines.swap(1, 2);
    let displaced = format!("{}\n", lines.join("\n"));
    for record in [
        broken,
        attached(&good, &[(&good.log, &log_of(&fewer))]),
        attached(&good, &[(&good.log, displaced.as_bytes())]),
    ] {
        assert_eq!(verify(&record, &Trust::default()).holds(), Holds::Altered);
    }
}

/// An older program on the next bench neither goes by half of a later version's plan nor
/// writes behind its entries.
#[test]
fn nothing_is_entered_in_a_traveler_of_a_later_version() {
    let place = "travelers/TW-2041";
    let (from, to) = next_edition();
    for part in ["the plan", "an entry"] {
        let bench = issued();
        let good = parts(&bench);
        if part == "the plan" {
            let later = refrozen(good, &[("plan.json", &from, &to)], |_| ());
            bench.write(&format!("{place}/A/plan.json"), &later.files["plan.json"]);
            bench.write(&format!("{place}/A/manifest.json"), &later.manifest);
            bench.write(&format!("{place}/log.jsonl"), &later.log);
        } else {
            bench.write(&format!("{place}/log.jsonl"), with_a_new_key(&good.log, 2));
        }
        // The later version's journal saw its own entries.
        let text = bench.text(&format!("{place}/log.jsonl"));
        let (mut journal, mut last) = (String::new(), String::new());
        for (line, n) in text.lines().zip(1_u64..) {
            let hash = serde_json::from_str::<Json>(line).unwrap()["hash"].as_str().unwrap().to_owned();
            let note = journal::next(last.as_bytes(), &DateTime::default(), "TW-2041", n, &hash).unwrap();
            last = String::from_utf8(note).unwrap().trim_end().to_owned();
            journal += &format!("{last}\n");
        }
        bench.write("travelers/journal.jsonl", journal);
        let before = bench.read(&format!("{place}/log.jsonl"));
        for command in [&["tick", "TW-2041", "20", "--by", "LO"][..], &["close", "TW-2041", "--by", "LO"]] {
            bench.no(command, "L280");
        }
        assert_eq!(bench.read(&format!("{place}/log.jsonl")), before, "{part}");
        let said = bench.run(&["status", "TW-2041"]);
        assert!(
            said.code != 0 && format!("{}{}", said.out, said.err).contains("later"),
            "{part}: {} {}",
            said.out,
            said.err
        );
    }
}

/// Whoever changes what shapes plans and pages makes another version of the program, whether
/// anybody thinks of it or not: else a record of another day's build is called altered.
#[test]
fn a_build_is_named_after_all_that_shapes_plans_and_pages() {
    fn walk(root: &Path, name: &str, all: &mut BTreeSet<String>) {
        let path = root.join(name);
        if path.is_file() {
            all.insert(name.to_owned());
            return;
        }
        for entry in std::fs::read_dir(path).unwrap() {
            walk(root, &format!("{name}/{}", entry.unwrap().file_name().to_str().unwrap()), all);
        }
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let mut all = BTreeSet::from(["Cargo.lock".to_owned()]);
    walk(root, "src", &mut all);
    walk(root, "templates/procedures", &mut all);
    all.retain(|name| !name.starts_with("src/cli/") && name != "src/main.rs" && name != "src/build.rs");
    assert!(all.len() > 300 && all.contains("src/record/agree.rs"), "{}", all.len());
    let digest = |changed: &str| {
        let mut together = Vec::new();
        for name in &all {
            let mut text = std::fs::read_to_string(root.join(name)).unwrap().replace('\r', "");
            text.push_str(if name == changed { " " } else { "" });
            together.extend(name.bytes().chain((text.len() as u64).to_le_bytes()).chain(text.bytes()));
        }
        sha256(&together)[..12].to_owned()
    };
    assert!(whole::maker().ends_with(&format!(".sources-{}", digest(""))), "{}", whole::maker());
    for name in ["src/plan/aim.rs", "src/traveler/wording/mod.rs", "templates/procedures/shared.toml"] {
        assert_ne!(digest(name), digest(""), "{name}");
    }
}

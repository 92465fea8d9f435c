//! Records that were begun, closed or read by different versions of the program:
//! what can't be made again is said, and nobody is accused.

use tackwright::app::record::completed::{self, Parts};
use tackwright::app::record::verify::{Holds, Trust, verify};
use tackwright::app::record::{pdf, whole};
use tackwright::record::sha256;

use crate::record_attacks::{
    entries, forged, issued, log_of, parts, says, shop_key, strangers_key, trusting,
};
use crate::support::bench::Bench;

/// The log of a traveler that names another maker of the plan, or none, and what was
/// frozen with another word in it.
fn begun_elsewhere(bench: &Bench, maker: Option<&str>) -> Parts {
    let mut parts = parts(bench);
    let mut digests = Vec::new();
    for (name, from, to) in [
        ("plan.json", "\"title\": \"", "\"title\": \"Older words, "),
        ("figures.json", "\"title\"", "\"title\" "),
    ] {
        let bytes = parts.files.get_mut(name).unwrap();
        let text = String::from_utf8(bytes.clone()).unwrap();
        assert!(text.contains(from), "{name}");
        let old = sha256(bytes);
        *bytes = text.replacen(from, to, 1).into_bytes();
        digests.push((old, sha256(bytes)));
    }
    let mut manifest = String::from_utf8(parts.manifest.clone()).unwrap();
    for (old, new) in digests {
        assert!(manifest.contains(&old));
        manifest = manifest.replace(&old, &new);
    }
    parts.manifest = manifest.into_bytes();
    let mut all = entries(&parts.log);
    let issue = &mut all[0]["what"]["issue"];
    issue["content"] = sha256(&parts.manifest).into();
    match maker {
        Some(maker) => issue["made_by"] = maker.into(),
        None => _ = issue.as_object_mut().unwrap().remove("made_by"),
    }
    parts.log = log_of(&all);
    parts
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

//! Nothing of the user's is lost or let out: what is written over, where names
//! from files lead, what a refusal leaves behind, what is kept of the shop book.

use std::collections::BTreeSet;
use std::process::{Command, Stdio};

use serde_json::Value as Json;
use tackwright::app::issue::compose;
use tackwright::app::load::load;
use tackwright::app::plan::plan;
use tackwright::app::record::{freeze, shelf, verify};
use tackwright::app::shelf::Shelves;
use tackwright::app::{System, record::pdf};
use tackwright::shop::keep::{Used, keep};

use crate::support::bench::Bench;

/// PHC form of an Argon2 hash (RFC 9106 and the PHC string format), of nothing.
const HASH: &str = "$argon2id$v=19$m=19456,t=2,p=1$c2FsdHNhbHQ$aGFzaGhhc2hoYXNoaGFzaA";

#[test]
fn a_record_keeps_of_the_shop_book_what_its_plan_used_and_no_pin() {
    let bench = Bench::new();
    bench.edit("shop.toml", "initials = \"WT\"", &format!("initials = \"WT\"\npin = \"{HASH}\""));
    bench.edit(
        "shop.toml",
        "[[person]]\nid = \"CR\"",
        "[[person]]\nid = \"Z9\"\nname = \"Uninvolved Nine\"\nrole = [\"other\"]\n\n[[person]]\nid = \"CR\"",
    );
    bench.yes(&["issue", "job.toml"]);
    let stored = bench.text("travelers/TW-2041/A/procedures.json");
    let stored: Json = serde_json::from_str(&stored).unwrap();
    let book = stored["book"]["text"].as_str().unwrap();
    for secret in ["argon2", "pin", "Uninvolved", "L-WIRE-7x", "TS-1"] {
        assert!(!book.contains(secret), "{secret} is in what was kept:\n{book}");
    }
    // Used by the plan: its people, its procedures, its tools.
    for used in ["LO", "WO", "Q-WO-TUBE", "WPS-05", "CA-1", "TW-3"] {
        assert!(book.contains(&format!("\"{used}\"")), "{used} is not in what was kept:\n{book}");
    }
    let every: String = bench
        .everything()
        .iter()
        .filter(|(p, _)| p.starts_with(bench.path("travelers")))
        .map(|(_, b)| String::from_utf8_lossy(b).into_owned())
        .collect();
    assert!(!every.contains("argon2"), "a PIN hash lies in the traveler's folder");
    // Also not packed in what is handed over.
    bench.run(&["complete", "TW-2041", "--by", "LO"]);
    for name in ["TW-2041-A.pdf", "travelers/TW-2041/TW-2041-completed.pdf"] {
        for (file, bytes) in pdf::attachments(&bench.read(name)).unwrap() {
            assert!(!String::from_utf8_lossy(&bytes).contains("argon2"), "{name}: {file}");
        }
    }
}

#[test]
fn keys_nobody_knew_to_be_needed_are_left_out() {
    let book = format!(
        "title = \"T\"\nsecret = \"s1\"\n[preference]\npaper = \"a4\"\nlogo = \"l.svg\"\n[[person]]\nid = \"LO\"\nname = \"N\"\nrole = [\"lead\"]\npin = \"{HASH}\"\nhome = \"s2\"\n[[person]]\nid = \"LT\"\nname = \"s3\"\n"
    );
    let used = Used { people: BTreeSet::from(["LO".to_owned()]), ..Used::default() };
    let kept: toml::Table = keep("shop.toml", &book, &used).unwrap().parse().unwrap();
    let wanted: toml::Table = "title = \"T\"\n[preference]\npaper = \"a4\"\n[[person]]\nid = \"LO\"\nname = \"N\"\nrole = [\"lead\"]\n".parse().unwrap();
    assert_eq!(kept, wanted);
}

#[test]
fn a_plan_comes_out_the_same_from_what_was_kept() {
    let jobs = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("jobs");
    let mut seen = 0;
    for (name, _) in crate::support::desk::folder("jobs", "toml") {
        if name == "shop" {
            continue;
        }
        let path = jobs.join(format!("{name}.toml"));
        let shelves = Shelves::gather(&System, None, None, std::slice::from_ref(&path));
        let live = shelves.of(&path).unwrap();
        let job = load(&System, &path, live).unwrap();
        let planned = plan(&job, live).unwrap();
        let kept = shelf::shelf(&shelf::write(&planned, live).unwrap()).unwrap();
        let again = freeze::loaded(&kept, "job.toml", &job.source.text, &job.job.job.revision).unwrap();
        let replanned = plan(&again, &kept).unwrap();
        let (paper, repaper) = (compose(&planned), compose(&replanned));
        assert_eq!(
            freeze::frozen(&planned.resolved, &planned.digest()),
            freeze::frozen(&replanned.resolved, &replanned.digest()),
            "{name}"
        );
        assert_eq!(paper, repaper, "{name}");
        seen += 1;
    }
    assert_eq!(seen, 5);
}

#[test]
fn a_record_of_the_old_shape_is_still_read() {
    // Made before: the whole book, last in a list of procedures.
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/records/whole-book.pdf");
    let bytes = std::fs::read(path).unwrap();
    let stored = &pdf::attachments(&bytes).unwrap()["procedures.json"];
    assert!(serde_json::from_slice::<Json>(stored).unwrap().is_array());
    let read = shelf::shelf(stored).unwrap();
    assert!(read.library.procedures.contains_key("spring-over") && read.shop.book.person("W1").is_some());
    let verdict = verify::verify(&bytes, &verify::Trust::default());
    assert!(!verdict.broken() && verdict.demonstration && verdict.by_rules, "{verdict:#?}");
}

#[test]
fn what_is_there_is_kept_unless_it_is_this_travelers_paper() {
    let bench = Bench::small();
    bench.write("notes.txt", "mine");
    bench.write("other.pdf", "%PDF-1.7 somebody else's");
    for file in ["job.toml", "shop.toml", "notes.txt", "other.pdf"] {
        bench.no(&["issue", "job.toml", "--out", file], "is kept");
        bench.no(&["issue", "job.toml", "--draft", "--out", file], "is kept");
        bench.no(&["route", "job.toml", "--graph", file], "is kept");
    }
    // Where nothing is said, too: a stranger's file may have the name.
    bench.write("TW-2041-A.pdf", "mine");
    bench.no(&["issue", "job.toml"], "is kept");
    std::fs::remove_file(bench.path("TW-2041-A.pdf")).unwrap();
    // The own paper may be written over, a record never.
    bench.yes(&["issue", "job.toml"]);
    bench.yes(&["issue", "job.toml"]);
    bench.yes(&["issue", "job.toml", "--draft", "--out", "draft.pdf"]);
    bench.yes(&["issue", "job.toml", "--draft", "--out", "draft.pdf"]);
    bench.yes(&["issue", "job.toml", "--out", "draft.pdf"]);
    bench.run(&["complete", "TW-2041", "--by", "LO"]);
    bench.no(&["issue", "job.toml", "--out", "travelers/TW-2041/TW-2041-completed.pdf"], "is kept");
    bench.yes(&["route", "job.toml", "--graph", "graph.svg"]);
    bench.yes(&["route", "job.toml", "--graph", "graph.svg"]);
    // Another traveler's paper and graph are foreign files.
    bench.write("second.toml", bench.text("job.toml").replacen("TW-2041", "TW-2042", 1));
    bench.no(&["issue", "second.toml", "--out", "draft.pdf"], "is kept");
    bench.no(&["route", "second.toml", "--graph", "graph.svg"], "is kept");
}

#[test]
fn what_is_no_plain_file_is_not_written_to() {
    let bench = Bench::small();
    bench.no(&["issue", "job.toml", "--out", "/dev/null"], "no plain file");
    bench.no(&["route", "job.toml", "--graph", "/dev/null"], "no plain file");
    std::fs::create_dir(bench.path("pictures")).unwrap();
    bench.no(&["route", "job.toml", "--graph", "pictures"], "is a folder");
}

#[test]
fn what_is_there_decides_whether_a_target_is_a_folder() {
    let bench = Bench::small();
    std::fs::create_dir(bench.path("papers.v2")).unwrap();
    std::fs::create_dir(bench.path("papers.pdf")).unwrap();
    bench.yes(&["issue", "job.toml", "--out", "papers.v2"]);
    bench.yes(&["issue", "job.toml", "--out", "papers.pdf"]);
    bench.yes(&["issue", "job.toml", "--draft", "--out", "new.folder"]);
    for paper in ["papers.v2/TW-2041-A.pdf", "papers.pdf/TW-2041-A.pdf", "new.folder/TW-2041-A-draft.pdf"] {
        assert!(bench.read(paper).starts_with(b"%PDF-"), "{paper}");
    }
    bench.write("second.toml", bench.text("job.toml").replacen("TW-2041", "TW-2042", 1));
    bench.yes(&["issue", "job.toml", "second.toml", "--out", "papers.v2"]);
    assert!(bench.path("papers.v2/TW-2042-A.pdf").exists());
}

#[test]
fn a_name_in_a_job_leads_nowhere() {
    let names = ["../../../x", "..", "/tmp/x", "a/b", "a\\b", "nul", "x.", ".hidden"];
    for name in names {
        let bench = Bench::small();
        bench.edit("job.toml", "revision = \"A\"", &format!("revision = '{name}'"));
        let said = bench.no(&["issue", "job.toml"], "can't be used as a name");
        assert!(said.err.contains("job.toml:"), "{name}: {}", said.err);
        bench.no(&["issue", "job.toml", "--draft"], "can't be used as a name");
        let bench = Bench::small();
        bench.edit("job.toml", "number = \"TW-2041\"", &format!("number = '{name}'"));
        bench.no(&["issue", "job.toml"], "can't be used as a name");
    }
    // A name that is the record's own.
    for name in ["log.jsonl", "photos", "Slips", "shop-book"] {
        let bench = Bench::small();
        bench.edit("job.toml", "revision = \"A\"", &format!("revision = \"{name}\""));
        let change = format!(
            "\n[[change]]\nrevision = \"{name}\"\ndate = 2026-03-01\nwhat = \"the pads are wider\"\nasked = \"the customer\"\n"
        );
        bench.write("job.toml", bench.text("job.toml") + &change);
        bench.no(&["issue", "job.toml"], "used by the record itself");
    }
    // What a number may be, it can be found by.
    let bench = Bench::small();
    bench.edit("job.toml", "number = \"TW-2041\"", "number = \"TW-2041.2\"");
    bench.yes(&["issue", "job.toml"]);
    bench.yes(&["status", "TW-2041.2"]);
}

#[test]
fn a_path_in_a_shop_book_stays_below_it() {
    let bench = Bench::new();
    bench.write("secret/logo.svg", "<svg xmlns=\"http://www.w3.org/2000/svg\"/>");
    for path in ["../secret/logo.svg", "/etc/logo.svg", "a/../../logo.svg"] {
        bench.write(
            "shop/shop.toml",
            bench.text("shop.toml").replacen(
                "paper = \"letter\"",
                &format!("paper = \"letter\"\nlogo = \"{path}\""),
                1,
            ),
        );
        bench.no(&["check", "job.toml", "--shop", "shop/shop.toml"], "leads out of the folder");
        bench.write(
            "shop/shop.toml",
            bench.text("shop.toml").replacen(
                "paper = \"letter\"",
                &format!("paper = \"letter\"\nprocedures = \"{path}\""),
                1,
            ),
        );
        bench.no(&["check", "job.toml", "--shop", "shop/shop.toml"], "leads out of the folder");
    }
}

/// The log's lines made again with every hash right after a change: what somebody
/// with this program at hand can do.
fn rewritten(bench: &Bench, change: impl Fn(&mut Json)) {
    let log = bench.text("travelers/TW-2041/log.jsonl");
    let mut prev = tackwright::record::line::NO_ENTRY.to_owned();
    let mut text = String::new();
    for line in log.lines() {
        let line: Json = serde_json::from_str(line).unwrap();
        let mut entry = line["entry"].clone();
        change(&mut entry);
        entry["prev"] = Json::from(prev);
        let body = tackwright::record::line::canonical(&entry);
        prev = tackwright::record::sha256(body.as_bytes());
        text.push_str(&format!("{{\"entry\":{body},\"hash\":\"{prev}\"}}\n"));
    }
    bench.write("travelers/TW-2041/log.jsonl", text);
    // Somebody who writes the log anew leaves no journal to tell.
    let _ = std::fs::remove_file(bench.path("travelers/journal.jsonl"));
}

#[test]
fn a_name_in_a_record_leads_nowhere() {
    // The letter of a revision in the log.
    let bench = Bench::issued();
    bench.write("elsewhere/plan.json", bench.read("travelers/TW-2041/A/plan.json"));
    rewritten(&bench, |e| e["what"]["issue"]["revision"] = "../../elsewhere".into());
    bench.no(&["tick", "TW-2041", "10", "--by", "LO"], "can't be the name of a file");
    bench.no(&["status", "TW-2041"], "can't be the name of a file");
    // A file in the list of frozen files.
    let bench = Bench::issued();
    let list = bench.text("travelers/TW-2041/A/manifest.json").replace("job.toml", "../../../job.toml");
    let digest = tackwright::record::sha256(list.as_bytes());
    bench.write("travelers/TW-2041/A/manifest.json", &list);
    rewritten(&bench, |e| e["what"]["issue"]["content"] = digest.clone().into());
    bench.no(&["issue", "job.toml"], "can't be the name of a file");
    // The number in a plan decides where the completed record is written.
    let bench = Bench::issued();
    let plan = bench.text("travelers/TW-2041/A/plan.json").replacen("\"TW-2041\"", "\"../../owned\"", 1);
    let list = bench.text("travelers/TW-2041/A/manifest.json").replace(
        &tackwright::record::sha256(&bench.read("travelers/TW-2041/A/plan.json")),
        &tackwright::record::sha256(plan.as_bytes()),
    );
    bench.write("travelers/TW-2041/A/plan.json", plan);
    bench.no(&["complete", "TW-2041", "--by", "LO"], "was changed after it was issued");
    let digest = tackwright::record::sha256(list.as_bytes());
    bench.write("travelers/TW-2041/A/manifest.json", list);
    rewritten(&bench, |e| e["what"]["issue"]["content"] = digest.clone().into());
    // The log names another one, and its folder goes with the log.
    bench.no(&["complete", "TW-2041", "--by", "LO"], "L269");
    assert!(!bench.path("owned-completed.pdf").exists());
    // A photo named in the log would be read and packed into the record.
    let bench = Bench::issued();
    bench.write("secret.jpg", b"private");
    bench.write("p.png", crate::support::picture::small());
    bench.yes(&["found", "TW-2041", "10", "crack", "--photo", "p.png", "--by", "LO"]);
    rewritten(&bench, |e| {
        if e["what"]["act"] == "found" {
            e["what"]["photos"][0]["file"] = "../../../secret.jpg".into();
        }
    });
    bench.no(&["complete", "TW-2041", "--by", "LO"], "can't be the name of a file");
}

#[test]
fn a_refused_issue_leaves_nothing_behind() {
    let bench = Bench::new();
    bench.no(&["issue", "job.toml", "--at", "2031-01-01T08:00:00-06:00"], "later than now");
    bench.no(&["issue", "job.toml", "--by", "NOBODY"], "nobody has the id");
    bench.no(&["issue", "job.toml", "--by", "WO"], "not lead");
    let book = bench.text("shop.toml");
    bench.edit("shop.toml", "initials = \"LO\"", "initials = \"LO\"\nuntil = 2026-01-31");
    let said = bench.run(&["issue", "job.toml", "--by", "LO"]);
    assert!(said.code == 4 && said.err.contains("LO Lead One until 2026-01-31"), "{}", said.err);
    bench.write("shop.toml", book);
    bench.yes(&["issue", "job.toml", "--by", "LO"]);
    let log = bench.text("travelers/TW-2041/log.jsonl");
    assert!(log.contains("\"role\":\"lead\"") && log.contains("\"id\":\"LO\""), "{log}");
}

#[test]
fn one_sick_folder_hides_none_of_the_others() {
    let bench = Bench::small();
    bench.write("second.toml", bench.text("job.toml").replacen("TW-2041", "TW-2042", 1));
    bench.yes(&["issue", "job.toml", "second.toml"]);
    bench.write("travelers/TW-1999/log.jsonl", "");
    bench.write("travelers/TW-2000/log.jsonl", "nonsense\n");
    std::fs::remove_file(bench.path("travelers/TW-2042/A/plan.json")).unwrap();
    let said = bench.run(&["status"]);
    assert_eq!(said.code, 1, "{}{}", said.out, said.err);
    for number in ["TW-1999", "TW-2000", "TW-2041", "TW-2042"] {
        assert!(said.out.lines().any(|l| l.starts_with(number)), "{number} is hidden:\n{}", said.out);
    }
    assert!(said.out.lines().any(|l| l.starts_with("TW-2041") && !l.contains("LOG")), "{}", said.out);
    let all = bench.json(&["status", "--json"]);
    assert_eq!(all["travelers"].as_array().unwrap().len(), 4);
}

#[test]
fn a_frozen_paper_that_is_gone_is_an_error_and_never_an_empty_one() {
    let bench = Bench::issued();
    // As if it had been frozen without its paper.
    let list = bench.text("travelers/TW-2041/A/manifest.json").replace("\"traveler.pdf\"", "\"job.toml\"");
    let list: Json = serde_json::from_str(&list).unwrap();
    let files: Vec<Json> = list["files"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|f| {
            f["sha256"] != tackwright::record::sha256(&bench.read("travelers/TW-2041/A/traveler.pdf"))
        })
        .cloned()
        .collect();
    let list = tackwright::record::line::canonical(
        &serde_json::json!({ "files": files, "number": "TW-2041", "revision": "A" }),
    );
    let digest = tackwright::record::sha256(list.as_bytes());
    bench.write("travelers/TW-2041/A/manifest.json", list);
    rewritten(&bench, |e| e["what"]["issue"]["content"] = digest.clone().into());
    let before = bench.read("TW-2041-A.pdf");
    let said = bench.run(&["issue", "job.toml"]);
    assert_eq!(said.code, 3, "{}{}", said.out, said.err);
    assert!(said.err.contains("traveler.pdf is missing"), "{}", said.err);
    assert!(bench.read("TW-2041-A.pdf") == before);
}

#[test]
fn a_full_device_is_a_failure_of_the_system() {
    // Every write to it fails with "no space left" (Linux, full(4)).
    if !std::path::Path::new("/dev/full").exists() {
        return;
    }
    let bench = Bench::issued();
    for args in [
        &["check", "job.toml"][..],
        &["check", "job.toml", "--json"],
        &["figures", "job.toml"],
        &["route", "job.toml"],
        &["reckon", "lift"],
        &["reckon"],
        &["manual"],
        &["schema"],
        &["completions", "bash"],
        &["new", "spring-over"],
        &["shop"],
        &["status"],
        &["--help"],
        &["--version"],
    ] {
        let done = Command::new(env!("CARGO_BIN_EXE_tackwright"))
            .args(args)
            .current_dir(bench.path(""))
            .stdout(std::fs::OpenOptions::new().write(true).open("/dev/full").unwrap())
            .stderr(Stdio::piped())
            .output()
            .unwrap();
        assert_eq!(done.status.code(), Some(3), "{args:?}");
        let err = String::from_utf8_lossy(&done.stderr);
        assert!(err.contains("standard output"), "{args:?}: {err}");
    }
}

#[test]
fn without_its_book_a_record_takes_no_entry() {
    let bench = Bench::issued();
    bench.yes(&["tick", "TW-2041", "10", "--by", "LO"]);
    let book = bench.read("shop.toml");
    std::fs::remove_file(bench.path("shop.toml")).unwrap();
    bench.no(
        &["sign", "TW-2041", "R1", "--by", "LO", "--as", "lead"],
        "the shop book of TW-2041 is not there",
    );
    bench.write("moved/shop.toml", book);
    bench.yes(&["found", "TW-2041", "10", "crack", "--by", "LO", "--shop", "moved/shop.toml"]);
}

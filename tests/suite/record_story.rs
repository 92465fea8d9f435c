//! A whole job through the command line: issue, strip, found condition, revise,
//! measure, recompute, tack, verify, weld, torque, close, verify, follow-up.
//!
//! `TACKWRIGHT_SAMPLE=jobs/TW-2041-completed.pdf` keeps the completed record.

use std::collections::BTreeSet;
use std::path::Path;
use std::sync::{Mutex, OnceLock};

use serde_json::Value;
use tackwright::app::record::completed::{self, Parts};
use tackwright::app::record::pdf::attachments;
use tackwright::record::Frozen;

use crate::support::picture;
use crate::support::story::Shop;

/// The demonstration's key, whose certificate says what it is, and its passphrase.
const KEY_FILES: [&str; 3] = ["seal.key", "seal.pem", "seal-root.key"];
const PASSPHRASE: &str = "demonstration only";
/// SHA-256 of its root, as `openssl x509 -fingerprint -sha256` prints it.
const ROOT: &str = "24d5e4381de84022ebd4de88cc53f765956367b03acfdf857bf2b0c16971344b";

fn story() -> (Shop, Vec<u8>) {
    let mut shop = Shop::new();
    // The demonstration's key in the place of a random one.
    for name in KEY_FILES {
        let kept = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/cases/demonstration-key").join(name);
        std::fs::copy(kept, shop.path(name)).unwrap();
    }
    let book = std::fs::read_to_string(shop.path("shop.toml")).unwrap();
    let title = book.lines().find(|l| l.starts_with("title = ")).unwrap();
    std::fs::write(shop.path("shop.toml"), book.replace(title, &format!("{title}\nseal = \"{ROOT}\"")))
        .unwrap();
    let said = shop.run_then(&["key", "pin", "LO", "--pin-stdin"], "4711\n");
    assert_eq!(said.code, 0, "{}", said.err);
    let book = std::fs::read_to_string(shop.path("shop.toml")).unwrap();
    assert!(book.contains("$argon2id$") && !book.contains("4711"), "the hash, never the PIN");

    shop.no(&["issue", "job.toml"], "signs with a PIN");
    shop.act(&["issue", "job.toml", "--pin-stdin"], "4711\n");
    let first = std::fs::read(shop.path("TW-2041-A.pdf")).unwrap();
    shop.act(&["issue", "job.toml"], "");
    assert_eq!(std::fs::read(shop.path("TW-2041-A.pdf")).unwrap(), first, "the same paper again");

    let mut done = BTreeSet::new();
    for operation in shop.plan("A") {
        shop.operation(&operation);
        done.insert(operation["key"].as_str().unwrap().to_owned());
        if operation["id"] == "old-pads-off" {
            break;
        }
    }
    // What nobody foresaw.
    let pads = shop.plan("A").iter().find(|o| o["id"] == "old-pads-off").unwrap()["number"].to_string();
    std::fs::write(shop.path("gusset.png"), picture::gusset()).unwrap();
    let text = "old gusset under the left pad, cracked at the toe; hidden until the pad was ground off";
    shop.act(&["found", "TW-2041", &pads, text, "--photo", "gusset.png", "--by", "WO"], "");
    shop.no(&["dispose", "TW-2041", "F1", "repair", "--by", "WO", "--reason", "looks easy"], "rule: role");
    let dispose = ["dispose", "TW-2041", "F1", "repair", "--by", "LO", "--reason", "cut out, penetrant test"];
    shop.no(&dispose, "signs with a PIN");
    shop.act(&[&dispose[..], &["--pin-stdin"]].concat(), "4711\n");

    // The job changes, so the paper does.
    let job = std::fs::read_to_string(shop.path("job.toml")).unwrap();
    let added = "\n[[operation]]\nid = \"cut-out-gusset\"\nverb = \"cut\"\nact = [\"grind\"]\nat = [\"housing\"]\ntitle = \"Cut out the old gusset and penetrant test\"\non = \"front\"\nminutes = 40\nafter = [\"old-pads-off\"]\nreading = [{ id = \"indication\", label = \"longest penetrant indication\", kind = \"length\", most = \"1/16 in\", instrument = \"steel rule\" }]\nstep = [\"Grind the gusset off, not into the tube.\", \"Penetrant test of the place.\"]\nhold = \"No indication longer than 1/16 in.\"\nhold_role = \"inspector\"\n";
    std::fs::write(shop.path("job.toml"), format!("{job}{added}")).unwrap();
    shop.no(&["issue", "job.toml"], "revise");
    let said = shop.act(
        &["revise", "job.toml", "--by", "LO", "--reason", "F1: gusset cut out", "--json", "--pin-stdin"],
        "4711\n",
    );
    // The new paper says at its place what is new and what starts again.
    let paper = std::fs::read(shop.path("travelers/TW-2041/B/document.json")).unwrap();
    let stations = serde_json::from_slice::<Value>(&paper).unwrap()["stations"].to_string();
    assert!(stations.contains("New in revision B."), "no notice reached the pages");
    let change: Value = serde_json::from_str(&said.out).unwrap();
    assert_eq!(change["revision"], "B");
    let page = std::fs::read(shop.path(change["change_page"].as_str().unwrap())).unwrap();
    let pages = crate::support::pdf::pages(&page);
    let text: String = pages.iter().map(crate::support::pdf::Page::text).collect();
    assert!(text.contains("F1:gussetcutout") && text.contains("Cutouttheoldgusset"), "{text}");
    assert_eq!(change["added"].as_array().unwrap().len(), 1, "{change}");
    let reopened: Vec<&str> =
        change["reopened"].as_array().unwrap().iter().map(|r| r["key"].as_str().unwrap()).collect();
    done.retain(|key| !reopened.contains(&key.as_str()));
    assert!(done.len() > 5, "what was done stays done: {change}");

    // The rest, in the order of the new paper.
    let plan = shop.plan("B");
    // The added work stands right behind what it follows, not at the end.
    let place = |id: &str| plan.iter().position(|o| o["id"] == id).unwrap();
    assert_eq!(place("cut-out-gusset"), place("old-pads-off") + 1);
    let mut tried = false;
    for operation in plan.iter().filter(|o| o["deferred"] == false) {
        if done.contains(operation["key"].as_str().unwrap()) {
            continue;
        }
        if !tried && operation["id"] == "read-caster" {
            tried = true;
            refusals(&shop, &plan);
        }
        shop.operation(operation);
    }
    assert!(tried);
    let status = shop.status();
    assert_eq!(status["open"].as_array().unwrap().len(), 0, "{status:#}");
    shop.no(&["close", "TW-2041", "--by", "WO", "--follow-up", "2026-05-04"], "rule: role");
    shop.no(&["close", "TW-2041", "--by", "LO", "--follow-up", "2026-03-01"], "before the day of closing");
    shop.no(&["close", "TW-2041", "--by", "LO", "--follow-up", "2099-01-01"], "more than a year after");
    // The customer was told another day.
    shop.no(
        &["close", "TW-2041", "--by", "LO", "--follow-up", "2026-05-05"],
        "2026-05-05 is another day than the 2026-05-04",
    );
    // That a print is unproved is told once at an operation, not with each of its entries.
    let told = std::mem::take(&mut shop.unproved);
    let each: std::collections::BTreeSet<&String> = told.iter().collect();
    assert!(!told.is_empty() && each.len() == told.len(), "{told:?}");
    let close = ["close", "TW-2041", "--by", "LO", "--follow-up", "2026-05-04", "--pin-stdin"];
    // Without its passphrase the key does not sign, and nothing is closed.
    let before = shop.log();
    for (more, input, part) in [
        (&[][..], "4711\n".to_owned(), "L186"),
        (&["--passphrase-fd", "0"][..], "4711\nguessed wrongly\n".to_owned(), "L187"),
    ] {
        let said = shop.run(&[&close[..], more].concat(), &input);
        assert!(said.code == 1 && said.err.contains(part), "{}{}", said.out, said.err);
        assert_eq!(shop.log(), before);
    }
    let close = [&close[..], &["--passphrase-fd", "0"]].concat();
    shop.act(&close, &format!("4711\n{PASSPHRASE}\n"));
    let record = std::fs::read(shop.path("travelers/TW-2041/TW-2041-completed.pdf")).unwrap();
    (shop, record)
}

/// The shop at the end of the story, and its record; told once for all tests.
fn told() -> &'static (Mutex<Shop>, Vec<u8>) {
    static STORY: OnceLock<(Mutex<Shop>, Vec<u8>)> = OnceLock::new();
    STORY.get_or_init(|| {
        let (shop, record) = story();
        (Mutex::new(shop), record)
    })
}

/// The record of the story; `TACKWRIGHT_RECORD` names one that was kept.
pub(crate) fn record() -> Vec<u8> {
    match std::env::var_os("TACKWRIGHT_RECORD") {
        Some(path) => std::fs::read(path).unwrap(),
        None => told().1.clone(),
    }
}

/// What is refused in the middle of the job.
fn refusals(shop: &Shop, plan: &[Value]) {
    let number = |id: &str| plan.iter().find(|o| o["id"] == id).unwrap()["number"].to_string();
    let read = number("read-caster");
    let first = format!("{read}.first.left");
    let measure = |what: &str, text: &str, extra: &[&str]| {
        let mut args = vec!["measure", "TW-2041", what, text, "--by", "LO"];
        args.extend(extra);
        args.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>()
    };
    let no = |args: Vec<String>, part: &str| {
        shop.no(&args.iter().map(String::as_str).collect::<Vec<_>>(), part);
    };
    no(measure(&first, "2.5", &["--with", "AF-1"]), "no unit");
    no(measure(&first, "2.5 mm", &["--with", "AF-1"]), "a unit of length, not of angle");
    no(measure(&first, "NaN deg", &["--with", "AF-1"]), "number");
    no(measure(&first, "9000 deg", &["--with", "AF-1"]), "can't be");
    no(measure(&first, "2.5 deg", &[]), "names its instrument");
    no(measure(&first, "2.5 deg", &["--with", "TN-1"]), "taken with angle finder");
    no(measure(&first, "2.5 deg", &["--with", "XX-1"]), "known instruments only");
    no(measure(&first, "2.5 deg", &["--with", "TP-2"]), "the right kind of instrument");
    no(measure(&first, "95 deg", &["--with", "AF-1"]), "instruments in their range");
    no(
        measure(&format!("{read}.frist.left"), "2.5 deg", &["--with", "AF-1"]),
        &format!("did you mean \"{read}.first.left\""),
    );
    no(
        measure(&first, "2.5 deg", &["--with", "AF-1", "--at", "2027-03-02T08:00:00-06:00"]),
        "no entry from the future",
    );
    let sign = ["sign", "TW-2041", &number("cut-knuckles"), "--as", "lead", "--by", "LO", "--pin-stdin"];
    assert_eq!(shop.run(&sign, "0000\n").code, 1, "a wrong PIN, or an open hold");
    shop.no(&["tick", "TW-2041", &number("accept-knuckles"), "--by", "IO"], "open hold");
    shop.no(&["tick", "TW-2041", &read, "--by", "X1"], "nobody has the id");
    shop.no(&["status", "TW-9999"], "there is no traveler");
    shop.no(&["close", "TW-2041", "--by", "LO", "--follow-up", "2026-05-04"], "can't be closed");
    shop.no(&["revise", "job.toml", "--by", "LO", "--reason", "nothing new"], "nothing changed");
}

fn verify(shop: &Shop, bytes: &[u8]) -> (i32, Value) {
    let path = shop.path("check.pdf");
    std::fs::write(&path, bytes).unwrap();
    let said = shop.run(&["verify", path.to_str().unwrap(), "--trust", ROOT, "--json"], "");
    (said.code, serde_json::from_str(&said.out).unwrap())
}

#[test]
fn a_whole_job_from_issue_to_follow_up() {
    let (shop, record) = told();
    let mut shop = shop.lock().unwrap();
    if let Some(path) = std::env::var_os("TACKWRIGHT_SAMPLE") {
        std::fs::write(Path::new(env!("CARGO_MANIFEST_DIR")).join(path), record).unwrap();
    }
    // Complete, and not taken for more than the key it was signed with.
    let (code, verdict) = verify(&shop, record);
    assert_eq!((code, &verdict["holds"]), (1, &Value::from("demonstration")), "{verdict:#}");
    assert_eq!(verdict["record"], "TW-2041 rev B");
    // It fits, and is never called just good.
    assert_eq!(verdict["demonstration"], true);
    assert_eq!(verdict["sealed"], false);
    assert_eq!(verdict["signers"][0]["root"], ROOT);
    assert!(verdict.to_string().contains("DEMONSTRATION KEY"), "{verdict:#}");

    // Entries under the first revision are gone through again by its own plan, and
    // it can't be left out.
    let (mut parts, _, _) = Parts::of(attachments(record).unwrap());
    assert!(Frozen::read(&parts.earlier["A"].files["plan.json"]).is_ok_and(|plan| plan.revision == "A"));
    assert!(!verdict.to_string().contains("not gone through again"), "{verdict:#}");
    parts.earlier.clear();
    let without = verify(&shop, &completed::render(&parts, None).unwrap().bytes).1;
    assert_eq!(without["holds"], "altered", "{without:#}");
    assert!(without.to_string().contains("whose plan is not inside"), "{without:#}");

    // What the customer reads.
    let text: String =
        crate::support::pdf::pages(record).iter().map(crate::support::pdf::Page::text).collect();
    for part in [
        "Completedrecord",
        "oldgussetunderthelef",
        "cutout,penetranttest",
        "F1:gussetcutout",
        "Frommeasuredvalues",
        "Itrollsoversooner",
        // Told in the first sentence, and where the work was done.
        "conditionswerefoundthattheplandidnotforesee,anddecided",
        "F1foundhere:",
        // The same fact with the same count, where it is told and where one checks it.
        "2sheetsatfullsizeThe100mmbarswerenevermeasured",
        "barsof2sheetsinusenevermeasured,seesection4;2morethatnooperationworksby",
        // What was drawn before anybody measured says so.
        "Asplanned;therightmirrored",
    ] {
        assert!(text.contains(part), "\"{part}\" is not on the pages");
    }
    let claims = crate::support::pdf::claims(record);
    assert!(claims.metadata.contains("pdfaid") && claims.metadata.contains("pdfuaid"));

    // One changed byte anywhere fails.
    for i in (0..12).map(|n| record.len() * n / 12 + 7) {
        let mut changed = record.clone();
        changed[i] ^= 0x10;
        let (code, verdict) = verify(&shop, &changed);
        assert_eq!(code, 1, "byte {i}: {verdict:#}");
        assert!(
            ["altered", "no-record"].contains(&verdict["holds"].as_str().unwrap()),
            "byte {i}: {verdict:#}"
        );
    }
    for bytes in [&b""[..], b"%PDF-1.7\n", b"not a pdf", &record[..record.len() / 2]] {
        assert_eq!(verify(&shop, bytes).1["holds"], "no-record");
    }

    // The follow-up stays, is overdue one day, and can be done after closing.
    let retorque = shop.plan("B").into_iter().find(|o| o["deferred"] == true).unwrap();
    let on = |day: &str| {
        let said = shop.run(&["status", "TW-2041", "--on", day, "--json"], "");
        serde_json::from_str::<Value>(&said.out).unwrap()["travelers"][0].clone()
    };
    assert_eq!(on("2026-05-04")["overdue"].as_array().unwrap().len(), 0);
    assert!(!on("2026-05-05")["overdue"].as_array().unwrap().is_empty());
    let open = on("2026-05-04")["follow_ups"].as_array().unwrap().len();
    // What is found at it is found, decided and entered; nothing else any more.
    let later = retorque["number"].to_string();
    shop.act(&["found", "TW-2041", &later, "nut turned before the click", "--by", "WO"], "");
    shop.no(&["found", "TW-2041", "10", "scratch", "--by", "WO"], "is closed");
    shop.decide("rework", "tightened again");
    shop.operation(&retorque);
    assert_eq!(shop.status()["follow_ups"].as_array().unwrap().len(), open - 1);
    // What was handed over does not say it: a lead writes it again.
    let waits = shop.status()["for_lead"].to_string();
    assert!(waits.contains("entries of the log") && waits.contains("tackwright complete TW-2041"), "{waits}");
    let head = std::fs::read(shop.path("travelers/TW-2041/B/traveler.pdf")).unwrap();
    let pages = crate::support::pdf::pages(&head);
    assert!(pages[0].text().contains(ROOT), "the root's fingerprint is on the head page");
}

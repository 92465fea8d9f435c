//! A whole job through the command line: issue, strip, found condition, revise,
//! measure, recompute, tack, verify, weld, torque, close, verify, follow-up.
//!
//! `TACKWRIGHT_SAMPLE=jobs/TW-2041-completed.pdf` keeps the completed record.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::Value;
use tackwright::app::record::completed::Parts;
use tackwright::app::record::{pdf, whole};

use crate::support::story::{PUBLIC, SEED, Shop};

fn story() -> (Shop, Vec<u8>) {
    let mut shop = Shop::new();
    // The key of the test vector in the place of a random one.
    assert_eq!(shop.run(&["key", "new"], "").code, 0);
    std::fs::write(shop.path("seal.key"), format!("{SEED}\n")).unwrap();
    let book = std::fs::read_to_string(shop.path("shop.toml")).unwrap();
    let line = book.lines().find(|l| l.starts_with("seal = ")).unwrap();
    std::fs::write(shop.path("shop.toml"), book.replace(line, &format!("seal = \"{PUBLIC}\""))).unwrap();
    let said = shop.run(&["key", "pin", "L1", "--pin-stdin"], "4711\n");
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
        if operation["id"] == "inspect-bare" {
            break;
        }
    }
    // What nobody foresaw.
    let bare = shop.plan("A").iter().find(|o| o["id"] == "inspect-bare").unwrap()["number"].to_string();
    std::fs::write(shop.path("gusset.png"), PNG).unwrap();
    let text = "old gusset under the left pad, cracked at the toe";
    shop.act(&["found", "TW-2041", &bare, text, "--photo", "gusset.png", "--by", "W1"], "");
    shop.no(&["dispose", "TW-2041", "F1", "repair", "--by", "W1", "--reason", "looks easy"], "rule: role");
    let dispose = ["dispose", "TW-2041", "F1", "repair", "--by", "L1", "--reason", "cut out, dye check"];
    shop.no(&dispose, "signs with a PIN");
    shop.act(&[&dispose[..], &["--pin-stdin"]].concat(), "4711\n");

    // The job changes, so the paper does.
    let job = std::fs::read_to_string(shop.path("job.toml")).unwrap();
    let added = "\n[[operation]]\nid = \"cut-out-gusset\"\nverb = \"inspect\"\ntitle = \"Cut out the old gusset and dye check\"\non = \"front\"\nminutes = 40\nafter = [\"inspect-bare\"]\nstep = [\"Grind the gusset off, not into the tube.\", \"Dye check the place.\"]\nhold = \"No indication longer than 1/16 in.\"\nhold_role = \"inspector\"\n";
    std::fs::write(shop.path("job.toml"), format!("{job}{added}")).unwrap();
    shop.no(&["issue", "job.toml"], "revise");
    let said = shop.act(
        &["revise", "job.toml", "--by", "L1", "--reason", "F1: gusset cut out", "--json", "--pin-stdin"],
        "4711\n",
    );
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
    assert_eq!(place("cut-out-gusset"), place("inspect-bare") + 1);
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
    shop.no(&["close", "TW-2041", "--by", "W1", "--follow-up", "2026-04-02"], "rule: role");
    shop.no(&["close", "TW-2041", "--by", "L1", "--follow-up", "2026-03-01"], "before the day of closing");
    shop.act(&["close", "TW-2041", "--by", "L1", "--follow-up", "2026-04-02", "--pin-stdin"], "4711\n");
    let record = std::fs::read(shop.path("travelers/TW-2041/TW-2041-completed.pdf")).unwrap();
    (shop, record)
}

/// What is refused in the middle of the job.
fn refusals(shop: &Shop, plan: &[Value]) {
    let number = |id: &str| plan.iter().find(|o| o["id"] == id).unwrap()["number"].to_string();
    let read = number("read-caster");
    let first = format!("{read}.first.left");
    let measure = |what: &str, text: &str, extra: &[&str]| {
        let mut args = vec!["measure", "TW-2041", what, text, "--by", "L1"];
        args.extend(extra);
        args.iter().map(|s| (*s).to_owned()).collect::<Vec<_>>()
    };
    let no = |args: Vec<String>, part: &str| {
        shop.no(&args.iter().map(String::as_str).collect::<Vec<_>>(), part);
    };
    no(measure(&first, "2.5", &["--with", "CG-1"]), "no unit");
    no(measure(&first, "2.5 mm", &["--with", "CG-1"]), "a unit of length, not of angle");
    no(measure(&first, "NaN deg", &["--with", "CG-1"]), "number");
    no(measure(&first, "9000 deg", &["--with", "CG-1"]), "can't be");
    no(measure(&first, "2.5 deg", &[]), "names its instrument");
    no(measure(&first, "2.5 deg", &["--with", "TN-1"]), "or a finer one");
    no(measure(&first, "2.5 deg", &["--with", "XX-1"]), "known instruments only");
    no(measure(&first, "2.5 deg", &["--with", "TP-2"]), "the right kind of instrument");
    no(measure(&first, "95 deg", &["--with", "AF-1"]), "instruments in their range");
    no(measure(&format!("{read}.frist.left"), "2.5 deg", &["--with", "CG-1"]), "did you mean \"first.left\"");
    no(
        measure(&first, "2.5 deg", &["--with", "CG-1", "--at", "2027-03-02T08:00:00-06:00"]),
        "no entry from the future",
    );
    let sign = ["sign", "TW-2041", &number("cut-knuckles"), "--as", "lead", "--by", "L1", "--pin-stdin"];
    assert_eq!(shop.run(&sign, "0000\n").code, 1, "a wrong PIN, or an open hold");
    shop.no(&["tick", "TW-2041", &number("accept-knuckles"), "--by", "I1"], "open hold");
    shop.no(&["tick", "TW-2041", &read, "--by", "X1"], "nobody has the id");
    shop.no(&["status", "TW-9999"], "there is no traveler");
    shop.no(&["close", "TW-2041", "--by", "L1", "--follow-up", "2026-04-02"], "can't be closed");
    shop.no(&["revise", "job.toml", "--by", "L1", "--reason", "none"], "nothing changed");
}

/// One grey point.
const PNG: &[u8] = &[
    0x89, 0x50, 0x4E, 0x47, 0x0D, 0x0A, 0x1A, 0x0A, 0x00, 0x00, 0x00, 0x0D, 0x49, 0x48, 0x44, 0x52, 0x00,
    0x00, 0x00, 0x01, 0x00, 0x00, 0x00, 0x01, 0x08, 0x00, 0x00, 0x00, 0x00, 0x3A, 0x7E, 0x9B, 0x55, 0x00,
    0x00, 0x00, 0x0A, 0x49, 0x44, 0x41, 0x54, 0x78, 0x9C, 0x63, 0x68, 0x00, 0x00, 0x00, 0x82, 0x00, 0x81,
    0x77, 0xCD, 0x72, 0xB6, 0x00, 0x00, 0x00, 0x00, 0x49, 0x45, 0x4E, 0x44, 0xAE, 0x42, 0x60, 0x82,
];

fn verify(shop: &Shop, bytes: &[u8]) -> (i32, Value) {
    let path = shop.path("check.pdf");
    std::fs::write(&path, bytes).unwrap();
    let said = shop.run(&["verify", path.to_str().unwrap(), "--trust", PUBLIC, "--json"], "");
    (said.code, serde_json::from_str(&said.out).unwrap())
}

/// Bytes with one text in the place of another of the same length.
fn replaced(bytes: &[u8], old: &str, new: &str) -> Vec<u8> {
    assert_eq!(old.len(), new.len());
    let mut bytes = bytes.to_vec();
    let places: Vec<usize> =
        bytes.windows(old.len()).enumerate().filter(|(_, w)| *w == old.as_bytes()).map(|(i, _)| i).collect();
    assert!(!places.is_empty());
    for at in places {
        bytes[at..at + new.len()].copy_from_slice(new.as_bytes());
    }
    bytes
}

#[test]
fn a_whole_job_from_issue_to_follow_up() {
    let (mut shop, record) = story();
    if let Some(path) = std::env::var_os("TACKWRIGHT_SAMPLE") {
        std::fs::write(Path::new(env!("CARGO_MANIFEST_DIR")).join(path), &record).unwrap();
    }
    let (code, verdict) = verify(&shop, &record);
    assert_eq!(code, 0, "{verdict:#}");
    assert_eq!(verdict["record"], "TW-2041 rev B");

    // What the customer reads.
    let text: String =
        crate::support::pdf::pages(&record).iter().map(crate::support::pdf::Page::text).collect();
    for part in [
        "Completedrecord",
        "oldgussetunderthelef",
        "cutout,dyecheck",
        "F1:gussetcutout",
        "Frommeasuredvalues",
    ] {
        assert!(text.contains(part), "\"{part}\" is not on the pages");
    }
    let claims = crate::support::pdf::claims(&record);
    assert!(claims.metadata.contains("pdfaid") && claims.metadata.contains("pdfuaid"));

    // One changed byte anywhere fails.
    for i in (0..12).map(|n| record.len() * n / 12 + 7) {
        let mut changed = record.clone();
        changed[i] ^= 0x10;
        let (code, verdict) = verify(&shop, &changed);
        assert_eq!(code, 1, "byte {i}: {verdict:#}");
    }
    for bytes in [&b""[..], b"%PDF-1.7\n", b"not a pdf", &record[..record.len() / 2]] {
        assert_eq!(verify(&shop, bytes).0, 1);
    }

    // Another version makes other pages; the seal over every byte still holds.
    let seed: [u8; 32] = (0..32)
        .map(|i| u8::from_str_radix(&SEED[2 * i..2 * i + 2], 16).unwrap())
        .collect::<Vec<_>>()
        .try_into()
        .unwrap();
    let key = ed25519_dalek::SigningKey::from_bytes(&seed);
    let mine = whole::maker();
    let other = mine.replace("0.1", "0.9");
    let salt = Parts::of(pdf::attachments(&record).unwrap()).0.salt();
    let plain = whole::read(&record, &salt).bytes;
    let aged = whole::finish(replaced(&plain, &mine, &other), &salt, Some(&key));
    let (code, verdict) = verify(&shop, &aged);
    assert_eq!(code, 0, "{verdict:#}");
    assert!(verdict["checks"].as_array().unwrap().iter().any(|c| c["holds"].is_null()), "{verdict:#}");
    // Without the shop's key nobody can do that.
    let forged = whole::finish(replaced(&plain, &mine, &other), &salt, None);
    assert_eq!(verify(&shop, &forged).0, 1);

    // The follow-up stays, is overdue one day, and can be done after closing.
    let retorque = shop.plan("B").into_iter().find(|o| o["deferred"] == true).unwrap();
    let on = |day: &str| {
        let said = shop.run(&["status", "TW-2041", "--on", day, "--json"], "");
        serde_json::from_str::<Value>(&said.out).unwrap()["travelers"][0].clone()
    };
    assert_eq!(on("2026-04-02")["overdue"].as_array().unwrap().len(), 0);
    assert!(!on("2026-04-03")["overdue"].as_array().unwrap().is_empty());
    let open = on("2026-04-02")["follow_ups"].as_array().unwrap().len();
    // What is found at it is found, decided and entered; nothing else any more.
    let later = retorque["number"].to_string();
    shop.act(&["found", "TW-2041", &later, "nut turned before the click", "--by", "W1"], "");
    shop.no(&["found", "TW-2041", "10", "scratch", "--by", "W1"], "is closed");
    shop.decide("rework", "tightened again");
    shop.operation(&retorque);
    assert_eq!(shop.status()["follow_ups"].as_array().unwrap().len(), open - 1);
    let head = std::fs::read(shop.path("travelers/TW-2041/B/traveler.pdf")).unwrap();
    let pages = crate::support::pdf::pages(&head);
    assert!(
        pages[0].text().contains(PUBLIC) || pages[1].text().contains(PUBLIC),
        "the public key is on the head page"
    );
}

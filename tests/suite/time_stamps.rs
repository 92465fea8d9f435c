//! Time-stamp tokens: none is put into a record that holds less with it, and what a token
//! says against the shop's clock is said.

use std::process::Command;

use tackwright::seal::container::{self, Expected};
use tackwright::seal::pdf;

use crate::signature_records::{imports, none_against, signed};
use crate::support::bench::Bench;
use crate::support::time_service::token;

/// 2027-01-10T14:00:00Z, when the shop signed: the time of the last entry.
const SIGNED: i64 = 1_799_589_600;
const MINUTE: i64 = 60;
const DAY: i64 = 24 * 60 * MINUTE;

/// The value of the shop's signature in a record.
fn signature(record: &[u8]) -> Vec<u8> {
    let file = pdf::read(record).unwrap();
    let shop = &file.signatures[0];
    container::check(&shop.contents, Expected::Detached(&shop.signed(record))).unwrap().signature
}

#[test]
fn a_token_that_would_break_the_record_is_not_put_in() {
    let (shop, record) = signed();
    let over = signature(record);
    let put = |at: i64, name: &str| {
        let (file, reply) = (format!("{name}.pdf"), format!("{name}.tsr"));
        std::fs::write(shop.path(&file), record).unwrap();
        std::fs::write(shop.path(&reply), token(&over, at)).unwrap();
        let said = shop.run(&["timestamp", &file, "--reply", &reply], "");
        (said, shop.read(&file))
    };
    // Six minutes before the time it claims: the shop's clock was fast.
    let (said, left) = put(SIGNED - 6 * MINUTE, "early");
    assert!(
        said.code == 1 && said.err.contains("L360") && said.err.contains("6 minutes later"),
        "{}",
        said.err
    );
    assert!(said.err.contains("the same query gets a token that can be kept"), "{}", said.err);
    assert_eq!(&left, record, "what was refused changed nothing");
    // When the shop's certificate has ended, nothing shows that it was good when it signed.
    let (said, left) = put(SIGNED + 30 * 365 * DAY, "late");
    assert!(said.code == 1 && said.err.contains("L362") && said.err.contains("is good from"), "{}", said.err);
    assert_eq!(&left, record);
    // Clocks differ by minutes; the same signature seen by one that is near goes in.
    let before = shop.verify(record, &["--trust", &shop.root()]);
    let (said, stamped) = put(SIGNED - 4 * MINUTE, "near");
    assert_eq!(said.code, 0, "{}", said.err);
    assert_ne!(&stamped, record);
    let verdict = shop.verify(&stamped, &["--trust", &shop.root()]);
    none_against(&verdict);
    assert_eq!(verdict["holds"], before["holds"]);
    assert!(
        verdict["remarks"].to_string().contains("saw the signature of the shop on 2027-01-10 13:56"),
        "{verdict:#}"
    );
    // By the machine's own clock, a time that is still to come.
    let file = shop.path("to-come.pdf");
    std::fs::write(&file, record).unwrap();
    std::fs::write(shop.path("to-come.tsr"), token(&over, SIGNED + 80 * 365 * DAY)).unwrap();
    let said = Command::new(env!("CARGO_BIN_EXE_tackwright"))
        .args(["timestamp", "to-come.pdf", "--reply", "to-come.tsr"])
        .current_dir(file.parent().unwrap())
        .env_remove("SOURCE_DATE_EPOCH")
        .output()
        .unwrap();
    let words = String::from_utf8_lossy(&said.stderr);
    assert!(said.status.code() == Some(1) && words.contains("L361"), "{words}");
    assert_eq!(&std::fs::read(&file).unwrap(), record);
}

/// A record of a traveler, its journal, and the clock of the journal's last line.
fn with_journal() -> (Bench, usize, String) {
    let bench = Bench::small();
    bench.yes(&["issue", "job.toml"]);
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let journal = bench.text("travelers/journal.jsonl");
    let last: serde_json::Value = serde_json::from_str(journal.lines().last().unwrap()).unwrap();
    (bench, journal.lines().count(), last["hash"].as_str().unwrap().to_owned())
}

const RECORD: &str = "travelers/TW-2041/TW-2041-completed.pdf";
const JOURNAL: &str = "travelers/journal.jsonl";

fn verdict(bench: &Bench) -> serde_json::Value {
    bench.json(&["verify", RECORD, "--json", "--journal", JOURNAL])
}

#[test]
fn a_token_before_the_clock_of_the_line_it_covers_contradicts_the_record() {
    let (bench, lines, hash) = with_journal();
    bench.write("early.tsr", token(hash.as_bytes(), bench.now - 6 * MINUTE));
    bench.no(&["timestamp", JOURNAL, "--reply", "early.tsr"], "L360");
    bench.write("near.tsr", token(hash.as_bytes(), bench.now - 4 * MINUTE));
    bench.yes(&["timestamp", JOURNAL, "--reply", "near.tsr"]);
    let said = verdict(&bench);
    assert_eq!(said["holds"], "not-closed", "{said:#}");
    assert!(said["remarks"].to_string().contains("of the journal, with 1 entry of TW-2041,"), "{said:#}");
    assert_eq!(bench.run(&["status", "TW-2041"]).code, 0);
    // Seen two days before by the service: the log was written ahead of its time.
    let kept = format!("travelers/journal-{lines}.tsr");
    bench.write(&kept, token(hash.as_bytes(), bench.now - 2 * DAY));
    let said = verdict(&bench);
    assert_eq!(said["holds"], "contradicted", "{said:#}");
    assert!(said.to_string().contains("the clock was fast, or set forward"), "{said:#}");
    let said = bench.run(&["status", "TW-2041"]);
    assert!(
        said.code == 1 && said.out.contains("the clock was fast, or set forward"),
        "{}{}",
        said.out,
        said.err
    );
}

#[test]
fn a_file_that_is_no_token_of_the_journal_says_nothing_and_one_it_was_asked_for_does() {
    let (bench, lines, hash) = with_journal();
    let nothing = |part: &str| {
        let said = verdict(&bench);
        assert_eq!(said["holds"], "not-closed", "{said:#}");
        assert!(said["remarks"].to_string().contains(part), "{said:#}");
        assert_eq!(bench.run(&["status", "TW-2041"]).code, 0);
    };
    bench.write("travelers/journal-2.tsr", "any token");
    nothing("journal-2.tsr says nothing: it is no token");
    // Of something else, OpenSSL's, and one of ours over no line.
    bench.write("travelers/journal-2.tsr", std::fs::read(imports("stamp.tsr")).unwrap());
    nothing("journal-2.tsr says nothing: the token was made over something else");
    std::fs::remove_file(bench.path("travelers/journal-2.tsr")).unwrap();
    // Under another name it says what it says.
    bench.write("travelers/journal-900.tsr", token(hash.as_bytes(), bench.now));
    nothing(&format!("saw the first {lines} line"));
    std::fs::remove_file(bench.path("travelers/journal-900.tsr")).unwrap();
    // A line that was asked about, and is another by now: the journal was written anew.
    bench.write("reply.tsr", token(hash.as_bytes(), bench.now));
    bench.yes(&["timestamp", JOURNAL, "--reply", "reply.tsr"]);
    let other = token("another line".as_bytes(), bench.now);
    bench.write(&format!("travelers/journal-{lines}.tsr"), &other);
    nothing("the token was made over something else");
    let asked = tackwright::seal::token::question(&other).unwrap();
    bench.write(&format!("travelers/journal-{lines}.tsq"), asked);
    let said = verdict(&bench);
    assert_eq!(said["holds"], "contradicted", "{said:#}");
    assert!(said.to_string().contains("of this journal is another: it was written anew"), "{said:#}");
    assert_eq!(bench.run(&["status", "TW-2041"]).code, 1);
}

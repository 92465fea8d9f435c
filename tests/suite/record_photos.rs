//! Photos a record can be made with, and what they show.

use serde_json::Value as Json;
use tackwright::record::as_left::{by_the_shop, shows_left};
use tackwright::record::entry::{Action, Entry, Photo};
use tackwright::record::frozen::{Frozen, RULES};
use tackwright::record::moved::AsPrinted;
use tackwright::record::replay::replay;
use tackwright::record::state::fold;
use tackwright::term::Shows;

use super::record_attacks::entries;
use super::record_gates::{at, entry, issued, read};
use super::record_held::plan;
use crate::support::bench::Bench;

const PRINT: &[u8] = include_bytes!("../cases/photos/print-colours.jpg");

fn last(bench: &Bench) -> Json {
    entries(&bench.read("travelers/TW-2041/log.jsonl")).pop().unwrap()
}

#[test]
fn a_photo_in_colours_of_print_is_filed_so_that_a_record_can_be_made() {
    let bench = Bench::issued();
    bench.write("camera.jpg", PRINT);
    bench.yes(&["photo", "TW-2041", "10", "camera.jpg", "--shows", "as-found", "--by", "LO"]);
    assert_eq!(last(&bench)["what"]["photos"][0]["original"], tackwright::record::sha256(PRINT));
    let crack = "crack at the toe of the old weld";
    bench.yes(&["found", "TW-2041", "10", crack, "--photo", "camera.jpg", "--by", "LO"]);
    assert_eq!(last(&bench)["what"]["photos"][0]["original"], tackwright::record::sha256(PRINT));
    bench.yes(&["complete", "TW-2041", "--by", "LO"]);
    let record = "travelers/TW-2041/TW-2041-completed.pdf";
    assert_eq!(bench.json(&["verify", record, "--json"])["holds"], "not-closed");
}

#[test]
fn a_photo_as_left_of_nothing_is_refused() {
    let bench = Bench::issued();
    bench.write("camera.jpg", PRINT);
    let said =
        bench.no(&["photo", "TW-2041", "10", "camera.jpg", "--shows", "as-left", "--by", "LO"], "L357");
    let words = ["nothing was entered at 10", "--shows as-found"];
    assert!(words.iter().all(|w| said.err.contains(w)), "{}", said.err);
}

fn shown(n: u64, time: &str, key: &str) -> Entry {
    let photo = Photo { file: format!("P{n}-1.jpg"), sha256: n.to_string(), bytes: 1, original: None };
    let action = Action::Photographed {
        operation: at(key),
        photos: vec![photo],
        reading: None,
        shows: Shows::AsLeft,
        step: None,
    };
    entry(n, time, "F1", action)
}

#[test]
fn what_is_left_is_shown_after_the_last_work_on_it() {
    let plan = Frozen { rules: RULES, ..plan() };
    let weld = |n, time| entry(n, time, "F1", read("weld", "interpass", 5.0));
    let judged = |log: &[Entry]| {
        let again = replay(&[&plan], log, &AsPrinted);
        let of = |all: &[(u64, String)]| all.iter().any(|(_, why)| why.contains("as left"));
        (of(&again.against), of(&again.told))
    };
    // Before the work, after it, and before more of it that was entered since.
    assert_eq!(judged(&[issued("LO"), shown(2, "08:00", "weld")]), (true, false));
    assert_eq!(judged(&[issued("LO"), weld(2, "09:00"), shown(3, "08:00", "weld")]), (true, false));
    assert_eq!(judged(&[issued("LO"), weld(2, "09:00"), shown(3, "09:30", "weld")]), (false, false));
    let between = [issued("LO"), weld(2, "09:00"), weld(3, "11:00"), shown(4, "10:00", "weld")];
    assert_eq!(judged(&between), (false, true));
    let left = |log: &[Entry]| {
        let state = fold(log);
        let taken = state.photographed.last().unwrap();
        (shows_left(&plan, &state, taken), by_the_shop(taken))
    };
    assert_eq!(left(&between), (false, true));
    let mut log = vec![issued("LO"), weld(2, "09:00"), shown(3, "09:30", "fit")];
    assert_eq!(left(&log), (true, true));
    // The arc goes on: the picture of an hour before shows nothing as it is left.
    log.push(weld(4, "11:00"));
    assert_eq!(left(&log), (false, true));
    log[2].by.role = "customer".to_owned();
    assert_eq!(left(&log), (false, false));
}

//! What a reader takes on trust of instruments, second persons and chosen words.

use super::super::super::super::document::Exception;
use super::super::{Facts, day, moment};
use super::exceptions::{place, who};
use super::sentence;
use crate::record::calibration;
use crate::record::reviewed::own_reviews;

/// Kind of a reading whose instrument was in calibration by the time stated alone.
const BY_CLOCK: &str = "Calibration ended by the clock";
/// Kind of a review by whoever issued what it reviews.
const NO_SECOND: &str = "No second person read the plan";
/// Kind of a word that was chosen before something was found there.
const QUESTIONED: &str = "Word in question";

/// Kind of what the shop book said otherwise of people than before.
const SHOP_BOOK: &str = "Shop book changed";

/// All of it.
pub(super) fn rows(facts: &Facts<'_>) -> Vec<Exception> {
    let mut all = questioned(facts);
    all.extend(own_plans(facts));
    all.extend(by_the_clock(facts));
    all.extend(facts.shop_rows.iter().map(|words| Exception {
        kind: SHOP_BOOK.to_owned(),
        what: format!("{}.", sentence(words)),
        reason: "The shop keeps its book, and changed it while the work went on.".to_owned(),
        ..Exception::default()
    }));
    all
}

/// Words that say all is well, and something was found there later.
fn questioned(facts: &Facts<'_>) -> Vec<Exception> {
    let all = facts.state.questioned(facts.plan).into_iter();
    all.map(|q| Exception {
        kind: QUESTIONED.to_owned(),
        place: place(q.operation),
        what: format!(
            "{}: {}. {} was found there later: {}.",
            q.reading.label,
            q.measured.text,
            q.found.number,
            q.found.text.trim_end_matches('.')
        ),
        reason: "It was not read again since, and no lead says that it stands. NOT DECIDED.".to_owned(),
        open: true,
        ..Exception::default()
    })
    .collect()
}

/// Plans that were read by whoever issued them alone.
fn own_plans(facts: &Facts<'_>) -> Vec<Exception> {
    let all = own_reviews(facts.plan, facts.state, facts.entries).into_iter();
    all.map(|(operation, point, signed)| Exception {
        kind: NO_SECOND.to_owned(),
        place: format!("{}; {}, entry {}", place(operation), day(&signed.mark.at), signed.mark.n),
        what: format!(
            "{} was signed by {}, who issued the paper: the shop book knew nobody else who might.",
            point.number,
            who(&signed.mark)
        ),
        ..Exception::default()
    })
    .collect()
}

/// Readings with instruments whose calibration had ended when they were written down.
fn by_the_clock(facts: &Facts<'_>) -> Vec<Exception> {
    let stands = facts.entries.iter().filter(|e| !facts.state.voided.contains(&e.n));
    let late = stands.filter_map(|e| Some((e, calibration::late(facts.plan, e)?)));
    late.map(|(entry, words)| Exception {
        kind: BY_CLOCK.to_owned(),
        place: format!("entry {}, {}", entry.n, moment(&entry.at)),
        what: format!("{}.", sentence(&words)),
        reason: "Whether it was read before the calibration ended rests on the time stated.".to_owned(),
        ..Exception::default()
    })
    .collect()
}

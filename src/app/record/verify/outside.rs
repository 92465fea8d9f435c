//! A completed record against what is kept outside of it: the journal of the shop, and the
//! files its entries were taken in from.

use super::{Outcome, Trust, Verdict};
use crate::app::record::{evidence, signature};
use crate::record::journal::Against;
use crate::record::{Entry, log, state};

/// The log against the journal of the shop.
pub(super) fn journal(verdict: &mut Verdict, chain: &log::Chain, trust: &Trust) {
    let Some(journal) = &trust.journal else { return };
    if let Some((line, why)) = &journal.damage {
        verdict.remarks.push(format!("Line {line} of the journal is damaged: {why}."));
    }
    let number = state::issue(&chain.entries).map(|i| i.number.clone()).unwrap_or_default();
    signature::journal(verdict, trust, &number);
    if !journal.travelers().contains(&number.as_str()) {
        verdict.look(false, "", format!("The journal does not know {number}."));
        return;
    }
    if let Some(from) = journal.gap(&number, chain.entries.len()).filter(|from| *from > 0) {
        verdict.look(
            false,
            "",
            format!("The journal knows {number} from entry {from} on only: it was begun anew, or lines of it are lost."),
        );
    }
    match journal.against(&number, &chain.hashes) {
        None => {
            verdict.look(true, "The journal of the shop saw this log grow, and nothing after it.", "");
        }
        Some(Against::Unseen { entries }) => {
            verdict.remarks.push(format!("The last {entries} entries are not in the journal."));
        }
        Some(against) => {
            verdict.look(false, "", format!("The journal speaks against it: {against}."));
        }
    }
}

/// What entries were taken in from: the files are no part of the record, and the
/// traveler's folder keeps them.
pub(super) fn sources(verdict: &mut Verdict, entries: &[Entry], trust: &Trust) {
    let named = evidence::named(entries);
    if named.is_empty() {
        return;
    }
    let Some(kept) = &trust.kept else {
        verdict.limits.push(format!(
            "What the {} sheets, copies and pictures that entries were taken in from say: they are kept in the traveler's folder, by the digests in the log (--kept FOLDER).",
            named.len()
        ));
        return;
    };
    let gone = evidence::against(&named, kept);
    verdict.evidence_gone = !gone.is_empty();
    if gone.is_empty() {
        let words =
            format!("All {} files that entries were taken in from are kept, as they were.", named.len());
        verdict.say(Outcome::Good, words);
    }
    for words in gone.iter().take(8) {
        verdict.remarks.push(format!("Evidence: {words}."));
    }
    if gone.len() > 8 {
        verdict
            .remarks
            .push(format!("{} more files that entries were taken in from are gone.", gone.len() - 8));
    }
}

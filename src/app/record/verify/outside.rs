//! A completed record against what is kept outside of it: the journal of the shop, and the
//! files its entries were taken in from.

use super::{Outcome, Trust, Verdict};
use crate::app::record::{evidence, signature};
use crate::diagnostic::Diagnostic;
use crate::record::journal::Against;
use crate::record::{Entry, log, state};
use crate::term::counted;

/// Fewest digits of a head that name one entry and no other.
const DIGITS: usize = 12;

/// Reads a head of a log as a slip, a note or `status` has it.
///
/// # Errors
/// If it is no head: what was mistyped says nothing of a record.
pub fn head(text: &str) -> Result<String, Diagnostic> {
    // On paper the number of its entry may stand behind it.
    let digits = text.split('(').next().unwrap_or_default();
    let digits: String = digits.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_lowercase).collect();
    let hex = digits.bytes().all(|b| b.is_ascii_hexdigit());
    if hex && (DIGITS..=64).contains(&digits.len()) {
        return Ok(digits);
    }
    let why =
        if hex { format!("it has {} digits", digits.len()) } else { "a digit is 0 to 9 or a to f".into() };
    Err(Diagnostic::error("L222", format!("\"{}\" is no head of a log: {why}", text.trim()))
        .expected(format!("at least {DIGITS} digits, as a slip or `status` prints them"))
        .help("nothing was checked: read the digits again"))
}

/// Most bytes behind the end of a file that are told.
const TOLD: usize = 24;

/// What stands behind the end of the file: no reader shows it, no digest or signature is of it.
pub(super) fn behind(verdict: &mut Verdict, bytes: &[u8], length: usize) {
    if bytes.is_empty() {
        return;
    }
    let sound = !verdict.looked.iter().any(|l| matches!(l.outcome, Outcome::Bad | Outcome::Contradicted));
    let start = bytes.get(..TOLD).unwrap_or(bytes);
    let plain = start.iter().all(|b| b.is_ascii_graphic() || *b == b' ');
    let first = match std::str::from_utf8(start) {
        Ok(text) if plain => format!("\"{text}\""),
        _ => start.iter().map(|b| format!("{b:02x}")).collect::<Vec<_>>().join(" "),
    };
    let what_was_sealed = if sound {
        format!(
            "Nothing of what was sealed was changed: the first {} bytes of the file are as they were made",
            length - bytes.len()
        )
    } else {
        "What else was changed stands with the other lines".to_owned()
    };
    verdict.look(
        false,
        "",
        format!(
            "{} behind the end of the file, and nobody sealed that. It begins with {first}. {what_was_sealed}.",
            counted(bytes.len(), "byte stands", "bytes stand")
        ),
    );
}

/// The log against heads that were kept on paper.
pub(super) fn heads(verdict: &mut Verdict, chain: &log::Chain, trust: &Trust) {
    let number = state::issue(&chain.entries).map(|i| i.number.clone()).unwrap_or_default();
    for digits in &trust.heads {
        if let Some(place) = chain.hashes.iter().position(|hash| hash.starts_with(digits)) {
            let words = format!(
                "The head {digits} from paper is entry {} of this log, and all before it is as it was then.",
                place + 1
            );
            verdict.say(Outcome::Good, words);
            continue;
        }
        // A slip of the work after hand-over, kept longer than the file.
        let later = trust.journal.as_ref().and_then(|journal| {
            let notes = journal.notes.iter().filter(|n| *n.traveler == *number);
            notes
                .filter(|n| n.head.starts_with(digits))
                .map(|n| n.entries)
                .find(|n| *n > chain.hashes.len() as u64)
        });
        if let Some(later) = later {
            verdict.older = true;
            verdict.remarks.push(format!(
                "The head {digits} from paper is entry {later} by the journal: made after this file was."
            ));
            continue;
        }
        verdict.say(
            Outcome::Contradicted,
            format!(
                "No entry of this log has the head {digits} from paper: the log was written anew or cut short, or the head is misread, of another traveler, or of an entry made later (the shop's journal tells: --journal FILE)."
            ),
        );
    }
}

/// The log against the journal of the shop.
pub(super) fn journal(verdict: &mut Verdict, chain: &log::Chain, trust: &Trust) {
    let Some(journal) = &trust.journal else { return };
    let number = state::issue(&chain.entries).map(|i| i.number.clone()).unwrap_or_default();
    if let Some((line, why)) = &journal.damage {
        // Whatever stands behind it may speak against the record.
        verdict.say(
            Outcome::Contradicted,
            format!("{}; nothing after it can be read.", why.at(&format!("Line {line} of the journal"))),
        );
    }
    signature::journal(verdict, trust, &number, &chain.entries);
    if !journal.travelers().contains(&number.as_str()) {
        verdict.say(
            Outcome::Contradicted,
            format!(
                "The journal does not know {number}: it is another shop's or another folder's, or one begun anew."
            ),
        );
        return;
    }
    let gap = journal.gap(&number, chain.entries.len()).filter(|from| *from > 0);
    if let Some(from) = gap {
        verdict.say(
            Outcome::Contradicted,
            format!("The journal knows {number} from entry {from} on only: it was begun anew, or lines of it are lost."),
        );
    }
    if let Some((from, to)) = journal.back(&number) {
        verdict.say(
            Outcome::Contradicted,
            format!("The journal goes from entry {from} of {number} back to entry {to}: none that saw a log grow does."),
        );
        return;
    }
    let missed = journal.missed(&number, &chain.entries);
    match journal.against(&number, &chain.hashes) {
        None | Some(Against::Unseen { .. }) if journal.damage.is_some() => {}
        // What it says for the log it says of a part of it.
        None if gap.is_some() => {}
        None if missed > 0 => verdict.remarks.push(format!(
            "The journal knows the end of this log, and did not see {} of it being made: it was not at hand, or lines of it are lost.",
            counted(missed, "entry", "entries")
        )),
        None => {
            verdict.look(true, "The journal of the shop saw this log grow, and nothing after it.", "");
        }
        Some(Against::Unseen { entries }) => {
            verdict.remarks.push(format!(
                "{} not in the journal.",
                counted(entries, "entry, the last, is", "entries, the last, are")
            ));
        }
        Some(Against::Shorter { seen }) => {
            verdict.older = true;
            let later = seen.saturating_sub(chain.hashes.len() as u64);
            verdict.remarks.push(format!(
                "The journal knows {} after the {} of this file: work after hand-over or a later record, or the last lines of this one were cut off.",
                counted(later, "entry", "entries"),
                chain.hashes.len()
            ));
        }
        Some(against) => {
            verdict.say(Outcome::Contradicted, format!("The journal speaks against it: {against}."));
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
            "What stands in {} that entries were taken in from: the traveler's folder keeps it, by the digests in the log (--kept FOLDER).",
            counted(named.len(), "sheet, copy or picture", "sheets, copies and pictures")
        ));
        return;
    };
    let gone = evidence::against(&named, kept);
    verdict.evidence_gone = !gone.is_empty();
    if gone.is_empty() {
        let words =
            format!("{} kept that entries were taken in from.", counted(named.len(), "file is", "files are"));
        verdict.say(Outcome::Good, words);
    }
    for words in gone.iter().take(8) {
        verdict.remarks.push(format!("Evidence: {words}."));
    }
    if gone.len() > 8 {
        verdict.remarks.push(format!(
            "{} that entries were taken in from.",
            counted(gone.len() - 8, "more file is gone", "more files are gone")
        ));
    }
}

//! How a person was identified, as entries say it, and how far what was issued bears it
//! out: an entry is only words, and whoever writes a log writes them too.

use std::collections::BTreeSet;

use super::entry::Entry;

/// How a person with a PIN was identified.
pub const BY_PIN: &str = "pin";
/// How a person without one was.
pub const BY_ID: &str = "not by PIN: the book has none";
/// What is added where the PIN was set after the traveler was issued.
pub const SET_LATER: &str = "set after the issue";
/// What is added where the holder of the shop's root key set it, before the first digits of that
/// root.
pub const BY_ROOT: &str = "the holder of the shop's root key";
/// What is added where the hash in the book is not the one that was set last.
pub const NOT_SET: &str = "written into the book by hand";
/// What is added where the record and its journal know another PIN of the person.
pub const OTHER: &str = "not a PIN the record knew";
/// What is added where the paper was issued without it, and nobody wrote down since that
/// it was set.
pub const NOT_KNOWN: &str = "not known at the issue, nor when it was set";
/// What is added where the journal counted wrong tries that the file of tries has not.
pub const TRIES_GONE: &str = "the file of wrong tries does not have them all";

/// Edition of the rules since which the issue names everybody who had a PIN.
const NAMED_SINCE: u32 = 2;
/// Edition of the rules since which an entry says of any other PIN where it comes from.
const SAID_SINCE: u32 = 5;

/// Whether an entry says that its person was identified by a PIN.
#[must_use]
pub fn by_pin(identified: &str) -> bool {
    identified == BY_PIN || identified.strip_prefix(BY_PIN).is_some_and(|rest| rest.starts_with(','))
}

/// What an entry says by itself against its PIN, in words that follow "a PIN that".
fn said(identified: &str) -> Option<&'static str> {
    [
        (
            OTHER,
            "is not the one the record knew of the person: somebody set another one, or another book was used",
        ),
        (NOT_SET, "was written into the book by hand, not set by whoever it belongs to"),
        (SET_LATER, "was set after the traveler was issued"),
        (NOT_KNOWN, UNKNOWN),
        (
            TRIES_GONE,
            "was tried and missed before, and somebody took tries out of the file beside the shop book: look whether it was guessed",
        ),
    ]
    .into_iter()
    .find_map(|(what, words)| identified.contains(what).then_some(words))
}

/// Of a PIN nothing bears out.
const UNKNOWN: &str = "nobody knew of when the traveler was issued, and nothing says since when there is one";

/// Whether the paper was issued without the PIN an entry of `edition` is said to rest on, and
/// the entry does not say where that PIN comes from. `pinned` are those who had one by what
/// was issued until then.
pub(super) fn unknown(entry: &Entry, pinned: &BTreeSet<String>, edition: u32) -> bool {
    edition >= NAMED_SINCE
        && !pinned.contains(&entry.by.id)
        && entry.identified().is_some_and(|how| by_pin(how) && said(how).is_none())
}

/// Whether entries of an edition always say where a PIN comes from that was not there at the
/// issue: what does not was never written by the rules.
pub(super) const fn always_said(edition: u32) -> bool {
    edition >= SAID_SINCE
}

/// Signatures and decisions whose PIN what was issued does not bear out, with words that
/// follow "a PIN that". `edition` is that of the rules of the plan.
#[must_use]
pub fn not_borne_out(entries: &[Entry], edition: u32) -> Vec<(&Entry, &'static str)> {
    let mut pinned: BTreeSet<String> = BTreeSet::new();
    let mut found = Vec::new();
    for entry in entries {
        if let Some(issue) = entry.issue() {
            pinned.extend(issue.pins.keys().cloned());
        }
        let own = entry.identified().filter(|how| by_pin(how)).and_then(said);
        // Whoever issues has a PIN by the book of that very minute.
        let none = || (entry.n > 1 && unknown(entry, &pinned, edition)).then_some(UNKNOWN);
        found.extend(own.or_else(none).map(|words| (entry, words)));
    }
    found
}

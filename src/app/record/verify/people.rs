//! Who made the entries, beside the people the paper was issued with.

use std::collections::BTreeMap;

use super::verdict::{TOLD, Verdict};
use crate::app::record::completed::Parts;
use crate::app::record::recompute::Reckoner;
use crate::app::record::shop_rows;
use crate::record::{By, Entry};
use crate::term::counted;

/// What the frozen rows of the shop book say of who acted.
pub(super) fn told(verdict: &mut Verdict, parts: &Parts, entries: &[Entry], reckoner: &Reckoner) {
    strangers(verdict, entries, reckoner);
    risen(verdict, entries, reckoner);
    let rows = shop_rows::told(|letter| parts.frozen(letter, shop_rows::ROWS), entries);
    verdict.remarks.extend(rows.iter().take(TOLD).map(|words| format!("{words}.")));
    verdict.more(rows.len(), "thing the shop book said otherwise", "things the shop book said otherwise");
}

/// People the paper was not issued with. The shop may have taken them on since; a log
/// that was written anew may have made them up.
fn strangers(verdict: &mut Verdict, entries: &[Entry], reckoner: &Reckoner) {
    let mut unknown: Vec<(&By, usize)> = Vec::new();
    let mut last: Option<&By> = None;
    for entry in entries {
        let by = &entry.by;
        // The book is of the shop's people.
        if by.role == "customer" {
            continue;
        }
        if let Some((_, count)) = unknown.iter_mut().find(|(u, _)| u.id == by.id && u.name == by.name) {
            *count += 1;
            continue;
        }
        // Entries of one person follow each other.
        if last.is_some_and(|last| last.id == by.id && last.name == by.name) {
            continue;
        }
        let mut known = reckoner.bases().iter().filter_map(|base| base.knows(by)).peekable();
        if known.peek().is_some() && !known.any(|knows| knows) {
            unknown.push((by, 1));
        } else {
            last = Some(by);
        }
    }
    if !unknown.is_empty() {
        let named: Vec<String> = unknown
            .iter()
            .take(4)
            .map(|(by, count)| format!("{} ({}), {}", by.name, by.id, counted(*count, "entry", "entries")))
            .collect();
        let more = unknown.len() - named.len();
        let more = if more == 0 { String::new() } else { format!(" and {more} more") };
        verdict.remarks.push(format!(
            "The rows of the shop book frozen with the paper do not have {}{more}: ask the shop since when they work there.",
            named.join("; ")
        ));
    }
}

/// Who acted in a role that the paper was issued without knowing of them: a book may be
/// changed while the work goes on.
fn risen(verdict: &mut Verdict, entries: &[Entry], reckoner: &Reckoner) {
    let mut acted: BTreeMap<(&str, &str, &str), (&By, usize)> = BTreeMap::new();
    for by in entries.iter().map(|e| &e.by).filter(|by| !by.role.is_empty()) {
        acted.entry((&by.id, &by.name, &by.role)).or_insert((by, 0)).1 += 1;
    }
    for (by, count) in acted.into_values() {
        let known: Vec<bool> = reckoner.bases().iter().filter_map(|base| base.acts(by)).collect();
        if !known.is_empty() && !known.contains(&true) {
            verdict.remarks.push(format!(
                "{} ({}) acted as {} in {}, and was none when the paper was issued: ask the shop since when.",
                by.name,
                by.id,
                by.role,
                counted(count, "entry", "entries")
            ));
        }
    }
}

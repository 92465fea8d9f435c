//! What speaks against a traveler as it lies in its folder: entries that no rule would have
//! taken, photos that are not those that were filed. Whoever has the folder can write a log
//! anew with every hash right; before anybody says that all is done it is gone through again.

use std::path::Path;

use super::files::RecordHost;
use super::photo::ends_a_file;
use super::recompute::{Base, Reckoner};
use super::weigh::judge;
use super::{folder, stored};
use crate::app::plan::Failure;
use crate::quantity::{Kind, Quantity};
use crate::record::entry::{Action, Measured};
use crate::record::frozen::Limits;
use crate::record::moved::{AsPrinted, Reckon};
use crate::record::people::Spread;
use crate::record::{Entry, Frozen, State, replay, sha256};

/// Entries that are named one by one.
const NAMED: usize = 3;

/// Entries against the rules by the plans as they were printed; what readings moved since
/// is not looked at. In words, for whoever looks where a traveler stands.
///
/// # Errors
/// If a frozen plan is missing or was changed.
pub fn against(host: &dyn RecordHost, traveler: &Path, entries: &[Entry]) -> Result<Vec<String>, Failure> {
    let issues = entries.iter().filter_map(Entry::issue);
    let plans: Vec<Frozen> =
        issues.map(|issue| stored::frozen_plan(host, traveler, issue)).collect::<Result<_, _>>()?;
    Ok(replayed(&plans, entries, &AsPrinted, |_| false))
}

/// As [`against`], with everything computed again.
///
/// # Errors
/// If what was frozen is missing, was changed or can't be planned with.
pub fn all_against(
    host: &dyn RecordHost,
    traveler: &Path,
    entries: &[Entry],
) -> Result<Vec<String>, Failure> {
    let (mut plans, mut bases) = (Vec::new(), Vec::new());
    for issue in entries.iter().filter_map(Entry::issue) {
        let content = stored::load(host, traveler, issue)?;
        // What another version froze may not be planned alike; its plan is judged all the same.
        bases.extend(Base::of(&content.files, &content.plan).ok().filter(Base::planned_alike));
        plans.push(content.plan);
    }
    let alike: Vec<String> = bases.iter().map(|base| base.revision().to_owned()).collect();
    // As `verify` does.
    let planned_alike = |n: u64| {
        let issued = entries.iter().filter(|e| e.n <= n).filter_map(Entry::issue).next_back();
        issued.is_some_and(|issue| alike.contains(&issue.revision))
    };
    Ok(replayed(&plans, entries, &Reckoner::of(bases), planned_alike))
}

fn replayed(
    plans: &[Frozen],
    entries: &[Entry],
    reckon: &dyn Reckon,
    planned_alike: impl Fn(u64) -> bool,
) -> Vec<String> {
    let plans: Vec<&Frozen> = plans.iter().collect();
    let mut again = replay::replay(&plans, entries, reckon);
    again.count_otherwise(planned_alike);
    let mut all = again.against;
    let more = all.len().saturating_sub(NAMED);
    all.truncate(NAMED);
    let mut words: Vec<String> =
        all.into_iter().map(|(n, why)| format!("entry {n} is against the rules: {why}")).collect();
    if more > 0 {
        words.push(format!("{more} more are against the rules"));
    }
    let (_, wrong) = misjudged(entries);
    if !wrong.is_empty() {
        words.push(format!("the verdict does not follow from the reading in entries {wrong:?}"));
    }
    words
}

/// Photos of the record that are gone or are not those that were filed.
#[must_use]
pub fn photos(host: &dyn RecordHost, traveler: &Path, state: &State) -> Vec<String> {
    let wrong = state.photos().filter_map(|photo| {
        let path = folder::photo(traveler, &photo.file).ok();
        let bytes = path.and_then(|path| folder::read(host, traveler, &path).ok());
        match bytes {
            None => Some(format!("the photo {} is missing: put it back from the backup", photo.file)),
            Some(bytes) if sha256(&bytes) != photo.sha256 => Some(format!(
                "the photo {} is not the one that was filed: put it back from the backup",
                photo.file
            )),
            Some(bytes) if ends_a_file(&bytes) => Some(format!(
                "the photo {} holds what ends a PDF file, and no record can be made with it: take its entry back (tackwright correct) and file it again",
                photo.file
            )),
            Some(_) => None,
        }
    });
    wrong.collect()
}

/// How many readings there are, and the entries of those whose verdict does not follow from
/// what was read, by the limits in the entry.
pub(super) fn misjudged(entries: &[Entry]) -> (usize, Vec<u64>) {
    let read = entries.iter().filter_map(|entry| match &entry.what {
        Action::Measure { reading } => Some((entry.n, reading)),
        _ => None,
    });
    let wrong = read.clone().filter(|(_, reading)| !follows(reading)).map(|(n, _)| n).collect();
    (read.count(), wrong)
}

/// Whether value and verdict of a reading follow from its words, its limits and its uncertainty.
fn follows(reading: &Measured) -> bool {
    let number = |text: &Option<String>| text.as_ref().and_then(|t| t.parse::<f64>().ok());
    let Some(word) = &reading.kind else { return true };
    let Some(kind) = Kind::ALL.iter().copied().find(|k| k.word() == word) else { return false };
    let quantity = |text| number(text).map(|v| Quantity::from_si(kind, v));
    let limits =
        Limits { kind, target: None, lower: quantity(&reading.lower), upper: quantity(&reading.upper) };
    let spread = number(&reading.uncertainty).map(|fixed| Spread { fixed, share: 0.0 });
    let again = judge(Some(limits), &reading.text, spread);
    again.is_ok_and(|a| a.value == reading.value && a.verdict == reading.verdict)
}

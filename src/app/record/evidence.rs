//! What entries were taken in from: sheets, copies and pictures of paper. They are no
//! part of the completed record; the entries name them by their digests, and the
//! traveler's folder keeps them.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use super::files::RecordHost;
use super::folder;
use crate::app::host::There;
use crate::record::{Entry, sha256};

/// Endings of the names of files that are taken in.
const ENDINGS: &[&str] = &["csv", "pdf", "png", "jpg", "jpeg", "tif", "tiff"];

/// A file entries were taken in from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Source {
    /// SHA-256.
    pub sha256: String,
    /// What it is: `an entry sheet`, `a crop of a picture`.
    pub what: String,
    /// Where it stood, for a person: `line 12`, or the picture and its page.
    pub place: String,
    /// Entries that rest on it.
    pub entries: Vec<u64>,
}

/// The files a log says its entries were taken in from, each once.
#[must_use]
pub fn named(entries: &[Entry]) -> Vec<Source> {
    let mut found: BTreeMap<String, Source> = BTreeMap::new();
    for entry in entries {
        let Some(taken) = &entry.taken_in else { continue };
        let mut note = |digest: &str, what: &str, place: &str| {
            let source = found.entry(digest.to_owned()).or_insert_with(|| Source {
                sha256: digest.to_owned(),
                what: what.to_owned(),
                place: place.to_owned(),
                entries: Vec::new(),
            });
            source.entries.push(entry.n);
        };
        note(&taken.sha256, &taken.way.to_string(), &taken.place);
        if let Some(picture) = &taken.picture {
            note(&picture.sha256, "a picture of paper", &picture.place);
            picture.crops.iter().for_each(|crop| note(crop, "a crop of a picture", &picture.place));
        }
    }
    found.into_values().collect()
}

/// Digests of the files a traveler's folder keeps of what was taken in.
#[must_use]
pub fn kept(host: &dyn RecordHost, traveler: &Path) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for place in [folder::all_taken_in(traveler), folder::pictures(traveler)] {
        let files = ENDINGS.iter().flat_map(|ending| host.files(&place, ending).unwrap_or_default());
        found.extend(
            files.filter_map(|path| folder::read(host, traveler, &path).ok()).map(|bytes| sha256(&bytes)),
        );
    }
    found
}

/// The folder of a traveler a completed record stands in, if it does.
#[must_use]
pub fn beside<'a>(host: &dyn RecordHost, record: &'a Path) -> Option<&'a Path> {
    let traveler = record.parent()?;
    (host.there(&folder::log(traveler)) == There::File).then_some(traveler)
}

/// What is missing or changed, each in words.
#[must_use]
pub fn against(sources: &[Source], kept: &BTreeSet<String>) -> Vec<String> {
    let gone = sources.iter().filter(|s| !kept.contains(&s.sha256));
    gone.map(|s| {
        let numbers: Vec<String> = s.entries.iter().take(4).map(u64::to_string).collect();
        let more = if s.entries.len() > numbers.len() { " and more" } else { "" };
        format!(
            "{} ({}, SHA-256 {}…) is missing or was changed; entries {}{more} were taken in from it: put it back into the traveler's folder from the backup",
            s.what,
            s.place,
            s.sha256.get(..16).unwrap_or(&s.sha256),
            numbers.join(", ")
        )
    })
    .collect()
}

/// As [`against`], by what the traveler's folder keeps.
#[must_use]
pub fn lost(host: &dyn RecordHost, traveler: &Path, entries: &[Entry]) -> Vec<String> {
    let sources = named(entries);
    if sources.is_empty() { Vec::new() } else { against(&sources, &kept(host, traveler)) }
}

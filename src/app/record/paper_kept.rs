//! What is kept of pictures of paper beside them: what was read, by which rules,
//! and the crops.

use std::collections::BTreeMap;
use std::path::Path;

use serde::{Deserialize, Serialize};

use super::files::RecordHost;
use super::folder;
use crate::form::{BoxName, Proposed};
use crate::picture::PageSeen;

/// What is kept of a picture beside it.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub(super) struct Kept {
    /// File name as it came.
    pub(super) file: String,
    /// Its SHA-256.
    pub(super) sha256: String,
    /// When it was read.
    pub(super) at: String,
    /// Rules it was read by.
    pub(super) rule: String,
    /// The pages read.
    pub(super) pages: Vec<PageSeen>,
    /// Place of each of them in the file: `page 3`; empty where it holds one picture.
    #[serde(default)]
    pub(super) places: Vec<String>,
    /// SHA-256 of each crop, by the label of its box.
    pub(super) crops: BTreeMap<String, String>,
}

impl Kept {
    /// Where a page of it is, for a person: `scan.pdf, page 2, page 5 of the paper`.
    pub(super) fn place(&self, index: usize) -> String {
        let within = self.places.get(index).map_or("", String::as_str);
        let page = self.pages.get(index).map_or(0, |p| p.code.page);
        place(&self.file, within, page)
    }

    /// Crops that are kept of a box, all its words.
    pub(super) fn crops_of(&self, page: &PageSeen, name: &BoxName) -> Vec<String> {
        let of = page.boxes.iter().filter(|b| b.name == *name);
        of.filter_map(|b| self.crops.get(&b.label()).cloned()).collect()
    }
}

/// Where a page is in a file, for a person.
pub(super) fn place(file: &str, within: &str, page: u32) -> String {
    let within = if within.is_empty() { String::new() } else { format!(", {within}") };
    format!("{file}{within}, page {page} of the paper")
}

/// Everything kept of pictures of a traveler, the oldest first.
pub(super) fn all(host: &dyn RecordHost, traveler: &Path) -> Vec<Kept> {
    let files = host.files(&folder::pictures(traveler), "json").unwrap_or_default();
    let mut kept: Vec<Kept> =
        files.iter().filter_map(|path| serde_json::from_slice(&host.plain(path).ok()?).ok()).collect();
    kept.sort_by(|a, b| a.at.cmp(&b.at));
    kept
}

/// What a page says, box by box: the places of the box among those of the page,
/// several for a reading answered by one of several words, and what they say together.
pub(super) fn said(page: &PageSeen) -> Vec<(&BoxName, Vec<usize>, Proposed)> {
    let mut all: Vec<(&BoxName, Vec<usize>, Proposed)> = Vec::new();
    for one in &page.boxes {
        if all.iter().any(|(name, ..)| **name == one.name) {
            continue;
        }
        let group: Vec<usize> = (0..page.boxes.len()).filter(|k| page.boxes[*k].name == one.name).collect();
        let words = match group.as_slice() {
            [_] if one.word.is_none() => one.value.clone(),
            group => chosen(page, group),
        };
        all.push((&one.name, group, words));
    }
    all
}

/// What the boxes of a choice of words say together, with the line for the paper one of
/// them rests on: what is written there a person reads.
fn chosen(page: &PageSeen, group: &[usize]) -> Proposed {
    let (words, line): (Vec<_>, Vec<_>) =
        group.iter().map(|k| &page.boxes[*k]).partition(|one| one.word.is_some());
    let written = line.iter().any(|one| one.value != Proposed::Empty);
    let doubt = words.iter().find_map(|w| match &w.value {
        Proposed::Look(why) => Some((w, why)),
        _ => None,
    });
    if let Some((one, why)) = doubt {
        return Proposed::Look(format!("\"{}\": {why}", one.word.as_deref().unwrap_or_default()));
    }
    let ticked: Vec<&str> = words
        .iter()
        .filter(|w| w.value == Proposed::Ticked)
        .map(|w| w.word.as_deref().unwrap_or_default())
        .collect();
    match ticked.as_slice() {
        [] if written => Proposed::Look("a paper is written behind a word, and no word is ticked".to_owned()),
        [] => Proposed::Empty,
        [one] if written => {
            Proposed::Look(format!("\"{one}\" is ticked, with a paper: type both, \"{one}: NUMBER, DATE\""))
        }
        [one] => Proposed::Text((*one).to_owned()),
        several => Proposed::Look(format!("more than one word is ticked: {}", several.join(", "))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::form::{BoxKind, PageCode, Rect};
    use crate::picture::geometry::Homography;
    use crate::picture::{BoxSeen, Features};

    /// A page with one question: two words, and the line for the paper of the second.
    fn page(clear: Proposed, report: Proposed, line: Proposed) -> PageSeen {
        let one = |word: Option<&str>, kind, value| BoxSeen {
            name: BoxName::reading("front/accept", "cracks"),
            kind,
            word: word.map(str::to_owned),
            rect: Rect::default(),
            value,
            features: Features::default(),
        };
        PageSeen {
            code: PageCode {
                number: "TW-1".to_owned(),
                revision: "A".to_owned(),
                page: 1,
                digest: String::new(),
            },
            map: Homography([1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0]),
            registered: 1.0,
            two_tone: false,
            boxes: vec![
                one(Some("clear"), BoxKind::Tick, clear),
                one(Some("by report"), BoxKind::Tick, report),
                one(None, BoxKind::Value, line),
            ],
        }
    }

    #[test]
    fn a_word_and_the_line_of_its_paper_are_one_answer() {
        use Proposed::{Empty, Look, Text, Ticked, Written};
        let says = |clear, report, line| {
            let page = page(clear, report, line);
            let said = said(&page);
            let [(_, group, value)] = said.as_slice() else { panic!("{said:?}") };
            assert_eq!(group.as_slice(), [0, 1, 2]);
            value.clone()
        };
        assert_eq!(says(Empty, Empty, Empty), Empty);
        assert_eq!(says(Ticked, Empty, Empty), Text("clear".to_owned()));
        // A picture reads no writing: a person types what stands there.
        let with = says(Empty, Ticked, Written);
        assert!(matches!(&with, Look(why) if why.contains("\"by report: NUMBER, DATE\"")), "{with:?}");
        let lone = says(Empty, Empty, Written);
        assert!(matches!(&lone, Look(why) if why.contains("no word is ticked")), "{lone:?}");
        let doubt = says(Empty, Ticked, Look("smeared".to_owned()));
        assert!(matches!(doubt, Look(_)), "{doubt:?}");
    }
}

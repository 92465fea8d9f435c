//! What came back for a box, not yet entered.

use serde::{Deserialize, Serialize};

use super::{BoxName, Rect};

/// What came back for a box.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Proposal {
    /// Which box it is for.
    pub name: BoxName,
    /// What it is said to hold.
    pub value: Proposed,
    /// Who did it, where that was said: an id of the shop book.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<String>,
    /// When it was done, where that was said; RFC 3339.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at: Option<String>,
    /// The instrument, where that was said.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool: Option<String>,
    /// Where it comes from.
    pub from: Evidence,
}

/// What a box is said to hold.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Proposed {
    /// A mark stands in it.
    Ticked,
    /// Nothing.
    Empty,
    /// This text.
    Text(String),
    /// Something is written there; a person types it from the crop.
    Written,
    /// Not sure: a person looks. Why.
    Look(String),
}

/// Where a proposal comes from.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
pub struct Evidence {
    /// On which way it came back.
    pub way: Way,
    /// File it was read from; empty at the desk.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub file: String,
    /// SHA-256 of that file.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub sha256: String,
    /// Place in it, for a person: `line 12`, `page 3`.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub place: String,
    /// Rule that decided, with its version.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub rule: String,
    /// The part of a picture it was read from, in mm on the page.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rect: Option<Rect>,
    /// The picture of paper a line of an entry sheet was compared with.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub picture: Option<Pictured>,
}

/// What a picture of paper showed of a box, and who compared the two.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pictured {
    /// Id of the person who compared the page with what is entered.
    pub compared: String,
    /// SHA-256 of the crops of the box that are kept; a box that was plainly ticked
    /// has none, and is cut from the picture again.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub crops: Vec<String>,
    /// Place in the picture's file, for a person: `scan.pdf, page 2, page 5 of the paper`.
    pub place: String,
    /// Rule that proposed, with its version.
    pub rule: String,
    /// SHA-256 of the picture's file.
    pub sha256: String,
    /// What the box showed by that rule.
    pub showed: String,
}

/// A way back.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Way {
    /// Typed at the desk.
    #[default]
    Desk,
    /// An entry sheet.
    Sheet,
    /// A fill-in copy.
    Copy,
    /// A picture of paper.
    Picture,
}

impl std::fmt::Display for Way {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Self::Desk => "the desk",
            Self::Sheet => "an entry sheet",
            Self::Copy => "a fill-in copy",
            Self::Picture => "a picture of paper",
        })
    }
}

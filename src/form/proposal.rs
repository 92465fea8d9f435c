//! What came back for a box, not yet entered.

use serde::{Deserialize, Serialize};

use super::{BoxName, Rect};

/// What came back for a box.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Proposal {
    /// The box.
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
    /// Ticked.
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

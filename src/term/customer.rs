//! Where what was written down stands on the pages a customer reads.

use serde::{Deserialize, Serialize};

use super::Side;

terms! {
    /// The part of the customer's pages a value stands in.
    #[derive(Default)]
    pub enum Section {
        /// The table as found, planned, as left.
        #[default]
        Values = "values" as "values",
        /// The card of each joint its operation works on.
        Welds = "welds" as "welds",
        /// What was fitted, with its number or lot.
        Parts = "parts" as "parts",
        /// What a lead settled before the work began.
        Settled = "settled" as "settled",
        /// Which inspection, entry or permit the law asks for.
        Law = "law" as "law",
        /// Who designed, calculated or tested it, by which paper.
        Papers = "papers" as "papers",
    }
}

terms! {
    /// The end of the unit whose height a value is.
    pub enum Height {
        /// Above the front axle.
        Front = "front" as "front",
        /// Above the rear axle.
        Rear = "rear" as "rear",
        /// Of a unit that has one height.
        Whole = "whole" as "whole",
    }
}

/// What a customer reads of a value. Readings of one name, part and side are one row: as
/// found, and as left.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Row {
    /// What it is, in a customer's words.
    pub row: String,
    /// Where it stands.
    #[serde(default)]
    pub section: Section,
    /// Id of the component it is of; none for the unit as a whole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub component: Option<String>,
    /// Its name, where the work is on several of its kind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub name: Option<String>,
    /// Side, if it has one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<Side>,
    /// Whether it says how the part came.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub came: bool,
    /// Whether it is read in the work, no wheel on the ground.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub on_stands: bool,
    /// Figure of the job computed for it as found.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub before: Option<String>,
    /// Figure of the job it was planned to be.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub planned: Option<String>,
    /// End of the unit whose height it is.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub height: Option<Height>,
}

//! Preferences of the shop: paper, units, point levels, rules of its own.

use crate::file::{Id, Located, PathBelow, Text};
use crate::term::{Paper, PointKind, Units};
use crate::{choice, record};

choice! {
    /// Smallest fraction of an inch printed.
    pub enum Fraction {
        /// Sixteenths.
        Sixteenth = "1/16",
        /// Thirty-seconds.
        ThirtySecond = "1/32",
        /// Sixty-fourths.
        SixtyFourth = "1/64",
    }
}

impl Fraction {
    /// Its denominator.
    #[must_use]
    pub const fn denominator(self) -> u32 {
        match self {
            Fraction::Sixteenth => 16,
            Fraction::ThirtySecond => 32,
            Fraction::SixtyFourth => 64,
        }
    }
}

record! {
    /// Preferences of the shop. What a job states itself goes before them.
    pub struct Preference {
        /// Which units stand first.
        optional units: Units => "\"inch\"";
        /// Smallest fraction of an inch printed.
        optional fraction: Fraction => "\"1/32\"";
        /// Paper.
        optional paper: Paper => "\"letter\"";
        /// Logo, a PNG or SVG file, from the folder of the book.
        optional logo: Located<PathBelow> => "\"logo.svg\"";
        /// Folder with procedures of the shop's own, from the folder of the book.
        optional procedures: Located<PathBelow> => "\"procedures\"";
        /// Disclaimer printed instead of the standard one.
        optional disclaimer: Text => "\"…\"";
    }
}

record! {
    /// Level of every point with a tag, in this shop.
    pub struct Level {
        /// Tag of the point as procedures give it: fit-up, acceptance, cut-hold.
        required point: Located<Id> => "\"fit-up\"";
        /// Level. The safety rules still say what may not be lowered.
        required level: PointKind => "\"hold\"";
        /// Operation it is for; every one if absent.
        optional operation: Located<Id> => "\"weld-pads\"";
    }
}

record! {
    /// Something a rule wants before or after an operation.
    pub struct RuleWant {
        /// An operation nearby that does this.
        optional act: Id => "\"measure\"";
        /// A hold point tagged with this word.
        optional hold: Id => "\"fit-up\"";
    }
}

record! {
    /// A safety rule of the shop's own, checked on every route.
    pub struct ShopRule {
        /// Id, kebab-case; waivers name it.
        required id: Located<Id> => "\"no-grinding-after-paint\"";
        /// What it asks, one line.
        required title: Text => "\"No grinding once paint is on\"";
        /// Why.
        required reason: Text => "\"Grit in wet paint starts rust.\"";
        /// How to satisfy it.
        required satisfy: Text => "\"Grind first, or mask and repaint.\"";
        /// Where it comes from.
        optional source: Text => "\"shop rule 7\"";
        /// It looks at operations that do any of these acts.
        many when_acts: Located<Id> => "[\"grind\"]";
        /// And work at any of these parts; anywhere if absent.
        many at: Located<Id> => "[\"frame\"]";
        /// States that must be false at its turn.
        many forbid_states: Located<Id> => "[\"unit.painted\"]";
        /// Each of these must come before it.
        many require_before: RuleWant => "";
        /// Each of these must come after it, before hand-over.
        many require_after: RuleWant => "";
        /// None of these acts may come before it nearby.
        many forbid_before: Located<Id> => "[\"paint\"]";
        /// None of these acts may come after it nearby.
        many forbid_after: Located<Id> => "[\"paint\"]";
    }
}

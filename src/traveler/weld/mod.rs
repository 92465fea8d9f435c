//! Weld symbols as data: what stands where on the reference line, by the rules
//! of AWS A2.4 or of ISO 2553, system A.
//!
//! The rules were written down from memory of both standards; each is tested in
//! `tests/suite/weld_symbols.rs` with the clause it follows. Neither standard was
//! read in a copy. Published descriptions of AWS A2.4:2020 (8th edition) name its 6.1
//! for the side of the line, figure 4.3 for where size, length and pitch, opening,
//! circle, flag and tail stand, 7.2 for the depth of a groove before the size of its
//! weld in brackets, 8.2 for the leg of a fillet. Published descriptions of ISO
//! 2553:2019 (5th edition) agree with the dashed line of system A and that it is left
//! out where both sides are alike, with `z` before a leg, `s` before a penetration,
//! and number × length (gap). Of its `d` for a plug none was found, and its clause
//! numbers are from memory.

pub mod map;
pub mod strokes;

use crate::quantity::show::{ANGLE, LENGTH};
use crate::quantity::{Angle, Dimensioned, Length};
use crate::term::Units;

/// Which standard a symbol is drawn by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Standard {
    /// AWS A2.4: the arrow side stands below the reference line.
    Aws,
    /// ISO 2553, system A: the other side stands on a dashed line.
    Iso,
}

impl Standard {
    /// Its name on paper.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Standard::Aws => "AWS A2.4",
            Standard::Iso => "ISO 2553 system A",
        }
    }
}

/// The elementary symbol.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// In the corner of two faces.
    Fillet,
    /// Single V groove.
    V,
    /// Single bevel groove.
    Bevel,
    /// Square groove.
    Square,
    /// Flare bevel: a round edge against a flat.
    FlareBevel,
    /// Plug or slot.
    Plug,
}

/// Which side of the joint the weld is on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum At {
    /// The side the arrow points to.
    Arrow,
    /// The other side.
    Other,
    /// Both, alike.
    Both,
}

/// A weld symbol.
#[derive(Debug, Clone, PartialEq)]
pub struct Symbol {
    /// Rules it is drawn by.
    pub standard: Standard,
    /// Units of its sizes, which are written without them.
    pub units: Units,
    /// Elementary symbol.
    pub kind: Kind,
    /// Side of the joint.
    pub at: At,
    /// Leg of a fillet, depth of a groove, diameter or width of a plug or slot.
    pub size: Option<Length>,
    /// Size of a groove weld, beside its depth.
    pub throat: Option<Length>,
    /// Length of one weld.
    pub length: Option<Length>,
    /// From middle to middle of two welds in a line.
    pub pitch: Option<Length>,
    /// How many such welds.
    pub count: u32,
    /// Root opening.
    pub opening: Option<Length>,
    /// Groove angle.
    pub angle: Option<Angle>,
    /// Metal stays behind the root.
    pub backing: bool,
    /// Goes round the whole joint: a circle at the junction, and no length.
    pub all_round: bool,
    /// Made in the field.
    pub field: bool,
    /// What stands in the tail, before the count: joint and procedure.
    pub tail: String,
}

impl Symbol {
    fn number(&self, length: Length, least: bool) -> String {
        // A depth stands in the digits it was stated in, as on its card.
        let style = if least { LENGTH.up() } else { LENGTH.fine_enough(length.into()) };
        let text = self.units.first(style).shop(length.into());
        let number = text.rsplit_once(' ').map_or(text.as_str(), |(number, _)| number);
        number.strip_suffix(".0").unwrap_or(number).to_owned()
    }

    /// What stands left of the elementary symbol: the size. ISO puts `z` before
    /// a leg and `s` before a depth; AWS puts the size of a groove weld in
    /// brackets after the depth of its groove. A leg is never rounded down.
    #[must_use]
    pub fn left(&self) -> String {
        let Some(size) = self.size else {
            return self
                .throat
                .map_or_else(String::new, |throat| format!("({})", self.number(throat, false)));
        };
        match (self.kind, self.standard) {
            (Kind::Fillet, Standard::Aws) => self.number(size, true),
            (Kind::Fillet, Standard::Iso) => format!("z{}", self.number(size, true)),
            (Kind::Plug, Standard::Aws) => self.number(size, true),
            (Kind::Plug, Standard::Iso) => format!("d{}", self.number(size, true)),
            (_, Standard::Aws) => match self.throat {
                Some(throat) => format!("{}({})", self.number(size, false), self.number(throat, false)),
                None => self.number(size, false),
            },
            (_, Standard::Iso) => format!("s{}", self.number(self.throat.unwrap_or(size), false)),
        }
    }

    /// What stands right of it: length and pitch. AWS writes length-pitch, the
    /// pitch from middle to middle; ISO writes number × length (gap), the gap
    /// from the end of one weld to the start of the next. A weld all round has
    /// no length. Of round plugs AWS writes the pitch alone, ISO number (pitch).
    #[must_use]
    pub fn right(&self) -> String {
        if let (Kind::Plug, None, Some(pitch)) = (self.kind, self.length, self.pitch) {
            let pitch = self.number(pitch, false);
            return match self.standard {
                Standard::Aws => pitch,
                Standard::Iso => format!("{} ({pitch})", self.count),
            };
        }
        let Some(length) = self.length.filter(|_| !self.all_round) else { return String::new() };
        let long = self.number(length, true);
        match (self.pitch, self.standard) {
            (None, _) => long,
            (Some(pitch), Standard::Aws) => format!("{long}-{}", self.number(pitch, false)),
            (Some(pitch), Standard::Iso) => {
                format!("{} × {long} ({})", self.count, self.number(pitch - length, false))
            }
        }
    }

    /// The root opening, which stands inside the symbol of a groove.
    #[must_use]
    pub fn inside(&self) -> Option<String> {
        let groove = !matches!(self.kind, Kind::Fillet | Kind::Plug);
        self.opening.filter(|o| groove && o.si() > 0.0).map(|o| self.number(o, false))
    }

    /// The angle of the groove, which stands beyond its mouth.
    #[must_use]
    pub fn beyond(&self) -> Option<String> {
        let angled = matches!(self.kind, Kind::V | Kind::Bevel);
        self.angle.filter(|_| angled).map(|a| ANGLE.shop(a.into()).replace(".0°", "°"))
    }

    /// The words of the tail.
    #[must_use]
    pub fn tail(&self) -> String {
        let told = self.standard == Standard::Iso && self.pitch.is_some() && !self.all_round;
        let count = (self.count > 1 && !told).then(|| format!("{} off", self.count));
        [Some(self.tail.clone()).filter(|t| !t.is_empty()), count]
            .into_iter()
            .flatten()
            .collect::<Vec<_>>()
            .join(", ")
    }

    /// The symbol in words, for readers that speak.
    #[must_use]
    pub fn words(&self) -> String {
        let kind = match self.kind {
            Kind::Fillet => "fillet",
            Kind::V => "single V groove",
            Kind::Bevel => "single bevel groove",
            Kind::Square => "square groove",
            Kind::FlareBevel => "flare bevel groove",
            Kind::Plug => "plug or slot",
        };
        let side = match self.at {
            At::Arrow => "arrow side",
            At::Other => "other side",
            At::Both => "both sides",
        };
        let mut parts = vec![format!("Weld symbol by {}: {kind}, {side}", self.standard.name())];
        let mut add = |name: &str, text: String| {
            if !text.is_empty() {
                parts.push(format!("{name} {text}"));
            }
        };
        add("size", self.left());
        add("length", self.right());
        add("root opening", self.inside().unwrap_or_default());
        add("groove angle", self.beyond().unwrap_or_default());
        add("tail:", self.tail());
        for (on, word) in
            [(self.backing, "backing"), (self.all_round, "all round"), (self.field, "field weld")]
        {
            if on {
                parts.push(word.to_owned());
            }
        }
        parts.join(", ")
    }

    /// Standard and units in short: `AWS A2.4, inches`.
    #[must_use]
    pub fn rules(&self) -> String {
        let unit = match self.units {
            Units::Inch => "inches",
            Units::Metric => "mm",
        };
        format!("{}, {unit}", self.standard.name())
    }

    /// Units and standard, for the line under a drawing of symbols.
    #[must_use]
    pub fn legend(standard: Standard, units: Units) -> String {
        let unit = match units {
            Units::Inch => "inches",
            Units::Metric => "millimetres",
        };
        format!("Weld symbols by {}, sizes in {unit}.", standard.name())
    }
}

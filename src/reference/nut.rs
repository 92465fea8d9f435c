//! Proof stresses of nuts, inch and metric, and the class each bolt grade asks for.
//!
//! Sources: SAE J995 (grade tables), ASTM A563 and A194 (from memory),
//! ISO 898-2 as EN 20898-2 (implied by its printed proof loads, coarse thread;
//! thin nuts 04 and 05, class 9, sizes to M4 and the fine threads, which were
//! ISO 898-6 before 2012, from memory), ISO 3506-2 (from memory).

use super::grade::meant;
use super::thread::{Series, Thread};
use crate::quantity::{Dimensioned, Length, Stress, unit};
use crate::source::Source;

/// Shape of a nut, as far as it changes the proof stress.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Style {
    /// Full hexagon nut, also high nuts.
    Hex,
    /// Heavy hexagon nut.
    Heavy,
    /// Jam or thin nut.
    Jam,
    /// Slotted nut.
    Slotted,
}

impl Style {
    /// What the trade calls it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Style::Hex => "hex",
            Style::Heavy => "heavy hex",
            Style::Jam => "jam",
            Style::Slotted => "slotted",
        }
    }
}

/// Pitch the row is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Pitch {
    /// UNC and 8-UN, or ISO coarse.
    Coarse,
    /// UNF, 12-UN and finer.
    Fine,
    Any,
}

/// One printed row; stresses in ksi or MPa.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NutRow {
    /// Standard that defines the grade.
    pub standard: &'static str,
    /// Grade or property class.
    pub grade: &'static str,
    /// Hexagon the proof stress is printed for.
    pub style: Style,
    above: f64,
    to: f64,
    pitch: Pitch,
    /// Whether the row is for zinc-coated, overtapped nuts.
    pub overtapped: bool,
    stress: f64,
    metric: bool,
    /// Where the proof stress was read.
    pub source: Source,
}

impl NutRow {
    /// Full name.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} {}", self.standard, self.grade)
    }

    /// Proof stress over the stress area of the bolt.
    #[must_use]
    pub fn proof(&self) -> Stress {
        Stress::of(self.stress, if self.metric { unit::MPA } else { unit::KSI })
    }

    /// Whether it belongs to ISO metric threads.
    #[must_use]
    pub const fn is_metric(&self) -> bool {
        self.metric
    }

    fn holds_for(&self, thread: &Thread) -> bool {
        let d: Length = thread.major;
        let d = d.to(if self.metric { unit::MM } else { unit::IN });
        let pitch = match self.pitch {
            Pitch::Any => true,
            Pitch::Coarse => is_coarse(thread),
            Pitch::Fine => !is_coarse(thread),
        };
        thread.is_metric() == self.metric && pitch && d > self.above - 1e-6 && d <= self.to + 1e-6
    }
}

fn is_coarse(thread: &Thread) -> bool {
    match thread.series {
        Series::Unc | Series::Un8 | Series::Coarse => true,
        Series::Unf | Series::Unef | Series::Fine | Series::Special => false,
        Series::Un | Series::Uns => thread.pitch.to(unit::IN) > 1.0 / 12.0 + 1e-9,
    }
}

const J995: Source = Source::standard("SAE J995", "proof stresses");
const A563: Source = Source::standard("ASTM A563", "proof stresses").from_memory();
const A194: Source = Source::standard("ASTM A194", "grade 2H proof stress").from_memory();
const ISO_898_2: Source = Source::standard(
    "ISO 898-2:1992 (EN 20898-2)",
    "proof loads, coarse thread, style 1 (class 12: style 2)",
);
const ISO_FINE: Source =
    Source::standard("ISO 898-2:2012 (was ISO 898-6)", "fine thread, proof stresses").from_memory();
const ISO_MEMORY: Source = Source::standard("ISO 898-2", "coarse thread, proof stresses").from_memory();
const ISO_3506_2: Source =
    Source::standard("ISO 3506-2", "proof stress of stainless nuts, style 1").from_memory();
const THIN: Source = Source::standard("ISO 898-2", "thin nuts, classes 04 and 05").from_memory();

const fn inch(
    names: (&'static str, &'static str),
    style: Style,
    sizes: (f64, f64),
    pitch: Pitch,
    stress: f64,
    source: Source,
) -> NutRow {
    let (standard, grade) = names;
    let (above, to) = sizes;
    NutRow { standard, grade, style, above, to, pitch, overtapped: false, stress, metric: false, source }
}

const fn iso(
    grade: &'static str,
    style: Style,
    sizes: (f64, f64),
    pitch: Pitch,
    stress: f64,
    source: Source,
) -> NutRow {
    let (above, to) = sizes;
    NutRow {
        standard: "ISO 898-2",
        grade,
        style,
        above,
        to,
        pitch,
        overtapped: false,
        stress,
        metric: true,
        source,
    }
}

/// Coarse thread, as printed.
const fn coarse(grade: &'static str, sizes: (f64, f64), stress: f64) -> NutRow {
    iso(grade, Style::Hex, sizes, Pitch::Coarse, stress, ISO_898_2)
}

/// Coarse thread, from memory.
const fn recalled(grade: &'static str, sizes: (f64, f64), stress: f64) -> NutRow {
    iso(grade, Style::Hex, sizes, Pitch::Coarse, stress, ISO_MEMORY)
}

/// Fine thread.
const fn fine(grade: &'static str, sizes: (f64, f64), stress: f64) -> NutRow {
    iso(grade, Style::Hex, sizes, Pitch::Fine, stress, ISO_FINE)
}

const fn stainless(grade: &'static str, stress: f64) -> NutRow {
    NutRow { standard: "ISO 3506-2", ..iso(grade, Style::Hex, (1.6, 39.0), Pitch::Any, stress, ISO_3506_2) }
}

/// Every row, in the order in which a bare grade word is looked up.
#[rustfmt::skip]
pub const NUTS: &[NutRow] = &[
    inch(("SAE J995", "2"), Style::Hex, (0.25, 1.5), Pitch::Coarse, 90.0, J995),
    inch(("SAE J995", "5"), Style::Hex, (0.25, 1.0), Pitch::Coarse, 120.0, J995),
    inch(("SAE J995", "5"), Style::Hex, (0.25, 1.0), Pitch::Fine, 109.0, J995),
    inch(("SAE J995", "5"), Style::Hex, (1.0, 1.5), Pitch::Coarse, 105.0, J995),
    inch(("SAE J995", "5"), Style::Hex, (1.0, 1.5), Pitch::Fine, 94.0, J995),
    inch(("SAE J995", "8"), Style::Hex, (0.25, 1.5), Pitch::Any, 150.0, J995),
    inch(("SAE J995", "5"), Style::Jam, (0.25, 1.0), Pitch::Coarse, 72.0, J995),
    inch(("SAE J995", "5"), Style::Jam, (0.25, 1.0), Pitch::Fine, 65.0, J995),
    inch(("SAE J995", "8"), Style::Jam, (0.25, 1.5), Pitch::Any, 90.0, J995),
    inch(("SAE J995", "5"), Style::Slotted, (0.25, 1.0), Pitch::Coarse, 96.0, J995),
    inch(("SAE J995", "8"), Style::Slotted, (0.25, 1.5), Pitch::Any, 120.0, J995),
    inch(("ASTM A563", "A"), Style::Hex, (0.25, 1.5), Pitch::Coarse, 90.0, A563),
    inch(("ASTM A563", "C"), Style::Heavy, (0.25, 4.0), Pitch::Coarse, 144.0, A563),
    inch(("ASTM A563", "DH"), Style::Heavy, (0.25, 4.0), Pitch::Coarse, 175.0, A563),
    inch(("ASTM A563", "DH3"), Style::Heavy, (0.5, 4.0), Pitch::Coarse, 175.0, A563),
    inch(("ASTM A563", "C3"), Style::Heavy, (0.25, 4.0), Pitch::Coarse, 144.0, A563),
    NutRow { overtapped: true, ..inch(("ASTM A563", "DH"), Style::Heavy, (0.25, 4.0), Pitch::Coarse, 150.0, A563) },
    inch(("ASTM A194", "2H"), Style::Heavy, (0.25, 4.0), Pitch::Coarse, 175.0, A194),
    coarse("5", (5.0, 7.0), 580.0),
    coarse("6", (5.0, 7.0), 670.0),
    coarse("8", (5.0, 7.0), 855.0),
    coarse("10", (5.0, 7.0), 1040.0),
    coarse("12", (5.0, 7.0), 1150.0),
    coarse("5", (7.0, 10.0), 590.0),
    coarse("6", (7.0, 10.0), 680.0),
    coarse("8", (7.0, 10.0), 870.0),
    coarse("10", (7.0, 10.0), 1040.0),
    coarse("12", (7.0, 10.0), 1160.0),
    coarse("5", (10.0, 16.0), 610.0),
    coarse("6", (10.0, 16.0), 700.0),
    coarse("8", (10.0, 16.0), 880.0),
    coarse("10", (10.0, 16.0), 1050.0),
    coarse("12", (10.0, 16.0), 1190.0),
    coarse("5", (16.0, 39.0), 630.0),
    coarse("6", (16.0, 39.0), 720.0),
    coarse("8", (16.0, 39.0), 920.0),
    coarse("10", (16.0, 39.0), 1060.0),
    coarse("12", (16.0, 39.0), 1200.0),
    recalled("5", (1.6, 4.0), 520.0),
    recalled("6", (1.6, 4.0), 600.0),
    recalled("8", (1.6, 4.0), 800.0),
    recalled("10", (1.6, 4.0), 1040.0),
    recalled("12", (1.6, 4.0), 1140.0),
    recalled("9", (1.6, 4.0), 900.0),
    recalled("9", (4.0, 7.0), 915.0),
    recalled("9", (7.0, 10.0), 940.0),
    recalled("9", (10.0, 16.0), 950.0),
    recalled("9", (16.0, 39.0), 920.0),
    fine("5", (8.0, 16.0), 690.0),
    fine("5", (16.0, 39.0), 720.0),
    fine("6", (8.0, 10.0), 770.0),
    fine("6", (10.0, 16.0), 780.0),
    fine("6", (16.0, 33.0), 870.0),
    fine("6", (33.0, 39.0), 930.0),
    fine("8", (8.0, 16.0), 955.0),
    fine("8", (16.0, 33.0), 1030.0),
    fine("8", (33.0, 39.0), 1090.0),
    fine("10", (8.0, 10.0), 1100.0),
    fine("10", (10.0, 16.0), 1110.0),
    fine("10", (16.0, 39.0), 1080.0),
    fine("12", (8.0, 16.0), 1200.0),
    stainless("A2-50", 500.0),
    stainless("A2-70", 700.0),
    stainless("A2-80", 800.0),
    stainless("A4-50", 500.0),
    stainless("A4-70", 700.0),
    stainless("A4-80", 800.0),
    iso("04", Style::Jam, (5.0, 39.0), Pitch::Any, 380.0, THIN),
    iso("05", Style::Jam, (5.0, 39.0), Pitch::Any, 500.0, THIN),
];

/// The row for a nut grade, thread, style and coating. Without a style the
/// grade's own is taken: heavy hex for the structural grades, thin for 04 and 05.
#[must_use]
pub fn find(text: &str, thread: &Thread, style: Option<Style>, overtapped: bool) -> Option<&'static NutRow> {
    let meant = meant(text);
    let fits = |row: &&NutRow| {
        row.metric == thread.is_metric()
            && meant(row.standard, row.grade)
            && style.map_or(matches!(row.style, Style::Hex | Style::Heavy) || row.source == THIN, |s| {
                s == row.style
            })
            && row.holds_for(thread)
    };
    // The coated row if there is one, else the plain one.
    NUTS.iter().filter(fits).find(|r| r.overtapped == overtapped).or_else(|| NUTS.iter().find(fits))
}

/// Names of the nuts that are made for a thread in a style, once each.
#[must_use]
pub fn names_for(thread: &Thread, style: Option<Style>) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for row in NUTS.iter().filter(|row| row.holds_for(thread) && style.is_none_or(|s| s == row.style)) {
        if !names.contains(&row.name()) {
            names.push(row.name());
        }
    }
    names
}

/// Nut grades that the practice of each standard accepts with a bolt grade.
///
/// Inch: grade for grade; metric: class number at least the first number of
/// the bolt class.
#[must_use]
pub fn matching(bolt_standard: &str, bolt_grade: &str) -> Vec<&'static str> {
    match (bolt_standard, bolt_grade) {
        ("SAE J429", "1" | "2") | ("ASTM A307", _) => {
            vec!["SAE J995 2", "SAE J995 5", "SAE J995 8", "ASTM A563 A"]
        }
        ("SAE J429", "4" | "5" | "5.2") => vec!["SAE J995 5", "SAE J995 8", "ASTM A563 DH"],
        ("ASTM A449", _) => vec!["SAE J995 5", "SAE J995 8", "ASTM A563 C", "ASTM A563 DH", "ASTM A194 2H"],
        ("ASTM A325", _) | ("ASTM F3125", "A325" | "F1852") => {
            vec!["ASTM A563 C", "ASTM A563 C3", "ASTM A563 DH", "ASTM A563 DH3", "ASTM A194 2H"]
        }
        ("ASTM F3125", _) => vec!["ASTM A563 DH", "ASTM A563 DH3", "ASTM A194 2H"],
        ("ISO 3506-1", grade) => {
            let steel = grade.get(..2).unwrap_or("");
            let class: u32 = grade.get(3..).and_then(|c| c.parse().ok()).unwrap_or(u32::MAX);
            NUTS.iter()
                .filter(|n| n.standard == "ISO 3506-2" && n.grade.starts_with(steel))
                .filter(|n| n.grade.get(3..).and_then(|c| c.parse().ok()).is_some_and(|c: u32| c >= class))
                .map(|n| match n.grade {
                    "A2-50" => "ISO 3506-2 A2-50",
                    "A2-70" => "ISO 3506-2 A2-70",
                    "A2-80" => "ISO 3506-2 A2-80",
                    "A4-50" => "ISO 3506-2 A4-50",
                    "A4-70" => "ISO 3506-2 A4-70",
                    _ => "ISO 3506-2 A4-80",
                })
                .collect()
        }
        ("SAE J429", _) => vec!["SAE J995 8", "ASTM A563 DH", "ASTM A194 2H"],
        ("ASTM A354", "BC") => vec!["SAE J995 8", "ASTM A563 C", "ASTM A563 DH", "ASTM A194 2H"],
        ("ASTM A354", _) => vec!["SAE J995 8", "ASTM A563 DH", "ASTM A194 2H"],
        ("ASTM A193", _) => vec!["ASTM A194 2H", "ASTM A563 DH"],
        ("ISO 898-1", grade) => {
            let number: u32 = grade.split('.').next().and_then(|n| n.parse().ok()).unwrap_or(u32::MAX);
            [
                ("ISO 898-2 5", 5),
                ("ISO 898-2 6", 6),
                ("ISO 898-2 8", 8),
                ("ISO 898-2 9", 9),
                ("ISO 898-2 10", 10),
                ("ISO 898-2 12", 12),
            ]
            .into_iter()
            .filter(|(_, class)| *class >= number)
            .map(|(name, _)| name)
            .collect()
        }
        _ => Vec::new(),
    }
}

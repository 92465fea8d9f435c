//! Tightening practice in numbers: scatter of preload, reused lock nuts,
//! published U-bolt and wheel-nut stages, turn of nut, embedding.

use super::friction::Finish;
use crate::source::Source;

/// How a fastener is tightened.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Method {
    /// Word it is chosen by.
    pub word: &'static str,
    /// Scatter of preload each way, as a fraction; the larger where tables disagree.
    pub scatter: f64,
    /// Source of that value.
    pub source: Source,
    /// Set if another table prints a smaller value.
    pub conflict: Option<&'static str>,
}

const MH: Source = Source::handbook("Machinery's Handbook", "accuracy of bolt preload methods");
const NASA: Source = Source::standard("NASA NSTS 08307", "preload uncertainty by method");
const VDI: Source = Source::standard("VDI 2230", "tightening factor table, 1986 tolerances");

/// Every method.
pub const METHODS: &[Method] = &[
    Method { word: "torque-wrench", scatter: 0.25, source: MH, conflict: None },
    Method { word: "feel", scatter: 0.35, source: MH, conflict: None },
    Method { word: "turn-of-nut", scatter: 0.15, source: MH, conflict: None },
    Method { word: "indicating-washer", scatter: 0.10, source: MH, conflict: None },
    Method { word: "computer-controlled", scatter: 0.15, source: MH, conflict: None },
    Method {
        word: "yield-controlled",
        scatter: 0.12,
        source: VDI,
        conflict: Some("8 % in Machinery's Handbook"),
    },
    Method {
        word: "elongation",
        scatter: 0.05,
        source: NASA,
        conflict: Some("3 to 5 % in Machinery's Handbook"),
    },
    Method { word: "ultrasonic", scatter: 0.10, source: NASA, conflict: Some("1 % in Machinery's Handbook") },
    Method {
        word: "strain-gauge",
        scatter: 0.05,
        source: NASA,
        conflict: Some("1 % in Machinery's Handbook"),
    },
    Method {
        word: "hydraulic-tensioner",
        scatter: 0.23,
        source: VDI,
        conflict: Some("15 % in NASA NSTS 08307"),
    },
    Method { word: "power-driver", scatter: 0.43, source: VDI, conflict: None },
    Method { word: "impact-wrench", scatter: 0.60, source: VDI, conflict: None },
];

/// The method of this word; a torque wrench scatters with the finish: 35 %
/// unlubricated, 30 % cadmium plated, 25 % lubricated (NASA), 25 % in
/// Machinery's Handbook whatever the finish. The larger is taken.
#[must_use]
pub fn method(word: &str, finish: Option<Finish>) -> Option<Method> {
    let found = *METHODS.iter().find(|m| m.word == word)?;
    if found.word != "torque-wrench" {
        return Some(found);
    }
    let scatter = match finish {
        Some(
            Finish::Oiled | Finish::ZincWaxed | Finish::AntiSeize | Finish::Ptfe | Finish::LockingCompound,
        ) => 0.25,
        Some(Finish::Cadmium) => 0.30,
        _ => 0.35,
    };
    let conflict = (scatter > 0.25).then_some("25 % in Machinery's Handbook");
    Some(Method { scatter, source: NASA, conflict, ..found })
}

/// VDI 2230 scatter band of a method: low and high, as fractions each way.
pub const VDI_BANDS: &[(&str, f64, f64)] = &[
    ("yield-controlled", 0.05, 0.12),
    ("angle-controlled", 0.05, 0.12),
    ("hydraulic-tensioner", 0.09, 0.23),
    ("torque-wrench-tested", 0.17, 0.23),
    ("torque-wrench", 0.23, 0.28),
    ("power-driver", 0.26, 0.43),
    ("impact-wrench", 0.43, 0.60),
];

/// Source of [`PREVAILING`].
pub const AC_43_13: Source = Source::standard("FAA AC 43.13-1B", "table 7-2 and 7-40");

/// Least drag torque of a reused self-locking nut, lbf-in.
#[rustfmt::skip]
pub const PREVAILING: &[(&str, f64)] = &[
    ("7/16-20", 8.0), ("1/2-20", 10.0), ("9/16-18", 13.0), ("5/8-18", 18.0), ("3/4-16", 27.0),
    ("7/8-14", 40.0), ("1-14", 55.0), ("1-1/8-12", 73.0), ("1-1/4-12", 94.0), ("7/16-14", 8.0),
    ("1/2-13", 10.0), ("9/16-12", 14.0), ("5/8-11", 20.0), ("3/4-10", 27.0), ("7/8-9", 40.0),
    ("1-8", 51.0), ("1-1/8-8", 68.0), ("1-1/4-8", 88.0),
];

/// Source of [`U_BOLTS`].
pub const U_BOLT_MANUALS: Source = Source::practice(
    "one truck maker's maintenance manuals to 2023, group 32, table 1: spring U-bolts with high nuts",
);

/// U-bolt stages, lbf-ft: thread, second stage, third stage, final low and high.
/// The first stage is hand tight.
pub const U_BOLTS: &[(&str, f64, f64, f64, f64)] = &[
    ("5/8-18", 60.0, 200.0, 180.0, 230.0),
    ("3/4-16", 60.0, 200.0, 270.0, 330.0),
    ("7/8-14", 60.0, 200.0, 420.0, 500.0),
    ("1-14", 60.0, 200.0, 520.0, 600.0),
];

/// Source of [`U_BOLTS_SMALL`].
pub const U_BOLT_SHOP: Source = Source::practice(
    "one spring shop's values, not traceable here: fine thread, grade 5, plated and unplated",
);

/// U-bolts below the sizes of the truck manuals, lbf-ft: thread, plated,
/// unplated. The shop prints no stages.
pub const U_BOLTS_SMALL: &[(&str, f64, f64)] =
    &[("3/8-24", 21.0, 26.0), ("7/16-20", 33.0, 44.0), ("1/2-20", 52.0, 70.0), ("9/16-18", 75.0, 100.0)];

/// Source of [`WHEELS`].
pub const WHEEL_MANUAL: Source = Source::practice(
    "owners' manuals of trailers, wheel torque requirements: stages of 1/2 in cone nuts and checks after 10, 25 and 50 mi alike in several, 9/16 and 5/8 in of one or two",
);

/// How a wheel nut bears on its wheel.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Seat {
    /// On a cone, which centres the wheel.
    Cone,
    /// On a flat flange.
    Flange,
}

impl Seat {
    /// Every word.
    pub const WORDS: &'static [&'static str] = &["cone", "flange"];

    /// None for a word that is not in [`Self::WORDS`].
    #[must_use]
    pub fn of(word: &str) -> Option<Self> {
        [Seat::Cone, Seat::Flange].into_iter().find(|seat| seat.word() == word)
    }

    /// What the trade calls it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Seat::Cone => "cone",
            Seat::Flange => "flange",
        }
    }

    /// The seat a word means.
    #[must_use]
    pub fn read(word: &str) -> Option<Self> {
        match word {
            "cone" | "coned" | "conical" => Some(Seat::Cone),
            "flange" | "flanged" => Some(Seat::Flange),
            _ => None,
        }
    }
}

/// Published stages of one wheel stud.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WheelNut {
    /// Stud size in inches.
    pub stud: &'static str,
    /// How the nut bears on the wheel.
    pub seat: Seat,
    /// Wheel it is printed for.
    pub wheel: &'static str,
    /// Low and high torque of each stage, lbf-ft.
    pub stages: [(f64, f64); 3],
}

/// Trailer wheel nuts, tightened in three stages; from [`WHEEL_MANUAL`].
#[rustfmt::skip]
pub const WHEELS: &[WheelNut] = &[
    WheelNut { stud: "1/2", seat: Seat::Cone, wheel: "14, 15 or 16 in", stages: [(20.0, 25.0), (50.0, 60.0), (90.0, 120.0)] },
    WheelNut { stud: "9/16", seat: Seat::Cone, wheel: "16 in", stages: [(20.0, 25.0), (60.0, 70.0), (120.0, 130.0)] },
    WheelNut { stud: "5/8", seat: Seat::Cone, wheel: "16 in dual or 17.5 in", stages: [(50.0, 60.0), (100.0, 120.0), (190.0, 210.0)] },
    WheelNut { stud: "5/8", seat: Seat::Flange, wheel: "16 in dual or 17.5 in", stages: [(50.0, 60.0), (150.0, 200.0), (275.0, 325.0)] },
];

/// Source of [`TURNS`].
pub const RCSC: Source =
    Source::standard("RCSC Specification for Structural Joints", "table 8.2, both faces square to the axis");

/// Turn of nut from snug: length up to this many diameters, turns, tolerance
/// in degrees (tolerances from memory).
pub const TURNS: &[(f64, f64, f64)] = &[(4.0, 1.0 / 3.0, 30.0), (8.0, 0.5, 30.0), (12.0, 2.0 / 3.0, 45.0)];

/// Source of [`EMBEDDING`].
pub const VDI_EMBEDDING: Source = Source::standard("VDI 2230", "table 5, embedding").from_memory();

/// Embedding in micrometres by roughness: upper Rz in micrometres; thread, each
/// head or nut seat, each inner interface; axial load, then shear load.
pub const EMBEDDING: &[(f64, [f64; 3], [f64; 3])] = &[
    (10.0, [3.0, 2.5, 1.5], [3.0, 3.0, 2.0]),
    (40.0, [3.0, 3.0, 2.0], [3.0, 4.5, 2.5]),
    (160.0, [3.0, 4.0, 3.0], [3.0, 6.5, 3.5]),
];

//! Welder performance qualifications: the test as made, nothing derived.

use crate::file::{Date, Id, Located, Reading, Text};
use crate::quantity::Length;
use crate::shop::position::{Position, Progression};
use crate::{choice, record};

choice! {
    /// Standard a test was made to, with its edition.
    pub enum Standard {
        D11Of2015 = "aws d1.1:2015",
        D11Of2020 = "aws d1.1:2020",
        /// ASME Section IX, 2023.
        AsmeOf2023 = "asme ix:2023",
        IsoOf2012 = "iso 9606-1:2012",
        /// EN ISO 9606-1, 2017.
        IsoOf2017 = "iso 9606-1:2017",
    }
}

impl Standard {
    /// As printed.
    #[must_use]
    pub fn title(self) -> String {
        self.word().to_uppercase()
    }

    /// Whether positions and limits are those of ISO 9606-1.
    #[must_use]
    pub const fn iso(self) -> bool {
        matches!(self, Standard::IsoOf2012 | Standard::IsoOf2017)
    }
}

choice! {
    /// Kind of weld.
    pub enum WeldKind {
        /// Groove (butt) weld.
        Groove = "groove",
        /// Fillet weld.
        Fillet = "fillet",
        /// Plug or slot weld.
        Plug = "plug",
    }
}

choice! {
    /// Product form.
    pub enum Form {
        Plate = "plate",
        /// Pipe or tube.
        Pipe = "pipe",
    }
}

choice! {
    /// What the root runs against.
    pub enum Backing {
        /// Backing bar, weld metal or back weld.
        With = "with",
        /// Open root from one side.
        Without = "without",
    }
}

choice! {
    /// How metal crosses the arc.
    pub enum Transfer {
        ShortCircuit = "short-circuit",
        Globular = "globular",
        Spray = "spray",
        /// Pulsed spray.
        Pulsed = "pulsed",
    }
}

choice! {
    /// How an ISO 9606-1 certificate is kept alive (clause 9.3).
    pub enum Revalidation {
        /// a) tested again every three years.
        ThreeYears = "a",
        /// b) two test welds on record every two years.
        TwoYears = "b",
        /// c) open while the employer's conditions hold.
        Open = "c",
    }
}

record! {
    /// A test a welder has passed.
    pub struct Qualification {
        /// Id of the test record.
        required id: Located<Id> => "\"Q-WO-2\"";
        /// Who passed it.
        required person: Located<Id> => "\"WO\"";
        /// Standard with its edition; its rules give the ranges.
        required standard: Located<Standard> => "\"AWS D1.1:2020\"";
        /// Process.
        required process: Located<Text> => "\"GMAW\"";
        /// Metal transfer, for gas metal arc.
        optional transfer: Transfer => "\"short-circuit\"";
        /// Positions tested.
        many positions: Located<Position> => "[\"3G\", \"4G\"]";
        /// Progression of the vertical part.
        optional progression: Progression => "\"up\"";
        /// Kind of weld tested.
        required weld: Located<WeldKind> => "\"groove\"";
        /// Product form of the test piece.
        required form: Located<Form> => "\"plate\"";
        /// Material group of the test piece, as the standard names it.
        optional material_group: Located<Text> => "\"P-No. 1\"";
        /// Thickness of the plate or wall of the test piece.
        required thickness: Located<Reading<Length>> => "\"3/8 in\"";
        /// Weld metal deposited, where it is not the whole thickness.
        optional deposited: Located<Reading<Length>> => "\"3/8 in\"";
        /// Layers of weld metal, for ASME IX.
        optional layers: u32 => "3";
        /// Outside diameter of a pipe test piece.
        optional diameter: Located<Reading<Length>> => "\"2.875 in\"";
        /// Filler group tested: F-number, or FM group of ISO 9606-1.
        required filler_group: Located<Text> => "\"F6\"";
        /// What the root ran against.
        optional backing: Located<Backing> => "\"with\"";
        /// ISO 9606-1: a supplementary fillet test was made with the butt weld.
        default fillet_test: bool = false => "true";
        /// Date of the test.
        required date: Located<Date> => "2025-06-10";
        /// Last day the process was used under supervision, or the employer's last confirmation.
        required last_used: Located<Date> => "2026-02-20";
        /// ISO 9606-1: way of revalidation, clause 9.3.
        optional revalidation: Located<Revalidation> => "\"a\"";
        /// ISO 9606-1: date of the last revalidation.
        optional revalidated: Located<Date> => "2026-01-15";
        /// A specific reason to question the welder's ability; ends the qualification until a new test.
        optional questioned: Located<Text> => "\"two rejects on TW-2011\"";
        /// Why a value that is unusual is right all the same.
        optional sure: Text => "\"measured twice, by two people\"";
    }
}

impl Qualification {
    /// Weld metal deposited in the test.
    #[must_use]
    pub fn deposit(&self) -> Length {
        self.deposited.as_ref().unwrap_or(&self.thickness).value.value
    }

    /// Whether the test was made with short-circuit transfer.
    #[must_use]
    pub fn short_circuit(&self) -> bool {
        self.transfer == Some(Transfer::ShortCircuit)
            || crate::shop::process::named_short_circuit(&self.process.value)
    }

    /// In one line: process, positions, form.
    #[must_use]
    pub fn title(&self) -> String {
        let positions: Vec<_> = self.positions.iter().map(|p| p.value.title()).collect();
        format!("{} {} {}", self.process.value, positions.join("+"), self.form.value)
    }
}

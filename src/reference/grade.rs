//! Strength grades of bolts, screws and studs, inch and metric.
//!
//! Sources: SAE J429, ASTM A307, A449, A354, A193 (through grade tables and
//! textbook tables), ISO 898-1:2013 table 3 (from memory, confirmed by its
//! printed proof loads). Size bands are the standard's; a grade does not hold
//! outside them.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::rc::Rc;

use crate::quantity::{Dimensioned, Length, Stress, unit};
use crate::source::Source;

/// One grade in one size band; stresses in ksi (inch) or MPa (metric).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Band {
    /// Standard that defines the grade.
    pub standard: &'static str,
    /// Grade or property class.
    pub grade: &'static str,
    /// Diameter must be above this; inches or millimetres.
    above: f64,
    /// Diameter may be up to this.
    to: f64,
    proof: Option<f64>,
    yielding: f64,
    tensile: f64,
    /// What the band is for.
    pub note: &'static str,
    /// Where the strengths were read.
    pub source: Source,
    metric: bool,
}

impl Band {
    const fn inch(
        names: (&'static str, &'static str),
        sizes: (f64, f64),
        stresses: (Option<f64>, f64, f64),
        note: &'static str,
        source: Source,
    ) -> Self {
        let (standard, grade) = names;
        let (above, to) = sizes;
        let (proof, yielding, tensile) = stresses;
        Self { standard, grade, above, to, proof, yielding, tensile, note, source, metric: false }
    }

    const fn metric(grade: &'static str, sizes: (f64, f64), stresses: (f64, f64, f64)) -> Self {
        let (above, to) = sizes;
        let (proof, yielding, tensile) = stresses;
        Self {
            standard: "ISO 898-1",
            grade,
            above,
            to,
            proof: Some(proof),
            yielding,
            tensile,
            note: "bolt, screw, stud",
            source: ISO_898_1,
            metric: true,
        }
    }

    const fn stainless(grade: &'static str, yielding: f64, tensile: f64) -> Self {
        Self {
            standard: "ISO 3506-1",
            proof: None,
            note: "austenitic stainless; older editions promise class 70 and 80 to M24 only",
            source: ISO_3506_1,
            ..Self::metric(grade, (1.6, 39.0), (yielding, yielding, tensile))
        }
    }

    /// Full name.
    #[must_use]
    pub fn name(&self) -> String {
        format!("{} {}", self.standard, self.grade)
    }

    /// Whether it belongs to ISO metric threads only.
    #[must_use]
    pub const fn is_metric(&self) -> bool {
        self.metric
    }

    /// Proof stress, where the standard gives one.
    #[must_use]
    pub fn proof(&self) -> Option<Stress> {
        self.proof.map(|v| self.stress(v))
    }

    /// Minimum yield strength, or stress at 0.2 % non-proportional extension.
    #[must_use]
    pub fn yielding(&self) -> Stress {
        self.stress(self.yielding)
    }

    /// Minimum tensile strength.
    #[must_use]
    pub fn tensile(&self) -> Stress {
        self.stress(self.tensile)
    }

    fn stress(&self, value: f64) -> Stress {
        Stress::of(value, if self.metric { unit::MPA } else { unit::KSI })
    }

    /// Whether the band holds for this diameter.
    #[must_use]
    pub fn holds_for(&self, major: Length) -> bool {
        let d = major.to(if self.metric { unit::MM } else { unit::IN });
        d > self.above - 1e-6 && d <= self.to + 1e-6
    }

    /// The band's sizes in words.
    #[must_use]
    pub fn sizes(&self) -> String {
        let unit = if self.metric { "mm" } else { "in" };
        let from = if self.is_first() { "from" } else { "above" };
        format!("{from} {} to {} {unit}", self.above, self.to)
    }

    fn is_first(&self) -> bool {
        BANDS.iter().find(|b| b.standard == self.standard && b.grade == self.grade) == Some(self)
    }
}

const J429: Source = Source::standard("SAE J429", "table 1");
const J429_8_2: Source = Source::handbook("Shigley, Mechanical Engineering Design, 9th ed.", "table 8-9");
const A307: Source =
    Source::handbook("Shigley, Mechanical Engineering Design, 9th ed.", "table 8-10, ASTM A307");
const A449: Source = Source::standard("ASTM A449", "strength by size; proof as SAE J429 grade 5");
const A354: Source = Source::standard("ASTM A354", "strength by size; proof from Shigley table 8-10");
const A354_BC: Source = Source::standard("ASTM A354", "grade BC; proof stress").from_memory();
const A193: Source = Source::standard("ASTM A193", "grade B7; no proof stress is given");
const A325: Source = Source::standard("ASTM A325 (in F3125 since 2015)", "strength by size").from_memory();
const F3125: Source = Source::standard("ASTM F3125", "strength, 1/2 to 1-1/2 in").from_memory();
const A574: Source = Source::standard("ASTM A574", "socket head cap screws, strength by size").from_memory();
const A320: Source = Source::standard("ASTM A320", "grade L7; no proof stress is given").from_memory();
const ISO_3506_1: Source =
    Source::standard("ISO 3506-1", "stress at 0.2 % and tensile strength; no proof stress").from_memory();
const ISO_898_1: Source =
    Source::standard("ISO 898-1:2013", "table 3; confirmed by its proof-load table").from_memory();

/// Every band, in the order in which a bare grade word is looked up.
#[rustfmt::skip]
pub const BANDS: &[Band] = &[
    Band::inch(("SAE J429", "1"), (0.25, 1.5), (Some(33.0), 36.0, 60.0), "bolt, screw, stud; low or medium carbon", J429),
    Band::inch(("SAE J429", "2"), (0.25, 0.75), (Some(55.0), 57.0, 74.0), "bolts to 6 in long; longer bolts take grade 1 values", J429),
    Band::inch(("SAE J429", "2"), (0.75, 1.5), (Some(33.0), 36.0, 60.0), "bolt, screw, stud; low or medium carbon", J429),
    Band::inch(("SAE J429", "4"), (0.25, 1.5), (Some(65.0), 100.0, 115.0), "stud; medium carbon, cold drawn", J429),
    Band::inch(("SAE J429", "5"), (0.25, 1.0), (Some(85.0), 92.0, 120.0), "bolt, screw, stud; medium carbon, quenched and tempered", J429),
    Band::inch(("SAE J429", "5"), (1.0, 1.5), (Some(74.0), 81.0, 105.0), "bolt, screw, stud; medium carbon, quenched and tempered", J429),
    Band::inch(("SAE J429", "5.2"), (0.25, 1.0), (Some(85.0), 92.0, 120.0), "bolt, screw; low carbon martensite, quenched and tempered", J429),
    Band::inch(("SAE J429", "7"), (0.25, 1.5), (Some(105.0), 115.0, 133.0), "bolt, screw; withdrawn grade", J429),
    Band::inch(("SAE J429", "8"), (0.25, 1.5), (Some(120.0), 130.0, 150.0), "bolt, screw, stud; medium carbon alloy, quenched and tempered", J429),
    Band::inch(("SAE J429", "8.1"), (0.25, 1.5), (Some(120.0), 130.0, 150.0), "stud; drawn steel", J429),
    Band::inch(("SAE J429", "8.2"), (0.25, 1.0), (Some(120.0), 130.0, 150.0), "bolt, screw; low carbon martensite, quenched and tempered", J429_8_2),
    Band::inch(("ASTM A307", "A"), (0.25, 1.5), (Some(33.0), 36.0, 60.0), "bolt; low carbon; pipe-hanger hardware, not for suspension parts", A307),
    Band::inch(("ASTM A449", "type 1"), (0.25, 1.0), (Some(85.0), 92.0, 120.0), "bolt, stud, bent; medium carbon, quenched and tempered", A449),
    Band::inch(("ASTM A449", "type 1"), (1.0, 1.5), (Some(74.0), 81.0, 105.0), "bolt, stud, bent; medium carbon, quenched and tempered", A449),
    Band::inch(("ASTM A449", "type 1"), (1.5, 3.0), (Some(55.0), 58.0, 90.0), "bolt, stud, bent; medium carbon, quenched and tempered", A449),
    Band::inch(("ASTM A354", "BC"), (0.25, 2.5), (Some(105.0), 109.0, 125.0), "bolt, stud, bent; alloy, quenched and tempered", A354_BC),
    Band::inch(("ASTM A354", "BD"), (0.25, 2.5), (Some(120.0), 130.0, 150.0), "bolt, stud, bent; alloy, quenched and tempered", A354),
    Band::inch(("ASTM A354", "BD"), (2.5, 4.0), (Some(105.0), 115.0, 140.0), "bolt, stud, bent; older editions, newer ones list 150/130 for all sizes", A354),
    Band::inch(("ASTM A193", "B7"), (0.25, 2.5), (None, 105.0, 125.0), "stud, bar; Cr-Mo, quenched and tempered", A193),
    Band::inch(("ASTM A193", "B7"), (2.5, 4.0), (None, 95.0, 115.0), "stud, bar; Cr-Mo, quenched and tempered", A193),
    Band::inch(("ASTM A193", "B7"), (4.0, 7.0), (None, 75.0, 100.0), "stud, bar; Cr-Mo, quenched and tempered", A193),
    Band::inch(("ASTM A325", "type 1"), (0.5, 1.0), (Some(85.0), 92.0, 120.0), "structural bolt; heavy hex, now F3125 grade A325", A325),
    Band::inch(("ASTM A325", "type 1"), (1.0, 1.5), (Some(74.0), 81.0, 105.0), "structural bolt; heavy hex; F3125 grade A325 has 85/92/120 ksi in these sizes too", A325),
    Band::inch(("ASTM F3125", "A325"), (0.5, 1.5), (Some(85.0), 92.0, 120.0), "structural bolt; heavy hex", F3125),
    Band::inch(("ASTM F3125", "F1852"), (0.5, 1.25), (Some(85.0), 92.0, 120.0), "structural bolt; twist-off", F3125),
    Band::inch(("ASTM F3125", "A490"), (0.5, 1.5), (Some(120.0), 130.0, 150.0), "structural bolt; heavy hex, alloy; never zinc coated hot", F3125),
    Band::inch(("ASTM F3125", "F2280"), (0.5, 1.25), (Some(120.0), 130.0, 150.0), "structural bolt; twist-off, alloy", F3125),
    Band::inch(("ASTM A574", "socket head"), (0.06, 0.5), (Some(140.0), 162.0, 180.0), "socket head cap screw; alloy", A574),
    Band::inch(("ASTM A574", "socket head"), (0.5, 4.0), (Some(135.0), 153.0, 170.0), "socket head cap screw; alloy", A574),
    Band::inch(("ASTM A320", "L7"), (0.25, 2.5), (None, 105.0, 125.0), "stud, bar; Cr-Mo, for low temperature", A320),
    Band::stainless("A2-50", 210.0, 500.0),
    Band::stainless("A2-70", 450.0, 700.0),
    Band::stainless("A2-80", 600.0, 800.0),
    Band::stainless("A4-50", 210.0, 500.0),
    Band::stainless("A4-70", 450.0, 700.0),
    Band::stainless("A4-80", 600.0, 800.0),
    Band::metric("4.6", (1.6, 39.0), (225.0, 240.0, 400.0)),
    Band::metric("4.8", (1.6, 39.0), (310.0, 340.0, 420.0)),
    Band::metric("5.6", (1.6, 39.0), (280.0, 300.0, 500.0)),
    Band::metric("5.8", (1.6, 39.0), (380.0, 420.0, 520.0)),
    Band::metric("6.8", (1.6, 39.0), (440.0, 480.0, 600.0)),
    Band::metric("8.8", (1.6, 16.0), (580.0, 640.0, 800.0)),
    Band::metric("8.8", (16.0, 39.0), (600.0, 660.0, 830.0)),
    Band::metric("9.8", (1.6, 16.0), (650.0, 720.0, 900.0)),
    Band::metric("10.9", (1.6, 39.0), (830.0, 940.0, 1040.0)),
    Band::metric("12.9", (1.6, 39.0), (970.0, 1100.0, 1220.0)),
];

/// Words that name no grade.
const FILLERS: &[&str] =
    &["sae", "astm", "iso", "grade", "gr", "class", "property", "cl", "type", "bolt", "steel"];

/// Words of a designation, lower case, without fillers: `Gr. 8` is `8`,
/// `A354BD` is `a354 bd`.
fn words(text: &str) -> Vec<String> {
    let mut plain = text.to_lowercase().replace("898-1", "898_1").replace("898-2", "898_2");
    plain = plain.replace("3506-1", "3506_1").replace("3506-2", "3506_2");
    for standard in [
        "j429", "j995", "a307", "a449", "a354", "a193", "a563", "a194", "a325", "a490", "f3125", "f1852",
        "f2280", "a574", "a320", "grade", "class", "sae",
    ] {
        plain = plain.replace(standard, &format!(" {standard} "));
    }
    plain
        .split([' ', ',', '/', '-', '(', ')', ':'])
        .map(|w| w.trim_matches('.'))
        .map(|w| {
            // "Gr.8", "G8" and "CL10.9"; "8.0" is 8.
            let bare = ["gr", "g", "cl"].iter().find_map(|p| {
                let rest = w.strip_prefix(p)?.trim_start_matches('.');
                rest.starts_with(|c: char| c.is_ascii_digit()).then_some(rest)
            });
            let bare = bare.unwrap_or(w);
            bare.strip_suffix(".0").unwrap_or(bare)
        })
        .filter(|w| !w.is_empty() && !FILLERS.contains(w))
        .map(str::to_owned)
        .collect()
}

thread_local! {
    /// Words of the designations in the tables: every bolt is compared with all rows.
    static OF_TABLES: RefCell<BTreeMap<&'static str, Rc<[String]>>> = const { RefCell::new(BTreeMap::new()) };
}

/// Words of a designation that stands in a table.
fn words_of_table(text: &'static str) -> Rc<[String]> {
    OF_TABLES.with_borrow_mut(|known| Rc::clone(known.entry(text).or_insert_with(|| words(text).into())))
}

/// Whether the words of a written designation can mean this standard and grade.
fn mean(given: &[String], standard: &'static str, grade: &'static str) -> bool {
    let (standard, grade) = (words_of_table(standard), words_of_table(grade));
    let known = |w: &String| standard.contains(w) || grade.contains(w);
    // The standard alone will do when it has one grade.
    let stainless = grade.len() == 2 && grade.iter().any(|w| matches!(w.as_str(), "a2" | "a4"));
    let enough = if stainless {
        grade.iter().all(|w| given.contains(w))
    } else {
        given.iter().any(|w| grade.contains(w))
    } || matches!(given, [w] if standard.contains(w) && ONE_GRADE.contains(&w.as_str()));
    !given.is_empty() && given.iter().all(known) && enough
}

/// What of table rows with a standard and a grade a written designation can mean.
pub(super) fn meant(text: &str) -> impl Fn(&'static str, &'static str) -> bool {
    let given = words(text);
    move |standard, grade| mean(&given, standard, grade)
}

/// Standards listed here with a single grade.
const ONE_GRADE: &[&str] = &["a307", "a449", "a325", "a574", "a320"];

/// All size bands of the grade a text means; empty if it means none.
#[must_use]
pub fn find(text: &str) -> Vec<&'static Band> {
    let meant = meant(text);
    let Some(first) = BANDS.iter().find(|b| meant(b.standard, b.grade)) else { return Vec::new() };
    BANDS.iter().filter(|b| b.standard == first.standard && b.grade == first.grade).collect()
}

/// The listed band of the highest tensile strength, inch or metric: a bolt that
/// would have to carry more is none.
#[must_use]
pub fn strongest(metric: bool) -> &'static Band {
    let of_system = || BANDS.iter().filter(|b| b.metric == metric);
    of_system().max_by(|a, b| a.tensile.total_cmp(&b.tensile)).unwrap_or(&BANDS[0])
}

/// The lowest proof stress of the listed bands, inch or metric; 0.85 of yield
/// where a standard gives none (Shigley eq. 8-31 text).
#[must_use]
pub fn weakest_proof(metric: bool) -> Stress {
    let proofs = BANDS.iter().filter(|b| b.metric == metric);
    let proofs = proofs.map(|b| b.proof().unwrap_or(b.yielding() * 0.85));
    proofs
        .fold(Stress::of(f64::INFINITY, unit::PSI), |least, proof| if proof < least { proof } else { least })
}

/// Names of all grades, once each.
#[must_use]
pub fn names() -> Vec<String> {
    let mut names: Vec<String> = BANDS.iter().map(Band::name).collect();
    names.dedup();
    names
}

//! Inputs most fastening families share: the thread, the grade, what is left
//! out of the tables and given by hand.

use super::profile;
use crate::figure::prelude::*;
use crate::figure::usual::STRENGTH;
use crate::reference::{grade, thread};

pub use crate::reference::thread::Thread;

/// Torque to a tenth, so that small torques are not lost.
pub(super) const FINE_TORQUE: Style =
    Style::pair(Form::decimal(unit::LBF_FT, 0.1), Form::decimal(unit::N_M, 0.1));

/// The textbook cited most often here.
pub(super) const fn shigley(place: &'static str) -> Source {
    Source::handbook("Shigley, Mechanical Engineering Design, 9th ed.", place)
}

family! {
    /// A thread by its designation.
    reads Named {
        required thread: String, "thread size, such as 1/2-20 UNF, M12 or M12x1.25",
            "size", "thread_size", "bolt_size", "bolt", "designation";
    }
}

family! {
    /// A thread by its designation, for a family that can do without it.
    reads MaybeNamed {
        optional thread: String, "thread size, such as 1/2-20 UNF, M12 or M12x1.25; not needed where stiffnesses and area are known",
            "size", "thread_size", "bolt_size", "bolt", "designation";
    }
}

impl MaybeNamed {
    /// The thread named, if one is.
    pub(super) fn find(&self, said: &mut Said) -> Result<Option<Thread>> {
        self.thread.as_ref().map(|text| known(text, said)).transpose()
    }
}

family! {
    /// A thread by its designation, where diameter and pitch may stand instead.
    reads BySize {
        optional thread: String, "thread size, such as 1/2-20 UNF, M12 or M12x1.25; or give diameter",
            "size", "thread_size", "bolt_size", "bolt", "designation";
        optional diameter: Length in ABOVE_ZERO, "nominal diameter, instead of thread",
            "d", "nominal_diameter", "bolt_diameter", "major_diameter";
    }
}

family! {
    /// Pitch by hand.
    reads ByPitch {
        optional pitch: Length in ABOVE_ZERO, "pitch of a metric thread, with diameter", "p";
        optional tpi: Number in ABOVE_ZERO, "threads per inch, with diameter", "threads_per_inch";
    }
    rules { at_most_one(pitch, tpi); }
}

family! {
    /// Strength of a bolt by its grade, or by hand.
    reads Graded {
        optional grade: String, "strength grade or property class, such as SAE J429 8, grade 5, A193 B7, 8.8; or give proof",
            "property_class", "class", "bolt_grade", "strength_class", "bolt_class";
        optional proof: Stress in STRENGTH, "proof stress, if it is not to be taken from the grade",
            "proof_stress", "proof_strength", "sp";
    }
}

family! {
    /// Stress area by hand.
    reads Section {
        optional area: Area in ABOVE_ZERO, "tensile stress area, if it is not to be computed",
            "stress_area", "tensile_stress_area", "at", "as";
    }
}

impl Named {
    /// The thread named.
    pub(super) fn find(&self, said: &mut Said) -> Result<Thread> {
        known(&self.thread, said)
    }
}

impl BySize {
    /// The thread named, or the one of this diameter and pitch. A pitch beside a
    /// metric diameter such as M12 completes it; what contradicts the
    /// designation is refused.
    pub(super) fn find(&self, fine: Option<&ByPitch>, said: &mut Said) -> Result<Thread> {
        let text = match &*self.thread {
            Some(text) => text.clone(),
            None => self.text(fine)?,
        };
        let thread = match fine {
            Some(fine) => fine.complete(&text, self.thread.given(), said)?,
            None => known(&text, said)?,
        };
        if self.diameter.is_none_or(|d| agrees(thread.major, d)) {
            return Ok(thread);
        }
        Err(differs("diameter", &thread))
    }

    /// Diameter, and the thread where more of it is given: some formulas take no
    /// more than the diameter.
    pub(super) fn size(&self, fine: Option<&ByPitch>, said: &mut Said) -> Result<(Length, Option<Thread>)> {
        let pitched = fine.is_some_and(|f| f.pitch.given() || f.tpi.given());
        match *self.diameter {
            Some(diameter) if !self.thread.given() && !pitched => Ok((diameter, None)),
            _ => self.find(fine, said).map(|thread| (thread.major, Some(thread))),
        }
    }

    /// The designation of a diameter with a pitch or threads per inch.
    fn text(&self, fine: Option<&ByPitch>) -> Result<String> {
        let Some(diameter) = *self.diameter else { return Err(Trouble::Missing(vec!["thread"])) };
        match fine.map(|f| (*f.tpi, *f.pitch)) {
            Some((Some(tpi), _)) => Ok(format!("{}-{}", tidy(diameter.to(unit::IN)), tidy(tpi.si()))),
            Some((None, Some(pitch))) => {
                Ok(format!("M{}x{}", tidy(diameter.to(unit::MM)), tidy(pitch.to(unit::MM))))
            }
            _ => Err(Trouble::Missing(vec!["thread", "tpi", "pitch"])),
        }
    }
}

impl ByPitch {
    /// The pitch, if one is given.
    pub(super) fn given(&self) -> Option<Length> {
        self.pitch.or(self.tpi.map(|n| Length::of(1.0 / n.si(), unit::IN)))
    }

    /// The thread of a designation that a pitch may complete, and must not contradict.
    pub(super) fn complete(&self, text: &str, named: bool, said: &mut Said) -> Result<Thread> {
        let bare = text.trim().to_lowercase();
        let plain_metric = bare.strip_prefix('m').is_some_and(|d| d.trim().parse::<f64>().is_ok());
        let thread = match *self.pitch {
            Some(pitch) if named && plain_metric => {
                known(&format!("{text}x{}", tidy(pitch.to(unit::MM))), said)?
            }
            _ => known(text, said)?,
        };
        if self.given().is_none_or(|p| agrees(thread.pitch, p)) {
            return Ok(thread);
        }
        Err(differs("pitch", &thread))
    }
}

/// Two statements of one size, as closely as tables print them.
fn agrees(own: Length, given: Length) -> bool {
    (own.si() - given.si()).abs() <= 2e-4 * own.si()
}

fn differs(what: &str, thread: &Thread) -> Trouble {
    Trouble::impossible(
        format!("the {what} given is not that of {}", thread.name),
        "give the thread alone, or diameter and pitch alone",
    )
}

/// The thread of a designation, with a warning if it is in no table.
pub(super) fn known(text: &str, said: &mut Said) -> Result<Thread> {
    let thread = thread::find(text).ok_or_else(|| Trouble::Unknown {
        input: "thread".to_owned(),
        given: text.to_owned(),
        choices: thread::suggestions(text),
    })?;
    if !thread.is_tabulated() {
        said.warn(format!(
            "{} is not in the tables; its dimensions are computed from diameter and pitch alone. Close to it are {}.",
            thread.name,
            thread::suggestions(text).join(", ")
        ));
    }
    Ok(thread)
}

/// Free of the last bits that a change of units leaves.
fn tidy(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

impl Section {
    /// Tensile stress area: given, as printed, or by formula 1.
    pub(super) fn of(&self, thread: &Thread) -> Result<Area> {
        let nominal = profile::nominal_stress_area(thread);
        let Some(area) = *self.area else { return Ok(nominal) };
        if (0.93..=1.02).contains(&(area / nominal).value) {
            return Ok(area);
        }
        Err(Trouble::impossible(
            format!("area is {} and {} has a stress area of {}", show(area), thread.name, show(nominal)),
            "leave area out, or check the thread",
        ))
    }
}

/// What a grade gives for one size.
#[derive(Debug, Clone, PartialEq)]
pub struct Strength {
    /// Name of the grade.
    pub name: String,
    /// Standard, if it is a listed grade.
    pub standard: &'static str,
    /// Grade without its standard.
    pub grade: &'static str,
    /// Stress the grade bears without a lasting set.
    pub proof: Stress,
    /// Whether the proof stress is a working figure and not the standard's.
    pub working: bool,
    /// Minimum yield strength.
    pub yielding: Option<Stress>,
    /// Minimum tensile strength.
    pub tensile: Option<Stress>,
    /// What the band is for.
    pub note: &'static str,
    /// Source of the proof stress.
    pub source: Source,
}

/// Source of the working proof stress where a standard gives none.
const WORKING: Source = shigley("eq. 8-31 text: proof strength about 0.85 of yield strength");

/// Strength of `text` at the size of `thread`.
fn strength_of(text: &str, thread: &Thread) -> Result<Strength> {
    let bands = grade::find(text);
    let Some(first) = bands.first() else {
        return Err(Trouble::Unknown {
            input: "grade".to_owned(),
            given: text.to_owned(),
            choices: grade::names(),
        });
    };
    if first.is_metric() != thread.is_metric() {
        let (system, hint) = if first.is_metric() {
            ("ISO metric", "give an inch grade, or the proof stress in proof")
        } else {
            ("inch", "give a property class such as 8.8, or the proof stress in proof")
        };
        return Err(Trouble::impossible(
            format!("{} is defined for {system} threads, and {} is none", first.name(), thread.name),
            hint,
        ));
    }
    let Some(band) = bands.iter().find(|b| b.holds_for(thread.major)) else {
        let sizes: Vec<String> = bands.iter().map(|b| b.sizes()).collect();
        return Err(Trouble::OutOfRange {
            input: "grade".to_owned(),
            given: format!("{} on {}", first.name(), thread.name),
            range: format!("its sizes, {}", sizes.join(" and ")),
            source: first.source,
        });
    };
    let working = band.proof().is_none();
    Ok(Strength {
        name: band.name(),
        standard: band.standard,
        grade: band.grade,
        proof: band.proof().unwrap_or(band.yielding() * 0.85),
        working,
        yielding: Some(band.yielding()),
        tensile: Some(band.tensile()),
        note: band.note,
        source: if working { WORKING } else { band.source },
    })
}

/// Share by which an entered proof stress may leave the grade's untold.
const SAME_PROOF: f64 = 0.005;

impl Graded {
    /// Whether a strength is stated.
    pub(super) fn stated(&self) -> bool {
        self.grade.given() || self.proof.given()
    }

    /// The strength stated; a given proof stress wins over the grade's.
    pub(super) fn of(&self, thread: &Thread, said: &mut Said) -> Result<Strength> {
        let listed = self.grade.as_deref().map(|text| strength_of(text, thread)).transpose()?;
        let strength = match (listed, *self.proof) {
            (None, None) => return Err(Trouble::Missing(vec!["grade"])),
            (Some(listed), None) => listed,
            (Some(listed), Some(proof)) => {
                if ((proof / listed.proof).value - 1.0).abs() > SAME_PROOF {
                    said.warn(format!(
                        "The proof stress entered, {}, is used in place of that of {}, {}.",
                        show(proof),
                        listed.name,
                        show(listed.proof)
                    ));
                }
                Strength { proof, working: false, source: Source::entered("proof stress"), ..listed }
            }
            (None, Some(proof)) => Strength {
                name: "proof stress entered".to_owned(),
                standard: "",
                grade: "",
                proof,
                working: false,
                yielding: None,
                tensile: None,
                note: "",
                source: Source::entered("proof stress"),
            },
        };
        if self.proof.given()
            && let Some(yielding) = strength.yielding
            && strength.proof > yielding
        {
            return Err(Trouble::impossible(
                format!(
                    "the proof stress entered, {}, is above the yield strength of {}, {}: no bolt of it bears that",
                    show(strength.proof),
                    strength.name,
                    show(yielding),
                ),
                "check proof and grade",
            ));
        }
        if strength.grade == "type 1"
            && strength.standard == "ASTM A325"
            && thread.major.to(unit::IN) > 1.0 + 1e-6
        {
            said.warn("A325 above 1 in had 74, 81 and 105 ksi as a standard of its own; since 2015 it is a grade of F3125 and has 85, 92 and 120 ksi in every size, with the higher structural pretension. The lower strength is used: say F3125 A325 if the bolts are of that standard.");
        }
        if strength.working {
            said.warn(format!(
                "{} has no proof stress in its standard; 0.85 of the yield strength is used as a working figure.",
                strength.name
            ));
        }
        if strength.grade == "2" && strength.proof.to(unit::KSI) > 50.0 {
            said.warn("Grade 2 bolts longer than 6 in have grade 1 strength; check the length.");
        }
        Ok(strength)
    }
}

/// The step a torque is set to when none is given: 1 lbf-in below 20 lbf-ft,
/// 1 lbf-ft below 100, 5 lbf-ft above; 0.5, 1 and 5 N·m for metric threads.
/// Source: common practice.
pub(super) fn usual_increment(torque: Torque, metric: bool) -> Torque {
    if metric {
        let t = torque.to(unit::N_M);
        return Torque::of(
            if t < 20.0 {
                0.5
            } else if t < 100.0 {
                1.0
            } else {
                5.0
            },
            unit::N_M,
        );
    }
    let t = torque.to(unit::LBF_FT);
    if t < 20.0 {
        Torque::of(1.0, unit::LBF_IN)
    } else {
        Torque::of(if t < 100.0 { 1.0 } else { 5.0 }, unit::LBF_FT)
    }
}

/// A torque rounded to a step of the wrench.
#[must_use]
pub fn to_increment(torque: Torque, increment: Torque, toward: Toward) -> Torque {
    Torque::from_si(round::to_step(torque / increment, 1.0, toward) * increment.si())
}

//! The long forms of the torque equation, which keep pitch, thread friction and
//! bearing friction apart.

use super::bears;
use super::profile;
use super::selection::{FINE_TORQUE, Named, Thread, shigley};
use crate::figure::prelude::*;
use crate::figure::range::Range;

const ISO: Source = Source::standard("ISO 16047", "tightening torque, total").from_memory();
const VDI: Source = Source::standard(
    "VDI 2230",
    "M_A = F (0.16 P + 0.58 d2 mu_G + D_Km/2 mu_K); checked against printed rows",
);
const SCREW: Source = Source::derived(
    "square-thread statics with the flank angle",
    "ISO 16047 form and a numerical inclined-plane balance",
);
const MOTOSH: Source =
    Source::handbook("Motosh equation", "P/(2 pi) + mu_t r_t/cos 30 + mu_b r_b").from_memory();
const CONE: Source = Source::derived("cone seat", "force triangle");
/// 1 / cos 30 degrees as the printed formulas round it.
const SECANT: f64 = 1.154_700_538_379_251_7;
/// Friction coefficients the torque forms are used with; no thread is without friction.
pub(super) const FRICTION: Range = within(0.01, 0.6, unit::ONE, VDI);

family! {
    /// The face a nut or head bears on.
    reads Face {
        optional bearing_diameter: Length in ABOVE_ZERO, "mean diameter of the bearing face; without it (dw + dh)/2 or 1.25 d",
            "db", "dkm", "d_b", "collar_diameter", "bearing_dia", "mean_bearing_diameter", "friction_diameter";
        optional washer_face: Length in ABOVE_ZERO, "outer diameter of the bearing face dw",
            "dw", "bearing_od", "do", "face_diameter", "bearing_outer", "outer_bearing_diameter";
        optional hole: Length in ABOVE_ZERO, "hole diameter dh", "dh", "clearance_hole", "hole_diameter";
    }
}

/// Mean diameter of the bearing face from the tables, or 1.25 d.
pub(super) fn bearing_usual(thread: &Thread) -> Length {
    match (thread.washer_face(), thread.clearance_hole()) {
        (Some(face), Some(hole)) => (face + hole) * 0.5,
        _ => thread.major * 1.25,
    }
}

impl Face {
    /// Mean diameter of the bearing face: given, from dw and dh, from the
    /// tables, or 1.25 d.
    pub(super) fn mean(&self, thread: &Thread) -> Result<Length> {
        if let Some(mean) = *self.bearing_diameter {
            return Ok(mean);
        }
        let (face, hole) = (*self.washer_face, *self.hole);
        if face.is_none() && hole.is_none() {
            return Ok(bearing_usual(thread));
        }
        let face = face.or(thread.washer_face()).ok_or_else(|| Trouble::Missing(vec!["washer_face"]))?;
        let hole = hole.or(thread.clearance_hole()).ok_or_else(|| Trouble::Missing(vec!["hole"]))?;
        (face <= hole)
            .refuse("the bearing face is not larger than the hole", "check washer_face and hole")?;
        Ok((face + hole) * 0.5)
    }
}

family! {
    pub TORQUE_FRICTION = "torque-friction" in Fastening:
        "tightening torque from friction coefficients, its shares, and the nut factor";
    also "long-form", "torque-long-form", "iso-16047", "friction-torque", "torque-long", "motosh";
    reads LongForm {
        ..bolt: Named;
        ..face: Face;
        optional preload: Force in ABOVE_ZERO, "preload; without it only ratios are given",
            "F", "force", "clamp_load", "fi", "axial_force", "clamping_force", "P", "W";
        optional mu: Number in FRICTION, "friction of thread and bearing face together",
            "friction", "mu_total", "f", "friction_coefficient", "coefficient_of_friction", "cof";
        optional mu_thread: Number in FRICTION, "thread friction; wins over mu",
            "mu_t_thread", "thread_mu", "mu_t", "mu_g", "thread_friction";
        optional mu_bearing: Number in FRICTION, "bearing-face friction; wins over mu",
            "mu_head", "head_friction", "collar_friction", "bearing_mu", "mu_b", "mu_k", "bearing_friction", "fc";
        optional root: Length in ABOVE_ZERO, "root diameter for the mean diameter of the textbook form", "dr", "root_diameter";
        optional seat_half_angle: Angle in within(15.0, 90.0, unit::DEG, CONE),
            "half angle of a cone seat; flat faces have none", "cone_half_angle";
    }
    gives LongForms {
        lead_angle: Angle, "lead angle at the textbook mean diameter", "atan(P / (pi dm)), dm = (d + dr)/2",
            shigley("ex. 8-3") => .style(FINE_ANGLE);
        mean_diameter: Length, "mean thread diameter of the textbook form", "(d + dr)/2", shigley("ex. 8-3")
            => .style(GAUGE);
        bearing_diameter: Length, "mean diameter of the bearing face", "(dw + dh)/2, or 1.25 d", shigley("eq. 8-25")
            => .style(GAUGE);
        nut_factor: Number, "nut factor K, textbook form",
            "(dm/2d)(tan l + f sec a)/(1 - f tan l sec a) + (Db/2d) fc", shigley("eq. 8-26")
            => .range("60 degree thread, single start, flat face, elastic range");
        nut_factor_vdi: Number, "nut factor K, VDI form", "torque_vdi / (F d)", VDI;
        torque: Torque, "torque, textbook form", "K d F", shigley("eq. 8-26") => .style(FINE_TORQUE);
        torque_exact: Torque, "torque, exact screw",
            "F [d2/2 (P/(pi d2) + 1.1547 mu_t)/(1 - 1.1547 mu_t P/(pi d2)) + mu_b Db/2]", SCREW => .style(FINE_TORQUE);
        torque_iso: Torque, "torque, ISO 16047",
            "F [1/2 (P + 1.154 pi mu_t d2)/(pi - 1.154 mu_t P/d2) + mu_b Db/2]", ISO => .style(FINE_TORQUE);
        torque_vdi: Torque, "torque, VDI 2230", "F (0.16 P + 0.58 d2 mu_t + mu_b Db/2)", VDI => .style(FINE_TORQUE);
        torque_motosh: Torque, "torque, sum of three terms",
            "F (P/(2 pi) + mu_t d2/(2 cos 30) + mu_b Db/2), without the product of lead and friction", MOTOSH
            => .style(FINE_TORQUE);
        share_pitch: Percent, "share that stretches the bolt", "0.16 P over the sum", VDI;
        share_thread: Percent, "share lost in the thread", "0.58 d2 mu_t over the sum", VDI;
        share_bearing: Percent, "share lost under the nut", "mu_b Db/2 over the sum", VDI;
    }
    asked torque, nut_factor;
    example "thread=\"3/4-16\" preload=\"25 kip\" mu=0.15";
    by long_forms
}

/// Thread, bearing face and friction of a joint.
#[derive(Debug, Clone)]
pub struct Contact {
    /// Thread the nut turns on: pitch, diameters and flank angle.
    pub thread: Thread,
    /// Root diameter of the textbook form.
    pub root: Length,
    /// Mean bearing diameter, already divided by the sine of a cone's half angle.
    pub bearing: Length,
    /// Thread friction.
    pub mu_thread: Number,
    /// Bearing friction.
    pub mu_bearing: Number,
}

impl Contact {
    /// Torque per preload of Shigley eq. 8-26, as a length.
    #[must_use]
    pub fn textbook(&self) -> Length {
        let mean = (self.thread.major + self.root) * 0.5;
        let lead = self.thread.pitch.si() / (PI * mean.si());
        let f = self.mu_thread.si() * SECANT;
        mean * 0.5 * ((lead + f) / (1.0 - f * lead)) + self.bearing_arm()
    }

    /// Torque per preload of the screw without approximation.
    #[must_use]
    pub fn exact(&self) -> Length {
        let d2 = profile::pitch_diameter(&self.thread);
        let lead = self.thread.pitch.si() / (PI * d2.si());
        let f = SECANT * self.mu_thread.si();
        d2 * 0.5 * ((lead + f) / (1.0 - f * lead)) + self.bearing_arm()
    }

    /// Torque per preload of ISO 16047, with its rounded 1.154.
    #[must_use]
    pub fn iso(&self) -> Length {
        let d2 = profile::pitch_diameter(&self.thread).si();
        let (p, mu) = (self.thread.pitch.si(), self.mu_thread.si());
        let thread = 0.5 * (p + 1.154 * PI * mu * d2) / (PI - 1.154 * mu * p / d2);
        Length::from_si(thread) + self.bearing_arm()
    }

    /// The three terms of VDI 2230: pitch, thread, bearing.
    #[must_use]
    pub fn vdi_terms(&self) -> [Length; 3] {
        let d2 = profile::pitch_diameter(&self.thread);
        [self.thread.pitch * 0.16, d2 * (0.58 * self.mu_thread.si()), self.bearing_arm()]
    }

    /// Torque per preload as the plain sum of three terms.
    #[must_use]
    pub fn sum(&self) -> Length {
        let d2 = profile::pitch_diameter(&self.thread);
        self.thread.pitch / (2.0 * PI) + d2 * (0.5 * SECANT * self.mu_thread.si()) + self.bearing_arm()
    }

    fn bearing_arm(&self) -> Length {
        self.bearing * (0.5 * self.mu_bearing.si())
    }
}

/// Says what becomes of a friction for both places where one of a place of its
/// own is stated too.
pub(super) fn tell_wins(both: bool, thread: bool, bearing: bool, said: &mut Said) {
    match (both, thread, bearing) {
        (true, true, false) => said.note("mu holds for the bearing face only: mu_thread is given."),
        (true, false, true) => said.note("mu holds for the thread only: mu_bearing is given."),
        _ => {}
    }
}

fn contact(given: &LongForm, said: &mut Said) -> Result<Contact> {
    let thread = given.bolt.find(said)?;
    let (at_thread, at_bearing) = (given.mu_thread.given(), given.mu_bearing.given());
    tell_wins(given.mu.given(), at_thread, at_bearing, said);
    let of = |own: &Read<Option<Number>>| match **own {
        Some(own) => Ok(own),
        None if at_thread || at_bearing => given.mu.ok_or_else(|| Trouble::Missing(vec![own.name()])),
        None => given.mu.need(),
    };
    let (mu_thread, mu_bearing) = (of(&given.mu_thread)?, of(&given.mu_bearing)?);
    let mut bearing = given.face.mean(&thread)?;
    if let Some(half) = *given.seat_half_angle {
        bearing /= math::sin(half);
    }
    let root = given.root.unwrap_or_else(|| profile::root(&thread));
    Ok(Contact { thread, root, bearing, mu_thread, mu_bearing })
}

fn long_forms(given: &LongForm, answer: &mut LongForms) -> Result<()> {
    let contact = contact(given, &mut answer.said)?;
    let thread = &contact.thread;
    let d = thread.major;
    let mean = (d + contact.root) * 0.5;
    let terms = contact.vdi_terms();
    let vdi = terms[0] + terms[1] + terms[2];
    answer.lead_angle.put(math::atan(thread.pitch.si() / (PI * mean.si())));
    answer.mean_diameter.put(mean);
    answer.bearing_diameter.put(contact.bearing);
    answer.nut_factor.put(Number::from_si(contact.textbook().si() / d.si()));
    answer.nut_factor_vdi.put(Number::from_si(vdi.si() / d.si()));
    if let Some(preload) = *given.preload {
        bears::refuse_any_broken(preload, d, Some(thread))?;
        let torque = |arm: Length| Torque::from_si(arm.si() * preload.si());
        answer.torque.put(torque(contact.textbook()));
        answer.torque_exact.put(torque(contact.exact()));
        answer.torque_iso.put(torque(contact.iso()));
        answer.torque_vdi.put(torque(vdi));
        answer.torque_motosh.put(torque(contact.sum()));
    }
    let share = |term: Length| Percent::from_si(term.si() / vdi.si());
    answer.share_pitch.put(share(terms[0]));
    answer.share_thread.put(share(terms[1]));
    answer.share_bearing.put(share(terms[2]));
    Ok(())
}

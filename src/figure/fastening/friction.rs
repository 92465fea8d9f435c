//! The long forms of the torque equation, which keep pitch, thread friction and
//! bearing friction apart.

use std::f64::consts::PI;

use super::profile;
use super::selection::{self, FINE_TORQUE, THREAD, Thread, shigley};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::{Dimensioned, Force, Kind, Length, Number, Percent, Torque, unit};
use crate::source::Source;

const ISO: Source = Source::standard("ISO 16047", "tightening torque, total").from_memory();
const VDI: Source = Source::standard(
    "VDI 2230",
    "M_A = F (0.16 P + 0.58 d2 mu_G + D_Km/2 mu_K); checked against 69 printed rows",
);
const SCREW: Source = Source::derived(
    "square-thread statics with the flank angle",
    "ISO 16047 form and a numerical inclined-plane balance",
);
const MOTOSH: Source =
    Source::handbook("Motosh equation", "P/(2 pi) + mu_t r_t/cos 30 + mu_b r_b").from_memory();
/// 1 / cos 30 degrees as the printed formulas round it.
const SECANT: f64 = 1.154_700_538_379_251_7;

/// Torque by all long forms, shares, and the nut factor they amount to.
pub static TORQUE_FRICTION: Family = Family {
    name: "torque-friction",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "tightening torque from friction coefficients, its shares, and the nut factor",
    inputs: &[
        THREAD,
        Input::optional("preload", Kind::Force, "preload; without it only ratios are given").also(&[
            "F",
            "force",
            "clamp_load",
            "fi",
        ]),
        Input::optional("mu", Kind::Number, "friction of thread and bearing face together")
            .also(&["friction", "mu_total", "f"]),
        Input::optional("mu_thread", Kind::Number, "thread friction; wins over mu").also(&[
            "mu_t_thread",
            "thread_mu",
            "mu_t",
            "mu_g",
            "thread_friction",
        ]),
        Input::optional("mu_bearing", Kind::Number, "bearing-face friction; wins over mu").also(&[
            "mu_head",
            "head_friction",
            "collar_friction",
            "bearing_mu",
            "mu_b",
            "mu_k",
            "bearing_friction",
            "fc",
        ]),
        Input::optional(
            "bearing_diameter",
            Kind::Length,
            "mean diameter of the bearing face; without it (dw + dh)/2 or 1.25 d",
        )
        .also(&["db", "dkm", "d_b", "collar_diameter"]),
        Input::optional("washer_face", Kind::Length, "outer diameter of the bearing face dw").also(&[
            "bearing_od",
            "do",
            "face_diameter",
            "bearing_outer",
            "dw",
        ]),
        Input::optional("hole", Kind::Length, "hole diameter dh").also(&["dh", "clearance_hole"]),
        Input::optional("root", Kind::Length, "root diameter for the mean diameter of the textbook form")
            .also(&["dr", "root_diameter"]),
        Input::optional("seat_half_angle", Kind::Angle, "half angle of a cone seat; flat faces have none")
            .also(&["cone_half_angle"]),
    ],
    outputs: &[
        Output::new(
            "lead_angle",
            "lead angle at the textbook mean diameter",
            Kind::Angle,
            "atan(P / (pi dm)), dm = (d + dr)/2",
            shigley("ex. 8-3"),
        )
        .style(crate::quantity::show::FINE_ANGLE),
        Output::new(
            "mean_diameter",
            "mean thread diameter of the textbook form",
            Kind::Length,
            "(d + dr)/2",
            shigley("ex. 8-3"),
        )
        .style(crate::quantity::show::GAUGE),
        Output::new(
            "bearing_diameter",
            "mean diameter of the bearing face",
            Kind::Length,
            "(dw + dh)/2, or 1.25 d",
            shigley("eq. 8-25"),
        )
        .style(crate::quantity::show::GAUGE),
        Output::new(
            "nut_factor",
            "nut factor K, textbook form",
            Kind::Number,
            "(dm/2d)(tan l + f sec a)/(1 - f tan l sec a) + (Db/2d) fc",
            shigley("eq. 8-26"),
        )
        .range("60 degree thread, single start, flat face, elastic range"),
        Output::new("nut_factor_vdi", "nut factor K, VDI form", Kind::Number, "torque_vdi / (F d)", VDI),
        Output::new("torque", "torque, textbook form", Kind::Torque, "K d F", shigley("eq. 8-26"))
            .style(FINE_TORQUE),
        Output::new(
            "torque_exact",
            "torque, exact screw",
            Kind::Torque,
            "F [d2/2 (P/(pi d2) + 1.1547 mu_t)/(1 - 1.1547 mu_t P/(pi d2)) + mu_b Db/2]",
            SCREW,
        )
        .style(FINE_TORQUE),
        Output::new(
            "torque_iso",
            "torque, ISO 16047",
            Kind::Torque,
            "F [1/2 (P + 1.154 pi mu_t d2)/(pi - 1.154 mu_t P/d2) + mu_b Db/2]",
            ISO,
        )
        .style(FINE_TORQUE),
        Output::new(
            "torque_vdi",
            "torque, VDI 2230",
            Kind::Torque,
            "F (0.16 P + 0.58 d2 mu_t + mu_b Db/2)",
            VDI,
        )
        .style(FINE_TORQUE),
        Output::new(
            "torque_motosh",
            "torque, sum of three terms",
            Kind::Torque,
            "F (P/(2 pi) + mu_t d2/(2 cos 30) + mu_b Db/2), without the product of lead and friction",
            MOTOSH,
        )
        .style(FINE_TORQUE),
        Output::new(
            "share_pitch",
            "share that stretches the bolt",
            Kind::Percent,
            "0.16 P over the sum",
            VDI,
        ),
        Output::new(
            "share_thread",
            "share lost in the thread",
            Kind::Percent,
            "0.58 d2 mu_t over the sum",
            VDI,
        ),
        Output::new(
            "share_bearing",
            "share lost under the nut",
            Kind::Percent,
            "mu_b Db/2 over the sum",
            VDI,
        ),
    ],
    example: "thread=\"3/4-16\" preload=\"25 kip\" mu=0.15",
    run,
};

/// Thread, bearing face and friction of a joint.
#[derive(Debug, Clone)]
pub struct Contact {
    /// Thread.
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

/// A friction coefficient within the range the torque forms are used in.
///
/// # Errors
/// Outside 0 to 0.6.
pub(super) fn friction(name: &'static str, value: Number) -> Result<Number, Trouble> {
    given::within(name, value, unit::ONE, 0.0..=0.6, VDI)?;
    Ok(value)
}

/// Says what becomes of a friction for both places where one of a place of its
/// own is given too.
pub(super) fn warn_wins(given: &Given, answer: &mut Answer) {
    if !given.has("mu") {
        return;
    }
    match (given.has("mu_thread"), given.has("mu_bearing")) {
        (true, true) => {
            answer.warn("mu is not used: mu_thread and mu_bearing are given, and they win over it.");
        }
        (true, false) => answer.note("mu holds for the bearing face only: mu_thread is given."),
        (false, true) => answer.note("mu holds for the thread only: mu_bearing is given."),
        (false, false) => {}
    }
}

/// Mean bearing diameter: given, from dw and dh, from the tables, or `usual` d.
pub(super) fn bearing_diameter(given: &Given, thread: &Thread, usual: f64) -> Result<Length, Trouble> {
    if let Some(mean) = given.maybe::<Length>("bearing_diameter")? {
        return given::positive("bearing_diameter", mean);
    }
    let face: Option<Length> = given.maybe("washer_face")?;
    let hole: Option<Length> = given.maybe("hole")?;
    match (face, hole) {
        (None, None) => Ok(match (thread.washer_face(), thread.clearance_hole()) {
            (Some(face), Some(hole)) => (face + hole) * 0.5,
            _ => thread.major * usual,
        }),
        (Some(face), Some(hole)) if face > hole => Ok((face + hole) * 0.5),
        (Some(_), Some(_)) => Err(Trouble::impossible(
            "the bearing face is not larger than the hole",
            "check washer_face and hole",
        )),
        (Some(face), None) => match thread.clearance_hole() {
            Some(hole) => Ok((face + hole) * 0.5),
            None => Err(Trouble::Missing(vec!["hole"])),
        },
        (None, Some(hole)) => match thread.washer_face() {
            Some(face) => Ok((face + hole) * 0.5),
            None => Err(Trouble::Missing(vec!["washer_face"])),
        },
    }
}

fn contact(given: &Given, answer: &mut Answer) -> Result<Contact, Trouble> {
    let thread = selection::thread(given, answer)?;
    let both: Option<Number> = given.maybe("mu")?;
    warn_wins(given, answer);
    let read = |name: &'static str| -> Result<Number, Trouble> {
        let value = given.maybe(name)?.or(both).ok_or_else(|| {
            Trouble::Missing(if given.has("mu_thread") || given.has("mu_bearing") {
                vec![name]
            } else {
                vec!["mu"]
            })
        })?;
        friction(name, value)
    };
    let (mu_thread, mu_bearing) = (read("mu_thread")?, read("mu_bearing")?);
    let mut bearing = bearing_diameter(given, &thread, 1.25)?;
    if let Some(half) = given.maybe::<crate::quantity::Angle>("seat_half_angle")? {
        given::within(
            "seat_half_angle",
            half,
            unit::DEG,
            15.0..=90.0,
            Source::derived("cone seat", "force triangle"),
        )?;
        bearing /= crate::quantity::math::sin(half);
    }
    let root = match given.maybe::<Length>("root")? {
        Some(root) => given::positive("root", root)?,
        None => profile::root(&thread),
    };
    Ok(Contact { thread, root, bearing, mu_thread, mu_bearing })
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let contact = contact(given, answer)?;
    let d = contact.thread.major;
    let mean = (d + contact.root) * 0.5;
    let terms = contact.vdi_terms();
    let vdi = terms[0] + terms[1] + terms[2];
    answer.put("lead_angle", crate::quantity::math::atan(contact.thread.pitch.si() / (PI * mean.si())));
    answer.put("mean_diameter", mean);
    answer.put("bearing_diameter", contact.bearing);
    answer.put("nut_factor", Number::from_si(contact.textbook().si() / d.si()));
    answer.put("nut_factor_vdi", Number::from_si(vdi.si() / d.si()));
    if let Some(preload) = given.maybe::<Force>("preload")? {
        let preload = given::positive("preload", preload)?;
        let torque = |arm: Length| Torque::from_si(arm.si() * preload.si());
        answer.put("torque", torque(contact.textbook()));
        answer.put("torque_exact", torque(contact.exact()));
        answer.put("torque_iso", torque(contact.iso()));
        answer.put("torque_vdi", torque(vdi));
        answer.put("torque_motosh", torque(contact.sum()));
    }
    for (id, term) in ["share_pitch", "share_thread", "share_bearing"].into_iter().zip(terms) {
        answer.put(id, Percent::from_si(term.si() / vdi.si()));
    }
    Ok(())
}

//! Limits of size of a thread in its tolerance class.

use super::profile;
use super::selection::Thread;
use crate::figure::prelude::*;
use crate::reference::thread::{Series, is_class};
use crate::reference::thread_tolerance;

/// Tolerance class of a thread.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Class {
    /// Unified, 1 to 3; external A or internal B.
    Inch {
        /// 1 loosest, 3 closest.
        number: u32,
        /// Whether it is a bolt thread, A.
        external: bool,
    },
    /// ISO metric.
    Metric {
        /// Grade of the pitch diameter.
        pitch: u32,
        /// Grade of the major diameter of a bolt or minor diameter of a nut.
        crest: u32,
        /// Position of the zone: lower case for bolts, capital for nuts.
        position: char,
    },
}

impl Class {
    /// The class a word means: `2A`, `3B`, `6g`, `4h6h`, `6H`.
    #[must_use]
    pub fn read(word: &str) -> Option<Self> {
        let word = word.trim();
        if !is_class(word) {
            return None;
        }
        let chars: Vec<char> = word.chars().collect();
        let number = chars.first()?.to_digit(10)?;
        let letter = *chars.get(1)?;
        match letter.to_ascii_uppercase() {
            'A' | 'B' => Some(Self::Inch { number, external: letter.eq_ignore_ascii_case(&'A') }),
            _ => {
                let crest = chars.get(2).and_then(|c| c.to_digit(10)).unwrap_or(number);
                let same = chars.get(3).is_none_or(|other| *other == letter);
                same.then_some(Self::Metric { pitch: number, crest, position: letter })
            }
        }
    }

    /// Whether it is for bolts.
    pub(super) const fn is_external(self) -> bool {
        match self {
            Class::Inch { external, .. } => external,
            Class::Metric { position, .. } => position.is_ascii_lowercase(),
        }
    }

    /// The usual partner of the same fineness: 2A and 2B, 6g and 6H.
    pub(super) const fn partner(self) -> Self {
        match self {
            Class::Inch { number, external } => Class::Inch { number, external: !external },
            Class::Metric { position, .. } => Class::Metric {
                pitch: 6,
                crest: 6,
                position: if position.is_ascii_lowercase() { 'H' } else { 'g' },
            },
        }
    }
}

/// Limits of size in one class.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Allowance, or fundamental deviation of a metric thread, without sign.
    pub allowance: Length,
    /// Tolerance of the pitch diameter.
    pub pitch_tolerance: Length,
    /// Least pitch diameter.
    pub pitch_min: Length,
    /// Greatest pitch diameter.
    pub pitch_max: Length,
    /// Least major diameter of a bolt or minor diameter of a nut.
    pub crest_min: Length,
    /// Greatest major diameter of a bolt or minor diameter of a nut.
    pub crest_max: Length,
}

/// Limits of a thread in a class; inch threads with a length of engagement that
/// is d for UNC and UNF and 9 pitches otherwise, if none is given.
///
/// Sources: ASME B1.1 clause 5 (2A pitch tolerance 0.0015 d^(1/3) + 0.0015
/// Le^(1/2) + 0.015 P^(2/3); 1A 1.5, 3A 0.75, 1B 1.95, 2B 1.30, 3B 0.975 of it;
/// allowance 0.300 of it for 1A and 2A; major diameter 0.060 P^(2/3), 1A 0.090;
/// minor diameter of the nut by pitch), ISO 965-1.
///
/// # Errors
/// If the class belongs to the other system, or the tables end before this size.
pub fn limits(thread: &Thread, class: Class, engagement: Option<Length>) -> Result<Limits> {
    match class {
        Class::Inch { number, external } if !thread.is_metric() => {
            Ok(inch(thread, number, external, engagement))
        }
        Class::Metric { pitch, crest, position } if thread.is_metric() => {
            let found = thread_tolerance::metric(thread.major, thread.pitch, (pitch, crest), position);
            let t = found.ok_or_else(|| {
                Trouble::impossible(
                    format!("no tolerances of this class are listed for {}", thread.name),
                    "leave tolerance_class out, or take them from ISO 965-1",
                )
            })?;
            let d2 = profile::pitch_diameter(thread);
            let out =
                |basic: Length, tolerance: Length| (basic + t.deviation, basic + t.deviation + tolerance);
            let down =
                |basic: Length, tolerance: Length| (basic - t.deviation - tolerance, basic - t.deviation);
            let ((pitch_min, pitch_max), (crest_min, crest_max)) = if class.is_external() {
                (down(d2, t.pitch), down(thread.major, t.crest))
            } else {
                (out(d2, t.pitch), out(profile::minor_internal(thread), t.crest))
            };
            Ok(Limits {
                allowance: t.deviation,
                pitch_tolerance: t.pitch,
                pitch_min,
                pitch_max,
                crest_min,
                crest_max,
            })
        }
        _ => Err(Trouble::impossible(
            format!("the tolerance class does not belong to {}", thread.name),
            "inch threads have 1A to 3B, metric ones 6g, 6H and the like",
        )),
    }
}

fn inch(thread: &Thread, number: u32, external: bool, engagement: Option<Length>) -> Limits {
    let (d, p) = (thread.major.to(unit::IN), thread.pitch.to(unit::IN));
    let usual = if matches!(thread.series, Series::Unc | Series::Unf) { d } else { 9.0 * p };
    let le = engagement.map_or(usual, |l| l.to(unit::IN));
    let two_thirds = math::pow(p, 2.0 / 3.0);
    let two_a = 0.0015 * math::cbrt(d) + 0.0015 * le.sqrt() + 0.015 * two_thirds;
    // Printed limits are sums of figures rounded to 0.0001 in.
    let printed = |x: f64| round::to_step(x, 1e-4, Toward::Nearest);
    let length = |x: f64| Length::of(printed(x), unit::IN);
    let share = match (number, external) {
        (1, true) => 1.5,
        (2, true) => 1.0,
        (_, true) => 0.75,
        (1, false) => 1.95,
        (2, false) => 1.30,
        (_, false) => 0.975,
    };
    let tolerance = printed(share * two_a);
    let d2 = printed(profile::pitch_diameter(thread).to(unit::IN));
    if external {
        let allowance = if number == 3 { 0.0 } else { printed(0.3 * two_a) };
        let crest = printed(if number == 1 { 0.090 } else { 0.060 } * two_thirds);
        return Limits {
            allowance: length(allowance),
            pitch_tolerance: length(tolerance),
            pitch_min: length(d2 - allowance - tolerance),
            pitch_max: length(d2 - allowance),
            crest_min: length(printed(d) - allowance - crest),
            crest_max: length(printed(d) - allowance),
        };
    }
    let minor = profile::minor_internal(thread).to(unit::IN);
    let crest = minor_tolerance(d, p, number == 3);
    Limits {
        allowance: length(0.0),
        pitch_tolerance: length(tolerance),
        pitch_min: length(d2),
        pitch_max: length(d2 + tolerance),
        crest_min: length(minor),
        crest_max: length(minor + crest),
    }
}

/// Tolerance of the minor diameter of an inch nut, ASME B1.1 5.8.
fn minor_tolerance(d: f64, p: f64, close: bool) -> f64 {
    let close_form = 0.05 * math::pow(p, 2.0 / 3.0) + 0.03 * p / d - 0.002;
    if close {
        let least = if p < 1.0 / 12.5 { 0.23 * p - 1.5 * p * p } else { 0.120 * p };
        return close_form.max(least).min(0.394 * p);
    }
    if d < 0.25 - 1e-9 {
        return close_form.max(0.25 * p - 0.4 * p * p).min(0.394 * p);
    }
    if p > 0.25 + 1e-9 { 0.15 * p } else { 0.25 * p - 0.4 * p * p }
}

/// Least length of engagement at which the bolt breaks before its own thread
/// strips, nut of the same strength or stronger:
/// 2 At / (pi Kn [1/2 + 0.57735 (Es - Kn) / P]) with Kn the greatest minor
/// diameter of the nut and Es the least pitch diameter of the bolt.
///
/// Source: FED-STD-H28 and Machinery's Handbook, length of engagement.
pub(super) fn stripping_length(area: Area, pitch: Length, minor_max: Length, pitch_min: Length) -> Length {
    let engaged = 0.5 + 0.577_35 * (pitch_min - minor_max).si() / pitch.si();
    Length::from_si(2.0 * area.si() / (PI * minor_max.si() * engaged))
}

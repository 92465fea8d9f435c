//! A reading far from what is expected of it: the point slipped, the unit is another
//! one, the sign is the other one. It is asked back before it counts for anything.

use super::frozen::{GATED_SINCE, Limits, Reading};
use crate::quantity::{Dimensioned, Kind, Length, Quantity, Style, unit};

/// Edition of the rules since which it is asked back.
pub const SINCE: u32 = 2;
/// Times off that can't be chance: a power of ten, millimetres for inches, feet for
/// inches, pound-inches for pound-feet.
const TIMES: f64 = 8.0;
/// Below this much a length with no limits of its own may be ten times off: 5 mm.
const SMALL: f64 = 0.005;
/// Below this much an angle may have the other sign, or be ten times off: 0.5 deg and
/// 2 deg.
const LEVEL: f64 = 0.5 * std::f64::consts::PI / 180.0;
const FLAT: f64 = 2.0 * std::f64::consts::PI / 180.0;
/// A length this far below nothing has a sign: 3 mm.
const SIGNED: f64 = 0.003;

/// Share of a stated length by which what is measured may be off it before it is asked back, and
/// the least that is: a tenth, and 25 mm (common practice: a job's sizes are taken with a tape).
const SHARE: f64 = 0.1;
const OFF: f64 = 0.025;
/// The same of a load or a mass: a quarter (common practice: loads are estimated).
const LOAD: f64 = 0.25;

/// What a value is held against. SI units.
enum Expect {
    /// A target with what it may be off by.
    Near(f64, f64),
    /// At most.
    Most(f64),
    /// At least.
    Least(f64),
    /// What the job states, without a limit.
    Stated(f64),
}

impl Expect {
    fn of(reading: &Reading, limits: Option<Limits>) -> Option<Self> {
        let si = |q: Option<Quantity>| q.map(Quantity::si);
        let (target, lower, upper) = match limits {
            Some(l) => (si(l.target), si(l.lower), si(l.upper)),
            None => (None, None, None),
        };
        Some(match (lower, upper) {
            (Some(low), Some(high)) => {
                let (middle, half) = (target.unwrap_or(f64::midpoint(low, high)), (high - low) / 2.0);
                // Around nothing the sign says nothing, and no share of it either.
                if middle.abs() > half {
                    Self::Near(middle, half)
                } else {
                    Self::Most(low.abs().max(high.abs()))
                }
            }
            (None, Some(high)) => Self::Most(high.abs()),
            (Some(low), None) => Self::Least(low.abs()),
            (None, None) => match target {
                Some(target) => Self::Near(target, 0.0),
                None => Self::Stated(reading.expected?.si()),
            },
        })
    }
}

/// Why a value is hardly what was read, in words; none if it may well be. `limits` are
/// those it is judged by.
#[must_use]
pub fn far(reading: &Reading, limits: Option<Limits>, read: Quantity, rules: u32) -> Option<String> {
    let (kind, value) = (read.kind(), read.si());
    if !kind.has_a_size() {
        return None;
    }
    let Some(expect) = Expect::of(reading, limits) else { return unusual(reading, read) };
    if let Expect::Stated(stated) = expect
        && let Some(why) = (rules >= GATED_SINCE).then(|| contradicts(kind, value, stated)).flatten()
    {
        return Some(format!("{} {why} what the job states, {}", shown(kind, value), shown(kind, stated)));
    }
    let least = |angle: f64, length: f64| least(kind, angle, length);
    let inside = |middle: f64, half: f64| (value - middle).abs() <= half;
    let (of, words) = match expect {
        Expect::Near(middle, half) if !inside(middle, half) => (middle, "what is wanted"),
        Expect::Stated(stated) if value.abs().max(stated.abs()) >= least(FLAT, SMALL) => {
            (stated, "what the job states")
        }
        Expect::Most(most) if value.abs() >= TIMES * most => (most, "what is allowed at most"),
        // Room to spare is no slip.
        Expect::Least(lower) if value >= 10.0 * lower || value.abs() * TIMES <= lower => {
            (lower, "what is asked at least")
        }
        _ => return None,
    };
    let signed = matches!(expect, Expect::Near(..) | Expect::Stated(_)).then(|| least(LEVEL, SIGNED));
    let why = off(kind, value, of, signed)?;
    Some(format!("{} {why} {words}, {}", shown(kind, value), shown(kind, of)))
}

/// How a value that takes the place of a stated one contradicts it, long before one is `TIMES`
/// the other: the next mark of a tape, another hole, the other axle.
fn contradicts(kind: Kind, value: f64, stated: f64) -> Option<String> {
    let (share, size) = match kind {
        Kind::Length => (SHARE, OFF),
        Kind::Mass | Kind::Force => (LOAD, 0.0),
        _ => return None,
    };
    let apart = (value - stated).abs();
    if apart <= share * stated.abs()
        || apart <= size
        || value.abs().max(stated.abs()) >= TIMES * value.abs().min(stated.abs())
    {
        return None;
    }
    Some(format!("is {} {} than", shown(kind, apart), if value > stated { "more" } else { "less" }))
}

/// Why a value is outside what is usual, where nothing else says what it may be.
fn unusual(reading: &Reading, read: Quantity) -> Option<String> {
    let (kind, usual) = (read.kind(), reading.usual?);
    // What can't be is refused, and no assurance lets it pass: nothing is asked back.
    if reading.never_negative && read.si() < 0.0 {
        return None;
    }
    let (least, most) = (usual.least.si(), usual.most.si());
    let room = 1e-9 * (most - least);
    let way = match read.si() {
        value if value < least - room => "less",
        value if value > most + room => "more",
        _ => return None,
    };
    let (least, most) = (shown(kind, least), shown(kind, most));
    Some(format!("{} is {way} than is usual, {least} to {most}", shown(kind, read.si())))
}

/// Why a value and another of the same thing can hardly both be right, in words that stand
/// between the two; none if they may. Small ones may differ.
#[must_use]
pub fn unlike(read: Quantity, other: Quantity) -> Option<String> {
    let (kind, value, other) = (read.kind(), read.si(), other.si());
    let large = value.abs().max(other.abs()) >= least(kind, FLAT, SMALL);
    // Lengths from a mark lie on either side of it.
    let signed = (kind == Kind::Angle).then_some(FLAT);
    if kind.has_a_size() && large { off(kind, value, other, signed) } else { None }
}

/// Share of the larger one by which two values of one thing may differ before their units
/// are looked at: what is read in inches on one side and in centimetres on the other is 2.54
/// times off.
const AGREE: f64 = 0.2;

/// As [`unlike`], of values as they were written: in another unit, and no match, long before
/// one is `TIMES` the other.
#[must_use]
pub fn unlike_as_written(read: (Quantity, &str), other: (Quantity, &str)) -> Option<String> {
    let in_other_units = || {
        let (own, beside) = (unit_of(read.1), unit_of(other.1));
        let (value, of) = (read.0.si(), other.0.si());
        let most = value.abs().max(of.abs());
        let large = most >= least(read.0.kind(), FLAT, SMALL);
        let measured = matches!(read.0.kind(), Kind::Length | Kind::Force | Kind::Torque);
        let apart = (value - of).abs() > AGREE * most;
        (measured && large && apart && !own.is_empty() && !beside.is_empty() && own != beside)
            .then(|| "is in another unit than".to_owned())
    };
    unlike(read.0, other.0).or_else(in_other_units)
}

/// The unit a value was written in: what stands behind its last digit.
fn unit_of(text: &str) -> &str {
    let text = text.trim();
    let end = text.rfind(|c: char| c.is_ascii_digit()).map_or(0, |at| at + 1);
    text.get(end..).unwrap_or_default().trim_matches([' ', '.', '-'])
}

/// What an angle or a length must be at least to be compared.
const fn least(kind: Kind, angle: f64, length: f64) -> f64 {
    match kind {
        Kind::Angle => angle,
        Kind::Length => length,
        _ => 0.0,
    }
}

fn shown(kind: Kind, value: f64) -> String {
    let value = Quantity::from_si(kind, value);
    Style::of(kind).fine_enough(value).both(value)
}

/// How a value is off another one; `signed` is how large both must be for their sign to
/// mean something, none where it means nothing.
fn off(kind: Kind, value: f64, of: f64, signed: Option<f64>) -> Option<String> {
    if value == 0.0 || of == 0.0 {
        // Nothing where there is much; nothing beside little is well possible.
        let much = TIMES * least(kind, FLAT, SMALL);
        return (value == 0.0 && much > 0.0 && of.abs() >= much).then(|| "is nothing beside".to_owned());
    }
    let off = (value / of).abs();
    // As written: 11.2 and 1.4 are eight times apart, whatever is lost in between.
    let far = off.max(1.0 / off) >= TIMES * (1.0 - 1e-9);
    let sign = |least: f64| {
        value.is_sign_negative() != of.is_sign_negative() && value.abs() >= least && of.abs() >= least
    };
    if far {
        Some(times(kind, off))
    } else if signed.is_some_and(sign) {
        Some("has the other sign than".to_owned())
    } else {
        None
    }
}

/// How far off, and what it most likely comes from.
fn times(kind: Kind, off: f64) -> String {
    let large = off.max(1.0 / off);
    let near = |of: f64| (large / of - 1.0).abs() < 0.06;
    let inch = Length::of(1.0, unit::IN).to(unit::MM);
    let from = if [10.0, 100.0, 1000.0].into_iter().any(near) {
        " (the decimal point?)"
    } else if kind == Kind::Length && [inch, 10.0 * inch].into_iter().any(near) {
        " (millimetres or inches?)"
    } else if near(12.0) {
        " (feet or inches?)"
    } else {
        ""
    };
    let number = if large < 100.0 { format!("{large:.1}") } else { format!("{large:.0}") };
    let number = number.trim_end_matches(".0");
    if off > 1.0 { format!("is {number} times{from}") } else { format!("is 1/{number} of{from}") }
}

#[cfg(test)]
mod tests {
    use super::super::frozen::Usual;
    use super::*;

    const DEGREE: f64 = std::f64::consts::PI / 180.0;

    fn limits(kind: Kind, target: Option<f64>, lower: Option<f64>, upper: Option<f64>) -> Option<Limits> {
        let q = |v: Option<f64>| v.map(|v| Quantity::from_si(kind, v));
        Some(Limits { kind, target: q(target), lower: q(lower), upper: q(upper) })
    }

    fn stated(kind: Kind, value: f64) -> Reading {
        Reading { expected: Some(Quantity::from_si(kind, value)), ..Reading::default() }
    }

    #[test]
    fn a_slipped_point_the_other_unit_and_the_other_sign_are_told() {
        let inch = Length::of(1.0, unit::IN).si();
        let wall = stated(Kind::Length, 0.281 * inch);
        let free = limits(Kind::Length, None, None, None);
        let said = |reading: &Reading, limits, kind, value: f64| {
            far(reading, limits, Quantity::from_si(kind, value), GATED_SINCE).unwrap_or_default()
        };
        let length = |v: f64| said(&wall, free, Kind::Length, v * inch);
        assert!(
            length(2.81).contains("10 times (the decimal point?) what the job states"),
            "{}",
            length(2.81)
        );
        assert!(length(0.0281).contains("1/10 of"), "{}", length(0.0281));
        assert!(length(7.137).contains("times (millimetres or inches?)"), "{}", length(7.137));
        for honest in [0.281, 0.2, 0.4, 0.15, 0.0] {
            assert_eq!(length(honest), "", "{honest}");
        }
        let plain = Reading::default();
        let pinion = limits(Kind::Angle, Some(12.5 * DEGREE), Some(12.0 * DEGREE), Some(13.0 * DEGREE));
        let angle = |deg: f64| said(&plain, pinion, Kind::Angle, deg * DEGREE);
        assert!(angle(-12.4).contains("has the other sign"), "{}", angle(-12.4));
        assert!(angle(1.25).contains("1/10 of"), "{}", angle(1.25));
        assert!(angle(125.0).contains("10 times"), "{}", angle(125.0));
        for near in [12.4, 11.0, 14.0, 22.5] {
            assert_eq!(angle(near), "", "{near}");
        }
        let most = limits(Kind::Length, None, None, Some(inch / 16.0));
        assert!(said(&plain, most, Kind::Length, 1.5 * inch).contains("24 times"));
        assert_eq!(said(&plain, most, Kind::Length, inch / 8.0), "");
        let torque = limits(Kind::Torque, None, Some(169.0), Some(183.0));
        assert!(said(&plain, torque, Kind::Torque, 14.6).contains("1/12"));
        // Around nothing there is no other sign; small values of what has no limit differ.
        let toe = limits(Kind::Angle, None, Some(-0.1 * DEGREE), Some(0.1 * DEGREE));
        assert_eq!(said(&plain, toe, Kind::Angle, -0.2 * DEGREE), "");
        let camber = stated(Kind::Angle, 0.4 * DEGREE);
        assert_eq!(said(&camber, limits(Kind::Angle, None, None, None), Kind::Angle, -0.1 * DEGREE), "");
        // A scale with another beginning is not compared.
        // Where nothing else says what it may be, what is usual does.
        let usual = Usual {
            least: Quantity::from_si(Kind::Length, 3.0 * inch),
            most: Quantity::from_si(Kind::Length, 60.0 * inch),
        };
        let height = Reading { usual: Some(usual), ..Reading::default() };
        let high = |v: f64| said(&height, free, Kind::Length, v * inch);
        let slipped = high(9.0 * Length::of(1.0, unit::MM).si() / inch);
        assert!(slipped.contains("is less than is usual, 3 in"), "{slipped}");
        assert!(high(90.0).contains("is more than is usual"), "{}", high(90.0));
        for honest in [3.0, 9.0, 60.0] {
            assert_eq!(high(honest), "", "{honest}");
        }
        let warm = limits(Kind::Temperature, None, Some(394.0), None);
        assert_eq!(said(&plain, warm, Kind::Temperature, 300.0), "");
    }
}

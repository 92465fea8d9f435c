//! What a straight fillet carries, and the leg or length a load needs.

use super::look_up::SHOP_SIZE;
use super::weld_strength::{
    DIRECTIONAL, LINE_LOAD, Size, Strength, THROAT, directional, leg_of_throat, nominal_throat, throat_of_leg,
};
use crate::figure::prelude::*;
use crate::figure::root::boundary;

const END: Source = Source::standard("ANSI/AISC 360-22", "J2.2b(d), eq. J2-1");
const SHORT: Source = Source::standard("ANSI/AISC 360-22", "J2.2b(c)").from_memory();
const PAIR: Source = Source::standard("ANSI/AISC 360-22", "J2.4, eq. J2-10").from_memory();
const STATICS: Source = Source::derived("force over throat area", "published worked examples");

words! {
    /// Direction of the load, to the weld.
    pub Direction {
        /// 0 deg:
        Longitudinal = "longitudinal",
        /// 90 deg:
        Transverse = "transverse",
    }
}

family! {
    pub FILLET_STRENGTH = "fillet-strength" in Welding:
        "strength of straight fillets, and the leg or length a load needs";
    also "fillet", "fillet-weld", "weld-strength", "fillet-capacity";
    reads FilletStrength {
        ..size: Size;
        ..strength: Strength;
        optional sixteenths: Number in within(0.0, 378.0, unit::ONE, THROAT).above_zero(),
            "leg in sixteenths of an inch, the D of the AISC manual", "D";
        optional length: Length in ABOVE_ZERO, "length of one weld line", "total_length", "l", "weld_length";
        fallback lines: Number = "1, or 2 for both sides" in ABOVE_ZERO.whole(),
            "equal weld lines that share the load; 2 for both sides", "welds", "sides", "count";
        optional load: Force in ABOVE_ZERO, "load through the centroid of the lines, to check or to size for",
            "force", "p", "f";
        fallback angle: Angle = "0 deg, or as direction says",
            "between the load and the weld axis; 90 deg is transverse", "theta", "load_angle";
        optional direction: Direction,
            "of the load, instead of the angle: longitudinal is 0 deg, transverse 90 deg";
        flag both_sides: bool, "two lines, one on each side, instead of lines";
        optional transverse_length: Length in ABOVE_ZERO,
            "length of transverse weld in the same group, length then being the longitudinal weld; per line",
            "length_transverse";
        flag end_loaded: bool, "longitudinal weld loaded at its end, as on a lap splice: long welds count less",
            "end";
        flag mixed: bool, "the group has welds in other directions too: no directional increase";
        flag hollow: bool, "the weld is at the end of a hollow section: no directional increase";
    }
    gives FilletStrengthAnswer {
        throat: Length, "effective throat", "leg / sqrt(2)", THROAT => .style(GAUGE).down();
        fexx: Stress, "tensile strength of the weld metal", "class of the electrode", THROAT;
        allowable_stress: Stress, "allowable shear on the throat", "0.30 FEXX (asd) or 0.45 FEXX (lrfd)", THROAT
            => .range("static load, matching or softer weld metal").down();
        kds: Number, "directional strength factor", "1.0 + 0.50 sin^1.5(angle)", DIRECTIONAL => .range(
            "one direction, uniform leg, loaded in its plane through the centroid").down();
        nominal_per_length: LineForce, "nominal strength per length, one line", "0.60 FEXX x throat x kds",
            DIRECTIONAL => .style(LINE_LOAD).down();
        nominal_all: LineForce, "nominal strength per length, all lines", "nominal per length x lines",
            DIRECTIONAL => .style(LINE_LOAD).down();
        per_length: LineForce, "allowable load per length, one line", "allowable stress x throat x kds", THROAT
            => .style(LINE_LOAD).down();
        per_length_all: LineForce, "allowable load per length, all lines", "per length x lines", THROAT =>
            .style(LINE_LOAD).down();
        beta: Number, "end-loaded length factor",
            "L <= 100 leg: 1; to 300 leg: 1.2 - 0.002 L/leg; above: 180 leg / L", END => .down();
        effective_length: Length, "length of one line that counts", "beta x length", END => .style(GAUGE).down();
        pair_plain: Force, "mixed group, plain sum", "R longitudinal + R transverse", PAIR => .down();
        pair_directional: Force, "mixed group, weighted sum", "0.85 R longitudinal + 1.5 R transverse", PAIR =>
            .down();
        capacity: Force, "allowable load",
            "per length x effective length x lines; mixed group: the greater of the two sums", THROAT => .down();
        stress: Stress, "throat stress under the load", "load / (throat x length x lines)", STATICS => .up();
        utilisation: Number, "utilisation", "load / capacity", STATICS => .up();
        required_leg: Length, "leg the load needs at this length",
            "load sqrt(2) / (allowable stress x kds x length x lines), solved with the length rules", STATICS =>
            .style(LENGTH).at_least();
        required_length: Length, "length of each line the load needs at this leg",
            "load / (per length x lines), solved with the end-loaded rule", STATICS => .style(LENGTH).at_least();
    }
    asked capacity, required_leg, per_length_all;
    example "electrode=E70 leg=\"1/4 in\" length=\"4 in\" lines=2 load=\"12000 lbf\"";
    by fillet_strength
}

/// Length factor of an end-loaded fillet (AISC 360-22 eq. J2-1); above 300
/// legs only 180 legs count.
fn end_loaded_factor(length: Length, leg: Length) -> Number {
    let ratio = length.si() / leg.si();
    Number::from_si(if ratio <= 100.0 {
        1.0
    } else if ratio <= 300.0 {
        1.2 - 0.002 * ratio
    } else {
        180.0 / ratio
    })
}

/// One straight weld line.
#[derive(Debug, Clone, Copy)]
pub struct Line {
    /// Leg of the right triangle in the fillet, both legs equal.
    pub leg: Length,
    /// Length of the weld, ends included.
    pub length: Length,
    /// Whether the load enters at its end.
    pub end_loaded: bool,
}

impl Line {
    /// Throat that counts: of the leg, or of length / 4 if that is less.
    #[must_use]
    pub fn throat(self) -> Length {
        let short = self.length / 4.0;
        throat_of_leg(smaller(short, self.leg))
    }

    /// Length that counts.
    pub(super) fn effective_length(self) -> Length {
        if self.end_loaded {
            self.length * end_loaded_factor(self.length, self.leg).si()
        } else {
            self.length
        }
    }

    /// Load it carries at this throat stress.
    #[must_use]
    pub fn capacity(self, stress: Stress) -> Force {
        stress * self.throat() * self.effective_length()
    }
}

/// Least leg with which one line carries `load` at this throat stress.
/// None if no leg does, the line being too short.
#[must_use]
pub fn required_leg(line: Line, load: Force, stress: Stress) -> Option<Length> {
    let plain = leg_of_throat(load / (stress * line.length));
    let carries = |leg: Length| Line { leg, ..line }.capacity(stress) >= load * (1.0 - 1e-12);
    if carries(plain) {
        return Some(plain);
    }
    // Above this leg neither length rule takes anything away or gives more.
    let most = line.length / 4.0;
    if !carries(most) {
        return None;
    }
    Some(least(plain, most, carries))
}

/// Least length with which one line of this leg carries `load`, at least the four
/// legs in which the leg counts in full. None if even 300 legs do not.
#[must_use]
pub fn required_length(line: Line, load: Force, stress: Stress) -> Option<Length> {
    let per_length = stress * throat_of_leg(line.leg);
    let plain: Length = larger(load / per_length, line.leg * 4.0);
    if !line.end_loaded {
        return Some(plain);
    }
    let carries = |length: Length| {
        per_length * (length * end_loaded_factor(length, line.leg).si()) >= load * (1.0 - 1e-12)
    };
    if carries(plain) {
        return Some(plain);
    }
    let most = line.leg * 300.0;
    carries(most).then(|| least(plain, most, carries))
}

/// Least length between `low`, which fails, and `high`, which holds, that holds.
fn least(low: Length, high: Length, holds: impl Fn(Length) -> bool) -> Length {
    let (_, least) = boundary(|x| holds(Length::from_si(x)), low.si(), high.si());
    Length::from_si(least)
}

/// Lines that share the load: whole welds.
fn lines(given: &FilletStrength) -> Result<Number> {
    let both = *given.both_sides;
    let lines = given.lines.unwrap_or(Number::from_si(if both { 2.0 } else { 1.0 }));
    (both && lines.si() == 1.0).refuse(
        "one line can't be on both sides",
        "lines counts the welds of both sides together; give one of lines and both_sides",
    )?;
    Ok(lines)
}

/// The throat, by leg, throat or sixteenths.
fn throat(given: &FilletStrength) -> Result<Option<Length>> {
    let Some(d) = *given.sixteenths else { return given.size.effective_throat() };
    (given.size.leg.given() || given.size.throat.given())
        .refuse("both sixteenths and a leg or throat are given", "give one of them")?;
    let leg = Length::of(d.si() / 16.0, unit::IN);
    SHOP_SIZE.check("sixteenths", leg.into())?;
    Ok(Some(throat_of_leg(leg)))
}

fn direction(given: &FilletStrength, answer: &mut FilletStrengthAnswer) -> Result<Number> {
    let direction = *given.direction;
    let named = Angle::of(if direction == Some(Direction::Transverse) { 90.0 } else { 0.0 }, unit::DEG);
    let angle = given.angle.unwrap_or(named);
    if let Some(word) = direction
        && (angle - named).si().abs() > 1e-9
    {
        return Err(Trouble::impossible(
            format!("an angle of {:.1} deg is not {}", angle.to(unit::DEG), word.word()),
            "give the angle or the direction",
        ));
    }
    let barred = *given.mixed || *given.hollow || given.transverse_length.given();
    if angle.si() == 0.0 {
        return Ok(Number::from_si(1.0));
    }
    if barred {
        answer.warn(
            "The directional increase is not taken: it isn't allowed for mixed weld directions without strain \
             compatibility, nor at the ends of hollow sections.",
        );
        return Ok(Number::from_si(1.0));
    }
    answer.warn(
        "The directional increase is taken: it holds for lines of one direction and one leg, loaded in their plane \
         through the centroid. Leave the angle out where that is not so.",
    );
    Ok(directional(angle))
}

/// The factors that need no strength: of direction from the angle alone, of an
/// end-loaded length from leg and length.
fn alone(given: &FilletStrength, answer: &mut FilletStrengthAnswer, line: Option<Line>) -> Result<bool> {
    let turned = given.angle.given() || given.direction.given();
    let ends = line.filter(|_| given.end_loaded.given());
    if !turned && ends.is_none() {
        return Ok(false);
    }
    if turned {
        let kds = direction(given, answer)?;
        answer.kds.put(kds);
    }
    if let Some(line) = ends {
        lengths(line, answer);
    }
    answer.note("No strength was asked for: give leg and electrode for the load the weld carries.");
    Ok(true)
}

fn fillet_strength(given: &FilletStrength, answer: &mut FilletStrengthAnswer) -> Result<()> {
    let lines = lines(given)?;
    let throat = throat(given)?;
    let (length, load, end_loaded) = (*given.length, *given.load, *given.end_loaded);
    let allowable = given.strength.allowed();
    let leg = throat.map(leg_of_throat);
    let line = leg.zip(length).map(|(leg, length)| Line { leg, length, end_loaded });
    // A weld under four legs long counts with a leg of a quarter of its length.
    let throat = line.map(Line::throat).or(throat);
    answer.throat.put_some(throat);
    if allowable.is_none() && load.is_none() && alone(given, answer, line)? {
        return Ok(());
    }
    if throat.is_none() && (length.is_none() || load.is_none() || allowable.is_none()) {
        return Err(Trouble::Missing(vec!["leg"]));
    }
    if allowable.is_none() && (line.is_none() || load.is_none()) {
        return Err(Trouble::Missing(vec!["electrode"]));
    }
    let fexx = given.strength.fexx();
    answer.fexx.put_some(fexx);
    let kds = direction(given, answer)?.si();
    answer.allowable_stress.put_some(allowable);
    answer.kds.put_some(allowable.map(|_| Number::from_si(kds)));
    let per = |stress: Stress, throat: Length| LineForce::from_si(stress.si() * throat.si() * kds);
    if let (Some(throat), Some(fexx)) = (throat, fexx) {
        let nominal = per(nominal_throat(fexx), throat);
        answer.nominal_per_length.put(nominal);
        answer.nominal_all.put(nominal * lines.si());
    }
    if let (Some(throat), Some(allowable)) = (throat, allowable) {
        answer.per_length.put(per(allowable, throat));
        answer.per_length_all.put(per(allowable, throat) * lines.si());
    }
    if let Some(line) = line {
        lengths(line, answer);
        let capacity = allowable.map(|allowable| capacity(given, answer, line, allowable * kds, lines));
        answer.capacity.put_some(capacity);
        if let Some(load) = load {
            let other = given.transverse_length.unwrap_or(Length::from_si(0.0));
            let area = line.throat() * (line.effective_length() + other) * lines.si();
            answer.stress.put(Stress::from_si(load.si() / area.si()));
            answer.utilisation.put_some(capacity.map(|capacity| Number::from_si(load.si() / capacity.si())));
            if capacity.is_some_and(|capacity| load > capacity) {
                answer.warn("The load is more than these welds carry: make them larger or longer.");
            }
        }
    }
    if let (Some(load), Some(allowable)) = (load, allowable)
        && !given.transverse_length.given()
    {
        size(given, answer, leg, load / lines.si(), allowable * kds);
    }
    Ok(())
}

fn lengths(line: Line, answer: &mut FilletStrengthAnswer) {
    if line.end_loaded {
        answer.beta.put(end_loaded_factor(line.length, line.leg));
    }
    answer.effective_length.put(line.effective_length());
    if line.length.si() < 4.0 * line.leg.si() * (1.0 - 1e-9) {
        answer.capacity.source(SHORT);
        answer
            .warn("The weld is shorter than four legs: only a leg of length / 4 is counted. Make it longer.");
    }
    if line.end_loaded && line.length.si() > 100.0 * line.leg.si() * (1.0 + 1e-9) {
        answer.warn(
            "The weld is longer than 100 legs and loaded at its end: its length counts less than in full.",
        );
    }
}

/// Allowable load of the lines, with their transverse partners where there are.
fn capacity(
    given: &FilletStrength,
    answer: &mut FilletStrengthAnswer,
    line: Line,
    stress: Stress,
    lines: Number,
) -> Force {
    let longitudinal = line.capacity(stress);
    let Some(length) = *given.transverse_length else { return longitudinal * lines.si() };
    let transverse = Line { length, end_loaded: false, ..line }.capacity(stress);
    let (plain, weighted) = (longitudinal + transverse, longitudinal * 0.85 + transverse * 1.5);
    answer.pair_plain.put(plain * lines.si());
    answer.pair_directional.put(weighted * lines.si());
    answer.capacity.source(PAIR);
    larger(plain, weighted) * lines.si()
}

fn size(
    given: &FilletStrength,
    answer: &mut FilletStrengthAnswer,
    leg: Option<Length>,
    load: Force,
    stress: Stress,
) {
    let end_loaded = *given.end_loaded;
    if let Some(length) = *given.length {
        match required_leg(Line { leg: Length::from_si(0.0), length, end_loaded }, load, stress) {
            Some(leg) => answer.required_leg.put(leg),
            None => answer.warn("No leg carries the load in this length, a weld being counted to a quarter of its length: make it longer."),
        }
    }
    if let Some(leg) = leg {
        match required_length(Line { leg, length: leg, end_loaded }, load, stress) {
            Some(length) => {
                answer.required_length.put(length);
            }
            None => answer.warn("No length of this leg carries the load at its end: take a larger leg."),
        }
    }
}

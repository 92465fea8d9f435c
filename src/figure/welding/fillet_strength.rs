//! What a straight fillet carries, and the leg or length a load needs.

use super::look_up::shop_size;
use super::weld_strength::{
    ALLOWABLE, DIRECTIONAL, ELECTRODE, LEG, LINE_LOAD, METHOD, THROAT, THROAT_INPUT, directional,
    leg_of_throat, nominal_throat, read_allowable, read_electrode, read_throat, throat_of_leg,
};
use crate::figure::root::boundary;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{GAUGE, LENGTH};
use crate::quantity::{Angle, Dimensioned, Force, Kind, Length, LineForce, Number, Stress, unit};
use crate::source::Source;

const END: Source = Source::standard("ANSI/AISC 360-22", "J2.2b(d), eq. J2-1");
const SHORT: Source = Source::standard("ANSI/AISC 360-22", "J2.2b(c)").from_memory();
const PAIR: Source = Source::standard("ANSI/AISC 360-22", "J2.4, eq. J2-10").from_memory();
const STATICS: Source = Source::derived("force over throat area", "published worked examples");

/// Strength of straight fillets in shear.
pub static FILLET_STRENGTH: Family = Family {
    name: "fillet-strength",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "strength of straight fillets, and the leg or length a load needs",
    inputs: &[
        LEG,
        THROAT_INPUT,
        Input::optional("sixteenths", Kind::Number, "leg in sixteenths of an inch, the D of the AISC manual")
            .also(&["D"]),
        Input::optional("length", Kind::Length, "length of one weld line").also(&[
            "total_length",
            "l",
            "weld_length",
            "length_longitudinal",
            "longitudinal_length",
        ]),
        Input::defaulted(
            "lines",
            Kind::Number,
            "1",
            "equal weld lines that share the load; 2 for both sides",
        )
        .also(&["welds", "sides", "count", "number"]),
        ELECTRODE,
        ALLOWABLE,
        METHOD,
        Input::optional(
            "load",
            Kind::Force,
            "load through the centroid of the lines, to check or to size for",
        )
        .also(&["force", "p", "f", "pa", "pu"]),
        Input::defaulted(
            "angle",
            Kind::Angle,
            "0 deg",
            "between the load and the weld axis; 90 deg is transverse",
        )
        .also(&["theta", "load_angle"]),
        Input::choice(
            "direction",
            &["longitudinal", "transverse"],
            Need::Optional,
            "of the load, instead of the angle: longitudinal is 0 deg, transverse 90 deg",
        ),
        Input::flag("both_sides", "two lines, one on each side, instead of lines"),
        Input::optional(
            "transverse_length",
            Kind::Length,
            "length of transverse weld in the same group, length then being the longitudinal weld; per line",
        )
        .also(&["length_transverse"]),
        Input::flag(
            "end_loaded",
            "longitudinal weld loaded at its end, as on a lap splice: long welds count less",
        )
        .also(&["end"]),
        Input::flag("mixed", "the group has welds in other directions too: no directional increase"),
        Input::flag("hollow", "the weld is at the end of a hollow section: no directional increase"),
    ],
    outputs: &[
        Output::new("throat", "effective throat", Kind::Length, "leg / sqrt(2)", THROAT).style(GAUGE).down(),
        Output::new(
            "fexx",
            "tensile strength of the weld metal",
            Kind::Stress,
            "class of the electrode",
            THROAT,
        ),
        Output::new(
            "allowable_stress",
            "allowable shear on the throat",
            Kind::Stress,
            "0.30 FEXX (asd) or 0.45 FEXX (lrfd)",
            THROAT,
        )
        .range("static load, matching or softer weld metal")
        .down(),
        Output::new(
            "kds",
            "directional strength factor",
            Kind::Number,
            "1.0 + 0.50 sin^1.5(angle)",
            DIRECTIONAL,
        )
        .range("one direction, uniform leg, loaded in its plane through the centroid")
        .down(),
        Output::new(
            "nominal_per_length",
            "nominal strength per length, one line",
            Kind::LineForce,
            "0.60 FEXX x throat x kds",
            DIRECTIONAL,
        )
        .style(LINE_LOAD)
        .down(),
        Output::new(
            "nominal_all",
            "nominal strength per length, all lines",
            Kind::LineForce,
            "nominal per length x lines",
            DIRECTIONAL,
        )
        .style(LINE_LOAD)
        .down(),
        Output::new(
            "per_length",
            "allowable load per length, one line",
            Kind::LineForce,
            "allowable stress x throat x kds",
            THROAT,
        )
        .style(LINE_LOAD)
        .down(),
        Output::new(
            "per_length_all",
            "allowable load per length, all lines",
            Kind::LineForce,
            "per length x lines",
            THROAT,
        )
        .style(LINE_LOAD)
        .down(),
        Output::new(
            "beta",
            "end-loaded length factor",
            Kind::Number,
            "L <= 100 leg: 1; to 300 leg: 1.2 - 0.002 L/leg; above: 180 leg / L",
            END,
        )
        .down(),
        Output::new("effective_length", "length of one line that counts", Kind::Length, "beta x length", END)
            .style(GAUGE)
            .down(),
        Output::new(
            "pair_plain",
            "mixed group, plain sum",
            Kind::Force,
            "R longitudinal + R transverse",
            PAIR,
        )
        .down(),
        Output::new(
            "pair_directional",
            "mixed group, weighted sum",
            Kind::Force,
            "0.85 R longitudinal + 1.5 R transverse",
            PAIR,
        )
        .down(),
        Output::new(
            "capacity",
            "allowable load",
            Kind::Force,
            "per length x effective length x lines; mixed group: the greater of the two sums",
            THROAT,
        )
        .down(),
        Output::new(
            "stress",
            "throat stress under the load",
            Kind::Stress,
            "load / (throat x length x lines)",
            STATICS,
        )
        .up(),
        Output::new("utilisation", "utilisation", Kind::Number, "load / capacity", STATICS).up(),
        Output::new(
            "required_leg",
            "leg the load needs at this length",
            Kind::Length,
            "load sqrt(2) / (allowable stress x kds x length x lines), solved with the length rules",
            STATICS,
        )
        .style(LENGTH)
        .up(),
        Output::new(
            "required_length",
            "length of each line the load needs at this leg",
            Kind::Length,
            "load / (per length x lines), solved with the end-loaded rule",
            STATICS,
        )
        .style(LENGTH)
        .up(),
    ],
    example: "electrode=E70 leg=\"1/4 in\" length=\"4 in\" lines=2 load=\"12000 lbf\"",
    run: fillet_strength,
};

/// Length factor of an end-loaded fillet (AISC 360-22 eq. J2-1); above 300
/// legs only 180 legs count.
#[must_use]
pub fn end_loaded_factor(length: Length, leg: Length) -> Number {
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
    /// Leg.
    pub leg: Length,
    /// Length.
    pub length: Length,
    /// Whether the load enters at its end.
    pub end_loaded: bool,
}

impl Line {
    /// Throat that counts: of the leg, or of length / 4 if that is less.
    #[must_use]
    pub fn throat(self) -> Length {
        let short = self.length / 4.0;
        throat_of_leg(if short < self.leg { short } else { self.leg })
    }

    /// Length that counts.
    #[must_use]
    pub fn effective_length(self) -> Length {
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

/// Least length with which one line of this leg carries `load`, leaving the
/// rule for welds under four legs aside. None if even 300 legs do not.
#[must_use]
pub fn required_length(line: Line, load: Force, stress: Stress) -> Option<Length> {
    let per_length = stress * throat_of_leg(line.leg);
    let plain: Length = load / per_length;
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
fn lines(given: &Given) -> Result<Number, Trouble> {
    let both = given.flag("both_sides")?;
    let usual = Number::from_si(if both { 2.0 } else { 1.0 });
    let lines = given::positive("lines", given.or("lines", usual)?)?;
    if both && lines.si() == 1.0 {
        return Err(Trouble::impossible(
            "one line can't be on both sides",
            "lines counts the welds of both sides together; give one of lines and both_sides",
        ));
    }
    if lines.si().fract() == 0.0 {
        return Ok(lines);
    }
    Err(Trouble::OutOfRange {
        input: "lines".to_owned(),
        given: format!("{}", lines.si()),
        range: "whole numbers".to_owned(),
        source: STATICS,
    })
}

/// The factors that need no strength: of direction from the angle alone, of an
/// end-loaded length from leg and length.
fn alone(
    given: &Given,
    answer: &mut Answer,
    throat: Option<Length>,
    length: Option<Length>,
    allowable: Option<Stress>,
    load: Option<Force>,
) -> Result<bool, Trouble> {
    if allowable.is_some() || load.is_some() {
        return Ok(false);
    }
    let turned = given.has("angle") || given.has("direction");
    let ends = throat.zip(length).filter(|_| given.has("end_loaded"));
    if !turned && ends.is_none() {
        return Ok(false);
    }
    if let Some(throat) = throat {
        answer.put("throat", throat);
    }
    if turned {
        let kds = direction(given, answer)?;
        answer.put("kds", kds);
    }
    if let Some((throat, length)) = ends {
        lengths(Line { leg: leg_of_throat(throat), length, end_loaded: given.flag("end_loaded")? }, answer);
    }
    answer.note("No strength was asked for: give leg and electrode for the load the weld carries.");
    Ok(true)
}

fn direction(given: &Given, answer: &mut Answer) -> Result<Number, Trouble> {
    let direction = given.maybe_word("direction")?;
    let named = Angle::of(if direction == Some("transverse") { 90.0 } else { 0.0 }, unit::DEG);
    let angle: Angle = given.or("angle", named)?;
    if let Some(word) = direction
        && (angle - named).si().abs() > 1e-9
    {
        return Err(Trouble::impossible(
            format!("an angle of {:.1} deg is not {word}", angle.to(unit::DEG)),
            "give the angle or the direction",
        ));
    }
    let barred = given.flag("mixed")? || given.flag("hollow")? || given.has("transverse_length");
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

fn fillet_strength(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let lines = lines(given)?;
    let throat = match given.maybe::<Number>("sixteenths")? {
        Some(_) if given.has("leg") || given.has("throat") => {
            return Err(Trouble::impossible(
                "both sixteenths and a leg or throat are given",
                "give one of them",
            ));
        }
        Some(d) => {
            let leg = Length::of(given::positive("sixteenths", d)?.si() / 16.0, unit::IN);
            Some(throat_of_leg(shop_size("sixteenths", leg)?))
        }
        None => read_throat(given)?,
    };
    let length: Option<Length> = given.maybe("length")?.map(|l| given::positive("length", l)).transpose()?;
    let load: Option<Force> = given.maybe("load")?.map(|f| given::positive("load", f)).transpose()?;
    let allowable = read_allowable(given)?;
    let end_loaded = given.flag("end_loaded")?;
    if alone(given, answer, throat, length, allowable, load)? {
        return Ok(());
    }
    if throat.is_none() && (length.is_none() || load.is_none() || allowable.is_none()) {
        return Err(Trouble::Missing(vec!["leg"]));
    }
    if allowable.is_none() && (throat.is_none() || length.is_none() || load.is_none()) {
        return Err(Trouble::Missing(vec!["electrode"]));
    }
    if let Some(throat) = throat {
        answer.put("throat", throat);
    }
    let fexx = read_electrode(given)?;
    if let Some(fexx) = fexx {
        answer.put("fexx", fexx);
    }
    let kds = direction(given, answer)?.si();
    if let Some(allowable) = allowable {
        answer.put("allowable_stress", allowable);
        answer.put("kds", Number::from_si(kds));
    }
    if let (Some(throat), Some(fexx)) = (throat, fexx) {
        let nominal = nominal_throat(fexx).si() * throat.si() * kds;
        answer.put("nominal_per_length", LineForce::from_si(nominal));
        answer.put("nominal_all", LineForce::from_si(nominal * lines.si()));
    }
    if let (Some(throat), Some(allowable)) = (throat, allowable) {
        let per_length = allowable.si() * throat.si() * kds;
        answer.put("per_length", LineForce::from_si(per_length));
        answer.put("per_length_all", LineForce::from_si(per_length * lines.si()));
    }
    let leg = throat.map(leg_of_throat);
    if let (Some(leg), Some(length)) = (leg, length) {
        let line = Line { leg, length, end_loaded };
        lengths(line, answer);
        let capacity = match allowable {
            Some(allowable) => Some(capacity(given, answer, line, allowable * kds)? * lines.si()),
            None => None,
        };
        if let Some(capacity) = capacity {
            answer.put("capacity", capacity);
        }
        if let Some(load) = load {
            let other: Length = given.or("transverse_length", Length::from_si(0.0))?;
            let area = line.throat() * (line.effective_length() + other) * lines.si();
            answer.put("stress", Stress::from_si(load.si() / area.si()));
            if let Some(capacity) = capacity {
                answer.put("utilisation", Number::from_si(load.si() / capacity.si()));
                if load > capacity {
                    answer.warn("The load is more than these welds carry: make them larger or longer.");
                }
            }
        }
    }
    if let (Some(load), Some(allowable)) = (load, allowable)
        && !given.has("transverse_length")
    {
        size(answer, Wanted { leg, length, end_loaded }, load / lines.si(), allowable * kds);
    }
    Ok(())
}

fn lengths(line: Line, answer: &mut Answer) {
    if line.end_loaded {
        answer.put("beta", end_loaded_factor(line.length, line.leg));
    }
    answer.put("effective_length", line.effective_length());
    if line.length.si() < 4.0 * line.leg.si() * (1.0 - 1e-9) {
        answer.source("capacity", SHORT);
        answer
            .warn("The weld is shorter than four legs: only a leg of length / 4 is counted. Make it longer.");
    }
    if line.end_loaded && line.length.si() > 100.0 * line.leg.si() * (1.0 + 1e-9) {
        answer.warn(
            "The weld is longer than 100 legs and loaded at its end: its length counts less than in full.",
        );
    }
}

/// Allowable load of one line, or of one line with its transverse partner.
fn capacity(given: &Given, answer: &mut Answer, line: Line, stress: Stress) -> Result<Force, Trouble> {
    let longitudinal = line.capacity(stress);
    let Some(length) = given.maybe::<Length>("transverse_length")? else { return Ok(longitudinal) };
    let length = given::positive("transverse_length", length)?;
    let transverse = Line { length, end_loaded: false, ..line }.capacity(stress);
    let lines = lines(given)?;
    let (plain, weighted) = (longitudinal + transverse, longitudinal * 0.85 + transverse * 1.5);
    answer.put("pair_plain", plain * lines.si());
    answer.put("pair_directional", weighted * lines.si());
    answer.source("capacity", PAIR);
    Ok(if plain > weighted { plain } else { weighted })
}

struct Wanted {
    leg: Option<Length>,
    length: Option<Length>,
    end_loaded: bool,
}

fn size(answer: &mut Answer, wanted: Wanted, load: Force, stress: Stress) {
    if let Some(length) = wanted.length {
        let line = Line { leg: Length::from_si(0.0), length, end_loaded: wanted.end_loaded };
        match required_leg(line, load, stress) {
            Some(leg) => answer.put("required_leg", leg),
            None => answer.warn("No leg carries the load in this length, a weld being counted to a quarter of its length: make it longer."),
        }
    }
    if let Some(leg) = wanted.leg {
        let line = Line { leg, length: leg, end_loaded: wanted.end_loaded };
        match required_length(line, load, stress) {
            Some(length) => {
                if length < leg * 4.0 {
                    answer
                        .warn("The load needs less than four legs of weld: make it at least four legs long.");
                }
                answer.put("required_length", length);
            }
            None => answer.warn("No length of this leg carries the load at its end: take a larger leg."),
        }
    }
}

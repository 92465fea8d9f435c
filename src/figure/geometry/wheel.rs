//! Toe in lengths and angles, and tyre sizes.

use crate::family;
use crate::figure::range::{ABOVE_ZERO, within};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{FINE_ANGLE, GAUGE};
use crate::quantity::{Angle, Dimensioned, Form, Kind, Length, Number, Style, math, unit};
use crate::source::Source;

const CHORD: Source =
    Source::derived("rim or tread turned about the centre of the wheel", "definition of the sine");
const SIZE: Source = Source::standard("tyre size designation", "width, aspect ratio, rim");
const PLAIN: Source = Source::practice(
    "section height without a printed aspect ratio: 82 % of a width in mm, 105 % of a tube-type inch width, 86 % of a tubeless one",
)
.from_memory();
const ROLL: Source = Source::definition("rolling circumference is 63360 in over revolutions per mile");
const LOADED: Source =
    Source::practice("loaded radius 0.96 to 0.97 of the free radius at rated load").from_memory();
const TENTH: Style = Style::single(Form::decimal(unit::ONE, 0.1));

family! {
    /// Toe.
    pub TOE = "toe" in Geometry: "toe as a length and as an angle, per wheel and total";
    reads Toe {
        required diameter: Length in ABOVE_ZERO, "diameter the toe is measured at", "d", "tyre", "tire", "od";
        optional total_length: Length, "total toe as a length, two equal wheels; toe-in positive", "toe", "total", "t_total", "linear";
        optional wheel_length: Length, "toe of one wheel as a length", "t", "per_wheel";
        optional total_angle: Angle, "total toe as an angle";
        optional wheel_angle: Angle in within(-45.0, 45.0, unit::DEG, CHORD), "toe of one wheel as an angle", "angle";
    }
    rules { one_of(total_length, wheel_length, total_angle, wheel_angle); }
    gives ToeAnswer {
        wheel_angle: Angle, "toe per wheel", "asin(t / D)", CHORD => .style(FINE_ANGLE);
        total_angle: Angle, "total toe", "2 asin(t_total / (2 D))", CHORD => .style(FINE_ANGLE).range("two equal wheels");
        wheel_length: Length, "toe per wheel as a length", "D sin(angle)", CHORD => .style(GAUGE);
        total_length: Length, "total toe as a length", "2 D sin(total / 2)", CHORD => .style(GAUGE).range("two equal wheels");
    }
    example "diameter=\"31 in\" total_length=\"1/16 in\"";
    by toe
}

fn toe(given: &Toe, answer: &mut ToeAnswer) -> Result<(), Trouble> {
    let diameter = *given.diameter;
    let length = given.wheel_length.or(given.total_length.map(|total| total / 2.0));
    let angle = given.wheel_angle.or(given.total_angle.map(|total| total / 2.0));
    let angle = match (length, angle) {
        (Some(length), _) if length.si().abs() >= diameter.si() => {
            return Err(Trouble::impossible("the toe is larger than the diameter", "check toe and diameter"));
        }
        (Some(length), _) => math::asin(length.si() / diameter.si()),
        (None, Some(angle)) => angle,
        (None, None) => return Err(Trouble::Missing(vec!["total_length"])),
    };
    within(-45.0, 45.0, unit::DEG, CHORD).check("wheel_angle", angle.into())?;
    let length = diameter * math::sin(angle);
    answer.wheel_angle.put(angle);
    answer.total_angle.put(angle * 2.0);
    answer.wheel_length.put(length);
    answer.total_length.put(length * 2.0);
    Ok(())
}

/// Tyre size.
pub static TYRE_SIZE: Family = Family {
    name: "tyre-size",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "free diameter, loaded radius and revolutions per mile of a tyre",
    inputs: &[
        Input::name(
            "size",
            Need::Optional,
            "tyre size as written on the side, such as 285/75R16 or 31x10.5R15",
        )
        .also(&["tyre", "tire", "tyre_size", "designation"]),
        Input::optional("width", Kind::Length, "section width").also(&["section_width"]),
        Input::optional("aspect", Kind::Number, "aspect ratio in per cent, as written: 75")
            .also(&["aspect_ratio", "series"]),
        Input::optional("rim", Kind::Length, "rim diameter").also(&["rim_diameter"]),
        Input::optional("diameter", Kind::Length, "free diameter, measured; instead of the size")
            .also(&["free_diameter", "od"]),
        Input::defaulted("loaded_share", Kind::Number, "0.96", "loaded over free radius")
            .also(&["loaded_ratio"]),
        Input::optional("rolling_radius", Kind::Length, "effective rolling radius")
            .also(&["effective_radius"]),
        Input::optional("rev_per_mile", Kind::Number, "revolutions per mile, from the maker")
            .also(&["revs_per_mile"]),
        Input::optional("old_diameter", Kind::Length, "free diameter of the tyre before"),
    ],
    outputs: &[
        Output::new("section_height", "section height", Kind::Length, "width x aspect / 100", SIZE)
            .style(GAUGE),
        Output::new("diameter", "free diameter", Kind::Length, "rim + 2 section_height", SIZE)
            .range("nominal; a measured tyre may differ by 2 %")
            .style(GAUGE),
        Output::new("free_radius", "free radius", Kind::Length, "diameter / 2", SIZE).style(GAUGE),
        Output::new("loaded_radius", "loaded radius", Kind::Length, "loaded_share x free_radius", LOADED)
            .range("at rated load; measure it for geometry"),
        Output::new(
            "radius_growth",
            "loaded radius larger than before",
            Kind::Length,
            "loaded_share x (diameter - old_diameter) / 2",
            LOADED,
        ),
        Output::new(
            "rolling_radius",
            "effective rolling radius",
            Kind::Length,
            "circumference / (2 pi)",
            ROLL,
        )
        .style(GAUGE),
        Output::new("circumference", "rolling circumference", Kind::Length, "63360 in / rev_per_mile", ROLL)
            .style(GAUGE),
        Output::new("rev_per_mile", "revolutions per mile", Kind::Number, "63360 in / circumference", ROLL)
            .style(TENTH),
    ],
    example: "width=\"285 mm\" aspect=75 rim=\"16 in\" rolling_radius=\"15.6 in\"",
    run: tyre_size,
};

/// What a written size says.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Sidewall {
    /// Width, aspect ratio in per cent and rim.
    Metric { width: Length, aspect: f64, rim: Length },
    /// The diameter an inch size names.
    Inch { diameter: Length },
    /// Width and rim alone, `195R15`, `7.50-16`, `11R22.5`: the section height is
    /// a usual share of the width.
    Plain { width: Length, share: f64, rim: Length },
}

/// Splits off a decimal at the start, after blanks.
fn decimal(text: &str) -> Option<(f64, &str)> {
    let text = text.trim_start();
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    let (number, rest) = text.split_at(end);
    Some((number.parse::<f64>().ok().filter(|v| v.is_finite() && *v > 0.0)?, rest))
}

/// Splits off the rim diameter in inches behind `R`, `ZR`, `-`, `/` and the like.
/// What follows a blank or a letter is the load index and speed symbol.
fn rim(text: &str) -> Option<Length> {
    let text = text.trim_start().trim_start_matches(|c: char| c.is_ascii_alphabetic() || "-/".contains(c));
    let (inches, rest) = decimal(text)?;
    let service = rest.is_empty()
        || rest.starts_with(|c: char| c.is_whitespace() || c.is_ascii_alphabetic() || c == '(');
    (service && (4.0..=30.0).contains(&inches)).then(|| Length::of(inches, unit::IN))
}

/// Reads `LT285/75R16 122/119Q`, `245/55 R 18`, `285-75-16`, `31x10.50R15LT`,
/// `33 x 12.50-15`, `195R15`, `7.50-16`, `11R22.5`.
fn sidewall(text: &str) -> Option<Sidewall> {
    let plain = text.trim().to_ascii_uppercase().replace('×', "X");
    let bare = plain.trim_start_matches(|c: char| c.is_ascii_alphabetic() || c.is_whitespace());
    let (first, rest) = decimal(bare)?;
    let rest = rest.trim_start();
    let millimetres = (100.0..=500.0).contains(&first);
    if let Some(behind) = rest.strip_prefix('X') {
        let (_, behind) = decimal(behind)?;
        rim(behind)?;
        return (15.0..=60.0)
            .contains(&first)
            .then(|| Sidewall::Inch { diameter: Length::of(first, unit::IN) });
    }
    if let Some((aspect, behind)) = rest.strip_prefix(['/', '-']).and_then(decimal)
        && let Some(rim) = rim(behind)
        && millimetres
    {
        return Some(Sidewall::Metric { width: Length::of(first, unit::MM), aspect, rim });
    }
    let rim = rest.starts_with(['R', 'B', 'D', '-', 'Z']).then(|| rim(rest)).flatten()?;
    if millimetres {
        return Some(Sidewall::Plain { width: Length::of(first, unit::MM), share: 0.82, rim });
    }
    // A whole number of inches is a tubeless truck size.
    let share =
        if bare.split(['R', 'B', 'D', '-']).next().is_some_and(|w| w.contains('.')) { 1.05 } else { 0.86 };
    (2.0..=20.0).contains(&first).then(|| Sidewall::Plain { width: Length::of(first, unit::IN), share, rim })
}

fn tyre_size(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let size = ["width", "aspect", "rim"];
    let written = match given.maybe_word("size")? {
        None => None,
        Some(text) => Some(sidewall(text).ok_or_else(|| {
            Trouble::impossible(
                format!("\"{text}\" is not read as a tyre size"),
                "write it as 285/75R16, 31x10.5R15, 195R15 or 7.50-16, or give width, aspect and rim",
            )
        })?),
    };
    let diameter = if let Some(Sidewall::Inch { diameter }) = written {
        answer.warn("An inch size names the nominal diameter; tyres so marked usually measure less, a 31 x 10.5 about 30.5 in. Measure the tyre.");
        Some(diameter)
    } else if let Some(Sidewall::Metric { width, aspect, rim }) = written {
        given::within("aspect", Number::from_si(aspect), unit::ONE, 20.0..=110.0, SIZE)?;
        let height = width * (aspect / 100.0);
        answer.put("section_height", height);
        Some(rim + height * 2.0)
    } else if let Some(Sidewall::Plain { width, share, rim }) = written {
        let height = width * share;
        answer.put("section_height", height);
        answer.source("section_height", PLAIN);
        answer.formula("section_height", format!("{share} x width, as the size names no aspect ratio"));
        answer.warn(format!(
            "The size names no aspect ratio; a section height of {:.0} % of the width is usual for it and may be 5 % out. Measure the tyre.",
            100.0 * share
        ));
        Some(rim + height * 2.0)
    } else if size.iter().any(|name| given.has(name)) {
        given.require(&size)?;
        let width: Length = given::positive("width", given.need("width")?)?;
        let aspect: Number = given.need("aspect")?;
        given::within("aspect", aspect, unit::ONE, 20.0..=110.0, SIZE)?;
        let rim: Length = given.need("rim")?;
        given::within("rim", rim, unit::IN, 4.0..=60.0, SIZE)?;
        given::within("width", width, unit::MM, 50.0..=1500.0, SIZE)?;
        let height = width * (aspect.si() / 100.0);
        answer.put("section_height", height);
        Some(rim + height * 2.0)
    } else {
        given.maybe::<Length>("diameter")?.map(|d| given::positive("diameter", d)).transpose()?
    };
    if let Some(diameter) = diameter {
        let share: Number = given.or("loaded_share", Number::from_si(0.96))?;
        given::within("loaded_share", share, unit::ONE, 0.85..=1.0, LOADED)?;
        answer.put("diameter", diameter);
        answer.put("free_radius", diameter / 2.0);
        answer.put("loaded_radius", diameter * (0.5 * share.si()));
        if let Some(old) = given.maybe::<Length>("old_diameter")? {
            answer.put("radius_growth", (diameter - old) * (0.5 * share.si()));
        }
    }
    let turn = 2.0 * std::f64::consts::PI;
    let circumference =
        match (given.maybe::<Number>("rev_per_mile")?, given.maybe::<Length>("rolling_radius")?) {
            (Some(_), Some(_)) => {
                return Err(Trouble::impossible(
                    "rev_per_mile and rolling_radius are both given",
                    "give one of them",
                ));
            }
            (Some(revs), None) => Length::of(1.0, unit::MILE) / given::positive("rev_per_mile", revs)?.si(),
            (None, Some(radius)) => given::positive("rolling_radius", radius)? * turn,
            (None, None) if diameter.is_some() => return Ok(()),
            (None, None) => return Err(Trouble::Missing(vec!["width", "aspect", "rim"])),
        };
    answer.put("rolling_radius", circumference / turn);
    answer.put("circumference", circumference);
    answer.put("rev_per_mile", Number::from_si(Length::of(1.0, unit::MILE).si() / circumference.si()));
    Ok(())
}

//! Toe in lengths and angles, and tyre sizes.

use crate::figure::prelude::*;

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

/// Toe that can be driven with; more is a wrong unit.
const TOE_LENGTH: Range = within(-6.0, 6.0, unit::IN, DRIVEN).usually(-0.5, 0.5, unit::IN);
const DRIVEN: Source = Source::practice("toe of road vehicles; outside it a unit or a digit is wrong");

family! {
    pub TOE = "toe" in Geometry: "toe as a length and as an angle, per wheel and total";
    reads Toe {
        required diameter: Length in ABOVE_ZERO.usually(10.0, 60.0, unit::IN), "diameter the toe is measured at", "d", "tyre", "tire", "od", "tyre_diameter",
            "wheel_diameter", "wheel";
        optional total_length: Length in TOE_LENGTH, "total toe as a length, two equal wheels; toe-in positive", "toe", "toe_in",
            "total_toe", "total", "t_total", "linear";
        optional front: Length in ABOVE_ZERO, "instead: between the tyres in front of the axle, at the height of the hubs", "front_distance", "front_measure";
        optional rear: Length in ABOVE_ZERO, "with front: the same behind the axle", "rear_distance", "rear_measure", "back";
        optional wheel_length: Length in TOE_LENGTH, "toe of one wheel as a length", "t", "per_wheel";
        optional total_angle: Angle, "total toe as an angle";
        optional wheel_angle: Angle in within(-45.0, 45.0, unit::DEG, CHORD), "toe of one wheel as an angle";
    }
    rules { one_of(total_length, wheel_length, total_angle, wheel_angle, front); together(front, rear); }
    gives ToeAnswer {
        wheel_angle: Angle, "toe per wheel", "asin(t / D)", CHORD => .style(FINE_ANGLE);
        total_angle: Angle, "total toe", "2 asin(t_total / (2 D))", CHORD => .style(FINE_ANGLE).range("two equal wheels");
        wheel_length: Length, "toe per wheel as a length", "D sin(angle)", CHORD => .style(GAUGE);
        total_length: Length, "total toe as a length", "2 D sin(total / 2)", CHORD => .style(GAUGE).range("two equal wheels");
    }
    example "diameter=\"31 in\" total_length=\"1/16 in\"";
    by toe
}

fn toe(given: &Toe, answer: &mut ToeAnswer) -> Result<()> {
    let diameter = *given.diameter;
    // Toe-in: the tyres stand closer in front.
    let measured = given.front.zip(*given.rear).map(|(front, rear)| rear - front);
    let length = given.wheel_length.or(given.total_length.or(measured).map(|total| total / 2.0));
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

/// A tread rolls on at least this share of its free radius (common practice).
const LEAST_ROLLING: f64 = 0.88;
/// A measured tyre may be this much over its nominal size.
const NOMINAL: f64 = 1.02;

family! {
    pub TYRE_SIZE = "tyre-size" in Geometry: "free diameter, loaded radius and revolutions per mile of a tyre";
    also "rev-per-mile", "revs-per-mile", "revolutions-per-mile", "tyre", "tyre-diameter", "tyre-conversion";
    reads TyreSize {
        optional size: String, "tyre size as written on the side, such as 285/75R16 or 31x10.5R15", "tyre", "tire",
            "tyre_size", "designation";
        optional width: Length in within(50.0, 1500.0, unit::MM, SIZE).above_zero(), "section width",
            "section_width";
        optional aspect: Number in within(20.0, 110.0, unit::ONE, SIZE), "aspect ratio in per cent, as written: 75",
            "aspect_ratio", "series";
        optional rim: Length in within(4.0, 60.0, unit::IN, SIZE), "rim diameter", "rim_diameter";
        optional diameter: Length in ABOVE_ZERO, "free diameter, measured; instead of the size", "free_diameter",
            "od";
        default loaded_share: Number = "0.96" in within(0.85, 1.0, unit::ONE, LOADED), "loaded over free radius",
            "loaded_ratio";
        optional rolling_radius: Length in ABOVE_ZERO, "effective rolling radius", "effective_radius";
        optional rev_per_mile: Number in ABOVE_ZERO, "revolutions per mile, from the maker", "revs_per_mile";
        optional old_diameter: Length in ABOVE_ZERO, "free diameter of the tyre before";
    }
    rules {
        some_of(size, width, diameter, rev_per_mile, rolling_radius);
        at_most_one(size, width, diameter);
        together(width, aspect, rim);
        at_most_one(rev_per_mile, rolling_radius);
    }
    gives TyreSizeAnswer {
        section_height: Length, "section height", "width x aspect / 100", SIZE => .style(GAUGE);
        diameter: Length, "free diameter", "rim + 2 section_height",
            SIZE => .range("nominal; a measured tyre may differ by 2 %").style(GAUGE);
        free_radius: Length, "free radius", "diameter / 2", SIZE => .style(GAUGE);
        loaded_radius: Length, "loaded radius", "loaded_share x free_radius",
            LOADED => .range("at rated load; measure it for geometry");
        radius_growth: Length, "loaded radius larger than before", "loaded_share x (diameter - old_diameter) / 2",
            LOADED;
        rolling_radius: Length, "effective rolling radius", "circumference / (2 pi)", ROLL => .style(GAUGE);
        circumference: Length, "rolling circumference", "63360 in / rev_per_mile", ROLL => .style(GAUGE);
        rev_per_mile: Number, "revolutions per mile", "63360 in / circumference", ROLL => .style(TENTH);
    }
    asked diameter, rolling_radius;
    example "width=\"285 mm\" aspect=75 rim=\"16 in\" rolling_radius=\"15.6 in\"";
    by tyre_size
}

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

fn tyre_size(given: &TyreSize, answer: &mut TyreSizeAnswer) -> Result<()> {
    let written = match given.size.as_deref() {
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
        let height = width * (aspect / 100.0);
        answer.section_height.put(height);
        Some(rim + height * 2.0)
    } else if let Some(Sidewall::Plain { width, share, rim }) = written {
        let height = width * share;
        answer.section_height.put(height);
        answer.section_height.source(PLAIN);
        answer.section_height.formula(format!("{share} x width, as the size names no aspect ratio"));
        answer.warn(format!(
            "The size names no aspect ratio; a section height of {:.0} % of the width is usual for it and may be 5 % out. Measure the tyre.",
            100.0 * share
        ));
        Some(rim + height * 2.0)
    } else if let (Some(width), Some(aspect), Some(rim)) = (*given.width, *given.aspect, *given.rim) {
        let height = width * (aspect.si() / 100.0);
        answer.section_height.put(height);
        Some(rim + height * 2.0)
    } else {
        *given.diameter
    };
    if let Some(diameter) = diameter {
        let share = *given.loaded_share;
        answer.diameter.put(diameter);
        answer.free_radius.put(diameter / 2.0);
        answer.loaded_radius.put(diameter * (0.5 * share.si()));
        answer.radius_growth.put_some(given.old_diameter.map(|old| (diameter - old) * (0.5 * share.si())));
    }
    let turn = 2.0 * PI;
    let circumference = match (*given.rev_per_mile, *given.rolling_radius) {
        (Some(revs), _) => Length::of(1.0, unit::MILE) / revs.si(),
        (None, Some(radius)) => radius * turn,
        (None, None) if diameter.is_some() => return Ok(()),
        (None, None) => return Err(Trouble::Missing(vec!["size"])),
    };
    let rolling: Length = circumference / turn;
    if let Some(diameter) = diameter {
        // A tread rolls on less than its free radius and more than its loaded one.
        let (least, most) = (diameter * (0.5 * LEAST_ROLLING), diameter * 0.5);
        if rolling < least || rolling > most * NOMINAL {
            return Err(Trouble::impossible(
                format!(
                    "a rolling radius of {} does not belong to a tyre of {} free radius: it lies between the loaded and the free radius",
                    GAUGE.both(rolling.into()),
                    GAUGE.both(most.into())
                ),
                "check rolling_radius or rev_per_mile against the size",
            ));
        }
    }
    answer.rolling_radius.put(rolling);
    answer.circumference.put(circumference);
    answer.rev_per_mile.put(Number::from_si(Length::of(1.0, unit::MILE).si() / circumference.si()));
    Ok(())
}

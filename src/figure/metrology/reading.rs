//! Uncertainty of a reading or of repeated readings, and of the difference of
//! two readings of one instrument.

use super::budget::{
    CONFIDENCE, Combined, Component, GUM_10, GUM_G2, GUM_G3, combine, confidence, with_given_factor,
};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble};
use crate::quantity::{Angle, Dimensioned, Form, Kind, Length, Number, Percent, Style, Torque, unit};
use crate::source::Source;

const TYPE_A: Source = Source::standard("JCGM 100:2008", "4.2, eq. 3 to 5");
const RESOLUTION: Source = Source::standard("JCGM 100:2008", "F.2.2.1");
const LIMIT: Source = Source::standard("JCGM 100:2008", "4.3.7 and 4.3.9");
const CERTIFICATE: Source = Source::standard("JCGM 100:2008", "4.3.3");
const COMMON: Source = Source::derived(
    "what both readings share cancels in their difference",
    "Monte Carlo with a common offset",
);
const DOF: Style = Style::single(Form::decimal(unit::ONE, 0.1)).down();
const COVER: Style = Style::single(Form::decimal(unit::ONE, 0.01));

macro_rules! reading_family {
    ($(#[$doc:meta])* $id:ident, $name:literal, $title:literal, $kind:ident, $style:expr, $example:literal) => {
        $(#[$doc])*
        pub static $id: Family = Family {
            name: $name,
            declared: Declared::OLD,
            group: Group::Metrology,
            title: $title,
            inputs: &[
                Input::list("readings", Kind::$kind, Need::Optional, "repeated readings; their mean is the result").also(&["values", "reading", "value", "torque", "indication"]),
                Input::optional("repeatability", Kind::$kind, "standard deviation of one reading, if known").also(&["repeat", "standard_deviation", "s"]),
                Input::optional("resolution", Kind::$kind, "smallest step of the indication").also(&["increment", "step", "division"]),
                Input::optional("limit", Kind::$kind, "limit each way, anything between as likely").also(&["accuracy", "deviation", "rectangular", "mpe"]),
                Input::optional("limit_share", Kind::Percent, "limit each way as a share of the reading").also(&["limit_percent", "permissible_deviation", "percent_of_reading", "tolerance"]),
                Input::optional("triangular", Kind::$kind, "limit each way, the middle most likely").also(&["triangular_limit"]),
                Input::optional("calibration", Kind::$kind, "expanded uncertainty of the certificate, k = 2").also(&["certificate"]),
                Input::optional("k", Kind::Number, "coverage factor, instead of confidence").also(&["coverage_factor"]),
                CONFIDENCE,
            ],
            outputs: &[
                Output::new("count", "number of readings", Kind::Number, "n", TYPE_A).style(Style::single(Form::decimal(unit::ONE, 1.0))),
                Output::new("mean", "mean of the readings", Kind::$kind, "sum / n", TYPE_A).style($style),
                Output::new("deviation", "standard deviation of one reading", Kind::$kind, "sqrt(sum (x - mean)^2 / (n - 1))", TYPE_A).style($style),
                Output::new("u_repeat", "standard uncertainty from repeats", Kind::$kind, "deviation / sqrt(n)", TYPE_A).style($style),
                Output::new("u_resolution", "standard uncertainty of the resolution", Kind::$kind, "resolution / sqrt 12", RESOLUTION).style($style),
                Output::new("u_limit", "standard uncertainty of the limits", Kind::$kind, "limit / sqrt 3; triangular limit / sqrt 6", LIMIT).style($style),
                Output::new("u_calibration", "standard uncertainty of the calibration", Kind::$kind, "calibration / 2", CERTIFICATE).style($style),
                Output::new("u_combined", "combined standard uncertainty", Kind::$kind, "root of the sum of squares", GUM_10).style($style),
                Output::new("effective_dof", "effective degrees of freedom", Kind::Number, "u_combined^4 / sum(u^4 / dof)", GUM_G2).style(DOF),
                Output::new("coverage_factor", "coverage factor k", Kind::Number, "t quantile", GUM_G3).style(COVER),
                Output::new("uncertainty", "expanded uncertainty", Kind::$kind, "k u_combined", GUM_G3).style($style.up()),
            ],
            example: $example,
            run: run::<$kind>,
        };
    };
}

const ANGLES: Style = Style::single(Form::decimal(unit::DEG, 0.001));
const LENGTHS: Style = Style::pair(Form::decimal(unit::IN, 0.0001), Form::decimal(unit::MM, 0.001));
const TORQUES: Style = Style::pair(Form::decimal(unit::LBF_FT, 0.01), Form::decimal(unit::N_M, 0.01));
const NUMBERS: Style = Style::single(Form::decimal(unit::ONE, 1e-6));

reading_family!(
    /// Uncertainty of a reading in any unit, as a plain number.
    READING,
    "reading-uncertainty",
    "uncertainty of a reading in any one unit, from resolution, limits and repeats",
    Number,
    NUMBERS,
    "readings=\"6.35, 6.20, 6.48\" resolution=0.01 limit=0.02"
);
reading_family!(
    /// Uncertainty of an angle reading.
    ANGLE_READING,
    "angle-uncertainty",
    "uncertainty of an angle reading, from resolution, limits and repeats",
    Angle,
    ANGLES,
    "readings=\"6.0, 6.1, 5.9 deg\" resolution=\"0.1 deg\" limit=\"0.2 deg\""
);
reading_family!(
    /// Uncertainty of a length reading.
    LENGTH_READING,
    "length-uncertainty",
    "uncertainty of a length reading, from resolution, limits and repeats",
    Length,
    LENGTHS,
    "readings=\"6.35, 6.20, 6.48 mm\" resolution=\"0.01 mm\" limit=\"0.02 mm\""
);
reading_family!(
    /// Uncertainty of a torque reading.
    TORQUE_READING,
    "torque-uncertainty",
    "uncertainty of a torque reading, from resolution, limits and repeats",
    Torque,
    TORQUES,
    "readings=\"75 lbf-ft\" limit=\"3 lbf-ft\" resolution=\"1 lbf-ft\" repeatability=\"0.5 lbf-ft\""
);

/// Mean and standard deviation of one reading; no deviation from a single one.
///
/// Source: JCGM 100:2008 eq. 3 and 4.
#[must_use]
pub fn mean_and_deviation(readings: &[f64]) -> Option<(f64, Option<f64>)> {
    if readings.is_empty() {
        return None;
    }
    #[expect(clippy::cast_precision_loss, reason = "a number of readings")]
    let n = readings.len() as f64;
    let mean = readings.iter().sum::<f64>() / n;
    let squares: f64 = readings.iter().map(|x| (x - mean) * (x - mean)).sum();
    Some((mean, (readings.len() > 1).then(|| (squares / (n - 1.0)).sqrt())))
}

/// The type B components an input set gives; not negative.
fn type_b<T: Dimensioned>(given: &Given, name: &'static str, divisor: f64) -> Result<Option<f64>, Trouble> {
    match given.maybe::<T>(name)? {
        Some(value) if value.si() >= 0.0 => Ok(Some(value.si() / divisor)),
        Some(_) => Err(Trouble::impossible(format!("{name} can't be negative"), "give its size")),
        None => Ok(None),
    }
}

fn run<T: Dimensioned>(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let readings: Vec<f64> = given.list::<T>("readings")?.iter().map(|t| t.si()).collect();
    let mut components: Vec<Component> = Vec::new();
    let exact = |standard: f64| Component { standard, dof: f64::INFINITY };
    #[expect(clippy::cast_precision_loss, reason = "a number of readings")]
    let n = readings.len().max(1) as f64;
    let known = type_b::<T>(given, "repeatability", 1.0)?;
    let mut spread = None;
    if let Some((mean, deviation)) = mean_and_deviation(&readings) {
        answer.put("count", Number::from_si(n));
        answer.put("mean", T::from_si(mean));
        if let Some(deviation) = deviation {
            answer.put("deviation", T::from_si(deviation));
            spread = Some(Component { standard: deviation / n.sqrt(), dof: n - 1.0 });
        }
    }
    // A spread known from earlier work is better than one from a few readings.
    if let Some(known) = known {
        spread = Some(exact(known / n.sqrt()));
    }
    if let Some(spread) = spread {
        answer.put("u_repeat", T::from_si(spread.standard));
        components.push(spread);
    }
    if let Some(u) = type_b::<T>(given, "resolution", 12.0_f64.sqrt())? {
        answer.put("u_resolution", T::from_si(u));
        components.push(exact(u));
    }
    let own = type_b::<T>(given, "limit", 3.0_f64.sqrt())?;
    let shared = match given.maybe::<Percent>("limit_share")? {
        None => None,
        Some(share) => {
            given.require(&["readings"])?;
            crate::figure::given::within("limit_share", share, unit::PCT, 0.0..=100.0, LIMIT)?;
            let mean = mean_and_deviation(&readings).map_or(0.0, |(mean, _)| mean);
            Some(share.si() * mean.abs() / 3.0_f64.sqrt())
        }
    };
    let flat = match (own, shared) {
        (Some(own), Some(shared)) => Some(libm::hypot(own, shared)),
        (own, shared) => own.or(shared),
    };
    let peaked = type_b::<T>(given, "triangular", 6.0_f64.sqrt())?;
    if flat.is_some() || peaked.is_some() {
        let u = libm::hypot(flat.unwrap_or(0.0), peaked.unwrap_or(0.0));
        answer.put("u_limit", T::from_si(u));
        components.push(exact(u));
    }
    if let Some(u) = type_b::<T>(given, "calibration", 2.0)? {
        answer.put("u_calibration", T::from_si(u));
        components.push(exact(u));
    }
    if components.is_empty() {
        return Err(Trouble::impossible(
            "nothing says how uncertain the reading is",
            "give resolution, limit, calibration, repeatability or several readings",
        ));
    }
    finish::<T>(answer, with_given_factor(given, combine(&components, confidence(given)?))?);
    if given.has("readings") && readings.len() > 1 && readings.len() < 4 && known.is_none() {
        answer.warn(
            "Few readings give a poor estimate of their spread; take more or give a known repeatability.",
        );
    }
    Ok(())
}

fn finish<T: Dimensioned>(answer: &mut Answer, combined: Combined) {
    answer.put("u_combined", T::from_si(combined.standard));
    if combined.dof.is_finite() {
        answer.put("effective_dof", Number::from_si(combined.dof));
    }
    answer.put("coverage_factor", Number::from_si(combined.coverage));
    answer.put("uncertainty", T::from_si(combined.expanded));
}

/// Difference of two angle readings.
pub static ANGLE_DIFFERENCE: Family = Family {
    name: "angle-difference",
    declared: Declared::OLD,
    group: Group::Metrology,
    title: "difference of two angle readings of one instrument, with its uncertainty",
    inputs: &[
        Input::optional("before", Kind::Angle, "first reading").also(&[
            "reading_1",
            "first_reading",
            "first",
            "old",
            "a",
        ]),
        Input::optional("after", Kind::Angle, "second reading").also(&[
            "reading_2",
            "second_reading",
            "second",
            "new",
            "b",
        ]),
        Input::optional("resolution", Kind::Angle, "smallest step of the indication")
            .also(&["increment", "step"]),
        Input::optional("limit", Kind::Angle, "limit of each reading, each way").also(&["accuracy", "mpe"]),
        Input::optional("repeatability", Kind::Angle, "standard deviation of one reading").also(&["repeat"]),
        Input::defaulted("readings", Kind::Number, "1", "times the whole difference was taken; the repeatability is then that of the difference, and its mean counts").also(&[
            "n",
            "count",
            "reading_count",
        ]),
        Input::flag("common_zero", "whether the limit is a zero error both readings share, which cancels")
            .also(&["same_zero"]),
        CONFIDENCE,
    ],
    outputs: &[
        Output::new("difference", "difference, second minus first", Kind::Angle, "after - before", COMMON)
            .style(Style::single(Form::decimal(unit::DEG, 0.01))),
        Output::new(
            "u_reading",
            "standard uncertainty of one reading",
            Kind::Angle,
            "root of the sum of squares of its parts",
            GUM_10,
        )
        .style(ANGLES),
        Output::new(
            "u_combined",
            "standard uncertainty of the difference",
            Kind::Angle,
            "sqrt 2 u_reading; with readings, and the repeatability of the difference over sqrt(readings)",
            COMMON,
        )
        .style(ANGLES),
        Output::new("coverage_factor", "coverage factor k", Kind::Number, "normal quantile", GUM_G3)
            .style(COVER),
        Output::new(
            "uncertainty",
            "expanded uncertainty of the difference",
            Kind::Angle,
            "k u_combined",
            GUM_G3,
        )
        .style(ANGLES.up()),
    ],
    example: "before=\"2.5 deg\" after=\"6.0 deg\" resolution=\"0.1 deg\" limit=\"0.2 deg\"",
    run: run_difference,
};

fn run_difference(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let difference = match (given.maybe::<Angle>("before")?, given.maybe::<Angle>("after")?) {
        (Some(before), Some(after)) => Some(after - before),
        (None, None) if given.has("resolution") || given.has("limit") || given.has("repeatability") => None,
        (None, Some(_)) => return Err(Trouble::Missing(vec!["before"])),
        (Some(_), None) => return Err(Trouble::Missing(vec!["after"])),
        (None, None) => return Err(Trouble::Missing(vec!["before", "after"])),
    };
    let resolution = type_b::<Angle>(given, "resolution", 12.0_f64.sqrt())?.unwrap_or(0.0);
    let limit = type_b::<Angle>(given, "limit", 3.0_f64.sqrt())?.unwrap_or(0.0);
    let count: Number = given.or("readings", Number::from_si(1.0))?;
    crate::figure::given::within("readings", count, unit::ONE, 1.0..=1000.0, TYPE_A)?;
    let spread = type_b::<Angle>(given, "repeatability", 1.0)?.unwrap_or(0.0);
    let averaged = given.has("readings");
    let (repeat, of_mean) = if averaged { (0.0, spread / count.si().sqrt()) } else { (spread, 0.0) };
    let own_limit = if given.flag("common_zero")? { 0.0 } else { limit };
    let own = libm::hypot(libm::hypot(resolution, own_limit), repeat);
    if let Some(difference) = difference {
        answer.put("difference", difference);
    }
    answer.put("u_reading", Angle::from_si(libm::hypot(libm::hypot(resolution, limit), repeat)));
    let exact = |standard: f64| Component { standard, dof: f64::INFINITY };
    let parts = [exact(own), exact(own), exact(of_mean)];
    let combined = combine(&parts, confidence(given)?);
    answer.put("u_combined", Angle::from_si(combined.standard));
    answer.put("coverage_factor", Number::from_si(combined.coverage));
    answer.put("uncertainty", Angle::from_si(combined.expanded));
    if difference.is_some_and(|d| combined.expanded > d.si().abs()) {
        answer
            .warn("The difference is smaller than its uncertainty: it is not proven that anything changed.");
    }
    Ok(())
}

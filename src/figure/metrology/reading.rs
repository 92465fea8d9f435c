//! Uncertainty of a reading or of repeated readings, and of the difference of
//! two readings of one instrument.

use super::budget::{Component, GUM_10, GUM_G2, GUM_G3, TWO_SIGMA, combine, with_factor};
use crate::figure::prelude::*;

const TYPE_A: Source = Source::standard("JCGM 100:2008", "4.2, eq. 3 to 5");
const RESOLUTION: Source = Source::standard("JCGM 100:2008", "F.2.2.1");
const LIMIT: Source = Source::standard("JCGM 100:2008", "4.3.7 and 4.3.9");
const CERTIFICATE: Source = Source::standard("JCGM 100:2008", "4.3.3");
const COMMON: Source = Source::derived(
    "what both readings share cancels in their difference",
    "Monte Carlo with a common offset",
);
/// Half a turn, in radians: two readings of one finder are no further apart.
const HALF_TURN: f64 = PI;
const DOF: Style = Style::single(Form::decimal(unit::ONE, 0.1)).down();

/// Style of a reading's uncertainty of this kind.
const fn fine(kind: Kind) -> Style {
    match kind {
        Kind::Angle => Style::single(Form::decimal(unit::DEG, 0.001)),
        Kind::Length => Style::pair(Form::decimal(unit::IN, 0.0001), Form::decimal(unit::MM, 0.001)),
        Kind::Torque => Style::pair(Form::decimal(unit::LBF_FT, 0.01), Form::decimal(unit::N_M, 0.01)),
        _ => Style::single(Form::decimal(unit::ONE, 1e-6)),
    }
}

/// Times a known standard deviation that the one of a few readings may be by chance: about
/// one set in twenty passes it.
const CONTRADICTS: f64 = 2.0;

family! {
    /// A reading, or several, and the instrument it was made with.
    reads Reading<T> {
        many readings: T, "repeated readings; their mean is the result", "values", "reading", "value", "torque",
            "indication", "data", "x";
        optional repeatability: T in NOT_NEGATIVE, "standard deviation of one reading, if known", "repeat",
            "standard_deviation", "s", "std", "stdev", "sd", "sigma";
        optional resolution: T in NOT_NEGATIVE, "smallest step of the indication", "increment", "step", "division",
            "res";
        optional limit: T in NOT_NEGATIVE, "limit each way, anything between as likely", "accuracy", "deviation",
            "rectangular", "mpe", "a";
        optional limit_share: Percent in within(0.0, 100.0, unit::PCT, LIMIT),
            "limit each way as a share of the reading", "limit_percent", "permissible_deviation",
            "percent_of_reading", "tolerance", "limit", "deviation", "accuracy";
        optional triangular: T in NOT_NEGATIVE, "limit each way, the middle most likely", "triangular_limit";
        optional calibration: T in NOT_NEGATIVE, "expanded uncertainty of the certificate, k = 2", "certificate";
        optional k: Number in within(1.0, 20.0, unit::ONE, GUM_G3), "coverage factor, instead of confidence",
            "coverage_factor";
        fallback confidence: Percent = "95.45 %, which is k = 2 for many degrees of freedom"
            in within(50.0, 99.99, unit::PCT, GUM_G3), "coverage probability", "level", "p", "coverage";
    }
    rules { at_most_one(k, confidence); needs(limit_share, readings); }
}

family! {
    /// Uncertainty of a reading, part by part.
    gives ReadingAnswer<T> {
        count: Number, "number of readings", "n", TYPE_A => .style(Style::single(Form::decimal(unit::ONE, 1.0)));
        mean: T, "mean of the readings", "sum / n", TYPE_A => .style(fine(T::KIND));
        deviation: T, "standard deviation of one reading", "sqrt(sum (x - mean)^2 / (n - 1))",
            TYPE_A => .style(fine(T::KIND));
        u_repeat: T, "standard uncertainty from repeats", "deviation / sqrt(n)", TYPE_A => .style(fine(T::KIND));
        u_resolution: T, "standard uncertainty of the resolution", "resolution / sqrt 12",
            RESOLUTION => .style(fine(T::KIND));
        u_limit: T, "standard uncertainty of the limits", "limit / sqrt 3; triangular limit / sqrt 6",
            LIMIT => .style(fine(T::KIND));
        u_calibration: T, "standard uncertainty of the calibration", "calibration / 2",
            CERTIFICATE => .style(fine(T::KIND));
        u_combined: T, "combined standard uncertainty", "root of the sum of squares",
            GUM_10 => .style(fine(T::KIND));
        effective_dof: Number, "effective degrees of freedom", "u_combined^4 / sum(u^4 / dof)",
            GUM_G2 => .style(DOF);
        coverage_factor: Number, "coverage factor k", "t quantile", GUM_G3 => .style(HUNDREDTH);
        uncertainty: T, "expanded uncertainty", "k u_combined", GUM_G3 => .style(fine(T::KIND).up());
    }
}

family! {
    reads Reading<T> gives ReadingAnswer<T> in Metrology by reading;
    pub READING<Number> = "reading-uncertainty":
        "uncertainty of a reading in any one unit, from resolution, limits and repeats";
        also "repeat-readings", "mean", "standard-deviation", "statistics", "type-a", "repeatability";
        asked uncertainty;
        example "readings=\"6.35, 6.20, 6.48\" resolution=0.01 limit=0.02";
    pub ANGLE_READING<Angle> = "angle-uncertainty":
        "uncertainty of an angle reading, from resolution, limits and repeats";
        asked uncertainty;
        example "readings=\"6.0, 6.1, 5.9 deg\" resolution=\"0.1 deg\" limit=\"0.2 deg\"";
    pub LENGTH_READING<Length> = "length-uncertainty":
        "uncertainty of a length reading, from resolution, limits and repeats";
        asked uncertainty;
        example "readings=\"6.35, 6.20, 6.48 mm\" resolution=\"0.01 mm\" limit=\"0.02 mm\"";
    pub TORQUE_READING<Torque> = "torque-uncertainty":
        "uncertainty of a torque reading, from resolution, limits and repeats";
        asked uncertainty;
        example "readings=\"75 lbf-ft\" limit=\"3 lbf-ft\" resolution=\"1 lbf-ft\" repeatability=\"0.5 lbf-ft\"";
}

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

/// Root of the sum of the squares of both, if either is there.
fn both(one: Option<f64>, other: Option<f64>) -> Option<f64> {
    match (one, other) {
        (Some(one), Some(other)) => Some(libm::hypot(one, other)),
        (one, other) => one.or(other),
    }
}

fn reading<T: Dimensioned>(given: &Reading<T>, answer: &mut ReadingAnswer<T>) -> Result<()> {
    (0..given.readings.len()).any(|at| given.readings.uncertainty_of(at) > 0.0).refuse(
        "a reading is stated with a ± of its own, beside what its uncertainty is worked out from",
        "write the ± as limit (or calibration, if it is an expanded uncertainty), and the readings bare",
    )?;
    let readings: Vec<f64> = given.readings.iter().map(|t| t.si()).collect();
    let exact = |standard: f64| Component { standard, dof: f64::INFINITY };
    #[expect(clippy::cast_precision_loss, reason = "a number of readings")]
    let n = readings.len().max(1) as f64;
    let mut spread = None;
    let mean = mean_and_deviation(&readings);
    if let Some((mean, deviation)) = mean {
        answer.count.put(Number::from_si(n));
        answer.mean.put(T::from_si(mean));
        answer.deviation.put_some(deviation.map(T::from_si));
        spread = deviation.map(|deviation| Component { standard: deviation / n.sqrt(), dof: n - 1.0 });
    }
    // A spread known from earlier work is better than one from a few readings, unless
    // these contradict it.
    let seen = mean.and_then(|(_, deviation)| deviation).unwrap_or(0.0);
    let known = given.repeatability.filter(|known| seen <= CONTRADICTS * known.si());
    if given.repeatability.given() && known.is_none() {
        answer.warn(format!(
            "The readings differ by more than the repeatability stated allows: their own spread, {}, is used. Find out why before the reading is trusted.",
            show(T::from_si(seen))
        ));
    }
    let spread = known.map(|known| exact(known.si() / n.sqrt())).or(spread);
    let resolution = given.resolution.map(|r| r.si() / 12.0_f64.sqrt());
    let share =
        given.limit_share.zip(mean).map(|(share, (mean, _))| share.si() * mean.abs() / 3.0_f64.sqrt());
    let limit = both(given.limit.map(|l| l.si() / 3.0_f64.sqrt()), share);
    let limit = both(limit, given.triangular.map(|l| l.si() / 6.0_f64.sqrt()));
    let calibration = given.calibration.map(|c| c.si() / 2.0);
    answer.u_repeat.put_some(spread.map(|spread| T::from_si(spread.standard)));
    answer.u_resolution.put_some(resolution.map(T::from_si));
    answer.u_limit.put_some(limit.map(T::from_si));
    answer.u_calibration.put_some(calibration.map(T::from_si));
    let parts = [spread, resolution.map(exact), limit.map(exact), calibration.map(exact)];
    let components: Vec<Component> = parts.into_iter().flatten().collect();
    components.is_empty().refuse(
        "nothing says how uncertain the reading is",
        "give resolution, limit, calibration, repeatability or several readings",
    )?;
    let confidence = given.confidence.unwrap_or(Percent::from_si(TWO_SIGMA));
    let combined = with_factor(combine(&components, confidence), *given.k);
    (combined.standard <= 0.0).refuse(
        "what is given makes an uncertainty of zero, and no reading has that",
        "give the resolution: readings that agree only say that the step is coarser than their spread",
    )?;
    answer.u_combined.put(T::from_si(combined.standard));
    answer.effective_dof.put_some(combined.dof.is_finite().then(|| Number::from_si(combined.dof)));
    answer.coverage_factor.put(Number::from_si(combined.coverage));
    answer.uncertainty.put(T::from_si(combined.expanded));
    if (2..4).contains(&readings.len()) && !given.repeatability.given() {
        answer.warn(
            "Few readings give a poor estimate of their spread; take more or give a known repeatability.",
        );
    }
    Ok(())
}

family! {
    pub ANGLE_DIFFERENCE = "angle-difference" in Metrology:
        "difference of two angle readings of one instrument, with its uncertainty";
    also "difference", "reading-difference";
    reads AngleDifference {
        optional before: Angle, "first reading", "reading_1", "first_reading", "first", "old", "a";
        optional after: Angle, "second reading", "reading_2", "second_reading", "second", "new", "b";
        optional resolution: Angle in NOT_NEGATIVE, "smallest step of the indication", "increment", "step";
        optional limit: Angle in NOT_NEGATIVE, "limit of each reading, each way", "accuracy", "mpe";
        optional repeatability: Angle in NOT_NEGATIVE, "standard deviation of one reading", "repeat";
        default readings: Number = "1" in count(1, 1000, TYPE_A),
            "times the whole difference was taken; above 1 the repeatability is that of the difference, and its mean counts",
            "n", "count", "reading_count";
        flag common_zero: bool, "whether the limit is a zero error both readings share, which cancels", "same_zero";
        fallback confidence: Percent = "95.45 %, which is k = 2 for many degrees of freedom"
            in within(50.0, 99.99, unit::PCT, GUM_G3), "coverage probability", "level", "p", "coverage";
    }
    rules { some_of(before, resolution, limit, repeatability); together(before, after); }
    gives AngleDifferenceAnswer {
        difference: Angle, "difference, second minus first", "after - before",
            COMMON => .style(Style::single(Form::decimal(unit::DEG, 0.01)));
        u_reading: Angle, "standard uncertainty of one reading", "root of the sum of squares of its parts",
            GUM_10 => .style(fine(Kind::Angle));
        u_combined: Angle, "standard uncertainty of the difference",
            "sqrt 2 u_reading; with readings, and the repeatability of the difference over sqrt(readings)",
            COMMON => .style(fine(Kind::Angle));
        coverage_factor: Number, "coverage factor k", "normal quantile", GUM_G3 => .style(HUNDREDTH);
        uncertainty: Angle, "expanded uncertainty of the difference", "k u_combined",
            GUM_G3 => .style(fine(Kind::Angle).up());
    }
    example "before=\"2.5 deg\" after=\"6.0 deg\" resolution=\"0.1 deg\" limit=\"0.2 deg\"";
    by angle_difference
}

fn angle_difference(given: &AngleDifference, answer: &mut AngleDifferenceAnswer) -> Result<()> {
    let difference = given.after.zip(*given.before).map(|(after, before)| after - before);
    if let Some(turned) = difference.filter(|turned| turned.si().abs() > HALF_TURN * (1.0 + 1e-9)) {
        let style = Style::of(Kind::Angle);
        let whole = if turned.si() > 0.0 { -2.0 * HALF_TURN } else { 2.0 * HALF_TURN };
        let shorter = turned + Angle::from_si(whole);
        return Err(Trouble::impossible(
            format!(
                "the readings are {} apart, more than half a turn: the finder passed its zero in between, or one is wrong",
                style.both(Angle::from_si(turned.si().abs()).into())
            ),
            format!(
                "check before and after; by the shorter way after is {}, {} from before",
                style.both((given.before.need()? + shorter).into()),
                style.both(shorter.into())
            ),
        ));
    }
    (given.before.uncertainty() > 0.0 || given.after.uncertainty() > 0.0).refuse(
        "a reading is stated with a ± of its own, beside what the uncertainty of the difference is worked out from",
        "write the ± as limit, and the readings bare",
    )?;
    let part = |angle: Option<Angle>, divisor: f64| angle.map_or(0.0, |a| a.si() / divisor);
    let resolution = part(*given.resolution, 12.0_f64.sqrt());
    let limit = part(*given.limit, 3.0_f64.sqrt());
    let count = *given.readings;
    let spread = part(*given.repeatability, 1.0);
    let (repeat, of_mean) = if count.si() > 1.0 { (0.0, spread / count.si().sqrt()) } else { (spread, 0.0) };
    let own_limit = if *given.common_zero { 0.0 } else { limit };
    let own = libm::hypot(libm::hypot(resolution, own_limit), repeat);
    answer.difference.put_some(difference);
    // Nothing stated is not an uncertainty of zero.
    if libm::hypot(libm::hypot(resolution, limit), spread) == 0.0 {
        answer.warn(
            "The uncertainty is not stated: give resolution, limit or repeatability of the instrument.",
        );
        return Ok(());
    }
    answer.u_reading.put(Angle::from_si(libm::hypot(libm::hypot(resolution, limit), repeat)));
    let exact = |standard: f64| Component { standard, dof: f64::INFINITY };
    let confidence = given.confidence.unwrap_or(Percent::from_si(TWO_SIGMA));
    let combined = combine(&[exact(own), exact(own), exact(of_mean)], confidence);
    answer.u_combined.put(Angle::from_si(combined.standard));
    answer.coverage_factor.put(Number::from_si(combined.coverage));
    answer.uncertainty.put(Angle::from_si(combined.expanded));
    if difference.is_some_and(|d| combined.expanded > d.si().abs()) {
        answer
            .warn("The difference is smaller than its uncertainty: it is not proven that anything changed.");
    }
    Ok(())
}

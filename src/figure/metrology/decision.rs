//! Deciding against a limit with uncertainty: conform, not conform, not proven.

use super::budget::coverage_factor;
use super::distribution::normal_below;
use crate::figure::prelude::*;

pub use crate::term::Verdict;

const ISO_14253: Source =
    Source::standard("ISO 14253-1:2013", "5.2 and 5.3, limits reduced or widened by U").from_memory();
const JCGM_106: Source = Source::standard("JCGM 106:2012", "7.2 to 7.4, conformance probability");
const TUR: Source =
    Source::standard("ANSI/NCSL Z540.3", "test uncertainty ratio of at least 4").from_memory();
/// One-sided 95 per cent point of the normal distribution.
const NINETY_FIVE: f64 = 1.644_853_626_951_472_7;

crate::words!(@traits Verdict, Verdict::WORDS, Verdict::of, Verdict::word, &[]);

words! {
    /// Width of a guard band.
    pub Guard {
        /// U = k u.
        Expanded = "expanded" | "2013" | "k=2" | "u",
        /// 1.645 u: 95 % probability of conformance, if one limit alone is near.
        NinetyFive = "95" | "95 %" | "one-sided" | "2017",
        /// None; the risk is shared.
        None = "none" | "shared-risk" | "shared" | "simple" | "simple-acceptance" | "no",
    }
}

/// Tolerance limits in SI units; one may be absent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Least value that conforms.
    pub lower: Option<f64>,
    /// Greatest value that conforms.
    pub upper: Option<f64>,
}

impl Limits {
    /// Verdict on a value with a guard band each way.
    ///
    /// Source: ISO 14253-1: conformity is proven inside the limits reduced by
    /// the guard band, nonconformity outside the limits widened by it.
    #[must_use]
    pub fn verdict(self, value: f64, guard: f64) -> Verdict {
        Verdict::on(value, guard, (self.lower, self.upper))
    }

    /// Probability that the true value is inside, with a normal distribution
    /// about the measured one.
    ///
    /// Source: JCGM 106:2012 eq. 18 to 20.
    #[must_use]
    pub fn conformance(self, value: f64, standard: f64) -> Percent {
        let below = self.upper.map_or(1.0, |u| normal_below((u - value) / standard));
        let under = self.lower.map_or(0.0, |l| normal_below((l - value) / standard));
        Percent::from_si(below - under)
    }
}

/// Style a measured quantity is decided in: two digits beyond a shop's own.
const fn fine(kind: Kind) -> Style {
    match kind {
        Kind::Angle => Style::single(Form::decimal(unit::DEG, 0.01)),
        Kind::Length => Style::pair(Form::decimal(unit::IN, 0.0001), Form::decimal(unit::MM, 0.001)),
        Kind::Torque => Style::pair(Form::decimal(unit::LBF_FT, 0.01), Form::decimal(unit::N_M, 0.01)),
        _ => Style::single(Form::decimal(unit::ONE, 1e-4)),
    }
}

family! {
    /// A measured value, its limits and its uncertainty.
    reads Decision<T> {
        required value: T, "measured value; ± behind it is a limit of error (rectangular), ± with (k=2) behind it an expanded uncertainty",
            "measured", "measurement", "reading", "y", "x";
        optional lower: T, "lower tolerance limit", "min", "low", "lower_limit", "tl", "lsl";
        optional upper: T, "upper tolerance limit", "max", "high", "upper_limit", "tu", "limit", "usl";
        optional nominal: T, "nominal value, with tolerance, instead of the limits", "target";
        optional tolerance: T in ABOVE_ZERO, "tolerance each way about nominal", "tol", "plus_minus";
        optional u: T in ABOVE_ZERO, "standard uncertainty", "standard_uncertainty", "uc", "u_c", "sigma";
        optional uncertainty: T in ABOVE_ZERO, "expanded uncertainty, k = 2 unless k is given, instead of u",
            "expanded", "expanded_uncertainty", "U", "u95";
        optional k: Number in within(1.0, 5.0, unit::ONE, ISO_14253),
            "coverage factor of the expanded uncertainty and of the guard band; 2 if absent",
            "coverage_factor", "coverage";
        optional confidence: Percent in within(50.0, 99.99, unit::PCT, ISO_14253),
            "coverage probability, instead of k; normal distribution, both sides",
            "confidence_level", "level", "coverage_probability";
        default guard: Guard = Expanded,
            "guard band: U = k u, or 1.645 u for 95 % conformance probability, or none (shared risk)",
            "rule", "edition", "decision_rule";
        optional guard_band: T in NOT_NEGATIVE, "width of the guard band, if it is agreed; instead of guard",
            "guard_width", "g";
    }
    rules {
        some_of(lower, upper, nominal);
        ordered(lower, upper);
        at_most_one(lower, nominal);
        at_most_one(upper, nominal);
        together(nominal, tolerance);
        at_most_one(u, uncertainty);
        at_most_one(k, confidence);
        at_most_one(guard, guard_band);
    }
}

family! {
    /// Whether a measured value conforms.
    gives Decided<T> {
        verdict: Verdict, "verdict",
            "conform inside the limits reduced by the guard band and likelier inside them than not (95: with 95 % probability), not conform outside them widened by it", ISO_14253
            => .claims(&[Verdict::Conform.word()]);
        guard_band: T, "guard band", "k u, 1.645 u, none, or as given", ISO_14253 => .style(fine(T::KIND).up());
        accept_lower: T, "lower acceptance limit", "lower + guard_band", ISO_14253 => .style(fine(T::KIND).up());
        accept_upper: T, "upper acceptance limit", "upper - guard_band", ISO_14253 => .style(fine(T::KIND).down());
        conformance_probability: Percent, "probability of conformance",
            "Phi((upper - value)/u) - Phi((lower - value)/u)",
            JCGM_106 => .range("normal distribution, little earlier knowledge")
                .style(Style::single(Form::decimal(unit::PCT, 0.01)).down());
        ratio: Number, "test uncertainty ratio", "(upper - lower) / (4 u)", TUR => .style(HUNDREDTH.down());
    }
}

family! {
    reads Decision<T> gives Decided<T> in Metrology by decide;
    pub DECISION<Number> = "decision": "whether a measured value conforms, in any one unit";
        also "false-accept", "conformance-probability", "acceptance-test", "decision-rule", "conformity", "conformance";
        example "value=-5.47 upper=-5.40 u=0.05";
    pub LENGTH_DECISION<Length> = "length-decision": "whether a measured length conforms";
        example "value=\"10.02 mm\" lower=\"9.95 mm\" upper=\"10.05 mm\" u=\"0.01 mm\"";
    pub ANGLE_DECISION<Angle> = "angle-decision": "whether a measured angle conforms";
        example "value=\"6.1 deg ± 0.2 deg\" lower=\"5.5 deg\" upper=\"6.5 deg\"";
    pub TORQUE_DECISION<Torque> = "torque-decision": "whether a measured torque conforms";
        example "value=\"92 lbf-ft\" lower=\"85 lbf-ft\" upper=\"95 lbf-ft\" uncertainty=\"3.7 lbf-ft\"";
}

/// Refuses a `±` behind what has none: limits are agreed, and an uncertainty is what it
/// is. It would reach no verdict.
fn exact<T: Dimensioned>(inputs: &[&Read<Option<T>>]) -> Result<()> {
    inputs.iter().filter(|input| input.given() && input.uncertainty() > 0.0).try_for_each(|input| {
        Err(Trouble::impossible(
            format!(
                "{} has a ± behind it, and a verdict goes by the uncertainty of the value alone",
                input.name()
            ),
            "put the whole uncertainty behind value, or give it as u or uncertainty",
        ))
    })
}

fn decide<T: Dimensioned>(given: &Decision<T>, answer: &mut Decided<T>) -> Result<()> {
    exact(&[&given.lower, &given.upper, &given.nominal, &given.tolerance])?;
    exact(&[&given.u, &given.uncertainty, &given.guard_band])?;
    exact(&[&given.k])?;
    exact(&[&given.confidence])?;
    let value = given.value.si();
    let limits = match (*given.nominal, *given.tolerance) {
        (Some(nominal), Some(each_way)) => {
            Limits { lower: Some(nominal.si() - each_way.si()), upper: Some(nominal.si() + each_way.si()) }
        }
        _ => Limits { lower: given.lower.map(T::si), upper: given.upper.map(T::si) },
    };
    if let (Some(lower), Some(upper)) = (limits.lower, limits.upper)
        && lower >= upper
    {
        return Err(Trouble::impossible(
            "the lower limit is not below the upper one",
            "check lower and upper",
        ));
    }
    // The probability and the acceptance limits are made of the uncertainty.
    answer.said.uncertainty_is_in();
    let coverage = coverage(*given.k, *given.confidence);
    let standard = standard_uncertainty(given, coverage, answer)?;
    let guard = match *given.guard_band {
        Some(width) => width.si(),
        None => match *given.guard {
            Guard::Expanded => coverage * standard,
            Guard::NinetyFive => NINETY_FIVE * standard,
            Guard::None => 0.0,
        },
    };
    if guard == 0.0 {
        answer.warn("There is no guard band: near a limit up to half of the decisions are wrong, a risk both parties have to agree to.");
    }
    let probability = limits.conformance(value, standard);
    // Without the full guard band a value inside its limits may all the same be more
    // likely outside them.
    let unlikely = probability.si() < 0.5 - 1e-9;
    let promised = !given.guard_band.given() && *given.guard == Guard::NinetyFive;
    // Where the other limit is near too, 1.645 u does not give what it promises.
    let short = promised && probability.si() < 0.95 - 1e-4;
    let verdict = match limits.verdict(value, guard) {
        Verdict::Conform if unlikely || short => Verdict::NotProven,
        verdict => verdict,
    };
    answer.verdict.put(verdict);
    answer.guard_band.put(T::from_si(guard));
    answer.accept_lower.put_some(limits.lower.map(|lower| T::from_si(lower + guard)));
    answer.accept_upper.put_some(limits.upper.map(|upper| T::from_si(upper - guard)));
    answer.conformance_probability.put(probability);
    if unlikely && limits.verdict(value, guard) == Verdict::Conform {
        answer.warn("The value is inside its limits, and the uncertainty is so large that it is more likely outside: no decision rule makes it conform.");
    }
    if short && limits.verdict(value, guard) == Verdict::Conform {
        answer.warn("Both limits are near for this uncertainty: 1.645 u inside them the chance that the value conforms is below 95 %.");
    }
    if verdict == Verdict::Conform && guard > 0.0 && probability.si() < 0.95 - 1e-9 {
        answer.warn(format!(
            "The guard band is narrow for this uncertainty: the chance that the value conforms is {:.0} %. Take guard=95 or the expanded uncertainty, or have both parties agree to the risk.",
            (100.0 * probability.si()).floor()
        ));
    }
    if let (Some(lower), Some(upper)) = (limits.lower, limits.upper) {
        let ratio = (upper - lower) / (4.0 * standard);
        answer.ratio.put(Number::from_si(ratio));
        if upper - lower <= 2.0 * guard {
            answer.warn("The uncertainty takes up the whole tolerance: nothing measured this way can be proven to conform. Use a better instrument.");
        } else if ratio < 4.0 - 1e-9 {
            answer
                .warn("The tolerance is less than four times the uncertainty; expect many undecided parts.");
        }
    }
    if verdict == Verdict::NotProven {
        answer.warn("Neither conformity nor nonconformity is proven: measure better, or agree on the decision with the customer.");
    }
    Ok(())
}

/// Coverage factor: k, or the normal quantile of a coverage probability.
fn coverage(k: Option<Number>, confidence: Option<Percent>) -> f64 {
    match (k, confidence) {
        (Some(k), _) => k.si(),
        (None, Some(level)) => coverage_factor(level, f64::INFINITY),
        (None, None) => 2.0,
    }
}

/// Standard uncertainty in SI units: given, the expanded one over its factor,
/// or what stands behind the value.
fn standard_uncertainty<T: Dimensioned>(
    given: &Decision<T>,
    coverage: f64,
    answer: &mut Decided<T>,
) -> Result<f64> {
    let behind = given.value.uncertainty();
    let stated = given.u.map(T::si).or(given.uncertainty.map(|expanded| expanded.si() / coverage));
    match stated {
        Some(_) if behind > 0.0 => Err(Trouble::impossible(
            "the value has a ± behind it and u or uncertainty is given too",
            "give the uncertainty once",
        )),
        Some(standard) => Ok(standard),
        None if behind > 0.0 => {
            let style = Style::of(T::KIND);
            let standard = T::from_si(behind).into();
            answer.note(format!(
                "The standard uncertainty {} is taken from the ± behind the value: a bare ± is a limit of error, u = limit / sqrt 3; with (k=2) behind it, an expanded uncertainty, u = U / 2.",
                style.fine_enough(standard).both(standard)
            ));
            Ok(behind)
        }
        None => Err(Trouble::Missing(vec![given.u.name()])),
    }
}

family! {
    /// A tolerance and the uncertainty it is checked with.
    reads Ratio<T> {
        optional tolerance: T in ABOVE_ZERO, "tolerance each way; or give lower and upper", "tol", "plus_minus";
        optional lower: T, "lower tolerance limit", "min", "low", "lsl";
        optional upper: T, "upper tolerance limit", "max", "high", "usl";
        optional u: T in ABOVE_ZERO, "standard uncertainty", "standard_uncertainty", "uc", "u_c", "sigma";
        optional uncertainty: T in ABOVE_ZERO, "expanded uncertainty, k = 2 unless k is given, instead of u",
            "expanded_uncertainty", "U", "u95", "expanded", "u_expanded";
        optional k: Number in within(1.0, 5.0, unit::ONE, ISO_14253),
            "coverage factor of the expanded uncertainty; 2 if absent", "coverage_factor", "coverage";
        optional confidence: Percent in within(50.0, 99.99, unit::PCT, ISO_14253),
            "coverage probability, instead of k; normal distribution, both sides", "confidence_level", "level";
        default wanted: Number = "4" in within(1.0, 100.0, unit::ONE, TUR).usually(3.0, 20.0, unit::ONE), "ratio that is asked for";
    }
    rules {
        one_of(tolerance, lower);
        at_most_one(tolerance, upper);
        together(lower, upper);
        ordered(lower, upper);
        one_of(uncertainty, u);
        at_most_one(k, confidence);
    }
}

family! {
    /// Whether an instrument is good enough for a tolerance.
    gives RatioAnswer<T> {
        ratio: Number, "test uncertainty ratio", "tolerance / (2 u)", TUR => .style(HUNDREDTH.down());
        sufficient: bool, "ratio is sufficient", "ratio >= wanted", TUR;
        uncertainty_allowed: T, "largest expanded uncertainty for the ratio, k = 2", "tolerance / wanted",
            TUR => .style(fine(T::KIND)).at_most();
    }
}

family! {
    reads Ratio<T> gives RatioAnswer<T> in Metrology by ratio;
    pub UNCERTAINTY_RATIO<Number> = "test-uncertainty-ratio":
        "ratio of a tolerance to the uncertainty it is checked with, in any one unit";
        also "tur", "accuracy-ratio";
        example "tolerance=10 uncertainty=2.5";
    pub LENGTH_RATIO<Length> = "length-uncertainty-ratio":
        "ratio of a length tolerance to the uncertainty it is checked with";
        example "tolerance=\"0.05 mm\" uncertainty=\"0.01 mm\"";
    pub ANGLE_RATIO<Angle> = "angle-uncertainty-ratio":
        "ratio of an angle tolerance to the uncertainty it is checked with";
        example "tolerance=\"0.5 deg\" uncertainty=\"0.1 deg\"";
    pub TORQUE_RATIO<Torque> = "torque-uncertainty-ratio":
        "ratio of a torque tolerance to the uncertainty it is checked with";
        example "tolerance=\"10 N·m\" uncertainty=\"2.5 N·m\"";
}

fn ratio<T: Dimensioned>(given: &Ratio<T>, answer: &mut RatioAnswer<T>) -> Result<()> {
    let tolerance = match *given.tolerance {
        Some(tolerance) => tolerance.si(),
        None => {
            let span = T::from_si(given.upper.need()?.si() - given.lower.need()?.si());
            ABOVE_ZERO.check("upper - lower", span.into())?;
            span.si() / 2.0
        }
    };
    let standard = match *given.u {
        Some(u) => u.si(),
        None => given.uncertainty.need()?.si() / coverage(*given.k, *given.confidence),
    };
    let ratio = tolerance / (2.0 * standard);
    let sufficient = ratio >= given.wanted.si() * (1.0 - 1e-9);
    answer.ratio.put(Number::from_si(ratio));
    answer.sufficient.put(sufficient);
    answer.uncertainty_allowed.put(T::from_si(tolerance / given.wanted.si()));
    if !sufficient {
        answer
            .warn("The ratio is too small: use a better instrument, or keep a guard band inside the limits.");
    }
    Ok(())
}

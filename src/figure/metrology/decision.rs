//! Deciding against a limit with uncertainty: conform, not conform, not proven.

use super::budget::coverage_factor;
use super::distribution::normal_below;
use crate::figure::{Answer, Family, Given, Group, Input, Need, Output, Trouble, Value, given};
use crate::quantity::{Angle, Dimensioned, Form, Kind, Length, Number, Percent, Style, Torque, unit};
use crate::source::Source;
pub use crate::term::Verdict;

const ISO_14253: Source =
    Source::standard("ISO 14253-1:2013", "5.2 and 5.3, limits reduced or widened by U").from_memory();
const JCGM_106: Source = Source::standard("JCGM 106:2012", "7.2 to 7.4, conformance probability");
const TUR: Source =
    Source::standard("ANSI/NCSL Z540.3", "test uncertainty ratio of at least 4").from_memory();
/// One-sided 95 per cent point of the normal distribution.
const NINETY_FIVE: f64 = 1.644_853_626_951_472_7;

/// Tolerance limits in SI units; one may be absent.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limits {
    /// Lower limit.
    pub lower: Option<f64>,
    /// Upper limit.
    pub upper: Option<f64>,
}

impl Limits {
    /// Verdict on a value with a guard band each way.
    ///
    /// Source: ISO 14253-1: conformity is proven inside the limits reduced by
    /// the guard band, nonconformity outside the limits widened by it.
    #[must_use]
    pub fn verdict(self, value: f64, guard: f64) -> Verdict {
        let room = 1e-12 * (value.abs() + guard);
        let inside = self.lower.is_none_or(|l| value >= l + guard - room)
            && self.upper.is_none_or(|u| value <= u - guard + room);
        let outside = self.lower.is_some_and(|l| value < l - guard - room)
            || self.upper.is_some_and(|u| value > u + guard + room);
        match (inside, outside) {
            (true, _) => Verdict::Conform,
            (_, true) => Verdict::NotConform,
            _ => Verdict::NotProven,
        }
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

macro_rules! decision_family {
    ($(#[$doc:meta])* $id:ident, $name:literal, $title:literal, $kind:ident, $style:expr, $example:literal) => {
        $(#[$doc])*
        pub static $id: Family = Family {
            name: $name,
            group: Group::Metrology,
            title: $title,
            inputs: &[
                Input::required("value", Kind::$kind, "measured value; ± behind it is a limit of error (rectangular), ± with (k=2) behind it an expanded uncertainty").also(&["measured", "measurement", "reading", "y"]),
                Input::optional("lower", Kind::$kind, "lower tolerance limit").also(&["min", "low", "lower_limit", "tl", "lsl"]),
                Input::optional("upper", Kind::$kind, "upper tolerance limit").also(&["max", "high", "upper_limit", "tu", "limit", "usl"]),
                Input::optional("nominal", Kind::$kind, "nominal value, with tolerance, instead of the limits").also(&["target"]),
                Input::optional("tolerance", Kind::$kind, "tolerance each way about nominal").also(&["tol", "plus_minus"]),
                Input::optional("u", Kind::$kind, "standard uncertainty").also(&["standard_uncertainty"]),
                Input::optional("uncertainty", Kind::$kind, "expanded uncertainty, k = 2 unless k is given, instead of u").also(&["expanded", "expanded_uncertainty", "U", "u95"]),
                Input::optional("k", Kind::Number, "coverage factor of the expanded uncertainty and of the guard band; 2 if absent").also(&["coverage_factor", "coverage"]),
                Input::optional("confidence", Kind::Percent, "coverage probability, instead of k; normal distribution, both sides").also(&["confidence_level", "level", "coverage_probability"]),
                Input::choice("guard", &["expanded", "95", "none"], Need::Default("expanded"), "guard band: U = k u, or 1.645 u for 95 % conformance probability, or none (shared risk)").also(&["rule", "edition", "decision_rule"]),
                Input::optional("guard_band", Kind::$kind, "width of the guard band, if it is agreed; wins over guard").also(&["guard_width", "g"]),
            ],
            outputs: &[
                Output::word("verdict", "verdict", "conform inside the limits reduced by the guard band, not conform outside them widened by it", ISO_14253),
                Output::new("guard_band", "guard band", Kind::$kind, "k u, 1.645 u, none, or as given", ISO_14253).style($style.up()),
                Output::new("accept_lower", "lower acceptance limit", Kind::$kind, "lower + guard_band", ISO_14253).style($style.up()),
                Output::new("accept_upper", "upper acceptance limit", Kind::$kind, "upper - guard_band", ISO_14253).style($style.down()),
                Output::new("conformance_probability", "probability of conformance", Kind::Percent, "Phi((upper - value)/u) - Phi((lower - value)/u)", JCGM_106)
                    .range("normal distribution, little earlier knowledge")
                    .style(Style::single(Form::decimal(unit::PCT, 0.01)).down()),
                Output::new("ratio", "test uncertainty ratio", Kind::Number, "(upper - lower) / (4 u)", TUR)
                    .style(Style::single(Form::decimal(unit::ONE, 0.01)).down()),
            ],
            example: $example,
            run: run::<$kind>,
        };
    };
}

const ANGLES: Style = Style::single(Form::decimal(unit::DEG, 0.01));
const LENGTHS: Style = Style::pair(Form::decimal(unit::IN, 0.0001), Form::decimal(unit::MM, 0.001));
const TORQUES: Style = Style::pair(Form::decimal(unit::LBF_FT, 0.01), Form::decimal(unit::N_M, 0.01));
const NUMBERS: Style = Style::single(Form::decimal(unit::ONE, 1e-4));

decision_family!(
    /// Decision in any unit, as plain numbers.
    DECISION,
    "decision",
    "whether a measured value conforms, in any one unit",
    Number,
    NUMBERS,
    "value=-5.47 upper=-5.40 u=0.05"
);
decision_family!(
    /// Decision on a length.
    LENGTH_DECISION,
    "length-decision",
    "whether a measured length conforms",
    Length,
    LENGTHS,
    "value=\"10.02 mm\" lower=\"9.95 mm\" upper=\"10.05 mm\" u=\"0.01 mm\""
);
decision_family!(
    /// Decision on an angle.
    ANGLE_DECISION,
    "angle-decision",
    "whether a measured angle conforms",
    Angle,
    ANGLES,
    "value=\"6.1 deg ± 0.2 deg\" lower=\"5.5 deg\" upper=\"6.5 deg\""
);
decision_family!(
    /// Decision on a torque.
    TORQUE_DECISION,
    "torque-decision",
    "whether a measured torque conforms",
    Torque,
    TORQUES,
    "value=\"92 lbf-ft\" lower=\"85 lbf-ft\" upper=\"95 lbf-ft\" uncertainty=\"3.7 lbf-ft\""
);

fn run<T: Dimensioned>(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let value: T = given.need("value")?;
    let mut limits =
        Limits { lower: given.maybe::<T>("lower")?.map(T::si), upper: given.maybe::<T>("upper")?.map(T::si) };
    if given.has("nominal") || given.has("tolerance") {
        if limits.lower.is_some() || limits.upper.is_some() {
            return Err(Trouble::impossible(
                "limits and nominal with tolerance are both given",
                "give lower and upper, or nominal and tolerance",
            ));
        }
        given.require(&["nominal", "tolerance"])?;
        let nominal = given.need::<T>("nominal")?.si();
        let each_way = given::positive("tolerance", given.need::<T>("tolerance")?)?.si();
        limits = Limits { lower: Some(nominal - each_way), upper: Some(nominal + each_way) };
    }
    match (limits.lower, limits.upper) {
        (None, None) => return Err(Trouble::Missing(vec!["lower", "upper"])),
        (Some(lower), Some(upper)) if lower >= upper => {
            return Err(Trouble::impossible(
                "the lower limit is not below the upper one",
                "check lower and upper",
            ));
        }
        _ => {}
    }
    // The probability and the acceptance limits are made of the uncertainty.
    answer.uncertainty_is_in();
    let coverage = coverage(given)?;
    let standard = standard_uncertainty::<T>(given, coverage, answer)?;
    let guard = match given.maybe::<T>("guard_band")? {
        Some(_) if given.has("guard") => {
            return Err(Trouble::impossible("guard and guard_band are both given", "give one of them"));
        }
        Some(width) if width.si() >= 0.0 => width.si(),
        Some(_) => return Err(Trouble::impossible("the guard band is negative", "give its width")),
        None => match given.maybe_word("guard")? {
            Some("95") => NINETY_FIVE * standard.si(),
            Some("none") => 0.0,
            _ => coverage * standard.si(),
        },
    };
    if guard == 0.0 {
        answer.warn("There is no guard band: near a limit up to half of the decisions are wrong, a risk both parties have to agree to.");
    }
    let verdict = limits.verdict(value.si(), guard);
    answer.put_word("verdict", verdict.word());
    answer.put("guard_band", T::from_si(guard));
    if let Some(lower) = limits.lower {
        answer.put("accept_lower", T::from_si(lower + guard));
    }
    if let Some(upper) = limits.upper {
        answer.put("accept_upper", T::from_si(upper - guard));
    }
    answer.put("conformance_probability", limits.conformance(value.si(), standard.si()));
    if let (Some(lower), Some(upper)) = (limits.lower, limits.upper) {
        let ratio = (upper - lower) / (4.0 * standard.si());
        answer.put("ratio", Number::from_si(ratio));
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
pub(super) fn coverage(given: &Given) -> Result<f64, Trouble> {
    let k: Option<Number> = given.maybe("k")?;
    match (k, given.maybe::<Percent>("confidence")?) {
        (Some(_), Some(_)) => Err(Trouble::impossible("k and confidence are both given", "give one of them")),
        (Some(k), None) => {
            given::within("k", k, unit::ONE, 1.0..=5.0, ISO_14253)?;
            Ok(k.si())
        }
        (None, Some(level)) => {
            given::within("confidence", level, unit::PCT, 50.0..=99.99, ISO_14253)?;
            Ok(coverage_factor(level, f64::INFINITY))
        }
        (None, None) => Ok(2.0),
    }
}

/// Standard uncertainty: given, the expanded one over its factor, or what
/// stands behind the value.
fn standard_uncertainty<T: Dimensioned>(
    given: &Given,
    coverage: f64,
    answer: &mut Answer,
) -> Result<T, Trouble> {
    let u: Option<T> = given.maybe("u")?;
    let expanded: Option<T> = given.maybe("uncertainty")?;
    let behind = match given.get("value") {
        Some(Value::Quantity { uncertainty, .. }) if *uncertainty > 0.0 => Some(*uncertainty),
        _ => None,
    };
    if behind.is_some() && (u.is_some() || expanded.is_some()) {
        return Err(Trouble::impossible(
            "the value has a ± behind it and u or uncertainty is given too",
            "give the uncertainty once",
        ));
    }
    match (u, expanded) {
        (Some(_), Some(_)) => {
            Err(Trouble::impossible("u and uncertainty are both given", "give one of them"))
        }
        (Some(u), None) => given::positive("u", u),
        (None, Some(expanded)) => Ok(T::from_si(given::positive("uncertainty", expanded)?.si() / coverage)),
        (None, None) => {
            let standard = T::from_si(behind.ok_or_else(|| Trouble::Missing(vec!["u"]))?);
            answer.note(format!(
                "The standard uncertainty {} is taken from the ± behind the value: a bare ± is a limit of error, u = limit / sqrt 3; with (k=2) behind it, an expanded uncertainty, u = U / 2.",
                Style::of(T::KIND).fine_enough(standard.into()).both(standard.into())
            ));
            Ok(standard)
        }
    }
}

macro_rules! ratio_family {
    ($(#[$doc:meta])* $id:ident, $name:literal, $title:literal, $kind:ident, $style:expr, $example:literal) => {
        $(#[$doc])*
        pub static $id: Family = Family {
            name: $name,
            group: Group::Metrology,
            title: $title,
            inputs: &[
                Input::optional("tolerance", Kind::$kind, "tolerance each way; or give lower and upper")
                    .also(&["tol", "plus_minus"]),
                Input::optional("lower", Kind::$kind, "lower tolerance limit").also(&["min", "low", "lsl"]),
                Input::optional("upper", Kind::$kind, "upper tolerance limit").also(&["max", "high", "usl"]),
                Input::optional("u", Kind::$kind, "standard uncertainty").also(&["standard_uncertainty"]),
                Input::optional("uncertainty", Kind::$kind, "expanded uncertainty, k = 2 unless k is given, instead of u")
                    .also(&["expanded_uncertainty", "U", "u95", "expanded", "u_expanded"]),
                Input::optional("k", Kind::Number, "coverage factor of the expanded uncertainty; 2 if absent")
                    .also(&["coverage_factor", "coverage"]),
                Input::optional("confidence", Kind::Percent, "coverage probability, instead of k; normal distribution, both sides")
                    .also(&["confidence_level", "level"]),
                Input::defaulted("wanted", Kind::Number, "4", "ratio that is asked for"),
            ],
            outputs: &[
                Output::new("ratio", "test uncertainty ratio", Kind::Number, "tolerance / (2 u)", TUR)
                    .style(Style::single(Form::decimal(unit::ONE, 0.01)).down()),
                Output::flag("sufficient", "ratio is sufficient", "ratio >= wanted", TUR),
                Output::new("uncertainty_allowed", "largest expanded uncertainty for the ratio, k = 2", Kind::$kind, "tolerance / wanted", TUR)
                    .style($style.down()),
            ],
            example: $example,
            run: run_ratio::<$kind>,
        };
    };
}

ratio_family!(
    /// Ratio in any one unit, as plain numbers.
    UNCERTAINTY_RATIO,
    "test-uncertainty-ratio",
    "ratio of a tolerance to the uncertainty it is checked with, in any one unit",
    Number,
    NUMBERS,
    "tolerance=10 uncertainty=2.5"
);
ratio_family!(
    /// Ratio of lengths.
    LENGTH_RATIO,
    "length-uncertainty-ratio",
    "ratio of a length tolerance to the uncertainty it is checked with",
    Length,
    LENGTHS,
    "tolerance=\"0.05 mm\" uncertainty=\"0.01 mm\""
);
ratio_family!(
    /// Ratio of angles.
    ANGLE_RATIO,
    "angle-uncertainty-ratio",
    "ratio of an angle tolerance to the uncertainty it is checked with",
    Angle,
    ANGLES,
    "tolerance=\"0.5 deg\" uncertainty=\"0.1 deg\""
);
ratio_family!(
    /// Ratio of torques.
    TORQUE_RATIO,
    "torque-uncertainty-ratio",
    "ratio of a torque tolerance to the uncertainty it is checked with",
    Torque,
    TORQUES,
    "tolerance=\"10 N·m\" uncertainty=\"2.5 N·m\""
);

fn run_ratio<T: Dimensioned>(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let tolerance: f64 = match given.maybe::<T>("tolerance")? {
        Some(_) if given.has("lower") || given.has("upper") => {
            return Err(Trouble::impossible("limits and tolerance are both given", "give one or the other"));
        }
        Some(tolerance) => given::positive("tolerance", tolerance)?.si(),
        None if given.has("lower") || given.has("upper") => {
            given.require(&["lower", "upper"])?;
            let span = T::from_si(given.need::<T>("upper")?.si() - given.need::<T>("lower")?.si());
            given::positive("upper - lower", span)?.si() / 2.0
        }
        None => return Err(Trouble::Missing(vec!["tolerance"])),
    };
    let standard = match (given.maybe::<T>("u")?, given.maybe::<T>("uncertainty")?) {
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible("u and uncertainty are both given", "give one of them"));
        }
        (Some(u), None) => given::positive("u", u)?.si(),
        (None, Some(expanded)) => given::positive("uncertainty", expanded)?.si() / coverage(given)?,
        (None, None) => return Err(Trouble::Missing(vec!["uncertainty"])),
    };
    let wanted: Number = given::positive("wanted", given.or("wanted", Number::from_si(4.0))?)?;
    let ratio = tolerance / (2.0 * standard);
    let sufficient = ratio >= wanted.si() * (1.0 - 1e-9);
    answer.put("ratio", Number::from_si(ratio));
    answer.put_flag("sufficient", sufficient);
    answer.put("uncertainty_allowed", T::from_si(tolerance / wanted.si()));
    if !sufficient {
        answer
            .warn("The ratio is too small: use a better instrument, or keep a guard band inside the limits.");
    }
    Ok(())
}

//! Deciding against a limit with uncertainty: conform, not conform, not proven.

use super::distribution::normal_below;
use crate::figure::{Answer, Family, Given, Group, Input, Need, Output, Trouble, Value, given};
use crate::quantity::{Angle, Dimensioned, Form, Kind, Length, Number, Percent, Style, Torque, unit};
use crate::source::Source;

const ISO_14253: Source =
    Source::standard("ISO 14253-1:2013", "5.2 and 5.3, limits reduced or widened by U").from_memory();
const JCGM_106: Source = Source::standard("JCGM 106:2012", "7.2 to 7.4, conformance probability");
const TUR: Source =
    Source::standard("ANSI/NCSL Z540.3", "test uncertainty ratio of at least 4").from_memory();
/// One-sided 95 per cent point of the normal distribution.
const NINETY_FIVE: f64 = 1.644_853_626_951_472_7;

/// Outcome of a decision.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Proven inside.
    Conform,
    /// Proven outside.
    NotConform,
    /// Neither is proven.
    NotProven,
}

impl Verdict {
    /// Word on the page.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Verdict::Conform => "conform",
            Verdict::NotConform => "not conform",
            Verdict::NotProven => "not proven",
        }
    }
}

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
                Input::required("value", Kind::$kind, "measured value; its uncertainty may stand behind it as ±").also(&["measured", "measurement", "reading", "y"]),
                Input::optional("lower", Kind::$kind, "lower tolerance limit").also(&["min", "low", "lower_limit", "tl", "lsl"]),
                Input::optional("upper", Kind::$kind, "upper tolerance limit").also(&["max", "high", "upper_limit", "tu", "limit", "usl"]),
                Input::optional("nominal", Kind::$kind, "nominal value, with tolerance, instead of the limits").also(&["target"]),
                Input::optional("tolerance", Kind::$kind, "tolerance each way about nominal").also(&["tol", "plus_minus"]),
                Input::optional("u", Kind::$kind, "standard uncertainty").also(&["standard_uncertainty"]),
                Input::optional("uncertainty", Kind::$kind, "expanded uncertainty, k = 2, instead of u").also(&["expanded", "expanded_uncertainty", "U", "u95"]),
                Input::choice("guard", &["expanded", "95"], Need::Default("expanded"), "guard band: U with k = 2, or 1.645 u for 95 % conformance probability").also(&["rule", "guard_band", "edition"]),
            ],
            outputs: &[
                Output::word("verdict", "verdict", "conform inside the limits reduced by the guard band, not conform outside them widened by it", ISO_14253),
                Output::new("guard_band", "guard band", Kind::$kind, "2 u, or 1.645 u", ISO_14253).style($style.up()),
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
    let standard = standard_uncertainty::<T>(given)?;
    let factor = if given.maybe_word("guard")? == Some("95") { NINETY_FIVE } else { 2.0 };
    let guard = factor * standard.si();
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

/// Standard uncertainty: given, half the expanded one, or what stands behind
/// the value.
fn standard_uncertainty<T: Dimensioned>(given: &Given) -> Result<T, Trouble> {
    let u: Option<T> = given.maybe("u")?;
    let expanded: Option<T> = given.maybe("uncertainty")?;
    match (u, expanded) {
        (Some(_), Some(_)) => {
            Err(Trouble::impossible("u and uncertainty are both given", "give one of them"))
        }
        (Some(u), None) => given::positive("u", u),
        (None, Some(expanded)) => Ok(T::from_si(given::positive("uncertainty", expanded)?.si() / 2.0)),
        (None, None) => match given.get("value") {
            Some(Value::Quantity { uncertainty, .. }) if *uncertainty > 0.0 => Ok(T::from_si(*uncertainty)),
            _ => Err(Trouble::Missing(vec!["u"])),
        },
    }
}

/// Test uncertainty ratio.
pub static UNCERTAINTY_RATIO: Family = Family {
    name: "test-uncertainty-ratio",
    group: Group::Metrology,
    title: "ratio of a tolerance to the uncertainty it is checked with, in one unit",
    inputs: &[
        Input::optional("tolerance", Kind::Number, "tolerance each way; or give lower and upper")
            .also(&["tol", "plus_minus"]),
        Input::optional("lower", Kind::Number, "lower tolerance limit").also(&["min", "low", "lsl"]),
        Input::optional("upper", Kind::Number, "upper tolerance limit").also(&["max", "high", "usl"]),
        Input::required("uncertainty", Kind::Number, "expanded uncertainty, k = 2").also(&[
            "expanded_uncertainty",
            "u",
            "u95",
            "expanded",
            "u_expanded",
        ]),
        Input::defaulted("wanted", Kind::Number, "4", "ratio that is asked for"),
    ],
    outputs: &[
        Output::new("ratio", "test uncertainty ratio", Kind::Number, "tolerance / uncertainty", TUR)
            .style(Style::single(Form::decimal(unit::ONE, 0.01)).down()),
        Output::flag("sufficient", "ratio is sufficient", "ratio >= wanted", TUR),
        Output::new(
            "uncertainty_allowed",
            "largest uncertainty for the ratio",
            Kind::Number,
            "tolerance / wanted",
            TUR,
        )
        .style(Style::single(Form::decimal(unit::ONE, 1e-4)).down()),
    ],
    example: "tolerance=10 uncertainty=2.5",
    run: run_ratio,
};

fn run_ratio(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let tolerance: Number = match given.maybe::<Number>("tolerance")? {
        Some(tolerance) => given::positive("tolerance", tolerance)?,
        None if given.has("lower") || given.has("upper") => {
            given.require(&["lower", "upper"])?;
            let span = given.need::<Number>("upper")? - given.need::<Number>("lower")?;
            given::positive("upper - lower", span)? / 2.0
        }
        None => return Err(Trouble::Missing(vec!["tolerance"])),
    };
    let uncertainty: Number = given::positive("uncertainty", given.need("uncertainty")?)?;
    let wanted: Number = given::positive("wanted", given.or("wanted", Number::from_si(4.0))?)?;
    let ratio = tolerance / uncertainty;
    let sufficient = ratio >= wanted.si() * (1.0 - 1e-9);
    answer.put("ratio", Number::from_si(ratio));
    answer.put_flag("sufficient", sufficient);
    answer.put("uncertainty_allowed", tolerance / wanted.si());
    if !sufficient {
        answer
            .warn("The ratio is too small: use a better instrument, or keep a guard band inside the limits.");
    }
    Ok(())
}

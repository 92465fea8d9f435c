//! Combining standard uncertainties: the root sum of squares, effective
//! degrees of freedom and the coverage factor.

use super::distribution::student_quantile;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Angle, Dimensioned, Form, Kind, Length, Number, Percent, Style, Torque, unit};
use crate::source::Source;

/// Law of propagation.
pub(super) const GUM_10: Source = Source::standard("JCGM 100:2008", "5.1.2, eq. 10");
/// Effective degrees of freedom.
pub(super) const GUM_G2: Source = Source::standard("JCGM 100:2008", "G.4.1, eq. G.2b");
/// Expanded uncertainty.
pub(super) const GUM_G3: Source = Source::standard("JCGM 100:2008", "G.3 and G.6.4, t quantile");
const PLAIN: Style = Style::single(Form::decimal(unit::ONE, 1e-6));
const HUNDREDTH: Style = Style::single(Form::decimal(unit::ONE, 0.01));

/// Confidence at which an infinite number of degrees of freedom gives k = 2.
pub(super) const TWO_SIGMA: f64 = 0.954_499_736_103_641_6;

/// One component: its standard uncertainty, already times its sensitivity, and
/// its degrees of freedom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Component {
    /// Standard uncertainty times sensitivity, in the unit of the result.
    pub standard: f64,
    /// Degrees of freedom; infinite for a type B estimate taken as exact.
    pub dof: f64,
}

/// What a budget comes to.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Combined {
    /// Combined standard uncertainty.
    pub standard: f64,
    /// Effective degrees of freedom, Welch-Satterthwaite.
    pub dof: f64,
    /// Coverage factor for the wanted confidence, degrees of freedom cut to
    /// the next lower whole number.
    pub coverage: f64,
    /// Expanded uncertainty.
    pub expanded: f64,
}

/// Combines independent components.
///
/// Source: JCGM 100:2008 eq. 10 and G.2b.
#[must_use]
pub fn combine(components: &[Component], confidence: Percent) -> Combined {
    let square: f64 = components.iter().map(|c| c.standard * c.standard).sum();
    let standard = square.sqrt();
    let fourth: f64 = components
        .iter()
        .filter(|c| c.dof.is_finite())
        .map(|c| c.standard * c.standard * c.standard * c.standard / c.dof)
        .sum();
    let dof = if fourth > 0.0 { square * square / fourth } else { f64::INFINITY };
    let coverage = coverage_factor(confidence, dof);
    Combined { standard, dof, coverage, expanded: coverage * standard }
}

/// Two-sided coverage factor: the t quantile at the whole number of degrees of
/// freedom not above `dof` (JCGM 100 G.4.1).
#[must_use]
pub fn coverage_factor(confidence: Percent, dof: f64) -> f64 {
    // Room for a figure that should be whole and is a hair below.
    let whole = if dof.is_finite() { (dof + 1e-9).floor().max(1.0) } else { dof };
    student_quantile(0.5 * (1.0 + confidence.si()), whole)
}

/// A confidence from an input, default k = 2.
///
/// # Errors
/// Outside 50 to 99.99 %.
pub(super) fn confidence(given: &Given) -> Result<Percent, Trouble> {
    let confidence: Percent = given.or("confidence", Percent::from_si(TWO_SIGMA))?;
    given::within("confidence", confidence, unit::PCT, 50.0..=99.99, GUM_G3)?;
    Ok(confidence)
}

/// The confidence input.
pub(super) const CONFIDENCE: Input = Input::defaulted(
    "confidence",
    Kind::Percent,
    "95.45 %, which is k = 2 for many degrees of freedom",
    "coverage probability",
)
.also(&["level", "p", "coverage"]);

macro_rules! budget_family {
    ($(#[$doc:meta])* $id:ident, $name:literal, $title:literal, $kind:ident, $style:expr, $example:literal) => {
        $(#[$doc])*
        pub static $id: Family = Family {
            name: $name,
            declared: Declared::OLD,
            group: Group::Metrology,
            title: $title,
            inputs: &[
                Input::list("u", Kind::$kind, Need::Required, "standard uncertainty of each component")
                    .also(&["components", "uncertainties", "standard"]),
                Input::list("sensitivity", Kind::Number, Need::Optional, "sensitivity of each component; without it 1")
                    .also(&["c", "sensitivities"]),
                Input::list("dof", Kind::Number, Need::Optional, "degrees of freedom of each component; 0 or inf means infinite")
                    .also(&["degrees_of_freedom", "nu"]),
                Input::optional("k", Kind::Number, "coverage factor, instead of confidence").also(&["coverage_factor"]),
                CONFIDENCE,
            ],
            outputs: &[
                Output::list("contributions", "contribution of each component", Kind::$kind, "|c| u", GUM_10)
                    .style($style),
                Output::new("u_combined", "combined standard uncertainty", Kind::$kind, "sqrt(sum of contributions squared)", GUM_10)
                    .style($style),
                Output::new("effective_dof", "effective degrees of freedom", Kind::Number, "u_combined^4 / sum(contribution^4 / dof)", GUM_G2)
                    .style(HUNDREDTH.down()),
                Output::new("coverage_factor", "coverage factor k", Kind::Number, "t quantile at the whole degrees of freedom, or as given", GUM_G3)
                    .style(HUNDREDTH),
                Output::new("uncertainty", "expanded uncertainty", Kind::$kind, "k u_combined", GUM_G3)
                    .style($style.up()),
            ],
            example: $example,
            run: run_budget::<$kind>,
        };
    };
}

budget_family!(
    /// Uncertainty budget in any one unit, as plain numbers.
    UNCERTAINTY_BUDGET,
    "uncertainty-budget",
    "combined and expanded uncertainty of independent components in any one unit",
    Number,
    PLAIN,
    "u=\"25, 9.68, 2.90, 16.68\" dof=\"18, 25.4, 50, 2\" confidence=\"99 %\""
);
budget_family!(
    /// Uncertainty budget of a length.
    LENGTH_BUDGET,
    "length-budget",
    "combined and expanded uncertainty of independent components of a length",
    Length,
    Style::pair(Form::decimal(unit::IN, 1e-5), Form::decimal(unit::MM, 1e-4)),
    "u=\"0.1, 0.2 mm\" k=2"
);
budget_family!(
    /// Uncertainty budget of an angle.
    ANGLE_BUDGET,
    "angle-budget",
    "combined and expanded uncertainty of independent components of an angle",
    Angle,
    Style::single(Form::decimal(unit::DEG, 1e-4)),
    "u=\"0.06, 0.03 deg\" k=2"
);
budget_family!(
    /// Uncertainty budget of a torque.
    TORQUE_BUDGET,
    "torque-budget",
    "combined and expanded uncertainty of independent components of a torque",
    Torque,
    Style::pair(Form::decimal(unit::LBF_FT, 0.001), Form::decimal(unit::N_M, 0.001)),
    "u=\"1.73, 0.29 lbf-ft\" k=2"
);

/// The result with a coverage factor given outright, if there is one.
pub(super) fn with_given_factor(given: &Given, combined: Combined) -> Result<Combined, Trouble> {
    let Some(k) = given.maybe::<Number>("k")? else { return Ok(combined) };
    if given.has("confidence") {
        return Err(Trouble::impossible("k and confidence are both given", "give one of them"));
    }
    given::within("k", k, unit::ONE, 1.0..=20.0, GUM_G3)?;
    Ok(Combined { coverage: k.si(), expanded: k.si() * combined.standard, ..combined })
}

fn run_budget<T: Dimensioned>(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let standard: Vec<T> = given.list("u")?;
    let sensitivity: Vec<Number> = given.list("sensitivity")?;
    let dof: Vec<Number> = given.list("dof")?;
    if standard.is_empty() {
        return Err(Trouble::Missing(vec!["u"]));
    }
    for (name, list) in [("sensitivity", &sensitivity), ("dof", &dof)] {
        if !list.is_empty() && list.len() != standard.len() {
            return Err(Trouble::impossible(
                format!("{name} has {} values, u has {}", list.len(), standard.len()),
                "give one for each component",
            ));
        }
    }
    if standard.iter().any(|u| u.si() < 0.0) || dof.iter().any(|n| n.si() < 0.0) {
        return Err(Trouble::impossible(
            "an uncertainty or degrees of freedom can't be negative",
            "check u and dof",
        ));
    }
    let components: Vec<Component> = standard
        .iter()
        .enumerate()
        .map(|(i, u)| Component {
            standard: u.si() * sensitivity.get(i).map_or(1.0, |c| c.si().abs()),
            dof: dof.get(i).map(|n| n.si()).filter(|n| *n > 0.0).unwrap_or(f64::INFINITY),
        })
        .collect();
    let combined = with_given_factor(given, combine(&components, confidence(given)?))?;
    answer.put_list("contributions", components.iter().map(|c| T::from_si(c.standard)));
    answer.put("u_combined", T::from_si(combined.standard));
    if combined.dof.is_finite() {
        answer.put("effective_dof", Number::from_si(combined.dof));
    }
    answer.put("coverage_factor", Number::from_si(combined.coverage));
    answer.put("uncertainty", T::from_si(combined.expanded));
    Ok(())
}

/// Coverage factor.
pub static COVERAGE_FACTOR: Family = Family {
    name: "coverage-factor",
    declared: Declared::OLD,
    group: Group::Metrology,
    title: "coverage factor for a confidence and degrees of freedom",
    inputs: &[
        CONFIDENCE,
        Input::optional("dof", Kind::Number, "degrees of freedom; without it, or 0 or inf, infinite")
            .also(&["degrees_of_freedom", "nu"]),
    ],
    outputs: &[
        Output::new(
            "coverage_factor",
            "two-sided coverage factor",
            Kind::Number,
            "t quantile at (1 + confidence)/2",
            GUM_G3,
        )
        .style(Style::single(Form::decimal(unit::ONE, 0.001))),
        Output::new("one_sided", "one-sided factor", Kind::Number, "t quantile at confidence", GUM_G3)
            .style(Style::single(Form::decimal(unit::ONE, 0.001))),
    ],
    example: "confidence=\"95 %\" dof=10",
    run: run_coverage,
};

fn run_coverage(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let confidence = confidence(given)?;
    let dof = match given.maybe::<Number>("dof")? {
        Some(dof) if dof.si() == 0.0 => f64::INFINITY,
        Some(dof) => {
            given::within("dof", dof, unit::ONE, 1.0..=1e9, GUM_G3)?;
            dof.si()
        }
        None => f64::INFINITY,
    };
    answer.put("coverage_factor", Number::from_si(coverage_factor(confidence, dof)));
    let whole = if dof.is_finite() { (dof + 1e-9).floor() } else { dof };
    answer.put("one_sided", Number::from_si(student_quantile(confidence.si(), whole)));
    Ok(())
}

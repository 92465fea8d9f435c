//! Combining standard uncertainties: the root sum of squares, effective
//! degrees of freedom and the coverage factor.

use super::distribution::student_quantile;
use crate::figure::prelude::*;

/// Law of propagation.
pub(super) const GUM_10: Source = Source::standard("JCGM 100:2008", "5.1.2, eq. 10");
/// Effective degrees of freedom.
pub(super) const GUM_G2: Source = Source::standard("JCGM 100:2008", "G.4.1, eq. G.2b");
/// Expanded uncertainty.
pub(super) const GUM_G3: Source = Source::standard("JCGM 100:2008", "G.3 and G.6.4, t quantile");

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

/// Style of an uncertainty of this kind: fine enough for its second digit.
const fn fine(kind: Kind) -> Style {
    match kind {
        Kind::Angle => Style::single(Form::decimal(unit::DEG, 1e-4)),
        Kind::Length => Style::pair(Form::decimal(unit::IN, 1e-5), Form::decimal(unit::MM, 1e-4)),
        Kind::Torque => Style::pair(Form::decimal(unit::LBF_FT, 0.001), Form::decimal(unit::N_M, 0.001)),
        _ => Style::single(Form::decimal(unit::ONE, 1e-6)),
    }
}

family! {
    /// Independent components of an uncertainty.
    reads Budget<T> {
        list u: T in NOT_NEGATIVE, "standard uncertainty of each component", "components", "values", "uncertainties",
            "standard";
        many sensitivity: Number, "sensitivity of each component; without it 1", "c", "sensitivities";
        many dof: Number in NOT_NEGATIVE.endless(), "degrees of freedom of each component; 0 or inf means infinite",
            "degrees_of_freedom", "nu";
        optional k: Number in within(1.0, 20.0, unit::ONE, GUM_G3), "coverage factor, instead of confidence",
            "coverage_factor";
        fallback confidence: Percent = "95.45 %, which is k = 2 for many degrees of freedom"
            in within(50.0, 99.99, unit::PCT, GUM_G3), "coverage probability", "level", "p", "coverage";
    }
    rules { at_most_one(k, confidence); }
}

family! {
    /// Combined and expanded uncertainty.
    gives BudgetAnswer<T> {
        contributions: Vec<T>, "contribution of each component", "|c| u", GUM_10 => .style(fine(T::KIND));
        u_combined: T, "combined standard uncertainty", "sqrt(sum of contributions squared)",
            GUM_10 => .style(fine(T::KIND));
        effective_dof: Number, "effective degrees of freedom", "u_combined^4 / sum(contribution^4 / dof)",
            GUM_G2 => .style(HUNDREDTH.down());
        coverage_factor: Number, "coverage factor k", "t quantile at the whole degrees of freedom, or as given",
            GUM_G3 => .style(HUNDREDTH);
        uncertainty: T, "expanded uncertainty", "k u_combined", GUM_G3 => .style(fine(T::KIND).up());
    }
}

family! {
    reads Budget<T> gives BudgetAnswer<T> in Metrology by budget;
    pub UNCERTAINTY_BUDGET<Number> = "uncertainty-budget":
        "combined and expanded uncertainty of independent components in any one unit";
        also "gum", "error-propagation", "measurement-uncertainty", "budget", "combined-uncertainty", "uncertainty-propagation";
        asked uncertainty;
        example "u=\"25, 9.68, 2.90, 16.68\" dof=\"18, 25.4, 50, 2\" confidence=\"99 %\"";
    pub LENGTH_BUDGET<Length> = "length-budget":
        "combined and expanded uncertainty of independent components of a length";
        asked uncertainty;
        example "u=\"0.1, 0.2 mm\" k=2";
    pub ANGLE_BUDGET<Angle> = "angle-budget":
        "combined and expanded uncertainty of independent components of an angle";
        asked uncertainty;
        example "u=\"0.06, 0.03 deg\" k=2";
    pub TORQUE_BUDGET<Torque> = "torque-budget":
        "combined and expanded uncertainty of independent components of a torque";
        asked uncertainty;
        example "u=\"1.73, 0.29 lbf-ft\" k=2";
}

fn budget<T: Dimensioned>(given: &Budget<T>, answer: &mut BudgetAnswer<T>) -> Result<()> {
    let count = given.u.len();
    for (name, length) in [("sensitivity", given.sensitivity.len()), ("dof", given.dof.len())] {
        if length != 0 && length != count {
            return Err(Trouble::impossible(
                format!("{name} has {length} values, u has {count}"),
                "give one for each component",
            ));
        }
    }
    let components: Vec<Component> = given
        .u
        .iter()
        .enumerate()
        .map(|(i, u)| Component {
            standard: u.si() * given.sensitivity.get(i).map_or(1.0, |c| c.si().abs()),
            dof: given.dof.get(i).map(|n| n.si()).filter(|n| *n > 0.0).unwrap_or(f64::INFINITY),
        })
        .collect();
    let confidence = given.confidence.unwrap_or(Percent::from_si(TWO_SIGMA));
    let combined = with_factor(combine(&components, confidence), *given.k);
    answer.contributions.list(components.iter().map(|c| T::from_si(c.standard)));
    answer.u_combined.put(T::from_si(combined.standard));
    answer.effective_dof.put_some(combined.dof.is_finite().then(|| Number::from_si(combined.dof)));
    answer.coverage_factor.put(Number::from_si(combined.coverage));
    answer.uncertainty.put(T::from_si(combined.expanded));
    Ok(())
}

/// The result with a coverage factor given outright, if there is one.
pub(super) fn with_factor(combined: Combined, k: Option<Number>) -> Combined {
    match k {
        Some(k) => Combined { coverage: k.si(), expanded: k.si() * combined.standard, ..combined },
        None => combined,
    }
}

family! {
    pub COVERAGE_FACTOR = "coverage-factor" in Metrology:
        "coverage factor for a confidence and degrees of freedom";
    also "t-factor", "expanded-uncertainty", "k-coverage";
    reads CoverageFactor {
        fallback confidence: Percent = "95.45 %, which is k = 2 for many degrees of freedom"
            in within(50.0, 99.99, unit::PCT, GUM_G3), "coverage probability", "level", "p", "coverage";
        optional dof: Number in within(0.0, 1e9, unit::ONE, GUM_G3).endless(),
            "degrees of freedom; without it, or 0 or inf, infinite", "degrees_of_freedom", "nu", "v";
    }
    gives CoverageFactorAnswer {
        coverage_factor: Number, "two-sided coverage factor", "t quantile at (1 + confidence)/2",
            GUM_G3 => .style(THOUSANDTH);
        one_sided: Number, "one-sided factor", "t quantile at confidence", GUM_G3 => .style(THOUSANDTH);
    }
    example "confidence=\"95 %\" dof=10";
    by coverage
}

fn coverage(given: &CoverageFactor, answer: &mut CoverageFactorAnswer) -> Result<()> {
    let confidence = given.confidence.unwrap_or(Percent::from_si(TWO_SIGMA));
    let dof = given.dof.map(|dof| dof.si()).filter(|dof| *dof != 0.0).unwrap_or(f64::INFINITY);
    (dof < 1.0).refuse("less than one degree of freedom says nothing", "check dof")?;
    answer.coverage_factor.put(Number::from_si(coverage_factor(confidence, dof)));
    let whole = if dof.is_finite() { (dof + 1e-9).floor() } else { dof };
    answer.one_sided.put(Number::from_si(student_quantile(confidence.si(), whole)));
    Ok(())
}

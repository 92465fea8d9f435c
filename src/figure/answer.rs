//! What a family's function writes its results into.

use std::collections::BTreeMap;

use super::{Said, Value};
use crate::quantity::Style;
use crate::source::Source;

/// A verdict and the margin it rests on.
#[derive(Debug, Clone)]
pub(super) struct Judged {
    /// How far inside the limit, in SI units.
    pub(super) margin: f64,
    /// What the verdict is where neither is proven.
    pub(super) open: Value,
}

/// How an output came about, where that differs from what is declared.
#[derive(Debug, Clone, Default)]
pub(super) struct How {
    pub(super) formula: Option<String>,
    pub(super) source: Option<Source>,
    pub(super) style: Option<Style>,
}

/// One output as it was given.
#[derive(Debug, Clone)]
pub(super) struct Row {
    pub(super) id: &'static str,
    pub(super) value: Value,
    /// A setting that was decided on, without an uncertainty of its own.
    pub(super) decided: bool,
    pub(super) judged: Option<Judged>,
    pub(super) how: How,
}

/// Results in declared order and what goes with them.
#[derive(Debug, Clone, Default)]
pub struct Answer {
    pub(super) rows: Vec<Row>,
    pub(super) said: Said,
    /// What an earlier run decided.
    pub(super) held: BTreeMap<&'static str, Value>,
    /// Expanded uncertainties (k = 2) in SI units, once they are known.
    pub(super) known: BTreeMap<&'static str, f64>,
}

impl Answer {
    /// Empty, for a run that keeps to what `earlier` decided.
    #[must_use]
    pub(super) fn holding(earlier: &Answer) -> Self {
        let decided = earlier.rows.iter().filter(|row| row.decided);
        Self { held: decided.map(|row| (row.id, row.value.clone())).collect(), ..Self::default() }
    }

    /// Empty, for a last run that knows the expanded uncertainty (k = 2) of what
    /// it gives: verdicts are reached with the uncertainty of what they judge.
    #[must_use]
    pub(super) fn knowing(earlier: &Answer, spread: &BTreeMap<usize, f64>) -> Self {
        let known = earlier.rows.iter().enumerate();
        let known = known.filter_map(|(i, row)| Some((row.id, 2.0 * spread.get(&i)?))).collect();
        Self { known, ..Self::holding(earlier) }
    }

    /// The output of this id, if it was given.
    pub(super) fn row(&self, id: &str) -> Option<&Row> {
        self.rows.iter().find(|row| row.id == id)
    }

    /// Whether another run gave the same results, by the same formulas, with the
    /// same to heed.
    #[must_use]
    pub(super) fn says_the_same(&self, other: &Answer) -> bool {
        let same = |(a, b): (&Row, &Row)| {
            a.id == b.id
                && a.value == b.value
                && a.how.formula == b.how.formula
                && a.how.source == b.how.source
        };
        self.rows.len() == other.rows.len()
            && self.rows.iter().zip(&other.rows).all(same)
            && self.said.warnings().eq(other.said.warnings())
    }
}

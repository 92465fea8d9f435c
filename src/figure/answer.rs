//! What a family's function writes its results into.

use std::collections::BTreeMap;

use super::Value;
use super::gives::Judged;
use crate::quantity::Style;
use crate::source::Source;

/// Results by output id, with warnings and the formula or source actually used
/// where a family has several.
#[derive(Debug, Clone, Default)]
pub struct Answer {
    pub(super) values: Vec<(&'static str, Value)>,
    pub(super) warnings: Vec<String>,
    pub(super) notes: Vec<String>,
    pub(super) formulas: BTreeMap<&'static str, String>,
    pub(super) sources: BTreeMap<&'static str, Source>,
    pub(super) settled: bool,
    pub(super) styles: BTreeMap<&'static str, Style>,
    pub(super) decided: BTreeMap<&'static str, Value>,
    pub(super) held: BTreeMap<&'static str, Value>,
    pub(super) known: BTreeMap<&'static str, f64>,
    pub(super) judged: BTreeMap<&'static str, Judged>,
}

impl Answer {
    /// Empty, for a run that keeps to what `earlier` decided.
    #[must_use]
    pub(super) fn holding(earlier: &Answer) -> Self {
        Self { held: earlier.decided.clone(), ..Self::default() }
    }

    /// Whether another run gave the same results, by the same formulas, with the
    /// same to heed.
    #[must_use]
    pub(super) fn says_the_same(&self, other: &Answer) -> bool {
        self.values == other.values
            && self.warnings == other.warnings
            && self.formulas == other.formulas
            && self.sources == other.sources
    }

    /// Empty, for a last run that knows the expanded uncertainty (k = 2) of what
    /// it gives: verdicts are reached with the uncertainty of what they judge.
    #[must_use]
    pub(super) fn knowing(earlier: &Answer, spread: &BTreeMap<usize, f64>) -> Self {
        let known = earlier.values.iter().enumerate();
        let known = known.filter_map(|(i, (id, _))| Some((*id, 2.0 * spread.get(&i)?))).collect();
        Self { known, ..Self::holding(earlier) }
    }

    /// Adds a warning: shown on the page and on the terminal.
    pub fn warn(&mut self, text: impl Into<String>) {
        let text = text.into();
        if !self.warnings.contains(&text) {
            self.warnings.push(text);
        }
    }

    /// Says that the outputs contain the uncertainty of the inputs already, so
    /// that it must not be carried to them once more.
    pub fn uncertainty_is_in(&mut self) {
        self.settled = true;
    }

    /// Adds a remark that goes with the method whatever the inputs are. It
    /// stands with the warnings wherever the figure itself is shown, and is
    /// left out of a job's list of warnings, where it would hide the others.
    pub fn note(&mut self, text: impl Into<String>) {
        let text = text.into();
        self.notes.push(text.clone());
        self.warnings.push(text);
    }

    /// Says which formula gave an output, where the declared one has branches.
    pub fn formula(&mut self, id: &'static str, formula: impl Into<String>) {
        self.formulas.insert(id, formula.into());
    }

    /// Says how an output is shown, where that depends on where it comes from.
    pub fn style(&mut self, id: &'static str, style: Style) {
        self.styles.insert(id, style);
    }

    /// Says which source gave an output, where it depends on the inputs.
    pub fn source(&mut self, id: &'static str, source: Source) {
        self.sources.insert(id, source);
    }
}

//! Typed outputs: what a row of `gives` becomes.

use super::answer::{How, Judged, Row};
use super::{Answer, Held, Output, OutputKind, Trouble, Value};
use crate::quantity::{Dimensioned, Style};
use crate::source::Source;

/// A type an output may have: every quantity, `bool`, `String`, every enum made
/// with [`words!`](crate::words), and lists of quantities or words.
pub trait Shown: Held {
    /// What it is to a listing.
    const KIND: OutputKind;
}

impl<T: Dimensioned> Shown for T {
    const KIND: OutputKind = OutputKind::Quantity(T::KIND);
}

impl Shown for bool {
    const KIND: OutputKind = OutputKind::Flag;
}

impl Shown for String {
    const KIND: OutputKind = OutputKind::Word;
}

impl<T: Dimensioned> Shown for Vec<T> {
    const KIND: OutputKind = OutputKind::List(T::KIND);
}

impl Shown for Vec<String> {
    const KIND: OutputKind = OutputKind::Words;
}

/// An output on its way: empty until the family gives it.
#[derive(Debug, Clone)]
pub struct Out<T> {
    value: Option<T>,
    standard: f64,
    decided: bool,
    held: Option<T>,
    expanded: f64,
    judged: Option<Judged>,
    how: How,
}

impl<T> Default for Out<T> {
    fn default() -> Self {
        Self {
            value: None,
            standard: 0.0,
            decided: false,
            held: None,
            expanded: 0.0,
            judged: None,
            how: How::default(),
        }
    }
}

impl<T: Shown> Out<T> {
    /// Gives it.
    pub fn put(&mut self, value: impl Into<T>) {
        self.value = Some(value.into());
    }

    /// Gives it if there is one.
    pub fn put_some(&mut self, value: Option<impl Into<T>>) {
        if let Some(value) = value {
            self.put(value);
        }
    }

    /// Gives it with its own standard uncertainty, where the family computes
    /// that itself.
    pub fn put_uncertain(&mut self, value: T, standard: T)
    where
        T: Dimensioned,
    {
        self.put(value);
        self.standard = standard.si();
    }

    /// Gives a verdict on a margin, in SI units: how far a value is inside its
    /// limit, negative outside. With uncertain inputs it is `yes` only if the
    /// margin is at least its expanded uncertainty (k = 2), `no` only if it is
    /// as far outside, and `open` between (ISO 14253-1, decision rule).
    pub fn judge(&mut self, margin: f64, yes: impl Into<T>, no: impl Into<T>, open: impl Into<T>) {
        self.value = Some(if margin >= 0.0 { yes.into() } else { no.into() });
        self.judged = Some(Judged { margin, open: open.into().value() });
    }

    /// Gives a setting that was decided on: rounded to a mark of a tool, chosen
    /// from a table. Go on with the value this returns: while uncertainty is
    /// carried past the decision it is what was decided, not what would have
    /// been decided with other inputs (JCGM 100:2008, 5.1.2: the sensitivity
    /// of a result to an input at the setting in use).
    pub fn decide(&mut self, value: impl Into<T>) -> T {
        let value = self.held.clone().unwrap_or_else(|| value.into());
        self.value = Some(value.clone());
        self.decided = true;
        value
    }

    /// Says that it is a count of what is proven, with no uncertainty of its own.
    pub fn fixed(&mut self) {
        self.decided = true;
    }

    /// Its expanded uncertainty (k = 2) from what was stated of the inputs, for
    /// the guard band of a verdict. Zero where no input is uncertain, and while
    /// the uncertainty is being found: the body runs once more when it is known.
    #[must_use]
    pub fn expanded(&self) -> T
    where
        T: Dimensioned,
    {
        T::from_si(self.expanded)
    }

    /// What was given.
    #[must_use]
    pub fn get(&self) -> Option<&T> {
        self.value.as_ref()
    }

    /// Says which formula gave it, where the declared one has branches.
    pub fn formula(&mut self, formula: impl Into<String>) {
        self.how.formula = Some(formula.into());
    }

    /// Says which source gave it, where that depends on the inputs.
    pub fn source(&mut self, source: Source) {
        self.how.source = Some(source);
    }

    /// Says how it is shown, where that depends on where it comes from.
    pub fn style(&mut self, style: Style) {
        self.how.style = Some(style);
    }

    /// What stands in an answer under this name.
    #[must_use]
    pub fn of(answer: &Answer, id: &'static str) -> Self {
        Self { value: answer.row(id).and_then(|row| T::back(&row.value)), ..Self::default() }
    }

    /// Empty, with what an earlier run decided and how uncertain it is.
    #[must_use]
    pub fn holding(answer: &Answer, id: &'static str) -> Self {
        let held = answer.held.get(id).and_then(T::back);
        Self { held, expanded: answer.known.get(id).copied().unwrap_or(0.0), ..Self::default() }
    }

    /// Files it in an answer under its name.
    pub fn file(self, answer: &mut Answer, id: &'static str) {
        let Some(value) = self.value else { return };
        let mut value = value.value();
        if let Value::Quantity { uncertainty, .. } = &mut value {
            *uncertainty = self.standard;
        }
        answer.rows.push(Row { id, value, decided: self.decided, judged: self.judged, how: self.how });
    }
}

impl<T> Out<Vec<T>>
where
    Vec<T>: Shown,
{
    /// Gives several values in order.
    pub fn list(&mut self, items: impl IntoIterator<Item = T>) {
        self.put(items.into_iter().collect::<Vec<T>>());
    }
}

/// What a family says beside its values.
#[derive(Debug, Clone, Default)]
pub struct Said {
    /// Each with whether it goes with the method whatever the inputs are.
    remarks: Vec<(String, bool)>,
    settled: bool,
}

impl Said {
    /// Adds a warning, once: shown on the page and on the terminal.
    pub fn warn(&mut self, text: impl Into<String>) {
        let text = text.into();
        if !self.remarks.iter().any(|(said, _)| *said == text) {
            self.remarks.push((text, false));
        }
    }

    /// Adds a remark that goes with the method whatever the inputs are. It
    /// stands with the warnings wherever the figure itself is shown, and is
    /// left out of a job's list of warnings, where it would hide the others.
    pub fn note(&mut self, text: impl Into<String>) {
        self.remarks.push((text.into(), true));
    }

    /// Says that the outputs contain the uncertainty of the inputs already, so
    /// that it must not be carried to them once more.
    pub fn uncertainty_is_in(&mut self) {
        self.settled = true;
    }

    /// Whether the outputs contain the uncertainty of the inputs already.
    pub(super) fn settled(&self) -> bool {
        self.settled
    }

    /// Everything said, notes too.
    pub(super) fn warnings(&self) -> impl Iterator<Item = &String> {
        self.remarks.iter().map(|(text, _)| text)
    }

    /// Only what goes with the method.
    pub(super) fn notes(&self) -> impl Iterator<Item = &String> {
        self.remarks.iter().filter(|(_, note)| *note).map(|(text, _)| text)
    }
}

/// A struct of outputs, made by `family!`.
pub trait Gives: Sized {
    /// Its rows.
    const OUTPUTS: &'static [Output];

    /// Empty, with what an earlier run decided.
    fn holding(answer: &Answer) -> Self;

    /// What an answer holds.
    fn of(answer: &Answer) -> Self;

    /// Files everything given, in the declared order.
    fn file(self, answer: &mut Answer);

    /// What it says beside its values.
    fn said(&mut self) -> &mut Said;

    /// As [`Said::warn`].
    fn warn(&mut self, text: impl Into<String>) {
        self.said().warn(text);
    }

    /// As [`Said::note`].
    fn note(&mut self, text: impl Into<String>) {
        self.said().note(text);
    }
}

/// Runs the mathematics of a family between its string doors.
///
/// # Errors
/// If an input is missing, of another kind or out of range, or the body
/// refuses.
pub fn run<I: super::Reads, O: Gives>(
    given: &super::Given,
    answer: &mut Answer,
    body: fn(&I, &mut O) -> Result<(), Trouble>,
) -> Result<(), Trouble> {
    let inputs = I::read(given)?;
    let mut outputs = O::holding(answer);
    body(&inputs, &mut outputs)?;
    inputs.mark(given);
    outputs.file(answer);
    Ok(())
}

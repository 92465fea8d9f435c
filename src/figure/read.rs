//! Typed inputs: what a row of `reads` becomes.

use std::cell::Cell;
use std::marker::PhantomData;
use std::ops::Deref;

use super::{Family, Figure, Given, Held, Input, InputKind, Rule, Trouble, Used, Value};
use crate::quantity::Dimensioned;

/// A type an input may have: every quantity, `bool`, `String`, every enum made
/// with [`words!`](crate::words).
pub trait Field: Held {
    /// What the string door may hand over for it.
    const KIND: InputKind;

    /// Other words for its words, each with the word it stands for.
    const TWINS: &'static [(&'static str, &'static str)] = &[];

    /// Takes it out of a value.
    ///
    /// # Errors
    /// If the value is of another kind or no known word.
    fn read(input: &str, value: &Value) -> Result<Self, Trouble> {
        Self::back(value).ok_or_else(|| match (Self::KIND, value) {
            (InputKind::Choice(words), Value::Word(word)) => Trouble::Unknown {
                input: input.to_owned(),
                given: word.clone(),
                choices: words.iter().map(|w| (*w).to_owned()).collect(),
            },
            (InputKind::Choice(_) | InputKind::Name, _) => wrong(input, "a word".to_owned()),
            (InputKind::Flag, _) => wrong(input, "yes or no".to_owned()),
            (InputKind::Quantity(kind) | InputKind::List(kind), _) => wrong(input, kind.with_article()),
        })
    }
}

fn wrong(input: &str, expected: String) -> Trouble {
    Trouble::WrongKind { input: input.to_owned(), expected }
}

impl<T: Dimensioned> Field for T {
    const KIND: InputKind = InputKind::Quantity(T::KIND);
}

impl Field for bool {
    const KIND: InputKind = InputKind::Flag;
}

impl Field for String {
    const KIND: InputKind = InputKind::Name;
}

/// An input as the mathematics sees it. Looking at it with `*` notes that it
/// was used, so that a figure lists exactly the inputs that made it.
#[derive(Debug, Clone)]
pub struct Read<T> {
    name: &'static str,
    value: T,
    given: bool,
    uncertainty: Vec<f64>,
    used: Cell<bool>,
}

impl<T> Deref for Read<T> {
    type Target = T;

    fn deref(&self) -> &T {
        self.used.set(true);
        &self.value
    }
}

impl<T> Read<T> {
    fn new(name: &'static str, value: T, from: Option<&Value>) -> Self {
        let stated = |value: &Value| match value {
            Value::Quantity { uncertainty, .. } => *uncertainty,
            _ => 0.0,
        };
        let uncertainty = match from {
            Some(Value::List(list)) => list.iter().map(stated).collect(),
            Some(value) => vec![stated(value)],
            None => Vec::new(),
        };
        Self { name, value, given: from.is_some(), uncertainty, used: Cell::new(false) }
    }

    /// Whether it was stated, as against its default or nothing. Asking does
    /// not count as using it.
    #[must_use]
    pub fn given(&self) -> bool {
        self.given
    }

    /// Standard uncertainty in SI units that was stated with it.
    #[must_use]
    pub fn uncertainty(&self) -> f64 {
        self.uncertainty_of(0)
    }

    /// Standard uncertainty in SI units that was stated with one item of a list.
    #[must_use]
    pub fn uncertainty_of(&self, item: usize) -> f64 {
        self.used.set(true);
        self.uncertainty.get(item).copied().unwrap_or(0.0)
    }

    /// Its name at the bench.
    #[must_use]
    pub fn name(&self) -> &'static str {
        self.name
    }

    /// Hands the note of its use on to what was given.
    pub fn mark(&self, given: &Given) {
        if self.used.get() {
            given.mark(self.name);
        }
    }
}

impl<T> Read<Option<T>> {
    /// The same with what stands in where nothing was given.
    fn or_usual(
        self,
        usual: impl FnOnce(&'static Input) -> Result<T, Trouble>,
        row: Option<&'static Input>,
    ) -> Result<Read<T>, Trouble> {
        let Self { name, value, given, uncertainty, used } = self;
        let value = match value {
            Some(value) => value,
            None => usual(row.ok_or_else(defect)?)?,
        };
        Ok(Read { name, value, given, uncertainty, used })
    }
}

impl<T: Clone> Read<Option<T>> {
    /// The value, in a branch that can't do without it.
    ///
    /// # Errors
    /// [`Trouble::Missing`] if it was not given.
    pub fn need(&self) -> Result<T, Trouble> {
        (**self).clone().ok_or_else(|| Trouble::Missing(vec![self.name]))
    }
}

/// An input of any type, to ask whether it was stated.
pub trait Stated {
    /// Its name, if it was not stated.
    fn absent(&self) -> Option<&'static str>;
}

impl<T> Stated for Read<T> {
    fn absent(&self) -> Option<&'static str> {
        (!self.given).then_some(self.name)
    }
}

/// Asks for several inputs in a branch that can't do without them.
///
/// # Errors
/// [`Trouble::Missing`] with every one that was not given.
pub fn require(inputs: &[&dyn Stated]) -> Result<(), Trouble> {
    lacking(inputs.iter().map(|input| input.absent()))
}

/// Asks for what is lacking, by name, of inputs of which one may stand for another.
///
/// # Errors
/// [`Trouble::Missing`] with every name there is.
pub fn lacking(names: impl IntoIterator<Item = Option<&'static str>>) -> Result<(), Trouble> {
    let missing: Vec<_> = names.into_iter().flatten().collect();
    if missing.is_empty() { Ok(()) } else { Err(Trouble::Missing(missing)) }
}

/// The name of an input or output, with the struct it belongs to and its type.
#[derive(Debug)]
pub struct Name<F, T> {
    id: &'static str,
    of: PhantomData<fn() -> (F, T)>,
}

impl<F, T> Clone for Name<F, T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<F, T> Copy for Name<F, T> {}

impl<F, T> Name<F, T> {
    /// Made by `family!` alone.
    #[must_use]
    pub const fn new(id: &'static str) -> Self {
        Self { id, of: PhantomData }
    }

    /// The name as typed at the bench.
    #[must_use]
    pub const fn id(self) -> &'static str {
        self.id
    }
}

/// A struct of inputs, made by `family!`.
pub trait Reads: Sized {
    /// Its own rows.
    const OWN: &'static [Input];
    /// Rows of its groups, then its own.
    const INPUTS: &'static [Input];
    /// What may be given beside what of its own rows.
    const OWN_RULES: &'static [Rule];
    /// What may be given beside what: rules of its groups, then its own.
    const RULES: &'static [Rule];

    /// Takes the inputs out of what was given; every value is in its range.
    ///
    /// # Errors
    /// If one is missing, of another kind or out of range.
    fn read(given: &Given) -> Result<Self, Trouble>;

    /// Hands on which inputs were used.
    fn mark(&self, given: &Given);
}

/// A struct of inputs that has the rows of another one: of itself, or of a group
/// it takes in.
pub trait Holds<G> {}

/// A struct of inputs that a family answers.
pub trait Asks: Reads {
    /// The registry entry that answers it.
    const FAMILY: &'static Family;
    /// The outputs, typed.
    type Answer: super::Gives;
}

/// A question to a family, asked in Rust:
///
/// ```
/// use tackwright::figure::Ask;
/// use tackwright::figure::geometry::scribe_mark::ScribeMark;
/// use tackwright::quantity::{Angle, Dimensioned, Length, unit};
///
/// let asked = Ask::<ScribeMark>::new()
///     .with(ScribeMark::od, Length::of(3.0, unit::IN))
///     .with(ScribeMark::rotation, Angle::of(10.0, unit::DEG));
/// assert!(asked.answer().is_ok_and(|answer| answer.arc.get().is_some()));
/// ```
///
/// A misspelt name, a name of another family or a value of another kind does
/// not compile:
///
/// ```compile_fail,E0599
/// # use tackwright::figure::Ask;
/// # use tackwright::figure::geometry::scribe_mark::ScribeMark;
/// # use tackwright::quantity::{Dimensioned, Length, unit};
/// Ask::<ScribeMark>::new().with(ScribeMark::odd, Length::of(3.0, unit::IN));
/// ```
///
/// ```compile_fail,E0277
/// # use tackwright::figure::Ask;
/// # use tackwright::figure::geometry::scribe_mark::ScribeMark;
/// # use tackwright::figure::geometry::wheel::Toe;
/// # use tackwright::quantity::{Dimensioned, Length, unit};
/// Ask::<Toe>::new().with(ScribeMark::od, Length::of(3.0, unit::IN));
/// ```
///
/// ```compile_fail,E0308
/// # use tackwright::figure::Ask;
/// # use tackwright::figure::geometry::scribe_mark::ScribeMark;
/// # use tackwright::quantity::{Angle, Dimensioned, unit};
/// Ask::<ScribeMark>::new().with(ScribeMark::od, Angle::of(3.0, unit::DEG));
/// ```
#[derive(Debug, Clone)]
pub struct Ask<F> {
    given: Given,
    of: PhantomData<fn() -> F>,
}

impl<F> Default for Ask<F> {
    fn default() -> Self {
        Self { given: Given::new(), of: PhantomData }
    }
}

impl<F: Asks> Ask<F> {
    /// A question without inputs.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// A question with what was given at the string door.
    #[must_use]
    pub fn of(given: Given) -> Self {
        Self { given, of: PhantomData }
    }

    /// With an input.
    #[must_use]
    pub fn with<G, T: Field>(mut self, name: Name<G, T>, value: T) -> Self
    where
        F: Holds<G>,
    {
        self.given.set(name.id(), value.value());
        self
    }

    /// With an input, if there is one.
    #[must_use]
    pub fn some<G, T: Field>(self, name: Name<G, T>, value: Option<T>) -> Self
    where
        F: Holds<G>,
    {
        match value {
            Some(value) => self.with(name, value),
            None => self,
        }
    }

    /// The typed answer, without uncertainty or provenance.
    ///
    /// # Errors
    /// As [`Family::reckon`].
    pub fn answer(&self) -> Result<F::Answer, Trouble> {
        F::FAMILY.check(&self.given)?;
        let mut answer = super::Answer::default();
        (F::FAMILY.run)(&self.given, &mut answer)?;
        Ok(super::Gives::of(&answer))
    }

    /// The figures, with provenance and uncertainty.
    ///
    /// # Errors
    /// As [`Family::reckon`].
    pub fn figures(&self) -> Result<Vec<Figure>, Trouble> {
        F::FAMILY.reckon(&self.given)
    }

    /// What was given, by name.
    #[must_use]
    pub fn given(&self) -> &Given {
        &self.given
    }
}

fn defect() -> Trouble {
    Trouble::impossible(
        "a declared input has no row or no readable default",
        "this is a defect of the program",
    )
}

fn one<T: Field>(input: &Input, value: &Value) -> Result<T, Trouble> {
    let read = T::read(input.name, value)?;
    if let Some(quantity) = value.quantity() {
        input.range.check(input.name, quantity)?;
    }
    Ok(read)
}

/// What each mode of a row holds.
#[allow(non_camel_case_types, reason = "named as the mode is written")]
pub(crate) mod held {
    pub(crate) type required<T> = T;
    pub(crate) type default<T> = T;
    pub(crate) type optional<T> = Option<T>;
    pub(crate) type fallback<T> = Option<T>;
    pub(crate) type flag<T> = T;
    pub(crate) type list<T> = Vec<T>;
    pub(crate) type many<T> = Vec<T>;
}

/// What is handed in under the name of each mode of a row.
#[allow(non_camel_case_types, reason = "named as the mode is written")]
pub(crate) mod named {
    pub(crate) use super::held::{default, flag, list, many, required};
    pub(crate) type optional<T> = T;
    pub(crate) type fallback<T> = T;
}

/// Readers of the modes a row of `reads` may have. Each refuses a value of another
/// kind or out of its range.
pub(crate) mod take {
    use super::{Dimensioned, Field, Given, Input, Read, Trouble, Used, Value, defect, one, wrong};

    type Row = Option<&'static Input>;

    /// It has to be there.
    pub(crate) fn required<T: Field>(given: &Given, row: Row) -> Result<Read<T>, Trouble> {
        optional(given, row)?.or_usual(|input| Err(Trouble::Missing(vec![input.name])), row)
    }

    /// It may be there.
    pub(crate) fn optional<T: Field>(given: &Given, row: Row) -> Result<Read<Option<T>>, Trouble> {
        let input = row.ok_or_else(defect)?;
        let found = given.peek(input.name);
        let value = found.map(|value| one(input, value)).transpose()?;
        Ok(Read::new(input.name, value, found))
    }

    /// It may be there; what stands in for it is described, and worked out by
    /// the family.
    pub(crate) fn fallback<T: Field>(given: &Given, row: Row) -> Result<Read<Option<T>>, Trouble> {
        optional(given, row)
    }

    /// It may be there; its declared default is used otherwise.
    pub(crate) fn default<T: Field>(given: &Given, row: Row) -> Result<Read<T>, Trouble> {
        let usual =
            |input: &'static Input| T::read(input.name, &Used::defaulted(input).ok_or_else(defect)?.value);
        optional(given, row)?.or_usual(usual, row)
    }

    /// Yes or no; absent means no.
    pub(crate) fn flag(given: &Given, row: Row) -> Result<Read<bool>, Trouble> {
        optional(given, row)?.or_usual(|_| Ok(false), row)
    }

    /// As many as there are; a single quantity is a list of one.
    pub(crate) fn many<T: Dimensioned>(given: &Given, row: Row) -> Result<Read<Vec<T>>, Trouble> {
        let input = row.ok_or_else(defect)?;
        let found = given.peek(input.name);
        let list = match found {
            None => Vec::new(),
            Some(Value::List(list)) => list.iter().map(|v| one(input, v)).collect::<Result<_, _>>()?,
            Some(value @ Value::Quantity { .. }) => vec![one(input, value)?],
            Some(_) => {
                return Err(wrong(input.name, format!("a list of {} values", T::KIND.word())));
            }
        };
        Ok(Read::new(input.name, list, found))
    }

    /// At least one.
    pub(crate) fn list<T: Dimensioned>(given: &Given, row: Row) -> Result<Read<Vec<T>>, Trouble> {
        let list: Read<Vec<T>> = many(given, row)?;
        if list.value.is_empty() { Err(Trouble::Missing(vec![list.name])) } else { Ok(list) }
    }
}

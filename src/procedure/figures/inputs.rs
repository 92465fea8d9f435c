//! A job's question to a family of figures, and the names its answer is filed
//! under. A misspelt family, input, output or job name does not compile, nor
//! does a value of another kind.

use std::collections::BTreeMap;
use std::marker::PhantomData;

use super::super::catalogue::{self, Called, Entry};
use super::{JobFigures, Owner};
use crate::figure::{Ask, Asks, Field, Given, Held, Holds, Name, Trouble, Value};
use crate::file::{Located, Reading};
use crate::quantity::Dimensioned;

/// An output of the family that `F` asks.
pub type Output<F, T> = Name<<F as Asks>::Answer, T>;

/// A value where `T` is asked for.
pub(super) trait Fits<T> {
    /// It, as figures carry it.
    fn value(self) -> Value;
}

impl<T: Field> Fits<T> for T {
    fn value(self) -> Value {
        Held::value(&self)
    }
}

impl<T: Dimensioned> Fits<T> for Reading<T> {
    fn value(self) -> Value {
        Value::from(self)
    }
}

impl<T: Dimensioned> Fits<T> for &Located<Reading<T>> {
    fn value(self) -> Value {
        Value::from(self.value)
    }
}

impl<T: Dimensioned> Fits<Vec<T>> for Vec<Reading<T>> {
    fn value(self) -> Value {
        Value::List(self.into_iter().map(Value::from).collect())
    }
}

impl Fits<String> for &str {
    fn value(self) -> Value {
        Value::word(self)
    }
}

/// Inputs for one family, with the job key each would come from.
#[derive(Debug)]
pub(super) struct Inputs<F> {
    pub(super) given: Given,
    pub(super) keys: BTreeMap<&'static str, String>,
    /// Inputs nobody told that are never taken as the family takes them then.
    pub(super) untold: Vec<&'static str>,
    of: PhantomData<fn() -> F>,
}

impl<F: Asks> Inputs<F> {
    pub(super) fn new() -> Self {
        Self { given: Given::new(), keys: BTreeMap::new(), untold: Vec::new(), of: PhantomData }
    }

    /// The answer, without uncertainty or provenance.
    pub(super) fn answer(&self) -> Result<F::Answer, Trouble> {
        Ask::<F>::of(self.given.clone()).answer()
    }

    /// An input, if there is one, with the job key it comes from or would come from.
    pub(super) fn with<G, T>(
        &mut self,
        name: Name<G, T>,
        key: impl Into<String>,
        value: Option<impl Fits<T>>,
    ) -> &mut Self
    where
        F: Holds<G>,
    {
        self.keys.insert(name.id(), key.into());
        self.given.set_some(name.id(), value.map(Fits::value));
        self
    }

    /// An input the family takes as nothing where it is not given, and that a job does not do
    /// without: a lift, an offset that every unit of the kind has.
    pub(super) fn needed<G, T>(
        &mut self,
        name: Name<G, T>,
        key: impl Into<String>,
        value: Option<impl Fits<T>>,
    ) -> &mut Self
    where
        F: Holds<G>,
    {
        if value.is_none() {
            self.untold.push(name.id());
        }
        self.with(name, key, value)
    }

    /// An input from a figure computed before.
    pub(super) fn figure<G, T>(
        &mut self,
        name: Name<G, T>,
        sheet: &JobFigures,
        owner: &Owner,
        figure: Called<T>,
    ) -> &mut Self
    where
        F: Holds<G>,
    {
        let title = catalogue::find(figure.scope(), figure.name()).map_or(figure.name(), |n| n.title);
        self.keys.insert(name.id(), format!("the figure \"{title}\""));
        self.given.set_some(name.id(), sheet.get(owner, figure).map(|f| f.value.clone()));
        self
    }

    /// A word of a file the family knows or refuses, if it is there.
    pub(super) fn word<G, T>(
        &mut self,
        name: Name<G, T>,
        key: impl Into<String>,
        word: Option<&str>,
    ) -> &mut Self
    where
        F: Holds<G>,
    {
        self.keys.insert(name.id(), key.into());
        self.given.set_some(name.id(), word.map(Value::word));
        self
    }
}

/// An output of a family, and the name of the job it is filed under.
#[derive(Debug)]
pub(super) struct To<A> {
    pub(super) output: &'static str,
    pub(super) name: &'static str,
    of: PhantomData<fn() -> A>,
}

/// An output that may be filed under a name of `T`.
pub(super) trait Files<T> {}

impl<T: Entry> Files<T> for T {}

/// Several words, told one behind the other.
impl Files<String> for Vec<String> {}

/// Files an output under a name of the job.
pub(super) fn to<A, O: Files<T>, T>(output: Name<A, O>, name: Called<T>) -> To<A> {
    To { output: output.id(), name: name.name(), of: PhantomData }
}

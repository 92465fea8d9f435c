//! The sheet a job's figures are collected on.

use std::collections::BTreeMap;

use super::super::catalogue::{self, Called, Scope};
use super::answered::Answered;
use super::inputs::{Fits, Inputs, Output, To};
use super::said::Said;
use crate::figure::{Asks, Figure, Trouble, Value};
use crate::file::{Located, Reading};
use crate::job::model::Units;
use crate::quantity::{Dimensioned, Quantity, Style};
use crate::source::Source;
use crate::term::Side;

/// What a figure belongs to.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Owner {
    /// A component, such as an axle, by its id.
    Component(String),
    /// One side of a component.
    Side(String, Side),
    /// A weld joint.
    Joint(String),
    /// A group of fasteners.
    Fastener(String),
}

impl Owner {
    /// The scope its names are looked up in.
    #[must_use]
    pub const fn scope(&self) -> Scope {
        match self {
            Owner::Component(_) => Scope::Component,
            Owner::Side(..) => Scope::Side,
            Owner::Joint(_) => Scope::Joint,
            Owner::Fastener(_) => Scope::Fastener,
        }
    }

    /// In words: `front`, `front left`, `joint J1`.
    #[must_use]
    pub fn words(&self) -> String {
        match self {
            Owner::Component(id) => id.clone(),
            Owner::Side(id, side) => format!("{id} {}", side.word()),
            Owner::Joint(id) => format!("joint {id}"),
            Owner::Fastener(id) => format!("fastener {id}"),
        }
    }
}

/// A computed figure under its job name.
#[derive(Debug, Clone, PartialEq)]
pub struct JobFigure {
    /// What it belongs to.
    pub owner: Owner,
    /// Name in the catalogue; empty for a family's further results.
    pub name: &'static str,
    /// As its family gives it, shown no finer than the shop reads fractions.
    pub figure: Figure,
}

/// What stands against issuing the job, found while it was computed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Obstacle {
    /// What it belongs to.
    pub owner: Owner,
    /// What is wrong.
    pub why: String,
    /// What to do about it.
    pub remedy: String,
    /// Key of its owner's table the value stands under; empty if no single one is to blame.
    pub key: &'static str,
    /// Whether it is a result that can't be, or is unusual: of values that are each
    /// believable, unless one of them is doubted by itself.
    pub of_result: bool,
}

/// What a shop lead must settle and sign before the first cut on a component.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Concern {
    /// Component it belongs to.
    pub component: String,
    /// Short name, seen by conditions as `c.concerns`.
    pub name: &'static str,
    /// What was found, and the remedy.
    pub text: String,
}

/// Something that can't be computed yet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Missing {
    /// What it belongs to.
    pub owner: Owner,
    /// Names it would give.
    pub names: Vec<&'static str>,
    /// Job keys that are still needed; empty if the inputs are out of range.
    pub needs: Vec<String>,
    /// Why, in words.
    pub why: String,
}

impl<T: Dimensioned> From<Reading<T>> for Value {
    fn from(reading: Reading<T>) -> Self {
        Value::Quantity { quantity: reading.value.into(), uncertainty: reading.uncertainty }
    }
}

impl<T: Dimensioned> From<&Located<Reading<T>>> for Value {
    fn from(reading: &Located<Reading<T>>) -> Self {
        reading.value.into()
    }
}

/// What was computed for a job, and what could not be.
#[derive(Debug, Clone, Default)]
pub struct JobFigures {
    /// Figures in the order they were computed.
    pub rows: Vec<JobFigure>,
    /// What is missing.
    pub missing: Vec<Missing>,
    /// What stands against issuing the job.
    pub obstacles: Vec<Obstacle>,
    /// What is held for a signature before the first cut.
    pub concerns: Vec<Concern>,
    index: BTreeMap<(Owner, &'static str), usize>,
    /// Denominator of the finest fraction of an inch the shop reads.
    finest: Option<u32>,
    /// Units that stand first where a figure is put into words.
    units: Option<Units>,
    /// What was answered for the same job before.
    before: Option<Answered>,
}

impl JobFigures {
    /// An empty sheet, for a shop that reads fractions to 1/`finest` inch and
    /// words its quantities in these units.
    #[must_use]
    pub fn read_to(finest: Option<u32>, units: Units) -> Self {
        Self { finest, units: Some(units), ..Self::default() }
    }

    /// The same sheet, that asks no family again what it answered before.
    #[must_use]
    pub(super) fn knowing(self, before: Option<&Answered>) -> Self {
        Self { before: before.cloned(), ..self }
    }

    /// The figure a text names, if there is one and it could be computed.
    #[must_use]
    pub fn named(&self, owner: &Owner, name: &str) -> Option<&Figure> {
        let name = catalogue::find(owner.scope(), name)?.name;
        self.index.get(&(owner.clone(), name)).and_then(|i| self.rows.get(*i)).map(|r| &r.figure)
    }

    /// The figure of this name, if it could be computed.
    #[must_use]
    pub fn get<T>(&self, owner: &Owner, name: Called<T>) -> Option<&Figure> {
        debug_assert_eq!(owner.scope(), name.scope(), "{} of {}", name.name(), owner.words());
        self.named(owner, name.name())
    }

    /// The value of this name; none if it could not be computed or is no quantity.
    #[must_use]
    pub fn quantity<T: Dimensioned>(&self, owner: &Owner, name: Called<T>) -> Option<T> {
        self.reading(owner, name).map(|r| r.value)
    }

    /// The quantity of a figure with its standard uncertainty.
    #[must_use]
    pub fn reading<T: Dimensioned>(&self, owner: &Owner, name: Called<T>) -> Option<Reading<T>> {
        match self.get(owner, name)?.value {
            Value::Quantity { quantity, uncertainty } => {
                quantity.typed().map(|value| Reading { value, uncertainty, metric: false })
            }
            _ => None,
        }
    }

    /// An output of a family that was run for an owner; of several runs the last.
    #[must_use]
    pub fn output<F: Asks, T>(&self, owner: &Owner, output: Output<F, T>) -> Option<&Figure> {
        let row = self.rows.iter().rev().find(|row| {
            row.owner == *owner && row.figure.family == F::FAMILY.name && row.figure.id == output.id()
        });
        row.map(|row| &row.figure)
    }

    fn add(&mut self, owner: &Owner, name: &'static str, mut figure: Figure) {
        if let Some(finest) = self.finest {
            figure.style = figure.style.map(|s| s.no_finer(finest));
        }
        if !name.is_empty() {
            self.index.entry((owner.clone(), name)).or_insert(self.rows.len());
        }
        self.rows.push(JobFigure { owner: owner.clone(), name, figure });
    }

    /// Runs a family and files its results: those in `names` under their job
    /// name, all others for the worksheet only. A refusal is filed as missing.
    pub(super) fn run<F: Asks>(
        &mut self,
        owner: &Owner,
        inputs: &Inputs<F>,
        names: &[To<F::Answer>],
    ) -> bool {
        self.try_run(owner, inputs, names).is_ok()
    }

    /// As [`Self::run`], and says why there is no result.
    pub(super) fn try_run<F: Asks>(
        &mut self,
        owner: &Owner,
        inputs: &Inputs<F>,
        names: &[To<F::Answer>],
    ) -> Result<(), Trouble> {
        let wanted: Vec<&'static str> = names.iter().map(|to| to.name).collect();
        let family = F::FAMILY;
        let said = Said { family, keys: &inputs.keys, units: self.units };
        let mut answer = match &self.before {
            Some(before) => before.reckon(family, &inputs.given),
            None => family.reckon(&inputs.given),
        };
        if !inputs.untold.is_empty() {
            let mut absent = inputs.untold.clone();
            if let Err(Trouble::Missing(more)) = answer {
                absent.extend(more);
            }
            answer = Err(Trouble::Missing(absent));
        }
        match answer.map_err(|trouble| said.trouble(trouble)) {
            Ok(figures) => {
                for mut figure in figures {
                    for text in figure.warnings.iter_mut().chain(&mut figure.notes) {
                        *text = said.sentence(text);
                    }
                    let name = names.iter().find(|to| to.output == figure.id).map_or("", |to| to.name);
                    self.add(owner, name, figure);
                }
                Ok(())
            }
            Err(Trouble::Missing(absent)) => {
                let needs: Vec<String> = absent
                    .iter()
                    .map(|n| inputs.keys.get(n).cloned().unwrap_or_else(|| (*n).to_owned()))
                    .collect();
                let why = format!("{} still needs {}", family.title, needs.join(", "));
                self.miss(owner, &wanted, needs, why);
                Err(Trouble::Missing(absent))
            }
            Err(trouble) => {
                self.miss(owner, &wanted, Vec::new(), format!("{}: {trouble}", family.title));
                Err(trouble)
            }
        }
    }

    /// As [`Self::run`] for a family whose refusal means that the work is not
    /// safe: what it says stands against issuing the job, at `key` of its owner.
    pub(super) fn run_or_stop<F: Asks>(
        &mut self,
        owner: &Owner,
        inputs: &Inputs<F>,
        names: &[To<F::Answer>],
        key: &'static str,
    ) -> bool {
        let before = self.missing.len();
        let Err(trouble) = self.try_run(owner, inputs, names) else { return true };
        // Inputs still to come are a matter of the work; a refusal of those
        // that are there is not.
        if let Some(refused) = self.missing.get(before).filter(|m| m.needs.is_empty()) {
            let remedy = match trouble {
                Trouble::Impossible { hint, .. } if !hint.is_empty() => hint,
                _ => "mend the value, or settle it on the unit first".to_owned(),
            };
            self.obstacles.push(Obstacle {
                owner: owner.clone(),
                why: refused.why.clone(),
                remedy,
                key,
                of_result: false,
            });
        }
        false
    }

    /// A quantity in the words of a sentence, in the job's own units.
    pub(super) fn said(&self, style: Style, quantity: impl Into<Quantity>) -> String {
        let style = self.finest.map_or(style, |finest| style.no_finer(finest));
        self.units.map_or(style, |units| units.first(style)).shop(quantity.into())
    }

    /// A figure that stands as every page shows it, the job's own units first.
    pub(super) fn shown(&self, owner: &Owner, name: &'static str) -> String {
        let row = self.index.get(&(owner.clone(), name)).and_then(|i| self.rows.get(*i));
        let shown = |figure: &Figure| {
            let style = figure.style.map(|style| self.units.map_or(style, |units| units.first(style)));
            figure.value.show_with(style)
        };
        row.map_or_else(|| "not known".to_owned(), |row| shown(&row.figure))
    }

    /// Adds a warning to a figure that stands.
    pub(super) fn warn(&mut self, owner: &Owner, name: &'static str, text: String) {
        if let Some(row) = self.index.get(&(owner.clone(), name)).and_then(|i| self.rows.get_mut(*i)) {
            row.figure.warnings.push(text);
        }
    }

    /// Files something that stands against issuing the job.
    pub(super) fn stop(&mut self, owner: &Owner, why: impl Into<String>, remedy: impl Into<String>) {
        self.obstacles.push(Obstacle {
            owner: owner.clone(),
            why: why.into(),
            remedy: remedy.into(),
            key: "",
            of_result: false,
        });
    }

    /// As [`Self::stop`], of the value under a key of the owner's table.
    pub(super) fn stop_at(
        &mut self,
        owner: &Owner,
        key: &'static str,
        why: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        self.stop(owner, why, remedy);
        if let Some(last) = self.obstacles.last_mut() {
            last.key = key;
        }
    }

    /// As [`Self::stop`], for a result that can't be or is unusual.
    pub(super) fn doubt(&mut self, owner: &Owner, why: impl Into<String>, remedy: impl Into<String>) {
        self.stop(owner, why, remedy);
        if let Some(last) = self.obstacles.last_mut() {
            last.of_result = true;
        }
    }

    /// Files something a lead signs for before the first cut on a component.
    pub(super) fn concern(&mut self, component: &str, name: &'static str, text: impl Into<String>) {
        self.concerns.push(Concern { component: component.to_owned(), name, text: text.into() });
    }

    pub(super) fn miss(&mut self, owner: &Owner, names: &[&'static str], needs: Vec<String>, why: String) {
        self.missing.push(Missing { owner: owner.clone(), names: names.to_vec(), needs, why });
    }

    /// Files a value the job states itself.
    pub(super) fn enter<T: Dimensioned>(
        &mut self,
        owner: &Owner,
        name: Called<T>,
        value: Option<&Located<Reading<T>>>,
    ) {
        let Some(value) = value else { return };
        // What somebody wrote is shown as it was written: 0.75 deg, not 0.8.
        let quantity = value.value.value.into();
        // Of a pair the other unit keeps its own step.
        let style = Style::of(T::KIND);
        let style = if style.is_pair() { style } else { style.fine_enough(quantity) };
        let source = Source::entered("job file");
        self.file(owner, name, Fits::<T>::value(value), Some(style), "as entered in the job file", source);
    }

    /// Files a value that follows from others by a plain step.
    pub(super) fn derive<T>(
        &mut self,
        owner: &Owner,
        name: Called<T>,
        value: impl Fits<T>,
        formula: &str,
        source: Source,
    ) {
        let value = value.value();
        let style = value.quantity().map(|q| Style::of(q.kind()));
        self.file(owner, name, value, style, formula, source);
    }

    /// As [`Self::derive`], shown in a style of its own.
    pub(super) fn derive_in<T>(
        &mut self,
        owner: &Owner,
        name: Called<T>,
        value: impl Fits<T>,
        style: Style,
        formula: &str,
        source: Source,
    ) {
        self.file(owner, name, value.value(), Some(style), formula, source);
    }

    fn file<T>(
        &mut self,
        owner: &Owner,
        name: Called<T>,
        value: Value,
        style: Option<Style>,
        formula: &str,
        source: Source,
    ) {
        debug_assert_eq!(owner.scope(), name.scope(), "{} of {}", name.name(), owner.words());
        let Some(entry) = catalogue::find(name.scope(), name.name()) else { return };
        let figure = Figure {
            family: "job",
            id: entry.name,
            title: entry.title,
            style,
            value,
            formula: formula.to_owned(),
            inputs: Vec::new(),
            source,
            range: "",
            warnings: Vec::new(),
            notes: Vec::new(),
        };
        self.add(owner, entry.name, figure);
    }

    /// Names who asked for the limit that governs, where a family only knows
    /// that somebody did.
    pub(super) fn whose(&mut self, owner: &Owner, name: Called<String>, word: &str, whose: &str) {
        let Some(at) = self.index.get(&(owner.clone(), name.name())) else { return };
        if let Some(row) = self.rows.get_mut(*at)
            && let Value::Word(said) = &mut row.figure.value
            && said.as_str() == word
        {
            whose.clone_into(said);
        }
    }

    /// Files a value under a job name in the style of the figure it came from.
    pub(super) fn derive_as<T>(
        &mut self,
        owner: &Owner,
        name: Called<T>,
        from: &Figure,
        formula: &str,
        source: Source,
    ) {
        self.file(owner, name, from.value.clone(), from.style, formula, source);
    }

    /// As [`Self::derive`], never shown above the exact value.
    pub(super) fn derive_down<T>(
        &mut self,
        owner: &Owner,
        name: Called<T>,
        value: impl Fits<T>,
        formula: &str,
        source: Source,
    ) {
        self.derive(owner, name, value, formula, source);
        self.restyle(Style::down);
    }

    /// As [`Self::derive`], never shown below the exact value.
    pub(super) fn derive_up<T>(
        &mut self,
        owner: &Owner,
        name: Called<T>,
        value: impl Fits<T>,
        formula: &str,
        source: Source,
    ) {
        self.derive(owner, name, value, formula, source);
        self.restyle(Style::up);
    }

    fn restyle(&mut self, change: fn(Style) -> Style) {
        if let Some(row) = self.rows.last_mut() {
            row.figure.style = row.figure.style.map(change);
        }
    }

    /// Every warning of the figures, each once, with all it concerns. What goes
    /// with a method whatever the job is left to the worksheets.
    #[must_use]
    pub fn warnings(&self) -> Vec<(String, Vec<Owner>)> {
        let mut found: Vec<(String, Vec<Owner>)> = Vec::new();
        for row in &self.rows {
            let figure = &row.figure;
            for warning in figure.warnings.iter().filter(|w| !figure.notes.contains(w)) {
                match found.iter_mut().find(|(w, _)| w == warning) {
                    Some((_, owners)) if owners.contains(&row.owner) => {}
                    Some((_, owners)) => owners.push(row.owner.clone()),
                    None => found.push((warning.clone(), vec![row.owner.clone()])),
                }
            }
        }
        found
    }
}

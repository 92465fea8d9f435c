//! What the router is given: operations, states and what holds at the start.
//!
//! A [`Problem`] knows nothing of files. States are interned: an operation
//! names them by [`StateId`]. An operation is named by its place in
//! [`Problem::operations`] inside the router and by its key outside it.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

pub use crate::term::{Moment, PointKind};

/// Component word of operations and states that concern the whole unit.
pub const WHOLE_UNIT: &str = "unit";

/// A state of one problem.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct StateId(usize);

impl StateId {
    /// Place of the state in [`Problem::states`].
    #[must_use]
    pub const fn index(self) -> usize {
        self.0
    }
}

/// Something that is true or false while the work goes on.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    /// Unique key, such as `front/bearings.in`.
    pub key: String,
    /// Name in the vocabulary, such as `bearings.in`.
    pub name: String,
    /// The component it belongs to; none for the whole unit.
    pub component: Option<String>,
    /// What it means, in words.
    pub means: String,
}

/// A hold, witness or review point of an operation.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Point {
    /// Hold, witness or review.
    pub kind: PointKind,
    /// Before or after the operation.
    pub moment: Moment,
    /// Who signs.
    pub role: String,
    /// What must be true.
    pub what: String,
    /// Tag of the safety rule it satisfies, such as `fit-up`.
    pub rule: Option<String>,
    /// Use word of the joints it concerns; none means those of its operation.
    pub joints: Option<String>,
}

impl Point {
    /// Stops the work until `role` signs; satisfies no safety rule until it is given a
    /// tag.
    #[must_use]
    pub fn hold(moment: Moment, role: &str, what: &str) -> Self {
        Self {
            kind: PointKind::Hold,
            moment,
            role: role.to_owned(),
            what: what.to_owned(),
            rule: None,
            joints: None,
        }
    }

    /// Tags it with the rule it satisfies.
    #[must_use]
    pub fn rule(mut self, rule: &str) -> Self {
        self.rule = Some(rule.to_owned());
        self
    }
}

/// A value the operation writes down, as far as the rules look at it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingNeed {
    /// Kind word, such as `torque`.
    pub kind: String,
    /// Instrument or tool it is taken with; empty when none is named.
    pub instrument: String,
}

/// One block of work.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Operation {
    /// Unique instance key, such as `front/set-pinion`.
    pub key: String,
    /// Id in the operation library, such as `set-pinion`.
    pub id: String,
    /// Title a person reads.
    pub title: String,
    /// Leading verb, such as `weld`.
    pub verb: String,
    /// Component worked on; [`WHOLE_UNIT`] for the unit as a whole.
    pub component: String,
    /// What people call the component; empty for its id.
    pub component_name: String,
    /// Where it is done.
    pub station: String,
    /// Labour in minutes.
    pub minutes: u32,
    /// Its place in the procedure's own order.
    pub rank: u32,
    /// States that must be true at its turn.
    pub requires: Vec<StateId>,
    /// States it makes true.
    pub provides: Vec<StateId>,
    /// States it makes false; a state it also provides ends up true.
    pub clears: Vec<StateId>,
    /// States that must be false at its turn.
    pub forbids: Vec<StateId>,
    /// Points at which somebody signs.
    pub points: Vec<Point>,
    /// What it does, for the safety rules, such as `arc`.
    pub acts: Vec<String>,
    /// Where it does it, as part words, such as `housing`.
    pub at: Vec<String>,
    /// Safety parts taken off.
    pub removes: Vec<String>,
    /// Safety parts refitted or replaced.
    pub refits: Vec<String>,
    /// Who does it.
    pub role: String,
    /// Use word of the weld joints made in it.
    pub joints: Option<String>,
    /// Values it writes down.
    pub readings: Vec<ReadingNeed>,
    /// True when it is done after hand-over.
    pub deferred: bool,
}

impl Operation {
    /// An operation with a key and a title, everything else empty.
    #[must_use]
    pub fn new(key: &str, title: &str) -> Self {
        Self { key: key.to_owned(), id: key.to_owned(), title: title.to_owned(), ..Self::default() }
    }

    /// Whether it concerns the unit as a whole.
    #[must_use]
    pub fn whole_unit(&self) -> bool {
        self.component.is_empty() || self.component == WHOLE_UNIT
    }

    /// Whether work stops before or after it until somebody signs.
    #[must_use]
    pub fn has_hold(&self) -> bool {
        self.points.iter().any(|p| p.kind == PointKind::Hold)
    }

    /// Whether it does `act`.
    #[must_use]
    pub fn does(&self, act: &str) -> bool {
        self.acts.iter().any(|a| a == act)
    }

    /// Title in quotes, with the component where that tells instances apart.
    #[must_use]
    pub fn name(&self) -> String {
        let title = if self.title.is_empty() { &self.key } else { &self.title };
        if self.whole_unit() { format!("'{title}'") } else { format!("'{title}' ({})", self.place()) }
    }

    /// What people call the component.
    #[must_use]
    pub fn place(&self) -> &str {
        if self.component_name.is_empty() { &self.component } else { &self.component_name }
    }
}

/// Why an operation can't be added.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum ProblemError {
    /// Another operation has this key.
    KeyTaken(String),
    /// The operation names a state of another problem.
    StrangeState(String),
}

impl fmt::Display for ProblemError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::KeyTaken(key) => {
                write!(f, "two operations have the key `{key}`; a key names one operation")
            }
            Self::StrangeState(key) => {
                write!(f, "operation `{key}` names a state this problem does not have")
            }
        }
    }
}

impl std::error::Error for ProblemError {}

/// Operations to put in order.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Problem {
    states: Vec<State>,
    by_key: BTreeMap<String, StateId>,
    initial: BTreeSet<StateId>,
    operations: Vec<Operation>,
    keys: BTreeMap<String, usize>,
}

impl Problem {
    /// The same work in other words: what `say` writes into titles and points.
    #[must_use]
    pub fn worded(&self, say: impl Fn(&mut Operation)) -> Self {
        let mut worded = self.clone();
        worded.operations.iter_mut().for_each(say);
        worded
    }

    /// Nothing to do.
    #[must_use]
    pub fn new() -> Self {
        Self::default()
    }

    /// The state with this key; made when it is new. Name, component and words
    /// of the first call stay.
    pub fn state(&mut self, key: &str, name: &str, component: Option<&str>, means: &str) -> StateId {
        if let Some(id) = self.by_key.get(key) {
            return *id;
        }
        let id = StateId(self.states.len());
        self.by_key.insert(key.to_owned(), id);
        self.states.push(State {
            key: key.to_owned(),
            name: name.to_owned(),
            component: component.map(str::to_owned),
            means: means.to_owned(),
        });
        id
    }

    /// Makes a state true before the first operation.
    pub fn start_with(&mut self, state: StateId) {
        self.initial.insert(state);
    }

    /// Adds an operation.
    ///
    /// # Errors
    /// When its key is taken or it names a state of another problem.
    pub fn add(&mut self, operation: Operation) -> Result<(), ProblemError> {
        if self.keys.contains_key(&operation.key) {
            return Err(ProblemError::KeyTaken(operation.key));
        }
        let lists = [&operation.requires, &operation.provides, &operation.clears, &operation.forbids];
        if lists.into_iter().flatten().any(|s| s.0 >= self.states.len()) {
            return Err(ProblemError::StrangeState(operation.key));
        }
        self.keys.insert(operation.key.clone(), self.operations.len());
        self.operations.push(operation);
        Ok(())
    }

    /// All states, in the order they were made.
    #[must_use]
    pub fn states(&self) -> &[State] {
        &self.states
    }

    /// What `state` is.
    #[must_use]
    pub fn state_of(&self, state: StateId) -> Option<&State> {
        self.states.get(state.0)
    }

    /// Key of `state`, empty for a state of another problem.
    #[must_use]
    pub fn state_key(&self, state: StateId) -> &str {
        self.states.get(state.0).map_or("", |s| s.key.as_str())
    }

    /// The state with this key.
    #[must_use]
    pub fn find_state(&self, key: &str) -> Option<StateId> {
        self.by_key.get(key).copied()
    }

    /// Whether `state` is true before the first operation.
    #[must_use]
    pub fn starts_with(&self, state: StateId) -> bool {
        self.initial.contains(&state)
    }

    /// Truth of every state before the first operation.
    #[must_use]
    pub fn start(&self) -> Vec<bool> {
        (0..self.states.len()).map(|i| self.initial.contains(&StateId(i))).collect()
    }

    /// All operations, in the order they were added.
    #[must_use]
    pub fn operations(&self) -> &[Operation] {
        &self.operations
    }

    /// Place of the operation with this key.
    #[must_use]
    pub fn find(&self, key: &str) -> Option<usize> {
        self.keys.get(key).copied()
    }

    /// Name of an operation for a sentence.
    #[must_use]
    pub fn name(&self, operation: usize) -> String {
        self.operations.get(operation).map_or_else(String::new, Operation::name)
    }
}

//! How people speak of a route: operations by number and title, states by what
//! they mean, components by name.

use super::numbers;
use super::problem::{Operation, Problem, StateId};

/// Names of one route.
#[derive(Debug, Clone)]
pub struct Speech<'a> {
    problem: &'a Problem,
    numbers: Vec<Option<usize>>,
    /// More than one component is worked on, so names have to tell them apart.
    several: bool,
}

impl<'a> Speech<'a> {
    /// The names of `order`.
    #[must_use]
    pub fn new(problem: &'a Problem, order: &[usize]) -> Self {
        let ops = problem.operations();
        let mut components = ops.iter().filter(|o| !o.whole_unit()).map(|o| o.component.as_str());
        let first = components.next();
        let several = components.any(|c| Some(c) != first);
        Self { problem, numbers: numbers::numbers(ops.len(), order), several }
    }

    /// Number and title, such as `150 Weld the spring pads`.
    #[must_use]
    pub fn operation(&self, operation: usize) -> String {
        let Some(op) = self.problem.operations().get(operation) else { return String::new() };
        let title = if op.title.is_empty() { &op.key } else { &op.title };
        let component =
            if self.several && !op.whole_unit() { format!(" ({})", op.place()) } else { String::new() };
        match self.numbers.get(operation).copied().flatten() {
            Some(number) => format!("{number} {title}{component}"),
            None => format!("{title}{component}"),
        }
    }

    /// Number alone; the title where there is none.
    #[must_use]
    pub fn number(&self, operation: usize) -> String {
        match self.numbers.get(operation).copied().flatten() {
            Some(number) => number.to_string(),
            None => self.operation(operation),
        }
    }

    /// What a state means, with its component where it is not that of
    /// `beside`, the operation spoken of.
    #[must_use]
    pub fn state(&self, state: StateId, beside: usize) -> String {
        let Some(state) = self.problem.state_of(state) else { return String::new() };
        let words = if state.means.is_empty() { &state.name } else { &state.means };
        let ops = self.problem.operations();
        let Some(component) = state.component.as_deref().filter(|_| self.several) else {
            return words.clone();
        };
        if ops.get(beside).is_some_and(|o| o.component == component) {
            return words.clone();
        }
        let name = ops.iter().find(|o| o.component == component).map_or(component, Operation::place);
        format!("{words} ({name})")
    }
}

/// Words joined with commas and "and".
#[must_use]
pub fn listed(words: &[String]) -> String {
    match words {
        [] => String::new(),
        [one] => one.clone(),
        [head @ .., tail] => format!("{} and {tail}", head.join(", ")),
    }
}

//! Where a number or a rule comes from.
//!
//! Every figure, table and safety rule carries a [`Source`], printed beside it.
//! A source says honestly how it was obtained: read in a standard or handbook,
//! derived here, trade habit, or recalled from memory and still to be checked.

use std::fmt;

use serde::Serialize;

/// What kind of authority stands behind a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// A published standard, code or regulation.
    Standard,
    /// A textbook, handbook or maker's manual.
    Handbook,
    /// Derived from first principles and checked against an independent method.
    Derived,
    /// A definition or exact conversion.
    Definition,
    /// Trade habit with no standard behind it.
    CommonPractice,
    /// Entered by the job or the shop book.
    Entered,
}

/// A citation: title, place in it, and whether it still has to be checked
/// against a bought copy.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
pub struct Source {
    /// Kind of authority.
    pub basis: Basis,
    /// Standard number with edition, or book title with edition.
    pub title: &'static str,
    /// Clause, table, equation, page or example; empty if the whole is meant.
    pub place: &'static str,
    /// True when the value was recalled and not read in a copy.
    pub from_memory: bool,
}

impl Source {
    const fn new(basis: Basis, title: &'static str, place: &'static str) -> Self {
        Self { basis, title, place, from_memory: false }
    }

    /// A clause of a standard, code or regulation.
    #[must_use]
    pub const fn standard(title: &'static str, place: &'static str) -> Self {
        Self::new(Basis::Standard, title, place)
    }

    /// A place in a textbook, handbook or manual.
    #[must_use]
    pub const fn handbook(title: &'static str, place: &'static str) -> Self {
        Self::new(Basis::Handbook, title, place)
    }

    /// Derived here; `how` names the independent method it was checked with.
    #[must_use]
    pub const fn derived(what: &'static str, how: &'static str) -> Self {
        Self::new(Basis::Derived, what, how)
    }

    /// What is so by definition, or an exact conversion; it has no place to look up.
    #[must_use]
    pub const fn definition(what: &'static str) -> Self {
        Self::new(Basis::Definition, what, "")
    }

    /// Trade habit.
    #[must_use]
    pub const fn practice(what: &'static str) -> Self {
        Self::new(Basis::CommonPractice, what, "")
    }

    /// A value the job or shop book states.
    #[must_use]
    pub const fn entered(what: &'static str) -> Self {
        Self::new(Basis::Entered, what, "")
    }

    /// Marks the value as recalled from memory, still to be checked.
    #[must_use]
    pub const fn from_memory(mut self) -> Self {
        self.from_memory = true;
        self
    }
}

impl fmt::Display for Source {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self.basis {
            Basis::CommonPractice => write!(f, "common practice: {}", self.title)?,
            Basis::Derived => write!(f, "derived: {}", self.title)?,
            Basis::Definition => write!(f, "definition: {}", self.title)?,
            Basis::Entered => write!(f, "entered: {}", self.title)?,
            Basis::Standard | Basis::Handbook => f.write_str(self.title)?,
        }
        if !self.place.is_empty() {
            let joint = if self.basis == Basis::Derived { "; checked by " } else { ", " };
            write!(f, "{joint}{}", self.place)?;
        }
        if self.from_memory {
            f.write_str(" (from memory)")?;
        }
        Ok(())
    }
}

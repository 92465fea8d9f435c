//! The resolved plan: what the work is, answered once and typed, before any
//! page of it is laid out.
//!
//! [`resolve()`] takes the selected operations in their proved order, the job's
//! figures and the shop book, and answers which joints, which repetitions, which
//! readings with which limits, who signs and what a signature rests on. The
//! record freezes it, the traveler lays it out, the shop's tools are looked at
//! for it: nothing of it is worked out a second time.

mod aim;
mod basis;
mod heat;
mod initials;
mod joint;
mod link;
mod model;
mod need;
mod once;
mod own;
mod problem;
mod released;
mod resolve;
mod resolver;
mod seen;
mod shift;
mod shop;
mod shows;
mod step;
pub mod tally;
mod text;
mod words;

pub use aim::{Aim, Named};
pub use basis::{Basis, Texts};
pub use joint::{joints, reviews, symbol, welders};
pub use model::{
    Caution, Choice, Derived, Joint, LookUp, LotAsk, Near, On, Operation, Plan, Point, Reading, Repeat,
    RestsOn, Sheet, Step, mark,
};
pub use once::{Once, Stated, once};
pub use problem::{joint_problems, role_problems, tool_problems};
pub use resolve::resolve;
pub use words::{Run, Words};

use crate::figure::Figure;
use crate::job::model::Units;
use crate::quantity::{Quantity, Style};

/// A figure's value in words, these units first.
#[must_use]
pub fn shown(units: Units, figure: &Figure) -> String {
    figure.value.show_with(figure.style.map(|style| units.first(style)))
}

/// A quantity in words, these units first.
#[must_use]
pub fn quantity(units: Units, quantity: Quantity) -> String {
    units.first(Style::of(quantity.kind())).both(quantity)
}

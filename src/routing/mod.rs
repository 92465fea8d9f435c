//! Puts operations in order, proves it, explains it, and checks the safety rules.
//!
//! The input is a [`problem::Problem`]: operations with the states they
//! require, provide, clear and forbid. [`order::find`] gives the route or the
//! [`conflict::Conflict`] that makes one impossible; [`replay::faults`] checks
//! any order independently; [`why::why`] explains one operation;
//! [`rules::check`] applies the safety rules to a route; [`graph::sheet`] draws
//! it. What makes one order better than another is defined in [`cost`].

pub mod assemble;
mod beam;
pub mod certain;
mod certify;
mod compiled;
pub mod conflict;
pub mod cost;
mod exact;
pub mod graph;
mod improve;
pub mod numbers;
pub mod order;
pub mod placed;
mod precedence;
pub mod problem;
pub mod replay;
pub mod rules;
pub mod speech;
mod telling;
mod walk;
pub mod why;

pub use compiled::Demand;

//! Cross-checks a good lead would make: values that are each readable and
//! still can't all be true, and values outside what the trade usually does.

mod agree;
mod arc;
mod axle;
pub mod bounds;
mod carried;
mod carries;
mod fastener;
mod frame;
mod idle;
mod joint;
mod known;
mod never_welded;
mod operation;
mod order;
mod reference;
mod sense;
mod stated;
mod steel;
mod tight;
mod twice;
mod unchanged;

pub use operation::loosens;

use super::JobFile;
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading};
use crate::quantity::{Dimensioned, Kind, Quantity, Style};
use crate::term::Units;

/// All cross-checks of a job.
#[must_use]
pub fn all(job: &JobFile) -> Report {
    let mut report = Report::new();
    reference::check(job, &mut report);
    known::check(job, &mut report);
    order::check(job, &mut report);
    for axle in &job.axle {
        axle::check(job, axle, &mut report);
        unchanged::check(job, axle, &mut report);
        carried::check(job, axle, &mut report);
    }
    for joint in &job.joint {
        joint::check(job, joint, &mut report);
        carries::check(joint, &mut report);
        arc::check(job, joint, &mut report);
        steel::check(job, joint, &mut report);
    }
    for fastener in &job.fastener {
        fastener::check(job, fastener, &mut report);
        tight::check(job, fastener, &mut report);
    }
    fastener::sides(job, &mut report);
    for own in &job.operation {
        operation::check(own, &mut report);
    }
    never_welded::check(job, &mut report);
    agree::check(job, &mut report);
    twice::check(job, &mut report);
    sense::check(job, &mut report);
    stated::check(job, &mut report);
    idle::check(job, &mut report);
    frame::check(job, &mut report);
    report
}

/// Puts a problem where the value stands.
fn at<T>(problem: Diagnostic, value: &Located<T>) -> Diagnostic {
    problem.at(Some(value.span.clone())).key(value.key.clone())
}

/// The key's last part, as typed.
fn name<T>(value: &Located<T>) -> &str {
    let end = value.key.rsplit('.').next().unwrap_or(&value.key);
    end.split('[').next().unwrap_or(end)
}

/// A value as it is to be written, in the units of a job.
fn written(units: Units, style: Style, quantity: impl Into<Quantity>) -> String {
    units.first(style).shop(quantity.into())
}

/// Two values in each other's place, as they are to be written.
fn crossed<T: Dimensioned>(units: Units, a: &Located<Reading<T>>, b: &Located<Reading<T>>) -> String {
    let shop = |value: &Located<Reading<T>>| {
        let quantity = value.value.value.into();
        written(units, Style::of(T::KIND).fine_enough(quantity), quantity)
    };
    format!("{} = \"{}\" and {} = \"{}\"", name(a), shop(b), name(b), shop(a))
}

/// In both units, without its uncertainty.
fn words<T: Dimensioned>(value: &Located<Reading<T>>) -> String {
    let style = Style::of(T::KIND);
    // Nobody weighs a unit to a hundredth of a pound.
    let style = if T::KIND == Kind::Mass { style.as_example() } else { style };
    value.value.first(style).both(value.value.value.into())
}

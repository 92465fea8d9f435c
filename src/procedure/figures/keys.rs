//! Keys of the job file as a person finds them, for what is still missing.

use crate::job::model::Axle;

/// The key path of a field, of whatever the field is in.
pub(super) type Key<'a> = &'a dyn Fn(&str) -> String;

/// Key path of a field of this axle.
pub(super) fn of_axle(axle: &Axle, path: &str) -> String {
    format!("axle.{path} ({})", axle.id.value)
}

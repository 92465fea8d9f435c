//! The procedures that ship with the program.

/// Files under `templates/procedures`, by name.
pub const FILES: &[(&str, &str)] = &[];

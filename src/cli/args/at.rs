//! A time as an argument.

use chrono::{DateTime, FixedOffset};

use crate::app::System;
use crate::app::record::{RecordHost, when};

/// A time that was stated.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct At {
    /// When.
    pub time: DateTime<FixedOffset>,
    /// Whether no offset was typed, so that the zone of this computer was taken.
    pub here: bool,
}

/// Reads a time as a person writes it.
pub(crate) fn time(text: &str) -> Result<At, String> {
    let near = System.now();
    let time = when::read(&System, text, &near).map_err(|p| format!("{}; write {}", p.message, p.example))?;
    Ok(At { time, here: !when::says_offset(text) })
}

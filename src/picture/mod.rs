//! Pictures of filled paper: which page it is, which boxes are ticked, where
//! something is written. What is found are proposals; a person confirms them. The
//! layer knows pages and boxes and nothing of the record.
//!
//! The rules and their limits were set on synthetic pictures only: drawn strokes,
//! simulated scans and telephone pictures. No real paper was used.

mod code;
pub mod decode;
mod discs;
pub mod geometry;
pub mod grey;
mod ink;
mod paper_scan;
mod quiet;
mod read;
mod refused;
mod register;
mod rule;
pub mod unpack;

pub use decode::Pictures;
pub use ink::Features;
pub use read::{Blank, BoxSeen, NotRead, PageSeen, code_of, crop, cut, read, straight};
pub use refused::Unreadable;
pub use rule::RULE;

/// Points to the mm at which boxes are looked at.
pub const SAMPLES: f64 = 8.0;

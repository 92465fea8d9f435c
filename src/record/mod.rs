//! The record of one traveler: an append-only log, its rules, its state.
//!
//! [`entry`] says what a line holds and how it is hashed, [`log`] appends and
//! checks lines, [`frozen`] is the plan the log belongs to, [`state`] folds the
//! entries, [`rules`] decides what may be entered next, [`fitness`] whether people,
//! instruments and lots are fit on the day, [`held`] what is not decided and what waits for it, [`fallen`] which signed points no longer hold, [`made_again`] what starts again behind work that is made again,
//! [`honest`] what would make a yes of a no, [`let_be`] what stands by a decision or on somebody's word, [`received`] what came after the customer signed, [`expected`] readings far from what the plan expects, [`place`] what a person types for a
//! place of the plan, [`change`] compares two
//! revisions, [`left_out`] what none of them takes out, [`moved`] judges again what was read when the plan moves, [`outdated`] tells sheets that it moved, [`journal`] is what
//! stands outside the log and tells of lost lines. Everything binds to stored data and digests, never to the code
//! that computed them, so that a record can be checked as long as it exists.

mod accepted;
pub mod agree;
pub mod arcs;
mod as_found;
pub mod as_left;
pub mod asked_again;
pub mod back_dated;
mod before;
pub mod boxes;
pub mod calibration;
pub mod change;
mod cooling;
mod corrected;
pub mod dated;
mod edition;
mod ended;
pub mod entry;
pub mod expected;
pub mod fallen;
mod fire_watch;
pub mod fitness;
mod followed;
pub mod frozen;
mod gate;
pub mod gone_tool;
pub mod held;
pub mod honest;
pub mod hours;
pub mod identified;
mod initials;
pub mod journal;
mod kept;
mod left_book;
pub mod left_out;
pub mod let_be;
pub mod line;
mod lines;
pub mod log;
pub mod lots;
pub mod made_again;
mod may_weld;
pub mod moved;
mod open;
pub mod order;
pub mod outdated;
mod outside;
mod pair;
mod paper_name;
pub mod people;
pub mod place;
mod proves;
mod put_right;
pub mod question;
pub mod received;
mod released;
mod remedy;
pub mod replay;
pub mod reviewed;
pub mod rules;
pub mod serves;
pub mod state;
pub mod surely;
mod two_places;
pub mod unit_seen;
mod unread;
mod waits;
pub mod waiver;
mod way_out;
pub mod witness;
pub mod words;
mod worked;
mod worse_tool;
pub mod written;

pub use entry::{Action, By, Entry};
pub use frozen::Frozen;
pub use log::{Log, Store};
pub use state::State;

use sha2::{Digest, Sha256};

/// SHA-256 in lower-case hexadecimal.
#[must_use]
pub fn sha256(bytes: &[u8]) -> String {
    hex::encode(Sha256::digest(bytes))
}

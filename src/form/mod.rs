//! Boxes by name: what a page asks for and where, and what came back.
//!
//! A box has one name on paper, in the fill-in copy, in the entry sheet, in the
//! picture and in the log. [`Form`] says which boxes a revision's pages have and
//! where each stands; the typesetter reports it and the revision freezes it. What
//! comes back on whichever way is a [`Proposal`]: shown to a person first, then
//! entered by the one set of rules.

mod code;
mod name;
mod proposal;
mod sheet;

pub use code::{NoPageCode, PageCode};
pub use name::{BoxName, NotAName, Part, Written};
pub use proposal::{Evidence, Pictured, Proposal, Proposed, Way};
pub use sheet::{BoxKind, Form, FormBox, Page, Rect};

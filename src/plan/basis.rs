//! What a plan is resolved from.

use crate::job::JobFile;
use crate::procedure::Library;
use crate::procedure::figures::JobFigures;
use crate::procedure::selected::Selection;
use crate::routing::problem::Problem;
use crate::shop::Book;
use crate::shop::fit::JointFit;
use crate::source::Source;

/// Whether the texts of a plan are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Texts {
    /// All that stands on paper and screen.
    Written,
    /// Readings and their limits alone, and nobody asks what a point rests on.
    LeftOut,
}

/// What a plan is resolved from.
#[derive(Debug, Clone, Copy)]
pub struct Basis<'a> {
    /// Titles, ids, dates and the operations of its own come from here.
    pub job: &'a JobFile,
    /// What was computed from the job, with what is missing.
    pub figures: &'a JobFigures,
    /// The library it was selected from.
    pub library: &'a Library,
    /// Operations the job takes from the library and adds of its own.
    pub selection: &'a Selection<'a>,
    /// What the router was given.
    pub problem: &'a Problem,
    /// Order found: places in the selection.
    pub order: &'a [usize],
    /// The shop book.
    pub book: &'a Book,
    /// Its joints compared with the book.
    pub joints: &'a [JointFit],
    /// The rules that comparison used.
    pub sources: &'a [Source],
    /// Whether texts are written.
    pub texts: Texts,
}

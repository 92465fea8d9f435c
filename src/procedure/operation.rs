//! An operation as the library holds it.

use super::file::OperationRow;

/// An operation of the library.
#[derive(Debug, Clone, PartialEq)]
pub struct Operation {
    /// As its file states it, names and figures not filled in.
    pub row: OperationRow,
    /// Whether several procedures may use it, merged into one.
    pub shared: bool,
}

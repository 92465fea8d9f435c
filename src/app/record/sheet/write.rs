//! Writes an entry sheet.

use super::super::boxes::Row;
use super::{AT_THE_DESK, COLUMNS};
use crate::app::plan::Failure;
use crate::form::BoxKind;

/// What stands between two columns.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Separator {
    /// A comma.
    #[default]
    Comma,
    /// A semicolon: for spreadsheets that write a decimal comma.
    Semicolon,
    /// A tab.
    Tab,
}

impl Separator {
    /// All of them.
    pub(super) const ALL: [Self; 3] = [Self::Comma, Self::Semicolon, Self::Tab];

    pub(super) const fn byte(self) -> u8 {
        match self {
            Self::Comma => b',',
            Self::Semicolon => b';',
            Self::Tab => b'\t',
        }
    }
}

/// Longest text of a step in a cell, in characters.
const LONGEST: usize = 160;

/// The boxes that are open, one a line, in UTF-8 with the mark spreadsheets know it
/// by. Signatures have a line that says where they are made.
///
/// # Errors
/// If a line can't be written.
pub fn write(paper: &str, rows: &[Row], separator: Separator) -> Result<Vec<u8>, Failure> {
    let mut csv = csv::WriterBuilder::new()
        .delimiter(separator.byte())
        .terminator(csv::Terminator::CRLF)
        .from_writer("\u{FEFF}".as_bytes().to_vec());
    let failed = |e: csv::Error| Failure::System(format!("the sheet can't be written: {e}"));
    csv.write_record(COLUMNS).map_err(failed)?;
    for row in rows.iter().filter(|r| r.done.is_none()) {
        let limit = if row.choices.is_empty() {
            row.target.clone().unwrap_or_default()
        } else {
            let numbered = row.choices.iter().zip(1..).map(|(word, n)| format!("{n} {word}"));
            numbered.collect::<Vec<_>>().join(" / ")
        };
        let what = match row.kind {
            BoxKind::Tick => format!("tick: {}", short(&row.label)),
            BoxKind::Initials => format!("initials: {}", row.title),
            BoxKind::Value => row.label.clone(),
            BoxKind::Signature => short(&row.label),
        };
        // One tool that is taken is no choice; of several the person says which.
        let tool = match row.offered() {
            [only] if row.tool_needed => only.as_str(),
            _ => "",
        };
        let value = if row.kind == BoxKind::Signature { AT_THE_DESK } else { "" };
        let cells: [&str; 12] = [
            &row.name.to_string(),
            &row.operation.to_string(),
            &what,
            &limit,
            row.unit.as_deref().unwrap_or_default(),
            &row.offered().join(" or "),
            tool,
            "",
            "",
            value,
            "",
            paper,
        ];
        csv.write_record(cells.map(plain)).map_err(failed)?;
    }
    csv.into_inner().map_err(|e| Failure::System(format!("the sheet can't be written: {e}")))
}

/// A cell a spreadsheet takes for text: one that begins like a formula gets an
/// apostrophe before it, which it hides.
fn plain(cell: &str) -> String {
    let one_line: String = cell.chars().map(|c| if c.is_control() { ' ' } else { c }).collect();
    let formula = |c: char| matches!(c, '=' | '+' | '-' | '@' | '＝' | '＋' | '－' | '＠' | '|' | '%');
    if one_line.trim_start().starts_with(formula) { format!("'{one_line}") } else { one_line }
}

fn short(text: &str) -> String {
    if text.chars().count() <= LONGEST {
        return text.to_owned();
    }
    let kept: String = text.chars().take(LONGEST - 1).collect();
    format!("{}…", kept.trim_end())
}

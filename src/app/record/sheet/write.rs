//! Writes an entry sheet.

use super::super::boxes::Row;
use super::{AT_THE_DESK, COLUMNS, OF_A_PICTURE, PAGE};
use crate::app::plan::Failure;
use crate::form::BoxKind;

/// What stands between two columns.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub enum Separator {
    /// The one taken unless another is asked for.
    #[default]
    Comma,
    /// A semicolon: for spreadsheets that write a decimal comma.
    Semicolon,
    /// The character U+0009.
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

/// A line of a sheet that pictures of paper were read into.
#[derive(Debug, Clone, PartialEq)]
pub enum SheetLine<'a> {
    /// A page: its number, what was read, and the picture as [`super::picture`] gives it.
    Page(u32, String, String),
    /// A box, and what the picture shows of it.
    Box(&'a Row, Beside),
}

/// What a picture shows of a box.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Beside {
    /// What is proposed as its value; empty where a person types it.
    pub value: String,
    /// What the picture shows, in words.
    pub seen: String,
    /// The file that shows it.
    pub crop: String,
    /// The picture as [`super::picture`] gives it.
    pub picture: String,
}

/// The boxes that are open, one a line, in UTF-8 with the mark spreadsheets know it
/// by. Signatures have a line that says where they are made.
///
/// # Errors
/// If a line can't be written.
pub fn write(paper: &str, rows: &[Row], separator: Separator) -> Result<Vec<u8>, Failure> {
    let open = rows.iter().filter(|r| r.done.is_none());
    table(separator, &COLUMNS, open.map(|row| cells(paper, row)))
}

/// The same of what pictures of paper show, page by page.
///
/// # Errors
/// If a line can't be written.
pub fn prefilled(paper: &str, lines: &[SheetLine<'_>], separator: Separator) -> Result<Vec<u8>, Failure> {
    let columns = [&COLUMNS[..], &OF_A_PICTURE[..]].concat();
    let value = COLUMNS.iter().position(|c| *c == "value").unwrap_or_default();
    let all = lines.iter().map(|line| match line {
        SheetLine::Page(number, read, picture) => {
            let what = format!("x where you have compared page {number} with the lines below: {read}");
            let mut cells = vec![String::new(); columns.len()];
            cells[0] = format!("{PAGE} {number}");
            cells[2] = what;
            cells[COLUMNS.len() - 1] = paper.to_owned();
            cells[columns.len() - 1].clone_from(picture);
            cells
        }
        SheetLine::Box(row, beside) => {
            let mut cells = cells(paper, row);
            cells[value].clone_from(&beside.value);
            cells.extend([beside.seen.clone(), beside.crop.clone(), beside.picture.clone()]);
            cells
        }
    });
    table(separator, &columns, all)
}

fn table(
    separator: Separator,
    columns: &[&str],
    lines: impl Iterator<Item = Vec<String>>,
) -> Result<Vec<u8>, Failure> {
    let mut csv = csv::WriterBuilder::new()
        .delimiter(separator.byte())
        .terminator(csv::Terminator::CRLF)
        .from_writer("\u{FEFF}".as_bytes().to_vec());
    let failed = |e: csv::Error| Failure::System(format!("the sheet can't be written: {e}"));
    csv.write_record(columns).map_err(failed)?;
    for line in lines {
        csv.write_record(line.iter().map(|cell| plain(cell))).map_err(failed)?;
    }
    csv.into_inner().map_err(|e| Failure::System(format!("the sheet can't be written: {e}")))
}

/// What a line says of its box for a person: what it is, and by which limit.
pub(super) fn shown(row: &Row) -> (String, String) {
    let limit = if row.choices.is_empty() {
        row.target.clone().unwrap_or_default()
    } else {
        let numbered = row.answers().zip(1..).map(|(word, n)| format!("{n} {word}"));
        numbered.collect::<Vec<_>>().join(" / ")
    };
    let what = match row.kind {
        BoxKind::Tick => format!("tick: {}", short(&row.label)),
        BoxKind::Initials => format!("initials: {}", row.title),
        BoxKind::Value | BoxKind::Note => row.label.clone(),
        BoxKind::Signature => short(&row.label),
    };
    (what, limit)
}

fn cells(paper: &str, row: &Row) -> Vec<String> {
    let (what, limit) = shown(row);
    // One tool that is taken is no choice; of several the person says which.
    let tool = row.only_tool().filter(|_| row.tool_needed).unwrap_or_default();
    let value = if row.kind == BoxKind::Signature { AT_THE_DESK } else { "" };
    let unit = row.unit.as_deref().unwrap_or_default();
    let tools = row.no_tool.clone().unwrap_or_else(|| row.offered().join(" or "));
    let (name, number) = (row.name.to_string(), row.operation.to_string());
    [&name, &number, &what, &limit, unit, &tools, tool, "", "", value, "", paper].map(str::to_owned).to_vec()
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

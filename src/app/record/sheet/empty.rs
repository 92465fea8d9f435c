//! Whether anybody has written into an entry sheet.

use super::read::{header, reader, text};
use super::write::Separator;
use super::{AT_THE_DESK, COLUMNS, OF_A_PICTURE};

/// Columns that only a person fills.
const FILLED: [&str; 4] = ["by", "when", "value", "remark"];

/// Whether a file is an entry sheet, of whichever traveler.
#[must_use]
pub fn is_sheet(bytes: &[u8]) -> bool {
    opened(bytes).is_some()
}

/// Whether a file is an entry sheet of this traveler with nothing filled in by a
/// person: what a picture of paper was read to show may stand there.
#[must_use]
pub fn is_empty(bytes: &[u8], number: &str) -> bool {
    let Some((text, separator, columns, header)) = opened(bytes) else { return false };
    let records: Result<Vec<csv::StringRecord>, _> = reader(&text, separator).into_records().collect();
    // What can't be read may be somebody's work.
    let Ok(records) = records else { return false };
    let mut lines = records.iter().filter(|r| r.position().map_or(0, csv::Position::line) > header);
    lines.all(|record| {
        let cell = |wanted: &str| {
            let at = columns.iter().position(|c| c == wanted);
            at.and_then(|at| record.get(at)).unwrap_or_default().trim()
        };
        let own = cell("traveler").split(' ').next() == Some(number);
        let shown = cell("seen").trim_matches('"');
        let proposed = if cell("seen") == "ticked" { "x" } else { shown };
        let read = |c: &str| c == "value" && !shown.is_empty() && cell(c) == proposed;
        let blank = FILLED.iter().all(|c| cell(c).is_empty() || cell(c) == AT_THE_DESK || read(c));
        // One tool is written in by the program; of several a person chose.
        let tool = cell("tool").is_empty() || cell("tool") == cell("tools");
        let more = columns.iter().zip(record.iter());
        let known = more
            .filter(|(c, _)| !COLUMNS.contains(&c.as_str()) && !OF_A_PICTURE.contains(&c.as_str()))
            .all(|(_, cell)| cell.trim().is_empty());
        own && blank && tool && known && record.len() <= columns.len()
    })
}

/// Text, separator, names of the columns and their line.
fn opened(bytes: &[u8]) -> Option<(String, Separator, Vec<String>, u64)> {
    let text = text("", "", bytes, &mut Vec::new()).ok()?.replace("\r\n", "\n").replace('\r', "\n");
    let (separator, columns, header) = header("", &text).ok()?;
    Some((text, separator, columns, header))
}

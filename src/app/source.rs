//! Reading a job file or a shop book, and saying what a file is that is neither.

use std::path::Path;

use super::failure::{Failure, SourceText};
use super::host::Host;
use crate::diagnostic::{Diagnostic, Report, Span};
use crate::file::{Looks, before_byte, looks};

/// What a file is wanted as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wanted {
    /// A job file.
    Job,
    /// A shop book.
    Shop,
}

/// Tables of which a job file has at least one.
const JOB_TABLES: &[&str] = &["job", "unit", "customer", "work", "axle", "joint", "fastener", "operation"];

/// Tables only a shop book has.
const SHOP_TABLES: &[&str] =
    &["qualification", "wps", "machine", "instrument", "torque_tool", "lot", "preference"];

/// Reads a file as text.
///
/// # Errors
/// If it can't be read (a failure of the system), or is plainly something else:
/// a PDF, a spreadsheet, a table, text in another encoding, a shop book in the
/// place of a job (refused, with what to do).
pub fn read(host: &dyn Host, path: &Path, wanted: Wanted) -> Result<SourceText, Failure> {
    let name = path.display().to_string();
    let bytes = host.bytes(path).map_err(|e| Failure::at(path, &e))?;
    let (what, start) = match wanted {
        Wanted::Job => ("a job file", "tackwright new spring-over --on rear > job.toml"),
        Wanted::Shop => ("a shop book", "tackwright new shop --out shop.toml"),
    };
    let no = |is: String, example: &str| {
        let mut report = Report::new();
        report.push(
            Diagnostic::error("J212", format!("{name} is {is}, not {what}"))
                .at(Some(Span::new(&name, 0..0)))
                .expected(format!("{what}: TOML text in UTF-8"))
                .example(example),
        );
        Err(Failure::Refused(report, vec![SourceText { name: name.clone(), text: String::new() }]))
    };
    match looks(&bytes) {
        Looks::Pdf => no(
            "a PDF".to_owned(),
            "the job is attached to an issued traveler: save the attachment that ends in .toml",
        ),
        Looks::Archive => no("a spreadsheet or a word processor's file".to_owned(), start),
        Looks::Picture => no("a picture".to_owned(), start),
        Looks::Table => no("a table with separators (CSV)".to_owned(), start),
        Looks::Json => no("JSON".to_owned(), start),
        Looks::Utf16 => no("text in UTF-16".to_owned(), "save it again with the encoding UTF-8"),
        Looks::NotUtf8(at) => {
            let (line, before) = before_byte(&bytes, at);
            no(
                format!("text in another encoding, or no text (line {line}, behind \"{}\")", before.trim()),
                "save it again with the encoding UTF-8",
            )
        }
        Looks::Text { text, names } => {
            let has = |name: &str| names.iter().any(|n| n == name);
            let book = SHOP_TABLES.iter().any(|t| has(t));
            match wanted {
                Wanted::Job if book && !has("job") => no(
                    "a shop book".to_owned(),
                    "tackwright check JOB, with the book beside it as shop.toml or named with --shop",
                ),
                Wanted::Shop if has("job") && has("work") => {
                    no("a job file".to_owned(), "tackwright check JOB")
                }
                // A heading that can not be read is told by the reader, at its place.
                Wanted::Job if !JOB_TABLES.iter().any(|t| has(t)) && !text.contains("[job") => {
                    no("text without any table of a job ([job], [unit], [[work]])".to_owned(), start)
                }
                _ => Ok(SourceText { name, text }),
            }
        }
    }
}

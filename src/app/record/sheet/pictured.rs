//! The pictures of paper the lines of a sheet were read from: what each showed, and
//! who compared it with its lines.

use std::collections::BTreeMap;

use super::super::desk::{Actor, Desk};
use super::super::files::RecordHost;
use super::super::paper_kept::{Kept, all, said};
use super::super::paper_seen::words;
use super::PAGE;
use crate::diagnostic::Diagnostic;
use crate::form::{BoxName, Pictured};

/// What a sheet says of pictures.
#[derive(Debug, Default)]
pub(super) struct Pictures {
    kept: Vec<Kept>,
    /// Who compared a page, by the beginning of a picture's digest and the page.
    compared: BTreeMap<(String, u32), String>,
}

/// What a cell of the column `picture` says.
struct Cell<'a> {
    digits: &'a str,
    page: u32,
    printed: Option<BoxName>,
}

impl<'a> Cell<'a> {
    fn read(cell: &'a str) -> Option<Self> {
        let mut parts = cell.splitn(4, ' ');
        let (digits, word, page) = (parts.next()?, parts.next()?, parts.next()?);
        let plain = digits.len() >= 12 && digits.bytes().all(|b| b.is_ascii_hexdigit());
        let printed = match parts.next() {
            None => None,
            Some(name) => Some(name.parse().ok()?),
        };
        (plain && word == PAGE).then_some(Self { digits, page: page.parse().ok()?, printed })
    }
}

impl Pictures {
    /// Reads what is kept of the traveler's pictures.
    pub(super) fn load(&mut self, host: &dyn RecordHost, desk: &Desk) {
        self.kept = all(host, &desk.folder);
    }

    /// Somebody compared a page with its lines; whoever takes the sheet in, if nobody
    /// is named.
    pub(super) fn compared(&mut self, cell: &str, by: Option<&str>, actor: &Actor) {
        if let Some(cell) = Cell::read(cell) {
            let by = by.unwrap_or(&actor.id).to_owned();
            self.compared.insert((cell.digits.to_lowercase(), cell.page), by);
        }
    }

    /// What the picture named in a cell showed of a box.
    ///
    /// # Errors
    /// If no such picture was read, it shows no such box, or nobody compared it.
    pub(super) fn of(
        &self,
        desk: &Desk,
        actor: &Actor,
        cell: &str,
        name: &BoxName,
    ) -> Result<Pictured, Diagnostic> {
        let no = |why: String| {
            Diagnostic::error("L212", why)
                .rule("nothing a picture proposes is entered before a person has compared the two")
        };
        let look =
            format!("read the pictures again: tackwright look {} FILE --sheet FILE.csv", desk.plan.number);
        let said_so = Cell::read(cell)
            .ok_or_else(|| no(format!("\"{cell}\" names no page of a picture")).help(look.clone()))?;
        let digits = said_so.digits.to_lowercase();
        let of_page = |k: &Kept| k.pages.iter().position(|p| p.code.page == said_so.page);
        let found =
            self.kept.iter().filter(|k| k.sha256.starts_with(&digits)).find_map(|k| Some((k, of_page(k)?)));
        let Some((kept, index)) = found else {
            return Err(no(format!(
                "no picture with the digits {} that shows page {} was read for this traveler",
                said_so.digits, said_so.page
            ))
            .help(look));
        };
        let place = kept.place(index);
        let page = &kept.pages[index];
        let printed = said_so.printed.as_ref().unwrap_or(name);
        let Some((_, group, value)) = said(page).into_iter().find(|(n, ..)| *n == printed) else {
            return Err(no(format!("{place} has no box {printed}")).help(look));
        };
        let Some(compared) = self.compared.get(&(digits, said_so.page)) else {
            return Err(no(format!("nobody says that {place} was compared with this line")).help(format!(
                "look at the page and its lines, then write x as the value of \"page {}\"",
                said_so.page
            )));
        };
        desk.scene(actor).person(compared)?;
        Ok(Pictured {
            compared: compared.clone(),
            crops: kept.crops_of(page, printed),
            place,
            rule: kept.rule.clone(),
            sha256: kept.sha256.clone(),
            showed: words(page.boxes[group[0]].kind, &value),
        })
    }
}

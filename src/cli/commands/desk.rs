//! `desk`: a session at the desk, on a terminal or piped.

use std::io::{BufRead, IsTerminal};

use super::asked::hidden;
use super::boxes::{wrapped, wrapped_to};
use crate::app::plan::Failure;
use crate::app::record::boxes::Filter;
use crate::app::record::desk::{self, Access, Actor, Desk};
use crate::app::record::paper_seen::{Seen, see};
use crate::app::record::session::{self, Start, Talk};
use crate::app::record::{RecordHost, refused};
use crate::cli::args::record::DeskArgs;
use crate::cli::{Ending, terminal};

/// Columns of a question.
const QUESTION: usize = 60;

/// The terminal, or what stands in for it.
struct Terminal;

impl Talk for Terminal {
    fn say(&mut self, head: &str, text: &str) {
        terminal::out(wrapped(head, text));
    }

    fn ask(&mut self, prompt: &str) -> Option<String> {
        // Room for the answer on the line of the question.
        terminal::part(format!("{} ", wrapped_to(QUESTION.min(terminal::columns()), "  ", prompt)));
        let mut text = String::new();
        let read = std::io::stdin().lock().read_line(&mut text).unwrap_or(0);
        if read == 0 {
            terminal::out("");
            return None;
        }
        let text = text.trim_end_matches(['\r', '\n']).to_owned();
        if !std::io::stdin().is_terminal() {
            // What was piped in stands where a person would have typed it.
            terminal::out(&text);
        }
        Some(text)
    }

    fn secret(&mut self, prompt: &str) -> Option<String> {
        if std::io::stdin().is_terminal() {
            return hidden(prompt);
        }
        terminal::out(prompt);
        hidden("")
    }
}

pub(super) fn run(host: &dyn RecordHost, args: &DeskArgs) -> Result<Ending, Failure> {
    let folder = desk::find(host, &args.number, args.travelers.as_deref())?;
    let at = super::asked::stated(host, args.at);
    let mut start = Start {
        shop: args.shop.as_deref(),
        at: args.at.map(|at| at.time),
        by: args.by.as_deref(),
        filter: Filter::from(&args.only),
        ..Start::default()
    };
    let mut unread = 0;
    let mut taken = None;
    // The book has to be there, and whoever sits at the desk in it, before anything
    // is asked.
    let access = Access { shop: args.shop.as_deref(), without_book: false };
    let desk = Desk::open_by(host, &folder, access, &at)?;
    let called = args.by.as_deref().map(|by| desk.called(by));
    start.by = called.as_deref();
    if let Some(by) = &called {
        let actor = Actor { id: by.clone(), at };
        desk.scene(&actor).person(by).map_err(refused)?;
        if let Some(file) = &args.take {
            taken = Some(super::sheet::read(host, &desk, &actor, file)?);
        }
    }
    drop(desk);
    if let Some((sheet, bytes)) = &taken {
        for note in &sheet.notes {
            terminal::note(wrapped("! ", note));
        }
        for found in sheet.lines.iter().filter_map(|l| l.read.as_ref().err()) {
            unread += 1;
            terminal::problem(found);
        }
        (start.given, start.unread) = (sheet.proposed(), sheet.unread());
        start.file = Some(sheet.file(bytes));
    }
    let seen = match args.pictures.as_slice() {
        [] => None,
        files => Some(see(host, &folder, files, &mut super::look::progress)?),
    };
    start.pictures = seen.as_ref();
    unread += seen.as_ref().map_or(0, Seen::unread);
    let ended = session::run(host, &folder, start, &mut Terminal)?;
    Ok(if ended.refused + unread > 0 { Ending::Refused } else { Ending::Done })
}

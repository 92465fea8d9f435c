//! `close` and `complete`: the completed record, at the end or as the log stands now.

use super::record::{warn, with};
use crate::app::plan::Failure;
use crate::app::record::RecordHost;
use crate::app::record::close::{self, Completed};
use crate::cli::args::record::{Close, Complete};
use crate::cli::{Ending, terminal};
use crate::term::counted;

pub(super) fn run(host: &dyn RecordHost, args: &Close) -> Result<Ending, Failure> {
    with(host, &args.number, &args.who, true, |desk, actor| {
        let done = close::close(host, desk, actor, None, &args.follow_up, &|| {
            super::key::passphrase(args.passphrase)
        })?;
        terminal::out(format!("{} closed (entry {})", desk.plan.number, done.entry.n));
        written(&done.record);
        for one in &done.follow_ups {
            terminal::out(format!("  still to do: {one}"));
        }
        warn(&done.entry.warnings);
        Ok(Ending::Done)
    })
}

pub(super) fn complete(host: &dyn RecordHost, args: &Complete) -> Result<Ending, Failure> {
    with(host, &args.number, &args.who, true, |desk, actor| {
        let done = close::complete(host, desk, actor, &|| super::key::passphrase(args.passphrase))?;
        written(&done);
        if desk.state.closed.is_none() {
            terminal::note("! It is not closed: the first page says so, and what is open.");
        }
        Ok(Ending::Done)
    })
}

fn written(done: &Completed) {
    terminal::out(format!(
        "{}, {} -> {}",
        counted(done.pages, "page", "pages"),
        seal_words(done.sealed),
        done.path.display()
    ));
    if let Some(number) = &done.let_be {
        terminal::note(format!("! {number}: `verify` names each."));
    }
    for warning in &done.warnings {
        terminal::note(format!("! {warning}"));
    }
}

fn seal_words(sealed: bool) -> &'static str {
    if sealed { "signed" } else { "not signed (tackwright key new makes a key)" }
}

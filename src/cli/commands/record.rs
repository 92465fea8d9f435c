//! Commands of the record: who acts on which traveler, and those that enter one thing
//! and say so; each of the others has a file of its own.

use std::io::IsTerminal;

use super::asked::{hidden, line, stated};
use crate::app::plan::Failure;
use crate::app::record::act::{self, Done, Paper};
use crate::app::record::desk::{self, Access, Actor};
use crate::app::record::{Desk, RecordHost, bars, correction, corrects, photograph};
use crate::cli::args::record::{Corrects, Record, Sign, Who};
use crate::cli::{Ending, terminal};

pub(super) fn run(host: &dyn RecordHost, command: &Record) -> Ending {
    let ended = match command {
        Record::Tick(args) => with(host, &args.number, &args.who, args.corrects.named(), |desk, actor| {
            // What was ticked before a refusal stands, and was said.
            let corrects = replaced(desk, &args.corrects)?;
            args.what
                .iter()
                .flat_map(|what| act::each(what))
                .try_fold(Ending::Done, |_, what| act::tick(desk, &what, actor, corrects.clone()).map(said))
        }),
        Record::Measure(args) => super::measure::run(host, args),
        Record::Sign(args) => {
            let signs = args.nobody_came.is_none();
            with(host, &args.number, &args.who, signs, |desk, actor| {
                // What was signed before a refusal stands, and was said.
                args.what.iter().try_fold(Ending::Done, |_, what| signed(host, desk, actor, args, what))
            })
        }
        Record::Found(args) => with(host, &args.number, &args.who, false, |desk, actor| {
            act::found(host, desk, &args.what, &args.text, &args.photo, actor).map(said)
        }),
        Record::Photo(args) => with(host, &args.number, &args.who, false, |desk, actor| {
            photograph::file(host, desk, &args.what, args.shows, &args.files, actor).map(said)
        }),
        Record::Bars(args) => with(host, &args.number, &args.who, args.corrects.named(), |desk, actor| {
            let measured = (args.across.as_str(), args.along.as_str());
            let corrects = replaced(desk, &args.corrects)?;
            let (done, good) = bars::enter(host, desk, &args.sheet, measured, actor, corrects)?;
            said(done);
            Ok(if good { Ending::Done } else { Ending::Refused })
        }),
        Record::Look(args) => super::look::run(host, args),
        Record::Dispose(args) => with(host, &args.number, &args.who, true, |desk, actor| {
            let entry = args.corrects.as_deref().map(|what| act::entry_meant(desk, what)).transpose()?;
            let corrects = corrects(entry, Some(&args.reason));
            let disposition = act::disposition(&args.disposition)?;
            let decision = act::Decision {
                found: &args.found,
                disposition,
                reason: &args.reason,
                words_stand: args.words_stand,
            };
            act::dispose(desk, decision, actor, corrects).map(said)
        }),
        Record::Waive(args) => with(host, &args.number, &args.who, true, |desk, actor| {
            act::waive_tester(desk, &args.what, &args.tester, &args.reason, actor).map(said)
        }),
        Record::Correct(args) => with(host, &args.number, &args.who, true, |desk, actor| {
            let entry = act::entry_meant(desk, &args.entry)?;
            act::only_taken_back(desk, entry, args.value.as_deref(), actor)?;
            act::withdraw(desk, correction(entry, &args.reason), actor).map(said)
        }),
        Record::Revise(args) => super::revise::run(host, args),
        Record::Status(args) => super::status::run(host, args),
        Record::Desk(args) => super::desk::run(host, args),
        Record::Sheet(args) => super::sheet::run(host, args),
        Record::Copy(args) => super::copies::copy(host, args),
        Record::Returned(args) => super::copies::returned(host, args),
        Record::Close(args) => super::close::run(host, args),
        Record::Complete(args) => super::close::complete(host, args),
        Record::Verify(args) => super::verify::run(host, args),
        Record::Timestamp(args) => super::key::stamp(host, args),
        Record::Key(args) => super::key::run(host, args),
    };
    ended.unwrap_or_else(|failure| terminal::failure(&failure))
}

/// The entry that is corrected, by its number or the place it fills.
pub(super) fn replaced(desk: &Desk, args: &Corrects) -> Result<Option<act::Replaced>, Failure> {
    let entry = args.corrects.as_deref().map(|what| act::entry_meant(desk, what)).transpose()?;
    Ok(corrects(entry, args.reason.as_deref()))
}

fn signed(
    host: &dyn RecordHost,
    desk: &mut Desk,
    actor: &Actor,
    args: &Sign,
    what: &str,
) -> Result<Ending, Failure> {
    let role = &args.role;
    match (&args.nobody_came, &args.seen_on_paper, &args.signer) {
        (Some(notice), ..) => act::waive(host, desk, what, role, notice, actor).map(said),
        (None, Some(place), Some(signer)) => {
            act::seen_on_paper(host, desk, what, role, &Paper { signer, place }, actor).map(said)
        }
        _ => act::sign(host, desk, what, role, actor, None).map(said),
    }
}

/// Acts on a traveler as the person that is named; `identified` where the act asks for
/// the PIN of whoever has one.
pub(super) fn with(
    host: &dyn RecordHost,
    number: &str,
    who: &Who,
    identified: bool,
    act: impl FnOnce(&mut Desk, &Actor) -> Result<Ending, Failure>,
) -> Result<Ending, Failure> {
    let folder = desk::find(host, number, who.travelers.as_deref())?;
    let actor = Actor { id: who.by.clone(), at: stated(host, who.at) };
    let access = Access { shop: who.shop.as_deref(), without_book: who.without_book };
    let mut desk = Desk::open_by(host, &folder, access, &actor.at)?;
    let actor = Actor { id: desk.called(&actor.id), ..actor };
    if identified || who.pin.pin_stdin {
        desk.pin = typed_pin(who.pin.pin_stdin, &desk, &actor);
    }
    act(&mut desk, &actor)
}

fn said(done: Done) -> Ending {
    terminal::out(format!("{} (entry {})", done.words, done.entry.n));
    warn(&done.entry.warnings);
    Ending::Done
}

/// What an entry was taken in with.
pub(super) fn warn(warnings: &[String]) {
    for warning in warnings {
        terminal::note(format!("! {warning}"));
    }
}

/// The PIN: from standard input if asked to, from the terminal if the person
/// has one.
pub(super) fn typed_pin(from_stdin: bool, desk: &Desk, actor: &Actor) -> Option<String> {
    let needed = desk.register.person(&actor.id).is_some_and(|p| p.pin.is_some());
    if from_stdin {
        return line();
    }
    if needed && std::io::stdin().is_terminal() {
        return hidden(&format!("PIN of {}: ", actor.id));
    }
    None
}

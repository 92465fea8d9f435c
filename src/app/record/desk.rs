//! A traveler's folder, opened: frozen plan, log, state, people.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset, NaiveDate};

use super::files::{LogFile, RecordHost};
pub use super::folder::{LOG, TRAVELERS};
use super::pin::{Door, Known};
use super::register::InForce;
use super::tries::Counted;
use super::{folder as places, journal, refused, register, stored, system};
use crate::app::plan::Failure;
use crate::app::shop::ShopBook;
use crate::diagnostic::{Diagnostic, nearest};
use crate::record::back_dated;
use crate::record::calibration;
use crate::record::entry::{Action, Correction, Issue, TakenIn, WITHOUT_BOOK, day};
use crate::record::fallen::{self, Fallen, fallen};
use crate::record::frozen::{Operation, Sheet};
use crate::record::hours;
use crate::record::identified::{BY_ID, not_borne_out};
use crate::record::line::BadLine;
use crate::record::log::{self, Appended, LogError, New, Told};
use crate::record::people::{Register, Signer};
use crate::record::rules::{self, Scene};
use crate::record::state::{self, State};
use crate::record::{By, Entry, Frozen, Log, sha256};
use crate::shop::keep::{Used, keep};
use crate::term::clock::{self, told_text};
use crate::term::counted;

/// Who acts, and when.
#[derive(Debug, Clone)]
pub struct Actor {
    /// Id of the person.
    pub id: String,
    /// When it happened.
    pub at: DateTime<FixedOffset>,
}

/// An opened traveler. While it lives, nobody else can append.
#[derive(Debug)]
pub struct Desk {
    /// Holds the log, the revisions, the photos and what was taken in.
    pub folder: PathBuf,
    /// Locked for as long as the desk is open.
    pub log: Log<LogFile>,
    /// Entries so far.
    pub entries: Vec<Entry>,
    /// State so far.
    pub state: State,
    /// The revision in force.
    pub issue: Issue,
    /// What the revision was frozen as; the rules go by it.
    pub plan: Frozen,
    /// People and instruments.
    pub register: Register,
    /// Ids of the people who had a PIN, by what the record knows.
    pins: Known,
    /// Wrong tries of PINs, as the journal counted them.
    tries: Counted,
    /// Shop book named on the command line.
    pub shop: Option<PathBuf>,
    /// The shop book in force, if there is one.
    pub book: Option<ShopBook>,
    /// True where a lead goes on although the book is gone.
    pub without: bool,
    /// The clock when it was opened.
    pub clock: DateTime<FixedOffset>,
    /// Whether that is a clock somebody set for this one command.
    set_clock: bool,
    /// The PIN that was typed, if one was.
    pub pin: Option<String>,
    /// Who takes in what is entered now, from where; none where it is entered here.
    pub taken_in: Option<TakenIn>,
    /// Whether what is entered only changes what is in memory.
    rehearses: bool,
    /// The day people, instruments and lots are of.
    day: NaiveDate,
    /// The journal of the shop.
    journal: PathBuf,
    /// What is said of a journal that did not see this log from the beginning on.
    unseen: Option<String>,
    /// What is said of another shop book beside the traveler.
    beside: Option<String>,
}

/// A record says what the clock said: only a demonstration is kept by another one.
pub(super) fn set_clock() -> Diagnostic {
    Diagnostic::error("L300", "SOURCE_DATE_EPOCH stands in for the clock")
        .rule("an entry says what the clock said when it was made")
        .expected("the machine's own clock; another one only for a job with invented = true")
        .help("unset SOURCE_DATE_EPOCH; --at says when it happened")
}

/// The code of a log that is lost.
const NO_LOG: &str = "L008";

/// The folder of a traveler: `number` is a folder itself, or a name in
/// `travelers`, or in the usual places.
///
/// # Errors
/// If there is none.
pub fn find(host: &dyn RecordHost, number: &str, travelers: Option<&Path>) -> Result<PathBuf, Failure> {
    let direct = Path::new(number);
    if host.exists(&direct.join(LOG)) {
        return Ok(direct.to_owned());
    }
    let places: Vec<PathBuf> = match travelers {
        Some(folder) => vec![folder.to_owned()],
        None => ["travelers", "jobs/travelers", "."].iter().map(PathBuf::from).collect(),
    };
    // A number is a plain name: it can't leave the folder of travelers.
    for folder in places.iter().filter_map(|place| places::traveler(place, number)) {
        if host.exists(&folder.join(LOG)) {
            return Ok(folder);
        }
    }
    let folders = || places.iter().filter_map(|place| places::traveler(place, number));
    let gone = folders().find_map(|f| lost(host, &f));
    let gone =
        gone.or_else(|| std::iter::once(direct.to_owned()).chain(folders()).find_map(|f| bare(host, &f)));
    if let Some(lost) = gone {
        return Err(refused(lost));
    }
    let known: Vec<String> = places.iter().flat_map(|p| numbers(host, p)).collect();
    let mut problem = Diagnostic::error("L001", format!("there is no traveler \"{number}\""))
        .expected(if known.is_empty() { "a traveler that was issued".to_owned() } else { known.join(", ") })
        .help("give the folder of travelers with --travelers, or issue it first: tackwright issue JOB");
    if let Some(near) = nearest(number, known.iter().map(String::as_str)) {
        problem = problem.help(format!("did you mean \"{near}\"?"));
    }
    Err(refused(problem))
}

/// Numbers of the travelers in a folder.
#[must_use]
pub fn numbers(host: &dyn RecordHost, folder: &Path) -> Vec<String> {
    host.folders(folder)
        .unwrap_or_default()
        .into_iter()
        .filter(|f| host.exists(&f.join(LOG)))
        .filter_map(|f| f.file_name().map(|n| n.to_string_lossy().into_owned()))
        .collect()
}

/// The failure behind a log error.
pub(super) fn log_failure(path: &Path, error: LogError) -> Failure {
    match error {
        LogError::Io(error) => system(path, error),
        LogError::Damaged(_, BadLine::Unknown { .. }) => {
            refused(Diagnostic::error("L280", format!("{}: {error}", path.display())).help(stored::LATER))
        }
        LogError::Damaged(_, BadLine::Changed(_)) => {
            refused(Diagnostic::error("L002", format!("{}: {error}", path.display())).help(
                "nothing was written; restore the log from a copy, or keep the damaged one and ask the lead",
            ))
        }
    }
}

/// By which book a traveler is opened.
#[derive(Debug, Clone, Copy, Default)]
pub struct Access<'a> {
    /// The shop book named; the one it was issued with if absent.
    pub shop: Option<&'a Path>,
    /// Go on where the book is gone; a lead's to say.
    pub without_book: bool,
}

impl Desk {
    /// Opens a traveler and locks its log. People, instruments and lots are those
    /// of the shop book on the day of `at`: the one at `shop`, else the one the
    /// traveler was issued with as it stands now.
    ///
    /// # Errors
    /// As [`Desk::open_by`].
    pub fn open(
        host: &dyn RecordHost,
        folder: &Path,
        shop: Option<&Path>,
        at: &DateTime<FixedOffset>,
    ) -> Result<Self, Failure> {
        Self::open_by(host, folder, Access { shop, without_book: false }, at)
    }

    /// As [`Desk::open`], also where the book is gone.
    ///
    /// # Errors
    /// If it can't be read, is damaged, was never issued, or is not the log the
    /// journal saw; if the book is gone or another one; if `at` is in the future.
    pub fn open_by(
        host: &dyn RecordHost,
        folder: &Path,
        access: Access<'_>,
        at: &DateTime<FixedOffset>,
    ) -> Result<Self, Failure> {
        let clock = host.now();
        rules::time(at, &clock).map_err(refused)?;
        let path = places::log(folder);
        let store = host.log(&path).map_err(|e| system(&path, e))?;
        let mut log = Log::open(store).map_err(|e| log_failure(&path, e))?;
        let chain = log.chain().map_err(|e| log_failure(&path, e))?;
        let entries = chain.entries;
        let Some(issue) = state::issue(&entries).cloned() else {
            return Err(never_issued(host, folder));
        };
        if let Some(why) = places::misnamed(host, folder, &issue.number) {
            return Err(refused(
                Diagnostic::error("L263", why)
                    .rule("one traveler, one folder")
                    .help(format!(
                        "nothing was written; enter it in the folder {}. If that one is gone and this is the newest copy, give it its name back",
                        issue.number
                    )),
            ));
        }
        let journal = journal::place(host, folder);
        let seen = journal::read(host, &journal)?;
        journal::stand_by(&seen, &issue.number, &chain.hashes)?;
        let first = entries.iter().find_map(Entry::issue).unwrap_or(&issue);
        let unseen = journal::missing(host, &journal, &seen, first, &entries);
        let state = state::fold(&entries);
        let plan = stored::frozen_plan(host, folder, &issue)?;
        let InForce { invented, register, book, without } =
            register::of(host, folder, &issue, access.shop, access.without_book, day(at, &clock))?;
        let mut pins = Known::of(&entries, &seen);
        // Another book is named, and the traveler's own one is still there: it knows too.
        if access.shop.is_some() {
            register::with_pin(host, folder).iter().for_each(|id| pins.had(id));
        }
        let own = book.as_ref().filter(|_| access.shop.is_none());
        let beside = own.and_then(|book| register::another_beside(host, folder, book));
        let at_book = book.as_ref().map(|b| Path::new(&b.source.name));
        let tries = Counted::of(host, at_book, (&journal, &seen))?;
        Ok(Self {
            folder: folder.to_owned(),
            log,
            pins,
            tries,
            entries,
            state,
            issue,
            plan,
            register,
            shop: access.shop.map(Path::to_owned),
            book,
            without,
            clock,
            set_clock: host.clock_is_set() && !invented,
            pin: None,
            taken_in: None,
            rehearses: false,
            day: day(at, &clock),
            journal,
            unseen,
            beside,
        })
    }

    /// Does something against a copy: everything is judged as if it was entered,
    /// and nothing is. What a rule would say of a later entry is known that way.
    pub fn rehearse<T>(&mut self, act: impl FnOnce(&mut Self) -> T) -> T {
        let kept = (self.state.clone(), self.entries.clone(), self.rehearses);
        self.rehearses = true;
        let done = act(self);
        (self.state, self.entries, self.rehearses) = kept;
        done
    }

    /// Whether nothing that is entered now is kept.
    #[must_use]
    pub fn rehearses(&self) -> bool {
        self.rehearses
    }

    /// Turns to another time: people, instruments and lots are those of its day.
    ///
    /// # Errors
    /// If it is in the future, or the book can't be read.
    pub fn turn_to(&mut self, host: &dyn RecordHost, at: &DateTime<FixedOffset>) -> Result<(), Failure> {
        rules::time(at, &self.clock).map_err(refused)?;
        let (shop, day) = (self.shop.as_deref(), day(at, &self.clock));
        if self.day == day {
            return Ok(());
        }
        let found = register::of(host, &self.folder, &self.issue, shop, self.without, day)?;
        (self.register, self.book, self.day) = (found.register, found.book, day);
        Ok(())
    }

    /// The id as the book writes it, where it was typed in other letters: `wo` is WO.
    #[must_use]
    pub fn called(&self, id: &str) -> String {
        let people = &self.register.people;
        let mut same = people.iter().filter(|p| p.id.eq_ignore_ascii_case(id.trim())).map(|p| &p.id);
        match (people.iter().any(|p| p.id == id), same.next(), same.next()) {
            (false, Some(only), None) => only.clone(),
            _ => id.to_owned(),
        }
    }

    /// What the rules look at, on the day of `actor`.
    #[must_use]
    pub fn scene(&self, actor: &Actor) -> Scene<'_> {
        Scene {
            plan: &self.plan,
            state: &self.state,
            entries: &self.entries,
            register: &self.register,
            day: day(&actor.at, &self.clock),
            at: Some(actor.at),
        }
    }

    /// Where PINs are tried.
    #[must_use]
    pub fn door(&self) -> Door {
        let book = self.book.as_ref().map(|b| PathBuf::from(&b.source.name));
        let issued = self.entries.first();
        let issued = issued.and_then(|e| DateTime::parse_from_rfc3339(e.clock.as_deref()?).ok());
        Door { book, clock: self.clock, issued, known: self.pins.clone(), counted: self.tries.clone() }
    }

    /// Appends, and folds the new entry in.
    ///
    /// # Errors
    /// If a correction does not fit, the person is not identified where the entry
    /// needs it, or the disk fails.
    pub fn enter(
        &mut self,
        actor: &Actor,
        by: By,
        corrects: Option<Correction>,
        what: Action,
    ) -> Result<Appended, Failure> {
        let new = self.prepared(actor, by, corrects, what)?;
        let undone = new.told.undoes.as_ref().map(|undone| format!("Made again: {}.", undone.words()));
        if self.rehearses {
            let entry = new.entry(self.state.entries + 1, String::new());
            let n = entry.n;
            self.take(entry);
            return Ok(Appended { n, hash: String::new(), warnings: Vec::new() });
        }
        let stood = fallen(&self.plan, &self.state, &[]);
        let path = places::log(&self.folder);
        let mut appended = self.log.append(&new).map_err(|e| log_failure(&path, e))?;
        for entry in self.log.written().to_vec() {
            self.take(entry);
        }
        appended.warnings.extend(undone);
        appended.warnings.extend(self.told_of(&new.what, appended.n));
        // What the plan as it moved says against a signature is told where it is computed.
        let now = fallen(&self.plan, &self.state, &[]);
        let stood = |f: &Fallen| stood.iter().any(|s| s.key == f.key && s.slot == f.slot);
        let new_ones: Vec<Fallen> = now.into_iter().filter(|f| !stood(f)).collect();
        appended.warnings.extend(fallen::told(&new_ones).iter().map(|words| format!("{words}.")));
        appended.warnings.extend(self.beside.iter().map(|why| format!("SHOP BOOK: {why}.")));
        appended.warnings.extend(self.unseen.iter().map(|why| format!("JOURNAL: {why}.")));
        // The entry stands whatever comes next; a failure below is a warning.
        let noted = journal::note(&self.journal, &self.clock, &self.issue.number, appended.n, &appended.hash);
        if let Err(failure) = noted {
            appended.warnings.push(format!("The journal of the shop was not written: {}", failure.words()));
        }
        Ok(appended)
    }

    /// The line an entry would be, behind those that are there; nothing is written.
    ///
    /// # Errors
    /// As [`Desk::enter`], but for the disk.
    pub fn next_line(&self, actor: &Actor, by: By, what: Action) -> Result<Vec<u8>, Failure> {
        let new = self.prepared(actor, by, None, what)?;
        self.log.next_line(new).map_err(|e| log_failure(&places::log(&self.folder), e))
    }

    /// An entry with all that it says beside what is entered.
    fn prepared(
        &self,
        actor: &Actor,
        by: By,
        corrects: Option<Correction>,
        what: Action,
    ) -> Result<New, Failure> {
        if self.set_clock {
            return Err(refused(set_clock()));
        }
        let scene = self.scene(actor);
        scene.since_issue(&actor.at).map_err(refused)?;
        if let Some(correction) = &corrects {
            scene.correction(correction, &what).map_err(refused)?;
            scene.once(correction, &what).map_err(refused)?;
            scene.second_person(correction, &by).map_err(refused)?;
        }
        let person = self.register.person(&by.id);
        if self.without && !person.is_some_and(|p| p.roles.iter().any(|r| r == "lead")) {
            return Err(refused(
                Diagnostic::error("L178", format!("{} may not go on without the shop book", by.id))
                    .rule("no book, no entry")
                    .help("a lead may, with --without-book; or put the book back"),
            ));
        }
        let identified = match (&what, person) {
            (
                Action::Disposition { .. }
                | Action::TesterWaived { .. }
                | Action::Withdrawn {}
                | Action::Revised { .. },
                Some(person),
            ) => Some(self.door().identify(person, self.pin.as_deref())?),
            (
                Action::Disposition { .. }
                | Action::TesterWaived { .. }
                | Action::Withdrawn {}
                | Action::Revised { .. },
                None,
            ) => Some(BY_ID.to_owned()),
            (_, Some(person)) if corrects.is_some() => {
                Some(self.door().identify(person, self.pin.as_deref())?)
            }
            _ => None,
        };
        let told = Told {
            clock: Some(self.clock),
            identified,
            book: self.rests_on(&by.id, &what)?,
            taken_in: self.taken_in.clone(),
            undoes: self.scene(actor).undoes(&what, corrects.is_some()),
        };
        Ok(New { at: actor.at, by, corrects, what, told })
    }

    /// What is told of an entry as it is made, the `n`th: times that can hardly be true, prints
    /// nothing proves, what it rests on and what it was stated.
    fn told_of(&self, what: &Action, n: u64) -> Vec<String> {
        let remarks = hours::remarks(&self.plan, &self.entries);
        let mut told: Vec<String> =
            remarks.into_iter().filter(|r| r.n == n).map(|r| format!("Can that be? {}.", r.words)).collect();
        told.extend(self.unproved(what, n));
        let pin = not_borne_out(&self.entries, self.plan.rules).pop().filter(|(e, _)| e.n == n);
        told.extend(pin.map(|(_, why)| format!("{why}: the record says so.")));
        let given = self.entries.last().and_then(|e| Some((e, back_dated::entered(e)?)));
        told.extend(given.map(|(entry, clock)| {
            format!(
                "Stated {}, and entered {}: the record says so beside it and on its first page.",
                told_text(&entry.at),
                clock::told(&clock)
            )
        }));
        let late = self.entries.last().and_then(|entry| calibration::late(&self.plan, entry));
        told.extend(late.map(|words| format!("{words}: the record says so.")));
        told
    }

    /// Sheets the work of an entry, the `n`th, marks or cuts by whose print nothing proves. Told with
    /// the first entry of an operation, and again once its bars were void: what is said with every
    /// entry is read with none.
    fn unproved(&self, what: &Action, n: u64) -> Vec<String> {
        let key = match what {
            Action::Tick { operation, .. } => &operation.key,
            Action::Measure { reading } => &reading.operation.key,
            _ => return Vec::new(),
        };
        // The cut follows the marks: it is told too.
        let operation = self.plan.operations.iter().find(|o| o.key == *key);
        let cuts = operation.filter(|o| o.acts.iter().any(|a| a == "cut-permanent"));
        let rests = |s: &&Sheet| {
            let on_marks = |o: &Operation| o.builds_on.iter().any(|k| s.operations.contains(k));
            s.operations.contains(key) || cuts.is_some_and(on_marks)
        };
        let told = |s: &&Sheet| {
            let since = self.state.bars_of(s).map_or(0, |(_, mark)| mark.n);
            self.state.marks(key).any(|mark| mark.n > since && mark.n < n)
        };
        let sheets = self.plan.sheets.iter().filter(rests).filter(|s| !told(s));
        sheets
            .filter_map(|s| self.state.unproved(s))
            .map(|why| format!("This work marks or cuts by a sheet at full size, and {why}. If it was used, measure its bars: tackwright bars {} SHEET --across … --along … --by ID", self.plan.number))
            .collect()
    }

    /// Folds an entry in.
    fn take(&mut self, entry: Entry) {
        let old = entry.corrects.as_ref().map(|c| c.entry);
        let old = old.and_then(|n| crate::record::entry::entry(&self.entries, n));
        self.state.go_on(&entry, old);
        self.entries.push(entry);
    }

    /// Digest of the rows of the book an entry rests on: the person's, the tool's
    /// and the lots' it names.
    fn rests_on(&self, person: &str, what: &Action) -> Result<Option<String>, Failure> {
        if self.without {
            return Ok(Some(WITHOUT_BOOK.to_owned()));
        }
        let Some(shop) = &self.book else { return Ok(None) };
        let mut used = Used { people: BTreeSet::from([person.to_owned()]), ..Used::default() };
        if let Action::Measure { reading } = what {
            used.tools.extend(reading.tool.clone());
            let words: Vec<&str> = reading.text.split([',', ';']).map(str::trim).collect();
            let named = |l: &&crate::shop::model::Lot| {
                words
                    .iter()
                    .any(|w| w.eq_ignore_ascii_case(&l.number.value) || w.eq_ignore_ascii_case(&l.id.value))
            };
            used.lots.extend(shop.book.lot.iter().filter(named).map(|l| l.id.value.to_string()));
        }
        let rows = keep(&shop.source.name, &shop.source.text, &used).map_err(refused)?;
        Ok(Some(sha256(rows.as_bytes())))
    }
}

/// Name, id and role for an entry.
#[must_use]
pub fn by(person: &Signer, role: &str) -> By {
    By { id: person.id.clone(), name: person.name.clone(), role: role.to_owned() }
}

/// The refusal of a folder whose log has no issue in it.
pub(super) fn never_issued(host: &dyn RecordHost, folder: &Path) -> Failure {
    if let Some(lost) = lost(host, folder) {
        return refused(lost);
    }
    refused(
        Diagnostic::error("L003", format!("{} was never issued", folder.display()))
            .help("issue it: tackwright issue JOB"),
    )
}

/// What is said of a log that is gone or empty although the journal beside the
/// travelers knows it; none if it does not.
fn lost(host: &dyn RecordHost, folder: &Path) -> Option<Diagnostic> {
    let number = folder.file_name()?.to_string_lossy().into_owned();
    let place = super::journal::place(host, folder);
    let journal = super::journal::read(host, &place).ok()?;
    let entries = journal.notes.iter().filter(|n| *n.traveler == *number).map(|n| n.entries).max()?;
    Some(
        Diagnostic::error(
            NO_LOG,
            format!(
                "the log of {number} is lost: {} knows {} of it",
                place.display(),
                counted(entries, "entry", "entries")
            ),
        )
        .expected(format!("{} from the backup", places::log(folder).display()))
        .help("do not issue it again: a log begun anew is refused")
        .help("without a backup keep the folder and the journal as they are, and go on with a new number"),
    )
}

/// That a folder has what was issued, and no log.
fn bare(host: &dyn RecordHost, folder: &Path) -> Option<Diagnostic> {
    let issued = |f: &PathBuf| host.exists(&f.join("plan.json")) && host.exists(&f.join("manifest.json"));
    host.folders(folder).unwrap_or_default().iter().find(|f| issued(f))?;
    Some(
        Diagnostic::error(NO_LOG, format!("{} has what was issued and no log: it is lost", folder.display()))
            .expected(format!("{} from the backup", places::log(folder).display()))
            .help("without a backup keep the folder as it is, and go on with a new number"),
    )
}

/// Whether a traveler was not found because its log is gone.
#[must_use]
pub fn has_no_log(failure: &Failure) -> bool {
    matches!(failure, Failure::Refused(report, _) if report.problems.iter().any(|p| p.code == NO_LOG))
}

/// Reads a log without locking or changing it.
///
/// # Errors
/// If it can't be read.
pub fn look(host: &dyn RecordHost, folder: &Path) -> Result<log::Chain, Failure> {
    let path = places::log(folder);
    let mut checking = log::Checking::default();
    host.pieces(&path, &mut |piece| checking.take(piece)).map_err(|e| system(&path, e))?;
    Ok(checking.end())
}

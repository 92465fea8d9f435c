//! A traveler's folder, opened: frozen plan, log, state, people.

use std::path::{Path, PathBuf};

use chrono::{DateTime, FixedOffset};

use super::files::{LogFile, RecordHost};
pub use super::folder::LOG;
use super::{folder as places, refused, register, stored, system};
use crate::app::plan::Failure;
use crate::diagnostic::{Diagnostic, nearest};
use crate::record::entry::{Action, Correction, Issue};
use crate::record::log::{self, Appended, LogError, New};
use crate::record::people::{Register, Signer};
use crate::record::rules::{self, Scene};
use crate::record::state::{self, State};
use crate::record::{By, Entry, Frozen, Log};

/// Folder of travelers, when nothing else is said.
pub const TRAVELERS: &str = "travelers";

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
    /// Its folder.
    pub folder: PathBuf,
    /// Its log.
    pub log: Log<LogFile>,
    /// Entries so far.
    pub entries: Vec<Entry>,
    /// State so far.
    pub state: State,
    /// The revision in force.
    pub issue: Issue,
    /// Its plan.
    pub plan: Frozen,
    /// People and instruments.
    pub register: Register,
    /// Shop book named on the command line.
    pub shop: Option<PathBuf>,
}

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
        LogError::Damaged(..) => {
            refused(Diagnostic::error("L002", format!("{}: {error}", path.display())).help(
                "nothing was written; restore the log from a copy, or keep the damaged one and ask the lead",
            ))
        }
    }
}

impl Desk {
    /// Opens a traveler and locks its log. People, instruments and lots are those
    /// of the shop book on the day of `at`: the one at `shop`, else the one the
    /// traveler was issued with as it stands now, else as it was frozen.
    ///
    /// # Errors
    /// If it can't be read, is damaged, or was never issued, or `at` is in the
    /// future.
    pub fn open(
        host: &dyn RecordHost,
        folder: &Path,
        shop: Option<&Path>,
        at: &DateTime<FixedOffset>,
    ) -> Result<Self, Failure> {
        rules::time(at, &host.now()).map_err(refused)?;
        let path = folder.join(LOG);
        let store = host.log(&path).map_err(|e| system(&path, e))?;
        let mut log = Log::open(store).map_err(|e| log_failure(&path, e))?;
        let entries = log.entries().map_err(|e| log_failure(&path, e))?;
        let state = state::fold(&entries);
        let Some(issue) = state::issue(&entries).cloned() else {
            return Err(never_issued(folder));
        };
        let plan = stored::frozen_plan(host, folder, &issue)?;
        let register = register::of(host, folder, &issue, shop, at.date_naive())?;
        let shop = shop.map(Path::to_owned);
        Ok(Self { folder: folder.to_owned(), log, entries, state, issue, plan, register, shop })
    }

    /// What the rules look at, on the day of `actor`.
    #[must_use]
    pub fn scene(&self, actor: &Actor) -> Scene<'_> {
        Scene {
            plan: &self.plan,
            state: &self.state,
            entries: &self.entries,
            register: &self.register,
            day: actor.at.date_naive(),
        }
    }

    /// Appends, and folds the new entry in.
    ///
    /// # Errors
    /// If a correction does not fit, or the disk fails.
    pub fn enter(
        &mut self,
        actor: &Actor,
        by: By,
        corrects: Option<Correction>,
        what: Action,
    ) -> Result<Appended, Failure> {
        if let Some(correction) = &corrects {
            self.scene(actor).correction(correction, &what).map_err(refused)?;
        }
        let new = New { at: actor.at, by, corrects, what };
        let path = self.folder.join(LOG);
        let appended = self.log.append(&new).map_err(|e| log_failure(&path, e))?;
        self.entries = self.log.entries().map_err(|e| log_failure(&path, e))?;
        self.state = state::fold(&self.entries);
        Ok(appended)
    }
}

/// Name, id and role for an entry.
#[must_use]
pub fn by(person: &Signer, role: &str) -> By {
    By { id: person.id.clone(), name: person.name.clone(), role: role.to_owned() }
}

/// The state and the plan of a traveler that is only looked at.
///
/// # Errors
/// If it was never issued, or can't be read.
pub fn standing(host: &dyn RecordHost, folder: &Path) -> Result<(State, Frozen), Failure> {
    let entries = look(host, folder)?.entries;
    let issue = state::issue(&entries).ok_or_else(|| never_issued(folder))?;
    Ok((state::fold(&entries), stored::frozen_plan(host, folder, issue)?))
}

/// The refusal of a folder whose log has no issue in it.
pub(super) fn never_issued(folder: &Path) -> Failure {
    refused(
        Diagnostic::error("L003", format!("{} was never issued", folder.display()))
            .help("issue it: tackwright issue JOB"),
    )
}

/// Reads a log without locking or changing it.
///
/// # Errors
/// If it can't be read.
pub fn look(host: &dyn RecordHost, folder: &Path) -> Result<log::Chain, Failure> {
    let path = folder.join(LOG);
    let bytes = host.bytes(&path).map_err(|e| system(&path, e))?;
    Ok(log::check(&bytes))
}

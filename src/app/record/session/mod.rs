//! A session at the desk: what is open, question by question. Every answer is
//! entered at once by the rules that hold for what is typed, so whenever it stops
//! nothing is lost.

mod ask;
mod back;
mod found;
mod people;
mod pictures;

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

use chrono::{DateTime, FixedOffset};

use super::boxes::{self, Filter, Row, Sight};
use super::desk::{Access, Actor, Desk};
use super::files::RecordHost;
use super::given::{File, How};
use super::paper_seen::Seen;
use super::propose::{self, Came, Good};
use super::recompute::Memo;
use super::when;
use crate::app::plan::Failure;
use crate::form::{BoxKind, BoxName, Evidence, Proposal, Proposed};
use crate::record::rules;
use crate::term::clock::told;
use crate::term::counted;

/// Where questions go and answers come from.
pub trait Talk {
    /// Says something: a head that stands at the beginning of the line, and text.
    fn say(&mut self, head: &str, text: &str);

    /// Asks; none at the end of the input.
    fn ask(&mut self, prompt: &str) -> Option<String>;

    /// Asks for what nobody should see; none at the end of the input.
    fn secret(&mut self, prompt: &str) -> Option<String>;
}

/// What a session begins with.
#[derive(Debug, Default)]
pub struct Start<'a> {
    /// Shop book; the one the traveler was issued with if absent.
    pub shop: Option<&'a Path>,
    /// When the work was done; the clock if absent.
    pub at: Option<DateTime<FixedOffset>>,
    /// Id of who sits at the desk.
    pub by: Option<&'a str>,
    /// What of the traveler.
    pub filter: Filter,
    /// Answers that came on a sheet, and the file they were read from.
    pub given: Vec<(Proposal, How)>,
    /// Boxes of that file that came with what can't be read.
    pub unread: Vec<BoxName>,
    /// What `given` was read from, if it came as a file.
    pub file: Option<File<'a>>,
    /// Pictures of paper to be gone through.
    pub pictures: Option<&'a Seen>,
}

/// How a session ended.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Ended {
    /// Entries made.
    pub entered: usize,
    /// Boxes still open.
    pub open: usize,
    /// Lines of a sheet that were not entered.
    pub refused: usize,
}

/// What was answered.
#[derive(Debug, Clone, PartialEq, Eq)]
enum Answer {
    Text(String),
    Blank,
    Back,
    /// To the next operation.
    Next,
    Stop,
    /// Somebody else did it.
    Who,
    /// Another tool.
    Tool,
    /// Something was found.
    Found,
}

/// Where a question leaves the session.
enum Turn {
    /// To the next question.
    On,
    /// The same box once more.
    Same,
    Stop,
}

struct Session<'a> {
    host: &'a dyn RecordHost,
    talk: &'a mut dyn Talk,
    folder: &'a Path,
    start: Start<'a>,
    at: Option<DateTime<FixedOffset>>,
    keys: BTreeSet<String>,
    /// Who did the work of a role.
    who: BTreeMap<String, String>,
    /// PINs that were right.
    pins: BTreeMap<String, String>,
    /// Tool by what was offered.
    tools: BTreeMap<String, String>,
    /// Boxes that were left blank.
    left: BTreeSet<BoxName>,
    /// Boxes that were asked, the last one last.
    passed: Vec<BoxName>,
    shown: Option<u32>,
    memo: Memo,
    entered: usize,
    /// What a picture shows of the box that is asked.
    shown_by: Option<Shown>,
}

/// What a picture shows of a box.
#[derive(Debug, Clone)]
struct Shown {
    /// Where it comes from, and who compares.
    from: Evidence,
    /// What is answered with `=`; none where only a person can say it.
    value: Option<String>,
}

const HELP: &[&str] = &[
    "Enter leaves the box blank; it is asked again in the next session.",
    "<  goes back to the box before, to look at it or to put it right.",
    "n  goes to the next operation.",
    "w  somebody else did it.   t  another tool.",
    "at 14:05  the time it was done, until the next `at`; at now  the clock.",
    "f  files something that was found here.",
    "q  stops. What was entered stays entered.",
    "=  as the picture shows it, where one was read.",
    "An answer of one letter is written in quotes: \"n\".",
];

/// Leads a person through what is open.
///
/// # Errors
/// If the traveler can't be read, or the filter names nothing of it.
pub fn run(
    host: &dyn RecordHost,
    folder: &Path,
    start: Start<'_>,
    talk: &mut dyn Talk,
) -> Result<Ended, Failure> {
    let at = start.at;
    let sight = Sight::of(host, folder, start.shop, at.unwrap_or_else(|| host.now()))?;
    let keys = boxes::meant(host, folder, &sight.issue, &sight.plan, &start.filter)?;
    let open = open(&sight, &keys).count();
    talk.say(
        "",
        &format!(
            "{} rev {}: {} open here. ? explains the keys, q stops.",
            sight.plan.number,
            sight.plan.revision,
            counted(open, "box is", "boxes are")
        ),
    );
    let mut session = Session {
        host,
        talk,
        folder,
        start,
        at,
        keys,
        who: BTreeMap::new(),
        pins: BTreeMap::new(),
        tools: BTreeMap::new(),
        left: BTreeSet::new(),
        passed: Vec::new(),
        shown: None,
        memo: Memo::default(),
        entered: 0,
        shown_by: None,
    };
    drop(sight);
    let refused = session.all()?;
    let sight = session.sight()?;
    let ended = Ended { entered: session.entered, open: self::open(&sight, &session.keys).count(), refused };
    if let Some(why) = session.waiting(&sight) {
        session.talk.say("  waits: ", &why);
        let told = || {
            let at = (folder, &sight.issue);
            let barred = super::barred::Barred::told(host, at, &sight.scene(), &mut Memo::default());
            (barred, Some(sight.register.clone()))
        };
        let doubted = sight.scene().doubted_tools();
        for one in super::status::for_lead(&sight.scene(), sight.no_book.is_none(), &doubted, told) {
            session.talk.say("  waits for a lead: ", &one);
        }
    }
    session.talk.say(
        "",
        &format!(
            "{} made, {} open.",
            counted(ended.entered, "entry", "entries"),
            counted(ended.open, "box is", "boxes are")
        ),
    );
    Ok(ended)
}

/// Boxes of these operations that are not filled and whose time has come.
fn open<'s>(
    sight: &'s Sight,
    keys: &'s BTreeSet<String>,
) -> impl Iterator<Item = crate::record::boxes::Asked<'s>> {
    let closed = sight.state.closed.is_some();
    let of = sight.plan.operations.iter().filter(move |o| o.deferred == closed && keys.contains(&o.key));
    of.flat_map(|o| sight.plan.boxes_at(o)).filter(|asked| asked.filled(&sight.state).is_none())
}

impl Session<'_> {
    fn time(&self) -> DateTime<FixedOffset> {
        self.at.unwrap_or_else(|| self.host.now())
    }

    fn sight(&self) -> Result<Sight, Failure> {
        Sight::of(self.host, self.folder, self.start.shop, self.time())
    }

    /// Opens the traveler for one answer: nobody else has to wait for a question.
    fn desk(&self) -> Result<Desk, Failure> {
        let access = Access { shop: self.start.shop, without_book: false };
        Desk::open_by(self.host, self.folder, access, &self.time())
    }

    /// Asks until nothing is open or the person stops; gives the lines of a sheet
    /// that were not entered.
    fn all(&mut self) -> Result<usize, Failure> {
        if let Some(seen) = self.start.pictures {
            return self.pictures(seen);
        }
        let mut given = std::mem::take(&mut self.start.given);
        let sheet = self.start.file.is_some();
        loop {
            if !given.is_empty() {
                given = self.take(given, false)?;
            }
            let Some(row) = self.next(sheet)? else { break };
            match self.question(&row)? {
                Turn::On | Turn::Same => {}
                Turn::Stop => break,
            }
        }
        if given.is_empty() {
            return Ok(0);
        }
        self.take(given, true).map(|left| left.len())
    }

    /// Enters what came on a sheet as far as it can be; gives what can't. At the
    /// end it is said why.
    fn take(&mut self, given: Vec<(Proposal, How)>, last: bool) -> Result<Vec<(Proposal, How)>, Failure> {
        let mut desk = self.desk()?;
        let by = self.start.by.unwrap_or_default().to_owned();
        let actor = Actor { id: by, at: self.time() };
        let file = self.start.file;
        let before = desk.state.founds.len();
        let opinions = propose::enter(
            self.host,
            &mut desk,
            &actor,
            (&given, &self.start.unread),
            file.as_ref(),
            &mut self.memo,
        )?;
        let found: Vec<String> = desk.state.founds.iter().skip(before).map(|f| f.number.clone()).collect();
        drop(desk);
        let mut left = Vec::new();
        for opinion in opinions {
            let place = opinion.proposal.from.place.clone();
            match opinion.came {
                Came::Good(good) => {
                    self.entered += 1;
                    self.told(&good, &format!("  {place}: "));
                }
                Came::Same(said) => self.talk.say(&format!("  {place}: "), &said),
                Came::Nothing => {}
                Came::Look(why) if last => self.talk.say(&format!("  {place}: look: "), &why),
                Came::Refused(failure) if last => {
                    let name = format!("{} is NOT entered", opinion.proposal.name);
                    self.talk.say(&format!("  {place}: "), &name);
                    self.no(&failure);
                    left.push((opinion.proposal, How::default()));
                    continue;
                }
                Came::Look(_) | Came::Refused(_) => {
                    let how = given.iter().find(|(p, _)| *p == opinion.proposal).map(|(_, h)| h.clone());
                    left.push((opinion.proposal, how.unwrap_or_default()));
                }
            }
        }
        for number in found {
            self.decide(&number)?;
        }
        Ok(left)
    }

    /// The next box to ask: open, not waiting, not left blank. With a sheet only
    /// signatures are asked.
    fn next(&mut self, sheet: bool) -> Result<Option<Row>, Failure> {
        let sight = self.sight()?;
        let scene = sight.scene();
        let now = boxes::in_force(self.host, self.folder, &sight.issue, &scene, &mut self.memo)?;
        let found = open(&sight, &self.keys).find(|asked| {
            !self.left.contains(&asked.name)
                && (!sheet || asked.kind() == BoxKind::Signature)
                && boxes::waits(&scene, now.as_deref(), asked).is_none()
        });
        let Some(asked) = found else { return Ok(None) };
        Ok(Some(boxes::row(&scene, now.as_deref(), &asked)))
    }

    /// What the first box that waits is waiting for.
    fn waiting(&mut self, sight: &Sight) -> Option<String> {
        let scene = sight.scene();
        let now =
            boxes::in_force(self.host, self.folder, &sight.issue, &scene, &mut self.memo).ok().flatten();
        open(sight, &self.keys).find_map(|asked| boxes::waits(&scene, now.as_deref(), &asked))
    }

    fn question(&mut self, row: &Row) -> Result<Turn, Failure> {
        if self.shown != Some(row.operation) {
            self.shown = Some(row.operation);
            self.talk.say("", "");
            self.talk.say(&format!("{} ", row.operation), &format!("{} [{}]", row.title, row.station));
        }
        if self.passed.last() != Some(&row.name) {
            self.passed.push(row.name.clone());
        }
        match row.kind {
            BoxKind::Tick | BoxKind::Initials => self.tick(row),
            BoxKind::Value => self.reading(row, How::default()),
            BoxKind::Signature => self.signature(row),
            // No box of the plan is one.
            BoxKind::Note => Ok(Turn::On),
        }
    }

    /// Asks, and does what can be done at any question.
    fn prompt(&mut self, prompt: &str) -> Answer {
        loop {
            let Some(text) = self.talk.ask(prompt) else { return Answer::Stop };
            let text = text.trim();
            match text {
                "" => return Answer::Blank,
                "<" => return Answer::Back,
                "n" => return Answer::Next,
                "q" => return Answer::Stop,
                "w" => return Answer::Who,
                "t" => return Answer::Tool,
                "f" => return Answer::Found,
                "?" => HELP.iter().for_each(|line| self.talk.say("  ", line)),
                _ => match text.strip_prefix("at ") {
                    Some(time) => self.set_time(time),
                    None => {
                        let quoted = text.strip_prefix('"').and_then(|t| t.strip_suffix('"'));
                        return Answer::Text(quoted.filter(|t| t.len() == 1).unwrap_or(text).to_owned());
                    }
                },
            }
        }
    }

    fn set_time(&mut self, text: &str) {
        if text.trim() == "now" {
            self.at = None;
            self.talk.say("  ", "The clock's time from here on.");
            return;
        }
        let now = self.host.now();
        let read = when::read(self.host, text, &self.time());
        // A time that would be refused with every answer is refused at once.
        match read.and_then(|at| rules::time(&at, &now).map(|()| at)) {
            Ok(at) => {
                self.at = Some(at);
                self.talk.say("  ", &format!("Done at {} from here on.", told(&at)));
            }
            Err(problem) => self.no(&super::refused(problem)),
        }
    }

    /// What holds at every question; none if it has to be answered there.
    fn anywhere(&mut self, row: &Row, answer: &Answer) -> Result<Option<Turn>, Failure> {
        Ok(Some(match answer {
            Answer::Stop => Turn::Stop,
            Answer::Blank => {
                self.left.insert(row.name.clone());
                Turn::On
            }
            Answer::Next => {
                let sight = self.sight()?;
                let here = open(&sight, &self.keys).filter(|a| a.operation.number == row.operation);
                self.left.extend(here.map(|a| a.name));
                Turn::On
            }
            Answer::Back => self.go_back(row)?,
            Answer::Found => self.something_found(row)?,
            Answer::Text(_) | Answer::Who | Answer::Tool => return Ok(None),
        }))
    }

    /// Enters an answer; none if a rule says no, which is said.
    fn enter(&mut self, proposal: &Proposal, how: &How, by: &str) -> Result<Result<Good, Failure>, Failure> {
        let mut proposal = proposal.clone();
        let mut actor = Actor { id: by.to_owned(), at: self.time() };
        if let (Some(shown), Some(sits)) = (&self.shown_by, self.start.by) {
            proposal.from = shown.from.clone();
            proposal.by = Some(by.to_owned());
            actor.id = sits.to_owned();
        }
        let mut desk = self.desk()?;
        if how.corrects.is_some() {
            desk.pin = self.pin(&desk, by);
        }
        let before = desk.state.founds.len();
        let came = propose::one(self.host, &mut desk, &actor, &proposal, how, &mut self.memo);
        let found: Vec<String> = desk.state.founds.iter().skip(before).map(|f| f.number.clone()).collect();
        drop(desk);
        match came {
            Ok(Came::Good(good)) => {
                self.entered += 1;
                self.told(&good, "  ");
                for number in found {
                    self.decide(&number)?;
                }
                Ok(Ok(good))
            }
            Ok(Came::Same(said) | Came::Look(said)) => {
                self.talk.say("  ", &said);
                Ok(Err(Failure::System(said)))
            }
            Ok(Came::Nothing) => Ok(Err(Failure::System(String::new()))),
            Ok(Came::Refused(failure)) | Err(failure) => {
                self.no(&failure);
                Ok(Err(failure))
            }
        }
    }

    /// Says what was entered, and what a person should read of it.
    fn told(&mut self, good: &Good, head: &str) {
        self.talk.say(head, &format!("{} (entry {})", good.words, good.n));
        for warning in &good.warnings {
            self.talk.say("  ! ", warning);
        }
        for changed in &good.changed {
            self.talk.say("    now ", changed);
        }
    }

    /// Says why something was not entered, and the way out.
    pub(super) fn no(&mut self, failure: &Failure) {
        let Failure::Refused(report, _) = failure else {
            let words = failure.words();
            self.talk.say("  NO: ", &words);
            return;
        };
        for problem in &report.problems {
            self.talk.say("  NO: ", &problem.message);
            if !problem.expected.is_empty() {
                self.talk.say("    expected: ", &problem.expected);
            }
            if !problem.example.is_empty() {
                self.talk.say("    write: ", &problem.example);
            }
            for help in &problem.help {
                self.talk.say("    ", help);
            }
        }
    }
}

/// A proposal that was typed at the desk.
fn typed(name: &BoxName, value: Proposed, tool: Option<String>) -> Proposal {
    Proposal { name: name.clone(), value, by: None, at: None, tool, from: Evidence::default() }
}

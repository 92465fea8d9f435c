//! The boxes of a traveler as they stand: what each asks for, by which limits now,
//! with which instruments, what it waits for, and what was entered.
//!
//! Its shape for machines is described in DEVELOPERS.md, "Shapes of `--json`".

use std::collections::BTreeSet;
use std::path::Path;

use chrono::{DateTime, FixedOffset};
use serde_json::{Value as Json, json};

use super::barred::Barred;
use super::desk;
use super::files::RecordHost;
use super::judged::between;
use super::recompute::{Memo, Now};
use super::{refused, register, stored};
use crate::app::plan::Failure;
use crate::diagnostic::{Diagnostic, nearest};
use crate::form::{BoxKind, BoxName};
use crate::quantity::{Quantity, Style, Toward};
use crate::record::Entry;
use crate::record::boxes::{Asked, What};
use crate::record::entry::Issue;
use crate::record::fallen::fallen;
use crate::record::fitness::read_off;
use crate::record::frozen::{Frozen, Limits, Operation, Reading, Usual};
use crate::record::moved;
use crate::record::people::Register;
use crate::record::rules::{Scene, short};
use crate::record::state::{self, State};
use crate::term::{Side, Units, bar};

/// Which boxes are meant; all of them if nothing is said.
#[derive(Debug, Clone, Default)]
pub struct Filter {
    /// Stations: their letters on the paper, or the places they are at.
    pub station: Vec<String>,
    /// Operations: number, key or id.
    pub operation: Vec<String>,
}

/// A traveler that is looked at: nothing is locked or changed.
#[derive(Debug)]
pub struct Sight {
    /// Entries so far.
    pub entries: Vec<Entry>,
    /// State so far.
    pub state: State,
    /// The revision in force.
    pub issue: Issue,
    /// What the revision was frozen as; box names and limits come from it.
    pub plan: Frozen,
    /// People and instruments of that day.
    pub register: Register,
    /// Why the shop book could not be read; instruments are then not known.
    pub no_book: Option<String>,
    /// When it is looked at.
    pub at: DateTime<FixedOffset>,
}

impl Sight {
    /// Looks at a traveler.
    ///
    /// # Errors
    /// If it was never issued, or can't be read.
    pub fn of(
        host: &dyn RecordHost,
        folder: &Path,
        shop: Option<&Path>,
        at: DateTime<FixedOffset>,
    ) -> Result<Self, Failure> {
        let entries = desk::look(host, folder)?.entries;
        let issue = state::issue(&entries).ok_or_else(|| desk::never_issued(host, folder))?.clone();
        let plan = stored::frozen_plan(host, folder, &issue)?;
        let found = register::of(host, folder, &issue, shop, false, at.date_naive());
        let (register, no_book) = match found {
            Ok(found) => (found.register, None),
            Err(failure) => (Register::default(), Some(failure.words())),
        };
        Ok(Self { state: state::fold(&entries), entries, issue, plan, register, no_book, at })
    }

    /// What the rules look at.
    #[must_use]
    pub fn scene(&self) -> Scene<'_> {
        Scene {
            plan: &self.plan,
            state: &self.state,
            entries: &self.entries,
            register: &self.register,
            day: self.at.date_naive(),
            at: Some(self.at),
        }
    }
}

/// A box as it stands.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// By the operation's key, so that it outlasts a renumbering.
    pub name: BoxName,
    /// As typed for a command: `120.first.left`.
    pub typed: String,
    /// What goes into it.
    pub kind: BoxKind,
    /// Number of its operation.
    pub operation: u32,
    /// Verb and title of its operation.
    pub title: String,
    /// Where it is done.
    pub station: String,
    /// Done after hand-over.
    pub deferred: bool,
    /// What it asks for.
    pub label: String,
    /// Words it is answered with.
    pub choices: Vec<String>,
    /// Those of them that rest on a paper: its number or date is written behind the word.
    pub papers: Vec<String>,
    /// Unit of a bare number.
    pub unit: Option<String>,
    /// Which units stand first where a value is said in two.
    pub units: Units,
    /// Target and tolerance in force, in words.
    pub target: Option<String>,
    /// The same as printed, where it is another one by now.
    pub printed: Option<String>,
    /// Limits in force.
    pub limits: Option<Limits>,
    /// What is accepted with the first of its tools, in words: the limits taken in by its
    /// uncertainty; none where that tool changes nothing.
    pub accepted: Option<String>,
    /// The least and the most that is usual where nothing limits it.
    pub usual: Option<Usual>,
    /// Instrument as the paper names it.
    pub instrument: Option<String>,
    /// Ids of the instruments that will be taken; those the paper names first.
    pub tools: Vec<String>,
    /// Why none of them is, in words; none where one is, or none is needed.
    pub no_tool: Option<String>,
    /// How many of them are of the kind the paper names.
    pub named: usize,
    /// Whether a tool has to be named.
    pub tool_needed: bool,
    /// Roles it is for.
    pub roles: Vec<String>,
    /// Ids of those in that role who will be taken: they have the test, the certificate or
    /// the distance it asks for.
    pub people: Vec<String>,
    /// Whether others have the role as well, and will not be taken.
    pub only_some: bool,
    /// Side of the unit.
    pub side: Option<Side>,
    /// Box of the reading it has to agree with, and how far off it may be.
    pub near: Option<(BoxName, Quantity)>,
    /// How far left and right may be apart.
    pub apart: Option<Quantity>,
    /// What it waits for.
    pub waits_for: Option<String>,
    /// What was entered.
    pub done: Option<Filled>,
}

impl Row {
    /// The words it is answered with, as they are offered: behind one that rests on a paper
    /// its number or date is typed.
    pub fn answers(&self) -> impl Iterator<Item = String> {
        self.choices.iter().map(|word| {
            if self.papers.contains(word) { format!("{word}: number or date") } else { word.clone() }
        })
    }

    /// Whether an answer is one of its words, or the number of one; with a paper behind it
    /// where the word rests on one.
    #[must_use]
    pub fn takes(&self, answer: &str) -> bool {
        let (said, paper) = answer.split_once(':').map_or((answer, None), |(said, rest)| (said, Some(rest)));
        let place = said.trim().parse::<usize>().ok().and_then(|n| n.checked_sub(1));
        let word = place
            .and_then(|place| self.choices.get(place))
            .or_else(|| self.choices.iter().find(|word| word.eq_ignore_ascii_case(said.trim())));
        let whole = self.choices.iter().any(|word| word.eq_ignore_ascii_case(answer.trim()));
        whole || word.is_some_and(|word| paper.is_none() || self.papers.contains(word))
    }
}

impl Row {
    /// Ids of the instruments to offer: those of the kind the paper names, or all
    /// that will be taken where the shop has none of that kind.
    #[must_use]
    pub fn offered(&self) -> &[String] {
        if self.named == 0 { &self.tools } else { self.tools.get(..self.named).unwrap_or_default() }
    }

    /// The instrument that is no choice: the only one of the kind the paper names. One of
    /// another kind is named by whoever took it.
    #[must_use]
    pub fn only_tool(&self) -> Option<&str> {
        match (self.named, self.offered()) {
            (1, [only]) => Some(only),
            _ => None,
        }
    }
}

/// What was entered in a box.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Filled {
    /// Place of the entry.
    pub entry: u64,
    /// Id of the person.
    pub by: String,
    /// Printed name.
    pub name: String,
    /// As stated; RFC 3339 with offset.
    pub at: String,
    /// The value as it was written; how a point was signed.
    pub value: Option<String>,
    /// Id of the instrument it was read with; none where none was named.
    pub tool: Option<String>,
    /// Verdict of a reading.
    pub verdict: Option<String>,
    /// Why a signature no longer holds, or a word is in question; none where it stands.
    pub no_longer: Option<String>,
}

/// The operations a filter means, by key.
///
/// # Errors
/// If a station or an operation is not one of the traveler.
pub fn meant(
    host: &dyn RecordHost,
    folder: &Path,
    issue: &Issue,
    plan: &Frozen,
    filter: &Filter,
) -> Result<BTreeSet<String>, Failure> {
    let all = || plan.operations.iter().map(|o| o.key.clone());
    if filter.station.is_empty() && filter.operation.is_empty() {
        return Ok(all().collect());
    }
    let mut keys = BTreeSet::new();
    for name in &filter.operation {
        let place = plan.meant(name).map_err(refused)?;
        keys.insert(place.operation().key.clone());
    }
    for name in &filter.station {
        let place = |o: &&Operation| o.station.eq_ignore_ascii_case(name);
        let mut found: Vec<String> = plan.operations.iter().filter(place).map(|o| o.key.clone()).collect();
        if found.is_empty() {
            let numbers = station(host, folder, issue, name)?;
            let here = |o: &&Operation| numbers.contains(&u64::from(o.number));
            found = plan.operations.iter().filter(here).map(|o| o.key.clone()).collect();
        }
        if found.is_empty() {
            let mut places: Vec<&str> = plan.operations.iter().map(|o| o.station.as_str()).collect();
            places.sort_unstable();
            places.dedup();
            let mut problem =
                Diagnostic::error("L206", format!("\"{name}\" is no station of {}", plan.number))
                    .expected(format!("a letter of the paper's list of stations, or {}", places.join(", ")));
            if let Some(near) = nearest(name, places) {
                problem = problem.help(format!("did you mean \"{near}\"?"));
            }
            return Err(refused(problem));
        }
        keys.extend(found);
    }
    Ok(keys)
}

/// Numbers of the operations at a station of the paper that was issued.
fn station(
    host: &dyn RecordHost,
    folder: &Path,
    issue: &Issue,
    letter: &str,
) -> Result<BTreeSet<u64>, Failure> {
    let document = stored::file(host, folder, issue, "document.json")?;
    let document: Json =
        serde_json::from_slice(&document).map_err(|e| Failure::System(format!("document.json: {e}")))?;
    let mut found = BTreeSet::new();
    let lists = ["stations", "later_stations"].into_iter().filter_map(|name| document[name].as_array());
    for station in lists.flatten() {
        if station["letter"].as_str().is_some_and(|l| l.eq_ignore_ascii_case(letter)) {
            found.extend(station["operations"].as_array().into_iter().flatten().filter_map(Json::as_u64));
        }
    }
    Ok(found)
}

/// The plan with what was measured in place; none while nothing measured changes it.
///
/// # Errors
/// If the stored revision can't be read.
pub fn in_force(
    host: &dyn RecordHost,
    folder: &Path,
    issue: &Issue,
    scene: &Scene<'_>,
    memo: &mut Memo,
) -> Result<Option<std::sync::Arc<Now>>, Failure> {
    if !moved::moves(scene.plan, scene.state) {
        return Ok(None);
    }
    let content = memo.content(host, folder, issue)?;
    // Readings that make the plan impossible to compute leave the printed one.
    Ok(memo.now(&content, scene.state).ok())
}

/// The boxes of these operations, in the order of the work.
#[must_use]
pub fn rows(scene: &Scene<'_>, now: Option<&Now>, keys: &BTreeSet<String>) -> Vec<Row> {
    let mut all = Vec::new();
    let barred = now.map(|now| Barred::by(scene, now)).unwrap_or_default();
    let fallen = fallen(scene.plan, scene.state, barred.lost());
    let questioned = scene.state.questioned(scene.plan);
    for operation in scene.plan.operations.iter().filter(|o| keys.contains(&o.key)) {
        for asked in &scene.plan.boxes_at(operation) {
            let mut row = row(scene, now, asked);
            if let (What::Signature(point, ..), Some(done)) = (asked.what, &mut row.done) {
                let own = fallen.iter().find(|f| f.key == operation.key && f.slot == point.slot);
                done.no_longer = own.map(|f| short(&f.why));
            }
            if let (What::Reading(_, reading), Some(done)) = (asked.what, &mut row.done) {
                let own = questioned
                    .iter()
                    .find(|q| q.operation.key == operation.key && q.reading.id == reading.id);
                done.no_longer =
                    own.map(|q| format!("in question: chosen before {} was found there", q.found.number));
            }
            all.push(row);
        }
    }
    all
}

/// What a box that is not filled waits for. `now` is the plan with what was measured in
/// place; none while nothing measured changes it.
#[must_use]
pub fn waits(scene: &Scene<'_>, now: Option<&Now>, asked: &Asked<'_>) -> Option<String> {
    let said = match asked.what {
        What::Signature(point, ..) => scene.point_waits(asked.operation, point).and_then(|()| match now {
            Some(now) => Barred::by(scene, now).lets(scene, asked.operation, point),
            None => Ok(()),
        }),
        What::Tick(_) => scene.work_waits(asked.operation),
        What::Initials => {
            scene.work_waits(asked.operation).and_then(|()| scene.settled_after(asked.operation))
        }
        What::Reading(_, reading) => scene.reading_waits(asked.operation, &reading.id),
        // A print is measured before the work it is used for, whenever that is.
        What::Bars(_) => Ok(()),
    };
    said.err().map(|problem| problem.message)
}

/// One box as it stands.
#[must_use]
pub fn row(scene: &Scene<'_>, now: Option<&Now>, asked: &Asked<'_>) -> Row {
    let operation = asked.operation;
    let done = filled(scene.state, asked);
    let mut row = Row {
        name: asked.name.clone(),
        typed: asked.typed(),
        kind: asked.kind(),
        operation: operation.number,
        title: format!("{} {}", operation.verb.to_uppercase(), operation.title),
        station: operation.station.clone(),
        deferred: operation.deferred,
        label: String::new(),
        choices: Vec::new(),
        papers: Vec::new(),
        unit: None,
        units: scene.plan.units,
        target: None,
        printed: None,
        limits: None,
        accepted: None,
        usual: None,
        instrument: None,
        tools: Vec::new(),
        no_tool: None,
        named: 0,
        tool_needed: false,
        roles: if operation.role.is_empty() { Vec::new() } else { vec![operation.role.clone()] },
        people: Vec::new(),
        only_some: false,
        side: None,
        near: None,
        apart: None,
        waits_for: if done.is_some() { None } else { waits(scene, now, asked) },
        done,
    };
    let people = match asked.what {
        What::Tick(step) => scene.workers(operation, step.by.as_deref()),
        What::Initials => scene.workers(operation, None),
        What::Reading(step, reading) => scene.readers(operation, Some(step), reading),
        What::Signature(point, role, _) => scene.signers(operation, point, role),
        What::Bars(_) => Vec::new(),
    };
    row.people = people.into_iter().map(str::to_owned).collect();
    match asked.what {
        What::Tick(step) => {
            row.label.clone_from(&step.text);
            row.roles.splice(0..0, step.by.clone());
        }
        What::Initials => row.label = "done as written".to_owned(),
        What::Reading(step, reading) => {
            row.roles.splice(0..0, step.by.clone());
            asks(&mut row, scene, now, operation, reading);
        }
        What::Signature(point, role, _) => {
            row.label = format!("{} {}: {}", point.kind, point.number, point.what);
            row.roles = vec![role.to_owned()];
        }
        What::Bars(sheet) => {
            row.title.clone_from(&sheet.title);
            row.label = format!("100 mm bars of the print marked {}: across / along", sheet.mark());
            row.unit = Some("mm".to_owned());
            row.target = Some(format!("100 ± {} mm each", bar::LIMIT));
            // Whoever printed it.
            row.roles.clear();
        }
    }
    let all = row.roles.first().map_or(0, |role| scene.people_able(role, |_| true).len());
    row.only_some = row.people.len() < all;
    row
}

fn asks(row: &mut Row, scene: &Scene<'_>, now: Option<&Now>, operation: &Operation, reading: &Reading) {
    let force = now.and_then(|n| n.readings.get(&(operation.key.clone(), reading.id.clone())));
    // Where a reading made the limits impossible to compute, the paper holds.
    let bounded = |l: &Limits| l.lower.is_some() || l.upper.is_some();
    let lost = reading.limits.is_some_and(|l| bounded(&l))
        && force.is_some_and(|f| !f.limits.is_some_and(|l| bounded(&l)));
    let force = force.filter(|_| !lost);
    row.label.clone_from(&reading.label);
    row.choices = reading.choices.iter().map(|c| c.word.clone()).collect();
    row.papers = reading.choices.iter().filter(|c| c.paper).map(|c| c.word.clone()).collect();
    row.unit.clone_from(&reading.unit);
    row.limits = force.and_then(|f| f.limits).or(reading.limits);
    row.target = force.map_or_else(|| reading.target.clone(), |f| f.target.clone());
    row.printed = reading.target.clone().filter(|_| row.target != reading.target);
    row.instrument.clone_from(&reading.instrument);
    row.side = reading.id.rsplit('.').next().and_then(Side::of);
    row.near = reading.near.as_ref().map(|n| (BoxName::reading(&n.to.operation, &n.to.reading), n.within));
    row.apart = reading.apart;
    row.usual = reading.usual;
    if let Some(limits) = row.limits {
        row.tool_needed = reading.instrument.as_deref().is_some_and(|needed| !read_off(needed));
        let value = scene.wanted(reading, limits);
        let needed = reading.instrument.as_deref();
        let (named, others) = scene.takes(needed, reading.to_prove(limits), value);
        row.named = named.len();
        row.tools = named.iter().chain(&others).map(|i| i.id.clone()).collect();
        let first = named.first().or(others.first());
        let taken_in = first.and_then(|tool| Some((tool, limits.proven_with(tool)?)));
        row.accepted = taken_in.map(|(tool, l)| format!("{} with {}", between(row.units, l), tool.id));
        row.no_tool = (row.tool_needed && row.tools.is_empty() && scene.register.instruments.is_some())
            .then(|| scene.takes_none(needed, limits, value));
    }
}

fn filled(state: &State, asked: &Asked<'_>) -> Option<Filled> {
    let mark = asked.filled(state)?;
    let mut filled = Filled {
        entry: mark.n,
        by: mark.by.id.clone(),
        name: mark.by.name.clone(),
        at: mark.at.clone(),
        ..Filled::default()
    };
    match asked.what {
        What::Reading(_, reading) => {
            let (measured, _) = state.reading(&asked.operation.key, &reading.id)?;
            filled.value = Some(measured.text.clone());
            filled.tool.clone_from(&measured.tool);
            filled.verdict = Some(measured.verdict.to_string());
        }
        What::Bars(sheet) => {
            let (bars, _) = state.bars_of(sheet)?;
            filled.value = Some(bars.text.clone());
            filled.verdict = Some(bars.verdict.to_string());
        }
        What::Signature(point, ..) => {
            let signed = state.signatures(&asked.operation.key, &point.slot);
            filled.value = signed.iter().find(|s| s.mark.n == mark.n).map(|s| s.how.clone());
        }
        What::Tick(_) | What::Initials => {}
    }
    Some(filled)
}

/// What to type to fill a box, with words in capitals for what only the person
/// knows.
#[must_use]
pub fn command(number: &str, row: &Row) -> String {
    let name = &row.name;
    // Where it can be nobody else, the command says who.
    let by = match row.people.as_slice() {
        [only] => only.as_str(),
        _ => "ID",
    };
    match row.kind {
        BoxKind::Tick | BoxKind::Initials => format!("tackwright tick {number} {name} --by {by}"),
        BoxKind::Value if name.on_paper() => {
            let digits = row.typed.rsplit(' ').next().unwrap_or_default();
            format!("tackwright bars {number} {digits} --across MM --along MM --by {by}")
        }
        BoxKind::Value => {
            let with = if row.tool_needed { " --with TOOL" } else { "" };
            format!("tackwright measure {number} {name} VALUE{with} --by {by}")
        }
        // Only the paper keeps them.
        BoxKind::Note => String::new(),
        BoxKind::Signature => {
            let role = row.roles.first().map_or("ROLE", String::as_str);
            format!("tackwright sign {number} {name} --as {role} --by {by}")
        }
    }
}

/// A box for machines.
#[must_use]
pub fn json(number: &str, row: &Row) -> Json {
    // As fine as the value: 0.002 in must not read as nothing. No limit reads looser than it is.
    let said = |q: Quantity, toward: Toward| {
        let style = Style { toward, ..Style::of(q.kind()).fine_enough(q) };
        json!({ "si": q.si(), "text": row.units.first(style).both(q) })
    };
    let least = |q: Option<Quantity>| q.map(|q| said(q, Toward::Up));
    let most = |q: Option<Quantity>| q.map(|q| said(q, Toward::Down));
    let limits = row.limits.map(|l| {
        json!({
            "kind": l.kind.word(), "target": l.target.map(|q| said(q, Toward::Nearest)),
            "lower": least(l.lower), "upper": most(l.upper),
        })
    });
    json!({
        "box": row.name.to_string(), "typed": row.typed, "kind": row.kind,
        "operation": row.operation, "key": row.name.operation, "title": row.title,
        "station": row.station, "after_hand_over": row.deferred,
        "label": row.label, "choices": row.choices, "papers": row.papers, "unit": row.unit,
        "target": row.target, "printed": row.printed, "limits": limits, "accepted": row.accepted,
        "instrument": row.instrument, "tools": row.tools, "tools_named": row.named, "tool_needed": row.tool_needed,
        "roles": row.roles, "people": row.people, "side": row.side.map(Side::word),
        "near": row.near.as_ref().map(|(to, within)| json!({ "box": to.to_string(), "within": most(Some(*within)) })),
        "apart": most(row.apart),
        "usual": row.usual.map(|u| json!({ "least": least(Some(u.least)), "most": most(Some(u.most)) })),
        "waits_for": row.waits_for,
        "command": row.done.is_none().then(|| command(number, row)),
        "done": row.done.as_ref().map(|d| json!({
            "entry": d.entry, "by": d.by, "name": d.name, "at": d.at, "value": d.value, "tool": d.tool,
            "verdict": d.verdict, "no_longer_holds": d.no_longer,
        })),
    })
}

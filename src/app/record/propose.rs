//! What came back for boxes, on whichever way, turned into entries by the rules
//! that hold for what is typed.

use std::str::FromStr;

use chrono::{DateTime, FixedOffset};

use super::act;
use super::desk::{Actor, Desk};
use super::files::RecordHost;
use super::given::{File, How, says_yes};
use super::measure::{Ask, measure_with};
use super::recompute::Memo;
use super::{refused, short, typed};
use crate::app::plan::Failure;
use crate::diagnostic::{Diagnostic, nearest};
use crate::form::{BoxName, Evidence, Proposal, Proposed, Way};
use crate::quantity::parse;
use crate::record::boxes::{Asked, What};
use crate::record::entry::TakenIn;
use crate::record::fitness::read_off;
use crate::record::frozen::{Reading, Sheet};
use crate::record::rules::Scene;
use crate::record::{Frozen, State};
use crate::term::counted;
use crate::term::{Judged, Verdict};

/// What is made of a proposal.
#[derive(Debug, Clone)]
pub struct Opinion {
    /// What came back.
    pub proposal: Proposal,
    /// What came of it.
    pub came: Came,
}

/// What came of a proposal.
#[derive(Debug, Clone)]
pub enum Came {
    /// It is entered, or can be.
    Good(Good),
    /// The box holds it already.
    Same(String),
    /// Nothing is said.
    Nothing,
    /// A person has to look, and say what stands there.
    Look(String),
    /// A rule says no, or it can't be read.
    Refused(Failure),
}

/// An entry, or one that could be made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Good {
    /// Its place.
    pub n: u64,
    /// What it says.
    pub words: String,
    /// Verdict of a reading.
    pub verdict: Option<Judged>,
    /// Sentences a person should read.
    pub warnings: Vec<String>,
    /// Values and targets that are others now.
    pub changed: Vec<String>,
}

impl Good {
    /// Whether somebody has to do something about it before the next hold.
    #[must_use]
    pub fn needs_a_decision(&self) -> bool {
        let bad = |v: Judged| v.is(Verdict::NotConform) || v.is(Verdict::NotProven);
        self.verdict.is_some_and(bad) || self.warnings.iter().any(|w| w.starts_with("STOP"))
    }
}

/// Judges proposals as if those before were entered; nothing is. They are taken in
/// the order of the work, whatever their own. `unread` are boxes that came back with what
/// can't be read: initials over them wait as over what is refused.
pub fn judge(
    host: &dyn RecordHost,
    desk: &mut Desk,
    actor: &Actor,
    proposals: &[(Proposal, How)],
    unread: &[BoxName],
    memo: &mut Memo,
) -> Vec<Opinion> {
    judged(host, desk, actor, proposals, unread, memo).into_iter().map(|(opinion, _)| opinion).collect()
}

/// As [`judge`], each with how it is meant.
fn judged<'p>(
    host: &dyn RecordHost,
    desk: &mut Desk,
    actor: &Actor,
    proposals: &'p [(Proposal, How)],
    unread: &[BoxName],
    memo: &mut Memo,
) -> Vec<(Opinion, &'p How)> {
    let order = in_order(desk, proposals);
    let mut left = LeftOut::of(desk, unread);
    desk.rehearse(|desk| {
        let one = |(proposal, how)| (opinion(host, desk, actor, proposal, how, &mut left, memo), how);
        order.into_iter().map(one).collect()
    })
}

/// Judges all, then enters what is good; what is not loses nothing of the rest.
/// `file` is what it was read from; it is kept by its digest before the first
/// entry names it. `unread` as in [`judge`].
///
/// # Errors
/// If the file can't be kept.
pub fn enter(
    host: &dyn RecordHost,
    desk: &mut Desk,
    actor: &Actor,
    (proposals, unread): (&[(Proposal, How)], &[BoxName]),
    file: Option<&File<'_>>,
    memo: &mut Memo,
) -> Result<Vec<Opinion>, Failure> {
    let mut all = judged(host, desk, actor, proposals, unread, memo);
    if all.iter().any(|(o, _)| matches!(o.came, Came::Good(_)))
        && let Some(file) = file
    {
        file.keep(host, desk)?;
    }
    let mut left = LeftOut::of(desk, unread);
    for (opinion_of, how) in &mut all {
        if matches!(opinion_of.came, Came::Good(_)) {
            *opinion_of = opinion(host, desk, actor, &opinion_of.proposal.clone(), how, &mut left, memo);
        } else {
            left.note(&desk.plan, opinion_of);
        }
    }
    Ok(all.into_iter().map(|(opinion, _)| opinion).collect())
}

/// Boxes of a batch that are not entered: the key of their operation, and how they are typed.
struct LeftOut(Vec<(String, String)>);

impl LeftOut {
    fn of(desk: &Desk, unread: &[BoxName]) -> Self {
        let boxes = unread.iter().filter_map(|name| desk.plan.box_of(name));
        // What somebody typed since is there.
        let boxes = boxes.filter(|asked| asked.filled(&desk.state).is_none());
        Self(boxes.map(|asked| (asked.operation.key.clone(), asked.typed())).collect())
    }

    fn note(&mut self, plan: &Frozen, opinion: &Opinion) {
        let asked = plan.box_of(&opinion.proposal.name);
        let left = matches!(opinion.came, Came::Refused(_) | Came::Look(_));
        let work = |asked: &Asked<'_>| matches!(asked.what, What::Tick(_) | What::Reading(..));
        if let Some(asked) = asked.filter(|asked| left && work(asked)) {
            self.0.push((asked.operation.key.clone(), asked.typed()));
        }
    }

    /// Whoever initials an operation says that all of it was done: with a line of the same
    /// batch left out, the initials say more than what stands in the record.
    fn wait(&self, state: &State, asked: &Asked<'_>) -> Result<(), Diagnostic> {
        if !matches!(asked.what, What::Initials) || asked.filled(state).is_some() {
            return Ok(());
        }
        let own = self.0.iter().filter(|(key, _)| *key == asked.operation.key);
        let own: Vec<String> = own.map(|(_, typed)| typed.clone()).collect();
        if own.is_empty() {
            return Ok(());
        }
        Err(Diagnostic::error(
            "L311",
            format!("{} is not initialled: {} not entered, and came with it", asked.typed(), were(&own)),
        )
        .rule("initials say that all above them was done")
        .help("put that right and take it in again: what stands by then is not entered twice"))
    }
}

/// Boxes, and the verb behind them.
fn were(boxes: &[String]) -> String {
    format!("{} {}", short(boxes), if boxes.len() == 1 { "was" } else { "were" })
}

/// The proposals in the order of the work; those for no box of the plan last.
fn in_order<'p>(desk: &Desk, proposals: &'p [(Proposal, How)]) -> Vec<(&'p Proposal, &'p How)> {
    let order: Vec<BoxName> = desk.plan.boxes().map(|asked| asked.name).collect();
    let place = |name: &BoxName| {
        let own = desk.plan.box_of(name).map(|asked| asked.name);
        own.and_then(|own| order.iter().position(|n| *n == own)).unwrap_or(usize::MAX)
    };
    let mut sorted: Vec<(usize, (&Proposal, &How))> =
        proposals.iter().map(|(p, how)| (place(&p.name), (p, how))).collect();
    sorted.sort_by_key(|(place, _)| *place);
    sorted.into_iter().map(|(_, p)| p).collect()
}

fn opinion(
    host: &dyn RecordHost,
    desk: &mut Desk,
    actor: &Actor,
    proposal: &Proposal,
    how: &How,
    left: &mut LeftOut,
    memo: &mut Memo,
) -> Opinion {
    let asked = desk.plan.box_of(&proposal.name);
    let waits = asked.map_or(Ok(()), |asked| left.wait(&desk.state, &asked)).map_err(refused);
    let came = waits.and_then(|()| one(host, desk, actor, proposal, how, memo));
    let opinion = Opinion { proposal: proposal.clone(), came: came.unwrap_or_else(Came::Refused) };
    left.note(&desk.plan, &opinion);
    opinion
}

/// Enters one proposal, by `actor` where it names nobody else.
///
/// # Errors
/// If it can't be read, or a rule says no.
pub fn one(
    host: &dyn RecordHost,
    desk: &mut Desk,
    actor: &Actor,
    proposal: &Proposal,
    how: &How,
    memo: &mut Memo,
) -> Result<Came, Failure> {
    let text = match &proposal.value {
        Proposed::Empty => return Ok(Came::Nothing),
        Proposed::Look(why) => return Ok(Came::Look(why.clone())),
        Proposed::Written => return Ok(Came::Look("something is written there".to_owned())),
        Proposed::Ticked => None,
        Proposed::Text(text) if text.trim().is_empty() => return Ok(Came::Nothing),
        Proposed::Text(text) => Some(text.trim()),
    };
    let plan = desk.plan.clone();
    let asked = known(&plan, &proposal.name).map_err(refused)?;
    let who = Actor {
        id: proposal.by.clone().unwrap_or_else(|| actor.id.clone()),
        at: proposal.at.as_deref().map_or(Ok(actor.at), moment).map_err(refused)?,
    };
    desk.turn_to(host, &who.at)?;
    desk.taken_in = taken_in(&proposal.from, &actor.id);
    let done = match (asked.what, text) {
        (What::Signature(point, role, _), _) => Err(refused(
            Diagnostic::error("L202", format!("{} is a signature", proposal.name))
                .rule("a hold is released by whoever signs it, never by a sheet, a copy or a picture")
                .help(format!(
                    "signed at the desk: tackwright sign {} {} --as {role} --by ID",
                    plan.number, point.number
                )),
        )),
        (What::Tick(_) | What::Initials, text) => tick(desk, &asked, &who, text),
        (What::Bars(sheet), Some(text)) => bars(host, desk, sheet, text, &who, how),
        (What::Bars(_), None) => Err(refused(bars_expected("a tick says nothing"))),
        (What::Reading(_, reading), Some(text)) => {
            let (text, tool) = tooled(&desk.scene(&who), reading, text, proposal);
            let ask = Read { asked: &asked, reading, text, tool: tool.as_deref(), how };
            ask.enter(host, desk, &who, memo)
        }
        (What::Reading(..), None) => Err(refused(
            Diagnostic::error("L203", format!("{} is a reading, and a tick says nothing", proposal.name))
                .expected("the value that was read"),
        )),
    };
    desk.taken_in = None;
    done
}

/// A value, and the tool it was read with. A copy has no column for the tool: its id stands behind
/// the value (`520 mm, TP-2`), and where one alone is of the kind the paper names, it is that one, as
/// an entry sheet says it.
fn tooled<'t>(
    scene: &Scene<'_>,
    reading: &Reading,
    text: &'t str,
    proposal: &Proposal,
) -> (&'t str, Option<String>) {
    let (Way::Copy, None, Some(limits)) = (proposal.from.way, &proposal.tool, reading.limits) else {
        return (text, proposal.tool.clone());
    };
    let at = text.rfind([' ', ',', ';', '(']).map_or(0, |at| at + 1);
    let last = text[at..].trim_end_matches(')');
    let all = scene.register.instruments.iter().flatten();
    if let Some(named) = all.into_iter().find(|i| i.id.eq_ignore_ascii_case(last)) {
        return (text[..at].trim_end_matches([' ', ',', ';', '(']), Some(named.id.clone()));
    }
    let needed = reading.instrument.as_deref().filter(|needed| !read_off(needed));
    let only = needed.and_then(|needed| {
        let wanted = scene.wanted(reading, limits);
        match scene.takes(Some(needed), reading.to_prove(limits), wanted).0.as_slice() {
            [only] => Some(only.id.clone()),
            _ => None,
        }
    });
    (text, only)
}

fn taken_in(from: &Evidence, by: &str) -> Option<TakenIn> {
    (from.way != Way::Desk).then(|| TakenIn {
        by: by.to_owned(),
        picture: from.picture.clone(),
        place: from.place.clone(),
        sha256: from.sha256.clone(),
        way: from.way,
    })
}

fn known<'a>(plan: &'a Frozen, name: &BoxName) -> Result<Asked<'a>, Diagnostic> {
    if let Some(asked) = plan.box_of(name) {
        return Ok(asked);
    }
    let names: Vec<String> = plan.boxes().map(|asked| asked.name.to_string()).collect();
    let mut problem =
        Diagnostic::error("L204", format!("{} rev {} has no box {name}", plan.number, plan.revision))
            .expected("a name as `status NUMBER --json` and the entry sheet give it");
    if let Some(near) = nearest(&name.to_string(), names.iter().map(String::as_str)) {
        problem = problem.help(format!("did you mean \"{near}\"?"));
    }
    Err(problem)
}

/// A time as it was written: RFC 3339.
fn moment(text: &str) -> Result<DateTime<FixedOffset>, Diagnostic> {
    DateTime::from_str(text).map_err(|_| {
        Diagnostic::error("L205", format!("\"{text}\" is no time")).example("2026-03-02T14:05:00-06:00")
    })
}

/// First letters of a printed name.
fn initials(name: &str) -> String {
    name.split_whitespace().filter_map(|word| word.chars().next()).collect()
}

fn tick(desk: &mut Desk, asked: &Asked<'_>, who: &Actor, text: Option<&str>) -> Result<Came, Failure> {
    // A box for initials holds the initials of whoever did it, or the id.
    let own = desk.scene(who).person(&who.id).map(|p| initials(&p.name)).unwrap_or_default();
    let says_so = |t: &str| says_yes(t) || t == who.id || !own.is_empty() && t.eq_ignore_ascii_case(&own);
    if let Some(text) = text.filter(|t| !says_so(t)) {
        return Err(refused(
            Diagnostic::error("L203", format!("\"{text}\" is no tick"))
                .expected("x where it was done; nothing where it was not")
                .example("x"),
        ));
    }
    if let Some(mark) = asked.filled(&desk.state) {
        if mark.by.id == who.id {
            return Ok(Came::Same(format!("entered before by {} (entry {})", mark.by.name, mark.n)));
        }
        return Err(refused(
            Diagnostic::error(
                "L141",
                format!(
                    "{} was done by {} (entry {}), not by {}",
                    asked.typed(),
                    mark.by.name,
                    mark.n,
                    who.id
                ),
            )
            .rule("corrections only by a new entry that names the old one and why")
            .help(format!(
                "take it back first: tackwright correct {} {} --by ID --reason \"…\"",
                desk.plan.number, mark.n
            )),
        ));
    }
    let done = act::tick(desk, &asked.typed(), who, None)?;
    Ok(Came::Good(Good {
        n: done.entry.n,
        words: done.words,
        verdict: None,
        warnings: done.entry.warnings,
        changed: Vec::new(),
    }))
}

fn bars_expected(why: &str) -> Diagnostic {
    Diagnostic::error("L203", format!("what both 100 mm bars measure is asked for: {why}"))
        .expected("across / along, in mm if no unit is written")
        .example("99.8 / 100.1")
}

/// What both bars of a printed sheet measured, in one text.
fn bars(
    host: &dyn RecordHost,
    desk: &mut Desk,
    sheet: &Sheet,
    text: &str,
    who: &Actor,
    how: &How,
) -> Result<Came, Failure> {
    let sides: Vec<&str> = text.split(['/', ';']).map(str::trim).collect();
    let [across, along] = sides.as_slice() else {
        return Err(refused(bars_expected(&format!("\"{text}\" is not two lengths"))));
    };
    let unit = how.unit.as_deref().unwrap_or("mm");
    let length = |text: &str| {
        let bare = text.replace(',', ".");
        if bare.parse::<f64>().is_ok() { format!("{bare} {unit}") } else { text.to_owned() }
    };
    let (across, along) = (length(across), length(along));
    if let Some((before, mark)) = desk.state.bars_of(sheet)
        && how.corrects.is_none()
        && !how.again
        && mark.by.id == who.id
        && before.text == super::bars::text(&across, &along)
    {
        return Ok(Came::Same(format!("entered before by {} (entry {})", mark.by.name, mark.n)));
    }
    let digits = sheet.mark().to_owned();
    let (done, good) = super::bars::enter(
        host,
        desk,
        &digits,
        (across.as_str(), along.as_str()),
        who,
        how.corrects.clone(),
    )?;
    let verdict = if good { Verdict::Conform } else { Verdict::NotConform };
    Ok(Came::Good(Good {
        n: done.entry.n,
        words: done.words,
        verdict: Some(Judged::Decided(verdict)),
        warnings: done.entry.warnings,
        changed: Vec::new(),
    }))
}

/// A reading that came back.
struct Read<'a> {
    asked: &'a Asked<'a>,
    reading: &'a Reading,
    text: &'a str,
    tool: Option<&'a str>,
    how: &'a How,
}

impl Read<'_> {
    fn enter(
        &self,
        host: &dyn RecordHost,
        desk: &mut Desk,
        who: &Actor,
        memo: &mut Memo,
    ) -> Result<Came, Failure> {
        let text = typed::value(self.reading, self.how.unit.as_deref(), self.text).map_err(refused)?;
        if let Some(same) = self.same(desk, who, &text) {
            return Ok(Came::Same(same));
        }
        let ask = Ask {
            what: self.asked.typed(),
            text,
            tool: self.tool.map(str::to_owned),
            corrects: self.how.corrects.clone(),
            again: self.how.again,
            sure: self.how.sure,
        };
        let judged = measure_with(host, desk, ask, who, memo)?;
        let mut changed: Vec<String> = judged
            .targets
            .iter()
            .map(|t| format!("target of {}.{}: {} (before {})", t.operation, t.id, t.now, t.before))
            .collect();
        if !judged.changed.is_empty() {
            let slip = judged.slip.as_ref().map_or(String::new(), |p| format!(": {}", p.display()));
            let figures = counted(judged.changed.len(), "figure", "figures");
            changed.push(format!("{figures}, on the slip for the bench{slip}"));
        }
        let mut warnings = judged.entry.warnings.clone();
        warnings.extend(judged.lost.iter().map(|one| format!("No longer holds by the new limits: {one}")));
        Ok(Came::Good(Good {
            n: judged.entry.n,
            words: judged.words,
            verdict: Some(judged.measured.verdict),
            warnings,
            changed,
        }))
    }

    /// Whether the box holds this value by this person already.
    fn same(&self, desk: &Desk, who: &Actor, text: &str) -> Option<String> {
        if self.how.again || self.how.corrects.is_some() {
            return None;
        }
        let (taken, mark) = desk.state.reading(&self.asked.operation.key, &self.reading.id)?;
        let value = |text: &str| {
            let limits = self.reading.limits?;
            parse::maybe_measured(limits.kind, text).map(|m| m.value.si())
        };
        let equal = taken.text == text || value(text).is_some() && value(&taken.text) == value(text);
        let tool = self.tool.is_none() || self.tool == taken.tool.as_deref();
        (equal && tool && mark.by.id == who.id)
            .then(|| format!("entered before by {} (entry {})", mark.by.name, mark.n))
    }
}

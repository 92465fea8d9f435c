//! What is not decided, and what it keeps shut: later holds, and the work that
//! depends on where it was read or found.

use chrono::{DateTime, FixedOffset};

use super::agree::Stop;
use super::frozen::{DROPPED_SINCE, GATED_SINCE, Operation, Point, PointKind};
use super::open::Open;
use super::paper_name::{EXPECTED, names_permit};
use super::put_right::SHOWN_SINCE;
use super::rules::{Scene, refuse};
use super::state::{Found, Mark, bad};
use crate::diagnostic::Diagnostic;
use crate::term::{Disposition, Level, Verdict};

/// What a lead may decide, put right first: which of them, nobody proposes.
const DISPOSITIONS: &str = "rework, repair, reject or \"use as is\"";

/// What is done about a reading that does not conform before a lead decides about it: taken
/// once more it takes nothing back.
pub const READ_AGAIN: &str = "once it is put right, measure again with --again, and both stand";

/// Edition of the rules since which work waits, and not only the next hold.
const SINCE: u32 = 2;
/// Edition of the rules since which the unit goes once what was to be put right is.
const PUT_RIGHT_SINCE: u32 = 3;
/// Edition of the rules since which what the plan was not made for is revised or rejected.
const UNLIKE_SINCE: u32 = 6;

/// Something at an operation that only a lead decides.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undecided {
    /// Key of the operation it stands at; it may be gone from the plan.
    pub key: String,
    /// What it is about.
    pub kind: Kind,
    /// The entry that says so; none where no single one does.
    pub n: Option<u64>,
    /// When it was read or found, as stated.
    pub at: Option<DateTime<FixedOffset>>,
    /// What stands, in words.
    pub words: String,
    /// Who decides and how, with the command.
    pub way_out: String,
}

/// What is not decided.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Kind {
    /// A found condition without a disposition.
    Found,
    /// A found condition that was rejected, and nothing takes its place.
    Rejected,
    /// A rule between readings that is broken.
    Stop,
    /// A reading that is not proven to conform.
    Reading,
    /// A reading that was to be put right, and was not read right since.
    NotPutRight,
    /// A word that was chosen before something was found where it was.
    Questioned,
}

impl Kind {
    const fn code(self) -> (&'static str, &'static str) {
        match self {
            Self::Rejected => ("L129", "reject means reject"),
            Self::Found => ("L122", "a found condition keeps later holds shut"),
            Self::Stop => ("L116", "a stop rule shuts the hold until a lead decides"),
            Self::NotPutRight => ("L221", "what was to be put right is read again"),
            Self::Questioned => {
                ("L308", "a word from before something was found is read again, or a lead lets it stand")
            }
            Self::Reading => ("L124", "no release on a reading that does not conform"),
        }
    }
}

/// Whether something was done after `now`, by the times that are stated.
fn later(then: Option<DateTime<FixedOffset>>, now: Option<DateTime<FixedOffset>>) -> bool {
    now.zip(then).is_some_and(|(now, then)| now < then)
}

impl Undecided {
    /// Whether it was read or found after `now`, by the times that are stated.
    fn later(&self, now: Option<DateTime<FixedOffset>>) -> bool {
        later(self.at, now)
    }

    /// The refusal of what it keeps shut: `H4 stays shut`.
    pub(super) fn refuses(self, shut: &str) -> Diagnostic {
        let (code, rule) = self.kind.code();
        let end = if self.kind == Kind::Rejected { " until what replaces it is entered" } else { "" };
        refuse(code, rule, format!("{}, so {shut}{end}", self.words), self.way_out)
    }
}

/// The entry since which a found condition stands as it does: filed, or decided last.
pub(super) fn stands_since(found: &Found) -> u64 {
    found.disposition.as_ref().map_or(found.mark.n, |(_, _, mark)| mark.n.max(found.mark.n))
}

impl<'a> Scene<'a> {
    fn found(&self, found: &Found) -> Option<Undecided> {
        let (kind, words, way_out) = if self.state.rejected(found) {
            (
                Kind::Rejected,
                format!("{} at operation {} was rejected", found.number, found.operation),
                format!(
                    "put the replacement into the job and issue it: tackwright revise JOB --by {} --reason \"{}: …\"",
                    self.by("lead", |_| true),
                    found.number
                ),
            )
        } else if found.disposition.is_none() {
            (
                Kind::Found,
                format!("{} at operation {} has no disposition", found.number, found.operation),
                format!("a lead decides: {}", self.decides_on(&found.number)),
            )
        } else {
            return None;
        };
        Some(Undecided {
            key: found.key.clone(),
            kind,
            n: Some(stands_since(found)),
            at: found.mark.time(),
            words,
            way_out,
        })
    }

    /// The command by which a lead decides on what was found.
    #[must_use]
    pub fn decides_on(&self, number: &str) -> String {
        format!(
            "tackwright dispose {} {number} DISPOSITION --by {} --reason \"…\" ({DISPOSITIONS})",
            self.plan.number,
            self.by("lead", |_| true)
        )
    }

    /// What was found and nobody decided, or was rejected and not replaced.
    pub(super) fn founds(&self) -> impl Iterator<Item = Undecided> {
        let rejected = self.state.founds.iter().filter(|f| f.disposition.is_some());
        let open = self.state.founds.iter().filter(|f| f.disposition.is_none());
        rejected.chain(open).filter_map(move |f| self.found(f))
    }

    /// How a lead decides about a reading: it is filed, and gets a disposition.
    pub(super) fn decides(&self, operation: &Operation, reading: &str) -> String {
        let (number, lead) = (&self.plan.number, self.by("lead", |_| true));
        let next = self.state.founds.len() + 1;
        let place = format!("{}.{reading}", operation.number);
        // What was filed and waits for its disposition is not filed again.
        let filed = self.state.founds.iter().find(|f| {
            f.key == operation.key && f.reading.as_deref() == Some(reading) && f.disposition.is_none()
        });
        match filed {
            Some(found) => format!("a lead decides: {}", self.decides_on(&found.number)),
            None => format!(
                "let a lead decide: tackwright found {number} {place} \"…\" --by ID, then tackwright dispose {number} F{next} DISPOSITION --by {lead} --reason \"…\" ({DISPOSITIONS})"
            ),
        }
    }

    fn stop(&self, operation: &Operation, stop: &Stop) -> Undecided {
        let read = |n: &super::frozen::Name| Some(&self.state.reading(&n.operation, &n.reading)?.1);
        Undecided {
            key: operation.key.clone(),
            kind: Kind::Stop,
            n: stop.of.iter().filter_map(read).map(|mark| mark.n).max(),
            at: stop.of.iter().filter_map(read).filter_map(Mark::time).max(),
            words: format!("at operation {}, {}", operation.number, stop.words),
            way_out: format!(
                "{}{}",
                self.read_first(operation, stop),
                self.decides(operation, &stop.reading)
            ),
        }
    }

    /// What is read before a lead decides about a broken rule, where a reading may mend it: the
    /// other one of a pair.
    fn read_first(&self, operation: &Operation, stop: &Stop) -> String {
        let other = stop.waits.as_ref().and_then(|n| operation.readings().find(|r| r.id == n.reading));
        match other {
            Some(other) => format!("read it again: {}; or ", self.measures(operation, other, true)),
            None if stop.verdict == Verdict::NotProven && !stop.passed => {
                "measure better, with --again, and both stand; either way ".to_owned()
            }
            None if self.strict() => String::new(),
            None => "read again with --again, or ".to_owned(),
        }
    }

    /// What was read at an operation and is not decided: broken rules first.
    pub(super) fn read_badly(&self, operation: &'a Operation) -> impl Iterator<Item = Undecided> + use<'a> {
        self.read_badly_by(operation, None)
    }

    /// Whether anything was.
    pub(super) fn reads_badly(&self, operation: &Operation) -> bool {
        !self.state.stops(self.plan, operation).is_empty()
            || self.state.failing_marks(operation).next().is_some()
    }

    /// As [`Scene::read_badly`], without what was read after `now` by the time that is stated.
    fn read_badly_by(
        &self,
        operation: &'a Operation,
        now: Option<DateTime<FixedOffset>>,
    ) -> impl Iterator<Item = Undecided> + use<'a> {
        let scene = *self;
        let stops = scene.state.stops(scene.plan, operation).into_iter();
        let stops = stops.map(move |stop| scene.stop(operation, &stop)).filter(move |one| !one.later(now));
        // Told one by one: mostly the first is enough, and there may be many.
        let failing = scene.state.failing_marks(operation);
        let failing = failing.filter(move |(_, mark)| now.is_none_or(|now| !later(mark.time(), Some(now))));
        let failing = failing.map(move |(measured, mark)| {
            let reading = &measured.reading;
            Undecided {
                key: operation.key.clone(),
                kind: Kind::Reading,
                n: Some(mark.n),
                at: mark.time(),
                words: format!("reading {}.{reading} is {}", operation.number, measured.verdict),
                way_out: format!("{READ_AGAIN}; either way {}", scene.decides(operation, reading)),
            }
        });
        stops.chain(failing)
    }

    /// What is to be reworked or repaired by what a lead decided, and was not shown put right
    /// since.
    pub fn not_put_right(&self) -> impl Iterator<Item = Undecided> {
        self.awaits_proof().map(|(_, one)| one).chain(self.questioned())
    }

    /// As [`Scene::not_put_right`], where no revision brought the work for it in, or that work is
    /// done and shows nothing: nothing is built on it, for no work to come makes it good. Where
    /// such work is still to come, it puts it right in its turn, and the unit goes only then.
    pub(super) fn left_as_it_is(&self) -> Vec<Undecided> {
        if self.plan.rules < GATED_SINCE {
            return Vec::new();
        }
        let to_come = |found: &Found| self.state.work_done(self.plan, found) == Some(false);
        let left = self.awaits_proof().filter(|(found, _)| !to_come(found));
        left.map(|(_, one)| one).collect()
    }

    fn awaits_proof(&self) -> impl Iterator<Item = (&'a Found, Undecided)> {
        let since = self.plan.rules >= PUT_RIGHT_SINCE;
        let shown = self.plan.rules >= SHOWN_SINCE;
        let not_shown = self.state.not_shown(self.plan).filter(move |_| shown);
        let not_shown = not_shown.map(|(found, what)| (found, self.shows(found, what)));
        let read = self.state.founds.iter().filter(move |_| since).filter_map(move |found| {
            let (what, _, _) = found.disposition.as_ref().filter(|(what, ..)| what.puts_right())?;
            let operation = self.plan.operations.iter().find(|o| o.key == found.key && !o.deferred)?;
            let planned = operation.readings().find(|r| Some(&r.id) == found.reading.as_ref())?;
            let (measured, _) = self.state.reading(&operation.key, &planned.id)?;
            let own = |n: &super::frozen::Name| n.operation == operation.key && n.reading == planned.id;
            let bad = bad(measured.verdict);
            let broken = || {
                let all = self.plan.operations.iter().flat_map(|o| self.state.broken(self.plan, o));
                all.into_iter().any(|stop| stop.of.iter().any(own))
            };
            // What was never read again shows nothing, whether it has a limit or not.
            let once = self.plan.rules >= DROPPED_SINCE && self.state.read_right(self.plan, found).is_none();
            let mended = || !self.state.signed_right(self.plan, found).is_empty();
            let not_right = || Undecided {
                key: found.key.clone(),
                kind: Kind::NotPutRight,
                n: Some(stands_since(found)),
                at: found.mark.time(),
                words: format!(
                    "{} was decided as {what}, and {}.{} was not read right since",
                    found.number, operation.number, planned.id
                ),
                way_out: self.work_to_come(found).unwrap_or_else(|| {
                    format!(
                        "read it as it is now, and both stand: {}; or {}; or {}",
                        self.measures(operation, planned, true),
                        self.brings_work(found),
                        self.decides_anew(found)
                    )
                }),
            };
            ((bad || broken() || once) && !mended()).then(|| (found, not_right()))
        });
        read.chain(not_shown)
    }

    /// The work that is to put something right, where a revision brought it in and it is not
    /// done.
    fn work_to_come(&self, found: &Found) -> Option<String> {
        let work = self.state.work_for(self.plan, found).into_iter().filter(|o| !o.deferred);
        let left: Vec<String> = work
            .filter(|o| !self.state.lacking(o).is_empty())
            .map(|o| format!("operation {} {}", o.number, o.title))
            .collect();
        (self.strict() && !left.is_empty()).then(|| {
            format!(
                "the work that was issued for it is done and signed: {} (tackwright status {})",
                left.join(", "),
                self.plan.number
            )
        })
    }

    /// The command by which a lead decides another way than was decided.
    pub(super) fn decides_anew(&self, found: &Found) -> String {
        let n = found.disposition.as_ref().map_or(0, |(_, _, mark)| mark.n);
        format!(
            "a lead decides anew: tackwright dispose {} {} DISPOSITION --by {} --corrects {n} --reason \"…\" ({DISPOSITIONS})",
            self.plan.number,
            found.number,
            self.by("lead", |_| true)
        )
    }

    /// How the work that puts something right is brought in.
    fn brings_work(&self, found: &Found) -> String {
        format!(
            "put the work that mends it there (cut, weld, fit, torque …), with a hold of its own over it, into the job and issue it: tackwright revise JOB --by {} --reason \"{}: …\"",
            self.by("lead", |_| true),
            found.number
        )
    }

    /// That nothing shows a found condition put right, and what would.
    fn shows(&self, found: &Found, what: Disposition) -> Undecided {
        let operation = self.plan.operations.iter().find(|o| o.key == found.key);
        let again = operation.map_or_else(String::new, |operation| {
            let mut judged = found.asks_again(operation).into_iter();
            let first = judged.next().map(|reading| self.measures(operation, reading, true));
            let more = judged.count();
            let more = if more == 0 { String::new() } else { format!(" (and {more} more)") };
            first.map_or_else(String::new, |first| {
                format!("look at all of it again there: {first}{more}; or ")
            })
        });
        Undecided {
            key: found.key.clone(),
            kind: Kind::NotPutRight,
            n: Some(stands_since(found)),
            at: found.mark.time(),
            words: format!(
                "{} at operation {} was decided as {what}, and nothing entered since shows that it was put right",
                found.number, found.operation
            ),
            way_out: self.work_to_come(found).unwrap_or_else(|| {
                format!("{again}{}; or {}", self.brings_work(found), self.decides_anew(found))
            }),
        }
    }

    /// Whether what was to be put right is, where the unit goes.
    pub(super) fn put_right(&self, operation: &Operation, shut: &str) -> Result<(), Diagnostic> {
        let mut open = self.not_put_right().filter(|_| operation.lets_go);
        open.next().map_or(Ok(()), |one| Err(one.refuses(shut)))
    }

    /// Whether work depends on nothing that waits for a lead. Making safe never waits;
    /// nor does late entry of what was done before it was read or found.
    ///
    /// # Errors
    /// With what is not decided, and who decides.
    pub(super) fn free(&self, operation: &Operation, open: &Open) -> Result<(), Diagnostic> {
        if self.plan.rules < SINCE || operation.makes_safe() {
            return Ok(());
        }
        let before = |key: &str| self.plan.comes_before(key, operation);
        let shut = || format!("work at {}, which rests on it, must wait", operation.number);
        // Where its operation is gone, nobody knows what it touches.
        let touches = |key: &str| before(key) || self.plan.place(key).is_none();
        if let Some(one) = self.founds().find(|one| !one.later(self.at) && touches(&one.key)) {
            return Err(one.refuses(&shut()));
        }
        let mut left = open.left_as_it_is(self).iter().filter(|one| one.key != operation.key);
        if let Some(one) = left.find(|one| !one.later(self.at) && before(&one.key)) {
            return Err(one.clone().refuses(&shut()));
        }
        let badly = open.badly(self).into_iter().filter(|o| o.key != operation.key && before(&o.key));
        let mut badly = badly.flat_map(|o| self.read_badly_by(o, self.at));
        badly.next().map_or(Ok(()), |one| Err(one.refuses(&shut())))
    }

    /// Whether a reading that injures if it fails is let be as it is by somebody who can say so:
    /// its maker, an engineer, the authority, on a paper the reason names.
    ///
    /// # Errors
    /// If the reason names no paper by its number or date.
    pub fn answers_for(
        &self,
        found: &Found,
        disposition: Disposition,
        reason: &str,
    ) -> Result<(), Diagnostic> {
        if self.plan.rules < GATED_SINCE || disposition != Disposition::UseAsIs || names_permit(reason) {
            return Ok(());
        }
        let operation = self.plan.operations.iter().find(|o| o.key == found.key);
        let named =
            |o: &'a Operation| Some((o, o.readings().find(|r| Some(&r.id) == found.reading.as_ref())?));
        let Some((operation, planned)) = operation.and_then(named) else { return Ok(()) };
        let fails = self.state.reading(&operation.key, &planned.id).is_some_and(|(m, _)| bad(m.verdict));
        if planned.level != Some(Level::Safety) || !fails || self.filed_twice(found, reason) {
            return Ok(());
        }
        let (number, lead) = (&self.plan.number, self.by("lead", |_| true));
        Err(refuse(
            "L324",
            "what injures if it fails is let be by a paper",
            format!(
                "{}: {}.{} is a safety reading and fails; no shop lets that be as it is by itself",
                found.number, operation.number, planned.id
            ),
            format!(
                "put it right: tackwright dispose {number} {} rework --by {lead} --reason \"…\"; or name in the reason the number or date of the paper by which its maker, an engineer or the authority lets it be",
                found.number
            ),
        )
        .help(match self.like(found).next() {
            Some(other) => format!(
                "if it is {} filed twice: tackwright dispose {number} {} \"use as is\" --by {lead} --reason \"same as {}\"",
                other.number, found.number, other.number
            ),
            None => "if it was filed twice, decide the other one first; then: --reason \"same as F1\", with its number".to_owned(),
        })
        .expected(EXPECTED))
    }

    /// Other conditions at the reading of one that keep their hold shut themselves until what
    /// they name is put right.
    fn like(&self, found: &'a Found) -> impl Iterator<Item = &'a Found> {
        let stands = |f: &&Found| {
            let what = f.disposition.as_ref().map(|(what, ..)| *what);
            what.is_some_and(|what| what.puts_right() || what == Disposition::Reject)
        };
        let same =
            move |f: &&Found| f.number != found.number && f.key == found.key && f.reading == found.reading;
        self.state.founds.iter().filter(same).filter(stands)
    }

    /// Whether a reason says that one condition was filed twice: it names another one of the same
    /// reading, and that one is to be put right or was rejected.
    fn filed_twice(&self, found: &Found, reason: &str) -> bool {
        let says = |other: &Found| {
            let rest = reason.trim().strip_prefix("same as ");
            rest.and_then(|rest| rest.split(|c: char| !c.is_alphanumeric()).next())
                .is_some_and(|number| number.eq_ignore_ascii_case(&other.number))
        };
        self.like(found).any(says)
    }

    /// That a condition stands open at a reading already: two of one place are decided one by
    /// one, and a word may have filed the first.
    #[must_use]
    pub fn open_there(&self, operation: &Operation, reading: Option<&str>) -> Option<String> {
        let id = reading?;
        let same = |f: &&Found| {
            f.key == operation.key && f.reading.as_deref() == Some(id) && f.disposition.is_none()
        };
        let open = self.state.founds.iter().rfind(same)?;
        Some(format!(
            "{} stands open at {}.{id} already: \"{}\" (entry {}). This is another one, and each is decided by itself; decide both before anything is read again: what was to be put right is read after the later decision.",
            open.number, operation.number, open.text, open.mark.n
        ))
    }

    /// Whether what a found condition names was read: it is decided over what was read, and not
    /// ahead of it.
    ///
    /// # Errors
    /// If the reading is not entered.
    pub fn was_read(&self, operation: &Operation, reading: Option<&str>) -> Result<(), Diagnostic> {
        let unread = |id: &&str| self.state.reading(&operation.key, id).is_none();
        let Some(id) = reading.filter(unread).filter(|_| self.plan.rules >= GATED_SINCE) else {
            return Ok(());
        };
        let place = format!("{}.{id}", operation.number);
        let way_out = operation.readings().find(|r| r.id == id).map(|r| self.measures(operation, r, false));
        Err(refuse(
            "L322",
            "what is found at a reading was read",
            format!("{place} is not entered"),
            format!(
                "read it first{}; what was found before that stands at its operation: tackwright found {} {} \"…\" --by ID",
                way_out.map_or_else(String::new, |w| format!(": {w}")),
                self.plan.number,
                operation.number
            ),
        ))
    }

    /// Whether a found condition may be decided like this: what says that the unit is another
    /// than the plan was made for is rejected, or the plan is made anew.
    ///
    /// # Errors
    /// If the plan in force counts on something else.
    pub fn may_decide(&self, found: &Found, disposition: Disposition) -> Result<(), Diagnostic> {
        if self.plan.rules < UNLIKE_SINCE || disposition == Disposition::Reject {
            return Ok(());
        }
        let read = || {
            let operation = self.plan.operations.iter().find(|o| o.key == found.key)?;
            let planned = operation.readings().find(|r| Some(&r.id) == found.reading.as_ref())?;
            let (measured, _) = self.state.reading(&operation.key, &planned.id)?;
            let says = planned.choices.iter().any(|c| c.unlike && c.word == measured.text);
            says.then_some((operation, planned, measured))
        };
        let Some((operation, planned, measured)) = read() else { return Ok(()) };
        let (number, lead) = (&self.plan.number, self.by("lead", |_| true));
        Err(refuse(
            "L236",
            "what the plan was not made for is revised or rejected",
            format!(
                "{}: {}.{} is \"{}\", and the plan was made for something else: no reason leaves it as it is",
                found.number, operation.number, planned.id, measured.text
            ),
            format!(
                "state in the job what is there and issue it: tackwright revise JOB --by {lead} --reason \"{}: …\", then decide",
                found.number
            ),
        )
        .help(format!("if it was misread: {}", self.measures(operation, planned, true)))
        .help(format!("if it ends the work: tackwright dispose {number} {} reject --by {lead} --reason \"…\"", found.number)))
    }

    /// Whether nothing a signature says something of is still to be put right.
    pub(super) fn none_left(&self, operation: &Operation, point: &Point) -> Result<(), Diagnostic> {
        let left = self.left_as_it_is();
        if left.is_empty() {
            return Ok(());
        }
        let under = self.plan.under(operation, point);
        let shut = format!("{} stays shut", point.number);
        let mut left = left.into_iter().filter(|one| under.contains(one.key.as_str()));
        left.next().map_or(Ok(()), |one| Err(one.refuses(&shut)))
    }

    /// Whether nothing before a hold, or before what lets the unit go, waits for a lead.
    pub(super) fn founds_closed(&self, operation: &Operation, shut: &str) -> Result<(), Diagnostic> {
        let place = self.plan.place(&operation.key).unwrap_or(usize::MAX);
        let before = |one: &Undecided| self.plan.place(&one.key).is_none_or(|found| found <= place);
        self.founds().find(before).map_or(Ok(()), |one| Err(one.refuses(shut)))
    }

    pub(super) fn proven(&self, operation: &Operation, shut: &str, after: bool) -> Result<(), Diagnostic> {
        let place = self.plan.place(&operation.key).unwrap_or(0);
        let until = if after { place + 1 } else { place };
        let mut read = self.plan.operations.iter().take(until).flat_map(|o| self.read_badly(o));
        read.next().map_or(Ok(()), |one| Err(one.refuses(shut)))
    }
}

impl Operation {
    /// Whether it only makes safe: fire watch, stands, the hot-work card. That is done,
    /// and entered, whatever else is wrong.
    #[must_use]
    pub fn makes_safe(&self) -> bool {
        self.verb == "protect" && self.acts.is_empty() && !self.points().any(|p| p.kind == PointKind::Hold)
    }
}

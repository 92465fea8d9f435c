//! Where a traveler stands: its entries folded.

use std::collections::{BTreeMap, BTreeSet};

use super::entry::{Action, Bars, Entry, FollowUp, Issue, Measured, Photo};
use super::followed::Followed;
use super::frozen::{Frozen, Operation, Point, Step};
use super::honest::Shown;
pub use super::kept::{Found, Mark, Photographed, Revision, Signed};
use super::pair::Pair;
use super::waits::of_a_shift;
use super::waiver::Waiver;
use super::worked::{Work, Worked};
use crate::term::{Disposition, Judged, Verdict};

/// The state after the last entry.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct State {
    /// Number of entries.
    pub entries: u64,
    /// Steps done: operation key and step, 0 for the whole operation.
    pub ticks: BTreeMap<(String, u32), Mark>,
    /// Readings by operation key and id.
    pub readings: BTreeMap<(String, String), (Measured, Mark)>,
    /// Readings that were repeated, oldest first; they stand beside the last one.
    pub earlier: BTreeMap<(String, String), Vec<(Measured, Mark)>>,
    /// What was done at each operation, by its key: ticks and readings that stand.
    pub(super) worked: BTreeMap<String, Worked>,
    /// Points by operation key and slot; one signature per role.
    pub points: BTreeMap<(String, String), Vec<Signed>>,
    /// The first signature a point ever had, also where it was taken back since.
    pub first_signed: BTreeMap<(String, String), u64>,
    /// Found conditions.
    pub founds: Vec<Found>,
    /// Places of them among all, by the key of the operation, oldest first.
    pub(super) found_at: BTreeMap<String, Vec<usize>>,
    /// Photos of the work.
    pub photographed: Vec<Photographed>,
    /// What each photo was filed for, by the digest of its file as it came.
    pub shown: BTreeMap<String, Vec<Shown>>,
    /// Testers a lead let test without a certificate, oldest first.
    pub testers: Vec<Waiver>,
    /// What the bars of printed sheets measured, oldest first.
    pub bars: Vec<(Bars, Mark)>,
    /// Revisions, oldest first.
    pub revisions: Vec<Revision>,
    /// Closed by this entry, with what is to follow.
    pub closed: Option<(Mark, Vec<FollowUp>)>,
    /// Entries taken back or replaced.
    pub voided: BTreeSet<u64>,
    /// Keys of operations at which something was taken back and not replaced.
    pub taken_back: BTreeSet<String>,
    /// Boxes of ticks and readings that were ever filled: operation key, and step or id.
    pub filled: BTreeSet<(String, String)>,
    /// Last entry at an operation that changed a box, added to it or took it back.
    pub changed: BTreeMap<String, u64>,
    /// Keys of operations at which a reading ever was not proven to conform.
    pub departed: BTreeSet<String>,
    /// Operations that started again with work before them, by key: with which entry last.
    pub(super) started_again: BTreeMap<String, Mark>,
    /// Points whose signatures work made again took away, by operation key and slot: the entry,
    /// and the key of the operation that was worked on.
    pub(super) unsigned_by: BTreeMap<(String, String), (Mark, String)>,
    /// Torn lines that were set aside.
    pub torn: u64,
    /// Entries of readings that were not proven to conform and stand, by operation key and id.
    pub(super) bad: BTreeMap<(String, String), BTreeSet<u64>>,
    /// Entries that put right a reading which did not conform, or what put it right before.
    pub(super) slips: BTreeSet<u64>,
    /// Of entries that put a reading right, the one that took it first.
    pub(super) first_read: BTreeMap<u64, u64>,
    /// Rules between readings that are followed entry by entry; mostly none.
    pub(super) followed: Followed,
}

/// The revision in force: what was issued last.
#[must_use]
pub fn issue(entries: &[Entry]) -> Option<&Issue> {
    entries.iter().rev().find_map(Entry::issue)
}

/// Folds entries in order.
#[must_use]
pub fn fold(entries: &[Entry]) -> State {
    let mut state = State {
        voided: entries.iter().filter_map(|e| e.corrects.as_ref().map(|c| c.entry)).collect(),
        ..State::default()
    };
    for entry in entries {
        state.entries = entry.n;
        let old = entry.corrects.as_ref().and_then(|c| super::entry::entry(entries, c.entry));
        state.note_withdrawn(entry, old);
        state.note_change(entry, old);
        state.note_slipped(entry, old);
        state.undo(entry);
        if !state.voided.contains(&entry.n) {
            state.take(entry);
        }
    }
    state
}

/// Whether a verdict keeps holds shut.
pub(super) fn bad(verdict: Judged) -> bool {
    verdict.is(Verdict::NotConform) || verdict.is(Verdict::NotProven)
}

/// Key of the operation an entry is about, where it ticks or reads.
fn worked_at(what: &Action) -> Option<&str> {
    what.worked_at().map(|at| at.key.as_str())
}

impl State {
    /// Every photo of the record, of found conditions and of the work.
    pub fn photos(&self) -> impl Iterator<Item = &Photo> {
        let found = self.founds.iter().flat_map(|f| &f.photos);
        found.chain(self.photographed.iter().flat_map(|p| &p.photos))
    }

    /// Folds one more entry in; `old` is the one it corrects.
    pub fn go_on(&mut self, entry: &Entry, old: Option<&Entry>) {
        self.entries = entry.n;
        if let Some(old) = old {
            self.voided.insert(old.n);
            self.void(old);
        }
        self.note_withdrawn(entry, old);
        self.note_change(entry, old);
        self.note_slipped(entry, old);
        self.undo(entry);
        self.take(entry);
    }

    fn note_withdrawn(&mut self, entry: &Entry, old: Option<&Entry>) {
        let Some(old) = old.filter(|_| matches!(entry.what, Action::Withdrawn {})) else { return };
        self.taken_back.extend(worked_at(&old.what).map(str::to_owned));
    }

    /// Notes that a box was filled, or what stood in it changed; a reading that departed did,
    /// whatever took its place.
    fn note_change(&mut self, entry: &Entry, old: Option<&Entry>) {
        if let Action::Measure { reading } = &entry.what
            && bad(reading.verdict)
        {
            self.departed.insert(reading.operation.key.clone());
        }
        let place = match &entry.what {
            Action::Tick { operation, step, .. } => (operation.key.clone(), step.unwrap_or(0).to_string()),
            Action::Measure { reading } => (reading.operation.key.clone(), reading.reading.clone()),
            Action::Withdrawn {} => {
                if let Some(key) = old.and_then(|old| worked_at(&old.what)) {
                    self.changed.insert(key.to_owned(), entry.n);
                }
                return;
            }
            _ => return,
        };
        let key = place.0.clone();
        if !self.filled.insert(place) {
            self.changed.insert(key, entry.n);
        }
    }

    /// Whether an operation may lack what later work was entered on: something was
    /// taken back there, work made again or a revision started it again, or that brought it in.
    #[must_use]
    pub fn unsettled(&self, key: &str) -> bool {
        self.taken_back.contains(key)
            || self.started_again.contains_key(key)
            || self.revisions.iter().skip(1).any(|r| !r.kept.iter().any(|kept| kept == key))
    }

    /// Of what was read only what decides a plan, without one reading: that is never its
    /// own target.
    #[must_use]
    pub fn deciding_without(&self, plan: &Frozen, key: &str, id: &str) -> Self {
        let mut without = Self::default();
        for operation in &plan.operations {
            for reading in operation.readings().filter(|r| r.replaces.is_some()) {
                let place = (operation.key.as_str(), reading.id.as_str());
                let taken = self.reading(place.0, place.1).filter(|_| place != (key, id));
                without.readings.extend(taken.map(|t| ((place.0.to_owned(), place.1.to_owned()), t.clone())));
            }
        }
        without
    }

    /// Takes out what an entry put in.
    fn void(&mut self, old: &Entry) {
        match &old.what {
            Action::Tick { operation, step, .. } => {
                let key = (operation.key.clone(), step.unwrap_or(0));
                if self.ticks.get(&key).is_some_and(|m| m.n == old.n) {
                    self.ticks.remove(&key);
                    self.undone(&operation.key, old.n);
                }
            }
            Action::Measure { reading } => {
                let key = (reading.operation.key.clone(), reading.reading.clone());
                let earlier = self.earlier.get_mut(&key);
                if self.readings.get(&key).is_some_and(|(_, m)| m.n == old.n) {
                    match earlier.and_then(Vec::pop) {
                        Some(before) => self.readings.insert(key.clone(), before),
                        None => self.readings.remove(&key),
                    };
                } else if let Some(earlier) = earlier
                    && let Ok(at) = earlier.binary_search_by_key(&old.n, |(_, m)| m.n)
                {
                    earlier.remove(at);
                }
                if let Some(bad) = self.bad.get_mut(&key) {
                    bad.remove(&old.n);
                }
                self.undone(&key.0, old.n);
                self.follow_on(&key, old.n);
            }
            Action::Sign { operation, slot, .. }
            | Action::SeenOnPaper { operation, slot, .. }
            | Action::WitnessWaived { operation, slot, .. } => {
                if let Some(all) = self.points.get_mut(&(operation.key.clone(), slot.clone())) {
                    all.retain(|s| s.mark.n != old.n);
                }
            }
            Action::Photographed { photos, .. } => {
                self.photographed.retain(|p| p.mark.n != old.n);
                self.note_shown_again(photos);
            }
            Action::Bars { .. } => self.bars.retain(|(_, mark)| mark.n != old.n),
            Action::TesterWaived { .. } => self.testers.retain(|w| w.mark.n != old.n),
            Action::Disposition { found, .. } => {
                for entry in self.founds.iter_mut().filter(|f| f.number == *found) {
                    if entry.disposition.take_if(|(_, _, mark)| mark.n == old.n).is_some() {
                        entry.words_stand = false;
                    }
                }
            }
            _ => {}
        }
    }

    fn take(&mut self, entry: &Entry) {
        let mark = Mark::of(entry);
        match &entry.what {
            Action::Issued { issue } => self.revisions.push(Revision {
                letter: issue.revision.clone(),
                content: issue.content.clone(),
                reason: String::new(),
                reopened: Vec::new(),
                kept: Vec::new(),
                removed: Vec::new(),
                mark,
            }),
            Action::Revised { issue, kept, reason, removed, reopened, .. } => {
                for key in reopened.iter().map(|r| &r.key).chain(removed) {
                    self.start_over(key);
                }
                self.follow_none();
                self.revisions.push(Revision {
                    letter: issue.revision.clone(),
                    content: issue.content.clone(),
                    reason: reason.clone(),
                    reopened: reopened.iter().map(|r| (r.key.clone(), r.why.clone())).collect(),
                    kept: kept.clone(),
                    removed: removed.clone(),
                    mark,
                });
            }
            Action::Tick { operation, step, .. } => {
                let (key, work) = (&operation.key, Work::of(&mark, false));
                if let Some(before) = self.ticks.insert((key.clone(), step.unwrap_or(0)), mark) {
                    self.undone(key, before.n);
                }
                self.worked.entry(key.clone()).or_default().add(work);
            }
            Action::Measure { reading } => {
                let key = (reading.operation.key.clone(), reading.reading.clone());
                if bad(reading.verdict) {
                    self.bad.entry(key.clone()).or_default().insert(entry.n);
                }
                let work = Work::of(&mark, of_a_shift(&reading.reading));
                self.worked.entry(key.0.clone()).or_default().add(work);
                if let Some(before) = self.readings.insert(key.clone(), ((**reading).clone(), mark)) {
                    self.earlier.entry(key.clone()).or_default().push(before);
                }
                self.follow_on(&key, entry.n);
            }
            Action::Sign { identified, meaning, operation, slot, .. } => {
                let (how, meaning) = (identified.clone(), meaning.clone());
                let signed = Signed { mark, how, meaning, waived: false, seen_by: None };
                self.sign(&operation.key, slot, signed);
            }
            Action::SeenOnPaper { meaning, operation, place, signer, slot, .. } => {
                let by = &entry.by;
                let how = format!("signed on paper, {place}; seen there by {} ({})", by.name, by.id);
                let signed = Signed {
                    mark: Mark { by: signer.clone(), ..mark },
                    how,
                    meaning: meaning.clone(),
                    waived: false,
                    seen_by: Some(by.clone()),
                };
                self.sign(&operation.key, slot, signed);
            }
            Action::WitnessWaived { notice, operation, slot, .. } => {
                let (how, meaning) = (notice.clone(), String::new());
                let signed = Signed { mark, how, meaning, waived: true, seen_by: None };
                self.points.entry((operation.key.clone(), slot.clone())).or_default().push(signed);
            }
            Action::Found { found, operation, photos, reading, text } => {
                self.note_shown(photos, found, None);
                self.found_at.entry(operation.key.clone()).or_default().push(self.founds.len());
                self.founds.push(Found {
                    number: found.clone(),
                    key: operation.key.clone(),
                    operation: operation.number,
                    text: text.clone(),
                    photos: photos.clone(),
                    reading: reading.clone(),
                    mark,
                    disposition: None,
                    words_stand: false,
                });
            }
            Action::Photographed { operation, photos, reading, shows, step } => {
                let part = reading.clone().or_else(|| step.map(|s| s.to_string()));
                let number = operation.number;
                let place = part.map_or_else(|| number.to_string(), |part| format!("{number}.{part}"));
                self.note_shown(photos, &format!("{place} {shows}"), Some(*shows));
                self.photographed.push(Photographed {
                    key: operation.key.clone(),
                    place,
                    shows: *shows,
                    photos: photos.clone(),
                    mark,
                });
            }
            Action::Disposition { disposition, found, reason, words_stand } => {
                if let Some(entry) = self.founds.iter_mut().find(|f| f.number == *found) {
                    entry.words_stand = *words_stand;
                    entry.disposition = Some((*disposition, reason.clone(), mark));
                }
            }
            Action::Bars { bars } => self.bars.push((bars.clone(), mark)),
            Action::TesterWaived { operation, reading, reason, tester } => self.testers.push(Waiver {
                key: operation.key.clone(),
                reading: reading.clone(),
                tester: tester.clone(),
                reason: reason.clone(),
                mark,
            }),
            Action::Closed { follow_ups, .. } => self.closed = Some((mark, follow_ups.clone())),
            Action::TornLine { .. } => self.torn += 1,
            Action::Withdrawn {} => {}
        }
    }

    /// Everything at an operation is done, read and signed anew.
    pub(super) fn start_over(&mut self, key: &str) {
        self.ticks.retain(|(k, _), _| k != key);
        self.readings.retain(|(k, _), _| k != key);
        self.earlier.retain(|(k, _), _| k != key);
        self.bad.retain(|(k, _), _| k != key);
        self.points.retain(|(k, _), _| k != key);
        self.worked.remove(key);
    }

    fn undone(&mut self, key: &str, n: u64) {
        if let Some(worked) = self.worked.get_mut(key) {
            worked.remove(n);
        }
    }

    fn sign(&mut self, key: &str, slot: &str, signed: Signed) {
        let point = (key.to_owned(), slot.to_owned());
        self.first_signed.entry(point.clone()).or_insert(signed.mark.n);
        self.points.entry(point).or_default().push(signed);
    }

    /// Who did a step.
    #[must_use]
    pub fn tick(&self, key: &str, step: u32) -> Option<&Mark> {
        self.ticks.get(&(key.to_owned(), step)).or_else(|| self.ticks.get(&(key.to_owned(), 0)))
    }

    /// Who did a step; where steps have levels, a safety step is ticked itself.
    #[must_use]
    pub fn done(&self, operation: &Operation, step: &Step) -> Option<&Mark> {
        if operation.levelled() && step.ticked() {
            return self.ticks.get(&(operation.key.clone(), step.number));
        }
        self.tick(&operation.key, step.number)
    }

    /// Who initialled an operation.
    #[must_use]
    pub fn initials(&self, operation: &Operation) -> Option<&Mark> {
        self.ticks.get(&(operation.key.clone(), 0))
    }

    /// The value in force by operation key and id; none if not read or taken back.
    #[must_use]
    pub fn reading(&self, key: &str, id: &str) -> Option<&(Measured, Mark)> {
        self.readings.get(&(key, id) as &dyn Pair)
    }

    /// What was in force of a reading after the entry `until`.
    pub(super) fn reading_then(&self, key: &str, id: &str, until: u64) -> Option<&(Measured, Mark)> {
        let place = &(key, id) as &dyn Pair;
        if let Some(last) = self.readings.get(place).filter(|(_, mark)| mark.n <= until) {
            return Some(last);
        }
        // In the order of their entries.
        let earlier = self.earlier.get(place)?;
        let after = earlier.partition_point(|(_, mark)| mark.n <= until);
        earlier.get(after.checked_sub(1)?)
    }

    /// The entry that took a reading next after the entry `n`.
    pub(super) fn read_after(&self, key: &str, id: &str, n: u64) -> Option<u64> {
        let place = &(key, id) as &dyn Pair;
        let earlier = self.earlier.get(place).map(Vec::as_slice).unwrap_or_default();
        let next = earlier.get(earlier.partition_point(|(_, mark)| mark.n <= n)..)?.first();
        next.or_else(|| self.readings.get(place)).map(|(_, mark)| mark.n).filter(|next| *next > n)
    }

    /// Whether a reading was taken more than once.
    pub(super) fn repeated(&self, key: &str, id: &str) -> bool {
        self.earlier.get(&(key, id) as &dyn Pair).is_some_and(|all| !all.is_empty())
    }

    /// Every time a reading was taken, the last one last.
    pub fn all_readings<'a>(
        &'a self,
        key: &str,
        id: &str,
    ) -> impl Iterator<Item = &'a (Measured, Mark)> + use<'a> {
        let place = &(key, id) as &dyn Pair;
        let earlier = self.earlier.get(place).into_iter().flatten();
        earlier.chain(self.readings.get(place))
    }

    /// Whether a found condition was rejected and nothing was issued since that
    /// takes the place of what was rejected: its operation starts again, or went.
    #[must_use]
    pub fn rejected(&self, found: &Found) -> bool {
        let Some((what, _, mark)) = &found.disposition else { return false };
        let replaced = |r: &Revision| {
            r.mark.n > mark.n
                && (r.removed.contains(&found.key) || r.reopened.iter().any(|(key, _)| *key == found.key))
        };
        *what == Disposition::Reject && !self.revisions.iter().any(replaced)
    }

    /// Signatures of a point.
    #[must_use]
    pub fn signatures(&self, key: &str, slot: &str) -> &[Signed] {
        self.points.get(&(key, slot) as &dyn Pair).map_or(&[], Vec::as_slice)
    }

    /// Roles that still have to sign a point: nobody did, or what they accepted was
    /// worked on since.
    #[must_use]
    pub fn unsigned<'a>(&self, operation: &Operation, point: &'a Point) -> Vec<&'a str> {
        let signed = self.standing(operation, point);
        if signed.iter().any(|s| s.waived) {
            return Vec::new();
        }
        let mut left: Vec<&str> = point.roles.iter().map(String::as_str).collect();
        for one in signed {
            if let Some(at) = left.iter().position(|r| *r == one.mark.by.role) {
                left.remove(at);
            }
        }
        left
    }

    /// What an operation still lacks: steps, then readings, then points.
    #[must_use]
    pub fn lacking(&self, operation: &Operation) -> Vec<String> {
        let mut open = self.lacking_work(operation);
        for point in operation.points() {
            for role in self.unsigned(operation, point) {
                open.push(format!("{} ({} {})", point.number, point.kind, role));
            }
        }
        open
    }

    /// Steps not ticked, readings not taken, initials not given; those a signature
    /// stands for are given with it.
    #[must_use]
    pub fn lacking_work(&self, operation: &Operation) -> Vec<String> {
        let mut open = self.lacking_proof(operation);
        if operation.initialled() && self.initials(operation).is_none() {
            open.push(format!("initials {}", operation.number));
        }
        open
    }

    /// Steps not ticked and readings not taken: what later work rests on.
    /// Initials are given at the end of a station.
    #[must_use]
    pub fn lacking_proof(&self, operation: &Operation) -> Vec<String> {
        let mut open = Vec::new();
        for step in operation.steps.iter().filter(|s| s.ticked()) {
            if self.done(operation, step).is_none() {
                open.push(format!("step {}.{}", operation.number, step.number));
            }
        }
        for reading in operation.readings().filter(|r| r.asked()) {
            if self.reading(&operation.key, &reading.id).is_none() {
                open.push(format!("reading {}.{}", operation.number, reading.id));
            }
        }
        open
    }

    /// Readings of an operation that do not prove conformity and for which no
    /// disposition was given afterwards: one that names the reading. A better
    /// one taken later stands beside it and takes nothing back.
    #[must_use]
    pub fn failing(&self, operation: &Operation) -> Vec<(String, Judged)> {
        self.failing_marks(operation).map(|(m, _)| (m.reading.clone(), m.verdict)).collect()
    }

    /// As [`State::failing`], with who read them, and when.
    pub(super) fn failing_marks<'a>(
        &'a self,
        operation: &'a Operation,
    ) -> impl Iterator<Item = &'a (Measured, Mark)> {
        operation.readings().flat_map(move |r| {
            let place = &(operation.key.as_str(), r.id.as_str()) as &dyn Pair;
            let bad = self.bad.get(place).filter(|all| !all.is_empty());
            // What was decided after one reading was decided after every one before it.
            let decided = bad.and_then(|_| {
                let of = |f: &&Found| f.key == operation.key && f.reading.as_ref() == Some(&r.id);
                let decided = self.founds.iter().filter(of).filter(|f| f.disposition.is_some());
                decided.map(|f| f.mark.n).max()
            });
            let left = bad.into_iter().flat_map(move |all| all.range(decided.unwrap_or(0)..));
            left.filter_map(move |n| self.reading_then(&operation.key, &r.id, *n))
        })
    }

    /// Whether anything read at an operation may be undecided: a reading did not conform,
    /// or there are rules between its readings. It costs nothing to ask.
    #[must_use]
    pub(super) fn departs(&self, operation: &Operation) -> bool {
        self.departed.contains(&operation.key)
            || operation.has_rules() && operation.readings().any(|r| self.filled_reading(operation, &r.id))
    }

    fn filled_reading(&self, operation: &Operation, id: &str) -> bool {
        self.reading(&operation.key, id).is_some()
    }

    /// The first operation, in order, that is not finished.
    #[must_use]
    pub fn next<'a>(&self, plan: &'a Frozen) -> Option<&'a Operation> {
        plan.operations.iter().filter(|o| !o.deferred).find(|o| !self.lacking(o).is_empty())
    }
}

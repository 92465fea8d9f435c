//! What a shop book says of an instrument, held against what it said before: nothing makes
//! one better but a newer calibration. A log that is written anew is held against the rows
//! that were frozen with the paper.

use std::collections::BTreeMap;

use chrono::{DateTime, NaiveDate};

use super::entry::{Action, Entry, Measured};
use super::frozen::{Frozen, GATED_SINCE};
use super::people::Instrument;
use super::rules::{Scene, refuse};
use super::written::finer_than;
use crate::diagnostic::Diagnostic;
use crate::quantity::{Kind, Quantity, parse};
use crate::term::instrument::words;

/// Edition of the rules since which an entry says when its instrument was calibrated.
pub const SINCE: u32 = GATED_SINCE;

/// Room for what was written as text and read again.
const ROOM: f64 = 1.0 - 1e-9;

/// Whether a row was calibrated anew since an earlier one. Where the earlier one says no
/// day, a day since the paper was issued is newer.
fn newer(now: Option<NaiveDate>, was: Option<NaiveDate>, issued: Option<NaiveDate>) -> bool {
    now.is_some_and(|now| was.map_or_else(|| issued.is_some_and(|day| now >= day), |was| now > was))
}

fn less(one: f64, other: f64) -> bool {
    one < other * ROOM
}

impl Instrument {
    /// In what this row is better than an earlier one of the same instrument, in words.
    #[must_use]
    pub fn better_than(&self, was: &Self) -> Vec<&'static str> {
        let si = |q: Option<Quantity>| q.map(Quantity::si);
        let spread = |both: fn(f64, f64) -> bool| {
            self.spread
                .zip(was.spread)
                .is_some_and(|(now, was)| both(now.fixed, was.fixed) || both(now.share, was.share))
        };
        let finer = si(self.step).zip(si(was.step)).is_some_and(|(now, was)| less(now, was));
        // No last day is one that never comes.
        let later = was.until.is_some_and(|was| self.until.is_none_or(|now| now > was));
        let beyond =
            |now: Option<f64>, was: Option<f64>| was.is_some_and(|was| now.is_none_or(|now| now > was));
        let least = |i: &Self| si(i.least).map(|least| -least);
        let wider = beyond(least(self), least(was)) || beyond(si(self.most), si(was.most));
        let other = words(&self.title) != words(&was.title) || self.kind != was.kind;
        let all = [
            (spread(less), "a smaller uncertainty"),
            (finer, "a finer step"),
            (later, "a later last day"),
            (wider, "a wider range"),
            (was.out_of_service.is_some() && self.out_of_service.is_none(), "back in service"),
            (other, "another kind"),
        ];
        all.into_iter().filter(|(is, _)| *is).map(|(_, words)| words).collect()
    }

    /// As [`Self::better_than`], where no newer calibration says why; `issued` is the day the
    /// paper was issued with the earlier row.
    #[must_use]
    pub fn made_better(&self, was: &Self, issued: Option<NaiveDate>) -> Vec<&'static str> {
        if newer(self.calibrated, was.calibrated, issued) { Vec::new() } else { self.better_than(was) }
    }
}

/// What an entry says of its instrument, beside the row that was frozen with the paper.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Beside {
    /// It is that row.
    Same,
    /// It names a newer calibration, of this day.
    Renewed(NaiveDate),
    /// It can't rest on that row, and why.
    Against(String),
}

fn date(text: &Option<String>) -> Option<NaiveDate> {
    text.as_ref()?.parse().ok()
}

fn number(text: &Option<String>) -> Option<f64> {
    text.as_ref()?.parse().ok()
}

/// The kind and the value of a reading with an uncertainty: what is counted has none.
fn value(reading: &Measured) -> Option<(Kind, f64)> {
    let kind = Kind::ALL.iter().copied().find(|k| Some(k.word()) == reading.kind.as_deref())?;
    Some((kind, number(&reading.value)?)).filter(|(kind, _)| *kind != Kind::Number)
}

/// An entry's instrument beside its row; `day` is that of the entry, `issued` that of the
/// issue the row was frozen with.
pub(super) fn beside(
    row: &Instrument,
    reading: &Measured,
    day: NaiveDate,
    issued: Option<NaiveDate>,
) -> Beside {
    let calibrated = date(&reading.calibrated);
    if let Some(late) = calibrated.filter(|calibrated| *calibrated > day) {
        return Beside::Against(format!("{} was calibrated on {late}, after it", row.id));
    }
    if let Some(day) = calibrated.filter(|_| newer(calibrated, row.calibrated, issued)) {
        return Beside::Renewed(day);
    }
    let against = |what: String| {
        Beside::Against(format!("{what} than {} had by the row frozen with the paper", row.id))
    };
    let until = date(&reading.calibrated_until);
    if row.until.is_some_and(|last| until.is_none_or(|until| until > last)) {
        return against("it names a later end of the calibration".to_owned());
    }
    let Some((kind, si)) = value(reading) else { return Beside::Same };
    let read = Quantity::from_si(kind, si);
    if let Some(spread) = row.spread
        && less(number(&reading.uncertainty).unwrap_or(0.0), spread.at(si))
    {
        return against("it was judged by a smaller uncertainty".to_owned());
    }
    if finer_than(row, read, &reading.text).is_some() {
        return against("it is read to finer steps".to_owned());
    }
    Beside::Same
}

/// An instrument and the day of its calibration.
type Calibration = (String, Option<String>);

/// What entries said of one calibration: its last day, and the largest uncertainty told by the
/// instrument alone, with the value it was told at.
type Told = (Option<String>, Option<(f64, f64)>);

/// What entries said of their instruments so far: one calibration has one last day and one
/// uncertainty, also where the paper was issued without the row.
#[derive(Debug, Clone, Default)]
pub(super) struct Said {
    of: BTreeMap<Calibration, Told>,
}

impl Said {
    /// What an entry says otherwise than those before it; it is one of them afterwards.
    pub(super) fn take(&mut self, reading: &Measured) -> Option<String> {
        let tool = reading.tool.clone()?;
        let written = |kind| parse::measured(kind, &reading.text).is_ok_and(|read| read.uncertainty > 0.0);
        // What a person wrote behind a value says nothing of the instrument.
        let own = value(reading).filter(|(kind, _)| !written(*kind));
        let own = own.and_then(|(_, si)| Some((si.abs(), number(&reading.uncertainty)?)));
        let when = reading.calibrated.clone();
        let day = when
            .as_deref()
            .map_or_else(|| "its one calibration".to_owned(), |day| format!("the calibration of {day}"));
        let Some((until, most)) = self.of.get_mut(&(tool.clone(), when.clone())) else {
            self.of.insert((tool, when), (reading.calibrated_until.clone(), own));
            return None;
        };
        if date(&reading.calibrated_until) > date(until) {
            return Some(format!("{tool} holds longer by {day} than an entry before says"));
        }
        // A larger value is never known better by the same instrument.
        if let (Some((at, before)), Some((si, now))) = (*most, own)
            && si >= at * ROOM
            && less(now, before)
        {
            return Some(format!("{tool} has a smaller uncertainty by {day} than an entry before says"));
        }
        if own.is_some_and(|(_, now)| most.is_none_or(|(_, before)| now > before)) {
            *most = own;
        }
        None
    }
}

/// That the calibration of an entry's instrument had ended when the entry was written down,
/// though not at the time stated.
#[must_use]
pub fn late(plan: &Frozen, entry: &Entry) -> Option<String> {
    let Action::Measure { reading } = &entry.what else { return None };
    let until = date(&reading.calibrated_until).filter(|_| plan.rules >= SINCE)?;
    let clock = DateTime::parse_from_rfc3339(entry.clock.as_deref()?).ok()?.date_naive();
    let day = entry.day().filter(|day| *day <= until && clock > until)?;
    Some(format!(
        "{}.{} was read with {} by the time stated, {day}, and its calibration had ended on {until} by the clock, {clock}",
        reading.operation.number,
        reading.reading,
        reading.tool.as_deref().unwrap_or("an instrument")
    ))
}

/// Instruments whose rows became better from one revision to the next, though none was
/// calibrated anew; `issued` is the day of the first.
#[must_use]
pub fn regrown(was: &[Instrument], now: &[Instrument], issued: Option<NaiveDate>) -> Vec<String> {
    let grown = now.iter().filter_map(|now| {
        let better = now.made_better(was.iter().find(|was| was.id == now.id)?, issued);
        (!better.is_empty()).then(|| {
            format!(
                "{} has {} in the shop book than the revision before was issued with, and no newer calibration: ask the shop why",
                now.id,
                better.join(", ")
            )
        })
    });
    grown.collect()
}

impl Scene<'_> {
    /// The day the revision in force was issued on; none where nothing is known of it.
    #[must_use]
    pub fn issued_on(&self) -> Option<NaiveDate> {
        self.entries.iter().rev().find(|e| e.issue().is_some()).and_then(Entry::day)
    }

    /// In what the book's row of an instrument is better than the one the paper was issued
    /// with, though it was not calibrated anew.
    fn grown(&self, found: &Instrument) -> Vec<&'static str> {
        let frozen = self.register.frozen.iter().flatten().find(|i| i.id == found.id);
        let asked = frozen.filter(|_| self.plan.rules >= SINCE);
        asked.map_or_else(Vec::new, |was| found.made_better(was, self.issued_on()))
    }

    /// Whether an instrument was calibrated after the day: what it was that day, nobody knows.
    fn not_yet(&self, found: &Instrument) -> Option<NaiveDate> {
        found.calibrated.filter(|day| self.plan.rules >= SINCE && *day > self.day)
    }

    /// Whether the book's row of an instrument can be gone by; on the first of all days
    /// ([`Scene::takes_none`]) no calibration is asked for.
    pub(super) fn row_stands(&self, found: &Instrument) -> bool {
        self.day == NaiveDate::MIN || self.grown(found).is_empty() && self.not_yet(found).is_none()
    }

    /// As [`Self::row_stands`]; `others` says what to measure with instead.
    ///
    /// # Errors
    /// If the row was made better without a newer calibration, or is of one made later.
    pub(super) fn by_its_row(
        &self,
        found: &Instrument,
        others: impl FnOnce() -> String,
    ) -> Result<(), Diagnostic> {
        let (id, book, number) = (&found.id, &self.register.book, &self.plan.number);
        let better = self.grown(found);
        if !better.is_empty() {
            return Err(refuse(
                "L303",
                "an instrument gets better by a calibration, not by its row",
                format!(
                    "{id} has {} in {book} than when {number} was issued, and no newer calibration",
                    better.join(", ")
                ),
                format!("it was calibrated anew: write the day of its certificate into its row, calibrated = DAY; {}", others()),
            )
            .help(format!(
                "the row was wrong when the paper was issued: a lead issues the next revision with it, and the record says so: tackwright revise JOB --by {} --reason \"{id}: …\"",
                self.by("lead", |_| true)
            )));
        }
        match self.not_yet(found) {
            None => Ok(()),
            Some(day) => Err(refuse(
                "L304",
                "a reading rests on the calibration before it",
                format!("{id} was calibrated on {day}, and the reading is stated to be of {}", self.day),
                format!("give the time it was read (--at); {}", others()),
            )),
        }
    }

    /// Whether what an entry says of its instrument is what entries before it say.
    ///
    /// # Errors
    /// If the instrument got better since, and was not calibrated anew.
    pub fn as_said_before(&self, reading: &Measured) -> Result<(), Diagnostic> {
        // What the paper was issued with is held against its own row.
        let known = |i: &Instrument| reading.tool.as_ref() == Some(&i.id);
        if self.plan.rules < SINCE || self.register.frozen.iter().flatten().any(known) {
            return Ok(());
        }
        let mut said = Said::default();
        let voided = |e: &&Entry| !self.state.voided.contains(&e.n);
        for entry in self.entries.iter().filter(voided) {
            if let Action::Measure { reading: before } = &entry.what
                && before.tool == reading.tool
            {
                said.take(before);
            }
        }
        let Some(why) = said.take(reading) else { return Ok(()) };
        Err(refuse(
            "L305",
            "one calibration, one uncertainty",
            format!("{why}: its row in {} was made better since", self.register.book),
            "put the row back; or, if it was calibrated anew, write the day of its certificate into the row: calibrated = DAY",
        ))
    }
}

//! How an entry was made: when, by whom, known by what, with which rows of the shop book.

use chrono::{DateTime, FixedOffset};

use super::{Again, wrong};
use crate::diagnostic::Diagnostic;
use crate::record::entry::{Action, At, By, Entry, WITHOUT_BOOK, entry as entry_at};
use crate::record::frozen::{Operation, Point};
use crate::record::people::Signer;
use crate::record::rules::{self, Scene};
use crate::record::{honest, identified};

/// Edition of the rules since which every entry says both times.
const CLOCK_SINCE: u32 = 5;

/// Edition of the rules since which an entry that is made with a shop book names its rows.
pub(super) const BOOK_SINCE: u32 = 5;

/// An entry, whoever made it, and where the work stood then.
pub(super) struct Made<'a> {
    pub(super) scene: Scene<'a>,
    pub(super) person: &'a Signer,
    pub(super) entry: &'a Entry,
}

/// When an entry says that it happened, by what its clock allows.
pub(super) fn time(entry: &Entry) -> Result<DateTime<FixedOffset>, Diagnostic> {
    let Some(at) = entry.time() else { return wrong("it has no time") };
    match entry.clock.as_deref().map(DateTime::parse_from_rfc3339) {
        Some(Ok(clock)) => rules::time(&at, &clock)?,
        Some(Err(_)) => return wrong("what its clock said is no time"),
        None => {}
    }
    Ok(at)
}

/// Who stands in an entry, with the one role that was acted in.
pub(super) fn signer(by: &By) -> Signer {
    Signer { id: by.id.clone(), name: by.name.clone(), roles: vec![by.role.clone()], ..Signer::default() }
}

impl<'a> Made<'a> {
    /// The operation of the plan an entry names.
    pub(super) fn operation(&self, at: &At) -> Result<&'a Operation, Diagnostic> {
        let found = self.scene.plan.operations.iter().find(|o| o.key == at.key);
        found.ok_or_else(|| Diagnostic::error("L195", format!("the plan has no operation \"{}\"", at.key)))
    }

    /// The point of the plan an entry names, and its operation.
    pub(super) fn point(&self, at: &At, slot: &str) -> Result<(&'a Operation, &'a Point), Diagnostic> {
        let operation = self.operation(at)?;
        match operation.points().find(|p| p.slot == slot) {
            Some(point) => Ok((operation, point)),
            None => wrong(format!("operation {} has no such point", operation.number)),
        }
    }

    /// Nothing is done after the traveler was closed.
    pub(super) fn before_the_close(&self) -> Result<(), Diagnostic> {
        if self.scene.state.closed.is_some() {
            return wrong("it was closed before");
        }
        Ok(())
    }

    /// Whether it was made without the shop book.
    pub(super) fn without_book(&self) -> bool {
        self.entry.book.as_deref() == Some(WITHOUT_BOOK)
    }

    /// Whether an entry says how the person was identified, where it has to. Logs
    /// without a clock are from before that was written down.
    fn says_how(&self) -> Result<(), Diagnostic> {
        let Made { entry, scene, .. } = self;
        if entry.clock.is_none() {
            return Ok(());
        }
        let known = |how: &str| identified::by_pin(how) || how == identified::BY_ID;
        if scene.plan.rules >= CLOCK_SINCE && entry.identified().is_some_and(|how| !known(how)) {
            return wrong(format!("it does not say in any known way how {} was identified", entry.by.name));
        }
        if decides(entry) && !self.without_book() && entry.identified().is_none() {
            return wrong(format!("it does not say how {} was identified", entry.by.name));
        }
        Ok(())
    }
}

impl Again<'_> {
    /// A correction names what it may correct, once, and is another person's where it must be.
    pub(super) fn corrected(&mut self, made: &Made<'_>) -> Result<(), Diagnostic> {
        let Made { entry, scene, .. } = made;
        let Some(correction) = &entry.corrects else { return Ok(()) };
        scene.correction(correction, &entry.what)?;
        scene.once(correction, &entry.what)?;
        let turned = honest::turned(scene.entries, entry);
        self.tell(
            made,
            turned.map(|turned| format!("{} by {}: {}", turned.words(), entry.by.name, correction.reason)),
        );
        let old = entry_at(scene.entries, correction.entry);
        let stopped = old.map(|old| honest::stopped(scene.plan, scene.state, old)).unwrap_or_default();
        let words = |what: String| format!("{what}; by {}: {}", entry.by.name, correction.reason);
        self.tell(made, stopped.into_iter().map(words));
        // Logs without a clock are from before the rule.
        if entry.clock.is_some() {
            scene.second_person(correction, &entry.by)?;
        }
        Ok(())
    }

    /// Whoever made it was known by what the record asks for.
    pub(super) fn identified(&mut self, made: &Made<'_>) -> Result<(), Diagnostic> {
        let Made { entry, scene, .. } = made;
        let edition = scene.plan.rules;
        made.says_how()?;
        if edition >= CLOCK_SINCE && entry.clock.is_none() {
            return wrong("it does not say what the clock was when it was written");
        }
        let pinned = self.pinned.contains(&entry.by.id);
        if pinned && decides(entry) && !entry.identified().is_some_and(identified::by_pin) {
            return wrong(format!("{} had a PIN by the issue, and it was not given", entry.by.name));
        }
        if !identified::unknown(entry, &self.pinned, edition) {
            return Ok(());
        }
        let words = format!(
            "{} ({}) gives a PIN, had none by the issue, and the entry does not say when it was set",
            entry.by.name, entry.by.id
        );
        if identified::always_said(edition) {
            return wrong(words);
        }
        if self.strangers.insert(entry.by.id.clone()) {
            self.tell(made, [words]);
        }
        Ok(())
    }

    /// It names the rows of the shop book, or a lead went on without one.
    pub(super) fn by_the_book(&self, made: &Made<'_>) -> Result<(), Diagnostic> {
        let (plan, entry) = (made.scene.plan, made.entry);
        if made.without_book() && self.reckon.led(plan, &entry.by) == Some(false) {
            return wrong(format!(
                "{} went on without the shop book, and was no lead by the rows of it that were frozen",
                entry.by.name
            ));
        }
        if plan.rules >= BOOK_SINCE && entry.book.is_none() && self.reckon.booked(plan) {
            return wrong("it names no rows of the shop book, and the paper was issued with one");
        }
        Ok(())
    }
}

/// Whether an entry is one that somebody is identified for.
fn decides(entry: &Entry) -> bool {
    let decides = matches!(
        &entry.what,
        Action::Sign { .. }
            | Action::SeenOnPaper { .. }
            | Action::Closed { .. }
            | Action::Disposition { .. }
            | Action::TesterWaived { .. }
            | Action::Withdrawn {}
            | Action::Revised { .. }
    );
    decides || entry.corrects.is_some()
}

//! What makes a yes of a no without anybody seeing it: slips of the pen that walk a value
//! into its limits, decisions dated before what they decide, one photo of two things.

use std::collections::BTreeMap;

use chrono::TimeDelta;

use super::entry::{Action, Correction, Entry, Measured, Photo, SLACK, entry};
use super::frozen::{Frozen, HONEST_SINCE, Name};
use super::rules::{Scene, refuse};
use super::state::{Found, State, bad};
use crate::diagnostic::Diagnostic;
use crate::term::Shows;
use crate::term::clock::told;

/// A reading that was written down as not conforming and made another by a correction.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Turned<'a> {
    /// What stood there.
    pub was: &'a Measured,
    /// Who wrote it, by which entry.
    pub old: &'a Entry,
    /// What stands there since; none if it was taken back.
    pub is: Option<&'a Measured>,
}

impl Turned<'_> {
    /// In a sentence without its end.
    #[must_use]
    pub fn words(&self) -> String {
        let place = format!("{}.{}", self.was.operation.number, self.was.reading);
        let now = self.is.map_or_else(
            || "taken back".to_owned(),
            |is| format!("put right as a slip of the pen to {}, {}", is.text, is.verdict),
        );
        format!(
            "{place} was read as {}, {} (entry {}), and {now}",
            self.was.text, self.was.verdict, self.old.n
        )
    }
}

/// What an entry did to a reading that did not conform; none if it did nothing to one, or
/// what it says does not conform either.
#[must_use]
pub fn turned<'a>(entries: &'a [Entry], now: &'a Entry) -> Option<Turned<'a>> {
    let old = entry(entries, now.corrects.as_ref()?.entry)?;
    let Action::Measure { reading: was } = &old.what else { return None };
    let is = match &now.what {
        Action::Measure { reading } => Some(&**reading),
        Action::Withdrawn {} => None,
        _ => return None,
    };
    (bad(was.verdict) && is.is_none_or(|is| !bad(is.verdict))).then_some(Turned { was, old, is })
}

/// Rules between readings that said STOP, where the reading of an entry is put right or taken
/// back: whoever does decides nothing, so it is told. `state` is that before.
#[must_use]
pub fn stopped(plan: &Frozen, state: &State, old: &Entry) -> Vec<String> {
    let Action::Measure { reading } = &old.what else { return Vec::new() };
    let own = |n: &Name| n.operation == reading.operation.key && n.reading == reading.reading;
    let stops = plan.operations.iter().flat_map(|o| state.stops(plan, o));
    let stops = stops.filter(|stop| stop.of.iter().any(own));
    stops
        .map(|stop| {
            format!(
                "{}.{}, read as {} (entry {}), was put right or taken back while a rule said STOP: {}",
                reading.operation.number, reading.reading, reading.text, old.n, stop.words
            )
        })
        .collect()
}

/// The same of a whole log, by the entries that put right or took back.
#[must_use]
pub fn all_stopped(plan: &Frozen, entries: &[Entry]) -> BTreeMap<u64, Vec<String>> {
    let mut found = BTreeMap::new();
    let corrects = |now: &Entry| entry(entries, now.corrects.as_ref()?.entry).filter(|old| old.n < now.n);
    let reads = |old: &Entry| matches!(old.what, Action::Measure { .. });
    if !entries.iter().filter_map(corrects).any(reads) {
        return found;
    }
    let mut state = State::default();
    for now in entries {
        let old = corrects(now);
        let words = old.map(|old| stopped(plan, &state, old)).unwrap_or_default();
        if !words.is_empty() {
            found.insert(now.n, words);
        }
        state.go_on(now, old);
    }
    found
}

/// What tells one photo from another: the digest of the file as it came.
fn file(photo: &Photo) -> &str {
    photo.original.as_deref().unwrap_or(&photo.sha256)
}

/// What a photo was filed for: the place, and as what; nothing for found conditions.
pub type Shown = (String, Option<Shows>);

impl State {
    /// Notes what photos are filed for: of each photo the first place of each kind, so that a
    /// photo that is filed over and over costs no more each time.
    pub(super) fn note_shown(&mut self, photos: &[Photo], place: &str, shows: Option<Shows>) {
        for photo in photos {
            let all = self.shown.entry(file(photo).to_owned()).or_default();
            if !all.iter().any(|(_, as_what)| *as_what == shows) {
                all.push((place.to_owned(), shows));
            }
        }
    }

    /// Notes anew what photos are filed for, where one of their entries was taken back.
    pub(super) fn note_shown_again(&mut self, photos: &[Photo]) {
        for photo in photos {
            self.shown.remove(file(photo));
            let same = |all: &[Photo]| all.iter().any(|p| file(p) == file(photo));
            let founds = self.founds.iter().filter(|f| same(&f.photos)).map(|f| (f.number.clone(), None));
            let work = self.photographed.iter().filter(|p| same(&p.photos));
            let work = work.map(|p| (format!("{} {}", p.place, p.shows), Some(p.shows)));
            let all: Vec<Shown> = founds.chain(work).collect();
            for (place, shows) in all {
                self.note_shown(std::slice::from_ref(photo), &place, shows);
            }
        }
    }

    /// Notes that an entry put a reading right, or what had put one right before.
    pub(super) fn note_slipped(&mut self, entry: &Entry, old: Option<&Entry>) {
        let both = old.filter(|old| {
            matches!((&old.what, &entry.what), (Action::Measure { .. }, Action::Measure { .. }))
        });
        if both.is_some_and(|old| self.slipped(old)) {
            self.slips.insert(entry.n);
        }
        // A slip of the pen says again what was seen then.
        let first = both.map(|old| self.first_read.get(&old.n).copied().unwrap_or(old.n));
        self.first_read.extend(first.map(|first| (entry.n, first)));
    }

    /// Whether a reading did not conform as an entry has it, or as it was before slips of the
    /// pen were put right up to that entry.
    fn slipped(&self, entry: &Entry) -> bool {
        matches!(&entry.what, Action::Measure { reading } if bad(reading.verdict))
            || self.slips.contains(&entry.n)
    }

    fn shown(&self, photo: &Photo) -> &[Shown] {
        self.shown.get(file(photo)).map_or(&[], Vec::as_slice)
    }
}

/// Photos that were filed before for something else, in words.
#[must_use]
pub fn shown_before(state: &State, photos: &[Photo]) -> Vec<String> {
    let before = |photo: &Photo| {
        let (place, _) = state.shown(photo).first()?;
        Some(format!("the photo {} was filed for {place} before: one picture shows both", photo.file))
    };
    photos.iter().filter_map(before).collect()
}

impl Scene<'_> {
    fn honest(&self) -> bool {
        self.plan.rules >= HONEST_SINCE
    }

    /// A reading that did not conform is put right as a slip of the pen once; what is
    /// written after that was read again.
    ///
    /// # Errors
    /// If the entry that is replaced put such a reading right itself.
    pub fn once(&self, correction: &Correction, what: &Action) -> Result<(), Diagnostic> {
        let Some(old) = entry(self.entries, correction.entry) else { return Ok(()) };
        let (Action::Measure { reading }, Action::Measure { .. }) = (&old.what, what) else { return Ok(()) };
        if !self.honest() || old.corrects.is_none() || !self.state.slipped(old) {
            return Ok(());
        }
        Err(refuse(
            "L260",
            "a reading that did not conform is put right as a slip of the pen once",
            format!(
                "{}.{} did not conform and was put right in entry {}: a second slip of the pen is no slip",
                reading.operation.number, reading.reading, old.n
            ),
            format!("read it again, and both stand: {}", self.again_at(reading)),
        ))
    }

    /// What is decided was found before.
    ///
    /// # Errors
    /// If the time stated for the decision is before that of what was found.
    pub fn decided_after(&self, found: &Found) -> Result<(), Diagnostic> {
        let (Some(at), Some(seen)) = (self.at, found.mark.time()) else { return Ok(()) };
        if !self.honest() || seen - at < TimeDelta::minutes(SLACK) {
            return Ok(());
        }
        Err(refuse(
            "L262",
            "what is decided was found before",
            format!(
                "{} was found at {}, and the decision is said to be from {}",
                found.number,
                told(&seen),
                told(&at)
            ),
            "give the time it was decided, or leave --at out; a decision that was made before is told in the reason",
        ))
    }

    /// No photo shows the work both as it was found and as it was left.
    ///
    /// # Errors
    /// If one of them was filed for the other before.
    pub fn photo_once(&self, photos: &[Photo], shows: Shows) -> Result<(), Diagnostic> {
        let other = |as_what: &Option<Shows>| as_what.is_some_and(|what| what != shows);
        let clash = |photo: &Photo| self.state.shown(photo).iter().find(|(_, as_what)| other(as_what));
        let Some((photo, (place, _))) = photos.iter().find_map(|p| Some((p, clash(p)?))) else {
            return Ok(());
        };
        if !self.honest() {
            return Ok(());
        }
        Err(refuse(
            "L261",
            "one photo shows nothing both as found and as left",
            format!("the photo {} was filed for {place}, and can't show it {shows}", photo.file),
            format!("take another picture, of what is there {shows}"),
        ))
    }
}

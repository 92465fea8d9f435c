//! Whether people, instruments and lots are fit for an entry on its day.

use chrono::NaiveDate;

use super::entry::By;
use super::frozen::{GATED_SINCE, HONEST_SINCE, Limits, Operation, Reading};
use super::people::{Instrument, Signer};
use super::proves::{Proves, proves};
use super::rules::{Scene, refuse};
use super::serves::{as_fine_by_name, compares, plain, reaches, serves};
use super::written::finer_than;
use crate::diagnostic::{Diagnostic, nearest};
use crate::quantity::{Dimensioned, Kind, Quantity, Style, Time, unit};
use crate::term::{Does, Method};

/// The role somebody acts in, and the tests and certificates that rests on.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Right {
    /// Role word.
    pub role: String,
    /// What it rests on, each with its last day.
    pub rests_on: Vec<String>,
}

pub(super) const DAY: &str = "qualification valid that day";

/// Edition of the rules since which who tests is certified for the method.
pub(super) const TESTER_SINCE: u32 = 7;

/// Instruments nobody lists: a value that is copied from the maker's sheet, and hours
/// counted on a wall clock, which the log knows too.
const READ_OFF: &[&str] = &[COPIED, CLOCK];

/// What a value is copied from: no instrument reads it.
const COPIED: &str = "maker's data";

/// What hours are counted on.
const CLOCK: &str = "clock";

/// Whether a reading that is taken with `needed` names no tool of the shop book: it may.
#[must_use]
pub fn read_off(needed: &str) -> bool {
    READ_OFF.contains(&needed)
}

impl<'a> Scene<'a> {
    /// Whether the person is with the shop that day.
    pub(super) fn present(&self, person: &Signer) -> Result<(), Diagnostic> {
        match person.left {
            Some(left) if left < self.day => Err(refuse(
                "L106",
                "people of the shop only",
                format!("{} ({}) left the shop on {left}", person.name, person.id),
                "have somebody do it who is with the shop on that day",
            )),
            _ => Ok(()),
        }
    }

    /// What a role rests on, if the book lists a certificate for it.
    ///
    /// # Errors
    /// If all of them ran out.
    pub fn certified(&self, person: &Signer, role: &str) -> Result<Vec<String>, Diagnostic> {
        let listed: Vec<_> = person.qualified.iter().filter(|q| q.what == role).collect();
        if listed.is_empty() {
            return self.left_the_book(person, role);
        }
        let valid: Vec<_> = listed.iter().filter(|q| q.until.is_none_or(|u| u >= self.day)).collect();
        if !self.holds(person, role) {
            let until = listed.iter().filter_map(|q| q.until).max();
            return Err(refuse(
                "L105",
                DAY,
                format!(
                    "{}'s qualification for {role} ended on {}",
                    person.name,
                    until.map_or_else(String::new, |u| u.to_string())
                ),
                format!(
                    "{}; or enter the renewed certificate in the shop book",
                    self.have(role, "do it", |p| p.id != person.id)
                ),
            ));
        }
        Ok(valid.iter().map(|q| q.basis.clone()).filter(|b| !b.is_empty()).collect())
    }

    /// Whether a role needs no certificate, or one holds that day.
    pub(super) fn holds(&self, person: &Signer, role: &str) -> bool {
        let mut listed = person.qualified.iter().filter(|q| q.what == role).peekable();
        match listed.peek() {
            None => !self.had(person, role),
            Some(_) => listed.any(|q| q.until.is_none_or(|u| u >= self.day)),
        }
    }

    /// Whether the person may say that a test by these methods is clear, and the
    /// certificates that rests on. A book that names nobody certified for any method, and did
    /// not when the paper was issued, says nothing of it.
    ///
    /// # Errors
    /// At the first method the person is not certified for that day.
    pub fn may_test(
        &self,
        person: &Signer,
        methods: &[Method],
        operation: &Operation,
        reading: &Reading,
    ) -> Result<Vec<String>, Diagnostic> {
        let mut rests_on: Vec<String> = Vec::new();
        let people = &self.register.people;
        if self.plan.rules < TESTER_SINCE || !self.register.knows_testers() {
            return Ok(rests_on);
        }
        // A word that says of no test that it is clear needs nobody's leave.
        if !methods.is_empty() && self.let_test(operation, &reading.id, &person.id)?.is_some() {
            return Ok(rests_on);
        }
        for method in methods {
            let valid =
                |p: &'a Signer| p.certificates(*method).find(|q| q.until.is_none_or(|u| u >= self.day));
            let known = people.iter().find(|p| p.id == person.id);
            if let Some(certificate) = known.and_then(valid) {
                if !rests_on.contains(&certificate.basis) {
                    rests_on.push(certificate.basis.clone());
                }
                continue;
            }
            let ended = person.certificates(*method).filter_map(|q| q.until).max();
            let why = ended.map_or_else(
                || format!("{} has no certificate for {}", person.name, method.title()),
                |until| format!("the certificate of {} for {} ended on {until}", person.name, method.title()),
            );
            let able: Vec<String> = people
                .iter()
                .filter(|p| self.present(p).is_ok() && valid(p).is_some())
                .map(|p| format!("{} ({})", p.name, p.id))
                .collect();
            let who = if able.is_empty() {
                format!("nobody in {} is certified for it that day", self.register.book)
            } else {
                format!("have {} test it and write it", able.join(" or "))
            };
            let place = format!("{}.{}", operation.number, reading.id);
            let mut problem = refuse(
                "L216",
                "a test counts when who made it is certified for its method",
                format!("{place}: {why}"),
                who,
            );
            let outside = reading.choices.iter().find(|c| c.does == Does::Conforms && c.tests.is_empty());
            problem.help.extend(outside.map(|c| format!("tested by somebody else: \"{}\"", c.word)));
            problem.help.push(if self.plan.rules < HONEST_SINCE {
                "tested all the same: write it as found, and a lead decides what it is worth".to_owned()
            } else {
                format!(
                    "tested all the same: a lead answers for it, and the record says so: tackwright waive {} {place} --tester {} --by {} --reason \"…\"",
                    self.plan.number,
                    person.id,
                    self.by("lead", |p| !self.is(&By { id: person.id.clone(), name: person.name.clone(), role: String::new() }, p))
                )
            });
            return Err(problem);
        }
        Ok(rests_on)
    }

    /// Whether the person may write a word of a reading that says that a test is clear, where
    /// it has any.
    #[must_use]
    pub fn tests_there(&self, person: &Signer, operation: &Operation, reading: &Reading) -> bool {
        let mut clear = reading.choices.iter().filter(|c| !c.tests.is_empty()).peekable();
        clear.peek().is_none() || clear.any(|c| self.may_test(person, &c.tests, operation, reading).is_ok())
    }

    /// Whether an instrument may be used that day for a reading of this kind, within these
    /// limits; `read` is what was read, as a value and as written, to offer others that take it.
    ///
    /// # Errors
    /// If none is named where one is needed, it is unknown, measures something
    /// else, is out of service or out of calibration, or its row was made better.
    pub fn instrument(
        &self,
        tool: Option<&str>,
        needed: Option<&str>,
        limits: Option<Limits>,
        read: Option<(Quantity, &str)>,
    ) -> Result<Option<&'a Instrument>, Diagnostic> {
        let asked = needed.unwrap_or_default().to_lowercase();
        let (value, text) = read.map_or((None, ""), |(value, text)| (Some(value), text));
        let ask = Ask { asked, limits, value, text: text.to_owned() };
        let kind = ask.kind();
        let Some(tool) = tool else {
            return match needed {
                None => Ok(None),
                Some(needed) if read_off(needed) => Ok(None),
                Some(needed) => Err(refuse(
                    "L130",
                    "every reading names its instrument",
                    format!("this reading is taken with {needed}, and no tool is named"),
                    self.offer(
                        "name it, with --with, behind the value of a copy, or in the column tool:",
                        &ask,
                    ),
                )),
            };
        };
        if self.copied(&ask) {
            return Err(refuse(
                "L313",
                "what is copied is read with no instrument",
                format!("this value is copied from the maker's data, and {tool} reads none of it"),
                "leave the instrument out; the sheet the figure stands in is named in its own words",
            )
            .expected("no instrument")
            .example("the same without --with"));
        }
        let Some(list) = &self.register.instruments else { return Ok(None) };
        // Capitals are no part of an id, as they are none of a person's.
        let own = list.iter().find(|i| i.id == tool);
        let Some(found) = own.or_else(|| list.iter().find(|i| i.id.eq_ignore_ascii_case(tool))) else {
            let problem = refuse(
                "L131",
                "known instruments only",
                format!("{} has no tool \"{tool}\"", self.register.book),
                self.offer("give", &ask),
            );
            let near = nearest(tool, list.iter().map(|i| i.id.as_str()));
            return Err(match near {
                Some(near) => problem.help(format!("did you mean \"{near}\"?")),
                None => problem,
            });
        };
        let tool = found.id.as_str();
        let other = match (found.kind, kind) {
            (Some(measures), Some(wanted)) if !ask.fits(found, measures) => Some(format!(
                "{tool} ({}) measures {}, this reading is {}{}",
                found.title,
                measures.word(),
                wanted.word(),
                if ask.asked.is_empty() { String::new() } else { format!(", taken with {}", ask.asked) }
            )),
            _ if !self.makes(found, &ask) => Some(format!(
                "{tool} ({}) can't make this reading: it is taken with {}",
                found.title, ask.asked
            )),
            _ => None,
        };
        if let Some(text) = other {
            return Err(refuse("L133", "the right kind of instrument", text, self.offer("give", &ask)));
        }
        self.fine_enough(found, &ask)?;
        if let Some(why) = &found.out_of_service {
            return Err(refuse(
                "L134",
                "instruments fit for use",
                format!("{tool} is out of service: {why}"),
                self.offer("give", &ask),
            ));
        }
        match found.until {
            Some(until) if until < self.day => Err(refuse(
                "L132",
                "instruments in calibration",
                format!("the calibration of {tool} ended on {until}"),
                format!(
                    "{}, or enter the new certificate in the shop book",
                    self.offer("measure with", &ask)
                ),
            )),
            _ => {
                self.by_its_row(found, || self.offer("or measure with", &ask))?;
                Ok(Some(found))
            }
        }
    }

    /// The coarsest instrument of the kind a reading asks for: what is used must
    /// be of that kind or as fine.
    fn coarsest(&self, asked: &str, kind: Option<Kind>) -> Option<f64> {
        let of_kind =
            |i: &&Instrument| named(i, asked) && i.kind.zip(kind).is_some_and(|(a, b)| level(a) == level(b));
        let all = self.register.instruments.iter().flatten();
        all.filter(of_kind).filter_map(|i| i.spread.map(|s| s.fixed)).reduce(f64::max)
    }

    fn as_fine(&self, found: &Instrument, ask: &Ask) -> bool {
        match (self.coarsest(&ask.asked, ask.kind()), found.spread.map(|s| s.fixed)) {
            (Some(coarsest), Some(own)) => {
                named(found, &ask.asked) || own <= coarsest || self.beyond(ask, |i| named(i, &ask.asked))
            }
            // Where the book has none of that kind, its name says what is coarser.
            (None, _) => as_fine_by_name(&found.title, &ask.asked),
            (Some(_), None) => true,
        }
    }

    /// Whether an instrument can make a reading: it reaches, and serves for it, or it is a plain one
    /// and what was read is more than any that serves can read. A gap a feeler is too thin
    /// for is read with a caliper, and its uncertainty is the caliper's.
    fn makes(&self, found: &Instrument, ask: &Ask) -> bool {
        let title = found.title.to_lowercase();
        if ask.compares() && !compares(&title, &ask.asked) {
            return false;
        }
        serves(&title, &ask.asked)
            || plain(&title)
                && reaches(&title, &ask.asked)
                && self.beyond(ask, |i| serves(&i.title, &ask.asked))
    }

    /// Whether what was read is more than each of those instruments can read.
    fn beyond(&self, ask: &Ask, of: impl Fn(&Instrument) -> bool) -> bool {
        let Some(value) = ask.value.filter(|v| v.kind() == Kind::Length) else { return false };
        let all = self.register.instruments.iter().flatten();
        let mut those = all.filter(|i| of(i) && i.kind.is_some_and(|kind| ask.fits(i, kind))).peekable();
        those.peek().is_some()
            && those.all(|i| i.most.is_some_and(|most| value.si().abs() > most.si() * (1.0 + 1e-9)))
    }

    /// Whether an instrument is of the kind the reading asks for, or at least as
    /// fine as one that is.
    fn fine_enough(&self, found: &Instrument, ask: &Ask) -> Result<(), Diagnostic> {
        if self.as_fine(found, ask) {
            return Ok(());
        }
        let asked = &ask.asked;
        Err(refuse(
            "L138",
            "the instrument the reading asks for, or a finer one",
            format!("{} ({}) is coarser than the {asked} this reading is taken with", found.id, found.title),
            self.offer("measure with", ask),
        ))
    }

    /// Instruments that will be taken for a reading, as fine as asked, in
    /// calibration, in service, with `value` in their range: those of the kind the
    /// paper names, then others; of each those first that prove a value inside the limits.
    /// Where none that is named proves one and another does, all are others.
    #[must_use]
    pub fn takes(
        &self,
        needed: Option<&str>,
        limits: Limits,
        value: Option<Quantity>,
    ) -> (Vec<&'a Instrument>, Vec<&'a Instrument>) {
        let asked = needed.unwrap_or_default().to_lowercase();
        let value = value.map(|v| on_the_clock(&asked, v));
        let ask = Ask { asked, limits: Some(limits), value, text: String::new() };
        let (named, others): (Vec<_>, Vec<_>) =
            self.able(&ask).into_iter().partition(|i| named(i, &ask.asked));
        let proves = |i: &&Instrument| ask.proves(i) < Proves::Never;
        if named.iter().any(proves) || !others.iter().any(proves) {
            return (named, others);
        }
        let mut all: Vec<_> = named.into_iter().chain(others).collect();
        all.sort_by_key(|i| ask.proves(i));
        (Vec::new(), all)
    }

    /// Why no instrument will be taken for a reading on this day, in words.
    #[must_use]
    pub fn takes_none(&self, needed: Option<&str>, limits: Limits, value: Option<Quantity>) -> String {
        // On the first of all days every calibration still holds.
        let ever = Self { day: NaiveDate::MIN, ..*self };
        let (named, others) = ever.takes(needed, limits, value);
        let late: Vec<&str> = named.iter().chain(&others).map(|i| i.id.as_str()).collect();
        match late.as_slice() {
            [] => format!("no instrument of {} would do", self.register.book),
            late => format!("out of calibration on {}: {}", self.day, late.join(", ")),
        }
    }

    /// Whether a value is copied from a sheet, where a plan of its edition asks that no
    /// instrument is named for it.
    fn copied(&self, ask: &Ask) -> bool {
        ask.asked == COPIED && self.plan.rules >= GATED_SINCE
    }

    /// Those that prove a value inside its limits come first.
    fn able(&self, ask: &Ask) -> Vec<&'a Instrument> {
        let all = self.register.instruments.iter().flatten();
        let able = all
            .filter(|i| i.kind.is_none_or(|kind| ask.fits(i, kind)))
            .filter(|i| i.until.is_none_or(|u| u >= self.day) && i.out_of_service.is_none())
            .filter(|i| ask.value.is_none_or(|v| off_level(i, v) || i.takes(v)) && i.kind.is_some())
            .filter(|i| ask.value.is_none_or(|v| finer_than(i, v, &ask.text).is_none()))
            .filter(|i| self.makes(i, ask) && self.as_fine(i, ask) && self.row_stands(i))
            .filter(|_| !self.copied(ask));
        let mut able: Vec<&Instrument> = able.collect();
        able.sort_by_key(|i| ask.proves(i));
        able
    }

    /// Instruments that will be taken, for the way out: the right kind, as fine as
    /// asked, in calibration, in service and in range.
    fn offer(&self, verb: &str, ask: &Ask) -> String {
        let able: Vec<&str> = self.able(ask).iter().map(|i| i.id.as_str()).collect();
        match (&self.register.instruments, able.as_slice()) {
            (None, _) => format!("{verb} ID"),
            (Some(_), []) if read_off(&ask.asked) => {
                format!("no instrument of {} is needed: name none", self.register.book)
            }
            (Some(_), []) => format!("no instrument of {} would do: get one that does", self.register.book),
            (Some(_), able) => format!("{verb} {}", able.join(" or ")),
        }
    }

    /// Whether a value lies where the instrument may be used.
    ///
    /// # Errors
    /// If it lies outside.
    pub fn in_range(
        &self,
        instrument: &Instrument,
        wanted: Wanted<'_>,
        value: Quantity,
        typed: &str,
    ) -> Result<(), Diagnostic> {
        let ask = Ask::read(wanted, value, typed);
        if ask.value.is_none_or(|value| off_level(instrument, value) || instrument.takes(value)) {
            return Ok(());
        }
        // As the book writes them: rounded, a feeler of 0.2 in ends at 13/64 in.
        let show = |q: Option<Quantity>| {
            q.map_or_else(|| "any".to_owned(), |q| Style::of(q.kind()).fine_enough(q).both(q))
        };
        Err(refuse(
            "L136",
            "instruments in their range",
            format!(
                "{} is outside the range of {}: {} to {}",
                typed.trim(),
                instrument.id,
                show(instrument.least),
                show(instrument.most)
            ),
            match self.able(&ask).first() {
                Some(_) => self.offer("measure with", &ask),
                // Mostly it is the value.
                None => format!(
                    "look at the unit and the point of what was typed; if it is right, {}",
                    self.offer("measure with", &ask)
                ),
            },
        ))
    }

    /// Whether a value is one its instrument shows: a tape of 1/32 in reads no 0.0078 in.
    ///
    /// # Errors
    /// If it is finer than the marks.
    pub fn shown(
        &self,
        instrument: &Instrument,
        wanted: Wanted<'_>,
        value: Quantity,
        typed: &str,
    ) -> Result<(), Diagnostic> {
        let Some(step) = finer_than(instrument, value, typed) else { return Ok(()) };
        let ask = Ask::read(wanted, value, typed);
        let step = Style::of(step.kind()).fine_enough(step).both(step);
        let Instrument { id, title, .. } = instrument;
        let refused = refuse(
            "L281",
            "no reading finer than its instrument",
            format!("{} is finer than {id} ({title}) shows: its smallest step is {step}", typed.trim()),
            format!("write what {id} shows"),
        );
        Err(match self.able(&ask).first() {
            Some(_) => refused.help(self.offer("or measure with", &ask)),
            None => refused,
        })
    }
}

/// What a reading asks for: the instrument as the paper names it, and its limits.
pub type Wanted<'a> = (Option<&'a str>, Option<Limits>);

/// What a reading asks of an instrument.
struct Ask {
    /// Instrument as the paper names it, lower case; empty if it names none.
    asked: String,
    limits: Option<Limits>,
    /// What was read.
    value: Option<Quantity>,
    /// As it was written; empty where nothing was yet.
    text: String,
}

fn named(instrument: &Instrument, asked: &str) -> bool {
    !instrument.title.is_empty() && asked.contains(&instrument.title.to_lowercase())
}

/// A bare number that is counted on a clock is hours: a stopwatch that ends at 10 h has
/// not read 25 of them.
fn on_the_clock(asked: &str, value: Quantity) -> Quantity {
    if asked.contains(CLOCK) && value.kind() == Kind::Number {
        Time::of(value.si(), unit::HOUR).into()
    } else {
        value
    }
}

/// Whether the range of an instrument says nothing about such a value.
fn off_level(instrument: &Instrument, value: Quantity) -> bool {
    instrument.kind.is_some_and(|k| level(k) != level(value.kind()))
}

impl Ask {
    /// Of a value that was read and typed, with what the paper names.
    fn read((needed, limits): Wanted<'_>, value: Quantity, typed: &str) -> Self {
        let asked = needed.unwrap_or_default().to_lowercase();
        let limits = limits.or(Some(value.kind().into()));
        let value = Some(on_the_clock(&asked, value));
        Self { asked, limits, value, text: typed.to_owned() }
    }

    /// The kind of what is read; none where nothing is limited.
    fn kind(&self) -> Option<Kind> {
        self.limits.map(|l| l.kind)
    }

    /// Whether it says how far two lengths are apart: nothing is aimed at, and less is better.
    fn compares(&self) -> bool {
        self.limits.is_some_and(|l| {
            l.kind == Kind::Length && l.upper.is_some() && l.lower.is_none() && l.target.is_none()
        })
    }

    /// How well an instrument proves the reading.
    fn proves(&self, instrument: &Instrument) -> Proves {
        self.limits.map_or(Proves::Well, |limits| proves(instrument, limits, self.value))
    }

    /// Whether an instrument that measures such values is right for the reading. A bare
    /// number (a count, a ratio of two readings) has no kind of its own: it comes from the
    /// instrument the paper names, and hours from whatever tells time.
    fn fits(&self, instrument: &Instrument, measures: Kind) -> bool {
        match self.kind() {
            None => true,
            Some(Kind::Number) => {
                self.asked.is_empty()
                    || named(instrument, &self.asked)
                    || self.asked.contains(CLOCK) && measures == Kind::Time
            }
            Some(wanted) => level(measures) == level(wanted),
        }
    }
}

/// Whether an instrument measures what a reading is about at all: a clamp meter reads no
/// bend. What its row does not say is not held against it.
pub(super) fn measures(instrument: &Instrument, planned: &Reading) -> bool {
    let asked = planned.instrument.as_deref().unwrap_or_default().to_lowercase();
    let ask = Ask { asked, limits: planned.limits, value: None, text: String::new() };
    instrument.kind.is_none_or(|kind| ask.fits(instrument, kind))
}

/// Temperatures and their differences are read with the same instruments.
fn level(kind: Kind) -> Kind {
    if kind == Kind::TemperatureRise { Kind::Temperature } else { kind }
}

//! Whether people, instruments and lots are fit for an entry on its day.

use super::frozen::{LotAsk, Operation};
use super::people::{Instrument, Signer};
use super::rules::{Scene, refuse};
use crate::diagnostic::Diagnostic;
use crate::quantity::{Kind, Quantity, Style};

/// The role somebody acts in, and the tests and certificates that rests on.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Right {
    /// Role word.
    pub role: String,
    /// What it rests on, each with its last day.
    pub rests_on: Vec<String>,
}

/// Written for a part that was there before the job.
pub const EXISTING: &str = "existing part";

const DAY: &str = "qualification valid that day";

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
            return Ok(Vec::new());
        }
        let valid: Vec<_> = listed.iter().filter(|q| q.until.is_none_or(|u| u >= self.day)).collect();
        if valid.is_empty() {
            let until = listed.iter().filter_map(|q| q.until).max();
            return Err(refuse(
                "L105",
                DAY,
                format!(
                    "{}'s qualification for {role} ended on {}",
                    person.name,
                    until.map_or_else(String::new, |u| u.to_string())
                ),
                "have a person do it who is qualified on that day, or enter the renewed qualification in the shop book",
            ));
        }
        Ok(valid.iter().map(|q| q.basis.clone()).filter(|b| !b.is_empty()).collect())
    }

    /// Whether the person may weld every joint of an operation, and the tests
    /// that rests on.
    ///
    /// # Errors
    /// At the first joint the person may not weld that day.
    pub fn may_weld(&self, person: &Signer, operation: &Operation) -> Result<Vec<String>, Diagnostic> {
        let mut rests_on: Vec<String> = Vec::new();
        if !self.register.welding {
            return Ok(rests_on);
        }
        for joint in &operation.joints {
            let no = |why: String| {
                let able: Vec<String> = self
                    .register
                    .people
                    .iter()
                    .filter(|p| p.left.is_none_or(|l| l >= self.day))
                    .filter(|p| p.qualified.iter().any(|q| q.what == *joint && q.why_not.is_none()))
                    .map(|p| format!("{} ({})", p.name, p.id))
                    .collect();
                let way_out = if able.is_empty() {
                    format!(
                        "nobody in the shop book may weld {joint} that day: qualify somebody and enter the test"
                    )
                } else {
                    format!("have {} weld it, or enter the renewed test in the shop book", able.join(" or "))
                };
                refuse("L105", DAY, format!("{} may not weld {joint}: {why}", person.name), way_out)
            };
            let Some(listed) = person.qualified.iter().find(|q| q.what == *joint) else {
                return Err(no("no test in the shop book covers it".to_owned()));
            };
            if let Some(why) = &listed.why_not {
                return Err(no(why.clone()));
            }
            if let Some(until) = listed.until.filter(|u| *u < self.day) {
                return Err(no(format!("the test it rests on ran out on {until}")));
            }
            if !listed.basis.is_empty() && !rests_on.contains(&listed.basis) {
                rests_on.push(listed.basis.clone());
            }
        }
        Ok(rests_on)
    }

    /// Whether an instrument may be used that day for a reading of this kind;
    /// `value` is what was read, to offer others that take it.
    ///
    /// # Errors
    /// If none is named where one is needed, it is unknown, measures something
    /// else, is out of service or out of calibration.
    pub fn instrument(
        &self,
        tool: Option<&str>,
        needed: Option<&str>,
        kind: Option<Kind>,
        value: Option<Quantity>,
    ) -> Result<Option<&'a Instrument>, Diagnostic> {
        let Some(tool) = tool else {
            return match needed {
                None => Ok(None),
                Some(needed) => Err(refuse(
                    "L130",
                    "every reading names its instrument",
                    format!("this reading is taken with {needed}, and no tool is named"),
                    self.offer("name it: --with", kind, value),
                )),
            };
        };
        let Some(list) = &self.register.instruments else { return Ok(None) };
        let Some(found) = list.iter().find(|i| i.id == tool) else {
            return Err(refuse(
                "L131",
                "known instruments only",
                format!("{} has no tool \"{tool}\"", self.register.book),
                self.offer("give", kind, value),
            ));
        };
        if let (Some(measures), Some(wanted)) = (found.kind, kind)
            && !fits(measures, wanted)
        {
            return Err(refuse(
                "L133",
                "the right kind of instrument",
                format!(
                    "{tool} ({}) measures {}, this reading is {}",
                    found.title,
                    measures.word(),
                    wanted.word()
                ),
                self.offer("give", kind, value),
            ));
        }
        self.fine_enough(found, needed.unwrap_or_default(), kind)?;
        if let Some(why) = &found.out_of_service {
            return Err(refuse(
                "L134",
                "instruments fit for use",
                format!("{tool} is out of service: {why}"),
                self.offer("give", kind, value),
            ));
        }
        match found.until {
            Some(until) if until < self.day => Err(refuse(
                "L132",
                "instruments in calibration",
                format!("the calibration of {tool} ended on {until}"),
                format!(
                    "{}, or enter the new certificate in the shop book",
                    self.offer("measure with", kind, value)
                ),
            )),
            _ => Ok(Some(found)),
        }
    }

    /// Whether an instrument is of the kind the reading asks for, or at least as
    /// fine as one that is.
    fn fine_enough(&self, found: &Instrument, asked: &str, kind: Option<Kind>) -> Result<(), Diagnostic> {
        let asked = asked.to_lowercase();
        let named = |i: &&Instrument| !i.title.is_empty() && asked.contains(&i.title.to_lowercase());
        let same = |i: &&Instrument| i.kind.zip(kind).is_some_and(|(a, b)| fits(a, b));
        let coarsest = self
            .register
            .instruments
            .iter()
            .flatten()
            .filter(named)
            .filter(same)
            .filter_map(|i| i.spread.map(|s| s.fixed))
            .reduce(f64::max);
        let (Some(coarsest), Some(own)) = (coarsest, found.spread.map(|s| s.fixed)) else { return Ok(()) };
        if named(&found) || own <= coarsest {
            return Ok(());
        }
        let able: Vec<&str> = self
            .register
            .instruments
            .iter()
            .flatten()
            .filter(named)
            .filter(|i| i.until.is_none_or(|u| u >= self.day) && i.out_of_service.is_none())
            .map(|i| i.id.as_str())
            .collect();
        Err(refuse(
            "L138",
            "the instrument the reading asks for, or a finer one",
            format!("{} ({}) is coarser than the {asked} this reading is taken with", found.id, found.title),
            if able.is_empty() {
                format!("get a {asked} in calibration, or one as fine")
            } else {
                format!("measure with {}", able.join(" or "))
            },
        ))
    }

    /// Instruments that would do, for the way out.
    fn offer(&self, verb: &str, kind: Option<Kind>, value: Option<Quantity>) -> String {
        let able: Vec<&str> = self
            .register
            .instruments
            .iter()
            .flatten()
            .filter(|i| i.kind.zip(kind).is_none_or(|(a, b)| fits(a, b)))
            .filter(|i| i.until.is_none_or(|u| u >= self.day) && i.out_of_service.is_none())
            .filter(|i| value.is_none_or(|v| i.takes(v)) && i.kind.is_some())
            .map(|i| i.id.as_str())
            .collect();
        match (&self.register.instruments, able.as_slice()) {
            (None, _) => format!("{verb} ID"),
            (Some(_), []) => format!("no instrument of {} would do: get one that does", self.register.book),
            (Some(_), able) => format!("{verb} {}", able.join(" or ")),
        }
    }

    /// Whether a value lies where the instrument may be used.
    ///
    /// # Errors
    /// If it lies outside.
    pub fn in_range(&self, instrument: &Instrument, value: Quantity) -> Result<(), Diagnostic> {
        if instrument.kind.is_some_and(|k| level(k) != level(value.kind())) || instrument.takes(value) {
            return Ok(());
        }
        let show = |q: Option<Quantity>| q.map_or_else(|| "any".to_owned(), |q| Style::of(q.kind()).both(q));
        Err(refuse(
            "L136",
            "instruments in their range",
            format!(
                "{} is outside the range of {}: {} to {}",
                Style::of(value.kind()).both(value),
                instrument.id,
                show(instrument.least),
                show(instrument.most)
            ),
            self.offer("measure with", Some(value.kind()), Some(value)),
        ))
    }

    /// Whether the numbers written for a traceable joint are lots of the book
    /// that may be used that day.
    ///
    /// # Errors
    /// At the first number that is none, or is of something else.
    pub fn lots(&self, ask: &LotAsk, text: &str) -> Result<(), Diagnostic> {
        let Some(list) = &self.register.lots else { return Ok(()) };
        let fits = |designation: &str| {
            ask.designations.is_empty()
                || ask.designations.iter().any(|d| squeezed(d) == squeezed(designation))
        };
        let of_kind: Vec<_> = list
            .iter()
            .filter(|l| l.kind == ask.kind && fits(&l.designation))
            .filter(|l| l.until.is_none_or(|u| u >= self.day))
            .collect();
        let offer = || {
            if of_kind.is_empty() {
                format!(
                    "enter the lot of {} in the shop book, with its number and certificate",
                    ask.designations.join(" or ")
                )
            } else {
                let known: Vec<String> =
                    of_kind.iter().map(|l| format!("{} ({})", l.number, l.designation)).collect();
                let part = if ask.kind == "metal" { format!(" or \"{EXISTING}\"") } else { String::new() };
                format!("give {}{part}, or enter the lot in the shop book", known.join(" or "))
            }
        };
        let rule = "traceable joints name lots of the shop book";
        for number in text.split([',', ';']).map(str::trim).filter(|n| !n.is_empty()) {
            // What was there before the job has no certificate to name.
            if ask.kind == "metal" && number.eq_ignore_ascii_case(EXISTING) {
                continue;
            }
            let same = |l: &&super::people::Lot| {
                l.number.eq_ignore_ascii_case(number) || l.id.eq_ignore_ascii_case(number)
            };
            let Some(lot) = list.iter().filter(|l| l.kind == ask.kind).find(same) else {
                let text = format!("{} has no {} lot \"{number}\"", self.register.book, ask.kind);
                return Err(refuse("L137", rule, text, offer()));
            };
            if !fits(&lot.designation) {
                let text = format!("{number} is {}, not {}", lot.designation, ask.designations.join(" or "));
                return Err(refuse("L137", rule, text, offer()));
            }
            if let Some(until) = lot.until.filter(|u| *u < self.day) {
                return Err(refuse("L137", rule, format!("{number} could be used until {until}"), offer()));
            }
        }
        Ok(())
    }
}

/// Whether an instrument reads values of a kind. A bare number (a count, a
/// ratio of two readings) may come from any of them.
fn fits(measures: Kind, wanted: Kind) -> bool {
    wanted == Kind::Number || level(measures) == level(wanted)
}

/// Temperatures and their differences are read with the same instruments.
fn level(kind: Kind) -> Kind {
    if kind == Kind::TemperatureRise { Kind::Temperature } else { kind }
}

fn squeezed(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

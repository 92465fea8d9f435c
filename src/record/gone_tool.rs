//! An instrument the shop book no longer has, though values that stand were read with it: what
//! became of it nobody knows, so a lead says what those readings are worth.

use std::collections::BTreeMap;

use super::calibration::SINCE;
use super::entry::{Action, Entry, Measured};
use super::frozen::Frozen;
use super::kept::Mark;
use super::people::Instrument;
use super::rules::{Scene, short};
use crate::term::{Disposition, counted};

/// Whether a text speaks of an instrument by its id, as a word of its own.
fn speaks_of(text: &str, id: &str) -> bool {
    let inside = |c: char| c.is_alphanumeric() || matches!(c, '-' | '_');
    text.split(|c: char| !inside(c)).any(|word| word == id)
}

/// Places at which instruments were read, in the order of the plan, by the instrument's id.
type Read<'a> = BTreeMap<&'a str, Vec<(String, &'a (Measured, Mark))>>;

impl Scene<'_> {
    /// What stands by an instrument that is not what it was, or is not in the book any more,
    /// and nobody decided about it; each with its way out.
    #[must_use]
    pub fn doubted_tools(&self) -> Vec<String> {
        let mut all = self.by_worse_tools();
        all.extend(self.by_gone_tools());
        all
    }

    /// Instruments the book no longer has, with what was read with them and stands undecided.
    fn by_gone_tools(&self) -> Vec<String> {
        let Some(rows) = &self.register.instruments else { return Vec::new() };
        if self.plan.rules < SINCE || self.state.closed.is_some() {
            return Vec::new();
        }
        let mut gone: Read<'_> = BTreeMap::new();
        for operation in &self.plan.operations {
            for planned in operation.readings() {
                let Some(read) = self.state.reading(&operation.key, &planned.id) else { continue };
                let Some(tool) = read.0.tool.as_deref() else { continue };
                if !rows.iter().any(|row| row.id == tool) && !self.lets_stand(tool, &read.1) {
                    let place = format!("{}.{}", operation.number, planned.id);
                    gone.entry(tool).or_default().push((place, read));
                }
            }
        }
        gone.iter().map(|(tool, all)| self.gone(tool, all)).collect()
    }

    /// Whether a lead let stand what was read with an instrument before it was filed.
    fn lets_stand(&self, tool: &str, mark: &Mark) -> bool {
        self.state.founds.iter().any(|found| {
            let decided = found.disposition.as_ref().filter(|(what, ..)| *what == Disposition::UseAsIs);
            found.mark.n > mark.n
                && decided.is_some_and(|(_, why, _)| speaks_of(&found.text, tool) || speaks_of(why, tool))
        })
    }

    /// One instrument that is gone: what was read with it, what is known of it, the way out.
    fn gone(&self, tool: &str, all: &[(String, &(Measured, Mark))]) -> String {
        let (number, book) = (&self.plan.number, &self.register.book);
        let places: Vec<String> = all.iter().map(|(place, _)| place.clone()).collect();
        let first = places.first().map_or("", String::as_str);
        let frozen = self.register.frozen.iter().flatten().any(|row| row.id == tool);
        let until = all.iter().filter_map(|(_, (read, _))| read.calibrated_until.as_deref()).max();
        let known = match (frozen, until) {
            (true, _) => "its row is kept as the paper was issued".to_owned(),
            (false, Some(until)) => format!("no row of it is kept; the entries say calibrated until {until}"),
            (false, None) => "no row of it is kept, and no entry says a calibration".to_owned(),
        };
        format!(
            "{tool} is not in {book} any more, and {} by it: {}; {known}; what became of it since is not known. Put its row back (out of service, if it is), read again with another (tackwright measure {number} {first} VALUE --again --by ID), or a lead decides about all of them: tackwright found {number} {first} \"{tool}: …\" --by ID, then dispose",
            counted(all.len(), "reading stands", "readings stand"),
            short(&places)
        )
    }
}

/// Instruments a revision was frozen without, though the one before had them and what was read
/// with them is still asked: the book no longer had their rows. In words, for `verify`.
#[must_use]
pub fn dropped((was, now): (&[Instrument], &[Instrument]), plan: &Frozen, entries: &[Entry]) -> Vec<String> {
    let lost = was.iter().filter(|row| !now.iter().any(|other| other.id == row.id));
    let told = lost.filter_map(|row| {
        let asked = |read: &Measured| {
            let operation = plan.keyed(&read.operation.key);
            operation.is_some_and(|o| o.readings().any(|r| r.id == read.reading && r.instrument.is_some()))
        };
        let by_it = |entry: &&Entry| match &entry.what {
            Action::Measure { reading } => reading.tool.as_ref() == Some(&row.id) && asked(reading),
            _ => false,
        };
        let places = entries.iter().filter(by_it).count();
        (places > 0).then(|| {
            format!(
                "{} was taken out of the shop book before rev {} was issued, and {} with it before: ask the shop what became of it",
                row.id,
                plan.revision,
                counted(places, "reading was taken", "readings were taken")
            )
        })
    });
    told.collect()
}

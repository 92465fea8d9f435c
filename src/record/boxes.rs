//! Every box of a frozen plan by its name, in the order of the work.

use super::entry::{Action, Entry};
use super::frozen::{Frozen, Operation, Point, Reading, Sheet, Step};
use super::state::{Mark, State};
use crate::form::{BoxKind, BoxName, Part, Written};
use crate::term::Verdict;

/// Stands for the role of an operation that anybody may initial.
pub const ANYONE: &str = "anyone";

/// A box that is asked for.
#[derive(Debug, Clone, PartialEq)]
pub struct Asked<'a> {
    /// By the operation's key; it outlasts a renumbering.
    pub name: BoxName,
    /// Where in the plan it stands.
    pub operation: &'a Operation,
    /// What it holds.
    pub what: What<'a>,
}

/// What a box of the plan holds.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum What<'a> {
    /// That it was done.
    Tick(&'a Step),
    /// Initials for a whole operation.
    Initials,
    /// A reading, and the step it stands in.
    Reading(&'a Step, &'a Reading),
    /// The signature of a role at a point, its place from 1.
    Signature(&'a Point, &'a str, u32),
    /// What the 100 mm bars of a printed sheet measured.
    Bars(&'a Sheet),
}

impl Asked<'_> {
    /// What goes into it.
    #[must_use]
    pub fn kind(&self) -> BoxKind {
        match self.what {
            What::Tick(_) => BoxKind::Tick,
            What::Initials => BoxKind::Initials,
            What::Reading(..) | What::Bars(_) => BoxKind::Value,
            What::Signature(..) => BoxKind::Signature,
        }
    }

    /// The entry that filled it.
    #[must_use]
    pub fn filled<'s>(&self, state: &'s State) -> Option<&'s Mark> {
        let operation = self.operation;
        match self.what {
            What::Tick(step) => state.done(operation, step),
            What::Initials => state.initials(operation),
            What::Reading(_, reading) => state.reading(&operation.key, &reading.id).map(|(_, mark)| mark),
            // A void print is printed and measured again.
            What::Bars(sheet) => {
                state.bars_of(sheet).filter(|(bars, _)| bars.verdict.is(Verdict::Conform)).map(|(_, m)| m)
            }
            What::Signature(point, role, place) => {
                let signed = state.standing(operation, point);
                if let Some(waived) = signed.iter().find(|s| s.waived) {
                    return Some(&waived.mark);
                }
                let before = point.roles.iter().take(place.saturating_sub(1) as usize);
                let same = before.filter(|r| *r == role).count();
                signed.iter().filter(|s| s.mark.by.role == role).nth(same).map(|s| &s.mark)
            }
        }
    }

    /// Its operation, step, reading or point as typed for a command: `120.3`.
    #[must_use]
    pub fn typed(&self) -> String {
        let number = self.operation.number;
        match self.what {
            What::Tick(step) => format!("{number}.{}", step.number),
            What::Initials => number.to_string(),
            What::Reading(_, reading) => format!("{number}.{}", reading.id),
            What::Signature(point, ..) => point.number.clone(),
            What::Bars(sheet) => format!("sheet {}", sheet.mark()),
        }
    }
}

impl Operation {
    /// Its boxes as they are filled: points before it, readings and ticks of each
    /// step, initials, points after it. Readings nobody is asked for are left out.
    #[must_use]
    pub fn boxes(&self) -> Vec<Asked<'_>> {
        let key = &self.key;
        let ask = |name, what| Asked { name, operation: self, what };
        let mut all = Vec::new();
        all.extend(self.before.iter().flat_map(|p| self.signatures(p)));
        for step in &self.steps {
            for reading in step.readings.iter().filter(|r| r.asked()) {
                all.push(ask(BoxName::reading(key, &reading.id), What::Reading(step, reading)));
            }
            if step.ticked() {
                all.push(ask(BoxName::step(key, step.number), What::Tick(step)));
            }
        }
        if self.initialled() {
            let role = if self.role.is_empty() { ANYONE } else { &self.role };
            all.push(ask(BoxName::initials(key, role), What::Initials));
        }
        all.extend(self.after.iter().flat_map(|p| self.signatures(p)));
        all
    }

    fn signatures<'a>(&'a self, point: &'a Point) -> impl Iterator<Item = Asked<'a>> {
        point.roles.iter().zip(1_u32..).map(move |(role, place)| Asked {
            name: BoxName::point(&self.key, &point.slot, place, Written::Mark),
            operation: self,
            what: What::Signature(point, role, place),
        })
    }

    /// The box of a name. A reading the paper does not ask for has one too; the
    /// role of initials and the field of a signature are taken as they come.
    #[must_use]
    pub fn box_of(&self, part: &Part) -> Option<Asked<'_>> {
        let same = |asked: &Asked<'_>| match (&asked.name.part, part) {
            (Part::Initials(_), Part::Initials(_)) => true,
            (Part::Point(slot, place, _), Part::Point(other, at, _)) => slot == other && place == at,
            (one, other) => one == other,
        };
        self.boxes().into_iter().find(same).or_else(|| {
            let Part::Reading(id) = part else { return None };
            let step = self.step_of(id)?;
            let reading = step.readings.iter().find(|r| r.id == *id)?;
            Some(Asked {
                name: BoxName::reading(&self.key, id),
                operation: self,
                what: What::Reading(step, reading),
            })
        })
    }
}

impl Frozen {
    /// Every box in the order of the work.
    pub fn boxes(&self) -> impl Iterator<Item = Asked<'_>> {
        self.operations.iter().flat_map(|operation| self.boxes_at(operation))
    }

    /// The boxes of an operation: the bars of the sheets that are first used there,
    /// then its own.
    #[must_use]
    pub fn boxes_at<'a>(&'a self, operation: &'a Operation) -> Vec<Asked<'a>> {
        let first = |sheet: &&Sheet| self.first_used(sheet).is_some_and(|o| o.key == operation.key);
        let ask =
            |sheet: &'a Sheet| Asked { name: BoxName::bars(&sheet.name), operation, what: What::Bars(sheet) };
        self.sheets.iter().filter(first).map(ask).chain(operation.boxes()).collect()
    }

    /// The operation that is first done by a sheet. One that none names is asked for
    /// nowhere, and its bars are entered by the name of their box.
    fn first_used(&self, sheet: &Sheet) -> Option<&Operation> {
        self.operations.iter().find(|o| sheet.operations.contains(&o.key))
    }

    /// What is asked for under this name; none if the plan has no such box.
    #[must_use]
    pub fn box_of(&self, name: &BoxName) -> Option<Asked<'_>> {
        if let Some(sheet) = self.sheets.iter().find(|s| BoxName::bars(&s.name) == *name) {
            let operation = self.first_used(sheet).or_else(|| self.operations.first())?;
            return Some(Asked { name: name.clone(), operation, what: What::Bars(sheet) });
        }
        self.operations.iter().find(|o| o.key == name.operation)?.box_of(&name.part)
    }
}

/// The box an entry fills, by the slots of the plan of its day; none for an entry
/// that fills none.
#[must_use]
pub fn of(entry: &Entry) -> Option<BoxName> {
    match &entry.what {
        Action::Tick { operation, step: Some(step), .. } => Some(BoxName::step(&operation.key, *step)),
        Action::Tick { operation, step: None, .. } => Some(BoxName::initials(&operation.key, &entry.by.role)),
        Action::Bars { bars } => Some(BoxName::bars(&bars.name)),
        Action::Measure { reading } => Some(BoxName::reading(&reading.operation.key, &reading.reading)),
        Action::Sign { operation, slot, .. }
        | Action::SeenOnPaper { operation, slot, .. }
        | Action::WitnessWaived { operation, slot, .. } => {
            Some(BoxName::point(&operation.key, slot, 1, Written::Mark))
        }
        _ => None,
    }
}

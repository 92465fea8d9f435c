//! What a person types for a place of the plan: one way to read it for every command,
//! for a sheet and for the desk.
//!
//! A place is written as the paper prints it (`120`, `120.3`, `H4`, the words beside a
//! box), as a command says it (`120.first.left`) or by the name of its box
//! (`front/read-caster:first.left`, `front/read-caster:#3`, `/bars:SHEET`).

use super::boxes::{Asked, What};
use super::frozen::{Frozen, Operation, Point, Reading, Sheet, Step};
use super::rules::Scene;
use super::state::State;
use crate::diagnostic::{Diagnostic, nearest};
use crate::form::{BoxName, Part};

/// What initials for a whole operation are called: `120.initials`.
pub const INITIALS: &str = "initials";

/// A place of the plan.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Place<'a> {
    /// An operation, and the initials for it.
    Operation(&'a Operation),
    /// A step of it.
    Step(&'a Operation, &'a Step),
    /// A reading of it.
    Reading(&'a Operation, &'a Reading),
    /// A point before or after it.
    Point(&'a Operation, &'a Point),
    /// A sheet at full size, and the operation it is first used at.
    Sheet(&'a Operation, &'a Sheet),
}

impl<'a> Place<'a> {
    /// The operation it belongs to.
    #[must_use]
    pub fn operation(&self) -> &'a Operation {
        match self {
            Self::Operation(o) | Self::Step(o, _) | Self::Reading(o, _) | Self::Point(o, _) => o,
            Self::Sheet(o, _) => o,
        }
    }

    /// As the messages of the record name it: `120.first.left`, `H4`.
    #[must_use]
    pub fn typed(&self) -> String {
        let number = self.operation().number;
        match self {
            Self::Operation(_) => number.to_string(),
            Self::Step(_, step) => format!("{number}.{}", step.number),
            Self::Reading(_, reading) => format!("{number}.{}", reading.id),
            Self::Point(_, point) => point.number.clone(),
            Self::Sheet(_, sheet) => format!("sheet {}", sheet.mark()),
        }
    }

    /// What it is, and what is done with it: for whoever named it to the wrong command.
    #[must_use]
    pub fn way(&self, number: &str) -> String {
        let typed = self.typed();
        match self {
            Self::Operation(o) => {
                let readings: Vec<String> = o.readings().map(|r| format!("{typed}.{}", r.id)).collect();
                let more = match readings.as_slice() {
                    [] => String::new(),
                    some => format!("; its readings are {}", some.join(", ")),
                };
                format!(
                    "{typed} is an operation, {}: tackwright tick {number} {typed} --by ID{more}",
                    o.title
                )
            }
            Self::Step(_, step) if step.ticked() => {
                format!("{typed} is a step that is ticked: tackwright tick {number} {typed} --by ID")
            }
            Self::Step(o, _) => format!(
                "{typed} is a step without a box: it is done with the initials of {}, tackwright tick {number} {} --by ID",
                o.number, o.number
            ),
            Self::Reading(..) => {
                format!("{typed} is a reading: tackwright measure {number} {typed} VALUE --by ID")
            }
            Self::Point(_, point) => format!(
                "{typed} is a {}: tackwright sign {number} {typed} --as {} --by ID",
                point.kind,
                point.roles.first().map_or("ROLE", |role| role.as_str())
            ),
            Self::Sheet(_, sheet) => format!(
                "{typed} is printed at full size: tackwright bars {number} {} --across MM --along MM --by ID",
                sheet.mark()
            ),
        }
    }

    /// Its boxes, all signatures of a point.
    #[must_use]
    pub fn boxes(&self, plan: &'a Frozen) -> Vec<Asked<'a>> {
        let operation = self.operation();
        let same = |asked: &Asked<'_>| match (self, asked.what) {
            (Self::Operation(_), What::Initials) => true,
            (Self::Step(_, step), What::Tick(other)) => step.number == other.number,
            (Self::Reading(_, reading), What::Reading(_, other)) => reading.id == other.id,
            (Self::Point(_, point), What::Signature(other, ..)) => point.slot == other.slot,
            (Self::Sheet(_, sheet), What::Bars(other)) => sheet.name == other.name,
            _ => false,
        };
        let mut found: Vec<_> = plan.boxes_at(operation).into_iter().filter(same).collect();
        if let (Self::Reading(_, reading), true) = (self, found.is_empty()) {
            // One the paper does not ask for has a box all the same.
            found.extend(operation.box_of(&Part::Reading(reading.id.clone())));
        }
        found
    }

    /// The box that is meant where one has to be: the first that is still empty, else
    /// the first.
    #[must_use]
    pub fn asked(&self, plan: &'a Frozen, state: &State) -> Option<Asked<'a>> {
        let all = self.boxes(plan);
        let open = all.iter().position(|asked| asked.filled(state).is_none());
        all.into_iter().nth(open.unwrap_or(0))
    }
}

/// The part of a name that stands behind the operation; white space and the marks people
/// leave out are not looked at.
fn plain(text: &str) -> String {
    let kept = |c: char| if c.is_alphanumeric() { c } else { ' ' };
    let spaced: String = text.chars().map(kept).flat_map(char::to_lowercase).collect();
    spaced.split_whitespace().collect::<Vec<_>>().join(" ")
}

impl Frozen {
    /// The place of a name as a box has it; none if the plan has no such box.
    fn place_of_box(&self, name: &BoxName) -> Option<Place<'_>> {
        let asked = self.box_of(name)?;
        let o = asked.operation;
        Some(match asked.what {
            What::Tick(step) => Place::Step(o, step),
            What::Initials => Place::Operation(o),
            What::Reading(_, reading) => Place::Reading(o, reading),
            What::Signature(point, ..) => Place::Point(o, point),
            What::Bars(sheet) => Place::Sheet(o, sheet),
        })
    }

    /// The point of this number on paper: `H4`.
    #[must_use]
    pub fn point(&self, number: &str) -> Option<(&Operation, &Point)> {
        let same = |p: &&Point| p.number.eq_ignore_ascii_case(number);
        self.operations.iter().find_map(|o| o.points().find(same).map(|p| (o, p)))
    }

    /// The place a person named.
    ///
    /// # Errors
    /// If the plan has no such operation (L103), or the operation no such step (L144) or
    /// reading (L109); with what it has.
    pub fn meant(&self, what: &str) -> Result<Place<'_>, Diagnostic> {
        let what = what.trim();
        if let Some(place) = what.parse().ok().and_then(|name| self.place_of_box(&name)) {
            return Ok(place);
        }
        if let Some((operation, point)) = self.point(what) {
            return Ok(Place::Point(operation, point));
        }
        if let Some(operation) = self.operation(what) {
            return Ok(Place::Operation(operation));
        }
        // The operation ends at the first mark behind a name of one.
        let cuts = what.match_indices(['.', ':', ' ', ',']).map(|(i, mark)| (i, i + mark.len()));
        for (end, start) in cuts {
            let (Some(name), Some(part)) = (what.get(..end), what.get(start..)) else { continue };
            if let Some(operation) = self.operation(name) {
                return self.part(operation, part.trim());
            }
        }
        Err(self.unknown(what))
    }

    fn part<'a>(&'a self, operation: &'a Operation, part: &str) -> Result<Place<'a>, Diagnostic> {
        let number = part.trim_start_matches('#');
        if let Ok(n) = number.parse::<u32>() {
            let step = operation.steps.iter().find(|s| s.number == n);
            return step.map(|step| Place::Step(operation, step)).ok_or_else(|| {
                Diagnostic::error("L144", format!("operation {} has no step {n}", operation.number))
                    .expected(format!("a step from 1 to {}", operation.steps.len()))
            });
        }
        if part.starts_with('@') || part.eq_ignore_ascii_case(INITIALS) {
            return Ok(Place::Operation(operation));
        }
        if let Some(point) = operation.points().find(|p| p.number.eq_ignore_ascii_case(part)) {
            return Ok(Place::Point(operation, point));
        }
        let by_id = operation.readings().find(|r| r.id.eq_ignore_ascii_case(part));
        let by_label = || {
            let mut same = operation.readings().filter(|r| plain(&r.label) == plain(part));
            same.next().filter(|_| same.next().is_none())
        };
        if let Some(reading) = by_id.or_else(by_label) {
            return Ok(Place::Reading(operation, reading));
        }
        let ids: Vec<&str> = operation.readings().map(|r| r.id.as_str()).collect();
        let number = operation.number;
        let mut problem = Diagnostic::error("L109", format!("operation {number} has no reading \"{part}\""))
            .expected(match ids.as_slice() {
                [] => format!("a step from 1 to {}; it has no readings", operation.steps.len()),
                ids => ids.join(", "),
            });
        let labels = operation.readings().map(|r| r.label.as_str());
        let near = nearest(part, ids.iter().copied()).map(str::to_owned).or_else(|| {
            let label = nearest(&part.to_lowercase(), labels)?;
            operation.readings().find(|r| r.label == label).map(|r| r.id.clone())
        });
        let near = near.map(|near| format!("{number}.{near}")).or_else(|| self.elsewhere(part));
        if let Some(near) = near {
            problem = problem.help(format!("did you mean \"{near}\"?"));
        }
        Err(problem)
    }

    /// The place of a reading that was named at the wrong operation; none if several
    /// operations have one of that name.
    fn elsewhere(&self, part: &str) -> Option<String> {
        let same = |o: &Operation| o.readings().any(|r| r.id.eq_ignore_ascii_case(part));
        let mut all = self.operations.iter().filter(|o| same(o));
        let only = all.next().filter(|_| all.next().is_none())?;
        Some(format!("{}.{}", only.number, part.to_lowercase()))
    }

    /// That the plan has no such place, with what it has.
    pub(super) fn unknown(&self, what: &str) -> Diagnostic {
        let last = self.operations.iter().map(|o| o.number).max().unwrap_or(0);
        let name = what.split(['.', ':', ' ', ',']).next().unwrap_or(what);
        let mut problem =
            Diagnostic::error("L103", format!("\"{what}\" is no place of {} rev {}", self.number, self.revision))
                .rule("known operations only")
                .expected(format!(
                    "an operation from 10 to {last}, a step (120.3), a reading (120.first.left), a point (H4) or the name of a box"
                ));
        let points = self.operations.iter().flat_map(Operation::points).map(|p| p.number.as_str());
        let numbers: Vec<String> = self.operations.iter().map(|o| o.number.to_string()).collect();
        let words = self.operations.iter().flat_map(|o| [o.key.as_str(), o.id.as_str()]);
        let all = numbers.iter().map(String::as_str).chain(points).chain(words);
        let part = what.get(name.len() + 1..).unwrap_or_default();
        if let Some(near) = self.elsewhere(part).or_else(|| nearest(name, all).map(str::to_owned)) {
            problem = problem.help(format!("did you mean \"{near}\"?"));
        }
        problem.help(format!("`status {} --boxes` lists all", self.number))
    }
}

impl<'a> Scene<'a> {
    /// As [`Frozen::meant`].
    ///
    /// # Errors
    /// As there.
    pub fn meant(&self, what: &str) -> Result<Place<'a>, Diagnostic> {
        self.plan.meant(what)
    }
}

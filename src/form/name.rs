//! The name of a box.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// The name of a box: the stable key of its operation and its part of it.
///
/// It reads `front/set-pinion:wall.left` (a reading), `front/set-pinion:#3` (the
/// tick of step 3), `front/set-pinion:@welder` (initials of a role, for this
/// operation and the ones its box covers), `front/set-pinion:!after.1/1/mark` (the
/// mark of the first signer of a point).
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct BoxName {
    /// Key of the operation.
    pub operation: String,
    /// Which step, reading, role or point of it.
    pub part: Part,
}

/// What of an operation a box holds.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Part {
    /// The tick or the initials of a step, by its number.
    Step(u32),
    /// The initials of a role.
    Initials(String),
    /// A reading, by its id.
    Reading(String),
    /// A field of a point: its slot, the place of the signer from 1, which field.
    Point(String, u32, Written),
}

/// A field of a signature.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Written {
    /// Printed name.
    Name,
    /// Identification.
    Id,
    /// The signature itself.
    Mark,
    /// Date and time.
    When,
}

impl Written {
    const ALL: [(Self, &'static str); 4] =
        [(Self::Name, "name"), (Self::Id, "id"), (Self::Mark, "mark"), (Self::When, "when")];

    fn word(self) -> &'static str {
        Self::ALL.iter().find(|(one, _)| *one == self).map_or("", |(_, word)| word)
    }
}

/// A text that is no name of a box.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NotAName(pub String);

impl fmt::Display for NotAName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "`{}` is no name of a box: an operation's key, `:`, then a reading's id, `#` and a step, \
             `@` and a role, or `!` and a point",
            self.0
        )
    }
}

impl std::error::Error for NotAName {}

/// The place of the bars of sheets at full size, in the name of their boxes.
const BARS: &str = "/bars";

impl BoxName {
    /// The tick of a step.
    #[must_use]
    pub fn step(operation: &str, number: u32) -> Self {
        Self { operation: operation.to_owned(), part: Part::Step(number) }
    }

    /// For this operation and the others its box covers.
    #[must_use]
    pub fn initials(operation: &str, role: &str) -> Self {
        Self { operation: operation.to_owned(), part: Part::Initials(role.to_owned()) }
    }

    /// The value of a reading; `id` is the one within its operation.
    #[must_use]
    pub fn reading(operation: &str, id: &str) -> Self {
        Self { operation: operation.to_owned(), part: Part::Reading(id.to_owned()) }
    }

    /// A field of a signature; `signer` counts from 1.
    #[must_use]
    pub fn point(operation: &str, slot: &str, signer: u32, field: Written) -> Self {
        Self { operation: operation.to_owned(), part: Part::Point(slot.to_owned(), signer, field) }
    }

    /// What the bars of a sheet at full size measured: `/bars:TW-2041-A-front-pad`.
    #[must_use]
    pub fn bars(sheet: &str) -> Self {
        Self::reading(BARS, sheet)
    }

    /// Whether it is for the bars of a sheet at full size.
    #[must_use]
    pub fn of_bars(&self) -> bool {
        self.operation == BARS
    }

    /// A box that belongs to no operation but to a place of the paper: `/people:WO`.
    #[must_use]
    pub fn on_paper(&self) -> bool {
        self.operation.starts_with('/')
    }

    /// The name as a PDF field's: ISO 32000-1, 12.7.3.2 keeps `.` for the steps of
    /// a hierarchy, so it and the escape itself are written in hexadecimal.
    #[must_use]
    pub fn field(&self) -> String {
        self.to_string().replace('%', "%25").replace('.', "%2E")
    }

    /// The name a PDF field's stands for.
    ///
    /// # Errors
    /// If it is none.
    pub fn of_field(text: &str) -> Result<Self, NotAName> {
        text.replace("%2E", ".").replace("%25", "%").parse()
    }
}

impl fmt::Display for BoxName {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}:", self.operation)?;
        match &self.part {
            Part::Step(number) => write!(f, "#{number}"),
            Part::Initials(role) => write!(f, "@{role}"),
            Part::Reading(id) => f.write_str(id),
            Part::Point(slot, signer, field) => write!(f, "!{slot}/{signer}/{}", field.word()),
        }
    }
}

impl FromStr for BoxName {
    type Err = NotAName;

    fn from_str(text: &str) -> Result<Self, NotAName> {
        let no = || NotAName(text.to_owned());
        let (operation, part) = text.rsplit_once(':').ok_or_else(no)?;
        if operation.is_empty() || part.is_empty() {
            return Err(no());
        }
        // By characters: a name typed at a keyboard begins with any.
        let mut rest = part.chars();
        let part = match (rest.next().unwrap_or_default(), rest.as_str()) {
            ('#', number) => Part::Step(number.parse().ok().filter(|n| *n > 0).ok_or_else(no)?),
            ('@', role) if !role.is_empty() => Part::Initials(role.to_owned()),
            ('!', rest) => {
                let (rest, field) = rest.rsplit_once('/').ok_or_else(no)?;
                let (slot, signer) = rest.rsplit_once('/').ok_or_else(no)?;
                let field = Written::ALL.iter().find(|(_, word)| *word == field).ok_or_else(no)?.0;
                Part::Point(slot.to_owned(), signer.parse().ok().filter(|n| *n > 0).ok_or_else(no)?, field)
            }
            ('@', _) => return Err(no()),
            _ => Part::Reading(part.to_owned()),
        };
        Ok(Self { operation: operation.to_owned(), part })
    }
}

impl TryFrom<String> for BoxName {
    type Error = NotAName;

    fn try_from(text: String) -> Result<Self, NotAName> {
        text.parse()
    }
}

impl From<BoxName> for String {
    fn from(name: BoxName) -> Self {
        name.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_reads_back_as_it_was_written() {
        let names = [
            BoxName::step("front/set-pinion", 3),
            BoxName::initials("front/set-pinion", "shop lead"),
            BoxName::reading("front/set-pinion", "wall.left"),
            BoxName::point("front/cut", "after.2", 1, Written::Mark),
            BoxName::point("front/cut", "before.1", 2, Written::When),
            BoxName::bars("TW-2041-A-front-spring-pad"),
            BoxName::reading("/found/new-1", "what.2"),
        ];
        for name in names {
            assert_eq!(name.to_string().parse(), Ok(name.clone()));
            assert_eq!(BoxName::of_field(&name.field()), Ok(name.clone()));
            assert!(!name.field().contains('.'), "{}", name.field());
        }
    }

    #[test]
    fn what_is_no_name_is_refused() {
        for text in [
            "",
            "front",
            ":wall",
            "front:",
            "front:#0",
            "front:#x",
            "front:@",
            "front:!after.1/0/mark",
            "front:!after.1/1/sign",
        ] {
            assert!(text.parse::<BoxName>().is_err(), "{text}");
        }
    }
}

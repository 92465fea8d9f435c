//! Welding positions: as tested, as needed, and the plain places behind both.
//!
//! Which places a designation stands for: AWS A3.0 and ISO 6947, from memory.

use std::fmt;

use crate::choice;

/// A plain place: the direction the weld faces and, where it climbs, which way.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Place {
    /// Welded from above.
    Flat,
    /// Along a level seam on an upright face.
    Horizontal,
    /// Vertical, upward progression.
    VerticalUp,
    /// Vertical, downward progression.
    VerticalDown,
    /// Welded from below.
    Overhead,
}

impl Place {
    /// As a page says it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Place::Flat => "flat",
            Place::Horizontal => "horizontal",
            Place::VerticalUp => "vertical up",
            Place::VerticalDown => "vertical down",
            Place::Overhead => "overhead",
        }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.word())
    }
}

choice! {
    /// Progression of a vertical weld.
    pub enum Progression {
        /// Upward.
        Up = "up",
        /// Downward.
        Down = "down",
    }
}

impl Progression {
    /// The vertical place it makes.
    #[must_use]
    pub const fn place(self) -> Place {
        match self {
            Progression::Up => Place::VerticalUp,
            Progression::Down => Place::VerticalDown,
        }
    }
}

choice! {
    /// Designation of a position: US (fillet F, groove G) or ISO 6947.
    pub enum Position {
        /// Fillet, flat.
        F1 = "1f",
        /// Fillet, horizontal.
        F2 = "2f",
        /// Fillet, vertical.
        F3 = "3f",
        /// Fillet, overhead.
        F4 = "4f",
        /// Fillet, pipe fixed horizontal.
        F5 = "5f",
        /// Groove, flat.
        G1 = "1g",
        /// Groove, horizontal.
        G2 = "2g",
        /// Groove, vertical.
        G3 = "3g",
        /// Groove, overhead.
        G4 = "4g",
        /// Groove, pipe fixed horizontal.
        G5 = "5g",
        /// Groove, pipe fixed inclined.
        G6 = "6g",
        /// Groove, pipe fixed inclined with restriction ring.
        G6R = "6gr",
        /// ISO flat.
        PA = "pa",
        /// ISO horizontal vertical.
        PB = "pb",
        /// ISO horizontal.
        PC = "pc",
        /// ISO horizontal overhead.
        PD = "pd",
        /// ISO overhead.
        PE = "pe",
        /// ISO vertical up.
        PF = "pf",
        /// ISO vertical down.
        PG = "pg",
        /// ISO pipe fixed horizontal, up.
        PH = "ph",
        /// ISO pipe fixed horizontal, down.
        PJ = "pj",
        /// ISO pipe inclined, up.
        HL045 = "h-l045",
        /// ISO pipe inclined, down.
        JL045 = "j-l045",
    }
}

impl Position {
    /// As printed: upper case.
    #[must_use]
    pub fn title(self) -> String {
        self.word().to_uppercase()
    }

    /// Whether it is an ISO 6947 designation.
    #[must_use]
    pub fn iso(self) -> bool {
        self >= Position::PA
    }

    /// Whether only a pipe can be in it.
    #[must_use]
    pub const fn pipe_only(self) -> bool {
        use Position as P;
        matches!(self, P::F5 | P::G5 | P::G6 | P::G6R | P::PH | P::PJ | P::HL045 | P::JL045)
    }

    /// Whether a vertical part is in it whose progression the letters leave open.
    #[must_use]
    pub const fn asks_progression(self) -> bool {
        use Position as P;
        matches!(self, P::F3 | P::F5 | P::G3 | P::G5 | P::G6 | P::G6R)
    }

    /// Places a weld in this position needs, in reading order.
    #[must_use]
    pub fn needs(self, progression: Progression) -> Vec<Place> {
        use Place::{Flat, Horizontal, Overhead, VerticalDown, VerticalUp};
        use Position as P;
        let v = progression.place();
        match self {
            P::F1 | P::G1 | P::PA => vec![Flat],
            P::F2 | P::G2 | P::PB | P::PC => vec![Horizontal],
            P::F3 | P::G3 => vec![v],
            P::F4 | P::G4 | P::PD | P::PE => vec![Overhead],
            P::G5 => vec![Flat, v, Overhead],
            P::F5 | P::G6 | P::G6R => vec![Flat, Horizontal, v, Overhead],
            P::PF => vec![VerticalUp],
            P::PG => vec![VerticalDown],
            P::PH => vec![Flat, VerticalUp, Overhead],
            P::PJ => vec![Flat, VerticalDown, Overhead],
            P::HL045 => vec![Flat, Horizontal, VerticalUp, Overhead],
            P::JL045 => vec![Flat, Horizontal, VerticalDown, Overhead],
        }
    }
}

/// The positions a text names, and the words in it that name none.
#[must_use]
pub fn parse(text: &str) -> (Vec<Position>, Vec<String>) {
    let mut found = Vec::new();
    let mut unknown = Vec::new();
    let words = text.split([',', ';', '+', '/', ' ']).map(str::trim).filter(|w| !w.is_empty() && *w != "and");
    for word in words {
        match Position::of(&word.to_lowercase()) {
            Some(position) if found.contains(&position) => {}
            Some(position) => found.push(position),
            None => unknown.push(word.to_owned()),
        }
    }
    (found, unknown)
}

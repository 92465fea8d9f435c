//! A welder's ranges, derived from the test by the rules of its standard.
//!
//! Nothing is typed in but the test itself. Each standard has a file; where a
//! rule was recalled and not read in a copy, its source says so.

mod asme;
mod aws;
mod iso;
pub mod tolerance;
pub mod validity;

use super::Band;
use super::model::{Form, Qualification, Standard, WeldKind};
use super::position::Place;
use crate::quantity::Length;
use crate::source::Source;

/// Which thickness a range speaks of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Thickness {
    /// Of the parts.
    Base,
    /// Of the weld metal deposited.
    Deposit,
}

/// One combination a test qualifies.
#[derive(Debug, Clone, PartialEq)]
pub struct Range {
    /// Groove, fillet or plug.
    pub kind: WeldKind,
    /// Product form.
    pub form: Form,
    /// Every place it may be welded in.
    pub places: Vec<Place>,
    /// Least and greatest thickness it holds for.
    pub thickness: Band<Length>,
    /// Whether that is of the part or of the deposit.
    pub of: Thickness,
    /// Outside diameter, for pipe.
    pub diameter: Band<Length>,
}

impl Range {
    /// In words, for lists and the head page.
    #[must_use]
    pub fn words(&self) -> String {
        let places: Vec<_> = self.places.iter().map(|p| p.word()).collect();
        let thickness = match self.of {
            Thickness::Base => "parts",
            Thickness::Deposit => "weld metal",
        };
        let mut text = format!(
            "{} on {}: {}; {thickness} {}",
            self.kind,
            self.form,
            places.join(", "),
            self.thickness.words()
        );
        if self.form == Form::Pipe {
            text.push_str(&format!("; diameter {}", self.diameter.words()));
        }
        text
    }
}

/// What follows from a test.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Derived {
    /// What it qualifies.
    pub ranges: Vec<Range>,
    /// Rules used.
    pub sources: Vec<Source>,
    /// Why the test qualifies nothing or less, in words.
    pub flaws: Vec<String>,
}

impl Derived {
    fn cite(&mut self, source: Source) {
        if !self.sources.contains(&source) {
            self.sources.push(source);
        }
    }
}

/// The ranges of a test.
#[must_use]
pub fn derive(test: &Qualification) -> Derived {
    if test.weld.value == WeldKind::Plug {
        let flaw = "what a plug test covers is not reckoned here: the code's own table decides";
        return Derived { flaws: vec![flaw.to_owned()], ..Derived::default() };
    }
    match test.standard.value {
        Standard::D11Of2015 => aws::derive(test, &aws::OF_2015),
        Standard::D11Of2020 => aws::derive(test, &aws::OF_2020),
        Standard::AsmeOf2023 => asme::derive(test),
        Standard::IsoOf2012 | Standard::IsoOf2017 => iso::derive(test),
    }
}

/// Places of all tested positions, each once, in reading order.
fn union(test: &Qualification, of: impl Fn(super::position::Position) -> Vec<Place>) -> Vec<Place> {
    let mut places: Vec<Place> = test.positions.iter().flat_map(|p| of(p.value)).collect();
    places.sort_unstable();
    places.dedup();
    places
}

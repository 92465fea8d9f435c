//! The nut factor K for a finish, and what contradicts it.

use super::selection::shigley;
use crate::figure::prelude::*;
use crate::reference::friction::{self, FINISH_WORDS, Finish, Table};

/// Source of the equation that defines K.
pub(super) const SHORT: Source = shigley("eq. 8-27, T = K d F");
/// Source of the nut factors.
pub(super) const FACTOR: Source =
    Source::practice("published nut factors by finish; the lowest where they disagree");
/// Share by which an entered K may leave those published for its finish.
const K_AGREES: f64 = 0.02;

crate::words!(@traits Table, Table::WORDS, Table::of, Table::word, &[]);

family! {
    /// Surface of thread and face, and the nut factor.
    reads Surface {
        fallback finish: String = "unknown", "surface and lubricant: dry, black, oiled, zinc, zinc-waxed, galvanized, cadmium, stainless, ptfe, anti-seize, moly, locking-compound",
            "lubrication", "lube", "condition", "surface", "coating";
        optional k: Number in within(0.05, 0.6, unit::ONE, FACTOR),
            "nut factor, if it is not to be taken from the finish", "nut_factor", "torque_coefficient", "k_factor", "torque_factor";
        optional k_table: Table, "table of nut factors; without it the lowest printed value that is safe", "k_source", "table";
    }
}

/// What a nut factor is wanted for, which says which way is safe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Purpose {
    /// The bolt must not be overloaded: the lowest K.
    Overload,
    /// The clamp must hold: the highest K.
    Clamp,
}

/// The nut factor used, and what else it may be for the stated finish.
#[derive(Debug, Clone, Copy)]
pub(super) struct NutFactor {
    /// The one used.
    pub factor: Number,
    /// Finish, if one was stated or assumed.
    pub finish: Option<Finish>,
    /// Lowest of the one used and those published for a stated finish.
    pub lowest: Number,
    /// Highest of the one used and those published for a stated finish.
    pub highest: Number,
    /// Whether one was entered that is not among those published for the
    /// finish entered with it.
    pub contradicts: bool,
}

impl NutFactor {
    /// One that is known, whatever the finish.
    pub(super) fn known(factor: Number, finish: Option<Finish>) -> Self {
        Self { factor, finish, lowest: factor, highest: factor, contradicts: false }
    }
}

/// The finish of a word.
pub(super) fn read_finish(word: Option<&str>) -> Result<Option<Finish>> {
    let Some(word) = word else { return Ok(None) };
    friction::finish(word).map(Some).ok_or_else(|| Trouble::Unknown {
        input: "finish".to_owned(),
        given: word.to_owned(),
        choices: FINISH_WORDS.iter().map(|(w, _)| (*w).to_owned()).collect(),
    })
}

impl Surface {
    /// Whether anything is stated that fixes K.
    pub(super) fn stated(&self) -> bool {
        self.k.given() || self.finish.given() || self.k_table.given()
    }

    /// Whether the finish is plated and no word says whether it is waxed.
    fn only_plated(&self) -> bool {
        self.finish.as_deref().is_some_and(|word| word.trim().eq_ignore_ascii_case("plated"))
    }

    /// The nut factor: entered, or by finish. Tells about conflicts between
    /// tables; where `shown` is an output of its own, it says where it comes from.
    pub(super) fn nut_factor(
        &self,
        purpose: Purpose,
        said: &mut Said,
        shown: Option<&mut Out<Number>>,
    ) -> Result<NutFactor> {
        let finish = read_finish(self.finish.as_deref())?;
        if let Some(k) = *self.k {
            if let Some(out) = shown {
                out.source(Source::entered("nut factor"));
                out.formula("as entered");
            }
            return Ok(entered(k, finish, purpose, said));
        }
        let table = *self.k_table;
        let asked = finish.unwrap_or(Finish::Unknown);
        let choice = friction::nut_factor(asked, table).ok_or_else(|| {
            Trouble::impossible(
                "this table has no nut factor for this finish",
                "leave k_table out, or give k",
            )
        })?;
        // Plated alone may be waxed or dry zinc: the ends are those of both.
        let either = || friction::nut_factor(Finish::Zinc, None).filter(|_| self.only_plated());
        let highest = either().map_or(choice.highest, |dry| dry.highest.max(choice.highest));
        if let Some(out) = shown {
            out.source(choice.row.source);
            out.formula(format!("table: {}", choice.row.condition));
        }
        if asked == Finish::Unknown {
            said.warn("No finish was given: K 0.20 is used, as for a condition not stated. Find out finish and lubricant first.");
        }
        let factor = match (purpose, table) {
            (Purpose::Clamp, None) => highest,
            _ => choice.factor,
        };
        if highest > choice.lowest + 1e-9 {
            // The end on the other side of the one used; where a table was chosen
            // between both, the unsafe one.
            let at = |end: f64| (factor - end).abs() < 1e-9;
            let other = match purpose {
                Purpose::Clamp if at(highest) => choice.lowest,
                Purpose::Clamp => highest,
                Purpose::Overload if at(choice.lowest) => highest,
                Purpose::Overload => choice.lowest,
            };
            said.warn(format!(
                "Published nut factors for this finish run from {} to {}; {factor} is used. At {other} the preload of the same torque would be {:.0} % of the one shown.",
                choice.lowest,
                highest,
                100.0 * factor / other
            ));
        }
        Ok(NutFactor {
            factor: Number::from_si(factor),
            finish: Some(asked),
            lowest: Number::from_si(choice.lowest),
            highest: Number::from_si(highest),
            contradicts: false,
        })
    }
}

/// A nut factor that was entered, against those published for the finish that
/// was entered with it.
fn entered(factor: Number, finish: Option<Finish>, purpose: Purpose, said: &mut Said) -> NutFactor {
    let k = factor.si();
    let alone = NutFactor::known(factor, finish);
    let published = finish.filter(|f| *f != Finish::Unknown).and_then(|f| friction::nut_factor(f, None));
    let Some(published) = published else { return alone };
    let agrees = k >= published.lowest * (1.0 - K_AGREES) && k <= published.highest * (1.0 + K_AGREES);
    if agrees {
        return alone;
    }
    let at = if purpose == Purpose::Clamp { published.highest } else { published.lowest };
    said.warn(format!(
        "k is {k}, and the nut factors published for this finish are {} to {}: they do not go together. At {at} the preload of the same torque is {:.0} % of the one shown, and the verdict counts with it. Leave out k or finish.",
        published.lowest,
        published.highest,
        100.0 * k / at
    ));
    NutFactor {
        lowest: Number::from_si(k.min(published.lowest)),
        highest: Number::from_si(k.max(published.highest)),
        contradicts: true,
        ..alone
    }
}

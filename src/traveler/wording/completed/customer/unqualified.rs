//! Joints that were welded without a procedure of the shop that covers them.

use super::super::super::super::document::{Document, Exception, WeldCard};
use super::super::super::joints::TO_BE_QUALIFIED;
use super::super::Facts;
use super::exceptions::{place, who};
use super::{sentence, taken};

/// Kind of a joint whose values somebody released in place of a qualified procedure.
const UNQUALIFIED: &str = "Welded without a qualified procedure";
/// Reading that says who released the values of the weld card.
const RELEASED: &str = "released-by";

/// One line for all of them, with who released their values; none where the shop has a
/// procedure for every joint.
pub(super) fn rows(document: &Document, facts: &Facts<'_>) -> Option<Exception> {
    let to_be_qualified = |card: &&WeldCard| {
        card.facts.iter().any(|f| f.label == "procedure" && f.value.as_deref() == Some(TO_BE_QUALIFIED))
    };
    let joints: Vec<&str> =
        document.welds.iter().filter(to_be_qualified).map(|card| card.id.as_str()).collect();
    if joints.is_empty() {
        return None;
    }
    let released = taken(facts).filter(|t| t.stem() == RELEASED).last();
    Some(Exception {
        kind: UNQUALIFIED.to_owned(),
        place: released.as_ref().map_or_else(|| "the weld cards".to_owned(), |t| place(t.operation)),
        what: format!("{}: no welding procedure of the shop covers it.", joints.join(", ")),
        reason: released.as_ref().map_or_else(
            || "Who released the values it was welded by is not on record.".to_owned(),
            |t| format!("{}: {}.", sentence(&t.reading.label), t.measured.text),
        ),
        decided: released.as_ref().map_or_else(String::new, |t| who(t.mark)),
        open: released.is_none(),
        ..Exception::default()
    })
}

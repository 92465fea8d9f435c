//! How finely a reading is written: no finer than its instrument shows, and finely enough
//! to be judged by its limit.

use super::entry::Measured;
use super::people::Instrument;
use crate::quantity::{Quantity, parse};
use crate::term::{Judged, Verdict};

/// Between two marks a tenth can be estimated, not less (common practice).
const ESTIMATED: f64 = 0.1;
/// Rounding of what was converted.
const ROOM: f64 = 1.0 + 1e-6;

/// The smallest step of an instrument that a value is finer than: written to less than a
/// tenth of it, or less than half of it in all. A value on a mark, or halfway between two,
/// may have as many decimals as its unit asks.
pub(super) fn finer_than(instrument: &Instrument, value: Quantity, text: &str) -> Option<Quantity> {
    let step = instrument.step.filter(|s| instrument.kind == Some(value.kind()) && s.si() > 0.0)?;
    let half = step.si() / 2.0;
    if value.si() != 0.0 && value.si().abs() * ROOM < half {
        return Some(step);
    }
    let place = parse::last_place(value.kind(), text)?;
    let halves = value.si() / half;
    let off_mark = (halves - halves.round()).abs() * half;
    let estimated = place * ROOM >= step.si() * ESTIMATED;
    (!estimated && off_mark > place / 2.0 * ROOM).then_some(step)
}

/// How many decimals show whether a value is inside its limit, where those that were
/// written leave it open though the instrument shows more: `0.00 in` is anything up to
/// 0.005 in.
pub fn decimals_wanted(
    instrument: Option<&Instrument>,
    value: Quantity,
    measured: &Measured,
) -> Option<usize> {
    if measured.verdict != Judged::Decided(Verdict::Conform) {
        return None;
    }
    let place = parse::last_place(value.kind(), &measured.text)?;
    let bound = |text: &Option<String>| text.as_deref().and_then(|t| t.parse::<f64>().ok());
    let off = [bound(&measured.lower), bound(&measured.upper)]
        .into_iter()
        .flatten()
        .map(|limit| (limit - value.si()).abs())
        .reduce(f64::min)?;
    let shown = instrument.and_then(|i| i.step).map_or(0.0, Quantity::si);
    if place / 2.0 <= off * ROOM || shown * ROOM >= place || off == 0.0 {
        return None;
    }
    let written = measured.text.split('±').next()?.split_once('.')?.1;
    let written = written.chars().take_while(char::is_ascii_digit).count();
    let mut more = 1;
    let mut finer = place / 10.0;
    while finer / 2.0 > off * ROOM && more < 4 {
        finer /= 10.0;
        more += 1;
    }
    Some(written + more)
}

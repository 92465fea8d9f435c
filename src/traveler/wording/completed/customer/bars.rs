//! Readings as left against their limits, drawn: the band, and a mark at the value.

use super::super::super::super::document::{Bar, BarRow, Section};
use super::super::Facts;
use super::lines::{Left, Line, STANDS, lines};
use crate::plan::Words;
use crate::quantity::{Kind, Quantity, Style, Toward};
use crate::term::Side;
use crate::traveler::drawing::{Canvas, Pen, Spot};

/// Width and height of a bar on the sheet, in millimetres.
const SIZE: Spot = Spot::new(62.0, 8.0);
/// Where the band of the limits begins and ends on it.
const BAND: (f64, f64) = (16.0, 46.0);
/// Height of the line everything stands on.
const BASE: f64 = 2.9;

/// The limits as they were printed, without the second unit: `≤ 5.3°`, `5.71° to 6.29°`.
fn printed(target: Option<&str>) -> (Option<&str>, Option<&str>) {
    let first = |text: &str| text.split(" (").next().unwrap_or_default().len();
    match target {
        Some(text) if text.starts_with("≤ ") => {
            let text = text.trim_start_matches("≤ ");
            (None, text.get(..first(text)))
        }
        Some(text) if text.starts_with("≥ ") => {
            let text = text.trim_start_matches("≥ ");
            (text.get(..first(text)), None)
        }
        Some(text) => match text.split_once(" to ") {
            Some((low, high)) => (low.get(..first(low)), high.get(..first(high))),
            None => (None, None),
        },
        None => (None, None),
    }
}

/// Whether a bar says more than the row: there is something to compare with, or a band it
/// lies in.
fn drawn(line: &Line<'_>) -> bool {
    let band = line.left.as_ref().is_some_and(|left| left.limits.0.is_some() && left.limits.1.is_some());
    band || line.found.is_some() || line.planned.is_some()
}

/// Draws a value against its limits; none without a limit.
fn bar(facts: &Facts<'_>, line: &Line<'_>) -> Option<Bar> {
    let left @ Left { kind: Some(kind), value: Some(value), limits: (low, high), .. } = line.left.as_ref()?
    else {
        return None;
    };
    let (kind, value, low, high) = (*kind, *value, *low, *high);
    let bad = line.bad;
    // What stands at the two ends of the band. One limit alone: the band is open on
    // the other side, and runs from nothing or over half the limit again.
    let (from, to) = match (low, high) {
        (Some(low), Some(high)) => (low, high),
        (None, Some(high)) => (value.min(0.0).min(high - high.abs()), high),
        (Some(low), None) => (low, value.max(low + low.abs().max(1e-9) * 0.5)),
        (None, None) => return None,
    };
    let span = (to - from).abs().max(1e-12);
    let scale = |v: f64| BAND.0 + (v - from) / span * (BAND.1 - BAND.0);
    let at = scale(value).clamp(6.0, SIZE.x - 4.0);
    let style = match kind {
        Kind::Angle => facts.plan.style(kind),
        _ => facts.plan.style(kind).no_finer(64),
    };
    // No limit is told looser than it is.
    let show = |v: f64, toward: Toward| Style { toward, ..style }.shop(Quantity::from_si(kind, v));
    let mut canvas = Canvas::new(SIZE);
    canvas.line(&[Spot::new(4.0, BASE), Spot::new(SIZE.x - 2.0, BASE)], Pen::THIN);
    let (top, bottom) = (BASE - 1.3, BASE + 1.3);
    // A closed end where there is a limit, an open one where there is none.
    canvas.line(&[Spot::new(BAND.0, top), Spot::new(BAND.1, top)], Pen::OUTLINE);
    canvas.line(&[Spot::new(BAND.0, bottom), Spot::new(BAND.1, bottom)], Pen::OUTLINE);
    let (least, most) = printed(left.target.as_deref());
    let said = |printed: Option<&str>, limit: f64, toward: Toward| {
        printed.map_or_else(|| show(limit, toward), str::to_owned)
    };
    let ends = [(low, BAND.0, least, Toward::Up), (high, BAND.1, most, Toward::Down)];
    for (limit, x, printed, toward) in ends {
        if let Some(limit) = limit {
            canvas.line(&[Spot::new(x, top - 0.9), Spot::new(x, bottom + 0.9)], Pen::AFTER);
            canvas.text(Spot::new(x, BASE + 3.9), said(printed, limit, toward), false);
        }
    }
    // The value: a solid lozenge; outside the band it is barred as well.
    let lozenge = [
        Spot::new(at, BASE - 2.2),
        Spot::new(at + 1.3, BASE),
        Spot::new(at, BASE + 2.2),
        Spot::new(at - 1.3, BASE),
    ];
    canvas.solid(&lozenge);
    if bad {
        canvas.line(&[Spot::new(at - 2.4, BASE - 2.4), Spot::new(at + 2.4, BASE + 2.4)], Pen::OUTLINE);
        canvas.line(&[Spot::new(at - 2.4, BASE + 2.4), Spot::new(at + 2.4, BASE - 2.4)], Pen::OUTLINE);
    }
    let limits = match (low, high) {
        (Some(low), Some(high)) => {
            format!("between {} and {}", said(least, low, Toward::Up), said(most, high, Toward::Down))
        }
        (None, Some(high)) => format!("at most {}", said(most, high, Toward::Down)),
        (Some(low), None) => format!("at least {}", said(least, low, Toward::Up)),
        (None, None) => String::new(),
    };
    let hand = line.row.side.map_or(String::new(), |s| format!(" {}", s.word()));
    let text = left.text.trim_end_matches(STANDS).to_owned();
    let alt = format!("{}{hand}: {text}, {limits}: {}", line.what(), line.verdict);
    Some(Bar { value: text, bad, drawing: canvas.finish(alt) })
}

/// The bars, left beside right.
pub(super) fn section(facts: &Facts<'_>) -> Section<BarRow> {
    let mut rows: Vec<BarRow> = Vec::new();
    for one in &lines(facts) {
        let Some(bar) = bar(facts, one).filter(|_| drawn(one)) else { continue };
        let (side, what) = (one.row.side, one.what());
        match (side, rows.last_mut()) {
            (Some(Side::Right), Some(last)) if last.what == what && last.right.is_none() => {
                last.right = Some(bar);
            }
            (Some(Side::Right), _) => {
                rows.push(BarRow { what, left: None, right: Some(bar) });
            }
            _ => rows.push(BarRow { what, left: Some(bar), right: None }),
        }
    }
    let notes = if rows.is_empty() {
        vec![Words::plain("No reading of this job as left stands between limits that could be drawn.")]
    } else {
        vec![Words::plain(
            "The frame between the upright strokes is what the limits allow, each bar on a scale of its own; the black lozenge is what was read. A crossed lozenge is outside, or not proven inside. What has one limit is open at the other end. What stands on one side alone has no other side.",
        )]
    };
    Section { notes, rows }
}

//! No arc, heat or sparks near what they destroy or set on fire.
//!
//! Each row of the table says which state conflicts with which acts at which
//! parts. An operation that names no part counts as near.

use super::data::DataRule;
use super::{Check, Rule};
use crate::diagnostic::Severity;
use crate::source::Source;

/// Parts with the bearings and seals the heat or the current must not reach.
/// Work on the frame side (hanger, shackle, crossmember) is out of their reach
/// as long as the return lead is clamped beside the weld.
const BEARINGS_SIT_AT: &[&str] = &["hub", "wheel", "driveshaft"];

fn row(acts: &[&str], at: &[&str], state: &str) -> DataRule {
    let owned = |words: &[&str]| words.iter().map(|&w| w.to_owned()).collect();
    DataRule {
        when_acts: owned(acts),
        at: owned(at),
        forbid_states: vec![state.to_owned()],
        ..DataRule::default()
    }
}

/// A row for everything within reach of `near`.
fn reach(acts: &[&str], near: &[&str], state: &str) -> DataRule {
    DataRule { near: near.iter().map(|&w| w.to_owned()).collect(), ..row(acts, &[], state) }
}

pub(super) static FUEL: Rule = Rule {
    code: "R111",
    id: "hot-work-fuel",
    title: "No arc, heat or grinding while fuel is present",
    reason: "Fuel vapour catches fire from a spark metres away.",
    satisfy: "Drain and remove the tank and lines near the work, or put the operation that does so before it.",
    source: Source::standard("29 CFR 1910.252(a)", "fire hazards are moved away or guarded before hot work"),
    severity: Severity::Error,
    check: Check::Data(|| row(&["arc", "heat", "grind"], &[], "fuel.present")),
};

pub(super) static BRAKE_LINE: Rule = Rule {
    code: "R112",
    id: "hot-work-brake-line",
    title: "No arc or heat near a brake line",
    reason: "Spatter and heat burn through hose and line; fluid burns, and the damage shows only under the pedal.",
    satisfy: "Take the line off before the work and list it under removes and refits.",
    source: Source::practice("no arcs or spatter on brake lines").from_memory(),
    severity: Severity::Error,
    check: Check::Data(|| {
        row(
            &["arc", "heat"],
            &["steering", "suspension", "brake", "hub", "frame", "crossmember", "wheel"],
            "brake-line.in",
        )
    }),
};

pub(super) static WIRING: Rule = Rule {
    code: "R113",
    id: "hot-work-wiring",
    title: "No arc while the wiring is live",
    reason: "Welding current finds its way through control units, and a chafed live cable starts a fire.",
    satisfy: "Disconnect both battery cables, negative first, and isolate them before the first arc.",
    source: Source::practice("both battery cables off before welding on a vehicle"),
    severity: Severity::Error,
    check: Check::Data(|| row(&["arc"], &[], "wiring.live")),
};

pub(super) static BEARINGS: Rule = Rule {
    code: "R114",
    id: "hot-work-bearings",
    title: "No arc or heat while bearings are in",
    reason: "Current through a bearing pits its races, and heat ruins its grease and hardness.",
    satisfy: "Take the bearings out before the work, or fit them after it; at the frame, clamp the return lead beside the weld and name the part (hanger, shackle, crossmember) under at.",
    source: Source::practice("bearings out before arcs on the housing or hub").from_memory(),
    severity: Severity::Error,
    check: Check::Data(|| reach(&["arc", "heat"], BEARINGS_SIT_AT, "bearings.in")),
};

pub(super) static SEALS: Rule = Rule {
    code: "R115",
    id: "hot-work-seals",
    title: "No arc or heat while seals are in",
    reason: "A seal hardens long before the metal shows colour, and leaks onto brake or clutch.",
    satisfy: "Take the seals out before the work and fit new ones after it.",
    source: Source::practice("seals out before heat").from_memory(),
    severity: Severity::Error,
    check: Check::Data(|| reach(&["arc", "heat"], BEARINGS_SIT_AT, "seals.in")),
};

pub(super) static TYRE: Rule = Rule {
    code: "R116",
    id: "hot-work-tyre",
    title: "No arc or heat on a wheel or hub with the tyre on",
    reason: "Heat gases the rubber inside an inflated tyre, and the wheel bursts, minutes later as well.",
    satisfy: "Take the wheel off, and the tyre off the wheel if the wheel itself is heated.",
    source: Source::standard("29 CFR 1910.177(f)", "no heat on a rim with the tyre on").from_memory(),
    severity: Severity::Error,
    check: Check::Data(|| {
        row(&["arc", "heat"], &["wheel", "rim", "tyre", "hub", "spindle", "knuckle", "brake"], "tyre.on")
    }),
};

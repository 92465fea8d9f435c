//! How many passes fill a fillet or groove, from the metal laid per length.

use super::look_up::{SHOP_SIZE, TRAVEL};
use crate::figure::prelude::*;
use crate::figure::usual::{DENSITY, FEED, WIRE_SIZE};

const VOLUME: Source = Source::derived(
    "metal deposited per length equals bead area",
    "conservation of mass, wire in and bead out",
);
const SINGLE: Source =
    Source::standard("AWS D1.1:2015", "table 3.6, prequalified single-pass fillets (2020: table 5.1)")
        .from_memory();

words! {
    /// Process of the table of single-pass fillets.
    pub Arc {
        Smaw = "smaw" | "stick" | "mma" | "111" | "e6010",
        Gmaw = "gmaw" | "mig" | "mag" | "mig/mag" | "135",
        Fcaw = "fcaw" | "136",
        Saw = "saw" | "121",
    }
}

words! {
    /// Welding position of a fillet.
    pub Position {
        Flat = "flat" | "1f" | "pa",
        Horizontal = "horizontal" | "2f" | "pb" | "one-horizontal" | "horizontal-line",
        Vertical = "vertical" | "3f" | "pf" | "pg" | "line" | "one-line" | "one-vertical" | "single-line" | "vertical-line",
        Overhead = "overhead" | "4f" | "pd",
    }
}

family! {
    pub PASSES = "passes" in Welding: "number of passes from the metal laid per length";
    also "number-of-passes", "pass-count", "weld-passes";
    reads Passes {
        optional leg: Length in SHOP_SIZE, "leg of the fillet", "size", "z", "leg_size", "weld_size", "w", "h",
            "s";
        optional area: Area in ABOVE_ZERO, "cross-section to fill, instead of a leg", "weld_area", "groove_area";
        default reinforcement: Percent = "10 %" in NOT_NEGATIVE, "extra metal over the plain triangle or groove",
            "excess", "convexity";
        required travel: Speed in TRAVEL, "travel speed, arc on", "travel_speed", "speed", "v";
        optional deposition: MassRate in ABOVE_ZERO, "deposition rate, net", "deposition_rate", "rate";
        optional wire_diameter: Length in WIRE_SIZE, "wire diameter, with wire_speed, instead of deposition",
            "wire", "wire_dia", "diameter";
        optional wire_speed: Speed in FEED, "wire feed speed", "wfs", "wire_feed", "wire_feed_speed";
        default efficiency: Percent = "93 %" in within(1.0, 100.0, unit::PCT, VOLUME),
            "deposition efficiency of the wire; 93 % suits solid wire in CO2", "ee", "deposition_efficiency";
        default density: Density = "7850 kg/m3" in DENSITY, "density of the weld metal";
        optional process: Arc, "with position, says whether one bead of this leg is still prequalified";
        optional position: Position, "welding position of the fillet";
    }
    rules { one_of(leg, area); together(wire_diameter, wire_speed); one_of(deposition, wire_diameter); }
    gives PassesAnswer {
        weld_area: Area, "cross-section to fill", "leg^2 / 2 (or area) x (1 + reinforcement)", VOLUME;
        deposition: MassRate, "deposition rate", "pi/4 d^2 x wire speed x density x efficiency", VOLUME;
        bead_mass: LinearDensity, "metal laid per length", "deposition / travel", VOLUME;
        bead_area: Area, "cross-section of one bead", "deposition / (density x travel)", VOLUME => .down();
        bead_leg: Length, "leg of one bead laid as a fillet", "sqrt(2 x bead area / (1 + reinforcement))", VOLUME
            => .style(GAUGE).down();
        passes: Number, "passes", "weld area / bead area, rounded up", VOLUME => .range(
            "all passes at the same settings").style(WHOLE);
        single_pass_max: Length, "largest prequalified single-pass leg", "by process and position", SINGLE =>
            .style(GAUGE).down();
    }
    example "leg=\"3/8 in\" wire_diameter=\"0.035 in\" wire_speed=\"300 in/min\" travel=\"12 in/min\"";
    by passes
}

/// Deposition rate of a wire.
#[must_use]
pub fn deposition(diameter: Length, feed: Speed, density: Density, efficiency: Percent) -> MassRate {
    super::deposition::melt_off(diameter, feed, density) * efficiency.si()
}

/// Largest single-pass fillet without qualification tests, by process and
/// position (AWS D1.1:2015 table 3.6, recalled).
#[must_use]
pub fn single_pass_max(process: Arc, position: Position) -> Option<Length> {
    use Position::{Flat, Horizontal, Overhead, Vertical};
    let eighths = match (process, position) {
        // Submerged arc is flat or horizontal; flat has no limit.
        (Arc::Saw, Horizontal) => 2.5,
        (Arc::Saw, _) => return None,
        (Arc::Smaw, Flat) | (Arc::Gmaw | Arc::Fcaw, Horizontal) => 3.0,
        (Arc::Gmaw | Arc::Fcaw, Flat) | (_, Vertical) => 4.0,
        (Arc::Smaw, Horizontal) | (_, Overhead) => 2.5,
    };
    Some(Length::of(eighths / 8.0, unit::IN))
}

fn passes(given: &Passes, answer: &mut PassesAnswer) -> Result<()> {
    let more = 1.0 + given.reinforcement.si();
    let plain = given.area.or(given.leg.map(|leg| leg * leg / 2.0)).ok_or(Trouble::Missing(vec!["leg"]))?;
    let wire = given.wire_diameter.zip(*given.wire_speed);
    let rate = match (*given.deposition, wire) {
        (Some(rate), _) => rate,
        (None, Some((wire, feed))) => deposition(wire, feed, *given.density, *given.efficiency),
        (None, None) => return Err(Trouble::Missing(vec!["deposition"])),
    };
    let mass: LinearDensity = rate / *given.travel;
    let bead: Area = mass / *given.density;
    let number = (plain.si() * more / bead.si() * (1.0 - 1e-9)).ceil();
    let number = answer.passes.decide(Number::from_si(number)).si();
    answer.weld_area.put(plain * more);
    answer.deposition.put(rate);
    answer.bead_mass.put(mass);
    answer.bead_area.put(bead);
    answer.bead_leg.put(Length::from_si((2.0 * bead.si() / more).sqrt()));
    if let Some((process, position)) = given.process.zip(*given.position)
        && let Some(max) = single_pass_max(process, position)
    {
        answer.single_pass_max.put(max);
        if number <= 1.0 && given.leg.is_some_and(|leg| leg.si() > max.si() * (1.0 + 1e-9)) {
            answer.warn("One bead of this leg is over the prequalified single-pass size: lay it in more passes, or qualify it.");
        }
    }
    if number <= 1.0 && bead.si() > 1.25 * plain.si() * more {
        answer.warn("One bead lays over a quarter more metal than the weld needs: travel faster or turn the wire down.");
    }
    Ok(())
}

//! Path of an axle on leaf springs by the three-link equivalent.

use super::End;
use super::leaf_arc::shortening;
use super::leaf_halves::Halves;
use crate::figure::prelude::*;
use crate::figure::usual::TRAVEL;

const LINK: Source = Source::derived(
    "a leaf bending to a circular arc moves its seat on a circle of three quarters of its length",
    "exact arc shortening and numerical curvature of the path",
);
const THREE_LINK: Source =
    Source::handbook("SAE HS-788, Manual on Design and Application of Leaf Springs", "three-link equivalent")
        .from_memory();

/// Length of the equivalent link, 0.75 of the active half length.
#[must_use]
pub fn equivalent_link(half: Length) -> Length {
    half * 0.75
}

/// Movement away from the fixed eye when the seat goes from `from` to `to`
/// below the pivot of its link.
///
/// # Errors
/// If either is further off than the link is long.
pub fn recession(link: Length, from: Length, to: Length) -> Result<Length> {
    let reach = |drop: Length| {
        let square = link.si() * link.si() - drop.si() * drop.si();
        if square > 0.0 {
            return Ok(square.sqrt());
        }
        Err(Trouble::impossible(
            "the seat would be further from the eye line than the equivalent link is long",
            "check the half length, the drop at ride and the travel",
        ))
    };
    Ok(Length::from_si(reach(to)? - reach(from)?))
}

family! {
    /// Which end of a spring has no shackle.
    reads SpringEnd {
        default fixed_eye: End = Front, "end that carries the fixed eye", "fixed";
    }
}

impl SpringEnd {
    /// Sign of forward for movement away from the fixed eye.
    pub(super) fn away(&self) -> f64 {
        match *self.fixed_eye {
            End::Front => -1.0,
            End::Rear => 1.0,
        }
    }
}

family! {
    pub AXLE_PATH = "axle-path" in Geometry:
        "path of an axle on leaf springs: three-link equivalent, recession and caster through travel";
    also "recession", "axle-recession", "three-link";
    reads AxlePath {
        ..spring: SpringEnd;
        required half_length: Length in ABOVE_ZERO, "active half length on the side of the fixed eye", "front_half",
            "front", "a", "fixed_half", "half";
        required height: Length, "eye centre above the leaf at the seat at ride; negative for reverse arch",
            "travel", "rise", "y", "arch", "drop";
        optional other_half: Length in ABOVE_ZERO, "active half length on the side of the shackle", "rear_half",
            "rear", "b", "shackle_half";
        default clamp_half: Length = "0", "rigid half clamp", "c";
        default eye_offset: Length = "0", "eye centre above the neutral plane of the flat leaf", "e";
        optional bump: Length in TRAVEL, "travel up from ride", "bump_travel", "up";
        optional droop: Length in TRAVEL, "travel down from ride, as a positive length", "droop_travel", "down";
        default eye_line_turn: Angle = "0", "turn of the eye line in that bump by the shackle, nose-up positive";
    }
    gives AxlePathAnswer {
        link: Length, "equivalent link at the fixed eye", "0.75 x half_length", THREE_LINK;
        other_link: Length, "equivalent link at the shackle eye", "0.75 x other_half", THREE_LINK;
        middle_link: Length, "middle link that carries the seat", "0.25 a + clamp + 0.25 b", THREE_LINK;
        pivot: Length, "inner pivot of the link above the eye centre", "0.5 x eye_offset", LINK => .style(GAUGE);
        shortening: Length, "eye nearer to the clamp than in the flat leaf",
            "a - sin(K a) / K with (1 - cos(K a)) / K = y", LINK => .style(GAUGE);
        shortening_link: Length, "the same by the link", "R - sqrt(R^2 - y^2)",
            LINK => .range("within 0.2 % for y up to a quarter of the half length").style(GAUGE);
        shortening_parabola: Length, "the same, small-angle", "2 y^2 / (3 a)", LINK => .style(GAUGE);
        shortening_uniform: Length, "the same for a uniform single leaf", "0.6 y^2 / a", LINK => .style(GAUGE);
        bump_x: Length, "axle forward in bump", "R - circle about the pivot",
            LINK => .range("seat kept from turning, height up to a quarter of the half length").style(GAUGE);
        droop_x: Length, "axle forward in droop", "R - circle about the pivot",
            LINK => .range("seat kept from turning, height up to a quarter of the half length").style(GAUGE);
        tilt_per_travel: AnglePerLength, "seat tilt per bump travel, nose-up positive",
            "(B a^3 - A b^3) / (B^2 a^3 + A^2 b^3)", LINK;
        bump_caster: Angle, "caster change in bump", "tilt_per_travel x bump + eye_line_turn",
            LINK => .range("small travel about flat").style(FINE_ANGLE);
        swing: String, "axle in bump", "sign of bump_x", LINK;
    }
    example "half_length=\"600 mm\" height=\"75 mm\" other_half=\"700 mm\" bump=\"75 mm\" droop=\"50 mm\"";
    by axle_path
}

fn axle_path(given: &AxlePath, answer: &mut AxlePathAnswer) -> Result<()> {
    let half = *given.half_length;
    let height = *given.height;
    let offset = *given.eye_offset;
    let clamp_half = *given.clamp_half;
    let other = *given.other_half;
    let forward = given.spring.away();
    let link = equivalent_link(half);
    answer.link.put(link);
    if let Some(other) = other {
        answer.other_link.put(equivalent_link(other));
        answer.middle_link.put(half / 4.0 + clamp_half * 2.0 + other / 4.0);
    }
    answer.pivot.put(offset * 0.5);
    // Height of the leaf end itself for the arc, of the pivot for the link.
    let leaf = height - offset;
    answer.shortening.put(shortening(half, leaf)?);
    answer.shortening_link.put(recession(link, leaf, Length::from_si(0.0))?);
    let slender = leaf.si() * leaf.si() / half.si();
    answer.shortening_parabola.put(Length::from_si(slender * 2.0 / 3.0));
    answer.shortening_uniform.put(Length::from_si(slender * 0.6));
    // The eye swings in as the leaf end turns: the leaf is furthest out 1.5 e
    // past flat, where the eye centre is half of e below the leaf at the seat.
    let below = height + offset * 0.5;
    let mut furthest = leaf.si().abs();
    let bump = *given.bump;
    let mut swing = None;
    if let Some(bump) = bump {
        let x = recession(link, below, below - bump)? * forward;
        furthest = furthest.max((below - bump).si().abs());
        swing = Some(if x.si() > 0.0 { "forward" } else { "rearward" });
        answer.bump_x.put(x);
    }
    if let Some(droop) = *given.droop {
        furthest = furthest.max((below + droop).si().abs());
        answer.droop_x.put(recession(link, below, below + droop)? * forward);
    }
    if let Some(other) = other {
        let (front, rear) = if forward < 0.0 { (half, other) } else { (other, half) };
        let tilt = Halves { front, rear, clamp_half }.tilt_per_travel();
        answer.tilt_per_travel.put(tilt);
        if let Some(bump) = bump {
            let turn = *given.eye_line_turn;
            answer.bump_caster.put(Angle::from_si(tilt.si() * bump.si()) + turn);
        }
    }
    answer.swing.put_some(swing);
    if furthest > 0.25 * half.si() * (1.0 + 1e-9) {
        answer.warn("The height passes a quarter of the half length, where the equivalent link is more than 0.2 % off; use shackle-travel for the movement.");
    }
    Ok(())
}

//! Caster of the left side against the right.

use crate::figure::prelude::*;

const CROSS: Source = Source::definition("cross caster is left minus right");
const LIMIT: Source =
    Source::practice("0 deg preferred, within 0.5 deg, on solid axles of light trucks; the vehicle's own specification comes first").from_memory();

/// Caster that a steered axle can drive with.
const CASTER: Range = within(-30.0, 30.0, unit::DEG, SEEN).usually(-10.0, 15.0, unit::DEG);
const SEEN: Source = Source::practice("caster of solid axles; outside it a digit or a sign is wrong");

family! {
    pub CROSS_CASTER = "cross-caster" in Geometry: "caster left minus right, and if the sides agree well enough";
    also "caster-split";
    reads CrossCaster {
        required left: Angle in CASTER, "caster of the left side, positive with the axis top rearward", "caster_left",
            "left_caster";
        required right: Angle in CASTER, "caster of the right side", "caster_right", "right_caster";
        default limit: Angle = "0.5 deg" in within(0.0, 2.0, unit::DEG, LIMIT).above_zero(), "greatest difference, without sign", "tolerance", "tol";
    }
    gives CrossCasterAnswer {
        cross_caster: Angle, "cross caster", "left - right", CROSS => .style(FINE_ANGLE);
        within_limit: bool, "sides agree", "|left - right| <= limit", LIMIT;
    }
    example "left=\"5.2 deg\" right=\"5 deg\"";
    by cross_caster
}

fn cross_caster(given: &CrossCaster, answer: &mut CrossCasterAnswer) -> Result<()> {
    let limit = *given.limit;
    let cross = *given.left - *given.right;
    // A hair of room, so that readings exactly at the limit pass.
    let margin = limit.si() + 1e-12 - cross.si().abs();
    let agree = margin >= 0.0;
    answer.cross_caster.put(cross);
    answer.within_limit.judge(margin, true, false, false);
    if !agree {
        answer.warn(
            "The sides differ by more than the limit; turn each knuckle by its own difference, never by the mean.",
        );
    }
    Ok(())
}

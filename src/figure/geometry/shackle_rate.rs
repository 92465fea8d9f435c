//! How the lean of a shackle changes the rate of a flat leaf spring.

use crate::figure::prelude::*;
use crate::figure::usual::LEAF_RATE;

const FLAT_RATE: Source = Source::derived(
    "horizontal shackle force along a flat spring of equal halves",
    "tangent rate of the constant-curvature model",
);

family! {
    pub SHACKLE_RATE = "shackle-rate" in Geometry: "how the lean of a shackle stiffens or softens a flat leaf spring";
    also "shackle-effect";
    reads ShackleRate {
        required rate: SpringRate in LEAF_RATE, "rate of the flat spring without shackle effect", "k", "k0",
            "flat_rate";
        required half_length: Length in ABOVE_ZERO, "active half length", "a", "half";
        required load: Force in ABOVE_ZERO, "load on the seat", "seat_load", "axle_load", "p", "w";
        required lean: Angle in within(-60.0, 60.0, unit::DEG, FLAT_RATE),
            "shackle from vertical, positive with the lower eye away from the axle", "angle", "P", "shackle_lean",
            "shackle_angle";
    }
    gives ShackleRateAnswer {
        horizontal_force: Force, "pull along the spring", "load / 2 x tan lean", FLAT_RATE;
        rate_change: SpringRate, "change of rate", "8/3 x horizontal_force / half_length", FLAT_RATE;
        loaded_rate: SpringRate, "rate with the shackle", "rate + rate_change",
            FLAT_RATE => .range("flat spring of equal halves, level eye line");
    }
    asked loaded_rate;
    example "rate=\"40 N/mm\" half_length=\"550 mm\" load=\"4000 N\" lean=\"25 deg\"";
    by shackle_rate
}

fn shackle_rate(given: &ShackleRate, answer: &mut ShackleRateAnswer) -> Result<()> {
    let rate = *given.rate;
    let pull = *given.load * (0.5 * math::tan(*given.lean));
    let change = rate_change(pull, *given.half_length);
    answer.horizontal_force.put(pull);
    answer.rate_change.put(change);
    answer.loaded_rate.put(rate + change);
    if (rate + change).si() <= 0.0 {
        answer.warn(
            "The shackle takes away the whole rate of the spring; it would invert, so move the frame pin.",
        );
    }
    Ok(())
}

/// Rate a pull along a flat spring of equal halves adds, 8/3 H / a; a push takes away.
fn rate_change(pull: Force, half: Length) -> SpringRate {
    SpringRate::from_si(8.0 / 3.0 * pull.si() / half.si())
}

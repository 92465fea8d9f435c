//! How the lean of a shackle changes the rate of a flat leaf spring.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::{Angle, Dimensioned, Force, Kind, Length, SpringRate, math, unit};
use crate::source::Source;

const FLAT_RATE: Source = Source::derived(
    "horizontal shackle force along a flat spring of equal halves",
    "tangent rate of the constant-curvature model",
);

/// Rate effect of a leaning shackle on a flat spring.
pub static SHACKLE_RATE: Family =
    Family {
        declared: Declared::OLD,
        name: "shackle-rate",
        group: Group::Geometry,
        title: "how the lean of a shackle stiffens or softens a flat leaf spring",
        inputs: &[
            Input::required("rate", Kind::SpringRate, "rate of the flat spring without shackle effect")
                .also(&["k", "k0", "flat_rate"]),
            Input::required("half_length", Kind::Length, "active half length").also(&["a", "half"]),
            Input::required("load", Kind::Force, "load on the seat").also(&["seat_load", "axle_load", "p"]),
            Input::required(
                "lean",
                Kind::Angle,
                "shackle from vertical, positive with the lower eye away from the axle",
            )
            .also(&["angle", "P", "shackle_lean", "shackle_angle"]),
        ],
        outputs: &[
            Output::new(
                "horizontal_force",
                "pull along the spring",
                Kind::Force,
                "load / 2 x tan lean",
                FLAT_RATE,
            ),
            Output::new(
                "rate_change",
                "change of rate",
                Kind::SpringRate,
                "8/3 x horizontal_force / half_length",
                FLAT_RATE,
            ),
            Output::new(
                "loaded_rate",
                "rate with the shackle",
                Kind::SpringRate,
                "rate + rate_change",
                FLAT_RATE,
            )
            .range("flat spring of equal halves, level eye line"),
        ],
        example: "rate=\"40 N/mm\" half_length=\"550 mm\" load=\"4000 N\" lean=\"25 deg\"",
        run: shackle_rate,
    };

fn shackle_rate(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let rate: SpringRate = given::positive("rate", given.need("rate")?)?;
    let half: Length = given::positive("half_length", given.need("half_length")?)?;
    let load: Force = given::positive("load", given.need("load")?)?;
    let lean: Angle = given.need("lean")?;
    given::within("lean", lean, unit::DEG, -60.0..=60.0, FLAT_RATE)?;
    let pull = load * (0.5 * math::tan(lean));
    let change = rate_change(pull, half);
    answer.put("horizontal_force", pull);
    answer.put("rate_change", change);
    answer.put("loaded_rate", rate + change);
    if (rate + change).si() <= 0.0 {
        answer.warn(
            "The shackle takes away the whole rate of the spring; it would invert, so move the frame pin.",
        );
    }
    Ok(())
}

/// Rate a pull along a flat spring of equal halves adds, 8/3 H / a; a push takes away.
#[must_use]
pub fn rate_change(pull: Force, half: Length) -> SpringRate {
    SpringRate::from_si(8.0 / 3.0 * pull.si() / half.si())
}

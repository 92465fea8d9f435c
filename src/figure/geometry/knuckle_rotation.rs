//! How far to turn a knuckle, and whether the angle finder can tell.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, Value, given};
use crate::quantity::show::{ANGLE, FINE_ANGLE};
use crate::quantity::{Angle, Dimensioned, Kind, Number, Percent, unit};
use crate::source::Source;

const DIFFERENCE: Source = Source::derived(
    "caster is a projected angle, so the turn is target minus reading",
    "3-D rotation matrices",
);
const GUM: Source = Source::standard("JCGM 100:2008", "4.3.7, 5.1.2, F.2.2.1");
const GUARD: Source = Source::standard("ISO 14253-1", "decision rule, guard band").from_memory();

/// Factor of a one-sided 95 % guard band for tolerances wide against u.
const ONE_SIDED_95: f64 = 1.644_853_626_951_472_7;

/// Turn of one knuckle from measured to target caster, before the cut.
pub static KNUCKLE_ROTATION: Family = Family {
    name: "knuckle-rotation",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "turn to give one knuckle so that its caster comes to the target, and if the finder is good enough",
    inputs: &[
        Input::choice("side", &["left", "right"], Need::Optional, "side the reading belongs to"),
        Input::required(
            "caster",
            Kind::Angle,
            "caster read on this side, pinion set and vehicle on its weight",
        )
        .also(&["measured", "measured_caster", "caster_measured", "reading"]),
        Input::required("target", Kind::Angle, "caster wanted on this side")
            .also(&["target_caster", "caster_target"]),
        Input::defaulted(
            "tolerance",
            Kind::Angle,
            "0.5 deg",
            "permitted deviation of the caster, plus or minus",
        )
        .also(&["tol"]),
        Input::defaulted("resolution", Kind::Angle, "0.1 deg", "step of the angle finder")
            .also(&["finder_resolution"]),
        Input::defaulted("limit", Kind::Angle, "0.2 deg", "largest error of the angle finder, plus or minus")
            .also(&["finder_limit", "accuracy", "mpe"]),
        Input::defaulted("repeatability", Kind::Angle, "0.1 deg", "standard deviation of repeated readings")
            .also(&["spread"]),
        Input::defaulted("readings", Kind::Number, "3", "number of readings averaged")
            .also(&["n", "reading_count"]),
        Input::flag("limit_common", "yes if the finder's error is the same in both readings and cancels"),
        Input::choice(
            "guard",
            &["expanded", "one-sided"],
            Need::Default("expanded"),
            "guard band: expanded uncertainty U (k = 2), or 1.645 u for 95 % one-sided",
        ),
    ],
    outputs: &[
        Output::new("rotation", "turn of the knuckle", Kind::Angle, "target - caster", DIFFERENCE)
            .style(ANGLE),
        Output::word(
            "turn_to",
            "which way the top of the knuckle goes",
            "rearward if rotation is positive, forward if negative",
            DIFFERENCE,
        ),
        Output::new(
            "uncertainty",
            "standard uncertainty of a difference of two readings",
            Kind::Angle,
            "sqrt(2 (resolution^2/12 + limit^2/3) + repeatability^2/readings)",
            GUM,
        )
        .style(FINE_ANGLE.up()),
        Output::new("expanded", "expanded uncertainty, k = 2", Kind::Angle, "2 x uncertainty", GUM)
            .style(FINE_ANGLE.up()),
        Output::new("guard_band", "guard band", Kind::Angle, "2 u, or 1.645 u if one-sided", GUARD)
            .style(FINE_ANGLE.up()),
        Output::new(
            "accept_low",
            "least reading that proves the caster right",
            Kind::Angle,
            "target - tolerance + guard_band",
            GUARD,
        )
        .style(FINE_ANGLE.up()),
        Output::new(
            "accept_high",
            "greatest reading that proves the caster right",
            Kind::Angle,
            "target + tolerance - guard_band",
            GUARD,
        )
        .style(FINE_ANGLE.down()),
        Output::new(
            "guard_share",
            "share of the tolerance the guard band takes",
            Kind::Percent,
            "guard_band / tolerance",
            GUARD,
        ),
        Output::flag(
            "finder_ok",
            "angle finder good enough for the tolerance",
            "guard_band is less than tolerance",
            GUARD,
        ),
    ],
    example: "caster=\"-4.5 deg\" target=\"6.5 deg\" tolerance=\"0.5 deg\"",
    run: knuckle_rotation,
};

fn knuckle_rotation(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let deg = |x| Angle::of(x, unit::DEG);
    let caster: Angle = given.need("caster")?;
    let target: Angle = given.need("target")?;
    let tolerance = given::positive("tolerance", given.or("tolerance", deg(0.5))?)?;
    let readings: Number = given.or("readings", Number::from_si(3.0))?;
    given::within("readings", readings, unit::ONE, 1.0..=1000.0, GUM)?;
    let finder = Finder {
        resolution: given.or("resolution", deg(0.1))?,
        limit: given.or("limit", deg(0.2))?,
        repeatability: given.or("repeatability", deg(0.1))?,
        readings,
        limit_common: given.flag("limit_common")?,
    };
    for (name, part) in
        [("resolution", finder.resolution), ("limit", finder.limit), ("repeatability", finder.repeatability)]
    {
        given::within(name, part, unit::DEG, 0.0..=45.0, GUM)?;
    }
    let side = given.maybe_word("side")?.map_or(String::new(), |s| format!("{s} side: "));
    let rotation = target - caster;
    given::within("rotation", rotation, unit::DEG, -45.0..=45.0, DIFFERENCE)?;
    let u = difference_uncertainty(finder);
    let one_sided = given.maybe_word("guard")? == Some("one-sided");
    let guard = u * if one_sided { ONE_SIDED_95 } else { 2.0 };
    // A reading entered with its own uncertainty already carries the finder's.
    let own = matches!(given.get("caster"), Some(Value::Quantity { uncertainty, .. }) if *uncertainty > 0.0);
    if own {
        answer.put("rotation", rotation);
    } else {
        answer.put_uncertain("rotation", rotation, u);
    }
    answer.put_word(
        "turn_to",
        match rotation.si() {
            r if r > 0.0 => "top rearward",
            r if r < 0.0 => "top forward",
            _ => "no turn",
        },
    );
    answer.put("uncertainty", u);
    answer.put("expanded", u * 2.0);
    answer.put("guard_band", guard);
    let enough = guard < tolerance;
    if enough {
        answer.put("accept_low", target - tolerance + guard);
        answer.put("accept_high", target + tolerance - guard);
    }
    let share = guard.si() / tolerance.si();
    answer.put("guard_share", Percent::from_si(share));
    answer.put_flag("finder_ok", enough);
    if !enough {
        answer.warn(format!(
            "{side}The angle finder can't prove this tolerance: its guard band is as wide as the tolerance. \
             Use a finer finder or more readings before the cut.",
        ));
    } else if share > 0.5 {
        answer.warn(format!(
            "{side}The guard band takes more than half of the tolerance; \
             aim for the middle and take more readings.",
        ));
    }
    if rotation.si() != 0.0 && rotation.si().abs() < 2.0 * u.si() {
        answer.warn(format!(
            "{side}The turn is smaller than the uncertainty of the readings; measure again before cutting.",
        ));
    }
    Ok(())
}

/// How well an angle finder reads.
#[derive(Debug, Clone, Copy)]
pub struct Finder {
    /// Step of the display.
    pub resolution: Angle,
    /// Largest error, plus or minus.
    pub limit: Angle,
    /// Standard deviation of repeated readings.
    pub repeatability: Angle,
    /// Readings averaged.
    pub readings: Number,
    /// The error is the same in both readings and drops out of a difference.
    pub limit_common: bool,
}

/// Standard uncertainty of the difference of two angle readings: both
/// rectangular parts count twice unless common to both, the repeatability of
/// the mean once (JCGM 100:2008, 4.3.7 and 5.1.2).
#[must_use]
pub fn difference_uncertainty(finder: Finder) -> Angle {
    let square = |a: Angle| a.si() * a.si();
    let limit = if finder.limit_common { 0.0 } else { square(finder.limit) / 3.0 };
    let both = 2.0 * (square(finder.resolution) / 12.0 + limit);
    Angle::from_si((both + square(finder.repeatability) / finder.readings.si()).sqrt())
}

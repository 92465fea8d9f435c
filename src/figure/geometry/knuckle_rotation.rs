//! How far to turn a knuckle, and whether the angle finder can tell.

use super::Side;
use crate::figure::metrology::decision::Limits;
use crate::figure::prelude::*;

const DIFFERENCE: Source = Source::derived(
    "caster is a projected angle, so the turn is target minus reading",
    "3-D rotation matrices",
);
const GUM: Source = Source::standard("JCGM 100:2008", "4.3.7, 5.1.2, F.2.2.1");
const GUARD: Source = Source::standard("ISO 14253-1", "decision rule, guard band").from_memory();

const LIMITS: Source =
    Source::practice("caster and its tolerance on solid axles; outside them a digit or a sign is wrong");
/// Caster of a knuckle that can be worked on.
const CASTER: Range = within(-45.0, 45.0, unit::DEG, LIMITS).usually(-25.0, 15.0, unit::DEG);

/// Factor of a one-sided 95 % guard band for tolerances wide against u.
const ONE_SIDED_95: f64 = 1.644_853_626_951_472_7;

words! {
    /// Guard band: expanded uncertainty U (k = 2), or 1.645 u for 95 % one-sided.
    pub Guard {
        Expanded = "expanded" | "2013" | "k=2" | "u",
        OneSided = "one-sided",
    }
}

family! {
    /// Turn of one knuckle from measured to target caster, before the cut.
    pub KNUCKLE_ROTATION = "knuckle-rotation" in Geometry:
        "turn to give one knuckle so that its caster comes to the target, and if the finder is good enough";
    also "housing-rotation", "caster-rotation", "re-index", "knuckle-reindex", "caster-correction";
    reads KnuckleRotation {
        optional side: Side, "side the reading belongs to";
        required caster: Angle in CASTER, "caster read on this side, pinion set and vehicle on its weight", "measured",
            "measured_caster", "caster_measured", "reading";
        required target: Angle in CASTER, "caster wanted on this side", "target_caster", "caster_target";
        default tolerance: Angle = "0.5 deg" in within(0.0, 5.0, unit::DEG, LIMITS).above_zero(), "permitted deviation of the caster, plus or minus",
            "tol";
        default resolution: Angle = "0.1 deg" in within(0.0, 45.0, unit::DEG, GUM), "step of the angle finder",
            "finder_resolution";
        default limit: Angle = "0.2 deg" in within(0.0, 45.0, unit::DEG, GUM),
            "largest error of the angle finder, plus or minus", "finder_limit", "accuracy", "mpe";
        default repeatability: Angle = "0.1 deg" in within(0.0, 45.0, unit::DEG, GUM),
            "standard deviation of single readings; with readings, of each of the two means", "spread";
        default readings: Number = "3" in count(1, 1000, GUM).usually(1.0, 20.0, unit::ONE), "number of readings averaged", "n",
            "reading_count";
        flag limit_common: bool, "yes if the finder's error is the same in both readings and cancels";
        default guard: Guard = Expanded, "guard band: expanded uncertainty U (k = 2), or 1.645 u for 95 % one-sided";
    }
    gives KnuckleRotationAnswer {
        rotation: Angle, "turn of the knuckle", "target - caster", DIFFERENCE => .style(ANGLE);
        turn_to: String, "which way the top of the knuckle goes",
            "rearward if rotation is positive, forward if negative", DIFFERENCE;
        uncertainty: Angle, "standard uncertainty of a difference of two readings",
            "sqrt(u1^2 + u2^2), each resolution^2/12 + limit^2/3 + repeatability^2/readings; u1 as stated with caster; without the limits if limit_common", GUM => .style(FINE_ANGLE.up());
        expanded: Angle, "expanded uncertainty, k = 2", "2 x uncertainty", GUM => .style(FINE_ANGLE.up());
        reading_uncertainty: Angle, "standard uncertainty of the reading that is compared with the target",
            "sqrt(resolution^2/12 + limit^2/3 + repeatability^2/readings); a common error is in it in full", GUM => .style(FINE_ANGLE.up());
        guard_band: Angle, "guard band",
            "2 u, or 1.645 u if one-sided, of the finder's difference or of its reading, whichever is more", GUARD => .style(FINE_ANGLE.up());
        accept_low: Angle, "least reading that proves the caster right", "target - tolerance + guard_band",
            GUARD => .style(FINE_ANGLE.up());
        accept_high: Angle, "greatest reading that proves the caster right", "target + tolerance - guard_band",
            GUARD => .style(FINE_ANGLE.down());
        guard_share: Percent, "share of the tolerance the guard band takes", "guard_band / tolerance", GUARD;
        finder_ok: bool, "angle finder good enough for the tolerance",
            "guard_band and expanded are less than tolerance, and a step of the finder fits between the two readings", GUARD;
    }
    example "caster=\"-4.5 deg\" target=\"6.5 deg\" tolerance=\"0.5 deg\"";
    by knuckle_rotation
}

fn knuckle_rotation(given: &KnuckleRotation, answer: &mut KnuckleRotationAnswer) -> Result<()> {
    let target = *given.target;
    let tolerance = *given.tolerance;
    let readings = *given.readings;
    let finder = Finder {
        resolution: *given.resolution,
        limit: *given.limit,
        repeatability: *given.repeatability,
        readings,
        limit_common: *given.limit_common,
    };
    let side = given.side.map_or(String::new(), |side| format!("{} side: ", side.word()));
    let rotation = target - *given.caster;
    within(-45.0, 45.0, unit::DEG, DIFFERENCE).check("rotation", rotation.into())?;
    let stated = Angle::from_si(given.caster.uncertainty());
    (stated.si() > 0.0 && *given.limit_common).refuse(
        "caster is stated with its own ±, of which nobody knows what is common to both readings",
        "leave out the ± of caster, or limit_common",
    )?;
    let read = reading_uncertainty(finder);
    (read.si() <= 0.0).refuse(
        "a finder without a step, an error and a spread does not exist",
        "give resolution, limit and repeatability as the finder has them",
    )?;
    // A reading entered with its own uncertainty already carries the finder's.
    let u = if stated.si() > 0.0 {
        Angle::from_si(math::hypot(stated.si(), read.si()))
    } else {
        difference_uncertainty(finder)
    };
    let one_sided = *given.guard == Guard::OneSided;
    let factor = if one_sided { ONE_SIDED_95 } else { 2.0 };
    // What is common to both readings drops out of the turn, and not out of the
    // reading that is compared with the target.
    let guard = larger(difference_uncertainty(finder), read) * factor;
    answer.reading_uncertainty.put(read);
    // What was stated is carried to the turn with the input.
    answer.rotation.put_uncertain(rotation, if stated.si() > 0.0 { read } else { u });
    answer.turn_to.put(match rotation.si() {
        r if r > 0.0 => "top rearward",
        r if r < 0.0 => "top forward",
        _ => "no turn",
    });
    answer.uncertainty.put(u);
    answer.expanded.put(u * 2.0);
    answer.guard_band.put(guard);
    // A turn known worse than the tolerance can't be proved by any reading at its end.
    let room = tolerance.si() - larger(guard, u * factor).si();
    // A guard band of 95 % gives 95 % only where the other end of the tolerance is far.
    let limits = Limits { lower: Some(-tolerance.si()), upper: Some(tolerance.si()) };
    let widest = larger(guard / factor, u).si();
    let proves = !one_sided || limits.conformance(0.0, widest).si() >= 0.95;
    let enough = proves && room >= 0.5 * finder.resolution.si().max(1e-9);
    if enough {
        answer.accept_low.put(target - tolerance + guard);
        answer.accept_high.put(target + tolerance - guard);
    }
    let share = guard.si() / tolerance.si();
    answer.guard_share.put(Percent::from_si(share));
    answer.finder_ok.put(enough);
    if !enough {
        answer.warn(format!(
            "{side}The angle finder can't prove this tolerance: what its guard band leaves of it is less than one step. \
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
    /// Standard deviation of single readings.
    pub repeatability: Angle,
    /// Readings averaged.
    pub readings: Number,
    /// The error is the same in both readings and drops out of a difference.
    pub limit_common: bool,
}

/// Standard uncertainty of one averaged reading against the true angle: an error
/// that both readings share is in it in full.
#[must_use]
pub fn reading_uncertainty(finder: Finder) -> Angle {
    let alone = Finder { limit_common: false, ..finder };
    difference_uncertainty(alone) / std::f64::consts::SQRT_2
}

/// Standard uncertainty of the difference of two angle readings: both
/// rectangular parts count twice unless common to both, and so does the
/// repeatability, of single readings, over the number averaged each time
/// (JCGM 100:2008, 4.2.3, 4.3.7 and 5.1.2).
#[must_use]
pub fn difference_uncertainty(finder: Finder) -> Angle {
    let square = |a: Angle| a.si() * a.si();
    let limit = if finder.limit_common { 0.0 } else { square(finder.limit) / 3.0 };
    let mean = square(finder.repeatability) / finder.readings.si();
    Angle::from_si((2.0 * (square(finder.resolution) / 12.0 + limit + mean)).sqrt())
}

//! How deep the groove may go that frees a knuckle: through the tube wall and
//! not into the sleeve behind it.

use super::Side;
use crate::figure::prelude::*;
use crate::figure::usual::WALL;

const STOP: Source =
    Source::derived("least wall less k times the combined uncertainty, less a reserve", "sums by hand");
const GUM: Source = Source::standard("JCGM 100:2008", "4.3.7, 5.1.2");
const GROOVE: Source = Source::practice("groove about 3/8 in inboard of the knuckle seam weld");
const QUARTER: Source = Source::practice("a memorised depth of 1/4 in, shown for comparison only");
const OPENING: Source = Source::derived("opening of a V", "right triangle");
const LAYERS: Source = Source::practice("a reading far above the nominal wall is tube and sleeve together");

/// Reading over nominal wall above which two layers are suspected. Tube walls
/// run to 12.5 % over or under nominal; a sleeve adds far more.
const TWO_LAYERS: f64 = 1.25;

/// Largest errors of gauge, stop and cutter: none is zero, and a ten-thousandth is no
/// shop's.
const LIMIT: Range = within(0.0, 1.0, unit::IN, STOP).above_zero().usually(0.001, 0.05, unit::IN);

/// Readings without which there is no least wall.
const LEAST_READINGS: usize = 3;

family! {
    pub CUT_DEPTH = "cut-depth" in Geometry:
        "stop setting of the cutter for the groove that frees one knuckle, from its wall readings";
    also "depth-stop", "stop-setting", "groove-depth", "cut";
    reads CutDepth {
        optional side: Side, "side the readings belong to";
        list walls: Length in WALL, "ultrasonic wall readings around the tube in the cut plane, at least four",
            "wall", "readings", "wall_readings";
        required nominal: Length in WALL, "nominal tube wall: a reading far above it sees two layers", "nominal_wall";
        default gauge_limit: Length = "0.003 in" in LIMIT,
            "largest error of the gauge, plus or minus", "gauge", "limit_gauge";
        default setting_limit: Length = "0.005 in" in LIMIT,
            "largest error of the stop setting", "set", "depth_setting", "stop_limit", "stop", "setting",
            "limit_setting";
        default wobble_limit: Length = "0.008 in" in LIMIT,
            "largest wobble of the cutter on the tube", "runout", "disc_wobble", "guide_wobble", "wobble",
            "limit_wobble";
        default reserve: Length = "0.010 in" in within(0.0, 1.0, unit::IN, STOP).usually(0.004, 0.125, unit::IN), "metal kept on purpose",
            "allowance";
        default coverage: Number = "2" in within(1.0, 4.0, unit::ONE, GUM).usually(2.0, 4.0, unit::ONE), "coverage factor of the uncertainty",
            "k";
        default groove_offset: Length = "3/8 in" in ABOVE_ZERO.usually(0.125, 2.0, unit::IN), "groove inboard of the seam weld", "offset", "inboard";
        optional kerf: Length in ABOVE_ZERO.usually(0.03, 0.5, unit::IN), "width of the cut at its bottom; gives the opening", "blade", "disc";
        default half_angle: Angle = "0" in within(0.0, 80.0, unit::DEG, OPENING).usually(0.0, 45.0, unit::DEG), "half-angle of the bevel", "bevel";
    }
    gives CutDepthAnswer {
        wall_min: Length, "least wall", "least of the readings", STOP => .style(GAUGE.down());
        wall_max: Length, "greatest wall", "greatest of the readings", STOP => .style(GAUGE.up());
        uncertainty: Length, "standard uncertainty of the depth",
            "sqrt((gauge_limit^2 + setting_limit^2 + wobble_limit^2) / 3 + u_wall^2), u_wall as stated with the reading", GUM => .style(GAUGE.up());
        depth: Length, "stop setting", "least of wall - coverage x uncertainty over the readings, - reserve",
            STOP => .range("single layer of tube, wall read in the cut plane").style(GAUGE.down());
        ligament: Length, "left at the thickest reading", "wall_max - depth", STOP => .style(GAUGE.up());
        ligament_min: Length, "left at the thinnest reading", "wall_min - depth", STOP => .style(GAUGE.down());
        groove_offset: Length, "groove inboard of the seam weld", "as given", GROOVE;
        opening: Length, "width of the groove at the surface", "kerf + 2 depth tan half_angle",
            OPENING => .style(GAUGE);
        quarter_inch_left: Length, "left at the thinnest reading by a 1/4 in cut, comparison only",
            "wall_min - 1/4 in", QUARTER => .style(GAUGE.down());
    }
    asked depth;
    example "walls=\"0.281, 0.276, 0.284, 0.279 in\" nominal=\"0.280 in\"";
    by cut_depth
}

fn cut_depth(given: &CutDepth, answer: &mut CutDepthAnswer) -> Result<()> {
    let inch = |x| Length::of(x, unit::IN);
    let side = given.side.map_or(String::new(), |side| format!("{} side: ", side.word()));
    let walls: &[Length] = &given.walls;
    if walls.len() < LEAST_READINGS {
        return Err(Trouble::impossible(
            format!(
                "{side}{} wall reading{} no stop: a tube is not as thick all round",
                walls.len(),
                if walls.len() == 1 { " gives" } else { "s give" }
            ),
            format!(
                "take at least four wall readings around the tube in the cut plane, {LEAST_READINGS} at the very least"
            ),
        ));
    }
    let limits =
        Limits { gauge: *given.gauge_limit, setting: *given.setting_limit, wobble: *given.wobble_limit };
    let shared = depth_uncertainty(limits);
    // What is stated with a reading counts beside the limits of the tools.
    let spread = |item: usize| Length::from_si(math::hypot(shared.si(), given.walls.uncertainty_of(item)));
    let (mut least, mut greatest) = (0, 0);
    let mut governs = 0;
    let safe = |item: usize| walls[item] - spread(item) * given.coverage.si();
    for item in 0..walls.len() {
        least = if walls[item] < walls[least] { item } else { least };
        greatest = if walls[item] > walls[greatest] { item } else { greatest };
        governs = if safe(item) < safe(governs) { item } else { governs };
    }
    let stated = |item: usize| Length::from_si(given.walls.uncertainty_of(item));
    let (u_least, u_greatest) = (stated(least), stated(greatest));
    let (least, greatest) = (walls[least], walls[greatest]);
    one_layer(*given.nominal, greatest, &side)?;
    let depth = safe(governs) - *given.reserve;
    (depth.si() <= 0.0).refuse(
        "the wall is thinner than the reserve and uncertainties together",
        "measure and set more exactly, or do not cut this housing",
    )?;
    // The stop is a limit that contains the uncertainty; nothing is carried to it again.
    answer.said.uncertainty_is_in();
    answer.wall_min.put_uncertain(least, u_least);
    answer.wall_max.put_uncertain(greatest, u_greatest);
    answer.uncertainty.put(spread(governs));
    answer.depth.put(depth);
    answer.ligament.put(greatest - depth);
    answer.ligament_min.put(least - depth);
    answer.groove_offset.put(*given.groove_offset);
    answer.opening.put_some(given.kerf.map(|kerf| opening(kerf, depth, *given.half_angle)));
    let quarter_left = least - inch(0.25);
    answer.quarter_inch_left.put(quarter_left);
    if greatest > least * 1.5 {
        answer.warn(format!(
            "{side}The greatest wall reading is {:.0} % above the least: measure again, and find out whether the gauge saw two layers or a weld.",
            (greatest.si() / least.si() - 1.0) * 100.0
        ));
    }
    if depth > *given.nominal {
        answer.warn(format!(
            "{side}The stop is deeper than the nominal wall of {}: every reading is far above it. Find out what the tube is, and prove the wall by another way, before the cut.",
            GAUGE.both((*given.nominal).into())
        ));
    }
    if walls.len() < 4 {
        answer.warn(format!("{side}Take at least four wall readings around the tube in the cut plane."));
    }
    if quarter_left.si() <= 0.0 {
        answer.warn(format!(
            "{side}A 1/4 in groove would go through the wall into the sleeve; set the stop from the readings.",
        ));
    } else if inch(0.25) > depth {
        answer.warn(format!(
            "{side}A 1/4 in groove leaves no allowance for setting and wobble here; \
             set the stop from the readings.",
        ));
    }
    answer.warn(format!(
        "{side}The stop leaves metal at the thick side; finish it by eye in light passes, never by a deeper stop.",
    ));
    Ok(())
}

/// Refuses readings that look like tube and sleeve together, and a nominal wall
/// so far above them that it could tell of none.
fn one_layer(nominal: Length, greatest: Length, side: &str) -> Result<()> {
    if nominal > greatest * TWO_LAYERS {
        return Err(Trouble::impossible(
            format!(
                "{side}every wall reading is {:.0} % or more under the nominal wall: another tube, another nominal wall, or rust; a sleeve behind the tube would not show",
                (1.0 - greatest.si() / nominal.si()) * 100.0
            ),
            "find out what the tube is, and prove the wall by another way before any cut",
        ));
    }
    if greatest <= nominal * TWO_LAYERS {
        return Ok(());
    }
    Err(Trouble::impossible(
        format!(
            "{side}a wall reading is {:.0} % above the nominal wall: the gauge may see tube and sleeve together ({LAYERS})",
            (greatest.si() / nominal.si() - 1.0) * 100.0
        ),
        "stop, and prove the wall by another way before any cut",
    ))
}

/// Largest errors of the depth, each rectangular.
#[derive(Debug, Clone, Copy)]
pub struct Limits {
    /// Of the wall gauge.
    pub gauge: Length,
    /// Of the stop setting.
    pub setting: Length,
    /// Of the cutter's ride on the tube.
    pub wobble: Length,
}

/// Standard uncertainty of the depth.
#[must_use]
pub fn depth_uncertainty(limits: Limits) -> Length {
    let square = |l: Length| l.si() * l.si();
    Length::from_si(((square(limits.gauge) + square(limits.setting) + square(limits.wobble)) / 3.0).sqrt())
}

/// Width of a V groove at the surface.
#[must_use]
pub fn opening(kerf: Length, depth: Length, half_angle: Angle) -> Length {
    kerf + depth * (2.0 * math::tan(half_angle))
}

family! {
    pub GROOVE_OPENING = "groove-opening" in Geometry: "width of a V groove at the surface from kerf, depth and bevel";
    also "kerf", "v-opening", "v-groove-opening";
    reads GrooveOpening {
        required kerf: Length in within(0.0, 50.0, unit::MM, OPENING), "width at the bottom", "root", "blade",
            "disc";
        required depth: Length in ABOVE_ZERO, "depth of the groove", "d";
        optional half_angle: Angle in within(0.0, 80.0, unit::DEG, OPENING), "half-angle of the V, as one side is bevelled",
            "bevel", "bevel_angle";
        optional groove_angle: Angle in within(0.0, 160.0, unit::DEG, OPENING), "instead: angle included between both sides",
            "included_angle", "v_angle";
    }
    rules { one_of(half_angle, groove_angle); }
    gives GrooveOpeningAnswer {
        opening: Length, "width at the surface", "kerf + 2 depth tan half_angle",
            OPENING => .range("symmetrical V").style(GAUGE);
    }
    example "kerf=\"1/16 in\" depth=\"1/4 in\" half_angle=\"30 deg\"";
    by |given, answer| {
        let kerf = *given.kerf;
        let depth = *given.depth;
        let half = given.half_angle.or(given.groove_angle.map(|included| included / 2.0)).ok_or(Trouble::Missing(vec!["half_angle"]))?;
        answer.opening.put(opening(kerf, depth, half));
        Ok(())
    }
}

//! How deep the groove may go that frees a knuckle: through the tube wall and
//! not into the sleeve behind it.

use crate::figure::{Answer, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::GAUGE;
use crate::quantity::{Angle, Dimensioned, Kind, Length, Number, math, unit};
use crate::source::Source;

const STOP: Source = Source::derived(
    "least wall less k times the combined uncertainty, less a reserve",
    "recomputed worked cases",
);
const GUM: Source = Source::standard("JCGM 100:2008", "4.3.7, 5.1.2");
const GROOVE: Source = Source::practice("groove about 3/8 in inboard of the knuckle seam weld");
const QUARTER: Source = Source::practice("a memorised depth of 1/4 in, shown for comparison only");
const OPENING: Source = Source::derived("opening of a V", "right triangle");
const LAYERS: Source = Source::practice("a reading far above the nominal wall is tube and sleeve together");

/// Reading over nominal wall above which two layers are suspected. Tube walls
/// run to 12.5 % over or under nominal; a sleeve adds far more.
const TWO_LAYERS: f64 = 1.25;

/// Stop setting for the groove on one side.
pub static CUT_DEPTH: Family = Family {
    name: "cut-depth",
    group: Group::Geometry,
    title: "stop setting of the cutter for the groove that frees one knuckle, from its wall readings",
    inputs: &[
        Input::choice("side", &["left", "right"], Need::Optional, "side the readings belong to"),
        Input::list(
            "walls",
            Kind::Length,
            Need::Required,
            "ultrasonic wall readings around the tube in the cut plane, at least four",
        )
        .also(&["wall", "readings", "wall_readings"]),
        Input::optional("nominal", Kind::Length, "nominal tube wall, for the two-layer check")
            .also(&["nominal_wall"]),
        Input::defaulted(
            "gauge_limit",
            Kind::Length,
            "0.003 in",
            "largest error of the gauge, plus or minus",
        )
        .also(&["gauge", "limit_gauge"]),
        Input::defaulted("setting_limit", Kind::Length, "0.005 in", "largest error of the stop setting")
            .also(&["set", "depth_setting", "stop_limit", "stop", "setting", "limit_setting"]),
        Input::defaulted(
            "wobble_limit",
            Kind::Length,
            "0.008 in",
            "largest wobble of the cutter on the tube",
        )
        .also(&["runout", "disc_wobble", "guide_wobble", "wobble", "limit_wobble"]),
        Input::defaulted("reserve", Kind::Length, "0.010 in", "metal kept on purpose").also(&["allowance"]),
        Input::defaulted("coverage", Kind::Number, "2", "coverage factor of the uncertainty").also(&["k"]),
        Input::defaulted("groove_offset", Kind::Length, "3/8 in", "groove inboard of the seam weld")
            .also(&["offset", "inboard"]),
        Input::optional("kerf", Kind::Length, "width of the cut at its bottom; gives the opening")
            .also(&["blade", "disc"]),
        Input::defaulted("half_angle", Kind::Angle, "0", "half-angle of the bevel").also(&["bevel"]),
    ],
    outputs: &[
        Output::new("wall_min", "least wall", Kind::Length, "least of the readings", STOP)
            .style(GAUGE.down()),
        Output::new("wall_max", "greatest wall", Kind::Length, "greatest of the readings", STOP)
            .style(GAUGE.up()),
        Output::new(
            "uncertainty",
            "standard uncertainty of the depth",
            Kind::Length,
            "sqrt((gauge_limit^2 + setting_limit^2 + wobble_limit^2) / 3)",
            GUM,
        )
        .style(GAUGE.up()),
        Output::new(
            "depth",
            "stop setting",
            Kind::Length,
            "wall_min - coverage x uncertainty - reserve",
            STOP,
        )
        .range("single layer of tube, wall read in the cut plane")
        .style(GAUGE.down()),
        Output::new("ligament", "left at the thickest reading", Kind::Length, "wall_max - depth", STOP)
            .style(GAUGE.up()),
        Output::new("ligament_min", "left at the thinnest reading", Kind::Length, "wall_min - depth", STOP)
            .style(GAUGE.down()),
        Output::new("groove_offset", "groove inboard of the seam weld", Kind::Length, "as given", GROOVE),
        Output::new(
            "opening",
            "width of the groove at the surface",
            Kind::Length,
            "kerf + 2 depth tan half_angle",
            OPENING,
        )
        .style(GAUGE),
        Output::new(
            "quarter_inch_left",
            "left at the thinnest reading by a 1/4 in cut, comparison only",
            Kind::Length,
            "wall_min - 1/4 in",
            QUARTER,
        )
        .style(GAUGE.down()),
    ],
    example: "walls=\"0.281, 0.276, 0.284, 0.279 in\" nominal=\"0.280 in\"",
    run: cut_depth,
};

fn cut_depth(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let inch = |x| Length::of(x, unit::IN);
    let side = given.maybe_word("side")?.map_or(String::new(), |s| format!("{s} side: "));
    let walls: Vec<Length> = given.list("walls")?;
    let mut least = None::<Length>;
    let mut greatest = None::<Length>;
    for wall in &walls {
        let wall = given::positive("walls", *wall)?;
        least = Some(least.map_or(wall, |l| if wall < l { wall } else { l }));
        greatest = Some(greatest.map_or(wall, |g| if wall > g { wall } else { g }));
    }
    let (Some(least), Some(greatest)) = (least, greatest) else {
        return Err(Trouble::Missing(vec!["walls"]));
    };
    one_layer(given.maybe("nominal")?, greatest, &side)?;
    let limits = Limits {
        gauge: given.or("gauge_limit", inch(0.003))?,
        setting: given.or("setting_limit", inch(0.005))?,
        wobble: given.or("wobble_limit", inch(0.008))?,
    };
    let reserve = given.or("reserve", inch(0.010))?;
    for (name, limit) in [
        ("gauge_limit", limits.gauge),
        ("setting_limit", limits.setting),
        ("wobble_limit", limits.wobble),
        ("reserve", reserve),
    ] {
        given::within(name, limit, unit::IN, 0.0..=1.0, STOP)?;
    }
    let coverage: Number = given.or("coverage", Number::from_si(2.0))?;
    given::within("coverage", coverage, unit::ONE, 1.0..=4.0, GUM)?;
    let u = depth_uncertainty(limits);
    let depth = least - u * coverage.si() - reserve;
    if depth.si() <= 0.0 {
        return Err(Trouble::impossible(
            "the wall is thinner than the reserve and uncertainties together",
            "measure and set more exactly, or do not cut this housing",
        ));
    }
    answer.put("wall_min", least);
    answer.put("wall_max", greatest);
    answer.put("uncertainty", u);
    answer.put("depth", depth);
    answer.put("ligament", greatest - depth);
    answer.put("ligament_min", least - depth);
    answer.put("groove_offset", given.or("groove_offset", inch(0.375))?);
    if let Some(kerf) = given.maybe::<Length>("kerf")? {
        answer.put("opening", opening(kerf, depth, given.or("half_angle", Angle::from_si(0.0))?));
    }
    let quarter_left = least - inch(0.25);
    answer.put("quarter_inch_left", quarter_left);
    if greatest > least * 1.5 {
        answer.warn(format!(
            "{side}The greatest wall reading is {:.0} % above the least: measure again, and find out whether the gauge saw two layers or a weld.",
            (greatest.si() / least.si() - 1.0) * 100.0
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

/// Refuses readings that look like tube and sleeve together.
fn one_layer(nominal: Option<Length>, greatest: Length, side: &str) -> Result<(), Trouble> {
    match nominal {
        Some(nominal) if greatest > given::positive("nominal", nominal)? * TWO_LAYERS => {
            Err(Trouble::impossible(
                format!(
                    "{side}a wall reading is {:.0} % above the nominal wall: the gauge may see tube and sleeve together ({LAYERS})",
                    (greatest.si() / nominal.si() - 1.0) * 100.0
                ),
                "stop, and prove the wall by another way before any cut",
            ))
        }
        _ => Ok(()),
    }
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

/// Width of a groove at the surface.
pub static GROOVE_OPENING: Family = Family {
    name: "groove-opening",
    group: Group::Geometry,
    title: "width of a V groove at the surface from kerf, depth and bevel",
    inputs: &[
        Input::required("kerf", Kind::Length, "width at the bottom").also(&["root", "blade", "disc"]),
        Input::required("depth", Kind::Length, "depth of the groove").also(&["d"]),
        Input::required("half_angle", Kind::Angle, "half-angle of the bevel").also(&["bevel", "angle"]),
    ],
    outputs: &[Output::new(
        "opening",
        "width at the surface",
        Kind::Length,
        "kerf + 2 depth tan half_angle",
        OPENING,
    )
    .range("symmetrical V")
    .style(GAUGE)],
    example: "kerf=\"1/16 in\" depth=\"1/4 in\" half_angle=\"30 deg\"",
    run: |given, answer| {
        let kerf: Length = given.need("kerf")?;
        given::within("kerf", kerf, unit::MM, 0.0..=50.0, OPENING)?;
        let depth: Length = given::positive("depth", given.need("depth")?)?;
        let half: Angle = given.need("half_angle")?;
        given::within("half_angle", half, unit::DEG, 0.0..=80.0, OPENING)?;
        answer.put("opening", opening(kerf, depth, half));
        Ok(())
    },
};

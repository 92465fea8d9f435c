//! Templates off the printer: plates on a tapered housing, and whether the
//! print came out to size.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{FINE_ANGLE, GAUGE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, Number, Percent, math, unit};
use crate::source::Source;

const CONE: Source = Source::derived(
    "plane parallel to the axis of a cone cuts a hyperbola; the cone unrolls to a sector",
    "geometry of the cone",
);
const PRINT: Source = Source::practice("print a 100 mm bar both ways; compare template and tape girth");

/// Half height of the cut where a plate parallel to the axis, `offset` from
/// it, meets a housing of `radius` there: sqrt(radius^2 - offset^2).
///
/// # Errors
/// If the plate misses the housing.
pub fn side_plate(radius: Length, offset: Length) -> Result<Length, Trouble> {
    let square = (radius.si() - offset.si()) * (radius.si() + offset.si());
    if radius.si() > 0.0 && square >= 0.0 {
        return Ok(Length::from_si(square.sqrt()));
    }
    Err(Trouble::impossible(
        "the plate passes beside the housing at one of the places",
        "check offset, taper and positions",
    ))
}

/// Plate on a tapered housing.
pub static TAPERED_PLATE: Family = Family {
    name: "tapered-plate",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "template of a plate on a tapered axle housing",
    inputs: &[
        Input::required("radius", Kind::Length, "housing radius at the large end")
            .also(&["r0", "large_radius"]),
        Input::required("taper", Kind::Angle, "half angle of the cone, from its axis")
            .also(&["j", "half_angle"]),
        Input::list(
            "positions",
            Kind::Length,
            Need::Default("0"),
            "places along the axis from the large end",
        )
        .also(&["x", "position"]),
        Input::optional("offset", Kind::Length, "side plate parallel to the axis, this far from it")
            .also(&["c"]),
        Input::optional("plate", Kind::Length, "thickness of a plate square to the axis")
            .also(&["thickness", "plate_thickness"]),
        Input::optional("azimuth", Kind::Angle, "azimuth round the housing, to lay off on the flat pattern")
            .also(&["a"]),
    ],
    outputs: &[
        Output::list("local_radius", "housing radius at the places", Kind::Length, "R0 - x tan j", CONE)
            .style(GAUGE),
        Output::list(
            "side_height",
            "side plate edge from the axis at the places",
            Kind::Length,
            "sqrt((R0 - x tan j)^2 - c^2)",
            CONE,
        )
        .style(GAUGE),
        Output::new("slant_radius", "radius of the flat pattern", Kind::Length, "R0 / sin j", CONE)
            .style(GAUGE),
        Output::new("sector", "sector of the flat pattern for a full turn", Kind::Angle, "360 sin j", CONE)
            .style(FINE_ANGLE),
        Output::new("pattern_angle", "azimuth on the flat pattern", Kind::Angle, "azimuth x sin j", CONE)
            .style(FINE_ANGLE),
        Output::new("edge_bevel", "bevel of the hole in a plate square to the axis", Kind::Angle, "j", CONE)
            .style(FINE_ANGLE),
        Output::new(
            "bevel_difference",
            "radius difference through that plate",
            Kind::Length,
            "plate x tan j",
            CONE,
        )
        .style(GAUGE),
    ],
    example: "radius=\"48 mm\" taper=\"3 deg\" offset=\"30 mm\" positions=\"0, 30, 60, 90 mm\" plate=\"8 mm\"",
    run: tapered_plate,
};

fn tapered_plate(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let radius: Length = given::positive("radius", given.need("radius")?)?;
    let taper: Angle = given::positive("taper", given.need("taper")?)?;
    given::within("taper", taper, unit::DEG, 0.0..=45.0, CONE)?;
    let mut positions: Vec<Length> = given.list("positions")?;
    if positions.is_empty() {
        positions.push(Length::from_si(0.0));
    }
    let local: Vec<Length> = positions
        .into_iter()
        .map(|x| given::positive("local radius", radius - x * math::tan(taper)))
        .collect::<Result<_, _>>()?;
    answer.put_list("local_radius", local.iter().copied());
    if let Some(offset) = given.maybe::<Length>("offset")? {
        let heights = local.iter().map(|r| side_plate(*r, offset)).collect::<Result<Vec<_>, _>>()?;
        answer.put_list("side_height", heights);
    }
    let sine = math::sin(taper);
    answer.put("slant_radius", radius / sine);
    answer.put("sector", Angle::of(360.0, unit::DEG) * sine);
    if let Some(azimuth) = given.maybe::<Angle>("azimuth")? {
        answer.put("pattern_angle", azimuth * sine);
    }
    if let Some(plate) = given.maybe::<Length>("plate")? {
        answer.put("edge_bevel", taper);
        answer.put("bevel_difference", plate * math::tan(taper));
    }
    Ok(())
}

/// Print scale.
pub static TEMPLATE_SCALE: Family = Family {
    name: "template-scale",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "whether a printed template came out to size, and what an error does on the tube",
    inputs: &[
        Input::defaulted("bar", Kind::Length, "100 mm", "length the printed bars should have")
            .also(&["printed", "drawn", "nominal"]),
        Input::optional("bar_across", Kind::Length, "measured bar across the sheet")
            .also(&["measured", "measured_x"]),
        Input::optional("bar_along", Kind::Length, "measured bar along the sheet; as across if absent")
            .also(&["measured_y"]),
        Input::optional("tube_od", Kind::Length, "tube outside diameter").also(&["od", "d", "diameter"]),
        Input::optional("template_girth", Kind::Length, "printed girth from seam mark to seam mark"),
        Input::optional("tape_girth", Kind::Length, "girth of the tube by tape; pi x tube_od if absent"),
        Input::defaulted("angle", Kind::Angle, "10 deg", "rotation marked with the template"),
        Input::defaulted("limit", Kind::Percent, "0.5 %", "greatest error accepted"),
    ],
    outputs: &[
        Output::new(
            "scale_across",
            "factor to print again with, across",
            Kind::Number,
            "bar / measured",
            PRINT,
        ),
        Output::new(
            "scale_along",
            "factor to print again with, along",
            Kind::Number,
            "bar / measured",
            PRINT,
        ),
        Output::new("tape_girth", "girth of the tube", Kind::Length, "pi D", PRINT).style(GAUGE),
        Output::new(
            "wrap_error",
            "template longer than the girth",
            Kind::Percent,
            "template_girth / tape_girth - 1, or bar_across / bar - 1",
            PRINT,
        ),
        Output::new("angle_error", "error of the rotation", Kind::Angle, "angle x wrap_error", PRINT)
            .style(FINE_ANGLE),
        Output::new(
            "mark_error",
            "error of that mark on the tube",
            Kind::Length,
            "D / 2 x angle_error",
            PRINT,
        )
        .style(GAUGE),
        Output::word("verdict", "template", "largest error against the limit", PRINT),
    ],
    example: "bar_across=\"99.4 mm\" bar_along=\"99.8 mm\" tube_od=\"76.2 mm\"",
    run: template_scale,
};

fn template_scale(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let bar: Length = given::positive("bar", given.or("bar", Length::of(100.0, unit::MM))?)?;
    let across: Option<Length> = given.maybe("bar_across")?;
    let template: Option<Length> = given.maybe("template_girth")?;
    if across.is_none() && template.is_none() {
        return Err(Trouble::Missing(vec!["bar_across", "template_girth"]));
    }
    let mut worst: f64 = 0.0;
    let mut wrap = None;
    if let Some(across) = across {
        let across = given::positive("bar_across", across)?;
        let along = given::positive("bar_along", given.or("bar_along", across)?)?;
        answer.put("scale_across", Number::from_si(bar.si() / across.si()));
        answer.put("scale_along", Number::from_si(bar.si() / along.si()));
        wrap = Some(across.si() / bar.si() - 1.0);
        worst = (across.si() / bar.si() - 1.0).abs().max((along.si() / bar.si() - 1.0).abs());
    }
    let od: Option<Length> = given.maybe("tube_od")?;
    let girth = match given.maybe::<Length>("tape_girth")? {
        Some(girth) => Some(girth),
        None => od.map(|od| od * std::f64::consts::PI),
    };
    if let Some(girth) = girth {
        answer.put("tape_girth", given::positive("tape_girth", girth)?);
    }
    if let Some(template) = template {
        let Some(girth) = girth else { return Err(Trouble::Missing(vec!["tape_girth", "tube_od"])) };
        let error = given::positive("template_girth", template)?.si() / girth.si() - 1.0;
        wrap = Some(error);
        worst = worst.max(error.abs());
    }
    if let Some(wrap) = wrap {
        let turned: Angle = given.or::<Angle>("angle", Angle::of(10.0, unit::DEG))? * wrap;
        answer.put("wrap_error", Percent::from_si(wrap));
        answer.put("angle_error", turned);
        if let Some(od) = od {
            answer.put("mark_error", od * (0.5 * turned.si()));
        }
    }
    let limit: Percent = given.or("limit", Percent::from_si(0.005))?;
    let good = worst <= limit.si() * (1.0 + 1e-9);
    answer.put_word("verdict", if good { "to size" } else { "print again" });
    if !good {
        answer.warn("The template is off by more than the limit; print it again without fit-to-page, or with the scale factors given here.");
    }
    Ok(())
}

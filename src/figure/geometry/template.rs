//! Templates off the printer: plates on a tapered housing, and whether the
//! print came out to size.

use crate::figure::prelude::*;
use crate::figure::rule::agree;

const CONE: Source = Source::derived(
    "plane parallel to the axis of a cone cuts a hyperbola; the cone unrolls to a sector",
    "geometry of the cone",
);
/// Share by which a tape girth may leave that of the diameter, on one tube.
const SAME_TUBE: f64 = 0.1;
const PRINT: Source = Source::practice("print a 100 mm bar both ways; compare template and tape girth");

/// Half height of the cut where a plate parallel to the axis, `offset` from
/// it, meets a housing of `radius` there: sqrt(radius^2 - offset^2).
///
/// # Errors
/// If the plate misses the housing.
pub fn side_plate(radius: Length, offset: Length) -> Result<Length> {
    let square = (radius.si() - offset.si()) * (radius.si() + offset.si());
    if radius.si() > 0.0 && square >= 0.0 {
        return Ok(Length::from_si(square.sqrt()));
    }
    Err(Trouble::impossible(
        "the plate passes beside the housing at one of the places",
        "check offset, taper and positions",
    ))
}

family! {
    pub TAPERED_PLATE = "tapered-plate" in Geometry: "template of a plate on a tapered axle housing";
    also "tapered-housing", "cone-plate", "cone-template", "plate-on-taper";
    reads TaperedPlate {
        required radius: Length in ABOVE_ZERO, "housing radius at the large end", "r0", "large_radius";
        required taper: Angle in within(0.0, 45.0, unit::DEG, CONE).above_zero(),
            "half angle of the cone, from its axis", "j", "half_angle";
        many positions: Length = "0", "places along the axis from the large end", "x", "position";
        optional offset: Length, "side plate parallel to the axis, this far from it", "c";
        optional plate: Length in ABOVE_ZERO, "thickness of a plate square to the axis", "thickness", "plate_thickness";
        optional azimuth: Angle, "azimuth round the housing, to lay off on the flat pattern", "a";
    }
    gives TaperedPlateAnswer {
        local_radius: Vec<Length>, "housing radius at the places", "R0 - x tan j", CONE => .style(GAUGE);
        side_height: Vec<Length>, "side plate edge from the axis at the places", "sqrt((R0 - x tan j)^2 - c^2)",
            CONE => .style(GAUGE);
        slant_radius: Length, "radius of the flat pattern", "R0 / sin j", CONE => .style(GAUGE);
        sector: Angle, "sector of the flat pattern for a full turn", "360 sin j", CONE => .style(FINE_ANGLE);
        pattern_angle: Angle, "azimuth on the flat pattern", "azimuth x sin j", CONE => .style(FINE_ANGLE);
        edge_bevel: Angle, "bevel of the hole in a plate square to the axis", "j", CONE => .style(FINE_ANGLE);
        bevel_difference: Length, "radius difference through that plate", "plate x tan j", CONE => .style(GAUGE);
    }
    example "radius=\"48 mm\" taper=\"3 deg\" offset=\"30 mm\" positions=\"0, 30, 60, 90 mm\" plate=\"8 mm\"";
    by tapered_plate
}

fn tapered_plate(given: &TaperedPlate, answer: &mut TaperedPlateAnswer) -> Result<()> {
    let radius = *given.radius;
    let taper = *given.taper;
    let start = [Length::from_si(0.0)];
    let positions: &[Length] = if given.positions.is_empty() { &start } else { &given.positions };
    let local: Vec<Length> = positions
        .iter()
        .map(|x| positive("local radius", radius - *x * math::tan(taper)))
        .collect::<Result<_, _>>()?;
    answer.local_radius.list(local.iter().copied());
    if let Some(offset) = *given.offset {
        let heights = local.iter().map(|r| side_plate(*r, offset)).collect::<Result<Vec<_>, _>>()?;
        answer.side_height.put(heights);
    }
    let sine = math::sin(taper);
    answer.slant_radius.put(radius / sine);
    answer.sector.put(Angle::of(360.0, unit::DEG) * sine);
    answer.pattern_angle.put_some(given.azimuth.map(|azimuth| azimuth * sine));
    if let Some(plate) = *given.plate {
        answer.edge_bevel.put(taper);
        answer.bevel_difference.put(plate * math::tan(taper));
    }
    Ok(())
}

family! {
    pub TEMPLATE_SCALE = "template-scale" in Geometry:
        "whether a printed template came out to size, and what an error does on the tube";
    also "print-scale", "template-check";
    reads TemplateScale {
        default bar: Length = "100 mm" in ABOVE_ZERO, "length the printed bars should have", "printed", "drawn",
            "nominal";
        optional bar_across: Length in ABOVE_ZERO, "measured bar across the sheet", "measured", "measured_x";
        optional bar_along: Length in ABOVE_ZERO, "measured bar along the sheet", "measured_y";
        optional tube_od: Length in ABOVE_ZERO, "tube outside diameter", "od", "d", "diameter";
        optional template_girth: Length in ABOVE_ZERO, "printed girth from seam mark to seam mark";
        optional tape_girth: Length in ABOVE_ZERO, "girth of the tube by tape; pi x tube_od if absent";
        default angle: Angle = "10 deg", "rotation marked with the template";
        default limit: Percent = "0.5 %" in within(0.0, 5.0, unit::PCT, PRINT).above_zero().usually(0.1, 1.0, unit::PCT),
            "greatest error accepted";
    }
    rules { some_of(bar_across, template_girth); }
    gives TemplateScaleAnswer {
        scale_across: Number, "factor to print again with, across", "bar / measured", PRINT;
        scale_along: Number, "factor to print again with, along", "bar / measured", PRINT;
        tape_girth: Length, "girth of the tube", "pi D", PRINT => .style(GAUGE);
        wrap_error: Percent, "template longer than the girth",
            "template_girth / tape_girth - 1, or bar_across / bar x pi tube_od / tape_girth - 1", PRINT;
        angle_error: Angle, "error of the rotation", "angle x wrap_error", PRINT => .style(FINE_ANGLE);
        mark_error: Length, "error of that mark on the tube", "D / 2 x angle_error", PRINT => .style(GAUGE);
        verdict: String, "template", "largest error against the limit", PRINT
            => .claims(&["to size"]);
    }
    example "bar_across=\"99.4 mm\" bar_along=\"99.8 mm\" tube_od=\"76.2 mm\"";
    by template_scale
}

fn template_scale(given: &TemplateScale, answer: &mut TemplateScaleAnswer) -> Result<()> {
    let bar = *given.bar;
    let across = *given.bar_across;
    let template = *given.template_girth;
    let mut worst: f64 = 0.0;
    let mut wrap = None;
    let od = *given.tube_od;
    if let Some(along) = *given.bar_along {
        answer.scale_along.put(Number::from_si(bar.si() / along.si()));
        worst = (along.si() / bar.si() - 1.0).abs();
    }
    if let Some(across) = across {
        answer.scale_across.put(Number::from_si(bar.si() / across.si()));
        // A template is drawn for the diameter, and wraps what the tape found.
        let drawn = match (od, *given.tape_girth) {
            (Some(od), Some(tape)) => od.si() * PI / tape.si(),
            _ => 1.0,
        };
        let error = across.si() / bar.si() * drawn - 1.0;
        wrap = Some(error);
        worst = worst.max((across.si() / bar.si() - 1.0).abs()).max(error.abs());
        if (drawn - 1.0).abs() > given.limit.si() {
            answer.warn(
                "The tape girth is not pi times tube_od: draw the template for the girth the tape shows.",
            );
        }
    }
    if let (Some(od), Some(tape)) = (od, *given.tape_girth) {
        agree(("pi x tube_od", od * PI), ("tape_girth", tape), tape * SAME_TUBE)?;
    }
    let girth = match *given.tape_girth {
        Some(girth) => Some(girth),
        None => od.map(|od| od * PI),
    };
    answer.tape_girth.put_some(girth);
    if let Some(template) = template {
        let Some(girth) = girth else { return Err(Trouble::Missing(vec!["tape_girth", "tube_od"])) };
        let error = template.si() / girth.si() - 1.0;
        wrap = Some(error);
        worst = worst.max(error.abs());
    }
    if let Some(wrap) = wrap {
        let turned: Angle = *given.angle * wrap;
        answer.wrap_error.put(Percent::from_si(wrap));
        answer.angle_error.put(turned);
        answer.mark_error.put_some(od.map(|od| od * (0.5 * turned.si())));
    }
    let margin = given.limit.si() * (1.0 + 1e-9) - worst;
    let good = margin >= 0.0;
    if good && !given.bar_along.given() {
        answer.verdict.put("not judged: nothing was measured along the sheet, give bar_along");
    } else {
        answer.verdict.judge(margin, "to size", "print again", "not proven: measure the bars again");
    }
    if !good {
        answer.warn("The template is off by more than the limit; print it again without fit-to-page, or with the scale factors given here.");
    }
    Ok(())
}

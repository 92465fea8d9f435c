//! Plates laid out flat: holes of a pad or a U-bolt plate, a gusset, a bent
//! bracket, a gauge for an angle.

use crate::figure::prelude::*;

const LAYOUT: Source = Source::derived("plane geometry of a plate", "coordinates of its corners and centres");
const ROOM: Source = Source::practice("a hole's centre at least 1.5 diameters from an edge");
const FIBRE: Source = Source::standard(
    "DIN 6935:2011",
    "unfolded length: neutral fibre k/2 t from the inside, k = 0.65 + 0.5 lg(r / t), at most 1",
)
.from_memory();

family! {
    pub DRILL_PATTERN = "drill-pattern" in Geometry:
        "drill template of a flat plate: spring pad, U-bolt plate, flange";
    also "spring-pad", "u-bolt-plate", "pad-template", "plate-template", "drill-template";
    reads DrillPattern {
        required length: Length in ABOVE_ZERO, "length of the plate, along the spring", "l";
        required width: Length in ABOVE_ZERO, "width of the plate, across the spring", "w";
        optional centre_hole: Length in ABOVE_ZERO, "hole for the centre pin", "pin_hole", "center_hole";
        default centre_forward: Length = "0 mm", "centre hole ahead of the plate's middle; forward positive", "hole_offset";
        optional along: Length in ABOVE_ZERO, "between the four holes' centres, along the spring", "spread";
        optional across: Length in ABOVE_ZERO, "between the four holes' centres, across the spring";
        optional hole: Length in ABOVE_ZERO, "diameter of the four holes", "drill", "hole_diameter";
    }
    rules { some_of(centre_hole, hole); needs(hole, along, across); needs(along, hole); needs(across, hole); }
    gives DrillPatternAnswer {
        diagonal: Length, "between opposite holes", "sqrt(along^2 + across^2)", LAYOUT => .style(GAUGE);
        edge_along: Length, "from the holes' centres to the end", "(length - along) / 2", LAYOUT => .style(GAUGE);
        edge_across: Length, "from the holes' centres to the side", "(width - across) / 2", LAYOUT => .style(GAUGE);
        centre_edge: Length, "from the centre hole to the front end", "length / 2 - centre_forward", LAYOUT => .style(GAUGE);
        plate_diagonal: Length, "diagonal of the plate", "sqrt(length^2 + width^2)", LAYOUT => .style(GAUGE);
        room: Number, "least distance from an edge, in diameters", "least of centre to edge / diameter", ROOM;
    }
    example "length=\"8 in\" width=\"5 in\" centre_hole=\"9/16 in\" along=\"3-13/16 in\" across=\"3-1/16 in\" hole=\"5/8 in\"";
    by drill_pattern
}

fn drill_pattern(given: &DrillPattern, answer: &mut DrillPatternAnswer) -> Result<()> {
    let (length, width) = (*given.length, *given.width);
    answer.plate_diagonal.put(Length::from_si(math::hypot(length.si(), width.si())));
    let mut room: f64 = f64::INFINITY;
    let mut fits = |what: &str, to_edge: Length, diameter: Length| {
        room = room.min(to_edge.si() / diameter.si());
        if to_edge.si() <= diameter.si() / 2.0 {
            return Err(Trouble::impossible(
                format!("{what} breaks out of the plate"),
                "make the plate larger, or the holes closer or smaller",
            ));
        }
        Ok(())
    };
    if let Some(hole) = *given.hole {
        let (along, across) = (given.along.need()?, given.across.need()?);
        let (ends, sides) = ((length - along) / 2.0, (width - across) / 2.0);
        fits("a hole", ends, hole)?;
        fits("a hole", sides, hole)?;
        answer.diagonal.put(Length::from_si(math::hypot(along.si(), across.si())));
        answer.edge_along.put(ends);
        answer.edge_across.put(sides);
        (along.si() <= hole.si() || across.si() <= hole.si())
            .refuse("the four holes run into each other", "check along, across and hole")?;
    }
    if let Some(pin) = *given.centre_hole {
        let forward = *given.centre_forward;
        let edge = length / 2.0 - Length::from_si(forward.si().abs());
        fits("the centre hole", edge, pin)?;
        fits("the centre hole", width / 2.0, pin)?;
        answer.centre_edge.put(length / 2.0 - forward);
        if let (Some(hole), Some(along), Some(across)) = (*given.hole, *given.along, *given.across) {
            let gap = math::hypot(along.si() / 2.0 - forward.si().abs(), across.si() / 2.0);
            (gap <= (pin.si() + hole.si()) / 2.0)
                .refuse("the centre hole runs into another", "check centre_forward")?;
        }
    }
    answer.room.put(Number::from_si(room));
    if room < 1.5 {
        answer.warn(
            "A hole's centre is closer to an edge than 1.5 diameters; check the plate's strength there.",
        );
    }
    Ok(())
}

family! {
    pub GUSSET = "gusset" in Geometry: "outline of a gusset between two members at an angle";
    also "gusset-plate", "corner-plate";
    reads Gusset {
        required leg_a: Length in ABOVE_ZERO, "along the first member, from the corner", "a";
        required leg_b: Length in ABOVE_ZERO, "along the second member, from the corner", "b";
        default angle: Angle = "90 deg" in within(15.0, 165.0, unit::DEG, LAYOUT), "angle between the members";
        default nose: Length = "0 mm" in NOT_NEGATIVE, "blunt end of each tip, square to its member", "nose_a";
        default snipe: Length = "0 mm" in NOT_NEGATIVE, "cut off at the corner along each leg, so that a weld passes", "corner", "clip";
    }
    gives GussetAnswer {
        leg_a: Length, "first leg", "leg_a", LAYOUT => .style(GAUGE);
        leg_b: Length, "second leg", "leg_b", LAYOUT => .style(GAUGE);
        free_edge: Length, "free edge", "distance of the inner ends of the tips", LAYOUT => .style(GAUGE);
        x: Vec<Length>, "corners along the first leg", "from the corner of the members", LAYOUT => .style(GAUGE);
        y: Vec<Length>, "corners square to the first leg", "from the corner of the members", LAYOUT => .style(GAUGE);
        angle: Angle, "angle between the members", "angle", LAYOUT => .style(FINE_ANGLE);
    }
    asked free_edge;
    example "leg_a=\"100 mm\" leg_b=\"80 mm\" nose=\"10 mm\" snipe=\"15 mm\"";
    by gusset
}

fn gusset(given: &Gusset, answer: &mut GussetAnswer) -> Result<()> {
    let (a, b, angle) = (given.leg_a.si(), given.leg_b.si(), *given.angle);
    let (nose, snipe) = (given.nose.si(), given.snipe.si());
    (snipe >= a.min(b)).refuse("the snipe leaves nothing of a leg", "make snipe smaller than both legs")?;
    let (sin, cos) = (math::sin(angle), math::cos(angle));
    // Along the second leg, and square to it into the plate.
    let on_b = |along: f64, square: f64| (along * cos + square * sin, along * sin - square * cos);
    let (tip_a, tip_b) = ((a, nose), on_b(b, nose));
    // The free edge must turn left on its way from tip to tip, past the corner.
    let cross = |p: (f64, f64), q: (f64, f64)| p.0 * q.1 - p.1 * q.0;
    let turns = |p: (f64, f64), q: (f64, f64), r: (f64, f64)| {
        cross((q.0 - p.0, q.1 - p.1), (r.0 - q.0, r.1 - q.1)) > 0.0
    };
    (!turns((a, 0.0), tip_a, tip_b) && nose > 0.0 || !turns(tip_a, tip_b, (0.0, 0.0)))
        .refuse("the blunt tips cross each other", "make nose smaller, or the legs longer")?;
    let mut corners = vec![(snipe, 0.0), (a, 0.0)];
    if nose > 0.0 {
        corners.extend([tip_a, tip_b]);
    }
    corners.push(on_b(b, 0.0));
    if snipe > 0.0 {
        corners.push(on_b(snipe, 0.0));
    }
    answer.leg_a.put(*given.leg_a);
    answer.leg_b.put(*given.leg_b);
    answer.angle.put(angle);
    answer.free_edge.put(Length::from_si(math::hypot(tip_b.0 - tip_a.0, tip_b.1 - tip_a.1)));
    answer.x.list(corners.iter().map(|c| Length::from_si(c.0)));
    answer.y.list(corners.iter().map(|c| Length::from_si(c.1)));
    Ok(())
}

family! {
    pub BENT_BRACKET = "bent-bracket" in Geometry: "flat length, bend line and allowance of a plate bent once, with its holes";
    also "bracket", "bend", "bend-allowance", "flat-pattern", "angle-bracket";
    reads BentBracket {
        required leg_a: Length in ABOVE_ZERO, "first leg, outside, from its end to the outside corner", "a";
        required leg_b: Length in ABOVE_ZERO, "second leg, outside, from its end to the outside corner", "b";
        required thickness: Length in ABOVE_ZERO, "thickness of the plate", "t", "plate";
        required radius: Length in ABOVE_ZERO, "inside radius of the bend", "r", "inside_radius";
        required width: Length in ABOVE_ZERO, "width of the plate", "w";
        default bend: Angle = "90 deg" in within(1.0, 150.0, unit::DEG, FIBRE), "how far it is bent from flat", "angle", "bend_angle";
        optional neutral: Number in ABOVE_ZERO, "neutral fibre from the inside as a share of the thickness, from a trial bend", "k", "k_factor";
        optional hole: Length in ABOVE_ZERO, "diameter of the holes", "drill";
        many hole_a: Length = "none", "holes on the first leg, from its end";
        many hole_b: Length = "none", "holes on the second leg, from its end";
    }
    gives BentBracketAnswer {
        flat_length: Length, "flat length", "leg_a + leg_b - 2 setback + allowance", FIBRE => .style(GAUGE);
        allowance: Length, "bend allowance, along the neutral fibre", "bend (r + K t)", FIBRE => .style(GAUGE);
        setback: Length, "from the outside corner to the start of the bend", "(r + t) tan(bend / 2)", LAYOUT => .style(GAUGE);
        deduction: Length, "flat length less than both legs by", "2 setback - allowance", FIBRE => .style(GAUGE);
        neutral: Number, "neutral fibre from the inside, share of the thickness", "(0.65 + 0.5 lg(r / t)) / 2, at most 1/2", FIBRE;
        bend_start: Length, "bend starts from the first end at", "leg_a - setback", FIBRE => .style(GAUGE);
        bend_line: Length, "middle of the bend from the first end", "leg_a - setback + allowance / 2", FIBRE => .style(GAUGE);
        bend_end: Length, "bend ends from the first end at", "leg_a - setback + allowance", FIBRE => .style(GAUGE);
        holes: Vec<Length>, "holes from the first end, flat", "hole_a; flat length - hole_b", LAYOUT => .style(GAUGE);
    }
    example "leg_a=\"60 mm\" leg_b=\"40 mm\" thickness=\"6 mm\" radius=\"9 mm\" width=\"50 mm\"";
    by bent_bracket
}

fn bent_bracket(given: &BentBracket, answer: &mut BentBracketAnswer) -> Result<()> {
    let (t, r, bend) = (*given.thickness, *given.radius, *given.bend);
    let neutral = match *given.neutral {
        Some(neutral) => neutral.si(),
        None => (0.65 + 0.5 * math::log10(r.si() / t.si())).clamp(0.0, 1.0) / 2.0,
    };
    (neutral > 0.5).refuse(
        "the neutral fibre of a bent plate is never beyond its middle",
        "give neutral as a share of the thickness from the inside, 0.5 at most",
    )?;
    (r.si() < 0.2 * t.si()).refuse(
        "the inside radius is far smaller than the plate is thick",
        "bend it over a larger radius; the steel's standard or maker states the least one",
    )?;
    let allowance = (r + t * neutral) * bend.si();
    let setback = (r + t) * math::tan(bend / 2.0);
    let start = positive("first leg beyond the bend", *given.leg_a - setback)?;
    let rest = positive("second leg beyond the bend", *given.leg_b - setback)?;
    let flat = start + allowance + rest;
    answer.flat_length.put(flat);
    answer.allowance.put(allowance);
    answer.setback.put(setback);
    answer.deduction.put(setback * 2.0 - allowance);
    answer.neutral.put(Number::from_si(neutral));
    answer.bend_start.put(start);
    answer.bend_line.put(start + allowance / 2.0);
    answer.bend_end.put(start + allowance);
    if !(given.hole_a.is_empty() && given.hole_b.is_empty()) {
        let radius = given.hole.need()? / 2.0;
        let clear = |at: Length, leg: Length| at.si() > radius.si() && (at + radius).si() < leg.si();
        (!given.hole_a.iter().all(|h| clear(*h, start)) || !given.hole_b.iter().all(|h| clear(*h, rest)))
            .refuse(
                "a hole runs into the bend or over the end",
                "keep each hole between the end of its leg and the start of the bend",
            )?;
        (given.width.si() <= 2.0 * radius.si())
            .refuse("a hole is wider than the plate", "check hole and width")?;
        let all = given.hole_a.iter().copied().chain(given.hole_b.iter().map(|h| flat - *h));
        answer.holes.list(all);
    }
    answer.note("The allowance is for air-bent steel; bend a trial piece of the same plate and give neutral if it differs. Least bend radius: the steel's standard or maker.");
    Ok(())
}

family! {
    pub ANGLE_GAUGE = "angle-gauge" in Geometry: "gauge to cut out for an angle: legs, opening, check sizes";
    also "gauge", "bevel-gauge", "protractor-gauge";
    reads AngleGauge {
        required angle: Angle in within(1.0, 179.0, unit::DEG, LAYOUT), "angle of the gauge", "opening";
        default leg: Length = "100 mm" in ABOVE_ZERO, "length of each leg", "length";
    }
    gives AngleGaugeAnswer {
        angle: Angle, "angle of the gauge", "angle", LAYOUT => .style(FINE_ANGLE);
        opening: Length, "straight across the ends of the legs", "2 leg sin(angle / 2)", LAYOUT => .style(GAUGE);
        rise: Length, "end of the upper leg over the lower", "leg sin angle", LAYOUT => .style(GAUGE);
        run: Length, "end of the upper leg along the lower", "leg cos angle", LAYOUT => .style(GAUGE);
    }
    asked opening;
    example "angle=\"22.5 deg\" leg=\"120 mm\"";
    by angle_gauge
}

fn angle_gauge(given: &AngleGauge, answer: &mut AngleGaugeAnswer) -> Result<()> {
    let (angle, leg): (Angle, Length) = (*given.angle, *given.leg);
    answer.angle.put(angle);
    answer.opening.put(leg * (2.0 * math::sin(angle / 2.0)));
    answer.rise.put(leg * math::sin(angle));
    answer.run.put(leg * math::cos(angle));
    Ok(())
}

//! A group of welds under combined loads, by the elastic method.

use super::weld_flow::{Flow, Loads, Peaks, peaks};
use super::weld_outline::{LineProperties, Outline, Point, Segment};
use super::weld_strength::{AS_LINE, FATIGUE, LINE_LOAD, Size, Strength, THROAT, leg_of_throat};
use crate::figure::prelude::*;
use crate::figure::rule::agree;

const COMBINE: Source = Source::handbook(
    "Shigley's Mechanical Engineering Design, 9th edition",
    "sections 9-3 and 9-4; Blodgett, Design of Welded Structures, 7.4",
);
const TRESCA: Source = Source::handbook(
    "Khurmi and Gupta, A Textbook of Machine Design",
    "chapter 10, eccentrically loaded welds",
);
const LINE_SECOND: Style = Style::pair(Form::decimal(unit::IN3, 0.001), Form::decimal(unit::MM3, 1.0));

words! {
    /// Shape of a group.
    pub Shape {
        Vertical = "vertical" | "line" | "one-line" | "one-vertical" | "single-line" | "vertical-line",
        Horizontal = "horizontal" | "one-horizontal" | "horizontal-line",
        TwoVertical = "two-vertical" | "parallel-vertical" | "two-lines" | "two-vertical-lines" | "two-parallel" | "parallel",
        TwoHorizontal = "two-horizontal" | "parallel-horizontal" | "two-horizontal-lines",
        Angle = "l" | "angle" | "l-shape",
        Channel = "c" | "channel" | "c-shape",
        U = "u" | "u-shape",
        Rectangle = "rectangle" | "box" | "rectangular" | "grid" | "rect" | "all-round",
        Circle = "circle" | "ring" | "star" | "cross" | "bolt-circle" | "circular" | "round" | "tube",
        Points = "points" | "polyline",
    }
}

words! {
    /// Where the arms of the loads start.
    pub ArmsFrom { Centroid = "centroid", Origin = "origin", }
}

words! {
    /// How stresses at a point are put together.
    pub Combine { Vector = "vector" | "vector-sum" | "resultant", MaxShear = "max-shear" | "tresca" | "maximum-shear", }
}

family! {
    pub WELD_GROUP = "weld-group" in Welding:
        "weld group as lines: properties, force per length, required leg, throat stress";
    also "weld-lines", "weld-as-a-line", "weld-as-line", "eccentric-weld";
    reads WeldGroup {
        ..size: Size;
        ..strength: Strength;
        required outline: Shape,
            "vertical, horizontal: one line; two-vertical, two-horizontal: two lines; l (angle), c (channel: web on the left), u, rectangle (box), circle (ring); points (polyline): any lines through points_x and points_y",
            "shape", "group", "pattern";
        optional b: Length in NOT_NEGATIVE, "width of the outline; spacing of two vertical lines", "width",
            "spacing";
        optional d: Length in NOT_NEGATIVE,
            "height of the outline, or diameter of a circle; spacing of two horizontal lines", "depth", "height",
            "length", "diameter", "od", "tube_od";
        optional radius: Length in ABOVE_ZERO, "radius of a circle, instead of its diameter", "r";
        many points_x: Length, "x of the points along the weld, in order", "x", "xs";
        many points_y: Length, "y of the points along the weld, in order", "y", "ys";
        many breaks: Number, "numbers of the points after which no weld runs to the next, counting from 1",
            "gaps";
        default vx: Force = "0", "force to the right in the plane of the group", "force_x", "fx", "shear_x";
        default vy: Force = "0",
            "force up in the plane of the group; with arm_x the eccentric load P of the textbooks", "force_y",
            "load_vertical", "fy", "v", "shear", "load", "force", "f", "p";
        default pull: Force = "0", "force square to the plane, pulling the parts apart", "out_of_plane",
            "normal_force", "axial", "fz", "tension";
        default torsion: Torque = "0", "moment about the axis square to the group, counter-clockwise", "mz", "t",
            "torque";
        default mx: Torque = "0", "moment about x, pulling at the top", "moment_x", "bending", "moment";
        default my: Torque = "0", "moment about y, pulling at the left", "moment_y", "bending_y";
        default arm_x: Length = "0", "how far right of the centroid the forces act", "eccentricity", "e", "arm";
        default arm_y: Length = "0", "how far above the centroid the forces act", "ey", "load_y";
        default arm_z: Length = "0", "how far out of the plane the forces act; bends the group", "ez", "load_z",
            "cantilever";
        default arms_from: ArmsFrom = Centroid,
            "where arm_x and arm_y start: the centroid, or the lower left corner of the outline";
        default combine: Combine = Vector,
            "which of the two combinations decides leg and utilisation; both are given; vector never gives less",
            "combining_method", "stress_method", "combination";
        flag reversing: bool, "the load repeats or reverses in service", "fatigue", "cyclic";
    }
    gives WeldGroupAnswer {
        aw: Length, "length of weld", "sum of the lines; circle: pi D", AS_LINE => .style(GAUGE);
        xbar: Length, "centroid from the lower left corner, x", "sum(L x) / sum(L)", AS_LINE =>
            .style(GAUGE).range("a circle is centred on the origin");
        ybar: Length, "centroid from the lower left corner, y", "sum(L y) / sum(L)", AS_LINE =>
            .style(GAUGE).range("a circle is centred on the origin");
        ix: Volume, "second moment about x, unit throat", "integral of y^2 along the weld", AS_LINE =>
            .style(LINE_SECOND);
        iy: Volume, "second moment about y, unit throat", "integral of x^2 along the weld", AS_LINE =>
            .style(LINE_SECOND);
        ixy: Volume, "product moment, unit throat", "integral of x y along the weld", AS_LINE =>
            .style(LINE_SECOND);
        jw: Volume, "polar moment, unit throat", "ix + iy; a channel keeps its - b^2 (b + d)^2 / (2 b + d) term",
            AS_LINE => .style(LINE_SECOND);
        sw: Area, "section modulus about x, unit throat", "ix / farthest y", AS_LINE => .down();
        sw_top: Area, "section modulus at the top, unit throat", "ix / y top", AS_LINE => .down();
        sw_bottom: Area, "section modulus at the bottom, unit throat", "ix / y bottom", AS_LINE => .down();
        sw_y: Area, "section modulus about y, unit throat", "iy / farthest x", AS_LINE => .down();
        reach: Length, "farthest point from the centroid", "max sqrt(x^2 + y^2)", AS_LINE => .style(GAUGE);
        j: SecondMoment, "polar moment of the throat", "jw x throat", AS_LINE;
        mx_total: Torque, "moment about x at the centroid", "mx + y N - z Vy, N the pull", COMBINE;
        my_total: Torque, "moment about y at the centroid", "my + z Vx - x N, N the pull", COMBINE;
        torsion_total: Torque, "torsion at the centroid", "T + x Vy - y Vx", COMBINE;
        f_direct: LineForce, "direct shear per length", "hypot(Vx, Vy) / Aw", COMBINE => .style(LINE_LOAD);
        f_pull: LineForce, "pull per length", "N / Aw", COMBINE => .style(LINE_LOAD);
        f_twist: LineForce, "torsional shear per length at the worst point", "T r / Jw", COMBINE =>
            .style(LINE_LOAD);
        f_twist_x: LineForce, "torsional shear per length at the worst point, x", "-T y / Jw", COMBINE =>
            .style(LINE_LOAD);
        f_twist_y: LineForce, "torsional shear per length at the worst point, y", "T x / Jw", COMBINE =>
            .style(LINE_LOAD);
        f_bend: LineForce, "bending per length at the worst point",
            "|Mx y / Ix - My x / Iy|, product moment included", COMBINE => .style(LINE_LOAD);
        point_x: Length, "worst point from the centroid, x", "where the vector sum is greatest", COMBINE =>
            .style(GAUGE);
        point_y: Length, "worst point from the centroid, y", "where the vector sum is greatest", COMBINE =>
            .style(GAUGE);
        f_vector: LineForce, "force per length by vector sum", "sqrt((fx)^2 + (fy)^2 + (fz)^2)", COMBINE =>
            .style(LINE_LOAD).up();
        f_max_shear: LineForce, "force per length by maximum shear", "sqrt((fx)^2 + (fy)^2 + (fz / 2)^2)", TRESCA
            => .style(LINE_LOAD).up();
        stress: Stress, "throat stress by vector sum", "f vector / throat", COMBINE => .up();
        stress_max_shear: Stress, "throat stress by maximum shear", "f max shear / throat", TRESCA => .up();
        stress_normal: Stress, "greatest normal stress on the throat",
            "fz / 2 + sqrt(fz^2 / 4 + fx^2 + fy^2), over the throat", TRESCA => .up();
        allowable_stress: Stress, "allowable stress on the throat", "0.30 FEXX (asd), 0.45 FEXX (lrfd)", THROAT
            => .down();
        leg_vector: Length, "leg by vector sum", "sqrt(2) f vector / allowable", COMBINE => .style(GAUGE).at_least();
        leg_max_shear: Length, "leg by maximum shear", "sqrt(2) f max shear / allowable", TRESCA =>
            .style(GAUGE).at_least();
        required_leg: Length, "required leg", "leg by the chosen combination", COMBINE => .style(LENGTH).at_least();
        utilisation: Number, "utilisation", "stress by the chosen combination / allowable", COMBINE => .up();
        load_factor: Number, "factor all loads could grow by", "1 / utilisation", COMBINE => .down();
        combination: String, "combination that decides", "vector sum or maximum shear", COMBINE;
    }
    asked required_leg, stress, f_vector;
    example "outline=two-vertical b=\"2 in\" d=\"2 in\" vy=\"1000 lbf\" arm_x=\"7 in\" leg=\"5/16 in\" electrode=E70";
    by weld_group
}

fn outline(given: &WeldGroup) -> Result<Outline> {
    let o = Length::from_si(0.0);
    // A spacing may be zero: two lines laid side by side.
    let sizes = |wide: bool, high: bool| -> Result<(Length, Length)> {
        require(&[&given.b, &given.d])?;
        let (b, d) = (given.b.need()?, given.d.need()?);
        Ok((if wide { positive("b", b)? } else { b }, if high { positive("d", d)? } else { d }))
    };
    Ok(match *given.outline {
        Shape::Vertical => Outline::through(&[&[(o, o), (o, positive("d", given.d.need()?)?)]]),
        Shape::Horizontal => {
            let b = if given.b.given() { given.b.need()? } else { given.d.need()? };
            Outline::through(&[&[(o, o), (positive("b", b)?, o)]])
        }
        Shape::TwoVertical => {
            let (b, d) = sizes(false, true)?;
            Outline::through(&[&[(o, o), (o, d)], &[(b, o), (b, d)]])
        }
        Shape::TwoHorizontal => {
            let (b, d) = sizes(true, false)?;
            Outline::two_horizontal(b, d)
        }
        Shape::Angle => {
            let (b, d) = sizes(true, true)?;
            Outline::through(&[&[(o, d), (o, o), (b, o)]])
        }
        Shape::Channel => {
            let (b, d) = sizes(true, true)?;
            Outline::through(&[&[(b, o), (o, o), (o, d), (b, d)]])
        }
        Shape::U => {
            let (b, d) = sizes(true, true)?;
            Outline::through(&[&[(o, d), (o, o), (b, o), (b, d)]])
        }
        Shape::Rectangle => {
            let (b, d) = sizes(true, true)?;
            Outline::rectangle(b, d)
        }
        Shape::Circle => {
            if let (Some(radius), Some(d)) = (*given.radius, *given.d) {
                agree(("d", d), ("twice the radius", radius * 2.0), d * 0.01)?;
            }
            let radius = given.radius.filter(|_| !given.d.given());
            let diameter = match radius {
                Some(radius) => radius * 2.0,
                None => positive("d", given.d.need()?)?,
            };
            Outline::Ring { diameter }
        }
        Shape::Points => points(given)?,
    })
}

fn points(given: &WeldGroup) -> Result<Outline> {
    require(&[&given.points_x, &given.points_y])?;
    let (xs, ys, breaks) = (&*given.points_x, &*given.points_y, &*given.breaks);
    if xs.len() != ys.len() || xs.len() < 2 {
        return Err(Trouble::impossible(
            format!("points_x has {} values and points_y has {}", xs.len(), ys.len()),
            "give two or more points, as many x as y",
        ));
    }
    let last = xs.len() - 1;
    if let Some(stray) = breaks.iter().find(|b| !(1..=last).any(|n| whole(n) == b.si())) {
        return Err(Trouble::impossible(
            format!("breaks names point {}, after which no weld could run", stray.si()),
            format!("use whole numbers from 1 to {last}"),
        ));
    }
    let points: Vec<Point> = xs.iter().zip(ys).map(|(x, y)| Point { x: *x, y: *y }).collect();
    let segments = points
        .windows(2)
        .zip(1_u32..)
        .filter(|(_, number)| !breaks.iter().any(|b| (b.si() - f64::from(*number)).abs() < 0.5))
        .filter_map(|(pair, _)| match pair {
            [from, to] => Some(Segment { from: *from, to: *to }),
            _ => None,
        })
        .collect();
    Ok(Outline::Lines(segments))
}

fn loads(given: &WeldGroup, properties: &LineProperties) -> Loads {
    let (mut x, mut y) = (*given.arm_x, *given.arm_y);
    if *given.arms_from == ArmsFrom::Origin {
        x -= properties.centroid.x;
        y -= properties.centroid.y;
    }
    Loads {
        vx: *given.vx,
        vy: *given.vy,
        pull: *given.pull,
        mx: *given.mx,
        my: *given.my,
        mz: *given.torsion,
    }
    .at(x, y, *given.arm_z)
}

fn weld_group(given: &WeldGroup, answer: &mut WeldGroupAnswer) -> Result<()> {
    let outline = outline(given)?;
    let properties = outline.properties().ok_or_else(|| {
        Trouble::impossible("the weld group has no length", "check the points, and that breaks leave a weld")
    })?;
    let throat = given.size.effective_throat()?;
    put_properties(answer, &properties);
    answer.j.put_some(throat.map(|throat| SecondMoment::from_si(properties.jw.si() * throat.si())));
    let loads = loads(given, &properties);
    let loaded = [loads.vx.si(), loads.vy.si(), loads.pull.si(), loads.mx.si(), loads.my.si(), loads.mz.si()]
        .iter()
        .any(|v| *v != 0.0);
    if !loaded {
        return Ok(());
    }
    let peaks = peaks(&outline, &properties, &loads)?;
    put_flows(answer, &properties, &loads, &peaks);
    if *given.reversing {
        answer.warn(FATIGUE);
    }
    strength(given, answer, &peaks, throat);
    Ok(())
}

fn put_properties(answer: &mut WeldGroupAnswer, p: &LineProperties) {
    answer.aw.put(p.length);
    answer.xbar.put(p.centroid.x);
    answer.ybar.put(p.centroid.y);
    answer.ix.put(p.ix);
    answer.iy.put(p.iy);
    answer.ixy.put(p.ixy);
    answer.jw.put(p.jw);
    let modulus = |second: Volume, far: Length| Area::from_si(second.si() / far.si().abs());
    let tiny = 1e-12 * p.reach.si();
    let (low, high) = p.vertical;
    if low.si().abs() > tiny && high.si() > tiny {
        answer.sw.put(modulus(p.ix, if high > -low { high } else { low }));
        answer.sw_top.put(modulus(p.ix, high));
        answer.sw_bottom.put(modulus(p.ix, low));
    }
    let (left, right) = p.horizontal;
    if right.si() > tiny {
        answer.sw_y.put(modulus(p.iy, if right > -left { right } else { left }));
    }
    answer.reach.put(p.reach);
}

fn put_flows(answer: &mut WeldGroupAnswer, p: &LineProperties, loads: &Loads, peaks: &Peaks) {
    let worst: Flow = peaks.vector;
    let per = |force: f64| LineForce::from_si(force / p.length.si());
    let twist = loads.mz.si() / p.jw.si();
    let (x, y) = (worst.at.x.si(), worst.at.y.si());
    answer.mx_total.put(loads.mx);
    answer.my_total.put(loads.my);
    answer.torsion_total.put(loads.mz);
    answer.f_direct.put(per(math::hypot(loads.vx.si(), loads.vy.si())));
    answer.f_pull.put(per(loads.pull.si()));
    answer.f_twist.put(LineForce::from_si(twist.abs() * math::hypot(x, y)));
    answer.f_twist_x.put(LineForce::from_si(-twist * y));
    answer.f_twist_y.put(LineForce::from_si(twist * x));
    answer.f_bend.put(LineForce::from_si((worst.z - per(loads.pull.si())).si().abs()));
    answer.point_x.put(worst.at.x);
    answer.point_y.put(worst.at.y);
    answer.f_vector.put(worst.vector());
    answer.f_max_shear.put(peaks.max_shear.max_shear());
}

fn strength(given: &WeldGroup, answer: &mut WeldGroupAnswer, peaks: &Peaks, throat: Option<Length>) {
    let (vector, shear) = (peaks.vector.vector(), peaks.max_shear.max_shear());
    let over = |flow: LineForce, throat: Length| Stress::from_si(flow.si() / throat.si());
    if let Some(throat) = throat {
        answer.stress.put(over(vector, throat));
        answer.stress_max_shear.put(over(shear, throat));
        answer.stress_normal.put(over(peaks.principal.principal(), throat));
    }
    let by_shear = *given.combine == Combine::MaxShear;
    let deciding = if by_shear { shear } else { vector };
    let Some(allowable) = given.strength.allowed() else { return };
    answer.allowable_stress.put(allowable);
    let leg = |flow: LineForce| leg_of_throat(Length::from_si(flow.si() / allowable.si()));
    answer.leg_vector.put(leg(vector));
    answer.leg_max_shear.put(leg(shear));
    answer.required_leg.put(leg(deciding));
    if let Some(throat) = throat {
        let utilisation = over(deciding, throat).si() / allowable.si();
        answer.utilisation.put(Number::from_si(utilisation));
        answer.load_factor.put(Number::from_si(1.0 / utilisation));
        if utilisation > 1.0 {
            answer.warn("The throat stress is over the allowable: lay a larger leg or more weld.");
        }
    }
    answer.combination.put(if by_shear { "maximum shear" } else { "vector sum" }.to_owned());
    if by_shear {
        answer.required_leg.source(TRESCA);
        answer.utilisation.source(TRESCA);
        answer.load_factor.source(TRESCA);
        if vector.si() > 1.01 * shear.si() {
            answer.warn(format!(
                "Maximum shear is chosen: the vector sum would ask for a leg {:.0} % larger. Say on the job which method was used.",
                (vector.si() / shear.si() - 1.0) * 100.0
            ));
        }
    }
}

/// A point number as a float.
fn whole(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::NAN, f64::from)
}

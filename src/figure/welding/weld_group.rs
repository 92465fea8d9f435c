//! A group of welds under combined loads, by the elastic method.

use super::weld_flow::{Flow, Loads, Peaks, peaks};
use super::weld_outline::{LineProperties, Outline, Point, Segment};
use super::weld_strength::{
    ALLOWABLE, AS_LINE, ELECTRODE, FATIGUE, LEG, LINE_LOAD, METHOD, THROAT, THROAT_INPUT, leg_of_throat,
    read_allowable, read_throat,
};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{GAUGE, LENGTH};
use crate::quantity::{
    Area, Dimensioned, Force, Form, Kind, Length, LineForce, Number, Stress, Style, Torque, Volume, unit,
};
use crate::source::Source;

const COMBINE: Source = Source::handbook(
    "Shigley's Mechanical Engineering Design, 9th edition",
    "sections 9-3 and 9-4; Blodgett, Design of Welded Structures, 7.4",
);
const TRESCA: Source = Source::handbook(
    "Khurmi and Gupta, A Textbook of Machine Design",
    "chapter 10, eccentrically loaded welds",
);
const LINE_SECOND: Style = Style::pair(Form::decimal(unit::IN3, 0.001), Form::decimal(unit::MM3, 1.0));

const fn line(id: &'static str, title: &'static str, formula: &'static str) -> Output {
    Output::new(id, title, Kind::Volume, formula, AS_LINE).style(LINE_SECOND)
}

const fn flow(id: &'static str, title: &'static str, formula: &'static str) -> Output {
    Output::new(id, title, Kind::LineForce, formula, COMBINE).style(LINE_LOAD)
}

const fn load(name: &'static str, kind: Kind, help: &'static str) -> Input {
    Input::defaulted(name, kind, "0", help)
}

/// Weld group under combined loads.
pub static WELD_GROUP: Family = Family {
    name: "weld-group",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "weld group as lines: properties, force per length, required leg, throat stress",
    inputs: &[
        Input::choice(
            "outline",
            &[
                "vertical", "horizontal", "two-vertical", "two-horizontal", "l", "angle", "c", "channel", "u",
                "rectangle", "box", "circle", "ring", "points", "polyline", "parallel-vertical", "parallel-horizontal",
            ],
            Need::Required,
            "vertical, horizontal: one line; two-vertical, two-horizontal: two lines; l (angle), c (channel: web on the \
             left), u, rectangle (box), circle (ring); points (polyline): any lines through points_x and points_y",
        )
        .also(&["shape", "group", "pattern", "type"]),
        Input::optional("b", Kind::Length, "width of the outline; spacing of two vertical lines")
            .also(&["width", "spacing"]),
        Input::optional("d", Kind::Length, "height of the outline, or diameter of a circle; spacing of two horizontal lines")
            .also(&["depth", "height", "length", "l", "diameter", "dia", "od", "tube_od"]),
        Input::optional("radius", Kind::Length, "radius of a circle, instead of its diameter").also(&["r"]),
        Input::list("points_x", Kind::Length, Need::Optional, "x of the points along the weld, in order").also(&["x", "xs"]),
        Input::list("points_y", Kind::Length, Need::Optional, "y of the points along the weld, in order").also(&["y", "ys"]),
        Input::list(
            "breaks",
            Kind::Number,
            Need::Optional,
            "numbers of the points after which no weld runs to the next, counting from 1",
        )
        .also(&["gaps"]),
        load("vx", Kind::Force, "force to the right in the plane of the group").also(&["force_x", "fx", "shear_x", "horizontal_load"]),
        load("vy", Kind::Force, "force up in the plane of the group; with arm_x the eccentric load P of the textbooks")
            .also(&[
                "force_y", "load_vertical", "fy", "shear_y", "v", "shear", "load", "force", "f", "p",
                "eccentric_load", "vertical_load",
            ]),
        load("pull", Kind::Force, "force square to the plane, pulling the parts apart")
            .also(&["out_of_plane", "normal_force", "axial", "fz", "tension", "vz"]),
        load("torsion", Kind::Torque, "moment about the axis square to the group, counter-clockwise")
            .also(&["mz", "t", "torque"]),
        load("mx", Kind::Torque, "moment about x, pulling at the top").also(&["moment_x", "bending", "moment", "m", "bending_x"]),
        load("my", Kind::Torque, "moment about y, pulling at the left").also(&["moment_y", "bending_y"]),
        load("arm_x", Kind::Length, "how far right of the centroid the forces act")
            .also(&["eccentricity", "e", "arm", "ex", "load_x"]),
        load("arm_y", Kind::Length, "how far above the centroid the forces act").also(&["ey", "load_y"]),
        load("arm_z", Kind::Length, "how far out of the plane the forces act; bends the group")
            .also(&["ez", "load_z", "cantilever", "overhang", "standoff"]),
        Input::choice(
            "arms_from",
            &["centroid", "origin"],
            Need::Default("centroid"),
            "where arm_x and arm_y start: the centroid, or the lower left corner of the outline",
        ),
        LEG,
        THROAT_INPUT,
        ELECTRODE,
        ALLOWABLE,
        METHOD,
        Input::choice(
            "combine",
            &["vector", "max-shear"],
            Need::Default("vector"),
            "which of the two combinations decides leg and utilisation; both are given; vector never gives less",
        )
        .also(&["combining_method", "stress_method", "combination", "combining"]),
        Input::flag("reversing", "the load repeats or reverses in service").also(&["fatigue", "cyclic"]),
    ],
    outputs: &[
        Output::new("aw", "length of weld", Kind::Length, "sum of the lines; circle: pi D", AS_LINE).style(GAUGE),
        Output::new("xbar", "centroid from the lower left corner, x", Kind::Length, "sum(L x) / sum(L)", AS_LINE)
            .style(GAUGE)
            .range("a circle is centred on the origin"),
        Output::new("ybar", "centroid from the lower left corner, y", Kind::Length, "sum(L y) / sum(L)", AS_LINE)
            .style(GAUGE)
            .range("a circle is centred on the origin"),
        line("ix", "second moment about x, unit throat", "integral of y^2 along the weld"),
        line("iy", "second moment about y, unit throat", "integral of x^2 along the weld"),
        line("ixy", "product moment, unit throat", "integral of x y along the weld"),
        line("jw", "polar moment, unit throat", "ix + iy; a channel keeps its - b^2 (b + d)^2 / (2 b + d) term"),
        Output::new("sw", "section modulus about x, unit throat", Kind::Area, "ix / farthest y", AS_LINE).down(),
        Output::new("sw_top", "section modulus at the top, unit throat", Kind::Area, "ix / y top", AS_LINE).down(),
        Output::new("sw_bottom", "section modulus at the bottom, unit throat", Kind::Area, "ix / y bottom", AS_LINE).down(),
        Output::new("sw_y", "section modulus about y, unit throat", Kind::Area, "iy / farthest x", AS_LINE).down(),
        Output::new("reach", "farthest point from the centroid", Kind::Length, "max sqrt(x^2 + y^2)", AS_LINE).style(GAUGE),
        Output::new("j", "polar moment of the throat", Kind::SecondMoment, "jw x throat", AS_LINE),
        Output::new("mx_total", "moment about x at the centroid", Kind::Torque, "mx + y N - z Vy, N the pull", COMBINE),
        Output::new("my_total", "moment about y at the centroid", Kind::Torque, "my + z Vx - x N, N the pull", COMBINE),
        Output::new("torsion_total", "torsion at the centroid", Kind::Torque, "T + x Vy - y Vx", COMBINE),
        flow("f_direct", "direct shear per length", "hypot(Vx, Vy) / Aw"),
        flow("f_pull", "pull per length", "N / Aw"),
        flow("f_twist", "torsional shear per length at the worst point", "T r / Jw"),
        flow("f_twist_x", "torsional shear per length at the worst point, x", "-T y / Jw"),
        flow("f_twist_y", "torsional shear per length at the worst point, y", "T x / Jw"),
        flow("f_bend", "bending per length at the worst point", "|Mx y / Ix - My x / Iy|, product moment included"),
        Output::new("point_x", "worst point from the centroid, x", Kind::Length, "where the vector sum is greatest", COMBINE)
            .style(GAUGE),
        Output::new("point_y", "worst point from the centroid, y", Kind::Length, "where the vector sum is greatest", COMBINE)
            .style(GAUGE),
        flow("f_vector", "force per length by vector sum", "sqrt((fx)^2 + (fy)^2 + (fz)^2)").up(),
        Output::new(
            "f_max_shear",
            "force per length by maximum shear",
            Kind::LineForce,
            "sqrt((fx)^2 + (fy)^2 + (fz / 2)^2)",
            TRESCA,
        )
        .style(LINE_LOAD)
        .up(),
        Output::new("stress", "throat stress by vector sum", Kind::Stress, "f vector / throat", COMBINE).up(),
        Output::new("stress_max_shear", "throat stress by maximum shear", Kind::Stress, "f max shear / throat", TRESCA).up(),
        Output::new(
            "stress_normal",
            "greatest normal stress on the throat",
            Kind::Stress,
            "fz / 2 + sqrt(fz^2 / 4 + fx^2 + fy^2), over the throat",
            TRESCA,
        )
        .up(),
        Output::new("allowable_stress", "allowable stress on the throat", Kind::Stress, "0.30 FEXX (asd), 0.45 FEXX (lrfd)", THROAT)
            .down(),
        Output::new("leg_vector", "leg by vector sum", Kind::Length, "sqrt(2) f vector / allowable", COMBINE).style(GAUGE).up(),
        Output::new("leg_max_shear", "leg by maximum shear", Kind::Length, "sqrt(2) f max shear / allowable", TRESCA)
            .style(GAUGE)
            .up(),
        Output::new("required_leg", "required leg", Kind::Length, "leg by the chosen combination", COMBINE).style(LENGTH).up(),
        Output::new("utilisation", "utilisation", Kind::Number, "stress by the chosen combination / allowable", COMBINE).up(),
        Output::new("load_factor", "factor all loads could grow by", Kind::Number, "1 / utilisation", COMBINE).down(),
        Output::word("combination", "combination that decides", "vector sum or maximum shear", COMBINE),
    ],
    example: "outline=two-vertical b=\"2 in\" d=\"2 in\" vy=\"1000 lbf\" arm_x=\"7 in\" leg=\"5/16 in\" electrode=E70",
    run: weld_group,
};

fn need_size(given: &Given, name: &'static str) -> Result<Length, Trouble> {
    given::positive(name, given.need(name)?)
}

/// A spacing may be zero: two lines laid side by side.
fn need_spacing(given: &Given, name: &'static str) -> Result<Length, Trouble> {
    let spacing: Length = given.need(name)?;
    if spacing.si() == 0.0 { Ok(spacing) } else { given::positive(name, spacing) }
}

fn outline(given: &Given) -> Result<Outline, Trouble> {
    let b = || need_size(given, "b");
    let d = || need_size(given, "d");
    let both = |make: fn(Length, Length) -> Outline| {
        given.require(&["b", "d"])?;
        Ok(make(b()?, d()?))
    };
    match given.word("outline")? {
        "vertical" => Ok(Outline::vertical(d()?)),
        "horizontal" if given.has("b") => Ok(Outline::horizontal(b()?)),
        "horizontal" => Ok(Outline::horizontal(d()?)),
        "two-vertical" | "parallel-vertical" => {
            given.require(&["b", "d"])?;
            Ok(Outline::two_vertical(need_spacing(given, "b")?, d()?))
        }
        "two-horizontal" | "parallel-horizontal" => {
            given.require(&["b", "d"])?;
            Ok(Outline::two_horizontal(b()?, need_spacing(given, "d")?))
        }
        "l" | "angle" => both(Outline::angle),
        "c" | "channel" => both(Outline::channel),
        "u" => both(Outline::upright),
        "rectangle" | "box" => both(Outline::rectangle),
        "circle" | "ring" if given.has("radius") && !given.has("d") => {
            Ok(Outline::Ring { diameter: need_size(given, "radius")? * 2.0 })
        }
        "circle" | "ring" => Ok(Outline::Ring { diameter: d()? }),
        _ => points(given),
    }
}

fn points(given: &Given) -> Result<Outline, Trouble> {
    given.require(&["points_x", "points_y"])?;
    let (xs, ys) = (given.list::<Length>("points_x")?, given.list::<Length>("points_y")?);
    if xs.len() != ys.len() || xs.len() < 2 {
        return Err(Trouble::impossible(
            format!("points_x has {} values and points_y has {}", xs.len(), ys.len()),
            "give two or more points, as many x as y",
        ));
    }
    let breaks = given.list::<Number>("breaks")?;
    let last = xs.len() - 1;
    if let Some(stray) = breaks.iter().find(|b| !(1..=last).any(|n| whole(n) == b.si())) {
        return Err(Trouble::impossible(
            format!("breaks names point {}, after which no weld could run", stray.si()),
            format!("use whole numbers from 1 to {last}"),
        ));
    }
    let points: Vec<Point> = xs.into_iter().zip(ys).map(|(x, y)| Point { x, y }).collect();
    let segments: Vec<Segment> = points
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

fn loads(given: &Given, properties: &LineProperties) -> Result<Loads, Trouble> {
    let force = |name| given.or::<Force>(name, Force::from_si(0.0));
    let moment = |name| given.or::<Torque>(name, Torque::from_si(0.0));
    let arm = |name| given.or::<Length>(name, Length::from_si(0.0));
    let (mut x, mut y) = (arm("arm_x")?, arm("arm_y")?);
    if given.maybe_word("arms_from")? == Some("origin") {
        x -= properties.centroid.x;
        y -= properties.centroid.y;
    }
    Ok(Loads {
        vx: force("vx")?,
        vy: force("vy")?,
        pull: force("pull")?,
        mx: moment("mx")?,
        my: moment("my")?,
        mz: moment("torsion")?,
    }
    .at(x, y, arm("arm_z")?))
}

fn weld_group(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let outline = outline(given)?;
    let properties = outline.properties().ok_or_else(|| {
        Trouble::impossible("the weld group has no length", "check the points, and that breaks leave a weld")
    })?;
    let throat = read_throat(given)?;
    put_properties(answer, &properties);
    if let Some(throat) = throat {
        answer.put("j", crate::quantity::SecondMoment::from_si(properties.jw.si() * throat.si()));
    }
    let loads = loads(given, &properties)?;
    let loaded = [loads.vx.si(), loads.vy.si(), loads.pull.si(), loads.mx.si(), loads.my.si(), loads.mz.si()]
        .iter()
        .any(|v| *v != 0.0);
    if !loaded {
        return Ok(());
    }
    let peaks = peaks(&outline, &properties, &loads)?;
    put_flows(answer, &properties, &loads, &peaks);
    if given.flag("reversing")? {
        answer.warn(FATIGUE);
    }
    strength(given, answer, &peaks, throat)
}

fn put_properties(answer: &mut Answer, p: &LineProperties) {
    answer.put("aw", p.length);
    answer.put("xbar", p.centroid.x);
    answer.put("ybar", p.centroid.y);
    answer.put("ix", p.ix);
    answer.put("iy", p.iy);
    answer.put("ixy", p.ixy);
    answer.put("jw", p.jw);
    let modulus = |second: Volume, far: Length| Area::from_si(second.si() / far.si().abs());
    let tiny = 1e-12 * p.reach.si();
    let (low, high) = p.vertical;
    if low.si().abs() > tiny && high.si() > tiny {
        answer.put("sw", modulus(p.ix, if high > -low { high } else { low }));
        answer.put("sw_top", modulus(p.ix, high));
        answer.put("sw_bottom", modulus(p.ix, low));
    }
    let (left, right) = p.horizontal;
    if right.si() > tiny {
        answer.put("sw_y", modulus(p.iy, if right > -left { right } else { left }));
    }
    answer.put("reach", p.reach);
}

fn put_flows(answer: &mut Answer, p: &LineProperties, loads: &Loads, peaks: &Peaks) {
    let worst: Flow = peaks.vector;
    let per = |force: f64| LineForce::from_si(force / p.length.si());
    let twist = loads.mz.si() / p.jw.si();
    let (x, y) = (worst.at.x.si(), worst.at.y.si());
    answer.put("mx_total", loads.mx);
    answer.put("my_total", loads.my);
    answer.put("torsion_total", loads.mz);
    answer.put("f_direct", per(crate::quantity::math::hypot(loads.vx.si(), loads.vy.si())));
    answer.put("f_pull", per(loads.pull.si()));
    answer.put("f_twist", LineForce::from_si(twist.abs() * crate::quantity::math::hypot(x, y)));
    answer.put("f_twist_x", LineForce::from_si(-twist * y));
    answer.put("f_twist_y", LineForce::from_si(twist * x));
    answer.put("f_bend", LineForce::from_si((worst.z - per(loads.pull.si())).si().abs()));
    answer.put("point_x", worst.at.x);
    answer.put("point_y", worst.at.y);
    answer.put("f_vector", worst.vector());
    answer.put("f_max_shear", peaks.max_shear.max_shear());
}

fn strength(
    given: &Given,
    answer: &mut Answer,
    peaks: &Peaks,
    throat: Option<Length>,
) -> Result<(), Trouble> {
    let (vector, shear) = (peaks.vector.vector(), peaks.max_shear.max_shear());
    let by_shear = given.maybe_word("combine")? == Some("max-shear");
    let deciding = if by_shear { shear } else { vector };
    let over = |flow: LineForce, throat: Length| Stress::from_si(flow.si() / throat.si());
    if let Some(throat) = throat {
        answer.put("stress", over(vector, throat));
        answer.put("stress_max_shear", over(shear, throat));
        answer.put("stress_normal", over(peaks.principal.principal(), throat));
    }
    let Some(allowable) = read_allowable(given)? else { return Ok(()) };
    answer.put("allowable_stress", allowable);
    let leg = |flow: LineForce| leg_of_throat(Length::from_si(flow.si() / allowable.si()));
    answer.put("leg_vector", leg(vector));
    answer.put("leg_max_shear", leg(shear));
    answer.put("required_leg", leg(deciding));
    if let Some(throat) = throat {
        let utilisation = over(deciding, throat).si() / allowable.si();
        answer.put("utilisation", Number::from_si(utilisation));
        answer.put("load_factor", Number::from_si(1.0 / utilisation));
        if utilisation > 1.0 {
            answer.warn("The throat stress is over the allowable: lay a larger leg or more weld.");
        }
    }
    answer.put_word("combination", if by_shear { "maximum shear" } else { "vector sum" });
    if by_shear {
        for id in ["required_leg", "utilisation", "load_factor"] {
            answer.source(id, TRESCA);
        }
        if vector.si() > 1.01 * shear.si() {
            answer.warn(format!(
                "Maximum shear is chosen: the vector sum would ask for a leg {:.0} % larger. Say on the job which method was used.",
                (vector.si() / shear.si() - 1.0) * 100.0
            ));
        }
    }
    Ok(())
}

/// A point number as a float.
fn whole(n: usize) -> f64 {
    u32::try_from(n).map_or(f64::NAN, f64::from)
}

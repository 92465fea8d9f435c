//! What two places of a job say of one thing: a flag of an axle against the tables that
//! only an axle of the other kind has, and a size against the same size elsewhere.

use super::{at, name, words, written};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{
    Axle, Component, Cut, DragLink, Fastener, Joint, Knuckle, Part, Pinion, WeldPlace, WeldType, Weldment,
};
use crate::quantity::show::LENGTH;
use crate::quantity::{Angle, Dimensioned, Length, math, unit};
use crate::term::{Units, counted};

/// Share by which two readings of one size differ (common practice: tube is drawn to
/// 1 % of its diameter, plate rolled to a few).
const SIZE_APART: f64 = 0.05;
/// Walls run to 12.5 % about nominal (ASTM A513, common practice).
const WALL_APART: f64 = 0.13;
/// Parts drawn for a weld map agree with the size over all within this, in metres,
/// or within the weldment's own tolerance if that is more: 1/16 in.
const DRAWN_APART: f64 = 0.0016;
/// Degrees between two angles that are one (AWS D1.1, fit-up of grooves: +10°, -5°).
const ANGLE_APART: f64 = 5.0;

/// Help of all that somebody may be sure of.
const SURE: &str = "if it is right all the same, write beside it: sure = \"why it is right\"";

pub(super) fn check(job: &JobFile, report: &mut Report) {
    let units = job.job.units;
    for axle in &job.axle {
        flags(job, axle, report);
    }
    for weldment in &job.weldment {
        extents(units, weldment, report);
    }
    for joint in &job.joint {
        match job.component(&joint.on.value) {
            Some(Component::Axle(axle)) => on_axle(units, axle, joint, report),
            Some(Component::Driveshaft(shaft)) => {
                if *joint.usage.0 == *"shaft" {
                    closed(units, joint, shaft.od.as_ref(), report);
                }
                around(units, joint, shaft.od.as_ref(), report);
                part(units, joint, shaft.wall.as_ref(), "the wall of its shaft", WALL_APART, report);
            }
            _ => {}
        }
    }
}

/// How far its own parts reach against the length and the height of a weldment.
fn extents(units: Units, weldment: &Weldment, report: &mut Report) {
    let corners: Vec<[f64; 2]> = weldment.part.iter().flat_map(corners).collect();
    if corners.is_empty() {
        return;
    }
    let plain = |l: &Option<Located<Reading<Length>>>| l.as_ref().map(|l| l.value.value.si());
    let room = plain(&weldment.tolerance).unwrap_or(DRAWN_APART).max(DRAWN_APART);
    for (axis, stated, word) in [(0, &weldment.length, "long"), (1, &weldment.height, "high")] {
        let Some(stated) = stated else { continue };
        let along = corners.iter().map(|corner| corner[axis]);
        let least = along.clone().fold(f64::INFINITY, f64::min);
        let reach = Length::from_si(along.fold(f64::NEG_INFINITY, f64::max) - least);
        if (reach.si() - stated.value.value.si()).abs() <= room + 1e-9 {
            continue;
        }
        let reach = written(units, LENGTH, reach);
        report.push(at(
            Diagnostic::stop(
                "J187",
                format!(
                    "weldment {}: {} {} is not what its parts come to, {reach} {word}",
                    weldment.id.value,
                    name(stated),
                    words(stated)
                ),
            )
            .expected("a size over all and parts that come to it")
            .example(format!("{} = \"{reach}\"", name(stated)))
            .help(SURE)
            .unless_sure(weldment.sure.as_deref()),
            stated,
        ));
    }
}

/// Corners of a part in metres from the lower left of its weldment.
pub(super) fn corners(part: &Part) -> [[f64; 2]; 4] {
    let si = |l: &Located<Reading<Length>>| l.value.value.si();
    let turn = part.turn.as_ref().map_or(Angle::from_si(0.0), |t| t.value.value);
    let (cos, sin) = (math::cos(turn), math::sin(turn));
    let (left, up, across, high) = (si(&part.left), si(&part.up), si(&part.across), si(&part.high));
    [[0.0, 0.0], [across, 0.0], [across, high], [0.0, high]]
        .map(|[x, y]| [left + x * cos - y * sin, up + x * sin + y * cos])
}

/// A flag against what only an axle has that says otherwise.
fn flags(job: &JobFile, axle: &Axle, report: &mut Report) {
    let mut put = |flag: &str, says: &str| {
        let problem =
            Diagnostic::error("J184", format!("axle {} has {flag} = false, and {says}", axle.id.value))
                .expected("a flag and tables that speak of the same axle")
                .example(format!("{flag} = true"));
        report.push(
            problem
                .at(Some(axle.id.span.clone()))
                .key(format!("{}.{flag}", axle.id.key.trim_end_matches(".id"))),
        );
    };
    if !axle.steered
        && let Some(says) = steers(job, axle)
    {
        put("steered", &says);
    }
    if !axle.driven
        && let Some(says) = drives(job, axle)
    {
        put("driven", &says);
    }
    if axle.trailer && (axle.steered || axle.driven || axle.end.is_some()) {
        let flag = if axle.driven {
            "driven = true"
        } else if axle.steered {
            "steered = true"
        } else {
            "an end of the unit"
        };
        report.push(at(
            Diagnostic::error("J184", format!("axle {} has trailer = true, and {flag}", axle.id.value))
                .expected("the axle of a trailer, that nothing drives or steers, or an axle of a vehicle")
                .example("trailer = false"),
            &axle.id,
        ));
    }
}

/// What of a job only a steered axle has.
fn steers(job: &JobFile, axle: &Axle) -> Option<String> {
    let worked = |procedure: &str| {
        let on = |w: &&crate::job::model::Work| w.on.iter().any(|on| on.value == axle.id.value);
        job.work.iter().filter(on).any(|w| *w.procedure.0 == *procedure)
    };
    if worked("knuckle-reindex") {
        return Some("its knuckles are turned".to_owned());
    }
    let knuckle = |k: &Option<Knuckle>| {
        k.as_ref().is_some_and(|k| {
            [&k.caster, &k.inclination, &k.camber, &k.toe, &k.caster_with_pinion_set]
                .into_iter()
                .any(Option::is_some)
        })
    };
    if axle.knuckle.as_ref().is_some_and(|k| knuckle(&k.left) || knuckle(&k.right)) {
        return Some("its knuckles have been measured".to_owned());
    }
    let link = |d: &DragLink| [&d.along, &d.rise, &d.arm].into_iter().any(Option::is_some);
    if axle.drag_link.as_ref().is_some_and(link) {
        return Some("it has a drag link".to_owned());
    }
    let wanted = |t: &crate::job::model::Target| {
        [&t.caster, &t.toe, &t.link_slope, &t.bump_steer].into_iter().any(Option::is_some)
    };
    if axle.target.as_ref().is_some_and(wanted) {
        return Some("caster, toe or a steering link is wanted of it".to_owned());
    }
    let seam = |c: &Cut| c.construction.is_some() || c.groove_offset.is_some();
    if axle.cut.as_ref().is_some_and(seam) {
        return Some("it is cut at a knuckle".to_owned());
    }
    let joint = |j: &&Joint| *j.usage.0 == *"knuckle" && j.on.value == axle.id.value;
    if let Some(joint) = job.joint.iter().find(joint) {
        return Some(format!("joint {} is at its knuckle", joint.id.value));
    }
    let steering = |f: &&Fastener| f.usage.0.starts_with("steering-") && f.on.value == axle.id.value;
    job.fastener.iter().find(steering).map(|f| format!("{} tightens its steering", f.id.value))
}

/// What of a job only a driven axle has.
fn drives(job: &JobFile, axle: &Axle) -> Option<String> {
    let filled = |p: &Pinion| {
        p.angle.is_some()
            || p.output_slope.is_some()
            || p.wanted.is_some()
            || [&p.offset, &p.reach, &p.case_forward, &p.case_up].into_iter().any(Option::is_some)
    };
    if axle.pinion.as_ref().is_some_and(filled) {
        return Some("it has a pinion".to_owned());
    }
    let of = |a: &Located<crate::file::Id>| a.value == axle.id.value;
    let shaft = job.driveshaft.iter().find(|d| d.axle.as_ref().is_some_and(of));
    shaft.map(|d| format!("driveshaft {} turns it", d.id.value))
}

fn on_axle(units: Units, axle: &Axle, joint: &Joint, report: &mut Report) {
    let tube = axle.tube.as_ref();
    match &*joint.usage.0 {
        "knuckle" => {
            closed(units, joint, tube.and_then(|t| t.od.as_ref()), report);
            around(units, joint, tube.and_then(|t| t.od.as_ref()), report);
            bevel(units, axle, joint, report);
            read_wall(axle, joint, report);
        }
        "pad" => {
            around(units, joint, tube.and_then(|t| t.od.as_ref()), report);
            let pad = axle.pad.as_ref();
            let thickness = pad.and_then(|p| p.thickness.as_ref());
            let wall = tube.and_then(|t| t.wall.as_ref());
            if let (Some(thickness), Some(wall)) = (thickness, wall) {
                both(units, joint, thickness, wall, report);
            } else {
                part(units, joint, thickness, "the pad", SIZE_APART, report);
                part(units, joint, wall, "the wall of the tube", WALL_APART, report);
            }
            if let (Some(length), Some(most)) = (&joint.length, pad.and_then(|p| p.length.as_ref()))
                // All round a pad a seam is longer than the pad.
                && !joint.all_round
                && length.value.value.si() > most.value.value.si() * (1.0 + SIZE_APART)
            {
                tell(units, joint, length, &format!("is longer than the pad, {}", words(most)), most, report);
            }
            seams(joint, report);
            few(joint, 2, report);
        }
        "hanger" => few(joint, 1, report),
        _ => {}
    }
}

/// Every pad is welded along both edges, every hanger to its own rail, and a vehicle has a
/// left and a right of both (common practice).
fn few(joint: &Joint, of_one: u32, report: &mut Report) {
    // A hanger at one end stands on the side its title names.
    let words: Vec<String> = joint.title.split(|c: char| !c.is_alphabetic()).map(str::to_lowercase).collect();
    let named = ["left", "right"].iter().filter(|side| words.iter().any(|word| word == *side)).count() == 1;
    let one_side = match joint.place {
        Some(WeldPlace::Left | WeldPlace::Right) => true,
        Some(WeldPlace::Both) => false,
        _ => named,
    };
    // A weld all round a part is the only one it has.
    let of_one = if joint.all_round { 1 } else { of_one };
    let least = if one_side { of_one } else { 2 * of_one };
    // None at all is told by itself.
    if joint.count == 0 || joint.count >= least {
        return;
    }
    let sides = if one_side { "one side" } else { "both sides" };
    report.push(
        Diagnostic::stop(
            "J256",
            format!(
                "joint {}: {} for {sides} of the unit leaves a part unwelded",
                joint.id.value,
                counted(
                    joint.count,
                    &format!("{} weld", joint.usage.value),
                    &format!("{} welds", joint.usage.value)
                ),
            ),
        )
        .at(Some(joint.id.span.clone()))
        .key(format!("{}.count", joint.id.key.trim_end_matches(".id")))
        .expected(format!("{least} or more: each weld of every part, left and right together"))
        .example(format!("count = {least}"))
        .help(SURE)
        .unless_sure(joint.sure.as_deref()),
    );
}

/// The seam of a knuckle or of a shaft runs all round its tube: as a straight one its tacks,
/// its order and what it carries would be those of another weld.
fn closed(units: Units, joint: &Joint, od: Option<&Located<Reading<Length>>>, report: &mut Report) {
    if joint.around.is_some() {
        return;
    }
    let od = od.map_or_else(|| "…".to_owned(), |od| written(units, LENGTH, od.value.value));
    report.push(
        Diagnostic::stop(
            "J249",
            format!(
                "joint {}: a {} weld runs round its tube, and no diameter is stated",
                joint.id.value, joint.usage.value
            ),
        )
        .at(Some(joint.id.span.clone()))
        .key(format!("{}.around", joint.id.key.trim_end_matches(".id")))
        .expected("the diameter of the tube the seam runs round")
        .example(format!("around = \"{od}\""))
        .help(SURE)
        .unless_sure(joint.sure.as_deref()),
    );
}

/// A weld all round a tube is as large round as the tube.
fn around(units: Units, joint: &Joint, od: Option<&Located<Reading<Length>>>, report: &mut Report) {
    let (Some(round), Some(od)) = (&joint.around, od) else { return };
    if apart(round, od) > SIZE_APART {
        tell(units, joint, round, &format!("is not the tube's diameter, {}", words(od)), od, report);
    }
}

/// One of the two parts is what its table says.
fn part(
    units: Units,
    joint: &Joint,
    of: Option<&Located<Reading<Length>>>,
    what: &str,
    room: f64,
    report: &mut Report,
) {
    let (Some(of), Some(first), Some(second)) = (of, &joint.thickness, &joint.other_thickness) else {
        return;
    };
    let nearer = if apart(first, of) <= apart(second, of) { first } else { second };
    if apart(nearer, of) > room {
        tell(
            units,
            joint,
            nearer,
            &format!("is not {what}, {}, and no more is its other part", words(of)),
            of,
            report,
        );
    }
}

/// One of the two parts is the pad and the other the tube, whichever way round fits best.
fn both(
    units: Units,
    joint: &Joint,
    pad: &Located<Reading<Length>>,
    wall: &Located<Reading<Length>>,
    report: &mut Report,
) {
    let (Some(first), Some(second)) = (&joint.thickness, &joint.other_thickness) else { return };
    let off = |a: &Located<Reading<Length>>, b: &Located<Reading<Length>>| {
        let share = a.value.value.si() / b.value.value.si();
        share.max(1.0 / share)
    };
    let fits = |a: &Located<Reading<Length>>, b: &Located<Reading<Length>>| {
        u8::from(apart(a, pad) > SIZE_APART) + u8::from(apart(b, wall) > WALL_APART)
    };
    let turned = match fits(first, second).cmp(&fits(second, first)) {
        std::cmp::Ordering::Equal => {
            off(second, pad) * off(first, wall) < off(first, pad) * off(second, wall)
        }
        order => order.is_gt(),
    };
    let (as_pad, as_wall) = if turned { (second, first) } else { (first, second) };
    for (value, of, what, room) in
        [(as_pad, pad, "the pad", SIZE_APART), (as_wall, wall, "the wall of the tube", WALL_APART)]
    {
        if apart(value, of) > room {
            tell(units, joint, value, &format!("is not {what}, {}", words(of)), of, report);
        }
    }
}

/// Seams of one pad at most: along both edges and across both ends (common practice).
const SEAMS: u32 = 4;

/// An axle has two pads.
fn seams(joint: &Joint, report: &mut Report) {
    let most = if joint.place == Some(WeldPlace::Both) || joint.place.is_none() { 2 * SEAMS } else { SEAMS };
    if joint.count <= most {
        return;
    }
    let meant = joint.count.to_string();
    let meant = meant.trim_end_matches('0').parse().unwrap_or(most).clamp(1, most);
    report.push(
        Diagnostic::stop(
            "J234",
            format!("joint {} has {} welds, and its pads have {most} edges", joint.id.value, joint.count),
        )
        .at(Some(joint.id.span.clone()))
        .key(format!("{}.count", joint.id.key.trim_end_matches(".id")))
        .expected("welds of all the pads the joint is on, each with its length")
        .example(format!("count = {meant}"))
        .help(SURE)
        .unless_sure(joint.sure.as_deref()),
    );
}

/// The wall of a knuckle's tube as it was read on the joint's own side.
fn read_wall(axle: &Axle, joint: &Joint, report: &mut Report) {
    let Some(cut) = &axle.cut else { return };
    let (own, other) = match joint.place {
        Some(WeldPlace::Left) => (&cut.walls_left, &cut.walls_right),
        Some(WeldPlace::Right) => (&cut.walls_right, &cut.walls_left),
        _ => return,
    };
    let (Some(first), Some(second)) = (&joint.thickness, &joint.other_thickness) else { return };
    let fits = |walls: &[Located<Reading<Length>>]| {
        let mut read: Vec<f64> = walls.iter().map(|w| w.value.value.si()).collect();
        read.sort_by(f64::total_cmp);
        // The middle one: a single stray reading is told by itself.
        let middle = *read.get(read.len() / 2)?;
        let off = |t: &Located<Reading<Length>>| (t.value.value.si() / middle - 1.0).abs();
        Some((off(first).min(off(second)) <= WALL_APART, Length::from_si(middle)))
    };
    let Some((false, middle)) = fits(own) else { return };
    let side = joint.place.as_ref().map_or("", |p| p.word());
    let middle = own.first().map_or(LENGTH, |w| w.value.first(LENGTH)).both(middle.into());
    let mut problem = Diagnostic::stop(
        "J187",
        format!(
            "joint {}: thickness {} is not the wall as read on the {side}, {middle}",
            joint.id.value,
            words(first)
        ),
    )
    .expected("the joint of the side whose walls were read")
    .help(SURE);
    problem = if fits(other).is_some_and(|(fits, _)| fits) {
        let turned = if joint.place == Some(WeldPlace::Left) { "right" } else { "left" };
        problem.example(format!("place = \"{turned}\"")).help("the walls of the other side fit it")
    } else {
        problem.example("thickness = \"…\", measured again")
    };
    report.push(at(problem.unless_sure(joint.sure.as_deref()), first));
}

/// A groove is opened to the half angle of its cut on each edge that is bevelled: a
/// bevel to it, a V to twice it.
fn bevel(units: Units, axle: &Axle, joint: &Joint, report: &mut Report) {
    let half = axle.cut.as_ref().and_then(|c| c.bevel.as_ref());
    let (Some(angle), Some(half)) = (&joint.groove_angle, half) else { return };
    let [angle_deg, half_deg] = [angle, half].map(|a| a.value.value.to(unit::DEG));
    let vee = joint.kind.value == WeldType::VGroove;
    let reads = |a: f64| (a - angle_deg).abs() <= ANGLE_APART;
    if !(reads(half_deg) || vee && reads(2.0 * half_deg)) {
        let says = if vee {
            format!("is neither the bevel of the cut, {}, nor twice it", words(half))
        } else {
            format!("is not the bevel of the cut, {}", words(half))
        };
        tell(units, joint, angle, &says, half, report);
    }
}

fn apart(a: &Located<Reading<Length>>, b: &Located<Reading<Length>>) -> f64 {
    (a.value.value.si() / b.value.value.si() - 1.0).abs()
}

fn tell<T: Dimensioned>(
    units: Units,
    joint: &Joint,
    value: &Located<Reading<T>>,
    says: &str,
    other: &Located<Reading<T>>,
    report: &mut Report,
) {
    report.push(at(
        Diagnostic::stop(
            "J187",
            format!("joint {}: {} {} {says}", joint.id.value, name(value), words(value)),
        )
        .expected("one size of one thing in both tables")
        .example(format!(
            "{} = \"{}\"",
            name(value),
            written(units, crate::quantity::Style::of(T::KIND), other.value.value)
        ))
        .help(SURE)
        .unless_sure(joint.sure.as_deref()),
        value,
    ));
}

//! What single values can't show and several together do: lengths out of their order,
//! more load than weight, parts outside their weldment, names that say otherwise.

use std::collections::BTreeMap;

use super::{at, name, words, written};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{Axle, Driveshaft, End, Fastener, Part, SpringSide, Weldment, Work};
use crate::quantity::{Angle, Dimensioned, Force, Kind, Length, Quantity, Style, math, parse, show, unit};
use crate::term::Units;

/// Help of all that somebody may be sure of.
const SURE: &str = "if it is right all the same, write beside it: sure = \"why it is right\"";
/// Share of its leaves a pack is thinner by, at most: leaves lie on each other.
const THINNER: f64 = 0.9;
/// Share of its leaves a pack is thicker by, at most: liners, a wedge, a leaf of another
/// thickness (common practice).
const THICKER: f64 = 1.5;
/// Share of what rests on an axle that its springs carry at the least: the rest is the axle
/// itself with its wheels (common practice: a sprung share of 75 to 90 %).
const LIGHT: f64 = 0.4;
/// Room beyond the stated size for what stands proud of a weldment.
const PROUD: f64 = 0.02;

pub(super) fn check(job: &JobFile, report: &mut Report) {
    stamps(job, report);
    light(job, report);
    for axle in &job.axle {
        called(axle, report);
        link(job, axle, report);
        leaves(job, axle, report);
        load(job, axle, report);
    }
    for axle in &job.axle {
        limited(job, axle, report);
        ground(job, axle, report);
    }
    for fastener in &job.fastener {
        tightened(fastener, report);
    }
    for shaft in &job.driveshaft {
        made(job, shaft, report);
        in_order(job, shaft, report);
        splined(shaft, report);
    }
    for weldment in &job.weldment {
        for part in &weldment.part {
            within(weldment, part, report);
        }
        pieces(weldment, report);
    }
    for joint in &job.joint {
        let twice = joint
            .parts
            .iter()
            .enumerate()
            .find(|(i, p)| joint.parts[..*i].iter().any(|o| o.value == p.value));
        if let Some((_, part)) = twice {
            report.push(at(
                Diagnostic::error("J193", format!("joint {} joins {} to itself", joint.id.value, part.value))
                    .expected("the two parts that meet in the joint")
                    .example("parts = [\"…\", \"…\"]"),
                part,
            ));
        }
    }
}

/// The drag link of a leaf-sprung axle goes down from the pitman arm, on the frame, to the
/// arm on the axle (common practice): a rise below nothing would make a lift bring it level,
/// and its hold goes.
fn link(job: &JobFile, axle: &Axle, report: &mut Report) {
    let lifted =
        axle.spring.as_ref().is_some_and(|s| s.from == SpringSide::Under && s.to == SpringSide::Over);
    let rise = axle.drag_link.as_ref().and_then(|link| Some((link, link.rise.as_ref()?)));
    let Some((link, rise)) = rise.filter(|(_, rise)| lifted && rise.value.value.si() < 0.0) else { return };
    let up = Length::from_si(rise.value.value.si().abs());
    report.push(at(
        Diagnostic::stop(
            "J270",
            format!(
                "{} of {} is {}: the drag link would go up to the axle, and a lift would bring it level",
                name(rise),
                axle.id.value,
                words(rise)
            ),
        )
        .expected("height of the pitman arm's end over the end on the axle, as found; below it is negative")
        .example(format!("rise = \"{}\"", written(job.job.units, Style::of(Length::KIND), up)))
        .help(SURE)
        .unless_sure(link.sure.as_deref()),
        rise,
    ));
}

/// No straight piece is longer than the weldment from corner to corner.
fn pieces(weldment: &Weldment, report: &mut Report) {
    let (Some(length), Some(width), Some(height)) = (&weldment.length, &weldment.width, &weldment.height)
    else {
        return;
    };
    let [x, y, z] = [length, width, height].map(|l| l.value.value.si());
    let across = Length::from_si((x * x + y * y + z * z).sqrt());
    for (piece, at) in weldment.piece.iter().zip(0..) {
        // Its length stands last: `2 off 3 x 3 x 1/4 tube, 48 in`.
        let said = piece.0.rsplit(',').next().unwrap_or_default().trim();
        let Some(long) = parse::maybe(Kind::Length, said).and_then(Quantity::typed::<Length>) else {
            continue;
        };
        if long.si() <= across.si() * (1.0 + PROUD) {
            continue;
        }
        let style = show::LENGTH;
        report.push(
            Diagnostic::stop(
                "J247",
                format!(
                    "weldment {}: a piece of {} is longer than it is from corner to corner, {}",
                    weldment.id.value,
                    style.both(long.into()),
                    style.both(across.into())
                ),
            )
            .at(Some(weldment.id.span.clone()))
            .key(format!("{}.piece[{at}]", weldment.id.key.trim_end_matches(".id")))
            .expected("pieces as they are cut, and the sizes of what they make")
            .example("piece = [\"…\"]")
            .help(SURE)
            .unless_sure(weldment.sure.as_deref()),
        );
    }
}

/// A stamp stands for one person.
fn stamps(job: &JobFile, report: &mut Report) {
    let mut seen: BTreeMap<&str, &str> = BTreeMap::new();
    for person in &job.person {
        let Some(stamp) = person.stamp.as_ref().filter(|s| !s.is_blank()) else { continue };
        if let Some(other) = seen.insert(stamp.0.as_str(), &person.id.0) {
            let key = format!("{}.stamp", person.id.key.trim_end_matches(".id"));
            report.push(
                at(
                    Diagnostic::error(
                        "J190",
                        format!("{} and {other} have one stamp, {}", person.id.value, stamp.0),
                    )
                    .expected("a stamp nobody else has")
                    .example("stamp = \"…\""),
                    &person.id,
                )
                .key(key),
            );
        }
    }
}

/// An axle is called front or rear as its `end` says.
fn called(axle: &Axle, report: &mut Report) {
    let Some(end) = axle.end.as_ref() else { return };
    let other = match end.value {
        End::Front => "rear",
        End::Rear => "front",
    };
    let says = |text: &str| {
        let text = text.to_lowercase();
        text.split(|c: char| !c.is_alphanumeric()).any(|word| word == other)
    };
    let named = axle.name.as_ref().is_some_and(|n| says(n));
    // A name is changed sooner than it is explained.
    if says(&axle.id.0) || named {
        report.push(at(
            Diagnostic::stop(
                "J195",
                format!("the axle at the {} is called {other} by its name or id", end.value.word()),
            )
            .expected("end, id and name of one end of the unit")
            .example(format!("end = \"{other}\", or another name")),
            end,
        ));
    }
}

/// A pack is as thick as its leaves.
fn leaves(job: &JobFile, axle: &Axle, report: &mut Report) {
    let Some(spring) = &axle.spring else { return };
    let (Some(pack), Some(count), Some(leaf)) = (&spring.pack, &spring.leaves, &spring.leaf) else { return };
    let count = count.value;
    let all = leaf.value.value * f64::from(count);
    if pack.value.value.si() > all.si() * THICKER {
        report.push(at(
            Diagnostic::stop(
                "J187",
                format!(
                    "a pack of {} is far thicker than its {count} leaves, {}",
                    words(pack),
                    leaf.value.first(show::LENGTH).both(all.into())
                ),
            )
            .expected("the pack as it is clamped, with the leaves that are in it")
            .example("pack = \"…\", measured again")
            .help(SURE)
            .unless_sure(spring.sure.as_deref()),
            pack,
        ));
    }
    if pack.value.value.si() < all.si() * THINNER {
        report.push(at(
            Diagnostic::stop(
                "J187",
                format!(
                    "a pack of {} is thinner than its {count} leaves, {}",
                    words(pack),
                    leaf.value.first(show::LENGTH).both(all.into())
                ),
            )
            .expected("the pack as it is clamped, with the leaves that are in it")
            .example(format!("pack = \"{}\"", written(job.job.units, show::LENGTH, all)))
            .help(SURE)
            .unless_sure(spring.sure.as_deref()),
            pack,
        ));
    }
}

/// A vehicle that drives itself weighs something for each inch between its axles
/// (common practice: a small one on four wheels some 20 lb), and no more than its axles
/// carry (common practice: a loaded truck on three axles some 300 lb).
const LIGHTEST: f64 = 18.0;
const HEAVIEST: f64 = 400.0;
/// Least wheelbase of a vehicle as a multiple of its track (common practice: 1.3 for the
/// shortest).
const SQUARE: f64 = 1.15;

fn light(job: &JobFile, report: &mut Report) {
    let (Some(mass), Some(base)) = (&job.unit.mass, &job.unit.wheelbase) else { return };
    let pounds = mass.value.value.to(unit::LB);
    let inches = base.value.value.to(unit::IN);
    if pounds <= 0.0 || inches <= 0.0 || !job.axle.iter().any(|a| a.driven) {
        return;
    }
    if let Some(track) = &job.unit.track
        && track.value.value.to(unit::IN) * SQUARE > inches
    {
        report.push(at(
            Diagnostic::stop(
                "J107",
                format!("a wheelbase of {} is short for a track of {}", words(base), words(track)),
            )
            .expected("both from wheel centre to wheel centre, the wheelbase along the unit")
            .example("wheelbase = \"…\", measured again")
            .help("if it is right all the same, write in the [[axle]]: sure = \"why it is right\"")
            .unless_sure(job.axle.iter().find_map(|a| a.sure.as_deref())),
            base,
        ));
    }
    let word = match pounds / inches {
        share if share < LIGHTEST => "light",
        share if share > HEAVIEST => "heavy",
        _ => return,
    };
    report.push(at(
        Diagnostic::stop(
            "J107",
            format!("a mass of {} is {word} for a wheelbase of {}", words(mass), words(base)),
        )
        .expected("the mass as weighed, with what is carried")
        .example("mass = \"…\", weighed again")
        .help("if it is right all the same, write in the [[axle]]: sure = \"why it is right\"")
        .unless_sure(job.axle.iter().find_map(|a| a.sure.as_deref())),
        mass,
    ));
}

/// Two springs carry no more than the unit weighs.
fn load(job: &JobFile, axle: &Axle, report: &mut Report) {
    let (Some(spring), Some(mass)) = (&axle.spring, &job.unit.mass) else { return };
    let Some(load) = &spring.load else { return };
    let weight = mass.value.value.to(unit::KG) * unit::GRAVITY.to_si(1.0);
    let on_two = 2.0 * load.value.value.si();
    let facts = &job.unit;
    let share = facts.cg_to_rear.as_ref().zip(facts.wheelbase.as_ref()).map(|(to_rear, base)| {
        let front = to_rear.value.value.si() / base.value.value.si();
        if axle.is_front() { front } else { 1.0 - front }
    });
    // Half of it, where nobody said how it is shared.
    let share = share.or((job.axle.len() == 1 && !axle.is_trailer()).then_some(0.5));
    let light = share.filter(|share| on_two < weight * share * LIGHT);
    let message = if on_two > weight {
        let mass = words(mass);
        format!("two springs with {} each carry more than the unit weighs, {mass}", words(load))
    } else if let Some(share) = light {
        let carries = job.job.units.first(Style::of(Kind::Force)).both(Force::from_si(weight * share).into());
        format!(
            "two springs with {} each do not carry what rests on {}, {carries}",
            words(load),
            axle.id.value
        )
    } else {
        return;
    };
    report.push(at(
        Diagnostic::stop("J192", message)
            .expected("the load on one spring at ride")
            .example("load = \"…\", measured again")
            .help(SURE)
            .unless_sure(spring.sure.as_deref()),
        load,
    ));
}

/// Old welds are ground off a tube, and what is left of its wall is judged by what it was.
fn ground(job: &JobFile, axle: &Axle, report: &mut Report) {
    let on = |w: &&Work| w.on.iter().any(|on| on.value == axle.id.value);
    let work = job.work.iter().filter(on).find(|w| super::axle::NEW_PADS.contains(&&*w.procedure.0));
    let stated = axle.tube.as_ref().is_some_and(|t| t.wall.is_some());
    let Some(work) = work.filter(|_| !stated) else { return };
    let place = axle.tube.as_ref().map_or(&axle.id.span, |t| &t.span);
    report.push(
        Diagnostic::stop(
            "J300",
            format!(
                "{} takes old welds off the tube of {}, and nobody stated its wall",
                work.procedure.value, axle.id.value
            ),
        )
        .at(Some(place.clone()))
        .key(format!("{}.tube.wall", axle.id.key.trim_end_matches(".id")))
        .expected("the nominal wall: the thinnest place under the old welds has no limit without it")
        .example("wall = \"…\", from the maker's data or read with an ultrasonic gauge"),
    );
}

/// What turns a knuckle sets a caster, and a caster without a limit is never right.
fn limited(job: &JobFile, axle: &Axle, report: &mut Report) {
    let turned = job
        .work
        .iter()
        .any(|w| *w.procedure.0 == *"knuckle-reindex" && w.on.iter().any(|on| on.value == axle.id.value));
    if !turned {
        return;
    }
    let target = axle.target.as_ref();
    let open = [
        (
            "caster",
            target.is_none_or(|t| t.caster.is_none()),
            "caster = \"…\", by the maker's alignment data",
        ),
        (
            "caster_tolerance",
            target.is_none_or(|t| t.caster_tolerance.is_none()),
            "caster_tolerance = \"0.5 deg\"",
        ),
    ];
    let tube = axle.tube.as_ref();
    if tube.is_none_or(|t| t.wall.is_none()) {
        let place = tube.map_or(&axle.id.span, |t| &t.span);
        report.push(
            Diagnostic::stop(
                "J231",
                format!("the tube of {} is cut and nobody stated its wall", axle.id.value),
            )
            .at(Some(place.clone()))
            .key(format!("{}.tube.wall", axle.id.key.trim_end_matches(".id")))
            .expected("the nominal wall: readings are judged by it, and no depth of cut follows without it")
            .example("wall = \"…\", from the maker's data or read with an ultrasonic gauge"),
        );
    }
    for (key, _, example) in open.into_iter().filter(|(_, open, _)| *open) {
        let path = format!("{}.target.{key}", axle.id.key.trim_end_matches(".id"));
        report.push(
            at(
                Diagnostic::stop(
                    "J197",
                    format!(
                        "the knuckles of {} are turned without a {}",
                        axle.id.value,
                        key.replace('_', " ")
                    ),
                )
                .expected("the caster wanted, and by how much it may be off (common practice: half a degree)")
                .example(example),
                &axle.id,
            )
            .key(path),
        );
    }
}

/// A shaft is made to a length, and to a speed it does not whip at.
fn made(job: &JobFile, shaft: &Driveshaft, report: &mut Report) {
    if !job.remakes(shaft) {
        return;
    }
    let all = [
        ("od", shaft.od.is_none()),
        ("wall", shaft.wall.is_none()),
        ("length", shaft.length.is_none()),
        ("compressed", shaft.compressed.is_none()),
        ("extended", shaft.extended.is_none()),
        ("speed", shaft.speed.is_none()),
    ];
    let open: Vec<&str> = all.into_iter().filter(|(_, open)| *open).map(|(key, _)| key).collect();
    let Some(first) = open.first() else { return };
    report.push(
        at(
            Diagnostic::stop(
                "J198",
                format!("driveshaft {} is made without its {}", shaft.id.value, open.join(", ")),
            )
            .expected("size, lengths and highest speed: below its critical speed, with slip left both ways")
            .example(format!("{first} = \"…\"")),
            &shaft.id,
        )
        .key(format!("{}.{first}", shaft.id.key.trim_end_matches(".id"))),
    );
}

/// A group is tightened to a torque that is stated, or that thread and grade give.
fn tightened(fastener: &Fastener, report: &mut Report) {
    let strength = fastener.grade.is_some() || fastener.proof.is_some();
    let id = &fastener.id.value;
    let (said, expected, example) = if fastener.torque.is_none() && fastener.torque_from.is_some() {
        let said = format!("fastener {id} has no torque: it says whose its torque is, and not how much");
        (said, "the torque which that source states", "torque = \"… lbf-ft\"")
    } else if fastener.torque.is_some() || fastener.thread.is_some() && strength {
        return;
    } else {
        let said = format!("fastener {id} has no torque: none is stated, and none can be computed");
        let example = if fastener.thread.is_none() { "thread = \"…\"" } else { "grade = \"…\"" };
        (said, "thread and grade, or torque with torque_from", example)
    };
    let stop = Diagnostic::stop("J196", said).expected(expected).example(example);
    report.push(at(stop, &fastener.id));
}

/// Compressed, at ride, extended: each longer than the one before.
fn in_order(job: &JobFile, shaft: &Driveshaft, report: &mut Report) {
    let ride = shaft.length_after.as_ref().or(shaft.length.as_ref());
    let all = [shaft.compressed.as_ref(), ride, shaft.extended.as_ref()];
    let all: Vec<&Located<Reading<Length>>> = all.into_iter().flatten().collect();
    // The two ends in each other's place are one slip.
    if let (Some(short), Some(long)) = (&shaft.compressed, &shaft.extended)
        && short.value.value.si() > long.value.value.si()
    {
        let between = ride.is_none_or(|ride| {
            (long.value.value.si()..=short.value.value.si()).contains(&ride.value.value.si())
        });
        if between {
            unordered(job.job.units, shaft, short, long, report);
            return;
        }
    }
    for pair in all.windows(2) {
        let [shorter, longer] = pair else { continue };
        if shorter.value.value.si() > longer.value.value.si() {
            unordered(job.job.units, shaft, shorter, longer, report);
        }
    }
}

/// A spline goes into the end of its tube, and no more of it is engaged than the shaft is
/// long.
fn splined(shaft: &Driveshaft, report: &mut Report) {
    if let (Some(spline), Some(od)) = (&shaft.spline, &shaft.od)
        && spline.value.value.si() >= od.value.value.si()
    {
        report.push(at(
            Diagnostic::stop(
                "J257",
                format!(
                    "shaft {}: a spline of {} is larger than the tube of {}",
                    shaft.id.value,
                    words(spline),
                    words(od)
                ),
            )
            .expected("the diameter of the spline, smaller than the tube it is welded to")
            .example("spline = \"…\", measured again")
            .help(SURE)
            .unless_sure(shaft.sure.as_deref()),
            spline,
        ));
    }
    let shortest = shaft.compressed.as_ref().or(shaft.length.as_ref());
    for part in [&shaft.engagement, &shaft.spline].into_iter().flatten() {
        let Some(shortest) = shortest.filter(|l| part.value.value.si() >= l.value.value.si()) else {
            continue;
        };
        report.push(at(
            Diagnostic::error(
                "J257",
                format!(
                    "shaft {}: {} {} is longer than the shaft, {}",
                    shaft.id.value,
                    name(part),
                    words(part),
                    words(shortest)
                ),
            )
            .expected("a spline that is a part of its shaft")
            .example(format!("{} = \"…\", measured again", name(part))),
            part,
        ));
    }
}

/// Tells two lengths of a shaft that stand in each other's order.
fn unordered(
    units: Units,
    shaft: &Driveshaft,
    shorter: &Located<Reading<Length>>,
    longer: &Located<Reading<Length>>,
    report: &mut Report,
) {
    report.push(at(
        Diagnostic::error(
            "J191",
            format!(
                "shaft {}: {} {} is longer than {} {}",
                shaft.id.value,
                name(shorter),
                words(shorter),
                name(longer),
                words(longer)
            ),
        )
        .expected("compressed, length and extended, each longer than the one before")
        .example(super::crossed(units, shorter, longer)),
        longer,
    ));
}

/// Corners of a part, from its own lower left one, seen from the front.
fn corners(part: &Part) -> [(f64, f64); 4] {
    let (wide, high) = (part.across.value.value.si(), part.high.value.value.si());
    let turn = part.turn.as_ref().map_or(Angle::from_si(0.0), |t| t.value.value);
    let (sin, cos) = (math::sin(turn), math::cos(turn));
    let (left, up) = (part.left.value.value.si(), part.up.value.value.si());
    [(0.0, 0.0), (wide, 0.0), (wide, high), (0.0, high)]
        .map(|(x, y)| (left + x * cos - y * sin, up + x * sin + y * cos))
}

/// A part lies within the size its weldment is stated with.
fn within(weldment: &Weldment, part: &Part, report: &mut Report) {
    let all = corners(part);
    for (size, value, place) in
        [(&weldment.length, all.map(|c| c.0), &part.left), (&weldment.height, all.map(|c| c.1), &part.up)]
    {
        let Some(size) = size else { continue };
        let most = size.value.value.si() * (1.0 + PROUD);
        let reach = value.into_iter().fold(f64::MIN, f64::max);
        if reach > most {
            report.push(at(
                Diagnostic::stop(
                    "J194",
                    format!(
                        "part {} reaches to {}, and {} is {}",
                        part.id.value,
                        size.value.first(Style::of(Length::KIND)).both(Length::from_si(reach).into()),
                        name(size),
                        words(size)
                    ),
                )
                .expected("parts within the size of their weldment")
                .example(format!("{} = \"…\", or {} as it is", name(place), name(size)))
                .help("if it is right all the same, write in the [[weldment]]: sure = \"why it is right\"")
                .unless_sure(weldment.sure.as_deref()),
                place,
            ));
        }
    }
}

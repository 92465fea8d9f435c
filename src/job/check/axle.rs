//! Cross-checks of an axle.

use super::{at, name, words, written};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{
    Axle, Construction, Cut, End, Joint, JointForm, Knuckle, Spring, SpringSide, Tube, Work,
};
use crate::quantity::show::LENGTH;
use crate::quantity::{Angle, Dimensioned, Length, math, unit};

/// Left and right caster usually differ by no more than this, in degrees;
/// common practice, light-truck solid-axle specifications.
const SPREAD_USUAL: f64 = 0.5;
/// Largest spread a bent axle explains (common practice), in degrees.
const SPREAD_MOST: f64 = 3.0;

/// Picks one angle of a knuckle.
type Pick = fn(&Knuckle) -> &Option<Located<Reading<Angle>>>;

pub(super) fn check(job: &JobFile, axle: &Axle, report: &mut Report) {
    check_end(job, axle, report);
    if let Some(tube) = &axle.tube {
        check_tube(tube, report);
    }
    if let (Some(spread), Some(od)) = (
        axle.pad.as_ref().and_then(|p| p.weld_spread.as_ref()),
        axle.tube.as_ref().and_then(|t| t.od.as_ref()),
    ) && spread.value.value.si() > od.value.value.si()
    {
        report.push(at(
            Diagnostic::stop(
                "J146",
                format!("weld lines {} apart do not lie on a tube of {}", words(spread), words(od)),
            )
            .expected("a distance straight across, no larger than the tube")
            .example("weld_spread = \"…\", measured again"),
            spread,
        ));
    }
    stands(job, axle, report);
    seats(job, axle, report);
    tyres(axle, report);
    if let Some(spring) = &axle.spring {
        check_spring(job, axle, spring, report);
        moved(job, axle, spring, report);
        if spring.from == SpringSide::Over && spring.to == SpringSide::Under && axle.driven {
            report.push(
                Diagnostic::warning("J121", "springs moved under a driven axle lower the frame")
                    .at(Some(spring.span.clone()))
                    .key("axle.spring.to")
                    .expected("clearance to be checked at full bump")
                    .example("to = \"over\""),
            );
        }
    }
    if let Some(cut) = &axle.cut {
        check_cut(axle, cut, report);
        through_weld(job, axle, cut, report);
        over_by_fillet(job, axle, cut, report);
    }
    check_pinion(job, axle, report);
    check_caster(axle, report);
}

/// Procedures that move springs from one side of their axle to the other.
const MOVE: &[&str] = &["spring-over", "trailer-springs"];

/// Springs that are to change sides are moved by some work of the job: else every height
/// and angle is reckoned for a lift nobody makes.
fn moved(job: &JobFile, axle: &Axle, spring: &Spring, report: &mut Report) {
    let on = |w: &&Work| w.on.iter().any(|on| on.value == axle.id.value);
    let works: Vec<&str> = job.work.iter().filter(on).map(|w| &*w.procedure.value.0).collect();
    if spring.from == spring.to || works.is_empty() || works.iter().any(|p| MOVE.contains(p)) {
        return;
    }
    report.push(
        Diagnostic::stop(
            "J248",
            format!(
                "the springs of {} are to go from {} to {} their axle, and no work of the job moves them",
                axle.id.value,
                spring.from.word(),
                spring.to.word()
            ),
        )
        .at(Some(spring.span.clone()))
        .key("axle.spring.to")
        .expected("a [[work]] that moves them, or both words as they are and stay")
        .example(format!("to = \"{}\"", spring.from.word()))
        .help("if it is right all the same, write beside it: sure = \"why it is right\"")
        .unless_sure(spring.sure.as_deref()),
    );
}

/// Front or rear decides the sign of every angle, so it is never guessed.
fn check_end(job: &JobFile, axle: &Axle, report: &mut Report) {
    if axle.is_trailer() {
        return;
    }
    let Some(end) = &axle.end else {
        let meant = if axle.steered { "front" } else { "rear" };
        report.push(at(
            Diagnostic::error("J160", format!("axle {} does not say at which end it is", axle.id.value))
                .expected("front or rear; the axle of a trailer says trailer = true instead")
                .example(format!("end = \"{meant}\"")),
            &axle.id,
        ));
        return;
    };
    let same = job.axle.iter().filter(|other| !other.is_trailer() && other.end() == Some(end.value));
    if same.count() > 1 {
        let problem = Diagnostic::stop("J161", format!("two axles are at the {} end", end.value))
            .expected("one axle at each end; what is done on a tandem is a job of its own")
            .help("the other axle of a tandem, and its shaft, go into a job file of their own: each has its wheelbase, its pinion and its share of the load");
        // An axle that does not steer is hardly the front one.
        let problem = match end.value {
            End::Front => problem.example("end = \"rear\""),
            End::Rear if axle.steered => problem.example("end = \"front\""),
            End::Rear => problem,
        };
        report.push(at(problem, end));
    }
}

/// Share by which a change of tyres changes their radius, at most (common practice: the
/// tallest that go under a lifted truck are half as tall again).
const TALLER: f64 = 1.5;

/// Tyres afterwards are of a size with those before.
fn tyres(axle: &Axle, report: &mut Report) {
    let Some(tyre) = &axle.tyre else { return };
    let (Some(before), Some(after)) = (&tyre.radius, &tyre.radius_after) else { return };
    let share = after.value.value.si() / before.value.value.si();
    if (1.0 / TALLER..=TALLER).contains(&share) {
        return;
    }
    report.push(at(
        Diagnostic::stop(
            "J241",
            format!("tyres of radius {} come in the place of {}", words(after), words(before)),
        )
        .expected("loaded radius before and after, from the ground to the wheel centre, never the diameter")
        .example("radius_after = \"…\", measured again")
        .help("if it is right all the same, write beside it: sure = \"why it is right\"")
        .unless_sure(tyre.sure.as_deref()),
        after,
    ));
}

/// Procedures that weld new pads to the tube.
pub(super) const NEW_PADS: &[&str] = &["spring-over", "housing-rotation", "trailer-springs"];
/// Plate is rolled, and a saddle hollowed, by less than this share of a pad.
const PAD_APART: f64 = 0.15;

/// A pad lies on its tube, so its face is no nearer to it than the pad is thick.
fn stands(job: &JobFile, axle: &Axle, report: &mut Report) {
    let (Some(seat), Some(thick)) = (
        axle.spring.as_ref().and_then(|s| s.seat_new.as_ref()),
        axle.pad.as_ref().and_then(|p| p.thickness.as_ref()),
    ) else {
        return;
    };
    let welded = job
        .work
        .iter()
        .any(|w| NEW_PADS.contains(&&*w.procedure.0) && w.on.iter().any(|on| on.value == axle.id.value));
    if !welded || seat.value.value.si() >= thick.value.value.si() * (1.0 - PAD_APART) {
        return;
    }
    let shop = written(job.job.units, LENGTH, thick.value.value);
    report.push(at(
        Diagnostic::stop(
            "J235",
            format!(
                "the new pad's face is {} from the tube, and the pad is {} thick",
                words(seat),
                words(thick)
            ),
        )
        .expected("seat_new from the tube to the face the spring sits on: the pad's thickness, and what it stands off")
        .example(format!("seat_new = \"{shop}\""))
        .help("if it is right all the same, write beside it: sure = \"why it is right\"")
        .unless_sure(axle.spring.as_ref().and_then(|s| s.sure.as_deref())),
        seat,
    ));
}

/// Most an axle falls from ride on a leaf spring, as a share of the chord (common practice).
const MOST_DROOP: f64 = 0.2;
/// How far a new pad's face stands off its tube beyond the pad's own thickness, at most, in
/// inches (common practice: a saddle or a raised pad some two).
const STANDS_OFF: f64 = 2.5;
/// Seats that differ by less are read differently, in metres.
const SAME_SEAT: f64 = 0.002;

/// Seats that change are changed by some work, and stand no further off than a pad does.
fn seats(job: &JobFile, axle: &Axle, report: &mut Report) {
    let Some(spring) = &axle.spring else { return };
    let Some(new) = &spring.seat_new else { return };
    let sure = spring.sure.as_deref();
    let works = job.work.iter().filter(|w| w.on.iter().any(|on| on.value == axle.id.value));
    let works: Vec<&str> = works.map(|w| &*w.procedure.0).collect();
    if let Some(old) = &spring.seat_old
        && !works.is_empty()
        && !works.iter().any(|p| NEW_PADS.contains(p))
        && (new.value.value.si() - old.value.value.si()).abs() > SAME_SEAT
    {
        report.push(at(
            Diagnostic::stop(
                "J261",
                format!(
                    "the seats of {} are to change from {} to {}, and no work of the job changes them",
                    axle.id.value,
                    words(old),
                    words(new)
                ),
            )
            .expected("a [[work]] that sets new pads, or both seats as they are and stay")
            .example("seat_new = \"…\", measured again")
            .help("if it is right all the same, write beside it: sure = \"why it is right\"")
            .unless_sure(sure),
            new,
        ));
    }
    if let Some(thick) = axle.pad.as_ref().and_then(|p| p.thickness.as_ref())
        && works.iter().any(|p| NEW_PADS.contains(p))
        && (new.value.value - thick.value.value).to(unit::IN) > STANDS_OFF
    {
        report.push(at(
            Diagnostic::stop(
                "J235",
                format!(
                    "the new pad's face is {} from the tube, and the pad is {} thick",
                    words(new),
                    words(thick)
                ),
            )
            .expected("seat_new from the tube to the face the spring sits on: the pad's thickness, and what it stands off")
            .example("seat_new = \"…\", measured again")
            .help("if it is right all the same, write beside it: sure = \"why it is right\"")
            .unless_sure(sure),
            new,
        ));
    }
}

/// Springs that can't be as they are said.
fn check_spring(job: &JobFile, axle: &Axle, spring: &Spring, report: &mut Report) {
    if let (Some(chord), Some(front), Some(rear)) = (&spring.chord, &spring.front_half, &spring.rear_half) {
        let leaf = front.value.value + rear.value.value;
        if chord.value.value > leaf {
            report.push(at(
                Diagnostic::error(
                    "J162",
                    format!(
                        "a chord of {} is longer than the leaf itself, {}",
                        words(chord),
                        chord.value.first(LENGTH).both(leaf.into())
                    ),
                )
                .expected("the straight line from eye to eye, shorter than both halves together")
                .example(format!("chord = \"{}\"", written(job.job.units, LENGTH, leaf * 0.99))),
                chord,
            ));
        }
    }
    if let (Some(droop), Some(chord)) = (&spring.droop, &spring.chord)
        && droop.value.value.si() > chord.value.value.si() * MOST_DROOP
    {
        report.push(at(
            Diagnostic::stop(
                "J308",
                format!("a droop of {} is much for a spring of {} from eye to eye", words(droop), words(chord)),
            )
            .expected("how far the axle falls from ride until shock, strap or spring stops it, at most a fifth of the chord (common practice)")
            .example("droop = \"…\", measured again")
            .help("if it is right all the same, write beside it: sure = \"why it is right\"")
            .unless_sure(spring.sure.as_deref()),
            droop,
        ));
    }
    // A spring whose eyes stand so near is more bow than spring (common practice: a
    // loaded leaf is nearly straight).
    if let (Some(chord), Some(front), Some(rear)) = (&spring.chord, &spring.front_half, &spring.rear_half) {
        let leaf = front.value.value + rear.value.value;
        if chord.value.value < leaf * 0.8 {
            report.push(at(
                Diagnostic::stop(
                    "J107",
                    format!(
                        "a chord of {} is short for a leaf of {}",
                        words(chord),
                        chord.value.first(LENGTH).both(leaf.into())
                    ),
                )
                .expected("eye to eye of the loaded spring in a straight line, nearly as long as both halves")
                .example("chord = \"…\", measured again")
                .help("if it is right all the same, write beside it: sure = \"why it is right\"")
                .unless_sure(spring.sure.as_deref()),
                chord,
            ));
        }
    }
    let over = job
        .work
        .iter()
        .any(|w| &*w.procedure.0 == "spring-over" && w.on.iter().any(|on| on.value == axle.id.value));
    let from = format!("{}.spring.from", axle.id.key.trim_end_matches(".id"));
    if over && (spring.from, spring.to) != (SpringSide::Under, SpringSide::Over) {
        report.push(
            Diagnostic::error(
                "J163",
                format!(
                    "the springs of {} are moved over the axle, yet they go from {} to {}",
                    axle.id.value, spring.from, spring.to
                ),
            )
            .expected("from = \"under\" and to = \"over\"")
            .example("from = \"under\" and to = \"over\"")
            .help("a unit whose springs go under the axle is lowered: no procedure here does that")
            .at(Some(spring.span.clone()))
            .key(from.clone()),
        );
    }
    let other = job
        .work
        .iter()
        .any(|w| &*w.procedure.0 == "trailer-springs" && w.on.iter().any(|on| on.value == axle.id.value));
    if other && spring.from == spring.to {
        report.push(
            Diagnostic::error(
                "J163",
                format!(
                    "the springs of {} go to the other side of the axle, yet from {} to {}",
                    axle.id.value, spring.from, spring.to
                ),
            )
            .expected("from and to on two sides of the axle")
            .example("from = \"under\" and to = \"over\"")
            .at(Some(spring.span.clone()))
            .key(from),
        );
    }
}

fn check_tube(tube: &Tube, report: &mut Report) {
    if let (Some(od), Some(wall)) = (&tube.od, &tube.wall) {
        thinner_than_radius(wall, od, report);
    }
}

fn thinner_than_radius(wall: &Located<Reading<Length>>, od: &Located<Reading<Length>>, report: &mut Report) {
    let radius = od.value.value / 2.0;
    if wall.value.value >= radius && od.value.value.si() > 0.0 {
        report.push(at(
            Diagnostic::error(
                "J122",
                format!(
                    "{} {} is not less than the radius of the tube, {}",
                    name(wall),
                    words(wall),
                    wall.value.first(LENGTH).both(radius.into())
                ),
            )
            .expected("a wall thinner than half the outside diameter")
            .example(format!("{} = \"…\", measured again", name(wall))),
            wall,
        ));
    }
}

fn check_cut(axle: &Axle, cut: &Cut, report: &mut Report) {
    for walls in [&cut.walls_left, &cut.walls_right] {
        stray(axle, cut, walls, report);
    }
    for wall in cut.walls_left.iter().chain(&cut.walls_right) {
        if let Some(od) = axle.tube.as_ref().and_then(|t| t.od.as_ref()) {
            thinner_than_radius(wall, od, report);
        }
        if let Some(reserve) = &cut.reserve
            && reserve.value.value >= wall.value.value
        {
            report.push(at(
                Diagnostic::error(
                    "J123",
                    format!(
                        "the reserve {} leaves nothing to cut of a wall of {}",
                        words(reserve),
                        words(wall)
                    ),
                )
                .expected("a reserve much thinner than the wall")
                .example("reserve = \"0.010 in\""),
                reserve,
            ));
        }
    }
}

/// A knuckle over the tube is cut through its weld: a tube that is cut has walls that were
/// read, a groove beside the seam and something that stands behind it.
fn through_weld(job: &JobFile, axle: &Axle, cut: &Cut, report: &mut Report) {
    let Some(construction) = cut.construction.as_ref().filter(|c| c.value == Construction::Over) else {
        return;
    };
    let backed = |j: &&Joint| *j.usage.0 == *"knuckle" && j.on.value == axle.id.value && j.backing.is_some();
    let groove = cut.groove_offset.as_ref().filter(|offset| offset.value.value.si() > 0.0);
    let says = if let Some(joint) = job.joint.iter().find(backed) {
        format!("joint {} has a backing", joint.id.value)
    } else if let Some(offset) = groove {
        format!("its groove is {} from the seam", words(offset))
    } else if !(cut.walls_left.is_empty() && cut.walls_right.is_empty()) {
        "the walls of the tube were read".to_owned()
    } else {
        return;
    };
    report.push(at(
        Diagnostic::stop(
            "J267",
            format!("axle {}: a knuckle over the tube is cut through its weld, and {says}", axle.id.value),
        )
        .expected(
            "how knuckle and tube are joined, as it was found; walls, groove_offset and backing only of a tube that is cut",
        )
        .example("construction = \"…\", looked at again")
        .help("if it is right all the same, write beside it: sure = \"why it is right\"")
        .unless_sure(cut.sure.as_deref()),
        construction,
    ));
}

/// A knuckle over the tube is welded back along its edge, casting to tube: a butt joins
/// the two ends of a tube that was cut.
fn over_by_fillet(job: &JobFile, axle: &Axle, cut: &Cut, report: &mut Report) {
    if cut.construction.as_ref().is_none_or(|c| c.value != Construction::Over) {
        return;
    }
    let knuckles = job.joint.iter().filter(|j| *j.usage.0 == *"knuckle" && j.on.value == axle.id.value);
    for joint in knuckles.filter(|j| j.form == JointForm::Butt) {
        report.push(at(
            Diagnostic::stop(
                "J282",
                format!(
                    "joint {} is a butt, and a knuckle over the tube of {} has a fillet along its edge",
                    joint.id.value, axle.id.value
                ),
            )
            .expected("the weld that joins the casting to the tube, or another construction of the knuckle")
            .example("weld = \"fillet\" and form = \"lap\"")
            .help("if it is right all the same, write beside it: sure = \"why it is right\"")
            .unless_sure(joint.sure.as_deref()),
            &joint.kind,
        ));
    }
}

/// Share by which a reading is another wall than the tube's: tube is drawn to 12.5 % about
/// nominal (ASTM A513, common practice), rust takes as much again. One far above it is
/// told with the depth of cut: tube and sleeve together.
const STRAY: f64 = 0.25;

/// A reading of one ring that is far below the nominal wall, or the middle of the ring.
fn stray(axle: &Axle, cut: &Cut, walls: &[Located<Reading<Length>>], report: &mut Report) {
    let nominal = axle.tube.as_ref().and_then(|t| t.wall.as_ref()).map(|w| w.value.value.si());
    let mut ring: Vec<f64> = walls.iter().map(|w| w.value.value.si()).collect();
    ring.sort_by(f64::total_cmp);
    let middle = ring.get(ring.len() / 2).copied().filter(|_| ring.len() > 2);
    let Some(usual) = nominal.or(middle).filter(|w| *w > 0.0) else { return };
    for wall in walls.iter().filter(|w| w.value.value.si() < usual * (1.0 - STRAY)) {
        report.push(at(
            Diagnostic::stop(
                "J233",
                format!(
                    "a wall of {} was read in a tube of {}",
                    words(wall),
                    wall.value.first(crate::quantity::show::GAUGE).both(Length::from_si(usual).into())
                ),
            )
            .expected("readings within a quarter of the tube's wall: a tube so thin is not cut, swapped digits read otherwise")
            .example(format!("{} = [\"…\"], measured again at that place", name(wall)))
            .help("if it is right all the same, write beside it: sure = \"why it is right\"")
            .unless_sure(cut.sure.as_deref()),
            wall,
        ));
    }
}

/// A pinion joint below the ground is a slip of sign.
fn check_pinion(job: &JobFile, axle: &Axle, report: &mut Report) {
    let Some(pinion) = &axle.pinion else { return };
    let radius = axle.tyre.as_ref().and_then(|t| t.radius.as_ref());
    if let (Some(radius), Some(angle), Some(reach)) =
        (radius, pinion.angle.as_ref().or(pinion.wanted.as_ref()), &pinion.reach)
    {
        let offset = pinion.offset.as_ref().map_or(Length::from_si(0.0), |o| o.value.value);
        let height = radius.value.value
            + offset * math::cos(angle.value.value)
            + reach.value.value * math::sin(angle.value.value);
        if height.si() <= 0.0 {
            // An offset of the other sign may be all that is wrong.
            let turned = height - offset * (2.0 * math::cos(angle.value.value));
            let turned = pinion.offset.as_ref().filter(|_| turned.si() > 0.0);
            let first = pinion.offset.as_ref().unwrap_or(reach);
            let meant = match turned {
                Some(offset) => {
                    let turned = offset.value.value * -1.0;
                    let style = LENGTH.fine_enough(turned.into());
                    format!("\"{}\"", written(job.job.units, style, turned))
                }
                None => "\"…\", measured again".to_owned(),
            };
            report.push(at(
                Diagnostic::error("J125", "these values put the pinion joint below the ground")
                    .expected("a tyre radius, pinion offset and reach that leave the joint above the ground")
                    .example(format!("{} = {meant}", name(first))),
                first,
            ));
        }
    }
}

/// Angles of the two knuckles of one axle differ by no more than this, in degrees (common
/// practice): the housings are made alike, and a bent one is looked for.
const ALIKE: [(Pick, f64); 3] = [(|k| &k.inclination, 1.5), (|k| &k.camber, 0.75), (|k| &k.toe, 0.4)];

fn check_caster(axle: &Axle, report: &mut Report) {
    let Some(knuckles) = &axle.knuckle else { return };
    if let (Some(left), Some(right)) = (&knuckles.left, &knuckles.right) {
        for (pick, most) in ALIKE {
            let (Some(a), Some(b)) = (pick(left), pick(right)) else { continue };
            let apart = (a.value.value - b.value.value).to(unit::DEG).abs();
            if apart <= most + 1e-9 {
                continue;
            }
            let sure = [left, right].into_iter().find_map(|k| k.sure.as_deref());
            report.push(at(
                Diagnostic::stop(
                    "J262",
                    format!(
                        "{} differs by {apart:.2}° from left to right: {} and {}",
                        name(a),
                        words(a),
                        words(b)
                    ),
                )
                .expected(format!(
                    "both sides within {most}° (common practice); read both again, look for a bent knuckle"
                ))
                // Nobody knows of which side the slip is.
                .example(format!("{} = \"…\" on the left or on the right, both measured again", name(b)))
                .help("if it is right all the same, write beside it: sure = \"why it is right\"")
                .unless_sure(sure),
                b,
            ));
        }
    }
    let reading = |k: &Option<Knuckle>, pick: Pick| k.as_ref().and_then(|k| pick(k).clone());
    let picks: [Pick; 2] = [|k| &k.caster, |k| &k.caster_with_pinion_set];
    for pick in picks {
        if let (Some(left), Some(right)) = (reading(&knuckles.left, pick), reading(&knuckles.right, pick)) {
            let spread = (left.value.value - right.value.value).to(unit::DEG).abs();
            if spread > SPREAD_USUAL + 1e-9 {
                // More than a bent tube explains is a slip until somebody says otherwise.
                let sure = [&knuckles.left, &knuckles.right].into_iter().flatten().any(|k| k.sure.is_some());
                let says = format!("left and right {} differ by {spread:.1}°", name(&left).replace('_', " "));
                let problem = if spread > SPREAD_MOST && !sure {
                    Diagnostic::stop("J127", says)
                        .help("if it is right all the same, write beside it: sure = \"why it is right\"")
                } else {
                    Diagnostic::warning("J127", says)
                };
                report.push(at(
                    problem
                        .expected(format!("a spread within {SPREAD_USUAL}° (common practice); read both again, look for a bent tube"))
                        .example(format!("{} = \"…\", measured again", name(&right)))
                        .help("each side gets its own rotation; never average two unequal sides"),
                    &right,
                ));
            }
        }
    }
}

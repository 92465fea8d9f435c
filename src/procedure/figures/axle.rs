//! Lift, pads, pinion and driveline angles, spring rate and wind-up of an axle.

use super::inputs::{Inputs, to};
use super::keys::of_axle as key;
use super::ride::rise_key;
use super::{JobFigures, Owner, work};
use crate::figure::geometry::End as SpringEnd;
use crate::figure::geometry::axle_square::{PadOffset, PadOffsetAnswer};
use crate::figure::geometry::leaf_rate::SPRING_STEEL_YIELD;
use crate::figure::geometry::leaf_swap::{LeafSwap, LeafSwapAnswer};
use crate::figure::geometry::lift::{Lift, LiftAnswer};
use crate::figure::geometry::pinion::{self, Pinion};
use crate::figure::geometry::pinion_aim::{PinionAim, PinionAimAnswer};
use crate::figure::geometry::scribe_mark::{ScribeMark, ScribeMarkAnswer};
use crate::figure::geometry::wind_up::{Cause, WindUp, WindUpAnswer};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{self, Axle, FixedEye, SpringSide};
use crate::procedure::catalogue::{Called, component};
use crate::quantity::show::{FINE_ANGLE, GAUGE, TAPE};
use crate::quantity::{Angle, Dimensioned, Kind, Length, Number, Quantity, Style, math, unit};
use crate::source::Source;

const LINE_UP: Source = Source::derived(
    "joint angles from the line between pinion joint and flange joint",
    "cross product of the member vectors",
);
const SEATS: Source = Source::derived(
    "springs stay on their side: only the seat heights count",
    "the stack-up with the pack left out",
);

const SOUND: Source =
    Source::standard("ASTM A53/A53M-20", "wall of a tube no more than 12.5 % under the nominal")
        .from_memory();
/// Share of the nominal wall a new tube may have at its thinnest place.
const LEAST_OF_NOMINAL: f64 = 0.875;

type Entry<T> = Option<Located<Reading<T>>>;

fn plain<T: Dimensioned>(entry: &Entry<T>) -> Option<T> {
    entry.as_ref().map(|e| e.value.value)
}

pub(super) fn compute(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    let owner = Owner::Component(axle.id.0.clone());
    sheet.enter(&owner, component::pad_spread, axle.tube.as_ref().and_then(|t| t.pad_spread.as_ref()));
    // What is thinner than a new tube may be was ground, grooved or rusted.
    if let Some(wall) = axle.tube.as_ref().and_then(|t| plain(&t.wall)) {
        let least = wall * LEAST_OF_NOMINAL;
        sheet.derive_in(&owner, component::wall_sound, least, GAUGE.up(), "wall less 12.5 %", SOUND);
    }
    let pad = axle.pad.as_ref();
    sheet.enter(&owner, component::pad_thickness, pad.and_then(|p| p.thickness.as_ref()));
    sheet.enter(&owner, component::pad_length, pad.and_then(|p| p.length.as_ref()));
    pinion_angles(job, axle, &owner, sheet);
    springs(axle, &owner, sheet);
    wind_up(job, axle, &owner, sheet);
}

/// How far a ride height as left may be off as found plus the lift: what springs,
/// tyres and a tape repeat to.
const HEIGHT_ROOM: f64 = 0.25;

/// The lift, and the band of it that heights as left are judged by.
pub(super) fn lift(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    stacked(axle, sheet);
    let owner = &Owner::Component(axle.id.0.clone());
    if axle.spring.is_none() && !work::keeps_height(job, axle) {
        let names = [component::lift.name(), component::stack.name()];
        let needs: Vec<String> =
            ["from", "to", "pack", "seat_old", "seat_new"].map(|f| key(axle, &format!("spring.{f}"))).into();
        let why = format!(
            "the lift still needs {}: the work changes how high the frame stands over the axle",
            needs.join(", ")
        );
        sheet.miss(owner, &names, needs, why);
    }
    let Some(lift) = sheet.quantity(owner, component::lift) else { return };
    let room = Length::of(HEIGHT_ROOM, unit::IN);
    let source = Source::practice("ride heights repeat within 1/4 in from one settling to the next");
    sheet.derive_up(owner, component::lift_low, lift - room, "lift - 1/4 in", source);
    sheet.derive_down(owner, component::lift_high, lift + room, "lift + 1/4 in", source);
}

fn stacked(axle: &Axle, sheet: &mut JobFigures) {
    let owner = &Owner::Component(axle.id.0.clone());
    let Some(spring) = &axle.spring else { return };
    if spring.from == spring.to {
        let (Some(old), Some(new)) = (&spring.seat_old, &spring.seat_new) else { return };
        let arch = plain(&spring.arch_change).unwrap_or(Length::from_si(0.0));
        let raised = match spring.to {
            SpringSide::Over => new.value.value - old.value.value,
            SpringSide::Under => old.value.value - new.value.value,
        };
        sheet.derive(owner, component::lift, raised + arch, "seat_new - seat_old + arch_change", SEATS);
        return;
    }
    let mut inputs = Inputs::<Lift>::new();
    inputs
        .with(Lift::tube_od, key(axle, "tube.od"), axle.tube.as_ref().and_then(|t| t.od.as_ref()))
        .with(Lift::pack, key(axle, "spring.pack"), spring.pack.as_ref())
        .with(Lift::seat_old, key(axle, "spring.seat_old"), spring.seat_old.as_ref())
        .with(Lift::seat_new, key(axle, "spring.seat_new"), spring.seat_new.as_ref())
        .with(Lift::arch_change, key(axle, "spring.arch_change"), spring.arch_change.as_ref())
        .with(Lift::shackle_old, key(axle, "spring.shackle_old"), spring.shackle_old.as_ref())
        .with(Lift::shackle_new, key(axle, "spring.shackle_new"), spring.shackle_new.as_ref())
        .with(Lift::shackle_lean, key(axle, "spring.shackle_lean"), spring.shackle_lean.as_ref())
        .with(Lift::direction, "axle.spring.to", Some(spring.to));
    if let (Some(front), Some(rear)) = (plain(&spring.front_half), plain(&spring.rear_half)) {
        let fixed = match spring.fixed_eye {
            Some(FixedEye::Rear) => rear,
            _ => front,
        };
        inputs.with(Lift::shackle_share, "", Some(Number::from_si((fixed / (front + rear)).value)));
    }
    // The chord tells how the shackle turns the seat; without a change of the
    // shackle it has nothing to say.
    if spring.shackle_old.is_some() && spring.shackle_new.is_some() {
        inputs.with(Lift::chord, key(axle, "spring.chord"), spring.chord.as_ref());
        let end = spring.fixed_eye.map(|eye| match eye {
            FixedEye::Front => SpringEnd::Rear,
            FixedEye::Rear => SpringEnd::Front,
        });
        inputs.with(Lift::shackle_end, key(axle, "spring.fixed_eye"), end);
    }
    sheet.run(
        owner,
        &inputs,
        &[
            to(LiftAnswer::lift, component::lift),
            to(LiftAnswer::stack, component::stack),
            to(LiftAnswer::seat_tilt, component::seat_tilt),
        ],
    );
}

/// Where the axle goes along the unit: what the pad hole and the hangers do
/// together, each stated once. A hole ahead of the tube sets the axle back; a
/// hanger moved forward takes it along.
pub(super) fn shift(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    let owner = &Owner::Component(axle.id.0.clone());
    let hole = axle.pad.as_ref().and_then(|p| p.hole_offset.as_ref());
    let hanger = axle.spring.as_ref().and_then(|s| s.hanger_shift.as_ref());
    if let Some(untold) = work::place_untold(job, axle) {
        sheet.enter(owner, component::pad_shift, hole);
        sheet.enter(owner, component::hanger_shift, hanger);
        let names = [
            component::axle_shift.name(),
            component::wheelbase_left.name(),
            component::wheelbase_right.name(),
        ];
        let untold = key(axle, untold);
        let why = format!("where the axle stands afterwards still needs {untold}; \"0 in\" where it stays");
        return sheet.miss(owner, &names, vec![untold], why);
    }
    let total = match (hole, hanger) {
        (None, None) => return,
        (Some(hole), None) => hole.value,
        (None, Some(hanger)) => Reading { value: -hanger.value.value, ..hanger.value },
        (Some(hole), Some(hanger)) => Reading {
            value: hole.value.value - hanger.value.value,
            uncertainty: math::hypot(hole.value.uncertainty, hanger.value.uncertainty),
            metric: hole.value.metric,
        },
    };
    let mut inputs = Inputs::<PadOffset>::new();
    inputs
        .with(PadOffset::hole_left, key(axle, "pad.hole_offset and spring.hanger_shift"), Some(total))
        .with(PadOffset::wheelbase_left, "unit.wheelbase", job.unit.wheelbase.as_ref())
        .with(PadOffset::wheelbase_right, "unit.wheelbase", job.unit.wheelbase.as_ref())
        .with(PadOffset::axle, "axle.end", axle.end());
    sheet.run(
        owner,
        &inputs,
        &[
            to(PadOffsetAnswer::shift_left, component::axle_shift),
            to(PadOffsetAnswer::wheelbase_left, component::wheelbase_left),
            to(PadOffsetAnswer::wheelbase_right, component::wheelbase_right),
        ],
    );
    sheet.enter(owner, component::pad_shift, hole);
    sheet.enter(owner, component::hanger_shift, hanger);
}

/// Rise of the flange over the axle once the frame is lifted, and its reach
/// once the axle has moved.
fn flange_after(
    job: &JobFile,
    axle: &Axle,
    owner: &Owner,
    sheet: &JobFigures,
) -> (Option<Length>, Option<Length>) {
    let Some(pinion) = &axle.pinion else { return (None, None) };
    // Where the job has the tables for it and states nothing, the axle stays where it is.
    let stays = work::place_untold(job, axle).is_none().then(|| Length::from_si(0.0));
    let shift = sheet.quantity(owner, component::axle_shift).or(stays);
    let rise =
        plain(&pinion.case_up).zip(sheet.quantity(owner, component::case_rise)).map(|(up, rise)| up + rise);
    // The case is behind a front axle and ahead of a rear one.
    let reach = plain(&pinion.case_forward).zip(shift);
    let reach = reach.map(|(r, shift)| if axle.is_front() { r + shift } else { r - shift });
    (rise, reach)
}

fn pinion_angles(job: &JobFile, axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(pinion) = &axle.pinion else { return };
    sheet.enter(owner, component::pinion_now, pinion.angle.as_ref());
    let (rise, reach) = flange_after(job, axle, owner, sheet);
    let stays = pinion.wanted.is_none() && work::stays(job, axle);
    // Nobody sets it: as it is found it stays.
    let set = if stays { pinion.angle.as_ref() } else { pinion.wanted.as_ref() };
    if stays || set.is_some() {
        sheet.enter(owner, component::pinion_target, set);
    } else {
        aim(job, axle, pinion, (reach, rise), owner, sheet);
    }
    shafts(pinion, set.is_some(), (reach, rise), owner, sheet);
    let aimed = plain(&pinion.angle).zip(sheet.quantity(owner, component::pinion_target));
    if let Some((now, target)) = aimed.filter(|_| set.is_some() && !stays) {
        sheet.derive(owner, component::housing_turn, target - now, "pinion_target - pinion_now", LINE_UP);
    }
    sheet.enter(
        owner,
        component::pinion_tolerance,
        axle.target.as_ref().and_then(|t| t.pinion_tolerance.as_ref()),
    );
    turn_on_pads(axle, owner, sheet);
    out_of_plane(pinion, owner, sheet);
    housing_arc(axle, owner, sheet);
}

/// Keys the reach of the flange still waits for.
fn reach_key(job: &JobFile, axle: &Axle) -> String {
    let stated = axle.pinion.as_ref().is_some_and(|p| p.case_forward.is_some());
    match work::place_untold(job, axle).filter(|_| stated) {
        Some(untold) => key(axle, untold),
        None => key(axle, "pinion.case_forward"),
    }
}

/// Where the pinion points so that its joint runs as the layout asks, from where the flange
/// of the case will be seen from it: so far ahead, so far up.
fn aim(
    job: &JobFile,
    axle: &Axle,
    pinion: &model::Pinion,
    (reach, rise): (Option<Length>, Option<Length>),
    owner: &Owner,
    sheet: &mut JobFigures,
) {
    let mut inputs = Inputs::<PinionAim>::new();
    inputs
        .with(PinionAim::reach, reach_key(job, axle), reach)
        .with(PinionAim::rise, rise_key(job, axle, sheet), rise)
        .needed(PinionAim::offset, key(axle, "pinion.offset"), pinion.offset.as_ref())
        .with(PinionAim::pinion, key(axle, "pinion.reach"), pinion.reach.as_ref())
        .with(PinionAim::below, key(axle, "pinion.allowance"), pinion.allowance.as_ref())
        .with(
            PinionAim::output_slope,
            key(axle, "pinion.output_slope"),
            sheet.reading(owner, component::output_slope_after),
        )
        .with(PinionAim::old_angle, key(axle, "pinion.angle"), pinion.angle.as_ref())
        .needed(PinionAim::layout, key(axle, "pinion.layout"), pinion.layout)
        .with(PinionAim::axle, "axle.end", axle.end());
    sheet.run(
        owner,
        &inputs,
        &[
            to(PinionAimAnswer::pinion_angle, component::pinion_target),
            to(PinionAimAnswer::shaft_length, component::shaft_length),
            to(PinionAimAnswer::pinion_joint, component::joint_pinion_after),
            to(PinionAimAnswer::flange_joint, component::joint_case_after),
            to(PinionAimAnswer::housing_turn, component::housing_turn),
        ],
    );
}

/// The shaft and its joints as found, and as they will be where the pinion is `set`.
fn shafts(
    pinion: &model::Pinion,
    set: bool,
    (reach, rise): (Option<Length>, Option<Length>),
    owner: &Owner,
    sheet: &mut JobFigures,
) {
    let place = |reach: Option<Length>, rise: Option<Length>| {
        Some(Pinion {
            reach: reach?,
            rise: rise?,
            offset: plain(&pinion.offset)?,
            pinion: plain(&pinion.reach)?,
        })
    };
    let slope = sheet.quantity(owner, component::output_slope_after);
    let before = place(plain(&pinion.case_forward), plain(&pinion.case_up)).zip(plain(&pinion.angle));
    if let Some((place, angle)) = before {
        line_up(
            owner,
            place,
            angle,
            plain(&pinion.output_slope),
            component::shaft_length_before,
            [component::joint_pinion_before, component::joint_case_before],
            sheet,
        );
    }
    if !set {
        return;
    }
    if let Some((place, angle)) = place(reach, rise).zip(sheet.quantity(owner, component::pinion_target)) {
        line_up(
            owner,
            place,
            angle,
            slope,
            component::shaft_length,
            [component::joint_pinion_after, component::joint_case_after],
            sheet,
        );
    }
}

/// How far the shaft lies out of the plane the side view is drawn in.
fn out_of_plane(pinion: &model::Pinion, owner: &Owner, sheet: &mut JobFigures) {
    if let (Some(across), Some(along)) = (&pinion.sideways, &pinion.case_forward) {
        let angle = Angle::from_si(math::atan((across.value.value / along.value.value).value).si());
        let source = Source::derived("plan view of the shaft", "right triangle");
        sheet.derive(owner, component::shaft_out_of_plane, angle, "atan(sideways / case_forward)", source);
    }
}

/// The arc between the scribe marks on the tube, for the turn on its pads.
fn housing_arc(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let mut inputs = Inputs::<ScribeMark>::new();
    inputs.with(ScribeMark::od, key(axle, "tube.od"), axle.tube.as_ref().and_then(|t| t.od.as_ref())).figure(
        ScribeMark::rotation,
        sheet,
        owner,
        component::housing_turn_on_pads,
    );
    // A turn too small to be marked has no marks.
    if sheet
        .quantity(owner, component::housing_turn_on_pads)
        .is_some_and(|turn| turn.to(unit::DEG).abs() >= 0.05)
    {
        sheet.run(owner, &inputs, &[to(ScribeMarkAnswer::arc, component::housing_arc)]);
    }
}

/// Turn of the housing against its pads, which turn with the frame: a frame
/// that rises at the front lowers a pinion that points rearward.
fn turn_on_pads(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(turn) = sheet.reading(owner, component::housing_turn) else { return };
    let Some(pitch) = sheet.quantity(owner, component::ride_pitch) else { return };
    let (sign, formula) = if axle.is_front() {
        (1.0, "housing_turn + ride_pitch")
    } else {
        (-1.0, "housing_turn - ride_pitch")
    };
    let value = Reading { value: Angle::from_si(turn.value.si() + sign * pitch.si()), ..turn };
    let source = Source::derived("springs and pads turn with the frame", "sum of the two angles");
    sheet.derive(owner, component::housing_turn_on_pads, value, formula, source);
}

/// Shaft length and the two joint angles for a pinion at `angle`, side view.
fn line_up(
    owner: &Owner,
    place: Pinion,
    angle: Angle,
    output_slope: Option<Angle>,
    length: Called<Length>,
    joints: [Called<Angle>; 2],
    sheet: &mut JobFigures,
) {
    let line = pinion::shaft(place, angle);
    let size = |a: Angle| Angle::from_si(a.si().abs());
    sheet.derive_in(owner, length, line.length, TAPE, "distance of the two joint centres", LINE_UP);
    sheet.derive_in(
        owner,
        joints[0],
        size(line.slope - angle),
        FINE_ANGLE,
        "|shaft slope - pinion angle|",
        LINE_UP,
    );
    if let Some(slope) = output_slope {
        sheet.derive_in(
            owner,
            joints[1],
            size(line.slope - slope),
            FINE_ANGLE,
            "|shaft slope - output slope|",
            LINE_UP,
        );
    }
}

fn springs(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(spring) = &axle.spring else { return };
    let (Some(old), Some(new)) = (&spring.leaves, &spring.leaves_new) else { return };
    let whole = |n: &Located<u32>| Some(Number::from_si(f64::from(n.value)));
    let span = plain(&spring.front_half).zip(plain(&spring.rear_half)).map(|(a, b)| a + b);
    let mut inputs = Inputs::<LeafSwap>::new();
    inputs
        .with(LeafSwap::leaves_old, key(axle, "spring.leaves"), whole(old))
        .with(LeafSwap::thickness_old, key(axle, "spring.leaf"), spring.leaf.as_ref())
        .with(LeafSwap::leaves_new, key(axle, "spring.leaves_new"), whole(new))
        .with(LeafSwap::thickness_new, key(axle, "spring.leaf_new"), spring.leaf_new.as_ref())
        .with(LeafSwap::width, key(axle, "spring.width"), spring.width.as_ref())
        .with(LeafSwap::span, key(axle, "spring.front_half and rear_half"), span)
        .with(LeafSwap::load, key(axle, "spring.load"), spring.load.as_ref());
    sheet.run(
        owner,
        &inputs,
        &[
            to(LeafSwapAnswer::rate_old, component::spring_rate_before),
            to(LeafSwapAnswer::rate_new, component::spring_rate_after),
        ],
    );
    let stress = sheet.output::<LeafSwap, _>(owner, LeafSwapAnswer::stress_new);
    let stress = stress.and_then(|figure| Some(figure.value.quantity()?.to(unit::MPA)));
    if let Some(stress) = stress.filter(|s| *s > SPRING_STEEL_YIELD)
        && axle.sure.is_none()
    {
        let said = |mpa: f64| Style::of(Kind::Stress).both(Quantity::of(mpa, unit::MPA));
        sheet.doubt(
            owner,
            format!(
                "the new leaves are stressed to {} at ride, and spring steel yields at about {}",
                said(stress),
                said(SPRING_STEEL_YIELD)
            ),
            "load on one spring, leaves, leaf, width and halves of one pack; if it is right all the same, write in its [[axle]]: sure = \"why it is right\"",
        );
    }
}

fn wind_up(job: &JobFile, axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let (Some(spring), Some(tyre), Some(tube)) = (&axle.spring, &axle.tyre, &axle.tube) else { return };
    // Only a braked or driven axle winds its springs up; a trailer axle is
    // reckoned only where its brakes are entered with the unit.
    if !axle.is_front() && !axle.driven || job.unit.braking.is_none() || spring.from == spring.to {
        return;
    }
    let half = plain(&tube.od).map(|od| od / 2.0);
    let face = |seat: &Entry<Length>| half.zip(plain(seat)).map(|(half, seat)| half + seat);
    let (over, under) = match spring.to {
        SpringSide::Over => (&spring.seat_new, &spring.seat_old),
        SpringSide::Under => (&spring.seat_old, &spring.seat_new),
    };
    let mut inputs = Inputs::<WindUp>::new();
    inputs
        .with(WindUp::loaded_radius, key(axle, "tyre.radius"), tyre.radius.as_ref())
        .with(WindUp::seat_over, key(axle, "spring seats and tube.od"), face(over))
        .with(WindUp::seat_under, key(axle, "spring seats and tube.od"), face(under))
        .with(WindUp::mass, "unit.mass", job.unit.mass.as_ref())
        .with(WindUp::wheelbase, "unit.wheelbase", job.unit.wheelbase.as_ref())
        .with(WindUp::cg_height, "unit.cg_height", job.unit.cg_height.as_ref())
        .with(WindUp::cg_to_rear, "unit.cg_to_rear", job.unit.cg_to_rear.as_ref())
        .with(WindUp::deceleration, "unit.braking", job.unit.braking.as_ref())
        .with(WindUp::cause, "", Some(Cause::Braking));
    let (after, before) = match spring.to {
        SpringSide::Over => (WindUpAnswer::seat_moment_over, WindUpAnswer::seat_moment_under),
        SpringSide::Under => (WindUpAnswer::seat_moment_under, WindUpAnswer::seat_moment_over),
    };
    sheet.run(
        owner,
        &inputs,
        &[
            to(after, component::wind_up_after),
            to(before, component::wind_up_before),
            to(WindUpAnswer::over_under, component::wind_up_change),
        ],
    );
}

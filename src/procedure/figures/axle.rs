//! Lift, pads, pinion and driveline angles, spring rate and wind-up of an axle.

use super::ride::rise_key;
use super::sheet::Inputs;
use super::{JobFigures, Owner};
use crate::figure::Value;
use crate::figure::geometry::pinion::{self, Pinion};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{Axle, FixedEye, SpringSide};
use crate::quantity::{Angle, Dimensioned, Length, Number, math, unit};
use crate::source::Source;

const LINE_UP: Source = Source::derived(
    "joint angles from the line between pinion joint and flange joint",
    "cross product of the member vectors",
);
const SEATS: Source = Source::derived(
    "springs stay on their side: only the seat heights count",
    "the stack-up with the pack left out",
);

type Entry<T> = Option<Located<Reading<T>>>;

fn plain<T: Dimensioned>(entry: &Entry<T>) -> Option<T> {
    entry.as_ref().map(|e| e.value.value)
}

/// Key path of a field of this axle, as a person finds it in the file.
pub(super) fn key(axle: &Axle, path: &str) -> String {
    format!("axle.{path} ({})", axle.id.value)
}

pub(super) fn compute(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    let owner = Owner::Component(axle.id.value.0.clone());
    sheet.enter(&owner, "pad_spread", axle.tube.as_ref().and_then(|t| t.pad_spread.as_ref()));
    let pad = axle.pad.as_ref();
    sheet.enter(&owner, "pad_thickness", pad.and_then(|p| p.thickness.as_ref()));
    sheet.enter(&owner, "pad_length", pad.and_then(|p| p.length.as_ref()));
    pinion_angles(axle, &owner, sheet);
    springs(axle, &owner, sheet);
    wind_up(job, axle, &owner, sheet);
}

/// Word of the end an axle is at.
pub(super) fn end_word(axle: &Axle) -> Option<&'static str> {
    axle.end().map(|e| e.word())
}

pub(super) fn lift(axle: &Axle, sheet: &mut JobFigures) {
    let owner = &Owner::Component(axle.id.value.0.clone());
    let Some(spring) = &axle.spring else { return };
    if spring.from == spring.to {
        let (Some(old), Some(new)) = (&spring.seat_old, &spring.seat_new) else { return };
        let arch = plain(&spring.arch_change).unwrap_or(Length::from_si(0.0));
        let raised = match spring.to {
            SpringSide::Over => new.value.value - old.value.value,
            SpringSide::Under => old.value.value - new.value.value,
        };
        sheet.derive(owner, "lift", Value::from(raised + arch), "seat_new - seat_old + arch_change", SEATS);
        return;
    }
    let mut inputs = Inputs::new();
    inputs
        .job("tube_od", key(axle, "tube.od"), axle.tube.as_ref().and_then(|t| t.od.as_ref()))
        .job("pack", key(axle, "spring.pack"), spring.pack.as_ref())
        .job("seat_old", key(axle, "spring.seat_old"), spring.seat_old.as_ref())
        .job("seat_new", key(axle, "spring.seat_new"), spring.seat_new.as_ref())
        .job("arch_change", key(axle, "spring.arch_change"), spring.arch_change.as_ref())
        .job("shackle_old", key(axle, "spring.shackle_old"), spring.shackle_old.as_ref())
        .job("shackle_new", key(axle, "spring.shackle_new"), spring.shackle_new.as_ref())
        .job("shackle_lean", key(axle, "spring.shackle_lean"), spring.shackle_lean.as_ref())
        .word("direction", "axle.spring.to", Some(spring.to.word()));
    if let (Some(front), Some(rear)) = (plain(&spring.front_half), plain(&spring.rear_half)) {
        let fixed = match spring.fixed_eye {
            Some(FixedEye::Rear) => rear,
            _ => front,
        };
        inputs.value("shackle_share", "", Some(Value::from(Number::from_si((fixed / (front + rear)).value))));
    }
    // The chord tells how the shackle turns the seat; without a change of the
    // shackle it has nothing to say.
    if spring.shackle_old.is_some() && spring.shackle_new.is_some() {
        inputs.job("chord", key(axle, "spring.chord"), spring.chord.as_ref());
        let end = spring.fixed_eye.map(|eye| match eye {
            FixedEye::Front => "rear",
            FixedEye::Rear => "front",
        });
        inputs.word("shackle_end", key(axle, "spring.fixed_eye"), end);
    }
    sheet.run(owner, "lift", &inputs, &[("lift", "lift"), ("stack", "stack"), ("seat_tilt", "seat_tilt")]);
}

/// Where the axle goes along the unit: what the pad hole and the hangers do
/// together, each stated once. A hole ahead of the tube sets the axle back; a
/// hanger moved forward takes it along.
pub(super) fn shift(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    let owner = &Owner::Component(axle.id.value.0.clone());
    let hole = axle.pad.as_ref().and_then(|p| p.hole_offset.as_ref());
    let hanger = axle.spring.as_ref().and_then(|s| s.hanger_shift.as_ref());
    let total = match (hole, hanger) {
        (None, None) => return,
        (Some(hole), None) => Value::from(hole),
        (None, Some(hanger)) => {
            Value::uncertain(-hanger.value.value, Length::from_si(hanger.value.uncertainty))
        }
        (Some(hole), Some(hanger)) => Value::uncertain(
            hole.value.value - hanger.value.value,
            Length::from_si(math::hypot(hole.value.uncertainty, hanger.value.uncertainty)),
        ),
    };
    let mut inputs = Inputs::new();
    inputs
        .value("hole_left", key(axle, "pad.hole_offset and spring.hanger_shift"), Some(total))
        .job("wheelbase_left", "unit.wheelbase", job.unit.wheelbase.as_ref())
        .job("wheelbase_right", "unit.wheelbase", job.unit.wheelbase.as_ref())
        .word("axle", "axle.end", end_word(axle));
    sheet.run(
        owner,
        "pad-offset",
        &inputs,
        &[
            ("shift_left", "axle_shift"),
            ("wheelbase_left", "wheelbase_left"),
            ("wheelbase_right", "wheelbase_right"),
        ],
    );
    sheet.enter(owner, "pad_shift", hole);
    sheet.enter(owner, "hanger_shift", hanger);
}

/// Rise of the flange over the axle once the frame is lifted, and its reach
/// once the axle has moved.
fn flange_after(axle: &Axle, owner: &Owner, sheet: &JobFigures) -> (Option<Length>, Option<Length>) {
    let Some(pinion) = &axle.pinion else { return (None, None) };
    let shift = sheet.quantity::<Length>(owner, "axle_shift").unwrap_or(Length::from_si(0.0));
    let rise =
        plain(&pinion.case_up).zip(sheet.quantity::<Length>(owner, "case_rise")).map(|(up, rise)| up + rise);
    // The case is behind a front axle and ahead of a rear one.
    let reach = plain(&pinion.case_forward).map(|r| if axle.is_front() { r + shift } else { r - shift });
    (rise, reach)
}

fn pinion_angles(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(pinion) = &axle.pinion else { return };
    sheet.enter(owner, "pinion_now", pinion.angle.as_ref());
    let (rise, reach) = flange_after(axle, owner, sheet);
    if let Some(wanted) = &pinion.wanted {
        sheet.enter(owner, "pinion_target", Some(wanted));
    } else {
        let mut inputs = Inputs::new();
        inputs
            .value("reach", key(axle, "pinion.case_forward"), reach.map(Value::from))
            .value("rise", rise_key(axle), rise.map(Value::from))
            .job("offset", key(axle, "pinion.offset"), pinion.offset.as_ref())
            .job("pinion", key(axle, "pinion.reach"), pinion.reach.as_ref())
            .job("below", key(axle, "pinion.allowance"), pinion.allowance.as_ref())
            .value(
                "output_slope",
                key(axle, "pinion.output_slope"),
                sheet.get(owner, "output_slope_after").map(|f| f.value.clone()),
            )
            .job("old_angle", key(axle, "pinion.angle"), pinion.angle.as_ref())
            .word("layout", "axle.pinion.layout", Some(pinion.layout.word()))
            .word("axle", "axle.end", end_word(axle));
        sheet.run(
            owner,
            "pinion-aim",
            &inputs,
            &[
                ("pinion_angle", "pinion_target"),
                ("shaft_length", "shaft_length"),
                ("pinion_joint", "joint_pinion_after"),
                ("flange_joint", "joint_case_after"),
                ("housing_turn", "housing_turn"),
            ],
        );
    }
    let place = |reach: Option<Length>, rise: Option<Length>| {
        Some(Pinion {
            reach: reach?,
            rise: rise?,
            offset: plain(&pinion.offset).unwrap_or(Length::from_si(0.0)),
            pinion: plain(&pinion.reach)?,
        })
    };
    let slope = sheet.quantity::<Angle>(owner, "output_slope_after");
    let before = place(plain(&pinion.case_forward), plain(&pinion.case_up)).zip(plain(&pinion.angle));
    if let Some((place, angle)) = before {
        line_up(
            owner,
            place,
            angle,
            plain(&pinion.output_slope),
            ["shaft_length_before", "joint_pinion_before", "joint_case_before"],
            sheet,
        );
    }
    if pinion.wanted.is_some() {
        if let Some((place, angle)) = place(reach, rise).zip(sheet.quantity(owner, "pinion_target")) {
            line_up(
                owner,
                place,
                angle,
                slope,
                ["shaft_length", "joint_pinion_after", "joint_case_after"],
                sheet,
            );
        }
        if let Some((now, target)) = plain(&pinion.angle).zip(sheet.quantity::<Angle>(owner, "pinion_target"))
        {
            sheet.derive(
                owner,
                "housing_turn",
                Value::from(target - now),
                "pinion_target - pinion_now",
                LINE_UP,
            );
        }
    }
    sheet.enter(owner, "pinion_tolerance", axle.target.as_ref().and_then(|t| t.pinion_tolerance.as_ref()));
    turn_on_pads(axle, owner, sheet);
    if let (Some(across), Some(along)) = (&pinion.sideways, &pinion.case_forward) {
        let angle = Angle::from_si(math::atan((across.value.value / along.value.value).value).si());
        let source = Source::derived("plan view of the shaft", "right triangle");
        sheet.derive(
            owner,
            "shaft_out_of_plane",
            Value::from(angle),
            "atan(sideways / case_forward)",
            source,
        );
    }
    let mut inputs = Inputs::new();
    inputs.job("od", key(axle, "tube.od"), axle.tube.as_ref().and_then(|t| t.od.as_ref())).figure(
        "rotation",
        sheet,
        owner,
        "housing_turn_on_pads",
    );
    // A turn too small to be marked has no marks.
    if sheet
        .quantity::<Angle>(owner, "housing_turn_on_pads")
        .is_some_and(|turn| turn.to(unit::DEG).abs() >= 0.05)
    {
        sheet.run(owner, "scribe-mark", &inputs, &[("arc", "housing_arc")]);
    }
}

/// Turn of the housing against its pads, which turn with the frame: a frame
/// that rises at the front lowers a pinion that points rearward.
fn turn_on_pads(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(turn) = sheet.get(owner, "housing_turn").map(|f| f.value.clone()) else { return };
    let Some(pitch) = sheet.quantity::<Angle>(owner, "ride_pitch") else { return };
    let Value::Quantity { quantity, uncertainty } = turn else { return };
    let (sign, formula) = if axle.is_front() {
        (1.0, "housing_turn + ride_pitch")
    } else {
        (-1.0, "housing_turn - ride_pitch")
    };
    let value =
        Value::uncertain(Angle::from_si(quantity.si() + sign * pitch.si()), Angle::from_si(uncertainty));
    let source = Source::derived("springs and pads turn with the frame", "sum of the two angles");
    sheet.derive(owner, "housing_turn_on_pads", value, formula, source);
}

/// Shaft length and the two joint angles for a pinion at `angle`, side view.
fn line_up(
    owner: &Owner,
    place: Pinion,
    angle: Angle,
    output_slope: Option<Angle>,
    names: [&'static str; 3],
    sheet: &mut JobFigures,
) {
    let line = pinion::shaft(place, angle);
    let size = |a: Angle| Angle::from_si(a.si().abs());
    sheet.derive(owner, names[0], Value::from(line.length), "distance of the two joint centres", LINE_UP);
    sheet.derive(
        owner,
        names[1],
        Value::from(size(line.slope - angle)),
        "|shaft slope - pinion angle|",
        LINE_UP,
    );
    if let Some(slope) = output_slope {
        sheet.derive(
            owner,
            names[2],
            Value::from(size(line.slope - slope)),
            "|shaft slope - output slope|",
            LINE_UP,
        );
    }
}

fn springs(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(spring) = &axle.spring else { return };
    let (Some(old), Some(new)) = (spring.leaves, spring.leaves_new) else { return };
    let whole = |n: u32| Some(Value::from(Number::from_si(f64::from(n))));
    let span = plain(&spring.front_half).zip(plain(&spring.rear_half)).map(|(a, b)| Value::from(a + b));
    let mut inputs = Inputs::new();
    inputs
        .value("leaves_old", key(axle, "spring.leaves"), whole(old))
        .job("thickness_old", key(axle, "spring.leaf"), spring.leaf.as_ref())
        .value("leaves_new", key(axle, "spring.leaves_new"), whole(new))
        .job("thickness_new", key(axle, "spring.leaf_new"), spring.leaf_new.as_ref())
        .job("width", key(axle, "spring.width"), spring.width.as_ref())
        .value("span", key(axle, "spring.front_half and rear_half"), span)
        .job("load", key(axle, "spring.load"), spring.load.as_ref());
    sheet.run(
        owner,
        "leaf-swap",
        &inputs,
        &[("rate_old", "spring_rate_before"), ("rate_new", "spring_rate_after")],
    );
}

fn wind_up(job: &JobFile, axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let (Some(spring), Some(tyre), Some(tube)) = (&axle.spring, &axle.tyre, &axle.tube) else { return };
    // Only a braked or driven axle winds its springs up; a trailer axle is
    // reckoned only where its brakes are entered with the unit.
    if !axle.is_front() && !axle.driven || job.unit.braking.is_none() || spring.from == spring.to {
        return;
    }
    let half = plain(&tube.od).map(|od| od / 2.0);
    let face = |seat: &Entry<Length>| half.zip(plain(seat)).map(|(half, seat)| Value::from(half + seat));
    let (over, under) = match spring.to {
        SpringSide::Over => (&spring.seat_new, &spring.seat_old),
        SpringSide::Under => (&spring.seat_old, &spring.seat_new),
    };
    let mut inputs = Inputs::new();
    inputs
        .job("loaded_radius", key(axle, "tyre.radius"), tyre.radius.as_ref())
        .value("seat_over", key(axle, "spring seats and tube.od"), face(over))
        .value("seat_under", key(axle, "spring seats and tube.od"), face(under))
        .job("mass", "unit.mass", job.unit.mass.as_ref())
        .job("wheelbase", "unit.wheelbase", job.unit.wheelbase.as_ref())
        .job("cg_height", "unit.cg_height", job.unit.cg_height.as_ref())
        .job("cg_to_rear", "unit.cg_to_rear", job.unit.cg_to_rear.as_ref())
        .job("deceleration", "unit.braking", job.unit.braking.as_ref())
        .word("cause", "", Some("braking"));
    let (after, before) = match spring.to {
        SpringSide::Over => ("seat_moment_over", "seat_moment_under"),
        SpringSide::Under => ("seat_moment_under", "seat_moment_over"),
    };
    sheet.run(
        owner,
        "wind-up",
        &inputs,
        &[(after, "wind_up_after"), (before, "wind_up_before"), ("over_under", "wind_up_change")],
    );
}

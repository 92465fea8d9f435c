//! Caster, knuckle rotation, marks and the cut of a steered axle; toe.

use super::axle::key;
use super::sheet::Inputs;
use super::{JobFigures, Owner, Side};
use crate::figure::{Figure, Value};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{Axle, Knuckle};
use crate::quantity::{Angle, Dimensioned, Length, Number};
use crate::source::Source;

const TURNS_WITH: Source = Source::derived(
    "an uncut front housing carries its knuckles with it: pinion up by x takes x off the caster",
    "rotation matrices on the steering axis",
);
const STOP: Source = Source::practice(
    "the stop for both sides is set from the lesser one; the wall decides, never a memorised depth",
);

pub(super) fn compute(_job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    if !axle.steered {
        return;
    }
    let owner = Owner::Component(axle.id.value.0.clone());
    let target = axle.target.as_ref();
    sheet.enter(&owner, "caster_target", target.and_then(|t| t.caster.as_ref()));
    sheet.enter(&owner, "caster_tolerance", target.and_then(|t| t.caster_tolerance.as_ref()));
    for side in Side::BOTH {
        one_side(axle, side, &owner, sheet);
    }
    worst_uncertainty(axle, &owner, sheet);
    cut(axle, &owner, sheet);
    toe(axle, &owner, sheet);
    drag_link(axle, &owner, sheet);
}

fn knuckle(axle: &Axle, side: Side) -> Option<&Knuckle> {
    let knuckles = axle.knuckle.as_ref()?;
    match side {
        Side::Left => knuckles.left.as_ref(),
        Side::Right => knuckles.right.as_ref(),
    }
}

fn one_side(axle: &Axle, side: Side, component: &Owner, sheet: &mut JobFigures) {
    let owner = Owner::Side(axle.id.value.0.clone(), side);
    let target = axle.target.as_ref();
    let caster_target = target.and_then(|t| t.caster.as_ref());
    sheet.enter(&owner, "caster_target", caster_target);
    let knuckle = knuckle(axle, side);
    let found = knuckle.and_then(|k| k.caster.as_ref());
    sheet.enter(&owner, "caster_now", found);
    let path = |field: &str| key(axle, &format!("knuckle.{}.{field}", side.word()));
    let measured = knuckle.and_then(|k| k.caster_with_pinion_set.as_ref());
    match (measured, found, sheet.get(component, "housing_turn").map(|f| f.value.clone())) {
        (Some(_), ..) => sheet.enter(&owner, "caster_after_turn", measured),
        (None, Some(now), Some(Value::Quantity { quantity: turn, uncertainty })) => {
            let caster = now.value.value - Angle::from_si(turn.si());
            let spread = Angle::from_si(crate::quantity::math::hypot(now.value.uncertainty, uncertainty));
            sheet.derive(
                &owner,
                "caster_after_turn",
                Value::uncertain(caster, spread),
                "caster_now - housing_turn; measure it again with the pinion set before anything is cut",
                TURNS_WITH,
            );
        }
        (None, Some(_), _) if axle.pinion.is_none() => sheet.enter(&owner, "caster_after_turn", found),
        _ => {}
    }
    let reading = match measured {
        Some(reading) => Some(Value::from(reading)),
        None => sheet.get(&owner, "caster_after_turn").map(|f| f.value.clone()),
    };
    let finder = target;
    let mut inputs = Inputs::new();
    inputs
        .word("side", "", Some(side.word()))
        .value("caster", path("caster_with_pinion_set"), reading.clone())
        .job("target", key(axle, "target.caster"), caster_target)
        .job(
            "tolerance",
            key(axle, "target.caster_tolerance"),
            target.and_then(|t| t.caster_tolerance.as_ref()),
        )
        .job(
            "resolution",
            key(axle, "target.finder_resolution"),
            finder.and_then(|t| t.finder_resolution.as_ref()),
        )
        .job("limit", key(axle, "target.finder_limit"), finder.and_then(|t| t.finder_limit.as_ref()))
        .job(
            "repeatability",
            key(axle, "target.finder_repeatability"),
            finder.and_then(|t| t.finder_repeatability.as_ref()),
        )
        .value(
            "readings",
            key(axle, "target.finder_readings"),
            finder.and_then(|t| t.finder_readings).map(|n| Value::from(Number::from_si(f64::from(n)))),
        );
    let turned = sheet.run(
        &owner,
        "knuckle-rotation",
        &inputs,
        &[("rotation", "knuckle_rotation"), ("accept_low", "caster_low"), ("accept_high", "caster_high")],
    );
    if !turned {
        return;
    }
    let mut inputs = Inputs::new();
    inputs
        .value("caster", path("caster_with_pinion_set"), reading)
        .job("kpi", path("inclination"), knuckle.and_then(|k| k.inclination.as_ref()))
        .job("camber", path("camber"), knuckle.and_then(|k| k.camber.as_ref()))
        .job("toe", path("toe"), knuckle.and_then(|k| k.toe.as_ref()))
        .figure("rotation", sheet, &owner, "knuckle_rotation");
    sheet.run(
        &owner,
        "knuckle-turn",
        &inputs,
        &[("kpi_after", "kpi_after"), ("camber_after", "camber_after"), ("toe_after", "toe_after")],
    );
    let mut inputs = Inputs::new();
    inputs.job("od", key(axle, "tube.od"), axle.tube.as_ref().and_then(|t| t.od.as_ref())).figure(
        "rotation",
        sheet,
        &owner,
        "knuckle_rotation",
    );
    sheet.run(&owner, "scribe-mark", &inputs, &[("arc", "mark_arc"), ("chord", "mark_chord")]);
}

/// What both sides say about the angle finder, in one place.
fn worst_uncertainty(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let sides: Vec<Owner> = Side::BOTH.iter().map(|s| Owner::Side(axle.id.value.0.clone(), *s)).collect();
    let of = |sheet: &JobFigures, id: &str| -> Vec<Value> {
        sheet
            .rows
            .iter()
            .filter(|r| {
                sides.contains(&r.owner) && r.figure.family == "knuckle-rotation" && r.figure.id == id
            })
            .map(|r| r.figure.value.clone())
            .collect()
    };
    let source = Source::standard("JCGM 100:2008", "5.1.2: difference of two angle readings");
    let worst =
        of(sheet, "expanded").iter().filter_map(Value::quantity).map(|q| q.si()).fold(f64::NAN, f64::max);
    if worst.is_finite() {
        let value = Value::from(Angle::from_si(worst));
        sheet.derive(owner, "rotation_uncertainty", value, "the wider of the two sides, k = 2", source);
    }
    let verdicts = of(sheet, "finder_ok");
    if !verdicts.is_empty() {
        let good = verdicts.iter().all(|v| *v == Value::Flag(true));
        let words = if good { "good enough" } else { "not good enough" };
        let source = Source::standard("ISO 14253-1:2017", "guard band inside the tolerance").from_memory();
        sheet.derive(
            owner,
            "finder_verdict",
            Value::word(words),
            "guard band against the tolerance, both sides",
            source,
        );
    }
}

fn cut(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(cut) = &axle.cut else { return };
    sheet.enter(owner, "groove_offset", cut.groove_offset.as_ref());
    let mut least: Option<(f64, [Figure; 3])> = None;
    for (side, walls) in [(Side::Left, &cut.walls_left), (Side::Right, &cut.walls_right)] {
        let list = |walls: &[Located<Reading<Length>>]| {
            (!walls.is_empty()).then(|| Value::List(walls.iter().map(|w| Value::from(w.value)).collect()))
        };
        let mut inputs = Inputs::new();
        inputs
            .word("side", "", Some(side.word()))
            .value("walls", key(axle, &format!("cut.walls_{}", side.word())), list(walls))
            .job("nominal", key(axle, "tube.wall"), axle.tube.as_ref().and_then(|t| t.wall.as_ref()))
            .job("gauge_limit", key(axle, "cut.gauge_limit"), cut.gauge_limit.as_ref())
            .job("setting_limit", key(axle, "cut.setting_limit"), cut.setting_limit.as_ref())
            .job("wobble_limit", key(axle, "cut.wobble"), cut.wobble.as_ref())
            .job("reserve", key(axle, "cut.reserve"), cut.reserve.as_ref())
            .job("groove_offset", key(axle, "cut.groove_offset"), cut.groove_offset.as_ref())
            .job("kerf", key(axle, "cut.kerf"), cut.kerf.as_ref())
            .job("half_angle", key(axle, "cut.bevel"), cut.bevel.as_ref());
        let side_owner = Owner::Side(axle.id.value.0.clone(), side);
        if !sheet.run(&side_owner, "cut-depth", &inputs, &[]) {
            continue;
        }
        let figure = |id: &str| {
            sheet
                .rows
                .iter()
                .rev()
                .find(|r| r.owner == side_owner && r.figure.id == id)
                .map(|r| r.figure.clone())
        };
        let (Some(depth), Some(wall), Some(ligament)) =
            (figure("depth"), figure("wall_min"), figure("ligament"))
        else {
            continue;
        };
        let size = depth.value.quantity().map_or(f64::NAN, |q| q.si());
        if least.as_ref().is_none_or(|(d, _)| size < *d) {
            least = Some((size, [depth, wall, ligament]));
        }
    }
    if let Some((_, [depth, wall, ligament])) = least {
        sheet.derive_as(owner, "depth_stop", &depth, "least of the two sides", STOP);
        sheet.derive_as(owner, "depth_never", &wall, "least wall reading: deeper goes through", STOP);
        sheet.derive_as(owner, "wall_least", &wall, "least of the readings of that side", STOP);
        sheet.derive_as(owner, "ligament", &ligament, "wall left at the thickest reading", STOP);
    }
}

fn toe(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(toe) = axle.target.as_ref().and_then(|t| t.toe.as_ref()) else { return };
    sheet.enter(owner, "toe_target", Some(toe));
    let diameter = axle
        .tyre
        .as_ref()
        .and_then(|t| t.radius_after.as_ref().or(t.radius.as_ref()))
        .map(|r| Value::from(r.value.value * 2.0));
    let mut inputs = Inputs::new();
    inputs.value("diameter", key(axle, "tyre.radius"), diameter).job(
        "total_angle",
        key(axle, "target.toe"),
        Some(toe),
    );
    sheet.run(owner, "toe", &inputs, &[("total_length", "toe_linear")]);
}

fn drag_link(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(link) = &axle.drag_link else { return };
    let bump = axle.spring.as_ref().and_then(|s| s.bump.as_ref());
    let lift = sheet.quantity::<Length>(owner, "lift");
    let zero = Some(Value::from(Length::from_si(0.0)));
    let rise = link.rise.as_ref().map(|r| r.value.value);
    let after = rise.zip(lift).map(|(rise, lift)| rise + lift);
    for (height, names) in
        [(rise, ["drag_link_before", "bump_steer_before"]), (after, ["drag_link_after", "bump_steer_after"])]
    {
        let mut inputs = Inputs::new();
        inputs
            .value("arm_x", "", zero.clone())
            .value("arm_z", "", zero.clone())
            .job("pitman_x", key(axle, "drag_link.along"), link.along.as_ref())
            .value(
                "pitman_z",
                format!("{} and the lift", key(axle, "drag_link.rise")),
                height.map(Value::from),
            )
            .job("arm", key(axle, "drag_link.arm"), link.arm.as_ref())
            .job("bump", key(axle, "spring.bump"), bump);
        sheet.run(owner, "drag-link", &inputs, &[("slope", names[0]), ("steer", names[1])]);
    }
}

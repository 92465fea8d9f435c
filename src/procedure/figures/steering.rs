//! Caster, knuckle rotation, marks and the cut of a steered axle; toe.

use super::inputs::{Inputs, to};
use super::keys::of_axle as key;
use super::{JobFigures, Owner, Side, work};
use crate::figure::geometry::cut_depth::{CutDepth, CutDepthAnswer};
use crate::figure::geometry::drag_link::{BumpSteer, DragLinkAnswer};
use crate::figure::geometry::knuckle_rotation::{KnuckleRotation, KnuckleRotationAnswer};
use crate::figure::geometry::knuckle_turn::{KnuckleTurn, KnuckleTurnAnswer};
use crate::figure::geometry::scribe_mark::{ScribeMark, ScribeMarkAnswer};
use crate::figure::geometry::wheel::{Toe, ToeAnswer};
use crate::figure::{Figure, Value};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{Axle, Construction, Cut, Knuckle};
use crate::procedure::catalogue::{self, Called, component};
use crate::quantity::{Angle, Dimensioned, Length, Number, Style, unit};
use crate::source::Source;

const TURNS_WITH: Source = Source::derived(
    "an uncut front housing carries its knuckles with it: pinion up by x takes x off the caster",
    "rotation matrices on the steering axis",
);
const STOP: Source = Source::practice(
    "the stop for both sides is set from the lesser one; the wall decides, never a memorised depth",
);

/// Degrees by which a caster read with the pinion set and one that follows from the turn
/// of the housing differ at most (common practice: two readings, and springs that settle).
const SET_APART: f64 = 3.0;

pub(super) fn compute(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    if !axle.steered {
        return;
    }
    let owner = Owner::Component(axle.id.0.clone());
    let target = axle.target.as_ref();
    sheet.enter(&owner, component::caster_target, target.and_then(|t| t.caster.as_ref()));
    sheet.enter(&owner, component::caster_tolerance, target.and_then(|t| t.caster_tolerance.as_ref()));
    sheet.enter(&owner, component::caster_spread, target.and_then(|t| t.caster_spread.as_ref()));
    let turned = work::turns(job, axle);
    for side in Side::BOTH {
        one_side(axle, side, (&owner, turned), sheet);
    }
    worst_uncertainty(axle, &owner, sheet);
    given_back(job, axle, sheet);
    cut(job, axle, &owner, sheet);
    toe(axle, &owner, sheet);
    drag_link(axle, &owner, sheet);
}

/// A housing that is turned takes its caster with it; where nothing in the job gives
/// it back and it leaves its limits, that is settled first.
fn given_back(job: &JobFile, axle: &Axle, sheet: &mut JobFigures) {
    if !work::turned(job, axle) || work::works(job, axle, &["knuckle-reindex"]) {
        return;
    }
    let whole = Owner::Component(axle.id.0.clone());
    let target = sheet.quantity(&whole, component::caster_target);
    let tolerance = sheet.quantity(&whole, component::caster_tolerance);
    let Some((target, tolerance)) = target.zip(tolerance) else { return };
    let out: Vec<String> = Side::BOTH
        .into_iter()
        .filter_map(|side| {
            let owner = Owner::Side(axle.id.0.clone(), side);
            let after = sheet.quantity(&owner, catalogue::side::caster_after_turn)?;
            let off = (after.si() - target.si()).abs();
            (off > tolerance.si().abs() + 1e-9).then(|| {
                format!("{} {}", side.word(), sheet.shown(&owner, catalogue::side::caster_after_turn.name()))
            })
        })
        .collect();
    if !out.is_empty() {
        sheet.concern(
            &axle.id.value,
            "caster",
            format!(
                "Caster after the turn. {}; {} is wanted, and nothing in this job gives it back: the unit would wander or shake. Knuckles turned in the same job, or a smaller turn, before anything is cut; write which.",
                out.join(", "),
                sheet.shown(&whole, component::caster_target.name())
            ),
        );
    }
}

/// Where a value of a knuckle stands in the job.
fn knuckle_key(axle: &Axle, side: Side, field: &str) -> String {
    key(axle, &format!("knuckle.{}.{field}", side.word()))
}

fn knuckle(axle: &Axle, side: Side) -> Option<&Knuckle> {
    let knuckles = axle.knuckle.as_ref()?;
    match side {
        Side::Left => knuckles.left.as_ref(),
        Side::Right => knuckles.right.as_ref(),
    }
}

/// One side: its caster once the housing is turned, the turn of its knuckle, its mark.
fn one_side(axle: &Axle, side: Side, (whole, turned): (&Owner, bool), sheet: &mut JobFigures) {
    let owner = Owner::Side(axle.id.0.clone(), side);
    let knuckle = knuckle(axle, side);
    sheet.enter(&owner, catalogue::side::caster_target, axle.target.as_ref().and_then(|t| t.caster.as_ref()));
    sheet.enter(&owner, catalogue::side::caster_now, knuckle.and_then(|k| k.caster.as_ref()));
    let turn = sheet.reading(whole, component::housing_turn).filter(|_| turned);
    caster_after_turn(axle, &owner, knuckle, turn, turned, sheet);
    let measured = knuckle.and_then(|k| k.caster_with_pinion_set.as_ref());
    let caster = match measured {
        Some(reading) => Some(reading.value),
        None => sheet.reading(&owner, catalogue::side::caster_after_turn),
    };
    if knuckle_rotation(axle, side, &owner, caster, sheet) {
        what_the_knuckle_carries(axle, side, &owner, caster, sheet);
        scribe_mark(axle, &owner, sheet);
    }
}

/// Caster that is left once the housing is turned: read with the pinion set, or what was
/// found less the turn.
fn caster_after_turn(
    axle: &Axle,
    owner: &Owner,
    knuckle: Option<&Knuckle>,
    turn: Option<Reading<Angle>>,
    turned: bool,
    sheet: &mut JobFigures,
) {
    let found = knuckle.and_then(|k| k.caster.as_ref());
    let measured = knuckle.and_then(|k| k.caster_with_pinion_set.as_ref());
    match (measured, found, turn) {
        (Some(set), now, turn) => {
            sheet.enter(owner, catalogue::side::caster_after_turn, measured);
            let sure = axle.sure.is_some() || knuckle.is_some_and(|k| k.sure.is_some());
            if let (Some(now), Some(turn), false) = (now, turn, sure) {
                set_apart(owner, set.value.value, now.value.value - turn.value, sheet);
            }
        }
        (None, Some(now), Some(turn)) => {
            let caster = Reading {
                value: now.value.value - turn.value,
                uncertainty: crate::quantity::math::hypot(now.value.uncertainty, turn.uncertainty),
                metric: now.value.metric,
            };
            sheet.derive(
                owner,
                catalogue::side::caster_after_turn,
                caster,
                "caster_now - housing_turn; measure it again with the pinion set before anything is cut",
                TURNS_WITH,
            );
        }
        // An axle that nothing drives has no pinion to set: its caster stays with its seats.
        (None, Some(_), _) if !turned || !axle.driven && axle.pinion.is_none() => {
            sheet.enter(owner, catalogue::side::caster_after_turn, found);
        }
        _ => {}
    }
}

/// Doubts a caster read with the pinion set that is far from what the turn leaves.
fn set_apart(owner: &Owner, set: Angle, left: Angle, sheet: &mut JobFigures) {
    if (set - left).to(unit::DEG).abs() <= SET_APART {
        return;
    }
    let style = Style::of(Angle::KIND);
    let why = format!(
        "caster with the pinion set was read as {}, and the turn of the housing leaves {}",
        sheet.said(style, set),
        sheet.said(style, left)
    );
    sheet.doubt(owner, why, "the reading and its sign taken again; or sure = with the reason in [[axle]]");
}

/// The turn of a knuckle that gives its caster back; false where there is none.
fn knuckle_rotation(
    axle: &Axle,
    side: Side,
    owner: &Owner,
    caster: Option<Reading<Angle>>,
    sheet: &mut JobFigures,
) -> bool {
    let target = axle.target.as_ref();
    let wanted = |field: &str| key(axle, &format!("target.{field}"));
    let mut inputs = Inputs::<KnuckleRotation>::new();
    inputs
        .with(KnuckleRotation::side, "", Some(side))
        .with(KnuckleRotation::caster, knuckle_key(axle, side, "caster_with_pinion_set"), caster)
        .with(KnuckleRotation::target, wanted("caster"), target.and_then(|t| t.caster.as_ref()))
        .with(
            KnuckleRotation::tolerance,
            wanted("caster_tolerance"),
            target.and_then(|t| t.caster_tolerance.as_ref()),
        )
        .with(
            KnuckleRotation::resolution,
            wanted("finder_resolution"),
            target.and_then(|t| t.finder_resolution.as_ref()),
        )
        .with(KnuckleRotation::limit, wanted("finder_limit"), target.and_then(|t| t.finder_limit.as_ref()))
        .with(
            KnuckleRotation::repeatability,
            wanted("finder_repeatability"),
            target.and_then(|t| t.finder_repeatability.as_ref()),
        )
        .with(
            KnuckleRotation::readings,
            wanted("finder_readings"),
            target.and_then(|t| t.finder_readings).map(|n| Number::from_si(f64::from(n))),
        );
    sheet.run(
        owner,
        &inputs,
        &[
            to(KnuckleRotationAnswer::rotation, catalogue::side::knuckle_rotation),
            to(KnuckleRotationAnswer::accept_low, catalogue::side::caster_low),
            to(KnuckleRotationAnswer::accept_high, catalogue::side::caster_high),
        ],
    )
}

/// Inclination, camber and toe, which turn with the knuckle.
fn what_the_knuckle_carries(
    axle: &Axle,
    side: Side,
    owner: &Owner,
    caster: Option<Reading<Angle>>,
    sheet: &mut JobFigures,
) {
    let knuckle = knuckle(axle, side);
    let path = |field: &str| knuckle_key(axle, side, field);
    let mut inputs = Inputs::<KnuckleTurn>::new();
    inputs
        .with(KnuckleTurn::caster, path("caster_with_pinion_set"), caster)
        .with(KnuckleTurn::kpi, path("inclination"), knuckle.and_then(|k| k.inclination.as_ref()))
        .with(KnuckleTurn::camber, path("camber"), knuckle.and_then(|k| k.camber.as_ref()))
        .with(KnuckleTurn::toe, path("toe"), knuckle.and_then(|k| k.toe.as_ref()))
        .figure(KnuckleTurn::rotation, sheet, owner, catalogue::side::knuckle_rotation);
    // The family takes what nobody read as nothing: what rests on it is not planned then.
    let read = |stated: bool, field: &str| (!stated).then(|| path(field));
    let unread = [
        read(knuckle.is_some_and(|k| k.inclination.is_some()), "inclination"),
        read(knuckle.is_some_and(|k| k.camber.is_some()), "camber"),
        read(knuckle.is_some_and(|k| k.toe.is_some()), "toe"),
    ];
    let planned = [
        to(KnuckleTurnAnswer::kpi_after, catalogue::side::kpi_after),
        to(KnuckleTurnAnswer::camber_after, catalogue::side::camber_after),
        to(KnuckleTurnAnswer::toe_after, catalogue::side::toe_after),
    ];
    // Each rests on its own angle, and on those before it.
    let known = unread.iter().take_while(|key| key.is_none()).count();
    let (named, open) = planned.split_at(known);
    if sheet.run(owner, &inputs, named) && !open.is_empty() {
        let names: Vec<&'static str> = open.iter().map(|to| to.name).collect();
        let needs: Vec<String> = unread.into_iter().flatten().collect();
        let why = format!("what the knuckle carries along as it turns still needs {}", needs.join(", "));
        sheet.miss(owner, &names, needs, why);
    }
}

/// The mark on the tube that shows the turn.
fn scribe_mark(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let od = axle.tube.as_ref().and_then(|t| t.od.as_ref());
    let mut inputs = Inputs::<ScribeMark>::new();
    inputs.with(ScribeMark::od, key(axle, "tube.od"), od).figure(
        ScribeMark::rotation,
        sheet,
        owner,
        catalogue::side::knuckle_rotation,
    );
    sheet.run(
        owner,
        &inputs,
        &[
            to(ScribeMarkAnswer::arc, catalogue::side::mark_arc),
            to(ScribeMarkAnswer::chord, catalogue::side::mark_chord),
            to(ScribeMarkAnswer::mark_expanded, catalogue::side::mark_accuracy),
        ],
    );
}

/// What both sides say about the angle finder and the marks, in one place.
fn worst_uncertainty(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let sides: Vec<Owner> = Side::BOTH.iter().map(|s| Owner::Side(axle.id.0.clone(), *s)).collect();
    let source = Source::standard("JCGM 100:2008", "5.1.2: difference of two angle readings");
    let of = |side: &Owner| {
        let figure = sheet.output::<KnuckleRotation, _>(side, KnuckleRotationAnswer::expanded)?;
        Some(figure.value.quantity()?.si())
    };
    // What stands for the whole axle needs both sides; one says nothing of the other.
    let both: Option<Vec<f64>> = sides.iter().map(of).collect();
    if let Some(worst) = both.and_then(|both| both.into_iter().reduce(f64::max)) {
        let value = Angle::from_si(worst);
        sheet.derive(
            owner,
            component::rotation_uncertainty,
            value,
            "the wider of the two sides, k = 2",
            source,
        );
    }
    // Whose words say how far marks and finder may disagree: as far as the marks
    // are good for, not the finder.
    let marks: Option<Vec<Angle>> =
        sides.iter().map(|s| sheet.quantity(s, catalogue::side::mark_accuracy)).collect();
    if let Some(worst) = marks.and_then(|both| both.into_iter().max_by(|a, b| a.si().total_cmp(&b.si()))) {
        let source = Source::standard("JCGM 100:2008", "5.1.2: a turn set by marks on the tube");
        sheet.derive_up(owner, component::mark_accuracy, worst, "the wider of the two sides, k = 2", source);
    }
    let verdicts: Vec<&Value> = sides
        .iter()
        .filter_map(|side| sheet.output::<KnuckleRotation, _>(side, KnuckleRotationAnswer::finder_ok))
        .map(|figure| &figure.value)
        .collect();
    if !verdicts.is_empty() {
        let good = verdicts.iter().all(|v| **v == Value::Flag(true));
        // Nobody stated the finder: what is reckoned with is what it has to be.
        let stated =
            axle.target.as_ref().is_some_and(|t| t.finder_resolution.is_some() || t.finder_limit.is_some());
        let taken = || {
            let figure = sides.iter().find_map(|side| {
                sheet.output::<KnuckleRotation, _>(side, KnuckleRotationAnswer::finder_ok)
            })?;
            let taken = |name: &str| figure.inputs.iter().find(|used| used.name == name)?.default;
            Some((taken("resolution")?, taken("limit")?))
        };
        let words = match (good, (!stated).then(taken).flatten()) {
            (true, Some((reads, off))) => {
                format!("good enough if it reads to {reads} and is off by no more than {off}")
            }
            (true, None) => "good enough".to_owned(),
            (false, _) => "not good enough".to_owned(),
        };
        let source = Source::standard("ISO 14253-1:2017", "guard band inside the tolerance").from_memory();
        sheet.derive(
            owner,
            component::finder_verdict,
            words,
            "guard band against the tolerance, both sides",
            source,
        );
    }
}

/// The cut that frees the knuckles: what is cut follows from how knuckle and
/// tube are joined; the depth on a side from that side's wall readings alone.
fn cut(job: &JobFile, axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let seams = job.joint.iter().any(|j| j.on.value == axle.id.value && *j.usage.0 == *"knuckle");
    if axle.cut.is_none() && !seams {
        return;
    }
    let construction = axle.cut.as_ref().and_then(|c| c.construction.as_ref()).map(|c| c.value);
    let names = [
        component::knuckle_construction.name(),
        component::cut_line.name(),
        component::depth_stop.name(),
        component::depth_never.name(),
    ];
    let Some(construction) = construction else {
        sheet.miss(
            owner,
            &names,
            vec![key(axle, "cut.construction")],
            format!(
                "the cut still needs {}: how knuckle and tube are joined decides where it runs and how deep",
                key(axle, "cut.construction")
            ),
        );
        return sheet.concern(
            &axle.id.value,
            "construction",
            "Construction of the knuckle joint. Nobody has said how knuckle and tube are joined: spigot in the tube, knuckle over the tube, butt with sleeve, or cast in one. Find out before any cut (maker's drawing, a look into the tube, ultrasonic readings across the seam) and write it; cut line, depth, weld and preheat follow from it. The lead issues the traveler again with it.",
        );
    };
    let source = Source::entered("job file");
    sheet.derive(owner, component::knuckle_construction, construction.word(), "as stated", source);
    let practice = Source::practice("the cut frees the knuckle without touching what carries it");
    sheet.derive(
        owner,
        component::cut_line,
        construction.cut_line(),
        "follows from the construction",
        practice,
    );
    if construction == Construction::Cast {
        return sheet.stop(
            owner,
            "knuckle and tube are one casting: there is no seam to cut and turn",
            "correct the caster another way, or replace the housing; a casting is never cut and welded back by this procedure",
        );
    }
    let Some(cut) = &axle.cut else { return };
    sheet.enter(owner, component::groove_offset, cut.groove_offset.as_ref());
    if !construction.cuts_tube() {
        return;
    }
    let mut sides: Vec<[Figure; 3]> = Vec::new();
    for (side, walls) in [(Side::Left, &cut.walls_left), (Side::Right, &cut.walls_right)] {
        sides.extend(side_depth(axle, cut, side, walls, sheet));
    }
    // What stands for the whole axle needs both sides; one says nothing of the other.
    let [left, right] = sides.as_slice() else { return };
    let si = |figure: &Figure| figure.value.quantity().map_or(f64::NAN, |q| q.si());
    let [depth, wall, _] = if si(&left[0]) <= si(&right[0]) { left } else { right };
    let ligament = if si(&left[2]) >= si(&right[2]) { &left[2] } else { &right[2] };
    let thinnest = if si(&left[1]) <= si(&right[1]) { &left[1] } else { wall };
    sheet.derive_as(owner, component::depth_stop, depth, "least of the two sides", STOP);
    sheet.derive_as(owner, component::depth_never, thinnest, "least wall reading: deeper goes through", STOP);
    sheet.derive_as(owner, component::wall_least, thinnest, "least of the readings of both sides", STOP);
    sheet.derive_as(owner, component::ligament, ligament, "wall left at the thickest reading", STOP);
}

/// Depth, least wall and remaining wall of one side, from its own readings.
fn side_depth(
    axle: &Axle,
    cut: &Cut,
    side: Side,
    walls: &[Located<Reading<Length>>],
    sheet: &mut JobFigures,
) -> Option<[Figure; 3]> {
    let list = (!walls.is_empty()).then(|| walls.iter().map(|w| w.value).collect::<Vec<_>>());
    let mut inputs = Inputs::<CutDepth>::new();
    inputs
        .with(CutDepth::side, "", Some(side))
        .with(CutDepth::walls, key(axle, &format!("cut.walls_{}", side.word())), list)
        .with(CutDepth::nominal, key(axle, "tube.wall"), axle.tube.as_ref().and_then(|t| t.wall.as_ref()))
        .with(CutDepth::gauge_limit, key(axle, "cut.gauge_limit"), cut.gauge_limit.as_ref())
        .with(CutDepth::setting_limit, key(axle, "cut.setting_limit"), cut.setting_limit.as_ref())
        .with(CutDepth::wobble_limit, key(axle, "cut.wobble"), cut.wobble.as_ref())
        .with(CutDepth::reserve, key(axle, "cut.reserve"), cut.reserve.as_ref())
        .with(CutDepth::groove_offset, key(axle, "cut.groove_offset"), cut.groove_offset.as_ref())
        .with(CutDepth::kerf, key(axle, "cut.kerf"), cut.kerf.as_ref())
        .with(CutDepth::half_angle, key(axle, "cut.bevel"), cut.bevel.as_ref());
    let owner = Owner::Side(axle.id.0.clone(), side);
    let names = [
        to(CutDepthAnswer::depth, catalogue::side::depth_stop),
        to(CutDepthAnswer::wall_min, catalogue::side::wall_least),
        to(CutDepthAnswer::ligament, catalogue::side::ligament),
    ];
    if !sheet.run_or_stop(&owner, &inputs, &names, "") {
        return None;
    }
    let figure = |name: Called<Length>| sheet.get(&owner, name).cloned();
    let found = [
        figure(catalogue::side::depth_stop)?,
        figure(catalogue::side::wall_least)?,
        figure(catalogue::side::ligament)?,
    ];
    sheet.derive_as(
        &owner,
        catalogue::side::depth_never,
        &found[1],
        "least wall reading: deeper goes through",
        STOP,
    );
    Some(found)
}

fn toe(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(toe) = axle.target.as_ref().and_then(|t| t.toe.as_ref()) else { return };
    sheet.enter(owner, component::toe_target, Some(toe));
    let diameter = axle
        .tyre
        .as_ref()
        .and_then(|t| t.radius_after.as_ref().or(t.radius.as_ref()))
        .map(|r| r.value.value * 2.0);
    let mut inputs = Inputs::<Toe>::new();
    inputs.with(Toe::diameter, key(axle, "tyre.radius"), diameter).with(
        Toe::total_angle,
        key(axle, "target.toe"),
        Some(toe),
    );
    sheet.run(owner, &inputs, &[to(ToeAnswer::total_length, component::toe_linear)]);
}

fn drag_link(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let Some(link) = &axle.drag_link else { return };
    let bump = axle.spring.as_ref().and_then(|s| s.bump.as_ref());
    let lift = sheet.quantity(owner, component::lift);
    let zero = Some(Length::from_si(0.0));
    let rise = link.rise.as_ref().map(|r| r.value.value);
    let after = rise.zip(lift).map(|(rise, lift)| rise + lift);
    for (height, names) in [
        (rise, [component::drag_link_before, component::bump_steer_before]),
        (after, [component::drag_link_after, component::bump_steer_after]),
    ] {
        let mut inputs = Inputs::<BumpSteer>::new();
        inputs
            .with(BumpSteer::arm_x, "", zero)
            .with(BumpSteer::arm_z, "", zero)
            .with(BumpSteer::pitman_x, key(axle, "drag_link.along"), link.along.as_ref())
            .with(BumpSteer::pitman_z, format!("{} and the lift", key(axle, "drag_link.rise")), height)
            .with(BumpSteer::arm, key(axle, "drag_link.arm"), link.arm.as_ref())
            .with(BumpSteer::bump, key(axle, "spring.bump"), bump);
        sheet.run(
            owner,
            &inputs,
            &[to(DragLinkAnswer::slope, names[0]), to(DragLinkAnswer::steer, names[1])],
        );
    }
    link_limits(axle, owner, sheet);
}

/// Slope below which a drag link counts as level, and bump steer that nobody
/// feels, in degrees: a limit taken from the unit as found is never finer.
const LEVEL: f64 = 3.0;
const UNFELT: f64 = 0.25;
const AS_FOUND: Source = Source::practice("the steering is left no worse than it was found");

/// Limits the steering link has to stay under, up and down alike, and the
/// remedy that has to be settled where the plan passes them.
fn link_limits(axle: &Axle, owner: &Owner, sheet: &mut JobFigures) {
    let target = axle.target.as_ref();
    let rows = [
        (
            "Drag link slope",
            target.and_then(|t| t.link_slope.as_ref()),
            LEVEL,
            [
                component::drag_link_before,
                component::drag_link_after,
                component::link_slope_limit,
                component::link_slope_low,
                component::link_slope_high,
            ],
        ),
        (
            "Bump steer",
            target.and_then(|t| t.bump_steer.as_ref()),
            UNFELT,
            [
                component::bump_steer_before,
                component::bump_steer_after,
                component::bump_steer_limit,
                component::bump_steer_low,
                component::bump_steer_high,
            ],
        ),
    ];
    let mut passed = Vec::new();
    for (what, stated, floor, [before, after, limit, low, high]) in rows {
        let (most, formula, source) = match stated {
            Some(stated) => {
                (stated.value.value.si().abs(), "as stated in the job", Source::entered("job file"))
            }
            None => match sheet.quantity(owner, before) {
                Some(found) => {
                    // Up to the tenth that is printed: the unit as it came passes.
                    let step = Angle::of(0.1, unit::DEG).si();
                    let most = found.si().abs().max(Angle::of(floor, unit::DEG).si());
                    ((most / step - 1e-6).ceil() * step, "as found up to a tenth, or level", AS_FOUND)
                }
                None => continue,
            },
        };
        let value = |sign: f64| Angle::from_si(sign * most);
        sheet.derive_down(owner, limit, value(1.0), formula, source);
        sheet.derive_up(owner, low, value(-1.0), formula, source);
        sheet.derive_down(owner, high, value(1.0), formula, source);
        if sheet.quantity(owner, after).is_some_and(|after| after.si().abs() > most + 1e-9) {
            // In the digits the figures have on every other page.
            let planned = sheet.shown(owner, after.name());
            let planned = planned.trim_start_matches('−');
            let limit = sheet.shown(owner, limit.name());
            passed.push(format!("{what} {planned} as planned, at most {limit} is accepted"));
        }
    }
    if !passed.is_empty() {
        sheet.concern(
            &axle.id.value,
            "steering-link",
            format!(
                "Steering link. {}. Settle the remedy before anything is cut: raised steering arm, lowered pitman arm or both, track bar parallel to the drag link. Write which, its maker's number, the slope it gives.",
                passed.join(". ")
            ),
        );
    }
}

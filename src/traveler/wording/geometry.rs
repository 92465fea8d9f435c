//! The geometry page: drawings, table as found / planned / as left, look-ups.

use super::super::document::{Geometry, GeometryRow};
use super::super::end_view::end_view;
use super::super::side_view::{Points, Seat, Seating, Shaft, SideView, Turn, side_view};
use super::{Subject, sketches};
use crate::figure::geometry::pinion;
use crate::job::model::{Axle, SpringSide};
use crate::procedure::catalogue::{self, Called, component, side};
use crate::procedure::figures::{Owner, Side};
use crate::quantity::show::LENGTH;
use crate::quantity::{Angle, Dimensioned, Kind, Length, Style, unit};

/// Table rows of an axle: as-found figure, planned figure, tolerance.
struct Line {
    what: &'static str,
    found: Option<&'static str>,
    planned: &'static str,
    tolerance: Option<Tolerance>,
}

enum Tolerance {
    /// A tolerance the job states.
    Caster,
    Pinion,
    /// Either way, common practice, in inches.
    Inches(f64),
    /// Words of the trade.
    Words(&'static str),
}

const AXLE: &[Line] = &[
    Line {
        what: "frame above the axle, change",
        found: None,
        planned: component::lift.name(),
        tolerance: Some(Tolerance::Inches(0.25)),
    },
    Line {
        what: "pinion angle",
        found: Some(component::pinion_now.name()),
        planned: component::pinion_target.name(),
        tolerance: Some(Tolerance::Pinion),
    },
    Line {
        what: "joint angle at the pinion",
        found: Some(component::joint_pinion_before.name()),
        planned: component::joint_pinion_after.name(),
        tolerance: None,
    },
    Line {
        what: "joint angle at the case",
        found: Some(component::joint_case_before.name()),
        planned: component::joint_case_after.name(),
        tolerance: None,
    },
    Line {
        what: "shaft, joint to joint",
        found: Some(component::shaft_length_before.name()),
        planned: component::shaft_length.name(),
        tolerance: None,
    },
    Line {
        what: "approach angle",
        found: Some(component::approach_before.name()),
        planned: component::approach_after.name(),
        tolerance: None,
    },
    Line {
        what: "departure angle",
        found: Some(component::departure_before.name()),
        planned: component::departure_after.name(),
        tolerance: None,
    },
    Line {
        what: "breakover angle",
        found: Some(component::breakover_before.name()),
        planned: component::breakover_after.name(),
        tolerance: None,
    },
    Line {
        what: "drag link slope",
        found: Some(component::drag_link_before.name()),
        planned: component::drag_link_after.name(),
        tolerance: None,
    },
    Line {
        what: "diagonals differ by",
        found: None,
        planned: component::squareness_limit.name(),
        tolerance: Some(Tolerance::Words("at most")),
    },
    Line {
        what: "total toe, in",
        found: None,
        planned: component::toe_target.name(),
        tolerance: Some(Tolerance::Words("± 0.1°")),
    },
    Line {
        what: "wheelbase, left",
        found: None,
        planned: component::wheelbase_left.name(),
        tolerance: Some(Tolerance::Inches(0.125)),
    },
    Line {
        what: "wheelbase, right",
        found: None,
        planned: component::wheelbase_right.name(),
        tolerance: Some(Tolerance::Inches(0.125)),
    },
];

const SIDE: &[Line] = &[
    Line {
        what: "caster",
        found: Some(side::caster_now.name()),
        planned: side::caster_target.name(),
        tolerance: Some(Tolerance::Caster),
    },
    Line {
        what: "caster with the pinion set, knuckles uncut",
        found: None,
        planned: side::caster_after_turn.name(),
        tolerance: None,
    },
    Line { what: "knuckle rotation", found: None, planned: side::knuckle_rotation.name(), tolerance: None },
    Line {
        what: "arc on the tube",
        found: None,
        planned: side::mark_arc.name(),
        tolerance: Some(Tolerance::Words("cross-check")),
    },
];

pub(super) fn geometry(planned: &Subject<'_>) -> Option<Geometry> {
    let mut geometry = Geometry { note: signs(planned), ..Geometry::default() };
    for axle in worked_axles(planned) {
        drawings(planned, axle, &mut geometry);
        geometry.drawings.extend(sketches::views(planned, axle).iter().map(end_view));
        rows(planned, axle, &mut geometry);
    }
    (!geometry.rows.is_empty() || !geometry.drawings.is_empty()).then_some(geometry)
}

/// How the angles of the axles in work are counted: a trailer's axle has neither caster nor
/// pinion.
fn signs(planned: &Subject<'_>) -> Option<String> {
    let any = |test: fn(&Axle) -> bool| worked_axles(planned).any(test);
    let words = match (any(|a| a.steered), any(|a| a.pinion.is_some())) {
        (true, true) => {
            "Caster, pinion and camber: positive with the top rearward, the nose up, the top outboard."
        }
        (true, false) => "Caster and camber: positive with the top rearward, the top outboard.",
        (false, true) => "Pinion: positive with the nose up.",
        (false, false) => return None,
    };
    Some(format!("{words} The angle finder decides; marks on the tube are a cross-check."))
}

/// Axles some operation works on.
fn worked_axles<'a>(planned: &Subject<'a>) -> impl Iterator<Item = &'a Axle> {
    let operations = &planned.plan.operations;
    planned.job.axle.iter().filter(move |a| operations.iter().any(|o| o.on.iter().any(|c| c.id == *a.id.0)))
}

fn rows(planned: &Subject<'_>, axle: &Axle, geometry: &mut Geometry) {
    let several = planned.job.axle.len() > 1;
    let name = axle.name.as_deref().unwrap_or(&axle.id.0);
    let component = Owner::Component(axle.id.0.clone());
    let mut push = |line: &Line, owner: &Owner, side: Option<Side>| {
        let text = |id: &str| planned.figures.named(owner, id).map(|f| planned.shown(f));
        let found = line.found.and_then(text);
        let aim = text(line.planned);
        let waits =
            planned.figures.missing.iter().any(|m| m.owner == *owner && m.names.contains(&line.planned));
        if found.is_none() && aim.is_none() && !(waits && side.is_some()) {
            return;
        }
        geometry.rows.push(GeometryRow {
            what: if several { format!("{name}: {}", line.what) } else { line.what.to_owned() },
            side: side.map(|s| s.word().to_owned()),
            found,
            planned: aim,
            tolerance: line.tolerance.as_ref().and_then(|t| tolerance(planned, axle, t)),
            left: None,
        });
    };
    for line in AXLE {
        debug_assert!(catalogue::find(component.scope(), line.planned).is_some());
        push(line, &component, None);
    }
    if axle.steered {
        for line in SIDE {
            for side in Side::BOTH {
                push(line, &Owner::Side(axle.id.0.clone(), side), Some(side));
            }
        }
    }
}

fn tolerance(planned: &Subject<'_>, axle: &Axle, tolerance: &Tolerance) -> Option<String> {
    let target = axle.target.as_ref();
    let value = match tolerance {
        Tolerance::Words(words) => return Some((*words).to_owned()),
        Tolerance::Inches(inches) => {
            // Rounded inward, as the reading it belongs to.
            let style = planned.job.job.units.first(LENGTH.down());
            return Some(format!("± {}", style.both(Length::of(*inches, unit::IN).into())));
        }
        Tolerance::Caster => target.and_then(|t| t.caster_tolerance.as_ref()),
        Tolerance::Pinion => target.and_then(|t| t.pinion_tolerance.as_ref()),
    }?;
    // As it was written: 0.75 deg, not 0.8.
    let quantity = value.value.value.into();
    let style = planned.job.job.units.first(Style::of(Kind::Angle).fine_enough(quantity));
    Some(format!("± {}", style.both(quantity)))
}

/// The shaft line before and after, where the flange and both pinion angles
/// are known.
fn shaft(axle: &Axle, lift: Length, owner: &Owner, planned: &Subject<'_>) -> Option<Shaft> {
    let entry = axle.pinion.as_ref()?;
    let up = entry.case_up.as_ref()?.value.value;
    let place = |rise: Length| {
        Some(pinion::Pinion {
            reach: entry.case_forward.as_ref()?.value.value,
            rise,
            offset: entry.offset.as_ref().map_or(Length::from_si(0.0), |o| o.value.value),
            pinion: entry.reach.as_ref()?.value.value,
        })
    };
    let angle = |name: Called<Angle>| planned.figures.quantity(owner, name);
    let before = pinion::shaft(place(up)?, angle(component::pinion_now)?).slope;
    let after = pinion::shaft(place(up + lift)?, angle(component::pinion_target)?).slope;
    let joint = angle(component::joint_pinion_before).zip(angle(component::joint_pinion_after));
    Some(Shaft { angle: Turn { before, after }, joint: joint.map(|(before, after)| Turn { before, after }) })
}

fn drawings(planned: &Subject<'_>, axle: &Axle, geometry: &mut Geometry) {
    let owner = Owner::Component(axle.id.0.clone());
    let angle = |owner: &Owner, name: Called<Angle>| planned.figures.quantity(owner, name);
    let turn = |owner: &Owner, before: Called<Angle>, after: Called<Angle>| {
        Some(Turn { before: angle(owner, before)?, after: angle(owner, after)? })
    };
    let spring = axle.spring.as_ref();
    let length = |v: Option<&crate::file::Located<crate::file::Reading<Length>>>| v.map(|v| v.value.value);
    let od = length(axle.tube.as_ref().and_then(|t| t.od.as_ref()));
    let (Some(od), Some(pack)) = (od, length(spring.and_then(|s| s.pack.as_ref()))) else { return };
    let seating = |side: SpringSide, height: Option<Length>| {
        let seat = match side {
            SpringSide::Under => Seat::Under,
            SpringSide::Over => Seat::Over,
        };
        height.map(|height| Seating { seat, height })
    };
    let before = spring.and_then(|s| seating(s.from, length(s.seat_old.as_ref())));
    let after = spring.and_then(|s| seating(s.to, length(s.seat_new.as_ref())));
    let (Some(before), Some(after)) = (before, after) else { return };
    let pinion = axle.pinion.as_ref();
    let lift = planned.figures.quantity(&owner, component::lift).unwrap_or(Length::from_si(0.0));
    let caster = Side::BOTH.iter().find_map(|side| {
        let owner = Owner::Side(axle.id.0.clone(), *side);
        Some((side.word().to_owned(), turn(&owner, side::caster_now, side::caster_target)?))
    });
    let mut drawn = side_view(&SideView {
        tube_od: od,
        pack,
        before,
        after,
        pinion_points: if axle.steered { Points::Rear } else { Points::Front },
        pinion: turn(&owner, component::pinion_now, component::pinion_target),
        pinion_reach: length(pinion.and_then(|p| p.reach.as_ref())),
        caster,
        shaft: shaft(axle, lift, &owner, planned),
        ground: length(axle.tyre.as_ref().and_then(|t| t.radius.as_ref())),
        units: planned.job.job.units,
    });
    if worked_axles(planned).nth(1).is_some() {
        let name = axle.name.as_deref().unwrap_or(&axle.id.0);
        drawn.caption = format!("{name}. {}", drawn.caption);
    }
    geometry.drawings.push(drawn);
}

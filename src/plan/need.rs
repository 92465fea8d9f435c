//! A job's joints, torques and readings in the terms of a shop book.

use crate::figure::welding::heat_input::{HeatInputs, HeatInputsAnswer};
use crate::figure::welding::passes::{Arc, Passes, PassesAnswer, Position, single_pass_max};
use crate::file::{Located, Reading};
use crate::job::model::{Joint, Safety, WeldType};
use crate::procedure::catalogue::joint;
use crate::procedure::figures::{JobFigures, Owner};
use crate::quantity::{Dimensioned, HeatInput, Length, Percent, Speed, Time, unit};
use crate::reference::metal::{self, Listing};
use crate::shop::Band;
use crate::shop::fit::Need;
use crate::shop::model::WeldKind;
use crate::shop::position::{self, Place, Progression};
use crate::shop::process;
use crate::term::Units;

fn plain<T: Copy>(value: &Option<Located<Reading<T>>>) -> Option<T> {
    value.as_ref().map(|v| v.value.value)
}

/// What a joint needs of people, procedures and machines.
pub(super) fn need(joint: &Joint, figures: &JobFigures, units: Units) -> Need {
    let owner = Owner::Joint(joint.id.0.clone());
    let kind = match joint.kind.value {
        WeldType::Fillet => WeldKind::Fillet,
        WeldType::Plug => WeldKind::Plug,
        _ => WeldKind::Groove,
    };
    let mut need = Need::new(&joint.id.value, kind);
    need.title.clone_from(&joint.title.0);
    need.units = units;
    need.joint = joint.form.word().to_owned();
    need.diameter = plain(&joint.around);
    need.parts = [plain(&joint.thickness), plain(&joint.other_thickness)].into_iter().flatten().collect();
    if kind == WeldKind::Groove {
        need.deposit = plain(&joint.groove_depth).or_else(|| plain(&joint.thickness));
    }
    let (positions, unknown) = joint.position.as_ref().map(|p| position::parse(p)).unwrap_or_default();
    (need.positions, need.unknown_positions) = (positions, unknown);
    let word = |t: &Option<Located<crate::file::Text>>| t.as_ref().map(|t| t.0.clone());
    need.process = word(&joint.process);
    need.filler = word(&joint.filler);
    need.gas = joint.gas.as_ref().map(|g| g.0.clone());
    need.steels =
        joint.steel.iter().chain(&joint.other_steel).map(|s| (s.0.clone(), groups(&s.value))).collect();
    need.amps = plain(&joint.amps);
    need.volts = plain(&joint.volts);
    need.travel = plain(&joint.travel);
    need.wire_feed = plain(&joint.wire_feed);
    need.wire = plain(&joint.wire);
    need.preheat_stated = plain(&joint.preheat);
    need.preheat_needed = figures.quantity(&owner, joint::preheat);
    need.interpass_max = plain(&joint.interpass_max);
    need.heat_input = arc_energy(figures, &owner);
    need.heat_effective = figures.quantity(&owner, joint::heat_input);
    // Only limits the job states make a window of the joint's own.
    if joint.cooling_least.is_some() && joint.cooling_most.is_some() {
        let (low, high) = (
            figures.quantity(&owner, joint::heat_input_low),
            figures.quantity(&owner, joint::heat_input_high),
        );
        if low.is_some() || high.is_some() {
            need.heat_window = Some(Band { low, high });
        }
    }
    if kind == WeldKind::Fillet {
        need.leg = figures.quantity(&owner, joint::size);
        size_per_pass(figures, &owner, &mut need);
    }
    need.duty = duty(joint, figures, &owner);
    need.traceable = joint.traceable;
    need.steering = joint.safety == Safety::Steering;
    need
}

/// Names a steel answers to: other names, and its group in AWS D1.1.
fn groups(name: &str) -> Vec<String> {
    let Some(steel) = metal::find(name) else { return Vec::new() };
    let mut words: Vec<String> = steel.aliases.iter().map(|a| (*a).to_owned()).collect();
    words.push(steel.name.to_owned());
    let group = match steel.listing {
        Some(Listing::GroupOne) => "group I",
        Some(Listing::GroupTwo) => "group II",
        Some(Listing::CategoryC) => "category C",
        Some(Listing::CategoryD) => "category D",
        None => return words,
    };
    words.push(group.to_owned());
    words.push(format!("D1.1 {group}"));
    words
}

/// U I / travel without an efficiency, as US procedures limit it.
fn arc_energy(figures: &JobFigures, owner: &Owner) -> Option<HeatInput> {
    figures
        .output::<HeatInputs, _>(owner, HeatInputsAnswer::arc_energy)
        .and_then(|figure| figure.value.quantity())
        .and_then(crate::quantity::Quantity::typed)
}

/// The leg one bead lays at the joint's settings, and what the code lets one
/// prequalified pass have.
fn size_per_pass(figures: &JobFigures, owner: &Owner, need: &mut Need) {
    let us = need.process.as_deref().and_then(process::counted).map(|c| c.us);
    let word = match us {
        Some("SMAW") => Some(Arc::Smaw),
        Some("GMAW") => Some(Arc::Gmaw),
        Some("FCAW-G" | "FCAW-S") => Some(Arc::Fcaw),
        _ => None,
    };
    let places = need.positions.iter().flat_map(|p| p.needs(Progression::Up));
    need.single_pass_max = places
        .filter_map(|place| {
            let position = match place {
                Place::Flat => Position::Flat,
                Place::Horizontal => Position::Horizontal,
                Place::VerticalUp | Place::VerticalDown => Position::Vertical,
                Place::Overhead => Position::Overhead,
            };
            single_pass_max(word?, position)
        })
        .reduce(|a, b| if a < b { a } else { b });
    need.bead_leg = figures
        .output::<Passes, _>(owner, PassesAnswer::bead_leg)
        .and_then(|figure| figure.value.quantity())
        .and_then(crate::quantity::Quantity::typed);
    need.passes = figures.quantity(owner, joint::passes);
}

/// Share of the worst ten minutes the arc burns: the larger of the longest run
/// and the planned arc share, never more than the whole weld takes.
fn duty(joint: &Joint, figures: &JobFigures, owner: &Owner) -> Option<Percent> {
    let travel = plain::<Speed>(&joint.travel).filter(|t| t.si() > 0.0)?;
    let run = match (plain::<Length>(&joint.around), plain::<Length>(&joint.length)) {
        (Some(od), _) => od * std::f64::consts::PI,
        (None, Some(length)) => length,
        (None, None) => return None,
    };
    let ten = Time::of(10.0, unit::MINUTE).si();
    let run = run.si() / travel.si() / ten;
    let arc = figures.quantity(owner, joint::arc_time);
    let clock = figures.quantity(owner, joint::clock_time).filter(|c| c.si() > 0.0);
    let share = arc.zip(clock).map_or(0.0, |(a, c)| a.si() / c.si());
    let whole = arc.map_or(f64::INFINITY, |a| a.si() / ten);
    Some(Percent::from_si(run.max(share).min(whole.max(run)).min(1.0)))
}

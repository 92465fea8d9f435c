//! A machine against a joint: process, amps at the duty the joint needs, and
//! whether the set is strong enough not to leave a cold joint.

use chrono::NaiveDate;

use super::{Finding, Need, Ranges, Topic, ordered, shown};
use crate::quantity::{Current, Dimensioned, Length, Percent, Style, unit};
use crate::shop::model::Machine;
use crate::shop::process;
use crate::source::Source;

const THERMAL: Source = Source::derived(
    "current at another duty cycle from constant I² x duty",
    "rating-plate points of IEC 60974-1 sets, which fall on or above it",
)
.from_memory();
const COLD: Source = Source::practice(
    "wire processes: about 1 A per 0.001 in of the thinner part, held at 180 A from 0.180 in up; warned below 80 % of it",
);

/// Largest current a machine gives at a duty cycle: a rated point serves every
/// lower duty, and a higher one with I² x duty constant; never above what it
/// can be set to. Without rated points, none.
#[must_use]
pub fn amps_at(machine: &Machine, duty: Percent) -> Option<Current> {
    let best = machine
        .duty
        .iter()
        .map(|point| {
            let rated = point.cycle.value.value.si();
            let share = if duty.si() <= rated { 1.0 } else { (rated / duty.si()).sqrt() };
            point.amps.value.value.si() * share
        })
        .reduce(f64::max)?;
    let top = machine.amps.value.high.map_or(f64::INFINITY, Dimensioned::si);
    Some(Current::from_si(best.min(top)))
}

/// Current below which a wire process is likely to leave a cold joint on this
/// thickness.
#[must_use]
pub fn cold_limit(name: &str, thickness: Length) -> Option<Current> {
    let wire = process::counted(name).is_some_and(|c| matches!(c.us, "GMAW" | "FCAW-G" | "FCAW-S"));
    let thousandths = thickness.to(unit::IN) * 1000.0;
    wire.then(|| Current::of(0.8 * thousandths.min(180.0), unit::A))
}

/// What speaks against welding the joint with this machine on a day.
#[must_use]
pub fn check(machine: &Machine, ranges: Option<Ranges>, need: &Need, on: NaiveDate) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Some(reason) = &machine.out_of_service {
        found.push(Finding::no(format!("out of service: {}", &**reason)));
    }
    if let Some(due) = &machine.validation_due
        && due.0 < on
    {
        found.push(Finding::no(format!("its meters were to be validated by {}", due.value)));
    }
    let Some(name) = &need.process else {
        found.push(Finding::no("can't be compared: no process"));
        return found;
    };
    let wanted = process::counted(name);
    if !machine.processes.iter().any(|p| process::counted(&p.value) == wanted && wanted.is_some()) {
        let list: Vec<_> = machine.processes.iter().map(|p| p.0.as_str()).collect();
        found.push(Finding::no(format!("does {}, not {name}", list.join(", "))));
        return found;
    }
    // Without amps in the joint the procedure's lower end is the least it must do.
    let amps = need.amps.or_else(|| ranges?.amps?.low);
    let Some(amps) = amps else {
        found.push(Finding::remark("no amps are known: its current was not checked"));
        return found;
    };
    if !machine.amps.value.contains(amps) {
        found.push(Finding::no(format!(
            "{} is outside its {}",
            shown(need.units, amps),
            machine.amps.value.told(need.units)
        )));
    } else if let Some(duty) = need.duty {
        match amps_at(machine, duty) {
            Some(most) if amps.si() > most.si() * (1.0 + 1e-9) => {
                let text = format!(
                    "gives {} at the {} duty of this joint, not {}",
                    ordered(need.units, Style::of(crate::quantity::Kind::Current)).down().both(most.into()),
                    ordered(need.units, Style::of(crate::quantity::Kind::Percent)).up().both(duty.into()),
                    shown(need.units, amps)
                );
                found.push(Finding::no(text).by(THERMAL));
            }
            Some(_) => {}
            None => found.push(Finding::remark("its duty cycles are not in the book")),
        }
    } else {
        found.push(Finding::remark("the duty of the joint is not known: amps checked without it"));
    }
    let reach = machine.amps.value.high.filter(|top| top.si() < amps.si()).unwrap_or(amps);
    if let Some(part) = need.thinnest()
        && let Some(limit) = cold_limit(name, part)
        && reach.si() < limit.si()
    {
        let text = format!(
            "{} on {} is likely to leave a cold joint; common practice is {} or more",
            shown(need.units, reach),
            shown(need.units, part),
            ordered(need.units, Style::of(crate::quantity::Kind::Current)).up().both(limit.into())
        );
        found.push(Finding::remark(text).by(COLD).about(Topic::ColdJoint));
    }
    found
}

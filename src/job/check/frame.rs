//! Cross-checks of the unit and its frame.

use super::{at, name, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::{Axle, End, Frame};
use crate::quantity::{Dimensioned, Length};

/// Share of the wheelbase the centre of gravity of a vehicle lies ahead of its rear axle
/// (common practice: a third to two thirds, loaded or empty).
const BALANCED: (f64, f64) = (0.25, 0.75);

pub(super) fn check(job: &JobFile, report: &mut Report) {
    let facts = &job.unit;
    one_distance(job, report);
    if let Some(frame) = &job.frame {
        belly(job, frame, report);
        ends(job, frame, report);
        rails(frame, report);
    }
    if let (Some(to_rear), Some(base)) = (&facts.cg_to_rear, &facts.wheelbase)
        && to_rear.value.value >= base.value.value
    {
        report.push(at(
            Diagnostic::error(
                "J151",
                format!(
                    "a centre of gravity {} ahead of the rear axle leaves the rear axle nothing to carry",
                    words(to_rear)
                ),
            )
            .expected("a distance shorter than the wheelbase")
            .example("cg_to_rear = \"…\", measured again"),
            to_rear,
        ));
    } else if let (Some(to_rear), Some(base)) = (&facts.cg_to_rear, &facts.wheelbase)
        // A trailer leans on what draws it with a tenth of its weight.
        && !job.axle.iter().any(Axle::is_trailer)
    {
        let share = to_rear.value.value.si() / base.value.value.si();
        if (BALANCED.0..=BALANCED.1).contains(&share) {
            return;
        }
        report.push(at(
            Diagnostic::stop(
                "J151",
                format!(
                    "a centre of gravity {} ahead of the rear axle leaves one axle little to carry, with a wheelbase of {}",
                    words(to_rear),
                    words(base)
                ),
            )
            .expected("usually a quarter to three quarters of the wheelbase (common practice), from the weight on each axle")
            .example("cg_to_rear = \"…\", measured again")
            .help("if it is right all the same, write beside it: sure = \"why it is right\"")
            .unless_sure(facts.sure.as_deref()),
            to_rear,
        ));
    }
}

/// The distance from the coupler is that of one axle: several at one place would be squared to
/// the same mark.
fn one_distance(job: &JobFile, report: &mut Report) {
    let Some(base) = &job.unit.wheelbase else { return };
    let worked = |a: &&Axle| job.work.iter().any(|w| w.on.iter().any(|on| on.value == a.id.value));
    let axles: Vec<&str> = job.axle.iter().filter(|a| a.trailer).filter(worked).map(|a| &*a.id.0).collect();
    if axles.len() < 2 {
        return;
    }
    report.push(at(
        Diagnostic::stop(
            "J284",
            format!(
                "{} are several axles, and {} from the coupler is one place",
                axles.join(", "),
                words(base)
            ),
        )
        .expected("no wheelbase: what each axle has is read as found, and as left beside it")
        .help("take the line out; each axle has its boxes on the paper"),
        base,
    ));
}

/// The lowest point of the belly lies between the tyres, or it is no belly.
fn belly(job: &JobFile, frame: &Frame, report: &mut Report) {
    let Some(behind) = &frame.belly_behind else { return };
    let radius = |end: End| {
        let axle = job.axle.iter().find(|a: &&Axle| a.end() == Some(end))?;
        axle.tyre.as_ref()?.radius.as_ref()
    };
    let base = job.unit.wheelbase.as_ref().map(|w| w.value.value.si());
    let at_front = radius(End::Front).filter(|r| behind.value.value.si() < r.value.value.si());
    // One axle of the unit is in the job, and tyres of both are of a size.
    let at_rear = radius(End::Rear)
        .or_else(|| radius(End::Front))
        .zip(base)
        .and_then(|(r, base)| (behind.value.value.si() > base - r.value.value.si()).then_some(r));
    let Some(tyre) = at_front.or(at_rear) else { return };
    let end = if at_front.is_some() { End::Front } else { End::Rear };
    report.push(within(
        frame,
        behind,
        format!(
            "a belly point {} behind the front wheels lies within the {} tyre of radius {}",
            words(behind),
            end.word(),
            words(tyre)
        ),
        "the lowest point between the tyres, from the front wheel centre",
    ));
}

/// The points that meet a slope first stand clear of the tyre they are measured from.
fn ends(job: &JobFile, frame: &Frame, report: &mut Report) {
    let rows = [
        (End::Front, &frame.approach_ahead, &frame.approach_height, "ahead of the front"),
        (End::Rear, &frame.departure_behind, &frame.departure_height, "behind the rear"),
    ];
    for (end, along, height, side) in rows {
        let (Some(along), Some(height)) = (along, height) else { continue };
        // A trailer has no end of its own to say: its axle is the rear one, of several the
        // last in the file.
        let of = |a: &&Axle| a.end() == Some(end) || end == End::Rear && a.trailer;
        // Tyres of both ends are of a size where one end alone is in the job.
        let tyre = job.axle.iter().rfind(of).or(job.axle.first());
        let tyre = tyre.and_then(|a| a.tyre.as_ref()?.radius.as_ref());
        let Some(tyre) = tyre else { continue };
        let radius = tyre.value.value.si();
        let (x, z) = (along.value.value.si(), height.value.value.si() - radius);
        if x * x + z * z >= radius * radius {
            continue;
        }
        let message = format!(
            "a point {} {side} wheel centre and {} above the ground lies within the tyre of radius {}",
            words(along),
            words(height),
            words(tyre)
        );
        report.push(within(frame, along, message, "the point that meets a slope first, beyond the tyre"));
    }
}

fn within(frame: &Frame, value: &Located<Reading<Length>>, message: String, expected: &str) -> Diagnostic {
    at(
        Diagnostic::stop("J236", message)
            .expected(expected)
            .example(format!("{} = \"…\", measured again", name(value)))
            .help("if it is right all the same, write beside it: sure = \"why it is right\"")
            .unless_sure(frame.sure.as_deref()),
        value,
    )
}

/// Rails of a unit that stands rise or fall by no more than this along their length, 6°
/// (common practice: a loaded truck some 1°).
const STEEP: f64 = 0.105;

/// Two heights of the rails are of one frame.
fn rails(frame: &Frame, report: &mut Report) {
    let (Some(front), Some(rear), Some(marks)) = (&frame.rail_front, &frame.rail_rear, &frame.rail_marks)
    else {
        return;
    };
    let apart = marks.value.value.si();
    let slope = (rear.value.value.si() - front.value.value.si()).abs() / apart;
    if apart <= 0.0 || slope <= STEEP {
        return;
    }
    report.push(at(
        Diagnostic::stop(
            "J240",
            format!(
                "rails {} above the ground in front and {} behind, {} apart, are steeper than 6°",
                words(front),
                words(rear),
                words(marks)
            ),
        )
        .expected("both heights from the ground to the same edge of the rail, on a level floor")
        .example("rail_rear = \"…\", measured again")
        .help("if it is right all the same, write beside it: sure = \"why it is right\"")
        .unless_sure(frame.sure.as_deref()),
        rear,
    ));
}

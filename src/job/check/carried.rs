//! What an axle carries against what it is made of, and what of a tyre and a spring can't
//! belong to it.

use super::{at, words};
use crate::diagnostic::{Diagnostic, Report};
use crate::file::{Located, Reading};
use crate::job::JobFile;
use crate::job::model::Axle;
use crate::quantity::{Dimensioned, Length, Stress, Style, show, unit};
use crate::reference::metal;

/// Help of all that somebody may be sure of.
const SURE: &str = "if it is right all the same, write beside it: sure = \"why it is right\"";
/// What a wheel's load grows to on a bad road, as a multiple of the load that stands still
/// (common practice: two to three; the lower asks only where no road would do).
const ROAD: f64 = 2.0;
/// Steel of which nobody says what it is: the yield strength of ASTM A36, in ksi.
const UNNAMED: f64 = 36.0;
/// Share of the track beyond which a spring stands in its tyre (common practice: half a
/// tyre and half a spring lie between, some 8 in of a track of 62).
const INSIDE: f64 = 0.92;

pub(super) fn check(job: &JobFile, axle: &Axle, report: &mut Report) {
    pads(job, axle, report);
    bent(job, axle, report);
    tyre(job, axle, report);
    halves(axle, report);
}

/// Springs stand between the wheels.
fn pads(job: &JobFile, axle: &Axle, report: &mut Report) {
    let Some(track) = &job.unit.track else { return };
    let Some(spread) = axle.tube.as_ref().and_then(|t| t.pad_spread.as_ref()) else { return };
    let share = spread.value.value.si() / track.value.value.si();
    let sure = axle.tube.as_ref().and_then(|t| t.sure.as_deref());
    let said = |what: &str| format!("pads {} apart {what} a track of {}", words(spread), words(track));
    let problem = if share >= 1.0 {
        Diagnostic::error("J250", said("lie outside"))
    } else if share > INSIDE {
        Diagnostic::stop("J250", said("stand in the tyres of")).help(SURE).unless_sure(sure)
    } else {
        return;
    };
    report.push(at(
        problem
            .expected("pad_spread from centre to centre of the pads, well inside the track")
            .example("pad_spread = \"…\", measured again"),
        spread,
    ));
}

/// The weight on an axle that stands, in newtons: its share if the centre of gravity says
/// it; of a trailer all of it on its axles, of a vehicle half.
fn weight(job: &JobFile, axle: &Axle) -> Option<f64> {
    let all = job.unit.mass.as_ref()?.value.value.to(unit::KG) * unit::GRAVITY.to_si(1.0);
    if axle.is_trailer() {
        let axles = job.axle.iter().filter(|a| a.is_trailer()).count();
        return Some(all / u32::try_from(axles).map_or(1.0, f64::from));
    }
    let place = job.unit.cg_to_rear.as_ref().zip(job.unit.wheelbase.as_ref());
    let share = place.map_or(0.5, |(to_rear, base)| {
        let front = to_rear.value.value.si() / base.value.value.si();
        if axle.is_front() { front } else { 1.0 - front }
    });
    Some(all * share)
}

/// The tube between wheel and pad bends under half the weight on the axle: a beam on two
/// wheels that is loaded at its pads, M = W/2 (track - pad_spread)/2, and sigma = M / S of a
/// round tube (any handbook of statics).
fn bent(job: &JobFile, axle: &Axle, report: &mut Report) {
    let Some(tube) = &axle.tube else { return };
    let (Some(od), Some(wall), Some(spread), Some(track), Some(mass)) =
        (&tube.od, &tube.wall, &tube.pad_spread, &job.unit.track, &job.unit.mass)
    else {
        return;
    };
    let Some(weight) = weight(job, axle) else { return };
    let [od, wall, spread, track] = [od, wall, spread, track].map(|l| l.value.value.si());
    if wall >= od / 2.0 || spread >= track {
        return;
    }
    let arm = (track - spread) / 2.0;
    let bore = od - 2.0 * wall;
    let modulus = std::f64::consts::PI / 32.0 * (od.powi(4) - bore.powi(4)) / od;
    let stress = Stress::from_si(weight / 2.0 * arm / modulus);
    let named = tube.steel.as_ref();
    let known = named.and_then(|steel| metal::find(&steel.value)?.yield_strength());
    let yields = known.unwrap_or(Stress::of(UNNAMED, unit::KSI));
    let shown = |stress: Stress| job.job.units.first(Style::of(Stress::KIND)).both(stress.into());
    let of = match (known, named) {
        (Some(_), Some(steel)) => format!("{} yields at {}", &*steel.value.0, shown(yields)),
        _ => format!("its steel is taken as A36, which yields at {}", shown(yields)),
    };
    let says = |how: &str| {
        format!(
            "the tube of {} {how} under a unit of {}: {} at its pads, and {of}",
            axle.id.value,
            words(mass),
            shown(stress)
        )
    };
    let problem = if stress > yields {
        Diagnostic::error("J251", says("bends as it stands"))
    } else if stress.si() * ROAD > yields.si() {
        Diagnostic::stop("J251", says("bends on a bad road, where twice the load is usual"))
            .help("if it is right all the same, write in the [[axle]]: sure = \"why it is right\"")
            .unless_sure(axle.sure.as_deref())
    } else {
        return;
    };
    let problem =
        problem.expected("mass, track, pad_spread and tube of one unit; the axle maker's rating comes first");
    // A steel that nobody named is what is asked first: the mass may be right.
    report.push(if named.is_none() {
        let key = format!("{}.tube.steel", axle.id.key.trim_end_matches(".id"));
        problem.at(Some(axle.id.span.clone())).key(key).example("steel = \"…\" in its [axle.tube]")
    } else {
        at(problem.example("mass = \"…\", weighed again"), mass)
    });
}

/// Loaded radius of a tyre at most, in inches, and up to what load of its wheel, in lbf
/// (common practice: sizes to 16 in rims stand at 15 in under 3,500 lbf, those of trucks to
/// 22.5 in rims at 20 in under 7,000).
const TRAILER_TYRE: (f64, f64) = (17.0, 2500.0);
/// As [`TRAILER_TYRE`], of any unit.
const ANY_TYRE: (f64, f64) = (23.0, 7000.0);

/// A tyre is of the size its load asks for.
fn tyre(job: &JobFile, axle: &Axle, report: &mut Report) {
    let Some(tyre) = &axle.tyre else { return };
    let (Some(radius), Some(weight)) = (&tyre.radius, weight(job, axle)) else { return };
    let large = |(most, load): (f64, f64)| {
        weight / 2.0 < unit::LBF.to_si(load) && radius.value.value.to(unit::IN) > most
    };
    if !(large(ANY_TYRE) || axle.is_trailer() && large(TRAILER_TYRE)) {
        return;
    }
    let wheel = crate::quantity::Force::from_si(weight / 2.0);
    report.push(at(
        Diagnostic::stop(
            "J252",
            format!(
                "a tyre of radius {} is large for a wheel that carries {}",
                words(radius),
                radius.value.first(Style::of(crate::quantity::Force::KIND)).both(wheel.into())
            ),
        )
        .expected("loaded radius, from the ground to the wheel centre, never the diameter")
        .example("radius = \"…\", measured again")
        .help(SURE)
        .unless_sure(tyre.sure.as_deref()),
        radius,
    ));
}

/// Largest share of the longer half of a leaf to the shorter (common practice: springs of
/// trailers to some 1.2, those of trucks to some 1.5).
const UNEVEN: (f64, f64) = (1.3, 1.65);

/// The two halves of a leaf are of one spring.
fn halves(axle: &Axle, report: &mut Report) {
    let Some(spring) = &axle.spring else { return };
    let (Some(front), Some(rear)) = (&spring.front_half, &spring.rear_half) else { return };
    let longer: &Located<Reading<Length>> = if front.value.value > rear.value.value { front } else { rear };
    let [a, b] = [front, rear].map(|l| l.value.value.si());
    let most = if axle.is_trailer() { UNEVEN.0 } else { UNEVEN.1 };
    if a.max(b) <= most * a.min(b) {
        return;
    }
    report.push(at(
        Diagnostic::stop(
            "J253",
            format!("halves of {} in front and {} behind are not of one spring", words(front), words(rear)),
        )
        .expected(format!(
            "both halves from eye to centre pin, the longer at most {} times the other",
            show::decimal(most, 2)
        ))
        .example(format!("{} = \"…\", measured again", super::name(longer)))
        .help(SURE)
        .unless_sure(spring.sure.as_deref()),
        longer,
    ));
}

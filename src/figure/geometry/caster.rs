//! Caster seen from the ground, and caster read from a camber sweep.

use super::axis::{camber_toe, spindle, steer_to_toe, steering_axis, turned};
use crate::figure::prelude::*;
use crate::figure::root::bracketed;

const PITCH: Source = Source::derived(
    "caster to ground is caster to the frame plus frame pitch",
    "rotation matrix on the axis vector",
);
const SWEEP: Source =
    Source::derived("change of camber when the spindle turns about the steering axis", "Rodrigues rotation");
const RULE_20: Source = Source::practice("caster is 1.5 times the camber difference of a 20 deg sweep");

const HEIGHTS: Source = Source::practice("frames of road vehicles; outside it a unit or a digit is wrong");
const RAIL: Range = within(2.0, 160.0, unit::IN, HEIGHTS).usually(8.0, 70.0, unit::IN);
const GROWTH: Range = within(-1.0, 1.0, unit::M, HEIGHTS).usually(-8.0, 8.0, unit::IN);

family! {
    pub CASTER_TO_GROUND = "caster-to-ground" in Geometry:
        "caster to the ground from caster to the frame, rail heights and tyre sizes";
    also "rake", "frame-rake", "pitch", "caster", "ground-caster";
    reads CasterToGround {
        optional caster: Angle in within(-45.0, 45.0, unit::DEG, HEIGHTS).usually(-10.0, 15.0, unit::DEG), "caster measured against the frame, positive top rearward", "caster_frame",
            "caster_to_frame";
        many rail_front: Length in RAIL, "rail height at the front mark; both sides separated by commas are averaged",
            "h_front", "front_height", "front";
        many rail_rear: Length in RAIL, "rail height at the rear mark; both sides separated by commas are averaged",
            "h_rear", "rear_height", "rear";
        optional marks: Length in ABOVE_ZERO.usually(0.3, 9.0, unit::M), "length between the two marks on the rail", "distance",
            "between_marks", "frame_length", "rail_length", "span", "mark_distance", "length";
        default tyre_front: Length = "0" in GROWTH, "change of the front loaded radius, larger positive",
            "front_radius_change", "front_tyre_change", "front_growth", "dr_f", "dr_front", "tire_front",
            "radius_front";
        default tyre_rear: Length = "0" in GROWTH, "change of the rear loaded radius, larger positive", "rear_radius_change",
            "rear_tyre_change", "rear_growth", "dr_r", "dr_rear", "tire_rear", "radius_rear";
        optional wheelbase: Length in ABOVE_ZERO.usually(1.2, 9.0, unit::M), "wheelbase, needed for a change of tyres", "wb";
    }
    gives CasterToGroundAnswer {
        pitch_rails: Angle, "frame pitch from the rail heights, nose-up positive",
            "-atan((rail_rear - rail_front) / marks), nose-up positive", PITCH => .style(FINE_ANGLE);
        pitch_tyres: Angle, "change of pitch from the tyres, nose-up positive",
            "atan((tyre_front - tyre_rear) / wheelbase), nose-up positive", PITCH => .style(FINE_ANGLE);
        pitch: Angle, "frame pitch, nose-up positive", "pitch_rails + pitch_tyres", PITCH => .style(FINE_ANGLE);
        caster_ground: Angle, "caster to the ground", "caster + pitch", PITCH => .style(FINE_ANGLE);
    }
    asked caster_ground, pitch;
    example "caster=\"5 deg\" rail_front=\"610 mm\" rail_rear=\"640 mm\" marks=\"2400 mm\"";
    by caster_to_ground
}

fn caster_to_ground(given: &CasterToGround, answer: &mut CasterToGroundAnswer) -> Result<()> {
    let by_rails = given.rail_front.given() || given.rail_rear.given() || given.marks.given();
    let by_tyres = given.tyre_front.given() || given.tyre_rear.given();
    if !by_rails && !by_tyres {
        return Err(Trouble::Missing(vec!["rail_front", "rail_rear", "marks"]));
    }
    let mut pitch = Angle::from_si(0.0);
    if by_rails {
        require(&[&given.rail_front, &given.rail_rear, &given.marks])?;
        let marks = given.marks.need()?;
        let (Some(front), Some(rear)) = (mean(&given.rail_front), mean(&given.rail_rear)) else {
            return Err(Trouble::Missing(vec!["rail_front", "rail_rear"]));
        };
        let part = frame_pitch(front, rear, marks);
        answer.pitch_rails.put(part);
        pitch += part;
    }
    if by_tyres {
        let base = given.wheelbase.need()?;
        // Larger front tyres lift the nose as higher front rails would.
        let part = frame_pitch(*given.tyre_front, *given.tyre_rear, base);
        answer.pitch_tyres.put(part);
        pitch += part;
    }
    answer.pitch.put(pitch);
    answer.caster_ground.put_some(given.caster.map(|caster| caster + pitch));
    Ok(())
}

fn mean(list: &[Length]) -> Option<Length> {
    let count = u32::try_from(list.len()).ok().filter(|n| *n > 0)?;
    Some(Length::from_si(list.iter().map(|l| l.si()).sum::<f64>() / f64::from(count)))
}

/// Pitch of a frame from two heights, nose-up positive.
#[must_use]
pub fn frame_pitch(front: Length, rear: Length, between: Length) -> Angle {
    math::atan2(front.si() - rear.si(), between.si())
}

words! {
    /// How the sweep is measured: on turn plates (projected to the floor) or about the steering axis.
    pub About {
        Plates = "plates" | "turn-plates",
        Kingpin = "kingpin" | "kingpin-axis",
    }
}

family! {
    pub CASTER_SWEEP = "caster-sweep" in Geometry:
        "caster of one side from camber read with the wheel turned in and out";
    also "camber-sweep", "caster-from-camber", "caster-reading";
    reads CasterSweep {
        required camber_in: Angle in within(-30.0, 30.0, unit::DEG, SWEEP),
            "camber with the wheel front turned inboard", "in", "camber_toe_in";
        required camber_out: Angle in within(-30.0, 30.0, unit::DEG, SWEEP),
            "camber with the wheel front turned outboard", "out", "camber_toe_out";
        default sweep: Angle = "20 deg" in within(5.0, 45.0, unit::DEG, SWEEP),
            "turn to each side from straight ahead", "angle", "turn", "sweep_angle", "steer_angle", "turn_angle",
            "steer", "p", "plate_angle";
        optional kpi: Angle in within(-30.0, 30.0, unit::DEG, SWEEP),
            "steering axis inclination; gives the exact caster", "s", "sai", "inclination";
        default camber: Angle = "0", "camber straight ahead, for the exact caster";
        default about: About = Plates,
            "how the sweep is measured: on turn plates (projected to the floor) or about the steering axis";
    }
    gives CasterSweepAnswer {
        difference: Angle, "camber difference", "camber_out - camber_in", SWEEP => .style(FINE_ANGLE);
        factor: Number, "factor of this sweep", "1 / (2 sin sweep)", SWEEP;
        caster: Angle, "caster from the factor of this sweep", "difference x factor",
            SWEEP => .range("small angles; about 1 % high at 10 deg of caster").style(FINE_ANGLE);
        caster_exact: Angle, "caster, exact",
            "caster whose spindle, turned to both ends of the sweep, shows the two cambers",
            SWEEP => .range("zero toe straight ahead").style(FINE_ANGLE);
        caster_rule: Angle, "caster by the 1.5 rule, comparison only", "1.5 x difference",
            RULE_20 => .range("20 deg sweep only").style(FINE_ANGLE);
    }
    asked caster;
    example "camber_in=\"-1.2 deg\" camber_out=\"2.24 deg\" sweep=\"20 deg\"";
    by caster_sweep
}

fn caster_sweep(given: &CasterSweep, answer: &mut CasterSweepAnswer) -> Result<()> {
    let inward = *given.camber_in;
    let outward = *given.camber_out;
    let sweep = *given.sweep;
    let difference = outward - inward;
    let factor = sweep_factor(sweep);
    answer.difference.put(difference);
    answer.factor.put(factor);
    answer.caster.put(difference * factor.si());
    if let Some(kpi) = *given.kpi {
        let about_kingpin = *given.about == About::Kingpin;
        let straight = *given.camber;
        let sines = Number::from_si(math::sin(outward) - math::sin(inward));
        let found = if about_kingpin {
            kingpin_sweep_caster(sines, sweep, kpi, straight)
        } else {
            plate_sweep_caster(sines, sweep, kpi, straight)
        };
        let exact = found.ok_or_else(|| {
            Trouble::impossible("no caster gives these cambers", "check camber_in, camber_out and sweep")
        })?;
        answer.caster_exact.put(exact);
    }
    answer.caster_rule.put(difference * 1.5);
    if difference.si() < 0.0 {
        // The two readings exchanged give the same caster with the other sign, and
        // nothing in them tells which it is.
        answer.warn(
            "The caster comes out negative. camber_in and camber_out exchanged give the same size with the other sign: \
             make sure that camber_in was read with the front of this wheel turned toward the vehicle.",
        );
    }
    if (sweep.to(unit::DEG) - 20.0).abs() > 0.25 {
        answer.warn(format!(
            "The factor 1.5 belongs to a 20 deg sweep only. For {:.1} deg the factor is {:.4}; \
             with 1.5 this caster reads {:.0} % {}.",
            sweep.to(unit::DEG),
            factor.si(),
            (1.5 / factor.si() - 1.0).abs() * 100.0,
            if factor.si() > 1.5 { "low" } else { "high" },
        ));
    }
    Ok(())
}

/// Factor from camber difference to caster for a sweep of plus and minus this.
fn sweep_factor(sweep: Angle) -> Number {
    Number::from_si(0.5 / math::sin(sweep))
}

/// Caster from the difference of the sines of camber, out minus in, for a
/// sweep measured about the steering axis itself, zero toe straight ahead:
/// 2 sin p tan t cos c / sqrt(1 + tan^2 t + tan^2 s).
#[must_use]
pub fn kingpin_sweep_caster(sines: Number, sweep: Angle, kpi: Angle, camber: Angle) -> Option<Angle> {
    let m = sines.si() / (2.0 * math::sin(sweep) * math::cos(camber));
    let lean = math::tan(kpi);
    (m.abs() < 1.0).then(|| math::atan(m * ((1.0 + lean * lean) / (1.0 - m * m)).sqrt()))
}

/// Caster from the difference of the sines of camber, out minus in, for a
/// sweep read on turn plates; bracketed root on the turned spindle.
#[must_use]
pub fn plate_sweep_caster(sines: Number, sweep: Angle, kpi: Angle, camber: Angle) -> Option<Angle> {
    let start = spindle(camber, Angle::from_si(0.0));
    let camber_sine = |caster: f64, toe: Angle| {
        let axis = steering_axis(Angle::from_si(caster), kpi);
        steer_to_toe(start, axis, toe).map_or(f64::NAN, |p| math::sin(camber_toe(turned(start, axis, p)).0))
    };
    let gap = |caster: f64| camber_sine(caster, -sweep) - camber_sine(caster, sweep) - sines.si();
    let limit = Angle::of(40.0, unit::DEG).si();
    bracketed(gap, -limit, limit).map(Angle::from_si)
}

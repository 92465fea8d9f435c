//! Caster seen from the ground, and caster read from a camber sweep.

use super::axis::{camber_toe, spindle, steer_to_toe, steering_axis, turned};
use crate::figure::root::bracketed;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::FINE_ANGLE;
use crate::quantity::{Angle, Dimensioned, Kind, Length, Number, math, unit};
use crate::source::Source;

const PITCH: Source = Source::derived(
    "caster to ground is caster to the frame plus frame pitch",
    "rotation matrix on the axis vector",
);
const SWEEP: Source =
    Source::derived("change of camber when the spindle turns about the steering axis", "Rodrigues rotation");
const RULE_20: Source = Source::practice("caster is 1.5 times the camber difference of a 20 deg sweep");

/// Frame pitch and caster to the ground.
pub static CASTER_TO_GROUND: Family = Family {
    name: "caster-to-ground",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "caster to the ground from caster to the frame, rail heights and tyre sizes",
    inputs: &[
        Input::optional("caster", Kind::Angle, "caster measured against the frame, positive top rearward")
            .also(&["caster_frame", "caster_to_frame"]),
        Input::list(
            "rail_front",
            Kind::Length,
            Need::Optional,
            "rail height at the front mark; both sides separated by commas are averaged",
        )
        .also(&["h_front", "front_height", "front"]),
        Input::list(
            "rail_rear",
            Kind::Length,
            Need::Optional,
            "rail height at the rear mark; both sides separated by commas are averaged",
        )
        .also(&["h_rear", "rear_height", "rear"]),
        Input::optional("marks", Kind::Length, "length between the two marks on the rail").also(&[
            "distance",
            "between_marks",
            "frame_length",
            "rail_length",
            "span",
            "mark_distance",
            "length",
        ]),
        Input::defaulted(
            "tyre_front",
            Kind::Length,
            "0",
            "change of the front loaded radius, larger positive",
        )
        .also(&[
            "front_radius_change",
            "front_tyre_change",
            "front_growth",
            "dr_f",
            "dr_front",
            "tire_front",
            "radius_front",
        ]),
        Input::defaulted("tyre_rear", Kind::Length, "0", "change of the rear loaded radius, larger positive")
            .also(&[
                "rear_radius_change",
                "rear_tyre_change",
                "rear_growth",
                "dr_r",
                "dr_rear",
                "tire_rear",
                "radius_rear",
            ]),
        Input::optional("wheelbase", Kind::Length, "wheelbase, needed for a change of tyres").also(&["wb"]),
    ],
    outputs: &[
        Output::new(
            "pitch_rails",
            "frame pitch from the rail heights",
            Kind::Angle,
            "-atan((rail_rear - rail_front) / marks), nose-up positive",
            PITCH,
        )
        .style(FINE_ANGLE),
        Output::new(
            "pitch_tyres",
            "change of pitch from the tyres",
            Kind::Angle,
            "atan((tyre_front - tyre_rear) / wheelbase), nose-up positive",
            PITCH,
        )
        .style(FINE_ANGLE),
        Output::new("pitch", "frame pitch", Kind::Angle, "pitch_rails + pitch_tyres", PITCH)
            .style(FINE_ANGLE),
        Output::new("caster_ground", "caster to the ground", Kind::Angle, "caster + pitch", PITCH)
            .style(FINE_ANGLE),
    ],
    example: "caster=\"5 deg\" rail_front=\"610 mm\" rail_rear=\"640 mm\" marks=\"2400 mm\"",
    run: caster_to_ground,
};

fn caster_to_ground(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let zero = Length::from_si(0.0);
    let front: Vec<Length> = given.list("rail_front")?;
    let rear: Vec<Length> = given.list("rail_rear")?;
    let by_rails = given.has("rail_front") || given.has("rail_rear") || given.has("marks");
    let by_tyres = given.has("tyre_front") || given.has("tyre_rear");
    if !by_rails && !by_tyres {
        return Err(Trouble::Missing(vec!["rail_front", "rail_rear", "marks"]));
    }
    let mut pitch = Angle::from_si(0.0);
    if by_rails {
        given.require(&["rail_front", "rail_rear", "marks"])?;
        let marks: Length = given::positive("marks", given.need("marks")?)?;
        let (Some(front), Some(rear)) = (mean(&front), mean(&rear)) else {
            return Err(Trouble::Missing(vec!["rail_front", "rail_rear"]));
        };
        let part = frame_pitch(front, rear, marks);
        answer.put("pitch_rails", part);
        pitch += part;
    }
    if by_tyres {
        given.require(&["wheelbase"])?;
        let base: Length = given::positive("wheelbase", given.need("wheelbase")?)?;
        // Larger front tyres lift the nose as higher front rails would.
        let part = frame_pitch(given.or("tyre_front", zero)?, given.or("tyre_rear", zero)?, base);
        answer.put("pitch_tyres", part);
        pitch += part;
    }
    answer.put("pitch", pitch);
    if let Some(caster) = given.maybe::<Angle>("caster")? {
        answer.put("caster_ground", caster + pitch);
    }
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

/// Caster from camber read at two steer angles.
pub static CASTER_SWEEP: Family = Family {
    name: "caster-sweep",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "caster of one side from camber read with the wheel turned in and out",
    inputs: &[
        Input::required("camber_in", Kind::Angle, "camber with the wheel front turned inboard")
            .also(&["in", "camber_toe_in"]),
        Input::required("camber_out", Kind::Angle, "camber with the wheel front turned outboard")
            .also(&["out", "camber_toe_out"]),
        Input::defaulted("sweep", Kind::Angle, "20 deg", "turn to each side from straight ahead").also(&[
            "angle",
            "turn",
            "sweep_angle",
            "steer_angle",
            "turn_angle",
            "steer",
            "p",
            "plate_angle",
        ]),
        Input::optional("kpi", Kind::Angle, "steering axis inclination; gives the exact caster").also(&[
            "s",
            "sai",
            "inclination",
        ]),
        Input::defaulted("camber", Kind::Angle, "0", "camber straight ahead, for the exact caster"),
        Input::choice(
            "about",
            &["plates", "kingpin"],
            Need::Default("plates"),
            "how the sweep is measured: on turn plates (projected to the floor) or about the steering axis",
        ),
    ],
    outputs: &[
        Output::new("difference", "camber difference", Kind::Angle, "camber_out - camber_in", SWEEP)
            .style(FINE_ANGLE),
        Output::new("factor", "factor of this sweep", Kind::Number, "1 / (2 sin sweep)", SWEEP),
        Output::new(
            "caster",
            "caster from the factor of this sweep",
            Kind::Angle,
            "difference x factor",
            SWEEP,
        )
        .range("small angles; about 1 % high at 10 deg of caster")
        .style(FINE_ANGLE),
        Output::new(
            "caster_exact",
            "caster, exact",
            Kind::Angle,
            "caster whose spindle, turned to both ends of the sweep, shows the two cambers",
            SWEEP,
        )
        .range("zero toe straight ahead")
        .style(FINE_ANGLE),
        Output::new(
            "caster_rule",
            "caster by the 1.5 rule, comparison only",
            Kind::Angle,
            "1.5 x difference",
            RULE_20,
        )
        .range("20 deg sweep only")
        .style(FINE_ANGLE),
    ],
    example: "camber_in=\"-1.2 deg\" camber_out=\"2.24 deg\" sweep=\"20 deg\"",
    run: caster_sweep,
};

fn caster_sweep(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let inward: Angle = given.need("camber_in")?;
    let outward: Angle = given.need("camber_out")?;
    let sweep: Angle = given.or("sweep", Angle::of(20.0, unit::DEG))?;
    given::within("sweep", sweep, unit::DEG, 5.0..=45.0, SWEEP)?;
    for (name, camber) in [("camber_in", inward), ("camber_out", outward)] {
        given::within(name, camber, unit::DEG, -30.0..=30.0, SWEEP)?;
    }
    let difference = outward - inward;
    let factor = sweep_factor(sweep);
    answer.put("difference", difference);
    answer.put("factor", factor);
    answer.put("caster", difference * factor.si());
    if let Some(kpi) = given.maybe::<Angle>("kpi")? {
        given::within("kpi", kpi, unit::DEG, -30.0..=30.0, SWEEP)?;
        let about_kingpin = given.maybe_word("about")? == Some("kingpin");
        let straight = given.or("camber", Angle::from_si(0.0))?;
        let sines = Number::from_si(math::sin(outward) - math::sin(inward));
        let found = if about_kingpin {
            kingpin_sweep_caster(sines, sweep, kpi, straight)
        } else {
            plate_sweep_caster(sines, sweep, kpi, straight)
        };
        let exact = found.ok_or_else(|| {
            Trouble::impossible("no caster gives these cambers", "check camber_in, camber_out and sweep")
        })?;
        answer.put("caster_exact", exact);
    }
    answer.put("caster_rule", difference * 1.5);
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
#[must_use]
pub fn sweep_factor(sweep: Angle) -> Number {
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

//! The speed at which a driveshaft tube whirls.

use crate::figure::{Answer, Declared, Family, Given, Group, Input, Output, Trouble, given};
use crate::quantity::{
    Density, Dimensioned, Form, Kind, Length, Percent, RotationSpeed, Stress, Style, unit,
};
use crate::source::Source;

const BEAM: Source =
    Source::derived("first bending frequency of a pinned uniform tube", "eigenvalue of a 40-element beam");
const SHARE: Source = Source::practice("operate below 65 to 75 % of the critical speed");
const RPM: Style = Style::single(Form::decimal(unit::RPM, 10.0));

/// Critical speed of a driveshaft.
pub static CRITICAL_SPEED: Family = Family {
    name: "critical-speed",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "critical speed of a driveshaft tube and the highest speed to run it at",
    inputs: &[
        Input::required("od", Kind::Length, "tube outside diameter").also(&[
            "tube",
            "diameter",
            "tube_od",
            "do",
            "outside_diameter",
            "d_o",
        ]),
        Input::optional("wall", Kind::Length, "tube wall").also(&["wall_thickness", "thickness", "t"]),
        Input::optional("id", Kind::Length, "instead of wall: tube inside diameter").also(&[
            "tube_id",
            "di",
            "inside_diameter",
            "d_i",
        ]),
        Input::required("length", Kind::Length, "joint centre to joint centre").also(&[
            "joint_distance",
            "between_joints",
            "l",
            "shaft_length",
        ]),
        Input::defaulted("modulus", Kind::Stress, "207 GPa", "elastic modulus").also(&["e"]),
        Input::defaulted("density", Kind::Density, "7850 kg/m3", "density").also(&["rho"]),
        Input::defaulted("share", Kind::Percent, "65 %", "share of the critical speed that is permitted")
            .also(&["derate", "fraction"]),
        Input::optional("speed", Kind::RotationSpeed, "highest shaft speed in service").also(&["rpm", "n"]),
    ],
    outputs: &[
        Output::new(
            "critical_speed",
            "critical speed",
            Kind::RotationSpeed,
            "(30/pi) (pi/L)^2 sqrt(E/density) sqrt(od^2 + id^2) / 4",
            BEAM,
        )
        .range("uniform tube, pinned ends, no slip spline or centre bearing within the length")
        .style(RPM.down()),
        Output::new(
            "safe_speed",
            "highest speed to run",
            Kind::RotationSpeed,
            "share x critical_speed",
            SHARE,
        )
        .style(RPM.down()),
        Output::new(
            "speed_share",
            "service speed over critical speed",
            Kind::Percent,
            "speed / critical_speed",
            BEAM,
        )
        .up(),
        Output::flag("speed_ok", "service speed low enough", "speed <= safe_speed", SHARE),
    ],
    example: "od=\"3 in\" wall=\"0.125 in\" length=\"48 in\" speed=\"4000 rpm\"",
    run: critical_speed,
};

fn critical_speed(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let od: Length = given::positive("od", given.need("od")?)?;
    let length: Length = given::positive("length", given.need("length")?)?;
    let id: Length = match (given.maybe::<Length>("id")?, given.maybe::<Length>("wall")?) {
        (Some(id), None) => id,
        (None, Some(wall)) => od - given::positive("wall", wall)? * 2.0,
        (None, None) => return Err(Trouble::Missing(vec!["wall", "id"])),
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible("wall and id are both given", "give one of them"));
        }
    };
    if id.si() < 0.0 || id >= od {
        return Err(Trouble::impossible("the tube has no wall", "check od, wall and id"));
    }
    if length < od * 5.0 {
        return Err(Trouble::impossible(
            "the tube is shorter than five diameters, where the beam formula does not hold",
            "check length and od",
        ));
    }
    let tube = Tube {
        od,
        id,
        length,
        modulus: given::positive("modulus", given.or("modulus", Stress::of(207.0, unit::GPA))?)?,
        density: given::positive("density", given.or("density", Density::of(7850.0, unit::KG_M3))?)?,
    };
    let share: Percent = given.or("share", Percent::from_si(0.65))?;
    given::within("share", share, unit::PCT, 10.0..=75.0, SHARE)?;
    let critical = whirl_speed(tube);
    let safe = critical * share.si();
    answer.put("critical_speed", critical);
    answer.put("safe_speed", safe);
    if let Some(speed) = given.maybe::<RotationSpeed>("speed")? {
        answer.put("speed_share", Percent::from_si(speed.si() / critical.si()));
        answer.put_flag("speed_ok", speed <= safe);
        if speed > safe {
            answer.warn(
                "The shaft would run too close to its critical speed; \
                 use a larger tube, a shorter shaft or a centre bearing.",
            );
        }
    }
    Ok(())
}

/// A driveshaft tube.
#[derive(Debug, Clone, Copy)]
pub struct Tube {
    /// Outside diameter.
    pub od: Length,
    /// Inside diameter; zero for a solid bar.
    pub id: Length,
    /// Joint centre to joint centre.
    pub length: Length,
    /// Elastic modulus.
    pub modulus: Stress,
    /// Density.
    pub density: Density,
}

/// First critical speed of a pinned uniform tube.
#[must_use]
pub fn whirl_speed(tube: Tube) -> RotationSpeed {
    let per_length = std::f64::consts::PI / tube.length.si();
    let wave = (tube.modulus.si() / tube.density.si()).sqrt();
    // Radius of gyration of a tube: sqrt(od^2 + id^2) / 4.
    let gyration = (tube.od.si() * tube.od.si() + tube.id.si() * tube.id.si()).sqrt() / 4.0;
    RotationSpeed::from_si(per_length * per_length * wave * gyration)
}

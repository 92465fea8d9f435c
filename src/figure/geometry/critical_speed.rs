//! The speed at which a driveshaft tube whirls.

use crate::figure::prelude::*;
use crate::figure::usual::{DENSITY, MODULUS, SHAFT_SPEED};

const BEAM: Source =
    Source::derived("first bending frequency of a pinned uniform tube", "eigenvalue of a 40-element beam");
const SHARE: Source = Source::practice("operate below 65 to 75 % of the critical speed");
const RPM: Style = Style::single(Form::decimal(unit::RPM, 10.0));

family! {
    pub CRITICAL_SPEED = "critical-speed" in Geometry:
        "critical speed of a driveshaft tube and the highest speed to run it at";
    also "driveshaft-critical-speed", "shaft-critical-speed", "whirl-speed", "whirling-speed", "driveshaft-speed";
    reads CriticalSpeed {
        required od: Length in ABOVE_ZERO, "tube outside diameter", "tube", "diameter", "tube_od", "do",
            "outside_diameter", "d_o", "D";
        optional wall: Length in ABOVE_ZERO.usually(0.03, 1.0, unit::IN), "tube wall", "wall_thickness", "thickness", "t";
        optional id: Length in NOT_NEGATIVE, "instead of wall: tube inside diameter", "tube_id", "di", "d", "inside_diameter", "d_i",
            "ID", "Di";
        required length: Length in ABOVE_ZERO, "joint centre to joint centre", "joint_distance", "between_joints",
            "l", "shaft_length", "L";
        default modulus: Stress = "207 GPa" in MODULUS, "elastic modulus", "e";
        default density: Density = "7850 kg/m3" in DENSITY, "density", "rho";
        default share: Percent = "65 %" in within(10.0, 75.0, unit::PCT, SHARE),
            "share of the critical speed that is permitted", "derate", "fraction";
        optional speed: RotationSpeed in SHAFT_SPEED, "highest shaft speed in service", "rpm", "n";
    }
    rules { one_of(wall, id); }
    gives CriticalSpeedAnswer {
        critical_speed: RotationSpeed, "critical speed", "(30/pi) (pi/L)^2 sqrt(E/density) sqrt(od^2 + id^2) / 4",
            BEAM => .range("uniform tube, pinned ends, no slip spline or centre bearing within the length").style(RPM.down());
        safe_speed: RotationSpeed, "highest speed to run", "share x critical_speed", SHARE => .style(RPM).at_most();
        speed_share: Percent, "service speed over critical speed", "speed / critical_speed", BEAM => .up();
        speed_ok: bool, "service speed low enough", "speed <= safe_speed", SHARE;
    }
    example "od=\"3 in\" wall=\"0.125 in\" length=\"48 in\" speed=\"4000 rpm\"";
    by critical_speed
}

fn critical_speed(given: &CriticalSpeed, answer: &mut CriticalSpeedAnswer) -> Result<()> {
    let od = *given.od;
    let length = *given.length;
    let id: Length = match (*given.id, *given.wall) {
        (Some(id), None) => id,
        _ => od - given.wall.need()? * 2.0,
    };
    (id.si() < 0.0 || id >= od).refuse("the tube has no wall", "check od, wall and id")?;
    (length < od * 5.0).refuse(
        "the tube is shorter than five diameters, where the beam formula does not hold",
        "check length and od",
    )?;
    let tube = Tube { od, id, length, modulus: *given.modulus, density: *given.density };
    let critical = whirl_speed(tube);
    let safe = critical * given.share.si();
    answer.critical_speed.put(critical);
    answer.safe_speed.put(safe);
    if let Some(speed) = *given.speed {
        answer.speed_share.put(Percent::from_si(speed.si() / critical.si()));
        answer.speed_ok.judge((safe - speed).si(), true, false, false);
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
    /// Mass per volume of the tube's metal.
    pub density: Density,
}

/// First critical speed of a pinned uniform tube.
#[must_use]
pub fn whirl_speed(tube: Tube) -> RotationSpeed {
    let per_length = PI / tube.length.si();
    let wave = (tube.modulus.si() / tube.density.si()).sqrt();
    // Radius of gyration of a tube: sqrt(od^2 + id^2) / 4.
    let gyration = (tube.od.si() * tube.od.si() + tube.id.si() * tube.id.si()).sqrt() / 4.0;
    RotationSpeed::from_si(per_length * per_length * wave * gyration)
}

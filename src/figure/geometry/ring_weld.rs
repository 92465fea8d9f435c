//! Stress in a weld ring around a tube or rod from torque, bending and a side
//! force, and the leg or the load an allowable stress gives.

use crate::figure::prelude::*;
use crate::figure::rule;
use std::f64::consts::FRAC_1_SQRT_2;

use crate::figure::welding::weld_strength::{Method, allowable_throat, tensile_strength};

const WELD_LINE: Source =
    Source::handbook("Blodgett, Design of Welded Structures", "weld treated as a line").from_memory();
const TEXTBOOK: Source = Source::handbook(
    "Khurmi, Machine Design, ch. 10",
    "maximum normal and maximum shear stress of a fillet ring",
);

const ALLOWABLE: Source = Source::practice("stresses of weld metal; outside them a unit or a digit is wrong");

words! {
    /// With electrode.
    pub Design {
        Asd = "asd" | "allowable" | "allowable-stress",
        Lrfd = "lrfd" | "load-and-resistance" | "limit-state",
    }
}

family! {
    pub RING_WELD = "ring-weld" in Geometry:
        "stress in a weld around a tube from torque, bending and side force, or the leg for an allowable stress";
    also "ring-torsion", "circular-weld", "circular-fillet", "round-weld", "tube-weld", "weld-ring";
    reads RingWeld {
        required diameter: Length in ABOVE_ZERO, "diameter of the weld ring, the tube outside diameter", "tube",
            "ring", "seam_diameter", "d", "od", "tube_od", "rod";
        optional throat: Length in ABOVE_ZERO, "weld throat; or give leg", "a";
        optional leg: Length in ABOVE_ZERO, "fillet leg; the throat is 0.707 of it", "size", "z", "s", "h", "w";
        optional torque: Torque, "torque about the tube", "t", "torsion", "twisting_moment";
        optional moment: Torque, "bending moment on the tube", "bending_moment", "m_b", "m", "bending";
        optional force: Force, "force square to the tube; also bends by force x arm", "load", "p", "shear_force",
            "v", "f";
        optional arm: Length in NOT_NEGATIVE, "from the weld to the force", "overhang", "e", "L", "distance";
        optional allowable: Stress in within(1.0, 1000.0, unit::MPA, ALLOWABLE), "allowable shear stress; gives the leg or the load", "tau", "allowable_stress",
            "permissible_stress", "allowable_shear", "stress";
        optional electrode: String, "filler class such as E70, instead of allowable", "fexx", "filler", "weld_metal";
        default method: Design = Asd,
            "with electrode; asd: loads as they act, 0.30 FEXX; lrfd: factored loads, 0.45 FEXX", "design";
    }
    rules {
        some_of(throat, leg, allowable, electrode);
        at_most_one(throat, leg);
        at_most_one(allowable, electrode);
        needs(arm, force);
    }
    gives RingWeldAnswer {
        throat: Length, "throat used", "0.707 leg", WELD_LINE => .style(GAUGE).down();
        shear: Stress, "shear from the torque", "2 T / (pi D^2 a)", WELD_LINE => .up();
        bending: Stress, "greatest stress from bending", "4 M / (pi D^2 a)", WELD_LINE => .up();
        direct: Stress, "average shear from the force", "V / (pi D a)", WELD_LINE => .up();
        combined: Stress, "all together, vector sum", "sqrt(bending^2 + (shear + direct)^2)", WELD_LINE => .up();
        max_normal: Stress, "maximum normal stress", "bending / 2 + sqrt((bending / 2)^2 + (shear + direct)^2)",
            TEXTBOOK => .up();
        max_shear: Stress, "maximum shear stress", "sqrt((bending / 2)^2 + (shear + direct)^2)", TEXTBOOK => .up();
        allowable: Stress, "allowable shear on the throat", "as given, or 0.30 FEXX (asd), 0.45 FEXX (lrfd)", WELD_LINE => .down();
        utilisation: Number, "utilisation of the weld", "combined / allowable", WELD_LINE => .up();
        leg_vector: Length, "least leg by vector sum", "combined x throat / (0.707 allowable)", WELD_LINE => .at_least();
        leg_max_shear: Length, "least leg by maximum shear", "max_shear x throat / (0.707 allowable)",
            TEXTBOOK => .at_least();
        torque_allowed: Torque, "torque the weld carries alone", "allowable pi D^2 a / 2", WELD_LINE => .at_most();
        moment_allowed: Torque, "bending moment the weld carries alone", "allowable pi D^2 a / 4",
            WELD_LINE => .at_most();
    }
    asked combined;
    example "diameter=\"76.2 mm\" throat=\"5 mm\" torque=\"2.5 kN·m\" moment=\"3 kN·m\"";
    by ring_weld
}

/// Line loads on a ring, in newtons per metre of weld.
#[derive(Debug, Clone, Copy, Default)]
struct LineLoads {
    torsion: f64,
    bending: f64,
    direct: f64,
}

impl LineLoads {
    fn vector(self) -> f64 {
        math::hypot(self.bending, self.torsion + self.direct)
    }

    fn max_shear(self) -> f64 {
        math::hypot(0.5 * self.bending, self.torsion + self.direct)
    }
}

fn throat(given: &RingWeld, diameter: Length) -> Result<Option<Length>> {
    let throat = match (*given.throat, *given.leg) {
        (Some(throat), _) => throat,
        (None, Some(leg)) => leg * FRAC_1_SQRT_2,
        (None, None) => return Ok(None),
    };
    (throat.si() > 0.25 * diameter.si()).refuse(
        "the throat is not small against the diameter, so the weld is no line",
        "check throat and diameter",
    )?;
    Ok(Some(throat))
}

/// Allowable shear on the throat, as stated or of the filler.
fn allowable(given: &RingWeld) -> Result<Option<Stress>> {
    let Some(filler) = given.electrode.as_deref() else { return Ok(*given.allowable) };
    let method = match *given.method {
        Design::Asd => Method::Asd,
        Design::Lrfd => Method::Lrfd,
    };
    Ok(Some(allowable_throat(tensile_strength(filler)?, method)))
}

fn ring_weld(given: &RingWeld, answer: &mut RingWeldAnswer) -> Result<()> {
    let diameter = *given.diameter;
    let throat = throat(given, diameter)?;
    let allowable = allowable(given)?;
    let torque = *given.torque;
    let force = *given.force;
    let arm = *given.arm;
    let moment: Option<Torque> = match (*given.moment, force, arm) {
        (Some(moment), Some(force), Some(arm)) => {
            Some(Torque::from_si(moment.si().abs() + (force.si() * arm.si()).abs()))
        }
        (None, Some(force), Some(arm)) => Some(Torque::from_si(force.si() * arm.si())),
        (moment, _, _) => moment,
    };
    let loaded = torque.is_some() || moment.is_some() || force.is_some();
    if !loaded && (throat.is_none() || allowable.is_none()) {
        return Err(Trouble::Missing(vec!["torque", "moment", "force"]));
    }
    if loaded {
        let given =
            [torque.map_or(0.0, Torque::si), moment.map_or(0.0, Torque::si), force.map_or(0.0, Force::si)];
        rule::loaded("ring", &given, "torque, moment or force")?;
    }
    let ring = PI * diameter.si() * diameter.si();
    let loads = LineLoads {
        torsion: torque.map_or(0.0, |t| 2.0 * t.si().abs() / ring),
        bending: moment.map_or(0.0, |m| 4.0 * m.si().abs() / ring),
        direct: force.map_or(0.0, |f| f.si().abs() / (PI * diameter.si())),
    };
    if let Some(throat) = throat {
        answer.throat.put(throat);
        let stress = |line: f64| Stress::from_si(line / throat.si());
        if torque.is_some() {
            answer.shear.put(stress(loads.torsion));
        }
        if moment.is_some() {
            answer.bending.put(stress(loads.bending));
        }
        if force.is_some() {
            answer.direct.put(stress(loads.direct));
        }
        if loaded {
            answer.combined.put(stress(loads.vector()));
            answer.max_normal.put(stress(0.5 * loads.bending + loads.max_shear()));
            answer.max_shear.put(stress(loads.max_shear()));
        }
    }
    if let Some(allowable) = allowable {
        let leg = |line: f64| Length::from_si(line / (allowable.si() * FRAC_1_SQRT_2));
        answer.allowable.put(allowable);
        if let (true, Some(throat)) = (loaded, throat) {
            let share = loads.vector() / throat.si() / allowable.si();
            answer.utilisation.put(Number::from_si(share));
            if share > 1.0 {
                answer.warn("The weld is over its allowable stress by the vector sum: enlarge it as far as the parts let it, or change the joint.");
            }
        }
        if loaded {
            answer.leg_vector.put(leg(loads.vector()));
            answer.leg_max_shear.put(leg(loads.max_shear()));
            if loads.bending > 0.0 {
                answer.warn("Maximum shear gives the smaller leg and the vector sum the larger one, up to about 40 % apart; say on the drawing which one was used, and take the larger where in doubt.");
            }
        }
        if let Some(throat) = throat {
            answer.torque_allowed.put(Torque::from_si(0.5 * allowable.si() * ring * throat.si()));
            answer.moment_allowed.put(Torque::from_si(0.25 * allowable.si() * ring * throat.si()));
        }
    }
    Ok(())
}

//! Stress in a weld ring around a tube or rod from torque, bending and a side
//! force, and the leg or the load an allowable stress gives.

use std::f64::consts::{FRAC_1_SQRT_2, PI};

use crate::figure::welding::weld_strength::read_allowable;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Dimensioned, Force, Kind, Length, Stress, Torque, math};
use crate::source::Source;

const WELD_LINE: Source =
    Source::handbook("Blodgett, Design of Welded Structures", "weld treated as a line").from_memory();
const TEXTBOOK: Source = Source::handbook(
    "Khurmi, Machine Design, ch. 10",
    "maximum normal and maximum shear stress of a fillet ring",
);

/// Ring weld.
pub static RING_WELD: Family = Family {
    name: "ring-weld",
    declared: Declared::OLD,
    group: Group::Geometry,
    title: "stress in a weld around a tube from torque, bending and side force, or the leg for an allowable stress",
    inputs: &[
        Input::required("diameter", Kind::Length, "diameter of the weld ring, the tube outside diameter")
            .also(&["tube", "ring", "seam_diameter", "d", "od", "tube_od", "rod"]),
        Input::optional("throat", Kind::Length, "weld throat; or give leg").also(&["a"]),
        Input::optional("leg", Kind::Length, "fillet leg; the throat is 0.707 of it")
            .also(&["size", "z", "s"]),
        Input::optional("torque", Kind::Torque, "torque about the tube").also(&[
            "t",
            "torsion",
            "twisting_moment",
        ]),
        Input::optional("moment", Kind::Torque, "bending moment on the tube").also(&[
            "bending_moment",
            "m_b",
            "m",
            "bending",
        ]),
        Input::optional("force", Kind::Force, "force square to the tube; also bends by force x arm").also(&[
            "load",
            "p",
            "shear_force",
            "v",
            "f",
        ]),
        Input::optional("arm", Kind::Length, "from the weld to the force")
            .also(&["overhang", "e", "distance"]),
        Input::optional("allowable", Kind::Stress, "allowable shear stress; gives the leg or the load")
            .also(&["tau", "allowable_stress", "permissible_stress", "allowable_shear", "stress"]),
        Input::name("electrode", Need::Optional, "filler class such as E70, instead of allowable").also(&[
            "fexx",
            "filler",
            "weld_metal",
        ]),
        Input::choice(
            "method",
            &["asd", "lrfd"],
            Need::Default("asd"),
            "with electrode; asd: loads as they act, 0.30 FEXX; lrfd: factored loads, 0.45 FEXX",
        )
        .also(&["design"]),
    ],
    outputs: &[
        Output::new("throat", "throat used", Kind::Length, "0.707 leg", WELD_LINE).down(),
        Output::new("shear", "shear from the torque", Kind::Stress, "2 T / (pi D^2 a)", WELD_LINE).up(),
        Output::new("bending", "greatest stress from bending", Kind::Stress, "4 M / (pi D^2 a)", WELD_LINE)
            .up(),
        Output::new("direct", "average shear from the force", Kind::Stress, "V / (pi D a)", WELD_LINE).up(),
        Output::new(
            "combined",
            "all together, vector sum",
            Kind::Stress,
            "sqrt(bending^2 + (shear + direct)^2)",
            WELD_LINE,
        )
        .up(),
        Output::new(
            "max_normal",
            "maximum normal stress",
            Kind::Stress,
            "bending / 2 + sqrt((bending / 2)^2 + (shear + direct)^2)",
            TEXTBOOK,
        )
        .up(),
        Output::new(
            "max_shear",
            "maximum shear stress",
            Kind::Stress,
            "sqrt((bending / 2)^2 + (shear + direct)^2)",
            TEXTBOOK,
        )
        .up(),
        Output::new(
            "leg_vector",
            "least leg by vector sum",
            Kind::Length,
            "combined x throat / (0.707 allowable)",
            WELD_LINE,
        )
        .up(),
        Output::new(
            "leg_max_shear",
            "least leg by maximum shear",
            Kind::Length,
            "max_shear x throat / (0.707 allowable)",
            TEXTBOOK,
        )
        .up(),
        Output::new(
            "torque_allowed",
            "torque the weld carries alone",
            Kind::Torque,
            "allowable pi D^2 a / 2",
            WELD_LINE,
        )
        .down(),
        Output::new(
            "moment_allowed",
            "bending moment the weld carries alone",
            Kind::Torque,
            "allowable pi D^2 a / 4",
            WELD_LINE,
        )
        .down(),
    ],
    example: "diameter=\"76.2 mm\" throat=\"5 mm\" torque=\"2.5 kN·m\" moment=\"3 kN·m\"",
    run: ring_weld,
};

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

fn throat(given: &Given, diameter: Length) -> Result<Option<Length>, Trouble> {
    let throat = match (given.maybe::<Length>("throat")?, given.maybe::<Length>("leg")?) {
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible(
                "both leg and throat are given",
                "a drawing states one of them: z or the size is the leg, a is the throat",
            ));
        }
        (Some(throat), None) => throat,
        (None, Some(leg)) => leg * FRAC_1_SQRT_2,
        (None, None) => return Ok(None),
    };
    given::positive("throat", throat)?;
    if throat.si() > 0.25 * diameter.si() {
        return Err(Trouble::impossible(
            "the throat is not small against the diameter, so the weld is no line",
            "check throat and diameter",
        ));
    }
    Ok(Some(throat))
}

fn ring_weld(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let diameter: Length = given::positive("diameter", given.need("diameter")?)?;
    let throat = throat(given, diameter)?;
    let allowable: Option<Stress> = read_allowable(given)?;
    if throat.is_none() && allowable.is_none() {
        return Err(Trouble::Missing(vec!["throat"]));
    }
    let torque: Option<Torque> = given.maybe("torque")?;
    let force: Option<Force> = given.maybe("force")?;
    let arm: Option<Length> = given.maybe("arm")?;
    if arm.is_some() && force.is_none() {
        return Err(Trouble::Missing(vec!["force"]));
    }
    let moment: Option<Torque> = match (given.maybe::<Torque>("moment")?, force, arm) {
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
    let ring = PI * diameter.si() * diameter.si();
    let loads = LineLoads {
        torsion: torque.map_or(0.0, |t| 2.0 * t.si().abs() / ring),
        bending: moment.map_or(0.0, |m| 4.0 * m.si().abs() / ring),
        direct: force.map_or(0.0, |f| f.si().abs() / (PI * diameter.si())),
    };
    if let Some(throat) = throat {
        answer.put("throat", throat);
        let stress = |line: f64| Stress::from_si(line / throat.si());
        if torque.is_some() {
            answer.put("shear", stress(loads.torsion));
        }
        if moment.is_some() {
            answer.put("bending", stress(loads.bending));
        }
        if force.is_some() {
            answer.put("direct", stress(loads.direct));
        }
        if loaded {
            answer.put("combined", stress(loads.vector()));
            answer.put("max_normal", stress(0.5 * loads.bending + loads.max_shear()));
            answer.put("max_shear", stress(loads.max_shear()));
        }
    }
    if let Some(allowable) = allowable {
        let leg = |line: f64| Length::from_si(line / (allowable.si() * FRAC_1_SQRT_2));
        if loaded {
            answer.put("leg_vector", leg(loads.vector()));
            answer.put("leg_max_shear", leg(loads.max_shear()));
            if loads.bending > 0.0 {
                answer.warn("Maximum shear gives the smaller leg and the vector sum the larger one, up to about 40 % apart; say on the drawing which one was used, and take the larger where in doubt.");
            }
        }
        if let Some(throat) = throat {
            answer.put("torque_allowed", Torque::from_si(0.5 * allowable.si() * ring * throat.si()));
            answer.put("moment_allowed", Torque::from_si(0.25 * allowable.si() * ring * throat.si()));
        }
    }
    Ok(())
}

//! The seam around an axle tube at the knuckle, under braking and cornering.

use super::look_up;
use super::weld_strength::{
    ALLOWABLE, AS_LINE, ELECTRODE, FATIGUE, LEG, LINE_LOAD, METHOD, THROAT, THROAT_INPUT, leg_of_throat,
    read_allowable, read_electrode, read_throat,
};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::show::{GAUGE, LENGTH};
use crate::quantity::{Dimensioned, Force, Kind, Length, LineForce, Number, Stress, Torque, math, unit};
use crate::source::Source;

const WHEEL: Source = Source::derived("statics of the wheel end about the seam", "vector cross products");
const TUBE: Source =
    Source::handbook("Shigley's Mechanical Engineering Design, 9th edition", "sections 3-10 and 3-12");
const GRIP: Source =
    Source::practice("a road tyre holds about its own load, a racing tyre up to one and a half times")
        .from_memory();
const YIELD: Source = Source::standard("ANSI/AISC 360-22", "0.60 Fy on the von Mises stress").from_memory();

const fn flow(id: &'static str, title: &'static str, formula: &'static str) -> Output {
    Output::new(id, title, Kind::LineForce, formula, AS_LINE).style(LINE_LOAD)
}

const fn tube(id: &'static str, title: &'static str, formula: &'static str) -> Output {
    Output::new(id, title, Kind::Stress, formula, TUBE).up()
}

/// Seam around a tube.
pub static TUBE_SEAM: Family = Family {
    name: "tube-seam",
    declared: Declared::OLD,
    group: Group::Welding,
    title: "seam around an axle tube at the knuckle: loads, ring weld and tube stress",
    inputs: &[
        Input::required("tube_od", Kind::Length, "tube outside diameter; the weld is taken as a ring of it")
            .also(&["od", "d", "diameter", "tube"]),
        Input::optional("wall", Kind::Length, "tube wall; needed for a full-penetration seam").also(&["tube_wall", "t"]),
        Input::choice(
            "joint",
            &["fillet", "cjp", "pjp"],
            Need::Default("fillet"),
            "fillet: the throat carries; cjp: full penetration, the tube itself is checked; pjp: give the throat",
        ),
        Input::optional("wheel_load", Kind::Force, "vertical load of the wheel").also(&["n", "corner_load", "vertical_load"]),
        Input::optional("friction", Kind::Number, "tyre to road friction the brakes can use").also(&["mu"]),
        Input::optional("brake_force", Kind::Force, "brake force at the ground, instead of friction").also(&["fx"]),
        Input::optional("tyre_radius", Kind::Length, "loaded tyre radius").also(&["r", "tire_radius", "loaded_radius", "rolling_radius"]),
        Input::optional("offset", Kind::Length, "from the seam out to the wheel centre plane").also(&["a_offset", "wheel_offset", "arm"]),
        Input::defaulted(
            "lateral",
            Kind::Force,
            "friction x wheel_load, the most the tyre holds",
            "side force at the ground, positive away from the vehicle: it adds to the bending (inside wheel of a turn)",
        )
        .also(&["fy", "side_force", "cornering_force"]),
        Input::defaulted("axial", Kind::Force, "size of lateral", "force along the tube").also(&["p", "axial_force"]),
        Input::choice(
            "brakes",
            &["outboard", "inboard"],
            Need::Default("outboard"),
            "outboard: the caliper sits on the knuckle, its torque crosses the seam; inboard: it does not",
        ),
        Input::optional("torque", Kind::Torque, "torque about the tube, with moment, shear and axial instead of the wheel data").also(&["torsion"]),
        Input::optional("moment", Kind::Torque, "bending moment at the seam, instead of the wheel data").also(&["bending", "m"]),
        Input::optional("shear", Kind::Force, "shear force at the seam, instead of the wheel data").also(&["v"]),
        Input::choice(
            "shear_flow",
            &["average", "peak", "none"],
            Need::Default("average"),
            "how the shear force joins the torsion: V/(pi D), its peak 2V/(pi D), or left out",
        ),
        LEG,
        THROAT_INPUT,
        ELECTRODE,
        ALLOWABLE,
        METHOD,
        Input::optional("tube_yield", Kind::Stress, "yield strength of the tube, to check the tube itself").also(&["fy_tube", "yield"]),
    ],
    outputs: &[
        Output::new("brake_force", "brake force at the ground", Kind::Force, "mu N", WHEEL),
        Output::new("torque", "torque about the tube", Kind::Torque, "Fx R, outboard brakes; 0, inboard", WHEEL),
        Output::new("moment_vertical", "moment in the vertical plane", Kind::Torque, "N a + Fy R", WHEEL),
        Output::new("moment_horizontal", "moment in the horizontal plane", Kind::Torque, "Fx a", WHEEL),
        Output::new("moment", "bending moment at the seam", Kind::Torque, "hypot(Mv, Mh)", WHEEL).up(),
        Output::new("shear", "shear force at the seam", Kind::Force, "hypot(N, Fx)", WHEEL),
        flow("q_torsion", "torsional shear per length", "2 T / (pi D^2)"),
        flow("q_moment", "bending per length", "4 M / (pi D^2)"),
        flow("q_shear", "average shear per length", "V / (pi D)"),
        flow("q_axial", "axial force per length", "P / (pi D)"),
        flow("resultant_no_shear", "resultant without the shear force", "hypot(qM + qP, qT)"),
        flow("resultant_peak_shear", "resultant with peak shear flow", "hypot(qM + qP, qT + 2 qV)").up(),
        flow("resultant", "resultant force per length", "hypot(qM + qP, qT + qV), worst points superposed").up(),
        Output::new("throat", "throat that carries", Kind::Length, "leg / sqrt(2), or as given", THROAT).style(GAUGE).down(),
        Output::new("stress", "throat stress by vector sum", Kind::Stress, "resultant / throat", AS_LINE).up(),
        Output::new(
            "stress_max_shear",
            "throat stress by maximum shear",
            Kind::Stress,
            "hypot((qM + qP) / 2, qT + qV) / throat",
            AS_LINE,
        )
        .up(),
        Output::new("allowable_stress", "allowable shear on the throat", Kind::Stress, "0.30 FEXX (asd), 0.45 FEXX (lrfd)", THROAT).down(),
        Output::new("required_leg", "required leg, static", Kind::Length, "sqrt(2) resultant / allowable", AS_LINE).style(LENGTH).up(),
        Output::new("required_throat", "required throat, static", Kind::Length, "resultant / allowable", AS_LINE).style(GAUGE).up(),
        Output::new("utilisation", "utilisation of the weld, static", Kind::Number, "stress / allowable", AS_LINE).up(),
        tube("tube_torsion", "torsional shear in the tube", "16 T OD / (pi (OD^4 - ID^4))"),
        tube("tube_bending", "bending stress in the tube", "32 M OD / (pi (OD^4 - ID^4))"),
        tube("tube_axial", "axial stress in the tube", "P / A"),
        tube("tube_direct", "direct shear in the tube, average", "V / A"),
        tube("tube_von_mises", "von Mises stress in the tube", "sqrt((bending + axial)^2 + 3 (torsion + direct)^2)"),
        Output::new("tube_utilisation", "utilisation of the tube", Kind::Number, "von Mises / (0.60 Fy); lrfd: / (0.90 Fy)", YIELD).up(),
    ],
    example: "tube_od=\"3 in\" wall=\"1/4 in\" wheel_load=\"1800 lbf\" friction=0.9 tyre_radius=\"14.5 in\" offset=\"6 in\" lateral=\"0 lbf\" leg=\"1/4 in\" electrode=E70",
    run: tube_seam,
};

/// Loads that cross the seam.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SeamLoads {
    /// About the tube axis.
    pub torque: Torque,
    /// Bending, either plane combined.
    pub moment: Torque,
    /// Across the tube.
    pub shear: Force,
    /// Along the tube, size only.
    pub axial: Force,
}

/// Force per length around the ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RingFlow {
    /// 2T/(pi D^2).
    pub torsion: LineForce,
    /// 4M/(pi D^2).
    pub moment: LineForce,
    /// V/(pi D).
    pub shear: LineForce,
    /// P/(pi D).
    pub axial: LineForce,
}

impl RingFlow {
    /// Flows of a ring of diameter `d`.
    #[must_use]
    pub fn new(loads: &SeamLoads, d: Length) -> Self {
        let round = std::f64::consts::PI * d.si();
        let area = round * d.si();
        Self {
            torsion: LineForce::from_si(2.0 * loads.torque.si() / area),
            moment: LineForce::from_si(4.0 * loads.moment.si() / area),
            shear: LineForce::from_si(loads.shear.si() / round),
            axial: LineForce::from_si(loads.axial.si() / round),
        }
    }

    fn normal(&self) -> f64 {
        self.moment.si() + self.axial.si()
    }

    fn along(&self, times: f64) -> f64 {
        self.torsion.si() + times * self.shear.si()
    }

    /// Vector sum with `times` the average shear, worst points superposed.
    #[must_use]
    pub fn resultant(&self, times: Number) -> LineForce {
        LineForce::from_si(math::hypot(self.normal(), self.along(times.si())))
    }

    /// Maximum shear with `times` the average shear.
    #[must_use]
    pub fn max_shear(&self, times: Number) -> LineForce {
        LineForce::from_si(math::hypot(self.normal() / 2.0, self.along(times.si())))
    }
}

/// Stresses in a round tube.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TubeStress {
    /// T r / J.
    pub torsion: Stress,
    /// M r / I.
    pub bending: Stress,
    /// P / A.
    pub axial: Stress,
    /// V / A.
    pub direct: Stress,
}

impl TubeStress {
    /// Stresses at the outside of a tube.
    #[must_use]
    pub fn new(loads: &SeamLoads, od: Length, wall: Length) -> Self {
        let (d, b) = (od.si(), od.si() - 2.0 * wall.si());
        let fourth = d.powi(4) - b.powi(4);
        let area = std::f64::consts::PI / 4.0 * (d * d - b * b);
        let bending = |m: f64| m * 32.0 * d / (std::f64::consts::PI * fourth);
        Self {
            torsion: Stress::from_si(bending(loads.torque.si()) / 2.0),
            bending: Stress::from_si(bending(loads.moment.si())),
            axial: Stress::from_si(loads.axial.si() / area),
            direct: Stress::from_si(loads.shear.si() / area),
        }
    }

    /// Von Mises stress, worst points superposed.
    #[must_use]
    pub fn von_mises(&self) -> Stress {
        let (s, t) = (self.bending.si() + self.axial.si(), self.torsion.si() + self.direct.si());
        Stress::from_si((s * s + 3.0 * t * t).sqrt())
    }
}

fn direct_loads(given: &Given) -> Result<Option<SeamLoads>, Trouble> {
    if !["torque", "moment", "shear"].iter().any(|n| given.has(n)) {
        return Ok(None);
    }
    let mixed = ["wheel_load", "friction", "brake_force", "lateral"].iter().any(|n| given.has(n));
    if mixed {
        return Err(Trouble::impossible(
            "both seam loads and wheel data are given",
            "give torque, moment and shear, or give the wheel data",
        ));
    }
    // What is not known is not zero.
    given.require(&["torque", "moment", "shear", "axial"])?;
    let size = |t: Torque| Torque::from_si(t.si().abs());
    Ok(Some(SeamLoads {
        torque: size(given.need("torque")?),
        moment: size(given.need("moment")?),
        shear: given.need::<Force>("shear")?.abs(),
        axial: given.need::<Force>("axial")?.abs(),
    }))
}

fn wheel_loads(given: &Given, answer: &mut Answer) -> Result<SeamLoads, Trouble> {
    if !given.has("offset") && given.has("throat") && given.has("leg") {
        return Err(Trouble::impossible(
            "both leg and throat are given, and no offset",
            "a is the throat of the weld here; write the arm from the seam to the wheel as offset",
        ));
    }
    given.require(&["wheel_load", "tyre_radius", "offset"])?;
    let load: Force = given::positive("wheel_load", given.need("wheel_load")?)?;
    let radius: Length = given::positive("tyre_radius", given.need("tyre_radius")?)?;
    let offset: Length = given.need("offset")?;
    let friction: Option<Number> = given.maybe("friction")?;
    if let Some(mu) = friction {
        given::within("friction", given::positive("friction", mu)?, unit::ONE, 0.0..=1.5, GRIP)?;
    }
    let grip = friction.map(|mu| load * mu.si());
    let brake = match (given.maybe::<Force>("brake_force")?, grip) {
        (Some(_), Some(_)) => {
            return Err(Trouble::impossible("both friction and brake_force are given", "give one of them"));
        }
        (Some(force), None) => force,
        (None, Some(grip)) => grip,
        (None, None) => return Err(Trouble::Missing(vec!["friction"])),
    };
    let lateral = match (given.maybe::<Force>("lateral")?, grip) {
        (Some(lateral), _) => lateral,
        (None, Some(grip)) => {
            answer.warn(
                "No side force was given: the most this tyre holds, friction x wheel_load, is taken outward together with \
                 full braking. Give lateral for the worst of your own load cases.",
            );
            grip
        }
        (None, None) => return Err(Trouble::Missing(vec!["lateral"])),
    };
    let outboard = given.maybe_word("brakes")? != Some("inboard");
    let torque = if outboard { brake.si() * radius.si() } else { 0.0 };
    let vertical = load.si() * offset.si() + lateral.si() * radius.si();
    let horizontal = brake.si() * offset.si();
    answer.put("brake_force", brake);
    answer.put("torque", Torque::from_si(torque));
    answer.put("moment_vertical", Torque::from_si(vertical));
    answer.put("moment_horizontal", Torque::from_si(horizontal));
    if !outboard {
        answer.warn("Inboard brakes: the brake torque is taken not to cross this seam. Check the part that does carry it.");
    }
    Ok(SeamLoads {
        torque: Torque::from_si(torque.abs()),
        moment: Torque::from_si(math::hypot(vertical, horizontal)),
        shear: Force::from_si(math::hypot(load.si(), brake.si())),
        axial: given.or("axial", lateral)?.abs(),
    })
}

fn tube_seam(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let od: Length = given::positive("tube_od", given.need("tube_od")?)?;
    let wall: Option<Length> = given.maybe("wall")?;
    if let Some(wall) = wall
        && (given::positive("wall", wall)?.si() > od.si() / 2.0)
    {
        return Err(Trouble::impossible(
            "the wall is more than half the tube diameter",
            "check tube_od and wall",
        ));
    }
    let joint = given.maybe_word("joint")?.unwrap_or("fillet").to_owned();
    let loads = match direct_loads(given)? {
        Some(loads) => {
            answer.put("torque", loads.torque);
            loads
        }
        None => wheel_loads(given, answer)?,
    };
    answer.put("moment", loads.moment);
    answer.put("shear", loads.shear);
    let flow = RingFlow::new(&loads, od);
    answer.put("q_torsion", flow.torsion);
    answer.put("q_moment", flow.moment);
    answer.put("q_shear", flow.shear);
    answer.put("q_axial", flow.axial);
    answer.put("resultant_no_shear", flow.resultant(Number::from_si(0.0)));
    answer.put("resultant_peak_shear", flow.resultant(Number::from_si(2.0)));
    if joint == "cjp" {
        if wall.is_none() {
            return Err(Trouble::Missing(vec!["wall"]));
        }
        if read_electrode(given)?.is_some() {
            answer.note("A complete-penetration seam in matching filler is as strong as the tube: the electrode sets no figure here.");
        }
    } else {
        ring(given, answer, &flow, &joint, wall)?;
    }
    if let Some(wall) = wall {
        tube_stress(given, answer, &TubeStress::new(&loads, od, wall))?;
    }
    answer.warn(FATIGUE);
    Ok(())
}

fn ring(
    given: &Given,
    answer: &mut Answer,
    flow: &RingFlow,
    joint: &str,
    wall: Option<Length>,
) -> Result<(), Trouble> {
    let (times, formula) = match given.maybe_word("shear_flow")? {
        Some("peak") => (2.0, "hypot(qM + qP, qT + 2 qV), worst points superposed"),
        Some("none") => (0.0, "hypot(qM + qP, qT), shear force left out"),
        _ => (1.0, "hypot(qM + qP, qT + qV), worst points superposed"),
    };
    let times = Number::from_si(times);
    let resultant = flow.resultant(times);
    answer.put("resultant", resultant);
    answer.formula("resultant", formula);
    if joint == "pjp" && given.has("leg") {
        return Err(Trouble::impossible(
            "a partial-penetration seam has no leg",
            "give throat: the depth the procedure proves",
        ));
    }
    let throat = read_throat(given)?;
    let allowable = read_allowable(given)?;
    if throat.is_none() && allowable.is_none() {
        return Err(Trouble::Missing(vec!["leg", "electrode"]));
    }
    if let (Some(throat), Some(wall)) = (throat, wall) {
        if joint == "fillet" {
            look_up::leg_on(leg_of_throat(throat), wall)?;
        } else if look_up::exceeds(throat, wall) {
            return Err(Trouble::impossible(
                format!(
                    "a throat of {} is larger than the wall of {}",
                    GAUGE.both(throat.into()),
                    GAUGE.both(wall.into())
                ),
                "a groove is no deeper than the wall: check throat and wall",
            ));
        }
    }
    if let Some(throat) = throat {
        answer.put("throat", throat);
        answer.put("stress", Stress::from_si(resultant.si() / throat.si()));
        answer.put("stress_max_shear", Stress::from_si(flow.max_shear(times).si() / throat.si()));
    }
    let Some(allowable) = allowable else { return Ok(()) };
    answer.put("allowable_stress", allowable);
    let needed = Length::from_si(resultant.si() / allowable.si());
    if joint == "fillet" {
        answer.put("required_leg", leg_of_throat(needed));
    }
    answer.put("required_throat", needed);
    if let Some(throat) = throat {
        let utilisation = needed.si() / throat.si();
        answer.put("utilisation", Number::from_si(utilisation));
        if utilisation > 1.0 {
            answer.warn(
                "The throat stress is over the static allowable: enlarge the weld or change the joint.",
            );
        }
    }
    Ok(())
}

fn tube_stress(given: &Given, answer: &mut Answer, stress: &TubeStress) -> Result<(), Trouble> {
    answer.put("tube_torsion", stress.torsion);
    answer.put("tube_bending", stress.bending);
    answer.put("tube_axial", stress.axial);
    answer.put("tube_direct", stress.direct);
    answer.put("tube_von_mises", stress.von_mises());
    if let Some(strength) = given.maybe::<Stress>("tube_yield")? {
        let strength = given::positive("tube_yield", strength)?;
        let share = if given.maybe_word("method")? == Some("lrfd") { 0.9 } else { 0.6 };
        let utilisation = stress.von_mises().si() / (share * strength.si());
        answer.put("tube_utilisation", Number::from_si(utilisation));
        if utilisation > 1.0 {
            answer.warn("The tube itself is over 0.60 of its yield: a larger weld won't help.");
        }
    }
    Ok(())
}

//! The seam around an axle tube at the knuckle, under braking and cornering.

use super::look_up::{exceeds, leg_on};
use super::weld_strength::{AS_LINE, FATIGUE, LINE_LOAD, Method, Size, Strength, THROAT, leg_of_throat};
use crate::figure::prelude::*;
use crate::figure::rule::loaded;
use crate::figure::usual::{AXLE_TUBE, STRENGTH, TYRE_RADIUS, WALL, WHEEL_LOAD};

const WHEEL: Source = Source::derived("statics of the wheel end about the seam", "vector cross products");
const TUBE: Source =
    Source::handbook("Shigley's Mechanical Engineering Design, 9th edition", "sections 3-10 and 3-12");
const GRIP: Source =
    Source::practice("a road tyre holds about its own load, a racing tyre up to one and a half times")
        .from_memory();
/// Force at the ground over the wheel load that no road tyre passes ([`GRIP`]).
const MOST_GRIP: f64 = 1.5;
const YIELD: Source = Source::standard("ANSI/AISC 360-22", "0.60 Fy on the von Mises stress").from_memory();

words! {
    /// What carries at the seam.
    pub Joint {
        /// The throat of a fillet:
        Fillet = "fillet",
        /// The tube itself, full penetration:
        Cjp = "cjp",
        /// The throat of a partial-penetration groove:
        Pjp = "pjp",
    }
}

words! {
    /// Where the brakes sit.
    pub Brakes { Outboard = "outboard", Inboard = "inboard", }
}

words! {
    /// How the shear force joins the torsion.
    pub ShearFlow { Average = "average", Peak = "peak", None = "none" | "shared-risk" | "shared" | "simple" | "simple-acceptance" | "no", }
}

family! {
    pub TUBE_SEAM = "tube-seam" in Welding:
        "seam around an axle tube at the knuckle: loads, ring weld and tube stress";
    also "knuckle-seam", "seam", "knuckle-weld", "circumferential-weld";
    reads TubeSeam {
        ..size: Size;
        ..strength: Strength;
        required tube_od: Length in AXLE_TUBE, "tube outside diameter; the weld is taken as a ring of it", "od",
            "d", "diameter";
        optional wall: Length in WALL, "tube wall; needed for a full-penetration seam", "tube_wall", "t";
        default joint: Joint = Fillet,
            "fillet: the throat carries; cjp: full penetration, the tube itself is checked; pjp: give the throat";
        optional wheel_load: Force in WHEEL_LOAD, "vertical load of the wheel", "n", "corner_load",
            "vertical_load";
        optional friction: Number in within(0.0, 1.5, unit::ONE, GRIP).above_zero(),
            "tyre to road friction the brakes can use", "mu";
        optional brake_force: Force, "brake force at the ground, instead of friction", "fx";
        optional tyre_radius: Length in TYRE_RADIUS, "loaded tyre radius", "r", "tire_radius", "loaded_radius",
            "rolling_radius", "radius", "wheel_radius";
        optional offset: Length, "from the seam out to the wheel centre plane", "a_offset", "wheel_offset",
            "arm";
        fallback lateral: Force = "friction x wheel_load, the most the tyre holds",
            "side force at the ground, positive away from the vehicle: it adds to the bending (inside wheel of a turn)",
            "fy", "side_force", "cornering_force";
        fallback axial: Force = "size of lateral", "force along the tube", "p", "axial_force";
        default brakes: Brakes = Outboard,
            "outboard: the caliper sits on the knuckle, its torque crosses the seam; inboard: it does not";
        optional torque: Torque, "torque about the tube, with moment, shear and axial instead of the wheel data",
            "torsion";
        optional moment: Torque, "bending moment at the seam, instead of the wheel data", "bending", "m";
        optional shear: Force, "shear force at the seam, instead of the wheel data", "v";
        default shear_flow: ShearFlow = Average,
            "how the shear force joins the torsion: V/(pi D), its peak 2V/(pi D), or left out";
        optional tube_yield: Stress in STRENGTH, "yield strength of the tube, to check the tube itself",
            "fy_tube", "yield";
    }
    rules { at_most_one(friction, brake_force); }
    gives TubeSeamAnswer {
        brake_force: Force, "brake force at the ground", "mu N", WHEEL;
        torque: Torque, "torque about the tube", "Fx R, outboard brakes; 0, inboard", WHEEL;
        moment_vertical: Torque, "moment in the vertical plane", "N a + Fy R", WHEEL;
        moment_horizontal: Torque, "moment in the horizontal plane", "Fx a", WHEEL;
        moment: Torque, "bending moment at the seam", "hypot(Mv, Mh)", WHEEL => .up();
        shear: Force, "shear force at the seam", "hypot(N, Fx)", WHEEL;
        q_torsion: LineForce, "torsional shear per length", "2 T / (pi D^2)", AS_LINE => .style(LINE_LOAD);
        q_moment: LineForce, "bending per length", "4 M / (pi D^2)", AS_LINE => .style(LINE_LOAD);
        q_shear: LineForce, "average shear per length", "V / (pi D)", AS_LINE => .style(LINE_LOAD);
        q_axial: LineForce, "axial force per length", "P / (pi D)", AS_LINE => .style(LINE_LOAD);
        resultant_no_shear: LineForce, "resultant without the shear force", "hypot(qM + qP, qT)", AS_LINE =>
            .style(LINE_LOAD);
        resultant_peak_shear: LineForce, "resultant with peak shear flow", "hypot(qM + qP, qT + 2 qV)", AS_LINE
            => .style(LINE_LOAD).up();
        resultant: LineForce, "resultant force per length", "hypot(qM + qP, qT + qV), worst points superposed",
            AS_LINE => .style(LINE_LOAD).up();
        throat: Length, "throat that carries", "leg / sqrt(2), or as given", THROAT => .style(GAUGE).down();
        stress: Stress, "throat stress by vector sum", "resultant / throat", AS_LINE => .up();
        stress_max_shear: Stress, "throat stress by maximum shear", "hypot((qM + qP) / 2, qT + qV) / throat",
            AS_LINE => .up();
        allowable_stress: Stress, "allowable shear on the throat", "0.30 FEXX (asd), 0.45 FEXX (lrfd)", THROAT =>
            .down();
        required_leg: Length, "required leg, static", "sqrt(2) resultant / allowable", AS_LINE =>
            .style(LENGTH).at_least();
        required_throat: Length, "required throat, static", "resultant / allowable", AS_LINE =>
            .style(GAUGE).at_least();
        utilisation: Number, "utilisation of the weld, static", "stress / allowable", AS_LINE => .up();
        tube_torsion: Stress, "torsional shear in the tube", "16 T OD / (pi (OD^4 - ID^4))", TUBE => .up();
        tube_bending: Stress, "bending stress in the tube", "32 M OD / (pi (OD^4 - ID^4))", TUBE => .up();
        tube_axial: Stress, "axial stress in the tube", "P / A", TUBE => .up();
        tube_direct: Stress, "direct shear in the tube, average", "V / A", TUBE => .up();
        tube_von_mises: Stress, "von Mises stress in the tube",
            "sqrt((bending + axial)^2 + 3 (torsion + direct)^2)", TUBE => .up();
        tube_utilisation: Number, "utilisation of the tube", "von Mises / (0.60 Fy); lrfd: / (0.90 Fy)", YIELD =>
            .up();
    }
    asked required_leg, resultant;
    example "tube_od=\"3 in\" wall=\"1/4 in\" wheel_load=\"1800 lbf\" friction=0.9 tyre_radius=\"14.5 in\" offset=\"6 in\" lateral=\"0 lbf\" leg=\"1/4 in\" electrode=E70";
    by tube_seam
}

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
        let round = PI * d.si();
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
    pub(super) fn max_shear(&self, times: Number) -> LineForce {
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
        let area = PI / 4.0 * (d * d - b * b);
        let bending = |m: f64| m * 32.0 * d / (PI * fourth);
        Self {
            torsion: Stress::from_si(bending(loads.torque.si()) / 2.0),
            bending: Stress::from_si(bending(loads.moment.si())),
            axial: Stress::from_si(loads.axial.si() / area),
            direct: Stress::from_si(loads.shear.si() / area),
        }
    }

    /// Von Mises stress, worst points superposed.
    fn von_mises(&self) -> Stress {
        let (s, t) = (self.bending.si() + self.axial.si(), self.torsion.si() + self.direct.si());
        Stress::from_si((s * s + 3.0 * t * t).sqrt())
    }
}

fn direct_loads(given: &TubeSeam) -> Result<Option<SeamLoads>> {
    if !given.torque.given() && !given.moment.given() && !given.shear.given() {
        return Ok(None);
    }
    if given.wheel_load.given()
        || given.friction.given()
        || given.brake_force.given()
        || given.lateral.given()
    {
        return Err(Trouble::impossible(
            "both seam loads and wheel data are given",
            "give torque, moment, shear and axial, or give the wheel data",
        ));
    }
    // What is not known is not zero.
    require(&[&given.torque, &given.moment, &given.shear, &given.axial])?;
    let stated = [
        given.torque.need()?.si(),
        given.moment.need()?.si(),
        given.shear.need()?.si(),
        given.axial.need()?.si(),
    ];
    loaded("seam", &stated, "torque, moment, shear or axial")?;
    let size = |t: Torque| Torque::from_si(t.si().abs());
    Ok(Some(SeamLoads {
        torque: size(given.torque.need()?),
        moment: size(given.moment.need()?),
        shear: given.shear.need()?.abs(),
        axial: given.axial.need()?.abs(),
    }))
}

/// No road tyre holds more than 1.5 times its load, whatever force is stated.
fn within_grip(what: &str, force: Force, load: Force) -> Result<()> {
    let most = load * MOST_GRIP;
    if force.si().abs() <= most.si() * (1.0 + 1e-9) {
        return Ok(());
    }
    Err(Trouble::impossible(
        format!(
            "{what} is {:.1} times the wheel load, and no road tyre holds more than {MOST_GRIP} times it",
            force.si().abs() / load.si()
        ),
        format!("check {what} and wheel_load: both belong to one wheel"),
    ))
}

fn wheel_loads(given: &TubeSeam, answer: &mut TubeSeamAnswer) -> Result<SeamLoads> {
    (!given.offset.given() && given.size.throat.given() && given.size.leg.given()).refuse(
        "both leg and throat are given, and no offset",
        "a is the throat of the weld here; write the arm from the seam to the wheel as offset",
    )?;
    require(&[&given.wheel_load, &given.tyre_radius, &given.offset])?;
    let (load, radius, offset) = (given.wheel_load.need()?, given.tyre_radius.need()?, given.offset.need()?);
    let grip = given.friction.map(|mu| load * mu.si());
    let brake = given.brake_force.or(grip).ok_or(Trouble::Missing(vec!["friction"]))?;
    within_grip("brake_force", brake, load)?;
    if let Some(lateral) = *given.lateral {
        within_grip("lateral", lateral, load)?;
    }
    let lateral = match (*given.lateral, grip) {
        (Some(lateral), grip) => {
            if grip.is_some_and(|grip| lateral < grip * (1.0 - 1e-9)) {
                answer.warn(
                    "The side force stated is below what this tyre holds outward, friction x wheel_load, and it bends \
                     the seam most as the inside wheel of a turn. Reckon that case too: leave lateral out.",
                );
            }
            lateral
        }
        (None, Some(grip)) => {
            answer.warn(
                "No side force was given: the most this tyre holds, friction x wheel_load, is taken outward together with \
                 full braking. Give lateral for the worst of your own load cases.",
            );
            grip
        }
        (None, None) => return Err(Trouble::Missing(vec!["lateral"])),
    };
    let outboard = *given.brakes == Brakes::Outboard;
    let torque = if outboard { brake.si() * radius.si() } else { 0.0 };
    let vertical = load.si() * offset.si() + lateral.si() * radius.si();
    let horizontal = brake.si() * offset.si();
    answer.brake_force.put(brake);
    answer.torque.put(Torque::from_si(torque));
    answer.moment_vertical.put(Torque::from_si(vertical));
    answer.moment_horizontal.put(Torque::from_si(horizontal));
    if !outboard {
        answer.warn("Inboard brakes: the brake torque is taken not to cross this seam. Check the part that does carry it.");
    }
    Ok(SeamLoads {
        torque: Torque::from_si(torque.abs()),
        moment: Torque::from_si(math::hypot(vertical, horizontal)),
        shear: Force::from_si(math::hypot(load.si(), brake.si())),
        axial: given.axial.unwrap_or(lateral).abs(),
    })
}

fn tube_seam(given: &TubeSeam, answer: &mut TubeSeamAnswer) -> Result<()> {
    let (od, wall) = (*given.tube_od, *given.wall);
    (wall.is_some_and(|wall| wall.si() > od.si() / 2.0))
        .refuse("the wall is more than half the tube diameter", "check tube_od and wall")?;
    let loads = match direct_loads(given)? {
        Some(loads) => {
            answer.torque.put(loads.torque);
            loads
        }
        None => wheel_loads(given, answer)?,
    };
    answer.moment.put(loads.moment);
    answer.shear.put(loads.shear);
    let flow = RingFlow::new(&loads, od);
    answer.q_torsion.put(flow.torsion);
    answer.q_moment.put(flow.moment);
    answer.q_shear.put(flow.shear);
    answer.q_axial.put(flow.axial);
    answer.resultant_no_shear.put(flow.resultant(Number::from_si(0.0)));
    answer.resultant_peak_shear.put(flow.resultant(Number::from_si(2.0)));
    if *given.joint == Joint::Cjp {
        require(&[&given.wall])?;
        if !given.tube_yield.given() {
            answer.warn("The tube was not judged: a complete-penetration seam is as strong as the tube, and its yield strength was not told. Give tube_yield.");
        }
        if given.strength.electrode.is_some() {
            answer.note("A complete-penetration seam in matching filler is as strong as the tube: the electrode sets no figure here.");
        }
    } else {
        ring(given, answer, &flow)?;
    }
    if let Some(wall) = wall {
        tube_stress(given, answer, &TubeStress::new(&loads, od, wall));
    }
    answer.warn(FATIGUE);
    Ok(())
}

/// The throat, if it is known and fits the wall.
fn throat(given: &TubeSeam) -> Result<Option<Length>> {
    let pjp = *given.joint == Joint::Pjp;
    (pjp && given.size.leg.given())
        .refuse("a partial-penetration seam has no leg", "give throat: the depth the procedure proves")?;
    let throat = given.size.effective_throat()?;
    if let (Some(throat), Some(wall)) = (throat, *given.wall) {
        if !pjp {
            leg_on(leg_of_throat(throat), wall)?;
        } else if exceeds(throat, wall) {
            let show = |l: Length| GAUGE.both(l.into());
            return Err(Trouble::impossible(
                format!("a throat of {} is larger than the wall of {}", show(throat), show(wall)),
                "a groove is no deeper than the wall: check throat and wall",
            ));
        }
    }
    Ok(throat)
}

fn ring(given: &TubeSeam, answer: &mut TubeSeamAnswer, flow: &RingFlow) -> Result<()> {
    let (times, formula) = match *given.shear_flow {
        ShearFlow::Average => (1.0, "hypot(qM + qP, qT + qV), worst points superposed"),
        ShearFlow::Peak => (2.0, "hypot(qM + qP, qT + 2 qV), worst points superposed"),
        ShearFlow::None => (0.0, "hypot(qM + qP, qT), shear force left out"),
    };
    let times = Number::from_si(times);
    let resultant = flow.resultant(times);
    answer.resultant.put(resultant);
    answer.resultant.formula(formula);
    let throat = throat(given)?;
    let allowable = given.strength.allowed();
    if throat.is_none() && allowable.is_none() {
        return Err(Trouble::Missing(vec!["leg", "electrode"]));
    }
    if let Some(throat) = throat {
        answer.throat.put(throat);
        answer.stress.put(Stress::from_si(resultant.si() / throat.si()));
        answer.stress_max_shear.put(Stress::from_si(flow.max_shear(times).si() / throat.si()));
    }
    let Some(allowable) = allowable else { return Ok(()) };
    answer.allowable_stress.put(allowable);
    let needed = Length::from_si(resultant.si() / allowable.si());
    if *given.joint == Joint::Fillet {
        answer.required_leg.put(leg_of_throat(needed));
    }
    answer.required_throat.put(needed);
    if let Some(throat) = throat {
        let utilisation = needed.si() / throat.si();
        answer.utilisation.put(Number::from_si(utilisation));
        if utilisation > 1.0 {
            let fits = given.wall.is_none_or(|wall| !exceeds(leg_of_throat(needed), wall));
            answer.warn(if fits || *given.joint != Joint::Fillet {
                "The throat stress is over the static allowable: enlarge the weld or change the joint."
            } else {
                "The throat stress is over the static allowable, and no fillet on this wall carries it: change the joint."
            });
        }
    }
    Ok(())
}

fn tube_stress(given: &TubeSeam, answer: &mut TubeSeamAnswer, stress: &TubeStress) {
    answer.tube_torsion.put(stress.torsion);
    answer.tube_bending.put(stress.bending);
    answer.tube_axial.put(stress.axial);
    answer.tube_direct.put(stress.direct);
    answer.tube_von_mises.put(stress.von_mises());
    if let Some(strength) = *given.tube_yield {
        let share = if *given.strength.method == Method::Lrfd { 0.9 } else { 0.6 };
        let utilisation = stress.von_mises().si() / (share * strength.si());
        answer.tube_utilisation.put(Number::from_si(utilisation));
        if utilisation > 1.0 {
            answer.warn("The tube itself is over 0.60 of its yield: a larger weld won't help.");
        }
    }
}

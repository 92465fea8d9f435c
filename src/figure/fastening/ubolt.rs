//! A tube clamped by U-bolts: what friction carries and what braking asks of it.

use super::bears::{self, Bears};
use super::factor::{Purpose, Surface};
use super::profile;
use super::scatter::Method;
use super::selection::{self, FINE_TORQUE, Graded, Named, Thread, shigley};
use super::short_form::implied_preload;
use crate::figure::prelude::*;
use crate::figure::usual::{AXLE_TUBE, TYRE_RADIUS, WHEEL_LOAD};
use crate::reference::friction::Finish;
use crate::reference::tightening;

const CLAMP: Source =
    Source::handbook("split-clamp formulas of machine-design texts", "Coulomb friction on a clamped tube")
        .from_memory();
const STATICS: Source = Source::derived("moment and force of braking on one wheel", "statics by hand");
const LEGS: Source = Source::definition("a U-bolt has two legs");
const PLANES: Source = Source::definition("the tube lies between two faces, saddle and U-bolt");
const VERDICT: Source =
    Source::practice("a spring seat that friction alone cannot hold with margin is welded or keyed");
/// Factor below which friction is not relied on, at the mean preload; at the low end
/// of its scatter it must still be above one.
const RELIED_ON: f64 = 1.5;

words! {
    /// How a spring seat is held.
    pub Held {
        /// Friction holds, the legs bear their preload.
        Holds = "friction holds with margin",
        /// Friction is not enough, or not proven to be.
        WeldOrKey = "weld or key the seat: friction is not to be relied on",
        Overloaded = "no: the legs are tightened past their proof load",
        /// The preload is within the proof load, its high end is not.
        MayYield = "not proven: the legs may yield at the high end of their preload",
        /// Friction would hold, but nothing says whether the legs bear the preload.
        NotJudged = "not judged: nothing says whether the legs bear the preload",
        /// Only one of wind-up and fore-aft force is known.
        HalfAsked = "not judged: wind-up and fore-aft force are not both told",
        /// The torque says nothing of the preload without finish or nut factor.
        Slippery = "not judged: finish or k of the legs not told",
    }
}

family! {
    pub UBOLT_CLAMP = "ubolt-clamp" in Fastening:
        "whether U-bolts hold a spring seat on its tube against brake wind-up and fore-aft force";
    also "u-bolt", "u-bolt-clamp", "u-bolts", "u-bolt-slip", "slip-torque", "tube-clamp", "ubolt-slip";
    reads Clamp {
        ..graded: Graded;
        ..surface: Surface;
        optional thread: String, "thread of the legs; with preload it may be left out, but then nothing says whether the legs bear it",
            "size", "thread_size", "bolt_size", "bolt", "designation";
        optional torque: Torque in ABOVE_ZERO, "torque on each leg nut", "leg_torque";
        optional preload: Force in ABOVE_ZERO.usually(250.0, 60_000.0, unit::LBF), "preload of each leg, instead of torque",
            "preload_per_leg", "leg_force", "f", "leg_preload", "clamp_load", "tension", "leg_load", "bolt_preload";
        default legs: Number = "4" in count(2, 200, LEGS).usually(2.0, 8.0, unit::ONE), "legs that clamp one seat", "leg_count", "count", "n";
        required tube_od: Length in AXLE_TUBE, "outside diameter of the tube",
            "d", "tube_diameter", "od", "tube", "diameter", "axle_tube", "axle_diameter";
        default mu: Number = "0.15" in within(0.01, 0.6, unit::ONE, CLAMP).usually(0.05, 0.25, unit::ONE),
            "friction between tube and seat, lowest to be expected",
            "friction", "friction_coefficient", "coefficient_of_friction", "cof", "coefficient";
        optional scatter: Percent in within(0.0, 90.0, unit::PCT, CLAMP).usually(2.0, 60.0, unit::PCT),
            "scatter of the preload, each way; with torque that of a torque wrench", "preload_scatter";
        default relaxation: Percent = "20 %" in within(0.0, 90.0, unit::PCT, VERDICT), "preload lost by settling", "loss";
        optional wheel_load: Force in WHEEL_LOAD, "load on one wheel", "load_per_wheel", "corner_load", "load";
        default deceleration: Acceleration = "0.6 g" in within(0.01, 2.0, unit::GRAVITY, STATICS).usually(0.5, 1.2, unit::GRAVITY), "braking deceleration",
            "braking", "decel";
        optional radius: Length in TYRE_RADIUS, "loaded radius of the tire",
            "loaded_radius", "r", "tyre_radius", "tire_radius", "wheel_radius", "rolling_radius";
        optional brake_torque: Torque in ABOVE_ZERO.usually(50.0, 20_000.0, unit::LBF_FT), "wind-up moment on one seat, instead of wheel load and radius",
            "wind_up", "windup";
        optional fore_aft: Force in ABOVE_ZERO.usually(50.0, 14_000.0, unit::LBF), "fore-aft force on one seat, instead of wheel load", "fore_aft_force";
        default planes: Number = "1" in count(1, 2, PLANES), "friction planes that carry the fore-aft force";
    }
    rules { at_most_one(brake_torque, radius); at_most_one(torque, preload); }
    gives Clamped {
        leg_preload: Force, "preload of one leg", "torque / (K d)", shigley("eq. 8-27");
        leg_stress: Stress, "stress of one leg", "leg_preload / stress area", shigley("ex. 8-3");
        legs_bear: Bears, "whether the legs bear the preload", "leg_preload against the proof load of a leg", bears::PROOF
            => .claims(&[Bears::Yes.word()]);
        clamp_force: Force, "clamp force of all legs N", "legs x leg_preload", CLAMP;
        slip_torque: Torque, "torque that slips the tube, two-line contact", "mu N D", CLAMP
            => .range("lowest of the three contact models").style(FINE_TORQUE.down());
        slip_torque_cosine: Torque, "torque that slips the tube, saddle", "(4/pi) mu N D", CLAMP
            => .style(FINE_TORQUE.down());
        slip_torque_uniform: Torque, "torque that slips the tube, uniform wrap", "(pi/2) mu N D", CLAMP
            => .style(FINE_TORQUE.down());
        slip_force: Force, "force that slips the seat along", "planes x mu N", CLAMP => .down();
        brake_force: Force, "fore-aft force on one seat", "wheel_load x deceleration / g", STATICS => .up();
        wind_up: Torque, "wind-up moment on one seat", "brake_force x radius", STATICS => .style(FINE_TORQUE.up());
        factor: Number, "slip torque over wind-up, two-line contact", "slip_torque / wind_up", CLAMP => .style(HUNDREDTH.down());
        factor_cosine: Number, "slip torque over wind-up, saddle", "slip_torque_cosine / wind_up", CLAMP
            => .style(HUNDREDTH.down());
        factor_relaxed: Number, "factor after settling", "factor (1 - relaxation)", CLAMP => .style(HUNDREDTH.down());
        fore_aft_factor: Number, "slip force over fore-aft force", "slip_force / brake_force", CLAMP => .style(HUNDREDTH.down());
        fore_aft_factor_relaxed: Number, "the same after settling", "fore_aft_factor (1 - relaxation)", CLAMP
            => .style(HUNDREDTH.down());
        verdict: Held, "how the seat is held",
            "factor_relaxed and fore_aft_factor_relaxed, less their uncertainty, at least 1.5 for friction alone; legs within their proof load",
            VERDICT => .claims(&[Held::Holds.word()]);
    }
    asked verdict;
    example "thread=\"1/2-20\" torque=\"65 lbf-ft\" k=0.2 tube_od=\"3 in\" wheel_load=\"1750 lbf\" radius=\"13.5 in\"";
    by clamped
}

/// How the seat touches the tube.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Contact {
    /// Two lines: the lowest friction torque.
    TwoLines,
    /// A saddle with cosine pressure.
    Saddle,
    /// A wrap with uniform pressure.
    Uniform,
}

/// Torque about the tube axis at which a clamped tube slips, mu N D times 1,
/// 4/pi or pi/2.
#[must_use]
pub fn slip_torque(clamp: Force, tube: Length, mu: Number, contact: Contact) -> Torque {
    let shape = match contact {
        Contact::TwoLines => 1.0,
        Contact::Saddle => 4.0 / PI,
        Contact::Uniform => PI / 2.0,
    };
    Torque::from_si(shape * mu.si() * clamp.si() * tube.si())
}

/// Preload of one leg.
#[derive(Debug, Clone, Copy)]
struct Leg {
    /// The one the figures are computed with.
    used: Force,
    /// Least of the one used and the one of a finish that contradicts k.
    least: Force,
    /// Most of the same: the mean preload that counts against the proof load.
    mean: Force,
    /// The preload of the lowest nut factor published for the finish.
    most: Force,
    /// Share by which tightening scatters it, each way.
    scatter: f64,
}

/// Preload of one leg, given outright or by torque and nut factor, the highest
/// published for the finish, so that the clamp is not overrated; and the thread
/// of the legs if it is known.
fn leg(given: &Clamp, answer: &mut Clamped) -> Result<(Leg, Option<Thread>)> {
    let thread = match given.thread.as_deref() {
        Some(text) => Some(selection::known(text, &mut answer.said)?),
        None => None,
    };
    if let Some(used) = *given.preload {
        // A preload comes from a tightening, and none is without scatter.
        let scatter = match *given.scatter {
            Some(scatter) => scatter,
            None => wrench_scatter(None, &mut answer.said)?,
        };
        return Ok((Leg { used, least: used, mean: used, most: used, scatter: scatter.si() }, thread));
    }
    let thread = thread.ok_or_else(|| Trouble::Missing(vec!["thread"]))?;
    let torque = given.torque.need()?;
    let friction = given.surface.nut_factor(Purpose::Clamp, &mut answer.said, None)?;
    let by = |factor: Number| implied_preload(torque, factor, thread.major);
    let used = by(friction.factor);
    // Where k and finish contradict each other, the worse of them counts.
    let (least, mean) =
        if friction.contradicts { (by(friction.highest), by(friction.lowest)) } else { (used, used) };
    let scatter = match *given.scatter {
        Some(scatter) => scatter,
        None => wrench_scatter(friction.finish, &mut answer.said)?,
    };
    Ok((Leg { used, least, mean, most: by(friction.lowest), scatter: scatter.si() }, Some(thread)))
}

/// Scatter of the preload a torque wrench gives.
fn wrench_scatter(finish: Option<Finish>, said: &mut Said) -> Result<Percent> {
    let word = Method::TorqueWrench.word();
    let listed = tightening::method(word, finish)
        .ok_or_else(|| Trouble::impossible("a torque wrench has no scatter in the table", "give scatter"))?;
    said.note(format!(
        "The preload of a torque wrench scatters by {:.0} % each way; the verdict counts with its ends. Give scatter for a closer method.",
        100.0 * listed.scatter
    ));
    Ok(Percent::from_si(listed.scatter))
}

/// Whether the legs bear their preload. What no bolt bears is refused.
fn bearing(given: &Clamp, answer: &mut Clamped, leg: Leg, thread: &Thread) -> Result<Bears> {
    let area = profile::nominal_stress_area(thread);
    answer.leg_stress.put(leg.used / area);
    let strength =
        if given.graded.stated() { Some(given.graded.of(thread, &mut answer.said)?) } else { None };
    bears::refuse_broken(leg.used, thread, area, strength.as_ref())?;
    let proof = strength.map(|s| s.proof * area);
    let most = leg.most * (1.0 + leg.scatter) + answer.leg_preload.expanded();
    let verdict = match Bears::judge(leg.mean, most, proof) {
        // The weakest grade there is bears it as well.
        Bears::NotJudged if bears::any_bears(most, area, thread.is_metric()) => Bears::Yes,
        verdict => verdict,
    };
    verdict.tell(&mut answer.said, leg.mean, most, proof);
    Ok(verdict)
}

fn clamped(given: &Clamp, answer: &mut Clamped) -> Result<()> {
    (given.legs.si() % 2.0 != 0.0).refuse("U-bolts have two legs each", "give an even number of legs")?;
    let (leg, thread) = leg(given, answer)?;
    if let Some(thread) = &thread {
        (*given.tube_od < thread.major * 2.0).refuse(
            "the tube is thinner than two legs of its U-bolt side by side",
            "check tube_od and thread",
        )?;
    }
    let clamp = leg.used * given.legs.si();
    let (tube, mu) = (*given.tube_od, *given.mu);
    answer.leg_preload.put(leg.used);
    if given.preload.given() {
        answer.leg_preload.formula("as entered");
        answer.leg_preload.source(Source::entered("preload of one leg"));
    }
    let bears = match &thread {
        Some(thread) => bearing(given, answer, leg, thread)?,
        None => Bears::NotJudged,
    };
    answer.legs_bear.put(bears);
    answer.clamp_force.put(clamp);
    let slip = slip_torque(clamp, tube, mu, Contact::TwoLines);
    let saddle = slip_torque(clamp, tube, mu, Contact::Saddle);
    let along = clamp * (mu.si() * given.planes.si());
    answer.slip_torque.put(slip);
    answer.slip_torque_cosine.put(saddle);
    answer.slip_torque_uniform.put(slip_torque(clamp, tube, mu, Contact::Uniform));
    answer.slip_force.put(along);
    let (force, moment) = demand(given);
    answer.brake_force.put_some(force);
    answer.wind_up.put_some(moment);
    let left = 1.0 - given.relaxation.si();
    // Less what is uncertain, and what a contradicting nut factor would leave.
    let sure =
        |factor: f64, out: &Out<Number>| factor * (leg.least.si() / leg.used.si()) - out.expanded().si();
    let mut worst: Option<f64> = None;
    if let Some(moment) = moment {
        let factor = slip.si() / moment.si();
        answer.factor.put(Number::from_si(factor));
        answer.factor_cosine.put(Number::from_si(saddle.si() / moment.si()));
        answer.factor_relaxed.put(Number::from_si(factor * left));
        worst = Some(sure(factor * left, &answer.factor_relaxed));
    }
    if let Some(force) = force {
        let factor = along.si() / force.si();
        answer.fore_aft_factor.put(Number::from_si(factor));
        answer.fore_aft_factor_relaxed.put(Number::from_si(factor * left));
        let sure = sure(factor * left, &answer.fore_aft_factor_relaxed);
        worst = Some(worst.map_or(sure, |w| w.min(sure)));
    }
    if let Some(worst) = worst {
        let known = given.preload.given() || given.surface.k.given() || given.surface.finish.given();
        let enough = worst >= RELIED_ON && worst * (1.0 - leg.scatter) >= 1.0;
        judge(answer, (worst, enough), bears, (force.is_some() && moment.is_some(), known));
    }
    answer.warn("Torque put on before welding near the clamp is void: torque again after the heat, and after settling.");
    Ok(())
}

/// `both`: wind-up and fore-aft force are known; `known`: so is what the torque gives.
fn judge(answer: &mut Clamped, (worst, enough): (f64, bool), bears: Bears, (both, known): (bool, bool)) {
    let held = match bears {
        Bears::No => Held::Overloaded,
        _ if !enough => Held::WeldOrKey,
        Bears::Yes => Held::Holds,
        Bears::HighEnd => Held::MayYield,
        Bears::NotJudged => Held::NotJudged,
    };
    let held = match held {
        Held::Holds if !both => Held::HalfAsked,
        Held::Holds if !known => Held::Slippery,
        held => held,
    };
    answer.verdict.put(held);
    if !enough {
        answer.warn(format!(
            "After settling, and less the uncertainty stated, the clamp holds {:.2} times the braking demand at the mean preload; below {RELIED_ON}, or below 1 at the low end of its scatter, the seat is welded or keyed to the tube and the U-bolts only clamp the spring.",
            worst.max(0.0)
        ));
    }
    if held == Held::HalfAsked {
        answer.warn("Only one of wind-up and fore-aft force is known: give brake_torque and fore_aft, or wheel_load and radius.");
    }
    if held == Held::NotJudged {
        answer.warn("Whether the legs bear the preload is not judged: give thread and grade.");
    }
}

/// Fore-aft force and wind-up moment on one seat, as far as they are given.
fn demand(given: &Clamp) -> (Option<Force>, Option<Torque>) {
    let (force, moment) = (*given.fore_aft, *given.brake_torque);
    // Wheel load, deceleration and radius serve for what is not stated.
    if force.is_some() && moment.is_some() {
        return (force, moment);
    }
    let from_load = given.wheel_load.map(|load| load * given.deceleration.to(unit::GRAVITY));
    let by_radius = || Some(Torque::from_si(from_load?.si() * (*given.radius)?.si()));
    (force.or(from_load), moment.or_else(by_radius))
}

const BEND: Source = Source::practice("inside width is the tube diameter plus about 1/16 in");
const PAST_NUT: Source = Source::standard(
    "COMAR 11.14.05.03",
    "less than 1/4 in of leg past the tight nut is rejected; one state's code",
);

family! {
    pub UBOLT_SIZE = "ubolt-size" in Fastening: "inside width, leg spacing and leg length of a U-bolt for a tube";
    also "u-bolt-size", "u-bolt-length";
    reads UBoltFor {
        ..bolt: Named;
        required tube_od: Length in AXLE_TUBE, "outside diameter of the tube", "d", "od", "tube", "diameter";
        default clearance: Length = "1/16 in" in NOT_NEGATIVE, "inside width over tube diameter";
        optional stack: Length in ABOVE_ZERO,
            "from the tube at the inside of the bend to the face the nuts sit on: tube, seat, pack, plate",
            "pack", "grip", "height";
        optional nut_height: Length in ABOVE_ZERO, "height of nut and washer together", "nut";
        default past_nut: Length = "1/4 in" in NOT_NEGATIVE, "leg that stands past the tight nut",
            "protrusion", "stick_out";
    }
    rules { together(stack, nut_height); }
    gives UBoltSize {
        inside_width: Length, "inside width", "tube_od + clearance", BEND;
        leg_spacing: Length, "leg spacing, centre to centre", "inside_width + d", BEND;
        leg_length: Length, "least leg length, inside of the bend to the end", "stack + nut_height + past_nut", PAST_NUT
            => .at_least();
    }
    example "thread=\"1/2-20\" tube_od=\"3 in\" stack=\"5-1/2 in\" nut_height=\"5/8 in\"";
    by size
}

fn size(given: &UBoltFor, answer: &mut UBoltSize) -> Result<()> {
    let thread = given.bolt.find(&mut answer.said)?;
    let width = *given.tube_od + *given.clearance;
    answer.inside_width.put(width);
    answer.leg_spacing.put(width + thread.major);
    let past = *given.past_nut;
    if let (Some(stack), Some(nut)) = (*given.stack, *given.nut_height) {
        (stack < *given.tube_od).refuse(
            "the stack is less than the tube it goes round",
            "measure it from the inside of the bend",
        )?;
        answer.leg_length.put(stack + nut + past);
    }
    if past.to(unit::IN) < 0.25 - 1e-9 {
        answer.warn("Inspection rejects less than 1/4 in of leg past the nut in at least one state; check the local rule.");
    }
    answer.warn("U-bolts are bent cold from rod with rolled thread and used once; take grade 8 or better with high nuts and hardened washers for suspensions.");
    Ok(())
}

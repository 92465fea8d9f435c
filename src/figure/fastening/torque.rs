//! Tightening torque by the short form T = K d F, with the preload band it gives.

use super::bears::{self, Bears};
use super::factor::{FACTOR, NutFactor, Purpose, SHORT, Surface};
use super::maker::{self, Maker, Stated};
use super::preload::{Connection, TARGET};
use super::scatter::{Method, by_method, tightening_factor};
use super::selection::{self, ByPitch, BySize, FINE_TORQUE, Graded, Section, Strength, Thread, shigley};
use super::short_form::{implied_factor, implied_preload, short_form};
use crate::figure::prelude::*;
use crate::reference::friction::Finish;
use crate::reference::thread::B1_1;

const SCATTER: Source =
    Source::standard("NASA NSTS 08307, Machinery's Handbook", "preload scatter by method");
const VDI_FACTOR: Source = Source::standard("VDI 2230", "tightening factor alpha_A of a symmetric scatter");
const ROUND: Source = Source::practice("torque set to a mark of the wrench");
const MAKER: Source = Source::entered("torque of the manufacturer");
/// K of thread and face with any lubricant, for the warning about dry torques.
const ANY_LUBRICANT: f64 = 0.15;

family! {
    pub TORQUE = "torque" in Fastening:
        "tightening torque of a bolt, and the preload it gives with its scatter";
    also "bolt-torque", "tightening-torque", "preload-from-torque", "torque-preload", "short-form", "kdf";
    reads Tightening {
        ..size: BySize;
        ..fine: ByPitch;
        ..graded: Graded;
        ..section: Section;
        ..surface: Surface;
        ..stated: Stated;
        default joint: Connection = Reused, "reused 75 % of proof, permanent 90 %", "connection", "use";
        optional percent: Percent in within(1.0, 100.0, unit::PCT, TARGET), "preload as a share of the proof load",
            "percent_of_proof", "percent_proof", "share", "percent_preload", "preload_percent";
        optional preload: Force in ABOVE_ZERO, "wanted preload", "clamp_load", "force", "fi", "tension", "f",
            "bolt_load", "clamping_force", "axial_force", "target_preload", "bolt_preload", "P", "W";
        default method: Method = TorqueWrench, "how it is tightened, for the scatter";
        optional scatter: Percent in within(0.0, 99.0, unit::PCT, SCATTER).usually(2.0, 60.0, unit::PCT), "scatter of preload each way, if known", "spread";
        optional increment: Torque in ABOVE_ZERO, "smallest mark of the wrench; without it 1 lbf-ft below 100, 5 above",
            "step", "resolution";
    }
    gives Tightened {
        thread_name: String, "thread", "designation with its series", B1_1;
        grade_name: String, "grade", "standard and grade", TARGET;
        stress_area: Area, "tensile stress area", "as printed in the thread table, else formula 1", shigley("eq. 8-2");
        proof_load: Force, "proof load", "proof stress x stress_area", shigley("eq. 8-32");
        preload_target: Force, "wanted preload F", "share x proof_load", TARGET => .range("0.75 reused, 0.90 permanent");
        nut_factor: Number, "nut factor K", "table by finish", FACTOR;
        nut_factor_implied: Number, "nut factor of the torque and preload given", "T / (d F)", SHORT;
        torque: Torque, "torque for the wanted preload", "K d F", SHORT
            => .range("below yield; finish, lubricant and face as K was found").style(FINE_TORQUE);
        torque_set: Torque, "torque to set",
            "torque rounded to the wrench's increment; down where the high end would pass the proof load", ROUND
            => .style(FINE_TORQUE);
        basis: String, "basis of the torque", "manufacturer's torque if given, else computed", ROUND;
        preload: Force, "preload at the torque set", "torque_set / (K d)", SHORT;
        scatter: Percent, "scatter of preload, each way", "table by method", SCATTER;
        tightening_factor: Number, "tightening factor, highest over lowest preload", "(1 + scatter) / (1 - scatter)",
            VDI_FACTOR => .style(Style::of(Kind::Number).up());
        preload_low: Force, "lowest preload to expect", "preload (1 - scatter)", SCATTER => .down();
        preload_high: Force, "highest preload to expect", "preload (1 + scatter)", SCATTER => .up();
        percent_proof: Percent, "share of proof load", "preload / proof_load", TARGET;
        percent_proof_high: Percent, "share of proof load at the high end", "preload_high / proof_load", SCATTER
            => .style(Style::of(Kind::Percent).up());
        verdict: Bears, "whether the bolt bears the preload", "preload and its high end against proof_load", bears::PROOF
            => .claims(&[Bears::Yes.word()]);
    }
    asked torque;
    example "thread=\"1/2-20 UNF\" grade=\"SAE J429 8\" finish=oiled";
    by tighten
}

/// What a bolt bears, as far as it is known.
struct Strong {
    proof: Force,
    strength: Option<Strength>,
}

/// Proof load of the bolt, with the words that name its grade.
fn strong(given: &Tightening, thread: Option<&Thread>, answer: &mut Tightened) -> Result<Strong> {
    let (proof, area, strength) = match thread {
        Some(thread) => {
            let strength = given.graded.of(thread, &mut answer.said)?;
            answer.grade_name.put(strength.name.clone());
            answer.grade_name.source(strength.source);
            (strength.proof, given.section.of(thread)?, Some(strength))
        }
        // A diameter alone has no stress area.
        None => {
            require(&[&given.graded.proof, &given.section.area])?;
            (given.graded.proof.need()?, given.section.area.need()?, None)
        }
    };
    answer.stress_area.put(area);
    answer.proof_load.put(proof * area);
    Ok(Strong { proof: proof * area, strength })
}

/// Refuses a preload that breaks the bolt.
fn refuse_broken(
    given: &Tightening,
    preload: Force,
    major: Length,
    thread: Option<&Thread>,
    strong: Option<&Strong>,
) -> Result<()> {
    match (thread, strong.and_then(|s| s.strength.as_ref())) {
        (Some(thread), Some(strength)) => {
            bears::refuse_broken(preload, thread, given.section.of(thread)?, Some(strength))
        }
        _ => bears::refuse_any_broken(preload, major, thread),
    }
}

fn tighten(given: &Tightening, answer: &mut Tightened) -> Result<()> {
    let (major, thread) = given.size.size(Some(&given.fine), &mut answer.said)?;
    let maker = given.stated.read()?;
    // Torque and preload together fix the nut factor.
    let implied = maker.and_then(|maker| Some(implied_factor(maker.wanted(), major, (*given.preload)?)));
    answer.thread_name.put_some(thread.as_ref().map(|t| t.name.clone()));
    // With the manufacturer's torque the strength is only needed for the share.
    let known = maker.is_none() && !given.preload.given() || given.graded.stated();
    let strong = known.then(|| strong(given, thread.as_ref(), answer)).transpose()?;
    let proof_load = strong.as_ref().map(|s| s.proof);
    let friction = friction(given, implied, answer)?;
    let factor = friction.factor;
    let target = match (*given.preload, proof_load) {
        (Some(preload), _) => Some(preload),
        (None, Some(proof)) => Some(proof * given.percent.unwrap_or_else(|| given.joint.share()).si()),
        (None, None) => None,
    };
    if let Some(target) = target {
        refuse_broken(given, target, major, thread.as_ref(), strong.as_ref())?;
        answer.preload_target.put(target);
    }
    let computed = target.map(|f| short_form(factor, major, f));
    answer.torque.put_some(computed);
    let Some(wanted) = maker.as_ref().map(Maker::wanted).or(computed) else {
        return Err(Trouble::Missing(vec!["grade"]));
    };
    let scatter = match *given.scatter {
        Some(scatter) => {
            answer.scatter.source(Source::entered("scatter"));
            scatter
        }
        None => by_method(*given.method, friction.finish, &mut answer.said, &mut answer.scatter)?,
    };
    let step = step(given, maker.is_some(), thread.as_ref(), wanted, major);
    let overloads = |set: Torque| {
        let high = implied_preload(set, factor, major) * (1.0 + scatter.si());
        proof_load.is_some_and(|proof| high > proof)
    };
    // The mark is chosen once; what is uncertain lies beyond it.
    let set = match (step, &maker) {
        (None, _) => {
            answer.torque_set.put(wanted);
            wanted
        }
        (Some(step), Some(maker)) => {
            let set = maker.mark(step, overloads, &mut answer.said)?;
            answer.torque_set.decide(set)
        }
        (Some(step), None) => {
            let set = maker::mark(wanted, step, overloads, &mut answer.said);
            answer.torque_set.decide(set)
        }
    };
    say_basis(maker.is_some(), answer);
    let preload = implied_preload(set, factor, major);
    refuse_broken(given, preload, major, thread.as_ref(), strong.as_ref())?;
    let high = preload * (1.0 + scatter.si());
    answer.preload.put(preload);
    answer.scatter.put(scatter);
    answer.tightening_factor.put(tightening_factor(scatter));
    answer.preload_low.put(preload * (1.0 - scatter.si()));
    answer.preload_high.put(high);
    if let Some(proof) = proof_load {
        let share = |force: Force| Percent::from_si(force.si() / proof.si());
        answer.percent_proof.put(share(preload));
        answer.percent_proof_high.put(share(high));
        bears::tell_slack(&mut answer.said, share(preload).si());
        warn_lubricant(&mut answer.said, friction.finish, factor, share(preload).si());
    }
    judge(set, preload, major, scatter, &friction, proof_load, answer);
    Ok(())
}

/// The step of the marks a torque is set at: the one that is stated, or the usual one of so
/// large a torque. None where the manufacturer's figure is set as it stands.
fn step(
    given: &Tightening,
    maker: bool,
    thread: Option<&Thread>,
    wanted: Torque,
    major: Length,
) -> Option<Torque> {
    let metric = || thread.map_or_else(|| in_millimetres(major), Thread::is_metric);
    let usual = || (!maker).then(|| selection::usual_increment(wanted, metric()));
    (*given.increment).or_else(usual)
}

/// Says whose torque it is.
fn say_basis(maker: bool, answer: &mut Tightened) {
    if !maker {
        answer.basis.put("computed");
        answer.note("This torque is computed; a torque the manufacturer states for the joint comes first.");
        return;
    }
    answer.basis.put("manufacturer");
    answer.torque_set.source(MAKER);
    answer
        .torque_set
        .formula("the manufacturer's torque, or the middle of its range; a mark of the wrench inside it");
}

/// Judges what a torque that is set does to the bolt, at the most it may.
fn judge(
    set: Torque,
    preload: Force,
    major: Length,
    scatter: Percent,
    friction: &NutFactor,
    proof_load: Option<Force>,
    answer: &mut Tightened,
) {
    // A stated K that is above those published for the stated finish: the bolt
    // gets the preload of the published one.
    let at_lowest = implied_preload(set, friction.lowest, major);
    let most = if friction.contradicts && at_lowest > preload { at_lowest } else { preload };
    let high = preload * (1.0 + scatter.si());
    let sure = high + answer.preload_high.expanded();
    // The tables of a finish disagree, or k and finish do: the preload of the lowest K
    // scatters like any other.
    let high = larger(at_lowest * (1.0 + scatter.si()), sure);
    if friction.contradicts
        && at_lowest > preload
        && let Some(proof) = proof_load
    {
        let share = |force: Force| 100.0 * force.si() / proof.si();
        answer.warn(format!(
            "The shares above are those of the k given. At the lowest nut factor published for this finish, {}, the same torque is {:.0} % of the proof load, {:.0} % at the high end: the verdict is that.",
            friction.lowest.si(),
            share(at_lowest),
            share(high)
        ));
    }
    let verdict = Bears::judge(most, high, proof_load);
    verdict.tell(&mut answer.said, most, high, proof_load);
    answer.verdict.put(verdict);
}

/// The nut factor: the one that torque and preload amount to, where nothing
/// else is said about it, else entered or by finish.
fn friction(given: &Tightening, implied: Option<Number>, answer: &mut Tightened) -> Result<NutFactor> {
    let friction = match implied.filter(|_| !given.surface.stated()) {
        Some(factor) => {
            answer.nut_factor.source(SHORT);
            answer.nut_factor.formula("T / (d F) of the torque and preload given");
            warn_nut_factor(&mut answer.said, factor);
            NutFactor::known(factor, None)
        }
        None => {
            let said = &mut answer.said;
            given.surface.nut_factor(Purpose::Overload, said, Some(&mut answer.nut_factor))?
        }
    };
    answer.nut_factor.put(friction.factor);
    if let Some(implied) = implied {
        answer.nut_factor_implied.put(implied);
        if (implied.si() / friction.factor.si() - 1.0).abs() > 0.02 {
            answer.warn(format!(
                "The torque and the preload given amount to a nut factor of {:.3}, but {:.3} is used for the figures: they do not go together. Leave out k and finish to have it solved from the two.",
                implied.si(),
                friction.factor.si()
            ));
        }
    }
    Ok(friction)
}

/// Whether a bare diameter was thought of in millimetres: a half of one, and
/// no sixty-fourth of an inch.
fn in_millimetres(major: Length) -> bool {
    let whole = |x: f64| (x - x.round()).abs() < 1e-6;
    whole(2.0 * major.to(unit::MM)) && !whole(64.0 * major.to(unit::IN))
}

/// Tells about a nut factor outside what is published for any finish.
pub(super) fn warn_nut_factor(said: &mut Said, factor: Number) {
    if !(0.08..=0.40).contains(&factor.si()) {
        said.warn(format!(
            "A nut factor of {:.3} is outside 0.08 to 0.40, the range of published ones: check torque, preload and diameter.",
            factor.si()
        ));
    }
}

fn warn_lubricant(said: &mut Said, finish: Option<Finish>, factor: Number, share: f64) {
    let dry = matches!(
        finish,
        Some(
            Finish::Dry
                | Finish::Black
                | Finish::Zinc
                | Finish::Galvanized
                | Finish::Stainless
                | Finish::Unknown
        ) | None
    );
    if dry && factor.si() > ANY_LUBRICANT + 1e-9 {
        said.warn(format!(
            "This torque is for the stated finish: on a lubricated thread (K {ANY_LUBRICANT}) it gives {:.0} % of the proof load. Reckon again if oil, wax or anti-seize is used.",
            100.0 * share * factor.si() / ANY_LUBRICANT
        ));
    }
}

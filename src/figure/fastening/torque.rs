//! Tightening torque by the short form T = K d F, with the preload band it gives.

use super::preload::TARGET;
use super::scatter::{by_method, tightening_factor};
use super::selection::{
    self, AREA, DIAMETER, FINE_TORQUE, GRADE, PITCH, PROOF, THREAD_OR_SIZE, TPI, Thread, shigley,
};
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{
    Area, Dimensioned, Force, Kind, Length, Number, Percent, Stress, Style, Torque, Toward, unit,
};
use crate::reference::friction::{self, FINISH_WORDS, Finish, Table};
use crate::reference::thread::B1_1;
use crate::reference::tightening::METHOD_WORDS;
use crate::source::Source;

const SHORT: Source = shigley("eq. 8-27, T = K d F");
const FACTOR: Source = Source::practice("published nut factors by finish; the lowest where they disagree");
const SCATTER: Source =
    Source::standard("NASA NSTS 08307, Machinery's Handbook", "preload scatter by method");
const VDI_FACTOR: Source = Source::standard("VDI 2230", "tightening factor alpha_A of a symmetric scatter");
const ROUND: Source = Source::practice("torque set to a mark of the wrench");
const MAKER: Source = Source::entered("torque of the manufacturer");
/// K of thread and face with any lubricant, for the warning about dry torques.
const ANY_LUBRICANT: f64 = 0.15;

/// The bench question: what do I set the wrench to?
pub static TORQUE: Family = Family {
    name: "torque",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "tightening torque of a bolt, and the preload it gives with its scatter",
    inputs: &[
        THREAD_OR_SIZE,
        DIAMETER,
        PITCH,
        TPI,
        GRADE,
        Input::name("finish", Need::Default("unknown"), "surface and lubricant: dry, black, oiled, zinc, zinc-waxed, galvanized, cadmium, stainless, ptfe, anti-seize, moly, locking-compound")
            .also(&["lubrication", "lube", "condition", "surface", "coating"]),
        Input::optional("k", Kind::Number, "nut factor, if it is not to be taken from the finish")
            .also(&["nut_factor", "torque_coefficient", "k_factor"]),
        Input::choice("k_table", &["textbook", "joint-handbook", "trade", "shop-rule"], Need::Optional, "table of nut factors; without it the lowest printed value")
            .also(&["k_source", "table"]),
        Input::choice("joint", &["reused", "permanent"], Need::Default("reused"), "reused 75 % of proof, permanent 90 %")
            .also(&["connection", "use"]),
        Input::optional("percent", Kind::Percent, "preload as a share of the proof load")
            .also(&["percent_of_proof", "percent_proof", "share"]),
        Input::optional("preload", Kind::Force, "wanted preload").also(&["clamp_load", "force", "fi", "tension", "f"]),
        Input::optional("maker_torque", Kind::Torque, "the manufacturer's torque; it wins over a computed one")
            .also(&["manufacturer_torque", "specified_torque", "given_torque", "torque"]),
        Input::optional("maker_torque_max", Kind::Torque, "upper end, where the manufacturer gives a range; its middle is set")
            .also(&["manufacturer_torque_max", "specified_torque_max", "torque_max"]),
        Input::choice("method", METHOD_WORDS, Need::Default("torque-wrench"), "how it is tightened, for the scatter"),
        Input::optional("scatter", Kind::Percent, "scatter of preload each way, if known").also(&["spread"]),
        Input::optional("increment", Kind::Torque, "smallest mark of the wrench; without it 1 lbf-ft below 100, 5 above")
            .also(&["step", "resolution"]),
        PROOF,
        AREA,
    ],
    outputs: &[
        Output::word("thread_name", "thread", "designation with its series", B1_1),
        Output::word("grade_name", "grade", "standard and grade", TARGET),
        Output::new("stress_area", "tensile stress area", Kind::Area, "as printed in the thread table, else formula 1", shigley("eq. 8-2")),
        Output::new("proof_load", "proof load", Kind::Force, "proof stress x stress_area", shigley("eq. 8-32")),
        Output::new("preload_target", "wanted preload F", Kind::Force, "share x proof_load", TARGET).range("0.75 reused, 0.90 permanent"),
        Output::new("nut_factor", "nut factor K", Kind::Number, "table by finish", FACTOR),
        Output::new("nut_factor_implied", "nut factor of the torque and preload given", Kind::Number, "T / (d F)", SHORT),
        Output::new("torque", "torque for the wanted preload", Kind::Torque, "K d F", SHORT)
            .range("below yield; finish, lubricant and face as K was found")
            .style(FINE_TORQUE),
        Output::new("torque_set", "torque to set", Kind::Torque, "torque rounded to the wrench's increment; down where the high end would pass the proof load", ROUND).style(FINE_TORQUE),
        Output::word("basis", "basis of the torque", "manufacturer's torque if given, else computed", ROUND),
        Output::new("preload", "preload at the torque set", Kind::Force, "torque_set / (K d)", SHORT),
        Output::new("scatter", "scatter of preload, each way", Kind::Percent, "table by method", SCATTER),
        Output::new("tightening_factor", "tightening factor, highest over lowest preload", Kind::Number, "(1 + scatter) / (1 - scatter)", VDI_FACTOR).style(Style::of(Kind::Number).up()),
        Output::new("preload_low", "lowest preload to expect", Kind::Force, "preload (1 - scatter)", SCATTER).down(),
        Output::new("preload_high", "highest preload to expect", Kind::Force, "preload (1 + scatter)", SCATTER).up(),
        Output::new("percent_proof", "share of proof load", Kind::Percent, "preload / proof_load", TARGET),
        Output::new("percent_proof_high", "share of proof load at the high end", Kind::Percent, "preload_high / proof_load", SCATTER)
            .style(Style::of(Kind::Percent).up()),
    ],
    example: "thread=\"1/2-20 UNF\" grade=\"SAE J429 8\" finish=oiled",
    run,
};

/// The short form takes no more of the thread than its diameter.
///
/// # Errors
/// If neither thread nor diameter is given, or they contradict each other.
pub(super) fn size(given: &Given, answer: &mut Answer) -> Result<(Length, Option<Thread>), Trouble> {
    match (given.has("thread"), given.maybe::<Length>("diameter")?) {
        (false, Some(diameter)) if !given.has("tpi") && !given.has("pitch") => {
            Ok((given::positive("diameter", diameter)?, None))
        }
        _ => selection::thread_or_size(given, answer).map(|thread| (thread.major, Some(thread))),
    }
}

/// Proof load of the bolt, with the words that name its grade.
fn proof_load(given: &Given, thread: Option<&Thread>, answer: &mut Answer) -> Result<Force, Trouble> {
    let Some(thread) = thread else {
        // A diameter alone has no stress area.
        given.require(&["proof", "area"])?;
        let area: Area = given::positive("area", given.need("area")?)?;
        let proof: Stress = given::positive("proof", given.need("proof")?)?;
        answer.put("stress_area", area);
        answer.put("proof_load", proof * area);
        return Ok(proof * area);
    };
    let strength = selection::strength(given, thread, answer)?;
    let area = selection::stress_area(given, thread)?;
    answer.put_word("grade_name", strength.name.clone());
    answer.source("grade_name", strength.source);
    answer.put("stress_area", area);
    answer.put("proof_load", strength.proof * area);
    Ok(strength.proof * area)
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let (major, thread) = size(given, answer)?;
    let maker = maker_torque(given)?;
    // Torque and preload together fix the nut factor.
    let implied = match (maker, given.maybe::<Force>("preload")?) {
        (Some(torque), Some(force)) => {
            Some(super::nut_factor::nut_factor(torque, major, given::positive("preload", force)?))
        }
        _ => None,
    };
    if let Some(thread) = &thread {
        answer.put_word("thread_name", thread.name.clone());
    }
    // With the manufacturer's torque the strength is only needed for the share.
    let known = maker.is_none() && !given.has("preload") || given.has("grade") || given.has("proof");
    let proof_load = known.then(|| proof_load(given, thread.as_ref(), answer)).transpose()?;
    let solved = implied.filter(|_| !["k", "finish", "k_table"].iter().any(|name| given.has(name)));
    let (factor, finish) = match solved {
        Some(factor) => {
            answer.source("nut_factor", SHORT);
            answer.formula("nut_factor", "T / (d F) of the torque and preload given");
            warn_nut_factor(answer, factor);
            (factor, None)
        }
        None => nut_factor(given, answer, Purpose::Overload)?,
    };
    let target = preload_target(given, proof_load)?;
    overload(answer, target, proof_load)?;
    if let Some(target) = target {
        answer.put("preload_target", target);
    }
    answer.put("nut_factor", factor);
    if let Some(implied) = implied {
        answer.put("nut_factor_implied", implied);
        if (implied.si() / factor.si() - 1.0).abs() > 0.02 {
            answer.warn(format!(
                "The torque and the preload given amount to a nut factor of {:.3}, but {:.3} is used for the figures: they do not go together. Leave out k and finish to have it solved from the two.",
                implied.si(),
                factor.si()
            ));
        }
    }
    let computed = target.map(|f| short_form(factor, major, f));
    if let Some(computed) = computed {
        answer.put("torque", computed);
    }
    let Some(wanted) = maker.or(computed) else { return Err(Trouble::Missing(vec!["grade"])) };
    let scatter = scatter(given, answer, finish)?;
    let step = match given.maybe::<Torque>("increment")? {
        Some(step) => Some(given::positive("increment", step)?),
        // A manufacturer's figure is set as it stands.
        None if maker.is_some() => None,
        None => {
            let metric = thread.as_ref().map_or_else(|| in_millimetres(major), Thread::is_metric);
            Some(selection::usual_increment(wanted, metric))
        }
    };
    let overloads = |set: Torque| {
        let high = implied_preload(set, factor, major) * (1.0 + scatter.si());
        proof_load.is_some_and(|proof| high > proof)
    };
    let set = match step {
        None => wanted,
        Some(step) => {
            let nearest = selection::to_increment(wanted, step, Toward::Nearest);
            // Where the scatter reaches the proof load the torque is not rounded up.
            let toward = if overloads(nearest) { Toward::Down } else { Toward::Nearest };
            let set = selection::to_increment(wanted, step, toward);
            if set.si() > 0.0 {
                set
            } else {
                answer.warn("The wrench's increment is coarser than this torque: use one with finer marks.");
                wanted
            }
        }
    };
    let set = given::positive("torque_set", set)?;
    answer.put("torque_set", set);
    if maker.is_some() {
        answer.put_word("basis", "manufacturer");
        answer.source("torque_set", MAKER);
        answer.formula("torque_set", "the manufacturer's torque, or the middle of its range");
    } else {
        answer.put_word("basis", "computed");
        answer.note("This torque is computed; a torque the manufacturer states for the joint comes first.");
    }
    let preload = implied_preload(set, factor, major);
    answer.put("preload", preload);
    answer.put("scatter", scatter);
    let high = preload * (1.0 + scatter.si());
    answer.put("tightening_factor", tightening_factor(scatter));
    answer.put("preload_low", preload * (1.0 - scatter.si()));
    answer.put("preload_high", high);
    if let Some(proof) = proof_load {
        answer.put("percent_proof", Percent::from_si(preload.si() / proof.si()));
        answer.put("percent_proof_high", Percent::from_si(high.si() / proof.si()));
        if high.si() > proof.si() * (1.0 + 1e-9) {
            answer.warn(format!(
                "The high end of the scatter is {:.0} % of the proof load: the bolt may yield. Lower the torque or use a closer method.",
                100.0 * high.si() / proof.si()
            ));
        }
        lubricant_warning(answer, finish, factor, preload.si() / proof.si());
    }
    Ok(())
}

/// Whether a bare diameter was thought of in millimetres: a half of one, and
/// no sixty-fourth of an inch.
fn in_millimetres(major: Length) -> bool {
    let whole = |x: f64| (x - x.round()).abs() < 1e-6;
    whole(2.0 * major.to(unit::MM)) && !whole(64.0 * major.to(unit::IN))
}

/// Tells about a preload beyond the proof load; refuses one no bolt carries.
fn overload(answer: &mut Answer, target: Option<Force>, proof: Option<Force>) -> Result<(), Trouble> {
    let (Some(target), Some(proof)) = (target, proof) else { return Ok(()) };
    let share = target.si() / proof.si();
    if share > 2.0 {
        return Err(Trouble::impossible(
            format!("the wanted preload is {share:.1} times the proof load, more than the bolt can carry"),
            "check preload, thread and grade",
        ));
    }
    if share > 1.0 + 1e-9 {
        answer.warn(format!(
            "The wanted preload is {:.0} % of the proof load: the bolt stretches for good. Use a larger bolt or a higher grade.",
            100.0 * share
        ));
    }
    Ok(())
}

/// Tells about a nut factor outside what is published for any finish.
pub(super) fn warn_nut_factor(answer: &mut Answer, factor: Number) {
    if !(0.08..=0.40).contains(&factor.si()) {
        answer.warn(format!(
            "A nut factor of {:.3} is outside 0.08 to 0.40, the range of published ones: check torque, preload and diameter.",
            factor.si()
        ));
    }
}

fn maker_torque(given: &Given) -> Result<Option<Torque>, Trouble> {
    let low: Option<Torque> = given.maybe("maker_torque")?;
    let high: Option<Torque> = given.maybe("maker_torque_max")?;
    match (low, high) {
        (None, None) => Ok(None),
        (None, Some(_)) => Err(Trouble::Missing(vec!["maker_torque"])),
        (Some(low), None) => Ok(Some(given::positive("maker_torque", low)?)),
        (Some(low), Some(high)) => {
            let low = given::positive("maker_torque", low)?;
            if high.si() < low.si() {
                return Err(Trouble::impossible(
                    "maker_torque_max is below maker_torque",
                    "give the low end first",
                ));
            }
            Ok(Some((low + high) * 0.5))
        }
    }
}

fn preload_target(given: &Given, proof_load: Option<Force>) -> Result<Option<Force>, Trouble> {
    if let Some(preload) = given.maybe::<Force>("preload")? {
        return Ok(Some(given::positive("preload", preload)?));
    }
    let Some(proof) = proof_load else { return Ok(None) };
    let usual = if given.maybe_word("joint")? == Some("permanent") { 0.90 } else { 0.75 };
    let share: Percent = given.or("percent", Percent::from_si(usual))?;
    given::within("percent", share, crate::quantity::unit::PCT, 1.0..=100.0, TARGET)?;
    Ok(Some(proof * share.si()))
}

/// The finish an input names, if it is given.
///
/// # Errors
/// If the word names no finish.
pub(super) fn read_finish(given: &Given) -> Result<Option<Finish>, Trouble> {
    match given.maybe_word("finish")? {
        None => Ok(None),
        Some(word) => friction::finish(word).map(Some).ok_or_else(|| Trouble::Unknown {
            input: "finish".to_owned(),
            given: word.to_owned(),
            choices: FINISH_WORDS.iter().map(|(w, _)| (*w).to_owned()).collect(),
        }),
    }
}

/// What a nut factor is wanted for, which says which way is safe.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Purpose {
    /// The bolt must not be overloaded: the lowest K.
    Overload,
    /// The clamp must hold: the highest K.
    Clamp,
}

/// The nut factor: given, or by finish. Tells about conflicts between tables.
pub(super) fn nut_factor(
    given: &Given,
    answer: &mut Answer,
    purpose: Purpose,
) -> Result<(Number, Option<Finish>), Trouble> {
    let finish = read_finish(given)?;
    if let Some(k) = given.maybe::<Number>("k")? {
        given::within("k", k, crate::quantity::unit::ONE, 0.05..=0.6, FACTOR)?;
        answer.source("nut_factor", Source::entered("nut factor"));
        answer.formula("nut_factor", "as entered");
        return Ok((k, finish));
    }
    let table = match given.maybe_word("k_table")? {
        Some("textbook") => Some(Table::Textbook),
        Some("joint-handbook") => Some(Table::JointHandbook),
        Some("trade") => Some(Table::Trade),
        Some("shop-rule") => Some(Table::ShopRule),
        _ => None,
    };
    let asked = finish.unwrap_or(Finish::Unknown);
    let choice = friction::nut_factor(asked, table).ok_or_else(|| {
        Trouble::impossible("this table has no nut factor for this finish", "leave k_table out, or give k")
    })?;
    answer.source("nut_factor", choice.row.source);
    answer.formula("nut_factor", format!("table: {}", choice.row.condition));
    if asked == Finish::Unknown {
        answer.warn("No finish was given: K 0.20 is used, as for a condition not stated. Find out finish and lubricant first.");
    }
    let factor = match (purpose, table) {
        (Purpose::Clamp, None) => choice.highest,
        _ => choice.factor,
    };
    if choice.highest > choice.lowest + 1e-9 {
        let other = if purpose == Purpose::Clamp { choice.lowest } else { choice.highest };
        answer.warn(format!(
            "Published nut factors for this finish run from {} to {}; {factor} is used. At {other} the preload of the same torque would be {:.0} % of the one shown.",
            choice.lowest,
            choice.highest,
            100.0 * factor / other
        ));
    }
    Ok((Number::from_si(factor), Some(asked)))
}

fn scatter(given: &Given, answer: &mut Answer, finish: Option<Finish>) -> Result<Percent, Trouble> {
    if let Some(scatter) = given.maybe::<Percent>("scatter")? {
        given::within("scatter", scatter, crate::quantity::unit::PCT, 0.0..=99.0, SCATTER)?;
        answer.source("scatter", Source::entered("scatter"));
        return Ok(scatter);
    }
    let word = given.maybe_word("method")?.unwrap_or("torque-wrench");
    by_method(answer, word, finish)
}

fn lubricant_warning(answer: &mut Answer, finish: Option<Finish>, factor: Number, share: f64) {
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
        answer.warn(format!(
            "This torque is for the stated finish: on a lubricated thread (K {ANY_LUBRICANT}) it gives {:.0} % of the proof load. Reckon again if oil, wax or anti-seize is used.",
            100.0 * share * factor.si() / ANY_LUBRICANT
        ));
    }
}

/// Torque by the short form, T = K d F.
///
/// Source: Shigley eq. 8-27. Holds below yield, for the surfaces K was found with.
#[must_use]
pub fn short_form(factor: Number, major: Length, preload: Force) -> Torque {
    Torque::from_si(factor.si() * major.si() * preload.si())
}

/// Preload a torque gives by the short form, F = T / (K d).
#[must_use]
pub fn implied_preload(torque: Torque, factor: Number, major: Length) -> Force {
    Force::from_si(torque.si() / (factor.si() * major.si()))
}

/// Leg preload from an input: given outright, or by torque and nut factor, the
/// highest published for the finish, so that the clamp is not overrated.
///
/// # Errors
/// If neither `preload` nor `torque` is given, or the finish is unknown.
pub(super) fn given_preload(given: &Given, answer: &mut Answer, thread: &Thread) -> Result<Force, Trouble> {
    if let Some(preload) = given.maybe::<Force>("preload")? {
        return given::positive("preload", preload);
    }
    let torque: Torque = given.need("torque")?;
    let (factor, _) = nut_factor(given, answer, Purpose::Clamp)?;
    Ok(implied_preload(given::positive("torque", torque)?, factor, thread.major))
}

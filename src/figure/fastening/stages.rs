//! Tightening in stages, and the order within each stage.

use super::selection::{FINE_TORQUE, to_increment, usual_increment};
use super::sequence;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Dimensioned, Kind, Number, Percent, Torque, Toward, show, unit};
use crate::source::Source;

const STAGES: Source = Source::practice("30, 60 and 100 %, then one check pass at 100 % in rotation");
const ORDER: Source = Source::practice("cross, star or from the centre outward");

/// Stages and order.
pub static TORQUE_STAGES: Family = Family {
    name: "torque-stages",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "torque of each tightening stage and the order of the fasteners",
    inputs: &[
        Input::required("torque", Kind::Torque, "final torque").also(&["final_torque", "target", "final"]),
        Input::list(
            "stages",
            Kind::Percent,
            Need::Default("30, 60, 100 %"),
            "share of the final torque at each stage",
        )
        .also(&["percent", "passes"]),
        Input::optional(
            "increment",
            Kind::Torque,
            "smallest mark of the wrench; without it 1 lbf-ft below 100, 5 above",
        )
        .also(&["step", "resolution"]),
        Input::choice(
            "pattern",
            &["circle", "rectangle", "u-bolt"],
            Need::Default("circle"),
            "how the fasteners stand",
        ),
        Input::defaulted("bolts", Kind::Number, "4", "number of bolts on the circle")
            .also(&["n", "count", "studs"]),
        Input::optional("rows", Kind::Number, "rows of a rectangle"),
        Input::optional("columns", Kind::Number, "columns of a rectangle").also(&["cols"]),
        Input::defaulted("u_bolts", Kind::Number, "2", "U-bolts on one seat").also(&["ubolts", "pairs"]),
    ],
    outputs: &[
        Output::list(
            "stage_torques",
            "torque of each stage",
            Kind::Torque,
            "final torque x share, rounded to the increment",
            STAGES,
        )
        .style(FINE_TORQUE),
        Output::new("check_torque", "check pass in rotation", Kind::Torque, "final torque", STAGES)
            .style(FINE_TORQUE),
        Output::list(
            "order",
            "order by position number",
            Kind::Number,
            "opposite pairs, star, or centre outward",
            ORDER,
        )
        .style(crate::quantity::Style::single(crate::quantity::Form::decimal(unit::ONE, 1.0))),
        Output::words("positions", "order by position", "names of the positions in order", ORDER),
        Output::words("passes", "passes", "each stage in this order, then the check pass", STAGES),
    ],
    example: "torque=\"230 lbf-ft\" increment=\"5 lbf-ft\" bolts=8",
    run,
};

/// A whole number of fasteners from an input.
///
/// # Errors
/// If it is not a whole number from `least` to 200.
pub(super) fn count(
    given: &Given,
    name: &'static str,
    default: Option<f64>,
    least: f64,
) -> Result<usize, Trouble> {
    let value = match (given.maybe::<Number>(name)?, default) {
        (Some(value), _) => value,
        (None, Some(default)) => Number::from_si(default),
        (None, None) => return Err(Trouble::Missing(vec![name])),
    };
    given::within(name, value, unit::ONE, least..=200.0, Source::definition("a number of fasteners"))?;
    let whole = value.si().round();
    if (whole - value.si()).abs() > 1e-9 {
        return Err(Trouble::impossible(
            format!("{name} must be a whole number"),
            "fasteners come one by one",
        ));
    }
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a whole number from 0 to 200"
    )]
    let whole = whole as usize;
    Ok(whole)
}

/// Whether a torque was written in newton metres: a half of one, and no half of
/// a pound-foot.
fn is_metric(torque: Torque) -> bool {
    let whole = |x: f64| (2.0 * x - (2.0 * x).round()).abs() < 1e-6;
    whole(torque.to(unit::N_M)) && !whole(torque.to(unit::LBF_FT))
}

/// Torque of each stage, rounded to the increment; the last is never rounded
/// past the final torque's own rounding.
#[must_use]
pub fn stage_torques(torque: Torque, shares: &[Percent], increment: Torque) -> Vec<Torque> {
    shares.iter().map(|s| to_increment(torque * s.si(), increment, Toward::Nearest)).collect()
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let torque: Torque = given::positive("torque", given.need("torque")?)?;
    let mut shares: Vec<Percent> = given.list("stages")?;
    if shares.is_empty() {
        shares = [0.3, 0.6, 1.0].map(Percent::from_si).to_vec();
    }
    check_shares(&shares)?;
    let given_increment: Option<Torque> = given.maybe("increment")?;
    let increment = match given_increment {
        Some(step) => given::positive("increment", step)?,
        None => usual_increment(torque, is_metric(torque)),
    };
    if increment.si() > torque.si() * shares.first().map_or(1.0, |s| s.si()) {
        answer
            .warn("The wrench is too coarse for the first stage; take a finer one or leave that stage out.");
    }
    let mut stages = stage_torques(torque, &shares, increment);
    // Without a wrench there is nothing to round the final torque to.
    if let (None, Some(last)) = (given_increment, stages.last_mut()) {
        *last = torque;
    }
    answer.put_list("stage_torques", stages.iter().copied());
    let last = stages.last().copied().unwrap_or(torque);
    answer.put("check_torque", last);
    let (order, names): (Vec<usize>, Vec<String>) = match given.maybe_word("pattern")?.unwrap_or("circle") {
        "rectangle" => {
            let (rows, columns) = if given.has("rows") || given.has("columns") {
                (count(given, "rows", None, 1.0)?, count(given, "columns", None, 1.0)?)
            } else {
                // Two rows hold an even number of bolts.
                let bolts = count(given, "bolts", Some(4.0), 2.0)?;
                if bolts % 2 == 0 {
                    (2, bolts / 2)
                } else {
                    return Err(Trouble::Missing(vec!["rows", "columns"]));
                }
            };
            if rows * columns > 400 {
                return Err(Trouble::impossible("more than 400 bolts in one pattern", "split the pattern"));
            }
            let order = sequence::rectangle(rows, columns);
            let name = |n: &usize| format!("row {} column {}", (n - 1) / columns + 1, (n - 1) % columns + 1);
            let names = order.iter().map(name).collect();
            (order, names)
        }
        "u-bolt" => {
            let n = count(given, "u_bolts", Some(2.0), 1.0)?;
            let order = sequence::rectangle(2, n);
            let names = order.iter().map(|k| sequence::u_bolt_leg(*k, n)).collect();
            (order, names)
        }
        _ => {
            let n = count(given, "bolts", Some(4.0), 2.0)?;
            let order = sequence::circle(n);
            let names = order.iter().map(|k| format!("position {k}")).collect();
            (order, names)
        }
    };
    #[expect(clippy::cast_precision_loss, reason = "a position number up to 40000")]
    let numbers = order.iter().map(|n| Number::from_si(*n as f64));
    answer.put_list("order", numbers);
    answer.put_words("positions", names);
    let list = order.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    let mut passes: Vec<String> = stages
        .iter()
        .enumerate()
        .map(|(i, t)| format!("pass {}: {} in order {list}", i + 1, FINE_TORQUE.both((*t).into())))
        .collect();
    passes.push(format!("check pass: {} in rotation until no nut turns", FINE_TORQUE.both(last.into())));
    answer.put_words("passes", passes);
    Ok(())
}

fn check_shares(shares: &[Percent]) -> Result<(), Trouble> {
    let rising = shares.windows(2).all(|w| w[0].si() < w[1].si());
    let sound = shares.first().is_some_and(|s| s.si() > 0.0)
        && shares.last().is_some_and(|s| (s.si() - 1.0).abs() < 1e-9);
    if rising && sound {
        return Ok(());
    }
    Err(Trouble::impossible(
        "the stages must rise and end at 100 %",
        format!(
            "for example 30, 60, 100 %; given {}",
            shares.iter().map(|s| show::decimal(s.si() * 100.0, 0)).collect::<Vec<_>>().join(", ")
        ),
    ))
}

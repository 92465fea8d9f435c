//! Tightening in stages, and the order within each stage.

use super::selection::{FINE_TORQUE, to_increment, usual_increment};
use super::sequence;
use crate::figure::prelude::*;
use crate::figure::range::Range;
use crate::quantity::show;

const STAGES: Source = Source::practice("30, 60 and 100 %, then one check pass at 100 % in rotation");
const ORDER: Source = Source::practice("cross, star or from the centre outward");
const FASTENERS: Source = Source::definition("a number of fasteners");
/// So many fasteners.
pub(super) const SOME: Range = count(1, 200, FASTENERS);

words! {
    /// How the fasteners stand.
    pub Pattern {
        Circle = "circle" | "star" | "cross" | "bolt-circle" | "circular" | "round" | "tube",
        /// In rows and columns.
        Rectangle = "rectangle" | "rectangular" | "grid" | "rect" | "box" | "all-round",
        /// Legs of U-bolts.
        UBolt = "u-bolt" | "u-bolts" | "ubolts" | "u-bolt-pair" | "ubolt-pair",
    }
}

family! {
    pub TORQUE_STAGES = "torque-stages" in Fastening:
        "torque of each tightening stage and the order of the fasteners";
    also "star-pattern", "stages", "torque-sequence", "tightening-stages", "tightening-sequence", "torque-pattern",
        "bolt-pattern";
    reads Staging {
        required torque: Torque in ABOVE_ZERO, "final torque", "final_torque", "target", "final";
        many stages: Percent = "30, 60, 100 %", "share of the final torque at each stage", "percent", "passes";
        optional increment: Torque in ABOVE_ZERO, "smallest mark of the wrench; without it 1 lbf-ft below 100, 5 above",
            "step", "resolution";
        default pattern: Pattern = Circle, "how the fasteners stand";
        default bolts: Number = "4" in count(2, 200, FASTENERS), "number of bolts on the circle", "n", "count", "studs";
        optional rows: Number in SOME, "rows of a rectangle";
        optional columns: Number in SOME, "columns of a rectangle", "cols";
        default u_bolts: Number = "2" in SOME, "U-bolts on one seat", "ubolts", "pairs";
    }
    gives Stages {
        stage_torques: Vec<Torque>, "torque of each stage", "final torque x share, rounded to the increment", STAGES
            => .style(FINE_TORQUE);
        check_torque: Torque, "check pass in rotation", "final torque", STAGES => .style(FINE_TORQUE);
        order: Vec<Number>, "order by position number", "opposite pairs, star, or centre outward", ORDER => .style(WHOLE);
        positions: Vec<String>, "order by position", "names of the positions in order", ORDER;
        passes: Vec<String>, "passes", "each stage in this order, then the check pass", STAGES;
    }
    example "torque=\"230 lbf-ft\" increment=\"5 lbf-ft\" bolts=8";
    by staged
}

/// A count that its range has found whole and small.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a whole number from 0 to 200")]
pub(super) fn whole(number: Number) -> usize {
    number.si().round() as usize
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

fn staged(given: &Staging, answer: &mut Stages) -> Result<()> {
    let torque = *given.torque;
    let shares = if given.stages.is_empty() {
        [0.3, 0.6, 1.0].map(Percent::from_si).to_vec()
    } else {
        (*given.stages).clone()
    };
    check_shares(&shares)?;
    let increment = given.increment.unwrap_or_else(|| usual_increment(torque, is_metric(torque)));
    if increment.si() > torque.si() * shares.first().map_or(1.0, |s| s.si()) {
        answer
            .warn("The wrench is too coarse for the first stage; take a finer one or leave that stage out.");
    }
    let mut stages = stage_torques(torque, &shares, increment);
    if given.increment.given() {
        (increment > torque).refuse(
            "the smallest mark of the wrench is above the torque",
            "take a wrench with finer marks",
        )?;
        // No mark passes the torque wanted, and a stage of nothing is none.
        let below = |t: Torque| to_increment(t, increment, Toward::Down);
        stages.iter_mut().filter(|stage| **stage > torque).for_each(|stage| *stage = below(torque));
        stages.iter().any(|stage| stage.si() <= 0.0).refuse(
            "a stage is smaller than half a mark of the wrench",
            "leave that stage out, or take a wrench with finer marks",
        )?;
        if below(torque).si() < torque.si() * (1.0 - 1e-9) {
            answer.warn("The final torque lies between two marks of the wrench: the lower one is set.");
            if let Some(last) = stages.last_mut() {
                *last = below(torque);
            }
        }
    }
    let last = match stages.last_mut() {
        Some(last) if given.increment.given() => {
            *last = answer.check_torque.decide(*last);
            *last
        }
        // Without a wrench there is nothing to round the final torque to.
        Some(last) => {
            *last = torque;
            torque
        }
        None => torque,
    };
    // Marks of a wrench are set, whatever the ± of the torque wanted.
    let stages = answer.stage_torques.decide(stages);
    if !given.increment.given() {
        answer.check_torque.put(last);
    }
    let (order, names) = order(given)?;
    let list = order.iter().map(ToString::to_string).collect::<Vec<_>>().join(", ");
    #[expect(clippy::cast_precision_loss, reason = "a position number up to 400")]
    answer.order.put(order.into_iter().map(|n| Number::from_si(n as f64)).collect::<Vec<_>>());
    answer.positions.put(names);
    let mut passes: Vec<String> = stages
        .iter()
        .enumerate()
        .map(|(i, t)| format!("pass {}: {} in order {list}", i + 1, FINE_TORQUE.both((*t).into())))
        .collect();
    passes.push(format!("check pass: {} in rotation until no nut turns", FINE_TORQUE.both(last.into())));
    answer.passes.put(passes);
    Ok(())
}

/// Order by position number, and the names of the positions in that order.
fn order(given: &Staging) -> Result<(Vec<usize>, Vec<String>)> {
    Ok(match *given.pattern {
        Pattern::Rectangle => {
            let (rows, columns) = rectangle(given)?;
            let order = sequence::rectangle(rows, columns);
            let name = |n: &usize| format!("row {} column {}", (n - 1) / columns + 1, (n - 1) % columns + 1);
            let names = order.iter().map(name).collect();
            (order, names)
        }
        Pattern::UBolt => {
            let n = whole(*given.u_bolts);
            let order = sequence::rectangle(2, n);
            let names = order.iter().map(|k| sequence::u_bolt_leg(*k, n)).collect();
            (order, names)
        }
        Pattern::Circle => {
            let order = sequence::circle(whole(*given.bolts));
            let names = order.iter().map(|k| format!("position {k}")).collect();
            (order, names)
        }
    })
}

/// Rows and columns of a rectangle; two rows where only the bolts are told.
fn rectangle(given: &Staging) -> Result<(usize, usize)> {
    let (rows, columns) = if given.rows.given() || given.columns.given() {
        require(&[&given.rows, &given.columns])?;
        (whole(given.rows.need()?), whole(given.columns.need()?))
    } else {
        let bolts = whole(*given.bolts);
        if !bolts.is_multiple_of(2) {
            return Err(Trouble::Missing(vec!["rows", "columns"]));
        }
        (2, bolts / 2)
    };
    (rows * columns > 400).refuse("more than 400 bolts in one pattern", "split the pattern")?;
    Ok((rows, columns))
}

fn check_shares(shares: &[Percent]) -> Result<()> {
    let rising = shares.windows(2).all(|w| w[0].si() < w[1].si());
    let sound = shares.first().is_some_and(|s| s.si() > 0.0)
        && shares.last().is_some_and(|s| (s.si() - 1.0).abs() < 1e-9);
    if rising && sound {
        return Ok(());
    }
    let given: Vec<String> = shares.iter().map(|s| show::decimal(s.si() * 100.0, 0)).collect();
    Err(Trouble::impossible(
        "the stages must rise and end at 100 %",
        format!("for example 30, 60, 100 %; given {}", given.join(", ")),
    ))
}

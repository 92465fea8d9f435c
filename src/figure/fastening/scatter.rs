//! How far preload scatters by tightening method.

use super::factor::read_finish;
use crate::figure::prelude::*;
use crate::reference::friction::Finish;
use crate::reference::tightening::{self, VDI_BANDS};

const TABLES: Source = Source::standard("NASA NSTS 08307, Machinery's Handbook", "preload scatter by method");
const VDI: Source = Source::standard(
    "VDI 2230",
    "tightening factor alpha_A = F_max / F_min, symmetric tolerance, 1986 table",
);

words! {
    /// How a fastener is tightened.
    pub Method {
        /// With a torque wrench.
        TorqueWrench = "torque-wrench" | "torque" | "wrench",
        Feel = "feel" | "by-feel" | "hand",
        /// By turning from snug.
        TurnOfNut = "turn-of-nut" | "turn",
        /// With a preload-indicating washer.
        IndicatingWasher = "indicating-washer",
        /// Computer controlled, below yield.
        ComputerControlled = "computer-controlled",
        /// To the yield point.
        YieldControlled = "yield-controlled" | "angle-control" | "yield",
        /// By the elongation of the bolt.
        Elongation = "elongation" | "stretch" | "bolt-stretch",
        Ultrasonic = "ultrasonic",
        /// With strain gauges.
        StrainGauge = "strain-gauge",
        /// With a hydraulic tensioner.
        HydraulicTensioner = "hydraulic-tensioner" | "hydraulic" | "tensioner",
        /// With a power driver.
        PowerDriver = "power-driver" | "power",
        /// With an impact wrench.
        ImpactWrench = "impact-wrench" | "impact",
    }
}

family! {
    pub PRELOAD_SCATTER = "preload-scatter" in Fastening:
        "scatter of preload and tightening factor by tightening method";
    also "scatter", "scatter-band", "tightening-factor", "alpha-a";
    reads Spread {
        default method: Method = TorqueWrench, "how it is tightened";
        optional finish: String, "finish of the threads, for a torque wrench", "lubrication", "lube";
        optional scatter: Percent in within(0.0, 99.0, unit::PCT, TABLES).usually(2.0, 60.0, unit::PCT),
            "scatter each way, if known; wins over the method", "spread", "tolerance";
        optional preload: Force in ABOVE_ZERO, "mean preload, to give the band", "force", "clamp_load", "fi", "f";
    }
    gives Band {
        scatter: Percent, "scatter of preload, each way", "table by method; the larger where tables disagree", TABLES
            => .style(Style::of(Kind::Percent).up());
        tightening_factor: Number, "tightening factor", "(1 + scatter) / (1 - scatter)", VDI => .style(HUNDREDTH.up());
        preload_low: Force, "lowest preload to expect", "preload (1 - scatter)", TABLES => .down();
        preload_high: Force, "highest preload to expect", "preload (1 + scatter)", TABLES => .up();
        factor_vdi_low: Number, "tightening factor by VDI 2230, low end", "(1 + t) / (1 - t) of the lower tolerance", VDI
            => .style(HUNDREDTH);
        factor_vdi_high: Number, "tightening factor by VDI 2230, high end", "(1 + t) / (1 - t) of the upper tolerance", VDI
            => .style(HUNDREDTH);
    }
    example "method=torque-wrench finish=oiled preload=\"14400 lbf\"";
    by band
}

/// Tightening factor of a symmetric scatter, highest over lowest preload.
///
/// Source: VDI 2230.
pub(super) fn tightening_factor(scatter: Percent) -> Number {
    Number::from_si((1.0 + scatter.si()) / (1.0 - scatter.si()))
}

fn band(given: &Spread, answer: &mut Band) -> Result<()> {
    let scatter = match *given.scatter {
        Some(scatter) => {
            answer.scatter.source(Source::entered("scatter"));
            scatter
        }
        None => {
            let finish = read_finish(given.finish.as_deref())?;
            let bands = VDI_BANDS.iter().find(|b| b.0 == given.method.word());
            if let Some((_, low, high)) = bands {
                answer.factor_vdi_low.put(tightening_factor(Percent::from_si(*low)));
                answer.factor_vdi_high.put(tightening_factor(Percent::from_si(*high)));
            }
            by_method(*given.method, finish, &mut answer.said, &mut answer.scatter)?
        }
    };
    answer.scatter.put(scatter);
    answer.tightening_factor.put(tightening_factor(scatter));
    if let Some(preload) = *given.preload {
        answer.preload_low.put(preload * (1.0 - scatter.si()));
        answer.preload_high.put(preload * (1.0 + scatter.si()));
    }
    Ok(())
}

/// Scatter of a method from the tables, with its source and any conflict told.
pub(super) fn by_method(
    method: Method,
    finish: Option<Finish>,
    said: &mut Said,
    shown: &mut Out<Percent>,
) -> Result<Percent> {
    let word = method.word();
    let listed = tightening::method(word, finish).ok_or_else(|| Trouble::Unknown {
        input: "method".to_owned(),
        given: word.to_owned(),
        choices: Method::WORDS.iter().map(|w| (*w).to_owned()).collect(),
    })?;
    shown.source(listed.source);
    if let Some(conflict) = listed.conflict {
        said.note(format!(
            "The scatter of {word} is taken as {:.0} %; another table gives {conflict}.",
            100.0 * listed.scatter
        ));
    }
    if method == Method::ImpactWrench {
        said.warn("An impact wrench does not control preload; finish with a torque wrench.");
    }
    Ok(Percent::from_si(listed.scatter))
}

//! How far preload scatters by tightening method.

use super::torque::read_finish;
use crate::figure::{Answer, Declared, Family, Given, Group, Input, Need, Output, Trouble, given};
use crate::quantity::{Dimensioned, Force, Form, Kind, Number, Percent, Style, unit};
use crate::reference::tightening::{self, METHOD_WORDS, VDI_BANDS};
use crate::source::Source;

const TABLES: Source = Source::standard("NASA NSTS 08307, Machinery's Handbook", "preload scatter by method");
const VDI: Source = Source::standard(
    "VDI 2230",
    "tightening factor alpha_A = F_max / F_min, symmetric tolerance, 1986 table",
);
const FACTOR: Style = Style::single(Form::decimal(unit::ONE, 0.01)).up();

/// Preload scatter.
pub static PRELOAD_SCATTER: Family = Family {
    name: "preload-scatter",
    declared: Declared::OLD,
    group: Group::Fastening,
    title: "scatter of preload and tightening factor by tightening method",
    inputs: &[
        Input::choice("method", METHOD_WORDS, Need::Default("torque-wrench"), "how it is tightened"),
        Input::name("finish", Need::Optional, "finish of the threads, for a torque wrench")
            .also(&["lubrication", "lube"]),
        Input::optional("scatter", Kind::Percent, "scatter each way, if known; wins over the method")
            .also(&["spread", "tolerance"]),
        Input::optional("preload", Kind::Force, "mean preload, to give the band").also(&[
            "force",
            "clamp_load",
            "fi",
            "f",
        ]),
    ],
    outputs: &[
        Output::new(
            "scatter",
            "scatter of preload, each way",
            Kind::Percent,
            "table by method; the larger where tables disagree",
            TABLES,
        )
        .style(Style::of(Kind::Percent).up()),
        Output::new(
            "tightening_factor",
            "tightening factor",
            Kind::Number,
            "(1 + scatter) / (1 - scatter)",
            VDI,
        )
        .style(FACTOR),
        Output::new("preload_low", "lowest preload to expect", Kind::Force, "preload (1 - scatter)", TABLES)
            .down(),
        Output::new(
            "preload_high",
            "highest preload to expect",
            Kind::Force,
            "preload (1 + scatter)",
            TABLES,
        )
        .up(),
        Output::new(
            "factor_vdi_low",
            "tightening factor by VDI 2230, low end",
            Kind::Number,
            "(1 + t) / (1 - t) of the lower tolerance",
            VDI,
        )
        .style(Style::single(Form::decimal(unit::ONE, 0.01))),
        Output::new(
            "factor_vdi_high",
            "tightening factor by VDI 2230, high end",
            Kind::Number,
            "(1 + t) / (1 - t) of the upper tolerance",
            VDI,
        )
        .style(Style::single(Form::decimal(unit::ONE, 0.01))),
    ],
    example: "method=torque-wrench finish=oiled preload=\"14400 lbf\"",
    run,
};

/// Tightening factor of a symmetric scatter, highest over lowest preload.
///
/// Source: VDI 2230.
#[must_use]
pub fn tightening_factor(scatter: Percent) -> Number {
    Number::from_si((1.0 + scatter.si()) / (1.0 - scatter.si()))
}

fn run(given: &Given, answer: &mut Answer) -> Result<(), Trouble> {
    let finish = read_finish(given)?;
    let word = given.maybe_word("method")?.unwrap_or("torque-wrench").to_owned();
    let entered: Option<Percent> = given.maybe("scatter")?;
    let scatter = match entered {
        Some(scatter) => {
            given::within("scatter", scatter, unit::PCT, 0.0..=99.0, TABLES)?;
            answer.source("scatter", Source::entered("scatter"));
            scatter
        }
        None => by_method(answer, &word, finish)?,
    };
    answer.put("scatter", scatter);
    answer.put("tightening_factor", tightening_factor(scatter));
    if let Some(preload) = given.maybe::<Force>("preload")? {
        let preload = given::positive("preload", preload)?;
        answer.put("preload_low", preload * (1.0 - scatter.si()));
        answer.put("preload_high", preload * (1.0 + scatter.si()));
    }
    if let (None, Some((_, low, high))) = (entered, VDI_BANDS.iter().find(|b| b.0 == word)) {
        answer.put("factor_vdi_low", tightening_factor(Percent::from_si(*low)));
        answer.put("factor_vdi_high", tightening_factor(Percent::from_si(*high)));
    }
    Ok(())
}

/// Scatter of a method from the tables, with its source and any conflict told.
///
/// # Errors
/// If the method is unknown.
pub(super) fn by_method(
    answer: &mut Answer,
    word: &str,
    finish: Option<crate::reference::friction::Finish>,
) -> Result<Percent, Trouble> {
    let method = tightening::method(word, finish).ok_or_else(|| Trouble::Unknown {
        input: "method".to_owned(),
        given: word.to_owned(),
        choices: METHOD_WORDS.iter().map(|w| (*w).to_owned()).collect(),
    })?;
    answer.source("scatter", method.source);
    if let Some(conflict) = method.conflict {
        answer.note(format!(
            "The scatter of {word} is taken as {:.0} %; another table gives {conflict}.",
            100.0 * method.scatter
        ));
    }
    if word == "impact-wrench" {
        answer.warn("An impact wrench does not control preload; finish with a torque wrench.");
    }
    Ok(Percent::from_si(method.scatter))
}

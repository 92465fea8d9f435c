//! A group of fasteners: torque, stages, order, preload.

use super::sheet::Inputs;
use super::{JobFigures, Owner};
use crate::figure::{Trouble, Value};
use crate::job::model::{Fastener, Pattern};
use crate::quantity::{Dimensioned, Number, Torque, show};
use crate::source::Source;

pub(super) fn compute(fastener: &Fastener, sheet: &mut JobFigures) {
    let owner = Owner::Fastener(fastener.id.value.0.clone());
    let key = |field: &str| format!("fastener.{field} ({})", fastener.id.value);
    let text = |t: &Option<crate::file::Located<crate::file::Text>>| t.as_ref().map(|t| t.value.0.clone());
    let (thread, grade, finish) = (text(&fastener.thread), text(&fastener.grade), text(&fastener.finish));
    let stated = fastener.torque.is_some();
    let mut inputs = Inputs::new();
    inputs
        .word("thread", key("thread"), thread.as_deref())
        .word("grade", key("grade"), grade.as_deref())
        .word("finish", key("finish"), finish.as_deref())
        .job("percent", key("preload"), fastener.preload.as_ref())
        .job("maker_torque", key("torque"), fastener.torque.as_ref())
        .job("increment", key("increment"), fastener.increment.as_ref());
    let known = sheet.try_run(
        &owner,
        "torque",
        &inputs,
        &[
            ("torque_set", "torque"),
            ("preload", "preload"),
            ("preload_low", "preload_low"),
            ("preload_high", "preload_high"),
        ],
    );
    if stated && matches!(known, Err(Trouble::Missing(_) | Trouble::Unknown { .. })) {
        // The manufacturer's torque stands on its own where nothing is known to
        // check it by; one that breaks the bolt stands nowhere.
        sheet.enter(&owner, "torque", fastener.torque.as_ref());
    }
    let words = |sheet: &mut JobFigures, name: &'static str, word: String, source: Source| {
        sheet.derive(&owner, name, Value::word(word), "as stated", source);
    };
    let from = match (stated, &fastener.torque_from) {
        (true, Some(from)) => format!("manufacturer: {}", &**from),
        (true, None) => "stated in the job, source not named".to_owned(),
        (false, _) => "computed from preload; a manufacturer's torque comes first".to_owned(),
    };
    if sheet.get(&owner, "torque").is_some() {
        words(sheet, "source", from, Source::entered("job file"));
    }
    if let Some(finish) = finish {
        words(sheet, "condition", finish, Source::entered("job file"));
    }
    if let Some(wrench) = &fastener.wrench {
        words(sheet, "wrench", wrench.0.clone(), Source::entered("job file"));
    }
    stages(fastener, &owner, &key, sheet);
    retorque(fastener, &owner, sheet);
}

fn stages(fastener: &Fastener, owner: &Owner, key: &dyn Fn(&str) -> String, sheet: &mut JobFigures) {
    if sheet.get(owner, "torque").is_none() {
        return;
    }
    let whole = |n: u32| Some(Value::from(Number::from_si(f64::from(n))));
    let mut inputs = Inputs::new();
    inputs.figure("torque", sheet, owner, "torque").job(
        "increment",
        key("increment"),
        fastener.increment.as_ref(),
    );
    match fastener.pattern {
        Pattern::Circle => {
            inputs.word("pattern", "", Some("circle")).value("bolts", "", whole(fastener.count));
        }
        Pattern::Rectangle => {
            inputs.word("pattern", "", Some("rectangle")).value("bolts", "", whole(fastener.count));
            inputs.value("rows", "", whole(2)).value("columns", "", whole(fastener.count.div_ceil(2)));
        }
        Pattern::UBolt => {
            inputs.word("pattern", "", Some("u-bolt")).value(
                "u_bolts",
                "",
                whole((fastener.count / 2).clamp(1, 2)),
            );
        }
        Pattern::Single => {
            inputs.word("pattern", "", Some("circle")).value("bolts", "", whole(fastener.count.max(1)));
        }
    }
    if !sheet.run(owner, "torque-stages", &inputs, &[]) {
        return;
    }
    let last = |sheet: &JobFigures, id: &str| {
        sheet
            .rows
            .iter()
            .rev()
            .find(|r| r.owner == *owner && r.figure.family == "torque-stages" && r.figure.id == id)
            .map(|r| r.figure.clone())
    };
    if let Some(figure) = last(sheet, "stage_torques")
        && let Value::List(list) = &figure.value
    {
        for (name, value) in ["stage_1", "stage_2", "stage_3"].into_iter().zip(list) {
            sheet.derive(owner, name, value.clone(), &figure.formula, figure.source);
        }
    }
    if fastener.count > 1
        && let Some(figure) = last(sheet, "order")
    {
        let text = order(&figure.value);
        sheet.derive(owner, "pattern", Value::word(text), &figure.formula, figure.source);
    }
    band(fastener, owner, sheet);
}

/// Places in order, as whole numbers: `1 - 3 - 2 - 4`.
fn order(value: &Value) -> String {
    let Value::List(list) = value else { return value.show() };
    let places = list.iter().map(|v| v.quantity().map_or_else(|| v.show(), |q| show::decimal(q.si(), 0)));
    places.collect::<Vec<_>>().join(" - ")
}

/// The band a shop may land in: the wrench's step either way, at least 4 %.
fn band(fastener: &Fastener, owner: &Owner, sheet: &mut JobFigures) {
    /// Permitted deviation of a hand torque tool above 10 N m.
    const DEVIATION: f64 = 0.04;
    let Some(torque) = sheet.quantity::<Torque>(owner, "torque") else { return };
    let step = fastener.increment.as_ref().map_or(Torque::from_si(0.0), |i| i.value.value);
    let room = Torque::from_si((torque.si() * DEVIATION).max(step.si()));
    let source = Source::standard("ISO 6789-1:2017", "permitted deviation 4 % above 10 N·m").from_memory();
    sheet.derive_up(
        owner,
        "torque_low",
        Value::from(torque - room),
        "torque - the wider of 4 % and the wrench's step",
        source,
    );
    sheet.derive_down(
        owner,
        "torque_high",
        Value::from(torque + room),
        "torque + the wider of 4 % and the wrench's step",
        source,
    );
}

fn retorque(fastener: &Fastener, owner: &Owner, sheet: &mut JobFigures) {
    if let Some(text) = &fastener.retorque {
        sheet.derive(
            owner,
            "retorque",
            Value::word(text.0.clone()),
            "as stated",
            Source::entered("job file"),
        );
        return;
    }
    let joint = match (fastener.pattern, &*fastener.usage.value.0) {
        (Pattern::UBolt, _) | (_, "u-bolt") => "u-bolt",
        (_, "wheel") => "wheel",
        _ => return,
    };
    let mut inputs = Inputs::new();
    inputs.word("joint", "", Some(joint));
    sheet.run(owner, "retorque", &inputs, &[("when", "retorque")]);
}

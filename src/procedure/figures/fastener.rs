//! A group of fasteners: torque, stages, order, preload.

use super::inputs::{Inputs, to};
use super::{JobFigures, Owner};
use crate::figure::fastening::charts::{Again, AgainAfter, Joint as Sort};
use crate::figure::fastening::factor::Surface;
use crate::figure::fastening::maker::Stated;
use crate::figure::fastening::nut::{Develops, Pair};
use crate::figure::fastening::selection::{BySize, Graded, Named};
use crate::figure::fastening::stages::{Pattern as Order, Stages, Staging};
use crate::figure::fastening::torque::{Tightened, Tightening};
use crate::figure::{Trouble, Value};
use crate::job::model::{Fastener, Pattern};
use crate::procedure::catalogue::{Called, fastener as named};
use crate::quantity::{Dimensioned, Kind, Number, Quantity, Style, Torque, parse, show};
use crate::reference::grade;
use crate::source::Source;

pub(super) fn compute(fastener: &Fastener, sheet: &mut JobFigures) {
    let owner = Owner::Fastener(fastener.id.0.clone());
    let key = |field: &str| format!("fastener.{field} ({})", fastener.id.value);
    let text = |t: &Option<crate::file::Located<crate::file::Text>>| t.as_ref().map(|t| t.0.clone());
    let (thread, grade, finish) = (text(&fastener.thread), text(&fastener.grade), text(&fastener.finish));
    let stated = fastener.torque.is_some();
    let mut inputs = Inputs::<Tightening>::new();
    inputs
        .with(BySize::thread, key("thread"), thread.as_deref())
        .with(Graded::grade, key("grade"), grade.as_deref().filter(|g| !grade::find(g).is_empty()))
        .with(Graded::proof, key("proof"), fastener.proof.as_ref())
        .with(Surface::k, key("nut_factor"), fastener.nut_factor.as_ref())
        .with(Tightening::percent, key("preload"), fastener.preload.as_ref())
        .with(Stated::maker_torque, key("torque"), fastener.torque.as_ref())
        .with(Tightening::increment, key("increment"), fastener.increment.as_ref());
    if fastener.nut_factor.is_none() {
        inputs.with(Surface::finish, key("finish"), finish.as_deref());
    }
    // A bare torque of the maker's asks for no preload: nothing of the bolt is told.
    let bare = stated && thread.is_none() && grade.is_none();
    let known = if bare {
        Err(Trouble::Missing(Vec::new()))
    } else {
        sheet.try_run(
            &owner,
            &inputs,
            &[
                to(Tightened::torque_set, named::torque),
                to(Tightened::preload, named::preload),
                to(Tightened::preload_low, named::preload_low),
                to(Tightened::preload_high, named::preload_high),
            ],
        )
    };
    if stated && matches!(known, Err(Trouble::Missing(_) | Trouble::Unknown { .. })) {
        // The manufacturer's torque stands on its own where nothing is known to
        // check it by; one that breaks the bolt stands nowhere.
        sheet.enter(&owner, named::torque, fastener.torque.as_ref());
    }
    if let Err(why @ (Trouble::Impossible { .. } | Trouble::OutOfRange { .. })) = &known {
        let remedy = if stated {
            "the torque of the maker's sheet, in its unit, for this thread and grade"
        } else {
            "a thread, grade, preload and increment that go together"
        };
        sheet.stop(&owner, why.to_string(), remedy.to_owned());
    }
    let words = |sheet: &mut JobFigures, name: Called<String>, word: String, source: Source| {
        sheet.derive(&owner, name, word, "as stated", source);
    };
    let from = match (stated, &fastener.torque_from) {
        (true, Some(from)) => format!("manufacturer: {}", &**from),
        (true, None) => "stated in the job, source not named".to_owned(),
        (false, _) => "computed from preload; a manufacturer's torque comes first".to_owned(),
    };
    if sheet.get(&owner, named::torque).is_some() {
        words(sheet, named::source, from, Source::entered("job file"));
    }
    if let Some(finish) = finish {
        words(sheet, named::condition, finish, Source::entered("job file"));
    }
    if let Some(wrench) = &fastener.wrench {
        words(sheet, named::wrench, wrench.0.clone(), Source::entered("job file"));
    }
    sheet.enter(&owner, named::inside_width, fastener.inside_width.as_ref());
    nut(fastener, &owner, sheet);
    wrench(fastener, &owner, sheet);
    stages(fastener, &owner, &key, sheet);
    retorque(fastener, &owner, sheet);
}

/// Holds the torque against the range that stands beside the wrench: outside it the
/// wrench shows nothing (ISO 6789-1:2017, a torque tool holds its deviation within its
/// measurement range; from memory).
fn wrench(fastener: &Fastener, owner: &Owner, sheet: &mut JobFigures) {
    let (Some(text), None) = (&fastener.wrench, &fastener.sure) else { return };
    let Some((least, most)) = stated_range(text) else { return };
    let Some(torque) = sheet.quantity(owner, named::torque) else { return };
    let room = 1e-9 * torque.si().abs();
    if (least.si() - room..=most.si() + room).contains(&torque.si()) {
        return;
    }
    let words = |torque: Torque| Style::of(Kind::Torque).both(torque.into());
    sheet.stop(
        owner,
        format!(
            "the wrench \"{}\" reaches from {} to {} and is to be set to {}",
            text.0,
            words(least),
            words(most),
            words(torque)
        ),
        "a wrench whose range holds the torque; or sure = with the reason".to_owned(),
    );
}

/// A range of torque as it stands in a text: `TW-3, 40 to 250 lbf-ft`.
fn stated_range(text: &str) -> Option<(Torque, Torque)> {
    text.split([',', ';', '(', ')']).find_map(|part| {
        let (low, high) = part.trim().split_once(" to ").or_else(|| part.trim().split_once('–'))?;
        let most = parse::maybe(Kind::Torque, high.trim())?;
        // The unit may stand behind the second number alone.
        let unit =
            high.trim().trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | ' '));
        let least = parse::maybe(Kind::Torque, low.trim())
            .or_else(|| parse::maybe(Kind::Torque, &format!("{} {unit}", low.trim())))?;
        Some((Quantity::typed(least)?, Quantity::typed(most)?))
    })
}

/// Holds the nut against the bolt: one that strips first lets go without a sign.
fn nut(fastener: &Fastener, owner: &Owner, sheet: &mut JobFigures) {
    let text = |t: &Option<crate::file::Located<crate::file::Text>>| t.as_ref().map(|t| t.0.clone());
    let (thread, grade, nut) = (text(&fastener.thread), text(&fastener.grade), text(&fastener.nut));
    let Some(name) = nut.as_deref() else { return };
    let mut inputs = Inputs::<Pair>::new();
    inputs
        .with(Named::thread, "", thread.as_deref())
        .with(Graded::grade, "", grade.as_deref().filter(|g| !grade::find(g).is_empty()))
        .with(Graded::proof, "", fastener.proof.as_ref())
        .with(Pair::nut, "", Some(name));
    // A nut that is in no table is told elsewhere; without a grade there is nothing to bear.
    let Ok(answer) = inputs.answer() else { return };
    let usual = answer.matching_nuts.get().map(|list| list.join(", ")).filter(|list| !list.is_empty());
    let remedy = match &usual {
        Some(list) => format!("one of the usual nuts for this bolt: {list}"),
        None => "a nut whose proof load is at least that of the bolt".to_owned(),
    };
    match answer.verdict.get() {
        Some(Develops::No) => sheet.stop(
            owner,
            format!("a nut \"{name}\" does not carry the proof load of its bolt: it strips before the bolt is tight"),
            remedy,
        ),
        Some(Develops::Unusual) if fastener.sure.is_none() => sheet.stop(
            owner,
            format!("a nut \"{name}\" is no usual pair with its bolt, and nothing says why"),
            format!("{remedy}; or sure = with the maker's word"),
        ),
        _ => {}
    }
}

fn stages(fastener: &Fastener, owner: &Owner, key: &dyn Fn(&str) -> String, sheet: &mut JobFigures) {
    if sheet.get(owner, named::torque).is_none() {
        return;
    }
    let whole = |n: u32| Number::from_si(f64::from(n));
    let nuts = fastener.count.map(whole);
    let mut inputs = Inputs::<Staging>::new();
    inputs.figure(Staging::torque, sheet, owner, named::torque).with(
        Staging::increment,
        key("increment"),
        fastener.increment.as_ref(),
    );
    match fastener.pattern {
        Pattern::Circle => {
            inputs.with(Staging::pattern, "", Some(Order::Circle)).with(Staging::bolts, key("count"), nuts);
        }
        Pattern::Rectangle => {
            inputs.with(Staging::pattern, "", Some(Order::Rectangle)).with(
                Staging::bolts,
                key("count"),
                nuts,
            );
            inputs.with(Staging::rows, "", Some(whole(2))).with(
                Staging::columns,
                key("count"),
                fastener.count.map(|n| whole(n.div_ceil(2))),
            );
        }
        Pattern::UBolt => {
            inputs.with(Staging::pattern, "", Some(Order::UBolt)).with(
                Staging::u_bolts,
                key("count"),
                fastener.count.map(|n| whole((n / 2).clamp(1, 2))),
            );
        }
        // A pin or a bolt alone has nothing to be tightened in turn with.
        Pattern::Single if fastener.count.is_none_or(|n| n < 2) => {
            unordered(owner, sheet);
            return band(fastener, owner, sheet);
        }
        Pattern::Single => {
            inputs.with(Staging::pattern, "", Some(Order::Circle)).with(Staging::bolts, "", nuts);
        }
    }
    if !sheet.run(owner, &inputs, &[]) {
        return;
    }
    let torques = sheet.output::<Staging, _>(owner, Stages::stage_torques).cloned();
    if let Some(figure) = torques
        && let Value::List(list) = &figure.value
    {
        for (name, value) in [named::stage_1, named::stage_2, named::stage_3].into_iter().zip(list) {
            if let Some(torque) = value.quantity().and_then(Quantity::typed::<Torque>) {
                sheet.derive(owner, name, torque, &figure.formula, figure.source);
            }
        }
    }
    if fastener.pattern == Pattern::Single {
        unordered(owner, sheet);
    } else if fastener.count.is_none() {
        let needed = key("count");
        let why = format!("the order of tightening still needs {needed}");
        sheet.miss(owner, &[named::pattern.name()], vec![needed], why);
    } else if fastener.count.is_some_and(|n| n > 1)
        && let Some(figure) = sheet.output::<Staging, _>(owner, Stages::order).cloned()
    {
        sheet.derive(owner, named::pattern, order(&figure.value), &figure.formula, figure.source);
    }
    band(fastener, owner, sheet);
}

/// Pins and bolts that clamp no common face have no star.
fn unordered(owner: &Owner, sheet: &mut JobFigures) {
    let order = "one after the other".to_owned();
    let source = Source::practice("single fasteners clamp no common face, so nothing orders them");
    sheet.derive(owner, named::pattern, order, "pattern = single", source);
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
    let Some(torque) = sheet.quantity(owner, named::torque) else { return };
    let step = fastener.increment.as_ref().map_or(Torque::from_si(0.0), |i| i.value.value);
    let room = Torque::from_si((torque.si() * DEVIATION).max(step.si()));
    let source = Source::standard("ISO 6789-1:2017", "permitted deviation 4 % above 10 N·m").from_memory();
    sheet.derive_up(
        owner,
        named::torque_low,
        torque - room,
        "torque - the wider of 4 % and the wrench's step",
        source,
    );
    sheet.derive_down(
        owner,
        named::torque_high,
        torque + room,
        "torque + the wider of 4 % and the wrench's step",
        source,
    );
}

fn retorque(fastener: &Fastener, owner: &Owner, sheet: &mut JobFigures) {
    if let Some(text) = &fastener.retorque {
        sheet.derive(owner, named::retorque, text.0.clone(), "as stated", Source::entered("job file"));
        return;
    }
    let joint = match (fastener.pattern, &*fastener.usage.0) {
        (Pattern::UBolt, _) | (_, "u-bolt") => Sort::UBolt,
        (_, "wheel") => Sort::Wheel,
        _ => return,
    };
    let mut inputs = Inputs::<Again>::new();
    inputs.with(Again::joint, "", Some(joint));
    sheet.run(owner, &inputs, &[to(AgainAfter::when, named::retorque)]);
}

//! The weld schedule: one card per joint.

use super::super::document::{Fact, WeldCard};
use super::super::weld::strokes::with_joint;
use super::signers::{self, ForJoint};
use super::{Subject, bare, between, symbols};
use crate::file::{Located, Text};
use crate::job::model::Joint;
use crate::plan::Words;
use crate::plan::symbol;
use crate::procedure::catalogue::joint;
use crate::procedure::figures::Owner;
use crate::quantity::{Quantity, show::SECONDS};
use crate::shop::model::Wps;
use crate::shop::position::{self, Progression};

/// In the place of a procedure where the shop has none that covers the joint.
pub(super) const TO_BE_QUALIFIED: &str = "to be qualified";

/// One card per joint of the job.
pub(super) fn cards(planned: &Subject<'_>) -> Vec<WeldCard> {
    planned.job.joint.iter().map(|j| card(planned, j)).collect()
}

fn card(planned: &Subject<'_>, joint: &Joint) -> WeldCard {
    let fit = signers::for_joint(planned, joint);
    let book = joint.wps.as_ref().and_then(|w| planned.plan.shop.wps(&w.0));
    let figures = OfJoint { planned, owner: Owner::Joint(joint.id.0.clone()) };
    WeldCard {
        id: joint.id.value.to_string(),
        title: joint.title.0.clone(),
        symbol: symbol(planned.job, planned.figures, joint),
        drawing: Some(with_joint(&symbols::of(planned, joint), joint.form)),
        operations: operations(planned, &joint.id.value),
        facts: facts(&figures, joint, book, &fit),
        notes: notes(&figures, joint, fit.mismatch),
        // What is read at the joint stands here once the operations are worded.
        boxes: Vec::new(),
    }
}

/// A line to write on only where the welder must know before the arc.
const MUST: &[&str] = &["process", "filler", "preheat, at least", "amps", "volts", "travel", "inspection"];

/// The lines of a card, in the order they are set up by.
fn facts(figures: &OfJoint<'_>, joint: &Joint, book: Option<&Wps>, fit: &ForJoint) -> Vec<Fact> {
    let mut rows = by_the_procedure(figures, joint, book, fit);
    rows.extend(heat_and_settings(figures));
    rows.extend(the_weld(figures, joint));
    let fact = |(label, value): Row| match value {
        Some(value) => Some(Fact::new(label, value)),
        None if MUST.contains(&label) => Some(Fact::blank(label)),
        None => None,
    };
    rows.into_iter().filter_map(fact).collect()
}

/// A line of a card: its label, and what is known.
type Row = (&'static str, Option<String>);

/// Parts that are known, in one line.
fn together<const N: usize>(parts: [Option<String>; N], between: &str) -> Option<String> {
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join(between))
}

/// What is set at the machine by the joint and by its procedure, and who may weld it.
fn by_the_procedure(figures: &OfJoint<'_>, joint: &Joint, book: Option<&Wps>, fit: &ForJoint) -> Vec<Row> {
    let words = |t: &Option<Located<Text>>| t.as_ref().map(|t| t.0.clone());
    let wire = |filler: String| together([Some(filler), figures.plain(joint::wire.name())], ", ");
    let flow = book.and_then(|w| w.gas_flow.as_ref()).map(|f| figures.planned.band(f.value));
    let polarity = book.map(|w| w.polarity.value.word().to_ascii_uppercase());
    let transfer = book.and_then(|w| w.transfer.as_ref()).map(|t| t.value.word().to_owned());
    let upright = joint.position.as_ref().is_some_and(|p| asks_way(&p.0));
    let way = book.filter(|_| upright).map(|w| match w.progression {
        Progression::Up => "vertical runs upward".to_owned(),
        Progression::Down => "vertical runs downward".to_owned(),
    });
    vec![
        ("process", words(&joint.process)),
        ("filler", words(&joint.filler).and_then(wire)),
        ("gas", together([joint.gas.as_ref().map(|t| t.0.clone()).or_else(|| gas_of(book)), flow], ", ")),
        ("polarity, transfer", together([polarity, transfer], ", ")),
        ("procedure", fit.procedure.clone().or_else(|| Some(TO_BE_QUALIFIED.to_owned()))),
        ("may weld it", fit.welders.clone()),
        ("machines", fit.machines.clone()),
        ("position", together([joint.position.as_ref().map(|t| t.0.clone()), way], "; ")),
    ]
}

/// Temperatures before and between the runs, what is set, and the heat that makes.
fn heat_and_settings(figures: &OfJoint<'_>) -> Vec<Row> {
    let get = |name: &str| figures.text(name);
    // No heat input without the convention it is counted by.
    let counted = |heat: Option<String>| Some(format!("{}, {}", heat?, get(joint::heat_counted.name())?));
    let window = figures.narrow(joint::heat_by_code_low.name(), joint::heat_by_code_high.name());
    let travel = [joint::travel.name(), joint::travel_low.name(), joint::travel_high.name()];
    let wire_feed = [joint::wire_feed.name(), joint::wire_feed_low.name(), joint::wire_feed_high.name()];
    vec![
        ("preheat, at least", get(joint::preheat.name())),
        ("interpass, at most", get(joint::interpass_max.name())),
        ("amps", figures.setting([joint::amps.name(), joint::amps_low.name(), joint::amps_high.name()])),
        ("volts", figures.setting([joint::volts.name(), joint::volts_low.name(), joint::volts_high.name()])),
        ("travel", figures.setting(travel)),
        ("wire feed", figures.setting(wire_feed)),
        ("runs, about", get(joint::passes.name())),
        ("heat input", counted(get(joint::heat_by_code.name()))),
        ("heat input window", counted(window)),
    ]
}

/// What the weld has to be, how it is looked at, and what it takes.
fn the_weld(figures: &OfJoint<'_>, joint: &Joint) -> Vec<Row> {
    let get = |name: &str| figures.text(name);
    // A seam of one run, or of nobody knows how many, waits for nothing.
    let again = figures.si(joint::passes.name()).is_some_and(|runs| runs > 1.0);
    vec![
        ("cooling time t8/5", cooling(joint)),
        ("throat", get(joint::throat.name())),
        ("least leg allowed", get(joint::size_min.name())),
        ("undercut, at most", get(joint::undercut_limit.name())),
        ("inspection", joint.inspection.as_ref().map(|t| t.0.clone())),
        ("accepted to", Some(joint.acceptance.printed())),
        ("arc time, about", get(joint::arc_time.name())),
        ("filler needed", get(joint::filler.name())),
        ("wait between passes", again.then(|| get(joint::wait.name())).flatten()),
    ]
}

/// What stands below the lines: whose values they are, the sequence, what is not qualified.
fn notes(figures: &OfJoint<'_>, joint: &Joint, mismatch: Option<String>) -> Vec<Words> {
    let get = |name: &str| figures.text(name);
    let whose = [
        get(joint::preheat_method.name()).map(|m| format!("Preheat by {m}.")),
        get(joint::settings_from.name()).map(|w| format!("Ranges by {w}.")),
    ];
    let mut notes: Vec<Words> = together(whose, " ").map(Words::plain).into_iter().collect();
    notes.extend(get(joint::sequence.name()).filter(|_| !turned(joint)).map(|s| {
        Words::plain(format!("Sequence, 0° at the top, clockwise seen from {}: {s}.", seen_from(joint)))
    }));
    notes.extend(unqualified(joint, mismatch));
    let own = [
        ("CET", joint.cet.as_ref().map(|v| v.value.value.into())),
        ("weld metal", joint.weld_strength.as_ref().map(|v| v.value.value.into())),
        ("diffusible hydrogen", joint.hydrogen.as_ref().map(|v| v.value.value.into())),
    ];
    let own = figures.planned.own(own, joint.values_from.as_ref());
    notes.extend(own.map(|own| Words::plain(format!("{own}."))));
    notes.extend(joint.note.iter().map(|n| Words::plain(n.0.clone())));
    notes
}

/// What stands in the way of a procedure for the joint.
fn unqualified(joint: &Joint, mismatch: Option<String>) -> Option<Words> {
    if joint.wps.is_none() {
        return Some(
            Words::default()
                .strong("No welding procedure is named: ")
                .then("qualify one, or have a licensed person release the values above."),
        );
    }
    mismatch.map(|why| {
        Words::default()
            .strong("Procedure to be qualified: ")
            .then(format!("{why}. Have a licensed person release the values above, or change them."))
    })
}

/// The figures of one joint, as a card shows them.
struct OfJoint<'a> {
    planned: &'a Subject<'a>,
    owner: Owner,
}

impl OfJoint<'_> {
    fn text(&self, name: &str) -> Option<String> {
        self.planned.text(&self.owner, name)
    }

    /// In one unit: a card is narrow.
    fn plain(&self, name: &str) -> Option<String> {
        self.planned.plain(&self.owner, name)
    }

    /// The value itself, in the base unit.
    fn si(&self, name: &str) -> Option<f64> {
        self.planned.figures.named(&self.owner, name)?.value.quantity().map(Quantity::si)
    }

    /// A range in one unit, if it has both ends.
    fn narrow(&self, low: &str, high: &str) -> Option<String> {
        match (self.plain(low), self.plain(high)) {
            (Some(low), Some(high)) => Some(between(&low, &high)),
            _ => match (self.text(low), self.text(high)) {
                (Some(low), Some(high)) => Some(format!("{low} to {high}")),
                (Some(low), None) => Some(format!("at least {low}")),
                (None, Some(high)) => Some(format!("at most {high}")),
                (None, None) => None,
            },
        }
    }

    /// A setting, the range it may be read in, and the end of the range it lies near.
    fn setting(&self, [name, low, high]: [&str; 3]) -> Option<String> {
        let ends = self.si(name).zip(self.si(low)).zip(self.si(high));
        let end = ends.and_then(|((at, low), high)| near_end(at, low, high));
        let told = self.narrow(low, high);
        // The unit once, at the end.
        let unit_once = |value: String| told.as_ref().map_or(value.clone(), |r| bare(&value, r).to_owned());
        let value = self.plain(name).map(unit_once);
        let range =
            told.as_ref().map(|r| end.map_or_else(|| r.clone(), |end| format!("{r}, near the {end}")));
        together([value, range], "; ")
    }
}

/// What the procedure shields its arc with, where the joint does not say.
fn gas_of(book: Option<&Wps>) -> Option<String> {
    let gases: Vec<&str> = book?.gas.iter().map(|gas| &*gas.value.0).collect();
    (!gases.is_empty()).then(|| gases.join(" or "))
}

/// The limits of the cooling time the job states.
fn cooling(joint: &Joint) -> Option<String> {
    let [low, high] = [&joint.cooling_least, &joint.cooling_most].map(|limit| {
        limit.as_ref().map(|l| SECONDS.fine_enough(l.value.value.into()).shop(l.value.value.into()))
    });
    match (low, high) {
        (Some(low), Some(high)) => Some(between(&low, &high)),
        (Some(low), None) => Some(format!("at least {low}")),
        (None, high) => high.map(|high| format!("at most {high}")),
    }
}

/// Whether a position has a vertical part, so that its runs must be told a way.
fn asks_way(position: &str) -> bool {
    position::parse(position).0.iter().any(|p| p.needs(Progression::Up).contains(&Progression::Up.place()))
}

/// Numbers of the operations that touch a joint.
fn operations(planned: &Subject<'_>, joint: &str) -> String {
    let touch = planned.plan.operations.iter().filter(|o| o.works_on(joint));
    touch.map(|o| o.number.to_string()).collect::<Vec<_>>().join(", ")
}

/// Whether the part is turned under the torch (AWS A3.0: 1G and 1F of pipe, rotated):
/// it has no top, and quarters in turn are not what keeps it straight.
fn turned(joint: &Joint) -> bool {
    joint.position.as_ref().is_some_and(|p| p.0.contains("turned") || p.0.contains("rotated"))
}

/// Whence a seam round a tube is looked at: a knuckle's from its wheel.
fn seen_from(joint: &Joint) -> &'static str {
    if *joint.usage.value == *"knuckle" { "the wheel" } else { "the side the welder stands on" }
}

/// The end of its range a setting lies near: within a quarter of the width, where what an
/// arc drifts by leaves it soon. None of a range without width.
fn near_end(at: f64, low: f64, high: f64) -> Option<&'static str> {
    const NEAR: f64 = 0.25;
    let share = (at - low) / (high - low);
    if !share.is_finite() {
        None
    } else if share <= NEAR {
        Some("low end")
    } else if share >= 1.0 - NEAR {
        Some("high end")
    } else {
        None
    }
}

#[cfg(test)]
mod tests {
    use super::near_end;

    #[test]
    fn a_setting_near_an_end_of_its_range_says_which() {
        // 171 to 195 A: a quarter of the width is 6 A (by hand).
        for (at, end) in [
            (171.0, Some("low end")),
            (177.0, Some("low end")),
            (177.1, None),
            (183.0, None),
            (188.9, None),
            (189.0, Some("high end")),
            (196.0, Some("high end")),
        ] {
            assert_eq!(near_end(at, 171.0, 195.0), end, "{at}");
        }
        assert_eq!(near_end(1.0, 1.0, 1.0), None);
    }
}

//! The weld schedule: one card per joint.

use super::super::document::{Fact, WeldCard, Words};
use super::super::weld::strokes::with_joint;
use super::{Subject, signers, symbols};
use crate::job::model::Joint;
use crate::plan::symbol;
use crate::procedure::figures::Owner;

/// One card per joint of the job.
pub(super) fn cards(planned: &Subject<'_>) -> Vec<WeldCard> {
    planned.job.joint.iter().map(|j| card(planned, j)).collect()
}

fn card(planned: &Subject<'_>, joint: &Joint) -> WeldCard {
    let owner = Owner::Joint(joint.id.value.0.clone());
    let get = |name: &str| planned.text(&owner, name);
    let range = |low: &str, high: &str| match (get(low), get(high)) {
        (Some(low), Some(high)) => Some(format!("{low} to {high}")),
        (Some(low), None) => Some(format!("at least {low}")),
        (None, Some(high)) => Some(format!("at most {high}")),
        (None, None) => None,
    };
    let words = |t: &Option<crate::file::Located<crate::file::Text>>| t.as_ref().map(|t| t.value.0.clone());
    let fit = signers::for_joint(planned, joint);
    let rows: Vec<(&str, Option<String>)> = vec![
        ("process", words(&joint.process)),
        ("filler", words(&joint.filler)),
        ("gas", joint.gas.as_ref().map(|t| t.0.clone())),
        ("procedure", fit.procedure.or_else(|| Some("to be qualified".to_owned()))),
        ("may weld it", fit.welders),
        ("machines", fit.machines),
        ("position", joint.position.as_ref().map(|t| t.0.clone())),
        ("preheat, at least", get("preheat")),
        ("interpass, at most", get("interpass_max")),
        ("amps", get("amps")),
        ("volts", get("volts")),
        ("travel", get("travel")),
        ("heat input", get("heat_input")),
        ("heat input window", range("heat_input_low", "heat_input_high")),
        ("throat", get("throat")),
        ("least leg allowed", get("size_min")),
        ("undercut, at most", get("undercut_limit")),
        ("inspection", joint.inspection.as_ref().map(|t| t.0.clone())),
        ("accepted to", Some(joint.acceptance.word().replace("aws d1.1", "AWS D1.1").replace("iso", "ISO"))),
        ("arc time, about", get("arc_time")),
        ("filler needed", get("filler")),
        ("wait between passes", get("wait")),
    ];
    // A line to write on only where the welder must know before the arc.
    const MUST: &[&str] =
        &["process", "filler", "preheat, at least", "amps", "volts", "travel", "inspection"];
    let facts = rows
        .into_iter()
        .filter_map(|(label, value)| match value {
            Some(value) => Some(Fact::new(label, value)),
            None if MUST.contains(&label) => Some(Fact::blank(label)),
            None => None,
        })
        .collect();
    let mut notes: Vec<Words> = Vec::new();
    notes.extend(get("preheat_method").map(|m| Words::plain(format!("Preheat governed by: {m}."))));
    notes.extend(get("sequence").map(|s| Words::plain(format!("Sequence: {s}"))));
    if let (Some(count), Some(length)) = (get("tack_count"), get("tack_length")) {
        notes.push(Words::plain(format!(
            "Tacks: {count}, each at least {length}, same preheat and filler as the weld; feather the ends."
        )));
    }
    if joint.wps.is_none() {
        notes.push(
            Words::default()
                .strong("No welding procedure is named: ")
                .then("qualify one, or have a licensed person release the values above."),
        );
    } else if let Some(why) = fit.mismatch {
        notes.push(
            Words::default()
                .strong("Procedure to be qualified: ")
                .then(format!("{why}. Have a licensed person release the values above, or change them.")),
        );
    }
    if joint.traceable {
        notes.push(Words::plain(
            "Write the heat numbers of both parts and the lot of the filler before the arc.",
        ));
    }
    notes.extend(joint.note.iter().map(|n| Words::plain(n.0.clone())));
    WeldCard {
        id: joint.id.value.to_string(),
        title: joint.title.0.clone(),
        symbol: symbol(planned.job, planned.figures, joint),
        drawing: Some(with_joint(&symbols::of(planned, joint), joint.form)),
        operations: operations(planned, &joint.id.value),
        facts,
        notes,
        // What is read at the joint stands here once the operations are worded.
        boxes: Vec::new(),
    }
}

/// Numbers of the operations that touch a joint.
fn operations(planned: &Subject<'_>, joint: &str) -> String {
    let touch = planned.plan.operations.iter().filter(|o| o.works_on(joint));
    touch.map(|o| o.number.to_string()).collect::<Vec<_>>().join(", ")
}

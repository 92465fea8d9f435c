//! A job's figures for machines.

use serde_json::{Value as Json, json};

use super::plan::Loaded;
use super::reckon::machine::{figure_json, inputs_json};
use crate::figure::{Figure, Used};
use crate::job::model::Units;
use crate::procedure::catalogue::{component, fastener, joint, side};
use crate::procedure::figures::{JobFigure, JobFigures, Missing};
use crate::quantity::Style;

/// Figures a lead looks at first, by job name.
pub const FIRST: &[&str] = &[
    component::lift.name(),
    component::pinion_target.name(),
    component::housing_turn.name(),
    component::joint_pinion_after.name(),
    component::joint_case_after.name(),
    side::knuckle_rotation.name(),
    side::mark_arc.name(),
    component::finder_verdict.name(),
    component::depth_stop.name(),
    component::wheelbase_left.name(),
    component::approach_after.name(),
    component::stability_after.name(),
    component::wind_up_change.name(),
    component::spring_rate_after.name(),
    component::highest_speed.name(),
    component::joint_residual.name(),
    joint::size.name(),
    joint::preheat.name(),
    joint::heat_by_code.name(),
    joint::heat_counted.name(),
    fastener::torque.name(),
];

/// Every figure and everything missing, as JSON; the shape is documented in
/// `DEVELOPERS.md`.
#[must_use]
pub fn json(loaded: &Loaded) -> Json {
    of(&loaded.figures, &loaded.job.job.number.value, &loaded.job.job.revision)
}

/// A figure's value in words, with the units the job wants first.
#[must_use]
pub fn show(loaded: &Loaded, figure: &Figure) -> String {
    figure.value.show_with(style(loaded, figure))
}

/// Its uncertainty with what it holds, in the same units; empty without one.
#[must_use]
pub fn spread(loaded: &Loaded, figure: &Figure) -> String {
    figure.show_spread(style(loaded, figure)).map_or_else(String::new, |spread| format!("  {spread}"))
}

/// An input of it in words, the same units first.
#[must_use]
pub fn input(loaded: &Loaded, used: &Used) -> String {
    match loaded.job.job.units {
        Units::Metric => used.show_metric(),
        Units::Inch => used.show(),
    }
}

fn style(loaded: &Loaded, figure: &Figure) -> Option<Style> {
    figure.style.map(|style| loaded.job.job.units.first(style))
}

/// The same for given figures.
#[must_use]
pub fn of(figures: &JobFigures, number: &str, revision: &str) -> Json {
    let row = |row: &JobFigure| {
        let mut object = json!({
            "owner": row.owner.words(),
            "name": if row.name.is_empty() { Json::Null } else { json!(row.name) },
            "family": row.figure.family,
        });
        if let (Some(target), Json::Object(figure)) = (object.as_object_mut(), figure_json(&row.figure)) {
            target.extend(figure);
            target.insert("inputs".to_owned(), inputs_json(&row.figure.inputs));
            target.insert("warnings".to_owned(), json!(row.figure.warnings));
        }
        object
    };
    let mut all = json!({ "number": number, "revision": revision });
    // Put in as it is: within the words above, the whole list would be copied.
    all["figures"] = Json::Array(figures.rows.iter().map(row).collect());
    let missing = figures
        .missing
        .iter()
        .map(|m| json!({ "owner": m.owner.words(), "names": m.names, "needs": m.needs, "why": m.why }));
    all["missing"] = Json::Array(missing.collect());
    all
}

/// What stays uncomputed, said once for each owner and reason: whose, why, and
/// what it costs, the numbers that will not stand on the paper.
#[must_use]
pub fn still_open(missing: &[Missing]) -> Vec<(String, String, Vec<&'static str>)> {
    let mut rows: Vec<(String, String, Vec<&'static str>)> = Vec::new();
    for one in missing {
        let owner = one.owner.words();
        // The owner stands in front; its keys need not say it again.
        let why = one.why.replace(&format!(" ({owner})"), "");
        let names = one.names.iter().filter_map(|n| title(&one.owner, n));
        match rows.iter_mut().find(|row| row.0 == owner && row.1 == why) {
            Some(row) => row.2.extend(names),
            None => rows.push((owner, why, names.collect())),
        }
    }
    for row in &mut rows {
        let mut said = std::collections::BTreeSet::new();
        row.2.retain(|name| said.insert(*name));
    }
    rows
}

/// What a person calls a job figure of an owner.
fn title(owner: &crate::procedure::figures::Owner, name: &str) -> Option<&'static str> {
    crate::procedure::catalogue::find(owner.scope(), name).map(|n| n.title)
}

//! A job's figures for machines.

use serde_json::{Value as Json, json};

use super::plan::Loaded;
use super::reckon::machine::{figure_json, inputs_json};
use crate::figure::Figure;
use crate::job::model::Units;
use crate::procedure::catalogue::{component, fastener, joint, side};
use crate::procedure::figures::JobFigures;

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
    component::critical_speed.name(),
    component::joint_residual.name(),
    joint::size.name(),
    joint::preheat.name(),
    joint::heat_input.name(),
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
    let style = figure.style.map(|s| match loaded.job.job.units {
        Units::Metric => s.metric_first(),
        Units::Inch => s,
    });
    figure.value.show_with(style)
}

/// The same for given figures.
#[must_use]
pub fn of(figures: &JobFigures, number: &str, revision: &str) -> Json {
    json!({
        "number": number,
        "revision": revision,
        "figures": figures.rows.iter().map(|row| {
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
        }).collect::<Vec<_>>(),
        "missing": figures.missing.iter().map(|m| json!({
            "owner": m.owner.words(), "names": m.names, "needs": m.needs, "why": m.why,
        })).collect::<Vec<_>>(),
    })
}

pub use crate::procedure::figures::Missing;

/// What a person calls a job figure of an owner.
#[must_use]
pub fn title(owner: &crate::procedure::figures::Owner, name: &str) -> Option<&'static str> {
    crate::procedure::catalogue::find(owner.scope(), name).map(|n| n.title)
}

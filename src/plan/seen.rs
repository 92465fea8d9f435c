//! What texts see of a job, made once and shared by all of them.

use std::collections::BTreeMap;

use minijinja::value::Value;

use super::symbol;
use crate::job::JobFile;
use crate::job::model::{Component, Fastener, Joint};
use crate::procedure::figures::{Context, JobFigures};
use crate::procedure::selected::Selection;
use crate::term::Side;

/// Components, sides, joints and fastener groups as values.
pub(super) struct Seen {
    components: BTreeMap<String, Context>,
    sides: BTreeMap<(String, Side), Context>,
    joints: BTreeMap<String, Value>,
    fasteners: BTreeMap<String, Value>,
    has: Value,
}

impl Seen {
    pub(super) fn new(job: &JobFile, figures: &JobFigures, selection: &Selection<'_>) -> Self {
        let side = |component: Component<'_>, side: Side| {
            let mut context = Context::new();
            figures.add_side(job, component.id(), side, &mut context);
            ((component.id().to_owned(), side), context)
        };
        Self {
            components: job.components().map(|c| (c.id().to_owned(), figures.context(job, c))).collect(),
            sides: job.components().flat_map(|c| Side::BOTH.map(|s| side(c, s))).collect(),
            joints: job
                .joint
                .iter()
                .map(|j| (j.id.0.clone(), figures.joint(job, j, &symbol(job, figures, j))))
                .collect(),
            fasteners: job.fastener.iter().map(|f| (f.id.0.clone(), figures.fastener(job, f))).collect(),
            has: Value::from_iter(selection.operations.iter().map(|o| o.id.as_str())),
        }
    }

    /// What texts about a component see.
    pub(super) fn component(&self, id: &str) -> Option<&Context> {
        self.components.get(id)
    }

    /// What texts about a side see besides.
    pub(super) fn side(&self, id: &str, side: Side) -> Context {
        self.sides.get(&(id.to_owned(), side)).cloned().unwrap_or_default()
    }

    pub(super) fn joint(&self, joint: &Joint) -> Value {
        self.joints.get(&*joint.id.0).cloned().unwrap_or_default()
    }

    pub(super) fn fastener(&self, fastener: &Fastener) -> Value {
        self.fasteners.get(&*fastener.id.0).cloned().unwrap_or_default()
    }

    /// Ids of what is done in this job: a hold signs nothing that no operation proves.
    pub(super) fn has(&self) -> Value {
        self.has.clone()
    }
}

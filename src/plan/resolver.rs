//! What the operations of a plan are resolved with: where they look, who writes their
//! texts, and the points counted so far.

use std::collections::BTreeMap;

use super::basis::Basis;
use super::joint::asked;
use super::model::{Caution, Joint, Point, RestsOn};
use super::seen::Seen;
use super::symbol;
use super::text::Writer;
use crate::diagnostic::Report;
use crate::job::model::{Joint as JobJoint, Role};
use crate::procedure::figures::Context;
use crate::procedure::file::{CautionRow, PointRow};
use crate::procedure::selected::Selected;
use crate::term::{Moment, PointKind};

/// Resolves one operation after the other, counting points on the way.
pub(super) struct Resolver<'a> {
    pub(super) basis: Basis<'a>,
    pub(super) seen: Seen,
    pub(super) writer: Writer,
    counts: BTreeMap<PointKind, u32>,
    pub(super) report: Report,
}

impl<'a> Resolver<'a> {
    /// Nothing resolved yet.
    pub(super) fn new(basis: Basis<'a>) -> Self {
        Self {
            basis,
            seen: Seen::new(basis.job, basis.figures, basis.selection),
            writer: Writer::new(basis.job.job.units, basis.texts),
            counts: BTreeMap::new(),
            report: Report::new(),
        }
    }

    /// The next number of a kind, through the whole plan.
    pub(super) fn number(&mut self, kind: PointKind) -> String {
        let count = self.counts.entry(kind).or_default();
        *count += 1;
        format!("{}{count}", kind.letter())
    }

    pub(super) fn plain(
        &mut self,
        text: &crate::file::Located<crate::file::Text>,
        context: &Context,
    ) -> String {
        self.writer.plain(text, context, &mut self.report)
    }

    pub(super) fn joints(&self, joints: &[&JobJoint]) -> Vec<Joint> {
        let Basis { job, figures, book, .. } = self.basis;
        let one = |j: &&JobJoint| {
            let symbol = symbol(job, figures, j);
            Joint {
                id: j.id.value.to_string(),
                title: j.title.0.clone(),
                asked: asked(j, &symbol, book),
                symbol,
                wps: j.wps.as_ref().map(|w| w.value.to_string()),
            }
        };
        joints.iter().map(one).collect()
    }

    /// What the figures want settled at this place of the operation, all of it under one
    /// signature of a lead; behind the points that stand there already.
    pub(super) fn settled(&mut self, selected: &Selected<'_>, here: Moment, there: usize) -> Vec<Point> {
        let concerns = if selected.settles == here { &*selected.concerns } else { &[] };
        if concerns.is_empty() {
            return Vec::new();
        }
        // What stands in the step above is not said twice.
        let subjects: Vec<&str> = concerns.iter().map(|c| subject(c)).collect();
        let what = match here {
            Moment::After => format!(
                "{} settled. How is written above; nothing of {} is open.",
                subjects.join(", "),
                if subjects.len() > 1 { "them" } else { "it" }
            ),
            Moment::Before => concerns.join(" "),
        };
        vec![Point {
            slot: slot(here, there),
            number: self.number(PointKind::Hold),
            kind: PointKind::Hold,
            moment: here,
            roles: vec![Role::Lead],
            what,
            meaning: "settled, and how is written; released for the work".to_owned(),
            rule: None,
            joints: Vec::new(),
            rests_on: RestsOn::default(),
        }]
    }

    pub(super) fn caution(&mut self, row: &CautionRow, context: &Context) -> Caution {
        Caution {
            signal: row.signal,
            hazard: self.plain(&row.hazard, context),
            consequence: self.plain(&row.consequence, context),
            avoid: self.plain(&row.avoid, context),
        }
    }

    pub(super) fn point(
        &mut self,
        row: &PointRow,
        place: usize,
        joints: &[&JobJoint],
        context: &Context,
    ) -> Point {
        Point {
            slot: slot(row.moment, place),
            number: self.number(row.kind),
            kind: row.kind,
            moment: row.moment,
            roles: [row.role].into_iter().chain(row.second).collect(),
            what: self.plain(&row.what, context),
            meaning: self.plain(&row.meaning, context),
            rule: row.rule.as_ref().map(|r| r.value.to_string()),
            joints: joints.iter().map(|j| j.id.value.to_string()).collect(),
            rests_on: RestsOn::default(),
        }
    }
}

/// The place of a point in its operation.
pub(super) fn slot(moment: Moment, place: usize) -> String {
    format!("{moment}.{}", place + 1)
}

/// What a concern is about: the words before its first full stop.
pub(super) fn subject(concern: &str) -> &str {
    concern.split_once('.').map_or(concern, |(subject, _)| subject)
}

//! An operation the job brings itself, resolved. Its texts are data: nothing in
//! them is evaluated.

use super::Words;
use super::model::{Caution, Operation, Point, RestsOn, Step};
use super::resolver::{Resolver, slot};
use super::step::{Block, settled};
use crate::file::{Located, Text};
use crate::job::model::{OwnOperation, OwnReading};
use crate::procedure::file::{ReadingKind, ReadingRow, Section, ShowsRow};
use crate::procedure::selected::Selected;
use crate::term::{Level, Moment, PointKind, Signal};

impl<'a> Resolver<'a> {
    /// An operation the job brings itself.
    pub(super) fn own(&mut self, selected: &'a Selected<'a>, own: &OwnOperation) -> Operation {
        let job = self.basis.job;
        let on = |id: &str| selected.components.iter().any(|c| c.id() == id);
        let joints = own.joints.as_ref().map_or_else(Vec::new, |usage| {
            job.joint.iter().filter(|j| j.usage.value == usage.value && on(&j.on.value)).collect()
        });
        let fasteners = own.fasteners.as_ref().map_or_else(Vec::new, |usage| {
            job.fastener.iter().filter(|f| f.usage.value == usage.value && on(&f.on.value)).collect()
        });
        let block = Block { selected, joints, fasteners };
        let mut before = self.releases(selected, Moment::Before, 0);
        before.extend(self.settled(selected, Moment::Before, before.len()));
        let mut after = self.settled(selected, Moment::After, 0);
        after.extend(self.releases(selected, Moment::After, after.len()));
        if let Some(what) = &own.hold {
            let (moment, points) =
                if own.hold_before { (Moment::Before, &mut before) } else { (Moment::After, &mut after) };
            points.push(Point {
                slot: slot(moment, points.len()),
                number: self.number(PointKind::Hold),
                kind: PointKind::Hold,
                moment,
                roles: vec![own.hold_role],
                what: what.to_string(),
                meaning: "checked and released".to_owned(),
                rule: own.hold_rule.map(|r| r.word().to_owned()),
                joints: block.joints.iter().map(|j| j.id.value.to_string()).collect(),
                rests_on: RestsOn::default(),
            });
        }
        Operation {
            number: 0,
            key: String::new(),
            id: String::new(),
            on: Vec::new(),
            verb: own.verb,
            title: own.title.0.clone(),
            station: own.station,
            minutes: own.minutes,
            role: Some(own.role),
            qualification: None,
            level: Level::default(),
            deferred: false,
            fresh_page: false,
            acts: own.acts().iter().map(|a| a.word().to_owned()).collect(),
            joints: self.joints(&block.joints),
            fasteners: block.fasteners.iter().map(|f| f.id.value.to_string()).collect(),
            drawings: Vec::new(),
            sheets: Vec::new(),
            tools: own.tool.iter().map(|t| t.0.clone()).collect(),
            materials: Vec::new(),
            builds_on: Vec::new(),
            follows: Vec::new(),
            card: None,
            lets_go: false,
            by_signature: false,
            before,
            cautions: own
                .caution
                .iter()
                .map(|text| Caution {
                    signal: Signal::Caution,
                    hazard: text.0.clone(),
                    consequence: String::new(),
                    avoid: String::new(),
                })
                .collect(),
            steps: self.own_steps(&block, own),
            after,
        }
    }

    fn own_steps(&mut self, block: &Block<'a>, own: &OwnOperation) -> Vec<Step> {
        let mut steps = Self::testers(block.selected);
        for text in &own.step {
            let number = u32::try_from(steps.len()).map_or(u32::MAX, |n| n + 1);
            steps.push(plain_step(number, &text.0));
        }
        if !own.reading.is_empty() {
            let number = u32::try_from(steps.len()).map_or(u32::MAX, |n| n + 1);
            let context = self.context(block);
            let rows: Vec<ReadingRow> = own.reading.iter().map(row).collect();
            let readings = self.readings(block, &rows, &context);
            steps.push(Step { level: Level::Control, readings, ..plain_step(number, "Write down.") });
        }
        steps.extend(self.released(block.selected));
        settled(block.selected, &mut steps);
        steps
    }
}

fn plain_step(number: u32, text: &str) -> Step {
    Step {
        number,
        level: Level::default(),
        by: None,
        by_signature: false,
        cautions: Vec::new(),
        text: Words::plain(text.to_owned()),
        readings: Vec::new(),
        derived: Vec::new(),
        table: None,
    }
}

/// A reading of the job's own as a row of a procedure.
fn row(own: &OwnReading) -> ReadingRow {
    let told = |text: &str| Located {
        value: Text(plainly(text)),
        span: own.id.span.clone(),
        key: own.id.key.clone(),
    };
    ReadingRow {
        id: own.id.clone(),
        label: told(&own.label),
        kind: own.kind,
        each: None,
        target: own.target.clone(),
        plus: own.plus.clone(),
        minus: own.minus.clone(),
        least: own.least.clone(),
        most: own.most.clone(),
        instrument: own.instrument.as_ref().map(|i| told(i)),
        replaces: None,
        table: None,
        level: None,
        kept: None,
        choices: Vec::new(),
        apart: None,
        near: None,
        not_below: Vec::new(),
        after_arc: None,
        since_arc: None,
        dated: None,
        usual: None,
        shows: told_row(own, told(&own.label)),
        // With a limit above only, an angle is how far off it is.
        signed: own.signed.or_else(|| (own.most.is_some() && own.least.is_none()).then_some(false)),
        span: own.span.clone(),
    }
}

/// What the job has judged in work of its own, a customer reads by the name the job gives it.
fn told_row(own: &OwnReading, row: Located<Text>) -> Option<ShowsRow> {
    let limited = own.least.is_some() || own.most.is_some() || own.plus.is_some() || own.minus.is_some();
    (limited && own.kind != ReadingKind::Text).then(|| ShowsRow {
        row,
        section: Section::Values,
        side: None,
        came: false,
        on_stands: false,
        before: None,
        planned: None,
        height: None,
        span: own.span.clone(),
    })
}

/// A text of the job as a template that gives just that text.
fn plainly(text: &str) -> String {
    text.replace('{', "{{ \"{\" }}")
}

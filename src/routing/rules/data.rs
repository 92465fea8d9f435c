//! Rules written as data, and their interpreter.
//!
//! A shop adds a rule of its own without a line of code: what sets it off
//! (acts, places), and what must be so (states false, acts or holds before and
//! after). Most built-in rules are written in the same way.

use serde::Deserialize;

use super::view::View;
use super::{Hit, parts};
use crate::routing::problem::{Moment, Operation, PointKind, State};

/// A rule as plain data.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct DataRule {
    /// Stable id, kebab-case.
    pub id: String,
    /// What it asks, one line.
    pub title: String,
    /// Printed as help where it is broken.
    pub reason: String,
    /// How to satisfy it.
    pub satisfy: String,
    /// Where it comes from.
    #[serde(default)]
    pub source: String,
    /// It looks at operations that do any of these acts.
    pub when_acts: Vec<String>,
    /// And work at any of these parts or classes of part (`steering`,
    /// `suspension`, `brake`); empty means anywhere. An operation that names no
    /// place counts as working there.
    #[serde(default)]
    pub at: Vec<String>,
    /// Narrows the places down: only work within reach of the heat of any of
    /// these parts counts. Work at a hanger is a suspension weld, but far from
    /// the bearings of the axle.
    #[serde(default)]
    pub near: Vec<String>,
    /// Names of states that must be false at its turn, on its component or the unit.
    #[serde(default)]
    pub forbid_states: Vec<String>,
    /// Each of these must come before it.
    #[serde(default)]
    pub require_before: Vec<Wanted>,
    /// Each of these must come after it, before hand-over.
    #[serde(default)]
    pub require_after: Vec<Wanted>,
    /// None of these acts may come before it nearby.
    #[serde(default)]
    pub forbid_before: Vec<String>,
    /// None of these acts may come after it nearby.
    #[serde(default)]
    pub forbid_after: Vec<String>,
}

/// Something a rule wants before or after an operation: one of an act or a hold.
#[derive(Debug, Clone, Default, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Wanted {
    /// An operation nearby that does this.
    #[serde(default)]
    pub act: Option<String>,
    /// A hold point tagged with this rule word.
    #[serde(default)]
    pub hold: Option<String>,
    /// A hold without a tag on the operation itself counts as well.
    #[serde(default)]
    pub own: bool,
}

impl Wanted {
    /// A tagged hold.
    #[must_use]
    pub fn hold(tag: &str) -> Self {
        Self { hold: Some(tag.to_owned()), ..Self::default() }
    }

    /// Any operation that does this, with a hold or without.
    #[must_use]
    pub fn act(act: &str) -> Self {
        Self { act: Some(act.to_owned()), ..Self::default() }
    }

    fn words(&self) -> String {
        match (&self.act, &self.hold) {
            (Some(act), Some(hold)) => format!("operation that does `{act}` or hold tagged `{hold}`"),
            (Some(act), None) => format!("operation that does `{act}`"),
            (None, Some(hold)) => format!("hold tagged `{hold}`"),
            (None, None) => "hold".to_owned(),
        }
    }
}

impl DataRule {
    /// What is wrong with the rule itself, if anything.
    #[must_use]
    pub fn flaw(&self) -> Option<String> {
        let blank =
            [("id", &self.id), ("title", &self.title), ("reason", &self.reason), ("satisfy", &self.satisfy)];
        if let Some((field, _)) = blank.into_iter().find(|(_, text)| text.trim().is_empty()) {
            return Some(format!("`{field}` is empty"));
        }
        if self.when_acts.is_empty() {
            return Some("`when_acts` names no act, so the rule looks at nothing".to_owned());
        }
        let wants = self.require_before.iter().chain(&self.require_after);
        if wants.clone().any(|w| w.act.is_none() && w.hold.is_none() && !w.own) {
            return Some("a wanted thing names neither `act` nor `hold`".to_owned());
        }
        let nothing = wants.count() == 0
            && self.forbid_states.is_empty()
            && self.forbid_before.is_empty()
            && self.forbid_after.is_empty();
        nothing.then(|| "it forbids nothing and requires nothing".to_owned())
    }

    /// Whether it looks at the operation.
    fn concerns(&self, view: &View<'_>, index: usize, op: &Operation) -> bool {
        let place = self.at.is_empty()
            || op.at.is_empty()
            || op.at.iter().any(|word| self.at.iter().any(|wanted| parts::is(word, wanted)));
        let reach = self.near.is_empty()
            || op.at.is_empty()
            || op.at.iter().any(|word| self.near.iter().any(|part| parts::in_reach(word, part)));
        place && reach && self.when_acts.iter().any(|act| view.does(index, act))
    }

    /// Operations it looks at, and where they break it.
    pub(super) fn check(&self, view: &View<'_>) -> (usize, Vec<Hit>) {
        let mut hits = Vec::new();
        let mut looked_at = 0;
        let mut now = view.problem.start();
        let barred: Vec<(usize, &State)> = view
            .problem
            .states()
            .iter()
            .enumerate()
            .filter(|(_, state)| self.forbid_states.iter().any(|name| named(state, name)))
            .collect();
        for (position, index, op) in view.turns() {
            if self.concerns(view, index, op) {
                looked_at += 1;
                for (_, state) in barred.iter().filter(|(i, state)| now[*i] && belongs(state, op)) {
                    hits.push(Hit::at(index, format!("{} runs while {} is true", op.name(), state.key)));
                }
                self.check_order(view, position, index, op, &mut hits);
            }
            for state in &op.clears {
                now[state.index()] = false;
            }
            for state in &op.provides {
                now[state.index()] = true;
            }
        }
        (looked_at, hits)
    }

    fn check_order(
        &self,
        view: &View<'_>,
        position: usize,
        index: usize,
        op: &Operation,
        hits: &mut Vec<Hit>,
    ) {
        for wanted in &self.require_before {
            if !has(view, position, index, op, wanted, Moment::Before) {
                hits.push(Hit::at(index, format!("{} has no {} before it", op.name(), wanted.words())));
            }
        }
        for wanted in &self.require_after {
            if !has(view, position, index, op, wanted, Moment::After) {
                hits.push(Hit::at(index, format!("{} has no {} after it", op.name(), wanted.words())));
            }
        }
        for (acts, side, word) in
            [(&self.forbid_before, Moment::Before, "before"), (&self.forbid_after, Moment::After, "after")]
        {
            let on_side = |p: usize| if side == Moment::Before { p < position } else { p > position };
            for (p, other, other_op) in view.turns() {
                if on_side(p) && acts.iter().any(|a| view.does(other, a)) && View::near(op, other_op) {
                    hits.push(Hit::at(index, format!("{} has {} {word} it", op.name(), other_op.name())));
                    break;
                }
            }
        }
    }
}

/// Whether what a rule wants is there, on the wanted side of the operation.
fn has(
    view: &View<'_>,
    position: usize,
    index: usize,
    op: &Operation,
    wanted: &Wanted,
    side: Moment,
) -> bool {
    let own_hold = |p: &crate::routing::problem::Point| {
        p.kind == PointKind::Hold && p.moment == side && p.rule.is_none()
    };
    if wanted.own && op.points.iter().any(own_hold) {
        return true;
    }
    if let Some(tag) = &wanted.hold
        && view.holds(index, tag).any(|hold| {
            let deferred = view.problem.operations()[hold.operation].deferred && !op.deferred;
            if side == Moment::Before {
                hold.is_before(position)
            } else {
                hold.is_after(position) && !deferred
            }
        })
    {
        return true;
    }
    let Some(act) = &wanted.act else { return false };
    view.turns().any(|(p, other, other_op)| {
        // An act of the operation itself counts: its steps are in order.
        let on_side = other == index
            || if side == Moment::Before {
                p < position
            } else {
                p > position && (!other_op.deferred || op.deferred)
            };
        on_side && view.does(other, act) && View::near(op, other_op)
    })
}

/// Whether the vocabulary name of a state is `name`, with or without `unit.`.
fn named(state: &State, name: &str) -> bool {
    let bare = |n: &str| n.strip_prefix("unit.").unwrap_or(n).to_lowercase();
    bare(&state.name) == bare(name)
}

/// Whether a state lies on the component of the operation, or on the unit.
fn belongs(state: &State, op: &Operation) -> bool {
    op.whole_unit() || state.component.as_ref().is_none_or(|c| *c == op.component)
}

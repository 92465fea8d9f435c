//! Operations of the job's own in the order that was found: hot work lies under the
//! hot-work card, and what an operation touches is still looked at behind it. The
//! procedures say both with their states; an own operation says neither, so the order
//! is asked.
//!
//! Source: 29 CFR 1910.252(a)(2), precautions before cutting and welding; common
//! practice for the rest: who changes something has it inspected afterwards.

use super::problem::{Operation, Problem};
use super::rules::view::View;
use crate::diagnostic::{Diagnostic, Report};
use crate::job::check::loosens;
use crate::job::model::{Act, HoldRule, OwnOperation, Station, Verb};
use crate::procedure::selected::{Selected, Selection, What};

/// State under which sparks and arcs are allowed.
const CARD: &str = "unit.hot-work";

/// States behind which nothing is heated any more: the shop has declared the hot work
/// over, the coat is on, the inspector has released.
const COLD: &[(&str, &str)] = &[
    ("unit.work-done", "the last heat is declared over"),
    ("weldment.finished", "the weldment is coated"),
    ("weldment.released", "the weldment is released"),
    ("unit.released", "the unit is released for the road"),
];

/// State in which the unit can be worked on.
const SAFE: &str = "unit.protected";

/// Acts that throw sparks or put heat in.
const HOT: &[Act] = &[Act::Arc, Act::Tack, Act::Heat, Act::Grind];

/// Acts after which a part is another.
const CHANGES: &[Act] = &[Act::CutPermanent, Act::Loosen, Act::Torque];

/// Whether it changes what it works on.
fn changes(own: &OwnOperation) -> bool {
    let acts = own.acts();
    let verb = matches!(
        own.verb,
        Verb::Strip
            | Verb::Cut
            | Verb::Rotate
            | Verb::Tack
            | Verb::Weld
            | Verb::Torque
            | Verb::Fit
            | Verb::Assemble
    );
    verb || acts.iter().any(|act| HOT.contains(act) || CHANGES.contains(act))
}

/// Whether an operation of the library looks at what was done before it.
fn looks(selected: &Selected<'_>) -> bool {
    let What::Library(library) = selected.what else { return false };
    let verb = matches!(library.row.verb, Verb::Inspect | Verb::Verify | Verb::Test);
    !library.row.deferred && (verb || selected.what.acts().contains(&"accept"))
}

/// Asks where the job's own operations lie in an order of the work.
#[must_use]
pub fn check(selection: &Selection<'_>, problem: &Problem, order: &[usize]) -> Report {
    let mut report = Report::new();
    let mut now = problem.start();
    for (position, index) in order.iter().enumerate() {
        let (Some(op), Some(selected)) = (problem.operations().get(*index), selection.operations.get(*index))
        else {
            continue;
        };
        if let What::Own(own) = selected.what {
            let turn = Turn { selection, problem, order, position, op, own };
            turn.hot(&now, &mut report);
            turn.accepted(&now, &mut report);
            turn.seen(&mut report);
            turn.safe(&now, &mut report);
            turn.tight(&mut report);
        }
        op.clears.iter().for_each(|state| now[state.index()] = false);
        op.provides.iter().for_each(|state| now[state.index()] = true);
    }
    report
}

/// An own operation at its turn.
struct Turn<'a> {
    selection: &'a Selection<'a>,
    problem: &'a Problem,
    order: &'a [usize],
    position: usize,
    op: &'a Operation,
    own: &'a OwnOperation,
}

impl Turn<'_> {
    /// Sparks and heat under the card alone, and before the last heat is declared over.
    fn hot(&self, now: &[bool], report: &mut Report) {
        let Some(act) = self.own.acts().into_iter().find(|act| HOT.contains(act)) else { return };
        let card = self.problem.states().iter().position(|s| s.name == CARD);
        let late = self.cold(now);
        let (why, expected, example) = match card {
            None => (
                "no operation of this job opens a hot-work card".to_owned(),
                "hot work under a procedure that protects the unit and opens the card; `tackwright new --list` names them, and a shop adds its own with --procedures".to_owned(),
                "[[work]]\nprocedure = \"weldment\"".to_owned(),
            ),
            Some(card) if now.get(card).copied().unwrap_or(false) && late.is_none() => return,
            Some(_) => {
                let why = late.map_or_else(|| "the hot-work card is not open".to_owned(), str::to_owned);
                (
                    format!("{why} at its turn"),
                    "a place behind the operation that opens the card and before the one that closes it".to_owned(),
                    self.window(),
                )
            }
        };
        report.push(
            self.put(Diagnostic::stop(
                "J221",
                format!("operation \"{}\" works with {}, and {why}", self.own.id.value, heat(act)),
            ))
            .expected(expected)
            .example(example)
            .help("29 CFR 1910.252(a)(2): no hot work before its precautions are taken"),
        );
    }

    /// Why nothing may be heated any more at its turn.
    fn cold(&self, now: &[bool]) -> Option<&'static str> {
        self.problem.states().iter().enumerate().find_map(|(i, state)| {
            let words = COLD.iter().find(|(name, _)| state.name == *name)?.1;
            let here =
                self.op.whole_unit() || state.component.as_ref().is_none_or(|c| *c == self.op.component);
            (here && now.get(i).copied().unwrap_or(false)).then_some(words)
        })
    }

    /// A weld is accepted while a rejected one can still be made again: not behind the last
    /// heat, with bearings in or after the road.
    fn accepted(&self, now: &[bool], report: &mut Report) {
        let own = self.own;
        let accepts = own.acts().contains(&Act::Accept) || own.hold_rule == Some(HoldRule::Acceptance);
        let Some(late) = self.cold(now).filter(|_| accepts && own.joints.is_some()) else { return };
        let closes = self.closes().unwrap_or_else(|| "…".to_owned());
        report.push(
            self.put(Diagnostic::stop(
                "J280",
                format!("operation \"{}\" accepts welds, and {late} at its turn", own.id.value),
            ))
            .expected("a place before the last heat is over: a rejected weld is made again")
            .example(format!("before = [\"{closes}\"]"))
            .help("if they were accepted before and this is another look, write beside it: sure = \"why it is right\"")
            .unless_sure(own.sure.as_deref()),
        );
    }

    /// The operation that closes the hot-work card.
    fn closes(&self) -> Option<String> {
        let clears = |s: &&Selected<'_>| s.clears.iter().any(|n| n == CARD);
        self.selection.operations.iter().find(clears).map(|s| s.key.clone())
    }

    /// What is changed is looked at once more before the unit leaves.
    fn seen(&self, report: &mut Report) {
        if !changes(self.own) {
            return;
        }
        let at = |position: usize| self.order.get(position).and_then(|i| self.selection.operations.get(*i));
        let near = |position: usize| {
            let other = self.order.get(position).and_then(|i| self.problem.operations().get(*i));
            other.is_some_and(|other| View::same_component(self.op, other))
        };
        let looking = |position: &usize| near(*position) && at(*position).is_some_and(looks);
        let gone = (0..self.position)
            .filter_map(at)
            .any(|s| matches!(s.what, What::Library(l) if l.row.verb == Verb::HandOver));
        // A nut is proved again after the first run on the road, by its number.
        if gone && self.own.verb == Verb::Torque && !self.own.reading.is_empty() {
            return;
        }
        let own =
            self.own.hold.is_some() && !self.own.hold_before && self.own.hold_role != self.own.role && !gone;
        if own || (self.position + 1..self.order.len()).any(|p| looking(&p)) {
            return;
        }
        let last = (0..self.position).rev().find(looking).and_then(at);
        report.push(
            self.put(Diagnostic::stop(
                "J222",
                format!(
                    "operation \"{}\" changes what nobody looks at afterwards: {}",
                    self.own.id.value,
                    if gone { "it lies behind the hand-over" } else { "it lies behind the last inspection" }
                ),
            ))
            .expected("a place before an inspection of what it touches, or a hold of its own that somebody else signs")
            .example(last.map_or_else(
                || "hold = \"…\" and hold_role = \"inspector\"".to_owned(),
                |s| format!("before = [\"{}\"]", s.key),
            )),
        );
    }

    /// What moves or changes a part before the unit is made safe, or after it has been
    /// tried on the road or released, says by its acts or parts what it touches: no list
    /// of words knows every way to say it.
    fn safe(&self, now: &[bool], report: &mut Report) {
        let own = self.own;
        let says = !own.act.is_empty() || !own.removes.is_empty() || !own.refits.is_empty();
        if says || !changes(own) {
            return;
        }
        let safe = self.problem.states().iter().position(|s| s.name == SAFE);
        let makes = |s: &&Selected<'_>| s.provides.iter().any(|p| p == SAFE);
        let protects = self.selection.operations.iter().find(makes);
        let early = safe.zip(protects).filter(|(state, _)| !now.get(*state).copied().unwrap_or(false));
        let last = (0..self.position).filter_map(|p| self.at(p)).find(|s| self.releases(s));
        let (why, expected, example) = match (early, last) {
            (Some((_, protects)), _) => (
                "before the unit is made safe".to_owned(),
                "a place behind the operation that makes the unit safe, or what it does and takes off",
                format!("after = [\"{}\"]", protects.key),
            ),
            // A nut is proved again after the first run on the road, by its number.
            (None, Some(_)) if own.verb == Verb::Torque && !own.reading.is_empty() => return,
            (None, Some(last)) => (
                format!("behind \"{}\"", last.key),
                "a place before the unit is tried, accepted and released, or what it does and takes off",
                format!("before = [\"{}\"]", last.key),
            ),
            (None, None) => return,
        };
        report.push(
            self.put(Diagnostic::stop(
                "J226",
                format!("operation \"{}\" is \"{}\" work {why}", own.id.value, own.verb.word()),
            ))
            .expected(expected)
            .example(example)
            .help("if it is right there, say by act = [\"…\"] or removes = [\"…\"] what it touches, or write: sure = \"why it is right\"")
            .unless_sure(own.sure.as_deref()),
        );
    }

    /// Whether an operation of the library tries the unit, releases it, or accepts the
    /// joints this one works on.
    fn releases(&self, selected: &Selected<'_>) -> bool {
        let What::Library(library) = selected.what else { return false };
        let row = &library.row;
        let joints =
            self.own.joints.as_ref().is_some_and(|own| selected.what.joints().is_some_and(|j| j.0 == own.0));
        let here =
            self.own.on.as_ref().is_some_and(|on| selected.components.iter().any(|c| c.id() == &*on.0));
        row.verb == Verb::HandOver
            || row.verb == Verb::Test && row.station == Station::Road
            || selected.provides.iter().any(|p| p.ends_with(".released"))
            || joints && here && selected.what.acts().contains(&"accept")
    }

    /// What was tightened or fitted back is not loosened again unsaid.
    fn tight(&self, report: &mut Report) {
        let own = self.own;
        let acts = own.acts();
        let says =
            acts.iter().any(|a| matches!(a, Act::Loosen | Act::CutPermanent)) || !own.removes.is_empty();
        if says {
            return;
        }
        let Some(words) = loosens(own) else { return };
        let tightened = (0..self.position).rev().find(|p| {
            let Some(selected) = self.at(*p) else { return false };
            let other = self.order.get(*p).and_then(|i| self.problem.operations().get(*i));
            other.is_some_and(|other| {
                View::near(self.op, other)
                    && (selected.what.acts().contains(&"torque")
                        || other.verb == "torque"
                        || !other.refits.is_empty())
            })
        });
        let Some(before) = tightened.and_then(|p| self.at(p)) else { return };
        report.push(
            self.put(Diagnostic::stop(
                "J227",
                format!(
                    "operation \"{}\" says \"{words}\" behind \"{}\", and not what it takes off",
                    own.id.value, before.key
                ),
            ))
            .expected("the parts it takes off, and an operation that puts them back; or a place before what is tightened")
            .example(format!("removes = [\"…\"], or before = [\"{}\"]", before.key))
            .help("if nothing that holds is loosened, write beside it: sure = \"why it is right\"")
            .unless_sure(own.sure.as_deref()),
        );
    }

    /// The operation at a place of the order.
    fn at(&self, position: usize) -> Option<&Selected<'_>> {
        self.order.get(position).and_then(|i| self.selection.operations.get(*i))
    }

    /// What to write so that it lies under the card.
    fn window(&self) -> String {
        let provides = |s: &&Selected<'_>| s.provides.iter().any(|n| n == CARD);
        let opens = self.selection.operations.iter().find(provides);
        let opens = opens.map_or_else(|| "hot-work".to_owned(), |s| s.key.clone());
        match self.closes() {
            Some(closes) => format!("after = [\"{opens}\"] and before = [\"{closes}\"]"),
            None => format!("after = [\"{opens}\"]"),
        }
    }

    fn put(&self, problem: Diagnostic) -> Diagnostic {
        problem.at(Some(self.own.id.span.clone())).key(self.own.id.key.clone())
    }
}

/// An act that heats, in words.
const fn heat(act: Act) -> &'static str {
    match act {
        Act::Grind => "sparks",
        Act::Heat => "heat",
        _ => "an arc",
    }
}

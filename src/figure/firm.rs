//! Whether the words of an answer stand within the uncertainty of its inputs: a
//! verdict that its family does not guard by itself is asked again at the edges.

use super::answer::Row;
use super::family::{NOT_PROVEN, uncertain_inputs};
use super::{Answer, Family, Given, Value};

/// Uncertain inputs up to which every corner is tried.
const CORNERS: usize = 6;
/// Coverage factor of the edge.
const COVERAGE: f64 = 2.0;

impl Family {
    /// Warns of each word and each yes or no that would be another within the
    /// expanded uncertainty (k = 2) of the inputs, and of each utilisation that
    /// is not proven to be below 1. A claim among them does not stand. `plain` is the answer without guard bands:
    /// where a family's own guard changed it, the guard has done its work.
    pub(super) fn tell_unproven(&self, given: &Given, plain: &Answer, answer: &mut Answer) {
        if answer.said.settled() {
            return;
        }
        let edges = self.edges(given, plain);
        let guards = self.guards(given, plain);
        let mut told = Vec::new();
        for (at, Row { id, value, .. }) in answer.rows.iter_mut().enumerate() {
            if !matches!(value, Value::Word(_) | Value::Flag(_)) {
                continue;
            }
            let Some(output) = self.output(id) else { continue };
            // What its family leaves open is told by it, and has no second verdict.
            if open(value) {
                continue;
            }
            let claims = |value: &Value| output.is_claim(value);
            let decided = claims(value) || output.is_denial(value);
            let unguarded = plain.rows.get(at).filter(|row| row.id == *id);
            let judged = unguarded.is_some_and(|row| row.judged.is_some());
            let bare = unguarded.map(|row| &row.value);
            let guarded = judged || bare != Some(value) || guards.contains(id);
            if guarded && !decided {
                continue;
            }
            // A family's own guard may stand on one of several conditions only, and a
            // margin may shrink faster than in proportion: a claim is asked again all
            // the same. What the guard alone denies is not denied.
            let other = bare.into_iter().chain(edges.iter().filter_map(|edge| Some(&edge.row(id)?.value)));
            let other = other.filter(|found| letters(found) != letters(value));
            let other =
                other.filter(|found| !guarded || claims(found) != claims(value)).map(Value::show).next();
            let Some(other) = other else { continue };
            told.push(format!(
                "{}: not proven. Within the uncertainty stated it would be \"{other}\"; measure better, or keep further from the limit.",
                output.title
            ));
            if decided {
                *value = Value::word(NOT_PROVEN);
            }
        }
        for Row { id, value, .. } in &answer.rows {
            let share = value.quantity().filter(|_| id.ends_with("utilisation")).map(|q| q.si());
            let spread = answer.known.get(id).copied().unwrap_or(0.0);
            if share.is_some_and(|share| share <= 1.0 && share + spread > 1.0) {
                let title = self.output(id).map_or(*id, |o| o.title);
                told.push(format!(
                    "{title}: not proven to be below 1 within the uncertainty stated; measure better, or keep further from it."
                ));
            }
        }
        told.into_iter().for_each(|text| answer.said.warn(text));
    }

    /// Words a family guards by itself: those that would be others if everything
    /// were most uncertain.
    fn guards(&self, given: &Given, plain: &Answer) -> Vec<&'static str> {
        let wide = (0..plain.rows.len()).map(|at| (at, 1e12)).collect();
        let mut answer = Answer::knowing(plain, &wide);
        if (self.run)(given, &mut answer).is_err() {
            return Vec::new();
        }
        let other =
            |row: &&Row| plain.row(row.id).is_some_and(|plain| letters(&plain.value) != letters(&row.value));
        answer.rows.iter().filter(other).map(|row| row.id).collect()
    }

    /// Answers at the edges: each uncertain input alone, and all of them at once by
    /// equal shares, with what was decided held.
    fn edges(&self, given: &Given, plain: &Answer) -> Vec<Answer> {
        let inputs = uncertain_inputs(given);
        // At an edge a value is that one: a family's own guard is not added to it.
        let given = &inputs.iter().fold(given.clone(), |exact, (name, ..)| exact.exactly(name));
        let run = |given: &Given| {
            let mut edge = Answer::holding(plain);
            (self.run)(given, &mut edge).ok().map(|()| edge)
        };
        let mut edges = Vec::new();
        for (name, index, u) in &inputs {
            edges.extend([-COVERAGE, COVERAGE].iter().filter_map(|k| run(&given.moved(name, *index, k * u))));
        }
        if (2..=CORNERS).contains(&inputs.len()) {
            #[expect(clippy::cast_precision_loss, reason = "six at the most")]
            let share = COVERAGE / (inputs.len() as f64).sqrt();
            for corner in 0_u32..1 << inputs.len() {
                let mut at = given.clone();
                for (bit, (name, index, u)) in inputs.iter().enumerate() {
                    let sign = if corner >> bit & 1 == 1 { share } else { -share };
                    at = at.moved(name, *index, sign * u);
                }
                edges.extend(run(&at));
            }
        }
        edges
    }

    /// Inputs whose `±` reaches no result: neither an uncertainty nor a verdict
    /// nor a warning would be another without it.
    #[must_use]
    pub fn idle_spreads(&self, given: &Given) -> Vec<&'static str> {
        let mut names: Vec<&'static str> = uncertain_inputs(given).iter().map(|(name, ..)| *name).collect();
        names.dedup();
        let Ok(with) = self.reckon(given) else { return Vec::new() };
        names.retain(|name| {
            self.reckon(&given.exactly(name)).is_ok_and(|without| {
                with.len() == without.len()
                    && with
                        .iter()
                        .zip(&without)
                        .all(|(a, b)| a.id == b.id && a.value == b.value && a.warnings == b.warnings)
            })
        });
        names
    }
}

/// Whether a word says itself that nothing is decided.
fn open(value: &Value) -> bool {
    matches!(value, Value::Word(word) if word.starts_with("not judged") || word.contains(NOT_PROVEN))
}

/// What a verdict says, without the numbers in it.
fn letters(value: &Value) -> String {
    value.show().chars().filter(|c| c.is_alphabetic()).collect()
}

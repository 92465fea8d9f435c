//! Finds the readings that rules of other readings name: what they have to agree
//! with, and what values follow from.

use std::collections::{BTreeMap, BTreeSet};

use super::model::{Derived, On, Operation};
use crate::term::{Side, Take};

/// A reading, by operation key and id.
type Name = (String, String);

/// Ids of readings, and where an operation is done.
struct Known {
    key: String,
    id: String,
    on: Vec<On>,
    readings: Vec<String>,
}

/// Puts keys and ids in the place of the names of the procedure. What is not
/// there in this job is left out: nothing is compared with it.
pub(super) fn link(operations: &mut [Operation]) {
    let known: Vec<Known> = operations
        .iter()
        .map(|o| Known {
            key: o.key.clone(),
            id: o.id.clone(),
            on: o.on.clone(),
            readings: o.readings().map(|r| r.id.clone()).collect(),
        })
        .collect();
    for operation in operations.iter_mut() {
        let (key, on) = (operation.key.clone(), operation.on.clone());
        let find = |name: &(String, String)| all(&known, &key, &on, name);
        for step in &mut operation.steps {
            for reading in &mut step.readings {
                let below = reading.not_below.iter().flat_map(&find).collect();
                reading.not_below = below;
                let Some(near) = &mut reading.near else { continue };
                near.reading = near.reading.as_ref().and_then(|name| find(name).into_iter().next());
                if near.reading.is_none() && near.value.is_none() {
                    reading.near = None;
                }
            }
            step.derived = step.derived.iter().flat_map(|d| of(d, &find)).collect();
        }
    }
    needed(operations);
}

/// A reading another one is judged by counts as much as its step.
fn needed(operations: &mut [Operation]) {
    let steps = || operations.iter().flat_map(|o| &o.steps);
    let near = steps().flat_map(|s| &s.readings).filter_map(|r| r.near.as_ref()?.reading.clone());
    let limited = |d: &&Derived| d.least.is_some() || d.most.is_some();
    let derived = steps().flat_map(|s| &s.derived).filter(limited).flat_map(|d| d.of.clone());
    let below = steps().flat_map(|s| &s.readings).flat_map(|r| r.not_below.clone());
    let named: BTreeSet<(String, String)> = near.chain(derived).chain(below).collect();
    for operation in operations {
        for step in &mut operation.steps {
            for reading in &mut step.readings {
                if named.contains(&(operation.key.clone(), reading.id.clone())) {
                    reading.level = reading.level.max(step.level);
                }
            }
        }
    }
}

/// Every reading a name means: of this repetition, else the one that stands
/// once, else all repetitions.
fn all(known: &[Known], key: &str, on: &[On], name: &(String, String)) -> Vec<(String, String)> {
    let near = |k: &&Known| k.on.iter().any(|o| o.unit || on.iter().any(|mine| mine.unit || mine.id == o.id));
    let owner = if name.0.is_empty() {
        known.iter().find(|k| k.key == key)
    } else {
        known.iter().filter(|k| k.id == name.0).find(near)
    };
    let Some(owner) = owner else { return Vec::new() };
    let there = |id: &str| owner.readings.iter().any(|r| r == id);
    let base = name.1.split('.').next().unwrap_or_default();
    if let Some(one) = [name.1.as_str(), base].into_iter().find(|id| there(id)) {
        return vec![(owner.key.clone(), one.to_owned())];
    }
    let stem = format!("{}.", name.1);
    owner.readings.iter().filter(|r| r.starts_with(&stem)).map(|r| (owner.key.clone(), r.clone())).collect()
}

/// A derived value, once for each repetition its readings have.
fn of(derived: &Derived, find: &dyn Fn(&Name) -> Vec<Name>) -> Vec<Derived> {
    let found: Vec<Vec<Name>> = derived.of.iter().map(find).collect();
    if found.iter().any(Vec::is_empty) {
        return Vec::new();
    }
    if derived.take == Take::LeftMinusRight {
        let side = |side: Side| found.iter().flatten().find(|(_, id)| id.ends_with(side.word()));
        let both = Side::BOTH.map(side);
        let [Some(left), Some(right)] = both else { return Vec::new() };
        return vec![Derived { of: vec![left.clone(), right.clone()], ..derived.clone() }];
    }
    let times = found.iter().map(Vec::len).max().unwrap_or(1);
    if times == 1 {
        return vec![Derived { of: found.into_iter().flatten().collect(), ..derived.clone() }];
    }
    // Left with left, right with right; what stands once goes with each.
    let mut groups: BTreeMap<String, Vec<(String, String)>> = BTreeMap::new();
    for (_, id) in found.iter().flatten() {
        if let Some((_, suffix)) = id.split_once('.') {
            groups.entry(suffix.to_owned()).or_default();
        }
    }
    for (suffix, group) in &mut groups {
        for names in &found {
            let own = names.iter().find(|(_, id)| id.split_once('.').is_some_and(|(_, s)| s == suffix));
            group.extend(own.or_else(|| names.first().filter(|_| names.len() == 1)).cloned());
        }
    }
    groups
        .into_iter()
        .filter(|(_, group)| group.len() == found.len())
        .map(|(suffix, of)| Derived {
            id: format!("{}.{suffix}", derived.id),
            label: format!("{}, {suffix}", derived.label),
            of,
            ..derived.clone()
        })
        .collect()
}

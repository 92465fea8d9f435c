//! Points that were signed and no longer hold: what they rest on failed, was taken back,
//! started again or was called in question since.
//!
//! A signature stands in the log for good; what it says holds only while it could be given.
//! Each such point is named until what failed is decided by a lead, put right or entered
//! again; later holds, work that rests on it and closing wait for the same
//! (`held`, `gate`, `moved`).

use super::frozen::{Frozen, Operation, Point, PointKind};
use super::held::Undecided;
use super::moved::Lost;
use super::people::Register;
use super::rules::{Scene, short};
use super::state::State;

/// A point that was signed and no longer holds.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fallen {
    /// Key of its operation.
    pub key: String,
    /// Number of its operation on paper.
    pub operation: u32,
    /// Place in its operation.
    pub slot: String,
    /// Number on paper: `H4`.
    pub number: String,
    /// What kind of point it is.
    pub kind: PointKind,
    /// Entry of the signature, the last one if there are several.
    pub entry: u64,
    /// Who signed it last.
    pub by: String,
    /// What it rests on and does not stand, in words.
    pub why: Vec<String>,
}

impl Fallen {
    /// The whole sentence.
    #[must_use]
    pub fn words(&self) -> String {
        format!(
            "{} (operation {}, signed by {} in entry {}) no longer holds: {}",
            self.number,
            self.operation,
            self.by,
            self.entry,
            short(&self.why)
        )
    }
}

/// A reason why points no longer hold, with those points in the order of the work.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Cause<'a> {
    /// In words.
    pub why: &'a str,
    /// Their numbers on paper.
    pub points: Vec<&'a Fallen>,
}

impl Cause<'_> {
    /// Their numbers: `H1, H2 and R2`.
    #[must_use]
    pub fn named(&self) -> String {
        let numbers: Vec<&str> = self.points.iter().map(|one| one.number.as_str()).collect();
        match numbers.as_slice() {
            [rest @ .., last] if !rest.is_empty() => format!("{} and {last}", rest.join(", ")),
            few => few.concat(),
        }
    }
}

/// The reasons, each once: one bad reading makes many points fall.
#[must_use]
pub fn causes(all: &[Fallen]) -> Vec<Cause<'_>> {
    let mut causes: Vec<Cause<'_>> = Vec::new();
    for (one, why) in all.iter().flat_map(|one| one.why.iter().map(move |why| (one, why.as_str()))) {
        match causes.iter_mut().find(|cause| cause.why == why) {
            Some(cause) => cause.points.push(one),
            None => causes.push(Cause { why, points: vec![one] }),
        }
    }
    causes
}

/// Whole sentences without a full stop: each reason once.
#[must_use]
pub fn told(all: &[Fallen]) -> Vec<String> {
    if let [one] = all {
        return vec![one.words()];
    }
    let words = |cause: &Cause<'_>| match cause.points.as_slice() {
        [one] if one.why.len() == 1 => one.words(),
        _ => format!("What {} say no longer holds: {}", cause.named(), cause.why),
    };
    causes(all).iter().map(words).collect()
}

/// How [`State::lacking_work`] names initials.
const INITIALS: &str = "initials ";

/// What does not stand at an operation, with the entry that says so; none of an entry
/// where nothing says since when.
struct Against<'a> {
    key: &'a str,
    since: Option<u64>,
    /// Whether only what names its operation as what it rests on waits for it: initials may
    /// be given at the end of a station.
    initials: bool,
    words: String,
}

/// The points that were signed and no longer hold, in the order of the work. `lost` are the
/// readings that no longer hold by the plan as it moved.
#[must_use]
pub fn fallen(plan: &Frozen, state: &State, lost: &[Lost]) -> Vec<Fallen> {
    let signed = |o: &Operation, p: &Point| state.signatures(&o.key, &p.slot).iter().any(|s| !s.waived);
    if !plan.operations.iter().any(|o| o.points().any(|p| signed(o, p))) {
        return Vec::new();
    }
    let against = against(plan, state, lost);
    if against.is_empty() {
        return Vec::new();
    }
    let mut found = Vec::new();
    for (operation, point) in plan.operations.iter().flat_map(|o| o.points().map(move |p| (o, p))) {
        let standing = state.standing(operation, point);
        let marks = || standing.iter().filter(|s| !s.waived).map(|s| &s.mark);
        let (Some(first), Some(last)) = (marks().min_by_key(|m| m.n), marks().max_by_key(|m| m.n)) else {
            continue;
        };
        let under = plan.under(operation, point);
        let rested = plan.rested_on(operation, point);
        let named = |key: &str| key == operation.key || rested.iter().any(|o| o.key == key);
        let why: Vec<String> = against
            .iter()
            .filter(|a| under.contains(a.key) && (!a.initials || named(a.key)))
            .filter(|a| a.since.is_none_or(|n| n > first.n))
            .map(|a| a.words.clone())
            .collect();
        if !why.is_empty() {
            found.push(Fallen {
                key: operation.key.clone(),
                operation: operation.number,
                slot: point.slot.clone(),
                number: point.number.clone(),
                kind: point.kind,
                entry: last.n,
                by: last.by.name.clone(),
                why,
            });
        }
    }
    found
}

fn against<'a>(plan: &'a Frozen, state: &'a State, lost: &[Lost]) -> Vec<Against<'a>> {
    let register = Register::default();
    let scene = Scene::looking(plan, state, &register);
    let mut all: Vec<Against<'a>> = Vec::new();
    let mut add = |key: &str, since: Option<u64>, words: String| {
        let Some(operation) = plan.keyed(key) else { return };
        if !all.iter().any(|a: &Against<'a>| a.key == operation.key && a.words == words) {
            let initials = words.starts_with(INITIALS);
            all.push(Against { key: &operation.key, since, initials, words });
        }
    };
    for operation in plan.operations.iter().filter(|o| state.departs(o) || state.unsettled(&o.key)) {
        for Undecided { n, words, .. } in scene.read_badly(operation) {
            add(&operation.key, n, words);
        }
        // What is lacking under a signature was taken back, or started again.
        if state.unsettled(&operation.key) {
            for what in state.lacking_work(operation) {
                add(&operation.key, None, format!("{what} is open again"));
            }
        }
    }
    for one in scene.founds().chain(scene.not_put_right()) {
        add(&one.key.clone(), one.n, one.words);
    }
    for one in lost {
        add(&one.operation, None, one.words.clone());
    }
    all
}

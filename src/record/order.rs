//! Which operation of a frozen plan comes before which: worked out once, and kept with the plan.
//!
//! Every entry of a log asks what comes before the work it tells of. The plan does not change
//! while a log is gone through, so the answer is found once; for a copy of a plan, which may
//! be changed, it is found anew.

use std::borrow::Cow;
use std::collections::{BTreeSet, HashMap};
use std::sync::OnceLock;

use super::agree::{self, Rule};
use super::frozen::{Frozen, Operation, Point};

/// What is known of the order of a plan, as soon as somebody asked. A plan that was asked is
/// not changed, but copied: the copy knows nothing yet.
#[derive(Debug, Default)]
pub struct Order(OnceLock<Known>);

impl Clone for Order {
    fn clone(&self) -> Self {
        Self::default()
    }
}

/// It follows from the operations: two plans with the same operations have the same.
impl PartialEq for Order {
    fn eq(&self, _: &Self) -> bool {
        true
    }
}

/// The order of a plan, by the places of its operations.
#[derive(Debug)]
struct Known {
    /// The first operation of each key.
    places: HashMap<String, usize>,
    /// Those right before each, by the states or by the order found.
    right_before: Vec<Vec<usize>>,
    /// All that certainly come before each, in the order they are found.
    before: Vec<Vec<usize>>,
    /// The same, to ask whether one is among them.
    among: Vec<Vec<bool>>,
    /// By the slots of the points of each, the places of what it names as what it rests on, and
    /// of what that builds on, in the order they are found.
    rested: Vec<Vec<(String, Vec<usize>)>>,
    /// Rules between the readings of each.
    rules: OnceLock<Vec<Vec<Rule>>>,
}

impl Known {
    fn of(plan: &Frozen) -> Self {
        let mut places: HashMap<String, usize> = HashMap::new();
        for (place, operation) in plan.operations.iter().enumerate() {
            places.entry(operation.key.clone()).or_insert(place);
        }
        let right_before: Vec<Vec<usize>> = plan
            .operations
            .iter()
            .map(|o| named_before(plan, o).filter_map(|key| places.get(key).copied()).collect())
            .collect();
        let before: Vec<Vec<usize>> = right_before.iter().map(|first| walked(first, &right_before)).collect();
        let among = before
            .iter()
            .map(|before| {
                let mut among = vec![false; plan.operations.len()];
                for place in before {
                    if let Some(is) = among.get_mut(*place) {
                        *is = true;
                    }
                }
                among
            })
            .collect();
        let rested = plan
            .operations
            .iter()
            .map(|o| o.points().map(|p| (p.slot.clone(), rested_on(plan, &places, p))).collect())
            .collect();
        Self { places, right_before, before, among, rested, rules: OnceLock::new() }
    }
}

/// Keys of what comes right before an operation, as it names them.
fn named_before<'a>(plan: &Frozen, operation: &'a Operation) -> impl Iterator<Item = &'a String> {
    operation.builds_on.iter().chain(operation.follows.iter().filter(|_| plan.strict()))
}

/// All places from which the `first` ones follow, and those themselves: the last found first.
fn walked(first: &[usize], right_before: &[Vec<usize>]) -> Vec<usize> {
    let mut open = first.to_vec();
    let mut seen: BTreeSet<usize> = BTreeSet::new();
    let mut found = Vec::new();
    while let Some(place) = open.pop() {
        if seen.insert(place) {
            found.push(place);
            open.extend(right_before.get(place).into_iter().flatten());
        }
    }
    found
}

/// Places of the operations a point names as what it rests on, and of what they build on.
fn rested_on(plan: &Frozen, places: &HashMap<String, usize>, point: &Point) -> Vec<usize> {
    let mut seen: BTreeSet<usize> = BTreeSet::new();
    let mut open: Vec<&str> = point.rests_on.iter().map(String::as_str).collect();
    let mut found = Vec::new();
    while let Some(key) = open.pop() {
        let Some(place) = places.get(key).copied().filter(|place| seen.insert(*place)) else { continue };
        open.extend(plan.operations.get(place).into_iter().flat_map(|o| &o.builds_on).map(String::as_str));
        found.push(place);
    }
    found
}

impl Frozen {
    fn known(&self) -> &Known {
        self.order.0.get_or_init(|| Known::of(self))
    }

    /// Place of the operation with this key, the first of them.
    #[must_use]
    pub fn place(&self, key: &str) -> Option<usize> {
        self.known().places.get(key).copied()
    }

    /// The operation of this key.
    #[must_use]
    pub fn keyed(&self, key: &str) -> Option<&Operation> {
        self.operations.get(self.place(key)?)
    }

    /// Place of an operation that is one of this plan itself, and not one of another revision.
    fn own(&self, operation: &Operation) -> Option<usize> {
        let place = self.place(&operation.key)?;
        self.operations.get(place).filter(|own| std::ptr::eq(*own, operation)).map(|_| place)
    }

    fn at<'a>(&'a self, places: &[usize]) -> Vec<&'a Operation> {
        places.iter().filter_map(|place| self.operations.get(*place)).collect()
    }

    /// Operations that come right before one, by the states or by the order found.
    pub(super) fn right_before(&self, operation: &Operation) -> Vec<&Operation> {
        match self.own(operation).and_then(|place| self.known().right_before.get(place)) {
            Some(places) => self.at(places),
            None => named_before(self, operation).filter_map(|key| self.keyed(key)).collect(),
        }
    }

    /// All operations that certainly come before one.
    pub(super) fn all_before(&self, operation: &Operation) -> Vec<&Operation> {
        let known = self.known();
        if let Some(places) = self.own(operation).and_then(|place| known.before.get(place)) {
            return self.at(places);
        }
        let first: Vec<usize> = named_before(self, operation).filter_map(|key| self.place(key)).collect();
        self.at(&walked(&first, &known.right_before))
    }

    /// Operations a point of one names as what it rests on, and what they build on.
    pub(super) fn rested_on(&self, operation: &Operation, point: &Point) -> Vec<&Operation> {
        self.at(&self.rested_at(operation, point))
    }

    /// Their places.
    fn rested_at(&self, operation: &Operation, point: &Point) -> Cow<'_, [usize]> {
        let known = self.known();
        let own = self.own(operation).and_then(|place| known.rested.get(place));
        match own.and_then(|own| own.iter().find(|(slot, _)| *slot == point.slot)) {
            Some((_, places)) => Cow::Borrowed(places),
            None => Cow::Owned(rested_on(self, &known.places, point)),
        }
    }

    /// Whether a signature says something of the operation of this key: see [`Self::under`].
    pub(super) fn stands_under(&self, key: &str, operation: &Operation, point: &Point) -> bool {
        let Some(place) = self.place(key) else { return false };
        point.slot.starts_with("after") && operation.key == key
            || self.comes_before(key, operation)
            || self.rested_at(operation, point).contains(&place)
    }

    /// Whether the operation of this key comes right before one.
    pub(super) fn comes_right_before(&self, key: &str, operation: &Operation) -> bool {
        self.place(key).is_some() && named_before(self, operation).any(|named| named == key)
    }

    /// Whether the operation of this key certainly comes before one.
    pub(super) fn comes_before(&self, key: &str, operation: &Operation) -> bool {
        let known = self.known();
        match self.own(operation).and_then(|place| known.among.get(place)) {
            Some(among) => self.place(key).and_then(|place| among.get(place)).is_some_and(|is| *is),
            None => self.all_before(operation).iter().any(|o| o.key == key),
        }
    }

    /// Rules between the readings of every operation, as those stand in the plan.
    fn rules_kept(&self) -> &[Vec<Rule>] {
        let worked_out = || self.operations.iter().map(|o| agree::rules(self, o)).collect();
        self.known().rules.get_or_init(worked_out)
    }

    /// Rules between the readings of an operation.
    pub(super) fn rules_of(&self, operation: &Operation) -> Rules<'_> {
        match self.own(operation).and_then(|place| self.rules_kept().get(place)) {
            Some(rules) => Rules::Kept(rules),
            None => Rules::New(agree::rules(self, operation)),
        }
    }

    /// Every rule between readings, with the operation it stands at.
    pub(super) fn all_rules(&self) -> impl Iterator<Item = (&Operation, &Rule)> {
        let all = self.operations.iter().zip(self.rules_kept());
        all.flat_map(|(operation, rules)| rules.iter().map(move |rule| (operation, rule)))
    }
}

/// The rules of one operation: those kept with the plan, or of an operation that is another
/// revision's.
#[derive(Debug)]
pub(super) enum Rules<'a> {
    Kept(&'a [Rule]),
    New(Vec<Rule>),
}

impl std::ops::Deref for Rules<'_> {
    type Target = [Rule];

    fn deref(&self) -> &[Rule] {
        match self {
            Self::Kept(rules) => rules,
            Self::New(rules) => rules,
        }
    }
}

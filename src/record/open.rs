//! What stands open, worked out once for as many entries as leave it as it is: a long log
//! is gone through entry by entry, and most of them open and shut nothing.

use std::cell::{OnceCell, RefCell};
use std::collections::{BTreeMap, BTreeSet};

use super::entry::{Action, Entry};
use super::frozen::{Frozen, Operation, Point, PointKind};
use super::held::Undecided;
use super::rules::Scene;

/// What stands open of a plan. It is good for one plan, until an entry changes it.
#[derive(Debug, Default)]
pub(super) struct Open {
    /// Whether it is asked again after the next entry.
    keeps: bool,
    /// Places of the operations at which something was read badly and is not decided; none
    /// before anybody asked.
    badly: RefCell<Option<BTreeSet<usize>>>,
    /// Keys of the operations at which something was read since that was worked out.
    read_at: RefCell<BTreeSet<String>>,
    /// By the key of an operation, the places of those at which something may be read badly
    /// or not by what is read there: itself, and those with a rule that looks at it.
    looked_at: OnceCell<BTreeMap<String, BTreeSet<usize>>>,
    /// What is to be put right and nothing will, and keys of the operations whose boxes may
    /// change that.
    left: OnceCell<(Vec<Undecided>, BTreeSet<String>)>,
    /// Points that stop the work and are not signed, or open again: place of the operation,
    /// and of the point among its own.
    points: OnceCell<Vec<(usize, usize)>>,
    /// Keys of the operations at which work takes an acceptance away.
    takes_away: OnceCell<BTreeSet<String>>,
    /// The nearest operations before one that prove something, by its key; see
    /// [`Scene::nearest`].
    nearest: RefCell<BTreeMap<String, Vec<usize>>>,
}

/// Whether work stops at a point. What is reviewed is reviewed before the work; old paper
/// let it slip.
fn stops(operation: &Operation, point: &Point) -> bool {
    point.kind == PointKind::Hold || point.kind == PointKind::Review && operation.levelled()
}

/// Keys of the operations at which work takes an acceptance away, or makes it anew.
fn takes_away(plan: &Frozen) -> BTreeSet<String> {
    let all = plan.operations.iter().flat_map(|o| o.points().map(move |p| (o, p)));
    let falls = all.filter(|(_, p)| !p.worked_by.is_empty() || !p.concerns.is_empty());
    falls.flat_map(|(o, p)| p.worked_by.iter().chain(&p.concerns).chain([&o.key])).cloned().collect()
}

/// What may be judged otherwise by what is read at an operation: see [`Open::looked_at`].
fn looked_at(plan: &Frozen) -> BTreeMap<String, BTreeSet<usize>> {
    let mut found: BTreeMap<String, BTreeSet<usize>> = BTreeMap::new();
    for (place, operation) in plan.operations.iter().enumerate() {
        let rules = plan.rules_of(operation);
        let named = rules.iter().flat_map(|rule| &rule.of).map(|name| &name.operation);
        for key in named.chain([&operation.key]) {
            found.entry(key.clone()).or_default().insert(place);
        }
    }
    found
}

impl Open {
    /// One that is asked again after the next entry.
    pub(super) fn kept() -> Self {
        Self { keeps: true, ..Self::default() }
    }

    /// Whether a refusal says what to do instead: to whoever makes an entry. A log is gone
    /// through to tell what is wrong with it, and the ways out are long to find.
    pub(super) const fn tells_ways_out(&self) -> bool {
        !self.keeps
    }

    /// Operations at which something was read badly and is not decided.
    pub(super) fn badly<'a>(&self, scene: &Scene<'a>) -> Vec<&'a Operation> {
        let at = |place: usize| scene.plan.operations.get(place);
        let of = |o: &'a Operation| scene.state.departs(o) && scene.reads_badly(o);
        let mut known = self.badly.borrow_mut();
        let mut read_at = self.read_at.borrow_mut();
        if known.is_none() {
            let all = scene.plan.operations.iter().enumerate();
            *known = Some(all.filter(|(_, o)| of(o)).map(|(place, _)| place).collect());
        } else if let Some(known) = known.as_mut().filter(|_| !read_at.is_empty()) {
            let looked_at = self.looked_at.get_or_init(|| looked_at(scene.plan));
            for place in read_at.iter().filter_map(|key| looked_at.get(key)).flatten() {
                if at(*place).is_some_and(of) {
                    known.insert(*place);
                } else {
                    known.remove(place);
                }
            }
        }
        read_at.clear();
        known.iter().flatten().filter_map(|place| at(*place)).collect()
    }

    /// What is to be reworked or repaired, is not shown put right, and no revision brought
    /// the work for in.
    pub(super) fn left_as_it_is(&self, scene: &Scene<'_>) -> &[Undecided] {
        let work_out = || (scene.left_as_it_is(), scene.shown_by());
        &self.left.get_or_init(work_out).0
    }

    /// Points that stop the work and are open, in the order of the plan: place of the
    /// operation, it, and whether the point stands before it.
    pub(super) fn points<'a>(
        &self,
        scene: &Scene<'a>,
    ) -> impl Iterator<Item = (usize, &'a Operation, &'a Point, bool)> {
        let may = |o: &Operation, p: &Point| stops(o, p) && !scene.state.unsigned(o, p).is_empty();
        if self.keeps {
            // Worked out now, for what comes.
            self.takes_away.get_or_init(|| takes_away(scene.plan));
        }
        let places = self.points.get_or_init(|| {
            let mut found = Vec::new();
            for (place, operation) in scene.plan.operations.iter().enumerate() {
                let own = operation.points().enumerate().filter(|(_, p)| may(operation, p));
                found.extend(own.map(|(at, _)| (place, at)));
            }
            found
        });
        places.iter().filter_map(|(place, at)| {
            let operation = scene.plan.operations.get(*place)?;
            let point = operation.points().nth(*at)?;
            Some((*place, operation, point, *at < operation.before.len()))
        })
    }

    /// The nearest operations before one at which something is proved.
    pub(super) fn nearest<'a>(&self, scene: &Scene<'a>, operation: &Operation) -> Vec<&'a Operation> {
        if !self.keeps {
            return scene.nearest(operation);
        }
        let of = |places: &Vec<usize>| places.iter().filter_map(|p| scene.plan.operations.get(*p)).collect();
        if let Some(known) = self.nearest.borrow().get(&operation.key) {
            return of(known);
        }
        let found = scene.nearest(operation);
        let places = found.iter().filter_map(|o| scene.plan.place(&o.key)).collect();
        self.nearest.borrow_mut().insert(operation.key.clone(), places);
        found
    }

    /// Forgets what an entry may have changed.
    pub(super) fn after(&mut self, entry: &Entry) {
        if entry.corrects.is_some() || entry.undoes.is_some() {
            *self = Self::kept();
            return;
        }
        let at = match &entry.what {
            Action::Tick { operation, .. } => Some(&operation.key),
            Action::Measure { reading } => Some(&reading.operation.key),
            _ => None,
        };
        let falls = |key: &String| self.takes_away.get().is_none_or(|keys| keys.contains(key));
        if at.is_some_and(falls) {
            self.points = OnceCell::new();
        }
        let shows = |key: &String| self.left.get().is_none_or(|(_, keys)| keys.contains(key));
        if at.is_none_or(shows) {
            self.left = OnceCell::new();
        }
        match &entry.what {
            Action::Tick { .. }
            | Action::Photographed { .. }
            | Action::TesterWaived { .. }
            | Action::Bars { .. }
            | Action::TornLine { .. } => {}
            Action::Sign { .. } | Action::SeenOnPaper { .. } | Action::WitnessWaived { .. } => {
                self.points = OnceCell::new();
            }
            Action::Measure { reading } => {
                self.read_at.get_mut().insert(reading.operation.key.clone());
            }
            Action::Found { .. } | Action::Disposition { .. } => {
                (*self.badly.get_mut(), self.points) = (None, OnceCell::new());
            }
            Action::Issued { .. } | Action::Revised { .. } | Action::Withdrawn {} | Action::Closed { .. } => {
                *self = Self::kept();
            }
        }
    }
}

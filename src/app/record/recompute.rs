//! What was measured takes the place of what was planned, and everything that
//! depends on it is computed again.

use std::cell::{OnceCell, RefCell};
use std::collections::BTreeMap;
use std::path::Path;
use std::rc::Rc;
use std::sync::Arc;

use chrono::NaiveDate;

use super::content::{Content, EARLIER};
use super::desk::Desk;
use super::files::RecordHost;
use super::stored::{self, need};
use super::{freeze, weigh};
use crate::app::plan::{Failure, Loaded, Ordered, Shelf, SourceText, plan_again};
use crate::diagnostic::Report;
use crate::job::JobFile;
use crate::job::measured::{self, Place, Read};
use crate::plan::{Plan, Texts};
use crate::procedure::figures::{Answered, JobFigure, JobFigures, Owner};
use crate::record::entry::{By, Issue, Measured};
use crate::record::frozen::{self, Limits};
use crate::record::moved::{self, Asked, InForce, Lost, Reckon, moves};
use crate::record::outdated::Redrawn;
use crate::record::people::{Instrument, Spread};
use crate::record::state::State;
use crate::shop::model::{Person, Role};
use crate::term::{self, Method, Side};
use crate::traveler::document::{Geometry, Logo};
use crate::traveler::wording::{Subject, geometry};

/// The plan as it stands with what was measured.
#[derive(Debug, Clone)]
pub struct Now {
    /// Job with measured values in place.
    pub loaded: Loaded,
    /// What follows from them.
    pub plan: Plan,
    /// SHA-256 of the plan; empty where nothing is put into words.
    pub digest: String,
    /// The shop's logo.
    pub logo: Option<Logo>,
    /// Readings by operation key and id.
    pub readings: BTreeMap<(String, String), frozen::Reading>,
    /// What took the place of what, in words.
    pub replaced: Vec<String>,
}

impl Now {
    /// What it asks of readings, and forbids, for the rules.
    #[must_use]
    pub fn in_force(&self) -> InForce {
        let asked = |r: &frozen::Reading| Asked { limits: r.limits, target: r.target.clone() };
        let uncut = self.loaded.figures.obstacles.iter().filter_map(|o| match &o.owner {
            Owner::Component(id) | Owner::Side(id, _) => Some((id.to_string(), o.why.to_string())),
            Owner::Joint(_) | Owner::Fastener(_) => None,
        });
        InForce {
            asked: self.readings.iter().map(|(place, r)| (place.clone(), asked(r))).collect(),
            uncut: uncut.collect(),
        }
    }

    /// What a page about it is laid out from.
    #[must_use]
    pub fn subject(&self) -> Subject<'_> {
        Subject {
            plan: &self.plan,
            job: &self.loaded.job,
            figures: &self.loaded.figures,
            digest: &self.digest,
            logo: self.logo.as_ref(),
        }
    }

    /// Geometry with measured values.
    #[must_use]
    pub fn geometry(&self) -> Option<Geometry> {
        geometry(&self.subject())
    }
}

/// A value that differs from the one before.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Changed {
    /// What it is, and whose.
    pub what: String,
    /// Value before.
    pub before: String,
    /// Value now.
    pub now: String,
    /// How the value now is computed.
    pub formula: String,
}

/// Readings that take the place of planned values: operation, reading, what was read.
type Taken = Vec<(String, String, String)>;

/// What was computed for one traveler, so that many readings in a row are judged
/// without computing the same again.
#[derive(Debug, Default)]
pub struct Memo {
    content: Option<(String, Arc<Content>)>,
    /// That content, read: the library is by far the most of it.
    base: Option<Base>,
    nows: Vec<(Taken, Arc<Now>)>,
}

/// Plans that are kept: with and without the reading that is judged, and the next.
const KEPT: usize = 4;

impl Memo {
    /// What the plan of the revision in force is made from again.
    ///
    /// # Errors
    /// If a file of it is missing or was changed.
    pub fn content(
        &mut self,
        host: &dyn RecordHost,
        folder: &Path,
        issue: &Issue,
    ) -> Result<Arc<Content>, Failure> {
        if let Some((digest, content)) = &self.content
            && *digest == issue.content
        {
            return Ok(Arc::clone(content));
        }
        let content = Arc::new(stored::some(host, folder, issue, EARLIER)?);
        self.nows.clear();
        self.base = None;
        self.content = Some((issue.content.clone(), Arc::clone(&content)));
        Ok(content)
    }

    /// As [`now`], computed once for the same readings.
    ///
    /// # Errors
    /// If the stored job or procedures can't be read.
    pub fn now(&mut self, content: &Content, state: &State) -> Result<Arc<Now>, Failure> {
        let decide = content.plan.operations.iter().flat_map(|o| o.readings().map(move |r| (o, r)));
        let taken: Taken = decide
            .filter(|(_, r)| r.replaces.is_some())
            .filter_map(|(o, r)| {
                let (measured, _) = state.reading(&o.key, &r.id)?;
                let spread = measured.uncertainty.as_deref().unwrap_or_default();
                let value = measured.value.as_deref().unwrap_or_default();
                Some((o.key.clone(), r.id.clone(), format!("{value} {spread}")))
            })
            .collect();
        if let Some((_, known)) = self.nows.iter().find(|(of, _)| *of == taken) {
            return Ok(Arc::clone(known));
        }
        let base = match self.base.take().filter(|b| *b.frozen == content.plan) {
            Some(base) => base,
            None => Base::of(&content.files, &content.plan)?,
        };
        let computed = base.now(state).map(Arc::new);
        self.base = Some(base);
        let computed = computed?;
        if self.nows.len() >= KEPT {
            self.nows.remove(0);
        }
        self.nows.push((taken, Arc::clone(&computed)));
        Ok(computed)
    }
}

/// The shelf among what was frozen: reading it takes longer than all the rest.
///
/// # Errors
/// If the stored procedures can't be read.
pub fn shelf_of(files: &BTreeMap<String, Vec<u8>>) -> Result<Arc<Shelf>, Failure> {
    super::shelf::shelf(need(files, "procedures.json")?).map(Arc::new)
}

/// A stored revision, read once, to be planned with readings in place.
#[derive(Debug, Clone)]
pub struct Base {
    frozen: Arc<frozen::Frozen>,
    shelf: Arc<Shelf>,
    job: JobFile,
    source: SourceText,
    report: Report,
    unread: OnceCell<Result<Box<(Now, Ordered)>, Failure>>,
    /// The order of the plan without any reading, where nobody asked for its words.
    order: OnceCell<Option<Ordered>>,
    /// What families answered: a reading moves few of their inputs.
    answered: Answered,
}

impl Base {
    /// Reads what was frozen.
    ///
    /// # Errors
    /// If the stored job or procedures can't be read.
    pub fn of(files: &BTreeMap<String, Vec<u8>>, frozen: &frozen::Frozen) -> Result<Self, Failure> {
        Self::on(shelf_of(files)?, files, &Arc::new(frozen.clone()))
    }

    /// As [`Base::of`], with the shelf among the files, which was read before.
    ///
    /// # Errors
    /// If the stored job can't be read.
    pub fn on(
        shelf: Arc<Shelf>,
        files: &BTreeMap<String, Vec<u8>>,
        frozen: &Arc<frozen::Frozen>,
    ) -> Result<Self, Failure> {
        let text = String::from_utf8_lossy(need(files, "job.toml")?).into_owned();
        let (job, source, report) = freeze::job(&shelf, "job.toml", &text, &frozen.revision)?;
        Ok(Self {
            frozen: Arc::clone(frozen),
            shelf,
            job,
            source,
            report,
            unread: OnceCell::new(),
            order: OnceCell::new(),
            answered: Answered::default(),
        })
    }

    /// Its letter.
    #[must_use]
    pub fn revision(&self) -> &str {
        &self.frozen.revision
    }

    /// People by whom an entry is held against what was frozen: id, name and role words. Of
    /// the shop's own book where there is one; a job file is anybody's to write, and names
    /// people only where nothing else does.
    fn people(&self) -> Vec<(&str, &str, Vec<&'static str>)> {
        let shop = &self.shelf.shop;
        let book = shop.book.person.iter();
        let book = book.map(|p| (&*p.id.value.0, &*p.name.0, p.role.iter().map(|r| r.word()).collect()));
        let alone = !shop.demo && !shop.absent && !shop.book.person.is_empty();
        let job = self.job.person.iter().filter(|_| !alone);
        book.chain(job.map(|p| (&*p.id.value.0, &*p.name.0, p.role.iter().map(|r| r.word()).collect())))
            .collect()
    }

    /// Whether the frozen rows of the shop book, or of the job without one, know a person by
    /// id and name; none where they know nobody at all.
    #[must_use]
    pub fn knows(&self, by: &By) -> Option<bool> {
        let people = self.people();
        (!people.is_empty()).then(|| people.iter().any(|(id, name, _)| *id == by.id && *name == by.name))
    }

    /// Whether a person of the frozen rows acts there in the role of an entry; none where
    /// nobody there has the id and name.
    #[must_use]
    pub fn acts(&self, by: &By) -> Option<bool> {
        let people = self.people();
        let mut own = people.iter().filter(|(id, name, _)| *id == by.id && *name == by.name).peekable();
        own.peek()?;
        Some(own.any(|(.., roles)| roles.contains(&by.role.as_str())))
    }

    /// Whether this version of the program plans it as it was frozen.
    #[must_use]
    pub fn planned_alike(&self) -> bool {
        // Sheets are drawn from figures, not planned.
        let alike = |now: &Now| {
            frozen::Frozen { sheets: self.frozen.sheets.clone(), ..freeze::frozen(&now.plan, &now.digest) }
                == *self.frozen
        };
        self.unread().is_ok_and(alike)
    }

    /// The plan without any reading, made once.
    ///
    /// # Errors
    /// If it can't be planned.
    pub fn unread(&self) -> Result<&Now, &Failure> {
        self.first().map(|both| &both.0)
    }

    fn first(&self) -> Result<&(Now, Ordered), &Failure> {
        let made = self.unread.get_or_init(|| {
            let before = self.order.get().and_then(Option::as_ref);
            self.planned(&State::default(), before, Texts::Written).map(Box::new)
        });
        made.as_ref().map(Box::as_ref)
    }

    /// The order of the plan without any reading; none if it can't be planned.
    fn order(&self) -> Option<&Ordered> {
        if let Some(Ok(both)) = self.unread.get() {
            return Some(&both.1);
        }
        let planned = || self.planned(&State::default(), None, Texts::LeftOut).ok().map(|both| both.1);
        self.order.get_or_init(planned).as_ref()
    }

    /// Plans again with the readings of `state` in place.
    ///
    /// # Errors
    /// If nothing can be planned with them.
    pub fn now(&self, state: &State) -> Result<Now, Failure> {
        self.planned(state, None, Texts::Written).map(|both| both.0)
    }

    /// What is asked with the readings of `state` in place; no word of the plan is
    /// written.
    ///
    /// # Errors
    /// If nothing can be planned with them.
    pub fn in_force(&self, state: &State) -> Result<InForce, Failure> {
        self.planned(state, self.order(), Texts::LeftOut).map(|both| both.0.in_force())
    }

    /// The plan it was frozen with.
    #[must_use]
    pub fn frozen(&self) -> &frozen::Frozen {
        &self.frozen
    }

    /// The job and its figures with the readings of `state` in place, and what took
    /// the place of what, in words.
    #[must_use]
    pub fn loaded(&self, state: &State) -> (Loaded, Vec<String>) {
        let mut job = self.job.clone();
        let replaced = put(&mut job, &self.frozen, state);
        let (source, report) = (self.source.clone(), self.report.clone());
        let (path, shop) = (Path::new("job.toml"), &self.shelf.shop);
        (Loaded::again(path, source, job, report, shop, Some(&self.answered)), replaced)
    }

    fn planned(
        &self,
        state: &State,
        before: Option<&Ordered>,
        texts: Texts,
    ) -> Result<(Now, Ordered), Failure> {
        let (loaded, replaced) = self.loaded(state);
        let shop = &self.shelf.shop;
        let planned = plan_again(&loaded, &self.shelf, before, texts)?;
        let readings = planned
            .resolved
            .operations
            .iter()
            .flat_map(|o| o.readings().map(|r| ((o.key.clone(), r.id.clone()), freeze::reading(r))))
            .collect();
        let digest = match texts {
            Texts::Written => planned.digest(),
            Texts::LeftOut => String::new(),
        };
        let (ordered, resolved) = (planned.ordered(), planned.resolved);
        let now = Now { loaded, plan: resolved, digest, logo: shop.logo.clone(), readings, replaced };
        Ok((now, ordered))
    }
}

/// Plans again with the readings of `state` in place.
///
/// # Errors
/// If the stored job or procedures can't be read.
pub fn now(content: &Content, state: &State) -> Result<Now, Failure> {
    Base::of(&content.files, &content.plan)?.now(state)
}

/// What follows from readings, by revision and what they give; none where it can't be
/// computed.
type Known = BTreeMap<(String, String), Option<Rc<InForce>>>;

/// Plans revisions again with what was read, for a replay. What was computed
/// once is remembered: most readings decide nothing.
#[derive(Debug, Default)]
pub struct Reckoner {
    bases: Vec<Base>,
    known: RefCell<Known>,
}

impl Reckoner {
    /// Reckons with these revisions.
    #[must_use]
    pub fn of(bases: Vec<Base>) -> Self {
        Self { bases, known: RefCell::default() }
    }

    /// Those revisions.
    #[must_use]
    pub fn bases(&self) -> &[Base] {
        &self.bases
    }
}

impl Reckon for Reckoner {
    fn in_force(&self, plan: &frozen::Frozen, state: &State) -> Option<Rc<InForce>> {
        let base = self.bases.iter().find(|b| b.frozen.revision == plan.revision)?;
        let name = (plan.revision.clone(), format!("{:?}", goals(&base.frozen, state)));
        let known = self.known.borrow().get(&name).cloned();
        known.unwrap_or_else(|| {
            let made = base.in_force(state).ok().map(Rc::new);
            self.known.borrow_mut().insert(name, made.clone());
            made
        })
    }

    fn redrawn(&self, plan: &frozen::Frozen, state: &State) -> Option<Vec<Redrawn>> {
        self.bases.iter().find(|b| b.frozen.revision == plan.revision)?.redrawn(state).ok()
    }

    fn booked(&self, plan: &frozen::Frozen) -> bool {
        let base = self.bases.iter().find(|b| b.frozen.revision == plan.revision);
        let of_a_shop = |base: &Base| {
            let shop = &base.shelf.shop;
            !shop.demo && !shop.absent && !shop.book.person.is_empty()
        };
        base.is_some_and(of_a_shop)
    }

    fn tested(&self, plan: &frozen::Frozen, person: &By, basis: &str) -> Option<bool> {
        let base = self.bases.iter().find(|b| b.frozen.revision == plan.revision)?;
        base.knows(person).filter(|known| *known)?;
        let own: Vec<&str> =
            base.shelf.shop.book.qualifications(&person.id).map(|q| &*q.id.value.0).collect();
        // As the register writes it: `Q-1 and Q-2 until 2026-08-20`.
        let named = basis.rsplit_once(" until ").map_or(basis, |(tests, _)| tests);
        Some(named.split(" and ").all(|test| own.contains(&test)))
    }

    fn certified(
        &self,
        plan: &frozen::Frozen,
        person: &By,
        methods: &[Method],
        rests_on: &[String],
    ) -> Option<bool> {
        let base = self.bases.iter().find(|b| b.frozen.revision == plan.revision)?;
        if !self.booked(plan) {
            return None;
        }
        let named = |p: &Person| p.certificate.as_ref().map_or_else(Vec::new, |c| Method::named_in(&c.0));
        let people = &base.shelf.shop.book.person;
        people.iter().find(|p| !named(p).is_empty())?;
        let row = people.iter().find(|p| p.id.0 == person.id && p.name.0 == person.name);
        let certificate = row.and_then(|p| p.certificate.as_ref()).map_or("", |c| &*c.0);
        // As the register writes it: the certificate, and until when.
        let same =
            |basis: &String| basis.rsplit_once(" until ").map_or(basis.as_str(), |(c, _)| c) == certificate;
        let held = Method::named_in(certificate);
        Some(methods.iter().all(|m| held.contains(m)) && rests_on.iter().all(same))
    }

    fn certified_as(&self, plan: &frozen::Frozen, person: &By, role: &str) -> bool {
        let base = self.bases.iter().find(|b| b.frozen.revision == plan.revision);
        let row = base.filter(|_| self.booked(plan)).and_then(|base| {
            base.shelf.shop.book.person.iter().find(|p| p.id.0 == person.id && p.name.0 == person.name)
        });
        row.is_some_and(|row| super::register::book_person(row).certified(role))
    }

    fn instruments(&self, plan: &frozen::Frozen) -> Option<Vec<Instrument>> {
        let base = self.bases.iter().find(|b| b.frozen.revision == plan.revision)?;
        let shop = &base.shelf.shop;
        (!shop.demo && !shop.absent).then(|| super::register::instruments(&shop.book))
    }

    fn another(&self, plan: &frozen::Frozen, role: &str, person: &By, day: NaiveDate) -> Option<bool> {
        let base = self.bases.iter().find(|b| b.frozen.revision == plan.revision)?;
        let people = &base.shelf.shop.book.person;
        if people.is_empty() {
            return None;
        }
        let here = |p: &&Person| p.until.as_ref().is_none_or(|until| until.0 >= day);
        let other = |p: &Person| p.id.0 != person.id && !term::name::same(&p.name.0, &person.name);
        Some(people.iter().filter(here).any(|p| other(p) && p.role.iter().any(|r| r.word() == role)))
    }

    fn led(&self, plan: &frozen::Frozen, person: &By) -> Option<bool> {
        let base = self.bases.iter().find(|b| b.frozen.revision == plan.revision)?;
        let known = base.shelf.shop.book.person(&person.id);
        Some(known.is_some_and(|p| p.name.0 == person.name && p.role.contains(&Role::Lead)))
    }

    fn verdict(&self, taken: &Measured, limits: Limits) -> Option<term::Judged> {
        let own = taken.uncertainty.as_ref().and_then(|u| u.parse().ok());
        let spread = own.map(|fixed| Spread { fixed, share: 0.0 });
        weigh::judge(Some(limits), &taken.text, spread).ok().map(|m| m.verdict)
    }
}

/// Readings taken before that no longer hold by the plan as it moved since.
///
/// # Errors
/// If the stored revision can't be read, or nothing can be planned with what was
/// read.
pub fn no_longer(host: &dyn RecordHost, desk: &Desk) -> Result<Vec<Lost>, Failure> {
    if !moves(&desk.plan, &desk.state) {
        return Ok(Vec::new());
    }
    let content = stored::some(host, &desk.folder, &desk.issue, EARLIER)?;
    let now = now(&content, &desk.state)?.in_force();
    Ok(moved::no_longer(&desk.plan, &desk.state, &now, &Reckoner::default()))
}

/// What differs between two sets of figures, as shown.
#[must_use]
pub fn changes(before: &JobFigures, after: &JobFigures) -> Vec<Changed> {
    let old: BTreeMap<(String, &str, &str, usize), String> =
        numbered(before).map(|(k, row)| (k, row.figure.show())).collect();
    numbered(after)
        .filter_map(|(key, row)| {
            let now = row.figure.show();
            let before = old.get(&key).cloned().unwrap_or_else(|| "not known".to_owned());
            (before != now && row.figure.value.quantity().is_some()).then(|| Changed {
                what: format!("{}, {}", row.figure.title, row.owner.words()),
                before,
                now,
                formula: row.figure.formula.clone(),
            })
        })
        .collect()
}

type Key<'a> = (String, &'a str, &'a str, usize);

/// Rows with a key of their own; a family may run twice for one owner.
fn numbered(figures: &JobFigures) -> impl Iterator<Item = (Key<'_>, &JobFigure)> {
    let mut count: BTreeMap<(String, &str, &str), usize> = BTreeMap::new();
    figures.rows.iter().map(move |row| {
        let key = (row.owner.words(), row.figure.family, row.figure.id);
        let n = count.entry(key.clone()).or_default();
        *n += 1;
        ((key.0, key.1, key.2, *n), row)
    })
}

/// Where a reading goes: component, side, name of the value.
type Goal<'a> = (&'a str, Option<Side>, &'static Place);

fn goal<'a>(operation: &'a frozen::Operation, reading: &'a frozen::Reading) -> Option<Goal<'a>> {
    let place = measured::find(reading.replaces.as_deref()?)?;
    let mut parts = reading.id.rsplit('.');
    let hand = parts.next().and_then(Side::of);
    // An operation on several components names them: `caster.front.left`.
    let middle = if hand.is_some() { parts.next() } else { None };
    let component = middle.filter(|_| parts.next().is_some());
    let component = component.or_else(|| operation.key.split_once('/').map(|(c, _)| c)).unwrap_or("unit");
    Some((component, hand.filter(|_| place.sided), place))
}

/// What readings give: a value that several readings of an operation give waits
/// for all of them.
fn goals<'a>(plan: &'a frozen::Frozen, state: &State) -> Vec<(Goal<'a>, Vec<Read>)> {
    let mut all = Vec::new();
    for operation in &plan.operations {
        let mut goals: Vec<(Goal<'_>, Vec<Option<Read>>)> = Vec::new();
        for reading in operation.readings() {
            let Some(goal) = goal(operation, reading) else { continue };
            let read = state.reading(&operation.key, &reading.id).and_then(|(m, _)| number(m));
            let read = read.map(|(value, uncertainty)| Read { value, uncertainty });
            match goals.iter_mut().find(|(g, _)| *g == goal) {
                Some((_, list)) => list.push(read),
                None => goals.push((goal, vec![read])),
            }
        }
        // A wall that was not read yet may be the least one.
        let whole =
            |(goal, read): (_, Vec<Option<Read>>)| Some((goal, read.into_iter().collect::<Option<_>>()?));
        all.extend(goals.into_iter().filter_map(whole));
    }
    all
}

/// Puts measured values where the job has planned ones; says which. The last
/// operation that gives a value counts.
fn put(job: &mut JobFile, plan: &frozen::Frozen, state: &State) -> Vec<String> {
    let mut replaced: Vec<String> = Vec::new();
    for ((component, hand, place), read) in goals(plan, state) {
        if measured::put(job, component, hand, place.name, &read) {
            let side = match hand {
                Some(Side::Left) => " left",
                Some(Side::Right) => " right",
                None => "",
            };
            let many = if read.len() > 1 { format!(", {} readings", read.len()) } else { String::new() };
            let words = format!("{}, {component}{side}{many}", place.words);
            if !replaced.contains(&words) {
                replaced.push(words);
            }
        }
    }
    replaced
}

/// Value and standard uncertainty of a reading, in SI units.
#[must_use]
pub fn number(measured: &Measured) -> Option<(f64, f64)> {
    let value: f64 = measured.value.as_ref()?.parse().ok()?;
    let uncertainty: f64 = measured.uncertainty.as_ref().and_then(|u| u.parse().ok()).unwrap_or(0.0);
    Some((value, uncertainty))
}

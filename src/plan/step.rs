//! Steps and readings of an operation, each repetition on its own.

use minijinja::value::Value;

use super::aim::{Named, Place, aim, amount, kind};
use super::basis::Basis;
use super::model::{Choice, Derived, LookUp, LotAsk, Near, Reading, Repeat, Step};
use super::resolver::{Resolver, subject};
use super::{Words, heat, shift};
use crate::file::{Located, Text};
use crate::job::measured;
use crate::job::model::{Component, Fastener, Joint as JobJoint, Safety, Verb};
use crate::procedure::figures::{Context, Owner};
use crate::procedure::file::{CautionRow, ChoiceRow, DerivedRow, Each, OperationRow, ReadingRow, StepRow};
use crate::procedure::selected::Selected;
use crate::quantity::{Kind, Quantity, Style, parse};
use crate::routing::problem::WHOLE_UNIT;
use crate::term::customer::{Row, Section};
use crate::term::{Does, Level, Method, Moment, SETTLED, Side};

/// One repetition of a step or a reading: what for, where its readings look,
/// end of its ids, end of its labels, what its texts see.
pub(super) struct Time<'a> {
    pub(super) of: Repeat,
    place: Place<'a>,
    suffix: String,
    label: String,
    pub(super) context: Context,
    /// The one component it is of; none for a joint, a fastener group and the whole unit.
    pub(super) component: Option<Component<'a>>,
    /// Hours from the last arc to its test, as the job asks; the longest of its joints.
    delay: Option<f64>,
}

/// An operation of the library with the joints and fasteners it works on.
pub(super) struct Block<'a> {
    pub(super) selected: &'a Selected<'a>,
    pub(super) joints: Vec<&'a JobJoint>,
    pub(super) fasteners: Vec<&'a Fastener>,
}

/// What the joints of an operation are tested with, each tool once.
fn tested_with(joints: &[Value]) -> String {
    let mut tools: Vec<String> = Vec::new();
    for joint in joints {
        let own = joint.get_attr("test_tools").map(|v| v.to_string()).unwrap_or_default();
        for tool in own.split(" and ").filter(|t| !t.is_empty()) {
            if !tools.iter().any(|t| t == tool) {
                tools.push(tool.to_owned());
            }
        }
    }
    tools.join(" and ")
}

impl<'a> Resolver<'a> {
    /// What the texts of an operation see: its first component, with the joints
    /// and fasteners of all its components.
    pub(super) fn context(&self, block: &Block<'_>) -> Context {
        let Basis { job, figures, .. } = self.basis;
        let all = &block.selected.components;
        let first = all.first().copied().unwrap_or(Component::Unit(&job.unit));
        let mut context = match (all.as_slice(), self.seen.component(first.id())) {
            // Several components at once are told of together.
            ([] | [_], Some(context)) => context.clone(),
            _ => figures.context_of_all(job, first, all),
        };
        let joints: Vec<Value> = block.joints.iter().map(|j| self.seen.joint(j)).collect();
        let fasteners: Vec<Value> = block.fasteners.iter().map(|b| self.seen.fastener(b)).collect();
        context.insert("tested_with", Value::from(tested_with(&joints)));
        context.insert("joints", Value::from(joints));
        context.insert("fasteners", Value::from(fasteners));
        context.insert("has", self.seen.has());
        context
    }

    pub(super) fn steps(&mut self, block: &Block<'a>, row: &OperationRow, context: &Context) -> Vec<Step> {
        let mut steps = Self::testers(block.selected);
        // Counted over the whole order, and only a card has them.
        let shifts = if row.each_shift { shift::shifts(&self.basis) } else { 1 };
        for step in &row.step {
            // A caution stands before the first repetition only.
            let mut cautions = &*step.caution;
            for time in self.times(block, step.each, context) {
                if !self.writer.holds(step.when.as_ref(), &time.context, &mut self.report) {
                    continue;
                }
                let said = std::mem::take(&mut cautions);
                let step = self.step(block, row, step, &time, said, number(&steps));
                steps.push(shift::repeat(step, shifts));
            }
        }
        if row.verb == Verb::Weld {
            for joint in block.joints.iter().filter(|j| j.traceable) {
                steps.push(traced(joint, number(&steps)));
            }
            steps.extend(one_lot(&block.joints, number(&steps)));
            for joint in &block.joints {
                steps.extend(heat::step(&self.basis, joint, number(&steps)));
            }
        }
        steps.extend(self.released(block.selected));
        settled(block.selected, &mut steps);
        steps
    }

    fn step(
        &mut self,
        block: &Block<'a>,
        operation: &OperationRow,
        row: &StepRow,
        time: &Time<'a>,
        cautions: &[CautionRow],
        number: u32,
    ) -> Step {
        let mut readings = Vec::new();
        for reading in row.written() {
            if reading.each.is_none() {
                readings.push(self.reading(reading, time, row.level()));
                continue;
            }
            for time in self.times(block, reading.each, &time.context) {
                readings.push(self.reading(reading, &time, row.level()));
            }
        }
        let derived = row.derived.iter().map(|d| self.derived(d, time, operation)).collect();
        let table = row.written().find_map(|r| r.table.as_ref()).and_then(|t| match &time.place.component {
            Owner::Component(id) => Some(LookUp { name: t.0.clone(), component: id.clone() }),
            _ => None,
        });
        let mut text = self.writer.words(&row.text, &time.context, &mut self.report);
        // A repeated step says what it is for, if its text does not.
        if row.each.is_some() && !text.text().to_lowercase().contains(&time.label.to_lowercase()) {
            let mut labelled = Words::default().strong(format!("{}: ", time.label));
            labelled.0.extend(text.0);
            text = labelled;
        }
        Step {
            number,
            level: row.level(),
            by: row.by,
            by_signature: false,
            cautions: cautions.iter().map(|c| self.caution(c, &time.context)).collect(),
            text,
            readings,
            derived,
            table,
        }
    }

    /// Readings outside a procedure, each read once.
    pub(super) fn readings(
        &mut self,
        block: &Block<'a>,
        rows: &[ReadingRow],
        context: &Context,
    ) -> Vec<Reading> {
        let mut readings = Vec::new();
        for time in self.times(block, None, context) {
            readings.extend(rows.iter().map(|row| self.reading(row, &time, Level::Control)));
        }
        readings
    }

    /// A value that follows from readings; `link` finds them. Its limits are of the kind of
    /// what it follows from, which may stand in another step or operation.
    fn derived(&mut self, row: &DerivedRow, time: &Time<'_>, operation: &OperationRow) -> Derived {
        let first = row.of.first().map(|name| &*name.value);
        let kind = first.and_then(|name| self.basis.library.kind_of(operation, name));
        let mut limit = |text: &Option<Located<Text>>| {
            text.as_ref().zip(kind).and_then(|(t, k)| amount(t, k, &time.place, &mut self.report))
        };
        let (least, most) = (limit(&row.least), limit(&row.most));
        let id = &row.id.value;
        Derived {
            id: if time.suffix.is_empty() { id.to_string() } else { format!("{id}.{}", time.suffix) },
            label: self.plain(&row.label, &time.context),
            of: row.of.iter().map(|name| named(&name.value, &time.suffix)).collect(),
            take: row.take,
            factor: None,
            least,
            most,
            shows: row.shows.as_ref().map(|shows| self.shows(shows, time)),
            as_planned: row.as_planned,
        }
    }

    /// The repetitions of a step or a reading.
    fn times(&self, block: &Block<'a>, each: Option<Each>, context: &Context) -> Vec<Time<'a>> {
        let Basis { job, figures, .. } = self.basis;
        let components = &block.selected.components;
        let first = components.first().map_or(WHOLE_UNIT, |c| c.id());
        let place = |owner: Owner, component: &str| Place {
            figures,
            owner,
            component: Owner::Component(component.to_owned()),
            units: job.job.units,
        };
        let delay = |j: &&JobJoint| j.inspection.as_ref().and_then(|asked| Method::hours_after(&asked.0));
        let longest = block.joints.iter().filter_map(delay).max_by(f64::total_cmp);
        match each {
            None => vec![Time {
                of: Repeat::Once(first.to_owned()),
                place: place(Owner::Component(first.to_owned()), first),
                suffix: String::new(),
                label: String::new(),
                context: context.clone(),
                component: components.first().copied().filter(|_| components.len() == 1),
                delay: longest,
            }],
            Some(Each::Side) => {
                let mut all = Vec::new();
                let several = components.len() > 1;
                for component in components {
                    for side in Side::BOTH {
                        let id = component.id();
                        let mut own = context.clone();
                        own.extend(self.seen.component(id).cloned().unwrap_or_default());
                        own.extend(self.seen.side(id, side));
                        let word = side.word();
                        let (suffix, label) = if several {
                            (format!("{id}.{word}"), format!("{} {word}", component.name()))
                        } else {
                            (word.to_owned(), word.to_owned())
                        };
                        all.push(Time {
                            of: Repeat::Side(id.to_owned(), side),
                            place: place(Owner::Side(id.to_owned(), side), id),
                            suffix,
                            label,
                            context: own,
                            component: Some(*component),
                            delay: longest,
                        });
                    }
                }
                all
            }
            Some(Each::Joint) => block
                .joints
                .iter()
                .map(|j| {
                    let mut own = context.clone();
                    own.insert("j", self.seen.joint(j));
                    let id = j.id.value.to_string();
                    Time {
                        of: Repeat::Joint(id.clone()),
                        place: place(Owner::Joint(id.clone()), &j.on.value),
                        suffix: id.clone(),
                        label: id,
                        context: own,
                        component: None,
                        delay: delay(j),
                    }
                })
                .collect(),
            Some(Each::Fastener) => block
                .fasteners
                .iter()
                .map(|b| {
                    let mut own = context.clone();
                    own.insert("b", self.seen.fastener(b));
                    let id = b.id.value.to_string();
                    Time {
                        of: Repeat::Fastener(id.clone()),
                        place: place(Owner::Fastener(id.clone()), &b.on.value),
                        suffix: id.clone(),
                        label: id,
                        context: own,
                        component: None,
                        delay: None,
                    }
                })
                .collect(),
        }
    }

    /// A word of a reading. One that says the unit is another than the plan was made for is
    /// found; one that may say so, and does not, is what the plan counts on.
    /// None where it would say of the job what the job does not say.
    fn choice(&mut self, row: &ChoiceRow, time: &Time<'_>) -> Option<Choice> {
        if !self.writer.holds(row.when.as_ref(), &time.context, &mut self.report) {
            return None;
        }
        let unlike =
            row.unlike.is_some() && self.writer.holds(row.unlike.as_ref(), &time.context, &mut self.report);
        let does = match (unlike, row.does) {
            (true, Does::Conforms) => Does::Found,
            // As the plan counts on.
            (false, Does::Found) if row.unlike.is_some() => Does::Conforms,
            (_, does) => does,
        };
        let test = row.test.as_ref().map(|test| self.plain(test, &time.context));
        let tests = test.map_or_else(Vec::new, |test| Method::named_in(&test));
        let paper = row.paper.unwrap_or_default();
        Some(Choice { word: row.word.value.to_string(), does, unlike, tests, paper })
    }

    /// A reading of one repetition.
    fn reading(&mut self, row: &ReadingRow, time: &Time<'_>, level: Level) -> Reading {
        let mut label = self.plain(&row.label, &time.context);
        let mut mark = None;
        // "As left" says when, not where.
        let said = label.replace("as left", "").contains(&time.label);
        if !time.label.is_empty() && !said {
            label = format!("{label}, {}", time.label);
            mark = row.each.map(|_| time.label.clone());
        }
        let since_arc = row.since_arc.unwrap_or(false);
        let mut aim = aim(row, &time.place, &mut self.report);
        // What the job asks later than the procedure is done later.
        if let (true, Some(aim), Some(hours)) = (since_arc, &mut aim, time.delay) {
            let asked = Quantity::from_si(Kind::Number, hours);
            if aim.least.and_then(Named::known).is_none_or(|least| least.si() < hours) {
                aim.least = Some(Named::Known(asked, Style::of(Kind::Number)));
            }
        }
        let tests = row.choices.iter().any(|c| c.test.is_some());
        let delay = time.delay.filter(|_| tests).map(|h| Quantity::from_si(Kind::Time, h * 3600.0));
        let own = row.after_arc.as_ref().and_then(|t| parse::maybe(Kind::Time, &t.value));
        let after_arc = own.into_iter().chain(delay).max_by(|a, b| a.si().total_cmp(&b.si()));
        let apart = row.apart.as_ref().and_then(|t| amount(t, row.kind, &time.place, &mut self.report));
        let near = row.near.as_ref().and_then(|near| {
            Some(Near {
                value: near.figure.as_ref().and_then(|t| amount(t, row.kind, &time.place, &mut self.report)),
                reading: near.reading.as_ref().map(|name| named(&name.value, &time.suffix)),
                within: amount(&near.within, row.kind, &time.place, &mut self.report)?,
            })
        });
        // A plan that goes below nothing says that its value has a sign.
        let below = |q: Option<Quantity>| q.is_some_and(|q| q.si() < 0.0);
        let planned = aim.is_some_and(|a| below(a.lower()) || below(a.target()));
        let id = &row.id.value;
        Reading {
            id: if time.suffix.is_empty() { id.to_string() } else { format!("{id}.{}", time.suffix) },
            label,
            mark,
            // A box that is printed is asked for: what nobody needs does not load.
            level: row.level.as_ref().map_or(level, |own| own.value),
            of: time.of.clone(),
            aim,
            instrument: row.instrument.as_ref().map(|i| self.plain(i, &time.context)),
            replaces: row.replaces.as_ref().map(|r| r.value.to_string()),
            lot: None,
            choices: row.choices.iter().filter_map(|c| self.choice(c, time)).collect(),
            apart,
            near,
            not_below: row.not_below.iter().map(|name| named(&name.value, &time.suffix)).collect(),
            expected: row.replaces.as_ref().and_then(|name| self.stated(&name.value, &time.of)),
            usual: usual(row),
            after_arc,
            since_arc,
            dated: row.dated.unwrap_or(false),
            never_negative: aim.is_some() && !row.signed() && (row.signed.is_some() || !planned),
            shows: row.shows.as_ref().map(|shows| self.shows(shows, time)),
        }
    }
}

impl Resolver<'_> {
    /// What the job states where a reading takes the place of its value.
    fn stated(&self, name: &str, of: &Repeat) -> Option<Quantity> {
        let (component, side) = match of {
            Repeat::Once(component) => (component, None),
            Repeat::Side(component, side) => (component, Some(*side)),
            Repeat::Joint(_) | Repeat::Fastener(_) | Repeat::Shift(_) => return None,
        };
        measured::planned(self.basis.job, component, side, name)
    }
}

/// What is usual of a value.
fn usual(row: &ReadingRow) -> Option<(Quantity, Quantity)> {
    let usual = row.usual.as_ref()?;
    let kind = kind(row.kind)?;
    parse::maybe(kind, &usual.least.value).zip(parse::maybe(kind, &usual.most.value))
}

/// A reading as a row names it: id of its operation, empty for its own, and its
/// own id with the repetition it is looked for in; `link` finds the reading.
fn named(name: &str, suffix: &str) -> (String, String) {
    let (operation, id) = name.split_once('.').unwrap_or(("", name));
    let id = if suffix.is_empty() { id.to_owned() } else { format!("{id}.{suffix}") };
    (operation.to_owned(), id)
}

/// What the figures want settled is written right above the hold it is signed at: a
/// box for each concern, at the end of the steps; in front of them where nothing comes
/// before the operation.
pub(super) fn settled(selected: &Selected<'_>, steps: &mut Vec<Step>) {
    let box_for = |(place, concern): (usize, &String)| {
        let subject = subject(concern);
        let text = match selected.settles {
            Moment::After => concern.clone(),
            Moment::Before => {
                format!("{subject}, as settled before the signature: what, whose number, its value.")
            }
        };
        Step {
            level: Level::Safety,
            text: Words::plain(text),
            readings: vec![Reading {
                shows: Some(Row { row: subject.to_owned(), section: Section::Settled, ..Row::default() }),
                ..written(format!("{SETTLED}{}", place + 1), format!("{subject}: as settled"))
            }],
            ..Step::default()
        }
    };
    let boxes = selected.concerns.iter().enumerate().map(box_for);
    let at = if selected.settles == Moment::After { steps.len() } else { 0 };
    steps.splice(at..at, boxes);
    for (place, step) in steps.iter_mut().enumerate() {
        step.number = u32::try_from(place).map_or(u32::MAX, |n| n + 1);
    }
}

/// A text that has to be written.
pub(super) fn written(id: String, label: String) -> Reading {
    Reading::new(id, label, Level::Safety, Repeat::Once(WHOLE_UNIT.to_owned()))
}

/// The number of the step that comes next.
fn number(steps: &[Step]) -> u32 {
    u32::try_from(steps.len()).map_or(u32::MAX, |n| n + 1)
}

/// The step that carries the lot of the filler of steering welds into the record, once for
/// all of them: a traceable one has its own. Of other welds the shop keeps the lot on its
/// pick list.
fn one_lot(joints: &[&JobJoint], number: u32) -> Option<Step> {
    let steering: Vec<_> = joints.iter().filter(|j| j.safety == Safety::Steering && !j.traceable).collect();
    let ids: Vec<&str> = steering.iter().map(|j| &*j.id.0).collect();
    let fillers: Vec<_> = steering.iter().map(|j| &j.filler).collect();
    let lot = LotAsk { kind: "filler", designations: designations(&fillers) };
    let label = format!("{}: filler lot", ids.join(", "));
    let once = Repeat::Once(WHOLE_UNIT.to_owned());
    let shows = Row { row: "filler lot".to_owned(), section: Section::Parts, ..Row::default() };
    (!ids.is_empty()).then(|| Step {
        number,
        by: None,
        by_signature: false,
        level: Level::Control,
        cautions: Vec::new(),
        text: Words::plain("A steering weld is told from its record: the lot as the spool or box says it."),
        readings: vec![Reading {
            lot: Some(lot),
            shows: Some(shows),
            ..Reading::new("lot".to_owned(), label, Level::Control, once)
        }],
        derived: Vec::new(),
        table: None,
    })
}

/// What fillers or steels are called, each once.
fn designations(list: &[&Option<Located<Text>>]) -> Vec<String> {
    let mut found: Vec<String> = Vec::new();
    for word in list.iter().filter_map(|t| t.as_ref()).map(|t| t.0.clone()) {
        if !found.contains(&word) {
            found.push(word);
        }
    }
    found
}

/// The step that carries the lot of the filler and the heats of the parts of a
/// traceable joint into the record.
fn traced(joint: &JobJoint, number: u32) -> Step {
    let id = &joint.id.value;
    let reading = |what: &str, label: &str, lot: LotAsk| Reading {
        lot: Some(lot),
        shows: Some(Row { row: label.to_owned(), section: Section::Parts, ..Row::default() }),
        // What went into a traceable joint must be told from its record.
        ..Reading::new(
            format!("{what}.{id}"),
            format!("{id}: {label}"),
            Level::Control,
            Repeat::Joint(id.to_string()),
        )
    };
    let filler = LotAsk { kind: "filler", designations: designations(&[&joint.filler]) };
    let metal = LotAsk { kind: "metal", designations: designations(&[&joint.steel, &joint.other_steel]) };
    Step {
        number,
        by: None,
        by_signature: false,
        level: Level::Control,
        cautions: Vec::new(),
        text: Words::default().strong(format!("{id} is traceable. ")).then(
            "The lot of every filler, the heat of each new part as marked on it; for an old one: existing part.",
        ),
        readings: vec![reading("lot", "filler lot", filler), reading("heat", "heat numbers", metal)],
        derived: Vec::new(),
        table: None,
    }
}

//! What a procedure may ask: every line has a level, and every reading a limit,
//! a figure that needs it, or a law or standard that wants it kept.
//!
//! A value that can never be wrong and that nobody uses is filled at the end of
//! the day from memory, and then the paper proves nothing.

use std::collections::{BTreeMap, BTreeSet};

use super::catalogue::{self, Scope};
use super::file::{DerivedRow, Does, Level, OperationRow, ReadingKind, ReadingRow, StepRow, Take, share};
use super::operation::Operation;
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::file::{Located, Text};
use crate::quantity::{Kind, parse};

/// Checks levels, limits, choices and rules of every operation.
pub(super) fn check(operations: &BTreeMap<String, Operation>, report: &mut Report) {
    let used = used(operations);
    for operation in operations.values() {
        let row = &operation.row;
        check_card(row, operations, report);
        for step in &row.step {
            check_level(step, report);
            for reading in step.written() {
                check_reading(row, reading, &used, operations, report);
            }
            for derived in &step.derived {
                check_derived(row, derived, operations, report);
            }
        }
    }
}

/// Readings other rows look at, as `operation.reading`.
fn used(operations: &BTreeMap<String, Operation>) -> BTreeSet<String> {
    let mut found = BTreeSet::new();
    for operation in operations.values() {
        let row = &operation.row;
        for step in &row.step {
            let near = step.written().filter_map(|r| r.near.as_ref()?.reading.as_ref());
            let below = step.written().flat_map(|r| &r.not_below);
            let named = near.chain(below).chain(step.derived.iter().flat_map(|d| &d.of));
            found.extend(named.map(|name| full(row, &name.value)));
        }
    }
    found
}

/// A reading's name with its operation.
fn full(row: &OperationRow, name: &str) -> String {
    if name.contains('.') { name.to_owned() } else { format!("{}.{name}", row.id.value) }
}

/// The kind of a reading, or of the first reading a derived value follows from.
pub(super) fn find(
    operations: &BTreeMap<String, Operation>,
    row: &OperationRow,
    name: &str,
) -> Option<ReadingKind> {
    let full = full(row, name);
    let (operation, id) = full.split_once('.')?;
    let owner = &operations.get(operation)?.row;
    let read = owner.step.iter().flat_map(StepRow::written).find(|r| r.id.0 == id);
    if let Some(read) = read {
        return Some(read.kind);
    }
    let derived = owner.step.iter().flat_map(|s| &s.derived).find(|d| d.id.0 == id)?;
    // A derived value may follow from readings only, so this ends.
    let first = self::full(owner, &derived.of.first()?.value);
    let (operation, id) = first.split_once('.')?;
    let owner = &operations.get(operation)?.row;
    owner.step.iter().flat_map(StepRow::written).find(|r| r.id.0 == id).map(|r| r.kind)
}

/// Whether a name is a derived value: nothing agrees with it, it has limits of its own.
fn is_derived(operations: &BTreeMap<String, Operation>, row: &OperationRow, name: &str) -> bool {
    let full = full(row, name);
    let Some((operation, id)) = full.split_once('.') else { return false };
    let owner = operations.get(operation).map(|o| &o.row);
    owner.is_some_and(|o| o.step.iter().flat_map(|s| &s.derived).any(|d| d.id.0 == id))
}

/// Whether a reading takes the place of a value of the job.
fn replaces(operations: &BTreeMap<String, Operation>, row: &OperationRow, name: &str) -> bool {
    let full = full(row, name);
    let Some((operation, id)) = full.split_once('.') else { return false };
    let owner = operations.get(operation).map(|o| &o.row);
    let mut read = owner.into_iter().flat_map(|o| &o.step).flat_map(StepRow::written);
    read.any(|r| r.id.0 == id && r.replaces.is_some())
}

/// What closes a card says which: one that is opened each shift.
fn check_card(row: &OperationRow, operations: &BTreeMap<String, Operation>, report: &mut Report) {
    let Some(card) = &row.card else { return };
    let opens = |o: &&Operation| o.row.each_shift && o.row.card.is_none();
    if operations.get(&*card.value.0).filter(opens).is_some() {
        return;
    }
    let known = operations.values().filter(opens).map(|o| &*o.row.id.value.0);
    let near = nearest(&card.value.0, known.clone()).or_else(|| known.clone().next());
    report.push(
        Diagnostic::error(
            "P029",
            format!(
                "\"{}\" closes the card \"{}\", which no operation opens each shift",
                row.id.value, card.value
            ),
        )
        .at(Some(card.span.clone()))
        .key(card.key.clone())
        .expected("the id of an operation with each_shift = true")
        .example(format!("card = \"{}\"", near.unwrap_or("hot-work"))),
    );
}

fn check_level(step: &StepRow, report: &mut Report) {
    let writes = step.written().next().is_some();
    let Some(level) = &step.level else { return };
    let problem = match (level.value, writes) {
        (Level::Practice, true) => Diagnostic::error(
            "P012",
            "a practice step is text without a box, but this one writes something down",
        )
        .expected("control for a value that counts, safety for one that can injure")
        .example("level = \"control\""),
        (Level::Control, false) => {
            Diagnostic::error("P012", "a control step writes nothing down, so nothing controls it")
                .expected("a reading with a limit, or practice for text without a box")
                .example("level = \"practice\"")
        }
        _ => return,
    };
    report.push(problem.at(Some(level.span.clone())).key(level.key.clone()));
}

fn check_reading(
    row: &OperationRow,
    reading: &ReadingRow,
    used: &BTreeSet<String>,
    operations: &BTreeMap<String, Operation>,
    report: &mut Report,
) {
    let at = |problem: Diagnostic| problem.at(Some(reading.id.span.clone())).key(reading.id.key.clone());
    if let Some(level) = &reading.level
        && level.value == Level::Practice
    {
        report.push(
            Diagnostic::error(
                "P012",
                format!("reading \"{}\" is called practice, which has no box", reading.id.value),
            )
            .at(Some(level.span.clone()))
            .key(level.key.clone())
            .expected("safety or control, or the reading left out")
            .example("level = \"control\""),
        );
    }
    let needed = used.contains(&full(row, &reading.id.value)) || reading.kept.is_some();
    if !reading.limited() && reading.replaces.is_none() && !needed {
        report.push(at(Diagnostic::error(
            "P013",
            format!(
                "reading \"{}\" of \"{}\" can't be wrong, and no figure, rule or law needs it",
                reading.id.value, row.id.value
            ),
        )
        .expected("a limit (plus, minus, least, most, near, choices), replaces, or kept with the law or standard that wants it; else leave it out")
        // What makes it a check, never a law to copy: which one wants it, its writer knows.
        .example(match reading.kind {
            ReadingKind::Text => "choices = [{ word = \"sound\" }, { word = \"cracked\", does = \"found\" }]",
            _ => "least = \"LOWEST\", most = \"HIGHEST\", each with its unit",
        })));
    }
    if needed || reading.usual.is_some() {
        check_usual(row, reading, report);
    }
    if !reading.choices.is_empty() {
        check_choices(reading, report);
    }
    let kind = kind(reading.kind);
    for spread in reading.plus.iter().chain(&reading.minus).filter(|t| share(&t.value).is_none()) {
        check_amount(spread, kind, "a tolerance", report);
    }
    for limit in reading.least.iter().chain(&reading.most) {
        check_amount(limit, kind, "a limit", report);
    }
    if let Some(wait) = reading.after_arc.as_ref().filter(|w| parse::maybe(Kind::Time, &w.value).is_none()) {
        report.push(unknown_figure(wait, Some(Kind::Time)));
    }
    if reading.since_arc == Some(true) && reading.kind != ReadingKind::Number {
        let told = format!(
            "reading \"{}\" says how many hours ago the last arc was, and is no number",
            reading.id.value
        );
        report.push(at(Diagnostic::error("P047", told)
            .expected("kind = \"number\": hours, as a clock on the wall gives them")
            .example("kind = \"number\", since_arc = true")));
    }
    if reading.dated == Some(true) && reading.kind != ReadingKind::Text {
        let told = format!("reading \"{}\" says a day, and is no text", reading.id.value);
        report.push(at(Diagnostic::error("P047", told)
            .expected("kind = \"text\": the day, and what is due")
            .example("kind = \"text\", dated = true")));
    }
    for name in &reading.not_below {
        check_name(row, name, Some(reading.kind), operations, report);
    }
    let tolerance = reading.plus.is_some() || reading.minus.is_some();
    let both = reading.least.is_some() || reading.target.is_some() && tolerance;
    let signed = reading.signed() && reading.kind != ReadingKind::Temperature;
    if let Some(most) = reading.most.as_ref().filter(|_| signed && !both) {
        report.push(one_sided(&reading.id.0, most, "signed = false where its sign says nothing"));
    }
    if let Some(apart) = &reading.apart {
        check_amount(apart, kind, "apart", report);
    }
    if let Some(near) = &reading.near {
        check_amount(&near.within, kind, "within", report);
        let wrong = |said: String, expected: &str| {
            at(Diagnostic::error("P014", said)
                .expected(expected)
                .example("near = { reading = \"first\", within = \"0.3 deg\" }"))
        };
        match (&near.figure, &near.reading) {
            (Some(figure), None) if !is_figure(&figure.value, kind) => {
                report.push(unknown_figure(figure, kind));
            }
            (None, Some(name)) => {
                check_name(row, name, Some(reading.kind), operations, report);
                if is_derived(operations, row, &name.value) {
                    report.push(wrong(
                        format!("near names \"{}\", which is worked out and never entered", name.value),
                        "a reading; what is worked out has its own least and most",
                    ));
                }
            }
            (Some(_), None) => {}
            _ => {
                let said = "near names one figure or one reading".to_owned();
                report.push(wrong(said, "figure or reading, not both"));
            }
        }
    }
}

/// What a first value is held beside where no limit, no other reading and no value of the job
/// says what it may be: without it a slipped unit or point is as good as what was read.
fn check_usual(row: &OperationRow, reading: &ReadingRow, report: &mut Report) {
    let Some(kind) = kind(reading.kind).filter(|kind| kind.has_a_size()) else { return };
    let wrong = |said: String, expected: &str| {
        Diagnostic::error("P044", said)
            .at(Some(reading.id.span.clone()))
            .key(reading.id.key.clone())
            .expected(expected)
            .example("usual = { least = \"3 in\", most = \"60 in\" }")
    };
    let name = &reading.id.value;
    let Some(usual) = &reading.usual else {
        if !reading.limited() && reading.replaces.is_none() {
            report.push(wrong(
                format!("nothing says what reading \"{name}\" of \"{}\" may be", row.id.value),
                "usual, with the least and the most that is met with; what is outside is asked back",
            ));
        }
        return;
    };
    let read = |text: &Located<Text>| parse::maybe(kind, &text.value);
    for text in [&usual.least, &usual.most].into_iter().filter(|t| read(t).is_none()) {
        report.push(unknown_figure(text, Some(kind)));
    }
    if read(&usual.least).zip(read(&usual.most)).is_some_and(|(least, most)| least.si() >= most.si()) {
        report.push(wrong(format!("what is usual of \"{name}\" has no width"), "least below most"));
    }
}

/// A value that has a sign, limited above only: any however far below conforms.
fn one_sided(id: &str, most: &Located<Text>, or: &str) -> Diagnostic {
    Diagnostic::error(
        "P023",
        format!("\"{id}\" has a sign and is limited above only, so however far below conforms"),
    )
    .at(Some(most.span.clone()))
    .key(most.key.clone())
    .expected(format!("least as well, or {or}"))
    .example("least = \"-0.5 deg\"")
}

fn check_choices(reading: &ReadingRow, report: &mut Report) {
    let mut words = BTreeSet::new();
    for choice in &reading.choices {
        if !words.insert(choice.word.value.to_lowercase()) {
            report.push(
                Diagnostic::error("P017", format!("the word \"{}\" is offered twice", choice.word.value))
                    .at(Some(choice.word.span.clone()))
                    .key(choice.word.key.clone())
                    .expected("words that differ")
                    .example("choices = [{ word = \"sound\" }, { word = \"cracked\", does = \"found\" }]"),
            );
        }
    }
    let conforms = reading.choices.iter().any(|c| c.does == Does::Conforms);
    if reading.kind != ReadingKind::Text || reading.choices.len() < 2 || !conforms {
        report.push(
            Diagnostic::error("P018", format!("the words of \"{}\" leave no choice", reading.id.value))
                .at(Some(reading.id.span.clone()))
                .key(reading.id.key.clone())
                .expected("a text reading with two words or more, one of which conforms")
                .example("choices = [{ word = \"sound\" }, { word = \"cracked\", does = \"found\" }]"),
        );
    }
}

fn check_derived(
    row: &OperationRow,
    derived: &DerivedRow,
    operations: &BTreeMap<String, Operation>,
    report: &mut Report,
) {
    let first = derived.of.first().and_then(|name| find(operations, row, &name.value));
    for name in &derived.of {
        check_name(row, name, first, operations, report);
    }
    let enough = match derived.take {
        Take::Difference => derived.of.len() >= 2,
        // The plan's own: what it follows from is of several kinds.
        Take::ArcEnergy => false,
        Take::LeftMinusRight | Take::Mean | Take::Least | Take::Largest => !derived.of.is_empty(),
    };
    if !enough {
        report.push(
            Diagnostic::error("P019", format!("\"{}\" follows from too few readings", derived.id.value))
                .at(Some(derived.id.span.clone()))
                .key(derived.id.key.clone())
                .expected("of with the readings it follows from; two or more for a difference")
                .example("of = [\"ride\", \"yokes\"]"),
        );
    }
    if derived.as_planned && !derived.of.iter().all(|name| replaces(operations, row, &name.value)) {
        report.push(
            Diagnostic::error(
                "P024",
                format!(
                    "\"{}\" is held as planned against readings the plan knows nothing of",
                    derived.id.value
                ),
            )
            .at(Some(derived.id.span.clone()))
            .key(derived.id.key.clone())
            .expected("as_planned only where each reading takes the place of a value of the job")
            .example("replaces = \"cut.walls\", at each of its readings")
            .help("without it a reading that is equal to its limit is not proven to hold"),
        );
    }
    let differs = matches!(derived.take, Take::Difference | Take::LeftMinusRight);
    if let Some(most) = derived.most.as_ref().filter(|_| differs && derived.least.is_none()) {
        report.push(one_sided(&derived.id.0, most, "another way it follows"));
    }
    let kind = first.and_then(kind);
    for limit in derived.least.iter().chain(&derived.most) {
        check_amount(limit, kind, "a limit", report);
    }
}

/// A reading that is named exists, and is of the kind of the one beside it.
fn check_name(
    row: &OperationRow,
    name: &Located<Text>,
    beside: Option<ReadingKind>,
    operations: &BTreeMap<String, Operation>,
    report: &mut Report,
) {
    let problem = match find(operations, row, &name.value) {
        Some(found) if beside.is_none_or(|b| b == found) => return,
        Some(found) => Diagnostic::error(
            "P015",
            format!("\"{}\" is {}, not of one kind with what it is set beside", name.value, found),
        )
        .expected("readings of one kind")
        .example("near = { reading = \"first\", within = \"0.3 deg\" }"),
        None => {
            let own = row.step.iter().flat_map(StepRow::written).map(|r| &*r.id.0);
            let mut problem = Diagnostic::error("P022", format!("there is no reading \"{}\"", name.value))
                .expected("a reading of this operation, or operation.reading of another")
                .example("near = { reading = \"first\", within = \"0.3 deg\" }");
            if let Some(near) = nearest(&name.value, own) {
                problem = problem.help(format!("did you mean \"{near}\"?")).example(format!("\"{near}\""));
            }
            problem
        }
    };
    report.push(problem.at(Some(name.span.clone())).key(name.key.clone()));
}

/// The kind of quantity a reading holds; none for words.
pub(super) fn kind(kind: ReadingKind) -> Option<Kind> {
    if kind == ReadingKind::Pressure {
        return Some(Kind::Stress);
    }
    Kind::ALL.iter().copied().find(|k| k.word() == kind.word())
}

pub(super) fn is_figure(name: &str, kind: Option<Kind>) -> bool {
    [Scope::Side, Scope::Component, Scope::Joint, Scope::Fastener]
        .into_iter()
        .filter_map(|scope| catalogue::find(scope, name))
        .any(|n| n.kind == kind)
}

fn check_amount(text: &Located<Text>, kind: Option<Kind>, what: &str, report: &mut Report) {
    let Some(kind) = kind else {
        report.push(
            Diagnostic::error("P020", format!("{what} needs a reading that holds a quantity"))
                .at(Some(text.span.clone()))
                .key(text.key.clone())
                .expected("a reading of kind length, angle, torque …")
                .example("kind = \"angle\""),
        );
        return;
    };
    if !is_figure(&text.value, Some(kind)) && parse::maybe(kind, &text.value).is_none() {
        report.push(unknown_figure(text, Some(kind)));
    }
}

pub(super) fn unknown_figure(text: &Located<Text>, kind: Option<Kind>) -> Diagnostic {
    let word = kind.map_or("quantity", Kind::word);
    Diagnostic::error("P021", format!("\"{}\" is no job figure of kind {word} and no {word}", text.value))
        .at(Some(text.span.clone()))
        .key(text.key.clone())
        .expected(format!("a figure of the catalogue, or a quantity of kind {word}"))
        .example(kind.map_or_else(String::new, |k| format!("\"{}\"", k.example())))
}

//! Ids, stamps and initials used twice; names that point nowhere; people.

use std::collections::BTreeMap;

use super::at;
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::file::{Id, Located, Text};
use crate::shop::model::{Book, Person, Role};
use crate::term::name::{alike, initials, on_paper};

pub(super) fn check(book: &Book, report: &mut Report) {
    unique("person", book.person.iter().map(|p| &p.id), report);
    unique("qualification", book.qualification.iter().map(|q| &q.id), report);
    unique("procedure", book.wps.iter().map(|w| &w.id), report);
    unique("machine", book.machine.iter().map(|m| &m.id), report);
    unique(
        "tool",
        book.instrument.iter().map(|i| &i.id).chain(book.torque_tool.iter().map(|t| &t.id)),
        report,
    );
    unique("lot", book.lot.iter().map(|l| &l.id), report);
    unique("rule", book.rule.iter().map(|r| &r.id), report);
    once("stamp", book.person.iter().filter_map(|p| p.stamp.as_ref()), report);
    once("initials", book.person.iter().filter_map(|p| p.initials.as_ref()), report);
    one_name(book, report);
    told_apart("person", book.person.iter().map(|p| &p.id), report);
    told_apart("procedure", book.wps.iter().map(|w| &w.id), report);
    told_apart("machine", book.machine.iter().map(|m| &m.id), report);
    let tools = book.instrument.iter().map(|i| &i.id);
    told_apart("tool", tools.chain(book.torque_tool.iter().map(|t| &t.id)), report);
    initials_of_another(book, report);
    numbers(book, report);
    let people: Vec<&str> = book.person.iter().map(|p| &*p.id.0).collect();
    for test in &book.qualification {
        points(&test.person, &people, report);
        if let Some(person) = book.person(&test.person.value)
            && !person.role.contains(&Role::Welder)
        {
            report.push(at(
                Diagnostic::error(
                    "S004",
                    format!("{} has a test but is not entered as a welder", person.id.value),
                )
                .expected("a person with the role welder")
                .example("role = [\"welder\"]"),
                &test.person,
            ));
        }
    }
    for id in book.wps.iter().filter_map(|w| w.released_by.as_ref()) {
        points(id, &people, report);
    }
    for person in &book.person {
        if person.role.is_empty() {
            report.push(at(
                Diagnostic::error("S005", format!("{} has no role", person.id.value))
                    .expected(Role::WORDS.join(", "))
                    .example("role = [\"welder\"]"),
                &person.id,
            ));
        }
        if let Some(pin) = &person.pin
            && !argon2(&pin.value)
        {
            report.push(at(
                Diagnostic::error("S006", format!("the pin of {} is not an Argon2 hash", person.id.value))
                    .expected("a hash in PHC form; the PIN itself never stands in the book")
                    .example("pin = \"$argon2id$v=19$m=19456,t=2,p=1$c2FsdHNhbHQ$…\""),
                pin,
            ));
        }
    }
}

/// Whether a text has the parts of an Argon2 hash in PHC form: kind, version,
/// cost, salt, hash.
fn argon2(text: &str) -> bool {
    let parts: Vec<&str> = text.split('$').collect();
    matches!(parts.as_slice(), ["", "argon2id" | "argon2i" | "argon2d", version, cost, salt, hash]
        if version.starts_with("v=") && cost.contains("m=") && !salt.is_empty() && !hash.is_empty())
}

fn unique<'a>(what: &str, ids: impl Iterator<Item = &'a Located<Id>>, report: &mut Report) {
    let mut seen: BTreeMap<&str, ()> = BTreeMap::new();
    for id in ids {
        if seen.insert(&id.0, ()).is_some() {
            report.push(at(
                Diagnostic::error("S001", format!("two {what}s are called \"{}\"", id.value))
                    .expected("an id used once")
                    .example(format!("id = \"{}-2\"", id.value)),
                id,
            ));
        }
    }
}

/// Ids that tell two rows apart for whoever types them, and for nobody who reads them.
fn told_apart<'a>(what: &str, ids: impl Iterator<Item = &'a Located<Id>>, report: &mut Report) {
    let mut seen: Vec<&Id> = Vec::new();
    for id in ids {
        if let Some(first) = seen.iter().find(|first| ***first != id.value && alike(&first.0, &id.value.0)) {
            report.push(at(
                Diagnostic::error("S003", format!("{what} {} reads as {first} does", id.value))
                    .expected("an id that is another one on paper too: capitals, I, l and 1, O and 0 tell nobody apart")
                    .example(format!("id = \"{}-2\"", id.value)),
                id,
            ));
        }
        seen.push(&id.value);
    }
}

/// What a person writes into a box is nobody else's id, and reads as nobody else's initials.
fn initials_of_another(book: &Book, report: &mut Report) {
    let mut before: Vec<&Person> = Vec::new();
    for person in &book.person {
        let Some(own) = &person.initials else { continue };
        let mut others = book.person.iter().filter(|p| p.id.value != person.id.value);
        let of_id = others.find(|p| alike(&p.id.value.0, &own.value));
        // Those that are typed alike were told before.
        let drawn = |p: &&&Person| {
            p.initials.as_ref().is_some_and(|i| {
                alike(&i.value, &own.value) && i.value.to_lowercase() != own.value.to_lowercase()
            })
        };
        if let Some(other) = of_id.or_else(|| before.iter().find(drawn).copied()) {
            report.push(at(
                Diagnostic::error(
                    "S003",
                    format!("initials \"{}\" of {} read as {}", &*own.value, person.id.value, other.id.value),
                )
                .expected("initials that tell one person from every other")
                .example(format!("initials = \"{}\"", person.id.value)),
                own,
            ));
        }
        before.push(person);
    }
}

fn once<'a>(what: &str, texts: impl Iterator<Item = &'a Located<Text>>, report: &mut Report) {
    let mut seen: BTreeMap<String, ()> = BTreeMap::new();
    for text in texts {
        if seen.insert(text.value.to_lowercase(), ()).is_some() {
            report.push(at(
                Diagnostic::error("S003", format!("{what} \"{}\" belongs to two people", &*text.value))
                    .expected(format!("{what} that tell one person from every other"))
                    .example(format!("{what} = \"{}-2\"", &*text.value)),
                text,
            ));
        }
    }
}

/// Names, as a reader sees them: one person has one id.
fn one_name(book: &Book, report: &mut Report) {
    let mut seen: Vec<(&str, &Id)> = Vec::new();
    for person in book.person.iter().filter(|p| !p.name.is_blank()) {
        if let Some((_, first)) = seen.iter().find(|(name, _)| alike(name, &person.name)) {
            report.push(at(
                Diagnostic::error(
                    "S003",
                    format!(
                        "name \"{}\" of {} reads as that of {first}: one person has one id",
                        &*person.name, person.id.value
                    ),
                )
                .expected("names that tell one person from every other, whatever letters they are typed in")
                .example(format!("name = \"{} (stamp 7)\", or one row with all the roles", &*person.name)),
                &person.id,
            ));
        }
        seen.push((&person.name, &person.id.value));
    }
}

/// An id that reads like a point on paper is two things to whoever signs or types it.
fn numbers(book: &Book, report: &mut Report) {
    let people = book.person.iter().map(|p| ("person", &p.id, initials(&p.name)));
    let tools = book.instrument.iter().map(|i| (&i.id, "IN"));
    let tools = tools.chain(book.torque_tool.iter().map(|t| (&t.id, "TW")));
    let tools = tools.chain(book.machine.iter().map(|m| (&m.id, "M")));
    let tools = tools.map(|(id, letters)| {
        let number = id.value.trim_start_matches(|c: char| c.is_alphabetic());
        ("tool", id, format!("{letters}-{number}"))
    });
    for (what, id, other) in people.chain(tools) {
        let Some(stands) = on_paper(&id.value) else { continue };
        report.push(at(
            Diagnostic::warning("S218", format!("{what} {} has the number of {stands}", id.value))
                .expected("an id that reads like no point and no found condition on paper")
                .example(if other.is_empty() {
                    "id = \"…\"".to_owned()
                } else {
                    format!("id = \"{other}\"")
                }),
            id,
        ));
    }
}

fn points(id: &Located<Id>, names: &[&str], report: &mut Report) {
    if names.contains(&&*id.0) {
        return;
    }
    let mut problem =
        Diagnostic::error("S002", format!("there is no person \"{}\"", id.value)).expected(names.join(", "));
    match (nearest(&id.value, names.iter().copied()), names) {
        (Some(near), _) => {
            problem = problem.example(format!("\"{near}\"")).help(format!("did you mean \"{near}\"?"));
        }
        (None, [only]) => problem = problem.example(format!("\"{only}\"")),
        (None, _) => {}
    }
    report.push(at(problem, id));
}

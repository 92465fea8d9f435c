//! Words of a job that nobody knows: they would do nothing, unseen.

use std::collections::{BTreeMap, BTreeSet};

use super::shop::ShopBook;
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::file::{Id, Located, Text};
use crate::job::JobFile;
use crate::job::model::{Disposition, OwnOperation, Role};
use crate::plan::Operation;
use crate::procedure::Library;
use crate::procedure::selected::Selection;
use crate::routing::rules::{self, parts};

/// Waivers of rules nobody has: they would waive nothing, unseen.
pub(super) fn rules_waived(job: &JobFile, shop: &ShopBook) -> Report {
    let own = shop.rules();
    let names: Vec<&str> =
        rules::RULES.iter().map(|r| r.id).chain(own.iter().map(|r| r.id.as_str())).collect();
    let mut report = Report::new();
    for waiver in job.waiver.iter().filter(|w| !w.rule.value.is_blank()) {
        if names.contains(&&*waiver.rule.0) {
            continue;
        }
        let near = nearest(&waiver.rule.value, names.iter().copied());
        let mut problem =
            Diagnostic::error("J211", format!("there is no rule \"{}\" to waive", waiver.rule.value))
                .at(Some(waiver.rule.span.clone()))
                .key(waiver.rule.key.clone())
                .expected(names.join(", "))
                // Never a rule of another meaning: pasted, it would be set aside.
                .example("rule = \"…\"")
                .help("`tackwright rules` says what each asks");
        if let Some(near) = near {
            problem = problem.help(format!("did you mean \"{near}\"?"));
        }
        report.push(problem);
    }
    report
}

/// Waivers for operations the job does not have: they would waive nothing, unseen.
pub(super) fn operations_waived(job: &JobFile, selection: &Selection) -> Report {
    let mut report = Report::new();
    let names: Vec<&str> =
        selection.operations.iter().flat_map(|o| [o.key.as_str(), o.id.as_str()]).collect();
    for operation in job.waiver.iter().filter_map(|w| w.operation.as_ref()) {
        let written = operation.value.0.as_str();
        if operation.value.is_blank() || names.contains(&written) {
            continue;
        }
        let mut problem =
            Diagnostic::error("J211", format!("there is no operation \"{written}\" to waive a rule for"))
                .at(Some(operation.span.clone()))
                .key(operation.key.clone())
                .expected("an operation as `tackwright route` names it, or no key for the whole job")
                .example("operation = \"…\"");
        if let Some(near) = nearest(written, names.iter().copied()) {
            problem = problem.help(format!("did you mean \"{near}\"?"));
        }
        report.push(problem);
    }
    report
}

/// Points signed by a role that nobody has: they stay shut.
pub(super) fn unmanned(job: &JobFile, operations: &[Operation], shop: &ShopBook) -> Report {
    let mut report = Report::new();
    let own = job.person.iter().flat_map(|p| p.role.iter().map(|r| r.word()));
    let book = shop.book.person.iter().flat_map(|p| p.role.iter().map(|r| r.word()));
    // Without people of its own a job is signed by those of the book.
    let mut people: BTreeSet<&str> = if job.person.is_empty() { book.collect() } else { own.collect() };
    if people.is_empty() {
        return report;
    }
    // A customer is no one of the shop, and signs with a name of his own.
    people.insert(Role::Customer.word());
    // A role that nobody of the book has either is nobody's: its points can't be signed.
    let there: BTreeSet<&str> =
        shop.book.person.iter().flat_map(|p| p.role.iter().map(|r| r.word())).collect();
    let mut open: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for point in operations.iter().flat_map(|o| o.points()) {
        for role in point.roles.iter().map(|r| r.word()).filter(|r| !people.contains(r)) {
            open.entry(role).or_default().push(&point.number);
        }
    }
    let mut work: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for operation in operations {
        let role = operation.role.map(|r| r.word()).filter(|r| !people.contains(r));
        if let Some(role) = role.filter(|r| !open.contains_key(r)) {
            work.entry(role).or_default().push(operation.number.to_string());
        }
    }
    let place = job.person.first().map_or(&job.job.number.span, |p| &p.span);
    let signs = open.into_iter().map(|(role, points)| (role, format!("who signs {}", points.join(", "))));
    let works = work.into_iter().map(|(role, all)| (role, format!("who does {}", all.join(", "))));
    for (role, what) in signs.chain(works) {
        let text = format!("nobody on the job is {role}, {what}");
        let problem = if !there.contains(role) && !shop.demo {
            Diagnostic::stop("J120", format!("{text}, and nobody of the shop book"))
        } else {
            Diagnostic::warning("J120", text)
        };
        report.push(
            problem
                .at(Some(place.clone()))
                .key("person")
                .expected(format!("a [[person]] with the role {role}"))
                .example(format!("role = [\"{role}\"]")),
        );
    }
    report
}

/// Fewest letters of a reason that says anything.
const REASON: usize = 12;

/// Waivers by somebody who may not waive, or without a reason.
pub(super) fn waived_by(job: &JobFile) -> Report {
    let mut report = Report::new();
    let leads = || job.person.iter().filter(|p| p.role.contains(&Role::Lead));
    for waiver in &job.waiver {
        let put = |problem: Diagnostic, key: &str| {
            problem
                .at(Some(waiver.rule.span.clone()))
                .key(format!("{}.{key}", waiver.rule.key.trim_end_matches(".rule")))
        };
        let by = waiver.by.0.trim();
        let is = |word: &str| word.eq_ignore_ascii_case(by);
        if !by.is_empty() && !leads().any(|p| is(&p.id.0) || is(&p.name.0)) {
            let names: Vec<String> = leads().map(|p| p.name.0.clone()).collect();
            let problem = Diagnostic::error(
                "J218",
                format!("\"{by}\" is no lead of this job and waives no safety rule"),
            )
            .expected(if names.is_empty() { "a lead of the job".to_owned() } else { names.join(", ") })
            .example(format!("by = \"{}\"", names.first().map_or("…", String::as_str)));
            report.push(put(problem, "by"));
        }
        let letters = waiver.reason.0.chars().filter(|c| c.is_alphanumeric()).count();
        if !waiver.reason.0.trim().is_empty() && letters < REASON {
            let problem = Diagnostic::error(
                "J219",
                format!("\"{}\" is no reason to waive a safety rule", waiver.reason.0),
            )
            .expected("why it is safe without, in a sentence: it is printed on the head page")
            .example("reason = \"…\"");
            report.push(put(problem, "reason"));
        }
    }
    report
}

/// Found conditions nobody decided about: work on what was found waits for a lead.
pub(super) fn decided(job: &JobFile) -> Report {
    let mut report = Report::new();
    let leads: Vec<_> = job.person.iter().filter(|p| p.role.contains(&Role::Lead)).collect();
    for found in &job.found {
        let what = found.what.0.trim();
        let by = leads.first().map_or("…", |p| &*p.name.0);
        let open = found.disposition == Disposition::Open;
        let problem = match found.decided.as_ref().map(|d| d.0.trim()) {
            Some(decided) if !open => {
                if leads.is_empty() || found.decided.as_ref().is_some_and(Text::is_blank) {
                    continue;
                }
                let said = decided.to_lowercase();
                let mut words = said.split(|c: char| !c.is_alphanumeric() && c != '-');
                let mut names = leads.iter().map(|p| (p.name.0.to_lowercase(), p.id.0.to_lowercase()));
                if names.any(|(name, id)| said.contains(&name) || words.any(|word| word == id)) {
                    continue;
                }
                Diagnostic::stop("J244", format!("\"{decided}\" names no lead of this job"))
                    .expected(leads.iter().map(|p| p.name.0.clone()).collect::<Vec<_>>().join(", "))
                    .example(format!("decided = \"{by}: {decided}\""))
            }
            _ => {
                let message = if open {
                    format!("nobody has decided about what was found: {what}")
                } else {
                    let word = found.disposition.word();
                    format!("disposition \"{word}\" of what was found, {what}, is nobody's decision")
                };
                Diagnostic::stop("J243", message)
                    .expected("the lead who decided, and what")
                    .example(if open {
                        format!("disposition = \"…\" and decided = \"{by}: …\"")
                    } else {
                        format!("decided = \"{by}: …\"")
                    })
                    .help("what the lead is still to decide is entered in the record, where it holds the work: tackwright found")
            }
        };
        let key = if open { "disposition" } else { "decided" };
        report.push(
            problem
                .at(Some(found.date.span.clone()))
                .key(format!("{}.{key}", found.date.key.trim_end_matches(".date"))),
        );
    }
    report
}

/// Part words of the job's own operations that no safety rule knows.
///
/// A part that is taken off and put back under one word is known by that: the
/// rule that asks for it back needs no table.
pub(super) fn parts(job: &JobFile, library: &Library, shop: &ShopBook) -> Report {
    let own = shop.rules();
    let theirs = library.operations.values();
    let known: Vec<String> = parts::PARTS
        .iter()
        .map(|p| p.word.to_owned())
        .chain(own.iter().flat_map(|r| r.at.iter().chain(&r.near)).map(|w| parts::spelled(w)))
        .chain(theirs.flat_map(|o| o.row.at.iter().chain(&o.row.removes).chain(&o.row.refits)).map(spelled))
        .collect();
    let words = |list: fn(&OwnOperation) -> &Vec<Located<Id>>| {
        job.operation.iter().flat_map(list).map(spelled).collect::<Vec<_>>()
    };
    let (removed, refitted) = (words(|o| &o.removes), words(|o| &o.refits));
    let mut report = Report::new();
    for operation in &job.operation {
        let lists = [
            (&operation.at, None),
            (&operation.removes, Some(&refitted)),
            (&operation.refits, Some(&removed)),
        ];
        for (word, other) in lists.iter().flat_map(|(list, other)| list.iter().map(move |w| (w, other))) {
            let written = spelled(word);
            if word.value.is_blank()
                || known.contains(&written)
                || other.is_some_and(|o| o.contains(&written))
            {
                continue;
            }
            let near = nearest(&written, known.iter().map(String::as_str));
            let mut problem =
                Diagnostic::error("J213", format!("no safety rule knows the part \"{}\"", word.value))
                    .at(Some(word.span.clone()))
                    .key(word.key.clone())
                    .expected(known.join(", "))
                    .example(format!("\"{}\"", near.unwrap_or("housing")));
            if let Some(near) = near {
                problem = problem.help(format!("did you mean \"{near}\"?"));
            }
            report.push(problem);
        }
    }
    report
}

fn spelled(word: &Located<Id>) -> String {
    parts::spelled(&word.0)
}

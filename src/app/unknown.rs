//! Words of a job that nobody knows: they would do nothing, unseen.

use super::shop::ShopBook;
use crate::diagnostic::{Diagnostic, Report, nearest};
use crate::file::{Id, Located};
use crate::job::JobFile;
use crate::job::model::OwnOperation;
use crate::procedure::Library;
use crate::routing::rules::{self, parts};

/// Waivers of rules nobody has: they would waive nothing, unseen.
pub(super) fn rules_waived(job: &JobFile, shop: &ShopBook) -> Report {
    let own = shop.rules();
    let names: Vec<&str> =
        rules::RULES.iter().map(|r| r.id).chain(own.iter().map(|r| r.id.as_str())).collect();
    let mut report = Report::new();
    for waiver in job.waiver.iter().filter(|w| !w.rule.value.is_blank()) {
        if names.contains(&&*waiver.rule.value.0) {
            continue;
        }
        let near = nearest(&waiver.rule.value, names.iter().copied());
        let mut problem =
            Diagnostic::error("J211", format!("there is no rule \"{}\" to waive", waiver.rule.value))
                .at(Some(waiver.rule.span.clone()))
                .key(waiver.rule.key.clone())
                .expected(names.join(", "))
                .example(format!("rule = \"{}\"", near.unwrap_or("…")))
                .help("`tackwright rules` says what each asks");
        if let Some(near) = near {
            problem = problem.help(format!("did you mean \"{near}\"?"));
        }
        report.push(problem);
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
    parts::spelled(&word.value.0)
}

//! What did not go as planned, or rests on trust: who decided, and why.

use std::collections::BTreeMap;

use super::super::super::super::document::{Document, Exception, FoundEntry, Section};
use super::super::{Facts, day, moment};
use super::corrected::corrected;
use super::later;
use super::prints::{unmeasured_sheets, void_prints};
use super::{Taken, figure_read, made_again, photo, rested, sentence, taken, unqualified};
use crate::plan::Words;
use crate::quantity::Kind;
use crate::record::Entry;
use crate::record::entry::Action;
use crate::record::fallen::Fallen;
use crate::record::frozen::{Operation, Point};
use crate::record::hours;
use crate::record::identified::{by_pin, not_borne_out};
use crate::record::moved::Lost;
use crate::record::question::WORDS_STAND;
use crate::record::rules::short;
use crate::record::state::{Found, Mark};
use crate::record::waiver::Waiver;
use crate::term::{Does, Verdict, counted};

/// Kind of a found condition, before its number.
pub(super) const FOUND: &str = "Found condition";
/// Kind of a condition that was found before the issue, before its number.
const FOUND_BEFORE: &str = "Found before the issue";
/// Kind of procedures that do not ship with the program.
pub(super) const OWN_PROCEDURES: &str = "Procedures of the shop's own";
/// Kind of a rule between readings, or of a word, that stops the work.
pub(super) const STOP_RULE: &str = "Stop rule";
/// Kind of a signature somebody else saw on paper.
pub(super) const SEEN: &str = "Signed on paper";
/// Kind of a reading that is hardly right.
pub(super) const ALL_THE_SAME: &str = "Entered all the same";
/// Kind of a test by somebody who is not certified for it.
pub(super) const TESTER: &str = "Tester without a certificate";
/// Kind of what was not written down as it was done.
pub(super) const LATER: &str = "Written down at another time";
/// Kind of what is signed by a PIN that what was issued does not bear out.
pub(super) const PIN_ELSEWHERE: &str = "Signed with another PIN";
/// Kind of what somebody answers for and entered hours after the time stated for it.
pub(super) const BACK_DATED: &str = "Stated hours before it was entered";
/// Kind of a time that can hardly be true.
pub(super) const HARDLY_TRUE: &str = "Time that can hardly be true";
/// Such times that are named one by one.
const TIMES: usize = 8;

/// Pictures shown with a found condition; all of them are attached.
const PHOTOS: usize = 2;

/// Everything, in the order it matters to a reader: what is open comes first.
pub(super) fn section(document: &Document, facts: &Facts<'_>) -> Section<Exception> {
    let mut rows = Vec::new();
    rows.extend(open_work(facts));
    rows.extend(no_longer(facts));
    rows.extend(facts.state.founds.iter().map(|f| found(facts, f)));
    rows.extend(document.found.iter().flat_map(|sheet| &sheet.entries).map(found_before));
    rows.extend(departures(facts));
    rows.extend(later::all_the_same(facts));
    rows.extend(stop_rules(facts));
    rows.extend(rested::rows(facts));
    rows.extend(made_again::rows(facts));
    rows.extend(waived_witnesses(facts));
    rows.extend(waived_rules(document));
    rows.extend(own_procedures(document));
    rows.extend(unqualified::rows(document, facts));
    rows.extend(waived_testers(facts));
    rows.extend(no_pin(facts));
    rows.extend(seen_on_paper(facts));
    rows.extend(other_pin(facts));
    rows.extend(hardly_true(facts));
    rows.extend(makers_figures(document, facts));
    rows.extend(unmeasured_sheets(facts));
    rows.extend(void_prints(facts));
    rows.extend(later::rows(facts));
    rows.extend(corrected(facts));
    rows.sort_by_key(|r| !r.open);
    let open = rows.iter().filter(|r| r.open).count();
    let notes = match (rows.len(), open) {
        (0, _) => vec![Words::plain("None. Nothing was found that the plan did not foresee, every reading stands inside its limits, every point was signed by somebody identified, and no rule was set aside.")],
        (_, 0) => vec![Words::plain(
            "Everything that did not go as planned, or that you take on trust. Each was decided by the person named.",
        )],
        (_, n) => vec![Words::default()
            .strong(format!("{} open. ", counted(n, "of these is", "of these are")))
            .then("Everything that did not go as planned, or that you take on trust; what is open stands first.")],
    };
    Section { notes, rows }
}

/// Signatures on paper that somebody else saw there and entered: no PIN was given.
fn seen_on_paper(facts: &Facts<'_>) -> Vec<Exception> {
    let mut rows = Vec::new();
    for (operation, point) in points(facts) {
        for signed in facts.state.signatures(&operation.key, &point.slot) {
            let Some(seen) = &signed.seen_by else { continue };
            rows.push(Exception {
                kind: SEEN.to_owned(),
                place: format!("{}; entry {}", place(operation), signed.mark.n),
                what: format!("{} by {}: {}.", point.number, who(&signed.mark), signed.how),
                reason: format!("The word of {} ({}) for it; the signer gave no PIN.", seen.name, seen.id),
                ..Exception::default()
            });
        }
    }
    rows
}

pub(super) fn who(mark: &Mark) -> String {
    format!("{} ({}, {})", mark.by.name, mark.by.id, mark.by.role)
}

pub(super) fn place(operation: &Operation) -> String {
    format!("operation {}, {}", operation.number, lower(&operation.title))
}

fn lower(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |c| c.to_lowercase().chain(letters).collect())
}

/// Work and signatures that are lacking.
fn open_work(facts: &Facts<'_>) -> Vec<Exception> {
    let lacking: Vec<(&Operation, Vec<String>)> = facts
        .plan
        .operations
        .iter()
        .filter(|o| !o.deferred)
        .map(|o| (o, facts.state.lacking(o)))
        .filter(|(_, what)| !what.is_empty())
        .collect();
    let Some((first, what)) = lacking.first() else { return Vec::new() };
    let all: usize = lacking.iter().map(|(_, what)| what.len()).sum();
    let shown = what.iter().take(4).cloned().collect::<Vec<_>>().join(", ");
    vec![Exception {
        kind: "Work not finished".to_owned(),
        place: format!("{}; first: {}", counted(lacking.len(), "operation", "operations"), place(first)),
        what: format!("{} not entered, first: {shown}.", counted(all, "place is", "places are")),
        reason: "Not done, or not written down.".to_owned(),
        open: true,
        ..Exception::default()
    }]
}

/// Readings that no longer hold by the plan as it moved, and signatures that no longer
/// hold: what they rest on failed since.
fn no_longer(facts: &Facts<'_>) -> Vec<Exception> {
    let planned = |key: &str| facts.plan.operations.iter().find(|o| o.key == key);
    let reading = |lost: &Lost| {
        Some(Exception {
            kind: "Reading no longer holds".to_owned(),
            place: place(planned(&lost.operation)?),
            what: format!("{}.", lost.told()),
            reason: "What was read since moved its limit. NOT DECIDED.".to_owned(),
            open: true,
            ..Exception::default()
        })
    };
    let point = |one: &Fallen| {
        let operation = planned(&one.key)?;
        let said = operation.points().find(|p| p.slot == one.slot).map_or("", |p| p.what.as_str());
        Some(Exception {
            kind: format!("{} no longer holds", one.number),
            place: format!("{}; signed by {}, entry {}", place(operation), one.by, one.entry),
            what: format!("What was signed: {}.", lower(said.trim_end_matches('.'))),
            reason: format!("{}.", sentence(&short(&one.why))),
            open: true,
            ..Exception::default()
        })
    };
    facts.lost.iter().filter_map(reading).chain(facts.fallen.iter().filter_map(point)).collect()
}

/// A found condition, with its pictures and what shows that it was put right.
fn found(facts: &Facts<'_>, found: &Found) -> Exception {
    let decided = found.disposition.as_ref();
    let rejected = facts.state.rejected(found);
    let proof = proof(facts, found);
    let wanted = decided.is_some_and(|(what, ..)| what.puts_right());
    let at = found.reading.as_ref().map_or_else(
        || format!("operation {}", found.operation),
        |reading| format!("operation {}, reading {}", found.operation, reading),
    );
    let lacking = wanted && proof.is_empty();
    let outside: Vec<String> = found
        .reading
        .iter()
        .flat_map(|id| facts.state.all_readings(&found.key, id))
        .filter(|(m, mark)| m.verdict.decided() && !m.verdict.is(Verdict::Conform) && mark.n <= found.mark.n)
        .filter(|(m, _)| !found.text.contains(&m.text))
        .map(|(m, _)| {
            let limit = m.target.as_ref().map_or(String::new(), |t| format!("; limit {t}"));
            format!(" Read {}{limit}.", m.text)
        })
        .collect();
    Exception {
        kind: format!("{FOUND} {}", found.number),
        place: format!("{at}; found by {}, {}", who(&found.mark), day(&found.mark.at)),
        what: format!("{}.{}", found.text.trim_end_matches('.'), outside.concat()),
        reason: match decided {
            Some((what, why, _)) if rejected => format!("{what}: {why}. NOTHING TOOK ITS PLACE."),
            Some((what, why, _)) => format!("{what}: {why}{}", stand(facts, found)),
            None => "NOT DECIDED.".to_owned(),
        },
        decided: decided.map_or_else(String::new, |(_, _, mark)| {
            format!("{}, {}, entry {}", who(mark), day(&mark.at), mark.n)
        }),
        proof: if lacking {
            "Nothing in this record shows that it was put right.".to_owned()
        } else {
            proof.join("; ")
        },
        open: decided.is_none() || rejected || lacking,
        photos: found
            .photos
            .iter()
            .take(PHOTOS)
            .map(|p| photo(p, format!("Photo of {}: {}", found.number, found.text)))
            .collect(),
    }
}

/// A condition that was found before the paper was issued, as the job has it.
fn found_before(entry: &FoundEntry) -> Exception {
    let decided = entry.disposition.as_deref();
    Exception {
        kind: format!("{FOUND_BEFORE} {}", entry.number),
        place: entry.place.clone(),
        what: format!("{}.", entry.found.trim_end_matches('.')),
        reason: decided.map_or_else(
            || "NOT DECIDED.".to_owned(),
            |what| format!("{what}, by the job as it was issued; no entry of this record."),
        ),
        decided: entry.decided.clone().unwrap_or_default(),
        open: decided.is_none(),
        ..Exception::default()
    }
}

/// The words a lead let stand beside what was found.
fn stand(facts: &Facts<'_>, found: &Found) -> String {
    let words = facts.state.words_before(facts.plan, found);
    let said: Vec<String> =
        words.iter().map(|q| format!("{}: {}", q.reading.label, q.measured.text)).collect();
    if found.words_stand { format!(". {}: {}", sentence(WORDS_STAND), short(&said)) } else { String::new() }
}

/// The reading that shows it put right: its own where that was taken again, else the other
/// one of the rule that was broken, by its name.
fn read_right(facts: &Facts<'_>, found: &Found) -> Option<String> {
    let (measured, mark) = facts.state.read_right(facts.plan, found)?;
    let id = found.reading.as_deref()?;
    let own = facts.state.reading(&found.key, id).map(|(m, mark)| (m, mark));
    let again = own.filter(|(_, own)| own.n > found.mark.n || own.n == mark.n);
    let other = again.is_none().then(|| taken(facts).find(|t| t.mark.n == mark.n)).flatten();
    let what = other.map_or_else(String::new, |t| format!("{} ", t.reading.label));
    let (measured, mark) = again.unwrap_or((measured, mark));
    let conforms = measured.verdict.is(Verdict::Conform);
    let is = if conforms { "conforms" } else { "no limit of its own, no rule is broken" };
    let day = day(&mark.at);
    Some(format!("{what}read again {day}: {}, {is} ({}, entry {})", measured.text, mark.by.id, mark.n))
}

/// What shows that it was put right: a reading of the same place that conforms, and
/// signatures at the work a revision added for it.
fn proof(facts: &Facts<'_>, found: &Found) -> Vec<String> {
    let mut shown = Vec::new();
    shown.extend(read_right(facts, found));
    if found.reading.is_none() {
        shown.extend(facts.state.shown_right(facts.plan, found));
    }
    for operation in facts.state.work_for(facts.plan, found) {
        for point in operation.after.iter().chain(&operation.before) {
            for signed in facts.state.signatures(&operation.key, &point.slot).iter().filter(|s| !s.waived) {
                shown.push(format!(
                    "{} signed {} by {}: {} (operation {}, {})",
                    point.number,
                    day(&signed.mark.at),
                    signed.mark.by.name,
                    lower(point.what.trim_end_matches('.')),
                    operation.number,
                    lower(&operation.title)
                ));
            }
        }
    }
    shown
}

/// Readings outside or not proven, the earlier ones of a place too; those with a
/// found condition of their own stand there.
fn departures(facts: &Facts<'_>) -> Vec<Exception> {
    let mut rows = Vec::new();
    for operation in &facts.plan.operations {
        for reading in operation.readings() {
            let bad = facts
                .state
                .all_readings(&operation.key, &reading.id)
                .filter(|(m, _)| m.verdict.is(Verdict::NotConform) || m.verdict.is(Verdict::NotProven));
            for (measured, mark) in bad {
                // Told with the found condition it was decided by, unless it stops the work.
                let decided = super::decision(facts, &operation.key, &reading.id, mark.n);
                let stops = reading
                    .choices
                    .iter()
                    .any(|c| c.does == Does::Stops && c.word.eq_ignore_ascii_case(measured.text.trim()));
                if decided.is_some() && !stops {
                    continue;
                }
                let limit = measured.target.as_ref().map_or(String::new(), |t| format!("; limit {t}"));
                let word =
                    if measured.verdict.is(Verdict::NotProven) { "not proven inside" } else { "outside" };
                rows.push(Exception {
                    kind: if stops { STOP_RULE } else { "Reading outside its limit" }.to_owned(),
                    place: format!(
                        "{}; {}, {}, entry {}",
                        place(operation),
                        who(mark),
                        day(&mark.at),
                        mark.n
                    ),
                    what: format!("{}: {}{limit}; {word}.", reading.label, measured.text),
                    reason: decided.map_or_else(
                        || "NOT DECIDED.".to_owned(),
                        |f| {
                            let what = f.disposition.as_ref().map_or("", |(what, ..)| what.word());
                            format!("decided with {}: {what}.", f.number)
                        },
                    ),
                    decided: decided
                        .and_then(|f| f.disposition.as_ref())
                        .map_or_else(String::new, |(_, _, by)| who(by)),
                    open: decided.is_none(),
                    ..Exception::default()
                });
            }
        }
    }
    rows
}

/// Rules between readings that are broken and that nobody has decided, and those a lead
/// decided, with what was read.
fn stop_rules(facts: &Facts<'_>) -> Vec<Exception> {
    let decided = facts.state.founds.iter().flat_map(|found| {
        let at = facts.plan.operations.iter().find(|o| o.key == found.key);
        let by = found.disposition.as_ref();
        let broken = facts.state.broken_at(facts.plan, found);
        broken.into_iter().filter_map(move |words| {
            let ((what, _, mark), operation) = (by?, at?);
            Some(Exception {
                kind: STOP_RULE.to_owned(),
                place: place(operation),
                what: format!("{}.", sentence(&words)),
                reason: format!("decided with {}: {what}.", found.number),
                decided: who(mark),
                ..Exception::default()
            })
        })
    });
    let of = |operation: &Operation| {
        let number = place(operation);
        facts
            .state
            .stops(facts.plan, operation)
            .into_iter()
            .map(move |stop| Exception {
                kind: STOP_RULE.to_owned(),
                place: number.clone(),
                what: stop.words,
                reason: "NOT DECIDED.".to_owned(),
                open: true,
                ..Exception::default()
            })
            .collect::<Vec<_>>()
    };
    facts.plan.operations.iter().flat_map(of).chain(decided).collect()
}

fn points<'a>(facts: &Facts<'a>) -> impl Iterator<Item = (&'a Operation, &'a Point)> {
    facts.plan.operations.iter().flat_map(|o| o.points().map(move |p| (o, p)))
}

/// Witness points nobody came to.
fn waived_witnesses(facts: &Facts<'_>) -> Vec<Exception> {
    let mut rows = Vec::new();
    for (operation, point) in points(facts) {
        for signed in facts.state.signatures(&operation.key, &point.slot).iter().filter(|s| s.waived) {
            rows.push(Exception {
                kind: format!("Nobody came to witness {}", point.number),
                place: format!("{}; {}, entry {}", place(operation), moment(&signed.mark.at), signed.mark.n),
                what: format!("The work went on unseen: {}", point.what),
                reason: format!("Notice: {}.", signed.how.trim_end_matches('.')),
                decided: who(&signed.mark),
                ..Exception::default()
            });
        }
    }
    rows
}

/// Safety rules the job set aside.
fn waived_rules(document: &Document) -> Vec<Exception> {
    let one = |w: &super::super::super::super::document::Waiver| Exception {
        kind: "Safety rule set aside".to_owned(),
        place: w.date.clone(),
        what: w.rule.clone(),
        reason: w.reason.clone(),
        decided: w.who.clone(),
        ..Exception::default()
    };
    document.head.waivers.iter().map(one).collect()
}

/// Procedures that are not the program's: what they ask is the shop's to answer for.
fn own_procedures(document: &Document) -> Option<Exception> {
    let files = &document.head.own_procedures;
    (!files.is_empty()).then(|| Exception {
        kind: OWN_PROCEDURES.to_owned(),
        place: counted(files.len(), "file", "files"),
        what: format!("Not those that ship with the program: {}.", files.join(", ")),
        reason: "Their order, holds, limits and waiting times are the shop's own; they are attached: procedures.json.".to_owned(),
        ..Exception::default()
    })
}

/// Testers a lead let test without a certificate.
fn waived_testers(facts: &Facts<'_>) -> Vec<Exception> {
    let one = |w: &Waiver| {
        let operation = facts.plan.operations.iter().find(|o| o.key == w.key)?;
        let label = operation.readings().find(|r| r.id == w.reading).map_or("", |r| r.label.as_str());
        Some(Exception {
            kind: TESTER.to_owned(),
            place: format!("{}; {}, entry {}", place(operation), moment(&w.mark.at), w.mark.n),
            what: format!(
                "{label}: {} ({}) tests without a certificate the shop book knows.",
                w.tester.name, w.tester.id
            ),
            reason: w.reason.clone(),
            decided: who(&w.mark),
            ..Exception::default()
        })
    };
    facts.state.testers.iter().filter_map(one).collect()
}

/// Signatures and decisions that rest on an id alone, person by person.
fn no_pin(facts: &Facts<'_>) -> Vec<Exception> {
    let mut by: BTreeMap<(String, String), (Vec<String>, String)> = BTreeMap::new();
    for entry in facts.entries.iter().filter(|e| !facts.state.voided.contains(&e.n)) {
        let Some(how) = entry.identified().filter(|how| !by_pin(how)) else { continue };
        let what = signed_by(entry);
        let name = (entry.by.name.clone(), entry.by.id.clone());
        let list = by.entry(name).or_insert_with(|| (Vec::new(), how.to_owned()));
        list.0.push(what);
    }
    by.into_iter()
        .map(|((name, id), (what, how))| Exception {
            kind: "Signed without a PIN".to_owned(),
            place: format!("{name} ({id})"),
            what: format!("{}: {}.", counted(what.len(), "signature", "signatures"), what.join(", ")),
            reason: format!("{how}. Whoever knew the id could have made them.")
                .replacen("not by", "Not by", 1),
            ..Exception::default()
        })
        .collect()
}

/// What an entry signs, or its number where it decides something else.
fn signed_by(entry: &Entry) -> String {
    match &entry.what {
        Action::Sign { point, .. } | Action::SeenOnPaper { point, .. } => point.clone(),
        _ => format!("entry {}", entry.n),
    }
}

/// Signatures and decisions by a PIN that what was issued does not bear out, person by person.
fn other_pin(facts: &Facts<'_>) -> Vec<Exception> {
    let mut by: BTreeMap<(&str, &str, &str), Vec<String>> = BTreeMap::new();
    for (entry, why) in not_borne_out(facts.entries, facts.plan.rules) {
        if !facts.state.voided.contains(&entry.n) {
            by.entry((&entry.by.name, &entry.by.id, why)).or_default().push(signed_by(entry));
        }
    }
    by.into_iter()
        .map(|((name, id, why), what)| Exception {
            kind: PIN_ELSEWHERE.to_owned(),
            place: format!("{name} ({id})"),
            what: format!("{}: {}.", counted(what.len(), "signature", "signatures"), what.join(", ")),
            reason: format!("By a PIN that {why}."),
            ..Exception::default()
        })
        .collect()
}

/// Times that can hardly be true: the reader judges them.
fn hardly_true(facts: &Facts<'_>) -> Vec<Exception> {
    let remarks = hours::remarks(facts.plan, facts.entries);
    let more = remarks.len().saturating_sub(TIMES);
    let mut rows: Vec<Exception> = remarks
        .into_iter()
        .take(TIMES)
        .map(|one| Exception {
            kind: HARDLY_TRUE.to_owned(),
            place: format!("entry {}", one.n),
            what: format!("{}.", sentence(&one.words)),
            reason: "Stated and taken down like that; a clock or a slip may be behind it.".to_owned(),
            ..Exception::default()
        })
        .collect();
    if let (Some(last), true) = (rows.last_mut(), more > 0) {
        last.reason.push_str(&format!(" {more} more like these are in the log."));
    }
    rows
}

/// Figures a maker should have given and the job does not state.
fn makers_figures(document: &Document, facts: &Facts<'_>) -> Vec<Exception> {
    let blank = |what: String, place: String| Exception {
        kind: "Maker's figure not known".to_owned(),
        place,
        what,
        reason: "Not in the job when it was issued.".to_owned(),
        ..Exception::default()
    };
    let mut rows: Vec<Exception> =
        document.head.blanks.iter().map(|w| blank(w.text(), "the whole job".to_owned())).collect();
    for row in document.torques.iter().filter(|r| r.torque.is_none()) {
        rows.push(blank(format!("Torque of {} {}: none stated.", row.id, row.title), row.source.clone()));
    }
    let unjudged: Vec<Taken<'_>> = taken(facts)
        .filter(|t| !t.measured.verdict.decided())
        .filter(|t| {
            t.reading.limits.is_some_and(|l| l.kind == Kind::Torque && l.lower.is_none() && l.upper.is_none())
        })
        .collect();
    let figures: Vec<u64> = unjudged.iter().filter_map(|t| figure_read(facts, t)).map(|t| t.mark.n).collect();
    let (by_figure, alone): (Vec<&Taken<'_>>, Vec<&Taken<'_>>) = unjudged
        .iter()
        .filter(|t| !figures.contains(&t.mark.n))
        .partition(|t| figure_read(facts, t).is_some());
    let said = |t: &&Taken<'_>| {
        let figure =
            figure_read(facts, t).map_or(String::new(), |f| format!(", figure read {}", f.measured.text));
        format!("{} {}{figure} ({})", t.reading.label, t.measured.text, t.operation.number)
    };
    let told = [
        ("Set by a maker's figure that somebody read at the work and nobody proved", by_figure),
        ("Set and written down, not judged", alone),
    ];
    for (head, list) in told.into_iter().filter(|(_, list)| !list.is_empty()) {
        rows.push(blank(
            format!("{head}: {}.", list.iter().map(said).collect::<Vec<_>>().join("; ")),
            "number of the operation in brackets".to_owned(),
        ));
    }
    rows
}

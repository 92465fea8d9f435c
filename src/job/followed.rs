//! A proposal is followed before it is made: what would breed another problem is not
//! offered, and what one slip of the keys explains is.

use std::collections::BTreeSet;
use std::ops::Range;

use super::{JobFile, check, checked};
use crate::diagnostic::{Diagnostic, Report, Severity};
use crate::file::bounds::plain_path;
use crate::file::{self, last};
use crate::quantity::unit::Unit;
use crate::quantity::{Kind, parse, slips};

/// What else is held against a job: each a text of its own, empty where nothing is.
pub type Judge<'a> = &'a dyn Fn(&JobFile) -> Vec<String>;

/// Problems of one file whose proposals are followed: a file with more has another slip.
const MOST: usize = 8;

/// Ways that are named where a value may be meant as several.
const WAYS: usize = 2;

/// Words of a proposal that asks for another reading and names none.
const AGAIN: &[&str] = &["measured again", "weighed again", ", from the sheet"];

/// Words of a proposal that asks for what stands on a tool: no number is guessed for it.
const MARKED: &str = "as the wrench is marked";

/// Lines a proposal asks for: keys of the table of its problem, with their values.
type Lines = Vec<(String, String)>;

/// Where nothing but a number and its unit stands: what is tried, and what it replaces.
struct Place {
    key: String,
    range: Range<usize>,
    text: String,
    unit: Unit,
}

/// Follows what the problems of a report propose, and leaves what holds.
pub(super) fn follow(file: &str, text: &str, judge: Judge<'_>, report: &mut Report) {
    let stops = |p: &&mut Diagnostic| matches!(p.severity, Severity::Error | Severity::Stop);
    if report.problems.iter_mut().filter(stops).count() > MOST || !report.stops() {
        return;
    }
    let tried = Tried { file, text, judge, before: told(report), had: against(file, text, judge) };
    for problem in report.problems.iter_mut().filter(stops) {
        tried.mend(problem);
    }
}

/// Codes and places of what stops a report.
fn told(report: &Report) -> BTreeSet<(String, String)> {
    let stops = report.problems.iter().filter(|p| matches!(p.severity, Severity::Error | Severity::Stop));
    stops.map(|p| (p.code.to_owned(), p.key.clone())).collect()
}

/// What is held against the job a text says.
fn against(file: &str, text: &str, judge: Judge<'_>) -> BTreeSet<String> {
    checked(file, text).0.map_or_else(BTreeSet::new, |job| judge(&job).into_iter().collect())
}

struct Tried<'a> {
    file: &'a str,
    text: &'a str,
    judge: Judge<'a>,
    before: BTreeSet<(String, String)>,
    had: BTreeSet<String>,
}

impl Tried<'_> {
    fn mend(&self, problem: &mut Diagnostic) {
        // Several ways are named already.
        if problem.example.contains(" or ") || problem.example.contains(MARKED) {
            return;
        }
        let table = problem.key.rsplit_once('.').map_or("", |(table, _)| table).to_owned();
        let lines = lines(&problem.example);
        let mut keys = vec![problem.key.clone()];
        for (key, _) in lines.iter().flatten() {
            let key = file::record::join(&table, key);
            if !keys.contains(&key) {
                keys.push(key);
            }
        }
        let places: Vec<Place> = keys.iter().filter_map(|key| self.place(key)).collect();
        // Only of numbers is another one tried; a name has its own ways.
        if places.len() < keys.len() {
            return;
        }
        let one = |place: &Place, value: &str| vec![(last(&place.key).to_owned(), value.to_owned())];
        let other_units = |place: &Place| slips::in_other_units(place.unit.kind, &place.text);
        let ways = |of: &dyn Fn(&Place) -> Vec<String>| {
            let all = places.iter().flat_map(|place| of(place).into_iter().map(|value| one(place, &value)));
            let mut found: Vec<Lines> = Vec::new();
            for way in all {
                if found.len() < WAYS && self.holds(problem, &table, &way) {
                    found.push(way);
                }
            }
            found
        };
        let holds = lines.as_ref().map(|lines| self.holds(problem, &table, lines));
        // Two values that belong together: a wrong unit of one is likelier than a swap.
        let mut found =
            if lines.as_ref().is_some_and(|l| l.len() > 1) { ways(&other_units) } else { Vec::new() };
        if holds == Some(true) && found.is_empty() {
            return;
        }
        found.extend(lines.filter(|_| holds == Some(true)));
        if found.is_empty() {
            found = ways(&|place| {
                // A radius is taped as a diameter more often than its keys are missed.
                let half = slips::radius(last(&place.key), place.unit.kind, &place.text);
                let units = half.into_iter().chain(other_units(place));
                units.chain(slips::of_the_point(place.unit.kind, &place.text)).collect()
            });
        }
        let again = AGAIN.iter().any(|again| problem.example.contains(again));
        let joined = |ways: &[Lines]| ways.iter().map(said).collect::<Vec<_>>().join(" or ");
        // Any two digits may have been exchanged: a help to look again, never the line to write.
        let exchanged = |place: &Place| slips::exchanged(place.unit.kind, &place.text);
        let turned = if found.is_empty() { joined(&ways(&exchanged)) } else { String::new() };
        if !turned.is_empty() {
            problem.help.insert(0, format!("if it is a slip of the keys: {turned}"));
        }
        let words = joined(&found);
        let unmended = holds == Some(false) || !turned.is_empty() && !again;
        match (words.is_empty(), unmended) {
            (true, true) => {
                let kind = places.first().map(|p| p.unit.kind);
                let read = matches!(kind, Some(Kind::Length | Kind::Angle));
                let again = if read { ", measured again" } else { "" };
                problem.example = format!("{} = \"…\"{again}", last(&problem.key));
                problem.help.retain(|help| !help.contains("swapped"));
            }
            (true, false) => {}
            (false, _) if again => problem.help.insert(0, format!("if it is a slip of the keys: {words}")),
            (false, _) => {
                problem.example = words;
                if holds == Some(false) {
                    problem.help.retain(|help| !help.contains("swapped"));
                }
            }
        }
    }

    /// A value of a table of bounds that stands in the file by itself.
    fn place(&self, key: &str) -> Option<Place> {
        let plain = plain_path(key);
        // A reading of a list has no line of its own.
        if key.ends_with(']') {
            return None;
        }
        let unit = check::bounds::BOUNDS.iter().find(|b| b.key == plain)?.unit()?;
        // A count that is wrong is counted again.
        if unit.kind == Kind::Number {
            return None;
        }
        let range = file::place_of(self.text, key)?;
        let text = self.text.get(range.clone())?.trim_matches('"').to_owned();
        parse::maybe(unit.kind, &text)?;
        Some(Place { key: key.to_owned(), range, text, unit })
    }

    /// Whether the job has this problem no more and no other for it.
    fn holds(&self, problem: &Diagnostic, table: &str, lines: &Lines) -> bool {
        let mut edits = Vec::new();
        for (key, value) in lines {
            let Some(place) = self.place(&file::record::join(table, key)) else { return false };
            edits.push((place.range, value));
        }
        edits.sort_by_key(|(range, _)| std::cmp::Reverse(range.start));
        let mut text = self.text.to_owned();
        for (range, value) in edits {
            let quoted = text.get(range.clone()).is_some_and(|old| old.starts_with('"'));
            text.replace_range(range, &if quoted { format!("\"{value}\"") } else { value.clone() });
        }
        let (job, report) = checked(self.file, &text);
        let after = told(&report);
        let mended = !after.contains(&(problem.code.to_owned(), problem.key.clone()));
        mended
            && after.is_subset(&self.before)
            && job.is_some_and(|job| (self.judge)(&job).iter().all(|found| self.had.contains(found)))
    }
}

/// The lines of a proposal, if it is whole: `key = "value"`, several joined by `and`.
fn lines(example: &str) -> Option<Lines> {
    if example.contains('…') {
        return None;
    }
    let line = |part: &str| {
        let (key, value) = part.split_once(" = ")?;
        let plain = key.chars().all(|c| c.is_ascii_lowercase() || c == '_');
        let bare = value.strip_prefix('"').and_then(|v| v.strip_suffix('"')).unwrap_or(value);
        (plain && !bare.contains(['"', '['])).then(|| (key.to_owned(), bare.to_owned()))
    };
    example.split(" and ").map(line).collect()
}

/// Lines as a proposal says them.
fn said(lines: &Lines) -> String {
    let line = |(key, value): &(String, String)| match value.parse::<u32>() {
        // A count stands without quotes.
        Ok(count) => format!("{key} = {count}"),
        Err(_) => format!("{key} = \"{value}\""),
    };
    lines.iter().map(line).collect::<Vec<_>>().join(" and ")
}

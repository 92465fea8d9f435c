//! What was tightened: asked, read, by whom, with which wrench.

use super::super::super::super::document::{Document, Section, TorqueDone, TorqueRow};
use super::super::super::torques::AS_FITTED;
use super::super::Facts;
use super::{Taken, against, figure_read, outside, sentence, taken, verdict};
use crate::plan::Words;
use crate::quantity::Kind;
use crate::term::counted;

/// What was set by a figure read at the work, and lies as near to it as it has to.
const AGREES: &str = "agrees";

/// Every fastener group, then what was tightened without a number.
pub(super) fn section(document: &Document, facts: &Facts<'_>) -> Section<TorqueDone> {
    let torques: Vec<Taken<'_>> =
        taken(facts).filter(|t| t.reading.limits.is_some_and(|l| l.kind == Kind::Torque)).collect();
    let mut rows: Vec<TorqueDone> = document.torques.iter().map(|row| group(row, facts, &torques)).collect();
    let numbered = |t: &Taken<'_>| {
        t.reading.id.rsplit_once('.').is_some_and(|(_, end)| document.torques.iter().any(|r| r.id == end))
    };
    // A figure is told beside what was set by it.
    let figures: Vec<u64> = torques.iter().filter_map(|t| figure_read(facts, t)).map(|t| t.mark.n).collect();
    let set = torques.iter().filter(|t| !numbered(t) && !figures.contains(&t.mark.n));
    rows.extend(set.map(|t| alone(facts, t)));
    let lacking = rows.iter().filter(|r| r.bad).count();
    let mut notes = Vec::new();
    if rows.is_empty() {
        notes.push(Words::plain("Nothing was tightened to a stated torque on this job."));
    } else if lacking > 0 {
        notes.push(Words::default().strong(sentence(&format!(
            "{} outside or not read.",
            counted(lacking, "torque is", "torques are")
        ))));
    }
    if rows.iter().any(|r| r.verdict == "recorded") {
        notes.push(Words::plain(
            "“Recorded”: the job states no maker's figure, so it was set and written down, not judged.",
        ));
    }
    if rows.iter().any(|r| r.verdict == AGREES) {
        notes.push(Words::plain(
            "“Agrees”: with the maker's figure somebody read at the work. The job states none, and nobody proved that it is the right one.",
        ));
    }
    Section { notes, rows }
}

/// A group of the torque sheet: the last torque of the work, before hand-over.
fn group(row: &TorqueRow, facts: &Facts<'_>, torques: &[Taken<'_>]) -> TorqueDone {
    let own = |t: &&Taken<'_>| t.reading.id.rsplit_once('.').is_some_and(|(_, end)| end == row.id);
    let all: Vec<&Taken<'_>> = torques.iter().filter(own).filter(|t| !t.operation.deferred).collect();
    let asked = row.range.clone().or_else(|| row.torque.clone()).unwrap_or_else(|| "not stated".to_owned());
    let mut done = TorqueDone {
        id: row.id.clone(),
        title: row.title.clone(),
        thread: if row.thread == AS_FITTED {
            String::new()
        } else {
            format!("{}; {}", row.thread, row.condition)
        },
        asked: format!("{asked}; {}", row.source),
        read: "NOT READ".to_owned(),
        verdict: "not on record".to_owned(),
        by: String::new(),
        bad: true,
    };
    if let Some(last) = all.last() {
        let values: Vec<String> = all
            .iter()
            .map(|t| {
                format!("{} ({})", t.measured.text, t.reading.label.split(", ").next().unwrap_or_default())
            })
            .collect();
        // The worst of them speaks for all: one that fails is not told away by the next one.
        let plain = |(words, bad): &(String, bool)| (*bad, words.contains(';'));
        let all = all.iter().map(|taken| verdict(facts, taken));
        (done.verdict, done.bad) = all.max_by_key(plain).unwrap_or_default();
        done.read = values.join("; ");
        done.by = last.by();
    }
    done
}

fn alone(facts: &Facts<'_>, taken: &Taken<'_>) -> TorqueDone {
    let (mut words, mut bad) = verdict(facts, taken);
    let mut asked = taken
        .measured
        .target
        .clone()
        .filter(|_| taken.measured.verdict.decided())
        .unwrap_or_else(|| "no figure in the job".to_owned());
    if let Some(figure) = figure_read(facts, taken) {
        asked = format!("{}, maker's figure as {} read it", figure.entered(), figure.mark.by.id);
        if !taken.measured.verdict.decided() {
            let off = facts.state.broken(facts.plan, taken.operation);
            let off = off.iter().find(|stop| stop.reading == taken.reading.id);
            bad = off.is_some();
            words =
                off.map_or_else(|| AGREES.to_owned(), |stop| outside(facts, taken, against(stop.verdict)));
        }
    }
    TorqueDone {
        id: String::new(),
        title: format!(
            "{} (operation {})",
            taken.reading.label.trim_end_matches(", torque set"),
            taken.operation.number
        ),
        thread: String::new(),
        asked,
        read: taken.measured.text.clone(),
        verdict: words,
        by: taken.by(),
        bad,
    }
}

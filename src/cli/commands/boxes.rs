//! The boxes, operations and entries of a traveler, as text and for machines.

use std::collections::BTreeSet;
use std::path::Path;

use serde_json::{Map, Value as Json, json};

use crate::app::plan::Failure;
use crate::app::record::boxes::{self, Filter, Row, Sight};
use crate::app::record::recompute::Memo;
use crate::app::record::{RecordHost, sheet, short, words};
use crate::cli::args::record::{Only, Status};
use crate::cli::terminal;
use crate::term::clock::told_text;

impl From<&Only> for Filter {
    fn from(only: &Only) -> Self {
        Self { station: only.station.clone(), operation: only.operation.clone() }
    }
}

/// What stands before the reason why a signature no longer holds.
const FALLEN: &str = " NO LONGER HOLDS: ";

struct Seen {
    sight: Sight,
    keys: BTreeSet<String>,
    rows: Vec<Row>,
    /// Why limits could not be computed again; those printed are shown then.
    not_computed: Option<String>,
}

fn see(host: &dyn RecordHost, folder: &Path, args: &Status) -> Result<Seen, Failure> {
    let mut at = host.now();
    if let Some(day) = args.on
        && let Some(then) = day.and_time(at.time()).and_local_timezone(at.timezone()).single()
    {
        at = then;
    }
    let sight = Sight::of(host, folder, None, at)?;
    let keys = boxes::meant(host, folder, &sight.issue, &sight.plan, &Filter::from(&args.only))?;
    let scene = sight.scene();
    // A stored file that is gone or changed hides nothing else.
    let now = boxes::in_force(host, folder, &sight.issue, &scene, &mut Memo::default());
    let not_computed = now.as_ref().err().map(Failure::words);
    let rows = boxes::rows(&scene, now.ok().flatten().as_deref(), &keys);
    Ok(Seen { sight, keys, rows, not_computed })
}

/// What `status NUMBER --json` says besides where the traveler stands.
pub(super) fn json(
    host: &dyn RecordHost,
    folder: &Path,
    args: &Status,
) -> Result<Map<String, Json>, Failure> {
    let Seen { sight, keys, rows, not_computed } = see(host, folder, args)?;
    let number = &sight.plan.number;
    let mut said = Map::new();
    said.insert("paper".to_owned(), sheet::paper(&sight.plan).into());
    said.insert("no_shop_book".to_owned(), json!(sight.no_book));
    said.insert("not_computed".to_owned(), json!(not_computed));
    said.insert("boxes".to_owned(), rows.iter().map(|r| boxes::json(number, r)).collect());
    if args.operations {
        let of = sight.plan.operations.iter().filter(|o| keys.contains(&o.key));
        let list = of.map(|o| {
            json!({
                "operation": o.number, "key": o.key, "title": format!("{} {}", o.verb.to_uppercase(), o.title),
                "station": o.station, "after_hand_over": o.deferred, "open": sight.state.lacking(o),
            })
        });
        said.insert("by_operation".to_owned(), list.collect());
    }
    if args.entries {
        let list = sight.entries.iter().map(|e| {
            json!({
                "entry": e.n, "at": e.at, "by": e.by.id, "role": e.by.role, "clock": e.clock,
                "box": crate::app::record::box_of(e).map(|b| b.to_string()),
                "replaces": e.corrects.as_ref().map(|c| c.entry),
                "taken_in": e.taken_in, "words": words(e),
            })
        });
        said.insert("log".to_owned(), list.collect());
    }
    Ok(said)
}

/// What `status NUMBER` lists on being asked.
pub(super) fn text(host: &dyn RecordHost, folder: &Path, args: &Status) -> Result<(), Failure> {
    let asked = !args.only.station.is_empty() || !args.only.operation.is_empty();
    let boxed = args.boxes || asked && !args.operations && !args.entries;
    if !boxed && !args.operations && !args.entries {
        return Ok(());
    }
    let Seen { sight, keys, rows, not_computed } = see(host, folder, args)?;
    if args.operations {
        for operation in sight.plan.operations.iter().filter(|o| keys.contains(&o.key)) {
            let lacking = sight.state.lacking(operation);
            let mark = if lacking.is_empty() { "done".to_owned() } else { short(&lacking) };
            let line = format!("{} {}: {mark}", operation.verb.to_uppercase(), operation.title);
            terminal::out(wrapped(&format!("{:>5}  ", operation.number), &line));
        }
    }
    if boxed {
        if let Some(why) = &sight.no_book {
            terminal::note(format!("! The shop book can't be read, so no instruments are named: {why}"));
        }
        if let Some(why) = &not_computed {
            terminal::note(format!("! Limits are as printed; they can't be computed again: {why}"));
        }
        list(&rows);
    }
    if args.entries {
        for entry in &sight.entries {
            if asked && !crate::app::record::box_of(entry).is_some_and(|b| keys.contains(&b.operation)) {
                continue;
            }
            terminal::out(format!(
                "{:>5}  {}  {:<6} {}",
                entry.n,
                told_text(&entry.at),
                entry.by.id,
                words(entry)
            ));
            let signed = rows.iter().filter_map(|r| r.done.as_ref()).find(|d| d.entry == entry.n);
            if let Some(why) = signed.and_then(|d| d.no_longer.as_ref()) {
                terminal::out(format!("{:>5} {FALLEN}{}", "", terminal::one_line(why)));
            }
        }
    }
    Ok(())
}

/// Boxes under their operations: what is typed, what is asked, what was entered.
fn list(rows: &[Row]) {
    let mut operation = None;
    let mut waits = None;
    for row in rows {
        if operation != Some(row.operation) {
            (operation, waits) = (Some(row.operation), None);
            terminal::out("");
            let station = format!("{} [{}]", row.title, row.station);
            terminal::out(wrapped(&format!("{:>4}  ", row.operation), &station));
        }
        if row.waits_for.is_some() && row.waits_for != waits {
            waits.clone_from(&row.waits_for);
            let why = waits.clone().unwrap_or_default();
            terminal::out(wrapped("      waits: ", &why));
        }
        let (mark, text) = match &row.done {
            Some(done) => {
                let value = done.value.as_deref().map_or(String::new(), |v| format!("{v}, "));
                let verdict = done.verdict.as_deref().filter(|v| *v != "recorded");
                let verdict = verdict.map_or(String::new(), |v| format!("{v}, "));
                let fallen = done.no_longer.as_ref().map_or(String::new(), |why| format!("{FALLEN}{why}"));
                ("x", format!("{}: {value}{verdict}{} (entry {}){fallen}", row.label, done.by, done.entry))
            }
            None => (" ", question(row)),
        };
        terminal::out(wrapped(&format!("  [{mark}] {}  ", row.name), &text));
    }
}

/// What a box asks for, in a line.
fn question(row: &Row) -> String {
    let mut text = row.label.clone();
    if !row.choices.is_empty() {
        text.push_str(&format!(": {}", row.choices.join(" / ")));
    } else if let Some(target) = &row.target {
        text.push_str(&format!(": {target}"));
        if let Some(accepted) = &row.accepted {
            text.push_str(&format!(" (accepted: {accepted})"));
        }
    }
    if let Some(printed) = &row.printed {
        text.push_str(&format!(" (printed {printed})"));
    }
    if let Some(unit) = &row.unit {
        text.push_str(&format!(", unit {unit}"));
    }
    if row.tool_needed {
        // Another tool may be taken, but nobody is sent for a feeler to read a wheelbase.
        match row.tools.get(..row.named).filter(|named| !named.is_empty()) {
            Some(named) => text.push_str(&format!(", with {}", named.join(" or "))),
            None => text.push_str(", no tool named here is in date"),
        }
    }
    if !row.roles.is_empty() {
        // The role is enough where everybody who has it will be taken.
        let some = row.only_some && !row.people.is_empty();
        let who = if some { format!(": {}", row.people.join(" or ")) } else { String::new() };
        text.push_str(&format!(" ({}{who})", row.roles.join(", ")));
    }
    text
}

/// Text behind a head, in lines of the terminal; the next lines stand in by six.
pub(super) fn wrapped(head: &str, text: &str) -> String {
    wrapped_to(terminal::columns(), head, text)
}

/// As [`wrapped`], for another width.
pub(super) fn wrapped_to(width: usize, head: &str, text: &str) -> String {
    const IN: &str = "      ";
    let mut lines = vec![head.trim_end().to_owned()];
    let mut gap = head.len() - head.trim_end().len();
    for word in text.split_whitespace() {
        let line = lines.last().map_or(0, |l| l.chars().count());
        if line + gap + word.chars().count() <= width || line <= IN.len() {
            if let Some(last) = lines.last_mut() {
                last.push_str(&" ".repeat(gap));
                last.push_str(word);
            }
        } else {
            lines.push(format!("{IN}{word}"));
        }
        gap = 1;
    }
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    #[test]
    fn lines_fit_a_narrow_terminal() {
        let text = "word ".repeat(60);
        let shown = super::wrapped("  [ ] front/set-pinion:wall.left  ", &text);
        assert!(shown.lines().all(|l| l.chars().count() <= 80), "{shown}");
        assert_eq!(shown.matches("word").count(), 60);
        assert!(shown.starts_with("  [ ] front/set-pinion:wall.left  word"));
    }
}

//! `status --shop`: all travelers of a shop in one table, for whoever plans the day.

use crate::app::record::short;
use crate::app::record::status::Standing;
use crate::cli::terminal;
use crate::term::counted;

/// Columns of a line: what a terminal and a page in a fixed letter hold.
const WIDTH: usize = 80;
/// Most columns of a number.
const NUMBER: usize = 14;

/// A text on one line of so many columns; what is longer ends with a mark.
fn cut(text: &str, columns: usize) -> String {
    let text = terminal::one_line(text);
    if text.chars().count() <= columns {
        return text;
    }
    let kept: String = text.chars().take(columns.saturating_sub(1)).collect();
    format!("{}…", kept.trim_end())
}

/// Where a traveler stands, in a few words.
fn stands(s: &Standing) -> String {
    match (&s.closed, &s.next) {
        (Some(at), _) if s.follow_ups.is_empty() => format!("closed {}", at.get(..10).unwrap_or(at)),
        (Some(_), _) => format!("closed, {} to come", counted(s.follow_ups.len(), "follow-up", "follow-ups")),
        _ if s.revision.is_empty() => "can't be read".to_owned(),
        (None, Some(next)) => next.clone(),
        (None, None) if s.damaged => "does not stand".to_owned(),
        (None, None) => "ready to close".to_owned(),
    }
}

/// What is said below a traveler: what is wrong, who is waited for, what is late or soon due.
fn below(s: &Standing) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    lines.extend(s.trouble.iter().map(|why| format!("LOG: {why}")));
    lines.extend(s.oldest_overdue.iter().map(|one| format!("OVERDUE {one}")));
    if let Some(first) = s.for_lead.first() {
        let more = match s.for_lead.len() - 1 {
            0 => String::new(),
            more => format!(" (and {more} more)"),
        };
        lines.push(format!("waits for a lead{more}: {first}"));
    }
    if !s.waits_for.is_empty() && s.closed.is_none() {
        let whom = s.next_by.as_ref().map_or_else(|| "anybody".to_owned(), |role| format!("a {role}"));
        lines.push(format!("waits for {whom}: {}", short(&s.waits_for)));
    }
    if let Some(sign) = &s.must_sign {
        lines.push(format!("then {sign}"));
    }
    lines.extend(s.due_tools.iter().map(|(day, tool)| format!("tool due {day}: {tool}")));
    lines
}

/// The lines of the table.
fn lines(all: &[Standing]) -> Vec<String> {
    let longest = all.iter().map(|s| s.number.chars().count()).max().unwrap_or(0);
    let width = longest.max("number".len()).min(NUMBER);
    let done = |s: &Standing| format!("{}/{}", s.done.0, s.done.1);
    // What is next takes more room than what the unit is called.
    let part = (WIDTH - width - 2 - 9) * 2 / 5;
    let row = |number: &str, done: &str, unit: &str, stands: &str| {
        let line = format!(
            "{:width$}  {done:>7}  {:part$}  {}",
            cut(number, width),
            cut(unit, part),
            cut(stands, WIDTH - width - 2 - 9 - part - 2)
        );
        line.trim_end().to_owned()
    };
    let mut lines = vec![row("number", "done", "unit", "where it stands, or next")];
    for s in all {
        lines.push(row(&s.number, &done(s), &s.unit, &stands(s)));
        let indent = " ".repeat(width + 2);
        lines.extend(below(s).iter().map(|one| format!("{indent}{}", cut(one, WIDTH - width - 2))));
    }
    lines
}

/// Prints the table.
pub(super) fn print(all: &[Standing]) {
    for line in lines(all) {
        terminal::out(line);
    }
}

#[cfg(test)]
mod tests {
    use super::{WIDTH, cut, lines};
    use crate::app::record::status::Standing;

    #[test]
    fn lines_are_short_and_say_who_is_waited_for() {
        let open = Standing {
            number: "TW-2041-THE-LONG-ONE".to_owned(),
            revision: "A".to_owned(),
            unit: "a very long name of a utility truck with a winch and a box behind it".to_owned(),
            next: Some(
                "120 WELD the perches to the tube, both sides, in the order of the card [bay]".to_owned(),
            ),
            next_by: Some("welder".to_owned()),
            waits_for: vec!["step 120.1".to_owned()],
            done: (11, 94),
            for_lead: vec![
                "F1 at operation 30: a lead decides how it goes on and says so in a reason"
                    .to_owned();
                3
            ],
            must_sign: Some("inspector signs H4 after operation 120".to_owned()),
            ..Standing::default()
        };
        let closed = Standing {
            number: "TW-7".to_owned(),
            revision: "B".to_owned(),
            closed: Some("2026-03-05T10:00:00+00:00".to_owned()),
            follow_ups: vec!["910 x by 2026-04-01".to_owned()],
            oldest_overdue: Some("since 2026-04-01: 910 Prove the wheel nuts".to_owned()),
            due_tools: vec![("2026-04-20".parse().unwrap(), "AF-1".to_owned())],
            ..Standing::default()
        };
        let said = lines(&[open, closed]);
        assert!(said.iter().all(|line| line.chars().count() <= WIDTH), "{said:#?}");
        let text = said.join("\n");
        for part in [
            "waits for a lead (and 2 more): F1 at operation 30",
            "waits for a welder: step 120.1",
            "then inspector signs H4",
            "closed, 1 follow-up to come",
            "OVERDUE since 2026-04-01: 910 Prove the wheel nuts",
            "tool due 2026-04-20: AF-1",
        ] {
            assert!(text.contains(part), "{part}\n{text}");
        }
        assert_eq!((cut("abc", 3), cut("abcd", 3)), ("abc".to_owned(), "ab…".to_owned()));
    }
}

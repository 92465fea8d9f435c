//! Makes every text of a document printable: no character without a glyph, no
//! invisible or direction-changing character, no word that can't be broken, no
//! text longer than its place.

use serde_json::{Map, Value};

use crate::term::unseen::is_unseen;

/// Keys that hold sentences and have room for them.
const PROSE: &[&str] = &[
    "action",
    "alt",
    "avoid",
    "consequence",
    "decided",
    "effect",
    "formula",
    "found",
    "hazard",
    "note",
    "reason",
    "remark",
    "source",
    "text",
    "what",
    "why",
    "caption",
    "warnings",
    "notes",
    "mark",
    "meaning",
    "title",
    "scope",
    "detail",
    "purpose",
    "qualification",
    "symbol",
    "accepted",
    "doubts",
    "place",
    "proof",
    "read",
];
/// Most characters of a sentence or paragraph.
const PROSE_LIMIT: usize = crate::term::PRINTED;
/// Most characters of anything else.
const LIMIT: usize = 160;
/// Most characters of what stands in a narrow cell or at the head of a page.
const NARROW: &[(&str, usize)] = &[
    ("number", 32),
    ("revision", 8),
    ("id", 24),
    ("side", 16),
    ("hash", 24),
    ("head", 40),
    ("cells", 20),
    ("verb", 24),
    ("station", 40),
    ("time", 24),
    ("stamp", 14),
    ("title", 400),
    ("symbol", 400),
    ("mark", 200),
    ("meaning", 200),
    ("validity", 150),
    ("digest", 24),
];
/// Most characters of the unit at the head of every page.
const RUNNING_LIMIT: usize = 40;
/// Most characters of the work there: three lines.
const WORK_LIMIT: usize = 80;
/// A word longer than this may be broken anywhere.
const LONG_WORD: usize = 30;
/// The same in a cell or box.
const LONG_WORD_IN_CELL: usize = 13;
/// Unit symbols that stay on the line of their number.
const UNITS: &[&str] = &[
    "in", "ft", "mm", "cm", "m", "°F", "°C", "%", "lb", "kg", "lbf", "kN", "N", "ft-lb", "N·m", "psi", "ksi",
    "MPa", "A", "V", "kW", "kJ", "kJ/in", "kJ/mm", "in/min", "mm/min", "mm/s", "L/min", "ft³/h", "rpm",
    "min", "h", "s",
];
/// A space a line does not break at.
const BOUND: char = '\u{00A0}';
/// A place where a line may break, without width.
const BREAK: char = '\u{200B}';

/// Cleans every string of a serialized document.
pub(super) fn document(model: &mut Value, prints: &dyn Fn(char) -> bool) {
    if let Value::Object(parts) = model {
        for (name, part) in parts.iter_mut() {
            walk(part, name, name, prints);
        }
    }
}

fn walk(value: &mut Value, key: &str, part: &str, prints: &dyn Fn(char) -> bool) {
    match value {
        // Names of boxes and of attached files are never printed, and a name is one as
        // it stands.
        _ if key == "box" || key == "file" => {}
        Value::String(text) => *text = fit(text, key, limit(key, part), prints),
        Value::Array(items) if items.iter().any(is_run) => runs(items, prints),
        Value::Array(items) => items.iter_mut().for_each(|item| walk(item, key, part, prints)),
        Value::Object(map) => map.iter_mut().for_each(|(key, value)| walk(value, key, part, prints)),
        Value::Null | Value::Bool(_) | Value::Number(_) => {}
    }
}

/// Whether a value is a run of words.
fn is_run(value: &Value) -> bool {
    value
        .as_object()
        .is_some_and(|map| map.len() == 2 && map.contains_key("text") && map.contains_key("strong"))
}

/// Runs share one limit.
fn runs(items: &mut Vec<Value>, prints: &dyn Fn(char) -> bool) {
    let mut left = PROSE_LIMIT;
    items.retain_mut(|item| {
        let Some(Value::String(text)) =
            item.as_object_mut().and_then(|map: &mut Map<_, _>| map.get_mut("text"))
        else {
            return true;
        };
        if left == 0 {
            return false;
        }
        let length = text.chars().count();
        *text = fit(text, "text", left, prints);
        left = left.saturating_sub(length);
        true
    });
}

/// Most characters of a key in a part of the document.
fn limit(key: &str, part: &str) -> usize {
    if key == "id" && part == "worksheets" {
        return LIMIT;
    }
    if let Some((_, most)) = NARROW.iter().find(|(name, _)| *name == key) {
        return *most;
    }
    let prose = PROSE.contains(&key);
    match part {
        "running" if key == "work" => WORK_LIMIT,
        "running" => RUNNING_LIMIT,
        "route" if key == "name" => 30,
        "geometry" if key == "what" || key == "found" => LIMIT,
        "changes" if prose => 2 * LIMIT,
        _ if prose => PROSE_LIMIT,
        _ => LIMIT,
    }
}

/// A text that fits its place.
fn fit(text: &str, key: &str, most: usize, prints: &dyn Fn(char) -> bool) -> String {
    let prose = PROSE.contains(&key);
    let long_word = if prose { LONG_WORD } else { LONG_WORD_IN_CELL };
    let text = visible(text, prints);
    // A cell or box has no room for lines a user broke.
    let text = if prose { text } else { text.replace('\n', " ") };
    bind(&breakable(&cut(&text, most), long_word))
}

/// Replaces what has no glyph, or has one that can't be seen, by `[U+hhhh]`
/// (private use is forbidden by ISO 19005-3, 6.2.11.7).
pub(super) fn visible(text: &str, prints: &dyn Fn(char) -> bool) -> String {
    let mut out = String::with_capacity(text.len());
    let mut chars = text.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            '\r' => {
                if chars.peek() != Some(&'\n') {
                    out.push('\n');
                }
            }
            '\n' | '\u{2028}' | '\u{2029}' => out.push('\n'),
            '\t' => out.push(' '),
            c if c.is_whitespace() && !c.is_control() && !prints(c) => out.push(' '),
            c if is_unseen(c) || !prints(c) => out.push_str(&format!("[U+{:04X}]", u32::from(c))),
            c => out.push(c),
        }
    }
    out
}

/// Cuts what is longer than `most` characters, and says how much is missing.
fn cut(text: &str, most: usize) -> String {
    let length = text.chars().count();
    if length <= most {
        return text.to_owned();
    }
    if most < 60 {
        let kept: String = text.chars().take(most.saturating_sub(2)).collect();
        return format!("{kept} …");
    }
    let kept: String = text.chars().take(most - 50).collect();
    format!("{kept} … [{} more characters, not printed]", length - (most - 50))
}

/// Lets words longer than `longest` characters break every tenth character.
fn breakable(text: &str, longest: usize) -> String {
    let mut out = String::with_capacity(text.len());
    for piece in text.split_inclusive([' ', '\n']) {
        if piece.chars().count() <= longest {
            out.push_str(piece);
            continue;
        }
        for (i, c) in piece.chars().enumerate() {
            if i > 0 && i % 10 == 0 {
                out.push(BREAK);
            }
            out.push(c);
        }
    }
    out
}

/// Keeps a number and its unit, and a sign and its number, on one line.
fn bind(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((before, after)) = rest.split_once(' ') {
        out.push_str(before);
        let word = after.split([' ', '\n']).next().unwrap_or("");
        let unit = word.trim_end_matches([',', '.', ';', ':', ')']);
        let number = before.ends_with(|c: char| c.is_ascii_digit());
        let sign = before.ends_with(['±', '≥', '≤']) && word.starts_with(|c: char| c.is_ascii_digit());
        out.push(if sign || (number && UNITS.contains(&unit)) { BOUND } else { ' ' });
        rest = after;
    }
    out.push_str(rest);
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    fn ascii(c: char) -> bool {
        c.is_ascii_graphic() || c == ' ' || c == '…'
    }

    #[test]
    fn the_name_of_a_box_is_never_broken() {
        use crate::form::{BoxName, Part, Written};
        use crate::traveler::document::{Approved, OutcomeRow};

        let part = Part::Point("before.1".to_owned(), 1, Written::Mark);
        let place = BoxName { operation: "front/cut-knuckles-of-the-steered-axle".to_owned(), part };
        let (name, place) = (place.to_string(), Some(place));
        let signed = Approved { place: place.clone(), ..Approved::default() };
        let read = OutcomeRow { place, ..OutcomeRow::default() };
        let mut pages = serde_json::json!({ "rows": [signed, read] });
        document(&mut pages, &|_| true);
        assert_eq!(
            (&pages["rows"][0]["box"], &pages["rows"][1]["box"]),
            (&name.clone().into(), &name.into())
        );
    }

    #[test]
    fn unseen_characters_become_seen() {
        assert_eq!(visible("a\0b\u{202E}c", &ascii), "a[U+0000]b[U+202E]c");
        assert_eq!(visible("tab\there\r\nnext\u{2028}line", &ascii), "tab here\nnext\nline");
        assert_eq!(visible("\u{1F525}", &|_| true), "\u{1F525}");
        assert_eq!(visible("\u{E000}", &|_| true), "[U+E000]");
        assert_eq!(visible("90\u{202F}Nm", &ascii), "90 Nm");
    }

    #[test]
    fn long_texts_say_what_is_missing() {
        let long = "x".repeat(5000);
        let shown = cut(&long, 1200);
        assert_eq!(shown.chars().filter(|c| *c == 'x').count(), 1150);
        assert!(shown.ends_with("[3850 more characters, not printed]"), "{shown}");
        assert_eq!(cut("short", 8), "short");
        assert_eq!(cut("much too long", 8), "much t …");
    }

    #[test]
    fn a_number_keeps_its_unit() {
        assert_eq!(bind("cut 0.25 in (6.3 mm), not in half"), "cut 0.25\u{A0}in (6.3\u{A0}mm), not in half");
        assert_eq!(bind("6.0° ± 0.5°"), "6.0° ±\u{A0}0.5°");
        assert_eq!(bind("step 4 inch by inch"), "step 4 inch by inch");
    }

    #[test]
    fn long_words_can_break() {
        assert_eq!(breakable("circumferentially", 30), "circumferentially");
        let broken = breakable(&"y".repeat(35), 30);
        assert_eq!(broken.chars().filter(|c| *c == BREAK).count(), 3);
    }
}

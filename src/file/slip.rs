//! Slips against TOML: a line that can't be parsed, mended as it was meant.
//!
//! What is proposed is the writer's own line, and only if it parses.

use toml::de::DeTable;

use super::mend;

/// What is said of a slip: message, what was expected, what to write.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Slip {
    /// Byte range of what is marked.
    pub(super) range: std::ops::Range<usize>,
    pub(super) message: String,
    pub(super) expected: String,
    pub(super) example: String,
    /// Name of the table, where it is a heading that went wrong.
    pub(super) heading: Option<String>,
    /// Where the next line begins, where that is a part of it.
    pub(super) and_next: Option<usize>,
}

/// A line of a text: where it begins, and what stands in it.
fn line_at(text: &str, at: usize) -> (usize, &str) {
    let at = at.min(text.len());
    let before = text.get(..at).unwrap_or_default();
    let start = before.rfind('\n').map_or(0, |end| end + 1);
    (start, text.get(start..).unwrap_or_default().lines().next().unwrap_or_default())
}

/// Number of the line that begins at a byte, from one.
fn number(text: &str, start: usize) -> usize {
    text.get(..start).unwrap_or_default().matches('\n').count() + 1
}

/// What a parser's error at a place means for whoever wrote the line.
#[must_use]
pub(super) fn slip(text: &str, range: std::ops::Range<usize>, said: &str) -> Slip {
    let (start, line) = line_at(text, range.start);
    let plain = line.trim();
    let slip = |range: std::ops::Range<usize>, message: String, expected: &str, example: String| Slip {
        range,
        message,
        expected: expected.to_owned(),
        example,
        heading: None,
        and_next: None,
    };
    if said.contains("duplicate key") {
        return twice(text, range, start, plain);
    }
    if let Some((name, behind)) = headed(plain) {
        let behind =
            if behind.is_empty() { String::new() } else { format!(" # and {behind} in a line of its own") };
        let message = format!("this is not TOML: {said}");
        let example = format!("{}{behind}", heading(text, (start, plain), &name));
        let expected = "a heading, in a line of its own: [table], or [[table]] for one of several";
        return Slip { heading: Some(name), ..slip(range, message, expected, example) };
    }
    if let Some((next, whole)) = broken_text(text, start, line) {
        let message = "this is not TOML: the text goes on in the next line".to_owned();
        let one = slip(range, message, "a text in one line, in quotes", mended(&whole));
        return Slip { and_next: Some(next), ..one };
    }
    // A list that was not closed goes wrong in the line behind it.
    if said.contains("array")
        && let Some((open_start, open)) = open_list(text, start, plain)
    {
        let end = open_start + open.len();
        let message = "this is not TOML: the list is not closed".to_owned();
        return slip(open_start..end, message, "a list in [ ]", mended(open));
    }
    let date = is_like_a_date(plain);
    let expected = if date { "a date as year-month-day" } else { "key = value, with texts in quotes" };
    slip(range, format!("this is not TOML: {said}"), expected, mended(plain))
}

/// A key or table that is there already.
fn twice(text: &str, range: std::ops::Range<usize>, start: usize, line: &str) -> Slip {
    let before = text.get(..start).unwrap_or_default();
    if line.starts_with('[') {
        let first = before.lines().enumerate().filter(|(_, l)| l.trim() == line).last();
        let place = first.map_or_else(String::new, |(n, _)| format!(", in line {}", n + 1));
        return Slip {
            range,
            message: format!("the table {line} is there already{place}"),
            expected: "each table once, all its keys under one heading".to_owned(),
            example: format!("# {line}, and its keys under the first one{place}"),
            heading: None,
            and_next: None,
        };
    }
    let key = |l: &str| l.split('=').next().unwrap_or_default().trim().to_owned();
    let own = key(line);
    // In the same table: back to the heading before.
    let same = before.lines().enumerate().collect::<Vec<_>>();
    let first =
        same.iter().rev().take_while(|(_, l)| !l.trim_start().starts_with('[')).find(|(_, l)| key(l) == own);
    match first {
        Some((n, other)) => Slip {
            range,
            message: format!("{own} is there already, in line {}", n + 1),
            expected: "each key once in its table".to_owned(),
            example: if other.trim() == line {
                format!("{line}, once")
            } else {
                format!("{} or {line}, one of the two", other.trim())
            },
            heading: None,
            and_next: None,
        },
        None => Slip {
            range,
            message: format!("{own} is there already"),
            expected: "each key once in its table".to_owned(),
            example: format!("# {line}"),
            heading: None,
            and_next: None,
        },
    }
}

/// Whether a slip is about a table that one of these headings names.
pub(super) fn names(text: &str, slip: &Slip, headings: &[(String, usize)]) -> bool {
    let (_, line) = line_at(text, slip.range.start);
    let name = headed(line.trim()).map(|(name, _)| name);
    headings.iter().any(|(own, _)| Some(own) == name.as_ref())
}

/// The line before this one, if it opens a list it does not close.
fn open_list<'a>(text: &'a str, start: usize, line: &'a str) -> Option<(usize, &'a str)> {
    let open =
        |l: &str| l.split_once('=').is_some_and(|(_, v)| v.trim_start().starts_with('[') && !v.contains(']'));
    if open(line) {
        return Some((start, line));
    }
    let mut end = start;
    for _ in 0..4 {
        let (above, before) = line_at(text, end.checked_sub(1)?);
        if open(before) {
            return Some((above, before.trim_end()));
        }
        if before.contains('=') {
            return None;
        }
        end = above;
    }
    None
}

/// Brackets of any kind: around a name alone they are a heading's.
const BRACKETS: &[char] = &['[', ']', '(', ')', '{', '}', '<', '>'];

/// The name in a line that was meant as a heading, with dots between its parts, and what stands
/// behind its brackets; none where it is another line.
fn headed(line: &str) -> Option<(String, &str)> {
    let line = line.split(" #").next().unwrap_or_default().trim();
    let inside = line.trim_start_matches(|c| BRACKETS.contains(&c) || char::is_whitespace(c));
    let end = inside.find(|c: char| BRACKETS.contains(&c) || c == '=').unwrap_or(inside.len());
    let (name, rest) = inside.split_at(end);
    let behind = rest.trim_start_matches(|c| BRACKETS.contains(&c) || char::is_whitespace(c));
    let closed = !rest.is_empty() && rest.chars().all(|c| matches!(c, ']' | ')' | '}' | '>'));
    let bracketed = line.starts_with(BRACKETS) || closed;
    let is_name = |c: char| c.is_alphanumeric() || matches!(c, '_' | '-' | '.' | ',' | '/' | ':' | '\\');
    let plain = name.chars().all(|c| is_name(c) || c.is_whitespace() || matches!(c, '"' | '\''));
    // A list that goes on, or a value: `role = ["welder"`, `"welder", "fitter"]`.
    let other = rest.starts_with('=') || name.contains('"') && (name.contains(',') || !line.starts_with('['));
    if !bracketed || !plain || other {
        return None;
    }
    let parts: Vec<&str> = name
        .split(|c: char| c.is_whitespace() || matches!(c, '.' | ',' | '/' | ':' | '\\' | '"' | '\''))
        .filter(|part| !part.is_empty())
        .collect();
    let name = if parts.is_empty() { "job".to_owned() } else { parts.join(".") };
    Some((name, behind))
}

/// A heading with its brackets in pairs: double ones where they were meant so, where the file has
/// another of the name, or where the table names itself by an id: then it is one of several.
fn heading(text: &str, (start, line): (usize, &str), name: &str) -> String {
    let double = format!("[[{name}]]");
    let same = text.lines().any(|other| other.trim() == double);
    let below = text.get(start..).unwrap_or_default().lines().nth(1).unwrap_or_default();
    let named = below.split_once('=').is_some_and(|(key, _)| key.trim() == "id");
    if line.starts_with("[[") || same || named { double } else { format!("[{name}]") }
}

/// A line whose text in quotes ends in the next one: where that begins, and both as one line.
fn broken_text(text: &str, start: usize, line: &str) -> Option<(usize, String)> {
    let (_, value) = line.split_once('=')?;
    let open = value.trim_start().strip_prefix('"').is_some_and(|inner| !inner.contains('"'));
    let next = start + line.len() + text.get(start + line.len()..)?.find('\n')? + 1;
    let (_, below) = line_at(text, next);
    let ends = below.trim_end().strip_suffix('"').is_some_and(|inner| !inner.contains(['"', '=']));
    (open && ends).then(|| (next, format!("{} {}", line.trim_end(), below.trim())))
}

/// A line `key = value` as it was meant, if that parses; else its key with a text.
fn mended(line: &str) -> String {
    let line = line.trim().trim_start_matches('\u{FEFF}');
    if let Some(comment) = line.strip_prefix("//").or_else(|| line.strip_prefix("--")) {
        return format!("# {}", comment.trim());
    }
    let split = line.split_once('=').or_else(|| line.split_once(':')).or_else(|| {
        line.find(|c: char| c.is_whitespace() || matches!(c, '"' | '\'' | '“' | '„' | '['))
            .map(|at| line.split_at(at))
    });
    let Some((key, value)) = split else { return format!("# {line}") };
    let key = key.trim().trim_end_matches(':').split_whitespace().collect::<Vec<_>>().join("_");
    let plain_key =
        key.chars().filter(|c| c.is_alphanumeric() || matches!(c, '_' | '-' | '.')).collect::<String>();
    let key = if plain_key.is_empty() { "key".to_owned() } else { plain_key };
    if is_like_a_date(line) || is_a_day_in_words(value) {
        let days: Vec<String> = mend::date(value.trim().trim_matches(QUOTES))
            .iter()
            .map(|day| format!("{key} = {day}"))
            .collect();
        return if days.is_empty() { format!("{key} = …, a day there is") } else { days.join(" or ") };
    }
    // Two keys in one line: each has its own.
    if let Some((first, second)) = two_keys(value) {
        let first = meant(first).into_iter().next().unwrap_or_default();
        return format!("{key} = {first} # and {second} in a line of its own");
    }
    let fits = |value: &String| DeTable::parse_recoverable(&format!("{key} = {value}\n")).1.is_empty();
    match meant(value.trim()).into_iter().filter(fits).collect::<Vec<_>>().as_slice() {
        [] => format!("{key} = \"…\""),
        values => {
            let lines: Vec<String> = values.iter().map(|v| format!("{key} = {v}")).collect();
            lines.join(" or ")
        }
    }
}

/// A value in quotes and a key with its value behind it.
fn two_keys(value: &str) -> Option<(&str, &str)> {
    let inner = value.trim().strip_prefix('"')?;
    let end = inner.find('"')?;
    let (_, behind) = inner.split_at(end + 1);
    let behind = behind.trim_start_matches([',', ';']).trim();
    let (key, other) = behind.split_once('=')?;
    let is_key = |c: char| c.is_ascii_alphanumeric() || matches!(c, '_' | '-' | '.');
    let key = key.trim();
    let both = !key.is_empty() && key.chars().all(is_key) && !other.trim().is_empty();
    both.then(|| (value.trim().get(..end + 2).unwrap_or_default(), behind))
}

const QUOTES: &[char] = &['"', '“', '”', '„', '‟', '″', '«', '»'];

/// The values a text behind the equals sign may have been meant as.
fn meant(value: &str) -> Vec<String> {
    let value = value.trim_end_matches([';', ',']).trim();
    let value = value.trim_start_matches('=').trim_start();
    if value.is_empty() {
        return vec!["\"\"".to_owned()];
    }
    if let Some(rest) = value.strip_prefix('[') {
        let items = rest.trim_end_matches(']');
        let parts: Vec<String> = words(items).into_iter().map(|w| quoted(&w)).collect();
        return vec![format!("[{}]", parts.join(", "))];
    }
    match value.to_lowercase().as_str() {
        word @ ("true" | "false") => return vec![word.to_owned()],
        "yes" | "on" => return vec!["true".to_owned()],
        "no" | "off" => return vec!["false".to_owned()],
        _ => {}
    }
    if let Ok(number) = value.parse::<f64>()
        && number.is_finite()
    {
        let text = if value.starts_with('.') {
            format!("0{value}")
        } else {
            value.trim_start_matches('+').to_owned()
        };
        return vec![if text.ends_with('.') { format!("{text}0") } else { text }];
    }
    if let Some(decimal) = decimal_comma(value) {
        return vec![quoted(&decimal)];
    }
    let opens = value.starts_with(QUOTES) || value.starts_with(['\'', '‘', '’']);
    if !opens {
        // 3.25 in" lacks its first quote; 1/2" is half an inch.
        let cut = value.strip_suffix(QUOTES).filter(|v| v.ends_with(char::is_alphabetic));
        return vec![quoted(cut.unwrap_or(value))];
    }
    let inner = value.strip_prefix(QUOTES).or_else(|| value.strip_prefix(['\'', '‘', '’'])).unwrap_or(value);
    match inner.rfind(QUOTES).or_else(|| inner.rfind(['\'', '‘', '’'])) {
        Some(at) => {
            let behind = inner.get(at..).unwrap_or_default();
            let behind = behind.strip_prefix(|_: char| true).unwrap_or_default().trim();
            let text = inner.get(..at).unwrap_or_default();
            let several: Vec<&str> =
                text.split(QUOTES).map(str::trim).filter(|t| !t.is_empty() && *t != ",").collect();
            // "3.25 in" "3 in": two values, of which nobody can take both.
            if several.len() > 1 && text.split(QUOTES).any(|between| between.trim() == ",") {
                let all: Vec<String> = several.iter().map(|t| quoted(t)).collect();
                return vec![format!("[{}]", all.join(", "))];
            }
            if several.len() > 1 {
                return several.iter().map(|t| quoted(t)).collect();
            }
            match behind.trim_start_matches(['#', '/', ',', ';']).trim() {
                "" => vec![quoted(text)],
                words => vec![format!("{} # {words}", quoted(text))],
            }
        }
        None => vec![quoted(inner)],
    }
}

/// A number whose comma can only be a decimal one, with a point: three digits behind it may be
/// thousands.
fn decimal_comma(value: &str) -> Option<String> {
    let (whole, part) = value.split_once(',')?;
    let digits = |t: &str| !t.is_empty() && t.bytes().all(|b| b.is_ascii_digit());
    (digits(whole) && digits(part) && part.len() != 3).then(|| format!("{whole}.{part}"))
}

/// The items of a list, whether or not commas and quotes stand between them.
fn words(items: &str) -> Vec<String> {
    let quote = |c: char| QUOTES.contains(&c) || matches!(c, '\'' | '‘' | '’');
    let all: Vec<&str> =
        if items.contains(quote) { items.split(quote).collect() } else { items.split(',').collect() };
    all.into_iter()
        .map(str::trim)
        .filter(|w| !w.is_empty() && !w.chars().all(|c| c == ','))
        .map(str::to_owned)
        .collect()
}

/// A text in quotes, with what has to be written otherwise in them.
fn quoted(text: &str) -> String {
    let mut out = String::from("\"");
    let chars: Vec<char> = text.trim().chars().collect();
    for (i, c) in chars.iter().enumerate() {
        let digit = |at: Option<usize>| at.and_then(|at| chars.get(at)).is_some_and(char::is_ascii_digit);
        match c {
            '\\' if digit(i.checked_sub(1)) && digit(Some(i + 1)) => out.push('/'),
            '\\' if chars.get(i + 1) == Some(&'"') => {}
            '\\' => out.push_str("\\\\"),
            '"' => out.push_str("\\\""),
            c => out.push(*c),
        }
    }
    out.push('"');
    out
}

/// Whether a line is written like a date: a key, an equals sign and digits in groups.
fn is_like_a_date(line: &str) -> bool {
    let Some((_, value)) = line.split_once('=') else { return false };
    let value = value.trim();
    let groups: Vec<&str> = value.split(['-', '/', '.']).collect();
    let whole = |g: &&str| !g.is_empty() && g.len() <= 4 && g.bytes().all(|b| b.is_ascii_digit());
    groups.len() == 3 && groups.iter().all(whole) && groups.iter().any(|g| g.len() == 4)
}

/// Whether a value is a day with its month as a word and a year of four digits: `March 2, 2026`.
fn is_a_day_in_words(value: &str) -> bool {
    let value = value.trim().trim_matches(QUOTES);
    let year = |part: &str| part.len() == 4 && part.bytes().all(|b| b.is_ascii_digit());
    value.contains(char::is_alphabetic)
        && value.split(|c: char| !c.is_alphanumeric()).any(year)
        && !mend::date(value).is_empty()
}

/// Where a line of a text begins that holds a byte.
#[must_use]
pub(super) fn line_start(text: &str, at: usize) -> usize {
    line_at(text, at).0
}

/// Line of a byte that is no UTF-8, from one, and what stands before it in its line.
#[must_use]
pub fn before_byte(bytes: &[u8], at: usize) -> (usize, String) {
    let text = String::from_utf8_lossy(bytes.get(..at).unwrap_or_default()).into_owned();
    let (start, line) = line_at(&text, text.len());
    (number(&text, start), line.to_owned())
}

//! Values in two units inside a sentence, turned round for who works metric: what a
//! figure, a table of bounds or a rule says of a value is written once, shop unit first.

use super::{Kind, Quantity, Style, parse, unit};

/// Units a metric shop writes second, if at all, by a part of their symbol: `lbf-ft` and
/// `kJ/in` too.
const INCH: &[&str] = &["in", "ft", "yd", "mi", "lb", "lbf", "ksi", "psi", "degF", "F", "mph"];

/// Whether a unit is one of the inch system.
#[must_use]
pub fn of_inches(symbol: &str) -> bool {
    symbol.split(|c: char| !c.is_ascii_alphabetic()).any(|part| INCH.contains(&part))
}

/// A sentence with the metric value first in every pair: `1/2 in (12.7 mm)` as
/// `12.7 mm (1/2 in)`. What is no pair stays as it is.
#[must_use]
pub fn metric_first(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some((open, close)) = brackets(rest) {
        let (before, inner) = (&rest[..open], &rest[open + OPEN.len()..close]);
        match first_of(before, inner) {
            Some(start) => {
                let (lead, first) = before.split_at(start);
                out.push_str(&format!("{lead}{inner} ({first})"));
                rest = &rest[close + 1..];
            }
            None => {
                out.push_str(&rest[..open + OPEN.len()]);
                rest = &rest[open + OPEN.len()..];
            }
        }
    }
    out.push_str(rest);
    out
}

/// A range in one unit, `0.02 to 2 in`, in the metric unit of its kind; none where it is
/// no range, or of no inches.
#[must_use]
pub fn range_in_metric(kind: Kind, text: &str) -> Option<String> {
    let (low, high) = text.split_once(" to ")?;
    let (_, symbol) = high.split_once(' ').filter(|(_, symbol)| of_inches(symbol))?;
    let end = |number: &str| -> Option<Quantity> { parse::maybe(kind, number) };
    let (low, high) = (end(&format!("{low} {symbol}"))?, end(high)?);
    let style = Style::of(kind).as_example();
    Some(format!("{} to {}", style.si(low), style.si(high)))
}

const OPEN: &str = " (";

/// Where the first bracket opens and closes.
fn brackets(text: &str) -> Option<(usize, usize)> {
    let open = text.find(OPEN)?;
    Some((open, open + text[open..].find(')')?))
}

/// Where the value in front of a bracket begins, if it is the one in the bracket in inches.
fn first_of(before: &str, inner: &str) -> Option<usize> {
    let (ahead, symbol) = before.rsplit_once(' ')?;
    let number = ahead.rsplit_once([' ', '(', '"']).map_or(ahead, |(_, number)| number);
    let (beside, metric) = inner.split_once(' ')?;
    let same = of_inches(symbol)
        && !of_inches(metric)
        && unit::kinds_of(symbol).iter().any(|kind| unit::find(*kind, metric).is_some());
    (same && is_number(number) && is_number(beside)).then(|| ahead.len() - number.len())
}

/// Whether a word is a number as a page prints it: `3-1/4`, `−0.5`, `1 000`.
fn is_number(word: &str) -> bool {
    word.contains(|c: char| c.is_ascii_digit())
        && word.chars().all(|c| c.is_ascii_digit() || ".,/-−+\u{202f}".contains(c))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pair_is_turned_round_and_nothing_else() {
        let rows = [
            ("at most 1/2 in (12.7 mm), read", "at most 12.7 mm (1/2 in), read"),
            ("3-1/4 in (82.6 mm) to 4 in (101.6 mm)", "82.6 mm (3-1/4 in) to 101.6 mm (4 in)"),
            ("−1 in (−25 mm)", "−25 mm (−1 in)"),
            ("60 lbf-ft (81 N·m)", "81 N·m (60 lbf-ft)"),
            ("350 °F (177 °C)", "177 °C (350 °F)"),
            ("1.2 kJ/in (0.05 kJ/mm)", "0.05 kJ/mm (1.2 kJ/in)"),
            // No pairs.
            ("12.7 mm (1/2 in)", "12.7 mm (1/2 in)"),
            ("3 in (common practice)", "3 in (common practice)"),
            ("fits in (12.7 mm)", "fits in (12.7 mm)"),
            ("B3 (J1) 5 V (80 A)", "B3 (J1) 5 V (80 A)"),
            ("a (b 2 in (51 mm) c)", "a (b 51 mm (2 in) c)"),
            ("open (", "open ("),
        ];
        for (text, turned) in rows {
            assert_eq!(metric_first(text), turned);
            assert_eq!(metric_first(turned), turned, "turned once");
        }
    }

    #[test]
    fn a_range_in_inches_is_said_in_millimetres() {
        // 1 in = 25.4 mm and 1 lbf-ft = 1.3558 N·m, exactly and to five digits (ISO 80000).
        let metric = |kind, text| range_in_metric(kind, text);
        assert_eq!(metric(Kind::Length, "0.02 to 2 in").as_deref(), Some("0.508 mm to 50.8 mm"));
        assert_eq!(metric(Kind::Torque, "1 to 1000 lbf-ft").as_deref(), Some("1.36 N·m to 1356 N·m"));
        assert_eq!(metric(Kind::Length, "0 to 2500 mm"), None);
        assert_eq!(metric(Kind::Length, "values above zero"), None);
    }
}

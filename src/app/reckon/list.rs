//! A list as it is typed at the bench: its parts, and decimals written with a comma
//! among them, which would be other values without a word.

/// Parts of a list, between commas or semicolons; without any, plain decimals
/// between blanks: `6 6 deg`.
pub(super) fn split(text: &str) -> Vec<String> {
    let parts: Vec<String> =
        text.split([',', ';']).map(|p| p.trim().to_owned()).filter(|p| !p.is_empty()).collect();
    let [only] = parts.as_slice() else { return parts };
    let words: Vec<&str> = only.split_whitespace().collect();
    let numbers = words.iter().take_while(|w| w.parse::<f64>().is_ok()).count();
    // "1 1/2 in" is one mixed number: its second word is no plain decimal.
    if numbers < 2 || words.len() > numbers + 1 || words.last().is_some_and(|w| w.contains('/')) {
        return parts;
    }
    let mut list: Vec<String> = words.iter().take(numbers).map(|w| (*w).to_owned()).collect();
    if let (Some(last), Some(unit)) = (list.last_mut(), words.get(numbers)) {
        *last = format!("{last} {unit}");
    }
    list
}

/// The list with points for the commas that may be decimal ones, if there are any: a
/// comma between two whole numbers without a blank, where the list is parted otherwise
/// too, or where it is the only one. `0,281 in, 0,276 in` and `0,281 in`, but not
/// `0.281,0.276 in` nor `30,45,60 deg`.
pub(super) fn with_points(text: &str) -> Option<String> {
    let chars: Vec<char> = text.chars().collect();
    let separators = chars.iter().filter(|c| matches!(c, ',' | ';')).count();
    let tight: Vec<usize> = (0..chars.len()).filter(|at| decimal(&chars, *at)).collect();
    let parted = |at: usize| chars[at] == ';' || chars.get(at + 1).is_some_and(|c| c.is_whitespace());
    let otherwise = (0..chars.len()).any(|at| matches!(chars[at], ',' | ';') && parted(at));
    if tight.is_empty() || separators > 1 && !otherwise {
        return None;
    }
    Some(chars.iter().enumerate().map(|(at, c)| if tight.contains(&at) { '.' } else { *c }).collect())
}

/// Whether the comma at `at` stands between two numbers that have no point.
fn decimal(chars: &[char], at: usize) -> bool {
    let digit = |c: &&char| c.is_ascii_digit();
    let (before, after) = (&chars[..at], chars.get(at + 1..).unwrap_or_default());
    let past = |rest: Option<&char>| rest.is_none_or(|c| !matches!(c, '.' | '/'));
    let (left, right) =
        (before.iter().rev().take_while(digit).count(), after.iter().take_while(digit).count());
    chars[at] == ',' && left > 0 && right > 0 && past(before.iter().rev().nth(left)) && past(after.get(right))
}

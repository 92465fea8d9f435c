//! What a paper from elsewhere is named by, so that it is found again: its number or its
//! date. Common practice: numbers of reports and certificates carry letters and digits
//! (PT-114), or several digits.

use chrono::{Datelike, NaiveDate};

use super::words::nothing_read;

/// Fewest letters and digits of a number that has both.
const MIXED: usize = 3;
/// Fewest digits of a number that has no letter: one or two count something, four may be a
/// year.
const BARE: usize = 4;
/// Most letters and digits of a number.
const MOST: usize = 40;
/// Years a paper may be from that somebody still goes by.
const YEARS: std::ops::RangeInclusive<i32> = 1950..=2199;
/// How a date is written.
const DATES: &[&str] = &[
    "%Y-%m-%d", "%Y/%m/%d", "%Y.%m.%d", "%Y%m%d", "%d.%m.%Y", "%d.%m.%y", "%m/%d/%Y", "%m/%d/%y", "%d/%m/%Y",
    "%d-%m-%Y", "%d %B %Y", "%d %b %Y", "%B %d %Y", "%b %d %Y",
];
/// Words that only say that a number follows.
const SAYS_NUMBER: &[&str] =
    &["no", "nr", "num", "number", "report", "rep", "certificate", "cert", "sheet", "paper", "page", "test"];
/// What a paper is that lets something be.
const PAPERS: &[&str] = &[
    "letter",
    "report",
    "certificate",
    "drawing",
    "approval",
    "permit",
    "bulletin",
    "statement",
    "mail",
    "email",
    "fax",
    "memo",
    "assessment",
    "calculation",
    "expertise",
];
/// Endings of a number that counts: 1st, 10th.
const COUNTS: &[&str] = &["st", "nd", "rd", "th"];

/// What is expected where a paper is named.
pub(super) const EXPECTED: &str = "the number of the report or certificate, letters and digits as it stands there, or its date, so that it is found again";

/// Whether words name a paper by a number or a date somebody can look for.
pub(super) fn names_paper(text: &str) -> bool {
    let words = words(text);
    nothing_read(text).is_none() && (dated(&words) || words.iter().any(|word| is_number(word)))
}

/// Whether words name a paper somebody let something be by: its number, or its date beside what
/// it is. A day alone is when somebody looked.
pub(super) fn names_permit(text: &str) -> bool {
    let words = words(text);
    let numbered = words.iter().any(|word| is_number(word) && !is_date(word));
    let is_paper = || words.iter().any(|word| PAPERS.iter().any(|paper| word.eq_ignore_ascii_case(paper)));
    nothing_read(text).is_none() && (numbered || dated(&words) && is_paper())
}

fn words(text: &str) -> Vec<&str> {
    text.split(|c: char| c.is_whitespace() || matches!(c, ',' | ';' | '(' | ')' | ':'))
        .map(|word| word.trim_matches(|c: char| !c.is_alphanumeric()))
        .filter(|word| !word.is_empty())
        .collect()
}

fn dated(words: &[&str]) -> bool {
    let of = |n: usize| words.windows(n).any(|some| is_date(&some.join(" ")));
    of(1) || of(3)
}

/// Words by which a paper says that something is wrong: they begin so, whatever stands beside
/// them.
const FINDS: &[&str] = &["crack", "indication", "fail", "reject", "defect", "unaccept", "porosity", "linear"];

/// Whether words say what a paper found, beside its name.
pub(super) fn says_what_it_found(text: &str) -> bool {
    let text = text.to_lowercase();
    text.split(|c: char| !c.is_alphanumeric()).any(|word| FINDS.iter().any(|found| word.starts_with(found)))
}

/// Whether words only hold a digit: what was asked of a paper's name before [`EXPECTED`] was.
pub(super) fn has_a_digit(text: &str) -> bool {
    nothing_read(text).is_none() && text.chars().any(|c| c.is_ascii_digit())
}

fn is_date(text: &str) -> bool {
    let read = |form: &str| NaiveDate::parse_from_str(text, form).ok();
    DATES.iter().filter_map(|form| read(form)).any(|day| YEARS.contains(&day.year()))
}

/// Whether a word looks as the number of a paper does.
fn is_number(word: &str) -> bool {
    let bare: String = word.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect();
    let head: String = bare.chars().take_while(|c| !c.is_ascii_digit()).collect();
    let own = if SAYS_NUMBER.contains(&&*head) { &bare[head.len()..] } else { &*bare };
    let size = own.chars().count();
    let digits = own.chars().filter(char::is_ascii_digit).count();
    let counts =
        COUNTS.iter().any(|end| own.strip_suffix(end).is_some_and(|n| n.chars().all(|c| c.is_ascii_digit())));
    let year = own.parse().is_ok_and(|year| YEARS.contains(&year));
    let same = own.chars().next().is_some_and(|first| own.chars().all(|c| c == first));
    // 44-3 is a number of an office, 443 may be a count.
    let parted = word.trim_matches(|c: char| !c.is_ascii_digit()).contains(['-', '/', '.']);
    let long = if digits == size && !parted { BARE } else { MIXED };
    digits > 0 && (long..=MOST).contains(&size) && !counts && !year && !same
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_paper_is_named_by_what_somebody_can_look_for() {
        for text in [
            "PT-114",
            "PT-114 of 2026-03-01",
            "PT-114, 2026-03-01",
            "sheet 7, 2026-02-20",
            "2 March 2026",
            "Mar 2, 2026",
            "02.03.2026",
            "3/2/26",
            "no. 4711",
            "report no 20-117",
            "2026/114",
            "R17",
            "heat 8Y2231, mill sheet",
            "MT7a",
            "letter no. 44-3",
        ] {
            assert!(names_paper(text), "{text}");
        }
        for text in [
            "",
            "1",
            "12",
            "114",
            "no. 1",
            "no1",
            "report 1",
            "report-1",
            "1st",
            "10th report",
            "0000",
            "1111",
            "2026",
            "n/a",
            "seen",
            "x",
            "99-99-9999",
            "R7",
            "number 12",
            "1 2 3",
            "page 4",
            "1-2",
        ] {
            assert!(!names_paper(text), "{text}");
        }
        for text in
            ["letter of the maker no. 44-3: let be", "letter of 2026-02-02", "PT-114", "bulletin 4711"]
        {
            assert!(names_permit(text), "{text}");
        }
        for text in ["seen 2026-12-01", "looked at on 1 December 2026", "2026-12-01", "letter", "page 4"] {
            assert!(!names_permit(text), "{text}");
        }
    }
}

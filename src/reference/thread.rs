//! Threads by designation, read the way a shop writes them: `1/2-20 UNF`,
//! `1/2-20`, `1/2 UNF`, `1-1/8-12 UNF-2A`, `M12`, `M12x1.25`, `M12×1.25-6g`.

use super::thread_table::{METRIC, Row, UNIFIED};
use crate::quantity::{Area, Dimensioned, Length, unit};
use crate::source::Source;

/// Source of the Unified basic profile and its tables.
pub const B1_1: Source = Source::standard("ASME B1.1-2019", "basic profile and appendix B");
/// Source of the ISO metric basic profile.
pub const ISO_724: Source =
    Source::standard("ISO 724:1993 and ISO 898-1:2013", "basic dimensions; stress area 9.1.6").from_memory();

/// Thread series.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Series {
    /// Unified coarse.
    Unc,
    /// Unified fine.
    Unf,
    /// Unified, constant 8 threads per inch.
    Un8,
    /// Unified, another constant pitch.
    Un,
    /// Unified extra fine.
    Unef,
    /// Unified special.
    Uns,
    /// ISO metric coarse.
    Coarse,
    /// ISO metric fine.
    Fine,
    /// ISO metric profile with a pitch outside ISO 261.
    Special,
}

impl Series {
    /// What the trade calls it.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Series::Unc => "UNC",
            Series::Unf => "UNF",
            Series::Un8 => "8-UN",
            Series::Un => "UN",
            Series::Unef => "UNEF",
            Series::Uns => "UNS",
            Series::Coarse => "ISO metric coarse",
            Series::Fine => "ISO metric fine",
            Series::Special => "ISO metric, special pitch",
        }
    }

    /// Whether it is an ISO metric series.
    #[must_use]
    pub const fn is_metric(self) -> bool {
        matches!(self, Series::Coarse | Series::Fine | Series::Special)
    }
}

/// A thread size.
#[derive(Debug, Clone, PartialEq)]
pub struct Thread {
    /// Designation with its series, such as `1/2-20 UNF`.
    pub name: String,
    /// Series, which says inch or metric.
    pub series: Series,
    /// Basic major diameter.
    pub major: Length,
    /// Pitch; equal to the lead, single start.
    pub pitch: Length,
    /// Tolerance class written behind the size, such as `3A` or `6g`.
    pub class: Option<String>,
    row: Option<&'static Row>,
}

impl Thread {
    /// Whether it is ISO metric.
    #[must_use]
    pub const fn is_metric(&self) -> bool {
        self.series.is_metric()
    }

    /// Whether the size stands in the tables; otherwise only its diameter and
    /// pitch are known.
    #[must_use]
    pub const fn is_tabulated(&self) -> bool {
        self.row.is_some()
    }

    /// Tensile stress area as the table prints it, rounded; none off the tables.
    #[must_use]
    pub fn printed_stress_area(&self) -> Option<Area> {
        let unit = if self.is_metric() { unit::MM2 } else { unit::IN2_AREA };
        Some(Area::of(self.row?.stress_area?, unit))
    }

    /// Printed minor-diameter area.
    #[must_use]
    pub fn printed_root_area(&self) -> Option<Area> {
        Some(Area::of(self.row?.root_area?, unit::IN2_AREA))
    }

    /// Width across flats of the bolt head.
    #[must_use]
    pub fn head_flats(&self) -> Option<Length> {
        self.length(self.row?.head)
    }

    /// Width across flats of the nut.
    #[must_use]
    pub fn nut_flats(&self) -> Option<Length> {
        self.length(self.row?.nut)
    }

    /// Washer face of the hexagon head, ISO 4014.
    #[must_use]
    pub fn washer_face(&self) -> Option<Length> {
        self.length(self.row?.washer_face)
    }

    /// Medium clearance hole, ISO 273.
    #[must_use]
    pub fn clearance_hole(&self) -> Option<Length> {
        self.length(self.row?.clearance_hole)
    }

    fn length(&self, value: Option<f64>) -> Option<Length> {
        Some(Length::of(value?, if self.is_metric() { unit::MM } else { unit::IN }))
    }

    fn from_row(row: &'static Row) -> Self {
        let (major, pitch, name) = if row.series.is_metric() {
            (
                Length::of(row.major, unit::MM),
                Length::of(row.lead, unit::MM),
                row.designation.replace('x', "×"),
            )
        } else {
            (
                Length::of(row.major, unit::IN),
                Length::of(1.0 / row.lead, unit::IN),
                // The 8 of 8-UN stands in the designation already.
                format!("{} {}", row.designation, row.series.word().trim_start_matches("8-")),
            )
        };
        Self { name, series: row.series, major, pitch, class: None, row: Some(row) }
    }
}

/// Every tabulated thread.
pub fn all() -> impl Iterator<Item = Thread> {
    UNIFIED.iter().chain(METRIC).map(Thread::from_row)
}

/// Names of tabulated threads close to a text: of the same diameter, or of the next one
/// below and above it, if that can be read, otherwise a few of each system.
#[must_use]
pub fn suggestions(text: &str) -> Vec<String> {
    let text = &pointed(text);
    let plain = squeeze(split_class(text).0);
    let metric = plain.strip_prefix('m').or_else(|| metric_without_letter(&plain).then_some(plain.as_str()));
    let (rows, major) = match metric {
        Some(rest) => (METRIC, split_metric(rest).map(|(d, _)| d)),
        None => (UNIFIED, split_unified(&plain).map(|u| u.major)),
    };
    let names = |wanted: &dyn Fn(f64) -> bool| -> Vec<String> {
        rows.iter().filter(|r| wanted(r.major)).map(|r| Thread::from_row(r).name).collect()
    };
    let beside = major.map(|major| {
        let sizes = || rows.iter().map(|r| r.major);
        let below = sizes().filter(|d| *d <= major + 1e-9).fold(f64::NEG_INFINITY, f64::max);
        let above = sizes().filter(|d| *d >= major - 1e-9).fold(f64::INFINITY, f64::min);
        names(&|d| d == below || d == above)
    });
    beside.filter(|names| !names.is_empty()).unwrap_or_else(|| {
        ["1/2-13 UNC", "1/2-20 UNF", "1-1/8-8 UN", "M12", "M12×1.25"].map(str::to_owned).to_vec()
    })
}

/// The thread a text means. A size outside the tables is accepted when its
/// pitch is written out.
#[must_use]
pub fn find(text: &str) -> Option<Thread> {
    let text = &pointed(text);
    let (size, class) = split_class(text);
    let plain = squeeze(size);
    let found = match plain.strip_prefix('m') {
        Some(rest) => find_metric(rest),
        None if metric_without_letter(&plain) => find_metric(&plain),
        None => find_unified(&plain),
    };
    found.map(|thread| Thread { class: class.map(str::to_owned), ..thread })
}

/// With a decimal point for a decimal comma between digits: no thread has a list in its name.
fn pointed(text: &str) -> String {
    text.replace(',', ".")
}

/// `12x1.75`: no numbered size has fewer than 24 threads per inch.
fn metric_without_letter(plain: &str) -> bool {
    plain.split_once('x').is_some_and(|(d, p)| {
        number(d).is_some_and(|d| d >= 1.0) && number(p.trim()).is_some_and(|p| p <= 8.0)
    })
}

/// The size and the tolerance class behind it: `-2A`, `UNC-3A`, `-6g`, `-4h6h`.
fn split_class(text: &str) -> (&str, Option<&str>) {
    let text = text.trim();
    let start = text
        .rfind(['-', ' ', '–', '−'])
        .map_or(0, |at| at + text[at..].chars().next().map_or(1, char::len_utf8));
    let (size, class) = text.split_at(start);
    if start > 0 && is_class(class) {
        (size.trim_end_matches(['-', ' ', '–', '−']), Some(class))
    } else {
        (text, None)
    }
}

/// Whether a word is a tolerance class of a thread: inch `1A` to `3B`, metric
/// grade and position, once or twice.
#[must_use]
pub fn is_class(word: &str) -> bool {
    let pair = |pair: &str| {
        let mut chars = pair.chars();
        let grade = chars.next().is_some_and(|c| ('3'..='9').contains(&c));
        grade && chars.next().is_some_and(|c| "efghEFGH".contains(c)) && chars.next().is_none()
    };
    let inch =
        |word: &str| matches!(word.to_ascii_uppercase().as_str(), "1A" | "2A" | "3A" | "1B" | "2B" | "3B");
    match (word.is_ascii(), word.len()) {
        (true, 2) => inch(word) || pair(word),
        (true, 4) => pair(&word[..2]) && pair(&word[2..]),
        _ => false,
    }
}

/// Lower case, one kind of dash and multiplication sign, no inch marks.
fn squeeze(text: &str) -> String {
    let mut plain = text.trim().to_lowercase();
    for (from, to) in [("×", "x"), ("*", "x"), ("–", "-"), ("−", "-"), ("\"", ""), ("″", ""), ("”", "")]
    {
        plain = plain.replace(from, to);
    }
    plain
}

fn split_metric(rest: &str) -> Option<(f64, Option<f64>)> {
    let rest = rest.trim_end_matches("coarse").replace(' ', "");
    let parts: Vec<&str> = rest.split(['x', '-']).collect();
    match parts.as_slice() {
        [major] => Some((number(major)?, None)),
        [major, pitch] => Some((number(major)?, Some(number(pitch)?))),
        _ => None,
    }
}

fn find_metric(rest: &str) -> Option<Thread> {
    let (major, pitch) = split_metric(rest)?;
    let row = METRIC.iter().find(|r| {
        near(r.major, major)
            && match pitch {
                Some(pitch) => near(r.lead, pitch),
                None => r.series == Series::Coarse,
            }
    });
    if let Some(row) = row {
        return Some(Thread::from_row(row));
    }
    let pitch = pitch?;
    let sensible = (1.0..=200.0).contains(&major) && pitch >= 0.2 && pitch <= major / 4.0;
    sensible.then(|| Thread {
        name: format!("M{major}×{pitch}"),
        series: Series::Special,
        major: Length::of(major, unit::MM),
        pitch: Length::of(pitch, unit::MM),
        class: None,
        row: None,
    })
}

struct Unified {
    major: f64,
    tpi: Option<f64>,
    series: Option<Series>,
    eight: bool,
}

/// Series words, longest first so that `unf` is not read as `un`.
const SERIES_WORDS: &[(&str, Series)] = &[
    ("unrc", Series::Unc),
    ("unrf", Series::Unf),
    ("unef", Series::Unef),
    ("coarse", Series::Unc),
    ("fine", Series::Unf),
    ("uns", Series::Uns),
    ("unc", Series::Unc),
    ("unf", Series::Unf),
    ("nc", Series::Unc),
    ("nef", Series::Unef),
    ("nf", Series::Unf),
    ("un", Series::Un),
];

fn split_unified(plain: &str) -> Option<Unified> {
    let (mut size, mut series) = (plain.to_owned(), None);
    if let Some((at, word, found)) = SERIES_WORDS.iter().find_map(|(w, s)| plain.find(w).map(|i| (i, w, *s)))
    {
        // The class behind it is gone already.
        if !plain[at + word.len()..].trim_matches([' ', '-', '.']).is_empty() {
            return None;
        }
        size = plain[..at].to_owned();
        series = Some(found);
    }
    let mut size = size.trim().trim_end_matches("in").trim_matches([' ', '-']).to_owned();
    let mut eight = false;
    // "1-1/8 8-UN" and "1-1/8-8UN" both end in the 8 of the series.
    if series == Some(Series::Un)
        && let Some(rest) = size.strip_suffix('8')
        && rest.ends_with([' ', '-'])
    {
        eight = true;
        let rest = rest.trim_end_matches([' ', '-']);
        size = if rest.ends_with("-8") { rest.to_owned() } else { format!("{rest}-8") };
    }
    let size = ["no.", "no", "#"].iter().find_map(|n| size.strip_prefix(n)).unwrap_or(&size).trim();
    let size = size.replace("in-", "-").replace(" x ", "-").replace([' ', 'x'], "-");
    let parts: Vec<&str> = size.split('-').map(str::trim).filter(|p| !p.is_empty()).collect();
    let (last, before) = parts.split_last()?;
    let (major_parts, tpi): (&[&str], Option<f64>) =
        if before.is_empty() || last.contains('/') { (&parts, None) } else { (before, Some(number(last)?)) };
    let major = diameter(major_parts, tpi)?;
    Some(Unified { major, tpi, series, eight })
}

/// Inches; whole numbers to 12 before threads per inch of 24 and more (0 and 1:
/// of 56 and more) are the numbered sizes.
fn diameter(parts: &[&str], tpi: Option<f64>) -> Option<f64> {
    match parts {
        [one] => {
            let value = if *one == "0" { 0.0 } else { fraction(one)? };
            let least = if value < 2.0 { 56.0 } else { 24.0 };
            let numbered = tpi.is_some_and(|t| t >= least) && !one.contains(['/', '.']) && value <= 12.0;
            if value <= 0.0 && !numbered {
                return None;
            }
            Some(if numbered { 0.060 + 0.013 * value } else { value })
        }
        [whole, part] if part.contains('/') && !whole.contains('/') => Some(number(whole)? + fraction(part)?),
        _ => None,
    }
}

/// Inches as the trade writes them: `1-3/4` where it is a sixteenth, else a
/// decimal without the last bits a change of units leaves.
fn show_diameter(inches: f64) -> String {
    let sixteenths = (inches * 16.0).round();
    if (inches * 16.0 - sixteenths).abs() < 1e-6 {
        return crate::quantity::show::fraction(inches, 16, crate::quantity::Toward::Nearest);
    }
    format!("{}", (inches * 1e6).round() / 1e6)
}

fn fraction(text: &str) -> Option<f64> {
    match text.split_once('/') {
        Some((top, bottom)) => {
            let (top, bottom) = (number(top)?, number(bottom)?);
            (bottom > 0.0).then(|| top / bottom)
        }
        None => number(text),
    }
}

fn number(text: &str) -> Option<f64> {
    let plain = !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
    text.parse::<f64>().ok().filter(|v| plain && v.is_finite() && *v > 0.0)
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-4 * a.abs().max(b.abs())
}

fn find_unified(plain: &str) -> Option<Thread> {
    let wanted = split_unified(plain)?;
    let fits_series = |row: &Row| match wanted.series {
        None => true,
        Some(Series::Un) => wanted.eight && row.series == Series::Un8,
        Some(series) => row.series == series,
    };
    let row = UNIFIED.iter().find(|row| {
        // A bare diameter says nothing about the pitch unless the series is named.
        near(row.major, wanted.major)
            && fits_series(row)
            && match wanted.tpi {
                Some(tpi) => near(row.lead, tpi),
                None => wanted.series.is_some(),
            }
    });
    if let Some(row) = row {
        return Some(Thread::from_row(row));
    }
    let tpi = wanted.tpi?;
    // UNC, UNF and UNEF exist as tabulated only; another pitch is special.
    let series = match wanted.series {
        None => Series::Uns,
        Some(series @ (Series::Un | Series::Uns)) => series,
        Some(_) => return None,
    };
    let sensible = (0.06..=6.0).contains(&wanted.major) && tpi * wanted.major >= 4.0 && tpi <= 80.0;
    sensible.then(|| Thread {
        name: format!("{}-{tpi} {}", show_diameter(wanted.major), series.word()),
        series,
        class: None,
        major: Length::of(wanted.major, unit::IN),
        pitch: Length::of(1.0 / tpi, unit::IN),
        row: None,
    })
}

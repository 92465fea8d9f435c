//! The review of pictures of paper, worded and placed.

use super::paper_seen::{Seen, SheetSeen, png, words};
use crate::app::output;
use crate::app::plan::Failure;
use crate::form::{BoxKind, Page, PageCode, Proposed, Rect};
use crate::picture::{BoxSeen, PageSeen, SAMPLES};
use crate::render::{Frame, LookAt, Review, Sheet, review};

/// Room for a page on a page of the review, in mm: letter less margins and words.
const ROOM: (f64, f64) = (186.0, 226.0);
/// Widest crop on the page, in mm.
const CROP: f64 = 78.0;
/// Crops are shown so much larger than they are.
const LARGER: f64 = 1.6;

/// Typesets the review; gives the PDF.
///
/// # Errors
/// If it can't be typeset.
pub fn write(seen: &Seen) -> Result<Vec<u8>, Failure> {
    let form = &seen.form;
    let mut looks = Vec::new();
    let mut sheets = Vec::new();
    for sheet in &seen.sheets {
        sheets.push(placed(seen, sheet, &mut looks)?);
    }
    let narrow = form.pages.first().is_some_and(|p| p.width < 213.0);
    let paper = if narrow { "a4" } else { "us-letter" };
    let count = looks.len();
    let made = review(&Review {
        title: format!("Pictures of {} rev {}: what they show", form.number, form.revision),
        paper: paper.to_owned(),
        foot: format!(
            "{} rev {}. Proposals by rules {}; nothing is entered before a named person has seen it. The \
             rules were tried on synthetic pictures only.",
            form.number,
            form.revision,
            crate::picture::RULE
        ),
        sheets,
        looks_title: format!("To look at, one by one: {count}"),
        looks,
    });
    made.map(output::close).map_err(|e| Failure::System(e.to_string()))
}

fn placed(seen: &Seen, sheet: &SheetSeen, looks: &mut Vec<LookAt>) -> Result<Sheet, Failure> {
    let source = title(sheet);
    let page = match &sheet.page {
        Ok(page) => page,
        Err(why) => {
            return Ok(Sheet {
                title: source,
                lines: vec![format!("Nothing was decided: {why}.")],
                ..Sheet::default()
            });
        }
    };
    let size = size(seen, &page.code);
    let scale = (ROOM.0 / size.width).min(ROOM.1 / size.height);
    let mut frames = Vec::new();
    for (i, one) in page.boxes.iter().enumerate() {
        let crop = sheet.crops.iter().find(|(at, ..)| *at == i);
        let tag = match (&one.value, crop) {
            (Proposed::Ticked, _) => "ticked".to_owned(),
            (_, Some((_, png, _))) => {
                let number = (looks.len() + 1).to_string();
                looks.push(look(seen, one, page, number.clone(), png.clone()));
                number
            }
            _ => String::new(),
        };
        frames.push(frame(one.rect, scale, tag, &one.value));
    }
    let straight = sheet.straight.as_ref().map(png).transpose()?;
    Ok(Sheet {
        title: source,
        lines: vec![summary(sheet, page)],
        picture: straight,
        width: size.width * scale,
        height: size.height * scale,
        frames,
    })
}

/// `page 5 (scan.pdf, page 2)`.
#[must_use]
pub fn title(sheet: &SheetSeen) -> String {
    let source =
        if sheet.place.is_empty() { sheet.file.clone() } else { format!("{}, {}", sheet.file, sheet.place) };
    sheet.number.map_or_else(|| source.clone(), |page| format!("page {page} ({source})"))
}

fn size(seen: &Seen, code: &PageCode) -> Page {
    let index = usize::try_from(code.page).unwrap_or(0).saturating_sub(1);
    let letter = Page { width: 216.0, height: 279.0, code: None, grey: None };
    seen.form.pages.get(index).copied().unwrap_or(letter)
}

/// Counts in a line.
#[must_use]
pub fn summary(sheet: &SheetSeen, page: &PageSeen) -> String {
    let count = |of: fn(&BoxSeen) -> bool| page.boxes.iter().filter(|b| of(b)).count();
    let mut text = format!(
        "{} ticked, {} not ticked, {} written, {} empty, {} to look at",
        count(|b| b.value == Proposed::Ticked),
        count(|b| b.value == Proposed::Empty && b.kind == BoxKind::Tick),
        count(|b| b.value == Proposed::Written),
        count(|b| b.value == Proposed::Empty && b.kind != BoxKind::Tick),
        count(|b| matches!(b.value, Proposed::Look(_))),
    );
    if page.two_tone {
        text.push_str("; black and white only, so nothing is called empty");
    }
    if sheet.known > 0 {
        text.push_str(&format!("; {} as on an earlier picture", sheet.known));
    }
    if !sheet.gone.is_empty() {
        text.push_str(&format!("; {} marks of an earlier picture are gone", sheet.gone.len()));
    }
    text
}

/// A frame on the page; what it says is told by its line and its word, and the
/// colour only helps.
fn frame(rect: Rect, scale: f64, tag: String, value: &Proposed) -> Frame {
    let (ink, thick, dash, around) = match value {
        Proposed::Ticked => ("#00502f", 1.4, "solid", 0.8),
        Proposed::Look(_) => ("#a01818", 1.4, "dashed", 0.8),
        Proposed::Written | Proposed::Text(_) => ("#123a7a", 1.0, "solid", 0.5),
        Proposed::Empty => ("#808080", 0.5, "dotted", 0.3),
    };
    Frame {
        x: (rect.x - around) * scale,
        y: (rect.y - around) * scale,
        width: (rect.width + 2.0 * around) * scale,
        height: (rect.height + 2.0 * around) * scale,
        tag,
        ink,
        thick,
        dash,
    }
}

fn look(seen: &Seen, one: &BoxSeen, page: &PageSeen, tag: String, png: Vec<u8>) -> LookAt {
    let asks = seen.box_of(one).map_or_else(String::new, |b| b.asks.clone());
    let asks = match &one.word {
        Some(word) => format!("{asks}: {word}"),
        None => asks,
    };
    // 2 mm around the box are in the crop.
    let width = ((one.rect.width + 4.0) * LARGER).clamp(8.0 / SAMPLES, CROP);
    LookAt {
        tag,
        asks,
        name: format!("{}  page {}", one.name, page.code.page),
        why: words(one.kind, &one.value),
        picture: png,
        width,
    }
}

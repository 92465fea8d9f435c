//! The review of pictures of paper: the pages with what is proposed drawn on, and
//! the boxes to look at.

use serde::Serialize;
use serde_json::json;
use typst::foundations::Bytes;

use super::{RenderError, assets, clean, engine};

/// A review, everything on it worded and placed.
#[derive(Debug, Clone, Default)]
pub struct Review {
    /// Title of the file.
    pub title: String,
    /// Paper: `us-letter` or `a4`.
    pub paper: String,
    /// Line at the foot of every page.
    pub foot: String,
    /// Pages that came back.
    pub sheets: Vec<Sheet>,
    /// Title over the boxes to look at.
    pub looks_title: String,
    /// Boxes to look at.
    pub looks: Vec<LookAt>,
}

/// A page that came back.
#[derive(Debug, Clone, Default)]
pub struct Sheet {
    /// Its page number if it was recognised, with the file and the place it was read
    /// from.
    pub title: String,
    /// What is said of it.
    pub lines: Vec<String>,
    /// The picture laid straight, as PNG or JPEG; none where nothing was read.
    pub picture: Option<Vec<u8>>,
    /// Width it is shown with, in mm.
    pub width: f64,
    /// Height it is shown with, in mm.
    pub height: f64,
    /// What is drawn on it.
    pub frames: Vec<Frame>,
}

/// A frame around a box, in mm of the picture as it is shown.
#[derive(Debug, Clone, Default, Serialize)]
pub struct Frame {
    /// Left edge.
    pub x: f64,
    /// Top edge.
    pub y: f64,
    /// From the left edge to the right.
    pub width: f64,
    /// From the top edge to the bottom.
    pub height: f64,
    /// What it says, in a word.
    pub tag: String,
    /// Its colour, `#rrggbb`; the word and the line say the same.
    pub ink: &'static str,
    /// Thickness of its line, in points.
    pub thick: f64,
    /// Its line: `solid`, `dashed` or `dotted`.
    pub dash: &'static str,
}

/// A box to look at.
#[derive(Debug, Clone, Default)]
pub struct LookAt {
    /// Its number on the page.
    pub tag: String,
    /// What it asks.
    pub asks: String,
    /// What a command takes for the box, then its page.
    pub name: String,
    /// Why it has to be looked at.
    pub why: String,
    /// The crop, as PNG.
    pub picture: Vec<u8>,
    /// Width it is shown with, in mm.
    pub width: f64,
}

/// Longest text of a review, in characters.
const LONGEST: usize = 400;

/// A text as it is printed, cut where it would run away.
fn worded(text: &str) -> String {
    let mut text = clean::visible(text, &engine::prints);
    if let Some((at, _)) = text.char_indices().nth(LONGEST) {
        text.truncate(at);
        text.push('…');
    }
    text
}

/// Typesets a review; gives the PDF.
///
/// # Errors
/// If the template failed.
pub fn review(review: &Review) -> Result<Vec<u8>, RenderError> {
    let mut files = Vec::new();
    let mut sheets = Vec::new();
    for (i, sheet) in review.sheets.iter().enumerate() {
        let picture = sheet.picture.as_ref().map(|bytes| {
            let name = format!("/sheet/{i}");
            files.push((name.clone(), Bytes::new(bytes.clone())));
            name
        });
        let frames: Vec<Frame> =
            sheet.frames.iter().map(|f| Frame { tag: worded(&f.tag), ..f.clone() }).collect();
        sheets.push(json!({
            "title": worded(&sheet.title), "lines": sheet.lines.iter().map(|l| worded(l)).collect::<Vec<_>>(),
            "picture": picture, "width": sheet.width, "height": sheet.height, "frames": frames,
        }));
    }
    let mut looks = Vec::new();
    for (i, one) in review.looks.iter().enumerate() {
        let name = format!("/look/{i}");
        files.push((name.clone(), Bytes::new(one.picture.clone())));
        looks.push(json!({
            "tag": worded(&one.tag), "asks": worded(&one.asks), "name": worded(&one.name),
            "why": worded(&one.why), "picture": name, "width": one.width,
        }));
    }
    let model = json!({
        "title": worded(&review.title), "paper": review.paper, "foot": worded(&review.foot),
        "sheets": sheets, "looks-title": worded(&review.looks_title), "looks": looks,
    });
    files.push(("/review.json".to_owned(), Bytes::new(model.to_string().into_bytes())));
    engine::for_the_eye(assets::REVIEW, files)
}

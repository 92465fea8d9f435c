//! A page read from a picture: which it is, how it lies, what its boxes hold.

use std::fmt;

use serde::{Deserialize, Serialize};

use super::SAMPLES;
use super::geometry::{Homography, Point};
use super::grey::{Evened, Grey, level, place, real};
pub use super::ink::Blank;
use super::ink::{Features, Look, measure};
use super::register::{Laid, corners};
use super::rule::{Around, tick, writing};
use super::{code, discs, register};
use crate::form::{BoxKind, BoxName, Form, FormBox, Page, PageCode, Proposed, Rect};

/// Share of a page's outlines that has to show before anything is decided.
const REGISTERED: f64 = 0.8;

/// A page read from a picture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct PageSeen {
    /// What its code says.
    pub code: PageCode,
    /// From mm on the page to points of the picture.
    pub map: Homography,
    /// Share of its boxes whose outline shows.
    pub registered: f64,
    /// Whether the picture shows black and white only.
    pub two_tone: bool,
    /// Its boxes, in their order.
    pub boxes: Vec<BoxSeen>,
}

/// A box in a picture.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct BoxSeen {
    /// Which box.
    pub name: BoxName,
    /// What goes into it.
    pub kind: BoxKind,
    /// The word it stands for, of a reading answered by a choice.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub word: Option<String>,
    /// Where it is on the page, in mm, as it was looked at: with its own shift.
    pub rect: Rect,
    /// What it is proposed to hold.
    pub value: Proposed,
    /// What it was decided by.
    pub features: Features,
}

impl BoxSeen {
    /// Its name, with the word it stands for.
    #[must_use]
    pub fn label(&self) -> String {
        match &self.word {
            Some(word) => format!("{} = {word}", self.name),
            None => self.name.to_string(),
        }
    }

    /// Whether it holds something, or may.
    #[must_use]
    pub fn says_something(&self) -> bool {
        self.value != Proposed::Empty
    }
}

/// Why nothing of a picture was decided.
#[derive(Debug, Clone, PartialEq)]
pub enum NotRead {
    /// No code of a page was found.
    NoCode,
    /// A page of another traveler.
    Number(PageCode, String),
    /// A page of another revision.
    Revision(PageCode, String),
    /// A page whose digest is not this revision's.
    Digest(PageCode),
    /// The revision has no such page, or one without places for a picture to be
    /// read by.
    Page(PageCode),
    /// The corners of the page could not be found.
    Corners(PageCode),
    /// Part of the page lies outside the picture.
    Cut(PageCode),
    /// The outlines of too many boxes do not show; the share that does.
    Outlines(PageCode, f64),
}

impl NotRead {
    /// The code, where one was read.
    #[must_use]
    pub fn code(&self) -> Option<&PageCode> {
        match self {
            Self::NoCode => None,
            Self::Number(code, _)
            | Self::Revision(code, _)
            | Self::Digest(code)
            | Self::Page(code)
            | Self::Corners(code)
            | Self::Cut(code)
            | Self::Outlines(code, _) => Some(code),
        }
    }
}

impl fmt::Display for NotRead {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoCode => f.write_str(
                "no page's code was found: take the picture again, the whole page in it, sharp and without glare",
            ),
            Self::Number(code, wanted) => {
                write!(f, "page {} of traveler {}, not of {wanted}", code.page, code.number)
            }
            Self::Revision(code, wanted) => write!(
                f,
                "page {} of revision {}; revision {wanted} is in force: nothing of it is taken, look at what changed",
                code.page, code.revision
            ),
            Self::Digest(code) => write!(
                f,
                "page {} carries the digest {}, which is not that of this revision: it was not printed from \
                 this traveler",
                code.page, code.digest
            ),
            Self::Page(code) => write!(f, "page {} has no boxes a picture can be read by", code.page),
            Self::Corners(code) => write!(
                f,
                "page {}: its corners can't be made out: lay it flat, all four discs in the picture",
                code.page
            ),
            Self::Cut(code) => write!(f, "page {} is cut off in the picture: take it whole", code.page),
            Self::Outlines(code, share) => write!(
                f,
                "page {}: only {:.0} % of its boxes show their outline: nothing was decided, take it again",
                code.page,
                share * 100.0
            ),
        }
    }
}

/// What the code in a picture says, whatever traveler it is of.
#[must_use]
pub fn code_of(grey: &Grey) -> Option<PageCode> {
    code::find(grey).map(|found| found.code)
}

/// Reads the page in a picture. `blank` gives the page as it was printed.
///
/// # Errors
/// If it is no page of the form, or one nothing can be decided on.
pub fn read(grey: &Grey, form: &Form, blank: &dyn Fn(u32) -> Option<Grey>) -> Result<PageSeen, NotRead> {
    let even = Evened::of(grey);
    let first = form.pages.iter().find(|p| p.code.is_some()).copied().unwrap_or_default();
    let spots = discs::find(grey, &first);
    let found = code::find(grey).or_else(|| {
        let rect = first.code?;
        register::by_discs(&even, &first, rect, &spots).map(|(_, found)| found)
    });
    let Some(found) = found else { return Err(NotRead::NoCode) };
    let code = found.code.clone();
    let page = belongs(&code, form)?;
    let Some(rect) = page.code else { return Err(NotRead::Page(code)) };
    let boxes: Vec<&FormBox> = form.on(code.page).collect();
    let Some(printed) = blank(code.page).filter(|_| !boxes.is_empty()) else {
        return Err(NotRead::Page(code));
    };
    let Some(laid) = register::by_code(&even, &found, &page, rect, &spots, &boxes) else {
        return Err(NotRead::Corners(code));
    };
    if boxes.iter().any(|b| !inside(grey, &laid.map, b.rect)) {
        return Err(NotRead::Cut(code));
    }
    // A line to write on has no outline; only what the paper keeps has such lines.
    let outlined = |b: &FormBox| b.kind != BoxKind::Note || boxes.iter().all(|b| b.kind == BoxKind::Note);
    let framed: Vec<f64> =
        boxes.iter().zip(&laid.boxes).filter(|(b, _)| outlined(b)).map(|(_, o)| o.seen).collect();
    let shown = framed.iter().filter(|seen| **seen >= 0.6).count();
    let registered = real(shown) / real(framed.len());
    if registered < REGISTERED {
        return Err(NotRead::Outlines(code, registered));
    }
    let two_tone = two_tone(&even, &laid.map, &page);
    let blank = Blank { grey: &printed, width: page.width };
    let mut boxes = looked_at(&even, &laid, blank, &boxes, Around { two_tone });
    contradictions(&mut boxes);
    Ok(PageSeen { code, map: laid.map, registered, two_tone, boxes })
}

/// The page a code names, if it is of this form.
fn belongs(code: &PageCode, form: &Form) -> Result<Page, NotRead> {
    if !code.number.eq_ignore_ascii_case(&form.number) {
        return Err(NotRead::Number(code.clone(), form.number.clone()));
    }
    if !code.revision.eq_ignore_ascii_case(&form.revision) {
        return Err(NotRead::Revision(code.clone(), form.revision.clone()));
    }
    let digest = form.digest.get(..code.digest.len()).unwrap_or_default();
    if !code.digest.eq_ignore_ascii_case(digest) {
        return Err(NotRead::Digest(code.clone()));
    }
    let index = usize::try_from(code.page).unwrap_or(usize::MAX).wrapping_sub(1);
    form.pages.get(index).copied().ok_or_else(|| NotRead::Page(code.clone()))
}

fn looked_at(
    even: &Evened<'_>,
    laid: &Laid,
    blank: Blank<'_>,
    boxes: &[&FormBox],
    around: Around,
) -> Vec<BoxSeen> {
    let mut dark: Vec<f64> = laid.boxes.iter().filter(|o| o.seen >= 0.6).map(|o| o.dark).collect();
    dark.sort_by(f64::total_cmp);
    let usual = dark.get(dark.len() / 2).copied().unwrap_or(1.0).max(0.05);
    let mut seen = Vec::with_capacity(boxes.len());
    for (i, (one, outline)) in boxes.iter().zip(&laid.boxes).enumerate() {
        let others: Vec<Rect> =
            boxes.iter().enumerate().filter(|(k, _)| *k != i).map(|(_, b)| b.rect).collect();
        let own = if outline.seen >= 0.6 { outline.dark } else { usual };
        let look = Look {
            even,
            map: &laid.map,
            blank,
            outline: *outline,
            print: own.clamp(0.75 * usual, 1.25 * usual),
            others: &others,
            around: one.kind == BoxKind::Tick,
        };
        let features = measure(&look, one.rect);
        let value = match one.kind {
            BoxKind::Tick => tick(&features, around),
            BoxKind::Initials | BoxKind::Value | BoxKind::Signature | BoxKind::Note => {
                writing(&features, around)
            }
        };
        let (x, y) = outline.shift;
        let rect = Rect { x: one.rect.x + x, y: one.rect.y + y, ..one.rect };
        seen.push(BoxSeen {
            name: one.name.clone(),
            kind: one.kind,
            word: one.word.clone(),
            rect,
            value,
            features,
        });
    }
    seen
}

/// One question has one answer: where two of its words are ticked, neither is
/// proposed, and all that is marked there is looked at.
fn contradictions(boxes: &mut [BoxSeen]) {
    let several: Vec<BoxName> = boxes
        .iter()
        .enumerate()
        .filter(|(i, one)| {
            let other = |b: &BoxSeen| b.name == one.name && b.value == Proposed::Ticked;
            one.word.is_some() && one.value == Proposed::Ticked && boxes[..*i].iter().any(other)
        })
        .map(|(_, one)| one.name.clone())
        .collect();
    for one in boxes.iter_mut().filter(|b| b.value == Proposed::Ticked && several.contains(&b.name)) {
        one.value = Proposed::Look("another word of the same question is ticked too".to_owned());
    }
}

/// Whether a box with a little around it lies in the picture.
fn inside(grey: &Grey, map: &Homography, rect: Rect) -> bool {
    let wider = Rect { x: rect.x - 1.0, y: rect.y - 1.0, width: rect.width + 2.0, height: rect.height + 2.0 };
    corners(wider).iter().all(|c| grey.sample(map.apply(*c)).is_some())
}

/// Whether a picture shows black and white only: the grey strip is gone, or there
/// is nothing between black and white.
fn two_tone(even: &Evened<'_>, map: &Homography, page: &Page) -> bool {
    if let Some(strip) = page.grey {
        let part = |number: f64| {
            let mut sums = (0.0, 0.0);
            for i in 0..10 {
                for j in 0..6 {
                    let p = Point::new(
                        strip.x + strip.width * (number + 0.3 + 0.04 * f64::from(i)) / 3.0,
                        strip.y + strip.height * (0.25 + 0.1 * f64::from(j)),
                    );
                    if let Some(dark) = even.darkness(map.apply(p)) {
                        sums = (sums.0 + dark, sums.1 + 1.0);
                    }
                }
            }
            if sums.1 > 0.0 { sums.0 / sums.1 } else { 0.0 }
        };
        let (second, third) = (part(1.0), part(2.0));
        if !(second > 0.07 && third > 0.12 && third < 0.65) {
            return true;
        }
    }
    let (mut between, mut black) = (0_u32, 0_u32);
    for value in even.grey.levels.iter().step_by(7) {
        match value {
            0..48 => black += 1,
            48..208 => between += 1,
            _ => {}
        }
    }
    between * 8 < black
}

/// The page of a picture laid straight, `per` points to the mm.
#[must_use]
pub fn straight(grey: &Grey, map: &Homography, rect: Rect, per: f64) -> Grey {
    let (width, height) = (place(rect.width * per), place(rect.height * per));
    let mut levels = Vec::with_capacity(width * height);
    for y in 0..height {
        for x in 0..width {
            let p = Point::new(rect.x + (real(x) + 0.5) / per, rect.y + (real(y) + 0.5) / per);
            levels.push(grey.sample(map.apply(p)).map_or(255, level));
        }
    }
    Grey { width, height, levels }
}

/// A box with what stands close to it.
fn around(rect: Rect) -> Rect {
    let more = 2.0;
    Rect {
        x: rect.x - more,
        y: rect.y - more,
        width: rect.width + 2.0 * more,
        height: rect.height + 2.0 * more,
    }
}

/// A box cut out of the picture with 2 mm around it, at [`SAMPLES`] points to the mm.
#[must_use]
pub fn crop(grey: &Grey, seen: &PageSeen, one: &BoxSeen) -> Grey {
    straight(grey, &seen.map, around(one.rect), SAMPLES)
}

/// The same out of a page that is laid straight already, `per` points to the mm.
#[must_use]
pub fn cut(page: &Grey, rect: Rect, per: f64) -> Grey {
    let rect = around(rect);
    let place = |mm: f64| super::grey::place((mm.max(0.0) * per).round());
    let (left, top) = (place(rect.x).min(page.width), place(rect.y).min(page.height));
    let right = place(rect.x + rect.width).clamp(left, page.width);
    let low = place(rect.y + rect.height).clamp(top, page.height);
    let rows = page.levels.chunks(page.width.max(1)).take(low).skip(top);
    let levels = rows.flat_map(|row| row.get(left..right).unwrap_or_default().iter().copied()).collect();
    Grey { width: right - left, height: low - top, levels }
}

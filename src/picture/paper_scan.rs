//! PDF files of scanners, and our own pages, drawn as grey pictures.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;

use hayro::hayro_interpret::InterpreterSettings;
use hayro::hayro_syntax::object::{Dict, MaybeRef, Name, Object, Stream};
use hayro::hayro_syntax::{LoadPdfError, Pdf};
use hayro::vello_cpu::color::palette::css::WHITE;
use hayro::{RenderCache, RenderSettings, render};

use super::grey::Grey;
use super::quiet;
use super::refused::{PAGES, Unreadable, no};

/// Keys under which a PDF carries something that runs, opens or hides
/// (ISO 32000-1, 12.6.4 and 7.11.4).
const ACTIVE: [&[u8]; 6] = [b"JS", b"JavaScript", b"Launch", b"RichMedia", b"XFA", b"ImportData"];
/// Largest picture inside, in points.
const MOST: f64 = 60e6;
/// Long side of a drawn page, in points: about 200 to the inch.
const LONG_SIDE: f32 = 2_300.0;
/// How deep objects are looked into.
const DEEP: u32 = 24;

/// A PDF of pictures, opened.
pub(super) struct PaperScan(Pdf);

impl PaperScan {
    /// Opens it and looks through everything it holds.
    pub(super) fn open(bytes: &[u8]) -> Result<Self, Unreadable> {
        let data = Arc::new(bytes.to_vec());
        let opened = quiet::guard(|| {
            catch_unwind(AssertUnwindSafe(|| match Pdf::new(data) {
                Ok(pdf) => {
                    looked_through(&pdf)?;
                    Ok(Self(pdf))
                }
                Err(LoadPdfError::Decryption(_)) => no("it is a locked PDF: save it without a password"),
                Err(LoadPdfError::Invalid) => no("it is a broken PDF"),
            }))
        });
        let scan = opened.unwrap_or_else(|_| no("it is a broken PDF"))?;
        match scan.count() {
            0 => no("it is a PDF without pages"),
            n if n > PAGES => no(format!("it has {n} pages; {PAGES} are the most")),
            _ => Ok(scan),
        }
    }

    pub(super) fn count(&self) -> usize {
        self.0.pages().len()
    }

    /// A page, from 0.
    pub(super) fn draw(&self, index: usize) -> Result<Grey, Unreadable> {
        let Some(page) = self.0.pages().get(index) else { return no("the PDF has no such page") };
        let (width, height) = page.render_dimensions();
        let long = width.max(height);
        if !(width.min(height) >= 36.0 && long.is_finite() && long <= 14_400.0) {
            return no(format!("its page is {width} by {height} points large, which is no paper"));
        }
        let scale = LONG_SIDE / long;
        let settings =
            RenderSettings { x_scale: scale, y_scale: scale, bg_color: WHITE, ..RenderSettings::default() };
        let drawn = quiet::guard(|| {
            catch_unwind(AssertUnwindSafe(|| {
                render(page, &RenderCache::new(), &InterpreterSettings::default(), &settings)
            }))
        });
        let Ok(drawn) = drawn else { return no("its page can't be drawn") };
        let levels = drawn
            .data()
            .iter()
            .map(|p| {
                let sum = 299 * u32::from(p.r) + 587 * u32::from(p.g) + 114 * u32::from(p.b);
                u8::try_from(sum / 1000).unwrap_or(u8::MAX)
            })
            .collect();
        Ok(Grey { width: usize::from(drawn.width()), height: usize::from(drawn.height()), levels })
    }
}

/// Nothing in it runs, and no picture in it is larger than paper is scanned.
fn looked_through(pdf: &Pdf) -> Result<(), Unreadable> {
    for object in pdf.objects() {
        look(&object, DEEP)?;
    }
    Ok(())
}

fn look(object: &Object<'_>, deep: u32) -> Result<(), Unreadable> {
    if deep == 0 {
        return no("it is a PDF with objects inside each other without end");
    }
    match object {
        Object::Dict(dict) => entries(dict, deep),
        Object::Stream(stream) => picture(stream).and_then(|()| entries(stream.dict(), deep)),
        Object::Array(array) => array.raw_iter().try_for_each(|one| match one {
            MaybeRef::NotRef(inner) => look(&inner, deep - 1),
            MaybeRef::Ref(_) => Ok(()),
        }),
        _ => Ok(()),
    }
}

fn entries(dict: &Dict<'_>, deep: u32) -> Result<(), Unreadable> {
    let kind = dict.get::<Name<'_>>(b"S");
    let runs = |name: &[u8]| ACTIVE.contains(&name);
    if dict.keys().any(|key| runs(key.as_ref())) || kind.is_some_and(|k| runs(k.as_ref())) {
        return no("it is a PDF with a script or something else that runs; a scan has none");
    }
    for (_, value) in dict.entries() {
        if let MaybeRef::NotRef(inner) = value {
            look(&inner, deep - 1)?;
        }
    }
    Ok(())
}

fn picture(stream: &Stream<'_>) -> Result<(), Unreadable> {
    let side = |key: &[u8]| stream.dict().get::<f64>(key).unwrap_or(0.0);
    let points = side(b"Width") * side(b"Height");
    if points > MOST {
        return no(format!(
            "a picture in it says it is {} by {} points, more than a scan of a page has",
            side(b"Width"),
            side(b"Height")
        ));
    }
    Ok(())
}

//! Reads a PDF back: what is on which page, where, and what the file claims.
//!
//! Glyphs come from an interpreter of page content, structure from the object
//! tree; neither shares code with the writer.

use std::sync::Arc;

use hayro::hayro_interpret::font::Glyph;
use hayro::hayro_interpret::hayro_cmap::BfString;
use hayro::hayro_interpret::util::TransformExt;
use hayro::hayro_interpret::{
    BlendMode, ClipPath, Context, Device, GlyphDrawMode, Image, InterpreterCache, InterpreterSettings, Paint,
    PathDrawMode, SoftMask, interpret_page,
};
use hayro::hayro_syntax::Pdf;
use hayro::vello_cpu::kurbo::{Affine, BezPath, Rect, Shape};
use hayro::{RenderCache, RenderSettings, render};
use lopdf::{Dictionary, Document, Object};

/// A line of text on paper, in points from the top left corner.
#[derive(Debug, Clone)]
pub(crate) struct Run {
    pub left: f64,
    pub right: f64,
    pub baseline: f64,
    pub size: f64,
    pub text: String,
}

/// A page.
#[derive(Debug, Default)]
pub(crate) struct Page {
    pub width: f64,
    pub height: f64,
    pub runs: Vec<Run>,
    /// Bounding boxes of everything drawn, in points from the top left corner.
    pub paths: Vec<Rect>,
}

impl Page {
    /// All its text without spaces, in the order it was drawn.
    pub(crate) fn text(&self) -> String {
        squeeze(&self.runs.iter().map(|run| run.text.as_str()).collect::<String>())
    }
}

/// A text without spaces and invisible breaks.
pub(crate) fn squeeze(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && *c != '\u{200B}').collect()
}

/// The pages of a file.
pub(crate) fn pages(bytes: &[u8]) -> Vec<Page> {
    let pdf = Pdf::new(Arc::new(bytes.to_vec())).unwrap();
    let cache = InterpreterCache::new();
    pdf.pages()
        .iter()
        .map(|page| {
            let (width, height) = page.render_dimensions();
            let transform = page.initial_transform(true).to_kurbo();
            let area = Rect::new(0.0, 0.0, width.into(), height.into());
            let mut context =
                Context::new(transform, area, &cache, page.xref(), InterpreterSettings::default());
            let mut seen = Page { width: width.into(), height: height.into(), ..Page::default() };
            interpret_page(page, &mut context, &mut seen);
            seen
        })
        .collect()
}

/// A page as a coarse picture: a digit per cell, 0 white to 9 at least a third black.
pub(crate) fn picture(bytes: &[u8], page: usize, columns: usize, rows: usize) -> String {
    let pdf = Pdf::new(Arc::new(bytes.to_vec())).unwrap();
    let cache = RenderCache::new();
    let white = hayro::vello_cpu::color::palette::css::WHITE;
    let settings = RenderSettings { bg_color: white, ..RenderSettings::default() };
    let pixels = render(&pdf.pages()[page], &cache, &InterpreterSettings::default(), &settings);
    let (width, height) = (usize::from(pixels.width()), usize::from(pixels.height()));
    let mut dark = vec![(0_u64, 0_u64); columns * rows];
    for (i, pixel) in pixels.data().iter().enumerate() {
        let (x, y) = (i % width, i / width);
        let cell = &mut dark[(y * rows / height) * columns + x * columns / width];
        cell.0 += u64::from(255 - pixel.g);
        cell.1 += 1;
    }
    let mut text = String::new();
    for row in dark.chunks(columns) {
        for (sum, count) in row {
            text.push(
                char::from_digit(u32::try_from((sum * 27 / (count * 255)).min(9)).unwrap(), 10).unwrap(),
            );
        }
        text.push('\n');
    }
    text
}

impl<'a> Device<'a> for Page {
    fn set_soft_mask(&mut self, _: Option<SoftMask<'a>>) {}
    fn set_blend_mode(&mut self, _: BlendMode) {}
    fn push_clip_path(&mut self, _: &ClipPath) {}
    fn push_transparency_group(&mut self, _: f32, _: Option<SoftMask<'a>>, _: BlendMode) {}
    fn draw_image(&mut self, _: Image<'a, '_>, _: Affine) {}
    fn pop_clip_path(&mut self) {}
    fn pop_transparency_group(&mut self) {}

    fn draw_path(&mut self, path: &BezPath, transform: Affine, _: &Paint<'a>, _: &PathDrawMode) {
        self.paths.push((transform * path.clone()).bounding_box());
    }

    fn draw_glyph(
        &mut self,
        glyph: &Glyph<'a>,
        transform: Affine,
        glyph_transform: Affine,
        _: &Paint<'a>,
        _: &GlyphDrawMode,
    ) {
        let Glyph::Outline(outline) = glyph else { panic!("a glyph that is no outline") };
        let text = match glyph.as_unicode().expect("a glyph without a character") {
            BfString::Char(c) => c.to_string(),
            BfString::String(s) => s,
        };
        let place = transform * glyph_transform;
        let [xx, .., x, y] = place.as_coeffs();
        let size = xx.abs() * 1000.0;
        let right = x + f64::from(outline.advance_width().unwrap_or(0.0)) * xx;
        if let Some(run) = self.runs.last_mut()
            && (run.baseline - y).abs() < 0.05
            && (run.size - size).abs() < 0.05
            && (x - run.right).abs() < 0.6 * size
        {
            run.text.push_str(&text);
            run.right = right;
        } else {
            self.runs.push(Run { left: x, right, baseline: y, size, text });
        }
    }
}

/// What the file says about itself.
#[derive(Debug, Default)]
pub(crate) struct Claims {
    pub title: String,
    pub language: String,
    pub tagged: bool,
    pub shows_title: bool,
    pub metadata: String,
    pub bookmarks: Vec<String>,
    /// Name, relationship, MIME type, bytes.
    pub attachments: Vec<(String, String, String, Vec<u8>)>,
    /// Name, embedded, has character codes.
    pub fonts: Vec<(String, bool, bool)>,
    /// Kinds of actions, such as `URI` or `JavaScript`.
    pub actions: Vec<String>,
    /// Spoken texts of figures.
    pub spoken: Vec<String>,
    /// Media boxes, in points.
    pub sheets: Vec<(f64, f64)>,
}

/// A text string of a PDF: UTF-16 with a mark, or single bytes.
fn string(object: &Object) -> String {
    match object {
        Object::String(bytes, _) => match bytes.strip_prefix(&[0xFE, 0xFF]) {
            Some(wide) => {
                let units: Vec<u16> = wide.chunks(2).map(|c| u16::from_be_bytes([c[0], c[1]])).collect();
                String::from_utf16(&units).unwrap()
            }
            None => String::from_utf8_lossy(bytes).into_owned(),
        },
        Object::Name(bytes) => String::from_utf8_lossy(bytes).into_owned(),
        _ => String::new(),
    }
}

fn at<'a>(file: &'a Document, dictionary: &'a Dictionary, key: &[u8]) -> Option<&'a Object> {
    dictionary.get(key).ok().and_then(|object| file.dereference(object).ok()).map(|(_, object)| object)
}

/// Reads the claims of a file.
pub(crate) fn claims(bytes: &[u8]) -> Claims {
    let file = Document::load_mem(bytes).unwrap();
    let catalog = file.catalog().unwrap();
    let flag = |part: &[u8], key: &[u8]| {
        at(&file, catalog, part)
            .and_then(|o| o.as_dict().ok())
            .and_then(|d| d.get(key).ok())
            .is_some_and(|o| o.as_bool().unwrap_or(false))
    };
    let mut claims = Claims {
        language: at(&file, catalog, b"Lang").map(string).unwrap_or_default(),
        tagged: flag(b"MarkInfo", b"Marked") && catalog.has(b"StructTreeRoot"),
        shows_title: flag(b"ViewerPreferences", b"DisplayDocTitle"),
        ..Claims::default()
    };
    if let Some(Object::Stream(stream)) = at(&file, catalog, b"Metadata") {
        let plain = stream.decompressed_content().unwrap_or_else(|_| stream.content.clone());
        claims.metadata = String::from_utf8(plain).unwrap();
    }
    if let Some(Object::Dictionary(outlines)) = at(&file, catalog, b"Outlines") {
        bookmarks(&file, outlines, &mut claims.bookmarks);
    }
    for object in file.objects.values() {
        match object {
            Object::Dictionary(d) => dictionary(&file, d, &mut claims),
            Object::Stream(s) => dictionary(&file, &s.dict, &mut claims),
            _ => {}
        }
    }
    if let Ok(info) = file.trailer.get(b"Info").and_then(|o| file.dereference(o))
        && let Ok(info) = info.1.as_dict()
    {
        claims.title = at(&file, info, b"Title").map(string).unwrap_or_default();
    }
    claims
}

fn bookmarks(file: &Document, parent: &Dictionary, list: &mut Vec<String>) {
    let mut next = at(file, parent, b"First");
    while let Some(Object::Dictionary(item)) = next {
        list.push(at(file, item, b"Title").map(string).unwrap_or_default());
        bookmarks(file, item, list);
        next = at(file, item, b"Next");
    }
}

fn dictionary(file: &Document, d: &Dictionary, claims: &mut Claims) {
    let kind = d.get(b"Type").ok().map(string).unwrap_or_default();
    if let Some(action) = d.get(b"S").ok().map(string)
        && ["URI", "JavaScript", "Launch", "SubmitForm", "GoToR", "ImportData"].contains(&action.as_str())
    {
        claims.actions.push(action);
    }
    if let Some(alt) = at(file, d, b"Alt") {
        claims.spoken.push(string(alt));
    }
    match kind.as_str() {
        "Page" => {
            if let Some(Object::Array(sheet)) = at(file, d, b"MediaBox") {
                let n: Vec<f64> = sheet.iter().map(|o| f64::from(o.as_float().unwrap())).collect();
                claims.sheets.push((n[2] - n[0], n[3] - n[1]));
            }
        }
        "Filespec" => {
            let stream = at(file, d, b"EF")
                .and_then(|o| o.as_dict().ok())
                .and_then(|ef| at(file, ef, b"F"))
                .and_then(|o| o.as_stream().ok())
                .expect("an attachment without a file");
            claims.attachments.push((
                at(file, d, b"UF").map(string).unwrap_or_default(),
                at(file, d, b"AFRelationship").map(string).unwrap_or_default(),
                at(file, &stream.dict, b"Subtype").map(string).unwrap_or_default(),
                stream.decompressed_content().unwrap_or_else(|_| stream.content.clone()),
            ));
        }
        "Font" if d.get(b"Subtype").ok().map(string).as_deref() == Some("Type0") => {
            let descendant = match at(file, d, b"DescendantFonts") {
                Some(Object::Array(list)) => file.dereference(&list[0]).unwrap().1.as_dict().unwrap(),
                _ => panic!("a composite font without a descendant"),
            };
            let descriptor = at(file, descendant, b"FontDescriptor").and_then(|o| o.as_dict().ok());
            let embedded = descriptor
                .is_some_and(|d| [&b"FontFile3"[..], b"FontFile2", b"FontFile"].iter().any(|k| d.has(k)));
            claims.fonts.push((
                at(file, d, b"BaseFont").map(string).unwrap_or_default(),
                embedded,
                d.has(b"ToUnicode"),
            ));
        }
        _ => {}
    }
}

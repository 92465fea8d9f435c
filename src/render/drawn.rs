//! What an eye sees on the pages of a PDF: text that is drawn, large enough, on
//! the page, not clipped away, in a colour that stands out from what lies under it,
//! and with nothing painted over it afterwards; in letters whose shapes are known.
//!
//! Made for files nobody vouches for, so whatever can't be told is not seen.

use std::collections::BTreeMap;
use std::panic;
use std::sync::Arc;

use hayro_interpret::font::Glyph;
use hayro_interpret::hayro_cmap::BfString;
use hayro_interpret::hayro_syntax::Pdf;
use hayro_interpret::util::TransformExt;
use hayro_interpret::{
    BlendMode, CacheKey, ClipPath, Context, Device, GlyphDrawMode, Image, InterpreterCache,
    InterpreterSettings, Paint, PathDrawMode, SoftMask, interpret_page,
};
use kurbo::{Affine, BezPath, ParamCurveNearest, Point, Rect, Shape};

/// Smallest text a person reads, in points.
const SMALLEST: f64 = 4.0;
/// How much lighter or darker than its ground text must be, 0 to 1.
const CONTRAST: f64 = 0.25;
/// What lets more than this through does not count as drawn.
const OPAQUE: f32 = 0.9;
/// Wider strokes may cover text, in points.
const WIDE: f64 = 2.0;
/// Most that is drawn or looked at in a file, in steps; the largest records take a
/// hundredth of it. A file that draws itself over and over is given up.
const STEPS: u64 = 400_000_000;
/// Height of the strips letters are found by, in points.
const STRIP: f64 = 16.0;
/// Stack of the reader: a hostile file may be nested deeply.
const STACK: usize = 64 << 20;

/// A piece of text on a line, as it is seen, in points from the top left corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Seen {
    /// Left edge.
    pub left: f64,
    /// Right edge.
    pub right: f64,
    /// Line it stands on.
    pub baseline: f64,
    /// Size of the type; pieces of another size are not joined to it.
    pub size: f64,
    /// Text, without what is not seen.
    pub text: String,
}

/// What is drawn on the pages of a file.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Drawn {
    /// Text of each page, in the order it is drawn.
    pub pages: Vec<Vec<Seen>>,
    /// Letters that are drawn and not seen, by page.
    pub hidden: Vec<usize>,
    /// Shapes each letter is drawn with.
    pub letters: Letters,
}

/// Shapes by the letters they stand for.
pub type Letters = BTreeMap<String, Vec<String>>;

/// Reads the pages of a file. Where `known` is given, a letter in another shape
/// than those in it is not seen as that letter.
///
/// # Errors
/// If the file can't be read; in words.
pub fn drawn(bytes: &[u8], known: Option<&Letters>) -> Result<Drawn, String> {
    let bytes = bytes.to_vec();
    let known = known.cloned();
    // An interpreter's fault on a hostile file must not end the program.
    let reader = std::thread::Builder::new()
        .stack_size(STACK)
        .spawn(move || panic::catch_unwind(|| read(bytes, known)))
        .map_err(|e| e.to_string())?;
    match reader.join() {
        Ok(Ok(drawn)) => drawn,
        _ => Err("its pages can't be read".to_owned()),
    }
}

fn read(bytes: Vec<u8>, known: Option<Letters>) -> Result<Drawn, String> {
    let pdf = Pdf::new(Arc::new(bytes)).map_err(|e| format!("its pages can't be read: {e:?}"))?;
    let cache = InterpreterCache::new();
    let mut drawn = Drawn::default();
    let mut shapes = BTreeMap::new();
    let mut steps = 0;
    for page in pdf.pages().iter() {
        let (width, height) = page.render_dimensions();
        let area = Rect::new(0.0, 0.0, width.into(), height.into());
        let transform = page.initial_transform(true).to_kurbo();
        let mut context = Context::new(transform, area, &cache, page.xref(), InterpreterSettings::default());
        let mut sheet = Sheet {
            area,
            letters: Vec::new(),
            strips: BTreeMap::new(),
            steps: &mut steps,
            ground: Vec::new(),
            clips: Vec::new(),
            groups: Vec::new(),
            masked: false,
            blended: false,
            known: known.as_ref(),
            shapes: &mut shapes,
            found: &mut drawn.letters,
        };
        interpret_page(page, &mut context, &mut sheet);
        let letters = sheet.letters;
        drawn.hidden.push(letters.iter().filter(|l| !l.seen && !l.text.trim().is_empty()).count());
        drawn.pages.push(lines(letters));
    }
    Ok(drawn)
}

/// Letters that follow each other, as pieces of text. A letter that is not seen
/// parts what stands around it.
fn lines(letters: Vec<Letter>) -> Vec<Seen> {
    let mut pieces: Vec<Seen> = Vec::new();
    let mut broken = true;
    for letter in letters {
        if !letter.seen {
            broken = true;
            continue;
        }
        match pieces.last_mut() {
            Some(last)
                if !broken
                    && (last.baseline - letter.baseline).abs() < 0.05
                    && (last.size - letter.size).abs() < 0.05
                    && (letter.left - last.right).abs() < 0.6 * letter.size =>
            {
                last.text.push_str(&letter.text);
                last.right = letter.right;
            }
            _ => pieces.push(Seen {
                left: letter.left,
                right: letter.right,
                baseline: letter.baseline,
                size: letter.size,
                text: letter.text,
            }),
        }
        broken = false;
    }
    pieces
}

/// A letter on its page.
struct Letter {
    text: String,
    left: f64,
    right: f64,
    baseline: f64,
    size: f64,
    middle: Point,
    seen: bool,
}

/// Something painted: where, and how light, if that can be told.
struct Ground {
    bounds: Rect,
    path: BezPath,
    light: Option<f64>,
}

/// A page while it is drawn.
struct Sheet<'s> {
    area: Rect,
    letters: Vec<Letter>,
    /// Letters by the strip their middle is in.
    strips: BTreeMap<i64, Vec<usize>>,
    /// Steps taken in the whole file.
    steps: &'s mut u64,
    ground: Vec<Ground>,
    clips: Vec<BezPath>,
    /// Whether what is drawn in a group is faint, masked or blended.
    groups: Vec<bool>,
    masked: bool,
    blended: bool,
    known: Option<&'s Letters>,
    /// Shapes of letters by the key of their glyph.
    shapes: &'s mut BTreeMap<u128, String>,
    found: &'s mut Letters,
}

/// How light a paint is, 0 black to 1 white (ITU-R BT.709 weights); none if it
/// can't be told.
fn light(paint: &Paint<'_>) -> (Option<f64>, bool) {
    let Paint::Color(color) = paint else { return (None, true) };
    let [r, g, b, a] = color.to_rgba().to_rgba8().map(|v| f64::from(v) / 255.0);
    (Some(0.2126 * r + 0.7152 * g + 0.0722 * b), a >= f64::from(OPAQUE))
}

#[expect(clippy::cast_possible_truncation, reason = "held far beyond any page, whatever a file says")]
fn strip(y: f64) -> i64 {
    (y / STRIP).clamp(-1e6, 1e6) as i64
}

impl Sheet<'_> {
    fn faint(&self) -> bool {
        self.masked || self.blended || self.groups.contains(&true)
    }

    /// Counts work; a file that takes too much of it is given up where it stands.
    fn step(&mut self, work: usize) {
        *self.steps += 1 + work as u64;
        if *self.steps > STEPS {
            // Caught where the reader was started; nobody is told twice.
            panic::resume_unwind(Box::new(()));
        }
    }

    /// Hides the letters whose middle is covered.
    fn hide(&mut self, bounds: Rect, covers: impl Fn(Point) -> bool) {
        let mut work = 0;
        for (_, strip) in self.strips.range(strip(bounds.y0)..=strip(bounds.y1).max(strip(bounds.y0))) {
            work += strip.len();
            for place in strip {
                if let Some(letter) = self.letters.get_mut(*place)
                    && letter.seen
                    && bounds.contains(letter.middle)
                    && covers(letter.middle)
                {
                    letter.seen = false;
                }
            }
        }
        self.step(work);
    }

    /// Paints over what was drawn before. What is see-through still hides: nobody
    /// says how much.
    fn paint(&mut self, path: BezPath, light: Option<f64>) {
        let bounds = path.bounding_box();
        self.hide(bounds, |place| path.winding(place) != 0);
        self.ground.push(Ground { bounds, path, light });
    }

    /// How light the ground is at a place.
    fn under(&self, place: Point) -> Option<f64> {
        let at = |g: &&Ground| g.bounds.contains(place) && g.path.winding(place) != 0;
        self.ground.iter().rev().find(at).map_or(Some(1.0), |g| g.light)
    }
}

impl<'a> Device<'a> for Sheet<'_> {
    fn set_soft_mask(&mut self, mask: Option<SoftMask<'a>>) {
        self.masked = mask.is_some();
    }

    fn set_blend_mode(&mut self, mode: BlendMode) {
        self.blended = !matches!(mode, BlendMode::Normal);
    }

    fn push_clip_path(&mut self, clip: &ClipPath) {
        self.step(0);
        self.clips.push(clip.path.clone());
    }

    fn pop_clip_path(&mut self) {
        self.clips.pop();
    }

    fn push_transparency_group(&mut self, opacity: f32, mask: Option<SoftMask<'a>>, mode: BlendMode) {
        self.groups.push(opacity < OPAQUE || mask.is_some() || !matches!(mode, BlendMode::Normal));
    }

    fn pop_transparency_group(&mut self) {
        self.groups.pop();
    }

    fn draw_image(&mut self, image: Image<'a, '_>, transform: Affine) {
        let size = Rect::new(0.0, 0.0, image.width().into(), image.height().into());
        self.paint(transform * size.to_path(0.1), None);
    }

    fn draw_path(&mut self, path: &BezPath, transform: Affine, paint: &Paint<'a>, mode: &PathDrawMode) {
        let path = transform * path.clone();
        let (light, _) = light(paint);
        match mode {
            PathDrawMode::Fill(_) => self.paint(path, light),
            PathDrawMode::Stroke(stroke) => {
                let width = f64::from(stroke.line_width) * transform.determinant().abs().sqrt();
                if width <= WIDE {
                    return;
                }
                let reach = path.bounding_box().inflate(width, width);
                let near =
                    |place, s: kurbo::PathSeg| s.nearest(place, 0.1).distance_sq <= width * width / 4.0;
                self.hide(reach, |place| path.segments().any(|s| near(place, s)));
            }
        }
    }

    fn draw_glyph(
        &mut self,
        glyph: &Glyph<'a>,
        transform: Affine,
        glyph_transform: Affine,
        paint: &Paint<'a>,
        mode: &GlyphDrawMode,
    ) {
        let place = transform * glyph_transform;
        // Drawn by a program of the file's own: it may be anything.
        let Glyph::Outline(outline) = glyph else {
            self.paint(place * self.area.to_path(0.1), None);
            return;
        };
        let shape = outline.outline();
        let text = match glyph.as_unicode() {
            Some(BfString::Char(c)) => c.to_string(),
            Some(BfString::String(s)) => s,
            None => String::new(),
        };
        let name =
            self.shapes.entry(outline.identifier().cache_key()).or_insert_with(|| shape.to_svg()).clone();
        let is_known = self.known.is_none_or(|known| known.get(&text).is_some_and(|all| all.contains(&name)));
        let all = self.found.entry(text.clone()).or_default();
        if !all.contains(&name) {
            all.push(name);
        }
        let [xx, _, _, yy, x, y] = place.as_coeffs();
        let size = yy.abs() * 1000.0;
        let shape = place * shape;
        let bounds = shape.bounding_box();
        let right = x + f64::from(outline.advance_width().unwrap_or(0.0)) * xx;
        let blank = text.trim().is_empty();
        let middle = if blank { Point::new((x + right) / 2.0, y) } else { bounds.center() };
        let (own, opaque) = light(paint);
        let contrast = match (own, self.under(middle)) {
            (Some(own), Some(under)) => (own - under).abs() >= CONTRAST,
            _ => false,
        };
        let clipped = self.clips.iter().any(|c| c.winding(middle) == 0);
        let upright = xx > 0.0 && size >= SMALLEST && (xx.abs() * 1000.0 - size).abs() < 0.2 * size;
        let filled = matches!(mode, GlyphDrawMode::Fill);
        // A letter over letters hides them.
        if !blank && !matches!(mode, GlyphDrawMode::Invisible) {
            self.hide(bounds, |place| shape.winding(place) != 0);
        }
        self.step(self.ground.len());
        let seen = filled
            && is_known
            && upright
            && opaque
            && (contrast || blank)
            && !clipped
            && !self.faint()
            && self.area.contains(middle);
        if !blank {
            self.strips.entry(strip(middle.y)).or_default().push(self.letters.len());
        }
        self.letters.push(Letter { text, left: x, right, baseline: y, size, middle, seen });
    }
}

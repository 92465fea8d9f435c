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
use kurbo::{Affine, BezPath, Line, ParamCurveNearest, PathEl, Point, Rect, Shape};

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
/// How far a curve may be off the straight pieces it is looked at as, in points.
const FLAT: f64 = 0.05;
/// How far lines may touch a letter they do not change, in points.
const TOUCH: f64 = 0.15;
/// What is smaller reads as a dot beside a digit, in points.
const DOT: f64 = 4.0;
/// Share of the smaller of two letters that may lie over the other: more, and they read as
/// one.
const OVER: f64 = 0.3;
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
}

/// Shapes by the letters they stand for.
pub type Letters = BTreeMap<String, Vec<String>>;

/// The pages of a file as they were drawn, whatever its letters look like.
#[derive(Debug, Clone, Default)]
pub struct Drawing {
    /// Shapes each letter is drawn with.
    pub letters: Letters,
    /// What stands for what: a text, and its shape.
    glyphs: Vec<(String, String)>,
    pages: Vec<Vec<Letter>>,
}

impl Drawing {
    /// What an eye sees of it. Where `known` is given, a letter in another shape than those
    /// in it is not seen as that letter.
    #[must_use]
    pub fn seen(self, known: Option<&Letters>) -> Drawn {
        let of = |(text, shape): &(String, String)| {
            known.is_none_or(|known| known.get(text).is_some_and(|all| all.contains(shape)))
        };
        let is_known: Vec<bool> = self.glyphs.iter().map(of).collect();
        let text = |letter: &Letter| self.glyphs.get(letter.glyph).map_or("", |(text, _)| text.as_str());
        let mut drawn = Drawn::default();
        for mut letters in self.pages {
            for letter in &mut letters {
                letter.seen &= is_known.get(letter.glyph).copied().unwrap_or(false);
            }
            drawn.hidden.push(letters.iter().filter(|l| !l.seen && l.inked && !l.marred).count());
            drawn.pages.push(lines(&letters, text));
        }
        drawn
    }
}

/// Draws the pages of a file.
///
/// # Errors
/// If the file can't be read; in words.
pub fn drawing(bytes: &[u8]) -> Result<Drawing, String> {
    let bytes = bytes.to_vec();
    // An interpreter's fault on a hostile file must not end the program.
    let reader = std::thread::Builder::new()
        .stack_size(STACK)
        .spawn(move || panic::catch_unwind(|| read(bytes)))
        .map_err(|e| e.to_string())?;
    match reader.join() {
        Ok(Ok(drawn)) => drawn,
        _ => Err("its pages can't be read".to_owned()),
    }
}

fn read(bytes: Vec<u8>) -> Result<Drawing, String> {
    let pdf = Pdf::new(Arc::new(bytes)).map_err(|e| format!("its pages can't be read: {e:?}"))?;
    let cache = InterpreterCache::new();
    let mut drawing = Drawing::default();
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
            marks: Vec::new(),
            clips: Vec::new(),
            groups: Vec::new(),
            masked: false,
            blended: false,
            shapes: &mut shapes,
            glyphs: &mut drawing.glyphs,
        };
        interpret_page(page, &mut context, &mut sheet);
        sheet.mar();
        let letters = sheet.letters;
        drawing.pages.push(letters);
    }
    for (text, shape) in &drawing.glyphs {
        let all = drawing.letters.entry(text.clone()).or_default();
        if !all.contains(shape) {
            all.push(shape.clone());
        }
    }
    Ok(drawing)
}

/// Letters that follow each other, as pieces of text. A letter that is not seen
/// parts what stands around it.
fn lines<'t>(letters: &[Letter], text: impl Fn(&Letter) -> &'t str) -> Vec<Seen> {
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
                last.text.push_str(text(letter));
                last.right = letter.right;
            }
            _ => pieces.push(Seen {
                left: letter.left,
                right: letter.right,
                baseline: letter.baseline,
                size: letter.size,
                text: text(letter).to_owned(),
            }),
        }
        broken = false;
    }
    pieces
}

/// A letter on its page.
#[derive(Debug, Clone)]
struct Letter {
    /// Its place among the glyphs.
    glyph: usize,
    left: f64,
    right: f64,
    baseline: f64,
    size: f64,
    middle: Point,
    /// Around what is drawn of it.
    ink: Rect,
    /// Whether anything is drawn of it: a space that draws something is none.
    inked: bool,
    /// Whether a line or another letter runs through it: it may be another one by that,
    /// and is not read. A drawing's lines do so to its labels, and hide nothing.
    marred: bool,
    seen: bool,
}

/// An edge or a line that is painted, in straight pieces.
struct Mark {
    bounds: Rect,
    pieces: Vec<Line>,
    /// Half its width; nothing for the edge of a surface.
    reach: f64,
}

impl Mark {
    fn of(path: &BezPath, reach: f64) -> Self {
        let mut pieces = Vec::new();
        let (mut first, mut last) = (Point::ZERO, Point::ZERO);
        kurbo::flatten(path, FLAT, |part| match part {
            PathEl::MoveTo(to) => (first, last) = (to, to),
            PathEl::ClosePath => {
                pieces.push(Line::new(last, first));
                last = first;
            }
            PathEl::LineTo(to) | PathEl::QuadTo(_, to) | PathEl::CurveTo(_, _, to) => {
                pieces.push(Line::new(last, to));
                last = to;
            }
        });
        Self { bounds: path.bounding_box().inflate(reach, reach), pieces, reach }
    }

    /// Whether it runs through what is drawn of a letter, or, as a dot, stands beside it.
    fn mars(&self, ink: Rect) -> bool {
        let dot = self.bounds.width().max(self.bounds.height()) < DOT;
        let room = if dot { (1.0, 0.5) } else { (self.reach - TOUCH, self.reach - TOUCH) };
        let rect = ink.inflate(room.0, room.1);
        rect.width() > 0.0
            && rect.height() > 0.0
            && rect.overlaps(self.bounds)
            && self.pieces.iter().any(|piece| crosses(*piece, rect))
    }
}

/// Whether a straight piece has a point in a rectangle (Liang and Barsky's clipping).
fn crosses(piece: Line, rect: Rect) -> bool {
    let (from, way) = (piece.p0, piece.p1 - piece.p0);
    let (mut enters, mut leaves) = (0.0_f64, 1.0_f64);
    for (along, room) in [
        (-way.x, from.x - rect.x0),
        (way.x, rect.x1 - from.x),
        (-way.y, from.y - rect.y0),
        (way.y, rect.y1 - from.y),
    ] {
        if along == 0.0 {
            if room < 0.0 {
                return false;
            }
        } else if along < 0.0 {
            enters = enters.max(room / along);
        } else {
            leaves = leaves.min(room / along);
        }
    }
    enters <= leaves
}

/// The outline of a glyph, worked out once for the file.
struct Outline {
    path: BezPath,
    bounds: Rect,
    advance: f64,
    name: String,
    /// Texts it was drawn for, with their places among the glyphs.
    texts: Vec<(String, usize)>,
}

/// The bounds of a shape put into its place, of which its own are known.
fn placed(place: Affine, path: &BezPath, bounds: Rect) -> Rect {
    let [_, yx, xy, _, _, _] = place.as_coeffs();
    // Where nothing is turned, the edges stay edges.
    if yx == 0.0 && xy == 0.0 {
        place.transform_rect_bbox(bounds)
    } else {
        (place * path.clone()).bounding_box()
    }
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
    /// Edges and lines, whatever was drawn before them and after.
    marks: Vec<Mark>,
    clips: Vec<BezPath>,
    /// Whether what is drawn in a group is faint, masked or blended.
    groups: Vec<bool>,
    masked: bool,
    blended: bool,
    /// Outlines by the key of their glyph.
    shapes: &'s mut BTreeMap<u128, Outline>,
    /// What stands for what in the whole file.
    glyphs: &'s mut Vec<(String, String)>,
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

    /// Hides letters that something runs through, or that lie over each other: a line makes
    /// an eight of a five, a dot a tenth of a value.
    fn mar(&mut self) {
        for mark in std::mem::take(&mut self.marks) {
            let rows = strip(mark.bounds.y0 - STRIP)..=strip(mark.bounds.y1 + STRIP);
            let mut work = 0;
            for place in self.strips.range(rows).flat_map(|(_, all)| all) {
                if let Some(letter) = self.letters.get_mut(*place).filter(|l| l.seen) {
                    work += 1;
                    letter.marred = mark.mars(letter.ink);
                    letter.seen = !letter.marred;
                }
            }
            self.step(work);
        }
        let mut over = Vec::new();
        let mut work = 0;
        let strips: Vec<&Vec<usize>> = self.strips.values().collect();
        for (at, strip) in strips.iter().enumerate() {
            let mut near: Vec<(usize, Rect)> = strip
                .iter()
                .chain(strips.get(at + 1).into_iter().flat_map(|next| next.iter()))
                .filter_map(|place| Some((*place, self.letters.get(*place)?.ink)))
                .collect();
            near.sort_by(|a, b| a.1.x0.total_cmp(&b.1.x0));
            for (index, (one, ink)) in near.iter().enumerate() {
                for (other, beside) in near.iter().skip(index + 1).take_while(|(_, b)| b.x0 < ink.x1) {
                    work += 1;
                    let shared = ink.intersect(*beside).area();
                    if shared > OVER * ink.area().min(beside.area()) {
                        over.extend([*one, *other]);
                    }
                }
            }
        }
        for place in over {
            if let Some(letter) = self.letters.get_mut(place).filter(|l| l.seen) {
                (letter.marred, letter.seen) = (true, false);
            }
        }
        self.step(work);
    }

    /// Paints over what was drawn before. What is see-through still hides: nobody
    /// says how much.
    fn paint(&mut self, path: BezPath, light: Option<f64>) {
        let bounds = path.bounding_box();
        self.hide(bounds, |place| path.winding(place) != 0);
        self.step(path.elements().len());
        self.marks.push(Mark::of(&path, 0.0));
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
                self.step(path.elements().len());
                self.marks.push(Mark::of(&path, width / 2.0));
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
        let text = match glyph.as_unicode() {
            Some(BfString::Char(c)) => c.to_string(),
            Some(BfString::String(s)) => s,
            None => String::new(),
        };
        let key = outline.identifier().cache_key();
        let Outline { path, bounds, advance, name, texts } = self.shapes.entry(key).or_insert_with(|| {
            let path = outline.outline();
            let (bounds, name) = (path.bounding_box(), path.to_svg());
            let advance = f64::from(outline.advance_width().unwrap_or(0.0));
            Outline { path, bounds, advance, name, texts: Vec::new() }
        });
        let glyph = match texts.iter().find(|(known, _)| *known == text) {
            Some((_, place)) => *place,
            None => {
                let new = self.glyphs.len();
                self.glyphs.push((text.clone(), name.clone()));
                texts.push((text, new));
                new
            }
        };
        // Whatever it stands for: what draws something is no space.
        let blank = bounds.area() == 0.0;
        let bounds = placed(place, path, *bounds);
        let advance = *advance;
        // Taken out while letters under it are looked at.
        let path = std::mem::take(path);
        let [xx, _, _, yy, x, y] = place.as_coeffs();
        let size = yy.abs() * 1000.0;
        let right = x + advance * xx;
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
            let back = place.inverse();
            self.hide(bounds, |at| path.winding(back * at) != 0);
        }
        if let Some(outline) = self.shapes.get_mut(&key) {
            outline.path = path;
        }
        self.step(self.ground.len());
        let seen = filled
            && upright
            && opaque
            && (contrast || blank)
            && !clipped
            && !self.faint()
            && self.area.contains(middle);
        if !blank {
            self.strips.entry(strip(middle.y)).or_default().push(self.letters.len());
        }
        self.letters.push(Letter {
            glyph,
            left: x,
            right,
            baseline: y,
            size,
            middle,
            ink: bounds,
            inked: !blank,
            marred: false,
            seen,
        });
    }
}

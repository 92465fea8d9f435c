//! Drawn pages of boxes, filled by drawn strokes and captured by a drawn scanner or
//! camera, everything from a seed. No real paper: what is found on these pictures
//! holds for them.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "points of a picture and their greys"
)]

use std::io::Cursor;

use tackwright::form::{BoxKind, BoxName, Form, FormBox, Page, PageCode, Rect};
use tackwright::picture::geometry::{Homography, Pair, Point};
use tackwright::picture::grey::Grey;

/// Points to the mm of a drawn page.
pub(crate) const PER: f64 = 6.0;

/// Numbers from a seed (SplitMix64, Steele, Lea and Flood 2014, from memory).
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1_u64 << 53) as f64
    }

    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.next()
    }

    pub(crate) fn near(&mut self, spread: f64) -> f64 {
        (self.next() + self.next() + self.next() - 1.5) * 2.0 * spread
    }
}

/// What a hand did to a box.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Hand {
    Nothing,
    Tick,
    Cross,
    StruckOut,
    Beside,
    Written,
}

/// A form of two pages with 28 ticks and 7 fields each.
pub(crate) fn form() -> Form {
    let page = Page {
        width: 215.9,
        height: 279.4,
        code: Some(Rect { x: 188.9, y: 7.4, width: 15.0, height: 15.0 }),
        grey: Some(Rect { x: 160.0, y: 270.0, width: 17.0, height: 2.5 }),
    };
    let mut form = Form {
        number: "TW-77".to_owned(),
        revision: "B".to_owned(),
        digest: "0123456789AB".to_owned(),
        pages: vec![page, page],
        boxes: Vec::new(),
        papers: Vec::new(),
    };
    for page in 1..=2 {
        let mut put = |name: BoxName, kind: BoxKind, x: f64, y: f64, width: f64, height: f64| {
            form.boxes.push(FormBox {
                name,
                kind,
                page,
                rect: Rect { x, y, width, height },
                asks: "drawn".to_owned(),
                unit: None,
                word: None,
                covers: Vec::new(),
                steps: Vec::new(),
                operation_digest: String::new(),
            });
        };
        for row in 0..14_u32 {
            let y = 34.0 + 16.0 * f64::from(row);
            let size = if row % 2 == 0 { 6.8 } else { 4.8 };
            put(BoxName::step(&format!("p{page}/left"), row + 1), BoxKind::Tick, 20.0, y, size, size);
            put(BoxName::step(&format!("p{page}/right"), row + 1), BoxKind::Tick, 110.0, y, size, size);
            if row % 2 == 1 {
                let name = BoxName::reading(&format!("p{page}/left"), &format!("r{row}"));
                put(name, BoxKind::Value, 150.0, y - 2.0, 42.0, 9.2);
            }
        }
    }
    form
}

/// A page as it is printed: outlines, lines of text, code, discs, grey strip.
pub(crate) fn blank(form: &Form, number: u32) -> Grey {
    let page = &form.pages[number as usize - 1];
    let mut grey = Grey::plain((page.width * PER) as usize, (page.height * PER) as usize, 255);
    for one in form.on(number) {
        let r = one.rect;
        for [a, b] in [
            [(r.x, r.y), (r.x + r.width, r.y)],
            [(r.x + r.width, r.y), (r.x + r.width, r.y + r.height)],
            [(r.x + r.width, r.y + r.height), (r.x, r.y + r.height)],
            [(r.x, r.y + r.height), (r.x, r.y)],
        ] {
            stroke(&mut grey, &[a, b], 0.32, 1.0);
        }
        // Words beside the box, as marks of the size of letters.
        for k in 0..9 {
            let x = r.x + r.width + 2.5 + 2.2 * f64::from(k);
            if one.kind == BoxKind::Tick {
                stroke(&mut grey, &[(x, r.y + 2.0), (x + 0.9, r.y + 3.6), (x + 1.4, r.y + 2.1)], 0.3, 1.0);
            }
        }
    }
    for (x, y) in page.discs() {
        stroke(&mut grey, &[(x, y), (x + 0.01, y)], Page::DISC, 1.0);
    }
    if let Some(strip) = page.grey {
        for (i, part) in [0.12, 0.2, 0.3].into_iter().enumerate() {
            let x = strip.x + strip.width * i as f64 / 3.0;
            fill(&mut grey, x, strip.y, strip.width / 3.0, strip.height, part);
        }
    }
    let code = PageCode {
        number: form.number.clone(),
        revision: form.revision.clone(),
        page: number,
        digest: form.digest.clone(),
    };
    put_code(&mut grey, &code.to_string(), page.code.expect("a code"));
    grey
}

/// Draws a code in place of the one that is there.
pub(crate) fn put_code(grey: &mut Grey, text: &str, rect: Rect) {
    let code = qrcode::QrCode::with_version(text, qrcode::Version::Normal(2), qrcode::EcLevel::Q)
        .expect("a code of version 2");
    let side = code.width();
    fill(grey, rect.x - 1.0, rect.y - 1.0, rect.width + 2.0, rect.height + 2.0, 0.0);
    let module = rect.width / side as f64;
    for (i, colour) in code.to_colors().into_iter().enumerate() {
        if colour == qrcode::Color::Dark {
            let (x, y) = (rect.x + (i % side) as f64 * module, rect.y + (i / side) as f64 * module);
            fill(grey, x, y, module, module, 1.0);
        }
    }
}

fn fill(grey: &mut Grey, x: f64, y: f64, width: f64, height: f64, dark: f64) {
    for v in (y * PER).round() as usize..(((y + height) * PER).round() as usize).min(grey.height) {
        for u in (x * PER).round() as usize..(((x + width) * PER).round() as usize).min(grey.width) {
            grey.levels[v * grey.width + u] = (255.0 * (1.0 - dark)) as u8;
        }
    }
}

/// A stroke through points in mm, `width` mm wide.
fn stroke(grey: &mut Grey, points: &[(f64, f64)], width: f64, dark: f64) {
    stroke_at(grey, PER, points, width, dark);
}

/// The same on a page of so many points to the mm.
pub(crate) fn stroke_at(grey: &mut Grey, per: f64, points: &[(f64, f64)], width: f64, dark: f64) {
    for pair in points.windows(2) {
        let [(ax, ay), (bx, by)] = [pair[0], pair[1]];
        let reach = width / 2.0 + 0.3;
        let low = |a: f64, b: f64| ((a.min(b) - reach) * per).max(0.0) as usize;
        let high = |a: f64, b: f64, most: usize| (((a.max(b) + reach) * per) as usize).min(most - 1);
        let (dx, dy) = (bx - ax, by - ay);
        let length = (dx * dx + dy * dy).max(1e-9);
        for v in low(ay, by)..=high(ay, by, grey.height) {
            for u in low(ax, bx)..=high(ax, bx, grey.width) {
                let (x, y) = ((u as f64 + 0.5) / per, (v as f64 + 0.5) / per);
                let t = (((x - ax) * dx + (y - ay) * dy) / length).clamp(0.0, 1.0);
                let off = (x - ax - t * dx).hypot(y - ay - t * dy);
                let ink = (0.5 + (width / 2.0 - off) * per).clamp(0.0, 1.0) * dark;
                let level = &mut grey.levels[v * grey.width + u];
                *level = (*level).min((255.0 * (1.0 - ink)) as u8);
            }
        }
    }
}

/// Fills a page; gives what was done to each of its boxes, in order.
pub(crate) fn filled(form: &Form, number: u32, grey: &mut Grey, dice: &mut Dice) -> Vec<Hand> {
    let (width, dark) = (dice.between(0.35, 0.6), dice.between(0.6, 0.95));
    let mut hands = Vec::new();
    for one in form.on(number) {
        let chance = dice.next();
        let hand = match one.kind {
            BoxKind::Tick if chance < 0.42 => Hand::Tick,
            BoxKind::Tick if chance < 0.52 => Hand::Cross,
            BoxKind::Tick if chance < 0.62 => Hand::StruckOut,
            BoxKind::Tick if chance < 0.66 => Hand::Beside,
            BoxKind::Tick => Hand::Nothing,
            _ if chance < 0.6 => Hand::Written,
            _ => Hand::Nothing,
        };
        for line in lines(hand, one.rect, dice) {
            stroke(grey, &line, width, dark);
        }
        hands.push(hand);
    }
    hands
}

fn lines(hand: Hand, r: Rect, dice: &mut Dice) -> Vec<Vec<(f64, f64)>> {
    let s = r.width;
    let mut check = |x: f64, y: f64, k: f64| {
        [(-0.36, 0.02), (-0.12, 0.34), (0.44, -0.42)]
            .map(|(u, v)| {
                (r.x + s * (x + k * u) + dice.near(0.05 * s), r.y + s * (y + k * v) + dice.near(0.05 * s))
            })
            .to_vec()
    };
    match hand {
        Hand::Nothing => Vec::new(),
        Hand::Tick => vec![check(0.5, 0.5, 1.0)],
        Hand::Cross => {
            let (a, b) = (0.2, 0.8);
            vec![
                vec![(r.x + a * s, r.y + a * s), (r.x + b * s, r.y + b * s)],
                vec![(r.x + b * s, r.y + a * s), (r.x + a * s, r.y + b * s)],
            ]
        }
        Hand::StruckOut => {
            let mut all = vec![check(0.5, 0.5, 1.0)];
            if dice.next() < 0.5 {
                let y = r.y + s * dice.between(0.35, 0.65);
                all.push(vec![(r.x - 0.5 * s, y + dice.near(0.4)), (r.x + 1.5 * s, y + dice.near(0.4))]);
            } else {
                let zigzag = (0..12).map(|k| {
                    let up = if k % 2 == 0 { 0.1 } else { 0.9 };
                    (r.x + s * (-0.25 + 1.5 * f64::from(k) / 11.0), r.y + s * up)
                });
                all.push(zigzag.collect());
            }
            all
        }
        Hand::Beside => vec![check(-0.65, 0.5, 0.8)],
        Hand::Written => {
            let n = 7 + (dice.next() * 6.0) as u32;
            let line = (0..n).map(|k| {
                let up = if k % 2 == 0 { 0.25 } else { 0.75 };
                let x = r.x + 4.0 + f64::from(k) * (r.width - 14.0) / f64::from(n);
                (x, r.y + r.height * (up + dice.near(0.08)))
            });
            vec![line.collect()]
        }
    }
}

/// How a page is captured.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Capture {
    /// A flat-bed or feeder in grey at about 125 points to the inch, JPEG.
    Scan,
    /// The same at so many points to the inch.
    ScanAt(u32),
    /// Black and white.
    TwoTone,
    /// Black and white at so many points to the inch.
    TwoToneAt(u32),
    /// A copy of a copy: grey, of high contrast, specked.
    Photocopy,
    /// A camera, aslant, under uneven light, JPEG.
    Camera,
}

impl Capture {
    /// Points to the mm.
    fn per(self) -> f64 {
        match self {
            Self::ScanAt(inch) | Self::TwoToneAt(inch) => f64::from(inch) / 25.4,
            Self::Photocopy => 200.0 / 25.4,
            Self::Scan | Self::TwoTone | Self::Camera => 4.9,
        }
    }

    fn two_tone(self) -> bool {
        matches!(self, Self::TwoTone | Self::TwoToneAt(_))
    }
}

/// Captures a page; gives the file. `cut` leaves off so much of the left of the page, in mm.
pub(crate) fn captured(page: &Grey, how: Capture, cut: f64, dice: &mut Dice) -> Vec<u8> {
    captured_at(page, PER, how, cut, dice)
}

/// The same of a page of so many points to the mm.
pub(crate) fn captured_at(page: &Grey, per: f64, how: Capture, cut: f64, dice: &mut Dice) -> Vec<u8> {
    let captured = how.per();
    let (w, h) = (page.width as f64 / per, page.height as f64 / per);
    let camera = how == Capture::Camera;
    let room = if camera { 1.16 } else { 1.02 };
    let (width, height) = ((w * room * captured) as usize, (h * room * captured) as usize);
    // Where the corners of the page land.
    let turn = dice.near(if camera { 0.06 } else { 0.02 });
    let upside = dice.next() < 0.25;
    let corners = [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)];
    let pairs: Vec<Pair> = corners
        .iter()
        .map(|(x, y)| {
            let (u, v) = (x - w / 2.0, y - h / 2.0);
            let far = if camera { 1.0 + 0.0005 * (v + 0.4 * u) } else { 1.0 };
            let (u, v) = ((u * turn.cos() - v * turn.sin()) / far, (u * turn.sin() + v * turn.cos()) / far);
            let (u, v) = if upside { (-u, -v) } else { (u, v) };
            let to =
                Point::new(width as f64 / 2.0 + (u - cut) * captured, height as f64 / 2.0 + v * captured);
            Pair { from: Point::new(*x, *y), to, weight: 1.0 }
        })
        .collect();
    let back = Homography::through(&pairs).and_then(|m| m.inverse()).expect("a page in the picture");
    let bench = if camera { 70.0 } else { 245.0 };
    let (side, fall) = (dice.between(-1.0, 1.0), if camera { dice.between(0.1, 0.35) } else { 0.03 });
    let limit = dice.between(120.0, 180.0);
    let mut levels = Vec::with_capacity(width * height);
    for y in 0..height {
        for x in 0..width {
            let p = back.apply(Point::new(x as f64, y as f64));
            // A quarter of a point each way: what lies between two is seen by both.
            let at = Point::new(p.x * per - 0.5, p.y * per - 0.5);
            let value = page.sample(at).unwrap_or(bench).mul_add(0.9, 12.0);
            let light =
                1.0 - fall * (0.5 + 0.5 * side * x as f64 / width as f64 + 0.2 * y as f64 / height as f64);
            let level = value * light + dice.near(if camera { 5.0 } else { 2.5 });
            levels.push(match how {
                _ if how.two_tone() => {
                    if level > limit {
                        255
                    } else {
                        0
                    }
                }
                Capture::Photocopy => {
                    let speck = dice.next() < 0.00008;
                    if speck { 40 } else { (128.0 + (level - 150.0) * 1.7).clamp(0.0, 255.0) as u8 }
                }
                _ => level.clamp(0.0, 255.0) as u8,
            });
        }
    }
    let picture = image::GrayImage::from_raw(width as u32, height as u32, levels).expect("all points");
    let mut file = Cursor::new(Vec::new());
    match how {
        _ if how.two_tone() => picture.write_to(&mut file, image::ImageFormat::Png).expect("a PNG"),
        _ => image::codecs::jpeg::JpegEncoder::new_with_quality(&mut file, 72)
            .encode_image(&picture)
            .expect("a JPEG"),
    }
    file.into_inner()
}

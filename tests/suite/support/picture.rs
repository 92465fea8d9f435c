//! Pictures for the demonstration, drawn here: a cracked gusset on a tube, a truck
//! before and after, with the words that say that they are no photographs.

#![allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "points of a picture and their greys"
)]

use image::{GrayImage, ImageFormat, Luma};

const WIDTH: u32 = 480;
const HEIGHT: u32 = 300;

/// Letters of five by seven points, a row in the low five bits.
fn letter(c: char) -> [u8; 7] {
    match c {
        'A' => [14, 17, 17, 31, 17, 17, 17],
        'C' => [14, 17, 16, 16, 16, 17, 14],
        'D' => [30, 17, 17, 17, 17, 17, 30],
        'E' => [31, 16, 16, 30, 16, 16, 31],
        'I' => [14, 4, 4, 4, 4, 4, 14],
        'M' => [17, 27, 21, 21, 17, 17, 17],
        'N' => [17, 25, 21, 19, 17, 17, 17],
        'O' => [14, 17, 17, 17, 17, 17, 14],
        'P' => [30, 17, 17, 30, 16, 16, 16],
        'R' => [30, 17, 17, 30, 20, 18, 17],
        'S' => [15, 16, 16, 14, 1, 1, 30],
        'T' => [31, 4, 4, 4, 4, 4, 4],
        'U' => [17, 17, 17, 17, 17, 17, 14],
        _ => [0; 7],
    }
}

fn write(picture: &mut GrayImage, text: &str, left: u32, top: u32, size: u32) {
    for (place, c) in (0_u32..).zip(text.chars()) {
        for (row, bits) in (0_u32..).zip(letter(c)) {
            for column in (0..5_u32).filter(|column| bits >> (4 - column) & 1 == 1) {
                let (x, y) = (left + (place * 6 + column) * size, top + row * size);
                for dx in 0..size {
                    for dy in 0..size {
                        picture.put_pixel(x + dx, y + dy, Luma([20]));
                    }
                }
            }
        }
    }
}

/// A small picture on which something is seen, PNG (ISO/IEC 15948).
pub(crate) fn small() -> Vec<u8> {
    let mut file = std::io::Cursor::new(Vec::new());
    let drawn = GrayImage::from_fn(160, 160, |x, _| Luma([if x < 80 { 40 } else { 200 }]));
    drawn.write_to(&mut file, ImageFormat::Png).unwrap();
    file.into_inner()
}

/// The gusset under the pad, with its crack, as a PNG.
pub(crate) fn gusset() -> Vec<u8> {
    let mut picture = GrayImage::from_fn(WIDTH, HEIGHT, |x, y| {
        let (x, y) = (f64::from(x), f64::from(y));
        // Tube, pad under it, gusset between them, its bead, the crack at its toe.
        let tube = (90.0..170.0).contains(&y);
        let pad = (170.0..186.0).contains(&y) && (120.0..360.0).contains(&x);
        let gusset = (186.0..246.0).contains(&y) && x > 160.0 && x < 330.0 - (y - 186.0) * 1.6;
        let hole = (x - 205.0).hypot(y - 212.0) < 11.0;
        let bead = (182.0..190.0).contains(&y) && (156.0..336.0).contains(&x);
        let wave = 4.0 * (x / 5.0).sin();
        let crack = (318.0..372.0).contains(&x) && (y - 188.0 + (x - 318.0) * 0.55 - wave).abs() < 1.8;
        let shade = if crack {
            15.0
        } else if hole {
            235.0
        } else if bead {
            95.0 + 25.0 * (x / 3.0).sin()
        } else if gusset {
            140.0
        } else if pad {
            120.0
        } else if tube {
            // Round: light in the middle.
            90.0 + 110.0 * (1.0 - ((y - 130.0) / 40.0).powi(2)).max(0.0).sqrt()
        } else {
            225.0
        };
        Luma([shade as u8])
    });
    write(&mut picture, "DEMONSTRATION PICTURE", 52, 30, 3);
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, ImageFormat::Png).unwrap();
    bytes.into_inner()
}

/// A truck from the left, its front to the left; the body stands `lift` points higher
/// than it came, at both ends alike.
pub(crate) fn truck(lift: f64) -> Vec<u8> {
    let mut picture = GrayImage::from_fn(WIDTH, HEIGHT, |x, y| {
        let (x, y) = (f64::from(x), f64::from(y));
        let body = y + lift;
        let wheel = |at: f64| (x - at).hypot(y - 226.0);
        let near = wheel(110.0).min(wheel(380.0));
        let bed = (150.0..190.0).contains(&body) && (60.0..440.0).contains(&x);
        let cab = (96.0..150.0).contains(&body) && x > 130.0 - (body - 96.0) * 0.4 && x < 245.0;
        let glass = (104.0..138.0).contains(&body) && x > 140.0 && x < 232.0;
        let tank = (112.0..150.0).contains(&body) && (262.0..430.0).contains(&x);
        let frame = (190.0..198.0).contains(&body) && (66.0..436.0).contains(&x);
        let shade = if near < 12.0 {
            200.0
        } else if near < 34.0 {
            45.0
        } else if y > 260.0 {
            150.0
        } else if glass {
            215.0
        } else if cab {
            120.0
        } else if tank {
            165.0
        } else if bed {
            135.0
        } else if frame {
            60.0
        } else {
            235.0
        };
        Luma([shade as u8])
    });
    write(&mut picture, "DEMONSTRATION PICTURE", 52, 30, 3);
    let mut bytes = std::io::Cursor::new(Vec::new());
    picture.write_to(&mut bytes, ImageFormat::Png).unwrap();
    bytes.into_inner()
}

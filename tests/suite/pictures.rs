//! Pictures of filled pages, drawn from a fixed seed: a ticked box is never made up,
//! a taken-back one never ticked, a page never mistaken. What the limits were set on
//! and what is tried here is drawn; no real paper was used.

use std::io::Cursor;

use tackwright::form::{BoxKind, PageCode, Proposed};
use tackwright::picture::grey::Grey;
use tackwright::picture::{NotRead, PageSeen, Pictures, code_of, read};

use crate::support::drawn_page::{Capture, Dice, Hand, blank, captured, filled, form, put_code};

/// One picture read: what was done, and what was seen.
struct Tried {
    how: Capture,
    hands: Vec<Hand>,
    page: u32,
    seen: Result<PageSeen, NotRead>,
}

fn seen(file: &[u8]) -> Result<PageSeen, NotRead> {
    let form = form();
    let picture = Pictures::open(file).expect("a picture").get(0).expect("a whole one");
    read(&picture, &form, &|page| Some(blank(&form, page)))
}

fn tried(seed: u64, how: Capture) -> Tried {
    let form = form();
    let mut dice = Dice(seed);
    let page = 1 + u32::from(dice.next() < 0.5);
    let mut paper = blank(&form, page);
    let hands = filled(&form, page, &mut paper, &mut dice);
    let file = captured(&paper, how, 0.0, &mut dice);
    Tried { how, hands, page, seen: seen(&file) }
}

#[test]
fn nothing_is_made_up_and_no_plain_tick_is_lost() {
    let all: Vec<(u64, Capture)> = (0..3_u64)
        .flat_map(|i| [(7100 + i, Capture::Scan), (7200 + i, Capture::TwoTone), (7300 + i, Capture::Camera)])
        .collect();
    let results: Vec<Tried> = std::thread::scope(|scope| {
        let halves: Vec<_> = all
            .chunks(all.len().div_ceil(2))
            .map(|half| scope.spawn(move || half.iter().map(|(s, how)| tried(*s, *how)).collect::<Vec<_>>()))
            .collect();
        halves.into_iter().flat_map(|h| h.join().expect("no panic")).collect()
    });
    // Ticked plainly and so seen, all ticked; empty and so seen, all empty in grey.
    let (mut plain, mut empty) = ((0, 0), (0, 0));
    for one in &results {
        let seen = one.seen.as_ref().unwrap_or_else(|why| panic!("{:?}: {why}", one.how));
        assert_eq!(seen.code.page, one.page, "{:?}", one.how);
        assert_eq!(seen.two_tone, one.how == Capture::TwoTone, "{:?}", one.how);
        for (hand, found) in one.hands.iter().zip(&seen.boxes) {
            let what =
                format!("{:?} {} {hand:?}: {:?} {:?}", one.how, found.name, found.value, found.features);
            match (hand, &found.value) {
                (Hand::Tick | Hand::Cross, Proposed::Empty)
                | (Hand::Nothing | Hand::StruckOut | Hand::Beside, Proposed::Ticked)
                | (Hand::Nothing, Proposed::Written)
                | (Hand::Written | Hand::StruckOut | Hand::Beside, Proposed::Empty) => panic!("{what}"),
                (_, Proposed::Empty) if seen.two_tone => panic!("{what}"),
                (Hand::Tick, value) => {
                    plain = (plain.0 + 1, plain.1 + i32::from(*value == Proposed::Ticked));
                }
                (Hand::Nothing, value) if !seen.two_tone => {
                    empty = (empty.0 + 1, empty.1 + i32::from(*value == Proposed::Empty));
                }
                (Hand::Written, value) => assert!(
                    matches!(value, Proposed::Written | Proposed::Look(_)) && found.kind == BoxKind::Value,
                    "{what}"
                ),
                _ => {}
            }
        }
    }
    // A reader that looks away from everything would pass what stands above.
    assert!(plain.0 > 60 && plain.1 * 100 >= plain.0 * 85, "{plain:?} plain ticks were seen");
    assert!(empty.0 > 40 && empty.1 * 100 >= empty.0 * 85, "{empty:?} empty boxes were seen");
}

#[test]
fn pages_of_something_else_decide_nothing() {
    let form = form();
    let rect = form.pages[0].code.expect("a code");
    let shown = |code: &str| {
        let mut paper = blank(&form, 1);
        put_code(&mut paper, code, rect);
        seen(&captured(&paper, Capture::Scan, 0.0, &mut Dice(7401))).expect_err("another page")
    };
    assert!(matches!(shown("TW-77/A/1/0123456789AB"), NotRead::Revision(..)));
    assert!(matches!(shown("TW-77/B/1/FFFFFFFFFFFF"), NotRead::Digest(..)));
    assert!(matches!(shown("TW-78/B/1/0123456789AB"), NotRead::Number(..)));
    assert!(matches!(shown("TW-77/B/9/0123456789AB"), NotRead::Page(..)));
    let other = shown("HTTPS://EXAMPLE.ORG/");
    assert_eq!(other, NotRead::NoCode, "{other}");
    for why in [shown("TW-77/A/1/0123456789AB"), NotRead::NoCode] {
        assert!(why.to_string().len() > 30, "{why}");
    }
}

#[test]
fn a_page_cut_off_decides_nothing() {
    let form = form();
    let paper = blank(&form, 1);
    // 24 mm of the left edge are gone, and with them the ticks there.
    let why = seen(&captured(&paper, Capture::Scan, 24.0, &mut Dice(7501))).expect_err("a cut page");
    let code = why.code().map(PageCode::to_string);
    assert!(matches!(why, NotRead::Cut(_) | NotRead::Corners(_) | NotRead::Outlines(..)), "{why}");
    assert_eq!(code.as_deref(), Some("TW-77/B/1/0123456789AB"));
}

fn grey_file(format: image::ImageFormat, width: u32, height: u32) -> Vec<u8> {
    let mut file = Cursor::new(Vec::new());
    image::GrayImage::from_pixel(width, height, image::Luma([200]))
        .write_to(&mut file, format)
        .expect("a file");
    file.into_inner()
}

fn refusal(file: &[u8]) -> String {
    match Pictures::open(file).and_then(|p| p.get(0)) {
        Ok(grey) => panic!("{} by {} points were taken", grey.width, grey.height),
        Err(why) => why.to_string(),
    }
}

#[test]
fn hostile_files_are_refused_in_a_sentence() {
    let jpeg = grey_file(image::ImageFormat::Jpeg, 900, 1200);
    assert!(Pictures::open(&jpeg).and_then(|p| p.get(0)).is_ok());
    assert!(refusal(&jpeg[..jpeg.len() / 3]).contains("broken"));
    assert!(refusal(&grey_file(image::ImageFormat::Png, 200, 300)).contains("long side"));
    assert!(refusal(&grey_file(image::ImageFormat::Png, 4000, 40)).contains("strip"));
    assert!(refusal(b"\0\0\0\x18ftypheic\0\0\0\0").contains("HEIC"));
    assert!(refusal(b"GIF89a\x01\0\x01\0").contains("another kind"));
    assert!(refusal(b"hello").contains("no picture"));
    assert!(refusal(b"").contains("empty"));
    // A header that claims 60 000 by 60 000 points (ISO/IEC 15948, 11.2.2).
    let mut png = grey_file(image::ImageFormat::Png, 900, 1200);
    png[16..20].copy_from_slice(&60_000_u32.to_be_bytes());
    png[20..24].copy_from_slice(&60_000_u32.to_be_bytes());
    let sum = crc(&png[12..29]);
    png[29..33].copy_from_slice(&sum.to_be_bytes());
    let why = refusal(&png);
    assert!(why.contains("more than a picture of a page"), "{why}");
}

/// CRC-32 as PNG wants it (ISO/IEC 15948, annex D).
fn crc(bytes: &[u8]) -> u32 {
    !bytes.iter().fold(u32::MAX, |crc, byte| {
        (0..8).fold(crc ^ u32::from(*byte), |c, _| if c & 1 == 1 { 0xEDB8_8320 ^ (c >> 1) } else { c >> 1 })
    })
}

/// A PDF as a scanner makes it: a page with one JPEG (ISO 32000-1, 7.5), and
/// `more` in its catalogue.
fn scanned(jpeg: &[u8], width: usize, height: usize, more: &str) -> Vec<u8> {
    let content = "612 0 0 792 0 0 cm /P Do";
    let mut objects: Vec<Vec<u8>> = vec![
        format!("<</Type/Catalog/Pages 2 0 R{more}>>").into_bytes(),
        b"<</Type/Pages/Kids[3 0 R]/Count 1>>".to_vec(),
        b"<</Type/Page/Parent 2 0 R/MediaBox[0 0 612 792]/Contents 4 0 R/Resources<</XObject<</P 5 0 R>>>>>>"
            .to_vec(),
        format!("<</Length {}>>stream\n{content}\nendstream", content.len()).into_bytes(),
    ];
    let mut picture = format!(
        "<</Type/XObject/Subtype/Image/Width {width}/Height {height}/ColorSpace/DeviceGray/BitsPerComponent 8\
         /Filter/DCTDecode/Length {}>>stream\n",
        jpeg.len()
    )
    .into_bytes();
    picture.extend_from_slice(jpeg);
    picture.extend_from_slice(b"\nendstream");
    objects.push(picture);
    let mut file = b"%PDF-1.7\n".to_vec();
    let mut places = Vec::new();
    for (i, object) in objects.iter().enumerate() {
        places.push(file.len());
        file.extend(format!("{} 0 obj", i + 1).into_bytes());
        file.extend_from_slice(object);
        file.extend_from_slice(b"endobj\n");
    }
    let start = file.len();
    file.extend(format!("xref\n0 {}\n0000000000 65535 f \n", objects.len() + 1).into_bytes());
    for place in places {
        file.extend(format!("{place:010} 00000 n \n").into_bytes());
    }
    file.extend(
        format!("trailer<</Size {}/Root 1 0 R>>\nstartxref\n{start}\n%%EOF\n", objects.len() + 1)
            .into_bytes(),
    );
    file
}

#[test]
fn a_scanner_s_pdf_is_read_and_one_that_runs_something_is_not() {
    let form = form();
    let mut dice = Dice(7601);
    let mut paper = blank(&form, 2);
    filled(&form, 2, &mut paper, &mut dice);
    let jpeg = captured(&paper, Capture::Scan, 0.0, &mut dice);
    let size = Pictures::open(&jpeg).expect("a JPEG").get(0).expect("a picture");
    let pdf = scanned(&jpeg, size.width, size.height, "");
    assert_eq!(Pictures::open(&pdf).expect("a scan").count(), 1);
    assert_eq!(seen(&pdf).expect("a page").code.page, 2);
    let script = "/OpenAction<</S/JavaScript/JS(app.alert\\(1\\))>>";
    assert!(refusal(&scanned(&jpeg, size.width, size.height, script)).contains("script"));
    let launch = "/AA<</WC<</S/Launch/F(cmd)>>>>";
    assert!(refusal(&scanned(&jpeg, size.width, size.height, launch)).contains("runs"));
    assert!(refusal(&scanned(&jpeg, 90_000, 90_000, "")).contains("90000"));
    assert!(refusal(b"%PDF-1.7\nnothing of the kind").contains("broken"));
}

#[test]
fn every_page_of_a_tiff_is_read() {
    let form = form();
    let mut file = Cursor::new(Vec::new());
    let mut encoder = tiff::encoder::TiffEncoder::new(&mut file).expect("a TIFF");
    for page in [2, 1] {
        let paper: Grey = blank(&form, page);
        encoder
            .write_image::<tiff::encoder::colortype::Gray8>(
                u32::try_from(paper.width).unwrap(),
                u32::try_from(paper.height).unwrap(),
                &paper.levels,
            )
            .expect("a page");
    }
    let file = file.into_inner();
    let pictures = Pictures::open(&file).expect("a TIFF");
    assert_eq!(pictures.count(), 2);
    let pages: Vec<u32> =
        (0..2).map(|i| code_of(&pictures.get(i).expect("a page")).expect("a code").page).collect();
    assert_eq!(pages, [2, 1]);
    assert!(refusal(&file[..40]).contains("broken"));
}

//! Photos: a picture of a sensible size is turned upright, scaled and brought to colours a
//! screen shows for the record; the file as it came is kept beside it by its digest.

use std::io::Cursor;
use std::path::Path;

use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat};

use super::files::RecordHost;
use super::{folder, refused, set_photo, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::picture::unpack::{PHOTO, has_an_end};
use crate::record::entry::Photo;
use crate::record::sha256;

/// Shortest side something can be seen on, in points.
const LEAST: u32 = 160;
/// Cells on a side a picture is looked at with, and levels of 255 by which two of them differ
/// where something is seen (common practice: what is printed in greys that close together
/// shows as one).
const CELLS: u32 = 48;
const SPAN: u8 = 8;
/// Longest side of a photo in the record, in points: 250 to the inch on a page.
const SHOWN: u32 = 2_000;
/// What stands at the end of a PDF file, and of each of its revisions.
const END_MARKS: [&[u8]; 2] = [b"startxref", b"%%EOF"];
/// Quality of a photo that is written again, 1 to 100.
const QUALITY: u8 = 85;

/// A photo as it goes into the record.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken {
    /// Its name and digest.
    pub photo: Photo,
    /// What is kept: turned upright, scaled and written again where it had to be.
    pub bytes: Vec<u8>,
    /// The file as it came, under its name in the folder of photos, where the one of
    /// the record was written again.
    pub original: Option<(String, Vec<u8>)>,
}

impl Taken {
    /// Writes it, and the file as it came, into the folder of photos.
    ///
    /// # Errors
    /// If it can't be written.
    pub fn keep(&self, host: &dyn RecordHost, traveler: &Path) -> Result<(), Failure> {
        let photo = Some((&self.photo.file, &self.bytes));
        let original = self.original.as_ref().map(|(name, bytes)| (name, bytes));
        for (name, bytes) in photo.into_iter().chain(original) {
            let path = folder::photo(traveler, name)?;
            folder::write(host, traveler, &path, bytes)?;
        }
        Ok(())
    }
}

/// Reads a photo and gives it its name in the record.
///
/// # Errors
/// If it can't be read, or is no picture anything can be seen on.
pub fn take(host: &dyn RecordHost, path: &Path, stem: &str) -> Result<Taken, Failure> {
    let bytes = host.bytes(path).map_err(|e| system(path, e))?;
    made(bytes, stem).map_err(|why| {
        refused(
            Diagnostic::error("L151", format!("{} can't be kept as a photo: {why}", path.display()))
                .expected(format!(
                    "a JPEG or PNG picture of at most {} MiB, {LEAST} points or more on its shorter side, with something to see on it",
                    PHOTO.bytes >> 20
                ))
                .help("HEIC pictures: set the telephone's camera to JPEG"),
        )
    })
}

fn made(bytes: Vec<u8>, stem: &str) -> Result<Taken, String> {
    let (picture, ending, turned) = opened(&bytes)?;
    let digest = sha256(&bytes);
    let long = picture.width().max(picture.height());
    // In colours of print, and in whatever else the typesetter does not set, it is written again.
    let as_it_is = !turned && long <= SHOWN && !ends_a_file(&bytes);
    if as_it_is && set_photo::sets(&bytes, &format!("photo.{ending}")).is_ok() {
        return Ok(Taken { photo: named(stem, ending, &bytes, &digest, None), bytes, original: None });
    }
    let picture = if long > SHOWN {
        picture.resize(SHOWN, SHOWN, image::imageops::FilterType::Triangle)
    } else {
        picture
    };
    let mut file = Cursor::new(Vec::new());
    JpegEncoder::new_with_quality(&mut file, QUALITY)
        .encode_image(&DynamicImage::ImageRgb8(picture.into_rgb8()))
        .map_err(|e| e.to_string())?;
    let shown = file.into_inner();
    if ends_a_file(&shown) {
        return Err("it holds what ends a PDF file".to_owned());
    }
    set_photo::sets(&shown, "photo.jpg").map_err(|why| format!("no page can be set with it: {why}"))?;
    let shown_digest = sha256(&shown);
    let original = format!("original-{}.{ending}", digest.get(..32).unwrap_or_default());
    let photo = named(stem, "jpg", &shown, &shown_digest, Some(digest));
    Ok(Taken { photo, bytes: shown, original: Some((original, bytes)) })
}

/// Whether bytes that stand in a record as they are would read as an end of the record's
/// file (ISO 32000-1, 7.5.5): a picture may hold any words beside what it shows.
#[must_use]
pub fn ends_a_file(bytes: &[u8]) -> bool {
    END_MARKS.iter().any(|mark| memchr::memmem::find(bytes, mark).is_some())
}

/// Whether a picture unpacks to no more than is unpacked of any; told by its head alone.
///
/// # Errors
/// If it does not, or can't be unpacked at all, with why.
pub fn within(bytes: &[u8]) -> Result<(), String> {
    let Ok(format) = image::guess_format(bytes) else { return Ok(()) };
    PHOTO.decoder(bytes, format).map(|_| ()).map_err(|why| why.0)
}

fn named(stem: &str, ending: &str, bytes: &[u8], digest: &str, original: Option<String>) -> Photo {
    let file = format!("{stem}-{}.{ending}", digest.get(..12).unwrap_or_default());
    Photo { bytes: bytes.len() as u64, file, original, sha256: digest.to_owned() }
}

/// The picture upright, the ending of its name, and whether it had to be turned
/// (Exif, tag 274, read by the decoder); all of it was unpacked.
fn opened(bytes: &[u8]) -> Result<(DynamicImage, &'static str, bool), String> {
    PHOTO.weigh(bytes).map_err(|why| why.0)?;
    let format = image::guess_format(bytes).map_err(|_| "it is no picture".to_owned())?;
    let ending = match format {
        ImageFormat::Jpeg => "jpg",
        ImageFormat::Png => "png",
        _ => return Err("it is a picture of another kind".to_owned()),
    };
    if format == ImageFormat::Jpeg && !has_an_end(bytes) {
        return Err("it is broken: its end is missing".to_owned());
    }
    let mut decoder = PHOTO.decoder(bytes, format).map_err(|why| why.0)?;
    let (width, height) = decoder.dimensions();
    if width.min(height) < LEAST {
        return Err(format!("it has {width} by {height} points, on which nothing can be seen"));
    }
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|e| e.to_string())?;
    picture.apply_orientation(orientation);
    if !shows_something(&picture) {
        return Err("it is of one colour or nearly, and shows nothing".to_owned());
    }
    Ok((picture, ending, orientation != Orientation::NoTransforms))
}

/// Whether anything can be seen on a picture: a white wall, a lens that was covered and a
/// picture that was made of one colour show nothing, whatever it is filed for. Noise is evened
/// out by making it small.
fn shows_something(picture: &DynamicImage) -> bool {
    let small = picture.thumbnail_exact(CELLS, CELLS).into_rgb8();
    let span = |channel: usize| {
        let levels = small.pixels().map(|p| p.0.get(channel).copied().unwrap_or(0));
        let (least, most) = levels.fold((u8::MAX, 0), |(least, most), l| (least.min(l), most.max(l)));
        most.saturating_sub(least)
    };
    (0..3).any(|channel| span(channel) >= SPAN)
}

#[cfg(test)]
#[allow(clippy::cast_possible_truncation, reason = "colours of small pictures")]
mod tests {
    use super::*;

    fn picture(format: ImageFormat, width: u32, height: u32) -> Vec<u8> {
        let mut bytes = Vec::new();
        let drawn =
            image::RgbImage::from_fn(width, height, |x, y| image::Rgb([(x % 97) as u8, (y % 61) as u8, 90]));
        DynamicImage::ImageRgb8(drawn).write_to(&mut Cursor::new(&mut bytes), format).unwrap();
        bytes
    }

    #[test]
    fn a_picture_of_one_colour_shows_nothing() {
        let png = |at: fn(u32, u32) -> [u8; 3]| {
            let mut bytes = Vec::new();
            let drawn = image::RgbImage::from_fn(640, 480, |x, y| image::Rgb(at(x, y)));
            DynamicImage::ImageRgb8(drawn).write_to(&mut Cursor::new(&mut bytes), ImageFormat::Png).unwrap();
            kind(&bytes)
        };
        // White, black, a covered lens with noise, a wall with a little shade.
        let nothing: [fn(u32, u32) -> [u8; 3]; 4] = [
            |_, _| [255; 3],
            |_, _| [0; 3],
            |x, y| [10 + (x * 7 + y * 13 + x * y) as u8 % 9; 3],
            |x, _| [200 + (x / 128) as u8; 3],
        ];
        for at in nothing {
            assert!(png(at).unwrap_err().contains("shows nothing"));
        }
        // A dark scene, one colour beside another as bright, a scratch across sheet metal.
        let something: [fn(u32, u32) -> [u8; 3]; 3] = [
            |x, y| [(x / 40) as u8, (y / 40) as u8, 0],
            |x, _| if x < 320 { [140, 90, 90] } else { [90, 116, 90] },
            |_, y| if (200..204).contains(&y) { [90; 3] } else { [150; 3] },
        ];
        for at in something {
            assert_eq!(png(at), Ok("png"));
        }
    }

    fn kind(bytes: &[u8]) -> Result<&'static str, String> {
        opened(bytes).map(|(_, ending, _)| ending)
    }

    #[test]
    fn what_begins_as_a_picture_must_be_one() {
        assert_eq!(kind(&picture(ImageFormat::Png, 300, 200)), Ok("png"));
        assert_eq!(kind(&picture(ImageFormat::Jpeg, 300, 200)), Ok("jpg"));
        // Twelve bytes that begin as a JPEG, and pictures cut short.
        let mut short = vec![0xFF, 0xD8, 0xFF, 0xE0];
        short.extend([0; 8]);
        assert!(kind(&short).is_err());
        for format in [ImageFormat::Png, ImageFormat::Jpeg] {
            let whole = picture(format, 300, 200);
            assert!(kind(&whole[..whole.len() / 2]).is_err(), "{format:?}");
        }
        assert!(kind(&picture(ImageFormat::Tiff, 300, 200)).is_err());
        assert!(kind(b"%PDF-1.7").is_err() && kind(b"").is_err());
    }

    #[test]
    fn a_point_is_no_photo() {
        for (width, height) in [(1, 1), (3000, 8), (159, 400)] {
            assert!(
                kind(&picture(ImageFormat::Png, width, height)).unwrap_err().contains("nothing can be seen")
            );
        }
        assert!(kind(&picture(ImageFormat::Png, 160, 160)).is_ok());
    }

    /// A JPEG with an Exif segment that says how it was held (Exif 2.32, 4.6.4:
    /// tag 274; TIFF 6.0, section 2: the entry of 12 bytes).
    fn held(orientation: u8, width: u32, height: u32) -> Vec<u8> {
        let jpeg = picture(ImageFormat::Jpeg, width, height);
        let mut exif = b"Exif\0\0MM\0\x2A\0\0\0\x08\0\x01\x01\x12\0\x03\0\0\0\x01\0".to_vec();
        exif.extend([orientation, 0, 0, 0, 0, 0, 0]);
        let mut file = jpeg[..2].to_vec();
        file.extend([0xFF, 0xE1]);
        file.extend(u16::try_from(exif.len() + 2).unwrap().to_be_bytes());
        file.extend(exif);
        file.extend(&jpeg[2..]);
        file
    }

    #[test]
    fn a_photo_stands_upright_and_is_no_larger_than_the_record_needs() {
        let plain = picture(ImageFormat::Jpeg, 600, 400);
        let taken = made(plain.clone(), "F1-1").unwrap();
        assert_eq!((taken.bytes, taken.original, taken.photo.original), (plain, None, None));
        // Held a quarter turned: 600 by 400 points stand 400 by 600.
        let turned = held(6, 600, 400);
        let taken = made(turned.clone(), "F1-1").unwrap();
        let shown = image::load_from_memory(&taken.bytes).unwrap();
        assert_eq!((shown.width(), shown.height()), (400, 600));
        assert_eq!(taken.photo.original, Some(sha256(&turned)));
        assert_eq!(taken.photo.sha256, sha256(&taken.bytes));
        assert_eq!(taken.original.unwrap().1, turned);
        let large = made(picture(ImageFormat::Png, 4000, 1000), "F1-1").unwrap();
        let shown = image::load_from_memory(&large.bytes).unwrap();
        assert_eq!((shown.width(), shown.height()), (2000, 500));
    }

    #[test]
    fn what_the_typesetter_does_not_set_is_written_again() {
        macro_rules! file {
            ($name:literal) => {
                include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/cases/photos/", $name)).to_vec()
            };
        }
        let print = file!("print-colours.jpg");
        assert!(set_photo::sets(&print, "p.jpg").unwrap_err().to_string().contains("CMYK"));
        let taken = made(print.clone(), "P1-1").unwrap();
        assert_eq!(taken.photo.original, Some(sha256(&print)));
        assert_eq!(taken.original.unwrap().1, print);
        let shown = image::load_from_memory(&taken.bytes).unwrap();
        assert_eq!((shown.width(), shown.height(), shown.color()), (240, 180, image::ColorType::Rgb8));
        // Every other kind is kept as it came, and can be set.
        let drawn = image::load_from_memory(&picture(ImageFormat::Png, 240, 180)).unwrap();
        let kinds: [DynamicImage; 6] = [
            drawn.to_luma8().into(),
            drawn.to_luma16().into(),
            drawn.to_luma_alpha8().into(),
            drawn.to_rgb16().into(),
            drawn.to_rgba8().into(),
            drawn.to_rgba16().into(),
        ];
        let written = kinds.map(|kind| {
            let mut bytes = Vec::new();
            kind.write_to(&mut Cursor::new(&mut bytes), ImageFormat::Png).unwrap();
            bytes
        });
        let kept =
            [file!("palette.png"), file!("one-bit.png"), file!("interlaced.png"), file!("progressive.jpg")];
        for bytes in written.into_iter().chain(kept) {
            let taken = made(bytes.clone(), "P1-1").unwrap();
            assert!(taken.bytes == bytes && taken.original.is_none());
            assert_eq!(set_photo::sets(&taken.bytes, &taken.photo.file), Ok(()));
        }
    }

    #[test]
    fn a_picture_that_unpacks_to_more_than_memory_is_refused() {
        // PNG header (ISO/IEC 15948, 11.2.2) of 60 000 by 60 000 points.
        let mut header = b"IHDR".to_vec();
        header.extend(60_000_u32.to_be_bytes());
        header.extend(60_000_u32.to_be_bytes());
        header.extend([8, 6, 0, 0, 0]);
        let mut png = vec![0x89, b'P', b'N', b'G', 0x0D, 0x0A, 0x1A, 0x0A, 0, 0, 0, 13];
        png.extend(&header);
        png.extend(crc(&header).to_be_bytes());
        png.extend([0, 0, 0, 0, b'I', b'E', b'N', b'D', 0xAE, 0x42, 0x60, 0x82]);
        assert!(kind(&png).is_err());
    }

    /// CRC-32 as PNG wants it (ISO/IEC 15948, annex D).
    fn crc(bytes: &[u8]) -> u32 {
        !bytes.iter().fold(u32::MAX, |crc, byte| {
            (0..8)
                .fold(crc ^ u32::from(*byte), |c, _| if c & 1 == 1 { 0xEDB8_8320 ^ (c >> 1) } else { c >> 1 })
        })
    }
}

//! Photos: a picture of a sensible size is turned upright and scaled for the
//! record; the file as it came is kept beside it by its digest.

use std::io::Cursor;
use std::path::Path;

use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageFormat, ImageReader, Limits};

use super::files::RecordHost;
use super::{folder, refused, system};
use crate::app::plan::Failure;
use crate::diagnostic::Diagnostic;
use crate::record::entry::Photo;
use crate::record::sha256;

/// Largest photo, in bytes.
const LARGEST: usize = 16 << 20;
/// Longest side, in points; cameras of telephones make up to 16 000.
const LONGEST: u32 = 20_000;
/// Most memory a photo may take once unpacked, in bytes.
const UNPACKED: u64 = 512 << 20;
/// Shortest side something can be seen on, in points.
const LEAST: u32 = 160;
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
    /// What is kept: turned upright and scaled where it had to be.
    pub bytes: Vec<u8>,
    /// The file as it came, under its name in the folder of photos, where the one of
    /// the record was turned or scaled.
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
            host.write(&path, bytes).map_err(|e| system(&path, e))?;
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
                    "a JPEG or PNG picture of at most 16 MiB, {LEAST} points or more on its shorter side"
                ))
                .help("HEIC pictures: set the telephone's camera to JPEG"),
        )
    })
}

fn made(bytes: Vec<u8>, stem: &str) -> Result<Taken, String> {
    let (picture, ending, turned) = opened(&bytes)?;
    let digest = sha256(&bytes);
    let long = picture.width().max(picture.height());
    if !turned && long <= SHOWN && !ends_a_file(&bytes) {
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
    decoder(bytes, format).map(|_| ())
}

fn named(stem: &str, ending: &str, bytes: &[u8], digest: &str, original: Option<String>) -> Photo {
    let file = format!("{stem}-{}.{ending}", digest.get(..12).unwrap_or_default());
    Photo { bytes: bytes.len() as u64, file, original, sha256: digest.to_owned() }
}

/// The picture upright, the ending of its name, and whether it had to be turned
/// (Exif, tag 274, read by the decoder); all of it was unpacked.
fn opened(bytes: &[u8]) -> Result<(DynamicImage, &'static str, bool), String> {
    if bytes.len() > LARGEST {
        return Err(format!("it has {} bytes", bytes.len()));
    }
    let format = image::guess_format(bytes).map_err(|_| "it is no picture".to_owned())?;
    let ending = match format {
        ImageFormat::Jpeg => "jpg",
        ImageFormat::Png => "png",
        _ => return Err("it is a picture of another kind".to_owned()),
    };
    if format == ImageFormat::Jpeg && !crate::picture::decode::has_an_end(bytes) {
        return Err("it is broken: its end is missing".to_owned());
    }
    let mut decoder = decoder(bytes, format)?;
    let (width, height) = decoder.dimensions();
    if width.min(height) < LEAST {
        return Err(format!("it has {width} by {height} points, on which nothing can be seen"));
    }
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut picture = DynamicImage::from_decoder(decoder).map_err(|e| e.to_string())?;
    picture.apply_orientation(orientation);
    Ok((picture, ending, orientation != Orientation::NoTransforms))
}

/// What unpacks a picture within the limits.
fn decoder(bytes: &[u8], format: ImageFormat) -> Result<impl ImageDecoder + '_, String> {
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_image_width = Some(LONGEST);
    limits.max_image_height = Some(LONGEST);
    limits.max_alloc = Some(UNPACKED);
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(|e| e.to_string())?;
    // The limits are those of what the decoder takes beside the picture.
    if decoder.total_bytes() > UNPACKED {
        let (width, height) = decoder.dimensions();
        return Err(format!("it has {width} by {height} points, more than are unpacked of any picture"));
    }
    Ok(decoder)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(format: ImageFormat, width: u32, height: u32) -> Vec<u8> {
        let mut bytes = Vec::new();
        DynamicImage::new_rgb8(width, height).write_to(&mut Cursor::new(&mut bytes), format).unwrap();
        bytes
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

//! Photos of found conditions: kept as they are, once they are pictures.

use std::io::Cursor;
use std::path::Path;

use image::{ImageFormat, ImageReader, Limits};

use super::files::RecordHost;
use super::{refused, system};
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

/// Reads a photo and gives it its name in the record.
///
/// # Errors
/// If it can't be read, or is no picture.
pub fn take(host: &dyn RecordHost, path: &Path, stem: &str) -> Result<(Photo, Vec<u8>), Failure> {
    let bytes = host.bytes(path).map_err(|e| system(path, e))?;
    let ending = kind(&bytes).map_err(|why| {
        refused(
            Diagnostic::error("L151", format!("{} can't be kept as a photo: {why}", path.display()))
                .expected("a JPEG or PNG picture of at most 16 MiB that can be opened"),
        )
    })?;
    let digest = sha256(&bytes);
    let file = format!("{stem}-{}.{ending}", digest.get(..12).unwrap_or_default());
    Ok((Photo { bytes: bytes.len() as u64, file, sha256: digest }, bytes))
}

/// The ending of a picture's name, once all of it was unpacked.
fn kind(bytes: &[u8]) -> Result<&'static str, String> {
    if bytes.len() > LARGEST {
        return Err(format!("it has {} bytes", bytes.len()));
    }
    let format = image::guess_format(bytes).map_err(|_| "it is no picture".to_owned())?;
    let ending = match format {
        ImageFormat::Jpeg => "jpg",
        ImageFormat::Png => "png",
        _ => return Err("it is a picture of another kind".to_owned()),
    };
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_image_width = Some(LONGEST);
    limits.max_image_height = Some(LONGEST);
    limits.max_alloc = Some(UNPACKED);
    reader.limits(limits);
    reader.decode().map_err(|e| e.to_string())?;
    Ok(ending)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn picture(format: ImageFormat) -> Vec<u8> {
        let mut bytes = Vec::new();
        image::DynamicImage::new_rgb8(3, 2).write_to(&mut Cursor::new(&mut bytes), format).unwrap();
        bytes
    }

    #[test]
    fn what_begins_as_a_picture_must_be_one() {
        assert_eq!(kind(&picture(ImageFormat::Png)), Ok("png"));
        assert_eq!(kind(&picture(ImageFormat::Jpeg)), Ok("jpg"));
        // Twelve bytes that begin as a JPEG, and pictures cut short.
        let mut short = vec![0xFF, 0xD8, 0xFF, 0xE0];
        short.extend([0; 8]);
        assert!(kind(&short).is_err());
        for format in [ImageFormat::Png, ImageFormat::Jpeg] {
            let whole = picture(format);
            assert!(kind(&whole[..whole.len() / 2]).is_err(), "{format:?}");
        }
        assert!(kind(&picture(ImageFormat::Tiff)).is_err());
        assert!(kind(b"%PDF-1.7").is_err() && kind(b"").is_err());
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

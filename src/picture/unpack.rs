//! What a picture may be at most, and what unpacks it within that: one place for pictures of
//! paper and for photos of the work.

use std::io::Cursor;

use image::{ImageDecoder, ImageFormat, ImageReader, Limits};

use super::refused::{Unreadable, no};

/// The most a picture may be.
#[derive(Debug, Clone, Copy)]
pub struct Most {
    /// Bytes of its file.
    pub bytes: usize,
    /// Points on its long side.
    pub long: u32,
    /// Points in all.
    pub points: u64,
    /// Bytes it may take unpacked.
    pub unpacked: u64,
    /// What has no more than that, in words behind "more than".
    pub any: &'static str,
}

/// A picture of a page: no more points than the cameras of telephones make at most.
pub const PAPER: Most = Most {
    bytes: 64 << 20,
    long: 12_000,
    points: 50_000_000,
    unpacked: 160 << 20,
    any: "a picture of a page has",
};

/// A photo of the work; cameras of telephones make up to 16 000 points on a side.
pub const PHOTO: Most = Most {
    bytes: 16 << 20,
    long: 20_000,
    points: 200_000_000,
    unpacked: 512 << 20,
    any: "are unpacked of any picture",
};

impl Most {
    /// Refuses a file that is larger.
    ///
    /// # Errors
    /// If it is.
    pub fn weigh(&self, bytes: &[u8]) -> Result<(), Unreadable> {
        if bytes.len() <= self.bytes {
            return Ok(());
        }
        no(format!("it has {} MiB; {} are the most", bytes.len().div_ceil(1 << 20), self.bytes >> 20))
    }

    /// Refuses sizes no camera and no scanner makes, `each` bytes a point.
    ///
    /// # Errors
    /// If it is one.
    pub fn size(&self, width: u32, height: u32, each: u64) -> Result<(), Unreadable> {
        let points = u64::from(width) * u64::from(height);
        if width == 0 || height == 0 {
            return no("it has no points");
        }
        if width.max(height) > self.long || points > self.points || points * each > self.unpacked {
            return no(format!("it says it is {width} by {height} points, more than {}", self.any));
        }
        Ok(())
    }

    /// What unpacks a picture; nothing but its head was read.
    ///
    /// # Errors
    /// If it is broken, or would be more once it is unpacked.
    pub fn decoder<'a>(
        &self,
        bytes: &'a [u8],
        format: ImageFormat,
    ) -> Result<impl ImageDecoder + 'a, Unreadable> {
        let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
        let mut limits = Limits::default();
        limits.max_image_width = Some(self.long);
        limits.max_image_height = Some(self.long);
        limits.max_alloc = Some(self.unpacked);
        reader.limits(limits);
        let decoder = reader.into_decoder().map_err(|e| self.broken(&e))?;
        // The limits of the reader are those of what it takes beside the picture.
        let (width, height) = decoder.dimensions();
        self.size(width, height, u64::from(decoder.color_type().bytes_per_pixel()))?;
        Ok(decoder)
    }

    /// What is said of a picture that can't be unpacked.
    pub fn broken(&self, error: &image::ImageError) -> Unreadable {
        match error {
            image::ImageError::Limits(_) => {
                Unreadable(format!("it says it is larger, more than {}", self.any))
            }
            error => Unreadable(format!("it is broken: {error}")),
        }
    }
}

/// Whether a JPEG has its end (ITU-T T.81, B.1.1.3): a decoder makes grey of what is
/// missing, and grey is no empty box.
#[must_use]
pub fn has_an_end(bytes: &[u8]) -> bool {
    let mut at = 2;
    while let Some([0xFF, marker, high, low]) = bytes.get(at..at + 4) {
        if *marker == 0xDA {
            return bytes.get(at..).is_some_and(|rest| rest.windows(2).any(|w| w == [0xFF, 0xD9]));
        }
        at += 2 + usize::from(u16::from_be_bytes([*high, *low]));
    }
    false
}

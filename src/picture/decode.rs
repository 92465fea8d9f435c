//! Files to grey pictures, within limits.

use std::fmt;
use std::io::Cursor;

use image::{DynamicImage, ImageDecoder, ImageFormat};
use tiff::ColorType;
use tiff::decoder::DecodingResult;

use super::grey::Grey;
use super::paper_scan::PaperScan;
use super::refused::{PAGES, Unreadable, no};
use super::unpack::{PAPER, has_an_end};

/// Shortest long side a page can be read from: about 70 points to the inch.
const LEAST: usize = 760;
/// Long side beyond which points are put together; 16 to the mm are more than any
/// rule looks at.
const ENOUGH: usize = 4_500;

/// A file of pictures, opened.
pub struct Pictures<'a> {
    bytes: &'a [u8],
    kind: Kind,
}

enum Kind {
    One(ImageFormat),
    Tiff(usize),
    Pdf(Box<PaperScan>),
}

impl fmt::Debug for Pictures<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "Pictures({} in {} bytes)", self.count(), self.bytes.len())
    }
}

impl<'a> Pictures<'a> {
    /// Opens a PNG, JPEG, TIFF or PDF file.
    ///
    /// # Errors
    /// If it is something else, too large, or holds a script.
    pub fn open(bytes: &'a [u8]) -> Result<Self, Unreadable> {
        if bytes.is_empty() {
            return no("the file is empty");
        }
        PAPER.weigh(bytes)?;
        if bytes.get(..1024.min(bytes.len())).is_some_and(|head| head.windows(5).any(|w| w == b"%PDF-")) {
            return Ok(Self { bytes, kind: Kind::Pdf(Box::new(PaperScan::open(bytes)?)) });
        }
        if bytes.get(4..8) == Some(b"ftyp") {
            return no("it is a HEIC, HEIF or AVIF picture or a film, which this program does not read: \
                 set the telephone's camera to JPEG, or save the picture as JPEG");
        }
        match image::guess_format(bytes) {
            Ok(ImageFormat::Tiff) => Ok(Self { bytes, kind: Kind::Tiff(tiff_pages(bytes)?) }),
            Ok(format @ (ImageFormat::Png | ImageFormat::Jpeg)) => {
                Ok(Self { bytes, kind: Kind::One(format) })
            }
            Ok(other) => no(format!(
                "it is a picture of another kind ({}): save it as JPEG, PNG, TIFF or PDF",
                other.to_mime_type()
            )),
            Err(_) => no("it is no picture: JPEG, PNG, TIFF and PDF can be read"),
        }
    }

    /// How many pictures it holds.
    #[must_use]
    pub fn count(&self) -> usize {
        match &self.kind {
            Kind::One(_) => 1,
            Kind::Tiff(count) => *count,
            Kind::Pdf(scan) => scan.count(),
        }
    }

    /// A picture, from 0.
    ///
    /// # Errors
    /// If it is broken, too large or too small.
    pub fn get(&self, index: usize) -> Result<Grey, Unreadable> {
        let grey = match &self.kind {
            Kind::One(format) => one(self.bytes, *format)?,
            Kind::Tiff(_) => tiff_page(self.bytes, index)?,
            Kind::Pdf(scan) => scan.draw(index)?,
        };
        if grey.long_side() < LEAST {
            return no(format!(
                "it has {} by {} points; a page takes {LEAST} on its long side to be read",
                grey.width, grey.height
            ));
        }
        if grey.width.min(grey.height) < LEAST / 4 {
            return no("it is a strip, no picture of a page");
        }
        Ok(if grey.long_side() > ENOUGH { grey.shrunk(grey.long_side().div_ceil(ENOUGH)) } else { grey })
    }
}

fn one(bytes: &[u8], format: ImageFormat) -> Result<Grey, Unreadable> {
    if format == ImageFormat::Jpeg && !has_an_end(bytes) {
        return no("it is broken: its end is missing");
    }
    let decoder = PAPER.decoder(bytes, format)?;
    let (width, height) = decoder.dimensions();
    let picture = DynamicImage::from_decoder(decoder).map_err(|e| PAPER.broken(&e))?;
    let levels = picture.into_luma8();
    grey(width, height, levels.into_raw())
}

fn grey(width: u32, height: u32, levels: Vec<u8>) -> Result<Grey, Unreadable> {
    let wide = |v: u32| usize::try_from(v).map_err(|_| Unreadable("it is too large".to_owned()));
    let (width, height) = (wide(width)?, wide(height)?);
    if levels.len() != width * height {
        return no("it is broken: points are missing");
    }
    Ok(Grey { width, height, levels })
}

fn tiff_reader(bytes: &[u8]) -> Result<tiff::decoder::Decoder<Cursor<&[u8]>>, Unreadable> {
    let mut limits = tiff::decoder::Limits::default();
    limits.decoding_buffer_size = usize::try_from(PAPER.unpacked).unwrap_or(usize::MAX);
    limits.intermediate_buffer_size = limits.decoding_buffer_size;
    let reader = tiff::decoder::Decoder::new(Cursor::new(bytes)).map_err(|e| broken(&e))?;
    Ok(reader.with_limits(limits))
}

fn broken(error: &tiff::TiffError) -> Unreadable {
    Unreadable(format!("it is broken: {error}"))
}

fn tiff_pages(bytes: &[u8]) -> Result<usize, Unreadable> {
    let mut reader = tiff_reader(bytes)?;
    let mut count = 1;
    while reader.more_images() {
        reader.next_image().map_err(|e| broken(&e))?;
        count += 1;
        if count > PAGES {
            return no(format!("it has more than {PAGES} pages"));
        }
    }
    Ok(count)
}

fn tiff_page(bytes: &[u8], index: usize) -> Result<Grey, Unreadable> {
    let mut reader = tiff_reader(bytes)?;
    for _ in 0..index {
        reader.next_image().map_err(|e| broken(&e))?;
    }
    let (width, height) = reader.dimensions().map_err(|e| broken(&e))?;
    let kind = reader.colortype().map_err(|e| broken(&e))?;
    PAPER.size(width, height, 4)?;
    let DecodingResult::U8(data) = reader.read_image().map_err(|e| broken(&e))? else {
        return no("its points have more than 8 bits: save it with 8");
    };
    let across = usize::try_from(width).unwrap_or(usize::MAX);
    let mix = |rgb: &[u8]| {
        let [r, g, b] = [rgb[0], rgb[1], rgb[2]].map(u32::from);
        // Luma of ITU-R BT.601, 2.5.1.
        u8::try_from((299 * r + 587 * g + 114 * b) / 1000).unwrap_or(u8::MAX)
    };
    let levels = match kind {
        ColorType::Gray(1) => data
            .chunks(across.div_ceil(8))
            .flat_map(|row| (0..across).map(|x| if (row[x / 8] >> (7 - x % 8)) & 1 == 1 { 255 } else { 0 }))
            .collect(),
        ColorType::Gray(8) => data,
        ColorType::GrayA(8) => data.chunks_exact(2).map(|p| p[0]).collect(),
        ColorType::RGB(8) => data.chunks_exact(3).map(mix).collect(),
        ColorType::RGBA(8) => data.chunks_exact(4).map(mix).collect(),
        other => {
            return no(format!(
                "its colours are written in a way not read here ({other:?}): save it in grey"
            ));
        }
    };
    grey(width, height, levels)
}

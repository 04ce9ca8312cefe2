//! Pictures on their way into the book: read in bounded memory, turned upright, made small, and freed of what they tell
//! about where they were taken. PDFs stay as they are.
//!
//! What a picture says besides its pixels is left out whole rather than searched for places: a position stands in EXIF,
//! and in XMP, IPTC and makers' notes as well. The day it was taken is read before and kept beside the picture.

mod about;
mod jpeg;
mod png;

use crate::entry::paper_kind;
use crate::terms::Day;
use about::About;
use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::imageops::FilterType;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder as _, ImageEncoder as _, ImageFormat, ImageReader, Limits};
use std::io::Cursor;

/// The long side of a picture in the book, in pixels: a page of A4 at 170 dots an inch.
pub const LONG_SIDE: u32 = 2000;
/// The most pixels that are read: those of the largest common cameras, 64 million.
pub const MOST_PIXELS: u64 = 64_000_000;
/// In bytes: what the pixels may take once they are read, four to a pixel.
const MOST_MEMORY: u64 = MOST_PIXELS * 4;
/// Of 100: small files in which the eye sees no loss; common practice, no source.
const QUALITY: u8 = 85;

/// How a picture is taken in.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Taking {
    /// Its pixels stay as they came, however many they are.
    pub original: bool,
    /// Where it was taken stays in it.
    pub position: bool,
}

/// A file as it goes into the book.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenIn {
    /// Its bytes.
    pub bytes: Vec<u8>,
    /// The day the picture was taken, where it says so and that can be.
    pub on: Option<Day>,
    /// What was done with it, a few words each.
    pub told: Vec<String>,
}

/// Why a picture is not taken in.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PictureUnfit {
    /// More pixels than are read.
    #[error(
        "'{name}' has {width} × {height} pixels, more than the {most} million that are read: make it smaller first"
    )]
    TooManyPixels {
        /// Name of the file.
        name: String,
        /// Pixels across.
        width: u32,
        /// Pixels down.
        height: u32,
        /// In millions.
        most: u64,
    },
    /// It begins like a picture and is none, or is cut off.
    #[error("the picture '{0}' is damaged or cut off: open it in a picture program and save it anew")]
    Damaged(String),
}

/// Takes a file in. What is neither a PDF nor a picture is handed on as it is: the check of the entry refuses it.
///
/// # Errors
/// A picture too large to be read, or damaged.
pub fn take_in(name: &str, bytes: Vec<u8>, how: Taking, today: Day) -> Result<TakenIn, PictureUnfit> {
    let format = match paper_kind(&bytes) {
        Some("png") => ImageFormat::Png,
        Some("jpeg") => ImageFormat::Jpeg,
        _ => return Ok(TakenIn { bytes, on: None, told: Vec::new() }),
    };
    let damaged = || PictureUnfit::Damaged(name.into());
    let is_jpeg = format == ImageFormat::Jpeg;
    let about = About::read(if is_jpeg { jpeg::exif(&bytes) } else { png::exif(&bytes) });
    let mut told = Vec::new();
    let on = taken_on(&about, today, &mut told);
    let (width, height) = size(name, &bytes, format)?;
    let upright = about.orientation() == Orientation::NoTransforms;
    let small = width.max(height) <= LONG_SIDE || how.original;
    if how.original && how.position {
        // Nothing of it is touched: that it can be read is all that is asked.
        read(name, &bytes, format)?;
        return Ok(TakenIn { bytes, on, told });
    }
    if about.has_position() && !how.position {
        told.push("where it was taken is left out".into());
    }
    // The bare file: pixels as they came, with nothing about them.
    let bare = if is_jpeg { jpeg::bare(&bytes) } else { png::bare(&bytes) }.ok_or_else(damaged)?;
    let mut pixels = read(name, &bare, format)?;
    let stays = small && (upright || (is_jpeg && how.original));
    let kept = about.kept(how.position, if stays { about.orientation() } else { Orientation::NoTransforms });
    if stays {
        let bytes = match kept {
            Some(exif) if is_jpeg => jpeg::with_exif(&bare, &exif),
            Some(exif) => png::with_exif(&bare, &exif),
            None => bare,
        };
        return Ok(TakenIn { bytes, on, told });
    }
    if !small {
        pixels = smaller(&pixels, LONG_SIDE);
        told.push(format!(
            "made smaller, {width} × {height} to {} × {} pixels",
            pixels.width(),
            pixels.height()
        ));
    }
    if !upright {
        pixels.apply_orientation(about.orientation());
        told.push("turned upright".into());
    }
    // What was a drawing or has clear places stays a PNG while it keeps its pixels.
    let as_png = !is_jpeg && (small || has_clear(&pixels));
    let bytes = if as_png { as_png_file(&pixels) } else { as_jpeg_file(&pixels) }.ok_or_else(damaged)?;
    let bytes = match kept {
        Some(exif) if as_png => png::with_exif(&bytes, &exif),
        Some(exif) => jpeg::with_exif(&bytes, &exif),
        None => bytes,
    };
    Ok(TakenIn { bytes, on, told })
}

/// The pixels of a kept picture, at most so many on a side, as red, green, blue and cover; with its width and height.
/// None where they cannot be read. For showing it.
pub fn thumbnail(bytes: &[u8], side: u32) -> Option<(u32, u32, Vec<u8>)> {
    let format = match paper_kind(bytes)? {
        "png" => ImageFormat::Png,
        "jpeg" => ImageFormat::Jpeg,
        _ => return None,
    };
    let is_jpeg = format == ImageFormat::Jpeg;
    let about = About::read(if is_jpeg { jpeg::exif(bytes) } else { png::exif(bytes) });
    let mut small = smaller(&read("", bytes, format).ok()?, side.max(1));
    small.apply_orientation(about.orientation());
    let (width, height) = (small.width(), small.height());
    Some((width, height, small.into_rgba8().into_raw()))
}

/// The day it was taken, if that can be; what cannot is told.
fn taken_on(about: &About, today: Day, told: &mut Vec<String>) -> Option<Day> {
    let on = about.taken()?;
    // Clocks of cameras that were never set say 1970 or 1980; EXIF is of 1995.
    if on > today || on.year() < 1995 {
        told.push(format!("its camera says {}, which cannot be: kept under today", on.words()));
        return None;
    }
    if on != today {
        told.push(format!("taken {}: kept under that day", on.words()));
    }
    Some(on)
}

/// Width and height, read from the head of the file alone.
fn size(name: &str, bytes: &[u8], format: ImageFormat) -> Result<(u32, u32), PictureUnfit> {
    let decoder = decoder(name, bytes, format)?;
    Ok(decoder.dimensions())
}

/// Reads the head of a picture; more pixels than are read are refused before any of them is.
fn decoder<'a>(
    name: &str,
    bytes: &'a [u8],
    format: ImageFormat,
) -> Result<impl image::ImageDecoder + 'a, PictureUnfit> {
    let mut reader = ImageReader::with_format(Cursor::new(bytes), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY + (64 << 20));
    reader.limits(limits);
    let decoder = reader.into_decoder().map_err(|_| PictureUnfit::Damaged(name.into()))?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MOST_PIXELS || decoder.total_bytes() > MOST_MEMORY {
        let most = MOST_PIXELS / 1_000_000;
        return Err(PictureUnfit::TooManyPixels { name: name.into(), width, height, most });
    }
    Ok(decoder)
}

fn read(name: &str, bytes: &[u8], format: ImageFormat) -> Result<DynamicImage, PictureUnfit> {
    let decoder = decoder(name, bytes, format)?;
    DynamicImage::from_decoder(decoder).map_err(|_| PictureUnfit::Damaged(name.into()))
}

/// At most so many pixels on the long side. A far larger picture is first gathered by whole pixels, which takes little
/// memory.
fn smaller(pixels: &DynamicImage, side: u32) -> DynamicImage {
    if pixels.width().max(pixels.height()) <= side {
        return pixels.clone();
    }
    if pixels.width().max(pixels.height()) > side * 4 {
        return pixels.thumbnail(side * 2, side * 2).resize(side, side, FilterType::Triangle);
    }
    pixels.resize(side, side, FilterType::Triangle)
}

/// Some of it can be seen through.
fn has_clear(pixels: &DynamicImage) -> bool {
    pixels.color().has_alpha() && pixels.to_rgba8().pixels().any(|p| p.0[3] != 255)
}

fn as_png_file(pixels: &DynamicImage) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    let encoder = PngEncoder::new(&mut bytes);
    encoder
        .write_image(pixels.as_bytes(), pixels.width(), pixels.height(), pixels.color().into())
        .ok()
        .map(|()| bytes)
}

fn as_jpeg_file(pixels: &DynamicImage) -> Option<Vec<u8>> {
    let mut bytes = Vec::new();
    let mut encoder = JpegEncoder::new_with_quality(&mut bytes, QUALITY);
    encoder.encode_image(&DynamicImage::ImageRgb8(pixels.to_rgb8())).ok().map(|()| bytes)
}

#[cfg(test)]
mod tests;

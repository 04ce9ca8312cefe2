//! Pictures as a camera makes them, built by hand.

use image::{DynamicImage, ImageFormat, Rgb, RgbImage};
use std::io::Cursor;

/// The day on which [`photo`] says it was taken.
pub const TAKEN: &str = "2026-04-03";

/// A picture of a field under a sky, each with a hedge of its own colour.
pub fn field(width: u32, height: u32, hedge: [u8; 3]) -> DynamicImage {
    let colour = |x: u32, y: u32| match y * 10 / height {
        0..4 => Rgb([150, 190, 220]),
        4 => Rgb(hedge),
        _ => Rgb([90 + (x * 40 / width) as u8, 140, 70]),
    };
    DynamicImage::ImageRgb8(RgbImage::from_fn(width, height, colour))
}

/// As a file of this format.
///
/// # Panics
/// When it cannot be written.
pub fn file(picture: &DynamicImage, format: ImageFormat) -> Vec<u8> {
    let mut out = Cursor::new(Vec::new());
    picture.write_to(&mut out, format).unwrap_or_else(|e| panic!("{e}"));
    out.into_inner()
}

/// A JPEG with EXIF that says when and where it was taken: 54° 30′ 12″ N, an invented place.
///
/// The layout is TIFF 6.0 with the directories of EXIF 2.3 (tags 8769, 8825, 9003); from memory.
pub fn photo(width: u32, height: u32, hedge: [u8; 3]) -> Vec<u8> {
    let mut tiff = b"MM\0\x2a\0\0\0\x08".to_vec();
    let entry = |tag: u16, kind: u16, count: u32, value: [u8; 4]| -> Vec<u8> {
        [&tag.to_be_bytes()[..], &kind.to_be_bytes(), &count.to_be_bytes(), &value].concat()
    };
    let at = |offset: u32| offset.to_be_bytes();
    // The first directory, then that of the camera with its text, then that of the place with its numbers.
    tiff.extend(2u16.to_be_bytes());
    tiff.extend(entry(0x8769, 4, 1, at(38)));
    tiff.extend(entry(0x8825, 4, 1, at(76)));
    tiff.extend([0; 4]);
    tiff.extend(1u16.to_be_bytes());
    tiff.extend(entry(0x9003, 2, 20, at(56)));
    tiff.extend([0; 4]);
    tiff.extend(b"2026:04:03 21:10:05\0");
    tiff.extend(2u16.to_be_bytes());
    tiff.extend(entry(0x0001, 2, 2, *b"N\0\0\0"));
    tiff.extend(entry(0x0002, 5, 3, at(106)));
    tiff.extend([0; 4]);
    for n in [54u32, 1, 30, 1, 12, 1] {
        tiff.extend(n.to_be_bytes());
    }
    let plain = file(&field(width, height, hedge), ImageFormat::Jpeg);
    let mut out = vec![0xff, 0xd8, 0xff, 0xe1];
    out.extend(u16::try_from(tiff.len() + 8).unwrap_or_default().to_be_bytes());
    out.extend(b"Exif\0\0");
    out.extend(tiff);
    out.extend(&plain[2..]);
    out
}

/// These bytes stand somewhere in a file.
pub fn holds(file: &[u8], part: &[u8]) -> bool {
    file.windows(part.len()).any(|w| w == part)
}

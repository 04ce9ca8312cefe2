//! Pictures: a page, a part of one, or a drawing of the window as SVG and as PNG.
//!
//! Everything is first a [`Drawing`]: shapes and words at fixed places, each with its colour. [`svg`] writes it; the
//! PNG is that very SVG painted, so that both show the same. Words are written as the outlines of the embedded faces:
//! they look alike in every program, whatever faces a machine has, and a picture needs no file beside it. So that
//! words can still be read out and found, each run keeps them as its label, and the whole has a title and a sentence.

mod drawing;
mod outline;
mod png;
mod svg;
#[cfg(test)]
mod tests;

pub use drawing::{Colour, Drawing, Item, Pen, Shape, Step, Unit, Words, ellipse, rectangle};
pub use png::{MOST_PIXELS, Png, png};
pub use svg::svg;

use std::path::{Path, PathBuf};

/// Dots an inch of the PNG of a page: small type is still read.
pub const PAGE_DPI: f32 = 200.0;
/// Dots an inch of the PNG of a drawing of the window: twice as fine as the screen it is drawn for.
pub const SCREEN_DPI: f32 = 192.0;

/// What a picture is written as; the ending of its name decides.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    /// Lines and outlines: sharp at any size.
    Svg,
    /// Dots.
    Png,
}

impl Form {
    /// By the ending of a file's name, in any case; none where it is neither.
    pub fn of(path: &Path) -> Option<Self> {
        let ending = path.extension()?.to_str()?.to_ascii_lowercase();
        [Self::Svg, Self::Png].into_iter().find(|f| f.ending() == ending)
    }

    /// The ending without its point.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Svg => "svg",
            Self::Png => "png",
        }
    }

    /// Writes a drawing, a PNG at so many dots an inch.
    ///
    /// # Errors
    /// Nothing is on it, or it could not be painted.
    pub fn write(self, drawing: &Drawing, dpi: f32) -> Result<Vec<u8>, PictureFailed> {
        match self {
            Self::Svg => Ok(svg(drawing)?.into_bytes()),
            Self::Png => Ok(png(drawing, dpi)?.bytes),
        }
    }
}

/// The name of one of several pages: `cards-2.png` of `cards.png`, with as many figures as the last page has. A single
/// page has the name as it is.
pub fn numbered(path: &Path, page: usize, of: usize) -> PathBuf {
    if of < 2 {
        return path.to_path_buf();
    }
    let wide = of.to_string().len();
    let mut name = path.file_stem().unwrap_or_default().to_os_string();
    name.push(format!("-{page:0wide$}"));
    if let Some(ending) = path.extension() {
        name.push(".");
        name.push(ending);
    }
    path.with_file_name(name)
}

/// Why a picture was not made.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PictureFailed {
    /// Its width or height is nothing, or no number.
    #[error("the picture '{0}' has no width or no height: draw something, and save it then")]
    NoSize(String),
    /// It could not be painted.
    #[error("the picture '{title}' could not be painted ({cause}): save it as SVG instead")]
    Paint {
        /// Which.
        title: String,
        /// What the painter said.
        cause: String,
    },
}

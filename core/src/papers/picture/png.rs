//! A drawing as PNG: its SVG, painted.

use super::drawing::Drawing;
use super::{PictureFailed, svg};
use crate::phrase;
use image::{ExtendedColorType, ImageEncoder as _, codecs::png::PngEncoder};
use resvg::tiny_skia::{Pixmap, Transform};
use resvg::usvg::{Options, Tree};

/// More dots than this are not painted: 40 million take 160 MB while it is done. A larger picture is made coarser.
pub const MOST_PIXELS: f32 = 40_000_000.0;
/// Nor is one side longer than this.
const MOST_SIDE: f32 = 20_000.0;

/// A painted picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Png {
    /// The file.
    pub bytes: Vec<u8>,
    /// Its width in dots.
    pub width: u32,
    /// Its height in dots.
    pub height: u32,
}

/// Paints a drawing at so many dots an inch, or as many as [`MOST_PIXELS`] allow.
///
/// # Errors
/// It has no width or height, or cannot be painted.
pub fn png(drawing: &Drawing, dpi: f32) -> Result<Png, PictureFailed> {
    let text = svg(drawing)?;
    let failed = |cause: String| PictureFailed::Paint { title: drawing.title.clone(), cause };
    // No files, no faces: there is nothing in our SVG but paths.
    let tree = Tree::from_str(&text, &Options::default()).map_err(|e| failed(e.to_string()))?;
    drop(text);
    let (width, height) = dots(drawing, dpi);
    let mut pixels =
        Pixmap::new(width, height).ok_or_else(|| failed(phrase!("{width} × {height} dots are too many")))?;
    let size = tree.size();
    let fit = Transform::from_scale(width as f32 / size.width(), height as f32 / size.height());
    resvg::render(&tree, fit, &mut pixels.as_mut());
    let mut bytes = Vec::new();
    let flat: Vec<u8> = pixels
        .pixels()
        .iter()
        .flat_map(|p| {
            let c = p.demultiply();
            [c.red(), c.green(), c.blue(), c.alpha()]
        })
        .collect();
    drop(pixels);
    PngEncoder::new(&mut bytes)
        .write_image(&flat, width, height, ExtendedColorType::Rgba8)
        .map_err(|e| failed(e.to_string()))?;
    Ok(Png { bytes, width, height })
}

/// Width and height in dots, within the bounds; never nothing.
pub(super) fn dots(drawing: &Drawing, dpi: f32) -> (u32, u32) {
    let (w, h) = drawing.size;
    let wanted = (dpi / drawing.unit.to_the_inch()).max(0.01);
    let most = (MOST_PIXELS / (w * h)).sqrt().min(MOST_SIDE / w.max(h));
    let scale = wanted.min(most);
    let side = |v: f32| (v * scale).round().clamp(1.0, MOST_SIDE) as u32;
    (side(w), side(h))
}

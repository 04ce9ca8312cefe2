//! Colours of the preview: paper is white and its inks are those of the printed page, in both forms of the window.

use egui::Color32;

/// The sheet itself.
pub const SHEET: Color32 = Color32::WHITE;

/// An ink of the printed page.
pub fn ink(rgb: [u8; 3]) -> Color32 {
    Color32::from_rgb(rgb[0], rgb[1], rgb[2])
}

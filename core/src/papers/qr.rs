//! QR codes as dark tiles.

use qrcode::{Color, EcLevel, QrCode};

use super::sheet::{Area, Ink, Mark, Page};

/// Light modules left free on every side (ISO/IEC 18004 asks for four; from memory).
const QUIET: usize = 4;

/// Paints the code of `words` into the square that fits `area`, quiet zone inside it. One tile for each run of dark
/// modules in a row. Error correction M, which outlives some mud. Words too long for a code (over 2,000 bytes) give none; then the answer
/// is `false`.
pub fn paint(page: &mut Page, area: Area, words: &str) -> bool {
    let Ok(code) = QrCode::with_error_correction_level(words, EcLevel::M) else { return false };
    let n = code.width();
    let colours = code.to_colors();
    let module = area.w.min(area.h) / (n + 2 * QUIET) as f32;
    let mut tiles = Vec::new();
    for (y, row) in colours.chunks(n).enumerate() {
        let mut x = 0;
        while x < n {
            let run = row[x..].iter().take_while(|c| **c == Color::Dark).count();
            if run > 0 {
                // A shade taller than a module, so that no light seam shows between the rows.
                let place = |i: usize| (i + QUIET) as f32 * module;
                tiles.push([area.x + place(x), area.y + place(y), run as f32 * module, module * 1.02]);
            }
            x += run.max(1);
        }
    }
    page.marks.push(Mark::Tiles { tiles, ink: Ink::Black });
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::sheet::{SheetSize, Turn};

    #[test]
    fn tiles_are_the_dark_modules_inside_the_quiet_zone() {
        let mut page = Page::new(SheetSize::A4, Turn::Portrait);
        assert!(paint(&mut page, Area::new(10.0, 20.0, 29.0, 29.0), "0412"));
        let [Mark::Tiles { tiles, .. }] = page.marks.as_slice() else { panic!("one mark of tiles") };
        let code = QrCode::with_error_correction_level("0412", EcLevel::M).unwrap();
        let n = code.width();
        let module = 29.0 / (n + 8) as f32;
        let dark = code.to_colors().iter().filter(|c| **c == Color::Dark).count();
        let painted: f32 = tiles.iter().map(|t| t[2] / module).sum();
        assert_eq!(painted.round() as usize, dark);
        for [x, y, w, h] in tiles {
            assert!(*x >= 10.0 + 4.0 * module - 0.001 && x + w <= 39.0 - 4.0 * module + 0.001);
            assert!(*y >= 20.0 + 4.0 * module - 0.001 && y + h <= 49.0 - 4.0 * module + 0.1);
        }
        // The finder's top row: seven dark modules in the corner.
        assert!((tiles[0][2] / module - 7.0).abs() < 0.001);
    }

    #[test]
    fn too_long_words_give_no_code() {
        let mut page = Page::new(SheetSize::A4, Turn::Portrait);
        assert!(!paint(&mut page, Area::new(0.0, 0.0, 20.0, 20.0), &"x".repeat(5000)));
        assert!(page.marks.is_empty());
    }
}

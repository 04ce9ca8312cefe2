//! QR codes as dark tiles.

use qrcode::{Color, EcLevel, QrCode};

use super::sheet::{Ink, Mark, Page};

/// Light modules to be left free on every side (ISO/IEC 18004 asks for four; from memory).
const QUIET: f32 = 4.0;

/// A code ready to be painted.
#[derive(Debug, Clone)]
pub struct Code {
    /// Modules on a side.
    side: usize,
    /// Runs of dark modules: column, row, length.
    runs: Vec<(usize, usize, usize)>,
}

impl Code {
    /// The code of `words`, with error correction M, which outlives some mud. Words too long for any code (over
    /// 2,000 bytes) or empty give none.
    pub fn of(words: &str) -> Option<Self> {
        if words.is_empty() {
            return None;
        }
        let code = QrCode::with_error_correction_level(words, EcLevel::M).ok()?;
        let side = code.width();
        let colours = code.to_colors();
        let mut runs = Vec::new();
        for (y, row) in colours.chunks(side).enumerate() {
            let mut x = 0;
            while x < side {
                let run = row[x..].iter().take_while(|c| **c == Color::Dark).count();
                if run > 0 {
                    runs.push((x, y, run));
                }
                x += run.max(1);
            }
        }
        Some(Code { side, runs })
    }

    /// The width of the light border that must stay free around a code of `side_mm`.
    pub fn quiet_mm(&self, side_mm: f32) -> f32 {
        side_mm / self.side as f32 * QUIET
    }

    /// Paints the dark modules into a square; the caller leaves [`Code::quiet_mm`] free on every side.
    pub fn paint(&self, page: &mut Page, x_mm: f32, y_mm: f32, side_mm: f32) {
        let module = side_mm / self.side as f32;
        let tile = |(x, y, run): &(usize, usize, usize)| {
            // A shade taller than a module, so that no light seam shows between the rows.
            let tall = if *y + 1 == self.side { module } else { module * 1.03 };
            [x_mm + *x as f32 * module, y_mm + *y as f32 * module, *run as f32 * module, tall]
        };
        page.marks.push(Mark::Tiles { tiles: self.runs.iter().map(tile).collect(), ink: Ink::Black });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::papers::sheet::{SheetSize, Turn};

    #[test]
    fn tiles_are_the_dark_modules() {
        let mut page = Page::new(SheetSize::A4, Turn::Portrait);
        let ours = Code::of("0412").unwrap();
        ours.paint(&mut page, 10.0, 20.0, 21.0);
        let [Mark::Tiles { tiles, .. }] = page.marks.as_slice() else { panic!("one mark of tiles") };
        let code = QrCode::with_error_correction_level("0412", EcLevel::M).unwrap();
        assert_eq!(code.width(), 21, "version 1");
        let dark = code.to_colors().iter().filter(|c| **c == Color::Dark).count();
        assert_eq!(tiles.iter().map(|t| t[2]).sum::<f32>().round() as usize, dark);
        for [x, y, w, h] in tiles {
            assert!(*x >= 9.999 && x + w <= 31.001 && *y >= 19.999 && y + h <= 41.001);
        }
        // The finder's top row: seven dark modules in the corner.
        assert_eq!(tiles[0], [10.0, 20.0, 7.0, 1.03]);
        assert_eq!(ours.quiet_mm(21.0), 4.0);
    }

    #[test]
    fn no_words_and_too_long_words_give_no_code() {
        assert!(Code::of("").is_none());
        assert!(Code::of(&"x".repeat(5000)).is_none());
    }
}

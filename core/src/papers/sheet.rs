//! The page model: what a paper is before it is ink or pixels.
//!
//! A paper is laid out once into marks at fixed places. The PDF writer and the preview in the window both paint
//! these marks, so what is seen is what prints. Places are millimetres from the top left corner of the page, the
//! y axis points down; type sizes are points (1/72 inch).

use crate::phrase;
use std::collections::BTreeSet;
use std::str::FromStr;

use super::text;
use crate::terms::Day;

/// Millimetres in one point (1/72 inch).
pub const MM_PER_PT: f32 = 25.4 / 72.0;

/// The sheets of paper a home printer takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum SheetSize {
    /// 210 × 297 mm.
    #[default]
    A4,
    /// 8.5 × 11 inches, 215.9 × 279.4 mm.
    Letter,
}

impl SheetSize {
    /// Both sheets, in the order they are offered.
    pub const ALL: [SheetSize; 2] = [SheetSize::A4, SheetSize::Letter];

    /// The word for it on screen and on the command line.
    pub fn word(self) -> &'static str {
        match self {
            SheetSize::A4 => "A4",
            SheetSize::Letter => "Letter",
        }
    }

    /// Width and height in millimetres.
    pub fn size_mm(self, turn: Turn) -> (f32, f32) {
        let (short, long) = match self {
            SheetSize::A4 => (210.0, 297.0),
            SheetSize::Letter => (215.9, 279.4),
        };
        match turn {
            Turn::Portrait => (short, long),
            Turn::Landscape => (long, short),
        }
    }
}

impl FromStr for SheetSize {
    type Err = String;

    /// Reads `a4` or `letter`, in any case.
    fn from_str(word: &str) -> Result<Self, String> {
        match word.trim().to_ascii_lowercase().as_str() {
            "a4" => Ok(SheetSize::A4),
            "letter" => Ok(SheetSize::Letter),
            _ => Err(phrase!("'{}' is not a sheet this program prints; write a4 or letter", word.trim())),
        }
    }
}

/// Which way up the sheet lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Turn {
    /// Taller than wide.
    Portrait,
    /// Wider than tall.
    Landscape,
}

/// The five faces the papers use; all of them are embedded.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Face {
    /// Running text, facts and figures.
    Sans,
    /// Tags and what must be found first.
    SansStrong,
    /// Remarks on a record: struck out, amended, cautions.
    SansItalic,
    /// Names.
    Serif,
    /// Titles.
    SerifStrong,
}

impl Face {
    /// All faces.
    pub const ALL: [Face; 5] =
        [Face::Sans, Face::SansStrong, Face::SansItalic, Face::Serif, Face::SerifStrong];
}

/// The few tones used. All but one are greys, and the one colour is dark enough to print well as grey.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Ink {
    /// Main text.
    Black,
    /// Labels and remarks; still 7 : 1 on white.
    Grey,
    /// Rules, boxes to tick, lines to write on.
    Rule,
    /// Hairlines between rows, cut lines.
    Pale,
    /// Ground behind headings and every other row.
    Wash,
    /// The paper itself: text on a dark ground.
    White,
    /// The one accent.
    Accent,
}

impl Ink {
    /// Red, green and blue, 0 to 255.
    pub fn rgb(self) -> [u8; 3] {
        match self {
            Ink::Black => [0x1a, 0x18, 0x15],
            Ink::Grey => [0x56, 0x52, 0x4b],
            Ink::Rule => [0x7d, 0x78, 0x70],
            Ink::Pale => [0xc4, 0xbf, 0xb6],
            Ink::Wash => [0xf2, 0xef, 0xe9],
            Ink::White => [0xff, 0xff, 0xff],
            Ink::Accent => [0x1f, 0x4f, 0x46],
        }
    }
}

/// One thing painted on a page.
#[derive(Debug, Clone, PartialEq)]
pub enum Mark {
    /// A run of text on one baseline, starting at `x_mm`.
    Text {
        /// Left end.
        x_mm: f32,
        /// The baseline.
        baseline_mm: f32,
        /// Type size in points.
        size_pt: f32,
        /// The face; every character of `text` is in it.
        face: Face,
        /// The tone.
        ink: Ink,
        /// The words, never with line breaks.
        text: String,
    },
    /// A straight line.
    Line {
        /// One end, x and y in millimetres.
        from: (f32, f32),
        /// The other end.
        to: (f32, f32),
        /// Thickness in millimetres.
        width_mm: f32,
        /// Dash and gap in millimetres; `None` is a full line.
        dash: Option<(f32, f32)>,
        /// The tone.
        ink: Ink,
    },
    /// A rectangle, perhaps with round corners.
    Box {
        /// Left edge.
        x_mm: f32,
        /// Top edge.
        y_mm: f32,
        /// Width.
        w_mm: f32,
        /// Height.
        h_mm: f32,
        /// Radius of the corners, 0 for square ones.
        radius_mm: f32,
        /// The tone inside, if any.
        fill: Option<Ink>,
        /// The outline's tone and thickness in millimetres, if any. It lies half inside, half outside the edge.
        stroke: Option<(Ink, f32)>,
    },
    /// Many filled rectangles of one tone, painted as one shape (the dark modules of a QR code).
    Tiles {
        /// Each as x, y, width, height in millimetres.
        tiles: Vec<[f32; 4]>,
        /// The tone.
        ink: Ink,
    },
}

/// One side of one sheet.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Page {
    /// Width in millimetres.
    pub width_mm: f32,
    /// Height in millimetres.
    pub height_mm: f32,
    /// What is painted, in painting order.
    pub marks: Vec<Mark>,
    /// Characters that came out as □ because none of the embedded faces has them.
    pub not_printable: BTreeSet<char>,
    /// A part of the paper begins here: its name in the PDF's list of contents.
    pub bookmark: Option<String>,
}

/// A laid-out paper.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Paper {
    /// The title: the PDF's title and the preview's heading.
    pub title: String,
    /// Flock or keeper, written as the PDF's author.
    pub author: String,
    /// The day of printing, written into the PDF as its date; 1 January 1970 if none.
    pub printed: Option<Day>,
    /// The pages in order.
    pub pages: Vec<Page>,
}

impl Paper {
    /// Characters of the records that none of the embedded faces has; each was painted as □. The window says so
    /// beside the preview.
    pub fn not_printable(&self) -> BTreeSet<char> {
        self.pages.iter().flat_map(|page| page.not_printable.iter().copied()).collect()
    }

    /// Every run of text on every page, in painting order (for tests and for finding words).
    pub fn words(&self) -> impl Iterator<Item = &str> {
        self.pages.iter().flat_map(Page::words)
    }
}

impl Page {
    /// An empty page.
    pub fn new(sheet: SheetSize, turn: Turn) -> Self {
        let (width_mm, height_mm) = sheet.size_mm(turn);
        Page { width_mm, height_mm, ..Page::default() }
    }

    /// Every run of text on this page, in painting order.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        self.marks.iter().filter_map(|mark| match mark {
            Mark::Text { text, .. } => Some(text.as_str()),
            _ => None,
        })
    }

    /// Paints `words` from `x_mm`; returns where they end. Characters a face lacks are taken from another face, and
    /// those that none has become □ (see [`text::pieces`]).
    pub fn text(&mut self, x_mm: f32, baseline_mm: f32, look: Look, words: &str) -> f32 {
        let mut x = x_mm;
        self.not_printable.extend(words.chars().filter(|c| !text::printable(*c)));
        for (face, piece) in text::pieces(look.face, words) {
            let wide = text::width_mm(face, look.size_pt, &piece);
            self.marks.push(Mark::Text {
                x_mm: x,
                baseline_mm,
                size_pt: look.size_pt,
                face,
                ink: look.ink,
                text: piece,
            });
            x += wide;
        }
        x
    }

    /// Paints `words` so that they end at `right_mm`.
    pub fn text_right(&mut self, right_mm: f32, baseline_mm: f32, look: Look, words: &str) {
        self.text(right_mm - look.width_mm(words), baseline_mm, look, words);
    }

    /// Paints `words` around `middle_mm`.
    pub fn text_middle(&mut self, middle_mm: f32, baseline_mm: f32, look: Look, words: &str) {
        self.text(middle_mm - look.width_mm(words) / 2.0, baseline_mm, look, words);
    }

    /// A level line.
    pub fn rule(&mut self, x_mm: f32, y_mm: f32, length_mm: f32, width_mm: f32, ink: Ink) {
        self.line((x_mm, y_mm), (x_mm + length_mm, y_mm), width_mm, ink);
    }

    /// A full line.
    pub fn line(&mut self, from: (f32, f32), to: (f32, f32), width_mm: f32, ink: Ink) {
        self.marks.push(Mark::Line { from, to, width_mm, dash: None, ink });
    }

    /// A filled rectangle with round corners.
    pub fn fill(&mut self, at: Area, radius_mm: f32, ink: Ink) {
        self.shape(at, radius_mm, Some(ink), None);
    }

    /// An outlined rectangle with round corners.
    pub fn outline(&mut self, at: Area, radius_mm: f32, ink: Ink, width_mm: f32) {
        self.shape(at, radius_mm, None, Some((ink, width_mm)));
    }

    fn shape(&mut self, at: Area, radius_mm: f32, fill: Option<Ink>, stroke: Option<(Ink, f32)>) {
        let Area { x, y, w, h } = at;
        self.marks.push(Mark::Box { x_mm: x, y_mm: y, w_mm: w, h_mm: h, radius_mm, fill, stroke });
    }
}

/// A part of a page, in millimetres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Area {
    /// Left edge.
    pub x: f32,
    /// Top edge.
    pub y: f32,
    /// Width.
    pub w: f32,
    /// Height.
    pub h: f32,
}

impl Area {
    /// From left, top, width and height.
    pub fn new(x: f32, y: f32, w: f32, h: f32) -> Self {
        Area { x, y, w, h }
    }

    /// The right edge.
    pub fn right(self) -> f32 {
        self.x + self.w
    }

    /// The bottom edge.
    pub fn bottom(self) -> f32 {
        self.y + self.h
    }

    /// The part left when each side gives up so much: left, top, right, bottom.
    pub fn inside(self, left: f32, top: f32, right: f32, bottom: f32) -> Self {
        Area::new(self.x + left, self.y + top, self.w - left - right, self.h - top - bottom)
    }
}

/// How a run of text looks.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// The face.
    pub face: Face,
    /// Type size in points.
    pub size_pt: f32,
    /// The tone.
    pub ink: Ink,
}

impl Look {
    /// A look in black.
    pub const fn new(face: Face, size_pt: f32) -> Self {
        Look { face, size_pt, ink: Ink::Black }
    }

    /// The same in another tone.
    pub const fn ink(self, ink: Ink) -> Self {
        Look { ink, ..self }
    }

    /// The same in another size.
    pub const fn size(self, size_pt: f32) -> Self {
        Look { size_pt, ..self }
    }

    /// Width of `words` in millimetres.
    pub fn width_mm(self, words: &str) -> f32 {
        text::width_mm(self.face, self.size_pt, words)
    }

    /// Distance of baselines in millimetres when lines are set comfortably.
    pub fn leading_mm(self) -> f32 {
        self.size_pt * 1.22 * MM_PER_PT
    }

    /// Height of capitals in millimetres.
    pub fn cap_mm(self) -> f32 {
        text::cap_height_mm(self.face, self.size_pt)
    }

    /// `words` in lines no wider than `width_mm`.
    pub fn wrap(self, words: &str, width_mm: f32) -> Vec<String> {
        text::wrap(self.face, self.size_pt, words, width_mm)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sheets_are_read_by_name() {
        assert_eq!("a4".parse(), Ok(SheetSize::A4));
        assert_eq!(" Letter ".parse(), Ok(SheetSize::Letter));
        let refused = "a5".parse::<SheetSize>().unwrap_err();
        assert!(refused.contains("'a5'") && refused.contains("letter"), "{refused}");
    }

    /// Source: WCAG 2.2, relative luminance and contrast ratio, https://www.w3.org/TR/WCAG22/ (formula from memory).
    #[test]
    fn text_inks_stand_out_from_paper() {
        let light = |ink: Ink| -> f64 {
            let part = |v: u8| {
                let s = f64::from(v) / 255.0;
                if s <= 0.04045 { s / 12.92 } else { ((s + 0.055) / 1.055).powf(2.4) }
            };
            let [r, g, b] = ink.rgb();
            0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b)
        };
        let ratio = |a: Ink, b: Ink| (light(a).max(light(b)) + 0.05) / (light(a).min(light(b)) + 0.05);
        for ink in [Ink::Black, Ink::Grey, Ink::Accent] {
            assert!(ratio(ink, Ink::White) > 7.0, "{ink:?} on white");
            assert!(ratio(ink, Ink::Wash) > 4.5, "{ink:?} on wash");
        }
        assert!(ratio(Ink::Rule, Ink::White) > 3.0);
    }
}

//! Measuring and breaking text with the embedded faces.
//!
//! Invariant: nothing is ever lost. A word too long for its line is broken, a character a face lacks is taken from
//! another face, and one that no face has is shown as □.

use std::borrow::Cow;
use std::sync::LazyLock;

use printpdf::ParsedFont;

use super::sheet::{Face, MM_PER_PT};

/// A blank at which no line is broken. It is painted as a plain one, so that the words are found in the PDF.
pub const NO_BREAK: char = '\u{a0}';

/// `words` with blanks that do not break, so that a figure keeps its unit and a day its month.
pub fn unbroken(words: &str) -> String {
    words.replace(' ', "\u{a0}")
}

/// What stands for a character no face has.
pub const UNKNOWN: char = '□';

/// The embedded font file of a face (TrueType). The preview in the window must use the same.
pub fn font_bytes(face: Face) -> &'static [u8] {
    macro_rules! font {
        ($file:literal) => {
            include_bytes!(concat!(env!("CARGO_MANIFEST_DIR"), "/../resources/fonts/", $file))
        };
    }
    match face {
        Face::Sans => font!("HirselSans-Regular.ttf"),
        Face::SansStrong => font!("HirselSans-SemiBold.ttf"),
        Face::SansItalic => font!("HirselSans-Italic.ttf"),
        Face::Serif => font!("HirselSerif-Regular.ttf"),
        Face::SerifStrong => font!("HirselSerif-SemiBold.ttf"),
    }
}

/// The parsed face, shared by measuring and by the PDF writer. `None` only if the file is not a font, which a test
/// rules out.
pub(super) fn parsed(face: Face) -> Option<&'static ParsedFont> {
    static FACES: LazyLock<[Option<ParsedFont>; 5]> =
        LazyLock::new(|| Face::ALL.map(|face| ParsedFont::from_bytes(font_bytes(face), 0, &mut Vec::new())));
    FACES[face as usize].as_ref()
}

/// How one character is painted: in which face, as what, how wide (in thousandths of the type size).
#[derive(Clone, Copy)]
struct Glyph {
    face: Face,
    shown: char,
    wide: u16,
}

/// Characters below this are looked up once and kept; the few above are looked up each time.
const KEPT: u32 = 0x2800;

struct Metrics {
    glyphs: Vec<Glyph>,
    cap: f32,
    x: f32,
}

static METRICS: LazyLock<[Metrics; 5]> = LazyLock::new(|| {
    Face::ALL.map(|face| Metrics {
        glyphs: (0..KEPT).map(|code| look_up(face, char::from_u32(code).unwrap_or(UNKNOWN))).collect(),
        cap: os2_height(face, 88).unwrap_or(0.66),
        x: os2_height(face, 86).unwrap_or(0.48),
    })
});

/// A height in the font's OS/2 table, as a share of the type size. Version 2 and later hold x-height at byte 86 and
/// cap height at byte 88 (OpenType specification, 'OS/2' table; from memory).
fn os2_height(face: Face, at: usize) -> Option<f32> {
    let bytes = font_bytes(face);
    let word = |i: usize| bytes.get(i..i + 2).map(|b| u16::from_be_bytes([b[0], b[1]]));
    let tables = usize::from(word(4)?);
    let entry = (0..tables).map(|i| 12 + 16 * i).find(|i| bytes.get(*i..i + 4) == Some(b"OS/2"))?;
    let start = bytes.get(entry + 8..entry + 12).map(|b| u32::from_be_bytes([b[0], b[1], b[2], b[3]]))?;
    let height = word(start as usize + at)?;
    (height > 0).then(|| f32::from(height) / f32::from(parsed(face).map_or(1000, |f| f.units_per_em)))
}

fn own_width(face: Face, c: char) -> Option<u16> {
    let font = parsed(face)?;
    let glyph = font.lookup_glyph_index(u32::from(c)).filter(|g| *g != 0)?;
    let units = u32::from(font.get_glyph_width(glyph).unwrap_or(0));
    // Rounded down, as the PDF's own width table is.
    u16::try_from(units * 1000 / u32::from(font.units_per_em.max(1))).ok()
}

fn look_up(face: Face, c: char) -> Glyph {
    let shown = if c.is_control() || c == NO_BREAK { ' ' } else { c };
    [face, Face::Sans, Face::SansStrong, Face::Serif]
        .into_iter()
        .find_map(|f| own_width(f, shown).map(|wide| Glyph { face: f, shown, wide }))
        .or_else(|| {
            own_width(Face::Sans, UNKNOWN).map(|wide| Glyph { face: Face::Sans, shown: UNKNOWN, wide })
        })
        .unwrap_or(Glyph { face, shown: '?', wide: 500 })
}

fn glyph(face: Face, c: char) -> Glyph {
    METRICS[face as usize].glyphs.get(c as usize).copied().unwrap_or_else(|| look_up(face, c))
}

/// How far one character of a face carries the pen, in thousandths of the type size.
pub(super) fn advance(face: Face, c: char) -> u16 {
    glyph(face, c).wide
}

/// Whether some embedded face has the character.
pub fn printable(c: char) -> bool {
    let glyph = glyph(Face::Sans, c);
    c.is_control() || c == NO_BREAK || glyph.shown == c
}

/// The text as runs of one face each; characters `face` lacks come from another, line breaks and other controls
/// become spaces, and what no face has becomes □.
pub fn pieces(face: Face, words: &str) -> Vec<(Face, String)> {
    let mut runs: Vec<(Face, String)> = Vec::with_capacity(1);
    for c in words.chars() {
        let Glyph { face, shown, .. } = glyph(face, c);
        match runs.last_mut() {
            Some((last, run)) if *last == face => run.push(shown),
            _ => {
                let mut run = String::with_capacity(words.len());
                run.push(shown);
                runs.push((face, run));
            }
        }
    }
    runs
}

/// Width in millimetres of one line of text. No kerning, as in the PDF.
pub fn width_mm(face: Face, size_pt: f32, words: &str) -> f32 {
    mm(size_pt, words.chars().map(|c| u32::from(glyph(face, c).wide)).sum())
}

fn mm(size_pt: f32, thousandths: u32) -> f32 {
    thousandths as f32 / 1000.0 * size_pt * MM_PER_PT
}

/// Height of capitals and figures in millimetres.
pub fn cap_height_mm(face: Face, size_pt: f32) -> f32 {
    METRICS[face as usize].cap * size_pt * MM_PER_PT
}

/// Height of a small x in millimetres (a line through words goes at half of it).
pub fn x_height_mm(face: Face, size_pt: f32) -> f32 {
    METRICS[face as usize].x * size_pt * MM_PER_PT
}

/// The type size in points at which capitals are `cap_mm` high.
pub fn size_for_cap(face: Face, cap_mm: f32) -> f32 {
    cap_mm / (METRICS[face as usize].cap * MM_PER_PT)
}

/// The largest size in points at which `words` fit into a box of that width and capital height, at most `most_pt`.
pub fn fit_size(face: Face, words: &str, width_mm_: f32, cap_mm: f32, most_pt: f32) -> f32 {
    let at_one = width_mm(face, 1.0, words);
    let by_width = if at_one > 0.0 { width_mm_ / at_one } else { most_pt };
    by_width.min(size_for_cap(face, cap_mm)).min(most_pt).max(0.0)
}

/// Breaks text into lines no wider than `width`: at line breaks, at spaces, in an over-long word after a hyphen, stroke
/// or comma, and at last anywhere. Runs of spaces count as one; empty text gives no line, and a line holds at least
/// one character however narrow it is.
pub fn wrap(face: Face, size_pt: f32, words: &str, width: f32) -> Vec<String> {
    let most = (f64::from(width / (size_pt * MM_PER_PT)) * 1000.0 + 0.01).max(0.0) as u32;
    let mut lines = Vec::new();
    for paragraph in words.split(['\n', '\r']) {
        wrap_paragraph(face, paragraph, most, &mut lines);
    }
    lines
}

fn units(face: Face, words: &str) -> u32 {
    words.chars().map(|c| u32::from(glyph(face, c).wide)).sum()
}

fn wrap_paragraph(face: Face, paragraph: &str, most: u32, lines: &mut Vec<String>) {
    let space = units(face, " ");
    let mut line = String::new();
    let mut used = 0;
    // Only plain blanks part words: a no-break space holds '12 ml' together.
    for word in paragraph.split([' ', '\t']).filter(|word| !word.is_empty()) {
        let wide = units(face, word);
        if !line.is_empty() && used + space + wide <= most {
            line.push(' ');
            line.push_str(word);
            used += space + wide;
            continue;
        }
        if !line.is_empty() {
            lines.push(std::mem::take(&mut line));
        }
        if wide <= most {
            line.push_str(word);
            used = wide;
        } else {
            let mut parts = broken(face, word, most);
            let rest = parts.pop().unwrap_or_default();
            lines.extend(parts);
            used = units(face, &rest);
            line = rest;
        }
    }
    if !line.is_empty() {
        lines.push(line);
    }
}

/// An over-long word in parts that fit.
fn broken(face: Face, word: &str, most: u32) -> Vec<String> {
    let mut parts = Vec::new();
    let mut part = String::new();
    let mut used = 0;
    for c in word.chars() {
        let wide = u32::from(glyph(face, c).wide);
        // The rest after a cut may still be too long for the line with this character on it.
        while !part.is_empty() && used + wide > most {
            // Prefer a break the eye expects, unless that leaves less than a third of the line.
            let cut =
                part.rfind(['-', '/', ',', ';', '_', '.']).map(|i| i + 1).filter(|i| *i * 3 >= part.len());
            let rest = cut.map(|i| part.split_off(i)).unwrap_or_default();
            used = units(face, &rest);
            parts.push(std::mem::replace(&mut part, rest));
        }
        part.push(c);
        used += wide;
    }
    parts.push(part);
    parts
}

/// Words joined, the empty ones left out.
pub fn joined<'a>(parts: impl IntoIterator<Item = &'a str>, between: &str) -> Cow<'a, str> {
    let mut all = parts.into_iter().filter(|part| !part.trim().is_empty());
    let Some(first) = all.next() else { return Cow::Borrowed("") };
    let mut out = Cow::Borrowed(first);
    for part in all {
        let text = out.to_mut();
        text.push_str(between);
        text.push_str(part);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn every_face_is_a_font_with_figures_of_one_width() {
        for face in Face::ALL {
            assert!(parsed(face).is_some(), "{face:?}");
            let wide: Vec<f32> = ('0'..='9').map(|c| width_mm(face, 10.0, &c.to_string())).collect();
            assert!(wide.iter().all(|w| (w - wide[0]).abs() < 1e-4 && *w > 0.0), "{face:?} {wide:?}");
            let cap = cap_height_mm(face, 10.0) / (10.0 * MM_PER_PT);
            assert!((0.6..0.75).contains(&cap), "{face:?} {cap}");
        }
    }

    #[test]
    fn accents_and_signs_are_printable() {
        for c in "éŠŁÅŷŵøßþğőčı—–’½µ×·→✓♀♂□\u{a0}".chars() {
            assert!(printable(c), "{c} U+{:04X}", c as u32);
        }
        assert!(!printable('羊'));
        assert_eq!(pieces(Face::Serif, "羊 7"), [(Face::Sans, "□".into()), (Face::Serif, " 7".into())]);
    }

    #[test]
    fn words_break_where_the_eye_expects() {
        let wide = width_mm(Face::Sans, 9.0, "long-acting-");
        assert_eq!(wrap(Face::Sans, 9.0, "long-acting-oxytetracycline", wide)[0], "long-acting-");
        assert_eq!(wrap(Face::Sans, 9.0, "two\nlines", 100.0), ["two", "lines"]);
        assert!(wrap(Face::Sans, 9.0, "  ", 100.0).is_empty());
        assert_eq!(wrap(Face::Sans, 9.0, "ab", 0.0), ["a", "b"]);
    }

    #[test]
    fn fitted_text_fits() {
        for tag in ["7", "0412", "UK0123456 00412"] {
            let size = fit_size(Face::SansStrong, tag, 60.0, 13.0, 400.0);
            assert!(width_mm(Face::SansStrong, size, tag) <= 60.01, "{tag}");
            assert!(cap_height_mm(Face::SansStrong, size) <= 13.01, "{tag}");
        }
        let size = fit_size(Face::SansStrong, "0412", 60.0, 13.0, 400.0);
        assert!((cap_height_mm(Face::SansStrong, size) - 13.0).abs() < 0.01);
    }

    proptest! {
        #[test]
        fn wrapping_keeps_every_character_and_the_width(
            words in "[ \\na-zA-ZéŁ0-9,/-]{0,120}|\\PC{0,40}", width in 5.0f32..80.0,
        ) {
            let lines = wrap(Face::Sans, 9.0, &words, width);
            let kept = |text: &str| text.chars().filter(|c| !" \t\n\r".contains(*c)).collect::<String>();
            prop_assert_eq!(kept(&lines.concat()), kept(&words));
            for line in &lines {
                let fits = width_mm(Face::Sans, 9.0, line) <= width + 0.01;
                prop_assert!(fits || line.chars().count() == 1, "{:?}", line);
            }
        }
    }
}

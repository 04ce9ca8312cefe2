//! A drawing as SVG 1.1 text (W3C Recommendation, second edition, 2011: paths, `use`, `clipPath`; from memory).
//!
//! Each character is defined once and used at its places. No style sheet, no script, no face, no file beside it.

use super::PictureFailed;
use super::drawing::{Colour, Drawing, Item, Pen, Shape, Step, Words};
use super::outline::{self, EM};
use crate::papers::sheet::Face;
use crate::papers::text;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Writes a drawing: the same drawing gives the same text on every run and machine.
///
/// # Errors
/// [`PictureFailed::NoSize`] where it has no width or height.
pub fn svg(drawing: &Drawing) -> Result<String, PictureFailed> {
    let (w, h) = drawing.size;
    if ![w, h].iter().all(|v| v.is_finite() && *v > 0.0) {
        return Err(PictureFailed::NoSize(drawing.title.clone()));
    }
    let mut writer = Writer::default();
    writer.items(&drawing.items);
    let unit = drawing.unit.word();
    let mut out = String::with_capacity(writer.body.len() + writer.defined.len() + 1024);
    out.push_str("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n");
    let (width, height) = (number(w), number(h));
    // Writing to a string cannot fail.
    let _ = writeln!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" xmlns:xlink=\"http://www.w3.org/1999/xlink\" version=\"1.1\" \
         width=\"{width}{unit}\" height=\"{height}{unit}\" viewBox=\"0 0 {width} {height}\" role=\"img\">"
    );
    let _ = writeln!(out, "<title>{}</title>", escaped(&drawing.title));
    if !drawing.said.is_empty() {
        let _ = writeln!(out, "<desc>{}</desc>", escaped(&drawing.said));
    }
    if !writer.defined.is_empty() {
        let _ = writeln!(out, "<defs>\n{}</defs>", writer.defined);
    }
    if !drawing.ground.is_clear() {
        let _ = writeln!(
            out,
            "<rect width=\"{width}\" height=\"{height}\"{}/>",
            inked("fill", Some(drawing.ground))
        );
    }
    out.push_str(&writer.body);
    out.push_str("</svg>\n");
    Ok(out)
}

#[derive(Default)]
struct Writer {
    body: String,
    defined: String,
    /// Number of each character's outline; none where it leaves no mark.
    glyphs: BTreeMap<(Face, char), Option<usize>>,
    outlines: usize,
    clips: usize,
}

impl Writer {
    fn items(&mut self, items: &[Item]) {
        for item in items {
            match item {
                Item::Shape(shape) => self.shape(shape),
                Item::Words(words) => self.words(words),
                Item::Within([x, y, w, h], inner) => {
                    let n = self.clips;
                    self.clips += 1;
                    let [x, y, w, h] = [*x, *y, w.max(0.0), h.max(0.0)].map(number);
                    let _ = writeln!(
                        self.defined,
                        "<clipPath id=\"c{n}\"><rect x=\"{x}\" y=\"{y}\" width=\"{w}\" height=\"{h}\"/></clipPath>"
                    );
                    let _ = writeln!(self.body, "<g clip-path=\"url(#c{n})\">");
                    self.items(inner);
                    self.body.push_str("</g>\n");
                }
            }
        }
    }

    fn shape(&mut self, shape: &Shape) {
        let fill = shape.fill.filter(|c| !c.is_clear());
        let pen = shape.pen.filter(|p| !p.colour.is_clear() && p.width > 0.0);
        if (fill.is_none() && pen.is_none()) || shape.steps.is_empty() {
            return;
        }
        let _ = write!(self.body, "<path d=\"{}\"{}", path(&shape.steps), inked("fill", fill));
        if let Some(Pen { colour, width, dash }) = pen {
            let _ = write!(self.body, "{} stroke-width=\"{}\"", inked("stroke", Some(colour)), number(width));
            if let Some((on, off)) = dash {
                let _ = write!(self.body, " stroke-dasharray=\"{} {}\"", number(on), number(off));
            }
        }
        self.body.push_str("/>\n");
    }

    fn words(&mut self, words: &Words) {
        let Words { at, size, face, colour, text, places } = words;
        if text.trim().is_empty() || colour.is_clear() || !(size.is_finite() && *size > 0.0) {
            return;
        }
        let mut uses = String::new();
        let mut along = 0.0;
        for (i, c) in text.chars().enumerate() {
            let x = places.get(i).map_or(along, |place| place / size * EM);
            along = x + f32::from(text::advance(*face, c));
            if let Some(n) = self.glyph(*face, c) {
                let _ = write!(uses, "<use xlink:href=\"#g{n}\" x=\"{}\"/>", number(x));
            }
        }
        let scale = size / EM;
        let _ = writeln!(
            self.body,
            "<g aria-label=\"{}\" transform=\"translate({} {}) scale({})\"{}>{uses}</g>",
            escaped(text.trim()),
            number(at.0),
            number(at.1),
            fine(scale),
            inked("fill", Some(*colour))
        );
    }

    fn glyph(&mut self, face: Face, c: char) -> Option<usize> {
        if let Some(known) = self.glyphs.get(&(face, c)) {
            return *known;
        }
        let steps = outline::of(face, c);
        let number = (!steps.is_empty()).then(|| {
            let n = self.outlines;
            self.outlines += 1;
            let _ = writeln!(self.defined, "<path id=\"g{n}\" d=\"{}\"/>", path(&steps));
            n
        });
        self.glyphs.insert((face, c), number);
        number
    }
}

/// `fill` or `stroke` of a colour, with how much it covers unless it covers all.
fn inked(what: &str, colour: Option<Colour>) -> String {
    match colour {
        None => format!(" {what}=\"none\""),
        Some(Colour([r, g, b, 0xff])) => format!(" {what}=\"#{r:02x}{g:02x}{b:02x}\""),
        Some(Colour([r, g, b, a])) => {
            let covers = number(f32::from(a) / 255.0);
            format!(" {what}=\"#{r:02x}{g:02x}{b:02x}\" {what}-opacity=\"{covers}\"")
        }
    }
}

fn path(steps: &[Step]) -> String {
    let mut d = String::with_capacity(steps.len() * 12);
    for step in steps {
        let _ = match step {
            Step::Move(x, y) => write!(d, "M{} {}", number(*x), number(*y)),
            Step::Line(x, y) => write!(d, "L{} {}", number(*x), number(*y)),
            Step::Curve(all) => {
                let [a, b, c, e, x, y] = all.map(number);
                write!(d, "C{a} {b} {c} {e} {x} {y}")
            }
            Step::Close => write!(d, "Z"),
        };
    }
    d
}

/// A thousandth is finer than anything seen; what is no number is nought.
fn number(value: f32) -> String {
    short(value, 3)
}

/// The scale of a type size must not be off by a thousandth.
fn fine(value: f32) -> String {
    short(value, 7)
}

fn short(value: f32, digits: usize) -> String {
    if !value.is_finite() {
        return "0".into();
    }
    let text = format!("{value:.digits$}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.to_string() }
}

/// Words between marks of XML. Signs that XML 1.0 (section 2.2, from memory) does not allow become a space.
fn escaped(words: &str) -> String {
    let mut out = String::with_capacity(words.len());
    for c in words.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&apos;"),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => out.push(' '),
            c => out.push(c),
        }
    }
    out
}

//! Outlines of single characters of the embedded faces.

use super::drawing::Step;
use crate::papers::sheet::Face;
use crate::papers::text;
use skrifa::instance::{LocationRef, Size};
use skrifa::outline::{DrawSettings, OutlinePen};
use skrifa::{FontRef, MetadataProvider as _};

/// Height of the square in which outlines are given: places are thousandths of the type size.
pub(super) const EM: f32 = 1000.0;

/// The outline of a character in thousandths of the type size, from its place on the baseline, downwards as pages
/// go. Empty for a blank, and for what the face has not.
pub(super) fn of(face: Face, c: char) -> Vec<Step> {
    let Ok(font) = FontRef::new(text::font_bytes(face)) else { return Vec::new() };
    let Some(glyph) = font.charmap().map(c).and_then(|id| font.outline_glyphs().get(id)) else {
        return Vec::new();
    };
    let mut traced = Traced::default();
    let settings = DrawSettings::unhinted(Size::new(EM), LocationRef::default());
    match glyph.draw(settings, &mut traced) {
        Ok(_) => traced.steps,
        Err(_) => Vec::new(), // the faces are our own files: a test draws every letter of theirs
    }
}

#[derive(Default)]
struct Traced {
    steps: Vec<Step>,
    at: (f32, f32),
}

impl OutlinePen for Traced {
    fn move_to(&mut self, x: f32, y: f32) {
        self.at = (x, y);
        self.steps.push(Step::Move(x, -y));
    }

    fn line_to(&mut self, x: f32, y: f32) {
        self.at = (x, y);
        self.steps.push(Step::Line(x, -y));
    }

    // A quadratic curve is a cubic one whose handles lie two thirds of the way to its own handle.
    fn quad_to(&mut self, cx: f32, cy: f32, x: f32, y: f32) {
        let (px, py) = self.at;
        let part = |from: f32, to: f32| from + (to - from) * 2.0 / 3.0;
        let (a, b) = ((part(px, cx), part(py, cy)), (part(x, cx), part(y, cy)));
        self.curve_to(a.0, a.1, b.0, b.1, x, y);
    }

    fn curve_to(&mut self, ax: f32, ay: f32, bx: f32, by: f32, x: f32, y: f32) {
        self.at = (x, y);
        self.steps.push(Step::Curve([ax, -ay, bx, -by, x, -y]));
    }

    fn close(&mut self) {
        self.steps.push(Step::Close);
    }
}

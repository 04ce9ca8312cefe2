//! The drawing on a page: units become millimetres, tones become inks.

use super::drawing::{Canvas, Side, Tone, Type};
use crate::papers::sheet::{Area, Face, Ink, Look, MM_PER_PT, Mark, Page};

/// Points of a line on the drawing.
type Line<'a> = &'a [(f32, f32)];

/// Millimetres in one unit.
pub(in crate::papers) const UNIT: f32 = 0.26;

/// A page drawn on from a corner of its own.
pub(in crate::papers) struct OnPage<'a> {
    /// The page.
    pub page: &'a mut Page,
    /// Left and top of the drawing in millimetres.
    pub from: (f32, f32),
}

/// Tones that are told apart in grey: the shape tells the kind.
fn ink(tone: Tone) -> Ink {
    match tone {
        Tone::Ink | Tone::Refuse | Tone::Caution => Ink::Black,
        Tone::Faint => Ink::Grey,
        Tone::Edge => Ink::Rule,
        Tone::Rule => Ink::Pale,
        Tone::Wash | Tone::AccentPale => Ink::Wash,
        Tone::CautionPale => Ink::Pale,
        Tone::Ground => Ink::White,
        Tone::Accent | Tone::Good => Ink::Accent,
    }
}

fn look(t: Type) -> Look {
    let face = if t.strong { Face::SansStrong } else { Face::Sans };
    Look::new(face, t.size * UNIT / MM_PER_PT).ink(ink(t.tone))
}

impl OnPage<'_> {
    fn at(&self, (x, y): (f32, f32)) -> (f32, f32) {
        (self.from.0 + x * UNIT, self.from.1 + y * UNIT)
    }
}

impl Canvas for OnPage<'_> {
    fn line(&mut self, from: (f32, f32), to: (f32, f32), width: f32, tone: Tone) {
        let (from, to) = (self.at(from), self.at(to));
        self.page.line(from, to, width * UNIT * 0.8, ink(tone));
    }

    fn shape(
        &mut self,
        [x, y, w, h]: [f32; 4],
        radius: f32,
        fill: Option<Tone>,
        stroke: Option<(Tone, f32)>,
    ) {
        let (left, top) = self.at((x, y));
        let area = Area::new(left, top, w * UNIT, h * UNIT);
        let radius_mm = (radius * UNIT).min(area.w / 2.0).min(area.h / 2.0).max(0.0);
        self.page.marks.push(Mark::Box {
            x_mm: area.x,
            y_mm: area.y,
            w_mm: area.w,
            h_mm: area.h,
            radius_mm,
            fill: fill.map(ink),
            stroke: stroke.map(|(tone, width)| (ink(tone), width * UNIT * 0.8)),
        });
    }

    fn text(&mut self, at: (f32, f32), side: Side, t: Type, words: &str) {
        let look = look(t);
        let (x, y) = self.at(at);
        let baseline = y + look.cap_mm() / 2.0;
        match side {
            Side::Left => {
                self.page.text(x, baseline, look, words);
            }
            Side::Middle => self.page.text_middle(x, baseline, look, words),
            Side::Right => self.page.text_right(x, baseline, look, words),
        }
    }

    fn width(&self, t: Type, words: &str) -> f32 {
        look(t).width_mm(words) / UNIT
    }

    fn between(&mut self, upper: &[(f32, f32)], lower: &[(f32, f32)], tone: Tone) {
        let strip = |(top, low): (Line<'_>, Line<'_>)| {
            let (high, deep) = ((top[0].1 + top[1].1) / 2.0, (low[0].1 + low[1].1) / 2.0);
            let (x, y) = self.at((top[0].0, high));
            [x, y, (top[1].0 - top[0].0) * UNIT, (deep - high).max(0.0) * UNIT]
        };
        // One shape, so that no seams are seen between the strips.
        let tiles = upper.windows(2).zip(lower.windows(2)).map(strip).collect();
        self.page.marks.push(Mark::Tiles { tiles, ink: ink(tone) });
    }
}

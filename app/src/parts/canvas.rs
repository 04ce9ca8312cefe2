//! The drawing on screen: a unit is a point, tones are tokens of the look.

use crate::look::{Face, Tokens, fonts};
use egui::{
    Align2, Color32, CornerRadius, FontFamily, FontId, Mesh, Painter, Pos2, Rect, Shape, Stroke, StrokeKind,
    Vec2,
};
use hirsel_core::papers::timeline::drawing::{Canvas, Side, Tone, Type};

/// A painter with an origin of its own.
pub struct OnScreen<'a> {
    painter: &'a Painter,
    t: &'static Tokens,
    from: Vec2,
    fonts: [FontFamily; 2],
}

impl<'a> OnScreen<'a> {
    /// Draws on `painter` with the colours `t`, from the corner `from`.
    pub fn new(painter: &'a Painter, t: &'static Tokens, from: Pos2) -> Self {
        let fonts = [Face::Sans, Face::Strong].map(fonts::family);
        Self { painter, t, from: from.to_vec2(), fonts }
    }

    fn colour(&self, tone: Tone) -> Color32 {
        let t = self.t;
        match tone {
            Tone::Ink => t.ink,
            Tone::Faint => t.faint,
            Tone::Edge => t.edge,
            Tone::Rule => t.rule,
            Tone::Wash => t.stripe,
            Tone::Ground => t.ground,
            Tone::Accent => t.accent,
            Tone::AccentPale => t.accent_ground,
            Tone::Caution => t.caution,
            Tone::CautionPale => t.caution_ground,
            Tone::Refuse => t.refuse,
            Tone::Good => t.good,
        }
    }

    fn at(&self, (x, y): (f32, f32)) -> Pos2 {
        Pos2::new(x, y) + self.from
    }

    fn font(&self, look: Type) -> FontId {
        let [sans, strong] = &self.fonts;
        FontId::new(look.size, if look.strong { strong.clone() } else { sans.clone() })
    }
}

impl Canvas for OnScreen<'_> {
    fn line(&mut self, from: (f32, f32), to: (f32, f32), width: f32, tone: Tone) {
        self.painter.line_segment([self.at(from), self.at(to)], Stroke::new(width, self.colour(tone)));
    }

    fn shape(
        &mut self,
        [x, y, w, h]: [f32; 4],
        radius: f32,
        fill: Option<Tone>,
        stroke: Option<(Tone, f32)>,
    ) {
        let rect = Rect::from_min_size(self.at((x, y)), Vec2::new(w, h));
        // A whole disc is a circle: rounded corners are whole points.
        if (w - h).abs() < 0.01 && (radius * 2.0 - w).abs() < 0.01 {
            let fill = fill.map_or(Color32::TRANSPARENT, |f| self.colour(f));
            let line = stroke.map_or(Stroke::NONE, |(tone, width)| Stroke::new(width, self.colour(tone)));
            self.painter.circle(rect.center(), radius, fill, line);
            return;
        }
        let round = CornerRadius::from(radius);
        if let Some(fill) = fill {
            self.painter.rect_filled(rect, round, self.colour(fill));
        }
        if let Some((tone, width)) = stroke {
            let line = Stroke::new(width, self.colour(tone));
            self.painter.rect_stroke(rect, round, line, StrokeKind::Middle);
        }
    }

    fn text(&mut self, at: (f32, f32), side: Side, look: Type, words: &str) {
        let align = match side {
            Side::Left => Align2::LEFT_CENTER,
            Side::Middle => Align2::CENTER_CENTER,
            Side::Right => Align2::RIGHT_CENTER,
        };
        self.painter.text(self.at(at), align, words, self.font(look), self.colour(look.tone));
    }

    fn path(&mut self, places: &[(f32, f32)], width: f32, tone: Tone) {
        let points = places.iter().map(|p| self.at(*p)).collect();
        self.painter.add(Shape::line(points, Stroke::new(width, self.colour(tone))));
    }

    fn between(&mut self, upper: &[(f32, f32)], lower: &[(f32, f32)], tone: Tone) {
        let colour = self.colour(tone);
        let mut mesh = Mesh::default();
        for (high, low) in upper.iter().zip(lower) {
            mesh.colored_vertex(self.at(*high), colour);
            mesh.colored_vertex(self.at(*low), colour);
        }
        // Two triangles between each place and the next.
        let pairs = u32::try_from(upper.len().min(lower.len())).unwrap_or_default();
        for i in 1..pairs {
            let [a, b, c, d] = [2 * i - 2, 2 * i - 1, 2 * i, 2 * i + 1];
            mesh.add_triangle(a, b, c);
            mesh.add_triangle(c, b, d);
        }
        self.painter.add(Shape::mesh(mesh));
    }

    fn width(&self, look: Type, words: &str) -> f32 {
        self.painter.layout_no_wrap(words.to_owned(), self.font(look), Color32::PLACEHOLDER).size().x
    }
}

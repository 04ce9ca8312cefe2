//! A figure year by year: dots with their values, the range it is held against as a band, the mean of the years before
//! as a dashed line.

use crate::look::fonts::family;
use crate::look::{Face, size, space, tokens};
use egui::{
    Color32, FontId, Painter, Pos2, Rect, Response, Role, Sense, Shape, Stroke, Ui, Vec2, WidgetInfo, pos2,
};

/// One year.
#[derive(Debug, Clone, PartialEq)]
pub struct Dot {
    /// The year.
    pub name: String,
    /// The value; none where it cannot be told.
    pub value: Option<f64>,
    /// The value as it is written.
    pub shown: String,
    /// Its base, short: `of 40`.
    pub under: String,
    /// The year that is looked at.
    pub now: bool,
    /// Its base is small: the dot is hollow.
    pub few: bool,
}

/// The chart.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Dots {
    /// What is shown.
    pub title: String,
    /// Below the title: what the base is.
    pub base: String,
    /// The years, oldest first.
    pub dots: Vec<Dot>,
    /// Bounds of the range, either open.
    pub range: Option<(Option<f64>, Option<f64>)>,
    /// The mean of the years before.
    pub mean: Option<f64>,
    /// Values never go below nothing.
    pub from_nothing: bool,
    /// All of it as a sentence.
    pub said: String,
    /// What stands under the chart: the range in words, with its source.
    pub foot: String,
}

const TALL: f32 = 126.0;

impl Dots {
    /// The lowest and the highest value that is drawn.
    fn span(&self) -> (f64, f64) {
        let range = self.range.map(|(a, b)| [a, b]).unwrap_or_default();
        let all: Vec<f64> = self
            .dots
            .iter()
            .filter_map(|d| d.value)
            .chain(self.mean)
            .chain(range.into_iter().flatten())
            .collect();
        let low = all.iter().copied().fold(f64::INFINITY, f64::min);
        let high = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if !low.is_finite() || !high.is_finite() {
            return (0.0, 1.0);
        }
        let room = ((high - low) * 0.18).max(high.abs() * 0.01).max(1e-6);
        let bottom = if self.from_nothing { (low - room).max(0.0) } else { low - room };
        (bottom, high + room)
    }

    /// Draws it, so wide.
    pub fn show(&self, ui: &mut Ui, width: f32) -> Response {
        let t = tokens(ui);
        let font = |face| FontId::new(size::SMALL, family(face));
        let painter = ui.painter().clone();
        let lay = |text: &str, face, ink: Color32, wide: f32| {
            painter.layout(text.to_owned(), font(face), ink, wide)
        };
        let title = lay(&self.title, Face::Strong, t.ink, width);
        let base = lay(&self.base, Face::Sans, t.faint, width);
        let foot = lay(&self.foot, Face::Sans, t.faint, width);
        let head = title.size().y + base.size().y + space::XS;
        let tall = head + TALL + 40.0 + foot.size().y;
        let (rect, response) = ui.allocate_exact_size(Vec2::new(width, tall), Sense::hover());
        response.widget_info(|| WidgetInfo::labeled(Role::Image, true, &self.said));
        if !ui.is_rect_visible(rect) {
            return response;
        }
        let y = rect.top() + title.size().y;
        painter.galley(rect.min, title, t.ink);
        painter.galley(pos2(rect.left(), y), base, t.faint);
        let field = Rect::from_min_size(pos2(rect.left(), rect.top() + head), Vec2::new(width, TALL));
        self.field(&painter, field, t);
        let under = field.bottom() + 2.0;
        let step = width / self.dots.len().max(1) as f32;
        for (i, d) in self.dots.iter().enumerate() {
            let x = field.left() + step * (i as f32 + 0.5);
            let face = if d.now { Face::Strong } else { Face::Sans };
            let name = lay(&d.name, face, t.ink, step.max(40.0));
            let base = lay(&d.under, Face::Sans, t.faint, f32::INFINITY);
            painter.galley(pos2(x - name.size().x / 2.0, under), name.clone(), t.ink);
            if base.size().x <= step - 2.0 {
                painter.galley(pos2(x - base.size().x / 2.0, under + name.size().y), base, t.faint);
            }
        }
        painter.galley(pos2(rect.left(), under + 38.0), foot, t.faint);
        response
    }

    fn field(&self, painter: &Painter, field: Rect, t: &crate::look::Tokens) {
        let (low, high) = self.span();
        let inner = field.shrink2(Vec2::new(0.0, 8.0));
        let at = |v: f64| inner.bottom() - ((v - low) / (high - low)) as f32 * inner.height();
        painter.rect_filled(field, 3.0, t.field);
        if let Some((from, to)) = self.range {
            let top = to.map_or(field.top(), at);
            let bottom = from.map_or(field.bottom(), at);
            let band = Rect::from_min_max(pos2(field.left(), top), pos2(field.right(), bottom));
            painter.rect_filled(band, 0.0, t.good_ground);
            for (bound, y) in [(from, bottom), (to, top)] {
                if bound.is_some() {
                    painter.hline(field.x_range(), y, Stroke::new(1.0, t.good));
                }
            }
        }
        let step = field.width() / self.dots.len().max(1) as f32;
        let x = |i: usize| field.left() + step * (i as f32 + 0.5);
        if let Some(mean) = self.mean {
            let ends = [pos2(field.left() + 4.0, at(mean)), pos2(field.right() - 4.0, at(mean))];
            painter.extend(Shape::dashed_line(&ends, Stroke::new(1.2, t.faint), 5.0, 4.0));
        }
        let points: Vec<(usize, Pos2, &Dot)> = self
            .dots
            .iter()
            .enumerate()
            .filter_map(|(i, d)| Some((i, pos2(x(i), at(d.value?)), d)))
            .collect();
        for pair in points.windows(2) {
            if pair[1].0 == pair[0].0 + 1 {
                painter.line_segment([pair[0].1, pair[1].1], Stroke::new(1.5, t.accent));
            }
        }
        for (i, d) in self.dots.iter().enumerate().filter(|(_, d)| d.value.is_none()) {
            let dash =
                painter.layout_no_wrap("–".into(), FontId::new(size::SMALL, family(Face::Sans)), t.faint);
            let place = pos2(x(i) - dash.size().x / 2.0, field.center().y - dash.size().y / 2.0);
            painter.galley(place, dash, t.faint);
            let _ = d;
        }
        for (_, p, d) in &points {
            let radius = if d.now { 6.0 } else { 4.5 };
            let fill = if d.few { t.field } else { t.accent };
            painter.circle(*p, radius, fill, Stroke::new(2.0, t.accent));
        }
        // Values last, on a ground of their own where a line runs through them.
        for (_, p, d) in &points {
            let face = if d.now { Face::Strong } else { Face::Sans };
            let words =
                painter.layout_no_wrap(d.shown.clone(), FontId::new(size::SMALL, family(face)), t.ink);
            let above = p.y - 9.0 - words.size().y > field.top();
            let top = if above { p.y - 8.0 - words.size().y } else { p.y + 8.0 };
            let half = words.size().x / 2.0;
            let left = (p.x - half)
                .clamp(field.left() + 1.0, (field.right() - 2.0 * half - 1.0).max(field.left() + 1.0));
            let ground = Rect::from_min_size(pos2(left - 2.0, top), words.size() + Vec2::new(4.0, 0.0));
            painter.rect_filled(ground, 2.0, t.field);
            painter.galley(pos2(left, top), words, t.ink);
        }
    }
}

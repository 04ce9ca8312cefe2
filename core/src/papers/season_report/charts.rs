//! A figure season by season as dots, told apart in grey, each value written beside its dot.

use crate::papers::sheet::{Area, Face, Ink, Look, Mark, Page};
use crate::phrase;
use crate::reckon::flock_figures::{What, Years};
use crate::terms::Units;

const VALUE: Look = Look::new(Face::Sans, 7.4);
const NOW: Look = Look::new(Face::SansStrong, 7.8);
const NAME: Look = Look::new(Face::Sans, 7.4);
const TITLE: Look = Look::new(Face::SansStrong, 8.6);
const FAINT: Look = Look::new(Face::Sans, 6.6).ink(Ink::Grey);

/// One season.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Dot {
    name: String,
    value: Option<f64>,
    shown: String,
    of: String,
    few: bool,
}

/// What is drawn.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Chart {
    title: String,
    dots: Vec<Dot>,
    range: Option<(Option<f64>, Option<f64>)>,
    mean: Option<f64>,
}

impl Chart {
    /// A figure of some seasons, the last one reported.
    pub(super) fn of(years: &Years, shown: &[i32], what: What, units: Units, mean_over: i32) -> Self {
        let at = shown.last().copied().unwrap_or_default();
        let now = years.compared(at, what, mean_over);
        let dots = shown.iter().map(|y| {
            let f = years.figure(*y, what);
            Dot {
                name: y.to_string(),
                value: f.value,
                shown: f.shown(units),
                of: f.of.map_or_else(String::new, |n| phrase!("of {n}")),
                few: f.of.is_some_and(|n| n < years.settings.few),
            }
        });
        Self {
            title: what.name().into(),
            dots: dots.collect(),
            range: now.range.map(|r| (r.from, r.to)),
            mean: now.before.map(|b| b.0),
        }
    }

    fn span(&self) -> (f64, f64) {
        let bounds = self.range.map(|(a, b)| [a, b]).unwrap_or_default();
        let all: Vec<f64> = self
            .dots
            .iter()
            .filter_map(|d| d.value)
            .chain(self.mean)
            .chain(bounds.into_iter().flatten())
            .collect();
        let low = all.iter().copied().fold(f64::INFINITY, f64::min);
        let high = all.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if !low.is_finite() || !high.is_finite() {
            return (0.0, 1.0);
        }
        let room = ((high - low) * 0.2).max(high.abs() * 0.01).max(1e-6);
        ((low - room).max(0.0).min(low), high + room)
    }
}

/// Draws a chart.
pub(super) fn dots(page: &mut Page, at: Area, chart: &Chart) {
    page.text(at.x, at.y + 3.0, TITLE, &chart.title);
    let field = at.inside(0.0, 4.6, 0.0, 7.4);
    let (low, high) = chart.span();
    let inner = field.inside(0.0, 3.6, 0.0, 2.0);
    let y_of = |v: f64| inner.bottom() - ((v - low) / (high - low)) as f32 * inner.h;
    if let Some((from, to)) = chart.range {
        let top = to.map_or(field.y, &y_of);
        let bottom = from.map_or(field.bottom(), &y_of);
        page.fill(Area::new(field.x, top, field.w, (bottom - top).max(0.0)), 0.0, Ink::Wash);
        for (bound, y) in [(from, bottom), (to, top)] {
            if bound.is_some() {
                page.rule(field.x, y, field.w, 0.2, Ink::Rule);
            }
        }
    }
    page.rule(field.x, field.bottom(), field.w, 0.25, Ink::Black);
    let step = field.w / chart.dots.len().max(3) as f32;
    let x_of = |i: usize| field.x + step * (i as f32 + 0.5);
    if let Some(mean) = chart.mean {
        let y = y_of(mean);
        page.marks.push(Mark::Line {
            from: (field.x, y),
            to: (field.right(), y),
            width_mm: 0.25,
            dash: Some((1.4, 1.1)),
            ink: Ink::Grey,
        });
    }
    let points: Vec<Option<(f32, f32)>> =
        chart.dots.iter().enumerate().map(|(i, d)| d.value.map(|v| (x_of(i), y_of(v)))).collect();
    for pair in points.windows(2) {
        if let [Some(a), Some(b)] = pair {
            page.line(*a, *b, 0.3, Ink::Accent);
        }
    }
    let last = chart.dots.len().saturating_sub(1);
    for (i, (d, p)) in chart.dots.iter().zip(&points).enumerate() {
        let x = x_of(i);
        page.text_middle(x, field.bottom() + 3.2, if i == last { NOW } else { NAME }, &d.name);
        page.text_middle(x, field.bottom() + 6.2, FAINT, &d.of);
        let Some((x, y)) = p else {
            page.text_middle(x, field.y + field.h / 2.0, VALUE, "–");
            continue;
        };
        let r = if i == last { 1.35 } else { 0.95 };
        page.fill(Area::new(x - r, y - r, 2.0 * r, 2.0 * r), r, Ink::Accent);
        if d.few {
            let s = r - 0.4;
            page.fill(Area::new(x - s, y - s, 2.0 * s, 2.0 * s), s, Ink::White);
        }
    }
    // Values last, on the paper's own ground where a line would run through them.
    for (i, (d, p)) in chart.dots.iter().zip(&points).enumerate() {
        let Some((x, y)) = p else { continue };
        let look = if i == last { NOW } else { VALUE };
        let half = look.width_mm(&d.shown) / 2.0;
        let x = x.clamp(field.x + half, (field.right() - half).max(field.x + half));
        let baseline = if y - 4.6 > field.y - 0.6 { y - 2.0 } else { y + 4.4 };
        page.fill(Area::new(x - half - 0.3, baseline - 2.2, 2.0 * half + 0.6, 2.7), 0.0, Ink::White);
        page.text_middle(x, baseline, look, &d.shown);
    }
}

//! Charts: weights against age, drawn alike on screen and on paper by way of a [`Canvas`].

pub mod axes;

use super::timeline::drawing::{Canvas, Side, Tone, Type};
use crate::phrase;
use crate::terms::Day;
use axes::{Axis, FIGURES, Frame, axes};

/// One weight.
#[derive(Debug, Clone, PartialEq)]
pub struct Dot {
    /// Along the foot.
    pub x: f64,
    /// Up the side.
    pub y: f64,
    /// As one sentence.
    pub said: String,
}

/// A line with a band about it: x, lower edge, middle, upper edge, from left to right.
pub type Line = Vec<[f64; 4]>;

/// Everything a chart shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Chart {
    /// The axis along the foot.
    pub along: Axis,
    /// The axis up the side.
    pub up: Axis,
    /// The band of others, behind everything, and its words.
    pub behind: Option<(Line, String)>,
    /// The curve with its band, and its words.
    pub line: Option<(Line, String)>,
    /// From here on the line is looked ahead: thin dashes.
    pub ahead_from: f64,
    /// The weights, from left to right.
    pub dots: Vec<Dot>,
    /// What the dots are: `weights of 0412`.
    pub dots_word: String,
    /// Small dots of many animals.
    pub many: bool,
    /// The foot counts days from this one: places are read as days.
    pub days_from: Option<Day>,
    /// How many lie in the band: `nine of ten`.
    pub band_word: &'static str,
    /// What the foot counts: `days`.
    pub x_unit: String,
    /// What the side counts: `kg`.
    pub y_unit: String,
    /// The whole as one sentence or two, for those who do not see it.
    pub said: String,
}

impl Chart {
    /// Places along the line at which it is read in turn; none: it is read at its dots.
    pub fn stops(&self) -> Option<Vec<f64>> {
        let step = if self.days_from.is_some() { 1 } else { 4 };
        let along = self.many || self.dots.is_empty() || self.days_from.is_some();
        let line = self.line.as_ref().or(self.behind.as_ref()).filter(|_| along);
        line.map(|(l, _)| l.iter().step_by(step).map(|p| p[0]).collect()).or(along.then(Vec::new))
    }

    /// What the chart shows at a place along the foot: the curve, its band, the band of others.
    pub fn read(&self, x: f64) -> String {
        let figure = |v: f64| format!("{v:.1}");
        let mut words = match self.days_from {
            Some(first) => first.plus(x.round() as i64).long(),
            None => phrase!("at {x:.0} {}", self.x_unit),
        };
        let unit = &self.y_unit;
        let many = self.band_word;
        if let Some([low, middle, high]) = self.line.as_ref().and_then(|(line, _)| between(line, x)) {
            words += &phrase!(": {} {unit}, {many} {} to {}", figure(middle), figure(low), figure(high));
        }
        if let Some(([low, _, high], whom)) =
            self.behind.as_ref().and_then(|(line, words)| Some((between(line, x)?, words)))
        {
            let whom = whom.split(" of this flock").next().unwrap_or(whom);
            words += &phrase!("; {whom} {} to {} {unit}", figure(low), figure(high), whom = &whom);
        }
        words
    }
}

/// The heights of a line at a place.
fn between(line: &Line, x: f64) -> Option<[f64; 3]> {
    let after = line.iter().position(|p| p[0] >= x)?;
    let b = line[after];
    let a = if after == 0 { b } else { line[after - 1] };
    if after == 0 && b[0] - x > 1e-9 {
        return None;
    }
    let share = if b[0] > a[0] { (x - a[0]) / (b[0] - a[0]) } else { 0.0 };
    Some([1, 2, 3].map(|i| a[i] + (b[i] - a[i]) * share))
}

/// Draws a chart into left, top, width, height; the dot in hand has a ring. Gives the room inside the axes.
pub fn chart(on: &mut dyn Canvas, at: [f32; 4], chart: &Chart, in_hand: Option<usize>) -> Frame {
    let legend = legend(on, at, chart);
    let [x, y, w, h] = at;
    let frame = axes(on, [x, y + legend, w, h - legend], &chart.along, &chart.up);
    if let Some((line, _)) = &chart.behind {
        band(on, &frame, line, Tone::AccentPale);
        stroke(on, &frame, line, 2, Tone::Edge, 1.2, Some((1.5, 3.5)));
    }
    if let Some((line, _)) = &chart.line {
        for edge in [1, 3] {
            stroke(on, &frame, line, edge, Tone::Accent, 1.0, Some((5.0, 4.0)));
        }
        let (known, ahead): (Vec<_>, Vec<_>) = line.iter().partition(|p| p[0] <= chart.ahead_from);
        stroke(on, &frame, &known, 2, Tone::Accent, 2.4, None);
        let joined: Line = known.last().copied().into_iter().chain(ahead).collect();
        stroke(on, &frame, &joined, 2, Tone::Accent, 1.8, Some((2.0, 4.0)));
    }
    let radius = if chart.many { 2.0 } else { 4.0 };
    for dot in &chart.dots {
        disc(
            on,
            frame.at((dot.x, dot.y)),
            radius,
            Some(if chart.many { Tone::Faint } else { Tone::Ink }),
            None,
        );
    }
    if let Some(dot) = in_hand.and_then(|i| chart.dots.get(i)) {
        let (x, y) = frame.at((dot.x, dot.y));
        on.line((x, frame.top), (x, frame.bottom), 0.8, Tone::Faint);
        disc(on, (x, y), 8.0, None, Some((Tone::Accent, 2.0)));
    }
    frame
}

/// What the signs mean, in a line or two at the top; gives how high it is.
fn legend(on: &mut dyn Canvas, [x, y, w, _]: [f32; 4], chart: &Chart) -> f32 {
    let look = Type::new(FIGURES, Tone::Ink);
    let (mut at, mut row) = (x, y + 8.0);
    let mut sign = |on: &mut dyn Canvas, words: &str, draw: &dyn Fn(&mut dyn Canvas, f32, f32)| {
        let take = 32.0 + on.width(look, words) + 18.0;
        if at > x && at + take > x + w + 18.0 {
            (at, row) = (x, row + 18.0);
        }
        draw(on, at, row);
        on.text((at + 32.0, row), Side::Left, look, words);
        at += take;
    };
    if !chart.dots.is_empty() {
        let many = chart.many;
        sign(on, &chart.dots_word, &|on, x, y| {
            disc(
                on,
                (x + 13.0, y),
                if many { 2.0 } else { 4.0 },
                Some(if many { Tone::Faint } else { Tone::Ink }),
                None,
            );
        });
    }
    if let Some((_, words)) = &chart.line {
        sign(on, words, &|on, x, y| {
            on.line((x, y), (x + 26.0, y), 2.4, Tone::Accent);
            for dy in [-5.0, 5.0] {
                for dx in [0.0, 9.0, 18.0] {
                    on.line((x + dx, y + dy), (x + dx + 5.0, y + dy), 1.0, Tone::Accent);
                }
            }
        });
    }
    if let Some((_, words)) = &chart.behind {
        sign(on, words, &|on, x, y| {
            on.shape([x, y - 6.0, 26.0, 12.0], 0.0, Some(Tone::AccentPale), None);
            for i in 0..5 {
                let x = x + 1.0 + i as f32 * 5.0;
                on.line((x, y), (x + 1.5, y), 1.2, Tone::Edge);
            }
        });
    }
    row - y + 14.0
}

fn disc(on: &mut dyn Canvas, (x, y): (f32, f32), r: f32, fill: Option<Tone>, stroke: Option<(Tone, f32)>) {
    on.shape([x - r, y - r, 2.0 * r, 2.0 * r], r, fill, stroke);
}

/// The part of a line inside the frame, as places; `which` of its heights.
fn places(frame: &Frame, line: &Line, which: usize) -> Vec<(f32, f32)> {
    let inside = line.iter().filter(|p| (frame.x.0..=frame.x.1).contains(&p[0]));
    inside.map(|p| frame.at((p[0], p[which].clamp(frame.y.0, frame.y.1)))).collect()
}

fn band(on: &mut dyn Canvas, frame: &Frame, line: &Line, tone: Tone) {
    on.between(&places(frame, line, 3), &places(frame, line, 1), tone);
}

/// A line through places, whole or in dashes of so long with so much between.
fn stroke(
    on: &mut dyn Canvas,
    frame: &Frame,
    line: &Line,
    which: usize,
    tone: Tone,
    width: f32,
    dash: Option<(f32, f32)>,
) {
    let all = places(frame, line, which);
    let Some((full, gap)) = dash else {
        on.path(&all, width, tone);
        return;
    };
    // How far along the dash or the gap the pen is.
    let mut at = 0.0;
    for pair in all.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let long = (to.0 - from.0).hypot(to.1 - from.1);
        let place = |d: f32| {
            let share = if long > 0.0 { d / long } else { 0.0 };
            (from.0 + (to.0 - from.0) * share, from.1 + (to.1 - from.1) * share)
        };
        let mut done = 0.0;
        while done < long {
            let (inks, left) = if at < full { (true, full - at) } else { (false, full + gap - at) };
            let next = (done + left).min(long);
            if inks {
                on.line(place(done), place(next), width, tone);
            }
            at += next - done;
            if at >= full + gap - 1e-3 {
                at = 0.0;
            }
            // A step too small to see must not hold the pen for ever.
            done = next.max(done + 1e-3);
        }
    }
}

//! Axes: round figures at round distances, labelled, for any chart on a [`Canvas`].

use crate::papers::timeline::drawing::{Canvas, Side, Tone, Type};

/// Height of the figures at an axis.
pub const FIGURES: f32 = 13.0;

/// Round figures from `from` to `to`, about so many: steps of 1, 2 or 5 times a power of ten. None where there is no
/// room between the two.
pub fn round_steps(from: f64, to: f64, about: usize) -> Vec<f64> {
    let room = to - from;
    if !(room.is_finite() && room > 0.0) {
        return Vec::new();
    }
    let rough = room / about.max(1) as f64;
    let power = 10f64.powf(rough.log10().floor());
    let step =
        [1.0, 2.0, 5.0, 10.0].map(|m| m * power).into_iter().find(|s| *s >= rough * 0.999).unwrap_or(rough);
    let first = (from / step - 1e-9).ceil() as i64;
    (first..).map(|n| n as f64 * step).take_while(|v| *v <= to + step * 1e-9).take(200).collect()
}

/// A figure without needless noughts.
pub fn figure(value: f64) -> String {
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    (if text == "-0" { "0" } else { text }).replace('-', "−")
}

/// What stands along one axis.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// Least figure.
    pub from: f64,
    /// Largest figure.
    pub to: f64,
    /// Figures with their words.
    pub ticks: Vec<(f64, String)>,
    /// What is measured, with its unit: `weight, kg`.
    pub name: String,
}

impl Axis {
    /// An axis of plain figures, widened to round ones at its far end.
    pub fn figures(name: impl Into<String>, from: f64, to: f64, about: usize) -> Self {
        let ticks = round_steps(from, to, about);
        let step = ticks.windows(2).map(|w| w[1] - w[0]).next().unwrap_or(to - from);
        let end = if step > 0.0 { (to / step - 1e-9).ceil() * step } else { to };
        let ticks = round_steps(from, end, about).into_iter().map(|v| (v, figure(v))).collect();
        Self { from, to: end, ticks, name: name.into() }
    }

    /// An axis with words of its own, such as years.
    pub fn words(name: impl Into<String>, from: f64, to: f64, ticks: Vec<(f64, String)>) -> Self {
        Self { from, to, ticks, name: name.into() }
    }
}

/// The room inside the axes, and where figures stand in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Frame {
    /// Left.
    pub left: f32,
    /// Top.
    pub top: f32,
    /// Right.
    pub right: f32,
    /// Bottom.
    pub bottom: f32,
    /// Figures at the left and right.
    pub x: (f64, f64),
    /// Figures at the bottom and top.
    pub y: (f64, f64),
}

impl Frame {
    /// The place of a figure along the foot.
    pub fn at_x(&self, value: f64) -> f32 {
        let share = (value - self.x.0) / (self.x.1 - self.x.0).max(f64::MIN_POSITIVE);
        self.left + (self.right - self.left) * share as f32
    }

    /// The place of a figure up the side.
    pub fn at_y(&self, value: f64) -> f32 {
        let share = (value - self.y.0) / (self.y.1 - self.y.0).max(f64::MIN_POSITIVE);
        self.bottom - (self.bottom - self.top) * share as f32
    }

    /// Both.
    pub fn at(&self, (x, y): (f64, f64)) -> (f32, f32) {
        (self.at_x(x), self.at_y(y))
    }

    /// The figure along the foot at a place.
    pub fn x_of(&self, place: f32) -> f64 {
        let share = (place - self.left) / (self.right - self.left).max(1.0);
        self.x.0 + (self.x.1 - self.x.0) * f64::from(share)
    }
}

/// Draws both axes with their names and lines behind the room, into left, top, width, height; gives the room inside.
pub fn axes(on: &mut dyn Canvas, [x, y, w, h]: [f32; 4], along: &Axis, up: &Axis) -> Frame {
    let look = Type::new(FIGURES, Tone::Faint);
    let name = Type::new(FIGURES, Tone::Ink);
    let widest = up.ticks.iter().map(|(_, t)| on.width(look, t)).fold(0.0, f32::max);
    // Half of the last figure along the foot stands out to the right.
    let out = along.ticks.last().map_or(0.0, |(_, t)| on.width(look, t) / 2.0);
    let frame = Frame {
        left: x + widest + 10.0,
        top: y + FIGURES * 1.9,
        right: x + w - out.max(4.0),
        bottom: y + h - FIGURES * 3.2,
        x: (along.from, along.to),
        y: (up.from, up.to),
    };
    on.text((x, y + FIGURES * 0.7), Side::Left, name, &up.name);
    for (value, words) in &up.ticks {
        let at = frame.at_y(*value);
        on.line((frame.left, at), (frame.right, at), 0.8, Tone::Rule);
        on.text((frame.left - 6.0, at), Side::Right, look, words);
    }
    let mut free = f32::MIN;
    for (value, words) in &along.ticks {
        let at = frame.at_x(*value);
        on.line((at, frame.bottom), (at, frame.bottom + 4.0), 1.0, Tone::Edge);
        let half = on.width(look, words) / 2.0;
        if at - half > free {
            on.text((at, frame.bottom + FIGURES), Side::Middle, look, words);
            free = at + half + 6.0;
        }
    }
    on.line((frame.left, frame.bottom), (frame.right, frame.bottom), 1.2, Tone::Edge);
    on.text((frame.right, frame.bottom + FIGURES * 2.3), Side::Right, name, &along.name);
    frame
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn steps_are_round_and_few() {
        assert_eq!(round_steps(0.0, 47.0, 5), [0.0, 10.0, 20.0, 30.0, 40.0]);
        assert_eq!(round_steps(0.0, 1.0, 4), [0.0, 0.5, 1.0]);
        assert_eq!(round_steps(3.0, 9.0, 6), [3.0, 4.0, 5.0, 6.0, 7.0, 8.0, 9.0]);
        for wrong in [(1.0, 1.0), (2.0, 1.0), (0.0, f64::NAN), (0.0, f64::INFINITY)] {
            assert_eq!(round_steps(wrong.0, wrong.1, 5), [] as [f64; 0], "{wrong:?}");
        }
        let axis = Axis::figures("weight, kg", 0.0, 47.0, 5);
        assert_eq!((axis.to, axis.ticks.last().unwrap().1.as_str()), (50.0, "50"));
        assert_eq!([figure(0.5), figure(-2.0), figure(-0.0), figure(40.0)], ["0.5", "−2", "0", "40"]);
    }
}

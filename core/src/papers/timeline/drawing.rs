//! The timeline as lines, boxes and words: drawn alike on screen and on paper by way of a [`Canvas`].
//!
//! Places and sizes are in units: one point on screen, a quarter of a millimetre or so on paper.

use super::glyph;
use crate::phrase;
use crate::reckon::season::{Counts, Event, JobMark, Kind, Kinds, Line, Unit, What, ticks, unit_for};
use crate::terms::speech::said;
use crate::terms::{Day, Status};

/// The tones of the drawing. Shape and word tell as well what a tone tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Tone {
    /// Text.
    Ink,
    /// Captions and quiet marks.
    Faint,
    /// Bars of no weight: pens, time with the ram.
    Edge,
    /// Lines behind everything.
    Rule,
    /// Ground of every other section.
    Wash,
    /// What lies under the drawing.
    Ground,
    /// Lambings.
    Accent,
    /// A pale accent.
    AccentPale,
    /// Treatments.
    Caution,
    /// The withdrawal after them.
    CautionPale,
    /// Overdue, dead.
    Refuse,
    /// Done.
    Good,
}

/// Where words stand against their place.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Side {
    /// They begin there.
    Left,
    /// They stand around it.
    Middle,
    /// They end there.
    Right,
}

/// Words: size in units, strong or not, and their tone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Type {
    /// Height in units.
    pub size: f32,
    /// In the strong face.
    pub strong: bool,
    /// The tone.
    pub tone: Tone,
}

impl Type {
    /// Plain words.
    pub const fn new(size: f32, tone: Tone) -> Self {
        Self { size, strong: false, tone }
    }

    /// Strong words.
    pub const fn strong(size: f32, tone: Tone) -> Self {
        Self { size, strong: true, tone }
    }
}

/// What is drawn on.
pub trait Canvas {
    /// A line.
    fn line(&mut self, from: (f32, f32), to: (f32, f32), width: f32, tone: Tone);
    /// A box of left, top, width, height with round corners; filled, outlined or both.
    fn shape(&mut self, at: [f32; 4], radius: f32, fill: Option<Tone>, stroke: Option<(Tone, f32)>);
    /// Words whose middle height is `at.1`.
    fn text(&mut self, at: (f32, f32), side: Side, look: Type, words: &str);
    /// How wide words are.
    fn width(&self, look: Type, words: &str) -> f32;
    /// A line through these places.
    fn path(&mut self, places: &[(f32, f32)], width: f32, tone: Tone) {
        for pair in places.windows(2) {
            self.line(pair[0], pair[1], width, tone);
        }
    }
    /// What lies between two lines, whose places stand above each other.
    fn between(&mut self, upper: &[(f32, f32)], lower: &[(f32, f32)], tone: Tone) {
        for (top, low) in upper.windows(2).zip(lower.windows(2)) {
            let (high, deep) = ((top[0].1 + top[1].1) / 2.0, (low[0].1 + low[1].1) / 2.0);
            self.shape([top[0].0, high, top[1].0 - top[0].0, (deep - high).max(0.0)], 0.0, Some(tone), None);
        }
    }
}

/// Days to places.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Scale {
    /// Place of the start of the first day.
    pub left: f32,
    /// Place of the end of the last day.
    pub right: f32,
    /// First day.
    pub start: Day,
    /// Last day.
    pub end: Day,
}

impl Scale {
    /// Units for one day.
    pub fn per_day(&self) -> f32 {
        (self.right - self.left) / (self.end.since(self.start) + 1).max(1) as f32
    }

    /// The start of a day, also out of what is shown.
    pub fn x(&self, day: Day) -> f32 {
        self.left + self.per_day() * day.since(self.start) as f32
    }

    /// The middle of a day.
    pub fn mid(&self, day: Day) -> f32 {
        self.x(day) + self.per_day() / 2.0
    }

    /// The day at a place.
    pub fn day(&self, x: f32) -> Day {
        self.start.plus(((x - self.left) / self.per_day().max(0.000_1)).floor() as i64)
    }

    /// Whether a day is shown.
    pub fn holds(&self, day: Day) -> bool {
        (self.start..=self.end).contains(&day)
    }

    /// The part that is shown from the start of a day to the start of another.
    pub fn stretch(&self, from: Day, to: Day) -> Option<(f32, f32)> {
        let (a, b) = (self.x(from).max(self.left), self.x(to).min(self.right));
        (b - a > 0.5).then_some((a, b))
    }
}

/// What is the same for every part of one drawing.
#[derive(Debug, Clone, Copy)]
pub struct View {
    /// Where days stand.
    pub scale: Scale,
    /// What is shown.
    pub kinds: Kinds,
    /// Today.
    pub today: Day,
}

/// Height of a row.
pub const ROW: f32 = 28.0;
/// Height of the words under the axis.
pub const AXIS: f32 = 22.0;
/// Height of one band of counts.
pub const BAND: f32 = 34.0;
/// Small type.
pub const SMALL: f32 = 13.0;

/// The words of the days, and lines down to `bottom`.
pub fn axis(on: &mut dyn Canvas, view: &View, top: f32, bottom: f32) {
    let scale = &view.scale;
    let least = f64::from(54.0 / scale.per_day());
    let look = Type::new(SMALL, Tone::Faint);
    let mut free = scale.left - 12.0;
    for tick in ticks(scale.start, scale.end, least) {
        let x = scale.x(tick.day);
        on.line((x, top + AXIS - 4.0), (x, bottom), if tick.strong { 1.4 } else { 0.8 }, Tone::Rule);
        let wide = on.width(look, &tick.words);
        if x + 2.0 > free && x + wide < scale.right + 8.0 {
            on.text((x + 2.0, top + AXIS / 2.0 - 1.0), Side::Left, look, &tick.words);
            free = x + wide + 12.0;
        }
    }
}

/// The line of today from top to bottom, with its word above unless there is no room.
pub fn today(on: &mut dyn Canvas, view: &View, top: f32, bottom: f32, word: bool) {
    if !view.scale.holds(view.today) {
        return;
    }
    let x = view.scale.mid(view.today);
    on.line((x, top), (x, bottom), 1.6, Tone::Accent);
    if word {
        let look = Type::strong(SMALL, Tone::Ground);
        let wide = on.width(look, "today") + 10.0;
        let left = (x - wide / 2.0).clamp(view.scale.left, (view.scale.right - wide).max(view.scale.left));
        on.shape([left, top - 1.0, wide, 16.0], 8.0, Some(Tone::Accent), None);
        on.text((left + wide / 2.0, top + 7.0), Side::Middle, look, &said("today"));
    }
}

/// The bands of counts that the kinds shown ask for, under each other from `top`; gives where they end.
pub fn bands(on: &mut dyn Canvas, view: &View, counts: &Counts, names: f32, top: f32) -> f32 {
    let scale = &view.scale;
    let days = scale.end.since(scale.start) + 1;
    let unit = unit_for(days);
    let bins = counts.bins(scale.start, scale.end, unit);
    let mut y = top;
    for kind in [Kind::Lambing, Kind::Treatment, Kind::Job].into_iter().filter(|k| view.kinds.has(*k)) {
        let of = |c: &crate::reckon::season::Count| match kind {
            Kind::Lambing => (c.lambings, 0),
            Kind::Treatment => (c.treatments, 0),
            _ => (c.due, c.overdue),
        };
        let base = y + BAND - 3.0;
        let (name, tone) = match kind {
            Kind::Lambing => ("Lambings", Tone::Accent),
            Kind::Treatment => ("Treatments", Tone::Caution),
            _ => ("Jobs due", Tone::Ink),
        };
        on.text((names, base - 17.0), Side::Left, Type::strong(SMALL, Tone::Ink), name);
        let per = match kind {
            Kind::Job => phrase!("filled: overdue"),
            _ => phrase!("each {}", unit.word()),
        };
        on.text((names, base - 3.0), Side::Left, Type::new(SMALL - 1.0, Tone::Faint), &per);
        on.line((scale.left, base), (scale.right, base), 1.0, Tone::Rule);
        let most = bins.iter().map(|b| of(&b.count)).map(|(a, b)| a + b).max().unwrap_or(0).max(1);
        let room = BAND - 18.0;
        let figures = Type::new(SMALL - 1.0, tone);
        let mut free = f32::MIN;
        for bin in &bins {
            let (n, late) = of(&bin.count);
            let Some((a, b)) = scale.stretch(bin.from, bin.to).filter(|_| n + late > 0) else { continue };
            let gap = if unit == Unit::Day { 1.0 } else { 1.5 };
            let (a, wide) = (a + gap, (b - a - 2.0 * gap).max(1.0));
            let high = |n: u32| (room * n as f32 / most as f32).max(if n > 0 { 1.5 } else { 0.0 });
            let (low, top) = (high(late), high(n));
            if late > 0 {
                on.shape([a, base - low, wide, low], 0.0, Some(Tone::Refuse), None);
            }
            if n > 0 && kind == Kind::Job {
                on.shape([a, base - low - top, wide, top], 0.0, Some(Tone::Ground), Some((Tone::Faint, 1.0)));
            } else if n > 0 {
                on.shape([a, base - top, wide, top], 0.0, Some(tone), None);
            }
            let words = (n + late).to_string();
            let half = on.width(figures, &words) / 2.0;
            let mid = a + wide / 2.0;
            if mid - half > free && (wide > 12.0 || n + late == most) {
                on.text((mid, base - low - top - 7.0), Side::Middle, figures, &words);
                free = mid + half + 3.0;
            }
        }
        y += BAND;
    }
    y
}

/// One animal's row, its middle line at `y` + 11, jobs along its foot. `in_hand` has a ring.
pub fn row(
    on: &mut dyn Canvas,
    view: &View,
    file: &crate::flock::AnimalFile,
    line: &Line,
    y: f32,
    in_hand: Option<usize>,
) {
    let scale = &view.scale;
    let (mid, foot) = (y + MID, y + FOOT);
    let a = &file.animal;
    let born = a.born.day().unwrap_or(scale.start);
    let end = if a.status == Status::Present { scale.end.plus(1) } else { a.status_on.unwrap_or(scale.end) };
    if let Some((from, to)) = scale.stretch(born, end) {
        on.line((from, mid), (to, mid), 0.8, Tone::Rule);
    }
    let range = line.within(scale.start, scale.end);
    let shown = || {
        range
            .clone()
            .filter_map(|i| line.events.get(i).map(|e| (i, e)))
            .filter(|(_, e)| view.kinds.has(e.what.kind()) && e.to >= scale.start)
    };
    // What has length lies under what has none.
    for (_, e) in shown() {
        let y = if e.what.kind() == Kind::Job { foot } else { mid };
        bar(on, view, e, y, Some(Tone::Ground));
    }
    let at = |e: &Event| {
        let y = if e.what.kind() == Kind::Job { foot } else { mid };
        (scale.mid(e.from), y)
    };
    let mut loud: Vec<(f32, Event, bool)> = Vec::new();
    let mut quiet: Vec<(f32, Event)> = Vec::new();
    let mut jobs = f32::MIN;
    for (i, e) in shown().filter(|(_, e)| scale.holds(e.from)) {
        let (x, y) = at(e);
        match e.what {
            What::Job(state) => {
                // Where they crowd, one of those that are done stands for all.
                if x >= jobs || state == JobMark::Overdue || in_hand == Some(i) {
                    glyph::mark(on, e.what, (x, y));
                    jobs = x + 9.0;
                }
            }
            What::Lambing { .. } | What::Treatment { .. } | What::Died | What::Left => {
                // Those of one day stand side by side.
                let x = loud.last().map_or(x, |(last, ..)| if x < last + 9.0 { last + 9.0 } else { x });
                loud.push((x, *e, in_hand == Some(i)));
            }
            What::Joining { .. } | What::Due { .. } => {}
            _ => {
                if quiet.last().is_none_or(|(last, _)| x >= last + 9.0) || in_hand == Some(i) {
                    quiet.push((x, *e));
                }
            }
        }
    }
    // What matters less gives way.
    for (x, e) in &quiet {
        if loud.iter().all(|(l, ..)| (x - l).abs() > 10.0) {
            glyph::mark(on, e.what, (*x, mid));
        }
    }
    // From the right, so that of two that crowd the first lies on top.
    for (x, e, _) in loud.iter().rev() {
        glyph::mark(on, e.what, (*x, mid));
    }
    let Some(e) = in_hand.and_then(|i| line.events.get(i)) else { return };
    let shifted = loud.iter().find(|(.., mine)| *mine).map(|(x, ..)| (*x, mid));
    let (x, y) = shifted.unwrap_or_else(|| at(e));
    if e.to >= scale.start && e.from <= scale.end && view.kinds.has(e.what.kind()) {
        if shifted.is_none() {
            glyph::mark(on, e.what, (x.max(scale.left), y));
        }
        glyph::ring(on, (x.max(scale.left), y));
    }
}

/// Middle of a row from its top: where marks stand.
pub const MID: f32 = 11.0;
/// Where the jobs of a row stand from its top.
pub const FOOT: f32 = 23.0;

/// The bar of an event that has length; the words after it may stand on a ground of their own.
pub(super) fn bar(on: &mut dyn Canvas, view: &View, e: &Event, mid: f32, halo: Option<Tone>) {
    let scale = &view.scale;
    match e.what {
        What::Treatment { .. } => {
            let Some((a, b)) = scale.stretch(e.from, e.to) else { return };
            on.shape([a, mid - 5.0, b - a, 10.0], 2.0, Some(Tone::CautionPale), Some((Tone::Caution, 1.0)));
            // The words stand only where one still waits.
            if e.to > view.today && scale.holds(e.to) && scale.per_day() > 3.0 {
                let words = phrase!("clear {}", e.to.short());
                let look = Type::new(SMALL - 1.0, Tone::Caution);
                let wide = on.width(look, &words);
                if b + 4.0 + wide < scale.right {
                    if halo.is_some() {
                        on.shape([b + 1.5, mid - 5.0, wide + 5.0, 10.0], 0.0, halo, None);
                    }
                    on.text((b + 4.0, mid), Side::Left, look, &words);
                }
            }
        }
        What::Joining { over } => {
            if e.to < scale.start || e.from > scale.end {
                return;
            }
            let a = scale.x(e.from).clamp(scale.left, (scale.right - 7.0).max(scale.left));
            let b = scale.x(e.to.plus(1)).min(scale.right).max(a + 7.0);
            on.shape([a, mid - 3.0, b - a, 6.0], 3.0, Some(Tone::Edge), None);
            if !over {
                on.line((b - 1.0, mid - 5.0), (b + 5.0, mid), 1.6, Tone::Edge);
                on.line((b - 1.0, mid + 5.0), (b + 5.0, mid), 1.6, Tone::Edge);
            }
        }
        What::Due { usual } => {
            let Some((a, b)) = scale.stretch(e.from, e.to.plus(1)) else { return };
            on.shape([a, mid - 6.5, b - a, 13.0], 6.0, Some(Tone::AccentPale), Some((Tone::Accent, 1.2)));
            if scale.holds(usual) {
                let x = scale.mid(usual);
                on.line((x, mid - 6.5), (x, mid + 6.5), 1.6, Tone::Accent);
            }
        }
        // From its day to its last, where no words stand in the way.
        What::Job(JobMark::Due | JobMark::Overdue) if halo.is_some() => {
            let Some((a, b)) = scale.stretch(e.from, e.to.plus(1)).filter(|_| e.to > e.from) else { return };
            let tone = if e.what == What::Job(JobMark::Overdue) { Tone::Refuse } else { Tone::Faint };
            on.line((a + scale.per_day() / 2.0, mid), (b, mid), 1.2, tone);
        }
        _ => {}
    }
}

//! One animal's life in lanes, one for each kind of event; the weights as a curve.

use super::drawing::{AXIS, Canvas, SMALL, Side, Tone, Type, View, axis, bar, today};
use super::glyph;
use crate::flock::{AnimalFile, Flock, RecordRef};
use crate::reckon::season::{Event, JobMark, Kind, Line, What};
use crate::terms::speech::said;
use crate::terms::{Status, Units, Weight};

/// Where an event of the life was drawn: for the pointer and the ring.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Its place in the line.
    pub event: usize,
    /// Left end and right end.
    pub x: (f32, f32),
    /// Middle height.
    pub y: f32,
}

/// Height of one track of a lane.
const TRACK: f32 = 21.0;
/// The most tracks a lane is split into.
const TRACKS: usize = 5;
/// Height of the curve.
const CURVE: f32 = 112.0;
/// Air above and below what a lane holds.
const AIR: f32 = 7.0;

/// A lane: its name and the kinds in it.
const LANES: [(&str, &[Kind]); 6] = [
    ("Born, came, left", &[Kind::Standing]),
    ("Ram and lambs", &[Kind::Joining, Kind::Due, Kind::Lambing]),
    ("Treatments", &[Kind::Treatment]),
    ("Weight", &[Kind::Weighing]),
    ("Pens", &[Kind::Pen]),
    ("Jobs", &[Kind::Job]),
];

/// Whom the lanes are of.
#[derive(Clone, Copy)]
pub struct Whose<'a> {
    /// The flock it is of.
    pub flock: &'a Flock,
    /// Its file.
    pub file: &'a AnimalFile,
    /// Its events.
    pub line: &'a Line,
}

impl Whose<'_> {
    fn units(&self) -> Units {
        self.flock.holding().units
    }
}

/// Draws the lanes from `top`; gives where they end and where each event stands. Lanes without an event are left out.
pub fn life(
    on: &mut dyn Canvas,
    view: &View,
    whose: Whose<'_>,
    names: f32,
    top: f32,
    in_hand: Option<usize>,
) -> (f32, Vec<Spot>) {
    let mut spots = Vec::new();
    let mut y = top + AXIS;
    let lanes: Vec<Lane> =
        LANES.iter().filter_map(|(name, kinds)| lane(on, view, whose, name, kinds)).collect();
    let bottom = y + lanes.iter().map(|l| l.high + 2.0 * AIR).sum::<f32>();
    for (n, Lane { high, .. }) in lanes.iter().enumerate() {
        if n % 2 == 0 {
            let wide = view.scale.right - names + 8.0;
            on.shape([names - 8.0, y, wide, high + 2.0 * AIR], 0.0, Some(Tone::Wash), None);
        }
        y += high + 2.0 * AIR;
    }
    axis(on, view, top, bottom);
    y = top + AXIS;
    for Lane { name, all, high, tracks } in &lanes {
        let mid = y + AIR + TRACK / 2.0;
        on.text((names, mid), Side::Left, Type::strong(SMALL, Tone::Ink), &said(name));
        if *name == "Weight" {
            curve(on, view, whose, all, (y + AIR, *high), &mut spots);
        } else {
            let mut rams = f32::MIN;
            for (i, (track, words)) in all.iter().zip(tracks) {
                one(
                    on,
                    view,
                    whose,
                    (*i, *words, Some(*i) == in_hand),
                    (mid + *track as f32 * TRACK, &mut rams),
                    &mut spots,
                );
            }
        }
        y += high + 2.0 * AIR;
    }
    if let Some(s) = spots.iter().find(|s| Some(s.event) == in_hand) {
        glyph::ring(on, (s.x.0.max(view.scale.left), s.y));
    }
    today(on, view, top, bottom, true);
    (bottom, spots)
}

/// A lane with what stands in it.
struct Lane {
    name: &'static str,
    /// Places of its events in the line.
    all: Vec<usize>,
    high: f32,
    /// The track of each event, and whether there is room for its words.
    tracks: Vec<(usize, bool)>,
}

fn lane(on: &dyn Canvas, view: &View, whose: Whose<'_>, name: &'static str, kinds: &[Kind]) -> Option<Lane> {
    let of = |e: &Event| kinds.contains(&e.what.kind()) && view.kinds.has(e.what.kind());
    let events = whose.line.events.iter().enumerate();
    let all: Vec<usize> = events.filter(|(_, e)| of(e)).map(|(i, _)| i).collect();
    if all.is_empty() {
        return None;
    }
    let tracks = tracks(on, view, whose, &all);
    let n = tracks.iter().map(|t| t.0).max().map_or(1, |m| m + 1);
    let high = if kinds.contains(&Kind::Weighing) { CURVE } else { n as f32 * TRACK };
    Some(Lane { name, all, high, tracks })
}

/// The words beside an event, where there is room for them.
fn words(whose: Whose<'_>, e: &Event) -> String {
    match (e.what, e.record) {
        (What::Treatment { .. }, Some(RecordRef::Treatment(id))) => whose
            .file
            .treatments
            .iter()
            .find(|t| t.id == id)
            .map_or_else(String::new, |t| t.product.to_string()),
        (What::Pen { inside: true }, Some(RecordRef::PenMove(id))) => {
            let found = whose.file.pen_moves.iter().find(|p| p.id == id);
            found.and_then(|p| p.pen.clone()).unwrap_or_default().to_string()
        }
        (What::Job(_), _) => {
            let job = e.job.and_then(|n| whose.line.jobs.get(n as usize));
            job.map_or_else(String::new, |j| j.step.short_said().into_owned())
        }
        (What::Joining { .. }, Some(RecordRef::Joining(id))) => whose
            .file
            .joinings
            .iter()
            .find(|j| j.id == id)
            .map_or_else(String::new, |j| whose.flock.tag(j.ram).to_string()),
        _ => String::new(),
    }
}

const LABEL: Type = Type::new(SMALL - 1.0, Tone::Ink);

/// From where to where an event takes room, words and all.
fn room(on: &dyn Canvas, view: &View, whose: Whose<'_>, e: &Event) -> (f32, f32) {
    let (a, b) = (view.scale.mid(e.from), view.scale.x(e.to));
    let wide = match words(whose, e) {
        w if w.is_empty() => 0.0,
        w => on.width(LABEL, &w) + 16.0,
    };
    let inside = matches!(e.what, What::Pen { .. });
    (a - 6.0, if inside { b.max(a + 6.0) } else { b.max(a + wide).max(a + 10.0) })
}

/// The track of each event, so that as few as can be lie over each other, and whether there is room for its words:
/// the first track that is free.
fn tracks(on: &dyn Canvas, view: &View, whose: Whose<'_>, all: &[usize]) -> Vec<(usize, bool)> {
    let mut free: Vec<f32> = vec![f32::MIN];
    all.iter()
        .map(|i| {
            let Some(e) = whose.line.events.get(*i) else { return (0, false) };
            // Breeding has one line: a joining, its window and its lambing follow one another. So have stays.
            if matches!(e.what.kind(), Kind::Joining | Kind::Due | Kind::Lambing | Kind::Pen | Kind::Weighing)
            {
                return (0, true);
            }
            let (a, b) = room(on, view, whose, e);
            if b < view.scale.left || a > view.scale.right {
                return (0, false);
            }
            let mut words = true;
            let at = match free.iter().position(|f| *f <= a) {
                Some(at) => at,
                None if free.len() < TRACKS => {
                    free.push(f32::MIN);
                    free.len() - 1
                }
                // No room: over that which ends first.
                None => {
                    words = false;
                    free.iter().enumerate().min_by(|x, y| x.1.total_cmp(y.1)).map_or(0, |(n, _)| n)
                }
            };
            if let Some(f) = free.get_mut(at) {
                *f = if words { b } else { f.max(a + 16.0) };
            }
            (at, words)
        })
        .collect()
}

fn one(
    on: &mut dyn Canvas,
    view: &View,
    whose: Whose<'_>,
    (i, named, in_hand): (usize, bool, bool),
    (y, rams): (f32, &mut f32),
    spots: &mut Vec<Spot>,
) {
    let Some(e) = whose.line.events.get(i) else { return };
    let scale = &view.scale;
    if e.from > scale.end || e.to < scale.start {
        return;
    }
    let x = scale.mid(e.from);
    let label = if named { words(whose, e) } else { String::new() };
    if let What::Pen { inside: true } = e.what {
        let Some((a, b)) = scale.stretch(e.from, e.to.max(e.from.plus(1))) else { return };
        on.shape(
            [a + 0.5, y - 9.0, (b - a - 1.0).max(1.0), 18.0],
            3.0,
            Some(Tone::Ground),
            Some((Tone::Edge, 1.0)),
        );
        if on.width(LABEL, &label) + 10.0 < b - a {
            on.text((a + 6.0, y), Side::Left, LABEL, &label);
        }
        spots.push(Spot { event: i, x: (a, b), y });
        return;
    }
    bar(on, view, e, y, None);
    let (a, b) = scale.stretch(e.from, e.to.plus(1)).unwrap_or((x, x));
    // Without room for its words a mark would lie on those of another: only what is still to do stays.
    let open = matches!(e.what, What::Job(JobMark::Due | JobMark::Overdue));
    let gives_way = !named && e.what.kind() == Kind::Job && !open && !in_hand;
    if scale.holds(e.from) && !gives_way {
        glyph::mark(on, e.what, (x, y));
    }
    let wide = on.width(LABEL, &label);
    if matches!(e.what, What::Joining { .. }) {
        // The ram under its bar, unless the one before is still being named.
        if !label.is_empty() && a > *rams && a + wide < scale.right {
            on.text((a, y + 11.0), Side::Left, LABEL, &label);
            *rams = a + wide + 6.0;
        }
    } else if !label.is_empty() {
        // After the mark, or after the bar where the words of its end do not stand there already.
        let waits = matches!(e.what, What::Treatment { .. }) && e.to > view.today && scale.per_day() > 3.0;
        let from = if waits || e.what.kind() == Kind::Job { x + 9.0 } else { b.max(x + 6.0) + 4.0 };
        if from + wide < scale.right && !(waits && from + wide > b) {
            on.text((from, y), Side::Left, LABEL, &label);
        }
    }
    spots.push(Spot { event: i, x: (a.min(x), b.max(x)), y });
}

/// The weights as a line from point to point, with kilograms (or pounds) at its side; the birth weight is the first.
fn curve(
    on: &mut dyn Canvas,
    view: &View,
    whose: Whose<'_>,
    all: &[usize],
    (top, high): (f32, f32),
    spots: &mut Vec<Spot>,
) {
    let scale = &view.scale;
    let weights = whose.file.weights();
    let most = weights.iter().map(|(_, w)| w.grams()).max().unwrap_or(1).max(1);
    let least = weights.iter().map(|(_, w)| w.grams()).min().unwrap_or(0);
    let step = [1_000, 2_000, 5_000, 10_000, 20_000, 50_000]
        .into_iter()
        .find(|s| (most - if least * 2 > most { least } else { 0 }) / s <= 3)
        .unwrap_or(100_000);
    // A grown animal's weights lie close together: the curve begins below the least of them, not at nothing.
    let floor = if least * 2 > most { (least / step - 1).max(0) * step } else { 0 };
    let ceiling = (most / step + 1) * step;
    let y = |grams: i64| {
        top + high - 6.0 - (high - 20.0) * (grams - floor) as f32 / (ceiling - floor).max(1) as f32
    };
    let faint = Type::new(SMALL - 1.0, Tone::Faint);
    for n in floor / step..=ceiling / step {
        let at = y(n * step);
        on.line((scale.left, at), (scale.right, at), 0.6, Tone::Rule);
        if let Some(w) = Weight::from_grams(n * step).filter(|_| n > 0) {
            on.text((scale.left - 6.0, at), Side::Right, faint, &w.show(whose.units()));
        }
    }
    let points: Vec<(f32, f32)> = weights.iter().map(|(d, w)| (scale.mid(*d), y(w.grams()))).collect();
    for pair in points.windows(2) {
        if let [a, b] = pair
            && let Some((a, b)) = cut(*a, *b, scale.left, scale.right)
        {
            on.line(a, b, 1.8, Tone::Good);
        }
    }
    for (d, w) in weights.iter().filter(|(d, _)| scale.holds(*d)) {
        let (x, y) = (scale.mid(*d), y(w.grams()));
        on.shape([x - 3.5, y - 3.5, 7.0, 7.0], 3.5, Some(Tone::Ground), Some((Tone::Good, 1.8)));
    }
    let mut free = f32::MIN;
    for i in all {
        let Some(e) = whose.line.events.get(*i).filter(|e| scale.holds(e.from)) else { continue };
        let What::Weighing { grams } = e.what else { continue };
        let (x, y) = (scale.mid(e.from), y(grams));
        spots.push(Spot { event: *i, x: (x, x), y });
        if let Some(w) = Weight::from_grams(grams) {
            let words = w.show(whose.units());
            let half = on.width(LABEL, &words) / 2.0;
            if x - half > free && x + half < scale.right && x - half > scale.left {
                on.text((x, y - 11.0), Side::Middle, LABEL, &words);
                free = x + half + 6.0;
            }
        }
    }
}

/// The part of a line between two places across.
fn cut(a: (f32, f32), b: (f32, f32), left: f32, right: f32) -> Option<((f32, f32), (f32, f32))> {
    if b.0 < left || a.0 > right {
        return None;
    }
    let at = |x: f32| {
        let part = if b.0 - a.0 > 0.01 { (x - a.0) / (b.0 - a.0) } else { 0.0 };
        (x, a.1 + (b.1 - a.1) * part)
    };
    let from = if a.0 < left { at(left) } else { a };
    let to = if b.0 > right { at(right) } else { b };
    Some((from, to))
}

/// First and last day of a life: from birth or the first record to leaving or today, and on to what is still to come.
pub fn span(whose: Whose<'_>, today: crate::terms::Day) -> (crate::terms::Day, crate::terms::Day) {
    let a = &whose.file.animal;
    let end = if a.status == Status::Present { today } else { a.status_on.unwrap_or(today) };
    let first = whose.line.events.first().map_or(end.plus(-30), |e| e.from);
    let last = whose.line.events.iter().filter(|e| e.from <= today.plus(120)).map(|e| e.to).max();
    let last = last.map_or(end, |l| l.max(end)).min(end.plus(200));
    let air = (last.since(first) / 40).max(3);
    (first.plus(-air), last.plus(air))
}

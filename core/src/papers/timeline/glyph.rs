//! The marks of the timeline: each kind has a shape of its own, so that it is told apart without colour.

use super::drawing::{Canvas, Side, Tone, Type};
use crate::reckon::season::{JobMark, Kind, What};

/// The mark of what happened, around a place.
pub fn mark(on: &mut dyn Canvas, what: What, (x, y): (f32, f32)) {
    match what {
        What::Lambing { lambs } => {
            disc(on, (x, y), 8.0, Some(Tone::Accent), Some((Tone::Ground, 1.0)));
            let words = if lambs == 0 { "?".to_string() } else { lambs.to_string() };
            on.text((x, y), Side::Middle, Type::strong(12.0, Tone::Ground), &words);
        }
        What::Treatment { clear_known } => {
            on.shape([x - 5.5, y - 5.5, 11.0, 11.0], 1.5, Some(Tone::Caution), Some((Tone::Ground, 1.0)));
            on.line((x - 3.2, y), (x + 3.2, y), 1.8, Tone::Ground);
            on.line((x, y - 3.2), (x, y + 3.2), 1.8, Tone::Ground);
            if !clear_known {
                on.text((x + 8.0, y), Side::Left, Type::strong(12.0, Tone::Caution), "?");
            }
        }
        What::Weighing { .. } => {
            on.line((x - 4.5, y + 4.5), (x + 4.5, y + 4.5), 1.6, Tone::Faint);
            on.line((x, y - 4.5), (x, y + 4.5), 1.6, Tone::Faint);
        }
        What::Pen { inside } => {
            on.line((x - 3.0, y - 6.0), (x - 3.0, y + 6.0), 1.4, Tone::Faint);
            let fill = inside.then_some(Tone::Faint);
            on.shape([x - 3.0, y - 6.0, 7.5, 5.0], 0.0, fill, Some((Tone::Faint, 1.0)));
        }
        What::Born { dead } => {
            disc(on, (x, y), 4.0, Some(Tone::Ground), Some((Tone::Ink, 1.4)));
            if dead {
                cross(on, (x, y), 5.0, 1.6, Tone::Refuse);
            }
        }
        What::Came | What::Left => {
            let way = if what == What::Came { 1.0 } else { -1.0 };
            on.line((x - 5.0, y), (x + 5.0, y), 1.6, Tone::Ink);
            // In: a point to the row; out: away from it.
            on.line((x + 5.0 * way, y), (x + 1.0 * way, y - 4.0), 1.6, Tone::Ink);
            on.line((x + 5.0 * way, y), (x + 1.0 * way, y + 4.0), 1.6, Tone::Ink);
        }
        What::Died => cross(on, (x, y), 5.0, 2.4, Tone::Refuse),
        What::Joining { .. } | What::Due { .. } => {}
        What::Job(state) => job(on, state, (x, y)),
    }
}

fn job(on: &mut dyn Canvas, state: JobMark, (x, y): (f32, f32)) {
    let side = [x - 3.5, y - 3.5, 7.0, 7.0];
    match state {
        JobMark::Early => on.shape(side, 1.0, Some(Tone::Ground), Some((Tone::Edge, 1.0))),
        JobMark::Due => on.shape(side, 1.0, Some(Tone::Ground), Some((Tone::Ink, 1.8))),
        JobMark::Overdue => {
            on.shape([x - 4.5, y - 4.5, 9.0, 9.0], 1.0, Some(Tone::Refuse), None);
            on.line((x, y - 3.0), (x, y + 0.5), 1.6, Tone::Ground);
            on.line((x, y + 2.0), (x, y + 3.4), 1.6, Tone::Ground);
        }
        JobMark::Done => {
            on.line((x - 3.5, y), (x - 1.0, y + 3.0), 1.6, Tone::Good);
            on.line((x - 1.0, y + 3.0), (x + 4.0, y - 3.5), 1.6, Tone::Good);
        }
        JobMark::Skipped => on.line((x - 3.5, y), (x + 3.5, y), 1.6, Tone::Faint),
        JobMark::Missed => cross(on, (x, y), 2.8, 1.2, Tone::Faint),
    }
}

/// The ring round the event in hand.
pub fn ring(on: &mut dyn Canvas, (x, y): (f32, f32)) {
    disc(on, (x, y), 11.0, None, Some((Tone::Ink, 2.2)));
}

/// The mark of a kind for the legend, 26 units wide from `x`.
pub fn sample(on: &mut dyn Canvas, kind: Kind, (x, y): (f32, f32)) {
    match kind {
        Kind::Lambing => mark(on, What::Lambing { lambs: 2 }, (x + 13.0, y)),
        Kind::Joining => on.shape([x + 2.0, y - 3.0, 22.0, 6.0], 3.0, Some(Tone::Edge), None),
        Kind::Due => {
            on.shape([x + 2.0, y - 6.0, 22.0, 12.0], 6.0, Some(Tone::AccentPale), Some((Tone::Accent, 1.2)));
            on.line((x + 10.0, y - 6.0), (x + 10.0, y + 6.0), 1.6, Tone::Accent);
        }
        Kind::Treatment => {
            on.shape(
                [x + 6.0, y - 5.0, 18.0, 10.0],
                2.0,
                Some(Tone::CautionPale),
                Some((Tone::Caution, 1.0)),
            );
            mark(on, What::Treatment { clear_known: true }, (x + 7.0, y));
        }
        Kind::Job => {
            job(on, JobMark::Due, (x + 6.0, y));
            job(on, JobMark::Done, (x + 19.0, y));
        }
        Kind::Weighing => mark(on, What::Weighing { grams: 0 }, (x + 13.0, y)),
        Kind::Pen => mark(on, What::Pen { inside: true }, (x + 12.0, y)),
        Kind::Standing => {
            mark(on, What::Born { dead: false }, (x + 6.0, y));
            mark(on, What::Died, (x + 19.0, y));
        }
    }
}

/// The words for the states of a job, with their marks, for the legend of the paper.
pub const JOB_MARKS: [(JobMark, &str); 5] = [
    (JobMark::Due, "to do"),
    (JobMark::Overdue, "overdue"),
    (JobMark::Early, "to come"),
    (JobMark::Done, "done"),
    (JobMark::Missed, "not done"),
];

fn disc(on: &mut dyn Canvas, (x, y): (f32, f32), r: f32, fill: Option<Tone>, stroke: Option<(Tone, f32)>) {
    on.shape([x - r, y - r, 2.0 * r, 2.0 * r], r, fill, stroke);
}

fn cross(on: &mut dyn Canvas, (x, y): (f32, f32), r: f32, width: f32, tone: Tone) {
    on.line((x - r, y - r), (x + r, y + r), width, tone);
    on.line((x - r, y + r), (x + r, y - r), width, tone);
}

//! Many winters by chance, and what they have in common: the middle, and the band that eight of ten lie in.

use super::model::{GROUPS, Model};
use super::run::Ground;

/// Least, middle and most of eight in ten: the 10th, 50th and 90th of a hundred.
pub type Band = [f64; 3];

/// The shares of a band.
pub const SHARES: [f64; 3] = [0.1, 0.5, 0.9];

/// A figure of sorted figures at a share of them, on a straight line between two.
pub fn at_share(sorted: &[f64], share: f64) -> f64 {
    let Some(last) = sorted.len().checked_sub(1) else { return f64::NAN };
    let place = share.clamp(0.0, 1.0) * last as f64;
    let (low, part) = (place.floor() as usize, place.fract());
    let high = sorted[(low + 1).min(last)];
    sorted[low] + (high - sorted[low]) * part
}

/// The band of some figures.
pub fn band(mut all: Vec<f64>) -> Band {
    all.sort_by(f64::total_cmp);
    SHARES.map(|s| at_share(&all, s))
}

/// One day ahead.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayAhead {
    /// Left in the evening, kg; nothing once it has run out.
    pub left: Band,
    /// Needed that day, kg, spoiled counted.
    pub need: Band,
    /// Heads by group, in the order of `Eaters::ALL`: the mean of all runs.
    pub heads: [f64; GROUPS],
}

/// What is ahead.
#[derive(Debug, Clone, PartialEq)]
pub struct Outlook {
    /// Winters reckoned.
    pub runs: u32,
    /// Each day; the first is the evening it is reckoned from.
    pub days: Vec<DayAhead>,
    /// The last day that is fed in full: early, middle, late; none lies beyond the days looked at.
    pub lasts: [Option<usize>; 3],
    /// Left over on the first day of grass, before it; less than nothing is missing, kg.
    pub at_grass: Band,
    /// To buy so that there is enough up to grass in nine winters of ten, kg by the written weight of a bale.
    pub to_buy: f64,
    /// Winters of a hundred in which there is enough up to grass.
    pub enough_percent: f64,
}

/// How far the work is, of how much; answering `false` stops it.
pub type GoOn<'a> = &'a mut dyn FnMut(u32, u32) -> bool;

/// Reckons so many winters. The same seed gives the same answer, and a change of the store alone leaves every run as it
/// is otherwise. None when stopped.
pub fn outlook(m: &Model, runs: u32, seed: u64, go_on: GoOn<'_>) -> Option<Outlook> {
    let runs = runs.max(1);
    let ground = Ground::of(m);
    let n = m.days + 1;
    let mut heads = vec![0.0; GROUPS * n];
    let many = runs as usize;
    // By day and then by run, so that a day's runs lie together.
    let (mut left, mut need) = (vec![0.0; n * many], vec![0.0; n * many]);
    let (mut lasts, mut at_grass, mut missing) = (Vec::new(), Vec::new(), Vec::new());
    let grass = m.grass.clamp(1, n);
    for r in 0..runs {
        if !go_on(r, runs) {
            return None;
        }
        let run = ground.run(seed, r, &mut heads);
        let (mut have, mut ends, mut then) = (run.stock, f64::INFINITY, run.stock);
        for day in 0..n {
            have -= run.need[day];
            if have < -1e-6 && ends.is_infinite() {
                ends = day as f64 - 1.0;
            }
            if day + 1 == grass {
                then = have;
            }
            left[day * many + r as usize] = have.max(0.0);
            need[day * many + r as usize] = run.need[day];
        }
        lasts.push(ends);
        at_grass.push(then);
        missing.push((-then).max(0.0) / run.bale);
    }
    let enough = at_grass.iter().filter(|k| **k > -1e-6).count();
    lasts.sort_by(f64::total_cmp);
    missing.sort_by(f64::total_cmp);
    // A day is one of those that came up: nothing lies between a day and never.
    let whole = |share: f64| {
        let place = (share * (many - 1) as f64).round() as usize;
        lasts.get(place).filter(|d| d.is_finite()).map(|d| d.max(0.0) as usize)
    };
    let known = ground.heads();
    let day = |d: usize| {
        let of = |all: &[f64]| band(all[d * many..(d + 1) * many].to_vec());
        let mut by = [0.0; GROUPS];
        for (g, h) in by.iter_mut().enumerate() {
            *h = heads[g * n + d] / f64::from(runs) + known[g * n + d];
        }
        DayAhead { left: of(&left), need: of(&need), heads: by }
    };
    Some(Outlook {
        runs,
        days: (0..n).map(day).collect(),
        lasts: SHARES.map(whole),
        at_grass: band(at_grass),
        to_buy: at_share(&missing, 0.9),
        enough_percent: 100.0 * enough as f64 / f64::from(runs),
    })
}

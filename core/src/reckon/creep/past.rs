//! The flock's own past: what lambs of the same age ate in earlier seasons, and intake day by day.

use super::DAY;
use super::intake::Spell;
use crate::terms::Day;

/// What lambs of an age ate in earlier seasons.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Past {
    /// Grams a lamb a day, as fed.
    pub each_g: f64,
    /// Mean of so many spells between refills.
    pub spells: usize,
    /// In so many seasons.
    pub seasons: usize,
}

/// Intake on a day.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct DayIntake {
    /// The day.
    pub on: Day,
    /// Grams a lamb a day; none where it is not known.
    pub each_g: Option<f64>,
    /// What lambs of that age ate in earlier seasons.
    pub past: Option<Past>,
}

/// A spell of the past is one of lambs as old as these, within so many days.
const SAME_AGE: f64 = 5.0;
/// Another season lies so many days back.
const SEASON_DAYS: i64 = 180;
/// Days of the small line.
pub(super) const LINE_DAYS: i64 = 14;

/// All spells of earlier seasons with the year in which they ended.
pub(super) struct Earlier(Vec<(Spell, i32)>);

impl Earlier {
    /// Of all spells, those of other seasons than this day's.
    pub(super) fn of(all: impl IntoIterator<Item = Spell>, zero: Day) -> Self {
        let old = |s: &Spell| s.to < -SEASON_DAYS * DAY && s.lamb_days > 0.0;
        let year = |s: &Spell| zero.plus(s.to.div_euclid(DAY)).year();
        Self(all.into_iter().filter(old).map(|s| (s.clone(), year(&s))).collect())
    }

    /// What lambs of this mean age ate.
    pub(super) fn at(&self, age: f64) -> Option<Past> {
        let same = self.0.iter().filter(|(s, _)| (s.mean_age - age).abs() <= SAME_AGE);
        let (mut eaten, mut lamb_days, mut spells) = (0.0, 0.0, 0);
        let mut years: Vec<i32> = Vec::new();
        for (s, year) in same {
            eaten += s.eaten_kg;
            lamb_days += s.lamb_days;
            spells += 1;
            if !years.contains(year) {
                years.push(*year);
            }
        }
        (spells > 0).then(|| Past { each_g: eaten * 1000.0 / lamb_days, spells, seasons: years.len() })
    }
}

/// Intake of the last days, the oldest first; `mean_age` is that of the lambs on the last day.
pub(super) fn line(spells: &[Spell], earlier: &Earlier, mean_age: Option<i64>, zero: Day) -> Vec<DayIntake> {
    let of = |back: i64| {
        let (from, to) = (-back * DAY, (1 - back) * DAY);
        let (eaten, lamb_days) = spells.iter().fold((0.0, 0.0), |(e, n), s| {
            let part = s.part_within(from, to);
            (e + s.eaten_kg * part, n + s.lamb_days * part)
        });
        let past = mean_age.map(|a| a - back).filter(|a| *a > 0).and_then(|a| earlier.at(a as f64));
        let each_g = (lamb_days > 0.0).then(|| eaten * 1000.0 / lamb_days);
        DayIntake { on: zero.plus(-back), each_g, past }
    };
    (0..LINE_DAYS).rev().map(of).collect()
}

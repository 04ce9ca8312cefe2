//! What a ewe's milk makes of the lambs she rears: their gain, the weight weaned for each kilogram of her own, and the
//! condition it cost her. Foster lambs count for the ewe that reared them.

use super::fixed::crop::{Crops, Reared, SAME_CROP_DAYS};
use super::fixed::{FixedAge, Using};
use super::rules::{GrowthRules, MilkRule};
use crate::flock::{AnimalFile, Flock};
use crate::reckon::due::weaned;
use crate::terms::{AnimalId, Day, ScoreKind, Weight};
use std::collections::BTreeMap;

/// Her lambs at one age.
#[derive(Debug, Clone, PartialEq)]
pub struct AtAge {
    /// The age, days.
    pub days: u16,
    /// Lambs with a weight at it.
    pub n: usize,
    /// Mean gain of a lamb since birth, grams a day, adjusted.
    pub gain: f64,
    /// Gain of all her lambs together, grams a day, as they were weighed (without factors); none unless every lamb she
    /// reared has a weight.
    pub litter: Option<f64>,
    /// Mean ratio of her lambs within their groups, of those in groups large enough.
    pub ratio: Option<f64>,
    /// Mean gain of the flock's lambs of the year, with how many.
    pub flock: (f64, usize),
    /// Her place among the ewes of the year by the gain of a lamb, and how many there are.
    pub rank: (usize, usize),
}

/// Where the weight of the lambs weaned comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeanedAt {
    /// Weighed at weaning, the last of them on this day.
    Weaning(Day),
    /// Weaning is not ticked off: carried to this age.
    Age(u16),
}

/// A ewe and one crop of lambs she reared.
#[derive(Debug, Clone, PartialEq)]
pub struct MilkRow {
    /// The ewe.
    pub ewe: AnimalId,
    /// Year the lambs were born in.
    pub season: i32,
    /// Lambs that were put under her and lived the first day, foster lambs counted.
    pub lambs: Vec<AnimalId>,
    /// Of them, not her own.
    pub fostered: usize,
    /// At each age of the rules.
    pub ages: Vec<Option<AtAge>>,
    /// Weight of all lambs weaned, how many, and from where; none unless each that was reared has a weight.
    pub weaned: Option<(i64, usize, WeanedAt)>,
    /// Her weight nearest to that day.
    pub weight: Option<(Day, Weight)>,
    /// The same carried to the score of the rules; none without a score near it.
    pub at_score: Option<Weight>,
    /// Kilograms of lamb weaned for each kilogram of ewe at that score.
    pub per_kg: Option<f64>,
    /// Condition at lambing and at weaning, points.
    pub condition: (Option<f64>, Option<f64>),
}

impl MilkRow {
    /// At the oldest age that has a figure.
    pub fn last(&self) -> Option<&AtAge> {
        self.ages.iter().rev().flatten().next()
    }

    /// Gain of all her lambs together, grams a day, and how many they are: to the oldest age at which each has a weight.
    pub fn litter(&self) -> Option<(f64, usize)> {
        self.ages.iter().rev().flatten().find_map(|a| a.litter.map(|gain| (gain, a.n)))
    }

    /// Condition lost from lambing to weaning, points; less than nothing is gained.
    pub fn lost(&self) -> Option<f64> {
        self.condition.0.zip(self.condition.1).map(|(a, b)| a - b)
    }
}

/// Weight at another condition score: so many percent of it for each score (SRUC, Scottish Farmer 2016: 12).
pub fn at_score(weight: Weight, score: f64, rule: &MilkRule) -> Option<Weight> {
    let share = 1.0 + rule.score_percent / 100.0 * (rule.score - score);
    Weight::from_grams((weight.grams() as f64 * share).round() as i64)
}

/// Every ewe and crop as of a day, the last season first, in it by tag. The lambs' weights carry these factors. Work over
/// the whole flock.
pub fn milk(flock: &Flock, rules: &GrowthRules, using: Using, on: Day) -> Vec<MilkRow> {
    let ages: Vec<FixedAge> = (rules.milk.ages.iter())
        .map(|days| rules.age(*days).cloned().unwrap_or_else(|| GrowthRules::own_age(*days)))
        .map(|age| FixedAge::of(flock, rules, &age, using, on))
        .collect();
    let mut flock_means: Vec<BTreeMap<i32, (f64, usize)>> = Vec::new();
    for at in &ages {
        let mut years: BTreeMap<i32, (f64, usize)> = BTreeMap::new();
        for row in &at.rows {
            let year = flock.animal(row.animal).and_then(|a| a.born.year());
            if let Some(y) = year {
                let sum = years.entry(y).or_default();
                sum.0 += row.gain(at.age.days);
                sum.1 += 1;
            }
        }
        years.values_mut().for_each(|(sum, n)| *sum /= *n as f64);
        flock_means.push(years);
    }
    let crops = Crops::of(flock);
    let mut rows = Vec::new();
    for (ewe, lambs) in crops.all() {
        let mut from = 0;
        for i in 1..=lambs.len() {
            let ends = i == lambs.len() || lambs[i].born.since(lambs[i - 1].born) > SAME_CROP_DAYS;
            if ends {
                rows.extend(row(flock, rules, &ages, &flock_means, (ewe, &lambs[from..i]), on));
                from = i;
            }
        }
    }
    rank(&mut rows, ages.len());
    rows.sort_by(|a, b| {
        let tags = || crate::flock::natural(flock.tag(a.ewe), flock.tag(b.ewe));
        b.season.cmp(&a.season).then_with(tags).then(a.ewe.cmp(&b.ewe))
    });
    rows
}

fn row(
    flock: &Flock,
    rules: &GrowthRules,
    ages: &[FixedAge],
    means: &[BTreeMap<i32, (f64, usize)>],
    (ewe, lambs): (AnimalId, &[Reared]),
    on: Day,
) -> Option<MilkRow> {
    let file = flock.file(ewe)?;
    let born = lambs.first()?.born;
    if born > on {
        return None;
    }
    let season = born.year();
    // A lamb lost in its first days tells nothing of milk.
    let reared: Vec<&Reared> = lambs.iter().filter(|l| l.lost.is_none_or(|d| d.since(l.born) > 1)).collect();
    let to_the_end: Vec<&Reared> = reared.iter().copied().filter(|l| l.lost.is_none()).collect();
    let at_ages = ages.iter().zip(means).map(|(at, years)| {
        let weighed: Vec<_> = reared.iter().filter_map(|l| at.get(l.lamb)).collect();
        let n = weighed.len();
        let gains: f64 = weighed.iter().map(|r| r.gain(at.age.days)).sum();
        let straight: f64 = weighed
            .iter()
            .map(|r| (r.straight.grams() - r.birth.weight().grams()) as f64 / f64::from(at.age.days))
            .sum();
        let ratios: Vec<f64> = weighed.iter().filter_map(|r| r.ratio).collect();
        (n > 0).then(|| AtAge {
            days: at.age.days,
            n,
            gain: gains / n as f64,
            litter: (n == reared.len()).then_some(straight),
            ratio: (!ratios.is_empty()).then(|| ratios.iter().sum::<f64>() / ratios.len() as f64),
            flock: years.get(&season).copied().unwrap_or_default(),
            rank: (0, 0),
        })
    });
    let at_ages = at_ages.collect();
    let weaned = weight_weaned(flock, rules, ages, &to_the_end, on);
    let day = match weaned {
        Some((_, _, WeanedAt::Weaning(day))) => day,
        _ => born.plus(rules.milk.ages.iter().copied().max().map_or(60, i64::from)),
    };
    let near = rules.milk.near_days;
    let weight = nearest(file, day, near, on);
    let score = |day: Day| condition(file, day, near, on);
    let at = weight.and_then(|(d, w)| at_score(w, score(d)?, &rules.milk));
    let per_kg = weaned.zip(at).map(|((grams, ..), w)| grams as f64 / w.grams() as f64);
    Some(MilkRow {
        ewe,
        season,
        fostered: lambs.iter().filter(|l| flock.animal(l.lamb).is_some_and(|a| a.dam != Some(ewe))).count(),
        lambs: lambs.iter().map(|l| l.lamb).collect(),
        ages: at_ages,
        weaned,
        weight,
        at_score: at,
        per_kg,
        condition: (score(born), score(day)),
    })
}

/// The weight of all that lived to weaning: as weighed near the day it was ticked off, else carried to the oldest age.
fn weight_weaned(
    flock: &Flock,
    rules: &GrowthRules,
    ages: &[FixedAge],
    lambs: &[&Reared],
    on: Day,
) -> Option<(i64, usize, WeanedAt)> {
    if lambs.is_empty() {
        return None;
    }
    let at_weaning = || -> Option<(i64, usize, WeanedAt)> {
        let (mut sum, mut last) = (0, None);
        for l in lambs {
            let f = flock.file(l.lamb)?;
            let day = weaned(f).filter(|d| *d <= on)?;
            // Weaning turns on days here: the weight of the day, or as near as a fortnight.
            let (_, w) = nearest(f, day, rules.milk.near_days.min(14), on)?;
            sum += w.grams();
            last = last.max(Some(day));
        }
        last.map(|day| (sum, lambs.len(), WeanedAt::Weaning(day)))
    };
    let at_age = || -> Option<(i64, usize, WeanedAt)> {
        let at = ages.iter().max_by_key(|a| a.age.days)?;
        let all: Option<i64> = lambs.iter().map(|l| at.get(l.lamb).map(|r| r.straight.grams())).sum();
        all.map(|sum| (sum, lambs.len(), WeanedAt::Age(at.age.days)))
    };
    at_weaning().or_else(at_age)
}

/// The weighing nearest to a day, no further off than `near`.
fn nearest(f: &AnimalFile, day: Day, near: i64, on: Day) -> Option<(Day, Weight)> {
    let standing = f.weighings.iter().filter(|w| w.struck.is_none() && w.at.day <= on);
    standing
        .map(|w| (w.at.day, w.weight))
        .filter(|(d, _)| d.since(day).abs() <= near)
        .min_by_key(|(d, _)| d.since(day).abs())
}

/// The condition score nearest to a day, points.
fn condition(f: &AnimalFile, day: Day, near: i64, on: Day) -> Option<f64> {
    let standing = f.scores.iter().filter(|s| s.struck.is_none() && s.at.day <= on);
    standing
        .filter(|s| s.score.kind() == ScoreKind::Condition && s.at.day.since(day).abs() <= near)
        .min_by_key(|s| s.at.day.since(day).abs())
        .map(|s| s.score.points())
}

/// Places by the gain of a lamb within each year; ewes with the same gain share a place.
fn rank(rows: &mut [MilkRow], ages: usize) {
    for age in 0..ages {
        let mut years: BTreeMap<i32, Vec<f64>> = BTreeMap::new();
        for r in rows.iter() {
            if let Some(Some(a)) = r.ages.get(age) {
                years.entry(r.season).or_default().push(a.gain);
            }
        }
        years.values_mut().for_each(|all| all.sort_by(|a, b| b.total_cmp(a)));
        for r in rows.iter_mut() {
            let season = r.season;
            if let (Some(Some(a)), Some(all)) = (r.ages.get_mut(age), years.get(&season)) {
                let better = all.partition_point(|g| *g > a.gain);
                a.rank = (better + 1, all.len());
            }
        }
    }
}

//! A lamb's weight against those of its group. The one place that asks for weights at an age.

use crate::flock::{AnimalFile, Flock};
use crate::reckon::growth::corrected;
use crate::terms::{AnimalId, Day, Gain, Rearing, Sex, Weight};
use rapidhash::RapidHashMap;

/// A weight carried to a fixed age, against the mean of its group.
#[derive(Debug, Clone, PartialEq)]
pub struct Ratio {
    /// 100 is the mean of the group; none where it is alone in it.
    pub percent: Option<f64>,
    /// The weight at that age.
    pub weight: Weight,
    /// That age in days.
    pub age: i64,
    /// When it was weighed.
    pub on: Day,
    /// Gain a day since birth.
    pub gain: Option<Gain>,
    /// Its group in words.
    pub group: String,
    /// How many are in the group, itself counted.
    pub of: usize,
}

/// Under this age a weight tells of the birth more than of growth (common practice, no source).
const YOUNGEST: i64 = 10;

/// The fixed age a weighing is carried to: the nearest of 30, 60, 90 and 120 days (Boggess et al. 1991).
fn fixed(age: i64) -> i64 {
    match age {
        ..45 => 30,
        45..75 => 60,
        75..105 => 90,
        _ => 120,
    }
}

/// The last weight of each lamb up to a day, carried on a straight line to a fixed age and set against lambs of the
/// same sex, rearing and age, or of the group the keeper put it into.
pub(super) fn ratios(flock: &Flock, lambs: &[&AnimalFile], on: Day) -> RapidHashMap<AnimalId, Ratio> {
    let mut made: Vec<(AnimalId, Ratio)> = Vec::new();
    for f in lambs {
        let (Some(born), Some(birth)) = (f.animal.born.exact(), f.animal.birth_weight) else { continue };
        let fit = |d: Day| d <= on && d.since(born) >= YOUNGEST;
        let Some((day, weight)) = f.weights().into_iter().rfind(|(d, _)| fit(*d)) else { continue };
        let days = day.since(born);
        let age = fixed(days);
        let Some(at) = corrected(birth, weight, days, age) else { continue };
        let by_hand = f.groups.iter().find(|g| i64::from(g.age_days) == age).map(|g| g.group.clone());
        let group = by_hand.unwrap_or_else(|| rule(flock, f));
        let gain = Gain::between(birth, weight, days);
        made.push((f.animal.id, Ratio { percent: None, weight: at, age, on: day, gain, group, of: 0 }));
    }
    let mut sums: RapidHashMap<(i64, String), (f64, usize)> = RapidHashMap::default();
    for (_, r) in &made {
        let group = sums.entry((r.age, r.group.clone())).or_default();
        *group = (group.0 + r.weight.grams() as f64, group.1 + 1);
    }
    for (_, r) in &mut made {
        let (sum, n) = sums.get(&(r.age, r.group.clone())).copied().unwrap_or_default();
        r.of = n;
        r.percent = (n > 1 && sum > 0.0).then(|| r.weight.grams() as f64 * n as f64 / sum * 100.0);
    }
    made.into_iter().collect()
}

/// Sex, and how it is reared.
fn rule(flock: &Flock, f: &AnimalFile) -> String {
    let sex = if f.animal.sex == Sex::Ewe { "ewe lambs" } else { "ram lambs" };
    let reared = match f.animal.rearing {
        Rearing::Bottle => "on the bottle".to_string(),
        _ => match beside(flock, f) {
            1 => "reared alone".into(),
            2 => "reared as twins".into(),
            n => format!("reared {n} together"),
        },
    };
    format!("{sex} {reared}")
}

/// How many the ewe that rears it has had at her foot of about its age, itself counted; as written where it is.
fn beside(flock: &Flock, f: &AnimalFile) -> usize {
    if let Some(n) = f.animal.rear_type.filter(|r| r.count() > 0) {
        return n.count().into();
    }
    let (Some(ewe), Some(born)) = (flock.reared_by(&f.animal), f.animal.born.day()) else { return 1 };
    let near = |a: &crate::flock::Animal| a.born.day().is_some_and(|d| d.since(born).abs() <= 14);
    let Some(ewe) = flock.file(ewe) else { return 1 };
    let lived = |l: &AnimalFile| {
        near(&l.animal)
            && l.animal.status_on.is_none_or(|d| d.since(born) >= YOUNGEST || l.animal.status.is_here())
    };
    let own = ewe.offspring.iter().filter_map(|id| flock.file(*id));
    own.filter(|l| flock.reared_by(&l.animal) == Some(ewe.animal.id) && lived(l)).count().max(1)
}

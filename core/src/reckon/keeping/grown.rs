//! A lamb's weight against those of its group. The one place that asks for weights at an age.

use crate::flock::{AnimalFile, Flock};
use crate::reckon::growth::fixed::{FixedAge, Using};
use crate::reckon::growth::rules::GrowthRules;
use crate::terms::{AnimalId, Day, Gain, Weight};
use rapidhash::RapidHashMap;

/// A weight carried to a fixed age, against the mean of its group.
#[derive(Debug, Clone, PartialEq)]
pub struct Ratio {
    /// 100 is the mean of the group; none where the group is too small.
    pub percent: Option<f64>,
    /// The weight at that age, with the factors named.
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
    /// Which factors it carries.
    pub factors: String,
}

/// The last weight of each lamb up to a day, carried to the age the rules of growth have for it, with the flock's own
/// factors where enough weights stand behind them.
pub(super) fn ratios(flock: &Flock, lambs: &[&AnimalFile], on: Day) -> RapidHashMap<AnimalId, Ratio> {
    let rules = GrowthRules::of(flock);
    let ages: Vec<FixedAge> =
        rules.ages.iter().map(|age| FixedAge::of(flock, &rules, age, Using::Own, on)).collect();
    let mut made = RapidHashMap::default();
    for f in lambs {
        let rows = ages.iter().filter_map(|at| Some((at, at.get(f.animal.id)?)));
        // The last weighing tells most; of one weighing the age nearest to it.
        let best = rows.max_by_key(|(at, r)| (r.on, -(r.at_age - i64::from(at.age.days)).abs()));
        let Some((at, row)) = best else { continue };
        let group = at.group(row);
        let ratio = Ratio {
            percent: row.ratio,
            weight: row.adjusted,
            age: at.age.days.into(),
            on: row.on,
            gain: Gain::between(row.birth.weight(), row.weighed, row.at_age),
            group: group.map(|g| g.name.clone()).unwrap_or_default(),
            of: group.map_or(0, |g| g.n),
            factors: row.factor_words(),
        };
        made.insert(f.animal.id, ratio);
    }
    made
}

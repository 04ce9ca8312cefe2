//! The curves of this flock, one for each sort of animal, and the bands that go with them.
//!
//! Drawn from the newest weights of each sort, when first asked for; kept with the version of the flock, and taken over
//! by the next for every sort whose weights are the same, so that one weighing draws one curve anew.

use super::curve::Curve;
use super::draw::{Spread, draw};
use super::own::MODELS;
use super::sort::{Sort, sort_of};
use crate::flock::{AnimalFile, Flock};
use crate::handbook::curves as bounds;
use crate::terms::{AnimalId, Day, counted};
use rapidhash::RapidHashMap;
use std::collections::BTreeMap;
use std::hash::{Hash as _, Hasher as _};
use std::sync::{Arc, OnceLock};

/// One weight: day, animal, age in days, grams. In this order the newest come last.
type Weighed = (Day, AnimalId, i64, i64);

/// The weights of one sort.
#[derive(Debug)]
struct Group {
    /// The newest.
    weights: Vec<Weighed>,
    animals: usize,
    /// Their ages, from young to old.
    ages: Vec<i64>,
    /// Tells whether another version has the same.
    mark: u64,
    curve: OnceLock<Option<Arc<Curve>>>,
}

/// Curves of the flock by sort.
#[derive(Debug, Default)]
pub struct Bands {
    groups: BTreeMap<Sort, Group>,
}

/// The curve of the animals like one.
#[derive(Debug, Clone)]
pub struct Like {
    /// Whom it is of.
    pub sort: Sort,
    /// Their curve.
    pub curve: Arc<Curve>,
    /// Weights it stands on.
    pub weights: usize,
    /// Animals they are of.
    pub animals: usize,
}

/// The flock's own weights do not suffice.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error(
    "this flock has {} of {} for that: its own band needs {} of {} lambs, {} of them near that age",
    counted(*.weights, "weight"), counted(*.animals, "lamb"), bounds::flock_weights(), bounds::flock_animals(),
    bounds::near_weights()
)]
pub struct NotEnough {
    /// Weights of lambs of that sex.
    pub weights: usize,
    /// Animals they are of.
    pub animals: usize,
}

/// The flock's curves; nothing is drawn before it is asked for.
pub fn bands(flock: &Flock) -> Arc<Bands> {
    flock.kept_from(|before| Bands::of(flock, before.as_deref()))
}

impl Bands {
    fn of(flock: &Flock, before: Option<&Self>) -> Self {
        let most = usize::try_from(bounds::flock_most()).unwrap_or(60);
        let to = bounds::flock_to_days();
        let last = |f: &AnimalFile| f.weighings.iter().filter(|w| w.struck.is_none()).map(|w| w.at.day).max();
        let Some(newest) = flock.files().filter_map(last).max() else { return Self::default() };
        let oldest = newest.plus(-(bounds::flock_years() * 1461 / 4 + to));
        let mut by_sort: RapidHashMap<Sort, Vec<Weighed>> = RapidHashMap::default();
        for f in flock.files() {
            let Some(born) = f.animal.born.exact().filter(|b| *b >= oldest) else { continue };
            let mut weights = f
                .weighings
                .iter()
                .filter(|w| w.struck.is_none())
                .map(|w| (w.at.day, w.at.day.since(born), w.weight.grams()))
                .filter(|(_, age, _)| (0..=to).contains(age))
                .peekable();
            // Birth weights alone tell nothing of growth.
            if weights.peek().is_none() {
                continue;
            }
            let birth = f.animal.birth_weight.map(|w| (born, 0, w.grams()));
            let all = by_sort.entry(sort_of(flock, f)).or_default();
            all.extend(birth.into_iter().chain(weights).map(|(day, age, g)| (day, f.animal.id, age, g)));
            if all.len() > MANY {
                newest_of(all, most);
            }
        }
        let mut wide: BTreeMap<Sort, Vec<Weighed>> = BTreeMap::new();
        for (sort, mut weights) in by_sort {
            newest_of(&mut weights, most);
            let mut sorts: Vec<Sort> = sort.wider().into();
            sorts.dedup();
            for sort in sorts {
                wide.entry(sort).or_default().extend(&weights);
            }
        }
        let group = |(sort, mut weights): (Sort, Vec<Weighed>)| {
            newest_of(&mut weights, most);
            weights.sort_unstable();
            let group = Group::of(weights);
            let same = before.and_then(|b| b.groups.get(&sort)).filter(|b| b.mark == group.mark);
            if let Some(curve) = same.and_then(|b| b.curve.get()) {
                let _ = group.curve.set(curve.clone());
            }
            (sort, group)
        };
        Self { groups: wide.into_iter().map(group).collect() }
    }

    /// The narrowest sort an animal belongs to whose weights suffice for a band at this age.
    ///
    /// # Errors
    /// How many weights there are.
    pub fn like(&self, flock: &Flock, file: &AnimalFile, age: i64) -> Result<Like, NotEnough> {
        self.like_sort(sort_of(flock, file), age)
    }

    /// The same for a sort.
    ///
    /// # Errors
    /// How many weights there are.
    pub fn like_sort(&self, sort: Sort, age: i64) -> Result<Like, NotEnough> {
        let wider = sort.wider();
        let found = wider.iter().find_map(|sort| {
            let group = self.groups.get(sort)?;
            (group.is_enough() && group.near(age)).then_some(())?;
            let like = group.like(*sort)?;
            like.curve.covers(age as f64).then_some(like)
        });
        let sex = self.groups.get(&wider[2]);
        found.ok_or(NotEnough {
            weights: sex.map_or(0, |g| g.weights.len()),
            animals: sex.map_or(0, |g| g.animals),
        })
    }

    /// Every sort whose weights suffice for a curve, with how many weights of how many animals there are.
    pub fn sorts(&self) -> impl Iterator<Item = (Sort, usize, usize)> {
        self.groups.iter().filter(|(_, g)| g.is_enough()).map(|(s, g)| (*s, g.weights.len(), g.animals))
    }

    /// The curve of one of [`Bands::sorts`], as far as one fits.
    pub fn of_sort(&self, sort: Sort) -> Option<Like> {
        self.groups.get(&sort).filter(|g| g.is_enough()).and_then(|g| g.like(sort))
    }

    /// The weights a curve stands on: animal, age in days, kilograms.
    pub fn weights(&self, sort: Sort) -> impl Iterator<Item = (AnimalId, f64, f64)> {
        let all = self.groups.get(&sort).into_iter().flat_map(|g| &g.weights);
        all.map(|(_, id, age, grams)| (*id, *age as f64, *grams as f64 / 1000.0))
    }
}

impl Group {
    fn of(weights: Vec<Weighed>) -> Self {
        let mut hash = rapidhash::fast::RapidHasher::default();
        weights.hash(&mut hash);
        let mut animals: Vec<AnimalId> = weights.iter().map(|(_, id, ..)| *id).collect();
        animals.sort_unstable();
        animals.dedup();
        let mut ages: Vec<i64> = weights.iter().map(|w| w.2).collect();
        ages.sort_unstable();
        Self { animals: animals.len(), ages, mark: hash.finish(), weights, curve: OnceLock::new() }
    }

    fn is_enough(&self) -> bool {
        let count = |n: i64| usize::try_from(n).unwrap_or(usize::MAX);
        self.weights.len() >= count(bounds::flock_weights()) && self.animals >= count(bounds::flock_animals())
    }

    fn near(&self, age: i64) -> bool {
        let within = bounds::near_days().max(age / 5);
        let below = |limit: i64| self.ages.partition_point(|a| *a < limit);
        let near = below(age + within + 1) - below(age - within);
        near >= usize::try_from(bounds::near_weights()).unwrap_or(usize::MAX)
    }

    fn like(&self, sort: Sort) -> Option<Like> {
        let curve = self.curve.get_or_init(|| {
            let points: Vec<(f64, f64)> =
                self.weights.iter().map(|(_, _, age, grams)| (*age as f64, *grams as f64 / 1000.0)).collect();
            draw(&points, &MODELS, Spread::Robust).ok().map(Arc::new)
        });
        let curve = Arc::clone(curve.as_ref()?);
        Some(Like { sort, curve, weights: self.weights.len(), animals: self.animals })
    }
}

/// So many weights of one sort are thinned out before more are gathered.
const MANY: usize = 16_384;
/// Days of a stretch of age.
const STRETCH: i64 = 14;

/// Keeps the newest of each stretch of age: the newest of all might be of one day, and tell nothing of other ages.
fn newest_of(all: &mut Vec<Weighed>, most: usize) {
    if all.len() <= most {
        return;
    }
    let stretch = |w: &Weighed| w.2 / STRETCH;
    all.sort_unstable_by(|a, b| stretch(a).cmp(&stretch(b)).then_with(|| b.cmp(a)));
    let (mut now, mut kept) = (-1, 0);
    all.retain(|w| {
        if stretch(w) != now {
            (now, kept) = (stretch(w), 0);
        }
        kept += 1;
        kept <= most
    });
}

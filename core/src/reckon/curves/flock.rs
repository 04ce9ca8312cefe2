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
        let mut by_sort: RapidHashMap<Sort, Newest> = RapidHashMap::default();
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
            for (day, age, grams) in birth.into_iter().chain(weights) {
                all.push((day, f.animal.id, age, grams), most);
            }
        }
        let mut wide: BTreeMap<Sort, Newest> = BTreeMap::new();
        for (sort, newest) in by_sort {
            let mut sorts: Vec<Sort> = sort.wider().into();
            sorts.dedup();
            for sort in sorts {
                let all = wide.entry(sort).or_default();
                newest.all().for_each(|w| all.push(*w, most));
            }
        }
        let group = |(sort, newest): (Sort, Newest)| {
            let group = Group::of(newest.finish(most));
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

/// Days of a stretch of age.
const STRETCH: i64 = 14;

/// The newest weights of each stretch of age: the newest of all might be of one day, and tell nothing of other ages.
#[derive(Debug, Default)]
struct Newest(Vec<Stretch>);

#[derive(Debug, Default)]
struct Stretch {
    weights: Vec<Weighed>,
    /// The oldest that was kept when they were thinned out: older ones need not be looked at.
    from: Option<Weighed>,
}

impl Newest {
    fn push(&mut self, weighed: Weighed, most: usize) {
        let at = usize::try_from(weighed.2 / STRETCH).unwrap_or(0);
        if self.0.len() <= at {
            self.0.resize_with(at + 1, Stretch::default);
        }
        let Some(stretch) = self.0.get_mut(at) else { return };
        if stretch.from.is_some_and(|from| weighed < from) {
            return;
        }
        stretch.weights.push(weighed);
        if stretch.weights.len() >= 4 * most.max(1) {
            stretch.thin(most);
        }
    }

    fn all(&self) -> impl Iterator<Item = &Weighed> {
        self.0.iter().flat_map(|s| &s.weights)
    }

    fn finish(mut self, most: usize) -> Vec<Weighed> {
        self.0.iter_mut().for_each(|s| s.thin(most));
        let mut all: Vec<Weighed> = self.0.into_iter().flat_map(|s| s.weights).collect();
        all.sort_unstable();
        all
    }
}

impl Stretch {
    fn thin(&mut self, most: usize) {
        if let Some(from) = self.weights.len().checked_sub(most).filter(|n| *n > 0) {
            self.weights.select_nth_unstable(from);
            self.weights.drain(..from);
            self.from = self.weights.iter().min().copied();
        }
    }
}

//! Where lambs stood, day by day, and which of them eat.

use crate::flock::{AnimalFile, Flock};
use crate::reckon::due::weaned;
use crate::terms::{AnimalId, Day, Status, norm};
use std::collections::{BTreeMap, BTreeSet};

/// A lamb's time in a pen.
#[derive(Debug, Clone)]
pub(super) struct Stay {
    /// First day.
    pub from: Day,
    /// The day it was there no longer.
    pub until: Option<Day>,
    /// Born.
    pub born: Day,
}

impl Stay {
    fn holds(&self, on: Day) -> bool {
        self.from <= on && self.until.is_none_or(|u| on < u)
    }
}

/// Stays of lambs by pen, in comparable form.
#[derive(Debug, Default)]
pub(super) struct Stays(BTreeMap<String, Vec<Stay>>);

/// Older ones are no lambs: what they ate of a creep is not counted by the lamb.
const LAMB_DAYS: i64 = 365;

impl Stays {
    /// Of these pens, lambs born since a day.
    pub(super) fn of(flock: &Flock, pens: &BTreeSet<String>, since: Day) -> Self {
        let mut all = Self::default();
        if pens.is_empty() {
            return all;
        }
        for f in flock.files() {
            let Some(born) = f.animal.born.day().filter(|b| *b >= since) else { continue };
            let gone = gone(f);
            for (from, until, pen) in line(f, born) {
                let pen = norm(pen);
                if !pens.contains(&pen) {
                    continue;
                }
                let until = [until, gone].into_iter().flatten().min();
                if until.is_none_or(|u| u > from) {
                    all.0.entry(pen).or_default().push(Stay { from, until, born });
                }
            }
        }
        all
    }

    /// How many lambs of this age and more were in a pen on a day, and the sum of their ages.
    pub(super) fn eating(&self, pen: &str, on: Day, from_age: i64) -> (u32, i64) {
        let there = self.0.get(pen).into_iter().flatten().filter(|s| s.holds(on));
        let ages = there.map(|s| on.since(s.born)).filter(|a| (from_age..LAMB_DAYS).contains(a));
        ages.fold((0, 0), |(n, sum), age| (n + 1, sum + age))
    }
}

/// The day an animal was in the flock no longer; of one that left on a day nobody wrote down, the day it was born.
fn gone(f: &AnimalFile) -> Option<Day> {
    match f.animal.status {
        Status::Present => None,
        _ => f.animal.status_on.or_else(|| f.animal.born.day()),
    }
}

/// Its pens in order of time: from, until, which. Without a move it was always where it is now.
fn line(f: &AnimalFile, born: Day) -> Vec<(Day, Option<Day>, &str)> {
    let moves: Vec<_> = f.pen_moves.iter().filter(|m| m.struck.is_none()).collect();
    if moves.is_empty() {
        return f.animal.pen.as_deref().map(|pen| (born, None, pen)).into_iter().collect();
    }
    let next = |i: usize| moves.get(i + 1).map(|m| m.on);
    let all = moves.iter().enumerate();
    all.filter_map(|(i, m)| Some((m.on.max(born), next(i), m.pen.as_deref()?))).collect()
}

/// The pen a living animal of the flock is in at the end of a day.
pub(super) fn pen_on(f: &AnimalFile, on: Day) -> Option<&str> {
    if gone(f).is_some_and(|g| g <= on) {
        return None;
    }
    let mut moves = f.pen_moves.iter().filter(|m| m.struck.is_none()).peekable();
    if moves.peek().is_none() {
        return f.animal.pen.as_deref();
    }
    moves.rfind(|m| m.on <= on).and_then(|m| m.pen.as_deref())
}

/// The lambs of a pen on a day.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct AtTheCreep {
    /// Those old enough to eat, the oldest first, each with its age in days.
    pub eat: Vec<(AnimalId, i64)>,
    /// So many are too young to eat.
    pub too_young: usize,
    /// The youngest of all in the pen, days.
    pub youngest_of_all: Option<i64>,
    /// How many of those that eat are weaned.
    pub weaned: usize,
    /// The day the last of those weaned was weaned.
    pub weaned_last: Option<Day>,
}

impl AtTheCreep {
    /// Age in days of the oldest that eats.
    pub fn oldest(&self) -> Option<i64> {
        self.eat.first().map(|(_, age)| *age)
    }

    /// Age in days of the youngest that eats.
    pub fn youngest(&self) -> Option<i64> {
        self.eat.last().map(|(_, age)| *age)
    }

    /// Mean age of those that eat, in whole days and rounded down: a step never comes too early.
    pub fn mean(&self) -> Option<i64> {
        let n = i64::try_from(self.eat.len()).ok().filter(|n| *n > 0)?;
        Some(self.eat.iter().map(|(_, age)| age).sum::<i64>().div_euclid(n))
    }

    /// Every lamb that eats is weaned.
    pub fn all_weaned(&self) -> bool {
        !self.eat.is_empty() && self.weaned == self.eat.len()
    }
}

/// The lambs of every pen on a day, by its comparable name, with the name as written. `keep` leaves some of them out.
pub(super) fn by_pen(
    flock: &Flock,
    on: Day,
    from_age: i64,
    keep: impl Fn(&AnimalFile, i64, Option<Day>) -> bool,
) -> BTreeMap<String, (String, AtTheCreep)> {
    let mut all: BTreeMap<String, (String, AtTheCreep)> = BTreeMap::new();
    for f in flock.files() {
        let Some(age) = f.animal.age_days(on).filter(|a| *a < LAMB_DAYS) else { continue };
        let Some(pen) = pen_on(f, on) else { continue };
        let weaned = weaned(f).filter(|w| *w <= on);
        if !keep(f, age, weaned) {
            continue;
        }
        let (_, at) = all.entry(norm(pen)).or_insert_with(|| (pen.to_string(), AtTheCreep::default()));
        at.youngest_of_all = Some(at.youngest_of_all.map_or(age, |y| y.min(age)));
        if age < from_age {
            at.too_young += 1;
            continue;
        }
        at.eat.push((f.animal.id, age));
        if let Some(day) = weaned {
            at.weaned += 1;
            at.weaned_last = at.weaned_last.max(Some(day));
        }
    }
    for (_, at) in all.values_mut() {
        at.eat.sort_by_key(|(id, age)| (std::cmp::Reverse(*age), *id));
    }
    all
}

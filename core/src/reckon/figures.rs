//! A ewe's figures beside the flock's of the same years.

use super::growth;
use crate::flock::{AnimalFile, Flock, Lambing};
use crate::phrase;
use crate::terms::{AnimalId, Day, Ease, Fate, Rearing, Status, Weight};
use std::collections::BTreeMap;

/// A lamb counts as reared when it lived to this age in days (handbook, 60).
pub fn reared_at() -> i64 {
    crate::handbook::lambing::reared_days()
}

/// Mean of weights: sum in grams and count.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Mean {
    sum: i64,
    /// How many.
    pub n: u32,
}

impl Mean {
    /// Takes one more in.
    pub fn add(&mut self, w: Weight) {
        self.sum += w.grams();
        self.n += 1;
    }

    /// Takes those of another mean in.
    pub fn join(&mut self, other: Self) {
        self.sum += other.sum;
        self.n += other.n;
    }

    /// The mean, if there is any.
    pub fn mean(self) -> Option<Weight> {
        (self.n > 0)
            .then(|| Weight::from_grams((self.sum as f64 / f64::from(self.n)).round() as i64))
            .flatten()
    }
}

/// One past lambing as a row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LambingRow {
    /// The lambing's year and day.
    pub on: Day,
    /// The ram.
    pub ram: Option<AnimalId>,
    /// Born, dead ones counted.
    pub born: u32,
    /// Born alive.
    pub alive: u32,
    /// Lived to 60 days, under whatever ewe.
    pub reared: u32,
    /// Still alive but younger than 60 days.
    pub growing: u32,
    /// Hardest ease of the lambing and its lambs.
    pub ease: Option<Ease>,
    /// Birth weights in order of birth.
    pub birth_weights: Vec<Option<Weight>>,
    /// 60-day weights in order of birth.
    pub sixty_day: Vec<Option<Weight>>,
    /// What went wrong, in words.
    pub trouble: Vec<String>,
}

/// The row of one lambing as of a day.
pub fn lambing_row(flock: &Flock, l: &Lambing, today: Day) -> LambingRow {
    let mut row = LambingRow {
        on: l.at.day,
        ram: l.ram,
        born: 0,
        alive: 0,
        reared: 0,
        growing: 0,
        ease: l.ease,
        birth_weights: Vec::new(),
        sixty_day: Vec::new(),
        trouble: Vec::new(),
    };
    if let Some(help) = &l.help {
        row.trouble.push(help.to_string());
    }
    for lamb in l.lambs.iter().filter_map(|id| flock.file(*id)) {
        row.born += 1;
        row.birth_weights.push(lamb.animal.birth_weight);
        row.sixty_day.push(growth::sixty_day(lamb).map(|s| s.weight));
        let fate = lamb.birth.as_ref().map_or(Fate::Alive, |b| b.fate);
        if let Some(e) = lamb.birth.as_ref().and_then(|b| b.ease) {
            row.ease = Some(row.ease.map_or(e, |r| r.max(e)));
        }
        if fate == Fate::BornDead {
            row.trouble.push(phrase!("{} born dead", &lamb.animal.tag()));
            continue;
        }
        row.alive += 1;
        match lived(lamb, l.at.day, today) {
            Lived::Reared => row.reared += 1,
            Lived::Growing => row.growing += 1,
            Lived::Lost(age) => {
                let why = lamb.animal.status_reason.as_deref().map(|r| format!(": {r}")).unwrap_or_default();
                row.trouble.push(match age {
                    Some(0) => phrase!("{} died on its first day{why}", &lamb.animal.tag()),
                    Some(1) => phrase!("{} died at 1 day{why}", &lamb.animal.tag()),
                    Some(a) => phrase!("{} died at {a} days{why}", &lamb.animal.tag()),
                    None => phrase!("{} died{why}", &lamb.animal.tag()),
                });
            }
        }
        match lamb.animal.rearing {
            Rearing::Dam => {}
            Rearing::Foster(e) => {
                row.trouble.push(phrase!("{} fostered to {}", &lamb.animal.tag(), &flock.tag(e)))
            }
            Rearing::Bottle => row.trouble.push(phrase!("{} on the bottle", &lamb.animal.tag())),
        }
    }
    if let Some(note) = &l.note {
        row.trouble.push(note.to_string());
    }
    row
}

enum Lived {
    Reared,
    Growing,
    Lost(Option<i64>),
}

fn lived(lamb: &AnimalFile, born: Day, today: Day) -> Lived {
    let a = &lamb.animal;
    let until = match a.status {
        Status::Present | Status::Outside => today,
        _ => a.status_on.unwrap_or(born),
    };
    let age = until.since(born);
    if age >= reared_at() {
        return Lived::Reared;
    }
    match a.status {
        Status::Present | Status::Lent | Status::Outside => Lived::Growing,
        Status::Sold => Lived::Reared, // left alive
        Status::Dead | Status::Culled | Status::Missing => Lived::Lost(a.status_on.map(|_| age)),
    }
}

/// A ewe's figures over her lambings that stand.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct EweFigures {
    /// Lambings.
    pub lambings: u32,
    /// Lambs born.
    pub born: u32,
    /// Born alive.
    pub alive: u32,
    /// Reared to 60 days (of those old enough to tell).
    pub reared: u32,
    /// Mean birth weight of her lambs.
    pub birth: Mean,
    /// Flock's mean birth weight over the same years, each of her lambs' years counted once a lamb.
    pub flock_birth: Option<Weight>,
    /// Mean 60-day weight of her lambs.
    pub sixty: Mean,
    /// Flock's mean 60-day weight over the same years.
    pub flock_sixty: Option<Weight>,
    /// Year, lambs born, lambs reared, still growing.
    pub by_year: Vec<(i32, u32, u32, u32)>,
}

/// Flock means by year of birth. Work over all animals: keep it for as long as the flock's version stands.
#[derive(Debug, Clone, Default)]
pub struct YearMeans {
    birth: BTreeMap<i32, Mean>,
    sixty: BTreeMap<i32, Mean>,
}

impl YearMeans {
    /// Means of all lambs born in the flock's lambings.
    pub fn of(flock: &Flock) -> Self {
        let mut all = Self::default();
        for f in flock.files().filter(|f| f.birth.is_some()) {
            let Some(year) = f.animal.born.year() else { continue };
            if let Some(w) = f.animal.birth_weight {
                all.birth.entry(year).or_default().add(w);
            }
            if let Some(s) = growth::sixty_day(f) {
                all.sixty.entry(year).or_default().add(s.weight);
            }
        }
        all
    }

    /// Mean birth weight of a year's lambs.
    pub fn birth(&self, year: i32) -> Option<Weight> {
        self.birth.get(&year).and_then(|m| m.mean())
    }

    /// Mean 60-day weight of a year's lambs.
    pub fn sixty(&self, year: i32) -> Option<Weight> {
        self.sixty.get(&year).and_then(|m| m.mean())
    }
}

/// Figures of a ewe as of a day.
pub fn ewe(flock: &Flock, means: &YearMeans, file: &AnimalFile, today: Day) -> EweFigures {
    let mut f = EweFigures::default();
    let (mut flock_birth, mut flock_sixty) = (Mean::default(), Mean::default());
    for l in file.lambings_standing() {
        let row = lambing_row(flock, l, today);
        let year = l.at.day.year();
        f.lambings += 1;
        f.born += row.born;
        f.alive += row.alive;
        f.reared += row.reared;
        match f.by_year.last_mut() {
            Some(y) if y.0 == year => {
                y.1 += row.born;
                y.2 += row.reared;
                y.3 += row.growing;
            }
            _ => f.by_year.push((year, row.born, row.reared, row.growing)),
        }
        for w in row.birth_weights.iter().flatten() {
            f.birth.add(*w);
            if let Some(m) = means.birth(year) {
                flock_birth.add(m);
            }
        }
        for w in row.sixty_day.iter().flatten() {
            f.sixty.add(*w);
            if let Some(m) = means.sixty(year) {
                flock_sixty.add(m);
            }
        }
    }
    f.flock_birth = flock_birth.mean();
    f.flock_sixty = flock_sixty.mean();
    f
}

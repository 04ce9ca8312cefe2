//! How long ewes carry: the keeper's own figures, the flock's own lambings, the handbook.

use super::known::known;
use super::{early, late, usual};
use crate::flock::{Animal, Flock};
use crate::handbook::gestation as book;
use crate::phrase;
use crate::terms::{Breed, Misread};
use rapidhash::RapidHashMap;
use std::collections::BTreeMap;

/// Where a length of gestation is taken from.
#[derive(Debug, Clone, PartialEq)]
pub enum From {
    /// The keeper wrote it down for her breed.
    Keeper,
    /// Lambings of her breed in this flock.
    Breed(String, Learnt),
    /// All lambings of this flock.
    Flock(Learnt),
    /// The handbook.
    Handbook,
}

/// Days from service to lambing, for one ewe.
#[derive(Debug, Clone, PartialEq)]
pub struct Length {
    /// The usual length, days.
    pub usual: i64,
    /// Shortest, days.
    pub early: i64,
    /// Longest, days.
    pub late: i64,
    /// Where that is taken from.
    pub from: From,
}

impl Length {
    fn handbook() -> Self {
        Self { usual: usual(), early: early(), late: late(), from: From::Handbook }
    }

    /// Shortest and longest days by which a lambing may be explained: the handbook's window holds in any case, since
    /// what a flock has shown so far is not all it can show.
    pub fn widest(&self) -> (i64, i64) {
        (self.early.min(early()), self.late.max(late()))
    }

    /// `147 days (144 to 152), by the handbook: shorter in meat breeds, longer in fine wools`.
    pub fn words(&self) -> String {
        let days = phrase!("{} days ({} to {})", self.usual, self.early, self.late);
        match &self.from {
            From::Keeper => phrase!("{days}, your own figure for the breed"),
            From::Breed(breed, l) => phrase!("{days}, learnt from {} of {breed} in this flock", l.words()),
            From::Flock(l) => phrase!("{days}, learnt from {} of this flock", l.words()),
            From::Handbook => phrase!("{days}, by the handbook: {}", book::breeds()),
        }
    }
}

/// What the flock's own lambings with a known day of service tell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Learnt {
    /// How many lambings.
    pub n: u32,
    /// Mean days from service to lambing.
    pub mean: f64,
    /// Their standard deviation, days (with n - 1).
    pub sd: f64,
    /// Lambings outside 135 to 160 days, which were left out.
    pub left_out: u32,
}

impl Learnt {
    /// Mean and standard deviation of some lengths, without those too short or too long to be of that service; none
    /// where fewer than 20 are left.
    pub fn of(days: &[i64]) -> Option<Self> {
        let sound: Vec<f64> = days
            .iter()
            .filter(|d| is_sound(**d))
            .map(|d| f64::from(i32::try_from(*d).unwrap_or(0)))
            .collect();
        let n = u32::try_from(sound.len()).ok().filter(|n| *n >= book::learn_least() && *n > 1)?;
        let mean = sound.iter().sum::<f64>() / f64::from(n);
        let squares: f64 = sound.iter().map(|d| (d - mean).powi(2)).sum();
        let left_out = u32::try_from(days.len() - sound.len()).unwrap_or(u32::MAX);
        Some(Self { n, mean, sd: (squares / f64::from(n - 1)).sqrt(), left_out })
    }

    /// Usual, shortest and longest in whole days: the mean, and two standard deviations either way, at least two days.
    pub fn days(&self) -> (i64, i64, i64) {
        #[allow(clippy::cast_possible_truncation)] // lengths lie in 135 to 160
        let whole = |d: f64| d.round() as i64;
        let (usual, spread) = (whole(self.mean), 2.0 * self.sd);
        (usual, whole(self.mean - spread).min(usual - 2), whole(self.mean + spread).max(usual + 2))
    }

    /// `34 lambings (mean 146.2, standard deviation 1.9; 2 left out as too short or too long)`.
    pub fn words(&self) -> String {
        let out = match self.left_out {
            0 => String::new(),
            n => phrase!("; {n} left out as too short or too long"),
        };
        phrase!("{} lambings (mean {:.1} days, standard deviation {:.1}{out})", self.n, self.mean, self.sd)
    }
}

fn is_sound(days: i64) -> bool {
    (book::learn_from_days()..=book::learn_to_days()).contains(&days)
}

/// Every length the flock knows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Lengths {
    /// The keeper's own: breed and usual days.
    pub own: Vec<(String, i64)>,
    /// Learnt from all lambings, where there are 20 or more.
    pub flock: Option<Learnt>,
    /// Learnt for a breed that has 20 or more itself, by its name.
    pub breeds: BTreeMap<String, Learnt>,
}

impl Lengths {
    /// Of the keeper's own figures and every known length of gestation with the breed of its ewe.
    pub(super) fn of<'a>(own: &str, known: impl Iterator<Item = &'a (Option<Breed>, i64)>) -> Self {
        let mut all: Vec<i64> = Vec::new();
        let mut by: RapidHashMap<&Breed, Vec<i64>> = RapidHashMap::default();
        for (breed, days) in known {
            all.push(*days);
            if let Some(breed) = breed {
                by.entry(breed).or_default().push(*days);
            }
        }
        // The order of the files is not promised; sums must not hang on it.
        all.sort_unstable();
        by.values_mut().for_each(|d| d.sort_unstable());
        let breeds = by.into_iter().filter_map(|(breed, days)| Some((breed.to_string(), Learnt::of(&days)?)));
        Self { own: parse(own).unwrap_or_default(), flock: Learnt::of(&all), breeds: breeds.collect() }
    }

    /// The length for a ewe: the keeper's own figure for her breed, what her breed showed in this flock, what the flock
    /// showed, the handbook's. A cross goes by its parts where the keeper has a figure for one of them.
    pub fn of_ewe(&self, ewe: &Animal) -> Length {
        let learnt = self.learnt(ewe.breed.as_ref());
        match ewe.breed.as_ref().and_then(|b| self.own_of(b, learnt.usual)) {
            Some(own) => Length {
                usual: own,
                early: own - (usual() - early()),
                late: own + (late() - usual()),
                from: From::Keeper,
            },
            None => learnt,
        }
    }

    fn learnt(&self, breed: Option<&Breed>) -> Length {
        let of = |l: &Learnt, from: From| {
            let (usual, early, late) = l.days();
            Length { usual, early, late, from }
        };
        let breed = breed.map(Breed::to_string);
        if let Some((name, l)) = breed.and_then(|b| self.breeds.get(&b).map(|l| (b, l))) {
            return of(l, From::Breed(name, *l));
        }
        self.flock.map_or_else(Length::handbook, |l| of(&l, From::Flock(l)))
    }

    /// The keeper's figure by parts; a part without one counts as `other`.
    fn own_of(&self, breed: &Breed, other: i64) -> Option<i64> {
        let figure = |name: &str| {
            let same = |own: &str| own.to_lowercase() == name.to_lowercase();
            self.own.iter().find(|(own, _)| same(own)).map(|(_, days)| *days)
        };
        // Whole breeds first: a name may itself hold a share.
        if let Some(days) = figure(&breed.to_string()) {
            return Some(days);
        }
        let parts = breed.parts();
        parts.iter().find_map(|p| figure(&p.name))?;
        let den = parts.iter().fold(1_i64, |d, p| d.saturating_mul(i64::from(p.den)));
        let share = |p: &crate::terms::BreedPart| den / i64::from(p.den).max(1) * i64::from(p.num);
        let sum: i64 = parts.iter().map(|p| share(p) * figure(&p.name).unwrap_or(other)).sum();
        let whole: i64 = parts.iter().map(share).sum();
        (whole > 0).then(|| (2 * sum + whole) / (2 * whole))
    }

    /// Whether two give every ewe the same days; their means may differ by less than that.
    pub fn same_days(&self, other: &Self) -> bool {
        let of = |l: &Self| {
            let breeds: Vec<_> = l.breeds.iter().map(|(b, l)| (b.clone(), l.days())).collect();
            (l.own.clone(), l.flock.map(|l| l.days()), breeds)
        };
        of(self) == of(other)
    }
}

/// The keeper's own figures: `Fellside 148; Hillgrey 146`.
///
/// # Errors
/// What is no breed and days, days that no ewe carries, a breed written twice.
pub fn parse(text: &str) -> Result<Vec<(String, i64)>, Misread> {
    let mut all: Vec<(String, i64)> = Vec::new();
    for part in text.split(';').map(str::trim).filter(|p| !p.is_empty()) {
        let wrong = || {
            Misread::new(phrase!(
                "'{part}' is no breed and its days of gestation: write Fellside 148; Hillgrey 146"
            ))
        };
        let (name, days) = part.rsplit_once(char::is_whitespace).ok_or_else(wrong)?;
        let (name, days) = (name.trim(), days.parse::<i64>().map_err(|_| wrong())?);
        if name.is_empty() {
            return Err(wrong());
        }
        if !is_sound(days) {
            let (from, to) = (book::learn_from_days(), book::learn_to_days());
            let says = phrase!(
                "{name}: a ewe carries {from} to {to} days, not {days}: mend the figure",
                name = &name
            );
            return Err(Misread::new(says));
        }
        if all.iter().any(|(other, _)| other.to_lowercase() == name.to_lowercase()) {
            return Err(Misread::new(phrase!(
                "{name} stands twice: leave one figure for each breed",
                name = &name
            )));
        }
        all.push((name.to_string(), days));
    }
    Ok(all)
}

/// Every length the flock knows, to be shown.
pub fn lengths(flock: &Flock) -> Lengths {
    known(flock).lengths.clone()
}

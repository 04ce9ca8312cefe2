//! The weight at birth a line begins with: as written, else the mean of the flock's own lambs of its kind.

use super::crop::born_type;
use crate::flock::{AnimalFile, Flock};
use crate::terms::{Sex, Weight};
use rapidhash::RapidHashMap;

/// The weight at birth a weight was carried from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BirthUsed {
    /// As written down.
    Written(Weight),
    /// Missing: the mean of the flock's lambs of its sex and litter, which does nearly as well (Boggess et al. 1991,
    /// J Anim Sci 69:3190).
    Mean {
        /// The mean.
        weight: Weight,
        /// Of how many.
        n: u32,
        /// Of its own breed only.
        breed: bool,
    },
}

impl BirthUsed {
    /// The weight.
    pub fn weight(self) -> Weight {
        match self {
            Self::Written(w) | Self::Mean { weight: w, .. } => w,
        }
    }
}

type Kind<'a> = (bool, u8, Option<&'a str>);

/// Means of the birth weights that are written down.
pub(super) struct BirthMeans<'a> {
    sums: RapidHashMap<Kind<'a>, (i64, u32)>,
    least: usize,
    flock: &'a Flock,
}

/// Four and more are as three; a wether was born a ram.
fn kind(flock: &Flock, f: &AnimalFile) -> Option<(bool, u8)> {
    Some((f.animal.sex == Sex::Ewe, born_type(flock, f)?.min(3)))
}

fn breed(f: &AnimalFile) -> Option<&str> {
    // The breed with the largest part stands for the type; crosses of several are rarely enough for a mean.
    f.animal.breed.as_ref().and_then(|b| b.parts().first()).map(|p| p.name.as_str())
}

impl<'a> BirthMeans<'a> {
    pub(super) fn of(flock: &'a Flock, least: usize) -> Self {
        let mut sums: RapidHashMap<Kind<'a>, (i64, u32)> = RapidHashMap::default();
        for f in flock.files() {
            let (Some(w), Some((ewe, born))) = (f.animal.birth_weight, kind(flock, f)) else { continue };
            let mut add = |b: Option<&'a str>| {
                let sum = sums.entry((ewe, born, b)).or_default();
                sum.0 += w.grams();
                sum.1 += 1;
            };
            add(None);
            if let Some(b) = breed(f) {
                add(Some(b));
            }
        }
        Self { sums, least: least.max(1), flock }
    }

    /// The weight at birth to begin with; none where it is missing and the flock has too few of its kind.
    pub(super) fn used(&self, f: &'a AnimalFile) -> Option<BirthUsed> {
        if let Some(w) = f.animal.birth_weight {
            return Some(BirthUsed::Written(w));
        }
        let (ewe, born) = kind(self.flock, f)?;
        let mean = |b: Option<&'a str>, breed: bool| {
            let (sum, n) = self.sums.get(&(ewe, born, b)).copied()?;
            let weight = Weight::from_grams((sum as f64 / f64::from(n)).round() as i64)?;
            (n as usize >= self.least).then_some(BirthUsed::Mean { weight, n, breed })
        };
        breed(f).and_then(|b| mean(Some(b), true)).or_else(|| mean(None, false))
    }
}

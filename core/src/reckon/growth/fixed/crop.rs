//! Who was reared with whom, and what classes a lamb belongs to.

use super::super::rules::{Effect, GrowthRules};
use crate::flock::{AnimalFile, Flock};
use crate::terms::{AnimalId, Day, Fate, Rearing, Status};
use rapidhash::RapidHashMap;

/// Lambs counted as reared together when born at most so many days apart (own choice: a ewe lambs once in that time,
/// and fosterings are between ewes that lamb close together).
pub(in super::super) const SAME_CROP_DAYS: i64 = 40;

/// A lamb under the ewe that rears it.
#[derive(Debug, Clone, Copy)]
pub(in super::super) struct Reared {
    pub(in super::super) born: Day,
    pub(in super::super) lamb: AnimalId,
    /// Lost on this day; sold lambs count as reared up to then and after.
    pub(in super::super) lost: Option<Day>,
}

/// Lambs by the ewe that rears them, each ewe's by day of birth.
pub(in super::super) struct Crops(RapidHashMap<AnimalId, Vec<Reared>>);

impl Crops {
    pub(in super::super) fn of(flock: &Flock) -> Self {
        let mut all: RapidHashMap<AnimalId, Vec<Reared>> = RapidHashMap::default();
        for f in flock.files() {
            let a = &f.animal;
            let alive = f.birth.as_ref().is_none_or(|b| b.fate == Fate::Alive);
            if let (true, Some(ewe), Some(born)) = (alive, flock.reared_by(a), a.born.exact()) {
                let gone = matches!(a.status, Status::Dead | Status::Missing | Status::Culled);
                let lost = gone.then(|| a.status_on.unwrap_or(born));
                all.entry(ewe).or_default().push(Reared { born, lamb: a.id, lost });
            }
        }
        for lambs in all.values_mut() {
            lambs.sort_unstable_by_key(|l| (l.born, l.lamb));
        }
        Self(all)
    }

    /// Every ewe that reared lambs, with them.
    pub(in super::super) fn all(&self) -> impl Iterator<Item = (AnimalId, &[Reared])> {
        self.0.iter().map(|(ewe, lambs)| (*ewe, lambs.as_slice()))
    }

    /// How many of a crop were alive under this ewe on a day.
    fn count(&self, ewe: AnimalId, born: Day, on: Day) -> u8 {
        let lambs = self.0.get(&ewe).map_or(&[][..], Vec::as_slice);
        let near = lambs.iter().filter(|l| l.born.since(born).abs() <= SAME_CROP_DAYS);
        near.filter(|l| l.lost.is_none_or(|d| d >= on)).count().min(7) as u8
    }
}

/// How many were born together: as written down, else from the lambing.
pub(in super::super) fn born_type(flock: &Flock, f: &AnimalFile) -> Option<u8> {
    f.animal.birth_type.map(|b| b.count()).or_else(|| {
        let birth = f.birth.as_ref()?;
        let lambing = flock.file(birth.ewe)?.lambings_standing().find(|l| l.id == birth.lambing)?;
        u8::try_from(lambing.lambs.len()).ok().filter(|n| *n > 0)
    })
}

/// The places of a lamb's classes, in the order of [`Effect::ALL`]; none where it is not known.
pub(super) fn classes(
    flock: &Flock,
    crops: &Crops,
    rules: &GrowthRules,
    f: &AnimalFile,
    on: Day,
) -> [Option<usize>; 3] {
    let a = &f.animal;
    let ewe = flock.reared_by(a);
    let born = a.born.exact();
    let reared = a.rear_type.map(|r| r.count()).or_else(|| match (a.rearing, ewe, born) {
        (Rearing::Bottle, ..) => Some(0),
        (_, Some(ewe), Some(born)) => Some(crops.count(ewe, born, on)).filter(|n| *n > 0),
        _ => None,
    });
    let kind = born_type(flock, f).zip(reared).and_then(|(b, r)| rules.type_class(b, r));
    let years = ewe.and_then(|e| flock.animal(e)?.born.day()).zip(born).map(|(e, b)| {
        // To the nearest year: ewes lamb a little before or after their birthday.
        (b.since(e) as f64 / 365.25).round() as i64
    });
    let ewe = years.filter(|y| *y > 0).and_then(|y| rules.ewe_class(y));
    let mut all = [None; 3];
    all[Effect::Sex.place()] = rules.sex_class(a.sex);
    all[Effect::Type.place()] = kind;
    all[Effect::Ewe.place()] = ewe;
    all
}

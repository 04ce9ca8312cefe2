//! What a ewe has done: the history of a lamb's dam, and the ground of the list of ewes to leave.

use crate::flock::{AnimalFile, Flock};
use crate::phrase;
use crate::reckon::figures::lambing_row;
use crate::reckon::growth::fixed::Using;
use crate::reckon::growth::{self, rules::GrowthRules};
use crate::terms::{AnimalId, Day, Ease, ScoreKind, counted};
use rapidhash::RapidHashMap;

/// One ewe's record.
#[derive(Debug, Clone, PartialEq)]
pub struct Dam {
    /// The ewe.
    pub animal: AnimalId,
    /// Tag and name.
    pub title: String,
    /// Age in whole years, where it is known.
    pub years: Option<i64>,
    /// Lambings.
    pub lambings: u32,
    /// Lambs born.
    pub born: u32,
    /// Lambs reared to 60 days, under whatever ewe.
    pub reared: u32,
    /// Still too young to tell.
    pub growing: u32,
    /// Lambings whose lambs are old enough to tell.
    pub told: u32,
    /// Lambs born alive and lost before 60 days, with the day of lambing.
    pub lost: Vec<(Day, u32)>,
    /// Mean ease, of lambings where it is written.
    pub ease: Option<f64>,
    /// Days of lambings that were hard, and how hard.
    pub hard: Vec<(Day, Ease)>,
    /// Grams a day that all lambs at her foot gained, the mean of her crops, and of how many lambs.
    pub milk: Option<(f64, u32)>,
    /// Last udder score.
    pub udder: Option<u8>,
    /// Last mothering score.
    pub mothering: Option<u8>,
}

/// Whole points of the last score of a kind.
pub(super) fn score(f: &AnimalFile, kind: ScoreKind, on: Day) -> Option<u8> {
    f.last_score(kind, on).map(|s| s.score.quarters() / 4)
}

impl Dam {
    /// The record of a ewe as of a day; `milk` is hers of [`milk`].
    pub(super) fn of(flock: &Flock, f: &AnimalFile, milk: Option<(f64, u32)>, on: Day) -> Self {
        let mut dam = Self {
            animal: f.animal.id,
            title: f.animal.title(),
            years: f.animal.age_days(on).map(|d| d / 365),
            lambings: 0,
            born: 0,
            reared: 0,
            growing: 0,
            told: 0,
            lost: Vec::new(),
            ease: None,
            hard: Vec::new(),
            milk: None,
            udder: score(f, ScoreKind::Udder, on),
            mothering: score(f, ScoreKind::Mothering, on),
        };
        let (mut eased, mut ease) = (0_u32, 0_u32);
        for l in f.lambings_standing().filter(|l| l.at.day <= on) {
            let row = lambing_row(flock, l, on);
            dam.lambings += 1;
            dam.born += row.born;
            dam.reared += row.reared;
            dam.growing += row.growing;
            dam.told += u32::from(row.growing == 0);
            let lost = row.alive - row.reared - row.growing;
            if lost > 0 {
                dam.lost.push((row.on, lost));
            }
            if let Some(e) = row.ease {
                eased += 1;
                ease += 1 + Ease::ALL.iter().position(|o| *o == e).unwrap_or_default() as u32;
                if e >= Ease::Hard {
                    dam.hard.push((row.on, e));
                }
            }
        }
        dam.ease = (eased > 0).then(|| f64::from(ease) / f64::from(eased));
        dam.milk = milk;
        dam
    }

    /// Lambs reared a lambing that is old enough to tell.
    pub fn reared_a_lambing(&self) -> Option<f64> {
        (self.told > 0).then(|| f64::from(self.reared) / f64::from(self.told))
    }

    /// `4 lambings, 7 born, 6 reared`.
    pub fn words(&self) -> String {
        if self.lambings == 0 {
            return phrase!("no lambing in the book");
        }
        let mut said = phrase!(
            "{}, {} born, {} reared",
            counted(self.lambings as usize, "lambing"),
            self.born,
            self.reared
        );
        if self.growing > 0 {
            said.push_str(&phrase!(", {} growing", self.growing));
        }
        said
    }

    /// `dam's udder 2, mothering 1, ease 1.3`; empty where nothing of it is written.
    pub fn scores(&self) -> String {
        let mut said = Vec::new();
        said.extend(self.ease.map(|e| phrase!("ease {e:.1}")));
        said.extend(self.udder.map(|s| phrase!("udder {s}")));
        said.extend(self.mothering.map(|s| phrase!("mothering {s}")));
        said.join(", ")
    }
}

/// Of each ewe what the lambs at her foot gained a day, those of one crop together as on the page of ewes' milk: the
/// mean of her crops of which every lamb was weighed, and how many lambs these are.
pub(super) fn milk(flock: &Flock, on: Day) -> RapidHashMap<AnimalId, (f64, u32)> {
    let mut crops: RapidHashMap<AnimalId, (f64, u32, u32)> = RapidHashMap::default();
    for row in growth::milk::milk(flock, &GrowthRules::of(flock), Using::None, on) {
        if let Some((gain, lambs)) = row.litter() {
            let sum = crops.entry(row.ewe).or_default();
            sum.0 += gain;
            sum.1 += 1;
            sum.2 += u32::try_from(lambs).unwrap_or(u32::MAX);
        }
    }
    crops.into_iter().map(|(ewe, (sum, n, lambs))| (ewe, (sum / f64::from(n), lambs))).collect()
}

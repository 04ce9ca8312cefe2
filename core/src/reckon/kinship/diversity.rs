//! How much of the founders' blood is left in a flock: its figures, founders, ancestors, lines, cohorts, and each animal
//! with what its loss would cost.

use super::figures::{self, Figure, Given};
use super::*;
use crate::flock::Flock;
use crate::terms::{AnimalId, Day, Sex};

/// Steps of a gene drop: drops times animals. So many take a fraction of a second.
const STEPS: usize = 20_000_000;
/// The seed of the gene drop: the same flock gives the same figures.
const SEED: u64 = 1;
/// Generations over which completeness is reckoned.
const GENERATIONS: u32 = 5;
/// Young stock: without offspring and up to so many days old, one year and a half. Common practice, no source.
const YOUNG_DAYS: i64 = 548;
/// A founder with fewer living carriers is in danger of being lost. Common practice, no source.
pub const FEW_CARRIERS: usize = 5;

/// A founder: an animal of which no parent is known, or the unknown parent of one of which one is known.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Founder {
    /// The founder, or the animal whose parent is unknown.
    pub animal: AnimalId,
    /// It is the unknown parent of that animal.
    pub unknown: Option<Side>,
    /// Its share of the genes of the living, 0 to 1; all shares sum to 1.
    pub share: f64,
    /// How much of its own genes is still there, 0 to 1 (gene drop).
    pub kept: f64,
    /// How many living animals come down from it, itself included.
    pub carriers: usize,
}

/// An ancestor with what it alone explains of the genes of the living (Boichard 1997).
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ancestor {
    /// The ancestor, or the animal whose parent is unknown.
    pub animal: AnimalId,
    /// It is the unknown parent of that animal.
    pub unknown: Option<Side>,
    /// Its marginal share, 0 to 1.
    pub share: f64,
    /// Its own and those of all named before it.
    pub together: f64,
}

/// A line of dams or a family of rams.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Line {
    /// The oldest known dam or sire.
    pub root: AnimalId,
    /// Living ewes that carry it.
    pub ewes: usize,
    /// Living rams and wethers that carry it.
    pub rams: usize,
}

/// A living animal by its blood.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Standing {
    /// The animal.
    pub animal: AnimalId,
    /// Its mean kinship with the flock, itself included: low is rare blood.
    pub kinship: f64,
    /// Its inbreeding.
    pub inbreeding: f64,
    /// What the founder genome equivalents of the flock would rise (or fall, under nought) by without it.
    pub loss: f64,
    /// Young stock: without offspring and at most one year and a half old.
    pub young: bool,
    /// Among the founders it comes down from, that with the fewest living carriers: its number in
    /// [`Diversity::founders`].
    pub rarest: Option<u32>,
}

/// A flock's blood as of a day.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Diversity {
    version: u64,
    day: Option<Day>,
    /// Animals that are their own ancestors: then nothing else is known.
    pub circle: Option<Vec<AnimalId>>,
    /// How many animals are in the flock.
    pub living: usize,
    /// The figures, each with what to do about it.
    pub figures: Vec<Figure>,
    /// Founders, largest share first.
    pub founders: Vec<Founder>,
    /// Ancestors that explain the most, greatest first.
    pub ancestors: Vec<Ancestor>,
    /// Lines of dams, most carriers first.
    pub dam_lines: Vec<Line>,
    /// Families of rams, most carriers first.
    pub ram_families: Vec<Line>,
    /// Animals by year of birth.
    pub cohorts: Vec<Cohort>,
    /// The living, rarest blood first.
    pub animals: Vec<Standing>,
}

impl Diversity {
    /// Reckons all of it. Ages and the last crop are as of `on`; the rest is of the flock as it stands.
    pub fn of(flock: &Flock, kindred: &Kindred, on: Day) -> Self {
        let (version, day) = (kindred.version(), Some(on));
        if let Some(circle) = kindred.circle() {
            return Self { version, day, circle: Some(circle.to_vec()), ..Self::default() };
        }
        let (kin, living, ids) = (kindred.kin(), kindred.living(), kindred.ids());
        let pedigree = &kin.pedigree;
        let facts: Vec<Fact> = ids.iter().map(|id| Fact::of(flock, *id)).collect();
        let male: Vec<bool> = facts.iter().map(|f| f.born.male).collect();
        let born: Vec<Born> = facts.iter().map(|f| f.born).collect();
        let years: Vec<Option<i32>> = facts.iter().map(|f| f.year.filter(|y| *y <= on.year())).collect();

        let above = pedigree.above(living).1.len();
        let drops = (STEPS / above.max(1)).clamp(20, 1_000) as u32;
        let dropped = gene_drop(pedigree, living, drops, SEED);
        let shares: Vec<FounderShare> = dropped.founders.iter().map(|k| k.share).collect();
        let carried = carriers(pedigree, &shares, living);
        // Where that would take long, the ancestors that explain least are left out: they change nothing.
        let most = (4 * STEPS / above.max(1)).max(100);
        let marginal = ancestor_shares(pedigree, living, most);
        let unknown = |place: u32, phantom: bool| {
            let side = if pedigree.parents()[place as usize][0] == NONE { Side::Sires } else { Side::Dams };
            phantom.then_some(side)
        };
        let founders: Vec<Founder> = dropped
            .founders
            .iter()
            .zip(&carried.of_founder)
            .map(|(k, carriers)| Founder {
                animal: ids[k.share.place as usize],
                unknown: unknown(k.share.place, k.share.phantom),
                share: k.share.share,
                kept: k.kept,
                carriers: *carriers,
            })
            .collect();
        let mut together = 0.0;
        let ancestors: Vec<Ancestor> = marginal
            .iter()
            .map(|a| {
                together += a.share;
                let (animal, unknown) = (ids[a.place as usize], unknown(a.place, a.phantom));
                Ancestor { animal, unknown, share: a.share, together }
            })
            .collect();
        let line = |d: &Descent| Line { root: ids[d.root as usize], ewes: d.ewes, rams: d.rams };
        let dams = lines(pedigree, &male, living, Side::Dams);
        let rams = lines(pedigree, &male, living, Side::Sires);
        let mut animals: Vec<Standing> = losses(kin, living)
            .iter()
            .zip(&carried.rarest)
            .map(|(l, rarest)| Standing {
                animal: ids[l.place as usize],
                kinship: l.kinship,
                inbreeding: kin.f[l.place as usize],
                loss: l.genomes,
                young: facts[l.place as usize].is_young(on),
                rarest: *rarest,
            })
            .collect();
        let tag = |s: &Standing| flock.tag(s.animal);
        animals.sort_by(|a, b| {
            a.kinship.total_cmp(&b.kinship).then_with(|| crate::flock::natural(tag(a), tag(b)))
        });
        let cohorts = cohorts(pedigree, &kin.f, kindred.depths(), &years);
        let complete = completeness_of_all(pedigree, GENERATIONS);
        let mean = |of: &[f64]| {
            let sum: f64 = living.iter().map(|i| of[*i as usize]).sum();
            (!living.is_empty()).then(|| sum / living.len() as f64)
        };
        let mut made = Self {
            version,
            day,
            circle: None,
            living: living.len(),
            figures: Vec::new(),
            founders,
            ancestors,
            dam_lines: dams.lines.iter().map(line).collect(),
            ram_families: rams.lines.iter().map(line).collect(),
            cohorts,
            animals,
        };
        let given = Given {
            flock,
            made: &made,
            depth: mean(kindred.depths()),
            completeness: mean(&complete),
            inbreeding: mean(&kin.f),
            kinship: (!living.is_empty()).then(|| kin.mean_coancestry(living)),
            equivalents: founder_equivalents(&shares),
            effective_ancestors: effective_ancestors(&marginal),
            drops,
            by_kept: dropped.by_kept,
            kept: dropped.founders.iter().map(|k| k.kept).sum::<f64>() / dropped.founders.len().max(1) as f64,
            by_increase: size_by_individual_increase(&kin.f, kindred.depths(), living),
            interval: generation_interval(pedigree, &born),
            crop: Crop::last(pedigree, &years),
        };
        made.figures = figures::all(&given);
        made
    }

    /// The version of the flock it is of.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// The day it is of.
    pub fn day(&self) -> Option<Day> {
        self.day
    }

    /// The figure of this key.
    pub fn figure(&self, key: &str) -> Option<&Figure> {
        self.figures.iter().find(|f| f.key == key)
    }

    /// Founders that fewer than [`FEW_CARRIERS`] living animals carry, fewest first.
    pub fn rare_founders(&self) -> Vec<&Founder> {
        let mut rare: Vec<&Founder> = self.founders.iter().filter(|f| f.carriers < FEW_CARRIERS).collect();
        rare.sort_by_key(|f| f.carriers);
        rare
    }

    /// Young stock that carries rare blood: the third with the lowest mean kinship, rarest first.
    pub fn rare_young(&self) -> Vec<&Standing> {
        let young: Vec<&Standing> = self.animals.iter().filter(|a| a.young).collect();
        let third = young.len().div_ceil(3);
        young.into_iter().take(third).collect()
    }
}

/// What is asked of an animal besides its parents.
struct Fact {
    born: Born,
    year: Option<i32>,
    day: Option<Day>,
    childless: bool,
}

impl Fact {
    fn of(flock: &Flock, id: AnimalId) -> Self {
        let Some(file) = flock.file(id) else {
            return Self { born: Born { day: None, male: false }, year: None, day: None, childless: true };
        };
        let a = &file.animal;
        let epoch = Day::new(1970, 1, 1);
        let day = a.born.day();
        let count = day.zip(epoch).map(|(d, e)| d.since(e));
        Self {
            born: Born { day: count, male: a.sex != Sex::Ewe },
            year: a.born.year(),
            day,
            childless: file.offspring.is_empty(),
        }
    }

    fn is_young(&self, on: Day) -> bool {
        self.childless && self.day.is_some_and(|d| (0..=YOUNG_DAYS).contains(&on.since(d)))
    }
}

/// The last crop of lambs: how many rams and ewes are its known parents.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) struct Crop {
    pub(super) year: i32,
    pub(super) rams: usize,
    pub(super) ewes: usize,
}

impl Crop {
    /// Of the last year in which an animal with a known sire was born.
    fn last(pedigree: &Pedigree, years: &[Option<i32>]) -> Option<Self> {
        let sired = |i: &usize| pedigree.parents()[*i][0] != NONE;
        let year = (0..years.len()).filter(sired).filter_map(|i| years[i]).max()?;
        let parents = |side: usize| {
            let of = pedigree.parents().iter().zip(years).filter(|(_, y)| **y == Some(year));
            let mut all: Vec<u32> = of.map(|(p, _)| p[side]).filter(|p| *p != NONE).collect();
            all.sort_unstable();
            all.dedup();
            all.len()
        };
        Some(Self { year, rams: parents(0), ewes: parents(1) })
    }
}

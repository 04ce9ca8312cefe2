//! Genes: how likely each animal carries a recessive or an allele of the prion protein gene, by the tests of the flock
//! and through its pedigree, and what a mating risks.
//!
//! Exact where the pedigree's loops let it be (tables up to 3¹² cells), else by iterative peeling, and the answer says
//! so. Sires in doubt count as unknown. Knows the flock alone; no clock, no files.

mod exact;
mod iterate;
mod locus;
mod net;
mod solve;
#[cfg(test)]
mod tests;
mod told;
mod why;

pub use told::HEALTHY;
pub use why::percent;

use crate::flock::Flock;
use crate::handbook;
use crate::reckon::kinship::Blood;
use crate::terms::{AnimalId, PrionAllele, Scrapie};
use locus::{Locus, Set};
use net::Folk;
use rapidhash::RapidHashMap;
use solve::Solved;
use std::sync::Arc;

/// What the keeper states of what nobody tested.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Settings {
    /// Share of a faulty gene among ancestors of which nothing is known, above 0 and below 1.
    pub founder_share: f64,
    /// Every animal born alive that is not written as affected counts as healthy.
    pub untested_healthy: bool,
}

impl Default for Settings {
    fn default() -> Self {
        Self { founder_share: handbook::genes::founder_share(), untested_healthy: false }
    }
}

/// How likely an animal is clear, a carrier or affected; they sum to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chance {
    /// Both copies sound.
    pub clear: f64,
    /// One copy faulty.
    pub carrier: f64,
    /// Both copies faulty.
    pub affected: f64,
    /// Exact; otherwise near it, by iterative peeling.
    pub exact: bool,
}

/// What a mating risks of one recessive gene.
#[derive(Debug, Clone, PartialEq)]
pub struct Risk {
    /// The gene.
    pub gene: String,
    /// What a lamb of the two would be.
    pub lamb: Chance,
}

/// Genotypes with their probabilities, the likeliest first; those under one in a million are left out.
#[derive(Debug, Clone, PartialEq)]
pub struct PrionChance {
    /// Genotype and probability.
    pub genotypes: Vec<(Scrapie, f64)>,
    /// Exact; otherwise near it, by iterative peeling.
    pub exact: bool,
}

impl PrionChance {
    /// Probability that an animal has at least one of this allele.
    pub fn has(&self, allele: PrionAllele) -> f64 {
        self.genotypes.iter().filter(|(g, _)| g.alleles().contains(&allele)).map(|(_, p)| p).sum()
    }

    /// Chance that this allele is handed on to a lamb.
    pub fn hands_on(&self, allele: PrionAllele) -> f64 {
        let copies = |g: &Scrapie| g.alleles().iter().filter(|a| **a == allele).count() as f64;
        self.genotypes.iter().map(|(g, p)| copies(g) / 2.0 * p).sum()
    }
}

#[derive(Debug, Clone)]
struct Recessive {
    name: String,
    solved: Solved,
}

#[derive(Debug, Clone)]
struct Prion {
    alleles: Vec<PrionAllele>,
    solved: Solved,
}

/// The genes of a flock.
#[derive(Debug, Clone, Default)]
pub struct Genes {
    version: u64,
    ids: Vec<AnimalId>,
    places: RapidHashMap<AnimalId, u32>,
    recessives: Vec<Recessive>,
    prion: Option<Prion>,
}

impl Genes {
    /// By the settings as shipped.
    pub fn of(flock: &Flock) -> Self {
        Self::with(flock, &Settings::default())
    }

    /// By these settings. Of a pedigree that runs in a circle nothing is known.
    pub fn with(flock: &Flock, settings: &Settings) -> Self {
        let version = flock.version();
        let Ok(blood) = Blood::of(flock) else { return Self { version, ..Self::default() } };
        let folk = Arc::new(Folk::of(&blood.pedigree));
        let at = |id| blood.places.get(&id).copied();
        let q = settings.founder_share.clamp(1e-6, 1.0 - 1e-6);
        let recessives = told::recessives(flock, settings).into_iter().map(|(name, results)| {
            let locus = Locus::new(vec![1.0 - q, q]);
            let said = said(&locus, folk.len(), results.into_iter().filter_map(|(id, s)| Some((at(id)?, s))));
            Recessive { name, solved: Solved::of(locus, &folk, said) }
        });
        let recessives = recessives.collect();
        let prion = told::prion(flock).map(|told| {
            let locus = Locus::new(told.shares());
            let results =
                told.results.iter().filter_map(|(id, a, b)| Some((at(*id)?, 1 << locus.of(*a, *b))));
            let said = said(&locus, folk.len(), results);
            Prion { alleles: told.alleles, solved: Solved::of(locus, &folk, said) }
        });
        Self { version, ids: blood.ids, places: blood.places, recessives, prion }
    }

    /// The version of the flock it is of.
    pub fn version(&self) -> u64 {
        self.version
    }

    /// The recessive genes that tests speak of, by name.
    pub fn names(&self) -> impl Iterator<Item = &str> {
        self.recessives.iter().map(|g| g.name.as_str())
    }

    fn gene(&self, name: &str) -> Option<&Recessive> {
        self.recessives.iter().find(|g| told::same(&g.name, name))
    }

    /// How likely an animal is clear, a carrier or affected; none where nothing of the gene is known.
    pub fn chance(&self, gene: &str, id: AnimalId) -> Option<Chance> {
        let (gene, at) = (self.gene(gene)?, *self.places.get(&id)?);
        Some(chance(gene.solved.chances(at), gene.solved.exact(at)))
    }

    /// Animals whose results of this gene cannot all be right, set by set; they are left out until one is mended.
    pub fn clashes(&self, gene: &str) -> Vec<Vec<AnimalId>> {
        self.gene(gene).map(|g| self.named(&g.solved)).unwrap_or_default()
    }

    /// The same of the scrapie genotypes.
    pub fn prion_clashes(&self) -> Vec<Vec<AnimalId>> {
        self.prion.as_ref().map(|p| self.named(&p.solved)).unwrap_or_default()
    }

    fn named(&self, solved: &Solved) -> Vec<Vec<AnimalId>> {
        solved.clashes.iter().map(|c| c.iter().map(|at| self.ids[*at as usize]).collect()).collect()
    }

    /// What a lamb of these two would be, gene by gene.
    pub fn risk(&self, ewe: AnimalId, ram: AnimalId) -> Vec<Risk> {
        self.risks(ram, &[ewe]).pop().unwrap_or_default()
    }

    /// The same for one ram and many ewes, in their order; empty for an animal the book does not know. Ewes that are
    /// kin of the ram are reckoned together with him, not one by one, as far as that is not too wide; then, where they are more than 64, nearly.
    pub fn risks(&self, ram: AnimalId, ewes: &[AnimalId]) -> Vec<Vec<Risk>> {
        let mut all = vec![Vec::new(); ewes.len()];
        let Some((ram, known)) = self.pairs(ram, ewes) else { return all };
        let places: Vec<u32> = known.iter().map(|(_, at)| *at).collect();
        for gene in &self.recessives {
            for ((row, _), (lamb, exact)) in known.iter().zip(lambs(&gene.solved, ram, &places)) {
                all[*row].push(Risk { gene: gene.name.clone(), lamb: chance(&lamb, exact) });
            }
        }
        all
    }

    /// Scrapie genotypes of an animal; none where no genotype was ever written.
    pub fn prion(&self, id: AnimalId) -> Option<PrionChance> {
        let (p, at) = (self.prion.as_ref()?, *self.places.get(&id)?);
        Some(p.chance(p.solved.chances(at), p.solved.exact(at)))
    }

    /// Scrapie genotypes of a lamb of these two.
    pub fn lamb_prion(&self, ewe: AnimalId, ram: AnimalId) -> Option<PrionChance> {
        let p = self.prion.as_ref()?;
        let (ewe, ram) = (*self.places.get(&ewe)?, *self.places.get(&ram)?);
        let (lamb, exact) = lambs(&p.solved, ram, &[ewe]).pop()?;
        Some(p.chance(&lamb, exact))
    }

    fn pairs(&self, ram: AnimalId, ewes: &[AnimalId]) -> Option<(u32, Vec<(usize, u32)>)> {
        let ram = *self.places.get(&ram)?;
        let known = ewes.iter().enumerate().filter_map(|(i, e)| Some((i, *self.places.get(e)?)));
        Some((ram, known.collect()))
    }
}

impl Prion {
    fn chance(&self, of: &[f64], exact: bool) -> PrionChance {
        let all = self.solved.locus.genotypes.iter().zip(of).filter(|(_, p)| **p > 1e-6);
        let allele = |a: u8| self.alleles[usize::from(a)];
        let mut genotypes: Vec<(Scrapie, f64)> =
            all.map(|([a, b], p)| (Scrapie::new(allele(*a), allele(*b)), *p)).collect();
        genotypes.sort_by(|a, b| b.1.total_cmp(&a.1).then(a.0.cmp(&b.0)));
        PrionChance { genotypes, exact }
    }
}

fn chance(of: &[f64], exact: bool) -> Chance {
    let at = |g: usize| of.get(g).copied().unwrap_or_default();
    Chance { clear: at(0), carrier: at(1), affected: at(2), exact }
}

/// Of more ewes than these, those that are too wide together are not looked at one by one.
const ONE_BY_ONE: usize = 64;

/// All ewes at once where that is not too wide, else one by one where they are few.
fn lambs(solved: &Solved, ram: u32, ewes: &[u32]) -> Vec<(Vec<f64>, bool)> {
    let all = solved.lambs(ram, ewes);
    if !(2..=ONE_BY_ONE).contains(&ewes.len()) || all.iter().all(|(_, exact)| *exact) {
        return all;
    }
    let again = |(i, (lamb, exact)): (usize, (Vec<f64>, bool))| {
        if exact { (lamb, exact) } else { solved.lambs(ram, &ewes[i..=i]).pop().unwrap_or((lamb, exact)) }
    };
    all.into_iter().enumerate().map(again).collect()
}

/// What is said of each place.
fn said(locus: &Locus, n: usize, results: impl Iterator<Item = (u32, Set)>) -> Vec<Set> {
    let mut said = vec![locus.all(); n];
    results.for_each(|(at, set)| said[at as usize] &= set);
    said
}

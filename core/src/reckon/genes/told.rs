//! What the tests in the book say of genes.

use super::Settings;
use super::locus::{MOST_ALLELES, Set};
use crate::flock::{AnimalFile, Flock, GeneTest, Tested};
use crate::terms::{AnimalId, Fate, GeneStatus, PrionAllele};
use std::collections::BTreeMap;

/// The result of a test of the kind `other` that says an animal is healthy for the gene it is called after.
pub const HEALTHY: &str = "healthy";

const CLEAR: Set = 1;
const CARRIER: Set = 2;
const AFFECTED: Set = 4;

/// The same gene, in any case.
pub(super) fn same(a: &str, b: &str) -> bool {
    a.trim().to_lowercase() == b.trim().to_lowercase()
}

/// Tests that stand, the latest last.
pub(super) fn standing(f: &AnimalFile) -> Vec<&GeneTest> {
    let mut all: Vec<&GeneTest> = f.tests.iter().filter(|t| t.struck.is_none()).collect();
    all.sort_by_key(|t| (t.on, t.id));
    all
}

/// What one animal's tests say of a gene: the latest of the laboratory's, else what the keeper saw.
pub(super) fn result<'a>(f: &'a AnimalFile, gene: &str) -> Option<(&'a GeneTest, Set)> {
    let all = standing(f);
    let lab = all.iter().rev().find_map(|t| match &t.found {
        Tested::Recessive { gene: g, status } if same(g, gene) => Some((*t, set(*status))),
        _ => None,
    });
    lab.or_else(|| all.iter().rev().find(|t| healthy(t, gene)).map(|t| (*t, CLEAR | CARRIER)))
}

fn set(status: GeneStatus) -> Set {
    match status {
        GeneStatus::Clear => CLEAR,
        GeneStatus::Carrier => CARRIER,
        GeneStatus::Affected => AFFECTED,
    }
}

fn healthy(t: &GeneTest, gene: &str) -> bool {
    matches!(&t.found, Tested::Other { what, result } if same(result, HEALTHY) && same(what, gene))
}

/// Each gene with what is said of each animal.
pub(super) fn recessives(flock: &Flock, settings: &Settings) -> Vec<(String, Vec<(AnimalId, Set)>)> {
    // By name in small letters, with the name as it is written in the oldest test.
    let mut names: BTreeMap<String, (&GeneTest, &str)> = BTreeMap::new();
    let mut tested: Vec<&AnimalFile> = flock.files().filter(|f| !f.tests.is_empty()).collect();
    tested.sort_by_key(|f| f.animal.id);
    for f in &tested {
        for t in standing(f) {
            let name = match &t.found {
                Tested::Recessive { gene, .. } => gene.trim(),
                Tested::Other { what, result } if same(result, HEALTHY) => what.trim(),
                _ => continue,
            };
            let known = names.entry(name.to_lowercase()).or_insert((t, name));
            if (t.on, t.id) < (known.0.on, known.0.id) {
                *known = (t, name);
            }
        }
    }
    let names = names.into_values().map(|(_, name)| name.to_string());
    names
        .map(|name| {
            let mut all: Vec<(AnimalId, Set)> =
                tested.iter().filter_map(|f| Some((f.animal.id, result(f, &name)?.1))).collect();
            if settings.untested_healthy {
                let silent = flock.files().filter(|f| f.birth.as_ref().is_none_or(|b| b.fate == Fate::Alive));
                let silent = silent.filter(|f| result(f, &name).is_none());
                all.extend(silent.map(|f| (f.animal.id, CLEAR | CARRIER)));
            }
            (name, all)
        })
        .collect()
}

/// Alleles in play and each tested animal's two.
pub(super) struct PrionTold {
    pub(super) alleles: Vec<PrionAllele>,
    pub(super) results: Vec<(AnimalId, u8, u8)>,
}

impl PrionTold {
    /// Share of each allele among ancestors nobody tested: as among the tested, each allele counted once more
    /// (Laplace's rule of succession, 1814), so that none is impossible.
    pub(super) fn shares(&self) -> Vec<f64> {
        let mut count = vec![1.0; self.alleles.len()];
        for (_, a, b) in &self.results {
            count[usize::from(*a)] += 1.0;
            count[usize::from(*b)] += 1.0;
        }
        let whole: f64 = count.iter().sum();
        count.into_iter().map(|c| c / whole).collect()
    }
}

/// The scrapie genotypes written; none when there are none. The five common alleles come first, then others found.
pub(super) fn prion(flock: &Flock) -> Option<PrionTold> {
    let mut found = Vec::new();
    for f in flock.files() {
        let last = standing(f).into_iter().rev().find_map(|t| match t.found {
            Tested::Scrapie(g) => Some(g),
            _ => None,
        });
        found.extend(last.map(|g| (f.animal.id, g)));
    }
    if found.is_empty() {
        return None;
    }
    found.sort_by_key(|(id, _)| *id);
    let mut alleles = PrionAllele::COMMON.to_vec();
    let mut rare: Vec<PrionAllele> =
        found.iter().flat_map(|(_, g)| g.alleles()).filter(|a| !PrionAllele::COMMON.contains(a)).collect();
    rare.sort_unstable();
    rare.dedup();
    alleles.extend(rare.into_iter().take(MOST_ALLELES - PrionAllele::COMMON.len()));
    let at = |a: PrionAllele| alleles.iter().position(|o| *o == a).map(|i| i as u8);
    let results = found.iter().filter_map(|(id, g)| {
        let [a, b] = g.alleles();
        Some((*id, at(a)?, at(b)?))
    });
    Some(PrionTold { results: results.collect(), alleles })
}

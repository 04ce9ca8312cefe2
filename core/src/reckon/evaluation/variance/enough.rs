//! Whether records suffice to part variances. The bounds are rows of `resources/heritability.toml`.

use super::super::problem::{Problem, Unfit};
use crate::handbook::heritability as bounds;
use crate::phrase;
use crate::reckon::kinship::NONE;
use crate::terms::counted;
use std::collections::{BTreeMap, BTreeSet};

/// What an estimate stands on.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Basis {
    /// Records.
    pub records: usize,
    /// Records beyond the levels of the fixed effects.
    pub beyond: usize,
    /// Animals with a record of their own; where no pedigree is followed, levels with a record.
    pub animals: usize,
    /// Sires with at least two animals that have a record; where no pedigree is followed, levels with at least two.
    pub sires: usize,
    /// Dams with at least two animals that have a record.
    pub dams: usize,
    /// A pedigree is followed.
    pub by_pedigree: bool,
}

impl Basis {
    /// In a sentence.
    pub fn told(&self) -> String {
        let records = counted(self.records, "record");
        if self.by_pedigree {
            phrase!(
                "From {records} of {}, with {} and {} of at least two recorded animals.",
                counted(self.animals, "animal"),
                counted(self.sires, "sire"),
                counted(self.dams, "dam"),
            )
        } else {
            phrase!("From {records} of {}.", counted(self.animals, "group"))
        }
    }
}

/// What a problem's records are.
pub fn basis(problem: &Problem) -> Basis {
    let levels: usize = problem.fixed.iter().map(|f| f.of.iter().collect::<BTreeSet<_>>().len()).sum();
    let taken = (levels + problem.slopes.len()).max(1) - problem.fixed.len().saturating_sub(1).min(levels);
    let mut basis = Basis {
        records: problem.records.len(),
        beyond: problem.records.len().saturating_sub(taken),
        ..Basis::default()
    };
    let first = problem.blocks.iter().find(|b| b.pedigree.is_some()).or(problem.blocks.first());
    let Some((block, effect)) = first.and_then(|b| b.effects.first().map(|e| (b, e))) else { return basis };
    let own: BTreeMap<u32, usize> = counts(effect.of.iter().flatten().copied());
    basis.animals = own.len();
    match &block.pedigree {
        None => basis.sires = own.values().filter(|n| **n >= 2).count(),
        Some(pedigree) => {
            basis.by_pedigree = true;
            let parents = |side: usize| {
                let of = own.keys().filter_map(|a| pedigree.parents().get(*a as usize)).map(|p| p[side]);
                counts(of.filter(|p| *p != NONE)).values().filter(|n| **n >= 2).count()
            };
            (basis.sires, basis.dams) = (parents(0), parents(1));
        }
    }
    basis
}

fn counts(of: impl Iterator<Item = u32>) -> BTreeMap<u32, usize> {
    let mut all = BTreeMap::new();
    of.for_each(|k| *all.entry(k).or_default() += 1);
    all
}

/// Whether a problem's records suffice to estimate its variances.
///
/// # Errors
/// They do not: which of them are too few, how many there are and how many are needed.
pub fn enough(problem: &Problem) -> Result<Basis, Unfit> {
    let basis = basis(problem);
    let mut short = Vec::new();
    let mut need = |have: usize, least: usize, what: &str| {
        if have < least {
            short.push(phrase!("{what}: {have}, and at least {least} are needed", what = &what));
        }
    };
    need(basis.beyond, bounds::records_least(), &phrase!("records beyond the levels of the fixed effects"));
    if basis.by_pedigree {
        need(basis.animals, bounds::animals_least(), &phrase!("animals with a record"));
        need(basis.sires, bounds::sires_least(), &phrase!("sires with at least two recorded animals"));
        need(basis.dams, bounds::dams_least(), &phrase!("dams with at least two recorded animals"));
    } else {
        need(basis.sires, bounds::levels_least(), &phrase!("groups with at least two records"));
    }
    for block in &problem.blocks {
        let Some(effect) = block.effects.first() else { continue };
        let own = counts(effect.of.iter().flatten().copied());
        match &block.pedigree {
            None if basis.by_pedigree => {
                let twice = own.values().filter(|n| **n >= 2).count();
                need(
                    twice,
                    bounds::levels_least(),
                    &phrase!("{}: levels with at least two records", effect.name),
                );
            }
            Some(_) => {
                for other in block.effects.iter().skip(1) {
                    let both = counts(other.of.iter().flatten().copied());
                    let both = both.keys().filter(|l| own.contains_key(l)).count();
                    need(
                        both,
                        bounds::both_least(),
                        &phrase!(
                            "animals with a record of their own that count as {} of another",
                            other.name
                        ),
                    );
                }
            }
            None => {}
        }
    }
    if short.is_empty() {
        return Ok(basis);
    }
    Err(Unfit::TooFew(phrase!(
        "these records are too few for variances of their own ({}); the handbook's range stays",
        short.join("; ")
    )))
}

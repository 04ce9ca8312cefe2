//! Who hands on what: the chance that a lamb of two is affected.

use crate::flock::{Flock, Tested};
use crate::phrase;
use crate::reckon::genes::{Genes, Settings};
use crate::terms::{AnimalId, Day, GeneStatus, PrionAllele};
use rapidhash::RapidHashMap;

/// A gene one looks at when pairs are made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Gene {
    /// As it is called: `spider lamb`.
    pub name: String,
    /// One copy is enough for a lamb to count as affected (an allele one does not want at all); else it takes two.
    pub one_is_enough: bool,
}

impl Gene {
    /// What a lamb would be: `would be affected by spider lamb`, `would carry the scrapie allele VRQ`.
    pub fn lambs_words(&self) -> String {
        let would = if self.one_is_enough { "would carry" } else { "would be affected by" };
        format!("{would} {}", self.name)
    }

    /// The chance that a lamb is affected, of the chances that each parent hands the copy on.
    pub fn affected(&self, a: f64, b: f64) -> f64 {
        if self.one_is_enough { 1.0 - (1.0 - a) * (1.0 - b) } else { a * b }
    }
}

/// Tells for each animal the chance that it hands on the copy of a gene one does not want: of a recessive 0 when
/// clear, ½ a carrier, 1 affected; of an animal not tested, half the chance of being a carrier, where it is known.
pub trait HandsOn: std::fmt::Debug + Send + Sync {
    /// The genes.
    fn genes(&self) -> &[Gene];
    /// The chance, 0 to 1; none where nothing is known.
    fn chance(&self, animal: AnimalId, gene: usize) -> Option<f64>;
}

/// The tests in the book and nothing else: an animal without a test is not known.
#[derive(Debug, Clone, Default)]
pub struct TestedGenes {
    genes: Vec<Gene>,
    found: RapidHashMap<(AnimalId, usize), (Day, f64)>,
}

impl TestedGenes {
    /// Every recessive that was tested for, and the prion allele with most risk of scrapie.
    pub fn of(flock: &Flock) -> Self {
        let mut all = Self::default();
        let mut tests: Vec<_> =
            flock.files().flat_map(|f| f.tests.iter()).filter(|t| t.struck.is_none()).collect();
        tests.sort_by_key(|t| (t.on, t.id));
        // VRQ is most at risk, ARR/ARR most resistant (from memory; to be re-checked).
        let worst = PrionAllele::parse("VRQ").ok();
        for t in tests {
            let (name, chance) = match &t.found {
                Tested::Recessive { gene, status } => (
                    gene.trim().to_lowercase(),
                    match status {
                        GeneStatus::Clear => 0.0,
                        GeneStatus::Carrier => 0.5,
                        GeneStatus::Affected => 1.0,
                    },
                ),
                Tested::Scrapie(s) => {
                    let n = s.alleles().iter().filter(|a| Some(**a) == worst).count();
                    (phrase!("the scrapie allele VRQ"), n as f64 / 2.0)
                }
                _ => continue,
            };
            let one_is_enough = matches!(t.found, Tested::Scrapie(_));
            let at = all.genes.iter().position(|g| g.name == name).unwrap_or_else(|| {
                all.genes.push(Gene { name, one_is_enough });
                all.genes.len() - 1
            });
            all.found.insert((t.animal, at), (t.on, chance));
        }
        all
    }
}

/// The tests in the book, and through the pedigree what they say of relatives that were not tested.
#[derive(Debug, Clone, Default)]
pub struct CarriedGenes {
    tested: TestedGenes,
    likely: RapidHashMap<(AnimalId, usize), f64>,
}

impl CarriedGenes {
    /// Of these animals. One of whose relatives nothing is known either stays not known.
    pub fn of(flock: &Flock, animals: &[AnimalId]) -> Self {
        let tested = TestedGenes::of(flock);
        let mut likely = RapidHashMap::default();
        if tested.genes.is_empty() {
            return Self { tested, likely };
        }
        let genes = Genes::of(flock);
        let worst = PrionAllele::parse("VRQ").ok();
        // What an animal hands on of whose blood nobody was tested.
        let unknown = Settings::default().founder_share;
        for (nth, gene) in tested.genes.iter().enumerate() {
            for id in animals.iter().filter(|id| !tested.found.contains_key(&(**id, nth))) {
                let chance = if gene.one_is_enough {
                    let parents = flock.animal(*id).map(|a| [a.sire.known(), a.blood_dam()]).into_iter();
                    let told = |p: AnimalId| tested.found.contains_key(&(p, nth));
                    let any = parents.flatten().flatten().any(told);
                    let of = worst.zip(genes.prion(*id)).filter(|_| any);
                    of.map(|(worst, prion)| prion.hands_on(worst))
                } else {
                    let chance = genes.chance(&gene.name, *id).map(|c| c.carrier / 2.0 + c.affected);
                    chance.filter(|c| (c - unknown).abs() > 1e-9)
                };
                likely.extend(chance.map(|c| ((*id, nth), c)));
            }
        }
        Self { tested, likely }
    }
}

impl HandsOn for CarriedGenes {
    fn genes(&self) -> &[Gene] {
        &self.tested.genes
    }

    fn chance(&self, animal: AnimalId, gene: usize) -> Option<f64> {
        self.tested.chance(animal, gene).or_else(|| self.likely.get(&(animal, gene)).copied())
    }
}

impl HandsOn for TestedGenes {
    fn genes(&self) -> &[Gene] {
        &self.genes
    }

    fn chance(&self, animal: AnimalId, gene: usize) -> Option<f64> {
        self.found.get(&(animal, gene)).map(|(_, c)| *c)
    }
}

//! From records of a flock to a problem.

use super::{Block, Effect, Factor, FixedBy, Frame, Gathered, Model, Order, Problem, Record, Trait, Unfit};
use crate::flock::natural;
use crate::handbook::heritability::{Measured, Share, start};
use crate::phrase;
use crate::reckon::kinship::Blood;
use crate::terms::{AnimalId, LambingId, Misread};
use rapidhash::RapidHashMap;
use std::sync::Arc;

/// Shares of the variance as the keeper sets them, each 0 to 1; none where the handbook's start is to be taken.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Shares {
    /// Heritability: the animal's own genes.
    pub h2: Option<f64>,
    /// What stays the same beside genes: of the ewe that rears, in a repeatability model of the animal itself.
    pub c2: Option<f64>,
    /// Genes for mothering.
    pub m2: Option<f64>,
    /// Correlation of the animal's own genes with those for mothering, −1 to 1.
    pub rdm: Option<f64>,
    /// What stays with the animal itself from record to record beside its genes.
    pub pe2: Option<f64>,
    /// What lambs of one litter share beside the rest.
    pub l2: Option<f64>,
}

impl Shares {
    /// `h2=0.3,c2=0.1`.
    ///
    /// # Errors
    /// Names what was read and what can be written.
    pub fn parse(text: &str) -> Result<Self, Misread> {
        let mut all = Self::default();
        for part in text.split(',').map(str::trim).filter(|p| !p.is_empty()) {
            let (name, value) = part.split_once('=').map_or((part, ""), |(n, v)| (n.trim(), v.trim()));
            let low = name.to_lowercase();
            let slot = match low.as_str() {
                "h2" => &mut all.h2,
                "c2" => &mut all.c2,
                "m2" => &mut all.m2,
                "rdm" => &mut all.rdm,
                "pe2" => &mut all.pe2,
                "l2" => &mut all.l2,
                _ => {
                    return Err(Misread::new(phrase!(
                        "'{part}' is no share of the variance: write some of h2, c2, m2, rdm, pe2 and l2, such as h2=0.3"
                    )));
                }
            };
            let least = if low == "rdm" { -1.0 } else { 0.0 };
            let read = value.parse::<f64>().ok().filter(|v| (least..=1.0).contains(v));
            *slot = Some(read.ok_or_else(|| {
                Misread::new(phrase!("'{part}' is no share: write {low}= and a number from {least} to 1"))
            })?);
        }
        Ok(all)
    }

    /// What a model needs of them, with the handbook's starts where none is given.
    fn settled(&self, of: Trait, model: Model) -> Result<Settled, Unfit> {
        let wrong = |given: Option<f64>, word: &'static str, with: &'static str| match given {
            Some(_) => Err(Unfit::Asked(phrase!("{word} goes with {with}: leave it out"))),
            None => Ok(()),
        };
        if model != Model::Maternal {
            wrong(self.m2, "m2", "the maternal model only")?;
            wrong(self.rdm, "rdm", "the maternal model only")?;
        }
        if model != Model::Repeatability {
            wrong(self.pe2, "pe2", "the repeatability model only")?;
        }
        if of.is_of_ewes() {
            wrong(self.l2, "l2", "weights only")?;
            if model == Model::Maternal {
                return Err(Unfit::Asked(
                    "the maternal model is for weights of lambs: take repeatability for lambs born or reared"
                        .into(),
                ));
            }
        }
        let measured = match of {
            Trait::Weight(days) => Measured::weight_at(days),
            Trait::Born => Measured::LambsBorn,
            Trait::Reared => Measured::LambsReared,
        };
        let begin = |share, or: f64| start(measured, share).unwrap_or(or);
        let h2 = self.h2.unwrap_or_else(|| begin(Share::Heritability, 0.2));
        let mut all = Settled { h2, l2: self.l2.unwrap_or(0.0), ..Settled::default() };
        match model {
            Model::Animal => all.c2 = self.c2.unwrap_or(0.0),
            Model::Repeatability => match (self.pe2, self.c2) {
                (Some(own), ewe) => (all.pe2, all.c2) = (own, ewe.unwrap_or(0.0)),
                (None, Some(own)) => all.pe2 = own,
                (None, None) => all.pe2 = (begin(Share::Repeatability, h2 + 0.1) - h2).max(0.05),
            },
            Model::Maternal => {
                all.m2 = self.m2.unwrap_or_else(|| begin(Share::Maternal, 0.1));
                all.rdm = self.rdm.unwrap_or(0.0);
                all.c2 = self.c2.unwrap_or_else(|| begin(Share::Common, 0.05));
            }
        }
        all.checked(model)
    }
}

/// Shares that hold.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
struct Settled {
    h2: f64,
    c2: f64,
    m2: f64,
    rdm: f64,
    pe2: f64,
    l2: f64,
}

impl Settled {
    fn checked(self, model: Model) -> Result<Self, Unfit> {
        if self.h2 <= 0.0 {
            return Err(Unfit::Variance(
                "with a heritability of 0 nothing is inherited, so there is nothing to tell: set h2 above 0"
                    .into(),
            ));
        }
        if model == Model::Maternal && self.m2 <= 0.0 {
            return Err(Unfit::Variance(
                "with m2 = 0 there is no mothering to tell: set m2 above 0, or take the animal model".into(),
            ));
        }
        if self.rdm.abs() > 0.999 {
            return Err(Unfit::Variance(
                "a correlation of 1 or -1 leaves one effect where there should be two: set rdm between"
                    .into(),
            ));
        }
        let left = self.left();
        if left < 0.001 {
            return Err(Unfit::Variance(phrase!(
                "the shares add up to {:.3}: together they must stay below 1, for the rest is chance",
                1.0 - left
            )));
        }
        Ok(self)
    }

    fn covariance(&self) -> f64 {
        self.rdm * (self.h2 * self.m2).sqrt()
    }

    /// What is left for chance.
    fn left(&self) -> f64 {
        1.0 - (self.h2 + self.m2 + self.covariance() + self.c2 + self.pe2 + self.l2)
    }
}

/// A problem made of a flock's records, and what its blocks are.
#[derive(Debug, Clone)]
pub struct Modelled {
    /// The problem. Its first block is the animals', the direct effect first.
    pub problem: Problem,
    /// Who stands at each level of the first block.
    pub ids: Vec<AnimalId>,
    /// The second effect of the first block is mothering.
    pub maternal: bool,
    /// The block of what stays with the animal, and its levels by animal.
    pub permanent: Option<(usize, RapidHashMap<AnimalId, u32>)>,
    /// All variance of a record of an animal that is not inbred, in squared units.
    pub phenotypic: f64,
    /// What is left once the fixed effects are known is too little to tell the variance well.
    pub few: bool,
}

/// Fewer records than this beyond the fixed effects tell the variance badly (common practice, no source).
const FEW: usize = 20;

/// Makes the problem of a model from records.
///
/// # Errors
/// Too few records, shares that cannot be, a model that does not go with the trait.
pub fn model(
    blood: Blood,
    gathered: &Gathered,
    of: Trait,
    model: Model,
    fixed: &[FixedBy],
    shares: &Shares,
) -> Result<Modelled, Unfit> {
    let shares = shares.settled(of, model)?;
    let records = &gathered.records;
    if records.is_empty() {
        let why = gathered.left_out.iter().max_by_key(|(_, n)| **n);
        let why = why.map_or_else(
            || phrase!("the book holds none of {} yet", of.words()),
            |(why, n)| phrase!("left out: {n} {why}"),
        );
        return Err(Unfit::NoRecords(why));
    }
    let mut problem = Problem {
        records: records.iter().map(|r| r.value).collect(),
        fixed: fixed.iter().enumerate().map(|(i, f)| factor(*f, i, records)).collect(),
        slopes: Vec::new(),
        blocks: Vec::new(),
        residual: 1.0,
    };
    let (phenotypic, left) = spread(&problem)?;
    let pedigree = Arc::new(blood.pedigree);
    let levels = blood.ids.len();
    let place = |id: AnimalId| blood.places.get(&id).copied();
    let animal = Effect { name: "animal".into(), of: records.iter().map(|r| place(r.animal)).collect() };
    let (h2, m2) = (shares.h2 * phenotypic, shares.m2 * phenotypic);
    let (effects, variance) = match model {
        Model::Maternal => {
            let ewe = records.iter().map(|r| r.ewe.and_then(place)).collect();
            let both = shares.covariance() * phenotypic;
            (vec![animal, Effect { name: "mothering".into(), of: ewe }], vec![h2, both, both, m2])
        }
        Model::Animal | Model::Repeatability => (vec![animal], vec![h2]),
    };
    problem.blocks.push(Block { effects, variance, levels, pedigree: Some(pedigree) });
    let mut permanent = None;
    if shares.pe2 > 0.0 {
        let (block, levels) =
            apart("stays with the animal", shares.pe2 * phenotypic, records, |r| Some(r.animal));
        permanent = Some((problem.blocks.len(), levels));
        problem.blocks.push(block);
    }
    if shares.c2 > 0.0 {
        problem.blocks.push(apart("ewe", shares.c2 * phenotypic, records, |r| r.ewe).0);
    }
    if shares.l2 > 0.0 {
        let litter = |r: &Record| r.litter;
        problem.blocks.push(apart::<LambingId>("litter", shares.l2 * phenotypic, records, litter).0);
    }
    problem.blocks.retain(|b| b.levels > 0);
    problem.residual = shares.left() * phenotypic;
    Ok(Modelled {
        problem,
        ids: blood.ids,
        maternal: model == Model::Maternal,
        permanent,
        phenotypic,
        few: left < FEW,
    })
}

fn factor(by: FixedBy, at: usize, records: &[Record]) -> Factor {
    let mut levels: Vec<String> = records.iter().map(|r| r.levels[at].clone()).collect();
    levels.sort_unstable_by(|a, b| natural(a, b).then_with(|| a.cmp(b)));
    levels.dedup();
    let place: RapidHashMap<&str, u32> = levels.iter().map(String::as_str).zip(0..).collect();
    let of = records.iter().map(|r| place.get(r.levels[at].as_str()).copied().unwrap_or(0)).collect();
    Factor { name: by.words().into(), levels, of }
}

/// A block whose levels are independent, with its levels.
fn apart<K: std::hash::Hash + Eq + Copy>(
    name: &str,
    variance: f64,
    records: &[Record],
    of: impl Fn(&Record) -> Option<K>,
) -> (Block, RapidHashMap<K, u32>) {
    let mut places: RapidHashMap<K, u32> = RapidHashMap::default();
    let of = records
        .iter()
        .map(|r| {
            let next = places.len() as u32;
            of(r).map(|k| *places.entry(k).or_insert(next))
        })
        .collect();
    let effects = vec![Effect { name: name.into(), of }];
    (Block { effects, variance: vec![variance], levels: places.len(), pedigree: None }, places)
}

/// The variance of records about what the fixed effects explain, and how many records it rests on beyond them.
///
/// # Errors
/// Nothing is left of the records once the fixed effects are known, or they do not differ.
pub fn spread(problem: &Problem) -> Result<(f64, usize), Unfit> {
    let alone = Problem { blocks: Vec::new(), residual: 1.0, ..problem.clone() };
    let frame = Frame::of(&alone)?;
    let (n, rank) = (problem.records.len(), frame.rank());
    if n <= rank {
        let levels =
            if rank == 1 { "mean".to_string() } else { phrase!("{rank} levels of the fixed effects") };
        let records = if n == 1 { phrase!("1 record") } else { phrase!("{n} records") };
        return Err(Unfit::TooFew(phrase!(
            "{records} cannot tell animals apart beside the {levels}: write down more, or take fewer fixed effects"
        )));
    }
    let equations = frame.equations(&[], 1.0)?;
    let solved = Order::of(&equations.matrix)?.factor(&equations.matrix)?.solve(&equations.right)?;
    let fitted = frame.fitted(&solved);
    let squares: f64 = problem.records.iter().zip(&fitted).map(|(y, f)| (y - f) * (y - f)).sum();
    let largest = problem.records.iter().fold(0.0f64, |m, y| m.max(y.abs()));
    let variance = squares / (n - rank) as f64;
    if variance <= 1e-12 * largest * largest {
        return Err(Unfit::TooFew(
            "the records do not differ beside the fixed effects, so no animal can be told from another"
                .into(),
        ));
    }
    Ok((variance, n - rank))
}

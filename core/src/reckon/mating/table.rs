//! What every pair would cost, term by term.

use super::{FORBIDDEN, InTheWay, NoPairs, PairsAsk, RamCap, Weights};
use super::{percent, risk::Gene, risk::HandsOn};
use crate::flock::{Flock, natural};
use crate::phrase;
use crate::reckon::kinship::{Kin, Kindred, Pedigree};
use crate::terms::AnimalId;
use rapidhash::{RapidHashMap, RapidHashSet};
use std::sync::Arc;

/// Every term of a pair. Costs are in the measure of [`Weights`]: 0.01 is one percent of inbreeding.
#[derive(Debug, Clone, PartialEq)]
pub struct Terms {
    /// Coancestry: the inbreeding of a lamb.
    pub coancestry: f64,
    /// Mean kinship of the lamb with the flock now.
    pub rare: f64,
    /// Parents' mean breeding value in standard deviations; none where neither has one.
    pub value: Option<f64>,
    /// The chance of an affected lamb, of any gene.
    pub risk: f64,
    /// What the lambs would be by the gene with the greatest chance, and that chance.
    pub gene: Option<(String, f64)>,
    /// A parent is not tested for a gene that the other may hand on.
    pub untested: bool,
    /// Words both bear.
    pub alike: Vec<String>,
    /// What each costs: kinship, rare blood, value, risk, alike.
    pub costs: [f64; 5],
}

impl Terms {
    /// All costs together.
    pub fn cost(&self) -> f64 {
        self.costs.iter().sum()
    }
}

/// Why a pair is out of the question.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Bar {
    /// The keeper forbade it.
    Forbidden,
    /// Their lamb would be this much inbred, more than the limit.
    OverLimit(f64),
    /// The ewe is kept for another ram.
    KeptFor(AnimalId),
}

/// The candidates and all that is known of each.
pub(super) struct Table {
    pub ewes: Vec<AnimalId>,
    pub rams: Vec<RamCap>,
    /// Coancestry by ram, then ewe.
    f: Vec<Vec<f64>>,
    rare: [Vec<f64>; 2],
    value: [Vec<Option<f64>>; 2],
    genes: Option<Arc<dyn HandsOn>>,
    chance: [Vec<Vec<Option<f64>>>; 2],
    words: Vec<String>,
    bears: [Vec<u64>; 2],
    pub forbidden: RapidHashSet<(usize, usize)>,
    pub kept: Vec<Option<usize>>,
    pub limit: Option<f64>,
    weights: Weights,
    /// The pedigree of the candidates and the flock, with the places of ewes, rams and the living.
    pub kin: Kin,
    pub places: [Vec<u32>; 2],
    pub living: Vec<u32>,
    pub depth: f64,
}

/// A limit is not broken by the last digit of a sum.
const HAIR: f64 = 1e-12;

impl Table {
    /// Gathers what is known; `go_on` hears up to 40 of 100.
    pub fn of(
        flock: &Flock,
        kindred: &Kindred,
        ask: &PairsAsk,
        go_on: &mut dyn FnMut(u32) -> bool,
    ) -> Result<Self, NoPairs> {
        let tag = |id: AnimalId| flock.tag(id).to_string();
        if let Some(circle) = kindred.circle() {
            return Err(NoPairs::Circle(circle.iter().copied().map(tag).collect()));
        }
        let mut ewes = ask.ewes.clone();
        let by_tag = |a: &AnimalId, b: &AnimalId| natural(flock.tag(*a), flock.tag(*b)).then(a.cmp(b));
        ewes.sort_by(by_tag);
        ewes.dedup();
        let mut rams = ask.rams.clone();
        rams.sort_by(|a, b| by_tag(&a.ram, &b.ram));
        rams.dedup_by_key(|r| r.ram);
        for (none, what) in [(ewes.is_empty(), "ewe"), (rams.is_empty(), "ram")] {
            if none {
                return Err(NoPairs::Nobody(what));
            }
        }
        let places = |ids: &mut dyn Iterator<Item = AnimalId>| -> Result<Vec<u32>, NoPairs> {
            ids.map(|id| kindred.place(id).ok_or(id))
                .collect::<Result<_, _>>()
                .map_err(|id| cannot(Some(id), None, phrase!("{} is no longer in the book", tag(id))))
        };
        let whole = [places(&mut ewes.iter().copied())?, places(&mut rams.iter().map(|r| r.ram))?];
        let all = whole.iter().flatten().chain(kindred.living()).copied();
        let (kin, at) = part(kindred.kin(), all);
        let local = |of: &[u32]| of.iter().filter_map(|p| at.get(p).copied()).collect::<Vec<u32>>();
        let (places, living) = ([local(&whole[0]), local(&whole[1])], local(kindred.living()));
        let mut f = Vec::with_capacity(rams.len());
        let mut x = vec![0.0; kin.pedigree.len()];
        for (n, ram) in places[1].iter().enumerate() {
            if !go_on((n * 40 / rams.len()) as u32) {
                return Err(NoPairs::Stopped);
            }
            x[*ram as usize] = 1.0;
            let a = kin.times(&x);
            x[*ram as usize] = 0.0;
            f.push(places[0].iter().map(|e| 0.5 * a[*e as usize]).collect());
        }
        for p in &living {
            x[*p as usize] = 1.0;
        }
        let with_flock = kin.times(&x);
        let mean = |p: &u32| 0.5 * with_flock[*p as usize] / living.len().max(1) as f64;
        let rare = [0, 1].map(|s: usize| places[s].iter().map(mean).collect());
        let ids = [ewes.clone(), rams.iter().map(|r| r.ram).collect::<Vec<_>>()];
        let depths = ids.iter().flatten().filter_map(|id| kindred.depth(*id));
        let depth = depths.sum::<f64>() / (ids[0].len() + ids[1].len()) as f64;
        let words: Vec<String> =
            ask.words.iter().map(|w| w.trim().to_lowercase()).filter(|w| !w.is_empty()).take(64).collect();
        let bears = [0, 1].map(|s: usize| ids[s].iter().map(|id| bears(flock, *id, &words)).collect());
        let genes = ask.risk.clone().filter(|g| !g.genes().is_empty());
        let chance = [0, 1].map(|s: usize| match &genes {
            Some(g) => {
                ids[s].iter().map(|id| (0..g.genes().len()).map(|n| g.chance(*id, n)).collect()).collect()
            }
            None => Vec::new(),
        });
        let value = standard(&ids, &ask.values);
        let (kept, forbidden) = must(ask, &ewes, &rams, &tag)?;
        Ok(Self {
            ewes,
            rams,
            f,
            rare,
            value,
            genes,
            chance,
            words,
            bears,
            forbidden,
            kept,
            limit: ask.limit,
            weights: ask.weights.held(),
            kin,
            places,
            living,
            depth,
        })
    }

    /// Inbreeding of a lamb of these two.
    pub fn f(&self, ewe: usize, ram: usize) -> f64 {
        self.f[ram][ewe]
    }

    /// Why a pair is out of the question, if it is.
    pub fn bar(&self, ewe: usize, ram: usize) -> Option<Bar> {
        self.bar_with(&self.kept, ewe, ram)
    }

    /// The same with other pairs kept.
    pub fn bar_with(&self, kept: &[Option<usize>], ewe: usize, ram: usize) -> Option<Bar> {
        match kept[ewe] {
            Some(kept) if kept == ram => return None,
            Some(kept) => return Some(Bar::KeptFor(self.rams[kept].ram)),
            None => {}
        }
        if self.forbidden.contains(&(ewe, ram)) {
            return Some(Bar::Forbidden);
        }
        let f = self.f(ewe, ram);
        self.limit.filter(|l| f > l + HAIR).map(|_| Bar::OverLimit(f))
    }

    fn risk(&self, ewe: usize, ram: usize) -> (f64, Option<(usize, f64)>, bool) {
        let Some(genes) = &self.genes else { return (0.0, None, false) };
        let (mut well, mut worst, mut untested) = (1.0, None::<(usize, f64)>, false);
        for (n, gene) in genes.genes().iter().enumerate() {
            let (a, b) = (self.chance[0][ewe][n], self.chance[1][ram][n]);
            // One parent that surely hands nothing on settles a gene that takes two copies.
            untested |= match (a, b) {
                (Some(_), Some(_)) | (None, None) => false,
                (Some(c), None) | (None, Some(c)) => gene.one_is_enough || c > 0.0,
            };
            let p = gene.affected(a.unwrap_or(0.0), b.unwrap_or(0.0));
            well *= 1.0 - p;
            if p > worst.map_or(0.0, |w| w.1) {
                worst = Some((n, p));
            }
        }
        (1.0 - well, worst, untested)
    }

    /// What a pair costs, each term for itself.
    fn costs(&self, ewe: usize, ram: usize) -> [f64; 5] {
        let w = &self.weights;
        let value = self.value[0][ewe].unwrap_or(0.0) + self.value[1][ram].unwrap_or(0.0);
        let alike = (self.bears[0][ewe] & self.bears[1][ram]).count_ones();
        [
            w.kinship * self.f(ewe, ram),
            w.rare * 0.5 * (self.rare[0][ewe] + self.rare[1][ram]),
            -0.01 * w.value * 0.5 * value,
            if w.risk > 0.0 { w.risk * self.risk(ewe, ram).0 } else { 0.0 },
            0.01 * w.alike * f64::from(alike),
        ]
    }

    /// Everything of a pair.
    pub fn terms(&self, ewe: usize, ram: usize) -> Terms {
        let (risk, worst, untested) = self.risk(ewe, ram);
        let both = self.bears[0][ewe] & self.bears[1][ram];
        let value = match (self.value[0][ewe], self.value[1][ram]) {
            (None, None) => None,
            (a, b) => Some(0.5 * (a.unwrap_or(0.0) + b.unwrap_or(0.0))),
        };
        let name = |n: usize| self.genes.as_ref().and_then(|g| g.genes().get(n)).map(Gene::lambs_words);
        Terms {
            coancestry: self.f(ewe, ram),
            rare: 0.5 * (self.rare[0][ewe] + self.rare[1][ram]),
            value,
            risk,
            gene: worst.and_then(|(n, p)| Some((name(n)?, p))),
            untested,
            alike: (0..self.words.len())
                .filter(|n| both >> n & 1 == 1)
                .map(|n| self.words[n].clone())
                .collect(),
            costs: self.costs(ewe, ram),
        }
    }

    /// What a pair costs in all.
    pub fn cost(&self, ewe: usize, ram: usize) -> f64 {
        self.costs(ewe, ram).iter().sum()
    }

    /// The costs in whole steps, and how many steps make 1. Whole numbers have one sum, so the same question has the
    /// same answer everywhere; the step is a power of two, so that the coancestries of forty generations are exact.
    pub fn whole(&self) -> (Vec<Vec<i64>>, f64) {
        let cost =
            |e: usize, r: usize| self.bar(e, r).is_none().then(|| self.costs(e, r).iter().sum::<f64>());
        let plain: Vec<Vec<Option<f64>>> =
            (0..self.ewes.len()).map(|e| (0..self.rams.len()).map(|r| cost(e, r)).collect()).collect();
        let largest = plain.iter().flatten().flatten().fold(0.0f64, |m, c| m.max(c.abs())).max(1e-3);
        let mut steps = (1u64 << 40) as f64;
        // The sums of the assignment must stay far below what a whole number holds.
        while largest * steps * (2.0 * self.ewes.len() as f64 + 2.0) > (1u64 << 58) as f64 {
            steps /= 2.0;
        }
        let whole = |c: &Option<f64>| c.map_or(FORBIDDEN, |c| (c * steps).round() as i64);
        (plain.iter().map(|row| row.iter().map(whole).collect()).collect(), steps)
    }

    /// Ewes that no ram may serve, each with the nearest thing to a ram for her.
    pub fn without(&self, flock: &Flock) -> Vec<InTheWay> {
        let rams = 0..self.rams.len();
        let mut all = Vec::new();
        for e in 0..self.ewes.len() {
            if rams.clone().any(|r| self.bar(e, r).is_none()) {
                continue;
            }
            let over = rams.clone().filter(|r| matches!(self.bar(e, *r), Some(Bar::OverLimit(_))));
            let least = over.min_by(|a, b| self.f(e, *a).total_cmp(&self.f(e, *b)));
            let tag = flock.tag(self.ewes[e]);
            let (ram, words) = match (least, self.limit) {
                (Some(r), Some(limit)) => {
                    let id = self.rams[r].ram;
                    let (ram, f) = (flock.tag(id), percent(self.f(e, r)));
                    let least = phrase!("{ram} would give least, {f}", ram = &ram);
                    (
                        Some(id),
                        phrase!(
                            "no ram for {tag} stays within {}; {least}: raise the limit or leave her out",
                            percent(limit),
                            tag = &tag
                        ),
                    )
                }
                _ => (
                    None,
                    phrase!("every ram is forbidden for {tag}: allow one or leave her out", tag = &tag),
                ),
            };
            all.push(InTheWay { ewe: Some(self.ewes[e]), ram, words });
        }
        all
    }
}

pub(super) fn cannot(ewe: Option<AnimalId>, ram: Option<AnimalId>, words: String) -> NoPairs {
    NoPairs::Cannot(vec![InTheWay { ewe, ram, words }])
}

/// Pairs kept and forbidden by place.
type Must = (Vec<Option<usize>>, RapidHashSet<(usize, usize)>);

fn must(
    ask: &PairsAsk,
    ewes: &[AnimalId],
    rams: &[RamCap],
    tag: &dyn Fn(AnimalId) -> String,
) -> Result<Must, NoPairs> {
    let ewe_at: RapidHashMap<AnimalId, usize> = ewes.iter().enumerate().map(|(n, e)| (*e, n)).collect();
    let ram_at: RapidHashMap<AnimalId, usize> = rams.iter().enumerate().map(|(n, r)| (r.ram, n)).collect();
    let place = |(e, r): &(AnimalId, AnimalId)| Some((*ewe_at.get(e)?, *ram_at.get(r)?));
    let forbidden: RapidHashSet<_> = ask.forbid.iter().filter_map(place).collect();
    let mut kept: Vec<Option<usize>> = vec![None; ewes.len()];
    for (ewe, ram) in &ask.keep {
        let no = |words: String| cannot(Some(*ewe), Some(*ram), words);
        let (e, r) = (tag(*ewe), tag(*ram));
        let Some(at) = ewe_at.get(ewe) else { continue };
        let Some(with) = ram_at.get(ram) else {
            return Err(no(phrase!("{e} is kept for {r}, who is not among the rams: add him or free her")));
        };
        if forbidden.contains(&(*at, *with)) {
            return Err(no(phrase!("{e} with {r} is both kept and forbidden: take one of the two back")));
        }
        if let Some(other) = kept[*at].filter(|o| o != with) {
            let other = tag(rams[other].ram);
            return Err(no(phrase!("{e} is kept for {other} and for {r}: keep her for one of them")));
        }
        kept[*at] = Some(*with);
    }
    for (n, ram) in rams.iter().enumerate() {
        let many = kept.iter().filter(|k| **k == Some(n)).count();
        if many > ram.most {
            let r = tag(ram.ram);
            let most = ram.most;
            let words =
                phrase!("{many} ewes are kept for {r}, who may have {most}: raise his number or free some");
            return Err(cannot(None, Some(ram.ram), words));
        }
    }
    Ok((kept, forbidden))
}

/// The pedigree of these and their ancestors alone, with everyone's inbreeding.
fn part(kin: &Kin, of: impl Iterator<Item = u32>) -> (Kin, RapidHashMap<u32, u32>) {
    let all = kin.ancestors(of);
    let at: RapidHashMap<u32, u32> = all.iter().zip(0..).map(|(p, n)| (*p, n)).collect();
    let mut pedigree = Pedigree::default();
    for p in &all {
        let [sire, dam] = kin.pedigree.parents()[*p as usize]
            .map(|p| at.get(&p).copied().unwrap_or(crate::reckon::kinship::NONE));
        pedigree.push(sire, dam);
    }
    let f = all.iter().map(|p| kin.f[*p as usize]).collect();
    (Kin { pedigree, f }, at)
}

/// Which of the words stand in an animal's colour, marks or note.
fn bears(flock: &Flock, id: AnimalId, words: &[String]) -> u64 {
    let Some(a) = flock.animal(id) else { return 0 };
    let text =
        [&a.colour, &a.marks, &a.note].map(|t| t.as_deref().unwrap_or_default()).join("\n").to_lowercase();
    words.iter().enumerate().filter(|(_, w)| text.contains(w.as_str())).fold(0, |all, (n, _)| all | 1 << n)
}

/// Breeding values in standard deviations from the mean of the candidates that have one.
fn standard(ids: &[Vec<AnimalId>; 2], values: &RapidHashMap<AnimalId, f64>) -> [Vec<Option<f64>>; 2] {
    let known: Vec<f64> = ids.iter().flatten().filter_map(|id| values.get(id).copied()).collect();
    let n = known.len().max(1) as f64;
    let mean = known.iter().sum::<f64>() / n;
    let spread = (known.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / n).sqrt();
    let z = |id: &AnimalId| {
        values.get(id).filter(|v| v.is_finite()).map(|v| if spread > 0.0 { (v - mean) / spread } else { 0.0 })
    };
    [0, 1].map(|s: usize| ids[s].iter().map(z).collect())
}

//! The answer: the best set of pairs, and everything one may ask of it.

use super::best::Pair;
use super::stuck::{crowded, too_few};
use super::swaps::Swaps;
use super::table::Table;
use super::{Bar, FORBIDDEN, Impossible, NoPairs, PairsAsk, Terms, assign_with};
use crate::flock::Flock;
use crate::reckon::kinship::Kindred;
use crate::terms::AnimalId;
use std::sync::Arc;

/// The best set of pairs for a question.
#[derive(Clone)]
pub struct Pairs {
    pub(super) table: Arc<Table>,
    pub(super) costs: Arc<Vec<Vec<i64>>>,
    pub(super) steps: f64,
    pub(super) of: Vec<usize>,
    pub(super) swaps: Arc<Swaps>,
    pub(super) most: Vec<usize>,
    pub(super) least: Vec<usize>,
    /// The ram each ewe is kept for.
    pub(super) kept: Vec<Option<usize>>,
    /// A ewe was moved by hand without settling the others, so that it is no longer the best set.
    pub(super) by_hand: bool,
}

/// What the whole set comes to.
#[derive(Debug, Clone, PartialEq)]
pub struct Totals {
    /// Mean inbreeding of the lambs, each ewe counted once.
    pub mean: f64,
    /// The worst, and the pair.
    pub worst: Pair,
    /// Mean of all costs, in the measure of the weights.
    pub cost: f64,
    /// How many ewes each ram has, in the order of the rams.
    pub ewes: Vec<(AnimalId, usize)>,
    /// Pairs over the limit: kept by the keeper, or moved by hand.
    pub over: usize,
    /// Mean complete generations of the pedigrees of all chosen; under 3 the inbreeding means little.
    pub depth: f64,
    /// Mean kinship of the flock now, each animal with itself included.
    pub kinship_now: f64,
    /// The same once each ewe has a lamb of these pairs in the flock.
    pub kinship_after: f64,
}

/// One ewe that goes to another ram than in the best set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Moved {
    /// The ewe.
    pub ewe: AnimalId,
    /// Her ram in the best set.
    pub from: AnimalId,
    /// Her ram in the other.
    pub to: AnimalId,
}

/// Another whole set, next in order after the best.
#[derive(Debug, Clone, PartialEq)]
pub struct Alternative {
    /// What it costs more than the best, over all ewes.
    pub extra: f64,
    /// Who moves.
    pub moved: Vec<Moved>,
    /// Mean inbreeding of the lambs.
    pub mean: f64,
    /// The worst.
    pub worst: f64,
}

/// Finds the set of pairs with the least sum of costs. Exact; it does not depend on the order in which animals are
/// given, and where several sets cost the same the tags decide. `go_on` is told how far it is, 0 to 100, and answers
/// whether to go on.
///
/// # Errors
/// [`NoPairs`] names each ewe, ram and limit that stands in the way.
pub fn pairs(
    flock: &Flock,
    kindred: &Kindred,
    ask: &PairsAsk,
    go_on: &mut dyn FnMut(u32) -> bool,
) -> Result<Pairs, NoPairs> {
    let table = Table::of(flock, kindred, ask, go_on)?;
    let all: usize = table.rams.iter().map(|r| r.most).sum();
    let n = table.ewes.len();
    if n > all {
        return Err(NoPairs::TooFew { ewes: n, most: all });
    }
    let without = table.without(flock);
    if !without.is_empty() {
        return Err(NoPairs::Cannot(without));
    }
    let (costs, steps) = table.whole();
    let most: Vec<usize> = table.rams.iter().map(|r| r.most.min(n)).collect();
    let least: Vec<usize> = table.rams.iter().map(|r| r.least).collect();
    let found = assign_with(&costs, &most, &least, &mut |done| go_on((40 + done * 55 / n) as u32));
    let of = found.map_err(|why| match why {
        Impossible::Stopped => NoPairs::Stopped,
        Impossible::NoRamFor(_) => crowded(flock, &table, &costs, &most),
        Impossible::TooFewFor(ram) => too_few(flock, &table, &costs, ram),
    })?;
    let swaps = Arc::new(Swaps::of(&costs, &of, &most, &least));
    let kept = table.kept.clone();
    Ok(Pairs {
        kept,
        table: Arc::new(table),
        costs: Arc::new(costs),
        steps,
        of,
        swaps,
        most,
        least,
        by_hand: false,
    })
}

impl Pairs {
    /// The ewes, by tag.
    pub fn ewes(&self) -> &[AnimalId] {
        &self.table.ewes
    }

    /// The rams, by tag, with their numbers.
    pub fn rams(&self) -> &[super::RamCap] {
        &self.table.rams
    }

    /// Each ewe with her ram, by tag of the ewe.
    pub fn pairs(&self) -> impl Iterator<Item = Pair> + '_ {
        (0..self.of.len()).map(|e| self.pair(e, self.of[e]))
    }

    pub(super) fn pair(&self, e: usize, r: usize) -> Pair {
        Pair { ewe: self.table.ewes[e], ram: self.table.rams[r].ram, coancestry: self.table.f(e, r) }
    }

    pub(super) fn place(&self, ewe: AnimalId) -> Option<usize> {
        self.table.ewes.iter().position(|e| *e == ewe)
    }

    pub(super) fn ram_place(&self, ram: AnimalId) -> Option<usize> {
        self.table.rams.iter().position(|r| r.ram == ram)
    }

    /// The ram of a ewe.
    pub fn ram_of(&self, ewe: AnimalId) -> Option<AnimalId> {
        self.place(ewe).map(|e| self.table.rams[self.of[e]].ram)
    }

    /// Every cost term of any pair of the candidates.
    pub fn terms(&self, ewe: AnimalId, ram: AnimalId) -> Option<Terms> {
        Some(self.table.terms(self.place(ewe)?, self.ram_place(ram)?))
    }

    /// Why a pair is out of the question; none when it is not.
    pub fn bar(&self, ewe: AnimalId, ram: AnimalId) -> Option<Bar> {
        self.barred(self.place(ewe)?, self.ram_place(ram)?)
    }

    pub(super) fn barred(&self, e: usize, r: usize) -> Option<Bar> {
        self.table.bar_with(&self.kept, e, r)
    }

    /// The pairs kept: those asked for and those set by hand.
    pub fn kept(&self) -> Vec<(AnimalId, AnimalId)> {
        let rams = |r: usize| self.table.rams[r].ram;
        self.kept.iter().enumerate().filter_map(|(e, k)| k.map(|r| (self.table.ewes[e], rams(r)))).collect()
    }

    /// What the whole costs more when this ewe goes to this ram and all others are settled anew; exact. None when
    /// it cannot be, and after a move by hand, from which nothing follows until all are settled anew.
    pub fn cost_of_forcing(&self, ewe: AnimalId, ram: AnimalId) -> Option<f64> {
        let (e, r) = (self.place(ewe)?, self.ram_place(ram)?);
        self.forced(e, r)
    }

    pub(super) fn forced(&self, e: usize, r: usize) -> Option<f64> {
        if self.by_hand {
            return None;
        }
        if self.of[e] == r {
            return Some(0.0);
        }
        self.swaps.forced(&self.costs, &self.of, e, r).map(|c| c as f64 / self.steps)
    }

    /// What it costs to give this ewe to this ram and leave all others as they are, whatever numbers and limits say.
    pub fn cost_alone(&self, ewe: AnimalId, ram: AnimalId) -> Option<f64> {
        let (e, r) = (self.place(ewe)?, self.ram_place(ram)?);
        Some(self.table.cost(e, r) - self.table.cost(e, self.of[e]))
    }

    /// What the whole comes to.
    pub fn totals(&self) -> Totals {
        let t = &self.table;
        let n = self.of.len() as f64;
        let worst = self.pairs().fold(None::<Pair>, |w, p| match w {
            Some(w) if w.coancestry >= p.coancestry => Some(w),
            _ => Some(p),
        });
        let many = |r: usize| self.of.iter().filter(|o| **o == r).count();
        let over = |l: f64| self.pairs().filter(|p| p.coancestry > l + 1e-12).count();
        let mut kin = t.kin.clone();
        let mut with: Vec<u32> = t.living.clone();
        for (e, r) in self.of.iter().enumerate() {
            with.push(kin.pedigree.push(t.places[1][*r], t.places[0][e]));
            kin.f.push(t.f(e, *r));
        }
        Totals {
            mean: self.pairs().map(|p| p.coancestry).sum::<f64>() / n,
            worst: worst.unwrap_or(Pair { ewe: t.ewes[0], ram: t.rams[0].ram, coancestry: 0.0 }),
            cost: (0..self.of.len()).map(|e| t.cost(e, self.of[e])).sum::<f64>() / n,
            ewes: t.rams.iter().enumerate().map(|(r, ram)| (ram.ram, many(r))).collect(),
            over: t.limit.map_or(0, over),
            depth: t.depth,
            kinship_now: t.kin.mean_coancestry(&t.living),
            kinship_after: kin.mean_coancestry(&with),
        }
    }

    /// The next best whole sets, in order of cost; exact. Each splits what is left: once with one pair more that must
    /// be, once with that pair forbidden (Hamacher and Queyranne 1985).
    pub fn alternatives(&self, k: usize) -> Vec<Alternative> {
        struct Part {
            costs: Vec<Vec<i64>>,
            of: Vec<usize>,
            next: Option<(i64, usize, usize)>,
            then: Vec<usize>,
        }
        let sum = |of: &[usize]| super::total(&self.costs, of);
        let part = |costs: Vec<Vec<i64>>, of: Vec<usize>| {
            let swaps = Swaps::of(&costs, &of, &self.most, &self.least);
            let next = swaps.cheapest(&costs, &of);
            let then = next.map(|(_, e, r)| swaps.force(&of, e, r)).unwrap_or_default();
            Part { costs, of, next, then }
        };
        if self.by_hand {
            return Vec::new();
        }
        let best = sum(&self.of);
        let mut parts = vec![part(self.costs.to_vec(), self.of.clone())];
        let mut all = Vec::new();
        while all.len() < k {
            let open = parts.iter().enumerate().filter(|(_, p)| p.next.is_some());
            let Some(at) = open.min_by_key(|(n, p)| (sum(&p.then), *n)).map(|(n, _)| n) else { break };
            let Part { costs, of, next, then } = parts.swap_remove(at);
            let Some((_, e, r)) = next else { break };
            all.push(self.alternative(&then, (sum(&then) - best) as f64 / self.steps));
            let mut without = costs.clone();
            without[e][r] = FORBIDDEN;
            let mut only = costs;
            for (ram, cost) in only[e].iter_mut().enumerate() {
                if ram != r {
                    *cost = FORBIDDEN;
                }
            }
            parts.push(part(without, of));
            parts.push(part(only, then));
        }
        all
    }

    fn alternative(&self, then: &[usize], extra: f64) -> Alternative {
        let ram = |r: usize| self.table.rams[r].ram;
        let moved = (0..then.len()).filter(|e| then[*e] != self.of[*e]);
        let f = || (0..then.len()).map(|e| self.table.f(e, then[e]));
        Alternative {
            extra,
            moved: moved
                .map(|e| Moved { ewe: self.table.ewes[e], from: ram(self.of[e]), to: ram(then[e]) })
                .collect(),
            mean: f().sum::<f64>() / then.len() as f64,
            worst: f().fold(0.0, f64::max),
        }
    }
}

//! The answer: the best set of pairs, and everything one may ask of it.

use super::best::Pair;
use super::swaps::Swaps;
use super::table::{Table, cannot};
use super::{Bar, FORBIDDEN, Impossible, InTheWay, NoPairs, PairsAsk, Terms, assign_with};
use crate::flock::Flock;
use crate::reckon::kinship::Kindred;
use crate::terms::{AnimalId, counted};
use std::sync::Arc;

/// The best set of pairs for a question.
#[derive(Clone)]
pub struct Pairs {
    pub(super) table: Arc<Table>,
    pub(super) costs: Arc<Vec<Vec<i64>>>,
    pub(super) steps: f64,
    pub(super) of: Vec<usize>,
    pub(super) swaps: Arc<Swaps>,
    most: Vec<usize>,
    least: Vec<usize>,
    /// A ewe was moved by hand without settling the others, so that it is no longer the best set.
    by_hand: bool,
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
    Ok(Pairs {
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
        self.table.bar(self.place(ewe)?, self.ram_place(ram)?)
    }

    /// What the whole costs more when this ewe goes to this ram and all others are settled anew; exact. None when
    /// it cannot be.
    pub fn cost_of_forcing(&self, ewe: AnimalId, ram: AnimalId) -> Option<f64> {
        let (e, r) = (self.place(ewe)?, self.ram_place(ram)?);
        self.forced(e, r)
    }

    pub(super) fn forced(&self, e: usize, r: usize) -> Option<f64> {
        if self.of[e] == r {
            return Some(0.0);
        }
        self.swaps.forced(&self.costs, &self.of, e, r).map(|c| c as f64 / self.steps)
    }

    /// What it costs to give this ewe to this ram and leave all others as they are, whatever numbers and limits say.
    pub fn cost_alone(&self, ewe: AnimalId, ram: AnimalId) -> Option<f64> {
        let (e, r) = (self.place(ewe)?, self.ram_place(ram)?);
        Some(self.table.terms(e, r).cost() - self.table.terms(e, self.of[e]).cost())
    }

    /// The set with this ewe at this ram and all others settled anew at least cost.
    ///
    /// # Errors
    /// The pair is barred, or the rams' numbers leave no room.
    pub fn force(&self, flock: &Flock, ewe: AnimalId, ram: AnimalId) -> Result<Self, NoPairs> {
        let no = |words: String| cannot(Some(ewe), Some(ram), words);
        let (Some(e), Some(r)) = (self.place(ewe), self.ram_place(ram)) else {
            return Err(no("she or the ram is not among those chosen: choose both first".into()));
        };
        let (e_tag, r_tag) = (flock.tag(ewe), flock.tag(ram));
        if self.of[e] == r {
            return Ok(self.clone());
        }
        match self.table.bar(e, r) {
            Some(Bar::Forbidden) => {
                return Err(no(format!("{e_tag} with {r_tag} is forbidden: allow the pair first")));
            }
            Some(Bar::OverLimit(f)) => {
                let f = super::percent(f);
                return Err(no(format!(
                    "a lamb of {e_tag} and {r_tag} would be {f} inbred, over the limit: raise it, or keep the pair"
                )));
            }
            Some(Bar::KeptFor(other)) => {
                let other = flock.tag(other);
                return Err(no(format!("{e_tag} is kept for {other}: free her first")));
            }
            None => {}
        }
        if self.forced(e, r).is_none() {
            return Err(no(format!(
                "{r_tag} has no room for {e_tag} that others could make: raise his number"
            )));
        }
        Ok(self.with(self.swaps.force(&self.of, e, r)))
    }

    /// The set with this ewe moved and all others as they are, whatever numbers and limits say; see [`Self::amiss`].
    pub fn move_alone(&self, ewe: AnimalId, ram: AnimalId) -> Option<Self> {
        let (e, r) = (self.place(ewe)?, self.ram_place(ram)?);
        let mut new = self.with(self.of.clone());
        new.of[e] = r;
        new.by_hand = true;
        Some(new)
    }

    fn with(&self, of: Vec<usize>) -> Self {
        let swaps = Arc::new(Swaps::of(&self.costs, &of, &self.most, &self.least));
        Self { of, swaps, ..self.clone() }
    }

    /// Whether a ewe was moved alone, so that it may not be the best set any more.
    pub fn by_hand(&self) -> bool {
        self.by_hand
    }

    /// What moves by hand have broken: numbers of rams, forbidden pairs, the limit.
    pub fn amiss(&self, flock: &Flock) -> Vec<InTheWay> {
        let mut all = Vec::new();
        for (r, ram) in self.table.rams.iter().enumerate() {
            let many = self.of.iter().filter(|o| **o == r).count();
            let tag = flock.tag(ram.ram);
            let words = if many > ram.most {
                format!("{tag} has {}, more than his {}", counted(many, "ewe"), ram.most)
            } else if many < ram.least {
                format!("{tag} has {}, fewer than his {}", counted(many, "ewe"), ram.least)
            } else {
                continue;
            };
            all.push(InTheWay { ewe: None, ram: Some(ram.ram), words });
        }
        for (e, r) in self.of.iter().enumerate() {
            let p = self.pair(e, *r);
            let (ewe, ram) = (flock.tag(p.ewe), flock.tag(p.ram));
            let words = match self.table.bar(e, *r) {
                Some(Bar::Forbidden) => format!("{ewe} with {ram} is forbidden"),
                Some(Bar::OverLimit(f)) => {
                    format!("{ewe} with {ram}: {} is over the limit", super::percent(f))
                }
                Some(Bar::KeptFor(other)) => format!("{ewe} is to be kept for {}", flock.tag(other)),
                None => continue,
            };
            all.push(InTheWay { ewe: Some(p.ewe), ram: Some(p.ram), words });
        }
        all
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
            cost: (0..self.of.len()).map(|e| t.terms(e, self.of[e]).cost()).sum::<f64>() / n,
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

/// Some ewes may go only to rams that are full: those ewes and rams by name.
fn crowded(flock: &Flock, table: &Table, costs: &[Vec<i64>], most: &[usize]) -> NoPairs {
    // Ewe after ewe by chains of changes, costs aside, until one finds no room: whom her chains reach stand in her way.
    let mut held: Vec<Vec<usize>> = vec![Vec::new(); most.len()];
    for ewe in 0..costs.len() {
        let mut by: Vec<Option<(usize, usize)>> = vec![None; most.len()];
        let mut seen: Vec<usize> = Vec::new();
        let mut queue = vec![(ewe, usize::MAX)];
        let mut room = None;
        while let Some((who, from)) = queue.pop() {
            for (ram, cost) in costs[who].iter().enumerate() {
                if *cost != FORBIDDEN && by[ram].is_none() && !seen.contains(&ram) {
                    by[ram] = Some((who, from));
                    seen.push(ram);
                    if held[ram].len() < most[ram] {
                        room = room.or(Some(ram));
                    }
                    queue.extend(held[ram].iter().map(|e| (*e, ram)));
                }
            }
        }
        let Some(mut at) = room else {
            seen.sort_unstable();
            let rams: Vec<&str> = seen.iter().map(|r| flock.tag(table.rams[*r].ram)).collect();
            let most: usize = seen.iter().map(|r| most[*r]).sum();
            let mut ewes: Vec<usize> =
                seen.iter().flat_map(|r| held[*r].iter().copied()).chain([ewe]).collect();
            ewes.sort_unstable();
            let mut tags: Vec<&str> = ewes.iter().take(6).map(|e| flock.tag(table.ewes[*e])).collect();
            if ewes.len() > tags.len() {
                tags.push("…");
            }
            let (n, who) = (ewes.len(), rams.join(" and "));
            let words = format!(
                "{n} ewes ({}) may only go to {who}, who may have {most}: raise a number or the limit, allow other pairs, or leave {} out",
                tags.join(", "),
                n - most,
            );
            return cannot(Some(table.ewes[ewe]), seen.first().map(|r| table.rams[*r].ram), words);
        };
        while let Some((who, from)) = by[at] {
            held[at].push(who);
            if from == usize::MAX {
                break;
            }
            held[from].retain(|e| *e != who);
            at = from;
        }
    }
    cannot(None, None, "the numbers of the rams leave a ewe over: raise a number".into())
}

fn too_few(flock: &Flock, table: &Table, costs: &[Vec<i64>], ram: usize) -> NoPairs {
    let cap = table.rams[ram];
    let tag = flock.tag(cap.ram);
    let can = costs.iter().filter(|row| row[ram] != FORBIDDEN).count();
    let words = if cap.least > cap.most {
        format!("{tag} is to have at least {} and at most {}: mend one of the numbers", cap.least, cap.most)
    } else if can < cap.least {
        format!(
            "{tag} is to have at least {}, but only {} may go to him: lower that number",
            cap.least,
            counted(can, "ewe")
        )
    } else {
        format!("{tag} cannot have as many as he is to have at least ({}): lower that number", cap.least)
    };
    cannot(None, Some(cap.ram), words)
}

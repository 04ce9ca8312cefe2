//! Changes by hand: a ewe kept for a ram, moved alone, or freed again.

use super::stuck::{crowded, too_few};
use super::swaps::Swaps;
use super::table::cannot;
use super::{Bar, FORBIDDEN, Impossible, InTheWay, NoPairs, Pairs, assign_with};
use crate::flock::Flock;
use crate::phrase;
use crate::terms::{AnimalId, counted};
use std::sync::Arc;

impl Pairs {
    /// The set with this ewe kept for this ram and all others settled anew at least cost.
    ///
    /// # Errors
    /// The pair is barred, or the rams' numbers leave no room.
    pub fn force(&self, flock: &Flock, ewe: AnimalId, ram: AnimalId) -> Result<Self, NoPairs> {
        let no = |words: String| cannot(Some(ewe), Some(ram), words);
        let (Some(e), Some(r)) = (self.place(ewe), self.ram_place(ram)) else {
            return Err(no(phrase!("she or the ram is not among those chosen: choose both first")));
        };
        let (e_tag, r_tag) = (flock.tag(ewe), flock.tag(ram));
        match self.barred(e, r) {
            Some(Bar::Forbidden) => {
                return Err(no(phrase!(
                    "{e_tag} with {r_tag} is forbidden: allow the pair first",
                    e_tag = &e_tag,
                    r_tag = &r_tag
                )));
            }
            Some(Bar::OverLimit(f)) => {
                let f = super::percent(f);
                return Err(no(phrase!(
                    "a lamb of {e_tag} and {r_tag} would be {f} inbred, over the limit: raise the limit",
                    e_tag = &e_tag,
                    r_tag = &r_tag
                )));
            }
            Some(Bar::KeptFor(other)) => {
                let other = flock.tag(other);
                return Err(no(phrase!(
                    "{e_tag} is kept for {other}: free her first",
                    e_tag = &e_tag,
                    other = &other
                )));
            }
            None => {}
        }
        if !self.by_hand && self.forced(e, r).is_none() {
            return Err(no(phrase!(
                "{r_tag} has no room for {e_tag} that others could make: raise his number",
                r_tag = &r_tag,
                e_tag = &e_tag
            )));
        }
        let mut new = self.clone();
        new.keep(e, Some(r));
        if self.by_hand {
            return new.settle(flock);
        }
        if self.of[e] != r {
            new.of = self.swaps.force(&self.of, e, r);
        }
        new.swaps = Arc::new(Swaps::of(&new.costs, &new.of, &new.most, &new.least));
        Ok(new)
    }

    /// The set with this ewe kept for this ram and all others as they are, whatever numbers and limits say; see
    /// [`Self::amiss`].
    pub fn move_alone(&self, ewe: AnimalId, ram: AnimalId) -> Option<Self> {
        let (e, r) = (self.place(ewe)?, self.ram_place(ram)?);
        let mut new = self.clone();
        new.of[e] = r;
        new.keep(e, Some(r));
        new.by_hand = true;
        Some(new)
    }

    /// The ewe no longer kept for any ram, and all settled anew.
    ///
    /// # Errors
    /// The limits leave no set.
    pub fn free(&self, flock: &Flock, ewe: AnimalId) -> Result<Self, NoPairs> {
        let mut new = self.clone();
        if let Some(e) = self.place(ewe) {
            new.keep(e, None);
        }
        new.settle(flock)
    }

    /// All but the pairs kept settled anew at least cost.
    ///
    /// # Errors
    /// The pairs kept leave no set.
    pub fn settle(mut self, flock: &Flock) -> Result<Self, NoPairs> {
        self.of =
            assign_with(&self.costs, &self.most, &self.least, &mut |_| true).map_err(|why| match why {
                Impossible::Stopped => NoPairs::Stopped,
                Impossible::NoRamFor(_) => crowded(flock, &self.table, &self.costs, &self.most),
                Impossible::TooFewFor(ram) => too_few(flock, &self.table, &self.costs, ram),
            })?;
        self.swaps = Arc::new(Swaps::of(&self.costs, &self.of, &self.most, &self.least));
        self.by_hand = false;
        Ok(self)
    }

    fn keep(&mut self, e: usize, r: Option<usize>) {
        self.kept[e] = r;
        let row: Vec<i64> = (0..self.table.rams.len())
            .map(|n| match self.barred(e, n) {
                None => (self.table.cost(e, n) * self.steps).round() as i64,
                Some(_) => FORBIDDEN,
            })
            .collect();
        Arc::make_mut(&mut self.costs)[e] = row;
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
                phrase!("{tag} has {}, more than his {}", counted(many, "ewe"), ram.most, tag = &tag)
            } else if many < ram.least {
                phrase!("{tag} has {}, fewer than his {}", counted(many, "ewe"), ram.least, tag = &tag)
            } else {
                continue;
            };
            all.push(InTheWay { ewe: None, ram: Some(ram.ram), words });
        }
        for (e, r) in self.of.iter().enumerate() {
            let p = self.pair(e, *r);
            let (ewe, ram) = (flock.tag(p.ewe), flock.tag(p.ram));
            let words = match self.barred(e, *r) {
                Some(Bar::Forbidden) => phrase!("{ewe} with {ram} is forbidden", ewe = &ewe, ram = &ram),
                Some(Bar::OverLimit(f)) => {
                    phrase!(
                        "{ewe} with {ram}: {} is over the limit",
                        super::percent(f),
                        ewe = &ewe,
                        ram = &ram
                    )
                }
                Some(Bar::KeptFor(other)) => {
                    phrase!("{ewe} is to be kept for {}", &flock.tag(other), ewe = &ewe)
                }
                None => continue,
            };
            all.push(InTheWay { ewe: Some(p.ewe), ram: Some(p.ram), words });
        }
        all
    }
}

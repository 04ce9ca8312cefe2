//! Counts over lines of a season, whole or of one age, ram, breed or group.

use super::gather::{Band, Came, EweLine, LambLine, Left, Season};
use super::settings::Settings;
use crate::reckon::figures::Mean;
use crate::terms::{AnimalId, Scanned};
use std::collections::BTreeMap;

/// What is counted of a season, or of a part of it. Rates count exposed ewes alone, top and bottom.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Tally {
    /// Ewes turned out with a ram.
    pub joined: u32,
    /// Ewes that lambed without a joining written.
    pub unwritten: u32,
    /// Sold or culled before lambing.
    pub sold_before: u32,
    /// Died before lambing.
    pub died_before: u32,
    /// Bought in lamb.
    pub bought: u32,
    /// Ewes that rates are reckoned of.
    pub exposed: u32,
    /// Ewes that may still lamb.
    pub open: u32,
    /// Of these the ones not scanned: in lamb or not is not known.
    pub unsure: u32,
    /// Exposed ewes scanned.
    pub scanned: u32,
    /// Exposed ewes in which lambs were counted, and how many lambs.
    pub counted: (u32, u32),
    /// Exposed ewes that lambed or were scanned in lamb.
    pub in_lamb: u32,
    /// Ewes that lambed.
    pub lambed: u32,
    /// Exposed ewes that lambed.
    pub exposed_lambed: u32,
    /// Exposed ewes that lambed in the first cycle.
    pub first_cycle: u32,
    /// Lambs born.
    pub born: u32,
    /// Born alive.
    pub alive: u32,
    /// Lambs lost, by age.
    pub lost: [u32; 6],
    /// Lived to 60 days.
    pub reared: u32,
    /// Too young to tell.
    pub growing: u32,
    /// Weaned, bottle lambs among them.
    pub weaned: u32,
    /// Not weaned yet.
    pub waiting: u32,
    /// Weaned from the bottle.
    pub bottle: u32,
    /// Weaned lambs reared by a ewe.
    pub by_ewes: u32,
    /// Lambs sold.
    pub sold: u32,
    /// Birth weights.
    pub birth: Mean,
    /// 60-day weights.
    pub sixty: Mean,
    /// Weights at weaning.
    pub weaning: Mean,
    /// Sum of gains to 60 days and how many.
    pub gain: (i64, u32),
    /// Joined for the first time, of those joined.
    pub first_time: u32,
    /// Culled within a year of joining.
    pub culled: u32,
    /// Died within a year of joining.
    pub died: u32,
    /// Replacements can be told: a season before is in the book.
    pub follows: bool,
}

impl Tally {
    /// Takes a ewe in.
    fn ewe(&mut self, e: &EweLine, season: &Season, s: &Settings) {
        let joined = e.joined.is_some();
        self.joined += u32::from(joined);
        self.unwritten += u32::from(e.unwritten);
        self.bought += u32::from(e.bought);
        self.sold_before += u32::from(e.left == Some(Left::Sold));
        self.died_before += u32::from(e.left == Some(Left::Died));
        self.lambed += u32::from(e.lambed.is_some());
        self.first_time += u32::from(joined && e.first);
        self.culled += u32::from(e.culled);
        self.died += u32::from(e.died);
        if !is_exposed(e, s) {
            return;
        }
        self.exposed += 1;
        self.open += u32::from(e.open);
        self.unsure += u32::from(e.open && e.scan.is_none());
        self.scanned += u32::from(e.scan.is_some());
        let lambs = match e.scan {
            Some(Scanned::One) => 1,
            Some(Scanned::Two) => 2,
            Some(Scanned::Three) => 3,
            _ => 0,
        };
        if lambs > 0 || e.scan == Some(Scanned::Empty) {
            self.counted = (self.counted.0 + 1, self.counted.1 + lambs);
        }
        let found = e.scan.is_some_and(|f| f != Scanned::Empty);
        self.in_lamb += u32::from(e.lambed.is_some() || found);
        self.exposed_lambed += u32::from(e.lambed.is_some());
        if let (Some(on), Some(first)) = (e.lambed, season.first_lambing) {
            self.first_cycle += u32::from(on.since(first) < s.first_cycle_days);
        }
    }

    /// Takes a lamb in where it was born: all but what became of it under a ewe.
    fn birth_of(&mut self, l: &LambLine) {
        self.born += 1;
        self.alive += u32::from(l.alive());
        l.birth.into_iter().for_each(|w| self.birth.add(w));
        match l.came {
            Came::Lost(loss) => self.lost[loss.band as usize] += 1,
            Came::Growing => self.waiting += 1,
            Came::Weaned => {}
        }
        self.reared += u32::from(l.reared == Some(true));
        self.growing += u32::from(l.reared.is_none());
        self.sold += u32::from(l.sold);
    }

    /// Takes a lamb in where it was reared.
    fn rearing_of(&mut self, l: &LambLine) {
        if l.came == Came::Weaned {
            self.weaned += 1;
            self.by_ewes += u32::from(l.rearer.is_some());
            self.bottle += u32::from(l.rearer.is_none());
            l.weaning.into_iter().for_each(|w| self.weaning.add(w));
        }
        l.sixty.into_iter().for_each(|w| self.sixty.add(w));
        if let Some(g) = l.gain() {
            self.gain = (self.gain.0 + g, self.gain.1 + 1);
        }
    }

    /// Takes the counts of another season's part in.
    pub fn join(&mut self, o: &Self) {
        for (a, b) in [
            (&mut self.joined, o.joined),
            (&mut self.unwritten, o.unwritten),
            (&mut self.sold_before, o.sold_before),
            (&mut self.died_before, o.died_before),
            (&mut self.bought, o.bought),
            (&mut self.exposed, o.exposed),
            (&mut self.open, o.open),
            (&mut self.unsure, o.unsure),
            (&mut self.scanned, o.scanned),
            (&mut self.counted.0, o.counted.0),
            (&mut self.counted.1, o.counted.1),
            (&mut self.in_lamb, o.in_lamb),
            (&mut self.lambed, o.lambed),
            (&mut self.exposed_lambed, o.exposed_lambed),
            (&mut self.first_cycle, o.first_cycle),
            (&mut self.born, o.born),
            (&mut self.alive, o.alive),
            (&mut self.reared, o.reared),
            (&mut self.growing, o.growing),
            (&mut self.weaned, o.weaned),
            (&mut self.waiting, o.waiting),
            (&mut self.bottle, o.bottle),
            (&mut self.by_ewes, o.by_ewes),
            (&mut self.sold, o.sold),
            (&mut self.gain.1, o.gain.1),
            (&mut self.first_time, o.first_time),
            (&mut self.culled, o.culled),
            (&mut self.died, o.died),
        ] {
            *a += b;
        }
        self.lost.iter_mut().zip(o.lost).for_each(|(a, b)| *a += b);
        self.gain.0 += o.gain.0;
        self.birth.join(o.birth);
        self.sixty.join(o.sixty);
        self.weaning.join(o.weaning);
        self.follows |= o.follows;
    }

    /// Lost by weaning, born dead among them.
    pub fn lost_all(&self) -> u32 {
        self.lost.iter().sum()
    }

    /// Lost at an age.
    pub fn lost_at(&self, band: Band) -> u32 {
        self.lost[band as usize]
    }
}

/// Whether rates count a ewe, by the settings.
pub fn is_exposed(e: &EweLine, s: &Settings) -> bool {
    if e.bought {
        return s.plus_in_lamb;
    }
    if e.joined.is_none() {
        return e.unwritten;
    }
    match e.left {
        Some(Left::Sold) => !s.less_sold || (s.empty_stay && e.scan == Some(Scanned::Empty)),
        Some(Left::Died) => !s.less_dead,
        None => true,
    }
}

/// By what a season is split.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum By {
    /// Age of the ewe.
    Age,
    /// The ram.
    Ram,
    /// Breed of the ewe.
    Breed,
    /// Group at joining, or pen.
    Group,
}

impl By {
    /// All.
    pub const ALL: [Self; 4] = [Self::Age, Self::Ram, Self::Breed, Self::Group];

    /// As people read it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Age => "age of ewe",
            Self::Ram => "ram",
            Self::Breed => "breed",
            Self::Group => "group or pen",
        }
    }
}

/// One part of a split.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Part {
    /// Ewes of this age.
    Age(i32),
    /// Ewes of this ram.
    Ram(AnimalId),
    /// A breed or a group by name.
    Named(String),
    /// Not known.
    NotKnown,
}

fn part(e: &EweLine, by: By) -> Part {
    let named = |w: &Option<String>| w.clone().map_or(Part::NotKnown, Part::Named);
    match by {
        By::Age => e.age.map_or(Part::NotKnown, Part::Age),
        By::Ram => e.ram.map_or(Part::NotKnown, Part::Ram),
        By::Breed => named(&e.breed),
        By::Group => named(&e.group),
    }
}

impl Season {
    /// The whole season.
    pub fn tally(&self, s: &Settings) -> Tally {
        let mut t = Tally { follows: self.follows, ..Tally::default() };
        self.ewes.iter().for_each(|e| t.ewe(e, self, s));
        for l in &self.lambs {
            t.birth_of(l);
            t.rearing_of(l);
        }
        t
    }

    /// Its parts. A lamb is born to its dam's part and reared in that of the ewe that reared it, a bottle lamb in none;
    /// of a ram all is counted where it was born.
    pub fn split(&self, by: By, s: &Settings) -> BTreeMap<Part, Tally> {
        let mut all: BTreeMap<Part, Tally> = BTreeMap::new();
        let parts: Vec<Part> = self.ewes.iter().map(|e| part(e, by)).collect();
        let fresh = || Tally { follows: self.follows, ..Tally::default() };
        for (e, p) in self.ewes.iter().zip(&parts) {
            all.entry(p.clone()).or_insert_with(fresh).ewe(e, self, s);
        }
        for l in &self.lambs {
            let Some(born) = parts.get(l.dam) else { continue };
            all.entry(born.clone()).or_insert_with(fresh).birth_of(l);
            let reared = if by == By::Ram { Some(l.dam) } else { l.rearer };
            if let Some(p) = reared.and_then(|r| parts.get(r)) {
                all.entry(p.clone()).or_insert_with(fresh).rearing_of(l);
            }
        }
        // A ewe that only reared another's lamb is of no ram.
        all.retain(|_, t| *t != fresh());
        all
    }

    /// Lambs lost by cause and age.
    pub fn losses(&self) -> BTreeMap<super::CauseAt, [u32; 6]> {
        let mut all: BTreeMap<super::CauseAt, [u32; 6]> = BTreeMap::new();
        for l in &self.lambs {
            if let Came::Lost(loss) = l.came {
                all.entry(loss.cause).or_default()[loss.band as usize] += 1;
            }
        }
        all
    }
}

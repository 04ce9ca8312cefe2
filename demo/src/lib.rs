//! The made-up flock: seeded, of any size, written through the same checks as everything else.
//!
//! Breed, farms, people and label facts are invented. The flock keeps to the reference where it has figures
//! (gestation, litters, growth, losses) and ends near the day it is made: lambs of the last days, ewes still
//! to lamb, animals under withdrawal, and a few things that are wrong and should be noticed.

mod ancestors;
mod autumn;
mod cupboard;
mod dice;
mod feed;
mod found;
mod genes;
mod joining;
mod judged;
mod lambing;
mod litters;
mod maker;
mod mating;
mod medicine;
mod money;
mod names;
mod odd;
mod shed;
mod sheep;
mod spring;
mod summer;
mod ticks;
mod weighing;

use hirsel_core::book::{Book, Failed};
use hirsel_core::flock::Holding;
use hirsel_core::terms::{Day, Units};
use maker::Maker;

/// How large a flock to make up, and of which throw of the dice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Spec {
    /// Ewes kept for breeding, at least 1.
    pub ewes: u32,
    /// Lambing seasons, at least 1; the last one is under way.
    pub seasons: u32,
    /// The same seed makes the same flock.
    pub seed: u64,
}

impl Default for Spec {
    fn default() -> Self {
        Self { ewes: 60, seasons: 5, seed: 7 }
    }
}

/// Who keeps the made-up flock.
pub fn holding() -> Holding {
    Holding {
        flock: "Pipitfold Quernfold Greys".into(),
        keeper: names::KEEPER.into(),
        number: "99/999/0042".into(),
        address: "Pipitfold, Cinder Lane, Upper Sallowmere".into(),
        given_by: names::KEEPER.into(),
        vet: names::VET.into(),
        units: Units::Metric,
        rules: "gb-england".into(),
        sheet: "a4".into(),
        prefix: names::PREFIX.into(),
        registry: names::REGISTER.into(),
        currency: "£".into(),
        ..Holding::default()
    }
}

/// Whether a book is a made-up one: it is kept by somebody who is invented.
pub fn is_made_up(holding: &Holding) -> bool {
    let made = self::holding();
    (&holding.number, &holding.address, &holding.keeper) == (&made.number, &made.address, &made.keeper)
}

/// Fills a new book with a made-up flock that ends on `today`; says in words how far it is.
/// The same `spec` and day give the same facts, whatever the ids.
///
/// # Errors
/// The book could not be written.
pub fn make(book: &mut Book, spec: &Spec, today: Day, progress: &mut dyn FnMut(&str)) -> Result<(), Failed> {
    let mut maker = Maker::new(book, spec, today, progress);
    maker.say("Founders and their ancestors");
    maker.found()?;
    let mut crop = Vec::new();
    for season in 0..=maker.last {
        let coming = maker.autumn(season)?;
        crop = maker.lambing(season, coming)?;
        maker.spring(season, &crop)?;
        if season < maker.last {
            maker.summer(season, &crop)?;
        }
        maker.money(season)?;
    }
    maker.oddities(&crop)?;
    maker.blood()?;
    maker.shelf()?;
    maker.ticks()?;
    maker.feed()?;
    maker.shed()?;
    maker.last_days()
}

#[cfg(test)]
mod tests;

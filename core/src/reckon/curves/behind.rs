//! Who falls behind: below the band of this flock's own animals of the same age, sex and type.

use super::flock::{Bands, bands};
use super::sort::sort_of;
use crate::flock::{AnimalFile, Flock};
use crate::handbook::curves as bounds;
use crate::phrase;
use crate::terms::{AnimalId, Day, Gain, Status, Units, Weight};

/// What an animal was held beside.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Beside {
    /// The band of its like in this flock.
    Flock {
        /// Whom: `twin ewe lambs`.
        whom: String,
        /// The lower edge of the band.
        low: Weight,
        /// The upper edge.
        high: Weight,
        /// Weights the band stands on.
        weights: usize,
        /// Animals they are of.
        animals: usize,
    },
    /// The handbook's least gain, as the flock's own weights do not suffice.
    Handbook {
        /// Least gain from birth.
        least: Gain,
        /// Its gain from birth.
        gain: Gain,
    },
}

/// An animal that falls behind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Behind {
    /// The animal.
    pub animal: AnimalId,
    /// Weighed on.
    pub on: Day,
    /// Its age then, days.
    pub age: i64,
    /// What it weighed.
    pub weight: Weight,
    /// What that was held beside.
    pub beside: Beside,
    /// The reason in words.
    pub why: String,
}

/// Animals of the flock that lay below the band of their like when they were last weighed, within the days the handbook
/// gives; the farthest below first. The birth weight is no weighing.
///
/// Where the flock's own weights do not suffice the handbook's gains are used instead, and named as such: unless they
/// would name more than a third of three or more lambs, for then this flock is of another size and they say nothing.
pub fn falling_behind(flock: &Flock, today: Day) -> Vec<Behind> {
    // Nothing is drawn where nobody was weighed.
    let lately: Vec<(&AnimalFile, Last)> =
        flock.present().filter_map(|f| Some((f, last(f, today)?))).collect();
    if lately.is_empty() {
        return Vec::new();
    }
    let (bands, units) = (bands(flock), flock.holding().units);
    let (mut found, mut by_book, mut measured) = (Vec::new(), Vec::new(), 0);
    for (f, last) in lately {
        match beside_like(flock, &bands, f, last, units) {
            Some(Some(hit)) => found.push(hit),
            Some(None) => {}
            None => {
                if let Some(hit) = beside_handbook(flock, f, last, units) {
                    measured += 1;
                    by_book.extend(hit);
                }
            }
        }
    }
    found.sort_by(|a: &(f64, Behind), b| a.0.total_cmp(&b.0).then_with(|| a.1.animal.cmp(&b.1.animal)));
    let mut found: Vec<Behind> = found.into_iter().map(|(_, b)| b).collect();
    if measured < 3 || by_book.len() * 3 <= measured {
        found.extend(by_book);
    }
    found
}

/// The last weighing of a growing animal.
#[derive(Clone, Copy)]
struct Last {
    on: Day,
    age: i64,
    weight: Weight,
}

fn last(f: &AnimalFile, today: Day) -> Option<Last> {
    let born = f.animal.born.exact().filter(|_| f.animal.status == Status::Present)?;
    let stands = f.weighings.iter().filter(|w| w.struck.is_none() && w.at.day <= today);
    let w = stands.max_by_key(|w| (w.at.day, w.at.time, w.id))?;
    let (on, age) = (w.at.day, w.at.day.since(born));
    let lately = today.since(on) <= bounds::behind_days() && (1..=bounds::flock_to_days()).contains(&age);
    lately.then_some(Last { on, age, weight: w.weight })
}

/// Beside its like: none where they do not suffice.
fn beside_like(
    flock: &Flock,
    bands: &Bands,
    f: &AnimalFile,
    Last { on, age, weight }: Last,
    units: Units,
) -> Option<Option<(f64, Behind)>> {
    let like = bands.like(flock, f, age).ok()?;
    let (low, high) = like.curve.band(age as f64);
    if weight.kg() >= low {
        return Some(None);
    }
    let grams = |kg: f64| Weight::from_grams((kg * 1000.0).round() as i64);
    let (low, high) = (grams(low)?, grams(high)?);
    let whom = like.sort.words();
    let why = phrase!(
        "{} at {age} days; {whom} of this flock are {} then",
        weight.show(units),
        from_to(low, high, units)
    );
    let beside = Beside::Flock { whom, low, high, weights: like.weights, animals: like.animals };
    let score = like.curve.score(weight.kg(), age as f64);
    Some(Some((score, Behind { animal: f.animal.id, on, age, weight, beside, why })))
}

/// Beside the handbook: none where it says nothing of such an animal.
fn beside_handbook(
    flock: &Flock,
    f: &AnimalFile,
    Last { on, age, weight }: Last,
    units: Units,
) -> Option<Option<Behind>> {
    let birth = f.animal.birth_weight?;
    if !(bounds::gain_from_days()..=bounds::gain_to_days()).contains(&age) {
        return None;
    }
    let gain = Gain::between(birth, weight, age)?;
    let single = sort_of(flock, f).born? == 1;
    let (least, word) =
        if single { (bounds::single_gain(), "a single") } else { (bounds::twin_gain(), "a twin") };
    let least = Gain(least);
    if gain >= least {
        return Some(None);
    }
    let why = phrase!(
        "{} at {age} days, {} since birth; the handbook's least for {word} is {}, as this flock has too few weights of \
         its own",
        weight.show(units),
        gain.show(units),
        least.show(units)
    );
    let beside = Beside::Handbook { least, gain };
    Some(Some(Behind { animal: f.animal.id, on, age, weight, beside, why }))
}

/// `16.5 to 23.0 kg`.
fn from_to(low: Weight, high: Weight, units: Units) -> String {
    let (low, high) = (low.show(units), high.show(units));
    match (low.strip_suffix(" kg"), low.strip_suffix(" lb")) {
        (Some(bare), _) if high.ends_with(" kg") => phrase!("{bare} to {high}", bare = &bare),
        (_, Some(bare)) if high.ends_with(" lb") => phrase!("{bare} to {high}", bare = &bare),
        _ => phrase!("{low} to {high}"),
    }
}

//! The breeding values the sheet takes: of the keeper's index, or of the weight at 60 days where he has set none.

use crate::flock::Flock;
use crate::phrase;
use crate::reckon::evaluation::{Ask, Evaluation, Trait, Unfit, evaluate, placed, weights};
use crate::terms::{AnimalId, Day};
use rapidhash::RapidHashMap;
use std::sync::Arc;

/// Breeding values by animal, each with its accuracy, and of what they are.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Values {
    /// Value and accuracy.
    pub of: Arc<RapidHashMap<AnimalId, (f64, f64)>>,
    /// Of which trait, or of how many.
    pub words: String,
}

/// Reckons them as of a day; without an index of the keeper's, of the weight at 60 days, or at 30 where nothing was
/// weighed near 60. `go_on` is told the part done and stops the work by answering no.
///
/// # Errors
/// Why they cannot be reckoned.
pub fn values(flock: &Flock, on: Day, go_on: &mut dyn FnMut(f64) -> bool) -> Result<Values, Unfit> {
    let asked = weights(&flock.holding().keeping).unwrap_or_default();
    if !asked.is_empty() {
        return of(flock, &asked, on, go_on);
    }
    match of(flock, &[(Trait::Weight(60), 1.0)], on, go_on) {
        Err(Unfit::NoRecords(_)) => of(flock, &[(Trait::Weight(30), 1.0)], on, go_on),
        answer => answer,
    }
}

fn of(
    flock: &Flock,
    asked: &[(Trait, f64)],
    on: Day,
    go_on: &mut dyn FnMut(f64) -> bool,
) -> Result<Values, Unfit> {
    let n = asked.len() as f64;
    let mut all: Vec<Evaluation> = Vec::new();
    for (i, (of, _)) in asked.iter().enumerate() {
        all.push(evaluate(flock, &Ask::usual(*of, on), &mut |p| go_on((i as f64 + p) / n))?);
    }
    let weighed: Vec<(&Evaluation, f64)> = all.iter().zip(asked.iter().map(|a| a.1)).collect();
    let values = placed(flock, &weighed).into_iter().map(|p| (p.id, (p.estimate.value, p.estimate.accuracy)));
    let words = match all.as_slice() {
        [one] => one.of.words(),
        all => phrase!("index of {} traits", all.len()),
    };
    Ok(Values { of: Arc::new(values.collect()), words })
}

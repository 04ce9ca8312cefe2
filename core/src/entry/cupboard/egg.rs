//! Egg counts.

use super::{CupboardRefused, CupboardUnusual};
use crate::entry::lambing::not_here;
use crate::entry::standing::before_birth;
use crate::entry::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{EggCount, Flock};
use crate::handbook::stock as bounds;
use crate::terms::{AnimalId, Day, EggCountId};

/// An egg count as written up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EggCountDraft {
    /// The animal, if it was of one.
    pub animal: Option<AnimalId>,
    /// The group it belongs to.
    pub group: Option<String>,
    /// The day of the sample.
    pub on: Day,
    /// Eggs in each gram.
    pub epg: u32,
    /// The product whose work is looked at.
    pub product: Option<String>,
    /// The day it was given.
    pub treated_on: Option<Day>,
    /// Note.
    pub note: Option<String>,
}

/// Checks egg counts; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn egg_counts(drafts: Vec<EggCountDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("epg"), Refused::Missing("an egg count"));
    }
    let mut all: Vec<EggCount> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let new = EggCount {
            id: EggCountId::new(),
            animal: d.animal,
            group: words(&d.group),
            on: d.on,
            epg: d.epg,
            product: words(&d.product),
            treated_on: d.treated_on,
            note: words(&d.note),
            struck: None,
        };
        if let Some(animal) = new.animal.and_then(|id| flock.animal(id)) {
            before_birth(&mut faults, Field::row("on", row), animal, new.on);
        }
        check(&mut faults, row, &new, flock, today);
        if let Some(animal) = new.animal.and_then(|id| flock.animal(id))
            && all.iter().any(|e| e.animal == new.animal && e.on == new.on)
        {
            let what = CupboardUnusual::CountedTwice { tag: animal.tag().into(), on: new.on };
            faults.question(Field::row("animal", row), what.into());
        }
        all.push(new);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => {
                let of = one.animal.map(|a| flock.tag(a).to_string()).or_else(|| one.group.clone());
                format!("Egg count of {}: {} a gram", of.unwrap_or_default(), one.epg)
            }
            many => format!("{} egg counts", many.len()),
        };
        (Entry::EggCounts(all), sentence)
    })
}

/// What is wrong or unlikely of an egg count, new or amended.
pub(super) fn check(faults: &mut Faults, row: usize, e: &EggCount, flock: &Flock, today: Day) {
    let field = |name| Field::row(name, row);
    match e.animal.map(|id| flock.animal(id)) {
        Some(None) => faults.refuse(field("animal"), Refused::Gone),
        Some(Some(a)) => {
            not_here(faults, field("animal"), a, e.on);
            let again = flock.cupboard().egg_counts.iter().filter(|o| o.struck.is_none() && o.id != e.id);
            if again.into_iter().any(|o| o.animal == e.animal && o.on == e.on) {
                let what = CupboardUnusual::CountedTwice { tag: a.tag().into(), on: e.on };
                faults.question(field("animal"), what.into());
            }
        }
        None if e.group.is_none() => faults.refuse(field("animal"), CupboardRefused::CountOfNobody.into()),
        None => {}
    }
    if e.epg > bounds::odd_epg() {
        faults.question(field("epg"), CupboardUnusual::ManyEggs(e.epg).into());
    }
    match (&e.product, e.treated_on) {
        (None, Some(on)) => {
            faults.not_ahead(field("treated_on"), on, today);
            faults.refuse(field("product"), Refused::Missing("the product that was given on that day"));
        }
        (Some(_), Some(on)) => faults.not_ahead(field("treated_on"), on, today),
        (Some(product), None) => {
            let words =
                format!("the day {product} was given is not written: before and after cannot be told apart");
            faults.caution(field("treated_on"), words);
        }
        (None, None) => {}
    }
}

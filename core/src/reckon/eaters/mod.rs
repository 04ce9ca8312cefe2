//! Who eats: every animal of the flock in its group on any day, past or present, the heads of a pen, and which lines of
//! the rations hold for them.
//!
//! **Who counts.** An animal that is in the flock at the end of the day ([`crate::registers::present_on`]): not yet born,
//! not yet come, sold, dead, lent or missing, it eats nothing here.
//!
//! **Whom a ewe nurses.** Lambs she rears (her own, or put on her) that are in the flock and not weaned. Who rears a lamb
//! has no day in the book: a foster lamb counts with its foster ewe from birth, a bottle lamb is on milk from birth.
//!
//! **When a lamb is weaned**, the first of these that tells ([`Milk`]):
//! 1. the step `wean` of the care plan is ticked as done: from that day; before it the lamb still sucks;
//! 2. that step is put off: not before the day it is put off to;
//! 3. from the earliest age of that step on (six weeks as shipped): the lamb is in another pen than the ewe that rears
//!    it, or no ewe that could rear it is in the flock. Younger lambs apart from their ewe are taken for a slip of the
//!    pen, and lambs whose ewe is gone are on milk;
//! 4. else by age: the day that step is due; where the keeper does without the step, the age at weaning of
//!    `figures.toml`.
//!
//! Lambs eat at the creep from the first step of the rules of feeding on (seven days as shipped).
//!
//! Decisions (keep, sell, …) tell nothing of weaning and are not asked.

mod days;
mod diet;
mod given;
mod heads;
mod milk;
mod spans;
#[cfg(test)]
mod tests;
#[cfg(test)]
mod tests_fed;
mod trade;
mod words;

pub use days::{HeadDays, Spell, spells};
pub use diet::{GroupDiet, diets};
pub use given::{GroupRound, PenRound, Portion, given, heads_words, round, rounds};
pub use heads::{Heads, PenHeads, pen_on};
pub use milk::{Milk, WeanedBy, milk};
pub use spans::{LambSpans, Spans};
pub use trade::{TRADE_RULE, target_key, trade_rule, with_target};
pub use words::{a_head, barn_measure, carried, in_bags, in_measure};

use crate::flock::{AnimalFile, Flock, Joining};
use crate::reckon::gestation::{self, State};
use crate::registers::present_on;
use crate::terms::{AnimalId, Day, Eaters, Rearing, Scanned, Sex};
use rapidhash::RapidHashMap;
use std::sync::Arc;

/// The group an animal eats with on a day; none where it is not in the flock then. For many animals or days take
/// [`Heads::on`], [`spells`] or [`HeadDays`].
pub fn group_of(flock: &Flock, f: &AnimalFile, on: Day, spans: &Spans) -> Option<Eaters> {
    here(f, on).then(|| {
        let nursed = if f.animal.sex == Sex::Ewe { nursed(flock, f, on, spans).len() } else { 0 };
        grouped(flock, f, on, spans, nursed)
    })
}

/// The lambs a ewe nurses on a day: those she rears that are in the flock and not weaned, in no promised order.
pub fn nursed(flock: &Flock, ewe: &AnimalFile, on: Day, spans: &Spans) -> Vec<AnimalId> {
    let id = ewe.animal.id;
    if !here(ewe, on) {
        return Vec::new();
    }
    let put_on = fosters(flock);
    let put_on = put_on.of(id);
    let young = |l: &&AnimalFile| {
        let age = l.animal.born.day().map(|b| on.since(b));
        // One of which only the year of birth is known may be here before the day it is taken for.
        age.is_some_and(|a| a <= milk::LONGEST)
    };
    let own = ewe.offspring.iter().filter(|o| !put_on.contains(*o));
    let all = own.chain(put_on).filter_map(|l| flock.file(*l)).filter(young);
    all.filter(|l| here(l, on) && milk(flock, l, on, spans) == Some(Milk::Ewe(id)))
        .map(|l| l.animal.id)
        .collect()
}

/// In the flock at the end of the day, and born by then as far as the day of birth is known.
fn here(f: &AnimalFile, on: Day) -> bool {
    f.animal.born.day().is_none_or(|b| b <= on || f.animal.born.exact().is_none() && b.year() == on.year())
        && present_on(f, on)
}

/// The group of an animal that is here and nurses so many.
fn grouped(flock: &Flock, f: &AnimalFile, on: Day, spans: &Spans, nursed: usize) -> Eaters {
    let age = f.animal.age_days(on);
    match milk(flock, f, on, spans) {
        Some(Milk::Ewe(_)) => {
            let from = spans.of_born(f.animal.born).creep_from;
            return if age.is_some_and(|a| a >= from) { Eaters::CreepLambs } else { Eaters::MilkLambs };
        }
        Some(Milk::Bottle) => return Eaters::MilkLambs,
        Some(Milk::Weaned(_)) | None => {}
    }
    if f.animal.sex != Sex::Ewe {
        return if age.is_some_and(|a| a < spans.ram_from) { Eaters::WeanedLambs } else { Eaters::Rams };
    }
    match nursed {
        0 => {}
        1 => return Eaters::NursingOne,
        2 => return Eaters::NursingTwo,
        _ => return Eaters::NursingThree,
    }
    if let Some(group) = carrying(flock, f, on, spans) {
        return group;
    }
    if age.is_some_and(|a| a < spans.young_from) {
        return Eaters::WeanedLambs;
    }
    let lambed = f.lambings_standing().any(|l| l.at.day <= on);
    if !lambed && age.is_some_and(|a| a < spans.grown_from) { Eaters::YoungEwes } else { Eaters::DryEwes }
}

/// The group of a ewe that is with a ram or in lamb, by the best evidence of her service ([`gestation`]).
fn carrying(flock: &Flock, f: &AnimalFile, on: Day, spans: &Spans) -> Option<Eaters> {
    if f.joinings.is_empty() && f.marks.is_empty() {
        return None;
    }
    let joined = || f.joinings.iter().any(|j| with_ram(j, on)).then_some(Eaters::JoinedEwes);
    let p = gestation::of_ewe(flock, f, on)?;
    if p.state != State::Expected {
        return joined();
    }
    let late_from = p.window.early.plus(-spans.late_days);
    if on >= late_from && !overdue(&p, on) {
        return Some(Eaters::LateEwes);
    }
    let scanned = p.scan.is_some_and(|(_, found)| found != Scanned::Empty);
    let in_lamb = (!overdue(&p, on)).then_some(Eaters::EarlyEwes);
    if scanned { in_lamb.or_else(joined) } else { joined().or(in_lamb) }
}

/// Days after the usual day of lambing from which a ewe still with the ram no longer counts as in lamb by her first
/// days with him (common practice, no source).
const LONG_PAST: i64 = 60;

/// The ram is with her still and her first days with him came to nothing.
fn overdue(p: &gestation::Pregnancy, on: Day) -> bool {
    p.window.late.is_none() && on.since(p.window.due) > LONG_PAST
}

/// The ram runs with her on this day; a service by hand is no running with him.
fn with_ram(j: &Joining, on: Day) -> bool {
    j.struck.is_none() && j.from <= on && j.to.is_none_or(|to| on <= to && to != j.from)
}

/// Lambs put on a ewe, looked up once for a version of the flock.
#[derive(Debug, Default)]
struct Fosters(RapidHashMap<AnimalId, Vec<AnimalId>>);

impl Fosters {
    fn of(&self, ewe: AnimalId) -> &[AnimalId] {
        self.0.get(&ewe).map_or(&[], Vec::as_slice)
    }
}

fn fosters(flock: &Flock) -> Arc<Fosters> {
    flock.kept(|| {
        let mut all = Fosters::default();
        for f in flock.files() {
            if let Rearing::Foster(ewe) = f.animal.rearing {
                all.0.entry(ewe).or_default().push(f.animal.id);
            }
        }
        all
    })
}

//! Clearance: the first day an animal's meat or milk may be used again, and its meat sold for export.
//! Knows `flock` and a day; no clock, no files. Invariant: one more treatment never brings a day forward.
//!
//! Counting (house rule, the stricter reading; last administration: Regulation (EU) 2019/6 art 4(34);
//! a label day of 24 hours is from memory): the period runs from the last dose; without a time of day it runs
//! from 24:00 of that day; the first clear day is the first day that lies wholly after the period.
//! A course counts from its last dose, written or planned, whichever is later: doses still to come are reckoned to
//! be given, and a dose given early brings nothing forward. It is cut short by amending how many doses it has.
//! Export (au: export slaughter interval, which may be longer than the period at home): never earlier than meat.
//! Where a place counts it apart an export period that is not written is unknown, so not clear; elsewhere export
//! follows only from where one was written. Periods are counted as they were written: neither another rule set nor
//! keeping organically changes what was given before.
//! Label, vet and local law decide.

mod words;

#[cfg(test)]
mod tests;

use crate::flock::{AnimalFile, Flock, Movement, Treatment};
use crate::terms::{Day, Minute, Moment, Sex, Status, TreatmentId, Withdrawal};

const DAY_MIN: i64 = 24 * 60;

/// When a product of an animal may be used again.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Clear {
    /// Nothing was given.
    #[default]
    Free,
    /// From the start of this day.
    From(Day),
    /// A period was not written down: not clear until it is.
    Unknown,
    /// A product that is never for such animals was given.
    Never,
}

impl Clear {
    /// May it be used on this day?
    pub fn is_clear(&self, on: Day) -> bool {
        match self {
            Self::Free => true,
            Self::From(day) => *day <= on,
            Self::Unknown | Self::Never => false,
        }
    }

    fn rank(&self) -> (u8, Option<Day>) {
        match self {
            Self::Free => (0, None),
            Self::From(day) => (1, Some(*day)),
            Self::Unknown => (2, None),
            Self::Never => (3, None),
        }
    }
}

/// When a period ends that runs from a last dose at `given`; none where it is unknown or never ends.
pub fn ends_after(given: Moment, period: Withdrawal) -> Option<Moment> {
    let minutes = match period {
        Withdrawal::Unknown | Withdrawal::Never => return None,
        Withdrawal::Days(n) => i64::from(n) * DAY_MIN,
        Withdrawal::Hours(n) => i64::from(n) * 60,
    };
    Some(later(given, minutes))
}

/// So many minutes later; a day alone counts from its 24:00.
fn later(from: Moment, minutes: i64) -> Moment {
    let end = from.time.map_or(DAY_MIN, |t| t.of_day()) + minutes;
    let in_day = end.rem_euclid(DAY_MIN) as u32;
    Moment { day: from.day.plus(end.div_euclid(DAY_MIN)), time: Minute::new(in_day / 60, in_day % 60) }
}

/// First clear day after one dose at `given` with this period.
pub fn clear_after(given: Moment, period: Withdrawal) -> Clear {
    let end = match (period, ends_after(given, period)) {
        (Withdrawal::Never, _) => return Clear::Never,
        (_, None) => return Clear::Unknown,
        (_, Some(end)) => end,
    };
    // The day after the one in which the period ends, unless it ends at midnight. A dose on the day itself
    // never leaves that day clear.
    let in_day = end.time.map_or(0, |t| t.of_day());
    let first = end.day.plus(i64::from(in_day > 0));
    Clear::From(first.max(given.day.plus(1)))
}

/// One side (meat, milk or export) of an animal's clearance, with the treatment that decides it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Side {
    /// When.
    pub clear: Clear,
    /// Because of this treatment.
    pub because: Option<TreatmentId>,
    /// Its product.
    pub product: String,
    /// When it was given.
    pub given: Option<Day>,
    /// The day the last dose of its course is counted on by plan, where that is another than its own.
    pub planned: Option<Day>,
    /// The day the last dose of its course was given, once all of them are written: nothing is planned any more.
    pub finished: Option<Day>,
    /// The moment the period ends, where it ends; that of a dose without a time of day counts from 24:00.
    pub ends: Option<Moment>,
    /// The time of day of the dose is known, so that the hour of `ends` can be relied on.
    pub timed: bool,
}

impl Side {
    fn rank(&self) -> (u8, Option<Day>, Option<Moment>) {
        let (rank, day) = self.clear.rank();
        (rank, day, self.ends)
    }
}

/// Clearance of one animal.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Clearance {
    /// Meat.
    pub meat: Side,
    /// Milk.
    pub milk: Side,
    /// Meat for export; never earlier than meat. Nothing where neither the place nor any treatment speaks of it.
    pub export: Side,
    /// The place counts export apart.
    pub export_apart: bool,
}

impl Clearance {
    /// Under withdrawal on this day: for meat or milk, or for export where the place counts it apart.
    pub fn is_held(&self, on: Day) -> bool {
        !self.meat.clear.is_clear(on) || !self.milk.clear.is_clear(on) || self.export_held(on)
    }

    /// Something runs out, or must be found out: a day to wait for, or a period that is not known. Milk that may never
    /// be used is a standing fact and nothing to wait for.
    pub fn waits(&self, on: Day) -> bool {
        !self.meat.clear.is_clear(on)
            || (!self.milk.clear.is_clear(on) && self.milk.clear != Clear::Never)
            || (self.export_held(on) && self.export.clear != Clear::Never)
    }

    fn export_held(&self, on: Day) -> bool {
        self.export_apart && !self.export.clear.is_clear(on)
    }
}

/// Clearance at home over all treatments that stand and were given on or before `on`: the latest date wins,
/// an unknown period outweighs any date, and 'never' outweighs both. Export follows only where a period for it was
/// written; [`clearance_in`] knows whether the place counts it apart.
pub fn clearance(file: &AnimalFile, on: Day) -> Clearance {
    reckon(file, on, false)
}

/// As [`clearance`], with export counted apart where the rule set of the book does so.
pub fn clearance_in(flock: &Flock, file: &AnimalFile, on: Day) -> Clearance {
    reckon(file, on, counts_export(flock))
}

/// An animal that was sold, and has not come back, before it was clear.
#[derive(Debug, Clone)]
pub struct SoldHeld<'a> {
    /// The animal.
    pub file: &'a AnimalFile,
    /// Its sale.
    pub movement: &'a Movement,
    /// Its clearance, as of the sale.
    pub clearance: Clearance,
    /// What the buyer must be told, in whole sentences.
    pub told: Vec<String>,
}

/// Animals sold on or before `on` while they were not clear, in order of their tags.
pub fn sold_held(flock: &Flock, on: Day) -> Vec<SoldHeld<'_>> {
    let one = |file| -> Option<SoldHeld<'_>> {
        let file: &AnimalFile = file;
        let sale = file.movements.iter().rfind(|m| m.struck.is_none() && m.on <= on)?;
        if sale.to != Status::Sold || file.treatments.is_empty() {
            return None;
        }
        let clearance = clearance_in(flock, file, sale.on);
        let milks = file.animal.sex == Sex::Ewe && !file.animal.is_lamb(sale.on);
        let told = clearance.to_be_told(sale.on, milks);
        (!told.is_empty()).then_some(SoldHeld { file, movement: sale, clearance, told })
    };
    let mut all: Vec<SoldHeld<'_>> = flock.files().filter_map(one).collect();
    all.sort_by(|a, b| crate::flock::natural(a.file.animal.tag(), b.file.animal.tag()));
    all
}

/// The rule set of the book counts meat for export apart.
pub fn counts_export(flock: &Flock) -> bool {
    flock.rules().is_some_and(crate::rules::RuleSet::tracks_export)
}

fn reckon(file: &AnimalFile, on: Day, export_apart: bool) -> Clearance {
    let mut all = Clearance { export_apart, ..Clearance::default() };
    let given = || file.treatments_standing().filter(|t| t.at.day <= on);
    let mut export_written = false;
    for t in given() {
        let last = (last_dose(t, given()), finished(t, given()));
        take(&mut all.meat, t, last, t.meat);
        take(&mut all.milk, t, last, t.milk);
        export_written |= t.more.export != Withdrawal::Unknown;
        if export_apart || t.more.export != Withdrawal::Unknown {
            take(&mut all.export, t, last, t.more.export);
        }
    }
    if (export_apart || export_written) && all.export.rank() < all.meat.rank() {
        all.export = all.meat.clone();
    }
    all
}

/// The last dose as this one tells it: itself, or the one its course ends with by plan. `given` are all doses that count.
fn last_dose<'a>(t: &Treatment, given: impl Iterator<Item = &'a Treatment>) -> Moment {
    let Some(part) = t.more.course else { return t.at };
    // The latest dose says how many there are: a course is cut short by amending it there.
    let of = given
        .filter_map(|o| o.more.course.filter(|c| c.id == part.id))
        .max_by_key(|c| (c.nth, c.of))
        .map_or(part.of, |c| c.of);
    let hours = i64::from(of.saturating_sub(part.nth)) * i64::from(part.every_hours);
    match hours {
        0 => t.at,
        // Of a day alone it stays a day alone.
        h if t.at.time.is_none() && h % 24 == 0 => Moment::day(t.at.day.plus(h / 24)),
        h => later(t.at, h * 60),
    }
}

/// The day the last dose of its course was given, where none of them is to come.
fn finished<'a>(t: &Treatment, given: impl Iterator<Item = &'a Treatment>) -> Option<Day> {
    let id = t.more.course?.id;
    let of_it = given.filter_map(|o| o.more.course.filter(|c| c.id == id).map(|c| (c, o.at.day)));
    let (mut latest, mut day) = (None, None);
    for (part, on) in of_it {
        latest = latest.max(Some((part.nth, part.of)));
        day = day.max(Some(on));
    }
    latest.filter(|(nth, of)| nth >= of).and(day)
}

fn take(side: &mut Side, t: &Treatment, (last, finished): (Moment, Option<Day>), period: Withdrawal) {
    let new = Side {
        clear: clear_after(last, period),
        because: Some(t.id),
        product: t.product.to_string(),
        given: Some(t.at.day),
        planned: (last != t.at).then_some(last.day),
        finished,
        ends: ends_after(last, period),
        timed: t.at.time.is_some(),
    };
    if new.rank() > side.rank() {
        *side = new;
    }
}

//! Clearance: the first day an animal's meat or milk may be used again.
//! Knows `flock` and a day; no clock, no files. Invariant: one more treatment never brings a day forward.
//!
//! Counting (house rule, the stricter reading; last administration: Regulation (EU) 2019/6 art 4(34);
//! a label day of 24 hours is from memory): the period runs from the last dose; without a time of day it runs
//! from 24:00 of that day; the first clear day is the first day that lies wholly after the period.
//! Label, vet and local law decide.

use crate::flock::{AnimalFile, Treatment};
use crate::terms::{Day, Moment, TreatmentId, Withdrawal};

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

    /// As in CSV: a day, `unknown`, `never`, or nothing.
    pub fn text(&self) -> String {
        match self {
            Self::Free => String::new(),
            Self::From(day) => day.to_string(),
            Self::Unknown => "unknown".into(),
            Self::Never => "never".into(),
        }
    }

    /// As people read it.
    pub fn words(&self) -> String {
        match self {
            Self::Free => "nothing given".into(),
            Self::From(day) => format!("clear {}", day.words()),
            Self::Unknown => "unknown, not clear".into(),
            Self::Never => "never".into(),
        }
    }
}

/// First clear day after one dose at `given` with this period.
pub fn clear_after(given: Moment, period: Withdrawal) -> Clear {
    let minutes = match period {
        Withdrawal::Unknown => return Clear::Unknown,
        Withdrawal::Never => return Clear::Never,
        Withdrawal::Days(n) => i64::from(n) * DAY_MIN,
        Withdrawal::Hours(n) => i64::from(n) * 60,
    };
    let start = given.time.map_or(DAY_MIN, |t| t.of_day());
    let end = start + minutes;
    // The day after the one in which the period ends, unless it ends at midnight. A dose on the day itself
    // never leaves that day clear.
    let days = end.div_euclid(DAY_MIN) + i64::from(end.rem_euclid(DAY_MIN) > 0);
    Clear::From(given.day.plus(days.max(1)))
}

/// One side (meat or milk) of an animal's clearance, with the treatment that decides it.
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
}

/// Meat and milk clearance of one animal.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Clearance {
    /// Meat.
    pub meat: Side,
    /// Milk.
    pub milk: Side,
}

impl Clearance {
    /// Under withdrawal for meat or milk on this day.
    pub fn is_held(&self, on: Day) -> bool {
        !self.meat.clear.is_clear(on) || !self.milk.clear.is_clear(on)
    }

    /// Something runs out, or must be found out: a day to wait for, or a period that is not known. Milk that may never
    /// be used is a standing fact and nothing to wait for.
    pub fn waits(&self, on: Day) -> bool {
        !self.meat.clear.is_clear(on) || (!self.milk.clear.is_clear(on) && self.milk.clear != Clear::Never)
    }

    /// `iodine 7 %, given 3 Apr 2026` for the side that decides; empty when nothing was given.
    pub fn because(&self) -> String {
        let side = if self.milk.clear.rank() > self.meat.clear.rank() { &self.milk } else { &self.meat };
        match side.given {
            Some(day) => format!("{}, given {day}", side.product),
            None => String::new(),
        }
    }

    /// Short words for a row: `meat until 4 May`, `meat and milk until 4 May`, nothing when clear.
    pub fn held_words(&self, on: Day) -> String {
        let side = |name: &str, s: &Side| match &s.clear {
            c if c.is_clear(on) => None,
            Clear::From(day) => Some(format!("{name} clear {}", day.short())),
            Clear::Unknown => Some(format!("{name}: period unknown")),
            Clear::Never => Some(format!("{name}: never")),
            Clear::Free => None,
        };
        match (side("meat", &self.meat), side("milk", &self.milk)) {
            (Some(_), Some(_)) if self.meat.clear == self.milk.clear => {
                side("meat and milk", &self.meat).unwrap_or_default()
            }
            (Some(a), Some(b)) => format!("{a}, {b}"),
            (Some(a), None) | (None, Some(a)) => a,
            (None, None) => String::new(),
        }
    }
}

/// Clearance over all treatments that stand and were given on or before `on`: the latest date wins,
/// an unknown period outweighs any date, and 'never' outweighs both.
pub fn clearance(file: &AnimalFile, on: Day) -> Clearance {
    let mut all = Clearance::default();
    for t in file.treatments_standing().filter(|t| t.at.day <= on) {
        take(&mut all.meat, t, t.meat);
        take(&mut all.milk, t, t.milk);
    }
    all
}

fn take(side: &mut Side, t: &Treatment, period: Withdrawal) {
    let clear = clear_after(t.at, period);
    if clear.rank() > side.clear.rank() {
        *side = Side { clear, because: Some(t.id), product: t.product.clone(), given: Some(t.at.day) };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::terms::Minute;

    fn day(text: &str) -> Day {
        Day::parse_iso(text).unwrap()
    }

    #[test]
    fn a_day_only_dose_clears_after_day_n() {
        let given = Moment::day(day("2026-05-01"));
        assert_eq!(clear_after(given, Withdrawal::Days(28)), Clear::From(day("2026-05-30")));
        assert_eq!(clear_after(given, Withdrawal::Days(0)), Clear::From(day("2026-05-02")));
        assert_eq!(clear_after(given, Withdrawal::Hours(60)), Clear::From(day("2026-05-05")));
        assert_eq!(clear_after(given, Withdrawal::Unknown), Clear::Unknown);
    }

    #[test]
    fn a_timed_dose_clears_the_first_whole_day() {
        let at = |h, m| Moment { day: day("2026-05-01"), time: Minute::new(h, m) };
        assert_eq!(clear_after(at(9, 0), Withdrawal::Days(28)), Clear::From(day("2026-05-30")));
        assert_eq!(clear_after(at(0, 0), Withdrawal::Days(28)), Clear::From(day("2026-05-29")));
        assert_eq!(clear_after(at(9, 0), Withdrawal::Days(0)), Clear::From(day("2026-05-02")));
        assert_eq!(clear_after(at(0, 0), Withdrawal::Days(0)), Clear::From(day("2026-05-02")));
        assert_eq!(clear_after(at(12, 0), Withdrawal::Hours(60)), Clear::From(day("2026-05-04")));
        assert_eq!(clear_after(at(12, 1), Withdrawal::Hours(60)), Clear::From(day("2026-05-05")));
    }

    #[test]
    fn milk_never_is_nothing_to_wait_for() {
        let mut c = Clearance::default();
        c.milk.clear = Clear::Never;
        assert!(c.is_held(day("2026-05-01")) && !c.waits(day("2026-05-01")));
        c.meat.clear = Clear::Unknown;
        assert!(c.waits(day("2026-05-01")), "a period not known must be found out");
        c.meat.clear = Clear::Never;
        assert!(c.waits(day("2026-05-01")));
    }
}

//! What a lamb lives on: its ewe's milk, the bottle, or feed. The order in which the records are asked stands at the
//! head of the module.

use super::{Spans, here, pen_on};
use crate::flock::{AnimalFile, Flock, Outcome};
use crate::phrase;
use crate::terms::{AnimalId, Day, Rearing, norm};

/// No lamb is on milk longer: what is older is not looked at, days.
pub(super) const LONGEST: i64 = 365;

/// Key of the care plan's step that weans.
pub(super) const WEAN: &str = "wean";

/// What tells that a lamb is weaned.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WeanedBy {
    /// Its job of weaning was ticked on this day.
    Tick(Day),
    /// It is in another pen than the ewe that rears it.
    Apart(AnimalId),
    /// No ewe that could rear it is in the flock.
    NoEwe,
    /// Nothing but its age.
    Age,
}

impl WeanedBy {
    /// In words.
    pub fn words(self) -> String {
        match self {
            Self::Tick(day) => phrase!("weaned on {}", day.words()),
            Self::Apart(_) => phrase!("in another pen than its ewe"),
            Self::NoEwe => phrase!("no ewe in the flock rears it"),
            Self::Age => phrase!("taken for weaned by its age"),
        }
    }
}

/// What a lamb lives on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Milk {
    /// It sucks this ewe.
    Ewe(AnimalId),
    /// Milk by hand: it is on the bottle, or its ewe is gone and it is too young to be weaned.
    Bottle,
    /// It is weaned.
    Weaned(WeanedBy),
}

/// What a lamb lives on, on a day; none for a grown animal and one whose birth is not known. Whether it is in the flock
/// then is not asked.
pub fn milk(flock: &Flock, f: &AnimalFile, on: Day, spans: &Spans) -> Option<Milk> {
    let age = on.since(f.animal.born.day()?).max(0);
    if age > LONGEST {
        return None;
    }
    let ages = spans.of_born(f.animal.born);
    let bottle = f.animal.rearing == Rearing::Bottle;
    let rearer = flock.reared_by(&f.animal);
    let ewe = || rearer.and_then(|e| flock.file(e)).filter(|e| here(e, on));
    let sucks = || match ewe() {
        Some(e) if !bottle => Milk::Ewe(e.animal.id),
        _ => Milk::Bottle,
    };
    let mut ticked: Option<Day> = None;
    let mut put_off: Option<(Day, Day)> = None;
    for t in f.ticks_standing().filter(|t| t.step == WEAN) {
        match t.outcome {
            Outcome::Done => ticked = ticked.max(Some(t.at.day)),
            Outcome::PutOff(to) if t.at.day <= on => put_off = put_off.max(Some((t.at.day, to))),
            Outcome::PutOff(_) | Outcome::Skipped => {}
        }
    }
    if let Some(day) = ticked {
        return Some(if day <= on { Milk::Weaned(WeanedBy::Tick(day)) } else { sucks() });
    }
    if put_off.is_some_and(|(_, to)| on < to) {
        return Some(sucks());
    }
    if age < ages.wean_from {
        return Some(sucks());
    }
    if !bottle {
        match ewe() {
            None => return Some(Milk::Weaned(WeanedBy::NoEwe)),
            Some(e) => {
                let apart =
                    pen_on(f, on).zip(pen_on(e, on)).is_some_and(|(a, b)| a != b && norm(a) != norm(b));
                if apart {
                    return Some(Milk::Weaned(WeanedBy::Apart(e.animal.id)));
                }
            }
        }
    }
    Some(if age >= ages.weaned_at { Milk::Weaned(WeanedBy::Age) } else { sucks() })
}

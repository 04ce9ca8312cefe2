//! The protein that the rules ask for by the age of the lambs, the next step down, and what to think of what is in it.

use super::lambs::AtTheCreep;
use crate::reckon::ration::{FeedRules, Limit};
use crate::terms::{Analysis, Base, Day, Nutrient};

/// What the rules ask for at an age.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Asked {
    /// The age in days.
    pub age: i64,
    /// Crude protein now, percent.
    pub protein: f64,
    /// On this base.
    pub base: Base,
    /// The next step: protein, its base, and its day.
    pub next: Option<(f64, Base, Day)>,
}

/// What to think of the protein of what is in the creep.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// As the rules ask.
    Right,
    /// Below what the mean lamb needs.
    TooLow,
    /// Right for the mean lamb, low for the youngest.
    LowForYoungest,
    /// Higher than needed.
    Higher,
    /// Its protein is not known.
    Unknown,
    /// There is no lamb that eats, or nothing in it.
    Nothing,
}

/// The steps of a creep.
#[derive(Debug, Clone, PartialEq)]
pub struct Steps {
    /// By the youngest lamb that eats.
    pub youngest: Option<Asked>,
    /// By the mean lamb.
    pub mean: Option<Asked>,
    /// What to think of what is in it.
    pub verdict: Verdict,
    /// It holds less than lambs need until some days after weaning: the percentage as fed, and the least.
    pub under_floor: Option<(f64, f64)>,
    /// Days after weaning that the feed stays as it is.
    pub stays_days: i64,
    /// The day the creep may end: so many days after the last of its lambs was weaned.
    pub may_end: Option<Day>,
}

/// An analysis is no finer than this, percent (common practice, no source).
const FINE: f64 = 0.5;

fn asked(rules: &FeedRules, age: i64, on: Day) -> Option<Asked> {
    let now = rules.creep_at(age).or_else(|| rules.creep.first())?;
    let next = rules.creep_after(age.max(now.from_day));
    let next = next.map(|s| (s.protein, s.base, on.plus(s.from_day - age)));
    Some(Asked { age, protein: now.protein, base: now.base, next })
}

impl Steps {
    pub(super) fn of(rules: &FeedRules, lambs: &AtTheCreep, holds: Option<&Analysis>, on: Day) -> Self {
        let youngest = lambs.youngest().and_then(|age| asked(rules, age, on));
        let mean = lambs.mean().and_then(|age| asked(rules, age, on));
        let stays = rules.limit(Limit::AfterWeaning) as i64;
        let may_end = lambs.weaned_last.filter(|_| lambs.all_weaned()).map(|w| w.plus(stays));
        let over = may_end.is_some_and(|end| end <= on);
        let floor = rules.limit(Limit::LambProtein);
        let fed = holds.and_then(|h| h.on(Nutrient::Protein, Base::AsFed));
        let eats = !lambs.eat.is_empty();
        let under_floor = fed.filter(|p| eats && !over && *p < floor - FINE).map(|p| (p, floor));
        let verdict = match (youngest, mean, holds) {
            (Some(y), Some(m), Some(h)) => verdict(y, m, h),
            _ => Verdict::Nothing,
        };
        // Below the floor it is too low, whatever the step says.
        let verdict = if under_floor.is_some() { Verdict::TooLow } else { verdict };
        Self { youngest, mean, verdict, under_floor, stays_days: stays, may_end }
    }
}

fn verdict(youngest: Asked, mean: Asked, holds: &Analysis) -> Verdict {
    let on = |a: Asked| holds.on(Nutrient::Protein, a.base);
    let (Some(of_youngest), Some(of_mean)) = (on(youngest), on(mean)) else { return Verdict::Unknown };
    if of_mean < mean.protein - FINE {
        Verdict::TooLow
    } else if of_youngest < youngest.protein - FINE {
        Verdict::LowForYoungest
    } else if of_youngest > youngest.protein + FINE {
        Verdict::Higher
    } else {
        Verdict::Right
    }
}

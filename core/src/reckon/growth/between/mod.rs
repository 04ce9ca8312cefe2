//! Gain between any two days of an animal.

use crate::flock::AnimalFile;
use crate::phrase;
use crate::terms::{Day, Gain, SessionId, Weight};
use std::collections::BTreeMap;

/// Why there is no gain.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoGain {
    /// Never weighed.
    NotWeighed,
    /// The day lies before its first weight, which is of this day.
    Before(Day),
    /// The day lies after its last weight, which is of this day.
    After(Day),
    /// The second day is not after the first.
    NoDays,
    /// Not weighed in one of the sessions.
    NotInSession,
}

impl NoGain {
    /// `not weighed before 3 May 2026`.
    pub fn words(self) -> String {
        match self {
            Self::NotWeighed => phrase!("never weighed"),
            Self::Before(first) => phrase!("not weighed before {}", first.words()),
            Self::After(last) => phrase!("not weighed after {}", last.words()),
            Self::NoDays => phrase!("the second day must be after the first"),
            Self::NotInSession => phrase!("not weighed in both sessions"),
        }
    }
}

/// A gain between two days.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Between {
    /// From this weight.
    pub from: Weight,
    /// To this one.
    pub to: Weight,
    /// A day.
    pub gain: Gain,
    /// Days between.
    pub days: i64,
    /// Both weights were weighed on those very days; else one lies on the straight line between two weighings.
    pub weighed: bool,
}

/// An animal's weight on a day, and whether it was weighed then: on a straight line between the weights around the day,
/// its birth weight counted as one. Of several weights of a day the last holds. Never beyond its weights.
///
/// # Errors
/// The day lies outside its weights.
pub fn weight_on(file: &AnimalFile, day: Day) -> Result<(Weight, bool), NoGain> {
    weight_among(&file.weights(), day)
}

fn weight_among(all: &[(Day, Weight)], day: Day) -> Result<(Weight, bool), NoGain> {
    let (Some(first), Some(last)) = (all.first(), all.last()) else { return Err(NoGain::NotWeighed) };
    if day < first.0 {
        return Err(NoGain::Before(first.0));
    }
    if day > last.0 {
        return Err(NoGain::After(last.0));
    }
    let after = all.partition_point(|(d, _)| *d <= day);
    let (d0, w0) = all.get(after.saturating_sub(1)).copied().ok_or(NoGain::NotWeighed)?;
    if d0 == day {
        return Ok((w0, true));
    }
    let (d1, w1) = all.get(after).copied().ok_or(NoGain::After(last.0))?;
    let share = day.since(d0) as f64 / d1.since(d0).max(1) as f64;
    let grams = w0.grams() as f64 + (w1.grams() - w0.grams()) as f64 * share;
    Weight::from_grams(grams.round() as i64).map(|w| (w, false)).ok_or(NoGain::NotWeighed)
}

/// Gain between two days. Since birth: from the day of birth.
///
/// # Errors
/// A day lies outside its weights (which day its weights begin or end), or there are no days between.
pub fn gain_between(file: &AnimalFile, from: Day, to: Day) -> Result<Between, NoGain> {
    let all = file.weights();
    if to <= from {
        return Err(NoGain::NoDays);
    }
    let (w0, there) = weight_among(&all, from)?;
    let (w1, then) = weight_among(&all, to)?;
    made(w0, w1, to.since(from), there && then)
}

/// Gain between what an animal weighed in two sessions.
///
/// # Errors
/// It was not weighed in both, or they are of one day.
pub fn gain_between_sessions(file: &AnimalFile, from: SessionId, to: SessionId) -> Result<Between, NoGain> {
    let of = |id| {
        let mut all = file.weighings.iter().filter(|w| w.struck.is_none());
        all.rfind(|w| w.session == Some(id)).ok_or(NoGain::NotInSession)
    };
    let (a, b) = (of(from)?, of(to)?);
    made(a.weight, b.weight, b.at.day.since(a.at.day), true)
}

fn made(from: Weight, to: Weight, days: i64, weighed: bool) -> Result<Between, NoGain> {
    let gain = Gain::between(from, to, days).ok_or(NoGain::NoDays)?;
    Ok(Between { from, to, gain, days, weighed })
}

/// Mean gain of each group, grams a day, with how many, by the name of the group.
pub fn mean_gains(all: impl IntoIterator<Item = (String, Gain)>) -> Vec<(String, f64, usize)> {
    let mut sums: BTreeMap<String, (i64, usize)> = BTreeMap::new();
    for (group, gain) in all {
        let sum = sums.entry(group).or_default();
        sum.0 += gain.0;
        sum.1 += 1;
    }
    sums.into_iter().map(|(group, (sum, n))| (group, sum as f64 / n as f64, n)).collect()
}

#[cfg(test)]
mod tests;

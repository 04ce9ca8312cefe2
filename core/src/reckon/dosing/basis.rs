//! Which weight a dose stands on: weighed, or estimated from growth.

use crate::handbook::dosing;
use crate::phrase;
use crate::terms::{Day, Gain, Units, Weight};

/// A weight that was not weighed: the last one and what the animal gained since, at the rate between its last two.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Estimate {
    /// The weight on the day asked for.
    pub weight: Weight,
    /// The last weighing.
    pub weighed: (Day, Weight),
    /// What it gained a day between the last two weighings.
    pub gain: Gain,
    /// Days since the last weighing.
    pub days: i64,
}

/// The weight on a day, estimated from the last two weighings up to it: last weight + gain a day × days, to the gram.
///
/// None with fewer than two, when the two lie too near together or the last too far back (handbook,
/// `estimate_apart_days`, `estimate_ahead_days`), and for an animal that lost weight: that asks for the scales.
/// Weighings may come in any order; of several on one day the later in the slice counts.
pub fn estimate(weighings: &[(Day, Weight)], on: Day) -> Option<Estimate> {
    let mut known: Vec<(Day, Weight)> = weighings.iter().copied().filter(|(day, _)| *day <= on).collect();
    known.sort_by_key(|(day, _)| *day);
    let weighed = known.pop()?;
    let before = known.into_iter().rev().find(|(day, _)| *day < weighed.0)?;
    let apart = weighed.0.since(before.0);
    let days = on.since(weighed.0);
    let gained = weighed.1.grams() - before.1.grams();
    if apart < dosing::estimate_apart_days() || days > dosing::estimate_ahead_days() || gained < 0 {
        return None;
    }
    // From the two weights themselves, so that the rounding of the daily gain does not add up.
    let since = (gained * days * 2 + apart) / (apart * 2);
    Some(Estimate {
        weight: Weight::from_grams(weighed.1.grams() + since)?,
        weighed,
        gain: Gain::between(before.1, weighed.1, apart)?,
        days,
    })
}

/// What a dose stands on: `by 34.5 kg weighed 12 days ago`, `by about 34 kg, estimated`, or both. None without a weight.
pub fn weight_words(
    on_day: Day,
    weighed: Option<(Day, Weight)>,
    estimated: Option<Weight>,
    units: Units,
) -> Option<String> {
    let weighed = weighed.map(|(day, weight)| {
        let when = match on_day.since(day) {
            0 => phrase!("the same day"),
            1 => phrase!("the day before"),
            -1 => phrase!("a day later"),
            n if n < 0 => phrase!("{} days later", -n),
            n => phrase!("{n} days ago"),
        };
        phrase!("{} weighed {when}", weight.show(units))
    });
    match (weighed, estimated.map(|w| about(w, units))) {
        (weighed, None) => weighed.map(|w| phrase!("by {w}")),
        (None, Some(about)) => Some(phrase!("by about {about}, estimated")),
        (Some(weighed), Some(about)) => Some(phrase!("by about {about}, estimated from {weighed}")),
    }
}

/// An estimate shows no more figures than it has: whole kilograms or pounds, below 10 kg tenths of a kilogram.
fn about(weight: Weight, units: Units) -> String {
    match units {
        Units::Metric if weight.grams() < 10_000 => phrase!("{:.1} kg", weight.kg()),
        Units::Metric => phrase!("{:.0} kg", weight.kg()),
        Units::Imperial => phrase!("{:.0} lb", weight.grams() as f64 / crate::terms::POUND_G),
    }
}

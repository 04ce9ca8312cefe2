//! Weights that look odd beside the animal's others.

use crate::flock::AnimalFile;
use crate::handbook::growth as bounds;
use crate::terms::{Day, Gain, Weight};

/// Why a weight looks odd beside the animal's others; the bounds and what they stand on are in the handbook.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Odd {
    /// A growing lamb lost weight.
    Loss {
        /// The weight before.
        before: Weight,
        /// Its day.
        on: Day,
    },
    /// More than any lamb gains in a day (600 g; flock means reach 413 g, Teagasc 2020).
    Gain {
        /// The gain.
        gain: Gain,
        /// The weight before.
        before: Weight,
        /// Its day.
        on: Day,
    },
    /// A grown animal changed by more than a fifth within 60 days.
    Jump {
        /// The weight before.
        before: Weight,
        /// Its day.
        on: Day,
    },
    /// Off the curve through the animal's other weights.
    OffCurve {
        /// What the curve expects.
        expected: Weight,
        /// The lower edge of what would not be questioned.
        low: Weight,
        /// The upper edge.
        high: Weight,
        /// Weights the curve is drawn through.
        weights: usize,
    },
}

/// Questions a weight beside the weight before it, and beside the animal's own curve where it has weights enough.
pub fn odd(file: &AnimalFile, on: Day, weight: Weight) -> Option<Odd> {
    beside_last(file, on, weight).or_else(|| crate::reckon::curves::off_curve(file, on, weight))
}

fn beside_last(file: &AnimalFile, on: Day, weight: Weight) -> Option<Odd> {
    let all = file.weights();
    let before = all.iter().copied().rfind(|(d, _)| *d <= on)?;
    let (d, w) = before;
    let days = on.since(d);
    let lamb = file.animal.born.day().is_some_and(|b| on.since(b) < bounds::growing_days());
    let change = weight.grams() - w.grams();
    if lamb {
        let newborn = days <= bounds::newborn_days();
        let percent = if newborn { bounds::newborn_loss_percent() } else { bounds::loss_percent() };
        if change < -(w.grams() * percent / 100) {
            return Some(Odd::Loss { before: w, on: d });
        }
        let gain = Gain(((change as f64) / days.max(1) as f64).round() as i64);
        if gain.0 > bounds::odd_gain_g_per_day() && change > bounds::odd_gain_least_g() {
            return Some(Odd::Gain { gain, before: w, on: d });
        }
    } else if days <= bounds::jump_days() && change.abs() * 100 > w.grams() * bounds::jump_percent() {
        return Some(Odd::Jump { before: w, on: d });
    }
    None
}

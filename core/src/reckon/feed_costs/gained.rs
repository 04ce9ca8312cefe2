//! What lambs gained while they were of a group and in a pen.

use crate::flock::AnimalFile;
use crate::reckon::growth::weight_on;
use crate::terms::Day;

/// Fewer than this share of the lambs' days between weights: the figure is rough.
const FIRM: f64 = 0.5;

/// Gain, and what it rests on.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Gained {
    /// Gained on days between weights, kg.
    pub kg: f64,
    /// Lambs weighed so that their gain is known on some day.
    pub lambs: u32,
    /// Lambs in all.
    pub of: u32,
    /// Days of lambs between weights.
    pub weighed_days: u64,
    /// Days of lambs in all.
    pub lamb_days: u64,
}

impl Gained {
    /// Gain of a lamb over days from `from` to the day before `to`: the part of it between its weights.
    pub(super) fn of(file: &AnimalFile, from: Day, to: Day) -> Self {
        let lamb_days = u64::try_from(to.since(from)).unwrap_or(0);
        let mut all = Self { of: 1, lamb_days, ..Self::default() };
        let weights = file.weights();
        let (Some(first), Some(last)) = (weights.first(), weights.last()) else { return all };
        let (a, b) = (from.max(first.0), to.min(last.0));
        if a < b
            && let (Ok((w0, _)), Ok((w1, _))) = (weight_on(file, a), weight_on(file, b))
        {
            all.kg = w1.kg() - w0.kg();
            all.lambs = 1;
            all.weighed_days = u64::try_from(b.since(a)).unwrap_or(0);
        }
        all
    }

    /// Both together; the lambs are counted by whoever adds.
    pub(super) fn add(&mut self, other: Self) {
        self.kg += other.kg;
        self.weighed_days += other.weighed_days;
        self.lamb_days += other.lamb_days;
    }

    /// Gained by all of them, kg: the mean of the weighed days stands for the others. None where none is weighed or they
    /// gained nothing.
    pub fn all_kg(&self) -> Option<f64> {
        let share = self.share()?;
        let kg = self.kg / share;
        (kg > 0.0).then_some(kg)
    }

    /// Share of the lambs' days that lie between weights; none without any.
    pub fn share(&self) -> Option<f64> {
        (self.weighed_days > 0 && self.lamb_days > 0)
            .then(|| self.weighed_days as f64 / self.lamb_days as f64)
    }

    /// Most of the days lie between weights.
    pub fn is_firm(&self) -> bool {
        self.share().is_some_and(|s| s >= FIRM)
    }
}

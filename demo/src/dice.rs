//! Chance, from a seed: the same seed throws the same dice on every machine.

use hirsel_core::terms::Minute;

/// A seeded source of chance.
pub(crate) struct Dice(fastrand::Rng);

impl Dice {
    pub(crate) fn new(seed: u64) -> Self {
        Self(fastrand::Rng::with_seed(seed))
    }

    /// True in `p` of 1.
    pub(crate) fn chance(&mut self, p: f64) -> bool {
        self.0.f64() < p
    }

    /// 0 to `n` − 1; 0 when there is nothing to choose from.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        if n == 0 { 0 } else { self.0.usize(..n) }
    }

    /// A whole number from `lo` to `hi`, both possible.
    pub(crate) fn between(&mut self, lo: i64, hi: i64) -> i64 {
        self.0.i64(lo..=hi.max(lo))
    }

    /// A real number from `lo` to `hi`.
    pub(crate) fn real(&mut self, lo: f64, hi: f64) -> f64 {
        lo + self.0.f64() * (hi - lo)
    }

    /// Bell-shaped about `mean`, never further than six `sd` (sum of twelve even throws).
    pub(crate) fn bell(&mut self, mean: f64, sd: f64) -> f64 {
        let sum: f64 = (0..12).map(|_| self.0.f64()).sum();
        mean + (sum - 6.0) * sd
    }

    /// One of a list, which must not be empty.
    pub(crate) fn pick<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.0.usize(..list.len())]
    }

    /// One of a list with weights.
    pub(crate) fn weighted<T: Copy>(&mut self, list: &[(T, f64)]) -> T {
        let all: f64 = list.iter().map(|(_, w)| w).sum();
        let mut at = self.0.f64() * all;
        for (what, w) in list {
            if at < *w {
                return *what;
            }
            at -= w;
        }
        list[list.len() - 1].0
    }

    pub(crate) fn shuffle<T>(&mut self, list: &mut [T]) {
        self.0.shuffle(list);
    }

    /// A time of day from one hour to another, on a five-minute mark.
    pub(crate) fn time(&mut self, from: u32, to: u32) -> Option<Minute> {
        let at = self.0.u32(from * 12..to * 12);
        Minute::new(at / 12, at % 12 * 5)
    }
}

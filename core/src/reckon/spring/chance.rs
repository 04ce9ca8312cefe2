//! Numbers by chance from a seed: SplitMix64 (Steele, Lea and Flood 2014), the same on every machine.

use std::f64::consts::TAU;

/// A row of numbers of its own for each run and each head of it, so that a change of one head moves no other.
pub(super) struct Seed(u64);

impl Seed {
    /// The row of a seed, a run and a head.
    pub(super) fn new(seed: u64, run: u32, head: u32) -> Self {
        let mixed = seed
            ^ (u64::from(run) + 1).wrapping_mul(0xD134_2543_DE82_EF95)
            ^ (u64::from(head) + 1).wrapping_mul(0xA24B_AED4_963E_E407);
        let mut s = Self(mixed);
        s.next();
        s
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// 0 to under 1.
    pub(super) fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// From a normal distribution of mean 0 and deviation 1, held within three (Box and Muller 1958).
    pub(super) fn normal(&mut self) -> f64 {
        let (a, b) = (1.0 - self.share(), self.share());
        ((-2.0 * a.ln()).sqrt() * (TAU * b).cos()).clamp(-3.0, 3.0)
    }

    /// The place in a list of shares that a number falls on.
    pub(super) fn among(&mut self, shares: &[f64]) -> usize {
        let mut left = self.share() * shares.iter().sum::<f64>();
        for (i, s) in shares.iter().enumerate() {
            left -= s;
            if left < 0.0 {
                return i;
            }
        }
        shares.iter().rposition(|s| *s > 0.0).unwrap_or(0)
    }
}

//! How sure a rank is.

/// The chance that each animal is truly among the best quarter, from estimates and the standard deviations of their
/// errors. True values are taken as normal about the estimates, each on its own; the line between the best quarter and
/// the rest lies where as many are expected above it as make a quarter, so that the chances add up to a quarter of the
/// animals. Kin err together, which is left out: it is a guide, not a probability to the last digit. An animal without
/// any information has the same chance as all of its kind.
pub fn best_quarter(estimates: &[(f64, f64)]) -> Vec<f64> {
    let wanted = estimates.len() as f64 / 4.0;
    let widest = estimates.iter().fold(0.0f64, |w, e| w.max(e.1));
    let (mut low, mut high) =
        estimates.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), e| (l.min(e.0), h.max(e.0)));
    low -= 8.0 * widest;
    high += 8.0 * widest;
    let above = |line: f64, (value, error): (f64, f64)| {
        if error > 0.0 { normal_below((value - line) / error) } else { f64::from(u8::from(value > line)) }
    };
    for _ in 0..80 {
        let line = 0.5 * (low + high);
        let sum: f64 = estimates.iter().map(|e| above(line, *e)).sum();
        if sum > wanted { low = line } else { high = line }
    }
    let line = 0.5 * (low + high);
    estimates.iter().map(|e| above(line, *e)).collect()
}

/// The part of a standard normal distribution below x (Abramowitz and Stegun, 7.1.26, to 1.5e-7; from memory, tested
/// against printed values).
pub fn normal_below(x: f64) -> f64 {
    let z = x.abs() / std::f64::consts::SQRT_2;
    let t = 1.0 / (1.0 + 0.327_591_1 * z);
    let polynomial = t
        * (0.254_829_592
            + t * (-0.284_496_736 + t * (1.421_413_741 + t * (-1.453_152_027 + t * 1.061_405_429))));
    let beyond = 0.5 * polynomial * (-z * z).exp();
    if x < 0.0 { beyond } else { 1.0 - beyond }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_normal_distribution_at_printed_places() {
        for (x, p) in [(0.0, 0.5), (1.0, 0.841_344_7), (-1.959_964, 0.025), (3.0, 0.998_650_1)] {
            assert!((normal_below(x) - p).abs() < 1e-6, "{x}: {}", normal_below(x));
        }
    }

    #[test]
    fn chances_add_up_to_a_quarter() {
        let all: Vec<(f64, f64)> = (0..40).map(|i| (f64::from(i), 3.0 + f64::from(i % 5))).collect();
        let chance = best_quarter(&all);
        assert!((chance.iter().sum::<f64>() - 10.0).abs() < 1e-6);
        assert!(chance[39] > 0.9 && chance[0] < 0.01 && chance[30] > chance[20]);
        // Nothing known: everyone the same.
        assert!(best_quarter(&[(0.0, 1.0); 8]).iter().all(|c| (c - 0.25).abs() < 1e-6));
        // Known for certain.
        assert_eq!(best_quarter(&[(1.0, 0.0), (2.0, 0.0), (3.0, 0.0), (4.0, 0.0)]), [0.0, 0.0, 0.0, 1.0]);
        assert!(best_quarter(&[]).is_empty());
    }
}

//! Worm egg counts: how far a drench brought them down, and what that says.
//!
//! The keeper gets a figure with its uncertainty and the published rule for reading it; what to do is the vet's to say.

pub(crate) mod student;
#[cfg(test)]
mod tests;
mod trial;

use crate::phrase;
pub use student::t_975;
pub use trial::{Trial, trials};

use crate::handbook::worms::{self, Window};
use std::fmt;

/// What the published rule says of a reduction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Neither sign of resistance.
    Works,
    /// One of the two signs.
    Suspected,
    /// Both signs: too small a reduction, and too low a lower limit.
    Resistant,
    /// No sign in the reduction, but there is no lower limit to look at.
    NoLimit,
    /// Too small a reduction, and no lower limit to look at.
    SuspectedNoLimit,
}

impl Verdict {
    /// As it is said to the keeper.
    pub fn words(self) -> &'static str {
        match self {
            Self::Works => "the drench worked",
            Self::Suspected => "resistance is suspected: test again, and ask the vet",
            Self::Resistant => "resistance is present: ask the vet before this drench is used again",
            Self::NoLimit => {
                "no sign of resistance, but these counts give no limit for it: ask the vet if in doubt"
            }
            Self::SuspectedNoLimit => {
                "resistance is suspected, but these counts give no limit for it: test more animals, and ask the vet"
            }
        }
    }
}

/// How the limits of a reduction were come by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limits {
    /// Two groups: Coles et al. 1992.
    Unpaired,
    /// The same animals twice: Lyndal-Murphy, Swain and Pepper 2014, method B.
    Paired,
    /// No egg after the treatment: Dobson et al. 2012, from the eggs counted before.
    NoEggAfter,
    /// None: no egg after the treatment, and it is not known how many were counted before.
    AllZero,
    /// None: a single animal has no spread.
    OneAnimal,
}

impl Limits {
    /// Source or reason.
    pub fn words(self) -> &'static str {
        match self {
            Self::Unpaired => "limits for two groups (Coles and others 1992)",
            Self::Paired => "limits for the same animals twice (Lyndal-Murphy and others 2014, method B)",
            Self::NoEggAfter => "limit from the number of eggs counted before (Dobson and others 2012)",
            Self::AllZero => "no limits: all counts after the treatment are zero",
            Self::OneAnimal => "no limits: that takes at least two animals",
        }
    }
}

/// How far egg counts fell.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reduction {
    /// By how much the mean count fell, percent; less than nothing when it rose.
    pub percent: f64,
    /// Lower 95 % limit, percent.
    pub low: Option<f64>,
    /// Upper 95 % limit, percent.
    pub high: Option<f64>,
    /// How the limits were come by.
    pub limits: Limits,
    /// Animals before (or untreated).
    pub n_before: usize,
    /// Animals after (or treated).
    pub n_after: usize,
    /// Mean count before, eggs per gram.
    pub mean_before: f64,
    /// Mean count after, eggs per gram.
    pub mean_after: f64,
    /// What the rule says.
    pub verdict: Verdict,
}

impl Reduction {
    /// `93 % fewer eggs (95 % limits 88 to 96): resistance is present …`. Cut, not rounded, to a tenth, so that 94.96 is
    /// not read as 95.
    pub fn words(&self) -> String {
        let change = if self.percent < 0.0 {
            phrase!("{} % more eggs", tenth(-self.percent))
        } else {
            phrase!("{} % fewer eggs", tenth(self.percent))
        };
        let limits = match (self.low, self.high) {
            (Some(low), Some(high)) => phrase!(" (95 % limits {} to {})", tenth(low), tenth(high)),
            _ => String::new(),
        };
        format!("{change}{limits}: {}", self.verdict.words())
    }

    /// What weakens the test, in words: few animals, few eggs to begin with.
    pub fn cautions(&self) -> Vec<String> {
        let mut said = Vec::new();
        let least = self.n_before.min(self.n_after);
        if least < worms::group_least() {
            let animals = if least == 1 { phrase!("1 animal") } else { phrase!("{least} animals") };
            said.push(phrase!("{animals}: fewer than {} say little", worms::group_least()));
        }
        if self.mean_before < f64::from(worms::before_least_epg()) {
            said.push(phrase!(
                "mean before of {:.0} eggs per gram: below {} the test says little",
                self.mean_before,
                worms::before_least_epg()
            ));
        }
        if self.low.is_none() {
            said.push(self.limits.words().into());
        }
        said
    }
}

/// Why counts have no reduction.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum NoReduction {
    /// No counts before.
    NoneBefore,
    /// No counts after.
    NoneAfter,
    /// Pairs need as many counts after as before.
    NotPairs {
        /// Counts before.
        before: usize,
        /// Counts after.
        after: usize,
    },
    /// A count below nothing, or no number.
    NotACount,
    /// No egg before the treatment: nothing could fall.
    NoEggs,
}

impl fmt::Display for NoReduction {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoneBefore => f.write_str("no counts before the treatment: write them down first"),
            Self::NoneAfter => f.write_str("no counts after the treatment yet"),
            Self::NotPairs { before, after } => write!(
                f,
                "{before} counts before and {after} after: the same animals must be counted both times"
            ),
            Self::NotACount => f.write_str("an egg count is a number from 0 up: correct the count"),
            Self::NoEggs => f.write_str("no eggs before the treatment: nothing to compare with"),
        }
    }
}

/// How far egg counts (eggs per gram) fell, of the same animals in the same order (`paired`) or of two groups.
///
/// # Errors
/// When the counts have no reduction; says why.
pub fn reduction(before: &[f64], after: &[f64], paired: bool) -> Result<Reduction, NoReduction> {
    reduction_counted(before, after, paired, None)
}

/// As [`reduction`], knowing how many eggs per gram one egg under the microscope stands for (50 or 100 for most
/// chambers), which gives a lower limit where no egg was seen after the treatment.
///
/// - Reduction: 100 (1 − x̄₂ ⁄ x̄₁), arithmetic means (Coles et al. 1992, Vet Parasitol 44:35-44, as the documentation of the
///   eggCounts package, `fecrtCI`, gives it).
/// - Two groups: limits 100 (1 − x̄₂ ⁄ x̄₁ · exp(± t √v)), v = s₁² ⁄ (n₁ x̄₁²) + s₂² ⁄ (n₂ x̄₂²), t with n₁ + n₂ − 2 degrees
///   (the same).
/// - Pairs: v less 2 s₁₂ ⁄ (n x̄₁ x̄₂), t with n − 1 degrees (Lyndal-Murphy, Swain and Pepper 2014, Vet Parasitol
///   199:191-200, method B, as the bayescount package gives it).
/// - No egg after: of n eggs that would have been counted, none was; lower limit 100 · 0.025^(1 ⁄ (n + 1)), the beta
///   distribution's for a flat prior, upper 100 (Dobson et al. 2012, Preserving new anthelmintics: the reduction as a
///   binomial share of the eggs counted, after its abstract; the flat prior is bayescount's default for it). For a
///   smaller second group n is taken in proportion, and rounded down.
///
/// # Errors
/// When the counts have no reduction; says why.
pub fn reduction_counted(
    before: &[f64],
    after: &[f64],
    paired: bool,
    epg_per_egg: Option<f64>,
) -> Result<Reduction, NoReduction> {
    if before.is_empty() {
        return Err(NoReduction::NoneBefore);
    }
    if after.is_empty() {
        return Err(NoReduction::NoneAfter);
    }
    if paired && before.len() != after.len() {
        return Err(NoReduction::NotPairs { before: before.len(), after: after.len() });
    }
    // No lab counts a billion; beyond it squares would lose their figures.
    if before.iter().chain(after).any(|c| !(0.0..=1e9).contains(c)) {
        return Err(NoReduction::NotACount);
    }
    let (one, two) = (Sample::of(before), Sample::of(after));
    if one.mean <= 0.0 {
        return Err(NoReduction::NoEggs);
    }
    let ratio = two.mean / one.mean;
    let (limits, spread) = if two.mean <= 0.0 {
        let counted = epg_per_egg
            .filter(|e| e.is_finite() && *e > 0.0)
            .map(|e| (one.mean * one.n.min(two.n) / e + 1e-9).floor());
        match counted {
            Some(n) => (Limits::NoEggAfter, Some((0.025f64.powf(1.0 / (n + 1.0)), 1.0))),
            None => (Limits::AllZero, None),
        }
    } else {
        let own = one.relative() + two.relative();
        let (limits, variance, degrees) = if paired {
            let shared = covariance(before, after) / (one.n * one.mean * two.mean);
            (Limits::Paired, own - 2.0 * shared, before.len() - 1)
        } else {
            (Limits::Unpaired, own, before.len() + after.len() - 2)
        };
        let single = before.len() < 2 || after.len() < 2;
        match t_975(degrees).filter(|_| !single) {
            Some(t) => {
                let width = t * variance.max(0.0).sqrt();
                (limits, Some((1.0 - ratio * width.exp(), 1.0 - ratio * (-width).exp())))
            }
            None => (Limits::OneAnimal, None),
        }
    };
    let percent = 100.0 * (1.0 - ratio);
    let (low, high) = (spread.map(|(l, _)| 100.0 * l), spread.map(|(_, h)| 100.0 * h));
    Ok(Reduction {
        percent,
        low,
        high,
        limits,
        n_before: before.len(),
        n_after: after.len(),
        mean_before: one.mean,
        mean_after: two.mean,
        verdict: judge(percent, low),
    })
}

/// The rule: reduction below 95 % and lower limit at or below 90 % say resistance, one of them alone suspicion
/// (Coles et al. 1992 for sheep and goats, McKenna 1994; both bounds from the handbook).
fn judge(percent: f64, low: Option<f64>) -> Verdict {
    let small = percent < worms::reduction_percent();
    match low.map(|l| l <= worms::lower_percent()) {
        Some(true) if small => Verdict::Resistant,
        Some(false) if !small => Verdict::Works,
        Some(_) => Verdict::Suspected,
        None if small => Verdict::SuspectedNoLimit,
        None => Verdict::NoLimit,
    }
}

/// Mean and spread of counts.
struct Sample {
    n: f64,
    mean: f64,
    variance: f64,
}

impl Sample {
    fn of(counts: &[f64]) -> Self {
        let n = counts.len() as f64;
        let mean = counts.iter().sum::<f64>() / n;
        let squares: f64 = counts.iter().map(|c| (c - mean).powi(2)).sum();
        Self { n, mean, variance: squares / (n - 1.0).max(1.0) }
    }

    /// Variance of the mean's logarithm, to the first order.
    fn relative(&self) -> f64 {
        self.variance / (self.n * self.mean * self.mean)
    }
}

fn covariance(a: &[f64], b: &[f64]) -> f64 {
    let (one, two) = (Sample::of(a), Sample::of(b));
    let products: f64 = a.iter().zip(b).map(|(x, y)| (x - one.mean) * (y - two.mean)).sum();
    products / (one.n - 1.0).max(1.0)
}

/// Down to a tenth, without a nought behind the point.
fn tenth(percent: f64) -> String {
    // A hair above, so that 57.1 stored as 57.09999… stays 57.1.
    let cut = (percent * 10.0 + 1e-6).floor() / 10.0;
    let text = format!("{cut:.1}");
    text.strip_suffix(".0").unwrap_or(&text).replace('-', "−")
}

/// Eggs per gram that one egg counted stands for: volume ⁄ (grams × chambers × chamber volume), in millilitres. 2 g in
/// 60 ml counted in one chamber of 0.3 ml: 100 (ph-online.net, standard calculations). None unless all are above nothing.
pub fn epg_per_egg(grams: f64, total_ml: f64, chambers: u32, chamber_ml: f64) -> Option<f64> {
    let per = total_ml / (grams * f64::from(chambers) * chamber_ml);
    (grams > 0.0 && total_ml > 0.0 && chamber_ml > 0.0 && per.is_finite() && per > 0.0).then_some(per)
}

/// When to count again after a treatment with this substance (none: not known); by the name, not the trade name.
pub fn window(substance: Option<&str>) -> Option<&'static Window> {
    let name = substance.unwrap_or_default().to_lowercase();
    let all = worms::windows();
    let named = |w: &&Window| w.substances.iter().any(|s| name.contains(s.as_str()));
    // Two groups in one bottle: the later one's days, so that neither is counted too early.
    all.iter().filter(named).max_by_key(|w| w.from_days).or(all.iter().find(|w| w.substances.is_empty()))
}

/// What is said of a second count so many days after the treatment: nothing when it is within the window.
pub fn window_words(window: &Window, days: i64) -> Option<String> {
    let Window { group, from_days, to_days, .. } = window;
    let when = if from_days == to_days {
        phrase!("on day {from_days}")
    } else {
        phrase!("{from_days} to {to_days} days")
    };
    let wrong = if days < *from_days {
        "too early: worms that stopped laying may still be there"
    } else if days > *to_days {
        "late: new worms may be laying already"
    } else {
        return None;
    };
    let counted = if days == 1 { "1 day".to_owned() } else { phrase!("{days} days") };
    Some(phrase!("counted {counted} after the treatment, {wrong} ({group}: {when} after it)"))
}

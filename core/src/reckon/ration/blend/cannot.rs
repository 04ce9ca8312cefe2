//! Why there is no such mix.

use super::demand::Fraction;
use super::lp::Programme;
use super::{Ask, Demand, not_known, programme};
use crate::phrase;
use crate::reckon::ration::Ingredient;
use crate::terms::Nutrient;
use std::fmt;

/// A demand that no mix of these feeds meets, whatever else is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Alone {
    /// The demand.
    pub demand: Demand,
    /// The best that can be reached, in its unit.
    pub best: f64,
}

/// A demand the nearest mix misses.
#[derive(Debug, Clone, PartialEq)]
pub struct Short {
    /// The demand.
    pub demand: Demand,
    /// What the nearest mix reaches, in its unit.
    pub reached: f64,
}

/// Demands that cannot be met.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Cannot {
    /// Those that cannot be met even alone.
    pub alone: Vec<Alone>,
    /// Pairs that can be met each alone, but not both.
    pub quarrel: Vec<(Demand, Demand)>,
    /// The mix that comes nearest: shares as fed of the choices in their order.
    pub nearest: Vec<f64>,
    /// What the nearest mix misses.
    pub short: Vec<Short>,
}

impl fmt::Display for Cannot {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let mut said: Vec<String> = Vec::new();
        for a in &self.alone {
            let word = if matches!(a.demand, Demand::Most { .. }) { "least" } else { "most" };
            said.push(phrase!(
                "{} cannot be met by these feeds within their shares: the {word} they reach is {}",
                a.demand,
                a.demand.shown(a.best)
            ));
        }
        for (a, b) in &self.quarrel {
            said.push(phrase!("{a} and {b} cannot both be met by these feeds within their shares"));
        }
        if said.is_empty() {
            said.push(phrase!("each two of the demands can be met, but not all of them together"));
        }
        for s in self.short.iter().filter(|s| !self.alone.iter().any(|a| a.demand == s.demand)) {
            said.push(phrase!(
                "the nearest mix reaches {} instead of {}",
                s.demand.shown(s.reached),
                s.demand
            ));
        }
        write!(f, "{}; ask for less, widen the shares, or add a feed", said.join("; "))
    }
}

/// Why there is no cheapest mix.
#[derive(Debug, Clone, PartialEq)]
pub enum NoBlend {
    /// No feed to choose from.
    Nothing,
    /// Shares that cannot be: below nothing, above all of it, or the least above the most.
    Share {
        /// The feed.
        feed: String,
        /// Its least share.
        least: f64,
        /// Its highest share.
        most: f64,
    },
    /// The least shares are more than the whole.
    LeastTooMuch {
        /// What they add up to, 0 to 1 and more.
        sum: f64,
    },
    /// The highest shares are less than the whole.
    MostTooLittle {
        /// What they add up to.
        sum: f64,
    },
    /// A demand or an amount that cannot be.
    Figure(
        /// What is wrong, in words.
        String,
    ),
    /// Feeds without a price.
    NoPrice(
        /// Their names.
        Vec<String>,
    ),
    /// Figures that are asked for and not known.
    Unknown(
        /// Feed and figure.
        Vec<(String, Nutrient)>,
    ),
    /// The demands cannot be met.
    Cannot(
        /// Why.
        Box<Cannot>,
    ),
    /// The reckoning did not come to an answer it could prove.
    Unsure,
}

impl fmt::Display for NoBlend {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let percent = |x: f64| super::short(x * 100.0);
        match self {
            Self::Nothing => f.write_str("there is no feed to mix: choose two or more"),
            Self::Share { feed, least, most } => write!(
                f,
                "{feed} cannot have a share from {} to {} %: write the smaller first, both from 0 to 100",
                percent(*least),
                percent(*most)
            ),
            Self::LeastTooMuch { sum } => write!(
                f,
                "the least shares add up to {} %, more than the whole mix: lower one of them",
                percent(*sum)
            ),
            Self::MostTooLittle { sum } => write!(
                f,
                "the highest shares add up to {} %, less than the whole mix: raise one of them or add a feed",
                percent(*sum)
            ),
            Self::Figure(why) => f.write_str(why),
            Self::NoPrice(feeds) => {
                write!(f, "no price is known of {}: write what a kg costs, or leave it out", feeds.join(", "))
            }
            Self::Unknown(gaps) => {
                let gaps: Vec<String> = gaps.iter().map(|(feed, what)| phrase!("{} of {feed}", what.words())).collect();
                write!(f, "not known: {}; write it from the label or an analysis sheet, or leave that feed out", gaps.join(", "))
            }
            Self::Cannot(why) => why.fmt(f),
            Self::Unsure => f.write_str(
                "no answer could be proved: figures lie too far apart; leave out a feed of which next to nothing goes in, \
                 or fix its share",
            ),
        }
    }
}

impl std::error::Error for NoBlend {}

/// What can be refused before anything is reckoned.
pub(super) fn checked(ask: &Ask) -> Result<(), NoBlend> {
    if ask.choices.is_empty() {
        return Err(NoBlend::Nothing);
    }
    for c in &ask.choices {
        let fit =
            c.least.is_finite() && c.most.is_finite() && 0.0 <= c.least && c.least <= c.most && c.most <= 1.0;
        if !fit {
            return Err(NoBlend::Share { feed: c.feed.name.clone(), least: c.least, most: c.most });
        }
        if let Some(price) = c.feed.price.filter(|p| !(p.is_finite() && *p >= 0.0)) {
            return Err(NoBlend::Figure(phrase!("the price of {} is {price}: write 0 or more", c.feed.name)));
        }
    }
    if !(ask.total_kg.is_finite() && ask.total_kg > 0.0) {
        return Err(NoBlend::Figure(phrase!(
            "{} kg cannot be mixed: write how many kilograms",
            ask.total_kg
        )));
    }
    for d in &ask.demands {
        let most = if matches!(d, Demand::Ratio { .. }) { 100.0 } else { d.nutrients()[0].most() };
        if !(d.figure().is_finite() && (0.0..=most).contains(&d.figure())) {
            return Err(NoBlend::Figure(phrase!("{d} cannot be asked: write a figure from 0 to {most}")));
        }
    }
    let sum = |of: fn(&super::Choice) -> f64| ask.choices.iter().map(of).sum::<f64>();
    let (least, most) = (sum(|c| c.least), sum(|c| c.most));
    if least > 1.0 + 1e-9 {
        return Err(NoBlend::LeastTooMuch { sum: least });
    }
    if most < 1.0 - 1e-9 {
        return Err(NoBlend::MostTooLittle { sum: most });
    }
    let gaps = not_known(ask);
    if !gaps.is_empty() {
        return Err(NoBlend::Unknown(gaps));
    }
    let priced = |c: &&super::Choice| c.most > 0.0 && c.feed.price.is_none();
    let free: Vec<String> = ask.choices.iter().filter(priced).map(|c| c.feed.name.clone()).collect();
    if free.is_empty() { Ok(()) } else { Err(NoBlend::NoPrice(free)) }
}

/// Why nothing meets all demands.
pub(super) fn why(ask: &Ask, whole: &Programme) -> NoBlend {
    let feeds: Vec<&Ingredient> = ask.choices.iter().map(|c| &c.feed).collect();
    let fractions: Vec<Fraction> = ask.demands.iter().map(|d| d.fraction(&feeds)).collect();
    let mut found = Cannot::default();
    let mut possible = Vec::new();
    for (i, demand) in ask.demands.iter().enumerate() {
        let best = best_alone(&fractions[i], &whole.limits);
        if fractions[i].meets(best) {
            possible.push(i);
        } else {
            found.alone.push(Alone { demand: *demand, best });
        }
    }
    for (at, i) in possible.iter().enumerate() {
        for j in &possible[at + 1..] {
            let two = programme(ask, &[ask.demands[*i], ask.demands[*j]]);
            if matches!(two.any(), Ok(None)) {
                found.quarrel.push((ask.demands[*i], ask.demands[*j]));
            }
        }
    }
    let scale: Vec<f64> = fractions
        .iter()
        .map(|f| {
            let below = f.below.iter().fold(0.0, |most: f64, b| most.max(*b));
            let size = f.figure.abs().max(1e-3) * below;
            if size > 0.0 { size } else { 1.0 }
        })
        .collect();
    if let Ok(Some(shares)) = whole.nearest(&scale) {
        let missed = fractions.iter().zip(&ask.demands).filter_map(|(f, demand)| {
            let reached = f.value(&shares);
            (!f.meets(reached)).then_some(Short { demand: *demand, reached })
        });
        found.short = missed.collect();
        found.nearest = shares;
    }
    NoBlend::Cannot(Box::new(found))
}

/// The best a demand can reach alone. A fraction of two sums over shares is brought to its top by asking, again and
/// again, which shares make above − q·below greatest, with q what was reached last (Dinkelbach 1967, Management Science
/// 13:492); for shares within limits that is filling the best feeds first.
fn best_alone(f: &Fraction, limits: &[(f64, f64)]) -> f64 {
    let sign = if f.least { 1.0 } else { -1.0 };
    let fill = |worth: &dyn Fn(usize) -> f64| {
        let mut order: Vec<usize> = (0..limits.len()).collect();
        order.sort_by(|a, b| worth(*b).total_cmp(&worth(*a)));
        let mut shares: Vec<f64> = limits.iter().map(|l| l.0).collect();
        let mut left = 1.0 - shares.iter().sum::<f64>();
        for i in order {
            let more = left.min(limits[i].1 - limits[i].0).max(0.0);
            shares[i] += more;
            left -= more;
        }
        shares
    };
    let mut reached = f.value(&fill(&|i| sign * f.above[i]));
    for _ in 0..60 {
        if !reached.is_finite() {
            break;
        }
        let next = f.value(&fill(&|i| sign * (f.above[i] - reached * f.below[i])));
        if sign * (next - reached) <= 1e-12 * (1.0 + reached.abs()) {
            break;
        }
        reached = next;
    }
    reached
}

//! The cheapest mix of many feeds that meets what is asked of it.
//!
//! A linear programme over the shares as fed. Its shadow prices say what each demand costs; where nothing meets all
//! demands, the reason is told: what cannot be reached at all, which two demands quarrel, and what comes nearest.

mod cannot;
mod demand;
mod lp;
mod round;

pub use cannot::{Alone, Cannot, NoBlend, Short};
pub use demand::Demand;
pub(crate) use demand::short;
pub use round::{Rounded, RoundedPart, whole_units};

use super::{Holds, Ingredient, holds};
use crate::terms::Nutrient;
use lp::{Bound, Programme};

/// A feed that may go into the mix.
#[derive(Debug, Clone, PartialEq)]
pub struct Choice {
    /// The feed, with its price and analysis.
    pub feed: Ingredient,
    /// Its least share of the mix as fed, 0 to 1.
    pub least: f64,
    /// Its highest share, 0 to 1; the same as the least: its share is fixed.
    pub most: f64,
}

impl Choice {
    /// Any share.
    pub fn free(feed: Ingredient) -> Self {
        Self { feed, least: 0.0, most: 1.0 }
    }
}

/// What is asked.
#[derive(Debug, Clone, PartialEq)]
pub struct Ask {
    /// Feeds to choose from.
    pub choices: Vec<Choice>,
    /// What the mix must hold.
    pub demands: Vec<Demand>,
    /// How much of it is made, kg as fed.
    pub total_kg: f64,
}

/// What holds a feed at its share.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Limited {
    /// Its least share.
    Least,
    /// Its highest share.
    Most,
    /// Its share is fixed.
    Fixed,
}

/// A feed that stays out.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeftOut {
    /// Its price, money a kg as fed.
    pub price: f64,
    /// What it would have to cost to come in; none: it would not come in for nothing.
    pub comes_in_at: Option<f64>,
}

/// A feed in the mix.
#[derive(Debug, Clone, PartialEq)]
pub struct Part {
    /// Its place among the choices.
    pub choice: usize,
    /// Its name.
    pub name: String,
    /// Its share as fed, 0 to 1.
    pub share: f64,
    /// Kilograms as fed.
    pub kg: f64,
    /// Money.
    pub cost: f64,
    /// What holds it there, if something does.
    pub limited: Option<Limited>,
    /// Where something does: money a kg of the mix, for one point (a hundredth of the mix) of its share. At its least
    /// share it is what one point less would save; at its highest what one point more would.
    pub limit_costs: f64,
    /// For a feed that stays out.
    pub left_out: Option<LeftOut>,
}

/// A demand and what the mix reaches.
#[derive(Debug, Clone, PartialEq)]
pub struct Met {
    /// The demand.
    pub demand: Demand,
    /// What the mix reaches, in the unit of the demand.
    pub reached: f64,
    /// It is just met, and costs something.
    pub binds: bool,
    /// Shadow price: money a kg of mix that one unit less of the demand saves, for a small step. Nothing where it does
    /// not bind.
    pub shadow: f64,
    /// What one whole step easier ([`Demand::eased`]) saves, money a kg of mix, reckoned anew.
    pub step_saves: Option<f64>,
}

/// The cheapest mix.
#[derive(Debug, Clone, PartialEq)]
pub struct Blend {
    /// Every choice in its order, those that stay out with a share of nothing.
    pub parts: Vec<Part>,
    /// Money a kg as fed.
    pub cost_a_kg: f64,
    /// Kilograms as fed.
    pub total_kg: f64,
    /// Money in all.
    pub cost: f64,
    /// What it holds.
    pub holds: Holds,
    /// Every demand in its order.
    pub demands: Vec<Met>,
}

impl Blend {
    /// The feeds that are in it.
    pub fn used(&self) -> impl Iterator<Item = &Part> {
        self.parts.iter().filter(|p| p.share > 0.0)
    }
}

/// A share or cost this small is nothing.
const NOTHING: f64 = 1e-7;

/// The cheapest mix.
///
/// # Errors
/// Why there is none: a price or a figure that is not known, by the feed's name; shares that cannot be; demands that
/// cannot be met, and which.
pub fn blend(ask: &Ask) -> Result<Blend, NoBlend> {
    cannot::checked(ask)?;
    let feeds: Vec<&Ingredient> = ask.choices.iter().map(|c| &c.feed).collect();
    let programme = programme(ask, &ask.demands);
    let best = programme.best().map_err(|_| NoBlend::Unsure)?;
    let Some(best) = best else { return Err(cannot::why(ask, &programme)) };
    let shares = &best.shares;
    let mut demands = Vec::new();
    for (i, demand) in ask.demands.iter().enumerate() {
        let fraction = demand.fraction(&feeds);
        let shadow = best.rows[i] * fraction.below_of(shares);
        let binds = shadow > NOTHING * best.cost.abs().max(NOTHING);
        let step_saves = demand.eased().filter(|_| binds).and_then(|eased| {
            let mut all = ask.demands.clone();
            all[i] = eased;
            let cheaper = self::programme(ask, &all).best().ok().flatten()?;
            Some((best.cost - cheaper.cost).max(0.0))
        });
        let shadow = if binds { shadow } else { 0.0 };
        demands.push(Met { demand: *demand, reached: fraction.value(shares), binds, shadow, step_saves });
    }
    let parts = ask.choices.iter().enumerate().map(|(i, c)| part(i, c, &best, ask.total_kg)).collect();
    Ok(Blend {
        parts,
        cost_a_kg: best.cost,
        total_kg: ask.total_kg,
        cost: best.cost * ask.total_kg,
        holds: holds(feeds.iter().copied().zip(shares.iter().map(|s| s * ask.total_kg))),
        demands,
    })
}

fn part(i: usize, c: &Choice, best: &lp::Best, total_kg: f64) -> Part {
    let share = if best.shares[i] < NOTHING { 0.0 } else { best.shares[i] };
    let price = c.feed.price.unwrap_or_default();
    let hair = NOTHING * price.abs().max(best.cost.abs()).max(NOTHING);
    let fixed = c.least == c.most && c.most > 0.0;
    let (limited, saves) = match best.bounds[i] {
        Bound::Low(x) | Bound::High(x) if fixed => (Some(Limited::Fixed), x),
        Bound::Low(x) if c.least > 0.0 && x > hair => (Some(Limited::Least), x),
        Bound::High(x) if x > hair => (Some(Limited::Most), x),
        _ if fixed => (Some(Limited::Fixed), 0.0),
        _ => (None, 0.0),
    };
    let left_out = match best.bounds[i] {
        Bound::Out(worth) if share == 0.0 => {
            Some(LeftOut { price, comes_in_at: Some(worth.min(price)).filter(|p| *p > hair) })
        }
        _ => None,
    };
    Part {
        choice: i,
        name: c.feed.name.clone(),
        share,
        kg: share * total_kg,
        cost: share * total_kg * price,
        limited,
        limit_costs: saves / 100.0,
        left_out,
    }
}

fn programme(ask: &Ask, demands: &[Demand]) -> Programme {
    let feeds: Vec<&Ingredient> = ask.choices.iter().map(|c| &c.feed).collect();
    Programme {
        cost: feeds.iter().map(|f| f.price.unwrap_or_default()).collect(),
        limits: ask.choices.iter().map(|c| (c.least, c.most)).collect(),
        rows: demands.iter().map(|d| d.fraction(&feeds).row(d.figure())).collect(),
    }
}

/// Figures of the feeds that a demand needs and that are not known.
fn not_known(ask: &Ask) -> Vec<(String, Nutrient)> {
    let mut all: Vec<(String, Nutrient)> = Vec::new();
    for demand in &ask.demands {
        let needs_dry = demand.nutrients() != [Nutrient::DryMatter];
        for choice in ask.choices.iter().filter(|c| c.most > 0.0) {
            let dry = needs_dry.then_some(Nutrient::DryMatter);
            for what in demand.nutrients().into_iter().chain(dry) {
                let gap = (choice.feed.name.clone(), what);
                if choice.feed.analysis.get(what).is_none() && !all.contains(&gap) {
                    all.push(gap);
                }
            }
        }
    }
    all
}

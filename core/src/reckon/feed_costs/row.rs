//! A line of costs, and its figures, each over its base; without a base there is none.

use super::Gained;
use crate::phrase;
use crate::terms::speech::said;
use crate::terms::{Day, Eaters, FeedId};

/// Whose feed it was.
#[derive(Debug, Clone, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Who {
    /// The whole flock.
    Flock,
    /// A group, wherever it stood; none is pens of several groups, of which it is not known who ate.
    Group(Option<Eaters>),
    /// A pen, as it is written; empty is in no pen.
    Pen(String),
    /// Lambs of a pen: those at the creep, or weaned.
    Lambs(String, Eaters),
}

impl Who {
    /// In words: `the flock`, `ewes nursing two`, `Jug 1`, `lambs at the creep in Barn`.
    pub fn words(&self) -> String {
        let pen = |p: &str| if p.is_empty() { phrase!("no pen") } else { p.to_string() };
        match self {
            Self::Flock => phrase!("the flock"),
            Self::Group(Some(e)) => said(e.words()).into_owned(),
            Self::Group(None) => phrase!("several groups of a pen"),
            Self::Pen(p) if p.is_empty() => phrase!("in no pen"),
            Self::Pen(p) => p.clone(),
            Self::Lambs(p, e) => phrase!("{} in {}", e.words(), pen(p)),
        }
    }

    /// Lambs alone, of whom feed by gain tells something.
    pub fn is_lambs(&self) -> bool {
        matches!(self, Self::Group(Some(Eaters::CreepLambs | Eaters::WeanedLambs)) | Self::Lambs(..))
    }
}

/// Feed eaten by some of the flock over the span.
#[derive(Debug, Clone, PartialEq)]
pub struct Row {
    /// Whose.
    pub who: Who,
    /// Which feed; none is all feeds together.
    pub feed: Option<FeedId>,
    /// Eaten, kg as fed.
    pub kg: f64,
    /// Of it, kg of dry matter; none where the dry matter of any of it is not known.
    pub dry_kg: Option<f64>,
    /// What that cost, in hundredths, as far as prices are known.
    pub cents: f64,
    /// Of it, kg of which no price is known.
    pub unpriced_kg: f64,
    /// Heads times days in the span.
    pub head_days: u64,
    /// Days of the span.
    pub days: u32,
    /// Gain of the lambs among them.
    pub gained: Gained,
}

/// A figure over its base; none without a base.
fn over(top: f64, base: f64) -> Option<f64> {
    (base > 0.0 && top.is_finite()).then(|| top / base)
}

impl Row {
    /// What it cost, in hundredths; none where the price of any of it is not known.
    pub fn cost(&self) -> Option<f64> {
        (self.unpriced_kg <= 1e-9).then_some(self.cents)
    }

    /// Heads on the mean of the days.
    pub fn heads(&self) -> Option<f64> {
        over(self.head_days as f64, f64::from(self.days)).filter(|h| *h > 0.0)
    }

    /// Hundredths for each head over the span: over the mean number of heads.
    pub fn per_head(&self) -> Option<f64> {
        over(self.cost()?, self.heads()?)
    }

    /// kg as fed a head a day.
    pub fn kg_a_day(&self) -> Option<f64> {
        over(self.kg, self.head_days as f64)
    }

    /// Hundredths for each kg that the lambs gained: feed kg × price / gain.
    pub fn per_kg_gain(&self) -> Option<f64> {
        over(self.cost()?, self.gained.all_kg()?)
    }

    /// kg of feed as fed for each kg gained; of lambs alone.
    pub fn conversion(&self) -> Option<f64> {
        self.who.is_lambs().then(|| over(self.kg, self.gained.all_kg()?)).flatten()
    }

    /// kg of dry matter for each kg gained; of lambs alone.
    pub fn conversion_dry(&self) -> Option<f64> {
        self.who.is_lambs().then(|| over(self.dry_kg?, self.gained.all_kg()?)).flatten()
    }
}

/// Figures of the whole flock with their bases.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Whole {
    /// Ewes on the mean of the days, young ewes not yet lambed not counted.
    pub ewes: f64,
    /// Lambs weaned in the span.
    pub weaned: u32,
}

/// Costs of feed over a span of days.
#[derive(Debug, Clone, PartialEq)]
pub struct FeedCosts {
    /// First day.
    pub from: Day,
    /// Last day.
    pub to: Day,
    /// Lines: the flock, groups, pens, lambs by pen; of each all feeds first, then each feed by what it cost.
    pub rows: Vec<Row>,
    /// Bases of the whole flock.
    pub whole: Whole,
    /// Feeds eaten of which no price is known, by name.
    pub unpriced: Vec<FeedId>,
    /// Feeds eaten of which the dry matter is not known, by name.
    pub undried: Vec<FeedId>,
}

impl FeedCosts {
    /// All feed of the whole flock.
    pub fn all(&self) -> Option<&Row> {
        self.rows.iter().find(|r| r.who == Who::Flock && r.feed.is_none())
    }

    /// Hundredths for each ewe of the flock: all feed over the mean number of ewes.
    pub fn per_ewe(&self) -> Option<f64> {
        over(self.all()?.cost()?, self.whole.ewes)
    }

    /// Hundredths for each lamb weaned in the span: all feed over them.
    pub fn per_lamb(&self) -> Option<f64> {
        over(self.all()?.cost()?, f64::from(self.whole.weaned))
    }
}

//! A feed as the reckoning sees it.

use crate::handbook::feeds::Known;
use crate::terms::{Analysis, FeedKind, MadeFor, Nutrient};

/// A feed with what is known of it.
#[derive(Debug, Clone, PartialEq)]
pub struct Ingredient {
    /// Its name, as every answer calls it.
    pub name: String,
    /// What kind of feed it is.
    pub kind: FeedKind,
    /// Whom it is made for.
    pub made_for: MadeFor,
    /// What it holds.
    pub analysis: Analysis,
    /// Money a kg as fed; none where it is not known.
    pub price: Option<f64>,
    /// The medicine mixed into it, by name.
    pub medicine: Option<String>,
}

impl Ingredient {
    /// A plain feed without price or medicine.
    pub fn plain(name: impl Into<String>, kind: FeedKind, analysis: Analysis) -> Self {
        let name = name.into();
        Self { name, kind, made_for: MadeFor::Plain, analysis, price: None, medicine: None }
    }

    /// With a price, money a kg as fed.
    #[must_use]
    pub fn priced(mut self, price: f64) -> Self {
        self.price = Some(price);
        self
    }

    /// Dry matter as a fraction of the feed as fed.
    pub fn dry(&self) -> Option<f64> {
        self.analysis.get(Nutrient::DryMatter).map(|d| d / 100.0)
    }

    /// Grain and bought or own mixes: what overloads a rumen when it comes suddenly.
    pub fn is_grain_like(&self) -> bool {
        matches!(self.kind, FeedKind::Grain | FeedKind::Compound | FeedKind::Mix)
    }

    /// What is fed in bounds beside forage: grain, protein feeds, by-products, mixes.
    pub fn is_concentrate(&self) -> bool {
        self.is_grain_like() || matches!(self.kind, FeedKind::Protein | FeedKind::Byproduct)
    }

    /// What they ruminate on: hay, straw, silage, and fresh or wet feed of no other kind, as grass is.
    pub fn is_forage(&self) -> bool {
        self.kind.is_forage() || (self.kind == FeedKind::Other && self.dry().is_some_and(|d| d < 0.5))
    }
}

impl From<&Known> for Ingredient {
    fn from(row: &Known) -> Self {
        let mut made = Self::plain(row.name.clone(), row.kind, row.analysis.clone());
        made.made_for = row.made_for;
        made
    }
}

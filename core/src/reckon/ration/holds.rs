//! What a mix or a ration holds, on both bases.

use super::Ingredient;
use crate::terms::{Analysis, Base, Nutrient};

/// What a mix holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Holds {
    /// Kilograms as fed.
    pub kg: f64,
    /// Kilograms of dry matter, where that of every feed is known.
    pub dry_kg: Option<f64>,
    figures: [Option<f64>; 10],
    unknown: [Vec<String>; 10],
}

impl Holds {
    /// A figure in its unit: of dry matter, or of the mix as fed (mind that mg/kg, g/kg and MJ/kg are then of a kg as
    /// fed). Dry matter itself is always of the mix as fed. None where a feed's is not known.
    pub fn get(&self, what: Nutrient, base: Base) -> Option<f64> {
        let of_dry = self.figures[what as usize]?;
        match base {
            Base::AsFed if what != Nutrient::DryMatter => {
                Some(of_dry * self.figures[Nutrient::DryMatter as usize]? / 100.0)
            }
            _ => Some(of_dry),
        }
    }

    /// Feeds in it whose figure, or dry matter, is not known.
    pub fn unknown(&self, what: Nutrient) -> &[String] {
        &self.unknown[what as usize]
    }

    /// As an analysis, for a mix that is written as a feed.
    pub fn analysis(&self) -> Analysis {
        Nutrient::ALL.iter().fold(Analysis::default(), |made, what| match self.figures[*what as usize] {
            Some(figure) => made.clone().with(*what, figure).unwrap_or(made),
            None => made,
        })
    }

    /// Calcium over phosphorus; none where one is not known or there is no phosphorus.
    pub fn calcium_to_phosphorus(&self) -> Option<f64> {
        let phosphorus = self.get(Nutrient::Phosphorus, Base::DryMatter).filter(|p| *p > 0.0)?;
        Some(self.get(Nutrient::Calcium, Base::DryMatter)? / phosphorus)
    }
}

/// What feeds hold together: each with its kilograms as fed (or any other weight, or shares). A figure of the whole is
/// the mean of the feeds' figures, weighted by their dry matter; it is known only where every feed's is. Nothing of a
/// feed is nothing.
pub fn holds<'a>(parts: impl IntoIterator<Item = (&'a Ingredient, f64)>) -> Holds {
    let parts: Vec<_> = parts.into_iter().filter(|(_, kg)| *kg > 0.0).collect();
    let mut made = Holds { kg: parts.iter().map(|(_, kg)| kg).sum(), ..Holds::default() };
    if parts.is_empty() {
        return made;
    }
    for what in Nutrient::ALL.iter().copied() {
        let at = what as usize;
        for (feed, _) in &parts {
            let known = feed.dry().is_some() && feed.analysis.get(what).is_some();
            if !known && !made.unknown[at].contains(&feed.name) {
                made.unknown[at].push(feed.name.clone());
            }
        }
    }
    let dry: Option<f64> = parts.iter().map(|(f, kg)| f.dry().map(|d| d * kg)).sum();
    made.dry_kg = dry;
    let Some(dry) = dry.filter(|d| *d > 0.0) else { return made };
    for what in Nutrient::ALL.iter().copied() {
        made.figures[what as usize] = match what {
            Nutrient::DryMatter => Some(100.0 * dry / made.kg),
            _ => parts
                .iter()
                .map(|(f, kg)| Some(f.dry()? * kg * f.analysis.get(what)?))
                .sum::<Option<f64>>()
                .map(|sum| sum / dry),
        };
    }
    made
}

//! What is asked of a mix, as it stands in a form: one row for each thing, at least and at most.

use crate::reckon::ration::Demand;
use crate::terms::{Base, Nutrient};

/// What can be asked of a mix.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
pub enum What {
    /// Crude protein, percent.
    Protein,
    /// Energy, MJ a kg.
    Energy,
    /// Calcium, g a kg.
    Calcium,
    /// Phosphorus, g a kg.
    Phosphorus,
    /// Calcium over phosphorus; the same on either base.
    CalciumToPhosphorus,
    /// Copper, mg a kg.
    Copper,
    /// Crude fibre, percent.
    Fibre,
    /// Dry matter, percent as fed.
    DryMatter,
}

impl What {
    /// In the order shown.
    pub const ALL: [Self; 8] = [
        Self::Protein,
        Self::Energy,
        Self::Calcium,
        Self::Phosphorus,
        Self::CalciumToPhosphorus,
        Self::Copper,
        Self::Fibre,
        Self::DryMatter,
    ];

    /// As people read it.
    pub fn words(self) -> &'static str {
        match self {
            Self::Protein => "Crude protein",
            Self::Energy => "Energy",
            Self::Calcium => "Calcium",
            Self::Phosphorus => "Phosphorus",
            Self::CalciumToPhosphorus => "Ca to P",
            Self::Copper => "Copper",
            Self::Fibre => "Crude fibre",
            Self::DryMatter => "Dry matter",
        }
    }

    /// Its unit without a base.
    pub fn unit(self) -> &'static str {
        self.nutrient().map_or("to 1", Nutrient::short_unit)
    }

    /// The figure of an analysis it is; a ratio is of two.
    pub fn nutrient(self) -> Option<Nutrient> {
        Some(match self {
            Self::Protein => Nutrient::Protein,
            Self::Energy => Nutrient::Energy,
            Self::Calcium => Nutrient::Calcium,
            Self::Phosphorus => Nutrient::Phosphorus,
            Self::Copper => Nutrient::Copper,
            Self::Fibre => Nutrient::Fibre,
            Self::DryMatter => Nutrient::DryMatter,
            Self::CalciumToPhosphorus => return None,
        })
    }

    /// It can be asked on either base: dry matter itself and a ratio are the same on both.
    pub fn has_base(self) -> bool {
        !matches!(self, Self::DryMatter | Self::CalciumToPhosphorus)
    }

    /// It can be bounded from above.
    pub fn has_most(self) -> bool {
        self != Self::CalciumToPhosphorus
    }
}

/// One thing that is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AskRow {
    /// What.
    pub what: What,
    /// On which base.
    pub base: Base,
    /// So much at least.
    pub least: Option<f64>,
    /// So much at most; the same as at least: exactly so much.
    pub most: Option<f64>,
}

/// Rows as demands: those without a figure ask for nothing.
pub fn demands(rows: &[AskRow]) -> Vec<Demand> {
    let mut all = Vec::new();
    for r in rows {
        let Some(what) = r.what.nutrient() else {
            let (over, under) = (Nutrient::Calcium, Nutrient::Phosphorus);
            all.extend(r.least.map(|least| Demand::Ratio { over, under, least }));
            continue;
        };
        let base = if r.what.has_base() { r.base } else { Base::AsFed };
        all.extend(r.least.map(|figure| Demand::Least { what, base, figure }));
        all.extend(r.most.map(|figure| Demand::Most { what, base, figure }));
    }
    all
}

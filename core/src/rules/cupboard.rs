//! What is to be written of medicines bought, kept and disposed of.

use super::row::list;
use crate::handbook::Ground;
use crate::phrase;
use serde::Deserialize;

/// One thing that may be written of a delivery or a disposal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CupboardField {
    /// The product.
    Product,
    /// The batch number.
    Batch,
    /// The day it was acquired.
    AcquiredOn,
    /// How much.
    Quantity,
    /// The supplier's name.
    SupplierName,
    /// The supplier's address.
    SupplierAddress,
    /// Proof of purchase.
    AcquisitionProof,
    /// The strength.
    Strength,
    /// The form, such as a drench.
    Form,
    /// The expiry date.
    Expiry,
    /// The day it was disposed of.
    DisposedOn,
    /// How it was disposed of.
    How,
    /// Where it was disposed of.
    Where,
}

impl CupboardField {
    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Product => "product",
            Self::Batch => "batch",
            Self::AcquiredOn => "day acquired",
            Self::Quantity => "quantity",
            Self::SupplierName => "supplier",
            Self::SupplierAddress => "supplier's address",
            Self::AcquisitionProof => "proof of purchase",
            Self::Strength => "strength",
            Self::Form => "form",
            Self::Expiry => "expiry",
            Self::DisposedOn => "day of disposal",
            Self::How => "how",
            Self::Where => "where",
        }
    }
}

/// What a place asks to be written of the medicine cupboard, each list with its own ground.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct CupboardFields {
    /// Of what was acquired.
    pub acquired: Vec<CupboardField>,
    /// What that stands on; none where nothing is asked.
    pub acquired_ground: Option<Ground>,
    /// Of what was disposed of.
    pub disposed: Vec<CupboardField>,
    /// What that stands on; none where nothing is asked.
    pub disposed_ground: Option<Ground>,
    /// Better written.
    pub advised: Vec<CupboardField>,
    /// What that stands on; none where nothing is asked.
    pub advised_ground: Option<Ground>,
}

impl CupboardFields {
    pub(super) fn take(&mut self, row: &CupboardRow, ground: &Ground) -> Result<(), String> {
        for (mine, its, of) in [
            (&mut self.acquired, &row.acquired, &mut self.acquired_ground),
            (&mut self.disposed, &row.disposed, &mut self.disposed_ground),
            (&mut self.advised, &row.advised, &mut self.advised_ground),
        ] {
            if its.is_empty() {
                continue;
            }
            if !mine.is_empty() {
                return Err("two rows say the same of the cupboard: mend the one that is there".into());
            }
            mine.clone_from(its);
            *of = Some(ground.clone());
        }
        Ok(())
    }
}

#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CupboardRow {
    #[serde(default)]
    acquired: Vec<CupboardField>,
    #[serde(default)]
    disposed: Vec<CupboardField>,
    #[serde(default)]
    advised: Vec<CupboardField>,
}

impl CupboardRow {
    pub(super) fn checked(self) -> Result<Self, String> {
        if self.acquired.is_empty() && self.disposed.is_empty() && self.advised.is_empty() {
            return Err("a row on the cupboard that asks for nothing".into());
        }
        Ok(self)
    }

    pub(super) fn words(&self) -> String {
        let said = [
            ("of medicine acquired are to be written", &self.acquired),
            ("of medicine disposed of are to be written", &self.disposed),
            ("of medicine acquired it is better to write", &self.advised),
        ];
        let said = said.iter().filter(|(_, all)| !all.is_empty());
        said.map(|(what, all)| phrase!("{what} {}", list(all.iter().map(|f| f.words()))))
            .collect::<Vec<_>>()
            .join("; ")
    }
}

//! What is to be written of a treatment.

use super::row::list;
use crate::handbook::Ground;
use crate::phrase;
use serde::Deserialize;

/// One thing that may be written of a treatment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum TreatmentField {
    /// The animal or group.
    Animals,
    /// The day it was given.
    GivenOn,
    /// The day it was first given.
    FirstGivenOn,
    /// Day and time of the last dose.
    LastGivenAt,
    /// The product.
    Product,
    /// How much was given.
    Quantity,
    /// The dose.
    Dosage,
    /// The route.
    Route,
    /// Why.
    Reason,
    /// Who gave it.
    GivenBy,
    /// The batch.
    Batch,
    /// Its expiry.
    Expiry,
    /// How long the treatment lasted.
    Duration,
    /// Withdrawal of meat, even zero.
    WithdrawalMeat,
    /// Withdrawal of milk, even zero.
    WithdrawalMilk,
    /// The day the withdrawal ends.
    WithdrawalEnds,
    /// The supplier's name.
    SupplierName,
    /// The supplier's address.
    SupplierAddress,
    /// Proof of purchase.
    AcquisitionProof,
    /// The prescriber's name.
    PrescriberName,
    /// The prescriber's contact.
    PrescriberContact,
    /// A copy of the prescription.
    PrescriptionCopy,
    /// The vet's name.
    VetName,
    /// The vet's order.
    VetOrder,
    /// The kind of animal.
    Species,
    /// How many animals.
    AnimalCount,
    /// What was treated.
    Condition,
    /// The active substance of the product.
    ActiveSubstance,
}

impl TreatmentField {
    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Animals => "animal",
            Self::GivenOn => "day",
            Self::FirstGivenOn => "first day",
            Self::LastGivenAt => "time of the last dose",
            Self::Product => "product",
            Self::Quantity => "quantity",
            Self::Dosage => "dosage",
            Self::Route => "route",
            Self::Reason => "reason",
            Self::GivenBy => "who gave it",
            Self::Batch => "batch",
            Self::Expiry => "expiry",
            Self::Duration => "duration",
            Self::WithdrawalMeat => "meat withdrawal",
            Self::WithdrawalMilk => "milk withdrawal",
            Self::WithdrawalEnds => "end of withdrawal",
            Self::SupplierName => "supplier",
            Self::SupplierAddress => "supplier's address",
            Self::AcquisitionProof => "proof of purchase",
            Self::PrescriberName => "who prescribed it",
            Self::PrescriberContact => "prescriber's contact",
            Self::PrescriptionCopy => "copy of the prescription",
            Self::VetName => "vet's name",
            Self::VetOrder => "vet's order",
            Self::Species => "species",
            Self::AnimalCount => "number of animals",
            Self::Condition => "condition treated",
            Self::ActiveSubstance => "active substance",
        }
    }
}

/// What a place asks to be written of a treatment.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TreatmentFields {
    /// Always.
    pub required: Vec<TreatmentField>,
    /// If it was prescribed.
    pub if_prescribed: Vec<TreatmentField>,
    /// If a vet gave it.
    pub if_vet_gave_it: Vec<TreatmentField>,
    /// Better written.
    pub advised: Vec<TreatmentField>,
    /// Of an off-label use.
    pub off_label: Vec<TreatmentField>,
    /// What the list for off-label uses stands on; none where there is none.
    pub off_label_ground: Option<Ground>,
    /// A withdrawal of zero is written as zero, never left blank.
    pub zero_must_be_written: bool,
    /// What it stands on.
    pub ground: Ground,
}

/// When a row of things to be written holds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(rename_all = "snake_case")]
pub(super) enum FieldsWhen {
    #[default]
    Always,
    OffLabel,
}

#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FieldsRow {
    #[serde(default)]
    pub(super) when: FieldsWhen,
    required: Vec<TreatmentField>,
    #[serde(default)]
    if_prescribed: Vec<TreatmentField>,
    #[serde(default)]
    if_vet_gave_it: Vec<TreatmentField>,
    #[serde(default)]
    advised: Vec<TreatmentField>,
    #[serde(default)]
    zero_must_be_written: bool,
}

impl FieldsRow {
    pub(super) fn checked(self) -> Result<Self, String> {
        if self.required.is_empty() {
            return Err("nothing is required of a treatment".into());
        }
        let more =
            !self.if_prescribed.is_empty() || !self.if_vet_gave_it.is_empty() || !self.advised.is_empty();
        if self.when == FieldsWhen::OffLabel && (more || self.zero_must_be_written) {
            return Err("a row for off-label uses holds the list 'required' alone".into());
        }
        Ok(self)
    }

    /// Puts what this row asks with what the rows before it ask.
    pub(super) fn join(&self, ground: &Ground, into: &mut Option<TreatmentFields>) -> Result<(), String> {
        match (self.when, into) {
            (FieldsWhen::Always, into @ None) => {
                *into = Some(TreatmentFields {
                    required: self.required.clone(),
                    if_prescribed: self.if_prescribed.clone(),
                    if_vet_gave_it: self.if_vet_gave_it.clone(),
                    advised: self.advised.clone(),
                    off_label: Vec::new(),
                    off_label_ground: None,
                    zero_must_be_written: self.zero_must_be_written,
                    ground: ground.clone(),
                });
                Ok(())
            }
            (FieldsWhen::OffLabel, Some(fields)) if fields.off_label.is_empty() => {
                fields.off_label.clone_from(&self.required);
                fields.off_label_ground = Some(ground.clone());
                Ok(())
            }
            (FieldsWhen::OffLabel, None) => {
                Err("the row for every treatment comes first, the one for off-label uses after it".into())
            }
            _ => Err("two rows say what is to be written of a treatment: mend the one that is there".into()),
        }
    }

    pub(super) fn words(&self) -> String {
        let names = |all: &[TreatmentField]| list(all.iter().map(|f| f.words()));
        let of = match self.when {
            FieldsWhen::Always => "a treatment",
            FieldsWhen::OffLabel => "an off-label use",
        };
        let mut said = phrase!("of {of} are to be written {}", names(&self.required));
        for (when, all) in [
            ("if it was prescribed", &self.if_prescribed),
            ("if a vet gave it", &self.if_vet_gave_it),
            ("better too", &self.advised),
        ] {
            if !all.is_empty() {
                said.push_str(&format!("; {when}, {}", names(all)));
            }
        }
        if self.zero_must_be_written {
            said.push_str("; a withdrawal of zero is written as zero");
        }
        said
    }
}

//! What is to be written of a treatment.

use crate::handbook::{Ground, Marked};
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
    /// What it stands on.
    pub ground: Ground,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FieldsRow {
    required: Vec<TreatmentField>,
    #[serde(default)]
    if_prescribed: Vec<TreatmentField>,
    #[serde(default)]
    if_vet_gave_it: Vec<TreatmentField>,
    advised: Vec<TreatmentField>,
    source: String,
    seen: Option<bool>,
}

impl TryFrom<FieldsRow> for TreatmentFields {
    type Error = String;

    fn try_from(row: FieldsRow) -> Result<Self, String> {
        if row.required.is_empty() {
            return Err("nothing is required of a treatment".into());
        }
        Ok(Self {
            required: row.required,
            if_prescribed: row.if_prescribed,
            if_vet_gave_it: row.if_vet_gave_it,
            advised: row.advised,
            ground: Marked::new(row.source, row.seen).ground()?,
        })
    }
}

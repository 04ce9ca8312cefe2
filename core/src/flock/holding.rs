//! Who keeps the flock, and the products of its medicine cupboard.

use crate::terms::{DoseRule, ProductId, Route, Strength, Withdrawal};

/// A product of the medicine cupboard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Product {
    /// Its id.
    pub id: ProductId,
    /// Name on the label.
    pub name: String,
    /// Active substance.
    pub substance: Option<String>,
    /// Form: injection, drench, pour-on, …
    pub form: Option<String>,
    /// Strength.
    pub strength: Option<Strength>,
    /// Dose rule of the label.
    pub rule: DoseRule,
    /// Usual route.
    pub route: Option<Route>,
    /// Meat withdrawal of the label.
    pub meat: Withdrawal,
    /// Milk withdrawal of the label.
    pub milk: Withdrawal,
    /// Species it is licensed for.
    pub licensed_for: Option<String>,
}

/// Who keeps the flock and how the book speaks.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Holding {
    /// Name of the flock.
    pub flock: String,
    /// Keeper's name.
    pub keeper: String,
    /// Holding number of the authority.
    pub number: String,
    /// Address, lines parted by commas.
    pub address: String,
    /// Usual giver of treatments.
    pub given_by: String,
    /// Usual prescribing vet.
    pub vet: String,
    /// kg or lb and oz.
    pub units: crate::terms::Units,
    /// Id of the rule set.
    pub rules: String,
    /// a4 or letter.
    pub sheet: String,
    /// Month and day the rams go in, `11-05`; empty is taken from the joinings of the year before.
    pub joining_day: String,
}

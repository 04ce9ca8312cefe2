//! The medicine cupboard: products, their batches as they were bought, what was wasted, disposed of and counted, vets
//! and prescriptions, and egg counts.

use super::Struck;
use crate::terms::{
    AnimalId, BatchId, Day, Dose, DoseRule, EggCountId, PrescriptionId, Price, ProductClass, ProductId,
    Route, StockMoveId, Strength, VetId, Withdrawal,
};

/// A product of the medicine cupboard.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Product {
    /// Its id.
    pub id: ProductId,
    /// Name on the label.
    pub name: String,
    /// Active substances, parted by commas.
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
    /// Species it is licensed for, parted by commas.
    pub licensed_for: Option<String>,
    /// What else the label says.
    pub more: ProductMore,
}

/// What else a label says of a product.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct ProductMore {
    /// Withdrawal of meat for export, where a place counts it apart.
    pub export: Withdrawal,
    /// Routes on the label, with their own periods where they have them; none is only the usual route.
    pub routes: Vec<RoutePeriods>,
    /// To be used up so many days after it was opened.
    pub opened_days: Option<u16>,
    /// How it is to be kept.
    pub storage: Option<String>,
    /// Only on prescription.
    pub prescription_only: bool,
    /// What it is.
    pub class: ProductClass,
    /// The most the label allows at once.
    pub most: Option<Dose>,
    /// The most the label allows at one place.
    pub site_most: Option<Dose>,
}

/// Periods of one route of a label.
#[derive(Debug, Clone, Copy, PartialEq, Eq, serde::Serialize, serde::Deserialize)]
pub struct RoutePeriods {
    /// The route.
    pub route: Route,
    /// Meat.
    pub meat: Withdrawal,
    /// Milk.
    pub milk: Withdrawal,
    /// Meat for export.
    pub export: Withdrawal,
}

impl Product {
    /// The label's periods for a route: those of the route where it has its own, else the usual ones.
    pub fn periods(&self, route: Option<Route>) -> (Withdrawal, Withdrawal, Withdrawal) {
        match self.more.routes.iter().find(|r| Some(r.route) == route) {
            Some(r) => (r.meat, r.milk, r.export),
            None => (self.meat, self.milk, self.more.export),
        }
    }

    /// The label names this route; nothing is known when it names none.
    pub fn allows_route(&self, route: Route) -> Option<bool> {
        let named = self.route == Some(route) || self.more.routes.iter().any(|r| r.route == route);
        if self.route.is_none() && self.more.routes.is_empty() { None } else { Some(named) }
    }

    /// Active substances, one by one.
    pub fn substances(&self) -> impl Iterator<Item = &str> {
        let all = self.substance.as_deref().unwrap_or_default();
        all.split([',', ';', '+']).map(str::trim).filter(|s| !s.is_empty())
    }
}

/// One delivery of a product.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Batch {
    /// Its id.
    pub id: BatchId,
    /// Of this product.
    pub product: ProductId,
    /// Batch number on the bottle.
    pub number: String,
    /// Last day it may be used.
    pub expiry: Option<Day>,
    /// When it was bought.
    pub bought_on: Option<Day>,
    /// From whom.
    pub supplier: Option<String>,
    /// Where they are.
    pub supplier_address: Option<String>,
    /// How much, all bottles together.
    pub quantity: Option<Dose>,
    /// What was paid.
    pub price: Option<Price>,
    /// Number of the invoice.
    pub invoice: Option<String>,
    /// When the bottle in use was opened.
    pub opened_on: Option<Day>,
    /// Note.
    pub note: Option<String>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// What became of stock besides being given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum StockChange {
    /// Spilled, broken, left in a syringe.
    Wasted,
    /// Brought away: out of date, no longer wanted.
    Disposed,
    /// Counted on the shelf: so much was there.
    Counted,
}

impl StockChange {
    /// All of them.
    pub const ALL: [Self; 3] = [Self::Wasted, Self::Disposed, Self::Counted];

    /// As stored and shown.
    pub fn word(self) -> &'static str {
        match self {
            Self::Wasted => "wasted",
            Self::Disposed => "disposed of",
            Self::Counted => "counted",
        }
    }
}

/// Stock that went otherwise than into an animal, or was counted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct StockMove {
    /// Its id.
    pub id: StockMoveId,
    /// Of this product.
    pub product: ProductId,
    /// Batch number, if it was told apart.
    pub batch: Option<String>,
    /// The day; a count holds at its end.
    pub on: Day,
    /// What became of it.
    pub change: StockChange,
    /// How much went, or was found; none at all is found as nothing.
    pub quantity: Option<Dose>,
    /// How it was disposed of.
    pub how: Option<String>,
    /// Where it was brought.
    pub place: Option<String>,
    /// Why; of a count, why it differs.
    pub reason: Option<String>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// A vet.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Vet {
    /// Their id.
    pub id: VetId,
    /// Name.
    pub name: String,
    /// Practice.
    pub practice: Option<String>,
    /// Address.
    pub address: Option<String>,
    /// Telephone or mail.
    pub contact: Option<String>,
    /// Number in the register of vets.
    pub number: Option<String>,
}

/// A prescription.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Prescription {
    /// Its id.
    pub id: PrescriptionId,
    /// Who wrote it.
    pub vet: VetId,
    /// When.
    pub on: Day,
    /// Last day it may be used.
    pub valid_to: Option<Day>,
    /// Its number.
    pub number: Option<String>,
    /// Name of the product.
    pub product: String,
    /// For which animals, in words.
    pub whom: Option<String>,
    /// How much and how often, in words.
    pub dose: Option<String>,
    /// For what.
    pub reason: Option<String>,
    /// The vet directs a use that is not on the label.
    pub off_label: bool,
    /// Meat withdrawal the vet directs; unknown is as the label.
    pub meat: Withdrawal,
    /// Milk.
    pub milk: Withdrawal,
    /// Meat for export.
    pub export: Withdrawal,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// An egg count.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct EggCount {
    /// Its id.
    pub id: EggCountId,
    /// The animal, if it was of one.
    pub animal: Option<AnimalId>,
    /// The group it belongs to: counts of a group are compared with each other.
    pub group: Option<String>,
    /// The day of the sample.
    pub on: Day,
    /// Eggs in each gram.
    pub epg: u32,
    /// The product whose work is looked at.
    pub product: Option<String>,
    /// The day that product was given; a sample up to that day is from before, a later one from after.
    pub treated_on: Option<Day>,
    /// Note.
    pub note: Option<String>,
    /// Struck out.
    pub struck: Option<Box<Struck>>,
}

/// All of the cupboard but its products, each list in order of time.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Cupboard {
    /// Batches as they were bought.
    pub batches: Vec<Batch>,
    /// Wasted, disposed of, counted.
    pub moves: Vec<StockMove>,
    /// Vets, by name.
    pub vets: Vec<Vet>,
    /// Prescriptions.
    pub prescriptions: Vec<Prescription>,
    /// Egg counts.
    pub egg_counts: Vec<EggCount>,
}

/// A batch number as numbers are compared: upper case, without blanks.
pub fn same_batch(a: &str, b: &str) -> bool {
    let letters =
        |s: &str| s.chars().filter(|c| !c.is_whitespace()).flat_map(char::to_uppercase).collect::<Vec<_>>();
    letters(a) == letters(b)
}

impl Cupboard {
    /// Batches of a product that stand.
    pub fn of(&self, product: ProductId) -> impl Iterator<Item = &Batch> {
        self.batches.iter().filter(move |b| b.product == product && b.struck.is_none())
    }

    /// Batches of a product and number that stand; the same number may have been bought twice.
    pub fn numbered<'a>(&'a self, product: ProductId, number: &'a str) -> impl Iterator<Item = &'a Batch> {
        self.of(product).filter(move |b| same_batch(&b.number, number))
    }

    /// A vet.
    pub fn vet(&self, id: VetId) -> Option<&Vet> {
        self.vets.iter().find(|v| v.id == id)
    }

    /// The vet of this name, in any case.
    pub fn vet_named(&self, name: &str) -> Option<&Vet> {
        let name = name.trim().to_lowercase();
        self.vets.iter().find(|v| v.name.to_lowercase() == name)
    }

    /// A prescription.
    pub fn prescription(&self, id: PrescriptionId) -> Option<&Prescription> {
        self.prescriptions.iter().find(|p| p.id == id)
    }
}

//! Batches as they were bought, and bottles opened.

use super::{CupboardRefused, CupboardUnusual, far_off, given_in, named, other_kind, product};
use crate::entry::{Check, Entry, Faults, Field, Refusal, Refused, words};
use crate::flock::{Batch, Flock, Product, same_batch};
use crate::handbook::stock as bounds;
use crate::terms::{BatchId, Day, Dose, Price};

/// A delivery as written up.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BatchDraft {
    /// Name of the product in the cupboard.
    pub product: String,
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
}

/// Checks deliveries; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn batches(drafts: Vec<BatchDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("product"), Refused::Missing("a delivery"));
    }
    let mut all: Vec<Batch> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        let found = product(&mut faults, Field::row("product", row), &d.product, flock);
        // Without a product the other fields are still looked at.
        let batch = Batch {
            id: BatchId::new(),
            product: found.map_or_else(crate::terms::ProductId::new, |p| p.id),
            number: d.number.trim().to_string(),
            expiry: d.expiry,
            bought_on: d.bought_on,
            supplier: words(&d.supplier),
            supplier_address: words(&d.supplier_address),
            quantity: d.quantity,
            price: d.price,
            invoice: words(&d.invoice),
            opened_on: d.opened_on,
            note: words(&d.note),
            struck: None,
        };
        check(&mut faults, row, &batch, flock, today);
        if let (Some(p), Some(on)) = (found, batch.bought_on)
            && all.iter().any(|b| same_delivery(b, &batch))
        {
            let what = CupboardUnusual::BoughtTwice { what: named(&p.name, Some(&batch.number)), on };
            faults.question(Field::row("number", row), what.into());
        }
        all.push(batch);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => format!("Bought: {}", named(name_of(flock, one), Some(&one.number))),
            many => format!("{} deliveries", many.len()),
        };
        (Entry::Batches(all), sentence)
    })
}

fn name_of<'a>(flock: &'a Flock, b: &Batch) -> &'a str {
    flock.products().iter().find(|p| p.id == b.product).map_or("a product", |p| &p.name)
}

fn same_delivery(a: &Batch, b: &Batch) -> bool {
    a.product == b.product
        && same_batch(&a.number, &b.number)
        && a.bought_on == b.bought_on
        && a.quantity == b.quantity
        && a.invoice == b.invoice
}

/// What is wrong or unlikely of a delivery, new or amended.
pub(super) fn check(faults: &mut Faults, row: usize, b: &Batch, flock: &Flock, today: Day) {
    let field = |name| Field::row(name, row);
    if b.number.trim().is_empty() {
        faults.refuse(field("number"), Refused::Missing("a batch number"));
    }
    if let Some(bought) = b.bought_on {
        faults.not_ahead(field("bought_on"), bought, today);
        if let Some(expiry) = b.expiry.filter(|e| *e < bought) {
            faults.refuse(field("expiry"), CupboardRefused::ExpiredBeforeBought { expiry, bought }.into());
        }
        if let Some(opened) = b.opened_on.filter(|o| *o < bought) {
            faults.refuse(field("opened_on"), CupboardRefused::OpenedBeforeBought { opened, bought }.into());
        }
    }
    if let Some(opened) = b.opened_on {
        faults.not_ahead(field("opened_on"), opened, today);
    }
    far_off(faults, field("expiry"), "the expiry", b.expiry, today);
    far_off(faults, field("bought_on"), "the purchase", b.bought_on, today);
    let odd = bounds::odd_price().saturating_mul(100);
    if let Some(price) = b.price.filter(|p| p.cents() == 0 || p.cents() > odd) {
        faults.question(field("price"), CupboardUnusual::OddPrice(price).into());
    }
    super::blank::batch(faults, row, b, flock);
    let Some(p) = flock.products().iter().find(|p| p.id == b.product) else { return };
    other_kind(faults, field("quantity"), p, b.quantity, given_in(flock, p));
    beside_others(faults, row, b, p, flock);
}

/// The delivery beside those in the book.
fn beside_others(faults: &mut Faults, row: usize, b: &Batch, p: &Product, flock: &Flock) {
    let field = |name| Field::row(name, row);
    let what = named(&p.name, Some(&b.number));
    let standing = flock.cupboard().batches.iter().filter(|o| o.struck.is_none() && o.id != b.id);
    for other in standing.filter(|o| same_batch(&o.number, &b.number)) {
        if other.product != b.product {
            let other = name_of(flock, other).to_string();
            let number = b.number.clone();
            faults.question(field("number"), CupboardUnusual::NumberOfAnother { number, other }.into());
            continue;
        }
        if let (Some(expiry), Some(new)) = (other.expiry, b.expiry)
            && expiry != new
        {
            let what = what.clone();
            faults.question(field("expiry"), CupboardUnusual::OtherExpiry { what, expiry }.into());
        }
        if let Some(on) = b.bought_on.filter(|_| same_delivery(other, b)) {
            let what = what.clone();
            faults.question(field("number"), CupboardUnusual::BoughtTwice { what, on }.into());
        }
    }
}

/// Checks that a bottle of a batch was opened; it is the bottle in use from then on.
///
/// # Errors
/// The batch is gone or struck out, the day has not come or is before the purchase, or it is written already.
pub fn opened(batch: BatchId, on: Day, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    let field = Field::of("opened_on");
    let Some(b) = flock.cupboard().batches.iter().find(|b| b.id == batch) else {
        return Err(vec![Refusal { field, why: Refused::Gone }]);
    };
    let found = flock.products().iter().find(|p| p.id == b.product);
    let what = named(name_of(flock, b), Some(&b.number));
    if b.struck.is_some() {
        faults.refuse(field, Refused::AlreadyStruck);
    }
    faults.not_ahead(field, on, today);
    if let Some(bought) = b.bought_on.filter(|d| on < *d) {
        faults.refuse(field, CupboardRefused::OpenedBeforeBought { opened: on, bought }.into());
    }
    if b.opened_on == Some(on) {
        faults.refuse(field, Refused::NothingChanged);
    }
    if let Some(expiry) = b.expiry.filter(|e| *e < on) {
        faults.question(field, CupboardUnusual::PastExpiry { what: what.clone(), expiry }.into());
    }
    match found.and_then(|p| p.more.opened_days) {
        Some(days) => {
            let last = on.plus(i64::from(days));
            faults.caution(field, format!("to be used up by {}, as its label says", last.words()));
        }
        None => faults.caution(field, "its label's days after opening are not written down: see Products"),
    }
    faults.or(|| {
        (
            Entry::Opened(Batch { opened_on: Some(on), ..b.clone() }),
            format!("Opened {what} on {}", on.words()),
        )
    })
}

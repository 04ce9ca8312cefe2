//! The medicine cupboard as written up: batches, stock, vets, prescriptions, egg counts.
//!
//! The checks of a record are the same when it is new and when it is amended.

mod batch;
mod blank;
mod egg;
mod fault;
mod moves;
mod vet;

pub use batch::{BatchDraft, batches, opened};
pub use egg::{EggCountDraft, egg_counts};
pub use fault::{CupboardRefused, CupboardUnusual};
pub use moves::{StockDraft, stock_moves};
pub use vet::{PrescriptionDraft, VetDraft, prescriptions, vets};

use super::{Amended, Faults, Field, Refused};
use crate::flock::{Flock, Product};
use crate::handbook::stock as bounds;
use crate::reckon::stock::Kind;
use crate::terms::{Day, Dose, DoseRule};

/// The checks of an amended record of the cupboard; of any other nothing.
pub(super) fn amended(faults: &mut Faults, new: &Amended, flock: &Flock, today: Day) {
    match new {
        Amended::Batch(b) => batch::check(faults, 0, b, flock, today),
        Amended::StockMove(m) => moves::check_amended(faults, m, flock, today),
        Amended::Prescription(p) => vet::check(faults, 0, p, flock, today),
        Amended::EggCount(e) => egg::check(faults, 0, e, flock, today),
        _ => {}
    }
}

/// The product of this name, or a refusal beside the field.
fn product<'a>(faults: &mut Faults, field: Field, name: &str, flock: &'a Flock) -> Option<&'a Product> {
    let name = name.trim();
    if name.is_empty() {
        faults.refuse(field, Refused::Missing("a product"));
        return None;
    }
    let found = flock.product(name);
    if found.is_none() {
        faults.refuse(field, CupboardRefused::NoSuchProduct(name.into()).into());
    }
    found
}

/// Questions a day that is more years away than a purchase or an expiry can well be.
fn far_off(faults: &mut Faults, field: Field, what: &'static str, on: Option<Day>, today: Day) {
    let Some(on) = on else { return };
    // Of a day that never was, 29 February, the one before.
    let years = |n: i64| {
        let year = i64::from(today.year()).saturating_add(n);
        let year = i32::try_from(year).unwrap_or_else(|_| today.year());
        Day::new(year, today.month(), today.day())
            .or_else(|| Day::new(year, today.month(), 28))
            .unwrap_or(today)
    };
    let (first, last) = (years(-bounds::far_back_years()), years(bounds::far_ahead_years()));
    if on > last {
        let years = bounds::far_ahead_years();
        faults.question(field, CupboardUnusual::FarAhead { what, on, years }.into());
    } else if on < first {
        let years = bounds::far_back_years();
        faults.question(field, CupboardUnusual::FarBack { what, on, years }.into());
    }
}

/// What a product is given in: by its label's rule, else as its last batch was measured.
fn given_in(flock: &Flock, p: &Product) -> Option<Kind> {
    match p.rule {
        DoseRule::PerKg(_) | DoseRule::PerHead(_) => Some(Kind::Volume),
        DoseRule::Typed => {
            let most = p.more.most.map(Kind::of);
            most.or_else(|| flock.cupboard().of(p.id).filter_map(|b| b.quantity).last().map(Kind::of))
        }
    }
}

/// Questions an amount that cannot be added to what the product is given in.
fn other_kind(faults: &mut Faults, field: Field, p: &Product, quantity: Option<Dose>, kind: Option<Kind>) {
    if let (Some(quantity), Some(kind)) = (quantity, kind)
        && Kind::of(quantity) != kind
    {
        let what = CupboardUnusual::OtherKind { quantity, product: p.name.clone(), given_in: kind.words() };
        faults.question(field, what.into());
    }
}

/// `Fellmectin L41`, or the product alone.
fn named(product: &str, batch: Option<&str>) -> String {
    batch.map_or_else(|| product.to_string(), |b| format!("{product} {b}"))
}

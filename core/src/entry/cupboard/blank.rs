//! What the rule set asks to be written of the cupboard and is not: cautions, with their source.

use crate::entry::{Faults, Field};
use crate::flock::{Batch, Flock, StockChange, StockMove};
use crate::handbook::Ground;
use crate::rules::{CupboardField, RuleSet};

/// Says each blank of a list once, beside its field.
fn say(
    faults: &mut Faults,
    row: usize,
    set: &RuleSet,
    asked: (&[CupboardField], Option<&Ground>),
    verb: &str,
    blank: impl Fn(CupboardField) -> Option<&'static str>,
) {
    let (all, ground) = asked;
    for field in all {
        if let Some(name) = blank(*field) {
            let ground = ground.map(|g| format!(": {g}")).unwrap_or_default();
            let words = format!("{} is not written; {} {verb} it{ground}", field.words(), set.name());
            faults.caution(Field::row(name, row), words);
        }
    }
}

/// The blanks of a delivery. A kept copy of the invoice is as good as its number, but of a new delivery there is none.
pub(super) fn batch(faults: &mut Faults, row: usize, b: &Batch, flock: &Flock) {
    let Some((set, fields)) = flock.rules().and_then(|s| Some((s, s.cupboard()?))) else { return };
    let p = flock.products().iter().find(|p| p.id == b.product);
    let kept = flock.documents().standing(crate::flock::RecordRef::Batch(b.id)).next().is_some();
    let blank = |field| {
        let (name, is_blank) = match field {
            CupboardField::AcquiredOn => ("bought_on", b.bought_on.is_none()),
            CupboardField::Quantity => ("quantity", b.quantity.is_none()),
            CupboardField::SupplierName => ("supplier", b.supplier.is_none()),
            CupboardField::SupplierAddress => ("supplier_address", b.supplier_address.is_none()),
            CupboardField::AcquisitionProof => ("invoice", b.invoice.is_none() && !kept),
            CupboardField::Strength => ("product", p.is_some_and(|p| p.strength.is_none())),
            CupboardField::Form => ("product", p.is_some_and(|p| p.form.is_none())),
            CupboardField::Expiry => ("expiry", b.expiry.is_none()),
            // These cannot be blank, or belong to a disposal.
            CupboardField::Product
            | CupboardField::Batch
            | CupboardField::DisposedOn
            | CupboardField::How
            | CupboardField::Where => return None,
        };
        is_blank.then_some(name)
    };
    say(faults, row, set, (&fields.acquired, fields.acquired_ground.as_ref()), "asks for", blank);
    say(faults, row, set, (&fields.advised, fields.advised_ground.as_ref()), "advises", blank);
}

/// The blanks of a disposal.
pub(super) fn disposal(faults: &mut Faults, row: usize, m: &StockMove, flock: &Flock) {
    if m.change != StockChange::Disposed {
        return;
    }
    let Some((set, fields)) = flock.rules().and_then(|s| Some((s, s.cupboard()?))) else { return };
    let blank = |field| {
        let (name, is_blank) = match field {
            CupboardField::Batch => ("batch", m.batch.is_none()),
            CupboardField::How => ("how", m.how.is_none()),
            CupboardField::Where => ("place", m.place.is_none()),
            _ => return None,
        };
        is_blank.then_some(name)
    };
    say(faults, row, set, (&fields.disposed, fields.disposed_ground.as_ref()), "asks for", blank);
}

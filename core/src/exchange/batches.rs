//! Deliveries of medicine as rows.

use super::kind::{Column, may, must};
use super::sheet::{Met, Sheet};
use super::{Taken, Unfit, amount_text, day_text, product_name, text};
use crate::entry::{BatchDraft, Entry, batches};
use crate::flock::{Batch, Flock};
use crate::terms::{BatchId, Day, Dose, Price};

pub(super) const COLUMNS: &[Column] = &[
    must("product", "name of a product of the cupboard"),
    must("number", "batch number on the bottle"),
    may("expiry", "last day it may be used"),
    may("bought_on", "day it was bought"),
    may("supplier", "from whom"),
    may("supplier_address", "where they are"),
    may("quantity", "how much, all bottles together: 250 (ml), 5 l, 500 mg, 20 pieces"),
    may("price", "what was paid: 12.50"),
    may("invoice", "number of the invoice"),
    may("opened_on", "day the bottle in use was opened"),
    may("note", "note"),
];

pub(super) fn read(sheet: &Sheet, flock: &Flock, today: Day) -> Result<Taken, Unfit> {
    let mut met: Met<BatchId> = Met::default();
    sheet.records(
        |c| {
            let product = c.must("product", "a product", |t| Ok(t.to_string()));
            let number = c.must("number", "a batch number", |t| Ok(t.to_string()));
            let expiry = c.may("expiry", Day::parse_iso);
            let bought_on = c.may("bought_on", Day::parse_iso);
            let quantity = c.may("quantity", Dose::parse_stock);
            let price = c.may("price", Price::parse);
            let opened_on = c.may("opened_on", Day::parse_iso);
            Some(BatchDraft {
                product: product?,
                number: number?,
                expiry,
                bought_on,
                supplier: c.words("supplier"),
                supplier_address: c.words("supplier_address"),
                quantity,
                price,
                invoice: c.words("invoice"),
                opened_on,
                note: c.words("note"),
            })
        },
        |d| met.one(&flock.cupboard().batches, |b| b.id, |b| is_same(flock, b, d)),
        |drafts| batches(drafts, flock, today),
        |entry| match entry {
            Entry::Batches(all) => all.iter().map(|b| row(flock, b)).collect(),
            _ => Vec::new(),
        },
    )
}

fn is_same(flock: &Flock, b: &Batch, d: &BatchDraft) -> bool {
    b.struck.is_none()
        && flock.product(&d.product).is_some_and(|p| p.id == b.product)
        && b.number == d.number
        && b.expiry == d.expiry
        && b.bought_on == d.bought_on
        && b.supplier == d.supplier
        && b.supplier_address == d.supplier_address
        && b.quantity == d.quantity
        && b.price == d.price
        && b.invoice == d.invoice
        && b.opened_on == d.opened_on
        && b.note == d.note
}

pub(super) fn rows(flock: &Flock) -> Vec<Vec<String>> {
    let standing = flock.cupboard().batches.iter().filter(|b| b.struck.is_none());
    let mut rows: Vec<Vec<String>> = standing.map(|b| row(flock, b)).collect();
    // By day of purchase, then as they read.
    rows.sort_by(|a, b| (&a[3], a).cmp(&(&b[3], b)));
    rows
}

fn row(flock: &Flock, b: &Batch) -> Vec<String> {
    vec![
        product_name(flock, b.product),
        b.number.clone(),
        day_text(b.expiry),
        day_text(b.bought_on),
        text(&b.supplier),
        text(&b.supplier_address),
        amount_text(b.quantity),
        b.price.map(|p| p.to_string()).unwrap_or_default(),
        text(&b.invoice),
        day_text(b.opened_on),
        text(&b.note),
    ]
}

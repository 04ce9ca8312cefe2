//! Medicine bought and disposed of, and prescriptions.

use super::words::{joined, period, product, product_cell, remarks_of};
use super::{Cell, Column, Register, RegisterKind, Row, Span, dayless_words};
use crate::flock::{DocumentOf, Flock, Link, RecordRef, StockChange};
use crate::terms::{Day, counted};

const BOUGHT: [Column; 13] = [
    Column::new("Bought on", "bought_on", 1.0),
    Column::new("Product", "product", 1.7),
    Column::new("Batch", "batch", 1.0),
    Column::new("Expiry", "expiry", 1.0),
    Column::figures("Quantity", "quantity", 0.9),
    Column::new("From", "supplier", 1.5),
    Column::new("Their address", "supplier_address", 1.8),
    Column::figures("Price", "price", 0.8),
    Column::new("Invoice", "invoice", 1.0),
    Column::new("Paper kept", "paper_kept", 1.2),
    Column::new("Opened on", "opened_on", 1.0),
    Column::hidden("papers"),
    Column::hidden("note"),
];

/// Names of the papers kept with something; empty for none.
fn papers(flock: &Flock, of: DocumentOf) -> Vec<String> {
    flock.documents().standing(of).map(|d| d.name.clone()).collect()
}

fn kept(papers: &[String]) -> Cell {
    match papers {
        [] => Cell::shown_as("no", "no"),
        some => Cell::shown_as("yes", "yes").under(some.join(", ")),
    }
}

/// Batches as they were bought.
pub(super) fn bought(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::MedicineBought, span, today, &BOUGHT);
    let mut dayless = 0;
    for b in &flock.cupboard().batches {
        if !span.takes(b.bought_on, &mut dayless) {
            continue;
        }
        let kept_papers = papers(flock, RecordRef::Batch(b.id).into());
        let mut remarks: Vec<String> = b.note.iter().map(|n| format!("Note: {n}")).collect();
        remarks.extend(remarks_of(flock, RecordRef::Batch(b.id), b.struck.as_deref()));
        register.rows.push(Row {
            cells: vec![
                Cell::day(b.bought_on),
                product_cell(&product(flock, b.product)).strong(),
                Cell::words(b.number.as_str()),
                Cell::day(b.expiry),
                Cell::whole(b.quantity.map(|q| q.to_string()).unwrap_or_default()),
                Cell::opt(b.supplier.as_deref()),
                Cell::opt(b.supplier_address.as_deref()),
                b.price.map_or_else(|| Cell::words(""), |p| Cell::shown_as(p.words(), p.to_string())),
                Cell::opt(b.invoice.as_deref()),
                kept(&kept_papers),
                Cell::day(b.opened_on),
                Cell::words(kept_papers.join("; ")),
                Cell::opt(b.note.as_deref()),
            ],
            struck: b.struck.is_some(),
            remarks,
            link: Some(Link::Cupboard(RecordRef::Batch(b.id))),
        });
    }
    register.about.push(
        "Paper kept: a picture or PDF of the invoice lies in the book. Papers outside the book are to be kept \
         beside it."
            .into(),
    );
    register.about.extend(dayless_words(dayless, "batch").map(|w| w.replace("batchs", "batches")));
    register
}

const DISPOSED: [Column; 9] = [
    Column::new("On", "on", 1.0),
    Column::new("Product", "product", 1.7),
    Column::new("Batch", "batch", 1.0),
    Column::new("What became of it", "what", 1.1),
    Column::figures("Quantity", "quantity", 0.9),
    Column::new("Against the book", "difference", 1.1),
    Column::new("How", "how", 1.4),
    Column::new("Where", "place", 1.4),
    Column::new("Reason", "reason", 1.6),
];

/// Wasted, disposed of, counted.
pub(super) fn disposed(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::MedicineDisposed, span, today, &DISPOSED);
    let counts = super::stock::Counts::of(flock);
    for m in flock.cupboard().moves.iter().filter(|m| span.holds(m.on)) {
        let quantity = match (m.change, m.quantity) {
            (_, Some(q)) => Cell::whole(q.to_string()),
            (StockChange::Counted, None) => Cell::shown_as("nothing left", "0"),
            (_, None) => Cell::words(""),
        };
        register.rows.push(Row {
            cells: vec![
                Cell::day(Some(m.on)),
                product_cell(&product(flock, m.product)).strong(),
                Cell::opt(m.batch.as_deref()),
                Cell::words(m.change.word()),
                quantity,
                counts.difference(m),
                Cell::opt(m.how.as_deref()),
                Cell::opt(m.place.as_deref()),
                Cell::opt(m.reason.as_deref()),
            ],
            struck: m.struck.is_some(),
            remarks: remarks_of(flock, RecordRef::StockMove(m.id), m.struck.as_deref()),
            link: Some(Link::Cupboard(RecordRef::StockMove(m.id))),
        });
    }
    register.about.push(
        "Counted: what was found on the shelf at the end of that day, beside what was reckoned from bought, given, \
         wasted and disposed of."
            .into(),
    );
    register
}

const PRESCRIPTIONS: [Column; 16] = [
    Column::new("Written on", "on", 1.0),
    Column::new("Number", "number", 0.9),
    Column::new("Vet", "vet", 1.5),
    Column::hidden("practice"),
    Column::hidden("address"),
    Column::hidden("contact"),
    Column::new("Product", "product", 1.6),
    Column::new("For whom", "whom", 1.3),
    Column::new("Dose", "dose", 1.4),
    Column::new("Reason", "reason", 1.2),
    Column::new("Off-label", "off_label", 0.7),
    Column::new("Meat withdrawal", "meat_withdrawal", 0.9),
    Column::new("Milk withdrawal", "milk_withdrawal", 0.9),
    Column::new("Valid to", "valid_to", 1.0),
    Column::figures("Given by it", "treatments", 0.7),
    Column::new("Paper kept", "paper_kept", 1.0),
];

/// What vets prescribed, and how much was given by it.
pub(super) fn prescriptions(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::Prescriptions, span, today, &PRESCRIPTIONS);
    let mut given = std::collections::HashMap::new();
    for t in flock.files().flat_map(|f| f.treatments_standing()) {
        if let Some(id) = t.more.prescription {
            *given.entry(id).or_insert(0usize) += 1;
        }
    }
    let directed = |p| match p {
        crate::terms::Withdrawal::Unknown => Cell::shown_as("as the label", ""),
        known => period(known),
    };
    for p in flock.cupboard().prescriptions.iter().filter(|p| span.holds(p.on)) {
        let vet = flock.cupboard().vet(p.vet);
        let vet_text = |of: fn(&crate::flock::Vet) -> Option<&str>| Cell::opt(vet.and_then(of));
        let below =
            vet.map(|v| joined([v.practice.as_deref(), v.address.as_deref(), v.contact.as_deref()], ", "));
        let off = if p.off_label { "yes" } else { "no" };
        register.rows.push(Row {
            cells: vec![
                Cell::day(Some(p.on)),
                Cell::opt(p.number.as_deref()),
                vet_text(|v| Some(&v.name)).strong().under(below.unwrap_or_default()),
                vet_text(|v| v.practice.as_deref()),
                vet_text(|v| v.address.as_deref()),
                vet_text(|v| v.contact.as_deref()),
                product_cell(&p.product),
                Cell::opt(p.whom.as_deref()),
                Cell::opt(p.dose.as_deref()),
                Cell::opt(p.reason.as_deref()),
                Cell::words(off),
                directed(p.meat),
                directed(p.milk),
                Cell::day(p.valid_to),
                Cell::number(given.get(&p.id).copied().unwrap_or_default()),
                kept(&papers(flock, RecordRef::Prescription(p.id).into())),
            ],
            struck: p.struck.is_some(),
            remarks: remarks_of(flock, RecordRef::Prescription(p.id), p.struck.as_deref()),
            link: Some(Link::Cupboard(RecordRef::Prescription(p.id))),
        });
    }
    register.about.push("Given by it: treatments in the book that name the prescription.".into());
    let without = flock
        .files()
        .flat_map(|f| f.treatments_standing())
        .filter(|t| span.holds(t.at.day) && t.prescribed_by.is_some() && t.more.prescription.is_none())
        .count();
    if without > 0 {
        let name = if without == 1 { "names" } else { "name" };
        register.about.push(format!(
            "{} of these days {name} a vet and no prescription of this register.",
            counted(without, "treatment")
        ));
    }
    register
}

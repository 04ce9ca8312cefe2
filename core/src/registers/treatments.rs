//! The treatment log and the off-label uses.

use super::words::{animal_cells, clear, joined, link, period, remarks_of, whole};
use super::{Cell, Column, Register, RegisterKind, Row, Span};
use crate::flock::{AnimalFile, Flock, RecordRef, Treatment, natural};
use crate::reckon::clearance::clear_after;
use crate::terms::Day;

/// A treatment with its animal.
pub(super) type Given<'a> = (&'a AnimalFile, &'a Treatment);

/// Treatments of a span that `keep` accepts, in order of time, then of tags.
pub(super) fn given<'a>(flock: &'a Flock, span: Span, keep: impl Fn(&Treatment) -> bool) -> Vec<Given<'a>> {
    let keep = &keep;
    let mut all: Vec<Given<'a>> = flock
        .files()
        .flat_map(|f| f.treatments.iter().filter(|t| span.holds(t.at.day) && keep(t)).map(move |t| (f, t)))
        .collect();
    all.sort_by(|(a, s), (b, t)| {
        s.at.cmp(&t.at).then_with(|| natural(a.animal.tag(), b.animal.tag())).then_with(|| s.id.cmp(&t.id))
    });
    all
}

const LOG: [Column; 18] = [
    Column::new("Given on", "given_on", 1.0),
    Column::hidden("time"),
    Column::new("Animal", "animal", 1.3),
    Column::hidden("numbers"),
    Column::new("Product", "product", 1.6),
    Column::new("Batch", "batch", 1.0),
    Column::hidden("supplier"),
    Column::figures("Quantity", "quantity", 0.9),
    Column::new("Route and site", "route_and_site", 1.2),
    Column::new("Reason", "reason", 1.3),
    Column::new("Given by", "given_by", 1.1),
    Column::new("Prescribed by", "prescribed_by", 1.1),
    Column::new("Meat withdrawal", "meat_withdrawal", 0.9),
    Column::new("Milk withdrawal", "milk_withdrawal", 0.9),
    Column::new("Meat clear on", "meat_clear_on", 1.0),
    Column::new("Milk clear on", "milk_clear_on", 1.0),
    Column::hidden("export_withdrawal"),
    Column::hidden("off_label"),
];

/// Every treatment.
pub(super) fn log(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::TreatmentLog, span, today, &LOG);
    register.rows = given(flock, span, |_| true).into_iter().map(|(f, t)| row(flock, f, t)).collect();
    let count = crate::rules::day_count();
    register.about.push(format!("{} Counted by: {}.", count.text, count.ground));
    register.about.push(
        "Each line stands for itself: of several treatments of an animal the latest clear day counts.".into(),
    );
    if let Some(kept) = flock.rules().and_then(|r| r.retention()) {
        register.about.push(format!("To be {}.", kept.words()));
    }
    register
}

/// From whom the batch of a treatment was bought, each once.
fn suppliers(flock: &Flock, t: &Treatment) -> String {
    let Some(number) = t.batch.as_deref() else { return String::new() };
    let Some(product) = flock.product(&t.product) else { return String::new() };
    let mut all: Vec<String> = Vec::new();
    for b in flock.cupboard().numbered(product.id, number) {
        let from = joined([b.supplier.as_deref(), b.supplier_address.as_deref()], ", ");
        if !from.is_empty() && !all.contains(&from) {
            all.push(from);
        }
    }
    all.join("; ")
}

fn by(t: &Treatment) -> Cell {
    let cell = Cell::opt(t.given_by.as_deref());
    if t.more.vet_gave { cell.under("the vet gave it") } else { cell }
}

fn remarks(flock: &Flock, t: &Treatment) -> Vec<String> {
    let mut all = Vec::new();
    if let Some(c) = t.more.course {
        all.push(format!("Dose {} of {} of a course, every {} hours", c.nth, c.of, c.every_hours));
    }
    if let Some(why) = &t.more.off_label {
        all.push(format!("Off-label: {why}"));
    }
    all.extend(remarks_of(flock, RecordRef::Treatment(t.id), t.struck.as_deref()));
    all
}

fn row(flock: &Flock, f: &AnimalFile, t: &Treatment) -> Row {
    let time = t.at.time.map(|t| t.to_string()).unwrap_or_default();
    let [animal, numbers] = animal_cells(&f.animal);
    let supplier = suppliers(flock, t);
    let from = if supplier.is_empty() { String::new() } else { format!("from {supplier}") };
    Row {
        cells: vec![
            Cell::day(Some(t.at.day)).under(time.clone()),
            Cell::words(time),
            animal,
            numbers,
            Cell::words(t.product.as_str()),
            Cell::opt(t.batch.as_deref()).under(from),
            Cell::words(supplier),
            Cell::whole(t.dose.map(|d| d.to_string()).unwrap_or_default()),
            Cell::words(joined([t.route.map(|r| r.words()), t.site.as_deref()], ", ")),
            Cell::opt(t.reason.as_deref()),
            by(t),
            Cell::opt(t.prescribed_by.as_deref()),
            period(t.meat),
            period(t.milk),
            clear(&clear_after(t.at, t.meat)),
            clear(&clear_after(t.at, t.milk)),
            Cell::words(t.more.export.text()),
            Cell::opt(t.more.off_label.as_deref()),
        ],
        struck: t.struck.is_some(),
        remarks: remarks(flock, t),
        link: link(f, RecordRef::Treatment(t.id)),
    }
}

const OFF_LABEL: [Column; 14] = [
    Column::new("Given on", "given_on", 1.0),
    Column::new("Animal", "animal", 1.3),
    Column::hidden("numbers"),
    Column::new("Product", "product", 1.6),
    Column::new("Not as the label", "off_label", 1.8),
    Column::figures("Quantity", "quantity", 0.9),
    Column::new("Route", "route", 1.0),
    Column::new("Reason", "reason", 1.3),
    Column::new("Vet", "vet", 1.4),
    Column::new("Prescription", "prescription", 1.1),
    Column::new("Meat withdrawal", "meat_withdrawal", 0.9),
    Column::new("Milk withdrawal", "milk_withdrawal", 0.9),
    Column::new("Meat clear on", "meat_clear_on", 1.0),
    Column::new("Milk clear on", "milk_clear_on", 1.0),
];

/// Uses that are not on the label.
pub(super) fn off_label(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::OffLabel, span, today, &OFF_LABEL);
    let of = |f: &AnimalFile, t: &Treatment| {
        let [animal, numbers] = animal_cells(&f.animal);
        let prescription = t.more.prescription.and_then(|id| flock.cupboard().prescription(id));
        let vet = prescription.and_then(|p| flock.cupboard().vet(p.vet));
        let name = vet.map(|v| v.name.as_str()).or(t.prescribed_by.as_deref());
        let paper = prescription.map(|p| match p.number.as_deref() {
            Some(number) => format!("{number}, {}", whole(&p.on.words())),
            None => p.on.words(),
        });
        Row {
            cells: vec![
                Cell::day(Some(t.at.day)),
                animal,
                numbers,
                Cell::words(t.product.as_str()),
                Cell::opt(t.more.off_label.as_deref()),
                Cell::whole(t.dose.map(|d| d.to_string()).unwrap_or_default()),
                Cell::words(t.route.map_or("", |r| r.words())),
                Cell::opt(t.reason.as_deref()),
                Cell::opt(name).under(vet.and_then(|v| v.practice.clone()).unwrap_or_default()),
                Cell::words(paper.unwrap_or_default()),
                period(t.meat),
                period(t.milk),
                clear(&clear_after(t.at, t.meat)),
                clear(&clear_after(t.at, t.milk)),
            ],
            struck: t.struck.is_some(),
            remarks: remarks_of(flock, RecordRef::Treatment(t.id), t.struck.as_deref()),
            link: link(f, RecordRef::Treatment(t.id)),
        }
    };
    let all = given(flock, span, |t| t.more.off_label.is_some());
    register.rows = all.into_iter().map(|(f, t)| of(f, t)).collect();
    register.about.push(
        "Treatments marked in the book as not given as the label says: another species, route, dose or reason, \
         or mixed. The vet sets their withdrawal; label, vet and local law decide."
            .into(),
    );
    register
}

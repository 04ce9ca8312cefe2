//! The treatment log and the off-label uses.

use super::words::{animal_cells, clear, joined, link, period, prescriber, product_cell, remarks_of, whole};
use super::{Cell, Column, Register, RegisterKind, Row, Span, Totals};
use crate::flock::{AnimalFile, Flock, RecordRef, Treatment, natural};
use crate::reckon::clearance::clear_after;
use crate::terms::{AnimalId, Day, counted};
use std::collections::{BTreeMap, BTreeSet};

mod rules;
#[cfg(test)]
mod tests;
mod totals;

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

/// Every treatment of the chosen animals, or of all the book knows (sold and dead ones too) for `None`. Window, tables,
/// the log on paper and the one in the inspector's folder are all this value.
pub(super) fn log(flock: &Flock, animals: Option<&[AnimalId]>, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::TreatmentLog, span, today, &LOG);
    let chosen: Option<BTreeSet<AnimalId>> = animals.map(|all| all.iter().copied().collect());
    let of = |(f, _): &Given<'_>| chosen.as_ref().is_none_or(|ids| ids.contains(&f.animal.id));
    let all: Vec<Given<'_>> = given(flock, span, |_| true).into_iter().filter(of).collect();
    register.rows = all.iter().map(|(f, t)| row(flock, f, t)).collect();
    register.lead.extend(summary(&all));
    if let Some(chosen) = &chosen {
        let mut tags: Vec<&str> = chosen.iter().map(|id| flock.tag(*id)).collect();
        tags.sort_unstable_by(|a, b| natural(a, b));
        register.lead.push(format!("Chosen animals: {}.", tags.join(", ")));
    }
    register.totals.extend(totals::totals(&all));
    let batches = batches_given(flock, all.iter().map(|(_, t)| *t));
    if !batches.is_empty() {
        let columns = BATCHES.to_vec();
        register.totals.push(Totals { title: "Batches given".into(), columns, rows: batches });
    }
    register.about.push(format!(
        "{} Each line stands for itself: of several treatments of an animal the latest clear day counts. Lines struck \
         out stay in the log and are not counted in the totals.",
        rules::counting()
    ));
    if let Some(law) = flock.rules() {
        let standing: Vec<&Treatment> = all.iter().map(|(_, t)| *t).filter(|t| t.struck.is_none()).collect();
        register.about.extend([rules::asked(law, flock, &standing), rules::keeping(law)]);
    }
    register.about.retain(|words| !words.is_empty());
    register
}

/// `61 treatments of 9 animals; 1 line struck out.`; nothing without a line.
fn summary(all: &[Given<'_>]) -> Option<String> {
    let standing: Vec<&Given<'_>> = all.iter().filter(|(_, t)| t.struck.is_none()).collect();
    let animals: BTreeSet<AnimalId> = standing.iter().map(|(f, _)| f.animal.id).collect();
    let struck = match all.len() - standing.len() {
        0 => String::new(),
        n => format!("; {} struck out", counted(n, "line")),
    };
    let (n, of) = (counted(standing.len(), "treatment"), counted(animals.len(), "animal"));
    (!all.is_empty()).then(|| format!("{n} of {of}{struck}."))
}

/// Columns of the batches that were given: from whom they came stands once, not on every line of the log.
const BATCHES: [Column; 6] = [
    Column::new("Product", "product", 2.2),
    Column::new("Batch", "batch", 1.3),
    Column::new("Expiry", "expiry", 1.0),
    Column::new("Bought on", "bought_on", 1.0),
    Column::new("From", "supplier", 1.9),
    Column::new("Their address", "supplier_address", 3.2),
];

/// The batches of treatments that stand, each once, with expiry and where it was bought; a dash where the cupboard
/// does not know it.
fn batches_given<'a>(flock: &Flock, all: impl Iterator<Item = &'a Treatment>) -> Vec<Vec<Cell>> {
    let mut met: BTreeMap<(String, String), (&str, &str)> = BTreeMap::new();
    for t in all.filter(|t| t.struck.is_none()) {
        let Some(number) = t.batch.as_deref().map(str::trim).filter(|b| !b.is_empty()) else { continue };
        let name = t.product.trim();
        met.entry((name.to_lowercase(), number.to_lowercase())).or_insert((name, number));
    }
    let mut rows = Vec::new();
    for (name, number) in met.into_values() {
        let of = flock.product(name).into_iter().flat_map(|p| flock.cupboard().numbered(p.id, number));
        let mut bought: Vec<[Cell; 4]> = Vec::new();
        for b in of.filter(|b| b.struck.is_none()) {
            let cells = [
                Cell::day(b.expiry),
                Cell::day(b.bought_on),
                Cell::opt(b.supplier.as_deref()),
                Cell::opt(b.supplier_address.as_deref()),
            ];
            if !bought.contains(&cells) {
                bought.push(cells);
            }
        }
        if bought.is_empty() {
            bought.push([const { "" }; 4].map(Cell::words));
        }
        for cells in bought {
            let head = [product_cell(name).strong(), Cell::whole(number)];
            rows.push(head.into_iter().chain(cells).collect());
        }
    }
    rows
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

/// The route, and the place on the body below it; in CSV both as one.
fn route_cell(t: &Treatment) -> Cell {
    let (route, site) = (t.route.map(|r| r.words()), t.site.as_deref());
    let both = joined([route, site], ", ");
    match (route, site) {
        (Some(route), Some(site)) => Cell::shown_as(route, both).under(site),
        _ => Cell::words(both),
    }
}

/// What is to be known of a treatment besides its line: a dose of a course, off-label, who prescribed it where that
/// is contradicted, what was changed.
fn notes_of(flock: &Flock, t: &Treatment) -> Vec<String> {
    let mut all = Vec::new();
    if let Some(c) = t.more.course {
        all.push(format!("Dose {} of {} of a course, every {} hours", c.nth, c.of, c.every_hours));
    }
    if let Some(why) = &t.more.off_label {
        all.push(format!("Off-label: {why}"));
    }
    all.extend(prescriber(flock, t).differs);
    all.extend(remarks_of(flock, RecordRef::Treatment(t.id), t.struck.as_deref()));
    all
}

fn row(flock: &Flock, f: &AnimalFile, t: &Treatment) -> Row {
    let time = t.at.time.map(|t| t.to_string()).unwrap_or_default();
    let [animal, numbers] = animal_cells(&f.animal);
    let supplier = suppliers(flock, t);
    Row {
        cells: vec![
            Cell::day(Some(t.at.day)).under(time.clone()),
            Cell::words(time),
            animal,
            numbers,
            product_cell(&t.product),
            Cell::opt(t.batch.as_deref()),
            Cell::words(supplier),
            Cell::whole(t.dose.map(|d| d.to_string()).unwrap_or_default()),
            route_cell(t),
            Cell::opt(t.reason.as_deref()),
            by(t),
            Cell::opt(prescriber(flock, t).name),
            period(t.meat),
            period(t.milk),
            clear(&clear_after(t.at, t.meat)),
            clear(&clear_after(t.at, t.milk)),
            Cell::words(t.more.export.text()),
            Cell::opt(t.more.off_label.as_deref()),
        ],
        struck: t.struck.is_some(),
        remarks: notes_of(flock, t),
        link: link(f, RecordRef::Treatment(t.id)),
    }
}

const OFF_LABEL: [Column; 17] = [
    Column::new("Given on", "given_on", 1.2),
    Column::new("Animal", "animal", 1.3),
    Column::hidden("numbers"),
    Column::new("Product", "product", 1.6),
    Column::new("Not as the label", "off_label", 1.6),
    Column::figures("Quantity", "quantity", 0.9),
    Column::new("Route", "route", 1.5),
    Column::new("Reason", "reason", 1.3),
    Column::new("Vet", "vet", 1.7),
    Column::new("Prescription", "prescription", 1.1),
    Column::new("Meat withdrawal", "meat_withdrawal", 0.9),
    Column::new("Milk withdrawal", "milk_withdrawal", 0.9),
    Column::new("Meat clear on", "meat_clear_on", 1.0),
    Column::new("Milk clear on", "milk_clear_on", 1.0),
    Column::hidden("batch"),
    Column::hidden("site"),
    Column::hidden("given_by"),
];

fn remarks(flock: &Flock, t: &Treatment, differs: Option<String>) -> Vec<String> {
    let changed = remarks_of(flock, RecordRef::Treatment(t.id), t.struck.as_deref());
    differs.into_iter().chain(changed).collect()
}

/// Uses that are not on the label.
pub(super) fn off_label(flock: &Flock, span: Span, today: Day) -> Register {
    let mut register = Register::new(RegisterKind::OffLabel, span, today, &OFF_LABEL);
    let of = |f: &AnimalFile, t: &Treatment| {
        let [animal, numbers] = animal_cells(&f.animal);
        let prescription = t.more.prescription.and_then(|id| flock.cupboard().prescription(id));
        let by_whom = prescriber(flock, t);
        let practice = by_whom.vet.and_then(|v| v.practice.clone()).unwrap_or_default();
        let with = |word: &str, text: Option<&str>| {
            text.filter(|x| !x.trim().is_empty()).map(|x| format!("{word} {x}")).unwrap_or_default()
        };
        let paper = prescription.map(|p| match p.number.as_deref() {
            Some(number) => format!("{}, {}", whole(number), whole(&p.on.words())),
            None => p.on.words(),
        });
        Row {
            cells: vec![
                Cell::day(Some(t.at.day)).under(with("by", t.given_by.as_deref())),
                animal,
                numbers,
                product_cell(&t.product).under(with("batch", t.batch.as_deref())),
                Cell::opt(t.more.off_label.as_deref()),
                Cell::whole(t.dose.map(|d| d.to_string()).unwrap_or_default()),
                Cell::words(t.route.map_or("", |r| r.words())).under(t.site.as_deref().unwrap_or_default()),
                Cell::opt(t.reason.as_deref()),
                Cell::opt(by_whom.name).under(practice),
                Cell::words(paper.unwrap_or_default()),
                period(t.meat),
                period(t.milk),
                clear(&clear_after(t.at, t.meat)),
                clear(&clear_after(t.at, t.milk)),
                Cell::opt(t.batch.as_deref()),
                Cell::opt(t.site.as_deref()),
                Cell::opt(t.given_by.as_deref()),
            ],
            struck: t.struck.is_some(),
            remarks: remarks(flock, t, by_whom.differs),
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

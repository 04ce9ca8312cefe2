//! Totals for each product.

use std::collections::{BTreeMap, BTreeSet};

use super::Given;
use crate::registers::words::product_cell;
use crate::registers::{Cell, Column, Totals};
use crate::terms::{AnimalId, Dose, counted};

/// What was used of one product.
#[derive(Default)]
pub(super) struct Used<'a> {
    pub(super) name: &'a str,
    pub(super) animals: BTreeSet<AnimalId>,
    pub(super) doses: usize,
    microlitres: u64,
    micrograms: u64,
    pieces: u64,
    unknown: usize,
    batches: BTreeSet<&'a str>,
}

impl Used<'_> {
    pub(super) fn quantity(&self) -> String {
        let mut all = Vec::new();
        if self.microlitres > 0 {
            all.push(format!("{} ml", thousandths(self.microlitres)));
        }
        if self.micrograms > 0 {
            all.push(format!("{} mg", thousandths(self.micrograms)));
        }
        if self.pieces > 0 {
            all.push(counted(usize::try_from(self.pieces).unwrap_or(usize::MAX), "piece"));
        }
        if self.unknown > 0 {
            all.push(format!("{} without a quantity", self.unknown));
        }
        all.join(" + ")
    }
}

/// 12500 → 12.5
fn thousandths(n: u64) -> String {
    let text = format!("{}.{:03}", n / 1000, n % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Used of each product by the lines that stand, by name without regard to case.
pub(super) fn used<'a>(lines: &[Given<'a>]) -> Vec<Used<'a>> {
    let mut all = BTreeMap::<String, Used<'a>>::new();
    for (file, t) in lines.iter().filter(|(_, t)| t.struck.is_none()) {
        let name = t.product.trim();
        let used = all.entry(name.to_lowercase()).or_insert_with(|| Used { name, ..Used::default() });
        used.animals.insert(file.animal.id);
        used.doses += 1;
        used.batches.extend(t.batch.as_deref().map(str::trim).filter(|b| !b.is_empty()));
        match t.dose {
            Some(Dose::Volume(ul)) => used.microlitres += u64::from(ul),
            Some(Dose::Mass(ug)) => used.micrograms += ug,
            Some(Dose::Pieces(n)) => used.pieces += u64::from(n),
            None => used.unknown += 1,
        }
    }
    all.into_values().collect()
}

/// Columns of what was used of each product.
const COLUMNS: [Column; 5] = [
    Column::new("Product", "product", 2.6),
    Column::new("Batches", "batches", 2.6),
    Column::figures("Animals", "animals", 1.0),
    Column::figures("Treatments", "treatments", 1.1),
    Column::figures("Total quantity", "total_quantity", 2.2),
];

/// What was used of each product; nothing where no line stands.
pub(super) fn totals(lines: &[Given<'_>]) -> Option<Totals> {
    let used = used(lines);
    let rows = used.iter().map(|used| {
        vec![
            product_cell(used.name).strong(),
            Cell::words(used.batches.iter().copied().collect::<Vec<_>>().join(", ")),
            Cell::number(used.animals.len()),
            Cell::number(used.doses),
            Cell::words(used.quantity()),
        ]
    });
    let rows: Vec<Vec<Cell>> = rows.collect();
    (!rows.is_empty()).then(|| Totals { title: "Totals by product".into(), columns: COLUMNS.to_vec(), rows })
}

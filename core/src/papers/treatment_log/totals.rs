//! Totals for each product.

use crate::phrase;
use crate::terms::speech::said;
use std::collections::BTreeSet;

use super::{Line, counted, or_dash};
use crate::papers::flow::Flow;
use crate::papers::sheet::{Face, Look};
use crate::papers::table::{Between, Cell, Column, Row, Table, Width};
use crate::papers::{PaperFailed, Watch};
use crate::terms::{AnimalId, Dose};

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
            all.push(phrase!("{} ml", thousandths(self.microlitres)));
        }
        if self.micrograms > 0 {
            all.push(phrase!("{} mg", thousandths(self.micrograms)));
        }
        if self.pieces > 0 {
            all.push(counted(usize::try_from(self.pieces).unwrap_or(usize::MAX), "piece"));
        }
        if self.unknown > 0 {
            all.push(phrase!("{} without a quantity", self.unknown));
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
pub(super) fn used<'a>(lines: &[Line<'a>]) -> Vec<Used<'a>> {
    let mut all = std::collections::BTreeMap::<String, Used<'a>>::new();
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

pub(super) fn totals(flow: &mut Flow<'_>, lines: &[Line<'_>], watch: Watch<'_>) -> Result<(), PaperFailed> {
    let used = used(lines);
    if used.is_empty() {
        return Ok(());
    }
    flow.y += 7.0;
    flow.need(30.0);
    flow.paragraph(Look::new(Face::SerifStrong, 12.0), &said("Totals by product"));
    flow.y += 1.5;
    let table = Table {
        columns: vec![
            Column::new("Product", Width::Share(1.6)),
            Column::new("Batches", Width::Share(1.4)),
            Column::figures("Animals", Width::Mm(20.0)),
            Column::figures("Treatments", Width::Mm(24.0)),
            Column::figures("Total quantity", Width::Mm(54.0)),
        ],
        size_pt: 8.2,
        between: Between::Hairline,
    };
    let rows = used.iter().map(|used| Row {
        cells: vec![
            Cell::strong(used.name),
            or_dash(Some(&used.batches.iter().copied().collect::<Vec<_>>().join(", "))),
            Cell::new(used.animals.len().to_string()),
            Cell::new(used.doses.to_string()),
            Cell::new(used.quantity()),
        ],
        ..Row::default()
    });
    table.flow(flow, rows, watch)
}

//! Values of a table that cannot be, or look unlikely: line, column, value and what to do.

use super::super::Intent;
use super::super::list::{List, Row, height, take_out};
use crate::look::{self, space};
use crate::parts::record_table::{Column, RecordTable, TableState};
use hirsel_core::exchange::BadRow;
use hirsel_core::phrase;

/// The list, made once for a table that was read.
#[derive(Debug, Default)]
pub(super) struct Faults {
    made_for: u64,
    list: List<usize>,
    table: TableState<usize>,
}

/// Rows seen at once.
const SEEN: usize = 8;

/// The table with its name and what stands over the sentences.
pub(super) fn table(
    ui: &mut egui::Ui,
    (name, heading): (&'static str, &'static str),
    number: u64,
    rows: &[BadRow],
    f: &mut Faults,
    out: &mut Vec<Intent>,
) {
    if rows.is_empty() {
        return;
    }
    if f.made_for != number {
        f.made_for = number;
        f.table = TableState::default();
        f.list.set(rows.iter().enumerate().map(row).collect());
    }
    ui.horizontal(|ui| {
        look::faint(ui, if rows.len() == 1 { phrase!("1 value") } else { phrase!("{} values", rows.len()) });
        take_out(ui, &name.to_lowercase(), &["line", "column", "value", "why"], &f.list, &mut f.table, out);
    });
    let columns = [
        Column::new("Line", 64.0).right(),
        Column::new("Column", 130.0),
        Column::new("Value", 150.0),
        Column::new(heading, 300.0).rest(),
    ];
    let size = egui::vec2(ui.available_width(), height(rows.len(), 2, SEEN));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        RecordTable::new(name, &columns).single().show(ui, &mut f.table, &f.list);
    });
    // A long sentence is cut in the table: the one under the cursor stands here whole.
    if let Some(r) = f.table.cursor().and_then(|i| rows.get(i)) {
        look::paragraph(ui, phrase!("Line {}: {}", r.line, r.why));
    }
    ui.add_space(space::XS);
}

fn row((i, r): (usize, &BadRow)) -> Row<usize> {
    Row::new(i)
        .number(r.line.to_string(), i64::try_from(r.line).ok())
        .text(r.column.clone())
        .tag(r.value.clone())
        .text(r.why.clone())
        .said(r.to_string())
}

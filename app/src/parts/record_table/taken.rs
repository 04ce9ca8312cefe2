//! A table that is to be saved: Ctrl+S in any record table leaves it here, and the desk asks for its name.

use super::{RecordTable, Rows, TableState};
use egui::{Context, Id};
use hirsel_core::exchange::{Listed, shown};
use std::sync::Arc;

fn place() -> Id {
    Id::unique("table to be saved")
}

/// The table that is to be saved, once.
pub fn wanted(ctx: &Context) -> Option<Listed> {
    let found = ctx.data_mut(|d| d.remove_temp::<Arc<Listed>>(place()))?;
    Some(Arc::try_unwrap(found).unwrap_or_else(|shared| (*shared).clone()))
}

impl RecordTable<'_> {
    /// Leaves the table as it stands: the columns that are seen, the rows in their order.
    pub(super) fn want<R: Rows>(&self, ctx: &Context, state: &mut TableState<R::Key>, rows: &R) {
        let shown = super::columns::shown(ctx, self.name.as_str(), self.columns);
        let heads: Vec<&str> = shown.iter().map(|c| self.columns[*c].title.as_str()).collect();
        let row = |row: &u32| shown.iter().map(|c| rows.plain(*c, *row as usize)).collect();
        let all = state.order(rows).iter().map(row).collect();
        let list = shown::listed(self.name.as_str(), &heads, all);
        ctx.data_mut(|d| d.insert_temp(place(), Arc::new(list)));
        ctx.request_repaint();
    }
}

//! The store of feed as a table.

use super::tables::{Cell, Table};
use hirsel_core::flock::Flock;
use hirsel_core::reckon::feedstore::Store;
use hirsel_core::terms::Day;

/// Every feed by name: what is there, what goes a day, how long it lasts, when to order, what a kg as fed costs.
pub fn store(flock: &Flock, on: Day) -> Table {
    let store = Store::of(flock, on);
    let row = |l: &hirsel_core::reckon::feedstore::Line| {
        let grams = l.stock.map(|s| s.grams);
        vec![
            Cell::words(l.name.as_str()),
            grams.map_or_else(Cell::none, |g| Cell::number(format!("{:.3}", g as f64 / 1000.0))),
            Cell::number(l.used.a_day().kg_text()),
            l.days_left(on).map_or_else(Cell::none, Cell::number),
            Cell::words(l.order_by.map(|d| d.to_string()).unwrap_or_default()),
            l.cost.map_or_else(Cell::none, |c| Cell::number(format!("{:.1}", c.cents_a_kg))),
            Cell::words(l.state.word()),
        ]
    };
    Table {
        columns: &["feed", "kg", "used_a_day_kg", "days_left", "order_by", "cents_a_kg", "state"],
        rows: store.lines.iter().map(row).collect(),
    }
}

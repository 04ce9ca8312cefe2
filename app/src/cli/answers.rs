//! The answers of `reckon` as tables.

use super::tables::{Cell, Table};
use hirsel_core::flock::{AnimalFile, Flock, natural};
use hirsel_core::reckon::clearance::{Clearance, SoldHeld, clearance_in, sold_held};
use hirsel_core::reckon::due::{Board, Job, of_animal};
use hirsel_core::reckon::flock_figures::Years;
use hirsel_core::reckon::growth::gains;
use hirsel_core::terms::{AnimalId, Day};

/// Files of the chosen animals as chosen, or of all in the flock by tag.
pub(super) fn files(flock: &Flock, animals: Option<Vec<AnimalId>>) -> Vec<&AnimalFile> {
    match animals {
        Some(chosen) => chosen.into_iter().filter_map(|id| flock.file(id)).collect(),
        None => {
            let mut all: Vec<&AnimalFile> = flock.present().collect();
            all.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()).then(a.animal.id.cmp(&b.animal.id)));
            all
        }
    }
}

/// First clear days of meat, milk and meat for export, of all treatments up to the day.
pub fn clearance(flock: &Flock, animals: Option<Vec<AnimalId>>, on: Day) -> Table {
    Table {
        columns: &["tag", "meat_clear_on", "milk_clear_on", "because", "export_clear_on"],
        rows: files(flock, animals).into_iter().map(|f| clear_row(f, &clearance_in(flock, f, on))).collect(),
    }
}

fn clear_row(f: &AnimalFile, c: &Clearance) -> Vec<Cell> {
    vec![
        Cell::words(f.animal.tag()),
        Cell::words(c.meat.clear.text()),
        Cell::words(c.milk.clear.text()),
        Cell::words(c.because()),
        Cell::words(c.export.clear.text()),
    ]
}

/// Animals sold on or before the day while they were not clear, with what the buyer must be told.
pub fn sold(flock: &Flock, on: Day) -> Table {
    let mut all: Vec<_> = sold_held(flock, on).into_iter().filter(|s| s.movement.on <= on).collect();
    all.sort_by_key(|s| s.movement.on);
    let row = |s: SoldHeld<'_>| {
        let mut row = clear_row(s.file, &s.clearance);
        row.push(Cell::words(s.movement.on.to_string()));
        row.push(Cell::words(s.movement.other.as_deref().unwrap_or_default()));
        row.push(Cell::words(s.told.join("; ")));
        row
    };
    Table {
        columns: &[
            "tag",
            "meat_clear_on",
            "milk_clear_on",
            "because",
            "export_clear_on",
            "sold_on",
            "to",
            "buyer_must_be_told",
        ],
        rows: all.into_iter().map(row).collect(),
    }
}

/// Weighings up to the day with the gain since the weight before, birth weights counted as such.
pub fn growth(flock: &Flock, animals: Option<Vec<AnimalId>>, on: Day) -> Table {
    let mut rows = Vec::new();
    for f in files(flock, animals) {
        for w in f.weighings.iter().filter(|w| w.struck.is_none() && w.at.day <= on) {
            let g = gains(f, w.at.day, w.weight);
            rows.push(vec![
                Cell::words(f.animal.tag()),
                Cell::words(w.at.day.to_string()),
                Cell::number(w.weight.kg_text()),
                g.since_last.map_or_else(Cell::none, |(gain, _)| Cell::number(gain.0)),
                g.age.map_or_else(Cell::none, Cell::number),
            ]);
        }
    }
    Table { columns: &["tag", "on", "weight_kg", "gain_g_per_day", "age_days"], rows }
}

/// Figures of each season with their bases.
pub fn figures(flock: &Flock, on: Day) -> Table {
    let mut rows = Vec::new();
    let years = Years::of(flock, on);
    for year in years.years() {
        for f in years.figures(year) {
            rows.push(vec![
                Cell::number(year),
                Cell::words(f.what.key()),
                f.value.map_or_else(Cell::none, |v| Cell::number(f.what.plain(v))),
                f.of.map_or_else(Cell::none, Cell::number),
            ]);
        }
    }
    Table { columns: &["season", "figure", "value", "of"], rows }
}

/// Jobs ahead are shown so many days.
const AHEAD_DAYS: i64 = 30;

/// Open jobs of the flock that are due, overdue or come due within 30 days; of chosen animals every job of their life.
pub fn due(flock: &Flock, animals: Option<Vec<AnimalId>>, on: Day) -> Table {
    let row = |j: &Job| {
        let day = |d: Day| Cell::words(d.to_string());
        vec![
            Cell::words(flock.tag(j.animal)),
            Cell::words(flock.animal(j.animal).and_then(|a| a.pen.as_deref()).unwrap_or_default()),
            Cell::words(j.step.short.as_str()),
            day(j.earliest.day),
            day(j.day()),
            day(j.late.map_or(j.close, |l| l.day)),
            Cell::words(j.state.words()),
            Cell::words(j.why(on)),
        ]
    };
    let rows = match animals {
        Some(chosen) => chosen.into_iter().flat_map(|id| of_animal(flock, id, on)).map(|j| row(&j)).collect(),
        None => Board::new(flock, on).within(flock, AHEAD_DAYS).into_iter().map(row).collect(),
    };
    Table { columns: &["tag", "pen", "job", "earliest", "due", "latest", "state", "why"], rows }
}

//! The answers of `reckon` as tables.

use super::tables::{Cell, Table};
use hirsel_core::flock::{AnimalFile, Flock, natural};
use hirsel_core::reckon::due::{Board, Job, of_animal};
use hirsel_core::reckon::{clearance::clearance as clear, growth::gains, seasons};
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

/// First clear days of meat and milk, of all treatments up to the day.
pub fn clearance(flock: &Flock, animals: Option<Vec<AnimalId>>, on: Day) -> Table {
    let row = |f: &AnimalFile| {
        let c = clear(f, on);
        vec![
            Cell::words(f.animal.tag()),
            Cell::words(c.meat.clear.text()),
            Cell::words(c.milk.clear.text()),
            Cell::words(c.because()),
        ]
    };
    Table {
        columns: &["tag", "meat_clear_on", "milk_clear_on", "because"],
        rows: files(flock, animals).into_iter().map(row).collect(),
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
    for (year, season) in seasons::seasons(flock, on) {
        for f in season.figures() {
            rows.push(vec![
                Cell::number(year),
                Cell::words(f.name),
                f.value.map_or_else(Cell::none, Cell::number),
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

//! The columns of the table: what each was taken for, and why. The keeper may say otherwise.

use super::super::super::Intent;
use super::super::super::list::{By, List, Row, height};
use super::LABELS;
use crate::desk::tables::Ready;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableState};
use crate::parts::{Choice, Form};
use hirsel_core::exchange::incoming::{MassUnit, Meaning, SeenColumn};
use hirsel_core::phrase;

/// The list, made once for a reading.
#[derive(Debug, Default)]
pub(super) struct State {
    made_for: u64,
    /// The file and its heads.
    of: (std::path::PathBuf, Vec<String>),
    is_shown: bool,
    list: List<usize>,
    table: TableState<usize>,
}

impl State {
    /// It shows this very table already.
    pub(super) fn is_of(&self, ready: &Ready) -> bool {
        self.of.0 == ready.path && self.of.1.iter().eq(ready.preview.columns.iter().map(|c| &c.head))
    }
}

/// Rows seen at once.
const SEEN: usize = 6;

pub(super) fn view(ui: &mut egui::Ui, ready: &Ready, s: &mut State, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    if s.made_for != ready.number {
        if !s.is_of(ready) {
            s.of = (ready.path.clone(), p.columns.iter().map(|c| c.head.clone()).collect());
            // What was not understood is shown at once.
            s.is_shown = !p.missing.is_empty() || p.columns.iter().any(|c| c.is_lost);
            s.table = TableState::default();
        }
        s.made_for = ready.number;
        s.list.set(p.columns.iter().enumerate().map(row).collect());
    }
    ui.add_space(space::XS);
    ui.horizontal(|ui| {
        let lost = p.columns.iter().filter(|c| c.is_lost).count();
        look::strong(ui, "Columns");
        if lost > 0 {
            let words = if lost == 1 { phrase!("1 left out") } else { phrase!("{lost} left out") };
            look::word(ui, Kind::Caution, &words);
        }
        let word = if s.is_shown { "Hide them" } else { "Show and change them" };
        if ui.button(crate::look::spoken(word)).clicked() {
            s.is_shown = !s.is_shown;
        }
    });
    if !s.is_shown {
        return;
    }
    let columns = [
        Column::new("Column", 170.0),
        Column::new("In it", 230.0),
        Column::new("Taken for", 170.0),
        Column::new("Why", 220.0).rest(),
    ];
    let size = egui::vec2(ui.available_width(), height(p.columns.len(), 2, SEEN));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        RecordTable::new("Columns of the table", &columns).single().show(ui, &mut s.table, &s.list);
    });
    match s.table.cursor() {
        Some(at) => change(ui, ready, at, out),
        None => {
            look::faint(ui, "Choose a column to say what it is.");
        }
    }
}

/// What the column under the cursor is.
fn change(ui: &mut egui::Ui, ready: &Ready, at: usize, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    let Some(seen) = p.columns.get(at) else { return };
    let mut meanings: Vec<Meaning> = vec![Meaning::Out];
    if p.kind.columns().iter().any(|c| c.name == "note") {
        meanings.push(Meaning::Remark);
    }
    meanings.extend(p.kind.columns().iter().map(|c| Meaning::Column(c.name)));
    let words: Vec<String> = meanings.iter().map(|m| m.words()).collect();
    let choices: Vec<(usize, &str)> = words.iter().map(String::as_str).enumerate().collect();
    let now = meanings.iter().position(|m| *m == seen.meaning);
    let mut chosen = now;
    let mut unit = seen.unit;
    let mut form = Form::new(ui, "import column").label_width(LABELS);
    form.choice(ui, &Choice::names(phrase!("{} is", seen.head), &choices), &mut chosen);
    let units = MassUnit::ALL.map(|u| (u, u.word()));
    if unit.is_some() {
        form.choice(ui, &Choice::new("Weights in", &units), &mut unit);
    }
    form.finish(ui);
    if let Some(meaning) = chosen.filter(|_| chosen != now).and_then(|i| meanings.get(i)) {
        let mut choice = ready.choice.clone();
        choice.kind = Some(p.kind);
        // A meaning that one column has alone goes over to the new one.
        choice.meanings.retain(|_, m| m != meaning || !matches!(m, Meaning::Column(_)));
        choice.meanings.insert(at, *meaning);
        out.push(Intent::ImportAs(Box::new(choice)));
    } else if let Some(unit) = unit.filter(|u| Some(*u) != seen.unit) {
        let mut choice = ready.choice.clone();
        choice.units.insert(at, unit);
        out.push(Intent::ImportAs(Box::new(choice)));
    }
}

fn row((at, c): (usize, &SeenColumn)) -> Row<usize> {
    let kind = match c.meaning {
        Meaning::Column(_) => Kind::Good,
        _ if c.is_lost => Kind::Caution,
        _ => Kind::Plain,
    };
    let mut words = c.meaning.words();
    if let Some(unit) = c.unit {
        words = phrase!("{words}, {}", unit.word());
    }
    Row::new(at)
        .tag(c.head.clone())
        .text(c.sample.join(", "))
        .cell(Cell::chip(kind, words.clone()), By::Text(words.clone()), words)
        .text(c.why.clone())
}

//! Figures of the seasons, side by side.

mod basis;
mod charts;

use super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::papers::{PaperKind, RegisterAsk};
use super::super::picture::save_picture;
use super::super::{Ctx, Intent};
use super::{season, sized};
use crate::look::{self, Kind, space};
use crate::parts::bars::Dots;
use crate::parts::picture::Sitter;
use crate::parts::record_table::{Cell, Column, RecordTable, TableState};
use hirsel_core::phrase;
use hirsel_core::reckon::flock_figures::{What, Years};
use hirsel_core::registers::Span;
use hirsel_core::terms::Day;
use serde::{Deserialize, Serialize};

/// So many seasons stand side by side.
const SIDE: i32 = 5;

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    search: String,
    basis: basis::Typed,
    #[serde(skip)]
    made_for: Option<(u64, Day, i32, String)>,
    #[serde(skip)]
    list: List<u32>,
    #[serde(skip)]
    table: TableState<u32>,
    #[serde(skip)]
    charts: Vec<Dots>,
    #[serde(skip)]
    columns: Vec<i32>,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        self.basis.after(ctx);
    }
}

const TABLE: &str = "Figures of the seasons";

/// Draws it.
pub fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    season: &mut Option<i32>,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let Some((years, at, mut on)) = season::choose(ui, ctx, season, into) else { return };
    make(ctx, years, at, state);
    ui.add_space(space::S);
    egui::ScrollArea::vertical().id_salt("seasons").auto_shrink(false).show(ui, |ui| {
        look::strong(ui, headline(years, at));
        look::faint(
            ui,
            "Dots are the seasons, the last one larger; hollow ones are of few. Dashed: the mean of the years before. \
             Shaded: the handbook's range. A dash says that a figure has no base, or cannot be told yet.",
        );
        ui.add_space(space::S);
        charts::view(ui, &state.charts);
        let title = phrase!("Seasons to {at}");
        let said: Vec<&str> = state.charts.iter().map(|c| c.said.as_str()).collect();
        let of = Sitter { title: &title, said: &said.join(". "), width: 1_180.0, height: None };
        save_picture(ui, &of, out, |ui| charts::view(ui, &state.charts));
        ui.add_space(space::M);
        look::subheading(ui, "Every figure, season beside season");
        let mut no = false;
        on |= search_field(ui, TABLE, "lambed, lost, weight", &mut no, &mut state.search);
        ui.horizontal_wrapped(|ui| {
            let mut heads = vec!["figure".to_string()];
            heads.extend(state.columns.iter().map(ToString::to_string));
            heads.extend(["mean_before", "handbook", "base", "note", "source"].map(String::from));
            let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
            take_out(ui, "figures of the seasons", &heads, &state.list, &mut state.table, out);
            if ui.button(phrase!("Season report…")).clicked() {
                out.push(report(years, at));
            }
        });
        if state.list.rows.is_empty() {
            look::paragraph(ui, "No figure fits the search.");
        } else {
            table(ui, state, on);
        }
        ui.add_space(space::M);
        basis::view(ui, ctx, years, at, &mut state.basis, out);
    });
}

fn table(ui: &mut egui::Ui, state: &mut State, on: bool) {
    let mut columns = vec![Column::new("Figure", 210.0).rest()];
    columns.extend(state.columns.iter().map(|y| Column::new(y.to_string(), 84.0).right().unsorted()));
    columns.push(Column::new("Mean before", 104.0).right().unsorted());
    columns.push(Column::new("Handbook", 120.0).rest().unsorted());
    sized(ui, height(state.list.rows.len(), 3, 46), |ui| {
        if on {
            into_table(ui, TABLE);
        }
        let _ = RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list);
    });
    let chosen = state.table.cursor().and_then(|k| state.list.rows.iter().find(|r| r.key == k));
    if let Some(row) = chosen {
        look::sentence(ui, Kind::Accent, &row.sentence);
    } else {
        look::faint(ui, "The arrows lead through the figures; each says its bases here.");
    }
}

/// Asks for the report of a season.
fn report(years: &Years, at: i32) -> Intent {
    let last = match years.settings.month {
        1 => Day::new(at, 12, 31),
        m => Day::new(at, m, 1).map(|d| d.plus(-1)),
    };
    let span = Span { from: None, to: last };
    Intent::PrintRegister(RegisterAsk::of(PaperKind::SeasonReport, span, &[]))
}

/// How the season went, in a sentence.
fn headline(years: &Years, at: i32) -> String {
    let n = |w: What| format!("{:.0}", years.figure(at, w).value.unwrap_or(0.0));
    let counts = phrase!(
        "{}: {} ewes joined, {} lambed, {} lambs born, {} of them alive, {} weaned",
        at,
        n(What::Joined),
        n(What::Lambed),
        n(What::Born),
        n(What::Alive),
        n(What::Weaned)
    );
    let t = years.tallies.get(&at);
    let open = match t.map_or((0, 0), |t| (t.open, t.waiting)) {
        (0, 0) => String::new(),
        (open, 0) => phrase!("; {open} still to lamb"),
        (0, waiting) => phrase!("; {waiting} not weaned yet"),
        (open, waiting) => phrase!("; {open} still to lamb, {waiting} not weaned yet"),
    };
    format!("{counts}{open}.")
}

fn make(ctx: &Ctx<'_>, years: &Years, at: i32, state: &mut State) {
    let wanted = (years.version(), years.day(), at, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let all = years.years();
    let shown: Vec<i32> = all.into_iter().filter(|y| *y <= at && *y > at - SIDE).collect();
    state.charts = charts::make(years, &shown, ctx.units());
    let money = shown.iter().any(|y| years.purses.contains_key(y));
    let rows = What::ALL.iter().enumerate().filter(|(_, w)| money || !w.is_money());
    let rows = rows.filter_map(|(key, what)| row(ctx, years, &shown, *what, key as u32, &state.search));
    state.list.set(rows.collect());
    state.columns = shown;
    state.made_for = Some(wanted);
}

fn row(ctx: &Ctx<'_>, years: &Years, shown: &[i32], what: What, key: u32, search: &str) -> Option<Row<u32>> {
    let units = ctx.units();
    if !fits(search, [what.name(), what.base(), what.key()]) {
        return None;
    }
    let at = *shown.last()?;
    let now = years.compared(at, what, SIDE - 1);
    let mut row = Row::new(key).tag(what.name());
    let mut said = Vec::new();
    for y in shown {
        let f = years.figure(*y, what);
        let text = f.shown(units);
        let few = f.of.is_some_and(|n| n < years.settings.few);
        let cell = match (few, *y == at) {
            (true, _) => Cell::text(text.clone()).faint(),
            (_, true) => Cell::text(text.clone()).strong(),
            _ => Cell::text(text.clone()),
        };
        let by = f.value.map_or(By::Nothing, |v| By::Number((v * 1000.0).round() as i64));
        row = row.cell(cell, by, f.taken_out(units));
        let base = f.base();
        said.push(if base.is_empty() { format!("{y} {text}") } else { phrase!("{y} {text} {base}") });
    }
    let mean = now.before.map_or_else(|| "–".to_string(), |(m, _)| what.show(m, units));
    let years_before = now.before.map_or(0, |b| b.1);
    let bare = now.before.map_or_else(|| mean.clone(), |(m, _)| what.taken_out(m, units));
    row = row.cell(Cell::text(mean.clone()).faint(), By::Nothing, bare);
    let (cell, words) = match (now.range, now.within) {
        (None, _) => (Cell::empty(), String::new()),
        (Some(r), Some(true)) => (Cell::chip(Kind::Good, "within"), r.words.clone()),
        (Some(r), Some(false)) => (Cell::chip(Kind::Caution, "outside"), r.words.clone()),
        (Some(r), None) => (Cell::text(r.words.clone()).faint(), r.words.clone()),
    };
    row = row.cell(cell, By::Nothing, words.clone());
    let note = now.figure.note.clone().unwrap_or_default();
    let source = now.range.map(|r| r.ground.to_string()).unwrap_or_default();
    let mut sentence = phrase!("{}: {}", what.name(), said.join(", "));
    if years_before > 0 {
        let seasons = hirsel_core::terms::counted(years_before as usize, "season");
        sentence.push_str(&phrase!("; mean of the {seasons} before {mean}"));
    }
    if !words.is_empty() {
        sentence.push_str(&phrase!("; handbook: {words} ({source})"));
    }
    if !note.is_empty() {
        sentence.push_str(&format!("; {note}"));
    }
    if now.few {
        sentence.push_str("; of few: chance weighs heavily");
    }
    Some(row.hidden(now.figure.base()).hidden(note).hidden(source).said(sentence))
}

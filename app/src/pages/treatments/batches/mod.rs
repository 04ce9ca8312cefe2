//! Batches as they were bought, what is left of them, waste, disposal and the count of the shelf. One thing at a time:
//! the list, a form, or an opened batch.

mod bought;
mod count;
mod line;
mod moved;

use super::super::list::{By, List, Row, fits, into_table, search_field, take_out};
use super::super::{Ctx, Intent};
use super::kept::{self, Kept};
use super::read::Stock;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::{DocumentOf, RecordRef};
use hirsel_core::phrase;
use hirsel_core::reckon::stock::{Amount, Line, State as Standing};
use hirsel_core::terms::ProductId;
use serde::{Deserialize, Serialize};

/// What is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Mode {
    #[default]
    List,
    Bought,
    Moved,
    Count,
    Line,
}

/// A line of the list: its product and, of its lines, which.
type Key = (ProductId, usize);

/// The part as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    mode: Mode,
    search: String,
    bought: bought::Typed,
    moved: moved::Typed,
    count: count::Typed,
    line: line::Which,
    kept: kept::Typed,
    #[serde(skip)]
    stock: Stock,
    #[serde(skip)]
    made_for: Option<(u64, hirsel_core::terms::Day, String)>,
    #[serde(skip)]
    list: List<Key>,
    #[serde(skip)]
    table: TableState<Key>,
    #[serde(skip)]
    records: line::Records,
    #[serde(skip)]
    into: bool,
}

impl State {
    /// Opens a record, if it is one of this part.
    pub(super) fn show(&mut self, record: RecordRef, ctx: &Ctx<'_>) {
        let kept = match record {
            RecordRef::Batch(id) => Kept::Batch(id),
            RecordRef::StockMove(id) => Kept::Stock(id),
            RecordRef::Document(id) => {
                let found = ctx.flock.documents().get(id);
                match found.map(|d| d.of) {
                    Some(DocumentOf::Record(RecordRef::Batch(batch))) => Kept::Batch(batch),
                    _ => return,
                }
            }
            _ => return,
        };
        self.mode = Mode::List;
        self.kept.open(kept);
    }

    /// What a paper is kept with: the open record.
    pub(super) fn paper_target(&self) -> Option<DocumentOf> {
        self.kept.target()
    }

    /// The entry is written.
    pub(super) fn after(&mut self, _ctx: &Ctx<'_>) {
        if self.kept.is_open() {
            self.kept.done();
            return;
        }
        match self.mode {
            Mode::Bought => self.bought.next(),
            Mode::Moved => self.moved.next(),
            Mode::Count => {
                self.count = count::Typed::default();
                self.show_list();
            }
            Mode::List | Mode::Line => {}
        }
    }

    fn show_list(&mut self) {
        self.mode = Mode::List;
        self.into = true;
    }
}

const TABLE: &str = "Batches and stock";

const HEADS: [&str; 13] = [
    "product",
    "batch",
    "state",
    "left",
    "expiry",
    "bought_on",
    "use_by",
    "remark",
    "received",
    "given",
    "wasted",
    "disposed_of",
    "counted_difference",
];

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    state.into |= std::mem::take(into);
    state.stock.keep(ctx);
    if state.kept.is_open() {
        if kept::view(ui, ctx, &mut state.kept, out) {
            state.into = true;
        }
        return;
    }
    let closed = match state.mode {
        Mode::List => {
            list(ui, ctx, state, out);
            return;
        }
        Mode::Bought => bought::view(ui, ctx, &mut state.bought, &mut state.into, out),
        Mode::Moved => moved::view(ui, ctx, &mut state.moved, &state.stock.lines, &mut state.into, out),
        Mode::Count => count::view(ui, ctx, &mut state.count, &state.stock.lines, &mut state.into, out),
        Mode::Line => {
            match line::view(ui, ctx, &state.line, &mut state.records, &state.stock.lines, &mut state.into) {
                line::Wish::Stay => false,
                line::Wish::Close => true,
                line::Wish::Open(kept) => {
                    state.kept.open(kept);
                    false
                }
                line::Wish::Dispose => {
                    if let Some(l) = state.line.find(&state.stock.lines) {
                        state.moved = moved::Typed::dispose(l);
                        state.mode = Mode::Moved;
                    }
                    false
                }
            }
        }
    };
    if closed {
        state.show_list();
    }
}

fn list(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let nothing = state.stock.lines.is_empty();
    let mut to = None;
    let mut on = false;
    if !nothing {
        let mut to_search = state.into && state.table.cursor().is_none();
        on = search_field(ui, TABLE, "product, batch, state", &mut to_search, &mut state.search);
        state.into &= to_search || state.table.cursor().is_some();
        make(ctx, state);
    }
    ui.horizontal_wrapped(|ui| {
        let first = look::primary(ui, "Bought");
        if nothing && std::mem::take(&mut state.into) {
            first.request_focus();
        }
        if first.clicked() {
            to = Some(Mode::Bought);
        }
        if ui.button(phrase!("Opened, wasted, disposed of")).clicked() {
            to = Some(Mode::Moved);
        }
        if ui.add_enabled(!nothing, egui::Button::new(phrase!("Count the shelf"))).clicked() {
            to = Some(Mode::Count);
        }
        if !nothing {
            take_out(ui, "stock", &HEADS, &state.list, &mut state.table, out);
        }
    });
    ui.add_space(space::XS);
    if nothing {
        look::paragraph(
            ui,
            "Nothing in the cupboard yet. Write in what you bought, with its batch number and expiry: what is given, wasted and brought away is then taken off it.",
        );
    } else if state.list.rows.is_empty() {
        look::paragraph(ui, "No batch fits the search.");
    } else {
        table(ui, state, on);
    }
    if let Some(mode) = to {
        state.mode = mode;
        state.into = true;
    }
}

fn table(ui: &mut egui::Ui, state: &mut State, on: bool) {
    let columns = [
        Column::new("Product", 170.0).rest(),
        Column::new("Batch", 100.0),
        Column::new("State", 140.0),
        Column::new("Left", 90.0).right(),
        Column::new("Expiry", 100.0),
        Column::new("Bought", 100.0),
        Column::new("Use by", 100.0),
        Column::new("Remark", 220.0).rest(),
    ];
    let columns = if ui.available_width() > 960.0 { &columns[..] } else { &columns[..7] };
    let mut opened = None;
    // The row in hand is told below in full.
    let size = ui.available_size() - egui::vec2(0.0, 46.0);
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if on || (state.into && state.table.cursor().is_some()) {
            state.into = false;
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(key) = event {
                opened = Some(key);
            }
        }
    });
    let find = |(product, n): Key| state.stock.lines.iter().filter(|l| l.product == product).nth(n);
    let in_hand = match state.table.cursor().and_then(find) {
        Some(l) => format!("{}: {}", super::read::name(l), l.words),
        None => {
            phrase!("Arrows go from row to row: the row in hand is told here in full. Enter opens it.")
        }
    };
    ui.add(egui::Label::new(egui::RichText::new(in_hand).small()).wrap());
    let Some(line) = opened.and_then(find) else { return };
    state.line = line::Which::of(line);
    state.mode = Mode::Line;
    state.into = true;
}

fn make(ctx: &Ctx<'_>, state: &mut State) {
    let wanted = (ctx.flock.version(), ctx.today, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let lines = &state.stock.lines;
    let mut rows = Vec::new();
    let (mut last, mut n) = (None, 0);
    for l in lines {
        n = if last == Some(l.product) { n + 1 } else { 0 };
        last = Some(l.product);
        let texts = [l.name.as_str(), l.batch.as_deref().unwrap_or(""), l.state.word(), &l.words];
        if fits(&state.search, texts) {
            rows.push((l.state == Standing::Empty, row(ctx, (l.product, n), l)));
        }
    }
    // What is on the shelf stands before what is used up.
    rows.sort_by_key(|(used_up, _)| *used_up);
    state.list.set(rows.into_iter().map(|(_, row)| row).collect());
    state.made_for = Some(wanted);
}

/// How a line stands, with its mark.
pub(super) fn chip(l: &Line) -> Cell {
    let kind = match l.state {
        Standing::Expired | Standing::Negative | Standing::OpenedTooLong => Kind::Refuse,
        Standing::ExpiresSoon | Standing::RunningOut => Kind::Caution,
        Standing::Fine | Standing::Empty => return Cell::text(standing(l)).faint(),
    };
    Cell::chip(kind, standing(l))
}

/// How a line stands, in a word or two.
fn standing(l: &Line) -> &'static str {
    if l.batch.is_none() {
        "no number"
    } else if l.deliveries.is_empty() && l.left.is_none() {
        "not bought here"
    } else {
        l.state.word()
    }
}

fn row(ctx: &Ctx<'_>, key: Key, l: &Line) -> Row<Key> {
    let day = |d: Option<hirsel_core::terms::Day>| {
        let by = By::number(d.map(|d| d.since(ctx.today)));
        let words = d.map(|d| d.words()).unwrap_or_default();
        (Cell::text(words), by, d.map(|d| d.to_string()).unwrap_or_default())
    };
    let amount = |d: Option<hirsel_core::terms::Dose>| d.map(|d| d.to_string()).unwrap_or_default();
    let left = match l.short {
        Some(short) => format!("−{short}"),
        None => l.left.map_or_else(|| "–".to_string(), |d| d.to_string()),
    };
    let by = By::number(l.left.map(|d| Amount::of(d).n));
    let ((expiry, e, ep), (bought, b, bp), (use_by, u, up)) =
        (day(l.expiry), day(l.bought_on), day(l.use_by));
    let mut row = Row::new(key)
        .tag(l.name.clone())
        .text(l.batch.clone().unwrap_or_default())
        .cell(chip(l), By::Text(standing(l).into()), standing(l))
        .cell(Cell::text(left.clone()), by, left)
        .cell(expiry, e, ep)
        .cell(bought, b, bp)
        .cell(use_by, u, up)
        .text(if l.state == Standing::Empty { String::new() } else { l.words.clone() })
        .said(format!("{}, {}: {}", super::read::name(l), standing(l), l.words));
    for all in [l.received, l.given, l.wasted, l.disposed] {
        row = row.hidden(amount(all));
    }
    let difference = if l.counts.is_empty() { String::new() } else { l.difference.to_string() };
    row.hidden(difference)
}

//! One batch opened: how it stands, its deliveries, and what became of it.

use super::super::super::Ctx;
use super::super::super::list::{By, List, Row, height};
use super::super::kept::Kept;
use super::super::read::name;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::take_keyboard;
use hirsel_core::flock::same_batch;
use hirsel_core::phrase;
use hirsel_core::reckon::stock::{Line, State};
use hirsel_core::terms::ProductId;
use serde::{Deserialize, Serialize};

/// Which line is open.
#[derive(Debug, Default, Clone, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Which {
    product: Option<ProductId>,
    number: Option<String>,
}

impl Which {
    pub(super) fn of(l: &Line) -> Self {
        Self { product: Some(l.product), number: l.batch.clone() }
    }

    /// The line, if it is still there.
    pub(super) fn find<'a>(&self, lines: &'a [Line]) -> Option<&'a Line> {
        lines.iter().find(|l| Some(l.product) == self.product && self.fits(l.batch.as_deref()))
    }

    fn fits(&self, number: Option<&str>) -> bool {
        match (&self.number, number) {
            (Some(a), Some(b)) => same_batch(a, b),
            (None, None) => true,
            _ => false,
        }
    }
}

/// Its records, made once.
#[derive(Debug, Default)]
pub(super) struct Records {
    made_for: Option<(u64, Which)>,
    list: List<Kept>,
    table: TableState<Kept>,
}

/// What the keeper wants of it.
pub(super) enum Wish {
    Stay,
    Close,
    Open(Kept),
    Dispose,
}

const TABLE: &str = "Records of the batch";

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    which: &Which,
    records: &mut Records,
    lines: &[Line],
    into: &mut bool,
) -> Wish {
    let Some(l) = which.find(lines) else { return Wish::Close };
    let wanted = (ctx.flock.version(), which.clone());
    if records.made_for.as_ref() != Some(&wanted) {
        records.list.set(rows(ctx, which));
        records.made_for = Some(wanted);
    }
    let mut wish = Wish::Stay;
    egui::ScrollArea::vertical().id_salt("line").auto_shrink(false).show(ui, |ui| {
        look::subheading(ui, name(l));
        let kind = match l.state {
            State::Fine | State::Empty => Kind::Plain,
            State::ExpiresSoon | State::RunningOut => Kind::Caution,
            _ => Kind::Refuse,
        };
        look::sentence(ui, kind, &l.words);
        sums(ui, l);
        ui.add_space(space::S);
        ui.horizontal(|ui| {
            let some_left = l.left.is_some_and(|d| hirsel_core::reckon::stock::Amount::of(d).n > 0);
            if some_left && ui.button(phrase!("Dispose of what is left")).clicked() {
                wish = Wish::Dispose;
            }
            if ui.button(phrase!("Back to the list (Esc)")).clicked() || crate::parts::escaped(ui) {
                wish = Wish::Close;
            }
            look::faint(ui, "Enter opens a record: to read it, keep its papers, amend it or strike it out.");
        });
        ui.add_space(space::S);
        if records.list.rows.is_empty() {
            look::faint(ui, "No purchase of it is written down: the doses stand in the log.");
            return;
        }
        let columns = [
            Column::new("Day", 110.0),
            Column::new("What", 130.0),
            Column::new("Quantity", 110.0).right(),
            Column::new("From, how or why", 260.0).rest(),
            Column::new("Papers", 90.0),
        ];
        let size = egui::vec2(ui.available_width(), height(records.list.rows.len(), 2, 12));
        ui.allocate_ui(size, |ui| {
            ui.set_min_size(size);
            let table = RecordTable::new(TABLE, &columns).single();
            if std::mem::take(into) {
                take_keyboard(ui, table.id(ui));
            }
            for event in table.show(ui, &mut records.table, &records.list) {
                if let TableEvent::Opened(kept) = event {
                    wish = Wish::Open(kept);
                }
            }
        });
    });
    wish
}

/// What came, what went and what was counted, in one line of words.
fn sums(ui: &mut egui::Ui, l: &Line) {
    let mut words = Vec::new();
    let mut add = |what: &'static str, d: Option<hirsel_core::terms::Dose>| {
        if let Some(d) = d {
            words.push(phrase!("{what} {d}"));
        }
    };
    add("bought", l.received);
    add("given", l.given);
    add("wasted", l.wasted);
    add("disposed of", l.disposed);
    if !l.counts.is_empty() {
        words.push(phrase!("counted: {}", l.difference));
    }
    if let Some(day) = l.expiry {
        words.push(phrase!("expires {}", day.words()));
    }
    if let Some(day) = l.opened_on {
        let by = l.use_by.map(|d| phrase!(", to be used by {}", d.words())).unwrap_or_default();
        words.push(phrase!("opened {}{by}", day.words()));
    }
    look::paragraph(ui, words.join(" · "));
}

/// Deliveries and moves, oldest first; those struck out stay readable.
fn rows(ctx: &Ctx<'_>, which: &Which) -> Vec<Row<Kept>> {
    let c = ctx.flock.cupboard();
    let mut all: Vec<(Option<hirsel_core::terms::Day>, Row<Kept>)> = Vec::new();
    let make = |key, day: Option<hirsel_core::terms::Day>, struck: bool, texts: [String; 4]| {
        let by = By::number(day.map(|d| d.since(ctx.today)));
        let words = day.map_or_else(|| phrase!("no day"), |d| d.words());
        let cell =
            |t: &str| if struck { Cell::text(t.to_string()).struck() } else { Cell::text(t.to_string()) };
        let mut row = Row::new(key).cell(cell(&words), by, words);
        for text in texts {
            row = row.cell(cell(&text), By::Text(text.clone()), text);
        }
        (day, row)
    };
    for b in c.batches.iter().filter(|b| Some(b.product) == which.product && which.fits(Some(&b.number))) {
        let from = [b.supplier.clone(), b.invoice.as_ref().map(|i| phrase!("invoice {i}")), b.note.clone()];
        let from = from.into_iter().flatten().collect::<Vec<_>>().join(", ");
        let papers = ctx.flock.documents().standing(hirsel_core::flock::RecordRef::Batch(b.id)).count();
        let papers = if papers == 0 { String::new() } else { papers.to_string() };
        let much = b.quantity.map(|q| q.to_string()).unwrap_or_default();
        let what = if b.struck.is_some() { "bought, struck out" } else { "bought" };
        all.push(make(Kept::Batch(b.id), b.bought_on, b.struck.is_some(), [what.into(), much, from, papers]));
    }
    for m in c.moves.iter().filter(|m| Some(m.product) == which.product && which.fits(m.batch.as_deref())) {
        let why = [&m.how, &m.place, &m.reason].into_iter().flatten().cloned().collect::<Vec<_>>().join(", ");
        let much = m.quantity.map_or_else(|| phrase!("none"), |q| q.to_string());
        let what = match &m.struck {
            Some(_) => phrase!("{}, struck out", m.change.word()),
            None => m.change.word().to_string(),
        };
        all.push(make(Kept::Stock(m.id), Some(m.on), m.struck.is_some(), [what, much, why, String::new()]));
    }
    all.sort_by_key(|(day, _)| *day);
    all.into_iter().map(|(_, row)| row).collect()
}

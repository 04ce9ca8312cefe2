//! The store: every feed with what is there, how long it lasts, when to order; deliveries, counts, waste, mixings,
//! analysis sheets, measures weighed out. One thing at a time: the list, a form, an opened feed, an opened record.

mod came;
mod count;
mod feed;
mod figures;
mod kept;
mod less;
mod one;
mod read;
mod sheet;

use super::super::list::{By, List, Row, fits, into_table, search_field, take_out};
use super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::RecordRef;
use hirsel_core::phrase;
use hirsel_core::reckon::feedstore::{
    Lasts, Line, State as Stands, amount_words, price_figure, protein_words,
};
use hirsel_core::terms::{Day, FeedChange, FeedId, Mass};
use serde::{Deserialize, Serialize};

/// What is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Mode {
    #[default]
    List,
    One,
    Feed,
    Came,
    Count,
    Wasted,
    Mixed,
    Sheet,
    Measure,
}

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    mode: Mode,
    search: String,
    of: Option<FeedId>,
    feed: feed::Typed,
    came: came::Typed,
    count: count::Typed,
    wasted: less::Typed,
    mixed: less::Typed,
    sheet: sheet::Analysed,
    measure: sheet::Weighed,
    kept: kept::Typed,
    #[serde(skip)]
    made_for: Option<(u64, Day, String)>,
    #[serde(skip)]
    list: List<FeedId>,
    #[serde(skip)]
    table: TableState<FeedId>,
    #[serde(skip)]
    opened: one::Opened,
    #[serde(skip)]
    into: bool,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        if self.kept.is_open() {
            self.kept.done();
            return;
        }
        match self.mode {
            Mode::Feed => match self.feed.changing() {
                Some(id) => {
                    self.feed = feed::Typed::default();
                    self.open(id);
                }
                None => self.feed.next(),
            },
            Mode::Came => self.came.next(),
            Mode::Wasted => self.wasted.next(),
            Mode::Mixed => self.mixed.next(),
            Mode::Sheet => {
                let of = self.sheet.feed(ctx);
                self.sheet.next();
                match of {
                    Some(id) => self.open(id),
                    None => self.show_list(),
                }
            }
            Mode::Measure => self.measure.next(),
            Mode::Count => {
                self.count = count::Typed::default();
                self.show_list();
            }
            Mode::List | Mode::One => {}
        }
    }

    /// Shows a feed, or the record of one.
    pub fn show(&mut self, record: RecordRef) {
        match (record, kept::Kept::of(record)) {
            (RecordRef::Feed(id), _) => self.open(id),
            (_, Some(kept)) => self.kept.open(kept),
            _ => self.show_list(),
        }
    }

    fn open(&mut self, id: FeedId) {
        (self.mode, self.of, self.into) = (Mode::One, Some(id), true);
    }

    fn show_list(&mut self) {
        (self.mode, self.into) = (Mode::List, true);
    }
}

const TABLE: &str = "Store of feed";

const HEADS: [&str; 18] = [
    "feed",
    "kind",
    "state",
    "in_store",
    "used_a_day",
    "lasts_until",
    "order_by",
    "price_a_kg_as_fed",
    "price_a_kg_dry_matter",
    "protein",
    "best_before",
    "in_store_kg",
    "used_a_day_kg",
    "bag_kg",
    "made_for",
    "worth",
    "why",
    "cautions",
];

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    state.into |= std::mem::take(into);
    if state.kept.is_open() {
        if let Some(of) = kept::view(ui, ctx, &mut state.kept, out) {
            match of {
                Some(feed) => state.open(feed),
                None => state.show_list(),
            }
        }
        return;
    }
    let into = &mut state.into;
    let closed = match state.mode {
        Mode::List => {
            list(ui, ctx, state, out);
            return;
        }
        Mode::One => {
            opened(ui, ctx, state, out);
            return;
        }
        Mode::Feed => feed::view(ui, ctx, &mut state.feed, into, out),
        Mode::Came => came::view(ui, ctx, &mut state.came, into, out),
        Mode::Count => count::view(ui, ctx, &mut state.count, into, out),
        Mode::Wasted => less::view(ui, ctx, &mut state.wasted, FeedChange::Wasted, into, out),
        Mode::Mixed => less::view(ui, ctx, &mut state.mixed, FeedChange::Mixed, into, out),
        Mode::Sheet => sheet::analysed(ui, ctx, &mut state.sheet, into, out),
        Mode::Measure => sheet::weighed(ui, ctx, &mut state.measure, into, out),
    };
    if closed {
        // A change that is left is not kept for the next feed.
        if state.mode == Mode::Feed && state.feed.changing().is_some() {
            state.feed = feed::Typed::default();
        }
        state.show_list();
    }
}

fn opened(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let Some(feed) = state.of.and_then(|id| ctx.flock.feedroom().feed(id)) else {
        state.show_list();
        return;
    };
    let wish = one::view(ui, ctx, feed, &mut state.opened, &mut state.into, out);
    state.mode = match wish {
        one::Wish::Stay => return,
        one::Wish::Close => {
            state.table.set_cursor(feed.id);
            state.show_list();
            return;
        }
        one::Wish::Open(kept) => {
            state.kept.open(kept);
            return;
        }
        one::Wish::Change => {
            state.feed = feed::Typed::of(ctx, feed);
            Mode::Feed
        }
        one::Wish::Came => {
            state.came = came::Typed::of(ctx, feed);
            Mode::Came
        }
        one::Wish::Count => {
            state.count.aim(&feed.name);
            Mode::Count
        }
        one::Wish::Wasted => {
            state.wasted = less::Typed::of(ctx, feed);
            Mode::Wasted
        }
        one::Wish::Mix => {
            state.mixed = less::Typed::of(ctx, feed);
            Mode::Mixed
        }
        one::Wish::Sheet => {
            state.sheet = sheet::Analysed::of(ctx, feed);
            Mode::Sheet
        }
        one::Wish::Measure => {
            state.measure = sheet::Weighed::of(ctx, feed);
            Mode::Measure
        }
    };
    state.into = true;
}

fn list(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let nothing = ctx.flock.feedroom().feeds.is_empty();
    let (mut to, mut on) = (None, false);
    if !nothing {
        let mut to_search = state.into && state.table.cursor().is_none();
        on = search_field(ui, TABLE, "feed, kind, state", &mut to_search, &mut state.search);
        state.into &= to_search || state.table.cursor().is_some();
        make(ctx, state);
    }
    ui.horizontal_wrapped(|ui| {
        let modes = [
            ("Delivery", Mode::Came),
            ("Count", Mode::Count),
            ("Waste", Mode::Wasted),
            ("Mixing", Mode::Mixed),
            ("Analysis sheet", Mode::Sheet),
            ("Weigh a measure", Mode::Measure),
        ];
        let first = look::primary(ui, "New feed");
        if nothing && std::mem::take(&mut state.into) {
            first.request_focus();
        }
        if first.clicked() {
            to = Some(Mode::Feed);
        }
        for (words, mode) in modes {
            if ui.add_enabled(!nothing, egui::Button::new(crate::look::spoken(words))).clicked() {
                to = Some(mode);
            }
        }
        if !nothing {
            take_out(ui, "store of feed", &HEADS, &state.list, &mut state.table, out);
        }
    });
    ui.add_space(space::XS);
    if nothing {
        look::paragraph(
            ui,
            "No feed yet. Write in what you have, by its name: the handbook's figures of a feed like it are proposed. Then count what is there, and write what comes: the book tells how long it lasts and when to order.",
        );
    } else if ctx.feeding.is_none() {
        look::sentence(ui, Kind::Plain, "The store is being reckoned …");
    } else if state.list.rows.is_empty() {
        look::paragraph(ui, "No feed fits the search.");
    } else {
        table(ui, ctx, state, on);
    }
    if let Some(mode) = to {
        (state.mode, state.into) = (mode, true);
    }
}

fn table(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, on: bool) {
    let columns = [
        Column::new("Feed", 106.0).rest(),
        Column::new("Kind", 90.0),
        Column::new("State", 130.0),
        Column::new("In store", 150.0),
        Column::new("A day", 72.0).right(),
        Column::new("Lasts to", 98.0),
        Column::new("Order by", 76.0),
        Column::new("Kg fed", 54.0).right(),
        Column::new("Kg dry", 56.0).right(),
        Column::new("Protein dry / fed", 116.0).right(),
        Column::new("Best before", 92.0),
    ];
    let columns = if ui.available_width() > 1060.0 { &columns[..] } else { &columns[..10] };
    let mut opened = None;
    // The row in hand is told below in full.
    let size = ui.available_size() - egui::vec2(0.0, 62.0);
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if on || (state.into && state.table.cursor().is_some()) {
            state.into = false;
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, columns).show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(key) = event {
                opened = Some(key);
            }
        }
    });
    let line = state.table.cursor().and_then(|id| ctx.feeding?.line(id));
    let in_hand = line.map_or_else(
        || phrase!("Kg fed and kg dry: the price of a kg as fed, and of a kg of dry matter; protein likewise, in percent. Arrows go from row to row: the row in hand is told here in full. Enter opens it."),
        |l| format!("{}: {} {}", l.name, l.why, l.cautions.join(" ")),
    );
    ui.add(egui::Label::new(egui::RichText::new(in_hand).small()).wrap());
    if let Some(id) = opened {
        state.open(id);
    }
}

fn make(ctx: &Ctx<'_>, state: &mut State) {
    let Some(store) = ctx.feeding else { return };
    let wanted = (store.version(), store.day(), state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let wants = |l: &&Line| fits(&state.search, [l.name.as_str(), l.kind.words(), &l.words, l.state.word()]);
    state.list.set(store.lines.iter().filter(wants).map(|l| row(ctx, l)).collect());
    state.made_for = Some(wanted);
}

/// The mark of how a feed stands.
fn mark(l: &Line) -> Kind {
    match l.state {
        s if s.is_grave() => Kind::Refuse,
        s if s.is_caution() => Kind::Caution,
        Stands::Enough => Kind::Good,
        _ => Kind::Plain,
    }
}

fn row(ctx: &Ctx<'_>, l: &Line) -> Row<FeedId> {
    let units = ctx.units();
    let state = match mark(l) {
        Kind::Plain | Kind::Good => Cell::text(l.words.to_string()).faint(),
        kind => Cell::chip(kind, l.words.to_string()),
    };
    let rank = Stands::ALL.iter().position(|s| *s == l.state).and_then(|n| i64::try_from(n).ok());
    let short = |d: Option<Day>| {
        let words = d.map(Day::short).unwrap_or_default();
        (
            Cell::text(words),
            By::number(d.map(|d| d.since(ctx.today))),
            d.map(|d| d.to_string()).unwrap_or_default(),
        )
    };
    let lasts = match l.lasts {
        Lasts::Until(day) => short(Some(day)),
        Lasts::Long => (Cell::text("over a year").faint(), By::Number(400), phrase!("over a year")),
        Lasts::Unused | Lasts::Unknown => short(None),
    };
    let (order, best) = (short(l.order_by), short(l.best_before));
    let past = l.best_before.is_some_and(|b| b < ctx.today);
    let best_cell = match l.best_before.filter(|_| past) {
        Some(day) => Cell::chip(Kind::Caution, day.short()),
        None => best.0,
    };
    let a_day = l.used.a_day();
    // What goes a day is no truer than to a tenth of a kg.
    let tenth = Mass::from_kg((a_day.kg() * 10.0).round() / 10.0).filter(|_| a_day.kg() >= 10.0);
    let a_day_words = if a_day.is_none() { String::new() } else { tenth.unwrap_or(a_day).show(units) };
    let cents = |c: Option<f64>| (c.map(price_figure).unwrap_or_default(), c.map(|c| (c * 1000.0) as i64));
    let (fed, dry) = (cents(l.cost.map(|c| c.cents_a_kg)), cents(l.cents_a_kg_dry()));
    let protein = match l.protein() {
        Some((dry, Some(fed))) => format!("{dry:.1} / {fed:.1} %"),
        Some((dry, None)) => format!("{dry:.1} / – %"),
        None => String::new(),
    };
    let made_for = ctx.flock.feedroom().feed(l.feed).map(|f| f.made_for.words()).unwrap_or_default();
    let kg = l.stock.map(|s| s.kg().to_string()).unwrap_or_default();
    Row::new(l.feed)
        .tag(l.name.clone())
        .text(l.kind.words())
        .cell(state, By::number(rank), l.words.clone())
        .number(amount_words(l, units), l.stock.map(|s| s.grams))
        .number(a_day_words, i64::try_from(a_day.grams()).ok())
        .cell(lasts.0, lasts.1, lasts.2)
        .cell(order.0, order.1, order.2)
        .number(fed.0, fed.1)
        .number(dry.0, dry.1)
        .cell(Cell::text(protein), By::number(l.protein().map(|p| (p.0 * 1000.0) as i64)), protein_words(l))
        .cell(best_cell, best.1, best.2)
        .hidden(kg)
        .hidden(a_day.kg_text())
        .hidden(l.bag.map(|b| b.kg_text()).unwrap_or_default())
        .hidden(made_for)
        .hidden(l.worth.map(price_figure).unwrap_or_default())
        .hidden(l.why.clone())
        .hidden(l.cautions.join(" "))
}

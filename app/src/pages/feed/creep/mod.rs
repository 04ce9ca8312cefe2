//! The creeps: what is in them, how full, when the next step comes; one key each to write what was done.

mod cards;
mod draw;
mod form;
mod table;
pub(in crate::pages) mod write;

use super::super::asking::{Asking, SMALL, Stands};
use super::super::list::{List, fits, into_table, search_field, take_out};
use super::super::picture::save_picture;
use super::super::sections::sections;
use super::super::{Ctx, Intent, Then};
use crate::look::{self, Kind, space};
use crate::pages::papers::PaperKind;
use crate::parts::picture::Sitter;
use crate::parts::record_table::{RecordTable, TableEvent, TableState};
use crate::parts::take_keyboard;
use cards::Row;
use egui::{Event, EventFilter, Id, Key, Role, Sense, Ui, WidgetInfo};
use form::What;
use hirsel_core::entry::Checked;
use hirsel_core::flock::RecordRef;
use hirsel_core::phrase;
use hirsel_core::reckon::creep::{self, Board};
use hirsel_core::reckon::feedstore::Store;
use hirsel_core::terms::{CheckKind, Day};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    search: String,
    shown: Shown,
    form: form::Typed,
    #[serde(skip)]
    board: Option<Kept>,
    #[serde(skip)]
    asking: Asking<(u64, Day), Kept>,
    #[serde(skip)]
    listed: Option<(u64, Day, String)>,
    #[serde(skip)]
    list: List<u64>,
    #[serde(skip)]
    table: TableState<u64>,
    /// The pen that is walked to.
    #[serde(skip)]
    cursor: String,
    #[serde(skip)]
    scroll: bool,
    #[serde(skip)]
    back: bool,
    #[serde(skip)]
    into_search: bool,
    /// A record that is to be shown.
    #[serde(skip)]
    wanted: Option<RecordRef>,
}

/// The board, and how the store stands.
#[derive(Debug)]
pub(super) struct Kept {
    board: Board,
    store: Store,
}

/// How it is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Shown {
    #[default]
    Board,
    List,
}

/// Room for the search, what is shown and the ways out in one line.
const WIDE: f32 = 860.0;

const SHOWN: [(Shown, &str); 2] = [(Shown::Board, "Board"), (Shown::List, "List")];
const TABLE: &str = "Creeps as a list";
const BOARD: &str = "Creeps";

impl State {
    /// An entry of this page is written: the form is done, the keyboard goes back to the board.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {
        self.form.close();
        self.back = true;
    }

    /// Shows the pen of a record.
    pub(super) fn show_record(&mut self, record: RecordRef) {
        self.wanted = Some(record);
        self.search.clear();
        self.form.close();
        self.shown = Shown::Board;
        (self.scroll, self.back) = (true, true);
    }

    fn take_wanted(&mut self, ctx: &Ctx<'_>) {
        let room = ctx.flock.feedroom();
        let pen = match self.wanted.take() {
            Some(RecordRef::Creep(id)) => room.creeps.iter().find(|c| c.id == id).map(|c| c.pen.clone()),
            Some(RecordRef::PenCheck(id)) => room.checks.iter().find(|c| c.id == id).map(|c| c.pen.clone()),
            _ => None,
        };
        self.cursor = pen.unwrap_or_else(|| std::mem::take(&mut self.cursor));
    }
}

/// What is to be done to the chosen pen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Deed {
    FillUp,
    Form(What),
    AllInOrder,
    InOrder(CheckKind),
    New,
}

/// Draws it.
pub fn view(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    let question = (ctx.flock.version(), ctx.today);
    let (flock, today) = (Arc::clone(ctx.flock), ctx.today);
    state.take_wanted(ctx);
    let work = move || Kept { board: creep::board(&flock, today), store: Store::of(&flock, today) };
    let (came, stands) = state.asking.ask(ui, &question, ctx.flock.len() <= SMALL, work);
    if came.is_some() {
        state.board = came;
        state.listed = None;
    }
    let Some(kept) = state.board.take() else {
        let died = stands == Stands::Died;
        look::faint(
            ui,
            if died { "The creeps could not be looked up." } else { "The creeps are being looked up …" },
        );
        return;
    };
    if state.form.what.is_some() {
        if std::mem::take(into) {
            state.form.focus.get_or_insert("Note");
        }
        let area = egui::ScrollArea::vertical().id_salt("creep form").auto_shrink(false);
        let closed = area.show(ui, |ui| form::view(ui, ctx, &mut state.form, &kept.board, out)).inner;
        if closed {
            state.form.close();
            state.back = true;
            ui.ctx().request_repaint();
        }
    } else {
        if std::mem::take(into) {
            state.back = true;
        }
        shown(ui, ctx, state, &kept, out);
    }
    state.board = Some(kept);
}

fn shown(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State, kept: &Kept, out: &mut Vec<Intent>) {
    let board = &kept.board;
    let rows: Vec<Row<'_>> =
        board.creeps.iter().map(Row::Creep).chain(board.without.iter().map(Row::Without)).collect();
    let rows: Vec<Row<'_>> = match state.search.trim() {
        "" => rows,
        text => rows.into_iter().filter(|r| fits(text, [cards::sentence(ctx, *r).as_str()])).collect(),
    };
    if rows.iter().all(|r| r.pen() != state.cursor) {
        state.cursor = rows.first().map(|r| r.pen().to_string()).unwrap_or_default();
    }
    let mut deed = None;
    look::faint(ui, phrase!("This evening: {}.", board.summary()));
    buttons(ui, state, &rows, &mut deed, out);
    ui.add_space(space::XS);
    let mut on = false;
    let wide = ui.available_width() >= WIDE;
    let layout = egui::Layout::left_to_right(egui::Align::Center).with_main_wrap(!wide);
    let line = egui::vec2(ui.available_width(), space::FIELD);
    ui.allocate_ui_with_layout(line, layout, |ui| {
        let room = egui::vec2(ui.available_width().min(400.0), space::FIELD);
        ui.allocate_ui(room, |ui| {
            on = search_field(
                ui,
                "creep search",
                "pen, feed, too low, gate",
                &mut state.into_search,
                &mut state.search,
            );
        });
        if sections(ui, "creeps shown", &SHOWN, &mut state.shown) {
            state.back = true;
        }
        list(ctx, state, board);
        take_out(ui, "creeps", &table::HEADS, &state.list, &mut state.table, out);
    });
    if on {
        state.back = true;
        ui.ctx().request_repaint();
    }
    ui.add_space(space::XS);
    if rows.is_empty() {
        nothing(ui, state);
        state.into_search |= std::mem::take(&mut state.back) && !state.search.is_empty();
    } else if state.shown == Shown::List {
        if std::mem::take(&mut state.back) {
            into_table(ui, TABLE);
        }
        for event in
            RecordTable::new(TABLE, &table::columns()).single().show(ui, &mut state.table, &state.list)
        {
            if let TableEvent::Opened(key) = event
                && let Some(c) = board.creeps.iter().find(|c| table::key(&c.pen) == key)
            {
                state.cursor = c.pen.clone();
                deed = Some(Deed::Form(What::Filled));
            }
        }
    } else {
        cards_of(ui, ctx, state, kept, &rows, &mut deed, out);
    }
    if let Some(deed) = deed {
        let chosen = rows.iter().find(|r| r.pen() == state.cursor).copied();
        act(ctx, state, chosen, deed, out);
    }
}

fn list(ctx: &Ctx<'_>, state: &mut State, board: &Board) {
    let wanted = (ctx.flock.version(), ctx.today, state.search.clone());
    if state.listed.as_ref() != Some(&wanted) {
        let text = state.search.clone();
        state.list.set(table::rows(ctx, board, |said| fits(&text, [said])));
        state.listed = Some(wanted);
    }
}

fn nothing(ui: &mut Ui, state: &State) {
    let words = if state.search.trim().is_empty() {
        "No creep is open and no lamb is old enough for one. N, or 'Open a creep', opens one: its pen, its feed and what its trough holds. Then F writes that it was filled to the top."
    } else {
        "No creep of these words."
    };
    look::paragraph(ui, words);
}

fn buttons(ui: &mut Ui, state: &State, rows: &[Row<'_>], deed: &mut Option<Deed>, out: &mut Vec<Intent>) {
    let chosen = rows.iter().find(|r| r.pen() == state.cursor);
    let is_creep = matches!(chosen, Some(Row::Creep(_)));
    let looks = chosen.is_some_and(|r| !write::to_look_at(r.checks()).is_empty());
    ui.horizontal_wrapped(|ui| {
        let mut button = |ui: &mut Ui, on: bool, words: &'static str, what: Deed| {
            if ui.add_enabled(on, egui::Button::new(crate::look::spoken(words))).clicked() {
                *deed = Some(what);
            }
        };
        button(ui, is_creep, "To the top (F)", Deed::FillUp);
        button(ui, is_creep, "Amount (A)", Deed::Form(What::Filled));
        button(ui, is_creep, "Level (L)", Deed::Form(What::Level));
        button(ui, looks, "All in order (O)", Deed::AllInOrder);
        button(ui, is_creep, "Fault (X)", Deed::Form(What::Looked));
        button(ui, is_creep, "Feed (S)", Deed::Form(What::Changed));
        button(ui, is_creep, "Close (C)", Deed::Form(What::Closed));
        button(ui, true, "Open a creep (N)", Deed::New);
        if ui.add_enabled(!rows.is_empty(), egui::Button::new(phrase!("Door sheets"))).clicked() {
            out.push(Intent::Print(PaperKind::CreepSheet, Vec::new()));
        }
    });
}

fn cards_of(
    ui: &mut Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    kept: &Kept,
    rows: &[Row<'_>],
    deed: &mut Option<Deed>,
    out: &mut Vec<Intent>,
) {
    let id = ui.make_persistent_id(BOARD);
    keys(ui, id, state, rows, deed);
    let whole = ui.available_rect_before_wrap();
    egui::ScrollArea::vertical().id_salt("creep cards").auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = space::S;
        ui.set_max_width(ui.available_width() - 14.0);
        for row in rows {
            let chosen = row.pen() == state.cursor;
            let response = cards::row(ui, ctx, id, kept, *row, chosen);
            if chosen {
                ui.ctx().accesskit_node_builder(id, |node| {
                    node.set_active_descendant(response.id.accesskit_id());
                });
                if std::mem::take(&mut state.scroll) {
                    ui.scroll_to_rect(response.rect, None);
                }
            }
            if response.clicked() {
                state.cursor = row.pen().to_string();
                take_keyboard(ui, id);
            }
            if response.double_clicked() {
                *deed = Some(Deed::Form(What::Filled));
            }
        }
        ui.add_space(space::S);
        let said: Vec<String> = rows.iter().map(|r| cards::sentence(ctx, *r)).collect();
        let title = phrase!("Creeps, {}", ctx.today.words());
        let of = Sitter { title: &title, said: &said.join(". "), width: 1_100.0, height: None };
        save_picture(ui, &of, out, |ui| {
            for row in rows {
                cards::row(ui, ctx, id, kept, *row, false);
            }
        });
        look::faint(
            ui,
            "↑ ↓ walk the pens · Enter opens the form · G gate, H lamp, W water, T trough in order · Ctrl+Z takes back. Weeks: △ youngest, ▲ mean lamb, dashed: what is in it. Intake: bars, line: earlier seasons. Feed analyst, label and vet go before all of it.",
        );
    });
    let board = ui.interact(whole, id, Sense::focusable_noninteractive());
    board.widget_info(|| WidgetInfo::labeled(Role::Grid, true, BOARD));
    if std::mem::take(&mut state.back) {
        take_keyboard(ui, id);
    }
}

/// Takes the keys of the board.
fn keys(ui: &Ui, id: Id, state: &mut State, rows: &[Row<'_>], deed: &mut Option<Deed>) {
    if !ui.memory(|m| m.has_focus(id)) {
        return;
    }
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
    let mut at = rows.iter().position(|r| r.pen() == state.cursor).unwrap_or(0);
    let last = rows.len().saturating_sub(1);
    let mut moved = false;
    ui.input_mut(|i| {
        i.events.retain(|event| match event {
            Event::Key { key, pressed: true, modifiers, .. } if !modifiers.any() => {
                let to = match key {
                    Key::ArrowDown => (at + 1).min(last),
                    Key::ArrowUp => at.saturating_sub(1),
                    Key::Home => 0,
                    Key::End => last,
                    Key::Enter => {
                        *deed = Some(Deed::Form(What::Filled));
                        return false;
                    }
                    _ => return true,
                };
                (at, moved) = (to, true);
                false
            }
            Event::Text(text) => {
                *deed = match text.to_lowercase().as_str() {
                    "f" => Some(Deed::FillUp),
                    "a" => Some(Deed::Form(What::Filled)),
                    "l" => Some(Deed::Form(What::Level)),
                    "o" => Some(Deed::AllInOrder),
                    "g" => Some(Deed::InOrder(CheckKind::Gate)),
                    "h" => Some(Deed::InOrder(CheckKind::Lamp)),
                    "w" => Some(Deed::InOrder(CheckKind::Water)),
                    "t" => Some(Deed::InOrder(CheckKind::Trough)),
                    "x" => Some(Deed::Form(What::Looked)),
                    "s" => Some(Deed::Form(What::Changed)),
                    "c" => Some(Deed::Form(What::Closed)),
                    "n" => Some(Deed::New),
                    _ => return true,
                };
                false
            }
            _ => true,
        });
    });
    if moved && let Some(row) = rows.get(at) {
        state.cursor = row.pen().to_string();
        state.scroll = true;
    }
}

fn act(ctx: &Ctx<'_>, state: &mut State, chosen: Option<Row<'_>>, deed: Deed, out: &mut Vec<Intent>) {
    let mut send = |entry: Result<Checked, String>| {
        out.push(match entry {
            Ok(checked) => Intent::Write { checked: Box::new(checked), then: Then::FeedDone },
            Err(words) => Intent::Say(Kind::Refuse, words),
        });
    };
    match (deed, chosen) {
        (Deed::New, _) => state.form.open_new(""),
        (Deed::InOrder(what), Some(row)) => send(write::in_order(ctx, row.pen(), &[what])),
        (Deed::AllInOrder, Some(row)) => match write::to_look_at(row.checks()).as_slice() {
            [] => send(Err(phrase!(
                "everything in {} is looked at; a fault is mended by its own key",
                &row.pen()
            ))),
            what => send(write::in_order(ctx, row.pen(), what)),
        },
        (Deed::FillUp, Some(Row::Creep(c))) => send(write::fill_up(ctx, c)),
        (Deed::Form(what), Some(Row::Creep(c))) => state.form.show(ctx, c, what),
        (Deed::Form(What::Filled), Some(Row::Without(w))) => state.form.open_new(&w.pen),
        (_, Some(row)) => send(Err(phrase!("no creep is open in {}: N opens one", &row.pen()))),
        (_, None) => send(Err(phrase!("no creep is open yet: N opens one"))),
    }
}

//! Every register over a span of days: seen, searched, printed, taken out.

use super::super::list::{By, List, Row, fits, into_table, search_field};
use super::super::papers::{PaperKind, RegisterAsk};
use super::super::{Ctx, Intent, fields};
use crate::desk::worker::Job;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::exchange::shown;
use hirsel_core::phrase;
use hirsel_core::registers::{Register, RegisterKind, Span};
use hirsel_core::terms::Day;
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// The part as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    kind: RegisterKind,
    from: String,
    to: String,
    on: String,
    search: String,
    /// The tick list of the folder is open.
    folder: bool,
    /// Registers left out of the folder.
    left_out: Vec<RegisterKind>,
    #[serde(skip)]
    kinds: Kinds,
    #[serde(skip)]
    made: Made,
    #[serde(skip)]
    rows: List<usize>,
    #[serde(skip)]
    shown_for: Option<(usize, String)>,
    #[serde(skip)]
    table: TableState<usize>,
}

/// The list of registers.
#[derive(Debug, Default)]
struct Kinds {
    list: List<RegisterKind>,
    table: TableState<RegisterKind>,
    /// The version of the flock it was made for: what is said otherwise is another.
    said_for: Option<u64>,
}

/// What a register is made of.
type Wanted = (u64, RegisterKind, Span, Day);

/// The register that is shown, and the one being made.
#[derive(Default)]
struct Made {
    of: Option<Wanted>,
    register: Option<Arc<Register>>,
    job: Option<Job<Register>>,
    died: bool,
}

impl std::fmt::Debug for Made {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("Made").field("of", &self.of).field("register", &self.register).finish_non_exhaustive()
    }
}

const REGISTERS: &str = "Registers";
const ENTRIES: &str = "Entries";

/// Room for the list of registers.
const SIDE: f32 = 216.0;

/// Room for the row in hand, in words.
const IN_HAND: f32 = 62.0;

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let whole = ui.available_rect_before_wrap();
    let (mut left, mut right) = (whole, whole);
    left.set_right(whole.left() + SIDE);
    right.set_left(left.right() + space::L);
    ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| {
        choose(ui, ctx.flock.version(), state, into)
    });
    ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| one(ui, ctx, state, out));
}

/// The registers, one below the other: arrows choose.
fn choose(ui: &mut egui::Ui, version: u64, state: &mut State, into: &mut bool) {
    if state.kinds.said_for != Some(version) {
        state.kinds.said_for = Some(version);
        let row = |k: RegisterKind| Row::new(k).text(k.words()).said(phrase!("{}: {}", k.words(), k.holds()));
        state.kinds.list.set(RegisterKind::ALL.into_iter().map(row).collect());
    }
    if state.kinds.table.cursor() != Some(state.kind) {
        state.kinds.table.set_cursor(state.kind);
    }
    if std::mem::take(into) {
        into_table(ui, REGISTERS);
    }
    let columns = [Column::new("Register", SIDE - 30.0).unsorted().rest()];
    for event in
        RecordTable::new(REGISTERS, &columns).single().show(ui, &mut state.kinds.table, &state.kinds.list)
    {
        if let TableEvent::CursorMoved(kind) | TableEvent::Opened(kind) = event {
            state.kind = kind;
        }
    }
}

/// The days as typed, or what is wrong with them.
fn span(ctx: &Ctx<'_>, state: &State) -> Result<Span, String> {
    let day =
        |text: &str| fields::some(text).map(|t| Day::parse_typed(&t, ctx.today)).transpose().map_err(|e| e.0);
    if state.kind.is_of_a_day() {
        return Ok(Span { from: None, to: Some(day(&state.on)?.unwrap_or(ctx.today)) });
    }
    Span::new(day(&state.from)?, day(&state.to)?).map_err(|e| e.0)
}

fn one(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    look::subheading(ui, state.kind.words());
    look::faint(ui, state.kind.holds());
    let asked = span(ctx, state);
    let down = days(ui, ctx, state, asked.as_ref().err().map(String::as_str));
    if let Ok(span) = &asked {
        make(ui, ctx, state, *span);
    }
    buttons(ui, ctx, state, asked.ok(), out);
    let on = search_field(ui, ENTRIES, "tag, product, place, day", &mut false, &mut state.search) || down;
    let Some(register) = state.made.register.clone() else {
        let words = if state.made.died {
            "The register could not be made: please report it, with which one it was."
        } else {
            "The register is being made."
        };
        look::faint(ui, words);
        return;
    };
    if state.made.job.is_some() {
        look::faint(ui, "The register is being made.");
    }
    show(ui, state, &register, on, out);
}

/// From and To, or the one day.
fn days(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, wrong: Option<&str>) -> bool {
    let today = ctx.today;
    let read = |t: &str| Day::parse_typed(t, today).map(Day::words).map_err(|e| e.0);
    let nudge = |t: &str, n: i32| {
        let from = if t.trim().is_empty() { Ok(today) } else { Day::parse_typed(t, today) };
        from.ok().map(|d| d.plus(n.into()).to_string())
    };
    let field = |label, empty| Field::new(label).width(116.0).example(empty).understand(&read).nudge(&nudge);
    let mut form = Form::new(ui, "register days").label_width(60.0);
    ui.horizontal_wrapped(|ui| {
        if state.kind.is_of_a_day() {
            form.field(ui, &field("On", "today"), &mut state.on);
        } else {
            form.field(ui, &field("From", "the beginning"), &mut state.from);
            let wrong = wrong.filter(|w| w.starts_with("the last day"));
            form.field(ui, &field("To", "today").refusal(wrong), &mut state.to);
        }
    });
    form.finish(ui) == FormEvent::Submitted
}

/// Has the register made off the window's thread when anything it is made of has changed.
fn make(ui: &egui::Ui, ctx: &Ctx<'_>, state: &mut State, span: Span) {
    let made = &mut state.made;
    let wanted: Wanted = (ctx.flock.version(), state.kind, span, ctx.today);
    if made.of != Some(wanted) {
        if made.of.is_some_and(|(_, kind, ..)| kind != state.kind) {
            made.register = None;
        }
        made.of = Some(wanted);
        made.died = false;
        let (flock, today, kind) = (Arc::clone(ctx.flock), ctx.today, state.kind);
        made.job = Some(Job::start(ui.ctx(), move |_| kind.make(&flock, span, today)));
    }
    match made.job.as_ref().and_then(Job::answer) {
        Some(Ok(register)) => {
            made.register = Some(Arc::new(register));
            made.job = None;
            state.shown_for = None;
        }
        Some(Err(_)) => {
            made.died = true;
            made.job = None;
        }
        None => {}
    }
}

fn buttons(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, asked: Option<Span>, out: &mut Vec<Intent>) {
    ui.horizontal_wrapped(|ui| {
        let ready = state.made.register.clone().filter(|_| state.made.job.is_none());
        let button = |ui: &mut egui::Ui, on: bool, words: &'static str| {
            ui.add_enabled(on, egui::Button::new(crate::look::spoken(words))).clicked()
        };
        if button(ui, asked.is_some(), "Print the register")
            && let Some(span) = asked
        {
            out.push(Intent::PrintRegister(RegisterAsk::of(PaperKind::Register(state.kind), span, &[])));
        }
        if button(ui, ready.as_ref().is_some_and(|r| !r.rows.is_empty()), "Save as a table…")
            && let Some(r) = &ready
        {
            out.push(Intent::SaveTable(shown::of_register(r)));
        }
        let words = if state.folder { "Close the folder's list" } else { "The inspector's folder…" };
        if ui.button(crate::look::spoken(words)).clicked() {
            state.folder = !state.folder;
        }
    });
    if !state.folder {
        return;
    }
    look::faint(ui, "Registers of the folder; it begins with what an inspector asks and what is missing.");
    ui.horizontal_wrapped(|ui| {
        for kind in RegisterKind::ALL {
            let mut in_it = !state.left_out.contains(&kind);
            if look::tick(ui, &mut in_it, kind.words()).changed() {
                state.left_out.retain(|k| *k != kind);
                if !in_it {
                    state.left_out.push(kind);
                }
            }
        }
    });
    let chosen: Vec<RegisterKind> =
        RegisterKind::ALL.into_iter().filter(|k| !state.left_out.contains(k)).collect();
    ui.horizontal(|ui| {
        if look::primary(ui, "Lay the folder out").clicked() {
            let day = |t: &str| fields::some(t).and_then(|t| Day::parse_typed(&t, ctx.today).ok());
            match Span::new(day(&state.from), day(&state.to)) {
                _ if chosen.is_empty() => {
                    out.push(Intent::Say(Kind::Refuse, phrase!("Tick one or more registers for the folder")));
                }
                Ok(span) => {
                    out.push(Intent::PrintRegister(RegisterAsk::of(PaperKind::Folder, span, &chosen)))
                }
                Err(e) => out.push(Intent::Say(Kind::Refuse, e.0)),
            }
        }
        look::faint(ui, "for the days under From and To");
    });
}

/// What became of a row.
fn remark(row: &hirsel_core::registers::Row) -> &'static str {
    match row.remarks.first() {
        _ if row.struck => "struck out",
        Some(r) if r.starts_with("Amended") => "amended",
        Some(_) => "see below",
        None => "",
    }
}

fn fill(state: &mut State, register: &Register) {
    let key = (std::ptr::from_ref(register) as usize, state.search.clone());
    if state.shown_for.as_ref() == Some(&key) {
        return;
    }
    let seen = |r: &hirsel_core::registers::Row| -> Vec<(String, String, bool, bool)> {
        let cells = register.columns.iter().zip(&r.cells).filter(|(c, _)| c.is_shown());
        cells.map(|(c, v)| (v.plain(), v.csv.clone(), v.strong, c.right)).collect()
    };
    let rows = register.rows.iter().enumerate().filter(|(_, r)| {
        let words = r.cells.iter().flat_map(|c| [c.plain(), c.under.clone(), c.csv.clone()]);
        let all: Vec<String> =
            words.chain(r.remarks.iter().cloned()).chain([remark(r).to_string()]).collect();
        fits(&state.search, all.iter().map(String::as_str))
    });
    let rows = rows.map(|(i, r)| {
        let mut row = Row::new(i);
        for (shown, plain, strong, right) in seen(r) {
            let mut cell = Cell::text(shown);
            if r.struck {
                cell = cell.struck();
            }
            if strong {
                cell = cell.strong();
            }
            let number = plain.split(' ').next().and_then(|n| n.replace('−', "-").parse::<f64>().ok());
            let by = match number.filter(|_| right) {
                Some(n) => By::Number((n * 1000.0) as i64),
                None if plain.is_empty() => By::Nothing,
                None => By::Text(plain.clone()),
            };
            row = row.cell(cell, by, plain);
        }
        row.cell(Cell::text(remark(r)).faint(), By::Text(remark(r).into()), remark(r))
    });
    state.rows.set(rows.collect());
    state.shown_for = Some(key);
}

fn show(ui: &mut egui::Ui, state: &mut State, register: &Register, on: bool, out: &mut Vec<Intent>) {
    fill(state, register);
    let counted = format!("{}, {}", register.counted(), register.days());
    look::faint(ui, if register.rows.is_empty() { register.empty.clone() } else { counted });
    if !register.rows.is_empty() && state.rows.rows.is_empty() {
        look::paragraph(ui, "No entry fits the search.");
    }
    if state.rows.rows.is_empty() {
        register.about.iter().for_each(|w| drop(look::paragraph(ui, w.to_string())));
        return;
    }
    let mut columns: Vec<Column> = register
        .columns
        .iter()
        .filter(|c| c.is_shown())
        .map(|c| {
            let wide = (c.share * 92.0).max(c.head.chars().count() as f32 * 8.2 + 22.0);
            let column = Column::new(c.head, wide).rest();
            if c.right { column.right() } else { column }
        })
        .collect();
    columns.push(Column::new("Remark", 86.0));
    let size = (ui.available_size() - egui::vec2(0.0, IN_HAND)).max(egui::vec2(100.0, 120.0));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if on {
            into_table(ui, ENTRIES);
        }
        for event in RecordTable::new(ENTRIES, &columns).single().show(ui, &mut state.table, &state.rows) {
            if let TableEvent::Opened(i) = event
                && let Some(link) = register.rows.get(i).and_then(|r| r.link)
            {
                out.push(Intent::Follow(link));
            }
        }
    });
    in_hand(ui, register, state.table.cursor());
}

/// The row in hand, uncut, with its remarks.
fn in_hand(ui: &mut egui::Ui, register: &Register, cursor: Option<usize>) {
    let Some(row) = cursor.and_then(|i| register.rows.get(i)) else {
        look::faint(
            ui,
            "Arrows go from row to row: the row in hand is told here in full. Enter opens its record.",
        );
        return;
    };
    let mut words: Vec<String> = row.remarks.clone();
    let cells = register.columns.iter().zip(&row.cells).filter(|(c, v)| c.is_shown() && !v.csv.is_empty());
    words.extend(cells.map(|(c, v)| {
        let under = if v.under.is_empty() { String::new() } else { format!(" ({})", v.under) };
        format!("{}: {}{under}", c.head, v.plain())
    }));
    egui::ScrollArea::vertical().id_salt("row in hand").max_height(IN_HAND - 6.0).show(ui, |ui| {
        ui.add(egui::Label::new(egui::RichText::new(words.join("; ")).small()).wrap());
    });
}

//! Ewes with their rams: who ran with whom, from when to when.

mod blood;
mod form;
mod open;

use super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::{Ctx, Intent};
use super::{columns, sized};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::phrase;
use hirsel_core::reckon::joined::{Group, groups};
use hirsel_core::terms::{Day, JoiningId, counted};
use serde::{Deserialize, Serialize};

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    form: form::Typed,
    open: open::Typed,
    search: String,
    /// The form just sent was the one that takes a ram out.
    #[serde(skip)]
    parting: bool,
    #[serde(skip)]
    made_for: Option<(u64, Day, String)>,
    #[serde(skip)]
    groups: Vec<Group>,
    #[serde(skip)]
    list: List<JoiningId>,
    #[serde(skip)]
    table: TableState<JoiningId>,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        if std::mem::take(&mut self.parting) {
            self.open.after();
        } else {
            self.form.after();
        }
        self.made_for = None;
        make(ctx, self);
    }
}

const TABLE: &str = "Groups";

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    make(ctx, state);
    if std::mem::take(into) && !state.open.is_parting() {
        state.form.focus = Some("Ram");
    }
    let mut more = Vec::new();
    columns(
        ui,
        "groups",
        0.42,
        state,
        |ui, state| form::view(ui, ctx, &mut state.form, out),
        |ui, state| beside(ui, ctx, state, &mut more),
    );
    if more.iter().any(|i| matches!(i, Intent::Write { .. })) {
        state.parting = true;
    } else if out.iter().any(|i| matches!(i, Intent::Write { .. })) {
        state.parting = false;
    }
    out.append(&mut more);
}

fn beside(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    state.form.blood(ui, ctx);
    if state.groups.is_empty() {
        look::subheading(ui, TABLE);
        look::paragraph(
            ui,
            "No joining yet. Write the ram, his ewes and the day he went in, and give the group a name if it has one: then marks, scans and due days follow from it.",
        );
        return;
    }
    let mut no = false;
    let on = search_field(ui, TABLE, "group, ram, ewe, year", &mut no, &mut state.search);
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, counted(state.list.rows.len(), "group"));
        let heads = ["group", "ram", "from", "to", "marked", "came_back", "crayon", "ewes", "lambs_of"];
        take_out(ui, "joining groups", &heads, &state.list, &mut state.table, out);
        if look::button(ui, "Print the joining sheet").clicked() {
            out.push(Intent::Print(super::super::papers::PaperKind::JoiningSheet, Vec::new()));
        }
    });
    if state.list.rows.is_empty() {
        look::paragraph(ui, "No group fits the search.");
        return;
    }
    let columns = [
        Column::new("Group", 90.0).rest(),
        Column::new("Ram", 70.0).rest(),
        Column::new("From", 96.0),
        Column::new("To", 96.0),
        Column::new("Marked", 68.0).right(),
        Column::new("Back", 46.0).right(),
        Column::new("Crayon", 54.0),
    ];
    let mut down = false;
    sized(ui, height(state.list.rows.len(), 2, 6), |ui| {
        if on {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            down |= matches!(event, TableEvent::Opened(_));
        }
    });
    ui.add_space(space::S);
    let key = state.table.cursor().or(state.list.rows.first().map(|r| r.key));
    let Some(group) = state.groups.iter().find(|g| Some(g.key) == key) else {
        look::faint(ui, "Choose a group above to see its ewes.");
        return;
    };
    match open::view(ui, ctx, &mut state.open, group, down, out) {
        Some(open::Wish::MoreEwes) => state.form.more_ewes(ctx, group),
        Some(open::Wish::OtherRam) => state.form.other_ram(ctx, group),
        None => {}
    }
}

fn make(ctx: &Ctx<'_>, state: &mut State) {
    let wanted = (ctx.flock.version(), ctx.today, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    if state.made_for.as_ref().is_none_or(|(v, ..)| *v != wanted.0) {
        state.groups = groups(ctx.flock);
    }
    state.list.set(state.groups.iter().filter_map(|g| row(ctx, g, &state.search)).collect());
    state.made_for = Some(wanted);
}

fn row(ctx: &Ctx<'_>, g: &Group, search: &str) -> Option<Row<JoiningId>> {
    let (title, rams) = (g.title(ctx.flock), g.rams_words(ctx.flock));
    let season = phrase!("{} {}", g.season, g.from.words());
    let texts = [title.as_str(), &rams, &season];
    if !fits(search, texts.into_iter().chain(g.ewes.iter().map(|e| ctx.flock.tag(*e)))) {
        return None;
    }
    // Of this season the year goes without saying.
    let day = |d: Day| if ctx.today.since(d) < 300 { d.short() } else { d.words() };
    let n = |n: usize| (n.to_string(), i64::try_from(n).ok());
    let marked = phrase!("{} of {}", g.marked.len(), g.ewes.len());
    let by_marked = By::number(i64::try_from(g.marked.len()).ok());
    let (back, by_back) = n(g.back.len());
    let since = |d: Day| By::Number(d.since(ctx.today));
    let to = match g.to {
        Some(to) => (Cell::text(day(to)), since(to), to.to_string()),
        None => (Cell::text("now").strong(), By::Number(i64::MAX), String::new()),
    };
    let crayon = if g.runs() { g.crayons(ctx.flock, ctx.today) } else { String::new() };
    Some(
        Row::new(g.key)
            .tag(title)
            .text(rams)
            .cell(Cell::text(day(g.from)), since(g.from), g.from.to_string())
            .cell(to.0, to.1, to.2)
            .cell(Cell::text(marked), by_marked, g.marked.len().to_string())
            .number(back, by_back)
            .text(crayon)
            .hidden(g.ewes.len().to_string())
            .hidden(g.season.to_string())
            .said(said(ctx, g)),
    )
}

fn said(ctx: &Ctx<'_>, g: &Group) -> String {
    let days = g.to.map_or(phrase!("runs now"), |t| phrase!("to {}", t.words()));
    phrase!(
        "{}, ram {}, {} from {} {}, {} marked, {} came back",
        g.title(ctx.flock),
        g.rams_words(ctx.flock),
        counted(g.ewes.len(), "ewe"),
        g.from.words(),
        days,
        g.marked.len(),
        g.back.len()
    )
}

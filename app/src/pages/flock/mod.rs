//! Flock: every animal, past and present. Find, filter, sort, choose many, do a job to all; Enter opens the leaf.

mod list;
mod new;
mod roll;

use super::act::{self, Job};
use super::list::{List, take_out};
use super::{Ctx, Intent, papers::PaperKind};
use crate::look::{self, space};
use crate::parts::record_table::{Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Field, Form};
use hirsel_core::phrase;
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};

/// Which animals the list shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Whom {
    #[default]
    Here,
    Ewes,
    Rams,
    Lambs,
    Gone,
    Outside,
    All,
}

const WHOM: [(Whom, &str); 7] = [
    (Whom::Here, "In the flock"),
    (Whom::Ewes, "Ewes"),
    (Whom::Rams, "Rams"),
    (Whom::Lambs, "Lambs"),
    (Whom::Gone, "Left or dead"),
    (Whom::Outside, "Outside"),
    (Whom::All, "Whole book"),
];

/// Which form is open over the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Open {
    #[default]
    Nothing,
    New,
    /// A list of who was read.
    Roll,
}

/// The list and the forms over it.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    search: String,
    whom: Whom,
    open: Open,
    new: new::NewForm,
    act: act::ActForm,
    roll: roll::State,
    /// The new animal has a number of the list that was read: it is shown again afterwards.
    #[serde(skip)]
    back_to_roll: bool,
    #[serde(skip)]
    made_for: Option<(u64, String, Whom)>,
    #[serde(skip)]
    list: List<AnimalId>,
    #[serde(skip)]
    table: TableState<AnimalId>,
    #[serde(skip)]
    focus: bool,
}

impl State {
    /// An entry was written: the open form is empty and closed.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {
        match self.open {
            Open::New => self.new = new::NewForm::default(),
            Open::Roll => return,
            Open::Nothing => self.act = act::ActForm::default(),
        }
        self.open = if std::mem::take(&mut self.back_to_roll) { Open::Roll } else { Open::Nothing };
        self.focus = true;
    }

    /// Shows where a list is read.
    pub fn show_roll(&mut self) {
        self.open = Open::Roll;
        self.roll.into = true;
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    look::heading(ui, "Flock");
    if read_pressed(ui, state) {
        state.show_roll();
    }
    if state.open == Open::Roll {
        roll::view(ui, ctx, state, &mut out);
        return out;
    }
    search(ui, ctx, state);
    list::refresh(ctx, state);
    jobs(ui, ctx, state, &mut out);
    match state.open {
        Open::New => new::view(ui, ctx, state, &mut out),
        Open::Roll | Open::Nothing => {
            let chosen = state.table.chosen();
            if act::view(ui, ctx, &mut state.act, chosen, &mut out) {
                state.focus = true;
            }
        }
    }
    ui.add_space(space::S);
    table(ui, ctx, state, &mut out);
    out
}

/// Ctrl+R, as on the page of weights.
const READ: egui::KeyboardShortcut = egui::KeyboardShortcut::new(egui::Modifiers::COMMAND, egui::Key::R);

fn read_pressed(ui: &egui::Ui, state: &State) -> bool {
    state.open != Open::Roll && ui.input_mut(|i| i.consume_shortcut(&READ))
}

fn search(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) {
    let mut form = Form::new(ui, "flock").label_width(54.0);
    let nobody = ui.memory(|m| m.focused().is_none()) && !ui.ctx().any_popup_open();
    state.focus |= nobody && state.open == Open::Nothing && !state.act.is_open();
    form.focus_once(ui, &mut state.focus, "Search");
    let field = Field::new("Search").width(280.0).example("tag, number, name, breed or pen");
    let entered = form.has_keyboard(ui, "Search") && ui.input(|i| i.key_pressed(egui::Key::Enter));
    // A number read with the reader: its row is the one in hand, and Enter opens it.
    let scanned = ctx.scanned(&state.search).filter(|_| entered);
    let response = form.field(ui, &field, &mut state.search).response;
    // Down goes from the search into the list.
    if response.has_focus() && ui.input(|i| i.key_pressed(egui::Key::ArrowDown)) {
        crate::parts::take_keyboard(ui, table_id(ui));
    }
    let mut whom = Some(state.whom);
    form.choice(ui, &Choice::new("Show", &WHOM), &mut whom);
    state.whom = whom.unwrap_or_default();
    let submitted = form.finish(ui) == crate::parts::FormEvent::Submitted;
    if let Some(id) = scanned {
        state.table.set_cursor(id);
    }
    if submitted || scanned.is_some() {
        crate::parts::take_keyboard(ui, table_id(ui));
    }
}

fn columns() -> [Column; 9] {
    [
        Column::new("Tag", 92.0),
        Column::new("Name", 92.0).rest(),
        Column::new("Sex", 60.0),
        Column::new("Born", 112.0),
        Column::new("Dam", 80.0),
        Column::new("Sire", 80.0),
        Column::new("Pen", 108.0),
        Column::new("Weight", 70.0).right(),
        Column::new("State", 150.0).rest(),
    ]
}

fn table_id(ui: &egui::Ui) -> egui::Id {
    RecordTable::new("Animals", &[]).id(ui)
}

fn jobs(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let chosen = state.table.chosen();
    let some = !chosen.is_empty();
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        if look::primary(ui, "New animal").clicked() {
            state.open = Open::New;
            state.new.focus = true;
        }
        let read = ui.button(phrase!("Read a list…"));
        if read.on_hover_text(ui.ctx().format_shortcut(&READ)).clicked() {
            state.show_roll();
        }
        ui.add_space(space::S);
        let button = |ui: &mut egui::Ui, word: &'static str| {
            ui.add_enabled(some, egui::Button::new(crate::look::spoken(word))).clicked()
        };
        if button(ui, "Treat") {
            out.push(Intent::Treat(chosen.clone()));
        }
        for (word, job) in [
            ("Move to pen", Job::Pen),
            ("Join with a ram", Job::Join),
            ("Change standing", Job::Standing),
            ("Note", Job::Note),
        ] {
            if button(ui, word) {
                state.open = Open::Nothing;
                state.act.open(job);
            }
        }
        if button(ui, "Lamb cards") {
            out.push(Intent::Print(PaperKind::LambCards, chosen.clone()));
        }
        if button(ui, "Treatment log") {
            out.push(Intent::Print(PaperKind::TreatmentLog, chosen.clone()));
        }
    });
    let n = state.table.selected().len();
    let hidden = state.table.hidden_selected();
    let words = match (n, hidden, chosen.first()) {
        (0, _, Some(id)) => phrase!("{} shown · in hand: {}", state.list.rows.len(), &ctx.flock.tag(*id)),
        (0, _, None) => phrase!("{} shown · Space chooses one, Ctrl+A all", state.list.rows.len()),
        (n, 0, _) => phrase!("{} shown · {n} chosen", state.list.rows.len()),
        (n, h, _) => phrase!("{} shown · {n} chosen, {h} of them not shown", state.list.rows.len()),
    };
    ui.horizontal(|ui| {
        look::faint(ui, words);
        if n > 0 && ui.small_button(phrase!("Choose none")).clicked() {
            state.table.clear_selection();
        }
        ui.add_space(space::S);
        let heads = ["tag", "name", "sex", "born", "dam", "sire", "pen", "weight", "state"];
        take_out(ui, "flock", &heads, &state.list, &mut state.table, out);
    });
}

fn table(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    if ctx.flock.is_empty() {
        look::paragraph(
            ui,
            "No animal yet. Every ewe, ram and lamb stands here. Tab to New animal and Enter begin the first one; a table of all of them comes in on the page of the book (Ctrl+0, Tables in).",
        );
        return;
    }
    if state.list.rows.is_empty() {
        if let Some(why) = ctx.nobody(&state.search).filter(|_| ctx.scanned(&state.search).is_none()) {
            look::sentence(ui, crate::look::Kind::Refuse, &why);
            return;
        }
        look::paragraph(
            ui,
            "No animal fits. Look in the whole book, or search for a shorter part of the tag.",
        );
        return;
    }
    for event in RecordTable::new("Animals", &columns()).show(ui, &mut state.table, &state.list) {
        if let TableEvent::Opened(id) = event {
            out.push(Intent::Open(id));
        }
    }
}

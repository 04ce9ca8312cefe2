//! The leaf: one animal's life. Who it is, its pedigree, its past lambings or weights, a line of its life drawn to
//! scale, and every record of it, to open, amend or strike out.

mod amend;
mod edit;
mod facts;
mod history;
mod lists;
mod marks;
mod pedigree;
mod timeline;

use super::act::{self, Job};
use super::{Ctx, Intent, papers::PaperKind};
use crate::look::{self, Kind, space};
use hirsel_core::flock::{AnimalFile, RecordRef};
use hirsel_core::reckon::clearance::clearance;
use hirsel_core::reckon::life::{Event, life};
use hirsel_core::terms::{AnimalId, Day, Sex, Status};
use serde::{Deserialize, Serialize};

/// Which form of its own is open on the leaf.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Open {
    #[default]
    Nothing,
    Edit,
    Marks,
    Record,
}

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    /// The animal whose leaf is open.
    pub open: Option<AnimalId>,
    form: Open,
    act: act::ActForm,
    edit: edit::Typed,
    marks: marks::Typed,
    amend: amend::Typed,
    #[serde(skip)]
    trail: Vec<AnimalId>,
    #[serde(skip)]
    made_for: Option<(u64, Day, AnimalId)>,
    #[serde(skip)]
    events: Vec<Event>,
    #[serde(skip)]
    timeline: timeline::View,
    #[serde(skip)]
    lists: lists::Lists,
    #[serde(skip)]
    history: history::History,
    #[serde(skip)]
    to_top: bool,
}

impl State {
    /// Opens this animal's leaf.
    pub fn show(&mut self, id: AnimalId) {
        if self.open == Some(id) {
            return;
        }
        self.trail.extend(self.open);
        if self.trail.len() > 40 {
            self.trail.remove(0);
        }
        self.open = Some(id);
        self.form = Open::Nothing;
        self.timeline = timeline::View::default();
        self.to_top = true;
    }

    /// The entry was written: forms are empty and closed.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {
        match self.form {
            Open::Edit => self.edit = edit::Typed::default(),
            Open::Marks => self.marks = marks::Typed::default(),
            Open::Record => self.amend.done(),
            Open::Nothing => self.act = act::ActForm::default(),
        }
        if self.form != Open::Record {
            self.form = Open::Nothing;
        }
    }

    fn open_record(&mut self, record: RecordRef) {
        self.amend.open(record);
        self.form = Open::Record;
    }

    fn back(&mut self) {
        self.form = Open::Nothing;
        self.to_top = true;
        self.open = self.trail.pop();
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    let Some(file) = state.open.and_then(|id| ctx.flock.file(id)) else {
        state.open = None;
        return out;
    };
    let wanted = (ctx.flock.version(), ctx.today, file.animal.id);
    if state.made_for != Some(wanted) {
        state.made_for = Some(wanted);
        state.events = life(ctx.flock, file);
        state.lists.make(ctx, file, &state.events);
        state.history.make(ctx, file);
    }
    let mut opened = Vec::new();
    let mut area = egui::ScrollArea::vertical().auto_shrink(false);
    if std::mem::take(&mut state.to_top) {
        area = area.vertical_scroll_offset(0.0);
    }
    area.show(ui, |ui| {
        ui.add_space(space::XS);
        head(ui, ctx, file, state, &mut out);
        forms(ui, ctx, file, state, &mut out);
        ui.add_space(space::S);
        let wide = ui.available_width() > 900.0;
        two(
            ui,
            wide,
            |ui| state.history.view(ui, ctx, file, &mut out),
            |ui| pedigree::view(ui, ctx, file, &mut opened),
        );
        ui.add_space(space::S);
        if let Some(record) = timeline::view(ui, ctx, file, &state.events, &mut state.timeline) {
            state.open_record(record);
            state.to_top = true;
        }
        ui.add_space(space::M);
        two(ui, wide, |ui| state.history.weights_view(ui), |ui| facts::view(ui, ctx, file));
        ui.add_space(space::M);
        if let Some(record) = state.lists.view(ui, ctx, &mut out) {
            state.open_record(record);
            state.to_top = true;
        }
        ui.add_space(space::L);
    });
    out.extend(opened);
    if ui.memory(|m| m.focused().is_none()) && ui.input(|i| i.key_pressed(egui::Key::Escape)) {
        state.back();
    }
    out
}

/// Two parts beside each other where there is room, else one under the other.
fn two(ui: &mut egui::Ui, wide: bool, left: impl FnOnce(&mut egui::Ui), right: impl FnOnce(&mut egui::Ui)) {
    if !wide {
        left(ui);
        right(ui);
        return;
    }
    let width = ui.available_width() - space::XL;
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = 0.0;
        column(ui, width * 0.58, left);
        ui.add_space(space::XL);
        column(ui, width * 0.42, right);
    });
}

fn column(ui: &mut egui::Ui, width: f32, add: impl FnOnce(&mut egui::Ui)) {
    ui.allocate_ui_with_layout(egui::vec2(width, 0.0), egui::Layout::top_down(egui::Align::Min), |ui| {
        ui.set_width(width);
        ui.spacing_mut().item_spacing.x = space::S;
        add(ui);
    });
}

fn head(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile, state: &mut State, out: &mut Vec<Intent>) {
    let a = &file.animal;
    ui.horizontal_wrapped(|ui| {
        if ui.button("← Back").on_hover_text("To where you came from (Esc)").clicked() {
            state.back();
        }
        ui.add_space(space::S);
        look::figure(ui, a.tag());
        if let Some(name) = &a.name {
            look::subheading(ui, name);
        }
        ui.add_space(space::S);
        ui.label(who(ctx, file));
        match a.status {
            Status::Present => {}
            Status::Dead | Status::Culled | Status::Missing => {
                look::chip(ui, Kind::Refuse, &standing(file));
            }
            _ => {
                look::chip(ui, Kind::Plain, &standing(file));
            }
        }
    });
    let c = clearance(file, ctx.today);
    if c.is_held(ctx.today) {
        ui.horizontal_wrapped(|ui| {
            look::chip(ui, Kind::Caution, &format!("under withdrawal: {}", c.held_words(ctx.today)));
            look::faint(ui, c.because());
        });
    }
    ui.horizontal_wrapped(|ui| {
        if a.sex == Sex::Ewe && ui.button("Write up a lambing").clicked() {
            out.push(Intent::LambingOf(a.id));
        }
        if ui.button("Treat").clicked() {
            out.push(Intent::Treat(vec![a.id]));
        }
        for (word, job) in
            [("Move to pen", Job::Pen), ("Change standing", Job::Standing), ("Note", Job::Note)]
        {
            if ui.button(word).clicked() {
                state.form = Open::Nothing;
                state.act.open(job);
            }
        }
        if ui.button("New facts").clicked() {
            state.edit.fill(ctx, file);
            state.form = Open::Edit;
        }
        if ui.button("Tags").clicked() {
            state.marks.begin();
            state.form = Open::Marks;
        }
        let card = if a.sex == Sex::Ewe && !a.is_lamb(ctx.today) {
            PaperKind::PenCards
        } else {
            PaperKind::LambCards
        };
        if ui.button("Card").clicked() {
            out.push(Intent::Print(card, vec![a.id]));
        }
        if ui.button("Treatment log").clicked() {
            out.push(Intent::Print(PaperKind::TreatmentLog, vec![a.id]));
        }
    });
}

fn forms(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile, state: &mut State, out: &mut Vec<Intent>) {
    let close = match state.form {
        Open::Nothing => {
            act::view(ui, ctx, &mut state.act, vec![file.animal.id], out);
            false
        }
        Open::Edit => edit::view(ui, ctx, file, &mut state.edit, out),
        Open::Marks => marks::view(ui, ctx, file, &mut state.marks, out),
        Open::Record => amend::view(ui, ctx, file, &mut state.amend, out),
    };
    if close {
        state.form = Open::Nothing;
    }
}

/// `ewe, 4 years old, in Jug 1`.
fn who(ctx: &Ctx<'_>, file: &AnimalFile) -> String {
    let a = &file.animal;
    let mut parts = vec![a.sex.words().to_string()];
    let until = if a.status.is_here() { ctx.today } else { a.status_on.unwrap_or(ctx.today) };
    match a.age_days(until) {
        Some(d) if d < 100 => parts.push(format!("{d} days old")),
        Some(d) if d < 730 => parts.push(format!("{} months old", d * 12 / 365)),
        Some(d) => parts.push(format!("{} years old", d * 4 / 1461)),
        None => {}
    }
    if let Some(pen) = &a.pen {
        parts.push(format!("in {pen}"));
    }
    parts.join(", ")
}

fn standing(file: &AnimalFile) -> String {
    let a = &file.animal;
    let since = a.status_on.map(|d| format!(" {}", d.words())).unwrap_or_default();
    let why = a.status_reason.as_ref().map(|r| format!(": {r}")).unwrap_or_default();
    format!("{}{since}{why}", a.status.words())
}

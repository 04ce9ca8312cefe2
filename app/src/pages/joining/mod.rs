//! Joinings: groups with their rams, crayon marks and matings, scans, due windows, and who to whom.

mod due;
mod ewes;
mod groups;
mod marks;
mod pairs;
mod scans;

use super::sections::{sections, shown_anew};
use super::{Ctx, Intent};
use crate::look::{self, space};
use serde::{Deserialize, Serialize};

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Groups,
    Marks,
    Scans,
    Due,
    Pairs,
}

const PARTS: [(Part, &str); 5] = [
    (Part::Groups, "Groups"),
    (Part::Marks, "Marks and matings"),
    (Part::Scans, "Scans"),
    (Part::Due, "Due"),
    (Part::Pairs, "Who to whom"),
];

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    part: Part,
    groups: groups::State,
    marks: marks::State,
    scans: scans::State,
    due: due::State,
    pairs: pairs::State,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    drawn: u64,
}

impl State {
    /// An entry of this page is written: its form is emptied.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        match self.part {
            Part::Groups => self.groups.after(ctx),
            Part::Marks => self.marks.after(ctx),
            Part::Scans => self.scans.after(ctx),
            Part::Due => self.due.after(ctx),
            Part::Pairs => self.pairs.after(ctx),
        }
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    look::heading(ui, "Joinings");
    let turned = sections(ui, "joining", &PARTS, &mut state.part);
    if shown_anew(ui, &mut state.drawn) || turned {
        state.into = true;
    }
    ui.add_space(space::S);
    let into = &mut state.into;
    match state.part {
        Part::Groups => groups::view(ui, ctx, &mut state.groups, into, &mut out),
        Part::Marks => marks::view(ui, ctx, &mut state.marks, into, &mut out),
        Part::Scans => scans::view(ui, ctx, &mut state.scans, into, &mut out),
        Part::Due => due::view(ui, ctx, &mut state.due, into, &mut out),
        Part::Pairs => pairs::view(ui, ctx, &mut state.pairs, into, &mut out),
    }
    out
}

/// Two columns where there is room, the first so wide a share of it; else one below the other.
fn columns<S>(
    ui: &mut egui::Ui,
    name: &str,
    share: f32,
    state: &mut S,
    left: impl FnOnce(&mut egui::Ui, &mut S),
    right: impl FnOnce(&mut egui::Ui, &mut S),
) {
    let whole = ui.available_rect_before_wrap();
    let scroll = |n: usize| egui::ScrollArea::vertical().id_salt((name.to_string(), n)).auto_shrink(false);
    if whole.width() > 800.0 {
        let (mut first, mut second) = (whole, whole);
        first.max.x = whole.left() + whole.width() * share;
        second.min.x = first.max.x + space::L;
        ui.scope_builder(egui::UiBuilder::new().max_rect(first), |ui| {
            scroll(0).show(ui, |ui| left(ui, state));
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(second), |ui| {
            scroll(1).show(ui, |ui| right(ui, state));
        });
        ui.advance_cursor_after_rect(whole);
    } else {
        scroll(0).show(ui, |ui| {
            left(ui, state);
            ui.add_space(space::L);
            right(ui, state);
        });
    }
}

/// Empties the memory of what was typed into a field, so that Ctrl+Z takes back the entry that was written.
fn forget_typing(ui: &egui::Ui, form: &crate::parts::Form, label: &str) {
    egui::text_edit::TextEditState::default().store(ui.ctx(), form.field_id(label));
}

/// A list in a table of its own height.
fn sized(ui: &mut egui::Ui, height: f32, add: impl FnOnce(&mut egui::Ui)) {
    let size = egui::vec2(ui.available_width(), height);
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        add(ui);
    });
}

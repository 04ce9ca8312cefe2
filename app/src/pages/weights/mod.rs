//! Weights: tag, weight, Enter, again and again; and how everyone grows.

mod curves;
mod fixed;
mod growth;
mod made;
mod milk;
mod read;
mod weigh;

pub(super) use fixed::{CARRY, Carry};

use super::sections::{sections, shown_anew};
use super::{Ctx, Intent};
use crate::look::{self, space};
use hirsel_core::terms::SessionId;
use serde::{Deserialize, Serialize};

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    part: Part,
    weigh: weigh::State,
    search: String,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    drawn: u64,
    growth: growth::Growth,
    fixed: fixed::State,
    curves: curves::State,
    milk: milk::State,
    read: read::State,
}

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Weigh,
    All,
    Fixed,
    Curves,
    Milk,
}

const PARTS: [(Part, &str); 5] = [
    (Part::Weigh, "Weigh"),
    (Part::All, "Growth of all"),
    (Part::Fixed, "At a fixed age"),
    (Part::Curves, "Curves"),
    (Part::Milk, "Ewe's milk"),
];

/// Its parts, as they are named on top of it.
pub fn parts() -> Vec<&'static str> {
    PARTS.iter().map(|(_, word)| *word).collect()
}

/// Keys of a session at the scale, for the page of keys.
pub const KEYS: [(&str, &str); 4] = [
    ("Ctrl+E", "begin a session at the scale"),
    ("Ctrl+R", "read a file of the reader or scale"),
    ("Ctrl+↓, Ctrl+↑", "another of those that are missing"),
    ("Ctrl+Delete", "the one proposed is not there"),
];

impl State {
    /// A row at the scale is written: the keyboard goes back to the tag, the day stays. Gives what to say of it.
    pub fn after(&mut self, ctx: &Ctx<'_>) -> Option<String> {
        self.weigh.after(ctx)
    }

    /// An entry of another kind than a row at the scale is written.
    pub fn after_part(&mut self, ctx: &Ctx<'_>) {
        match self.part {
            Part::Weigh => self.weigh.after_session(),
            Part::All => {}
            Part::Fixed => self.fixed.after(ctx),
            Part::Curves => self.curves.after(ctx),
            Part::Milk => self.milk.after(ctx),
        }
    }

    /// The part is seen that shows curves and who falls behind.
    pub fn shows_curves(&self) -> bool {
        self.part == Part::Curves
    }

    /// Shows the file of a reader or scale head that is on its way in.
    pub fn show_file(&mut self) {
        self.part = Part::Weigh;
        self.read.open();
    }

    /// A file of a reader or scale head is written.
    pub fn after_read(&mut self) {
        self.read.after();
    }

    /// Shows a session at the scale.
    pub fn show_session(&mut self, session: SessionId) {
        self.part = Part::Weigh;
        self.weigh.show(session);
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    look::heading(ui, "Weights");
    // Begin a session, read a file: from whatever part of the page.
    let to_the_scale = |i: &egui::InputState| {
        let ctrl = i.modifiers.matches_logically(egui::Modifiers::COMMAND);
        ctrl && (i.key_pressed(egui::Key::E) || i.key_pressed(egui::Key::R))
    };
    if ui.input(to_the_scale) {
        state.part = Part::Weigh;
    }
    let turned = sections(ui, "weights part", &PARTS, &mut state.part);
    if shown_anew(ui, &mut state.drawn) || turned {
        state.into = true;
    }
    ui.add_space(space::S);
    match state.part {
        Part::Weigh if read::view(ui, ctx, &mut state.read, &mut out) => {}
        Part::Weigh => weigh::view(ui, ctx, &mut state.weigh, &mut state.into, &mut out),
        Part::All => growth::view(ui, ctx, &mut state.growth, &mut state.search, &mut state.into, &mut out),
        Part::Fixed => fixed::view(ui, ctx, &mut state.fixed, &mut state.into, &mut out),
        Part::Curves => curves::view(ui, ctx, &mut state.curves, &mut state.into, &mut out),
        Part::Milk => milk::view(ui, ctx, &mut state.milk, &mut state.into, &mut out),
    }
    out
}

//! Inspection: what an inspector asks and what is missing, the registers, what was changed, the rules.

mod questions;
mod registers;
mod rules;
mod trail;

use super::sections::{sections, shown_anew};
use super::{Ctx, Intent};
use crate::look::{self, space};
use serde::{Deserialize, Serialize};

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Questions,
    Registers,
    Trail,
    Rules,
}

const PARTS: [(Part, &str); 4] = [
    (Part::Questions, "Before a visit"),
    (Part::Registers, "Registers"),
    (Part::Trail, "Amended and struck out"),
    (Part::Rules, "Rules of the place"),
];

/// Its parts, as they are named on top of it.
pub fn parts() -> Vec<&'static str> {
    PARTS.iter().map(|(_, word)| *word).collect()
}

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    part: Part,
    questions: questions::State,
    registers: registers::State,
    trail: trail::State,
    rules: rules::State,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    drawn: u64,
}

impl State {
    /// Shows what is missing before a visit.
    pub fn show_questions(&mut self) {
        self.part = Part::Questions;
    }

    /// A rule was changed: its form is closed.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        self.rules.after(ctx);
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    look::heading(ui, "Inspection");
    let turned = sections(ui, "inspect", &PARTS, &mut state.part);
    if shown_anew(ui, &mut state.drawn) || turned {
        state.into = true;
    }
    ui.add_space(space::S);
    let into = &mut state.into;
    match state.part {
        Part::Questions => questions::view(ui, ctx, &mut state.questions, into, &mut out),
        Part::Registers => registers::view(ui, ctx, &mut state.registers, into, &mut out),
        Part::Trail => trail::view(ui, ctx, &mut state.trail, into, &mut out),
        Part::Rules => rules::view(ui, ctx, &mut state.rules, into, &mut out),
    }
    out
}

//! Joinings: groups with their rams, crayon marks and matings, scans, due windows, and who to whom.

mod due;
mod ewes;
mod groups;
mod marks;
mod pairs;
mod scans;

use super::sections::{columns, sections, shown_anew, sized};
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

/// Its parts, as they are named on top of it.
pub fn parts() -> Vec<&'static str> {
    PARTS.iter().map(|(_, word)| *word).collect()
}

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

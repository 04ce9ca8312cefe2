//! Keep or part: which ram lamb stays entire, which ewe lambs are kept, which ewes leave, and breeding values.

mod culls;
mod decide;
mod ewes;
mod lambs;
mod rams;
mod values;

use super::sections::{sections, shown_anew};
use super::{Ctx, Intent};
use crate::look::{self, space};
use serde::{Deserialize, Serialize};

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Rams,
    Ewes,
    Culls,
    Values,
}

const PARTS: [(Part, &str); 4] = [
    (Part::Rams, "Ram lambs"),
    (Part::Ewes, "Ewe lambs"),
    (Part::Culls, "Ewes to leave"),
    (Part::Values, "Breeding values"),
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
    rams: rams::State,
    ewes: ewes::State,
    culls: culls::State,
    values: values::State,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    drawn: u64,
}

impl State {
    /// A part is seen that shows who may be kept or leave.
    pub fn shows_sheets(&self) -> bool {
        self.part != Part::Values
    }

    /// The season asked for; none is the last.
    pub fn season(&self) -> Option<i32> {
        match self.part {
            Part::Rams => self.rams.season(),
            Part::Ewes => self.ewes.season(),
            Part::Culls | Part::Values => None,
        }
    }

    /// An entry of this page is written: its form is emptied.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        match self.part {
            Part::Rams => self.rams.after(ctx),
            Part::Ewes => self.ewes.after(ctx),
            Part::Culls => self.culls.after(ctx),
            Part::Values => self.values.after(ctx),
        }
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    look::heading(ui, "Keep or part");
    let turned = sections(ui, "keeping", &PARTS, &mut state.part);
    if shown_anew(ui, &mut state.drawn) || turned {
        state.into = true;
    }
    ui.add_space(space::S);
    let into = &mut state.into;
    match state.part {
        Part::Rams => rams::view(ui, ctx, &mut state.rams, into, &mut out),
        Part::Ewes => ewes::view(ui, ctx, &mut state.ewes, into, &mut out),
        Part::Culls => culls::view(ui, ctx, &mut state.culls, into, &mut out),
        Part::Values => values::view(ui, ctx, &mut state.values, into, &mut out),
    }
    out
}

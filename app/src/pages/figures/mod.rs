//! Figures of the flock over the seasons: what was joined, born, reared, weighed, lost, spent.

mod losses;
mod money;
mod season;
mod seasons;
mod split;

use super::sections::{sections, shown_anew};
use super::{Ctx, Intent};
use crate::look::{self, space};
use serde::{Deserialize, Serialize};

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Seasons,
    Split,
    Losses,
    Money,
}

const PARTS: [(Part, &str); 4] = [
    (Part::Seasons, "Seasons"),
    (Part::Split, "Who and where"),
    (Part::Losses, "Losses"),
    (Part::Money, "Money"),
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
    seasons: seasons::State,
    split: split::State,
    losses: losses::State,
    money: money::State,
    /// The season that is looked at; none is the last one.
    #[serde(skip)]
    season: Option<i32>,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    drawn: u64,
}

impl State {
    /// Shows the part of money.
    pub fn show_money(&mut self) {
        self.part = Part::Money;
    }

    /// An entry of this page is written: its form is emptied.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        match self.part {
            Part::Seasons => self.seasons.after(ctx),
            Part::Split => self.split.after(ctx),
            Part::Losses => self.losses.after(ctx),
            Part::Money => self.money.after(ctx),
        }
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    look::heading(ui, "Figures");
    let turned = sections(ui, "figures", &PARTS, &mut state.part);
    if shown_anew(ui, &mut state.drawn) || turned {
        state.into = true;
    }
    ui.add_space(space::S);
    let into = &mut state.into;
    let season = &mut state.season;
    match state.part {
        Part::Seasons => seasons::view(ui, ctx, &mut state.seasons, season, into, &mut out),
        Part::Split => split::view(ui, ctx, &mut state.split, season, into, &mut out),
        Part::Losses => losses::view(ui, ctx, &mut state.losses, season, into, &mut out),
        Part::Money => money::view(ui, ctx, &mut state.money, into, &mut out),
    }
    out
}

/// A list in a table of its own height.
fn sized(ui: &mut egui::Ui, height: f32, add: impl FnOnce(&mut egui::Ui)) {
    let size = egui::vec2(ui.available_width(), height);
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        add(ui);
    });
}

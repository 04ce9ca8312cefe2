//! Breeding values: the question with its shares of the variance and where they come from, and the answer as a table.

mod answer;
mod own;
mod question;
mod rows;
mod shares;
mod typed;

use super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use crate::pages::listing::Listing;
use crate::parts::escaped;
use crate::parts::record_table::TableState;
use hirsel_core::phrase;
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};

/// The part of the page.
#[derive(Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    /// The answer is seen, not the question.
    answered: bool,
    ask: typed::Typed,
    show: rows::Show,
    search: String,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    made: Listing<rows::MadeFor, AnimalId>,
    #[serde(skip)]
    table: TableState<AnimalId>,
    /// The animal under the cursor, explained below the table.
    #[serde(skip)]
    at: Option<AnimalId>,
}

impl std::fmt::Debug for State {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.debug_struct("State").field("answered", &self.answered).finish_non_exhaustive()
    }
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {
        self.ask.kept();
    }
}

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    let asked = ctx.values.working.is_some() || ctx.values.answer.is_some();
    if !state.answered || !asked {
        state.answered = false;
        if question::view(ui, ctx, &mut state.ask, into, out) {
            (state.answered, state.into) = (true, true);
        }
        return;
    }
    state.into |= std::mem::take(into);
    if let Some(percent) = ctx.values.working {
        working(ui, percent, "Reckoning breeding values", out);
        return;
    }
    let mut back = escaped(ui);
    match &ctx.values.answer {
        Some(Ok(found)) => back |= answer::view(ui, ctx, state, found, out),
        Some(Err(why)) => {
            look::banner(ui, Kind::Refuse, sentence(&why.to_string()), |ui| {
                back |= ui.button(phrase!("Change the question")).clicked();
            });
        }
        None => back = true,
    }
    if back {
        state.answered = false;
        *into = true;
    }
}

/// A reason as a sentence of its own.
fn sentence(why: &str) -> String {
    let mut letters = why.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

/// Work under way, with the way to stop it.
fn working(ui: &mut egui::Ui, percent: u32, what: &'static str, out: &mut Vec<Intent>) {
    ui.add_space(space::M);
    ui.horizontal(|ui| {
        ui.add(egui::ProgressBar::new(percent as f32 / 100.0).desired_width(260.0));
        look::faint(ui, phrase!("{what}, {percent} %"));
        if ui.button(phrase!("Stop")).clicked() || escaped(ui) {
            out.push(Intent::StopValues);
        }
    });
}

//! To be filled.
use super::{Ctx, Intent};
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};

/// State.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {}

impl State {
    /// Chooses these animals for a treatment.
    pub fn start(&mut self, _animals: Vec<AnimalId>) {}

    /// The entry was written: the form is empty again.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, _ctx: &Ctx<'_>, _state: &mut State) -> Vec<Intent> {
    ui.label("…");
    Vec::new()
}

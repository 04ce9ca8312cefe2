//! To be filled.
use super::{Ctx, Intent};
use serde::{Deserialize, Serialize};

/// State.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {}

impl State {
    /// The entry was written: the form is empty again.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, _ctx: &Ctx<'_>, _state: &mut State) -> Vec<Intent> {
    ui.label("…");
    Vec::new()
}

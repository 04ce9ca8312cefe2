//! To be filled.
use super::{Ctx, Intent};
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};

/// State.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    /// The animal whose leaf is open.
    pub open: Option<AnimalId>,
}

impl State {
    /// Opens this animal's leaf.
    pub fn show(&mut self, id: AnimalId) {
        self.open = Some(id);
    }

    /// The entry was written: the form is empty again.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, _ctx: &Ctx<'_>, _state: &mut State) -> Vec<Intent> {
    ui.label("…");
    Vec::new()
}

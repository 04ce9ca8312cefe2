//! The timeline: one animal's life or the whole flock's season on one drawing.

use super::{Ctx, Intent};
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};

/// What is chosen and half typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    animal: Option<AnimalId>,
}

impl State {
    /// Shows one animal.
    pub fn show(&mut self, animal: AnimalId) {
        self.animal = Some(animal);
    }
}

/// Draws the page.
pub fn view(_: &mut egui::Ui, _: &Ctx<'_>, _: &mut State) -> Vec<Intent> {
    Vec::new()
}

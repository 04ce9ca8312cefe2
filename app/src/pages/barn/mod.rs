//! The barn sheet: tomorrow's jobs by pen on paper, and the way back, ticks typed down the column.

use super::{Ctx, Intent};
use serde::{Deserialize, Serialize};

/// What is chosen and half typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {}

impl State {
    /// The form is done.
    pub(super) fn after(&mut self, _: &Ctx<'_>) {}
}

/// Draws the page.
pub fn view(_: &mut egui::Ui, _: &Ctx<'_>, _: &mut State) -> Vec<Intent> {
    Vec::new()
}

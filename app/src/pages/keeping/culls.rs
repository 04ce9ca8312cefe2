//! Ewes to leave the flock.

use super::super::{Ctx, Intent};
use crate::look;
use serde::{Deserialize, Serialize};

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}
}

/// Draws it.
pub fn view(ui: &mut egui::Ui, _ctx: &Ctx<'_>, _state: &mut State, _into: &mut bool, _out: &mut Vec<Intent>) {
    look::faint(ui, "Ewes to leave the flock.");
}

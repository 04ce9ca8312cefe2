//! The rule set of the book: every demand with its source; rows mended, sets added.

use super::super::{Ctx, Intent};
use serde::{Deserialize, Serialize};

/// The part as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {}

impl State {
    /// A rule was changed: its form is closed.
    pub(super) fn after(&mut self, _ctx: &Ctx<'_>) {}
}

pub(super) fn view(
    _ui: &mut egui::Ui,
    _ctx: &Ctx<'_>,
    _state: &mut State,
    _into: &mut bool,
    _out: &mut Vec<Intent>,
) {
}

//! Egg counts before and after a drench, and what they say.

use super::super::{Ctx, Intent};
use hirsel_core::flock::RecordRef;
use serde::{Deserialize, Serialize};

/// The part as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {}

impl State {
    /// Opens a record, if it is one of this part.
    pub(super) fn show(&mut self, _record: RecordRef, _ctx: &Ctx<'_>) {}

    /// The entry is written.
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

//! What was amended and struck out: when, by whom, why, from what to what.

use super::super::{Ctx, Intent};
use serde::{Deserialize, Serialize};

/// The part as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {}

pub(super) fn view(
    _ui: &mut egui::Ui,
    _ctx: &Ctx<'_>,
    _state: &mut State,
    _into: &mut bool,
    _out: &mut Vec<Intent>,
) {
}

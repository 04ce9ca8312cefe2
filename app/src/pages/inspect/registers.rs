//! Every register over a span of days: seen, searched, printed, taken out.

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

//! The season's ram lambs: who stays entire.

pub use super::lambs::State;

use super::super::{Ctx, Intent};
use hirsel_core::terms::Sex;

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    super::lambs::view(ui, ctx, Sex::Ram, state, into, out);
}

//! Parts: widgets that every page uses. They know `look` and nothing of the flock; the preview knows the page model of the papers.

pub mod bars;
pub mod canvas;
pub mod caution;
pub mod chart;
pub mod choice;
pub mod field;
pub mod form;
pub mod live;
pub mod pedigree_chart;
pub mod picker;
pub mod picture;
pub mod reach;
pub mod record_table;
pub mod sheet_preview;
pub mod status;

use egui::{Id, Ui};

pub use choice::Choice;
pub use field::{Field, FieldOutput};
pub use form::{Form, FormEvent};
pub use picker::{Found, Picker, PickerState};
pub use sheet_preview::sheet_preview;
pub use status::status_line;

/// Gives a widget the keyboard. The frame after it belongs to the change: only then does egui heed which keys
/// the widget keeps for itself, and without that frame the next arrow key would carry the focus away.
pub fn take_keyboard(ui: &Ui, id: Id) {
    ui.memory_mut(|m| m.request_focus(id));
    ui.ctx().request_repaint();
}

/// Esc was pressed and is meant for the page: no dialog lies over it.
pub fn escaped(ui: &Ui) -> bool {
    ui.memory(|m| m.top_modal_layer().is_none()) && ui.input(|i| i.key_pressed(egui::Key::Escape))
}

/// Selects all the text of a field, so that what is typed next replaces it.
pub fn select_text(ui: &Ui, id: Id, text: &str) {
    field::select_all_of(ui, id, text);
}

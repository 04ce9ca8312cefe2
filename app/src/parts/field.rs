//! Field: one labelled text field of a form. It keeps the text as typed, shows what was understood, and says what
//! is wrong when one leaves it; it never changes or drops what was typed.

use egui::text_edit::TextEditState;
use egui::text_selection::CCursorRange;
use egui::{Event, Key, Response, TextEdit, Ui};

use crate::look;
use hirsel_core::terms::Text;

use super::form::{Beside, Form, Step, beside, enter, named};

/// Reads a text: what was understood, in words ("Tuesday 4 March", "4.2 kg"), or what is wrong and what to do.
pub type Understand<'a> = dyn Fn(&str) -> Result<String, String> + 'a;

/// Gives the next (`1`) or the one before (`-1`) of what a text means, as text; nothing if it means nothing.
pub type Nudge<'a> = dyn Fn(&str, i32) -> Option<String> + 'a;

/// A text field, described. [`Form::field`] draws it.
pub struct Field<'a> {
    label: Text,
    placeholder: Text,
    width: f32,
    unit: &'a str,
    lines: usize,
    understand: Option<&'a Understand<'a>>,
    nudge: Option<&'a Nudge<'a>>,
    refusal: Option<&'a str>,
    caution: Option<&'a str>,
    asked: Option<&'a str>,
    bare: bool,
    hidden: bool,
}

/// What came of a field this frame.
pub struct FieldOutput {
    /// The text field itself; `changed()` tells of typing.
    pub response: Response,
    /// The keeper left the field.
    pub left: bool,
}

impl<'a> Field<'a> {
    /// A field by its label, which is also its name to a screen reader.
    pub fn new(label: impl Into<Text>) -> Self {
        Self {
            label: label.into(),
            placeholder: Text::default(),
            width: 200.0,
            unit: "",
            lines: 1,
            understand: None,
            nudge: None,
            refusal: None,
            caution: None,
            asked: None,
            bare: false,
            hidden: false,
        }
    }

    /// Without its label and without words beside it, for rows of fields under one head: the label is its name to a
    /// screen reader, and what is wrong must be said under the row.
    #[must_use]
    pub fn bare(mut self) -> Self {
        self.bare = true;
        self
    }

    /// Its letters are not shown: a passphrase.
    #[must_use]
    pub fn hidden(mut self, hidden: bool) -> Self {
        self.hidden = hidden;
        self
    }

    /// An example shown while the field is empty.
    #[must_use]
    pub fn example(mut self, text: impl Into<Text>) -> Self {
        self.placeholder = text.into();
        self
    }

    /// Its width in points.
    #[must_use]
    pub fn width(mut self, width: f32) -> Self {
        self.width = width;
        self
    }

    /// A unit behind the field.
    #[must_use]
    pub fn unit(mut self, unit: &'a str) -> Self {
        self.unit = unit;
        self
    }

    /// A note of several lines: Enter starts a line, Tab leads on, Ctrl+Enter submits.
    #[must_use]
    pub fn lines(mut self, lines: usize) -> Self {
        self.lines = lines.max(1);
        self
    }

    /// How the text is read.
    #[must_use]
    pub fn understand(mut self, read: &'a Understand<'a>) -> Self {
        self.understand = Some(read);
        self
    }

    /// What the up and down arrows do to the text (a day later or earlier).
    #[must_use]
    pub fn nudge(mut self, nudge: &'a Nudge<'a>) -> Self {
        self.nudge = Some(nudge);
        self
    }

    /// What the flock's book says is wrong with it, if anything.
    #[must_use]
    pub fn refusal(mut self, text: Option<&'a str>) -> Self {
        self.refusal = text;
        self
    }

    /// What is odd about it, if anything.
    #[must_use]
    pub fn caution(mut self, text: Option<&'a str>) -> Self {
        self.caution = text;
        self
    }

    /// A faint word beside it while it is blank: who asks for it.
    #[must_use]
    pub fn asked(mut self, text: Option<&'a str>) -> Self {
        self.asked = text;
        self
    }
}

/// Keys of a field, for the strip.
const LINE: [(&str, &str); 2] = [("Enter", "next field"), ("Ctrl+Enter", "write")];

/// Keys of a field of several lines.
const LINES: [(&str, &str); 2] = [("Tab", "next field"), ("Ctrl+Enter", "write")];

impl Form {
    /// Draws a text field. Enter goes on to the next field, unless the text is not understood.
    pub fn field(&mut self, ui: &mut Ui, field: &Field<'_>, text: &mut String) -> FieldOutput {
        let id = self.field_id(field.label.as_str());
        self.register(id);
        if ui.memory(|m| m.has_focus(id)) {
            super::live::here(ui, if field.lines > 1 { &LINES } else { &LINE });
        }
        let step = enter(ui, id, field.lines > 1);
        let nudged = field.nudge.is_some_and(|nudge| take_nudge(ui, id, nudge, text));
        let read = field.understand.filter(|_| !text.trim().is_empty()).map(|read| read(text));
        let stuck = matches!((&read, step), (Some(Err(_)), Some(Step::Next)));
        let said = id.with("said");
        if stuck {
            ui.data_mut(|d| d.insert_temp(said, true));
        } else if let Some(step) = step {
            self.go(id, step);
        }
        let mut under = None;
        let name = self.spoken(&field.label);
        let placeholder = look::speech::shown(&field.placeholder).into_owned();
        let out = self.row_or_bare(ui, &field.label, field.bare, |ui, label| {
            let edit = if field.lines > 1 {
                TextEdit::multiline(text)
            } else {
                TextEdit::singleline(text).password(field.hidden)
            };
            let response = ui
                .add(edit.id(id).hint_text(placeholder).desired_width(field.width).desired_rows(field.lines));
            let mut response = named(ui, response, label, &name);
            if nudged {
                response.mark_changed();
            }
            if response.gained_focus() {
                response.scroll_to_me(None);
                // Not what was typed in the very moment it got the keyboard.
                if field.lines == 1
                    && !response.changed()
                    && !ui.input(|i| i.pointer.any_pressed() || i.pointer.any_released())
                {
                    select_all(ui, &response, text);
                }
            }
            if response.changed() || response.lost_focus() {
                ui.data_mut(|d| d.remove_temp::<bool>(said));
            }
            if !field.unit.is_empty() {
                ui.label(field.unit);
            }
            // While one types, what is not yet understood is only a hint; left or entered so, it is refused.
            let typing = response.has_focus() && !ui.data(|d| d.get_temp(said).unwrap_or(false));
            let what = match (&read, field.refusal, field.caution) {
                (Some(Err(wrong)), ..) if typing => Beside::Hint(wrong),
                (Some(Err(wrong)), ..) => Beside::Refusal(wrong),
                (_, Some(refusal), _) => Beside::Refusal(refusal),
                (_, _, Some(caution)) => Beside::Caution(caution),
                (Some(Ok(understood)), ..) => Beside::Hint(understood),
                (None, ..) => match field.asked.filter(|_| text.trim().is_empty()) {
                    Some(asked) => Beside::Hint(asked),
                    None => Beside::Nothing,
                },
            };
            if !field.bare {
                under = beside(ui, &response, &what);
            }
            FieldOutput { left: response.lost_focus(), response }
        });
        self.under(ui, under);
        out
    }
}

/// Takes the up and down arrows, if the field has the keyboard; tells whether the text changed.
fn take_nudge(ui: &Ui, id: egui::Id, nudge: &Nudge<'_>, text: &mut String) -> bool {
    if !ui.memory(|m| m.has_focus(id)) {
        return false;
    }
    let mut by = 0;
    ui.input_mut(|i| {
        i.events.retain(|event| match event {
            Event::Key { key, pressed: true, modifiers, .. } if !modifiers.any() => match key {
                Key::ArrowUp => {
                    by += 1;
                    false
                }
                Key::ArrowDown => {
                    by -= 1;
                    false
                }
                _ => true,
            },
            _ => true,
        });
    });
    match (by != 0).then(|| nudge(text, by)).flatten() {
        Some(next) => {
            *text = next;
            true
        }
        None => false,
    }
}

/// Coming by key to a filled field, one types over it, as everywhere on a desktop.
pub(super) fn select_all(ui: &Ui, response: &Response, text: &str) {
    select_all_of(ui, response.id, text);
}

pub(super) fn select_all_of(ui: &Ui, id: egui::Id, text: &str) {
    let mut state = TextEditState::load(ui.ctx(), id).unwrap_or_default();
    state.cursor.set_char_range(Some(CCursorRange::select_all_str(text)));
    state.store(ui.ctx(), id);
}

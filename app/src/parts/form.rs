//! Form: holds the order of its fields, so that Enter goes to the next and Shift+Enter to the one before.
//! Keeps nothing that was typed: the text lives in the page's state, so Esc and a closed window lose nothing.

use egui::{Align, Event, Id, Key, Label, Layout, Response, Ui, Vec2};

use crate::look::{self, Kind, space, tokens};
use hirsel_core::terms::Text;

use super::take_keyboard;

/// What the keeper did with a form this frame.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FormEvent {
    /// Nothing that concerns the whole form.
    #[default]
    None,
    /// Enter on the last field, or Ctrl+Enter anywhere: write it up.
    Submitted,
}

/// A form being drawn. Make it anew each frame, draw its fields in reading order, then [`Form::finish`] it.
pub struct Form {
    id: Id,
    order: Vec<Id>,
    step: Option<(Id, Step)>,
    label_width: f32,
    part: String,
}

/// Where Enter leads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Step {
    Next,
    Back,
    Submit,
}

impl Form {
    /// `name` tells two forms of one page apart.
    pub fn new(ui: &Ui, name: &str) -> Self {
        Self {
            id: ui.make_persistent_id(("form", name)),
            order: Vec::new(),
            step: None,
            label_width: 130.0,
            part: String::new(),
        }
    }

    /// The width kept for the labels on the left, in points.
    #[must_use]
    pub fn label_width(mut self, width: f32) -> Self {
        self.label_width = width;
        self
    }

    /// Another width for the labels of the fields that follow.
    pub fn set_label_width(&mut self, width: f32) {
        self.label_width = width;
    }

    /// The fields that follow belong to this part, such as `lamb 2`: it is spoken with each label and belongs to the
    /// field's name (`Weight, lamb 2`), but is not drawn again and again. Empty: to none.
    pub fn set_part(&mut self, part: impl Into<String>) {
        self.part = part.into();
    }

    /// A label with the part it belongs to, as it is spoken.
    pub(super) fn spoken(&self, label: &Text) -> String {
        self.name(&look::speech::shown(label))
    }

    /// A label with the part it belongs to.
    pub fn name(&self, label: &str) -> String {
        if self.part.is_empty() { label.to_owned() } else { format!("{label}, {}", self.part) }
    }

    /// The id of the field with this label: give it the keyboard with [`Form::focus`].
    pub fn field_id(&self, label: &str) -> Id {
        self.id.with(self.name(label))
    }

    /// Whether the field with this label has the keyboard.
    pub fn has_keyboard(&self, ui: &Ui, label: &str) -> bool {
        ui.memory(|m| m.has_focus(self.field_id(label)))
    }

    /// Gives the keyboard to the field with this label, as when a page opens or a refusal names a field.
    pub fn focus(&self, ui: &Ui, label: &str) {
        take_keyboard(ui, self.field_id(label));
    }

    /// Gives a field the keyboard once, when `wish` is set. In the frame of a click a field would take the click
    /// for one elsewhere and give the keyboard up again, and an Enter that pressed a button would lead on from the
    /// field at once; so the wish waits for the frame after it.
    pub fn focus_once(&self, ui: &Ui, wish: &mut bool, label: &str) {
        if !*wish {
            return;
        }
        let busy = |i: &egui::InputState| {
            i.pointer.any_pressed() || i.pointer.any_released() || i.key_pressed(Key::Enter)
        };
        if ui.input(busy) {
            ui.ctx().request_repaint();
        } else {
            *wish = false;
            self.focus(ui, label);
        }
    }

    /// Takes a widget of the page's own into the order. It must heed Enter itself.
    pub fn take_in(&mut self, response: &Response) {
        self.order.push(response.id);
    }

    /// Carries out what Enter asked for.
    pub fn finish(self, ui: &Ui) -> FormEvent {
        let Some((from, step)) = self.step else { return FormEvent::None };
        let here = self.order.iter().position(|id| *id == from).unwrap_or(0);
        let next = match step {
            Step::Submit => return FormEvent::Submitted,
            Step::Next => here + 1,
            Step::Back => here.saturating_sub(1),
        };
        match self.order.get(next) {
            Some(id) => {
                take_keyboard(ui, *id);
                FormEvent::None
            }
            None => FormEvent::Submitted,
        }
    }

    pub(super) fn register(&mut self, id: Id) {
        self.order.push(id);
    }

    pub(super) fn go(&mut self, from: Id, step: Step) {
        self.step = Some((from, step));
    }

    /// Draws what had no room beside its field.
    pub(super) fn under(&self, ui: &mut Ui, under: Option<Under>) {
        let Some(Under { field, kind, text }) = under else { return };
        ui.horizontal(|ui| {
            ui.add_space((self.label_width + ui.spacing().item_spacing.x).min(ui.available_width() / 3.0));
            let note = look::sentence(ui, kind, &text);
            tie(ui, field, &note, kind == Kind::Refuse);
        });
    }

    /// A row, or what `add` draws alone, without a label.
    pub(super) fn row_or_bare<R>(
        &self,
        ui: &mut Ui,
        text: &Text,
        bare: bool,
        add: impl FnOnce(&mut Ui, Option<Id>) -> R,
    ) -> R {
        if bare { add(ui, None) } else { self.row(ui, text, |ui, label| add(ui, Some(label))) }
    }

    /// One row of the form: the label, then what `add` draws. `add` gets the id of the label.
    pub(super) fn row<R>(&self, ui: &mut Ui, text: &Text, add: impl FnOnce(&mut Ui, Id) -> R) -> R {
        let text = look::speech::shown(text).into_owned();
        let whole = Vec2::new(ui.available_width(), space::FIELD);
        ui.allocate_ui_with_layout(whole, Layout::left_to_right(Align::Center), |ui| {
            ui.set_min_height(space::FIELD);
            let size = Vec2::new(self.label_width, space::FIELD);
            let label = ui
                .allocate_ui_with_layout(size, Layout::left_to_right(Align::Center), |ui| {
                    ui.set_min_size(size);
                    ui.add(Label::new(&text).selectable(false).wrap())
                })
                .inner;
            if !self.part.is_empty() {
                ui.ctx().accesskit_node_builder(label.id, |node| node.set_value(self.name(&text)));
            }
            add(ui, label.id)
        })
        .inner
    }
}

/// Takes Enter from the events before a field sees it, if that field has the keyboard.
pub(super) fn enter(ui: &Ui, id: Id, keep_plain: bool) -> Option<Step> {
    if !ui.memory(|m| m.has_focus(id)) {
        return None;
    }
    let mut step = None;
    ui.input_mut(|i| {
        i.events.retain(|event| {
            let Event::Key { key: Key::Enter, pressed: true, modifiers, .. } = event else { return true };
            let meant = match (modifiers.command, modifiers.shift) {
                (true, _) => Step::Submit,
                (false, true) => Step::Back,
                (false, false) => Step::Next,
            };
            if keep_plain && meant != Step::Submit {
                return true;
            }
            step = Some(meant);
            false
        });
    });
    step
}

/// Names a field by its label, or by its name where it has none.
pub(super) fn named(ui: &Ui, response: Response, label: Option<Id>, name: &str) -> Response {
    match label {
        Some(label) => response.labelled_by(label),
        None => {
            ui.ctx().accesskit_node_builder(response.id, |node| node.set_label(name));
            response
        }
    }
}

/// What stands beside a field.
pub(super) enum Beside<'a> {
    Nothing,
    /// What was understood, or how far.
    Hint(&'a str),
    /// Odd, may be right.
    Caution(&'a str),
    /// Wrong.
    Refusal(&'a str),
}

/// A caution or refusal for which there is no room beside its field: it is drawn under it.
pub(super) struct Under {
    field: Id,
    kind: Kind,
    text: String,
}

/// Less room than this beside a field makes a column of single words of any sentence.
const NARROW: f32 = 260.0;

/// Draws what stands beside a field and ties it to the field for those who listen; gives it back where it must
/// stand under the field.
pub(super) fn beside(ui: &mut Ui, field: &Response, what: &Beside<'_>) -> Option<Under> {
    let (kind, text) = match what {
        Beside::Nothing | Beside::Hint("") => return None,
        Beside::Hint(text) => {
            let ink = tokens(ui).faint;
            let note = ui.add(Label::new(egui::RichText::new(*text).color(ink)).wrap());
            tie(ui, field.id, &note, false);
            return None;
        }
        Beside::Caution(text) => (Kind::Caution, *text),
        Beside::Refusal(text) => (Kind::Refuse, *text),
    };
    let room = ui.available_width();
    let font = egui::TextStyle::Body.resolve(ui.style());
    let needed = |ui: &Ui| {
        ui.painter()
            .layout_no_wrap(format!("{}{text}", kind.mark()), font, egui::Color32::PLACEHOLDER)
            .size()
            .x
    };
    if room < NARROW && needed(ui) > room {
        return Some(Under { field: field.id, kind, text: text.to_owned() });
    }
    let note = look::sentence(ui, kind, text.to_string());
    tie(ui, field.id, &note, kind == Kind::Refuse);
    None
}

fn tie(ui: &Ui, field: Id, note: &Response, invalid: bool) {
    ui.ctx().accesskit_node_builder(field, |node| {
        node.push_described_by(note.id.accesskit_id());
        if invalid {
            node.set_invalid(egui::accesskit::Invalid::True);
        }
    });
}

//! Picker: type to find one of many. The list filters as one types; arrows move, Enter takes, Esc closes the list
//! and leaves the text.

use egui::{
    CornerRadius, Event, EventFilter, Id, Key, Popup, PopupCloseBehavior, Response, Role, Sense, TextEdit,
    Ui, Vec2, WidgetInfo, pos2,
};
use hirsel_core::phrase;
use serde::{Deserialize, Serialize};

use crate::look::fonts::family;
use crate::look::{self, Face, size, space, tokens};

use hirsel_core::terms::Text;

use super::form::{Beside, Form, Step, beside, enter, named};

/// One thing found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Found<K> {
    /// Its id.
    pub key: K,
    /// What stands in the field once it is taken: the tag.
    pub label: String,
    /// What tells it from others: "Bramble, ewe, born 2021".
    pub detail: String,
}

/// What a picker remembers: the text as typed and what was taken. Both are drafts that may be kept on disk.
#[derive(Clone, Debug, Serialize, Deserialize)]
#[serde(bound(serialize = "K: Serialize", deserialize = "K: Deserialize<'de>"))]
pub struct PickerState<K> {
    /// The text as typed.
    pub text: String,
    chosen: Option<K>,
    detail: String,
    #[serde(skip)]
    open: bool,
    #[serde(skip)]
    at: usize,
    #[serde(skip, default = "Vec::new")]
    found: Vec<Found<K>>,
    #[serde(skip)]
    asked: Option<(String, u64)>,
}

impl<K> Default for PickerState<K> {
    fn default() -> Self {
        Self {
            text: String::new(),
            chosen: None,
            detail: String::new(),
            open: false,
            at: 0,
            found: Vec::new(),
            asked: None,
        }
    }
}

impl<K: Copy + PartialEq> PickerState<K> {
    /// What was taken.
    pub fn chosen(&self) -> Option<K> {
        self.chosen
    }

    /// Takes a thing, as if it had been found and entered.
    pub fn choose(&mut self, found: Found<K>) {
        self.chosen = Some(found.key);
        self.text = found.label;
        self.detail = found.detail;
        self.open = false;
    }

    /// Puts a text into the field, as if it had been typed.
    pub fn type_in(&mut self, text: impl Into<String>) {
        *self = Self { text: text.into(), ..Self::default() };
    }

    /// Empties the field.
    pub fn clear(&mut self) {
        *self = Self::default();
    }

    fn ask(&mut self, version: u64, find: impl FnOnce(&str) -> Vec<Found<K>>) {
        let query = self.text.trim();
        if self.asked.as_ref().is_some_and(|(text, v)| text == query && *v == version) {
            return;
        }
        self.found = find(query);
        self.asked = Some((query.to_owned(), version));
        self.at = 0;
    }

    /// The only match, or the one whose label is exactly the text.
    fn settled(&self) -> Option<Found<K>> {
        let text = self.text.trim().to_lowercase();
        if text.is_empty() {
            return None;
        }
        let exact = self.found.iter().find(|f| f.label.to_lowercase() == text);
        exact.or(if let [only] = self.found.as_slice() { Some(only) } else { None }).cloned()
    }
}

/// What to say of a whole number of which nothing is found; nothing where the text is no such number.
pub type Nobody<'a> = dyn Fn(&str) -> Option<String> + 'a;

/// A picker, described. [`Form::picker`] draws it.
pub struct Picker<'a> {
    label: Text,
    placeholder: Text,
    width: f32,
    version: u64,
    refusal: Option<&'a str>,
    caution: Option<&'a str>,
    asked: Option<&'a str>,
    nobody: Option<&'a Nobody<'a>>,
    free: bool,
    quiet: bool,
    bare: bool,
}

impl<'a> Picker<'a> {
    /// What is asked. `version` changes whenever the same text might find something else.
    pub fn new(label: impl Into<Text>, version: u64) -> Self {
        Self {
            label: label.into(),
            placeholder: "any part of a tag or name".into(),
            width: 240.0,
            version,
            refusal: None,
            caution: None,
            asked: None,
            nobody: None,
            free: false,
            quiet: false,
            bare: false,
        }
    }

    /// Without its label and without words beside it, as [`super::Field::bare`].
    #[must_use]
    pub fn bare(mut self) -> Self {
        self.bare = true;
        self
    }

    /// Its things wear numbers that a reader types: what is said of one that nobody wears. After Enter the next reading
    /// replaces it.
    #[must_use]
    pub fn nobody(mut self, says: &'a Nobody<'a>) -> Self {
        self.nobody = Some(says);
        self
    }

    /// A text of which nothing is found may stand as typed.
    #[must_use]
    pub fn free(mut self) -> Self {
        self.free = true;
        self
    }

    /// What tells the thing taken from others is shown in the list only, not beside the field as well.
    #[must_use]
    pub fn quiet(mut self, quiet: bool) -> Self {
        self.quiet = quiet;
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

    /// What is wrong with what was taken, if anything.
    #[must_use]
    pub fn refusal(mut self, text: Option<&'a str>) -> Self {
        self.refusal = text;
        self
    }

    /// What is odd about what was taken, if anything.
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

/// Keys of a picker, for the strip.
const KEYS: [(&str, &str); 3] = [("↑ ↓", "choose"), ("Enter", "take it"), ("Ctrl+Enter", "write")];

/// Rows of the list seen at once.
const ROWS: usize = 8;

impl Form {
    /// Draws a picker; the response tells with `changed()` whether something else is taken than before.
    /// `find` is asked only when the text or the version changed; the best match comes first.
    pub fn picker<K: Copy + PartialEq>(
        &mut self,
        ui: &mut Ui,
        picker: &Picker<'_>,
        state: &mut PickerState<K>,
        find: impl Fn(&str) -> Vec<Found<K>>,
    ) -> Response {
        let id = self.field_id(picker.label.as_str());
        self.register(id);
        let before = state.chosen;
        let mut read_anew = false;
        if ui.memory(|m| m.has_focus(id)) {
            super::live::here(ui, &KEYS);
            state.ask(picker.version, &find);
            arrows(ui, state);
        }
        if let Some(step) = enter(ui, id, false) {
            if step == Step::Submit {
                settle(state); // the form is written with what the field would hold once left
            }
            if step != Step::Next || may_go_on(state, picker.free) {
                self.go(id, step);
            } else {
                read_anew = picker.nobody.is_some_and(|says| says(&state.text).is_some());
            }
        }
        let mut clicked = false;
        let mut under = None;
        let name = self.spoken(&picker.label);
        let placeholder = look::speech::shown(&picker.placeholder).into_owned();
        let response = self.row_or_bare(ui, &picker.label, picker.bare, |ui, label| {
            let edit = TextEdit::singleline(&mut state.text).id(id).hint_text(placeholder);
            let response = ui.add(edit.desired_width(picker.width));
            let response = named(ui, response, label, &name);
            let filter = EventFilter {
                vertical_arrows: true,
                horizontal_arrows: true,
                escape: state.open,
                ..EventFilter::default()
            };
            ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
            if response.gained_focus() {
                response.scroll_to_me(None);
                if !ui.input(|i| i.pointer.any_pressed() || i.pointer.any_released()) {
                    super::field::select_all(ui, &response, &state.text);
                }
            }
            if read_anew {
                super::field::select_all(ui, &response, &state.text);
            }
            if response.changed() {
                state.chosen = None;
                state.open = true;
                state.ask(picker.version, &find);
            }
            clicked = state.open && list(ui, &response, state);
            if !response.has_focus() {
                state.open = false;
                if response.lost_focus() && !super::live::is_held(ui) {
                    settle(state);
                }
            }
            let wrong = unsettled(state, response.has_focus(), picker);
            let what = match (&wrong, picker.refusal, picker.caution) {
                (Some(wrong), ..) => Beside::Refusal(wrong),
                (None, Some(refusal), _) => Beside::Refusal(refusal),
                (None, None, Some(caution)) => Beside::Caution(caution),
                (None, None, None) if state.chosen.is_some() && !picker.quiet => Beside::Hint(&state.detail),
                _ => match picker.asked.filter(|_| state.text.trim().is_empty()) {
                    Some(asked) => Beside::Hint(asked),
                    None => Beside::Nothing,
                },
            };
            if !picker.bare {
                under = beside(ui, &response, &what);
            }
            let mut response = response;
            if before != state.chosen {
                response.mark_changed();
            }
            response
        });
        self.under(ui, under);
        if clicked {
            self.go(id, Step::Next);
        }
        response
    }
}

/// The list under the field; tells whether a row was clicked.
fn list<K: Copy + PartialEq>(ui: &Ui, field: &Response, state: &mut PickerState<K>) -> bool {
    let mut taken = None;
    let first = (state.at + 1).saturating_sub(ROWS);
    // As wide as what it shows, so that nothing that tells two apart is cut.
    let wide = |text: &String, face| {
        let font = egui::FontId::new(size::BODY, family(face));
        ui.painter().layout_no_wrap(text.clone(), font, egui::Color32::PLACEHOLDER).size().x
    };
    let rows = state.found.iter().skip(first).take(ROWS);
    let widest = rows
        .map(|f| wide(&f.label, Face::Strong) + wide(&f.detail, Face::Sans) + 2.0 * space::L + space::S)
        .fold(field.rect.width().max(320.0), f32::max)
        .min(600.0);
    Popup::from_response(field)
        .open(true)
        .close_behavior(PopupCloseBehavior::IgnoreClicks)
        .width(widest)
        .show(|ui| {
            ui.spacing_mut().item_spacing = Vec2::ZERO;
            for (i, found) in state.found.iter().enumerate().skip(first).take(ROWS) {
                let row = option(ui, field.id.with(("option", i)), found, i == state.at);
                if i == state.at {
                    ui.ctx().accesskit_node_builder(field.id, |node| {
                        node.set_active_descendant(row.id.accesskit_id());
                    });
                }
                if row.clicked() {
                    taken = Some(found.clone());
                }
            }
            match state.found.len() {
                0 => look::faint(ui, "nothing found"),
                n if n > ROWS => look::faint(ui, phrase!("{} of {n}: type on", ROWS.min(n))),
                _ => return,
            };
        });
    match taken {
        Some(found) => {
            state.choose(found);
            true
        }
        None => false,
    }
}

/// Takes the only match, or the one that is typed in full, if nothing is taken yet.
fn settle<K: Copy + PartialEq>(state: &mut PickerState<K>) {
    if state.chosen.is_none()
        && let Some(found) = state.settled()
    {
        state.choose(found);
    }
}

/// Enter in a picker: takes the row in hand. Tells whether to go on to the next field.
fn may_go_on<K: Copy + PartialEq>(state: &mut PickerState<K>, free: bool) -> bool {
    if state.chosen.is_some() || state.text.trim().is_empty() {
        state.open = false;
        return true;
    }
    match state.found.get(state.at).cloned() {
        Some(found) => {
            state.choose(found);
            true
        }
        None => {
            state.open = !free;
            free
        }
    }
}

/// Takes the keys of the list; call it only while the field has the keyboard.
fn arrows<K>(ui: &Ui, state: &mut PickerState<K>) {
    let last = state.found.len().saturating_sub(1);
    ui.input_mut(|i| {
        i.events.retain(|event| {
            let Event::Key { key, pressed: true, modifiers, .. } = event else { return true };
            if modifiers.any() {
                return true;
            }
            match key {
                Key::ArrowDown if !state.open => state.open = true,
                Key::ArrowDown => state.at = (state.at + 1).min(last),
                Key::ArrowUp => state.at = state.at.saturating_sub(1),
                Key::Escape if state.open => state.open = false,
                _ => return true,
            }
            false
        });
    });
}

/// What is wrong when a field was left and nothing was taken.
fn unsettled<K>(state: &PickerState<K>, typing: bool, picker: &Picker<'_>) -> Option<String> {
    let text = state.text.trim();
    if state.chosen.is_some() || text.is_empty() {
        return None;
    }
    match state.found.len() {
        0 if picker.free => None,
        0 if state.asked.is_some() => Some(
            picker
                .nobody
                .and_then(|says| says(text))
                .unwrap_or_else(|| phrase!("nothing found for ‘{text}’", text = &text)),
        ),
        _ if typing => None,
        0 => Some(phrase!("not chosen yet: go to the field and press Enter")),
        n => Some(phrase!("{n} match: choose one")),
    }
}

/// One row of the list: the label, and what tells it from others.
fn option<K>(ui: &mut Ui, id: Id, found: &Found<K>, current: bool) -> Response {
    let t = tokens(ui);
    let width = ui.available_width();
    let (_, rect) = ui.allocate_space(Vec2::new(width, space::ROW));
    let response = ui.interact(rect, id, Sense::CLICK);
    let spoken = if found.detail.is_empty() {
        found.label.clone()
    } else {
        format!("{}, {}", found.label, found.detail)
    };
    response.widget_info(|| WidgetInfo::labeled(Role::ListBoxOption, true, &spoken));
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_selected(current));
    let painter = ui.painter().with_clip_rect(rect);
    if current {
        painter.rect_filled(rect, CornerRadius::same(3), t.selection);
        painter.rect_filled(egui::Rect::from_min_size(rect.min, Vec2::new(3.0, rect.height())), 0, t.accent);
    } else if response.hovered() {
        painter.rect_filled(rect, CornerRadius::same(3), t.hover);
    }
    let mut x = rect.left() + space::S;
    for (text, face, ink) in [(&found.label, Face::Strong, t.ink), (&found.detail, Face::Sans, t.faint)] {
        let galley = painter.layout_no_wrap(text.clone(), egui::FontId::new(size::BODY, family(face)), ink);
        let next = x + galley.size().x + space::M;
        painter.galley(pos2(x, rect.center().y - galley.size().y / 2.0), galley, ink);
        x = next;
    }
    response
}

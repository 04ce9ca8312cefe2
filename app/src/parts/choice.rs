//! Choice: one of a few words, all of them seen. Arrows, first letters and numbers pick; one tab stop.

use egui::{
    Color32, CornerRadius, Event, EventFilter, Id, Key, Rect, Response, Role, Sense, Stroke, StrokeKind, Ui,
};
use egui::{Vec2, WidgetInfo, vec2};

use crate::look::fonts::family;
use crate::look::{self, Face, Tokens, size, space, tokens};
use hirsel_core::terms::Text;

use super::form::{Beside, Form, beside, enter};
use super::take_keyboard;

/// A choice, described. [`Form::choice`] draws it.
pub struct Choice<'a, T> {
    label: Text,
    options: Options<'a, T>,
    optional: bool,
    refusal: Option<&'a str>,
    caution: Option<&'a str>,
}

impl<'a, T: Copy + PartialEq> Choice<'a, T> {
    /// What is asked, and the words to choose from.
    pub fn new(label: impl Into<Text>, options: &'a [(T, &'static str)]) -> Self {
        Self::of(label.into(), Options::Fixed(options))
    }

    /// What is asked, and names to choose from that the keeper or a file gave.
    pub fn names(label: impl Into<Text>, options: &'a [(T, &'a str)]) -> Self {
        Self::of(label.into(), Options::Given(options))
    }

    fn of(label: Text, options: Options<'a, T>) -> Self {
        Self { label, options, optional: false, refusal: None, caution: None }
    }

    /// It may be left open: Backspace, or a click on the word chosen, takes the choice back.
    #[must_use]
    pub fn optional(mut self) -> Self {
        self.optional = true;
        self
    }

    /// What is wrong with it, if anything.
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
}

/// Words to choose from: of the program, or given.
enum Options<'a, T> {
    Fixed(&'a [(T, &'static str)]),
    Given(&'a [(T, &'a str)]),
}

impl<T: Copy> Options<'_, T> {
    /// As they are shown.
    fn shown(&self) -> Vec<(T, String)> {
        match self {
            Self::Fixed(all) => all.iter().map(|(t, word)| (*t, look::said(word).into_owned())).collect(),
            Self::Given(all) => all.iter().map(|(t, word)| (*t, (*word).to_string())).collect(),
        }
    }
}

/// Keys of a choice, for the strip.
const KEYS: [(&str, &str); 2] = [("← → or a letter", "choose"), ("Enter", "next field")];

impl Form {
    /// Draws a choice; the response tells with `changed()` whether another word was chosen.
    pub fn choice<T: Copy + PartialEq>(
        &mut self,
        ui: &mut Ui,
        choice: &Choice<'_, T>,
        value: &mut Option<T>,
    ) -> Response {
        let id = self.field_id(choice.label.as_str());
        let options = choice.options.shown();
        self.register(id);
        if let Some(step) = enter(ui, id, false) {
            self.go(id, step);
        }
        let before = *value;
        keys(ui, id, &options, choice.optional, value);
        let name = self.spoken(&choice.label);
        let mut under = None;
        let out = self.row(ui, &choice.label, |ui, label| {
            let mut whole = Rect::NOTHING;
            let mut chosen = None;
            let mut clicked = false;
            ui.spacing_mut().interact_size.y = space::FIELD;
            ui.horizontal_wrapped(|ui| {
                ui.spacing_mut().item_spacing = vec2(space::XS, space::XS);
                for (i, (option, word)) in options.iter().enumerate() {
                    let on = *value == Some(*option);
                    let response = segment(ui, id.with(i), word, on);
                    whole = whole.union(response.rect);
                    if response.clicked() {
                        *value = if on && choice.optional { None } else { Some(*option) };
                        clicked = true;
                    }
                    if on {
                        chosen = Some(response.id);
                    }
                }
            });
            let mut response = ui.interact(whole, id, Sense::focusable_noninteractive());
            response.widget_info(|| WidgetInfo::labeled(Role::RadioGroup, true, &name));
            if before != *value {
                response.mark_changed();
            }
            let response = response.labelled_by(label);
            if clicked {
                take_keyboard(ui, id); // only now: drawn after the words, the group had to see the click first
            }
            if let Some(chosen) = chosen {
                ui.ctx().accesskit_node_builder(id, |node| node.set_active_descendant(chosen.accesskit_id()));
            }
            if response.gained_focus() {
                response.scroll_to_me(None);
            }
            let what = match (choice.refusal, choice.caution) {
                (Some(refusal), _) => Beside::Refusal(refusal),
                (None, Some(caution)) => Beside::Caution(caution),
                (None, None) => Beside::Nothing,
            };
            under = beside(ui, &response, &what);
            response
        });
        self.under(ui, under);
        out
    }
}

fn keys<T: Copy + PartialEq>(
    ui: &Ui,
    id: Id,
    options: &[(T, String)],
    optional: bool,
    value: &mut Option<T>,
) {
    if !ui.memory(|m| m.has_focus(id)) {
        return;
    }
    super::live::here(ui, &KEYS);
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
    let words: Vec<&str> = options.iter().map(|(_, word)| word.as_str()).collect();
    let mut at = options.iter().position(|(option, _)| Some(*option) == *value);
    ui.input_mut(|i| {
        i.events.retain(|event| match event {
            Event::Key { key, pressed: true, modifiers, .. } if !modifiers.any() => {
                match key {
                    Key::ArrowRight | Key::ArrowDown => at = step(at, 1, words.len()),
                    Key::ArrowLeft | Key::ArrowUp => at = step(at, -1, words.len()),
                    Key::Backspace | Key::Delete if optional => at = None,
                    _ => return true,
                }
                false
            }
            Event::Text(text) => match by_text(&words, at, text) {
                Some(found) => {
                    at = Some(found);
                    false
                }
                None => true,
            },
            _ => true,
        });
    });
    *value = at.and_then(|at| options.get(at)).map(|(option, _)| *option);
}

/// The word before or after, round the ends; the first or last if none was chosen.
fn step(at: Option<usize>, by: isize, count: usize) -> Option<usize> {
    if count == 0 {
        return None;
    }
    Some(match at {
        Some(at) => (at + count).saturating_add_signed(by) % count,
        None if by > 0 => 0,
        None => count - 1,
    })
}

/// The word a letter or number means: the next one after `at` that begins so.
fn by_text(words: &[&str], at: Option<usize>, text: &str) -> Option<usize> {
    if let Ok(number) = text.parse::<usize>()
        && (1..=words.len()).contains(&number)
    {
        return Some(number - 1);
    }
    let text = text.to_lowercase();
    if text.trim().is_empty() {
        return None;
    }
    let from = at.map_or(0, |at| at + 1);
    (0..words.len()).map(|i| (from + i) % words.len()).find(|&i| words[i].to_lowercase().starts_with(&text))
}

/// One word with its round mark; filled and marked if chosen.
fn segment(ui: &mut Ui, id: Id, word: &str, on: bool) -> Response {
    let t = tokens(ui);
    let face = if on { Face::Strong } else { Face::Sans };
    let ink = if on { t.accent } else { t.ink };
    let font = |face| egui::FontId::new(size::BODY, family(face));
    // Room for the heavier face, so that nothing moves when the choice does.
    let widest = ui.painter().layout_no_wrap(word.to_owned(), font(Face::Strong), ink).size().x;
    let galley = ui.painter().layout_no_wrap(word.to_owned(), font(face), ink);
    let (_, rect) = ui.allocate_space(Vec2::new(widest + 38.0, space::FIELD));
    let response = ui.interact(rect, id, Sense::CLICK);
    response.widget_info(|| WidgetInfo::selected(Role::RadioButton, true, on, word));
    let (ground, edge) = grounds(t, on, response.hovered());
    let painter = ui.painter();
    painter.rect(rect, CornerRadius::same(space::ROUND), ground, Stroke::new(1.0, edge), StrokeKind::Inside);
    let mark = egui::pos2(rect.left() + 16.0, rect.center().y);
    painter.circle_stroke(mark, 5.5, Stroke::new(1.5, edge));
    if on {
        painter.circle_filled(mark, 3.0, ink);
    }
    painter.galley(egui::pos2(rect.left() + 28.0, rect.center().y - galley.size().y / 2.0), galley, ink);
    response
}

fn grounds(t: &Tokens, on: bool, hovered: bool) -> (Color32, Color32) {
    match (on, hovered) {
        (true, _) => (t.selection, t.accent),
        (false, true) => (t.button_hover, t.ink),
        (false, false) => (t.button, t.edge),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_go_round() {
        let words = ["alive", "born dead", "died since"];
        assert_eq!(by_text(&words, None, "D"), Some(2));
        assert_eq!(by_text(&words, None, "x"), None);
        assert_eq!(by_text(&words, None, "2"), Some(1));
        assert_eq!(by_text(&words, None, "4"), None);
        assert_eq!(by_text(&words, None, " "), None);
        let same = ["tup", "twin", "other"];
        assert_eq!(by_text(&same, Some(0), "t"), Some(1));
        assert_eq!(by_text(&same, Some(1), "t"), Some(0));
        assert_eq!(by_text(&[], None, "t"), None);
    }

    #[test]
    fn arrows_go_round() {
        assert_eq!(step(None, 1, 3), Some(0));
        assert_eq!(step(None, -1, 3), Some(2));
        assert_eq!(step(Some(2), 1, 3), Some(0));
        assert_eq!(step(Some(0), -1, 3), Some(2));
        assert_eq!(step(None, 1, 0), None);
    }
}

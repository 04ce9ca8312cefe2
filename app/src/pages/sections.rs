//! The parts of a page: a choice on top of it, turned from anywhere on the page as well.

use super::PageId;
use crate::look::space;
use crate::parts::{Choice, Form, FormEvent};
use egui::{Key, Modifiers, Ui};

/// Shows which part of a page is seen and lets another be chosen: with arrows or a letter on the choice, or with
/// Ctrl+Page up and Ctrl+Page down anywhere. Tells whether the keyboard is to go into the part that is shown.
pub fn sections<T: Copy + PartialEq>(
    ui: &mut Ui,
    name: &str,
    options: &[(T, &'static str)],
    at: &mut T,
) -> bool {
    choose(ui, name, options, &Choice::new("Show", options), at)
}

/// The same where figures stand in the words.
pub fn named_sections<T: Copy + PartialEq>(
    ui: &mut Ui,
    name: &str,
    options: &[(T, &str)],
    at: &mut T,
) -> bool {
    choose(ui, name, options, &Choice::names("Show", options), at)
}

fn choose<T: Copy + PartialEq>(
    ui: &mut Ui,
    name: &str,
    options: &[(T, &str)],
    choice: &Choice<'_, T>,
    at: &mut T,
) -> bool {
    let wished = granted(ui, options);
    *at = wished.unwrap_or(*at);
    let turned = turned(ui, options, at) || wished.is_some();
    let mut form = Form::new(ui, name).label_width(60.0);
    let mut part = Some(*at);
    form.choice(ui, choice, &mut part);
    *at = part.unwrap_or(*at);
    form.finish(ui) == FormEvent::Submitted || turned
}

/// Turns to the part before or after by Ctrl+Page up and Ctrl+Page down, from anywhere on the page.
pub fn turned<T: Copy + PartialEq>(ui: &Ui, options: &[(T, &str)], at: &mut T) -> bool {
    if ui.memory(|m| m.top_modal_layer().is_some()) {
        return false;
    }
    let key = |key| ui.input_mut(|i| i.consume_key(Modifiers::COMMAND, key));
    let by = match (key(Key::PageUp), key(Key::PageDown)) {
        (false, true) => 1,
        (true, false) => options.len().saturating_sub(1),
        _ => return false,
    };
    let here = options.iter().position(|(o, _)| o == at).unwrap_or(0);
    match options.get((here + by) % options.len().max(1)) {
        Some((next, _)) => {
            *at = *next;
            true
        }
        None => false,
    }
}

/// The parts of a page by their words, in their order; none where it is of one piece.
pub fn parts(page: PageId) -> Vec<&'static str> {
    match page {
        PageId::Joining => super::joining::parts(),
        PageId::Blood => super::blood::parts(),
        PageId::Treatments => super::treatments::parts(),
        PageId::Weights => super::weights::parts(),
        PageId::Feed => super::feed::parts(),
        PageId::Keeping => super::keeping::parts(),
        PageId::Figures => super::figures::parts(),
        PageId::Plan => super::plan::parts(),
        PageId::Inspect => super::inspect::parts(),
        PageId::Book => super::book::parts(),
        PageId::Tonight
        | PageId::Barn
        | PageId::Flock
        | PageId::Timeline
        | PageId::Lambing
        | PageId::Papers => Vec::new(),
    }
}

/// Asks the page that is drawn next for one of its parts, by its word.
pub fn wish(ctx: &egui::Context, word: &'static str) {
    ctx.data_mut(|d| d.insert_temp(wish_id(), word));
}

fn wish_id() -> egui::Id {
    egui::Id::unique("part of a page asked for")
}

/// The part that was asked for, if it is one of these; it is asked for once.
pub fn granted<T: Copy>(ui: &Ui, options: &[(T, &str)]) -> Option<T> {
    let word: &'static str = ui.data(|d| d.get_temp(wish_id()))?;
    let (part, _) = options.iter().find(|(_, w)| *w == word)?;
    ui.data_mut(|d| d.remove_temp::<&'static str>(wish_id()));
    Some(*part)
}

/// The page that is shown is asked for once more: it gives the keyboard to where its work begins.
pub fn ask_anew(ctx: &egui::Context) {
    ctx.data_mut(|d| d.insert_temp(anew_id(), true));
}

fn anew_id() -> egui::Id {
    egui::Id::unique("page asked for anew")
}

/// Whether a page is drawn again after frames without it, or asked for once more; `last` is its own count.
pub fn shown_anew(ui: &Ui, last: &mut u64) -> bool {
    let asked = ui.data_mut(|d| d.remove_temp::<bool>(anew_id())).unwrap_or_default();
    let now = ui.ctx().cumulative_frame_nr();
    let anew = *last == 0 || now > *last + 1;
    *last = now;
    anew || asked
}

/// Two halves side by side where there is room, as `Ui::columns` has them; else the second below the first.
pub fn halves<R>(ui: &mut egui::Ui, name: &str, add: impl FnOnce(&mut [egui::Ui]) -> R) -> R {
    if ui.available_width() >= HALVES {
        return ui.columns(2, add);
    }
    let id = ui.scope_id().with(("halves", name));
    let whole = ui.available_rect_before_wrap();
    // How high the first is shows only once it is drawn: the second stands where it ended the time before.
    let before: f32 = ui.data(|d| d.get_temp(id)).unwrap_or(space::FIELD);
    let mut below = whole;
    below.min.y += before + ui.spacing().item_spacing.y;
    let mut both = [whole, below].map(|r| {
        let layout = egui::Layout::top_down(egui::Align::Min);
        ui.new_child(egui::UiBuilder::new().max_rect(r).layout(layout))
    });
    let answer = add(&mut both);
    let high = both[0].min_rect().height();
    if (high - before).abs() > 0.5 {
        ui.data_mut(|d| d.insert_temp(id, high));
        ui.ctx().request_repaint();
    }
    ui.advance_cursor_after_rect(both[0].min_rect().union(both[1].min_rect()));
    answer
}

/// The least room of two halves side by side.
const HALVES: f32 = 560.0;

/// The least room of a form beside what it is about.
const LEFT: f32 = 330.0;

/// Two columns where there is room, the first so wide a share of it; else one below the other.
pub fn columns<S>(
    ui: &mut egui::Ui,
    name: &str,
    share: f32,
    state: &mut S,
    left: impl FnOnce(&mut egui::Ui, &mut S),
    right: impl FnOnce(&mut egui::Ui, &mut S),
) {
    let whole = ui.available_rect_before_wrap();
    let scroll = |n: usize| egui::ScrollArea::vertical().id_salt((name.to_string(), n)).auto_shrink(false);
    if whole.width() > 800.0 {
        let (mut first, mut second) = (whole, whole);
        first.max.x = whole.left() + (whole.width() * share).max(LEFT);
        second.min.x = first.max.x + space::L;
        ui.scope_builder(egui::UiBuilder::new().max_rect(first), |ui| {
            scroll(0).show(ui, |ui| left(ui, state));
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(second), |ui| {
            scroll(1).show(ui, |ui| right(ui, state));
        });
        ui.advance_cursor_after_rect(whole);
    } else {
        scroll(0).show(ui, |ui| {
            left(ui, state);
            ui.add_space(space::L);
            right(ui, state);
        });
    }
}

/// A list in a table of its own height.
pub fn sized(ui: &mut egui::Ui, height: f32, add: impl FnOnce(&mut egui::Ui)) {
    let size = egui::vec2(ui.available_width(), height);
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        add(ui);
    });
}

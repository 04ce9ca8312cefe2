//! A small window, or large type in a middling one: a page keeps the least room it can be read in, and is scrolled as a
//! whole, with what has the keyboard always in sight.

use crate::look::ring::FocusRing;
use egui::{Id, ScrollArea, Ui, Vec2};

/// The least room of a page.
const LEAST: Vec2 = Vec2::new(360.0, 400.0);

/// Below this the rail shows icons without words, and the head leaves out name and day.
pub(super) const NARROW: f32 = 760.0;

/// Gives a page its room: all there is, or the least it needs within a scroll area.
pub(super) fn page<R>(ui: &mut Ui, add: impl FnOnce(&mut Ui) -> R) -> R {
    let room = ui.available_size();
    if room.x >= LEAST.x && room.y >= LEAST.y {
        return add(ui);
    }
    // The bars themselves need room, too.
    let bar = Vec2::splat(ui.spacing().scroll.allocated_width());
    let size = (room - bar).max(LEAST);
    let area = ScrollArea::both().id_salt("page in a small window").auto_shrink(false);
    area.show(ui, |ui| {
        let within = ui.allocate_ui(size, |ui| {
            ui.set_min_size(size);
            add(ui)
        });
        follow(ui);
        within.inner
    })
    .inner
}

/// Passes in which a page follows the keyboard: lists within it come to rest before.
const PASSES: u8 = 10;
/// So many times more it is looked whether all of it is seen.
const LOOKS: u8 = 2;
/// Of what is higher than this a part is enough.
const HIGH: f32 = 160.0;

/// Brings into sight what got the keyboard by a key. A list within the page has scrolled by itself a pass before.
fn follow(ui: &Ui) {
    let place = Id::unique("keyboard followed");
    let Some(now) = ui.memory(|m| m.focused()) else { return };
    let (last, left, looks) = ui.data(|d| d.get_temp::<(Id, u8, u8)>(place)).unwrap_or((now, 0, 0));
    let (mut left, mut looks) = if last == now { (left, looks) } else { (PASSES, LOOKS) };
    let pointer = ui.input(|i| i.pointer.any_down() || i.pointer.any_released());
    let response = ui.ctx().read_response(now).filter(|r| r.layer_id == ui.layer_id());
    // Where a list scrolled by what was seen of it before the page moved, it is to scroll once more.
    let cut = |r: &egui::Response| r.interact_rect.height() < r.rect.height().min(HIGH) - 1.0;
    if left == 1 && looks > 0 && !pointer && response.as_ref().is_some_and(cut) {
        FocusRing::again(ui.ctx(), now);
        (left, looks) = (PASSES, looks - 1);
    }
    ui.data_mut(|d| d.insert_temp(place, (now, left.saturating_sub(1), looks)));
    if left == 0 || pointer {
        return;
    }
    ui.ctx().request_repaint();
    if let Some(response) = response
        && !ui.clip_rect().contains_rect(response.rect)
    {
        ui.scroll_to_rect(response.rect.expand(6.0).intersect(ui.min_rect()), None);
    }
}

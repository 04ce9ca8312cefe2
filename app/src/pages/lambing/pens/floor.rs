//! The floor: pens drawn, pointed at and dragged. One tab stop; every pen is a node with one spoken sentence.

use super::super::super::{Ctx, Intent};
use super::paint::{self, AIR, STEP, Seen};
use super::{State, ask, keys, laying};
use crate::look::{space, tokens};
use crate::parts::take_keyboard;
use egui::{CursorIcon, Pos2, Rect, Response, Role, ScrollArea, Sense, Ui, Vec2, WidgetInfo, vec2};
use hirsel_core::phrase;
use hirsel_core::reckon::pen_map::Pen;
use hirsel_core::terms::{AnimalId, Place};

/// What is dragged.
#[derive(Debug, Default)]
pub(super) enum Drag {
    #[default]
    Nothing,
    /// These animals.
    Animals(Vec<AnimalId>),
    /// The pen in hand: where it was, and where the pointer took hold.
    Pen { from: Place, at: Pos2, size: bool },
}

pub(super) fn view(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let area = ui.available_rect_before_wrap();
    let id = ui.make_persistent_id("pen map");
    let focus = ui.interact(area, id, Sense::focusable_noninteractive());
    let name = phrase!("Pen map, {}", hirsel_core::terms::counted(state.shown.len(), "pen"));
    focus.widget_info(|| WidgetInfo::labeled(Role::ListBox, true, &name));
    let said = state.in_hand().map(|p| p.sentence(ctx.flock)).unwrap_or_default();
    ui.ctx().accesskit_node_builder(id, |node| node.set_description(said));
    if state.focus {
        let busy = |i: &egui::InputState| {
            i.pointer.any_pressed() || i.pointer.any_released() || i.key_pressed(egui::Key::Enter)
        };
        if ui.input(busy) {
            ui.ctx().request_repaint();
        } else {
            state.focus = false;
            take_keyboard(ui, id);
        }
    }
    if focus.has_focus() {
        keys::keys(ui, ctx, id, state, out);
    }
    let (wide, deep) =
        state.shown.iter().fold((1, 1), |(w, d), p| (w.max(p.at.right()), d.max(p.at.bottom())));
    let bar = ui.spacing().scroll.allocated_width();
    let fit = (area.width() - bar - 2.0 * AIR) / f32::from(wide.max(1));
    let step = fit.clamp(STEP.0, STEP.1) * state.zoom;
    ScrollArea::both().id_salt(id).auto_shrink(false).show_viewport(ui, |ui, seen| {
        // Room to lay a pen out beyond the others.
        let more = if state.laying { 6.0 } else { 0.0 };
        let size = vec2(f32::from(wide) + more, f32::from(deep) + more) * step + Vec2::splat(2.0 * AIR);
        ui.set_min_size(size);
        let origin = ui.max_rect().min + Vec2::splat(AIR);
        if state.laying {
            grid(ui, origin, step, size);
        }
        pens(ui, id, ctx, state, (origin, step), focus.has_focus(), out);
        if std::mem::take(&mut state.show)
            && let Some(p) = state.in_hand()
        {
            let rect = paint::rect(p, origin, step).expand(space::M);
            let inside = Rect::from_min_size(ui.max_rect().min + seen.min.to_vec2(), seen.size());
            if !inside.contains_rect(rect) {
                ui.scroll_to_rect(rect, None);
            }
        }
    });
}

/// Every fourth step of the grid, two metres, while pens are laid out.
fn grid(ui: &Ui, origin: Pos2, step: f32, size: Vec2) {
    let t = tokens(ui);
    let stroke = egui::Stroke::new(1.0, t.rule);
    let far = origin + size;
    let lines = |length: f32| (0..=(length / (step * 4.0)) as u16).map(move |n| f32::from(n) * step * 4.0);
    for x in lines(size.x) {
        ui.painter().vline(origin.x + x, origin.y..=far.y, stroke);
    }
    for y in lines(size.y) {
        ui.painter().hline(origin.x..=far.x, origin.y + y, stroke);
    }
}

fn pens(
    ui: &mut Ui,
    id: egui::Id,
    ctx: &Ctx<'_>,
    state: &mut State,
    (origin, step): (Pos2, f32),
    focused: bool,
    out: &mut Vec<Intent>,
) {
    let t = tokens(ui);
    let pointer = ui.input(|i| i.pointer.interact_pos());
    let at = state.place();
    let mut met: Vec<(usize, Response)> = Vec::with_capacity(state.shown.len());
    let moving = matches!(state.drag, Drag::Animals(_));
    let mut over = None;
    for (i, p) in state.shown.iter().enumerate() {
        let rect = paint::rect(p, origin, step);
        let response = ui.interact(rect, id.with(&p.name), Sense::CLICK | Sense::DRAG);
        let sentence = p.sentence(ctx.flock);
        response.widget_info(|| WidgetInfo::labeled(Role::ListBoxOption, true, &sentence));
        let hand = at == Some(i);
        ui.ctx().accesskit_node_builder(response.id, |node| node.set_selected(hand));
        if hand {
            ui.ctx().accesskit_node_builder(id, |node| {
                node.set_active_descendant(response.id.accesskit_id());
            });
        }
        let target = moving && pointer.is_some_and(|p| rect.contains(p)) && !hand;
        if target {
            over = Some(i);
        }
        if ui.clip_rect().intersects(rect) && !hand {
            let seen = Seen { hand, focused, laying: state.laying, target };
            paint::pen(ui.painter(), t, ctx.flock, p, rect, seen);
        }
        met.push((i, response));
    }
    // The one in hand lies on top of the others.
    if let Some(p) = state.in_hand() {
        let seen = Seen { hand: true, focused, laying: state.laying, target: false };
        paint::pen(ui.painter(), t, ctx.flock, p, paint::rect(p, origin, step), seen);
    }
    for (i, response) in met {
        answer(ui, id, ctx, state, (i, &response), (origin, step), out);
    }
    let Drag::Animals(animals) = &state.drag else { return };
    ui.ctx().set_cursor_icon(CursorIcon::Grabbing);
    if let Some(p) = pointer {
        label(ui, ctx, animals, p);
    }
    if ui.input(|i| i.pointer.any_released()) {
        let Drag::Animals(animals) = std::mem::take(&mut state.drag) else { return };
        if let Some(to) = over.and_then(|i| state.shown.get(i)).map(|p| p.name.clone()) {
            state.move_to(ctx, animals, &to, out);
        }
    }
}

/// What a pen answers to the pointer.
fn answer(
    ui: &Ui,
    id: egui::Id,
    ctx: &Ctx<'_>,
    state: &mut State,
    (i, response): (usize, &Response),
    (origin, step): (Pos2, f32),
    out: &mut Vec<Intent>,
) {
    if response.clicked() {
        if let Some(animals) = ask::waiting(state) {
            let to = state.shown.get(i).map(|p| p.name.clone()).unwrap_or_default();
            state.move_to(ctx, animals, &to, out);
            return;
        }
        take_keyboard(ui, id);
        state.take(i);
        if response.double_clicked() && !state.laying {
            state.side.into = true;
        }
    }
    if response.drag_started() {
        let chosen = state.side.table.chosen();
        let same = state.place() == Some(i);
        state.take(i);
        take_keyboard(ui, id);
        let Some(pen) = state.shown.get(i) else { return };
        let at = response.interact_pointer_pos().unwrap_or_default();
        let began = ui.input(|input| input.pointer.press_origin()).unwrap_or(at);
        if state.laying {
            let corner = paint::rect(pen, origin, step).right_bottom();
            state.drag = Drag::Pen { from: pen.at, at: began, size: (corner - began).length() < 14.0 };
        } else if same && !chosen.is_empty() {
            state.drag = Drag::Animals(chosen);
        } else if !pen.is_empty() {
            state.drag = Drag::Animals(pen.animals().collect());
        }
    }
    if let Drag::Pen { from, at, size } = state.drag
        && response.dragged()
        && let Some(now) = response.interact_pointer_pos()
    {
        let by = (now - at) / step;
        let by = (by.x.round() as i32, by.y.round() as i32);
        let to = if size { from.sized(by) } else { from.moved(by) };
        if state.in_hand().is_some_and(|p: &Pen| p.at != to) {
            laying::change(state, |p| p.at = to);
        }
    }
    if response.drag_stopped() && matches!(state.drag, Drag::Pen { .. }) {
        state.drag = Drag::Nothing;
    }
}

/// Who is dragged, beside the pointer.
fn label(ui: &Ui, ctx: &Ctx<'_>, animals: &[AnimalId], at: Pos2) {
    let words = match animals {
        [one] => ctx.flock.tag(*one).to_string(),
        [one, rest @ ..] => phrase!("{} and {} more", &ctx.flock.tag(*one), rest.len()),
        [] => return,
    };
    let t = tokens(ui);
    let painter =
        ui.ctx().layer_painter(egui::LayerId::new(egui::Order::Tooltip, egui::Id::unique("dragged")));
    let font =
        egui::FontId::new(crate::look::size::SMALL, crate::look::fonts::family(crate::look::Face::Strong));
    let galley = painter.layout_no_wrap(words, font, t.on_accent);
    let rect = Rect::from_min_size(at + vec2(14.0, 10.0), galley.size() + vec2(12.0, 6.0));
    painter.rect_filled(rect, egui::CornerRadius::same(4), t.accent);
    painter.galley(rect.min + vec2(6.0, 3.0), galley, t.on_accent);
}

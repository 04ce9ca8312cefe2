//! The flock: bands of counts, and a row for each animal, of which only those in sight are drawn.

use super::super::Ctx;
use super::{Hand, State};
use crate::look;
use crate::parts::canvas::OnScreen;
use egui::{CursorIcon, Pos2, Rect, Response, ScrollArea, UiBuilder, pos2, vec2};
use hirsel_core::flock::AnimalFile;
use hirsel_core::papers::timeline::drawing::{
    self, AXIS, Canvas, MID, ROW, SMALL, Scale, Side, Tone, Type, View,
};
use hirsel_core::reckon::season::{Event, Kind, Kinds, Line, Picked, Roll, Row, What, sex_words};
use hirsel_core::terms::{Day, counted};

/// Room for tags and names before the days.
const NAMES: f32 = 176.0;
/// The same in a narrow window.
const NARROW: f32 = 168.0;
/// Room kept at the right for the bar that scrolls.
const BAR: f32 = 14.0;

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    roll: &Roll,
    picked: &Picked,
    chart: Rect,
    response: &Response,
) -> Option<Hand> {
    let span = state.span(ctx);
    let left = if chart.width() > 960.0 { NAMES } else { NARROW };
    let scale = Scale { left, right: chart.width() - BAR, start: span.start, end: span.end() };
    let view = View { scale, kinds: state.kinds, today: ctx.today };
    state.view.scale = Some(scale);
    let t = look::tokens(ui);
    let painter = ui.painter_at(chart);
    let mut on = OnScreen::new(&painter, t, chart.min);
    let bands = drawing::bands(&mut on, &view, &picked.counts, 4.0, 2.0);
    let top = bands + 4.0 + AXIS;
    let rect = Rect::from_min_max(pos2(chart.left(), chart.top() + top), chart.max);
    let used = (picked.rows.len() as f32 * ROW - state.view.top).clamp(0.0, rect.height());
    drawing::axis(&mut on, &view, top - AXIS, top + used);
    if picked.animals == 0 {
        let words = "No animal fits this choice: show all, or empty the field for a part of a tag.";
        on.text((left + 8.0, top + 20.0), Side::Left, Type::new(look::size::BODY, Tone::Faint), words);
    }
    let mut hovered = None;
    let go = state.view.go.take();
    ui.scope_builder(UiBuilder::new().max_rect(rect), |ui| {
        let mut area = ScrollArea::vertical().id_salt("timeline rows").auto_shrink(false);
        if let Some(y) = go {
            area = area.vertical_scroll_offset(y);
        }
        let shown = area.show_viewport(ui, |ui, seen| {
            ui.set_height(picked.rows.len() as f32 * ROW);
            ui.set_width(ui.available_width());
            let first = (seen.top() / ROW).floor().max(0.0) as usize;
            let last = ((seen.bottom() / ROW).ceil() as usize).min(picked.rows.len());
            let painter = ui.painter_at(rect);
            for i in first..last {
                let y = rect.top() + i as f32 * ROW - seen.top();
                hovered = hovered.or(row(&painter, ctx, state, roll, picked, &view, (i, y), rect, response));
            }
        });
        state.view.top = shown.state.clamped_offset().y;
        state.view.high = rect.height();
    });
    let mut on = OnScreen::new(&painter, t, chart.min);
    drawing::today(&mut on, &view, top - AXIS, top + used, true);
    if let Some(hand) = hovered {
        if hand.event.is_some() {
            ui.ctx().set_cursor_icon(CursorIcon::PointingHand);
        }
        if response.clicked() {
            state.hand = Some(hand);
        }
        if response.double_clicked() {
            state.turn_to(Some(hand.animal));
        }
    }
    hovered
}

/// One row; gives what of it is under the pointer.
#[allow(clippy::too_many_arguments)]
fn row(
    painter: &egui::Painter,
    ctx: &Ctx<'_>,
    state: &mut State,
    roll: &Roll,
    picked: &Picked,
    view: &View,
    (i, y): (usize, f32),
    rect: Rect,
    response: &Response,
) -> Option<Hand> {
    let t = look::of(&response.ctx.global_style().visuals);
    let whole = Rect::from_min_size(pos2(rect.left(), y), vec2(view.scale.right, ROW));
    match picked.rows.get(i)? {
        Row::Head(group, n) => {
            let mut on = OnScreen::new(painter, t, pos2(rect.left(), y));
            on.shape([0.0, 4.0, view.scale.right, ROW - 7.0], 3.0, Some(Tone::Wash), None);
            let name = roll.groups.get(*group as usize).map_or("", |g| g.words());
            let said = format!("{name}: {}", counted(*n as usize, "animal"));
            on.text((4.0, ROW / 2.0), Side::Left, Type::strong(look::size::SMALL, Tone::Ink), &said);
            None
        }
        Row::Animal(id) => {
            let file = ctx.flock.file(*id)?;
            let line = state.cache.line(ctx, *id);
            let mine = state.hand.filter(|h| h.animal == *id);
            let pointer = response.hover_pos().filter(|p| whole.contains(*p));
            if mine.is_some() {
                painter.rect_filled(whole.shrink2(vec2(0.0, 1.0)), 3, t.selection);
            } else if pointer.is_some() {
                painter.rect_filled(whole.shrink2(vec2(0.0, 1.0)), 3, t.hover);
            }
            let names = Rect::from_min_size(whole.min, vec2(view.scale.left - 8.0, ROW));
            let clipped = painter.with_clip_rect(names.intersect(painter.clip_rect()));
            label(&mut OnScreen::new(&clipped, t, whole.min), file, ctx.today);
            let mut on = OnScreen::new(painter, t, whole.min);
            drawing::row(&mut on, view, file, &line, 0.0, mine.and_then(|h| h.event));
            let at = pointer?;
            let event = hit(view, &line, at - whole.min.to_vec2());
            Some(Hand { animal: *id, row: i, event })
        }
    }
}

/// Tag and name before a row.
fn label(on: &mut OnScreen<'_>, file: &AnimalFile, today: Day) {
    let a = &file.animal;
    let (strong, plain) = (Type::strong(look::size::SMALL, Tone::Ink), Type::new(SMALL, Tone::Faint));
    on.text((4.0, MID), Side::Left, strong, a.tag());
    let from = 4.0 + on.width(strong, a.tag()) + 8.0;
    let sex = crate::look::said(sex_words(a, today));
    on.text((from, MID), Side::Left, plain, a.name.as_deref().unwrap_or(&sex));
}

/// The event under a place of a row: the nearest mark within reach, or else a bar.
fn hit(view: &View, line: &Line, at: Pos2) -> Option<usize> {
    let scale = &view.scale;
    let job = at.y > (MID + drawing::FOOT) / 2.0;
    let range = line.within(scale.start, scale.end);
    let of = |kinds: Kinds, e: &Event| kinds.has(e.what.kind()) && (e.what.kind() == Kind::Job) == job;
    let all = || {
        let all = range.clone().filter_map(|i| line.events.get(i).map(|e| (i, e)));
        all.filter(|(_, e)| of(view.kinds, e))
    };
    let far = |e: &Event| (scale.mid(e.from) - at.x).abs();
    let marks = all().filter(|(_, e)| far(e) < 9.0);
    let mark = marks.min_by(|(_, a), (_, b)| far(a).total_cmp(&far(b)).then_with(|| a.from.cmp(&b.from)));
    let day = scale.day(at.x);
    let bar = || {
        let long = |e: &Event| !matches!(e.what, What::Pen { .. }) && e.from <= day && day <= e.to;
        all().rfind(|(_, e)| e.to > e.from && long(e))
    };
    mark.or_else(bar).map(|(i, _)| i)
}

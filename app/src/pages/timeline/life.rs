//! One animal: its lanes, and its weights as a curve.

use super::super::Ctx;
use super::{Hand, State};
use crate::look;
use crate::parts::canvas::OnScreen;
use egui::{CursorIcon, Rect, Response, ScrollArea, UiBuilder, vec2};
use hirsel_core::papers::timeline::drawing::{Scale, View};
use hirsel_core::papers::timeline::life::{self, Whose};
use hirsel_core::terms::AnimalId;

/// Room for the names of the lanes.
const NAMES: f32 = 128.0;

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    animal: AnimalId,
    chart: Rect,
    response: &Response,
) -> Option<Hand> {
    let file = ctx.flock.file(animal)?;
    let span = state.span(ctx);
    let line = state.cache.line(ctx, animal);
    let scale = Scale { left: NAMES, right: chart.width() - 14.0, start: span.start, end: span.end() };
    let view = View { scale, kinds: state.kinds, today: ctx.today };
    state.view.scale = Some(scale);
    let mine = state.hand.filter(|h| h.animal == animal).and_then(|h| h.event);
    let t = look::tokens(ui);
    let mut moved = 0.0;
    ui.scope_builder(UiBuilder::new().max_rect(chart), |ui| {
        let shown = ScrollArea::vertical().id_salt("timeline life").auto_shrink(false).show_viewport(
            ui,
            |ui, seen| {
                let painter = ui.painter_at(chart);
                let mut on = OnScreen::new(&painter, t, chart.min - vec2(0.0, seen.top()));
                let whose = Whose { flock: ctx.flock, file, line: &line };
                let (bottom, spots) = life::life(&mut on, &view, whose, 8.0, 4.0, mine);
                let spot = spots.iter().find(|s| Some(s.event) == mine);
                if std::mem::take(&mut state.view.follow)
                    && let Some(s) = spot
                {
                    let y = chart.top() + s.y - seen.top();
                    let rect =
                        Rect::from_min_max(egui::pos2(chart.left(), y), egui::pos2(chart.left() + 1.0, y));
                    ui.scroll_to_rect(rect.expand(24.0), None);
                }
                state.view.spots = spots;
                ui.set_height(bottom + 4.0);
                ui.set_width(ui.available_width());
            },
        );
        moved = shown.state.clamped_offset().y;
    });
    let at = response.hover_pos()? - (chart.min - vec2(0.0, moved)).to_vec2();
    let near = state.view.spots.iter().filter(|s| (s.y - at.y).abs() < 12.0);
    let far = |s: &life::Spot| (s.x.0 - at.x).max(at.x - s.x.1).max(0.0);
    let near = near.filter(|s| far(s) < 10.0);
    let best = near.min_by(|a, b| {
        let wide = |s: &life::Spot| s.x.1 - s.x.0;
        far(a).total_cmp(&far(b)).then_with(|| wide(a).total_cmp(&wide(b)))
    });
    let hand = best.map(|s| Hand { animal, row: 0, event: Some(s.event) })?;
    ui.ctx().set_cursor_icon(CursorIcon::PointingHand);
    if response.clicked() {
        state.hand = Some(hand);
    }
    Some(hand)
}

//! The preview: the real pages, as they print.

use super::super::{Ctx, Intent};
use super::State;
use crate::desk::printing::LaidState;
use crate::look::{self, Kind, space};
use crate::parts::sheet_preview;
use hirsel_core::papers::Paper;

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let Some(laid) = ctx.laid else {
        look::faint(ui, "The paper appears here.");
        return;
    };
    match &laid.state {
        LaidState::Working(percent) => {
            ui.horizontal(|ui| {
                look::faint(ui, format!("Laying out the pages, {percent} %"));
                if ui.button("Stop").clicked() {
                    out.push(Intent::StopLayOut);
                }
            });
        }
        LaidState::Failed(why) => {
            look::banner(ui, Kind::Plain, why, |_| {});
        }
        LaidState::Done(paper) => pages(ui, state, paper),
    }
}

fn pages(ui: &mut egui::Ui, state: &mut State, paper: &Paper) {
    if state.zoom < 0.3 {
        state.zoom = 1.0;
    }
    let n = paper.pages.len();
    let turn = turning(ui, n, state);
    ui.horizontal(|ui| {
        look::strong(ui, format!("Page {} of {n}", (state.page + 1).min(n.max(1))));
        if ui.add_enabled(state.page > 0, egui::Button::new("Page before")).clicked() {
            state.scroll_to = Some(state.page.saturating_sub(1));
        }
        if ui.add_enabled(state.page + 1 < n, egui::Button::new("Next page")).clicked() {
            state.scroll_to = Some(state.page + 1);
        }
        ui.add_space(space::M);
        if ui.button("Smaller").clicked() {
            state.zoom = (state.zoom / 1.25).max(0.4);
        }
        if ui.button("Larger").clicked() {
            state.zoom = (state.zoom * 1.25).min(4.0);
        }
        if (state.zoom - 1.0).abs() > 0.01 && ui.button("Whole width").clicked() {
            state.zoom = 1.0;
        }
    });
    let missing = paper.not_printable();
    if !missing.is_empty() {
        let list: String = missing.iter().collect();
        look::banner(
            ui,
            Kind::Caution,
            &format!("These signs cannot be printed and stand as □: {list}"),
            |_| {},
        );
    }
    if let Some(to) = turn {
        state.scroll_to = Some(to);
    }
    ui.add_space(space::XS);
    egui::ScrollArea::both().id_salt("preview").auto_shrink(false).show_viewport(ui, |ui, seen| {
        let room = ui.clip_rect().width() - 24.0;
        let mut y = 0.0;
        let mut now = state.page;
        let mut best = f32::MAX;
        for (i, page) in paper.pages.iter().enumerate() {
            let width = room * state.zoom;
            let height = page.height_mm * width / page.width_mm.max(1.0);
            let top = y;
            y += height + space::L;
            let off = (top - seen.top()).abs();
            if off < best {
                best = off;
                now = i;
            }
            let name = format!("Page {} of {n}: {}", i + 1, paper.title);
            let response = sheet_preview(ui, page, width, &name);
            if state.scroll_to == Some(i) {
                ui.scroll_to_rect(response.rect, Some(egui::Align::TOP));
                state.scroll_to = None;
                now = i;
            }
            ui.add_space(space::L - ui.spacing().item_spacing.y);
        }
        state.page = now;
    });
}

/// Page up and down turn pages while no field has the keyboard that wants them.
fn turning(ui: &egui::Ui, n: usize, state: &State) -> Option<usize> {
    let (down, up) = ui.input(|i| (i.key_pressed(egui::Key::PageDown), i.key_pressed(egui::Key::PageUp)));
    if down {
        Some((state.page + 1).min(n.saturating_sub(1)))
    } else if up {
        Some(state.page.saturating_sub(1))
    } else {
        None
    }
}

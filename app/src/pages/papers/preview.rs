//! The preview: the real pages, as they print.

use super::super::{Ctx, Intent};
use super::{PaperKind, State, Whom, whom};
use crate::desk::printing::{Laid, LaidState};
use crate::look::{self, Kind, space};
use crate::parts::{sheet_preview, take_keyboard};
use egui::{Align, Event, EventFilter, Key, Rect, Role, Sense, Vec2, WidgetInfo, vec2};
use hirsel_core::papers::Paper;
use hirsel_core::phrase;
use std::sync::Arc;

/// Air round the pages.
const AIR: f32 = 14.0;

/// What the preview remembers; nothing of it is a draft.
#[derive(Debug, Default)]
pub(super) struct View {
    /// The page one is on.
    page: usize,
    /// Go to this page and this part of it.
    go: Option<(usize, f32)>,
    /// The page's own top at the last frame, to know when one scrolled.
    top: f32,
    width: f32,
    missing: Option<(usize, String)>,
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    if whom::is_open(ctx, state) {
        look::paragraph(ui, nothing(state));
        return;
    }
    let Some(laid) = ctx.laid.filter(|l| l.spec.kind == state.kind) else {
        look::faint(ui, "The paper appears here.");
        return;
    };
    match &laid.state {
        LaidState::Done(paper) => pages(ui, state, laid, paper),
        LaidState::Nothing => {
            look::paragraph(ui, nothing(state));
        }
        LaidState::Failed(why) => {
            look::banner(ui, Kind::Caution, capital(why), |_| {});
            ui.add_space(space::S);
            if ui.button(phrase!("Lay the pages out")).clicked() {
                state.asking.again();
            }
        }
        LaidState::Working(percent) => {
            ui.horizontal(|ui| {
                ui.set_min_height(space::FIELD);
                look::faint(ui, phrase!("Laying out the pages, {percent} %"));
                if ui.button(phrase!("Stop")).clicked() {
                    out.push(Intent::StopLayOut);
                }
            });
            if let Some(before) = &laid.before {
                sheets(ui, state, before);
            }
        }
    }
}

/// What to choose, when there is nothing to show.
pub(super) fn nothing(state: &State) -> &'static str {
    match (state.whom, state.kind) {
        (_, PaperKind::BarnSheet) => {
            "Nothing is due on that day and no ewe is about to lamb: choose another day."
        }
        (_, PaperKind::MixSheet) => {
            "Which mix? Choose one by any part of its name, or write one under Feed, Mixing."
        }
        (_, PaperKind::PenMap) => {
            "No animal is in a pen and no pen is laid out: add one under Lambing, Pen map."
        }
        (_, PaperKind::CreepSheet) => "No creep is open: open one under Feed, Creep.",
        (_, PaperKind::FeedSheet) => "No animal is in the flock on that day: choose another day.",
        (_, PaperKind::JoiningSheet) => "No group ran in these days: join ewes first, or choose other days.",
        (_, PaperKind::DueList) => "No ewe is expected in these days: join ewes first, or choose other days.",
        (Whom::Usual | Whom::Chosen, PaperKind::SaleList) => {
            "No animal is meant for the market: choose the animals, or write on their leaves what they are meant for."
        }
        (Whom::Usual | Whom::Chosen, PaperKind::Progeny) => {
            "No ram here has lambs in the book: choose one that has."
        }
        (Whom::One, PaperKind::Progeny) => "Which ram? Choose him by any part of his tag.",
        (_, PaperKind::SeasonReport) => {
            "No ewe was joined for that season and none lambed in it: choose other days, or write joinings and lambings first."
        }
        (_, PaperKind::Diversity) => {
            "No animal is in the flock, or its pedigree runs in a circle: look under Blood, Doubts."
        }
        (_, PaperKind::KeepSheet) => "No ram lamb and no ewe lamb is in the flock: write up lambings first.",
        (_, PaperKind::GrowthList) => {
            "No lamb was weighed near that age: weigh them, or choose another age or other days."
        }
        (_, PaperKind::WinterFeed) => {
            "No feed is given to anyone: write what each group is given a day under Feed, Day by day."
        }
        (_, PaperKind::CullList) => {
            "No rule names a ewe: score udders, teeth and feet, or look at the rules under Keep or part."
        }
        (Whom::Pen, PaperKind::LambCards) => "Which pen? Choose one that holds a lamb.",
        (Whom::Pen, PaperKind::PenCards) => "Which pen? Choose one that holds a ewe.",
        (Whom::Usual, PaperKind::Declaration) => {
            "No animal was sold on that day: choose another day, or the animals."
        }
        (Whom::Chosen, PaperKind::Declaration) => "None of the chosen animals is in the book: choose others.",
        (Whom::Usual | Whom::Chosen, PaperKind::Certificate) => {
            "No vaccine was given in these days: mark the vaccines in the cupboard, or choose other days."
        }
        (_, PaperKind::Register(_) | PaperKind::Folder) => "Choose one or more registers.",
        (Whom::Pen, _) => "Which pen? Choose one by any part of its name.",
        (Whom::One, PaperKind::LambCards) => "Which lamb? Choose it by any part of its tag.",
        (Whom::One, PaperKind::PenCards) => "Which ewe? Choose her by any part of her tag.",
        (Whom::One, _) => "Which animal? Choose it by any part of its tag.",
        (_, PaperKind::Timeline) => "No animal is in the flock: write one up first.",
        (Whom::Chosen, PaperKind::LambCards) => "None of the chosen animals is a lamb: choose others.",
        (Whom::Chosen, _) => "None of the chosen animals is a ewe, or a lamb with one: choose others.",
        (Whom::Usual, PaperKind::LambCards) => {
            "No lamb in the flock was born since then: choose an earlier day."
        }
        (Whom::Usual, _) => "No ewe in the flock lambed since then: choose an earlier day.",
    }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

fn pages(ui: &mut egui::Ui, state: &mut State, laid: &Laid, paper: &Arc<Paper>) {
    let n = paper.pages.len();
    if state.zoom < 0.3 {
        state.zoom = 1.0;
    }
    ui.horizontal_wrapped(|ui| {
        ui.set_min_height(space::FIELD);
        look::strong(ui, phrase!("Page {} of {n}", (state.view.page + 1).min(n.max(1))));
        let cards = laid.spec.animals.len();
        if laid.spec.kind.is_cards() && ui.available_width() > 460.0 {
            look::faint(ui, if cards == 1 { phrase!("1 card") } else { phrase!("{cards} cards") });
        }
        let page = state.view.page;
        if ui
            .add_enabled(page > 0, egui::Button::new(phrase!("Back")))
            .on_hover_text(phrase!("Page up"))
            .clicked()
        {
            state.view.go = Some((page - 1, 0.0));
        }
        if ui
            .add_enabled(page + 1 < n, egui::Button::new(phrase!("Next")))
            .on_hover_text(phrase!("Page down"))
            .clicked()
        {
            state.view.go = Some((page + 1, 0.0));
        }
        if ui.button(phrase!("Smaller")).on_hover_text(phrase!("− in the preview")).clicked() {
            zoom(state, -1);
        }
        if ui.button(phrase!("Larger")).on_hover_text(phrase!("+ in the preview")).clicked() {
            zoom(state, 1);
        }
        if (state.zoom - 1.0).abs() > 0.01
            && ui.button(phrase!("Whole width")).on_hover_text(phrase!("0 in the preview")).clicked()
        {
            zoom(state, 0);
        }
    });
    let key = Arc::as_ptr(paper) as usize;
    if state.view.missing.as_ref().is_none_or(|(k, _)| *k != key) {
        state.view.missing = Some((key, paper.not_printable().into_iter().collect()));
    }
    if let Some((_, missing)) = state.view.missing.as_ref().filter(|(_, m)| !m.is_empty()) {
        let signs = missing.chars().map(String::from).collect::<Vec<_>>().join(" ");
        let words = phrase!("These signs are in none of our faces and print as □: {signs}");
        look::banner(ui, Kind::Caution, &words, |_| {});
    }
    turning(ui, n, state);
    sheets(ui, state, paper);
}

/// Larger, smaller, or (0) the whole width.
fn zoom(state: &mut State, step: i32) {
    state.zoom = match step {
        0 => 1.0,
        n => (state.zoom * 1.25f32.powi(n)).clamp(0.4, 4.0),
    };
}

/// Page up and down turn pages wherever the keyboard is: no field on this page wants them.
fn turning(ui: &egui::Ui, n: usize, state: &mut State) {
    let pressed = |key| ui.input(|i| i.key_pressed(key));
    if pressed(Key::PageDown) {
        state.view.go = Some(((state.view.page + 1).min(n.saturating_sub(1)), 0.0));
    } else if pressed(Key::PageUp) {
        state.view.go = Some((state.view.page.saturating_sub(1), 0.0));
    }
}

/// The keys of the preview itself, while it has the keyboard: how far to scroll.
fn keys(ui: &egui::Ui, id: egui::Id, n: usize, state: &mut State) -> Vec2 {
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|m| m.set_focus_lock_filter(id, filter));
    let mut scroll = Vec2::ZERO;
    let mut steps = Vec::new();
    ui.input_mut(|i| {
        i.events.retain(|event| {
            match event {
                Event::Key { key, pressed: true, modifiers, .. } if !modifiers.any() => match key {
                    Key::ArrowDown => scroll.y -= 60.0,
                    Key::ArrowUp => scroll.y += 60.0,
                    Key::ArrowRight => scroll.x -= 60.0,
                    Key::ArrowLeft => scroll.x += 60.0,
                    Key::Home => state.view.go = Some((0, 0.0)),
                    Key::End => state.view.go = Some((n.saturating_sub(1), 0.0)),
                    _ => return true,
                },
                Event::Text(text) => match text.as_str() {
                    "+" | "=" => steps.push(1),
                    "-" | "−" => steps.push(-1),
                    "0" => steps.push(0),
                    _ => return true,
                },
                _ => return true,
            }
            false
        });
    });
    for step in steps {
        zoom(state, step);
    }
    scroll
}

/// All pages one below the other; only those seen are painted.
fn sheets(ui: &mut egui::Ui, state: &mut State, paper: &Paper) {
    let n = paper.pages.len();
    let area = ui.available_rect_before_wrap();
    let id = ui.make_persistent_id("sheets");
    let focus = ui.interact(area, id, Sense::focusable_noninteractive());
    focus.widget_info(|| WidgetInfo::labeled(Role::Document, true, "Preview"));
    let now = phrase!("Page {} of {n}: {}", state.view.page + 1, paper.title);
    ui.ctx().accesskit_node_builder(id, |node| node.set_value(now));
    let scroll = if focus.has_focus() { keys(ui, id, n, state) } else { Vec2::ZERO };
    let t = look::tokens(ui);
    ui.painter().rect_filled(area, space::ROUND, t.plain_ground);
    if ui.input(|i| i.pointer.primary_pressed() && i.pointer.interact_pos().is_some_and(|p| area.contains(p)))
    {
        take_keyboard(ui, id);
    }
    egui::ScrollArea::both().id_salt("preview").auto_shrink(false).show_viewport(ui, |ui, seen| {
        let bar = ui.spacing().scroll.allocated_width();
        let room = (area.width() - 2.0 * AIR - bar).max(80.0) * state.zoom;
        let widest = paper.pages.iter().map(|p| p.width_mm).fold(1.0, f32::max);
        let scale = room / widest;
        let mut tops = Vec::with_capacity(n);
        let mut y = AIR;
        for page in &paper.pages {
            tops.push(y);
            y += page.height_mm * scale + AIR;
        }
        ui.set_min_size(vec2(room + 2.0 * AIR, y));
        // Another size of the pages: stay at the same place of the same page.
        if state.view.width > 0.0 && (state.view.width - room).abs() > 0.5 && state.view.go.is_none() {
            let part = if state.view.top.is_nan() { 0.0 } else { state.view.top / state.view.width };
            state.view.go = Some((state.view.page, part));
        }
        state.view.width = room;
        let origin = ui.max_rect().min;
        let middle = ((seen.width() - room - 2.0 * AIR) / 2.0).max(0.0) + AIR;
        for (i, (page, top)) in paper.pages.iter().zip(&tops).enumerate() {
            let size = vec2(page.width_mm * scale, page.height_mm * scale);
            if top + size.y < seen.top() || *top > seen.bottom() {
                continue;
            }
            let rect = Rect::from_min_size(origin + vec2(middle, *top), size);
            sheet_preview(ui, page, rect, &phrase!("Page {} of {n}: {}", i + 1, paper.title));
        }
        if scroll != Vec2::ZERO {
            ui.scroll_with_delta(scroll);
        }
        follow(ui, state, &tops, seen, origin);
    });
}

/// Goes where it was asked to, or notes the page one has scrolled to.
fn follow(ui: &egui::Ui, state: &mut State, tops: &[f32], seen: Rect, origin: egui::Pos2) {
    let view = &mut state.view;
    if let Some((page, part)) = view.go.take() {
        let page = page.min(tops.len().saturating_sub(1));
        let y = tops.get(page).copied().unwrap_or_default() - AIR / 2.0 + part * view.width;
        let target = Rect::from_min_size(origin + vec2(seen.left(), y), vec2(1.0, seen.height()));
        ui.scroll_to_rect(target, Some(Align::TOP));
        view.page = page;
        view.top = f32::NAN; // not scrolled by hand
        ui.ctx().request_repaint();
        return;
    }
    let of = |page: usize| seen.top() - tops.get(page).copied().unwrap_or_default() + AIR / 2.0;
    if view.top.is_nan() {
        view.top = of(view.page);
    } else if (of(view.page) - view.top).abs() > 1.0 {
        let line = seen.top() + seen.height() * 0.4;
        view.page = tops.iter().rposition(|t| *t <= line).unwrap_or(0);
        view.top = of(view.page);
    }
}

//! The timeline: one animal's life or the whole flock's season on one drawing, by keys or pointer.

mod cache;
mod controls;
mod keys;
mod life;
mod rows;
mod span;

use super::picture::save_picture;
use super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::picture::Sitter;
use crate::parts::{PickerState, escaped, take_keyboard};
use egui::{Rect, Role, Sense, UiBuilder, WidgetInfo};
use hirsel_core::papers::timeline::drawing;
use hirsel_core::phrase;
use hirsel_core::reckon::season::{Filter, Group, Kinds, Picked, Roll, Which};
use hirsel_core::terms::{AnimalId, Day};
use serde::{Deserialize, Serialize};
use span::Span;

pub use keys::KEYS;

/// What is chosen and half typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    animal: Option<AnimalId>,
    which: Which,
    pen: PickerState<u64>,
    tag: String,
    kinds: Kinds,
    #[serde(skip)]
    one: PickerState<AnimalId>,
    #[serde(skip)]
    span: Option<Span>,
    #[serde(skip)]
    hand: Option<Hand>,
    #[serde(skip)]
    view: View,
    #[serde(skip)]
    cache: cache::Cache,
}

/// The animal and the event in hand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Hand {
    animal: AnimalId,
    /// Place among the rows, as it was last seen.
    row: usize,
    /// Place among the animal's events.
    event: Option<usize>,
}

/// What the drawing remembers from frame to frame.
#[derive(Debug, Default)]
struct View {
    /// Give the drawing the keyboard.
    focus: bool,
    /// How far the rows are scrolled.
    top: f32,
    /// Height of what is seen of the rows.
    high: f32,
    /// Scroll the rows there.
    go: Option<f32>,
    /// Scroll a life to the event in hand.
    follow: bool,
    /// Part of a day that was dragged and not yet moved by.
    drag: f32,
    /// Where the events of a life stood in the last frame.
    spots: Vec<hirsel_core::papers::timeline::life::Spot>,
    /// Where the days stood in the last frame.
    scale: Option<hirsel_core::papers::timeline::drawing::Scale>,
    /// The page was seen before.
    seen: bool,
}

impl State {
    /// Shows one animal.
    pub fn show(&mut self, animal: AnimalId) {
        self.turn_to(Some(animal));
    }

    fn turn_to(&mut self, animal: Option<AnimalId>) {
        if self.animal != animal {
            self.span = None;
            self.view.go = None;
        }
        self.animal = animal;
        self.one.clear();
        self.hand = match (animal, self.hand) {
            (Some(id), Some(h)) if h.animal == id => self.hand,
            (Some(id), _) => Some(Hand { animal: id, row: 0, event: None }),
            // Back in the flock, one finds the row one came from.
            (None, h) => h.map(|h| Hand { event: None, ..h }),
        };
        self.view.focus = true;
    }

    fn filter(&self, groups: &[Group]) -> Filter {
        let pen = self.pen.text.trim().to_lowercase();
        let named = |g: &Group| match g {
            Group::Pen(p) if p.to_lowercase() == pen => Some(p.clone()),
            _ => None,
        };
        let pen = if pen.is_empty() { None } else { groups.iter().find_map(named) };
        Filter { which: self.which, pen, tag: self.tag.trim().to_string() }
    }

    /// The days shown: those chosen, or the usual ones.
    fn span(&mut self, ctx: &Ctx<'_>) -> Span {
        if let Some(span) = self.span {
            return span;
        }
        match self.animal.and_then(|id| ctx.flock.file(id)) {
            Some(file) => {
                let line = self.cache.line(ctx, file.animal.id);
                let whose =
                    hirsel_core::papers::timeline::life::Whose { flock: ctx.flock, file, line: &line };
                Span::from_to(hirsel_core::papers::timeline::life::span(whose, ctx.today))
            }
            None => Span::season(ctx.today),
        }
    }

    /// The day to look at: that of the event in hand if it is shown, else today if it is, else the middle.
    fn focus(&mut self, ctx: &Ctx<'_>) -> Day {
        let span = self.span(ctx);
        let shown = |d: &Day| *d >= span.start && *d <= span.end();
        self.event_day(ctx)
            .filter(shown)
            .or(Some(ctx.today).filter(shown))
            .unwrap_or(span.start.plus(span.days / 2))
    }

    fn event_day(&mut self, ctx: &Ctx<'_>) -> Option<Day> {
        let hand = self.hand?;
        self.cache.line(ctx, hand.animal).events.get(hand.event?).map(|e| e.from)
    }
}

/// Height of the sentence under the drawing.
const SENTENCE: f32 = 46.0;

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    state.cache.refresh(ctx);
    if state.animal.is_some_and(|id| ctx.flock.file(id).is_none()) {
        state.turn_to(None);
    }
    let roll = state.cache.roll(ctx);
    let filter = state.filter(&roll.groups);
    let picked = state.cache.picked(ctx, &filter);
    controls::head(ui, ctx, state, &picked, &mut out);
    if ctx.flock.is_empty() {
        look::paragraph(
            ui,
            "The season is drawn here, a row for each animal, once the first is written up under Flock (Ctrl+3).",
        );
        return out;
    }
    if state.animal.is_none() {
        controls::whom(ui, ctx, state, &roll);
    }
    controls::legend(ui, state);
    let title = match state.animal.and_then(|id| ctx.flock.animal(id)) {
        Some(a) => phrase!("Timeline of {}", a.title()),
        None => phrase!("Season, {}", ctx.today.words()),
    };
    let tall = match state.animal {
        Some(_) => 620.0,
        None => (picked.rows.len() as f32).mul_add(drawing::ROW, 200.0).clamp(320.0, 4_000.0),
    };
    let said = "A row for each animal; what happened from left to right, day by day.";
    let of = Sitter { title: &title, said, width: ui.available_width(), height: Some(tall) };
    ui.horizontal_wrapped(|ui| {
        if state.animal.is_none() {
            controls::summary(ui, ctx, &picked);
        }
        save_picture(ui, &of, &mut out, |ui| still(ui, ctx, state, &roll, &picked));
    });
    ui.add_space(space::XS);
    let mut whole = ui.available_rect_before_wrap();
    whole.set_height(whole.height().max(320.0));
    let foot = Rect::from_min_max(egui::pos2(whole.left(), whole.bottom() - SENTENCE), whole.max);
    let chart = Rect::from_min_max(whole.min, egui::pos2(whole.right(), foot.top() - space::XS));
    let id = ui.scope_id().with("timeline drawing");
    let response = ui.interact(chart, id, Sense::click_and_drag() | Sense::FOCUSABLE);
    focus(ui, state, id);
    keys::keys(ui, ctx, state, &response, &picked, &mut out);
    if state.animal.is_some() && escaped(ui) && (response.has_focus() || nobody(ui)) {
        state.turn_to(None);
    }
    let hovered = match state.animal {
        Some(animal) => life::view(ui, ctx, state, animal, chart, &response),
        None => rows::view(ui, ctx, state, &roll, &picked, chart, &response),
    };
    if response.has_focus() {
        let t = look::tokens(ui);
        let line = egui::Stroke::new(space::RING, t.focus);
        ui.painter().rect_stroke(chart, space::ROUND, line, egui::StrokeKind::Outside);
    }
    let said = sentence(ui, ctx, state, hovered, foot);
    let name = if state.animal.is_some() { "Life" } else { "Season" };
    response.widget_info(|| WidgetInfo::labeled(Role::Figure, true, name));
    ui.ctx().accesskit_node_builder(id, |node| node.set_description(said));
    out
}

/// The drawing without anything in hand, for a picture.
fn still(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, roll: &Roll, picked: &Picked) {
    let chart = ui.max_rect();
    let response = ui.interact(chart, ui.scope_id().with("still"), Sense::hover());
    let hand = state.hand.take();
    match state.animal {
        Some(animal) => life::view(ui, ctx, state, animal, chart, &response),
        None => rows::view(ui, ctx, state, roll, picked, chart, &response),
    };
    state.hand = hand;
}

fn nobody(ui: &egui::Ui) -> bool {
    ui.memory(|m| m.focused().is_none()) && !ui.ctx().any_popup_open()
}

/// The drawing has the keyboard when nothing else has.
fn focus(ui: &egui::Ui, state: &mut State, id: egui::Id) {
    let wish = std::mem::take(&mut state.view.focus) || !state.view.seen;
    state.view.seen = true;
    if wish || nobody(ui) {
        let busy = |i: &egui::InputState| i.pointer.any_pressed() || i.pointer.any_released();
        if ui.input(busy) {
            state.view.focus = wish;
            ui.ctx().request_repaint();
        } else {
            take_keyboard(ui, id);
        }
    }
}

/// What is pointed at or in hand, in words.
fn sentence(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    hovered: Option<Hand>,
    foot: Rect,
) -> String {
    let of = hovered.filter(|h| h.event.is_some()).or(state.hand);
    let said = match of {
        Some(Hand { animal, event: Some(at), .. }) => state.cache.said(ctx, animal, at),
        Some(Hand { animal, .. }) => {
            let words = ctx.flock.file(animal).map(|f| phrase!("{}: {}", f.animal.title(), ctx.detail(f)));
            words.unwrap_or_default()
        }
        None => String::new(),
    };
    ui.scope_builder(UiBuilder::new().max_rect(foot), |ui| {
        ui.set_clip_rect(foot.expand(2.0));
        if said.is_empty() {
            let hint = if state.animal.is_some() {
                "Shift and ← → step from event to event; + and − zoom; Esc goes back to the flock."
            } else {
                "↑ ↓ walk from animal to animal, Shift and ← → from event to event; + and − zoom; Enter opens the leaf."
            };
            look::faint(ui, hint);
        } else {
            ui.add(egui::Label::new(egui::RichText::new(&said)).wrap());
        }
    });
    said
}

//! Pedigree chart: waters that run together. The middle is one animal; what it comes from flows in from the left,
//! the oldest farthest, a sire above a dam; what comes from it flows out to the right. The width of a water is its
//! share of the blood, and each name stands along its own reach, as on a map.
//!
//! Knows no flock: the page says what stands where. One tab stop; every box is a node with one spoken sentence.

mod keys;
mod paint;

use egui::{Id, Pos2, Rect, Role, ScrollArea, Sense, Ui, Vec2, WidgetInfo, vec2};

use super::take_keyboard;
use crate::look::{space, tokens};

pub use keys::KEYS;

/// One box: a reach of water with the words along it. Places are in points at the plain size.
#[derive(Debug, Clone, PartialEq)]
pub struct Reach<K> {
    /// The animal; none where nobody is known.
    pub key: Option<K>,
    /// Generations from the middle: −1 for parents, 1 for offspring.
    pub column: i32,
    /// The box this water runs to (of an ancestor) or comes from (of a descendant); none for the middle.
    pub tied: Option<usize>,
    /// A sire, who stands above a dam.
    pub sire: bool,
    /// There is no doubt of the tie.
    pub sure: bool,
    /// Strong, above the water: sign and tag.
    pub tag: String,
    /// Behind the tag, or on a line of its own where there is room.
    pub name: String,
    /// Below the water, a line each.
    pub below: Vec<String>,
    /// The number of an ancestor in whom two lines meet.
    pub number: Option<usize>,
    /// The box as one sentence.
    pub spoken: String,
    /// Its middle, from the top.
    pub middle: f32,
}

/// Everything that is drawn; the middle comes first.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawing<K> {
    /// The boxes.
    pub reaches: Vec<Reach<K>>,
    /// Height of the whole.
    pub height: f32,
}

impl<K> Default for Drawing<K> {
    fn default() -> Self {
        Self { reaches: Vec::new(), height: 0.0 }
    }
}

/// What was done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChartEvent<K> {
    /// Make this one the middle.
    Middle(K),
    /// Back to the one that was the middle before.
    Back,
    /// Open its leaf.
    Open(K),
}

/// What the chart remembers.
#[derive(Debug, Clone)]
pub struct ChartState {
    /// How large: 1 is plain.
    pub zoom: f32,
    /// The box in hand.
    pub hand: usize,
    /// Bring the box in hand into sight: for so many frames, as a new drawing is measured in its first.
    pub show: u8,
    /// Take the keyboard.
    pub focus: bool,
}

/// Frames until the box in hand is in sight.
const SHOW: u8 = 2;

impl Default for ChartState {
    fn default() -> Self {
        Self { zoom: 1.0, hand: 0, show: SHOW, focus: false }
    }
}

impl ChartState {
    /// Another drawing: the middle is in hand and in sight.
    pub fn anew(&mut self) {
        self.hand = 0;
        self.show = SHOW;
    }

    /// The drawing was made anew: what is in hand is brought into sight.
    pub fn remade(&mut self) {
        self.show = SHOW;
    }

    /// Larger or smaller by a step.
    pub fn zoom_by(&mut self, steps: i32) {
        const STEP: f32 = 1.15;
        self.zoom = (self.zoom * STEP.powi(steps)).clamp(0.6, 2.5);
        self.show = SHOW;
    }
}

/// Size of type and distances, grown with the zoom.
#[derive(Debug, Clone, Copy)]
pub(super) struct Scale {
    zoom: f32,
    /// Width of a column.
    column: f32,
    left: i32,
    right: i32,
}

/// Narrowest and widest column at the plain size.
const COLUMNS: (f32, f32) = (118.0, 210.0);

/// Space left and right of the drawing.
const SIDE: f32 = 10.0;

/// Room for the waters to bend between a column and the next nearer to the middle.
fn bend(generation: i32) -> f32 {
    14.0 + 60.0 / (1u32 << generation.clamp(1, 6)) as f32
}

impl Scale {
    fn of<K>(drawing: &Drawing<K>, zoom: f32, room: f32) -> Self {
        let left = drawing.reaches.iter().map(|r| -r.column).max().unwrap_or(0).max(0);
        let right = drawing.reaches.iter().map(|r| r.column).max().unwrap_or(0).max(0);
        let bends: f32 = (1..=left).chain(1..=right).map(bend).sum();
        let one = (room - 2.0 * SIDE - bends) / (left + right + 1) as f32;
        Self { zoom, column: one.clamp(COLUMNS.0, COLUMNS.1), left, right }
    }

    fn width(&self) -> f32 {
        let bends: f32 = (1..=self.left).chain(1..=self.right).map(bend).sum();
        ((self.left + self.right + 1) as f32 * self.column + bends + 2.0 * SIDE) * self.zoom
    }

    /// Left edge of a column.
    fn x(&self, column: i32) -> f32 {
        let before: f32 = if column < 0 {
            ((-column + 1)..=self.left).map(bend).sum()
        } else {
            (1..=self.left).map(bend).sum::<f32>() + (1..=column).map(bend).sum::<f32>()
        };
        (SIDE + (column + self.left) as f32 * self.column + before) * self.zoom
    }

    /// The box of a reach, around its words.
    fn rect<K>(&self, r: &Reach<K>, origin: Pos2) -> Rect {
        let (above, below) = r.extent();
        let y = r.middle * self.zoom;
        let half = r.water() / 2.0;
        Rect::from_min_max(
            origin + vec2(self.x(r.column), y - (above + half) * self.zoom),
            origin + vec2(self.x(r.column) + self.column * self.zoom, y + (below + half) * self.zoom),
        )
    }
}

/// Height of a line of words at the plain size.
pub const LINE: f32 = 16.8;
/// The same in the middle, whose tag is larger.
const LARGE: f32 = 24.0;
/// The same of its name.
const NAME: f32 = 19.5;
/// Between water and the words below it.
const AIR: f32 = 1.5;
/// Between the words above and the water, for what hangs below the line.
const OVER: f32 = 2.6;
/// Width of the middle's water.
const WATER: f32 = 11.0;

impl<K> Reach<K> {
    /// Width of its water: its share of the blood of the middle.
    pub fn water(&self) -> f32 {
        (WATER / (1u32 << self.column.unsigned_abs().min(8)) as f32).max(1.2)
    }

    /// The name has a line of its own.
    fn apart(&self) -> bool {
        !self.name.is_empty() && self.column.abs() <= 2 && self.column <= 0
    }

    /// Height of the words above and below the water.
    fn extent(&self) -> (f32, f32) {
        let (tag, name) = if self.column == 0 { (LARGE, NAME) } else { (LINE, LINE) };
        let above = tag + if self.apart() { name } else { 0.0 };
        (above + OVER, self.below.len() as f32 * LINE + AIR)
    }

    /// Height to be kept for it, so that its water can run through the middle of the room.
    pub fn height(&self) -> f32 {
        let (above, below) = self.extent();
        if self.column <= -3 || self.column > 0 {
            above + below + self.water()
        } else {
            2.0 * above.max(below) + self.water()
        }
    }

    /// How far the water lies below the middle of that room.
    pub fn drop(&self) -> f32 {
        let (above, below) = self.extent();
        if self.column <= -3 || self.column > 0 { (above - below) / 2.0 } else { 0.0 }
    }
}

/// Draws the chart into all the room there is and tells what was done.
pub fn pedigree_chart<K: Copy + PartialEq>(
    ui: &mut Ui,
    name: &str,
    drawing: &Drawing<K>,
    state: &mut ChartState,
) -> Vec<ChartEvent<K>> {
    let mut events = Vec::new();
    let area = ui.available_rect_before_wrap();
    let id = chart_id(ui);
    state.hand = state.hand.min(drawing.reaches.len().saturating_sub(1));
    let focus = ui.interact(area, id, Sense::focusable_noninteractive());
    focus.widget_info(|| WidgetInfo::labeled(Role::Figure, true, name));
    let said = drawing.reaches.get(state.hand).map(|r| r.spoken.clone()).unwrap_or_default();
    ui.ctx().accesskit_node_builder(id, |node| node.set_description(said));
    if std::mem::take(&mut state.focus) {
        let busy = |i: &egui::InputState| i.pointer.any_pressed() || i.pointer.any_released();
        if ui.input(busy) {
            state.focus = true;
            ui.ctx().request_repaint();
        } else {
            take_keyboard(ui, id);
        }
    }
    let bar = ui.spacing().scroll.allocated_width() + 2.0;
    let scale = Scale::of(drawing, state.zoom, area.width() - bar);
    if focus.has_focus() {
        keys::keys(ui, id, drawing, state, &mut events);
    }
    wheel(ui, area, state);
    ScrollArea::both().id_salt(id).auto_shrink(false).show_viewport(ui, |ui, seen| {
        let size = vec2(scale.width(), drawing.height * state.zoom);
        ui.set_min_size(size);
        // A small drawing stands in the middle of its room.
        let spare = (seen.size() - size).max(Vec2::ZERO) / 2.0;
        let origin = ui.max_rect().min + spare;
        let shown = boxes(ui, id, drawing, state, scale, origin, &mut events);
        let eyes = paint::Eyes { t: tokens(ui), scale, origin, focused: focus.has_focus() };
        paint::paint(ui.painter(), drawing, state.hand, &shown, &eyes);
        if state.show > 0
            && let Some(rect) = shown.get(state.hand)
        {
            state.show -= 1;
            let wanted = sight(*rect, ui.max_rect().min, seen, state.hand == 0);
            ui.scroll_to_rect(wanted, None);
            if state.show > 0 {
                ui.ctx().request_repaint();
            }
        }
    });
    if focus.has_focus() {
        let line = egui::Stroke::new(space::RING, tokens(ui).focus);
        ui.painter().rect_stroke(area, space::ROUND, line, egui::StrokeKind::Inside);
    }
    events
}

/// The part of the drawing to be seen so that a box is: moved no farther than it must, but the middle stands half way
/// up. As large as what is seen now.
fn sight(rect: Rect, origin: Pos2, seen: Rect, middle: bool) -> Rect {
    let (near, far) = (rect.min - origin, rect.max - origin);
    let least = |now: f32, size: f32, from: f32, to: f32, air: f32| {
        let to = to + air - size;
        let from = from - air;
        // What is larger than the room is shown from its beginning.
        if to > from { from } else { now.clamp(to, from) }
    };
    let x = least(seen.left(), seen.width(), near.x, far.x, space::XL);
    let y = if middle {
        (near.y + far.y - seen.height()) / 2.0
    } else {
        least(seen.top(), seen.height(), near.y, far.y, space::L)
    };
    Rect::from_min_size(origin + vec2(x, y), seen.size())
}

/// The id that has the keyboard when the chart has.
fn chart_id(ui: &Ui) -> Id {
    ui.make_persistent_id("pedigree chart")
}

/// Ctrl and the wheel zoom.
fn wheel(ui: &Ui, area: Rect, state: &mut ChartState) {
    let by = ui.input(|i| {
        let over = i.pointer.hover_pos().is_some_and(|p| area.contains(p));
        if over { i.zoom_delta() } else { 1.0 }
    });
    if (by - 1.0).abs() > 0.001 {
        state.zoom = (state.zoom * by).clamp(0.6, 2.5);
    }
}

/// The boxes as things to point at and to hear; answers where each stands.
fn boxes<K: Copy + PartialEq>(
    ui: &Ui,
    id: Id,
    drawing: &Drawing<K>,
    state: &mut ChartState,
    scale: Scale,
    origin: Pos2,
    events: &mut Vec<ChartEvent<K>>,
) -> Vec<Rect> {
    let mut all = Vec::with_capacity(drawing.reaches.len());
    for (i, r) in drawing.reaches.iter().enumerate() {
        let rect = scale.rect(r, origin);
        let response = ui.interact(rect, id.with(("box", i)), Sense::CLICK);
        response.widget_info(|| WidgetInfo::labeled(Role::TreeItem, true, &r.spoken));
        let depth = usize::try_from(r.column.unsigned_abs()).unwrap_or(0) + 1;
        ui.ctx().accesskit_node_builder(response.id, |node| {
            node.set_selected(i == state.hand);
            node.set_level(depth);
        });
        if i == state.hand {
            ui.ctx().accesskit_node_builder(id, |node| {
                node.set_active_descendant(response.id.accesskit_id());
            });
        }
        if response.clicked() {
            take_keyboard(ui, id);
            let again = state.hand == i && response.double_clicked();
            state.hand = i;
            if again && let Some(key) = r.key.filter(|_| i > 0) {
                events.push(ChartEvent::Middle(key));
            }
        }
        all.push(rect);
    }
    all
}

//! The pens of the shed as the keeper laid them out: who is in each, since when, what is due there; moved with keys or
//! by dragging. The same as a list.

mod ask;
mod floor;
mod keys;
mod laying;
mod list;
mod paint;
mod side;

use super::super::{Ctx, Intent, Then};
use crate::look::{self, Kind, space};
use crate::parts::record_table::TableState;
use ask::Asking;
use egui::{Ui, UiBuilder};
use hirsel_core::entry::{self, Check};
use hirsel_core::flock::PenPlace;
use hirsel_core::phrase;
use hirsel_core::reckon::pen_map::{Pen, PenMap};
use hirsel_core::terms::{AnimalId, Day, Minute};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

pub use keys::KEYS;

/// Room for the pen in hand beside the map.
const SIDE: (f32, f32) = (300.0, 420.0);

/// What a map was made for: version of the flock and of its jobs, day, hour.
type MadeFor = (u64, Option<u64>, Day, Option<i64>);

/// The pen map.
#[derive(Debug, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    /// Pens are being laid out.
    laying: bool,
    /// How they are to be laid out, as far as it differs from the book; not yet kept.
    draft: Vec<PenPlace>,
    zoom: f32,
    /// The pen in hand, by its name.
    hand: String,
    #[serde(skip)]
    map: Arc<PenMap>,
    #[serde(skip)]
    made_for: Option<MadeFor>,
    /// The pens as they are drawn: the map's with the draft over them.
    #[serde(skip)]
    shown: Arc<Vec<Pen>>,
    #[serde(skip)]
    asking: Asking,
    /// What was refused last, until something else is done.
    #[serde(skip)]
    refused: Option<String>,
    #[serde(skip)]
    side: side::Side,
    #[serde(skip)]
    list: list::Pens,
    #[serde(skip)]
    drag: floor::Drag,
    /// Bring the pen in hand into sight.
    #[serde(skip)]
    show: bool,
    #[serde(skip)]
    focus: bool,
}

impl Default for State {
    fn default() -> Self {
        Self {
            laying: false,
            draft: Vec::new(),
            zoom: 1.0,
            hand: String::new(),
            map: Arc::default(),
            made_for: None,
            shown: Arc::default(),
            asking: Asking::Nothing,
            refused: None,
            side: side::Side::default(),
            list: list::Pens::default(),
            drag: floor::Drag::default(),
            show: true,
            focus: false,
        }
    }
}

impl State {
    /// The keyboard goes to the map, or to the list.
    pub(super) fn take_keyboard(&mut self) {
        self.focus = true;
    }

    /// An entry of the map is written.
    pub(super) fn after(&mut self) {
        if let Some(name) = self.asking.renamed() {
            let old = std::mem::replace(&mut self.hand, name);
            self.draft.retain(|d| d.pen != old);
        }
        if self.asking.is_laying() {
            self.draft.clear();
            self.laying = false;
        }
        self.asking = Asking::Nothing;
        self.refused = None;
        self.made_for = None;
        self.side.table = TableState::default();
        self.focus = true;
    }

    /// Makes the map anew where something that it shows has moved.
    fn keep_up(&mut self, ctx: &Ctx<'_>) {
        // Hours are counted only on the day that it really is.
        let now = (ctx.today == Day::today()).then(Minute::now);
        let board = ctx.board.map(hirsel_core::reckon::due::Board::version);
        let wanted = (ctx.flock.version(), board, ctx.today, now.map(|n| n.of_day() / 60));
        if self.made_for.as_ref() != Some(&wanted) {
            self.map = Arc::new(PenMap::of(ctx.flock, ctx.board, ctx.today, now));
            self.made_for = Some(wanted);
            self.remake();
        }
    }

    /// The pens as they are drawn.
    fn remake(&mut self) {
        self.shown = Arc::new(laying::over(&self.map, &self.draft));
        if self.place().is_none() {
            // The first of the shed as it is seen, not as it is called.
            let first = self.shown.iter().min_by_key(|p| (p.sort, p.at.y, p.at.x));
            self.hand = first.map(|p| p.name.clone()).unwrap_or_default();
        }
        self.list.stale();
        self.side.stale();
    }

    /// Where the pen in hand stands among those drawn.
    fn place(&self) -> Option<usize> {
        self.shown.iter().position(|p| p.name == self.hand)
    }

    fn in_hand(&self) -> Option<&Pen> {
        self.place().map(|i| &self.shown[i])
    }

    fn take(&mut self, i: usize) {
        if let Some(p) = self.shown.get(i)
            && p.name != self.hand
        {
            self.hand = p.name.clone();
            self.show = true;
            self.side.stale();
            self.side.table = TableState::default();
        }
    }

    /// Those who are to be moved: the chosen of the pen in hand, else everyone in it.
    fn to_move(&self) -> Vec<AnimalId> {
        let chosen = self.side.table.chosen();
        if chosen.is_empty() {
            self.in_hand().map(|p| p.animals().collect()).unwrap_or_default()
        } else {
            chosen
        }
    }

    fn refuse(&mut self, why: impl Into<String>, out: &mut Vec<Intent>) {
        let why = why.into();
        out.push(Intent::Say(Kind::Refuse, why.clone()));
        self.refused = Some(why);
    }

    /// Hands a checked entry to the desk, or says what is wrong.
    fn hand_over(&mut self, check: Check, out: &mut Vec<Intent>) {
        match check {
            Ok(checked) => {
                self.refused = None;
                out.push(Intent::Write { checked: Box::new(checked), then: Then::PensDone });
            }
            Err(all) => self.refuse(all.first().map(ToString::to_string).unwrap_or_default(), out),
        }
    }

    /// Moves animals to a pen today; a blank name takes them out of any.
    fn move_to(&mut self, ctx: &Ctx<'_>, animals: Vec<AnimalId>, pen: &str, out: &mut Vec<Intent>) {
        let there = |a: &AnimalId| {
            let now = ctx.flock.animal(*a).and_then(|a| a.pen.as_deref()).unwrap_or_default();
            hirsel_core::flock::pen_key(now) == hirsel_core::flock::pen_key(pen)
        };
        let animals: Vec<AnimalId> = animals.into_iter().filter(|a| !there(a)).collect();
        if animals.is_empty() {
            let name = if pen.trim().is_empty() { "no pen" } else { pen.trim() };
            return self.refuse(phrase!("nobody to move: they are in {name} already", name = &name), out);
        }
        let draft = entry::PenMoveDraft {
            animals,
            on: ctx.today,
            pen: (!pen.trim().is_empty()).then(|| pen.trim().to_string()),
        };
        let check = entry::pen_move(draft, ctx.flock, ctx.today);
        self.hand_over(check, out);
    }
}

/// Draws the map with the pen in hand beside it.
pub(super) fn map(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    state.keep_up(ctx);
    head(ui, ctx, state, out);
    ask::view(ui, ctx, state, out);
    if let Some(why) = &state.refused {
        look::refusal(ui, why);
    }
    if state.shown.is_empty() {
        look::paragraph(
            ui,
            "No animal is in a pen yet. A adds a pen here; a pen also comes to be when a lambing is written with its pen, or when animals are moved to one.",
        );
    }
    ui.add_space(space::XS);
    let whole = ui.available_rect_before_wrap();
    let (mut left, mut right) = (whole, whole);
    if whole.width() > 700.0 {
        let side = (whole.width() * 0.34).clamp(SIDE.0, SIDE.1);
        left.set_right(whole.right() - side - space::L);
        right.set_left(whole.right() - side);
    } else {
        left.set_bottom(whole.top() + whole.height() * 0.56);
        right.set_top(left.bottom() + space::S);
    }
    ui.scope_builder(UiBuilder::new().max_rect(left), |ui| floor::view(ui, ctx, state, out));
    ui.scope_builder(UiBuilder::new().max_rect(right), |ui| side::view(ui, ctx, state, out));
    ui.advance_cursor_after_rect(whole);
}

/// Draws the same as a list.
pub(super) fn listed(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) -> bool {
    state.keep_up(ctx);
    list::view(ui, ctx, state, out)
}

/// What can be done with the map as a whole.
fn head(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    ui.horizontal_wrapped(|ui| {
        if state.laying || !state.draft.is_empty() {
            if look::primary(ui, "Keep this layout").on_hover_text(phrase!("Enter on the map")).clicked() {
                laying::keep(ctx, state, out);
            }
            if ui.button(phrase!("As it was")).clicked() {
                state.draft.clear();
                state.laying = false;
                state.refused = None;
                state.remake();
                state.focus = true;
            }
        } else if ui.button(phrase!("Lay out the pens")).on_hover_text(phrase!("L on the map")).clicked() {
            laying::begin(state);
        }
        if ui.button(phrase!("Add a pen")).on_hover_text(phrase!("A on the map")).clicked() {
            state.asking = Asking::add();
        }
        if ui.button(phrase!("Print the map")).clicked() {
            out.push(Intent::Print(super::super::papers::PaperKind::PenMap, Vec::new()));
        }
        if ui.button(phrase!("Smaller")).on_hover_text(phrase!("− on the map")).clicked() {
            laying::zoom(state, -1);
        }
        if ui.button(phrase!("Larger")).on_hover_text(phrase!("+ on the map")).clicked() {
            laying::zoom(state, 1);
        }
        let (pens, flock) = (Arc::clone(&state.shown), Arc::clone(ctx.flock));
        let said = phrase!("{} of the shed", hirsel_core::terms::counted(pens.len(), "pen"));
        let sitter = crate::parts::picture::Sitter {
            title: "Pen map",
            said: &said,
            width: paint::width(&pens),
            height: Some(paint::height(&pens)),
        };
        super::super::picture::save_picture(ui, &sitter, out, |ui| paint::picture(ui, &flock, &pens));
    });
    let words = if state.laying {
        "Laying out: arrows move the pen, Shift+arrows size it, Ctrl+arrows take another, T turns, N names, O outside, Del takes off, Enter keeps."
    } else {
        "Arrows go from pen to pen, Enter opens one, M moves the chosen or everyone in it, L lays out. Dragging moves too."
    };
    look::faint(ui, words);
}

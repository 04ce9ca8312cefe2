//! Lambing: one form for a lambing with all its lambs, the ewe's past lambings beside it, and the shed now; and the pens
//! of the shed as a map.

mod beside;
mod form;
mod lamb;
mod live;
pub mod pens;
mod shed;
mod typed;

use super::sections::{sections, shown_anew};
use super::{Ctx, Intent, papers::PaperKind};
use crate::look::{self, space};
use hirsel_core::phrase;
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};
use typed::Typed;

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Form,
    Map,
    List,
}

const PARTS: [(Part, &str); 3] =
    [(Part::Form, "Write up"), (Part::Map, "Pen map"), (Part::List, "Pens as a list")];

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    part: Part,
    pens: pens::State,
    typed: Typed,
    /// A half-typed lambing of another ewe, put aside when this one was begun.
    aside: Vec<Typed>,
    /// The day on which the form was last seen.
    sitting: String,
    shed_search: String,
    #[serde(skip)]
    live: live::Live,
    #[serde(skip)]
    focus: Option<String>,
    #[serde(skip)]
    written: Option<Written>,
    #[serde(skip)]
    shed: shed::Shed,
    #[serde(skip)]
    beside: beside::Beside,
    #[serde(skip)]
    seen_in: Option<u64>,
    #[serde(skip)]
    drawn: u64,
}

/// The lambing just written, for as long as it is the last thing written.
#[derive(Debug)]
struct Written {
    version: u64,
    ewe: String,
    lambs: Vec<AnimalId>,
    /// Passes in which it is still brought into sight: the first field takes the page a little way down.
    unseen: u8,
}

impl State {
    /// Begins a lambing of this ewe; what is half typed of another is put aside and offered again.
    pub fn start(&mut self, ewe: AnimalId, ctx: &Ctx<'_>) {
        self.part = Part::Form;
        if self.typed.ewe.chosen() == Some(ewe) {
            return;
        }
        if self.typed.is_begun() {
            self.aside.push(std::mem::take(&mut self.typed));
        }
        self.typed = Typed::default();
        if let Some(found) = super::fields::found(ctx, ewe) {
            self.typed.ewe.choose(found);
        }
        self.live.clear();
        self.written = None;
        self.focus = Some("Day".into());
    }

    /// Shows the pen map.
    pub fn show_pens(&mut self) {
        self.part = Part::Map;
        self.pens.take_keyboard();
    }

    /// An entry of the pen map is written.
    pub fn after_pens(&mut self) {
        self.pens.after();
    }

    /// The lambing is written: an empty form for the next, with the same day.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        let ewe = self.typed.ewe.chosen().and_then(|e| ctx.flock.file(e));
        let newest = ewe.and_then(|f| f.lambings.iter().max_by_key(|l| l.id).map(|l| (f, l)));
        self.written = newest.map(|(f, l)| Written {
            version: ctx.flock.version(),
            ewe: f.animal.tag().to_string(),
            lambs: l.lambs.to_vec(),
            unseen: 6,
        });
        let on = self.typed.take_day();
        self.typed = Typed { on, ..Typed::default() };
        self.live.clear();
        self.focus = Some("Ewe".into());
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    let anew = shown_anew(ui, &mut state.drawn);
    ui.add_space(space::S);
    let mut turned = false;
    ui.horizontal(|ui| {
        look::heading(ui, "Lambing");
        ui.add_space(space::M);
        turned = sections(ui, "lambing parts", &PARTS, &mut state.part);
    });
    if state.part != Part::Form {
        state.seen_in = None;
        if anew || turned {
            state.pens.take_keyboard();
        }
        match state.part {
            Part::List if pens::listed(ui, ctx, &mut state.pens, &mut out) => state.part = Part::Map,
            Part::List | Part::Form => {}
            Part::Map => pens::map(ui, ctx, &mut state.pens, &mut out),
        }
        return out;
    }
    // Coming to the page gives the keyboard to its first field, unless a field of it was asked for.
    let pass = ui.ctx().cumulative_pass_nr();
    let came = state.seen_in.is_none_or(|before| pass > before + 1);
    state.seen_in = Some(pass);
    if came && state.focus.is_none() {
        state.focus = Some("Ewe".into());
    }
    let typed = &mut state.typed;
    let begun = typed.is_begun();
    super::fields::carry_day(ctx, &mut state.sitting, begun, &mut typed.on, &mut typed.time);
    typed.keep_one_ahead();
    let wide = ui.available_width() > 780.0;
    if wide {
        let whole = ui.available_rect_before_wrap();
        let side = (whole.width() * 0.36).clamp(300.0, 520.0);
        let mut form = whole;
        form.set_right(whole.right() - side - space::XL);
        let mut beside = whole;
        beside.set_left(whole.right() - side);
        ui.scope_builder(egui::UiBuilder::new().max_rect(form), |ui| {
            egui::ScrollArea::vertical().id_salt("lambing").auto_shrink(false).show(ui, |ui| {
                left(ui, ctx, state, &mut out);
            });
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(beside), |ui| {
            egui::ScrollArea::vertical().id_salt("beside").auto_shrink(false).show(ui, |ui| {
                right(ui, ctx, state, &mut out);
            });
        });
    } else {
        egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            left(ui, ctx, state, &mut out);
            ui.add_space(space::L);
            right(ui, ctx, state, &mut out);
        });
    }
    out
}

fn left(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    done(ui, ctx, state, out);
    form::view(ui, ctx, state, out);
}

/// What was put aside, and what was just written with its cards.
fn done(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    if let Some(aside) = state.aside.last() {
        let words = aside.put_aside_words();
        let (mut back, mut away) = (false, false);
        look::banner(ui, look::Kind::Plain, &words, |ui| {
            ui.horizontal(|ui| {
                back = ui.button(phrase!("Take it up again")).clicked();
                away = ui.button(phrase!("Throw it away")).clicked();
            });
        });
        ui.add_space(space::XS);
        if (back || away)
            && let Some(aside) = state.aside.pop()
            && back
        {
            let now = std::mem::replace(&mut state.typed, aside);
            if now.is_begun() {
                state.aside.insert(0, now);
            }
            state.live.clear();
            state.focus = Some("Ewe".into());
        }
    }
    // Undone, or something else written since: it is no longer what was just done.
    if state.written.as_ref().is_some_and(|w| w.version != ctx.flock.version()) {
        state.written = None;
    }
    let Some(written) = &mut state.written else { return };
    let words = phrase!("Written: lambing of {}", written.ewe);
    // The form is at its begin again: its cards are offered above it, in sight.
    if written.unseen > 0 {
        written.unseen -= 1;
        ui.scroll_to_rect(egui::Rect::from_min_size(ui.cursor().min, egui::vec2(1.0, 1.0)), None);
        ui.ctx().request_repaint();
    }
    look::banner(ui, look::Kind::Good, &words, |ui| {
        ui.horizontal(|ui| {
            let n = written.lambs.len();
            let word = if n == 1 { phrase!("Card for the lamb") } else { phrase!("Cards for the {n} lambs") };
            if ui.button(crate::look::spoken(word)).clicked() {
                out.push(Intent::Print(PaperKind::LambCards, written.lambs.clone()));
            }
            if ui.button(phrase!("Open the first lamb")).clicked()
                && let Some(id) = written.lambs.first()
            {
                out.push(Intent::Open(*id));
            }
        });
    });
    ui.add_space(space::XS);
}

fn right(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    ui.add_space(space::S);
    match state.typed.ewe.chosen().and_then(|e| ctx.flock.file(e)) {
        Some(ewe) => beside::view(ui, ctx, ewe, &mut state.beside, out),
        None => shed::view(ui, ctx, state, out),
    }
}

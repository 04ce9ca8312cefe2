//! Lambing: one form for a lambing with all its lambs, the ewe's past lambings beside it, and the shed now.

mod beside;
mod form;
mod lamb;
mod shed;
mod write;

use super::{Ctx, Intent, papers::PaperKind};
use crate::look::{self, space};
use crate::parts::PickerState;
use hirsel_core::entry::Refusal;
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(crate) struct Typed {
    ewe: PickerState<AnimalId>,
    on: String,
    time: String,
    ease: Option<u8>,
    help: String,
    /// As chosen; none: as proposed.
    sire: Option<form::SireChoice>,
    ram: PickerState<AnimalId>,
    pen: String,
    note: String,
    foster_on: PickerState<AnimalId>,
    lambs: Vec<lamb::TypedLamb>,
}

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    typed: Typed,
    /// A half-typed lambing of another ewe, put aside when this one was begun.
    aside: Vec<Typed>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
    #[serde(skip)]
    focus: Option<String>,
    #[serde(skip)]
    written: Vec<AnimalId>,
    #[serde(skip)]
    written_words: String,
    #[serde(skip)]
    shed: shed::Shed,
    #[serde(skip)]
    beside: beside::Beside,
    #[serde(skip)]
    shown: bool,
}

impl State {
    /// Begins a lambing of this ewe; what is half typed of another is put aside and offered again.
    pub fn start(&mut self, ewe: AnimalId, ctx: &Ctx<'_>) {
        if self.typed.ewe.chosen() == Some(ewe) {
            return;
        }
        if self.typed.ewe.chosen().is_some() || !self.typed.lambs.iter().all(lamb::TypedLamb::is_empty) {
            self.aside.push(std::mem::take(&mut self.typed));
        }
        self.typed = Typed::default();
        if let Some(found) = super::fields::found(ctx, ewe) {
            self.typed.ewe.choose(found);
        }
        self.refusals.clear();
        self.focus = Some("Day".into());
    }

    /// The lambing is written: an empty form for the next, with the same day.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        let ewe = self.typed.ewe.chosen();
        let newest = ewe.and_then(|e| ctx.flock.file(e)).and_then(|f| f.lambings.iter().max_by_key(|l| l.id));
        self.written = newest.map(|l| l.lambs.clone()).unwrap_or_default();
        self.written_words = ewe.map(|e| ctx.flock.tag(e).to_string()).unwrap_or_default();
        let on = std::mem::take(&mut self.typed.on);
        self.typed = Typed { on, ..Typed::default() };
        self.refusals.clear();
        self.focus = Some("Ewe".into());
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    if !state.shown {
        state.shown = true;
        if state.focus.is_none() {
            state.focus = Some("Ewe".into());
        }
    }
    if state.typed.lambs.is_empty() {
        state.typed.lambs.push(lamb::TypedLamb::default());
    }
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
    ui.add_space(space::S);
    look::heading(ui, "Lambing");
    done(ui, state, out);
    form::view(ui, ctx, state, out);
}

/// What was just written, and its cards.
fn done(ui: &mut egui::Ui, state: &mut State, out: &mut Vec<Intent>) {
    if let Some(aside) = state.aside.pop() {
        let ewe = if aside.ewe.text.is_empty() { "another ewe".to_string() } else { aside.ewe.text.clone() };
        let mut back = false;
        look::banner(ui, look::Kind::Plain, &format!("A half-typed lambing of {ewe} was put aside"), |ui| {
            back = ui.button("Take it up again").clicked();
        });
        if back {
            let now = std::mem::replace(&mut state.typed, aside);
            let empty = now.ewe.chosen().is_none() && now.lambs.iter().all(lamb::TypedLamb::is_empty);
            if !empty {
                state.aside.insert(0, now);
            }
        } else {
            state.aside.push(aside);
        }
    }
    if state.written.is_empty() {
        return;
    }
    let words = format!("Written: lambing of {}", state.written_words);
    look::banner(ui, look::Kind::Good, &words, |ui| {
        ui.horizontal(|ui| {
            let n = state.written.len();
            let word =
                if n == 1 { "Card for the lamb".to_string() } else { format!("Cards for the {n} lambs") };
            if ui.button(word).clicked() {
                out.push(Intent::Print(PaperKind::LambCards, state.written.clone()));
            }
            if ui.button("Open the first lamb").clicked()
                && let Some(id) = state.written.first()
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

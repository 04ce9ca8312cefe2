//! Genes and registry: tests of genes and parents, who may carry what and what a mating risks, sections and breed parts.

mod carriers;
mod kept;
mod registry;
mod results;
mod typed;

use super::super::{Ctx, Intent};
use crate::look::space;
use crate::parts::{Choice, Form, FormEvent};
use serde::{Deserialize, Serialize};

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Tests,
    Carriers,
    Registry,
}

const PARTS: [(Part, &str); 3] = [
    (Part::Tests, "tests"),
    (Part::Carriers, "carriers and risks"),
    (Part::Registry, "registry and breed parts"),
];

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    part: Part,
    results: results::State,
    carriers: carriers::State,
    registry: registry::State,
    #[serde(skip)]
    inner: bool,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        match self.part {
            Part::Tests => self.results.after(ctx),
            Part::Registry => self.registry.after(),
            Part::Carriers => {}
        }
    }
}

/// Draws it. The keyboard comes to the choice first; Enter leads on into what it shows.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "genes").label_width(60.0);
    form.focus_once(ui, into, "See");
    let mut part = Some(state.part);
    form.choice(ui, &Choice::new("See", &PARTS), &mut part);
    state.part = part.unwrap_or_default();
    state.inner |= form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::S);
    let inner = &mut state.inner;
    match state.part {
        Part::Tests => results::view(ui, ctx, &mut state.results, inner, out),
        Part::Carriers => carriers::view(ui, ctx, &mut state.carriers, inner, out),
        Part::Registry => registry::view(ui, ctx, &mut state.registry, inner, out),
    }
}

/// Two halves side by side where there is room, the left one so wide, else one under the other; each scrolls.
fn halves<S>(
    ui: &mut egui::Ui,
    share: f32,
    state: &mut S,
    left: impl FnOnce(&mut egui::Ui, &mut S),
    right: impl FnOnce(&mut egui::Ui, &mut S),
) {
    let whole = ui.available_rect_before_wrap();
    if whole.width() > 900.0 {
        let (mut a, mut b) = (whole, whole);
        a.max.x = whole.left() + whole.width() * share;
        b.min.x = a.max.x + space::L;
        ui.scope_builder(egui::UiBuilder::new().max_rect(a), |ui| {
            egui::ScrollArea::vertical()
                .id_salt("genes left")
                .auto_shrink(false)
                .show(ui, |ui| left(ui, state));
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(b), |ui| {
            egui::ScrollArea::vertical()
                .id_salt("genes right")
                .auto_shrink(false)
                .show(ui, |ui| right(ui, state));
        });
        ui.advance_cursor_after_rect(whole);
    } else {
        egui::ScrollArea::vertical().id_salt("genes").auto_shrink(false).show(ui, |ui| {
            left(ui, state);
            ui.add_space(space::M);
            right(ui, state);
        });
    }
}

//! Treatments: give to one, a pen or a selection; who is held back; the log; the products.

mod doses;
mod give;
mod held;
mod log;
mod products;
mod whom;

pub(super) use held::side;

use super::sections::{sections, shown_anew};
use super::{Ctx, Intent};
use crate::look::{self, space};
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Give,
    Held,
    Log,
    Products,
}

const PARTS: [(Part, &str); 4] = [
    (Part::Give, "Give"),
    (Part::Held, "Under withdrawal"),
    (Part::Log, "Log"),
    (Part::Products, "Products"),
];

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    part: Part,
    give: give::Typed,
    product: products::Typed,
    log_search: String,
    held_search: String,
    #[serde(skip)]
    doses: doses::Doses,
    #[serde(skip)]
    held: held::Held,
    #[serde(skip)]
    log: log::Log,
    #[serde(skip)]
    products: products::Products,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    drawn: u64,
}

impl State {
    /// Chooses these animals for a treatment.
    pub fn start(&mut self, animals: Vec<AnimalId>) {
        self.part = Part::Give;
        self.give.choose(animals);
    }

    /// The entry is written: the form is ready for the next, with the same product, day and giver.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {
        match self.part {
            Part::Products => self.product.after(),
            _ => self.give.next(),
        }
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    look::heading(ui, "Treatments");
    let turned = sections(ui, "treatments", &PARTS, &mut state.part);
    if shown_anew(ui, &mut state.drawn) || turned {
        state.into = true;
    }
    ui.add_space(space::S);
    let into = &mut state.into;
    match state.part {
        Part::Give => give::view(ui, ctx, &mut state.give, &mut state.doses, into, &mut out),
        Part::Held => held::view(ui, ctx, &mut state.held, &mut state.held_search, into, &mut out),
        Part::Log => log::view(ui, ctx, &mut state.log, &mut state.log_search, into, &mut out),
        Part::Products => products::view(ui, ctx, &mut state.product, &mut state.products, into, &mut out),
    }
    out
}

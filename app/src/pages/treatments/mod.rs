//! Treatments: give to one, a pen or a selection; who is held back; the log; the products.

mod aside;
mod batches;
mod bottle;
mod doses;
mod eggs;
mod give;
mod held;
mod kept;
mod label;
mod log;
mod products;
mod rare;
mod read;
mod vets;
mod whom;

pub(super) use held::side;

use super::sections::{sections, shown_anew};
use super::{Ctx, Intent};
use crate::look::{self, space};
use hirsel_core::exchange::picture_in::Taking;
use hirsel_core::flock::{DocumentOf, RecordRef};
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
    Batches,
    Vets,
    Eggs,
}

const PARTS: [(Part, &str); 7] = [
    (Part::Give, "Give"),
    (Part::Held, "Under withdrawal"),
    (Part::Log, "Log"),
    (Part::Products, "Products"),
    (Part::Batches, "Batches and stock"),
    (Part::Vets, "Vets and prescriptions"),
    (Part::Eggs, "Egg counts"),
];

/// Its parts, as they are named on top of it.
pub fn parts() -> Vec<&'static str> {
    PARTS.iter().map(|(_, word)| *word).collect()
}

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    part: Part,
    give: give::Typed,
    product: products::Typed,
    batches: batches::State,
    vets: vets::State,
    eggs: eggs::State,
    log_search: String,
    held_search: String,
    #[serde(skip)]
    doses: doses::Doses,
    #[serde(skip)]
    bottles: bottle::Bottles,
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
    /// What a file dropped onto the page is kept with: the open batch or prescription.
    pub fn paper_target(&self) -> Option<(DocumentOf, Taking)> {
        let of = match self.part {
            Part::Batches => self.batches.paper_target(),
            Part::Vets => self.vets.paper_target(),
            _ => None,
        };
        of.map(|of| (of, Taking::default()))
    }

    /// Who is under withdrawal is seen.
    pub fn shows_held(&self) -> bool {
        self.part == Part::Held
    }

    /// Chooses these animals for a treatment.
    pub fn start(&mut self, animals: Vec<AnimalId>) {
        self.part = Part::Give;
        self.give.choose(animals);
    }

    /// Opens a record of the cupboard: its part of the page, with the record in its form.
    pub fn show_record(&mut self, record: RecordRef, ctx: &Ctx<'_>) {
        self.part = match record {
            RecordRef::Product(_) => Part::Products,
            RecordRef::Vet(_) | RecordRef::Prescription(_) => Part::Vets,
            RecordRef::EggCount(_) => Part::Eggs,
            RecordRef::Document(id) => {
                let of = ctx.flock.documents().get(id).map(|d| d.of);
                if matches!(of, Some(DocumentOf::Record(RecordRef::Prescription(_)))) {
                    Part::Vets
                } else {
                    Part::Batches
                }
            }
            _ => Part::Batches,
        };
        if let RecordRef::Product(id) = record {
            self.product.open(ctx.flock.products().iter().find(|p| p.id == id));
        }
        self.batches.show(record, ctx);
        self.vets.show(record, ctx);
        self.eggs.show(record, ctx);
    }

    /// An entry of the cupboard is written.
    pub fn after_cupboard(&mut self, ctx: &Ctx<'_>) {
        match self.part {
            Part::Batches => self.batches.after(ctx),
            Part::Vets => self.vets.after(ctx),
            Part::Eggs => self.eggs.after(ctx),
            _ => {}
        }
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
        Part::Give => {
            give::view(ui, ctx, &mut state.give, (&mut state.doses, &mut state.bottles), into, &mut out)
        }
        Part::Held => held::view(ui, ctx, &mut state.held, &mut state.held_search, into, &mut out),
        Part::Log => log::view(ui, ctx, &mut state.log, &mut state.log_search, into, &mut out),
        Part::Products => products::view(ui, ctx, &mut state.product, &mut state.products, into, &mut out),
        Part::Batches => batches::view(ui, ctx, &mut state.batches, into, &mut out),
        Part::Vets => vets::view(ui, ctx, &mut state.vets, into, &mut out),
        Part::Eggs => eggs::view(ui, ctx, &mut state.eggs, into, &mut out),
    }
    out
}

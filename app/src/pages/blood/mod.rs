//! Blood: pedigrees drawn and listed, genes and registry, diversity, and what is doubtful.

mod diversity;
mod doubts;
mod genes;
mod pedigree;
mod relations;

use super::sections::{sections, shown_anew};
use super::{Ctx, Intent};
use crate::look::{self, space};
use serde::{Deserialize, Serialize};

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Pedigree,
    Relations,
    Genes,
    Diversity,
    Doubts,
}

const PARTS: [(Part, &str); 5] = [
    (Part::Pedigree, "Pedigree"),
    (Part::Relations, "Relations"),
    (Part::Genes, "Genes and registry"),
    (Part::Diversity, "Diversity"),
    (Part::Doubts, "Doubts"),
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
    pedigree: pedigree::State,
    relations: relations::State,
    genes: genes::State,
    diversity: diversity::State,
    doubts: doubts::State,
    /// The animal of the drawing that the relations were last asked of.
    related: Option<hirsel_core::terms::AnimalId>,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    drawn: u64,
}

impl State {
    /// The part that shows the flock's diversity is seen.
    pub fn shows_diversity(&self) -> bool {
        self.part == Part::Diversity
    }

    /// Draws the pedigree of this animal.
    pub fn show_pedigree(&mut self, id: hirsel_core::terms::AnimalId) {
        self.part = Part::Pedigree;
        self.pedigree.show(id);
    }

    /// An entry of this page is written: its form is emptied.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        self.pedigree.after(ctx);
        self.relations.after(ctx);
        self.genes.after(ctx);
        self.diversity.after(ctx);
        self.doubts.after(ctx);
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    look::heading(ui, "Blood");
    let turned = sections(ui, "blood", &PARTS, &mut state.part);
    if shown_anew(ui, &mut state.drawn) || turned {
        state.into = true;
    }
    ui.add_space(space::S);
    // Relations are those of the animal that is drawn, until another is chosen there.
    if state.related != state.pedigree.shown() {
        state.related = state.pedigree.shown();
        state.relations.follow(ctx, state.related);
    }
    let into = &mut state.into;
    match state.part {
        Part::Pedigree => pedigree::view(ui, ctx, &mut state.pedigree, into, &mut out),
        Part::Relations => relations::view(ui, ctx, &mut state.relations, into, &mut out),
        Part::Genes => genes::view(ui, ctx, &mut state.genes, into, &mut out),
        Part::Diversity => diversity::view(ui, ctx, &mut state.diversity, into, &mut out),
        Part::Doubts => doubts::view(ui, ctx, &mut state.doubts, into, &mut out),
    }
    out
}

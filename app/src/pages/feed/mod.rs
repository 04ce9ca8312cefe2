//! Feed: the creeps, daily rations, the store, mixing, hay to spring, and what it all costs.

mod costs;
pub(super) mod creep;
mod mixing;
mod rations;
mod reckoned;
mod spring;
mod store;

use super::sections::{sections, shown_anew};
use super::{Ctx, Intent};
use crate::look::{self, space};
use hirsel_core::flock::RecordRef;
use serde::{Deserialize, Serialize};

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Creep,
    Rations,
    Store,
    Mixing,
    Spring,
    Costs,
}

const PARTS: [(Part, &str); 6] = [
    (Part::Creep, "Creep"),
    (Part::Rations, "Day by day"),
    (Part::Store, "Store"),
    (Part::Mixing, "Mixing"),
    (Part::Spring, "To spring"),
    (Part::Costs, "Costs"),
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
    creep: creep::State,
    rations: rations::State,
    store: store::State,
    mixing: mixing::State,
    spring: spring::State,
    costs: costs::State,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    drawn: u64,
}

impl State {
    /// An entry of this page is written: its form is emptied.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        match self.part {
            Part::Creep => self.creep.after(ctx),
            Part::Rations => self.rations.after(ctx),
            Part::Store => self.store.after(ctx),
            Part::Mixing => self.mixing.after(ctx),
            Part::Spring => self.spring.after(ctx),
            Part::Costs => self.costs.after(ctx),
        }
    }

    /// Shows the part where a record is found.
    pub fn show_record(&mut self, record: RecordRef) {
        if matches!(record, RecordRef::Creep(_) | RecordRef::PenCheck(_)) {
            self.creep.show_record(record);
        }
        self.part = match record {
            RecordRef::Creep(_) | RecordRef::PenCheck(_) => Part::Creep,
            RecordRef::Ration(id) => {
                self.rations.open(id);
                Part::Rations
            }
            _ => Part::Store,
        };
        if self.part == Part::Store {
            self.store.show(record);
        }
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    look::heading(ui, "Feed");
    let turned = sections(ui, "feed", &PARTS, &mut state.part);
    if shown_anew(ui, &mut state.drawn) || turned {
        state.into = true;
    }
    ui.add_space(space::S);
    let into = &mut state.into;
    match state.part {
        Part::Creep => creep::view(ui, ctx, &mut state.creep, into, &mut out),
        Part::Rations => rations::view(ui, ctx, &mut state.rations, into, &mut out),
        Part::Store => store::view(ui, ctx, &mut state.store, into, &mut out),
        Part::Mixing => mixing::view(ui, ctx, &mut state.mixing, into, &mut out),
        Part::Spring => spring::view(ui, ctx, &mut state.spring, into, &mut out),
        Part::Costs => costs::view(ui, ctx, &mut state.costs, into, &mut out),
    }
    out
}

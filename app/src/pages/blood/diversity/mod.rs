//! Diversity: how much of the founders' blood is left, and what to do to keep it.

mod bars;
mod figures;
mod rows;
mod tables;

use crate::look::{self, Kind, space};
use crate::pages::list::List;
use crate::pages::{Ctx, Intent};
use crate::parts::record_table::TableState;
use crate::parts::{Choice, Form, FormEvent};
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Day};
use serde::{Deserialize, Serialize};

/// What is looked at.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Look {
    #[default]
    Figures,
    Founders,
    Ancestors,
    DamLines,
    RamFamilies,
    Crops,
    Animals,
    Young,
}

const LOOKS: [(Look, &str); 8] = [
    (Look::Figures, "Figures"),
    (Look::Founders, "Founders"),
    (Look::Ancestors, "Ancestors"),
    (Look::DamLines, "Lines of dams"),
    (Look::RamFamilies, "Ram families"),
    (Look::Crops, "Crops"),
    (Look::Animals, "Animals"),
    (Look::Young, "Young stock"),
];

/// The key of a row: its number in the list it was made from.
type Key = u32;

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    look: Look,
    search: String,
    #[serde(skip)]
    into_table: bool,
    #[serde(skip)]
    made_for: Option<(u64, Option<Day>, Look, String)>,
    #[serde(skip)]
    list: List<Key>,
    #[serde(skip)]
    table: TableState<Key>,
    /// The animal each row leads to, by key.
    #[serde(skip)]
    opens: Vec<AnimalId>,
    #[serde(skip)]
    bars: Vec<bars::Bar>,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}
}

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "diversity").label_width(60.0);
    form.focus_once(ui, into, "Look at");
    let mut look = Some(state.look);
    form.choice(ui, &Choice::new("Look at", &LOOKS), &mut look);
    state.look = look.unwrap_or_default();
    state.into_table |= form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::S);
    let Some(made) = ctx.diversity else {
        let circle = ctx.kindred.and_then(|k| k.circle());
        match circle {
            Some(circle) => in_circle(ui, ctx, circle),
            None => {
                look::faint(ui, "Reckoning the blood of the flock…");
            }
        }
        return;
    };
    if let Some(circle) = &made.circle {
        in_circle(ui, ctx, circle);
        return;
    }
    if made.living == 0 {
        look::paragraph(
            ui,
            "No animal is in the flock yet. Once animals and their parents are written up under Flock (Ctrl+3), this tells how much of their \
             founders' blood is left.",
        );
        return;
    }
    rows::make(ctx, made, state);
    if made.version() != ctx.flock.version() {
        look::faint(ui, "Being reckoned anew after the last entry…");
    }
    match state.look {
        Look::Figures => figures::view(ui, made, state, out),
        _ => tables::view(ui, made, state, out),
    }
}

fn in_circle(ui: &mut egui::Ui, ctx: &Ctx<'_>, circle: &[AnimalId]) {
    let tags: Vec<&str> = circle.iter().map(|id| ctx.flock.tag(*id)).collect();
    let words = phrase!(
        "The pedigree runs in a circle through {}: nothing can be reckoned until one parent is mended, under Doubts.",
        tags.join(", child of ")
    );
    look::banner(ui, Kind::Refuse, &words, |_| {});
}

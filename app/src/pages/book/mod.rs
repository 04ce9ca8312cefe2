//! The book: who keeps the flock, tables in and out, the journal, copies and the check.

mod copies;
mod faults;
mod holding;
mod journal;
mod tables;

use super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::{Choice, Form, FormEvent};
use serde::{Deserialize, Serialize};

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Holding,
    Tables,
    Journal,
    Copies,
}

const PARTS: [(Part, &str); 4] = [
    (Part::Holding, "Flock and keeper"),
    (Part::Tables, "Tables in and out"),
    (Part::Journal, "Journal"),
    (Part::Copies, "Copies and check"),
];

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    part: Part,
    holding: holding::Typed,
    tables: tables::Typed,
    copies: copies::Typed,
    search: String,
    #[serde(skip)]
    journal: journal::Journal,
    #[serde(skip)]
    seen: bool,
    #[serde(skip)]
    into: bool,
}

impl State {
    /// Records were taken out for good.
    pub fn purged(&mut self) {
        self.copies.purged();
    }

    /// The entry is written: the form shows what stands there now.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {
        self.holding = holding::Typed::default();
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    look::heading(ui, "The book");
    let file = ctx.path.file_name().unwrap_or_default().to_string_lossy();
    let animals =
        if ctx.flock.len() == 1 { "1 animal".into() } else { format!("{} animals", ctx.flock.len()) };
    look::faint(ui, format!("{file} · {animals}")).on_hover_text(ctx.path.display().to_string());
    let mut form = Form::new(ui, "book").label_width(60.0);
    if !state.seen {
        state.seen = true;
        form.focus(ui, "Show");
    }
    let mut part = Some(state.part);
    form.choice(ui, &Choice::new("Show", &PARTS), &mut part);
    // Enter goes on into the part that is shown.
    state.into |= form.finish(ui) == FormEvent::Submitted;
    state.part = part.unwrap_or_default();
    let into = &mut state.into;
    ui.add_space(space::M);
    match state.part {
        Part::Holding => scrolled(ui, |ui| holding::view(ui, ctx, &mut state.holding, into, &mut out)),
        Part::Tables => scrolled(ui, |ui| tables::view(ui, ctx, &mut state.tables, into, &mut out)),
        Part::Journal => journal::view(ui, ctx, &mut state.journal, &mut state.search, into, &mut out),
        Part::Copies => scrolled(ui, |ui| copies::view(ui, ctx, &mut state.copies, into, &mut out)),
    }
    out
}

fn scrolled(ui: &mut egui::Ui, add: impl FnOnce(&mut egui::Ui)) {
    egui::ScrollArea::vertical().auto_shrink(false).show(ui, add);
}

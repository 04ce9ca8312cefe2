//! The book: who keeps the flock, tables in and out, the journal, copies and the check.

mod copies;
mod faults;
mod holding;
mod journal;
mod kept;
mod standard_in;
mod standard_out;
mod tables_in;
mod tables_out;
mod two;

use super::papers_kept::Typed;
use super::sections::turned;
use super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::{Choice, Form, FormEvent};
use hirsel_core::exchange::picture_in::Taking;
use hirsel_core::flock::DocumentOf;
use hirsel_core::phrase;
use serde::{Deserialize, Serialize};

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Holding,
    TablesIn,
    TablesOut,
    Journal,
    Copies,
    Two,
}

const PARTS: [(Part, &str); 6] = [
    (Part::Holding, "Flock and keeper"),
    (Part::TablesIn, "Tables in"),
    (Part::TablesOut, "Tables out"),
    (Part::Journal, "Journal"),
    (Part::Copies, "Copies and check"),
    (Part::Two, "Two copies"),
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
    holding: holding::Typed,
    tables: tables_in::Typed,
    out: tables_out::Typed,
    copies: copies::Typed,
    two: two::Typed,
    papers: Typed,
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

    /// A paper of the holding is kept, mended or struck out.
    pub fn paper_done(&mut self) {
        self.papers.done();
    }

    /// What a file dropped onto the page is kept with.
    pub fn paper_target(&self) -> Option<(DocumentOf, Taking)> {
        (self.part == Part::Holding).then(|| (DocumentOf::Holding, self.papers.how()))
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
        if ctx.flock.len() == 1 { phrase!("1 animal") } else { phrase!("{} animals", ctx.flock.len()) };
    look::faint(ui, format!("{file} · {animals}")).on_hover_text(ctx.path.display().to_string());
    state.into |= turned(ui, &PARTS, &mut state.part);
    let mut form = Form::new(ui, "book").label_width(60.0);
    if !state.seen {
        state.seen = true;
        form.focus(ui, "Show");
    }
    if let Some(part) = super::sections::granted(ui, &PARTS) {
        state.part = part;
        state.into = true;
    }
    let mut part = Some(state.part);
    form.choice(ui, &Choice::new("Show", &PARTS), &mut part);
    // Enter goes on into the part that is shown.
    state.into |= form.finish(ui) == FormEvent::Submitted;
    state.part = part.unwrap_or_default();
    let into = &mut state.into;
    ui.add_space(space::M);
    match state.part {
        Part::Holding => scrolled(ui, state.part, |ui| {
            holding::view(ui, ctx, &mut state.holding, into, &mut out);
            kept::view(ui, ctx, &mut state.papers, &mut out);
        }),
        Part::TablesIn => {
            scrolled(ui, state.part, |ui| tables_in::view(ui, ctx, &mut state.tables, into, &mut out))
        }
        Part::TablesOut => {
            scrolled(ui, state.part, |ui| tables_out::view(ui, ctx, &mut state.out, into, &mut out))
        }
        Part::Journal => journal::view(ui, ctx, &mut state.journal, &mut state.search, into, &mut out),
        Part::Copies => {
            scrolled(ui, state.part, |ui| copies::view(ui, ctx, &mut state.copies, into, &mut out))
        }
        Part::Two => scrolled(ui, state.part, |ui| two::view(ui, ctx, &mut state.two, into, &mut out)),
    }
    out
}

/// Each part is scrolled by itself.
fn scrolled(ui: &mut egui::Ui, part: Part, add: impl FnOnce(&mut egui::Ui)) {
    egui::ScrollArea::vertical().id_salt(part as usize).auto_shrink(false).show(ui, add);
}

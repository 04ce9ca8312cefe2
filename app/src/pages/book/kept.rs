//! Papers of the holding itself, and how much room the book takes.

use super::super::papers_kept::{Typed, section};
use super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use hirsel_core::book::{Room, size_words};
use hirsel_core::flock::DocumentOf;
use hirsel_core::phrase;

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    ui.add_space(space::M);
    look::subheading(ui, "Papers of the holding");
    section(ui, ctx, DocumentOf::Holding, t, out);
    ui.add_space(space::M);
    look::subheading(ui, "Room the book takes");
    ui.add(egui::Label::new(words(ctx)).wrap());
    if let Some(caution) = (Room { file: ctx.file_size, papers: 0, journal: 0 }).caution() {
        look::banner(ui, Kind::Caution, &caution, |_| {});
    }
    ui.add_space(space::M);
}

/// All of it where that was measured, else what is known without reading the whole book.
fn words(ctx: &Ctx<'_>) -> String {
    match ctx.room {
        Some(room) => room.words(),
        None => {
            let papers = ctx.flock.documents().bytes();
            let rest = ctx.file_size.saturating_sub(papers);
            phrase!(
                "{}: {} pictures and papers, {} journal and records; the check of the book tells them apart",
                size_words(ctx.file_size),
                size_words(papers),
                size_words(rest)
            )
        }
    }
}

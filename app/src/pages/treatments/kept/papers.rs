//! The papers kept with a batch or a prescription: shown, kept, struck out.

use super::super::super::{Ctx, Intent, papers_kept};
use super::{Doing, Kept, Typed};
use crate::look::{self, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::book::size_words as size;
use hirsel_core::exchange::picture_in::Taking;
use hirsel_core::flock::Document;
use hirsel_core::phrase;

/// Draws them; a struck record takes no further papers.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    of: Kept,
    struck: bool,
    t: &mut Typed,
    out: &mut Vec<Intent>,
) {
    let (owner, what) = match of {
        Kept::Batch(_) => (of.owner(), "invoice"),
        Kept::Prescription(_) => (of.owner(), "prescription"),
        _ => return,
    };
    ui.add_space(space::M);
    look::subheading(ui, "Papers kept with it");
    let all: Vec<&Document> = ctx.flock.documents().with(owner).collect();
    for d in &all {
        ui.horizontal_wrapped(|ui| {
            let words = phrase!("{} ({}, {}), kept {}", d.name, d.kind, size(d.size), d.on.words());
            papers_kept::line(ui, d, words, out);
            if d.struck.is_none()
                && t.doing == Doing::Reading
                && ui.button(phrase!("Strike out {}", papers_kept::short(&d.name))).clicked()
            {
                t.doing = Doing::StrikingPaper(d.id);
                t.focus = true;
            }
        });
    }
    if all.is_empty() {
        look::faint(
            ui,
            phrase!("None yet: keep the {what} here, as a PDF or a picture, and it goes with the book."),
        );
    }
    if struck || t.doing != Doing::Reading {
        return;
    }
    let mut form = Form::new(ui, "keep a paper").label_width(140.0);
    let field = Field::new("File to keep").width(320.0).example("scan.pdf, or its whole path");
    form.field(ui, &field, &mut t.path);
    let typed = t.path.trim();
    let mut go = form.finish(ui) == FormEvent::Submitted && !typed.is_empty();
    ui.horizontal(|ui| {
        ui.add_space(148.0);
        let keep = egui::Button::new(phrase!("Keep this file"));
        go |= ui.add_enabled(!typed.is_empty(), keep).clicked();
        if ui.button(phrase!("Choose a file")).clicked() {
            out.push(Intent::KeepPaper { of: owner, paths: Vec::new(), how: Taking::default() });
        }
        look::faint(ui, "PDF, PNG or JPEG, up to 20 MB. The file itself stays where it is.");
    });
    if go {
        let paths = papers_kept::paths(typed);
        out.push(Intent::KeepPaper { of: owner, paths, how: Taking::default() });
    }
}

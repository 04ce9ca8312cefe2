//! The papers kept with a batch or a prescription: shown, kept, struck out.

use super::super::super::{Ctx, Intent};
use super::{Doing, Kept, Typed};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::flock::{Document, DocumentOf};
use std::path::PathBuf;

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
        Kept::Batch(id) => (DocumentOf::Batch(id), "invoice"),
        Kept::Prescription(id) => (DocumentOf::Prescription(id), "prescription"),
        _ => return,
    };
    ui.add_space(space::M);
    look::subheading(ui, "Papers kept with it");
    let all: Vec<&Document> = ctx.flock.cupboard().documents.iter().filter(|d| d.of == owner).collect();
    for d in &all {
        ui.horizontal_wrapped(|ui| {
            let words = format!("{} ({}, {}), kept {}", d.name, d.kind, size(d.size), d.on.words());
            match &d.struck {
                Some(s) => {
                    ui.label(egui::RichText::new(words).strikethrough());
                    look::chip(ui, Kind::Refuse, &format!("struck out {}: {}", s.on.words(), s.reason));
                }
                None => {
                    ui.label(words);
                }
            }
            if ui.button(format!("Show {}", short(&d.name))).clicked() {
                out.push(Intent::ShowPaper(d.id));
            }
            if d.struck.is_none()
                && t.doing == Doing::Reading
                && ui.button(format!("Strike out {}", short(&d.name))).clicked()
            {
                t.doing = Doing::StrikingPaper(d.id);
                t.focus = true;
            }
        });
    }
    if all.is_empty() {
        look::faint(
            ui,
            format!("None yet: keep the {what} here, as a PDF or a picture, and it goes with the book."),
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
        let keep = egui::Button::new("Keep this file");
        go |= ui.add_enabled(!typed.is_empty(), keep).clicked();
        if ui.button("Choose a file").clicked() {
            out.push(Intent::KeepPaper(owner, None));
        }
        look::faint(ui, "PDF, PNG or JPEG, up to 20 MB. The file itself stays where it is.");
    });
    if go {
        out.push(Intent::KeepPaper(owner, Some(PathBuf::from(typed))));
    }
}

/// `48 kB`, `1.2 MB`.
fn size(bytes: u64) -> String {
    match bytes {
        0..1_000 => format!("{bytes} bytes"),
        1_000..1_000_000 => format!("{} kB", bytes / 1_000),
        _ => format!("{}.{} MB", bytes / 1_000_000, bytes % 1_000_000 / 100_000),
    }
}

/// A name that is not longer than a button should be.
fn short(name: &str) -> String {
    match name.char_indices().nth(28) {
        Some((at, _)) => format!("{}…", &name[..at]),
        None => name.to_string(),
    }
}

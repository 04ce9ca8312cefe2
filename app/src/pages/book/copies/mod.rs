//! Kept copies and what is made of them, a copy elsewhere, a second place, the check, and closing the book.

mod compared;
mod list;
mod place;
mod purge;
mod sealed;

use super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::phrase;
use hirsel_core::terms::Day;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    to: String,
    to_typed: bool,
    before: String,
    word: String,
    place: place::Typed,
    #[serde(skip)]
    sealed: sealed::Typed,
    #[serde(skip)]
    list: list::Copies,
    #[serde(skip)]
    compared: compared::Shown,
    #[serde(skip)]
    would: Option<(u64, Day, Result<String, String>)>,
}

impl Typed {
    /// Records were taken out: the form is empty.
    pub(super) fn purged(&mut self) {
        self.before.clear();
        self.word.clear();
        self.would = None;
    }
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    look::subheading(ui, "Copy the book");
    look::paragraph(ui, phrase!("This book is the one file {}", ctx.path.display()));
    look::paragraph(
        ui,
        "Copies beside the book do not help when the disk is lost: now and then put one on a stick or another machine.",
    );
    if !t.to_typed {
        let name = ctx.path.file_stem().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
        t.to = format!("{name} {}.hirsel", ctx.today);
    }
    let mut form = Form::new(ui, "copy").label_width(80.0);
    form.focus_once(ui, into, "Copy to");
    if form.field(ui, &Field::new("Copy to").width(440.0), &mut t.to).response.changed() {
        t.to_typed = true;
    }
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(88.0);
        go |= look::primary(ui, "Copy the book").clicked();
        if ui.button(phrase!("Choose where…")).clicked() {
            out.push(Intent::CopyBook(None));
        }
        look::faint(ui, "A bare name lies beside the book.");
    });
    if go {
        out.push(Intent::CopyBook(Some(PathBuf::from(t.to.trim()))));
    }
    ui.add_space(space::L);
    list::view(ui, ctx, &mut t.list, out);
    compared::view(ui, ctx, &mut t.compared, out);
    ui.add_space(space::L);
    check(ui, ctx, out);
    ui.add_space(space::L);
    place::view(ui, ctx, &mut t.place, out);
    ui.add_space(space::L);
    sealed::view(ui, ctx, &mut t.sealed, out);
    ui.add_space(space::L);
    purge::view(ui, ctx, t, out);
    ui.add_space(space::L);
    look::subheading(ui, "Close the book");
    ui.horizontal(|ui| {
        if ui.button(phrase!("Close this book")).clicked() {
            out.push(Intent::CloseBook);
        }
        look::faint(ui, "Closed, it is one file that can be copied, moved or sent.");
    });
    ui.add_space(space::M);
}

fn check(ui: &mut egui::Ui, ctx: &Ctx<'_>, out: &mut Vec<Intent>) {
    look::subheading(ui, "Check");
    ui.horizontal(|ui| {
        if ui.button(phrase!("Check the whole book")).clicked() {
            out.push(Intent::CheckBook);
        }
        look::faint(ui, "Reads every page, follows every key, looks at every animal.");
    });
    let Some((last, lines)) = ctx.report.and_then(|r| r.lines.split_last()) else { return };
    ui.add_space(space::XS);
    let whole = ctx.report.is_some_and(|r| r.whole);
    look::banner(ui, if whole { Kind::Good } else { Kind::Refuse }, last, |ui| {
        for line in lines {
            ui.add(egui::Label::new(line).wrap());
        }
    });
}

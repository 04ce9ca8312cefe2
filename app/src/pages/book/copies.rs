//! Kept copies, a copy elsewhere, the check, and closing the book.

use super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::reckon::purge::{bound, going};
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

/// What is typed before anything is taken out for good.
const WORD: &str = "take out";

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    look::subheading(ui, "Copy the book");
    look::paragraph(ui, format!("This book is the one file {}", ctx.path.display()));
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
        if ui.button("Choose where…").clicked() {
            out.push(Intent::CopyBook(None));
        }
        look::faint(ui, "A bare name lies beside the book.");
    });
    if go {
        out.push(Intent::CopyBook(Some(PathBuf::from(t.to.trim()))));
    }
    ui.add_space(space::L);
    kept(ui, ctx);
    ui.add_space(space::L);
    check(ui, ctx, out);
    ui.add_space(space::L);
    purge(ui, ctx, t, out);
    ui.add_space(space::L);
    look::subheading(ui, "Close the book");
    ui.horizontal(|ui| {
        if ui.button("Close this book").clicked() {
            out.push(Intent::CloseBook);
        }
        look::faint(ui, "Closed, it is one file that can be copied, moved or sent.");
    });
    ui.add_space(space::M);
}

fn kept(ui: &mut egui::Ui, ctx: &Ctx<'_>) {
    look::subheading(ui, format!("Copies kept beside the book ({})", ctx.copies.len()));
    look::faint(
        ui,
        "One a day for the last 7 days the book was opened, one a week for 4 weeks, one a month for 12 months.",
    );
    let Some(newest) = ctx.copies.first() else {
        look::paragraph(
            ui,
            "None yet: one is made when the book is opened again after something was written.",
        );
        return;
    };
    egui::Grid::new("copies").num_columns(3).spacing([space::L, 2.0]).show(ui, |ui| {
        for c in ctx.copies {
            look::strong(ui, c.on.words());
            let words = match ctx.today.since(c.on) {
                0 => "today".to_string(),
                1 => "yesterday".to_string(),
                n => format!("{n} days ago"),
            };
            look::faint(ui, words);
            ui.label(c.path.file_name().unwrap_or_default().to_string_lossy());
            ui.end_row();
        }
    });
    if let Some(folder) = newest.path.parent() {
        look::faint(ui, format!("in {}", folder.display()));
    }
    ui.add_space(space::S);
    look::paragraph(
        ui,
        "To get one back: close the book, then run the line below in a terminal, with the copy you want. What stands there now is kept beside it. A copy is a whole book: it can be opened like any other to look into it first.",
    );
    let line = format!("hirsel restore \"{}\" \"{}\"", newest.path.display(), ctx.path.display());
    ui.horizontal_wrapped(|ui| {
        look::strong(ui, line.as_str());
        if ui.button("Copy the line").clicked() {
            ui.ctx().copy_text(line.clone());
        }
    });
}

/// Taking out for good what need no longer be kept: a day, then a word typed in full.
fn purge(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    look::subheading(ui, "Take out what need no longer be kept");
    let least = bound(ctx.flock, ctx.today);
    look::paragraph(
        ui,
        format!(
            "Treatments, batches, stock entries, prescriptions and papers of moves, of animals that died or left, from before a day you choose: at most from before {} ({}). Nothing of an animal in the flock goes, and the pedigree stays. A copy of the whole book is made first and kept under a name of its own. It cannot be undone.",
            least.day.words(),
            least.why
        ),
    );
    let today = ctx.today;
    let day = |text: &str| Day::parse_typed(text, today).map(Day::long).map_err(|e| e.0);
    let mut form = Form::new(ui, "purge").label_width(80.0);
    form.field(ui, &Field::new("Before").width(150.0).example("a day").understand(&day), &mut t.before);
    let before = Day::parse_typed(&t.before, today).ok().filter(|_| !t.before.trim().is_empty());
    let mut ready = false;
    if let Some(before) = before {
        if t.would.as_ref().is_none_or(|(v, d, _)| (*v, *d) != (ctx.flock.version(), before)) {
            let said = if before > least.day {
                Err(format!("records from {} on must stay: {}", least.day.words(), least.why))
            } else {
                let going = going(ctx.flock, before);
                if going.is_empty() {
                    Err("nothing from before that day can go".into())
                } else {
                    Ok(going.words())
                }
            };
            t.would = Some((ctx.flock.version(), before, said));
        }
        match &t.would {
            Some((_, _, Ok(what))) => {
                look::sentence(ui, Kind::Caution, &format!("Would go: {what}."));
                let example = format!("type: {WORD}");
                form.field(ui, &Field::new("Sure?").width(150.0).example(&example), &mut t.word);
                ready = t.word.trim().eq_ignore_ascii_case(WORD);
            }
            Some((_, _, Err(why))) => {
                look::refusal(ui, why);
            }
            None => {}
        }
    }
    let submitted = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(88.0);
        let clicked = ui.add_enabled(ready, egui::Button::new("Take them out for good")).clicked();
        if let Some(before) = before.filter(|_| ready && (clicked || submitted)) {
            out.push(Intent::Purge(before));
        }
    });
}

fn check(ui: &mut egui::Ui, ctx: &Ctx<'_>, out: &mut Vec<Intent>) {
    look::subheading(ui, "Check");
    ui.horizontal(|ui| {
        if ui.button("Check the whole book").clicked() {
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

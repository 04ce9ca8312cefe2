//! Tables in and out: read and looked at first, then brought in as one write, or not at all.

use super::super::{Ctx, Intent, fields};
use super::faults::{self, Faults};
use crate::desk::tables::Coming;
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::exchange::Kind as Table;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    kind: Option<usize>,
    file: String,
    folder: String,
    word: String,
    #[serde(skip)]
    columns: bool,
    #[serde(skip)]
    faults: Faults,
    /// The table whose word was asked for.
    #[serde(skip)]
    asked: u64,
    #[serde(skip)]
    ask: bool,
}

const LABELS: f32 = 110.0;

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    bring_in(ui, ctx, t, into, out);
    coming(ui, ctx, t, out);
    ui.add_space(space::L);
    take_out(ui, ctx, t, out);
}

fn bring_in(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    let kinds: Vec<(usize, &str)> = Table::ALL.iter().map(|k| k.word()).enumerate().collect();
    look::subheading(ui, "Bring in a table");
    let mut form = Form::new(ui, "bring in").label_width(LABELS);
    form.focus_once(ui, into, "It holds");
    let mut chosen = Some(t.kind.unwrap_or(0));
    form.choice(ui, &Choice::new("It holds", &kinds), &mut chosen);
    t.kind = chosen;
    let kind = t.kind.and_then(|k| Table::ALL.get(k).copied()).unwrap_or(Table::Animals);
    // A file chosen in the dialog stands in the field too.
    if let Some(Coming::Reading { path, .. }) = ctx.coming {
        let shown = crate::desk::files::absolute(&t.file, ctx.path);
        if shown != *path {
            t.file = path.display().to_string();
        }
    }
    form.field(ui, &Field::new("File").width(440.0).example("a CSV file, saved as UTF-8"), &mut t.file);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        go |= look::primary(ui, "Read it").clicked();
        if ui.button("Choose a file…").clicked() {
            out.push(Intent::Import { kind, path: None });
        }
        let word = if t.columns { "Hide the columns" } else { "What the columns are" };
        if ui.button(word).clicked() {
            t.columns = !t.columns;
        }
    });
    if go {
        match fields::some(&t.file) {
            Some(path) => out.push(Intent::Import { kind, path: Some(PathBuf::from(path)) }),
            None => out.push(Intent::Say(Kind::Refuse, "which file? Type its name, or choose it".into())),
        }
    }
    if t.columns {
        columns(ui, kind);
        return;
    }
    let needed: Vec<&str> = kind.columns().iter().filter(|c| c.needed).map(|c| c.name).collect();
    let more: Vec<&str> = kind.columns().iter().filter(|c| !c.needed).map(|c| c.name).collect();
    let more = if more.is_empty() { String::new() } else { format!(" And any of: {}.", more.join(", ")) };
    look::paragraph(ui, format!("Columns that must be there: {}.{more}", needed.join(", ")));
}

/// Every column and what stands in it.
fn columns(ui: &mut egui::Ui, kind: Table) {
    look::paragraph(
        ui,
        "The first line names the columns, in any order. Comma, semicolon or tab stands between values; days are written 2026-04-03; numbers may have a point or a comma.",
    );
    egui::Grid::new("columns").num_columns(3).spacing([space::L, 2.0]).show(ui, |ui| {
        for c in kind.columns() {
            look::strong(ui, c.name);
            look::faint(ui, if c.needed { "must be there" } else { "" });
            ui.label(c.about);
            ui.end_row();
        }
    });
}

/// What was read, before anything is written.
fn coming(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    let Some(coming) = ctx.coming else { return };
    ui.add_space(space::S);
    match coming {
        Coming::Reading { name, .. } => {
            look::faint(ui, format!("Reading {name} …"));
        }
        Coming::Refused { number, name, whole, rows } => {
            let text = format!("{name} was refused and nothing was written: mend these and read it again");
            look::banner(ui, Kind::Refuse, &text, |ui| {
                for line in whole {
                    ui.add(egui::Label::new(line).wrap());
                }
            });
            faults::table(ui, ("Values to mend", "What to do"), *number, rows, &mut t.faults, out);
            if ui.button("Close").clicked() {
                out.push(Intent::ImportNo);
            }
        }
        Coming::Ready { number, sentence, cautions, nothing, .. } => {
            look::banner(ui, Kind::Accent, &format!("Read and checked: {sentence}"), |_| {});
            if !cautions.is_empty() {
                let n = cautions.len();
                let words = if n == 1 {
                    "1 value looks unlikely".into()
                } else {
                    format!("{n} values look unlikely")
                };
                look::word(ui, Kind::Caution, &words);
                faults::table(
                    ui,
                    ("Values to look at", "What is odd"),
                    *number,
                    cautions,
                    &mut t.faults,
                    out,
                );
            }
            ready(ui, t, *number, *nothing, !cautions.is_empty(), out);
        }
    }
}

/// The last step: a word if something looks unlikely, then yes or no.
fn ready(ui: &mut egui::Ui, t: &mut Typed, number: u64, nothing: bool, ask: bool, out: &mut Vec<Intent>) {
    let new = t.asked != number;
    if new {
        t.asked = number;
        t.word.clear();
        t.ask = ask && !nothing;
    }
    let mut yes = false;
    if ask && !nothing {
        look::paragraph(
            ui,
            "If all of it is right as written, say why in a word or two: it is kept with the import.",
        );
        let mut form = Form::new(ui, "import word").label_width(LABELS);
        form.focus_once(ui, &mut t.ask, "Why");
        form.field(ui, &Field::new("Why").width(440.0).example("weighed twice"), &mut t.word);
        yes = form.finish(ui) == FormEvent::Submitted;
    }
    ui.horizontal(|ui| {
        if nothing {
            look::faint(ui, "There is nothing new in it.");
        } else {
            let button = look::primary(ui, "Bring them in");
            if new && !ask {
                button.request_focus();
            }
            yes |= button.clicked();
        }
        if ui.button("Leave it").clicked() {
            out.push(Intent::ImportNo);
        }
    });
    if yes {
        out.push(Intent::ImportYes(t.word.clone()));
    }
}

fn take_out(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    look::subheading(ui, "Take tables out");
    if t.folder.is_empty() {
        t.folder = ctx.path.parent().map(|p| p.display().to_string()).unwrap_or_default();
    }
    let mut form = Form::new(ui, "take out").label_width(LABELS);
    form.field(ui, &Field::new("Into the folder").width(440.0), &mut t.folder);
    let mut all = form.finish(ui) == FormEvent::Submitted;
    let folder = crate::desk::files::absolute(&t.folder, ctx.path);
    ui.horizontal_wrapped(|ui| {
        ui.add_space(LABELS + space::S);
        all |= ui.button("All of them").clicked();
        for k in Table::ALL {
            if ui.button(k.word()).clicked() {
                out.push(Intent::Export { kinds: vec![k], folder: folder.clone() });
            }
        }
    });
    if all {
        out.push(Intent::Export { kinds: Table::ALL.to_vec(), folder });
    }
    look::faint(
        ui,
        "The same columns come in again. Pens of the past, notes by day, jobs ticked, kept papers and struck-out lines stay in the book: a copy of it keeps those.",
    );
}

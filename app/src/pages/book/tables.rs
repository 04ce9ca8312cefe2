//! Tables in and out: read and looked at first, then brought in as one write, or not at all.

use super::super::{Ctx, Intent, fields};
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
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    let kinds: Vec<(usize, &str)> = Table::ALL.iter().map(|k| k.word()).enumerate().collect();
    let kind = t.kind.and_then(|k| Table::ALL.get(k).copied()).unwrap_or(Table::Animals);
    look::subheading(ui, "Bring in a table");
    let mut form = Form::new(ui, "bring in").label_width(110.0);
    form.focus_once(ui, into, "It holds");
    let mut chosen = Some(t.kind.unwrap_or(0));
    form.choice(ui, &Choice::new("It holds", &kinds), &mut chosen);
    t.kind = chosen;
    form.field(ui, &Field::new("File").width(440.0).example("a CSV file, saved as UTF-8"), &mut t.file);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(118.0);
        go |= look::primary(ui, "Read it").clicked();
        if ui.button("Choose a file…").clicked() {
            out.push(Intent::Import { kind, path: None });
        }
    });
    if go {
        match fields::some(&t.file) {
            Some(path) => out.push(Intent::Import { kind, path: Some(PathBuf::from(path)) }),
            None => out.push(Intent::Say(Kind::Refuse, "which file? Type its name, or choose it".into())),
        }
    }
    let needed: Vec<&str> = kind.columns().iter().filter(|c| c.needed).map(|c| c.name).collect();
    let more: Vec<&str> = kind.columns().iter().filter(|c| !c.needed).map(|c| c.name).collect();
    look::paragraph(
        ui,
        format!("Columns that must be there: {}. And any of: {}.", needed.join(", "), more.join(", ")),
    );
    coming(ui, ctx, out);
    ui.add_space(space::L);
    look::subheading(ui, "Take tables out");
    if t.folder.is_empty() {
        t.folder = ctx.path.parent().map(|p| p.display().to_string()).unwrap_or_default();
    }
    let mut form = Form::new(ui, "take out").label_width(110.0);
    form.field(ui, &Field::new("Into the folder").width(440.0), &mut t.folder);
    let mut all = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal_wrapped(|ui| {
        ui.add_space(118.0);
        all |= ui.button("All six").clicked();
        for k in Table::ALL {
            if ui.button(k.word()).clicked() {
                out.push(Intent::Export { kinds: vec![k], folder: PathBuf::from(t.folder.trim()) });
            }
        }
    });
    if all {
        out.push(Intent::Export { kinds: Table::ALL.to_vec(), folder: PathBuf::from(t.folder.trim()) });
    }
    look::faint(ui, "The same columns come in again, so nobody is ever locked in.");
}

/// What was read, before anything is written.
fn coming(ui: &mut egui::Ui, ctx: &Ctx<'_>, out: &mut Vec<Intent>) {
    let Some(coming) = ctx.coming else { return };
    ui.add_space(space::S);
    match coming {
        Coming::Reading(name) => {
            look::faint(ui, format!("Reading {name} …"));
        }
        Coming::Refused { name, lines } => {
            let text = format!("{name} was refused and nothing was written: mend these and read it again");
            look::banner(ui, Kind::Refuse, &text, |ui| {
                rows(ui, "refused rows", lines);
                if ui.button("Close").clicked() {
                    out.push(Intent::ImportNo);
                }
            });
        }
        Coming::Ready { sentence, cautions, nothing, .. } => {
            look::banner(ui, Kind::Accent, &format!("Read and checked: {sentence}"), |ui| {
                if !cautions.is_empty() {
                    let n = cautions.len();
                    look::word(
                        ui,
                        Kind::Caution,
                        &format!("{n} to look at once more; they are kept with the import:"),
                    );
                    rows(ui, "cautions", cautions);
                }
                ui.horizontal(|ui| {
                    if *nothing {
                        look::faint(ui, "There is nothing new in it.");
                    } else {
                        let yes = look::primary(ui, "Bring them in");
                        if ui.memory(|m| m.focused().is_none()) {
                            yes.request_focus();
                        }
                        if yes.clicked() {
                            out.push(Intent::ImportYes);
                        }
                    }
                    if ui.button("Leave it").clicked() {
                        out.push(Intent::ImportNo);
                    }
                });
            });
        }
    }
}

fn rows(ui: &mut egui::Ui, name: &str, lines: &[String]) {
    let height = ui.text_style_height(&egui::TextStyle::Body) + space::XS;
    egui::ScrollArea::both().id_salt(name).max_height(220.0).auto_shrink([false, true]).show_rows(
        ui,
        height,
        lines.len(),
        |ui, seen| {
            for line in &lines[seen] {
                ui.add(egui::Label::new(line).extend());
            }
        },
    );
}

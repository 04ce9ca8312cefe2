//! Tables out: into a folder, by kind or all of them, as CSV or spreadsheets; everything as one ZIP.

use super::super::{Ctx, Intent};
use crate::desk::saving::{DRESSES, Dress};
use crate::desk::taken::Wish;
use crate::look::{self, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::exchange::Kind as Table;
use hirsel_core::phrase;
use serde::{Deserialize, Serialize};

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    folder: String,
    dress: Dress,
    standard: super::standard_out::Typed,
    /// The book's own folder was offered.
    #[serde(skip)]
    offered: bool,
}

const LABELS: f32 = 110.0;

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    look::subheading(ui, "Take tables out");
    if t.folder.is_empty() && !t.offered {
        t.folder = ctx.path.parent().map(|p| p.display().to_string()).unwrap_or_default();
    }
    t.offered = true;
    let mut form = Form::new(ui, "take out").label_width(LABELS);
    form.focus_once(ui, into, "Into the folder");
    let mut dress = Some(t.dress);
    form.choice(ui, &Choice::new("As", &DRESSES), &mut dress);
    t.dress = dress.unwrap_or_default();
    form.field(ui, &Field::new("Into the folder").width(440.0), &mut t.folder);
    let mut all = form.finish(ui) == FormEvent::Submitted;
    let folder = crate::desk::files::absolute(&t.folder, ctx.path);
    let tables =
        |kinds: Vec<Table>| Intent::Export(Wish::Tables { kinds, folder: folder.clone(), dress: t.dress });
    let busy = ctx.taken.percent().is_some();
    ui.add_enabled_ui(!busy, |ui| {
        ui.horizontal_top(|ui| {
            ui.add_space(LABELS + space::S);
            ui.vertical(|ui| {
                ui.horizontal_wrapped(|ui| {
                    all |= ui.button(phrase!("All of them")).clicked();
                    for k in Table::ALL {
                        if ui.button(crate::look::spoken(k.name())).clicked() {
                            out.push(tables(vec![k]));
                        }
                    }
                });
            });
        });
    });
    if all {
        out.push(tables(Table::ALL.to_vec()));
    }
    look::faint(
        ui,
        "The same columns come in again. Days and numbers of a spreadsheet are days and numbers, tags stay text.",
    );
    ui.add_space(space::L);
    look::subheading(ui, "Everything at once");
    look::paragraph(
        ui,
        "One ZIP of plain files that any program opens: all of these tables, and what they do not carry: pens of the past, notes by day, jobs ticked, struck-out lines, amendments, the journal, kept papers, changed steps and rules. A dictionary tells every column. To go on with the book elsewhere take a copy of it instead.",
    );
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        ui.add_enabled_ui(!busy, |ui| {
            if ui.button(phrase!("Everything as one ZIP")).clicked() {
                out.push(Intent::Export(Wish::Everything(folder.clone())));
            }
        });
    });
    how_far(ui, ctx, out);
    super::standard_out::view(ui, ctx, &mut t.standard, out);
}

/// How far it is, or where it went.
fn how_far(ui: &mut egui::Ui, ctx: &Ctx<'_>, out: &mut Vec<Intent>) {
    ui.add_space(space::M);
    if let Some(percent) = ctx.taken.percent() {
        ui.horizontal(|ui| {
            look::faint(ui, phrase!("Taking out, {percent} %"));
            ui.add(egui::ProgressBar::new(percent as f32 / 100.0).desired_width(260.0));
            if ui.button(phrase!("Stop")).clicked() {
                out.push(Intent::StopExport);
            }
        });
    } else if let Some(last) = ctx.taken.last() {
        look::sentence(ui, look::Kind::Good, last.to_string());
        if ui.button(phrase!("Show the folder")).clicked() {
            out.push(Intent::ShowTaken);
        }
    }
}

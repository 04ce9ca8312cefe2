//! The flock as the open standard of animal data has it, into a file.

use super::super::{Ctx, Intent, fields};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::phrase;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    file: String,
    #[serde(skip)]
    more: bool,
}

const LABELS: f32 = 110.0;

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    ui.add_space(space::L);
    look::subheading(ui, "Animal data for other programs");
    look::paragraph(
        ui,
        "One file (JSON) as the open standard ICAR ADE 1.3.2 has it: animals, births, joinings, scans, lambings, weights, condition, treatments, comings and goings.",
    );
    let name = ctx.path.file_stem().map(|n| n.to_string_lossy().into_owned()).unwrap_or_default();
    let mut form = Form::new(ui, "standard out").label_width(LABELS);
    let example = format!("{name}.json");
    form.field(ui, &Field::new("As the file").width(440.0).example(&example), &mut t.file);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        go |= ui.button(phrase!("Write animal data")).clicked();
        let word = if t.more { "Hide what stays here" } else { "What it cannot say" };
        if ui.button(crate::look::spoken(word)).clicked() {
            t.more = !t.more;
        }
    });
    if go {
        match fields::some(&t.file) {
            Some(path) => out.push(Intent::ExportStandard(PathBuf::from(path))),
            None => out.push(Intent::Say(Kind::Refuse, phrase!("a name is needed for the file: type one"))),
        }
    }
    if t.more {
        for what in hirsel_core::exchange::standard::NOT_CARRIED {
            look::paragraph(ui, phrase!("· {what}"));
        }
    }
}

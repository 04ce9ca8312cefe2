//! 'Save the picture…': any chart of the window as a file.

use super::Intent;
use crate::look;
use crate::parts::picture::{Sitter, taken};
use crate::parts::{Field, Form, FormEvent, escaped};
use hirsel_core::phrase;
use std::path::PathBuf;

/// The line in which a picture is named, while it is open.
#[derive(Debug, Clone, Default)]
struct Naming {
    open: bool,
    fresh: bool,
    path: String,
}

/// The label of the button.
pub const SAVE: &str = "Save the picture…";

/// A button that asks for a name, and saves what `paint` paints. Enter saves under the name in the field; a bare name
/// lies beside the book, and its ending, .png or .svg, says as what.
pub fn save_picture(
    ui: &mut egui::Ui,
    of: &Sitter<'_>,
    out: &mut Vec<Intent>,
    paint: impl FnMut(&mut egui::Ui),
) {
    let id = ui.make_persistent_id(("save the picture", of.title));
    let mut naming: Naming = ui.data(|d| d.get_temp(id)).unwrap_or_default();
    let mut wanted: Option<Option<PathBuf>> = None;
    if !naming.open {
        if look::button(ui, SAVE).on_hover_text(phrase!("As PNG or SVG, in the light form")).clicked() {
            naming = Naming { open: true, fresh: true, path: format!("{}.png", plain(of.title)) };
        }
    } else {
        ui.end_row();
        ui.vertical(|ui| {
            let mut form = Form::new(ui, of.title).label_width(LABEL);
            if std::mem::take(&mut naming.fresh) {
                form.focus(ui, FIELD);
            }
            let width = (ui.available_width() - LABEL - 40.0).clamp(160.0, 380.0);
            form.field(ui, &Field::new(FIELD).width(width), &mut naming.path);
            let submitted = form.finish(ui) == FormEvent::Submitted;
            ui.horizontal_wrapped(|ui| {
                ui.add_space(LABEL);
                if look::primary(ui, "Save").clicked() || submitted {
                    wanted = Some(Some(PathBuf::from(naming.path.trim())));
                }
                if ui.button(phrase!("Choose where…")).clicked() {
                    wanted = Some(None);
                }
                if ui.button(phrase!("Leave it")).clicked() || escaped(ui) {
                    naming.open = false;
                }
            });
        });
    }
    if let Some(path) = wanted {
        naming.open = false;
        out.push(Intent::SavePicture { drawing: Box::new(taken(of, paint)), path });
    }
    ui.data_mut(|d| d.insert_temp(id, naming));
}

const FIELD: &str = "Save as";
const LABEL: f32 = 70.0;

/// A title as a file's name.
fn plain(title: &str) -> String {
    title.chars().map(|c| if c.is_alphanumeric() || " ,-".contains(c) { c } else { '-' }).collect()
}

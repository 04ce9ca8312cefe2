//! A second place for copies: a stick or a folder of another machine.

use super::super::super::{Ctx, Intent};
use crate::desk::command::Command;
use crate::desk::places::CopyWish;
use crate::look::{self, Kind};
use crate::parts::caution;
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::book::{PLACE_DAYS, Place};
use hirsel_core::phrase;
use hirsel_core::terms::Why;
use serde::{Deserialize, Serialize};

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    folder: String,
    days: String,
    #[serde(skip)]
    shown: Option<(String, i64)>,
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    look::subheading(ui, "A second place for copies");
    look::paragraph(
        ui,
        "A stick, or a folder of another machine. A copy goes there whenever the book is closed, is read back, and older ones are thinned out as beside the book. While the place is not there nothing waits for it: Tonight reminds you.",
    );
    // What is set shows until something else is typed.
    let set = ctx.places.second().map(|s| (s.folder.display().to_string(), s.days));
    if t.shown != set {
        if let Some((folder, days)) = &set {
            (t.folder, t.days) = (folder.clone(), days.to_string());
        }
        t.shown = set;
    }
    let mut form = Form::new(ui, "second place").label_width(100.0);
    form.field(
        ui,
        &Field::new("Folder").width(440.0).example("where the stick is, such as /media/stick"),
        &mut t.folder,
    );
    let usual = PLACE_DAYS.to_string();
    form.field(ui, &Field::new("Remind after").width(60.0).unit("days").example(&usual), &mut t.days);
    let submitted = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(108.0);
        if ui.button(phrase!("Set the second place")).clicked() || submitted {
            out.push(Intent::Copies(CopyWish::Place(t.folder.clone(), t.days.clone())));
        }
        if ui.button(phrase!("Choose the folder…")).clicked() {
            out.push(Intent::Copies(CopyWish::ChoosePlace));
        }
        if t.shown.is_some() && ui.button(phrase!("No second place")).clicked() {
            t.folder.clear();
            out.push(Intent::Copies(CopyWish::Place(String::new(), String::new())));
        }
    });
    if t.shown.is_none() {
        return;
    }
    ui.horizontal(|ui| {
        ui.add_space(108.0);
        let put = egui::Button::new(phrase!("Put a copy there now"));
        let keys = Command::SecondCopy.key_words(ui.ctx());
        if ui.add_enabled(!ctx.places.is_putting(), put).on_hover_text(crate::look::spoken(keys)).clicked() {
            out.push(Intent::Copies(CopyWish::PutThere));
        }
        match (ctx.places.reminder(ctx.today), ctx.places.state()) {
            (Some(due), _) => caution::sentence(ui, Kind::Caution, &[Why::Copies], &due),
            (None, Some(Place::There(Some(on)))) => {
                look::sentence(ui, Kind::Good, phrase!("The newest copy there is of {}", on.words()))
            }
            _ => look::faint(ui, "It is being looked at …"),
        };
    });
}

//! Another crayon on a ram: ram, day, colour.

use super::super::super::rows_form::{RowsForm, Wrong};
use super::super::super::{Ctx, Intent, Then, fields};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, CrayonDraft, crayon_on};
use hirsel_core::handbook::tupping::cycle_days;
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Sex};
use serde::{Deserialize, Serialize};

/// The crayon as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    ram: PickerState<AnimalId>,
    on: String,
    colour: String,
    #[serde(skip)]
    rows: RowsForm,
}

impl Typed {
    /// It is written.
    pub(super) fn after(&mut self) {
        *self = Self::default();
    }
}

/// Draws the form, with what the rams that run wear now.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    running: &[AnimalId],
    out: &mut Vec<Intent>,
) {
    look::subheading(ui, "Change the crayon");
    for file in running.iter().filter_map(|r| ctx.flock.file(*r)) {
        let title = file.animal.title();
        let worn =
            file.crayons.iter().filter(|c| c.struck.is_none() && c.on <= ctx.today).map(|c| c.on).max();
        match (crayon_on(file, ctx.today), worn) {
            (Some(colour), Some(since)) => {
                let days = ctx.today.since(since);
                let said =
                    phrase!("{title}: {colour} since {}, day {}", since.short(), days + 1, colour = &colour);
                if days >= cycle_days() {
                    let due = phrase!("{said}: a new colour is due after {} days", cycle_days());
                    look::sentence(ui, Kind::Caution, &due);
                } else {
                    ui.label(said);
                }
            }
            _ => {
                ui.label(phrase!("{title}: no crayon"));
            }
        }
    }
    ui.add_space(space::XS);
    let mut form = Form::new(ui, "crayon").label_width(super::LABELS);
    t.rows.drawn(ui, &form, &[]);
    form.set_part("crayon");
    let wrong = |name| t.rows.wrong(name);
    let (ram, on, colour) = (wrong("ram"), wrong("on"), wrong("colour"));
    if let ([one], None, true) = (running, t.ram.chosen(), t.ram.text.is_empty())
        && let Some(found) = fields::found(ctx, *one)
        && !form.has_keyboard(ui, "Ram")
    {
        t.ram.choose(found);
    }
    form.animal_quiet(ui, ctx, "Ram", &mut t.ram, (ram.as_deref(), None), |f| f.animal.sex != Sex::Ewe);
    form.day(ui, ctx, "Day", &mut t.on, on.as_deref());
    let field = Field::new("Colour").width(140.0).example("empty takes it off").refusal(colour.as_deref());
    form.field(ui, &field, &mut t.colour);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::XS);
    go |= ui.button(phrase!("Write the crayon")).clicked();
    if go {
        let row = checked(ctx, t);
        t.rows.send(row, out);
    }
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed) -> Result<Intent, Wrong> {
    let ram = fields::picked(ctx, &t.ram, "the ram").map_err(|e| ("Ram", e))?;
    let ram = ram.ok_or(("Ram", look::said("which ram? Type any part of his tag or name").into_owned()))?;
    let on = fields::day_or_today(ctx, &t.on).map_err(|e| ("Day", e))?;
    let draft = CrayonDraft { ram, on, colour: t.colour.clone() };
    let labels = [("on", "Day"), ("colour", "Colour")];
    t.rows.checked(entry::crayons(vec![draft], ctx.flock, ctx.today), Then::JoiningDone, &labels, "Ram")
}

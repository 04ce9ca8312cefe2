//! The question's fields.

use super::super::super::{Ctx, Intent, Then};
use super::typed::{MODELS, OF, Typed, WEIGHTS, age, weight};
use super::{own, shares};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::entry;
use hirsel_core::flock::Holding;
use hirsel_core::phrase;
use hirsel_core::reckon::evaluation::{FixedBy, Model, weights, with_weights};

/// Draws it; tells whether the values are to be reckoned.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> bool {
    t.settle(ctx);
    let mut form = Form::new(ui, "values asked").label_width(132.0);
    if std::mem::take(into) && t.focus.is_none() {
        t.focus = Some("Values of");
    }
    if let Some(label) = t.focus {
        let mut wish = true;
        form.focus_once(ui, &mut wish, label);
        t.focus = wish.then_some(label);
    }
    let pressed = ui
        .horizontal_wrapped(|ui| {
            let pressed = look::primary(ui, "Reckon the values").clicked();
            look::faint(
                ui,
                "What an animal passes on, told from its own records and those of all its relations. Ctrl+Enter reckons.",
            );
            pressed
        })
        .inner;
    ui.add_space(space::XS);
    egui::ScrollArea::vertical().id_salt("values asked").auto_shrink(false).show(ui, |ui| {
        form.choice(ui, &Choice::new("Values of", &OF), &mut t.of);
        let read = |x: &str| age(x).map(|d| phrase!("{d} days"));
        if matches!(t.of, Some(0) | Some(4)) {
            let field = Field::new("Age").width(70.0).unit("days").example("60").understand(&read);
            form.field(ui, &field, &mut t.age);
        }
        if t.is_index() {
            index(ui, ctx, t, &mut form, out);
            return;
        }
        form.choice(ui, &Choice::new("It depends on", &MODELS), &mut t.model);
        look::faint(ui, model_words(t.model()));
        ui.add_space(space::S);
        within(ui, t);
        ui.add_space(space::M);
        if ui.available_width() > 780.0 {
            ui.columns(2, |side| {
                shares::view(&mut side[0], t, &mut form);
                own::view(&mut side[1], ctx, t, out);
            });
        } else {
            own::view(ui, ctx, t, out);
            ui.add_space(space::M);
            shares::view(ui, t, &mut form);
        }
    });
    let go = form.finish(ui) == FormEvent::Submitted || pressed;
    t.settle(ctx);
    if !go {
        return false;
    }
    match t.ask(ctx) {
        Ok(ask) => {
            out.push(Intent::FindValues(Box::new(ask)));
            true
        }
        Err((label, why)) => {
            t.focus = Some(label);
            out.push(Intent::Say(Kind::Refuse, why));
            false
        }
    }
}

fn model_words(model: Model) -> &'static str {
    match model {
        Model::Animal => "One record of each animal counts as its own genes and chance.",
        Model::Repeatability => {
            "Several records of one animal, such as a ewe’s lambings: what returns each time is its genes and what else \
             stays with it."
        }
        Model::Maternal => {
            "A lamb’s weight is its own genes and the milk and care of its ewe: the two are told apart, as far as the \
             records let them."
        }
    }
}

fn within(ui: &mut egui::Ui, t: &mut Typed) {
    look::strong(ui, "Compared only within the same");
    ui.horizontal_wrapped(|ui| {
        for by in FixedBy::ALL {
            let mut on = t.is_within(by);
            if look::tick(ui, &mut on, by.words()).changed() {
                t.turn(by, on);
            }
        }
    });
    look::faint(
        ui,
        "What is not ticked counts as if it made no difference. Many groups of few animals leave little to compare.",
    );
}

/// The weights of the index, which the keeper sets.
fn index(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form, out: &mut Vec<Intent>) {
    look::paragraph(
        ui,
        "Say what one kilogram, or one lamb, counts for you; leave blank what does not count. The index adds the breeding \
         values up by these weights. The traits are taken as not related to each other.",
    );
    let read =
        |x: &str| weight(x).map(|w| w.map_or_else(|| "does not count".into(), |w| phrase!("counts {w}")));
    let units = ["a kg", "a kg", "a lamb born", "a lamb reared"];
    for ((label, unit), text) in WEIGHTS.into_iter().zip(units).zip(&mut t.weights) {
        let field = Field::new(label).width(70.0).unit(unit).example("blank").understand(&read);
        form.field(ui, &field, text);
    }
    let holding = ctx.flock.holding();
    let Ok(mine) = t.weighed() else { return };
    if weights(&holding.keeping).is_ok_and(|kept| kept == mine) {
        look::faint(ui, "These weights stand in the book.");
        return;
    }
    if !ui.button(phrase!("Keep these weights in the book")).clicked() {
        return;
    }
    let checked = with_weights(&holding.keeping, &mine).map_err(|e| e.0).and_then(|keeping| {
        let new = Holding { keeping, ..holding.clone() };
        entry::holding(new, ctx.flock).map_err(|r| r.first().map(ToString::to_string).unwrap_or_default())
    });
    match checked {
        Ok(checked) => {
            out.push(Intent::Write { checked: Box::new(checked), then: Then::KeepingDone });
        }
        Err(why) => out.push(Intent::Say(Kind::Refuse, why)),
    }
}

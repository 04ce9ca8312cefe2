//! Who keeps the flock, and how the book speaks.

use super::super::{Ctx, Intent, Then, refusal_of};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::entry::{self, Refusal};
use hirsel_core::flock::Holding;
use hirsel_core::terms::Units;
use serde::{Deserialize, Serialize};

/// The form as typed; filled from the book until something is typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    filled: bool,
    flock: String,
    keeper: String,
    number: String,
    address: String,
    given_by: String,
    vet: String,
    units: Option<bool>,
    rules: Option<usize>,
    letter: Option<bool>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

fn fill(t: &mut Typed, h: &Holding) {
    *t = Typed {
        filled: true,
        flock: h.flock.clone(),
        keeper: h.keeper.clone(),
        number: h.number.clone(),
        address: h.address.clone(),
        given_by: h.given_by.clone(),
        vet: h.vet.clone(),
        units: Some(h.units == Units::Imperial),
        rules: super::super::start::rule_place(&h.rules),
        letter: Some(h.sheet == "letter"),
        refusals: Vec::new(),
    };
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    let now = ctx.flock.holding();
    if !t.filled {
        fill(t, now);
    }
    let mut form = Form::new(ui, "holding").label_width(150.0);
    form.focus_once(ui, into, "Name of the flock");
    let wrong = refusal_of(&t.refusals, "flock", 0);
    form.field(ui, &Field::new("Name of the flock").width(320.0).refusal(wrong.as_deref()), &mut t.flock);
    form.field(ui, &Field::new("Keeper").width(320.0), &mut t.keeper);
    form.field(
        ui,
        &Field::new("Holding number").width(220.0).example("as the authority writes it"),
        &mut t.number,
    );
    form.field(ui, &Field::new("Address").width(420.0).example("lines parted by commas"), &mut t.address);
    form.field(ui, &Field::new("Usual giver").width(260.0).example("who gives treatments"), &mut t.given_by);
    form.field(ui, &Field::new("Usual vet").width(260.0).example("who prescribes"), &mut t.vet);
    let units = [(false, "kilograms"), (true, "pounds and ounces")];
    form.choice(ui, &Choice::new("Weights in", &units), &mut t.units);
    let rules = super::super::start::rule_choices();
    form.choice(ui, &Choice::new("Rules of", &rules), &mut t.rules);
    form.choice(ui, &Choice::new("Sheet", &[(false, "A4"), (true, "Letter")]), &mut t.letter);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::S);
    ui.horizontal(|ui| {
        ui.add_space(158.0);
        go |= look::primary(ui, "Write it in").clicked();
        if ui.button("As it stands").on_hover_text("Throws away what is typed here").clicked() {
            fill(t, now);
        }
    });
    ui.add_space(space::S);
    look::paragraph(
        ui,
        "Name, keeper, holding number and address stand on the treatment log. The rules decide which days are shown as limits; the authority, the label and the vet decide.",
    );
    if go {
        let new = Holding {
            flock: t.flock.trim().into(),
            keeper: t.keeper.trim().into(),
            number: t.number.trim().into(),
            address: t.address.trim().into(),
            given_by: t.given_by.trim().into(),
            vet: t.vet.trim().into(),
            units: if t.units == Some(true) { Units::Imperial } else { Units::Metric },
            rules: t.rules.map_or_else(|| now.rules.clone(), super::super::start::rule_id),
            sheet: if t.letter == Some(true) { "letter" } else { "a4" }.into(),
        };
        match entry::holding(new, ctx.flock) {
            Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::HoldingDone }),
            Err(refusals) => {
                out.extend(refusals.first().map(|r| Intent::Say(Kind::Refuse, r.to_string())));
                t.refusals = refusals;
            }
        }
    }
}

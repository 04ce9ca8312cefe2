//! One lamb of the form: what it is on the left, its first hour on the right, so that twins fit under one eye.

use super::super::Ctx;
use super::live::Live;
use super::typed::{TypedLamb, label_of, part};
use crate::look::{self, space};
use crate::parts::caution;
use crate::parts::{Choice, Field, Form};
use hirsel_core::handbook::lambing::first_feed_ml_per_kg;
use hirsel_core::phrase;
use hirsel_core::terms::Why;
use hirsel_core::terms::{Ease, Fate, Sex, Weight};

const SEXES: [(u8, &str); 2] = [(0, "ewe"), (1, "ram")];
const FATES: [(u8, &str); 3] = [(0, "alive"), (1, "born dead"), (2, "died since")];
const YES: [(bool, &str); 2] = [(true, "yes"), (false, "no")];
const REARS: [(u8, &str); 3] = [(0, "this ewe"), (1, "another ewe"), (2, "bottle")];

/// Draws one lamb, `n` from 0; tells whether it is to be taken out of the form.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    form: &mut Form,
    lamb: &mut TypedLamb,
    n: usize,
    live: &Live,
) -> bool {
    let mut remove = false;
    ui.horizontal(|ui| {
        look::subheading(ui, phrase!("Lamb {}", n + 1));
        if n > 0 {
            ui.add_space(space::M);
            let button =
                ui.small_button(phrase!("Take out")).on_hover_text(phrase!("Take this lamb out of the form"));
            let spoken = phrase!("Take out lamb {}", n + 1);
            button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &spoken));
            remove = button.clicked();
        }
    });
    if lamb.has_sex() && lamb.fate.is_none() {
        lamb.fate = Some(0);
    }
    form.set_part(part(n));
    let width = ui.available_width();
    if width > 590.0 {
        // The right side has the longer words.
        let (gap, left) = (space::M, (width * 0.45).min(320.0));
        ui.horizontal_top(|ui| {
            ui.spacing_mut().item_spacing.x = gap;
            for side in [left, width - left - gap] {
                ui.vertical(|ui| {
                    ui.set_width(side);
                    ui.spacing_mut().item_spacing.x = space::S;
                    if side == left {
                        form.set_label_width(68.0);
                        first(ui, ctx, form, lamb, live);
                    } else {
                        form.set_label_width(96.0);
                        second(ui, ctx, form, lamb, live);
                    }
                });
            }
        });
    } else {
        form.set_label_width(130.0);
        first(ui, ctx, form, lamb, live);
        second(ui, ctx, form, lamb, live);
    }
    more(ui, form, lamb, n, live);
    form.set_part("");
    form.set_label_width(130.0);
    remove
}

/// What every lamb has: sex, weight, tag, what became of it.
fn first(ui: &mut egui::Ui, ctx: &Ctx<'_>, form: &mut Form, lamb: &mut TypedLamb, live: &Live) {
    let sex = live.at(form, "Sex");
    form.choice(ui, &Choice::new("Sex", &SEXES).refusal(sex.0).caution(sex.1), &mut lamb.sex);
    form.weight_with(ui, ctx, "Weight", &mut lamb.weight, live.at(form, "Weight"));
    let tag = live.at(form, "Tag");
    let field = Field::new("Tag").width(150.0).example("empty: later").refusal(tag.0).caution(tag.1);
    form.field(ui, &field, &mut lamb.tag);
    form.choice(ui, &Choice::new("It is", &FATES), &mut lamb.fate);
    if lamb.fate() == Fate::Died {
        form.day_with(ui, ctx, "Died on", &mut lamb.died_on, live.at(form, "Died on"));
    }
    if lamb.fate() != Fate::Alive {
        let field = Field::new("Because").width(180.0).example("long labour, starved …");
        form.field(ui, &field, &mut lamb.died_of);
    }
}

/// The first hour, and who rears it.
fn second(ui: &mut egui::Ui, ctx: &Ctx<'_>, form: &mut Form, lamb: &mut TypedLamb, live: &Live) {
    let alive = lamb.fate() != Fate::BornDead;
    if alive {
        form.choice(ui, &Choice::new("Navel dipped", &YES).optional(), &mut lamb.navel);
        form.choice(ui, &Choice::new("Sucked", &YES).optional(), &mut lamb.sucked);
        caution::remember(ui, Why::Navel);
        caution::remember(ui, Why::Tubing);
        let per_kg = first_feed_ml_per_kg();
        let first = Weight::parse(&lamb.weight, ctx.units())
            .map(|w| phrase!("first feed {:.0} ml ({per_kg} ml per kg); ask your vet", w.kg() * per_kg));
        let first = first.unwrap_or_else(|_| phrase!("{per_kg} ml per kg at the first feed; ask your vet"));
        let read = |t: &str| {
            let d = hirsel_core::terms::Dose::parse(t).map_err(|e| e.0)?;
            Ok(phrase!("{d} by tube; {first}"))
        };
        let field = Field::new("Colostrum").width(100.0).example("by tube, ml").understand(&read);
        let wrong = live.at(form, "Colostrum");
        form.field(ui, &field.refusal(wrong.0).caution(wrong.1), &mut lamb.colostrum);
    }
    form.field(ui, &Field::new("Colour").width(180.0), &mut lamb.colour);
    if alive {
        let reared = live.at(form, "Reared by");
        let choice = Choice::new("Reared by", &REARS).refusal(reared.0).caution(reared.1);
        form.choice(ui, &choice, &mut lamb.rearing);
        if lamb.rearing == Some(1) {
            let wrong = live.at(form, "Foster ewe");
            form.animal_of(ui, ctx, "Foster ewe", &mut lamb.foster, wrong, |f| f.animal.sex == Sex::Ewe);
        }
    }
}

/// What is seldom written: its own ease of birth, an electronic number put in at once.
fn more(ui: &mut egui::Ui, form: &mut Form, lamb: &mut TypedLamb, n: usize, live: &Live) {
    if !lamb.more {
        if lamb.has_sex() {
            let response = ui.small_button(phrase!("Its own ease of birth, electronic number …"));
            let name = label_of("More", n);
            response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &name));
            lamb.more |= response.clicked();
        }
        return;
    }
    let eases: Vec<(u8, &str)> = (0u8..).zip(Ease::ALL.iter().map(|e| e.words())).collect();
    form.choice(ui, &Choice::new("Its ease", &eases).optional(), &mut lamb.ease);
    let read =
        |t: &str| hirsel_core::terms::ElectronicId::parse_typed(t).map(|e| e.to_string()).map_err(|e| e.0);
    let wrong = live.at(form, "Electronic number");
    let field = Field::new("Electronic number").width(200.0).example("15 digits").understand(&read);
    form.field(ui, &field.refusal(wrong.0).caution(wrong.1), &mut lamb.electronic);
}

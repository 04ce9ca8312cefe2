//! One lamb of the form: three short lines, so that twins fit beside each other's eye.

use super::super::{Ctx, fields, refusal_of};
use crate::look::{self, space};
use crate::parts::{Choice, Field, Form, PickerState};
use hirsel_core::entry::{LambDraft, Refusal};
use hirsel_core::handbook::lambing::first_feed_ml_per_kg;
use hirsel_core::terms::{AnimalId, Ease, Fate, Rearing, Sex, Tag, Weight};
use serde::{Deserialize, Serialize};

/// A lamb as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(crate) struct TypedLamb {
    sex: Option<u8>,
    weight: String,
    fate: Option<u8>,
    died_on: String,
    died_of: String,
    tag: String,
    electronic: String,
    colour: String,
    ease: Option<u8>,
    sucked: Option<bool>,
    navel: Option<bool>,
    colostrum: String,
    rearing: Option<u8>,
    foster: PickerState<AnimalId>,
    more: bool,
}

pub(super) const SEXES: [(u8, &str); 2] = [(0, "ewe"), (1, "ram")];
const FATES: [(u8, &str); 3] = [(0, "alive"), (1, "born dead"), (2, "died since")];
const YES: [(bool, &str); 2] = [(true, "yes"), (false, "no")];
const REARS: [(u8, &str); 3] = [(0, "this ewe"), (1, "another ewe"), (2, "bottle")];
impl TypedLamb {
    /// Nothing is typed.
    pub(crate) fn is_empty(&self) -> bool {
        self.sex.is_none() && self.weight.is_empty() && self.tag.is_empty() && self.colour.is_empty()
    }

    pub(super) fn has_sex(&self) -> bool {
        self.sex.is_some()
    }

    /// The draft, or what is not understood: the field's label and a sentence.
    pub(super) fn draft(&self, ctx: &Ctx<'_>, n: usize) -> Result<LambDraft, (String, String)> {
        let at = |label: &str| label_of(label, n);
        let sex = match self.sex {
            Some(0) => Sex::Ewe,
            Some(_) => Sex::Ram,
            None => return Err((at("Sex"), format!("lamb {}: ewe or ram?", n + 1))),
        };
        let mut d = LambDraft::new(sex);
        let told = |label: &str, e: String| (at(label), format!("lamb {}: {e}", n + 1));
        d.weight = fields::weight_of(ctx, &self.weight).map_err(|e| told("Weight", e))?;
        d.tag = fields::some(&self.tag).map(|t| Tag::parse(&t)).transpose().map_err(|e| told("Tag", e.0))?;
        d.electronic = fields::some(&self.electronic)
            .map(|t| hirsel_core::terms::ElectronicId::parse(&t).and_then(|e| Tag::parse(&e.digits())))
            .transpose()
            .map_err(|e| told("Electronic number", e.0))?;
        d.fate = [Fate::Alive, Fate::BornDead, Fate::Died][usize::from(self.fate.unwrap_or(0).min(2))];
        if d.fate == Fate::Died {
            d.died_on = fields::some(&self.died_on)
                .map(|t| fields::day_or_today(ctx, &t))
                .transpose()
                .map_err(|e| told("Died on", e))?;
        }
        if d.fate != Fate::Alive {
            d.died_of = fields::some(&self.died_of);
        }
        d.ease = self.ease.and_then(|e| Ease::ALL.get(usize::from(e)).copied());
        d.sucked = self.sucked;
        d.navel_dipped = self.navel;
        d.colostrum = fields::dose_of(&self.colostrum).map_err(|e| told("Colostrum", e))?;
        d.colour = fields::some(&self.colour);
        d.rearing = match self.rearing {
            Some(1) => match fields::picked(ctx, &self.foster, "the foster ewe")
                .map_err(|e| told("Foster ewe", e))?
            {
                Some(ewe) => Rearing::Foster(ewe),
                None => return Err(told("Foster ewe", "which ewe rears it?".into())),
            },
            Some(2) => Rearing::Bottle,
            _ => Rearing::Dam,
        };
        Ok(d)
    }
}

/// Labels are told apart by the lamb's number, for the keyboard and for those who listen.
pub(super) fn label_of(label: &str, n: usize) -> String {
    if n == 0 { label.to_string() } else { format!("{label}, lamb {}", n + 1) }
}

/// Draws one lamb.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    form: &mut Form,
    lamb: &mut TypedLamb,
    n: usize,
    row: usize,
    refusals: &[Refusal],
) -> bool {
    let mut remove = false;
    ui.horizontal(|ui| {
        look::subheading(ui, format!("Lamb {}", n + 1));
        if n > 0 {
            ui.add_space(space::M);
            remove = ui.small_button("Take out").on_hover_text("Take this lamb out of the form").clicked();
        }
    });
    if lamb.has_sex() && lamb.fate.is_none() {
        lamb.fate = Some(0);
    }
    let wide = ui.available_width() > 590.0;
    if wide {
        form.set_label_width(100.0);
        ui.columns(2, |c| {
            if let [left, right] = c {
                first(left, ctx, form, lamb, n, refusals, row);
                second(right, ctx, form, lamb, n, refusals, row);
            }
        });
    } else {
        form.set_label_width(130.0);
        first(ui, ctx, form, lamb, n, refusals, row);
        second(ui, ctx, form, lamb, n, refusals, row);
    }
    more(ui, form, lamb, n);
    remove
}

/// What every lamb has: sex, weight, tag, what became of it.
fn first(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    form: &mut Form,
    lamb: &mut TypedLamb,
    n: usize,
    refusals: &[Refusal],
    row: usize,
) {
    let label = |l: &str| label_of(l, n);
    let wrong = |name| refusal_of(refusals, name, row);
    let (sex, weight, fate) = (wrong("sex"), wrong("birth_weight_kg"), wrong("fate"));
    let tag = wrong("lamb").or_else(|| wrong("tag"));
    form.choice(ui, &Choice::new(&label("Sex"), &SEXES).refusal(sex.as_deref()), &mut lamb.sex);
    form.weight(ui, ctx, &label("Weight"), &mut lamb.weight, weight.as_deref());
    let l = label("Tag");
    form.field(
        ui,
        &Field::new(&l).width(150.0).example("empty: later").refusal(tag.as_deref()),
        &mut lamb.tag,
    );
    form.choice(ui, &Choice::new(&label("It is"), &FATES).refusal(fate.as_deref()), &mut lamb.fate);
    if lamb.fate == Some(2) {
        form.day(ui, ctx, &label("Died on"), &mut lamb.died_on, None);
    }
    if matches!(lamb.fate, Some(1 | 2)) {
        let l = label("Because");
        form.field(ui, &Field::new(&l).width(180.0).example("long labour, starved …"), &mut lamb.died_of);
    }
}

/// The first hour, and who rears it.
fn second(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    form: &mut Form,
    lamb: &mut TypedLamb,
    n: usize,
    refusals: &[Refusal],
    row: usize,
) {
    let label = |l: &str| label_of(l, n);
    let reared = refusal_of(refusals, "reared_by", row);
    if lamb.fate != Some(1) {
        form.choice(ui, &Choice::new(&label("Navel dipped"), &YES).optional(), &mut lamb.navel);
        form.choice(ui, &Choice::new(&label("Sucked"), &YES).optional(), &mut lamb.sucked);
        let per_kg = first_feed_ml_per_kg();
        let first = Weight::parse(&lamb.weight, ctx.units())
            .map(|w| format!("first feed {:.0} ml ({per_kg} ml per kg); ask your vet", w.kg() * per_kg));
        let first = first.unwrap_or_else(|_| format!("{per_kg} ml per kg at the first feed; ask your vet"));
        let read = |t: &str| {
            let d = hirsel_core::terms::Dose::parse(t).map_err(|e| e.0)?;
            Ok(format!("{d} by tube; {first}"))
        };
        let l = label("Colostrum");
        form.field(
            ui,
            &Field::new(&l).width(100.0).example("by tube, ml").understand(&read),
            &mut lamb.colostrum,
        );
    }
    form.field(ui, &Field::new(&label("Colour")).width(180.0), &mut lamb.colour);
    if lamb.fate != Some(1) {
        form.choice(
            ui,
            &Choice::new(&label("Reared by"), &REARS).refusal(reared.as_deref()),
            &mut lamb.rearing,
        );
        if lamb.rearing == Some(1) {
            form.animal(ui, ctx, &label("Foster ewe"), &mut lamb.foster, reared.as_deref(), |f| {
                f.animal.sex == Sex::Ewe && f.animal.status.is_here()
            });
        }
    }
}

/// What is seldom written: its own ease of birth, an electronic number put in at once.
fn more(ui: &mut egui::Ui, form: &mut Form, lamb: &mut TypedLamb, n: usize) {
    let label = |l: &str| label_of(l, n);
    if !lamb.more {
        if lamb.has_sex() {
            let response = ui.small_button("Its own ease of birth, electronic number …");
            response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, label("More")));
            lamb.more |= response.clicked();
        }
        return;
    }
    let eases: Vec<(u8, &str)> = (0u8..).zip(Ease::ALL.iter().map(|e| e.words())).collect();
    form.choice(ui, &Choice::new(&label("Its ease"), &eases).optional(), &mut lamb.ease);
    let read = |t: &str| hirsel_core::terms::ElectronicId::parse(t).map(|e| e.to_string()).map_err(|e| e.0);
    let l = label("Electronic number");
    form.field(ui, &Field::new(&l).width(200.0).example("15 digits").understand(&read), &mut lamb.electronic);
}

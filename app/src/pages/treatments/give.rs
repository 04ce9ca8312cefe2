//! The form of a treatment.

use super::super::{Ctx, Intent, Then, fields, refusal_of};
use super::doses::{self, Doses};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent, Found, Picker, PickerState};
use hirsel_core::entry::{self, DoseDraft, Refusal, TreatmentDraft};
use hirsel_core::flock::Product;
use hirsel_core::reckon::clearance::clear_after;
use hirsel_core::terms::{AnimalId, DoseRule, Moment, Route, Withdrawal};
use serde::{Deserialize, Serialize};

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    animals: Vec<AnimalId>,
    add: PickerState<AnimalId>,
    pen: PickerState<u64>,
    on: String,
    time: String,
    product: PickerState<u64>,
    batch: String,
    by_rule: Option<bool>,
    dose: String,
    route: Option<u8>,
    site: String,
    reason: String,
    given_by: Option<String>,
    prescribed_by: Option<String>,
    meat: String,
    milk: String,
    /// The product whose periods stand in the form.
    filled_for: String,
    #[serde(skip)]
    focus: Option<String>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
    #[serde(skip)]
    seen: bool,
}

impl Typed {
    /// These animals, in place of those chosen before.
    pub(super) fn choose(&mut self, animals: Vec<AnimalId>) {
        self.animals = animals;
        self.refusals.clear();
        self.focus = Some("Product".into());
    }

    /// Ready for the next: product, batch, day, giver and reason stay.
    pub(super) fn next(&mut self) {
        self.animals.clear();
        self.add.clear();
        self.pen.clear();
        self.dose.clear();
        self.refusals.clear();
        self.focus = Some("Animal".into());
    }

    pub(super) fn wish_focus(&mut self) {
        self.seen = false;
    }

    /// Name of the product as chosen or typed.
    fn product_name(&self) -> String {
        self.product.text.trim().to_string()
    }
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    doses: &mut Doses,
    out: &mut Vec<Intent>,
) {
    if !t.seen {
        t.seen = true;
        t.focus.get_or_insert_with(|| "Animal".into());
    }
    let whole = ui.available_rect_before_wrap();
    if whole.width() > 900.0 {
        let mut left = whole;
        left.set_right(whole.left() + whole.width() * 0.58);
        let mut right = whole;
        right.set_left(left.right() + space::XL);
        ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| {
            egui::ScrollArea::vertical()
                .id_salt("give")
                .auto_shrink(false)
                .show(ui, |ui| form(ui, ctx, t, out));
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
            egui::ScrollArea::vertical()
                .id_salt("doses")
                .auto_shrink(false)
                .show(ui, |ui| beside(ui, ctx, t, doses));
        });
    } else {
        egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            form(ui, ctx, t, out);
            beside(ui, ctx, t, doses);
        });
    }
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    t.animals.retain(|id| ctx.flock.animal(*id).is_some());
    let mut form = Form::new(ui, "give").label_width(130.0);
    if let Some(label) = t.focus.clone() {
        let mut wish = true;
        form.focus_once(ui, &mut wish, &label);
        if !wish {
            t.focus = None;
        }
    }
    let wrong = |name| refusal_of(&t.refusals, name, 0);
    let (tag, on, product, dose) = (wrong("tag"), wrong("on"), wrong("product"), wrong("dose_ml"));
    let (meat, milk) = (wrong("meat_days"), wrong("milk_days"));
    whom(ui, ctx, t, &mut form, tag.as_deref());
    form.day(ui, ctx, "Day", &mut t.on, on.as_deref());
    form.time(ui, "Time", &mut t.time);
    let products = ctx.flock.products();
    let picker = Picker::new("Product", ctx.flock.version()).width(320.0).example("name on the label");
    form.picker(ui, &picker.refusal(product.as_deref()), &mut t.product, |text| find_product(products, text));
    let known = ctx.flock.product(&t.product_name()).cloned();
    fill(t, known.as_ref());
    form.field(ui, &Field::new("Batch").width(180.0).example("number on the bottle"), &mut t.batch);
    dose_fields(ui, t, &mut form, known.as_ref(), dose.as_deref());
    let routes: Vec<(u8, &str)> = (0u8..).zip(Route::ALL.iter().map(|r| r.words())).collect();
    form.choice(ui, &Choice::new("Route", &routes).optional(), &mut t.route);
    form.field(ui, &Field::new("Site").width(220.0).example("left neck"), &mut t.site);
    form.field(ui, &Field::new("Reason").width(320.0).example("what it is given for"), &mut t.reason);
    let holding = ctx.flock.holding();
    let given = t.given_by.get_or_insert_with(|| holding.given_by.clone());
    form.field(ui, &Field::new("Given by").width(220.0), given);
    let vet = t.prescribed_by.get_or_insert_with(String::new);
    form.field(ui, &Field::new("Prescribed by").width(220.0).example("the vet, if one did"), vet);
    form.withdrawal(ui, "Meat withdrawal", &mut t.meat, meat.as_deref());
    form.withdrawal(ui, "Milk withdrawal", &mut t.milk, milk.as_deref());
    clear_days(ui, ctx, t);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::S);
    ui.horizontal(|ui| {
        ui.add_space(138.0);
        go |= look::primary(ui, "Write the treatment").clicked();
        if ui.button("Empty the form").clicked() {
            *t = Typed { focus: Some("Animal".into()), seen: true, ..Typed::default() };
        }
    });
    ui.add_space(space::L);
    if go {
        match checked(ctx, t) {
            Ok(intent) => out.push(intent),
            Err((label, text)) => {
                t.focus = Some(label);
                out.push(Intent::Say(Kind::Refuse, text));
            }
        }
    }
}

/// Whom: animals one by one, a pen at a time, each chosen one shown and removable.
fn whom(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form, refusal: Option<&str>) {
    form.animal(ui, ctx, "Animal", &mut t.add, refusal, |f| f.animal.status.is_here());
    if let Some(id) = t.add.chosen() {
        if !t.animals.contains(&id) {
            t.animals.push(id);
        }
        t.add.clear();
        t.focus = Some("Animal".into()); // another one may follow; an empty Enter goes on
    }
    let pens = ctx.flock.pens();
    let picker =
        Picker::new("Or a whole pen", ctx.flock.version()).width(240.0).example("any part of the pen’s name");
    form.picker(ui, &picker, &mut t.pen, |text| {
        let text = text.to_lowercase();
        (0u64..)
            .zip(&pens)
            .filter(|(_, (p, _))| p.to_lowercase().contains(&text))
            .map(|(key, (p, a))| Found { key, label: p.clone(), detail: format!("{} animals", a.len()) })
            .collect()
    });
    if let Some(n) = t.pen.chosen() {
        if let Some((_, animals)) = usize::try_from(n).ok().and_then(|n| pens.get(n)) {
            for id in animals {
                if !t.animals.contains(id) {
                    t.animals.push(*id);
                }
            }
        }
        t.pen.clear();
    }
    ui.horizontal_wrapped(|ui| {
        ui.add_space(138.0);
        match t.animals.len() {
            0 => {
                look::faint(ui, "No animal chosen yet");
            }
            n => {
                look::strong(ui, if n == 1 { "1 animal:".to_string() } else { format!("{n} animals:") });
                let mut out = None;
                for id in t.animals.iter().take(24) {
                    let tag = ctx.flock.tag(*id);
                    let b = ui.small_button(format!("{tag} ×"));
                    b.widget_info(|| {
                        egui::WidgetInfo::labeled(egui::Role::Button, true, format!("Take {tag} out"))
                    });
                    if b.clicked() {
                        out = Some(*id);
                    }
                }
                if n > 24 {
                    look::faint(ui, format!("and {} more", n - 24));
                }
                if n > 1 && ui.small_button("Take all out").clicked() {
                    t.animals.clear();
                }
                t.animals.retain(|id| Some(*id) != out);
            }
        }
    });
}

fn find_product(products: &[Product], text: &str) -> Vec<Found<u64>> {
    let text = text.to_lowercase();
    (0u64..)
        .zip(products)
        .filter(|(_, p)| {
            p.name.to_lowercase().contains(&text)
                || p.substance.as_ref().is_some_and(|s| s.to_lowercase().contains(&text))
        })
        .map(|(key, p)| Found { key, label: p.name.clone(), detail: facts(p) })
        .collect()
}

/// A product in one line.
pub(super) fn facts(p: &Product) -> String {
    format!("{}; meat {}, milk {}", p.rule.words(), p.meat, p.milk)
}

/// Fills route and periods from the product when another one is chosen.
fn fill(t: &mut Typed, known: Option<&Product>) {
    let name = known.map(|p| p.name.clone()).unwrap_or_default();
    if t.filled_for == name {
        return;
    }
    if let Some(p) = known {
        t.meat = p.meat.text();
        t.milk = p.milk.text();
        t.route =
            p.route.and_then(|r| Route::ALL.iter().position(|x| *x == r)).and_then(|n| u8::try_from(n).ok());
        t.by_rule = Some(p.rule != DoseRule::Typed);
    } else {
        t.meat.clear();
        t.milk.clear();
        t.by_rule = Some(false);
    }
    t.filled_for = name;
}

fn dose_fields(
    ui: &mut egui::Ui,
    t: &mut Typed,
    form: &mut Form,
    known: Option<&Product>,
    refusal: Option<&str>,
) {
    if let Some(p) = known.filter(|p| p.rule != DoseRule::Typed) {
        let rule = format!("by the label: {}", p.rule.words());
        form.choice(
            ui,
            &Choice::new("Dose", &[(true, rule.as_str()), (false, "as I type it")]).refusal(refusal),
            &mut t.by_rule,
        );
        if t.by_rule == Some(false) {
            form.dose(ui, "Dose each", &mut t.dose, None);
        }
    } else {
        t.by_rule = Some(false);
        form.dose(ui, "Dose each", &mut t.dose, refusal);
    }
}

/// The first clear days that follow from what is typed.
fn clear_days(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &Typed) {
    let (Ok(day), Ok(time)) = (fields::day_or_today(ctx, &t.on), fields::time_of(&t.time)) else { return };
    let at = Moment { day, time };
    ui.horizontal_wrapped(|ui| {
        ui.add_space(138.0);
        for (what, text) in [("Meat", &t.meat), ("Milk", &t.milk)] {
            let Ok(period) = Withdrawal::parse(text) else { continue };
            let clear = clear_after(at, period);
            let kind = if clear.is_clear(ctx.today) { Kind::Good } else { Kind::Caution };
            look::chip(ui, kind, &format!("{what}: {}", clear.words()));
        }
    });
}

/// Beside the form: each animal's dose, the total, and the cautions.
fn beside(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &Typed, doses: &mut Doses) {
    let known = ctx.flock.product(&t.product_name());
    let typed = fields::dose_of(&t.dose).ok().flatten();
    let by_rule = t.by_rule == Some(true);
    let on = fields::day_or_today(ctx, &t.on).unwrap_or(ctx.today);
    doses::view(ui, ctx, &t.animals, known, by_rule, typed, on, doses);
    ui.add_space(space::M);
    look::banner(
        ui,
        Kind::Caution,
        "The label, your vet and local law decide. A clean needle; one product in a syringe, since mixing is off-label and alters the withdrawal; write down each site. An empty withdrawal is unknown: the animal is not clear until it is written.",
        |_| {},
    );
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed) -> Result<Intent, (String, String)> {
    let at = |label: &'static str| move |e: String| (label.to_string(), e);
    let day = fields::day_or_today(ctx, &t.on).map_err(at("Day"))?;
    let time = fields::time_of(&t.time).map_err(at("Time"))?;
    let period =
        |text: &str, label: &'static str| Withdrawal::parse(text).map_err(|e| (label.to_string(), e.0));
    let by_rule = t.by_rule == Some(true) && ctx.flock.product(&t.product_name()).is_some();
    let dose = if by_rule {
        DoseDraft::ByRule
    } else {
        DoseDraft::Typed(fields::dose_of(&t.dose).map_err(at("Dose each"))?)
    };
    let draft = TreatmentDraft {
        animals: t.animals.clone(),
        at: Moment { day, time },
        product: t.product_name(),
        batch: fields::some(&t.batch),
        dose,
        route: t.route.and_then(|r| Route::ALL.get(usize::from(r)).copied()),
        site: fields::some(&t.site),
        reason: fields::some(&t.reason),
        given_by: t.given_by.as_deref().and_then(fields::some),
        prescribed_by: t.prescribed_by.as_deref().and_then(fields::some),
        meat: Some(period(&t.meat, "Meat withdrawal")?),
        milk: Some(period(&t.milk, "Milk withdrawal")?),
    };
    match entry::treatments(vec![draft], ctx.flock, ctx.today) {
        Ok(checked) => {
            t.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::Treated })
        }
        Err(refusals) => {
            let first = refusals.first().map(|r| (label(r.field.name).to_string(), r.to_string()));
            t.refusals = refusals;
            Err(first.unwrap_or_default())
        }
    }
}

fn label(field: &str) -> &'static str {
    match field {
        "tag" => "Animal",
        "on" => "Day",
        "dose_ml" => "Dose each",
        "meat_days" => "Meat withdrawal",
        "milk_days" => "Milk withdrawal",
        _ => "Product",
    }
}

//! The form of a treatment.

use super::super::{Ctx, Intent, Then, fields, refusal_of};
use super::aside;
use super::bottle::{self, Bottles};
use super::doses::{self, Doses};
use super::rare::{self, Rare};
use super::whom::{self, Whom};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent, Found, Picker, PickerState};
use hirsel_core::entry::{self, DoseDraft, Refusal, TreatmentDraft, TreatmentExtra};
use hirsel_core::flock::Product;
use hirsel_core::phrase;
use hirsel_core::reckon::dosing::Band;
use hirsel_core::terms::Why;
use hirsel_core::terms::{AnimalId, Dose, DoseRule, Moment, Route, Withdrawal};
use serde::{Deserialize, Serialize};
use std::collections::HashSet;

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    pub(super) whom: Whom,
    pub(super) on: String,
    pub(super) time: String,
    product: PickerState<u64>,
    batch: PickerState<u64>,
    pub(super) by_rule: Option<bool>,
    pub(super) dose: String,
    route: Option<u8>,
    site: String,
    reason: String,
    given_by: Option<String>,
    prescribed_by: Option<String>,
    pub(super) meat: String,
    pub(super) milk: String,
    pub(super) rare: Rare,
    /// The product whose facts stand in the form, with those facts.
    filled_for: String,
    /// The periods that were filled in with them.
    filled: (String, String),
    /// The day on which the form was last seen.
    sitting: String,
    #[serde(skip)]
    focus: Option<String>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

/// Room for the labels.
const LABELS: f32 = 130.0;

impl Typed {
    /// These animals, in place of those chosen before.
    pub(super) fn choose(&mut self, animals: Vec<AnimalId>) {
        self.whom.choose(animals);
        self.refusals.clear();
        self.focus = Some("Product".into());
    }

    /// Ready for the next: product, batch, day, giver and reason stay.
    pub(super) fn next(&mut self) {
        self.whom = Whom::default();
        self.dose.clear();
        self.rare.next();
        self.refusals.clear();
        self.focus = Some("Animal".into());
    }

    /// Name of the product as chosen or typed.
    pub(super) fn product_name(&self) -> String {
        self.product.text.trim().to_string()
    }
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    (doses, bottles): (&mut Doses, &mut Bottles),
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    if std::mem::take(into) {
        t.focus.get_or_insert_with(|| "Animal".into());
    }
    let half_typed = !t.whom.is_empty();
    fields::carry_day(ctx, &mut t.sitting, half_typed, &mut t.on, &mut t.time);
    let whole = ui.available_rect_before_wrap();
    let mut go = false;
    if whole.width() > 900.0 {
        let mut left = whole;
        left.set_right(whole.left() + whole.width() * 0.59);
        let mut right = whole;
        right.set_left(left.right() + space::L);
        ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| {
            egui::ScrollArea::vertical().id_salt("give").auto_shrink(false).show(ui, |ui| {
                go |= form(ui, ctx, t, bottles);
                go |= buttons(ui, t);
            });
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
            egui::ScrollArea::vertical()
                .id_salt("doses")
                .auto_shrink(false)
                .show(ui, |ui| aside::view(ui, ctx, t, whole.height(), doses));
        });
    } else {
        // What is to be drawn up and when meat is clear stand before the button that writes it.
        egui::ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            go |= form(ui, ctx, t, bottles);
            ui.add_space(space::S);
            aside::view(ui, ctx, t, whole.height(), doses);
            go |= buttons(ui, t);
        });
    }
    if std::mem::take(&mut t.whom.wants_list) {
        out.push(Intent::ShowRoll);
    }
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

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, bottles: &mut Bottles) -> bool {
    let mut form = Form::new(ui, "give").label_width(LABELS);
    if let Some(label) = t.focus.clone() {
        let mut wish = true;
        form.focus_once(ui, &mut wish, &label);
        if !wish {
            t.focus = None;
        }
    }
    let named = t.prescribed_by.as_deref().is_some_and(|v| !v.trim().is_empty());
    let prescribed = named || t.rare.script.chosen().is_some();
    let said_off = !t.rare.off_label.trim().is_empty();
    let by_law = entry::asked_fields(ctx.flock, prescribed, t.rare.vet_gave(), said_off);
    let asked = |name: &str| by_law.iter().find(|(n, _)| *n == name).map(|(_, words)| words.as_str());
    let wrong = |name| refusal_of(&t.refusals, name, 0);
    let (tag, on, product, dose) = (wrong("tag"), wrong("on"), wrong("product"), wrong("dose_ml"));
    if whom::view(ui, ctx, &mut t.whom, &mut form, LABELS, tag.as_deref()) {
        t.focus = Some("Animal".into()); // another one may follow; an empty Enter goes on
    }
    form.day(ui, ctx, "Day", &mut t.on, on.as_deref());
    form.time(ui, "Time", &mut t.time);
    product_field(ui, ctx, t, &mut form, product.as_deref());
    let known = ctx.flock.product(&t.product_name()).cloned();
    bottles.keep(ctx, known.as_ref());
    fill(ctx, t, known.as_ref(), bottles);
    let batch = refusal_of(&t.refusals, "batch", 0);
    bottle::field(ui, ctx, &mut form, bottles, &mut t.batch, (batch.as_deref(), asked("batch")));
    dose_fields(ui, t, &mut form, known.as_ref(), (dose.as_deref(), asked("dose_ml")));
    let routes: Vec<(u8, &str)> = (0u8..).zip(Route::ALL.iter().map(|r| r.words())).collect();
    form.choice(ui, &Choice::new("Route", &routes).optional(), &mut t.route);
    by_route(ctx, t, known.as_ref());
    form.field(ui, &Field::new("Site").width(220.0).example("left neck"), &mut t.site);
    let field = Field::new("Reason").width(320.0).example("what it is given for");
    form.field(ui, &field.asked(asked("reason")), &mut t.reason);
    let holding = ctx.flock.holding();
    let given = t.given_by.get_or_insert_with(|| holding.given_by.clone());
    form.field(ui, &Field::new("Given by").width(220.0).asked(asked("given_by")), given);
    let vet = t.prescribed_by.get_or_insert_with(String::new);
    let wrong = refusal_of(&t.refusals, "prescribed_by", 0);
    let field = Field::new("Prescribed by").width(220.0).example("the vet, if one did");
    form.field(ui, &field.refusal(wrong.as_deref()).asked(asked("prescribed_by")), vet);
    withdrawals(ui, t, &mut form);
    let off = off_label(ctx, t);
    let refusals = std::mem::take(&mut t.refusals);
    rare::view(ui, ctx, &mut form, &mut t.rare, &off, &|name| refusal_of(&refusals, name, 0));
    t.refusals = refusals;
    if let Some(directed) = t.rare.take_script(ctx) {
        t.prescribed_by = Some(directed.vet);
        for (text, period) in [(&mut t.meat, directed.meat), (&mut t.milk, directed.milk)] {
            if let Some(period) = period {
                *text = period.text();
            }
        }
        if let Some(reason) = directed.reason.filter(|_| t.reason.trim().is_empty()) {
            t.reason = reason;
        }
    }
    form.finish(ui) == FormEvent::Submitted
}

/// What of the use is not on the label, as far as the form tells.
pub(super) fn off_label(ctx: &Ctx<'_>, t: &Typed) -> Vec<String> {
    let typed = t.by_rule != Some(true) && t.rare.shared().is_none();
    let dose = fields::dose_of(&t.dose).ok().flatten().filter(|_| typed);
    rare::off_label(ctx.flock.product(&t.product_name()), route_of(t), dose)
}

fn buttons(ui: &mut egui::Ui, t: &mut Typed) -> bool {
    let mut go = false;
    ui.add_space(space::S);
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        go = look::primary(ui, "Write the treatment").clicked();
        if ui.button(phrase!("Empty the form")).clicked() {
            *t = Typed { focus: Some("Animal".into()), ..Typed::default() };
        }
    });
    ui.add_space(space::L);
    go
}

/// A product of the cupboard, or any other by its name.
fn product_field(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form, refusal: Option<&str>) {
    let products = ctx.flock.products();
    let name = t.product_name();
    let foreign = !name.is_empty() && find_product(products, &name).is_empty();
    let strange =
        foreign.then_some("not in the cupboard: no dose or withdrawal is known unless you write it");
    let off = t.rare.off_label.trim().is_empty() && !off_label(ctx, t).is_empty();
    let caution = strange.or(off.then_some("not as its label says: off-label, only a vet may direct it"));
    if caution.is_some() {
        crate::parts::caution::remember(ui, Why::OffLabel);
    }
    // The facts stand beside the field where there is room, else with the doses only.
    let narrow = ui.available_width() < LABELS + 320.0 + 300.0;
    let picker = Picker::new("Product", ctx.flock.version()).width(320.0).example("name on the label");
    let picker = picker.free().quiet(narrow).caution(caution).refusal(refusal);
    form.picker(ui, &picker, &mut t.product, |text| find_product(products, text));
}

/// Meat and milk; nothing written is unknown, and that is said.
fn withdrawals(ui: &mut egui::Ui, t: &mut Typed, form: &mut Form) {
    let asked = !t.product_name().is_empty();
    let wrong = |name| refusal_of(&t.refusals, name, 0);
    for (label, text, refusal) in [
        ("Meat withdrawal", &mut t.meat, wrong("meat_days")),
        ("Milk withdrawal", &mut t.milk, wrong("milk_days")),
    ] {
        let empty = asked && matches!(Withdrawal::parse(text), Ok(Withdrawal::Unknown));
        let caution = empty.then_some("unknown: not clear until it is written");
        form.withdrawal_with(ui, label, text, refusal.as_deref(), caution);
    }
}

pub(super) fn find_product(products: &[Product], text: &str) -> Vec<Found<u64>> {
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
    phrase!("{}; meat {}, milk {}", p.rule.words(), p.meat, p.milk)
}

/// The route as chosen.
pub(super) fn route_of(t: &Typed) -> Option<Route> {
    t.route.and_then(|r| Route::ALL.get(usize::from(r)).copied())
}

/// Another route may have periods of its own: they are taken unless others were typed.
fn by_route(ctx: &Ctx<'_>, t: &mut Typed, known: Option<&Product>) {
    let Some(p) = known else { return };
    let (meat, milk, export) = entry::usual_periods(ctx.flock, p, route_of(t));
    let usual = (meat.text(), milk.text());
    if (t.meat.as_str(), t.milk.as_str()) == (t.filled.0.as_str(), t.filled.1.as_str()) && usual != t.filled {
        (t.meat, t.milk) = usual.clone();
        t.rare.export = export.text();
    }
    t.filled = usual;
}

/// Fills route, periods and the first bottle to be used from the product when another one is chosen, or its facts have
/// changed.
fn fill(ctx: &Ctx<'_>, t: &mut Typed, known: Option<&Product>, bottles: &Bottles) {
    let facts = known.map(|p| format!("{}: {}, {:?}", p.name, facts(p), p.route)).unwrap_or_default();
    if t.filled_for == facts {
        return;
    }
    let name = known.map(|p| format!("{}: ", p.name));
    let same = name.is_some_and(|n| t.filled_for.starts_with(&n));
    if !same {
        t.batch.clear();
        if !t.filled_for.is_empty() {
            t.rare.other_product();
        }
    }
    if let Some(p) = known {
        let (meat, milk, export) = entry::usual_periods(ctx.flock, p, p.route);
        (t.meat, t.milk, t.rare.export) = (meat.text(), milk.text(), export.text());
        t.filled = (t.meat.clone(), t.milk.clone());
        if let Some(first) = bottles.proposed().filter(|_| t.batch.text.trim().is_empty()) {
            t.batch.choose(first);
        }
        t.route =
            p.route.and_then(|r| Route::ALL.iter().position(|x| *x == r)).and_then(|n| u8::try_from(n).ok());
        t.by_rule = Some(p.rule != DoseRule::Typed);
    } else {
        t.meat.clear();
        t.milk.clear();
        t.by_rule = Some(false);
    }
    t.filled_for = facts;
}

fn dose_fields(
    ui: &mut egui::Ui,
    t: &mut Typed,
    form: &mut Form,
    known: Option<&Product>,
    (refusal, asked): (Option<&str>, Option<&str>),
) {
    let read = |t: &str| Dose::parse(t).map(|d| d.to_string()).map_err(|e| e.0);
    let field = Field::new("Dose each").width(110.0).example("2.5 ml").understand(&read).asked(asked);
    if let Some(p) = known.filter(|p| p.rule != DoseRule::Typed) {
        let rule = phrase!("by the label: {}", p.rule.words());
        form.choice(
            ui,
            &Choice::names("Dose", &[(true, rule.as_str()), (false, "as I type it")]).refusal(refusal),
            &mut t.by_rule,
        );
        if t.by_rule == Some(false) {
            form.field(ui, &field, &mut t.dose);
        }
    } else {
        t.by_rule = Some(false);
        form.field(ui, &field.refusal(refusal), &mut t.dose);
    }
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed) -> Result<Intent, (String, String)> {
    let at = |label: &'static str| move |e: String| (label.to_string(), e);
    if let Some((label, text)) = t.whom.unsettled() {
        return Err((
            label.into(),
            phrase!("'{text}' is not settled: choose one from the list, or empty the field"),
        ));
    }
    let name = t.product_name();
    if !name.is_empty() && ctx.flock.product(&name).is_none() {
        let fit = find_product(ctx.flock.products(), &name);
        let which = match fit.as_slice() {
            [] => None,
            [one] => Some(phrase!("is it {}? Choose it", one.label)),
            many => Some(phrase!("{} of the cupboard fit; choose one", many.len())),
        };
        if let Some(which) = which {
            let words = phrase!("'{name}' is not settled: {which}, or write the whole name");
            return Err(("Product".into(), words));
        }
    }
    let day = fields::day_or_today(ctx, &t.on).map_err(at("Day"))?;
    let time = fields::time_of(&t.time).map_err(at("Time"))?;
    let period =
        |text: &str, label: &'static str| Withdrawal::parse(text).map_err(|e| (label.to_string(), e.0));
    let by_rule = t.by_rule == Some(true) && ctx.flock.product(&name).is_some();
    let dose = if by_rule {
        DoseDraft::ByRule
    } else {
        DoseDraft::Typed(fields::dose_of(&t.dose).map_err(at("Dose each"))?)
    };
    let draft = TreatmentDraft {
        animals: t.whom.animals.clone(),
        at: Moment { day, time },
        product: name,
        batch: fields::some(&t.batch.text),
        dose,
        route: route_of(t),
        site: fields::some(&t.site),
        reason: fields::some(&t.reason),
        given_by: t.given_by.as_deref().and_then(fields::some),
        prescribed_by: t.prescribed_by.as_deref().and_then(fields::some),
        meat: Some(period(&t.meat, "Meat withdrawal")?),
        milk: Some(period(&t.milk, "Milk withdrawal")?),
        more: TreatmentExtra { drawn: by_rule, ..t.rare.extra(ctx)? },
    };
    let sentence = phrase!("{} for {} animals, by weight bands", draft.product, draft.animals.len());
    let drafts = by_bands(ctx, t, draft, by_rule);
    let banded = drafts.len() > 1;
    match entry::treatments(drafts, ctx.flock, ctx.today) {
        Ok(checked) => {
            let checked = if banded { checked.called(sentence) } else { checked };
            t.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::Treated })
        }
        Err(refusals) => {
            let first = refusals.first().map(|r| (label(r.field.name, by_rule).to_string(), r.to_string()));
            t.refusals = refusals;
            Err(first.unwrap_or_default())
        }
    }
}

/// One draft for each band of weight, dosed by its heaviest, where that is asked for; those without a weight apart,
/// so that they are refused by name.
fn by_bands(ctx: &Ctx<'_>, t: &Typed, draft: TreatmentDraft, by_rule: bool) -> Vec<TreatmentDraft> {
    let product = ctx.flock.product(&draft.product);
    let given = doses::Given {
        animals: &draft.animals,
        product,
        by_rule,
        typed: None,
        on: draft.at.day,
        estimated: draft.more.estimated,
        shared: draft.more.shared,
        band: t.rare.band(ctx),
    };
    let bands = doses::banded(ctx, &given);
    if bands.is_empty() {
        return vec![draft];
    }
    let placed: HashSet<AnimalId> = bands.iter().flat_map(|b| b.animals.iter().copied()).collect();
    let of_band = |b: &Band<AnimalId>| TreatmentDraft {
        animals: b.animals.clone(),
        dose: DoseDraft::Typed(doses::dose_of(b)),
        ..draft.clone()
    };
    let mut all: Vec<TreatmentDraft> = bands.iter().map(of_band).collect();
    let rest: Vec<AnimalId> = draft.animals.iter().copied().filter(|id| !placed.contains(id)).collect();
    if !rest.is_empty() {
        all.push(TreatmentDraft { animals: rest, ..draft });
    }
    all
}

fn label(field: &str, by_rule: bool) -> &'static str {
    match field {
        "tag" => "Animal",
        "on" => "Day",
        "dose_ml" if by_rule => "Dose",
        "dose_ml" => "Dose each",
        "meat_days" => "Meat withdrawal",
        "milk_days" => "Milk withdrawal",
        "batch" => "Batch",
        "prescribed_by" => "Prescribed by",
        "off_label" => rare::OFF_LABEL,
        "prescription" => "Prescription",
        "course" => "Doses in all",
        "shared" => "For all together",
        _ => "Product",
    }
}

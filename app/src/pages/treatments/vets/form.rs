//! The forms of a vet and of a prescription.

use super::super::super::{Ctx, Intent, Then, fields, refusal_of};
use super::super::read;
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent, Found, Picker, PickerState};
use hirsel_core::entry::{self, PrescriptionDraft, Refusal, VetDraft};
use hirsel_core::flock::Vet;
use hirsel_core::phrase;
use hirsel_core::terms::{VetId, Withdrawal};
use serde::{Deserialize, Serialize};

/// A vet as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct VetTyped {
    id: Option<VetId>,
    name: String,
    practice: String,
    address: String,
    contact: String,
    number: String,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

impl VetTyped {
    /// A vet to be changed.
    pub(super) fn of(v: &Vet) -> Self {
        let opt = |o: &Option<String>| o.clone().unwrap_or_default();
        Self {
            id: Some(v.id),
            name: v.name.clone(),
            practice: opt(&v.practice),
            address: opt(&v.address),
            contact: opt(&v.contact),
            number: opt(&v.number),
            refusals: Vec::new(),
        }
    }
}

/// Draws the vet; tells when it is closed.
pub(super) fn vet(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut VetTyped,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> bool {
    look::subheading(ui, if t.id.is_some() { "The vet's facts" } else { "New vet" });
    ui.add_space(space::XS);
    let mut form = Form::new(ui, "vet").label_width(160.0);
    form.focus_once(ui, into, "Name");
    let name = refusal_of(&t.refusals, "name", 0);
    form.field(ui, &Field::new("Name").width(260.0).refusal(name.as_deref()), &mut t.name);
    form.field(ui, &Field::new("Practice").width(260.0), &mut t.practice);
    form.field(ui, &Field::new("Address").width(320.0), &mut t.address);
    form.field(ui, &Field::new("Telephone or mail").width(260.0), &mut t.contact);
    form.field(ui, &Field::new("Register number").width(160.0).example("of the vet"), &mut t.number);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::S);
    let mut closed = false;
    ui.horizontal(|ui| {
        go |= look::primary(ui, "Write the vet").clicked();
        closed = ui.button(phrase!("Back to the list (Esc)")).clicked();
    });
    closed |= ui.memory(|m| m.focused().is_none()) && crate::parts::escaped(ui);
    if go {
        let draft = VetDraft {
            id: t.id,
            name: t.name.clone(),
            practice: fields::some(&t.practice),
            address: fields::some(&t.address),
            contact: fields::some(&t.contact),
            number: fields::some(&t.number),
        };
        match entry::vets(vec![draft], ctx.flock) {
            Ok(checked) => {
                out.push(Intent::Write { checked: Box::new(checked), then: Then::CupboardDone });
            }
            Err(refusals) => {
                *into = true;
                let first = refusals.first().map(ToString::to_string).unwrap_or_default();
                out.push(Intent::Say(Kind::Refuse, first));
                t.refusals = refusals;
            }
        }
    }
    closed
}

/// A prescription as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct PrescriptionTyped {
    vet: PickerState<VetId>,
    on: String,
    valid: String,
    number: String,
    product: PickerState<u64>,
    whom: String,
    dose: String,
    reason: String,
    off_label: Option<bool>,
    meat: String,
    milk: String,
    export: String,
    #[serde(skip)]
    focus: Option<&'static str>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

const USE: [(bool, &str); 2] = [(false, "as the label says"), (true, "off the label")];

/// Draws the prescription; tells when it is closed.
pub(super) fn prescription(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut PrescriptionTyped,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> bool {
    if std::mem::take(into) {
        // The only vet is the one.
        if let ([only], true) = (ctx.flock.cupboard().vets.as_slice(), t.vet.text.is_empty()) {
            t.vet.choose(found(only));
        }
        t.focus.get_or_insert(if t.vet.chosen().is_some() { "Product" } else { "Vet" });
    }
    let mut go = false;
    let mut closed = false;
    let room = (ui.available_height() - 64.0).max(160.0);
    egui::ScrollArea::vertical().id_salt("prescription").max_height(room).auto_shrink([false, true]).show(
        ui,
        |ui| {
            look::subheading(ui, "New prescription");
            ui.add_space(space::XS);
            let mut form = Form::new(ui, "prescription").label_width(140.0);
            if let Some(label) = t.focus {
                let mut wish = true;
                form.focus_once(ui, &mut wish, label);
                t.focus = wish.then_some(label);
            }
            if ui.available_width() > 900.0 {
                ui.columns(2, |c| {
                    if let [left, right] = c {
                        who_and_when(left, ctx, t, &mut form);
                        how(right, ctx, t, &mut form);
                    }
                });
            } else {
                who_and_when(ui, ctx, t, &mut form);
                how(ui, ctx, t, &mut form);
            }
            go = form.finish(ui) == FormEvent::Submitted;
        },
    );
    ui.add_space(space::S);
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the prescription").clicked();
        closed = ui.button(phrase!("Back to the list (Esc)")).clicked();
        look::faint(ui, "Empty periods: as the label says. Open it afterwards to keep the paper itself.");
    });
    closed |= ui.memory(|m| m.focused().is_none()) && crate::parts::escaped(ui);
    if go {
        match checked(ctx, t) {
            Ok(intent) => out.push(intent),
            Err((label, text)) => {
                t.focus = Some(label);
                out.push(Intent::Say(Kind::Refuse, text));
            }
        }
    }
    closed
}

fn found(v: &Vet) -> Found<VetId> {
    Found { key: v.id, label: v.name.clone(), detail: v.practice.clone().unwrap_or_default() }
}

fn who_and_when(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut PrescriptionTyped, form: &mut Form) {
    let wrong = |name| refusal_of(&t.refusals, name, 0);
    let (vet, on, valid, product) = (wrong("vet"), wrong("on"), wrong("valid_to"), wrong("product"));
    let vets = &ctx.flock.cupboard().vets;
    let picker = Picker::new("Vet", ctx.flock.version()).width(260.0).example("name or practice").quiet(true);
    form.picker(ui, &picker.refusal(vet.as_deref()), &mut t.vet, |text| {
        let fits = |v: &&Vet| {
            super::super::super::list::fits(
                text,
                [v.name.as_str(), v.practice.as_deref().unwrap_or_default()],
            )
        };
        vets.iter().filter(fits).map(found).collect()
    });
    form.product(ui, ctx, "Product", &mut t.product, product.as_deref());
    form.day(ui, ctx, "Written on", &mut t.on, on.as_deref());
    let read = |x: &str| {
        let day = hirsel_core::terms::Day::parse_expiry(x, ctx.today);
        day.map(hirsel_core::terms::Day::long).map_err(|e| e.0)
    };
    let field = Field::new("Valid until").width(120.0).example("its last day").understand(&read);
    form.field(ui, &field.refusal(valid.as_deref()), &mut t.valid);
    form.field(ui, &Field::new("Number").width(160.0), &mut t.number);
    form.field(ui, &Field::new("For whom").width(260.0).example("lambs of the top field"), &mut t.whom);
}

fn how(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut PrescriptionTyped, form: &mut Form) {
    form.field(ui, &Field::new("Dose").width(260.0).example("2 ml a day for 3 days"), &mut t.dose);
    form.field(ui, &Field::new("Because of").width(260.0), &mut t.reason);
    t.off_label.get_or_insert(false);
    form.choice(ui, &Choice::new("Use", &USE), &mut t.off_label);
    let off = t.off_label == Some(true);
    let caution = |text: &str| {
        let blank = off && text.trim().is_empty();
        blank.then_some("what does the vet direct?")
    };
    for (label, text) in [("Meat withdrawal", &mut t.meat), ("Milk withdrawal", &mut t.milk)] {
        let said = caution(text);
        form.withdrawal_with(ui, label, text, None, said);
    }
    if ctx.flock.rules().is_some_and(|r| r.tracks_export()) || !t.export.is_empty() {
        form.withdrawal(ui, "Export withdrawal", &mut t.export, None);
    }
}

fn checked(ctx: &Ctx<'_>, t: &mut PrescriptionTyped) -> Result<Intent, (&'static str, String)> {
    let at = |label: &'static str| move |e: String| (label, e);
    let Some(vet) = t.vet.chosen() else {
        let words = match t.vet.text.trim() {
            "" => phrase!("a vet is needed: type part of the name"),
            text => phrase!("'{text}' is not settled: choose one of the list, or write the vet first"),
        };
        return Err(("Vet", words));
    };
    let period = |label, text: &str| Withdrawal::parse(text).map_err(|e| (label, e.0));
    let draft = PrescriptionDraft {
        vet,
        on: fields::day_or_today(ctx, &t.on).map_err(at("Written on"))?,
        valid_to: read::expiry(ctx, &t.valid).map_err(at("Valid until"))?,
        number: fields::some(&t.number),
        product: t.product.text.trim().to_string(),
        whom: fields::some(&t.whom),
        dose: fields::some(&t.dose),
        reason: fields::some(&t.reason),
        off_label: t.off_label == Some(true),
        meat: period("Meat withdrawal", &t.meat)?,
        milk: period("Milk withdrawal", &t.milk)?,
        export: period("Export withdrawal", &t.export)?,
    };
    match entry::prescriptions(vec![draft], ctx.flock, ctx.today) {
        Ok(checked) => {
            t.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::CupboardDone })
        }
        Err(refusals) => {
            let label = match refusals.first().map(|r| r.field.name) {
                Some("on") => "Written on",
                Some("valid_to") => "Valid until",
                Some("vet") => "Vet",
                _ => "Product",
            };
            let first = refusals.first().map(ToString::to_string).unwrap_or_default();
            t.refusals = refusals;
            Err((label, first))
        }
    }
}

//! The products of the cupboard: what the label says of dose and withdrawal.

use super::super::list::{List, Row, take_out};
use super::super::{Ctx, Intent, Then, fields, refusal_of};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::entry::{self, ProductDraft, Refusal};
use hirsel_core::flock::Product;
use hirsel_core::terms::{DoseRule, ProductId, Route, Strength, Withdrawal};
use serde::{Deserialize, Serialize};

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    open: bool,
    name: String,
    substance: String,
    form: String,
    strength: String,
    rule: Option<u8>,
    dose: String,
    route: Option<u8>,
    meat: String,
    milk: String,
    licensed: String,
    #[serde(skip)]
    focus: bool,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Products {
    made_for: Option<u64>,
    list: List<ProductId>,
    table: TableState<ProductId>,
}

const RULES: [(u8, &str); 3] = [(0, "ml for each kg"), (1, "ml for each head"), (2, "not written")];

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    products: &mut Products,
    out: &mut Vec<Intent>,
) {
    if products.made_for != Some(ctx.flock.version()) {
        products.made_for = Some(ctx.flock.version());
        products.list.set(ctx.flock.products().iter().map(row).collect());
    }
    ui.horizontal(|ui| {
        if look::primary(ui, "New product").clicked() {
            *t = Typed { open: true, focus: true, ..Typed::default() };
        }
        let heads = ["product", "substance", "dose", "route", "meat", "milk", "licensed_for"];
        take_out(ui, "products", &heads, &products.list, &mut products.table, out);
        look::faint(
            ui,
            "Generic names; dose and withdrawal as the label says. Enter opens one to change it.",
        );
    });
    if t.open {
        look::card(ui, |ui| {
            ui.set_min_width(ui.available_width());
            form(ui, ctx, t, out);
        });
    }
    ui.add_space(space::S);
    if products.list.rows.is_empty() {
        look::paragraph(ui, "No product yet. Write one in, and doses and clear days follow from it.");
        return;
    }
    let columns = [
        Column::new("Product", 220.0).rest(),
        Column::new("Substance", 140.0).rest(),
        Column::new("Dose", 130.0),
        Column::new("Route", 120.0),
        Column::new("Meat", 90.0),
        Column::new("Milk", 90.0),
        Column::new("Licensed for", 110.0),
    ];
    for event in RecordTable::new("Products", &columns).single().show(ui, &mut products.table, &products.list)
    {
        if let TableEvent::Opened(id) = event
            && let Some(p) = ctx.flock.products().iter().find(|p| p.id == id)
        {
            *t = Typed::of(p);
        }
    }
}

fn row(p: &Product) -> Row<ProductId> {
    Row::new(p.id)
        .tag(p.name.clone())
        .text(p.substance.clone().unwrap_or_default())
        .text(p.rule.words())
        .text(p.route.map(|r| r.words().to_string()).unwrap_or_default())
        .text(p.meat.to_string())
        .text(p.milk.to_string())
        .text(p.licensed_for.clone().unwrap_or_default())
}

impl Typed {
    fn of(p: &Product) -> Self {
        let (rule, dose) = match p.rule {
            DoseRule::PerKg(ul) => (0, (f64::from(ul) / 1000.0).to_string()),
            DoseRule::PerHead(ul) => (1, (f64::from(ul) / 1000.0).to_string()),
            DoseRule::Typed => (2, String::new()),
        };
        Self {
            open: true,
            name: p.name.clone(),
            substance: p.substance.clone().unwrap_or_default(),
            form: p.form.clone().unwrap_or_default(),
            strength: p.strength.map(|s| s.mg_per_ml().to_string()).unwrap_or_default(),
            rule: Some(rule),
            dose,
            route: p
                .route
                .and_then(|r| Route::ALL.iter().position(|x| *x == r))
                .and_then(|n| u8::try_from(n).ok()),
            meat: p.meat.text(),
            milk: p.milk.text(),
            licensed: p.licensed_for.clone().unwrap_or_default(),
            focus: true,
            refusals: Vec::new(),
        }
    }
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    let mut go = false;
    let room = (ui.ctx().content_rect().height() - 420.0).max(200.0);
    egui::ScrollArea::vertical().max_height(room).auto_shrink([false, true]).show(ui, |ui| {
        let mut form = Form::new(ui, "product").label_width(140.0);
        form.focus_once(ui, &mut t.focus, "Name on the label");
        let name = refusal_of(&t.refusals, "product", 0);
        form.field(ui, &Field::new("Name on the label").width(320.0).refusal(name.as_deref()), &mut t.name);
        form.field(ui, &Field::new("Active substance").width(240.0), &mut t.substance);
        form.field(ui, &Field::new("Form").width(180.0).example("injection, drench, pour-on"), &mut t.form);
        let number = |x: &str| number(x).map(|n| format!("{n} mg in each ml"));
        let field = Field::new("Strength").width(110.0).unit("mg per ml").understand(&number);
        form.field(ui, &field, &mut t.strength);
        form.choice(ui, &Choice::new("Dose rule", &RULES), &mut t.rule);
        if matches!(t.rule, Some(0 | 1)) {
            form.dose(ui, "Dose", &mut t.dose, None);
        }
        let routes: Vec<(u8, &str)> = (0u8..).zip(Route::ALL.iter().map(|r| r.words())).collect();
        form.choice(ui, &Choice::new("Route", &routes).optional(), &mut t.route);
        form.withdrawal(ui, "Meat withdrawal", &mut t.meat, None);
        form.withdrawal(ui, "Milk withdrawal", &mut t.milk, None);
        form.field(ui, &Field::new("Licensed for").width(180.0).example("sheep, cattle"), &mut t.licensed);
        go = form.finish(ui) == FormEvent::Submitted;
    });
    ui.horizontal(|ui| {
        go |= look::primary(ui, "Write the product").clicked();
        if ui.button("Close").clicked() {
            t.open = false;
        }
        look::faint(ui, "An empty withdrawal is unknown: animals given it are not clear.");
    });
    if go {
        match draft(t).and_then(|d| {
            entry::products(vec![d], ctx.flock).map_err(|r| {
                let first = r.first().map(ToString::to_string).unwrap_or_default();
                t.refusals = r;
                first
            })
        }) {
            Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::Treated }),
            Err(text) => out.push(Intent::Say(Kind::Refuse, text)),
        }
    }
}

fn number(text: &str) -> Result<f64, String> {
    text.trim()
        .replace(',', ".")
        .parse::<f64>()
        .ok()
        .filter(|n| n.is_finite() && *n > 0.0)
        .ok_or_else(|| format!("'{}' is no number: write it like 200 or 0.8", text.trim()))
}

fn draft(t: &Typed) -> Result<ProductDraft, String> {
    let ul = |text: &str| -> Result<u32, String> {
        let n = number(text.trim().trim_end_matches("ml"))?;
        let ul = (n * 1000.0).round();
        if (1.0..=1_000_000.0).contains(&ul) {
            Ok(ul as u32)
        } else {
            Err(format!("'{}' is no dose", text.trim()))
        }
    };
    let period = |text: &str| Withdrawal::parse(text).map_err(|e| e.0);
    Ok(ProductDraft {
        name: t.name.clone(),
        substance: fields::some(&t.substance),
        form: fields::some(&t.form),
        strength: fields::some(&t.strength)
            .map(|s| number(&s))
            .transpose()?
            .and_then(Strength::from_mg_per_ml),
        rule: match t.rule {
            Some(0) => DoseRule::PerKg(ul(&t.dose)?),
            Some(1) => DoseRule::PerHead(ul(&t.dose)?),
            _ => DoseRule::Typed,
        },
        route: t.route.and_then(|r| Route::ALL.get(usize::from(r)).copied()),
        meat: period(&t.meat)?,
        milk: period(&t.milk)?,
        licensed_for: fields::some(&t.licensed),
    })
}

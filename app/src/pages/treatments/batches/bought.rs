//! The form of a delivery.

use super::super::super::{Ctx, Intent, Then, fields, refusal_of};
use super::super::read;
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, BatchDraft, Refusal};
use hirsel_core::phrase;
use hirsel_core::terms::Price;
use serde::{Deserialize, Serialize};

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    product: PickerState<u64>,
    number: String,
    expiry: String,
    bought: String,
    quantity: String,
    price: String,
    invoice: String,
    supplier: String,
    address: String,
    opened: String,
    note: String,
    #[serde(skip)]
    focus: Option<&'static str>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

impl Typed {
    /// Ready for the next bottle of the same delivery: day, supplier and invoice stay.
    pub(super) fn next(&mut self) {
        let mut kept = std::mem::take(self);
        *self = Self {
            bought: std::mem::take(&mut kept.bought),
            invoice: std::mem::take(&mut kept.invoice),
            supplier: std::mem::take(&mut kept.supplier),
            address: std::mem::take(&mut kept.address),
            focus: Some("Product"),
            ..Self::default()
        };
    }
}

/// Draws it; tells when it is closed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> bool {
    if std::mem::take(into) {
        t.focus.get_or_insert("Product");
    }
    let mut go = false;
    let mut closed = false;
    let room = (ui.available_height() - 64.0).max(160.0);
    egui::ScrollArea::vertical().id_salt("bought").max_height(room).auto_shrink([false, true]).show(
        ui,
        |ui| {
            look::subheading(ui, "Medicine bought");
            ui.add_space(space::XS);
            let mut form = Form::new(ui, "bought").label_width(140.0);
            if let Some(label) = t.focus {
                let mut wish = true;
                form.focus_once(ui, &mut wish, label);
                t.focus = wish.then_some(label);
            }
            if ui.available_width() > 900.0 {
                ui.columns(2, |c| {
                    if let [left, right] = c {
                        bottle(left, ctx, t, &mut form);
                        purchase(right, ctx, t, &mut form);
                    }
                });
            } else {
                bottle(ui, ctx, t, &mut form);
                purchase(ui, ctx, t, &mut form);
            }
            go = form.finish(ui) == FormEvent::Submitted;
            blanks(ui, ctx);
        },
    );
    ui.add_space(space::S);
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the purchase").clicked();
        closed = ui.button(phrase!("Back to the list (Esc)")).clicked();
        look::faint(ui, "Day, supplier and invoice stay for the next. Open the batch to keep the paper.");
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

/// What the book's rules ask of a purchase, with their source.
fn blanks(ui: &mut egui::Ui, ctx: &Ctx<'_>) {
    let Some((set, fields)) = ctx.flock.rules().and_then(|s| Some((s, s.cupboard()?))) else { return };
    if let Some(ground) = &fields.acquired_ground {
        let all = fields.acquired.iter().map(|f| look::said(f.words())).collect::<Vec<_>>().join(", ");
        ui.add_space(space::S);
        look::faint(
            ui,
            phrase!("{} asks for: {all}. Source: {ground}. Label, vet and local law decide.", &set.name()),
        );
    }
}

fn bottle(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form) {
    let wrong = |name| refusal_of(&t.refusals, name, 0);
    let (product, number, expiry, quantity, opened) =
        (wrong("product"), wrong("number"), wrong("expiry"), wrong("quantity"), wrong("opened_on"));
    form.product(ui, ctx, "Product", &mut t.product, product.as_deref());
    let field = Field::new("Batch number").width(180.0).example("on the bottle").refusal(number.as_deref());
    form.field(ui, &field, &mut t.number);
    form.expiry(ui, ctx, "Expiry", &mut t.expiry, expiry.as_deref());
    form.amount(ui, "Quantity", &mut t.quantity, quantity.as_deref());
    form.day_or_none(ui, ctx, "Opened on", &mut t.opened, opened.as_deref());
}

fn purchase(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form) {
    let wrong = |name| refusal_of(&t.refusals, name, 0);
    let (bought, price) = (wrong("bought_on"), wrong("price"));
    form.day(ui, ctx, "Bought on", &mut t.bought, bought.as_deref());
    form.field(ui, &Field::new("Supplier").width(240.0).example("vet or merchant"), &mut t.supplier);
    form.field(ui, &Field::new("Their address").width(240.0), &mut t.address);
    form.field(ui, &Field::new("Invoice number").width(160.0), &mut t.invoice);
    let read = |x: &str| Price::parse(x).map(|p| p.to_string()).map_err(|e| e.0);
    let field = Field::new("Price").width(110.0).example("42.50").understand(&read).refusal(price.as_deref());
    form.field(ui, &field, &mut t.price);
    form.field(ui, &Field::new("Note").width(240.0), &mut t.note);
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed) -> Result<Intent, (&'static str, String)> {
    let at = |label: &'static str| move |e: String| (label, e);
    let draft = BatchDraft {
        product: t.product.text.clone(),
        number: t.number.clone(),
        expiry: read::expiry(ctx, &t.expiry).map_err(at("Expiry"))?,
        bought_on: Some(fields::day_or_today(ctx, &t.bought).map_err(at("Bought on"))?),
        supplier: fields::some(&t.supplier),
        supplier_address: fields::some(&t.address),
        quantity: read::amount(&t.quantity).map_err(at("Quantity"))?,
        price: read::price(&t.price).map_err(at("Price"))?,
        invoice: fields::some(&t.invoice),
        opened_on: read::day(ctx, &t.opened).map_err(at("Opened on"))?,
        note: fields::some(&t.note),
    };
    match entry::batches(vec![draft], ctx.flock, ctx.today) {
        Ok(checked) => {
            t.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::CupboardDone })
        }
        Err(refusals) => {
            let first = refusals.first().map(|r| (label(r.field.name), r.to_string())).unwrap_or_default();
            t.refusals = refusals;
            Err(first)
        }
    }
}

fn label(field: &str) -> &'static str {
    match field {
        "number" => "Batch number",
        "expiry" => "Expiry",
        "bought_on" => "Bought on",
        "quantity" => "Quantity",
        "opened_on" => "Opened on",
        "price" => "Price",
        _ => "Product",
    }
}

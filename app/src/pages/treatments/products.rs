//! The products of the cupboard: what the label says of dose and withdrawal.

use super::super::list::{List, Row, take_out};
use super::super::{Ctx, Intent, Then, fields, refusal_of};
use super::label;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Field, Form, FormEvent, take_keyboard};
use hirsel_core::entry::{self, ProductDraft, Refusal};
use hirsel_core::flock::Product;
use hirsel_core::phrase;
use hirsel_core::terms::{DoseRule, ProductClass, ProductId, Route, Strength, Withdrawal};
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
    more: label::Typed,
    /// The name of the product that was opened to be changed.
    changing: Option<String>,
    #[serde(skip)]
    focus: Option<&'static str>,
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

const TABLE: &str = "Products";

impl Typed {
    /// Opens a product to be changed.
    pub(super) fn open(&mut self, p: Option<&Product>) {
        if let Some(p) = p {
            *self = Self::of(p);
        }
    }

    /// Written: after a new product another may follow, after a change the form is closed.
    pub(super) fn after(&mut self) {
        let another = self.changing.is_none();
        *self = Self { open: another, focus: another.then_some(NAME), ..Self::default() };
    }

    fn new() -> Self {
        Self { open: true, focus: Some(NAME), ..Self::default() }
    }
}

const NAME: &str = "Name on the label";

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    products: &mut Products,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    if products.made_for != Some(ctx.flock.version()) {
        products.made_for = Some(ctx.flock.version());
        products.list.set(ctx.flock.products().iter().map(row).collect());
    }
    let id = RecordTable::new(TABLE, &[]).id(ui);
    if std::mem::take(into) {
        match t.open {
            true => t.focus = Some(NAME),
            false if products.list.rows.is_empty() => *t = Typed::new(),
            false => take_keyboard(ui, id),
        }
    }
    // One thing at a time: the whole label is seen.
    if t.open {
        if form(ui, ctx, t, out) {
            *into = !products.list.rows.is_empty();
        }
        return;
    }
    ui.horizontal_wrapped(|ui| {
        if look::primary(ui, "New product").clicked() {
            *t = Typed::new();
        }
        let heads = [
            "product",
            "substance",
            "dose",
            "route",
            "meat",
            "milk",
            "kind",
            "licensed_for",
            "export",
            "use_after_opening_days",
            "storage",
            "prescription_only",
            "most_at_once",
            "most_at_one_place",
            "routes",
        ];
        take_out(ui, "products", &heads, &products.list, &mut products.table, out);
        look::faint(ui, "Dose and withdrawal as the label says. Enter opens one to change it.");
    });
    ui.add_space(space::S);
    if products.list.rows.is_empty() {
        look::paragraph(
            ui,
            "No product yet. Type its name in the form and write it with Ctrl+Enter, as its label says: doses and clear days follow from it.",
        );
        return;
    }
    let columns = [
        Column::new("Product", 170.0).rest(),
        Column::new("Substance", 110.0).rest(),
        Column::new("Dose", 118.0),
        Column::new("Route", 112.0),
        Column::new("Meat", 72.0),
        Column::new("Milk", 76.0),
        Column::new("It is", 92.0),
        Column::new("Licensed for", 110.0),
    ];
    let columns = if ui.available_width() > 960.0 { &columns[..] } else { &columns[..7] };
    for event in RecordTable::new(TABLE, columns).single().show(ui, &mut products.table, &products.list) {
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
        .text(p.route.map(|r| look::spoken(r.words())).unwrap_or_default())
        .text(p.meat.to_string())
        .text(p.milk.to_string())
        .text(if p.more.class == ProductClass::Other { "" } else { p.more.class.words() })
        .text(p.licensed_for.clone().unwrap_or_default())
        .hidden(p.more.export.to_string())
        .hidden(p.more.opened_days.map(|n| n.to_string()).unwrap_or_default())
        .hidden(p.more.storage.clone().unwrap_or_default())
        .hidden(if p.more.prescription_only { "yes" } else { "no" })
        .hidden(p.more.most.map(|d| d.to_string()).unwrap_or_default())
        .hidden(p.more.site_most.map(|d| d.to_string()).unwrap_or_default())
        .hidden(routes(p))
}

/// The further routes of a label: `under the skin: meat 28 days, milk never`.
fn routes(p: &Product) -> String {
    let one = |r: &hirsel_core::flock::RoutePeriods| {
        phrase!("{}: meat {}, milk {}, export {}", r.route.words(), r.meat, r.milk, r.export)
    };
    p.more.routes.iter().map(one).collect::<Vec<_>>().join("; ")
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
            more: label::Typed::of(&p.more),
            changing: Some(p.name.clone()),
            focus: Some(NAME),
            refusals: Vec::new(),
        }
    }
}

/// Draws the form; tells whether it was closed.
fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) -> bool {
    let mut go = false;
    let mut closed = false;
    let room = (ui.available_height() - 48.0).max(200.0);
    egui::ScrollArea::vertical().max_height(room).auto_shrink([false, true]).show(ui, |ui| {
        look::subheading(ui, if t.changing.is_some() { "The product's label" } else { "New product" });
        ui.add_space(space::XS);
        let mut form = Form::new(ui, "product").label_width(140.0);
        if let Some(label) = t.focus {
            let mut wish = true;
            form.focus_once(ui, &mut wish, label);
            t.focus = wish.then_some(label);
        }
        if ui.available_width() > 860.0 {
            ui.columns(2, |c| {
                if let [left, right] = c {
                    what_it_is(left, ctx, t, &mut form);
                    how_it_is_given(right, ctx, t, &mut form);
                }
            });
        } else {
            what_it_is(ui, ctx, t, &mut form);
            how_it_is_given(ui, ctx, t, &mut form);
        }
        go = form.finish(ui) == FormEvent::Submitted;
    });
    ui.horizontal(|ui| {
        go |= look::primary(ui, "Write the product").clicked();
        if ui.button(phrase!("Back to the list (Esc)")).clicked() {
            closed = true;
        }
        look::faint(ui, "An empty withdrawal is unknown: animals given it are not clear.");
    });
    closed |= ui.memory(|m| m.focused().is_none()) && crate::parts::escaped(ui);
    t.open &= !closed;
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

fn what_it_is(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form) {
    let refusal = refusal_of(&t.refusals, "product", 0);
    let name = t.name.trim().to_lowercase();
    let same = t.changing.as_ref().is_some_and(|n| n.to_lowercase() == name);
    let caution = match &t.changing {
        _ if same || name.is_empty() => None,
        _ if ctx.flock.product(&name).is_some() => Some(phrase!("is in the cupboard: this changes it")),
        Some(before) => Some(phrase!("a product of its own: {before} stays as it is")),
        None => None,
    };
    let field = Field::new(NAME).width(250.0).refusal(refusal.as_deref()).caution(caution.as_deref());
    form.field(ui, &field, &mut t.name);
    form.field(ui, &Field::new("Active substance").width(220.0), &mut t.substance);
    form.field(ui, &Field::new("Form").width(220.0).example("injection, drench, pour-on"), &mut t.form);
    let read = |x: &str| number(x).map(|n| phrase!("{n} mg in each ml"));
    let field = Field::new("Strength").width(110.0).unit("mg per ml").understand(&read);
    form.field(ui, &field, &mut t.strength);
    form.field(ui, &Field::new("Licensed for").width(180.0).example("sheep, cattle"), &mut t.licensed);
    label::kept(ui, &mut t.more, form);
}

fn how_it_is_given(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form) {
    form.choice(ui, &Choice::new("Dose rule", &RULES), &mut t.rule);
    if matches!(t.rule, Some(0 | 1)) {
        form.dose(ui, "Dose", &mut t.dose, None);
    }
    let routes: Vec<(u8, &str)> = (0u8..).zip(Route::ALL.iter().map(|r| r.words())).collect();
    form.choice(ui, &Choice::new("Route", &routes).optional(), &mut t.route);
    form.withdrawal(ui, "Meat withdrawal", &mut t.meat, None);
    form.withdrawal(ui, "Milk withdrawal", &mut t.milk, None);
    // Asked for only where the rules of the book count it apart.
    let export = ctx.flock.rules().is_some_and(|r| r.tracks_export());
    if export || !t.more.export.is_empty() {
        form.withdrawal(ui, "Export withdrawal", &mut t.more.export, None);
    }
    label::given(ui, &mut t.more, form, export);
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed) -> Result<Intent, (&'static str, String)> {
    let draft = draft(t)?;
    entry::products(vec![draft], ctx.flock)
        .map(|checked| Intent::Write { checked: Box::new(checked), then: Then::Treated })
        .map_err(|refusals| {
            let first = refusals.first().map(ToString::to_string).unwrap_or_default();
            t.refusals = refusals;
            (NAME, first)
        })
}

fn number(text: &str) -> Result<f64, String> {
    text.trim()
        .replace(',', ".")
        .parse::<f64>()
        .ok()
        .filter(|n| n.is_finite() && *n > 0.0)
        .ok_or_else(|| phrase!("'{}' is no number: write it like 200 or 0.8", text.trim()))
}

/// The draft, or the field that is wrong and why.
fn draft(t: &Typed) -> Result<ProductDraft, (&'static str, String)> {
    let ul = || -> Result<u32, (&'static str, String)> {
        let text = t.dose.trim();
        let ul = match number(text.trim_end_matches("ml")) {
            Ok(n) => (n * 1000.0).round(),
            Err(e) => return Err(("Dose", if text.is_empty() { phrase!("how many ml?") } else { e })),
        };
        if (1.0..=1_000_000.0).contains(&ul) {
            Ok(ul as u32)
        } else {
            Err(("Dose", phrase!("'{text}' is no dose: write ml, more than 0 and at most 1000")))
        }
    };
    let period = |label: &'static str, text: &str| Withdrawal::parse(text).map_err(|e| (label, e.0));
    let strength = fields::some(&t.strength)
        .map(|s| {
            let wrong = || phrase!("'{s}' is no strength: write mg in each ml, like 200 or 0.8");
            number(&s).ok().and_then(Strength::from_mg_per_ml).ok_or_else(|| ("Strength", wrong()))
        })
        .transpose()?;
    Ok(ProductDraft {
        name: t.name.clone(),
        substance: fields::some(&t.substance),
        form: fields::some(&t.form),
        strength,
        rule: match t.rule {
            Some(0) => DoseRule::PerKg(ul()?),
            Some(1) => DoseRule::PerHead(ul()?),
            _ => DoseRule::Typed,
        },
        route: t.route.and_then(|r| Route::ALL.get(usize::from(r)).copied()),
        meat: period("Meat withdrawal", &t.meat)?,
        milk: period("Milk withdrawal", &t.milk)?,
        licensed_for: fields::some(&t.licensed),
        more: t.more.read()?,
    })
}

//! What else a label says of a product: routes with their own periods, storage, days after opening, the most at once.

use super::super::fields;
use crate::look::{self, space};
use crate::parts::{Choice, Field, Form};
use hirsel_core::flock::{ProductMore, RoutePeriods};
use hirsel_core::phrase;
use hirsel_core::terms::{Dose, ProductClass, Route, Withdrawal};
use serde::{Deserialize, Serialize};

/// One further route as typed.
#[derive(Debug, Default, Clone, Serialize, Deserialize)]
#[serde(default)]
struct RouteTyped {
    route: Option<u8>,
    meat: String,
    milk: String,
    export: String,
}

/// The rest of the label as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    pub export: String,
    routes: Vec<RouteTyped>,
    opened_days: String,
    storage: String,
    prescription_only: Option<bool>,
    class: Option<u8>,
    most: String,
    site_most: String,
    /// A route was added: it gets the keyboard.
    #[serde(skip)]
    fresh: bool,
}

/// Where to mend it, and why.
pub(super) type Wrong = (&'static str, String);

const YES: [(bool, &str); 2] = [(false, "free to buy"), (true, "prescription only")];

/// Names of the further routes in the form.
const PARTS: [&str; 4] = ["route 2", "route 3", "route 4", "route 5"];

fn place<T: PartialEq>(all: &[T], one: &T) -> Option<u8> {
    all.iter().position(|x| x == one).and_then(|n| u8::try_from(n).ok())
}

impl Typed {
    /// As it stands in the cupboard.
    pub(super) fn of(m: &ProductMore) -> Self {
        let amount = |d: Option<Dose>| d.map(|d| d.to_string()).unwrap_or_default();
        Self {
            export: m.export.text(),
            routes: m
                .routes
                .iter()
                .map(|r| RouteTyped {
                    route: place(Route::ALL, &r.route),
                    meat: r.meat.text(),
                    milk: r.milk.text(),
                    export: r.export.text(),
                })
                .collect(),
            opened_days: m.opened_days.map(|n| n.to_string()).unwrap_or_default(),
            storage: m.storage.clone().unwrap_or_default(),
            prescription_only: Some(m.prescription_only),
            class: place(ProductClass::ALL, &m.class),
            most: amount(m.most),
            site_most: amount(m.site_most),
            fresh: false,
        }
    }

    /// As the draft takes it, or the field that is wrong and why.
    pub(super) fn read(&self) -> Result<ProductMore, Wrong> {
        let period = |label, text: &str| Withdrawal::parse(text).map_err(|e| (label, e.0));
        let dose = |label, text: &str| fields::dose_of(text).map_err(|e| (label, e));
        let days = match self.opened_days.trim() {
            "" => None,
            text => Some(opened(text).map_err(|e| (OPENED, e))?),
        };
        let mut routes = Vec::new();
        for r in &self.routes {
            // A row without a route is one that was begun and left.
            let Some(route) = r.route.and_then(|n| Route::ALL.get(usize::from(n))) else { continue };
            routes.push(RoutePeriods {
                route: *route,
                meat: period("Meat withdrawal", &r.meat)?,
                milk: period("Milk withdrawal", &r.milk)?,
                export: period("Export withdrawal", &r.export)?,
            });
        }
        Ok(ProductMore {
            export: period("Export withdrawal", &self.export)?,
            routes,
            opened_days: days,
            storage: fields::some(&self.storage),
            prescription_only: self.prescription_only == Some(true),
            class: self
                .class
                .and_then(|n| ProductClass::ALL.get(usize::from(n)).copied())
                .unwrap_or_default(),
            most: dose(MOST, &self.most)?,
            site_most: dose(SITE, &self.site_most)?,
        })
    }
}

const OPENED: &str = "Use after opening";
const MOST: &str = "Most at once";
const SITE: &str = "Most at one place";

fn opened(text: &str) -> Result<u16, String> {
    let figure = text.trim().trim_end_matches("days").trim_end_matches("d").trim();
    let days = figure.parse::<u16>().ok().filter(|n| (1..=3650).contains(n));
    days.ok_or_else(|| phrase!("'{}' is no number of days: write 28", text.trim()))
}

/// What it is, how it is kept, and the most the label allows.
pub(super) fn kept(ui: &mut egui::Ui, t: &mut Typed, form: &mut Form) {
    let classes: Vec<(u8, &str)> = (0u8..).zip(ProductClass::ALL.iter().map(|c| c.words())).collect();
    t.class.get_or_insert(0);
    form.choice(ui, &Choice::new("It is", &classes), &mut t.class);
    t.prescription_only.get_or_insert(false);
    form.choice(ui, &Choice::new("Sold", &YES), &mut t.prescription_only);
    form.field(ui, &Field::new("Storage").width(220.0).example("cool and dark"), &mut t.storage);
    let read = |x: &str| opened(x).map(|n| phrase!("{n} days after it was opened"));
    let field = Field::new(OPENED).width(80.0).example("28").unit("days").understand(&read);
    form.field(ui, &field, &mut t.opened_days);
    form.dose(ui, MOST, &mut t.most, None);
    form.dose(ui, SITE, &mut t.site_most, None);
}

/// The further routes of the label, with their own periods.
pub(super) fn given(ui: &mut egui::Ui, t: &mut Typed, form: &mut Form, export: bool) {
    let options: Vec<(u8, &str)> = (0u8..).zip(Route::ALL.iter().map(|r| r.words())).collect();
    let mut out = None;
    let last = t.routes.len().saturating_sub(1);
    for (n, (r, part)) in t.routes.iter_mut().zip(PARTS).enumerate() {
        ui.add_space(space::S);
        form.set_part(part);
        ui.horizontal(|ui| {
            look::strong(ui, format!("{}{}", part[..1].to_uppercase(), &part[1..]));
            if ui.button(phrase!("Take {part} out")).clicked() {
                out = Some(n);
            }
        });
        if n == last {
            form.focus_once(ui, &mut t.fresh, "Route");
        }
        form.choice(ui, &Choice::new("Route", &options).optional(), &mut r.route);
        form.withdrawal(ui, "Meat withdrawal", &mut r.meat, None);
        form.withdrawal(ui, "Milk withdrawal", &mut r.milk, None);
        if export || !r.export.is_empty() {
            form.withdrawal(ui, "Export withdrawal", &mut r.export, None);
        }
    }
    form.set_part("");
    if let Some(n) = out {
        t.routes.remove(n);
    }
    if t.routes.len() < PARTS.len() && ui.button(phrase!("Another route, with its own periods")).clicked() {
        t.routes.push(RouteTyped::default());
        t.fresh = true;
    }
}

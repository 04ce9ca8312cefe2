//! Products of the medicine cupboard as rows.

use super::sheet::{Cells, Sheet, decimal, yes_no};
use super::{Taken, Unfit, amount_text, text};
use crate::entry::{Entry, ProductDraft, Refusal, Refused, products};
use crate::flock::{Flock, Product, ProductMore, RoutePeriods};
use crate::terms::{Dose, DoseRule, Misread, ProductClass, Route, Strength, Withdrawal, thousandths};

pub(super) fn read(sheet: &Sheet, flock: &Flock) -> Result<Taken, Unfit> {
    let (mut bad, mut drafts, mut order, mut same) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
    for (i, line) in sheet.rows.iter().enumerate() {
        let mut c = sheet.cells(line, &mut bad);
        let name = c.must("product", "the product's name", |t| Ok(t.to_string()));
        let strength = c.may("mg_per_ml", |t| {
            Strength::from_mg_per_ml(decimal(t)?).ok_or_else(|| out_of_range(t, "0.001 to 4000000 mg per ml"))
        });
        let per_kg = c.may("dose_ml_per_kg", microlitres);
        let per_head = c.may("dose_ml_per_head", microlitres);
        let rule = match (per_kg, per_head) {
            (Some(_), Some(_)) => {
                c.wrong(
                    "dose_ml_per_head",
                    "there is a dose for each kilogram too: leave one of the two blank",
                );
                DoseRule::Typed
            }
            (Some(ul), None) => DoseRule::PerKg(ul),
            (None, Some(ul)) => DoseRule::PerHead(ul),
            (None, None) => DoseRule::Typed,
        };
        let route = c.may("route", Route::parse);
        let meat = c.may("meat_days", Withdrawal::parse).unwrap_or_default();
        let milk = c.may("milk_days", Withdrawal::parse).unwrap_or_default();
        let known = name.as_ref().and_then(|n: &String| flock.product(n));
        let more = more(&mut c, sheet, known.map(|p| &p.more));
        let good = c.good();
        let Some(name) = name.filter(|_| good) else { continue };
        let draft = ProductDraft {
            name,
            substance: c.words("substance"),
            form: c.words("form"),
            strength,
            rule,
            route,
            meat,
            milk,
            licensed_for: c.words("licensed_for"),
            more,
        };
        if flock.product(&draft.name).is_some_and(|p| is_same(p, &draft)) {
            same.push(line.number);
            continue;
        }
        drafts.push(draft);
        order.push(i);
    }
    let check = (!drafts.is_empty()).then(|| products(drafts, flock));
    let shown = |r: &Refusal| match &r.why {
        Refused::TagTwice(name) => {
            let row = order.get(r.field.row).and_then(|i| sheet.rows.get(*i));
            let why = format!("the product {name} is given twice: mend one of the two");
            Some(sheet.place(row, "product", why))
        }
        _ => None,
    };
    sheet.outcome(bad, check, &order, same, shown, |c| match c.entry() {
        Entry::Products(all) => all.iter().map(row).collect(),
        _ => Vec::new(),
    })
}

fn is_same(p: &Product, d: &ProductDraft) -> bool {
    p.name == d.name
        && p.substance == d.substance
        && p.form == d.form
        && p.strength == d.strength
        && p.rule == d.rule
        && p.route == d.route
        && p.meat == d.meat
        && p.milk == d.milk
        && p.licensed_for == d.licensed_for
        && p.more == d.more
}

/// What else the label says. What the file has no column for stays as the book has it: a list without these columns
/// takes nothing away.
fn more(c: &mut Cells<'_>, sheet: &Sheet, known: Option<&ProductMore>) -> ProductMore {
    let mut more = known.cloned().unwrap_or_default();
    if sheet.has("export_days") {
        more.export = c.may("export_days", Withdrawal::parse).unwrap_or_default();
    }
    if sheet.has("opened_days") {
        more.opened_days = c.may("opened_days", |t| {
            let days = t.parse().ok().filter(|n| (1..=3650).contains(n));
            days.ok_or_else(|| Misread::new(format!("'{t}' is not a number of days: write 1 to 3650")))
        });
    }
    if sheet.has("storage") {
        more.storage = c.words("storage");
    }
    if sheet.has("prescription_only") {
        more.prescription_only = c.may("prescription_only", yes_no).unwrap_or(false);
    }
    if sheet.has("class") {
        more.class = c.may("class", ProductClass::parse).unwrap_or_default();
    }
    if sheet.has("most_ml") {
        more.most = c.may("most_ml", Dose::parse);
    }
    if sheet.has("site_most_ml") {
        more.site_most = c.may("site_most_ml", Dose::parse);
    }
    if sheet.has("routes") {
        more.routes = c.may("routes", routes).unwrap_or_default();
    }
    more
}

/// `oral 14/never/; subcutaneous 28/60h/42`: meat, milk, export; a blank between the strokes is unknown.
fn routes(text: &str) -> Result<Vec<RoutePeriods>, Misread> {
    let mut all: Vec<RoutePeriods> = Vec::new();
    for part in text.split(';').map(str::trim).filter(|p| !p.is_empty()) {
        let wrong = || {
            Misread::new(format!(
                "'{part}' is not a route with its periods: write route meat/milk/export, such as oral 14/never/"
            ))
        };
        let (route, periods) = match part.rsplit_once(' ') {
            Some((route, periods)) if periods.contains('/') => (route, periods),
            _ => (part, "//"),
        };
        let periods: Vec<&str> = periods.split('/').collect();
        let [meat, milk, export] = periods[..] else { return Err(wrong()) };
        let route = Route::parse(route)?;
        if all.iter().any(|r| r.route == route) {
            return Err(Misread::new(format!(
                "'{text}' names the route {} twice: take one out",
                route.word()
            )));
        }
        let (meat, milk) = (Withdrawal::parse(meat)?, Withdrawal::parse(milk)?);
        all.push(RoutePeriods { route, meat, milk, export: Withdrawal::parse(export)? });
    }
    Ok(all)
}

fn routes_text(all: &[RoutePeriods]) -> String {
    let one = |r: &RoutePeriods| {
        format!("{} {}/{}/{}", r.route.word(), r.meat.text(), r.milk.text(), r.export.text())
    };
    all.iter().map(one).collect::<Vec<_>>().join("; ")
}

fn out_of_range(text: &str, range: &str) -> Misread {
    Misread::new(format!("'{text}' is out of range: write {range}"))
}

fn microlitres(text: &str) -> Result<u32, Misread> {
    let ul = (decimal(text)? * 1000.0).round();
    if (1.0..=2_000_000.0).contains(&ul) {
        Ok(ul as u32)
    } else {
        Err(out_of_range(text, "0.001 to 2000 ml"))
    }
}

pub(super) fn rows(flock: &Flock) -> Vec<Vec<String>> {
    flock.products().iter().map(row).collect()
}

fn row(p: &Product) -> Vec<String> {
    let (per_kg, per_head) = match p.rule {
        DoseRule::PerKg(ul) => (thousandths(u64::from(ul)), String::new()),
        DoseRule::PerHead(ul) => (String::new(), thousandths(u64::from(ul))),
        DoseRule::Typed => Default::default(),
    };
    vec![
        p.name.clone(),
        text(&p.substance),
        text(&p.form),
        p.strength.map(|s| thousandths(u64::from(s.0))).unwrap_or_default(),
        per_kg,
        per_head,
        p.route.map(|r| r.word().to_string()).unwrap_or_default(),
        p.meat.text(),
        p.milk.text(),
        text(&p.licensed_for),
        p.more.export.text(),
        p.more.opened_days.map(|d| d.to_string()).unwrap_or_default(),
        text(&p.more.storage),
        if p.more.prescription_only { "yes".into() } else { String::new() },
        if p.more.class == ProductClass::Other { String::new() } else { p.more.class.word().to_string() },
        amount_text(p.more.most),
        amount_text(p.more.site_most),
        routes_text(&p.more.routes),
    ]
}

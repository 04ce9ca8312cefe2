//! A record of the cupboard as lines of text, and back.

use super::super::super::{Ctx, fields};
use super::super::read;
use super::Kept;
use hirsel_core::entry::Amended;
use hirsel_core::flock::{Struck, Vet};
use hirsel_core::phrase;
use hirsel_core::terms::{Day, Dose, Misread, Price, VetId, Withdrawal};
use serde::{Deserialize, Serialize};

/// One field as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub(super) struct Line {
    pub label: String,
    /// Its name in the checks.
    pub field: String,
    pub kind: What,
    pub text: String,
}

/// How a field is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub(super) enum What {
    Day,
    DayOrNone,
    Expiry,
    Text,
    Amount,
    Price,
    Period,
    Eggs,
    YesNo,
    Vet,
}

/// A record as lines.
pub(super) struct Found {
    pub title: String,
    pub lines: Vec<Line>,
    /// What cannot be amended here.
    pub more: Vec<(String, String)>,
    pub struck: Option<Box<Struck>>,
}

/// The record as it stands; none when it is not in the book.
pub(super) fn lines(ctx: &Ctx<'_>, of: Kept) -> Option<Found> {
    let c = ctx.flock.cupboard();
    let line = |label: &str, field: &str, kind: What, text: String| Line {
        label: label.into(),
        field: field.into(),
        kind,
        text,
    };
    let opt = |o: &Option<String>| o.clone().unwrap_or_default();
    let day = |d: Option<Day>| d.map(|d| d.to_string()).unwrap_or_default();
    let amount = |d: Option<Dose>| d.map(|d| d.to_string()).unwrap_or_default();
    let product = |id| {
        let found = ctx.flock.products().iter().find(|p| p.id == id);
        found.map_or_else(|| phrase!("a product"), |p| p.name.clone())
    };
    let yes = |b: bool| if b { phrase!("yes") } else { phrase!("no") };
    Some(match of {
        Kept::Batch(id) => {
            let b = c.batches.iter().find(|b| b.id == id)?;
            Found {
                title: phrase!("{} {}, as it was bought", product(b.product), b.number),
                lines: vec![
                    line("Batch number", "number", What::Text, b.number.clone()),
                    line("Expiry", "expiry", What::Expiry, day(b.expiry)),
                    line("Bought on", "bought_on", What::DayOrNone, day(b.bought_on)),
                    line("Quantity", "quantity", What::Amount, amount(b.quantity)),
                    line("Price", "price", What::Price, b.price.map(|p| p.to_string()).unwrap_or_default()),
                    line("Supplier", "supplier", What::Text, opt(&b.supplier)),
                    line("Their address", "supplier_address", What::Text, opt(&b.supplier_address)),
                    line("Invoice number", "invoice", What::Text, opt(&b.invoice)),
                    line("Opened on", "opened_on", What::DayOrNone, day(b.opened_on)),
                    line("Note", "note", What::Text, opt(&b.note)),
                ],
                more: Vec::new(),
                struck: b.struck.clone(),
            }
        }
        Kept::Stock(id) => {
            let m = c.moves.iter().find(|m| m.id == id)?;
            let batch = m.batch.as_ref().map(|b| format!(" {b}")).unwrap_or_default();
            Found {
                title: phrase!("{}{batch}: {}", product(m.product), m.change.word()),
                lines: vec![
                    line("Day", "on", What::Day, m.on.to_string()),
                    line("Batch number", "batch", What::Text, opt(&m.batch)),
                    line("Quantity", "quantity", What::Amount, amount(m.quantity)),
                    line("How", "how", What::Text, opt(&m.how)),
                    line("Where", "place", What::Text, opt(&m.place)),
                    line("Because of", "reason", What::Text, opt(&m.reason)),
                ],
                more: Vec::new(),
                struck: m.struck.clone(),
            }
        }
        Kept::Prescription(id) => {
            let p = c.prescription(id)?;
            Found {
                title: phrase!("Prescription for {}", p.product),
                lines: vec![
                    line("Vet", "vet", What::Vet, c.vet(p.vet).map(|v| v.name.clone()).unwrap_or_default()),
                    line("Written on", "on", What::Day, p.on.to_string()),
                    line("Valid until", "valid_to", What::Expiry, day(p.valid_to)),
                    line("Number", "number", What::Text, opt(&p.number)),
                    line("Product", "product", What::Text, p.product.clone()),
                    line("For whom", "whom", What::Text, opt(&p.whom)),
                    line("Dose", "dose", What::Text, opt(&p.dose)),
                    line("Because of", "why", What::Text, opt(&p.reason)),
                    line("Off the label", "off_label", What::YesNo, yes(p.off_label)),
                    line("Meat withdrawal", "meat", What::Period, p.meat.text()),
                    line("Milk withdrawal", "milk", What::Period, p.milk.text()),
                    line("Export withdrawal", "export", What::Period, p.export.text()),
                ],
                more: Vec::new(),
                struck: p.struck.clone(),
            }
        }
        Kept::Egg(id) => {
            let e = c.egg_counts.iter().find(|e| e.id == id)?;
            let of = e.animal.map(|a| ctx.flock.tag(a).to_string());
            let title = of.clone().or_else(|| e.group.clone()).unwrap_or_default();
            Found {
                title: phrase!("Egg count of {title}"),
                lines: vec![
                    line("Day", "on", What::Day, e.on.to_string()),
                    line("Group", "animal", What::Text, opt(&e.group)),
                    line("Eggs in a gram", "epg", What::Eggs, e.epg.to_string()),
                    line("Product", "product", What::Text, opt(&e.product)),
                    line("Given on", "treated_on", What::DayOrNone, day(e.treated_on)),
                    line("Note", "note", What::Text, opt(&e.note)),
                ],
                more: of.map(|tag| (phrase!("Animal"), tag)).into_iter().collect(),
                struck: e.struck.clone(),
            }
        }
    })
}

/// What a text of this kind means, in words.
pub(super) fn understood(ctx: &Ctx<'_>, kind: What, text: &str) -> Result<String, String> {
    let words = |e: Misread| e.0;
    match kind {
        What::Day | What::DayOrNone => Day::parse_typed(text, ctx.today).map(Day::long).map_err(words),
        What::Expiry => Day::parse_expiry(text, ctx.today).map(Day::long).map_err(words),
        What::Text => Ok(String::new()),
        What::Amount => Dose::parse_stock(text).map(|d| d.to_string()).map_err(words),
        What::Price => Price::parse(text).map(|p| p.to_string()).map_err(words),
        What::Period => Withdrawal::parse(text).map(|w| w.to_string()).map_err(words),
        What::Eggs => eggs(text).map(|n| phrase!("{n} eggs in each gram")),
        What::YesNo => yes_no(text).map(|_| String::new()),
        What::Vet => vet(ctx, text).map(|v| v.practice.clone().unwrap_or_default()),
    }
}

/// A whole number of eggs.
pub(in super::super) fn eggs(text: &str) -> Result<u32, String> {
    let typed = text.trim();
    let wrong = || phrase!("'{typed}' is no egg count: write eggs in each gram, 0 or more");
    typed.trim_end_matches("epg").trim().parse().map_err(|_| wrong())
}

fn yes_no(text: &str) -> Result<bool, String> {
    match text.trim().to_lowercase().as_str() {
        "yes" | "y" => Ok(true),
        "no" | "n" | "" => Ok(false),
        other => Err(phrase!("'{other}' is neither yes nor no: write yes or no")),
    }
}

/// The vet of this name.
fn vet<'a>(ctx: &'a Ctx<'_>, text: &str) -> Result<&'a Vet, String> {
    let found = ctx.flock.cupboard().vet_named(text);
    found.ok_or_else(|| phrase!("no vet is called '{}': write the vet first, or mend the name", text.trim()))
}

/// The record with what is typed, or the label of the field that is wrong, and why.
pub(super) fn amended(ctx: &Ctx<'_>, of: Kept, lines: &[Line]) -> Result<Amended, (String, String)> {
    let c = ctx.flock.cupboard();
    let gone = || ("Reason".into(), phrase!("the record is not there any more"));
    let line = |field: &str| lines.iter().find(|l| l.field == field);
    let text = |field: &str| line(field).map(|l| l.text.trim().to_string()).unwrap_or_default();
    let opt = |field: &str| fields::some(&text(field));
    let wrong = |field: &str| {
        let label = line(field).map(|l| l.label.clone()).unwrap_or_default();
        move |e: String| (label, e)
    };
    let needed = |field: &str| Day::parse_typed(&text(field), ctx.today).map_err(|e| wrong(field)(e.0));
    let day = |field: &str| read::day(ctx, &text(field)).map_err(wrong(field));
    let expiry = |field: &str| read::expiry(ctx, &text(field)).map_err(wrong(field));
    let amount = |field: &str| read::amount(&text(field)).map_err(wrong(field));
    let period = |field: &str| Withdrawal::parse(&text(field)).map_err(|e| wrong(field)(e.0));
    Ok(match of {
        Kept::Batch(id) => {
            let mut b = c.batches.iter().find(|b| b.id == id).ok_or_else(gone)?.clone();
            b.number = text("number");
            (b.expiry, b.bought_on, b.opened_on) = (expiry("expiry")?, day("bought_on")?, day("opened_on")?);
            b.quantity = amount("quantity")?;
            b.price = read::price(&text("price")).map_err(wrong("price"))?;
            (b.supplier, b.supplier_address) = (opt("supplier"), opt("supplier_address"));
            (b.invoice, b.note) = (opt("invoice"), opt("note"));
            Amended::Batch(b)
        }
        Kept::Stock(id) => {
            let mut m = c.moves.iter().find(|m| m.id == id).ok_or_else(gone)?.clone();
            (m.on, m.batch, m.quantity) = (needed("on")?, opt("batch"), amount("quantity")?);
            (m.how, m.place, m.reason) = (opt("how"), opt("place"), opt("reason"));
            Amended::StockMove(m)
        }
        Kept::Prescription(id) => {
            let mut p = c.prescription(id).ok_or_else(gone)?.clone();
            let vet: VetId = vet(ctx, &text("vet")).map_err(wrong("vet"))?.id;
            (p.vet, p.on, p.valid_to) = (vet, needed("on")?, expiry("valid_to")?);
            (p.number, p.product, p.whom) = (opt("number"), text("product"), opt("whom"));
            (p.dose, p.reason) = (opt("dose"), opt("why"));
            p.off_label = yes_no(&text("off_label")).map_err(wrong("off_label"))?;
            (p.meat, p.milk, p.export) = (period("meat")?, period("milk")?, period("export")?);
            Amended::Prescription(p)
        }
        Kept::Egg(id) => {
            let mut e = c.egg_counts.iter().find(|e| e.id == id).ok_or_else(gone)?.clone();
            (e.on, e.group, e.product) = (needed("on")?, opt("animal"), opt("product"));
            e.epg = eggs(&text("epg")).map_err(wrong("epg"))?;
            (e.treated_on, e.note) = (day("treated_on")?, opt("note"));
            Amended::EggCount(e)
        }
    })
}

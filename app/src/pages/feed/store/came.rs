//! The form of a delivery: how much, its batch, from whom, what was paid; also as money spent.

use super::super::super::rows_form::{RowsForm, Wrong};
use super::super::super::{Ctx, Intent, Then, fields};
use super::read;
use crate::look::{self, Kind};
use crate::parts::{Choice, Field, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, FeedMoveDraft, MoneyDraft};
use hirsel_core::flock::Feed;
use hirsel_core::phrase;
use hirsel_core::reckon::feedstore::price_words;
use hirsel_core::terms::{Day, FeedChange, FeedId, FeedKind, MoneyKind, Price};
use serde::{Deserialize, Serialize};

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    feed: PickerState<FeedId>,
    on: String,
    amount: String,
    batch: String,
    best_before: String,
    supplier: String,
    invoice: String,
    paid: String,
    /// Also as money spent.
    money: Option<u8>,
    note: String,
    /// Why what looks unlikely is right.
    word: String,
    asked: Vec<String>,
    rows: RowsForm,
    #[serde(skip)]
    wrong: Option<Wrong>,
}

const MONEY: [(u8, &str); 2] = [(0, "yes"), (1, "no")];
const WORD: &str = "It is right because";

impl Typed {
    /// Of this feed.
    pub(super) fn of(ctx: &Ctx<'_>, feed: &Feed) -> Self {
        let mut typed = Self::default();
        typed.feed.choose(read::found(ctx, feed));
        typed.rows.aim("How much");
        typed
    }

    /// It is written: day, supplier and invoice stay for the next feed of the same load.
    pub(super) fn next(&mut self) {
        let kept = std::mem::take(self);
        *self = Self {
            on: kept.on,
            supplier: kept.supplier,
            invoice: kept.invoice,
            money: kept.money,
            ..Self::default()
        };
        self.rows.other_written("Feed");
    }

    fn is_begun(&self) -> bool {
        !(self.feed.text.trim().is_empty() && self.amount.trim().is_empty())
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
        t.rows.aim_if_none("Feed");
    }
    let begun = t.is_begun();
    t.rows.carry_day(ctx, begun, &mut t.on, &mut String::new());
    let hint = "Day, supplier and invoice stay for the next feed of the load.";
    let (go, closed) = read::sheet(ui, "Feed that came", "Write the delivery", hint, |ui| {
        let mut form = Form::new(ui, "came").label_width(138.0);
        ui.columns(2, |c| {
            if let [left, right] = c {
                bags(left, ctx, t, &mut form);
                paid(right, ctx, t, &mut form);
            }
        });
        if !t.asked.is_empty() {
            t.asked.iter().for_each(|q| {
                look::sentence(ui, Kind::Caution, q);
            });
            form.field(ui, &Field::new(WORD).width(300.0).example("a second load"), &mut t.word);
        }
        t.rows.drawn(ui, &form, &["How much", "Batch", "Paid in all", "Note"]);
        form.finish(ui) == FormEvent::Submitted
    });
    if go {
        let made = checked(ctx, t);
        t.wrong = made.as_ref().err().cloned();
        t.rows.send(made, out);
    }
    closed
}

fn wrong(t: &Typed, label: &str, field: &str) -> Option<String> {
    let mine = t.wrong.as_ref().filter(|w| w.0 == label).map(|w| w.1.clone());
    mine.or_else(|| t.rows.wrong(field))
}

fn bags(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form) {
    let refusal = wrong(t, "Feed", "feed");
    read::feed_field(form, ui, ctx, &mut t.feed, refusal.as_deref(), |_| true);
    let refusal = wrong(t, "Day", "on");
    form.day(ui, ctx, "Day", &mut t.on, refusal.as_deref());
    let feed = read::feed(ctx, &t.feed);
    let on = fields::day_or_today(ctx, &t.on).unwrap_or(ctx.today);
    let understood = |x: &str| read::understood(ctx, feed, x, on);
    let refusal = wrong(t, "How much", "amount");
    let field = Field::new("How much").width(120.0).example("20 bags, 500").understand(&understood);
    form.field(ui, &field.refusal(refusal.as_deref()), &mut t.amount);
    let wanted = feed.is_some_and(|f| f.kind != FeedKind::Hay && f.kind != FeedKind::Straw);
    let caution = (wanted && t.batch.trim().is_empty()).then_some("with it a bad bag can be traced back");
    let field = Field::new("Batch").width(150.0).example("on the bag");
    form.field(ui, &field.caution(caution.filter(|_| !t.amount.is_empty())), &mut t.batch);
    let understood = |x: &str| Day::parse_expiry(x, ctx.today).map(Day::words).map_err(|e| e.0);
    let refusal = wrong(t, "Best before", "best_before");
    let field = Field::new("Best before").width(120.0).example("11/2026").understand(&understood);
    form.field(ui, &field.refusal(refusal.as_deref()), &mut t.best_before);
}

fn paid(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, form: &mut Form) {
    form.field(ui, &Field::new("Supplier").width(220.0).example("merchant, own field"), &mut t.supplier);
    form.field(ui, &Field::new("Invoice number").width(150.0), &mut t.invoice);
    let feed = read::feed(ctx, &t.feed);
    let kg = read::amount(ctx, feed, &t.amount, ctx.today).map(|m| m.kg()).ok().filter(|kg| *kg > 0.0);
    let understood = |x: &str| {
        let p = Price::parse(x).map_err(|e| e.0)?;
        let each = kg.map(|kg| phrase!("{} a kg as fed", price_words(f64::from(p.cents()) / kg)));
        Ok(each.unwrap_or_default())
    };
    let refusal = wrong(t, "Paid in all", "price");
    let field = Field::new("Paid in all").width(120.0).example("145.00").understand(&understood);
    form.field(ui, &field.refusal(refusal.as_deref()), &mut t.paid);
    t.money.get_or_insert(0);
    form.choice(ui, &Choice::new("Also money spent", &MONEY), &mut t.money);
    form.field(ui, &Field::new("Note").width(220.0), &mut t.note);
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed) -> Result<Intent, Wrong> {
    let at = |label: &'static str| move |e: String| (label, e);
    let on = fields::day_or_today(ctx, &t.on).map_err(at("Day"))?;
    let feed = read::feed(ctx, &t.feed);
    let name = feed.map_or_else(|| t.feed.text.clone(), |f| f.name.clone());
    let mut draft = FeedMoveDraft::of(name.clone(), on, FeedChange::Delivered);
    draft.amount = read::amount_or_none(ctx, feed, &t.amount, on).map_err(at("How much"))?;
    draft.batch = fields::some(&t.batch);
    draft.price = read::price(&t.paid).map_err(at("Paid in all"))?;
    draft.supplier = fields::some(&t.supplier);
    draft.invoice = fields::some(&t.invoice);
    draft.best_before = read::day(ctx, &t.best_before).map_err(at("Best before"))?;
    draft.note = fields::some(&t.note);
    let labels = [("on", "Day"), ("amount", "How much"), ("best_before", "Best before")];
    let (amount, paid, supplier) = (draft.amount, draft.price, draft.supplier.clone());
    let check = entry::feed_moves(vec![draft], ctx.flock, ctx.today);
    let paid = paid.filter(|p| t.money != Some(1) && p.cents() > 0);
    let (Some(paid), true) = (paid, check.is_ok()) else {
        t.asked.clear();
        return t.rows.checked(check, Then::FeedDone, &labels, "Feed");
    };
    let delivery = check.map_err(|r| ("Feed", r.first().map(ToString::to_string).unwrap_or_default()))?;
    let much = amount.map(|a| format!(", {}", a.show(ctx.units()))).unwrap_or_default();
    let from = supplier.map(|s| phrase!(", from {s}")).unwrap_or_default();
    let money = MoneyDraft {
        on,
        kind: MoneyKind::Feed,
        amount: paid,
        group: None,
        note: Some(format!("{name}{much}{from}")),
    };
    let money = entry::money(vec![money], ctx.today)
        .map_err(|r| ("Paid in all", r.first().map(ToString::to_string).unwrap_or_default()))?;
    let asked = delivery.questions().iter().chain(money.questions()).map(ToString::to_string);
    t.asked = asked.collect();
    if !t.asked.is_empty() && t.word.trim().is_empty() {
        return Err((WORD, t.asked.join(" ")));
    }
    let what = phrase!("{name} delivered{much}, {paid} paid");
    Ok(Intent::WriteAll { what, all: vec![delivery, money], word: t.word.clone(), then: Then::FeedDone })
}

//! Feed wasted, and a mixing of an own mix: what it takes of each part and whether there is enough.

use super::super::super::rows_form::{RowsForm, Wrong};
use super::super::super::{Ctx, Intent, Then, fields};
use super::read;
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, FeedMoveDraft};
use hirsel_core::flock::Feed;
use hirsel_core::phrase;
use hirsel_core::terms::{Day, FeedChange, FeedId, Mass};
use serde::{Deserialize, Serialize};

/// Either form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    feed: PickerState<FeedId>,
    on: String,
    amount: String,
    batch: String,
    best_before: String,
    note: String,
    rows: RowsForm,
    #[serde(skip)]
    wrong: Option<Wrong>,
}

impl Typed {
    /// Of this feed.
    pub(super) fn of(ctx: &Ctx<'_>, feed: &Feed) -> Self {
        let mut typed = Self::default();
        typed.feed.choose(read::found(ctx, feed));
        typed.rows.aim("How much");
        typed
    }

    /// It is written: the day stays.
    pub(super) fn next(&mut self) {
        let on = std::mem::take(&mut self.on);
        *self = Self { on, ..Self::default() };
        self.rows.other_written("Feed");
    }

    fn wrong(&self, label: &str, field: &str) -> Option<String> {
        let mine = self.wrong.as_ref().filter(|w| w.0 == label).map(|w| w.1.clone());
        mine.or_else(|| self.rows.wrong(field))
    }
}

/// Draws the form of waste or of a mixing; tells when it is closed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    change: FeedChange,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> bool {
    if std::mem::take(into) {
        t.rows.aim_if_none("Feed");
    }
    let begun = !(t.feed.text.trim().is_empty() && t.amount.trim().is_empty());
    t.rows.carry_day(ctx, begun, &mut t.on, &mut String::new());
    let mixing = change == FeedChange::Mixed;
    let (title, write, hint) = match mixing {
        true => ("A mixing", "Write the mixing", "Its parts are taken from the store."),
        false => ("Feed wasted", "Write the waste", "Spoiled, spilled or thrown away."),
    };
    let (go, closed) = read::sheet(ui, title, write, hint, |ui| {
        let mut form = Form::new(ui, title).label_width(138.0);
        let refusal = t.wrong("Feed", "feed");
        read::feed_field(&mut form, ui, ctx, &mut t.feed, refusal.as_deref(), |f| {
            !mixing || !f.parts.is_empty()
        });
        let refusal = t.wrong("Day", "on");
        form.day(ui, ctx, "Day", &mut t.on, refusal.as_deref());
        let feed = read::feed(ctx, &t.feed);
        let on = fields::day_or_today(ctx, &t.on).unwrap_or(ctx.today);
        let understood = |x: &str| read::understood(ctx, feed, x, on);
        let refusal = t.wrong("How much", "amount");
        let field = Field::new("How much").width(120.0).example("2 bags, 40").understand(&understood);
        form.field(ui, &field.refusal(refusal.as_deref()), &mut t.amount);
        if mixing {
            form.field(ui, &Field::new("Batch").width(150.0).example("of your own"), &mut t.batch);
            let understood = |x: &str| Day::parse_expiry(x, ctx.today).map(Day::words).map_err(|e| e.0);
            let field = Field::new("Best before").width(120.0).example("11/2026").understand(&understood);
            form.field(ui, &field, &mut t.best_before);
        }
        let label = if mixing { "Note" } else { "Why" };
        form.field(ui, &Field::new(label).width(260.0), &mut t.note);
        if mixing {
            takes(ui, ctx, feed, read::amount(ctx, feed, &t.amount, on).ok());
        }
        t.rows.drawn(ui, &form, &["How much", label]);
        form.finish(ui) == FormEvent::Submitted
    });
    if go {
        let made = checked(ctx, t, change);
        t.wrong = made.as_ref().err().cloned();
        t.rows.send(made, out);
    }
    closed
}

/// What a mixing takes of each part, and what is there.
fn takes(ui: &mut egui::Ui, ctx: &Ctx<'_>, feed: Option<&Feed>, amount: Option<Mass>) {
    ui.add_space(space::S);
    let Some(feed) = feed.filter(|f| !f.parts.is_empty()) else {
        look::faint(ui, "A mix is a feed that is mixed of others: write its parts with the feed first.");
        return;
    };
    let units = ctx.units();
    let Some(amount) = amount.filter(|a| !a.is_none()) else {
        look::faint(ui, "Write how much is mixed, and what it takes of each stands here.");
        return;
    };
    egui::Grid::new("takes").num_columns(4).spacing([space::L, space::XS]).show(ui, |ui| {
        ["Takes of", "so much", "in store", ""].iter().for_each(|h| {
            look::faint(ui, *h);
        });
        ui.end_row();
        for (id, takes) in feed.parts_of(amount) {
            let part = ctx.flock.feedroom().feed(id);
            let bag = part.and_then(|f| f.bag).filter(|b| !b.is_none());
            let bags = bag.map(|b| phrase!(" ({:.1} bags)", takes.kg() / b.kg())).unwrap_or_default();
            look::strong(ui, ctx.flock.feedroom().name(id).to_string());
            ui.label(format!("{}{bags}", takes.show(units)));
            let there = ctx.feeding.and_then(|s| s.line(id)).and_then(|l| l.stock);
            match there {
                Some(s) if s.mass() >= takes => {
                    ui.label(s.mass().show(units));
                    look::word(ui, Kind::Good, "enough");
                }
                Some(s) => {
                    ui.label(s.mass().show(units));
                    let short = Mass::from_grams(takes.grams() - s.mass().grams()).unwrap_or_default();
                    look::word(ui, Kind::Caution, phrase!("{} short, by the book", short.show(units)));
                }
                None => {
                    ui.label(phrase!("not counted"));
                    look::word(ui, Kind::Caution, "not known");
                }
            }
            ui.end_row();
        }
    });
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed, change: FeedChange) -> Result<Intent, Wrong> {
    let at = |label: &'static str| move |e: String| (label, e);
    let on = fields::day_or_today(ctx, &t.on).map_err(at("Day"))?;
    let feed = read::feed(ctx, &t.feed);
    let name = feed.map_or_else(|| t.feed.text.clone(), |f| f.name.clone());
    let mut draft = FeedMoveDraft::of(name, on, change);
    draft.amount = read::amount_or_none(ctx, feed, &t.amount, on).map_err(at("How much"))?;
    if change == FeedChange::Mixed {
        draft.batch = fields::some(&t.batch);
        draft.best_before = read::day(ctx, &t.best_before).map_err(at("Best before"))?;
    }
    draft.note = fields::some(&t.note);
    let labels = [("on", "Day"), ("amount", "How much")];
    let check = entry::feed_moves(vec![draft], ctx.flock, ctx.today);
    t.rows.checked(check, Then::FeedDone, &labels, "Feed")
}

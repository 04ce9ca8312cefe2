//! What the forms of the store share: a feed by its name, amounts in bags, measures or weight, a form on its own sheet.

use super::super::super::{Ctx, fields};
use crate::look::{self, space};
use crate::parts::{Form, Found, Picker, PickerState};
use hirsel_core::flock::Feed;
use hirsel_core::phrase;
use hirsel_core::terms::{Day, FeedId, Mass, Price};

/// The feed that is taken or typed in full.
pub(super) fn feed<'a>(ctx: &'a Ctx<'_>, state: &PickerState<FeedId>) -> Option<&'a Feed> {
    let room = ctx.flock.feedroom();
    state.chosen().and_then(|id| room.feed(id)).or_else(|| room.by_name(&state.text))
}

/// The picker's entry of a feed.
pub(super) fn found(ctx: &Ctx<'_>, feed: &Feed) -> Found<FeedId> {
    let bag = feed.bag.map(|b| phrase!(", bag {}", b.show(ctx.units()))).unwrap_or_default();
    Found { key: feed.id, label: feed.name.clone(), detail: phrase!("{}{bag}", feed.kind.words()) }
}

/// A feed of the book by any part of its name.
pub(super) fn feed_field(
    form: &mut Form,
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut PickerState<FeedId>,
    refusal: Option<&str>,
    keep: impl Fn(&Feed) -> bool,
) {
    let narrow = ui.available_width() < 560.0;
    let picker = Picker::new("Feed", ctx.flock.version()).width(220.0).example("any part of its name");
    let picker = picker.free().quiet(narrow).refusal(refusal);
    form.picker(ui, &picker, state, |text| {
        let low = text.trim().to_lowercase();
        let all = ctx.flock.feedroom().feeds.iter();
        all.filter(|f| keep(f) && f.name.to_lowercase().contains(&low)).map(|f| found(ctx, f)).collect()
    });
}

/// An amount of a feed: bags, a measure of it, or weight.
pub(super) fn amount(ctx: &Ctx<'_>, feed: Option<&Feed>, text: &str, on: Day) -> Result<Mass, String> {
    match feed {
        Some(f) => ctx.flock.feedroom().amount(f, text, on, ctx.units()).map(|(m, _)| m).map_err(|e| e.0),
        None => Mass::parse(text, ctx.units()).map_err(|e| e.0),
    }
}

/// The same, if any is typed.
pub(super) fn amount_or_none(
    ctx: &Ctx<'_>,
    feed: Option<&Feed>,
    text: &str,
    on: Day,
) -> Result<Option<Mass>, String> {
    fields::some(text).map(|t| amount(ctx, feed, &t, on)).transpose()
}

/// What an amount is understood as: the weight, and bags where its bag is known.
pub(super) fn understood(ctx: &Ctx<'_>, feed: Option<&Feed>, text: &str, on: Day) -> Result<String, String> {
    let m = amount(ctx, feed, text, on)?;
    let bag = feed.and_then(|f| f.bag).filter(|b| !b.is_none());
    let bags = bag.map(|b| m.kg() / b.kg()).filter(|_| !text.to_lowercase().contains("ba"));
    let bags = bags.map(|b| phrase!(" = {b:.1} bags").replace(".0 ", " ")).unwrap_or_default();
    Ok(format!("{}{bags}", m.show(ctx.units())))
}

/// A price, if any is typed.
pub(super) fn price(text: &str) -> Result<Option<Price>, String> {
    fields::some(text).map(|t| Price::parse(&t)).transpose().map_err(|e| e.0)
}

/// A day, if any is typed.
pub(super) fn day(ctx: &Ctx<'_>, text: &str) -> Result<Option<Day>, String> {
    fields::some(text).map(|t| Day::parse_expiry(&t, ctx.today)).transpose().map_err(|e| e.0)
}

/// A form on its own sheet: head, fields, and below them what writes it up. Tells whether to write, and whether it is
/// closed.
pub(super) fn sheet(
    ui: &mut egui::Ui,
    title: &'static str,
    write: &'static str,
    hint: &'static str,
    add: impl FnOnce(&mut egui::Ui) -> bool,
) -> (bool, bool) {
    let mut go = false;
    let room = (ui.available_height() - 48.0).max(200.0);
    egui::ScrollArea::vertical().id_salt(title).max_height(room).auto_shrink([false, true]).show(ui, |ui| {
        look::subheading(ui, title);
        ui.add_space(space::XS);
        go = add(ui);
    });
    let mut closed = false;
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, write).clicked();
        closed = ui.button(phrase!("Back to the list (Esc)")).clicked();
        look::faint(ui, hint);
    });
    closed |= ui.memory(|m| m.focused().is_none()) && crate::parts::escaped(ui);
    (go, closed)
}

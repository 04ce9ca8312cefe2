//! How the cupboard's fields are typed and read: amounts, expiries, prices, products and batches.

use super::super::Ctx;
use super::give::find_product;
use crate::parts::{Field, FieldOutput, Form, Found, Picker, PickerState};
use egui::Ui;
use hirsel_core::phrase;
use hirsel_core::reckon::stock::Line;
use hirsel_core::terms::{BatchId, Day, Dose, Price};

/// The stock, reckoned once for a version of the flock and a day.
#[derive(Debug, Default)]
pub(super) struct Stock {
    made_for: Option<(u64, Day)>,
    pub lines: Vec<Line>,
}

impl Stock {
    /// The lines as they stand.
    pub(super) fn keep(&mut self, ctx: &Ctx<'_>) -> &[Line] {
        let wanted = (ctx.flock.version(), ctx.today);
        if self.made_for != Some(wanted) {
            self.made_for = Some(wanted);
            self.lines = hirsel_core::reckon::stock::of(ctx.flock, ctx.today);
        }
        &self.lines
    }
}

/// Trimmed text read by `read`, or nothing.
fn read<T>(
    text: &str,
    read: impl Fn(&str) -> Result<T, hirsel_core::terms::Misread>,
) -> Result<Option<T>, String> {
    super::super::fields::some(text).map(|t| read(&t)).transpose().map_err(|e| e.0)
}

/// An amount of stock, if any.
pub(super) fn amount(text: &str) -> Result<Option<Dose>, String> {
    read(text, Dose::parse_stock)
}

/// A price, if any.
pub(super) fn price(text: &str) -> Result<Option<Price>, String> {
    read(text, Price::parse)
}

/// An expiry, if any.
pub(super) fn expiry(ctx: &Ctx<'_>, text: &str) -> Result<Option<Day>, String> {
    read(text, |t| Day::parse_expiry(t, ctx.today))
}

/// A day, if any.
pub(super) fn day(ctx: &Ctx<'_>, text: &str) -> Result<Option<Day>, String> {
    read(text, |t| Day::parse_typed(t, ctx.today))
}

/// `1 L41, expires 31 May 2027`: a batch in one line.
pub(super) fn batch_words(l: &Line) -> String {
    let expiry = l.expiry.map(|d| phrase!("expires {}", d.words())).unwrap_or_default();
    let left = l.left.map(|d| phrase!("{d} left")).unwrap_or_default();
    [expiry, left].into_iter().filter(|w| !w.is_empty()).collect::<Vec<_>>().join(", ")
}

/// Product and number: `Fellmectin L41`.
pub(super) fn name(l: &Line) -> String {
    match &l.batch {
        Some(b) => format!("{} {b}", l.name),
        None => phrase!("{}, no number", l.name),
    }
}

impl Form {
    /// An amount as it is bought or stands on the shelf.
    pub(super) fn amount(
        &mut self,
        ui: &mut Ui,
        label: &'static str,
        text: &mut String,
        refusal: Option<&str>,
    ) -> FieldOutput {
        let read = |t: &str| Dose::parse_stock(t).map(|d| d.to_string()).map_err(|e| e.0);
        let field = Field::new(label).width(150.0).example("250 ml, 3 x 500 ml").understand(&read);
        self.field(ui, &field.refusal(refusal), text)
    }

    /// An expiry: a month means its last day.
    pub(super) fn expiry(
        &mut self,
        ui: &mut Ui,
        ctx: &Ctx<'_>,
        label: &'static str,
        text: &mut String,
        refusal: Option<&str>,
    ) -> FieldOutput {
        let read = |t: &str| Day::parse_expiry(t, ctx.today).map(Day::long).map_err(|e| e.0);
        let field = Field::new(label).width(120.0).example("05/2027").understand(&read);
        self.field(ui, &field.refusal(refusal), text)
    }

    /// A day that may be left open.
    pub(super) fn day_or_none(
        &mut self,
        ui: &mut Ui,
        ctx: &Ctx<'_>,
        label: &'static str,
        text: &mut String,
        refusal: Option<&str>,
    ) -> FieldOutput {
        let read = |t: &str| Day::parse_typed(t, ctx.today).map(Day::long).map_err(|e| e.0);
        let field = Field::new(label).width(120.0).example("not yet").understand(&read);
        self.field(ui, &field.refusal(refusal), text)
    }

    /// A product of the cupboard.
    pub(super) fn product(
        &mut self,
        ui: &mut Ui,
        ctx: &Ctx<'_>,
        label: &'static str,
        state: &mut PickerState<u64>,
        refusal: Option<&str>,
    ) {
        let products = ctx.flock.products();
        let narrow = ui.available_width() < 700.0;
        let picker = Picker::new(label, ctx.flock.version()).width(280.0).example("name on the label");
        let picker = picker.free().quiet(narrow).refusal(refusal);
        self.picker(ui, &picker, state, |text| find_product(products, text));
    }

    /// A batch as it was bought.
    pub(super) fn batch(
        &mut self,
        ui: &mut Ui,
        ctx: &Ctx<'_>,
        lines: &[Line],
        state: &mut PickerState<BatchId>,
        refusal: Option<&str>,
    ) {
        let narrow = ui.available_width() < 700.0;
        let picker = Picker::new("Batch", ctx.flock.version()).width(280.0).example("product or number");
        let picker = picker.quiet(narrow).refusal(refusal);
        self.picker(ui, &picker, state, |text| find_batch(lines, text));
    }
}

fn find_batch(lines: &[Line], text: &str) -> Vec<Found<BatchId>> {
    let fits = |l: &&Line| super::super::list::fits(text, [name(l).as_str()]);
    lines.iter().filter(fits).filter_map(found).collect()
}

/// The picker's entry of a line that was bought: its last delivery.
pub(super) fn found(l: &Line) -> Option<Found<BatchId>> {
    let key = *l.deliveries.last()?;
    Some(Found { key, label: name(l), detail: batch_words(l) })
}

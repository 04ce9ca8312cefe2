//! The bottle a treatment comes from: the batches of the product, with what is left, the first to be used in front.

use super::super::Ctx;
use crate::parts::{Form, Found, Picker, PickerState};
use hirsel_core::flock::Product;
use hirsel_core::phrase;
use hirsel_core::reckon::stock::{self, Line};
use hirsel_core::terms::ProductId;

/// The lines of a product's stock, made once for a version of the flock.
#[derive(Debug, Default)]
pub(super) struct Bottles {
    made_for: Option<(u64, Option<ProductId>)>,
    lines: Vec<Line>,
}

impl Bottles {
    /// Looks at the shelf when the product or the flock is another.
    pub(super) fn keep(&mut self, ctx: &Ctx<'_>, product: Option<&Product>) {
        let wanted = (ctx.flock.version(), product.map(|p| p.id));
        if self.made_for != Some(wanted) {
            self.made_for = Some(wanted);
            let of = |p: &Product| stock::of_product(ctx.flock, p.id, ctx.today);
            self.lines = product.map(of).unwrap_or_default();
            self.lines.retain(|l| l.batch.is_some());
        }
    }

    /// The number of the bottle that is to be used first, if one is on the shelf.
    fn first(&self) -> Option<&str> {
        let product = self.lines.first()?.product;
        stock::first_of(&self.lines, product)?.batch.as_deref()
    }

    /// That bottle, to be put into the field.
    pub(super) fn proposed(&self) -> Option<Found<u64>> {
        let first = self.first()?;
        self.find(first).into_iter().find(|f| f.label == first)
    }

    /// What is known of a number: `expires 31 Dec 2027, 44 ml left`.
    fn detail(line: &Line) -> String {
        let mut said = Vec::new();
        said.extend(line.expiry.map(|d| phrase!("expires {}", d.words())));
        said.extend(line.left.map(|l| phrase!("{l} left")));
        if line.state.is_caution() {
            said.push(line.state.word().to_string());
        }
        said.join(", ")
    }

    fn find(&self, text: &str) -> Vec<Found<u64>> {
        let low = text.to_lowercase();
        let first = self.first();
        let mut all: Vec<(bool, Found<u64>)> = (0u64..)
            .zip(&self.lines)
            .filter_map(|(key, l)| {
                let number = l.batch.clone().filter(|b| b.to_lowercase().starts_with(&low))?;
                let front = Some(number.as_str()) == first;
                Some((front, Found { key, label: number, detail: Self::detail(l) }))
            })
            .collect();
        all.sort_by_key(|(front, _)| !front);
        all.into_iter().map(|(_, found)| found).collect()
    }

    /// What there is to know of the number as it stands in the field.
    fn caution(&self, typed: &str) -> Option<String> {
        let line = self
            .lines
            .iter()
            .find(|l| l.batch.as_deref().is_some_and(|b| hirsel_core::flock::same_batch(b, typed)))?;
        line.state.is_caution().then(|| line.words.clone())
    }
}

/// The field: a number of the shelf, or any other as it reads on the bottle.
pub(super) fn field(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    form: &mut Form,
    bottles: &Bottles,
    state: &mut PickerState<u64>,
    (refusal, asked): (Option<&str>, Option<&str>),
) {
    let caution = bottles.caution(&state.text);
    let picker = Picker::new("Batch", ctx.flock.version()).width(180.0).example("number on the bottle");
    let picker = picker.free().refusal(refusal).caution(caution.as_deref()).asked(asked);
    form.picker(ui, &picker, state, |text| bottles.find(text));
}

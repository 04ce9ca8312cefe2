//! Which mix the mix sheet is of, and how much of it.

use super::super::{Ctx, fields};
use super::State;
use crate::parts::{Field, Form, Found, Picker, PickerState};
use hirsel_core::papers::usual_batch;
use hirsel_core::phrase;
use hirsel_core::terms::{FeedId, Mass, norm};
use serde::{Deserialize, Serialize};

/// The mix and how much of it, as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    mix: PickerState<FeedId>,
    total: String,
}

impl Typed {
    pub(super) fn of(mix: FeedId, name: &str, total: &str) -> Self {
        let mut typed = Self { total: total.to_string(), ..Self::default() };
        typed.mix.choose(Found { key: mix, label: name.into(), detail: String::new() });
        typed
    }

    /// The mix and how much; none while none is chosen.
    pub(super) fn chosen(&self, ctx: &Ctx<'_>) -> Result<Option<(FeedId, Mass)>, String> {
        let Some(mix) = self.mix.chosen().filter(|id| is_mix(ctx, *id)) else { return Ok(None) };
        let total = match fields::some(&self.total) {
            Some(text) => Mass::parse(&text, ctx.units()).map_err(|e| e.0)?,
            None => usual_batch(ctx.flock, mix),
        };
        if total.is_none() {
            return Err(phrase!("nothing cannot be mixed: write how much"));
        }
        Ok(Some((mix, total)))
    }
}

fn is_mix(ctx: &Ctx<'_>, id: FeedId) -> bool {
    ctx.flock.feedroom().feed(id).is_some_and(|f| !f.parts.is_empty())
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, form: &mut Form) {
    let room = ctx.flock.feedroom();
    let none = !room.feeds.iter().any(|f| !f.parts.is_empty());
    let example = if none { "no mix is in the book" } else { "any part of its name" };
    let picker = Picker::new("Mix", ctx.flock.version()).width(220.0).example(example);
    form.picker(ui, &picker, &mut state.mix.mix, |text| {
        let text = norm(text);
        room.feeds
            .iter()
            .filter(|f| !f.parts.is_empty() && norm(&f.name).contains(&text))
            .map(|f| Found {
                key: f.id,
                label: f.name.clone(),
                detail: hirsel_core::terms::counted(f.parts.len(), "feed"),
            })
            .collect()
    });
    let units = ctx.units();
    let usual = state.mix.mix.chosen().map(|id| usual_batch(ctx.flock, id).show(units)).unwrap_or_default();
    let read = |t: &str| Mass::parse(t, units).map(|m| m.show(units)).map_err(|e| e.0);
    let field = Field::new("How much").width(130.0).example(&usual).understand(&read);
    form.field(ui, &field, &mut state.mix.total);
}

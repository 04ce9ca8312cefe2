//! A line for each round that is done with a product: asked once, not for every animal.

use super::super::{Ctx, fields};
use super::shown::Shown;
use super::{RoundTyped, State, write};
use crate::look::{self, Face, space};
use crate::parts::{Field, Form, Found, Picker};
use egui::{Rect, Ui, UiBuilder, pos2};
use hirsel_core::flock::Product;
use hirsel_core::phrase;
use hirsel_core::plan::{DoneBy, Step};
use hirsel_core::reckon::due;
use hirsel_core::terms::{AnimalId, Day, Dose, DoseRule};
use std::sync::Arc;

/// A round with ticks: its step and the animals, each with the weight typed on this sheet.
type Ticked = (Arc<Step>, Vec<(AnimalId, String)>);

/// The rounds that have ticks, in the order in which they come up on the sheet.
fn ticked(state: &State, shown: &Shown) -> Vec<Ticked> {
    let mut all: Vec<Ticked> = Vec::new();
    let typed = state.typed.iter().filter(|t| !t.ticks.is_empty());
    let mut typed: Vec<_> = typed.filter_map(|t| Some((shown.place(t.animal)?, t))).collect();
    typed.sort_by_key(|(place, _)| *place);
    for (place, typed) in typed {
        let Some(row) = shown.row(place) else { continue };
        for job in &row.jobs {
            let treats = matches!(job.step.done_by, DoneBy::Treatment(_));
            if !treats || job.open.is_none() || !typed.ticks.contains(&job.mark) {
                continue;
            }
            let who = (row.animal, typed.weight.clone());
            match all.iter_mut().find(|(s, _)| s.key == job.step.key) {
                Some((_, animals)) => animals.push(who),
                None => all.push((Arc::clone(&job.step), vec![who])),
            }
        }
    }
    all
}

/// Draws the lines; nothing where no round is ticked.
pub(super) fn view(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State, shown: &Shown, on: Day) {
    let rounds = ticked(state, shown);
    if rounds.is_empty() {
        return;
    }
    ui.add_space(space::XS);
    for (step, animals) in &rounds {
        let n = match state.rounds.iter().position(|r| r.step == step.key) {
            Some(n) => n,
            None => {
                let mut new = RoundTyped { step: step.key.clone(), ..RoundTyped::default() };
                if let Some(product) = due::product_of(ctx.flock, step) {
                    new.product.choose(found(0, product));
                }
                state.rounds.push(new);
                state.rounds.len() - 1
            }
        };
        line(ui, ctx, state, n, step, animals, on);
    }
    ui.add_space(space::XS);
}

fn line(
    ui: &mut Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    n: usize,
    step: &Arc<Step>,
    animals: &[(AnimalId, String)],
    on: Day,
) {
    let wrong = state.round_wrong.iter().find(|(s, _)| *s == step.key).map(|(_, text)| text.clone());
    let whole = ui.available_rect_before_wrap();
    let rect = Rect::from_min_size(whole.min, egui::vec2(whole.width(), space::FIELD));
    let (left, right) = (rect.left(), rect.right());
    let name = (rect.width() * 0.24).clamp(150.0, 240.0);
    let parts = [left, left + name, left + name + 290.0, left + name + 450.0, right];
    let at = |i: usize| Rect::from_min_max(pos2(parts[i], rect.top()), pos2(parts[i + 1], rect.bottom()));
    ui.scope_builder(UiBuilder::new().max_rect(at(0)), |ui| {
        ui.horizontal_centered(|ui| {
            ui.set_min_height(space::FIELD);
            let words = phrase!("{} · {} ticked", step.short_said(), animals.len());
            let words = egui::RichText::new(words).family(look::fonts::family(Face::Strong));
            ui.add(egui::Label::new(words).truncate());
        });
    });
    let mut form = Form::new(ui, "barn round").label_width(54.0);
    form.set_part(step.short.as_str());
    if state.round_focus.as_deref() == Some(step.key.as_str()) {
        let mut wish = true;
        form.focus_once(ui, &mut wish, "Product");
        if !wish {
            state.round_focus = None;
        }
    }
    let round = &mut state.rounds[n];
    ui.scope_builder(UiBuilder::new().max_rect(at(1)), |ui| {
        let picker = Picker::new("Product", ctx.flock.version()).width(220.0).example("name on the label");
        form.picker(ui, &picker.quiet(true), &mut round.product, |text| find(ctx, step, text));
    });
    form.set_label_width(42.0);
    ui.scope_builder(UiBuilder::new().max_rect(at(2)), |ui| {
        form.field(ui, &Field::new("Batch").width(96.0).example("if known"), &mut round.batch);
    });
    let product = write::product(ctx, step, Some(round)).ok();
    ui.scope_builder(UiBuilder::new().max_rect(at(3)), |ui| match product {
        Some(p) if p.rule == DoseRule::Typed => {
            form.set_label_width(68.0);
            let read = |t: &str| Dose::parse(t).map(|_| String::new()).map_err(|e| e.0);
            let field = Field::new("Dose each").width(70.0).example("2.5 ml").understand(&read);
            form.field(ui, &field, &mut round.dose);
        }
        Some(p) => {
            ui.horizontal_centered(|ui| {
                ui.set_min_height(space::FIELD);
                let words = egui::RichText::new(write::to_draw(ctx, p, animals, on)).small();
                ui.add(egui::Label::new(words.color(look::tokens(ui).faint)).truncate());
            });
        }
        None => {}
    });
    form.finish(ui);
    ui.advance_cursor_after_rect(rect);
    if let Some(wrong) = wrong.filter(|_| product.is_none()) {
        look::refusal(ui, &wrong);
    }
}

fn found(key: u64, p: &Product) -> Found<u64> {
    let detail = phrase!("{}; meat {}, milk {}", p.rule.words(), p.meat, p.milk);
    Found { key, label: p.name.clone(), detail }
}

/// Products of the round's kind that fit the text; where the cupboard has none of the kind, any that fit.
fn find(ctx: &Ctx<'_>, step: &Step, text: &str) -> Vec<Found<u64>> {
    let text = text.to_lowercase();
    let fits = |p: &Product| {
        let substance = p.substance.as_deref().unwrap_or_default().to_lowercase();
        p.name.to_lowercase().contains(&text) || substance.contains(&text)
    };
    let all = || (0u64..).zip(ctx.flock.products());
    let of_kind = all().any(|(_, p)| due::suits(step, p));
    all()
        .filter(|(_, p)| (!of_kind || due::suits(step, p)) && fits(p))
        .map(|(key, p)| found(key, p))
        .collect()
}

/// The day the work was done, as far as it can be read.
pub(super) fn done_on(ctx: &Ctx<'_>, text: &str) -> Day {
    fields::day_or_today(ctx, text).unwrap_or(ctx.today)
}

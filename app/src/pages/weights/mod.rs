//! Weights: tag, weight, Enter, again and again; and how everyone grows.

mod growth;

use super::list::{By, List, Row, height, take_out};
use super::{Ctx, Intent, Then, fields, refusal_of};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, Refusal, WeighingDraft};
use hirsel_core::flock::AnimalFile;
use hirsel_core::reckon::growth::{Gains, gains};
use hirsel_core::terms::{AnimalId, Day, Moment, Units, WeighingId, Weight};
use serde::{Deserialize, Serialize};

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    all: bool,
    on: String,
    time: String,
    animal: PickerState<AnimalId>,
    weight: String,
    search: String,
    #[serde(skip)]
    refusals: Vec<Refusal>,
    #[serde(skip)]
    focus: Option<String>,
    #[serde(skip)]
    seen: bool,
    #[serde(skip)]
    last: Option<String>,
    #[serde(skip)]
    made_for: Option<(u64, Day)>,
    #[serde(skip)]
    list: List<(AnimalId, WeighingId)>,
    #[serde(skip)]
    mean: Option<Weight>,
    #[serde(skip)]
    table: TableState<(AnimalId, WeighingId)>,
    #[serde(skip)]
    growth: growth::Growth,
}

impl State {
    /// The weighing is written: the keyboard goes back to the tag, the day stays.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        if let Some(f) = self.animal.chosen().and_then(|id| ctx.flock.file(id))
            && let Ok(Some(w)) = fields::weight_of(ctx, &self.weight)
        {
            let day = fields::day_or_today(ctx, &self.on).unwrap_or(ctx.today);
            let told = gains_words(gains(f, day, w), ctx.units());
            self.last = Some(format!("{}: {}{told}", f.animal.title(), w.show(ctx.units())));
        }
        self.animal.clear();
        self.weight.clear();
        self.refusals.clear();
        self.focus = Some("Animal".into());
    }
}

/// `, 312 g a day since birth, 280 g a day over 14 days`.
fn gains_words(g: Gains, units: Units) -> String {
    let mut words = String::new();
    if let Some(b) = g.since_birth {
        words += &format!(", {} since birth", b.show(units));
    }
    if let Some((l, days)) = g.since_last {
        words += &format!(", {} over the last {days} days", l.show(units));
    }
    words
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    look::heading(ui, "Weights");
    let mut form = Form::new(ui, "weights part").label_width(60.0);
    let mut all = Some(state.all);
    form.choice(ui, &Choice::new("Show", &[(false, "Weigh"), (true, "Growth of all")]), &mut all);
    // Enter goes on into the part that is shown.
    let mut into = form.finish(ui) == FormEvent::Submitted;
    state.all = all.unwrap_or_default();
    if into && !state.all {
        state.focus = Some("Animal".into());
    }
    ui.add_space(space::S);
    if state.all {
        growth::view(ui, ctx, &mut state.growth, &mut state.search, &mut into, &mut out);
    } else {
        weigh(ui, ctx, state, &mut out);
    }
    out
}

fn weigh(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    if !state.seen {
        state.seen = true;
        state.focus.get_or_insert_with(|| "Animal".into());
    }
    let mut form = Form::new(ui, "weigh").label_width(110.0);
    if let Some(label) = state.focus.clone() {
        let mut wish = true;
        form.focus_once(ui, &mut wish, &label);
        if !wish {
            state.focus = None;
        }
    }
    let wrong = |name| refusal_of(&state.refusals, name, 0);
    let (on, tag, weight) = (wrong("on"), wrong("tag"), wrong("weight_kg"));
    let day = fields::day_or_today(ctx, &state.on).unwrap_or(ctx.today);
    form.animal(ui, ctx, "Animal", &mut state.animal, tag.as_deref(), |f| f.animal.status.is_here());
    let chosen = state.animal.chosen().and_then(|id| ctx.flock.file(id));
    form.weight(ui, ctx, "Weight", &mut state.weight, weight.as_deref());
    let mut go = form.finish(ui) == FormEvent::Submitted;
    // The day stands apart, so that Enter after the weight writes and does not lead to it.
    let mut apart = Form::new(ui, "weigh day").label_width(110.0);
    apart.day(ui, ctx, "Day", &mut state.on, on.as_deref());
    apart.time(ui, "Time", &mut state.time);
    if apart.finish(ui) == FormEvent::Submitted {
        state.focus = Some("Animal".into());
    }
    before(ui, ctx, chosen, day, &state.weight);
    ui.horizontal(|ui| {
        ui.add_space(118.0);
        go |= look::primary(ui, "Write the weight").clicked();
        look::faint(ui, "Tag, Enter, weight, Enter; the day is carried on.");
    });
    if let Some(last) = &state.last {
        look::word(ui, Kind::Good, last);
    }
    ui.add_space(space::M);
    session(ui, ctx, state, day, out);
    if go {
        match checked(ctx, state) {
            Ok(intent) => out.push(intent),
            Err((label, text)) => {
                state.focus = Some(label);
                out.push(Intent::Say(Kind::Refuse, text));
            }
        }
    }
}

/// What the animal weighed before, and the gain the typed weight would mean.
fn before(ui: &mut egui::Ui, ctx: &Ctx<'_>, chosen: Option<&AnimalFile>, day: Day, typed: &str) {
    ui.horizontal_wrapped(|ui| {
        ui.set_min_height(space::TARGET);
        ui.add_space(118.0);
        let Some(f) = chosen else {
            look::faint(ui, "Its last weight and its gain appear here.");
            return;
        };
        match f.last_weight(day) {
            Some((on, w)) => {
                look::faint(
                    ui,
                    format!(
                        "Weighed {} on {}, {} days before",
                        w.show(ctx.units()),
                        on.words(),
                        day.since(on)
                    ),
                );
            }
            None => {
                look::faint(ui, "Not weighed before");
            }
        }
        if let Ok(Some(w)) = fields::weight_of(ctx, typed) {
            let words = gains_words(gains(f, day, w), ctx.units());
            if !words.is_empty() {
                look::strong(ui, words.trim_start_matches(", "));
            }
        }
    });
}

fn checked(ctx: &Ctx<'_>, state: &mut State) -> Result<Intent, (String, String)> {
    let at = |label: &'static str| move |e: String| (label.to_string(), e);
    let animal = fields::picked(ctx, &state.animal, "the animal").map_err(at("Animal"))?;
    let animal =
        animal.ok_or_else(|| ("Animal".to_string(), "which animal? Type any part of its tag".to_string()))?;
    let weight = fields::weight_of(ctx, &state.weight).map_err(at("Weight"))?;
    let weight = weight.ok_or_else(|| ("Weight".to_string(), "what does it weigh?".to_string()))?;
    let day = fields::day_or_today(ctx, &state.on).map_err(at("Day"))?;
    let time = fields::time_of(&state.time).map_err(at("Time"))?;
    let draft = WeighingDraft { animal, at: Moment { day, time }, weight, note: None };
    match entry::weighings(vec![draft], ctx.flock, ctx.today) {
        Ok(checked) => {
            state.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::Weighed })
        }
        Err(refusals) => {
            let first = refusals.first().map(|r| {
                let label = match r.field.name {
                    "on" => "Day",
                    "weight_kg" => "Weight",
                    _ => "Animal",
                };
                (label.to_string(), r.to_string())
            });
            state.refusals = refusals;
            Err(first.unwrap_or_default())
        }
    }
}

/// All weighings of the day, the last written first.
fn session(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, day: Day, out: &mut Vec<Intent>) {
    if state.made_for != Some((ctx.flock.version(), day)) {
        state.made_for = Some((ctx.flock.version(), day));
        make(ctx, day, state);
    }
    let n = state.list.rows.len();
    ui.horizontal(|ui| {
        look::subheading(ui, format!("Weighed on {}", day.words()));
        let mean = state.mean.map(|m| format!(", mean {}", m.show(ctx.units()))).unwrap_or_default();
        look::faint(ui, format!("{n} weighings{mean}"));
        if n > 0 {
            let heads = ["tag", "what", "weight", "age_days", "since_birth", "since_last"];
            take_out(ui, &format!("weights {day}"), &heads, &state.list, &mut state.table, out);
        }
    });
    if n == 0 {
        look::faint(ui, "Nobody yet.");
        return;
    }
    let columns = [
        Column::new("Animal", 120.0),
        Column::new("What", 200.0).rest(),
        Column::new("Weight", 90.0).right(),
        Column::new("Age, days", 84.0).right(),
        Column::new("A day since birth", 140.0).right(),
        Column::new("A day since last", 140.0).right(),
    ];
    let size = egui::vec2(ui.available_width(), ui.available_height().max(height(1, 4, 4)));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        for event in RecordTable::new("Weighed", &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened((id, _)) = event {
                out.push(Intent::Open(id));
            }
        }
    });
}

fn make(ctx: &Ctx<'_>, day: Day, state: &mut State) {
    let units = ctx.units();
    let mut mean = hirsel_core::reckon::figures::Mean::default();
    let mut rows: Vec<(WeighingId, Row<(AnimalId, WeighingId)>)> = Vec::new();
    for f in ctx.flock.files() {
        for w in f.weighings.iter().filter(|w| w.at.day == day) {
            let g = gains(f, day, w.weight);
            let struck = w.struck.is_some();
            if !struck {
                mean.add(w.weight);
            }
            let text = w.weight.show(units);
            let cell = if struck { Cell::text(text.clone()).struck() } else { Cell::text(text.clone()) };
            let birth = g.since_birth.map(|b| b.show(units)).unwrap_or_default();
            let last = g.since_last.map(|(l, _)| l.show(units)).unwrap_or_default();
            rows.push((
                w.id,
                Row::new((f.animal.id, w.id))
                    .tag(f.animal.tag())
                    .text(ctx.detail(f))
                    .cell(cell, By::Number(w.weight.grams()), text)
                    .number(g.age.map(|a| a.to_string()).unwrap_or_default(), g.age)
                    .number(birth, g.since_birth.map(|b| b.0))
                    .number(last, g.since_last.map(|(l, _)| l.0)),
            ));
        }
    }
    rows.sort_by_key(|(id, _)| std::cmp::Reverse(*id));
    state.list.set(rows.into_iter().map(|(_, r)| r).collect());
    state.mean = mean.mean();
}

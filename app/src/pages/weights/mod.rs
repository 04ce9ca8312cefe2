//! Weights: tag, weight, Enter, again and again; and how everyone grows.

mod curves;
mod fixed;
mod growth;
mod milk;
mod read;
mod session;

use super::sections::{sections, shown_anew};
use super::{Ctx, Intent, Then, fields, refusal_of};
use crate::look::{self, Kind, space};
use crate::parts::{Form, FormEvent, PickerState};
use hirsel_core::entry::{self, Refusal, WeighingDraft};
use hirsel_core::flock::AnimalFile;
use hirsel_core::reckon::growth::{Gains, gains};
use hirsel_core::terms::{AnimalId, Day, Moment, SessionId, Units};
use serde::{Deserialize, Serialize};

/// The page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    part: Part,
    on: String,
    time: String,
    animal: PickerState<AnimalId>,
    weight: String,
    search: String,
    /// The day on which the page was last seen.
    sitting: String,
    #[serde(skip)]
    refusals: Vec<Refusal>,
    #[serde(skip)]
    focus: Option<String>,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    drawn: u64,
    #[serde(skip)]
    session: session::Session,
    #[serde(skip)]
    growth: growth::Growth,
    fixed: fixed::State,
    curves: curves::State,
    milk: milk::State,
    read: read::State,
}

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Weigh,
    All,
    Fixed,
    Curves,
    Milk,
}

const PARTS: [(Part, &str); 5] = [
    (Part::Weigh, "Weigh"),
    (Part::All, "Growth of all"),
    (Part::Fixed, "At a fixed age"),
    (Part::Curves, "Curves"),
    (Part::Milk, "Ewe's milk"),
];

impl State {
    /// The weighing is written: the keyboard goes back to the tag, the day stays. Gives what to say of it.
    pub fn after(&mut self, ctx: &Ctx<'_>) -> Option<String> {
        let told = self.told(ctx);
        self.animal.clear();
        self.weight.clear();
        self.refusals.clear();
        self.focus = Some("Animal".into());
        told
    }

    /// An entry of another part than the scale is written.
    pub fn after_part(&mut self, ctx: &Ctx<'_>) {
        match self.part {
            Part::Weigh | Part::All => {}
            Part::Fixed => self.fixed.after(ctx),
            Part::Curves => self.curves.after(ctx),
            Part::Milk => self.milk.after(ctx),
        }
    }

    /// A file of a reader or scale head is written.
    pub fn after_read(&mut self) {
        self.read.after();
    }

    /// Shows a session at the scale.
    pub fn show_session(&mut self, _session: SessionId) {
        self.part = Part::Weigh;
    }

    /// `0433 Bracken: 49.0 kg, 56 g a day over the last 9 days`.
    fn told(&self, ctx: &Ctx<'_>) -> Option<String> {
        let f = self.animal.chosen().and_then(|id| ctx.flock.file(id))?;
        let weight = fields::weight_of(ctx, &self.weight).ok().flatten()?;
        let day = fields::day_or_today(ctx, &self.on).unwrap_or(ctx.today);
        let gains = gains_words(gains(f, day, weight), ctx.units());
        Some(format!("{}: {}{gains}", f.animal.title(), weight.show(ctx.units())))
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
    let turned = sections(ui, "weights part", &PARTS, &mut state.part);
    if shown_anew(ui, &mut state.drawn) || turned {
        state.into = true;
    }
    ui.add_space(space::S);
    match state.part {
        Part::Weigh => weigh(ui, ctx, state, &mut out),
        Part::All => growth::view(ui, ctx, &mut state.growth, &mut state.search, &mut state.into, &mut out),
        Part::Fixed => fixed::view(ui, ctx, &mut state.fixed, &mut state.into, &mut out),
        Part::Curves => curves::view(ui, ctx, &mut state.curves, &mut state.into, &mut out),
        Part::Milk => milk::view(ui, ctx, &mut state.milk, &mut state.into, &mut out),
    }
    out
}

/// Room for the labels.
const LABELS: f32 = 110.0;

fn weigh(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    if read::view(ui, ctx, &mut state.read, out) {
        return;
    }
    if std::mem::take(&mut state.into) {
        state.focus.get_or_insert_with(|| "Animal".into());
    }
    let half_typed = !state.animal.text.trim().is_empty() || !state.weight.trim().is_empty();
    fields::carry_day(ctx, &mut state.sitting, half_typed, &mut state.on, &mut state.time);
    let wrong = |name| refusal_of(&state.refusals, name, 0);
    let (on, tag, weight) = (wrong("on"), wrong("tag"), wrong("weight_kg"));
    // The day stands apart, so that Enter after the weight writes and does not lead to it.
    let mut apart = Form::new(ui, "weigh day").label_width(LABELS);
    take_focus(ui, &apart, &["Day", "Time"], &mut state.focus);
    apart.day(ui, ctx, "Day", &mut state.on, on.as_deref());
    apart.time(ui, "Time", &mut state.time);
    if apart.finish(ui) == FormEvent::Submitted {
        state.focus = Some("Animal".into());
    }
    let day = fields::day_or_today(ctx, &state.on).unwrap_or(ctx.today);
    let mut form = Form::new(ui, "weigh").label_width(LABELS);
    take_focus(ui, &form, &["Animal", "Weight"], &mut state.focus);
    form.animal(ui, ctx, "Animal", &mut state.animal, tag.as_deref(), |f| f.animal.status.is_here());
    let chosen = state.animal.chosen().and_then(|id| ctx.flock.file(id));
    form.weight(ui, ctx, "Weight", &mut state.weight, weight.as_deref());
    let mut go = form.finish(ui) == FormEvent::Submitted;
    before(ui, ctx, chosen, day, &state.weight);
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        go |= look::primary(ui, "Write the weight").clicked();
        look::faint(ui, "Tag, Enter, weight, Enter; day and time are carried on.");
    });
    ui.add_space(space::M);
    session::view(ui, ctx, &mut state.session, day, out);
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

/// Gives the keyboard to the field that is wished for, if it is one of this form.
fn take_focus(ui: &egui::Ui, form: &Form, labels: &[&str], wished: &mut Option<String>) {
    let Some(label) = wished.as_deref().filter(|l| labels.contains(l)) else { return };
    let mut wish = true;
    form.focus_once(ui, &mut wish, label);
    if !wish {
        *wished = None;
    }
}

/// What the animal weighed before, and the gain the typed weight would mean.
fn before(ui: &mut egui::Ui, ctx: &Ctx<'_>, chosen: Option<&AnimalFile>, day: Day, typed: &str) {
    ui.horizontal_wrapped(|ui| {
        ui.set_min_height(space::TARGET);
        ui.add_space(LABELS + space::S);
        let Some(f) = chosen else {
            look::faint(ui, "Its last weight and its gain appear here.");
            return;
        };
        let age = f.animal.born.exact().map(|b| age_words(day.since(b))).unwrap_or_default();
        let before = match f.last_weight(day) {
            Some((on, w)) if on == day => format!("weighed {} on the same day", w.show(ctx.units())),
            Some((on, w)) => {
                let (w, days) = (w.show(ctx.units()), day.since(on));
                format!("weighed {w} on {}, {days} days before", on.words())
            }
            None => "not weighed before".into(),
        };
        look::faint(ui, format!("{age}{before}"));
        if let Ok(Some(w)) = fields::weight_of(ctx, typed) {
            let words = gains_words(gains(f, day, w), ctx.units());
            if !words.is_empty() {
                look::strong(ui, words.trim_start_matches(", "));
            }
        }
    });
}

/// `41 days old; `, in years from the second birthday on.
fn age_words(days: i64) -> String {
    match days {
        ..0 => String::new(),
        1 => "1 day old; ".into(),
        0..730 => format!("{days} days old; "),
        _ => format!("{} years old; ", days * 100 / 36_525),
    }
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

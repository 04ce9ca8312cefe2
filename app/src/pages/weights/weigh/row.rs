//! One animal on the scale: tag, weight, scores, Enter by Enter.

use super::super::super::rows_form::Wrong;
use super::super::super::{Ctx, Intent, Then, fields};
use super::{Going, Now, State, Wish};
use crate::look::{self, Kind, space};
use crate::parts::caution;
use crate::parts::{Field, Form, FormEvent, PickerState};
use egui::{Key, Modifiers};
use hirsel_core::entry::{self, Check, SessionPick, WeighedRow};
use hirsel_core::flock::AnimalFile;
use hirsel_core::phrase;
use hirsel_core::reckon::growth::{Gains, gains};
use hirsel_core::terms::{AnimalId, Day, Gut, Moment, Score, ScoreKind, SessionId, Units, Why, counted};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// The row as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    pub(super) animal: PickerState<AnimalId>,
    weight: String,
    /// Scores by their words.
    scores: BTreeMap<String, String>,
    remark: String,
    /// What will be asked about the row as it is typed: reckoned once for each text.
    #[serde(skip)]
    asked: Option<(Asked, Vec<(String, Why)>)>,
}

/// What the questions of a row hang on.
type Asked = (u64, AnimalId, String, Day, Option<SessionId>);

/// Room for the labels.
const LABELS: f32 = 110.0;
const NARROW: f32 = 92.0;

impl Typed {
    /// Something is typed; a proposal that was not touched is nothing.
    pub(super) fn is_begun(&self, proposed: bool) -> bool {
        let animal = !proposed && !self.animal.text.trim().is_empty();
        animal
            || !self.weight.trim().is_empty()
            || !self.remark.trim().is_empty()
            || self.scores.values().any(|s| !s.trim().is_empty())
    }

    /// What is typed of one animal is written.
    pub(super) fn empty(&mut self) {
        self.weight.clear();
        self.remark.clear();
        self.scores.clear();
    }

    /// `0433 Bracken: 49.0 kg, 56 g a day over the last 9 days`.
    pub(super) fn told(&self, ctx: &Ctx<'_>, day: Day) -> Option<String> {
        let f = self.animal.chosen().and_then(|id| ctx.flock.file(id))?;
        let weight = fields::weight_of(ctx, &self.weight).ok().flatten()?;
        let gains = gains_words(gains(f, day, weight), ctx.units());
        Some(phrase!("{}: {}{gains}", f.animal.title(), weight.show(ctx.units())))
    }

    fn scored(&self, kinds: &[ScoreKind]) -> Result<Vec<Score>, Wrong> {
        let mut all = Vec::new();
        for kind in kinds {
            if let Some(text) = self.scores.get(kind.word()).and_then(|t| fields::some(t)) {
                all.push(Score::parse(*kind, &text).map_err(|e| (label(*kind), e.0))?);
            }
        }
        Ok(all)
    }
}

/// The day as typed, today while it is not understood.
pub(super) fn day_of(ctx: &Ctx<'_>, on: &str) -> Day {
    fields::day_or_today(ctx, on).unwrap_or(ctx.today)
}

/// The label of a score's field.
fn label(kind: ScoreKind) -> &'static str {
    match kind {
        ScoreKind::Condition => "Condition",
        ScoreKind::Eyelid => "Eyelid",
        ScoreKind::Dag => "Dag",
        ScoreKind::Udder => "Udder",
        ScoreKind::Teeth => "Teeth",
        ScoreKind::Mothering => "Mothering",
        ScoreKind::Feet => "Feet",
        ScoreKind::Prolapse => "Prolapse",
        ScoreKind::Bite => "Bite",
        ScoreKind::Lids => "Lids",
        ScoreKind::Type => "Type",
        ScoreKind::Colour => "Colour",
    }
}

/// `, 312 g a day since birth, 280 g a day over 14 days`.
fn gains_words(g: Gains, units: Units) -> String {
    let mut words = String::new();
    if let Some(b) = g.since_birth {
        words += &phrase!(", {} since birth", b.show(units));
    }
    if let Some((l, days)) = g.since_last {
        let over =
            if days == 1 { phrase!("since the day before") } else { phrase!("over the last {days} days") };
        words += &format!(", {} {over}", l.show(units));
    }
    words
}

/// One animal by itself: day and time are carried on.
pub(super) fn single(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let wrong = |name| state.rows.wrong(name);
    let (on, tag, weight) = (wrong("on"), wrong("tag"), wrong("weight_kg"));
    // The day stands apart, so that Enter after the weight writes and does not lead to it.
    let mut apart = Form::new(ui, "weigh day").label_width(LABELS);
    state.rows.drawn_of(ui, &apart, |l| matches!(l, "Day" | "Time"));
    apart.day(ui, ctx, "Day", &mut state.on, on.as_deref());
    apart.time(ui, "Time", &mut state.time);
    if apart.finish(ui) == FormEvent::Submitted {
        state.rows.aim("Animal");
    }
    let day = day_of(ctx, &state.on);
    let mut form = Form::new(ui, "weigh").label_width(LABELS);
    state.rows.drawn(ui, &form, &["Animal", "Weight"]);
    form.animal_quiet(ui, ctx, "Animal", &mut state.typed.animal, (tag.as_deref(), None), |f| {
        f.animal.status.is_here()
    });
    form.weight(ui, ctx, "Weight", &mut state.typed.weight, weight.as_deref());
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ask(ctx, state, (day, None), |state| single_check(ctx, state));
    before(ui, ctx, &state.typed, day, LABELS);
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        ui.vertical(|ui| {
            go |= look::primary(ui, "Write the weight").clicked();
            look::faint(ui, "Tag, Enter, weight, Enter.");
        });
    });
    if go {
        let row = single_check(ctx, state).and_then(|check| {
            state.rows.checked(check, Then::Weighed, &[("on", "Day"), ("weight_kg", "Weight")], "Animal")
        });
        state.rows.send(row, out);
    }
}

fn single_check(ctx: &Ctx<'_>, state: &State) -> Result<Check, Wrong> {
    let animal = animal(ctx, &state.typed)?;
    let weight = fields::weight_of(ctx, &state.typed.weight).map_err(|e| ("Weight", e))?;
    let weight = Some(weight.ok_or(("Weight", phrase!("what does it weigh?")))?);
    let day = fields::day_or_today(ctx, &state.on).map_err(|e| ("Day", e))?;
    let time = fields::time_of(&state.time).map_err(|e| ("Time", e))?;
    let row = WeighedRow { animal, at: Moment { day, time }, weight, scores: Vec::new(), note: None };
    Ok(entry::weighed(SessionPick::None, vec![row], ctx.flock, ctx.today))
}

fn animal(ctx: &Ctx<'_>, t: &Typed) -> Result<AnimalId, Wrong> {
    let animal = fields::picked(ctx, &t.animal, "the animal").map_err(|e| ("Animal", e))?;
    animal.ok_or_else(|| ("Animal", phrase!("which animal? Type any part of its tag")))
}

/// The next animal of a session; gives what else is wished.
pub(super) fn in_session(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    going: &Going,
    now: &Now,
    out: &mut Vec<Intent>,
) -> Wish {
    let mut wish = head(ui, ctx, going, now);
    let mut form = Form::new(ui, "weigh").label_width(NARROW);
    let proposal = state.rows.proposal(&state.typed.animal);
    if form.has_keyboard(ui, "Animal") {
        let pressed = |key| ui.input_mut(|i| i.consume_key(Modifiers::COMMAND, key));
        if pressed(Key::ArrowDown) {
            wish = Wish::Step(false);
        } else if pressed(Key::ArrowUp) {
            wish = Wish::Step(true);
        } else if let Some(id) = proposal.filter(|_| pressed(Key::Delete)) {
            wish = Wish::Away(id);
        }
    }
    let mine = |l: &str| !matches!(l, "Day" | "Time" | "Remark");
    state.rows.forget(ui, &form, &["Animal", "Weight"]);
    state.rows.reselect(ui, &form, "Animal", &state.typed.animal.text);
    state.rows.drawn_of(ui, &form, mine);
    let wrong = |name| state.rows.wrong(name);
    let (tag, weight, on) = (wrong("tag"), wrong("weight_kg"), wrong("on").or_else(|| wrong("session")));
    if let Some(on) = on {
        look::refusal(ui, &on);
    }
    let t = &mut state.typed;
    form.animal_quiet(ui, ctx, "Animal", &mut t.animal, (tag.as_deref(), None), |f| {
        f.animal.status.is_here()
    });
    if now.weighs {
        form.weight(ui, ctx, "Weight", &mut t.weight, weight.as_deref());
    }
    let file = t.animal.chosen().and_then(|id| ctx.flock.file(id));
    for kind in &now.kinds {
        let last = file.and_then(|f| f.last_score(*kind, now.on)).map(|s| {
            let on = if s.at.day == now.on { phrase!("today") } else { s.at.day.words() };
            phrase!("was {} on {on}", s.score).replace("on today", "today")
        });
        let read =
            |x: &str| Score::parse(*kind, x).map(|_| last.clone().unwrap_or_default()).map_err(|e| e.0);
        let (least, most) = kind.range();
        let range = phrase!("{least} to {most}");
        let field = Field::new(label(*kind)).width(70.0).example(&range).understand(&read);
        let text = t.scores.entry(kind.word().to_string()).or_default();
        form.field(ui, &field.asked(last.as_deref()), text);
    }
    let mut go = form.finish(ui) == FormEvent::Submitted;
    // The remark stands apart, so that Enter after the last figure writes.
    let mut apart = Form::new(ui, "weigh remark").label_width(NARROW);
    state.rows.drawn_of(ui, &apart, |l| l == "Remark");
    apart.field(ui, &Field::new("Remark").width(240.0).example("if any"), &mut state.typed.remark);
    go |= apart.finish(ui) == FormEvent::Submitted;
    ask(ctx, state, (now.on, now.id), |state| session_check(ctx, state, going, now));
    before(ui, ctx, &state.typed, now.on, 0.0);
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the row").clicked();
        look::faint(ui, "Ctrl+Z takes the last row back.");
    });
    if go {
        let labels = [("weight_kg", if now.weighs { "Weight" } else { "Animal" })];
        let row = session_check(ctx, state, going, now)
            .and_then(|check| state.rows.checked(check, Then::Weighed, &labels, "Animal"));
        state.rows.send(row, out);
    }
    wish
}

/// Which session it is, and what can be done with it.
fn head(ui: &mut egui::Ui, ctx: &Ctx<'_>, going: &Going, now: &Now) -> Wish {
    let mut wish = Wish::Nothing;
    let time = now.time.map(|t| format!(", {t}")).unwrap_or_default();
    let group = if now.group.is_empty() { phrase!("Anyone") } else { capital(&now.group) };
    look::subheading(ui, phrase!("{group}, {}{time}", now.on.words()));
    let draft = going.typed.read(ctx).map(|(_, d)| d).unwrap_or_default();
    let held = now.id.and_then(|id| ctx.flock.daybook().session(id));
    let gut = held.map_or(draft.gut, |s| s.gut).map(Gut::words).map(str::to_string);
    let scale = held.map_or(draft.scale, |s| s.scale.clone());
    let note = held.map_or(draft.note, |s| s.note.clone());
    let not_yet = now.id.is_none().then(|| phrase!("its first animal writes it into the book"));
    let parts: Vec<String> = gut.into_iter().chain(scale).chain(note).chain(not_yet).collect();
    if !parts.is_empty() {
        look::faint(ui, parts.join("; "));
    }
    if now.on != ctx.today {
        let day = phrase!("The rows are written under {}, not today.", now.on.long());
        look::sentence(ui, Kind::Caution, &day);
    }
    ui.horizontal_wrapped(|ui| {
        if ui.button(phrase!("Change the session")).clicked() {
            wish = Wish::Change;
        }
        let close = ui.button(phrase!("Close the session"));
        if close
            .on_hover_text(phrase!("It stays in the list of sessions: go on with it at any time"))
            .clicked()
        {
            wish = Wish::Close;
        }
    });
    ui.add_space(space::XS);
    wish
}

/// The first letter large.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

fn session_check(ctx: &Ctx<'_>, state: &State, going: &Going, now: &Now) -> Result<Check, Wrong> {
    let t = &state.typed;
    let animal = animal(ctx, t)?;
    let weight =
        if now.weighs { fields::weight_of(ctx, &t.weight).map_err(|e| ("Weight", e))? } else { None };
    let scores = t.scored(&now.kinds)?;
    if weight.is_none() && scores.is_empty() {
        return Err(match now.kinds.first() {
            None => ("Weight", phrase!("what does it weigh?")),
            Some(_) if now.weighs => ("Weight", phrase!("type its weight, or a score")),
            Some(kind) => (label(*kind), phrase!("which score?")),
        });
    }
    let pick = match now.id {
        Some(id) => SessionPick::In(id),
        None => SessionPick::New(going.typed.read(ctx)?.1),
    };
    let at = Moment { day: now.on, time: now.time };
    let row = WeighedRow { animal, at, weight, scores, note: fields::some(&t.remark) };
    Ok(entry::weighed(pick, vec![row], ctx.flock, ctx.today))
}

/// So much room is kept for what is said of an animal, so that nothing below moves as one types.
const SAID: f32 = 74.0;

/// Looks what would be asked about the row, where it is another than in the frame before.
fn ask(
    ctx: &Ctx<'_>,
    state: &mut State,
    (on, session): (Day, Option<SessionId>),
    check: impl FnOnce(&State) -> Result<Check, Wrong>,
) {
    let t = &state.typed;
    let Some(animal) = t.animal.chosen() else {
        state.typed.asked = None;
        return;
    };
    let texts: Vec<&str> =
        [t.weight.as_str()].into_iter().chain(t.scores.values().map(String::as_str)).collect();
    let key = (ctx.flock.version(), animal, texts.join("|"), on, session);
    if t.asked.as_ref().is_some_and(|(k, _)| *k == key) {
        return;
    }
    let questions = match check(state) {
        Ok(Ok(checked)) => checked.questions().iter().map(|q| (q.to_string(), q.what.why())).collect(),
        _ => Vec::new(),
    };
    state.typed.asked = Some((key, questions));
}

/// What the animal was before, the gain the typed weight would mean, and what will be asked about it.
fn before(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &Typed, day: Day, inset: f32) {
    let size = egui::vec2(ui.available_width(), SAID);
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        ui.horizontal_top(|ui| {
            if inset > 0.0 {
                ui.add_space(inset + space::S);
            }
            ui.vertical(|ui| {
                let Some(f) = t.animal.chosen().and_then(|id| ctx.flock.file(id)) else {
                    look::faint(ui, "Its last weight and its gain appear here.");
                    return;
                };
                look::faint(ui, ctx.detail(f));
                look::faint(ui, past(ctx, f, day));
                if let Ok(Some(w)) = fields::weight_of(ctx, &t.weight) {
                    let words = gains_words(gains(f, day, w), ctx.units());
                    if !words.is_empty() {
                        look::strong(ui, words.trim_start_matches(", ").to_string());
                    }
                }
                for (q, why) in t.asked.iter().flat_map(|(_, questions)| questions) {
                    caution::sentence(ui, Kind::Caution, &[*why], q);
                }
            });
        });
    });
}

/// `41 days old; weighed 12.5 kg on 31 Mar 2026, 10 days before`.
fn past(ctx: &Ctx<'_>, f: &AnimalFile, day: Day) -> String {
    let age = f.animal.born.exact().map(|b| age_words(day.since(b))).unwrap_or_default();
    let before = match f.last_weight(day) {
        Some((on, w)) if on == day => phrase!("weighed {} on the same day", w.show(ctx.units())),
        Some((on, w)) => {
            let (w, days) = (w.show(ctx.units()), day.since(on));
            phrase!("weighed {w} on {}, {} before", on.words(), counted(days.max(0) as usize, "day"))
        }
        None => phrase!("not weighed before"),
    };
    format!("{age}{before}")
}

/// `41 days old; `, in years from the second birthday on.
fn age_words(days: i64) -> String {
    match days {
        ..0 => String::new(),
        1 => phrase!("1 day old; "),
        0..730 => phrase!("{days} days old; "),
        _ => phrase!("{} years old; ", days * 100 / 36_525),
    }
}

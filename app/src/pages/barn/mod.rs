//! The barn sheet: tomorrow's jobs by pen on paper, and the way back, ticks typed down the column.

mod grid;
mod lines;
mod moves;
mod rounds;
mod shown;
mod write;

use super::sections::shown_anew;
use super::{Ctx, Intent, Then, fields};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent, PickerState};
use egui::{Key, Modifiers, Rect, Ui, UiBuilder, pos2};
use grid::Cursor;
use hirsel_core::exchange::{Holds, Listed};
use hirsel_core::phrase;
use hirsel_core::reckon::due::Sheet;
use hirsel_core::terms::{AnimalId, Day, counted};
use moves::Col;
use serde::{Deserialize, Serialize};
use shown::{Job, Kept, Mark, Pen, Shown};
use std::sync::Arc;
use write::Note;

/// A sheet on paper that was never typed back is shown first for so many days.
const KEPT_DAYS: i64 = 3;

/// What was typed beside one animal.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Typed {
    animal: AnimalId,
    ticks: Vec<Mark>,
    weight: String,
    remark: String,
}

/// What was given on a round.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
struct RoundTyped {
    step: String,
    product: PickerState<u64>,
    batch: String,
    dose: String,
}

/// What is chosen and half typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    /// The day of the sheet as typed; nothing is the usual one.
    day: String,
    /// The day the work was done; nothing is today.
    on: String,
    /// The day on which the page was last seen.
    sitting: String,
    search: String,
    kept: Option<Kept>,
    #[serde(skip)]
    kept_version: u64,
    typed: Vec<Typed>,
    rounds: Vec<RoundTyped>,
    why: String,
    /// Something looks unlikely: a word is asked for.
    #[serde(skip)]
    asks: bool,
    #[serde(skip)]
    notes: Vec<Note>,
    #[serde(skip)]
    notes_version: u64,
    #[serde(skip)]
    round_wrong: Vec<(String, String)>,
    #[serde(skip)]
    round_focus: Option<String>,
    #[serde(skip)]
    day_wrong: Option<String>,
    #[serde(skip)]
    focus: Option<String>,
    #[serde(skip)]
    shown: Shown,
    #[serde(skip)]
    lines: lines::Lines,
    #[serde(skip)]
    cursor: Cursor,
    #[serde(skip)]
    drawn: u64,
}

impl State {
    /// The sheet is written: it stays in view with what is still open.
    pub(super) fn after(&mut self, _: &Ctx<'_>) {
        self.typed.clear();
        self.why.clear();
        self.clear_notes();
        if let Some(kept) = &mut self.kept {
            kept.written = true;
            self.day = kept.day.clone();
        }
        self.cursor.first();
    }

    /// A sheet goes on paper: its rows keep their numbers until it is typed back. One that is half typed back stays.
    pub fn keep(&mut self, sheet: &Sheet, day: Day) {
        if self.kept.is_none() || self.typed.is_empty() {
            self.set_kept(Some(Kept::of(sheet, day)));
        }
    }

    /// Puts the keyboard to the row of an animal; tells whether the sheet has one.
    pub fn go_to(&mut self, animal: AnimalId) -> bool {
        let there = self.shown.place(animal).is_some();
        if there {
            self.search.clear();
            self.cursor.to(&self.shown, animal, false);
        }
        there
    }

    /// The day of the sheet in view: as typed, that of a sheet on paper whose day has come, or tomorrow.
    fn sheet_day(&self, ctx: &Ctx<'_>) -> Day {
        if let Some(day) = fields::some(&self.day).and_then(|t| Day::parse_typed(&t, ctx.today).ok()) {
            return day;
        }
        let kept = self.kept.as_ref().filter(|k| !k.written || !self.typed.is_empty());
        let kept = kept.and_then(|k| Day::parse_iso(&k.day).ok());
        let waits = |d: &Day| (0..=KEPT_DAYS).contains(&ctx.today.since(*d)) || !self.typed.is_empty();
        kept.filter(waits).unwrap_or(ctx.today.plus(1))
    }

    fn set_kept(&mut self, kept: Option<Kept>) {
        self.kept = kept;
        self.kept_version += 1;
    }

    fn clear_notes(&mut self) {
        self.set_notes(Vec::new());
        self.round_wrong.clear();
        self.day_wrong = None;
        self.asks = false;
    }

    fn set_notes(&mut self, notes: Vec<Note>) {
        self.notes = notes;
        self.notes_version += 1;
    }

    fn typed_of(&mut self, shown: &Shown, animal: AnimalId) -> &mut Typed {
        // From the first tick on the rows stay as they are.
        let day = shown.day();
        if let Some(day) = day.filter(|d| self.kept.as_ref().is_none_or(|k| k.day != d.to_string())) {
            self.set_kept(Some(Kept::of(&shown.sheet, day)));
        }
        if !self.notes.is_empty() {
            let rest = self.notes.iter().filter(|n| n.animal != animal).cloned().collect();
            self.set_notes(rest);
        }
        let n = match self.typed.iter().position(|t| t.animal == animal) {
            Some(n) => n,
            None => {
                let (weight, remark) = (String::new(), String::new());
                self.typed.push(Typed { animal, ticks: Vec::new(), weight, remark });
                self.typed.len() - 1
            }
        };
        &mut self.typed[n]
    }

    fn is_ticked(&self, animal: AnimalId, job: &Job) -> bool {
        self.typed.iter().any(|t| t.animal == animal && t.ticks.contains(&job.mark))
    }

    fn tick(&mut self, shown: &Shown, animal: AnimalId, job: &Job, on: bool) {
        if job.open.is_some() {
            self.typed_of(shown, animal).set(&job.mark, on);
            self.typed.retain(|t| !t.is_empty());
        }
    }

    /// Ticks a job for every animal of a pen; takes the ticks away where all are ticked.
    fn tick_pen(&mut self, shown: &Shown, pen: &Pen, step: &str) {
        let mine = |j: &&Job| j.open.is_some() && j.mark.step == step;
        let all = pen.rows.iter().flat_map(|r| r.jobs.iter().filter(mine).map(move |j| (r.animal, j)));
        let on = all.clone().any(|(animal, j)| !self.is_ticked(animal, j));
        for (animal, job) in all {
            self.tick(shown, animal, job, on);
        }
    }

    fn typed_text(&self, animal: AnimalId, col: Col) -> String {
        let typed = self.typed.iter().find(|t| t.animal == animal);
        let text = typed.map(|t| if col == Col::Weight { &t.weight } else { &t.remark });
        text.cloned().unwrap_or_default()
    }

    fn set_text(&mut self, shown: &Shown, animal: AnimalId, col: Col, text: String) {
        let typed = self.typed_of(shown, animal);
        let place = if col == Col::Weight { &mut typed.weight } else { &mut typed.remark };
        *place = text;
        self.typed.retain(|t| !t.is_empty());
    }

    /// `14 ticks, 3 weights, 1 remark`.
    fn count_words(&self) -> String {
        let ticks = self.typed.iter().map(|t| t.ticks.len()).sum();
        let weights = self.typed.iter().filter(|t| !t.weight.trim().is_empty()).count();
        let remarks = self.typed.iter().filter(|t| !t.remark.trim().is_empty()).count();
        let parts = [(ticks, "tick"), (weights, "weight"), (remarks, "remark")];
        let parts: Vec<String> =
            parts.into_iter().filter(|(n, _)| *n > 0).map(|(n, one)| counted(n, one)).collect();
        parts.join(", ")
    }
}

/// Draws the page.
pub fn view(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    if shown_anew(ui, &mut state.drawn) {
        state.cursor.first();
    }
    let half_typed = !state.typed.is_empty();
    if state.sitting != ctx.today.to_string() && !half_typed {
        state.day.clear();
    }
    let mut none = String::new();
    fields::carry_day(ctx, &mut state.sitting, half_typed, &mut state.on, &mut none);
    let plain = ui.memory(|m| m.top_modal_layer().is_none());
    let mut go = plain && ui.input_mut(|i| i.consume_key(Modifiers::COMMAND, Key::Enter));
    let day = state.sheet_day(ctx);
    let mut shown = std::mem::take(&mut state.shown);
    let there = shown.keep_up(ctx, day, state.kept.as_ref(), state.kept_version);
    ui.add_space(space::S);
    head(ui, state, &shown, day);
    top(ui, ctx, state, &shown, day, &mut out);
    if !there {
        look::faint(ui, "The jobs of the flock are being looked up: a moment.");
    } else if shown.pens.is_empty() {
        look::paragraph(
            ui,
            "Nothing is due on that day and no ewe is about to lamb. Jobs come from the care plan (Ctrl+9): a lamb's first days, vaccines, weighings stand here on their day.",
        );
    } else {
        let on = rounds::done_on(ctx, &state.on);
        rounds::view(ui, ctx, state, &shown, on);
        go |= asked(ui, state);
        let foot = 44.0;
        let room = egui::vec2(ui.available_width(), (ui.available_height() - foot).max(160.0));
        let leave = ui
            .allocate_ui(room, |ui| {
                ui.set_min_size(room);
                grid::view(ui, ctx, state, &shown, &mut out)
            })
            .inner;
        go |= foot_bar(ui, state, leave);
        if leave == Some(false) {
            state.focus = Some("Search".into());
        }
    }
    if go {
        submit(ctx, state, &shown, &mut out);
    }
    state.shown = shown;
    out
}

fn head(ui: &mut Ui, state: &State, shown: &Shown, day: Day) {
    ui.horizontal(|ui| {
        look::heading(ui, "Barn sheet");
        ui.add_space(space::S);
        let jobs: usize = shown.sheet.rows().map(|r| r.jobs.len()).sum();
        let kept = state.kept.as_ref().is_some_and(|k| k.day == day.to_string());
        let kept = if kept { "; rows as on paper" } else { "" };
        look::faint(
            ui,
            phrase!(
                "for {}: {} open for {}{kept}",
                day.long(),
                counted(jobs, "job"),
                counted(shown.sheet.len(), "animal")
            ),
        );
    });
}

/// Room for the labels.
const LABELS: f32 = 72.0;

fn top(ui: &mut Ui, ctx: &Ctx<'_>, state: &mut State, shown: &Shown, day: Day, out: &mut Vec<Intent>) {
    let whole = ui.available_rect_before_wrap();
    let rect = Rect::from_min_size(whole.min, egui::vec2(whole.width(), 2.0 * space::FIELD + space::S));
    let middle = rect.left() + (rect.width() * 0.5).clamp(400.0, 470.0);
    let left = Rect::from_min_max(rect.min, pos2(middle - space::M, rect.bottom()));
    let right = Rect::from_min_max(pos2(middle, rect.top()), rect.max);
    let mut form = Form::new(ui, "barn").label_width(LABELS);
    if let Some(label) = state.focus.clone().filter(|l| l != "Why") {
        let mut wish = true;
        form.focus_once(ui, &mut wish, &label);
        if !wish {
            state.focus = None;
        }
    }
    ui.scope_builder(UiBuilder::new().max_rect(left), |ui| {
        let today = ctx.today;
        let read = |t: &str| Day::parse_typed(t, today).map(Day::long).map_err(|e| e.0);
        let nudge = |_: &str, n: i32| Some(day.plus(n.into()).to_string());
        let empty = if day == today.plus(1) { phrase!("tomorrow") } else { day.to_string() };
        let field = Field::new("Sheet for").width(120.0).example(&empty).understand(&read).nudge(&nudge);
        form.field(ui, &field, &mut state.day);
        let wrong = state.day_wrong.clone();
        if form.day(ui, ctx, "Done on", &mut state.on, wrong.as_deref()).response.changed() {
            state.day_wrong = None;
        }
    });
    ui.scope_builder(UiBuilder::new().max_rect(right), |ui| {
        form.set_label_width(54.0);
        let field = Field::new("Search").width(220.0).example("tag, pen or job");
        form.field(ui, &field, &mut state.search);
        ui.horizontal(|ui| {
            ui.set_min_height(space::FIELD);
            let some = !shown.sheet.is_empty();
            if ui.add_enabled(some, egui::Button::new(phrase!("Print the sheet"))).clicked() {
                out.push(Intent::PrintSheet(Arc::clone(&shown.sheet), day));
            }
            if ui.add_enabled(some, egui::Button::new(phrase!("Save as a table…"))).clicked() {
                out.push(Intent::SaveTable(table(&phrase!("barn sheet {day}"), state, shown)));
            }
            if state.kept.is_some()
                && state.typed.is_empty()
                && ui
                    .button(phrase!("New rows"))
                    .on_hover_text(phrase!("Forget the numbers of the sheet on paper"))
                    .clicked()
            {
                state.set_kept(None);
            }
        });
    });
    if form.finish(ui) == FormEvent::Submitted {
        // Enter after the search leads into the rows; a number read with the reader to its own.
        match ctx.scanned(&state.search).filter(|id| shown.place(*id).is_some()) {
            Some(id) => {
                state.search.clear();
                state.cursor.to(shown, id, false);
            }
            None => {
                state.cursor.first();
                let away = ctx.scanned(&state.search).and_then(|id| ctx.flock.animal(id));
                let away = away.map(|a| phrase!("{} has no row on this sheet", a.title()));
                let said = away.or_else(|| ctx.nobody(&state.search));
                out.extend(said.map(|why| Intent::Say(crate::look::Kind::Refuse, why)));
            }
        }
    }
    ui.advance_cursor_after_rect(rect);
}

/// What looks unlikely, and the word that lets it through; tells whether to write.
fn asked(ui: &mut Ui, state: &mut State) -> bool {
    if !state.asks {
        return false;
    }
    let n = state.notes.len();
    let first = state.notes.first().map(|n| n.text.clone()).unwrap_or_default();
    let more = if n > 1 { phrase!(" ({} more, each beside its row)", n - 1) } else { String::new() };
    let mut go = false;
    ui.add_space(space::XS);
    look::banner(ui, Kind::Caution, phrase!("Is this right as written? {first}{more}"), |ui| {
        let mut form = Form::new(ui, "barn why").label_width(40.0);
        if state.focus.as_deref() == Some("Why") {
            let mut wish = true;
            form.focus_once(ui, &mut wish, "Why");
            if !wish {
                state.focus = None;
            }
        }
        let field = Field::new("Why").width(320.0).example("a word, kept beside the records");
        form.field(ui, &field, &mut state.why);
        go = form.finish(ui) == FormEvent::Submitted;
    });
    ui.add_space(space::XS);
    go
}

fn foot_bar(ui: &mut Ui, state: &State, leave: Option<bool>) -> bool {
    let mut go = false;
    ui.add_space(space::XS);
    ui.horizontal(|ui| {
        let button = look::primary(ui, "Write the sheet");
        if leave == Some(true) {
            button.request_focus();
        }
        go = button.clicked();
        let count = state.count_words();
        if count.is_empty() {
            look::faint(
                ui,
                "Nothing is ticked yet. ↓ goes down the column, → to the next, Ctrl+Enter writes.",
            );
        } else {
            look::strong(ui, count);
            look::faint(ui, "written as one: one undo takes it all back");
        }
    });
    go
}

fn submit(ctx: &Ctx<'_>, state: &mut State, shown: &Shown, out: &mut Vec<Intent>) {
    let refuse = |text: String| Intent::Say(Kind::Refuse, text);
    if state.typed.is_empty() {
        out.push(refuse(phrase!("nothing is ticked or typed on the sheet yet")));
        return;
    }
    let word = state.why.trim().to_string();
    state.clear_notes();
    match write::entries(ctx, state, shown) {
        Ok(ready) if ready.all.is_empty() => {
            out.push(refuse(phrase!("nothing that is ticked is still open on this sheet")));
        }
        Ok(ready) if !ready.asked.is_empty() && word.is_empty() => {
            let first = ready.asked.first().map(|n| n.text.clone()).unwrap_or_default();
            state.set_notes(ready.asked);
            state.asks = true;
            state.focus = Some("Why".into());
            out.push(refuse(phrase!("{first}: if it is right as written, say why in a word")));
        }
        Ok(ready) => {
            out.push(Intent::WriteAll { what: ready.what, all: ready.all, word, then: Then::BarnDone });
        }
        Err(wrong) => {
            out.push(refuse(wrong.first().unwrap_or_default().to_string()));
            if wrong.day.is_some() {
                state.focus = Some("Done on".into());
            } else if let Some((step, _)) = wrong.rounds.first() {
                state.round_focus = Some(step.clone());
            } else if let Some(note) = wrong.notes.first() {
                state.cursor.to(shown, note.animal, true);
            }
            state.day_wrong = wrong.day;
            state.round_wrong = wrong.rounds;
            state.set_notes(wrong.notes);
        }
    }
}

/// The sheet as a table, with what is typed.
fn table(name: &str, state: &State, shown: &Shown) -> Listed {
    let rows: Vec<Vec<String>> = shown
        .rows()
        .map(|(pen, row)| {
            let typed = state.typed.iter().find(|t| t.animal == row.animal);
            let names = |ticked: bool| {
                let of = |j: &&Job| j.open.is_some() && state.is_ticked(row.animal, j) == ticked;
                row.jobs.iter().filter(of).map(Job::words).collect::<Vec<_>>().join("; ")
            };
            vec![
                row.no.to_string(),
                pen.name.clone(),
                row.tag.clone(),
                row.what.clone(),
                names(false),
                names(true),
                typed.map(|t| t.weight.clone()).unwrap_or_default(),
                typed.map(|t| t.remark.clone()).unwrap_or_default(),
            ]
        })
        .collect();
    let heads = ["no", "pen", "tag", "what", "to_do", "ticked", "weight", "remark"];
    let (text, number) = (Holds::Text, Holds::Numbers);
    Listed::of(name, &heads, &[number, text, text, text, text, text, number], rows)
}

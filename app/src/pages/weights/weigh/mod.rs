//! At the scale: one animal by itself, or a session of many.

mod begin;
mod day;
mod missing;
mod race;
mod row;
mod sessions;

use super::super::rows_form::RowsForm;
use super::super::sections::columns;
use super::super::{Ctx, Intent};
use crate::look::{self, space};
use hirsel_core::phrase;
use hirsel_core::reckon::at_scale::next;
use hirsel_core::terms::{AnimalId, Day, Minute, ScoreKind, SessionId};
use serde::{Deserialize, Serialize};

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    rows: RowsForm,
    on: String,
    time: String,
    typed: row::Typed,
    /// The session that is gone on with.
    session: Option<Going>,
    /// The form that begins or changes a session, while it is open.
    begin: Option<begin::Typed>,
    /// As the last session was begun: proposed for the next.
    usual: begin::Typed,
    /// A session to be shown, asked for by a link.
    #[serde(skip)]
    wanted: Option<SessionId>,
    #[serde(skip)]
    day: day::Days,
    #[serde(skip)]
    race: race::Race,
    #[serde(skip)]
    sessions: sessions::Sessions,
}

/// A session that is gone on with.
#[derive(Debug, Clone, Default, Serialize, Deserialize)]
#[serde(default)]
struct Going {
    /// In the book; none before its first animal.
    id: Option<SessionId>,
    /// As it was begun, or as it stands in the book.
    typed: begin::Typed,
    /// Animals that are not there today.
    away: Vec<AnimalId>,
}

/// What is to be done beside writing.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Wish {
    Nothing,
    /// Change the particulars of the session.
    Change,
    /// Close the session.
    Close,
    /// This one comes next.
    Take(AnimalId),
    /// Another of those that are missing, back or on.
    Step(bool),
    /// It is not there today.
    Away(AnimalId),
    /// It is there after all.
    Back(AnimalId),
}

/// What the rows of a session hang on, this frame.
struct Now {
    id: Option<SessionId>,
    on: Day,
    time: Option<Minute>,
    group: String,
    weighs: bool,
    kinds: Vec<ScoreKind>,
}

impl Going {
    fn now(&self, ctx: &Ctx<'_>) -> Now {
        let held = self.id.and_then(|id| ctx.flock.daybook().session(id));
        let read = self.typed.read(ctx);
        let (on, draft) = read.unwrap_or_else(|_| (ctx.today, Default::default()));
        let what = self.typed.what();
        Now {
            id: held.map(|s| s.id),
            on: held.map_or(on, |s| s.on),
            time: held.map_or(draft.time, |s| s.time),
            group: held.map_or(draft.group, |s| s.group.clone()).unwrap_or_default(),
            weighs: what.weighs(),
            kinds: if what.scores() { self.typed.kinds() } else { Vec::new() },
        }
    }
}

impl State {
    /// Shows a session, as soon as the page is drawn.
    pub(super) fn show(&mut self, id: SessionId) {
        self.wanted = Some(id);
    }

    /// The row is written. Gives what to say of it.
    pub(super) fn after(&mut self, ctx: &Ctx<'_>) -> Option<String> {
        let now = self.session.as_ref().map(|g| g.now(ctx));
        let on = now.as_ref().map(|n| n.on);
        let told = self.typed.told(ctx, on.unwrap_or_else(|| row::day_of(ctx, &self.on)));
        let came = self.typed.animal.chosen();
        self.rows.written(&mut self.typed.animal, [], "Animal");
        self.typed.empty();
        if let Some(going) = &mut self.session {
            if now.is_none_or(|n| n.id.is_none()) {
                // The first row made the session: it is the newest of the book.
                going.id = ctx.flock.daybook().sessions.iter().map(|s| s.id).max();
            }
            going.away.retain(|id| Some(*id) != came);
            let now = going.now(ctx);
            self.race.after(ctx, &now, &going.away, came);
            let next = next(&self.race.order, &self.race.done, self.race.last());
            self.rows.propose(ctx, &mut self.typed.animal, next);
        }
        told
    }

    /// The particulars of the session are written.
    pub(super) fn after_session(&mut self) {
        if let (Some(typed), Some(going)) = (self.begin.take(), &mut self.session) {
            self.usual = typed.clone();
            going.typed = typed;
        }
        self.rows.other_written("Animal");
    }

    /// Goes on with a session of the book.
    fn go_on(&mut self, ctx: &Ctx<'_>, id: SessionId) {
        let Some(held) = ctx.flock.daybook().session(id) else { return };
        let mut going = Going { id: Some(id), typed: begin::Typed::of(held), away: Vec::new() };
        self.race = race::Race::default();
        self.race.make(ctx, &going.now(ctx), &going.away);
        going.typed.seen(&self.race.rows, &self.usual);
        self.session = Some(going);
        self.begin = None;
        self.propose(ctx);
        self.rows.aim("Animal");
    }

    /// The next of the group stands in the field.
    fn propose(&mut self, ctx: &Ctx<'_>) {
        let next = next(&self.race.order, &self.race.done, self.race.last());
        self.rows.propose(ctx, &mut self.typed.animal, next);
    }
}

/// Draws it.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    if let Some(id) = state.wanted.take() {
        state.go_on(ctx, id);
        *into = false;
    }
    let half_typed = state.typed.is_begun(state.rows.proposal(&state.typed.animal).is_some());
    let sitting_over = state.rows.carry_day(ctx, half_typed, &mut state.on, &mut state.time);
    if sitting_over && !half_typed && state.session.take().is_some() {
        // A session of an earlier evening stands in the list: it is not gone on with unasked.
        state.typed.animal.clear();
    }
    if std::mem::take(into) {
        match state.begin {
            Some(_) => state.begin.iter_mut().for_each(|b| b.aim("Group")),
            None => state.rows.aim_if_none("Animal"),
        }
    }
    if state.begin.is_some() {
        beginning(ui, ctx, state, out);
    } else if state.session.is_some() {
        going_on(ui, ctx, state, out);
    } else {
        singly(ui, ctx, state, out);
    }
}

/// The form that begins a session, the sessions of before beside it.
fn beginning(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let Some(mut typed) = state.begin.take() else { return };
    let changed = state.session.as_ref().and_then(|g| g.now(ctx).id);
    let (mut done, mut opened) = (begin::Done::No, None);
    let mut more = Vec::new();
    columns(
        ui,
        "begin session",
        0.5,
        &mut (&mut typed, &mut state.sessions),
        |ui, (typed, _)| done = begin::view(ui, ctx, typed, changed, &mut more),
        |ui, (_, sessions)| {
            if changed.is_none() {
                look::subheading(ui, "Or go on with one");
                opened = sessions::view(ui, ctx, sessions, 12);
            }
        },
    );
    out.append(&mut more);
    match done {
        begin::Done::No => state.begin = Some(typed),
        begin::Done::Left => state.rows.aim("Animal"),
        begin::Done::Begun => {
            state.usual = typed.clone();
            let away = state.session.take().map(|g| g.away).unwrap_or_default();
            let going = Going { id: None, typed, away };
            state.race = race::Race::default();
            state.race.make(ctx, &going.now(ctx), &going.away);
            state.session = Some(going);
            state.propose(ctx);
            state.rows.aim("Animal");
        }
    }
    if let Some(id) = opened {
        state.go_on(ctx, id);
    }
}

/// One animal by itself.
fn singly(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let whole = ui.available_rect_before_wrap();
    let wide = whole.width() > 800.0;
    let mut opened = None;
    let mut begin = false;
    let mut beside = |ui: &mut egui::Ui, sessions: &mut sessions::Sessions| {
        ui.horizontal_wrapped(|ui| {
            look::subheading(ui, "Sessions");
            begin = ui.button(phrase!("Begin a session")).on_hover_text(phrase!("Ctrl+E")).clicked();
        });
        look::faint(ui, "Many in one evening: the next one is proposed, who is missing is listed.");
        opened = sessions::view(ui, ctx, sessions, 4);
    };
    if wide {
        let (mut left, mut right) = (whole, whole);
        left.max.x = whole.left() + whole.width() * 0.5;
        right.min.x = left.max.x + space::L;
        let a =
            ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| row::single(ui, ctx, state, out));
        let b =
            ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| beside(ui, &mut state.sessions));
        ui.advance_cursor_after_rect(a.response.rect.union(b.response.rect));
    } else {
        row::single(ui, ctx, state, out);
        beside(ui, &mut state.sessions);
    }
    ui.add_space(space::M);
    let day = row::day_of(ctx, &state.on);
    day::view(ui, ctx, &mut state.day, day, out);
    let free = ui.memory(|m| m.top_modal_layer().is_none());
    begin |= free && ui.input_mut(|i| i.consume_key(egui::Modifiers::COMMAND, egui::Key::E));
    if begin {
        let mut typed = state.usual.anew();
        typed.aim("Group");
        state.begin = Some(typed);
    }
    if let Some(id) = opened {
        state.go_on(ctx, id);
    }
}

/// A session that runs: the form and who is missing, beside it the race.
fn going_on(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let Some(mut going) = state.session.take() else { return };
    let now = going.now(ctx);
    if state.race.make(ctx, &now, &going.away) {
        // Something else was written or undone: the proposal follows, what is typed stays.
        let untouched = state.rows.proposal(&state.typed.animal).is_some();
        if untouched || state.typed.animal.text.trim().is_empty() {
            state.propose(ctx);
        }
    }
    let mut wish = Wish::Nothing;
    let mut more = Vec::new();
    columns(
        ui,
        "weigh session",
        0.43,
        state,
        |ui, state| {
            wish = row::in_session(ui, ctx, state, &going, &now, out);
            ui.add_space(space::M);
            let missed = missing::view(ui, ctx, &mut state.race, &going.away, &now, out);
            if missed != Wish::Nothing {
                wish = missed;
            }
        },
        |ui, state| race::view(ui, ctx, &mut state.race, &now, &mut more),
    );
    out.append(&mut more);
    match wish {
        Wish::Nothing => {}
        Wish::Change => {
            state.begin = Some(going.typed.clone());
            state.begin.iter_mut().for_each(|b| b.aim("Group"));
        }
        Wish::Close => {
            if state.rows.proposal(&state.typed.animal).is_some() {
                state.typed.animal.clear();
            }
            state.rows.aim("Animal");
            return;
        }
        Wish::Take(id) => {
            state.rows.propose(ctx, &mut state.typed.animal, Some(id));
            state.rows.aim("Animal");
        }
        Wish::Step(back) => {
            let at = state.rows.proposal(&state.typed.animal);
            let other = state.race.step(at, back);
            state.rows.propose(ctx, &mut state.typed.animal, other);
        }
        Wish::Away(id) => {
            going.away.push(id);
            let shown = state.rows.proposal(&state.typed.animal) == Some(id);
            state.race.make(ctx, &now, &going.away);
            if shown {
                let next = next(&state.race.order, &state.race.done, Some(id));
                state.rows.propose(ctx, &mut state.typed.animal, next);
            }
        }
        Wish::Back(id) => {
            going.away.retain(|a| *a != id);
            state.race.make(ctx, &now, &going.away);
        }
    }
    state.session = Some(going);
}

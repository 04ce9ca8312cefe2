//! The care plan: every step, what it stands on, and the keeper's changes.

mod facts;
mod form;
mod joining;
mod table;
mod typed;

use super::list::{into_table, search_field, take_out};
use super::sections::{sections, shown_anew};
use super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::record_table::{RecordTable, TableEvent, TableState};
use hirsel_core::phrase;
use hirsel_core::plan::{Whom, shipped_version};
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;
use table::Steps;
use typed::Typed;

/// The parts of the page.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Part {
    #[default]
    Lambs,
    Ewes,
    Rams,
}

const PARTS: [(Part, &str); 3] = [(Part::Lambs, "Lambs"), (Part::Ewes, "Ewes"), (Part::Rams, "Rams")];

/// Its parts, as they are named on top of it.
pub fn parts() -> Vec<&'static str> {
    PARTS.iter().map(|(_, word)| *word).collect()
}

impl Part {
    fn whom(self) -> Whom {
        match self {
            Self::Lambs => Whom::Lamb,
            Self::Ewes => Whom::Ewe,
            Self::Rams => Whom::Ram,
        }
    }

    fn of(whom: Whom) -> Self {
        match whom {
            Whom::Lamb => Self::Lambs,
            Whom::Ewe => Self::Ewes,
            Whom::Ram => Self::Rams,
        }
    }
}

/// What was handed to the book and is not yet written.
#[derive(Debug, Clone, PartialEq)]
enum Sent {
    /// A change of the step in hand.
    Step,
    /// A new step, and for whom.
    New(String, Whom),
    /// The joining day.
    Joining,
}

/// What is chosen and half typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    part: Part,
    search: String,
    /// The key of the step in hand, for each part.
    chosen: [String; 3],
    /// The form of the step in hand.
    form: Typed,
    /// Forms of other steps that are half typed.
    drafts: BTreeMap<String, Typed>,
    /// The form of a new step.
    new: Typed,
    adding: bool,
    joining: joining::Typed,
    #[serde(skip)]
    steps: table::Steps,
    #[serde(skip)]
    sent: Option<Sent>,
    #[serde(skip)]
    into: bool,
    #[serde(skip)]
    to_table: bool,
    #[serde(skip)]
    drawn: u64,
}

/// The table of the steps and its name.
const TABLE: &str = "Steps";

impl State {
    /// The form is done: it shows the step as it stands now, and the keyboard goes back to the table.
    pub(super) fn after(&mut self, _: &Ctx<'_>) {
        match self.sent.take() {
            Some(Sent::Step) => {
                self.form = Typed::default();
                self.to_table = true;
            }
            Some(Sent::New(key, whom)) => {
                self.part = Part::of(whom);
                self.chosen[self.part as usize] = key;
                self.new = Typed::default();
                self.adding = false;
                self.search.clear();
                self.to_table = true;
            }
            Some(Sent::Joining) => {
                self.joining.written();
                self.to_table = true;
            }
            None => {}
        }
    }

    /// Brings the form to the step in hand; what is half typed of another one is put by.
    fn follow(&mut self, ctx: &Ctx<'_>) {
        let key = self.chosen[self.part as usize].clone();
        if self.form.key != key {
            let before = std::mem::take(&mut self.form);
            if before.is_half_typed() {
                self.drafts.insert(before.key.clone(), before);
            }
            self.form = self.drafts.remove(&key).unwrap_or_default();
        }
        self.form.follow(ctx, &key);
    }
}

/// Draws the page.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) -> Vec<Intent> {
    let mut out = Vec::new();
    ui.add_space(space::S);
    let (version, _) = shipped_version();
    ui.horizontal_wrapped(|ui| {
        look::heading(ui, "Care plan");
        ui.add_space(space::S);
        look::faint(
            ui,
            phrase!("Shipped with this program: version {version}. The label, your vet and the law decide before any step here."),
        );
    });
    let (mut turned, mut on) = (false, false);
    ui.columns(2, |c| {
        if let [left, right] = c {
            turned = sections(left, "care plan", &PARTS, &mut state.part);
            if shown_anew(left, &mut state.drawn) || turned {
                state.into = !state.to_table;
            }
            let example = "short words, product, kind";
            on = search_field(right, TABLE, example, &mut state.into, &mut state.search);
        }
    });
    state.steps.refresh(ctx, state.part.whom(), &state.search);
    ui.horizontal(|ui| {
        buttons(ui, ctx, state, &mut out);
        ui.add_space(space::S);
        // Nothing of a lamb's is counted from the joining day.
        let joining = |ui: &mut egui::Ui| joining::view(ui, ctx, &mut state.joining, &mut out);
        if state.part != Part::Lambs && ui.vertical(joining).inner {
            state.sent = Some(Sent::Joining);
        }
    });
    ui.add_space(space::XS);
    if on || (crate::parts::escaped(ui) && !state.adding) {
        state.to_table = true;
    }
    list_and_form(ui, ctx, state, &mut out);
    out
}

fn buttons(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    if ui.button(phrase!("A step of your own")).clicked() {
        state.adding = true;
        if !state.new.is_half_typed() {
            state.new = Typed::new_step(ctx, state.part.whom());
        }
        state.new.focus = Some("In a few words".into());
    }
    let Steps { list, table, .. } = &mut state.steps;
    take_out(ui, "care plan", &table::HEADS, list, table, out);
    let n = list.rows.len();
    look::faint(ui, if n == 1 { phrase!("1 step") } else { phrase!("{n} steps") });
}

/// The table, and under it the step in hand; or the form of a new one.
fn list_and_form(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let room = ui.available_size();
    if state.adding {
        let height = (room.y - 36.0).clamp(180.0, 640.0);
        look::card(ui, |ui| {
            ui.set_min_width(ui.available_width());
            let whom = state.new.whom();
            let (sent, close) = form::new_step(ui, ctx, &mut state.new, height, out);
            if let Some(key) = sent {
                state.sent = Some(Sent::New(key, whom));
            }
            if close {
                state.adding = false;
                state.to_table = true;
            }
        });
        return;
    }
    let above = (room.y * 0.36).max(room.y - 520.0).max(98.0);
    let card = room.y - above - space::S;
    ui.allocate_ui(egui::vec2(room.x, above), |ui| {
        ui.set_min_height(above);
        list(ui, state);
    });
    ui.add_space(space::S);
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        let height = (card - 36.0).max(160.0);
        ui.set_min_height(height);
        state.follow(ctx);
        if form::of_step(ui, ctx, &mut state.form, height, out) {
            state.sent = Some(Sent::Step);
        }
    });
}

fn list(ui: &mut egui::Ui, state: &mut State) {
    if state.steps.list.rows.is_empty() {
        look::paragraph(ui, "No step fits. Search for a shorter word, or look in the other parts.");
        return;
    }
    let at = state.part as usize;
    state.steps.keep_cursor(&mut state.chosen[at]);
    if std::mem::take(&mut state.to_table) {
        into_table(ui, TABLE);
    }
    let Steps { list, table, .. } = &mut state.steps;
    for event in RecordTable::new(TABLE, &table::columns()).single().show(ui, table, list) {
        if let TableEvent::Opened(_) = event {
            state.form.focus = Some("Due".into());
        }
    }
    if let Some(key) = state.steps.in_hand() {
        state.chosen[at] = key;
    }
}

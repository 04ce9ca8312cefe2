//! What each group and pen is given each day, in the measures of the barn and by weight, and what it holds against
//! what the groups need.

mod form;
mod lines;
mod needs;
mod pens;
mod record;

use super::super::asking::{Asking, SMALL, Stands};
use super::super::rows_form::RowsForm;
use super::super::sections::columns;
use super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use crate::parts::caution;
use crate::parts::{Choice, Form, PickerState};
use hirsel_core::entry::RationDraft;
use hirsel_core::flock::Flock;
use hirsel_core::phrase;
use hirsel_core::reckon::eaters::{GroupDiet, Heads, PenRound, diets, heads_words, rounds, trade_rule};
use hirsel_core::reckon::ration::{FeedRules, Grave};
use hirsel_core::terms::Why;
use hirsel_core::terms::{Day, Eaters, RationId, counted};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// What is seen beside the form.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Beside {
    #[default]
    Pens,
    Needs,
}

const BESIDE: [(Beside, &str); 2] = [(Beside::Pens, "by pen"), (Beside::Needs, "against needs")];

/// What was sent to be written last.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Sent {
    #[default]
    Line,
    Proposal,
    Record,
    Target,
}

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    typed: form::Typed,
    record: record::Typed,
    needs: needs::Typed,
    lines: lines::Shown,
    beside: Beside,
    /// Feeds a day; none is two.
    meals: Option<u8>,
    rows: RowsForm,
    #[serde(skip)]
    pens: pens::Shown,
    #[serde(skip)]
    sent: Sent,
    #[serde(skip)]
    asking: Asking<(u64, Day, u8), Answer>,
    #[serde(skip)]
    answer: Option<Arc<Answer>>,
}

/// Who is there and what is carried to them, reckoned once for a version of the flock.
#[derive(Debug)]
struct Answer {
    heads: Heads,
    rounds: Vec<PenRound>,
    diets: Vec<GroupDiet>,
    /// The bounds of feeding as the keeper has them.
    rules: FeedRules,
    /// The trade's rule for those that have no ration, or why there is none to propose.
    proposal: Result<Vec<RationDraft>, String>,
    /// Tells it from the answer before.
    of: (u64, Day, u8),
}

impl Answer {
    fn of(flock: &Flock, of: (u64, Day, u8)) -> Self {
        let heads = Heads::on(flock, of.1);
        let rounds = rounds(flock.feedroom(), &heads);
        let diets = diets(flock, &heads, of.2);
        let proposal = trade_rule(flock, &heads);
        let rules = FeedRules::of(flock.holding());
        Self { heads, rounds, diets, rules, proposal, of }
    }
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        match std::mem::take(&mut self.sent) {
            Sent::Line => self.typed.written(ctx, &mut self.rows),
            Sent::Proposal => self.rows.other_written("Group"),
            Sent::Record => {
                self.record.done();
                self.rows.aim("Group");
            }
            Sent::Target => self.needs.written(),
        }
    }

    /// Opens a line.
    pub fn open(&mut self, id: RationId) {
        self.record.open(id);
    }
}

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    if std::mem::take(into) && !state.record.is_open() {
        state.rows.aim(state.typed.begins());
    }
    let meals = state.meals.unwrap_or(2);
    let of = (ctx.flock.version(), ctx.today, meals);
    let flock = Arc::clone(ctx.flock);
    let small = ctx.flock.len() <= SMALL;
    let (came, stands) = state.asking.ask(ui, &of, small, move || Answer::of(&flock, of));
    if let Some(came) = came {
        state.answer = Some(Arc::new(came));
    }
    let Some(answer) = state.answer.clone() else {
        if stands == Stands::Died {
            look::sentence(
                ui,
                Kind::Refuse,
                "Who is in which pen could not be reckoned: please report this.",
            );
        } else {
            look::faint(ui, "Counting who is in which pen…");
        }
        return;
    };
    head(ui, state, &answer, out);
    let mut more = Vec::new();
    columns(
        ui,
        "rations",
        0.37,
        state,
        |ui, state| {
            if state.record.is_open() {
                record::view(ui, ctx, state, out);
            } else {
                form::view(ui, ctx, state, &answer, out);
            }
            ui.add_space(space::M);
            lines::view(ui, ctx, state, out);
        },
        |ui, state| {
            let mut form = Form::new(ui, "rations beside").label_width(60.0);
            let mut beside = Some(state.beside);
            form.choice(ui, &Choice::new("Beside", &BESIDE), &mut beside);
            state.beside = beside.unwrap_or_default();
            form.finish(ui);
            match state.beside {
                Beside::Pens => pens::view(ui, ctx, state, &answer, &mut more),
                Beside::Needs => needs::view(ui, ctx, state, &answer, &mut more),
            }
        },
    );
    out.append(&mut more);
}

/// How many heads and pens, who is left out, feeds a day, and the sheet for the barn.
fn head(ui: &mut egui::Ui, state: &mut State, answer: &Answer, out: &mut Vec<Intent>) {
    let letter = |ui: &egui::Ui, key| {
        ui.memory(|m| m.focused().is_none() && m.top_modal_layer().is_none())
            && ui.input(|i| i.key_pressed(key) && !i.modifiers.any())
    };
    ui.horizontal(|ui| {
        look::strong(
            ui,
            phrase!("{} in {}", counted(answer.heads.all(), "head"), counted(answer.heads.pens.len(), "pen")),
        );
        ui.add_space(space::M);
        let mut form = Form::new(ui, "meals").label_width(86.0);
        let mut meals = Some(state.meals.unwrap_or(2));
        form.choice(ui, &Choice::new("Feeds a day", &[(1, "one"), (2, "two"), (3, "three")]), &mut meals);
        state.meals = meals;
        form.finish(ui);
        ui.add_space(space::M);
        if ui.button(phrase!("Feed sheet for the barn (P)")).clicked() || letter(ui, egui::Key::P) {
            out.push(Intent::PrintFeed(state.meals.unwrap_or(2).min(2)));
        }
    });
    let bare = bare(answer);
    if !bare.is_empty() {
        look::sentence(ui, Kind::Caution, &bare);
    }
    let grave: Vec<(Why, String)> = answer
        .diets
        .iter()
        .flat_map(|d| d.cautions.iter().filter(|c| c.grave() != Grave::Note).map(move |c| (d.eaters, c)))
        .map(|(eaters, c)| (c.why(), phrase!("{} ({}): {c}", c.grave().words(), eaters.words())))
        .collect();
    if let Some((why, first)) = grave.first().filter(|_| state.beside == Beside::Pens) {
        let more = match grave.len() - 1 {
            0 => String::new(),
            n => phrase!(" – {n} more against needs"),
        };
        caution::sentence(ui, Kind::Caution, &[*why], format!("{first}{more}"));
    }
    ui.add_space(space::S);
}

/// Who is left out: `No ration for rams and wethers: Ram paddock; no creep open for lambs old enough: Bank`.
fn bare(answer: &Answer) -> String {
    let mut all: Vec<(String, Vec<&str>)> = Vec::new();
    for pen in &answer.rounds {
        for g in pen.bare() {
            let words = match g.eaters {
                Eaters::CreepLambs => phrase!("no creep open for lambs old enough"),
                _ => g.missing(),
            };
            match all.iter_mut().find(|(w, _)| *w == words) {
                Some((_, pens)) => pens.push(pen.title()),
                None => all.push((words, vec![pen.title()])),
            }
        }
    }
    let named = |pens: &[&str]| match pens.len() {
        n if n > 5 => phrase!("{} and {} more", pens[..5].join(", "), n - 5),
        _ => pens.join(", "),
    };
    let said: Vec<String> = all.iter().map(|(words, pens)| format!("{words}: {}", named(pens))).collect();
    let said = said.join("; ");
    let mut letters = said.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

fn g_words(heads: u32, eaters: Eaters) -> String {
    format!("{heads} {}", heads_words(heads, eaters))
}

/// A picker's text that is chosen, as long as it stands so.
fn label(state: &PickerState<u64>) -> Option<String> {
    let text = state.text.trim();
    (!text.is_empty()).then(|| text.to_string())
}

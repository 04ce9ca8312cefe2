//! Ewes to leave the flock: which rules name each, what she would cost in blood, decided by one key.

mod rows;
mod rules;

use super::super::list::{List, into_table, search_field, take_out};
use super::super::papers::PaperKind;
use super::super::{Ctx, Intent};
use super::decide;
use crate::look::{self, space};
use crate::parts::record_table::{RecordTable, TableEvent, TableState};
use hirsel_core::phrase;
use hirsel_core::reckon::keeping::{Keeping, Settings};
use hirsel_core::terms::{AnimalId, Decided, counted};
use serde::{Deserialize, Serialize};

/// Room for what stands beside the list.
const BESIDE: f32 = 340.0;
const NAME: &str = "ewes to leave";

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    search: String,
    /// The rules are shown in the place of the reasons.
    ruling: bool,
    /// Rules as they are being changed.
    #[serde(skip)]
    changed: Option<Settings>,
    #[serde(skip)]
    made_for: Option<(u64, String)>,
    #[serde(skip)]
    list: List<AnimalId>,
    #[serde(skip)]
    table: TableState<AnimalId>,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        let now = Settings::parse(&ctx.flock.holding().keeping).ok();
        if self.changed.as_ref().is_some_and(|c| now.as_ref().is_some_and(|n| n.to_text() == c.to_text())) {
            self.changed = None;
        }
    }
}

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    if decide::waits(ui, ctx) {
        return;
    }
    let Some(k) = ctx.keeping else { return };
    let decided = k.culls.iter().filter(|c| c.decided.is_some()).count();
    let leave =
        k.culls.iter().filter(|c| c.decided.as_ref().is_some_and(|d| d.what == Decided::Cull)).count();
    look::faint(
        ui,
        phrase!(
            "{} named by your rules; {decided} decided, {leave} of them to leave. A rule names, you decide.",
            counted(k.culls.len(), "ewe")
        ),
    );
    let down = search_field(ui, NAME, "tag, name or a word of the reasons", into, &mut state.search);
    let wanted = (k.version(), state.search.clone());
    if state.made_for.as_ref() != Some(&wanted) {
        state.list.set(rows::make(k, &state.search));
        state.made_for = Some(wanted);
        if state.table.cursor().is_none()
            && let Some(first) = state.list.rows.first()
        {
            state.table.set_cursor(first.key);
        }
    }
    ui.horizontal_wrapped(|ui| {
        let words = if state.ruling { "Reasons instead" } else { "Rules" };
        if ui.button(crate::look::spoken(words)).clicked() {
            state.ruling = !state.ruling;
        }
        if ui.button(phrase!("The list on paper")).clicked() {
            out.push(Intent::Print(PaperKind::CullList, Vec::new()));
        }
        take_out(ui, NAME, &rows::HEADS, &state.list, &mut state.table, out);
    });
    ui.add_space(space::XS);
    let whole = ui.available_rect_before_wrap();
    let (mut left, mut right) = (whole, whole);
    left.set_right(whole.right() - BESIDE - space::L);
    right.set_left(left.right() + space::L);
    ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| list(ui, ctx, state, down, out));
    ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
        egui::ScrollArea::vertical().id_salt("beside").auto_shrink(false).show(ui, |ui| {
            if state.ruling {
                rules::view(ui, ctx, k, &mut state.changed, out);
            } else {
                beside(ui, k, state.table.cursor());
            }
        });
    });
}

fn whom(state: &State) -> Vec<AnimalId> {
    let shown = || state.list.rows.iter().map(|r| r.key);
    let chosen: Vec<AnimalId> = shown().filter(|key| state.table.is_selected(*key)).collect();
    if chosen.is_empty() {
        state.table.cursor().filter(|c| shown().any(|key| key == *c)).into_iter().collect()
    } else {
        chosen
    }
}

fn list(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, down: bool, out: &mut Vec<Intent>) {
    let mut decided = None;
    ui.horizontal_wrapped(|ui| decided = decide::buttons(ui, &decide::CULLS, whom(state).len()));
    let id = RecordTable::new(NAME, &[]).id(ui);
    decided = decide::pressed(ui, id, &decide::CULLS).or(decided);
    if let Some(what) = decided {
        let these = whom(state);
        let one = these.len() == 1 && state.table.selected().is_empty();
        decide::write(ctx, what, &these, out);
        state.table.clear_selection();
        if one {
            decide::next(&mut state.table, &state.list);
        }
    }
    if state.list.rows.is_empty() {
        let none = if state.search.trim().is_empty() {
            "No rule names a ewe. Scores of udder, teeth and feet (note line, Ctrl+N: 0412 udder 4), lambings (Ctrl+5) and scans (Ctrl+J) are what the rules go by."
        } else {
            "None fits the search."
        };
        look::paragraph(ui, none);
        return;
    }
    if down {
        into_table(ui, NAME);
    }
    let columns = rows::columns();
    for event in RecordTable::new(NAME, &columns).show(ui, &mut state.table, &state.list) {
        if let TableEvent::Opened(id) = event {
            out.push(Intent::Open(id));
        }
    }
}

/// Why, and what she would cost.
fn beside(ui: &mut egui::Ui, k: &Keeping, cursor: Option<AnimalId>) {
    let Some(c) = cursor.and_then(|id| k.culls.iter().find(|c| c.animal == id)) else {
        look::faint(ui, "Choose a ewe to see why she is named.");
        return;
    };
    look::subheading(ui, c.title());
    if let Some(d) = &c.decided {
        let words = phrase!("{} on {}", d.what.words(), d.on.words());
        look::chip(ui, decide::kind(d.what), &words);
    }
    ui.add_space(space::XS);
    if c.why.is_empty() {
        look::strong(ui, "No rule names her; it was decided.");
    }
    for why in &c.why {
        look::strong(ui, capital(&why.words));
        if let Some(rule) = k.settings.rule(why.kind) {
            look::faint(ui, phrase!("Rule: {} ({})", rule.kind.words(rule.limit), rule.ground));
        }
        ui.add_space(space::XS);
    }
    let age =
        c.dam.years.map(|y| phrase!("{} old, ", counted(usize::try_from(y).unwrap_or_default(), "year")));
    let line = phrase!("{}{}.", age.unwrap_or_default(), c.dam.words());
    ui.add(egui::Label::new(capital(&line)).wrap());
    if let (Some((g, n)), Some((place, of))) = (c.dam.milk, c.milk_place) {
        let words = phrase!(
            "Milk: her lambs gained {g:.0} g a day at her foot ({}), {} of {of} ewes.",
            counted(n as usize, "lamb"),
            hirsel_core::reckon::keeping::ordinal(place)
        );
        ui.add(egui::Label::new(words).wrap());
    }
    let scores = c.dam.scores();
    if !scores.is_empty() {
        ui.label(capital(&scores));
    }
    ui.add_space(space::S);
    look::strong(ui, "What she would cost in blood");
    ui.add(egui::Label::new(format!("{}.", capital(&c.cost()))).wrap());
}

/// With a capital letter first.
fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map_or_else(String::new, |c| c.to_uppercase().chain(chars).collect())
}

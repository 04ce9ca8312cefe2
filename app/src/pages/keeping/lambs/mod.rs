//! The sheet of a season's lambs of one sex: in the order the keeper weighs, with the proposed line, decided by one key.

mod beside;
mod never;
mod rows;
mod weights;

use super::super::asking::SMALL;
use super::super::list::{List, into_table, search_field, take_out};
use super::super::listing::Listing;
use super::super::papers::PaperKind;
use super::super::{Ctx, Intent};
use super::decide::{self, DecideKey};
use crate::look::{self, space};
use crate::parts::record_table::{RecordTable, Sort, TableEvent, TableState};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::phrase;
use hirsel_core::reckon::keeping::{COUNT, Keeping, Never, Placed, Settings, order};
use hirsel_core::terms::{AnimalId, Sex, counted};
use serde::{Deserialize, Serialize};
use std::sync::Arc;

/// Room for what stands beside the list.
const BESIDE: f32 = 340.0;

/// What the list hangs on.
#[derive(Debug, Clone, PartialEq)]
struct Made {
    version: u64,
    season: Option<i32>,
    weights: [u8; COUNT],
    keep: usize,
    search: String,
    by_place: bool,
}

/// The lambs in order, with what their places are of.
#[derive(Default)]
struct Ordered {
    keeping: Option<Arc<Keeping>>,
    placed: Vec<Placed>,
}

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    season: Option<i32>,
    keep: String,
    search: String,
    /// Weights as they are being moved, by the place of each criterion; empty: those of the book.
    moved: Vec<u8>,
    /// The weights are shown in the place of the reasons.
    weighing: bool,
    /// The weight that is wanted, as typed.
    target: String,
    /// Faults that bar as they are being changed; none: those of the book.
    #[serde(skip)]
    never: Option<Vec<Never>>,
    #[serde(skip)]
    made: Listing<Made, AnimalId, Ordered>,
    #[serde(skip)]
    table: Option<TableState<AnimalId>>,
    #[serde(skip)]
    told: Option<(u64, AnimalId, Vec<String>)>,
    #[serde(skip)]
    change: u64,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, ctx: &Ctx<'_>) {
        // Weights that were kept are those of the book now.
        if let Some(k) = ctx.keeping.filter(|_| !self.moved.is_empty()) {
            let now = Settings::parse(&ctx.flock.holding().keeping);
            let same =
                |sex| now.as_ref().is_ok_and(|s| s.weights_of(sex).as_slice() == self.moved.as_slice());
            if k.version() != ctx.flock.version() && (same(Sex::Ram) || same(Sex::Ewe)) {
                self.moved.clear();
            }
        }
        if let Ok(now) = Settings::parse(&ctx.flock.holding().keeping) {
            if self.never.as_ref().is_some_and(|n| *n == now.never) {
                self.never = None;
            }
            // What is kept is shown as the example from now on.
            if ctx.keeping.is_some_and(|k| k.settings.target != now.target) {
                self.target.clear();
            }
        }
    }

    /// The season asked for; none is the last.
    pub fn season(&self) -> Option<i32> {
        self.season
    }

    /// The weights that order the list now.
    fn weights(&self, k: &Keeping, sex: Sex) -> [u8; COUNT] {
        <[u8; COUNT]>::try_from(self.moved.as_slice()).unwrap_or_else(|_| k.settings.weights_of(sex))
    }

    /// The faults that bar, as they are being changed.
    fn never(&self, k: &Keeping) -> Vec<Never> {
        self.never.clone().unwrap_or_else(|| k.settings.never.clone())
    }

    /// How many are asked for: as typed, else as in the book or proposed. Else what is wrong with it.
    fn asked(&self, k: &Keeping, sex: Sex) -> Result<usize, String> {
        match self.keep.trim() {
            "" => Ok(k.need(sex).asked),
            text => text.parse::<usize>().ok().filter(|n| *n <= 10_000).ok_or_else(|| {
                phrase!(
                    "‘{text}’ is no number of lambs: write it in figures, or empty the field",
                    text = &text
                )
            }),
        }
    }
}

fn keys(sex: Sex) -> &'static [DecideKey] {
    if sex == Sex::Ewe { &decide::EWES } else { &decide::RAMS }
}

fn name(sex: Sex) -> &'static str {
    if sex == Sex::Ewe { "ewe lambs" } else { "ram lambs" }
}

/// Draws it.
pub fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    sex: Sex,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    if decide::waits(ui, ctx) {
        return;
    }
    let Some(k) = ctx.keeping else { return };
    if k.lambs(sex).is_empty() && k.seasons.len() < 2 {
        let none = if sex == Sex::Ewe {
            "No ewe lamb is in the flock. Once lambs are written up (Ctrl+5), they stand here to be compared at weaning."
        } else {
            "No entire ram lamb is in the flock. Once lambs are written up, they stand here to be compared at the end of \
             week 3."
        };
        look::paragraph(ui, none);
        return;
    }
    let mut down = top(ui, k, sex, state, into);
    let Ok(keep) = state.asked(k, sex) else { return };
    down |= search_field(ui, name(sex), "tag, name or a word of the row", &mut false, &mut state.search);
    make(ui, ctx, k, sex, keep, state);
    tools(ui, k, sex, state, out);
    ui.add_space(space::XS);
    let whole = ui.available_rect_before_wrap();
    let (mut left, mut right) = (whole, whole);
    left.set_right(whole.right() - BESIDE - space::L);
    right.set_left(left.right() + space::L);
    ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| list(ui, ctx, k, sex, state, down, out));
    ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
        egui::ScrollArea::vertical().id_salt("beside").auto_shrink(false).show(ui, |ui| {
            if state.weighing {
                weights::view(ui, ctx, k, sex, state, out);
            } else {
                beside::view(ui, ctx, sex, state);
            }
        });
    });
}

/// Season and number; tells whether the keyboard goes on into the list.
fn top(ui: &mut egui::Ui, k: &Keeping, sex: Sex, state: &mut State, into: &mut bool) -> bool {
    let mut form = Form::new(ui, name(sex)).label_width(60.0);
    form.focus_once(ui, into, "Keep");
    let wrong = state.asked(k, sex).err();
    ui.horizontal_top(|ui| {
        if k.seasons.len() > 1 {
            let words: Vec<(i32, String)> = k.seasons.iter().take(3).map(|y| (*y, y.to_string())).collect();
            let options: Vec<(i32, &str)> = words.iter().map(|(y, w)| (*y, w.as_str())).collect();
            let mut season = k.season;
            form.choice(ui, &Choice::names("Born", &options), &mut season);
            if season != k.season {
                state.season = season;
            }
        }
        let example = phrase!("{}, as proposed", k.need(sex).proposed);
        let asked = k.need(sex);
        let example =
            if asked.asked == asked.proposed { example } else { phrase!("{}, as kept", asked.asked) };
        let field = Field::new("Keep").width(130.0).example(&example).refusal(wrong.as_deref());
        form.field(ui, &field, &mut state.keep);
    });
    let down = form.finish(ui) == FormEvent::Submitted;
    let decided = k.lambs(sex).iter().filter(|c| c.decided.is_some()).count();
    let young = k.lambs(sex).iter().filter(|c| !c.ready).count();
    let year = k.season.map(|y| y.to_string()).unwrap_or_default();
    let n = k.lambs(sex).len();
    let one = if sex == Sex::Ewe { "ewe lamb" } else { "ram lamb" };
    let mut said = phrase!("{} of {year}, {decided} decided", counted(n, one));
    if young > 0 {
        let until = if sex == Sex::Ewe { "not weaned yet" } else { "not yet at the end of week 3" };
        said.push_str(&format!(", {young} {until}"));
    }
    look::faint(ui, format!("{said}. {}", k.need(sex).why));
    let value = match &k.values {
        Ok(of) => phrase!("Value: breeding value of {of}."),
        Err(why) => phrase!("Breeding values are not reckoned: {why}."),
    };
    look::faint(ui, value);
    down
}

/// Makes the order and the list anew where what they hang on has changed.
fn make(ui: &egui::Ui, ctx: &Ctx<'_>, k: &Arc<Keeping>, sex: Sex, keep: usize, state: &mut State) {
    let weights = state.weights(k, sex);
    let by_place = state
        .table
        .as_ref()
        .is_none_or(|t| t.sort().is_none_or(|s| s == Sort { column: rows::PLACE, descending: false }));
    let search = state.search.clone();
    let wanted = Made { version: k.version(), season: k.season, weights, keep, search, by_place };
    let of = Arc::clone(k);
    let (search, units) = (wanted.search.clone(), ctx.units());
    let work = move || {
        let placed = order(of.lambs(sex), &weights, keep);
        let rows = rows::make(units, &of, sex, &placed, &search, by_place);
        (rows, Ordered { keeping: Some(of), placed })
    };
    let was = state.made.of() == Some(&wanted);
    if was || !state.made.ask(ui, &wanted, ctx.flock.len() <= SMALL, work) {
        return;
    }
    state.change += 1;
    let table = state.table.get_or_insert_with(|| TableState::sorted_by(rows::PLACE, false));
    if table.cursor().is_none()
        && let Some(first) = state.made.list.rows.first()
    {
        table.set_cursor(first.key);
    }
}

/// Who would be decided: those chosen, else the one the cursor stands on.
fn whom(table: &TableState<AnimalId>, list: &List<AnimalId>) -> Vec<AnimalId> {
    let chosen: Vec<AnimalId> =
        list.rows.iter().map(|r| r.key).filter(|key| table.is_selected(*key)).collect();
    if !chosen.is_empty() {
        return chosen;
    }
    table.cursor().filter(|c| list.rows.iter().any(|r| r.key == *c)).into_iter().collect()
}

fn tools(ui: &mut egui::Ui, k: &Keeping, sex: Sex, state: &mut State, out: &mut Vec<Intent>) {
    ui.horizontal_wrapped(|ui| {
        let words = if state.weighing { "Reasons instead" } else { "What counts how much" };
        if ui.button(crate::look::spoken(words)).clicked() {
            state.weighing = !state.weighing;
        }
        if ui.button(phrase!("The sheet on paper")).clicked() {
            out.push(Intent::Print(PaperKind::KeepSheet, Vec::new()));
        }
        if let Some(table) = state.table.as_mut() {
            take_out(ui, name(sex), &rows::heads(k), &state.made.list, table, out);
        }
    });
}

/// The list, its keys and its buttons.
fn list(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    k: &Keeping,
    sex: Sex,
    state: &mut State,
    down: bool,
    out: &mut Vec<Intent>,
) {
    let Some(mut table) = state.table.take() else { return };
    let mut decided = None;
    ui.horizontal_wrapped(|ui| {
        decided = decide::buttons(ui, keys(sex), whom(&table, &state.made.list).len());
    });
    let id = RecordTable::new(name(sex), &[]).id(ui);
    decided = decide::pressed(ui, id, keys(sex)).or(decided);
    if let Some(what) = decided {
        let these = whom(&table, &state.made.list);
        let one = these.len() == 1 && table.selected().is_empty();
        decide::write(ctx, what, &these, out);
        table.clear_selection();
        if one {
            decide::next(&mut table, &state.made.list);
        }
    }
    if state.made.is_new() {
        look::faint(ui, "The lambs are being put in order …");
    } else if state.made.list.rows.is_empty() {
        let none = if state.search.trim().is_empty() {
            phrase!("No {} of this season is in the flock.", name(sex).trim_end_matches('s'))
        } else {
            phrase!("None fits the search.")
        };
        look::paragraph(ui, none);
    } else {
        if down {
            into_table(ui, name(sex));
        }
        let columns = rows::columns(k, ctx.units());
        for event in RecordTable::new(name(sex), &columns).show(ui, &mut table, &state.made.list) {
            if let TableEvent::Opened(id) = event {
                out.push(Intent::Open(id));
            }
        }
    }
    state.table = Some(table);
}

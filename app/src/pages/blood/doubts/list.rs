//! The doubts, the heaviest first. Enter opens the record to mend, or puts two that may be one side by side.

use super::super::super::list::{By, List, Row, fits, into_table, search_field, take_out};
use super::super::super::{Ctx, Intent};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::phrase;
use hirsel_core::reckon::doubts::{Doubt, DoubtKind, Weight};
use hirsel_core::terms::{AnimalId, counted};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;
use std::hash::{DefaultHasher, Hash as _, Hasher as _};

/// The list as typed, and what was put away.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    search: String,
    /// Doubts that are right as they are, by their keys.
    away: BTreeSet<String>,
    show_away: bool,
    #[serde(skip)]
    made_for: Option<(u64, String, usize, bool)>,
    #[serde(skip)]
    list: List<u64>,
    /// What stands in each row, by its key.
    #[serde(skip)]
    doubts: Vec<(u64, Doubt)>,
    #[serde(skip)]
    put_away: usize,
    #[serde(skip)]
    table: TableState<u64>,
    #[serde(skip)]
    into_list: bool,
}

const TABLE: &str = "Doubts";
const HEADS: [&str; 4] = ["how", "what", "animals", "what_to_do"];
/// Room below the table for one doubt and its buttons.
const BELOW: f32 = 150.0;

impl State {
    /// Something was mended: the whole list, with the keyboard in it.
    pub(super) fn anew(&mut self) {
        self.search.clear();
        self.into_list = true;
    }

    fn keep(&mut self, ctx: &Ctx<'_>) {
        let Some(all) = ctx.doubts else { return };
        let wanted = (all.version(), self.search.clone(), self.away.len(), self.show_away);
        if self.made_for.as_ref() == Some(&wanted) {
            return;
        }
        self.put_away = 0;
        self.doubts.clear();
        let mut rows = Vec::new();
        for d in all.list() {
            let key = d.key();
            let away = self.away.contains(&key);
            self.put_away += usize::from(away);
            if away != self.show_away {
                continue;
            }
            let row = row(ctx, hash(&key), d);
            if fits(&self.search, row.plain.iter().map(String::as_str)) {
                self.doubts.push((hash(&key), d.clone()));
                rows.push(row);
            }
        }
        self.list.set(rows);
        self.made_for = Some(wanted);
    }

    fn of(&self, key: u64) -> Option<&Doubt> {
        self.doubts.iter().find(|(k, _)| *k == key).map(|(_, d)| d)
    }
}

fn hash(key: &str) -> u64 {
    let mut hasher = DefaultHasher::new();
    key.hash(&mut hasher);
    hasher.finish()
}

fn row(ctx: &Ctx<'_>, key: u64, d: &Doubt) -> Row<u64> {
    let tags: Vec<&str> = d.animals.iter().take(6).map(|id| ctx.flock.tag(*id)).collect();
    let more = if d.animals.len() > tags.len() { ", …" } else { "" };
    let weight = d.kind.weight();
    let kind = match weight {
        Weight::CannotBe => Kind::Refuse,
        Weight::Unlikely => Kind::Caution,
        Weight::Open => Kind::Plain,
    };
    Row::new(key)
        .cell(Cell::chip(kind, weight.words()), By::Number(weight as i64), weight.words())
        .cell(Cell::text(d.kind.words()), By::Number(d.kind as i64), d.kind.words())
        .text(format!("{}{more}", tags.join(", ")))
        .text(d.words.clone())
}

/// Draws the list; gives two animals that are to be looked at side by side.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) -> Option<(AnimalId, AnimalId)> {
    let Some(all) = ctx.doubts else {
        look::paragraph(ui, "The pedigree is being looked through …");
        return None;
    };
    let on = search_field(ui, "doubts", "tag, kind, word", into, &mut state.search);
    state.keep(ctx);
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, counted(state.list.rows.len(), "doubt"));
        if all.left_off() > 0 {
            look::faint(
                ui,
                phrase!("and {} more that are only counted: mend some of these first", all.left_off()),
            );
        }
        take_out(ui, "doubts of the pedigree", &HEADS, &state.list, &mut state.table, out);
        if state.put_away > 0 || state.show_away {
            let words = phrase!("Show the {} put away", state.put_away);
            look::tick(ui, &mut state.show_away, words);
        }
    });
    ui.add_space(space::XS);
    if state.list.rows.is_empty() {
        let words = match (all.total(), state.show_away) {
            (0, _) => {
                "Nothing in the pedigree is doubtful: no circle, no parent that cannot be, no animal written twice."
            }
            (_, true) => "Nothing that was put away fits the search.",
            _ if state.search.trim().is_empty() => "Every doubt was put away as right.",
            _ => "No doubt has these words. Search for a shorter one.",
        };
        look::paragraph(ui, words);
        return None;
    }
    let columns = [
        Column::new("How", 112.0),
        Column::new("What", 216.0),
        Column::new("Animals", 130.0),
        Column::new("What to do", 300.0).rest(),
    ];
    let size = egui::vec2(ui.available_width(), (ui.available_height() - BELOW).max(180.0));
    let mut opened = None;
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if std::mem::take(&mut state.into_list) {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(key) = event {
                opened = Some(key);
            }
        }
    });
    if on {
        state.into_list = true;
        ui.ctx().request_repaint();
    }
    let both = beside(ui, state, out);
    if both.is_some() {
        return both;
    }
    let d = opened.and_then(|key| state.of(key))?;
    if let (DoubtKind::Duplicate, [keep, gone]) = (d.kind, d.animals.as_slice()) {
        return Some((*keep, *gone));
    }
    out.push(Intent::Follow(d.link));
    None
}

/// The doubt under the cursor whole, and what can be done with it.
fn beside(ui: &mut egui::Ui, state: &mut State, out: &mut Vec<Intent>) -> Option<(AnimalId, AnimalId)> {
    let mut both = None;
    egui::ScrollArea::vertical().id_salt("doubt").auto_shrink(false).show(ui, |ui| {
        ui.add_space(space::S);
        let Some(d) = state.table.cursor().and_then(|key| state.of(key)).cloned() else {
            look::faint(ui, "Enter on a doubt opens the record to mend, or puts two animals side by side that may be one.");
            return;
        };
        let end = if d.words.ends_with('?') { "" } else { "." };
        ui.add(egui::Label::new(format!("{}{end}", capital(&d.words))).wrap());
        ui.add_space(space::S);
        ui.horizontal_wrapped(|ui| {
            if ui.button(phrase!("Open the record")).clicked() {
                out.push(Intent::Follow(d.link));
            }
            if let (DoubtKind::Duplicate, [keep, gone]) = (d.kind, d.animals.as_slice())
                && ui.button(phrase!("Put them side by side")).clicked()
            {
                both = Some((*keep, *gone));
            }
            let away = state.away.contains(&d.key());
            let label = if away { "It is doubtful after all" } else { "It is right as it is" };
            if ui.button(crate::look::spoken(label)).clicked() {
                if !away {
                    state.away.insert(d.key());
                } else {
                    state.away.remove(&d.key());
                }
                state.into_list = true;
                out.push(Intent::Say(Kind::Plain, if away { "Listed again" } else { "Put away" }.into()));
            }
        });
    });
    both
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

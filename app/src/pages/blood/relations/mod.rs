//! Relations of one animal as lists: descendants, sibs, lines of dams and sires; and those of the whole flock: ram
//! and dam families, breed parts.

mod rows;

use super::super::list::{List, into_table, search_field, take_out};
use super::super::{Ctx, Intent, papers::PaperKind};
use crate::look::{self, space};
use crate::parts::record_table::{Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Form, FormEvent, Picker, PickerState};
use hirsel_core::phrase;
use hirsel_core::terms::AnimalId;
use serde::{Deserialize, Serialize};

/// Which list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub(super) enum Which {
    #[default]
    Descendants,
    FullSibs,
    HalfSibs,
    Dams,
    Sires,
    RamFamilies,
    DamFamilies,
    Breeds,
}

const WHICH: [(Which, &str); 8] = [
    (Which::Descendants, "descendants"),
    (Which::FullSibs, "full sibs"),
    (Which::HalfSibs, "half sibs"),
    (Which::Dams, "line of dams"),
    (Which::Sires, "line of sires"),
    (Which::RamFamilies, "ram families"),
    (Which::DamFamilies, "dam families"),
    (Which::Breeds, "breed parts"),
];

impl Which {
    /// It is of the whole flock, whoever is chosen.
    fn is_whole(self) -> bool {
        matches!(self, Self::RamFamilies | Self::DamFamilies | Self::Breeds)
    }

    fn words(self) -> &'static str {
        WHICH.iter().find(|(w, _)| *w == self).map_or("", |(_, words)| words)
    }
}

/// What the list hangs on.
type Made = (u64, Option<u64>, Option<AnimalId>, Which, String);

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    animal: PickerState<AnimalId>,
    which: Which,
    search: String,
    #[serde(skip)]
    focus: bool,
    #[serde(skip)]
    made_for: Option<Made>,
    #[serde(skip)]
    list: List<AnimalId>,
    #[serde(skip)]
    table: TableState<AnimalId>,
    #[serde(skip)]
    note: String,
}

impl State {
    /// An entry of this page is written.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {}

    /// The animal of the drawing is the one asked about here.
    pub(super) fn follow(&mut self, ctx: &Ctx<'_>, id: Option<AnimalId>) {
        if let Some(found) = id.and_then(|id| super::pedigree::as_found(ctx, id)) {
            self.animal.choose(found);
        }
    }
}

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    if std::mem::take(into) {
        state.focus = true;
    }
    let mut form = Form::new(ui, "relations").label_width(60.0);
    let first = if state.animal.chosen().is_some() || state.which.is_whole() { "List" } else { "Animal" };
    form.focus_once(ui, &mut state.focus, first);
    let mut which = Some(state.which);
    form.choice(ui, &Choice::new("List", &WHICH), &mut which);
    state.which = which.unwrap_or_default();
    if !state.which.is_whole() {
        let nobody = |t: &str| ctx.nobody(t);
        let picker = Picker::new("Animal", ctx.flock.version()).nobody(&nobody).width(240.0);
        form.picker(ui, &picker, &mut state.animal, |t| ctx.find(t, |_| true));
    }
    let mut down = form.finish(ui) == FormEvent::Submitted;
    let of = state.animal.chosen().filter(|id| ctx.flock.animal(*id).is_some());
    if of.is_none() && !state.which.is_whole() {
        look::paragraph(
            ui,
            "Choose an animal: its relations are listed here, each with what a lamb of the two would be inbred.",
        );
        return;
    }
    let wanted: Made =
        (ctx.flock.version(), ctx.kindred.map(|k| k.version()), of, state.which, state.search.clone());
    if state.made_for.as_ref() != Some(&wanted) {
        let made = rows::make(ctx, of, state.which, &state.search);
        state.list.set(made.rows);
        state.note = made.note;
        state.made_for = Some(wanted);
    }
    let name = state.which.words();
    down |= search_field(ui, name, "tag, name or a word of the row", &mut false, &mut state.search);
    let heads = rows::heads(state.which);
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, &state.note);
        let chosen: Vec<AnimalId> = state.table.selected().iter().copied().collect();
        let some = !chosen.is_empty();
        if ui.add_enabled(some, egui::Button::new(phrase!("Certificates of the chosen"))).clicked() {
            out.push(Intent::Print(PaperKind::Pedigree, chosen));
        }
        let file = match of.filter(|_| !state.which.is_whole()) {
            Some(id) => phrase!("{name} of {}", &ctx.flock.tag(id)),
            None => name.to_owned(),
        };
        let plain: Vec<&str> = heads.iter().map(|(h, _)| *h).collect();
        take_out(ui, &file, &plain, &state.list, &mut state.table, out);
    });
    ui.add_space(space::XS);
    if state.list.rows.is_empty() {
        let words =
            if state.search.trim().is_empty() { rows::empty(state.which) } else { "None fits the search." };
        look::paragraph(ui, words);
        return;
    }
    let columns: Vec<Column> = heads.iter().map(|(h, shape)| shape.column(h)).collect();
    if down {
        into_table(ui, name);
    }
    for event in RecordTable::new(name, &columns).show(ui, &mut state.table, &state.list) {
        if let TableEvent::Opened(id) = event {
            out.push(Intent::PedigreeOf(id));
        }
    }
}

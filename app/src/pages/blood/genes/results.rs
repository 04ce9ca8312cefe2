//! Tests typed animal after animal, and the list of all.

use super::super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::super::rows_form::{self, RowsForm};
use super::super::super::{Ctx, Intent, Then, fields};
use super::kept;
use super::typed::{Typed, Wrong, columns};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Field, Form, FormEvent, Picker, PickerState};
use hirsel_core::entry::{self, GeneTestDraft};
use hirsel_core::flock::{AnimalFile, GeneTest};
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Day, GeneTestId, counted};
use serde::{Deserialize, Serialize};

/// The part as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    typed: Typed,
    animal: PickerState<AnimalId>,
    search: String,
    kept: kept::Opened,
    #[serde(skip)]
    rows: RowsForm,
    #[serde(skip)]
    made_for: Option<(u64, Day, String)>,
    #[serde(skip)]
    list: List<(AnimalId, GeneTestId)>,
    #[serde(skip)]
    table: TableState<(AnimalId, GeneTestId)>,
    #[serde(skip)]
    into_table: bool,
}

impl State {
    /// The entry is written: what repeats stays, the keyboard goes to the next animal.
    pub(super) fn after(&mut self, _ctx: &Ctx<'_>) {
        if self.kept.is_open() {
            self.kept.done();
            return;
        }
        self.typed.next();
        self.rows.written(&mut self.animal, [], "Animal");
    }
}

const TABLE: &str = "Tests";

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    if state.kept.is_open() {
        *into = false;
        if kept::view(ui, ctx, &mut state.kept, out) {
            state.into_table = true;
        }
        return;
    }
    if std::mem::take(into) {
        let begun = !state.typed.lab.is_empty() || !state.typed.gene.is_empty();
        state.rows.aim(if begun { "Animal" } else { "Day" });
    }
    make(ctx, state);
    let mut more = Vec::new();
    super::halves(
        ui,
        0.46,
        state,
        |ui, state| form(ui, ctx, state, out),
        |ui, state| list(ui, state, &mut more),
    );
    out.append(&mut more);
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut State, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "gene test").label_width(110.0);
    t.rows.drawn(ui, &form, &["Animal"]);
    let wrong = |name| t.rows.wrong(name);
    let animal = wrong("tag");
    let beside = Wrong { on: wrong("on"), result: wrong("result"), parent: wrong("parent") };
    look::faint(ui, "These stay from animal to animal:");
    t.typed.stays(ui, ctx, &mut form, &beside);
    ui.add_space(space::S);
    look::faint(ui, "One animal, Enter by Enter:");
    form.field(ui, &Field::new("Note").width(220.0), &mut t.typed.note);
    let nobody = |t: &str| ctx.nobody(t);
    let picker =
        Picker::new("Animal", ctx.flock.version()).nobody(&nobody).width(200.0).refusal(animal.as_deref());
    form.picker(ui, &picker, &mut t.animal, |x| ctx.find(x, |_| true));
    t.typed.shows(ui, ctx, &mut form, &beside);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the test").clicked();
        if t.typed.kind == Some(2) {
            look::faint(ui, "A parentage test settles the parent in the pedigree as well.");
        }
    });
    if go {
        let row = checked(ctx, t);
        t.rows.send(row, out);
    }
}

fn checked(ctx: &Ctx<'_>, t: &mut State) -> Result<Intent, rows_form::Wrong> {
    let at = |label: &'static str| move |e: String| (label, e);
    let animal = fields::picked(ctx, &t.animal, "the animal").map_err(at("Animal"))?;
    let draft = GeneTestDraft {
        animal: animal.ok_or_else(|| ("Animal", phrase!("an animal is needed: type part of its tag")))?,
        on: fields::day_or_today(ctx, &t.typed.on).map_err(at("Day"))?,
        found: t.typed.found(ctx)?,
        lab: fields::some(&t.typed.lab),
        number: fields::some(&t.typed.number),
        note: fields::some(&t.typed.note),
    };
    let result = t.typed.result_label();
    let labels =
        [("on", "Day"), ("parent", "Parent"), ("sire", "Parent"), ("dam", "Parent"), ("result", result)];
    let check = entry::gene_tests(vec![draft], ctx.flock, ctx.today);
    t.rows.checked(check, Then::BloodDone, &labels, "Animal")
}

fn list(ui: &mut egui::Ui, state: &mut State, out: &mut Vec<Intent>) {
    if state.list.rows.is_empty() && state.search.trim().is_empty() {
        look::paragraph(
            ui,
            "No test yet. Write down what the laboratory found, animal by animal: carriers among their kin, and what a mating risks, are reckoned from it.",
        );
        return;
    }
    let mut no = false;
    let mut on = search_field(ui, TABLE, "tag, gene, result, laboratory", &mut no, &mut state.search);
    on |= std::mem::take(&mut state.into_table);
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, counted(state.list.rows.len(), "test"));
        let heads = ["on", "animal", "test_for", "result", "laboratory", "number", "note"];
        take_out(ui, "tests", &heads, &state.list, &mut state.table, out);
    });
    if state.list.rows.is_empty() {
        look::paragraph(ui, "No test fits the search.");
        return;
    }
    let columns = [
        Column::new("Day", 96.0),
        Column::new("Animal", 66.0),
        Column::new("Test for", 84.0).rest(),
        Column::new("Result", 100.0).rest(),
        Column::new("Laboratory", 112.0).rest(),
    ];
    let size = egui::vec2(ui.available_width(), height(state.list.rows.len(), 3, 15));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if on {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened((animal, test)) = event {
                state.kept.open(animal, test);
            }
        }
    });
    look::faint(ui, "Enter opens a test, to amend it or strike it out.");
}

fn make(ctx: &Ctx<'_>, state: &mut State) {
    let wanted = (ctx.flock.version(), ctx.today, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let mut all: Vec<(&AnimalFile, &GeneTest)> =
        ctx.flock.files().flat_map(|f| f.tests.iter().map(move |t| (f, t))).collect();
    all.sort_by_key(|(_, t)| std::cmp::Reverse((t.on, t.id)));
    state.list.set(all.into_iter().filter_map(|(f, t)| row(ctx, f, t, &state.search)).collect());
    state.made_for = Some(wanted);
}

fn row(ctx: &Ctx<'_>, f: &AnimalFile, t: &GeneTest, search: &str) -> Option<Row<(AnimalId, GeneTestId)>> {
    let opt = |o: &Option<String>| o.clone().unwrap_or_default();
    let (what, result) = columns(ctx, &t.found);
    let (tag, lab, number) = (f.animal.title(), opt(&t.lab), opt(&t.number));
    let gone = if t.struck.is_some() { "struck out" } else { "" };
    if !fits(search, [tag.as_str(), &what, &result, &lab, &number, gone, &t.on.words()]) {
        return None;
    }
    let cell = |text: &str| {
        if t.struck.is_some() { Cell::text(text.to_string()).struck() } else { Cell::text(text.to_string()) }
    };
    let text = |row: Row<_>, t: &str| row.cell(cell(t), By::Text(t.into()), t);
    let by = By::Number(t.on.since(ctx.today));
    let mut row = Row::new((f.animal.id, t.id)).cell(cell(&t.on.words()), by, t.on.to_string());
    for words in [f.animal.tag(), &what, &result, &lab] {
        row = text(row, words);
    }
    let said = [t.on.words(), tag, what, result, lab, gone.to_string()];
    let said: Vec<String> = said.into_iter().filter(|s| !s.is_empty()).collect();
    Some(row.hidden(number).hidden(opt(&t.note)).said(said.join(", ")))
}

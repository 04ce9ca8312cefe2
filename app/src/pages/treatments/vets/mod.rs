//! Vets and their prescriptions. One thing at a time: the two lists, a form, or an opened prescription.

mod form;

use super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::{Ctx, Intent};
use super::kept::{self, Kept};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::{DocumentOf, Prescription, RecordRef};
use hirsel_core::phrase;
use hirsel_core::terms::{Day, PrescriptionId, VetId};
use serde::{Deserialize, Serialize};

/// What is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Mode {
    #[default]
    List,
    Vet,
    Prescription,
}

/// The part as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    mode: Mode,
    search: String,
    vet: form::VetTyped,
    prescription: form::PrescriptionTyped,
    kept: kept::Typed,
    #[serde(skip)]
    made_for: Option<(u64, Day, String)>,
    #[serde(skip)]
    vets: List<VetId>,
    #[serde(skip)]
    vet_table: TableState<VetId>,
    #[serde(skip)]
    list: List<PrescriptionId>,
    #[serde(skip)]
    table: TableState<PrescriptionId>,
    #[serde(skip)]
    into: bool,
}

impl State {
    /// Opens a record, if it is one of this part.
    pub(super) fn show(&mut self, record: RecordRef, ctx: &Ctx<'_>) {
        let c = ctx.flock.cupboard();
        match record {
            RecordRef::Prescription(id) => {
                self.mode = Mode::List;
                self.kept.open(Kept::Prescription(id));
            }
            RecordRef::Vet(id) => {
                if let Some(vet) = c.vet(id) {
                    self.kept.close();
                    self.vet = form::VetTyped::of(vet);
                    self.mode = Mode::Vet;
                }
            }
            RecordRef::Document(id) => {
                if let Some(DocumentOf::Record(RecordRef::Prescription(p))) =
                    ctx.flock.documents().get(id).map(|d| d.of)
                {
                    self.kept.open(Kept::Prescription(p));
                }
            }
            _ => {}
        }
    }

    /// What a paper is kept with: the open record.
    pub(super) fn paper_target(&self) -> Option<DocumentOf> {
        self.kept.target()
    }

    /// The entry is written.
    pub(super) fn after(&mut self, _ctx: &Ctx<'_>) {
        if self.kept.is_open() {
            self.kept.done();
            return;
        }
        match self.mode {
            Mode::Vet => self.vet = form::VetTyped::default(),
            Mode::Prescription => self.prescription = form::PrescriptionTyped::default(),
            Mode::List => return,
        }
        self.mode = Mode::List;
        self.into = true;
    }
}

const VETS: &str = "Vets";
const TABLE: &str = "Prescriptions";

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    state.into |= std::mem::take(into);
    if state.kept.is_open() {
        if kept::view(ui, ctx, &mut state.kept, out) {
            state.into = true;
        }
        return;
    }
    let closed = match state.mode {
        Mode::List => {
            list(ui, ctx, state, out);
            return;
        }
        Mode::Vet => form::vet(ui, ctx, &mut state.vet, &mut state.into, out),
        Mode::Prescription => form::prescription(ui, ctx, &mut state.prescription, &mut state.into, out),
    };
    if closed {
        state.mode = Mode::List;
        state.into = true;
    }
}

fn list(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let c = ctx.flock.cupboard();
    let nothing = c.vets.is_empty();
    let mut to = None;
    let mut on = false;
    if !nothing {
        on = search_field(ui, TABLE, "vet, practice, product, number", &mut state.into, &mut state.search);
    }
    make(ctx, state);
    ui.horizontal_wrapped(|ui| {
        let vet = if nothing { look::primary(ui, "New vet") } else { ui.button(phrase!("New vet")) };
        if nothing && std::mem::take(&mut state.into) {
            vet.request_focus();
        }
        if vet.clicked() {
            state.vet = form::VetTyped::default();
            to = Some(Mode::Vet);
        }
        if !nothing && look::primary(ui, "New prescription").clicked() {
            to = Some(Mode::Prescription);
        }
    });
    ui.add_space(space::S);
    if nothing {
        look::paragraph(
            ui,
            "No vet yet. Write in the vet of the flock, then each prescription with its number, last day and the periods the vet directs: a treatment can be tied to it.",
        );
    } else {
        egui::ScrollArea::vertical().id_salt("vets").auto_shrink(false).show(ui, |ui| {
            if let Some(id) = prescriptions(ui, ctx, state, on, out) {
                state.kept.open(Kept::Prescription(id));
            }
            ui.add_space(space::M);
            if let Some(vet) = vets(ui, state, out).and_then(|id| c.vet(id)) {
                state.vet = form::VetTyped::of(vet);
                to = Some(Mode::Vet);
            }
        });
    }
    if let Some(mode) = to {
        state.mode = mode;
        state.into = true;
    }
}

fn prescriptions(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    on: bool,
    out: &mut Vec<Intent>,
) -> Option<PrescriptionId> {
    ui.horizontal_wrapped(|ui| {
        look::subheading(ui, TABLE);
        if !state.list.rows.is_empty() {
            let heads = [
                "on",
                "vet",
                "product",
                "whom",
                "valid_to",
                "off_label",
                "papers",
                "number",
                "dose",
                "reason",
                "meat",
                "milk",
                "export",
            ];
            take_out(ui, "prescriptions", &heads, &state.list, &mut state.table, out);
        }
    });
    if state.list.rows.is_empty() {
        let none = ctx.flock.cupboard().prescriptions.is_empty();
        look::faint(
            ui,
            if none { "No prescription is written down yet." } else { "No prescription fits the search." },
        );
        return None;
    }
    let columns = [
        Column::new("Written", 98.0),
        Column::new("Vet", 110.0).rest(),
        Column::new("Product", 130.0).rest(),
        Column::new("For whom", 110.0).rest(),
        Column::new("Valid until", 102.0),
        Column::new("Use", 94.0),
        Column::new("Papers", 54.0).right(),
    ];
    let mut opened = None;
    let size = egui::vec2(ui.available_width(), height(state.list.rows.len(), 2, 9));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if on {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(id) = event {
                opened = Some(id);
            }
        }
    });
    opened
}

fn vets(ui: &mut egui::Ui, state: &mut State, out: &mut Vec<Intent>) -> Option<VetId> {
    ui.horizontal_wrapped(|ui| {
        look::subheading(ui, VETS);
        if !state.vets.rows.is_empty() {
            let heads = ["name", "practice", "contact", "number", "address"];
            take_out(ui, "vets", &heads, &state.vets, &mut state.vet_table, out);
        }
    });
    if state.vets.rows.is_empty() {
        look::faint(ui, "No vet fits the search.");
        return None;
    }
    let columns = [
        Column::new("Name", 170.0).rest(),
        Column::new("Practice", 170.0).rest(),
        Column::new("Telephone or mail", 160.0).rest(),
        Column::new("Number", 100.0),
    ];
    let mut opened = None;
    let size = egui::vec2(ui.available_width(), height(state.vets.rows.len(), 2, 6));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        for event in RecordTable::new(VETS, &columns).single().show(ui, &mut state.vet_table, &state.vets) {
            if let TableEvent::Opened(id) = event {
                opened = Some(id);
            }
        }
    });
    opened
}

fn make(ctx: &Ctx<'_>, state: &mut State) {
    let wanted = (ctx.flock.version(), ctx.today, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let c = ctx.flock.cupboard();
    let opt = |o: &Option<String>| o.clone().unwrap_or_default();
    let vets = c.vets.iter().filter_map(|v| {
        let (practice, contact, number) = (opt(&v.practice), opt(&v.contact), opt(&v.number));
        let found = fits(&state.search, [v.name.as_str(), &practice, &contact, &number]);
        found.then(|| {
            Row::new(v.id)
                .tag(v.name.clone())
                .text(practice)
                .text(contact)
                .text(number)
                .hidden(opt(&v.address))
        })
    });
    let vets = vets.collect();
    let rows = c.prescriptions.iter().rev().filter_map(|p| row(ctx, p, &state.search)).collect();
    state.vets.set(vets);
    state.list.set(rows);
    state.made_for = Some(wanted);
}

fn row(ctx: &Ctx<'_>, p: &Prescription, search: &str) -> Option<Row<PrescriptionId>> {
    let c = ctx.flock.cupboard();
    let opt = |o: &Option<String>| o.clone().unwrap_or_default();
    let vet = c.vet(p.vet).map(|v| v.name.clone()).unwrap_or_default();
    let use_word = match (&p.struck, p.off_label) {
        (Some(_), _) => "struck out",
        (None, true) => "off the label",
        (None, false) => "as the label",
    };
    let (number, whom) = (opt(&p.number), opt(&p.whom));
    if !fits(search, [vet.as_str(), &p.product, &number, &whom, use_word, &opt(&p.reason)]) {
        return None;
    }
    let cell = |text: &str| {
        if p.struck.is_some() { Cell::text(text.to_string()).struck() } else { Cell::text(text.to_string()) }
    };
    let text = |row: Row<_>, t: &str| row.cell(cell(t), By::Text(t.into()), t);
    let mut row =
        Row::new(p.id).cell(cell(&p.on.words()), By::Number(p.on.since(ctx.today)), p.on.to_string());
    row = text(text(text(row, &vet), &p.product), &whom);
    let over = p.valid_to.is_some_and(|d| d < ctx.today);
    let valid = p.valid_to.map(|d| if over { phrase!("{} past", d.short()) } else { d.words() });
    let valid = valid.unwrap_or_default();
    let by = By::number(p.valid_to.map(|d| d.since(ctx.today)));
    let last = if over { cell(&valid).faint() } else { cell(&valid) };
    row = row.cell(last, by, p.valid_to.map(|d| d.to_string()).unwrap_or_default());
    row = text(row, use_word);
    let papers = ctx.flock.documents().standing(RecordRef::Prescription(p.id)).count();
    let shown = if papers == 0 { phrase!("none") } else { papers.to_string() };
    row = row.cell(Cell::text(shown.clone()).faint(), By::Number(papers as i64), shown);
    for more in [number, opt(&p.dose), opt(&p.reason), p.meat.text(), p.milk.text(), p.export.text()] {
        row = row.hidden(more);
    }
    Some(row)
}

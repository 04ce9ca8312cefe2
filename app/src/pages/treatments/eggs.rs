//! Egg counts, typed row after row, and what those before and after a treatment say together.

use super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::rows_form::{RowsForm, Wrong};
use super::super::{Ctx, Intent, Then, fields};
use super::kept::{self, Kept, eggs};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Field, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, EggCountDraft};
use hirsel_core::flock::{EggCount, RecordRef};
use hirsel_core::phrase;
use hirsel_core::reckon::worms::{Trial, Verdict, trials};
use hirsel_core::terms::{AnimalId, Day, EggCountId, counted};
use serde::{Deserialize, Serialize};

/// The part as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    on: String,
    group: String,
    product: PickerState<u64>,
    treated: String,
    note: String,
    animal: PickerState<AnimalId>,
    epg: String,
    search: String,
    kept: kept::Typed,
    #[serde(skip)]
    rows: RowsForm,
    #[serde(skip)]
    made_for: Option<(u64, Day, String)>,
    #[serde(skip)]
    list: List<EggCountId>,
    #[serde(skip)]
    table: TableState<EggCountId>,
    #[serde(skip)]
    trials: Vec<Trial>,
    #[serde(skip)]
    all_trials: bool,
}

impl State {
    /// Opens a record, if it is one of this part.
    pub(super) fn show(&mut self, record: RecordRef, _ctx: &Ctx<'_>) {
        if let RecordRef::EggCount(id) = record {
            self.kept.open(Kept::Egg(id));
        }
    }

    /// The entry is written: day, group and product stay for the next animal.
    pub(super) fn after(&mut self, _ctx: &Ctx<'_>) {
        if self.kept.is_open() {
            self.kept.done();
            return;
        }
        self.rows.written(&mut self.animal, [&mut self.epg, &mut self.note], "Animal");
    }
}

const TABLE: &str = "Egg counts";

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    if state.kept.is_open() {
        if kept::view(ui, ctx, &mut state.kept, out) {
            state.rows.aim("Animal");
        }
        return;
    }
    if std::mem::take(into) {
        let begun = !state.group.is_empty() || !state.product.text.is_empty();
        state.rows.aim(if begun { "Animal" } else { "Day" });
    }
    make(ctx, state);
    let whole = ui.available_rect_before_wrap();
    if whole.width() > 900.0 {
        let (mut left, mut right) = (whole, whole);
        left.max.x = whole.left() + whole.width() * 0.46;
        right.min.x = left.max.x + space::L;
        ui.scope_builder(egui::UiBuilder::new().max_rect(left), |ui| {
            egui::ScrollArea::vertical()
                .id_salt("eggs form")
                .auto_shrink(false)
                .show(ui, |ui| form(ui, ctx, state, out));
        });
        ui.scope_builder(egui::UiBuilder::new().max_rect(right), |ui| {
            egui::ScrollArea::vertical()
                .id_salt("eggs")
                .auto_shrink(false)
                .show(ui, |ui| beside(ui, state, out));
        });
        ui.advance_cursor_after_rect(whole);
    } else {
        egui::ScrollArea::vertical().id_salt("eggs").auto_shrink(false).show(ui, |ui| {
            form(ui, ctx, state, out);
            ui.add_space(space::M);
            beside(ui, state, out);
        });
    }
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut State, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "eggs").label_width(120.0);
    t.rows.drawn(ui, &form, &["Animal"]);
    let wrong = |name| t.rows.wrong(name);
    let (on, product, treated, animal, epg) =
        (wrong("on"), wrong("product"), wrong("treated_on"), wrong("animal"), wrong("epg"));
    look::faint(ui, "These stay from row to row:");
    form.day(ui, ctx, "Day", &mut t.on, on.as_deref());
    form.field(ui, &Field::new("Group").width(180.0).example("pen or field"), &mut t.group);
    form.product(ui, ctx, "Product", &mut t.product, product.as_deref());
    form.day_or_none(ui, ctx, "Given on", &mut t.treated, treated.as_deref());
    ui.add_space(space::S);
    look::faint(ui, "One row, Enter by Enter:");
    form.field(ui, &Field::new("Note").width(220.0), &mut t.note);
    form.animal(ui, ctx, "Animal", &mut t.animal, animal.as_deref(), |_| true);
    let read = |x: &str| eggs(x).map(|n| phrase!("{n} eggs in each gram"));
    let field = Field::new("Eggs in a gram").width(90.0).example("450").understand(&read);
    form.field(ui, &field.refusal(epg.as_deref()), &mut t.epg);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the count").clicked();
        look::faint(ui, "A sample up to the day it was given is from before, a later one from after.");
    });
    if go {
        let row = checked(ctx, t);
        t.rows.send(row, out);
    }
}

fn checked(ctx: &Ctx<'_>, t: &mut State) -> Result<Intent, Wrong> {
    let at = |label: &'static str| move |e: String| (label, e);
    let epg = match t.epg.trim() {
        "" => {
            return Err(("Eggs in a gram", phrase!("the eggs counted in each gram are needed, 0 for none")));
        }
        text => eggs(text).map_err(at("Eggs in a gram"))?,
    };
    let draft = EggCountDraft {
        animal: fields::picked(ctx, &t.animal, "the animal").map_err(at("Animal"))?,
        group: fields::some(&t.group),
        on: fields::day_or_today(ctx, &t.on).map_err(at("Day"))?,
        epg,
        product: fields::some(&t.product.text),
        treated_on: super::read::day(ctx, &t.treated).map_err(at("Given on"))?,
        note: fields::some(&t.note),
    };
    let labels =
        [("on", "Day"), ("product", "Product"), ("treated_on", "Given on"), ("epg", "Eggs in a gram")];
    let check = entry::egg_counts(vec![draft], ctx.flock, ctx.today);
    t.rows.checked(check, Then::CupboardDone, &labels, "Animal")
}

/// What the counts say, and the counts themselves.
fn beside(ui: &mut egui::Ui, state: &mut State, out: &mut Vec<Intent>) {
    if !state.trials.is_empty() {
        look::subheading(ui, "Before and after");
        // The newest two, so that the counts below are seen; the others on demand.
        let shown = if state.all_trials { state.trials.len() } else { 2 };
        for t in state.trials.iter().take(shown) {
            trial(ui, t);
        }
        let more = state.trials.len().saturating_sub(shown);
        if more > 0 && ui.button(phrase!("{} more", counted(more, "treatment"))).clicked() {
            state.all_trials = true;
        }
        look::faint(
            ui,
            "The vet decides what follows; which drenches still work is worth writing into the flock health plan.",
        );
        ui.add_space(space::M);
    }
    let nothing = state.list.rows.is_empty() && state.search.trim().is_empty();
    if nothing {
        look::paragraph(
            ui,
            "No egg count yet. Count dung samples before a drench and again after it, of the same animals, and how far the eggs fell is reckoned here.",
        );
        return;
    }
    let mut no = false;
    let on = search_field(ui, TABLE, "tag, group, product", &mut no, &mut state.search);
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, counted(state.list.rows.len(), "count"));
        let heads = ["on", "animal", "group", "epg", "when", "product", "treated_on", "note"];
        take_out(ui, "egg counts", &heads, &state.list, &mut state.table, out);
    });
    if state.list.rows.is_empty() {
        look::paragraph(ui, "No egg count fits the search.");
        return;
    }
    let columns = [
        Column::new("Day", 98.0),
        Column::new("Animal", 64.0),
        Column::new("Group", 90.0).rest(),
        Column::new("Eggs", 52.0).right(),
        Column::new("When", 62.0),
        Column::new("Product", 100.0).rest(),
    ];
    let size = egui::vec2(ui.available_width(), height(state.list.rows.len(), 3, 14));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        if on {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened(id) = event {
                state.kept.open(Kept::Egg(id));
            }
        }
    });
}

/// One treatment whose work was looked at.
fn trial(ui: &mut egui::Ui, t: &Trial) {
    let group = t.group.as_ref().map(|g| format!("{g}: ")).unwrap_or_default();
    let how = if t.paired { "the same animals" } else { "not the same animals" };
    look::strong(ui, phrase!("{group}{}, given {}", t.product, t.treated_on.words()));
    look::faint(ui, phrase!("{} before, {} after, {how}", t.before.len(), t.after.len()));
    match &t.result {
        Ok(r) => {
            let kind = match r.verdict {
                Verdict::Works => Kind::Good,
                Verdict::Resistant => Kind::Refuse,
                _ => Kind::Caution,
            };
            look::sentence(ui, kind, r.words());
        }
        Err(why) => {
            look::sentence(ui, Kind::Plain, why.to_string());
        }
    }
    for caution in &t.cautions {
        look::faint(ui, caution);
    }
    ui.add_space(space::S);
}

fn make(ctx: &Ctx<'_>, state: &mut State) {
    let wanted = (ctx.flock.version(), ctx.today, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    state.trials = trials(ctx.flock);
    let all = ctx.flock.cupboard().egg_counts.iter().rev();
    state.list.set(all.filter_map(|e| row(ctx, e, &state.search)).collect());
    state.made_for = Some(wanted);
}

fn row(ctx: &Ctx<'_>, e: &EggCount, search: &str) -> Option<Row<EggCountId>> {
    let tag = e.animal.map(|a| ctx.flock.tag(a).to_string()).unwrap_or_default();
    let group = e.group.clone().unwrap_or_default();
    let product = e.product.clone().unwrap_or_default();
    let when = match e.treated_on {
        _ if e.struck.is_some() => "struck out",
        Some(day) if e.on <= day => "before",
        Some(_) => "after",
        None => "",
    };
    if !fits(search, [tag.as_str(), &group, &product, when, &e.on.words()]) {
        return None;
    }
    let cell = |text: &str| {
        if e.struck.is_some() { Cell::text(text.to_string()).struck() } else { Cell::text(text.to_string()) }
    };
    let text = |row: Row<_>, t: &str| row.cell(cell(t), By::Text(t.into()), t);
    let by = By::Number(e.on.since(ctx.today));
    let mut row = Row::new(e.id).cell(cell(&e.on.words()), by, e.on.to_string());
    row = text(text(row, &tag), &group);
    let epg = e.epg.to_string();
    row = row.cell(cell(&epg), By::Number(e.epg.into()), epg);
    row = text(text(row, when), &product);
    let treated = e.treated_on.map(|d| d.to_string()).unwrap_or_default();
    Some(row.hidden(treated).hidden(e.note.clone().unwrap_or_default()))
}

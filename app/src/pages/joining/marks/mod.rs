//! Crayon marks, matings seen, ewes that came back.

mod crayon;

use super::super::list::{By, List, Row, fits, height, into_table, search_field, take_out};
use super::super::rows_form::{RowsForm, Wrong};
use super::super::{Ctx, Intent, Then, fields};
use super::{columns, sized};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Field, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, MarkDraft, crayon_on};
use hirsel_core::flock::{AnimalFile, Link, MatingMark, RecordRef};
use hirsel_core::handbook::tupping::cycle_late_days;
use hirsel_core::phrase;
use hirsel_core::reckon::gestation::{returns, unmarked};
use hirsel_core::reckon::joined::{groups, return_words};
use hirsel_core::terms::{AnimalId, Day, MarkId, MarkKind, Sex, Text, counted};
use serde::{Deserialize, Serialize};

/// The part of the page.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct State {
    on: String,
    ram: PickerState<AnimalId>,
    colour: String,
    kind: Option<MarkKind>,
    note: String,
    ewe: PickerState<AnimalId>,
    crayon: crayon::Typed,
    search: String,
    rows: RowsForm,
    /// The form just sent was the crayon's.
    #[serde(skip)]
    changing: bool,
    #[serde(skip)]
    made_for: Option<(u64, Day, String)>,
    #[serde(skip)]
    list: List<(AnimalId, MarkId)>,
    #[serde(skip)]
    table: TableState<(AnimalId, MarkId)>,
    /// Groups that run: title, rams, ewes not yet marked, and how many it has.
    #[serde(skip)]
    waiting: Vec<(String, Vec<AnimalId>, Vec<AnimalId>, usize)>,
    #[serde(skip)]
    all_waiting: bool,
    /// What the marks say of ewes and rams: the sentence, and whether it asks to be looked into.
    #[serde(skip)]
    told: Vec<(bool, String)>,
}

impl State {
    /// An entry of this page is written: day, ram and colour stay for the next ewe.
    pub fn after(&mut self, _ctx: &Ctx<'_>) {
        if std::mem::take(&mut self.changing) {
            self.crayon.after();
            self.rows.other_written("Ewe");
        } else {
            self.rows.written(&mut self.ewe, [&mut self.note], "Ewe");
        }
    }
}

const TABLE: &str = "Marks and matings";
const LABELS: f32 = 100.0;
const KINDS: [(MarkKind, &str); 2] = [(MarkKind::Crayon, "mark"), (MarkKind::Seen, "mating seen")];

/// Draws it.
pub fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, into: &mut bool, out: &mut Vec<Intent>) {
    make(ctx, state);
    if std::mem::take(into) {
        state.rows.aim("Ewe");
    }
    let typing = !state.ewe.text.is_empty();
    state.rows.carry_day(ctx, typing, &mut state.on, &mut String::new());
    let mut more = Vec::new();
    columns(
        ui,
        "marks",
        0.42,
        state,
        |ui, state| {
            form(ui, ctx, state, out);
            ui.add_space(space::L);
            let running: Vec<AnimalId> =
                state.waiting.iter().flat_map(|(_, rams, ..)| rams.clone()).collect();
            let before = out.len();
            crayon::view(ui, ctx, &mut state.crayon, &running, out);
            if out[before..].iter().any(|i| matches!(i, Intent::Write { .. })) {
                state.changing = true;
            }
        },
        |ui, state| beside(ui, ctx, state, &mut more),
    );
    out.append(&mut more);
}

/// The rams that are with a ewe on a day.
fn rams_with(ctx: &Ctx<'_>, ewe: AnimalId, on: Day) -> Vec<AnimalId> {
    let mut rams: Vec<AnimalId> = Vec::new();
    for j in ctx.flock.file(ewe).into_iter().flat_map(|f| &f.joinings) {
        let there = j.struck.is_none() && j.from <= on && j.to.is_none_or(|t| t >= on);
        if there && !rams.contains(&j.ram) {
            rams.push(j.ram);
        }
    }
    rams
}

/// What the mark will be written as: by which ram, in what colour, and whether she came back.
fn proposed(ctx: &Ctx<'_>, t: &State) -> Option<String> {
    let ewe = t.ewe.chosen()?;
    let on = fields::day_or_today(ctx, &t.on).ok()?;
    let rams = t.ram.chosen().map_or_else(|| rams_with(ctx, ewe, on), |r| vec![r]);
    let mut said = match rams.as_slice() {
        [] => look::said("no ram is with her that day").into_owned(),
        [one] => {
            let file = ctx.flock.file(*one);
            let worn = file.filter(|_| t.colour.trim().is_empty()).and_then(|f| crayon_on(f, on));
            let colour = worn.map(|c| format!(", {c}")).unwrap_or_default();
            phrase!("by {}{colour}", &ctx.flock.tag(*one))
        }
        several => {
            let tags: Vec<&str> = several.iter().map(|r| ctx.flock.tag(*r)).collect();
            phrase!("{} are with her: name the ram if you know", tags.join(" and "))
        }
    };
    let file = ctx.flock.file(ewe)?;
    let before = file.marks.iter().filter(|m| m.struck.is_none() && m.on < on).map(|m| m.on).max();
    if let Some(before) = before.filter(|b| on.since(*b) <= 60) {
        said.push_str(&phrase!(
            "; last marked {}, {} before",
            before.short(),
            counted(gap(on, before), "day")
        ));
    }
    Some(said)
}

fn gap(on: Day, before: Day) -> usize {
    usize::try_from(on.since(before)).unwrap_or_default()
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut State, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "marks").label_width(LABELS);
    t.rows.drawn(ui, &form, &["Ewe"]);
    let wrong = |name| t.rows.wrong(name);
    let (on, ram, ewe) = (wrong("on"), wrong("ram"), wrong("ewe"));
    let said = proposed(ctx, t);
    look::faint(ui, "These stay from ewe to ewe:");
    form.day(ui, ctx, "Day", &mut t.on, on.as_deref());
    let kept = t.ram.chosen().is_none() && t.ram.text.is_empty();
    form.animal_quiet(ui, ctx, "Ram", &mut t.ram, (ram.as_deref(), None), |f| f.animal.sex != Sex::Ewe);
    if kept {
        hint(ui, "left empty: the ram she runs with");
    }
    form.field(ui, &Field::new("Colour").width(140.0).example("of his crayon"), &mut t.colour);
    t.kind.get_or_insert(MarkKind::Crayon);
    form.choice(ui, &Choice::new("What", &KINDS), &mut t.kind);
    ui.add_space(space::S);
    look::faint(ui, "One ewe after another, Enter by Enter:");
    form.field(ui, &Field::new("Note").width(240.0), &mut t.note);
    form.animal_quiet(ui, ctx, "Ewe", &mut t.ewe, (ewe.as_deref(), None), |f| {
        f.animal.sex == Sex::Ewe && f.animal.status.is_here()
    });
    if let Some(said) = said {
        hint(ui, said);
    }
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the mark").clicked();
        look::faint(ui, "Ctrl+Z takes the last one back.");
    });
    if go {
        let row = checked(ctx, t);
        t.changing &= row.is_err();
        t.rows.send(row, out);
    }
}

fn hint(ui: &mut egui::Ui, text: impl Into<Text>) {
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        look::faint(ui, text);
    });
}

fn checked(ctx: &Ctx<'_>, t: &mut State) -> Result<Intent, Wrong> {
    let on = fields::day_or_today(ctx, &t.on).map_err(|e| ("Day", e))?;
    let ewe = fields::picked(ctx, &t.ewe, "the ewe").map_err(|e| ("Ewe", e))?;
    let ewe = ewe.ok_or(("Ewe", phrase!("which ewe? Type any part of her tag or name")))?;
    let named = fields::picked(ctx, &t.ram, "the ram").map_err(|e| ("Ram", e))?;
    let ram = named.or_else(|| match rams_with(ctx, ewe, on).as_slice() {
        [one] => Some(*one),
        _ => None,
    });
    let draft = MarkDraft {
        ewe,
        ram,
        on,
        kind: t.kind.unwrap_or(MarkKind::Crayon),
        colour: fields::some(&t.colour),
        note: fields::some(&t.note),
    };
    let labels = [("on", "Day"), ("ram", "Ram")];
    t.rows.checked(entry::marks(vec![draft], ctx.flock, ctx.today), Then::JoiningDone, &labels, "Ewe")
}

/// Ewes not yet marked, and the list of marks.
fn beside(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    waiting(ui, ctx, state);
    for (look_into, said) in &state.told {
        look::sentence(ui, if *look_into { Kind::Caution } else { Kind::Plain }, said);
    }
    if !state.told.is_empty() {
        ui.add_space(space::M);
    }
    if state.list.rows.is_empty() && state.search.trim().is_empty() {
        look::paragraph(
            ui,
            "No mark yet. Walk round the group in the evening and type the tags of the ewes that bear the crayon: a ewe that is marked again 17 days later did not hold, and due days are reckoned from the last mark.",
        );
        return;
    }
    let mut no = false;
    let on = search_field(ui, TABLE, "ewe, ram, colour, came back", &mut no, &mut state.search);
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, counted(state.list.rows.len(), "mark"));
        let heads = ["on", "ewe", "ram", "colour", "what", "remark", "note"];
        take_out(ui, "marks and matings", &heads, &state.list, &mut state.table, out);
    });
    if state.list.rows.is_empty() {
        look::paragraph(ui, "No mark fits the search.");
        return;
    }
    let columns = [
        Column::new("Day", 64.0),
        Column::new("Ewe", 64.0).rest(),
        Column::new("Ram", 48.0),
        Column::new("Colour", 66.0),
        Column::new("What", 62.0),
        Column::new("Remark", 140.0).rest(),
    ];
    sized(ui, height(state.list.rows.len(), 3, 12), |ui| {
        if on {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.list) {
            if let TableEvent::Opened((ewe, id)) = event {
                out.push(Intent::Follow(Link::Record(ewe, RecordRef::Mark(id))));
            }
        }
    });
    look::faint(ui, "Enter opens the mark on the ewe's leaf, to amend it or strike it out.");
}

const SHOWN: usize = 24;

fn waiting(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State) {
    for (title, _, ewes, of) in &state.waiting {
        let marked = of - ewes.len();
        look::strong(ui, phrase!("{title}: {marked} of {of} marked"));
        if ewes.is_empty() {
            continue;
        }
        let shown = if state.all_waiting { ewes.len() } else { ewes.len().min(SHOWN) };
        let tags: Vec<&str> = ewes.iter().take(shown).map(|e| ctx.flock.tag(*e)).collect();
        let more = ewes.len() - shown;
        let more = if more > 0 { phrase!(" and {more} more") } else { String::new() };
        ui.label(phrase!("Not marked yet: {}{more}", tags.join(", ")));
    }
    if state.waiting.iter().any(|(.., e, _)| e.len() > SHOWN) {
        let word = if state.all_waiting { "Show fewer" } else { "Show all" };
        state.all_waiting ^= ui.button(crate::look::spoken(word)).clicked();
    }
    if !state.waiting.is_empty() {
        ui.add_space(space::M);
    }
}

fn make(ctx: &Ctx<'_>, state: &mut State) {
    let wanted = (ctx.flock.version(), ctx.today, state.search.clone());
    if state.made_for.as_ref() == Some(&wanted) {
        return;
    }
    if state.made_for.as_ref().is_none_or(|(v, ..)| *v != wanted.0) {
        let running = groups(ctx.flock).into_iter().filter(|g| g.runs());
        state.waiting = running
            .map(|g| {
                let ewes = g.ewes.iter().copied().filter(|e| !g.marked.contains(e)).collect();
                (g.title(ctx.flock), g.rams_now(ctx.flock), ewes, g.ewes.len())
            })
            .collect();
        state.told = told(ctx);
    }
    let mut all: Vec<(&AnimalFile, &MatingMark)> =
        ctx.flock.files().flat_map(|f| f.marks.iter().map(move |m| (f, m))).collect();
    all.sort_by_key(|(_, m)| std::cmp::Reverse((m.on, m.id)));
    state.list.set(all.into_iter().filter_map(|(f, m)| row(ctx, f, m, &state.search)).collect());
    state.made_for = Some(wanted);
}

/// So many ewes that came back are told in a sentence each; all are in the list.
const TOLD: usize = 3;

/// Ewes that came back, rams of whom many did, ewes that are not marked after more than a cycle.
fn told(ctx: &Ctx<'_>) -> Vec<(bool, String)> {
    let back = returns(ctx.flock, ctx.today);
    let mut all: Vec<(bool, String)> = Vec::new();
    for r in back.rams.iter().filter(|r| r.returned > 0) {
        match &r.caution {
            Some(caution) => all.push((true, caution.clone())),
            None => {
                let of = counted(r.served, "ewe");
                all.push((
                    false,
                    phrase!("{} of {of} served by {} came back", r.returned, &ctx.flock.tag(r.ram)),
                ));
            }
        }
    }
    all.extend(back.ewes.iter().take(TOLD).map(|r| (false, r.words(ctx.flock))));
    let late: Vec<_> =
        unmarked(ctx.flock, ctx.today).into_iter().filter(|u| u.days > cycle_late_days()).collect();
    match late.as_slice() {
        [] => {}
        few if few.len() <= TOLD => all.extend(few.iter().map(|u| (true, u.words(ctx.flock)))),
        many => {
            let n = counted(many.len(), "ewe");
            let days = cycle_late_days();
            all.push((
                true,
                phrase!(
                    "{} are with a ram for more than {} days without a mark: look whether they cycle at all",
                    n,
                    days
                ),
            ));
        }
    }
    all
}

fn row(ctx: &Ctx<'_>, f: &AnimalFile, m: &MatingMark, search: &str) -> Option<Row<(AnimalId, MarkId)>> {
    let (title, ewe) = (f.animal.title(), f.animal.tag());
    let ram = m.ram.map(|r| ctx.flock.tag(r).to_string()).unwrap_or_default();
    let colour = m.colour.clone().unwrap_or_default();
    let remark = match &m.struck {
        Some(_) => phrase!("struck out"),
        None => return_words(f, m).unwrap_or_default(),
    };
    let what = match m.kind {
        MarkKind::Crayon => "mark",
        MarkKind::Seen => "seen",
    };
    // Of this season the year goes without saying.
    let on = if ctx.today.since(m.on) < 300 { m.on.short() } else { m.on.words() };
    if !fits(search, [title.as_str(), &ram, &colour, m.kind.words(), &remark, &m.on.words()]) {
        return None;
    }
    let cell = |text: &str| {
        if m.struck.is_some() { Cell::text(text.to_string()).struck() } else { Cell::text(text.to_string()) }
    };
    let text = |row: Row<_>, t: &str| row.cell(cell(t), By::Text(t.into()), t);
    let key = (f.animal.id, m.id);
    let mut row = Row::new(key).cell(cell(&on), By::Number(m.on.since(ctx.today)), m.on.to_string());
    for t in [ewe, &ram, &colour, what] {
        row = text(row, t);
    }
    let back = remark.starts_with("came back");
    let said = if back { Cell::chip(Kind::Caution, remark.clone()) } else { cell(&remark) };
    row = row.cell(said, By::Text(remark.clone()), remark);
    Some(row.hidden(m.note.clone().unwrap_or_default()))
}

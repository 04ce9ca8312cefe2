//! One group: its ewes with what lambs of theirs would be, their marks, and what can be done with the group.

use super::super::super::list::{By, List, Row, height, into_table};
use super::super::super::{Ctx, Intent, Then, fields};
use super::super::sized;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Form, FormEvent};
use hirsel_core::entry::{self, PartDraft};
use hirsel_core::flock::{AnimalFile, Joining, Link, RecordRef};
use hirsel_core::phrase;
use hirsel_core::reckon::joined::{Group, marks_of, percent, return_words};
use hirsel_core::terms::{AnimalId, JoiningId, counted};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;

/// What is half typed over an opened group.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    parting: bool,
    on: String,
    ram: Option<usize>,
    #[serde(skip)]
    wrong: Option<String>,
    #[serde(skip)]
    focus: bool,
    #[serde(skip)]
    made_for: Option<(u64, u64, JoiningId)>,
    #[serde(skip)]
    list: List<(AnimalId, JoiningId)>,
    #[serde(skip)]
    table: TableState<(AnimalId, JoiningId)>,
}

/// What another form is to be opened for.
pub(super) enum Wish {
    MoreEwes,
    OtherRam,
}

impl Typed {
    /// The ram is out.
    pub(super) fn after(&mut self) {
        (self.parting, self.ram, self.wrong) = (false, None, None);
        self.on.clear();
    }

    /// The form that takes the ram out is open.
    pub(super) fn is_parting(&self) -> bool {
        self.parting
    }
}

const TABLE: &str = "Ewes of the group";

/// Draws the group; `down` gives the keyboard to its ewes.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    group: &Group,
    down: bool,
    out: &mut Vec<Intent>,
) -> Option<Wish> {
    make(ctx, t, group);
    let mut wish = None;
    let rams = group.rams_now(ctx.flock);
    look::subheading(ui, format!("{}, {}", group.title(ctx.flock), counted(group.ewes.len(), "ewe")));
    ui.horizontal_wrapped(|ui| {
        if group.runs() && ui.button(phrase!("Add ewes")).clicked() {
            wish = Some(Wish::MoreEwes);
        }
        if look::button(ui, "Another ram")
            .on_hover_text(look::said("A second ram to the same ewes"))
            .clicked()
        {
            wish = Some(Wish::OtherRam);
        }
        if group.runs() && !t.parting && look::button(ui, "Take the ram out").clicked() {
            (t.parting, t.focus) = (true, true);
        }
    });
    if t.parting && group.runs() {
        part(ui, ctx, t, group, &rams, out);
    }
    for both in &group.both {
        look::sentence(ui, Kind::Caution, both.words(ctx.flock));
    }
    let several = group.rams.len() > 1;
    let mut columns = vec![Column::new("Ewe", 58.0), Column::new("Name", 40.0).rest()];
    if several {
        columns.push(Column::new("Ram", 48.0));
    }
    columns.push(Column::new("Inbred", 98.0).right());
    columns.push(Column::new("Last mark", 110.0));
    columns.push(Column::new("Remark", 110.0).rest());
    sized(ui, height(t.list.rows.len(), 3, 9), |ui| {
        if down {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut t.table, &t.list) {
            if let TableEvent::Opened((ewe, joining)) = event {
                out.push(Intent::Follow(Link::Record(ewe, RecordRef::Joining(joining))));
            }
        }
    });
    look::faint(
        ui,
        "Inbred: what a lamb of hers by him would be. Enter opens the joining on her leaf, to amend it or strike it out.",
    );
    wish
}

/// The small form that ends the joinings of a ram.
fn part(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    group: &Group,
    rams: &[AnimalId],
    out: &mut Vec<Intent>,
) {
    let mut leave = false;
    let mut go = false;
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        let mut form = Form::new(ui, "part").label_width(90.0);
        form.focus_once(ui, &mut t.focus, "Last day");
        if rams.len() > 1 {
            let tags: Vec<(usize, &str)> =
                rams.iter().enumerate().map(|(i, r)| (i, ctx.flock.tag(*r))).collect();
            t.ram.get_or_insert(0);
            form.choice(ui, &Choice::names("Which ram", &tags), &mut t.ram);
        }
        form.day(ui, ctx, "Last day", &mut t.on, t.wrong.as_deref());
        go = form.finish(ui) == FormEvent::Submitted;
        ui.horizontal(|ui| {
            go |= look::primary(ui, "Write that he is out").clicked();
            leave = ui.button(phrase!("Leave him in")).clicked();
        });
    });
    leave |= ui.memory(|m| m.focused().is_none()) && crate::parts::escaped(ui);
    if leave {
        t.after();
    }
    if !go {
        return;
    }
    let ram = rams.get(t.ram.unwrap_or(0)).copied();
    let open = group.standing(ctx.flock).filter(|j| j.to.is_none() && Some(j.ram) == ram);
    let joinings: Vec<(AnimalId, JoiningId)> = open.map(|j| (j.ewe, j.id)).collect();
    let done = fields::day_or_today(ctx, &t.on).and_then(|on| {
        entry::part(PartDraft { joinings, on }, ctx.flock, ctx.today)
            .map_err(|r| r.first().map(ToString::to_string).unwrap_or_default())
    });
    match done {
        Ok(checked) => {
            t.wrong = None;
            out.push(Intent::Write { checked: Box::new(checked), then: Then::JoiningDone });
        }
        Err(text) => {
            t.focus = true;
            out.push(Intent::Say(Kind::Refuse, text.clone()));
            t.wrong = Some(text);
        }
    }
    ui.add_space(space::S);
}

fn make(ctx: &Ctx<'_>, t: &mut Typed, group: &Group) {
    let kin = ctx.kindred.map_or(0, |k| k.version() + 1);
    let wanted = (ctx.flock.version(), kin, group.key);
    if t.made_for == Some(wanted) {
        return;
    }
    if t.made_for.is_some_and(|(_, _, key)| key != group.key) {
        t.after();
        t.table = TableState::default();
    }
    let several = group.rams.len() > 1;
    let rows = group.standing(ctx.flock).filter_map(|j| {
        let f = ctx.flock.file(j.ewe)?;
        Some(row(ctx, group, f, j, several))
    });
    let mut rows: Vec<_> = rows.collect();
    let places: HashMap<AnimalId, usize> = group.ewes.iter().enumerate().map(|(i, e)| (*e, i)).collect();
    rows.sort_by_key(|r| places.get(&r.key.0).copied());
    t.list.set(rows);
    t.made_for = Some(wanted);
}

fn row(
    ctx: &Ctx<'_>,
    group: &Group,
    f: &AnimalFile,
    j: &Joining,
    several: bool,
) -> Row<(AnimalId, JoiningId)> {
    let share = ctx.kindred.and_then(|k| k.coancestry(j.ram, j.ewe));
    let mut row = Row::new((j.ewe, j.id)).tag(f.animal.tag()).text(f.animal.name.clone().unwrap_or_default());
    if several {
        row = row.text(ctx.flock.tag(j.ram).to_string());
    }
    let by = By::number(share.map(|s| (s * 1e9) as i64));
    let words = share.map_or(phrase!("not known"), percent);
    let cell = match share {
        Some(s) if s + 1e-9 >= 0.0625 => Cell::chip(Kind::Caution, words.clone()),
        _ => Cell::text(words.clone()),
    };
    row = row.cell(cell, by, words);
    let last = marks_of(f, j).max_by_key(|m| (m.on, m.id));
    let mark = last.map(|m| match &m.colour {
        Some(c) => format!("{} {c}", m.on.short()),
        None => m.on.short(),
    });
    row = row.number(mark.unwrap_or_default(), last.map(|m| m.on.since(ctx.today)));
    let mut remark: Vec<String> = Vec::new();
    match last {
        Some(m) => remark.extend(return_words(f, m)),
        None => remark.push(phrase!("not marked")),
    }
    if let Some(to) = j.to.filter(|_| group.runs()) {
        remark.push(phrase!("out {}", to.short()));
    }
    if j.from != group.from {
        remark.push(phrase!("in {}", j.from.short()));
    }
    if let Some(how) = &j.method {
        remark.push(how.to_string());
    }
    row.text(remark.join(", "))
}

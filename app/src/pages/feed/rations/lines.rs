//! The lines of the rations as written, those that hold or all.

use super::super::super::list::{By, List, Row, fits, height, into_table, search_field_of, take_out};
use super::super::super::sections::sized;
use super::super::super::{Ctx, Intent};
use super::State;
use crate::look::{self, Kind};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Form};
use hirsel_core::flock::Ration;
use hirsel_core::phrase;
use hirsel_core::reckon::eaters::a_head;
use hirsel_core::terms::{Day, RationId, counted};
use serde::{Deserialize, Serialize};

/// The list as it is searched.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Shown {
    search: String,
    all: bool,
    #[serde(skip)]
    made_for: Option<(u64, Day, String, bool)>,
    #[serde(skip)]
    list: List<RationId>,
    #[serde(skip)]
    table: TableState<RationId>,
}

const TABLE: &str = "Rations";
const HEADS: [&str; 9] = ["group", "pen", "feed", "a_head", "from", "stands", "kg_a_head", "note", "measure"];

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    make(ctx, &mut state.lines);
    let s = &mut state.lines;
    if ctx.flock.feedroom().rations.is_empty() {
        look::paragraph(
            ui,
            "No ration is written yet. Type the group, the feed and what a head gets of it, in kg or in a measure weighed out under Store.",
        );
        return;
    }
    let mut no = false;
    let on = search_field_of(ui, TABLE, "rations", "group, pen, feed", &mut no, &mut s.search);
    let mut form = Form::new(ui, "ration lines").label_width(60.0);
    let mut all = Some(s.all);
    form.choice(ui, &Choice::new("Lines", &[(false, "that hold"), (true, "all ever written")]), &mut all);
    s.all = all.unwrap_or_default();
    form.finish(ui);
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, counted(s.list.rows.len(), "line"));
        take_out(ui, "rations", &HEADS, &s.list, &mut s.table, out);
    });
    if s.list.rows.is_empty() {
        look::paragraph(ui, "No line fits.");
        return;
    }
    let columns = [
        Column::new("Group", 90.0).rest(),
        Column::new("Pen", 76.0),
        Column::new("Feed", 70.0).rest(),
        Column::new("A head", 124.0),
        Column::new("From", 98.0),
    ];
    let mut opened = None;
    sized(ui, height(s.list.rows.len(), 3, 9), |ui| {
        if on {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut s.table, &s.list) {
            if let TableEvent::Opened(id) = event {
                opened = Some(id);
            }
        }
    });
    look::faint(ui, "Enter opens a line, to amend it or strike it out.");
    if let Some(id) = opened {
        state.record.open(id);
    }
}

fn make(ctx: &Ctx<'_>, s: &mut Shown) {
    let wanted = (ctx.flock.version(), ctx.today, s.search.clone(), s.all);
    if s.made_for.as_ref() == Some(&wanted) {
        return;
    }
    let room = ctx.flock.feedroom();
    let holding: Vec<RationId> = room.rations_on(ctx.today).iter().map(|r| r.id).collect();
    let stands = |r: &Ration| match () {
        () if r.struck.is_some() => "struck out",
        () if r.from > ctx.today => "planned",
        () if holding.contains(&r.id) => "holds",
        () => "past",
    };
    let shown = |r: &&Ration| s.all || matches!(stands(r), "holds" | "planned");
    let mut all: Vec<&Ration> = room.rations.iter().filter(shown).collect();
    all.sort_by_key(|r| (r.eaters, r.pen.clone(), std::cmp::Reverse(r.from), r.id));
    let rows = all.into_iter().filter_map(|r| row(ctx, r, stands(r), &s.search)).collect();
    s.list.set(rows);
    s.made_for = Some(wanted);
}

fn row(ctx: &Ctx<'_>, r: &Ration, stands: &'static str, search: &str) -> Option<Row<RationId>> {
    let room = ctx.flock.feedroom();
    let (group, feed) = (r.eaters.words(), room.name(r.feed));
    let pen = r.pen.clone().unwrap_or_else(|| phrase!("everywhere"));
    let each = match r.each.is_none() {
        true => phrase!("ends"),
        false => a_head(room, r.each, r.measure, ctx.today.max(r.from), ctx.units()),
    };
    let note = r.note.clone().unwrap_or_default();
    if !fits(search, [group, pen.as_str(), feed, stands, &note]) {
        return None;
    }
    let cell = |text: &str| {
        if stands == "struck out" {
            Cell::text(text.to_string()).struck()
        } else {
            Cell::text(text.to_string())
        }
    };
    let mut row = Row::new(r.id).cell(cell(group), By::Number(r.eaters as i64), group);
    row = row.cell(cell(&pen), By::Text(pen.clone()), pen.clone());
    row = row.cell(cell(feed), By::Text(feed.into()), feed);
    row = row.cell(cell(&each), By::Number(i64::try_from(r.each.grams()).unwrap_or(0)), each.clone());
    let from = match stands {
        "planned" => Cell::chip(Kind::Plain, phrase!("from {}", r.from.short())),
        _ => cell(&r.from.words()),
    };
    row = row.cell(from, By::Number(r.from.since(ctx.today)), r.from.to_string());
    let measure = r.measure.and_then(|m| room.measure(m)).map(|m| m.name.clone()).unwrap_or_default();
    let said = phrase!("{group}, {pen}, {feed}, {each}, from {}, {stands}", r.from.words(), feed = &feed);
    Some(row.hidden(stands).hidden(r.each.kg_text()).hidden(note).hidden(measure).said(said))
}

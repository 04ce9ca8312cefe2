//! How every animal of the flock grows: last weight, gains, weight carried to 60 days.

use super::super::list::{By, List, Row, fits, into_table, search_field, take_out};
use super::super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::{AnimalFile, natural};
use hirsel_core::reckon::growth::{SixtyDay, gains, sixty_day};
use hirsel_core::terms::{AnimalId, Day, Gain, Sex, Units};

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Growth {
    made_for: Option<(u64, Day, String)>,
    list: List<AnimalId>,
    table: TableState<AnimalId>,
}

const TABLE: &str = "Growth";

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    g: &mut Growth,
    search: &mut String,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let on = search_field(ui, TABLE, "tag, name, pen, ewe lamb", into, search);
    let wanted = (ctx.flock.version(), ctx.today, search.clone());
    if g.made_for.as_ref() != Some(&wanted) {
        let named = |f: &AnimalFile| f.animal.name.clone().unwrap_or_default();
        let mut files: Vec<&AnimalFile> = ctx
            .flock
            .present()
            .filter(|f| fits(search, [f.animal.tag(), &named(f), &ctx.detail(f)]))
            .collect();
        files.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()));
        g.list.set(files.into_iter().map(|f| row(ctx, f)).collect());
        g.made_for = Some(wanted);
    }
    ui.horizontal(|ui| {
        let n = g.list.rows.len();
        look::faint(ui, if n == 1 { "1 animal".into() } else { format!("{n} animals") });
        let chosen: Vec<AnimalId> = g.table.selected().iter().copied().collect();
        if ui.add_enabled(!chosen.is_empty(), egui::Button::new("Treat the chosen")).clicked() {
            out.push(Intent::Treat(chosen));
        }
        let heads = ["tag", "what", "weight", "on", "age_days", "since_birth", "since_last", "at_60_days"];
        take_out(ui, "growth", &heads, &g.list, &mut g.table, out);
    });
    look::faint(
        ui,
        "At 60 days: carried on a straight line from one weighing; its day is named where it lies outside 53 to 67 and the line is rough.",
    );
    ui.add_space(space::XS);
    let columns = [
        Column::new("Animal", 92.0),
        Column::new("What", 96.0).rest(),
        Column::new("Last weight", 86.0).right(),
        Column::new("On", 96.0),
        Column::new("Age, days", 74.0).right(),
        Column::new("Since birth", 98.0).right(),
        Column::new("Since last", 98.0).right(),
        Column::new("At 60 days", 120.0).right(),
    ];
    if on {
        into_table(ui, TABLE);
    }
    for event in RecordTable::new(TABLE, &columns).show(ui, &mut g.table, &g.list) {
        if let TableEvent::Opened(id) = event {
            out.push(Intent::Open(id));
        }
    }
}

/// `ewe lamb, Bank field`: its age has a column of its own.
fn what(ctx: &Ctx<'_>, f: &AnimalFile) -> String {
    let a = &f.animal;
    let kind = if a.is_lamb(ctx.today) && a.sex != Sex::Wether { a.sex.lamb_words() } else { a.sex.words() };
    a.pen.as_ref().map_or_else(|| kind.to_string(), |pen| format!("{kind}, {pen}"))
}

fn row(ctx: &Ctx<'_>, f: &AnimalFile) -> Row<AnimalId> {
    let units = ctx.units();
    let last = f.last_weight(ctx.today);
    let g = last.map(|(on, w)| gains(f, on, w));
    let sixty = sixty_day(f);
    let show = |gain: Option<Gain>| gain.map(|g| g.show(units)).unwrap_or_default();
    let birth = g.and_then(|g| g.since_birth);
    let since = g.and_then(|g| g.since_last).map(|(l, _)| l);
    let age = g.and_then(|g| g.age);
    let words = sixty.map(|s| sixty_words(s, units)).unwrap_or_default();
    let rough = sixty.is_some_and(|s| !s.is_within_window());
    let cell = if rough { Cell::text(words.clone()).faint() } else { Cell::text(words.clone()) };
    Row::new(f.animal.id)
        .tag(f.animal.tag())
        .text(what(ctx, f))
        .number(last.map(|(_, w)| w.show(units)).unwrap_or_default(), last.map(|(_, w)| w.grams()))
        .number(last.map(|(d, _)| d.words()).unwrap_or_default(), last.map(|(d, _)| d.since(ctx.today)))
        .number(age.map(|a| a.to_string()).unwrap_or_default(), age)
        .number(show(birth), birth.map(|g| g.0))
        .number(show(since), since.map(|g| g.0))
        .cell(cell, By::number(sixty.map(|s| s.weight.grams())), words)
}

/// `18.4 kg`, or `18.4 kg, day 92` where the straight line is rough.
fn sixty_words(s: SixtyDay, units: Units) -> String {
    let weight = s.weight.show(units);
    if s.is_within_window() { weight } else { format!("{weight}, day {}", s.at_age) }
}

//! The day's weighings, the last written first.

use super::super::super::list::{By, List, Row, height, take_out};
use super::super::super::{Ctx, Intent};
use crate::look;
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::{AnimalFile, RecordRef, Weighing};
use hirsel_core::phrase;
use hirsel_core::reckon::figures::Mean;
use hirsel_core::reckon::growth::gains;
use hirsel_core::terms::{AnimalId, Day, WeighingId};

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Days {
    made_for: Option<(u64, Day)>,
    list: List<(AnimalId, WeighingId)>,
    words: String,
    table: TableState<(AnimalId, WeighingId)>,
}

/// Draws the list in the room that is left.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, s: &mut Days, day: Day, out: &mut Vec<Intent>) {
    if s.made_for != Some((ctx.flock.version(), day)) {
        s.made_for = Some((ctx.flock.version(), day));
        make(ctx, day, s);
    }
    let n = s.list.rows.len();
    ui.horizontal(|ui| {
        look::subheading(ui, phrase!("Weighed on {}", day.words()));
        if n > 0 {
            look::faint(ui, &s.words);
            let heads = ["tag", "what", "weight", "age_days", "since_birth", "since_last", "remark"];
            take_out(ui, &phrase!("weights {day}"), &heads, &s.list, &mut s.table, out);
        }
    });
    if n == 0 {
        look::faint(
            ui,
            "Nobody yet. Each weight stands here once it is written; Enter on one opens the animal.",
        );
        return;
    }
    let columns = [
        Column::new("Animal", 110.0),
        Column::new("What", 200.0).rest(),
        Column::new("Weight", 90.0).right(),
        Column::new("Age, days", 84.0).right(),
        Column::new("Since birth", 108.0).right(),
        Column::new("Since last", 108.0).right(),
        Column::new("Remark", 92.0),
    ];
    let size = egui::vec2(ui.available_width(), ui.available_height().max(height(1, 4, 4)));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        for event in RecordTable::new("Weighed", &columns).single().show(ui, &mut s.table, &s.list) {
            if let TableEvent::Opened((id, _)) = event {
                out.push(Intent::Open(id));
            }
        }
    });
}

fn make(ctx: &Ctx<'_>, day: Day, s: &mut Days) {
    let mut mean = Mean::default();
    let mut rows: Vec<(WeighingId, Row<(AnimalId, WeighingId)>)> = Vec::new();
    let (mut stand, mut struck) = (0, 0);
    for f in ctx.flock.files() {
        for w in f.weighings.iter().filter(|w| w.at.day == day) {
            if w.struck.is_some() {
                struck += 1;
            } else {
                stand += 1;
                mean.add(w.weight);
            }
            rows.push((w.id, row(ctx, f, w)));
        }
    }
    rows.sort_by_key(|(id, _)| std::cmp::Reverse(*id));
    s.list.set(rows.into_iter().map(|(_, r)| r).collect());
    s.words = if stand == 1 { phrase!("1 weighing") } else { phrase!("{stand} weighings") };
    if let Some(mean) = mean.mean() {
        s.words += &phrase!(", mean {}", mean.show(ctx.units()));
    }
    if struck > 0 {
        s.words += &phrase!(", {struck} struck out");
    }
}

fn row(ctx: &Ctx<'_>, f: &AnimalFile, w: &Weighing) -> Row<(AnimalId, WeighingId)> {
    let units = ctx.units();
    let struck = w.struck.is_some();
    let text = w.weight.show(units);
    let cell = if struck { Cell::text(text.clone()).struck() } else { Cell::text(text.clone()) };
    let g = gains(f, w.at.day, w.weight);
    let (birth, last) = if struck { (None, None) } else { (g.since_birth, g.since_last.map(|(l, _)| l)) };
    let remark = if struck {
        "struck out"
    } else if ctx.flock.amendments(RecordRef::Weighing(w.id)).is_empty() {
        ""
    } else {
        "amended"
    };
    Row::new((f.animal.id, w.id))
        .tag(f.animal.tag())
        .text(ctx.detail(f))
        .cell(cell, By::Number(w.weight.grams()), text)
        .number(g.age.map(|a| a.to_string()).unwrap_or_default(), g.age)
        .number(birth.map(|b| b.show(units)).unwrap_or_default(), birth.map(|b| b.0))
        .number(last.map(|l| l.show(units)).unwrap_or_default(), last.map(|l| l.0))
        .cell(Cell::text(remark).faint(), By::Text(remark.into()), remark)
}

//! How every animal of the flock grows: last weight, gains, weight carried to 60 days.

use super::super::list::{By, List, Row, take_out};
use super::super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Field, Form};
use hirsel_core::flock::{AnimalFile, natural};
use hirsel_core::reckon::growth::{gains, sixty_day};
use hirsel_core::terms::{AnimalId, Day, norm};

/// The list, made once.
#[derive(Debug, Default)]
pub(super) struct Growth {
    made_for: Option<(u64, Day, String)>,
    list: List<AnimalId>,
    table: TableState<AnimalId>,
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    g: &mut Growth,
    search: &mut String,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    let mut form = Form::new(ui, "growth").label_width(60.0);
    form.focus_once(ui, into, "Search");
    form.field(ui, &Field::new("Search").width(260.0).example("tag, pen, ewe lamb"), search);
    form.finish(ui);
    let wanted = (ctx.flock.version(), ctx.today, search.clone());
    if g.made_for.as_ref() != Some(&wanted) {
        let text = search.trim().to_lowercase();
        let bare = norm(search);
        let mut files: Vec<&AnimalFile> = ctx
            .flock
            .present()
            .filter(|f| {
                text.is_empty()
                    || norm(f.animal.tag()).contains(&bare)
                    || ctx.detail(f).to_lowercase().contains(&text)
            })
            .collect();
        files.sort_by(|a, b| natural(a.animal.tag(), b.animal.tag()));
        g.list.set(files.into_iter().map(|f| row(ctx, f)).collect());
        g.made_for = Some(wanted);
    }
    ui.horizontal(|ui| {
        look::faint(ui, format!("{} animals", g.list.rows.len()));
        let chosen: Vec<AnimalId> = g.table.selected().iter().copied().collect();
        if ui.add_enabled(!chosen.is_empty(), egui::Button::new("Treat the chosen")).clicked() {
            out.push(Intent::Treat(chosen));
        }
        let heads = ["tag", "what", "weight", "on", "age_days", "since_birth", "since_last", "at_60_days"];
        take_out(ui, "growth", &heads, &g.list, &mut g.table, out);
        look::faint(ui, "A weight at 60 days in grey was weighed outside 53 to 67 days: read it with care.");
    });
    ui.add_space(space::XS);
    let columns = [
        Column::new("Animal", 104.0),
        Column::new("What", 190.0).rest(),
        Column::new("Last weight", 96.0).right(),
        Column::new("On", 96.0),
        Column::new("Age, days", 84.0).right(),
        Column::new("A day since birth", 134.0).right(),
        Column::new("A day since last", 128.0).right(),
        Column::new("At 60 days", 96.0).right(),
    ];
    for event in RecordTable::new("Growth", &columns).show(ui, &mut g.table, &g.list) {
        if let TableEvent::Opened(id) = event {
            out.push(Intent::Open(id));
        }
    }
}

fn row(ctx: &Ctx<'_>, f: &AnimalFile) -> Row<AnimalId> {
    let units = ctx.units();
    let last = f.last_weight(ctx.today);
    let g = last.map(|(on, w)| gains(f, on, w));
    let sixty = sixty_day(f);
    let show = |gain: Option<hirsel_core::terms::Gain>| gain.map(|g| g.show(units)).unwrap_or_default();
    let birth = g.and_then(|g| g.since_birth);
    let since = g.and_then(|g| g.since_last).map(|(l, _)| l);
    let age = g.and_then(|g| g.age);
    let words = sixty.map(|s| s.weight.show(units)).unwrap_or_default();
    let cell = match sixty {
        Some(s) if s.is_within_window() => Cell::text(words.clone()),
        _ => Cell::text(words.clone()).faint(),
    };
    Row::new(f.animal.id)
        .tag(f.animal.tag())
        .text(ctx.detail(f))
        .number(last.map(|(_, w)| w.show(units)).unwrap_or_default(), last.map(|(_, w)| w.grams()))
        .number(last.map(|(d, _)| d.words()).unwrap_or_default(), last.map(|(d, _)| d.since(ctx.today)))
        .number(age.map(|a| a.to_string()).unwrap_or_default(), age)
        .number(show(birth), birth.map(|g| g.0))
        .number(show(since), since.map(|g| g.0))
        .cell(cell, By::number(sixty.map(|s| s.weight.grams())), words)
}

//! Beside the form: who the ewe is and how she lambed before.

use super::super::list::{List, Row, height};
use super::super::{Ctx, Intent, fields};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::AnimalFile;
use hirsel_core::reckon::clearance::clearance;
use hirsel_core::reckon::{figures, gestation};
use hirsel_core::terms::{AnimalId, LambingId, Units, Weight};

/// Her past lambings, made once.
#[derive(Debug, Default)]
pub(super) struct Beside {
    made_for: Option<(u64, AnimalId)>,
    list: List<LambingId>,
    notes: Vec<(String, String)>,
    /// Some of her lambs are not 60 days old yet.
    young: bool,
    /// Widths of the columns of weights.
    wide: [f32; 2],
    table: TableState<LambingId>,
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    ewe: &AnimalFile,
    beside: &mut Beside,
    out: &mut Vec<Intent>,
) {
    let a = &ewe.animal;
    let wanted = (ctx.flock.version(), a.id);
    if beside.made_for != Some(wanted) {
        beside.made_for = Some(wanted);
        make(ctx, ewe, beside);
    }
    look::subheading(ui, a.title());
    look::faint(ui, ctx.detail(ewe));
    let c = clearance(ewe, ctx.today);
    if c.is_held(ctx.today) {
        look::chip(ui, Kind::Caution, &c.held_words(ctx.today));
        look::faint(ui, c.because());
    }
    if let Some(note) = &a.note {
        look::italic(ui, note);
    }
    let due = gestation::expected_of(ewe, ctx.today).filter(|_| a.status.is_here());
    if let Some(e) = due {
        let late = e.window.late.map_or("later".to_string(), |d| d.words());
        look::faint(
            ui,
            format!(
                "Due {} ({} to {late}), with {}",
                e.window.due.words(),
                e.window.early.short(),
                ctx.flock.tag(e.ram)
            ),
        );
    }
    ui.add_space(space::S);
    look::subheading(ui, format!("Past lambings ({})", beside.list.rows.len()));
    if beside.list.rows.is_empty() {
        look::faint(ui, "None written down: her first, as far as the book knows.");
    } else {
        let metric = ctx.units() == Units::Metric;
        let columns = [
            Column::new("Year", 50.0),
            Column::new("Ram", 46.0).rest(),
            Column::new("Born", 40.0).right(),
            Column::new("Alive", 42.0).right(),
            Column::new("Reared", 54.0).right(),
            Column::new(if metric { "Birth, kg" } else { "Birth weights" }, beside.wide[0]).rest(),
            Column::new(if metric { "60 days, kg" } else { "At 60 days" }, beside.wide[1]).rest(),
        ];
        let size = egui::vec2(ui.available_width(), height(beside.list.rows.len(), 1, 6));
        ui.allocate_ui(size, |ui| {
            ui.set_min_size(size);
            let table = RecordTable::new("Past lambings", &columns).single();
            for event in table.show(ui, &mut beside.table, &beside.list) {
                if matches!(event, TableEvent::Opened(_)) {
                    out.push(Intent::Open(a.id));
                }
            }
        });
        if beside.young {
            look::faint(ui, "Reared: so many to 60 days + so many still young.");
        }
        for (year, note) in &beside.notes {
            ui.horizontal_wrapped(|ui| {
                look::strong(ui, year);
                ui.label(note);
            });
        }
    }
    ui.add_space(space::S);
    if ui.button("Open her leaf").clicked() {
        out.push(Intent::Open(a.id));
    }
}

fn make(ctx: &Ctx<'_>, ewe: &AnimalFile, beside: &mut Beside) {
    let units = ctx.units();
    let mut rows = Vec::new();
    let mut longest = [0; 2];
    beside.young = false;
    beside.notes.clear();
    for l in ewe.lambings_standing().rev() {
        let r = figures::lambing_row(ctx.flock, l, ctx.today);
        // The head of the column has the unit.
        let short = |all: String| all.trim_end_matches(" kg").to_string();
        let birth = short(fields::weights_short(units, r.birth_weights.iter().flatten().copied()));
        let tenth = |w: &Weight| Weight::from_grams((w.grams() + 50) / 100 * 100).unwrap_or(*w);
        let sixty = short(fields::weights_short(units, r.sixty_day.iter().flatten().map(tenth)));
        longest = [longest[0].max(birth.chars().count()), longest[1].max(sixty.chars().count())];
        beside.young |= r.growing > 0;
        let reared =
            if r.growing > 0 { format!("{} + {}", r.reared, r.growing) } else { r.reared.to_string() };
        rows.push(
            Row::new(l.id)
                .number(r.on.year().to_string(), Some(r.on.since(ctx.today)))
                .text(r.ram.map(|id| ctx.flock.tag(id).to_string()).unwrap_or_default())
                .number(r.born.to_string(), Some(r.born.into()))
                .number(r.alive.to_string(), Some(r.alive.into()))
                .number(reared, Some(r.reared.into()))
                .text(birth)
                .text(sixty),
        );
        let mut told = Vec::new();
        if let Some(e) = r.ease.filter(|e| *e > hirsel_core::terms::Ease::Unassisted) {
            told.push(e.words().to_string());
        }
        told.extend(r.trouble);
        if !told.is_empty() {
            beside.notes.push((r.on.year().to_string(), told.join("; ")));
        }
    }
    // As wide as the longest, so that nothing is cut; a line of very many is read by pointing at it.
    beside.wide = longest.map(|n| (n as f32 * 8.0 + 8.0).clamp(76.0, 170.0));
    beside.list.set(rows);
}

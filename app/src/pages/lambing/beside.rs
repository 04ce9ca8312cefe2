//! Beside the form: who the ewe is and how she lambed before.

use super::super::list::{List, Row, height};
use super::super::{Ctx, Intent, fields};
use crate::look::{self, Kind, space};
use crate::parts::caution;
use crate::parts::record_table::{Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::AnimalFile;
use hirsel_core::phrase;
use hirsel_core::reckon::clearance::clearance;
use hirsel_core::reckon::{figures, gestation};
use hirsel_core::terms::Why;
use hirsel_core::terms::{AnimalId, LambingId, Weight};

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
    /// Width of the numbers of lambs.
    reared: f32,
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
        look::chip(ui, Kind::Caution, c.held_words(ctx.today));
        caution::remember(ui, Why::Withdrawal);
        look::faint(ui, c.because());
    }
    if let Some(note) = &a.note {
        look::italic(ui, note);
    }
    let due = gestation::expected_of(ctx.flock, ewe, ctx.today).filter(|_| a.status.is_here());
    if let Some(e) = due {
        let late = e.window.late.map_or(phrase!("later"), |d| d.words());
        look::faint(
            ui,
            phrase!(
                "Due {} ({} to {late}), with {}",
                e.window.due.words(),
                e.window.early.short(),
                e.rams_words(ctx.flock)
            ),
        );
    }
    ui.add_space(space::S);
    look::subheading(ui, phrase!("Past lambings ({})", beside.list.rows.len()));
    if beside.list.rows.is_empty() {
        look::faint(ui, "None written down: her first, as far as the book knows.");
    } else {
        let columns = [
            Column::new("Year", 52.0),
            Column::new("Reared", beside.reared),
            Column::new("Birth", beside.wide[0]).rest(),
            Column::new("60 days", beside.wide[1]).rest(),
            Column::new("Ram", 48.0).rest(),
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
            look::faint(ui, "Reared: so many to 60 days + so many still young, of those born.");
        }
        if ctx.units() == hirsel_core::terms::Units::Metric {
            look::faint(ui, "Weights in kg.");
        }
        for (year, note) in &beside.notes {
            ui.horizontal_wrapped(|ui| {
                look::strong(ui, year);
                ui.label(note);
            });
        }
    }
    ui.add_space(space::S);
    if ui.button(phrase!("Open her leaf")).clicked() {
        out.push(Intent::Open(a.id));
    }
}

fn make(ctx: &Ctx<'_>, ewe: &AnimalFile, beside: &mut Beside) {
    let units = ctx.units();
    let mut rows = Vec::new();
    let mut longest = [0; 2];
    let mut any_young = false;
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
        let reared = phrase!("{reared} of {}", r.born);
        any_young |= r.growing > 0;
        rows.push(
            Row::new(l.id)
                .number(r.on.year().to_string(), Some(r.on.since(ctx.today)))
                .number(reared, Some(r.reared.into()))
                .text(birth)
                .text(sixty)
                .text(r.ram.map(|id| ctx.flock.tag(id).to_string()).unwrap_or_default()),
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
    beside.wide = longest.map(|n| (n as f32 * 7.0 + 18.0).clamp(70.0, 170.0));
    beside.reared = if any_young { 96.0 } else { 72.0 };
    beside.list.set(rows);
}

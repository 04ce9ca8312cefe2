//! Below the line of life: every record, the treatments with their clear days, the lambs.

use super::super::list::{By, List, Row, height, take_out};
use super::super::{Ctx, Intent};
use crate::look::{self, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use hirsel_core::flock::{AnimalFile, RecordRef};
use hirsel_core::phrase;
use hirsel_core::reckon::clearance::clear_after;
use hirsel_core::reckon::life::Event;
use hirsel_core::terms::{AnimalId, Withdrawal, counted};

/// Made once for a version of the flock.
#[derive(Debug, Default)]
pub(super) struct Lists {
    events: List<(RecordRef, usize)>,
    at_events: TableState<(RecordRef, usize)>,
    treatments: List<RecordRef>,
    at_treatments: TableState<RecordRef>,
    offspring: List<AnimalId>,
    at_offspring: TableState<AnimalId>,
    tag: String,
}

impl Lists {
    pub(super) fn make(&mut self, ctx: &Ctx<'_>, file: &AnimalFile, events: &[Event]) {
        self.tag = file.animal.tag().to_string();
        let rows = events.iter().enumerate().rev().map(|(n, e)| {
            let cell =
                if e.struck { Cell::text(e.text.clone()).struck() } else { Cell::text(e.text.clone()) };
            let amended = if ctx.flock.amendments(e.record).is_empty() { "" } else { "amended" };
            let papers = match ctx.flock.documents().standing(e.record).count() {
                _ if matches!(e.record, RecordRef::Animal(_)) => None,
                0 => None,
                n => Some(counted(n, "paper")),
            };
            let remark = if e.struck { "struck out" } else { amended };
            let remark = [Some(remark.to_string()).filter(|r| !r.is_empty()), papers];
            let remark = remark.into_iter().flatten().collect::<Vec<_>>().join(", ");
            Row::new((e.record, n))
                .number(
                    e.at.words(),
                    Some(e.at.day.since(ctx.today) * 1440 + e.at.time.map_or(0, |t| t.of_day())),
                )
                .text(e.kind.words())
                .cell(cell, By::Text(e.text.clone()), e.text.clone())
                .cell(Cell::text(remark.clone()).faint(), By::Text(remark.clone()), remark)
        });
        self.events.set(rows.collect());
        let clear = |t: &hirsel_core::flock::Treatment, p: Withdrawal| {
            let c = clear_after(t.at, p);
            let (cell, by) = super::super::treatments::side(&c, ctx.today);
            // Long past, a day needs its year.
            let cell = if c.is_clear(ctx.today) { Cell::text(c.words()).faint() } else { cell };
            (cell, by, c.text())
        };
        let rows = file.treatments.iter().rev().map(|t| {
            let struck = t.struck.is_some();
            let text = |s: String| if struck { Cell::text(s).struck() } else { Cell::text(s) };
            let (meat, milk) = (clear(t, t.meat), clear(t, t.milk));
            let dose = t.dose.map(|d| d.to_string()).unwrap_or_default();
            let mut row = Row::new(RecordRef::Treatment(t.id))
                .cell(text(t.at.day.words()), By::Number(t.at.day.since(ctx.today)), t.at.day.to_string())
                .cell(text(t.product.to_string()), By::Text(t.product.to_string()), t.product.clone())
                .cell(text(dose.clone()), By::Text(dose.clone()), dose)
                .text(t.reason.clone().unwrap_or_default());
            for (cell, by, words) in [meat, milk] {
                row =
                    if struck { row.cell(Cell::empty(), By::Nothing, "") } else { row.cell(cell, by, words) };
            }
            row
        });
        self.treatments.set(rows.collect());
        let rows = file.offspring.iter().rev().filter_map(|id| ctx.flock.file(*id)).map(|f| {
            let other = if file.animal.sex == hirsel_core::terms::Sex::Ewe {
                f.animal.sire.known()
            } else {
                f.animal.dam
            };
            let weight = f.animal.birth_weight;
            Row::new(f.animal.id)
                .tag(f.animal.tag())
                .text(f.animal.sex.words())
                .number(f.animal.born.words(), f.animal.born.day().map(|d| d.since(ctx.today)))
                .text(other.map(|o| ctx.flock.tag(o).to_string()).unwrap_or_default())
                .number(weight.map(|w| w.show(ctx.units())).unwrap_or_default(), weight.map(|w| w.grams()))
                .text(super::standing(f))
        });
        self.offspring.set(rows.collect());
    }

    /// Draws the lists; gives a record that was opened.
    pub(super) fn view(
        &mut self,
        ui: &mut egui::Ui,
        _ctx: &Ctx<'_>,
        out: &mut Vec<Intent>,
    ) -> Option<RecordRef> {
        let mut opened = None;
        if !self.treatments.rows.is_empty() {
            look::subheading(ui, phrase!("Treatments ({})", self.treatments.rows.len()));
            let columns = [
                Column::new("Given on", 104.0),
                Column::new("Product", 220.0).rest(),
                Column::new("Dose", 80.0).right(),
                Column::new("Reason", 150.0).rest(),
                Column::new("Meat clear", 140.0),
                Column::new("Milk clear", 140.0),
            ];
            sized(ui, self.treatments.rows.len(), |ui| {
                let table = RecordTable::new("Treatments", &columns).single();
                for event in table.show(ui, &mut self.at_treatments, &self.treatments) {
                    if let TableEvent::Opened(r) = event {
                        opened = Some(r);
                    }
                }
            });
        }
        self.every_record(ui, out, &mut opened);
        if !self.offspring.rows.is_empty() {
            look::subheading(ui, phrase!("Lambs ({})", self.offspring.rows.len()));
            let columns = [
                Column::new("Tag", 110.0),
                Column::new("Sex", 70.0),
                Column::new("Born", 110.0),
                Column::new("Other parent", 110.0),
                Column::new("Birth weight", 100.0).right(),
                Column::new("Standing", 200.0).rest(),
            ];
            sized(ui, self.offspring.rows.len(), |ui| {
                let table = RecordTable::new("Lambs", &columns).single();
                for event in table.show(ui, &mut self.at_offspring, &self.offspring) {
                    if let TableEvent::Opened(id) = event {
                        out.push(Intent::Open(id));
                    }
                }
            });
        }
        opened
    }

    fn every_record(&mut self, ui: &mut egui::Ui, out: &mut Vec<Intent>, opened: &mut Option<RecordRef>) {
        if self.events.rows.is_empty() {
            look::subheading(ui, "Every record");
            look::faint(ui, "Nothing yet. What you weigh, treat or note above is listed here, newest first.");
            ui.add_space(space::M);
            return;
        }
        ui.horizontal(|ui| {
            look::subheading(ui, phrase!("Every record ({})", self.events.rows.len()));
            let name = phrase!("records of {}", self.tag.replace('/', "-"));
            take_out(ui, &name, &["when", "kind", "what", "remark"], &self.events, &mut self.at_events, out);
            look::faint(ui, "Enter opens one, to read it whole, amend it or strike it out.");
        });
        let columns = [
            Column::new("When", 150.0),
            Column::new("Kind", 100.0),
            Column::new("What", 300.0).rest(),
            Column::new("Remark", 100.0),
        ];
        sized(ui, self.events.rows.len(), |ui| {
            let table = RecordTable::new("Every record", &columns).single();
            for event in table.show(ui, &mut self.at_events, &self.events) {
                if let TableEvent::Opened((r, _)) = event {
                    *opened = Some(r);
                }
            }
        });
    }
}

fn sized(ui: &mut egui::Ui, rows: usize, add: impl FnOnce(&mut egui::Ui)) {
    let size = egui::vec2(ui.available_width(), height(rows, 1, 10));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        add(ui);
    });
    ui.add_space(space::M);
}

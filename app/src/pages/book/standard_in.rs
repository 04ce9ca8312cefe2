//! A file of the open standard of animal data: read and looked at first, then brought in as one write, or not at all.

use super::super::list::{List, Row, height, take_out};
use super::super::{Ctx, Intent, fields};
use crate::desk::standard::{Arriving, Ready, Refusal};
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Column, RecordTable, TableState};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::exchange::standard::{BadRecord, Incoming, New};
use hirsel_core::phrase;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    file: String,
    word: String,
    #[serde(skip)]
    made_for: u64,
    #[serde(skip)]
    faults: Rows,
    #[serde(skip)]
    records: Rows,
    #[serde(skip)]
    ask: bool,
}

/// A list made once for a file that was read.
#[derive(Debug, Default)]
struct Rows {
    list: List<usize>,
    table: TableState<usize>,
}

const LABELS: f32 = 110.0;
/// Rows seen at once.
const SEEN: usize = 8;

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) {
    ui.add_space(space::L);
    look::subheading(ui, "Animal data of other programs");
    if let Some(Arriving::Reading { path, .. }) = ctx.arriving
        && crate::desk::files::absolute(&t.file, ctx.path) != *path
    {
        t.file = path.display().to_string();
    }
    let mut form = Form::new(ui, "standard in").label_width(LABELS);
    form.field(
        ui,
        &Field::new("Data file").width(440.0).example("JSON of the open standard ICAR ADE"),
        &mut t.file,
    );
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        go |= ui.button(phrase!("Read the data")).clicked();
        if ui.button(phrase!("Choose a data file…")).clicked() {
            out.push(Intent::ImportStandard(None));
        }
    });
    if go {
        match fields::some(&t.file) {
            Some(path) => out.push(Intent::ImportStandard(Some(PathBuf::from(path)))),
            None => out.push(Intent::Say(Kind::Refuse, phrase!("which file? Type its name, or choose it"))),
        }
    }
    ui.add_space(space::S);
    match ctx.arriving {
        None => {}
        Some(Arriving::Reading { name, .. }) => {
            look::faint(ui, phrase!("Reading {name} …"));
        }
        Some(Arriving::Refused { name, why: Refusal { number, whole, bad } }) => {
            let text = phrase!("{name} was refused and nothing was written: mend these and read it again");
            look::banner(ui, Kind::Refuse, &text, |ui| {
                if let Some(line) = whole {
                    ui.add(egui::Label::new(line).wrap());
                }
            });
            if t.made_for != *number {
                t.made_for = *number;
                t.faults = faults(bad);
            }
            fault_table(ui, ("Records to mend", "What to do"), bad, &mut t.faults, out);
            if ui.button(phrase!("Close")).clicked() {
                out.push(Intent::LeaveStandard);
            }
        }
        Some(Arriving::Ready(read)) => {
            let Ready { number, sentence, found, .. } = &**read;
            let fresh = t.made_for != *number;
            if fresh {
                t.made_for = *number;
                t.word.clear();
                t.faults = faults(&found.cautions);
                t.records = records(&found.new);
                t.ask = !found.cautions.is_empty() && !found.is_empty();
            }
            ready(ui, t, fresh, sentence, found, out);
        }
    }
}

/// What was read, before anything is written.
fn ready(
    ui: &mut egui::Ui,
    t: &mut Typed,
    fresh: bool,
    sentence: &str,
    found: &Incoming,
    out: &mut Vec<Intent>,
) {
    look::banner(ui, Kind::Accent, phrase!("Read and checked: {sentence}", sentence = &sentence), |ui| {
        for told in &found.told {
            ui.add(egui::Label::new(told).wrap());
        }
    });
    if !found.new.is_empty() {
        new_table(ui, &mut t.records, found.new.len(), out);
    }
    let ask = !found.cautions.is_empty() && !found.is_empty();
    if !found.cautions.is_empty() {
        let n = found.cautions.len();
        let words =
            if n == 1 { phrase!("1 record looks unlikely") } else { phrase!("{n} records look unlikely") };
        look::word(ui, Kind::Caution, &words);
        fault_table(ui, ("Records to look at", "What is odd"), &found.cautions, &mut t.faults, out);
    }
    let mut yes = false;
    if ask {
        look::paragraph(
            ui,
            "If all of it is right as written, say why in a word or two: it is kept with the import.",
        );
        let mut form = Form::new(ui, "standard word").label_width(LABELS);
        form.focus_once(ui, &mut t.ask, "Why");
        form.field(ui, &Field::new("Why").width(440.0).example("as the other program has it"), &mut t.word);
        yes = form.finish(ui) == FormEvent::Submitted;
    }
    ui.horizontal(|ui| {
        if found.is_empty() {
            look::faint(ui, "There is nothing new in it.");
        } else {
            let button = look::primary(ui, "Bring the data in");
            if fresh && !ask {
                button.request_focus();
            }
            yes |= button.clicked();
        }
        if ui.button(phrase!("Leave the data")).clicked() {
            out.push(Intent::LeaveStandard);
        }
    });
    if yes {
        out.push(Intent::BringStandard(t.word.clone()));
    }
}

fn faults(all: &[BadRecord]) -> Rows {
    let row = |(i, r): (usize, &BadRecord)| {
        Row::new(i).text(r.place.clone()).text(r.field.clone()).text(r.why.clone()).said(r.to_string())
    };
    let mut rows = Rows::default();
    rows.list.set(all.iter().enumerate().map(row).collect());
    rows
}

fn records(all: &[New]) -> Rows {
    let row = |(i, n): (usize, &New)| {
        let on = n.on.map(|d| d.to_string()).unwrap_or_default();
        let said = phrase!("{} of {}: {}", n.kind, n.animal, n.what);
        Row::new(i).text(n.kind).tag(n.animal.clone()).text(on).text(n.what.clone()).said(said)
    };
    let mut rows = Rows::default();
    rows.list.set(all.iter().enumerate().map(row).collect());
    rows
}

fn fault_table(
    ui: &mut egui::Ui,
    (name, heading): (&'static str, &'static str),
    all: &[BadRecord],
    rows: &mut Rows,
    out: &mut Vec<Intent>,
) {
    if all.is_empty() {
        return;
    }
    ui.horizontal(|ui| {
        look::faint(ui, if all.len() == 1 { phrase!("1 record") } else { phrase!("{} records", all.len()) });
        take_out(ui, &name.to_lowercase(), &["record", "field", "why"], &rows.list, &mut rows.table, out);
    });
    let columns =
        [Column::new("Record", 330.0), Column::new("Field", 130.0), Column::new(heading, 300.0).rest()];
    shown(ui, name, &columns, rows, all.len());
    if let Some(r) = rows.table.cursor().and_then(|i| all.get(i)) {
        look::paragraph(ui, r.to_string());
    }
    ui.add_space(space::XS);
}

fn new_table(ui: &mut egui::Ui, rows: &mut Rows, n: usize, out: &mut Vec<Intent>) {
    ui.horizontal(|ui| {
        look::faint(ui, if n == 1 { phrase!("1 new record") } else { phrase!("{n} new records") });
        take_out(ui, "new records", &["what", "animal", "on", "in words"], &rows.list, &mut rows.table, out);
    });
    let columns = [
        Column::new("What", 120.0),
        Column::new("Animal", 150.0),
        Column::new("On", 110.0),
        Column::new("In words", 300.0).rest(),
    ];
    shown(ui, "New records", &columns, rows, n);
}

fn shown(ui: &mut egui::Ui, name: &'static str, columns: &[Column], rows: &mut Rows, n: usize) {
    let size = egui::vec2(ui.available_width(), height(n, 2, SEEN));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        RecordTable::new(name, columns).single().show(ui, &mut rows.table, &rows.list);
    });
}

//! Tables in: any table is read and looked at first, mended where it was not understood, then brought in as one write, or
//! not at all.

mod columns;
mod rows;

use super::super::{Ctx, Intent, fields};
use super::faults::{self, Faults};
use crate::desk::tables::{Coming, Ready};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use egui::Key;
use hirsel_core::exchange::incoming::{Fate, Preview};
use hirsel_core::exchange::scale::DateAsk;
use hirsel_core::exchange::{BadRow, Kind as Table};
use hirsel_core::phrase;
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    /// Place of the kind in the choice; 0 is to find out.
    kind: Option<usize>,
    file: String,
    word: String,
    standard: super::standard_in::Typed,
    #[serde(skip)]
    shows_help: bool,
    #[serde(skip)]
    shows_kinds: bool,
    #[serde(skip)]
    faults: Faults,
    /// The table shown last.
    #[serde(skip)]
    shown: u64,
    /// The keyboard is to go on to the last step.
    #[serde(skip)]
    into_last: bool,
    #[serde(skip)]
    into_days: bool,
    #[serde(skip)]
    columns: columns::State,
    #[serde(skip)]
    rows: rows::State,
}

const LABELS: f32 = 110.0;

/// Kinds that nearly every keeper has a table of.
const USUAL: [Table; 7] = [
    Table::Animals,
    Table::Joinings,
    Table::Lambings,
    Table::Weighings,
    Table::Treatments,
    Table::Products,
    Table::Movements,
];

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    which(ui, ctx, t, into, out);
    match ctx.coming {
        None => {}
        Some(Coming::Reading { name, .. }) => {
            ui.add_space(space::S);
            look::faint(ui, phrase!("Reading {name} …"));
        }
        Some(Coming::Refused { name, why }) => {
            ui.add_space(space::S);
            look::banner(ui, Kind::Refuse, format!("{name}: {why}"), |_| {});
            if ui.button(phrase!("Close")).clicked() {
                out.push(Intent::ImportNo);
            }
        }
        Some(Coming::Ready(ready)) => {
            ui.add_space(space::S);
            ready_view(ui, ctx, t, ready, out);
        }
    }
    super::standard_in::view(ui, ctx, &mut t.standard, out);
}

/// Which file, and what it holds.
fn which(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, into: &mut bool, out: &mut Vec<Intent>) {
    // The kinds a keeper is most likely to have; the others on demand.
    let before = t.kind.unwrap_or(0);
    let all = t.shows_kinds || kind(t).is_some_and(|k| !USUAL.contains(&k));
    let kinds: Vec<(usize, &str)> = std::iter::once((0, "find out"))
        .chain(
            Table::ALL
                .iter()
                .enumerate()
                .filter(|(_, k)| all || USUAL.contains(k))
                .map(|(n, k)| (n + 1, k.name())),
        )
        .collect();
    look::subheading(ui, "Bring in a table");
    let mut form = Form::new(ui, "bring in").label_width(LABELS);
    form.focus_once(ui, into, "It holds");
    let mut chosen = Some(before);
    form.choice(ui, &Choice::new("It holds", &kinds), &mut chosen);
    t.kind = chosen;
    let kind = kind(t);
    // A file chosen in the dialog stands in the field too.
    if let Some(Coming::Reading { path, .. }) = ctx.coming {
        let shown = crate::desk::files::absolute(&t.file, ctx.path);
        if shown != *path {
            t.file = path.display().to_string();
        }
    }
    form.field(ui, &Field::new("File").width(440.0).example("a table: CSV, .xlsx or .ods"), &mut t.file);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    let ready = match ctx.coming {
        Some(Coming::Ready(ready)) => Some(ready),
        _ => None,
    };
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        // Only one button of the page asks to be pressed: the last step, once something is read.
        let read = if ready.is_some() { ui.button(phrase!("Read it")) } else { look::primary(ui, "Read it") };
        go |= read.clicked();
        if ui.button(phrase!("Choose a file…")).clicked() {
            out.push(Intent::Import { kind, path: None, sheet: None });
        }
        let word = if t.shows_help { "Hide the columns" } else { "What the columns are" };
        if ui.button(crate::look::spoken(word)).clicked() {
            t.shows_help = !t.shows_help;
        }
        if !all && ui.button(phrase!("More kinds")).clicked() {
            t.shows_kinds = true;
        }
    });
    if go {
        match fields::some(&t.file) {
            Some(path) => out.push(Intent::Import { kind, path: Some(PathBuf::from(path)), sheet: None }),
            None => out.push(Intent::Say(Kind::Refuse, phrase!("which file? Type its name, or choose it"))),
        }
    } else if let Some(ready) = ready.filter(|_| chosen != Some(before)) {
        // Said of a table that is read: its columns are guessed for the other kind.
        let choice = hirsel_core::exchange::incoming::Choice {
            kind,
            order: ready.choice.order,
            change: ready.choice.change,
            skip: ready.choice.skip,
            ..Default::default()
        };
        out.push(Intent::ImportAs(Box::new(choice)));
    }
    if t.shows_help {
        help(ui, kind.unwrap_or(Table::Animals));
    } else if ready.is_none() {
        look::paragraph(
            ui,
            "Any table will do: its columns are known by their heads (Eartag, DOB, Mother, Weight (lb)) and by what stands in them. It is shown first; nothing is written until you say so.",
        );
    }
}

fn kind(t: &Typed) -> Option<Table> {
    t.kind.and_then(|k| k.checked_sub(1)).and_then(|k| Table::ALL.get(k).copied())
}

/// Every column of ours and what stands in it.
fn help(ui: &mut egui::Ui, kind: Table) {
    look::paragraph(
        ui,
        phrase!(
            "Our own columns of {}, by which every table is read; days are written 2026-04-03 here:",
            kind.name()
        ),
    );
    egui::Grid::new("columns").num_columns(3).spacing([space::L, 2.0]).show(ui, |ui| {
        for c in kind.columns() {
            look::strong(ui, c.name);
            look::faint(ui, if c.needed { "must be there" } else { "" });
            ui.label(c.about);
            ui.end_row();
        }
    });
}

/// What was read, before anything is written.
fn ready_view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, ready: &Ready, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    if t.shown != ready.number {
        let is_new = !t.columns.is_of(ready);
        t.shown = ready.number;
        t.into_days = p.ask.is_some();
        t.into_last = is_new && p.ask.is_none();
        if is_new {
            t.word.clear();
        }
    }
    let text = format!("{}: {}", p.file, p.sentence());
    let open = p.stands_open();
    let kind = if open.is_empty() { Kind::Accent } else { Kind::Caution };
    look::banner(ui, kind, &text, |ui| {
        for line in open.iter().filter(|_| p.ask.is_none()) {
            ui.add(egui::Label::new(line).wrap());
        }
        if let Some(ask) = &p.ask {
            days(ui, ready, ask, &mut t.into_days, out);
        }
    });
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, phrase!("Taken for {}: {}. {}.", p.kind.name(), p.kind_why, p.how.join("; ")));
        if ready.is_remembered {
            look::faint(ui, "Columns as you said of such a table before.");
            if ui.button(phrase!("Forget that")).clicked() {
                out.push(Intent::ImportForget);
            }
        }
    });
    sheets(ui, ready, out);
    last(ui, t, ready, out);
    columns::view(ui, ready, &mut t.columns, out);
    if !p.cautions.is_empty() {
        let n = p.cautions.len();
        let words =
            if n == 1 { phrase!("1 value looks unlikely") } else { phrase!("{n} values look unlikely") };
        look::word(ui, Kind::Caution, &words);
        let odd: Vec<BadRow> = p.cautions.iter().map(|c| c.0.clone()).collect();
        faults::table(ui, ("Values to look at", "What is odd"), ready.number, &odd, &mut t.faults, out);
    }
    if !p.rows.is_empty() {
        rows::view(ui, ctx, ready, &mut t.rows, out);
    }
}

/// Days that can be read in two ways.
fn days(ui: &mut egui::Ui, ready: &Ready, ask: &DateAsk, into: &mut bool, out: &mut Vec<Intent>) {
    ui.label(phrase!("Which day is '{}' on line {}? The table does not say", ask.written, ask.line));
    ui.horizontal(|ui| {
        for (order, day) in &ask.readings {
            let button = ui.button(phrase!("{} ({order})", day.words()));
            // Not in the frame of the Enter that read the file: it would choose at once.
            if *into && !ui.input(|i| i.key_pressed(Key::Enter)) {
                *into = false;
                button.request_focus();
            }
            if button.clicked() {
                let mut choice = ready.choice.clone();
                choice.order = Some(*order);
                out.push(Intent::ImportAs(Box::new(choice)));
            }
        }
    });
}

fn sheets(ui: &mut egui::Ui, ready: &Ready, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    if p.sheets.len() < 2 {
        return;
    }
    let names: Vec<(usize, &str)> = p.sheets.iter().map(String::as_str).enumerate().collect();
    let now = p.sheets.iter().position(|s| Some(s) == p.sheet.as_ref());
    let mut chosen = now;
    let mut form = Form::new(ui, "import sheet").label_width(LABELS);
    form.choice(ui, &Choice::names("Sheet", &names), &mut chosen);
    form.finish(ui);
    if let Some(name) = chosen.filter(|_| chosen != now).and_then(|i| p.sheets.get(i)) {
        let path = Some(ready.path.clone());
        out.push(Intent::Import { kind: ready.choice.kind, path, sheet: Some(name.clone()) });
    }
}

/// The last step: what may be changed and left out, a word if something looks unlikely, then yes or no.
fn last(ui: &mut egui::Ui, t: &mut Typed, ready: &Ready, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    let mut choice = ready.choice.clone();
    let differ = p.count(Fate::Changes);
    let left = p.count(Fate::Refused) + p.count(Fate::Doubtful);
    let mut say = false;
    if differ > 0 || choice.change {
        say |= look::tick(ui, &mut choice.change, "Let the table change what the book holds").changed();
    }
    if left > 0 || choice.skip {
        let words = phrase!("Leave out what is to mend or in doubt ({left}), and bring in the others");
        say |= look::tick(ui, &mut choice.skip, words).changed();
    }
    if say {
        out.push(Intent::ImportAs(Box::new(choice)));
    }
    let mut yes = false;
    let ask = p.asked() > 0;
    if ask {
        look::paragraph(
            ui,
            "If all of it is right as written, say why in a word or two: it is kept with the import.",
        );
        let mut form = Form::new(ui, "import word").label_width(LABELS);
        form.focus_once(ui, &mut t.into_last, "Why");
        form.field(ui, &Field::new("Why").width(440.0).example("weighed twice"), &mut t.word);
        yes = form.finish(ui) == FormEvent::Submitted;
    }
    ui.horizontal(|ui| {
        let can = can(p);
        if p.is_empty() && p.stands_open().is_empty() {
            look::faint(ui, "There is nothing new in it.");
        }
        let button = ui.add_enabled_ui(can, |ui| look::primary(ui, "Bring them in")).inner;
        // Not in the frame of the Enter that read the file: it would press at once.
        if t.into_last && !ask && can && !ui.input(|i| i.key_pressed(Key::Enter)) {
            t.into_last = false;
            button.request_focus();
        }
        yes |= button.clicked();
        if ui.button(phrase!("Leave it")).clicked() {
            out.push(Intent::ImportNo);
        }
    });
    if yes && can(p) {
        out.push(Intent::ImportYes(t.word.clone()));
    }
}

fn can(p: &Preview) -> bool {
    !p.is_empty() && p.stands_open().is_empty()
}

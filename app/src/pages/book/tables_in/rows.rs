//! What each row would become: new, the same, changes, in doubt, to mend. Of a doubtful one the keeper says who it is.

use super::super::super::list::{By, List, Row, fits, height, search_field, take_out};
use super::super::super::{Ctx, Intent};
use super::LABELS;
use crate::desk::tables::Ready;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Choice, Form};
use hirsel_core::exchange::incoming::{Decision, Fate, FieldChange, Row as Judged};
use hirsel_core::phrase;

/// The list, made once for a reading and what is searched for.
#[derive(Debug, Default)]
pub(super) struct State {
    made_for: Option<(u64, String, Option<Fate>)>,
    search: String,
    fate: Option<Fate>,
    into: bool,
    list: List<usize>,
    table: TableState<usize>,
}

/// Rows seen at once.
const SEEN: usize = 9;

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, ready: &Ready, s: &mut State, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    ui.add_space(space::XS);
    look::strong(ui, "Rows");
    filter(ui, ready, s);
    search_field(ui, "import rows", "a tag, a word", &mut s.into, &mut s.search);
    let made_for = (ready.number, s.search.clone(), s.fate);
    if s.made_for.as_ref() != Some(&made_for) {
        let shown = p.rows.iter().filter(|r| s.fate.is_none_or(|f| r.fate == f));
        let mut all: Vec<(Fate, Row<usize>)> = shown
            .map(|r| (r.fate, row(r)))
            .filter(|(_, r)| fits(&s.search, r.plain.iter().map(String::as_str)))
            .collect();
        // What needs a look stands first.
        all.sort_by_key(|(fate, _)| *fate);
        s.list.set(all.into_iter().map(|(_, r)| r).collect());
        s.made_for = Some(made_for);
    }
    ui.horizontal(|ui| {
        let n = s.list.rows.len();
        look::faint(ui, if n == 1 { phrase!("1 row") } else { phrase!("{n} rows") });
        let heads = ["line", "about", "becomes", "what_changes_or_why"];
        take_out(ui, "rows of the table", &heads, &s.list, &mut s.table, out);
    });
    let columns = [
        Column::new("Line", 60.0).right(),
        Column::new("About", 150.0),
        Column::new("Becomes", 110.0),
        Column::new("What changes, or why", 300.0).rest(),
    ];
    let size = egui::vec2(ui.available_width(), height(s.list.rows.len(), 3, SEEN));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        for event in RecordTable::new("Rows of the table", &columns).single().show(ui, &mut s.table, &s.list)
        {
            if let TableEvent::Opened(line) = event {
                turn(ready, line, out);
            }
        }
    });
    beside(ui, ctx, ready, s, out);
}

/// Which rows are shown, with how many there are.
fn filter(ui: &mut egui::Ui, ready: &Ready, s: &mut State) {
    let p = &ready.preview;
    let all = Fate::ALL.map(|f| (f, p.count(f)));
    let words: Vec<(Option<Fate>, String)> = std::iter::once((None, phrase!("all ({})", p.rows.len())))
        .chain(all.into_iter().filter(|a| a.1 > 0).map(|(f, n)| (Some(f), phrase!("{} ({n})", f.words()))))
        .collect();
    let choices: Vec<(Option<Fate>, &str)> = words.iter().map(|(f, w)| (*f, w.as_str())).collect();
    if !choices.iter().any(|c| c.0 == s.fate) {
        s.fate = None;
    }
    let mut form = Form::new(ui, "import fates").label_width(60.0);
    let mut chosen = Some(s.fate);
    form.choice(ui, &Choice::names("Show", &choices), &mut chosen);
    form.finish(ui);
    s.fate = chosen.flatten();
}

/// Leaves a row out, or takes it in again.
fn turn(ready: &Ready, line: usize, out: &mut Vec<Intent>) {
    let mut choice = ready.choice.clone();
    if choice.decisions.remove(&line).is_none() {
        choice.decisions.insert(line, Decision::LeaveOut);
    }
    out.push(Intent::ImportAs(Box::new(choice)));
}

/// What is said of the row under the cursor; of a doubtful one, who it may be.
fn beside(ui: &mut egui::Ui, ctx: &Ctx<'_>, ready: &Ready, s: &State, out: &mut Vec<Intent>) {
    let Some(r) = s.table.cursor().and_then(|line| ready.preview.rows.iter().find(|r| r.line == line)) else {
        look::faint(
            ui,
            "What is to be looked at stands first. Enter on a row leaves it out, or takes it in again.",
        );
        return;
    };
    let what = told(r);
    look::paragraph(
        ui,
        phrase!(
            "Line {}, {}: {}",
            r.line,
            r.fate.words(),
            &if what.is_empty() { look::said("as it stands") } else { what.into() }
        ),
    );
    let decide = |decision: Decision| {
        let mut choice = ready.choice.clone();
        choice.decisions.insert(r.line, decision);
        Intent::ImportAs(Box::new(choice))
    };
    ui.horizontal_wrapped(|ui| {
        ui.add_space(LABELS + space::S);
        for c in &r.could_be {
            if ui.button(phrase!("It is {}", &ctx.flock.tag(c.animal))).clicked() {
                out.push(decide(Decision::That(c.animal)));
            }
        }
        if r.fate == Fate::Doubtful && ui.button(phrase!("A new animal")).clicked() {
            out.push(decide(Decision::New));
        }
        match ready.choice.decisions.get(&r.line) {
            Some(_) => {
                if ui.button(phrase!("As it was read")).clicked() {
                    turn(ready, r.line, out);
                }
            }
            None => {
                if ui.button(phrase!("Leave this row out")).clicked() {
                    out.push(decide(Decision::LeaveOut));
                }
            }
        }
    });
}

/// What it changes, and why it is what it is.
fn told(r: &Judged) -> String {
    let changes = r.changes.iter().map(FieldChange::words);
    changes.chain(r.why.iter().cloned()).collect::<Vec<_>>().join("; ")
}

fn row(r: &Judged) -> Row<usize> {
    let kind = match r.fate {
        Fate::Refused => Kind::Refuse,
        Fate::Doubtful => Kind::Caution,
        Fate::Changes => Kind::Accent,
        Fate::New => Kind::Good,
        Fate::Same | Fate::LeftOut => Kind::Plain,
    };
    let word = r.fate.words();
    Row::new(r.line)
        .number(r.line.to_string(), i64::try_from(r.line).ok())
        .tag(r.who.clone())
        .cell(Cell::chip(kind, word), By::Text(word.into()), word)
        .text(told(r))
}

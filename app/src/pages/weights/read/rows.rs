//! The lines of the file: whose, what weight and gain, what is odd, and those that cannot be read.

use super::super::super::list::{By, List, Row, height};
use super::super::super::{Ctx, Intent, Then, fields};
use super::LABELS;
use crate::desk::scale::Ready;
use crate::look::{self, Kind, space};
use crate::parts::record_table::{Cell, Column, RecordTable, TableEvent, TableState};
use crate::parts::{Form, FormEvent, PickerState};
use hirsel_core::exchange::scale::{ScaleRow, Who};
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Weight};

/// The list, made once for a reading.
#[derive(Debug, Default)]
pub(super) struct State {
    made_for: u64,
    list: List<usize>,
    table: TableState<usize>,
    whose: PickerState<AnimalId>,
}

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, ready: &Ready, s: &mut State, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    if s.made_for != ready.number {
        s.made_for = ready.number;
        let bad = p.bad.iter().map(|b| bad_row(b.line, &b.value, &b.why));
        // What needs a look stands first; a click on a head sorts otherwise.
        let mut all: Vec<(bool, usize, Row<usize>)> = bad.map(|r| (false, r.key, r)).collect();
        all.extend(p.rows.iter().map(|r| {
            let plain = r.odd.is_empty() && matches!(r.who, Who::Found(_));
            (plain, r.line, row(ctx, r))
        }));
        all.sort_by_key(|(plain, line, _)| (*plain, *line));
        s.list.set(all.into_iter().map(|(.., r)| r).collect());
    }
    ui.add_space(space::XS);
    beside(ui, ctx, ready, s, out);
    let columns = [
        Column::new("Line", 56.0).right(),
        Column::new("As read", 150.0),
        Column::new("Animal", 92.0),
        Column::new("When", 108.0),
        Column::new("Weight", 84.0).right(),
        Column::new("A day", 120.0).right(),
        Column::new("Written", 104.0),
        Column::new("What to look at", 200.0).rest(),
    ];
    let size = egui::vec2(ui.available_width(), ui.available_height().max(height(1, 5, 5)));
    ui.allocate_ui(size, |ui| {
        ui.set_min_size(size);
        for event in RecordTable::new("Lines of the file", &columns).single().show(ui, &mut s.table, &s.list)
        {
            if let TableEvent::Opened(line) = event {
                turn(ready, line, out);
            }
        }
    });
}

/// Takes a line in, or leaves it out.
fn turn(ready: &Ready, line: usize, out: &mut Vec<Intent>) {
    let row = ready.preview.rows.iter().find(|r| r.line == line);
    if row.is_none_or(|r| r.animal().is_none() || !r.says_something()) {
        let why = "there is nothing to write of this line: mend the file, or say whose tag it is";
        out.push(Intent::Say(Kind::Refuse, why.into()));
        return;
    }
    let mut choice = ready.choice.clone();
    if !choice.turned.remove(&line) {
        choice.turned.insert(line);
    }
    out.push(Intent::ScaleAs(Box::new(choice)));
}

/// What is said of the line under the cursor; of an unknown tag, whose it is.
fn beside(ui: &mut egui::Ui, ctx: &Ctx<'_>, ready: &Ready, s: &mut State, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    let Some(line) = s.table.cursor() else {
        look::faint(
            ui,
            "What is to be looked at stands first. Enter on a line takes it in or leaves it out.",
        );
        return;
    };
    if let Some(bad) = p.bad.iter().find(|b| b.line == line) {
        look::paragraph(ui, bad.to_string());
        return;
    }
    let Some(r) = p.rows.iter().find(|r| r.line == line) else { return };
    match &r.who {
        Who::Found(id) => {
            let odd = if r.odd.is_empty() { phrase!("nothing odd") } else { r.odd.join("; ") };
            look::paragraph(ui, phrase!("Line {line}, {}: {odd}", &ctx.flock.tag(*id)));
        }
        Who::Several(which) => {
            look::paragraph(ui, phrase!("Line {line}: {} may be {which}: write the whole tag", r.tag));
        }
        Who::Unknown => unknown(ui, ctx, r, s, out),
    }
}

/// A number nobody wears can be given to its animal at once.
fn unknown(ui: &mut egui::Ui, ctx: &Ctx<'_>, r: &ScaleRow, s: &mut State, out: &mut Vec<Intent>) {
    let Some(number) = &r.electronic else {
        look::paragraph(
            ui,
            phrase!("Line {}: no animal wears the tag {}: mend the file, or add the animal", r.line, r.tag),
        );
        return;
    };
    look::paragraph(
        ui,
        phrase!("Line {}: no animal of the book wears {number}. If you know whose it is, give it:", r.line),
    );
    let mut form = Form::new(ui, "whose number").label_width(LABELS);
    form.animal(ui, ctx, "Whose", &mut s.whose, None, |f| f.animal.status.is_here());
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        go |= ui.button(phrase!("Give it this number")).clicked();
    });
    if !go {
        return;
    }
    let on = r.at.map_or(ctx.today, |a| a.day);
    let checked = fields::picked(ctx, &s.whose, "the animal")
        .and_then(|id| id.ok_or_else(|| phrase!("whose number is it? Type any part of its tag")))
        .and_then(|id| super::session::wear(ctx, id, number, on));
    match checked {
        Ok(checked) => {
            s.whose.clear();
            out.push(Intent::Write { checked: Box::new(checked), then: Then::Nothing });
        }
        Err(why) => out.push(Intent::Say(Kind::Refuse, why)),
    }
}

fn bad_row(line: usize, value: &str, why: &str) -> Row<usize> {
    Row::new(line)
        .number(line.to_string(), i64::try_from(line).ok())
        .text(value.to_string())
        .text("")
        .text("")
        .text("")
        .text("")
        .cell(Cell::chip(Kind::Refuse, "to mend"), By::Text("to mend".into()), "to mend")
        .text(why.to_string())
}

fn row(ctx: &Ctx<'_>, r: &ScaleRow) -> Row<usize> {
    let units = ctx.units();
    let number = r.electronic.as_ref().filter(|_| r.tag.len() > 12);
    let (animal, word, kind) = match &r.who {
        Who::Found(id) => {
            let (word, kind) = if r.is_taken { ("yes", Kind::Good) } else { ("no", Kind::Plain) };
            (ctx.flock.tag(*id).to_string(), word, kind)
        }
        Who::Unknown => (String::new(), "unknown", Kind::Caution),
        Who::Several(_) => (String::new(), "which?", Kind::Caution),
    };
    let gain = r.gains.and_then(|g| g.since_last).map(|(g, _)| g);
    let mut odd = r.odd.clone();
    match &r.who {
        Who::Unknown => odd.insert(0, "no animal of the book wears it".into()),
        Who::Several(which) => odd.insert(0, phrase!("may be {which}")),
        Who::Found(_) => {}
    }
    odd.extend(r.scores.iter().map(|s| s.words()));
    odd.extend(r.note.clone());
    Row::new(r.line)
        .number(r.line.to_string(), i64::try_from(r.line).ok())
        .text(number.cloned().unwrap_or_else(|| r.tag.clone()))
        .tag(animal)
        .text(r.at.map(|a| a.day.words()).unwrap_or_default())
        .number(r.weight.map(|w| w.show(units)).unwrap_or_default(), r.weight.map(Weight::grams))
        .number(gain.map(|g| g.show(units)).unwrap_or_default(), gain.map(|g| g.0))
        .cell(Cell::chip(kind, word), By::Text(word.into()), word)
        .text(odd.join("; "))
}

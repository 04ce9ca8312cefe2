//! The answer: what it stands on, the table, and the animal under the cursor in words.

use super::super::super::{Ctx, Intent};
use super::rows::{SHOWN, amount, columns, heads, make};
use super::{State, sentence};
use crate::desk::values::Found;
use crate::look::{self, Kind, space};
use crate::pages::list::{into_table, search_field, take_out};
use crate::parts::record_table::{RecordTable, TableEvent};
use crate::parts::{Choice, Form, FormEvent};
use hirsel_core::phrase;
use hirsel_core::reckon::evaluation::{Evaluation, Model, accuracy_word};
use hirsel_core::terms::{AnimalId, counted};
use std::sync::Arc;

const TABLE: &str = "Breeding values";

/// Draws it; tells whether the question is to be changed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    found: &Arc<Found>,
    out: &mut Vec<Intent>,
) -> bool {
    if !make(ui, ctx, state, found) {
        look::faint(ui, "The animals are being put in order …");
        return false;
    }
    let mut back = false;
    ui.horizontal_wrapped(|ui| {
        look::strong(ui, sentence(&found.words()));
        look::faint(ui, counted(state.made.list.rows.len(), "animal"));
        back = ui.button(phrase!("Change the question")).clicked();
        let heads = heads(found);
        let heads: Vec<&str> = heads.iter().map(String::as_str).collect();
        let name = phrase!("Breeding values, {}", found.words());
        take_out(ui, &name, &heads, &state.made.list, &mut state.table, out);
    });
    if found.version != ctx.flock.version() {
        look::banner(ui, Kind::Caution, "The book has changed since these were reckoned.", |ui| {
            if ui.button(phrase!("Reckon anew")).clicked() {
                out.push(Intent::FindValues(Box::new(found.ask.clone())));
            }
        });
    }
    ui.label(meaning(ctx, found));
    look::faint(ui, format!("{}. {}", basis(found), notes(found).join(" ")));
    ui.add_space(space::XS);
    let mut no = false;
    ui.horizontal_wrapped(|ui| {
        let room = egui::vec2(380.0, 34.0);
        let found = ui.allocate_ui(room, |ui| {
            search_field(ui, TABLE, "tag, name or what it is", &mut no, &mut state.search)
        });
        state.into |= found.inner;
        let mut form = Form::new(ui, "values shown").label_width(50.0);
        let mut show = Some(state.show);
        form.choice(ui, &Choice::new("Which", &SHOWN), &mut show);
        state.show = show.unwrap_or_default();
        state.into |= form.finish(ui) == FormEvent::Submitted;
    });
    make(ui, ctx, state, found);
    if state.made.list.rows.is_empty() {
        look::paragraph(ui, "No animal fits.");
        return back;
    }
    ui.add_space(space::XS);
    let whole = ui.available_rect_before_wrap();
    // In a low window the table has all the room; what the last lines tell stands in its columns.
    let foot = if whole.height() > 210.0 { 52.0 } else { 0.0 };
    let mut above = whole;
    above.max.y = whole.bottom() - foot;
    let columns = columns(found);
    ui.scope_builder(egui::UiBuilder::new().max_rect(above), |ui| {
        if std::mem::take(&mut state.into) {
            into_table(ui, TABLE);
        }
        for event in RecordTable::new(TABLE, &columns).single().show(ui, &mut state.table, &state.made.list) {
            match event {
                TableEvent::Opened(id) => out.push(Intent::Open(id)),
                TableEvent::CursorMoved(id) => state.at = Some(id),
                _ => {}
            }
        }
    });
    if foot == 0.0 {
        ui.advance_cursor_after_rect(whole);
        return back;
    }
    let mut below = whole;
    below.min.y = above.max.y + space::XS;
    ui.scope_builder(egui::UiBuilder::new().max_rect(below), |ui| {
        let id = state.at.filter(|id| state.made.list.rows.iter().any(|r| r.key == *id));
        if let Some(id) = id.or_else(|| state.made.list.rows.first().map(|r| r.key)) {
            ui.label(explained(ctx, found, id));
        }
    });
    ui.advance_cursor_after_rect(whole);
    back
}

/// What the values stand on, in a line.
fn basis(found: &Found) -> String {
    let records: usize = found.all.iter().map(|e| e.records).sum();
    let shares = &found.ask.shares;
    match found.all.as_slice() {
        [one] => {
            let share = |name: &str| {
                let of = one.variances.iter().find(|v| v.0 == name).map(|v| v.1 / one.phenotypic);
                of.map(|s| format!("{s:.2}")).unwrap_or_default()
            };
            let mut text = phrase!("{}, heritability {}", counted(records, "record"), share("animal"));
            match one.model {
                Model::Animal => {}
                Model::Repeatability => {
                    text.push_str(&phrase!(", stays with it {}", share("stays with the animal")));
                }
                Model::Maternal => text.push_str(&phrase!(", mothering {}", share("mothering"))),
            }
            format!("{text} ({shares})")
        }
        _ => {
            let weights: Vec<String> =
                found.ask.of.iter().map(|(a, w)| phrase!("{} × {w}", a.of.words())).collect();
            format!("{}; {} ({shares})", weights.join(" + "), counted(records, "record"))
        }
    }
}

/// What a value means, by an example in the trait's own unit.
fn meaning(ctx: &Ctx<'_>, found: &Found) -> String {
    match found.all.as_slice() {
        [one] => {
            let example = if one.of.is_of_ewes() { 0.2 } else { 1.2 };
            let say = |v: f64| amount(v, Some(one.of), ctx.units());
            let whom = if one.of.is_of_ewes() { "its daughters’ lambings" } else { "its lambs" };
            phrase!(
                "{} means: its genes are worth that much beside the mean of the oldest known animals, and half of it is \
                 passed on: {whom} are expected {} better than those of an animal at 0 with the same mates.",
                say(example),
                say(example / 2.0)
            )
        }
        _ => "The index adds up breeding values by your weights; half of it is passed on. It has no unit but your own."
            .into(),
    }
}

/// What to know before believing it, each once.
fn notes(found: &Found) -> Vec<String> {
    let mut all: Vec<String> = Vec::new();
    for e in &found.all {
        for note in &e.notes {
            if !all.contains(note) {
                all.push(note.clone());
            }
        }
        if !e.left_out.is_empty() {
            let parts: Vec<String> = e.left_out.iter().map(|(why, n)| format!("{n} {why}")).collect();
            all.push(phrase!("Left out of {}: {}.", e.of.words(), parts.join("; ")));
        }
    }
    all
}

/// One animal's figures as sentences.
fn explained(ctx: &Ctx<'_>, found: &Found, id: AnimalId) -> String {
    let Some(p) = found.placed.iter().find(|p| p.id == id) else { return String::new() };
    let name = ctx.flock.animal(id).map(|a| a.title()).unwrap_or_default();
    let units = ctx.units();
    let of = match found.all.as_slice() {
        [one] => Some(one.of),
        _ => None,
    };
    let say = |v: f64| amount(v, of, units);
    let word = accuracy_word(p.estimate.accuracy);
    let why = match found.all.as_slice() {
        [one] => stands_on(one, id),
        _ => String::new(),
    };
    let rank = p.rank.map_or_else(String::new, |r| {
        phrase!(
            " Rank {} of {}; one standard error up or down makes it {} to {}. {:.0} times in 100 it is truly among the best quarter.",
            r.place,
            r.of,
            r.between.0,
            r.between.1,
            100.0 * r.best_quarter
        )
    });
    phrase!(
        "{name}: {} , of which {} is passed on. {} ({:.2}){why}.{rank}",
        say(p.estimate.value),
        say(0.5 * p.estimate.value),
        sentence(word),
        p.estimate.accuracy
    )
    .replace(" , ", ", ")
}

fn stands_on(of: &Evaluation, id: AnimalId) -> String {
    of.of_animal(id).map_or_else(String::new, |v| {
        let own = counted(v.own as usize, "record");
        phrase!(", from {own} of its own and {} offspring with records", v.offspring)
    })
}

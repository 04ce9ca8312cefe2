//! How the file was read, and which column is what: the keeper may say otherwise.

use super::super::super::Intent;
use super::LABELS;
use crate::desk::scale::Ready;
use crate::look::{self, space};
use crate::parts::{Choice, Form};
use hirsel_core::exchange::scale::{Role, Unit};
use hirsel_core::phrase;
use hirsel_core::terms::ScoreKind;

/// What is shown.
#[derive(Debug, Default)]
pub(super) struct State {
    is_shown: bool,
    column: usize,
}

/// The roles of a choice; a score is asked for its kind beside it.
const ROLES: [(Role, &str); 9] = [
    (Role::Skip, "left out"),
    (Role::Tag, "tag"),
    (Role::Electronic, "number"),
    (Role::Weight, "weight"),
    (Role::Day, "day"),
    (Role::Time, "time"),
    (Role::DayTime, "day and time"),
    (Role::Note, "remark"),
    (Role::Score(ScoreKind::Condition), "score"),
];

pub(super) fn view(ui: &mut egui::Ui, ready: &Ready, s: &mut State, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    ui.horizontal_wrapped(|ui| {
        look::faint(ui, format!("{}.", p.how.join("; ")));
    });
    let named: Vec<String> = p
        .columns
        .iter()
        .enumerate()
        .filter(|(_, c)| c.role != Role::Skip)
        .map(|(n, c)| {
            let head = if c.head.is_empty() { phrase!("column {}", n + 1) } else { format!("'{}'", c.head) };
            phrase!("{head} is the {}", c.role.words())
        })
        .collect();
    ui.horizontal_wrapped(|ui| {
        ui.label(named.join(", "));
        let word = if s.is_shown { "The columns are right" } else { "Change the columns" };
        if ui.button(crate::look::spoken(word)).clicked() {
            s.is_shown = !s.is_shown;
        }
    });
    if s.is_shown {
        change(ui, ready, s, out);
    }
    ui.add_space(space::XS);
}

fn change(ui: &mut egui::Ui, ready: &Ready, s: &mut State, out: &mut Vec<Intent>) {
    let p = &ready.preview;
    let names: Vec<String> = p
        .columns
        .iter()
        .enumerate()
        .map(|(n, c)| if c.head.is_empty() { (n + 1).to_string() } else { c.head.clone() })
        .collect();
    let columns: Vec<(usize, &str)> = names.iter().map(String::as_str).enumerate().collect();
    s.column = s.column.min(columns.len().saturating_sub(1));
    let Some(seen) = p.columns.get(s.column) else { return };
    let mut form = Form::new(ui, "scale columns").label_width(LABELS);
    let mut column = Some(s.column);
    form.choice(ui, &Choice::names("Column", &columns), &mut column);
    s.column = column.unwrap_or(s.column);
    let now = match seen.role {
        Role::Score(_) => Role::Score(ScoreKind::Condition),
        other => other,
    };
    let mut role = Some(now);
    form.choice(ui, &Choice::new("It holds", &ROLES), &mut role);
    let mut new = role.filter(|r| *r != now);
    if let Role::Score(kind) = seen.role {
        let kinds: Vec<(ScoreKind, &str)> = ScoreKind::ALL.into_iter().map(|k| (k, k.word())).collect();
        let mut chosen = Some(kind);
        form.choice(ui, &Choice::new("Score of", &kinds), &mut chosen);
        new = new.or(chosen.filter(|k| *k != kind).map(Role::Score));
    }
    let units = [(Unit::Kg, "kg"), (Unit::Lb, "lb")];
    let mut unit = Some(p.unit);
    if p.columns.iter().any(|c| c.role == Role::Weight) {
        form.choice(ui, &Choice::new("Weights in", &units), &mut unit);
    }
    form.finish(ui);
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        look::faint(ui, phrase!("In it: {}", seen.sample));
    });
    if let Some(role) = new {
        let mut roles: Vec<Role> = p.columns.iter().map(|c| c.role).collect();
        // A role that one column has alone goes over to the new one.
        roles.iter_mut().filter(|r| **r == role).for_each(|r| *r = Role::Skip);
        roles[s.column] = role;
        let mut choice = ready.choice.clone();
        choice.roles = Some(roles);
        out.push(Intent::ScaleAs(Box::new(choice)));
    } else if unit.is_some_and(|u| u != p.unit) {
        let mut choice = ready.choice.clone();
        choice.unit = unit;
        out.push(Intent::ScaleAs(Box::new(choice)));
    }
}

//! One record opened: all its fields, how it was amended, and the forms to amend it or strike it out.

use super::super::{Ctx, Intent, Then};
use super::record::{Found, Line, What, all, amended, lines, understood};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry;
use hirsel_core::flock::{AnimalFile, RecordRef};
use serde::{Deserialize, Serialize};

/// The opened record and what is typed over it.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    /// Kind and id of the record, as text, so that a draft outlives the window.
    of: String,
    lines: Vec<Line>,
    reason: String,
    amending: bool,
    striking: bool,
    #[serde(skip)]
    record: Option<RecordRef>,
    #[serde(skip)]
    wrong: Option<(String, String)>,
    #[serde(skip)]
    focus: bool,
}

impl Typed {
    /// Opens a record.
    pub(super) fn open(&mut self, record: RecordRef) {
        let of = format!("{record:?}");
        if self.of != of {
            *self = Self { of, ..Self::default() };
        }
        self.record = Some(record);
    }

    /// Something is typed over the record.
    pub(super) fn is_typing(&self) -> bool {
        self.amending || self.striking
    }

    /// The amendment is written: the record stays open to be read.
    pub(super) fn done(&mut self) {
        *self = Self { of: std::mem::take(&mut self.of), record: self.record, ..Self::default() };
    }
}

/// Draws the record; tells when it was closed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    t: &mut Typed,
    out: &mut Vec<Intent>,
) -> bool {
    if t.record.is_none() {
        // A draft from before the window was closed: find the record it was typed over.
        t.record = all(file).into_iter().find(|r| format!("{r:?}") == t.of);
    }
    let Some((record, found)) = t.record.and_then(|r| lines(ctx, file, r).map(|l| (r, l))) else {
        return true;
    };
    let mut close = false;
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        ui.horizontal(|ui| {
            look::subheading(ui, format!("{} of {}", found.title, file.animal.tag()));
            if let Some(s) = &found.struck {
                look::chip(ui, Kind::Refuse, &format!("struck out {}: {}", s.on.words(), s.reason));
            }
        });
        if t.amending {
            amend(ui, ctx, file, record, t, out);
        } else {
            read(ui, ctx, record, &found, out);
        }
        if t.striking {
            strike(ui, ctx, file, record, t, out);
        }
        ui.add_space(space::XS);
        ui.horizontal(|ui| {
            let may = found.struck.is_none() && found.may_amend;
            if may && !t.amending && !t.striking {
                if ui.button("Amend").clicked() {
                    t.amending = true;
                    t.focus = true;
                    if t.lines.is_empty() {
                        t.lines.clone_from(&found.lines);
                    }
                }
                if found.may_strike && ui.button("Strike out").clicked() {
                    t.striking = true;
                    t.focus = true;
                }
            }
            if ui.button("Close").clicked() || crate::parts::escaped(ui) {
                close = true; // what is typed stays
            }
        });
    });
    close
}

/// All fields, and the trail of amendments.
fn read(ui: &mut egui::Ui, ctx: &Ctx<'_>, record: RecordRef, found: &Found, out: &mut Vec<Intent>) {
    egui::Grid::new("record").num_columns(2).spacing([space::L, space::XS]).show(ui, |ui| {
        for l in &found.lines {
            look::faint(ui, &l.label);
            ui.label(if l.text.is_empty() { "not written" } else { &l.text });
            ui.end_row();
        }
        for (label, text) in &found.more {
            look::faint(ui, label);
            ui.label(text);
            ui.end_row();
        }
    });
    if !found.animals.is_empty() {
        ui.horizontal_wrapped(|ui| {
            for (words, id) in &found.animals {
                if ui.button(words).on_hover_text("Opens its leaf").clicked() {
                    out.push(Intent::Open(*id));
                }
            }
        });
    }
    for a in ctx.flock.amendments(record) {
        ui.add_space(space::XS);
        let why = if a.reason.is_empty() { String::new() } else { format!(": {}", a.reason) };
        look::strong(ui, format!("Amended {} by {}{why}", a.at, a.who));
        for (field, old, new) in &a.fields {
            ui.horizontal_wrapped(|ui| {
                ui.label(format!("{field}:"));
                ui.label(egui::RichText::new(old).strikethrough());
                ui.label(format!("→ {new}"));
            });
        }
    }
}

fn amend(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    record: RecordRef,
    t: &mut Typed,
    out: &mut Vec<Intent>,
) {
    let mut form = Form::new(ui, "amend").label_width(130.0);
    if let Some(first) = t.lines.first() {
        let label = first.label.clone();
        form.focus_once(ui, &mut t.focus, &label);
    }
    for l in &mut t.lines {
        let kind = l.kind;
        let read = |text: &str| understood(ctx, kind, text);
        let wrong = t.wrong.as_ref().filter(|(label, _)| *label == l.label).map(|(_, w)| w.as_str());
        let width = if kind == What::Text { 320.0 } else { 160.0 };
        form.field(ui, &Field::new(&l.label).width(width).understand(&read).refusal(wrong), &mut l.text);
    }
    let wrong = t.wrong.as_ref().filter(|(label, _)| label == "Reason").map(|(_, w)| w.as_str());
    let field = Field::new("Reason").width(320.0).example("why it is changed").refusal(wrong);
    form.field(ui, &field, &mut t.reason);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        go |= look::primary(ui, "Write the amendment").clicked();
        if ui.button("Leave it as it was").clicked() {
            t.amending = false;
            t.lines.clear();
            t.wrong = None;
        }
        look::faint(ui, "The old value stays readable beside the new one.");
    });
    if !go {
        return;
    }
    let first_label = t.lines.first().map_or_else(|| "Reason".to_string(), |l| l.label.clone());
    let done = amended(ctx, file, record, &t.lines).and_then(|new| {
        entry::amend(new, &t.reason, ctx.flock, ctx.today).map_err(|r| {
            let first = r.first();
            let label = match first.map(|r| r.field.name) {
                Some("reason") => "Reason",
                Some("ram") => "Ram",
                Some("to") => "Until",
                Some("product") => "Product",
                Some("colostrum") => "Colostrum",
                _ => first_label.as_str(),
            };
            (label.to_string(), first.map(ToString::to_string).unwrap_or_default())
        })
    });
    match done {
        Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::LeafDone }),
        Err((label, text)) => {
            out.push(Intent::Say(Kind::Refuse, text.clone()));
            t.wrong = Some((label, text));
        }
    }
}

fn strike(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    record: RecordRef,
    t: &mut Typed,
    out: &mut Vec<Intent>,
) {
    let mut form = Form::new(ui, "strike").label_width(130.0);
    form.focus_once(ui, &mut t.focus, "Reason");
    let wrong = t.wrong.as_ref().map(|(_, w)| w.as_str());
    let field = Field::new("Reason").width(320.0).example("written to the wrong ewe").refusal(wrong);
    form.field(ui, &field, &mut t.reason);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        go |= look::primary(ui, "Strike it out").clicked();
        if ui.button("Leave it").clicked() {
            t.striking = false;
            t.wrong = None;
        }
        look::faint(ui, "It stays readable, struck through, with the day and the reason.");
    });
    if !go {
        return;
    }
    match entry::strike(file.animal.id, record, &t.reason, ctx.flock, ctx.today) {
        Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::LeafDone }),
        Err(r) => {
            let text = r.first().map(ToString::to_string).unwrap_or_default();
            out.push(Intent::Say(Kind::Refuse, text.clone()));
            t.wrong = Some(("Reason".into(), text));
        }
    }
}

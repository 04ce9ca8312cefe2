//! One record opened: all its fields, how it was amended, and the forms to amend it or strike it out.

use super::super::{Ctx, Intent, Then, papers_kept};
use super::facts::grid;
use super::head::{key_button, letter};
use super::record::{Found, Line, What, all, amended, lines, understood};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use egui::Key;
use hirsel_core::entry;
use hirsel_core::flock::{AnimalFile, RecordRef};
use hirsel_core::phrase;
use hirsel_core::terms::Day;
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
    #[serde(skip)]
    paper: bool,
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

    /// The open record.
    pub(super) fn record(&self) -> Option<RecordRef> {
        self.record
    }

    /// A paper is to be kept with the record; asked once.
    pub(super) fn wants_paper(&mut self) -> bool {
        std::mem::take(&mut self.paper)
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
        ui.horizontal_wrapped(|ui| {
            look::subheading(ui, phrase!("{} of {}", found.title, &file.animal.tag()));
            ui.add_space(space::S);
            close = deeds(ui, &found, t);
            if let Some(s) = &found.struck {
                look::chip(ui, Kind::Refuse, phrase!("struck out {}: {}", s.on.words(), s.reason));
            }
        });
        if t.striking {
            strike(ui, ctx, file, record, t, out);
        }
        if t.amending {
            amend(ui, ctx, file, record, t, out);
        } else {
            read(ui, ctx, record, &found, out);
            // The animal's own are listed below.
            if !matches!(record, RecordRef::Animal(_)) {
                papers(ui, ctx, record, &found, t, out);
            }
        }
    });
    close
}

/// What can be done with the record; tells when it was closed.
fn deeds(ui: &mut egui::Ui, found: &Found, t: &mut Typed) -> bool {
    if found.struck.is_none() && found.may_amend && !t.is_typing() {
        let free = super::is_free(ui);
        if key_button(ui, "Amend", 0).clicked() || (free && letter(ui, Key::A)) {
            t.amending = true;
            t.focus = true;
            if t.lines.is_empty() {
                t.lines.clone_from(&found.lines);
            }
        }
        if found.may_strike && (key_button(ui, "Strike out", 4).clicked() || (free && letter(ui, Key::K))) {
            t.striking = true;
            t.focus = true;
        }
    }
    // What is typed stays.
    ui.button(phrase!("Close")).clicked() || crate::parts::escaped(ui)
}

/// All fields, in two halves where there is room, and the trail of amendments.
fn read(ui: &mut egui::Ui, ctx: &Ctx<'_>, record: RecordRef, found: &Found, out: &mut Vec<Intent>) {
    let line = |l: &Line| {
        let words = match (l.kind, l.text.as_str()) {
            (_, "") => phrase!("not written"),
            (What::Day | What::DayOrNone, day) => Day::parse_iso(day).map_or(day.to_string(), Day::long),
            (_, text) => text.to_string(),
        };
        (l.label.clone(), words)
    };
    let all: Vec<(String, String)> = found.lines.iter().map(line).chain(found.more.iter().cloned()).collect();
    if all.len() > 7 && ui.available_width() > 800.0 {
        let (left, right) = all.split_at(all.len().div_ceil(2));
        super::two(ui, true, |ui| grid(ui, left), |ui| grid(ui, right));
    } else {
        grid(ui, &all);
    }
    if !found.animals.is_empty() {
        ui.horizontal_wrapped(|ui| {
            for (words, id) in &found.animals {
                if ui.button(crate::look::spoken(words)).on_hover_text(phrase!("Opens its leaf")).clicked() {
                    out.push(Intent::Open(*id));
                }
            }
        });
    }
    for a in ctx.flock.amendments(record) {
        ui.add_space(space::XS);
        let why = if a.reason.is_empty() { String::new() } else { format!(": {}", a.reason) };
        look::strong(ui, phrase!("Amended {} by {}{why}", when(&a.at), a.who));
        let or_nothing = |text: &str| if text.is_empty() { "nothing".to_string() } else { text.to_string() };
        for (field, old, new) in &a.fields {
            ui.horizontal_wrapped(|ui| {
                ui.label(format!("{field}:"));
                ui.label(egui::RichText::new(or_nothing(old)).strikethrough());
                ui.label(format!("→ {}", or_nothing(new)));
            });
        }
    }
}

/// What is kept with the record, and the way to keep more.
fn papers(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    record: RecordRef,
    found: &Found,
    t: &mut Typed,
    out: &mut Vec<Intent>,
) {
    let mut want = Vec::new();
    ui.horizontal_wrapped(|ui| {
        for d in ctx.flock.documents().standing(record) {
            let words = format!("{}, {}", d.name, papers_kept::told(d));
            if d.is_picture() {
                let picture = papers_kept::thumb(ui, ctx, d, 64.0, &mut want);
                if picture.on_hover_text(&words).clicked() {
                    out.push(Intent::ShowPaper(d.id));
                }
            } else if ui
                .button(crate::look::spoken(&d.name))
                .on_hover_text(crate::look::spoken(words))
                .clicked()
            {
                out.push(Intent::ShowPaper(d.id));
            }
        }
        if found.struck.is_none() && ui.button(phrase!("Keep a picture or paper with it")).clicked() {
            t.paper = true;
        }
    });
    papers_kept::ask_for(want, out);
}

/// `2026-04-03 21:10` as `3 Apr 2026, 21:10`.
fn when(at: &str) -> String {
    match at.split_once(' ').map(|(day, time)| (Day::parse_iso(day), time)) {
        Some((Ok(day), time)) => format!("{}, {time}", day.words()),
        _ => at.to_string(),
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
        // What is understood is said only where it differs from what is typed.
        let read = |text: &str| {
            understood(ctx, kind, text).map(|w| if w == text.trim() { String::new() } else { w })
        };
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
        if ui.button(phrase!("Leave it as it was")).clicked() {
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
                Some("age_days") => "Age of lambs",
                Some("score") => "Score",
                Some("product") => "Product",
                Some("colostrum") => "Colostrum",
                Some("dose_ml") => "Dose",
                Some("meat_days") => "Meat withdrawal",
                Some("milk_days") => "Milk withdrawal",
                Some("batch") => "Batch",
                Some("prescribed_by") => "Prescribed by",
                Some("prescription") => "Prescription",
                Some("off_label") => "Off-label",
                Some("course") => "Doses in all",
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
        if ui.button(phrase!("Leave it")).clicked() {
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

//! One record of the cupboard opened: its fields, its papers, how it was amended, and the forms to amend it or strike
//! it out.

mod lines;
mod papers;

use super::super::{Ctx, Intent, Then};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, CupboardRefused, Refusal, Refused};
use hirsel_core::flock::{DocumentOf, RecordRef};
use hirsel_core::phrase;
use hirsel_core::terms::{BatchId, Day, DocumentId, EggCountId, PrescriptionId, StockMoveId};
pub(super) use lines::eggs;
use lines::{Found, Line, What, amended, lines, understood};
use serde::{Deserialize, Serialize};

/// A record of the cupboard that can be amended.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub(super) enum Kept {
    Batch(BatchId),
    Stock(StockMoveId),
    Prescription(PrescriptionId),
    Egg(EggCountId),
}

impl Kept {
    fn record(self) -> RecordRef {
        match self {
            Self::Batch(id) => RecordRef::Batch(id),
            Self::Stock(id) => RecordRef::StockMove(id),
            Self::Prescription(id) => RecordRef::Prescription(id),
            Self::Egg(id) => RecordRef::EggCount(id),
        }
    }

    /// What papers are kept with.
    fn owner(self) -> DocumentOf {
        self.record().into()
    }
}

/// What is typed over the opened record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Doing {
    #[default]
    Reading,
    Amending,
    Striking,
    StrikingPaper(DocumentId),
}

/// The opened record and what is typed over it.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    of: Option<Kept>,
    lines: Vec<Line>,
    reason: String,
    doing: Doing,
    path: String,
    /// Left half typed: it is there again when the record is opened.
    away: bool,
    #[serde(skip)]
    wrong: Option<(String, String)>,
    #[serde(skip)]
    focus: bool,
}

impl Typed {
    /// Opens a record.
    pub(super) fn open(&mut self, of: Kept) {
        if self.of != Some(of) {
            *self = Self { of: Some(of), ..Self::default() };
        }
        self.away = false;
        self.focus = self.doing != Doing::Reading;
    }

    /// The amendment is written: the record stays open to be read.
    pub(super) fn done(&mut self) {
        *self = Self { of: self.of, ..Self::default() };
    }

    /// Closes it; what is half typed stays.
    pub(super) fn close(&mut self) {
        match self.doing {
            Doing::Reading => *self = Self::default(),
            _ => self.away = true,
        }
    }

    /// The open batch or prescription: what a paper is kept with.
    pub(super) fn target(&self) -> Option<DocumentOf> {
        let of = self.of.filter(|of| self.is_open() && matches!(of, Kept::Batch(_) | Kept::Prescription(_)));
        of.map(Kept::owner)
    }

    /// A record is open.
    pub(super) fn is_open(&self) -> bool {
        self.of.is_some() && !self.away
    }
}

/// Draws the record; tells when it is closed.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Typed, out: &mut Vec<Intent>) -> bool {
    let Some((of, found)) = t.of.and_then(|of| Some((of, lines(ctx, of)?))) else {
        *t = Typed::default();
        return true;
    };
    let mut close = false;
    egui::ScrollArea::vertical().id_salt("kept").auto_shrink(false).show(ui, |ui| {
        look::card(ui, |ui| {
            ui.set_min_width(ui.available_width());
            ui.horizontal_wrapped(|ui| {
                look::subheading(ui, &found.title);
                if let Some(s) = &found.struck {
                    look::chip(ui, Kind::Refuse, phrase!("struck out {}: {}", s.on.words(), s.reason));
                }
            });
            ui.horizontal(|ui| close = deeds(ui, &found, t));
            ui.add_space(space::S);
            match t.doing {
                Doing::Amending => amend(ui, ctx, of, t, out),
                Doing::Striking => {
                    strike(ui, ctx, of.record(), t, out);
                    read(ui, ctx, of, &found);
                }
                Doing::StrikingPaper(id) => {
                    strike(ui, ctx, RecordRef::Document(id), t, out);
                    papers::view(ui, ctx, of, found.struck.is_some(), t, out);
                }
                Doing::Reading => {
                    read(ui, ctx, of, &found);
                    papers::view(ui, ctx, of, found.struck.is_some(), t, out);
                }
            }
        });
    });
    if close {
        t.close();
    }
    close
}

/// What can be done with the record; tells when it is closed.
fn deeds(ui: &mut egui::Ui, found: &Found, t: &mut Typed) -> bool {
    let free = ui.memory(|m| m.focused().is_none() && m.top_modal_layer().is_none());
    let letter = |ui: &egui::Ui, key| free && ui.input(|i| i.key_pressed(key) && !i.modifiers.any());
    if found.struck.is_none() && t.doing == Doing::Reading {
        if ui.button(phrase!("Amend (A)")).clicked() || letter(ui, egui::Key::A) {
            t.doing = Doing::Amending;
            t.focus = true;
            if t.lines.is_empty() {
                t.lines.clone_from(&found.lines);
            }
        }
        if ui.button(phrase!("Strike out (K)")).clicked() || letter(ui, egui::Key::K) {
            t.doing = Doing::Striking;
            t.focus = true;
        }
    }
    let back = ui.button(phrase!("Back to the list (Esc)")).clicked();
    back || (t.doing == Doing::Reading && crate::parts::escaped(ui))
}

/// All fields in two halves where there is room, and the trail of amendments.
fn read(ui: &mut egui::Ui, ctx: &Ctx<'_>, of: Kept, found: &Found) {
    let line = |l: &Line| {
        let words = match (l.kind, l.text.as_str()) {
            (_, "") => phrase!("not written"),
            (What::Day | What::DayOrNone | What::Expiry, day) => {
                Day::parse_iso(day).map_or_else(|_| day.to_string(), Day::long)
            }
            (What::Period, text) => understood(ctx, What::Period, text).unwrap_or_else(|_| text.into()),
            (_, text) => text.to_string(),
        };
        (l.label.clone(), words)
    };
    let all: Vec<(String, String)> = found.more.iter().cloned().chain(found.lines.iter().map(line)).collect();
    if all.len() > 7 && ui.available_width() > 800.0 {
        let (left, right) = all.split_at(all.len().div_ceil(2));
        ui.columns(2, |c| {
            if let [a, b] = c {
                grid(a, "left", left);
                grid(b, "right", right);
            }
        });
    } else {
        grid(ui, "all", &all);
    }
    for a in ctx.flock.amendments(of.record()) {
        ui.add_space(space::XS);
        let why = if a.reason.is_empty() { String::new() } else { format!(": {}", a.reason) };
        look::strong(ui, phrase!("Amended {} by {}{why}", a.at, a.who));
        let or_nothing = |text: &str| if text.is_empty() { phrase!("nothing") } else { text.to_string() };
        for (field, old, new) in &a.fields {
            ui.horizontal_wrapped(|ui| {
                ui.label(format!("{field}:"));
                ui.label(egui::RichText::new(or_nothing(old)).strikethrough());
                ui.label(format!("→ {}", or_nothing(new)));
            });
        }
    }
}

/// Labels and what stands in them, long texts wrapped.
fn grid(ui: &mut egui::Ui, name: &str, all: &[(String, String)]) {
    egui::Grid::new(("kept", name)).num_columns(2).spacing([space::L, space::XS]).show(ui, |ui| {
        for (label, words) in all {
            look::faint(ui, label);
            ui.add(egui::Label::new(words).wrap());
            ui.end_row();
        }
    });
}

fn amend(ui: &mut egui::Ui, ctx: &Ctx<'_>, of: Kept, t: &mut Typed, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "amend kept").label_width(140.0);
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
            t.done();
        }
        look::faint(ui, "The old value stays readable beside the new one.");
    });
    if !go {
        return;
    }
    let done = amended(ctx, of, &t.lines).and_then(|new| {
        entry::amend(new, &t.reason, ctx.flock, ctx.today).map_err(|all| place(&t.lines, &all))
    });
    match done {
        Ok(checked) => {
            t.wrong = None;
            out.push(Intent::Write { checked: Box::new(checked), then: Then::CupboardDone });
        }
        Err((label, text)) => {
            out.push(Intent::Say(Kind::Refuse, text.clone()));
            t.wrong = Some((label, text));
        }
    }
}

/// The label of the first refusal's field, and its words.
fn place(lines: &[Line], refusals: &[Refusal]) -> (String, String) {
    let Some(first) = refusals.first() else { return Default::default() };
    // `reason` is that of the amendment, unless the count itself wants one.
    let counted = matches!(first.why, Refused::Cupboard(CupboardRefused::CountWithoutReason { .. }));
    let line = lines.iter().find(|l| l.field == first.field.name && (l.field != "reason" || counted));
    (line.map_or_else(|| "Reason".into(), |l| l.label.clone()), first.to_string())
}

fn strike(ui: &mut egui::Ui, ctx: &Ctx<'_>, record: RecordRef, t: &mut Typed, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "strike kept").label_width(140.0);
    form.focus_once(ui, &mut t.focus, "Reason");
    let wrong = t.wrong.as_ref().map(|(_, w)| w.as_str());
    let field = Field::new("Reason").width(320.0).example("written twice").refusal(wrong);
    form.field(ui, &field, &mut t.reason);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        let paper = matches!(record, RecordRef::Document(_));
        go |= look::primary(ui, if paper { "Strike the paper out" } else { "Strike it out" }).clicked();
        if ui.button(phrase!("Leave it")).clicked() {
            t.done();
        }
        look::faint(ui, "It stays readable, struck through, with the day and the reason.");
    });
    if !go {
        return;
    }
    match entry::strike_kept(record, &t.reason, ctx.flock, ctx.today) {
        Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::CupboardDone }),
        Err(r) => {
            let text = r.first().map(ToString::to_string).unwrap_or_default();
            out.push(Intent::Say(Kind::Refuse, text.clone()));
            t.wrong = Some(("Reason".into(), text));
        }
    }
}

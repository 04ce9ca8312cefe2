//! One record of the store opened: its fields, how it was amended, and the forms to amend it or strike it out.

use super::super::super::{Ctx, Intent, Then, fields};
use super::read;
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, Amended};
use hirsel_core::flock::{Feed, RecordRef, Struck};
use hirsel_core::phrase;
use hirsel_core::terms::{
    Analysis, Day, FeedChange, FeedId, FeedMoveId, FeedSheetId, Level, MeasureId, Nutrient,
};
use serde::{Deserialize, Serialize};

/// A record of the store.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub(super) enum Kept {
    Move(FeedMoveId),
    Sheet(FeedSheetId),
    Measure(MeasureId),
}

impl Kept {
    /// The record of the store behind a link, if it is one.
    pub(super) fn of(record: RecordRef) -> Option<Self> {
        match record {
            RecordRef::FeedMove(id) => Some(Self::Move(id)),
            RecordRef::FeedSheet(id) => Some(Self::Sheet(id)),
            RecordRef::Measure(id) => Some(Self::Measure(id)),
            _ => None,
        }
    }

    fn record(self) -> RecordRef {
        match self {
            Self::Move(id) => RecordRef::FeedMove(id),
            Self::Sheet(id) => RecordRef::FeedSheet(id),
            Self::Measure(id) => RecordRef::Measure(id),
        }
    }
}

/// What is typed over the record.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Doing {
    #[default]
    Reading,
    Amending,
    Striking,
}

/// The opened record and what is typed over it.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    of: Option<Kept>,
    lines: Vec<Line>,
    reason: String,
    doing: Doing,
    #[serde(skip)]
    wrong: Option<(String, String)>,
    #[serde(skip)]
    focus: bool,
}

/// One field as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Line {
    label: String,
    field: String,
    text: String,
}

impl Typed {
    /// Opens a record.
    pub(super) fn open(&mut self, of: Kept) {
        if self.of != Some(of) {
            *self = Self { of: Some(of), ..Self::default() };
        }
        self.focus = self.doing != Doing::Reading;
    }

    /// A record is open.
    pub(super) fn is_open(&self) -> bool {
        self.of.is_some()
    }

    /// It is written: the record stays open to be read.
    pub(super) fn done(&mut self) {
        *self = Self { of: self.of, ..Self::default() };
    }
}

struct Found {
    title: String,
    feed: FeedId,
    lines: Vec<Line>,
    struck: Option<Box<Struck>>,
    amends: bool,
}

fn found(ctx: &Ctx<'_>, of: Kept) -> Option<Found> {
    let room = ctx.flock.feedroom();
    let units = ctx.units();
    let line =
        |label: &str, field: &str, text: String| Line { label: label.into(), field: field.into(), text };
    let opt = |o: &Option<String>| o.clone().unwrap_or_default();
    let day = |d: Option<Day>| d.map(|d| d.to_string()).unwrap_or_default();
    Some(match of {
        Kept::Move(id) => {
            let m = room.moves.iter().find(|m| m.id == id)?;
            let mut lines = vec![
                line("Day", "on", m.on.to_string()),
                line("How much", "amount", m.amount.map(|a| a.show(units)).unwrap_or_default()),
            ];
            if m.change == FeedChange::Fed {
                let level = m.level.map(|l| format!("{} %", l.percent())).unwrap_or_default();
                lines.push(line("Pen", "pen", opt(&m.pen)));
                lines.push(line("Trough before", "level", level));
            }
            if matches!(m.change, FeedChange::Delivered | FeedChange::Mixed) {
                lines.push(line("Batch", "batch", opt(&m.batch)));
                lines.push(line("Best before", "best_before", day(m.best_before)));
            }
            if m.change == FeedChange::Delivered {
                lines.push(line("Supplier", "supplier", opt(&m.supplier)));
                lines.push(line("Invoice number", "invoice", opt(&m.invoice)));
                lines.push(line("Paid in all", "price", m.price.map(|p| p.to_string()).unwrap_or_default()));
            }
            lines.push(line("Note", "note", opt(&m.note)));
            let title = phrase!("{}, {} on {}", &room.name(m.feed), m.change.words(), m.on.words());
            Found { title, feed: m.feed, lines, struck: m.struck.clone(), amends: true }
        }
        Kept::Sheet(id) => {
            let s = room.sheets.iter().find(|s| s.id == id)?;
            let mut lines = vec![
                line("Day of the sample", "on", s.on.to_string()),
                line("Analysed by", "lab", opt(&s.lab)),
                line("Sheet number", "number", opt(&s.number)),
                line("Batch or cut", "batch", opt(&s.batch)),
            ];
            for what in Nutrient::ALL {
                let text = s.analysis.get(*what).map(|x| x.to_string()).unwrap_or_default();
                let label = phrase!("{}, {}", what.words(), what.unit());
                lines.push(line(&label, what.word(), text));
            }
            lines.push(line("Note", "note", opt(&s.note)));
            let title = phrase!("Analysis of {}, sample of {}", &room.name(s.feed), s.on.words());
            Found { title, feed: s.feed, lines, struck: s.struck.clone(), amends: true }
        }
        Kept::Measure(id) => {
            let m = room.measures.iter().find(|m| m.id == id)?;
            let all: Vec<String> = m.weighed.iter().map(|w| w.show(units)).collect();
            let lines = vec![
                line("Day", "on", m.on.to_string()),
                line("Weighed", "weighed", all.join(", ")),
                line("On the mean", "mean", m.mean().show(units)),
            ];
            let title = phrase!("A {} of {}", m.name, &room.name(m.feed));
            Found { title, feed: m.feed, lines, struck: m.struck.clone(), amends: false }
        }
    })
}

/// Draws the record; tells of which feed it is when it is closed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    out: &mut Vec<Intent>,
) -> Option<Option<FeedId>> {
    let Some((of, found)) = t.of.and_then(|of| Some((of, found(ctx, of)?))) else {
        *t = Typed::default();
        return Some(None);
    };
    let mut close = false;
    egui::ScrollArea::vertical().id_salt("kept feed").auto_shrink(false).show(ui, |ui| {
        look::card(ui, |ui| {
            ui.set_min_width(ui.available_width());
            look::subheading(ui, &found.title);
            if let Some(s) = &found.struck {
                look::chip(ui, Kind::Refuse, phrase!("struck out {}: {}", s.on.words(), s.reason));
            }
            ui.horizontal(|ui| close = deeds(ui, &found, t));
            ui.add_space(space::S);
            match t.doing {
                Doing::Amending => amend(ui, ctx, of, &found, t, out),
                Doing::Striking => {
                    strike(ui, ctx, of.record(), t, out);
                    reading(ui, ctx, of, &found);
                }
                Doing::Reading => reading(ui, ctx, of, &found),
            }
        });
    });
    if close {
        *t = Typed::default();
        return Some(Some(found.feed));
    }
    None
}

fn deeds(ui: &mut egui::Ui, found: &Found, t: &mut Typed) -> bool {
    let free = ui.memory(|m| m.focused().is_none() && m.top_modal_layer().is_none());
    let letter = |ui: &egui::Ui, key| free && ui.input(|i| i.key_pressed(key) && !i.modifiers.any());
    if found.struck.is_none() && t.doing == Doing::Reading {
        if found.amends && (ui.button(phrase!("Amend (A)")).clicked() || letter(ui, egui::Key::A)) {
            (t.doing, t.focus) = (Doing::Amending, true);
            t.lines.clone_from(&found.lines);
        }
        if ui.button(phrase!("Strike out (K)")).clicked() || letter(ui, egui::Key::K) {
            (t.doing, t.focus) = (Doing::Striking, true);
        }
    }
    let back = ui.button(phrase!("Back (Esc)")).clicked();
    back || (free && crate::parts::escaped(ui))
}

fn reading(ui: &mut egui::Ui, ctx: &Ctx<'_>, of: Kept, found: &Found) {
    egui::Grid::new("kept feed").num_columns(2).spacing([space::L, space::XS]).show(ui, |ui| {
        for l in found.lines.iter().filter(|l| !l.text.is_empty()) {
            look::faint(ui, &l.label);
            let words = Day::parse_iso(&l.text).map_or_else(|_| l.text.clone(), Day::long);
            ui.add(egui::Label::new(words).wrap());
            ui.end_row();
        }
    });
    for a in ctx.flock.amendments(of.record()) {
        ui.add_space(space::XS);
        look::strong(ui, phrase!("Amended {} by {}: {}", a.at, a.who, a.reason));
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

fn amend(ui: &mut egui::Ui, ctx: &Ctx<'_>, of: Kept, found: &Found, t: &mut Typed, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "amend feed").label_width(250.0);
    let first = t.lines.first().map(|l| l.label.clone()).unwrap_or_default();
    form.focus_once(ui, &mut t.focus, &first);
    for l in &mut t.lines {
        let wrong = t.wrong.as_ref().filter(|(label, _)| *label == l.label).map(|(_, w)| w.as_str());
        form.field(ui, &Field::new(&l.label).width(220.0).refusal(wrong), &mut l.text);
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
    let done = amended(ctx, of, found, &t.lines).and_then(|new| {
        entry::amend(new, &t.reason, ctx.flock, ctx.today).map_err(|all| {
            let Some(first) = all.first() else { return Default::default() };
            let line = t.lines.iter().find(|l| l.field == first.field.name);
            (line.map_or_else(|| "Reason".to_string(), |l| l.label.clone()), first.to_string())
        })
    });
    match done {
        Ok(checked) => {
            t.wrong = None;
            out.push(Intent::Write { checked: Box::new(checked), then: Then::FeedDone });
        }
        Err((label, text)) => {
            out.push(Intent::Say(Kind::Refuse, text.clone()));
            t.wrong = Some((label, text));
        }
    }
}

/// The record with what is typed, or the label of the field that is wrong, and why.
fn amended(ctx: &Ctx<'_>, of: Kept, found: &Found, lines: &[Line]) -> Result<Amended, (String, String)> {
    let room = ctx.flock.feedroom();
    let gone = || ("Reason".to_string(), "the record is not there any more".to_string());
    let line = |field: &str| lines.iter().find(|l| l.field == field);
    let text = |field: &str| line(field).map(|l| l.text.trim().to_string()).unwrap_or_default();
    let opt = |field: &str| fields::some(&text(field));
    let wrong = |field: &str| {
        let label = line(field).map(|l| l.label.clone()).unwrap_or_default();
        move |e: String| (label, e)
    };
    let on = || Day::parse_typed(&text("on"), ctx.today).map_err(|e| wrong("on")(e.0));
    let feed: Option<&Feed> = room.feed(found.feed);
    match of {
        Kept::Move(id) => {
            let mut m = room.moves.iter().find(|m| m.id == id).ok_or_else(gone)?.clone();
            m.on = on()?;
            let before = m.amount;
            m.amount = read::amount_or_none(ctx, feed, &text("amount"), m.on).map_err(wrong("amount"))?;
            if m.change == FeedChange::Fed {
                m.pen = opt("pen");
                let level = opt("level").map(|l| Level::parse(&l)).transpose();
                m.level = level.map_err(|e| wrong("level")(e.0))?;
            }
            if matches!(m.change, FeedChange::Delivered | FeedChange::Mixed) {
                m.batch = opt("batch");
                m.best_before = read::day(ctx, &text("best_before")).map_err(wrong("best_before"))?;
            }
            if m.change == FeedChange::Delivered {
                (m.supplier, m.invoice) = (opt("supplier"), opt("invoice"));
                m.price = read::price(&text("price")).map_err(wrong("price"))?;
            }
            // Another amount was mixed: its parts go with it.
            if let (FeedChange::Mixed, Some(feed), Some(amount)) = (m.change, feed, m.amount)
                && before != m.amount
            {
                m.parts = feed.parts_of(amount);
            }
            m.note = opt("note");
            Ok(Amended::FeedMove(m))
        }
        Kept::Sheet(id) => {
            let mut s = room.sheets.iter().find(|s| s.id == id).ok_or_else(gone)?.clone();
            s.on = on()?;
            (s.lab, s.number, s.batch, s.note) = (opt("lab"), opt("number"), opt("batch"), opt("note"));
            let mut made = Analysis::default();
            for what in Nutrient::ALL {
                let Some(typed) = opt(what.word()) else { continue };
                let figure = typed.replace(',', ".").parse::<f64>();
                let no = || phrase!("'{typed}' is no figure: write it like 14 or 2.5");
                let figure = figure.map_err(|_| wrong(what.word())(no()))?;
                made = made.with(*what, figure).map_err(|e| wrong(what.word())(e.0))?;
            }
            s.analysis = made;
            Ok(Amended::FeedSheet(s))
        }
        Kept::Measure(_) => Err(gone()),
    }
}

fn strike(ui: &mut egui::Ui, ctx: &Ctx<'_>, record: RecordRef, t: &mut Typed, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "strike feed").label_width(140.0);
    form.focus_once(ui, &mut t.focus, "Reason");
    let wrong = t.wrong.as_ref().map(|(_, w)| w.as_str());
    let field = Field::new("Reason").width(320.0).example("written twice").refusal(wrong);
    form.field(ui, &field, &mut t.reason);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        go |= look::primary(ui, "Strike it out").clicked();
        if ui.button(phrase!("Leave it")).clicked() {
            t.done();
        }
        look::faint(ui, "It stays readable, struck through, with the day and the reason.");
    });
    if !go {
        return;
    }
    if let RecordRef::FeedMove(id) = record {
        strike_fed(ctx, id, t, out);
        return;
    }
    match entry::strike_kept(record, &t.reason, ctx.flock, ctx.today) {
        Ok(checked) => out.push(Intent::Write { checked: Box::new(checked), then: Then::FeedDone }),
        Err(r) => {
            let text = r.first().map(ToString::to_string).unwrap_or_default();
            out.push(Intent::Say(Kind::Refuse, text.clone()));
            t.wrong = Some(("Reason".into(), text));
        }
    }
}

/// A line of feed goes with the treatments that were written with it, as one act; what that means is asked first.
fn strike_fed(ctx: &Ctx<'_>, id: FeedMoveId, t: &mut Typed, out: &mut Vec<Intent>) {
    let text = match entry::strike_fed(id, &t.reason, ctx.flock, ctx.today) {
        Ok(all) => {
            let asked = all.iter().flat_map(|c| c.questions()).map(ToString::to_string).next();
            let again = asked.map(|q| phrase!("{q} If so, strike it out once more"));
            if again.is_none() || t.wrong.as_ref().map(|(_, w)| w) == again.as_ref() {
                let what = all.first().map(|c| c.sentence().to_string()).unwrap_or_default();
                out.push(Intent::WriteAll { what, all, word: t.reason.clone(), then: Then::FeedDone });
                return;
            }
            again.unwrap_or_default()
        }
        Err(r) => r.first().map(ToString::to_string).unwrap_or_default(),
    };
    out.push(Intent::Say(Kind::Refuse, text.clone()));
    t.wrong = Some(("Reason".into(), text));
}

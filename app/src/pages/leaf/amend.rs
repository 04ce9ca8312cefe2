//! One record opened: all its fields, how it was amended, and the forms to amend it or strike it out.

use super::super::{Ctx, Intent, Then, fields};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, Amended};
use hirsel_core::flock::{AnimalFile, RecordRef, Struck};
use hirsel_core::terms::{AnimalId, Day, Dose, Ease, Minute, Moment, Route, Sex, Status, Weight, Withdrawal};
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

/// One field as typed.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
struct Line {
    label: String,
    kind: What,
    text: String,
}

/// How a field is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
enum What {
    Day,
    DayOrNone,
    Time,
    Text,
    Weight,
    Dose,
    Period,
    Ram,
    RamOrNone,
    Ease,
    Route,
    Standing,
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
            read(ui, ctx, record, &found);
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
            if ui.button("Close").clicked() || ui.input(|i| i.key_pressed(egui::Key::Escape)) {
                close = true; // what is typed stays
            }
        });
    });
    close
}

/// All fields, and the trail of amendments.
fn read(ui: &mut egui::Ui, ctx: &Ctx<'_>, record: RecordRef, found: &Found) {
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
    let done = amended(ctx, file, record, &t.lines).and_then(|new| {
        entry::amend(new, &t.reason, ctx.flock, ctx.today).map_err(|r| {
            let first = r.first();
            let label = match first.map(|r| r.field.name) {
                Some("reason") => "Reason",
                Some("ram") => "Ram",
                Some("to") => "Until",
                Some("product") => "Product",
                _ => "Day",
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

/// A record as lines.
struct Found {
    title: &'static str,
    lines: Vec<Line>,
    more: Vec<(String, String)>,
    struck: Option<Struck>,
    may_amend: bool,
    may_strike: bool,
}

fn all(file: &AnimalFile) -> Vec<RecordRef> {
    let mut all: Vec<RecordRef> = file.lambings.iter().map(|r| RecordRef::Lambing(r.id)).collect();
    all.extend(file.joinings.iter().map(|r| RecordRef::Joining(r.id)));
    all.extend(file.weighings.iter().map(|r| RecordRef::Weighing(r.id)));
    all.extend(file.treatments.iter().map(|r| RecordRef::Treatment(r.id)));
    all.extend(file.pen_moves.iter().map(|r| RecordRef::PenMove(r.id)));
    all.extend(file.movements.iter().map(|r| RecordRef::Movement(r.id)));
    all.extend(file.remarks.iter().map(|r| RecordRef::Remark(r.id)));
    all.push(RecordRef::Animal(file.animal.id));
    all
}

fn lines(ctx: &Ctx<'_>, file: &AnimalFile, record: RecordRef) -> Option<Found> {
    let line = |label: &str, kind: What, text: String| Line { label: label.into(), kind, text };
    let opt = |o: &Option<String>| o.clone().unwrap_or_default();
    let day = |d: Day| line("Day", What::Day, d.to_string());
    let time = |m: Moment| line("Time", What::Time, m.time.map(|t| t.to_string()).unwrap_or_default());
    let mut f = Found {
        title: "Record",
        lines: Vec::new(),
        more: Vec::new(),
        struck: None,
        may_amend: true,
        may_strike: true,
    };
    match record {
        RecordRef::Lambing(id) => {
            let r = file.lambings.iter().find(|r| r.id == id)?;
            f.title = "Lambing";
            f.lines = vec![
                day(r.at.day),
                time(r.at),
                line("Ram", What::RamOrNone, r.ram.map(|x| ctx.flock.tag(x).to_string()).unwrap_or_default()),
                line("Ease", What::Ease, r.ease.map(|e| e.words().to_string()).unwrap_or_default()),
                line("Help given", What::Text, opt(&r.help)),
                line("Note", What::Text, opt(&r.note)),
            ];
            let tags: Vec<&str> = r.lambs.iter().map(|x| ctx.flock.tag(*x)).collect();
            f.more.push(("Lambs".into(), tags.join(", ")));
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Joining(id) => {
            let r = file.joinings.iter().find(|r| r.id == id)?;
            f.title = "Joining";
            f.lines = vec![
                line("Ram", What::Ram, ctx.flock.tag(r.ram).to_string()),
                day(r.from),
                line("Until", What::DayOrNone, r.to.map(|d| d.to_string()).unwrap_or_default()),
                line("How", What::Text, opt(&r.method)),
            ];
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Weighing(id) => {
            let r = file.weighings.iter().find(|r| r.id == id)?;
            f.title = "Weighing";
            f.lines = vec![
                day(r.at.day),
                time(r.at),
                line("Weight", What::Weight, r.weight.show(ctx.units())),
                line("Note", What::Text, opt(&r.note)),
            ];
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Treatment(id) => {
            let r = file.treatments.iter().find(|r| r.id == id)?;
            f.title = "Treatment";
            f.lines = vec![
                day(r.at.day),
                time(r.at),
                line("Product", What::Text, r.product.clone()),
                line("Batch", What::Text, opt(&r.batch)),
                line("Dose", What::Dose, r.dose.map(|d| d.to_string()).unwrap_or_default()),
                line("Route", What::Route, r.route.map(|x| x.words().to_string()).unwrap_or_default()),
                line("Site", What::Text, opt(&r.site)),
                line("Because of", What::Text, opt(&r.reason)),
                line("Given by", What::Text, opt(&r.given_by)),
                line("Prescribed by", What::Text, opt(&r.prescribed_by)),
                line("Meat withdrawal", What::Period, r.meat.to_string()),
                line("Milk withdrawal", What::Period, r.milk.to_string()),
            ];
            for (what, p) in [("Meat clear", r.meat), ("Milk clear", r.milk)] {
                f.more.push((what.into(), hirsel_core::reckon::clearance::clear_after(r.at, p).words()));
            }
            f.struck.clone_from(&r.struck);
        }
        RecordRef::PenMove(id) => {
            let r = file.pen_moves.iter().find(|r| r.id == id)?;
            f.title = "Pen";
            f.lines = vec![day(r.on), line("Pen", What::Text, opt(&r.pen))];
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Movement(id) => {
            let r = file.movements.iter().find(|r| r.id == id)?;
            f.title = "Standing";
            f.lines = vec![
                day(r.on),
                line("It is", What::Standing, r.to.words().to_string()),
                line("To or from", What::Text, opt(&r.other)),
                line("Because of", What::Text, opt(&r.reason)),
            ];
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Remark(id) => {
            let r = file.remarks.iter().find(|r| r.id == id)?;
            f.title = "Note";
            f.lines = vec![day(r.on), line("Note", What::Text, r.text.clone())];
            f.struck.clone_from(&r.struck);
        }
        RecordRef::Animal(_) => {
            f.title = "Birth and facts";
            f.may_strike = false;
            f.may_amend = false;
            f.more.push(("Born".into(), file.animal.born.words()));
            f.more.push(("To change it".into(), "press New facts above".into()));
        }
        RecordRef::Product(_) => return None,
    }
    Some(f)
}

fn understood(ctx: &Ctx<'_>, kind: What, text: &str) -> Result<String, String> {
    let words = |e: hirsel_core::terms::Misread| e.0;
    match kind {
        What::Day | What::DayOrNone => Day::parse_typed(text, ctx.today).map(Day::long).map_err(words),
        What::Time => Minute::parse(text).map(|m| m.to_string()).map_err(words),
        What::Text => Ok(String::new()),
        What::Weight => Weight::parse(text, ctx.units()).map(|w| w.show(ctx.units())).map_err(words),
        What::Dose => Dose::parse(text).map(|d| d.to_string()).map_err(words),
        What::Period => Withdrawal::parse(text).map(|w| w.to_string()).map_err(words),
        What::Ram | What::RamOrNone => {
            ram(ctx, text).map(|id| ctx.flock.animal(id).map(|a| a.title()).unwrap_or_default())
        }
        What::Ease => Ease::parse(text).map(|e| e.words().to_string()).map_err(words),
        What::Route => Route::parse(text).map(|r| r.words().to_string()).map_err(words),
        What::Standing => Status::parse(text).map(|s| s.words().to_string()).map_err(words),
    }
}

fn ram(ctx: &Ctx<'_>, text: &str) -> Result<AnimalId, String> {
    ctx.flock
        .by_tag(text)
        .filter(|id| ctx.flock.animal(*id).is_some_and(|a| a.sex != Sex::Ewe))
        .ok_or_else(|| format!("no ram wears the tag {}: type it whole", text.trim()))
}

/// The record with what is typed, or which field is wrong.
fn amended(
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    record: RecordRef,
    lines: &[Line],
) -> Result<Amended, (String, String)> {
    let gone = || ("Day".to_string(), "the record is not there any more".to_string());
    let text = |label: &str| {
        lines.iter().find(|l| l.label == label).map(|l| l.text.trim().to_string()).unwrap_or_default()
    };
    let wrong = |label: &'static str| move |e: String| (label.to_string(), e);
    let opt = |label: &str| fields::some(&text(label));
    let day =
        |label: &'static str| Day::parse_typed(&text(label), ctx.today).map_err(|e| (label.to_string(), e.0));
    let moment = || -> Result<Moment, (String, String)> {
        Ok(Moment { day: day("Day")?, time: fields::time_of(&text("Time")).map_err(wrong("Time"))? })
    };
    let parsed = |label: &'static str, e: hirsel_core::terms::Misread| (label.to_string(), e.0);
    Ok(match record {
        RecordRef::Lambing(id) => {
            let mut r = file.lambings.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.at = moment()?;
            r.ram = opt("Ram").map(|t| ram(ctx, &t)).transpose().map_err(wrong("Ram"))?;
            r.ease = opt("Ease").map(|t| Ease::parse(&t)).transpose().map_err(|e| parsed("Ease", e))?;
            r.help = opt("Help given");
            r.note = opt("Note");
            Amended::Lambing(r)
        }
        RecordRef::Joining(id) => {
            let mut r = file.joinings.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.ram = ram(ctx, &text("Ram")).map_err(wrong("Ram"))?;
            r.from = day("Day")?;
            r.to = opt("Until").map(|_| day("Until")).transpose()?;
            r.method = opt("How");
            Amended::Joining(r)
        }
        RecordRef::Weighing(id) => {
            let mut r = file.weighings.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.at = moment()?;
            r.weight = Weight::parse(&text("Weight"), ctx.units()).map_err(|e| parsed("Weight", e))?;
            r.note = opt("Note");
            Amended::Weighing(r)
        }
        RecordRef::Treatment(id) => {
            let mut r = file.treatments.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.at = moment()?;
            r.product = text("Product");
            r.batch = opt("Batch");
            r.dose = fields::dose_of(&text("Dose")).map_err(wrong("Dose"))?;
            r.route = opt("Route").map(|t| Route::parse(&t)).transpose().map_err(|e| parsed("Route", e))?;
            r.site = opt("Site");
            r.reason = opt("Because of");
            r.given_by = opt("Given by");
            r.prescribed_by = opt("Prescribed by");
            r.meat = Withdrawal::parse(&text("Meat withdrawal")).map_err(|e| parsed("Meat withdrawal", e))?;
            r.milk = Withdrawal::parse(&text("Milk withdrawal")).map_err(|e| parsed("Milk withdrawal", e))?;
            Amended::Treatment(r)
        }
        RecordRef::PenMove(id) => {
            let mut r = file.pen_moves.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.on = day("Day")?;
            r.pen = opt("Pen");
            Amended::PenMove(r)
        }
        RecordRef::Movement(id) => {
            let mut r = file.movements.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.on = day("Day")?;
            r.to = Status::parse(&text("It is")).map_err(|e| parsed("It is", e))?;
            r.other = opt("To or from");
            r.reason = opt("Because of");
            Amended::Movement(r)
        }
        RecordRef::Remark(id) => {
            let mut r = file.remarks.iter().find(|r| r.id == id).ok_or_else(gone)?.clone();
            r.on = day("Day")?;
            r.text = text("Note");
            Amended::Remark(r)
        }
        RecordRef::Animal(_) | RecordRef::Product(_) => return Err(gone()),
    })
}

//! Read a list: a pasted text or a reader's file becomes the animals that were read, to mark in the list, treat, move or
//! weigh; of a pen it is told who is missing.

mod rows;
mod unknown;

use super::super::{Ctx, Intent, fields};
use super::{Open, State as Flock};
use crate::desk::roll::{Ready, RollFrom, Rolled};
use crate::look::{self, Kind, space};
use crate::pages::act::Job;
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, counted};
use serde::{Deserialize, Serialize};
use std::path::PathBuf;

/// The panel as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    text: String,
    file: String,
    pen: String,
    #[serde(skip)]
    pub(super) into: bool,
    /// The list was ready in the frame before.
    #[serde(skip)]
    ready: bool,
    #[serde(skip)]
    rows: rows::State,
    #[serde(skip)]
    whose: unknown::State,
}

const LABELS: f32 = 110.0;

/// Draws the panel; it has the whole page.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, flock: &mut Flock, out: &mut Vec<Intent>) {
    let mut back = false;
    ui.horizontal(|ui| {
        look::subheading(ui, "Read a list");
        back = ui.button(phrase!("Back to the flock")).clicked() || crate::parts::escaped(ui);
    });
    match ctx.rolled {
        Some(Rolled::Ready(ready)) => ready_view(ui, ctx, flock, ready, out),
        other => {
            flock.roll.ready = false;
            asked(ui, &mut flock.roll, out);
            match other {
                Some(Rolled::Reading { name, .. }) => {
                    look::faint(ui, phrase!("Reading {name} …"));
                }
                Some(Rolled::Refused { name, why }) => {
                    look::banner(ui, Kind::Refuse, format!("{name}: {why}"), |_| {});
                }
                _ => {}
            }
            setting(ui, ctx, out);
        }
    }
    if back {
        flock.open = Open::Nothing; // what is typed and read stays
        flock.focus = true;
    }
}

/// The text or the file.
fn asked(ui: &mut egui::Ui, s: &mut State, out: &mut Vec<Intent>) {
    look::paragraph(
        ui,
        "Tags and numbers in any order and form: pasted from a message or a spreadsheet, typed by the reader, or in its file, with or without weights. Nothing is written by reading a list.",
    );
    let mut form = Form::new(ui, "roll").label_width(LABELS);
    form.focus_once(ui, &mut s.into, "List");
    let text = Field::new("List")
        .width(560.0)
        .lines(8)
        .example("0412, 0417 or 826 012345600412, one a line or all in one");
    form.field(ui, &text, &mut s.text);
    form.field(ui, &Field::new("Or a file").width(440.0).example("a text or CSV file"), &mut s.file);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        go |= look::primary(ui, "Read it").clicked();
        if ui.button(phrase!("Choose a file…")).clicked() {
            out.push(Intent::ReadRoll(RollFrom::File(None)));
        }
        look::faint(ui, "Ctrl+Enter reads it");
    });
    if go {
        out.push(match (fields::some(&s.text), fields::some(&s.file)) {
            (Some(_), Some(_)) => {
                let why = "a list and a file: empty one of the two, so that it is clear which is to be read";
                Intent::Say(Kind::Refuse, why.into())
            }
            (Some(_), None) => Intent::ReadRoll(RollFrom::Text(s.text.clone())),
            (None, Some(file)) => Intent::ReadRoll(RollFrom::File(Some(PathBuf::from(file)))),
            (None, None) => Intent::Say(
                Kind::Refuse,
                phrase!("there is no list yet: paste it, or type the name of a file"),
            ),
        });
    }
}

/// What a reader does where no field has the keyboard.
fn setting(ui: &mut egui::Ui, ctx: &Ctx<'_>, out: &mut Vec<Intent>) {
    ui.add_space(space::M);
    let mut form = Form::new(ui, "reader").label_width(LABELS);
    let mut opens = Some(ctx.scan_opens);
    let options = [(true, "opens its animal’s leaf"), (false, "does nothing")];
    form.choice(ui, &Choice::new("A reading", &options), &mut opens);
    form.finish(ui);
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        look::faint(ui, "while the keyboard is in no field. In a field a reader types as you do.");
    });
    if let Some(opens) = opens.filter(|o| *o != ctx.scan_opens) {
        out.push(Intent::ScanOpens(opens));
    }
}

fn ready_view(ui: &mut egui::Ui, ctx: &Ctx<'_>, flock: &mut Flock, ready: &Ready, out: &mut Vec<Intent>) {
    let roll = &ready.roll;
    let first = !std::mem::replace(&mut flock.roll.ready, true);
    look::strong(ui, format!("{}: {}", roll.name, roll.sentence()));
    let s = &mut flock.roll;
    let of = pen(ui, ctx, s);
    let missing = of.as_ref().map(|(_, all)| roll.missing(all)).unwrap_or_default();
    if let Some((pen, all)) = &of {
        told(ui, ctx, pen, &missing, &roll.strays(all));
    }
    let here = roll.here();
    let mut done = None;
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        let some = !here.is_empty();
        let mark = ui.add_enabled_ui(some, |ui| look::primary(ui, "Mark these in the list")).inner;
        if first && some {
            mark.request_focus();
        }
        if mark.clicked() {
            done = Some(None);
        }
        let button = |ui: &mut egui::Ui, word: &'static str| {
            ui.add_enabled(some, egui::Button::new(crate::look::spoken(word))).clicked()
        };
        if button(ui, "Treat these") {
            out.push(Intent::Treat(here.clone()));
        }
        if button(ui, "Move these to a pen") {
            done = Some(Some(Job::Pen));
        }
        if roll.has_weights && ui.button(phrase!("Weights to a session")).clicked() {
            out.push(Intent::WeighRoll);
        }
        if !missing.is_empty() && ui.button(phrase!("Mark the missing")).clicked() {
            flock.table.select(missing.iter().copied());
            flock.open = Open::Nothing;
            flock.focus = true;
        }
        if ui.button(phrase!("Read another list")).clicked() {
            s.text.clear();
            s.file.clear();
            s.into = true;
            out.push(Intent::LeaveRoll);
        }
    });
    if let Some(job) = done {
        marked(flock, &here, job, out);
        return;
    }
    rows::view(ui, ctx, ready, (of.as_ref().map(|(p, _)| p.as_str()), &missing), flock, out);
}

/// Chooses the animals in the list, where every job for many begins.
fn marked(flock: &mut Flock, here: &[AnimalId], job: Option<Job>, out: &mut Vec<Intent>) {
    flock.table.select(here.iter().copied());
    if let Some(first) = here.first() {
        flock.table.set_cursor(*first);
    }
    flock.search.clear();
    flock.whom = super::Whom::Here;
    flock.open = Open::Nothing;
    match job {
        Some(job) => flock.act.open(job),
        None => flock.focus = true,
    }
    out.push(Intent::Say(Kind::Plain, phrase!("{} of the list marked", counted(here.len(), "animal"))));
}

/// Whom the list should hold: a pen with its animals.
fn pen(ui: &mut egui::Ui, ctx: &Ctx<'_>, s: &mut State) -> Option<(String, Vec<AnimalId>)> {
    let mut form = Form::new(ui, "roll of").label_width(LABELS);
    let known = |t: &str| {
        let all = of_pen(ctx, t);
        if all.is_empty() {
            Err(phrase!("no animal is in a pen called so"))
        } else {
            Ok(counted(all.len(), "animal"))
        }
    };
    let field = Field::new("Should be").width(200.0).example("a pen, or: all").understand(&known);
    form.field(ui, &field, &mut s.pen);
    form.finish(ui);
    let text = fields::some(&s.pen)?;
    let all = of_pen(ctx, &text);
    let name = if is_all(&text) { phrase!("the whole flock") } else { ctx.flock.pen_called(&text) };
    (!all.is_empty()).then_some((name, all))
}

fn is_all(text: &str) -> bool {
    text.trim().eq_ignore_ascii_case("all")
}

fn of_pen(ctx: &Ctx<'_>, text: &str) -> Vec<AnimalId> {
    let pen = ctx.flock.in_pen(text);
    if pen.is_empty() && is_all(text) {
        let mut all: Vec<_> = ctx.flock.present().map(|f| (f.animal.tag(), f.animal.id)).collect();
        all.sort_by(|a, b| hirsel_core::flock::natural(a.0, b.0));
        return all.into_iter().map(|(_, id)| id).collect();
    }
    pen
}

/// Who is missing of a pen, and who was read and is not of it.
fn told(ui: &mut egui::Ui, ctx: &Ctx<'_>, pen: &str, missing: &[AnimalId], strays: &[AnimalId]) {
    const SHOWN: usize = 12;
    let tags = |ids: &[AnimalId]| {
        let shown: Vec<&str> = ids.iter().take(SHOWN).map(|id| ctx.flock.tag(*id)).collect();
        let more = ids.len().saturating_sub(SHOWN);
        if more > 0 { phrase!("{} and {more} more", shown.join(", ")) } else { shown.join(", ") }
    };
    match missing {
        [] => look::sentence(ui, Kind::Good, phrase!("All of {pen} were read", pen = &pen)),
        some => look::sentence(ui, Kind::Caution, phrase!("Of {pen} not read: {}", tags(some), pen = &pen)),
    };
    if !strays.is_empty() {
        look::faint(ui, phrase!("Read, but not of {pen}: {}", tags(strays), pen = &pen));
    }
}

//! One job for all chosen animals: a pen, a ram, a change of standing, a note. Used by the list and by the leaf.

use super::moving::MoveFields;
use super::{Ctx, Intent, Then, fields, refusal_of};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent, Picker, PickerState};
use hirsel_core::entry::{
    self, Check, JoiningDraft, PenMoveDraft, Refusal, RemarkDraft, StandingDraft, WeighingDraft,
};
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Day, Moment, Sex, Status};
use serde::{Deserialize, Serialize};

/// Which job.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Job {
    /// To a pen.
    Pen,
    /// Sold, dead, lent, …
    Standing,
    /// A note.
    Note,
    /// Ewes with a ram.
    Join,
    /// A weight; for one animal.
    Weigh,
}

/// The form as typed; its fields serve whichever job is open.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct ActForm {
    job: Option<Job>,
    on: String,
    until: String,
    pen: String,
    ram: PickerState<AnimalId>,
    method: Option<u8>,
    status: Option<u8>,
    other: String,
    reason: String,
    details: MoveFields,
    note: String,
    weight: String,
    #[serde(skip)]
    focus: bool,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

const STATUSES: [(u8, &str); 6] =
    [(0, "sold"), (1, "dead"), (2, "culled"), (3, "lent"), (4, "missing"), (5, "in the flock")];
const TO: [Status; 6] =
    [Status::Sold, Status::Dead, Status::Culled, Status::Lent, Status::Missing, Status::Present];
const METHODS: [(u8, &str); 3] =
    [(0, "running together"), (1, "hand service"), (2, "artificial insemination")];

impl ActForm {
    /// Opens the form for a job.
    pub fn open(&mut self, job: Job) {
        self.job = Some(job);
        self.focus = true;
    }

    /// Closes the form; what is typed stays.
    pub fn close(&mut self) {
        self.job = None;
    }

    /// A job is open.
    pub fn is_open(&self) -> bool {
        self.job.is_some()
    }
}

/// Draws the open job for these animals; tells when it was closed. What is typed stays.
pub fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    act: &mut ActForm,
    chosen: Vec<AnimalId>,
    out: &mut Vec<Intent>,
) -> bool {
    let Some(job) = act.job else { return false };
    let names: Vec<&str> = chosen.iter().take(6).map(|id| ctx.flock.tag(*id)).collect();
    let more = chosen.len().saturating_sub(names.len());
    let whom = if more > 0 { phrase!("{} and {more} more", names.join(", ")) } else { names.join(", ") };
    let (title, word) = match job {
        Job::Pen => ("Move to pen", "Move"),
        Job::Join => ("Join with a ram", "Join"),
        Job::Standing => ("Change standing", "Write it in"),
        Job::Note => ("Note", "Write it in"),
        Job::Weigh => ("Weigh", "Write it in"),
    };
    let one = chosen.len() == 1;
    let mut close = false;
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        look::subheading(ui, format!("{}: {whom}", look::said(title)));
        let submitted = form(ui, ctx, job, act, one);
        ui.add_space(space::XS);
        ui.horizontal(|ui| {
            if look::primary(ui, word).clicked() || submitted {
                write(ctx, job, act, chosen, out);
            }
            if ui.button(phrase!("Close")).clicked() || crate::parts::escaped(ui) {
                close = true;
            }
        });
    });
    if close {
        act.job = None;
    }
    close
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, job: Job, act: &mut ActForm, one: bool) -> bool {
    let mut form = Form::new(ui, "job for all").label_width(110.0);
    let focus = &mut act.focus;
    let today = ctx.today;
    let day = |t: &str| Day::parse_typed(t, today).map(Day::long).map_err(|e| e.0);
    let nudge = |t: &str, n: i32| Day::parse_typed(t, today).ok().map(|d| d.plus(n.into()).to_string());
    let wrong = |name| refusal_of(&act.refusals, name, 0);
    let (on, from, to, ram, pen, tag) =
        (wrong("on"), wrong("from"), wrong("to"), wrong("ram"), wrong("pen"), wrong("tag"));
    match job {
        Job::Pen => {
            let pens: Vec<String> = ctx.flock.pens().into_iter().map(|(p, _)| p).collect();
            form.focus_once(ui, focus, "Pen");
            let hint = |t: &str| {
                let n = pens.iter().find(|p| p.eq_ignore_ascii_case(t.trim()));
                Ok(n.map_or_else(
                    || phrase!("a new pen"),
                    |p| phrase!("{} in it now", ctx.flock.in_pen(p).len()),
                ))
            };
            let field = Field::new("Pen").width(180.0).example("empty: out of any pen").understand(&hint);
            form.field(ui, &field.refusal(pen.as_deref()), &mut act.pen);
        }
        Job::Join => {
            form.focus_once(ui, focus, "Ram");
            let nobody = |t: &str| ctx.nobody(t);
            form.picker(
                ui,
                &Picker::new("Ram", ctx.flock.version()).nobody(&nobody).refusal(ram.as_deref()),
                &mut act.ram,
                |t| ctx.find(t, |f| f.animal.sex == Sex::Ram),
            );
            form.choice(ui, &Choice::new("How", &METHODS), &mut act.method);
        }
        Job::Standing => {
            let label = if one { "It is" } else { "They are" };
            form.focus_once(ui, focus, label);
            form.choice(ui, &Choice::new(label, &STATUSES), &mut act.status);
            let to = act.status.and_then(|s| TO.get(usize::from(s))).copied();
            if to != Some(Status::Dead) && to != Some(Status::Missing) {
                let field = Field::new("To or from").width(280.0).example("person or place");
                form.field(ui, &field, &mut act.other);
            }
            form.field(
                ui,
                &Field::new("Why").width(320.0).example("draft ewe, pneumonia, fox …"),
                &mut act.reason,
            );
            if let Some(to) = to {
                let wrong = |name| refusal_of(&act.refusals, name, 0);
                act.details.view(ui, ctx, &mut form, to, &wrong);
            }
        }
        Job::Weigh => {
            form.focus_once(ui, focus, "Weight");
            form.weight(ui, ctx, "Weight", &mut act.weight, None);
            form.field(ui, &Field::new("Note").width(480.0), &mut act.note);
        }
        Job::Note => {
            form.focus_once(ui, focus, "Note");
            form.field(ui, &Field::new("Note").width(480.0), &mut act.note);
        }
    }
    let label = if job == Job::Join { "From" } else { "Day" };
    let wrong = if job == Job::Join { from } else { on };
    let field = Field::new(label).width(130.0).example("today").understand(&day).nudge(&nudge);
    form.field(ui, &field.refusal(wrong.as_deref()), &mut act.on);
    if job == Job::Join {
        let field =
            Field::new("Until").width(180.0).example("empty: still together").understand(&day).nudge(&nudge);
        form.field(ui, &field.refusal(to.as_deref()), &mut act.until);
    }
    if let Some(tag) = tag {
        look::refusal(ui, &tag);
    }
    form.finish(ui) == FormEvent::Submitted
}

fn write(ctx: &Ctx<'_>, job: Job, act: &mut ActForm, animals: Vec<AnimalId>, out: &mut Vec<Intent>) {
    match check(ctx, job, act, animals) {
        Err(text) => out.push(Intent::Say(Kind::Refuse, text)),
        Ok(Ok(checked)) => {
            act.refusals.clear();
            let to_know = super::moving::to_know(&checked);
            out.push(Intent::Write { checked: Box::new(checked), then: Then::LeafDone });
            out.extend(to_know);
        }
        Ok(Err(refusals)) => {
            if let Some(first) = refusals.first() {
                out.push(Intent::Say(Kind::Refuse, first.to_string()));
            }
            act.refusals = refusals;
        }
    }
}

fn check(ctx: &Ctx<'_>, job: Job, act: &ActForm, animals: Vec<AnimalId>) -> Result<Check, String> {
    let some = |t: &str| (!t.trim().is_empty()).then(|| t.trim().to_string());
    let day = |t: &str| match some(t) {
        Some(t) => Day::parse_typed(&t, ctx.today).map_err(|e| e.0),
        None => Ok(ctx.today),
    };
    let on = day(&act.on)?;
    Ok(match job {
        Job::Pen => entry::pen_move(PenMoveDraft { animals, on, pen: some(&act.pen) }, ctx.flock, ctx.today),
        Job::Join => {
            let ram = act.ram.chosen().ok_or("a ram is needed: choose one by any part of his tag")?;
            let to = some(&act.until).map(|t| day(&t)).transpose()?;
            let method = act.method.and_then(|m| METHODS.get(usize::from(m))).map(|(_, w)| (*w).to_string());
            let to = if act.method == Some(1) || act.method == Some(2) { to.or(Some(on)) } else { to };
            entry::joinings(
                vec![JoiningDraft { ram, ewes: animals, from: on, to, method, group: None }],
                ctx.flock,
                ctx.today,
            )
        }
        Job::Standing => {
            let to = act
                .status
                .and_then(|s| TO.get(usize::from(s)))
                .ok_or("a standing is needed: sold, dead, …")?;
            let draft = StandingDraft {
                animals,
                to: *to,
                on,
                other: some(&act.other).filter(|_| !matches!(to, Status::Dead | Status::Missing)),
                reason: some(&act.reason),
                details: act.details.details(*to),
            };
            entry::standing(draft, ctx.flock, ctx.today)
        }
        Job::Weigh => {
            let weight =
                fields::weight_of(ctx, &act.weight)?.ok_or("a weight is needed: what the scale says")?;
            let draft = |animal| WeighingDraft { animal, at: Moment::day(on), weight, note: some(&act.note) };
            entry::weighings(animals.into_iter().map(draft).collect(), ctx.flock, ctx.today)
        }
        Job::Note => entry::remark(RemarkDraft { animals, on, text: act.note.clone() }, ctx.flock, ctx.today),
    })
}

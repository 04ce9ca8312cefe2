//! One test opened: to be read, amended or struck out, each with a reason.

use super::super::super::{Ctx, Intent, Then, fields, refusal_of};
use super::typed::{Typed, Wrong, columns};
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, Amended, Refusal};
use hirsel_core::flock::{GeneTest, RecordRef};
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, GeneTestId};
use serde::{Deserialize, Serialize};

#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
enum Doing {
    #[default]
    Reading,
    Amending,
    Striking,
}

/// The opened test and what is typed over it.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Opened {
    of: Option<(AnimalId, GeneTestId)>,
    doing: Doing,
    typed: Typed,
    reason: String,
    #[serde(skip)]
    focus: Option<&'static str>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

impl Opened {
    /// Opens a test.
    pub(super) fn open(&mut self, animal: AnimalId, test: GeneTestId) {
        *self = Self { of: Some((animal, test)), ..Self::default() };
    }

    /// One is open.
    pub(super) fn is_open(&self) -> bool {
        self.of.is_some()
    }

    /// The change is written: it stays open to be read.
    pub(super) fn done(&mut self) {
        *self = Self { of: self.of, ..Self::default() };
    }
}

fn find<'a>(ctx: &Ctx<'a>, (animal, test): (AnimalId, GeneTestId)) -> Option<&'a GeneTest> {
    ctx.flock.file(animal)?.tests.iter().find(|t| t.id == test)
}

/// Draws it; tells when it is closed.
pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut Opened, out: &mut Vec<Intent>) -> bool {
    let Some((of, test)) = t.of.and_then(|of| Some((of, find(ctx, of)?))) else {
        *t = Opened::default();
        return true;
    };
    let mut close = false;
    egui::ScrollArea::vertical().id_salt("gene test").auto_shrink(false).show(ui, |ui| {
        look::card(ui, |ui| {
            ui.set_min_width(ui.available_width());
            ui.horizontal_wrapped(|ui| {
                look::subheading(ui, phrase!("Test of {}", &ctx.flock.tag(of.0)));
                if let Some(s) = &test.struck {
                    look::chip(ui, Kind::Refuse, phrase!("struck out {}: {}", s.on.words(), s.reason));
                }
            });
            ui.horizontal(|ui| close = deeds(ui, ctx, test, t, out));
            ui.add_space(space::S);
            match t.doing {
                Doing::Amending => amend(ui, ctx, test, t, out),
                Doing::Striking => {
                    strike(ui, ctx, of, t, out);
                    read(ui, ctx, test);
                }
                Doing::Reading => read(ui, ctx, test),
            }
        });
    });
    if close {
        *t = Opened::default();
    }
    close
}

fn deeds(ui: &mut egui::Ui, ctx: &Ctx<'_>, test: &GeneTest, t: &mut Opened, out: &mut Vec<Intent>) -> bool {
    let free = ui.memory(|m| m.focused().is_none() && m.top_modal_layer().is_none());
    let letter = |ui: &egui::Ui, key| free && ui.input(|i| i.key_pressed(key) && !i.modifiers.any());
    let reading = t.doing == Doing::Reading;
    if test.struck.is_none() && reading {
        if ui.button(phrase!("Amend (A)")).clicked() || letter(ui, egui::Key::A) {
            t.typed = Typed::of(ctx, test);
            (t.doing, t.focus) = (Doing::Amending, Some("Day"));
        }
        if ui.button(phrase!("Strike out (K)")).clicked() || letter(ui, egui::Key::K) {
            (t.doing, t.focus) = (Doing::Striking, Some("Reason"));
        }
    }
    if reading && (ui.button(phrase!("The animal (O)")).clicked() || letter(ui, egui::Key::O)) {
        out.push(Intent::Open(test.animal));
    }
    let back = ui.button(phrase!("Back to the list (Esc)")).clicked();
    back || (reading && crate::parts::escaped(ui))
}

fn read(ui: &mut egui::Ui, ctx: &Ctx<'_>, test: &GeneTest) {
    let (what, result) = columns(ctx, &test.found);
    let opt = |o: &Option<String>| o.clone().unwrap_or_else(|| "not written".into());
    let lines = [
        ("Day", test.on.long()),
        ("Test for", what),
        ("Result", result),
        ("Laboratory", opt(&test.lab)),
        ("Report number", opt(&test.number)),
        ("Note", opt(&test.note)),
    ];
    egui::Grid::new("gene test lines").num_columns(2).spacing([space::L, space::XS]).show(ui, |ui| {
        for (label, words) in lines {
            look::faint(ui, label);
            ui.add(egui::Label::new(words).wrap());
            ui.end_row();
        }
    });
    for a in ctx.flock.amendments(RecordRef::GeneTest(test.id)) {
        ui.add_space(space::XS);
        let why = if a.reason.is_empty() { String::new() } else { format!(": {}", a.reason) };
        look::strong(ui, phrase!("Amended {} by {}{why}", a.at, a.who));
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

fn focused(ui: &egui::Ui, form: &Form, focus: &mut Option<&'static str>) {
    if let Some(label) = *focus {
        let mut wish = true;
        form.focus_once(ui, &mut wish, label);
        *focus = wish.then_some(label);
    }
}

fn amend(ui: &mut egui::Ui, ctx: &Ctx<'_>, test: &GeneTest, t: &mut Opened, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "amend gene test").label_width(140.0);
    focused(ui, &form, &mut t.focus);
    let wrong = |name| refusal_of(&t.refusals, name, 0);
    let reason = wrong("reason");
    let beside = Wrong { on: wrong("on"), result: wrong("result"), parent: wrong("parent") };
    t.typed.stays(ui, ctx, &mut form, &beside);
    t.typed.shows(ui, ctx, &mut form, &beside);
    form.field(ui, &Field::new("Note").width(320.0), &mut t.typed.note);
    let field = Field::new("Reason").width(320.0).example("why it is changed").refusal(reason.as_deref());
    form.field(ui, &field, &mut t.reason);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Write the amendment").clicked();
        if ui.button(phrase!("Leave it as it was")).clicked() {
            t.done();
        }
        look::faint(ui, "The old value stays readable beside the new one.");
    });
    if !go || t.doing != Doing::Amending {
        return;
    }
    let new = || -> Result<GeneTest, (&'static str, String)> {
        let mut new = test.clone();
        new.on = fields::day_or_today(ctx, &t.typed.on).map_err(|e| ("Day", e))?;
        new.found = t.typed.found(ctx)?;
        new.lab = fields::some(&t.typed.lab);
        new.number = fields::some(&t.typed.number);
        new.note = fields::some(&t.typed.note);
        Ok(new)
    };
    match new() {
        Err((label, text)) => {
            t.focus = Some(label);
            out.push(Intent::Say(Kind::Refuse, text));
        }
        Ok(new) => {
            let check = entry::amend(Amended::GeneTest(new), &t.reason, ctx.flock, ctx.today);
            let label = t.typed.result_label();
            said(check, t, label, out);
        }
    }
}

fn strike(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    (animal, test): (AnimalId, GeneTestId),
    t: &mut Opened,
    out: &mut Vec<Intent>,
) {
    let mut form = Form::new(ui, "strike gene test").label_width(140.0);
    focused(ui, &form, &mut t.focus);
    let wrong = t.refusals.first().map(ToString::to_string);
    let field =
        Field::new("Reason").width(320.0).example("another animal's sample").refusal(wrong.as_deref());
    form.field(ui, &field, &mut t.reason);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Strike it out").clicked();
        if ui.button(phrase!("Leave it")).clicked() {
            t.done();
        }
        look::faint(ui, "It stays readable, struck through, with the day and the reason.");
    });
    if go && t.doing == Doing::Striking {
        let check = entry::strike(animal, RecordRef::GeneTest(test), &t.reason, ctx.flock, ctx.today);
        said(check, t, "Reason", out);
    }
}

/// Writes what was checked, or shows what was refused.
fn said(check: entry::Check, t: &mut Opened, result: &'static str, out: &mut Vec<Intent>) {
    match check {
        Ok(checked) => {
            t.refusals.clear();
            out.push(Intent::Write { checked: Box::new(checked), then: Then::BloodDone });
        }
        Err(refusals) => {
            let Some(first) = refusals.first() else { return };
            t.focus = Some(match first.field.name {
                "on" => "Day",
                "parent" => "Parent",
                "result" => result,
                _ => "Reason",
            });
            if t.doing == Doing::Striking {
                t.focus = Some("Reason");
            }
            out.push(Intent::Say(Kind::Refuse, first.to_string()));
            t.refusals = refusals;
        }
    }
}

//! The pairs written as joinings, after a look over.

use super::super::super::{Ctx, Intent, Then, fields, refusal_of};
use super::set::Set;
use crate::look::{self, Kind, space};
use crate::parts::{Field, Form, FormEvent};
use hirsel_core::entry::{self, JoiningDraft, Refusal};
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Day, counted};
use serde::{Deserialize, Serialize};

/// As typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    from: String,
    method: String,
    /// A name for the group of a ram, where it is not the ram's own.
    groups: Vec<(AnimalId, String)>,
    #[serde(skip)]
    focus: Option<&'static str>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

impl Typed {
    /// They stand in the book.
    pub(super) fn written(&mut self) {
        *self = Self::default();
    }
}

/// The rams that have ewes, each with them.
fn by_ram(set: &Set) -> Vec<(AnimalId, Vec<AnimalId>)> {
    let ewes = |ram| set.pairs.pairs().filter(|p| p.ram == ram).map(|p| p.ewe).collect::<Vec<_>>();
    let all = set.pairs.rams().iter().map(|r| (r.ram, ewes(r.ram)));
    all.filter(|(_, ewes)| !ewes.is_empty()).collect()
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    t: &mut Typed,
    set: &Set,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    if std::mem::take(into) {
        t.focus = Some("From");
    }
    let groups = by_ram(set);
    ui.add_space(space::S);
    look::paragraph(
        ui,
        "Look them over: each ram becomes a group that runs together from a day on. A group’s name may be a field or a number.",
    );
    let mut go = false;
    egui::ScrollArea::vertical().id_salt("write pairs").auto_shrink(false).show(ui, |ui| {
        let mut form = Form::new(ui, "write pairs").label_width(120.0);
        if let Some(label) = t.focus {
            let mut wish = true;
            form.focus_once(ui, &mut wish, label);
            t.focus = wish.then_some(label);
        }
        let from = (0..groups.len()).find_map(|row| refusal_of(&t.refusals, "from", row));
        form.day(ui, ctx, "From", &mut t.from, from.as_deref());
        form.field(ui, &Field::new("How").width(220.0).example("natural"), &mut t.method);
        for (row, (ram, ewes)) in groups.iter().enumerate() {
            if !t.groups.iter().any(|g| g.0 == *ram) {
                t.groups.push((*ram, String::new()));
            }
            let Some((_, name)) = t.groups.iter_mut().find(|g| g.0 == *ram) else { continue };
            let tag = ctx.flock.tag(*ram);
            ui.add_space(space::S);
            let label = phrase!("Group of {tag}", tag = &tag);
            let wrong = refusal_of(&t.refusals, "ram", row).or_else(|| refusal_of(&t.refusals, "ewe", row));
            form.field(
                ui,
                &Field::new(&label).width(180.0).example(tag.to_string()).refusal(wrong.as_deref()),
                name,
            );
            ui.horizontal_top(|ui| {
                ui.add_space(128.0);
                let tags: Vec<&str> = ewes.iter().map(|e| ctx.flock.tag(*e)).collect();
                let words = format!("{}: {}", counted(ewes.len(), "ewe"), tags.join(", "));
                ui.add(egui::Label::new(words).wrap());
            });
        }
        go = form.finish(ui) == FormEvent::Submitted;
        ui.add_space(space::M);
        go |= look::primary(ui, "Write these joinings").clicked();
    });
    if !go {
        return;
    }
    match checked(ctx, t, groups) {
        Ok(intent) => out.push(intent),
        Err(text) => {
            t.focus = Some("From");
            out.push(Intent::Say(Kind::Refuse, text));
        }
    }
}

fn checked(ctx: &Ctx<'_>, t: &mut Typed, groups: Vec<(AnimalId, Vec<AnimalId>)>) -> Result<Intent, String> {
    let from: Day = fields::day_or_today(ctx, &t.from)?;
    let name = |ram: AnimalId| {
        let typed = t.groups.iter().find(|g| g.0 == ram).and_then(|g| fields::some(&g.1));
        typed.or_else(|| Some(ctx.flock.tag(ram).to_string()))
    };
    let drafts = groups
        .into_iter()
        .map(|(ram, ewes)| JoiningDraft {
            ram,
            ewes,
            from,
            to: None,
            method: fields::some(&t.method),
            group: name(ram),
        })
        .collect();
    match entry::joinings(drafts, ctx.flock, ctx.today) {
        Ok(checked) => {
            t.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::JoiningDone })
        }
        Err(refusals) => {
            let first = refusals.first().map(ToString::to_string).unwrap_or_default();
            t.refusals = refusals;
            Err(first)
        }
    }
}

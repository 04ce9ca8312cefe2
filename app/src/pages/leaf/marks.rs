//! Tags lost, replaced or put on.

use super::super::{Ctx, Intent, Then, fields, refusal_of};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent};
use hirsel_core::entry::{self, IdentityDraft, Refusal, Retag};
use hirsel_core::flock::{AnimalFile, Ended};
use hirsel_core::phrase;
use hirsel_core::terms::{ElectronicId, IdentityKind, Tag};
use serde::{Deserialize, Serialize};

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    kind: Option<u8>,
    old: Option<u8>,
    new: String,
    on: String,
    #[serde(skip)]
    focus: bool,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

impl Typed {
    /// Opens the form.
    pub(super) fn begin(&mut self) {
        self.focus = true;
        self.kind.get_or_insert(0);
        self.old.get_or_insert(1);
    }
}

/// Draws the form; tells when it was closed.
pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    file: &AnimalFile,
    t: &mut Typed,
    out: &mut Vec<Intent>,
) -> bool {
    let mut close = false;
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        look::subheading(ui, phrase!("Tags of {}", &file.animal.tag()));
        let mut form = Form::new(ui, "marks").label_width(120.0);
        form.focus_once(ui, &mut t.focus, "Which");
        let kinds: Vec<(u8, &str)> = (0u8..).zip(IdentityKind::ALL.iter().map(|k| k.words())).collect();
        form.choice(ui, &Choice::new("Which", &kinds), &mut t.kind);
        let kind = IdentityKind::ALL[usize::from(t.kind.unwrap_or(0)).min(3)];
        let worn = file.animal.worn(kind);
        if let Some(worn) = worn {
            let old = phrase!("{} is", worn.tag);
            let states = [(0u8, "lost"), (1, "replaced by the new one"), (2, "still worn")];
            form.choice(ui, &Choice::new(&old, &states), &mut t.old);
        }
        let wrong = refusal_of(&t.refusals, "tag", 0);
        let field = Field::new("New one").width(220.0).example("empty: none yet").refusal(wrong.as_deref());
        form.field(ui, &field, &mut t.new);
        let wrong = refusal_of(&t.refusals, "on", 0);
        form.day(ui, ctx, "Day", &mut t.on, wrong.as_deref());
        let mut go = form.finish(ui) == FormEvent::Submitted;
        ui.add_space(space::XS);
        ui.horizontal(|ui| {
            go |= look::primary(ui, "Write it in").clicked();
            close |= ui.button(phrase!("Close")).clicked() || crate::parts::escaped(ui);
        });
        if go {
            match draft(ctx, file, t) {
                Err(text) => out.push(Intent::Say(Kind::Refuse, text)),
                Ok(draft) => match entry::retag(draft, ctx.flock, ctx.today) {
                    Ok(checked) => {
                        out.push(Intent::Write { checked: Box::new(checked), then: Then::LeafDone })
                    }
                    Err(refusals) => {
                        out.extend(refusals.first().map(|r| Intent::Say(Kind::Refuse, r.to_string())));
                        t.refusals = refusals;
                    }
                },
            }
        }
    });
    close
}

fn draft(ctx: &Ctx<'_>, file: &AnimalFile, t: &Typed) -> Result<Retag, String> {
    let kind = IdentityKind::ALL[usize::from(t.kind.unwrap_or(0)).min(3)];
    let worn = file.animal.worn(kind);
    let ends = match (worn, t.old) {
        (Some(w), Some(0)) => Some((w.id, Ended::Lost)),
        (Some(w), Some(1)) => Some((w.id, Ended::Replaced)),
        _ => None,
    };
    let new = match fields::some(&t.new) {
        Some(text) => {
            let text = match kind {
                IdentityKind::Electronic => ElectronicId::parse_typed(&text).map_err(|e| e.0)?.digits(),
                _ => text,
            };
            Some(IdentityDraft { kind, tag: Tag::parse(&text).map_err(|e| e.0)? })
        }
        None => None,
    };
    if new.is_none() && matches!(ends, Some((_, Ended::Replaced))) {
        return Err(phrase!("replaced by which tag? Type the new one, or say that the old one is lost"));
    }
    Ok(Retag { animal: file.animal.id, ends, new, on: fields::day_or_today(ctx, &t.on)? })
}

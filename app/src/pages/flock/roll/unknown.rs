//! A number nobody wears: whose is nearest, and giving it to its animal or to a new one.

use super::super::{Open, State as Flock};
use super::LABELS;
use crate::look::{self, Kind, space};
use crate::pages::{Ctx, Intent, Then, fields};
use crate::parts::{Form, FormEvent, PickerState};
use hirsel_core::entry::{self, Checked, IdentityDraft, Retag};
use hirsel_core::exchange::roll::{Called, RollRow};
use hirsel_core::flock::Ended;
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Day, ElectronicId, IdentityKind, Tag};

/// Whose it is said to be.
#[derive(Debug, Default)]
pub(super) struct State {
    whose: PickerState<AnimalId>,
    into: bool,
    /// The number it is asked of.
    of: String,
}

impl State {
    /// The keyboard goes to the field.
    pub(super) fn ask(&mut self) {
        self.into = true;
    }
}

/// What is to be said of a reading nobody can be told of: `one figure off 826012345600401 of 0401`.
pub(super) fn words(ctx: &Ctx<'_>, r: &RollRow) -> Option<String> {
    match &r.who {
        Called::Found(_) => None,
        Called::Wrong(why) => Some(why.clone()),
        Called::Several(which) => Some(phrase!("may be {which}: write the whole tag")),
        Called::Unknown(near) if near.is_empty() => None,
        Called::Unknown(near) => {
            let near: Vec<String> =
                near.iter().map(|n| phrase!("{} of {}", n.mark, &ctx.flock.tag(n.animal))).collect();
            Some(phrase!("one sign off {}", near.join(", ")))
        }
    }
}

/// What is said of the reading under the cursor; of an unknown number, whose it is.
pub(super) fn beside(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    r: &RollRow,
    flock: &mut Flock,
    out: &mut Vec<Intent>,
) {
    let said = words(ctx, r).into_iter().chain(r.odd.iter().cloned()).collect::<Vec<_>>().join("; ");
    match (&r.who, r.number) {
        (Called::Found(id), _) => {
            let odd = if said.is_empty() { phrase!("nothing to look at") } else { said };
            look::paragraph(ui, phrase!("Line {}, {}: {odd}", r.line, &ctx.flock.tag(*id)));
        }
        (Called::Unknown(_), Some(number)) => give(ui, ctx, r, number, &said, flock, out),
        (Called::Unknown(_), None) => {
            let near = if said.is_empty() { said } else { format!(" ({said})") };
            look::paragraph(
                ui,
                phrase!(
                    "Line {}: no animal wears the tag {}{near}: mend the list, or add the animal",
                    r.line,
                    r.read
                ),
            );
        }
        _ => {
            look::paragraph(ui, phrase!("Line {}, {}: {said}", r.line, r.read));
        }
    }
}

fn give(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    r: &RollRow,
    number: ElectronicId,
    near: &str,
    flock: &mut Flock,
    out: &mut Vec<Intent>,
) {
    let s = &mut flock.roll.whose;
    if s.of != number.digits() {
        *s = State { of: number.digits(), into: s.into, ..State::default() };
    }
    let near = if near.is_empty() { String::new() } else { format!(" ({near})") };
    look::paragraph(
        ui,
        phrase!(
            "Line {}: no animal of the book wears {number}{near}. If you know whose it is, give it:",
            r.line
        ),
    );
    let mut form = Form::new(ui, "whose number").label_width(LABELS);
    form.focus_once(ui, &mut s.into, "Whose");
    form.animal(ui, ctx, "Whose", &mut s.whose, None, |f| f.animal.status.is_here());
    let mut go = form.finish(ui) == FormEvent::Submitted;
    let mut new = false;
    ui.horizontal(|ui| {
        ui.add_space(LABELS + space::S);
        go |= ui.button(phrase!("Give it this number")).clicked();
        new = ui.button(phrase!("A new animal with it")).clicked();
        let worn = s.whose.chosen().and_then(|id| ctx.flock.animal(id)?.worn(IdentityKind::Electronic));
        if let Some(worn) = worn {
            look::sentence(ui, Kind::Caution, phrase!("it takes the place of {}", worn.tag));
        }
    });
    if new {
        flock.new.with_number(number);
        flock.open = Open::New;
        flock.back_to_roll = true;
        return;
    }
    if !go {
        return;
    }
    let on = r.at.map_or(ctx.today, |a| a.day);
    let checked = fields::picked(ctx, &s.whose, "the animal")
        .and_then(|id| id.ok_or_else(|| phrase!("whose number is it? Type any part of its tag")))
        .and_then(|id| wear(ctx, id, number, on));
    match checked {
        Ok(checked) => {
            *s = State::default();
            out.push(Intent::Write { checked: Box::new(checked), then: Then::Nothing });
        }
        Err(why) => out.push(Intent::Say(Kind::Refuse, why)),
    }
}

/// An animal that wears this electronic number from now on, in place of one it has.
fn wear(ctx: &Ctx<'_>, animal: AnimalId, number: ElectronicId, on: Day) -> Result<Checked, String> {
    let worn = ctx.flock.animal(animal).and_then(|a| a.worn(IdentityKind::Electronic));
    let ends = worn.map(|i| (i.id, Ended::Replaced));
    let tag = Tag::parse(&number.digits()).map_err(|e| e.0)?;
    let new = Some(IdentityDraft { kind: IdentityKind::Electronic, tag });
    let check = entry::retag(Retag { animal, ends, new, on }, ctx.flock, ctx.today);
    check.map_err(|why| why.first().map(ToString::to_string).unwrap_or_default())
}

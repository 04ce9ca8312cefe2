//! Two animals side by side, fact by fact: which one stays, which value of each fact, and why they are one.

use super::super::super::{Ctx, Intent, Then, fields, refusal_of};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, MergeDraft, MergeFact, Refusal};
use hirsel_core::flock::AnimalFile;
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, counted};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct State {
    keep: PickerState<AnimalId>,
    gone: PickerState<AnimalId>,
    /// The two the facts below were chosen for.
    pair: Option<(AnimalId, AnimalId)>,
    /// Facts taken from the one that goes.
    take: BTreeSet<MergeFact>,
    reason: String,
    #[serde(skip)]
    focus: Option<&'static str>,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

const KEEP: &str = "This one stays";
const GONE: &str = "Is the same as";
const WHY: &str = "Why";

impl State {
    /// Puts two side by side.
    pub(super) fn begin(&mut self, ctx: &Ctx<'_>, keep: AnimalId, gone: AnimalId) {
        *self = Self::default();
        for (state, id) in [(&mut self.keep, keep), (&mut self.gone, gone)] {
            if let Some(found) = fields::found(ctx, id) {
                state.choose(found);
            }
        }
        self.focus = Some(WHY);
    }

    /// An entry of the page is written; whether it was this form's.
    pub(super) fn after(&mut self, ctx: &Ctx<'_>) -> bool {
        let own = self.gone.chosen().is_some_and(|id| ctx.flock.animal(id).is_none());
        if own {
            *self = Self::default();
        }
        own
    }

    fn swap(&mut self) {
        std::mem::swap(&mut self.keep, &mut self.gone);
        // What was shown stays chosen: it is on the other side now.
        self.pair = self.pair.map(|(a, b)| (b, a));
        self.take = MergeFact::ALL.into_iter().filter(|f| !self.take.contains(f)).collect();
        self.refusals.clear();
    }
}

pub(super) fn view(
    ui: &mut egui::Ui,
    ctx: &Ctx<'_>,
    state: &mut State,
    into: &mut bool,
    out: &mut Vec<Intent>,
) {
    if std::mem::take(into) && state.focus.is_none() {
        state.focus = Some(if state.pair.is_some() { WHY } else { KEEP });
    }
    egui::ScrollArea::vertical().id_salt("merge").auto_shrink(false).show(ui, |ui| form(ui, ctx, state, out));
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, t: &mut State, out: &mut Vec<Intent>) {
    let mut form = Form::new(ui, "merge").label_width(130.0);
    if let Some(label) = t.focus {
        let mut wish = true;
        form.focus_once(ui, &mut wish, label);
        t.focus = wish.then_some(label);
    }
    let wrong = |name| refusal_of(&t.refusals, name, 0);
    let (keep, gone, why) = (wrong("keep"), wrong("gone"), wrong("reason"));
    look::faint(
        ui,
        "Every record of the second goes to the first, and all its marks. It can be parted again later.",
    );
    form.animal(ui, ctx, KEEP, &mut t.keep, keep.as_deref(), |_| true);
    form.animal(ui, ctx, GONE, &mut t.gone, gone.as_deref(), |_| true);
    let file = |p: &PickerState<AnimalId>| p.chosen().and_then(|id| ctx.flock.file(id));
    let both = file(&t.keep).zip(file(&t.gone)).filter(|(a, b)| a.animal.id != b.animal.id);
    if let Some((a, b)) = both {
        let pair = (a.animal.id, b.animal.id);
        if t.pair != Some(pair) {
            t.pair = Some(pair);
            t.take = entry::merge_usual(&a.animal, &b.animal, ctx.flock);
            t.refusals.clear();
        }
        facts(ui, ctx, &mut form, t, a, b);
    }
    let field = Field::new(WHY).width(360.0).example("same chip, bought back").refusal(why.as_deref());
    form.field(ui, &field, &mut t.reason);
    let mut go = form.finish(ui) == FormEvent::Submitted;
    ui.add_space(space::XS);
    ui.horizontal_wrapped(|ui| {
        go |= look::primary(ui, "Make them one").clicked();
        if both.is_some() && ui.button(phrase!("The other one stays")).clicked() {
            t.swap();
        }
    });
    if go {
        match checked(ctx, t) {
            Ok(intent) => out.push(intent),
            Err((label, text)) => {
                t.focus = Some(label);
                out.push(Intent::Say(Kind::Refuse, text));
            }
        }
    }
}

/// What is written of an animal, counted.
fn records(f: &AnimalFile) -> String {
    let lists = [
        (f.lambings.len(), "lambing"),
        (f.joinings.len() + f.marks.len() + f.scans.len() + f.crayons.len(), "mating record"),
        (f.weighings.len(), "weighing"),
        (f.treatments.len(), "treatment"),
        (f.movements.len() + f.pen_moves.len(), "move"),
        (f.tests.len(), "test"),
        (f.remarks.len(), "note"),
        (f.offspring.len(), "lamb"),
    ];
    let some: Vec<String> =
        lists.into_iter().filter(|(n, _)| *n > 0).map(|(n, what)| counted(n, what)).collect();
    if some.is_empty() { phrase!("no record") } else { some.join(", ") }
}

fn facts(ui: &mut egui::Ui, ctx: &Ctx<'_>, form: &mut Form, t: &mut State, a: &AnimalFile, b: &AnimalFile) {
    for f in [a, b] {
        look::faint(ui, phrase!("{}: {}, {}", f.animal.title(), ctx.detail(f), records(f)));
    }
    ui.add_space(space::S);
    look::strong(ui, "Where they differ, choose what is right");
    let mut same = Vec::new();
    for fact in MergeFact::ALL {
        let (first, second) = (fact.shown(&a.animal, ctx.flock), fact.shown(&b.animal, ctx.flock));
        if fact.same(&a.animal, &b.animal) {
            if !first.is_empty() {
                same.push(phrase!("{} {first}", fact.words().to_lowercase()));
            }
            continue;
        }
        let or = |text: String| if text.is_empty() { phrase!("not written") } else { text };
        let (first, second) = (short(&or(first)), short(&or(second)));
        let wrong = fact_refusal(&t.refusals, fact);
        let options = [(false, first.as_str()), (true, second.as_str())];
        let mut taken = Some(t.take.contains(&fact));
        form.choice(ui, &Choice::names(fact.words(), &options).refusal(wrong.as_deref()), &mut taken);
        if taken == Some(true) {
            t.take.insert(fact)
        } else {
            t.take.remove(&fact)
        };
    }
    if !same.is_empty() {
        look::faint(ui, phrase!("The same in both: {}.", same.join(", ")));
    }
    ui.add_space(space::S);
}

/// A long note is told by its beginning.
fn short(text: &str) -> String {
    if text.chars().count() <= 44 {
        return text.to_string();
    }
    let first: String = text.chars().take(42).collect();
    format!("{first}…")
}

fn fact_refusal(refusals: &[Refusal], fact: MergeFact) -> Option<String> {
    let name = match fact {
        MergeFact::Sex => "sex",
        MergeFact::Born => "born",
        MergeFact::Dam => "dam",
        MergeFact::Sire => "sire",
        _ => return None,
    };
    refusal_of(refusals, name, 0)
}

fn checked(ctx: &Ctx<'_>, t: &mut State) -> Result<Intent, (&'static str, String)> {
    let animal = |p: &PickerState<AnimalId>, label: &'static str| {
        let id = fields::picked(ctx, p, "the animal").map_err(|e| (label, e))?;
        id.ok_or_else(|| (label, phrase!("an animal is needed: type its tag or a part of its name")))
    };
    let (keep, gone) = (animal(&t.keep, KEEP)?, animal(&t.gone, GONE)?);
    let draft = MergeDraft { keep, gone, take: t.take.clone(), reason: t.reason.clone() };
    match entry::merge(draft, ctx.flock) {
        Ok(checked) => {
            t.refusals.clear();
            Ok(Intent::Write { checked: Box::new(checked), then: Then::BloodDone })
        }
        Err(refusals) => {
            let label = match refusals.first().map(|r| r.field.name) {
                Some("keep") => KEEP,
                Some("reason") => WHY,
                Some("sex") => MergeFact::Sex.words(),
                Some("born") => MergeFact::Born.words(),
                Some("dam") => MergeFact::Dam.words(),
                Some("sire") => MergeFact::Sire.words(),
                _ => GONE,
            };
            let first = refusals.first().map(ToString::to_string).unwrap_or_default();
            t.refusals = refusals;
            Err((label, first))
        }
    }
}

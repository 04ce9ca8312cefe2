//! A new animal, typed in: tag and sex are enough, the rest when it is known.

use super::super::moving::{self, MoveFields};
use super::super::{Then, fields, refusal_of};
use super::{Ctx, Intent, Open, State};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent, Picker, PickerState};
use hirsel_core::entry::{self, AnimalDraft, IdentityDraft, Refusal};
use hirsel_core::flock::Sire;
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, Born, Breed, Day, IdentityKind, Sex, Status, Tag, Weight};
use serde::{Deserialize, Serialize};

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct NewForm {
    tag: String,
    electronic: String,
    registry: String,
    prefix: String,
    section: String,
    name: String,
    sex: Option<u8>,
    breed: String,
    born: String,
    dam: PickerState<AnimalId>,
    sire: PickerState<AnimalId>,
    birth_weight: String,
    colour: String,
    marks: String,
    pen: String,
    note: String,
    outside: Option<bool>,
    /// It was bought in.
    came: Option<bool>,
    came_on: String,
    from: String,
    details: MoveFields,
    meant: Option<u8>,
    #[serde(skip)]
    pub(super) focus: bool,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

impl NewForm {
    /// A new animal that wears this number.
    pub(super) fn with_number(&mut self, number: hirsel_core::terms::ElectronicId) {
        self.electronic = number.digits();
        self.focus = true;
    }
}

const SEXES: [Sex; 3] = [Sex::Ewe, Sex::Ram, Sex::Wether];

pub(super) fn view(ui: &mut egui::Ui, ctx: &Ctx<'_>, state: &mut State, out: &mut Vec<Intent>) {
    let mut close = false;
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        look::subheading(ui, "New animal");
        let new = &mut state.new;
        let room = (ui.ctx().content_rect().height() - 420.0).max(220.0);
        let mut submitted = false;
        egui::ScrollArea::vertical().max_height(room).auto_shrink([false, true]).show(ui, |ui| {
            submitted = form(ui, ctx, new);
        });
        ui.add_space(space::XS);
        ui.horizontal(|ui| {
            if look::primary(ui, "Write it in").clicked() || submitted {
                write(ctx, new, state.back_to_roll, out);
            }
            if ui.button(phrase!("Close")).clicked() || crate::parts::escaped(ui) {
                close = true; // what is typed stays
            }
            look::faint(ui, "A tag and a sex are enough; the rest can be added on its leaf.");
        });
    });
    if close {
        state.open = if std::mem::take(&mut state.back_to_roll) { Open::Roll } else { Open::Nothing };
        state.focus = true;
    }
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, new: &mut NewForm) -> bool {
    let mut form = Form::new(ui, "new animal").label_width(140.0);
    form.focus_once(ui, &mut new.focus, "Tag");
    let wrong = |name| refusal_of(&new.refusals, name, 0);
    let (tag, born, dam, sire) = (wrong("tag"), wrong("born"), wrong("dam"), wrong("sire"));
    form.field(
        ui,
        &Field::new("Tag").width(160.0).example("as on the ear").refusal(tag.as_deref()),
        &mut new.tag,
    );
    form.choice(ui, &Choice::new("Sex", &[(0, "ewe"), (1, "ram"), (2, "wether")]), &mut new.sex);
    let today = ctx.today;
    let born_read = |t: &str| Born::parse_typed(t, today).map(Born::words).map_err(|e| e.0);
    let field = Field::new("Born").width(160.0).example("3 apr 2024, ~2021 or 2019").understand(&born_read);
    form.field(ui, &field.refusal(born.as_deref()), &mut new.born);
    form.field(ui, &Field::new("Name").width(240.0), &mut new.name);
    let breed_read =
        |t: &str| Breed::parse(t).map(|b| b.map(|b| b.to_string()).unwrap_or_default()).map_err(|e| e.0);
    let field = Field::new("Breed").width(240.0).example("a name, or A 3/4 + B 1/4").understand(&breed_read);
    form.field(ui, &field, &mut new.breed);
    let version = ctx.flock.version();
    let nobody = |t: &str| ctx.nobody(t);
    form.picker(
        ui,
        &Picker::new("Dam", version).nobody(&nobody).refusal(dam.as_deref()),
        &mut new.dam,
        |t| ctx.find(t, |f| f.animal.sex == Sex::Ewe),
    );
    form.picker(
        ui,
        &Picker::new("Sire", version).nobody(&nobody).refusal(sire.as_deref()),
        &mut new.sire,
        |t| ctx.find(t, |f| f.animal.sex != Sex::Ewe),
    );
    let units = ctx.units();
    let weight = |t: &str| Weight::parse(t, units).map(|w| w.show(units)).map_err(|e| e.0);
    form.field(ui, &Field::new("Birth weight").width(110.0).understand(&weight), &mut new.birth_weight);
    let electronic =
        |t: &str| hirsel_core::terms::ElectronicId::parse_typed(t).map(|e| format!("{e}")).map_err(|e| e.0);
    let field = Field::new("Electronic number").width(220.0).example("15 digits").understand(&electronic);
    form.field(ui, &field, &mut new.electronic);
    let prefix = ctx.flock.holding().prefix.as_str();
    form.field(ui, &Field::new("Prefix").width(160.0).example(prefix.to_string()), &mut new.prefix);
    form.field(ui, &Field::new("Registry number").width(200.0), &mut new.registry);
    form.field(ui, &Field::new("Section").width(160.0).example("of the registry"), &mut new.section);
    form.field(ui, &Field::new("Colour").width(240.0), &mut new.colour);
    form.field(
        ui,
        &Field::new("Other marks").width(240.0).example("notch, horns, sprayed number"),
        &mut new.marks,
    );
    form.meant_for(ui, &mut new.meant);
    form.field(ui, &Field::new("Pen").width(160.0), &mut new.pen);
    form.field(ui, &Field::new("Note").width(420.0), &mut new.note);
    let here = [(false, "in the flock"), (true, "outside, kept for the pedigree")];
    form.choice(ui, &Choice::new("Standing", &here), &mut new.outside);
    if new.outside != Some(true) {
        let came = [(false, "born here or long here"), (true, "came in from elsewhere")];
        form.choice(ui, &Choice::new("Came", &came), &mut new.came);
        if new.came == Some(true) {
            let day = |t: &str| Day::parse_typed(t, today).map(Day::long).map_err(|e| e.0);
            let field = Field::new("Came on").width(130.0).example("today").understand(&day);
            form.field(ui, &field, &mut new.came_on);
            form.field(ui, &Field::new("Came from").width(280.0).example("person or place"), &mut new.from);
            let wrong = |name| refusal_of(&new.refusals, name, 0);
            new.details.view(ui, ctx, &mut form, Status::Present, &wrong);
        }
    }
    form.finish(ui) == FormEvent::Submitted
}

fn write(ctx: &Ctx<'_>, new: &mut NewForm, of_list: bool, out: &mut Vec<Intent>) {
    match draft(ctx, new) {
        Err(text) => out.push(Intent::Say(Kind::Refuse, text)),
        Ok(draft) => {
            let id = draft.id;
            match entry::animals(vec![draft], ctx.flock, ctx.today) {
                Ok(checked) => {
                    new.refusals.clear();
                    let to_know = moving::to_know(&checked);
                    // Of a list that was read the next number follows.
                    let then = if of_list { Then::LeafDone } else { Then::NewAnimal(id) };
                    out.push(Intent::Write { checked: Box::new(checked), then });
                    out.extend(to_know);
                }
                Err(refusals) => {
                    if let Some(first) = refusals.first() {
                        out.push(Intent::Say(Kind::Refuse, first.to_string()));
                    }
                    new.refusals = refusals;
                }
            }
        }
    }
}

fn draft(ctx: &Ctx<'_>, new: &NewForm) -> Result<AnimalDraft, String> {
    let some = |t: &str| (!t.trim().is_empty()).then(|| t.trim().to_string());
    let tag = Tag::parse(&new.tag).map_err(|e| e.0)?;
    let sex = new.sex.and_then(|s| SEXES.get(usize::from(s))).ok_or("a sex is needed: ewe, ram or wether")?;
    let mut d = AnimalDraft::new(tag, *sex);
    for (kind, text) in [(IdentityKind::Electronic, &new.electronic), (IdentityKind::Registry, &new.registry)]
    {
        if let Some(text) = some(text) {
            let text = match kind {
                IdentityKind::Electronic => {
                    hirsel_core::terms::ElectronicId::parse_typed(&text).map_err(|e| e.0)?.digits()
                }
                _ => text,
            };
            d.identities.push(IdentityDraft { kind, tag: Tag::parse(&text).map_err(|e| e.0)? });
        }
    }
    d.name = some(&new.name);
    d.breed = Breed::parse(&new.breed).map_err(|e| e.0)?;
    d.born = Born::parse_typed(&new.born, ctx.today).map_err(|e| e.0)?;
    for (picker, what) in [(&new.dam, "dam"), (&new.sire, "sire")] {
        if picker.chosen().is_none() && !picker.text.trim().is_empty() {
            return Err(phrase!(
                "the {what} '{}' is not chosen: add it first, or choose one from the list",
                picker.text.trim()
            ));
        }
    }
    d.dam = new.dam.chosen();
    d.sire = new.sire.chosen().map_or(Sire::Unknown, Sire::Known);
    if let Some(w) = some(&new.birth_weight) {
        d.birth_weight = Some(Weight::parse(&w, ctx.units()).map_err(|e| e.0)?);
    }
    d.colour = some(&new.colour);
    d.marks = some(&new.marks);
    d.pen = some(&new.pen);
    d.prefix = some(&new.prefix);
    d.section = some(&new.section);
    d.note = some(&new.note);
    d.meant_for = fields::meant_for(new.meant);
    if new.outside == Some(true) {
        d.status = Status::Outside;
    } else if new.came == Some(true) {
        let on = some(&new.came_on).map(|t| Day::parse_typed(&t, ctx.today)).transpose();
        d.status_on = Some(on.map_err(|e| e.0)?.unwrap_or(ctx.today));
        d.other = some(&new.from);
        d.details = new.details.details(Status::Present);
    }
    Ok(d)
}

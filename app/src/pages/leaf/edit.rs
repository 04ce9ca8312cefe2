//! New facts of an animal: what was typed in wrongly or is known better now. The journal keeps what stood there.

use super::super::{Ctx, Intent, Then, fields, refusal_of};
use crate::look::{self, Kind, space};
use crate::parts::{Choice, Field, Form, FormEvent, PickerState};
use hirsel_core::entry::{self, Refusal};
use hirsel_core::flock::{Animal, AnimalFile, Sire};
use hirsel_core::phrase;
use hirsel_core::terms::{AnimalId, BirthType, Born, Breed, RearType, Rearing, Sex};
use serde::{Deserialize, Serialize};

/// The form as typed.
#[derive(Debug, Default, Serialize, Deserialize)]
#[serde(default)]
pub(super) struct Typed {
    of: Option<AnimalId>,
    name: String,
    sex: Option<u8>,
    breed: String,
    born: String,
    dam: PickerState<AnimalId>,
    sire: PickerState<AnimalId>,
    sire_kept: Option<bool>,
    genetic_dam: PickerState<AnimalId>,
    rearing: Option<u8>,
    foster: PickerState<AnimalId>,
    birth_type: String,
    rear_type: String,
    birth_weight: String,
    prefix: String,
    section: String,
    colour: String,
    marks: String,
    note: String,
    meant: Option<u8>,
    reason: String,
    #[serde(skip)]
    focus: bool,
    #[serde(skip)]
    refusals: Vec<Refusal>,
}

const SEXES: [(u8, &str); 3] = [(0, "ewe"), (1, "ram"), (2, "wether")];
const REARED: [(u8, &str); 3] = [(0, "its dam"), (1, "another ewe"), (2, "bottle")];

impl Typed {
    /// Fills the form with what stands there, unless this animal's form is half typed already.
    pub(super) fn fill(&mut self, ctx: &Ctx<'_>, file: &AnimalFile) {
        self.focus = true;
        if self.of == Some(file.animal.id) {
            return;
        }
        let a = &file.animal;
        let picked = |id: Option<AnimalId>| {
            let mut p = PickerState::default();
            if let Some(found) = id.and_then(|id| fields::found(ctx, id)) {
                p.choose(found);
            }
            p
        };
        let (rearing, foster) = match a.rearing {
            Rearing::Dam => (0, None),
            Rearing::Foster(e) => (1, Some(e)),
            Rearing::Bottle => (2, None),
        };
        *self = Self {
            of: Some(a.id),
            name: text(&a.name),
            sex: Some(match a.sex {
                Sex::Ewe => 0,
                Sex::Ram => 1,
                Sex::Wether => 2,
            }),
            breed: a.breed.as_ref().map(ToString::to_string).unwrap_or_default(),
            born: a.born.to_string(),
            dam: picked(a.dam),
            sire: picked(a.sire.known()),
            sire_kept: matches!(a.sire, Sire::OneOf(_)).then_some(true),
            genetic_dam: picked(a.genetic_dam),
            rearing: Some(rearing),
            foster: picked(foster),
            birth_type: a.birth_type.map(|b| b.count().to_string()).unwrap_or_default(),
            rear_type: a.rear_type.map(|b| b.count().to_string()).unwrap_or_default(),
            birth_weight: a.birth_weight.map(|w| phrase!("{} kg", w.kg_text())).unwrap_or_default(),
            prefix: text(&a.prefix),
            section: text(&a.section),
            colour: text(&a.colour),
            marks: text(&a.marks),
            note: text(&a.note),
            meant: fields::meant_place(a.meant_for),
            focus: true,
            ..Self::default()
        };
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
    if t.of != Some(file.animal.id) {
        t.fill(ctx, file);
    }
    let mut close = false;
    look::card(ui, |ui| {
        ui.set_min_width(ui.available_width());
        look::subheading(ui, phrase!("Facts of {}", &file.animal.tag()));
        let mut go = form(ui, ctx, file, t);
        ui.add_space(space::XS);
        ui.horizontal(|ui| {
            go |= look::primary(ui, "Write them in").clicked();
            if ui.button(phrase!("Close")).clicked() || crate::parts::escaped(ui) {
                close = true; // what is typed stays
            }
            if ui
                .button(phrase!("As it stands"))
                .on_hover_text(phrase!("Throws away what is typed here"))
                .clicked()
            {
                t.of = None;
                t.fill(ctx, file);
            }
        });
        if go {
            match new_facts(ctx, file, t) {
                Err(text) => out.push(Intent::Say(Kind::Refuse, text)),
                Ok(animal) => {
                    match entry::edit_animal(animal, fields::some(&t.reason).as_deref(), ctx.flock, ctx.today)
                    {
                        Ok(checked) => {
                            out.push(Intent::Write { checked: Box::new(checked), then: Then::LeafDone })
                        }
                        Err(refusals) => {
                            out.extend(refusals.first().map(|r| Intent::Say(Kind::Refuse, r.to_string())));
                            t.refusals = refusals;
                        }
                    }
                }
            }
        }
    });
    close
}

fn form(ui: &mut egui::Ui, ctx: &Ctx<'_>, file: &AnimalFile, t: &mut Typed) -> bool {
    let mut form = Form::new(ui, "new facts").label_width(120.0);
    form.focus_once(ui, &mut t.focus, "Name");
    let wrong = |name| refusal_of(&t.refusals, name, 0);
    let (born, dam, sire) = (wrong("born"), wrong("dam"), wrong("sire"));
    form.field(ui, &Field::new("Name").width(240.0), &mut t.name);
    form.choice(ui, &Choice::new("Sex", &SEXES), &mut t.sex);
    let breed =
        |x: &str| Breed::parse(x).map(|b| b.map(|b| b.to_string()).unwrap_or_default()).map_err(|e| e.0);
    form.field(ui, &Field::new("Breed").width(240.0).understand(&breed), &mut t.breed);
    let today = ctx.today;
    let read = |x: &str| Born::parse_typed(x, today).map(Born::words).map_err(|e| e.0);
    let field = Field::new("Born").width(140.0).understand(&read).refusal(born.as_deref());
    form.field(ui, &field, &mut t.born);
    form.weight(ui, ctx, "Birth weight", &mut t.birth_weight, None);
    let read = |x: &str| BirthType::parse(x).map(|b| b.words()).map_err(|e| e.0);
    form.field(ui, &Field::new("Born as").width(90.0).example("twin").understand(&read), &mut t.birth_type);
    let read = |x: &str| RearType::parse(x).map(|b| b.words()).map_err(|e| e.0);
    form.field(
        ui,
        &Field::new("Reared as").width(90.0).example("single").understand(&read),
        &mut t.rear_type,
    );
    let own = file.animal.id;
    form.animal(ui, ctx, "Dam", &mut t.dam, dam.as_deref(), |f| {
        f.animal.sex == Sex::Ewe && f.animal.id != own
    });
    if let Sire::OneOf(rams) = &file.animal.sire {
        let tags: Vec<&str> = rams.iter().map(|r| ctx.flock.tag(*r)).collect();
        let doubt = phrase!("one of {}", tags.join(", "));
        let kept = [(true, doubt.as_str()), (false, "known now")];
        form.choice(ui, &Choice::names("Sire is", &kept), &mut t.sire_kept);
    }
    if t.sire_kept != Some(true) {
        form.animal(ui, ctx, "Sire", &mut t.sire, sire.as_deref(), |f| {
            f.animal.sex != Sex::Ewe && f.animal.id != own
        });
    }
    form.animal(ui, ctx, "Genetic dam", &mut t.genetic_dam, None, |f| {
        f.animal.sex == Sex::Ewe && f.animal.id != own
    });
    form.choice(ui, &Choice::new("Reared by", &REARED), &mut t.rearing);
    if t.rearing == Some(1) {
        form.animal(ui, ctx, "Foster ewe", &mut t.foster, None, |f| {
            f.animal.sex == Sex::Ewe && f.animal.id != own
        });
    }
    t.meant = t.meant.or_else(|| fields::meant_place(file.animal.meant_for));
    form.meant_for(ui, &mut t.meant);
    let prefix = ctx.flock.holding().prefix.as_str();
    form.field(ui, &Field::new("Prefix").width(160.0).example(prefix.to_string()), &mut t.prefix);
    form.field(ui, &Field::new("Section").width(160.0).example("of the registry"), &mut t.section);
    form.field(ui, &Field::new("Colour").width(240.0), &mut t.colour);
    form.field(ui, &Field::new("Other marks").width(240.0), &mut t.marks);
    form.field(ui, &Field::new("Note").width(420.0), &mut t.note);
    form.field(
        ui,
        &Field::new("Why").width(320.0).example("parentage tested, misread the tag …"),
        &mut t.reason,
    );
    form.finish(ui) == FormEvent::Submitted
}

fn new_facts(ctx: &Ctx<'_>, file: &AnimalFile, t: &Typed) -> Result<Animal, String> {
    let mut a = file.animal.clone();
    a.name = fields::some(&t.name).map(Into::into);
    a.sex = [Sex::Ewe, Sex::Ram, Sex::Wether][usize::from(t.sex.unwrap_or(0)).min(2)];
    a.breed = Breed::parse(&t.breed).map_err(|e| e.0)?;
    a.born = Born::parse_typed(&t.born, ctx.today).or_else(|_| Born::parse(&t.born)).map_err(|e| e.0)?;
    a.birth_weight = fields::weight_of(ctx, &t.birth_weight)?;
    a.birth_type = fields::some(&t.birth_type).map(|x| BirthType::parse(&x)).transpose().map_err(|e| e.0)?;
    a.rear_type = fields::some(&t.rear_type).map(|x| RearType::parse(&x)).transpose().map_err(|e| e.0)?;
    a.dam = fields::picked(ctx, &t.dam, "the dam")?;
    if t.sire_kept != Some(true) {
        a.sire = fields::picked(ctx, &t.sire, "the sire")?.map_or(Sire::Unknown, Sire::Known);
    }
    a.genetic_dam = fields::picked(ctx, &t.genetic_dam, "the genetic dam")?;
    a.rearing = match t.rearing {
        Some(1) => {
            Rearing::Foster(fields::picked(ctx, &t.foster, "the foster ewe")?.ok_or("which ewe rears it?")?)
        }
        Some(2) => Rearing::Bottle,
        _ => Rearing::Dam,
    };
    a.prefix = fields::some(&t.prefix).map(Into::into);
    a.section = fields::some(&t.section).map(Into::into);
    a.colour = fields::some(&t.colour).map(Into::into);
    a.marks = fields::some(&t.marks).map(Into::into);
    a.note = fields::some(&t.note).map(Into::into);
    a.meant_for = fields::meant_for(t.meant);
    Ok(a)
}

/// Words as they are shown; nothing for none.
fn text(words: &Option<impl AsRef<str>>) -> String {
    words.as_ref().map(|w| w.as_ref().to_string()).unwrap_or_default()
}

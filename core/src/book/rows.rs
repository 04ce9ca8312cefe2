//! Rows to records and back: how each record lies in its table.

use crate::flock::{
    Animal, Birth, CoursePart, Ended, Holding, Identity, Joining, Lambing, MoveDetails, Movement, Outcome,
    PenMove, Remark, Seldom, Sire, Struck, Tick, Treatment, TreatmentMore, Weighing,
};
use crate::plan::{PlanStep, Step};
use crate::terms::{
    AnimalId, BirthType, Born, CourseId, Day, Dose, Ease, Fate, IdentityId, IdentityKind, JoiningId,
    LambingId, MeantFor, Minute, Misread, Moment, MovementId, PenMoveId, PlanStepId, PrescriptionId,
    RearType, Rearing, RemarkId, Route, Sex, Status, Tag, TickId, TreatmentId, Units, WeighingId, Weight,
    Withdrawal,
};
use rusqlite::Row;
use rusqlite::types::{Type, ValueRef};
use thin_vec::ThinVec;

type Result<T> = rusqlite::Result<T>;

/// A value in the file that is none of ours: the book is damaged or was written by another hand.
pub(super) fn odd(i: usize, what: impl Into<String>) -> rusqlite::Error {
    rusqlite::Error::FromSqlConversionFailure(i, Type::Text, Box::new(Misread::new(what)))
}

pub(super) fn read<T>(
    r: &Row<'_>,
    i: usize,
    parse: impl Fn(&str) -> std::result::Result<T, Misread>,
) -> Result<T> {
    let text = r.get_ref(i)?.as_str()?;
    parse(text).map_err(|e| odd(i, e.0))
}

pub(super) fn read_opt<T>(
    r: &Row<'_>,
    i: usize,
    parse: impl Fn(&str) -> std::result::Result<T, Misread>,
) -> Result<Option<T>> {
    match r.get_ref(i)?.as_str_or_null()? {
        Some(text) => parse(text).map(Some).map_err(|e| odd(i, e.0)),
        None => Ok(None),
    }
}

pub(super) fn day(r: &Row<'_>, i: usize) -> Result<Day> {
    read(r, i, Day::parse_iso)
}

pub(super) fn day_opt(r: &Row<'_>, i: usize) -> Result<Option<Day>> {
    read_opt(r, i, Day::parse_iso)
}

pub(super) fn moment(r: &Row<'_>, i: usize) -> Result<Moment> {
    Ok(Moment { day: day(r, i)?, time: read_opt(r, i + 1, Minute::parse)? })
}

pub(super) fn struck(r: &Row<'_>, i: usize) -> Result<Option<Box<Struck>>> {
    let Some(reason) = r.get::<_, Option<String>>(i)? else { return Ok(None) };
    let on = day_opt(r, i + 1)?.ok_or_else(|| odd(i, "struck without a day"))?;
    Ok(Some(Box::new(Struck { reason, on })))
}

pub(super) fn id(r: &Row<'_>, i: usize) -> Result<[u8; 16]> {
    r.get(i)
}

pub(super) fn animal_id(r: &Row<'_>, i: usize) -> Result<AnimalId> {
    id(r, i).map(AnimalId::from_bytes)
}

pub(super) fn animal_opt(r: &Row<'_>, i: usize) -> Result<Option<AnimalId>> {
    Ok(r.get::<_, Option<[u8; 16]>>(i)?.map(AnimalId::from_bytes))
}

pub(super) const ANIMAL: &str = "id, name, sex, breed, born, dam, sire, genetic_dam, rearing, foster, birth_type, rear_type, birth_weight_g, colour, marks, pen, note, status, status_on, status_reason, meant_for, prefix, section";

pub(super) fn animal(r: &Row<'_>) -> Result<Animal> {
    let rearing = match r.get_ref(8)?.as_str()? {
        "bottle" => Rearing::Bottle,
        "foster" => match animal_opt(r, 9)? {
            Some(ewe) => Rearing::Foster(ewe),
            None => return Err(odd(9, "fostered to no ewe")),
        },
        _ => Rearing::Dam,
    };
    Ok(Animal {
        id: AnimalId::from_bytes(id(r, 0)?),
        identities: ThinVec::new(),
        name: r.get(1)?,
        sex: read(r, 2, Sex::parse)?,
        breed: super::shared::breed(r, 3)?,
        born: read(r, 4, Born::parse)?,
        dam: animal_opt(r, 5)?,
        sire: animal_opt(r, 6)?.map_or(Sire::Unknown, Sire::Known),
        genetic_dam: animal_opt(r, 7)?,
        rearing,
        birth_type: r.get::<_, Option<u32>>(10)?.and_then(BirthType::new),
        rear_type: r.get::<_, Option<u32>>(11)?.and_then(RearType::new),
        birth_weight: r.get::<_, Option<i64>>(12)?.and_then(Weight::from_grams),
        prefix: r.get(21)?,
        section: r.get(22)?,
        colour: r.get(13)?,
        marks: r.get(14)?,
        pen: r.get(15)?,
        note: r.get(16)?,
        status: read(r, 17, Status::parse)?,
        status_on: day_opt(r, 18)?,
        status_reason: r.get(19)?,
        meant_for: read_opt(r, 20, MeantFor::parse)?.unwrap_or_default(),
    })
}

pub(super) const IDENTITY: &str = "id, animal, kind, tag, from_on, to_on, ended";

pub(super) fn identity(r: &Row<'_>) -> Result<(AnimalId, Identity)> {
    let kind = r.get_ref(2)?.as_str()?;
    let identity = Identity {
        id: IdentityId::from_bytes(id(r, 0)?),
        kind: IdentityKind::from_word(kind).ok_or_else(|| odd(2, kind))?,
        tag: read(r, 3, Tag::parse)?,
        from: day_opt(r, 4)?,
        to: day_opt(r, 5)?,
        ended: match r.get_ref(6)?.as_str_or_null()? {
            Some("lost") => Some(Ended::Lost),
            Some(_) => Some(Ended::Replaced),
            None => None,
        },
    };
    Ok((AnimalId::from_bytes(id(r, 1)?), identity))
}

pub(super) const LAMBING: &str = "id, ewe, on_day, at_time, ram, ease, help, note, struck, struck_on";

pub(super) fn lambing(r: &Row<'_>) -> Result<(AnimalId, Lambing)> {
    let ewe = AnimalId::from_bytes(id(r, 1)?);
    let lambing = Lambing {
        id: LambingId::from_bytes(id(r, 0)?),
        ewe,
        at: moment(r, 2)?,
        ram: animal_opt(r, 4)?,
        ease: read_opt(r, 5, Ease::parse)?,
        help: r.get(6)?,
        note: r.get(7)?,
        lambs: ThinVec::new(),
        struck: struck(r, 8)?,
    };
    Ok((ewe, lambing))
}

pub(super) const BIRTH: &str = "id, lambing, place, fate, ease, sucked, navel_dipped, colostrum_ul";

/// A birth, when its lambing's ewe is known.
pub(super) fn birth(r: &Row<'_>, ewe: impl FnOnce(LambingId) -> Option<AnimalId>) -> Result<Option<Birth>> {
    let lambing = LambingId::from_bytes(id(r, 1)?);
    let Some(ewe) = ewe(lambing) else { return Ok(None) };
    Ok(Some(Birth {
        lambing,
        ewe,
        order: r.get(2)?,
        fate: read(r, 3, Fate::parse)?,
        ease: read_opt(r, 4, Ease::parse)?,
        sucked: r.get(5)?,
        navel_dipped: r.get(6)?,
        colostrum: r.get::<_, Option<u32>>(7)?.map(Dose::Volume),
    }))
}

pub(super) const JOINING: &str = "id, ewe, ram, from_on, to_on, method, struck, struck_on, herd";

pub(super) fn joining(r: &Row<'_>) -> Result<(AnimalId, Joining)> {
    let ewe = AnimalId::from_bytes(id(r, 1)?);
    let joining = Joining {
        id: JoiningId::from_bytes(id(r, 0)?),
        ewe,
        ram: AnimalId::from_bytes(id(r, 2)?),
        from: day(r, 3)?,
        to: day_opt(r, 4)?,
        method: r.get(5)?,
        group: r.get(8)?,
        struck: struck(r, 6)?,
    };
    Ok((ewe, joining))
}

pub(super) const WEIGHING: &str = "id, animal, on_day, at_time, weight_g, note, struck, struck_on, session";

pub(super) fn weighing(r: &Row<'_>) -> Result<(AnimalId, Weighing)> {
    let animal = AnimalId::from_bytes(id(r, 1)?);
    let weighing = Weighing {
        id: WeighingId::from_bytes(id(r, 0)?),
        animal,
        at: moment(r, 2)?,
        weight: Weight::from_grams(r.get(4)?).ok_or_else(|| odd(4, "no weight"))?,
        note: r.get(5)?,
        struck: struck(r, 6)?,
        session: super::weights::session_opt(r, 8)?,
    };
    Ok((animal, weighing))
}

pub(super) const TREATMENT: &str = "id, animal, on_day, at_time, product, batch, dose_kind, dose, route, site, reason, given_by, prescribed_by, meat, milk, struck, struck_on, export, vet_gave, off_label, prescription, course, course_nth, course_of, course_hours";

pub(super) fn treatment(r: &Row<'_>) -> Result<(AnimalId, Treatment)> {
    let animal = AnimalId::from_bytes(id(r, 1)?);
    let treatment = Treatment {
        id: TreatmentId::from_bytes(id(r, 0)?),
        animal,
        at: moment(r, 2)?,
        product: r.get(4)?,
        batch: r.get(5)?,
        dose: dose(r, 6)?,
        route: read_opt(r, 8, Route::parse)?,
        site: r.get(9)?,
        reason: r.get(10)?,
        given_by: r.get(11)?,
        prescribed_by: r.get(12)?,
        meat: read(r, 13, Withdrawal::parse)?,
        milk: read(r, 14, Withdrawal::parse)?,
        more: TreatmentMore {
            export: read(r, 17, Withdrawal::parse)?,
            vet_gave: r.get(18)?,
            off_label: r.get(19)?,
            prescription: r.get::<_, Option<[u8; 16]>>(20)?.map(PrescriptionId::from_bytes),
            course: course(r, 21)?,
        }
        .into(),
        struck: struck(r, 15)?,
    };
    Ok((animal, treatment))
}

fn course(r: &Row<'_>, i: usize) -> Result<Option<CoursePart>> {
    let Some(id) = r.get::<_, Option<[u8; 16]>>(i)?.map(CourseId::from_bytes) else { return Ok(None) };
    Ok(Some(CoursePart { id, nth: r.get(i + 1)?, of: r.get(i + 2)?, every_hours: r.get(i + 3)? }))
}

/// An amount in two columns: its kind and how much.
pub(super) fn dose(r: &Row<'_>, i: usize) -> Result<Option<Dose>> {
    Ok(match r.get_ref(i)?.as_str_or_null()? {
        Some("ul") => Some(Dose::Volume(r.get(i + 1)?)),
        Some("ug") => Some(Dose::Mass(r.get::<_, i64>(i + 1)?.unsigned_abs())),
        Some(_) => Some(Dose::Pieces(r.get(i + 1)?)),
        None => None,
    })
}

pub(super) const PEN_MOVE: &str = "id, animal, on_day, pen, struck, struck_on";

pub(super) fn pen_move(r: &Row<'_>) -> Result<(AnimalId, PenMove)> {
    let animal = AnimalId::from_bytes(id(r, 1)?);
    let id = PenMoveId::from_bytes(id(r, 0)?);
    Ok((animal, PenMove { id, animal, on: day(r, 2)?, pen: r.get(3)?, struck: struck(r, 4)? }))
}

pub(super) const MOVEMENT: &str = "id, animal, on_day, status, other, reason, struck, struck_on, number, address, carrier, vehicle, document, cause, disposal, receipt";

pub(super) fn movement(r: &Row<'_>) -> Result<(AnimalId, Movement)> {
    let animal = AnimalId::from_bytes(id(r, 1)?);
    let movement = Movement {
        id: MovementId::from_bytes(id(r, 0)?),
        animal,
        on: day(r, 2)?,
        to: read(r, 3, Status::parse)?,
        other: r.get(4)?,
        reason: r.get(5)?,
        details: move_details(r, 8)?,
        struck: struck(r, 6)?,
    };
    Ok((animal, movement))
}

fn move_details(r: &Row<'_>, i: usize) -> Result<Seldom<MoveDetails>> {
    // Most have none: nothing is made then to be thrown away.
    if (i..i + 8).all(|i| matches!(r.get_ref(i), Ok(ValueRef::Null))) {
        return Ok(Seldom::default());
    }
    Ok(MoveDetails {
        number: r.get(i)?,
        address: r.get(i + 1)?,
        carrier: r.get(i + 2)?,
        vehicle: r.get(i + 3)?,
        document: r.get(i + 4)?,
        cause: r.get(i + 5)?,
        disposal: r.get(i + 6)?,
        receipt: r.get(i + 7)?,
    }
    .into())
}

pub(super) const REMARK: &str = "id, animal, on_day, text, struck, struck_on";

pub(super) fn remark(r: &Row<'_>) -> Result<(AnimalId, Remark)> {
    let animal = AnimalId::from_bytes(id(r, 1)?);
    let id = RemarkId::from_bytes(id(r, 0)?);
    Ok((animal, Remark { id, animal, on: day(r, 2)?, text: r.get(3)?, struck: struck(r, 4)? }))
}

pub(super) const TICK: &str =
    "id, animal, step, anchor_on, round, outcome, until_on, on_day, at_time, note, struck, struck_on";

pub(super) fn tick(r: &Row<'_>) -> Result<(AnimalId, Tick)> {
    let animal = AnimalId::from_bytes(id(r, 1)?);
    let outcome = match (r.get_ref(5)?.as_str()?, day_opt(r, 6)?) {
        ("done", _) => Outcome::Done,
        ("skipped", _) => Outcome::Skipped,
        ("put off", Some(until)) => Outcome::PutOff(until),
        (other, _) => return Err(odd(5, other)),
    };
    let tick = Tick {
        id: TickId::from_bytes(id(r, 0)?),
        animal,
        step: r.get(2)?,
        anchor: day(r, 3)?,
        round: r.get(4)?,
        outcome,
        at: moment(r, 7)?,
        note: r.get(9)?,
        struck: struck(r, 10)?,
    };
    Ok((animal, tick))
}

pub(super) const PLAN_STEP: &str = "id, season, toml";

pub(super) fn plan_step(r: &Row<'_>) -> Result<PlanStep> {
    Ok(PlanStep {
        id: PlanStepId::from_bytes(id(r, 0)?),
        season: r.get(1)?,
        step: read(r, 2, Step::from_toml)?,
    })
}

/// Settings by name and value.
pub(super) fn settings(h: &Holding) -> [(&'static str, String); 22] {
    [
        ("flock", h.flock.clone()),
        ("keeper", h.keeper.clone()),
        ("holding_number", h.number.clone()),
        ("address", h.address.clone()),
        ("given_by", h.given_by.clone()),
        ("vet", h.vet.clone()),
        ("units", h.units.word().to_string()),
        ("rules", h.rules.clone()),
        ("sheet", h.sheet.clone()),
        ("joining_day", h.joining_day.clone()),
        ("prefix", h.prefix.clone()),
        ("registry", h.registry.clone()),
        ("grading", h.grading.clone()),
        ("growth", h.growth.clone()),
        ("keeping", h.keeping.clone()),
        ("figures", h.figures.clone()),
        ("feeding", h.feeding.clone()),
        ("gestation", h.gestation.clone()),
        ("organic", if h.organic { "yes" } else { "" }.to_string()),
        ("words", h.words.clone()),
        ("days", if h.days == crate::terms::DayOrder::default() { "" } else { h.days.code() }.to_string()),
        ("currency", h.currency.clone()),
    ]
}

/// One setting into who keeps the flock.
pub(super) fn set(h: &mut Holding, name: &str, value: String) {
    match name {
        "flock" => h.flock = value,
        "keeper" => h.keeper = value,
        "holding_number" => h.number = value,
        "address" => h.address = value,
        "given_by" => h.given_by = value,
        "vet" => h.vet = value,
        "units" => h.units = Units::parse(&value).unwrap_or_default(),
        "rules" => h.rules = value,
        "sheet" => h.sheet = value,
        "joining_day" => h.joining_day = value,
        "prefix" => h.prefix = value,
        "registry" => h.registry = value,
        "grading" => h.grading = value,
        "growth" => h.growth = value,
        "feeding" => h.feeding = value,
        "keeping" => h.keeping = value,
        "figures" => h.figures = value,
        "gestation" => h.gestation = value,
        "organic" => h.organic = value == "yes",
        "words" => h.words = value,
        "currency" => h.currency = value,
        "days" => h.days = crate::terms::DayOrder::of(&value).unwrap_or_default(),
        _ => {}
    }
}

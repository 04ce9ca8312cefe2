//! A lambing with all its lambs.

use super::lamb::a_lamb;
use super::pedigree::known_lambs;
use super::standing::before_birth;
use super::{Check, Entry, Faults, Field, LambDraft, NewLamb, NewLambing, Refused, Unusual, words};
use crate::flock::{Animal, AnimalFile, Birth, Flock, Identity, Lambing, Movement, PenMove, Seldom, Sire};
use crate::handbook::lambing as bounds;
use crate::reckon::gestation;
use crate::terms::{
    AnimalId, BirthType, Born, Breed, Day, Ease, Fate, IdentityId, IdentityKind, LambingId, MeantFor, Moment,
    MovementId, PenMoveId, Rearing, Sex, Status, Tag, Words,
};
use std::collections::HashSet;
use thin_vec::ThinVec;

/// A lambing as written up.
#[derive(Debug, Clone, PartialEq)]
pub struct LambingDraft {
    /// The ewe.
    pub ewe: AnimalId,
    /// When.
    pub at: Moment,
    /// The sire of the lambs, as well as it is known.
    pub sire: Sire,
    /// Ease.
    pub ease: Option<Ease>,
    /// Help given.
    pub help: Option<String>,
    /// What else was seen.
    pub note: Option<String>,
    /// The pen ewe and lambs are in now.
    pub pen: Option<String>,
    /// The lambs, in order of birth.
    pub lambs: Vec<LambDraft>,
    /// Lambs of other ewes put on this one.
    pub foster_on: Vec<AnimalId>,
}

/// Checks one lambing; rows of faults count its lambs from 0.
///
/// # Errors
/// Every refusal beside its field.
pub fn lambing(mut draft: LambingDraft, flock: &Flock, today: Day) -> Check {
    draft.pen = words::<String>(&draft.pen).map(|p| flock.pen_called(&p));
    let mut faults = Faults::default();
    let mut seen = HashSet::new();
    let mut new = one(&draft, flock, today, &mut seen, &mut faults, &|row| row);
    beside_her(&draft, flock, today, &mut new);
    known_lambs(&mut faults, flock, std::slice::from_ref(&draft));
    let sentence =
        format!("Lambing of {}: {}", flock.tag(draft.ewe), crate::reckon::life::litter(draft.lambs.len()));
    faults.or(|| (Entry::Lambings(vec![new]), sentence))
}

/// Days back to which the pen a ewe is in now is taken for that of her lambing.
const SAME_PEN_DAYS: i64 = 14;

/// Lambs of a lambing of these days are in the pen their ewe is in, where no other is written.
fn beside_her(draft: &LambingDraft, flock: &Flock, today: Day, new: &mut NewLambing) {
    let on = draft.at.day;
    let Some(ewe) = flock.file(draft.ewe).filter(|_| draft.pen.is_none()) else { return };
    let Some(pen) = ewe.animal.pen.clone() else { return };
    let moved = ewe.pen_moves.iter().filter(|m| m.struck.is_none()).map(|m| m.on).max();
    if moved.is_some_and(|m| m > on) || today.since(on) > SAME_PEN_DAYS {
        return;
    }
    let with_her = |l: &&NewLamb| l.is_new && l.birth.fate == Fate::Alive && l.animal.rearing == Rearing::Dam;
    new.moves.extend(new.lambs.iter().filter(with_her).map(|l| PenMove {
        id: PenMoveId::new(),
        animal: l.animal.id,
        on,
        pen: Some(pen.clone()),
        struck: None,
    }));
}

/// Checks many lambings at once; rows of faults count all lambs of all lambings from 0.
///
/// # Errors
/// Every refusal with its row.
pub fn lambings(drafts: &[LambingDraft], flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    let mut seen = HashSet::new();
    let mut before = 0;
    let mut all = Vec::with_capacity(drafts.len());
    for (i, d) in drafts.iter().enumerate() {
        for other in drafts[..i].iter().rev().take(2000).filter(|o| o.ewe == d.ewe) {
            let days = d.at.day.since(other.at.day).abs();
            if days <= bounds::again_days() {
                let what = Unusual::LambedRecently { ewe: flock.tag(d.ewe).into(), days, on: other.at.day };
                faults.question(Field::row("on", before), what);
            }
        }
        all.push(one(d, flock, today, &mut seen, &mut faults, &|row| before + row));
        before += d.lambs.len();
    }
    known_lambs(&mut faults, flock, drafts);
    faults.or(|| {
        let sentence = format!("{} lambings with {before} lambs", all.len());
        (Entry::Lambings(all), sentence)
    })
}

fn one(
    draft: &LambingDraft,
    flock: &Flock,
    today: Day,
    seen: &mut HashSet<(IdentityKind, String)>,
    faults: &mut Faults,
    row: &dyn Fn(usize) -> usize,
) -> NewLambing {
    let on = draft.at.day;
    let at = |name| Field::row(name, row(0));
    faults.not_ahead(at("on"), on, today);
    match draft.lambs.len() {
        0 => faults.refuse(at("lamb"), Refused::NoLambs),
        n if n > 7 => faults.refuse(at("lamb"), Refused::TooManyLambs(n)),
        _ => {}
    }
    let ewe = flock.file(draft.ewe);
    match ewe {
        None => faults.refuse(at("ewe"), Refused::Missing("the ewe")),
        Some(e) => the_ewe(e, draft, flock, faults, &at),
    }
    for ram in draft.sire.possible() {
        the_ram(*ram, draft, ewe, flock, faults, &at);
    }
    let id = LambingId::new();
    let mut new = NewLambing {
        lambing: Lambing {
            id,
            ewe: draft.ewe,
            at: draft.at,
            ram: draft.sire.known(),
            ease: draft.ease,
            help: words(&draft.help),
            note: words(&draft.note),
            lambs: Default::default(),
            struck: None,
        },
        lambs: Vec::new(),
        fostered_on: draft.foster_on.clone(),
        moves: Vec::new(),
        deaths: Vec::new(),
    };
    for lamb in &draft.foster_on {
        match flock.animal(*lamb) {
            None => faults.refuse(at("foster_on"), Refused::Gone),
            Some(a) if a.dam == Some(draft.ewe) => {
                faults.refuse(at("foster_on"), Refused::WithItself(a.tag().to_string()));
            }
            Some(a) => before_birth(faults, at("foster_on"), a, on),
        }
    }
    let breed = Breed::of_lamb(
        ewe.and_then(|e| e.animal.breed.as_ref()),
        draft.sire.known().and_then(|r| flock.animal(r)).and_then(|r| r.breed.as_ref()),
    );
    for (i, lamb) in draft.lambs.iter().enumerate() {
        let r = row(i);
        a_lamb(lamb, draft, flock, today, seen, faults, r);
        let tag = lamb.tag.clone().or_else(|| working_tag(flock, draft, i, seen));
        let Some(tag) = tag else {
            faults.refuse(Field::row("lamb", r), Refused::Missing("a tag for the lamb"));
            continue;
        };
        add_lamb(&mut new, lamb, draft, flock, tag, breed.clone(), i);
    }
    if let Some(pen) = words::<Words>(&draft.pen) {
        let living =
            new.lambs.iter().filter(|l| l.birth.fate == Fate::Alive && l.animal.rearing == Rearing::Dam);
        new.moves = std::iter::once(draft.ewe)
            .chain(living.map(|l| l.animal.id))
            .chain(draft.foster_on.iter().copied())
            .map(|animal| PenMove { id: PenMoveId::new(), animal, on, pen: Some(pen.clone()), struck: None })
            .collect();
    }
    new
}

fn the_ewe(
    e: &AnimalFile,
    draft: &LambingDraft,
    flock: &Flock,
    faults: &mut Faults,
    at: &dyn Fn(&'static str) -> Field,
) {
    let (a, on) = (&e.animal, draft.at.day);
    if a.sex != Sex::Ewe {
        let why = Refused::WrongSex { tag: a.tag().into(), is: a.sex, needed: Sex::Ewe, part: "a dam" };
        faults.refuse(at("ewe"), why);
    }
    if let Some(born) = a.born.exact().filter(|b| on <= *b) {
        faults.refuse(at("ewe"), Refused::BeforeBirth { tag: a.tag().into(), born, on });
    } else if a.born.earliest().is_some_and(|b| on <= b) {
        faults.refuse(at("ewe"), younger(a, "dam", on));
    } else if let Some(days) = a.born.day().map(|b| on.since(b)).filter(|d| *d < bounds::ewe_lambs_days()) {
        faults.question(at("ewe"), Unusual::EweTooYoung { ewe: a.tag().into(), days });
    }
    not_here(faults, at("ewe"), a, on);
    for l in e.lambings_standing() {
        let days = on.since(l.at.day).abs();
        if days <= bounds::again_days() {
            let what = Unusual::LambedRecently { ewe: flock.tag(draft.ewe).into(), days, on: l.at.day };
            faults.question(at("on"), what);
        }
    }
}

/// A parent that, however its birth is reckoned, was born after this lambing.
fn younger(a: &Animal, part: &'static str, on: Day) -> Refused {
    Refused::ParentYounger {
        parent: a.tag().into(),
        parent_born: a.born.words(),
        part,
        lamb: "a lamb".into(),
        lamb_born: on.words(),
    }
}

/// Questions an animal that had left the flock or died by then.
pub(super) fn not_here(faults: &mut Faults, field: Field, a: &Animal, on: Day) {
    let gone = !matches!(a.status, Status::Present | Status::Lent) && a.status_on.is_none_or(|d| d <= on);
    // Death on the very day of an event is no contradiction.
    if gone && !(a.status == Status::Dead && a.status_on == Some(on)) {
        faults.question(
            field,
            Unusual::NotHere { tag: a.tag().into(), status: a.status.words(), on: a.status_on },
        );
    }
}

fn the_ram(
    ram: AnimalId,
    draft: &LambingDraft,
    ewe: Option<&AnimalFile>,
    flock: &Flock,
    faults: &mut Faults,
    at: &dyn Fn(&'static str) -> Field,
) {
    let Some(r) = flock.animal(ram) else {
        faults.refuse(at("ram"), Refused::Gone);
        return;
    };
    if r.sex == Sex::Ewe {
        let why = Refused::WrongSex { tag: r.tag().into(), is: r.sex, needed: Sex::Ram, part: "a sire" };
        faults.refuse(at("ram"), why);
        return;
    }
    let service = draft.at.day.plus(-gestation::usual());
    if let Some(born) = r.born.exact().filter(|b| draft.at.day <= *b) {
        faults.refuse(at("ram"), Refused::BeforeBirth { tag: r.tag().into(), born, on: draft.at.day });
    } else if r.born.earliest().is_some_and(|b| draft.at.day <= b) {
        faults.refuse(at("ram"), younger(r, "sire", draft.at.day));
    } else if let Some(days) =
        r.born.day().map(|b| service.since(b)).filter(|d| *d < bounds::ram_fertile_days())
    {
        faults.question(at("ram"), Unusual::RamTooYoung { ram: r.tag().into(), days: days.max(0) });
    }
    if let Some(e) = ewe
        && e.joinings.iter().any(|j| j.struck.is_none())
        && !gestation::fits(flock, e, draft.at.day).iter().any(|f| f.ram == ram && f.off == 0)
    {
        let (early, late) = gestation::lengths(flock).of_ewe(&e.animal).widest();
        let (ewe, ram) = (e.animal.tag().into(), r.tag().into());
        let what = Unusual::RamDoesNotFit { ewe, ram, early, late };
        faults.question(at("ram"), what);
    }
}

/// A tag that stands in until the lamb is tagged: ewe, year, number, such as `0412/26-1`.
fn working_tag(
    flock: &Flock,
    draft: &LambingDraft,
    i: usize,
    seen: &mut HashSet<(IdentityKind, String)>,
) -> Option<Tag> {
    let year = draft.at.day.year() % 100;
    let ewe: String = flock.tag(draft.ewe).chars().take(24).collect();
    (i + 1..i + 40).find_map(|n| {
        let tag = Tag::parse(&format!("{ewe}/{year:02}-{n}")).ok()?;
        let key = (IdentityKind::Flock, tag.norm());
        (flock.wearing(IdentityKind::Flock, tag.as_str()).is_none() && seen.insert(key)).then_some(tag)
    })
}

fn add_lamb(
    new: &mut NewLambing,
    lamb: &LambDraft,
    draft: &LambingDraft,
    flock: &Flock,
    tag: Tag,
    breed: Option<Breed>,
    i: usize,
) {
    let on = draft.at.day;
    let known = lamb.known.and_then(|id| flock.animal(id));
    let id = lamb.known.unwrap_or_else(AnimalId::new);
    let rearing = match lamb.rearing {
        Rearing::Foster(e) if e == draft.ewe => Rearing::Dam,
        other => other,
    };
    let (status, status_on, reason) = match lamb.fate {
        Fate::Alive => (Status::Present, None, None),
        Fate::BornDead => {
            (Status::Dead, Some(on), Some(words(&lamb.died_of).unwrap_or_else(|| "born dead".into())))
        }
        Fate::Died => (Status::Dead, Some(lamb.died_on.unwrap_or(on)), words(&lamb.died_of)),
    };
    let mut animal = known.cloned().unwrap_or_else(|| {
        let mark = |kind, tag: &Tag| Identity {
            id: IdentityId::new(),
            kind,
            tag: tag.clone(),
            from: None,
            to: None,
            ended: None,
        };
        let mut identities = ThinVec::from([mark(IdentityKind::Flock, &tag)]);
        identities.extend(lamb.electronic.as_ref().map(|t| mark(IdentityKind::Electronic, t)));
        Animal {
            id,
            identities,
            name: words(&lamb.name),
            sex: lamb.sex,
            breed,
            born: Born::On(on),
            dam: Some(draft.ewe),
            sire: draft.sire.clone(),
            genetic_dam: None,
            rearing,
            birth_type: None,
            rear_type: None,
            birth_weight: lamb.weight,
            prefix: None,
            section: None,
            colour: words(&lamb.colour),
            marks: None,
            pen: None,
            note: None,
            status,
            status_on,
            status_reason: reason.clone(),
            meant_for: MeantFor::default(),
        }
    });
    if known.is_some() {
        // The animal came first, its lambing later: the lambing's facts fill what is empty.
        animal.dam = Some(draft.ewe);
        animal.born = Born::On(on);
        if animal.sire == Sire::Unknown {
            animal.sire = draft.sire.clone();
        }
        animal.birth_weight = lamb.weight.or(animal.birth_weight);
        animal.name = animal.name.or_else(|| words(&lamb.name));
        animal.colour = animal.colour.or_else(|| words(&lamb.colour));
        if rearing != Rearing::Dam {
            animal.rearing = rearing;
        }
    }
    animal.birth_type = animal.birth_type.or_else(|| BirthType::new(draft.lambs.len() as u32));
    let dies = status == Status::Dead && known.is_none_or(|a| a.status != Status::Dead);
    if dies && let Some(day) = status_on {
        animal.status = status;
        animal.status_on = status_on;
        animal.status_reason.clone_from(&reason);
        let (to, reason) = (Status::Dead, reason);
        new.deaths.push(Movement {
            id: MovementId::new(),
            animal: id,
            on: day,
            to,
            other: None,
            reason,
            struck: None,
            details: Seldom::default(),
        });
    }
    new.lambing.lambs.push(id);
    new.lambs.push(NewLamb {
        animal,
        birth: Birth {
            lambing: new.lambing.id,
            ewe: draft.ewe,
            order: (i + 1) as u8,
            fate: lamb.fate,
            ease: lamb.ease,
            sucked: lamb.sucked,
            navel_dipped: lamb.navel_dipped,
            colostrum: lamb.colostrum,
        },
        is_new: lamb.known.is_none(),
    });
}

//! Lambings too near, lambs that differ from their lambing, rams that were not with the dam, births estimated.

use super::{DoubtKind, Found};
use crate::flock::{AnimalFile, Link, RecordRef};
use crate::handbook::lambing as bounds;
use crate::phrase;
use crate::reckon::gestation::{self, fits};
use crate::terms::{Born, Day, Status, counted};

pub(super) fn look(files: &[&AnimalFile], found: &mut Found<'_>) {
    for f in files {
        near(found, f);
        otherwise(found, f);
        not_joined(found, f);
        estimated(found, f);
    }
}

fn near(found: &mut Found<'_>, f: &AnimalFile) {
    let ewe = &f.animal;
    for (a, b) in f.lambings_standing().zip(f.lambings_standing().skip(1)) {
        let days = b.at.day.since(a.at.day);
        if days > bounds::again_days() {
            continue;
        }
        found.add(DoubtKind::LambingsNear, |_| {
            let words = phrase!(
                "{} has lambings of {} and {}, {} apart: if it is one, strike one of them out; if a day is wrong, amend it",
                &ewe.tag(),
                a.at.day.words(),
                b.at.day.words(),
                counted(usize::try_from(days).unwrap_or(0), "day")
            );
            (vec![ewe.id], words, Link::Record(ewe.id, RecordRef::Lambing(b.id)))
        });
    }
}

/// A lamb's own facts against the lambing it was born in.
fn otherwise(found: &mut Found<'_>, f: &AnimalFile) {
    let (lamb, Some(birth)) = (&f.animal, &f.birth) else { return };
    let Some(ewe) = found.file(birth.ewe) else { return };
    let Some(l) = ewe.lambings_standing().find(|l| l.id == birth.lambing) else { return };
    let dam_differs = lamb.dam != Some(birth.ewe);
    let day_differs = lamb.born != Born::On(l.at.day);
    if !dam_differs && !day_differs {
        return;
    }
    found.add(DoubtKind::BirthOtherwise, |flock| {
        let tag = lamb.tag();
        let said = if dam_differs {
            let dam = lamb.dam.map_or("nobody", |d| flock.tag(d));
            phrase!(
                "{tag} was born in a lambing of {} and has {dam} as dam",
                &ewe.animal.tag(),
                tag = &tag,
                dam = &dam
            )
        } else {
            let born = if lamb.born == Born::Unknown { phrase!("no day") } else { lamb.born.words() };
            phrase!(
                "{tag} was born in a lambing of {} and has {born} as day of birth",
                l.at.day.words(),
                tag = &tag,
                born = &born
            )
        };
        let words = phrase!("{said}: mend the lamb, or amend the lambing of {}", &ewe.animal.tag());
        (vec![lamb.id, ewe.animal.id], words, Link::Animal(lamb.id))
    });
}

/// Days on which a ewe can have taken the ram for a lamb of this day, the first and the last.
pub(super) fn service(born: Day) -> (Day, Day) {
    (born.plus(-gestation::late()), born.plus(-gestation::early()))
}

fn not_joined(found: &mut Found<'_>, f: &AnimalFile) {
    let lamb = &f.animal;
    let (Some(sire), Some(born)) = (lamb.sire.known(), lamb.born.exact()) else { return };
    // A ewe that carried the egg of another had no ram for it.
    let Some(dam) = lamb.dam.filter(|_| lamb.genetic_dam.is_none()).and_then(|d| found.file(d)) else {
        return;
    };
    let with = fits(found.flock, dam, born);
    if with.is_empty() || with.iter().any(|fit| fit.ram == sire && fit.off == 0) {
        return;
    }
    let (from, to) = service(born);
    let mut marks = dam.marks.iter().filter(|m| m.struck.is_none() && m.ram == Some(sire));
    if marks.any(|m| (from..=to).contains(&m.on)) {
        return;
    }
    found.add(DoubtKind::NotJoined, |flock| {
        let (tag, ewe, ram) = (lamb.tag(), dam.animal.tag(), flock.tag(sire));
        let others: Vec<&str> = with.iter().filter(|w| w.ram != sire).map(|w| flock.tag(w.ram)).collect();
        let other = match others.as_slice() {
            [] => phrase!("and her joining with {ram} does not reach those days", ram = &ram),
            some => phrase!("and she was joined with {} about then", some.join(" and ")),
        };
        let words = phrase!(
            "{tag} has {ram} as sire; {ewe} took the ram between {} and {}, {other}: mend the sire of {tag} or the joinings of {ewe}; a parentage test of {tag} settles it",
            from.words(),
            to.words(), tag = &tag, ram = &ram, ewe = &ewe, other = &other
        );
        (vec![lamb.id, sire, dam.animal.id], words, Link::Animal(lamb.id))
    });
}

fn estimated(found: &mut Found<'_>, f: &AnimalFile) {
    let a = &f.animal;
    // Of others nothing hangs on it.
    let matters = a.status == Status::Present || !f.offspring.is_empty();
    if !matches!(a.born, Born::About(_) | Born::Year(_)) || !matters {
        return;
    }
    found.add(DoubtKind::EstimatedBirth, |_| {
        let words = phrase!(
            "the day of birth of {} is not known ({}): write it when a paper of the seller or the registry shows it",
            &a.tag(),
            a.born.words()
        );
        (vec![a.id], words, Link::Animal(a.id))
    });
}

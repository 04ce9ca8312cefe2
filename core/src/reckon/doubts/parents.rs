//! Parents of the wrong sex, too young, born after their lamb, dead or gone by then.
//! Bounds of age are those the entries question by (handbook, table `lambing`).

use super::{DoubtKind, Found, parents_of, some_tags};
use crate::flock::{Animal, AnimalFile, Link};
use crate::handbook::lambing as bounds;
use crate::phrase;
use crate::reckon::gestation;
use crate::terms::{AnimalId, Day, Sex, Status, counted};
use rapidhash::RapidHashMap;

/// Lambs an animal stands as sire of, and as dam of.
#[derive(Default)]
struct Parts {
    sire: Vec<AnimalId>,
    dam: Vec<AnimalId>,
}

pub(super) fn look(files: &[&AnimalFile], found: &mut Found<'_>) {
    let both = sire_and_dam(files, found);
    for f in files {
        let lamb = &f.animal;
        for (part, id) in parents_of(lamb) {
            let Some(parent) = found.animal(id).filter(|p| p.id != lamb.id) else { continue };
            let as_dam = part.ends_with("dam");
            if !both.contains_key(&id) {
                wrong_sex(found, lamb, parent, part, as_dam);
            }
            ages(found, lamb, parent, part, as_dam);
        }
        gone(found, f);
    }
}

fn sire_and_dam(files: &[&AnimalFile], found: &mut Found<'_>) -> RapidHashMap<AnimalId, Parts> {
    let mut all: RapidHashMap<AnimalId, Parts> = RapidHashMap::default();
    // Of most animals nothing is noted: only parents of the sex that does not go with their part.
    for f in files {
        for (part, id) in parents_of(&f.animal).filter(|(_, id)| *id != f.animal.id) {
            let as_dam = part.ends_with("dam");
            if found.animal(id).is_some_and(|p| (p.sex == Sex::Ewe) != as_dam) {
                let parts = all.entry(id).or_default();
                if as_dam { parts.dam.push(f.animal.id) } else { parts.sire.push(f.animal.id) }
            }
        }
    }
    for (id, parts) in &mut all {
        // Its other lambs, of the part that goes with its sex.
        let Some(f) = found.file(*id) else { continue };
        let right = f.offspring.iter().filter_map(|l| found.animal(*l)).filter(|l| l.id != *id).filter(|l| {
            parents_of(l).any(|(part, p)| p == *id && part.ends_with("dam") == (f.animal.sex == Sex::Ewe))
        });
        let right: Vec<AnimalId> = right.map(|l| l.id).collect();
        if f.animal.sex == Sex::Ewe { parts.dam = right } else { parts.sire = right }
    }
    all.retain(|_, parts| !parts.sire.is_empty() && !parts.dam.is_empty());
    let mut order: Vec<&AnimalId> = all.keys().collect();
    order.sort_unstable();
    for id in order {
        let parts = &all[id];
        found.add(DoubtKind::SireAndDam, |flock| {
            let sex = flock.animal(*id).map_or(Sex::Ram, |a| a.sex);
            let (wrong, part) = if sex == Sex::Ewe { (&parts.sire, "sire") } else { (&parts.dam, "dam") };
            let words = phrase!(
                "{} is a {} and stands as sire of {} and as dam of {}: it can be only one of the two. Choose another {part} of {}",
                &flock.tag(*id),
                sex.words(),
                some_tags(flock, &parts.sire),
                some_tags(flock, &parts.dam),
                some_tags(flock, wrong),
            );
            let link = wrong.first().copied().unwrap_or(*id);
            (std::iter::once(*id).chain(wrong.iter().copied()).take(6).collect(), words, Link::Animal(link))
        });
    }
    all
}

fn wrong_sex(found: &mut Found<'_>, lamb: &Animal, parent: &Animal, part: &'static str, as_dam: bool) {
    // A wether may have sired before he was castrated.
    if (parent.sex == Sex::Ewe) == as_dam {
        return;
    }
    found.add(DoubtKind::WrongSex, |_| {
        let (lamb_tag, tag) = (lamb.tag(), parent.tag());
        let words = phrase!(
            "{tag} is a {} and stands as {part} of {lamb_tag}: choose another {part} of {lamb_tag}, or mend the sex of {tag}",
            parent.sex.words(), tag = &tag, lamb_tag = &lamb_tag
        );
        (vec![lamb.id, parent.id], words, Link::Animal(lamb.id))
    });
}

fn ages(found: &mut Found<'_>, lamb: &Animal, parent: &Animal, part: &'static str, as_dam: bool) {
    if let (Some(from), Some(to)) = (parent.born.earliest(), lamb.born.latest())
        && from >= to
    {
        found.add(DoubtKind::ParentYounger, |_| {
            let (lamb_tag, tag) = (lamb.tag(), parent.tag());
            let words = phrase!(
                "{tag} was born {} and stands as {part} of {lamb_tag}, born {}: mend one of the two days, or the {part} of {lamb_tag}",
                parent.born.words(),
                lamb.born.words(), tag = &tag, lamb_tag = &lamb_tag
            );
            (vec![lamb.id, parent.id], words, Link::Animal(lamb.id))
        });
        return;
    }
    // Of estimated days no age is reckoned to the day.
    let (Some(born), Some(at)) = (parent.born.exact(), lamb.born.exact()) else { return };
    let (on, least, did) = match (as_dam, part) {
        // An embryo may be taken of a ewe that never lambed.
        (true, "dam") => (at, bounds::ewe_lambs_days(), "lambed"),
        (true, _) => return,
        (false, _) => (at.plus(-gestation::usual()), bounds::ram_fertile_days(), "served"),
    };
    let days = on.since(born);
    if days < least {
        found.add(DoubtKind::ParentYoung, |_| {
            let (lamb_tag, tag) = (lamb.tag(), parent.tag());
            let age = counted(usize::try_from(days.max(0)).unwrap_or(0), "day");
            let words = phrase!(
                "{tag} was {age} old when it {did} for {lamb_tag}; before {least} days that is rare: is it the right {part}, and are both days of birth right?", tag = &tag, lamb_tag = &lamb_tag
            );
            (vec![lamb.id, parent.id], words, Link::Animal(lamb.id))
        });
    }
}

/// An animal's standing at the end of a day, with the day it came about.
fn standing(f: &AnimalFile, on: Day) -> Option<(Status, Day)> {
    let moved = f.movements.iter().filter(|m| m.struck.is_none());
    if let Some(m) = moved.clone().rfind(|m| m.on <= on) {
        return Some((m.to, m.on));
    }
    // Without a movement the standing itself may have its day.
    if moved.count() > 0 {
        return None;
    }
    f.animal.status_on.filter(|d| *d <= on).map(|d| (f.animal.status, d))
}

/// By insemination a ram may sire after his death, and from another place.
fn by_semen(dam: Option<&AnimalFile>, ram: AnimalId) -> bool {
    let of = |m: &str| {
        let m = m.to_lowercase();
        m.contains("insem")
            || m.contains("semen")
            || m.split(|c: char| !c.is_alphanumeric()).any(|w| w == "ai")
    };
    dam.is_some_and(|d| {
        let joined = d.joinings.iter().filter(|j| j.struck.is_none() && j.ram == ram);
        joined.filter_map(|j| j.method.as_deref()).any(of)
    })
}

fn gone(found: &mut Found<'_>, f: &AnimalFile) {
    let lamb = &f.animal;
    let Some(born) = lamb.born.exact() else { return };
    // Born here: elsewhere a parent that was sold may well have gone on.
    let here = f.birth.is_some();
    let is_gone = |s: Status| matches!(s, Status::Dead | Status::Culled) || (here && s == Status::Sold);
    let dam = lamb.dam.filter(|d| *d != lamb.id).and_then(|d| found.file(d));
    // Death on the very day of a birth is no contradiction.
    if let Some(dam) = dam
        && let Some((status, on)) = standing(dam, born.plus(-1)).filter(|(s, _)| is_gone(*s))
    {
        found.add(DoubtKind::ParentGone, |_| {
            let (tag, lamb_tag) = (dam.animal.tag(), lamb.tag());
            let words = phrase!(
                "{tag} is written as {} since {} and stands as dam of {lamb_tag}, born {}: mend the day, or the dam of {lamb_tag}",
                status.words(),
                on.words(),
                born.words(), tag = &tag, lamb_tag = &lamb_tag
            );
            (vec![lamb.id, dam.animal.id], words, Link::Animal(lamb.id))
        });
    }
    // The first day on which he can have served: gone before it he is not the sire.
    let served = born.plus(-gestation::late());
    let sire = lamb.sire.known().filter(|s| *s != lamb.id).and_then(|s| found.file(s));
    if let Some(sire) = sire
        && let Some((status, on)) = standing(sire, served.plus(-1)).filter(|(s, _)| is_gone(*s))
        && !by_semen(dam, sire.animal.id)
    {
        found.add(DoubtKind::ParentGone, |_| {
            let (tag, lamb_tag) = (sire.animal.tag(), lamb.tag());
            let words = phrase!(
                "{tag} is written as {} since {} and stands as sire of {lamb_tag}, born {}, served {} at the earliest: mend the day or the sire, or write the insemination as a joining",
                status.words(),
                on.words(),
                born.words(),
                served.words(), tag = &tag, lamb_tag = &lamb_tag
            );
            (vec![lamb.id, sire.animal.id], words, Link::Animal(lamb.id))
        });
    }
}

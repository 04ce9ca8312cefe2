//! Kinship and who to whom as tables.

use super::tables::{Cell, Table};
use super::{Trouble, answers::files};
use hirsel_core::flock::Flock;
use hirsel_core::reckon::kinship::{Blood, complete_generations, inbreeding};
use hirsel_core::reckon::mating::{RamCap, best_pairs, ewes_to_join};
use hirsel_core::terms::{AnimalId, Day, Sex};

/// Inbreeding and complete generations of the chosen animals, or of all in the flock.
pub fn kinship(flock: &Flock, animals: Option<Vec<AnimalId>>) -> Result<Table, Trouble> {
    let blood = Blood::of(flock).map_err(|circle| {
        let tags: Vec<&str> = circle.iter().map(|id| flock.tag(*id)).collect();
        let way = tags.join(", child of ");
        Trouble::Refused(format!("the pedigree runs in a circle through {way}: mend one parent first"))
    })?;
    let (f, depth) = (inbreeding(&blood.pedigree, 2), complete_generations(&blood.pedigree));
    let rows = files(flock, animals)
        .into_iter()
        .filter_map(|file| {
            let place = *blood.places.get(&file.animal.id)? as usize;
            Some(vec![Cell::words(file.animal.tag()), Cell::number(f[place]), Cell::number(depth[place])])
        })
        .collect();
    Ok(Table { columns: &["tag", "inbreeding", "complete_generations"], rows })
}

/// The best ram for each ewe; the chosen ewes, or all that are old enough.
pub fn pairs(flock: &Flock, animals: Option<Vec<AnimalId>>, rams: &str, on: Day) -> Result<Table, Trouble> {
    let rams = caps(flock, rams)?;
    let ewes = match animals {
        Some(chosen) => {
            let other = chosen.iter().filter_map(|id| flock.animal(*id)).find(|a| a.sex != Sex::Ewe);
            if let Some(a) = other {
                let words = format!("{} is a {}: --animal takes ewes here", a.tag(), a.sex.words());
                return Err(Trouble::Refused(words));
            }
            chosen
        }
        None => ewes_to_join(flock, on),
    };
    let pairs = best_pairs(flock, &ewes, &rams).map_err(|e| Trouble::Refused(e.to_string()))?;
    let row = |p: &hirsel_core::reckon::mating::Pair| {
        vec![Cell::words(flock.tag(p.ewe)), Cell::words(flock.tag(p.ram)), Cell::number(p.coancestry)]
    };
    Ok(Table { columns: &["ewe", "ram", "coancestry"], rows: pairs.iter().map(row).collect() })
}

/// `R1:10,R2:8`: a ram's tag and how many ewes he may have; `R1:4-10` at least four of them.
fn caps(flock: &Flock, text: &str) -> Result<Vec<RamCap>, Trouble> {
    let wrong = |part: &str| {
        let words = format!("'{part}' is no ram with a number of ewes: write it like R1:10 or R1:4-10");
        Trouble::World(words)
    };
    let mut all: Vec<RamCap> = Vec::new();
    for part in text.split(',').map(str::trim).filter(|p| !p.is_empty()) {
        let (tag, cap) = part.rsplit_once(':').ok_or_else(|| wrong(part))?;
        let (least, most) = cap.split_once('-').unwrap_or(("0", cap));
        let number = |t: &str| t.trim().parse::<usize>().ok().filter(|n| *n <= 10_000);
        let (Some(least), Some(most)) = (number(least), number(most)) else { return Err(wrong(part)) };
        let id = flock.by_tag(tag).ok_or_else(|| {
            Trouble::Refused(format!("no animal wears the tag {}: mend the tag", tag.trim()))
        })?;
        if let Some(a) = flock.animal(id).filter(|a| a.sex != Sex::Ram) {
            let words = format!("{} is a {}: only a ram can be joined with ewes", a.tag(), a.sex.words());
            return Err(Trouble::Refused(words));
        }
        if all.iter().any(|r| r.ram == id) {
            return Err(Trouble::Refused(format!("the ram {} is given twice", tag.trim())));
        }
        if least > most {
            return Err(wrong(part));
        }
        all.push(RamCap { ram: id, most, least });
    }
    Ok(all)
}

//! Kinship and who to whom as tables.

use super::tables::{self, Cell, Table};
use super::{Format, Trouble, answers::files, chosen};
use hirsel_core::flock::Flock;
use hirsel_core::reckon::kinship::{Blood, Diversity, Kin, Kindred, complete_generations, inbreeding};
use hirsel_core::reckon::mating::{RamCap, best_pairs, ewes_to_join};
use hirsel_core::terms::{AnimalId, Day, Sex};

/// Inbreeding and complete generations of the chosen animals, or of all in the flock.
pub fn kinship(flock: &Flock, animals: Option<Vec<AnimalId>>) -> Result<Table, Trouble> {
    let blood = pedigree(flock)?;
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

/// The pedigree; refused where it runs in a circle.
fn pedigree(flock: &Flock) -> Result<Blood, Trouble> {
    Blood::of(flock).map_err(|circle| in_circle(flock, &circle))
}

fn in_circle(flock: &Flock, circle: &[AnimalId]) -> Trouble {
    let tags: Vec<&str> = circle.iter().map(|id| flock.tag(*id)).collect();
    let way = tags.join(", child of ");
    Trouble::Refused(format!("the pedigree runs in a circle through {way}: mend one parent first"))
}

/// More animals than this make a square table only when they are chosen by tag.
const MATRIX: usize = 2_000;

/// Coancestry of every two of the chosen animals, or of all in the flock, as text: CSV, or JSON if asked for.
pub fn matrix(flock: &Flock, tags: &[String], format: Format) -> Result<String, Trouble> {
    let animals = chosen(flock, tags, &[])?;
    let all = animals.is_none();
    let files = files(flock, animals);
    if all && files.len() > MATRIX {
        return Err(Trouble::Refused(format!(
            "a square table of {} animals has {} values: choose animals with --animal, up to {MATRIX} are made without",
            files.len(),
            files.len() * files.len()
        )));
    }
    let blood = pedigree(flock)?;
    let set: Vec<u32> = files.iter().filter_map(|f| blood.places.get(&f.animal.id).copied()).collect();
    let kin = Kin::of(blood.pedigree, 2);
    let heads: Vec<&str> = std::iter::once("tag").chain(files.iter().map(|f| f.animal.tag())).collect();
    let rows: Vec<Vec<Cell>> = files
        .iter()
        .zip(kin.matrix(&set))
        .map(|(f, row)| {
            std::iter::once(Cell::words(f.animal.tag())).chain(row.into_iter().map(Cell::number)).collect()
        })
        .collect();
    let format = if format == Format::Table { Format::Csv } else { format };
    Ok(tables::text(&heads, &rows, format))
}

/// What is left of the founders' blood: every figure with its value and what to do about it.
pub fn diversity(flock: &Flock, on: Day) -> Result<Table, Trouble> {
    let kindred = Kindred::of(flock);
    if let Some(circle) = kindred.circle() {
        return Err(in_circle(flock, circle));
    }
    let made = Diversity::of(flock, &kindred, on);
    if made.living == 0 {
        return Err(Trouble::Refused(
            "no animal is in the flock, so there is no blood to reckon: bring animals in first".into(),
        ));
    }
    let row = |f: &hirsel_core::reckon::kinship::Figure| {
        let value = f.value.map_or_else(Cell::none, Cell::number);
        vec![Cell::words(f.key), value, Cell::words(format!("{}: {}", f.name, f.advice))]
    };
    Ok(Table { columns: &["figure", "value", "meaning"], rows: made.figures.iter().map(row).collect() })
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

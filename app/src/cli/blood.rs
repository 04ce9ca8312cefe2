//! Kinship and who to whom as tables.

use super::tables::{Cell, Table};
use super::{Trouble, answers::files, chosen};
use hirsel_core::flock::Flock;
use hirsel_core::reckon::kinship::{Blood, Diversity, Kin, Kindred, complete_generations, inbreeding};
use hirsel_core::reckon::mating::{Pairs, PairsAsk, RamCap, ewes_to_join, pairs as best};
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
pub(super) fn pedigree(flock: &Flock) -> Result<Blood, Trouble> {
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
pub fn matrix(flock: &Flock, tags: &[String]) -> Result<(Vec<String>, Vec<Vec<Cell>>), Trouble> {
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
    let heads =
        std::iter::once("tag").chain(files.iter().map(|f| f.animal.tag())).map(String::from).collect();
    let rows: Vec<Vec<Cell>> = files
        .iter()
        .zip(kin.matrix(&set))
        .map(|(f, row)| {
            std::iter::once(Cell::words(f.animal.tag())).chain(row.into_iter().map(Cell::number)).collect()
        })
        .collect();
    Ok((heads, rows))
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

/// What is asked of the pairs, as typed.
#[derive(Clone, Copy, Default)]
pub struct Asked<'a> {
    /// Rams with their numbers.
    pub rams: &'a str,
    /// No lamb more inbred than this.
    pub limit: Option<&'a str>,
    /// Pairs that must not be.
    pub forbid: &'a str,
    /// Pairs that must be.
    pub keep: &'a str,
}

/// The best ram for each ewe; the chosen ewes, or all that are old enough.
pub fn pairs(
    flock: &Flock,
    animals: Option<Vec<AnimalId>>,
    asked: &Asked<'_>,
    on: Day,
) -> Result<Table, Trouble> {
    let rams = caps(flock, asked.rams)?;
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
    let ask = PairsAsk {
        limit: asked.limit.map(limit).transpose()?,
        forbid: couples(flock, asked.forbid)?,
        keep: couples(flock, asked.keep)?,
        ..PairsAsk::plain(&ewes, &rams)
    };
    let found =
        best(flock, &Kindred::of(flock), &ask, &mut |_| true).map_err(|e| Trouble::Refused(e.to_string()))?;
    let rows = ewes.iter().filter_map(|ewe| row(flock, &found, *ewe)).collect();
    Ok(Table { columns: &["ewe", "ram", "coancestry", "second_ram", "second_coancestry"], rows })
}

/// A ewe with her ram, and the ram that would cost least in his place.
fn row(flock: &Flock, found: &Pairs, ewe: AnimalId) -> Option<Vec<Cell>> {
    let told = found.told(flock, ewe)?;
    let second = told.others.iter().find(|o| o.bar.is_none() && o.settled.is_some());
    Some(vec![
        Cell::words(flock.tag(ewe)),
        Cell::words(flock.tag(told.ram)),
        Cell::number(told.terms.coancestry),
        Cell::words(second.map_or("", |o| flock.tag(o.ram))),
        second.map_or_else(|| Cell::words(""), |o| Cell::number(o.coancestry)),
    ])
}

/// `0.0625` or `6.25%`.
fn limit(text: &str) -> Result<f64, Trouble> {
    let part = text.trim();
    let (figure, by) = part.strip_suffix('%').map_or((part, 1.0), |p| (p.trim_end(), 0.01));
    figure.parse::<f64>().ok().map(|f| f * by).filter(|f| (0.0..=1.0).contains(f)).ok_or_else(|| {
        Trouble::World(format!("'{part}' is no limit on inbreeding: write it like 0.0625 or 6.25%"))
    })
}

/// `0412:R1,0417:R2`: a ewe and a ram by their tags.
fn couples(flock: &Flock, text: &str) -> Result<Vec<(AnimalId, AnimalId)>, Trouble> {
    let of = |tag: &str, needed: Sex| {
        let id = flock.by_tag(tag).ok_or_else(|| {
            Trouble::Refused(format!("no animal wears the tag {}: mend the tag", tag.trim()))
        })?;
        match flock.animal(id).filter(|a| a.sex != needed) {
            Some(a) => Err(Trouble::Refused(format!(
                "{} is a {}: write the ewe before the colon and the ram after it",
                a.tag(),
                a.sex.words()
            ))),
            None => Ok(id),
        }
    };
    let parts = text.split(',').map(str::trim).filter(|p| !p.is_empty());
    parts
        .map(|part| {
            let (ewe, ram) = part.rsplit_once(':').ok_or_else(|| {
                Trouble::World(format!("'{part}' is no pair: write the ewe and the ram like 0412:R1"))
            })?;
            Ok((of(ewe, Sex::Ewe)?, of(ram, Sex::Ram)?))
        })
        .collect()
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

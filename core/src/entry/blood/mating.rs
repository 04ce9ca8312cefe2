//! Crayon marks, matings seen, crayons and scans as written up.

use super::{BloodRefused, BloodUnusual};
use crate::entry::lambing::not_here;
use crate::entry::standing::{before_birth, names};
use crate::entry::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{AnimalFile, Crayon, Flock, MatingMark, Scan};
use crate::reckon::gestation;
use crate::terms::{AnimalId, CrayonId, Day, MarkId, MarkKind, ScanId, Scanned, Sex, Words};

/// A mark or a mating as written up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MarkDraft {
    /// The ewe.
    pub ewe: AnimalId,
    /// The ram, if it is known which.
    pub ram: Option<AnimalId>,
    /// The day it was seen.
    pub on: Day,
    /// A mark, or the mating itself.
    pub kind: MarkKind,
    /// Colour of the mark; empty takes that of the ram's crayon.
    pub colour: Option<String>,
    /// What else was seen.
    pub note: Option<String>,
}

/// A crayon put on, changed or taken off.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CrayonDraft {
    /// The ram.
    pub ram: AnimalId,
    /// First day.
    pub on: Day,
    /// The colour; empty takes it off.
    pub colour: String,
}

/// A scan as written up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ScanDraft {
    /// The ewe.
    pub ewe: AnimalId,
    /// The day.
    pub on: Day,
    /// What was found.
    pub found: Scanned,
    /// Age of the lambs in days since service.
    pub age_days: Option<u16>,
    /// Note.
    pub note: Option<String>,
}

/// The ewe or ram of a row: there, of the right sex, born by then.
fn part<'a>(
    faults: &mut Faults,
    flock: &'a Flock,
    id: AnimalId,
    needed: Sex,
    field: Field,
    on: Day,
) -> Option<&'a AnimalFile> {
    let Some(f) = flock.file(id) else {
        faults.refuse(field, Refused::Gone);
        return None;
    };
    let a = &f.animal;
    // A wether may have served before he was castrated.
    let wrong = if needed == Sex::Ewe { a.sex != Sex::Ewe } else { a.sex == Sex::Ewe };
    if wrong {
        let part = if needed == Sex::Ewe { "the ewe of a mating" } else { "the ram of a mating" };
        faults.refuse(field, Refused::WrongSex { tag: a.tag().into(), is: a.sex, needed, part });
        return None;
    }
    before_birth(faults, field, a, on);
    if needed == Sex::Ewe {
        not_here(faults, field, a, on);
    }
    Some(f)
}

/// The colour of a ram's crayon on a day, if he wears one.
pub fn crayon_on(ram: &AnimalFile, on: Day) -> Option<&str> {
    let last =
        ram.crayons.iter().filter(|c| c.struck.is_none() && c.on <= on).max_by_key(|c| (c.on, c.id))?;
    Some(last.colour.as_str()).filter(|c| !c.is_empty())
}

/// Checks marks and matings seen; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn marks(drafts: Vec<MarkDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("ewe"), Refused::NoAnimals);
    }
    let mut all: Vec<MatingMark> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let ewe = part(&mut faults, flock, d.ewe, Sex::Ewe, Field::row("ewe", row), d.on);
        let ram = d.ram.and_then(|r| part(&mut faults, flock, r, Sex::Ram, Field::row("ram", row), d.on));
        if let (Some(ewe), Some(ram)) = (ewe, ram) {
            let stood = |j: &crate::flock::Joining| {
                j.struck.is_none()
                    && j.ram == ram.animal.id
                    && j.from <= d.on
                    && j.to.is_none_or(|t| t >= d.on)
            };
            if !ewe.joinings.iter().any(stood) {
                let (ewe, ram) = (ewe.animal.tag().to_string(), ram.animal.tag().to_string());
                let what = BloodUnusual::NotJoined { ewe, ram, on: d.on };
                faults.question(Field::row("ram", row), what.into());
            }
        }
        let colour = words(&d.colour).or_else(|| {
            let worn = ram.filter(|_| d.kind == MarkKind::Crayon).and_then(|r| crayon_on(r, d.on));
            worn.map(Words::from)
        });
        let new = MatingMark {
            id: MarkId::new(),
            ewe: d.ewe,
            ram: d.ram,
            on: d.on,
            kind: d.kind,
            colour,
            note: words(&d.note),
            struck: None,
        };
        let same = |o: &MatingMark| {
            o.struck.is_none() && o.ewe == new.ewe && o.on == new.on && o.kind == new.kind && o.ram == new.ram
        };
        if let Some(f) = ewe.filter(|f| f.marks.iter().chain(&all).any(same)) {
            let what = BloodUnusual::Again { tag: f.animal.tag().into(), what: "a mark", on: d.on };
            faults.question(Field::row("ewe", row), what.into());
        }
        all.push(new);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => {
                let ram = one.ram.map(|r| format!(" by {}", flock.tag(r))).unwrap_or_default();
                format!("{} of {}{ram}", capital(one.kind.words()), flock.tag(one.ewe))
            }
            many => format!("Marks of {} ewes", many.len()),
        };
        (Entry::Marks(all), sentence)
    })
}

fn capital(word: &str) -> String {
    let mut letters = word.chars();
    letters.next().map(|c| c.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// Checks crayons; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn crayons(drafts: Vec<CrayonDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("ram"), Refused::NoAnimals);
    }
    let mut all: Vec<Crayon> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let ram = part(&mut faults, flock, d.ram, Sex::Ram, Field::row("ram", row), d.on);
        let colour = d.colour.trim().to_string();
        let put_on = all.iter().filter(|c| c.ram == d.ram && c.on <= d.on).max_by_key(|c| (c.on, c.id));
        let wears = |r: &AnimalFile| match put_on {
            Some(c) => !c.colour.is_empty(),
            None => crayon_on(r, d.on).is_some(),
        };
        if let Some(r) = ram.filter(|r| colour.is_empty() && !wears(r)) {
            let why = BloodRefused::NoCrayon(r.animal.tag().into());
            faults.refuse(Field::row("colour", row), why.into());
        }
        all.push(Crayon { id: CrayonId::new(), ram: d.ram, on: d.on, colour, struck: None });
    }
    faults.or(|| {
        let rams: Vec<AnimalId> = all.iter().map(|c| c.ram).collect();
        let sentence = match all.first() {
            Some(c) if c.colour.is_empty() => format!("Crayon off {}", names(flock, &rams)),
            Some(c) if all.iter().all(|o| o.colour == c.colour) => {
                format!("Crayon of {}: {}", names(flock, &rams), c.colour)
            }
            _ => format!("Crayons of {}", names(flock, &rams)),
        };
        (Entry::Crayons(all), sentence)
    })
}

/// Checks scans; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn scans(drafts: Vec<ScanDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("ewe"), Refused::NoAnimals);
    }
    let mut all: Vec<Scan> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let ewe = part(&mut faults, flock, d.ewe, Sex::Ewe, Field::row("ewe", row), d.on);
        let new = Scan {
            id: ScanId::new(),
            ewe: d.ewe,
            on: d.on,
            found: d.found,
            age_days: d.age_days,
            note: words(&d.note),
            struck: None,
        };
        if let Some(f) = ewe {
            scan(&mut faults, row, &new, f);
            if all.iter().any(|o| o.ewe == new.ewe && o.on == new.on) {
                let what = BloodUnusual::Again { tag: f.animal.tag().into(), what: "a scan", on: d.on };
                faults.question(Field::row("ewe", row), what.into());
            }
        }
        all.push(new);
    }
    faults.or(|| {
        let sentence = match all.as_slice() {
            [one] => format!("Scan of {}: {}", flock.tag(one.ewe), one.found.words()),
            many => format!("Scans of {} ewes", many.len()),
        };
        (Entry::Scans(all), sentence)
    })
}

/// What is wrong or unlikely of a scan, new or amended.
pub(super) fn scan(faults: &mut Faults, row: usize, s: &Scan, ewe: &AnimalFile) {
    let tag = || ewe.animal.tag().to_string();
    if let Some(age) = s.age_days {
        let most = gestation::late();
        if s.found == Scanned::Empty {
            faults.refuse(Field::row("age_days", row), BloodRefused::AgeOfNone(tag()).into());
        } else if i64::from(age) > most || age == 0 {
            faults
                .refuse(Field::row("age_days", row), BloodRefused::ScanAge { tag: tag(), age, most }.into());
        }
    }
    let again = ewe.scans.iter().any(|o| o.struck.is_none() && o.id != s.id && o.on == s.on);
    if again {
        let what = BloodUnusual::Again { tag: tag(), what: "a scan", on: s.on };
        faults.question(Field::row("ewe", row), what.into());
    }
    let standing = || ewe.joinings.iter().filter(|j| j.struck.is_none());
    let near = standing().any(|j| {
        let (from, to) = (s.on.since(j.from), s.on.since(j.to.unwrap_or(s.on)));
        from >= 29 && to <= 160
    });
    if !near {
        faults.question(Field::row("ewe", row), BloodUnusual::ScanUnjoined { tag: tag(), on: s.on }.into());
    } else if let Some(age) = s.age_days {
        let service = s.on.plus(-i64::from(age));
        // The scanner's age is good to a few days.
        let held =
            standing().any(|j| service.since(j.from) >= -4 && j.to.is_none_or(|to| service.since(to) <= 4));
        if !held {
            let what = BloodUnusual::ScanServed { tag: tag(), service };
            faults.question(Field::row("age_days", row), what.into());
        }
    }
}

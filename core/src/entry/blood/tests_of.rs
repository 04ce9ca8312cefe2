//! Tests of genes and parents as written up. A parentage test settles the parent it is about.

use super::{BloodRefused, BloodUnusual};
use crate::entry::standing::before_birth;
use crate::entry::{Check, Entry, Faults, Field, Refused, words};
use crate::flock::{Animal, AnimalFile, Flock, GeneTest, Sire, Tested};
use crate::terms::{AnimalId, Day, GeneStatus, GeneTestId, Scrapie, Sex};

/// A test as written up.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GeneTestDraft {
    /// The animal.
    pub animal: AnimalId,
    /// Day of the report or the sample.
    pub on: Day,
    /// What was looked for and found.
    pub found: Tested,
    /// The laboratory.
    pub lab: Option<String>,
    /// Number of its report.
    pub number: Option<String>,
    /// Note.
    pub note: Option<String>,
}

/// Checks tests; rows of faults count the drafts.
///
/// # Errors
/// Every refusal with its row.
pub fn gene_tests(drafts: Vec<GeneTestDraft>, flock: &Flock, today: Day) -> Check {
    let mut faults = Faults::default();
    if drafts.is_empty() {
        faults.refuse(Field::of("tag"), Refused::NoAnimals);
    }
    let mut tests: Vec<GeneTest> = Vec::new();
    // Animals as the tests leave them, each with the row of the last test that moved it.
    let mut parents: Vec<Animal> = Vec::new();
    let mut rows: Vec<usize> = Vec::new();
    for (row, d) in drafts.into_iter().enumerate() {
        faults.not_ahead(Field::row("on", row), d.on, today);
        let new = GeneTest {
            id: GeneTestId::new(),
            animal: d.animal,
            on: d.on,
            found: d.found,
            lab: words(&d.lab),
            number: words(&d.number),
            note: words(&d.note),
            struck: None,
        };
        let Some(f) = flock.file(new.animal) else {
            faults.refuse(Field::row("tag", row), Refused::Gone);
            continue;
        };
        before_birth(&mut faults, Field::row("on", row), &f.animal, new.on);
        check(&mut faults, row, &new, f, flock);
        let known = parents.iter().position(|a| a.id == new.animal);
        let stands = known.map_or_else(|| f.animal.clone(), |at| parents[at].clone());
        if let Some(settled) = settled(&stands, &new.found, flock) {
            match known {
                Some(at) => (parents[at], rows[at]) = (settled, row),
                None => {
                    parents.push(settled);
                    rows.push(row);
                }
            }
        }
        tests.push(new);
    }
    // What an earlier test settled a later one may unsettle: only where they end is looked at, all together.
    let moved = |a: &Animal| flock.animal(a.id) != Some(a);
    let rows: Vec<usize> = rows.into_iter().zip(&parents).filter(|(_, a)| moved(a)).map(|(r, _)| r).collect();
    parents.retain(moved);
    let view = crate::entry::pedigree::Pedigree::with_edits(flock, &parents);
    for (row, a) in rows.iter().zip(&parents) {
        crate::entry::pedigree::parents(&mut faults, &view, a.id, *row);
    }
    let ends = rows.iter().copied().zip(parents.iter().map(|a| a.id));
    crate::entry::pedigree::loops(&mut faults, &view, ends);
    let because = (!parents.is_empty()).then(|| "a parentage test".to_string());
    let checked = faults.or(|| {
        let sentence = match tests.as_slice() {
            [one] => format!("Test of {}: {}", flock.tag(one.animal), says(&one.found, flock)),
            many => format!("{} tests", many.len()),
        };
        (Entry::GeneTests { tests, parents }, sentence)
    })?;
    Ok(match because {
        Some(why) => checked.because(why),
        None => checked,
    })
}

/// What a test found, in words.
pub fn says(found: &Tested, flock: &Flock) -> String {
    match found {
        Tested::Scrapie(g) => format!("scrapie genotype {g}"),
        Tested::Recessive { gene, status } => format!("{} for {gene}", status.words()),
        Tested::Parentage { parent, is } => {
            let part = match flock.animal(*parent).map(|a| a.sex) {
                Some(Sex::Ewe) => "dam",
                _ => "sire",
            };
            format!("{} {} the {part}", flock.tag(*parent), if *is { "is" } else { "is not" })
        }
        Tested::Other { what, result } => format!("{what}: {result}"),
    }
}

/// The animal with the parent a test settles; none where nothing changes.
fn settled(a: &Animal, found: &Tested, flock: &Flock) -> Option<Animal> {
    let Tested::Parentage { parent, is } = found else { return None };
    let mut new = a.clone();
    if flock.animal(*parent)?.sex == Sex::Ewe {
        // The ewe it was born of stays its birth dam; blood follows the genetic dam.
        match (*is, a.blood_dam() == Some(*parent)) {
            (true, false) if a.dam.is_none() => new.dam = Some(*parent),
            (true, false) => new.genetic_dam = Some(*parent),
            (false, true) if a.genetic_dam.is_some() => new.genetic_dam = None,
            (false, true) => new.dam = None,
            _ => return None,
        }
    } else if *is {
        new.sire = Sire::Known(*parent);
    } else {
        let left: Vec<AnimalId> = a.sire.possible().iter().copied().filter(|r| r != parent).collect();
        new.sire = match left.as_slice() {
            _ if left.len() == a.sire.possible().len() => return None,
            [] => Sire::Unknown,
            [one] => Sire::Known(*one),
            _ => Sire::OneOf(left),
        };
    }
    (new != *a).then_some(new)
}

/// What is wrong or unlikely of a test, new or amended.
pub(super) fn check(faults: &mut Faults, row: usize, t: &GeneTest, f: &AnimalFile, flock: &Flock) {
    let field = Field::row("result", row);
    let tag = || f.animal.tag().to_string();
    let others = || f.tests.iter().filter(|o| o.struck.is_none() && o.id != t.id);
    match &t.found {
        Tested::Scrapie(g) => {
            if let Some(before) = others().find_map(|o| scrapie(&o.found)).filter(|b| b != g) {
                let what =
                    BloodUnusual::OtherResult { tag: tag(), before: before.to_string(), now: g.to_string() };
                faults.question(field, what.into());
            }
            for (parent, id) in known_parents(&f.animal) {
                let Some(p) = flock.file(id) else { continue };
                let theirs = p.tests.iter().filter(|o| o.struck.is_none()).find_map(|o| scrapie(&o.found));
                if let Some(theirs) =
                    theirs.filter(|g2| !g.alleles().iter().any(|a| g2.alleles().contains(a)))
                {
                    let parent = format!("{parent} {}", p.animal.tag());
                    let what = BloodUnusual::NoAlleleOf { tag: tag(), genotype: *g, parent, theirs };
                    faults.question(field, what.into());
                }
            }
        }
        Tested::Recessive { gene, status } => {
            if gene.trim().is_empty() {
                faults.refuse(field, BloodRefused::EmptyTest(tag()).into());
                return;
            }
            let of = |f: &AnimalFile, id| {
                let all = f.tests.iter().filter(|o| o.struck.is_none() && Some(o.id) != id);
                all.filter_map(|o| recessive(&o.found, gene)).next_back()
            };
            if let Some(before) = of(f, Some(t.id)).filter(|b| b != status) {
                let (before, now) = (before.words().to_string(), status.words().to_string());
                faults.question(field, BloodUnusual::OtherResult { tag: tag(), before, now }.into());
            }
            for (parent, id) in known_parents(&f.animal) {
                let Some(p) = flock.file(id) else { continue };
                let wrong = |theirs: &GeneStatus| {
                    matches!(
                        (status, theirs),
                        (GeneStatus::Affected, GeneStatus::Clear) | (GeneStatus::Clear, GeneStatus::Affected)
                    )
                };
                if let Some(theirs) = of(p, None).filter(wrong) {
                    let what = BloodUnusual::NotFromParents {
                        tag: tag(),
                        gene: gene.trim().into(),
                        is: status.words(),
                        parent: format!("{parent} {}", p.animal.tag()),
                        theirs: theirs.words(),
                    };
                    faults.question(field, what.into());
                }
            }
        }
        Tested::Parentage { parent, is } => {
            if *parent == t.animal {
                faults.refuse(Field::row("parent", row), BloodRefused::OwnParent(tag()).into());
                return;
            }
            if flock.animal(*parent).is_none() {
                faults.refuse(Field::row("parent", row), Refused::Gone);
            }
            let otherwise = others().any(
                |o| matches!(o.found, Tested::Parentage { parent: p, is: was } if p == *parent && was != *is),
            );
            if otherwise {
                let word = |yes: bool| {
                    format!("{} {} the parent", flock.tag(*parent), if yes { "is" } else { "is not" })
                };
                let what = BloodUnusual::OtherResult { tag: tag(), before: word(!is), now: word(*is) };
                faults.question(Field::row("parent", row), what.into());
            }
        }
        Tested::Other { what, result } => {
            if what.trim().is_empty() || result.trim().is_empty() {
                faults.refuse(field, BloodRefused::EmptyTest(tag()).into());
            }
        }
    }
}

fn known_parents(a: &Animal) -> impl Iterator<Item = (&'static str, AnimalId)> {
    let parents = [("sire", a.sire.known()), ("dam", a.blood_dam())];
    parents.into_iter().filter_map(|(part, id)| id.map(|id| (part, id)))
}

fn scrapie(found: &Tested) -> Option<Scrapie> {
    match found {
        Tested::Scrapie(g) => Some(*g),
        _ => None,
    }
}

fn recessive(found: &Tested, gene: &str) -> Option<GeneStatus> {
    match found {
        Tested::Recessive { gene: g, status } if g.trim().eq_ignore_ascii_case(gene.trim()) => Some(*status),
        _ => None,
    }
}

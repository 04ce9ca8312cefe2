//! What tests say of parents: parentage tests against the pedigree, genotypes that a parent cannot have given, and
//! what is known of each of several rams.
//!
//! A lamb has one allele of each parent (Mendel): one that shares no allele with a parent, or is clear of a recessive
//! of which the parent is affected, is not that parent's.

use super::times::service;
use super::{DoubtKind, Found};
use crate::flock::{AnimalFile, Flock, Link, Tested};
use crate::phrase;
use crate::reckon::gestation::fits;
use crate::terms::{AnimalId, Day, GeneStatus, Scrapie, Sex};
use std::collections::BTreeMap;

pub(super) fn look(files: &[&AnimalFile], found: &mut Found<'_>) {
    for f in files {
        if !f.tests.is_empty() {
            tests(found, f);
            genes(found, f);
        }
        if f.animal.sire.known().is_none() && f.animal.sire.possible().len() > 1 {
            several(found, f);
        }
    }
}

fn scrapie(f: &AnimalFile) -> Option<Scrapie> {
    f.tests.iter().filter(|t| t.struck.is_none()).rev().find_map(|t| match t.found {
        Tested::Scrapie(g) => Some(g),
        _ => None,
    })
}

/// Of each recessive the last result.
fn recessives(f: &AnimalFile) -> BTreeMap<String, GeneStatus> {
    let mut all = BTreeMap::new();
    for t in f.tests.iter().filter(|t| t.struck.is_none()) {
        if let Tested::Recessive { gene, status } = &t.found {
            all.insert(gene.trim().to_lowercase(), *status);
        }
    }
    all
}

/// Of each parent asked about the last answer.
fn parentage(f: &AnimalFile) -> BTreeMap<AnimalId, bool> {
    let mut all = BTreeMap::new();
    for t in f.tests.iter().filter(|t| t.struck.is_none()) {
        if let Tested::Parentage { parent, is } = t.found {
            all.insert(parent, is);
        }
    }
    all
}

fn tests(found: &mut Found<'_>, f: &AnimalFile) {
    let lamb = &f.animal;
    for (parent, is) in parentage(f) {
        let Some(p) = found.animal(parent) else { continue };
        let (part, stands, other) = if p.sex == Sex::Ewe {
            ("dam", lamb.blood_dam() == Some(parent), lamb.blood_dam())
        } else {
            let stands =
                if is { lamb.sire.known() == Some(parent) } else { lamb.sire.possible().contains(&parent) };
            ("sire", stands, lamb.sire.known())
        };
        if is == stands {
            continue;
        }
        found.add(DoubtKind::TestSays, |flock| {
            let (tag, ram) = (lamb.tag(), p.tag());
            let words = match (is, other) {
                (true, Some(other)) => phrase!(
                    "a test found {ram} to be the {part} of {tag}, and {} is written: make {ram} the {part}, or strike the test out",
                    &flock.tag(other), ram = &ram, tag = &tag
                ),
                (true, None) => phrase!("a test found {ram} to be the {part} of {tag}: write it as the {part}, or strike the test out", ram = &ram, tag = &tag),
                (false, _) => phrase!(
                    "a test found that {ram} is not the {part} of {tag}, and it is written so: choose another {part}, or strike the test out", ram = &ram, tag = &tag
                ),
            };
            (vec![lamb.id, parent], words, Link::Animal(lamb.id))
        });
    }
}

/// Why this animal cannot have given its share of what was found in the lamb.
fn excluded(lamb: &AnimalFile, parent: &AnimalFile) -> Option<String> {
    if let (Some(a), Some(b)) = (scrapie(lamb), scrapie(parent))
        && !a.alleles().iter().any(|x| b.alleles().contains(x))
    {
        return Some(phrase!("{} is {a} and {} is {b}", &lamb.animal.tag(), &parent.animal.tag()));
    }
    let theirs = recessives(parent);
    recessives(lamb).into_iter().find_map(|(gene, own)| {
        let given = *theirs.get(&gene)?;
        let against = [(GeneStatus::Affected, GeneStatus::Clear), (GeneStatus::Clear, GeneStatus::Affected)];
        against.contains(&(own, given)).then(|| {
            let (tag, parent) = (lamb.animal.tag(), parent.animal.tag());
            phrase!(
                "{tag} is {} for {gene} and {parent} is {}",
                own.words(),
                given.words(),
                tag = &tag,
                parent = &parent
            )
        })
    })
}

/// Why two parents together cannot have had this lamb, though each alone could.
fn pair_excluded(lamb: &AnimalFile, sire: &AnimalFile, dam: &AnimalFile) -> Option<String> {
    let who = || phrase!("{} and {}", &sire.animal.tag(), &dam.animal.tag());
    if let (Some(a), Some(s), Some(d)) = (scrapie(lamb), scrapie(sire), scrapie(dam)) {
        let [x, y] = a.alleles();
        let gives = |x, y| s.alleles().contains(&x) && d.alleles().contains(&y);
        if !gives(x, y) && !gives(y, x) {
            return Some(phrase!("{} is {a}, its parents {} are {s} and {d}", &lamb.animal.tag(), who()));
        }
    }
    let (s, d) = (recessives(sire), recessives(dam));
    recessives(lamb).into_iter().find_map(|(gene, own)| {
        let both = *s.get(&gene)?;
        let cannot = own == GeneStatus::Carrier && both != GeneStatus::Carrier && d.get(&gene) == Some(&both);
        cannot.then(|| {
            phrase!(
                "{} is a carrier of {gene}, its parents {} are both {}",
                &lamb.animal.tag(),
                who(),
                both.words()
            )
        })
    })
}

fn genes(found: &mut Found<'_>, f: &AnimalFile) {
    let lamb = &f.animal;
    let sire = lamb.sire.known().filter(|s| *s != lamb.id).and_then(|s| found.file(s));
    let dam = lamb.blood_dam().filter(|d| *d != lamb.id).and_then(|d| found.file(d));
    let mut single = false;
    for (part, parent) in [("sire", sire), ("dam", dam)] {
        let Some((p, why)) = parent.and_then(|p| excluded(f, p).map(|why| (p, why))) else { continue };
        single = true;
        found.add(DoubtKind::GenesExclude, |_| {
            let (tag, ram) = (lamb.tag(), p.animal.tag());
            let words = phrase!(
                "{why}: {ram} cannot be the {part} of {tag}, or a test was of another animal. A parentage test of {tag} and {ram} settles it", why = &why, ram = &ram, tag = &tag
            );
            (vec![lamb.id, p.animal.id], words, Link::Animal(lamb.id))
        });
    }
    if let (false, Some(s), Some(d)) = (single, sire, dam)
        && let Some(why) = pair_excluded(f, s, d)
    {
        found.add(DoubtKind::GenesExclude, |_| {
            let words = phrase!(
                "{why}: these two cannot have had it, or a test was of another animal. A parentage test of {} settles which",
                &lamb.tag()
            );
            (vec![lamb.id, s.animal.id, d.animal.id], words, Link::Animal(lamb.id))
        });
    }
}

/// One of several rams: what is known of each, and what would settle it.
fn several(found: &mut Found<'_>, f: &AnimalFile) {
    found.add(DoubtKind::SeveralSires, |flock| {
        let lamb = &f.animal;
        let rams: Vec<&AnimalFile> = lamb.sire.possible().iter().filter_map(|id| flock.file(*id)).collect();
        let said = parentage(f);
        let mut out: Vec<String> = Vec::new();
        let mut left: Vec<&AnimalFile> = Vec::new();
        for r in &rams {
            let tested = (said.get(&r.animal.id) == Some(&false)).then(|| phrase!("a test says so"));
            match tested.or_else(|| excluded(f, r)) {
                Some(why) => out.push(phrase!("{} cannot be ({why})", &r.animal.tag())),
                None => left.push(r),
            }
        }
        let tags = |all: &[&AnimalFile]| {
            let tags: Vec<&str> = all.iter().map(|r| r.animal.tag()).collect();
            tags.join(" or ")
        };
        let mut words = phrase!("the sire of {} is {}", &lamb.tag(), tags(&rams));
        for why in out {
            words = format!("{words}; {why}");
        }
        if let Some(day) = lamb.born.exact() {
            for seen in evidence(flock, lamb.dam, &left, day) {
                words = format!("{words}; {seen}");
            }
        }
        let settle = match left.as_slice() {
            [] => phrase!("none of them can be: mend the sires or the tests"),
            [one] => phrase!("only {} is left: choose it as sire", &one.animal.tag()),
            many => settling(f, many),
        };
        let ids = std::iter::once(lamb.id).chain(rams.iter().map(|r| r.animal.id)).collect();
        (ids, format!("{words}. {}", capital(&settle)), Link::Animal(lamb.id))
    });
}

/// What was seen of the dam with each ram about the days she took one.
fn evidence(flock: &Flock, dam: Option<AnimalId>, rams: &[&AnimalFile], born: Day) -> Vec<String> {
    let Some(dam) = dam.and_then(|d| flock.file(d)) else { return Vec::new() };
    let (from, to) = service(born);
    let joined = fits(flock, dam, born);
    let mut all = Vec::new();
    for r in rams {
        let (id, tag) = (r.animal.id, r.animal.tag());
        let mut marks = dam.marks.iter().filter(|m| m.struck.is_none() && m.ram == Some(id));
        if let Some(m) = marks.rfind(|m| (from..=to).contains(&m.on)) {
            all.push(phrase!(
                "{tag} was seen with her, or marked her, on {}, {} days before",
                m.on.words(),
                born.since(m.on),
                tag = &tag
            ));
        } else if !joined.is_empty() && !joined.iter().any(|j| j.ram == id && j.off == 0) {
            all.push(phrase!("no joining with {tag} fits the day", tag = &tag));
        }
    }
    all
}

/// The test that would tell these rams apart.
fn settling(lamb: &AnimalFile, rams: &[&AnimalFile]) -> String {
    let tags: Vec<&str> = rams.iter().map(|r| r.animal.tag()).collect();
    let whole = phrase!("a parentage test of {} with {} settles it", &lamb.animal.tag(), tags.join(" and "));
    let genotypes: Option<Vec<Scrapie>> = rams.iter().map(|r| scrapie(r)).collect();
    let apart = genotypes.filter(|_| scrapie(lamb).is_none()).is_some_and(|g| {
        g.iter()
            .enumerate()
            .any(|(i, a)| g[i + 1..].iter().any(|b| !a.alleles().iter().any(|x| b.alleles().contains(x))))
    });
    if apart { phrase!("{whole}; a scrapie test may do, as the rams differ") } else { whole }
}

fn capital(text: &str) -> String {
    let mut chars = text.chars();
    chars.next().map(|c| c.to_uppercase().chain(chars).collect()).unwrap_or_default()
}

//! What the flock must have to show of joinings and blood.

use super::{day, made, spec};
use crate::genes::GREY_WOOL;
use crate::{Spec, names};
use hirsel_core::flock::{AnimalFile, Flock, Sire, Tested};
use hirsel_core::reckon::kinship::Kindred;
use hirsel_core::terms::{AnimalId, Day, GeneStatus, IdentityKind, MarkKind, Scanned, Status};
use std::collections::{BTreeMap, HashSet};

#[test]
fn an_autumn_and_its_blood_are_there_on_any_day() {
    for on in ["2026-04-03", "2024-02-29", "2025-12-31"] {
        let today = day(on);
        let flock = made(Spec::default(), today);
        crayons_and_marks(&flock);
        scans(&flock, today);
        tests(&flock);
        pedigrees(&flock);
        known_twice(&flock);
    }
}

/// A colour of a ram lasts 16 or 17 days; every mark shows the crayon its ram wore; some ewes came back.
fn crayons_and_marks(flock: &Flock) {
    let mut lasted: BTreeMap<i64, usize> = BTreeMap::new();
    for f in flock.files().filter(|f| !f.crayons.is_empty()) {
        for pair in f.crayons.windows(2).filter(|p| p.iter().all(|c| !c.colour.is_empty())) {
            *lasted.entry(pair[1].on.since(pair[0].on)).or_default() += 1;
        }
    }
    assert!([16, 17].iter().all(|d| lasted.get(d).is_some_and(|n| *n >= 5)), "{lasted:?}");
    let (mut crayon, mut seen, mut back) = (0, 0, 0);
    for f in flock.files() {
        for m in &f.marks {
            let ram = flock.file(m.ram.unwrap()).unwrap();
            match m.kind {
                MarkKind::Crayon => {
                    crayon += 1;
                    let worn = hirsel_core::entry::crayon_on(ram, m.on);
                    assert_eq!(worn, m.colour.as_deref(), "{} on {}", f.animal.tag(), m.on);
                }
                MarkKind::Seen => seen += 1,
            }
            let joined = |j: &hirsel_core::flock::Joining| {
                j.ram == ram.animal.id && j.from <= m.on && j.to.is_none_or(|t| t >= m.on)
            };
            assert!(f.joinings.iter().any(joined), "{} on {}: not joined", f.animal.tag(), m.on);
        }
        let crayons: Vec<Day> = f.marks.iter().filter(|m| m.kind == MarkKind::Crayon).map(|m| m.on).collect();
        back += crayons.windows(2).filter(|p| (16..=18).contains(&p[1].since(p[0]))).count();
    }
    assert!(crayon > 200 && seen > 15 && back > 30, "{crayon} marks, {seen} matings seen, {back} returns");
    let methods: HashSet<_> =
        flock.files().flat_map(|f| &f.joinings).filter_map(|j| j.method.as_deref()).collect();
    assert!(methods.contains("artificial insemination") && methods.contains("back-up ram"), "{methods:?}");
    let groups: HashSet<_> =
        flock.files().flat_map(|f| &f.joinings).filter_map(|j| j.group.as_deref()).collect();
    assert!(groups.contains("Orchard") && groups.len() >= 2, "{groups:?}");
}

/// Empty ewes did not lamb, and a count is not always what was born.
fn scans(flock: &Flock, today: Day) {
    let mut found: BTreeMap<Scanned, usize> = BTreeMap::new();
    let (mut right, mut wrong) = (0, 0);
    for f in flock.files() {
        for s in &f.scans {
            *found.entry(s.found).or_default() += 1;
            let born = f.lambings.iter().find(|l| (0..130).contains(&l.at.day.since(s.on)));
            let counted = match s.found {
                Scanned::Empty => {
                    assert!(born.is_none(), "{} was empty and lambed", f.animal.tag());
                    assert_eq!(s.age_days, None);
                    continue;
                }
                Scanned::One => 1,
                Scanned::Two => 2,
                Scanned::Three => 3,
                Scanned::InLamb => continue,
            };
            let Some(l) = born else { continue };
            *(if l.lambs.len().min(3) == counted { &mut right } else { &mut wrong }) += 1;
            if let (Some(age), true) = (s.age_days, l.at.day <= today) {
                let days = l.at.day.since(s.on.plus(-i64::from(age)));
                assert!((140..=156).contains(&days), "{}: {days} days by the scan", f.animal.tag());
            }
        }
    }
    assert!(
        [Scanned::Empty, Scanned::One, Scanned::Two, Scanned::Three].iter().all(|f| found[f] >= 3),
        "{found:?}"
    );
    assert!(wrong >= 3 && right > 10 * wrong, "{right} right, {wrong} wrong");
}

/// Genotypes go together in families, there are carriers, and two parents were asked after.
fn tests(flock: &Flock) {
    let prion = |f: &AnimalFile| {
        f.tests.iter().find_map(|t| if let Tested::Scrapie(g) = t.found { Some(g) } else { None })
    };
    let wool = |f: &AnimalFile| {
        f.tests.iter().find_map(|t| match &t.found {
            Tested::Recessive { gene, status } if gene == GREY_WOOL => Some(*status),
            _ => None,
        })
    };
    let rams: HashSet<AnimalId> = flock.files().flat_map(|f| f.joinings.iter().map(|j| j.ram)).collect();
    assert!(rams.iter().all(|r| flock.file(*r).is_some_and(|f| prion(f).is_some())), "every ram was tested");
    let known: Vec<&AnimalFile> = flock.files().filter(|f| prion(f).is_some()).collect();
    assert!(known.len() >= rams.len() + 8, "{} tested", known.len());
    assert!(known.iter().filter(|f| wool(f) == Some(GeneStatus::Carrier)).count() >= 2);
    for f in &known {
        for p in f.animal.sire.known().into_iter().chain(f.animal.blood_dam()).filter_map(|p| flock.file(p)) {
            let (Some(a), Some(b)) = (prion(f), prion(p)) else { continue };
            assert!(
                a.alleles().iter().any(|x| b.alleles().contains(x)),
                "{} and {}",
                f.animal.tag(),
                p.animal.tag()
            );
        }
    }
    let parents: Vec<(&AnimalFile, AnimalId)> = flock
        .files()
        .flat_map(|f| f.tests.iter().map(move |t| (f, t)))
        .filter_map(|(f, t)| match t.found {
            Tested::Parentage { parent, is: true } => Some((f, parent)),
            _ => None,
        })
        .collect();
    assert_eq!(parents.len(), 2, "of {:?}", parents.iter().map(|(f, _)| f.animal.tag()).collect::<Vec<_>>());
    assert!(parents.iter().all(|(f, p)| f.animal.sire == Sire::Known(*p)));
    let lambing = |f: &AnimalFile| {
        let b = f.birth.as_ref().unwrap();
        flock.file(b.ewe).unwrap().lambings.iter().find(|l| l.id == b.lambing).unwrap().ram
    };
    assert!(parents.iter().any(|(f, _)| lambing(f).is_none()), "one was of several rams");
    assert!(parents.iter().any(|(f, p)| lambing(f).is_some_and(|r| r != *p)), "one sire was put right");
}

/// Four or five generations are behind the lambs, and some of them are inbred.
fn pedigrees(flock: &Flock) {
    let kin = Kindred::of(flock);
    let home: Vec<AnimalId> = flock
        .present()
        .filter(|f| f.birth.is_some() && f.animal.sire.known().is_some())
        .map(|f| f.animal.id)
        .collect();
    let mean = |of: &dyn Fn(AnimalId) -> f64| home.iter().map(|id| of(*id)).sum::<f64>() / home.len() as f64;
    let depth = mean(&|id| kin.depth(id).unwrap_or(0.0));
    let inbred = mean(&|id| kin.inbreeding(id).unwrap_or(0.0));
    println!("{depth:.2} complete generations, mean inbreeding {inbred:.4}");
    assert!((4.0..6.5).contains(&depth), "{depth} complete generations");
    assert!((0.02..0.1).contains(&inbred), "mean inbreeding {inbred}");
    let much = home.iter().filter(|id| kin.inbreeding(**id).is_some_and(|f| f > 0.0625)).count();
    assert!(much >= 2, "{much} lambs are as inbred as those of cousins");
    let registered = |f: &&AnimalFile| f.animal.worn(IdentityKind::Registry).is_some();
    assert!(
        flock.files().filter(registered).all(|f| f.animal.prefix.is_some() && f.animal.section.is_some())
    );
    assert!(flock.files().any(|f| f.animal.prefix.as_deref() == Some(names::PREFIX)));
    let sections: HashSet<_> = flock.files().filter_map(|f| f.animal.section.as_deref()).collect();
    assert!(sections.len() >= 2, "{sections:?}");
    assert!(!flock.holding().prefix.is_empty() && !flock.holding().registry.is_empty());
}

/// One bought ewe stands twice in the book: same name, birth and parents, two tags.
fn known_twice(flock: &Flock) {
    let mut twice = 0;
    for f in flock.files().filter(|f| f.animal.status == Status::Outside && f.animal.name.is_some()) {
        let a = &f.animal;
        let same = |o: &&AnimalFile| {
            o.animal.id != a.id && o.animal.name == a.name && (o.animal.born, o.animal.dam) == (a.born, a.dam)
        };
        if let Some(other) = flock.files().find(same) {
            twice += 1;
            assert_eq!(other.animal.status, Status::Present);
            assert_eq!(f.offspring.len(), 1, "what must move when they are made one");
        }
    }
    assert_eq!(twice, 1);
}

#[test]
fn a_large_flock_is_written_up_in_its_last_season_alone() {
    let today = day("2026-04-03");
    let flock = made(spec(1_001, 2, 3), today);
    let days: HashSet<i32> = flock.files().flat_map(|f| &f.scans).map(|s| s.on.plus(60).year()).collect();
    assert_eq!(days.len(), 1);
    assert!(flock.files().flat_map(|f| &f.marks).count() > 1_000);
}

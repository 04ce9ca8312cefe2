//! What must hold of any flock.

use hirsel_core::flock::{Animal, AnimalFile, Flock, Sire};
use hirsel_core::reckon::gestation;
use hirsel_core::terms::{Day, ElectronicId, Fate, IdentityKind, Rearing, Sex, Status};
use std::collections::HashSet;

/// Every dated thing of an animal, in words.
fn events(f: &AnimalFile) -> Vec<(Day, &'static str)> {
    let mut all = Vec::new();
    all.extend(f.lambings.iter().map(|l| (l.at.day, "lambing")));
    all.extend(f.joinings.iter().map(|j| (j.from, "joining")));
    all.extend(f.joinings.iter().filter_map(|j| j.to).map(|to| (to, "end of joining")));
    all.extend(f.weighings.iter().map(|w| (w.at.day, "weighing")));
    all.extend(f.treatments.iter().map(|t| (t.at.day, "treatment")));
    all.extend(f.pen_moves.iter().map(|p| (p.on, "pen")));
    all.extend(f.movements.iter().map(|m| (m.on, "standing")));
    all.extend(f.marks.iter().map(|m| (m.on, "mark")));
    all.extend(f.scans.iter().map(|s| (s.on, "scan")));
    all.extend(f.tests.iter().map(|t| (t.on, "test")));
    all.extend(f.scores.iter().map(|s| (s.at.day, "score")));
    all.extend(f.decisions.iter().map(|d| (d.on, "decision")));
    all.extend(f.remarks.iter().map(|r| (r.on, "note")));
    all
}

/// What must hold of any flock, whatever its size.
pub(super) fn truths(flock: &Flock, today: Day) {
    let mut worn = HashSet::new();
    for f in flock.files() {
        let a = &f.animal;
        let tag = a.tag();
        for (on, what) in events(f) {
            assert!(on <= today, "{tag}: {what} on {on}, after {today}");
            if let Some(born) = a.born.exact() {
                assert!(born <= on, "{tag}: {what} on {on}, born {born}");
            }
            if matches!(a.status, Status::Dead | Status::Sold | Status::Culled | Status::Missing) {
                let gone = a.status_on.unwrap();
                assert!(on <= gone, "{tag}: {what} on {on}, {} on {gone}", a.status.words());
            }
            assert!(a.status != Status::Outside, "{tag} is outside the flock and has a {what}");
        }
        parents(flock, a);
        for i in a.identities.iter().filter(|i| i.ended.is_none()) {
            assert!(worn.insert((i.kind, i.tag.norm())), "{} is worn twice", i.tag);
            if i.kind == IdentityKind::Electronic {
                let number = ElectronicId::parse(i.tag.as_str()).unwrap();
                assert!(number.country() == 826 && !number.is_test(), "{number}");
            }
        }
        lambings(flock, f);
        weights(f);
        if a.status == Status::Present {
            assert!(a.age_days(today).is_some_and(|d| d < 11 * 365), "{tag} is very old");
        }
        if let Some(b) = &f.birth {
            assert_eq!(
                b.fate == Fate::BornDead,
                a.birth_weight.is_some()
                    && a.status_on == a.born.exact()
                    && a.status_reason.as_deref() == Some("born dead"),
                "{tag}"
            );
        }
    }
}

fn parents(flock: &Flock, a: &Animal) {
    let born = a.born.day();
    let of_age = |p: &Animal, least: i64| {
        let (Some(b), Some(pb)) = (born, p.born.exact()) else { return };
        assert!(b.since(pb) >= least, "{} bore or sired {} at {} days", p.tag(), a.tag(), b.since(pb));
        assert!(b.since(pb) < 4300, "{} was {} days old at the birth of {}", p.tag(), b.since(pb), a.tag());
    };
    if let Some(dam) = a.dam.and_then(|d| flock.animal(d)) {
        assert_eq!(dam.sex, Sex::Ewe, "{} is the dam of {}", dam.tag(), a.tag());
        of_age(dam, 330);
    }
    for sire in a.sire.possible().iter().filter_map(|s| flock.animal(*s)) {
        assert_eq!(sire.sex, Sex::Ram, "{} is a sire of {}", sire.tag(), a.tag());
        of_age(sire, 300);
        if a.birth_type.is_some() {
            // No ram is put to his own dam or daughter.
            assert!(a.dam != sire.dam || sire.dam.is_none() || a.dam.is_none(), "{}", a.tag());
            let dam = a.dam.and_then(|d| flock.animal(d)).unwrap();
            assert_ne!(dam.sire, Sire::Known(sire.id), "{} is by its dam's sire", a.tag());
            assert_ne!(sire.dam, a.dam, "{} is by its dam's son", a.tag());
        }
    }
    if let Rearing::Foster(e) = a.rearing {
        assert_eq!(flock.animal(e).unwrap().sex, Sex::Ewe);
        assert_ne!(Some(e), a.dam, "{} is fostered on its own dam", a.tag());
    }
}

fn lambings(flock: &Flock, f: &AnimalFile) {
    let tag = f.animal.tag();
    let mut before: Option<Day> = None;
    for l in &f.lambings {
        assert!((1..=4).contains(&l.lambs.len()), "{tag} bore {} lambs", l.lambs.len());
        if let Some(b) = before {
            assert!(l.at.day.since(b) > 250, "{tag} lambed twice within {} days", l.at.day.since(b));
        }
        before = Some(l.at.day);
        let fits = gestation::fits(flock, f, l.at.day);
        for lamb in l.lambs.iter().filter_map(|id| flock.animal(*id)) {
            assert_eq!(lamb.born.exact(), Some(l.at.day));
            assert_eq!(lamb.birth_type.map(|b| usize::from(b.count())), Some(l.lambs.len()));
            assert!(!lamb.sire.possible().is_empty(), "{} has no sire", lamb.tag());
            // What a test says of a sire goes before what was joined.
            if flock.file(lamb.id).is_some_and(|f| !f.tests.is_empty()) {
                continue;
            }
            for ram in lamb.sire.possible() {
                assert!(
                    fits.iter().any(|x| x.ram == *ram && x.off == 0),
                    "{tag}, {}: no joining fits",
                    l.at.day
                );
            }
            assert_eq!(l.ram, lamb.sire.known());
        }
    }
}

fn weights(f: &AnimalFile) {
    let a = &f.animal;
    if let Some(w) = a.birth_weight {
        assert!((1.5..7.5).contains(&w.kg()), "{} weighed {w} at birth", a.tag());
    }
    for w in f.weighings.iter().filter(|w| w.struck.is_none()) {
        let most = match a.age_days(w.at.day) {
            Some(d) if d < 400 && a.born.exact().is_some() => 35.0 + d as f64 * 0.25,
            _ => 115.0,
        };
        assert!((1.5..most).contains(&w.weight.kg()), "{} weighed {} on {}", a.tag(), w.weight, w.at.day);
    }
}

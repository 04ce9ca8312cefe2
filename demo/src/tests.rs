//! What the made-up flock must be: true to nature, the same for a seed, whole at any size and day.

use crate::{Spec, holding, make};
use hirsel_core::book::Book;
use hirsel_core::flock::{Animal, AnimalFile, Ended, Flock, Sire};
use hirsel_core::reckon::clearance::{Clear, clearance};
use hirsel_core::reckon::gestation;
use hirsel_core::terms::{Day, Ease, ElectronicId, Fate, IdentityKind, Rearing, Sex, Status, Withdrawal};
use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;

fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

fn spec(ewes: u32, seasons: u32, seed: u64) -> Spec {
    Spec { ewes, seasons, seed }
}

/// A flock just made, and the book's own check of it.
fn made(spec: Spec, today: Day) -> Arc<Flock> {
    let folder = tempfile::tempdir().unwrap();
    let mut book = Book::create(&folder.path().join("demo.hirsel"), holding()).unwrap();
    let mut said = 0;
    make(&mut book, &spec, today, &mut |_| said += 1).unwrap();
    assert!(said > spec.seasons as usize, "it says how far it is");
    let report = book.check(&|_| {}).unwrap();
    assert!(report.whole, "{:?}", report.lines);
    book.flock()
}

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
    all.extend(f.remarks.iter().map(|r| (r.on, "note")));
    all
}

/// What must hold of any flock, whatever its size.
fn truths(flock: &Flock, today: Day) {
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
        let fits = gestation::fits(f, l.at.day);
        for lamb in l.lambs.iter().filter_map(|id| flock.animal(*id)) {
            assert_eq!(lamb.born.exact(), Some(l.at.day));
            assert_eq!(lamb.birth_type.map(|b| usize::from(b.count())), Some(l.lambs.len()));
            assert!(!lamb.sire.possible().is_empty(), "{} has no sire", lamb.tag());
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

/// The facts of a flock in words, without ids.
fn digest(flock: &Flock) -> String {
    let tag =
        |id: Option<hirsel_core::terms::AnimalId>| id.map_or("-".into(), |id| flock.tag(id).to_string());
    let mut all: Vec<String> = flock
        .files()
        .map(|f| {
            let a = &f.animal;
            let marks: Vec<String> = a
                .identities
                .iter()
                .map(|i| format!("{}{:?}{:?}{:?}", i.tag, i.kind, i.from, i.ended))
                .collect();
            let sires: Vec<String> = a.sire.possible().iter().map(|s| tag(Some(*s))).collect();
            let rearing = match a.rearing {
                Rearing::Foster(e) => tag(Some(e)),
                other => format!("{other:?}"),
            };
            let mut lines = vec![format!(
                "{marks:?} {:?} {:?} {:?} {} {} {sires:?} {rearing} {:?} {:?} {:?} {:?} {:?} {:?}",
                a.name,
                a.sex,
                a.breed,
                a.born,
                tag(a.dam),
                a.birth_weight,
                a.colour,
                a.pen,
                a.status,
                a.status_on,
                a.status_reason
            )];
            for l in &f.lambings {
                let lambs: Vec<String> = l.lambs.iter().map(|x| tag(Some(*x))).collect();
                lines.push(format!("{:?} {} {:?} {:?} {lambs:?}", l.at, tag(l.ram), l.ease, l.help));
            }
            lines.extend(f.joinings.iter().map(|j| format!("{} {:?} {:?}", tag(Some(j.ram)), j.from, j.to)));
            lines.extend(f.weighings.iter().map(|w| format!("{:?} {}", w.at, w.weight.grams())));
            lines.extend(
                f.treatments
                    .iter()
                    .map(|t| format!("{:?} {} {:?} {:?} {:?}", t.at, t.product, t.batch, t.dose, t.struck)),
            );
            lines.extend(f.pen_moves.iter().map(|p| format!("{} {:?}", p.on, p.pen)));
            lines.extend(
                f.movements.iter().map(|m| format!("{} {:?} {:?} {:?}", m.on, m.to, m.other, m.reason)),
            );
            lines.extend(f.remarks.iter().map(|r| format!("{} {}", r.on, r.text)));
            // Equal moments are ordered by id in the book.
            lines[1..].sort();
            lines.join("\n")
        })
        .collect();
    all.sort();
    all.join("\n\n")
}

#[test]
fn the_flock_of_sixty_is_as_promised() {
    let today = day("2026-04-03");
    let flock = made(Spec::default(), today);
    truths(&flock, today);
    let here = |keep: &dyn Fn(&Animal) -> bool| flock.present().filter(|f| keep(&f.animal)).count();
    let grown = here(&|a| a.sex == Sex::Ewe && a.age_days(today).is_some_and(|d| d > 500));
    let hoggs = here(&|a| a.sex == Sex::Ewe && a.age_days(today).is_some_and(|d| (200..500).contains(&d)));
    let rams = here(&|a| a.sex == Sex::Ram && a.age_days(today).is_some_and(|d| d > 200));
    let lambs = here(&|a| a.age_days(today).is_some_and(|d| d < 60));
    assert!((50..=64).contains(&grown), "{grown} ewes");
    assert!((8..=20).contains(&hoggs), "{hoggs} hoggs");
    assert!((3..=7).contains(&rams), "{rams} rams");
    assert!((55..=110).contains(&lambs), "{lambs} lambs");

    let mut litters: BTreeMap<usize, f64> = BTreeMap::new();
    let all: Vec<_> = flock.files().flat_map(|f| &f.lambings).collect();
    for l in &all {
        *litters.entry(l.lambs.len()).or_default() += 1.0 / all.len() as f64;
    }
    for (n, share) in [(1, 0.35), (2, 0.52), (3, 0.12)] {
        assert!((litters[&n] - share).abs() < 0.08, "{litters:?}");
    }
}

#[test]
fn every_special_thing_is_there_on_any_day() {
    for on in ["2026-04-03", "2024-02-29", "2026-01-01", "2025-12-31"] {
        let today = day(on);
        let flock = made(Spec::default(), today);
        truths(&flock, today);
        tonight(&flock, today);
        families(&flock);
        comings_and_goings(&flock);
        to_notice(&flock, today);
    }
}

/// Lambs from about forty days ago to today, some in the last three days, ewes still to lamb.
fn tonight(flock: &Flock, today: Day) {
    let ages: Vec<i64> =
        flock.files().flat_map(|f| &f.lambings).map(|l| today.since(l.at.day)).filter(|d| *d < 200).collect();
    assert!(ages.iter().max().is_some_and(|d| (35..=45).contains(d)));
    assert_eq!(ages.iter().min(), Some(&0));
    assert!(ages.iter().filter(|d| **d < 3).count() >= 3);
    let coming = gestation::expected(flock, today);
    let soon = coming.iter().filter(|e| e.window.late.is_some_and(|l| l >= today)).count();
    assert!(soon >= 3, "{soon} ewes still to lamb");
    assert!(coming.iter().any(|e| e.window.early >= today && e.window.early <= today.plus(14)));
    let untagged = flock.present().filter(|f| {
        f.birth.is_some() && f.animal.tag().contains('/') && f.animal.age_days(today).is_some_and(|d| d < 3)
    });
    assert!(untagged.count() >= 1, "a lamb without a tag yet");
    assert!(flock.present().any(|f| f.animal.pen.as_deref().is_some_and(|p| p.starts_with("Jug"))));
    assert!(flock.pens().len() >= 6);
    let held = flock.present().filter(|f| clearance(f, today).is_held(today)).count();
    assert!((6..40).contains(&held), "{held} under withdrawal");
}

fn families(flock: &Flock) {
    let has = |keep: &dyn Fn(&AnimalFile) -> bool, what: &str| {
        assert!(flock.files().any(keep), "no animal with {what}");
    };
    let up = |f: &AnimalFile| -> Vec<&AnimalFile> {
        let a = &f.animal;
        a.dam.into_iter().chain(a.sire.known()).filter_map(|id| flock.file(id)).collect()
    };
    let home = |f: &AnimalFile| f.birth.is_some();
    // Home-bred to the third generation, and strangers' ancestors behind the founders.
    has(
        &|f| home(f) && up(f).iter().any(|p| home(p) && up(p).iter().any(|g| home(g))),
        "home-bred grandparents",
    );
    has(
        &|f| {
            home(f)
                && up(f).iter().any(|p| {
                    up(p).len() == 2
                        && up(p).iter().all(|g| up(g).len() == 2 && g.animal.status == Status::Outside)
                })
        },
        "three generations behind it",
    );
    has(&|f| matches!(f.animal.sire, Sire::OneOf(_)), "one of several sires");
    has(&|f| matches!(f.animal.rearing, Rearing::Foster(_)), "a foster ewe");
    has(&|f| f.animal.rearing == Rearing::Bottle, "the bottle");
    has(
        &|f| match f.animal.rearing {
            Rearing::Foster(e) => {
                f.animal.birth_type.is_some_and(|b| b.count() == 3)
                    && flock.file(e).is_some_and(|e| {
                        e.lambings.iter().any(|l| {
                            l.lambs.iter().all(|x| {
                                flock
                                    .file(*x)
                                    .is_some_and(|x| x.birth.as_ref().is_some_and(|b| b.fate != Fate::Alive))
                            })
                        })
                    })
            }
            _ => false,
        },
        "a foster ewe that lost hers, born a triplet",
    );
    has(&|f| f.animal.breed.as_ref().is_some_and(|b| b.parts().len() > 1), "breed parts");
    has(&|f| f.animal.marks.is_some(), "marks");
    has(&|f| f.birth.as_ref().is_some_and(|b| b.colostrum.is_some()), "colostrum by tube");
    has(
        &|f| f.birth.as_ref().is_some_and(|b| b.navel_dipped == Some(true) && b.sucked == Some(true)),
        "care at birth",
    );
    for kind in IdentityKind::ALL {
        has(&|f| f.animal.worn(kind).is_some() && f.animal.status == Status::Present, kind.words());
    }
    has(
        &|f| home(f) && f.animal.name.is_some() && f.animal.worn(IdentityKind::Registry).is_some(),
        "a registry name",
    );
    let rams: HashSet<_> = flock.files().flat_map(|f| f.joinings.iter().map(|j| j.ram)).collect();
    assert!(rams.len() >= 6, "{} rams over the years", rams.len());
    let joined: BTreeMap<_, usize> = flock
        .files()
        .flat_map(|f| &f.joinings)
        .filter(|j| j.method.as_deref() == Some("running with the ram"))
        .fold(BTreeMap::new(), |mut n, j| {
            *n.entry((j.from, j.ram)).or_default() += 1;
            n
        });
    assert!(joined.values().all(|n| (12..=30).contains(n)), "{joined:?}");
}

fn comings_and_goings(flock: &Flock) {
    let moved = |to: Status, other: &str| {
        flock
            .files()
            .flat_map(|f| &f.movements)
            .any(|m| m.to == to && m.other.as_deref().is_some_and(|o| o.contains(other)))
    };
    assert!(moved(Status::Sold, ",") && moved(Status::Culled, "abattoir") && moved(Status::Lent, ","));
    let bought = flock.files().flat_map(|f| &f.movements).filter(|m| m.reason.as_deref() == Some("bought"));
    assert!(bought.count() >= 4, "a ram every second season and two ewes");
    assert!(flock.files().any(|f| f.animal.status == Status::Missing));
    let reasons: HashSet<_> = flock
        .files()
        .filter(|f| f.animal.status == Status::Dead && f.birth.is_some())
        .filter_map(|f| f.animal.status_reason.clone())
        .collect();
    assert!(reasons.contains("born dead") && reasons.len() >= 5, "{reasons:?}");
    let ended = |how: Ended| {
        flock.files().any(|f| {
            f.animal.identities.iter().any(|i| i.ended == Some(how) && i.kind == IdentityKind::Flock)
                && f.animal.worn(IdentityKind::Flock).is_some()
        })
    };
    assert!(ended(Ended::Lost) && ended(Ended::Replaced));
    assert!(flock.files().map(|f| f.remarks.len()).sum::<usize>() >= 10);
}

fn to_notice(flock: &Flock, today: Day) {
    let products: HashSet<&str> =
        flock.files().flat_map(|f| &f.treatments).map(|t| t.product.as_str()).collect();
    for p in flock.products() {
        assert!(products.contains(p.name.as_str()), "{} was never given", p.name);
    }
    let given: Vec<_> = flock.files().flat_map(|f| &f.treatments).collect();
    assert!(given.iter().all(|t| t.batch.is_some() && t.given_by.is_some() && t.reason.is_some()));
    assert!(given.iter().any(|t| t.meat == Withdrawal::Unknown && today.since(t.at.day) < 7));
    assert!(
        given.iter().any(|t| t.milk == Withdrawal::Never)
            && given.iter().any(|t| matches!(t.milk, Withdrawal::Hours(_)))
    );
    assert!(given.iter().any(|t| t.struck.is_some() && today.since(t.at.day) < 7), "a treatment struck out");
    let amended = flock
        .files()
        .flat_map(|f| &f.weighings)
        .filter(|w| !flock.amendments(hirsel_core::flock::RecordRef::Weighing(w.id)).is_empty());
    assert_eq!(amended.count(), 1, "an amended weighing");
    let near = flock.files().any(|f| {
        let sold = f.animal.status_on.filter(|_| f.animal.status == Status::Sold);
        sold.is_some_and(|on| {
            matches!(clearance(f, on).meat.clear, Clear::From(d) if d > on && d.since(on) < 7)
                && today.since(on) < 14
        })
    });
    assert!(near, "sold near its clear date");
    // A lamb that weighs less at two days than at birth, and one with a figure no lamb reaches.
    let recent = |f: &AnimalFile| f.birth.is_some() && f.animal.age_days(today).is_some_and(|d| d < 60);
    let lost = flock.present().filter(|f| recent(f)).filter(|f| {
        let w = f.weights();
        w.len() > 1 && w[1].1 < w[0].1 && w[1].0.since(w[0].0) == 2
    });
    assert!(lost.count() >= 1, "a lamb losing weight after birth");
    let odd =
        flock.files().filter(|f| recent(f)).filter(|f| f.weighings.iter().any(|w| w.weight.kg() > 22.0));
    assert_eq!(odd.count(), 1, "a weighing that looks mistyped");
    let bad = flock.present().filter(|f| {
        let hard = |l: &&hirsel_core::flock::Lambing| {
            l.ease.is_some_and(|e| e >= Ease::Hard)
                && l.lambs.iter().any(|x| {
                    flock.animal(*x).is_some_and(|x| x.status_reason.as_deref() == Some("born dead"))
                })
        };
        f.lambings.iter().filter(hard).count() >= 2
    });
    assert!(bad.count() >= 1, "a ewe with two bad lambings");
}

#[test]
fn the_same_seed_makes_the_same_facts() {
    let today = day("2026-04-03");
    let one = digest(&made(spec(24, 3, 11), today));
    assert_eq!(one, digest(&made(spec(24, 3, 11), today)));
    assert_ne!(one, digest(&made(spec(24, 3, 12), today)));
}

#[test]
fn any_size_is_whole() {
    let today = day("2026-11-25");
    for (ewes, seasons) in
        [(0, 0), (1, 1), (1, 4), (2, 3), (3, 1), (3, 8), (12, 1), (12, 6), (13, 2), (35, 3), (200, 2)]
    {
        for seed in [7, 1] {
            let flock = made(spec(ewes, seasons, seed), today);
            truths(&flock, today);
            let lambs = flock.present().filter(|f| f.animal.age_days(today).is_some_and(|d| d < 50)).count();
            assert!(ewes < 3 || lambs >= 1, "{ewes} ewes, {seasons} seasons, seed {seed}: no lamb");
            let seen: HashSet<i32> =
                flock.files().flat_map(|f| &f.lambings).map(|l| l.at.day.plus(60).year()).collect();
            assert!(ewes < 3 || seen.len() >= seasons as usize, "{ewes} ewes: lambings in {seen:?}");
        }
    }
}

#[test]
fn any_day_will_do() {
    for month in 1..=12 {
        let today = Day::new(2026, month, 28).unwrap();
        truths(&made(spec(14, 2, 7), today), today);
    }
    for on in ["2024-02-29", "2028-02-29", "2026-01-01", "2025-12-31", "1999-12-31"] {
        let today = day(on);
        let flock = made(spec(14, 3, 7), today);
        truths(&flock, today);
        assert!(flock.files().flat_map(|f| &f.lambings).any(|l| today.since(l.at.day) < 3), "{on}");
    }
}

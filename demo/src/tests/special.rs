//! The things the flock of sixty must have to show, on whatever day it is made.

use super::truths::truths;
use super::{day, made};
use crate::Spec;
use hirsel_core::flock::{AnimalFile, Ended, Flock, Sire};
use hirsel_core::reckon::clearance::{Clear, clearance};
use hirsel_core::reckon::gestation;
use hirsel_core::terms::{Day, Decided, Ease, Fate, IdentityKind, Rearing, Sex, Status, Withdrawal};
use std::collections::{BTreeMap, HashSet};

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

/// Sessions with scores, decisions of past seasons, money, lambs that stand still, a tag read wrongly.
#[test]
fn the_scale_is_used_as_it_should_be() {
    let today = day("2026-04-03");
    let flock = made(Spec::default(), today);
    let book = flock.daybook();
    let mut by_group: BTreeMap<&str, usize> = BTreeMap::new();
    for s in &book.sessions {
        *by_group.entry(s.group.as_deref().unwrap_or("")).or_default() += 1;
        let weighed = flock.files().flat_map(|f| &f.weighings).filter(|w| w.session == Some(s.id));
        let days: Vec<Day> = weighed.map(|w| w.at.day).collect();
        assert!(!days.is_empty() && days.iter().all(|d| *d == s.on), "{s:?}");
    }
    assert!(by_group.len() >= 8 && by_group.values().all(|n| *n >= 4), "{by_group:?}");
    let mut scored: BTreeMap<&str, usize> = BTreeMap::new();
    let mut decided: BTreeMap<&str, usize> = BTreeMap::new();
    for f in flock.files() {
        f.scores.iter().for_each(|s| *scored.entry(s.score.kind().word()).or_default() += 1);
        f.decisions.iter().for_each(|d| *decided.entry(d.what.words()).or_default() += 1);
    }
    assert_eq!(scored.len(), 11, "{scored:?}");
    assert!(scored["condition"] > 500 && scored["bite"] > 20 && scored["lids"] > 20, "{scored:?}");
    for what in
        [Decided::Entire, Decided::Castrate, Decided::Breed, Decided::Show, Decided::Sell, Decided::Market]
    {
        assert!(decided[what.words()] >= 3, "{decided:?}");
    }
    assert!(book.money.iter().filter(|m| m.kind.is_income()).count() > 15 && book.money.len() > 60);
    // Ram lambs at three weeks and more, weighed yesterday, not all of them decided.
    let open = flock.present().filter(|f| {
        let at_three_weeks = f.animal.age_days(today).is_some_and(|d| (18..45).contains(&d));
        f.animal.sex == Sex::Ram && at_three_weeks && f.decided(today).is_none() && f.weighings.len() > 1
    });
    let n = open.count();
    assert!((4..=20).contains(&n), "{n} ram lambs to decide on");
    // A gain no lamb has, and the loss beside it.
    let gains = flock.files().flat_map(|f| f.weighings.windows(2)).filter(|w| {
        let days = w[1].at.day.since(w[0].at.day).max(1) as f64;
        days > 20.0 && days < 40.0 && (w[1].weight.kg() - w[0].weight.kg()) / days > 0.55
    });
    assert!((1..=6).contains(&gains.count()), "impossible gains");
}

/// Gain from birth to two months differs by how a lamb is reared, and follows the blood of the sire.
#[test]
fn lambs_grow_as_they_are_reared() {
    let today = day("2026-04-03");
    let flock = made(Spec { ewes: 200, seasons: 3, seed: 5 }, today);
    let mut by: BTreeMap<(usize, bool), Vec<f64>> = BTreeMap::new();
    for f in flock.files() {
        let (Some(born), Some(b)) = (f.animal.born.exact(), f.animal.birth_weight) else { continue };
        let Rearing::Dam = f.animal.rearing else { continue };
        let at = f.weighings.iter().find(|w| (55..66).contains(&w.at.day.since(born)));
        let (Some(at), Some(n)) = (at, f.animal.birth_type) else { continue };
        let gain = (at.weight.kg() - b.kg()) / at.at.day.since(born) as f64;
        by.entry((n.count().into(), f.animal.sex == Sex::Ewe)).or_default().push(gain);
    }
    let mean = |key: (usize, bool)| by[&key].iter().sum::<f64>() / by[&key].len() as f64;
    let (single, twin) = (mean((1, true)), mean((2, true)));
    assert!(single > 0.24 && twin > 0.19 && single - twin > 0.025, "{single} {twin}");
    assert!(mean((2, false)) > twin + 0.005);
    let twins = &by[&(2, true)];
    let var = twins.iter().map(|g| (g - twin).powi(2)).sum::<f64>() / twins.len() as f64;
    let cv = var.sqrt() / twin;
    assert!((0.08..0.2).contains(&cv), "{cv}");
}

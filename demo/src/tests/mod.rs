//! What the made-up flock must be: true to nature, the same for a seed, whole at any size and day.

mod blood;
mod feed;
mod special;
mod truths;

use crate::{Spec, holding, make};
use hirsel_core::book::Book;
use hirsel_core::flock::{Animal, Flock};
use hirsel_core::terms::{Day, Rearing, Sex};
use std::collections::{BTreeMap, HashSet};
use std::sync::Arc;
use truths::truths;

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
            lines.extend(
                f.joinings
                    .iter()
                    .map(|j| format!("{} {:?} {:?} {:?}", tag(Some(j.ram)), j.from, j.to, j.group)),
            );
            lines.push(format!("{:?} {:?}", a.prefix, a.section));
            lines.extend(
                f.marks.iter().map(|m| format!("{} {} {:?} {:?}", m.on, tag(m.ram), m.kind, m.colour)),
            );
            lines.extend(f.crayons.iter().map(|c| format!("{} {}", c.on, c.colour)));
            lines.extend(f.scans.iter().map(|s| format!("{} {:?} {:?}", s.on, s.found, s.age_days)));
            lines.extend(f.tests.iter().map(|t| format!("{} {} {:?}", t.on, t.found.kind(), t.number)));
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
            let of = |id: Option<hirsel_core::terms::SessionId>| {
                let held = id.and_then(|id| flock.daybook().session(id));
                held.map(|s| format!("{} {:?} {:?} {:?}", s.on, s.scale, s.group, s.gut))
            };
            lines.extend(
                f.scores.iter().map(|s| format!("{:?} {} {:?}", s.at, s.score.words(), of(s.session))),
            );
            lines.extend(f.decisions.iter().map(|d| format!("{} {:?} {:?}", d.on, d.what, d.reason)));
            lines.extend(f.remarks.iter().map(|r| format!("{} {}", r.on, r.text)));
            // Equal moments are ordered by id in the book.
            lines[1..].sort();
            lines.join("\n")
        })
        .collect();
    all.extend(
        flock.daybook().money.iter().map(|m| format!("{} {:?} {} {:?}", m.on, m.kind, m.amount, m.note)),
    );
    let room = flock.feedroom();
    all.extend(room.feeds.iter().map(|f| format!("{} {:?} {:?} {:?}", f.name, f.like, f.bag, f.price)));
    all.extend(room.moves.iter().map(|m| {
        format!(
            "{} {} {:?} {:?} {:?} {:?} {:?}",
            room.name(m.feed),
            m.on,
            m.change,
            m.amount,
            m.pen,
            m.level,
            m.batch
        )
    }));
    all.extend(room.measures.iter().map(|m| format!("{} {} {:?}", m.name, m.on, m.weighed)));
    all.extend(room.creeps.iter().map(|c| format!("{} {} {:?}", c.pen, c.from, c.holds)));
    all.extend(room.rations.iter().map(|r| format!("{:?} {} {:?} {:?}", r.eaters, r.from, r.pen, r.each)));
    all.extend(room.checks.iter().map(|k| format!("{} {} {:?} {:?}", k.pen, k.on, k.what, k.fault)));
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

//! Who eats, over any flock: the spells of a span say on each day what a look at that day says, nobody is fed who is not
//! there, and every head stands in one group.

use hirsel_core::flock::Flock;
use hirsel_core::reckon::eaters::{HeadDays, Heads, Spans, group_of, spells};
use hirsel_core::registers::present_on;
use hirsel_core::terms::{AnimalId, Eaters};
use hirsel_tests::book::{new_book, room, today};
use hirsel_tests::maker::Maker;
use std::collections::BTreeMap;

fn holds(flock: &Flock, seed: u64) {
    let (from, to) = (today().plus(-420), today().plus(60));
    let spans = Spans::of(flock);
    let spells = spells(flock, from, to);
    let counted = HeadDays::of(flock, from, to);
    // Every ninth day, the days around today, and those on which a spell begins or ends.
    let mut days: Vec<_> =
        (0..=480).filter(|n| n % 9 == 0 || (415..425).contains(n)).map(|n| from.plus(n)).collect();
    days.extend(spells.iter().flat_map(|s| [s.from, s.to]));
    days.sort_unstable();
    days.dedup();
    for on in days {
        let heads = Heads::on(flock, on);
        let mut all: BTreeMap<AnimalId, Eaters> = BTreeMap::new();
        for pen in &heads.pens {
            for (eaters, animals) in &pen.groups {
                let n = u32::try_from(animals.len()).expect("few");
                assert_eq!(
                    counted.heads(on, Some(&pen.pen), *eaters),
                    n,
                    "seed {seed}, {} {on}",
                    pen.title()
                );
                for id in animals {
                    assert!(all.insert(*id, *eaters).is_none(), "seed {seed}: twice on {on}");
                }
            }
        }
        let told: BTreeMap<AnimalId, Eaters> =
            spells.iter().filter(|s| s.from <= on && on <= s.to).map(|s| (s.animal, s.eaters)).collect();
        assert_eq!(told, all, "seed {seed}, {on}");
        for f in flock.files() {
            let found = group_of(flock, f, on, &spans);
            assert_eq!(found, all.get(&f.animal.id).copied(), "seed {seed}, {} on {on}", f.animal.tag());
            assert!(found.is_none() || present_on(f, on), "seed {seed}: fed and not there");
        }
    }
}

fn any_flock(seed: u64) -> std::sync::Arc<Flock> {
    let folder = room();
    let mut book = new_book(folder.path());
    let mut maker = Maker::new(seed, today());
    for _ in 0..120 {
        let kind = maker.kind();
        if let Some(sure) = maker.make(kind, &book.flock()) {
            book.write(sure).expect("written");
        }
    }
    book.flock()
}

#[test]
fn spells_are_as_each_of_their_days_in_any_flock() {
    let mut groups = BTreeMap::new();
    for seed in 0..5 {
        let flock = any_flock(seed);
        holds(&flock, seed);
        for (eaters, n) in Heads::on(&flock, today()).groups() {
            *groups.entry(eaters).or_insert(0) += n;
        }
    }
    assert!(groups.len() > 4, "flocks of many kinds: {groups:?}");
}

//! More evidence of a service at random.

use super::*;
use proptest::prelude::*;

fn width(h: &Hand) -> i64 {
    let w = h.of("0412", "2026-02-20").window;
    w.late.map_or(i64::MAX, |l| l.since(w.early))
}

/// What is written of one service, each of a day that can be true of it.
#[derive(Debug, Clone)]
enum More {
    Left,
    Mark { named: bool },
    Seen { named: bool },
    Scan { off: i64 },
    Look { before: i64 },
    Crayon { before: i64, colour: bool },
}

fn more() -> impl Strategy<Value = More> {
    prop_oneof![
        Just(More::Left),
        any::<bool>().prop_map(|named| More::Mark { named }),
        any::<bool>().prop_map(|named| More::Seen { named }),
        (-4..=4_i64).prop_map(|off| More::Scan { off }),
        (0..12_i64).prop_map(|before| More::Look { before }),
        (0..12_i64, any::<bool>()).prop_map(|(before, colour)| More::Crayon { before, colour }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    /// What is written of one and the same service and its one mark only ever narrows the days on which she may lamb, and they hold
    /// the day 147 days after it.
    #[test]
    fn more_evidence_never_makes_the_window_wider(
        served in 0..40_i64, after in 0..5_i64, all in proptest::collection::vec(more(), 1..9),
    ) {
        let start = day("2025-10-20");
        let on = start.plus(served);
        let at = |d: Day| d.to_string();
        let mut h = Hand::new();
        h.ewe("0413");
        h.joined("0412", "R1", "2025-10-20", None);
        h.joined("0413", "R1", "2025-10-20", None);
        let mut before = width(&h);
        for step in all {
            match step {
                More::Left => h.change("0412", |f| f.joinings[0].to = Some(start.plus(45))),
                More::Mark { named } => {
                    h.mark("0412", named.then_some("R1"), &at(on.plus(after)), MarkKind::Crayon, Some("red"));
                }
                More::Seen { named } => h.mark("0412", named.then_some("R1"), &at(on), MarkKind::Seen, None),
                More::Scan { off } => {
                    let age = u16::try_from(80 + off).unwrap();
                    h.scan("0412", &at(on.plus(80)), Scanned::One, Some(age));
                }
                More::Look { before } => h.mark("0413", None, &at(on.plus(-before)), MarkKind::Crayon, None),
                More::Crayon { before, colour } => {
                    h.crayon("R1", &at(on.plus(-before)), if colour { "red" } else { "red " });
                }
            }
            let now = width(&h);
            let p = h.of("0412", "2026-02-20");
            prop_assert!(now <= before, "{now} after {before}: {:?}", p.service);
            let usual = on.plus(usual());
            prop_assert!(p.window.early <= usual, "{:?}", p);
            prop_assert!(p.window.late.is_none_or(|l| l >= usual), "{:?}", p);
            before = now;
        }
    }
}

/// What is written next of one of the ewes, or of a ram.
#[derive(Debug, Clone)]
enum Write {
    Joined { ewe: usize, ram: usize, on: i64, hand: bool },
    Mark { ewe: usize, ram: Option<usize>, on: i64, seen: bool },
    Crayon { ram: usize, on: i64, red: bool },
    Lambed { ewe: usize, on: i64 },
    Away { ewe: usize },
    Own { days: i64 },
}

fn write() -> impl Strategy<Value = Write> {
    let (ewe, ram, on) = (0..300_usize, 0..2_usize, 0..400_i64);
    prop_oneof![
        (ewe.clone(), ram.clone(), on.clone(), any::<bool>())
            .prop_map(|(ewe, ram, on, hand)| Write::Joined { ewe, ram, on, hand }),
        (ewe.clone(), proptest::option::of(ram.clone()), on.clone(), any::<bool>())
            .prop_map(|(ewe, ram, on, seen)| Write::Mark { ewe, ram, on, seen }),
        (ram, on.clone(), any::<bool>()).prop_map(|(ram, on, red)| Write::Crayon { ram, on, red }),
        (ewe.clone(), on).prop_map(|(ewe, on)| Write::Lambed { ewe, on: on + 140 }),
        ewe.prop_map(|ewe| Write::Away { ewe }),
        (140..150_i64).prop_map(|days| Write::Own { days }),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 30, ..ProptestConfig::default() })]

    /// What is taken over from the version before is what would be reckoned from nothing.
    #[test]
    fn what_is_known_is_kept_up_with_the_writes(all in proptest::collection::vec(write(), 1..40)) {
        let start = day("2024-10-20");
        let at = |on: i64| start.plus(on).to_string();
        let mut h = Hand::new();
        let tag = |n: usize| format!("E{n}");
        (0..300).for_each(|n| h.ewe(&tag(n)));
        // Served on a known day, so that there is something to learn from.
        for n in (0..300).step_by(9) {
            h.joined(&tag(n), "R1", &at(0), Some(&at(0)));
            h.lambed(&tag(n), &at(140 + (n % 12) as i64));
        }
        for step in all {
            let there = |h: &Hand, n: usize| h.flock.by_tag(&tag(n)).is_some();
            let ram = |n: usize| ["R1", "R2"][n];
            match step {
                Write::Joined { ewe, ram: r, on, hand } if there(&h, ewe) => {
                    let to = at(on + if hand { 0 } else { 40 });
                    h.joined(&tag(ewe), ram(r), &at(on), Some(&to));
                }
                Write::Mark { ewe, ram: r, on, seen } if there(&h, ewe) => {
                    let kind = if seen { MarkKind::Seen } else { MarkKind::Crayon };
                    h.mark(&tag(ewe), r.map(ram), &at(on), kind, Some("red"));
                }
                Write::Crayon { ram: r, on, red } => h.crayon(ram(r), &at(on), if red { "red" } else { "blue" }),
                Write::Lambed { ewe, on } if there(&h, ewe) => h.lambed(&tag(ewe), &at(on)),
                Write::Away { ewe } if there(&h, ewe) => {
                    let id = h.id(&tag(ewe));
                    h.flock.remove(id);
                }
                Write::Own { days } => {
                    let holding = Holding { gestation: format!("Fellside {days}"), ..Holding::default() };
                    h.flock.set_holding(holding);
                }
                _ => continue,
            }
            let mut anew = Flock::default();
            anew.set_holding(h.flock.holding().clone());
            h.flock.files().cloned().for_each(|f| anew.put(f));
            let (kept, fresh) = (known(&h.flock), known(&anew));
            prop_assert_eq!(&kept.lengths, &fresh.lengths);
            prop_assert_eq!(&*kept.looks, &*fresh.looks);
        }
    }
}

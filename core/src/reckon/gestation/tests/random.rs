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

//! Tests.

use super::*;
use crate::papers::{carry_on, check, fixture};
use crate::registers::{RegisterKind, Span};

#[test]
fn every_register_keeps_within_the_margins_and_loses_no_letter() {
    let (flock, _, _) = fixture::lambing_shed();
    let today = fixture::day("2026-04-20");
    for kind in RegisterKind::ALL {
        let made = kind.make(&flock, Span::default(), today);
        for sheet in SheetSize::ALL {
            let paper = register(flock.holding(), &made, sheet, today, &carry_on).unwrap();
            check::assert_inside(&paper, 8.0);
            check::picture(kind.word(), &paper);
            let letters = check::letters(&paper);
            for row in &made.rows {
                for (_, v) in made.columns.iter().zip(&row.cells).filter(|(c, _)| c.is_shown()) {
                    for word in v.shown.split([' ', '\n', '\u{a0}']) {
                        assert!(letters.contains(&check::bare(word)), "{kind:?}: {word}");
                    }
                }
            }
        }
    }
}

#[test]
fn widths_fill_the_room_and_keep_the_longest_word() {
    let widths = spread(&[(1.0, 20.0, 60.0), (1.0, 10.0, 200.0), (2.0, 10.0, 12.0)], 150.0);
    assert!((widths.iter().sum::<f32>() - 150.0).abs() < 0.1, "{widths:?}");
    assert!(widths[0] >= 20.0 && widths[2] <= 12.01, "{widths:?}");
}

/// However many rows there are, no page holds the notes alone.
#[test]
fn the_last_page_holds_a_row() {
    let today = fixture::day("2026-04-20");
    let mut file = fixture::animal("0116", "", crate::terms::Sex::Ewe);
    for n in 1..60 {
        let mut t = fixture::treatment(
            file.animal.id,
            "drench",
            crate::terms::Moment::day(fixture::day("2026-02-01")),
            crate::terms::Withdrawal::Days(14),
            crate::terms::Withdrawal::Days(7),
        );
        t.more.off_label = Some("double dose".into());
        file.treatments.push(t);
        let mut flock = crate::flock::Flock::default();
        flock.put(file.clone());
        let made = RegisterKind::OffLabel.make(&flock, Span::default(), today);
        let paper = register(flock.holding(), &made, SheetSize::A4, today, &carry_on).unwrap();
        let last = paper.pages.last().unwrap();
        assert!(last.words().any(|w| w == "0116"), "{n} rows: {:?}", last.words().collect::<Vec<_>>());
        assert!(
            check::letters(&paper).contains("labelandlocallaw")
                || check::letters(&paper).contains("locallawdecide")
        );
    }
}

//! Notes of marks, matings, crayons and scans.

use super::random::{FLOCK, text, when};
use super::*;
use crate::entry::{MarkDraft, ScanDraft};
use proptest::prelude::*;

#[test]
fn the_sire_is_the_one_that_was_joined() {
    let mut flock = flock();
    let mut ewe = flock.file(id(&flock, "0398")).unwrap().clone();
    ewe.joinings.push(crate::flock::Joining {
        id: JoiningId::new(),
        ewe: ewe.animal.id,
        ram: id(&flock, "R7"),
        from: day("2025-10-24"),
        to: None,
        method: None,
        group: None,
        struck: None,
    });
    flock.put(ewe);
    let words = Words::of(&flock, day(TODAY));
    let sire = |line: &str| match read(line, &flock, &words, day(TODAY)).pieces[0].readings[0].draft.clone() {
        Some(Draft::Lambing(d)) => d.sire,
        other => panic!("{other:?}"),
    };
    assert_eq!(sire("0398 single: ewe"), Sire::Known(id(&flock, "R7")));
    assert_eq!(sire("0398 single, sire not known: ewe"), Sire::Unknown);
    assert_eq!(sire("0398 single by R7 or R8: ewe"), Sire::OneOf(vec![id(&flock, "R7"), id(&flock, "R8")]));
}

#[test]
fn marks_crayons_and_scans_as_a_keeper_writes_them() {
    let all = [
        ("0398 marked by R7; 0391 marked blue", "0398 marked by R7|0391 marked blue"),
        ("yesterday 0398, 0391 marked red (faint)", "0398 and 0391 marked red (faint) on 19 Mar 2026"),
        ("0398 mating seen", "0398 served"),
        ("on 12 mar R7 and R8 crayon yellow", "R7 and R8 crayon yellow on 12 Mar 2026"),
        ("R7 crayon teal", "R7 crayon \"teal\""),
        ("R7 raddle off", "R7 crayon off"),
        (
            "0398 scanned twins, 0391 scanned 1, 0377 scanned barren",
            "0398 scanned twins|0391 scanned single|0377 scanned empty",
        ),
        ("0398 scanned 4 at 52 days", "0398 scanned triplets, 52 days"),
        ("0398 scanned in lamb", "0398 scanned in lamb"),
        ("0398 marked on the ear with a notch", "0398 note \"marked on the ear with a notch\""),
        // A crayon is of a ram, a mark of a ewe.
        ("R7 marked red", "R7 note \"marked red\""),
        // Never joined, she is back in the flock.
        ("0398 returned", "0398 back in the flock"),
    ];
    for (note, means_) in all {
        assert_eq!(means(note).join("|"), means_, "{note}");
    }
    let two = understood("0398 marked by R7 or R8");
    assert!(two.pieces[0].readings[0].doubts[0].says.contains("which of the rams"));
}

#[test]
fn a_ewe_of_this_season_that_returned_is_marked_again() {
    let mut flock = flock();
    let (ewe, ram) = (id(&flock, "0398"), id(&flock, "R7"));
    let mut file = flock.file(ewe).unwrap().clone();
    file.joinings.push(crate::flock::Joining {
        id: JoiningId::new(),
        ewe,
        ram,
        from: day("2026-03-01"),
        to: None,
        method: None,
        group: None,
        struck: None,
    });
    flock.put(file);
    let words = Words::of(&flock, day(TODAY));
    let said = |line: &str| read(line, &flock, &words, day(TODAY)).pieces[0].readings[0].sentence.clone();
    assert_eq!(said("0398 returned"), "0398 marked");
    assert_eq!(said("0398 came back to the ram, lame"), "0398 marked");
    assert_eq!(said("0398 returned green by R7"), "0398 marked green by R7");
    assert_eq!(said("0391 returned"), "0391 back in the flock");
    // 'Scanned' without a finding ticks the job it was.
    assert_eq!(said("0398 scanned"), "0398 scanned");
}

/// Marks, crayons, scans and joinings.
pub(super) fn mating() -> impl Strategy<Value = Draft> {
    let colour = prop_oneof![Just("red".to_string()), Just("green".to_string()), text()];
    let ewes = proptest::sample::subsequence(vec!["0398", "0391", "0377"], 1..3);
    let said = (proptest::option::of(colour), proptest::option::of(text()));
    (0..4_usize, ewes, when(), said, 0..5_usize, proptest::option::of(1..150_u16)).prop_map(
        |(kind, tags, at, (colour, note), found, age)| {
            let on = at.day;
            let (ewes, r7, r8) =
                FLOCK.with(|f| (tags.iter().map(|t| id(f, t)).collect::<Vec<_>>(), id(f, "R7"), id(f, "R8")));
            let found = Scanned::ALL[found];
            let age_days = age.filter(|_| found != Scanned::Empty);
            match kind {
                0 => {
                    let kind = if age.is_some() { MarkKind::Crayon } else { MarkKind::Seen };
                    let colour = colour.filter(|_| kind == MarkKind::Crayon);
                    let ram = age_days.map(|_| r7);
                    let of = |ewe| {
                        let (colour, note) = (colour.clone(), note.clone());
                        MarkDraft { ewe, ram, on, kind, colour, note }
                    };
                    Draft::Marks(ewes.into_iter().map(of).collect())
                }
                1 => {
                    let colour = colour.unwrap_or_default();
                    let of = |ram| CrayonDraft { ram, on, colour: colour.clone() };
                    Draft::Crayons([r7, r8].into_iter().map(of).collect())
                }
                2 => {
                    let of = |ewe| ScanDraft { ewe, on, found, age_days, note: note.clone() };
                    Draft::Scans(ewes.into_iter().map(of).collect())
                }
                _ => {
                    let (method, group) = (colour, note);
                    Draft::Joining(JoiningDraft { ram: r7, ewes, from: on, to: None, method, group })
                }
            }
        },
    )
}

/// The same note in the words of several regions.
#[test]
fn words_of_any_region_are_understood() {
    for (notes, want) in [
        (
            &[
                "0398 joined with R7",
                "0398 tupped with R7",
                "0398 bred to R7",
                "0398 put to the tup R7",
                "0398 put to R7",
            ][..],
            "0398 joined with R7",
        ),
        (
            &["0398 served by R7", "0398 tupped by R7", "0398 bred by R7", "0398 mated by R7"],
            "0398 served by R7",
        ),
        (&["R7 crayon blue", "R7 raddle blue", "R7 keel blue"], "R7 crayon blue"),
        (
            &["0398 scanned empty", "0398 scanned barren", "0398 scanned geld", "0398 scanned yeld"],
            "0398 scanned empty",
        ),
        (
            &[
                "0398 twins: ram 4.3, ewe 3.9",
                "0398 twins: tup 4.3, gimmer 3.9",
                "0398 twins: tup lamb 4.3, gimmer lamb 3.9",
                "0398 twins: ram lamb 4.3, chilver 3.9",
                "0398 twins: tup 4.3, theave 3.9",
            ],
            "0398 lambed: ram 4.3 kg, ewe 3.9 kg",
        ),
        (&["0398 to pen 5", "0398 to jug 5", "0398 into lambing pen 5"], "0398 to pen \"Pen 5\""),
        (&["lambs in pen 3 to pen 5", "hoggs in pen 3 to pen 5"], "0412/26-1 and 0412/26-2 to pen \"Pen 5\""),
    ] {
        let first = means(notes[0]);
        for note in notes {
            assert_eq!(means(note), first, "{note}");
        }
        if !want.contains("pen") {
            assert_eq!(first.join("|"), want);
        }
    }
}

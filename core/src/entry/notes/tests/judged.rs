//! Notes of scores and decisions.

use super::random::{FLOCK, text, when};
use super::*;
use crate::entry::{DecisionDraft, ScoringDraft};
use proptest::prelude::*;

#[test]
fn scores_and_decisions_as_a_keeper_writes_them() {
    let all = [
        ("0412 score 2.5", "0412 condition 2.5"),
        ("0412 condition score 2½", "0412 condition 2.5"),
        ("0412 eyelid 3 dag 2", "0412 eyelid 3 dag 2"),
        ("0412 eyelid 3, dag 2", "0412 eyelid 3|0412 dag 2"),
        (
            "0398 udder 4 hard and hot on the left, lame",
            "0398 udder 4 (hard and hot on the left)|0398 note \"lame\"",
        ),
        ("0398 61.5 kg condition 3", "weighed 0398 61.5 kg|0398 condition 3"),
        ("all lambs in pen 3 dag 2", "0412/26-1 and 0412/26-2 dag 2"),
        ("0398 udder 2 and to pen 5", "0398 udder 2|0398 to Pen 5"),
        ("0412a keep entire", "0412/26-1 keep entire"),
        ("0412a castrate (slow)", "0412/26-1 castrate (slow)"),
        ("yesterday 0398 cull for a bad udder", "0398 cull (a bad udder) on 19 Mar 2026"),
        ("0391, 0377 stays another year", "0391 and 0377 stays another year"),
        ("0398 for the market", "0398 for the market"),
        // Done, not decided.
        ("0412a castrated", "0412/26-1 castrated"),
        ("0412a castrate done", "0412/26-1 castrated"),
        ("0412a castrate left out (to be kept)", "0412/26-1 castrated left out (to be kept)"),
        ("0398 culled", "0398 culled"),
        // No score without a figure on its scale.
        ("0398 udder hard", "0398 note \"udder hard\""),
        ("0398 teeth worn 3 of them", "0398 note \"teeth worn 3 of them\""),
    ];
    for (note, means_) in all {
        assert_eq!(means(note).join("|"), means_, "{note}");
    }
    // Told, lest it pass for a weight or a note.
    for note in ["0398 condition 7", "0398 udder 2.5"] {
        let piece = understood(note).pieces.remove(0);
        assert!(piece.readings[0].draft.is_none(), "{note}");
        assert!(piece.readings[0].doubts[0].says.contains("is not a score of"), "{note}");
    }
    let heavy = understood("0398 999 kg").pieces.remove(0);
    assert!(heavy.readings[0].draft.is_none() && heavy.readings[0].doubts[0].says.contains("999 kg"));
    let flock = flock();
    let checked = |note: &str| {
        let words = Words::of(&flock, day(TODAY));
        let draft = read(note, &flock, &words, day(TODAY)).pieces[0].readings[0].draft.clone().unwrap();
        draft.check(&flock, day(TODAY)).map(|c| c.sentence().to_string()).map_err(|e| e[0].to_string())
    };
    assert_eq!(checked("0412 score 2.5"), Ok("0412 scored: condition 2.5".into()));
    assert_eq!(checked("0412a castrate"), Ok("Decided on 0412/26-1: castrate".into()));
    assert!(checked("0398 castrate").unwrap_err().contains("0398 is a ewe"));
}

/// A long row of scores is read in no time.
#[test]
fn a_long_row_is_read_at_once() {
    let line = format!("0412 {}", "dag 2 slightly soiled ".repeat(80));
    assert_eq!(understood(&line).pieces.len(), 1);
}

/// Scores and decisions.
pub(super) fn judged() -> impl Strategy<Value = Draft> {
    let tags = proptest::sample::subsequence(vec!["0398", "0391", "0377", "0412/26-1"], 1..4);
    let said = proptest::collection::vec((0..12_usize, 1..=5_u8, proptest::option::of(text())), 1..4);
    (any::<bool>(), tags, when(), said, 0..9_usize).prop_map(|(scored, tags, at, said, what)| {
        let animals = FLOCK.with(|f| tags.iter().map(|t| id(f, t)).collect::<Vec<_>>());
        if scored {
            let of = |animal: AnimalId| {
                let one = |(kind, points, note): &(usize, u8, Option<String>)| ScoringDraft {
                    animal,
                    at,
                    score: Score::new(ScoreKind::ALL[*kind], points * 4).unwrap(),
                    note: note.clone(),
                };
                said.iter().map(one).collect::<Vec<_>>()
            };
            Draft::Scorings(animals.into_iter().flat_map(of).collect())
        } else {
            let reason = said.into_iter().find_map(|(_, _, note)| note);
            let of = |animal| DecisionDraft {
                animal,
                on: at.day,
                what: Decided::ALL[what],
                reason: reason.clone(),
            };
            Draft::Decisions(animals.into_iter().map(of).collect())
        }
    })
}

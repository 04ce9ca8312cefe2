use super::*;
use crate::flock::{Decision, Holding, Scoring, Weighing};
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, letters, picture};
use crate::papers::fixture::{animal, day, lambs};
use crate::terms::*;

/// Twelve ewes with twins of early April; weights, scores, a fault, two decisions.
pub(in crate::papers) fn season() -> Flock {
    let mut ram = animal("R17", "Thornfell Duke", Sex::Ram);
    ram.animal.born = Born::On(day("2022-04-02"));
    let mut flock = Flock::default();
    for i in 0..12_i64 {
        let name = if i % 3 == 0 { "Gwenllian fach y Bwthyn" } else { "" };
        let mut ewe = animal(&format!("{:04}", 401 + i), name, Sex::Ewe);
        ewe.animal.born = Born::On(day("2015-04-02").plus(200 * i));
        let born = day("2026-04-01").plus(i % 6);
        let tags = [format!("{:04}", 601 + 2 * i), format!("{:04}", 602 + 2 * i)];
        let two = [(tags[0].as_str(), Sex::Ram, 4_200 + 60 * i), (tags[1].as_str(), Sex::Ewe, 4_000)];
        let mut both = lambs(&mut ewe, Some(ram.animal.id), Moment::day(born), &two);
        let score = |f: &mut crate::flock::AnimalFile, kind, points: u8, note: Option<&str>| {
            f.scores.push(Scoring {
                id: ScoringId::new(),
                animal: f.animal.id,
                at: Moment::day(born.plus(2)),
                score: Score::new(kind, points * 4).unwrap(),
                session: None,
                note: note.map(Into::into),
                struck: None,
            });
        };
        score(&mut ewe, ScoreKind::Udder, if i == 4 { 4 } else { 1 }, None);
        for (n, f) in both.iter_mut().enumerate() {
            if i != 7 {
                f.weighings.push(Weighing {
                    id: WeighingId::new(),
                    animal: f.animal.id,
                    at: Moment::day(day("2026-04-28")),
                    weight: Weight::from_grams(10_200 + 420 * ((i * 5) % 12) + 300 * n as i64).unwrap(),
                    session: None,
                    note: None,
                    struck: None,
                });
            }
            score(
                f,
                ScoreKind::Bite,
                if i == 2 { 4 } else { 1 + (i % 2) as u8 },
                (i == 2).then_some("well overshot"),
            );
            score(f, ScoreKind::Type, 1 + (i % 3) as u8, None);
        }
        if i < 2 {
            let what = if i == 0 { Decided::Entire } else { Decided::Castrate };
            let animal = both[0].animal.id;
            let on = day("2026-04-29");
            both[0].decisions.push(Decision {
                id: DecisionId::new(),
                animal,
                on,
                what,
                reason: None,
                struck: None,
            });
        }
        flock.put(ewe);
        both.into_iter().for_each(|f| flock.put(f));
    }
    flock.put(ram);
    flock.set_holding(Holding {
        flock: "Thornfell Heritage".into(),
        keeper: "Eirlys Pugh".into(),
        number: "55/123/4567".into(),
        rules: "gb".into(),
        ..Holding::default()
    });
    flock
}

#[test]
fn every_lamb_stands_on_the_sheet_with_its_line_and_boxes() {
    let (flock, today) = (season(), day("2026-04-30"));
    for sheet in SheetSize::ALL {
        let paper = keep_sheet(&flock, None, today, sheet, &carry_on).unwrap();
        picture(&format!("keep-sheet-{}", sheet.word()), &paper);
        assert_inside(&paper, 8.0);
        assert_same_bytes(&paper);
        let words: Vec<&str> = paper.words().collect();
        for n in 601..625 {
            let tag = format!("{n:04}");
            assert_eq!(words.iter().filter(|w| **w == tag).count(), 1, "{tag}");
        }
        let all = letters(&paper);
        for said in [
            "Theline:the1proposedaboveit",
            "wellovershot",
            "never",
            "Keepentire",
            "notweighed",
            "decidelater",
            "rubberringuntilday7afterbirth",
            "Label,vetandlocallawdecide",
            "Value:breedingvalueof",
        ] {
            assert!(all.contains(said), "{said} in {all}");
        }
    }
}

#[test]
fn without_lambs_there_is_no_sheet() {
    let none = keep_sheet(&Flock::default(), None, day("2026-04-30"), SheetSize::A4, &carry_on);
    assert!(matches!(none, Err(PaperFailed::Nothing { .. })));
    let none = keep_sheet(&season(), Some(2019), day("2026-04-30"), SheetSize::A4, &carry_on);
    assert!(matches!(none, Err(PaperFailed::Nothing { .. })));
    let stopped = keep_sheet(&season(), None, day("2026-04-30"), SheetSize::A4, &|_, _| false);
    assert!(matches!(stopped, Err(PaperFailed::Stopped)));
}

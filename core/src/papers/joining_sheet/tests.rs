use super::*;
use crate::flock::{Crayon, Holding, Joining, MatingMark, Sire};
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, letters, picture};
use crate::papers::fixture::{animal, day};
use crate::terms::{Born, CrayonId, JoiningId, MarkId, MarkKind, Sex};

/// Two groups: 40 ewes with R17, half sibs of his among them, and 3 with R17 and R9 in turn.
pub(in crate::papers) fn joined(today: Day) -> (Flock, Vec<String>) {
    let mut duke = animal("R17", "Thornfell Duke", Sex::Ram);
    let old = animal("R3", "Old Sorrel", Sex::Ram);
    duke.animal.sire = Sire::Known(old.animal.id);
    duke.crayons.push(Crayon {
        id: CrayonId::new(),
        ram: duke.animal.id,
        on: today.plus(-12),
        colour: "yellow".into(),
        struck: None,
    });
    let nine = animal("R9", "", Sex::Ram);
    let mut flock = Flock::default();
    let mut tags = Vec::new();
    for i in 0..43u32 {
        let tag = format!("{:04}", 400 + i);
        let mut ewe = animal(&tag, if i % 3 == 0 { "Gwenllian fach y Bwthyn" } else { "Bramble" }, Sex::Ewe);
        ewe.animal.born = Born::On(day("2022-04-02"));
        if i % 4 == 0 {
            ewe.animal.sire = Sire::Known(old.animal.id);
        }
        if i % 5 == 0 {
            ewe.animal.pen = Some("Top shed".into());
        }
        let mut join = |ram: AnimalId, from: i64, to: Option<i64>, group: &str| {
            ewe.joinings.push(Joining {
                id: JoiningId::new(),
                ewe: ewe.animal.id,
                ram,
                from: today.plus(from),
                to: to.map(|t| today.plus(t)),
                method: None,
                group: Some(group.into()),
                struck: None,
            });
        };
        if i < 40 {
            join(duke.animal.id, -20, None, "Bottom field");
        } else {
            join(duke.animal.id, -40, Some(-15), "Bank");
            join(nine.animal.id, -18, None, "Bank");
        }
        if i % 2 == 0 {
            ewe.marks.push(MatingMark {
                id: MarkId::new(),
                ewe: ewe.animal.id,
                ram: None,
                on: today.plus(-9),
                kind: MarkKind::Crayon,
                colour: Some("yellow".into()),
                note: None,
                struck: None,
            });
        }
        flock.put(ewe);
        tags.push(tag);
    }
    for f in [duke, old, nine] {
        flock.put(f);
    }
    flock.set_holding(Holding { flock: "Thornfell Heritage".into(), ..Holding::default() });
    (flock, tags)
}

#[test]
fn every_ewe_stands_on_the_sheet_with_what_her_lambs_would_be() {
    let today = day("2026-11-26");
    let (flock, tags) = joined(today);
    for sheet in SheetSize::ALL {
        let options = JoiningSheetOptions { sheet, span: Span::default() };
        let paper = joining_sheet(&flock, None, today, &options, &carry_on).unwrap();
        picture(&format!("joining-sheet-{}", sheet.word()), &paper);
        assert_inside(&paper, 8.0);
        assert_same_bytes(&paper);
        let words: Vec<&str> = paper.words().collect();
        for tag in &tags {
            assert_eq!(words.iter().filter(|w| *w == tag).count(), 1, "{tag}");
        }
        let all = letters(&paper);
        for said in [
            "Bottomfield",
            "RamR17ThornfellDuke,with40ewessince6Nov2026.",
            "Crayonyellowsince14Nov;thenextcolourisdueon1Dec.",
            "R17andR9arebothwith0440,0441,0442from8Nov2026to11Nov2026",
            "17Novyellow",
            "12.5%",
            "Th26",
        ] {
            assert!(all.contains(said), "{said} in {all}");
        }
    }
}

#[test]
fn groups_are_chosen_by_animal_and_by_days() {
    let today = day("2026-11-26");
    let (flock, tags) = joined(today);
    let made = |animals: Option<&[AnimalId]>, from: Option<&str>, to: Option<&str>| {
        let span = Span { from: from.map(day), to: to.map(day) };
        joining_sheet(&flock, animals, today, &JoiningSheetOptions { sheet: SheetSize::A4, span }, &carry_on)
    };
    let one = flock.by_tag("0441").unwrap();
    let all = letters(&made(Some(&[one]), None, None).unwrap());
    assert!(all.contains("0442") && !all.contains("Bottomfield"), "her whole group, and no other");
    // Before the first ram went in there was no group.
    assert!(matches!(made(None, None, Some("2026-10-01")), Err(PaperFailed::Nothing { .. })));
    let all = letters(&made(None, None, Some("2026-10-20")).unwrap());
    assert!(!all.contains(tags[0].as_str()) && all.contains("0440"));
}

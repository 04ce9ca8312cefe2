use super::*;
use crate::flock::Holding;
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, bare, letters, picture};
use crate::papers::fixture::{self, day, lambing_shed};
use crate::reckon::due::{self, Board};
use crate::terms::{Moment, Sex};
use proptest::prelude::*;

fn made(flock: &Flock, on: &str, sheet: SheetSize) -> Paper {
    let on = day(on);
    let jobs = due::sheet(flock, &Board::new(flock, on), on);
    barn_sheet(flock, &jobs, on, on.plus(-1), &BarnSheetOptions { sheet, creeps: true }, &carry_on).unwrap()
}

#[test]
fn the_sheet_on_both_papers() {
    let (mut flock, ..) = lambing_shed();
    flock.set_holding(Holding { rules: "gb".into(), ..flock.holding().clone() });
    for sheet in SheetSize::ALL {
        let paper = made(&flock, "2026-04-16", sheet);
        picture(&format!("barn-sheet-{}", sheet.word()), &paper);
        assert_inside(&paper, 8.0);
        assert_same_bytes(&paper);
        let words = letters(&paper);
        for said in [
            "BarnsheetforThursday16April2026",
            "ThornfellHeritage",
            "0412",
            "ewelamb,2days",
            "born14Apr",
            "Tickwhendone",
            "Remarks",
            "overduesince",
            "Lowerbyre,endbythedoor,4animals",
            "Tobewareof",
            "Label,vetandlocallawdecide.",
            "meatclear",
            "weakatfirst,keepaneye",
        ] {
            assert!(words.contains(said), "{said} in {words}");
        }
    }
}

#[test]
fn every_job_has_its_box_and_every_row_its_number() {
    use crate::papers::sheet::Mark;
    let (flock, ..) = lambing_shed();
    let on = day("2026-04-16");
    let jobs = due::sheet(&flock, &Board::new(&flock, on), on);
    let paper = made(&flock, "2026-04-16", SheetSize::A4);
    let boxes = paper
        .pages
        .iter()
        .flat_map(|p| &p.marks)
        .filter(|m| matches!(m, Mark::Box { w_mm, h_mm, fill: None, .. } if (w_mm - h_mm).abs() < 0.01));
    assert_eq!(boxes.count(), jobs.rows().map(|r| r.jobs.len()).sum::<usize>());
    let words: Vec<&str> = paper.words().collect();
    for row in jobs.rows() {
        assert!(words.contains(&row.no.to_string().as_str()), "{}", row.no);
    }
}

#[test]
fn a_pen_that_runs_on_says_so_on_every_page() {
    let mut flock = Flock::default();
    for i in 0..60 {
        let mut ewe = fixture::animal(&format!("{i:03}"), "", Sex::Ewe);
        ewe.animal.pen = Some("Long shed".into());
        let tag = format!("L{i:03}");
        for lamb in
            fixture::lambs(&mut ewe, None, Moment::day(day("2026-04-14")), &[(tag.as_str(), Sex::Ram, 4_500)])
        {
            flock.put(lamb);
        }
        flock.put(ewe);
    }
    let paper = made(&flock, "2026-04-15", SheetSize::A4);
    assert!(paper.pages.len() > 3);
    assert_inside(&paper, 8.0);
    let words: Vec<&str> = paper.words().collect();
    let count = |w: &str| words.iter().filter(|x| **x == w).count();
    let continued = count("Long shed, 120 animals (continued)");
    assert!(continued >= paper.pages.len() - 2, "{continued} of {}", paper.pages.len());
    assert_eq!(count("Tick when done"), continued + 1, "both lines of the head are repeated");
}

#[test]
fn ewes_due_to_lamb_stand_below_their_pen() {
    let mut ewe = fixture::animal("0433", "", Sex::Ewe);
    ewe.animal.pen = Some("7".into());
    let id = ewe.animal.id;
    ewe.joinings.push(crate::flock::Joining {
        id: crate::terms::JoiningId::new(),
        ewe: id,
        ram: crate::terms::AnimalId::new(),
        from: day("2025-11-20"),
        to: Some(day("2025-11-24")),
        method: None,
        group: None,
        struck: None,
    });
    let mut flock = Flock::default();
    flock.put(ewe);
    let words = letters(&made(&flock, "2026-04-12", SheetSize::A4));
    assert!(words.contains("Duetolamb:0433,13–25Apr."), "{words}");
    let words = letters(&made(&flock, "2026-04-28", SheetSize::A4));
    assert!(words.contains("pastherdays"), "{words}");
}

#[test]
fn a_day_without_jobs_is_no_paper() {
    let flock = Flock::default();
    let none = barn_sheet(
        &flock,
        &Sheet::default(),
        day("2026-04-16"),
        day("2026-04-15"),
        &BarnSheetOptions::default(),
        &carry_on,
    );
    assert!(none.unwrap_err().to_string().contains("choose another day"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    #[test]
    fn no_word_is_lost_or_outside(
        tag in "[A-Z0-9][A-Z0-9 /-]{0,36}[A-Z0-9]", pen in "[A-Z][a-zŵé]{1,38}",
        name in "[a-zŵé]{1,70}( [a-z]{1,40}){0,9}", note in "[a-z]{1,200}( [a-z]{1,9}){0,60}",
        flock_name in "[A-Z][a-z]{1,90}( [a-z]{1,60}){0,6}", letter in any::<bool>(),
    ) {
        let mut ewe = fixture::animal("E1", "", Sex::Ewe);
        ewe.animal.pen = Some(pen.as_str().into());
        let at = Moment::day(day("2026-04-14"));
        let mut flock = Flock::default();
        for mut lamb in fixture::lambs(&mut ewe, None, at, &[(tag.as_str(), Sex::Ram, 4_500)]) {
            lamb.animal.name = Some(name.as_str().into());
            lamb.animal.note = Some(note.as_str().into());
            flock.put(lamb);
        }
        flock.put(ewe);
        flock.set_holding(Holding { flock: flock_name, ..Holding::default() });
        let paper = made(&flock, "2026-04-15", if letter { SheetSize::Letter } else { SheetSize::A4 });
        assert_inside(&paper, 8.0);
        let words = letters(&paper);
        for said in [name.as_str(), note.as_str(), pen.as_str(), tag.as_str()].into_iter().flat_map(|w| w.split(' ')) {
            let start: String = bare(said).chars().take(6).collect();
            prop_assert!(words.contains(&start), "{} in {}", said, words);
        }
    }
}

#[test]
fn creeps_gates_and_lamps_have_their_boxes() {
    use crate::flock::PenCheck;
    use crate::reckon::creep::tests::ten;
    use crate::terms::{CheckKind, PenCheckId};
    let mut flock = ten();
    let mut room = (**flock.feedroom()).clone();
    room.checks.push(PenCheck {
        id: PenCheckId::new(),
        pen: "Jug 3".into(),
        on: day("2026-04-22"),
        time: None,
        what: CheckKind::Gate,
        fault: Some("bent bar".into()),
        note: None,
        struck: None,
    });
    flock.set_feedroom(room);
    let on = day("2026-04-23");
    let options = BarnSheetOptions { creeps: true, ..BarnSheetOptions::default() };
    let paper = barn_sheet(&flock, &Sheet::default(), on, on.plus(-1), &options, &carry_on).unwrap();
    picture("barn-sheet-creeps", &paper);
    assert_inside(&paper, 8.0);
    let all = letters(&paper);
    for said in [
        "Creeps,gatesandlamps",
        "Jug3",
        "filled:Lambstarter",
        "gate:bentbar",
        "adaytakes4.5kg",
        "downto18%on25Apr",
    ] {
        assert!(all.contains(said), "{said} in {all}");
    }
    let options = BarnSheetOptions::default();
    assert!(
        barn_sheet(&flock, &Sheet::default(), on, on, &options, &carry_on).is_err(),
        "left out where pens are chosen"
    );
}

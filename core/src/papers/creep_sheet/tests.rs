use super::*;
use crate::flock::Flock;
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, letters, picture};
use crate::papers::fixture::day;
use crate::reckon::creep::tests::{creep, lambs, ten};

fn shed() -> Flock {
    let mut flock = ten();
    lambs(&mut flock, "Lower byre, end by the door", &["2026-03-20", "2026-03-29", "2026-04-12"], None);
    lambs(&mut flock, "Bank", &["2026-03-01"; 3], Some("2026-04-20"));
    let mut room = (**flock.feedroom()).clone();
    let feed = room.feeds[0].clone();
    room.creeps.push(creep("Lower byre, end by the door", "2026-04-01", &feed, None));
    let mut unknown = creep("Bank", "2026-04-01", &feed, None);
    unknown.feed = None;
    room.creeps.push(unknown);
    flock.set_feedroom(room);
    flock
}

#[test]
fn a_card_for_each_door_two_to_a_sheet() {
    let (flock, today) = (shed(), day("2026-04-22"));
    for sheet in SheetSize::ALL {
        let options = CreepSheetOptions { sheet, pens: Vec::new() };
        let paper = creep_sheet(&flock, today, &options, &carry_on).unwrap();
        picture(&format!("creep-sheet-{}", sheet.word()), &paper);
        assert_inside(&paper, 8.0);
        assert_same_bytes(&paper);
        assert_eq!(paper.pages.len(), 2);
        let all = letters(&paper);
        for said in [
            "Creep:Jug3",
            "FillwithLambstarter",
            "Thetroughholds10kgwhenfull.Theyeatabout4.5kgaday.",
            "Protein20%asfed,22.7%ofdrymatter",
            "meanlamb(21days):20%asfed,18%from25Apr",
            "step:18%forthemeanlamb",
            "Wed22Apr",
            "Fillwith:____",
            "Weaned:theystayonituntil4May.",
        ] {
            assert!(all.contains(said), "{said} in {all}");
        }
    }
}

#[test]
fn some_pens_alone_and_none() {
    let (flock, today) = (shed(), day("2026-04-22"));
    let of = |pen: &str| {
        let options = CreepSheetOptions { pens: vec![pen.into()], ..CreepSheetOptions::default() };
        creep_sheet(&flock, today, &options, &carry_on)
    };
    assert_eq!(of("jug 3").unwrap().pages.len(), 1);
    let why = of("Yard").unwrap_err().to_string();
    let words = "there is nothing to put on the creep sheet: no creep is open there; open one on the page of feed, or name other pens";
    assert_eq!(why, words);
}

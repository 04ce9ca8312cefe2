//! Tests.

use super::*;
use crate::flock::Weighing;
use crate::papers::{carry_on, check, fixture};
use crate::terms::{Moment, WeighingId, Weight};

#[test]
fn his_lambs_stand_by_season_and_those_perhaps_his_are_marked() {
    let (mut flock, _, lambs) = fixture::lambing_shed();
    let on = fixture::day("2026-07-20");
    let ram = flock.by_tag("R17").unwrap();
    // The fixture puts lambs in without their sire's list of offspring.
    let mut r = flock.file(ram).unwrap().clone();
    r.offspring =
        flock.files().filter(|f| f.animal.sire.possible().contains(&ram)).map(|f| f.animal.id).collect();
    assert_eq!(r.offspring.len(), 8);
    flock.put(r);
    let mut lamb = flock.file(lambs[0]).unwrap().clone();
    lamb.weighings.push(Weighing {
        id: WeighingId::new(),
        animal: lambs[0],
        at: Moment::day(fixture::day("2026-06-13")),
        weight: Weight::from_grams(19_600).unwrap(),
        note: None,
        session: None,
        struck: None,
    });
    flock.put(lamb);
    for sheet in SheetSize::ALL {
        let paper = ram_progeny(&flock, Some(&[ram]), on, sheet, &carry_on).unwrap();
        check::assert_inside(&paper, 8.0);
        check::assert_same_bytes(&paper);
        let letters = check::letters(&paper);
        for words in [
            "R17 Thornfell Duke",
            "7 lambs and 1 that is perhaps his in 4 seasons",
            "1 died within 60 days",
            "2 lambs, 1 perhaps his, out of 2 ewes",
            "perhaps his: or of",
            "19.6 kg",
            // 4.600 and 5.150 kg; the one that is perhaps his counts not.
            "at birth 4.88 kg (2)",
            "at 60 days 19.6 kg (1)",
            "0412",
            "Bramble",
            "twin",
        ] {
            assert!(letters.contains(&check::bare(words)), "{words}: {letters}");
        }
        check::picture("ram-progeny", &paper);
    }
    let ewe = flock.by_tag("0231").unwrap();
    let none = ram_progeny(&flock, Some(&[ewe]), on, SheetSize::A4, &carry_on);
    assert!(matches!(none, Err(PaperFailed::Nothing { .. })), "a ewe has no such paper");
}

#[test]
fn means_are_of_how_many_they_say_and_the_dead_are_counted_apart() {
    let (flock, _, lambs) = fixture::lambing_shed();
    let on = fixture::day("2026-07-20");
    let mut sums = Sums::default();
    for id in &lambs[..2] {
        sums.add(flock.file(*id).unwrap(), on);
    }
    let dead = flock.by_tag("88a").unwrap();
    sums.add(flock.file(dead).unwrap(), on);
    assert_eq!((sums.lambs, sums.dead, sums.lost, sums.reared), (3, 1, 0, 2));
    assert_eq!(sums.birth.mean().unwrap().grams(), 4_917, "of 4600, 5150 and 5000");
}

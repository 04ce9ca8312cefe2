use super::*;
use crate::flock::Weighing;
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, letters, picture};
use crate::papers::fixture::{animal, day, lambs};
use crate::terms::{Born, Moment, WeighingId};

fn flock() -> (Flock, Vec<AnimalId>) {
    let mut flock = Flock::default();
    let mut ids = Vec::new();
    for i in 0..8i64 {
        let mut ewe = animal(&format!("E{i}"), "", Sex::Ewe);
        ewe.animal.born = Born::On(day("2022-03-01"));
        let born = [("L0", Sex::Ewe, 4_200), ("L1", Sex::Ram, 4_600)];
        let mut both = lambs(&mut ewe, None, Moment::day(day("2026-03-01").plus(i)), &born);
        for (j, lamb) in both.iter_mut().enumerate() {
            lamb.animal.identities =
                [crate::papers::fixture::mark(crate::terms::IdentityKind::Flock, &format!("L{i}{j}"))].into();
            lamb.weighings.push(Weighing {
                id: WeighingId::new(),
                animal: lamb.animal.id,
                at: Moment::day(day("2026-05-05")),
                weight: Weight::from_grams(19_000 + i * 400 + j as i64 * 1_500).unwrap(),
                session: None,
                note: None,
                struck: None,
            });
            ids.push(lamb.animal.id);
        }
        both[0].animal.birth_weight = both[0].animal.birth_weight.filter(|_| i != 3);
        both.into_iter().chain([ewe]).for_each(|f| flock.put(f));
    }
    (flock, ids)
}

#[test]
fn a_group_on_paper_with_its_ratios() {
    let (flock, ids) = flock();
    let options = GrowthListOptions { age_days: 60, using: Using::Table, ..Default::default() };
    let paper = growth_list(&flock, None, day("2026-05-06"), &options, &carry_on).unwrap();
    picture("growth-list", &paper);
    assert_inside(&paper, 8.0);
    assert_same_bytes(&paper);
    let words = letters(&paper);
    for said in
        ["Weightsat60days", "born1Marto8Mar", "ramlambs", "8lambs,mean", "nocompletepublishedtable", "L71"]
    {
        assert!(words.contains(said), "{said}: {words}");
    }
    assert!(!words.contains("L30"), "no birth weight, and too few to take the mean: {words}");
    let one = growth_list(&flock, Some(&ids[..1]), day("2026-05-06"), &options, &carry_on).unwrap();
    assert!(letters(&one).contains("1ofthemhere"));
}

#[test]
fn nobody_weighed_is_said() {
    let (flock, _) = flock();
    let options = GrowthListOptions { age_days: 120, ..Default::default() };
    let none = growth_list(&flock, None, day("2026-05-06"), &options, &carry_on);
    assert!(matches!(none, Err(PaperFailed::Nothing { paper: "list of weights", .. })));
}

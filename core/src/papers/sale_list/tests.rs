//! Tests.

use super::*;
use crate::flock::{GeneTest, Tested};
use crate::papers::{carry_on, check, fixture};
use crate::terms::{GeneTestId, Scrapie};

#[test]
fn every_animal_has_what_a_buyer_asks() {
    let (mut flock, ewes, lambs) = fixture::lambing_shed();
    let on = fixture::day("2026-04-20");
    let mut ewe = flock.file(ewes[0]).unwrap().clone();
    ewe.tests.push(GeneTest {
        id: GeneTestId::new(),
        animal: ewes[0],
        on: fixture::day("2025-08-01"),
        found: Tested::Scrapie(Scrapie::parse("ARR/ARQ").unwrap()),
        lab: None,
        number: None,
        note: None,
        struck: None,
    });
    flock.put(ewe);
    let chosen = [ewes[0], lambs[1], lambs[2]];
    for sheet in SheetSize::ALL {
        let paper = sale_list(&flock, Some(&chosen), on, sheet, &carry_on).unwrap();
        check::assert_inside(&paper, 8.0);
        check::assert_same_bytes(&paper);
        let letters = check::letters(&paper);
        for words in [
            "Bramble",
            "0413",
            "3 animals for sale. 1 of them is under withdrawal",
            "NOT CLEAR",
            "Meat: not before 14 May 2026 (long-acting oxytetracycline 200 mg/ml",
            "scrapie genotype ARQ/ARR",
            "one of R17",
            "born a twin",
            "Thornfell Duke",
            "pedigree short",
        ] {
            assert!(letters.contains(&check::bare(words)), "{words}: {letters}");
        }
        check::picture("sale-list", &paper);
    }
}

#[test]
fn without_a_choice_those_for_the_market() {
    let (mut flock, _, lambs) = fixture::lambing_shed();
    let on = fixture::day("2026-04-20");
    let none = sale_list(&flock, None, on, SheetSize::A4, &carry_on);
    assert!(matches!(none, Err(PaperFailed::Nothing { .. })));
    let mut lamb = flock.file(lambs[0]).unwrap().clone();
    lamb.animal.meant_for = MeantFor::Market;
    flock.put(lamb);
    let paper = sale_list(&flock, None, on, SheetSize::A4, &carry_on).unwrap();
    let letters = check::letters(&paper);
    assert!(letters.contains("1animalforsale.Itisnotunderwithdrawal"), "{letters}");
}

use super::*;
use crate::papers::carry_on;
use crate::papers::check::{assert_inside, assert_same_bytes, bare, letters, picture};
use crate::papers::fixture::{self, day, lambing_shed};
use crate::terms::{Moment, Withdrawal};
use proptest::prelude::*;

#[test]
fn cards_on_every_sheet() {
    let (flock, ewes, _) = lambing_shed();
    for per_sheet in PerSheet::ALL {
        for sheet in SheetSize::ALL {
            let options = PenCardOptions { sheet, per_sheet };
            let paper = pen_cards(&flock, &ewes, day("2026-04-16"), &options, &carry_on).unwrap();
            let name = format!("pen-cards-{}-{}", per_sheet.count(), sheet.word());
            picture(&name, &paper);
            assert_inside(&paper, 5.0);
            assert_same_bytes(&paper);
            let words = letters(&paper);
            for said in [
                "0231",
                "Bramble",
                "Pen7.Twinsandfostered.",
                "LambedTue14Apr2026,05:20",
                "0412",
                "4.6kg",
                "5.15kg",
                "fosteredfrom",
                "Slighthelp;onelegback",
                "2025twins·2024twins,1lost·2023single",
                "00118",
                "Triplets.",
                "onthebottle",
                "19May2026",
                "borndead",
                "Water",
                "Hay",
                "Cleansed",
                "Label,vetandlocallawdecide.",
            ] {
                assert!(words.contains(said), "{name}: {said} in {words}");
            }
        }
    }
}

#[test]
fn a_ewe_that_has_not_lambed_gets_a_card() {
    let ewe = fixture::animal("51", "Fern", Sex::Ewe);
    let id = ewe.animal.id;
    let mut flock = Flock::default();
    flock.put(ewe);
    let paper = pen_cards(&flock, &[id], day("2026-04-16"), &PenCardOptions::default(), &carry_on).unwrap();
    assert!(letters(&paper).contains("Notlambedyet"));
    let none = pen_cards(&flock, &[], day("2026-04-16"), &PenCardOptions::default(), &carry_on).unwrap_err();
    assert!(none.to_string().contains("choose at least one ewe"));
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(16))]
    #[test]
    fn no_word_is_lost_or_outside(
        tag in "[A-Z0-9][A-Z0-9 /-]{0,38}[A-Z0-9]", name in "[a-zŵé]{1,70}( [a-z]{1,40}){0,9}",
        note in "[a-z]{1,200}( [a-z]{1,9}){0,60}", product in "[A-Z][a-z]{1,60}( [a-z]{1,30}){0,6}",
        lambs in 0usize..7, per in 0usize..4, letter in any::<bool>(),
    ) {
        let mut ewe = fixture::animal(&tag, &name, Sex::Ewe);
        let id = ewe.animal.id;
        ewe.animal.note = Some(note.as_str().into());
        let period = Withdrawal::Days(28);
        ewe.treatments.push(fixture::treatment(id, &product, Moment::day(day("2026-04-15")), period, period));
        let tags: Vec<String> = (0..lambs).map(|i| format!("{i}{tag}").chars().take(40).collect()).collect();
        let born: Vec<(&str, Sex, i64)> = tags.iter().map(|t| (t.as_str(), Sex::Wether, 4_200)).collect();
        let mut young = fixture::lambs(&mut ewe, None, Moment::day(day("2026-04-14")), &born);
        for lamb in &mut young {
            lamb.animal.colour = Some(note.as_str().into());
        }
        let mut flock = Flock::default();
        flock.put(ewe);
        young.into_iter().for_each(|lamb| flock.put(lamb));
        let sheet = if letter { SheetSize::Letter } else { SheetSize::A4 };
        let options = PenCardOptions { sheet, per_sheet: PerSheet::ALL[per] };
        let paper = pen_cards(&flock, &[id], day("2026-04-16"), &options, &carry_on).unwrap();
        assert_inside(&paper, 5.0);
        let words = letters(&paper);
        let note = if per == 3 && lambs == 0 { "" } else { &note };
        for said in [name.as_str(), product.as_str(), note].into_iter().flat_map(|w| w.split(' ')) {
            let start: String = bare(said).chars().take(6).collect();
            prop_assert!(words.contains(&start), "{} in {}", said, words);
        }
        prop_assert!(words.matches("4.2kg").count() == lambs);
    }
}

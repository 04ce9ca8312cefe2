//! Breeding values of a whole made-up flock: every trait by every model gives an answer or says why not, and figures that
//! can be true.

use hirsel_core::book::Book;
use hirsel_core::entry::{GroupingDraft, groupings};
use hirsel_core::reckon::evaluation::{Ask, Bounds, FixedBy, Model, Shares, Trait, Unfit, evaluate, records};
use hirsel_core::reckon::growth::fixed::{FixedAge, Using};
use hirsel_core::reckon::growth::rules::GrowthRules;
use hirsel_demo::{Spec, holding, make};
use hirsel_tests::book::{day, room};

#[test]
fn every_trait_by_every_model() {
    let room = room();
    let mut book = Book::create(&room.path().join("made.hirsel"), holding()).expect("a book");
    let today = day("2026-04-10");
    make(&mut book, &Spec { ewes: 24, seasons: 4, ..Spec::default() }, today, &mut |_| {}).expect("a flock");
    let flock = book.flock();
    let mut answers = 0;
    for of in [Trait::Weight(0), Trait::Weight(60), Trait::Weight(400), Trait::Born, Trait::Reared] {
        for model in Model::ALL {
            for fixed in [vec![], vec![FixedBy::Sex, FixedBy::BirthType], FixedBy::ALL.to_vec()] {
                for bounds in [Bounds::default(), Bounds { animals: 0, ..Bounds::default() }] {
                    let ask =
                        Ask { of, model, fixed: fixed.clone(), shares: Shares::default(), on: today, bounds };
                    let found = match evaluate(&flock, &ask, &mut |_| true) {
                        Ok(found) => found,
                        Err(e) => {
                            assert!(e.to_string().len() > 20, "{ask:?}: {e}");
                            continue;
                        }
                    };
                    answers += 1;
                    assert_eq!(found.animals.len(), flock.len());
                    assert_eq!(found.exact, bounds.animals > 0);
                    assert_eq!(found.mean.is_some(), fixed.is_empty());
                    let own: u32 = found.animals.iter().map(|a| a.own).sum();
                    assert_eq!(own as usize, found.records);
                    for a in &found.animals {
                        let all = [Some(a.direct), a.maternal, a.permanent];
                        for e in all.into_iter().flatten() {
                            assert!(e.value.is_finite() && (0.0..=1.0).contains(&e.accuracy), "{a:?}");
                        }
                        assert!(a.own == 0 || a.direct.accuracy > 0.0 || found.records < 30, "{a:?}");
                        assert_eq!(a.maternal.is_some(), model == Model::Maternal);
                        assert_eq!(found.of_animal(a.id), Some(a));
                    }
                    let here = found.animals.iter().filter_map(|a| a.best_quarter);
                    let n = here.clone().count();
                    assert!((here.sum::<f64>() - n as f64 / 4.0).abs() < 1e-3);
                }
            }
        }
    }
    assert!(answers > 20, "only {answers} answers");
    let ask = Ask {
        of: Trait::Weight(60),
        model: Model::Animal,
        fixed: vec![FixedBy::Sex],
        shares: Shares::default(),
        on: today,
        bounds: Bounds::default(),
    };
    assert_eq!(evaluate(&flock, &ask, &mut |_| false).unwrap_err(), Unfit::Stopped);
    // The same flock read again gives the same answer to the last bit.
    let once = evaluate(&flock, &ask, &mut |_| true).expect("an answer");
    assert_eq!(once, evaluate(&flock, &ask, &mut |_| true).expect("an answer"));
}

#[test]
fn weights_and_groups_are_those_of_the_fixed_age() {
    let room = room();
    let mut book = Book::create(&room.path().join("made.hirsel"), holding()).expect("a book");
    let today = day("2026-07-10");
    make(&mut book, &Spec { ewes: 24, seasons: 2, ..Spec::default() }, today, &mut |_| {}).expect("a flock");
    let flock = book.flock();
    let rules = GrowthRules::of(&flock);
    // 56 days is in no table.
    for days in [60, 56] {
        let age = rules.age(days).cloned().unwrap_or_else(|| GrowthRules::own_age(days));
        let at = FixedAge::of(&flock, &rules, &age, Using::None, today);
        let found = records(&flock, Trait::Weight(days.into()), &[FixedBy::Group], today);
        assert!(found.records.len() > 20, "{}", found.records.len());
        assert_eq!(found.records.len(), at.rows.iter().filter(|r| r.holds).count());
        for r in &found.records {
            let row = at.get(r.animal).expect("a row");
            assert_eq!((r.value, r.on), (row.straight.kg(), row.on));
            assert_eq!(r.levels, [at.group(row).expect("a group").name.clone()]);
        }
        // Sexes that the model tells apart are not told apart again by the groups.
        let found = records(&flock, Trait::Weight(days.into()), &[FixedBy::Sex, FixedBy::Group], today);
        assert!(
            found
                .records
                .iter()
                .all(|r| !["ewe lambs", "ram lambs", "wethers"].iter().any(|s| r.levels[1].contains(s)))
        );
    }
    // Mended by hand at an age it counts there, and nowhere else.
    let whom = records(&flock, Trait::Weight(60), &[], today).records[3].animal;
    let draft = GroupingDraft { animal: whom, age_days: 60, group: Some("on the hill".into()) };
    hirsel_tests::flocks::write(&mut book, groupings(vec![draft], &flock));
    let flock = book.flock();
    let level = |days: i64| {
        let found = records(&flock, Trait::Weight(days), &[FixedBy::Group], today);
        found.records.iter().find(|r| r.animal == whom).map(|r| r.levels[0].clone())
    };
    assert_eq!(level(60).as_deref(), Some("on the hill"));
    assert_ne!(level(56).as_deref(), Some("on the hill"));
}

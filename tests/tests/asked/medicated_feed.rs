//! Medicated feed: a feeding writes the treatments of those that eat it, with the withdrawal, the batch and the share of
//! each, through the same checks as any treatment; nothing makes a clear date earlier without being asked.

use hirsel_core::book::Book;
use hirsel_core::entry::{
    self, Amended, AnimalDraft, BatchDraft, CreepDraft, DoseDraft, Entry, FeedDraft, FeedMoveDraft,
    PenMoveDraft, PrescriptionDraft, ProductDraft, TreatmentDraft, VetDraft,
};
use hirsel_core::flock::{FeedMove, Flock, ProductMore, RecordRef, Treatment};
use hirsel_core::reckon::clearance::{Clear, clearance};
use hirsel_core::reckon::stock;
use hirsel_core::terms::{
    AnimalId, Born, Day, Dose, DoseRule, FeedChange, FeedKind, Level, Mass, Moment, Route, Sex, Tag,
    Withdrawal,
};
use hirsel_tests::asked::{asks, refuses};
use hirsel_tests::flocks::{Folder, day, joined_book, write};
use proptest::prelude::*;

fn today() -> Day {
    day("2026-04-10")
}

fn kg(kg: f64) -> Mass {
    Mass::from_kg(kg).expect("an amount")
}

/// A ewe and three lambs in the Orchard, a creep there, the ram in the Yard; pellets with a medicine for lambs.
struct Fed {
    _folder: Folder,
    book: Book,
    lambs: Vec<AnimalId>,
    ewe: AnimalId,
}

fn product(name: &str, meat: Withdrawal, more: ProductMore) -> ProductDraft {
    ProductDraft {
        name: name.into(),
        substance: Some("decoquinate".into()),
        form: Some("premix".into()),
        strength: None,
        rule: DoseRule::Typed,
        route: Some(Route::Feed),
        meat,
        milk: Withdrawal::Days(0),
        licensed_for: Some("sheep, lambs".into()),
        more,
    }
}

fn fed() -> Fed {
    let folder = Folder::new();
    let (mut book, [ewe, _, _, ram]) = joined_book(&folder);
    let drafts: Vec<AnimalDraft> = [("26-1", "2026-03-08"), ("26-2", "2026-03-09"), ("26-3", "2026-03-09")]
        .into_iter()
        .map(|(tag, born)| {
            let mut d = AnimalDraft::new(Tag::parse(tag).expect("a tag"), Sex::Ewe);
            (d.born, d.dam) = (Born::parse(born).expect("a day"), Some(ewe));
            d
        })
        .collect();
    let lambs: Vec<AnimalId> = drafts.iter().map(|d| d.id).collect();
    let check = entry::animals(drafts, &book.flock(), today());
    write(&mut book, check);
    let mut orchard = lambs.clone();
    orchard.push(ewe);
    for (animals, pen) in [(orchard, "Orchard"), (vec![ram], "Yard")] {
        let draft = PenMoveDraft { animals, on: day("2026-03-20"), pen: Some(pen.into()) };
        let check = entry::pen_move(draft, &book.flock(), today());
        write(&mut book, check);
    }
    let check = entry::products(
        vec![product("Coccid premix", Withdrawal::Days(10), ProductMore::default())],
        &book.flock(),
    );
    write(&mut book, check);
    let batch = BatchDraft {
        product: "Coccid premix".into(),
        number: "P7".into(),
        expiry: Some(day("2027-01-01")),
        bought_on: Some(day("2026-03-01")),
        supplier: None,
        supplier_address: None,
        quantity: Some(Dose::Mass(5_000_000)),
        price: None,
        invoice: None,
        opened_on: None,
        note: None,
    };
    let check = entry::batches(vec![batch], &book.flock(), today());
    write(&mut book, check);
    let mut pellets = FeedDraft::called("Coccid pellets", FeedKind::Compound);
    pellets.medicine = Some(("Coccid premix".into(), Dose::Mass(100_000)));
    let barley = FeedDraft::called("Barley", FeedKind::Grain);
    let mut mix = FeedDraft::called("Creep mix", FeedKind::Mix);
    mix.parts = vec![("Coccid pellets".into(), 25.0), ("Barley".into(), 75.0)];
    let check = entry::feeds(vec![pellets, barley, mix], &book.flock());
    write(&mut book, check);
    let creep = CreepDraft {
        id: None,
        pen: "Orchard".into(),
        from: day("2026-03-25"),
        to: None,
        feed: None,
        holds: Some(kg(20.0)),
        note: None,
    };
    let check = entry::creeps(vec![creep], &book.flock(), today());
    write(&mut book, check);
    Fed { _folder: folder, book, lambs, ewe }
}

fn filling(feed: &str, on: &str, pen: &str, amount: f64) -> FeedMoveDraft {
    let mut d = FeedMoveDraft::of(feed, day(on), FeedChange::Fed);
    (d.pen, d.amount, d.batch) = (Some(pen.into()), Some(kg(amount)), Some("P7".into()));
    d
}

fn treatments(flock: &Flock, animal: AnimalId) -> Vec<Treatment> {
    flock.file(animal).expect("there").treatments_standing().cloned().collect()
}

fn last_move(flock: &Flock) -> FeedMove {
    flock.feedroom().moves.last().expect("a move").clone()
}

#[test]
fn a_creep_of_medicated_feed_doses_the_lambs_that_eat_it() {
    let mut f = fed();
    let before = f.book.flock();
    let check =
        entry::feed_moves(vec![filling("coccid pellets", "2026-04-08", "orchard", 6.0)], &before, today());
    let checked = check.expect("no refusal");
    assert_eq!(checked.sentence(), "Coccid pellets fed in Orchard: 6 kg, with 3 treatments");
    let said: Vec<&str> = checked.cautions().iter().map(|c| c.words.as_str()).collect();
    let who = "Coccid pellets is medicated: a treatment is written for 3 animals of Orchard; none for 0412 that the creep keeps out or that eat nothing yet: move or treat any that ate of it";
    assert!(said.contains(&who), "{said:#?}");
    assert!(
        said.iter().any(|w| w.starts_with("withdrawal counts from the last day it is eaten")),
        "{said:#?}"
    );
    f.book.write(checked.sure().expect("no question")).expect("written");
    let flock = f.book.flock();
    for lamb in &f.lambs {
        let [t] = treatments(&flock, *lamb).try_into().expect("one treatment");
        assert_eq!((t.product.as_str(), t.batch.as_deref()), ("Coccid premix", Some("P7")));
        assert_eq!((t.dose, t.route), (Some(Dose::Mass(200_000)), Some(Route::Feed)), "100 mg × 6 kg ÷ 3");
        assert_eq!((t.reason.as_deref(), t.meat), (Some("in feed, Orchard"), Withdrawal::Days(10)));
        assert_eq!(t.at, Moment::day(day("2026-04-08")));
        let clear = clearance(flock.file(*lamb).expect("there"), today()).meat.clear;
        assert_eq!(clear, Clear::From(day("2026-04-19")));
    }
    assert_eq!(treatments(&flock, f.ewe), [], "the creep keeps her out");
    // Drawn from the cupboard: 5 g less 600 mg.
    let id = flock.product("Coccid premix").expect("there").id;
    let left = |flock: &Flock| {
        let lines = stock::of_product(flock, id, today());
        stock::line_of(&lines, id, "P7").and_then(|l| l.left)
    };
    assert_eq!(left(&flock), Some(Dose::Mass(4_400_000)));
    f.book.undo().expect("undone");
    assert_eq!(left(&f.book.flock()), Some(Dose::Mass(5_000_000)));
    assert!(f.lambs.iter().all(|l| treatments(&f.book.flock(), *l).is_empty()));
    assert!(f.book.flock().feedroom().moves.is_empty());
    f.book.redo().expect("done again");
    assert_eq!(treatments(&f.book.flock(), f.lambs[0]).len(), 1);
}

#[test]
fn a_mix_with_it_in_doses_by_its_share_and_a_look_at_the_trough_counts_as_eaten() {
    let mut f = fed();
    let check =
        entry::feed_moves(vec![filling("Creep mix", "2026-04-08", "Orchard", 6.0)], &f.book.flock(), today());
    write(&mut f.book, check);
    assert_eq!(treatments(&f.book.flock(), f.lambs[0])[0].dose, Some(Dose::Mass(50_000)), "a quarter of it");
    // Some is left two days later: eaten until then.
    let mut looked = FeedMoveDraft::of("Creep mix", day("2026-04-10"), FeedChange::Fed);
    (looked.pen, looked.level) = (Some("Orchard".into()), Level::from_percent(25));
    let check = entry::feed_moves(vec![looked], &f.book.flock(), today());
    write(&mut f.book, check);
    let flock = f.book.flock();
    let all = treatments(&flock, f.lambs[0]);
    assert_eq!((all.len(), all[1].dose), (2, None));
    let clear = clearance(flock.file(f.lambs[0]).expect("there"), today()).meat.clear;
    assert_eq!(clear, Clear::From(day("2026-04-21")));
    // Plain feed doses nobody, and neither does a delivery.
    let mut came = FeedMoveDraft::of("Coccid pellets", today(), FeedChange::Delivered);
    (came.amount, came.batch) = (Some(kg(100.0)), Some("P7".into()));
    let check =
        entry::feed_moves(vec![filling("Barley", "2026-04-10", "Orchard", 4.0), came], &flock, today());
    let Ok(Entry::FeedMoves { moves, treatments }) = check.map(|c| c.entry().clone()) else {
        panic!("moves")
    };
    assert_eq!((moves.len(), treatments.len()), (2, 0));
    assert!(entry::is_medicated(&flock, moves[1].feed) && !entry::is_medicated(&flock, moves[0].feed));
}

#[test]
fn without_a_creep_all_of_the_pen_eat_and_nobody_is_refused() {
    let mut f = fed();
    let close = f.book.flock().feedroom().creeps[0].id;
    let check = entry::close_creep(close, day("2026-04-01"), &f.book.flock(), today());
    write(&mut f.book, check);
    let flock = f.book.flock();
    let check =
        entry::feed_moves(vec![filling("Coccid pellets", "2026-04-08", "Orchard", 6.0)], &flock, today());
    let Ok(Entry::FeedMoves { treatments, .. }) = check.map(|c| c.entry().clone()) else { panic!("moves") };
    assert_eq!(treatments.len(), 4, "the ewe too");
    let given: u64 =
        treatments.iter().filter_map(|t| if let Some(Dose::Mass(m)) = t.dose { Some(m) } else { None }).sum();
    assert_eq!(given, 600_000);
    let words = "Coccid pellets is medicated, and no animal that eats it is known in Loft on 8 Apr 2026: write who stood there first, so that the withdrawal is written for each";
    let check =
        entry::feed_moves(vec![filling("Coccid pellets", "2026-04-08", "Loft", 6.0)], &flock, today());
    refuses(check, "pen", words);
    // Before they came into the pen nobody is known there either.
    let check =
        entry::feed_moves(vec![filling("Coccid pellets", "2026-03-10", "Orchard", 6.0)], &flock, today());
    assert!(check.is_err());
}

#[test]
fn what_a_treatment_is_asked_comes_through() {
    let mut f = fed();
    let flock = f.book.flock();
    // More than the bottle holds, and a batch that is out of date.
    let check =
        entry::feed_moves(vec![filling("Coccid pellets", "2026-04-08", "Orchard", 60.0)], &flock, today());
    asks(check, "batch", "6000 mg of batch P7 is more than the 5000 mg that is left of it by the book");
    // Off its label, it needs a vet; the prescription that covers the day is taken.
    let cattle = ProductDraft {
        licensed_for: Some("cattle".into()),
        ..product(
            "Cattle premix",
            Withdrawal::Days(10),
            ProductMore { prescription_only: true, ..ProductMore::default() },
        )
    };
    let check = entry::products(vec![cattle], &flock);
    write(&mut f.book, check);
    let mut nuts = FeedDraft::called("Dosed nuts", FeedKind::Compound);
    nuts.medicine = Some(("Cattle premix".into(), Dose::Mass(100_000)));
    let check = entry::feeds(vec![nuts], &f.book.flock());
    write(&mut f.book, check);
    let mut d = filling("Dosed nuts", "2026-04-08", "Orchard", 6.0);
    d.batch = None;
    let check = entry::feed_moves(vec![d.clone()], &f.book.flock(), today());
    let words = "Cattle premix is labelled for cattle, not for sheep: a vet must have directed it, and their name is needed here. The label, the vet and local law decide";
    refuses(check, "feed", words);
    let vet = VetDraft { name: "Orla Brennan".into(), ..VetDraft::default() };
    let check = entry::vets(vec![vet], &f.book.flock());
    write(&mut f.book, check);
    let script = PrescriptionDraft {
        vet: f.book.flock().cupboard().vets[0].id,
        on: day("2026-04-01"),
        valid_to: Some(day("2026-05-01")),
        number: Some("88".into()),
        product: "Cattle premix".into(),
        whom: None,
        dose: None,
        reason: Some("coccidiosis".into()),
        off_label: true,
        meat: Withdrawal::Days(60),
        milk: Withdrawal::Days(60),
        export: Withdrawal::Unknown,
    };
    let check = entry::prescriptions(vec![script], &f.book.flock(), today());
    f.book.write(check.expect("checked").despite("as the vet wrote it").expect("a word")).expect("written");
    let checked = entry::feed_moves(vec![d], &f.book.flock(), today()).expect("directed by a vet");
    let Entry::FeedMoves { treatments, .. } = checked.entry() else { panic!("moves") };
    let t = &treatments[0];
    assert_eq!((t.meat, t.prescribed_by.as_deref()), (Withdrawal::Days(60), Some("Orla Brennan")));
    assert_eq!(t.reason.as_deref(), Some("coccidiosis; in feed, Orchard"));
    assert!(t.more.prescription.is_some());
}

#[test]
fn a_feeding_is_struck_out_with_its_treatments_and_not_amended_past_them() {
    let mut f = fed();
    let check = entry::feed_moves(
        vec![filling("Coccid pellets", "2026-04-08", "Orchard", 6.0)],
        &f.book.flock(),
        today(),
    );
    write(&mut f.book, check);
    let flock = f.book.flock();
    let held = last_move(&flock);
    assert_eq!(entry::doses_of(&flock, &held).len(), 3);
    let words = "3 treatments stand with this feeding of Coccid pellets: strike it out with them, and write it anew if it was fed otherwise";
    let record = RecordRef::FeedMove(held.id);
    refuses(entry::strike_kept(record, "not fed", &flock, today()), "on", words);
    let less = FeedMove { amount: Some(kg(2.0)), ..held.clone() };
    refuses(entry::amend(Amended::FeedMove(less), "less", &flock, today()), "on", words);
    // What says nothing of the doses may be amended.
    let noted = FeedMove { note: Some("damp".into()), ..held.clone() };
    assert!(entry::amend(Amended::FeedMove(noted), "seen", &flock, today()).is_ok());

    assert!(entry::strike_fed(held.id, " ", &flock, today()).is_err());
    let all = entry::strike_fed(held.id, "never filled", &flock, today()).expect("checked");
    assert_eq!((all.len(), all[0].sentence()), (4, all[0].sentence()));
    assert!(all[0].sentence().ends_with("with 3 treatments"), "{}", all[0].sentence());
    let words = "3 animals were written as treated with Coccid pellets on 8 Apr 2026 and are clear earlier without it: did none of them eat it?";
    let asked: Vec<String> = all.iter().flat_map(|c| c.questions()).map(ToString::to_string).collect();
    assert_eq!(asked, [words]);
    let sure = all.into_iter().map(|c| c.despite("the bag was not opened").expect("a word")).collect();
    f.book.write_many("Struck out a feeding", sure).expect("written");
    let flock = f.book.flock();
    assert_eq!(flock.feedroom().struck(record), Some(true));
    assert!(f.lambs.iter().all(|l| treatments(&flock, *l).is_empty()));
    assert_eq!(clearance(flock.file(f.lambs[0]).expect("there"), today()).meat.clear, Clear::Free);
    assert!(entry::strike_fed(held.id, "again", &flock, today()).is_err(), "struck already");
    f.book.undo().expect("one undo");
    assert_eq!(treatments(&f.book.flock(), f.lambs[0]).len(), 1);

    // A delivery does not become a feeding by amendment.
    let mut came = FeedMoveDraft::of("Coccid pellets", day("2026-04-08"), FeedChange::Delivered);
    (came.amount, came.batch) = (Some(kg(25.0)), Some("P7".into()));
    let check = entry::feed_moves(vec![came], &f.book.flock(), today());
    write(&mut f.book, check);
    let flock = f.book.flock();
    let moves = &flock.feedroom().moves;
    let came = moves.iter().find(|m| m.change == FeedChange::Delivered).expect("came").clone();
    let turned = FeedMove { change: FeedChange::Fed, pen: Some("Orchard".into()), ..came };
    let words = "Coccid pellets is medicated: strike this line out and write the feeding as a new one, so that its treatments are written with it";
    refuses(entry::amend(Amended::FeedMove(turned), "fed", &flock, today()), "change", words);
}

/// Later or the same, whatever is known of it: nothing given, a day, not known, never.
fn rank(c: &Clear) -> (u8, Option<Day>) {
    match c {
        Clear::Free => (0, None),
        Clear::From(d) => (1, Some(*d)),
        Clear::Unknown => (2, None),
        Clear::Never => (3, None),
    }
}

fn period() -> impl Strategy<Value = Withdrawal> {
    prop_oneof![
        1 => Just(Withdrawal::Unknown),
        1 => Just(Withdrawal::Never),
        6 => (0u16..40).prop_map(Withdrawal::Days),
        3 => (1u16..300).prop_map(Withdrawal::Hours),
    ]
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 12, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn no_clear_date_moves_earlier_by_feeding(
        label in (period(), period()),
        before in prop::collection::vec((0usize..4, 0i64..20, period()), 0..5),
        feedings in prop::collection::vec((0i64..18, 0u64..9_000, any::<bool>(), any::<bool>()), 1..6),
    ) {
        let mut f = fed();
        let given = ProductDraft { milk: label.1, ..product("Coccid premix", label.0, ProductMore::default()) };
        if let Ok(c) = entry::products(vec![given], &f.book.flock()) {
            f.book.write(c.despite("as its label says").expect("a word")).expect("written");
        }
        let mut all = f.lambs.clone();
        all.push(f.ewe);
        for (who, back, meat) in before {
            let d = TreatmentDraft {
                animals: vec![all[who]],
                at: Moment::day(today().plus(-back)),
                product: "Something else".into(),
                batch: None,
                dose: DoseDraft::Typed(None),
                route: None,
                site: None,
                reason: None,
                given_by: None,
                prescribed_by: None,
                meat: Some(meat),
                milk: Some(meat),
                more: Default::default(),
            };
            if let Ok(c) = entry::treatments(vec![d], &f.book.flock(), today()) {
                f.book.write(c.despite("so it was").expect("a word")).expect("written");
            }
        }
        let dates = |flock: &Flock| -> Vec<_> {
            let of = |id: &AnimalId| {
                let c = clearance(flock.file(*id).expect("there"), today());
                (rank(&c.meat.clear), rank(&c.milk.clear), rank(&c.export.clear))
            };
            all.iter().map(of).collect()
        };
        for (back, grams, mix, creep) in feedings {
            let old = f.book.flock();
            let feed = if mix { "Creep mix" } else { "Coccid pellets" };
            let on = today().plus(-back);
            let mut d = FeedMoveDraft::of(feed, on, FeedChange::Fed);
            d.pen = Some(if creep { "Orchard" } else { "Yard" }.into());
            d.amount = Mass::from_grams(grams).filter(|m| !m.is_none());
            d.level = Level::from_percent(50);
            let Ok(checked) = entry::feed_moves(vec![d], &old, today()) else { continue };
            f.book.write(checked.despite("so it was").expect("a word")).expect("written");
            let (was, is) = (dates(&old), dates(&f.book.flock()));
            for (a, b) in was.iter().zip(&is) {
                prop_assert!(a.0 <= b.0 && a.1 <= b.1 && a.2 <= b.2, "{:?} became {:?}", a, b);
            }
            // Whoever ate it is held by its label from that day on.
            let flock = f.book.flock();
            for (id, _) in entry::doses_of(&flock, &last_of(&flock, &old)) {
                let t = treatments(&flock, id);
                prop_assert!(t.iter().any(|t| t.at.day == on && t.meat == label.0));
            }
        }
    }
}

/// The move that is new.
fn last_of(flock: &Flock, old: &Flock) -> FeedMove {
    let known = &old.feedroom().moves;
    let new = flock.feedroom().moves.iter().find(|m| known.iter().all(|o| o.id != m.id));
    new.expect("a new move").clone()
}

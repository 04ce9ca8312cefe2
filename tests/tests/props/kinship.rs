//! Kinship that followed writes one by one is kinship reckoned anew.

use hirsel_core::book::{Book, Written};
use hirsel_core::entry::{self, LambDraft, LambingDraft};
use hirsel_core::flock::{Flock, Sire};
use hirsel_core::reckon::kinship::Kindred;
use hirsel_core::terms::{AnimalId, Moment, Sex};
use hirsel_tests::book::{day, new_book, room, today};
use hirsel_tests::flocks;
use hirsel_tests::maker::{Kind, Maker};
use proptest::prelude::*;

/// Both say the same of every animal.
fn same(followed: &Kindred, anew: &Kindred, flock: &Flock) -> Result<(), String> {
    if followed.version() != flock.version() || followed.ids().len() != flock.len() {
        return Err(format!("{} animals and not {}", followed.ids().len(), flock.len()));
    }
    let close = |a: Option<f64>, b: Option<f64>| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() < 1e-12,
        (a, b) => a == b,
    };
    for id in anew.ids() {
        let tag = flock.tag(*id);
        let of = |k: &Kindred| [k.inbreeding(*id), k.depth(*id), k.mean_kinship(*id)];
        let (a, b) = (of(followed), of(anew));
        if a.iter().zip(&b).any(|(a, b)| !close(*a, *b)) {
            return Err(format!("{tag}: inbreeding, depth, mean kinship {a:?} and not {b:?}"));
        }
        // Parents stand before their offspring, as everything else relies on.
        let place = followed.place(*id).ok_or("not placed")?;
        let parents = followed.kin().pedigree.parents()[place as usize];
        if parents.iter().any(|p| *p != u32::MAX && *p >= place) {
            return Err(format!("{tag} stands before a parent"));
        }
    }
    Ok(())
}

/// Goes on from a write, or reckons anew where it cannot; tells whether it could.
fn on(kindred: &mut Kindred, written: &Written) -> Result<bool, String> {
    let could = kindred.follow(&written.flock, &written.touched);
    if could {
        same(kindred, &Kindred::of(&written.flock), &written.flock)?;
    } else {
        *kindred = Kindred::of(&written.flock);
    }
    Ok(could)
}

fn walk(seed: u64, steps: usize) -> Result<usize, String> {
    let room = room();
    let mut book = new_book(room.path());
    let mut maker = Maker::new(seed, today());
    let mut kindred = Kindred::of(&book.flock());
    let mut followed = 0;
    let kinds = [Kind::Lambings, Kind::Animals, Kind::EditAnimal, Kind::Movements, Kind::Lambings];
    for n in 0..steps {
        let kind = if book.flock().len() < 4 { Kind::Animals } else { kinds[n % kinds.len()] };
        let Some(sure) = maker.make(kind, &book.flock()) else { continue };
        let written = book.write(sure).map_err(|e| e.to_string())?;
        followed += usize::from(on(&mut kindred, &written)?);
        if n % 7 == 3
            && let Some(undone) = book.undo().map_err(|e| e.to_string())?
        {
            on(&mut kindred, &undone)?;
            let again = book.redo().map_err(|e| e.to_string())?.ok_or("nothing to redo")?;
            on(&mut kindred, &again)?;
        }
    }
    Ok(followed)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 24, max_shrink_iters: 50, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn what_followed_is_what_is_reckoned_anew(seed in any::<u64>(), steps in 4usize..24) {
        walk(seed, steps).map_err(TestCaseError::fail)?;
    }
}

fn lambing(book: &mut Book, ewe: AnimalId, ram: AnimalId, on: &str) -> Written {
    let draft = LambingDraft {
        ewe,
        at: Moment::day(day(on)),
        sire: Sire::Known(ram),
        ease: None,
        help: None,
        note: None,
        pen: None,
        lambs: vec![LambDraft::new(Sex::Ewe), LambDraft::new(Sex::Ram)],
        foster_on: Vec::new(),
    };
    let sure =
        entry::lambing(draft, &book.flock(), today()).expect("a lambing").despite("test").expect("a word");
    book.write(sure).expect("written")
}

#[test]
fn a_lambing_is_followed_and_a_walk_follows_most() {
    let folder = flocks::Folder::new();
    let (mut book, [a, b, _, ram]) = flocks::joined_book(&folder);
    let mut kindred = Kindred::of(&book.flock());
    for (ewe, on_day) in [(a, "2026-03-20"), (b, "2026-03-21")] {
        let written = lambing(&mut book, ewe, ram, on_day);
        assert!(on(&mut kindred, &written).expect("the same"), "a lambing is followed");
    }
    assert_eq!(kindred.living().len(), book.flock().present().count());
    let followed: usize = (1..6).map(|seed| walk(seed, 20).expect("the same")).sum();
    assert!(followed > 40, "{followed} of about 100");
}

#[test]
fn what_cannot_be_followed_is_left_as_it_was() {
    let folder = flocks::Folder::new();
    let (mut book, [a, b, _, ram]) = flocks::joined_book(&folder);
    let before = Kindred::of(&book.flock());
    let first = lambing(&mut book, a, ram, "2026-03-20");
    let second = lambing(&mut book, b, ram, "2026-03-21");
    let mut k = before.clone();
    assert!(!k.follow(&second.flock, &second.touched), "a write between was missed");
    assert!(!k.follow(&first.flock, &[]), "nothing is named: anything may have moved");
    assert_eq!(k.version(), before.version());
    assert!(k.follow(&first.flock, &first.touched) && k.follow(&second.flock, &second.touched));
    same(&k, &Kindred::of(&second.flock), &second.flock).expect("the same");
    let undone = book.undo().expect("undone").expect("something");
    assert!(!k.follow(&undone.flock, &undone.touched), "lambs are gone");
    assert_eq!(k.ids().len(), second.flock.len());
}

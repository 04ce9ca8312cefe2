//! Made-up entries for the drills that kill a program or cut its power: every record carries the number of its act, so
//! that what a book holds afterwards can be told.

use crate::book::today;
use fastrand::Rng;
use hirsel_core::entry::{
    AnimalDraft, Check, DoseDraft, LambDraft, LambingDraft, RemarkDraft, TreatmentDraft, WeighingDraft,
    animals, lambing, remark, treatments, weighings,
};
use hirsel_core::flock::{Flock, Sire};
use hirsel_core::terms::{AnimalId, Dose, Moment, Sex, Tag, Weight, Withdrawal};

/// An entry whose records all carry the mark `#n`, and how many records those are.
///
/// # Panics
/// When the made-up values are none.
pub fn entry(rng: &mut Rng, flock: &Flock, n: u64) -> (usize, Check) {
    let mark = Some(format!("#{n}"));
    let of = |sex: Sex| -> Vec<AnimalId> {
        flock
            .files()
            .filter(|f| f.animal.sex == sex && f.animal.born.exact().is_none())
            .map(|f| f.animal.id)
            .collect()
    };
    let ewes = of(Sex::Ewe);
    if ewes.len() < 4 {
        return flock_of(rng, n, 6);
    }
    let some = |rng: &mut Rng, most: usize| -> Vec<AnimalId> {
        (0..rng.usize(1..=most)).map(|_| ewes[rng.usize(..ewes.len())]).collect()
    };
    let at = Moment::day(today());
    match rng.u32(..8) {
        0 => flock_of(rng, n, 4),
        // A long one, so that kills fall within a transaction.
        1 => flock_of(rng, n, 60),
        2 | 3 => {
            let many = rng.usize(1..=3);
            let lamb = |i| LambDraft {
                tag: Tag::parse(&format!("L{n}x{i}")).ok(),
                weight: Weight::from_grams(rng.i64(2500..6000)),
                colour: mark.clone(),
                ..LambDraft::new(if rng.bool() { Sex::Ewe } else { Sex::Ram })
            };
            let lambs: Vec<LambDraft> = (0..many).map(lamb).collect();
            let draft = LambingDraft {
                ewe: ewes[rng.usize(..ewes.len())],
                at,
                sire: of(Sex::Ram).first().map_or(Sire::Unknown, |r| Sire::Known(*r)),
                ease: None,
                help: None,
                note: mark.clone(),
                pen: Some(format!("Jug {}", rng.u32(1..9))),
                lambs,
                foster_on: Vec::new(),
            };
            (1 + draft.lambs.len(), lambing(draft, flock, today()))
        }
        4 => {
            let drafts: Vec<WeighingDraft> = some(rng, 20)
                .into_iter()
                .map(|animal| WeighingDraft {
                    animal,
                    at,
                    weight: Weight::from_grams(rng.i64(40_000..90_000)).unwrap_or_else(|| panic!("a weight")),
                    note: mark.clone(),
                })
                .collect();
            (drafts.len(), weighings(drafts, flock, today()))
        }
        5 => {
            let text = format!("#{n}");
            let draft = RemarkDraft { animals: some(rng, 5), on: today(), text };
            (draft.animals.len(), remark(draft, flock, today()))
        }
        _ => {
            let draft = TreatmentDraft {
                animals: some(rng, 10),
                at,
                product: "Fellmectin".into(),
                batch: mark,
                dose: DoseDraft::Typed(Dose::from_ml(2.5)),
                route: None,
                site: None,
                reason: None,
                given_by: None,
                prescribed_by: None,
                meat: Some(Withdrawal::Days(28)),
                milk: Some(Withdrawal::Unknown),
                more: Default::default(),
            };
            (draft.animals.len(), treatments(vec![draft], flock, today()))
        }
    }
}

fn flock_of(rng: &mut Rng, n: u64, many: usize) -> (usize, Check) {
    let drafts: Vec<AnimalDraft> = (0..many)
        .map(|i| {
            let sex = if rng.u32(..5) == 0 { Sex::Ram } else { Sex::Ewe };
            let tag = Tag::parse(&format!("A{n}x{i}")).unwrap_or_else(|e| panic!("{e}"));
            AnimalDraft { colour: Some(format!("#{n}")), ..AnimalDraft::new(tag, sex) }
        })
        .collect();
    (many, animals(drafts, &Flock::default(), today()))
}

//! Any flock, however odd its tags, comes back whole from its files.

use super::common::{Desk, TODAY, copied, day, exported, portrait};
use super::*;
use crate::entry::{self, AnimalDraft, LambDraft, LambingDraft, Retag};
use crate::flock::{Ended, RecordRef, Sire};
use crate::terms::*;
use proptest::prelude::*;

#[path = "round_trip_blood.rs"]
mod blood;
#[path = "round_trip_cupboard.rs"]
mod cupboard;
#[path = "round_trip_fed.rs"]
mod fed;
#[path = "round_trip_weighed.rs"]
mod weighed;

/// Words that try the text's own signs.
const TAGS: [&str; 12] = [
    "0412",
    "412",
    "-12",
    "=1+1",
    "a|b",
    "x\\y",
    "UK 0123456 00123",
    "b, \"c\"",
    "'q",
    "'-z",
    "@",
    "7 born 2019",
];

#[derive(Debug, Clone)]
struct Op {
    what: u8,
    a: usize,
    b: usize,
    c: u16,
}

fn ops() -> impl Strategy<Value = Vec<Op>> {
    let op = (0u8..46, 0usize..40, 0usize..40, any::<u16>()).prop_map(|(what, a, b, c)| Op { what, a, b, c });
    proptest::collection::vec(op, 5..60)
}

/// Does one thing to the flock, if the entries' checks let it.
#[allow(clippy::too_many_lines)]
fn act(desk: &mut Desk, op: &Op, n: usize) {
    if op.what > 34 {
        if let Some(check) = fed::check(&desk.flock(), op, n) {
            desk.has(check);
        }
        return;
    }
    if op.what > 27 {
        if let Some(check) = weighed::check(&desk.flock(), op, n) {
            desk.has(check);
        }
        return;
    }
    if op.what > 21 {
        if let Some(check) = blood::check(&desk.flock(), op, n) {
            desk.has(check);
        }
        return;
    }
    if op.what > 13 {
        if let Some(check) = cupboard::check(&desk.flock(), op, n) {
            desk.has(check);
        }
        return;
    }
    let flock = desk.flock();
    let today = day(TODAY);
    let mut files: Vec<_> = flock.files().collect();
    files.sort_by_key(|f| f.animal.id);
    let pick = |i: usize| files.get(i % files.len().max(1)).copied();
    // Mostly of the fitting sex; now and then any, to be refused.
    let of = |sex: Sex, i: usize| {
        let fit: Vec<_> = files.iter().copied().filter(|f| f.animal.sex == sex || i == 39).collect();
        fit.get(i % fit.len().max(1)).copied()
    };
    let some_day = |back: u16| today.plus(-i64::from(back % 2500));
    let words = |n: usize| Some(format!("{} {n}", TAGS[n % TAGS.len()]));
    let check = match (op.what, pick(op.a), pick(op.b)) {
        (0..=2, ..) => {
            let (dam, one, other) = (of(Sex::Ewe, op.a), of(Sex::Ram, op.a), of(Sex::Ram, op.b));
            let text = if n < TAGS.len() { TAGS[n].to_string() } else { format!("t{n}") };
            let sex = [Sex::Ewe, Sex::Ewe, Sex::Ram, Sex::Wether][usize::from(op.c) % 4];
            let mut d = AnimalDraft::new(Tag::parse(&text).unwrap(), sex);
            d.born = [Born::On(some_day(op.c)), Born::Year(2019), Born::About(some_day(op.c)), Born::Unknown]
                [op.a % 4];
            d.dam = dam.map(|f| f.animal.id).filter(|_| op.c.is_multiple_of(3));
            d.sire = match (one, other) {
                (Some(x), Some(y)) if op.c.is_multiple_of(5) && x.animal.id != y.animal.id => {
                    Sire::OneOf(vec![x.animal.id, y.animal.id])
                }
                (Some(x), _) if op.c % 3 == 1 => Sire::Known(x.animal.id),
                _ => Sire::Unknown,
            };
            d.breed = Breed::parse(["", "Fellside", "Fellside 3/4 + Hillgrey 1/4"][op.b % 3]).unwrap();
            d.name = words(op.b).filter(|_| op.b.is_multiple_of(2));
            d.note = Some("two\nlines, \"quoted\"".to_string()).filter(|_| op.b.is_multiple_of(7));
            d.prefix = words(op.a).filter(|_| op.b.is_multiple_of(3));
            d.section = words(op.b).filter(|_| op.a.is_multiple_of(4));
            d.meant_for = [MeantFor::Undecided, MeantFor::Breeding, MeantFor::Market][op.a % 3];
            d.pen = words(op.a).filter(|_| op.a.is_multiple_of(3));
            d.status = Status::ALL[usize::from(op.c) % Status::ALL.len()];
            d.status_on = Some(some_day(op.c / 7)).filter(|_| op.b % 2 == 1);
            d.birth_weight = Weight::from_grams(3000 + i64::from(op.c % 3000));
            if op.c.is_multiple_of(4) {
                let number = format!("826{:012}", u64::from(op.c) * 7 + n as u64);
                d.identities.push(entry::IdentityDraft {
                    kind: IdentityKind::Electronic,
                    tag: Tag::parse(&number).unwrap(),
                });
            }
            if op.c % 6 == 1 {
                d.identities.push(entry::IdentityDraft {
                    kind: IdentityKind::Official,
                    tag: Tag::parse(&text).unwrap(),
                });
            }
            if op.c % 9 == 1 {
                d.identities.remove(0);
                d.identities.push(entry::IdentityDraft {
                    kind: IdentityKind::Registry,
                    tag: Tag::parse(&format!("reg{n}")).unwrap(),
                });
            }
            entry::animals(vec![d], &flock, today)
        }
        (3, Some(f), _) => {
            let i = &f.animal.identities[op.b % f.animal.identities.len()];
            let how = if op.c.is_multiple_of(2) { Ended::Lost } else { Ended::Replaced };
            let new = (!op.c.is_multiple_of(3)).then(|| entry::IdentityDraft {
                kind: i.kind,
                tag: if i.kind == IdentityKind::Electronic {
                    Tag::parse(&format!("826{:012}", 5_000_000 + n)).unwrap()
                } else {
                    Tag::parse(TAGS[usize::from(op.c) % TAGS.len()]).unwrap()
                },
            });
            let r = Retag { animal: f.animal.id, ends: Some((i.id, how)), new, on: some_day(op.c) };
            entry::retag(r, &flock, today)
        }
        (4..=6, ..) => {
            let (Some(ewe), Some(ram)) = (of(Sex::Ewe, op.a), of(Sex::Ram, op.b)) else { return };
            let lamb = |i: u16| {
                let mut l = LambDraft::new([Sex::Ewe, Sex::Ram][usize::from(i) % 2]);
                l.tag = Tag::parse(&format!("L{n}-{i}")).ok().filter(|_| !i.is_multiple_of(4));
                l.weight = Weight::from_grams(4000 + i64::from(i) * 10);
                l.fate = Fate::ALL[usize::from(op.c / 3 + i) % 3];
                l.sucked = [None, Some(true), Some(false)][usize::from(i) % 3];
                l.colostrum = Dose::from_ml(f64::from(i) * 12.5);
                l.ease = Some(Ease::Hard).filter(|_| i == 2);
                l.rearing = match op.c % 5 {
                    0 => Rearing::Bottle,
                    1 => of(Sex::Ewe, op.b).map_or(Rearing::Bottle, |f| Rearing::Foster(f.animal.id)),
                    _ => Rearing::Dam,
                };
                l.died_of = Some("cold".to_string()).filter(|_| l.fate == Fate::Died);
                l
            };
            let d = LambingDraft {
                ewe: ewe.animal.id,
                at: Moment {
                    day: some_day(op.c),
                    time: Minute::new(u32::from(op.c) % 24, 7).filter(|_| op.c.is_multiple_of(2)),
                },
                sire: match op.c % 3 {
                    0 => Sire::Known(ram.animal.id),
                    1 => files
                        .iter()
                        .find(|f| f.animal.sex == Sex::Ram && f.animal.id != ram.animal.id)
                        .map_or(Sire::Unknown, |f| Sire::OneOf(vec![ram.animal.id, f.animal.id])),
                    _ => Sire::Unknown,
                },
                ease: Some(Ease::Slight).filter(|_| op.c % 2 == 1),
                help: words(op.a).filter(|_| op.a.is_multiple_of(3)),
                note: words(op.b).filter(|_| op.b.is_multiple_of(3)),
                pen: None,
                lambs: (1..=1 + op.c % 3).map(lamb).collect(),
                foster_on: Vec::new(),
            };
            // Two lambings of one ewe on one day cannot be told apart in rows.
            if ewe.lambings.iter().any(|l| l.at.day == d.at.day) {
                return;
            }
            entry::lambing(d, &flock, today)
        }
        (7, ..) => {
            let (Some(ewe), Some(ram)) = (of(Sex::Ewe, op.a), of(Sex::Ram, op.b)) else { return };
            let from = some_day(op.c);
            let to = Some(from.plus(i64::from(op.c % 40))).filter(|_| !op.c.is_multiple_of(3));
            let d = entry::JoiningDraft {
                ram: ram.animal.id,
                ewes: vec![ewe.animal.id],
                from,
                to,
                method: words(op.a).filter(|_| op.a.is_multiple_of(4)),
                group: words(op.b).filter(|_| op.b.is_multiple_of(3)),
            };
            entry::joinings(vec![d], &flock, today)
        }
        (8 | 9, Some(f), _) => {
            let d = entry::WeighingDraft {
                animal: f.animal.id,
                at: Moment {
                    day: some_day(op.c),
                    time: Minute::new(u32::from(op.c) % 24, 30).filter(|_| op.a.is_multiple_of(2)),
                },
                weight: Weight::from_grams(20_000 + i64::from(op.c)).unwrap(),
                note: words(op.b).filter(|_| op.b.is_multiple_of(3)),
            };
            entry::weighings(vec![d], &flock, today)
        }
        (10 | 11, Some(f), _) => {
            let periods = [
                Withdrawal::Unknown,
                Withdrawal::Days(0),
                Withdrawal::Days(28),
                Withdrawal::Hours(60),
                Withdrawal::Never,
            ];
            let d = entry::TreatmentDraft {
                animals: vec![f.animal.id],
                at: Moment { day: some_day(op.c), time: None },
                product: TAGS[op.b % TAGS.len()].into(),
                batch: words(op.a).filter(|_| op.a.is_multiple_of(2)),
                dose: entry::DoseDraft::Typed(
                    [
                        None,
                        Some(Dose::Volume(u32::from(op.c) + 1)),
                        Some(Dose::Mass(u64::from(op.c) + 1)),
                        Some(Dose::Pieces(2)),
                    ][op.b % 4],
                ),
                route: Some(Route::ALL[usize::from(op.c) % Route::ALL.len()])
                    .filter(|_| !op.a.is_multiple_of(3)),
                site: words(op.a).filter(|_| op.a.is_multiple_of(5)),
                reason: words(op.b).filter(|_| op.b.is_multiple_of(5)),
                given_by: None,
                prescribed_by: words(op.b).filter(|_| op.b.is_multiple_of(6)),
                meat: Some(periods[op.a % 5]),
                milk: Some(periods[op.b % 5]),
                more: cupboard::extra(&flock, f, op),
            };
            entry::treatments(vec![d], &flock, today)
        }
        (12, ..) => {
            let d = entry::ProductDraft {
                name: TAGS[op.b % TAGS.len()].into(),
                substance: words(op.a),
                form: None,
                strength: Strength::from_mg_per_ml(f64::from(op.c) / 8.0),
                rule: [
                    DoseRule::Typed,
                    DoseRule::PerKg(u32::from(op.c) + 1),
                    DoseRule::PerHead(u32::from(op.c) + 1),
                ][op.a % 3],
                route: None,
                meat: Withdrawal::Days(op.c % 100),
                milk: Withdrawal::Unknown,
                licensed_for: words(op.b),
                more: cupboard::label(op),
            };
            entry::products(vec![d], &flock)
        }
        (13, Some(f), _) => {
            // A struck record is not carried.
            let Some(w) = f.weighings.first() else { return };
            entry::strike(f.animal.id, RecordRef::Weighing(w.id), "wrong", &flock, today)
        }
        _ => return,
    };
    desk.has(check);
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 40, ..ProptestConfig::default() })]
    #[test]
    fn any_flock_comes_back_from_its_files(ops in ops()) {
        let mut desk = Desk::new();
        for (n, op) in ops.iter().enumerate() {
            act(&mut desk, op, n);
        }
        let copy = copied(&desk.flock());
        let (got, want) = (portrait(&copy.flock()), portrait(&desk.flock()));
        let first = want.iter().flat_map(|w| w.lines()).find(|l| !got.iter().any(|g| g.lines().any(|m| m == *l)));
        prop_assert_eq!(first, None, "a line of the book that did not come back");
        prop_assert!(got == want, "{:#?}\n{:#?}", got, want);
        prop_assert_eq!(exported(&copy.flock()), exported(&desk.flock()));
        super::all::tests::forms_hold(&desk.flock());
    }

    #[test]
    fn any_flock_comes_back_from_its_spreadsheets(ops in ops()) {
        let mut desk = Desk::new();
        for (n, op) in ops.iter().enumerate() {
            act(&mut desk, op, n);
        }
        let flock = desk.flock();
        let lists: Vec<Listed> = Kind::ALL.into_iter().map(|k| list(k, &flock)).collect();
        let bytes = workbook(&lists, day(TODAY)).unwrap();
        let mut copy = Desk::new();
        for (i, kind) in Kind::ALL.into_iter().enumerate() {
            let text = xlsx::tests::as_csv(&bytes, i, &lists[i]);
            copy.import(kind, &text).unwrap_or_else(|e| panic!("{}: {e:#?}\n{text}", kind.word()));
        }
        prop_assert_eq!(exported(&copy.flock()), exported(&flock));
    }

    #[test]
    fn no_bytes_bring_it_down(bytes in proptest::collection::vec(any::<u8>(), 0..300), head in any::<bool>()) {
        let mut file = if head { b"tag,sex,other_tags,sire,born\n".to_vec() } else { Vec::new() };
        file.extend(bytes);
        let _ = read(Kind::Animals, "x", &file, &Flock::default(), day(TODAY));
    }
}

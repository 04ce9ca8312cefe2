//! Any cupboard and any comings and goings, for the round trip.

use super::*;
use crate::entry::{
    BatchDraft, Check, EggCountDraft, PrescriptionDraft, StandingDraft, StockDraft, TreatmentExtra, VetDraft,
};
use crate::flock::{AnimalFile, CoursePart, MoveDetails, ProductMore, RoutePeriods, StockChange};

const PERIODS: [Withdrawal; 5] = [
    Withdrawal::Unknown,
    Withdrawal::Days(0),
    Withdrawal::Days(42),
    Withdrawal::Hours(96),
    Withdrawal::Never,
];

fn word(n: usize) -> Option<String> {
    (!n.is_multiple_of(3)).then(|| format!("{} {n}", TAGS[n % TAGS.len()]))
}

pub(super) fn label(op: &Op) -> ProductMore {
    let c = usize::from(op.c);
    ProductMore {
        export: PERIODS[c % 5],
        routes: Route::ALL
            .iter()
            .take(op.a % 4)
            .map(|route| RoutePeriods {
                route: *route,
                meat: PERIODS[c / 5 % 5],
                milk: PERIODS[op.b % 5],
                export: PERIODS[c % 5],
            })
            .collect(),
        opened_days: Some(op.c % 90 + 1).filter(|_| op.b.is_multiple_of(2)),
        storage: word(op.b),
        prescription_only: op.a.is_multiple_of(2),
        class: ProductClass::ALL[c % 4],
        most: [None, Some(Dose::Volume(u32::from(op.c) + 1)), Some(Dose::Pieces(3))][op.a % 3],
        site_most: Some(Dose::Mass(u64::from(op.c) + 1)).filter(|_| op.b.is_multiple_of(3)),
    }
}

pub(super) fn extra(flock: &Flock, f: &AnimalFile, op: &Op) -> TreatmentExtra {
    let prescriptions = &flock.cupboard().prescriptions;
    let before = f.treatments_standing().filter_map(|t| t.more.course).next_back();
    let new = CoursePart { id: CourseId::new(), nth: 1, of: 3, every_hours: op.c % 72 + 1 };
    let next = before.filter(|p| p.nth < p.of).map(|p| CoursePart { nth: p.nth + 1, ..p });
    TreatmentExtra {
        export: Some(PERIODS[op.a % 5]).filter(|_| !op.b.is_multiple_of(4)),
        vet_gave: op.a.is_multiple_of(7),
        off_label: word(op.b).filter(|_| op.a.is_multiple_of(6)),
        prescription: prescriptions.get(op.a % prescriptions.len().max(1)).map(|p| p.id),
        of_course: [None, next, Some(new)][op.b % 3],
        ..Default::default()
    }
}

/// One entry of the cupboard or of the register; nothing where it needs what is not there.
pub(super) fn check(flock: &Flock, op: &Op, n: usize) -> Option<Check> {
    let today = day(TODAY);
    let on = today.plus(-i64::from(op.c % 2500));
    let mut files: Vec<_> = flock.files().collect();
    files.sort_by_key(|f| f.animal.id);
    let animal = files.get(op.a % files.len().max(1)).map(|f| f.animal.id);
    let shelf = flock.cupboard();
    let product = flock.products().get(op.b % flock.products().len().max(1)).map(|p| p.name.clone());
    let some = |k: usize| word(k + n);
    let written = |k: usize| some(k).map(crate::terms::Words::from);
    // The number of another product's bottle is refused once that one is known.
    let number = |name: &str| format!("{} of {name}", TAGS[op.a % TAGS.len()]);
    Some(match op.what {
        14 => {
            let name = format!("Vet {}", TAGS[op.a % TAGS.len()]);
            let (practice, address, contact) = (some(op.a), some(op.b), some(op.a + 1));
            let id = shelf.vet_named(&name).map(|v| v.id);
            entry::vets(vec![VetDraft { id, name, practice, address, contact, number: some(op.b) }], flock)
        }
        15 => {
            let vet = shelf.vets.get(op.a % shelf.vets.len().max(1))?.id;
            let d = PrescriptionDraft {
                vet,
                on,
                valid_to: Some(on.plus(30)).filter(|_| op.a.is_multiple_of(2)),
                // Some have the same number, some none.
                number: [None, Some("=7".into()), some(op.b)][op.b % 3].clone(),
                product: product.unwrap_or_else(|| "Drench".into()),
                whom: some(op.a),
                dose: some(op.b),
                reason: some(n),
                off_label: op.c.is_multiple_of(2),
                meat: PERIODS[op.a % 5],
                milk: PERIODS[op.b % 5],
                export: PERIODS[n % 5],
            };
            entry::prescriptions(vec![d], flock, today)
        }
        16 | 17 => {
            let d = BatchDraft {
                number: number(product.as_deref()?),
                product: product?,
                expiry: Some(on.plus(400)).filter(|_| op.a.is_multiple_of(2)),
                bought_on: Some(on).filter(|_| !op.b.is_multiple_of(4)),
                supplier: some(op.a),
                supplier_address: some(op.b),
                quantity: [None, Some(Dose::Volume(5_000_000)), Some(Dose::Pieces(40))][op.a % 3],
                price: Some(Price::from_cents(u32::from(op.c))).filter(|_| op.b.is_multiple_of(2)),
                invoice: some(n),
                opened_on: Some(today.plus(-3)).filter(|_| op.a.is_multiple_of(5)),
                note: some(op.a + op.b),
            };
            entry::batches(vec![d], flock, today)
        }
        18 => {
            let change = StockChange::ALL[op.a % 3];
            let d = StockDraft {
                batch: Some(number(product.as_deref()?)).filter(|_| op.b.is_multiple_of(2)),
                product: product?,
                on,
                change,
                quantity: Some(Dose::Volume(u32::from(op.c) + 1))
                    .filter(|_| change != StockChange::Counted || op.b.is_multiple_of(2)),
                how: some(op.a),
                place: some(op.b),
                // A count that agreed may differ once all is known: it says why.
                reason: some(n).or(Some("shelf count".into())),
            };
            entry::stock_moves(vec![d], flock, today)
        }
        19 => {
            let d = EggCountDraft {
                animal: animal.filter(|_| op.b.is_multiple_of(2)),
                group: some(op.a),
                on,
                epg: u32::from(op.c),
                product: some(op.b),
                treated_on: Some(on).filter(|_| op.a.is_multiple_of(2)),
                note: some(n),
            };
            entry::egg_counts(vec![d], flock, today)
        }
        _ => {
            // One born dead that is written down as sold contradicts itself: its fate is not carried.
            let born = files.get(op.a % files.len().max(1)).and_then(|f| f.birth.as_ref());
            if born.is_some_and(|b| b.fate != Fate::Alive) {
                return None;
            }
            let last = files.iter().flat_map(|f| &f.movements).filter(|m| Some(m.animal) == animal);
            let after = last.map(|m| m.on).max().unwrap_or(on);
            let d = StandingDraft {
                animals: vec![animal?],
                to: [Status::Sold, Status::Present, Status::Lent, Status::Dead, Status::Missing][op.b % 5],
                // Now and then two on one day.
                on: after.plus(i64::from(op.c % 3)),
                other: some(op.a),
                reason: some(op.b),
                details: MoveDetails {
                    number: written(n),
                    address: written(n + 1),
                    carrier: written(op.a),
                    vehicle: written(op.b),
                    document: written(op.a + 1),
                    cause: written(op.b + 1),
                    disposal: written(op.a + op.b),
                    receipt: None,
                },
            };
            entry::standing(d, flock, today)
        }
    })
}

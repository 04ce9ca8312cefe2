//! A book with a medicine cupboard in use, for tests of its pages.

use crate::flocks::{Folder, day, shed_book, write};
use hirsel_core::book::Book;
use hirsel_core::entry::{
    self, BatchDraft, DoseDraft, EggCountDraft, PrescriptionDraft, ProductDraft, StockDraft, TreatmentDraft,
    VetDraft,
};
use hirsel_core::flock::{ProductMore, StockChange};
use hirsel_core::terms::{AnimalId, Day, Dose, DoseRule, Moment, Price, ProductClass, Route, Withdrawal};

/// The day of the tests.
pub fn today() -> Day {
    day("2026-04-10")
}

/// Name of the drench.
pub const DRENCH: &str = "levamisole drench";
/// Name of the vaccine.
pub const VACCINE: &str = "clostridial vaccine 4-in-1";
/// A long name.
pub const LONG: &str = "oxytetracycline long-acting injection 200 mg/ml for cattle, sheep and pigs";

fn ml(ml: u32) -> Option<Dose> {
    Some(Dose::Volume(ml * 1000))
}

fn batch(product: &str, number: &str, expiry: &str, bought: &str, quantity: Option<Dose>) -> BatchDraft {
    BatchDraft {
        product: product.into(),
        number: number.into(),
        expiry: Some(day(expiry)),
        bought_on: Some(day(bought)),
        supplier: Some("Dale Farm Supplies and Sons, Agricultural Merchants".into()),
        supplier_address: Some("Market Place, Thornley".into()),
        quantity,
        price: Some(Price::from_cents(4250)),
        invoice: Some("2231".into()),
        opened_on: None,
        note: None,
    }
}

/// The book of a shed in lambing time with its cupboard: a batch in each state, a vet, a prescription, egg counts.
///
/// # Panics
/// When an entry is not taken.
pub fn shelf_book(folder: &Folder) -> (Book, [AnimalId; 4]) {
    let (mut book, ids) = shed_book(folder);
    let long = ProductDraft {
        name: LONG.into(),
        substance: Some("oxytetracycline".into()),
        form: Some("injection".into()),
        strength: None,
        rule: DoseRule::PerKg(100),
        route: Some(Route::Intramuscular),
        meat: Withdrawal::Days(31),
        milk: Withdrawal::Days(7),
        licensed_for: Some("cattle, sheep, pigs".into()),
        more: ProductMore {
            opened_days: Some(28),
            class: ProductClass::Antibiotic,
            prescription_only: true,
            storage: Some("below 25 °C, out of the light".into()),
            ..ProductMore::default()
        },
    };
    let check = entry::products(vec![long], &book.flock());
    write(&mut book, check);
    let mut stale = batch(LONG, "OXY-2025/0117-B", "2027-08-31", "2026-01-20", ml(100));
    stale.opened_on = Some(day("2026-02-01"));
    let all = vec![
        batch(DRENCH, "L41", "2027-05-31", "2026-03-01", ml(500)),
        batch(DRENCH, "L38", "2026-04-30", "2025-06-01", ml(250)),
        batch(DRENCH, "L22", "2026-03-31", "2024-11-01", ml(250)),
        batch(VACCINE, "V1", "2026-12-31", "2026-02-01", ml(50)),
        stale,
    ];
    let check = entry::batches(all, &book.flock(), today());
    write(&mut book, check);
    give(&mut book, &ids[..2], VACCINE, Some("V1"), 23);
    give(&mut book, &ids[..3], DRENCH, Some("L38"), 7);
    give(&mut book, &ids[..1], DRENCH, None, 6);
    let wasted = StockDraft {
        product: DRENCH.into(),
        batch: Some("L38".into()),
        on: day("2026-03-20"),
        change: StockChange::Wasted,
        quantity: ml(20),
        how: None,
        place: None,
        reason: Some("gun leaked".into()),
    };
    let check = entry::stock_moves(vec![wasted], &book.flock(), today());
    write(&mut book, check);
    let vet = VetDraft {
        id: None,
        name: "Ada Kell".into(),
        practice: Some("Fell Side Veterinary Practice".into()),
        address: Some("2 Mill Lane, Thornley".into()),
        contact: Some("01632 960017".into()),
        number: Some("V-5512".into()),
    };
    let check = entry::vets(vec![vet], &book.flock());
    write(&mut book, check);
    let prescription = PrescriptionDraft {
        vet: book.flock().cupboard().vets[0].id,
        on: day("2026-01-20"),
        valid_to: Some(day("2026-07-20")),
        number: Some("RX 77".into()),
        product: LONG.into(),
        whom: Some("ewes with joint trouble, top field".into()),
        dose: Some("4 ml once, again after 3 days".into()),
        reason: Some("joint ill".into()),
        off_label: false,
        meat: Withdrawal::Unknown,
        milk: Withdrawal::Unknown,
        export: Withdrawal::Unknown,
    };
    let check = entry::prescriptions(vec![prescription], &book.flock(), today());
    write(&mut book, check);
    let counts = [("2026-03-18", [450, 600, 300]), ("2026-04-02", [50, 20, 40])];
    let counts = counts.into_iter().flat_map(|(on, all)| {
        ids.into_iter().zip(all).map(move |(animal, epg)| EggCountDraft {
            animal: Some(animal),
            group: Some("top field".into()),
            on: day(on),
            epg,
            product: Some(DRENCH.into()),
            treated_on: Some(day("2026-03-20")),
            note: None,
        })
    });
    let check = entry::egg_counts(counts.collect(), &book.flock(), today());
    write(&mut book, check);
    (book, ids)
}

fn give(book: &mut Book, animals: &[AnimalId], product: &str, batch: Option<&str>, each: u32) {
    let draft = TreatmentDraft {
        animals: animals.to_vec(),
        at: Moment::day(day("2026-03-20")),
        product: product.into(),
        batch: batch.map(Into::into),
        dose: DoseDraft::Typed(ml(each)),
        route: None,
        site: None,
        reason: None,
        given_by: None,
        prescribed_by: None,
        meat: None,
        milk: None,
        more: Default::default(),
    };
    let checked =
        entry::treatments(vec![draft], &book.flock(), today()).unwrap_or_else(|r| panic!("{}", r[0]));
    // Far beyond the label: the dose is said once more.
    let sure = checked.despite(&format!("as it was, {each} ml")).unwrap_or_else(|e| panic!("{e}"));
    book.write(sure).unwrap_or_else(|e| panic!("{e}"));
}

//! A shed with a medicine cupboard under a rule set, and treatments of it to be checked.

use hirsel_core::book::Book;
use hirsel_core::entry::{
    self, BatchDraft, Check, Checked, DoseDraft, PrescriptionDraft, ProductDraft, TreatmentDraft, VetDraft,
};
use hirsel_core::flock::{Holding, ProductMore, RoutePeriods, Treatment};
use hirsel_core::terms::{
    AnimalId, Day, Dose, DoseRule, Moment, PrescriptionId, ProductClass, Route, Withdrawal,
};

use crate::flocks::{Folder, day, shed_book, write};

/// The day of the shed.
pub fn today() -> Day {
    day("2026-04-10")
}

/// The shed's book under a rule set, with a cupboard: an antibiotic for cattle and pigs, one for sheep by two routes,
/// a banned one, and batches of two of them.
pub struct Shed {
    _folder: Folder,
    /// The book.
    pub book: Book,
    /// Three ewes and the ram.
    pub ids: [AnimalId; 4],
    /// A prescription of the product for cattle and pigs.
    pub script: PrescriptionId,
}

/// The shed under a rule set.
///
/// # Panics
/// When it cannot be written.
pub fn shed(rules: &str, organic: bool) -> Shed {
    let folder = Folder::new();
    let (mut book, ids) = shed_book(&folder);
    let holding = Holding { rules: rules.into(), organic, ..book.flock().holding().clone() };
    if holding != *book.flock().holding() {
        let check = entry::holding(holding, &book.flock());
        write(&mut book, check);
    }
    let product = |name: &str, substance: &str, whom: &str, more: ProductMore| ProductDraft {
        name: name.into(),
        substance: Some(substance.into()),
        form: Some("injection".into()),
        strength: None,
        rule: DoseRule::PerKg(100),
        route: Some(Route::Intramuscular),
        meat: Withdrawal::Days(21),
        milk: Withdrawal::Hours(60),
        licensed_for: Some(whom.into()),
        more,
    };
    let by_route = RoutePeriods {
        route: Route::Subcutaneous,
        meat: Withdrawal::Days(35),
        milk: Withdrawal::Hours(84),
        export: Withdrawal::Unknown,
    };
    let drafts = vec![
        product("Cattle tetracycline", "oxytetracycline", "cattle, pigs", ProductMore::default()),
        product(
            "Fellcillin",
            "procaine benzylpenicillin",
            "sheep, cattle",
            ProductMore {
                routes: vec![by_route],
                most: Dose::from_ml(10.0),
                prescription_only: true,
                class: ProductClass::Antibiotic,
                opened_days: Some(28),
                ..Default::default()
            },
        ),
        product("Enrofloxacin 10 %", "enrofloxacin", "cattle", ProductMore::default()),
    ];
    let check = entry::products(drafts, &book.flock());
    write(&mut book, check);
    let batch = |product: &str, number: &str, ml: f64| BatchDraft {
        product: product.into(),
        number: number.into(),
        expiry: Some(day("2026-03-31")),
        bought_on: Some(day("2026-01-10")),
        supplier: Some("Dale Farm Supplies".into()),
        supplier_address: Some("2 Mart Road, Kirkby".into()),
        quantity: Dose::from_ml(ml),
        price: None,
        invoice: Some("771".into()),
        opened_on: None,
        note: None,
    };
    let later = |mut b: BatchDraft| {
        b.expiry = Some(day("2027-12-31"));
        b.opened_on = Some(day("2026-02-01"));
        b
    };
    let drafts = vec![
        batch("Cattle tetracycline", "CG1", 50.0),
        later(batch("Fellcillin", "FC2", 12.0)),
        batch("levamisole drench", "LV9", 500.0),
    ];
    let check = entry::batches(drafts, &book.flock(), today());
    let checked = check.unwrap_or_else(|r| panic!("{}", r[0]));
    book.write(checked.despite("as on the shelf").expect("a word")).expect("written");
    let vet = VetDraft {
        id: None,
        name: "Orla Brennan".into(),
        practice: None,
        address: None,
        contact: None,
        number: None,
    };
    let check = entry::vets(vec![vet], &book.flock());
    write(&mut book, check);
    let script = PrescriptionDraft {
        vet: book.flock().cupboard().vets[0].id,
        on: day("2026-03-01"),
        valid_to: Some(day("2026-03-31")),
        number: Some("P-12".into()),
        product: "Cattle tetracycline".into(),
        whom: Some("0412".into()),
        dose: None,
        reason: Some("foot abscess".into()),
        off_label: true,
        meat: Withdrawal::Days(40),
        milk: Withdrawal::Days(7),
        export: Withdrawal::Unknown,
    };
    let check = entry::prescriptions(vec![script], &book.flock(), today());
    let checked = check.unwrap_or_else(|r| panic!("{}", r[0]));
    book.write(checked.despite("as written").expect("a word")).expect("written");
    let script = book.flock().cupboard().prescriptions[0].id;
    Shed { _folder: folder, book, ids, script }
}

impl Shed {
    /// A treatment of the first ewe with everything written that the tests do not change.
    pub fn draft(&self, product: &str) -> TreatmentDraft {
        TreatmentDraft {
            animals: vec![self.ids[0]],
            at: Moment::day(today()),
            product: product.into(),
            batch: None,
            dose: DoseDraft::ByRule,
            route: None,
            site: None,
            reason: Some("lame".into()),
            given_by: Some("Maud Thornley".into()),
            prescribed_by: None,
            meat: None,
            milk: None,
            more: Default::default(),
        }
    }

    /// Checks it against the book as it is.
    pub fn check(&self, d: TreatmentDraft) -> Check {
        entry::treatments(vec![d], &self.book.flock(), today())
    }

    /// It is refused at this field in these words.
    ///
    /// # Panics
    /// When it is not.
    #[track_caller]
    pub fn refuses(&self, d: TreatmentDraft, field: &str, words: &str) {
        let refusals = self.check(d).expect_err("refused");
        let found = refusals.iter().find(|r| r.field.name == field && r.to_string() == words);
        assert!(
            found.is_some(),
            "{:#?}",
            refusals.iter().map(|r| format!("{}: {r}", r.field.name)).collect::<Vec<_>>()
        );
    }

    /// It is asked about at this field in these words.
    ///
    /// # Panics
    /// When it is not.
    #[track_caller]
    pub fn asks(&self, d: TreatmentDraft, field: &str, words: &str) -> Checked {
        let checked = self.check(d).unwrap_or_else(|r| panic!("{}", r[0]));
        let found = checked.questions().iter().find(|q| q.field.name == field && q.to_string() == words);
        assert!(
            found.is_some(),
            "{:#?}",
            checked.questions().iter().map(|q| format!("{}: {q}", q.field.name)).collect::<Vec<_>>()
        );
        checked
    }
}

/// The treatments of an entry.
///
/// # Panics
/// When it is another one.
pub fn treatments_of(checked: &Checked) -> &[Treatment] {
    let entry::Entry::Treatments(all) = checked.entry() else { panic!("treatments") };
    all
}

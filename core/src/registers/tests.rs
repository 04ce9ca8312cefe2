//! Registers of a small flock made by hand.

use super::*;
use crate::flock::{Batch, CoursePart, Cupboard, Holding, Prescription, Product, ProductMore, Struck, Vet};
use crate::papers::fixture::{self, day};
use crate::terms::{
    BatchId, CourseId, DoseRule, Moment, MovementId, PrescriptionId, ProductClass, ProductId, Sex, Status,
    VetId, Withdrawal,
};

fn moved(f: &mut crate::flock::AnimalFile, on: &str, to: Status, other: Option<&str>) {
    f.movements.push(crate::flock::Movement {
        id: MovementId::new(),
        animal: f.animal.id,
        on: day(on),
        to,
        other: other.map(Into::into),
        reason: None,
        details: Default::default(),
        struck: None,
    });
    (f.animal.status, f.animal.status_on) = (to, Some(day(on)));
}

/// Two ewes sold together, one dead, one that stays; one treatment struck out.
fn flock() -> Flock {
    let mut flock = Flock::default();
    let mut files: Vec<_> = ["1", "2", "3", "4"].map(|t| fixture::animal(t, "", Sex::Ewe)).into();
    moved(&mut files[0], "2026-03-05", Status::Sold, Some("M. Birkett"));
    moved(&mut files[1], "2026-03-05", Status::Sold, Some("M. Birkett"));
    moved(&mut files[2], "2026-03-07", Status::Dead, None);
    let id = files[3].animal.id;
    let at = Moment::day(day("2026-03-01"));
    files[3].treatments.push(fixture::treatment(id, "drench", at, Withdrawal::Days(14), Withdrawal::Never));
    let mut struck = fixture::treatment(id, "drench", at, Withdrawal::Days(90), Withdrawal::Days(90));
    struck.struck = Some(Box::new(Struck { on: day("2026-03-02"), reason: "written twice".into() }));
    files[3].treatments.push(struck);
    files.into_iter().for_each(|f| flock.put(f));
    flock.set_holding(Holding { flock: "Thornfell".into(), ..Holding::default() });
    flock
}

fn made(kind: RegisterKind, from: Option<&str>, to: Option<&str>) -> Register {
    kind.make(&flock(), Span::new(from.map(day), to.map(day)).unwrap(), day("2026-04-01"))
}

fn csv(register: &Register, row: usize, column: &str) -> String {
    let i = register.heads().iter().position(|h| *h == column).unwrap();
    register.values()[row][i].clone()
}

#[test]
fn animals_of_one_move_stand_together() {
    let r = made(RegisterKind::Movements, None, None);
    assert_eq!(r.rows.len(), 1);
    assert_eq!((csv(&r, 0, "count"), csv(&r, 0, "identities")), ("2".into(), "1; 2".into()));
    assert_eq!((csv(&r, 0, "direction"), csv(&r, 0, "other_place")), ("off".into(), "M. Birkett".into()));
    let deaths = made(RegisterKind::Deaths, None, None);
    assert_eq!((deaths.rows.len(), csv(&deaths, 0, "animal")), (1, "3".into()));
}

#[test]
fn the_first_and_the_last_day_of_a_span_are_in_it() {
    for (from, to, n) in [
        (Some("2026-03-05"), Some("2026-03-05"), 1),
        (Some("2026-03-06"), None, 0),
        (None, Some("2026-03-04"), 0),
    ] {
        assert_eq!(made(RegisterKind::Movements, from, to).rows.len(), n, "{from:?} {to:?}");
    }
    let empty = made(RegisterKind::Movements, Some("2020-01-01"), Some("2020-12-31"));
    assert_eq!(empty.empty, "No entries from 1 Jan 2020 to 31 Dec 2020.");
    assert!(Span::new(Some(day("2026-02-01")), Some(day("2026-01-01"))).is_err());
}

#[test]
fn struck_lines_stay_and_count_nowhere() {
    let r = made(RegisterKind::TreatmentLog, None, None);
    assert_eq!(r.rows.iter().filter(|r| r.struck).count(), 1);
    assert_eq!(r.counted(), "1 entry, 1 struck out");
    let struck = r.rows.iter().find(|r| r.struck).unwrap();
    assert_eq!(struck.remarks, ["Struck out on 2 Mar 2026: written twice"]);
    let held = made(RegisterKind::WithdrawalNow, None, Some("2026-03-10"));
    assert_eq!((held.rows.len(), csv(&held, 0, "meat_clear_on")), (1, "2026-03-16".into()));
    assert_eq!(csv(&held, 0, "milk_clear_on"), "never");
}

#[test]
fn who_was_there_on_a_day() {
    for (on, n) in [("2026-03-04", 4), ("2026-03-05", 2), ("2026-03-07", 1)] {
        assert_eq!(made(RegisterKind::FlockCount, None, Some(on)).rows.len(), n, "{on}");
    }
}

#[test]
fn every_row_has_a_cell_for_each_column_and_every_word_is_read_back() {
    let (shed, _, _) = fixture::lambing_shed();
    for kind in RegisterKind::ALL {
        assert_eq!(RegisterKind::parse(kind.word()), Ok(kind));
        for flock in [&flock(), &shed] {
            let r = kind.make(flock, Span::default(), day("2026-04-20"));
            assert!(r.rows.iter().all(|row| row.cells.len() == r.columns.len()), "{kind:?}");
            assert!(!r.about.is_empty(), "{kind:?} says how it was made");
        }
    }
    assert!(RegisterKind::parse("moves").unwrap_err().0.contains("movement-register"));
}

/// A flock with a vet, a prescription, a batch that was bought, and an antibiotic given by it off-label on three days
/// that names another vet.
fn prescribed() -> Flock {
    let vet = Vet {
        id: VetId::new(),
        name: "P. Lorrimond".into(),
        practice: Some("Brackenrigg Vets".into()),
        address: None,
        contact: None,
        number: None,
    };
    let paper = Prescription {
        id: PrescriptionId::new(),
        vet: vet.id,
        on: day("2026-02-27"),
        valid_to: None,
        number: Some("23/207".into()),
        product: "oxytetracycline".into(),
        whom: None,
        dose: None,
        reason: None,
        off_label: true,
        meat: Withdrawal::Unknown,
        milk: Withdrawal::Unknown,
        export: Withdrawal::Unknown,
        struck: None,
    };
    let product = Product {
        id: ProductId::new(),
        name: "oxytetracycline".into(),
        substance: None,
        form: None,
        strength: None,
        rule: DoseRule::Typed,
        route: None,
        meat: Withdrawal::Days(28),
        milk: Withdrawal::Days(7),
        licensed_for: None,
        more: ProductMore { class: ProductClass::Antibiotic, ..ProductMore::default() },
    };
    let batch = Batch {
        id: BatchId::new(),
        product: product.id,
        number: "B-2207".into(),
        expiry: Some(day("2027-01-31")),
        bought_on: Some(day("2026-02-27")),
        supplier: Some("Brackenrigg Vets".into()),
        supplier_address: Some("2 Kiln Row, Sallowmere".into()),
        quantity: None,
        price: None,
        invoice: None,
        opened_on: None,
        note: None,
        struck: None,
    };
    let mut file = fixture::animal("7", "", Sex::Ewe);
    for on in ["2026-03-04", "2026-03-05", "2026-03-06"] {
        let (id, at) = (file.animal.id, Moment::day(day(on)));
        let mut t = fixture::treatment(id, "oxytetracycline", at, Withdrawal::Days(28), Withdrawal::Unknown);
        t.prescribed_by = Some("I. Corvane".into());
        t.more.prescription = Some(paper.id);
        t.more.off_label = Some("double dose".into());
        file.treatments.push(t);
    }
    let mut flock = Flock::default();
    flock.put(file);
    flock.set_products(vec![product]);
    flock.set_cupboard(Cupboard {
        vets: vec![vet],
        prescriptions: vec![paper],
        batches: vec![batch],
        ..Cupboard::default()
    });
    flock
}

#[test]
fn every_register_names_the_same_vet_and_says_where_the_record_names_another() {
    let flock = prescribed();
    let today = day("2026-04-01");
    for (kind, column) in [
        (RegisterKind::TreatmentLog, "prescribed_by"),
        (RegisterKind::OffLabel, "vet"),
        (RegisterKind::Antibiotics, "prescribed_by"),
    ] {
        let r = kind.make(&flock, Span::default(), today);
        assert_eq!(csv(&r, 0, column), "P. Lorrimond", "{kind:?}");
        assert_eq!(
            r.rows[0].remarks.iter().filter(|r| r.contains("I. Corvane")).collect::<Vec<_>>(),
            ["Written as prescribed by I. Corvane; its prescription 23/207 is by P. Lorrimond"],
            "{kind:?}"
        );
    }
    let v = crate::reckon::visit::visit(&flock, today);
    let gap = v.questions.iter().flat_map(|q| &q.gaps).find(|g| g.words.contains("another vet"));
    assert_eq!(gap.map(|g| g.sort_words()), Some("To mend"));
}

#[test]
fn a_price_has_its_sign_where_it_is_read_and_none_in_the_table() {
    let mut flock = prescribed();
    let mut cupboard = Cupboard::clone(flock.cupboard());
    cupboard.batches[0].price = Some(crate::terms::Price::from_cents(1250));
    flock.set_cupboard(cupboard);
    let holding = Holding { currency: "£".into(), ..flock.holding().clone() };
    let _spoken = holding.speech().during();
    let r = RegisterKind::MedicineBought.make(&flock, Span::default(), day("2026-04-01"));
    let at = r.columns.iter().position(|c| c.csv == "price").unwrap();
    assert_eq!((r.rows[0].cells[at].shown.as_str(), r.values()[0][at].as_str()), ("£12.50", "12.50"));
}

#[test]
fn the_supplier_stands_once_a_batch_and_not_on_every_line() {
    let r = RegisterKind::TreatmentLog.make(&prescribed(), Span::default(), day("2026-04-01"));
    let shown = r.columns.iter().zip(&r.rows[0].cells).filter(|(c, _)| c.is_shown());
    assert!(shown.map(|(_, v)| format!("{}{}", v.shown, v.under)).all(|w| !w.contains("Brackenrigg")));
    assert_eq!(csv(&r, 0, "supplier"), "Brackenrigg Vets, 2 Kiln Row, Sallowmere");
    let totals = r.totals.iter().find(|t| t.title == "Batches given").unwrap();
    assert_eq!(totals.rows.len(), 1);
    let words: Vec<&str> = totals.rows[0].iter().map(|c| c.csv.as_str()).collect();
    assert_eq!(
        words,
        [
            "oxytetracycline",
            "B-2207",
            "2027-01-31",
            "2026-02-27",
            "Brackenrigg Vets",
            "2 Kiln Row, Sallowmere"
        ]
    );
}

#[test]
fn doses_day_after_day_are_one_course_and_off_label_uses_name_batch_site_and_giver() {
    let flock = prescribed();
    let r = RegisterKind::Antibiotics.make(&flock, Span::default(), day("2026-04-01"));
    assert_eq!((r.rows.len(), csv(&r, 0, "doses")), (1, "3".into()));
    assert_eq!(
        (csv(&r, 0, "first_given_on"), csv(&r, 0, "last_given_on")),
        ("2026-03-04".into(), "2026-03-06".into())
    );
    let off = RegisterKind::OffLabel.make(&flock, Span::default(), day("2026-04-01"));
    for (column, value) in [("batch", "B-2207"), ("site", "neck, left"), ("given_by", "Eirlys Pugh")] {
        assert_eq!(csv(&off, 0, column), value);
        assert!(off.rows[0].cells.iter().any(|c| c.under.ends_with(value)), "{column} is shown too");
    }
}

/// Milk is not asked of a ram, and is never called clear for him; of a course the first and the last dose are named.
#[test]
fn under_withdrawal_names_the_last_dose_and_asks_no_ram_for_milk() {
    let (mut ram, course) = (fixture::animal("9", "", Sex::Ram), CourseId::new());
    for (nth, on) in [(1, "2026-04-01"), (2, "2026-04-02"), (3, "2026-04-03")] {
        let at = Moment::day(day(on));
        let mut t = fixture::treatment(
            ram.animal.id,
            "penicillin 300 mg/ml",
            at,
            Withdrawal::Days(10),
            Withdrawal::Unknown,
        );
        t.more.course = Some(CoursePart { id: course, nth, of: 3, every_hours: 24 });
        ram.treatments.push(t);
    }
    let mut flock = flock();
    flock.put(ram);
    let today = day("2026-04-10");
    let r = RegisterKind::WithdrawalNow.make(&flock, Span::default(), today);
    let at = r.rows.iter().position(|row| row.cells[0].csv == "9").unwrap();
    assert_eq!((csv(&r, at, "milk_clear_on"), r.rows[at].cells[7].shown.as_str()), ("clear".into(), ""));
    assert_eq!(
        (csv(&r, at, "meat_given_on"), csv(&r, at, "meat_last_dose_on")),
        ("2026-04-01".into(), "2026-04-03".into())
    );
    assert_eq!(
        (csv(&r, at, "meat_clear_on"), csv(&r, at, "meat_batch")),
        ("2026-04-14".into(), "B-2207".into())
    );
    assert_eq!(r.rows[at].cells[6].under, "last dose 3\u{a0}Apr\u{a0}2026");
    assert!(r.rows[at].remarks.iter().all(|r| !r.contains("running")), "{:?}", r.rows[at].remarks);
    // The visit counts the same animals, her whose milk is never to be used too.
    let v = crate::reckon::visit::visit(&flock, today);
    let found = &v.questions.iter().find(|q| q.number == 2).unwrap().found;
    assert!(
        found.contains(&format!(": {}; 1 for meat: 9", crate::terms::counted(r.rows.len(), "animal"))),
        "{found}"
    );
    assert!(found.contains("1 for milk: 4 (never)"), "{found}");
}

#[test]
fn figures_keep_their_units() {
    assert_eq!(
        figures("Levamisole drench 75 mg/ml, 5 l can"),
        "Levamisole drench 75\u{a0}mg/ml, 5\u{a0}l can"
    );
    assert_eq!(figures("iodine 7 % spray 24 months"), "iodine 7\u{a0}% spray 24 months");
}

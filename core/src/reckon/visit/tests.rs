//! The questions over small flocks made by hand and over random ones.

use super::*;
use crate::flock::{
    Animal, AnimalFile, Batch, Cupboard, Document, Holding, Identity, MoveDetails, Movement, Prescription,
    Product, ProductMore, RecordRef, Sha, StockChange, StockMove, Struck, Treatment, TreatmentMore, Vet,
};
use crate::terms::{
    AnimalId, BatchId, Born, DocumentId, Dose, DoseRule, IdentityId, IdentityKind, MeantFor, Moment,
    MovementId, PrescriptionId, ProductClass, ProductId, Rearing, Route, Sex, Status, StockMoveId, Tag,
    TreatmentId, VetId, Withdrawal,
};

pub(super) fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

const TODAY: &str = "2026-04-16";

pub(super) fn today() -> Day {
    day(TODAY)
}

pub(super) fn ewe(tag: &str) -> AnimalFile {
    let mark = |kind, text: &str| Identity {
        id: IdentityId::new(),
        kind,
        tag: Tag::parse(text).unwrap(),
        from: None,
        to: None,
        ended: None,
    };
    AnimalFile::of(Animal {
        id: AnimalId::new(),
        identities: [
            mark(IdentityKind::Flock, tag),
            mark(IdentityKind::Electronic, &format!("826012345600{}", &tag[1..])),
        ]
        .into(),
        name: None,
        sex: Sex::Ewe,
        breed: None,
        born: Born::On(day("2021-04-02")),
        dam: None,
        sire: Default::default(),
        genetic_dam: None,
        rearing: Rearing::Dam,
        birth_type: None,
        rear_type: None,
        birth_weight: None,
        prefix: None,
        section: None,
        colour: None,
        marks: None,
        pen: None,
        note: None,
        meant_for: MeantFor::default(),
        status: Status::Present,
        status_on: None,
        status_reason: None,
    })
}

pub(super) fn product(name: &str, class: ProductClass) -> Product {
    Product {
        id: ProductId::new(),
        name: name.into(),
        substance: None,
        form: None,
        strength: None,
        rule: DoseRule::Typed,
        route: None,
        meat: Withdrawal::Days(21),
        milk: Withdrawal::Days(7),
        licensed_for: Some("sheep".into()),
        more: ProductMore { class, ..ProductMore::default() },
    }
}

pub(super) fn full(animal: AnimalId, product: &Product, on: &str) -> Treatment {
    Treatment {
        id: TreatmentId::new(),
        animal,
        at: Moment::day(day(on)),
        product: product.name.as_str().into(),
        batch: Some("B1".into()),
        dose: Some(Dose::Volume(5000)),
        route: Some(Route::Subcutaneous),
        site: None,
        reason: Some("lame".into()),
        given_by: Some("Maud".into()),
        prescribed_by: None,
        meat: Withdrawal::Days(21),
        milk: Withdrawal::Days(7),
        more: TreatmentMore::default().into(),
        struck: None,
    }
}

pub(super) fn bought(p: &Product) -> Batch {
    Batch {
        id: BatchId::new(),
        product: p.id,
        number: "b 1".into(),
        expiry: Some(day("2028-01-01")),
        bought_on: Some(day("2022-02-01")),
        supplier: Some("Hill Farm Supplies".into()),
        supplier_address: Some("Mill Lane".into()),
        quantity: Some(Dose::Volume(100_000)),
        price: None,
        invoice: Some("17".into()),
        opened_on: None,
        note: None,
        struck: None,
    }
}

pub(super) fn counted(p: &Product, quantity: u32) -> StockMove {
    StockMove {
        id: StockMoveId::new(),
        product: p.id,
        batch: Some("B1".into()),
        on: today(),
        change: StockChange::Counted,
        quantity: Some(Dose::Volume(quantity)),
        how: None,
        place: None,
        reason: Some("spilt".into()),
        struck: None,
    }
}

fn holding(rules: &str) -> Holding {
    Holding {
        flock: "Thornley".into(),
        keeper: "Maud Thornley".into(),
        number: if rules.starts_with("gb") { "55/123/4567".into() } else { String::new() },
        address: "Fell End".into(),
        rules: rules.into(),
        ..Holding::default()
    }
}

pub(super) fn flock(
    files: Vec<AnimalFile>,
    products: Vec<Product>,
    cupboard: Cupboard,
    rules: &str,
) -> Flock {
    let mut f = Flock::default();
    f.set_holding(holding(rules));
    f.set_products(products);
    f.set_cupboard(cupboard);
    for file in files {
        f.put(file);
    }
    f
}

fn q(v: &Visit, number: u8) -> &Question {
    v.questions.iter().find(|q| q.number == number).unwrap()
}

/// One ewe, one treatment with all that is asked, its batch bought and counted.
fn whole() -> (AnimalFile, Product, Cupboard) {
    let p = product("levamisole", ProductClass::Wormer);
    let mut f = ewe("0412");
    f.treatments.push(full(f.animal.id, &p, "2022-04-03"));
    let cupboard =
        Cupboard { batches: vec![bought(&p)], moves: vec![counted(&p, 95_000)], ..Cupboard::default() };
    (f, p, cupboard)
}

#[test]
fn a_book_with_everything_written_misses_nothing() {
    let (f, p, c) = whole();
    let v = visit(&flock(vec![f], vec![p], c, "gb"), today());
    let gaps: Vec<&str> = v.questions.iter().flat_map(|q| &q.gaps).map(|g| g.words.as_str()).collect();
    // The book is younger than five years: that is told, and is no fault.
    assert!(gaps.iter().all(|g| g.starts_with("The book begins")), "{gaps:#?}");
    assert_eq!((v.missing, v.advised), (0, gaps.len()));
    assert_eq!(v.questions.iter().map(|q| q.number).collect::<Vec<_>>(), (1..=19).collect::<Vec<_>>());
    assert_eq!(q(&v, 1).answer, Answer::Yes);
    assert_eq!(q(&v, 10).answer, Answer::NothingToAsk);
    assert!(v.by.contains("Great Britain"));
    assert_eq!(v.since, day("2021-04-16"));
}

#[test]
fn each_blank_stands_under_its_question_with_who_asks() {
    type Blank = (fn(&mut Treatment), &'static [u8], &'static str);
    let blank: [Blank; 7] = [
        (|t| t.dose = None, &[1], "no dose"),
        (|t| t.meat = Withdrawal::Unknown, &[2, 13], "no meat withdrawal"),
        (|t| t.milk = Withdrawal::Unknown, &[2, 13], "no milk withdrawal"),
        (|t| t.batch = None, &[5], "no batch"),
        (|t| t.reason = None, &[11], "no reason"),
        (|t| t.route = None, &[11], "no route"),
        (|t| t.given_by = None, &[11], "nobody who gave it"),
    ];
    for (make, numbers, words) in blank {
        let (mut f, p, c) = whole();
        make(&mut f.treatments[0]);
        let link = Link::Record(f.animal.id, RecordRef::Treatment(f.treatments[0].id));
        let v = visit(&flock(vec![f], vec![p], c, "gb"), today());
        let hit: Vec<u8> =
            v.questions.iter().filter(|q| q.gaps.iter().any(|g| g.link == link)).map(|q| q.number).collect();
        assert_eq!(hit, numbers, "{words}");
        let gap = q(&v, numbers[0]).gaps.iter().find(|g| g.link == link).unwrap();
        assert!(
            gap.words.starts_with("0412, 3 Apr 2022, levamisole: ") && gap.words.contains(words),
            "{}",
            gap.words
        );
        assert_eq!(v.missing + v.advised, 2, "counted once, beside the young book: {words}");
        assert_eq!(gap.asked, numbers[0] != 11, "{}", gap.words);
    }
}

#[test]
fn what_is_said_alike_of_one_batch_is_one_line_on_paper_with_every_animal() {
    let (first, p, c) = whole();
    let mut files = vec![first];
    for (tag, on, batch) in [
        ("0413", "2022-04-03", "B-1"),
        ("0414", "2022-04-03", "B-1"),
        ("0415", "2022-04-04", "B-1"),
        ("0416", "2022-04-04", "B-2"),
    ] {
        let mut f = ewe(tag);
        let mut t = full(f.animal.id, &p, on);
        (t.reason, t.batch) = (None, Some(batch.into()));
        f.treatments.push(t);
        files.push(f);
    }
    let flock = flock(files, vec![p], c, "gb");
    let v = visit(&flock, today());
    let asked = q(&v, 11);
    assert_eq!(asked.count(), 4);
    let all = gathered(&flock, asked);
    assert_eq!(all.iter().map(|g| g.count).collect::<Vec<_>>(), [3, 1]);
    let words = all[0].words.replace('\u{a0}', " ");
    assert!(words.starts_with("levamisole, batch B-1: no reason; "), "{words}");
    assert!(words.ends_with(". 3 treatments: 4 Apr 2022: 0415; 3 Apr 2022: 0413, 0414"), "{words}");
    assert!(all[1].words.starts_with("0416, 4 Apr 2022, levamisole: no reason; "), "alone it stays as it is");
    // What is of no treatment is told one by one, in its order.
    let of_book = q(&v, 14);
    let told: Vec<&str> = of_book.gaps.iter().map(|g| g.words.as_str()).collect();
    assert_eq!(gathered(&flock, of_book).iter().map(|g| g.words.as_str()).collect::<Vec<_>>(), told);
}

#[test]
fn animals_that_left_and_lack_the_same_are_one_line_on_paper() {
    let (first, p, c) = whole();
    let mut files = vec![first];
    for (tag, on, number) in [
        ("0413", "2025-10-24", None),
        ("0414", "2025-10-24", None),
        ("0415", "2025-09-19", None),
        ("0416", "2025-09-19", Some("12/345/6789")),
    ] {
        let mut f = ewe(tag);
        f.movements.push(Movement {
            id: MovementId::new(),
            animal: f.animal.id,
            on: day(on),
            to: Status::Sold,
            other: Some("R. Hale".into()),
            reason: None,
            details: MoveDetails { number: number.map(Into::into), ..MoveDetails::default() }.into(),
            struck: None,
        });
        files.push(f);
    }
    let flock = flock(files, vec![p], c, "gb");
    let v = visit(&flock, today());
    let all = gathered(&flock, q(&v, 16));
    assert_eq!(all.iter().map(|g| g.count).sum::<usize>(), q(&v, 16).count());
    let one: Vec<String> =
        all.iter().filter(|g| g.count == 3).map(|g| g.words.replace('\u{a0}', " ")).collect();
    let number = one.iter().find(|w| w.starts_with("sold: no official number of the other place")).unwrap();
    assert!(number.ends_with(". 3 animals: 24 Oct 2025: 0413, 0414; 19 Sep 2025: 0415"), "{number}");
}

#[test]
fn places_ask_for_different_things() {
    let supplier = |rules: &str| {
        let (f, p, mut c) = whole();
        c.batches[0].supplier_address = None;
        let v = visit(&flock(vec![f], vec![p], c, rules), today());
        let gap = q(&v, 4).gaps.first().cloned();
        gap.map(|g| (g.asked, g.words))
    };
    for (rules, asked) in [("eu", true), ("gb", true), ("ni", true), ("us", false)] {
        let (is, words) = supplier(rules).unwrap();
        assert_eq!(is, asked, "{rules}: {words}");
    }
    let (asked, words) = supplier("").unwrap();
    assert!(asked && words.contains("so do"), "all that any asks: {words}");
    let (f, p, c) = whole();
    let v = visit(&flock(vec![f], vec![p], c, ""), today());
    assert!(v.by.starts_with("No rules are chosen"), "{}", v.by);
}

#[test]
fn sold_under_withdrawal_is_told() {
    let (mut f, p, c) = whole();
    f.treatments[0].at = Moment::day(day("2026-04-01"));
    f.animal.status = Status::Sold;
    f.animal.status_on = Some(day("2026-04-10"));
    f.movements.push(Movement {
        id: MovementId::new(),
        animal: f.animal.id,
        on: day("2026-04-10"),
        to: Status::Sold,
        other: Some("Hollin Farm".into()),
        reason: None,
        details: MoveDetails { number: Some("12/345/6789".into()), ..MoveDetails::default() }.into(),
        struck: None,
    });
    let v = visit(&flock(vec![f], vec![p], c, "gb"), today());
    let gap = &q(&v, 3).gaps[0];
    assert_eq!(gap.words, "0412, 10 Apr 2026: sold under withdrawal of meat (levamisole, clear 23 Apr 2026)");
    // Milk was clear on the 9th.
    assert_eq!(q(&v, 3).gaps.len(), 1);
    assert!(!q(&v, 16).gaps.iter().any(|g| g.asked), "{:?}", q(&v, 16).gaps);
}

#[test]
fn prescriptions_off_label_and_antibiotics() {
    let p = product("oxytetracycline", ProductClass::Antibiotic);
    let mut f = ewe("0412");
    let mut t = full(f.animal.id, &p, "2026-01-10");
    t.reason = None;
    t.more.off_label = Some("double dose".into());
    t.meat = Withdrawal::Days(20);
    f.treatments.push(t);
    let c = Cupboard { batches: vec![bought(&p)], moves: vec![counted(&p, 95_000)], ..Cupboard::default() };
    let v = visit(&flock(vec![f.clone()], vec![p.clone()], c.clone(), "gb"), today());
    assert!(q(&v, 9).gaps[0].words.contains("nobody who prescribed it"), "{}", q(&v, 9).gaps[0].words);
    let off = &q(&v, 10).gaps[0].words;
    assert!(
        off.contains("no vet who directed it") && off.contains("meat withdrawal is under the least"),
        "{off}"
    );
    assert!(q(&v, 12).gaps[0].words.contains("an antibiotic without a reason"));
    // With vet, prescription, copy, 32 days (1.5 × 21) and 11 (1.5 × 7) nothing of it is left.
    let vet = Vet {
        id: VetId::new(),
        name: "A. Sykes".into(),
        practice: None,
        address: None,
        contact: Some("01".into()),
        number: None,
    };
    let paper = Prescription {
        id: PrescriptionId::new(),
        vet: vet.id,
        on: day("2026-01-09"),
        valid_to: None,
        number: None,
        product: p.name.clone(),
        whom: None,
        dose: None,
        reason: None,
        off_label: true,
        meat: Withdrawal::Unknown,
        milk: Withdrawal::Unknown,
        export: Withdrawal::Unknown,
        struck: None,
    };
    let copy = Document {
        id: DocumentId::new(),
        of: RecordRef::Prescription(paper.id).into(),
        name: "p.pdf".into(),
        kind: "pdf".into(),
        size: 1,
        on: today(),
        sha: Sha::of(b"p"),
        portrait: false,
        struck: None,
    };
    let t = &mut f.treatments[0];
    t.reason = Some("foot rot".into());
    t.more.prescription = Some(paper.id);
    (t.meat, t.milk) = (Withdrawal::Days(32), Withdrawal::Days(11));
    let c = Cupboard { vets: vec![vet], prescriptions: vec![paper], ..c };
    let mut flock = flock(vec![f], vec![p], c, "gb");
    flock.set_documents(vec![copy]);
    let v = visit(&flock, today());
    for n in [9, 10, 12] {
        assert_eq!(q(&v, n).answer, Answer::Yes, "{:?}", q(&v, n));
    }
    assert_eq!(
        q(&v, 12).found,
        "1 course of antibiotics in the last year: oxytetracycline 1. For foot rot 1."
    );
}

#[test]
fn stock_that_does_not_add_up_is_out_of_date_or_was_brought_nowhere() {
    let (mut f, p, mut c) = whole();
    c.moves.clear();
    f.treatments[0].dose = Some(Dose::Volume(150_000));
    c.batches[0].expiry = Some(day("2026-01-01"));
    let mut other = bought(&p);
    other.number = "B2".into();
    other.expiry = Some(day("2026-02-01"));
    c.batches.push(other);
    c.moves.push(StockMove { change: StockChange::Disposed, quantity: None, ..counted(&p, 1) });
    let v = visit(&flock(vec![f], vec![p], c, "gb"), today());
    assert!(q(&v, 6).gaps.iter().any(|g| g.asked), "{:?}", q(&v, 6));
    assert!(q(&v, 7).gaps.iter().any(|g| g.words.contains("batch B2")), "{:?}", q(&v, 7));
    let words = &q(&v, 8).gaps[0].words;
    assert!(words.contains("no quantity, not how, not where"), "{words}");
}

#[test]
fn marks_moves_deaths_and_the_head_of_the_registers() {
    let mut untagged = ewe("0413");
    untagged.animal.identities.truncate(1);
    let mut lamb = ewe("0414");
    lamb.animal.identities.truncate(1);
    lamb.animal.born = Born::On(day("2026-03-01"));
    let moved = |f: &AnimalFile, to| Movement {
        id: MovementId::new(),
        animal: f.animal.id,
        on: day("2026-02-01"),
        to,
        other: None,
        reason: None,
        details: Default::default(),
        struck: None,
    };
    let mut dead = ewe("0415");
    dead.movements.push(moved(&dead, Status::Dead));
    dead.animal.status = Status::Dead;
    let mut sold = ewe("0416");
    sold.movements.push(moved(&sold, Status::Sold));
    sold.animal.status = Status::Sold;
    sold.animal.status_on = Some(day("2026-02-01"));
    let mut f = flock(vec![untagged, lamb, dead, sold], Vec::new(), Cupboard::default(), "gb");
    f.set_holding(Holding { number: "5/1".into(), keeper: String::new(), ..holding("gb") });
    let v = visit(&f, today());
    let words = |n| q(&v, n).gaps.iter().map(|g| g.words.clone()).collect::<Vec<_>>();
    assert_eq!(words(18).len(), 1, "{:?}", words(18));
    assert!(words(18)[0].starts_with("0413: past 9 months on 2 Jan 2022"), "{:?}", words(18));
    assert!(words(17)[0].contains("no cause"), "{:?}", words(17));
    assert!(words(16).iter().any(|w| w.contains("no other place")), "{:?}", words(16));
    assert!(words(14).iter().any(|w| w.starts_with("0415: dead, and no day")), "{:?}", words(14));
    assert!(
        words(19).iter().any(|w| w.contains("No keeper")) && words(19).iter().any(|w| w.contains("5/1")),
        "{:?}",
        words(19)
    );
}

#[test]
fn what_is_struck_or_older_than_is_kept_is_not_asked() {
    let (mut f, p, c) = whole();
    f.treatments[0].dose = None;
    f.treatments[0].struck = Some(Box::new(Struck { on: today(), reason: "twice".into() }));
    let mut old = full(f.animal.id, &p, "2020-01-01");
    old.dose = None;
    f.treatments.push(old);
    let v = visit(&flock(vec![f], vec![p], c, "gb"), today());
    assert!(q(&v, 1).gaps.is_empty());
    assert!(q(&v, 15).found.contains("1 record struck out"), "{}", q(&v, 15).found);
    assert_eq!(v.missing, 0, "{:#?}", v.questions.iter().flat_map(|q| &q.gaps).collect::<Vec<_>>());
}

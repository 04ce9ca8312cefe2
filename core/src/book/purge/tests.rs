//! Records taken out for good: nothing younger, nothing of an animal in the flock, and all else as it was.

use super::*;
use crate::entry::{AnimalDraft, Entry, StandingDraft, Sure, animals, standing};
use crate::flock::{
    AnimalFile, Batch, Document, Holding, MoveDetails, NewDocument, Prescription, Product, RecordRef, Sha,
    StockChange, StockMove, Treatment, TreatmentMore, Vet,
};
use crate::terms::{
    AnimalId, BatchId, DocumentId, Dose, DoseRule, Moment, PrescriptionId, ProductId, Sex, Status,
    StockMoveId, Tag, TreatmentId, VetId, Withdrawal,
};

const TODAY: &str = "2026-04-10";

fn day(text: &str) -> Day {
    Day::parse_iso(text).unwrap()
}

fn put(book: &mut Book, entry: Entry) {
    book.write(Sure { entry, sentence: "For the test".into(), reason: None, cautions: Vec::new() }).unwrap();
}

fn add(book: &mut Book, tag: &str) -> AnimalId {
    let draft = AnimalDraft::new(Tag::parse(tag).unwrap(), Sex::Ewe);
    let id = draft.id;
    let sure = animals(vec![draft], &book.flock(), day(TODAY)).unwrap().sure().unwrap();
    book.write(sure).unwrap();
    id
}

fn product(name: &str) -> Product {
    Product {
        id: ProductId::new(),
        name: name.into(),
        substance: None,
        form: None,
        strength: None,
        rule: DoseRule::Typed,
        route: None,
        meat: Withdrawal::Days(1),
        milk: Withdrawal::Days(1),
        licensed_for: None,
        more: Default::default(),
    }
}

fn given(animal: AnimalId, on: &str, batch: Option<&str>, ml: u32) -> Treatment {
    Treatment {
        id: TreatmentId::new(),
        animal,
        at: Moment::day(day(on)),
        product: "drench".into(),
        batch: batch.map(Into::into),
        dose: Some(Dose::Volume(ml * 1000)),
        route: None,
        site: None,
        reason: None,
        given_by: None,
        prescribed_by: None,
        meat: Withdrawal::Days(1),
        milk: Withdrawal::Days(1),
        more: TreatmentMore::default().into(),
        struck: None,
    }
}

fn bought(p: &Product, number: &str, on: &str) -> Batch {
    Batch {
        id: BatchId::new(),
        product: p.id,
        number: number.into(),
        expiry: None,
        bought_on: Some(day(on)),
        supplier: None,
        supplier_address: None,
        quantity: Some(Dose::Volume(10_000)),
        price: None,
        invoice: None,
        opened_on: None,
        note: None,
        struck: None,
    }
}

struct Made {
    book: Book,
    here: AnimalId,
    gone: AnimalId,
    paper: DocumentId,
    /// Treatments that may go, and one of each kind that may not.
    old: TreatmentId,
    stays: [TreatmentId; 4],
}

/// 0412 is in the flock, 0413 was sold in 2019, 0414 last month. Batch A was used up on 0413; batch B on both.
fn made(dir: &tempfile::TempDir) -> Made {
    let holding = Holding { flock: "Test flock".into(), rules: "gb".into(), ..Holding::default() };
    let mut book = Book::create(&dir.path().join("a.hirsel"), holding).unwrap();
    let (here, gone, lately) = (add(&mut book, "0412"), add(&mut book, "0413"), add(&mut book, "0414"));
    let p = product("drench");
    put(&mut book, Entry::Products(vec![p.clone()]));
    let (a, b) = (bought(&p, "A", "2017-01-01"), bought(&p, "B", "2018-01-01"));
    let mut a_rest = StockMove {
        id: StockMoveId::new(),
        product: p.id,
        batch: Some("A".into()),
        on: day("2018-06-01"),
        change: StockChange::Disposed,
        quantity: Some(Dose::Volume(5_000)),
        how: None,
        place: None,
        reason: None,
        struck: None,
    };
    let vet = Vet {
        id: VetId::new(),
        name: "A. Sykes".into(),
        practice: None,
        address: None,
        contact: None,
        number: None,
    };
    let prescription = Prescription {
        id: PrescriptionId::new(),
        vet: vet.id,
        on: day("2017-02-01"),
        valid_to: None,
        number: None,
        product: "drench".into(),
        whom: None,
        dose: None,
        reason: None,
        off_label: false,
        meat: Withdrawal::Unknown,
        milk: Withdrawal::Unknown,
        export: Withdrawal::Unknown,
        struck: None,
    };
    let paper = NewDocument {
        document: Document {
            id: DocumentId::new(),
            of: RecordRef::Prescription(prescription.id).into(),
            name: "p.pdf".into(),
            kind: "pdf".into(),
            size: 3,
            on: day(TODAY),
            sha: Sha::of(&[1, 2, 3]),
            portrait: false,
            struck: None,
        },
        file: vec![1, 2, 3].into(),
    };
    let paper_id = paper.document.id;
    let mut old = given(gone, "2018-03-01", Some("A"), 5);
    old.more.prescription = Some(prescription.id);
    let all = [
        old.clone(),
        // Of an animal in the flock; of a batch that another was given from; of one that left lately; too young.
        given(here, "2018-03-02", Some("B"), 1),
        given(gone, "2018-03-03", Some("b"), 1),
        given(lately, "2018-03-04", None, 1),
        given(here, "2026-01-04", None, 1),
    ];
    let stays = [all[1].id, all[2].id, all[3].id, all[4].id];
    put(&mut book, Entry::Batches(vec![a, b]));
    put(&mut book, Entry::StockMoves(vec![a_rest.clone()]));
    a_rest.id = StockMoveId::new();
    (a_rest.batch, a_rest.on) = (Some("B".into()), day("2025-06-01"));
    put(&mut book, Entry::StockMoves(vec![a_rest]));
    put(&mut book, Entry::Vets(vec![vet]));
    put(&mut book, Entry::Prescriptions(vec![prescription]));
    put(&mut book, Entry::Documents(vec![paper]));
    put(&mut book, Entry::Treatments(all.to_vec()));
    for (id, on) in [(gone, "2019-02-01"), (lately, "2026-03-01")] {
        let details = MoveDetails {
            carrier: Some("J. Hall".into()),
            cause: Some("none".into()),
            ..MoveDetails::default()
        };
        let draft = StandingDraft {
            animals: vec![id],
            to: Status::Sold,
            on: day(on),
            other: Some("mart".into()),
            reason: None,
            details,
        };
        let sure = standing(draft, &book.flock(), day(TODAY)).unwrap().sure().unwrap();
        book.write(sure).unwrap();
    }
    Made { book, here, gone, paper: paper_id, old: old.id, stays }
}

#[test]
fn too_near_a_day_is_refused_with_who_says_so() {
    let dir = tempfile::tempdir().unwrap();
    let mut m = made(&dir);
    let refused = m.book.purge(day("2021-04-11"), day(TODAY)).unwrap_err();
    assert!(matches!(refused, Failed::KeptByLaw { least, .. } if least == day("2021-04-10")), "{refused}");
    assert!(refused.to_string().contains("Great Britain"), "{refused}");
    // Two years are enough for the law of the United States; five for this program.
    let us = Holding { rules: "us".into(), ..m.book.flock().holding().clone() };
    put(&mut m.book, Entry::Holding(Box::new(us)));
    assert!(m.book.would_purge(day("2021-04-11"), day(TODAY)).is_err());
    assert!(m.book.would_purge(day("2021-04-10"), day(TODAY)).is_ok());
}

#[test]
fn nothing_old_leaves_no_copy_and_no_line() {
    let dir = tempfile::tempdir().unwrap();
    let mut m = made(&dir);
    let before = m.book.history(1).unwrap();
    let done = m.book.purge(day("2016-01-01"), day(TODAY)).unwrap();
    assert!(done.copy.is_none() && done.going.is_empty());
    assert_eq!(m.book.history(1).unwrap(), before);
}

#[test]
fn what_is_old_and_of_animals_that_left_goes_and_nothing_else() {
    let dir = tempfile::tempdir().unwrap();
    let mut m = made(&dir);
    let before = m.book.flock();
    let done = m.book.purge(day("2020-01-01"), day(TODAY)).unwrap();
    assert_eq!(
        done.going.words(),
        "1 treatment, 1 batch, 1 stock entry, 1 prescription, 1 kept paper and 1 move’s papers; 1 old treatment stays, as its batch still counts"
    );
    let after = m.book.flock();
    let of = |f: &crate::flock::Flock, id| f.file(id).unwrap().clone();
    assert_eq!(of(&after, m.here), of(&before, m.here), "nothing of an animal in the flock");
    let mut expected: AnimalFile = of(&before, m.gone);
    expected.treatments.retain(|t| t.id != m.old);
    expected.movements[0].details =
        MoveDetails { cause: Some("none".into()), ..MoveDetails::default() }.into();
    assert_eq!(of(&after, m.gone), expected);
    let left: Vec<TreatmentId> = after.files().flat_map(|f| f.treatments.iter().map(|t| t.id)).collect();
    assert!(m.stays.iter().all(|t| left.contains(t)) && left.len() == 4);
    let c = after.cupboard();
    assert_eq!(c.batches.iter().map(|b| b.number.as_str()).collect::<Vec<_>>(), ["B"]);
    assert_eq!(
        (c.moves.len(), c.prescriptions.len(), m.book.flock().documents().all().len(), c.vets.len()),
        (1, 0, 0, 1)
    );
    assert_eq!(m.book.document(m.paper).unwrap(), None, "the paper's bytes too");
    assert_eq!(after.products(), before.products());
    // The journal holds neither the record nor what was written of it, but the line that says so.
    let key = m.old.bytes().iter().map(|b| format!("{b:02X}")).collect::<String>();
    let told = |sql: &str| m.book.db.query_row(sql, [], |r| r.get::<_, i64>(0)).unwrap();
    assert_eq!(told(&format!("select count(*) from journal_change where key = '{key}'")), 0);
    assert_eq!(
        told("select count(*) from journal_change where new like '%J. Hall%' or old like '%J. Hall%'"),
        1,
        "of 0414 alone"
    );
    let line = &m.book.history(1).unwrap()[0];
    assert!(
        line.what.starts_with("Taken out for good, from before 1 Jan 2020: 1 treatment"),
        "{}",
        line.what
    );
    let copy = done.copy.unwrap();
    assert!(line.reason.as_ref().unwrap().contains(copy.to_str().unwrap()));
    // It cannot be undone; what is written after it can.
    assert_eq!(m.book.undoable(), None);
    let undone = m.book.undo().unwrap_err();
    assert!(matches!(undone, Failed::NoWayBack { .. }), "{undone}");
    add(&mut m.book, "0420");
    assert!(m.book.undo().unwrap().is_some());
    // Read anew it is the same, and whole; the copy has everything.
    assert!(m.book.check(&|_| {}).unwrap().whole);
    let path = m.book.path().to_path_buf();
    m.book.close().unwrap();
    let again = Book::open_plain(&path).unwrap();
    assert_eq!(of(&again.flock(), m.gone), expected);
    assert_eq!(again.flock().cupboard(), after.cupboard());
    let kept = Book::open_plain(&copy).unwrap();
    assert_eq!(of(&kept.flock(), m.gone), of(&before, m.gone));
    assert!(kept.document(m.paper).unwrap().is_some());
}

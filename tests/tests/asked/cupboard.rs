//! Everything the cupboard's checks refuse, question and caution, once each, in its words and at its field.

use hirsel_core::book::Book;
use hirsel_core::entry::{
    self, Amended, BatchDraft, Check, DocumentDraft, EggCountDraft, PrescriptionDraft, StockDraft, VetDraft,
};
use hirsel_core::flock::{Flock, RecordRef, StockChange};
use hirsel_core::terms::{AnimalId, Day, Dose, Price, Withdrawal};
use hirsel_tests::asked::{asks, refuses};
use hirsel_tests::flocks::{Folder, day, shed_book, write};

const DRENCH: &str = "levamisole drench";

fn today() -> Day {
    day("2026-04-10")
}

fn ml(ml: u32) -> Option<Dose> {
    Some(Dose::Volume(ml * 1000))
}

fn batch(number: &str) -> BatchDraft {
    BatchDraft {
        product: DRENCH.into(),
        number: number.into(),
        expiry: Some(day("2027-05-01")),
        bought_on: Some(day("2026-03-01")),
        supplier: Some("Dale Farm Supplies".into()),
        supplier_address: Some("Market Place, Thornley".into()),
        quantity: ml(500),
        price: Some(Price::from_cents(4250)),
        invoice: Some("2231".into()),
        opened_on: None,
        note: None,
    }
}

fn stock(number: &str, change: StockChange, quantity: Option<Dose>) -> StockDraft {
    StockDraft {
        product: DRENCH.into(),
        batch: Some(number.into()),
        on: today(),
        change,
        quantity,
        how: None,
        place: None,
        reason: None,
    }
}

/// A book with one vet, a delivery of each product, and a prescription.
fn book(folder: &Folder) -> (Book, [AnimalId; 4]) {
    let (mut book, ids) = shed_book(folder);
    let mut vaccine = batch("V1");
    vaccine.product = "clostridial vaccine 4-in-1".into();
    let check = entry::batches(vec![batch("L41"), vaccine], &book.flock(), today());
    write(&mut book, check);
    let vet = VetDraft { name: "Ada Kell".into(), ..VetDraft::default() };
    let check = entry::vets(vec![vet], &book.flock());
    write(&mut book, check);
    let check = entry::prescriptions(vec![prescription(&book.flock())], &book.flock(), today());
    write(&mut book, check);
    (book, ids)
}

fn prescription(flock: &Flock) -> PrescriptionDraft {
    PrescriptionDraft {
        vet: flock.cupboard().vets[0].id,
        on: day("2026-04-01"),
        valid_to: Some(day("2026-05-01")),
        number: Some("77".into()),
        product: DRENCH.into(),
        whom: None,
        dose: None,
        reason: None,
        off_label: false,
        meat: Withdrawal::Unknown,
        milk: Withdrawal::Unknown,
        export: Withdrawal::Unknown,
    }
}

#[track_caller]
fn cautions(check: Check, field: &str, words: &str) {
    let checked = check.unwrap_or_else(|r| panic!("{}", r[0]));
    let all = checked.cautions();
    let found = all.iter().any(|c| c.field.name == field && c.words.contains(words));
    assert!(found, "{field}: {words}\ncautions: {all:#?}");
    assert!(checked.sure().is_ok(), "a caution stands in the way of nothing");
}

#[test]
fn batches() {
    let folder = Folder::new();
    let (book, _) = book(&folder);
    let f = book.flock();
    let one = |change: &dyn Fn(&mut BatchDraft)| {
        let mut d = batch("L42");
        change(&mut d);
        entry::batches(vec![d], &f, today())
    };
    assert!(one(&|_| {}).expect("sound").sure().is_ok(), "nothing to ask of a sound one");
    let unknown = "no product of the cupboard is called 'fellvax': write the product first, or mend the name";
    refuses(one(&|d| d.product = " fellvax".into()), "product", unknown);
    refuses(one(&|d| d.product = " ".into()), "product", "a product is needed");
    refuses(one(&|d| d.number = " ".into()), "number", "a batch number is needed");
    let before = "it expires on 28 Feb 2026, before it was bought on 1 Mar 2026: look at the bottle again";
    refuses(one(&|d| d.expiry = Some(day("2026-02-28"))), "expiry", before);
    let opened = "it cannot have been opened on 27 Feb 2026, before it was bought on 1 Mar 2026";
    refuses(one(&|d| d.opened_on = Some(day("2026-02-27"))), "opened_on", opened);
    let ahead = "11 Apr 2026 has not come yet: today is 10 Apr 2026";
    refuses(one(&|d| d.bought_on = Some(day("2026-04-11"))), "bought_on", ahead);
    refuses(entry::batches(Vec::new(), &f, today()), "product", "a delivery is needed");

    let far = "the expiry 11 Apr 2036 is more than 10 years ahead: is the year right?";
    asks(one(&|d| d.expiry = Some(day("2036-04-11"))), "expiry", far);
    assert!(one(&|d| d.expiry = Some(day("2036-04-10"))).expect("sound").sure().is_ok());
    let back = "the purchase 9 Apr 2021 is more than 5 years ago: is the year right?";
    asks(one(&|d| d.bought_on = Some(day("2021-04-09"))), "bought_on", back);
    let kind = "50 pieces of levamisole drench, which is given in ml: what is left could not be reckoned; is the unit right?";
    asks(one(&|d| d.quantity = Some(Dose::Pieces(50))), "quantity", kind);
    let same = "the batch number v 1 is that of clostridial vaccine 4-in-1 too: is it the right bottle?";
    asks(one(&|d| d.number = "v 1".into()), "number", same);
    let other = "levamisole drench L 41 was written with the expiry 1 May 2027: bottles of one number expire on one day";
    asks(one(&|d| (d.number, d.expiry) = ("L 41".into(), Some(day("2027-06-01")))), "expiry", other);
    let twice = "levamisole drench L41, bought on 1 Mar 2026, is in the book already: is it written twice?";
    asks(one(&|d| d.number = "L41".into()), "number", twice);
    let both = entry::batches(vec![batch("L9"), batch("l 9")], &f, today());
    asks(
        both,
        "number",
        "levamisole drench l 9, bought on 1 Mar 2026, is in the book already: is it written twice?",
    );
    let price = "5000.01 is an odd price for one delivery: is the point in its place?";
    asks(one(&|d| d.price = Some(Price::from_cents(500_001))), "price", price);
    asks(
        one(&|d| d.price = Some(Price::from_cents(0))),
        "price",
        "0.00 is an odd price for one delivery: is the point in its place?",
    );

    // What the rules of the place ask for is said with its source, and stands in the way of nothing.
    cautions(one(&|d| d.supplier = None), "supplier", "supplier is not written; ");
    let ground =
        f.rules().and_then(|r| r.cupboard()).and_then(|c| c.acquired_ground.clone()).expect("gb asks");
    cautions(one(&|d| d.quantity = None), "quantity", &ground.to_string());
}

#[test]
fn an_opened_bottle() {
    let folder = Folder::new();
    let (mut book, _) = book(&folder);
    let id = book.flock().cupboard().batches[0].id;
    let open = |book: &Book, on: &str| entry::opened(id, day(on), &book.flock(), today());
    refuses(
        open(&book, "2026-02-01"),
        "opened_on",
        "it cannot have been opened on 1 Feb 2026, before it was bought on 1 Mar 2026",
    );
    refuses(open(&book, "2026-05-01"), "opened_on", "1 May 2026 has not come yet: today is 10 Apr 2026");
    cautions(open(&book, "2026-04-02"), "opened_on", "days after opening are not written down");
    let check = open(&book, "2026-04-02");
    write(&mut book, check);
    refuses(open(&book, "2026-04-02"), "opened_on", "nothing is different from what is written");
    let mut old = batch("L1");
    (old.bought_on, old.expiry) = (Some(day("2025-03-01")), Some(day("2026-03-31")));
    let check = entry::batches(vec![old], &book.flock(), today());
    write(&mut book, check);
    let old = book.flock().cupboard().batches.iter().find(|b| b.number == "L1").expect("written").id;
    let past = "levamisole drench L1 expired on 31 Mar 2026: it must not be used any more; dispose of it";
    asks(entry::opened(old, today(), &book.flock(), today()), "opened_on", past);
    let check = entry::strike_kept(RecordRef::Batch(old), "written twice", &book.flock(), today());
    write(&mut book, check);
    refuses(entry::opened(old, today(), &book.flock(), today()), "opened_on", "it is struck out already");
    book.undo().expect("undone");
    book.undo().expect("undone");
    let gone = "the record was not found in this book: it may have been undone";
    refuses(entry::opened(old, today(), &book.flock(), today()), "opened_on", gone);
}

#[test]
fn stock_moves() {
    let folder = Folder::new();
    let (mut book, _) = book(&folder);
    let f = book.flock();
    let moves = |all: Vec<StockDraft>| entry::stock_moves(all, &f, today());
    let wasted = |number: &str, q| moves(vec![stock(number, StockChange::Wasted, q)]);
    assert!(wasted("l 41", ml(500)).expect("sound").sure().is_ok());
    let more = "only 500 ml of levamisole drench L41 is left by the book, 501 ml is more: is a purchase missing, or the number wrong?";
    asks(wasted("L41", ml(501)), "quantity", more);
    // Two lines of one batch together.
    let line = || stock("L41", StockChange::Disposed, ml(300));
    let more = "only 500 ml of levamisole drench L41 is left by the book, 600 ml is more: is a purchase missing, or the number wrong?";
    asks(moves(vec![line(), line()]), "quantity", more);
    refuses(wasted("L41", None), "quantity", "how much went is needed");
    refuses(moves(Vec::new()), "quantity", "a line of stock is needed");
    let other = "the batch V1 is one of clostridial vaccine 4-in-1, not of levamisole drench: mend the product or the number";
    refuses(wasted("V1", ml(5)), "batch", other);
    asks(
        wasted("L43", ml(5)),
        "batch",
        "no purchase of levamisole drench L43 is written down: is the batch number right?",
    );
    let kind = "3 pieces of levamisole drench, which is given in ml: what is left could not be reckoned; is the unit right?";
    asks(wasted("L41", Some(Dose::Pieces(3))), "quantity", kind);

    let counted = |q, reason: Option<&str>| {
        let mut d = stock("L41", StockChange::Counted, q);
        d.reason = reason.map(Into::into);
        moves(vec![d])
    };
    assert!(counted(ml(500), None).expect("as the book says").sure().is_ok());
    let why = "480 ml of levamisole drench L41 found where the book says 500 ml: a reason is needed for the difference";
    refuses(counted(ml(480), None), "reason", why);
    refuses(
        counted(None, Some(" ")),
        "reason",
        "0 ml of levamisole drench L41 found where the book says 500 ml: a reason is needed for the difference",
    );
    assert!(counted(ml(480), Some("spilled")).expect("with a reason").sure().is_ok());

    cautions(moves(vec![line()]), "how", "how is not written; ");

    // An amended line is looked at beside the stock without it.
    let check = wasted("L41", ml(400));
    write(&mut book, check);
    let mut m = book.flock().cupboard().moves[0].clone();
    m.quantity = ml(500);
    let amend = |m| entry::amend(Amended::StockMove(m), "read again", &book.flock(), today());
    assert!(amend(m.clone()).expect("500 were there").sure().is_ok());
    m.quantity = ml(501);
    let more = "only 500 ml of levamisole drench L41 is left by the book, 501 ml is more: is a purchase missing, or the number wrong?";
    asks(amend(m), "quantity", more);
}

#[test]
fn vets_and_prescriptions() {
    let folder = Folder::new();
    let (book, _) = book(&folder);
    let f = book.flock();
    let known = &f.cupboard().vets[0];
    let vet = |id, name: &str| VetDraft { id, name: name.into(), ..VetDraft::default() };
    let there = "a vet called Ada Kell is in the book already: open that one to change it, or write the practice behind the name";
    refuses(entry::vets(vec![vet(None, " ada kell")], &f), "name", there);
    refuses(entry::vets(vec![vet(None, " ")], &f), "name", "the vet's name is needed");
    let twice = "bo Reid is written twice in this entry: take one out";
    refuses(entry::vets(vec![vet(None, "Bo Reid"), vet(None, "bo Reid")], &f), "name", twice);
    let same = "nothing is different from what is written";
    refuses(entry::vets(vec![vet(Some(known.id), "Ada Kell")], &f), "name", same);
    refuses(entry::vets(Vec::new(), &f), "name", "a vet is needed");

    let one = |change: &dyn Fn(&mut PrescriptionDraft)| {
        let mut d = prescription(&f);
        change(&mut d);
        entry::prescriptions(vec![d], &f, today())
    };
    assert!(one(&|_| {}).expect("sound").sure().is_ok());
    refuses(one(&|d| d.product.clear()), "product", "a product is needed");
    refuses(one(&|d| d.on = day("2026-04-11")), "on", "11 Apr 2026 has not come yet: today is 10 Apr 2026");
    let ends = "the last day 31 Mar 2026 is before the first 1 Apr 2026";
    refuses(one(&|d| d.valid_to = Some(day("2026-03-31"))), "valid_to", ends);
    refuses(one(&|d| d.vet = hirsel_core::terms::VetId::new()), "vet", "a vet of the book is needed");
    let far = "the last day 1 May 2062 is more than 10 years ahead: is the year right?";
    asks(one(&|d| d.valid_to = Some(day("2062-05-01"))), "valid_to", far);
    cautions(one(&|d| d.valid_to = Some(day("2026-04-09"))), "valid_to", "it was valid until 9 Apr 2026");
    cautions(one(&|d| d.off_label = true), "meat", "the meat withdrawal the vet directs is not written down");
    cautions(one(&|d| d.product = "something".into()), "product", "not among the products of the cupboard");
    let mut p = f.cupboard().prescriptions[0].clone();
    p.valid_to = Some(day("2026-03-31"));
    refuses(entry::amend(Amended::Prescription(p), "read again", &f, today()), "valid_to", ends);
}

#[test]
fn kept_papers() {
    let folder = Folder::new();
    let (mut book, _) = book(&folder);
    let f = book.flock();
    let of = RecordRef::Batch(f.cupboard().batches[0].id).into();
    let keep = |name: &str, bytes: &[u8], f: &Flock| {
        let draft = DocumentDraft { of, name: name.into(), bytes: bytes.to_vec().into(), on: None };
        entry::documents(vec![draft], f, today())
    };
    let none = "'letter.doc' is neither a PDF nor a picture (PNG or JPEG): only these are kept in the book";
    refuses(keep("letter.doc", b"\xd0\xcf\x11\xe0", &f), "file", none);
    // The first bytes tell, not the name.
    refuses(
        keep("a.pdf", b"<html>", &f),
        "file",
        "'a.pdf' is neither a PDF nor a picture (PNG or JPEG): only these are kept in the book",
    );
    let mut large = b"%PDF-1.7\n".to_vec();
    large.resize(20_000_001, b' ');
    let too = "'scan.pdf' is 21 MB large, more than the 20 MB that are kept: make it smaller first";
    refuses(keep("scan.pdf", &large, &f), "file", too);
    assert!(keep("scan.pdf", &large[..20_000_000], &f).is_ok());
    refuses(entry::documents(Vec::new(), &f, today()), "file", "a paper is needed");
    let check = keep("scan.jpg", b"\xff\xd8\xff\xe0", &f);
    write(&mut book, check);
    assert_eq!(book.flock().documents().all()[0].kind, "jpeg");
    let again = "scan.jpg is kept there already, byte for byte: is it the same one?";
    asks(keep("scan.jpg", b"\xff\xd8\xff\xe0", &book.flock()), "file", again);
    // Another file of the same name and size is another file.
    assert!(keep("scan.jpg", b"\xff\xd8\xff\xe1", &book.flock()).is_ok_and(|c| c.questions().is_empty()));
}

#[test]
fn egg_counts() {
    let folder = Folder::new();
    let (mut book, ids) = book(&folder);
    let draft = EggCountDraft {
        animal: Some(ids[0]),
        group: None,
        on: today(),
        epg: 450,
        product: Some(DRENCH.into()),
        treated_on: Some(day("2026-03-27")),
        note: None,
    };
    let one = |change: &dyn Fn(&mut EggCountDraft), f: &Flock| {
        let mut d = draft.clone();
        change(&mut d);
        entry::egg_counts(vec![d], f, today())
    };
    let f = book.flock();
    assert!(one(&|_| {}, &f).expect("sound").sure().is_ok());
    refuses(
        one(&|d| d.animal = None, &f),
        "animal",
        "an egg count needs an animal or a group: write one of the two",
    );
    refuses(
        one(&|d| d.on = day("2026-04-12"), &f),
        "on",
        "12 Apr 2026 has not come yet: today is 10 Apr 2026",
    );
    refuses(one(&|d| d.product = None, &f), "product", "the product that was given on that day is needed");
    refuses(
        one(&|d| d.treated_on = Some(day("2026-04-12")), &f),
        "treated_on",
        "12 Apr 2026 has not come yet: today is 10 Apr 2026",
    );
    refuses(entry::egg_counts(Vec::new(), &f, today()), "epg", "an egg count is needed");
    asks(
        one(&|d| d.epg = 50_001, &f),
        "epg",
        "50001 eggs in each gram is very high: is there a nought too many?",
    );
    cautions(one(&|d| d.treated_on = None, &f), "treated_on", "before and after cannot be told apart");
    let check = one(&|_| {}, &f);
    write(&mut book, check);
    let tag = book.flock().tag(ids[0]).to_string();
    let twice = format!("an egg count of {tag} on 10 Apr 2026 is in the book already: is it written twice?");
    asks(one(&|_| {}, &book.flock()), "animal", &twice);
}

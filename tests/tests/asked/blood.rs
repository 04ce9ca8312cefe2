//! Everything the checks of marks, scans and tests refuse and question, once each, in its words and at its field.

use hirsel_core::book::Book;
use hirsel_core::entry::{self, Amended, Check, CrayonDraft, GeneTestDraft, MarkDraft, ScanDraft};
use hirsel_core::flock::{Holding, Sire, Tested};
use hirsel_core::terms::{AnimalId, Day, GeneStatus, MarkKind, Scanned, Scrapie};
use hirsel_tests::asked::{asks, refuses};
use hirsel_tests::flocks::{Folder, day, joined_book, write};

fn today() -> Day {
    day("2026-04-10")
}

#[track_caller]
fn sound(check: Check) {
    let checked = check.unwrap_or_else(|r| panic!("{}", r[0]));
    assert!(checked.questions().is_empty(), "{}", checked.questions()[0]);
}

fn test(animal: AnimalId, found: Tested) -> GeneTestDraft {
    GeneTestDraft { animal, on: day("2026-03-01"), found, lab: None, number: None, note: None }
}

fn grey(status: GeneStatus) -> Tested {
    Tested::Recessive { gene: "grey wool".into(), status }
}

fn scrapie(text: &str) -> Tested {
    Tested::Scrapie(Scrapie::parse(text).expect("a genotype"))
}

/// Ewe 0412 and ram R7 are the parents of ewe 0433.
fn family(folder: &Folder) -> (Book, [AnimalId; 4]) {
    let (mut book, ids) = joined_book(folder);
    let mut lamb = book.flock().animal(ids[2]).expect("there").clone();
    (lamb.dam, lamb.sire) = (Some(ids[0]), Sire::Known(ids[3]));
    let check = entry::edit_animal(lamb, None, &book.flock(), today());
    write(&mut book, check);
    (book, ids)
}

#[test]
fn crayons() {
    let folder = Folder::new();
    let (mut book, [.., ram]) = joined_book(&folder);
    let crayon = |book: &Book, on: &str, colour: &str| {
        let draft = CrayonDraft { ram, on: day(on), colour: colour.into() };
        entry::crayons(vec![draft], &book.flock(), today())
    };
    let none = "R7 wears no crayon: write the colour of the one put on";
    refuses(crayon(&book, "2025-11-01", " "), "colour", none);
    let check = crayon(&book, "2025-11-01", "blue");
    write(&mut book, check);
    sound(crayon(&book, "2025-11-20", ""));
    refuses(crayon(&book, "2025-10-30", ""), "colour", none);
}

#[test]
fn marks() {
    let folder = Folder::new();
    let (mut book, [ewe, .., ram]) = joined_book(&folder);
    let mark =
        |on: &str, ram| MarkDraft { ewe, ram, on: day(on), kind: MarkKind::Crayon, colour: None, note: None };
    let one = |book: &Book, on: &str, ram| entry::marks(vec![mark(on, ram)], &book.flock(), today());
    sound(one(&book, "2025-11-03", Some(ram)));
    sound(one(&book, "2025-12-20", None));
    let after = "0412 is not written as joined with R7 on 20 Dec 2025: is it the right ewe and ram?";
    asks(one(&book, "2025-12-20", Some(ram)), "ram", after);
    let check = one(&book, "2025-11-03", Some(ram));
    write(&mut book, check);
    let again = "0412 has a mark of 3 Nov 2025 already: is this another one?";
    asks(one(&book, "2025-11-03", Some(ram)), "ewe", again);
    let twice = vec![mark("2025-11-20", Some(ram)), mark("2025-11-20", Some(ram))];
    let again = "0412 has a mark of 20 Nov 2025 already: is this another one?";
    asks(entry::marks(twice, &book.flock(), today()), "ewe", again);
}

#[test]
fn scans() {
    let folder = Folder::new();
    let (mut book, [ewe, ..]) = joined_book(&folder);
    let scan = |book: &Book, on: &str, found, age_days| {
        let draft = ScanDraft { ewe, on: day(on), found, age_days, note: None };
        entry::scans(vec![draft], &book.flock(), today())
    };
    sound(scan(&book, "2026-01-20", Scanned::Two, Some(80)));
    let empty = "0412 is scanned empty: leave the age of the lambs out";
    refuses(scan(&book, "2026-01-20", Scanned::Empty, Some(80)), "age_days", empty);
    let old = "lambs of 153 days cannot be in 0412: a ewe carries 152 days at the most";
    refuses(scan(&book, "2026-03-20", Scanned::Two, Some(153)), "age_days", old);
    let young = "lambs of 0 days cannot be in 0412: a ewe carries 152 days at the most";
    refuses(scan(&book, "2026-03-20", Scanned::Two, Some(0)), "age_days", young);
    let alone = "no joining of 0412 lies 29 to 160 days before 1 Nov 2025: is it the right ewe?";
    asks(scan(&book, "2025-11-01", Scanned::One, None), "ewe", alone);
    let served = "by its age 0412 took the ram on 20 Dec 2025, and no joining of hers holds that day";
    asks(scan(&book, "2026-01-20", Scanned::Two, Some(31)), "age_days", served);
    let check = scan(&book, "2026-01-20", Scanned::Two, Some(80));
    write(&mut book, check);
    let again = "0412 has a scan of 20 Jan 2026 already: is this another one?";
    asks(scan(&book, "2026-01-20", Scanned::One, None), "ewe", again);
    // The same when it is amended.
    let mut amended = book.flock().file(ewe).expect("there").scans[0].clone();
    amended.found = Scanned::Empty;
    refuses(entry::amend(Amended::Scan(amended), "looked again", &book.flock(), today()), "age_days", empty);
}

#[test]
fn tests_of_genes() {
    let folder = Folder::new();
    let (mut book, [ewe, _, lamb, ram]) = family(&folder);
    let one = |book: &Book, t: GeneTestDraft| entry::gene_tests(vec![t], &book.flock(), today());
    let both = "what the test of 0412 was for and what it showed are both needed";
    let unnamed = Tested::Recessive { gene: " ".into(), status: GeneStatus::Clear };
    refuses(one(&book, test(ewe, unnamed)), "result", both);
    let other = |what: &str, result: &str| Tested::Other { what: what.into(), result: result.into() };
    refuses(one(&book, test(ewe, other("visna", ""))), "result", both);
    refuses(one(&book, test(ewe, other("", "negative"))), "result", both);
    sound(one(&book, test(ewe, other("visna", "negative"))));

    let check = one(&book, test(ewe, grey(GeneStatus::Clear)));
    write(&mut book, check);
    let otherwise = "an earlier test says clear of 0412, this one carrier: which is right?";
    asks(one(&book, test(ewe, grey(GeneStatus::Carrier))), "result", otherwise);
    let wrong = "0433 is affected for grey wool, which does not go with its dam 0412, who is clear: a parent or a test is wrong";
    asks(one(&book, test(lamb, grey(GeneStatus::Affected))), "result", wrong);
    sound(one(&book, test(lamb, grey(GeneStatus::Carrier))));

    let check = one(&book, test(ram, scrapie("ARR/ARR")));
    write(&mut book, check);
    let none = "0433 is ARQ/VRQ and its sire R7 is ARR/ARR: they share no allele, so one of them is not what it is taken for";
    asks(one(&book, test(lamb, scrapie("ARQ/VRQ"))), "result", none);
    sound(one(&book, test(lamb, scrapie("ARQ/ARR"))));
    let otherwise = "an earlier test says ARR/ARR of R7, this one ARQ/ARR: which is right?";
    asks(one(&book, test(ram, scrapie("ARR/ARQ"))), "result", otherwise);
}

#[test]
fn tests_of_parents() {
    let folder = Folder::new();
    let (mut book, [ewe, other, lamb, ram]) = family(&folder);
    let parent = |book: &Book, animal, parent, is| {
        entry::gene_tests(vec![test(animal, Tested::Parentage { parent, is })], &book.flock(), today())
    };
    let own = "0433 cannot be its own parent: name the parent the test was about";
    refuses(parent(&book, lamb, lamb, true), "parent", own);
    sound(parent(&book, lamb, ram, true));
    let check = parent(&book, lamb, ram, false);
    write(&mut book, check);
    assert_eq!(book.flock().animal(lamb).map(|a| a.sire.clone()), Some(Sire::Unknown), "settled");
    let otherwise =
        "an earlier test says R7 is not the parent of 0433, this one R7 is the parent: which is right?";
    asks(parent(&book, lamb, ram, true), "parent", otherwise);
    // A younger animal is nobody's dam.
    assert!(parent(&book, ewe, other, true).is_err());
}

/// The keeper's own rules of grading up are read before they are kept.
#[test]
fn rules_of_grading_up() {
    let folder = Folder::new();
    let (book, _) = joined_book(&folder);
    let with = |grading: &str| {
        let holding = Holding { grading: grading.into(), ..book.flock().holding().clone() };
        entry::holding(holding, &book.flock())
    };
    sound(with("[ladder]\n[[section]]\nname = \"Flock book\"\n"));
    refuses(
        with("[ladder]\n[[section]]\nname = \"Half\"\nleast = \"some\"\n"),
        "grading",
        "line 4: 'some' is no share: write it like 7/8",
    );
}

//! Pedigrees that cannot be, written as raw rows into a book, are found and named; so does the command line.

use hirsel_core::book::Book;
use hirsel_core::entry::{self, AnimalDraft, GeneTestDraft, LambDraft, LambingDraft, StandingDraft};
use hirsel_core::flock::{Flock, Link, RecordRef, Sire, Tested};
use hirsel_core::reckon::doubts::{DoubtKind, Doubts};
use hirsel_core::terms::{AnimalId, Born, Moment, Sex, Status, Tag};
use hirsel_tests::cli::program;
use hirsel_tests::flocks::{Folder, add, day, joined_book, write};
use rusqlite::{Connection, params};
use std::process::Command;

/// A lamb with its parents.
fn lamb(book: &mut Book, tag: &str, born: &str, dam: Option<AnimalId>, sire: Sire) -> AnimalId {
    let mut draft = AnimalDraft::new(Tag::parse(tag).expect("a tag"), Sex::Ewe);
    (draft.born, draft.dam, draft.sire) = (Born::parse(born).expect("a birth"), dam, sire);
    let id = draft.id;
    let check = entry::animals(vec![draft], &book.flock(), day("2026-04-10"));
    write(book, check);
    id
}

/// The doubts of a kind about an animal.
fn about(flock: &Flock, kind: DoubtKind, tag: &str) -> Vec<(String, Link)> {
    let id = flock.by_tag(tag).unwrap_or_else(|| panic!("{tag}"));
    let found = Doubts::of(flock);
    let of = found.list().iter().filter(|d| d.kind == kind && d.animals.contains(&id));
    of.map(|d| (d.words.clone(), d.link)).collect()
}

fn words(flock: &Flock, kind: DoubtKind, tag: &str) -> String {
    let all = about(flock, kind, tag);
    assert_eq!(all.len(), 1, "{kind:?} of {tag}: {all:#?}");
    all[0].0.clone()
}

#[test]
fn a_sound_flock_has_no_doubt() {
    let folder = Folder::new();
    let (mut book, [ewe, .., ram]) = joined_book(&folder);
    lamb(&mut book, "0501", "2026-03-20", Some(ewe), Sire::Known(ram));
    lamb(&mut book, "0502", "2026-03-20", Some(ewe), Sire::Known(ram));
    let found = Doubts::of(&book.flock());
    assert_eq!(found.list(), [], "twins of joined parents");
    let path = book.path().to_path_buf();
    book.close().expect("closed");
    let out = Command::new(program()).args(["check", "--pedigree"]).arg(&path).output().expect("runs");
    assert_eq!(String::from_utf8_lossy(&out.stdout), "No doubt in the pedigree\n");
}

#[test]
fn what_cannot_be_is_found_and_named() {
    let folder = Folder::new();
    let today = day("2026-04-10");
    let (mut book, [e0412, e0417, e0433, r7]) = joined_book(&folder);
    let r9 = add(&mut book, "R9", Sex::Ram, "2022-03-01", today);
    let known = Sire::Known(r7);
    let l = lamb(&mut book, "0501", "2026-03-20", Some(e0412), known.clone());
    let c: Vec<AnimalId> = ["C1", "C2", "C3"].map(|t| add(&mut book, t, Sex::Ewe, "", today)).to_vec();
    let q1 = add(&mut book, "Q1", Sex::Ewe, "", today);
    let own = add(&mut book, "S1", Sex::Ewe, "", today);
    let wrong = add(&mut book, "W1", Sex::Ewe, "2026-03-19", today);
    lamb(&mut book, "X1", "2026-03-19", Some(e0433), Sire::Unknown);
    let x2 = add(&mut book, "X2", Sex::Ewe, "2026-03-19", today);
    let old = add(&mut book, "Y1", Sex::Ewe, "2020-01-01", today);
    lamb(&mut book, "Z1", "2021-10-01", Some(e0412), Sire::Unknown);
    let dead = add(&mut book, "D1", Sex::Ewe, "2019-04-01", today);
    let draft = StandingDraft {
        animals: vec![dead],
        to: Status::Dead,
        on: day("2025-01-04"),
        other: None,
        reason: None,
        details: Default::default(),
    };
    let check = entry::standing(draft, &book.flock(), today);
    write(&mut book, check);
    lamb(&mut book, "G1", "2026-03-01", Some(dead), Sire::Unknown);
    lamb(&mut book, "N1", "2026-03-22", Some(e0433), Sire::Known(r9));
    lamb(&mut book, "V1", "2026-03-20", Some(e0417), Sire::OneOf(vec![r7, r9]));
    add(&mut book, "B1", Sex::Ewe, "~2022-05-01", today);
    let draft = LambingDraft {
        ewe: e0417,
        at: Moment::day(day("2026-03-25")),
        sire: Sire::Unknown,
        ease: None,
        help: None,
        note: None,
        pen: None,
        lambs: vec![LambDraft { tag: Some(Tag::parse("0601").expect("a tag")), ..LambDraft::new(Sex::Ewe) }],
        foster_on: vec![],
    };
    let check = entry::lambing(draft, &book.flock(), today);
    write(&mut book, check);
    for (animal, found) in [(l, "ARR/ARR"), (r7, "VRQ/VRQ")] {
        let found = Tested::Scrapie(hirsel_core::terms::Scrapie::parse(found).expect("a genotype"));
        let draft = GeneTestDraft { animal, on: today, found, lab: None, number: None, note: None };
        let checked = entry::gene_tests(vec![draft], &book.flock(), today).expect("a test");
        book.write(checked.despite("as the paper says").expect("a word")).expect("written");
    }
    let outside = add(&mut book, "K1", Sex::Ram, "2022-03-20", today);
    let path = book.path().to_path_buf();
    let b0601 = book.flock().by_tag("0601").expect("born");
    book.close().expect("closed");

    let db = Connection::open(&path).expect("a file");
    let run = |sql: &str, p: &[&dyn rusqlite::ToSql]| {
        db.execute(sql, p).unwrap_or_else(|e| panic!("{sql}: {e}"));
    };
    for (child, column, parent) in [
        (c[0], "dam", c[1]),
        (c[1], "dam", c[2]),
        (c[2], "dam", c[0]),
        (own, "dam", own),
        (wrong, "sire", q1),
        (x2, "sire", e0433),
        (old, "dam", e0412),
    ] {
        run(
            &format!("update animal set {column} = ?2 where id = ?1"),
            params![child.bytes(), parent.bytes()],
        );
    }
    run("update animal set born = '2026-03-02' where id = ?1", params![b0601.bytes()]);
    run(
        "insert into lambing (id, ewe, on_day) values (randomblob(16), ?1, '2026-04-01')",
        params![e0417.bytes()],
    );
    run(
        "insert into gene_test (id, animal, on_day, kind, result, parent) values (randomblob(16), ?1, '2026-04-01', 'parentage', 'no', ?2)",
        params![l.bytes(), e0412.bytes()],
    );
    run(
        "insert into identity (id, animal, place, kind, tag, norm) values (randomblob(16), ?1, 1, 'registry', 'R 7', 'R7')",
        params![outside.bytes()],
    );
    run("update animal set status = 'outside' where id = ?1", params![outside.bytes()]);
    db.close().expect("closed");

    let book = Book::open_plain(&path).expect("an older book opens");
    let f = book.flock();
    assert_eq!(
        words(&f, DoubtKind::Circle, "C2"),
        "C1, child of C2, child of C3, child of C1: no animal can be its own ancestor. One of these parents is wrong: open C1 and mend it"
    );
    assert!(words(&f, DoubtKind::OwnParent, "S1").starts_with("S1 stands as its own dam:"));
    assert_eq!(
        words(&f, DoubtKind::WrongSex, "W1"),
        "Q1 is a ewe and stands as sire of W1: choose another sire of W1, or mend the sex of Q1"
    );
    let both = &about(&f, DoubtKind::SireAndDam, "0433")[0];
    assert!(both.0.starts_with("0433 is a ewe and stands as sire of X2 and as dam of "), "{}", both.0);
    assert_eq!(both.1, Link::Animal(x2));
    assert_eq!(about(&f, DoubtKind::WrongSex, "X2"), [], "said once");
    assert!(
        words(&f, DoubtKind::ParentYounger, "Y1")
            .starts_with("0412 was born 2 Apr 2021 and stands as dam of Y1")
    );
    assert!(
        words(&f, DoubtKind::ParentYoung, "Z1").starts_with("0412 was 182 days old when it lambed for Z1")
    );
    assert!(words(&f, DoubtKind::ParentGone, "G1").starts_with("D1 is written as dead since 4 Jan 2025"));
    let near = &about(&f, DoubtKind::LambingsNear, "0417")[0];
    assert!(near.0.contains("25 Mar 2026 and 1 Apr 2026, 7 days apart"), "{}", near.0);
    assert!(matches!(near.1, Link::Record(id, RecordRef::Lambing(_)) if id == e0417));
    assert!(
        words(&f, DoubtKind::BirthOtherwise, "0601")
            .contains("25 Mar 2026 and has 2 Mar 2026 as day of birth")
    );
    let not = words(&f, DoubtKind::NotJoined, "N1");
    assert!(
        not.starts_with("N1 has R9 as sire; 0433 took the ram between") && not.contains("joined with R7"),
        "{not}"
    );
    let several = words(&f, DoubtKind::SeveralSires, "V1");
    assert_eq!(
        several,
        "the sire of V1 is R7 or R9; no joining with R9 fits the day. A parentage test of V1 with R7 and R9 settles it"
    );
    assert!(
        words(&f, DoubtKind::GenesExclude, "0501")
            .starts_with("0501 is ARR/ARR and R7 is VRQ/VRQ: R7 cannot be the sire")
    );
    assert!(
        words(&f, DoubtKind::TestSays, "0501").starts_with("a test found that 0412 is not the dam of 0501")
    );
    assert!(words(&f, DoubtKind::EstimatedBirth, "B1").contains("about 1 May 2022"));
    let twice = words(&f, DoubtKind::Duplicate, "K1");
    assert!(
        twice.starts_with("R7 and R 7 may be one animal (")
            || twice.starts_with("R7 and K1 may be one animal ("),
        "{twice}"
    );
    let kinds = Doubts::of(&f).counts().len();
    assert_eq!(kinds, DoubtKind::ALL.len(), "every kind is among them: {:?}", Doubts::of(&f).counts());
    let total = Doubts::of(&f).total();

    book.close().expect("closed");
    let out = Command::new(program()).args(["check", "--pedigree"]).arg(&path).output().expect("runs");
    let text = String::from_utf8_lossy(&out.stdout);
    assert!(
        out.status.success() && text.contains("pedigree in a circle (cannot be): 1\n  - C1, child of C2"),
        "{text}"
    );
    assert!(text.ends_with(&format!("{total} doubts in the pedigree\n")), "{text}");
}

/// Genes of both parents together, and the ram that is left.
#[test]
fn genes_and_tests_narrow_down_the_rams() {
    let folder = Folder::new();
    let today = day("2026-04-10");
    let (mut book, [ewe, .., r7]) = joined_book(&folder);
    let r9 = add(&mut book, "R9", Sex::Ram, "2022-03-01", today);
    let l = lamb(&mut book, "V1", "2026-03-20", Some(ewe), Sire::OneOf(vec![r7, r9]));
    let test = |book: &mut Book, animal, found: &str| {
        let found = Tested::Scrapie(hirsel_core::terms::Scrapie::parse(found).expect("a genotype"));
        let draft = GeneTestDraft { animal, on: today, found, lab: None, number: None, note: None };
        let checked = entry::gene_tests(vec![draft], &book.flock(), today).expect("a test");
        book.write(checked.despite("as the paper says").expect("a word")).expect("written");
    };
    test(&mut book, r7, "ARR/ARR");
    test(&mut book, r9, "ARQ/VRQ");
    let say = |book: &Book| words(&book.flock(), DoubtKind::SeveralSires, "V1");
    assert!(say(&book).ends_with("settles it; a scrapie test may do, as the rams differ"), "{}", say(&book));
    test(&mut book, l, "ARQ/ARQ");
    let said = say(&book);
    assert!(said.contains("R7 cannot be (V1 is ARQ/ARQ and R7 is ARR/ARR)"), "{said}");
    assert!(said.ends_with("Only R9 is left: choose it as sire"), "{said}");
}

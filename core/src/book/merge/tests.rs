//! No reference is forgotten, not even one of a table that does not exist yet.

use crate::book::Book;
use crate::entry::{AnimalDraft, MergeDraft, animals, merge};
use crate::flock::Holding;
use crate::terms::{AnimalId, Day, Sex, Tag};
use rusqlite::Connection;
use std::path::Path;

fn book(path: &Path) -> (Book, [AnimalId; 2]) {
    let holding = Holding { flock: "Merging".into(), ..Holding::default() };
    let mut book = Book::create(path, holding).unwrap();
    let new = |tag: &str| AnimalDraft::new(Tag::parse(tag).unwrap(), Sex::Ewe);
    let drafts = vec![new("0412"), new("0413")];
    let ids = [drafts[0].id, drafts[1].id];
    let check = animals(drafts, &book.flock(), Day::today()).unwrap();
    book.write(check.sure().unwrap()).unwrap();
    (book, ids)
}

fn one(book: &mut Book, [keep, gone]: [AnimalId; 2]) {
    let draft = MergeDraft { keep, gone, take: Default::default(), reason: "read the chip".into() };
    let check = merge(draft, &book.flock()).unwrap();
    book.write(check.sure().unwrap()).unwrap();
}

#[test]
fn a_table_yet_to_come_is_followed_as_well() {
    let room = tempfile::tempdir().unwrap();
    let path = room.path().join("book.hirsel");
    let (made, ids) = book(&path);
    made.close().unwrap();
    let db = Connection::open(&path).unwrap();
    db.execute_batch(
        "create table shearing (
           id blob primary key not null check (length(id) = 16),
           whom blob not null references animal (id), beside blob references animal (id)
         ) strict, without rowid;
         create table portrait (id blob primary key not null references animal (id), words text) strict, without rowid;",
    )
    .unwrap();
    let gone = ids[1].bytes();
    db.execute("insert into shearing values (randomblob(16), ?1, ?1)", [gone]).unwrap();
    db.execute("insert into portrait values (?1, 'dark face')", [gone]).unwrap();
    db.close().unwrap();
    // No book of this format is opened with tables it has not: made ready by hand.
    let mut db = crate::book::alone(&path).unwrap();
    crate::book::settle(&db).unwrap();
    let flock = crate::book::load::everything(&db).unwrap();
    let refs = crate::book::prepared(&mut db).unwrap();
    let mut book = Book::ready(db, &path, flock, crate::book::look::Look::default(), refs).unwrap();
    let counts = |book: &Book, id: AnimalId| -> (i64, i64) {
        let count = |sql: &str| book.db.query_row(sql, [id.bytes()], |r| r.get(0)).unwrap();
        (
            count("select count(*) from shearing where whom = ?1 and beside = ?1"),
            count("select count(*) from portrait where id = ?1"),
        )
    };
    one(&mut book, ids);
    assert_eq!((counts(&book, ids[0]), counts(&book, ids[1])), ((1, 1), (0, 0)));
    let left: i64 =
        book.db.query_row("select count(*) from pragma_foreign_key_check", [], |r| r.get(0)).unwrap();
    assert_eq!(left, 0);
    let merged = book.merges(0).unwrap();
    assert_eq!(merged.len(), 1);
    assert_eq!((merged[0].keep, merged[0].gone), (Some(ids[0]), ids[1]));
    book.part_again(merged[0].entry).unwrap().expect("parted");
    assert_eq!((counts(&book, ids[0]), counts(&book, ids[1])), ((0, 0), (1, 1)));
    assert!(book.part_again(merged[0].entry).unwrap().is_none(), "they are two already");
}

/// A column that holds an animal's id without a foreign key would be passed over.
#[test]
fn every_column_named_for_an_animal_is_a_key() {
    let room = tempfile::tempdir().unwrap();
    let (book, _) = book(&room.path().join("book.hirsel"));
    let names = ["animal", "ewe", "ram", "dam", "sire", "genetic_dam", "foster", "parent", "lamb"];
    let found: Vec<(String, String)> = book
        .db
        .prepare(
            "select m.name, c.name from main.sqlite_schema m, pragma_table_info(m.name) c
             where m.type = 'table' and m.name not like 'journal_%' and c.type like 'blob'",
        )
        .unwrap()
        .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))
        .unwrap()
        .collect::<rusqlite::Result<_>>()
        .unwrap();
    let refs = super::journal::References::read(&book.db).unwrap();
    let mut seen = 0;
    for (table, column) in found.iter().filter(|(_, c)| names.contains(&c.as_str())) {
        assert!(
            refs.all().any(|r| r == (table.as_str(), column.as_str())),
            "{table}.{column} is no foreign key"
        );
        seen += 1;
    }
    assert!(seen > 15, "{seen}");
}

//! Kept pictures and papers to rows and back, the files behind them, and what they name.

use super::failed::Failed;
use super::put::{put, run, struck as struck_columns};
use super::rows::{animal_opt, day, id, odd, struck};
use super::unite::NO_FACTS;
use super::{Book, trail};
use crate::flock::{Document, DocumentOf, NewDocument, RecordRef, Sha};
use crate::terms::{AnimalId, DocumentId};
use rusqlite::{Connection, OptionalExtension as _, Row, params};
use std::path::Path;

type Result<T> = rusqlite::Result<T>;

const DOCUMENT: &str =
    "id, of_table, of_id, animal, name, kind, size, on_day, sha, portrait, struck, struck_on";
/// Who keeps the flock, as `of_table` has it: those facts have no row and no id of their own.
const HOLDING: &str = "holding";

/// Every kept paper.
pub(super) fn read(db: &Connection) -> Result<Vec<Document>> {
    db.prepare_cached(&format!("select {DOCUMENT} from document order by id"))?
        .query_map([], document)?
        .collect()
}

fn document(r: &Row<'_>) -> Result<Document> {
    let table = r.get_ref(1)?.as_str()?;
    let of = match (r.get::<_, Option<[u8; 16]>>(2)?, animal_opt(r, 3)?) {
        (None, Some(animal)) => RecordRef::Animal(animal).into(),
        (None, None) if table == HOLDING => DocumentOf::Holding,
        (Some(key), None) => trail::record_of(table, key).ok_or_else(|| odd(1, table))?.into(),
        _ => return Err(odd(1, "a paper that belongs to nothing")),
    };
    Ok(Document {
        id: DocumentId::from_bytes(id(r, 0)?),
        of,
        name: r.get(4)?,
        kind: r.get(5)?,
        size: r.get::<_, i64>(6)?.unsigned_abs(),
        on: day(r, 7)?,
        sha: Sha(r.get(8)?),
        portrait: r.get(9)?,
        struck: struck(r, 10)?,
    })
}

/// `of_table`, `of_id` and `animal` of what a paper belongs to.
fn names(of: DocumentOf) -> (&'static str, Option<[u8; 16]>, Option<[u8; 16]>) {
    match of {
        DocumentOf::Holding => (HOLDING, None, None),
        DocumentOf::Record(RecordRef::Animal(id)) => ("animal", None, Some(id.bytes())),
        DocumentOf::Record(record) => {
            let (table, id) = trail::row_of(record);
            (table, Some(id), None)
        }
    }
}

/// Puts a paper into the book; a file that is there already is not written again.
pub(super) fn put_document(db: &Connection, new: &NewDocument) -> Result<()> {
    run(
        db,
        "insert or ignore into journal_file (sha, bytes) values (?1, ?2)",
        params![new.file.sha().0, new.file.bytes()],
    )?;
    put_facts(db, &new.document, true)
}

/// What is known of a paper, new or as it will stand.
pub(super) fn put_facts(db: &Connection, d: &Document, new: bool) -> Result<()> {
    let (table, of, animal) = names(d.of);
    let (why, when) = struck_columns(&d.struck);
    put(
        db,
        "document",
        &DOCUMENT.split(", ").collect::<Vec<_>>(),
        new,
        params![
            d.id.bytes(),
            table,
            of,
            animal,
            d.name,
            d.kind,
            i64::try_from(d.size).unwrap_or(i64::MAX),
            d.on.to_string(),
            d.sha.0,
            d.portrait,
            why,
            when,
        ],
    )
}

/// Lets this picture stand for its animal; another that did no longer does.
pub(super) fn put_portrait(db: &Connection, animal: AnimalId, picture: DocumentId) -> Result<()> {
    run(
        db,
        "update document set portrait = id = ?2 where animal = ?1 and portrait is not (id = ?2)",
        params![animal.bytes(), picture.bytes()],
    )
}

/// What stands in the way of taking a record back, in words.
pub(super) const KEPT_WITH: &str = "a paper kept with it";

/// Tables that papers are kept with and that no foreign key leads to.
pub(super) fn tables_named(db: &Connection) -> Result<Vec<String>> {
    db.prepare_cached("select distinct of_table from document where of_id is not null order by 1")?
        .query_map([], |r| r.get(0))?
        .collect()
}

/// Papers whose record is not there, by name. They cannot come about in one book: undo refuses to take a record from
/// under its papers, and a purge takes both.
pub(super) fn astray(db: &Connection) -> Result<Vec<String>> {
    let mut all = Vec::new();
    for table in tables_named(db)? {
        let known: bool = db
            .prepare_cached("select 1 from sqlite_schema where type = 'table' and name = ?1")?
            .exists([&table])?;
        let there = match known && trail::record_of(&table, [0; 16]).is_some() {
            true => format!("and not exists (select 1 from \"{table}\" o where o.id = d.of_id)"),
            false => String::new(),
        };
        let names: Vec<String> = db
            .prepare_cached(&format!("select name from document d where of_table = ?1 {there} order by id"))?
            .query_map([&table], |r| r.get(0))?
            .collect::<Result<_>>()?;
        all.extend(names);
    }
    Ok(all)
}

/// Files behind these documents that no paper and no line of the journal names any more go. Call it when their rows
/// and lines are gone.
pub(super) fn drop_unused(db: &Connection, files: &[Sha]) -> Result<()> {
    for sha in files {
        run(
            db,
            &format!(
                "delete from journal_file where sha = ?1 and not exists (select 1 from document where sha = ?1)
                   and not exists (select 1 from journal_change c join journal_entry e on e.seq = c.entry
                     where c.tbl = 'document' and e.kind not in {NO_FACTS}
                       and (c.new ->> '$.sha' = hex(?1) or c.old ->> '$.sha' = hex(?1)))"
            ),
            [sha.0],
        )?;
    }
    Ok(())
}

/// Looks at every kept file: is it there, and is it what was put in? In plain sentences.
pub(super) fn faults(db: &Connection) -> Result<Vec<String>> {
    let mut found: Vec<String> = astray(db)?
        .into_iter()
        .map(|name| format!("The paper '{name}' is kept with a record that is not there"))
        .collect();
    let missing: Vec<String> = db
        .prepare(
            "select name from document d where not exists (select 1 from journal_file f where f.sha = d.sha)",
        )?
        .query_map([], |r| r.get(0))?
        .collect::<Result<_>>()?;
    found.extend(
        missing.into_iter().map(|n| format!("The paper '{n}' has lost its file: take it from a copy")),
    );
    let mut files = db.prepare("select sha, bytes from journal_file")?;
    let mut rows = files.query([])?;
    let mut name = db.prepare("select name from document where sha = ?1 limit 1")?;
    while let Some(r) = rows.next()? {
        let sha: [u8; 32] = r.get(0)?;
        if Sha::of(r.get_ref(1)?.as_blob()?) != Sha(sha) {
            let of: Option<String> = name.query_row([sha], |r| r.get(0)).optional()?;
            let of = of.map_or_else(|| "that was undone".to_string(), |n| format!("'{n}'"));
            found.push(format!("The file of the paper {of} is not what was put in: take it from a copy"));
        }
    }
    Ok(found)
}

/// How much room a book takes, in bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Room {
    /// The file with its log.
    pub file: u64,
    /// Kept pictures and papers.
    pub papers: u64,
    /// The journal: every line with what it changed.
    pub journal: u64,
}

impl Room {
    /// From this size on the keeper is told.
    pub const LARGE: u64 = 500_000_000;

    /// What the records take with their indexes and free pages: the rest of the file.
    pub fn records(&self) -> u64 {
        self.file.saturating_sub(self.papers + self.journal)
    }

    /// `12.4 MB: 8.1 MB pictures and papers, 2.0 MB journal, 2.3 MB records`; the parts of a small one are not told.
    pub fn words(&self) -> String {
        if self.file < 1_000_000 {
            return "under 1 MB with everything in it".into();
        }
        format!(
            "{}: {} pictures and papers, {} journal, {} records",
            size_words(self.file),
            size_words(self.papers),
            size_words(self.journal),
            size_words(self.records())
        )
    }

    /// What to do about a book that has grown large; none while it is not.
    pub fn caution(&self) -> Option<String> {
        (self.file > Self::LARGE).then(|| {
            format!(
                "The book has grown beyond {}, and each of its kept copies takes as much: keep pictures small (2000 pixels \
                 do), and take out for good what need no longer be kept; copies that are no longer wanted can be brought elsewhere",
                size_words(Self::LARGE)
            )
        })
    }
}

/// `48 kB`, `1.2 MB`: in thousands.
pub fn size_words(bytes: u64) -> String {
    match bytes {
        0..1_000 => format!("{bytes} bytes"),
        1_000..1_000_000 => format!("{} kB", bytes / 1_000),
        _ => format!("{}.{} MB", bytes / 1_000_000, bytes % 1_000_000 / 100_000),
    }
}

impl Book {
    /// The bytes of a paper kept in the book; none when there is no such paper.
    ///
    /// # Errors
    /// The file could not be read.
    pub fn document(&self, id: DocumentId) -> std::result::Result<Option<Vec<u8>>, Failed> {
        self.db
            .prepare_cached(
                "select f.bytes from document d join journal_file f on f.sha = d.sha where d.id = ?",
            )
            .and_then(|mut s| s.query_row([id.bytes()], |r| r.get(0)).optional())
            .map_err(|e| Failed::sql(&self.path, &e))
    }

    /// Where the room goes. The lengths of every line are read: a large book takes a moment.
    ///
    /// # Errors
    /// The file could not be read.
    pub fn room(&self) -> std::result::Result<Room, Failed> {
        room(&self.db, &self.path).map_err(|e| Failed::sql(&self.path, &e))
    }

    /// Size of the file with its log, in bytes.
    pub fn file_size(&self) -> u64 {
        file_size(&self.path)
    }
}

fn file_size(path: &Path) -> u64 {
    let size = |p: &Path| std::fs::metadata(p).map_or(0, |m| m.len());
    size(path) + size(&super::backup::sibling(path, "-wal"))
}

/// Where the room of a book goes.
pub(super) fn room(db: &Connection, path: &Path) -> Result<Room> {
    let sum = |what: &str| -> Result<u64> {
        let n: i64 = db.prepare_cached(what)?.query_row([], |r| r.get(0))?;
        Ok(n.unsigned_abs())
    };
    let papers = sum("select coalesce(sum(octet_length(bytes)), 0) from journal_file")?;
    let journal = sum(
        "select coalesce(sum(32 + octet_length(tbl) + octet_length(key) + coalesce(octet_length(old), 0)
           + coalesce(octet_length(new), 0)), 0) from journal_change",
    )?;
    Ok(Room { file: file_size(path), papers, journal })
}

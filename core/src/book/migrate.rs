//! Bringing an older book up to this program's format. Each step is a file that is only ever added to.

use super::{APPLICATION_ID, FORMAT, Failed, backup};
use crate::flock::Sha;
use rusqlite::Connection;
use rusqlite::functions::FunctionFlags;
use std::path::Path;

/// The first format, then what each later one adds.
const FIRST: &str = include_str!("schema.sql");
const STEPS: [(u32, &str); 8] = [
    (2, include_str!("migrations/0002_jobs.sql")),
    (3, include_str!("migrations/0003_cupboard.sql")),
    (4, include_str!("migrations/0004_blood.sql")),
    (5, include_str!("migrations/0005_weights.sql")),
    (6, include_str!("migrations/0006_feed.sql")),
    (7, include_str!("migrations/0007_copies.sql")),
    (8, include_str!("migrations/0008_documents.sql")),
    (9, include_str!("migrations/0009_rams.sql")),
];

/// Gives the steps what they call and SQLite has not: `sha256` of a blob.
pub(super) fn functions(db: &Connection) -> rusqlite::Result<()> {
    let flags = FunctionFlags::SQLITE_UTF8 | FunctionFlags::SQLITE_DETERMINISTIC;
    db.create_scalar_function("sha256", 1, flags | FunctionFlags::SQLITE_DIRECTONLY, |of| {
        Ok(of.get_raw(0).as_blob_or_null()?.map(|bytes| Sha::of(bytes).0))
    })
}

/// Lays out a new book in the newest format. The caller has an empty file.
pub(super) fn lay_out(db: &Connection) -> rusqlite::Result<()> {
    lay_out_as(db, FORMAT)
}

/// Lays out a book of an earlier format, for what is read from an old one.
pub(super) fn lay_out_as(db: &Connection, format: u32) -> rusqlite::Result<()> {
    functions(db)?;
    let steps: String = STEPS.iter().filter(|(to, _)| *to <= format).map(|(_, sql)| *sql).collect();
    db.execute_batch(&format!(
        "begin immediate; {FIRST} {steps} pragma application_id = {APPLICATION_ID}; pragma user_version = {format}; commit;"
    ))
}

/// An empty book of an older format, or of this one, in memory.
pub(super) fn as_of(format: u32) -> rusqlite::Result<Connection> {
    let db = Connection::open_in_memory()?;
    lay_out_as(&db, format)?;
    Ok(db)
}

/// Every missing step in one transaction, without a copy.
pub(super) fn raise(db: &Connection, found: u32) -> rusqlite::Result<()> {
    functions(db)?;
    let steps: String = STEPS.iter().filter(|(to, _)| *to > found).map(|(_, sql)| *sql).collect();
    let all = format!("begin immediate; {steps} pragma user_version = {FORMAT}; commit;");
    db.execute_batch(&all).inspect_err(|_| {
        let _ = db.execute_batch("rollback");
    })
}

/// Brings a book of format `found` up to date: a copy first, then every missing step in one transaction.
///
/// # Errors
/// No copy could be kept, or the file could not be written; the book is then as it was.
pub(super) fn bring_up(db: &Connection, path: &Path, found: u32) -> Result<(), Failed> {
    if found >= FORMAT {
        return Ok(());
    }
    backup::keep_before(db, path, &format!("before format {FORMAT}"))?;
    raise(db, found).map_err(|e| Failed::sql(path, &e))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::flock::RecordRef;

    /// A new book and an old one brought up to date have the same tables, columns and indexes.
    #[test]
    fn an_old_book_brought_up_is_laid_out_like_a_new_one() {
        let new = Connection::open_in_memory().expect("memory");
        lay_out(&new).expect("laid out");
        let dir = tempfile::tempdir().expect("a folder");
        let path = dir.path().join("Old.hirsel");
        let old = Connection::open(&path).expect("opens");
        old.execute_batch(&format!(
            "begin; {FIRST} pragma application_id = {APPLICATION_ID}; pragma user_version = 1; commit;"
        ))
        .expect("format 1");
        old.execute(
            "insert into animal (id, sex, status) values (randomblob(16), 'ewe', 'in the flock')",
            [],
        )
        .expect("an animal of format 1");
        bring_up(&old, &path, 1).expect("brought up");
        let layout = |db: &Connection| -> Vec<(String, String)> {
            let columns = "select m.name, group_concat(p.name || ' ' || p.type || ' ' || p.\"notnull\", ', ')
                 from sqlite_schema m join pragma_table_info(m.name) p where m.type = 'table' group by m.name
                 union all select name, coalesce(sql, '') from sqlite_schema where type = 'index' order by 1";
            let mut statement = db.prepare(columns).expect("a statement");
            let all = statement.query_map([], |r| Ok((r.get(0)?, r.get(1)?))).expect("rows");
            all.collect::<Result<_, _>>().expect("read")
        };
        assert_eq!(layout(&old), layout(&new));
        let format: u32 = old.pragma_query_value(None, "user_version", |r| r.get(0)).expect("a number");
        assert_eq!(format, FORMAT);
        let meant: Option<String> =
            old.query_row("select meant_for from animal", [], |r| r.get(0)).expect("the animal is there");
        assert_eq!(meant, None);
        assert!(
            backup::folder(&path).join(format!("before format {FORMAT}.hirsel")).exists(),
            "a copy is kept first"
        );
    }

    /// Papers of format 7 name their batch or prescription in the new way, files that are alike lie there once, and the
    /// journal tells of them in the new words, so that today's paper can still be undone.
    #[test]
    fn papers_of_format_7_are_kept_with_the_same_records() {
        let dir = tempfile::tempdir().expect("a folder");
        let path = dir.path().join("Seven.hirsel");
        let old = Connection::open(&path).expect("opens");
        let steps: String = STEPS.iter().filter(|(to, _)| *to < 8).map(|(_, sql)| *sql).collect();
        old.execute_batch(&format!("{FIRST} {steps}")).expect("format 7");
        old.execute_batch(&format!(
            "pragma application_id = {APPLICATION_ID}; pragma user_version = 7;
             insert into product (id, name) values (x'01010101010101010101010101010101', 'drench');
             insert into vet (id, name) values (x'02020202020202020202020202020202', 'Orla Brennan');
             insert into batch (id, product, number) values (x'03030303030303030303030303030303', x'01010101010101010101010101010101', 'L41');
             insert into prescription (id, vet, on_day, product)
               values (x'04040404040404040404040404040404', x'02020202020202020202020202020202', '2026-03-01', 'drench');
             insert into document (id, batch, prescription, name, kind, size, on_day) values
               (x'05050505050505050505050505050505', x'03030303030303030303030303030303', null, 'invoice.pdf', 'pdf', 8, '2026-03-02'),
               (x'06060606060606060606060606060606', null, x'04040404040404040404040404040404', 'copy.pdf', 'pdf', 8, '2026-03-02');
             insert into journal_file (id, bytes) values (x'05050505050505050505050505050505', cast('%PDF-1.7' as blob)),
               (x'06060606060606060606060606060606', cast('%PDF-1.7' as blob));
             insert into journal_entry (seq, id, at, who, kind, what, clock) values
               (1, randomblob(16), '2026-03-01 20:00:00', 'Maud', 'setting', 'Started the book', 1),
               (2, randomblob(16), '{today} 20:00:00', 'Maud', 'paper', 'Paper copy.pdf kept', 2);
             insert into journal_change (entry, tbl, key, old, new) select 2, 'document', hex(id), null,
               json_object('id', hex(id), 'batch', iif(batch is null, null, hex(batch)),
                 'prescription', iif(prescription is null, null, hex(prescription)), 'name', name, 'kind', kind,
                 'size', size, 'on_day', on_day, 'struck', struck, 'struck_on', struck_on)
               from document where prescription is not null;",
            today = crate::terms::Day::today()
        ))
        .expect("rows of format 7");
        drop(old);

        let mut book = super::super::Book::open(&path).expect("brought up");
        let flock = book.flock();
        let [invoice, copy] = flock.documents().all() else { panic!("{:?}", flock.documents().all()) };
        let of = |record: RecordRef| flock.documents().with(record).map(|d| d.id).collect::<Vec<_>>();
        assert_eq!(of(RecordRef::Batch(flock.cupboard().batches[0].id)), [invoice.id]);
        assert_eq!(of(RecordRef::Prescription(flock.cupboard().prescriptions[0].id)), [copy.id]);
        assert_eq!((invoice.sha, copy.sha), (Sha::of(b"%PDF-1.7"), Sha::of(b"%PDF-1.7")));
        let files: i64 =
            book.db.query_row("select count(*) from journal_file", [], |r| r.get(0)).expect("files");
        assert_eq!(files, 1, "alike, and there once");
        for id in [invoice.id, copy.id] {
            assert_eq!(book.document(id).expect("readable").as_deref(), Some(&b"%PDF-1.7"[..]));
        }
        let copy = copy.clone();
        book.undo().expect("undone").expect("something");
        assert_eq!(book.flock().documents().all().len(), 1);
        book.redo().expect("redone").expect("something");
        assert_eq!(book.flock().documents().get(copy.id), Some(&copy));
        let report = book.check(&|_| {}).expect("readable");
        // The other rows were put there by hand, past the journal; nothing else is to be told.
        let told: Vec<_> =
            report.lines.iter().filter(|l| !l.ends_with("no line of the journal wrote it")).collect();
        assert_eq!(told.len(), 4, "{told:?}");
    }
}

//! Bringing an older book up to this program's format. Each step is a file that is only ever added to.

use super::{APPLICATION_ID, FORMAT, Failed, backup};
use rusqlite::Connection;
use std::path::Path;

/// The first format, then what each later one adds.
const FIRST: &str = include_str!("schema.sql");
const STEPS: [(u32, &str); 4] = [
    (2, include_str!("migrations/0002_jobs.sql")),
    (3, include_str!("migrations/0003_cupboard.sql")),
    (4, include_str!("migrations/0004_blood.sql")),
    (5, include_str!("migrations/0005_weights.sql")),
];

/// Lays out a new book in the newest format. The caller has an empty file.
pub(super) fn lay_out(db: &Connection) -> rusqlite::Result<()> {
    let steps: String = STEPS.iter().map(|(_, sql)| *sql).collect();
    db.execute_batch(&format!(
        "begin immediate; {FIRST} {steps} pragma application_id = {APPLICATION_ID}; pragma user_version = {FORMAT}; commit;"
    ))
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
    let steps: String = STEPS.iter().filter(|(to, _)| *to > found).map(|(_, sql)| *sql).collect();
    let all = format!("begin immediate; {steps} pragma user_version = {FORMAT}; commit;");
    db.execute_batch(&all).map_err(|e| {
        let _ = db.execute_batch("rollback");
        Failed::sql(path, &e)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

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
        assert!(backup::folder(&path).join("before format 5.hirsel").exists(), "a copy is kept first");
    }
}

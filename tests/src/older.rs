//! Books as earlier programs wrote them.

use crate::cli::workspace;
use rusqlite::{Connection, params};
use std::path::Path;

/// An id of one repeated byte.
fn id(n: u8) -> [u8; 16] {
    [n; 16]
}

/// The number every book carries in its head.
const APPLICATION_ID: i64 = 0x4872_736c;

/// Lays out a book with the statements of the first format alone and writes into it as a program of that time did: rows,
/// each with its line in the journal.
///
/// # Panics
/// When it cannot be made.
pub fn first_format(path: &Path) {
    let schema = std::fs::read_to_string(workspace().join("core/src/book/schema.sql"))
        .unwrap_or_else(|e| panic!("the first schema: {e}"));
    let db = Connection::open(path).unwrap_or_else(|e| panic!("a new file: {e}"));
    db.execute_batch(&schema).unwrap_or_else(|e| panic!("the first schema: {e}"));
    db.pragma_update(None, "application_id", APPLICATION_ID).unwrap_or_else(|e| panic!("marked: {e}"));
    db.pragma_update(None, "user_version", 1).unwrap_or_else(|e| panic!("marked: {e}"));
    let done = |sql: &str, p: &[&dyn rusqlite::ToSql]| {
        db.execute(sql, p).unwrap_or_else(|e| panic!("{sql}: {e}"));
    };
    for (name, value) in [("flock", "Thornley Fellsides"), ("keeper", "Maud Thornley"), ("rules", "gb")] {
        done("insert into setting (name, value) values (?1, ?2)", params![name, value]);
    }
    for (n, sex, born, dam, sire, grams, pen, status) in [
        (1, "ewe", "2021-04-02", None, None, None, Some("Top shed"), "in the flock"),
        (2, "ram", "2020-03-20", None, None, None, None, "sold"),
        (3, "ewe", "2026-03-14", Some(1), Some(2), Some(4200), Some("Top shed"), "in the flock"),
        (4, "ram", "2026-03-14", Some(1), Some(2), Some(4500), Some("Top shed"), "in the flock"),
    ] {
        done(
            "insert into animal (id, sex, born, dam, sire, birth_weight_g, pen, status, status_on)
             values (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9)",
            params![
                id(n),
                sex,
                born,
                dam.map(id),
                sire.map(id),
                grams,
                pen,
                status,
                (status == "sold").then_some("2025-12-20")
            ],
        );
    }
    for (n, animal, kind, tag, norm) in [
        (11, 1, "flock", "0412", "0412"),
        (12, 2, "flock", "R7", "R7"),
        (13, 3, "flock", "0601", "0601"),
        (14, 4, "flock", "0602", "0602"),
        (15, 1, "electronic", "826000000000412", "826000000000412"),
    ] {
        done(
            "insert into identity (id, animal, place, kind, tag, norm) values (?1, ?2, ?3, ?4, ?5, ?6)",
            params![id(n), id(animal), i64::from(n == 15), kind, tag, norm],
        );
    }
    done(
        "insert into joining (id, ewe, ram, from_on, to_on) values (?1, ?2, ?3, '2025-10-18', '2025-11-22')",
        params![id(21), id(1), id(2)],
    );
    done(
        "insert into lambing (id, ewe, on_day, at_time, ram) values (?1, ?2, '2026-03-14', '06:30', ?3)",
        params![id(22), id(1), id(2)],
    );
    for (n, place) in [(3, 0), (4, 1)] {
        done(
            "insert into birth (id, lambing, place, fate, sucked, navel_dipped) values (?1, ?2, ?3, 'alive', 1, 1)",
            params![id(n), id(22), place],
        );
    }
    done(
        "insert into weighing (id, animal, on_day, weight_g) values (?1, ?2, '2026-04-01', 9100)",
        params![id(23), id(3)],
    );
    done(
        "insert into treatment (id, animal, on_day, product, dose_kind, dose, meat) values (?1, ?2, '2026-02-14', 'Clostridial vaccine', 'ul', 2000, '28')",
        params![id(24), id(1)],
    );
    done(
        "insert into movement (id, animal, on_day, status) values (?1, ?2, '2025-12-20', 'sold')",
        params![id(25), id(2)],
    );
    done(
        "insert into remark (id, animal, on_day, text) values (?1, ?2, '2026-03-20', 'stands well')",
        params![id(26), id(3)],
    );
    write_journal(&db);
}

/// One line that brought every row.
fn write_journal(db: &Connection) {
    let done = |sql: &str, p: &[&dyn rusqlite::ToSql]| {
        db.execute(sql, p).unwrap_or_else(|e| panic!("{sql}: {e}"));
    };
    done(
        "insert into journal_entry (seq, id, at, who, kind, what) values (1, ?1, '2026-04-02 21:10', 'Maud', 'animals', '4 new animals')",
        params![id(99)],
    );
    let names: Vec<String> = db
        .prepare("select name from sqlite_schema where type = 'table' and name not like 'sqlite_%' and name not like 'journal_%'")
        .and_then(|mut s| s.query_map([], |r| r.get(0))?.collect())
        .unwrap_or_else(|e| panic!("tables: {e}"));
    for table in names {
        let columns: Vec<String> = db
            .prepare("select name from pragma_table_info(?1) order by cid")
            .and_then(|mut s| s.query_map([&table], |r| r.get(0))?.collect())
            .unwrap_or_else(|e| panic!("columns: {e}"));
        let key = &columns[0];
        let value = |c: &String| format!("'{c}', iif(typeof({c}) = 'blob', hex({c}), {c})");
        let object = columns.iter().map(value).collect::<Vec<_>>().join(", ");
        let key = format!("iif(typeof({key}) = 'blob', hex({key}), {key})");
        let sql = format!(
            "insert into journal_change (entry, tbl, key, old, new) select 1, '{table}', {key}, null, json_object({object}) from {table}"
        );
        db.execute(&sql, []).unwrap_or_else(|e| panic!("{sql}: {e}"));
    }
}

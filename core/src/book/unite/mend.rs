//! What two copies can bring about together that one alone never writes: a tag worn twice, a step of the plan changed
//! twice, a record of an animal that the other copy took back. Mended in a line of its own, the same in every copy.

use super::super::documents;
use super::replay::row;
use super::write::Table;
use crate::terms::{AnimalId, norm};
use rusqlite::{Connection, params};

/// One thing that was mended.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Mended {
    /// Two animals wore one tag: the second is told apart by a number behind it.
    TagTwice {
        /// The tag.
        tag: String,
        /// How the second is written now.
        now: String,
    },
    /// Both changed the same step or rule; the later holds. Key of the row that stays, key of the one that went.
    Twice {
        /// Its table.
        table: &'static str,
        /// The row that stays.
        stays: String,
        /// The one that went.
        went: String,
    },
    /// Something was taken back on one copy that the other builds on: it is there again.
    Back {
        /// Its table.
        table: String,
    },
}

/// Indexes that two copies together can break; they are set aside while rows are written.
const UNIQUE: [(&str, &str); 3] = [
    ("identity_worn", "create unique index identity_worn on identity (kind, norm) where ended is null"),
    ("plan_step_once", "create unique index plan_step_once on plan_step (ifnull(season, 0), step)"),
    ("rule_change_once", "create unique index rule_change_once on rule_change (rule_set, row_key)"),
];

pub(super) fn set_aside(db: &Connection) -> rusqlite::Result<()> {
    UNIQUE.iter().try_for_each(|(name, _)| db.execute_batch(&format!("drop index if exists {name}")))
}

pub(super) fn put_back(db: &Connection) -> rusqlite::Result<()> {
    UNIQUE.iter().try_for_each(|(_, sql)| db.execute_batch(sql))
}

/// Mends all of it, until nothing is left to mend.
pub(super) fn mend(db: &Connection) -> rusqlite::Result<Vec<Mended>> {
    let mut done = Vec::new();
    back(db, &mut done)?;
    once(db, "plan_step", "ifnull(season, 0), step", &mut done)?;
    once(db, "rule_change", "rule_set, row_key", &mut done)?;
    tags(db, &mut done)?;
    Ok(done)
}

/// Rows that others name and that are not there.
fn back(db: &Connection, done: &mut Vec<Mended>) -> rusqlite::Result<()> {
    let mut keys: Vec<(String, String, String, String, String)> = db
        .prepare(
            "select m.name, f.\"from\", f.\"table\", coalesce(f.\"to\", 'id'), '' from sqlite_schema m
             join pragma_foreign_key_list(m.name) f
             where m.type = 'table' and m.name not like 'journal_%' order by 1, 2",
        )?
        .query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?, r.get(4)?)))?
        .collect::<rusqlite::Result<_>>()?;
    // No foreign key leads from a paper to its record.
    keys.extend(documents::tables_named(db)?.into_iter().map(|table| {
        let of = format!("and c.of_table = '{table}'");
        ("document".into(), "of_id".into(), table, "id".into(), of)
    }));
    loop {
        let mut again = false;
        for (child, from, parent, to, only) in &keys {
            let missing: Vec<String> = db
                .prepare_cached(&format!(
                    "select distinct hex(c.{from}) from {child} c
                     where c.{from} is not null {only} and not exists (select 1 from {parent} p where p.{to} = c.{from})
                     order by 1"
                ))?
                .query_map([], |r| r.get(0))?
                .collect::<rusqlite::Result<_>>()?;
            for key in missing {
                let mut found = row(db, parent, &key)?;
                if found.fields.is_empty() {
                    continue;
                }
                found.is_there = true;
                if Table::of(db, parent)?.put(db, &key, &found)? {
                    again = true;
                    done.push(Mended::Back { table: parent.clone() });
                }
            }
        }
        if !again {
            return Ok(());
        }
    }
}

/// Of two rows that say the same thing the one that was written last stays.
fn once(db: &Connection, table: &'static str, columns: &str, done: &mut Vec<Mended>) -> rusqlite::Result<()> {
    let twice: Vec<(String, String)> = db
        .prepare(&format!(
            "select hex(a.id), hex(b.id) from {table} a join {table} b on a.id < b.id where ({}) = ({})",
            prefixed(columns, "a"),
            prefixed(columns, "b")
        ))?
        .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (one, other) in twice {
        let last = |key: &str| -> rusqlite::Result<(i64, Vec<u8>)> {
            db.prepare_cached(
                "select e.clock, e.id from journal_change c join journal_entry e on e.seq = c.entry
                 where c.tbl = ?1 and c.key = ?2 order by e.clock desc, e.id desc limit 1",
            )?
            .query_row(params![table, key], |r| Ok((r.get(0)?, r.get(1)?)))
        };
        let (stays, went) = if last(&one)? > last(&other)? { (one, other) } else { (other, one) };
        db.prepare_cached(&format!("delete from {table} where id = unhex(?1)"))?.execute([&went])?;
        done.push(Mended::Twice { table, stays, went });
    }
    Ok(())
}

fn prefixed(columns: &str, table: &str) -> String {
    let one = |c: &str| match c.strip_prefix("ifnull(") {
        Some(rest) => format!("ifnull({table}.{rest}"),
        None => format!("{table}.{c}"),
    };
    // `ifnull(season, 0)` holds a comma of its own.
    match columns.strip_prefix("ifnull(season, 0), ") {
        Some(rest) => format!("ifnull({table}.season, 0), {}", one(rest)),
        None => columns.split(", ").map(one).collect::<Vec<_>>().join(", "),
    }
}

/// Tags that two animals wear at once: the identity with the later id is written `0412 (2)`.
fn tags(db: &Connection, done: &mut Vec<Mended>) -> rusqlite::Result<()> {
    let worn: Vec<(String, String, String)> = db
        .prepare(
            "select hex(i.id), i.kind, i.tag from identity i where i.ended is null and exists
               (select 1 from identity o where o.ended is null and o.kind = i.kind and o.norm = i.norm and o.id < i.id)
             order by i.id",
        )?
        .query_map([], |r| Ok((r.get(0)?, r.get(1)?, r.get(2)?)))?
        .collect::<rusqlite::Result<_>>()?;
    for (key, kind, tag) in worn {
        let free = |text: &str| -> rusqlite::Result<bool> {
            let taken = "select 1 from identity where ended is null and kind = ?1 and norm = ?2";
            Ok(!db.prepare_cached(taken)?.exists(params![kind, norm(text)])?)
        };
        let mut n = 2;
        let short: String = tag.chars().take(34).collect();
        let mut now = format!("{short} ({n})");
        while !free(&now)? {
            n += 1;
            now = format!("{short} ({n})");
        }
        db.prepare_cached("update identity set tag = ?2, norm = ?3 where id = unhex(?1)")?
            .execute(params![key, now, norm(&now)])?;
        done.push(Mended::TagTwice { tag, now });
    }
    Ok(())
}

/// Animals whose pen or standing follows from records that were brought, or that were mended.
pub(super) fn settle(db: &Connection, line: i64, mending: i64) -> rusqlite::Result<()> {
    let ids: Vec<[u8; 16]> = db
        .prepare(
            "select distinct animal from (
               select p.animal from pen_move p where hex(p.id) in (select key from journal_change where entry in (?1, ?2) and tbl = 'pen_move')
               union select m.animal from movement m where hex(m.id) in (select key from journal_change where entry in (?1, ?2) and tbl = 'movement')
               union select a.id from animal a where hex(a.id) in (select key from journal_change where entry in (?1, ?2) and tbl = 'animal'))",
        )?
        .query_map([line, mending], |r| r.get(0))?
        .collect::<rusqlite::Result<_>>()?;
    ids.into_iter().try_for_each(|id| super::super::apply::settle(db, AnimalId::from_bytes(id)))
}

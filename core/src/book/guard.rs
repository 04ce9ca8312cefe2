//! A stranger's book is a stranger's file: before a row of it is read, its layout is compared with the one this program
//! gives a book of that format, and whatever else stands in it (a trigger, a view, a table of another kind) is refused by
//! name. Nothing of a file's own is ever run.
//!
//! What the bounds below cannot keep out is found by the quick test of its pages, which comes before the reading.

use super::{FORMAT, Failed, check, migrate};
use crate::flock::Sha;
use rusqlite::config::DbConfig;
use rusqlite::limits::Limit;
use rusqlite::{Connection, OpenFlags};
use std::collections::BTreeMap;
use std::path::Path;

/// In bytes: no text, paper or row is longer. Kept papers are 20 MB at most.
const LONGEST: i32 = 64 << 20;
/// In bytes: statements; the triggers of the journal are the longest.
const LONGEST_SQL: i32 = 4 << 20;
/// Tables, indexes and the journal's triggers together; a book has about 250.
const THINGS: i32 = 2000;

/// Opens a file with every bound set before anything of it is read.
pub(super) fn open(path: &Path, flags: OpenFlags) -> rusqlite::Result<Connection> {
    let db = Connection::open_with_flags(path, flags)?;
    bound(&db)?;
    Ok(db)
}

/// Sets what a file may make this program do: nothing of its own is run, nothing grows beyond bounds, no other file is
/// opened from it.
pub(super) fn bound(db: &Connection) -> rusqlite::Result<()> {
    for (limit, most) in [
        (Limit::SQLITE_LIMIT_LENGTH, LONGEST),
        (Limit::SQLITE_LIMIT_SQL_LENGTH, LONGEST_SQL),
        (Limit::SQLITE_LIMIT_COLUMN, 200),
        (Limit::SQLITE_LIMIT_TRIGGER_DEPTH, 20),
        (Limit::SQLITE_LIMIT_SCHEMA, THINGS),
        (Limit::SQLITE_LIMIT_ATTACHED, 0),
        (Limit::SQLITE_LIMIT_WORKER_THREADS, 0),
    ] {
        db.set_limit(limit, most)?;
    }
    for (what, on) in [
        (DbConfig::SQLITE_DBCONFIG_TRUSTED_SCHEMA, false),
        (DbConfig::SQLITE_DBCONFIG_DEFENSIVE, true),
        // The journal's own are TEMP triggers, which this leaves alone.
        (DbConfig::SQLITE_DBCONFIG_ENABLE_TRIGGER, false),
        (DbConfig::SQLITE_DBCONFIG_ENABLE_VIEW, false),
    ] {
        db.set_db_config(what, on)?;
    }
    db.pragma_update(None, "cell_size_check", true)?;
    // A file that shrinks under a map of it would end the program.
    db.pragma_update(None, "mmap_size", 0)
}

/// Every table and index by kind and name, with its words.
type Layout = BTreeMap<(String, String), String>;

/// The sum of the layout of this program's own format, so that it need not be laid out anew whenever a book is opened. A
/// test holds it.
const OURS: u128 = 0x8732_1948_0fca_169e_bc97_358b_05c4_3d7b;

/// A sum by which two layouts are told apart.
fn sum(layout: &Layout) -> u128 {
    let sha = Sha::of(format!("{layout:?}").as_bytes()).0;
    sha.iter().take(16).fold(0, |sum, byte| sum << 8 | u128::from(*byte))
}

/// The file is laid out as this program lays out a book of that format, and holds nothing else.
///
/// # Errors
/// [`Failed::Foreign`] with the name of what stands there; [`Failed::Damaged`] where something is missing.
pub(super) fn laid_out(db: &Connection, path: &Path, format: u32) -> Result<(), Failed> {
    let sql = |e: rusqlite::Error| Failed::sql(path, &e);
    let foreign = |what: String| Failed::Foreign { path: path.to_path_buf(), what };
    if format == 0 {
        return Err(Failed::NotABook(path.to_path_buf()));
    }
    let found = layout(db).map_err(sql)?;
    if format == FORMAT && sum(&found) == OURS {
        return Ok(());
    }
    let ours = migrate::as_of(format).and_then(|db| layout(&db)).map_err(sql)?;
    for ((kind, name), words) in &found {
        match ours.get(&(kind.clone(), name.clone())) {
            None => {
                return Err(foreign(format!(
                    "the {} '{}' is none of its own",
                    kind_words(kind, words),
                    shown(name)
                )));
            }
            Some(own) if own != words => {
                return Err(foreign(format!("its {kind} '{}' is made another way", shown(name))));
            }
            Some(_) => {}
        }
    }
    match ours.keys().find(|k| !found.contains_key(k)) {
        Some((kind, name)) => Err(check::damaged(path, format!("its {kind} '{name}' is missing"))),
        None => Ok(()),
    }
}

fn layout(db: &Connection) -> rusqlite::Result<Layout> {
    let mut statement =
        db.prepare("select type, name, tbl_name, coalesce(sql, '') from main.sqlite_schema")?;
    let mut rows = statement.query([])?;
    let mut all = Layout::new();
    while let Some(r) = rows.next()? {
        let (kind, name, of, sql): (String, String, String, String) =
            (r.get(0)?, r.get(1)?, r.get(2)?, r.get(3)?);
        // A name twice is not ours either way: the second would hide the first here.
        let words = format!("{of}: {}", plain(&sql));
        if let Some(twice) = all.insert((kind, name), words) {
            all.insert(("thing".into(), twice), "named twice".into());
        }
    }
    Ok(all)
}

/// The words of a statement, however they are spaced and however plain names are quoted. Line ends differ between
/// machines, and a table that was renamed has its name in quotes.
fn plain(sql: &str) -> String {
    let mut out = String::with_capacity(sql.len());
    let mut chars = sql.chars().peekable();
    while let Some(c) = chars.next() {
        match c {
            c if c.is_ascii_whitespace() => {
                if !out.ends_with(' ') {
                    out.push(' ');
                }
            }
            '\'' => {
                out.push(c);
                for c in chars.by_ref() {
                    out.push(c);
                    if c == '\'' {
                        break;
                    }
                }
            }
            '"' => {
                let name: String = chars.by_ref().take_while(|c| *c != '"').collect();
                let is_plain =
                    !name.is_empty() && name.chars().all(|c| c.is_ascii_alphanumeric() || c == '_');
                if is_plain { out.push_str(&name) } else { out.push_str(&format!("\"{name}\"")) }
            }
            c => out.push(c),
        }
    }
    out
}

/// A table may be one of another program's own making.
fn kind_words(kind: &str, words: &str) -> String {
    match kind {
        "table" if words.to_ascii_lowercase().contains(": create virtual") => "virtual table".into(),
        "table" | "index" | "view" | "trigger" => kind.into(),
        other => shown(other),
    }
}

/// A stranger's name as it may stand in a message: short, on one line.
fn shown(name: &str) -> String {
    name.chars().map(|c| if c.is_control() { '?' } else { c }).take(40).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_sum_is_that_of_this_format() {
        let ours = layout(&migrate::as_of(FORMAT).unwrap()).unwrap();
        assert_eq!(sum(&ours), OURS, "the layout changed with the format: its sum is {:#034x}", sum(&ours));
        assert_ne!(sum(&layout(&migrate::as_of(FORMAT - 1).unwrap()).unwrap()), OURS);
    }

    #[test]
    fn every_format_is_laid_out_as_itself_and_as_no_other() {
        for format in 1..=FORMAT {
            let db = migrate::as_of(format).unwrap();
            bound(&db).unwrap();
            for other in 1..=FORMAT {
                let told = laid_out(&db, Path::new("a.hirsel"), other);
                assert_eq!(told.is_ok(), format == other, "{format} as {other}: {told:?}");
            }
        }
    }

    #[test]
    fn spaces_and_quotes_of_plain_names_do_not_matter_and_all_else_does() {
        let one = plain("create table t (\r\n  x text default 'a  b')");
        assert_eq!(one, plain("create table \"t\" ( x text default 'a  b')"));
        assert_ne!(one, plain("create table t ( x text default 'a b')"));
        assert_ne!(one, plain("create table \"t t\" ( x text default 'a  b')"));
        assert_eq!(plain("it's"), "it's", "a quote that is not closed");
    }

    #[test]
    fn a_name_from_a_stranger_stays_on_its_line() {
        assert_eq!(shown("a\nb\u{1b}[2J"), "a?b?[2J");
        assert_eq!(shown(&"x".repeat(500)).len(), 40);
    }
}

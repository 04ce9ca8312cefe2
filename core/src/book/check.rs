//! Looking a book over: quickly on opening, wholly when asked.

use super::{Failed, backup};
use crate::flock::Flock;
use crate::terms::Sex;
use rusqlite::Connection;
use std::path::Path;

/// What a check found, in plain sentences.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Report {
    /// Counts and findings.
    pub lines: Vec<String>,
    /// Nothing wrong was found.
    pub whole: bool,
}

pub(super) fn damaged(path: &Path, what: impl Into<String>) -> Failed {
    Failed::Damaged { path: path.to_path_buf(), what: what.into(), backups: backup::folder(path) }
}

/// Tables to look over on opening, those that take longest first.
pub(super) fn tables(db: &Connection, path: &Path) -> Result<Vec<String>, Failed> {
    let sql = |e: rusqlite::Error| Failed::sql(path, &e);
    let all: Vec<String> = db
        .prepare(
            "select name from sqlite_schema where type = 'table' order by name not like 'journal%', name",
        )
        .and_then(|mut s| s.query_map([], |r| r.get(0))?.collect())
        .map_err(sql)?;
    if ["animal", "journal_entry", "setting"].iter().any(|t| !all.iter().any(|a| a == t)) {
        return Err(damaged(path, "its tables are missing"));
    }
    // With the schema's own table the list of free pages is looked over.
    Ok(all.into_iter().chain(["sqlite_schema".to_string()]).collect())
}

/// The quick test of one table's pages and rows; the deep test of its indexes is for [`full`].
pub(super) fn quick(db: &Connection, path: &Path, table: &str) -> Result<(), Failed> {
    let sql = |e: rusqlite::Error| Failed::sql(path, &e);
    let said: String =
        db.query_row(&format!("pragma quick_check(\"{table}\")"), [], |r| r.get(0)).map_err(sql)?;
    if said == "ok" { Ok(()) } else { Err(damaged(path, said)) }
}

/// The quick test of every table.
pub(super) fn every_table(db: &Connection, path: &Path) -> Result<(), Failed> {
    tables(db, path)?.iter().try_for_each(|t| quick(db, path, t))
}

/// The whole test: pages and indexes, keys between rows, the journal, and facts that cannot be.
pub(super) fn full(
    db: &Connection,
    path: &Path,
    flock: &Flock,
    progress: &dyn Fn(&str),
) -> Result<Report, Failed> {
    let sql = |e: rusqlite::Error| Failed::sql(path, &e);
    let mut found = Vec::new();
    progress("Reading every page");
    let said: Vec<String> = db
        .prepare("pragma integrity_check(20)")
        .and_then(|mut s| s.query_map([], |r| r.get(0))?.collect())
        .map_err(sql)?;
    found.extend(said.into_iter().filter(|s| s != "ok").map(|s| format!("The file is damaged: {s}")));
    progress("Following every key");
    let orphans: Vec<String> = db
        .prepare("pragma foreign_key_check")
        .and_then(|mut s| s.query_map([], |r| r.get::<_, String>(0))?.collect())
        .map_err(sql)?;
    found.extend(
        orphans.into_iter().map(|t| format!("A record of '{t}' points to an animal that is not there")),
    );
    progress("Reading the journal");
    let lines: i64 = db.query_row("select count(*) from journal_entry", [], |r| r.get(0)).map_err(sql)?;
    let lost: i64 = db
        .query_row(
            "select count(*) from journal_change where entry not in (select seq from journal_entry)",
            [],
            |r| r.get(0),
        )
        .map_err(sql)?;
    if lost > 0 {
        found.push(format!("{lost} changes belong to no line of the journal"));
    }
    progress("Looking at every animal");
    facts(flock, &mut found);
    let whole = found.is_empty();
    let mut all = vec![format!("{} animals, {lines} lines in the journal", flock.len())];
    all.extend(found);
    all.push(if whole { "The book is whole" } else { "The book needs mending: see the lines above" }.into());
    Ok(Report { lines: all, whole })
}

fn facts(flock: &Flock, found: &mut Vec<String>) {
    for f in flock.files() {
        let a = &f.animal;
        if let Some(d) = a.dam.and_then(|d| flock.animal(d))
            && d.sex != Sex::Ewe
        {
            found.push(format!("{} has {} as dam, which is a {}", a.tag(), d.tag(), d.sex.words()));
        }
        if let Some(born) = a.born.exact() {
            let early = f.records().filter(|(on, _)| *on < born).count();
            if early > 0 {
                found.push(format!("{} has {early} records from before its birth", a.tag()));
            }
        }
        if a.identities.is_empty() {
            found.push("An animal has no tag".into());
        }
    }
}

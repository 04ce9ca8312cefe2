//! Looking a book over: quickly on opening, wholly when asked.

use super::{Failed, backup, documents};
use crate::flock::Flock;
use crate::terms::{Day, Sex};
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
            "select name from sqlite_schema where type = 'table' order by name not like 'journal%',
               name not in ('treatment', 'animal', 'weighing', 'movement', 'identity'), name",
        )
        .and_then(|mut s| s.query_map([], |r| r.get(0))?.collect())
        .map_err(sql)?;
    if ["animal", "journal_entry", "setting"].iter().any(|t| !all.iter().any(|a| a == t)) {
        return Err(damaged(path, "its tables are missing"));
    }
    // With the schema's own table the list of free pages is looked over.
    Ok(all.into_iter().chain(["sqlite_schema".to_string()]).collect())
}

/// A table of the journal, of which most of a file is made.
pub(super) fn is_journal(table: &str) -> bool {
    table.starts_with("journal")
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

/// What is wrong with the file's pages and indexes, in its own words; nothing where all is well.
pub(super) fn pages(db: &Connection) -> rusqlite::Result<Vec<String>> {
    let said: Vec<String> =
        db.prepare("pragma integrity_check(20)")?.query_map([], |r| r.get(0))?.collect::<Result<_, _>>()?;
    Ok(said.into_iter().filter(|s| s != "ok").collect())
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
    found.extend(pages(db).map_err(sql)?.into_iter().map(|s| format!("The file is damaged: {s}")));
    progress("Following every key");
    let orphans: Vec<String> = db
        .prepare("pragma foreign_key_check")
        .and_then(|mut s| s.query_map([], |r| r.get::<_, String>(0))?.collect())
        .map_err(sql)?;
    found.extend(
        orphans.into_iter().map(|t| format!("A record of '{t}' points to an animal that is not there")),
    );
    progress("Reading every kept paper");
    found.extend(documents::faults(db).map_err(sql)?);
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
    progress("Comparing every row with the journal");
    found.extend(super::replayed::compare(db).map_err(sql)?);
    found.extend(beside_kept(db, path));
    progress("Looking at every animal");
    facts(flock, &mut found);
    let whole = found.is_empty();
    let room = documents::room(db, path).map_err(sql)?;
    let mut all = vec![format!("{} animals, {lines} lines in the journal", flock.len())];
    let papers = flock.documents().all().len();
    if papers > 0 {
        all.push(format!("Pictures and papers kept: {papers}"));
    }
    all.push(format!("Room: {}", room.words()));
    all.extend(room.caution());
    all.extend(ahead_of(db, Day::today()));
    all.extend(found);
    all.push(if whole { "The book is whole" } else { "The book needs mending: see the lines above" }.into());
    Ok(Report { lines: all, whole })
}

/// The last line that was written is of a later day than this one.
pub(super) fn ahead_of(db: &Connection, today: Day) -> Option<String> {
    let last = "select at from journal_entry where brought is null order by seq desc limit 1";
    let at: String = db.query_row(last, [], |r| r.get(0)).ok()?;
    let on = at.get(..10).and_then(|on| Day::parse_iso(on).ok()).filter(|on| *on > today)?;
    Some(format!(
        "The last line was written on {}, and this machine's clock says {}: set the clock right before you write. Lines keep their order all the same",
        on.words(),
        today.words()
    ))
}

/// The journal beside that of the newest copy; one that cannot be read is no fault of the book's.
fn beside_kept(db: &Connection, path: &Path) -> Vec<String> {
    let Some(kept) = backup::backups(path).into_iter().next() else { return Vec::new() };
    let copy = super::guard::open(&kept.path, rusqlite::OpenFlags::SQLITE_OPEN_READ_ONLY);
    copy.and_then(|copy| super::replayed::beside(db, &copy, kept.on)).unwrap_or_default()
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

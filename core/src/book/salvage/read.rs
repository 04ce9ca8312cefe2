//! Rows read off the damaged pages into the new book's tables.

use super::Saver;
use super::layout::{Shape, spelled};
use super::pages::{Pages, Tree};
use super::trees::{Found, Gaps, Seen, strays, walk};
use rusqlite::types::Value;
use rusqlite::{Connection, params};
use std::collections::BTreeMap;

/// Where the trees of tables and indexes begin, by the file's own list.
pub(super) struct Roots(BTreeMap<String, (bool, u32)>);

impl Roots {
    /// Some table of a book is among them.
    pub(super) fn is_of_a_book(&self) -> bool {
        ["animal", "journal_entry", "identity"].iter().any(|t| self.0.contains_key(*t))
    }

    /// Names of the tables.
    pub(super) fn tables(&self) -> Vec<String> {
        self.0.iter().filter(|(_, (table, _))| *table).map(|(n, _)| n.clone()).collect()
    }

    fn of(&self, name: &str) -> Option<u32> {
        self.0.get(name).map(|(_, root)| *root)
    }
}

/// The file's list of its tables and indexes. It is small and seldom written: where its own tree is damaged, all pages
/// are looked through for rows of it.
pub(super) fn roots(pages: &Pages) -> Roots {
    let mut all = BTreeMap::new();
    let take = |all: &mut BTreeMap<String, (bool, u32)>, found: &Found| {
        let [Value::Text(kind), Value::Text(name), Value::Text(_), Value::Integer(root), _] =
            found.values.as_slice()
        else {
            return;
        };
        let kind = match kind.as_str() {
            "table" => true,
            "index" => false,
            _ => return,
        };
        if let Ok(root) = u32::try_from(*root)
            && root > 1
        {
            all.entry(name.clone()).or_insert((kind, root));
        }
    };
    let mut seen = Seen::new(pages);
    let walked = walk(pages, 1, Tree::Table, &mut seen, &mut |found| {
        take(&mut all, &found);
        Ok::<(), ()>(())
    });
    if !walked.is_ok_and(Gaps::none) {
        let _ = strays(pages, &seen, &mut |tree, found| {
            if tree == Tree::Table {
                take(&mut all, &found);
            }
            Ok::<(), ()>(())
        });
    }
    Roots(all)
}

/// Every table that the file's list names can be read to its end, and rows follow no damaged page.
pub(super) fn tables_are_sound(pages: &Pages) -> bool {
    let roots = roots(pages);
    let mut seen = Seen::new(pages);
    let mut walked =
        |root, tree| walk(pages, root, tree, &mut seen, &mut |_| Ok::<(), ()>(())).is_ok_and(Gaps::none);
    if !walked(1, Tree::Table) || !roots.is_of_a_book() {
        return false;
    }
    let tables = roots.0.values().filter(|(table, _)| *table);
    tables.into_iter().all(|(_, root)| match pages.node(*root) {
        Some(node) => walked(*root, node.tree),
        None => false,
    })
}

impl Saver {
    /// Reads tables, the pages no tree leads to, and the indexes of tables that are not whole.
    pub(super) fn read(&mut self, roots: &Roots, progress: &dyn Fn(&str)) -> rusqlite::Result<()> {
        self.db.execute_batch(
            "create temp table known (tbl text not null, key text not null, of text, extra text, primary key (tbl, key)) without rowid;
             create temp table refused (tbl text not null, key text, why text not null);",
        )?;
        let mut seen = Seen::new(&self.pages);
        // The list of tables itself.
        let _ = walk(&self.pages, 1, Tree::Table, &mut seen, &mut |_| Ok::<(), ()>(()));
        for shape in &self.layout.tables {
            progress(&format!("Reading the table '{}'", shape.name));
            let tree = if shape.numbered { Tree::Table } else { Tree::Index };
            let db = &self.db;
            let gaps = match roots.of(&shape.name) {
                None => Gaps { pages: 1, rows: 0 },
                Some(root) => walk(&self.pages, root, tree, &mut seen, &mut |found| take(db, shape, &found))?,
            };
            self.gaps.insert(shape.name.clone(), gaps);
        }
        let refused: Vec<(String, u32)> = self
            .db
            .prepare("select tbl, count(*) from temp.refused group by tbl")?
            .query_map([], |r| Ok((r.get(0)?, r.get(1)?)))?
            .collect::<rusqlite::Result<_>>()?;
        for (table, n) in refused {
            self.gaps.entry(table).or_default().rows += n as usize;
        }
        self.read_indexes(roots, &mut seen)?;
        self.read_strays(&mut seen)
    }

    /// A table's tree is damaged, or a row of it.
    pub(super) fn is_damaged(&self, table: &str) -> bool {
        self.gaps.get(table).is_some_and(|g| !g.none())
    }

    /// Indexes tell the keys of rows that are lost.
    fn read_indexes(&mut self, roots: &Roots, seen: &mut Seen) -> rusqlite::Result<()> {
        for index in &self.layout.indexes {
            let (Some(shape), Some(root)) = (self.layout.table(&index.table), roots.of(&index.name)) else {
                continue;
            };
            let damaged = self.gaps.get(&index.table).is_some_and(|g| !g.none());
            let db = &self.db;
            let gaps = walk::<rusqlite::Error>(&self.pages, root, Tree::Index, seen, &mut |found| {
                let key = found.values.last().and_then(spelled);
                if !damaged || found.values.len() < 2 || shape.has(db, &key)? {
                    return Ok(());
                }
                let first = found.values.first().and_then(spelled);
                let of = first.clone().filter(|_| index.of_animal);
                // Of a lost change of the journal, the row it is about.
                let about = match found.values.as_slice() {
                    [Value::Text(table), Value::Text(key), _] => Some(format!("{table} {key}")),
                    _ => None,
                };
                db.prepare_cached(
                    "insert into temp.known (tbl, key, of, extra) values (?1, ?2, ?3, ?4)
                     on conflict do update set of = coalesce(of, excluded.of), extra = coalesce(extra, excluded.extra)",
                )?
                .execute(params![index.table, key, of, about])?;
                if index.table == "journal_entry" && index.name.ends_with("_clock") {
                    db.prepare_cached(
                        "update temp.known set of = ?2 where tbl = 'journal_entry' and key = ?1",
                    )?
                    .execute(params![key, first])?;
                }
                if index.name.starts_with("sqlite_autoindex_journal_entry") {
                    db.prepare_cached(
                        "update temp.known set extra = ?2 where tbl = 'journal_entry' and key = ?1",
                    )?
                    .execute(params![key, first])?;
                }
                Ok(())
            })?;
            if gaps.none() && index.whole {
                self.whole.push(index.name.clone());
            }
        }
        Ok(())
    }

    /// Rows of pages that a damaged page led to.
    fn read_strays(&mut self, seen: &mut Seen) -> rusqlite::Result<()> {
        if self.gaps.values().all(|g| g.pages == 0) {
            return Ok(());
        }
        // Pages out of use hold what was once deleted: it must not come back.
        let free = self.pages.free();
        let free_known = free.is_some();
        for page in free.unwrap_or_default() {
            seen.first(page);
        }
        let damaged: Vec<&Shape> = self
            .layout
            .tables
            .iter()
            .filter(|t| self.gaps.get(&t.name).is_some_and(|g| g.pages > 0))
            .collect();
        let db = &self.db;
        // The journal first: it tells what other rows are.
        for journal in [true, false] {
            strays(&self.pages, seen, &mut |tree, found| {
                let numbered = tree == Tree::Table;
                let fitting: Vec<&&Shape> = damaged
                    .iter()
                    .filter(|t| t.numbered == numbered && t.name.starts_with("journal_") == journal)
                    .filter(|t| t.fits(&found.values))
                    .collect();
                stray(db, &fitting, &found, free_known)
            })?;
        }
        Ok(())
    }
}

/// Puts a row in, or keeps why it cannot be.
fn take(db: &Connection, shape: &Shape, found: &Found) -> rusqlite::Result<()> {
    let key = shape.key_of(found.rowid, &found.values);
    let why = if !shape.fits(&found.values) {
        format!("{} values, or one that cannot be read", found.values.len())
    } else {
        match shape.put(db, found) {
            Ok(_) => return Ok(()),
            Err(e) if e.sqlite_error_code() == Some(rusqlite::ErrorCode::ConstraintViolation) => {
                e.to_string()
            }
            Err(e) => return Err(e),
        }
    };
    db.prepare_cached("insert into temp.refused values (?1, ?2, ?3)")?
        .execute(params![shape.name, key, why])?;
    Ok(())
}

/// A row of which no tree says whose it is: an index or the journal tells, or there is one table only that takes it.
fn stray(db: &Connection, fitting: &[&&Shape], found: &Found, sure: bool) -> rusqlite::Result<()> {
    let mut known = Vec::new();
    for shape in fitting {
        let Some(key) = shape.key_of(found.rowid, &found.values) else { continue };
        let told = "select exists (select 1 from temp.known where tbl = ?1 and key = ?2),
                      exists (select 1 from journal_change where tbl = ?1 and key = ?2)";
        let (indexed, written): (bool, bool) =
            db.prepare_cached(told)?.query_row([&shape.name, &key], |r| Ok((r.get(0)?, r.get(1)?)))?;
        // It may be a page out of use: what the journal knows is made anew from there.
        if written && !sure {
            return Ok(());
        }
        if indexed || written {
            known.push(*shape);
        }
    }
    let tried = match (known.is_empty(), sure) {
        (false, _) => known,
        (true, true) => fitting.to_vec(),
        (true, false) => return Ok(()),
    };
    let mut taken: Option<&Shape> = None;
    db.execute_batch("savepoint stray")?;
    for shape in &tried {
        match shape.put(db, found) {
            // It is here already, or two tables would take it: then it stays where it was.
            Ok(false) => {
                db.execute_batch("rollback to stray")?;
                taken = None;
                break;
            }
            Ok(true) if taken.is_some() => {
                db.execute_batch("rollback to stray")?;
                taken = None;
                break;
            }
            Ok(true) => taken = Some(shape),
            Err(e) if e.sqlite_error_code() == Some(rusqlite::ErrorCode::ConstraintViolation) => {}
            Err(e) => return Err(e),
        }
    }
    db.execute_batch("release stray")?;
    if let Some(shape) = taken {
        db.prepare_cached("delete from temp.known where tbl = ?1 and key = ?2")?
            .execute(params![shape.name, shape.key_of(found.rowid, &found.values)])?;
    }
    Ok(())
}

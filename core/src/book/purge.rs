//! Taking out for good what need no longer be kept: by a day the keeper names, after a copy, with a line in the journal.

use super::journal::{self, Line};
use super::{Book, Failed, backup, documents, refreshed, unreadable};
use crate::flock::Sha;
use crate::reckon::purge::{Going, bound, going};
use crate::terms::Day;
use rusqlite::{Connection, params};
use std::path::PathBuf;
use std::sync::Arc;

/// What was taken out, or would be.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Purged {
    /// Records older than this day.
    pub before: Day,
    /// What.
    pub going: Going,
    /// Where the book lies as it was before; none where nothing was taken out.
    pub copy: Option<PathBuf>,
}

impl Purged {
    /// One plain sentence.
    pub fn words(&self) -> String {
        let (what, before) = (self.going.words(), self.before.words());
        match (&self.copy, self.going.is_empty()) {
            (_, true) => format!("From before {before}: {what}"),
            (Some(_), false) => format!("Taken out, from before {before}: {what}"),
            (None, false) => format!("From before {before} would go: {what}"),
        }
    }
}

impl Book {
    /// What a purge would take out; nothing is changed.
    ///
    /// # Errors
    /// [`Failed::KeptByLaw`]: the day is too near.
    pub fn would_purge(&self, before: Day, today: Day) -> Result<Purged, Failed> {
        let least = bound(&self.flock, today);
        if before > least.day {
            return Err(Failed::KeptByLaw { before, least: least.day, why: least.why });
        }
        Ok(Purged { before, going: going(&self.flock, before), copy: None })
    }

    /// Takes out what is older than a day and need no longer be kept. A copy of the whole book is made first, under a
    /// name of its own. It cannot be undone; one line of the journal says what went, and where the copy lies.
    ///
    /// # Errors
    /// [`Failed::KeptByLaw`]: the day is too near; or a file could not be written: nothing is taken out then.
    pub fn purge(&mut self, before: Day, today: Day) -> Result<Purged, Failed> {
        let mut purged = self.would_purge(before, today)?;
        if purged.going.is_empty() {
            return Ok(purged);
        }
        self.soundness()?;
        let copy = backup::keep_before(&self.db, &self.path, &format!("before taking out, {today}"))?;
        let files: Vec<Sha> = purged
            .going
            .documents
            .iter()
            .filter_map(|id| self.flock.documents().get(*id))
            .map(|d| d.sha)
            .collect();
        let what = format!("Taken out for good, from before {}: {}", before.words(), purged.going.words());
        let kept = format!("the book as it was: {}", copy.display());
        let (path, who) = (self.path.clone(), self.who.clone());
        let sql = |e: rusqlite::Error| Failed::sql(&path, &e);
        // What is deleted is overwritten in the file too.
        self.db.pragma_update(None, "secure_delete", true).map_err(sql)?;
        let tx = self.db.transaction_with_behavior(rusqlite::TransactionBehavior::Immediate).map_err(sql)?;
        tx.pragma_update(None, "defer_foreign_keys", true).map_err(sql)?;
        let line =
            Line { who: &who, kind: "purge", what: &what, reason: Some(&kept), undoes: None, redoes: None };
        let (seq, _) = journal::begin(&tx, &line, self.clock.as_deref()).map_err(sql)?;
        let keys = take_out(&tx, &purged.going).map_err(sql)?;
        let moved = self.refs.moved(&tx, seq).map_err(sql)?;
        forget(&tx, seq, &keys).map_err(sql)?;
        documents::drop_unused(&tx, &files).map_err(sql)?;
        let (flock, _) = refreshed(&tx, &self.flock, &moved, seq).map_err(|e| unreadable(&path, &e))?;
        tx.commit().map_err(sql)?;
        let _ = self.db.pragma_update(None, "secure_delete", false);
        self.flock = Arc::new(flock);
        purged.copy = Some(copy);
        Ok(purged)
    }
}

/// Table and key, as the journal writes them, of every row that is gone.
type Keys = Vec<(&'static str, [u8; 16])>;

fn take_out(db: &Connection, going: &Going) -> rusqlite::Result<Keys> {
    let mut keys: Keys = Vec::new();
    let mut take = |table: &'static str, ids: &mut dyn Iterator<Item = [u8; 16]>| {
        let mut delete = db.prepare(&format!("delete from {table} where id = ?1"))?;
        for id in ids {
            delete.execute([id])?;
            keys.push((table, id));
        }
        Ok::<_, rusqlite::Error>(())
    };
    take("document", &mut going.documents.iter().map(|i| i.bytes()))?;
    take("treatment", &mut going.treatments.iter().map(|i| i.bytes()))?;
    take("stock_move", &mut going.stock_moves.iter().map(|i| i.bytes()))?;
    take("batch", &mut going.batches.iter().map(|i| i.bytes()))?;
    take("prescription", &mut going.prescriptions.iter().map(|i| i.bytes()))?;
    let mut blank = db.prepare(&format!(
        "update movement set {} where id = ?1",
        PAPERS.map(|c| format!("{c} = null")).join(", ")
    ))?;
    // So do the papers in the journal: what the move said besides stays there.
    let paths = PAPERS.map(|c| format!("'$.{c}'")).join(", ");
    let mut forget = db.prepare(&format!(
        "update journal_change set old = json_remove(old, {paths}), new = json_remove(new, {paths})
         where tbl = 'movement' and key = hex(?1) and entry <> (select entry from temp.journal_now)"
    ))?;
    for id in &going.moves {
        blank.execute([id.bytes()])?;
        forget.execute([id.bytes()])?;
    }
    Ok(keys)
}

/// The columns of a move's papers; why an animal died is no paper, and stays.
const PAPERS: [&str; 7] = ["number", "address", "carrier", "vehicle", "document", "disposal", "receipt"];

/// Takes what the journal holds of those rows, this line's own record of them included, and the lines that are empty
/// without it.
fn forget(db: &Connection, seq: i64, keys: &Keys) -> rusqlite::Result<()> {
    db.execute_batch("create temp table gone (tbl text, key text, primary key (tbl, key)) without rowid")?;
    {
        let mut insert = db.prepare("insert or ignore into temp.gone values (?1, hex(?2))")?;
        for (table, id) in keys {
            insert.execute(params![table, id])?;
        }
    }
    db.execute_batch("create temp table emptied (seq integer primary key)")?;
    db.execute(
        "insert or ignore into temp.emptied select c.entry from journal_change c
         join temp.gone g on g.tbl = c.tbl and g.key = c.key",
        [],
    )?;
    db.execute(
        "delete from journal_change where exists
           (select 1 from temp.gone g where g.tbl = journal_change.tbl and g.key = journal_change.key)",
        [],
    )?;
    db.execute("delete from journal_change where entry = ?1", [seq])?;
    db.execute(
        "delete from journal_entry where seq in (select seq from temp.emptied) and seq <> ?1 and seq > 1
           and not exists (select 1 from journal_change c where c.entry = journal_entry.seq)
           and not exists (select 1 from journal_entry o where o.undoes = journal_entry.seq or o.redoes = journal_entry.seq)
           and undoes is null and redoes is null",
        [seq],
    )?;
    db.execute_batch("drop table temp.gone; drop table temp.emptied")
}

#[cfg(test)]
mod tests;

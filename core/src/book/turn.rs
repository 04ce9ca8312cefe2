//! Entries written one after another as one act: each is checked on the flock as those before it left it.

use super::{Book, Failed, Written, apply, journal, refreshed, unreadable};
use crate::entry::Sure;
use crate::flock::Flock;
use crate::terms::AnimalId;
use rusqlite::{Connection, TransactionBehavior, params};
use std::path::Path;
use std::sync::Arc;

/// An act under way: nothing of it is in the book before it ends well.
pub struct Turn<'a> {
    db: &'a Connection,
    path: &'a Path,
    refs: &'a journal::References,
    before: Arc<Flock>,
    flock: Arc<Flock>,
    seq: i64,
    touched: Vec<AnimalId>,
    sentences: Vec<String>,
    reasons: Vec<String>,
    kind: &'static str,
}

impl Turn<'_> {
    /// The flock as it stands after what was written in this turn.
    pub fn flock(&self) -> &Arc<Flock> {
        &self.flock
    }

    /// Writes one more entry.
    ///
    /// # Errors
    /// The file could not be written; the whole turn is dropped.
    pub fn write(&mut self, sure: Sure) -> Result<(), Failed> {
        let sql = |e: rusqlite::Error| Failed::sql(self.path, &e);
        apply::apply(self.db, &sure.entry).map_err(sql)?;
        let kind = apply::kind(&sure.entry);
        if self.sentences.is_empty() || kind == "amend" {
            self.kind = kind;
        }
        self.sentences.push(sure.sentence);
        if let Some(r) = sure.reason.filter(|r| self.reasons.last() != Some(r)) {
            self.reasons.push(r);
        }
        let moved = self.refs.moved(self.db, self.seq).map_err(sql)?;
        let (mut flock, touched) =
            refreshed(self.db, &self.before, &moved, self.seq).map_err(|e| unreadable(self.path, &e))?;
        // Another version for each: what is kept by version must not be taken for the one before.
        flock.set_version(self.flock.version() + 1);
        (self.flock, self.touched) = (Arc::new(flock), touched);
        Ok(())
    }

    /// What was written so far, a sentence each.
    pub fn sentences(&self) -> &[String] {
        &self.sentences
    }
}

impl Book {
    /// Writes entries in turn as one line of the journal and one undo; `what` makes its sentence of theirs. Nothing is
    /// written if `act` fails or writes nothing.
    ///
    /// # Errors
    /// What `act` gives, or the file could not be written; nothing is kept then.
    pub fn in_turn<E: From<Failed>>(
        &mut self,
        what: impl FnOnce(&[String]) -> String,
        act: impl FnOnce(&mut Turn<'_>) -> Result<(), E>,
    ) -> Result<Option<Written>, E> {
        self.turn(act, |turn| {
            if turn.sentences.is_empty() {
                return Ok(None);
            }
            let what = what(&turn.sentences);
            let reason = (!turn.reasons.is_empty()).then(|| turn.reasons.join("; "));
            turn.db.execute(
                "update journal_entry set kind = ?1, what = ?2, reason = ?3 where seq = ?4",
                params![turn.kind, what, reason, turn.seq],
            )?;
            Ok(Some(what))
        })
    }

    /// Does as [`Book::in_turn`] would and then takes all of it back: nothing is written.
    ///
    /// # Errors
    /// As there.
    pub fn rehearse<E: From<Failed>>(
        &mut self,
        act: impl FnOnce(&mut Turn<'_>) -> Result<(), E>,
    ) -> Result<(), E> {
        self.turn(act, |_| Ok(None)).map(|_| ())
    }

    fn turn<E: From<Failed>>(
        &mut self,
        act: impl FnOnce(&mut Turn<'_>) -> Result<(), E>,
        end: impl FnOnce(&Turn<'_>) -> rusqlite::Result<Option<String>>,
    ) -> Result<Option<Written>, E> {
        self.soundness()?;
        let path = self.path.clone();
        let sql = |e: rusqlite::Error| Failed::sql(&path, &e);
        let who = self.who.clone();
        let tx = self.db.transaction_with_behavior(TransactionBehavior::Immediate).map_err(sql)?;
        tx.pragma_update(None, "defer_foreign_keys", true).map_err(sql)?;
        let line =
            journal::Line { who: &who, kind: "none", what: "", reason: None, undoes: None, redoes: None };
        let (seq, entry) = journal::begin(&tx, &line, self.clock.as_deref()).map_err(sql)?;
        let mut turn = Turn {
            db: &tx,
            path: &path,
            refs: &self.refs,
            before: Arc::clone(&self.flock),
            flock: Arc::clone(&self.flock),
            seq,
            touched: Vec::new(),
            sentences: Vec::new(),
            reasons: Vec::new(),
            kind: "none",
        };
        act(&mut turn)?;
        let sentence = end(&turn).map_err(sql)?;
        let (flock, touched) = (Arc::clone(&turn.flock), std::mem::take(&mut turn.touched));
        drop(turn);
        // Dropped without a commit, all of it is taken back.
        let Some(sentence) = sentence else { return Ok(None) };
        tx.commit().map_err(sql)?;
        self.flock = Arc::clone(&flock);
        Ok(Some(Written { sentence, entry, touched, flock }))
    }
}

//! Mending a book whose records are all there: only its indexes, its list of tables or its pages out of use are wrong.
//! A copy of the file as it is is kept first. Where records are lost nothing is touched: that is for `salvage`.

use super::{Failed, backup, check, fold, held, ours, salvage};
use crate::terms::Day;
use std::path::{Path, PathBuf};

/// What mending did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Mend {
    /// There was nothing to mend.
    Whole,
    /// Indexes were made anew; the file as it was is kept there.
    Done(PathBuf),
    /// Records are damaged: nothing was touched. What is wrong, in the file's words.
    Beyond(Vec<String>),
}

/// Mends a closed book.
///
/// # Errors
/// It is no book, open elsewhere, newer, or cannot be written.
pub fn mend(path: &Path, progress: &dyn Fn(&str)) -> Result<Mend, Failed> {
    let sql = |e: rusqlite::Error| Failed::sql(path, &e);
    let has_log = backup::sibling(path, "-wal").metadata().is_ok_and(|m| m.len() > 0);
    if !has_log && !salvage::tables_are_sound(path) {
        // Only looked at: opening it to write would change it.
        return match held::still(path) {
            Ok(db) => Ok(Mend::Beyond(check::pages(&db).unwrap_or_else(|e| vec![e.to_string()]))),
            Err(Failed::Damaged { what, .. }) => Ok(Mend::Beyond(vec![what])),
            Err(other) => Err(other),
        };
    }
    let (db, _) = ours(path)?;
    progress("Reading every page");
    let wrong = check::pages(&db).unwrap_or_else(|e| vec![e.to_string()]);
    if wrong.is_empty() {
        fold(db, path)?;
        return Ok(Mend::Whole);
    }
    // All in one file, to be read as it lies.
    let folded: rusqlite::Result<i64> = db.query_row("pragma wal_checkpoint(truncate)", [], |r| r.get(0));
    if folded.is_ok_and(|busy| busy != 0) || !salvage::tables_are_sound(path) {
        let _ = fold(db, path); // it may be beyond folding as well
        return Ok(Mend::Beyond(wrong));
    }
    let kept = kept_name(path);
    if let Some(folder) = kept.parent() {
        std::fs::create_dir_all(folder).map_err(|e| Failed::io(folder, &e))?;
    }
    progress("Keeping the file as it is");
    std::fs::copy(path, &kept).map_err(|e| Failed::io(&kept, &e))?;
    progress("Making the indexes anew");
    let anew = db.execute_batch("reindex").is_ok() && check::pages(&db).is_ok_and(|w| w.is_empty());
    if anew {
        fold(db, path)?;
        return Ok(Mend::Done(kept));
    }
    // An index whose pages are damaged cannot be emptied in its place: every row goes into a new file instead.
    drop(db);
    let fresh = backup::sibling(path, ".mending");
    let _ = std::fs::remove_file(&fresh);
    let told = salvage::salvage(path, &fresh, progress);
    let placed = match told {
        Ok(told) if told.is_whole() && told.rebuilt == 0 => {
            std::fs::rename(&fresh, path).map(|()| true).map_err(|e| Failed::io(path, &e))
        }
        Ok(_) => Ok(false),
        Err(e) => Err(e.of(&fresh, path)),
    };
    if !matches!(placed, Ok(true)) {
        let _ = std::fs::remove_file(&fresh);
        let _ = std::fs::remove_file(&kept);
        placed?;
        return Ok(Mend::Beyond(wrong));
    }
    for end in ["-wal", "-shm"] {
        let _ = std::fs::remove_file(backup::sibling(path, end));
    }
    let (db, _) = ours(path)?;
    check::pages(&db).map_err(sql)?;
    fold(db, path)?;
    Ok(Mend::Done(kept))
}

fn kept_name(path: &Path) -> PathBuf {
    let today = Day::today();
    let name = |n: u32| match n {
        1 => backup::folder(path).join(format!("before mending, {today}.hirsel")),
        n => backup::folder(path).join(format!("before mending, {today} {n}.hirsel")),
    };
    let mut n = 1;
    while name(n).exists() {
        n += 1;
    }
    name(n)
}

//! A disk whose power can be cut. Everything SQLite writes under one folder is recorded, with every sync; from that record
//! any state can be made that a disk may be in after a power cut: what was synced is there, and of what was not, all,
//! nothing, or some sectors in any order.
//!
//! The model: a sync of a file makes that file lasting, and nothing else; a write reaches the disk in sectors of 512 bytes,
//! each whole or not at all; bytes beside a write stay as they were (what SQLite calls powersafe overwrite). Files made,
//! cut and deleted without a sync may or may not be so afterwards. Disks that lie about a sync are not in it.

mod disk;
mod shim;

pub use disk::{Disk, Lasting, Op};

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// A record of what was written, from a known start.
#[derive(Debug, Clone, Default)]
pub struct Record {
    /// The files as they lay when the recording began.
    pub start: BTreeMap<PathBuf, Vec<u8>>,
    /// What was done to them, in order, with marks of the caller's.
    pub ops: Vec<Op>,
}

static GOING: Mutex<Option<(PathBuf, Record)>> = Mutex::new(None);

fn going() -> MutexGuard<'static, Option<(PathBuf, Record)>> {
    GOING.lock().unwrap_or_else(PoisonError::into_inner)
}

/// Records from now on what SQLite does to a book's file and the files beside it whose names begin with its name. One
/// recording at a time.
///
/// # Errors
/// The files could not be read, or SQLite has no files of its own here.
pub fn begin(book: &Path) -> Result<(), String> {
    shim::install()?;
    let mut record = Record::default();
    let folder = book.parent().ok_or("a book lies in a folder")?;
    for entry in std::fs::read_dir(folder).map_err(|e| e.to_string())?.flatten() {
        let path = entry.path();
        if is_of(book, &path) && path.is_file() {
            record.start.insert(path.clone(), std::fs::read(&path).map_err(|e| e.to_string())?);
        }
    }
    *going() = Some((book.to_path_buf(), record));
    Ok(())
}

/// Marks a moment: the caller's own number, to be found again in the record.
pub fn mark(n: usize) {
    add(Op::Mark(n));
}

/// Ends the recording.
pub fn end() -> Record {
    going().take().map(|(_, record)| record).unwrap_or_default()
}

/// This file is one of the book's that is being recorded.
fn is_recorded(path: &Path) -> bool {
    going().as_ref().is_some_and(|(book, _)| is_of(book, path))
}

fn add(op: Op) {
    if let Some((_, record)) = going().as_mut() {
        record.ops.push(op);
    }
}

fn is_of(book: &Path, path: &Path) -> bool {
    let rest = path.to_str().zip(book.to_str()).and_then(|(p, b)| p.strip_prefix(b));
    rest.is_some_and(|end| ["", "-wal", "-journal"].contains(&end))
}

//! A second place for copies: a stick, a folder of another machine. A copy is put there whole or not at all, read back,
//! and thinned out like those beside the book. No lock is asked for in the place itself: any folder will do.

use super::held::{copies, held, still};
use super::{BackupFile, Book, Failed, backup};
use crate::terms::Day;
use rusqlite::OptionalExtension as _;
use sha2::{Digest as _, Sha256};
use std::fs::File;
use std::io::{Read as _, Write as _};
use std::path::{Path, PathBuf};

/// Days after which a new copy in the second place is asked for, unless the keeper chose another number.
pub const PLACE_DAYS: i64 = 7;

/// How a second place is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// The folder is not there: a stick that is not plugged in, a machine that is off.
    NotThere,
    /// It is there, with the day of the newest copy of this book in it.
    There(Option<Day>),
}

/// Where copies of a book lie in a second place; books of several flocks may share it.
pub fn place_folder(place: &Path, book: &Path) -> PathBuf {
    let name = book.file_name().unwrap_or_default().to_string_lossy();
    place.join(format!("{name} copies"))
}

/// Looks at a second place. It may be slow: a folder of another machine.
pub fn place(place: &Path, book: &Path) -> Place {
    if !place.is_dir() {
        return Place::NotThere;
    }
    Place::There(copies(&place_folder(place, book)).into_iter().find_map(|c| c.on))
}

/// A copy of the book as it stands, on its way to a second place; gone when dropped.
#[derive(Debug)]
pub struct Ready {
    passing: PathBuf,
    book: PathBuf,
    last: Option<[u8; 16]>,
}

impl Drop for Ready {
    fn drop(&mut self) {
        let _ = std::fs::remove_file(&self.passing);
    }
}

impl Book {
    /// A copy of the book as it stands, to be put into a second place by a thread of its own.
    ///
    /// # Errors
    /// The book is damaged, or its folder cannot be written.
    pub fn ready_copy(&self) -> Result<Ready, Failed> {
        self.soundness()?;
        let last = self
            .db
            .query_row("select id from journal_entry order by seq desc limit 1", [], |r| r.get(0))
            .optional()
            .map_err(|e| Failed::sql(&self.path, &e))?;
        let passing = backup::sibling(&self.path, " second copy.part");
        let ready = Ready { passing, book: self.path.clone(), last };
        backup::copy(&self.db, &ready.passing)?;
        Ok(ready)
    }
}

impl Ready {
    /// Where it lies until it is dropped.
    pub(super) fn path(&self) -> &Path {
        &self.passing
    }

    /// Compares another copy with this one.
    ///
    /// # Errors
    /// As [`Book::compare`].
    pub fn compare(&self, copy: &Path) -> Result<super::Compared, Failed> {
        super::compare_files(&self.passing, copy)
    }

    /// Puts the copy into the place under today's day and thins out older ones there. What is written is read back: the
    /// same bytes, every page sound, the same last line. Gives where it lies.
    ///
    /// # Errors
    /// The place is not there or cannot be written, or what was read back is not what was written: then what was there
    /// before is there still.
    pub fn put(&self, place: &Path, today: Day) -> Result<PathBuf, Failed> {
        if !place.is_dir() {
            return Err(Failed::NotThere(place.to_path_buf()));
        }
        let folder = place_folder(place, &self.book);
        let io = |path: &Path| {
            let path = path.to_path_buf();
            move |e: std::io::Error| Failed::io(&path, &e)
        };
        std::fs::create_dir_all(&folder).map_err(io(&folder))?;
        let to = self.free(&folder, today)?;
        let half = backup::sibling(&to, ".part");
        let put = || -> Result<(), Failed> {
            let written = carry(&self.passing, &half).map_err(io(&to))?;
            if sum(&half).map_err(io(&to))? != written || !self.is_sound(&half) {
                return Err(Failed::Other {
                    path: to.clone(),
                    what: "what was read back is not what was written; try another stick or folder".into(),
                });
            }
            std::fs::rename(&half, &to).map_err(io(&to))
        };
        put().inspect_err(|_| {
            let _ = std::fs::remove_file(&half);
        })?;
        let all: Vec<BackupFile> = copies(&folder)
            .into_iter()
            .filter_map(|c| {
                Some(BackupFile { on: c.on.filter(|on| on.to_string() == c.name)?, path: c.path })
            })
            .collect();
        for old in backup::thinned(&all, today) {
            let _ = std::fs::remove_file(&old.path);
        }
        Ok(to)
    }

    /// Every page is sound, and the last line is that of the book.
    fn is_sound(&self, path: &Path) -> bool {
        let Ok(db) = still(path) else { return false };
        let sound = db.query_row("pragma integrity_check(1)", [], |r| r.get::<_, String>(0));
        sound.is_ok_and(|s| s == "ok") && held(path).is_ok_and(|h| h.last_id == self.last)
    }

    /// Today's name. One that holds lines this book does not have (hers, where his is put) is not written over.
    fn free(&self, folder: &Path, today: Day) -> Result<PathBuf, Failed> {
        let ours = still(&self.passing)?;
        let knows = |id: [u8; 16]| {
            ours.prepare_cached("select 1 from journal_entry where id = ?1").and_then(|mut s| s.exists([id]))
        };
        let mut n = 1;
        loop {
            let to = match n {
                1 => folder.join(format!("{today}.hirsel")),
                n => folder.join(format!("{today} ({n}).hirsel")),
            };
            let replaces = match held(&to) {
                Err(Failed::NotThere(_)) => true,
                Err(_) => false,
                Ok(there) => there.last_id.is_none_or(|id| knows(id).unwrap_or(false)),
            };
            if replaces {
                return Ok(to);
            }
            n += 1;
        }
    }
}

/// Copies a file and waits until it is on the disk; gives the sum of what was read.
fn carry(from: &Path, to: &Path) -> std::io::Result<[u8; 32]> {
    let (mut from, mut to) = (File::open(from)?, File::create(to)?);
    let mut sum = Sha256::new();
    let mut part = vec![0; 1 << 18];
    loop {
        let n = from.read(&mut part)?;
        if n == 0 {
            break;
        }
        sum.update(&part[..n]);
        to.write_all(&part[..n])?;
    }
    to.sync_all()?;
    Ok(sum.finalize().into())
}

fn sum(path: &Path) -> std::io::Result<[u8; 32]> {
    let mut file = File::open(path)?;
    let mut sum = Sha256::new();
    std::io::copy(&mut file, &mut sum)?;
    Ok(sum.finalize().into())
}

//! What can go wrong with a file: the world's faults, told apart, each with what to do.

use crate::terms::Day;
use std::path::{Path, PathBuf};

/// Why a book could not be read or written. Nothing half done is left behind.
#[derive(Debug, thiserror::Error)]
pub enum Failed {
    /// No such file.
    #[error("there is no book at {}: check the name, or start one with 'hirsel new'", .0.display())]
    NotThere(PathBuf),
    /// A file stands where a new book should go.
    #[error("there is a file at {} already: choose another name, or move that one away", .0.display())]
    Exists(PathBuf),
    /// Something else than a book.
    #[error("{} is not a Hirsel book: choose a file that Hirsel made (its name ends in .hirsel)", .0.display())]
    NotABook(PathBuf),
    /// Cut short or damaged.
    #[error(
        "{} is damaged or was cut short ({what}): restore a copy with 'hirsel restore'; copies are kept in {}; 'hirsel check' also mends (--mend) and saves what can be read (--salvage)", .path.display(), .backups.display()
    )]
    Damaged {
        /// The book.
        path: PathBuf,
        /// What is wrong.
        what: String,
        /// Where copies are kept.
        backups: PathBuf,
    },
    /// Laid out otherwise than this program does: something in it is a stranger's.
    #[error(
        "{} is not laid out as Hirsel lays out its books ({what}): nothing of it was read or run. If it is your own, restore a copy with 'hirsel restore'; if somebody gave it to you, ask for a copy made by Hirsel", .path.display()
    )]
    Foreign {
        /// The file.
        path: PathBuf,
        /// What stands in it.
        what: String,
    },
    /// Made by a newer program.
    #[error(
        "{} was written by a newer Hirsel (format {found}; this one knows {known}): install the newer version", .path.display()
    )]
    TooNew {
        /// The book.
        path: PathBuf,
        /// Its format.
        found: u32,
        /// Ours.
        known: u32,
    },
    /// Open elsewhere.
    #[error("{} is open in another window or command: close it there first", .0.display())]
    Locked(PathBuf),
    /// Folder or file cannot be written.
    #[error("{} cannot be written: copy the book to a folder of your own, or change the folder's permissions", .0.display())]
    ReadOnly(PathBuf),
    /// No room.
    #[error("there is no room left on the disk for {}: nothing was written; free some room and do it again", .0.display())]
    NoRoom(PathBuf),
    /// What an undo would change was changed since.
    #[error("'{what}' cannot be undone, because {changed} was changed since: undo or amend that first")]
    ChangedSince {
        /// The write.
        what: String,
        /// What moved.
        changed: String,
    },
    /// The write is of an earlier day.
    #[error(
        "'{what}' was written on {on}: what is older than today's sitting is amended or struck out, not undone"
    )]
    TooOld {
        /// The write.
        what: String,
        /// Its day.
        on: String,
    },
    /// Records that are to be kept still.
    #[error(
        "records from {} on must stay ({why}): {} is too near, choose that day or one before it", .least.words(), .before.words()
    )]
    KeptByLaw {
        /// The day asked for.
        before: Day,
        /// The latest that may be asked for.
        least: Day,
        /// Who says so.
        why: String,
    },
    /// Records that were taken out do not come back by undo.
    #[error("'{what}' cannot be undone: the copy made before it holds everything")]
    NoWayBack {
        /// The line.
        what: String,
    },
    /// Another book, not a copy of this one.
    #[error("{} is not a copy of this book: {why}; choose the copy that was made from this one", .path.display())]
    NotACopy {
        /// The file.
        path: PathBuf,
        /// Why.
        why: &'static str,
    },
    /// Records were taken out of one copy for good and not of the other.
    #[error(
        "records were taken out for good in one of the copies and not in {}: bringing them together would bring them back. Take the same out there first, by the same day, or make that copy anew from this one", .0.display()
    )]
    TakenOut(PathBuf),
    /// A passphrase, or a file that was closed with one.
    #[error("{} cannot be closed or opened with this passphrase: {why}", .path.display())]
    Seal {
        /// The file.
        path: PathBuf,
        /// Why, and what to do.
        why: String,
    },
    /// Two rows cannot both be.
    #[error("the book refused it ({0}): nothing was written; another record stands in the way")]
    Clash(String),
    /// Anything else the system says.
    #[error("{} could not be read or written: {what}", .path.display())]
    Other {
        /// The file.
        path: PathBuf,
        /// The system's words.
        what: String,
    },
}

impl Failed {
    /// The same fault, told of the file the keeper knows.
    pub(crate) fn of(self, passing: &Path, known: &Path) -> Self {
        let known = || known.to_path_buf();
        match self {
            Self::NotThere(p) if p == passing => Self::NotThere(known()),
            Self::NotABook(p) if p == passing => Self::NotABook(known()),
            Self::Damaged { path, what, .. } if path == passing => {
                Self::Damaged { what, backups: super::backup::folder(&known()), path: known() }
            }
            Self::Foreign { path, what } if path == passing => Self::Foreign { path: known(), what },
            Self::TooNew { path, found, known: k } if path == passing => {
                Self::TooNew { path: known(), found, known: k }
            }
            Self::Seal { path, why } if path == passing => Self::Seal { path: known(), why },
            Self::Other { path, what } if path == passing => Self::Other { path: known(), what },
            other => other,
        }
    }

    /// Sorts a database error.
    pub(crate) fn sql(path: &Path, error: &rusqlite::Error) -> Self {
        use rusqlite::ErrorCode as E;
        let path_buf = path.to_path_buf();
        let Some(code) = error.sqlite_error_code() else {
            // A value that cannot be says for itself where it stands.
            let what = match error {
                rusqlite::Error::FromSqlConversionFailure(_, _, why) => why.to_string(),
                other => other.to_string(),
            };
            return Self::Damaged { path: path_buf, what, backups: super::backup::folder(path) };
        };
        match code {
            E::DatabaseBusy | E::DatabaseLocked => Self::Locked(path_buf),
            E::NotADatabase => Self::NotABook(path_buf),
            E::DatabaseCorrupt => Self::Damaged {
                path: path_buf,
                what: error.to_string(),
                backups: super::backup::folder(path),
            },
            E::TooBig => Self::Damaged {
                path: path_buf,
                what: "a text or paper in it is longer than any that Hirsel writes".into(),
                backups: super::backup::folder(path),
            },
            E::ReadOnly | E::PermissionDenied | E::CannotOpen => Self::ReadOnly(path_buf),
            E::DiskFull => Self::NoRoom(path_buf),
            E::SystemIoFailure => {
                // A disk that is full while the log grows shows as a failed write.
                let extended = error.sqlite_error().map_or(0, |e| e.extended_code);
                if extended == rusqlite::ffi::SQLITE_IOERR_WRITE
                    || extended == rusqlite::ffi::SQLITE_IOERR_FSYNC
                {
                    Self::NoRoom(path_buf)
                } else {
                    Self::Other { path: path_buf, what: error.to_string() }
                }
            }
            E::ConstraintViolation => Self::Clash(error.to_string()),
            _ => Self::Other { path: path_buf, what: error.to_string() },
        }
    }

    /// Sorts a file error.
    pub(crate) fn io(path: &Path, error: &std::io::Error) -> Self {
        use std::io::ErrorKind as K;
        let p = path.to_path_buf();
        match error.kind() {
            K::NotFound => Self::NotThere(p),
            K::AlreadyExists => Self::Exists(p),
            K::PermissionDenied | K::ReadOnlyFilesystem => Self::ReadOnly(p),
            K::StorageFull | K::QuotaExceeded => Self::NoRoom(p),
            _ => Self::Other { path: p, what: error.to_string() },
        }
    }
}

//! Copies under a passphrase: a whole book in one file that nobody reads without it.

use super::places::Ready;
use super::{Failed, backup};
use crate::exchange::sealed::{self, SealFault};
use std::fs::File;
use std::io::{BufReader, BufWriter, Read, Write as _};
use std::path::Path;

fn fault(path: &Path, e: SealFault) -> Failed {
    match e {
        SealFault::Io(e) => Failed::io(path, &e),
        other => Failed::Seal { path: path.to_path_buf(), why: other.to_string() },
    }
}

/// Whether a file begins as one that is closed with a passphrase.
pub fn is_sealed(path: &Path) -> bool {
    let mut head = [0; 32];
    File::open(path).and_then(|mut f| f.read(&mut head)).is_ok_and(|n| sealed::is_sealed(&head[..n]))
}

/// Writes what is read into a file under a passphrase, whole or not at all.
///
/// # Errors
/// The passphrase is too short, or the file cannot be written.
pub fn save_sealed(from: &mut dyn Read, to: &Path, passphrase: &str) -> Result<(), Failed> {
    let half = backup::sibling(to, ".part");
    let mut put = || -> Result<(), Failed> {
        let io = |e: std::io::Error| Failed::io(to, &e);
        let mut out = BufWriter::new(File::create(&half).map_err(io)?);
        sealed::seal(from, &mut out, passphrase).map_err(|e| fault(to, e))?;
        out.flush().map_err(io)?;
        out.get_ref().sync_all().map_err(io)?;
        std::fs::rename(&half, to).map_err(io)
    };
    put().inspect_err(|_| {
        let _ = std::fs::remove_file(&half);
    })
}

impl Ready {
    /// Writes the copy into a file under a passphrase.
    ///
    /// # Errors
    /// The passphrase is too short, a file of this name is there, or it cannot be written.
    pub fn seal(&self, to: &Path, passphrase: &str) -> Result<(), Failed> {
        if to.symlink_metadata().is_ok() {
            return Err(Failed::Exists(to.to_path_buf()));
        }
        let mut from = File::open(self.path()).map_err(|e| Failed::io(self.path(), &e))?;
        save_sealed(&mut from, to, passphrase)
    }
}

/// Puts a copy that was closed with a passphrase in the place of a book, as [`super::restore`] does.
///
/// # Errors
/// Another passphrase, a damaged file, or as [`super::restore`].
pub fn restore_sealed(from: &Path, to: &Path, passphrase: &str) -> Result<(), Failed> {
    let passing = Passing(backup::sibling(to, ".opened.part"));
    let file = File::open(from).map_err(|e| Failed::io(from, &e))?;
    let opened = || -> Result<(), Failed> {
        let io = |e: std::io::Error| Failed::io(to, &e);
        let mut out = BufWriter::new(File::create(&passing.0).map_err(io)?);
        sealed::unseal(BufReader::new(file), &mut out, passphrase).map_err(|e| fault(from, e))?;
        out.flush().map_err(io)
    };
    opened()?;
    super::restore(&passing.0, to).map_err(|e| e.of(&passing.0, from))
}

/// The book as it was under the passphrase; gone when dropped.
struct Passing(std::path::PathBuf);

impl Drop for Passing {
    fn drop(&mut self) {
        for end in ["", "-wal", "-shm", "-journal"] {
            let _ = std::fs::remove_file(backup::sibling(&self.0, end));
        }
    }
}

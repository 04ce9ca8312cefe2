//! Output: standard output that may lose its reader, and files written whole or not at all.

use super::{Done, Trouble};
use crate::whole;
use std::fs::File;
use std::io::{BufWriter, ErrorKind, IsTerminal as _, Write};
use std::path::Path;

/// Standard output.
pub struct Out {
    to: std::io::BufWriter<std::io::Stdout>,
}

impl Out {
    pub fn new() -> Self {
        Self { to: std::io::BufWriter::new(std::io::stdout()) }
    }

    /// Prints text as it is.
    pub fn print(&mut self, text: &str) -> Done {
        self.bytes(text.as_bytes())
    }

    /// Prints a line.
    pub fn line(&mut self, text: &str) -> Done {
        self.print(text)?;
        self.print("\n")
    }

    /// Prints bytes.
    pub fn bytes(&mut self, bytes: &[u8]) -> Done {
        self.to.write_all(bytes).map_err(|e| lost(&e))
    }

    /// Hands everything on.
    pub fn flush(&mut self) -> Done {
        self.to.flush().map_err(|e| lost(&e))
    }
}

fn lost(e: &std::io::Error) -> Trouble {
    match e.kind() {
        ErrorKind::BrokenPipe => Trouble::Gone,
        _ => Trouble::World(format!("the output could not be written: {}", cause(e))),
    }
}

/// A line on standard error; nobody may be there to read it.
pub fn say(text: &str) {
    let _ = writeln!(std::io::stderr(), "{text}");
}

/// A line about how far a long work is, for a person only.
pub fn progress(text: &str) {
    if std::io::stderr().is_terminal() {
        say(text);
    }
}

/// Writes a file whole or not at all; `-` is standard output. Answers whether it was a file.
pub fn save(out: &mut Out, path: &Path, bytes: &[u8]) -> Result<bool, Trouble> {
    if path.as_os_str() == "-" {
        out.bytes(bytes)?;
        return Ok(false);
    }
    let failed = |e: std::io::Error| not_written(path, &e);
    // A pipe or a device is written to, never replaced.
    if path.metadata().is_ok_and(|m| !m.is_file() && !m.is_dir()) {
        std::fs::write(path, bytes).map_err(failed)?;
        return Ok(true);
    }
    whole::write(path, bytes).map_err(failed)?;
    Ok(true)
}

/// A file of the disk, there or still to be made: neither standard output nor a pipe or a device.
pub fn is_plain(path: &Path) -> bool {
    path.as_os_str() != "-" && path.metadata().map_or(true, |m| m.is_file() || m.is_dir())
}

/// Where bytes go in one go: standard output for `-`, or a pipe or device.
pub fn straight<'a>(out: &'a mut Out, path: &Path) -> Result<Box<dyn Write + 'a>, Trouble> {
    if path.as_os_str() == "-" {
        return Ok(Box::new(&mut out.to));
    }
    let failed = |e: std::io::Error| not_written(path, &e);
    Ok(Box::new(BufWriter::new(File::options().write(true).open(path).map_err(failed)?)))
}

fn not_written(path: &Path, e: &std::io::Error) -> Trouble {
    Trouble::World(format!("{} could not be written: {}", path.display(), cause(e)))
}

/// Writes a file whole or not at all, piece by piece; what `write` answers is handed on.
pub fn save_through<T>(
    path: &Path,
    write: impl FnOnce(&mut BufWriter<File>) -> Result<T, Trouble>,
) -> Result<T, Trouble> {
    whole::write_through(path, |e| not_written(path, &e), write)
}

/// The system's words with what to do.
pub fn cause(e: &std::io::Error) -> String {
    match e.kind() {
        ErrorKind::NotFound => "there is no such file or folder: check the name".into(),
        ErrorKind::PermissionDenied | ErrorKind::ReadOnlyFilesystem => {
            "you may not write there: choose a folder of your own".into()
        }
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            "there is no room left on the disk: free some and do it again".into()
        }
        ErrorKind::IsADirectory => "it is a folder: give the name of a file".into(),
        ErrorKind::NotADirectory => "a part of its name is no folder: check the name".into(),
        _ => e.to_string(),
    }
}

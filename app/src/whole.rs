//! Files written whole or not at all: window and command line save alike. Knows neither; whoever saves says what went
//! wrong in words of its own.

use std::fs::File;
use std::io::{self, BufWriter, Write as _};
use std::path::Path;

/// Writes a file piece by piece under another name, and gives it its own when all is in it. What `write` answers is
/// handed on; if it fails, what stood there stands.
///
/// # Errors
/// What `write` says, or what `failed` makes of the system's words.
pub fn write_through<T, E>(
    path: &Path,
    failed: impl Fn(io::Error) -> E,
    write: impl FnOnce(&mut BufWriter<File>) -> Result<T, E>,
) -> Result<T, E> {
    let mut half = path.as_os_str().to_os_string();
    half.push(format!(".{}.part", std::process::id()));
    let done = File::create(&half).map_err(&failed).and_then(|file| {
        let mut file = BufWriter::new(file);
        let done = write(&mut file)?;
        file.flush().map_err(&failed)?;
        drop(file);
        std::fs::rename(&half, path).map_err(&failed)?;
        Ok(done)
    });
    if done.is_err() {
        let _ = std::fs::remove_file(&half); // it may never have come to be
    }
    done
}

/// Writes bytes as a file.
///
/// # Errors
/// The system's.
pub fn write(path: &Path, bytes: &[u8]) -> io::Result<()> {
    write_through(path, |e| e, |file| file.write_all(bytes))
}

//! Files the desk writes beside the book: what a typed name means, and writing whole or not at all.

use crate::whole;
use hirsel_core::phrase;
use std::fs::File;
use std::io::{BufWriter, Read as _};
use std::path::{Path, PathBuf};

/// Where a typed name leads: `~/` is home, a bare name lies in the folder of the book, and the ending is added if
/// it is missing.
///
/// # Errors
/// No name, a folder instead of a name, a folder that is not there, or the open book itself.
pub fn target(typed: &Path, book: &Path, ending: &str) -> Result<PathBuf, String> {
    let text = typed.to_string_lossy();
    let text = text.trim();
    if text.is_empty() {
        return Err(phrase!("a name is needed for the file: type one, or choose it"));
    }
    let mut path = absolute(text, book);
    if path.is_dir() || text.ends_with(['/', '\\']) {
        return Err(phrase!("{} is a folder: put a name behind it", path.display()));
    }
    if !path.extension().is_some_and(|e| e.eq_ignore_ascii_case(ending)) {
        path.as_mut_os_string().push(format!(".{ending}"));
    }
    match path.parent() {
        Some(folder) if !folder.is_dir() => {
            Err(phrase!("there is no folder {}: make it first, or choose another", folder.display()))
        }
        _ if same(&path, book) => {
            Err(phrase!("{} is the open book itself: choose another name", path.display()))
        }
        _ => Ok(path),
    }
}

/// A typed path made whole: `~/` is home, a bare name lies in the folder of the book.
pub fn absolute(text: &str, book: &Path) -> PathBuf {
    use etcetera::BaseStrategy as _;
    let text = text.trim();
    let home = || etcetera::choose_base_strategy().map(|b| b.home_dir().to_path_buf()).ok();
    let path = match text.strip_prefix("~/").and_then(|rest| home().map(|h| h.join(rest))) {
        Some(path) => path,
        None => PathBuf::from(text),
    };
    let folder = book.parent().filter(|p| !p.as_os_str().is_empty());
    let path = folder.map_or_else(|| path.clone(), |f| f.join(&path));
    std::path::absolute(&path).unwrap_or(path)
}

/// Whether two names lead to the same file.
pub fn same(a: &Path, b: &Path) -> bool {
    match (a.canonicalize(), b.canonicalize()) {
        (Ok(a), Ok(b)) => a == b,
        _ => false,
    }
}

/// `NAME.csv` in a folder, or `NAME (2).csv` and so on where that name is taken.
pub fn free(folder: &Path, name: &str, ending: &str) -> PathBuf {
    let first = folder.join(format!("{name}.{ending}"));
    if !first.exists() {
        return first;
    }
    (2..10_000).map(|n| folder.join(format!("{name} ({n}).{ending}"))).find(|p| !p.exists()).unwrap_or(first)
}

/// Writes a file whole or not at all.
///
/// # Errors
/// What the system says, and what to do.
pub fn save(path: &Path, bytes: &[u8]) -> Result<(), String> {
    whole::write(path, bytes).map_err(|e| not_written(path, &e))
}

/// Writes a file whole or not at all, piece by piece; what `write` answers is handed on.
///
/// # Errors
/// What `write` or the system says.
pub fn save_through<T>(
    path: &Path,
    write: impl FnOnce(&mut BufWriter<File>) -> Result<T, String>,
) -> Result<T, String> {
    whole::write_through(path, |e| not_written(path, &e), write)
}

fn not_written(path: &Path, e: &std::io::Error) -> String {
    phrase!("{} could not be written ({}): choose another folder", path.display(), cause(e))
}

/// Room for what a file says it holds, and the one byte that tells of more: a row of bytes that grows while it is read is
/// moved about and takes twice its room for a while.
pub fn room(file: &File, most: u64) -> usize {
    let holds = file.metadata().map_or(0, |m| m.len().min(most));
    usize::try_from(holds).map_or(0, |n| n.saturating_add(1))
}

/// The bytes of a file to be looked at; of more than `most` one more is read, so that it is told from a whole one.
///
/// # Errors
/// What the system says, and what to do.
pub fn read(path: &Path, most: u64) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::new();
    let read = File::open(path).and_then(|f| {
        bytes.reserve_exact(room(&f, most));
        f.take(most.saturating_add(1)).read_to_end(&mut bytes)
    });
    match read {
        Ok(_) => Ok(bytes),
        Err(e) => {
            Err(phrase!("{} could not be read ({}): check its name, or choose it", path.display(), cause(&e)))
        }
    }
}

/// The system's words without its error number.
pub fn cause(e: &std::io::Error) -> String {
    let text = e.to_string();
    text.split(" (os error").next().unwrap_or_default().to_lowercase()
}

/// Name and bytes of a file to be kept; one that is larger than what is kept is not read at all.
///
/// # Errors
/// It is not there, a folder, too large, or cannot be read.
pub fn contents(path: &Path) -> Result<(String, Vec<u8>), String> {
    let shown = path.display();
    let wrong = |e: std::io::Error| phrase!("{shown} could not be read ({}): look at its name", cause(&e));
    let meta = std::fs::metadata(path).map_err(wrong)?;
    if meta.is_dir() {
        return Err(phrase!("{shown} is a folder: write the name of a file in it"));
    }
    let most = hirsel_core::handbook::stock::paper_most_bytes();
    let too_large = |size: u64| {
        let (size, most) = (size.div_ceil(1_000_000), most / 1_000_000);
        phrase!("{shown} is {size} MB large, more than the {most} MB that are kept: make it smaller first")
    };
    if meta.len() > most {
        return Err(too_large(meta.len()));
    }
    // What is no plain file may say another length than it has.
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(wrong)?;
    file.take(most + 1).read_to_end(&mut bytes).map_err(wrong)?;
    if bytes.len() as u64 > most {
        return Err(too_large(bytes.len() as u64));
    }
    let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
    Ok((name, bytes))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Write as _;

    #[test]
    fn typed_names_lead_where_people_expect() {
        let folder = std::env::temp_dir().join(format!("hirsel-files-{}", std::process::id()));
        std::fs::create_dir_all(&folder).unwrap();
        let book = folder.join("flock.hirsel");
        std::fs::write(&book, "b").unwrap();
        let to = |text: &str, ending: &str| target(Path::new(text), &book, ending);
        assert_eq!(to(" cards ", "pdf"), Ok(folder.join("cards.pdf")));
        assert_eq!(to("cards.PDF", "pdf"), Ok(folder.join("cards.PDF")));
        assert_eq!(to("cards 3.4", "pdf"), Ok(folder.join("cards 3.4.pdf")));
        assert!(to("", "pdf").unwrap_err().contains("a name is needed"));
        assert!(to(&folder.display().to_string(), "pdf").unwrap_err().contains("is a folder"));
        assert!(to("nowhere/cards", "pdf").unwrap_err().contains("there is no folder"));
        assert!(to("./flock.hirsel", "hirsel").unwrap_err().contains("the open book itself"));
        assert_eq!(free(&folder, "flock", "hirsel"), folder.join("flock (2).hirsel"));
        assert_eq!(free(&folder, "flock", "csv"), folder.join("flock.csv"));
        save(&folder.join("a.csv"), b"1").unwrap();
        assert_eq!(std::fs::read(folder.join("a.csv")).unwrap(), b"1");
        let wrong = save(&folder.join("not").join("a.csv"), b"1").unwrap_err();
        assert!(
            wrong.contains("could not be written (no such file") && !wrong.contains("os error"),
            "{wrong}"
        );
        let zip = folder.join("a.zip");
        let stopped: Result<(), String> = save_through(&zip, |file| {
            file.write_all(b"half").map_err(|e| e.to_string())?;
            Err("stopped".into())
        });
        assert_eq!(stopped, Err("stopped".into()));
        assert!(
            std::fs::read_dir(&folder)
                .unwrap()
                .flatten()
                .all(|e| !e.path().to_string_lossy().contains(".zip"))
        );
        let whole = save_through(&zip, |file| file.write_all(b"whole").map_err(|e| e.to_string()));
        assert_eq!((whole, std::fs::read(&zip).unwrap()), (Ok(()), b"whole".to_vec()));
        let _ = std::fs::remove_dir_all(&folder);
    }
}

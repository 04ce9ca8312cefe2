//! Files the desk writes beside the book: what a typed name means, and writing whole or not at all.

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
        return Err("a name is needed for the file: type one, or choose it".into());
    }
    let mut path = absolute(text, book);
    if path.is_dir() || text.ends_with(['/', '\\']) {
        return Err(format!("{} is a folder: put a name behind it", path.display()));
    }
    if !path.extension().is_some_and(|e| e.eq_ignore_ascii_case(ending)) {
        path.as_mut_os_string().push(format!(".{ending}"));
    }
    match path.parent() {
        Some(folder) if !folder.is_dir() => {
            Err(format!("there is no folder {}: make it first, or choose another", folder.display()))
        }
        _ if same(&path, book) => {
            Err(format!("{} is the open book itself: choose another name", path.display()))
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
    let mut half = path.as_os_str().to_os_string();
    half.push(format!(".{}.part", std::process::id()));
    let half = PathBuf::from(half);
    std::fs::write(&half, bytes).and_then(|()| std::fs::rename(&half, path)).map_err(|e| {
        let _ = std::fs::remove_file(&half);
        format!("{} could not be written ({}): choose another folder", path.display(), cause(&e))
    })
}

/// The system's words without its error number.
pub fn cause(e: &std::io::Error) -> String {
    let text = e.to_string();
    text.split(" (os error").next().unwrap_or_default().to_lowercase()
}

#[cfg(test)]
mod tests {
    use super::*;

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
        let _ = std::fs::remove_dir_all(&folder);
    }
}

//! Whole books: start, make up, look over, copy, put back.

use super::out::{self, Out};
use super::{Done, Trouble, with};
use hirsel_core::book::{Book, Failed};
use hirsel_core::flock::Holding;
use hirsel_core::terms::Day;
use std::path::{Path, PathBuf};

pub fn new(out: &mut Out, path: &Path, holding: Holding) -> Done {
    if holding.flock.trim().is_empty() {
        return Err(Trouble::World("the flock needs a name: --flock \"My flock\"".into()));
    }
    folder_there(path)?;
    let name = holding.flock.clone();
    Book::create(path, holding)?.close()?;
    out.line(&format!("Started the book of {name} at {}", path.display()))
}

/// A file cannot be made in a folder that is not there.
fn folder_there(path: &Path) -> Done {
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() && !folder.is_dir() => Err(Trouble::World(format!(
            "there is no folder {}: make it first, or choose another",
            folder.display()
        ))),
        _ => Ok(()),
    }
}

pub fn demo(out: &mut Out, path: &Path, spec: &hirsel_demo::Spec, today: Day) -> Done {
    folder_there(path)?;
    let mut book = Book::create(path, hirsel_demo::holding())?;
    let made = hirsel_demo::make(&mut book, spec, today, &mut |text| out::progress(text));
    let animals = book.flock().len();
    if let Err(e) = made.and_then(|()| book.close()) {
        // Half a made-up flock is of no use, and its name should be free again.
        for end in ["", "-wal", "-shm", "-journal"] {
            let mut name = path.as_os_str().to_os_string();
            name.push(end);
            let _ = std::fs::remove_file(PathBuf::from(name));
        }
        return Err(e.into());
    }
    out.line(&format!("Made up a flock of {animals} animals at {}", path.display()))
}

pub fn check(out: &mut Out, path: &Path) -> Done {
    let report = with(path, |book| Ok(book.check(&out::progress)?))?;
    for line in &report.lines {
        out.line(line)?;
    }
    if report.whole {
        return Ok(());
    }
    out.flush()?;
    let mend =
        "the book needs mending: amend what the lines above name, or restore a copy with 'hirsel restore'";
    Err(Trouble::Refused(mend.into()))
}

pub fn backup(out: &mut Out, path: &Path, to: Option<PathBuf>) -> Done {
    let to = match to {
        Some(file) if file.is_dir() => free_name(&file, path),
        Some(file) => file,
        None => free_name(path.parent().unwrap_or(Path::new("")), path),
    };
    // symlink_metadata also sees a link that points nowhere.
    if to.symlink_metadata().is_ok() {
        return Err(Failed::Exists(to).into());
    }
    folder_there(&to)?;
    with(path, |book| Ok(book.backup(&to)?))?;
    out.line(&format!("Copied the book to {}", to.display()))
}

/// `flock copy 2026-11-25.hirsel`, with a number if there is one already.
fn free_name(folder: &Path, book: &Path) -> PathBuf {
    let stem = book.file_stem().unwrap_or_default().to_string_lossy();
    let today = Day::today();
    let name = |n: u32| match n {
        1 => folder.join(format!("{stem} copy {today}.hirsel")),
        n => folder.join(format!("{stem} copy {today} {n}.hirsel")),
    };
    (1..).map(name).find(|p| p.symlink_metadata().is_err()).unwrap_or_else(|| name(1))
}

pub fn restore(out: &mut Out, from: &Path, to: &Path) -> Done {
    let same = from.canonicalize().ok().zip(to.canonicalize().ok()).is_some_and(|(a, b)| a == b);
    if same {
        return Err(Trouble::World(format!(
            "{} is the copy and the book at once: name the copy first, then the book it goes to",
            from.display()
        )));
    }
    let stood = to.exists();
    hirsel_core::book::restore(from, to)?;
    out.line(&format!("Put {} in the place of {}", from.display(), to.display()))?;
    if stood {
        out.line(&format!("What stood there is kept as {} before restoring", to.display()))?;
    }
    Ok(())
}

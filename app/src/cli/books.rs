//! Whole books: start, make up, look over, copy, put back.

use super::out::{self, Out};
use super::secret::passphrase;
use super::{Done, Trouble, with};
use clap::Args;
use hirsel_core::book::{self, Book, Failed, Mend};
use hirsel_core::flock::Holding;
use hirsel_core::terms::{Day, counted};
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

/// A copy of the book, or what the copies hold.
#[derive(Debug, Args)]
pub struct Backup {
    /// The book
    book: PathBuf,
    /// The copy or the folder to put it in; beside the book if not given. A name that ends in .age is closed with a
    /// passphrase
    file: Option<PathBuf>,
    /// Put it into a second place, such as a stick: read back there, and thinned out like the copies beside the book
    #[arg(long, value_name = "FOLDER", conflicts_with_all = ["file", "list", "compare"])]
    to: Option<PathBuf>,
    /// List the copies kept beside the book, or in the second place of --in, with what each holds
    #[arg(long, conflicts_with_all = ["file", "compare"])]
    list: bool,
    /// With --list: the second place
    #[arg(long = "in", value_name = "FOLDER", requires = "list")]
    place: Option<PathBuf>,
    /// Compare this copy with the book: lines written since, and records that differ
    #[arg(long, value_name = "COPY", conflicts_with = "file")]
    compare: Option<PathBuf>,
    /// A file whose first line is the passphrase; - reads it from what is piped in
    #[arg(long, value_name = "FILE", requires = "file")]
    passphrase_file: Option<PathBuf>,
}

pub const BACKUP_HELP: &str = "A passphrase is never an argument: others could read it there. A lost passphrase is a lost copy:\n\
    nobody can open it then, nor can this program. Any program that reads age files opens it too.";

impl Backup {
    pub fn run(self, out: &mut Out) -> Done {
        if self.list {
            return list(out, &self.book, self.place.as_deref());
        }
        if let Some(copy) = self.compare {
            return compare(out, &self.book, &copy);
        }
        if let Some(folder) = self.to {
            return place(out, &self.book, &folder);
        }
        backup(out, &self.book, self.file, self.passphrase_file.as_deref())
    }
}

/// Copies with what they hold; one that cannot be read says why.
fn list(out: &mut Out, path: &Path, place: Option<&Path>) -> Done {
    if !path.exists() {
        return Err(Failed::NotThere(path.to_path_buf()).into());
    }
    let folder = place.map_or_else(|| book::backup_folder(path), |p| book::place_folder(p, path));
    let all = book::copies(&folder);
    if all.is_empty() {
        return out.line(&format!("No copies are kept in {}", folder.display()));
    }
    for copy in all {
        let line = match book::held(&copy.path) {
            Ok(h) => {
                let last = h.last.map_or_else(String::new, |(at, what)| format!("; last on {at}: {what}"));
                let (animals, lines) = (counted(h.animals, "animal"), counted(h.lines, "line"));
                format!(
                    "{}: {animals}, {lines}, {}, format {}{last}",
                    copy.name,
                    book::size_words(h.size),
                    h.format
                )
            }
            Err(e) => format!("{}: {e}", copy.name),
        };
        out.line(&line)?;
    }
    Ok(())
}

fn compare(out: &mut Out, path: &Path, copy: &Path) -> Done {
    let compared = with(path, |book| Ok(book.compare(copy)?))?;
    out.line(&format!("{}: {}", copy.display(), compared.words()))?;
    for l in &compared.since {
        out.line(&format!("  since   {}  {}: {}", l.at, l.who, l.what))?;
    }
    for l in &compared.only_there {
        out.line(&format!("  there   {}  {}: {}", l.at, l.who, l.what))?;
    }
    for r in &compared.rows {
        out.line(&format!("  {:<7} {}", r.how, r.words()))?;
    }
    Ok(())
}

fn place(out: &mut Out, path: &Path, folder: &Path) -> Done {
    let today = Day::today();
    let put = with(path, |book| Ok(book.ready_copy()?.put(folder, today)))?;
    match put {
        Ok(to) => out.line(&format!("Put a copy in the second place and read it back: {}", to.display())),
        Err(Failed::NotThere(p)) if p == folder => Err(Trouble::World(format!(
            "there is no folder {}: plug the stick in, or choose another place",
            folder.display()
        ))),
        Err(e) => Err(e.into()),
    }
}

fn backup(out: &mut Out, path: &Path, to: Option<PathBuf>, secret: Option<&Path>) -> Done {
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
    match passphrase(&to, secret)? {
        Some(word) => {
            with(path, |book| Ok(book.ready_copy()?.seal(&to, &word)?))?;
            out.line(&format!("Copied the book to {}, closed with the passphrase", to.display()))
        }
        None => {
            with(path, |book| Ok(book.backup(&to)?))?;
            out.line(&format!("Copied the book to {}", to.display()))
        }
    }
}

/// Mends what is wrong with indexes alone.
pub fn mend(out: &mut Out, path: &Path) -> Done {
    match book::mend(path, &out::progress)? {
        Mend::Whole => out.line("There was nothing to mend in the file")?,
        Mend::Done(kept) => {
            out.line("The indexes were made anew; no record was touched")?;
            out.line(&format!("The file as it was is kept as {}", kept.display()))?;
        }
        Mend::Beyond(wrong) => {
            for line in wrong {
                out.line(&format!("The file is damaged: {line}"))?;
            }
            out.flush()?;
            return Err(Trouble::Refused(
                "records are damaged, nothing was touched: save what can be read with 'hirsel check BOOK --salvage NEW', or restore a copy with 'hirsel restore'".into(),
            ));
        }
    }
    check(out, path)
}

/// Saves what can be read of a damaged book.
pub fn salvage(out: &mut Out, path: &Path, to: &Path) -> Done {
    folder_there(to)?;
    let told = book::salvage(path, to, &out::progress)?;
    for line in told.words() {
        out.line(&line)?;
    }
    out.line(&format!("The new book is {}; {} was not changed", to.display(), path.display()))
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

pub fn restore(out: &mut Out, from: &Path, to: &Path, secret: Option<&Path>) -> Done {
    let same = from.canonicalize().ok().zip(to.canonicalize().ok()).is_some_and(|(a, b)| a == b);
    if same {
        return Err(Trouble::World(format!(
            "{} is the copy and the book at once: name the copy first, then the book it goes to",
            from.display()
        )));
    }
    let stood = to.exists();
    match (book::is_sealed(from), secret) {
        (true, Some(_)) => book::restore_sealed(from, to, &passphrase(from, secret)?.unwrap_or_default())?,
        (true, None) => {
            return Err(Trouble::World(format!(
                "{} is closed with a passphrase: name a file that holds it with --passphrase-file, or - to pipe it in",
                from.display()
            )));
        }
        (false, _) => book::restore(from, to)?,
    }
    out.line(&format!("Put {} in the place of {}", from.display(), to.display()))?;
    if stood {
        out.line(&format!("What stood there is kept as {} before restoring", to.display()))?;
    }
    Ok(())
}

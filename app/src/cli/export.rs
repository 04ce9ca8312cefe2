//! What is taken out: a kind as CSV or spreadsheet, everything as one ZIP, a calendar, the open standard.

use super::on::On;
use super::out::{self, Out};
use super::{Done, Trouble, calendar, standard, with};
use crate::desk::taken::Opened;
use clap::Args;
use hirsel_core::exchange::all::{self, Packed, Stuck};
use hirsel_core::exchange::{self, Kind, Listed};
use hirsel_core::terms::Day;
use std::io::Write;
use std::path::{Path, PathBuf};

/// What is taken out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum What {
    /// A kind of records.
    Kind(Kind),
    /// All of the book, as a ZIP.
    Everything,
    /// What is due, as a calendar.
    Due,
    /// The flock as the open standard of animal data has it.
    Standard,
}

pub const HELP: &str = "Of a spreadsheet numbers are numbers and days are days, tags stay text, nothing is a formula. everything needs -o:\n\
    a ZIP with every kind as CSV, what they do not carry (pens of the past, notes by day, jobs ticked, lines struck\n\
    out, amendments, the journal, kept papers, changed steps and rules), a dictionary of every column, and a manifest.";

/// What the standard carries, too.
pub fn long_help() -> String {
    format!("{HELP}\n\n{}\n{}", calendar::HELP, standard::help())
}

/// What is asked for.
#[derive(Debug, Args)]
pub struct Asked {
    /// The book
    book: PathBuf,
    /// What to take out: the kinds are those of import; or everything; or standard; or
    /// due: a calendar (iCalendar, .ics)
    #[arg(value_parser = what)]
    kind: What,
    /// Write this file instead of printing; the ending .xlsx makes a spreadsheet of a table, and a name that ends in
    /// .age is closed with a passphrase
    #[arg(short, long, value_name = "FILE")]
    output: Option<PathBuf>,
    /// A file whose first line is the passphrase; - reads it from what is piped in
    #[arg(long, value_name = "FILE", requires = "output")]
    passphrase_file: Option<PathBuf>,
    #[command(flatten)]
    standard: standard::Asked,
    #[command(flatten)]
    due: calendar::Asked,
    #[command(flatten)]
    on: On,
}

/// From the word on the command line.
pub fn what(text: &str) -> Result<What, String> {
    match text.trim().to_lowercase().as_str() {
        "everything" => Ok(What::Everything),
        "standard" => Ok(What::Standard),
        "due" => Ok(What::Due),
        _ => Kind::parse(text).map(What::Kind).map_err(|e| format!("{}, everything, standard, due", e.0)),
    }
}

/// The output is to be a spreadsheet, by its ending.
pub fn is_xlsx(to: &Path) -> bool {
    to.extension().is_some_and(|e| e.eq_ignore_ascii_case("xlsx"))
}

/// A spreadsheet of one list.
pub fn xlsx(list: &Listed, today: Day) -> Result<Vec<u8>, Trouble> {
    list.xlsx(today).map_err(|e| Trouble::Refused(e.to_string()))
}

/// Takes out what is asked for.
pub fn export(out: &mut Out, asked: &Asked) -> Done {
    let (path, what, to, today) = (&asked.book, asked.kind, asked.output.as_deref(), asked.on.day());
    if let Some(name) = asked.standard.stray().filter(|_| what != What::Standard) {
        return Err(Trouble::World(format!("{name} goes with standard only: leave it out")));
    }
    if let Some(name) = asked.due.stray().filter(|_| what != What::Due) {
        return Err(Trouble::World(format!("{name} goes with due only: leave it out")));
    }
    if let Some(to) = to {
        super::not_the_book(path, to)?;
        if let Some(word) = super::secret::passphrase(to, asked.passphrase_file.as_deref())? {
            return sealed(out, asked, to, &word);
        }
    }
    match (what, to) {
        (What::Due, to) => calendar::export(out, path, &asked.due, to, today),
        (What::Standard, to) => standard::export(out, path, &asked.standard, to, today),
        (What::Kind(kind), None) => {
            let csv = with(path, |book| Ok(exchange::export(kind, &book.flock())))?;
            out.print(&csv)
        }
        (What::Kind(kind), Some(to)) => {
            let list = with(path, |book| Ok(exchange::list(kind, &book.flock())))?;
            let bytes = if is_xlsx(to) { xlsx(&list, today)? } else { list.csv().into_bytes() };
            if out::save(out, to, &bytes)? {
                out.line(&format!("Wrote the {} to {}", kind.word(), to.display()))?;
            }
            Ok(())
        }
        (What::Everything, None) => Err(Trouble::World(
            "everything is a ZIP of files: name it with -o FLOCK.zip, or -o - to hand it on".into(),
        )),
        (What::Everything, Some(to)) => everything(out, path, to, today),
    }
}

/// The same, closed with a passphrase; what is inside is told by the name before `.age`. It never lies open on the disk.
fn sealed(out: &mut Out, asked: &Asked, to: &Path, word: &str) -> Done {
    let today = asked.on.day();
    let (bytes, name) = with(&asked.book, |book| {
        let flock = book.flock();
        Ok(match asked.kind {
            What::Due => {
                let made = calendar::made(book, &asked.due, today)?;
                let words = made.words();
                (made.text.into_bytes(), words)
            }
            What::Standard => {
                let text = standard::text(book, &asked.standard, today)?;
                (text.into_bytes(), "the flock as the open standard has it".to_string())
            }
            What::Kind(kind) => {
                let list = exchange::list(kind, &flock);
                let spreadsheet = is_xlsx(&to.with_extension(""));
                let bytes = if spreadsheet { xlsx(&list, today)? } else { list.csv().into_bytes() };
                (bytes, format!("the {}", kind.word()))
            }
            What::Everything => {
                let mut bytes = Vec::new();
                all::stream(&flock, &mut Opened(book), today, &mut bytes, &mut |_| true)
                    .map_err(|e| stuck(e, to))?;
                (bytes, "everything".to_string())
            }
        })
    })?;
    hirsel_core::book::save_sealed(&mut bytes.as_slice(), to, word)?;
    out.line(&format!("Wrote {name} to {}, closed with the passphrase", to.display()))
}

fn everything(out: &mut Out, path: &Path, to: &Path, today: Day) -> Done {
    with(path, |book| {
        // It is written as it is read: nothing of a damaged book may be.
        book.soundness_of_records()?;
        let flock = book.flock();
        let mut source = Opened(book);
        let mut told = 0;
        let mut go_on = |percent: u32| {
            if percent >= told + 10 {
                told = percent;
                out::progress(&format!("{percent} %"));
            }
            true
        };
        // Where there is no going back, such as a pipe, it is written in one go.
        if out::is_plain(to) {
            let packed = out::save_through(to, |file| {
                all::write(&flock, &mut source, today, file, &mut go_on).map_err(|e| stuck(e, to))
            })?;
            return out.line(&told_of(packed, to));
        }
        let mut straight = out::straight(out, to)?;
        all::stream(&flock, &mut source, today, &mut straight, &mut go_on).map_err(|e| stuck(e, to))?;
        straight.flush().map_err(|e| stuck(e.into(), to))
    })
}

fn stuck(e: Stuck, to: &Path) -> Trouble {
    match e {
        Stuck::File(e) if e.kind() == std::io::ErrorKind::BrokenPipe => Trouble::Gone,
        Stuck::File(e) => {
            Trouble::World(format!("{} could not be written: {}", to.display(), out::cause(&e)))
        }
        other => Trouble::World(other.to_string()),
    }
}

fn told_of(packed: Packed, to: &Path) -> String {
    let papers = match packed.papers {
        0 => String::new(),
        1 => ", 1 kept paper".into(),
        n => format!(", {n} kept papers"),
    };
    format!("Wrote everything to {}: {} files, {} rows{papers}", to.display(), packed.files, packed.rows)
}

//! The same work without a window: every command prints what it did, or what is wrong and what to do.
//!
//! Exit codes: 0 done; 1 the data were refused and nothing was written; 2 the call, the display or a file was at
//! fault. A reader that goes away early (`| head`) is no fault.

mod answers;
mod books;
mod out;
mod paper;
mod tables;
mod traffic;

use clap::{Args, Parser, Subcommand, ValueEnum};
use hirsel_core::book::{Book, Failed};
use hirsel_core::exchange::Kind;
use hirsel_core::flock::Flock;
use hirsel_core::papers::{PerSheet, SheetSize};
use hirsel_core::terms::{AnimalId, Day, Units};
use out::Out;
use std::ffi::OsString;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Keeps the records of a small sheep flock in one file.
#[derive(Debug, Parser)]
#[command(name = "hirsel", version, args_conflicts_with_subcommands = true, disable_help_subcommand = true)]
#[command(after_help = EXITS)]
struct Line {
    /// The book to open in the window; without one, the last book
    #[arg(value_name = "BOOK")]
    book: Option<PathBuf>,
    #[command(subcommand)]
    command: Option<Command>,
}

const EXITS: &str = "Ends with 0 when it is done, 1 when the data were refused (nothing is written then),\n\
    2 when the call, the display or a file was at fault.";

#[derive(Debug, Subcommand)]
enum Command {
    /// Start a book
    New {
        /// The file to make; it must not be there yet
        book: PathBuf,
        /// Name of the flock
        #[arg(long, value_name = "NAME")]
        flock: String,
        /// Rule set of your country
        #[arg(long, value_name = "ID", value_parser = rules())]
        rules: Option<String>,
        /// What your scale shows: metric or imperial
        #[arg(long, value_name = "UNITS", default_value = "metric", value_parser = units)]
        units: Units,
        /// Your name
        #[arg(long, value_name = "NAME")]
        keeper: Option<String>,
        /// Holding number of the authority
        #[arg(long, value_name = "NUMBER")]
        number: Option<String>,
        /// Address, lines parted by commas
        #[arg(long, value_name = "ADDRESS")]
        address: Option<String>,
        /// Your paper: a4 or letter
        #[arg(long, value_name = "SHEET", value_parser = sheet)]
        sheet: Option<SheetSize>,
    },
    /// Make a book of a made-up flock to look round in
    Demo {
        /// The file to make; it must not be there yet
        book: PathBuf,
        /// Ewes kept for breeding
        #[arg(long, value_name = "N", default_value_t = hirsel_demo::Spec::default().ewes, value_parser = clap::value_parser!(u32).range(1..=20_000))]
        ewes: u32,
        /// Lambing seasons
        #[arg(long, value_name = "N", default_value_t = hirsel_demo::Spec::default().seasons, value_parser = clap::value_parser!(u32).range(1..=60))]
        seasons: u32,
        /// The same number makes the same flock
        #[arg(long, value_name = "N", default_value_t = hirsel_demo::Spec::default().seed)]
        seed: u64,
        #[command(flatten)]
        on: On,
    },
    /// Bring in a table: all of it or none
    #[command(
        after_help = "Every bad row is named with its line, its column and the mend, and nothing is written then.\n\
        What looks unlikely is printed as a caution and kept with the import. --help lists the columns."
    )]
    #[command(after_long_help = traffic::columns())]
    Import {
        /// The book
        book: PathBuf,
        /// What the table holds: animals, joinings, lambings, weighings, treatments, products
        #[arg(value_parser = kind)]
        kind: Kind,
        /// The table, as CSV text; - reads what is piped in
        file: PathBuf,
        /// Print the rows it would write, as CSV, and write nothing
        #[arg(long)]
        dry_run: bool,
        /// Refuse what looks unlikely, too
        #[arg(long)]
        strict: bool,
        #[command(flatten)]
        on: On,
    },
    /// Take a table out, in the form import reads
    Export {
        /// The book
        book: PathBuf,
        /// What to take out: animals, joinings, lambings, weighings, treatments, products
        #[arg(value_parser = kind)]
        kind: Kind,
        /// Write this file instead of printing
        #[arg(short, long, value_name = "FILE")]
        output: Option<PathBuf>,
    },
    /// Reckon clear days, gains or the flock's figures
    Reckon {
        /// The book
        book: PathBuf,
        /// What to reckon
        #[arg(value_enum)]
        answer: Answer,
        /// Only this animal; may be given again
        #[arg(long, value_name = "TAG")]
        animal: Vec<String>,
        /// How to print it
        #[arg(long, value_enum, default_value_t = Format::Table)]
        format: Format,
        #[command(flatten)]
        on: On,
    },
    /// Print a paper as PDF
    #[command(after_help = PRINT_HELP)]
    Print(Print),
    /// Look the whole book over
    Check {
        /// The book
        book: PathBuf,
    },
    /// Copy the book, whole and ready to be opened
    Backup {
        /// The book
        book: PathBuf,
        /// The copy or the folder to put it in; beside the book if not given
        file: Option<PathBuf>,
    },
    /// Put a copy in the place of a book; what stood there is kept beside it
    Restore {
        /// The copy
        file: PathBuf,
        /// The book
        book: PathBuf,
    },
}

const PRINT_HELP: &str = "Without --animal, --pen, --from or --to: cards for the lambs of the last 60 days and their \
    ewes,\nthe log for all treatments. --from and --to are days of birth for lamb cards, of lambing for pen cards,\n\
    of treatment for the log.";

#[derive(Debug, Args)]
struct On {
    /// Take this day for today, such as 2026-04-03
    #[arg(long, value_name = "DATE", value_parser = day)]
    on: Option<Day>,
}

impl On {
    fn day(&self) -> Day {
        self.on.unwrap_or_else(Day::today)
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Answer {
    /// The first day each animal's meat and milk may be used
    Clearance,
    /// Every weighing with the daily gain since the one before
    Growth,
    /// Lambs born, reared and weighed, season by season
    Figures,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Format {
    /// Lined up for reading
    Table,
    /// For spreadsheets
    Csv,
    /// For programs
    Json,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum PaperWord {
    /// One card a lamb
    LambCards,
    /// One card a ewe, with her lambs
    PenCards,
    /// What was given to whom, and until when it is held back
    TreatmentLog,
}

#[derive(Debug, Args)]
struct Print {
    /// The book
    book: PathBuf,
    /// Which paper
    #[arg(value_enum)]
    paper: PaperWord,
    /// The PDF to write; - for what is piped on
    #[arg(short, long, value_name = "FILE.pdf")]
    output: PathBuf,
    /// First day
    #[arg(long, value_name = "DATE", value_parser = day)]
    from: Option<Day>,
    /// Last day
    #[arg(long, value_name = "DATE", value_parser = day)]
    to: Option<Day>,
    /// Only this animal; may be given again
    #[arg(long, value_name = "TAG")]
    animal: Vec<String>,
    /// Only animals in this pen; may be given again
    #[arg(long, value_name = "NAME")]
    pen: Vec<String>,
    /// The paper: a4 or letter; the book's own if not given
    #[arg(long, value_name = "SHEET", value_parser = sheet)]
    sheet: Option<SheetSize>,
    /// Cards on a sheet: 1, 2, 4 or 8
    #[arg(long, value_name = "N", value_parser = per_sheet)]
    per_page: Option<PerSheet>,
    #[command(flatten)]
    on: On,
}

fn day(text: &str) -> Result<Day, String> {
    Day::parse_iso(text).map_err(|e| e.0)
}

fn units(text: &str) -> Result<Units, String> {
    Units::parse(text).map_err(|e| e.0)
}

fn kind(text: &str) -> Result<Kind, String> {
    Kind::parse(text).map_err(|e| e.0)
}

fn sheet(text: &str) -> Result<SheetSize, String> {
    text.parse()
}

fn per_sheet(text: &str) -> Result<PerSheet, String> {
    text.trim()
        .parse()
        .ok()
        .and_then(PerSheet::from_count)
        .ok_or_else(|| format!("'{text}' cards do not fit a sheet: write 1, 2, 4 or 8"))
}

/// Why a command did not do its work.
#[derive(Debug)]
enum Trouble {
    /// The data were refused; nothing was written. Exit code 1.
    Refused(String),
    /// The call or a file. Exit code 2.
    World(String),
    /// Whoever read the output has gone: no fault.
    Gone,
}

impl From<Failed> for Trouble {
    fn from(e: Failed) -> Self {
        Self::World(e.to_string())
    }
}

type Done = Result<(), Trouble>;

/// Reads the command line and does what it says. `window` opens the window with a book or the last one.
pub fn run(args: impl IntoIterator<Item = OsString>, window: fn(Option<PathBuf>) -> ExitCode) -> ExitCode {
    let line = match Line::try_parse_from(args) {
        Ok(line) => line,
        Err(e) => {
            let _ = e.print(); // help to a reader that has gone is no fault
            return ExitCode::from(u8::try_from(e.exit_code()).unwrap_or(2));
        }
    };
    let Some(command) = line.command else {
        // A mistyped command must not pass for a book.
        if let Some(book) = line.book.as_ref().filter(|b| !b.exists()) {
            return ended(Err(Failed::NotThere(book.clone()).into()));
        }
        return window(line.book);
    };
    let mut out = Out::new();
    ended(command.run(&mut out).and_then(|()| out.flush()))
}

/// The ids of the rule sets, to choose from.
fn rules() -> clap::builder::PossibleValuesParser {
    hirsel_core::rules::rule_sets().iter().map(|set| set.id()).collect::<Vec<_>>().into()
}

fn ended(done: Done) -> ExitCode {
    match done {
        Ok(()) | Err(Trouble::Gone) => ExitCode::SUCCESS,
        Err(Trouble::Refused(why)) => {
            out::say(&format!("hirsel: {why}"));
            ExitCode::from(1)
        }
        Err(Trouble::World(why)) => {
            out::say(&format!("hirsel: {why}"));
            ExitCode::from(2)
        }
    }
}

impl Command {
    fn run(self, out: &mut Out) -> Done {
        match self {
            Self::New { book, flock, rules, units, keeper, number, address, sheet } => {
                let mut holding = hirsel_core::flock::Holding { flock, units, ..Default::default() };
                let text = Option::unwrap_or_default;
                (holding.keeper, holding.number, holding.address) =
                    (text(keeper), text(number), text(address));
                holding.rules = text(rules);
                holding.sheet = sheet.map(|s| s.word().to_lowercase()).unwrap_or_default();
                books::new(out, &book, holding)
            }
            Self::Demo { book, ewes, seasons, seed, on } => {
                books::demo(out, &book, &hirsel_demo::Spec { ewes, seasons, seed }, on.day())
            }
            Self::Import { book, kind, file, dry_run, strict, on } => {
                let how = traffic::How { dry_run, strict };
                traffic::import(out, &book, kind, &file, how, on.day())
            }
            Self::Export { book, kind, output } => traffic::export(out, &book, kind, output.as_deref()),
            Self::Reckon { book, answer, animal, format, on } => {
                let book = open(&book)?;
                let flock = book.flock();
                let animals = chosen(&flock, &animal, &[])?;
                let table = match answer {
                    Answer::Clearance => answers::clearance(&flock, animals, on.day()),
                    Answer::Growth => answers::growth(&flock, animals, on.day()),
                    Answer::Figures if animals.is_some() => {
                        return Err(Trouble::World(
                            "figures are of the whole flock: leave --animal out".into(),
                        ));
                    }
                    Answer::Figures => answers::figures(&flock, on.day()),
                };
                close(book)?;
                out.print(&table.text(format))
            }
            Self::Print(asked) => paper::print(out, &asked),
            Self::Check { book } => books::check(out, &book),
            Self::Backup { book, file } => books::backup(out, &book, file),
            Self::Restore { file, book } => books::restore(out, &file, &book),
        }
    }
}

fn open(path: &Path) -> Result<Book, Trouble> {
    Ok(Book::open(path)?)
}

/// A file to write that is the book itself would destroy it.
fn not_the_book(book: &Path, to: &Path) -> Done {
    match (book.canonicalize(), to.canonicalize()) {
        (Ok(a), Ok(b)) if a == b => Err(Trouble::World(format!(
            "{} is the book itself: name another file for the output",
            to.display()
        ))),
        _ => Ok(()),
    }
}

fn close(book: Book) -> Done {
    Ok(book.close()?)
}

/// The animals of these tags and pens in the order given, each once; none when nothing is asked for.
fn chosen(flock: &Flock, tags: &[String], pens: &[String]) -> Result<Option<Vec<AnimalId>>, Trouble> {
    if tags.is_empty() && pens.is_empty() {
        return Ok(None);
    }
    let (mut all, mut missing) = (Vec::new(), Vec::new());
    for tag in tags {
        match flock.by_tag(tag) {
            Some(id) => all.push(id),
            None => missing.push(format!("no animal wears the tag {tag}: mend the tag")),
        }
    }
    for pen in pens {
        let animals = flock.in_pen(pen);
        if animals.is_empty() {
            let known: Vec<String> = flock.pens().into_iter().map(|(p, _)| p).collect();
            let known = if known.is_empty() { "none".to_string() } else { known.join(", ") };
            missing.push(format!("no animal is in the pen {pen}: pens with animals are {known}"));
        }
        all.extend(animals);
    }
    if !missing.is_empty() {
        return Err(Trouble::Refused(missing.join("\nhirsel: ")));
    }
    let mut seen = std::collections::HashSet::new();
    all.retain(|id| seen.insert(*id));
    Ok(Some(all))
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory as _;

    #[test]
    fn the_command_line_holds_together() {
        Line::command().debug_assert();
    }

    #[test]
    fn every_command_and_value_is_explained() {
        for c in Line::command().get_subcommands() {
            assert!(c.get_about().is_some(), "{}", c.get_name());
            for a in c.get_arguments().filter(|a| a.get_id() != "help") {
                assert!(a.get_help().is_some(), "{} {}", c.get_name(), a.get_id());
            }
        }
    }
}

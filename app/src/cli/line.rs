//! The words of the command line: commands, arguments and what `--help` says of them.

use super::traffic;
pub(super) use super::words::PaperWord;
use clap::{Args, Parser, Subcommand, ValueEnum};
use hirsel_core::exchange::Kind;
use hirsel_core::papers::{PerSheet, SheetSize};
use hirsel_core::registers::RegisterKind;
use hirsel_core::terms::{Day, Units};
use std::path::PathBuf;

/// Keeps the records of a small sheep flock in one file.
#[derive(Debug, Parser)]
#[command(name = "hirsel", version, args_conflicts_with_subcommands = true, disable_help_subcommand = true)]
#[command(after_help = EXITS)]
pub(super) struct Line {
    /// The book to open in the window; without one, the last book
    #[arg(value_name = "BOOK")]
    pub(super) book: Option<PathBuf>,
    #[command(subcommand)]
    pub(super) command: Option<Command>,
}

const EXITS: &str = "Ends with 0 when it is done, 1 when the data were refused (nothing is written then),\n\
    2 when the call, the display or a file was at fault.";

#[derive(Debug, Subcommand)]
pub(super) enum Command {
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
        /// What the table holds: animals, joinings, lambings, weighings, vets, prescriptions,
        /// treatments, products, batches, stock, egg-counts, movements, marks, crayons, scans, tests
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
    /// Write barn notes in plain trade English
    #[command(
        after_help = "It prints what it understood, a sentence each. Of what can mean several things nothing is guessed:\n\
        the readings are printed, and nothing is written. What looks unlikely is printed as a caution and kept with\n\
        the notes. What is not understood becomes a note on the animal."
    )]
    #[command(after_long_help = note_forms())]
    Write {
        /// The book
        book: PathBuf,
        /// The note, or several lines of them; - reads what is piped in
        note: String,
        /// Print what it would write, and write nothing
        #[arg(long)]
        dry_run: bool,
        /// Refuse what looks unlikely, too
        #[arg(long)]
        strict: bool,
        /// Why what looks unlikely is right; it is kept
        #[arg(long, value_name = "WORD")]
        word: Option<String>,
        #[command(flatten)]
        on: On,
    },
    /// Take a table out, in the form import reads
    Export {
        /// The book
        book: PathBuf,
        /// What to take out: animals, joinings, lambings, weighings, vets, prescriptions,
        /// treatments, products, batches, stock, egg-counts, movements, marks, crayons, scans, tests
        #[arg(value_parser = kind)]
        kind: Kind,
        /// Write this file instead of printing
        #[arg(short, long, value_name = "FILE")]
        output: Option<PathBuf>,
    },
    /// Reckon clear days, gains, the flock's figures, the jobs that are due, kinship or who to join with whom
    Reckon {
        /// The book
        book: PathBuf,
        /// What to reckon
        #[arg(value_enum)]
        answer: Answer,
        /// Only this animal; may be given again
        #[arg(long, value_name = "TAG")]
        animal: Vec<String>,
        /// For pairs: the rams, each with how many ewes he may have, such as "R1:10,R2:8"
        #[arg(long, value_name = "RAM:N,…", required_if_eq("answer", "pairs"))]
        rams: Option<String>,
        /// For pairs: no lamb is to be more inbred than this, such as 0.0625 or 6.25%
        #[arg(long, value_name = "F")]
        limit: Option<String>,
        /// For pairs: these must not be, such as "0412:R1,0417:R2"
        #[arg(long, value_name = "EWE:RAM,…")]
        forbid: Option<String>,
        /// For pairs: these must be, such as "0412:R1"
        #[arg(long, value_name = "EWE:RAM,…")]
        keep: Option<String>,
        /// Clearance of those that were sold before they were clear: what the buyer must be told
        #[arg(long, conflicts_with = "animal")]
        sold: bool,
        /// Kinship as the coancestry of every two animals: a square table as CSV, tags as its head
        #[arg(long)]
        matrix: bool,
        /// For weights: the age in days; 60 if not given
        #[arg(long, value_name = "DAYS", value_parser = clap::value_parser!(u16).range(7..=400))]
        at: Option<u16>,
        /// For weights: the factors they carry; those of the book's table if not given
        #[arg(long, value_enum)]
        factors: Option<Factors>,
        /// How to print it
        #[arg(long, value_enum, default_value_t = Format::Table)]
        format: Format,
        #[command(flatten)]
        on: On,
    },
    /// Make a register an inspector may ask for
    #[command(after_help = register_words())]
    Register {
        /// The book
        book: PathBuf,
        /// Which register: one of the words below
        #[arg(value_parser = register)]
        register: RegisterKind,
        /// First day
        #[arg(long, value_name = "DATE", value_parser = day)]
        from: Option<Day>,
        /// Last day
        #[arg(long, value_name = "DATE", value_parser = day)]
        to: Option<Day>,
        /// How to write it
        #[arg(long, value_enum, default_value_t = Format::Table)]
        format: Format,
        /// Write this file instead of printing
        #[arg(short, long, value_name = "FILE")]
        output: Option<PathBuf>,
        #[command(flatten)]
        on: On,
    },
    /// Print a paper as PDF
    #[command(after_help = PRINT_HELP)]
    Print(Print),
    /// Look the whole book over, or tell what is missing before a visit
    #[command(
        after_help = "Things that are missing before a visit are no fault of the file: it ends with 0 all the same."
    )]
    Check {
        /// The book
        book: PathBuf,
        /// Answer what an inspector asks, with what is missing
        #[arg(long)]
        visit: bool,
        /// Tell what cannot be or is doubtful in the pedigree
        #[arg(long, conflicts_with = "visit")]
        pedigree: bool,
        /// How to print the answers
        #[arg(long, value_enum, default_value_t = Format::Table, requires = "visit")]
        format: Format,
        #[command(flatten)]
        on: On,
    },
    /// Take records out for good that need no longer be kept, after a copy was made
    #[command(
        after_help = "Nothing of an animal that is in the flock is taken out, and the pedigree stays whole. What is younger\n\
        than the rules say, or than five years, is refused. It cannot be undone: the copy is kept beside the book."
    )]
    Purge {
        /// The book
        book: PathBuf,
        /// Records older than this day
        #[arg(long, value_name = "DATE", value_parser = day)]
        before: Day,
        /// Do it; without this it is only told what would go
        #[arg(long)]
        yes: bool,
        #[command(flatten)]
        on: On,
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
    of treatment for the log.\nThe barn sheet is for tomorrow, or for the day of --on; --pen keeps to some pens.\n\
    Registers are of the days from --from to --to; stock, flock-count and withdrawal-now of the day of --on.\n\
    The declaration is for the animals of --animal, or for those sold on the day of --on.\n\
    A pedigree, certificate or drawing, is of the animals of --animal.\n\
    The joining sheet holds the groups that run now, or those of the days from --from to --to; the due list the ewes\n\
    that may lamb in those days. --animal and --pen keep to some ewes, --animal to a ram's as well.\n\
    The sale list is of --animal and --pen, or of those meant for the market; the ram's progeny of the rams of --animal,\n\
    or of every ram in the flock that has lambs. The diversity report is of the whole flock.";

/// The words of the registers, each with what it holds.
fn register_words() -> String {
    let mut text = String::from("Registers:\n");
    for kind in RegisterKind::ALL {
        text.push_str(&format!("  {:<18} {}\n", kind.word(), kind.holds()));
    }
    text.push_str(
        "\nThose of a day (stock, flock-count, withdrawal-now) are of today, or of the day of --on.",
    );
    text
}

/// The forms of barn notes with examples, from the grammar itself.
fn note_forms() -> String {
    let mut text = String::from("What can be written:\n");
    for form in hirsel_core::entry::notes::forms() {
        text.push_str(&format!("\n{}: {}\n", form.name, form.how));
        form.example.iter().for_each(|e| text.push_str(&format!("    {}\n", e.note)));
    }
    text
}

/// The ids of the rule sets, to choose from.
fn rules() -> clap::builder::PossibleValuesParser {
    hirsel_core::rules::rule_sets().iter().map(hirsel_core::rules::RuleSet::id).collect::<Vec<_>>().into()
}

#[derive(Debug, Args)]
pub(super) struct On {
    /// Take this day for today, such as 2026-04-03
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(super) on: Option<Day>,
}

impl On {
    pub(super) fn day(&self) -> Day {
        self.on.unwrap_or_else(Day::today)
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Answer {
    /// The first day each animal's meat and milk may be used, and its meat for export where the place counts that
    /// apart or a period was written
    Clearance,
    /// Every weighing with the daily gain since the one before
    Growth,
    /// Lambs born, reared and weighed, season by season
    Figures,
    /// Jobs of the care plan: due, overdue and of the next 30 days; with --animal all of its life
    Due,
    /// Inbreeding of each animal, and how deep its pedigree is known
    Kinship,
    /// The ram for each ewe that keeps the lambs least inbred, within the caps of --rams
    Pairs,
    /// What is left of the founders' blood, each figure with what to do about it
    Diversity,
    /// Weights carried to the age of --at, with the factors they carry, their contemporary group and ratio in it
    Weights,
}

/// The factors weights carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Factors {
    /// None
    None,
    /// Those of the book's table
    Table,
    /// The flock's own, by least squares, each where the records suffice
    Own,
}

impl Factors {
    pub(super) fn using(of: Option<Self>) -> hirsel_core::reckon::growth::fixed::Using {
        use hirsel_core::reckon::growth::fixed::Using;
        match of {
            Some(Self::None) => Using::None,
            Some(Self::Own) => Using::Own,
            None | Some(Self::Table) => Using::Table,
        }
    }
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum Format {
    /// Lined up for reading
    Table,
    /// For spreadsheets
    Csv,
    /// For programs
    Json,
}

#[derive(Debug, Args)]
pub(super) struct Print {
    /// The book
    pub(super) book: PathBuf,
    /// Which paper
    #[arg(value_enum)]
    pub(super) paper: PaperWord,
    /// The PDF to write; - for what is piped on
    #[arg(short, long, value_name = "FILE.pdf")]
    pub(super) output: PathBuf,
    /// First day
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(super) from: Option<Day>,
    /// Last day
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(super) to: Option<Day>,
    /// Only this animal; may be given again
    #[arg(long, value_name = "TAG")]
    pub(super) animal: Vec<String>,
    /// Only animals in this pen; may be given again
    #[arg(long, value_name = "NAME")]
    pub(super) pen: Vec<String>,
    /// The paper: a4 or letter; the book's own if not given
    #[arg(long, value_name = "SHEET", value_parser = sheet)]
    pub(super) sheet: Option<SheetSize>,
    /// Cards on a sheet: 1, 2, 4 or 8
    #[arg(long, value_name = "N", value_parser = per_sheet)]
    pub(super) per_page: Option<PerSheet>,
    /// Generations of the pedigree drawing: 4, 5 or 6
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(4..=6))]
    pub(super) generations: Option<u32>,
    /// Growth list: the age in days; 60 if not given
    #[arg(long, value_name = "DAYS", value_parser = clap::value_parser!(u16).range(7..=400))]
    pub(super) at: Option<u16>,
    /// Growth list: the factors the weights carry; those of the book's table if not given
    #[arg(long, value_enum)]
    pub(super) factors: Option<Factors>,
    #[command(flatten)]
    pub(super) on: On,
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

fn register(text: &str) -> Result<RegisterKind, String> {
    RegisterKind::parse(text).map_err(|e| e.0)
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

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory as _;

    #[test]
    fn the_command_line_holds_together() {
        Line::command().debug_assert();
    }

    #[test]
    fn every_register_has_a_paper_of_its_word() {
        for kind in RegisterKind::ALL {
            let word = PaperWord::from_str(kind.word(), false).unwrap();
            let other = (word == PaperWord::TreatmentLog).then_some(RegisterKind::TreatmentLog);
            assert_eq!(word.register().or(other), Some(kind));
        }
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

//! The words of the command line: commands, arguments and what `--help` says of them.

use super::at_age::AtAge;
use super::on::{On, day};
use super::print_line::{PRINT_HELP, Print};
use super::ration::Mix;
use super::values::Values;
use super::winter::Winter;
use super::{attach, incoming, roll, scale, traffic};
use clap::{Parser, Subcommand, ValueEnum};
use hirsel_core::papers::SheetSize;
use hirsel_core::registers::RegisterKind;
use hirsel_core::terms::{Day, DayOrder, Units};
use std::path::PathBuf;

/// Keeps the records of a small sheep flock in one file.
#[derive(Debug, Parser)]
#[command(name = "hirsel", version = crate::version(), args_conflicts_with_subcommands = true, disable_help_subcommand = true)]
#[command(after_help = EXITS)]
pub(super) struct Line {
    /// The book to open in the window; without one, the last book
    #[arg(value_name = "BOOK")]
    pub(super) book: Option<PathBuf>,
    /// Fail on purpose, to see how a fault is reported
    #[arg(long, hide = true, value_name = "WHERE")]
    pub(super) rehearse_fault: Option<crate::crash::Rehearsal>,
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
        /// Words of your region: what the window and the papers say
        #[arg(long, value_name = "ID", value_parser = words())]
        words: Option<String>,
        /// In which order days are written: day (3 Apr 2026), month (Apr 3, 2026) or year (2026-04-03)
        #[arg(long, value_name = "ORDER", value_parser = days)]
        days: Option<DayOrder>,
        /// The sign of your money, shown before amounts on pages and papers: £, €, NZ$
        #[arg(long, value_name = "SIGN", value_parser = currency)]
        currency: Option<String>,
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
    Import(incoming::Asked),
    /// Read a file of an electronic reader or a scale head, as one session at the scale
    #[command(after_help = scale::HELP)]
    ReadScale(scale::Asked),
    /// Tell who was read: a reader's file or any list of tags and numbers
    #[command(after_help = roll::HELP)]
    Roll(roll::Asked),
    /// Write barn notes in plain trade English
    #[command(
        after_help = "It prints what it understood, a sentence each. Of what can mean several things nothing is guessed:\n\
        the readings are printed, and nothing is written. What looks unlikely is printed as a caution and kept with\n\
        the notes. What is not understood becomes a note on the animal."
    )]
    #[command(after_long_help = super::notes::forms())]
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
    /// Take a table out in the form import reads, everything as one ZIP, what is due as a calendar, or the flock as the
    /// open standard of animal data has it
    #[command(after_help = super::export::HELP, after_long_help = super::export::long_help())]
    Export(super::export::Asked),
    /// Reckon clear days, gains, figures, jobs that are due, kinship, who to join with whom, breeding values, or a mix of feeds
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
        #[command(flatten)]
        at_age: AtAge,
        #[command(flatten)]
        values: Values,
        #[command(flatten)]
        mix: Box<Mix>,
        #[command(flatten)]
        winter: Box<Winter>,
        /// How to print it
        #[arg(long, value_enum, default_value_t = TableFormat::Table)]
        format: TableFormat,
        /// Write this file instead of printing; the ending .xlsx makes a spreadsheet
        #[arg(short, long, value_name = "FILE")]
        output: Option<PathBuf>,
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
        #[arg(long, value_enum, default_value_t = TableFormat::Table)]
        format: TableFormat,
        /// Write this file instead of printing; the ending .xlsx makes a spreadsheet
        #[arg(short, long, value_name = "FILE")]
        output: Option<PathBuf>,
        #[command(flatten)]
        on: On,
    },
    /// Print a paper as PDF, or its pages as pictures
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
        /// Make indexes anew where only these are wrong; the file as it is is kept first
        #[arg(long, conflicts_with_all = ["visit", "pedigree", "salvage"])]
        mend: bool,
        /// Save what can be read of a damaged book into a new one, and tell what is lost; the damaged one is only read
        #[arg(long, value_name = "NEW", conflicts_with_all = ["visit", "pedigree"])]
        salvage: Option<PathBuf>,
        /// How to print the answers
        #[arg(long, value_enum, default_value_t = Format::Table, requires = "visit")]
        format: Format,
        #[command(flatten)]
        on: On,
    },
    /// Keep a picture or paper in the book, with an animal or a record of it
    #[command(after_help = attach::HELP)]
    Attach(attach::Asked),
    /// List the pictures and papers kept in the book, or take one out as a file
    Papers(attach::PapersAsked),
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
    #[command(after_help = super::books::BACKUP_HELP)]
    Backup(super::books::Backup),
    /// Bring another copy of the same book in: what was written in either is in this one then
    #[command(
        after_help = "The other file is only read. Changes of different fields are both kept; where both copies changed the\n\
        same field differently the later holds until you decide, and both stand side by side: --list, --decide."
    )]
    Merge {
        /// The book
        book: PathBuf,
        /// The other copy
        #[arg(required_unless_present_any = ["list", "decide"])]
        other: Option<PathBuf>,
        /// Say what it would bring, and write nothing
        #[arg(long, requires = "other")]
        dry_run: bool,
        /// List what is to be decided
        #[arg(long, conflicts_with_all = ["other", "decide"])]
        list: bool,
        /// Decide: the number of the list, and whose value holds: "1 ours", "2 theirs"
        #[arg(long, value_name = "WHAT", conflicts_with = "other")]
        decide: Option<String>,
        /// Why, to be kept with it
        #[arg(long, value_name = "TEXT", requires = "decide")]
        reason: Option<String>,
        /// Who writes, for the journal; the name on this machine if not given
        #[arg(long, value_name = "NAME")]
        who: Option<String>,
    },
    /// Write the pages of the manual and the completions of shells into a folder: for packages
    #[command(hide = true)]
    Pages {
        /// The folder; it is made if need be
        folder: PathBuf,
    },
    /// Put a copy in the place of a book; what stood there is kept beside it
    Restore {
        /// The copy
        file: PathBuf,
        /// The book
        book: PathBuf,
        /// Of a copy closed with a passphrase: a file whose first line is that; - reads it from what is piped in
        #[arg(long, value_name = "FILE")]
        passphrase_file: Option<PathBuf>,
    },
}

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

/// The ids of the rule sets, to choose from.
fn rules() -> clap::builder::PossibleValuesParser {
    hirsel_core::rules::rule_sets().iter().map(hirsel_core::rules::RuleSet::id).collect::<Vec<_>>().into()
}

/// The ids of the words of the regions, to choose from.
fn words() -> clap::builder::PossibleValuesParser {
    hirsel_core::handbook::trade::Trade::all().map(|t| t.id()).collect::<Vec<_>>().into()
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
    /// Breeding values of one trait, with their accuracies
    Evaluation,
    /// Lambs of a season that may be kept, in the keeper's order with the proposed line
    Keep,
    /// Ewes that the keeper's rules name to leave, and what each would cost in blood
    Cull,
    /// Weights carried to the age of --at, with the factors they carry, their contemporary group and ratio in it
    Weights,
    /// A mix of feeds: the square of two to a protein, or the cheapest of more with --least-cost
    Ration,
    /// The store of feed: what is there, what goes a day, how long it lasts, when to order, what a kg costs
    Feed,
    /// Creeps that are open: who eats, what is in them, the step of the mean lamb and its next day, until when it lasts
    Creep,
    /// How much of a feed is left day by day to spring, with the band of eight winters in ten
    Spring,
    /// What feed cost by feed, group and pen, for each head and each kg gained
    FeedCosts,
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

/// As [`Format`], and as a file for spreadsheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum TableFormat {
    /// Lined up for reading
    Table,
    /// For spreadsheets, as text
    Csv,
    /// For programs
    Json,
    /// A spreadsheet, with -o
    Xlsx,
}

fn units(text: &str) -> Result<Units, String> {
    Units::parse(text).map_err(|e| e.0)
}

fn currency(text: &str) -> Result<String, String> {
    hirsel_core::terms::currency(text).map_err(|e| e.0)
}

fn days(text: &str) -> Result<DayOrder, String> {
    DayOrder::of(text).ok_or_else(|| "day, month or year".to_string())
}

fn register(text: &str) -> Result<RegisterKind, String> {
    RegisterKind::parse(text).map_err(|e| e.0)
}

pub(super) fn sheet(text: &str) -> Result<SheetSize, String> {
    text.parse()
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

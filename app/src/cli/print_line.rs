//! The words of `print`: papers, and what chooses what is on them.

use super::at_age::AtAge;
use super::line::sheet;
use super::on::{On, day};
use super::word::PaperWord;
use clap::Args;
use hirsel_core::papers::{PerSheet, SheetSize};
use hirsel_core::terms::Day;
use std::path::PathBuf;

pub(super) const PRINT_HELP: &str = "Without --animal, --pen, --from or --to: cards for the lambs of the last 60 days and their \
    ewes,\nthe log for all treatments. --from and --to are days of birth for lamb cards, of lambing for pen cards,\n\
    of treatment for the log.\nThe barn sheet is for tomorrow, or for the day of --on; --pen keeps to some pens.\n\
    The feed sheet is for tomorrow, or for the day of --on; --animal and --pen keep to the pens they are in.\n\
    Registers are of the days from --from to --to; stock, flock-count and withdrawal-now of the day of --on.\n\
    The declaration is for the animals of --animal, or for those sold on the day of --on.\n\
    A pedigree, certificate or drawing, is of the animals of --animal.\n\
    The joining sheet holds the groups that run now, or those of the days from --from to --to; the due list the ewes\n\
    that may lamb in those days. --animal and --pen keep to some ewes, --animal to a ram's as well.\n\
    The sale list is of --animal and --pen, or of those meant for the market; the ram's progeny of the rams of --animal,\n\
    or of every ram in the flock that has lambs. The diversity report is of the whole flock.\n\
    The keep sheet is of the lambs of the last season that has any, or of --season; the cull list of all\n\
    ewes that the keeper's rules name. The season report is of the last season, of --season, or of the season of --to or --from.\n\
    The growth list is of the lambs of the last season, or of those born from --from to --to, at the age of --at.\n\
    The mix sheet is of the mix of --feed, for so much as --total says, or as much as was mixed last.\n\
    Winter feed is a sheet for each feed that is given, from the day of --on to the first day of grass.";

#[derive(Debug, Args)]
pub(super) struct Print {
    /// The book
    pub(super) book: PathBuf,
    /// Which paper
    #[arg(value_enum)]
    pub(super) paper: PaperWord,
    /// The PDF to write, - for what is piped on; or pictures of the pages: FILE.png, FILE.svg, and of several pages
    /// FILE-1.png, FILE-2.png …
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
    /// The season of the season report or the keep sheet, such as 2026; the last one if not given
    #[arg(long, value_name = "YEAR", value_parser = clap::value_parser!(i32).range(1900..=2999))]
    pub(super) season: Option<i32>,
    /// The mix of the mix sheet, by its name
    #[arg(long, value_name = "NAME")]
    pub(super) feed: Option<String>,
    /// How much is mixed: kg, or with its unit
    #[arg(long, value_name = "KG")]
    pub(super) total: Option<String>,
    /// Feeds a day on the feed sheet: 1, or 2 for morning and evening
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u8).range(1..=2))]
    pub(super) feeds: Option<u8>,
    #[command(flatten)]
    pub(super) at_age: AtAge,
    #[command(flatten)]
    pub(super) on: On,
}

fn per_sheet(text: &str) -> Result<PerSheet, String> {
    text.trim()
        .parse()
        .ok()
        .and_then(PerSheet::from_count)
        .ok_or_else(|| format!("'{text}' cards do not fit a sheet: write 1, 2, 4 or 8"))
}

//! The words of `print`: papers, and what chooses what is on them.

use super::line::{On, day, sheet};
use clap::{Args, ValueEnum};
use hirsel_core::papers::{PerSheet, SheetSize};
use hirsel_core::terms::Day;
use std::path::PathBuf;

pub(super) const PRINT_HELP: &str = "Without --animal, --pen, --from or --to: cards for the lambs of the last 60 days and their \
    ewes,\nthe log for all treatments. --from and --to are days of birth for lamb cards, of lambing for pen cards,\n\
    of treatment for the log.\nThe barn sheet is for tomorrow, or for the day of --on; --pen keeps to some pens.\n\
    Registers are of the days from --from to --to; stock, flock-count and withdrawal-now of the day of --on.\n\
    The declaration is for the animals of --animal, or for those sold on the day of --on.\n\
    A pedigree, certificate or drawing, is of the animals of --animal.\n\
    The joining sheet holds the groups that run now, or those of the days from --from to --to; the due list the ewes\n\
    that may lamb in those days. --animal and --pen keep to some ewes, --animal to a ram's as well.\n\
    The sale list is of --animal and --pen, or of those meant for the market; the ram's progeny of the rams of --animal,\n\
    or of every ram in the flock that has lambs. The diversity report is of the whole flock.\n\
    The season report is of the last season, of --season, or of the season of --to or --from.\n\
    The keep sheet is of the lambs of the last season that has any, or of --season; the cull list of all ewes that the\n\
    keeper's rules name.";

#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub(super) enum PaperWord {
    /// One card a lamb
    LambCards,
    /// One card a ewe, with her lambs
    PenCards,
    /// What was given to whom, and until when it is held back
    TreatmentLog,
    /// The jobs of one day by pen, with boxes to tick
    BarnSheet,
    /// The season drawn, a row an animal; of one animal, its life
    Timeline,
    /// Chosen registers as one paper with contents: all that an inspector may ask
    InspectorFolder,
    /// Withdrawal declaration to go with sold animals
    Declaration,
    /// Vaccines given, animal by animal
    VaccinationCertificate,
    /// Batches bought: from whom, how much, the invoice
    MedicineBought,
    /// Medicine wasted, disposed of or counted
    MedicineDisposed,
    /// What is on the shelf on a day
    Stock,
    /// Who is under withdrawal on a day
    WithdrawalNow,
    /// Uses that are not on the label
    OffLabel,
    /// Antibiotic courses by reason
    Antibiotics,
    /// What vets prescribed
    Prescriptions,
    /// Animals that came and went
    MovementRegister,
    /// Lambs born
    BirthRegister,
    /// Deaths, culls and losses
    DeathRegister,
    /// Marks put in, lost and replaced
    IdentityRegister,
    /// Animals present on a day by sex and age
    FlockCount,
    /// What was changed later or struck out
    Amendments,
    /// Pedigree certificate of --animal: four generations, particulars, tests
    Pedigree,
    /// Ancestors of --animal drawn over four to six generations
    PedigreeDrawing,
    /// Joining groups with their ewes and a column a day for the marks
    JoiningSheet,
    /// Ewes that are due to lamb, by day
    DueList,
    /// Animals for sale with what a buyer asks, and room for the price
    SaleList,
    /// A ram's lambs by season, and what became of them
    RamProgeny,
    /// What is left of the founders' blood, in pictures and figures
    DiversityReport,
    /// How a season went: figures, charts, losses, weights, money
    SeasonReport,
    /// Weights of --animal with the curve through them and the band of its like
    GrowthChart,
    /// A season's ram lambs and ewe lambs: who may be kept, with the proposed line
    KeepSheet,
    /// Ewes that the keeper's rules name to leave
    CullList,
}

impl PaperWord {
    /// It is of the animals as they stand: days do not choose what is on it.
    pub(super) fn is_of_today(self) -> bool {
        matches!(
            self,
            Self::SaleList | Self::RamProgeny | Self::DiversityReport | Self::KeepSheet | Self::CullList
        )
    }
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
    /// The season of the season report, such as 2026; the last one if not given
    #[arg(long, value_name = "YEAR", value_parser = clap::value_parser!(i32).range(1900..=2999))]
    pub(super) season: Option<i32>,
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

#[cfg(test)]
mod tests {
    use super::*;
    use hirsel_core::registers::RegisterKind;

    #[test]
    fn every_register_has_a_paper_of_its_word() {
        for kind in RegisterKind::ALL {
            let word = PaperWord::from_str(kind.word(), false).unwrap();
            let other = (word == PaperWord::TreatmentLog).then_some(RegisterKind::TreatmentLog);
            assert_eq!(word.register().or(other), Some(kind));
        }
    }
}

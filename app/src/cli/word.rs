//! The papers by the word of the command line.

use clap::ValueEnum;

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
    /// A season's ram lambs and ewe lambs: who may be kept, with the proposed line
    KeepSheet,
    /// Ewes that the keeper's rules name to leave
    CullList,
    /// Weights of --animal with the curve through them and the band of its like
    GrowthChart,
    /// How a season went: figures, charts, losses, weights, money
    SeasonReport,
    /// Weights at the age of --at by contemporary group, with ratios; of the last season, or of lambs born --from --to
    GrowthList,
    /// What to weigh out for a batch of the mix of --feed, and what it holds and costs
    MixSheet,
    /// What feed is there, how long it lasts, when to order, what it costs and holds
    FeedStore,
    /// A card for each creep's door: what to fill, protein and until when, two weeks of boxes; --pen keeps to some
    CreepSheet,
    /// How long each feed that is given lasts, and what to buy to reach grass
    WinterFeed,
    /// What is carried to each pen in a day, with boxes to tick and room to write
    FeedSheet,
    /// The pens of the shed drawn as they are laid out: who is in each, since when, what is due
    PenMap,
}

impl PaperWord {
    /// It is of the animals as they stand: days do not choose what is on it.
    pub(super) fn is_of_today(self) -> bool {
        matches!(
            self,
            Self::SaleList
                | Self::RamProgeny
                | Self::DiversityReport
                | Self::KeepSheet
                | Self::CullList
                | Self::MixSheet
                | Self::FeedStore
                | Self::CreepSheet
                | Self::WinterFeed
                | Self::PenMap
        )
    }
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

//! The words of the papers that `print` makes.

use clap::ValueEnum;
use hirsel_core::registers::RegisterKind;

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
    /// Weights at the age of --at by contemporary group, with ratios; of the last season, or of lambs born --from --to
    GrowthList,
}

impl PaperWord {
    /// It is of the animals as they stand: days do not choose what is on it.
    pub(super) fn is_of_today(self) -> bool {
        matches!(self, Self::SaleList | Self::RamProgeny | Self::DiversityReport)
    }

    /// The register it prints; none for other papers. The treatment log has a paper of its own.
    pub(super) fn register(self) -> Option<RegisterKind> {
        Some(match self {
            Self::MedicineBought => RegisterKind::MedicineBought,
            Self::MedicineDisposed => RegisterKind::MedicineDisposed,
            Self::Stock => RegisterKind::Stock,
            Self::WithdrawalNow => RegisterKind::WithdrawalNow,
            Self::OffLabel => RegisterKind::OffLabel,
            Self::Antibiotics => RegisterKind::Antibiotics,
            Self::Prescriptions => RegisterKind::Prescriptions,
            Self::MovementRegister => RegisterKind::Movements,
            Self::BirthRegister => RegisterKind::Births,
            Self::DeathRegister => RegisterKind::Deaths,
            Self::IdentityRegister => RegisterKind::Identities,
            Self::FlockCount => RegisterKind::FlockCount,
            Self::Amendments => RegisterKind::Amendments,
            _ => return None,
        })
    }
}

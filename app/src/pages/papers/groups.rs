//! What stands under which entry of the choice of papers.

use super::{PaperKind, REGISTERS};

/// What stands under 'Registers'.
pub(super) const UNDER: [(u8, &str); 4] =
    [(0, "one register"), (1, "inspector's folder"), (2, "declaration"), (3, "vaccinations")];

/// What stands under 'Joinings'.
pub(super) const OF_JOININGS: [(PaperKind, &str); 2] =
    [(PaperKind::JoiningSheet, "joining sheet"), (PaperKind::DueList, "due list")];

/// What stands under 'Barn sheet'.
pub(super) const OF_THE_BARN: [(PaperKind, &str); 3] =
    [(PaperKind::BarnSheet, "jobs"), (PaperKind::FeedSheet, "feed"), (PaperKind::PenMap, "pen map")];

/// What stands under 'Blood'.
pub(super) const OF_BLOOD: [(PaperKind, &str); 3] = [
    (PaperKind::SaleList, "sale list"),
    (PaperKind::Progeny, "ram's progeny"),
    (PaperKind::Diversity, "diversity"),
];

/// What stands under 'Keeping'.
pub(super) const OF_KEEPING: [(PaperKind, &str); 4] = [
    (PaperKind::SeasonReport, "season report"),
    (PaperKind::KeepSheet, "keep sheet"),
    (PaperKind::CullList, "cull list"),
    (PaperKind::GrowthList, "weights"),
];

/// What stands under 'Feed'.
pub(super) const OF_FEED: [(PaperKind, &str); 3] = [
    (PaperKind::MixSheet, "mix sheet"),
    (PaperKind::CreepSheet, "creep sheets"),
    (PaperKind::WinterFeed, "winter feed"),
];

/// Every entry of the first choice.
pub(super) const KINDS: [(PaperKind, &str); 11] = [
    (PaperKind::LambCards, "Lamb cards"),
    (PaperKind::PenCards, "Pen cards"),
    (PaperKind::TreatmentLog, "Treatment log"),
    (PaperKind::BarnSheet, "Barn sheet"),
    (PaperKind::Timeline, "Timeline"),
    (REGISTERS, "Registers"),
    (PaperKind::Pedigree, "One animal"),
    (PaperKind::JoiningSheet, "Joinings"),
    (PaperKind::SaleList, "Blood"),
    (PaperKind::SeasonReport, "Season"),
    (PaperKind::MixSheet, "Feed"),
];

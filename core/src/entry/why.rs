//! The reason behind each question, by the name the help answers. Exhaustive, so that none can be without.

use super::{
    BloodUnusual as B, CupboardUnusual as C, FedUnusual as F, MergeUnusual as M, TreatmentUnusual as T,
    Unusual, WeighedUnusual as W,
};
use crate::terms::Why;

impl Unusual {
    /// What the question stands on.
    pub fn why(&self) -> Why {
        match self {
            Self::LambedRecently { .. } | Self::GivenTwice { .. } => Why::Twice,
            Self::HeavyLamb { .. }
            | Self::LightLamb { .. }
            | Self::Loss { .. }
            | Self::Gained { .. }
            | Self::Jumped { .. }
            | Self::OffCurve { .. } => Why::OddFigure,
            Self::RamTooYoung { .. } | Self::EweTooYoung { .. } => Why::Pedigree,
            Self::NotHere { .. } | Self::TestNumber(_) | Self::HoldingNumber { .. } => Why::RightAnimal,
            Self::RamDoesNotFit { .. } | Self::TooSoon { .. } => Why::OddDay,
            Self::UnderWithdrawal { .. } | Self::ShorterThanLabel { .. } => Why::Withdrawal,
            Self::AboveLabel { .. } | Self::StaleWeight { .. } => Why::Dose,
            Self::MuchForOneSite { .. } => Why::Injection,
            Self::AfterRings { .. } => Why::Rings,
            Self::Treatment(t) => t.why(),
            Self::Cupboard(c) => c.why(),
            Self::Blood(b) => b.why(),
            Self::Weighed(w) => w.why(),
            Self::Fed(f) => f.why(),
            Self::Merge(m) => m.why(),
        }
    }
}

impl T {
    /// What the question stands on.
    pub fn why(&self) -> Why {
        match self {
            Self::OffLabel { .. } | Self::NoSuchPrescription(_) | Self::PrescriptionOver { .. } => {
                Why::OffLabel
            }
            Self::FarAboveLabel { .. } => Why::Dose,
            Self::HoursAsDays { .. } => Why::Withdrawal,
            Self::LongAgo { .. } => Why::OddDay,
            Self::OutOfDate { .. }
            | Self::OpenTooLong { .. }
            | Self::BeforeBought { .. }
            | Self::NotSoMuchLeft { .. } => Why::Bottle,
        }
    }
}

impl C {
    /// What the question stands on.
    pub fn why(&self) -> Why {
        match self {
            Self::FarAhead { .. } | Self::FarBack { .. } => Why::OddDay,
            Self::OtherKind { .. }
            | Self::NumberOfAnother { .. }
            | Self::OtherExpiry { .. }
            | Self::PastExpiry { .. }
            | Self::MoreThanLeft { .. }
            | Self::NeverBought { .. } => Why::Bottle,
            Self::BoughtTwice { .. } | Self::KeptAlready { .. } | Self::CountedTwice { .. } => Why::Twice,
            Self::OddPrice(_) => Why::OddFigure,
            Self::ManyEggs(_) => Why::Worms,
        }
    }
}

impl B {
    /// What the question stands on.
    pub fn why(&self) -> Why {
        match self {
            Self::NotJoined { .. } | Self::ScanServed { .. } => Why::OddDay,
            Self::Again { .. } => Why::Twice,
            Self::ScanUnjoined { .. } => Why::Scan,
            Self::OtherResult { .. } => Why::Genes,
            Self::NoAlleleOf { .. } | Self::NotFromParents { .. } => Why::Pedigree,
        }
    }
}

impl W {
    /// What the question stands on.
    pub fn why(&self) -> Why {
        match self {
            Self::Twice { .. } => Why::Twice,
            Self::ScoreJump { .. } | Self::MuchMoney(_) => Why::OddFigure,
            Self::NoEwe { .. } | Self::NotHere { .. } => Why::RightAnimal,
        }
    }
}

impl F {
    /// What the question stands on.
    pub fn why(&self) -> Why {
        match self {
            Self::OtherStock { .. } | Self::MuchCopper { .. } => Why::Copper,
            Self::OverFull { .. }
            | Self::MuchEach { .. }
            | Self::MuchAtOnce { .. }
            | Self::OtherMeasure { .. } => Why::OddFigure,
            Self::Twice { .. } => Why::Twice,
            Self::EmptyPen(_) => Why::RightAnimal,
            Self::PastBest(_) => Why::OddDay,
            Self::NotDosed { .. } => Why::MedicatedFeed,
            Self::ClearEarlier { .. } => Why::Withdrawal,
        }
    }
}

impl M {
    /// What the question stands on.
    pub fn why(&self) -> Why {
        match self {
            Self::TwoNumbers { .. } | Self::BornApart { .. } => Why::RightAnimal,
        }
    }
}

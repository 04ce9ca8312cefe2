//! What counts when it is weighed who is kept.

/// One thing that counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Criterion {
    /// Weight against those of its group.
    Ratio,
    /// How many were born together.
    BornWith,
    /// Lambs its dam reared a lambing.
    DamReared,
    /// How hard its dam lambed, on the mean.
    DamEase,
    /// Gain of the lambs its dam reared.
    DamMilk,
    /// Its dam's udder.
    DamUdder,
    /// Its dam's mothering.
    DamMothering,
    /// Breeding value.
    Value,
    /// Its own inbreeding.
    Inbreeding,
    /// Mean kinship with those it would meet.
    Kinship,
    /// The chance of carrying a faulty gene.
    Genes,
    /// Bite and eyelids.
    Faults,
    /// Type.
    Type,
    /// Colour.
    Colour,
}

/// How many there are.
pub const COUNT: usize = 14;

impl Criterion {
    /// All of them, in the order shown.
    pub const ALL: [Self; COUNT] = [
        Self::Ratio,
        Self::BornWith,
        Self::DamReared,
        Self::DamEase,
        Self::DamMilk,
        Self::DamUdder,
        Self::DamMothering,
        Self::Value,
        Self::Inbreeding,
        Self::Kinship,
        Self::Genes,
        Self::Faults,
        Self::Type,
        Self::Colour,
    ];

    /// Its place among all.
    pub fn at(self) -> usize {
        self as usize
    }

    /// The word of the settings.
    pub fn key(self) -> &'static str {
        match self {
            Self::Ratio => "ratio",
            Self::BornWith => "born_with",
            Self::DamReared => "dam_reared",
            Self::DamEase => "dam_ease",
            Self::DamMilk => "dam_milk",
            Self::DamUdder => "dam_udder",
            Self::DamMothering => "dam_mothering",
            Self::Value => "value",
            Self::Inbreeding => "inbreeding",
            Self::Kinship => "kinship",
            Self::Genes => "genes",
            Self::Faults => "faults",
            Self::Type => "type",
            Self::Colour => "colour",
        }
    }

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Ratio => "weight in its group",
            Self::BornWith => "born with others",
            Self::DamReared => "lambs its dam rears",
            Self::DamEase => "dam lambs easily",
            Self::DamMilk => "dam's milk",
            Self::DamUdder => "dam's udder",
            Self::DamMothering => "dam's mothering",
            Self::Value => "breeding value",
            Self::Inbreeding => "little inbred",
            Self::Kinship => "little kin to its mates",
            Self::Genes => "free of faulty genes",
            Self::Faults => "bite and eyelids",
            Self::Type => "type",
            Self::Colour => "colour",
        }
    }

    /// What is measured, and which way is better.
    pub fn meaning(self) -> &'static str {
        match self {
            Self::Ratio => "weight carried to one age against the mean of lambs of its sex and rearing",
            Self::BornWith => "twins and triplets before singles",
            Self::DamReared => "lambs she reared to 60 days, a lambing",
            Self::DamEase => "mean ease of her lambings, 1 no help to 5 surgery",
            Self::DamMilk => {
                "grams a day that all lambs of a crop at her foot gained together, the mean of her crops; as under Weights, Ewe's milk"
            }
            Self::DamUdder => "her last udder score, 1 sound to 5 lost",
            Self::DamMothering => "her last mothering score, 1 stays with her lambs to 5 leaves them",
            Self::Value => "the breeding value as it is reckoned, with its accuracy beside it",
            Self::Inbreeding => "its own inbreeding, by the pedigree",
            Self::Kinship => "mean kinship with the ewes or rams of breeding age in the flock",
            Self::Genes => "the highest chance of a copy of a faulty gene, by tests and pedigree",
            Self::Faults => "the worse of its last scores of bite and eyelids",
            Self::Type => "its last score of type, 1 as the breed should be",
            Self::Colour => "its last score of colour, 1 as the breed should be",
        }
    }

    /// More of it is better.
    pub fn more_is_better(self) -> bool {
        matches!(self, Self::Ratio | Self::BornWith | Self::DamReared | Self::DamMilk | Self::Value)
    }

    /// From the word of the settings.
    pub fn parse(text: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|c| c.key() == text.trim())
    }
}

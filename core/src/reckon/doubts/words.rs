//! The kinds of doubts, in words.

/// What kind of doubt it is, in the order they are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum DoubtKind {
    /// Animals that are their own ancestors.
    Circle,
    /// An animal that is its own parent.
    OwnParent,
    /// One animal as sire and as dam.
    SireAndDam,
    /// A parent of the wrong sex.
    WrongSex,
    /// A parent born after its lamb.
    ParentYounger,
    /// A test says that a parent is not, or that another one is.
    TestSays,
    /// A genotype that a parent cannot have given.
    GenesExclude,
    /// The lambing says otherwise than the lamb's own facts.
    BirthOtherwise,
    /// A dam dead or gone before the birth, a ram before he could serve.
    ParentGone,
    /// A parent too young.
    ParentYoung,
    /// Two lambings of a ewe too near.
    LambingsNear,
    /// The dam was with another ram.
    NotJoined,
    /// Two animals that may be one.
    Duplicate,
    /// One of several rams.
    SeveralSires,
    /// A birth that is estimated.
    EstimatedBirth,
}

/// How heavy a doubt is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Weight {
    /// It cannot be.
    CannotBe,
    /// It can be, but seldom is.
    Unlikely,
    /// It is written as open: more could be known.
    Open,
}

impl Weight {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::CannotBe => "cannot be",
            Self::Unlikely => "unlikely",
            Self::Open => "open",
        }
    }
}

impl DoubtKind {
    /// All of them, in the order they are listed.
    pub const ALL: [Self; 15] = [
        Self::Circle,
        Self::OwnParent,
        Self::SireAndDam,
        Self::WrongSex,
        Self::ParentYounger,
        Self::TestSays,
        Self::GenesExclude,
        Self::BirthOtherwise,
        Self::ParentGone,
        Self::ParentYoung,
        Self::LambingsNear,
        Self::NotJoined,
        Self::Duplicate,
        Self::SeveralSires,
        Self::EstimatedBirth,
    ];

    /// As it is listed.
    pub fn words(self) -> &'static str {
        match self {
            Self::Circle => "pedigree in a circle",
            Self::OwnParent => "its own parent",
            Self::SireAndDam => "sire and dam at once",
            Self::WrongSex => "parent of the wrong sex",
            Self::ParentYounger => "parent born after its lamb",
            Self::TestSays => "a parentage test says otherwise",
            Self::GenesExclude => "genes exclude a parent",
            Self::BirthOtherwise => "lambing and lamb differ",
            Self::ParentGone => "parent gone by then",
            Self::ParentYoung => "parent very young",
            Self::LambingsNear => "lambings too near",
            Self::NotJoined => "with another ram then",
            Self::Duplicate => "may be one animal",
            Self::SeveralSires => "one of several rams",
            Self::EstimatedBirth => "birth estimated",
        }
    }

    /// How heavy it is.
    pub fn weight(self) -> Weight {
        match self {
            Self::Circle
            | Self::OwnParent
            | Self::SireAndDam
            | Self::WrongSex
            | Self::ParentYounger
            | Self::TestSays
            | Self::GenesExclude
            | Self::BirthOtherwise => Weight::CannotBe,
            Self::ParentGone | Self::ParentYoung | Self::LambingsNear | Self::NotJoined | Self::Duplicate => {
                Weight::Unlikely
            }
            Self::SeveralSires | Self::EstimatedBirth => Weight::Open,
        }
    }
}

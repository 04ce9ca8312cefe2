//! Exact sums of amounts that may go below nothing.

use super::Difference;
use crate::terms::Dose;

/// What an amount is measured in; amounts of two kinds are never added.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Kind {
    /// Microlitres.
    Volume,
    /// Micrograms.
    Mass,
    /// Pieces.
    Pieces,
}

impl Kind {
    /// Of a dose.
    pub fn of(dose: Dose) -> Self {
        match dose {
            Dose::Volume(_) => Self::Volume,
            Dose::Mass(_) => Self::Mass,
            Dose::Pieces(_) => Self::Pieces,
        }
    }

    /// In plain words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Volume => "ml",
            Self::Mass => "mg",
            Self::Pieces => "pieces",
        }
    }
}

/// A signed amount: µl, µg or pieces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Amount {
    /// Measured in this.
    pub kind: Kind,
    /// How much, below nothing too.
    pub n: i64,
}

impl Amount {
    /// Of a dose.
    pub fn of(dose: Dose) -> Self {
        let n = match dose {
            Dose::Volume(n) | Dose::Pieces(n) => i64::from(n),
            Dose::Mass(n) => i64::try_from(n).unwrap_or(i64::MAX),
        };
        Self { kind: Kind::of(dose), n }
    }

    /// None of a kind.
    pub fn none(kind: Kind) -> Self {
        Self { kind, n: 0 }
    }

    /// How much it is, whatever its sign.
    pub fn size(self) -> Dose {
        let n = self.n.unsigned_abs();
        let small = u32::try_from(n).unwrap_or(u32::MAX);
        match self.kind {
            Kind::Volume => Dose::Volume(small),
            Kind::Mass => Dose::Mass(n),
            Kind::Pieces => Dose::Pieces(small),
        }
    }

    /// What is there of it: below nothing is nothing.
    pub fn there(self) -> Dose {
        Self { n: self.n.max(0), ..self }.size()
    }

    /// Both together, if they are of one kind.
    pub fn plus(self, other: Self) -> Option<Self> {
        (self.kind == other.kind).then(|| Self { n: self.n.saturating_add(other.n), ..self })
    }

    /// The other taken away, if they are of one kind; nothing can be taken from any kind.
    pub fn minus(self, other: Self) -> Option<Self> {
        self.plus(Self { n: -other.n, ..other })
    }
}

impl std::fmt::Display for Amount {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        if self.n < 0 {
            f.write_str("−")?;
        }
        write!(f, "{}", self.size())
    }
}

/// A sum of amounts that may turn out not to be of one kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub(super) enum Sum {
    /// Nothing was added yet.
    #[default]
    Nothing,
    /// So much.
    Of(Amount),
    /// It cannot be told.
    Unknown,
}

impl Sum {
    pub(super) fn add(&mut self, more: Amount) {
        *self = match *self {
            Self::Nothing => Self::Of(more),
            Self::Of(so_far) => so_far.plus(more).map_or(Self::Unknown, Self::Of),
            Self::Unknown => Self::Unknown,
        };
    }

    pub(super) fn take(&mut self, less: Amount) {
        self.add(Amount { n: -less.n, ..less });
    }

    pub(super) fn known(self) -> Option<Amount> {
        match self {
            Self::Of(a) => Some(a),
            _ => None,
        }
    }
}

/// Found against the book.
pub(super) fn difference(book: Option<Amount>, found: Amount) -> Difference {
    match book.and_then(|b| found.minus(b)) {
        None => Difference::Unknown,
        Some(d) => of_amount(d),
    }
}

pub(super) fn of_amount(d: Amount) -> Difference {
    match d.n {
        0 => Difference::Same,
        1.. => Difference::More(d.size()),
        _ => Difference::Less(d.size()),
    }
}

//! The jobs a lamb card offers, their words and their times.

use crate::handbook::first_days::{Times, first_days};
use crate::rules::{Procedure, RuleSet};

/// A job of a lamb's first days.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LambJob {
    /// Navel dipped.
    Navel,
    /// Navel dipped a second time.
    NavelAgain,
    /// Seen to suck, or colostrum given.
    Suck,
    /// Second weight.
    WeighAgain,
    /// Tagged.
    Tag,
    /// Eyelids and bite looked at.
    Eyelids,
    /// Tail docked.
    Dock,
    /// Castrated or kept entire; ram lambs only.
    Castrate,
    /// Turned out with others.
    TurnOut,
    /// Into the creep.
    Creep,
}

impl LambJob {
    /// All, in the order they come.
    pub const ALL: [LambJob; 10] = [
        LambJob::Navel,
        LambJob::NavelAgain,
        LambJob::Suck,
        LambJob::WeighAgain,
        LambJob::Tag,
        LambJob::Eyelids,
        LambJob::Dock,
        LambJob::Castrate,
        LambJob::TurnOut,
        LambJob::Creep,
    ];

    /// As the larger cards say it.
    pub fn words(self) -> &'static str {
        match self {
            LambJob::Navel => "Navel dipped",
            LambJob::NavelAgain => "Navel dipped again",
            LambJob::Suck => "Sucked, or colostrum given",
            LambJob::WeighAgain => "Second weight",
            LambJob::Tag => "Tagged",
            LambJob::Eyelids => "Eyelids and bite looked at",
            LambJob::Dock => "Tail docked",
            LambJob::Castrate => "Castrated",
            LambJob::TurnOut => "Turned out with others",
            LambJob::Creep => "Into the creep",
        }
    }

    /// As the smallest card says it.
    pub(super) fn short(self) -> &'static str {
        match self {
            LambJob::NavelAgain => "Dipped again",
            LambJob::Suck => "Sucked",
            LambJob::WeighAgain => "2nd weight",
            LambJob::Eyelids => "Eyelids, bite",
            LambJob::Dock => "Docked",
            LambJob::TurnOut => "Turned out",
            other => other.words(),
        }
    }

    /// When it is to be done.
    pub(super) fn times(self) -> &'static Times {
        &first_days()[self as usize]
    }

    /// Last day after birth (day 0) for it, where the law sets one.
    pub(super) fn last_day(self, rules: Option<&RuleSet>) -> Option<i64> {
        let what = match self {
            LambJob::Dock => Procedure::Docking,
            LambJob::Castrate => Procedure::Castration,
            _ => return None,
        };
        rules?.ring(what).map(|limit| limit.last_day)
    }
}

//! Weights at a fixed age: which age, with which factors.

use clap::{Args, ValueEnum};
use hirsel_core::reckon::growth::fixed::Using;
use hirsel_core::reckon::growth::rules::GrowthRules;

#[derive(Debug, Args)]
pub(super) struct AtAge {
    /// For weights and the growth list: the age in days; 60 if not given
    #[arg(long, value_name = "DAYS", value_parser = days)]
    at: Option<u16>,
    /// For weights and the growth list: the factors they carry; those of the book's table if not given
    #[arg(long, value_enum)]
    factors: Option<Factors>,
}

fn days(text: &str) -> Result<u16, String> {
    GrowthRules::typed_age(text).map_err(|e| e.0)
}

impl AtAge {
    pub(super) fn days(&self) -> u16 {
        self.at.unwrap_or(60)
    }

    pub(super) fn using(&self) -> Using {
        match self.factors {
            Some(Factors::None) => Using::None,
            Some(Factors::Own) => Using::Own,
            None | Some(Factors::Table) => Using::Table,
        }
    }

    /// What was given of it, where it has no say.
    pub(super) fn stray(&self) -> Option<&'static str> {
        let given = [("--at", self.at.is_some()), ("--factors", self.factors.is_some())];
        given.into_iter().find(|(_, given)| *given).map(|(name, _)| name)
    }
}

/// The factors weights carry.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
enum Factors {
    /// None
    None,
    /// Those of the book's table
    Table,
    /// The flock's own, by least squares, each where the records suffice
    Own,
}

//! The day a command takes for today.

use clap::Args;
use hirsel_core::terms::Day;

#[derive(Debug, Args)]
pub(super) struct On {
    /// Take this day for today, such as 2026-04-03
    #[arg(long, value_name = "DATE", value_parser = day)]
    pub(super) on: Option<Day>,
}

impl On {
    pub(super) fn day(&self) -> Day {
        self.on.unwrap_or_else(Day::today)
    }
}

pub(super) fn day(text: &str) -> Result<Day, String> {
    Day::parse_iso(text).map_err(|e| e.0)
}

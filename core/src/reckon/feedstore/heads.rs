//! How many of each group stand in each pen on a day.

use crate::reckon::eaters::HeadDays;
use crate::terms::{Day, Eaters};

/// Heads by pen and group; an empty name is in no pen.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub(super) struct Here(pub(super) Vec<(String, Eaters, u32)>);

impl Here {
    /// Those of a day of a span.
    pub(super) fn on(days: &HeadDays, day: Day) -> Self {
        let mut all = Vec::new();
        for pen in days.pens() {
            for eaters in Eaters::ALL {
                let heads = days.heads(day, Some(pen), *eaters);
                if heads > 0 {
                    all.push((pen.clone(), *eaters, heads));
                }
            }
        }
        all.sort();
        Self(all)
    }
}
